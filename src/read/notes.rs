//! What does the field book say, and where are the names in it?
//!
//! Level notes `point,bs,is,fs,note` in field-book order give heights; places come from a table of places, else from the taped
//! grid. A name in neither is refused with its row, unless the level was only turned on it.

use super::complaint::{Complaint, Complaints, quoted};
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Table};
use crate::finding::{Caution, Subject};
use crate::level::{Adjusted, Reduced, Rule, Sight, reduce};
use crate::outline::Place;
use crate::shots::{Grid, Kind, MICRO, OffGrid, Shots};
use crate::units::{Elevation, Length, fixed};
use std::collections::HashMap;
use std::ops::Range;

const NOTES: Form = Form {
    required: &[Field::Point, Field::Back, Field::Side, Field::Fore],
    optional: &[Field::Description],
    order: &[Field::Point, Field::Back, Field::Side, Field::Fore, Field::Description],
};

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

/// Where names of the notes are, and which of them have heights.
#[derive(Debug)]
pub struct Around<'a> {
    /// The taped grid.
    pub grid: Option<&'a Grid>,
    /// Names off the grid, or in its stead.
    pub places: &'a [NamedPlace],
    /// Benches of the job with the height of those that have one.
    pub benches: &'a [(&'a str, Option<Elevation>)],
    /// Most the misclosure may be, times the root of the set-ups.
    pub allowed: Length,
    /// Whether side shots take the backsight's correction.
    pub sides_with_backsight: bool,
}

/// A survey from the field book.
#[derive(Clone, Debug)]
pub struct Levelled {
    /// Every point with a place, adjusted.
    pub shots: Shots,
    /// How the notes were reduced.
    pub levels: Reduced,
    /// What the person should know.
    pub cautions: Vec<Caution>,
}

/// Reads and reduces level notes and gives their points a place. `None` where anything was complained of.
pub fn read_notes(source: &Source, around: &Around<'_>, complaints: &mut Complaints) -> Option<Levelled> {
    let before = complaints.len();
    let table = Table::open(source, &NOTES, complaints)?;
    let mut rows: Vec<Sight> = Vec::new();
    let mut spans: Vec<Range<usize>> = Vec::new();
    let mut rounded = 0_usize;
    table.each_row(complaints, |row, complaints| {
        let name = row.cell(Field::Point);
        if name.is_empty() {
            complaints.push(row.complaint(Field::Point, "the name of a point", "name what the rod stood on"));
        }
        let mut reading = |field| {
            let read = (!row.cell(field).is_empty()).then(|| read_number(&row, field, complaints, number::micro));
            read.flatten().map(|(whole, is_cut)| {
                rounded += usize::from(is_cut);
                whole
            })
        };
        let (back, side, fore) = (reading(Field::Back), reading(Field::Side), reading(Field::Fore));
        let note = row.cell(Field::Description).to_lowercase();
        let is_check = note.split(|c: char| !c.is_alphanumeric()).any(|word| word == "check");
        rows.push(Sight { point: name.to_owned(), back, side, fore, is_check });
        spans.push(row.span(Field::Point));
    });
    if complaints.len() > before {
        return None;
    }
    let known = |name: &str| around.benches.iter().find(|(bench, _)| *bench == name).and_then(|(_, height)| *height);
    let rule = Rule { places: MICRO, allowed: around.allowed, sides_with_backsight: around.sides_with_backsight };
    let levels = match reduce(&rows, known, rule) {
        Ok(levels) => levels,
        Err(problems) => {
            for p in problems {
                let at = spans.get(p.row).cloned().unwrap_or(0..0);
                complaints.push(Complaint::at(source, at, p.found, p.expected, p.help));
            }
            return None;
        }
    };
    let place = Placed { source, around, rows: &rows, spans: &spans };
    let shots = place.shots(&levels, complaints);
    let mut cautions = table.cautions("existing");
    if rounded > 0 {
        let text = format!("{}: {rounded} readings were rounded to six decimals.", source.label());
        cautions.push(Caution::new(Subject::Table("existing".to_owned()), text));
    }
    (complaints.len() == before).then_some(Levelled { shots, levels, cautions })
}

struct Placed<'a> {
    source: &'a Source,
    around: &'a Around<'a>,
    rows: &'a [Sight],
    spans: &'a [Range<usize>],
}

impl Placed<'_> {
    fn shots(&self, levels: &Reduced, complaints: &mut Complaints) -> Shots {
        let mut shots = Shots::default();
        let mut seen: HashMap<&str, &Adjusted> = HashMap::new();
        let mut taken: HashMap<Place, &str> = HashMap::new();
        let places: HashMap<&str, &NamedPlace> = self.around.places.iter().map(|p| (p.name.as_str(), p)).collect();
        let heights: HashMap<&str, Option<Elevation>> = self.around.benches.iter().copied().collect();
        // Benches of known height are not measured by the notes: the notes are hung on them.
        for (name, height) in self.around.benches {
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
                None => match self.around.grid.map(|g| g.place(name)) {
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
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shots::Way;

    fn read(notes: &str, places: &[NamedPlace]) -> (Option<Levelled>, String) {
        let source = Source::read("notes.csv", format!("point,bs,is,fs,note\n{notes}").into_bytes()).expect("is text");
        let grid = Grid::new("A1", (500_000_000, 1_000_000_000), 10.0, Way::North, Way::East).expect("is a grid");
        let around = Around {
            grid: Some(&grid),
            places,
            benches: &[("BM1", Some(Elevation::in_job_units(100.0)))],
            allowed: Length::in_job_units(0.02),
            sides_with_backsight: false,
        };
        let mut complaints = Complaints::default();
        let read = read_notes(&source, &around, &mut complaints);
        (read, complaints.render(&[&source]))
    }

    #[test]
    fn what_was_only_turned_on_is_no_stake_of_a_far_row() {
        let (read, said) = read("BM1,5.00,,,\nA1,,4.00,,\nTP1,5.00,,5.00,\nB7,,4.5,,\nBM1,,,5.00,\n", &[]);
        let shots = read.unwrap_or_else(|| panic!("{said}")).shots;
        let names: Vec<&str> = (0..shots.len()).map(|r| shots.names.get(r)).collect();
        assert_eq!(names, ["A1", "B7"]);
        assert_eq!(shots.place(1), (510.0, 1060.0));
        // A stake of the grid that was turned on is one all the same.
        let (read, said) = super::tests::read("BM1,5.00,,,\nC3,5.00,,5.00,\nBM1,,,5.00,\n", &[]);
        assert_eq!(read.unwrap_or_else(|| panic!("{said}")).shots.place(0), (520.0, 1020.0));
    }

    #[test]
    fn names_without_a_place_and_places_shot_twice_are_refused() {
        let h1 = NamedPlace { name: "H-1".to_owned(), place: (500_000_000, 1_000_000_000), kind: None, span: 0..0 };
        let notes = "BM1,5.00,,,\nA1,,4.00,,\nH-1,,4.10,,\nQ-2,,4.1,,\nA1,,4.2,,\nBM1,,,5.00,\n";
        let (read, said) = read(notes, &[h1]);
        assert!(read.is_none());
        for part in ["line 4", "`H-1` at the place of `A1`", "line 5", "`Q-2`", "line 6", "shot again"] {
            assert!(said.contains(part), "{part} is missing in\n{said}");
        }
    }
}
