//! Opens a job file and everything it names, and works the job out.

use super::Failure;
use super::args::JobArgs;
use super::input::Desk;
use super::progress::Bar;
use spadework::finding::Refusal;
use spadework::job::{self, Outcome, Parts, SiteJob};
use spadework::level::SetUp;
use spadework::read::job::{Spans, referenced};
use spadework::read::{Complaint, Source};
use spadework::units::{Elevation, Length, fixed, parse_length, parse_number};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Name of the job file in a job folder.
pub(crate) const NAME: &str = "job.toml";

/// The job file a command names: one path that is a folder or ends in `.toml`.
pub(crate) fn named(paths: &[PathBuf]) -> Option<PathBuf> {
    let [path] = paths else { return None };
    if path.is_dir() {
        return Some(path.join(NAME));
    }
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")).then(|| path.clone())
}

/// A job that was read, with what is needed to say where in its files something stands.
pub(crate) struct Read {
    pub(crate) job: SiteJob,
    pub(crate) desk: Desk,
    at: usize,
    files: HashMap<String, Source>,
    spans: Spans,
}

/// Reads the job file and everything it names; all complaints at once.
pub(crate) fn read(path: &Path) -> Result<Read, Failure> {
    let mut desk = Desk::default();
    let Some(at) = desk.open(path) else {
        return Err(desk.refused());
    };
    let source = desk.source(at).clone();
    let Some(text) = referenced(&source, &mut desk.complaints) else {
        return Err(desk.refused());
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut files = HashMap::new();
    for name in text.files() {
        if let Some(k) = desk.open(&folder.join(name)) {
            files.insert(name.to_owned(), desk.source(k).clone());
        }
    }
    let read = text.read(&files, &mut desk.complaints);
    desk.settled()?;
    match read {
        Some((job, spans)) => Ok(Read { job, desk, at, files, spans }),
        None => Err(desk.refused()),
    }
}

impl Read {
    /// The library's refusals, each at its place in the file it concerns.
    pub(crate) fn refuse(&mut self, refusals: &[Refusal]) -> Failure {
        for refusal in refusals {
            let complaint = self.spans.describe(refusal, self.desk.source(self.at), &self.files);
            self.desk.complaints.push(complaint);
        }
        self.desk.refused()
    }

    /// Works out the asked parts.
    pub(crate) fn worked_out(&mut self, parts: Parts) -> Result<Outcome, Failure> {
        let bar = Bar::new("job");
        let outcome = job::evaluate_site(&self.job, parts, &|what, part| bar.at(what, part));
        drop(bar);
        outcome.map_err(|refusals| self.refuse(&refusals))
    }
}

/// Reads and works out the job of a command, with today's set-up if one is typed.
pub(crate) fn worked_out(path: &Path, args: &JobArgs, parts: Parts) -> Result<(Outcome, SiteJob, Desk), Failure> {
    said_in_the_file(args)?;
    let mut read = read(path)?;
    if let Some(set_up) = set_up(args, &mut read)? {
        read.job.set_up = Some(set_up);
    }
    if let Some(step) = args.interval {
        read.job.interval = Some(Length::in_job_units(step));
    }
    if let Some(name) = &args.name {
        read.job.name.clone_from(name);
    }
    let outcome = read.worked_out(parts)?;
    Ok((outcome, read.job, read.desk))
}

/// What a job file says itself cannot be typed beside it: two answers to one question.
fn said_in_the_file(args: &JobArgs) -> Result<(), Failure> {
    let typed = [
        ("--build-up", args.build_up.is_some()),
        ("--outlet", !args.outlet.is_empty()),
        ("--min-fall", args.min_fall.is_some()),
        ("--limit", args.limit.is_some()),
        ("--breaklines", args.breaklines.is_some()),
        ("--proposed-breaklines", args.proposed_breaklines.is_some()),
        ("--units", args.unit.units.is_some()),
        ("--proposed-is", args.proposed_is.is_some()),
    ];
    let names: Vec<&str> = typed.iter().filter(|(_, said)| *said).map(|(name, _)| *name).collect();
    if names.is_empty() {
        return Ok(());
    }
    Err(Failure::Usage(format!(
        "{} belong to a job on bare tables; with a job file, say it in the file",
        names.join(", ")
    )))
}

fn set_up(args: &JobArgs, read: &mut Read) -> Result<Option<(SetUp, String)>, Failure> {
    if let Some(hi) = args.hi {
        return Ok(Some((SetUp::at(Elevation::in_job_units(hi)), format!("HI {}", fixed(hi, 2)))));
    }
    let (Some(name), Some(rod)) = (&args.bench, &args.rod) else { return Ok(None) };
    let Some(bench) = read.job.benches.iter().find(|b| b.name == *name) else {
        let names: Vec<&str> = read.job.benches.iter().map(|b| b.name.as_str()).collect();
        let help = if names.is_empty() {
            "the job has no bench".to_owned()
        } else {
            format!("there are {}", names.join(", "))
        };
        read.desk.complaints.push(Complaint::without_place("--bench", format!("`{name}`"), "a bench of the job", help));
        return Err(read.desk.refused());
    };
    let reading = parse_number(rod).map(Length::in_job_units).or_else(|_| parse_length(rod, read.job.unit));
    let reading = reading.map_err(|e| Failure::Usage(format!("--rod: {e}")))?;
    let set_up = SetUp::on_bench(bench.elevation, reading);
    let hi = fixed(set_up.height_of_instrument().job_units(), 2);
    Ok(Some((set_up, format!("HI {hi} from rod {rod} on {name}"))))
}
