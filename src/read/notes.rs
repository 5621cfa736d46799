//! What does the field book say?
//!
//! Level notes `point,bs,is,fs,note` in field-book order, with `distance` beside the foresights where that is booked. They give
//! heights; `places.rs` says where the names are. How the rods are divided is said once for the table (`rods.rs`).
//! The word `check` in a note makes a row a check shot.

use super::complaint::{Complaint, Complaints};
use super::number;
use super::places::{NamedPlace, Placed};
use super::rods::{Reading, reading};
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Row, Table};
use crate::finding::{Caution, Subject};
use crate::job::{BookRow, LevelNotes};
use crate::level::{Closing, Problem, Reduced, Rods, Rule, RunKind, Sight, reduce};
use crate::shots::{Grid, MICRO, Shots};
use crate::units::{Elevation, Length, LengthUnit, fixed};
use std::ops::Range;

const NOTES: Form = Form {
    required: &[Field::Point, Field::Back, Field::Fore],
    optional: &[Field::Side, Field::Distance, Field::Description],
    order: &[Field::Point, Field::Back, Field::Side, Field::Fore, Field::Description],
};

/// As many entries of the other kind are named one by one.
const MOST_ASKED: usize = 6;

/// How notes are read and reduced.
#[derive(Clone, Copy, Debug)]
pub struct Reducing<'a> {
    /// The job's unit: of heights and distances.
    pub unit: LengthUnit,
    /// How the rods are divided.
    pub rods: Rods,
    /// Benches with the height of those that have one.
    pub benches: &'a [(&'a str, Option<Elevation>)],
    /// Most the misclosure may be, times the root of the set-ups, miles or kilometres; common practice where it is not said.
    pub allowed: Option<Length>,
    /// Whether the distance decides, else the set-ups.
    pub by_distance: bool,
    /// Whether side shots take the backsight's correction.
    pub sides_with_backsight: bool,
}

impl Reducing<'_> {
    /// What a root is taken of, and the allowance for one.
    ///
    /// By set-ups 0.02 ft or 5 mm (common practice). By distance 0.05 ft for a mile or 12 mm for a kilometre: third order (US Navy
    /// NAVEDTRA 14071, chapter 7; FGCC Standards and Specifications for Geodetic Control Networks, 1984; from memory).
    fn closing(&self) -> (Closing, Length) {
        let metric = self.unit == LengthUnit::Metre;
        let (closing, usual) = match (self.by_distance, metric) {
            (false, false) => (Closing::SetUps, 0.02),
            (false, true) => (Closing::SetUps, 0.005),
            (true, false) => (Closing::Distance(5280.0), 0.05),
            (true, true) => (Closing::Distance(1000.0), 0.012),
        };
        (closing, self.allowed.unwrap_or(Length::in_job_units(usual)))
    }
}

/// Where names of the notes are.
#[derive(Debug)]
pub struct Around<'a> {
    /// How the notes are read and reduced.
    pub reducing: Reducing<'a>,
    /// The taped grid.
    pub grid: Option<&'a Grid>,
    /// Names off the grid, or in its stead.
    pub places: &'a [NamedPlace],
}

/// A survey from the field book.
#[derive(Clone, Debug)]
pub struct Levelled {
    /// Every point with a place, adjusted.
    pub shots: Shots,
    /// How the notes were reduced.
    pub levels: LevelNotes,
    /// The grid as far as the notes go on it.
    pub grid: Option<Grid>,
    /// What the person should know.
    pub cautions: Vec<Caution>,
}

/// Reads and reduces level notes and gives their points a place. `None` where anything was complained of.
pub fn read_notes(source: &Source, around: &Around<'_>, complaints: &mut Complaints) -> Option<Levelled> {
    let before = complaints.len();
    let (book, levels, mut cautions) = read(source, &around.reducing, complaints)?;
    let names = book.rows.iter().map(|r| r.point.as_str());
    let grid = around.grid.map(|grid| grid.clone().reaching(names));
    let place = Placed { source, around, grid: grid.as_ref(), rows: &book.rows, spans: &book.spans };
    let shots = place.shots(&levels.reduced, complaints);
    cautions.extend(place.far(&shots));
    (complaints.len() == before).then_some(Levelled { shots, levels, grid, cautions })
}

/// Reads and reduces level notes whose points need no place. `None` where anything was complained of.
pub fn read_levels(
    source: &Source,
    reducing: &Reducing<'_>,
    complaints: &mut Complaints,
) -> Option<(LevelNotes, Vec<Caution>)> {
    let (book, levels, mut cautions) = read(source, reducing, complaints)?;
    let unused = reducing.benches.iter().filter(|(name, _)| !book.rows.iter().any(|r| r.point == *name));
    cautions.extend(unused.map(|(name, _)| Caution::new(notes(), format!("they are silent about the bench {name}"))));
    Some((levels, cautions))
}

/// The rows as read.
#[derive(Default)]
struct Book {
    rows: Vec<Sight>,
    spans: Vec<Range<usize>>,
    typed: Vec<BookRow>,
    rounded: usize,
    decimals: usize,
    /// Entries of another kind than the table's, each in words.
    others: Vec<String>,
    /// Readings longer than a rod: how many, and the first in words.
    long: (usize, String),
}

fn read(
    source: &Source,
    reducing: &Reducing<'_>,
    complaints: &mut Complaints,
) -> Option<(Book, LevelNotes, Vec<Caution>)> {
    let before = complaints.len();
    let table = Table::open(source, &NOTES, complaints)?;
    let mut book = Book::default();
    table.each_row(complaints, |row, complaints| book.take(&row, reducing, complaints));
    if complaints.len() > before {
        return None;
    }
    let known = |name: &str| reducing.benches.iter().find(|(bench, _)| *bench == name).and_then(|(_, height)| *height);
    let (closing, allowed) = reducing.closing();
    let rule = Rule {
        places: reducing.rods.places(reducing.unit),
        allowed,
        sides_with_backsight: reducing.sides_with_backsight,
        closing,
    };
    let reduced = match reduce(&book.rows, known, rule) {
        Ok(reduced) => reduced,
        Err(problems) => {
            problems.into_iter().for_each(|p| complaints.push(book.complaint(source, p)));
            return None;
        }
    };
    let mut cautions = table.cautions("existing");
    cautions.extend(book.cautions(source, reducing.rods));
    cautions.extend(hanging(&reduced));
    let starts = reduced.runs.iter().filter_map(|run| Some((run.from.clone(), known(&run.from)?)));
    let levels = LevelNotes {
        rods: reducing.rods,
        closing,
        allowed_each: allowed,
        allowed_said: reducing.allowed.is_some(),
        decimals: book.decimals.clamp(if reducing.unit == LengthUnit::Metre { 3 } else { 2 }, 4),
        book: std::mem::take(&mut book.typed),
        benches: starts.fold(Vec::new(), |mut all, bench| {
            if !all.contains(&bench) {
                all.push(bench);
            }
            all
        }),
        reduced,
    };
    Some((book, levels, cautions))
}

impl Book {
    fn take(&mut self, row: &Row<'_, '_>, reducing: &Reducing<'_>, complaints: &mut Complaints) {
        let name = row.cell(Field::Point);
        if name.is_empty() {
            complaints.push(row.complaint(Field::Point, "the name of a point", "name what the rod stood on"));
        }
        let [back, side, fore] = [Field::Back, Field::Side, Field::Fore].map(|field| {
            let read = reading(row, field, reducing.rods, complaints)?;
            self.ask(row, field, read, reducing.rods);
            Some(read.whole)
        });
        let distance = self.distance(row, fore.is_some(), complaints);
        let note = row.cell(Field::Description);
        let is_check = note.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|word| word == "check");
        self.rows.push(Sight { point: name.to_owned(), back, side, fore, is_check, distance });
        self.spans.push(row.span(Field::Point));
        let cell = |field| row.cell(field).to_owned();
        self.typed.push(BookRow {
            point: name.to_owned(),
            back: cell(Field::Back),
            side: cell(Field::Side),
            fore: cell(Field::Fore),
            note: note.to_owned(),
        });
    }

    fn distance(&mut self, row: &Row<'_, '_>, has_fore: bool, complaints: &mut Complaints) -> Option<f64> {
        if row.cell(Field::Distance).is_empty() {
            return None;
        }
        let (micro, is_cut) = read_number(row, Field::Distance, complaints, number::micro)?;
        self.rounded += usize::from(is_cut);
        let (expected, help) = if micro <= 0 {
            ("a distance above 0", "book how far it is from the point turned on before")
        } else if !has_fore {
            ("a distance only beside a foresight", "book there how far it is from the point turned on before")
        } else {
            return Some(micro as f64 / MICRO);
        };
        complaints.push(row.complaint(Field::Distance, expected, help));
        None
    }

    /// Keeps what a person will be asked about.
    fn ask(&mut self, row: &Row<'_, '_>, field: Field, read: Reading, rods: Rods) {
        self.rounded += usize::from(read.is_cut);
        self.decimals = self.decimals.max(read.decimals);
        let line = || row.table.source.place(row.start).0;
        if read.is_other {
            let unit = if rods == Rods::Metres { "m" } else { "ft" };
            let value = fixed(read.whole as f64 / crate::level::PARTS as f64, 4);
            let (cell, name) = (row.cell(field), row.cell(Field::Point));
            self.others.push(format!("line {}, {name}: `{cell}` as {value} {unit}", line()));
        }
        if read.whole.abs() > rods.longest() {
            self.long.0 += 1;
            if self.long.0 == 1 {
                self.long.1 = format!("line {}, `{}`", line(), row.cell(field));
            }
        }
    }

    fn complaint(&self, source: &Source, p: Problem) -> Complaint {
        let span = |row: usize| self.spans.get(row).cloned().unwrap_or(0..0);
        let complaint = Complaint::at(source, span(p.row), p.found, p.expected, p.help);
        match p.other {
            Some((row, what)) => complaint.and(source, span(row), what),
            None => complaint,
        }
    }

    fn cautions(&self, source: &Source, rods: Rods) -> Vec<Caution> {
        let label = source.label();
        let mut out = Vec::new();
        let mut say = |text: String| out.push(Caution::new(notes(), text));
        if self.rounded > 0 {
            say(format!("{label}: {} readings were rounded to six decimals.", self.rounded));
        }
        if !self.others.is_empty() {
            let (found, among) = match rods {
                Rods::Tenths => ("feet-inches among tenths", "tenths"),
                Rods::Inches => ("decimals of a foot among feet-inches", "feet-inches"),
                Rods::Metres => ("feet-inches among metres", "metres"),
            };
            let mut named = self.others[..self.others.len().min(MOST_ASKED)].join("; ");
            if self.others.len() > MOST_ASKED {
                named += &format!("; and {} more", self.others.len() - MOST_ASKED);
            }
            say(format!("{label}: {found}, read as what they say: {named}. Were they meant as {among}?"));
        }
        if self.long.0 > 0 {
            let (longest, other) = if rods == Rods::Metres { ("5 m", "feet") } else { ("25 ft", "inches") };
            let (count, first) = &self.long;
            let more = if *count > 1 { format!(" and {} more", count - 1) } else { String::new() };
            say(format!(
                "{label}: {first}{more}, above {longest}: longer than a rod. Is a decimal mark missing, or are these {other}?"
            ));
        }
        out
    }
}

/// The notes, as what a caution is about.
fn notes() -> Subject {
    Subject::Item("survey", "level notes".to_owned())
}

/// Runs that nothing proves.
fn hanging(reduced: &Reduced) -> Vec<Caution> {
    let spurs = reduced.runs.iter().filter(|run| run.kind == RunKind::Spur);
    spurs
        .map(|run| {
            let text = format!(
                "the run from {} to {} is a spur: part of it at least closes on nothing known, and nothing proves its heights",
                run.from, run.to
            );
            Caution::new(notes(), text)
        })
        .collect()
}

#[cfg(test)]
mod tests;
