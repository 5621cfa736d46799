//! Opens the files a command names and makes of them what the library works on; every complaint is kept until all are read.
//!
//! The text of a table is as large as all its shots. Once everything is read it is let go, and read again only if the library
//! refuses something that stands in it ([`Desk::let_go`]).

use super::Failure;
use super::args::JobArgs;
use spadework::design::ProposedIs;
use spadework::finding::{Caution, Refusal, Subject};
use spadework::job::{EXISTING, Input, Job, PROPOSED};
use spadework::level::SetUp;
use spadework::par;
use spadework::read::{
    Complaint, Complaints, Limit, Lines, Source, Survey, ask_of_both, compare_places, describe, nearest, read_both,
    read_lines, read_rings, read_shots,
};
use spadework::shots::{Kind, Shots, to_micro};
use spadework::surface::Breakline;
use spadework::units::{Elevation, Length, LengthUnit, Slope, parse_length, parse_number};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// Files as they were opened, and what is wrong with them.
#[derive(Default)]
pub(crate) struct Desk {
    sources: Vec<Opened>,
    /// Which of them is the limit.
    limit: Option<usize>,
    /// Which of them are breaklines.
    lines: Vec<(usize, Lines)>,
    pub(crate) complaints: Complaints,
}

/// A survey on the desk, and which of the files it was read from; none where something is wrong with it.
pub(crate) type Laid = Option<(usize, Survey)>;

/// A file that was opened.
struct Opened {
    source: Source,
    input: Input,
    path: PathBuf,
}

impl Opened {
    fn open(path: &Path) -> Result<Self, Complaint> {
        let label = path.display().to_string();
        let wrong = |found: &str, help: &str| Complaint::without_place(&label, found, "a table to read", help);
        let bytes = match std::fs::metadata(path) {
            Ok(about) if about.is_dir() => Err(wrong("a folder", "name the file in it")),
            _ => std::fs::read(path).map_err(|e| match e.kind() {
                std::io::ErrorKind::NotFound => wrong("no such file", "check the name and the folder you are in"),
                std::io::ErrorKind::PermissionDenied => {
                    wrong("a file that may not be read", "ask for leave to read it")
                }
                _ => wrong(&format!("a file that cannot be read ({e})"), "check the disk or the name"),
            }),
        }?;
        let hash = format!("{:016x}", fnv(&bytes));
        let source = Source::read(&label, bytes)?;
        Ok(Self { source, input: Input { file: label, hash }, path: path.to_owned() })
    }

    /// A file, and the survey in it.
    fn survey(path: &Path, name: &str, unit: LengthUnit) -> (Option<Self>, Option<Survey>, Complaints) {
        let mut complaints = Complaints::default();
        let opened = Self::open(path).map_err(|complaint| complaints.push(complaint)).ok();
        let survey = opened.as_ref().and_then(|o| read_shots(&o.source, name, unit, &mut complaints));
        (opened, survey, complaints)
    }
}

impl Desk {
    /// Opens a file; what is wrong with it as a whole is a complaint.
    pub(crate) fn open(&mut self, path: &Path) -> Option<usize> {
        match Opened::open(path) {
            Ok(opened) => Some(self.add(opened)),
            Err(complaint) => {
                self.complaints.push(complaint);
                None
            }
        }
    }

    fn add(&mut self, opened: Opened) -> usize {
        self.sources.push(opened);
        self.sources.len() - 1
    }

    /// Opens and reads a survey.
    pub(crate) fn survey(&mut self, path: &Path, name: &str, unit: LengthUnit) -> Laid {
        self.take(Opened::survey(path, name, unit))
    }

    /// Opens and reads two surveys side by side.
    pub(crate) fn surveys(
        &mut self,
        (one, other): (&Path, &Path),
        names: (&str, &str),
        unit: LengthUnit,
    ) -> (Laid, Laid) {
        let (one, other) = par::both(|| Opened::survey(one, names.0, unit), || Opened::survey(other, names.1, unit));
        (self.take(one), self.take(other))
    }

    fn take(&mut self, read: (Option<Opened>, Option<Survey>, Complaints)) -> Laid {
        let (opened, survey, complaints) = read;
        self.complaints.append(complaints);
        let at = self.add(opened?);
        Some((at, survey?))
    }

    /// Lets the texts go that can be read again: from here on they are only wanted where the library refuses something.
    pub(crate) fn let_go(&mut self) {
        self.sources.iter_mut().filter(|o| o.path.is_file()).for_each(|o| o.source.let_go());
    }

    /// Reads the texts again that were let go. One that changed since stays away, and is named without an excerpt.
    fn take_back(&mut self) {
        for opened in self.sources.iter_mut().filter(|o| o.source.is_let_go()) {
            if let Ok(again) = Opened::open(&opened.path)
                && again.input.hash == opened.input.hash
            {
                opened.source = again.source;
            }
        }
    }

    /// Opens and reads the rings of a limit.
    pub(crate) fn limit(&mut self, path: Option<&Path>) -> Option<Limit> {
        let at = self.open(path?)?;
        self.limit = Some(at);
        read_rings(&self.sources[at].source, &mut self.complaints)
    }

    /// Opens and reads the breaklines of a survey, which may have failed to be read itself.
    pub(crate) fn lines(
        &mut self,
        path: Option<&Path>,
        name: &str,
        survey: Option<&(usize, Survey)>,
    ) -> Vec<Breakline> {
        let Some(at) = path.and_then(|path| self.open(path)) else { return Vec::new() };
        let shots = survey.map(|(_, s)| &s.shots);
        let Some(read) = read_lines(&self.sources[at].source, name, shots, &mut self.complaints) else {
            return Vec::new();
        };
        let lines = read.lines.clone();
        self.lines.push((at, read));
        lines
    }

    /// The place an option means: a name of the survey, or northing and easting.
    pub(crate) fn place(&mut self, option: &str, text: &str, shots: &Shots) -> Option<(String, i64, i64)> {
        let names = Names { existing: shots, proposed: &Shots::default() };
        match names.place(text) {
            Ok((n, e)) => Some((text.to_owned(), n, e)),
            Err(why) => {
                let why = NoPlace { wanted: "a name of the survey, or NORTHING,EASTING", ..why };
                self.complaints.push(why.complaint(option, text));
                None
            }
        }
    }

    /// What reading the breaklines gave cause to say.
    pub(crate) fn line_cautions(&self) -> impl Iterator<Item = &Caution> {
        self.lines.iter().flat_map(|(_, l)| &l.cautions)
    }

    /// Complains if two surveys have no ground in common; else returns what is to be asked about them.
    pub(crate) fn compare(&mut self, a: &(usize, Survey), b: &(usize, Survey)) -> Vec<Caution> {
        let pair = ((self.source(a.0), &a.1), (self.source(b.0), &b.1));
        match compare_places(pair.0, pair.1) {
            Some(complaint) => {
                self.complaints.push(complaint);
                Vec::new()
            }
            None => ask_of_both(pair.0, pair.1),
        }
    }

    pub(crate) fn source(&self, at: usize) -> &Source {
        &self.sources[at].source
    }

    /// What was read, for the outcome.
    pub(crate) fn inputs(&self) -> Vec<Input> {
        self.sources.iter().map(|o| o.input.clone()).collect()
    }

    /// All complaints as one text, if there are any.
    pub(crate) fn settled(&self) -> Result<(), Failure> {
        if self.complaints.is_empty() {
            return Ok(());
        }
        let sources: Vec<&Source> = self.sources.iter().map(|o| &o.source).collect();
        Err(Failure::Refused(self.complaints.render(&sources)))
    }

    /// The library's refusals, each as a complaint about the file it concerns.
    pub(crate) fn refuse(&mut self, refusals: &[Refusal], surveys: &[&(usize, Survey)]) -> Failure {
        self.take_back();
        for refusal in refusals {
            let name = match &refusal.subject {
                Subject::Table(name) | Subject::Row(name, _) => name.as_str(),
                _ => "",
            };
            let about = surveys.iter().find(|(_, survey)| survey.name == name);
            let complaint = match about {
                Some((at, survey)) => describe(refusal, self.source(*at), survey),
                None if let Some((at, span)) = self.line_span(&refusal.subject) => {
                    Complaint::at(self.source(at), span, &refusal.found, &refusal.expected, &refusal.help)
                }
                None => Complaint::without_place(
                    self.limit
                        .filter(|_| name == "limit")
                        .map_or_else(|| refusal.subject.to_string(), |at| self.source(at).label().to_owned()),
                    &refusal.found,
                    &refusal.expected,
                    &refusal.help,
                ),
            };
            self.complaints.push(complaint);
        }
        self.refused()
    }

    /// Where a breakline stands.
    fn line_span(&self, subject: &Subject) -> Option<(usize, Range<usize>)> {
        let Subject::Line(survey, line) = subject else { return None };
        self.lines.iter().filter(|(_, l)| l.name == *survey).find_map(|(at, l)| Some((*at, l.span(line)?)))
    }

    /// The complaints as a failure; there is one, or this would not be asked.
    pub(crate) fn refused(&self) -> Failure {
        match self.settled() {
            Err(failure) => failure,
            Ok(()) => Failure::Refused("error: the input cannot be used".to_owned()),
        }
    }
}

/// FNV-1a, 64 bits (Fowler, Noll and Vo, 1991): enough to see that a file is the one that was used.
fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |h, &b| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3))
}

/// The two surveys of a job and where they were read.
pub(crate) struct Tables {
    pub(crate) desk: Desk,
    pub(crate) existing: (usize, Survey),
    pub(crate) proposed: (usize, Survey),
}

/// Reads everything a job on tables names.
pub(crate) fn job(args: &JobArgs) -> Result<(Job, Tables), Failure> {
    let unit = args.unit.unit();
    let mut desk = Desk::default();
    let (existing, proposed) = match args.tables.as_slice() {
        [one] => match desk.open(one) {
            Some(at) => match read_both(&desk.sources[at].source, unit, &mut desk.complaints) {
                Some((e, p)) => (Some((at, e)), Some((at, p))),
                None => (None, None),
            },
            None => (None, None),
        },
        [existing, proposed, ..] => desk.surveys((existing, proposed), (EXISTING, PROPOSED), unit),
        [] => return Err(Failure::Usage("no table named".to_owned())),
    };
    let limit = desk.limit(args.limit.as_deref());
    let existing_lines = desk.lines(args.breaklines.as_deref(), EXISTING, existing.as_ref());
    let proposed_lines = desk.lines(args.proposed_breaklines.as_deref(), PROPOSED, proposed.as_ref());
    let (Some(existing), Some(proposed)) = (existing, proposed) else {
        desk.settled()?;
        return Err(Failure::Refused("error: the tables cannot be read".to_owned()));
    };
    let asked = desk.compare(&existing, &proposed);
    let names = Names { existing: &existing.1.shots, proposed: &proposed.1.shots };
    let mut outlets = Vec::new();
    for text in &args.outlet {
        match names.place(text) {
            Ok((n, e)) => outlets.push((text.clone(), n, e)),
            Err(why) => desk.complaints.push(why.complaint("--outlet", text)),
        }
    }
    let set_up = match set_up(args, &names, unit) {
        Ok(set_up) => set_up,
        Err((text, why)) => {
            desk.complaints.push(why.complaint("--bench", &text));
            None
        }
    };
    desk.settled()?;
    let build_up = match &args.build_up {
        Some(text) => parse_length(text, unit).map_err(|e| Failure::Usage(format!("--build-up: {e}")))?,
        None => Length::ZERO,
    };
    let mut cautions: Vec<Caution> = existing.1.cautions.clone();
    cautions.extend(proposed.1.cautions.iter().cloned());
    cautions.extend(asked);
    cautions.extend(desk.sources.iter().filter_map(|Opened { source, .. }| {
        source.note().map(|note| Caution::new(Subject::Job, format!("{}: {note}", source.label())))
    }));
    cautions.extend(limit.iter().flat_map(|l| l.cautions.iter().cloned()));
    cautions.extend(desk.line_cautions().cloned());
    if let (Some(bench), Some(rod)) = (&args.bench, &args.rod)
        && rod.trim_start().starts_with('-')
    {
        let text = format!("the rod on {bench} reads {rod}, below 0: taken as held upside down, its foot up");
        cautions.push(Caution::new(Subject::Stake(bench.clone()), text));
    }
    let name = args.name.clone().unwrap_or_else(|| {
        args.tables.first().and_then(|t| t.file_stem()).map_or_else(String::new, |s| s.to_string_lossy().into_owned())
    });
    let job = Job {
        name,
        unit,
        existing: existing.1.shots.clone(),
        existing_lines,
        proposed_lines,
        proposed: proposed.1.shots.clone(),
        proposed_is: args.proposed_is.map_or(ProposedIs::Finish, ProposedIs::from),
        build_up,
        shot_error: spadework::job::usual_shot_error(unit),
        limit: limit.map(|l| l.rings),
        outlets,
        min_fall: args.min_fall.unwrap_or(Slope::percent(1.0)),
        min_fall_said: args.min_fall.is_some(),
        set_up,
        interval: args.interval.map(Length::in_job_units),
        defaults: defaults(args),
        cautions,
    };
    Ok((job, Tables { desk, existing, proposed }))
}

/// Everything that was not said and therefore assumed.
fn defaults(args: &JobArgs) -> Vec<String> {
    let mut out = Vec::new();
    let mut unless = |said: bool, text: &str| {
        if !said {
            out.push(text.to_owned());
        }
    };
    unless(args.unit.units.is_some(), "tables are in ft");
    unless(args.build_up.is_some(), "no build-up: subgrade is the proposed surface");
    unless(args.min_fall.is_some(), "least fall of the subgrade 1 %");
    unless(!args.outlet.is_empty(), "no outlet: the open edge of the survey is the only way out");
    unless(args.limit.is_some(), "no limit: all ground that both tables cover counts");
    unless(args.interval.is_some(), "contour interval chosen to suit");
    unless(false, "no strip, no over-dig, no compaction allowance, no batter; topsoil may stay");
    out
}

/// Names of both tables.
struct Names<'a> {
    existing: &'a Shots,
    proposed: &'a Shots,
}

/// Why a name is no place.
struct NoPlace {
    nearest: Option<String>,
    wanted: &'static str,
}

impl NoPlace {
    fn complaint(&self, option: &str, text: &str) -> Complaint {
        let help = match &self.nearest {
            Some(name) => format!("the nearest name is `{name}`"),
            None => "check the spelling".to_owned(),
        };
        Complaint::without_place(option, format!("`{text}`"), self.wanted, help)
    }
}

impl Names<'_> {
    fn place(&self, text: &str) -> Result<(i64, i64), NoPlace> {
        if let Some((shots, row)) = self.find(text) {
            return Ok((shots.northing[row], shots.easting[row]));
        }
        if let Some((n, e)) = text.split_once(',')
            && let (Ok(n), Ok(e)) = (parse_number(n), parse_number(e))
            && n.abs() <= 9e9
            && e.abs() <= 9e9
        {
            return Ok((to_micro(n), to_micro(e)));
        }
        Err(NoPlace { nearest: self.nearest(text), wanted: "a name of either table, or NORTHING,EASTING" })
    }

    /// The existing table's row of that name before the proposed one's.
    fn find(&self, name: &str) -> Option<(&Shots, usize)> {
        let row = |shots: &Shots| (0..shots.len()).find(|&r| shots.names.get(r) == name);
        row(self.existing).map(|r| (self.existing, r)).or_else(|| row(self.proposed).map(|r| (self.proposed, r)))
    }

    fn nearest(&self, name: &str) -> Option<String> {
        let all = [self.existing, self.proposed].into_iter().flat_map(|s| (0..s.len()).map(|r| s.names.get(r)));
        nearest(name, all).map(str::to_owned)
    }
}

fn set_up(args: &JobArgs, names: &Names<'_>, unit: LengthUnit) -> Result<Option<(SetUp, String)>, (String, NoPlace)> {
    if let Some(hi) = args.hi {
        let said = format!("HI {}", spadework::units::fixed(hi, 2));
        return Ok(Some((SetUp::at(Elevation::in_job_units(hi)), said)));
    }
    let (Some(bench), Some(rod)) = (&args.bench, &args.rod) else { return Ok(None) };
    let row = (0..names.existing.len()).find(|&r| names.existing.names.get(r) == bench);
    let Some(row) = row else {
        return Err((bench.clone(), NoPlace { nearest: names.nearest(bench), wanted: "a name of the existing table" }));
    };
    let reading = parse_number(rod).map(Length::in_job_units).or_else(|_| parse_length(rod, unit));
    let reading = reading.map_err(|_| (rod.clone(), NoPlace { nearest: None, wanted: "a rod reading" }))?;
    let height = Elevation::in_job_units(names.existing.elevation[row]);
    let set_up = SetUp::on_bench(height, reading);
    let kind = if names.existing.kind[row] == Kind::Bench { "" } else { " (no bench by its kind)" };
    let hi = spadework::units::fixed(set_up.height_of_instrument().job_units(), 2);
    Ok(Some((set_up, format!("HI {hi} from rod {rod} on {bench}{kind}"))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_was_let_go_is_shown_again_unless_it_changed() {
        let path = std::env::temp_dir().join(format!("spadework-let-go-{}.csv", std::process::id()));
        const TABLE: &str = "A,0,0,1\nB,0,10,1\nC,10,0,1\n";
        let refused = |now: &str| {
            std::fs::write(&path, TABLE).expect("can be written");
            let mut desk = Desk::default();
            let survey = desk.survey(&path, "before", LengthUnit::Foot).expect("is sound");
            desk.let_go();
            assert!(desk.source(survey.0).is_let_go());
            std::fs::write(&path, now).expect("can be written");
            let [found, expected, help] = ["one thing", "another", "mend it"].map(str::to_owned);
            let refusal = Refusal { subject: Subject::Row("before".to_owned(), 1), found, expected, help };
            match desk.refuse(&[refusal], &[&survey]) {
                Failure::Refused(text) => text,
                _ => String::new(),
            }
        };
        let shown = refused(TABLE);
        assert!(shown.contains("csv, line 2, column 1") && shown.contains("2 | B,0,10,1"), "{shown}");
        let named = refused(&TABLE.replace('B', "D"));
        assert!(named.contains("csv: found one thing (before shots, row 2); expected another"), "{named}");
        let _ = std::fs::remove_file(&path);
    }
}
