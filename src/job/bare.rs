//! Quick answers from bare surveys: what changed between two, and the contours of one.

use super::cover::{nothing_shared, uncovered};
use super::evaluate::total_out;
use super::picture::{by_level, every, heights, lines_inside, lines_out};
use super::{DoubtOut, LineOut, Outcome, SurveyOut, VolumeOut, caution_out, region, survey, suspects, units_out};
use crate::finding::{Caution, Refusal, Subject};
use crate::par::{self, Progress};
use crate::shots::{Frame, Shots};
use crate::surface::Breakline;
use crate::units::{BankVolume, Length, LengthUnit, fixed};
use crate::volume::{diagonal_doubt, overlay};

/// Exact cut (before above after) and fill over the ground both surveys cover, inside the limit if there is one; and which stakes moved, by one sigma of one shot.
///
/// # Errors
/// Every reason why the input cannot be used.
pub fn compare(
    (before, before_lines): (&Shots, &[Breakline]),
    (after, after_lines): (&Shots, &[Breakline]),
    limit: Option<&[Vec<(i64, i64)>]>,
    (unit, shot_error): (LengthUnit, Length),
    progress: Progress<'_>,
) -> Result<Outcome, Vec<Refusal>> {
    let frame = Frame::of(&[before, after]);
    progress("surfaces", 0.0);
    let (a, b) = par::both(
        || survey::surface(before, before_lines, unit, frame, "before"),
        || survey::surface(after, after_lines, unit, frame, "after"),
    );
    let region = region(limit, frame);
    let ((a, asked), (b, asked_too), region) = match (a, b, region) {
        (Ok(a), Ok(b), Ok(region)) => (a, b, region),
        (a, b, region) => {
            let surveys = a.err().into_iter().chain(b.err()).flatten();
            return Err(surveys.chain(region.err()).collect());
        }
    };
    let total = overlay(&a, &b, region.as_ref(), progress);
    if total.area <= 0.0 {
        return Err(vec![nothing_shared(limit.is_some(), "after")]);
    }
    let mut cautions: Vec<Caution> = asked.into_iter().chain(asked_too).collect();
    cautions.extend(survey::astray(before_lines, before, "before"));
    cautions.extend(survey::astray(after_lines, after, "after"));
    let uncovered = uncovered([("before", &a), ("after", &b)], region.as_ref(), total.area, unit, &mut cautions);
    let doubt = diagonal_doubt(&a, &b, region.as_ref());
    // Scans have no stakes with names that mean anything.
    let staked = before.len().max(after.len()) <= crate::survey::MOST;
    let moved = staked.then(|| suspects::beside(before, after, shot_error, unit)).flatten();
    Ok(Outcome {
        survey: moved.map(|moved| SurveyOut { moved: Some(moved), ..SurveyOut::default() }),
        units: units_out(unit),
        cautions: cautions.iter().map(caution_out).collect(),
        volume: Some(VolumeOut {
            total: total_out(&total, unit, true),
            uncovered,
            doubt: DoubtOut { diagonal: BankVolume::cubic_job_units(doubt).spoken(unit) },
            ..VolumeOut::default()
        }),
        ..Outcome::default()
    })
}

/// Which heights to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Levels {
    /// Every whole multiple of this within the survey.
    Every(f64),
    /// Just these.
    At(Vec<f64>),
}

/// Contours of one survey: the summary by level, and the lines themselves, cut off at the limit if there is one.
///
/// # Errors
/// Every reason why the input cannot be used.
pub fn bare_contours(
    (shots, breaklines): (&Shots, &[Breakline]),
    limit: Option<&[Vec<(i64, i64)>]>,
    levels: &Levels,
    unit: LengthUnit,
) -> Result<(Outcome, Vec<LineOut>), Vec<Refusal>> {
    let frame = Frame::of(&[shots]);
    let (s, region) = match (survey::surface(shots, breaklines, unit, frame, "survey"), region(limit, frame)) {
        (Ok(s), Ok(region)) => (s, region),
        (s, region) => return Err(s.err().into_iter().flatten().chain(region.err()).collect()),
    };
    let (s, mut cautions) = s;
    cautions.extend(survey::astray(breaklines, shots, "survey"));
    if let Some(region) = &region {
        let off = region.area() - crate::volume::area_inside(&s, Some(region));
        if off > 1e-6 * region.area() {
            let text =
                format!("{} {} inside the limit lie outside the shots: no line there", fixed(off, 1), unit.area());
            cautions.push(Caution::new(Subject::Table("limit".to_owned()), text));
        }
    }
    let asked = match levels {
        Levels::At(levels) => levels.clone(),
        Levels::Every(step) => every(&s, *step, "survey").map_err(|r| vec![r])?,
    };
    let lines = match &region {
        Some(region) => lines_inside(&s, &asked, region),
        None => lines_out(&s, &asked),
    };
    let contours = by_level(&lines, &asked);
    let (low, high) = heights(&s);
    if lines.is_empty() {
        let within = if region.is_some() { ", or none of them inside the limit" } else { "" };
        let text =
            format!("no line: no level asked for lies above {} and up to {}{within}", fixed(low, 2), fixed(high, 2));
        cautions.push(Caution::new(Subject::Table("survey".to_owned()), text));
    }
    let cautions = cautions.iter().map(caution_out).collect();
    Ok((Outcome { units: units_out(unit), cautions, contours: Some(contours), ..Outcome::default() }, lines))
}
