//! What each command does: read, work out, print or write.

use super::args::{
    CheckArgs, CompareArgs, ContourArgs, JobArgs, PlanArgs, PondArgs, RunArgs, SoilArgs, StakeArgs, TankArgs,
};
use super::folder;
use super::input::{self, Desk};
use super::jobfile;
use super::level;
use super::progress::Bar;
use super::sheets;
use super::{Ended, Failure, command_line};
use spadework::job::{self, Input, Levels, Outcome, Parts, SheetWish};
use spadework::read;
use spadework::units::{LengthUnit, parse_length};
use spadework::write::{csv, field, geojson, json, report, workbook};
use std::io::Write;
use std::path::Path;

pub(crate) fn run(args: &RunArgs) -> Result<Ended, Failure> {
    let (outcome, unit, wish) = worked_out(&args.job, Parts::ALL)?;
    let bar = Bar::new("files");
    let drawn = sheets::files(&outcome, &args.out.sheets, &wish, unit)?;
    let lines = outcome.plan.as_ref().map(|p| p.subgrade.as_slice()).unwrap_or_default();
    let encoded = |r: Result<String, String>| r.map(String::into_bytes).map_err(internal);
    let mut files = vec![
        ("stakes.csv", encoded(csv::stakes(&outcome).map_err(|e| e.to_string()))?),
        ("contours.csv", encoded(csv::contours(lines).map_err(|e| e.to_string()))?),
        ("contours.geojson", geojson::contours(lines, unit).into_bytes()),
        ("report.txt", report::text(&outcome).into_bytes()),
        ("outcome.json", encoded(json::text(&outcome).map_err(|e| e.to_string()))?),
    ];
    files.extend(field::page(&outcome).map_err(internal)?.map(|page| ("field.html", page.into_bytes())));
    if outcome.volume.as_ref().is_some_and(|v| !v.areas.is_empty()) {
        files.push(("layers.csv", encoded(csv::layers(&outcome).map_err(|e| e.to_string()))?));
        files.push(("volumes.csv", encoded(csv::volumes(&outcome).map_err(|e| e.to_string()))?));
    }
    if outcome.drainage.as_ref().is_some_and(|d| !d.drains.is_empty()) {
        files.push(("drains.csv", encoded(csv::drains(&outcome).map_err(|e| e.to_string()))?));
    }
    if outcome.haul.is_some() {
        files.push(("trips.csv", encoded(csv::trips(&outcome).map_err(|e| e.to_string()))?));
        files.push(("orders.csv", encoded(csv::orders(&outcome).map_err(|e| e.to_string()))?));
        files.extend(estimate(&outcome)?.map(|bytes| ("estimate.xlsx", bytes)));
    }
    let notes = level::files(&outcome, unit)?;
    let pages = drawn.iter().chain(&notes).map(|(name, bytes)| (name.as_str(), bytes.clone()));
    let files: Vec<(&str, Vec<u8>)> = pages.chain(files).collect();
    folder::write(&args.out.out, &files)?;
    drop(bar);
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    tell(&outcome, args.job.json, &format!("Written to {}: {}", args.out.out.display(), names.join(", ")))
}

pub(crate) fn stakes(args: &StakeArgs) -> Result<Ended, Failure> {
    let parts = Parts { stakes: true, plan: args.field.is_some(), ..Parts::NONE };
    let (mut outcome, ..) = worked_out(&args.job, parts)?;
    let mut note = String::new();
    if let Some(path) = &args.field {
        let page = field::page(&outcome).map_err(internal)?;
        let Some(page) = page else {
            let most = field::MOST_STAKES;
            return Err(Failure::Refused(format!(
                "error: more than {most} stakes; a field page holds at most {most}\n  help: cut the job to what is dug that day, with --limit or fewer shots"
            )));
        };
        folder::write_new(&[(path, page)])?;
        note = format!("Written: {}", path.display());
        // The page shows more; what is printed is the same with it as without.
        outcome.contours = None;
    }
    tell(&outcome, args.job.json, &note)
}

pub(crate) fn volume(args: &JobArgs) -> Result<Ended, Failure> {
    let (outcome, ..) = worked_out(args, Parts { volume: true, ..Parts::NONE })?;
    tell(&outcome, args.json, "")
}

pub(crate) fn drain(args: &JobArgs) -> Result<Ended, Failure> {
    let (outcome, ..) = worked_out(args, Parts { drainage: true, ..Parts::NONE })?;
    tell(&outcome, args.json, "")
}

pub(crate) fn soil(args: &SoilArgs) -> Result<Ended, Failure> {
    if let Some(path) = jobfile::named(std::slice::from_ref(&args.cores)) {
        if args.unit.units.is_some() {
            let text = "--units belong to a bare table; with a job file, say it in the file";
            return Err(Failure::Usage(text.to_owned()));
        }
        let mut read = jobfile::read(&path)?;
        let mut outcome = read.worked_out(Parts { soil: true, ..Parts::NONE })?;
        if outcome.soil.is_none() {
            let help =
                "name a table with a row for every layer of every core: core,northing,easting,from,to, and the tests";
            let found =
                read::Complaint::without_place(path.display().to_string(), "no cores", "`cores` in [ground]", help);
            read.desk.complaints.push(found);
            return Err(read.desk.refused());
        }
        finish(&mut outcome, read.desk.inputs(), false);
        return tell(&outcome, args.json, "");
    }
    let unit = args.unit.unit();
    let mut desk = Desk::default();
    let read = desk.open(&args.cores).and_then(|at| {
        let source = desk.source(at).clone();
        read::read_cores(&source, unit, &mut desk.complaints)
    });
    desk.settled()?;
    let Some((cores, cautions)) = read else { return Err(internal("the cores cannot be read")) };
    let mut outcome = job::bare_soil(cores, unit);
    finish(&mut outcome, desk.inputs(), args.unit.units.is_none());
    outcome.add_cautions(&cautions);
    tell(&outcome, args.json, "")
}

pub(crate) fn tank(args: &TankArgs) -> Result<Ended, Failure> {
    let mut read = job_file(&args.job)?;
    let mut outcome = read.worked_out(Parts { tank: true, ..Parts::NONE })?;
    if outcome.tank.is_none() {
        let (found, expected, help) = match &read.job.tank {
            None => ("no tank", "[tank]", "say what it holds, what drains into it and what it waters"),
            Some(_) => ("a tank and no rain", "`days` in [rain]", "name a table with a row for every day: date,rain"),
        };
        let complaint = read::Complaint::without_place(args.job.display().to_string(), found, expected, help);
        read.desk.complaints.push(complaint);
        return Err(read.desk.refused());
    }
    finish(&mut outcome, read.desk.inputs(), false);
    tell(&outcome, args.json, "")
}

pub(crate) fn plan(args: &PlanArgs) -> Result<Ended, Failure> {
    let (mut outcome, unit, wish) = worked_out(&args.job, Parts::ALL)?;
    let drawn = sheets::files(&outcome, &args.out.sheets, &wish, unit)?;
    let files: Vec<(&str, Vec<u8>)> = drawn.iter().map(|(name, bytes)| (name.as_str(), bytes.clone())).collect();
    folder::write(&args.out.out, &files)?;
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    // The picture shows all; what is printed is what the picture is made of.
    outcome.stakes = None;
    outcome.volume = None;
    outcome.haul = None;
    tell(&outcome, args.job.json, &format!("Written to {}: {}", args.out.out.display(), names.join(", ")))
}

pub(crate) fn compare(args: &CompareArgs) -> Result<Ended, Failure> {
    let unit = args.unit.unit();
    let bar = Bar::new("reading");
    let mut desk = Desk::default();
    let (before, after) = desk.surveys((&args.before, &args.after), ("before", "after"), unit);
    let limit = desk.limit(args.limit.as_deref());
    let before_lines = desk.lines(args.before_breaklines.as_deref(), "before", before.as_ref());
    let after_lines = desk.lines(args.after_breaklines.as_deref(), "after", after.as_ref());
    let (Some(before), Some(after)) = (before, after) else {
        desk.settled()?;
        return Err(internal("the surveys cannot be read"));
    };
    let asked = desk.compare(&before, &after);
    desk.settled()?;
    desk.let_go();
    let rings = limit.as_ref().map(|l| l.rings.as_slice());
    let error = match &args.shot_error {
        Some(text) => parse_length(text, unit).map_err(|e| Failure::Usage(format!("--shot-error: {e}")))?,
        None => job::usual_shot_error(unit),
    };
    let surveys = [(&before.1.shots, before_lines.as_slice()), (&after.1.shots, after_lines.as_slice())];
    let outcome = job::compare(surveys[0], surveys[1], rings, (unit, error), &|w, p| bar.at(w, p));
    drop(bar);
    let mut outcome = outcome.map_err(|refusals| desk.refuse(&refusals, &[&before, &after]))?;
    finish(&mut outcome, desk.inputs(), args.unit.units.is_none());
    let read =
        before.1.cautions.iter().chain(&after.1.cautions).chain(&asked).chain(limit.iter().flat_map(|l| &l.cautions));
    outcome.add_cautions(read.chain(desk.line_cautions()));
    tell(&outcome, args.json, "")
}

pub(crate) fn contours(args: &ContourArgs) -> Result<Ended, Failure> {
    if let (Some(table), Some(lines)) = (&args.csv, &args.geojson)
        && table == lines
    {
        let text = format!("--csv and --geojson both name `{}`; give each its own", table.display());
        return Err(Failure::Usage(text));
    }
    if args.json && [&args.csv, &args.geojson].iter().any(|path| path.as_deref() == Some(Path::new("-"))) {
        return Err(Failure::Usage("--json and `-` both print; give --csv or --geojson a file".to_owned()));
    }
    let unit = args.unit.unit();
    let bar = Bar::new("reading");
    let mut desk = Desk::default();
    let survey = desk.survey(&args.survey, "survey", unit);
    let lines = desk.lines(args.breaklines.as_deref(), "survey", survey.as_ref());
    let limit = desk.limit(args.limit.as_deref());
    let Some(survey) = survey else {
        desk.settled()?;
        return Err(internal("the survey cannot be read"));
    };
    desk.settled()?;
    desk.let_go();
    let levels = match args.interval {
        Some(step) => Levels::Every(step),
        None => Levels::At(args.levels.clone()),
    };
    let rings = limit.as_ref().map(|l| l.rings.as_slice());
    bar.at("contours", 0.0);
    let (mut outcome, lines) = job::bare_contours((&survey.1.shots, &lines), rings, &levels, unit)
        .map_err(|refusals| desk.refuse(&refusals, &[&survey]))?;
    drop(bar);
    finish(&mut outcome, desk.inputs(), args.unit.units.is_none());
    let read = survey.1.cautions.iter().chain(limit.iter().flat_map(|l| &l.cautions));
    outcome.add_cautions(read.chain(desk.line_cautions()));
    let mut files = Vec::new();
    if let Some(path) = &args.csv {
        files.push((path.as_path(), csv::contours(&lines).map_err(|e| internal(e.to_string()))?));
    }
    if let Some(path) = &args.geojson {
        files.push((path.as_path(), geojson::contours(&lines, unit)));
    }
    let (printed, kept): (Vec<_>, Vec<_>) = files.into_iter().partition(|(path, _)| *path == Path::new("-"));
    folder::write_new(&kept)?;
    if let Some((_, text)) = printed.first() {
        std::io::stdout().write_all(text.as_bytes())?;
        return Ok(Ended::Well);
    }
    let names: Vec<String> = kept.iter().map(|(path, _)| path.display().to_string()).collect();
    let note = if names.is_empty() { String::new() } else { format!("Written: {}", names.join(", ")) };
    tell(&outcome, args.json, &note)
}

pub(crate) fn ponds(args: &PondArgs) -> Result<Ended, Failure> {
    let unit = args.unit.unit();
    let bar = Bar::new("reading");
    let mut desk = Desk::default();
    let survey = desk.survey(&args.survey, "survey", unit);
    let lines = desk.lines(args.breaklines.as_deref(), "survey", survey.as_ref());
    let Some(survey) = survey else {
        desk.settled()?;
        return Err(internal("the survey cannot be read"));
    };
    let outlets: Vec<(String, i64, i64)> =
        args.outlet.iter().filter_map(|text| desk.place("--outlet", text, &survey.1.shots)).collect();
    let mut trenches = Vec::new();
    for text in &args.outlet_line {
        let names: Vec<&str> = text.split(',').map(str::trim).collect();
        let line: Vec<(i64, i64)> = names
            .iter()
            .filter_map(|name| desk.place("--outlet-line", name, &survey.1.shots).map(|(_, n, e)| (n, e)))
            .collect();
        if names.len() < 2 {
            return Err(Failure::Usage(format!("--outlet-line {text}: one name; a line runs from one to another")));
        }
        trenches.push(line);
    }
    desk.settled()?;
    desk.let_go();
    bar.at("ponds", 0.0);
    let outcome = job::bare_ponds((&survey.1.shots, &lines), (&outlets, &trenches), args.walled, unit);
    let mut outcome = outcome.map_err(|refusals| desk.refuse(&refusals, &[&survey]))?;
    finish(&mut outcome, desk.inputs(), args.unit.units.is_none());
    drop(bar);
    if !args.walled {
        outcome.defaults.push("water also leaves over the edge of the survey".to_owned());
    }
    outcome.add_cautions(survey.1.cautions.iter().chain(desk.line_cautions()));
    tell(&outcome, args.json, "")
}

pub(crate) fn check(args: &CheckArgs) -> Result<Ended, Failure> {
    let mut read = job_file(&args.job)?;
    // Outlines, overlaps and ground without survey only show when the dig is laid out.
    let outcome = read.worked_out(Parts::NONE)?;
    let job = &read.job;
    let mut out = std::io::stdout().lock();
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    writeln!(
        out,
        "{}: nothing is wrong with it. {}, {}, {}, {}.",
        job.name,
        count(job.existing.ground_rows().count(), "ground shot"),
        count(job.said.sections.len(), "section"),
        count(job.said.areas.len(), "area"),
        count(job.said.drains.len(), "drain")
    )?;
    let text = report::text(&outcome);
    let rest = text.split_once("\n\n").map_or("", |(_, rest)| rest);
    write!(out, "\n{rest}")?;
    out.flush()?;
    Ok(Ended::Well)
}

pub(crate) fn schema() -> Result<Ended, Failure> {
    std::io::stdout().write_all(read::job::schema().as_bytes())?;
    Ok(Ended::Well)
}

/// A job file or folder where tables will not do.
pub(crate) fn job_file(path: &Path) -> Result<jobfile::Read, Failure> {
    match jobfile::named(&[path.to_path_buf()]) {
        Some(path) => jobfile::read(&path),
        None => Err(Failure::Usage(format!(
            "`{}` is no job file: a job file ends in .toml, a job folder holds job.toml",
            path.display()
        ))),
    }
}

/// Reads and works out a job, from its job file or from tables.
fn worked_out(args: &JobArgs, parts: Parts) -> Result<(Outcome, LengthUnit, SheetWish), Failure> {
    if let Some(path) = jobfile::named(&args.tables) {
        let (mut outcome, job, desk) = jobfile::worked_out(&path, args, parts)?;
        finish(&mut outcome, desk.inputs(), false);
        return Ok((outcome, job.unit, job.sheet));
    }
    let bar = Bar::new("reading");
    let (job, mut tables) = input::job(args)?;
    tables.desk.let_go();
    let outcome = job::evaluate(&job, parts, &|what, part| bar.at(what, part));
    drop(bar);
    let surveys = [&tables.existing, &tables.proposed];
    let mut outcome = outcome.map_err(|refusals| tables.desk.refuse(&refusals, &surveys))?;
    finish(&mut outcome, tables.desk.inputs(), false);
    Ok((outcome, job.unit, SheetWish::default()))
}

pub(crate) fn finish(outcome: &mut Outcome, inputs: Vec<Input>, unit_assumed: bool) {
    outcome.spadework = env!("CARGO_PKG_VERSION").to_owned();
    outcome.command = command_line();
    outcome.inputs = inputs;
    if unit_assumed {
        outcome.defaults.push("tables are in ft".to_owned());
    }
}

/// The estimate as a workbook; none where nothing is hauled.
pub(crate) fn estimate(outcome: &Outcome) -> Result<Option<Vec<u8>>, Failure> {
    workbook::bytes(outcome).map_err(internal)
}

/// Prints the outcome, and says by how it ends whether every check holds.
pub(crate) fn tell(outcome: &Outcome, as_json: bool, note: &str) -> Result<Ended, Failure> {
    let mut out = std::io::stdout().lock();
    if as_json {
        out.write_all(json::text(outcome).map_err(|e| internal(e.to_string()))?.as_bytes())?;
    } else {
        out.write_all(report::text(outcome).as_bytes())?;
        if !note.is_empty() {
            writeln!(out, "\n{note}")?;
        }
    }
    out.flush()?;
    Ok(if outcome.checks.iter().all(|c| c.pass) { Ended::Well } else { Ended::WithFindings })
}

pub(crate) fn internal(why: impl std::fmt::Display) -> Failure {
    Failure::Refused(format!("This is a bug in spadework: {why}"))
}
