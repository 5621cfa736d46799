//! What was shot in the hole?
//!
//! Columns stake, rod, elevation, setup, time, note, by their header in any order; a stake has a rod or an elevation, or both if they
//! agree. A row whose stake is a bench of the job is a set-up, its rod the one on the bench, or a shot back to it: its note begins with
//! `set up` or `close`, and where it says neither the first such row is a set-up and the last row of the table a closing shot. A rod hangs
//! on the set-up its column setup names, else on the last one above it. A row `HI` with a height and the note `set up` is a set-up without a
//! bench. An apostrophe before a name, as sheets of cells get it, is taken off. A note that begins with `undercut ordered`, with a depth behind it
//! if one was ordered, says whose stone it is.

use super::complaint::{Complaints, quoted};
use super::nearest::nearest;
use super::number;
use super::rods::reading;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Row, Table};
use crate::digcheck::{AsDug, Closing, DugShot, Ordered, SetUpRow};
use crate::finding::{Caution, Subject};
use crate::job::Bench;
use crate::level::{PARTS, Rods};
use crate::surface::same_height;
use crate::units::{LengthUnit, TIE, fixed, parse_length, parse_number};
use std::collections::HashMap;
use std::ops::Range;

const AS_DUG: Form = Form {
    required: &[Field::Point],
    optional: &[Field::Rod, Field::Elevation, Field::SetUp, Field::Time, Field::Description],
    // Without a header a rod cannot be told from a height.
    order: &[],
};

/// What is known of the job: names of its stakes, and its benches.
struct Known<'a> {
    stakes: &'a [&'a str],
    benches: &'a [Bench],
    unit: LengthUnit,
}

/// What a row is called that gives the height of the line of sight itself.
const INSTRUMENT: &str = "HI";

impl Known<'_> {
    fn has(&self, name: &str) -> bool {
        self.stakes.contains(&name) || self.benches.iter().any(|b| b.name == name)
    }

    /// A name as the job has it, without the guard against formulas.
    fn name<'n>(&self, typed: &'n str) -> &'n str {
        match typed.strip_prefix('\'') {
            Some(bare) if !self.has(typed) && self.has(bare) => bare,
            _ => typed,
        }
    }
}

fn is_set_up(note: &str) -> bool {
    let note = note.to_lowercase();
    ["set up", "set-up", "setup"].iter().any(|words| note.starts_with(words))
}

/// A row as it stands.
struct Shot {
    name: String,
    rod: Option<f64>,
    elevation: Option<f64>,
    label: String,
    time: String,
    note: String,
    ordered: Option<Ordered>,
    span: Range<usize>,
    rod_span: Range<usize>,
    row_span: Range<usize>,
    /// Which bench of the job it is.
    bench: Option<usize>,
    /// Whether it is the height of a line of sight.
    is_height: bool,
    /// Whether a cell could not be read.
    is_bad: bool,
}

/// What a row at a bench is for.
#[derive(Clone, Copy, PartialEq)]
enum AtBench {
    SetUp,
    Close,
}

/// Reads the ground as dug at the named stakes of a job. `None` where anything was complained of.
pub fn read_as_dug(
    source: &Source,
    (stakes, benches): (&[&str], &[Bench]),
    unit: LengthUnit,
    complaints: &mut Complaints,
) -> Option<(AsDug, Vec<Caution>)> {
    let before = complaints.len();
    let table = Table::open(source, &AS_DUG, complaints)?;
    if !table.has(Field::Rod) && !table.has(Field::Elevation) {
        let at = source.text().len() - source.text().trim_start().len();
        complaints.push(super::Complaint::at(
            source,
            source.lines_around(&(at..at)),
            "neither a column `rod` nor a column `elevation`",
            "one of the two",
            "add the column with what was read or found at each stake",
        ));
        return None;
    }
    let known = Known { stakes, benches, unit };
    let (mut rows, mut inches) = (Vec::new(), 0);
    table.each_row(complaints, |row, complaints| rows.push(shot(&row, &known, &mut inches, complaints)));
    let mut cautions = table.cautions(source.label());
    let mut about = |text: String| cautions.push(Caution::new(Subject::Table(source.label().to_owned()), text));
    if inches > 0 {
        about(format!("{inches} rods in feet and inches among decimals: read as what they say."));
    }
    let mut draft = Draft { source, known: &known, rows: &rows, out: AsDug::default(), set_up_of: HashMap::new() };
    draft.benches(complaints, &mut about);
    draft.stakes(complaints, &mut about);
    (complaints.len() == before).then_some((draft.out, cautions))
}

fn shot(row: &Row<'_, '_>, known: &Known<'_>, inches: &mut usize, complaints: &mut Complaints) -> Shot {
    let before = complaints.len();
    let name = known.name(row.cell(Field::Point));
    if name.is_empty() {
        complaints.push(row.complaint(Field::Point, "the name of a stake or a bench", "name the stake"));
    }
    let rods = Rods::of(known.unit);
    let rod = reading(row, Field::Rod, rods, complaints);
    *inches += usize::from(rod.is_some_and(|r| r.is_other));
    let has_elevation = !row.cell(Field::Elevation).is_empty();
    let elevation = if has_elevation { read_number(row, Field::Elevation, complaints, number::height) } else { None };
    let bench = known.benches.iter().position(|b| b.name == name);
    if row.cell(Field::Rod).is_empty() && !has_elevation && !name.is_empty() {
        let field = if row.table.has(Field::Rod) { Field::Rod } else { Field::Elevation };
        complaints.push(row.complaint(
            field,
            "what was read there",
            "write the rod or the height, or take the row out",
        ));
    }
    let note = row.cell(Field::Description);
    let is_height = !known.has(name) && name == INSTRUMENT && is_set_up(note) && rod.is_none();
    if !is_height && !name.is_empty() && !known.has(name) {
        let all = known.stakes.iter().copied().chain(known.benches.iter().map(|b| b.name.as_str()));
        let help = match nearest(name, all) {
            Some(near) => format!("the nearest name is `{near}`"),
            None => "check the spelling".to_owned(),
        };
        complaints.push(row.complaint(Field::Point, "a stake of the job, or one of its benches", &help));
    }
    Shot {
        name: name.to_owned(),
        rod: rod.map(|r| r.whole as f64 / PARTS as f64),
        elevation,
        label: row.cell(Field::SetUp).to_owned(),
        time: row.cell(Field::Time).to_owned(),
        note: note.to_owned(),
        ordered: ordered(row, note, known.unit, complaints),
        span: row.span(Field::Point),
        rod_span: row.span(Field::Rod),
        row_span: row.table.row_span(row.start),
        bench,
        is_height,
        is_bad: complaints.len() > before,
    }
}

/// What a note orders. Other notes order nothing.
fn ordered(row: &Row<'_, '_>, note: &str, unit: LengthUnit, complaints: &mut Complaints) -> Option<Ordered> {
    let low = note.to_lowercase();
    let rest = ["undercut ordered", "ordered undercut"].iter().find_map(|words| low.strip_prefix(words))?;
    let depth = rest.trim_start_matches([' ', ':', ',', ';']).trim();
    if !depth.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '.') {
        return Some(Ordered::ToFirm);
    }
    match parse_length(depth, unit).map(crate::units::Length::job_units) {
        Ok(by) if by > 0.0 => Some(Ordered::Down(by)),
        _ => {
            let help = "write `undercut ordered 6 in`, or `undercut ordered` where it was dug to firm ground";
            complaints.push(row.complaint(Field::Description, "a depth with its unit behind `undercut ordered`", help));
            None
        }
    }
}

/// The table being put together.
struct Draft<'a> {
    source: &'a Source,
    known: &'a Known<'a>,
    rows: &'a [Shot],
    out: AsDug,
    /// The set-up a row of the table made, by number.
    set_up_of: HashMap<usize, usize>,
}

impl Draft<'_> {
    fn complain(&self, complaints: &mut Complaints, span: Range<usize>, found: String, expected: &str, help: &str) {
        complaints.push(super::Complaint::at(self.source, span, found, expected, help));
    }

    /// Set-ups first, so that a stake may stand above the one its column names; then what closes them.
    fn benches(&mut self, complaints: &mut Complaints, about: &mut impl FnMut(String)) {
        let mut kinds: HashMap<usize, AtBench> = HashMap::new();
        for (at, row) in self.rows.iter().enumerate() {
            if let Some(instrument) = row.elevation.filter(|_| row.is_height) {
                self.set_up_of.insert(at, self.out.set_ups.len());
                self.out.set_ups.push(SetUpRow { bench: row.name.clone(), rod: None, instrument });
            }
            let Some(bench) = row.bench.map(|k| &self.known.benches[k]) else { continue };
            let (note, last) = (row.note.to_lowercase(), at + 1 == self.rows.len());
            let kind = match (row.rod, row.elevation) {
                (None, _) => AtBench::Close,
                _ if is_set_up(&note) => AtBench::SetUp,
                _ if note.starts_with("clos") || note.starts_with("check") => AtBench::Close,
                _ if self.out.set_ups.is_empty() => AtBench::SetUp,
                _ if last => AtBench::Close,
                _ => {
                    let found = format!("{} again, without a word what for", quoted(&row.name));
                    let help = "say `set up` where the level was moved, `close` where it was only looked at";
                    self.complain(
                        complaints,
                        row.row_span.clone(),
                        found,
                        "a note that begins with `set up` or `close`",
                        help,
                    );
                    AtBench::SetUp
                }
            };
            kinds.insert(at, kind);
            let (AtBench::SetUp, Some(rod)) = (kind, row.rod) else { continue };
            let instrument = bench.elevation.job_units() + rod;
            if let Some(said) =
                said_instrument(&row.note).filter(|said| (said - instrument).abs() > same_height(self.known.unit) + TIE)
            {
                let [said, found] = [said, instrument].map(|v| fixed(v, 3));
                about(format!(
                    "{} says HI {said} in its note; its bench and rod give {found}, which counts.",
                    quoted(&row.name)
                ));
            }
            if let Some(said) =
                row.elevation.filter(|z| (z - bench.elevation.job_units()).abs() > same_height(self.known.unit) + TIE)
            {
                let found = format!("elevation {} for {}", fixed(said, 3), quoted(&row.name));
                let known = format!("{}, as the job has it, or none", fixed(bench.elevation.job_units(), 3));
                let help = "leave the height of a set-up out: the job knows its benches";
                self.complain(complaints, row.row_span.clone(), found, &known, help);
            }
            self.set_up_of.insert(at, self.out.set_ups.len());
            self.out.set_ups.push(SetUpRow { bench: bench.name.clone(), rod: Some(rod), instrument });
        }
        for (at, row) in self.rows.iter().enumerate() {
            let (Some(AtBench::Close), Some(bench)) = (kinds.get(&at), row.bench) else { continue };
            let known = self.known.benches[bench].elevation.job_units();
            match self.height(at, complaints) {
                Some((found, set_up)) => {
                    let closing = Closing { bench: row.name.clone(), set_up, off: found - known };
                    let same = |c: &&mut Closing| c.bench == closing.bench && c.set_up == set_up;
                    match self.out.closings.iter_mut().find(same) {
                        Some(before) => {
                            let [first, then] = [before.off, closing.off].map(|v| fixed(v, 3));
                            about(format!(
                                "{} was looked at again from one set-up: {first} off, then {then}, which counts.",
                                closing.bench
                            ));
                            *before = closing;
                        }
                        None => self.out.closings.push(closing),
                    }
                }
                None => continue,
            }
        }
    }

    fn stakes(&mut self, complaints: &mut Complaints, about: &mut impl FnMut(String)) {
        let mut first: HashMap<&str, usize> = HashMap::new();
        let mut again = Vec::new();
        for (at, row) in self.rows.iter().enumerate() {
            if row.bench.is_some() || row.is_height || row.name.is_empty() {
                continue;
            }
            if let Some(&other) = first.get(row.name.as_str()) {
                let other = &self.rows[other];
                if (other.rod, other.elevation) == (row.rod, row.elevation) && !row.is_bad && other.label == row.label {
                    again.push(row.name.as_str());
                    continue;
                }
                let found = format!("{} a second time", quoted(&row.name));
                let help = "keep the shot that counts: after trimming that is the later one";
                let complaint =
                    super::Complaint::at(self.source, row.span.clone(), found, "one shot for a stake", help);
                complaints.push(complaint.and(self.source, other.span.clone(), "the first time here"));
                continue;
            }
            first.insert(&row.name, at);
            let Some((height, set_up)) = self.height(at, complaints) else { continue };
            self.out.shots.push(DugShot {
                stake: row.name.clone(),
                height,
                rod: row.rod,
                set_up,
                time: row.time.clone(),
                note: row.note.clone(),
                ordered: row.ordered,
            });
        }
        if !again.is_empty() {
            about(format!("{} stand twice with the same shot: taken once.", again.join(", ")));
        }
    }

    /// Height of a row, and the set-up it hangs on.
    fn height(&self, at: usize, complaints: &mut Complaints) -> Option<(f64, Option<usize>)> {
        let row = &self.rows[at];
        let Some(rod) = row.rod else { return Some((row.elevation?, None)) };
        let named = |k: &&usize| self.rows[**k].label == row.label;
        let by_name = self.set_up_of.keys().filter(|_| !row.label.is_empty()).filter(named).max();
        let above = (0..at).rev().find(|k| self.set_up_of.contains_key(k));
        let Some(set_up) = by_name.copied().or(above).and_then(|k| self.set_up_of.get(&k).copied()) else {
            if row.is_bad {
                return None;
            }
            let benches: Vec<&str> = self.known.benches.iter().map(|b| b.name.as_str()).collect();
            let help = match benches.as_slice() {
                [] => "the job has no bench: give heights in a column `elevation`".to_owned(),
                all => format!("add a row above it: the bench ({}), its rod, `set up`", all.join(", ")),
            };
            let found = "a rod and no set-up above it".to_owned();
            self.complain(complaints, row.rod_span.clone(), found, "a row of a bench with its rod first", &help);
            return None;
        };
        let height = self.out.set_ups[set_up].instrument - rod;
        if let Some(said) = row.elevation.filter(|z| (z - height).abs() > same_height(self.known.unit) + TIE) {
            let found = format!("elevation {} and a rod that gives {}", fixed(said, 3), fixed(height, 3));
            let help = "mend one of the two, or leave one out";
            self.complain(complaints, row.row_span.clone(), found, "a rod and a height that agree", help);
            return None;
        }
        Some((height, Some(set_up)))
    }
}

/// The height of instrument a note of a set-up says: `set up; HI 107.00`.
fn said_instrument(note: &str) -> Option<f64> {
    let at = note.find("HI ")?;
    let word = note[at + 3..].split([' ', ';', ',']).find(|w| !w.is_empty())?;
    parse_number(word).ok()
}
