//! What did the hand find in each hole?
//!
//! Columns core, northing, easting, from, to, thread, ribbon, shake, patty, feel, firmness, note: a row for every layer, the layers of a core top
//! down, from 0 without gaps. Depths are bare numbers in the job's unit, below the ground at the hole; a ribbon is a length with its unit, or 0,
//! or `none`. A test that was not made is an empty cell or `-`; the feel is always said. Words in any case.

use super::complaint::Complaints;
use super::nearest::nearest;
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Row, Table};
use crate::finding::{Caution, Subject};
use crate::soil::{Core, Feel, Layer, Ribbon, Scale, Tests};
use crate::units::{Length, LengthUnit, fixed, parse_length};
use std::collections::HashMap;
use std::ops::Range;

use Field::{Description, Easting, From, Northing, To};

const CORES: Form = Form {
    required: &[Field::Core, Northing, Easting, From, To, Field::Feel],
    optional: &[Field::Thread, Field::Ribbon, Field::Shake, Field::Patty, Field::Firmness, Description],
    order: &[
        Field::Core,
        Northing,
        Easting,
        From,
        To,
        Field::Thread,
        Field::Ribbon,
        Field::Shake,
        Field::Patty,
        Field::Feel,
        Field::Firmness,
        Description,
    ],
};

/// A core deeper than this, in feet, is asked about: no hand digs so deep.
const DEEPEST: f64 = 20.0;

/// Reads the cores of a job in `job`, and what there is to say of the table. `None` where anything was complained of.
pub fn read_cores(source: &Source, job: LengthUnit, complaints: &mut Complaints) -> Option<(Vec<Core>, Vec<Caution>)> {
    let before = complaints.len();
    let table = Table::open(source, &CORES, complaints)?;
    let mut draft = Draft { source, cores: vec![], by_name: HashMap::new(), spans: vec![], rounded: 0, lost: None };
    table.each_row(complaints, |row, complaints| draft.take(&row, job, complaints));
    let mut cautions = table.cautions(source.label());
    let about = |text: String| Caution::new(Subject::Table(source.label().to_owned()), text);
    if draft.rounded > 0 {
        cautions.push(about(format!(
            "{}: {} coordinates were rounded to six decimals.",
            source.label(),
            draft.rounded
        )));
    }
    let deep = Length::of(DEEPEST, LengthUnit::Foot, job);
    if let Some(core) = draft.cores.iter().find(|c| c.depth() > deep) {
        let (depth, unit) = (fixed(core.depth().job_units(), 2), job.length());
        cautions.push(about(format!("core {} is {depth} {unit} deep: are its depths in {unit}?", core.name)));
    }
    (complaints.len() == before).then_some((draft.cores, cautions))
}

/// Cores in the making.
struct Draft<'s> {
    source: &'s Source,
    cores: Vec<Core>,
    /// Which of them has a name.
    by_name: HashMap<String, usize>,
    /// Where each core was named first.
    spans: Vec<Range<usize>>,
    rounded: usize,
    /// The core whose row before could not be read: how deep it goes is not known.
    lost: Option<String>,
}

impl Draft<'_> {
    fn take(&mut self, row: &Row<'_, '_>, job: LengthUnit, complaints: &mut Complaints) {
        let name = row.cell(Field::Core);
        if name.is_empty() {
            complaints.push(row.complaint(Field::Core, "the name of a core", "name the hole"));
        }
        let northing = read_number(row, Northing, complaints, number::micro);
        let easting = read_number(row, Easting, complaints, number::micro);
        let from = read_number(row, From, complaints, number::height);
        let to = read_number(row, To, complaints, number::height);
        let tests = Tests {
            thread: word(row, Field::Thread, complaints),
            ribbon: ribbon(row, job, complaints),
            shake: word(row, Field::Shake, complaints),
            patty: word(row, Field::Patty, complaints),
            feel: word(row, Field::Feel, complaints),
        };
        let firmness = word(row, Field::Firmness, complaints);
        if is_unsaid(row.cell(Field::Feel)) {
            let expected = format!("one of {}", Feel::WORDS.join(", "));
            complaints.push(row.complaint(
                Field::Feel,
                &expected,
                "say what it feels like: which table is asked hangs on it",
            ));
        }
        if let (Some(from), Some(to)) = (from, to)
            && from >= to
        {
            complaints.push(row.complaint(
                To,
                "a depth below that in column from",
                "depths go downward: mend one of the two",
            ));
        }
        let at = self.by_name.get(name).copied();
        if let Some(from) = from {
            self.hangs(row, at, from, complaints);
        }
        self.lost = None;
        let (Some(northing), Some(easting), Some(from), Some(to)) = (northing, easting, from, to) else {
            self.lost = Some(name.to_owned());
            return;
        };
        let place = (northing.0, easting.0);
        if let Some(k) = at.filter(|k| self.cores[*k].place != place) {
            let complaint = row.complaint(Northing, "one place for a core", "give another hole another name");
            complaints.push(complaint.and(self.source, self.spans[k].clone(), "the first row of it"));
        }
        self.rounded += usize::from(northing.1) + usize::from(easting.1);
        // A layer whose words are wrong still has its depths, which those of the next hang on.
        let [from, to] = [from, to].map(Length::in_job_units);
        let layer = Layer { from, to, tests, firmness, note: row.cell(Description).to_owned() };
        match at {
            Some(k) => self.cores[k].layers.push(layer),
            None => {
                self.by_name.insert(name.to_owned(), self.cores.len());
                self.cores.push(Core { name: name.to_owned(), place, layers: vec![layer] });
                self.spans.push(row.span(Field::Core));
            }
        }
    }

    /// Complains where a layer does not begin where the one above it ends.
    fn hangs(&self, row: &Row<'_, '_>, at: Option<usize>, from: f64, complaints: &mut Complaints) {
        let above = at.map_or(0.0, |k| self.cores[k].depth().job_units());
        if from == above || self.lost.as_deref() == Some(row.cell(Field::Core)) {
            return;
        }
        let (expected, help) = match at {
            None => ("`0`, the ground".to_owned(), "begin a core at the ground: what lies on top is dug as well"),
            Some(_) => {
                let help = if from > above {
                    "a gap: say what lies between, or mend the depth"
                } else {
                    "an overlap, or rows out of order: list the layers of a core top down"
                };
                (format!("`{above}`, where the layer above ends"), help)
            }
        };
        complaints.push(row.complaint(From, &expected, help));
    }
}

fn is_unsaid(cell: &str) -> bool {
    cell.is_empty() || cell == "-"
}

/// What a word of a test answers.
fn word<T: Scale>(row: &Row<'_, '_>, field: Field, complaints: &mut Complaints) -> Option<T> {
    let cell = row.cell(field);
    if is_unsaid(cell) {
        return None;
    }
    let plain = cell.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ");
    let found = T::of(&plain);
    if found.is_none() {
        let help = nearest(&plain, T::SPOKEN.iter().copied())
            .map_or_else(|| "use one of these words".to_owned(), |w| format!("the nearest word is `{w}`"));
        complaints.push(row.complaint(field, &format!("one of {}", T::SPOKEN.join(", ")), &help));
    }
    found
}

fn ribbon(row: &Row<'_, '_>, job: LengthUnit, complaints: &mut Complaints) -> Option<Ribbon> {
    let cell = row.cell(Field::Ribbon);
    if is_unsaid(cell) {
        return None;
    }
    if cell == "0" || cell.eq_ignore_ascii_case("none") {
        return Some(Ribbon::None);
    }
    let length = parse_length(cell, job).ok().filter(|l| *l >= Length::ZERO);
    if length.is_none() {
        let expected = "a length with its unit, such as `1 1/4 in` or `30 mm`, or `none`";
        complaints.push(row.complaint(Field::Ribbon, expected, "say how long the ribbon was when it broke"));
    }
    length.map(|l| Ribbon::of(l, job))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::{Firmness, Patty, Shake, Thread};

    const HEADER: &str = "core,northing,easting,from,to,thread,ribbon,shake,patty,feel,firmness,note\n";

    fn read(text: &str, unit: LengthUnit) -> Result<(Vec<Core>, Vec<Caution>), String> {
        let source = Source::read("cores.csv", text.as_bytes().to_vec()).expect("is text");
        let mut complaints = Complaints::default();
        let read = read_cores(&source, unit, &mut complaints);
        read.ok_or_else(|| complaints.render(&[&source]))
    }

    #[test]
    fn layers_words_and_tests_that_were_not_made() {
        let rows = "SC1,512,1025,0,0.35,none,0 in,none,low,crumbly,firm,roots\n\
                    SC1,512,1025,0.35,1.30,TOUGH,2 1/2 in,,-,Sticky,,\n\
                    SC2,1,2,0,1,high,none,rapid,slight,clay,soft,\n";
        let (cores, said) = read(&format!("{HEADER}{rows}"), LengthUnit::Foot).expect("two cores");
        assert!(said.is_empty(), "{said:?}");
        assert_eq!(
            cores.iter().map(|c| (c.name.as_str(), c.layers.len())).collect::<Vec<_>>(),
            [("SC1", 2), ("SC2", 1)]
        );
        assert_eq!(cores[0].place, (512_000_000, 1_025_000_000));
        let [top, below] = cores[0].layers.as_slice() else { panic!("two layers") };
        assert_eq!(
            (top.note.as_str(), top.firmness, top.tests.ribbon),
            ("roots", Some(Firmness::Firm), Some(Ribbon::None))
        );
        let tests = Tests {
            thread: Some(Thread::Tough),
            ribbon: Some(Ribbon::Long),
            feel: Some(Feel::Sticky),
            ..Tests::default()
        };
        assert_eq!((below.tests, below.firmness), (tests, None));
        // The words the published tables print.
        let printed = cores[1].layers[0].tests;
        assert_eq!(
            (printed.thread, printed.shake, printed.patty),
            (Some(Thread::Tough), Some(Shake::Quick), Some(Patty::Low))
        );
        // Another dialect, other columns, only what is needed; no header.
        let (cores, _) = read("feel;hole;n;e;from;to\nsand;H1;1,5;2;0;0,4\n", LengthUnit::Metre).expect("a core");
        assert_eq!((cores[0].place, cores[0].depth()), ((1_500_000, 2_000_000), Length::in_job_units(0.4)));
        let (cores, said) = read("SC1,1,2,0,1,none,30 mm,none,low,silt\n", LengthUnit::Metre).expect("a core");
        assert_eq!(cores[0].layers[0].tests.ribbon, Some(Ribbon::Middling));
        assert!(said[0].text.contains("no header"), "{said:?}");
        let (_, said) = read(&format!("{HEADER}SC1,1,2,0,30,,,,,silt,,\n"), LengthUnit::Foot).expect("a core");
        assert!(said[0].text.contains("core SC1 is 30.00 ft deep: are its depths in ft?"), "{said:?}");
    }

    #[test]
    fn what_is_no_core_is_told_by_line_with_what_to_do() {
        for (rows, parts) in [
            (
                "A,1,2,0,0.4,,,,,silt,,\nA,1,2,0.5,1,,,,,silt,,",
                &[
                    "line 3, column 7",
                    "found `0.5` in column from; expected `0.4`, where the layer above ends",
                    "a gap",
                ][..],
            ),
            ("A,1,2,0,0.4,,,,,silt,,\nA,1,2,0.3,1,,,,,silt,,", &["line 3", "expected `0.4`", "an overlap"]),
            ("A,1,2,0.2,0.4,,,,,silt,,", &["line 2", "expected `0`, the ground"]),
            ("A,1,2,0,0,,,,,silt,,", &["line 2", "found `0` in column to; expected a depth below that in column from"]),
            (
                "A,1,2,0,1,,,,,silt,,\nA,1,3,1,2,,,,,silt,,",
                &["line 3", "expected one place for a core", "the first row of it"],
            ),
            (
                "A,1,2,0,1,tuogh,,,,silt,,",
                &["`tuogh` in column thread", "one of none, crumbles, holds, tough", "the nearest word is `tough`"],
            ),
            ("A,1,2,0,1,,,quik,,silt,,", &["`quik` in column shake", "the nearest word is `quick`"]),
            (
                "A,1,2,0,1,,,,brick,silt,,",
                &[
                    "`brick` in column patty; expected one of none, low, medium, high, very high",
                    "use one of these words",
                ],
            ),
            ("A,1,2,0,1,,,,,grity,,", &["`grity` in column feel", "expected one of crumbly"]),
            ("A,1,2,0,1,,,,,silt,sotf,", &["`sotf` in column firmness", "the nearest word is `soft`"]),
            ("A,1,2,0,1,,,,,,,", &["an empty cell in column feel", "say what it feels like"]),
            ("A,1,2,0,1,,2,,,silt,,", &["found `2` in column ribbon; expected a length with its unit"]),
            ("A,1,2,0,1,,-1 in,,,silt,,", &["found `-1 in` in column ribbon"]),
            (",1,2,0,1,,,,,silt,,", &["the name of a core"]),
            ("A,one,2,0,1,,,,,silt,,", &["`one` in column northing"]),
            ("A,1,2,deep,1,,,,,silt,,", &["`deep` in column from"]),
            ("", &["found a header and no rows; expected a row for every layer of every core"]),
        ] {
            let said = read(&format!("{HEADER}{rows}\n"), LengthUnit::Foot).expect_err("is refused");
            for part in parts {
                assert!(said.contains(part), "{rows}: no `{part}` in\n{said}");
            }
        }
        // All at once; what hangs on a row that could not be read is not held against the next.
        let said = read(
            &format!("{HEADER}A,1,2,0,x,tuff,,,,silt,,\nA,1,2,0.5,1,,,,,sitl,,\nB,1,2,0,1,,,,,silt,,\n"),
            LengthUnit::Foot,
        );
        let said = said.expect_err("is refused");
        assert_eq!(said.matches("error").count(), 3, "{said}");
    }
}
