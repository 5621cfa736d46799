//! Which lines may the surface not bridge?
//!
//! Columns `line,point` (names of ground shots) or `line,northing,easting,elevation`; a table may have both kinds of column, then each
//! row gives the one or the other. The rows of a line stand together, in order along it; a closed line ends with its first point.

use super::complaint::{Complaint, Complaints, quoted};
use super::nearest::nearest;
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Row, Table};
use crate::finding::{Caution, Subject};
use crate::shots::{Kind, Shots};
use crate::surface::{Breakline, LinePoint};
use std::collections::HashMap;
use std::ops::Range;

const LINES: Form = Form {
    required: &[Field::Line],
    optional: &[Field::Point, Field::Northing, Field::Easting, Field::Elevation, Field::Description],
    order: &[Field::Line, Field::Point],
};

/// Four columns without a header.
const PLACES: Form = Form {
    required: &[Field::Line, Field::Northing, Field::Easting, Field::Elevation],
    optional: &[Field::Description],
    order: &[Field::Line, Field::Northing, Field::Easting, Field::Elevation, Field::Description],
};

/// Breaklines that were read.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    /// The survey they belong to, by its name in findings.
    pub name: String,
    /// The lines, in the order of the table.
    pub lines: Vec<Breakline>,
    /// What the person should know about how they were read.
    pub cautions: Vec<Caution>,
    /// First row of each line.
    rows: Vec<Range<usize>>,
}

impl Lines {
    /// Where a line begins in its table.
    #[must_use]
    pub fn span(&self, line: &str) -> Option<Range<usize>> {
        self.lines.iter().position(|l| l.name == line).map(|k| self.rows[k].clone())
    }
}

/// Reads a table of breaklines. `name`: the survey they belong to; `shots`: its shots, none where they could not be read, so that
/// names are not held against them. `None` where anything was complained of.
pub fn read_lines(source: &Source, name: &str, shots: Option<&Shots>, complaints: &mut Complaints) -> Option<Lines> {
    let before = complaints.len();
    let mut table = Table::open(source, &LINES, complaints)?;
    if table.is_assumed() && table.width() > 2 {
        table = Table::open(source, &PLACES, complaints)?;
    }
    let by_name = shots.map(Shots::by_name).unwrap_or_default();
    let mut draft =
        Draft { shots, by_name, out: Lines { name: name.to_owned(), ..Lines::default() }, again: 0, rounded: 0 };
    table.each_row(complaints, |row, complaints| draft.add(&row, complaints));
    let Draft { mut out, again, rounded, .. } = draft;
    if complaints.len() == before && shots.is_some() {
        for (line, row) in out.lines.iter().zip(&out.rows).filter(|(line, _)| line.points.len() < 2) {
            complaints.push(Complaint::at(
                source,
                row.clone(),
                format!("a line of one point, {}", quoted(&line.name)),
                "two points or more",
                "add the points it runs through, or remove it",
            ));
        }
    }
    out.cautions = table.cautions(name);
    let about = |text: String| Caution::new(Subject::Table(name.to_owned()), text);
    if again > 0 {
        out.cautions.push(about(format!("{}: {again} points given twice in a row count once.", source.label())));
    }
    if rounded > 0 {
        out.cautions.push(about(format!("{}: {rounded} places were rounded to six decimals.", source.label())));
    }
    (complaints.len() == before).then_some(out)
}

struct Draft<'a> {
    shots: Option<&'a Shots>,
    by_name: HashMap<&'a str, usize>,
    out: Lines,
    /// Points that repeat the one before.
    again: usize,
    rounded: usize,
}

impl Draft<'_> {
    fn add(&mut self, row: &Row<'_, '_>, complaints: &mut Complaints) {
        let line = row.cell(Field::Line);
        if line.is_empty() {
            complaints.push(row.complaint(Field::Line, "the name of a line", "name the line this point belongs to"));
            return;
        }
        let lines = &mut self.out.lines;
        if lines.last().is_none_or(|last| last.name != line) {
            if let Some(first) = lines.iter().position(|l| l.name == line) {
                let help = "move the row to its line, or give a new line a new name";
                let complaint = row.complaint(Field::Line, "each line's points together", help);
                complaints.push(complaint.and(row.table.source, self.out.rows[first].clone(), "it began here"));
                return;
            }
            lines.push(Breakline { name: line.to_owned(), points: vec![] });
            self.out.rows.push(row.table.row_span(row.start));
        }
        let Some(point) = self.point(row, complaints) else { return };
        let Some(line) = self.out.lines.last_mut() else { return };
        if line.points.last() == Some(&point) {
            self.again += 1;
        } else {
            line.points.push(point);
        }
    }

    fn point(&mut self, row: &Row<'_, '_>, complaints: &mut Complaints) -> Option<LinePoint> {
        const PLACE: [Field; 3] = [Field::Northing, Field::Easting, Field::Elevation];
        let name = row.cell(Field::Point);
        let has_place = PLACE.iter().any(|&f| !row.cell(f).is_empty());
        if name.is_empty() || !row.table.has(Field::Point) {
            if !PLACE.iter().all(|&f| row.table.has(f)) {
                let expected = "the name of a shot, or northing, easting and elevation";
                complaints.push(row.complaint(Field::Point, expected, "name the shot, or give its place and height"));
                return None;
            }
            let n = read_number(row, Field::Northing, complaints, number::micro);
            let e = read_number(row, Field::Easting, complaints, number::micro);
            let z = read_number(row, Field::Elevation, complaints, number::height);
            let ((n, cut_n), (e, cut_e)) = (n?, e?);
            self.rounded += usize::from(cut_n || cut_e);
            return Some(LinePoint::At(n, e, z?));
        }
        if has_place {
            let help = "give the name, or the place and height, not both";
            complaints.push(row.complaint(Field::Point, "one of the two", help));
            return None;
        }
        let shots = self.shots?;
        match self.by_name.get(name) {
            Some(&at) if shots.kind[at] == Kind::Ground => Some(LinePoint::Shot(at)),
            Some(&at) => {
                let kind = Kind::WORDS.iter().find(|(_, k)| *k == shots.kind[at]).map_or("", |(word, _)| word);
                let expected = format!("a ground shot, not one of kind `{kind}`");
                let help =
                    "only ground makes the surface: give its northing, easting and elevation if the line runs there";
                complaints.push(row.complaint(Field::Point, &expected, help));
                None
            }
            None => {
                let help = match nearest(name, (0..shots.len()).map(|r| shots.names.get(r))) {
                    Some(near) => format!("the nearest name is `{near}`"),
                    None => "check the spelling, or shoot it".to_owned(),
                };
                complaints.push(row.complaint(Field::Point, "the name of a ground shot", &help));
                None
            }
        }
    }
}
