//! Quick answers from bare surveys: what changed between two, and the contours of one.

use super::cover::{nothing_shared, uncovered};
use super::evaluate::total_out;
use super::picture::{by_level, every, heights, lines_out};
use super::{DoubtOut, LineOut, Outcome, VolumeOut, caution_out, region, surface, units_out};
use crate::finding::{Caution, Refusal, Subject};
use crate::par::{self, Progress};
use crate::shots::{Frame, Shots};
use crate::units::{BankVolume, LengthUnit, fixed};
use crate::volume::{diagonal_doubt, overlay};

/// Exact cut (before above after) and fill over the ground both surveys cover, inside the limit if there is one.
///
/// # Errors
/// Every reason why the input cannot be used.
pub fn compare(
    before: &Shots,
    after: &Shots,
    limit: Option<&[Vec<(i64, i64)>]>,
    unit: LengthUnit,
    progress: Progress<'_>,
) -> Result<Outcome, Vec<Refusal>> {
    let frame = Frame::of(&[before, after]);
    let (a, b) = par::both(|| surface(before, frame, "before"), || surface(after, frame, "after"));
    let region = region(limit, frame);
    let (a, b, region) = match (a, b, region) {
        (Ok(a), Ok(b), Ok(region)) => (a, b, region),
        (a, b, region) => return Err([a.err(), b.err(), region.err()].into_iter().flatten().collect()),
    };
    let total = overlay(&a, &b, region.as_ref(), progress);
    if total.area <= 0.0 {
        return Err(vec![nothing_shared(limit.is_some(), "after")]);
    }
    let mut cautions = Vec::new();
    let uncovered = uncovered([("before", &a), ("after", &b)], region.as_ref(), total.area, unit, &mut cautions);
    let doubt = diagonal_doubt(&a, &b, region.as_ref());
    Ok(Outcome {
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

/// Contours of one survey: the summary by level, and the lines themselves.
///
/// # Errors
/// Every reason why the input cannot be used.
pub fn bare_contours(
    shots: &Shots,
    levels: &Levels,
    unit: LengthUnit,
) -> Result<(Outcome, Vec<LineOut>), Vec<Refusal>> {
    let frame = Frame::of(&[shots]);
    let s = surface(shots, frame, "survey").map_err(|r| vec![r])?;
    let asked = match levels {
        Levels::At(levels) => levels.clone(),
        Levels::Every(step) => every(&s, *step, "survey").map_err(|r| vec![r])?,
    };
    let lines = lines_out(&s, &asked);
    let contours = by_level(&lines, &asked);
    let (low, high) = heights(&s);
    let nothing = format!("no line: no level asked for lies above {} and up to {}", fixed(low, 2), fixed(high, 2));
    let cautions =
        if lines.is_empty() { vec![Caution::new(Subject::Table("survey".to_owned()), nothing)] } else { vec![] };
    let cautions = cautions.iter().map(caution_out).collect();
    Ok((Outcome { units: units_out(unit), cautions, contours: Some(contours), ..Outcome::default() }, lines))
}
