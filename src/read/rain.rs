//! How much did it rain, on which day?
//!
//! Columns date, rain. Dates as 2001-05-31; or 2001-05 for a whole month. Every day has its row: one that is left out may have been
//! dry or not read, and which of the two cannot be told. Rows that step by a month are taken as months, and that is said.

use super::complaint::{Complaint, Complaints, quoted};
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Table};
use crate::finding::{Caution, Subject};
use crate::tank::{Fallen, Rain, days_in};
use crate::units::{Length, LengthUnit, fixed};

const RAIN: Form = Form {
    required: &[Field::Date, Field::Rain],
    optional: &[Field::Description],
    order: &[Field::Date, Field::Rain, Field::Description],
};

/// More rain in a day than this, in inches, is asked about: few places ever saw it, and a table in mm has it often.
const MOST_INCHES: f64 = 15.0;

/// What rain is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RainUnit {
    /// Inches.
    Inch,
    /// Millimetres.
    Millimetre,
}

impl RainUnit {
    /// Its sign.
    #[must_use]
    pub fn code(self) -> &'static str {
        if self == Self::Inch { "in" } else { "mm" }
    }

    fn inches(self, value: f64) -> f64 {
        if self == Self::Inch { value } else { value * 25.4 }
    }

    fn depth(self, value: f64, job: LengthUnit) -> Length {
        match self {
            Self::Inch => Length::inches(value, job),
            Self::Millimetre => Length::of(value / 1000.0, LengthUnit::Metre, job),
        }
    }
}

/// Reads a table of rain measured in `unit` for a job in `job`, and what there is to say of it. `None` where anything was complained of.
pub fn read_rain(
    source: &Source,
    unit: RainUnit,
    job: LengthUnit,
    complaints: &mut Complaints,
) -> Option<(Rain, Vec<Caution>)> {
    let before = complaints.len();
    let table = Table::open(source, &RAIN, complaints)?;
    let about = |text: String| Caution::new(Subject::Table(source.label().to_owned()), text);
    let mut cautions = table.cautions(source.label());
    let mut fallen: Vec<Fallen> = Vec::new();
    let mut spans = Vec::new();
    table.each_row(complaints, |row, complaints| {
        let day = date(row.cell(Field::Date));
        if let Err((expected, help)) = day {
            complaints.push(row.complaint(Field::Date, expected, help));
        }
        let depth = read_number(&row, Field::Rain, complaints, |text, comma| {
            number::height(text, comma).map_err(|bad| number::BadNumber {
                help: "write 0 for a trace or a dry day; a day that was not read is found at another gauge",
                ..bad
            })
        });
        if depth.is_some_and(|d| d < 0.0) {
            complaints.push(row.complaint(Field::Rain, "a depth of 0 or more", "take away the minus"));
        }
        if let (Ok((year, month, day)), Some(depth)) = (day, depth) {
            fallen.push(Fallen { year, month, day, depth: unit.depth(depth, job) });
            spans.push(row.span(Field::Date));
        }
    });
    let months = |w: &[Fallen]| next_month(&w[0]) == (w[1].year, w[1].month);
    let step_by_month = fallen.len() > 1 && fallen.windows(2).all(months);
    if step_by_month && fallen.iter().all(|f| f.day > 0) && !fallen.windows(2).all(|w| is_next(&w[0], &w[1])) {
        cautions.push(about(format!(
            "the dates of {} step by a month: its rain is taken as that of whole months.",
            source.label()
        )));
        fallen.iter_mut().for_each(|f| f.day = 0);
    }
    for (k, w) in fallen.windows(2).enumerate().filter(|(_, w)| !is_next(&w[0], &w[1])) {
        let (found, wanted) = (w[1].date(), next(&w[0]).date());
        let help = if (w[0].day == 0) != (w[1].day == 0) {
            "write all rows by the day, or all by the month"
        } else if found == w[0].date() {
            "give each day one row: if both fell on it, add them up"
        } else if found < wanted {
            "put the rows in order of time, each day once"
        } else {
            "add the rows between; 0 only where a gauge was read and no rain fell"
        };
        let found = format!("{} after {}", quoted(&found), quoted(&w[0].date()));
        complaints.push(Complaint::at(source, spans[k + 1].clone(), found, quoted(&wanted), help));
    }
    let most = unit.inches(MOST_INCHES);
    let over: Vec<&Fallen> = fallen.iter().filter(|f| f.day > 0 && f.depth > unit.depth(most, job)).collect();
    if let Some(first) = over.first() {
        cautions.push(about(format!(
            "{} with more than {} {} of rain, {} the first: is that the unit of the table, and is no decimal slipped?",
            if over.len() == 1 { "a day".to_owned() } else { format!("{} days", over.len()) },
            fixed(most, 0),
            unit.code(),
            first.date()
        )));
    }
    let by_month = fallen.first().is_some_and(|f| f.day == 0);
    (complaints.len() == before).then_some((Rain { by_month, fallen }, cautions))
}

type Told = (&'static str, &'static str);

/// Year, month, and day, 0 where there is none.
fn date(text: &str) -> Result<(i32, u32, u32), Told> {
    const FORM: Told =
        ("a date as 2001-05-31, or a month as 2001-05", "write year, month and day with hyphens: 5/4 is read two ways");
    const CALENDAR: Told = ("a day of the calendar", "mend the month or the day");
    let parts: Vec<&str> = text.split('-').collect();
    let digits = |k: usize, wide: usize| parts[k].len() == wide && parts[k].bytes().all(|b| b.is_ascii_digit());
    if !(2..=3).contains(&parts.len()) || !digits(0, 4) || !(1..parts.len()).all(|k| digits(k, 2)) {
        return Err(FORM);
    }
    let number = |k: usize| parts[k].parse::<u32>().map_err(|_| FORM);
    let (year, month) = (parts[0].parse::<i32>().map_err(|_| FORM)?, number(1)?);
    let day = if parts.len() == 3 { number(2)? } else { 0 };
    let is_day = parts.len() == 2 || (1..=days_in(year, month)).contains(&day);
    if (1..=12).contains(&month) && is_day { Ok((year, month, day)) } else { Err(CALENDAR) }
}

fn next_month(f: &Fallen) -> (i32, u32) {
    if f.month == 12 { (f.year + 1, 1) } else { (f.year, f.month + 1) }
}

/// The day after, or the month after.
fn next(f: &Fallen) -> Fallen {
    let (year, month) = next_month(f);
    match f.day {
        0 => Fallen { year, month, ..*f },
        day if day < days_in(f.year, f.month) => Fallen { day: day + 1, ..*f },
        _ => Fallen { year, month, day: 1, ..*f },
    }
}

fn is_next(a: &Fallen, b: &Fallen) -> bool {
    let next = next(a);
    (next.year, next.month, next.day) == (b.year, b.month, b.day)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(Rain, Vec<Caution>), String> {
        let source = Source::read("rain.csv", text.as_bytes().to_vec()).expect("is text");
        let mut complaints = Complaints::default();
        let read = read_rain(&source, RainUnit::Inch, LengthUnit::Foot, &mut complaints);
        read.ok_or_else(|| complaints.render(&[&source]))
    }

    #[test]
    fn days_and_months_are_told_by_their_dates() {
        let (days, said) = read("date,rain\n2000-02-28,0\n2000-02-29,1.2\n2000-03-01,0.6\n").expect("three days");
        assert!(!days.by_month && said.is_empty());
        assert!((days.fallen[1].depth.job_units() - 0.1).abs() < 1e-15);
        let (days, _) = read("date,rain\n2001-01-31,0\n2001-02-01,1\n").expect("two days");
        assert!(!days.by_month, "two days in two months");
        let (days, _) = read("date,rain\n2001-01-31,3\n").expect("a day");
        assert_eq!((days.by_month, days.fallen[0].days()), (false, 1));
        let (months, said) = read("date,rain\n2000-01-31,3\n2000-02-29,4\n2000-03-31,1\n").expect("ends of months");
        assert!(months.by_month && said[0].text.contains("step by a month"), "{said:?}");
        assert_eq!(months.fallen.iter().map(Fallen::days).collect::<Vec<_>>(), [31, 29, 31]);
        let (months, said) = read("month;rainfall\n2001-12;3,5\n2002-01;4\n").expect("months");
        assert!(months.by_month && said.is_empty());
        assert!((months.fallen[0].depth.job_units() * 12.0 - 3.5).abs() < 1e-12);
        // Without a header.
        assert_eq!(read("2001-01-01,0.5\n2001-01-02,0\n").expect("two days").0.fallen.len(), 2);
    }

    #[test]
    fn what_is_no_rain_is_told_by_line_with_what_to_do() {
        for (rows, parts) in [
            (
                "2001-01-01,0\n2001-01-03,1",
                &["line 3, column 1", "`2001-01-03` after `2001-01-01`; expected `2001-01-02`", "add the rows"][..],
            ),
            ("2001-01-01,0\n2001-01-01,1", &["line 3", "expected `2001-01-02`", "one row"]),
            ("2001-01-02,0\n2001-01-01,1", &["line 3", "in order of time"]),
            ("2001-01-01,0\n2001-02,1", &["line 3", "all by the month"]),
            ("2001-01,0\n2001-03,1", &["`2001-03` after `2001-01`; expected `2001-02`", "add the rows between"]),
            ("1/2/2001,0", &["line 2, column 1", "`1/2/2001` in column date", "2001-05-31", "read two ways"]),
            ("2001-02-29,0", &["a day of the calendar"]),
            ("2001-13-01,0", &["a day of the calendar"]),
            ("2001-00,0", &["a day of the calendar"]),
            ("2001-01-00,0", &["a day of the calendar"]),
            ("2001-1-1,0", &["a date as 2001-05-31"]),
            ("2001-01-01,T", &["line 2, column 12", "found `T` in column rain", "write 0 for a trace"]),
            ("2001-01-01,", &["found an empty cell in column rain", "found at another gauge"]),
            ("2001-01-01,-0.1", &["expected a depth of 0 or more", "take away the minus"]),
            ("", &["found a header and no rows; expected a row for every day or month"]),
        ] {
            let said = read(&format!("date,rain\n{rows}\n")).expect_err("is refused");
            for part in parts {
                assert!(said.contains(part), "{rows}: no `{part}` in\n{said}");
            }
        }
        let (_, said) = read("date,rain\n2001-01-01,25.4\n2001-01-02,0\n").expect("much rain");
        assert!(said[0].text.starts_with("a day with more than 15 in of rain, 2001-01-01 the first"), "{said:?}");
    }
}
