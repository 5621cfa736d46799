//! `digcheck`: the hole, shot again, against the sheet.

use super::args::{DigcheckArgs, PaperName};
use super::commands::{finish, internal, job_file, tell};
use super::level::both;
use super::progress::Bar;
use super::{Ended, Failure, folder};
use spadework::digcheck::Tolerance;
use spadework::job::{DigCheck, Outcome};
use spadework::read::{read_as_dug, read_tickets};
use spadework::sheet::digcheck::pages;
use spadework::sheet::{Paper, PaperSize};
use spadework::units::{LengthUnit, parse_length};
use spadework::write::{digcheck as tables, json, pdf, report};

pub(crate) fn digcheck(args: &DigcheckArgs) -> Result<Ended, Failure> {
    let mut read = job_file(&args.job)?;
    let unit = read.job.unit;
    let tolerance = args.tolerance.as_deref().map(|text| tolerance(text, unit)).transpose()?;
    let job = read.job.clone();
    let bar = Bar::new("the hole");
    let progress = |what: &str, part: f64| bar.at(what, part);
    let plan = DigCheck::new(&job, &progress).map_err(|refusals| read.refuse(&refusals))?;
    let desk = &mut read.desk;
    let names: Vec<&str> = plan.stakes().collect();
    let dug = desk.open(&args.shots).and_then(|at| {
        let source = desk.source(at).clone();
        read_as_dug(&source, (&names, &job.benches), unit, &mut desk.complaints)
    });
    let tickets = args.tickets.as_ref().and_then(|path| {
        let at = desk.open(path)?;
        let source = desk.source(at).clone();
        read_tickets(&source, &job.haul.trucks, unit, &mut desk.complaints)
    });
    desk.settled()?;
    let Some((dug, cautions)) = dug else { return Err(internal("the shots cannot be read")) };
    let judged = plan.judge(&dug, tolerance, tickets.as_deref());
    let mut outcome = judged.map_err(|refusals| read.refuse(&refusals))?;
    drop(bar);
    outcome.add_cautions(&cautions);
    finish(&mut outcome, read.desk.inputs(), false);
    let Some(out) = &args.out else { return tell(&outcome, args.json, "") };
    let files = files(&outcome, paper(args, unit))?;
    let files: Vec<(&str, Vec<u8>)> = files.iter().map(|(name, bytes)| (name.as_str(), bytes.clone())).collect();
    folder::write(out, &files)?;
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    tell(&outcome, args.json, &format!("Written to {}: {}", out.display(), names.join(", ")))
}

/// The sheet as SVG, PNG and PDF, the tables, the words.
fn files(outcome: &Outcome, paper: Paper) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let drawings = pages(outcome, paper);
    let mut files = both(&drawings, "digcheck")?;
    files.push(("digcheck.pdf".to_owned(), pdf::bytes("Dig check", &drawings).map_err(internal)?));
    files.push(("digcheck.csv".to_owned(), tables::stakes(outcome).map_err(internal)?.into_bytes()));
    files.push(("digcheck.txt".to_owned(), report::text(outcome).into_bytes()));
    files.push(("outcome.json".to_owned(), json::text(outcome).map_err(internal)?.into_bytes()));
    Ok(files)
}

/// One length both ways, or one above and one below.
fn tolerance(text: &str, unit: LengthUnit) -> Result<Tolerance, Failure> {
    let said = |part: &str| parse_length(part.trim(), unit).map_err(|e| Failure::Usage(format!("--tolerance: {e}")));
    let (high, low) = text.split_once(',').unwrap_or((text, text));
    Ok(Tolerance { high: said(high)?, low: said(low)? })
}

fn paper(args: &DigcheckArgs, unit: LengthUnit) -> Paper {
    let usual = if unit == LengthUnit::Metre { PaperName::A4 } else { PaperName::Letter };
    Paper::portrait(match args.paper.unwrap_or(usual) {
        PaperName::Letter => PaperSize::Letter,
        PaperName::Tabloid => PaperSize::Tabloid,
        PaperName::A4 => PaperSize::A4,
        PaperName::A3 => PaperSize::A3,
    })
}
