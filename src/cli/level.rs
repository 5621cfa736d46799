//! `level`: reduces the notes of a field book, and draws their page, filled or to be filled in.

use super::args::{ClosingWord, LevelArgs, PaperName, RodsWord};
use super::commands::{finish, internal};
use super::input::Desk;
use super::{Ended, Failure, folder, jobfile};
use spadework::job::{Outcome, Parts, level_notes};
use spadework::level::Rods;
use spadework::read::{Complaint, Reducing, read_levels};
use spadework::sheet::levels::{blank, pages};
use spadework::sheet::{Drawing, Paper, PaperSize};
use spadework::units::{Elevation, LengthUnit, parse_length, parse_number};
use spadework::write::{json, png, report, svg};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Dots to the inch of a page's PNG.
const DPI: f64 = 150.0;

impl From<RodsWord> for Rods {
    fn from(word: RodsWord) -> Self {
        match word {
            RodsWord::Tenths => Self::Tenths,
            RodsWord::Inches => Self::Inches,
            RodsWord::Metres => Self::Metres,
        }
    }
}

pub(crate) fn level(args: &LevelArgs) -> Result<Ended, Failure> {
    for path in [&args.page, &args.blank].into_iter().flatten() {
        kind(path)?;
    }
    if args.page.is_some() && args.page == args.blank {
        return Err(Failure::Usage("--page and --blank both name one file; give each its own".to_owned()));
    }
    let mut written = Vec::new();
    let Some(notes) = &args.notes else {
        // Nothing to reduce: a page for the field.
        let (Some(path), None) = (&args.blank, &args.page) else {
            return Err(Failure::Usage(
                "name the notes to reduce, or ask for an empty page with --blank FILE".to_owned(),
            ));
        };
        written.extend(encoded(path, vec![blank(paper(args, args.unit.unit()))])?);
        folder::write_new(&written)?;
        writeln!(std::io::stdout(), "Written: {}", path.display())?;
        return Ok(Ended::Well);
    };
    let outcome = match jobfile::named(std::slice::from_ref(notes)) {
        Some(path) => of_job(&path, args)?,
        None => of_table(notes, args)?,
    };
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    if let Some(path) = &args.page {
        written.extend(encoded(path, pages(&outcome, paper(args, unit)))?);
    }
    if let Some(path) = &args.blank {
        written.extend(encoded(path, vec![blank(paper(args, unit))])?);
    }
    folder::write_new(&written)?;
    let mut out = std::io::stdout().lock();
    if args.json {
        out.write_all(json::text(&outcome).map_err(internal)?.as_bytes())?;
    } else {
        out.write_all(report::levels(&outcome).as_bytes())?;
        let names: Vec<String> = written.iter().map(|(path, _)| path.display().to_string()).collect();
        if !names.is_empty() {
            writeln!(out, "\nWritten: {}", names.join(", "))?;
        }
    }
    out.flush()?;
    Ok(if outcome.checks.iter().all(|c| c.pass) { Ended::Well } else { Ended::WithFindings })
}

/// The notes of a job; only what concerns them is kept.
fn of_job(path: &Path, args: &LevelArgs) -> Result<Outcome, Failure> {
    let said = [
        ("--bench", !args.bench.is_empty()),
        ("--units", args.unit.units.is_some()),
        ("--rods", args.rods.is_some()),
        ("--closing", args.closing.is_some()),
        ("--allowed", args.allowed.is_some()),
        ("--side-shots", args.side_shots.is_some()),
    ];
    let names: Vec<&str> = said.iter().filter(|(_, said)| *said).map(|(name, _)| *name).collect();
    if !names.is_empty() {
        let text = format!("{} belong to a bare table; with a job file, say it in the file", names.join(", "));
        return Err(Failure::Usage(text));
    }
    let mut read = jobfile::read(path)?;
    let Some(levels) = &read.job.levels else {
        return Err(Failure::Refused(format!(
            "error: {}: found a job without level notes; expected `level_notes` in [survey]\n  help: name the table of the field book there",
            path.display()
        )));
    };
    let mut outcome = level_notes(levels, read.job.unit);
    outcome.job.clone_from(&read.job.name);
    outcome.datum.clone_from(&read.job.datum);
    // What is wrong elsewhere in the job is said as well, before anybody trusts its heights.
    read.worked_out(Parts::NONE)?;
    let about = |c: &&spadework::finding::Caution| {
        use spadework::finding::Subject::{Item, Stake, Table};
        matches!(&c.subject, Table(_) | Stake(_)) || matches!(&c.subject, Item("survey", _))
    };
    let cautions: Vec<_> = read.job.cautions.iter().filter(about).cloned().collect();
    outcome.add_cautions(&cautions);
    finish(&mut outcome, read.desk.inputs(), false);
    Ok(outcome)
}

fn of_table(path: &Path, args: &LevelArgs) -> Result<Outcome, Failure> {
    let unit = args.unit.unit();
    let mut desk = Desk::default();
    let mut benches: Vec<(&str, Option<Elevation>)> = Vec::new();
    for text in &args.bench {
        // Both were found good when the command line was read.
        let Some((name, height)) = text.rsplit_once('=') else { continue };
        let height = parse_number(height).ok().map(Elevation::in_job_units);
        if benches.iter().any(|(other, _)| *other == name.trim()) {
            let found = format!("a second height for `{}`", name.trim());
            desk.complaints.push(Complaint::without_place(
                "--bench",
                found,
                "one height for one bench",
                "leave one out",
            ));
        }
        benches.push((name.trim(), height));
    }
    let allowed = match &args.allowed {
        Some(text) => Some(parse_length(text, unit).map_err(|e| Failure::Usage(format!("--allowed: {e}")))?),
        None => None,
    };
    let reducing = Reducing {
        unit,
        rods: args.rods.map_or(Rods::of(unit), Rods::from),
        benches: &benches,
        allowed,
        by_distance: matches!(args.closing, Some(ClosingWord::Distance)),
        sides_with_backsight: matches!(args.side_shots, Some(super::args::SideWord::Backsight)),
    };
    let read = desk.open(path).and_then(|at| {
        let source = desk.source(at).clone();
        read_levels(&source, &reducing, &mut desk.complaints)
    });
    desk.settled().map_err(|failure| match failure {
        Failure::Refused(text) if args.bench.is_empty() && text.contains("height is not known") => Failure::Refused(
            format!("{text}\nNo bench was given a height: add --bench NAME=ELEVATION, as --bench BM1=100.00"),
        ),
        other => other,
    })?;
    let Some((levels, cautions)) = read else { return Err(internal("the notes cannot be read")) };
    let mut outcome = level_notes(&levels, unit);
    finish(&mut outcome, desk.inputs(), args.unit.units.is_none());
    outcome.defaults.extend(levels.assumed(unit, args.rods.is_some(), args.closing.is_some()));
    if args.side_shots.is_none() {
        outcome.defaults.push("side shots carry their set-up's foresight correction".to_owned());
    }
    outcome.add_cautions(&cautions);
    Ok(outcome)
}

fn paper(args: &LevelArgs, unit: LengthUnit) -> Paper {
    let usual = if unit == LengthUnit::Metre { PaperName::A4 } else { PaperName::Letter };
    Paper::portrait(args.paper.unwrap_or(usual).into())
}

/// What a page is written as.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Svg,
    Png,
}

fn kind(path: &Path) -> Result<Kind, Failure> {
    let ending = path.extension().map(|e| e.to_ascii_lowercase());
    match ending.as_ref().and_then(|e| e.to_str()) {
        Some("svg") => Ok(Kind::Svg),
        Some("png") => Ok(Kind::Png),
        _ => Err(Failure::Usage(format!("`{}` ends in neither .svg nor .png", path.display()))),
    }
}

/// Pages in their files: one takes the name itself, several are counted, `name-1.svg` and on.
fn encoded(path: &Path, drawings: Vec<Drawing>) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let (kind, count) = (kind(path)?, drawings.len());
    let stem = path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    let ending = path.extension().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    let mut out = Vec::new();
    for (k, drawing) in drawings.iter().enumerate() {
        let name =
            if count == 1 { path.to_path_buf() } else { path.with_file_name(format!("{stem}-{}.{ending}", k + 1)) };
        let (svg, png) = picture(drawing, kind == Kind::Png)?;
        out.push((name, png.unwrap_or(svg)));
    }
    Ok(out)
}

/// A drawing as SVG, and as PNG if asked for.
fn picture(drawing: &Drawing, with_png: bool) -> Result<(Vec<u8>, Option<Vec<u8>>), Failure> {
    let text = svg::text(drawing).map_err(internal)?;
    let png = if with_png { Some(png::bytes(&text, DPI).map_err(internal)?) } else { None };
    Ok((text.into_bytes(), png))
}

/// The pages that go with a job's results: its notes, and an empty page for the field.
pub(crate) fn files(outcome: &Outcome, unit: LengthUnit) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let size = if unit == LengthUnit::Metre { PaperSize::A4 } else { PaperSize::Letter };
    let paper = Paper::portrait(size);
    let mut out = both(&pages(outcome, paper), "level-notes")?;
    if !out.is_empty() {
        out.extend(both(&[blank(paper)], "level-page")?);
    }
    Ok(out)
}

/// Pages as SVG and PNG: one under that name, several counted, `name-1` and on.
pub(crate) fn both(drawings: &[Drawing], stem: &str) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut out = Vec::new();
    for (k, drawing) in drawings.iter().enumerate() {
        let name = if drawings.len() == 1 { stem.to_owned() } else { format!("{stem}-{}", k + 1) };
        let (svg, png) = picture(drawing, true)?;
        out.push((format!("{name}.svg"), svg));
        out.push((format!("{name}.png"), png.unwrap_or_default()));
    }
    Ok(out)
}
