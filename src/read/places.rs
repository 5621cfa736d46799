//! Where are the names of the field book?
//!
//! In a table of places, else on the taped grid. A name in neither is refused with its row, unless the level was only turned on
//! it. A stake of the grid that lies far from all others is asked about: `X1` may be a mark by that name and no row X.

use super::complaint::{Complaint, Complaints, quoted};
use super::notes::Around;
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Table};
use crate::finding::{Caution, Subject};
use crate::level::{Adjusted, Reduced, Sight};
use crate::outline::Place;
use crate::shots::{Grid, Kind, OffGrid, Shots};
use crate::units::{Elevation, fixed};
use std::collections::HashMap;
use std::ops::Range;

const PLACES: Form = Form {
    required: &[Field::Point, Field::Northing, Field::Easting],
    optional: &[Field::Kind, Field::Description],
    order: &[Field::Point, Field::Northing, Field::Easting, Field::Kind, Field::Description],
};

/// A named place.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedPlace {
    /// Its name.
    pub name: String,
    /// Northing and easting, whole millionths.
    pub place: Place,
    /// What is shot there, if that was said.
    pub kind: Option<Kind>,
    /// Its row.
    pub span: Range<usize>,
}

/// Reads a table of places: names unique, kinds known. `None` where anything was complained of.
pub fn read_places(source: &Source, complaints: &mut Complaints) -> Option<Vec<NamedPlace>> {
    let before = complaints.len();
    let table = Table::open(source, &PLACES, complaints)?;
    let mut out: Vec<NamedPlace> = Vec::new();
    let mut seen: HashMap<String, usize> = HashMap::new();
    table.each_row(complaints, |row, complaints| {
        let name = row.cell(Field::Point);
        if name.is_empty() {
            complaints.push(row.complaint(Field::Point, "a name", "name the place"));
        }
        let n = read_number(&row, Field::Northing, complaints, number::micro);
        let e = read_number(&row, Field::Easting, complaints, number::micro);
        let word = row.cell(Field::Kind);
        let kind = Kind::from_word(word);
        if kind.is_none() && !word.is_empty() {
            let words: Vec<&str> = Kind::WORDS.iter().map(|(w, _)| *w).collect();
            complaints.push(row.complaint(
                Field::Kind,
                &format!("one of {}", words.join(", ")),
                "use one of these words, or leave it empty",
            ));
        }
        if let Some(&first) = seen.get(name) {
            let again = row.complaint(Field::Point, "each name once", "rename one of the two, or remove it");
            complaints.push(again.and(source, out[first].span.clone(), "the first time here"));
        } else if let (Some((n, _)), Some((e, _)), false) = (n, e, name.is_empty()) {
            seen.insert(name.to_owned(), out.len());
            out.push(NamedPlace { name: name.to_owned(), place: (n, e), kind, span: row.span(Field::Point) });
        }
    });
    (complaints.len() == before).then_some(out)
}

/// The field book, and where its names are looked up.
pub(super) struct Placed<'a> {
    pub source: &'a Source,
    pub around: &'a Around<'a>,
    pub grid: Option<&'a Grid>,
    pub rows: &'a [Sight],
    pub spans: &'a [Range<usize>],
}

impl Placed<'_> {
    /// Every point with a place, adjusted.
    pub(super) fn shots(&self, levels: &Reduced, complaints: &mut Complaints) -> Shots {
        let mut shots = Shots::default();
        let mut seen: HashMap<&str, &Adjusted> = HashMap::new();
        let mut taken: HashMap<Place, &str> = HashMap::new();
        let places: HashMap<&str, &NamedPlace> = self.around.places.iter().map(|p| (p.name.as_str(), p)).collect();
        let heights: HashMap<&str, Option<Elevation>> = self.around.reducing.benches.iter().copied().collect();
        // Benches of known height are not measured by the notes: the notes are hung on them.
        for (name, height) in self.around.reducing.benches {
            if let (Some(z), Some(p)) = (height, places.get(name)) {
                shots.push(name, p.place.0, p.place.1, z.job_units(), Kind::Bench);
            }
        }
        for point in &levels.points {
            let name = point.name.as_str();
            if heights.get(name).is_some_and(Option::is_some) {
                continue;
            }
            if let Some(first) = seen.get(name) {
                self.again(point, first, complaints);
                continue;
            }
            seen.insert(name, point);
            let is_bench = heights.contains_key(name);
            let at = match places.get(name) {
                Some(p) => Some((p.place, p.kind)),
                None => match self.grid.map(|g| g.place(name)) {
                    Some(Ok(place)) => Some((place, None)),
                    Some(Err(why)) => self.lost(name, Some(why), is_bench, complaints),
                    None => self.lost(name, None, is_bench, complaints),
                },
            };
            if let Some((place, kind)) = at {
                let kind = kind.unwrap_or(if is_bench { Kind::Bench } else { Kind::Ground });
                if kind == Kind::Ground
                    && let Some(first) = taken.insert(place, name)
                {
                    self.crowded(name, first, complaints);
                    continue;
                }
                shots.push(name, place.0, place.1, point.adjusted.job_units(), kind);
            }
        }
        shots
    }

    fn row_of(&self, name: &str) -> usize {
        self.rows.iter().position(|r| r.point == name).unwrap_or(0)
    }

    /// A bench or a turning point needs no place.
    fn is_spared(&self, name: &str, is_bench: bool) -> bool {
        is_bench || self.rows.iter().any(|r| r.point == name && r.fore.is_some())
    }

    /// Two ground shots at one place under two names.
    fn crowded(&self, name: &str, first: &str, complaints: &mut Complaints) {
        let found = format!("{} at the place of {}", quoted(name), quoted(first));
        let complaint = Complaint::at(
            self.source,
            self.spans[self.row_of(name)].clone(),
            found,
            "one ground shot at one place",
            "mend the name or its place, or take one of the two out",
        );
        complaints.push(complaint.and(self.source, self.spans[self.row_of(first)].clone(), "the first one here"));
    }

    /// A point shot again without being noted as a check.
    fn again(&self, point: &Adjusted, first: &Adjusted, complaints: &mut Complaints) {
        let gap = (point.adjusted - first.adjusted).job_units();
        if gap.abs() <= crate::units::TIE {
            return;
        }
        let rows: Vec<usize> =
            (0..self.rows.len()).filter(|&r| self.rows[r].point == point.name && !self.rows[r].is_check).collect();
        let (one, two) = (rows.first().copied().unwrap_or(0), rows.last().copied().unwrap_or(0));
        let found = format!("{} shot again, {} higher than the first time", quoted(&point.name), fixed(gap, 3));
        let complaint = Complaint::at(
            self.source,
            self.spans[two].clone(),
            found,
            "one height for one name",
            "if the second was to check the first, write `check` in its note; else give it a name of its own",
        );
        complaints.push(complaint.and(self.source, self.spans[one].clone(), "the first time here"));
    }

    /// A name without a place: right for what the level was only turned on.
    fn lost<T>(&self, name: &str, why: Option<OffGrid>, is_bench: bool, complaints: &mut Complaints) -> Option<T> {
        let row = self.row_of(name);
        if self.is_spared(name, is_bench) {
            return None;
        }
        let found = match why {
            Some(OffGrid::Before) => format!("{}, which lies before the first name of the grid", quoted(name)),
            Some(OffGrid::Beyond) => format!("{}, which lies beyond the last name of the grid", quoted(name)),
            Some(_) => format!("{}, which is no name of the grid and no place", quoted(name)),
            None => format!("{}, which is no place", quoted(name)),
        };
        complaints.push(Complaint::at(
            self.source,
            self.spans[row].clone(),
            found,
            "a stake of the grid or a name in the table of places",
            "add it to the places with its northing and easting, or mend the name",
        ));
        None
    }

    /// Stakes taken from the grid that lie far from all others.
    pub(super) fn far(&self, shots: &Shots) -> Vec<Caution> {
        let Some(grid) = self.grid else { return Vec::new() };
        let has_place = |name: &str| self.around.places.iter().any(|p| p.name == name);
        let names = (0..shots.len()).map(|r| shots.names.get(r)).filter(|name| !has_place(name));
        let stakes: Vec<(&str, (i64, i64))> = names.filter_map(|name| Some((name, grid.steps(name).ok()?))).collect();
        let mut out: Vec<Caution> = Vec::new();
        for of in [|s: (i64, i64)| s.0, |s: (i64, i64)| s.1] {
            let Some((from, gap)) = lonely(stakes.iter().map(|s| of(s.1)).collect()) else { continue };
            for (name, _) in stakes.iter().filter(|s| of(s.1) >= from) {
                let text = format!(
                    "taken as a stake of the taped grid, {gap} spacings beyond the next; if it is a mark by that name, \
                     give it a place in the table of places"
                );
                out.push(Caution::new(Subject::Stake((*name).to_owned()), text));
            }
        }
        out
    }
}

/// The farthest row if it lies more than two spacings beyond the next, and farther than any two rows are apart: where it
/// begins, and how far beyond.
fn lonely(mut rows: Vec<i64>) -> Option<(i64, i64)> {
    rows.sort_unstable();
    rows.dedup();
    let gaps: Vec<i64> = rows.windows(2).map(|w| w[1] - w[0]).collect();
    let (&gap, others) = gaps.split_last()?;
    let usual = others.iter().max()?;
    (gap > 2 && gap > *usual).then(|| (rows[rows.len() - 1], gap))
}
