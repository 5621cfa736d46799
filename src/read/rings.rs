//! What ground does a table of rings enclose?
//!
//! Columns ring, northing, easting. The first ring encloses, the others are holes in it, a ring inside a hole an island. A ring may end with its first
//! corner again or not, and run either way. Without a ring column all rows are one ring.

use super::complaint::{Complaint, Complaints, quoted};
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Table};
use crate::finding::{Caution, Subject};
use crate::outline::{self, Fault, Place};
use std::ops::Range;

const RINGS: Form = Form {
    required: &[Field::Northing, Field::Easting],
    optional: &[Field::Ring, Field::Description],
    order: &[Field::Ring, Field::Northing, Field::Easting, Field::Description],
};

/// The limit of the work.
#[derive(Clone, Debug)]
pub struct Limit {
    /// Rings of (northing, easting) in whole millionths, not closed; the first encloses, the rest are holes.
    pub rings: Vec<Vec<Place>>,
    /// What the person should know about how it was read.
    pub cautions: Vec<Caution>,
}

/// Reads a table of rings. `None` where anything was complained of.
pub fn read_rings(source: &Source, complaints: &mut Complaints) -> Option<Limit> {
    let before = complaints.len();
    let table = Table::open(source, &RINGS, complaints)?;
    let mut names: Vec<String> = Vec::new();
    let mut rings: Vec<Vec<Place>> = Vec::new();
    let mut starts: Vec<Vec<usize>> = Vec::new();
    let mut rounded = 0_usize;
    table.each_row(complaints, |row, complaints| {
        let name = row.cell(Field::Ring);
        if table.has(Field::Ring) && name.is_empty() {
            complaints.push(row.complaint(Field::Ring, "the name of a ring", "name the ring this corner belongs to"));
            return;
        }
        if names.last().is_none_or(|last| last != name) {
            if names.iter().any(|n| n == name) {
                let expected = "each ring's corners together";
                complaints.push(row.complaint(
                    Field::Ring,
                    expected,
                    "move the row to its ring, or give a new ring a new name",
                ));
                return;
            }
            names.push(name.to_owned());
            rings.push(vec![]);
            starts.push(vec![]);
        }
        let mut read = |field| read_number(&row, field, complaints, number::micro);
        let (northing, easting) = (read(Field::Northing), read(Field::Easting));
        if let (Some((n, cut_n)), Some((e, cut_e)), Some(ring), Some(rows)) =
            (northing, easting, rings.last_mut(), starts.last_mut())
        {
            rounded += usize::from(cut_n || cut_e);
            ring.push((n, e));
            rows.push(row.start);
        }
    });
    if complaints.len() > before {
        return None;
    }
    for ring in rings.iter_mut().filter(|ring| ring.len() > 1) {
        if ring.first() == ring.last() {
            ring.pop();
        }
    }
    let telling = Telling { table: &table, names: &names, starts: &starts };
    // A ring inside a hole is an island: ground inside an odd number of rings counts.
    for fault in outline::faults(&rings).into_iter().filter(|f| !f.is_island()) {
        complaints.push(telling.of(fault));
    }
    let mut cautions = table.cautions("limit");
    if rounded > 0 {
        let text = format!("{}: {rounded} corners were rounded to six decimals.", source.label());
        cautions.push(Caution::new(Subject::Table("limit".into()), text));
    }
    (complaints.len() == before).then_some(Limit { rings, cautions })
}

/// Turns faults of rings into complaints about rows.
struct Telling<'a, 's> {
    table: &'a Table<'s>,
    names: &'a [String],
    starts: &'a [Vec<usize>],
}

impl Telling<'_, '_> {
    fn of(&self, fault: Fault) -> Complaint {
        let source = self.table.source;
        let at = |ring, corner, found: String, expected: &str, help: &str| {
            Complaint::at(source, self.span(ring, corner), found, expected, help)
        };
        let redraw = "mend the order of the corners, or the one that is out of place";
        match fault {
            Fault::TooFew { ring } => at(
                ring,
                0,
                format!("{} with fewer than three corners", self.ring(ring)),
                "at least three corners",
                "add the missing ones",
            ),
            Fault::Flat { ring } => at(
                ring,
                0,
                format!("{} with all corners in one line", self.ring(ring)),
                "a ring that encloses ground",
                redraw,
            ),
            Fault::Repeated { ring, first, again } => at(
                ring,
                again,
                format!("a corner of {} a second time", self.ring(ring)),
                "each corner once (only the last may repeat the first)",
                "remove one of the two",
            )
            .and(source, self.span(ring, first), "the first time here"),
            Fault::Meet { one, other } if one.0 == other.0 => {
                let found =
                    format!("{} crossing or touching itself: the edge from this corner to the next", self.ring(one.0));
                at(other.0, other.1, found, "edges that meet only at their corners", redraw).and(
                    source,
                    self.span(one.0, one.1),
                    "and the edge from this one to the next",
                )
            }
            Fault::Meet { one, other } => {
                let found = format!(
                    "{} meeting {}: the edge from this corner to the next",
                    self.ring(other.0),
                    self.ring(one.0)
                );
                at(
                    other.0,
                    other.1,
                    found,
                    "rings that keep clear of each other",
                    "draw the outer ring round the hole, or join the two",
                )
                .and(source, self.span(one.0, one.1), "and the edge from this one to the next")
            }
            Fault::Astray { ring } => at(
                ring,
                0,
                format!("{} outside {}", self.ring(ring), self.ring(0)),
                "holes inside the first ring",
                "put the ring that encloses first",
            ),
            Fault::Nested { ring, within } => at(
                ring,
                0,
                format!("{} inside {}", self.ring(ring), self.ring(within)),
                "rings beside each other",
                "remove the inner one",
            ),
        }
    }

    fn ring(&self, ring: usize) -> String {
        match self.names.get(ring) {
            Some(name) if !name.is_empty() => format!("ring {}", quoted(name)),
            _ => "the ring".to_owned(),
        }
    }

    fn span(&self, ring: usize, corner: usize) -> Range<usize> {
        self.starts.get(ring).and_then(|rows| rows.get(corner)).map_or(0..0, |&start| self.table.row_span(start))
    }
}
