//! What does a table of shots say?
//!
//! Columns point, northing, easting, elevation; kind and description if there are any. The one-table form has
//! existing and proposed instead of elevation; a stake may leave one of the two empty.
//!
//! One name, one place. A second position, height or kind for a name is refused, both rows marked; so are two heights
//! for one place under two names, among shots of one kind (the rim and the invert of an inlet, the curb and the ground
//! at its foot, may share a place). A row that is given twice counts once, and of two names for one shot the first
//! counts; both are said. What looks wrong but may be meant is asked about (`suspect.rs`).
//!
//! Heights are decimal, in the job's unit; feet and inches among them (`101-4 1/2`, `101'4"`) are read as they say, with a caution.

use super::cells::row_span;
use super::complaint::{Complaint, Complaints, quoted};
use super::number::{self, BadNumber};
use super::source::Source;
use super::suspect::{self, Slip, Typed};
use super::table::{Field, Form, Row, Table};
use super::twins::{Pair, name_twins, place_twins};
use crate::finding::{Caution, Subject};
use crate::outline;
use crate::par;
use crate::shots::{Kind, Shots};
use crate::units::{LengthUnit, fixed};
use std::ops::Range;

const SHOTS: Form = Form {
    required: &[Field::Point, Field::Northing, Field::Easting, Field::Elevation],
    optional: &[Field::Description, Field::Kind],
    order: &[Field::Point, Field::Northing, Field::Easting, Field::Elevation, Field::Description],
};

const BOTH: Form = Form {
    required: &[Field::Point, Field::Northing, Field::Easting, Field::Existing, Field::Proposed],
    optional: &[Field::Description, Field::Kind],
    order: &[Field::Point, Field::Northing, Field::Easting, Field::Existing, Field::Proposed, Field::Description],
};

/// A survey that was read.
#[derive(Clone, Debug)]
pub struct Survey {
    /// What it is called in findings: `existing`, `proposed`, `before`, ...
    pub name: String,
    /// Its shots, unique in name, and in place among those of one kind.
    pub shots: Shots,
    /// What the person should know about how it was read.
    pub cautions: Vec<Caution>,
    /// First byte of each shot's row.
    starts: Vec<u32>,
    delimiter: u8,
}

impl Survey {
    /// The stretch of `source` a shot was read from.
    #[must_use]
    pub fn row_span(&self, source: &Source, row: usize) -> Range<usize> {
        self.starts.get(row).map_or(0..0, |&start| row_span(source, start as usize, self.delimiter))
    }

    /// Line of `source` a shot was read from.
    #[must_use]
    pub fn line(&self, source: &Source, row: usize) -> usize {
        source.place(self.row_span(source, row).start).0
    }
}

/// Reads a table of shots of a job in that unit. `None` where anything was complained of.
pub fn read_shots(source: &Source, name: &str, unit: LengthUnit, complaints: &mut Complaints) -> Option<Survey> {
    let before = complaints.len();
    let table = Table::open(source, &SHOTS, complaints)?;
    let mut survey = Draft::new(name, unit, &table);
    table.each_row(complaints, |row, complaints| {
        let cells = Cells::of(&row, complaints);
        survey.add(&cells, Field::Elevation, complaints);
    });
    survey.finish(complaints, before)
}

/// Reads the one-table form: `existing` and `proposed`, in this order. `None` where anything was complained of.
pub fn read_both(source: &Source, unit: LengthUnit, complaints: &mut Complaints) -> Option<(Survey, Survey)> {
    let before = complaints.len();
    let table = Table::open(source, &BOTH, complaints)?;
    let (mut existing, mut proposed) = (Draft::new("existing", unit, &table), Draft::new("proposed", unit, &table));
    table.each_row(complaints, |row, complaints| {
        let cells = Cells::of(&row, complaints);
        let (old, new) = (Field::Existing, Field::Proposed);
        if row.cell(old).is_empty() && row.cell(new).is_empty() {
            complaints.push(row.complaint(old, "a height, existing or proposed", "fill it in, or leave the row out"));
        }
        for (field, draft) in [(old, &mut existing), (new, &mut proposed)] {
            if !row.cell(field).is_empty() {
                draft.add(&cells, field, complaints);
            }
        }
    });
    let (existing, proposed) = (existing.finish(complaints, before), proposed.finish(complaints, before));
    let (existing, mut proposed) = existing.zip(proposed)?;
    // What both say of the one file is said once.
    proposed.cautions.retain(|c| !existing.cautions.iter().any(|e| e.text == c.text));
    Some((existing, proposed))
}

/// The cells of a row both forms share.
struct Cells<'a, 's> {
    row: &'a Row<'a, 's>,
    name: &'a str,
    place: Option<(i64, i64)>,
    kind: Option<Kind>,
    rounded: bool,
}

impl<'a, 's> Cells<'a, 's> {
    fn of(row: &'a Row<'a, 's>, complaints: &mut Complaints) -> Self {
        let mut rounded = false;
        let name = row.cell(Field::Point);
        let plain = !name.is_empty() && name.bytes().all(|b| matches!(b, b' '..=b'~'));
        if plain {
            // As nearly all are: letters of a plain keyboard.
        } else if name.is_empty() || name.contains(char::is_control) {
            complaints.push(row.complaint(Field::Point, "a name, on one line", "give the shot a name of its own"));
        } else if name.contains(is_unseen) {
            let expected = "a name whose signs can all be seen";
            complaints.push(row.complaint(
                Field::Point,
                expected,
                "type the name anew; two that look alike must be alike",
            ));
        }
        let mut place = |field| {
            let (value, cut) = read_number(row, field, complaints, number::micro)?;
            rounded |= cut;
            Some(value)
        };
        // Both are read before either can end the work, so that both are complained of.
        let (northing, easting) = (place(Field::Northing), place(Field::Easting));
        let word = row.cell(Field::Kind);
        let kind = if word.is_empty() { Some(Kind::Ground) } else { Kind::from_word(word) };
        if kind.is_none() {
            let words = Kind::WORDS.map(|(word, _)| word).join(", ");
            complaints.push(row.complaint(
                Field::Kind,
                &format!("one of {words}"),
                "use one of these words, or leave the cell empty for ground",
            ));
        }
        Self { row, name, place: northing.zip(easting), kind, rounded }
    }
}

/// Signs without width or that turn the writing round. Joiners some scripts spell with are not among them.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// A number by `parse`, or a complaint about its cell.
#[inline]
pub(super) fn read_number<T>(
    row: &Row<'_, '_>,
    field: Field,
    complaints: &mut Complaints,
    parse: impl Fn(&str, bool) -> Result<T, BadNumber>,
) -> Option<T> {
    let cell = row.cell(field);
    let bad = match parse(cell, row.table.decimal_comma()) {
        Ok(value) if !row.table.changes_mark(cell) => return Some(value),
        Ok(_) => BadNumber {
            expected: "the decimal mark of the rows before",
            help: "write all numbers with the same mark, and leave out thousands marks",
        },
        Err(bad) => bad,
    };
    complaints.push(row.complaint(field, bad.expected, bad.help));
    None
}

/// A survey in the making.
struct Draft<'a, 's> {
    table: &'a Table<'s>,
    name: String,
    unit: LengthUnit,
    shots: Shots,
    starts: Vec<u32>,
    rounded: usize,
    /// Heights in feet and inches: how many, and the first few in words.
    feet: (usize, Vec<String>),
    typed: Typed,
    cautions: Vec<Caution>,
}

/// So many rows are named in a caution, the others counted.
const NAMED: usize = 3;

impl<'a, 's> Draft<'a, 's> {
    fn new(name: &str, unit: LengthUnit, table: &'a Table<'s>) -> Self {
        let rows = table.rows_about();
        Self {
            table,
            name: name.to_owned(),
            unit,
            shots: Shots::with_room(rows),
            starts: Vec::with_capacity(rows),
            rounded: 0,
            feet: (0, vec![]),
            typed: Typed::default(),
            cautions: table.cautions(name),
        }
    }

    fn add(&mut self, cells: &Cells<'_, '_>, field: Field, complaints: &mut Complaints) {
        let row = cells.row;
        let parse = |text: &str, comma| number::height_or_feet(text, comma, self.unit);
        let Some((z, feet)) = read_number(row, field, complaints, parse) else { return };
        let name = cells.name;
        self.typed.see(|| row.cell(field));
        if feet {
            self.feet.0 += 1;
            if self.feet.0 <= NAMED {
                let (line, typed) = (self.table.source.place(row.start).0, quoted(row.cell(field)));
                let read = format!("{} {}", fixed(z, 4), self.unit.length());
                self.feet.1.push(format!("{name} (line {line}: {typed} is {read})"));
            }
        }
        if let (Some((n, e)), Some(kind), false) = (cells.place, cells.kind, name.is_empty()) {
            self.shots.push(name, n, e, z, kind);
            // A source is below 4 GiB.
            self.starts.push(u32::try_from(cells.row.start).unwrap_or(u32::MAX));
            self.rounded += usize::from(cells.rounded);
        }
    }

    /// Holds the rows against one another. `before`: how many complaints there were before this table.
    fn finish(mut self, complaints: &mut Complaints, before: usize) -> Option<Survey> {
        if self.rounded > 0 {
            let (count, label) = (self.rounded, self.table.source.label());
            let rows = if count == 1 { "row has a place" } else { "rows have places" };
            self.caution(format!("{label}: {count} {rows} with more than six decimals; they were rounded to six."));
        }
        let (by_name, by_place) = par::both(|| name_twins(&self.shots), || place_twins(&self.shots));
        let mut dropped = self.names(by_name, complaints);
        dropped.extend(self.places(by_place, &dropped, complaints));
        if !dropped.is_empty() {
            dropped.sort_unstable();
            self.leave_out(&dropped);
        }
        if complaints.len() == before {
            self.enough(complaints);
            self.ask();
        }
        self.shots.shrink_to_fit();
        self.starts.shrink_to_fit();
        (complaints.len() == before).then_some(Survey {
            name: self.name,
            shots: self.shots,
            cautions: self.cautions,
            starts: self.starts,
            delimiter: self.table.delimiter(),
        })
    }

    /// Asks about what looks wrong but may be meant. Every value stands as typed.
    fn ask(&mut self) {
        let label = self.table.source.label();
        if self.feet.0 > 0 {
            let rows = and_more(std::mem::take(&mut self.feet.1), self.feet.0);
            self.caution(format!(
                "{label}: heights in feet and inches were read as they say: {rows}. The others are decimal."
            ));
        }
        if self.typed.like_inches() {
            self.caution(format!(
                "{label}: no height has more than .11 behind the point, as if that were inches. Taken as decimal: write \
                 feet and inches as 101-11 if they are meant."
            ));
        }
        for (slip, rows) in suspect::slips(&self.shots) {
            let shots = &self.shots;
            let named = rows.iter().take(NAMED).map(|&row| {
                let ((n, e), line) = (shots.place(row), self.table.source.place(self.starts[row] as usize).0);
                let place = format!("line {line}: N {}, E {}", fixed(n, 2), fixed(e, 2));
                // Said once of one row, whichever height it has.
                let up =
                    if slip == Slip::Exchanged { String::new() } else { format!(", height {}", shots.elevation[row]) };
                format!("{} ({place}{up})", shots.names.get(row))
            });
            let named = and_more(named.collect(), rows.len());
            let which = if rows.len() == 1 { "this row" } else { "these rows" };
            self.caution(format!(
                "{label}: {}: {named}. Taken as typed: mend {which} if that is not meant.",
                slip.found()
            ));
        }
    }

    fn caution(&mut self, text: String) {
        self.cautions.push(Caution::new(Subject::Table(self.name.clone()), text));
    }

    /// Rows with a name that was there before: complains, or returns those that say the same.
    fn names(&mut self, pairs: Vec<Pair>, complaints: &mut Complaints) -> Vec<usize> {
        let shots = &self.shots;
        let (same, other): (Vec<_>, Vec<_>) = pairs.into_iter().partition(|&(first, row)| {
            (shots.northing[first], shots.easting[first]) == (shots.northing[row], shots.easting[row])
                && shots.elevation[first] == shots.elevation[row]
                && shots.kind[first] == shots.kind[row]
        });
        for (first, row) in other {
            let differ = [
                (shots.northing[first], shots.easting[first]) != (shots.northing[row], shots.easting[row]),
                shots.elevation[first] != shots.elevation[row],
            ];
            let what = match differ {
                [true, _] => "another place",
                [false, true] => "another height",
                _ => "another kind",
            };
            let name = quoted(shots.names.get(row));
            complaints.push(self.pair(
                first,
                row,
                format!("{name} a second time with {what}"),
                "one place, one height and one kind for a name",
                "rename one of the two, or remove the wrong one",
            ));
        }
        self.say_pairs(&same, "given twice and counted once");
        same.into_iter().map(|(_, row)| row).collect()
    }

    /// Rows of one kind at a place that was there before under another name: complains, or returns those that say the same.
    fn places(&mut self, pairs: Vec<Pair>, dropped: &[usize], complaints: &mut Complaints) -> Vec<usize> {
        let shots = &self.shots;
        // What the names already said is not said again.
        let fresh = |&(first, row): &Pair| {
            dropped.binary_search(&row).is_err() && shots.names.get(first) != shots.names.get(row)
        };
        let (same, other): (Vec<_>, Vec<_>) =
            pairs.into_iter().filter(fresh).partition(|&(first, row)| shots.elevation[first] == shots.elevation[row]);
        for (first, row) in other {
            let (a, b) = (shots.names.get(first), shots.names.get(row));
            complaints.push(self.pair(
                first,
                row,
                format!("two heights for one place, under the names {} and {}", quoted(a), quoted(b)),
                "one height for a place",
                "remove the wrong one, or mend its place",
            ));
        }
        self.say_pairs(&same, "the same shot under two names, the first counts");
        same.into_iter().map(|(_, row)| row).collect()
    }

    fn pair(&self, first: usize, row: usize, found: String, expected: &str, help: &str) -> Complaint {
        let span = |row: usize| self.table.row_span(self.starts[row] as usize);
        let source = self.table.source;
        Complaint::at(source, span(row), found, expected, help).and(source, span(first), "the first time here")
    }

    /// One caution for all pairs; the first few are named.
    fn say_pairs(&mut self, pairs: &[Pair], what: &str) {
        if pairs.is_empty() {
            return;
        }
        let source = self.table.source;
        let named: Vec<_> = pairs
            .iter()
            .take(NAMED)
            .map(|&(first, row)| {
                let line = |row: usize| source.place(self.starts[row] as usize).0;
                let names = (self.shots.names.get(first), self.shots.names.get(row));
                let name = if names.0 == names.1 { names.0.to_owned() } else { format!("{} and {}", names.0, names.1) };
                format!("{name} (lines {} and {})", line(first), line(row))
            })
            .collect();
        self.caution(format!("{}: {what}: {}.", source.label(), and_more(named, pairs.len())));
    }

    fn leave_out(&mut self, dropped: &[usize]) {
        let mut kept = Shots::default();
        let mut starts = Vec::with_capacity(self.starts.len());
        for row in (0..self.shots.len()).filter(|row| dropped.binary_search(row).is_err()) {
            let s = &self.shots;
            kept.push(s.names.get(row), s.northing[row], s.easting[row], s.elevation[row], s.kind[row]);
            starts.push(self.starts[row]);
        }
        (self.shots, self.starts) = (kept, starts);
    }

    /// Three ground shots that are not in one line make a surface.
    fn enough(&self, complaints: &mut Complaints) {
        let shots = &self.shots;
        let count = shots.ground_rows().count();
        let places = shots.ground_rows().map(|row| (shots.northing[row], shots.easting[row]));
        let found = if count < 3 {
            let noun = if count == 1 { "shot" } else { "shots" };
            format!("{count} ground {noun} among the {} ones", self.name)
        } else if outline::on_one_line(places) {
            format!("{count} ground shots in one straight line among the {} ones", self.name)
        } else {
            return;
        };
        complaints.push(Complaint::without_place(
            self.table.source.label(),
            found,
            "at least three that span some ground",
            "add shots beside the line; only rows of kind ground make the surface",
        ));
    }
}

/// Those that are named, and how many more there are.
fn and_more(mut named: Vec<String>, count: usize) -> String {
    if let Some(more) = count.checked_sub(named.len()).filter(|&more| more > 0) {
        named.push(format!("and {more} more"));
    }
    named.join(", ")
}
