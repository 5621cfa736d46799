//! Do two surveys show one site, and where in its file is what a finding speaks of?

use super::complaint::Complaint;
use super::shots::Survey;
use super::source::Source;
use crate::finding::{Refusal, Subject};
use crate::shots::from_micro;
use std::ops::RangeInclusive;

/// Northing and easting that ground shots span, in whole millionths.
type Extent = (RangeInclusive<i64>, RangeInclusive<i64>);

/// Complains where two surveys have no ground in common, and says so if it looks as if one has northing and easting
/// exchanged. Extents decide: they have no common ground where the boxes round their ground shots do not overlap.
#[must_use]
pub fn compare_places(one: (&Source, &Survey), other: (&Source, &Survey)) -> Option<Complaint> {
    let (a, b) = (extent(one.1)?, extent(other.1)?);
    if overlap(&a, &b) {
        return None;
    }
    let exchanged = overlap(&a, &(b.1.clone(), b.0.clone()));
    let (first, second) = (&one.1.name, &other.1.name);
    let found = format!("{second} shots at {}, {first} ones at {}", spoken(&b), spoken(&a));
    let help = if exchanged {
        format!("northing and easting look exchanged in {} or {}: mend that header", one.0.label(), other.0.label())
    } else {
        "give two tables of one site, in the same unit and about the same origin".to_owned()
    };
    let row = |survey: &Survey| survey.shots.ground_rows().next().unwrap_or(0);
    let at = other.1.row_span(other.0, row(other.1));
    let first_at = one.1.row_span(one.0, row(one.1));
    Some(Complaint::at(other.0, at, found, "two surveys that share some ground", help).and(
        one.0,
        first_at,
        format!("the first of the {first} ones"),
    ))
}

/// A refusal about a survey, as a complaint about its file. Rows and stakes are marked; anything else is the whole file.
#[must_use]
pub fn describe(refusal: &Refusal, source: &Source, survey: &Survey) -> Complaint {
    let row = match &refusal.subject {
        Subject::Row(_, row) => Some(*row),
        Subject::Stake(name) => (0..survey.shots.len()).find(|&row| survey.shots.names.get(row) == name),
        _ => None,
    };
    let (found, expected, help) = (&refusal.found, &refusal.expected, &refusal.help);
    match row.filter(|&row| row < survey.shots.len()) {
        Some(row) => Complaint::at(source, survey.row_span(source, row), found, expected, help),
        None => Complaint::without_place(source.label(), format!("{found} ({})", refusal.subject), expected, help),
    }
}

fn extent(survey: &Survey) -> Option<Extent> {
    let shots = &survey.shots;
    let range = |values: &[i64]| {
        let all = || shots.ground_rows().map(|row| values[row]);
        Some(all().min()?..=all().max()?)
    };
    Some((range(&shots.northing)?, range(&shots.easting)?))
}

fn overlap(a: &Extent, b: &Extent) -> bool {
    let share = |p: &RangeInclusive<i64>, q: &RangeInclusive<i64>| p.start() < q.end() && q.start() < p.end();
    share(&a.0, &b.0) && share(&a.1, &b.1)
}

fn spoken((n, e): &Extent) -> String {
    let unit = |v: &i64| from_micro(*v);
    format!("N {:.2} to {:.2}, E {:.2} to {:.2}", unit(n.start()), unit(n.end()), unit(e.start()), unit(e.end()))
}
