//! Do two surveys show one site, and where in its file is what a finding speaks of?
//!
//! Two that have no ground in common are refused; two that have some, but would agree far better with columns exchanged
//! or in the other unit, are asked about ([`ask_of_both`]).

use super::complaint::Complaint;
use super::shots::Survey;
use super::source::Source;
use super::suspect::{FEET, quartiles};
use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{from_micro, to_micro};
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
    } else if overlap(&a, &scaled(&b, FEET)) {
        in_two_units(one.0, other.0)
    } else if overlap(&b, &scaled(&a, FEET)) {
        in_two_units(other.0, one.0)
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

fn in_two_units(feet: &Source, metres: &Source) -> String {
    format!("{} looks like feet and {} like metres: give both in one unit", feet.label(), metres.label())
}

/// Asks about two surveys of one site that look as if one were turned or in another unit. Nothing is changed.
///
/// - Exchanged: at most a quarter of the smaller box lies on the other survey, but all of it would with northing and
///   easting exchanged; or the two boxes would then be the same, and as typed are not by a quarter of their length.
/// - Unit: both sides of the boxes and where they begin differ by 3.2808 to within 0.5 % of their length (a site of 330
///   by 330 round a court of 100 by 100 misses that); or middle heights do to within 3 %, where half of the heights of
///   each survey lie within a tenth of their middle, so that the ratio means something.
#[must_use]
pub fn ask_of_both(one: (&Source, &Survey), other: (&Source, &Survey)) -> Vec<Caution> {
    let (Some(a), Some(b)) = (extent(one.1), extent(other.1)) else { return Vec::new() };
    let turned = (b.1.clone(), b.0.clone());
    let (first, second) = (one.0.label(), other.0.label());
    let about = |text: String| Caution::new(Subject::Table(other.1.name.clone()), text);
    let mut out = Vec::new();
    let differ = misfit(&a, &b);
    if shared(&a, &b) <= 0.25 && shared(&a, &turned) >= 0.99 || differ > 0.25 && misfit(&a, &turned) < 0.01 {
        out.push(about(format!(
            "{first} and {second} agree far better with northing and easting exchanged in one of them: {second} is at {}, \
             {first} at {}. Taken as typed: mend that header if they are exchanged.",
            spoken(&b),
            spoken(&a)
        )));
    }
    let pick = |up: bool, down: bool| if up { Some((first, second)) } else { down.then_some((second, first)) };
    let in_feet = |feet: &Extent, metres: &Extent| misfit(feet, &scaled(metres, FEET)) < 0.005;
    let places = pick(in_feet(&a, &b), in_feet(&b, &a));
    let heights = heights(one.1).zip(heights(other.1)).and_then(|(up, over)| {
        let ratio = |a: f64, b: f64| (a / b / FEET - 1.0).abs() < 0.03;
        pick(ratio(up, over), ratio(over, up))
    });
    for (what, likely) in [("places", places), ("heights", heights)] {
        if let Some((feet, metres)) = likely {
            out.push(about(format!(
                "{what} of {feet} are 3.28 times those of {metres}, as if one were in feet and the other in metres. Taken \
                 as typed: give both in one unit."
            )));
        }
    }
    out
}

/// The middle height, where half of all lie within a tenth of it.
fn heights(survey: &Survey) -> Option<f64> {
    let [_, _, (low, high)] = quartiles(&survey.shots)?;
    let middle = low.midpoint(high);
    (high - low <= middle.abs() / 10.0 && middle != 0.0).then_some(middle)
}

/// Which part of the smaller of two boxes lies in the other.
fn shared(a: &Extent, b: &Extent) -> f64 {
    let common = |p: &RangeInclusive<i64>, q: &RangeInclusive<i64>| {
        ((*p.end().min(q.end()) - *p.start().max(q.start())) as f64).max(0.0)
    };
    let area = |x: &Extent| length(&x.0) * length(&x.1);
    common(&a.0, &b.0) * common(&a.1, &b.1) / area(a).min(area(b)).max(1.0)
}

/// By what part of the greater length the sides of two boxes lie apart, at most.
fn misfit(a: &Extent, b: &Extent) -> f64 {
    let apart = |p: &RangeInclusive<i64>, q: &RangeInclusive<i64>| {
        p.start().abs_diff(*q.start()).max(p.end().abs_diff(*q.end())) as f64
    };
    let most = [&a.0, &a.1, &b.0, &b.1].into_iter().map(length).fold(1.0, f64::max);
    apart(&a.0, &b.0).max(apart(&a.1, &b.1)) / most
}

fn length(range: &RangeInclusive<i64>) -> f64 {
    (range.end() - range.start()) as f64
}

fn scaled(extent: &Extent, by: f64) -> Extent {
    let of = |r: &RangeInclusive<i64>| to_micro(from_micro(*r.start()) * by)..=to_micro(from_micro(*r.end()) * by);
    (of(&extent.0), of(&extent.1))
}

/// A refusal about a survey, as a complaint about its file. Rows and stakes are marked, unless the text was let go; anything
/// else is the whole file.
#[must_use]
pub fn describe(refusal: &Refusal, source: &Source, survey: &Survey) -> Complaint {
    let row = match &refusal.subject {
        Subject::Row(_, row) => Some(*row),
        Subject::Stake(name) => (0..survey.shots.len()).find(|&row| survey.shots.names.get(row) == name),
        _ => None,
    };
    let (found, expected, help) = (&refusal.found, &refusal.expected, &refusal.help);
    match row.filter(|&row| row < survey.shots.len() && !source.is_let_go()) {
        Some(row) => Complaint::at(source, survey.row_span(source, row), found, expected, help),
        None => Complaint::without_place(source.label(), format!("{found} ({})", refusal.subject), expected, help),
    }
}

fn extent(survey: &Survey) -> Option<Extent> {
    let shots = &survey.shots;
    let mut places = shots.ground_rows().map(|row| (shots.northing[row], shots.easting[row]));
    let first = places.next()?;
    let (low, high) = places
        .fold((first, first), |(low, high), (n, e)| ((low.0.min(n), low.1.min(e)), (high.0.max(n), high.1.max(e))));
    Some((low.0..=high.0, low.1..=high.1))
}

fn overlap(a: &Extent, b: &Extent) -> bool {
    let share = |p: &RangeInclusive<i64>, q: &RangeInclusive<i64>| p.start() < q.end() && q.start() < p.end();
    share(&a.0, &b.0) && share(&a.1, &b.1)
}

fn spoken((n, e): &Extent) -> String {
    let unit = |v: &i64| from_micro(*v);
    format!("N {:.2} to {:.2}, E {:.2} to {:.2}", unit(n.start()), unit(n.end()), unit(e.start()), unit(e.end()))
}
