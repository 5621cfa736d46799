//! Does the pipe fall, does it arrive, does it carry the storm?
//!
//! Full flow after Manning: V = (1/n) R^(2/3) S^(1/2) in metres and seconds, R = D/4; in job units the factor 1 becomes the cube root
//! of the job units in a metre (feet: 1.486). Peak after the rational method: Q = C i A, so the area that is asked for is the sum of
//! C A over what drains to the run. Flows in cubic job units a second.
//! Sources: n of smooth plastic 0.009 to 0.011, of corrugated plastic 0.015 to 0.024 (FHWA HDS-5 and HEC-22, from memory).

use crate::design::drains::{Leg, Run};
use crate::units::{LengthUnit, TIE};

/// Least fall of perforated and of solid pipe (common practice).
pub const LEAST_FALL: [f64; 2] = [0.005, 0.01];

/// Roughness: perforated pipe is taken as corrugated, solid pipe as smooth at its rougher end.
#[must_use]
pub fn roughness(perforated: bool) -> f64 {
    if perforated { 0.016 } else { 0.011 }
}

/// The least a leg may fall.
#[must_use]
pub fn least_fall(perforated: bool) -> f64 {
    if perforated { LEAST_FALL[0] } else { LEAST_FALL[1] }
}

/// Velocity of a round pipe that runs full, job units a second; 0 where it does not fall.
#[must_use]
pub fn velocity(diameter: f64, fall: f64, n: f64, unit: LengthUnit) -> f64 {
    let factor = (1.0 / unit.metres()).cbrt();
    factor / n * (diameter / 4.0).powf(2.0 / 3.0) * fall.max(0.0).sqrt()
}

/// What it carries, cubic job units a second.
#[must_use]
pub fn capacity(diameter: f64, fall: f64, n: f64, unit: LengthUnit) -> f64 {
    velocity(diameter, fall, n, unit) * std::f64::consts::PI * diameter * diameter / 4.0
}

/// Peak of a storm: job units of rain an hour on the sum of C A, square job units.
#[must_use]
pub fn peak(storm: f64, runoff_area: f64) -> f64 {
    storm / 3600.0 * runoff_area
}

/// Capacity of a run: its weakest leg.
#[must_use]
pub fn of_run(run: &Run<'_>, unit: LengthUnit) -> Option<f64> {
    let of = |leg: &Leg| capacity(leg.size, leg.fall(), roughness(leg.perforated), unit);
    run.legs.iter().map(of).min_by(f64::total_cmp)
}

/// What each run carries with everything upstream of it: `own` by run, added up down the tree. Unknown where any part of it is.
#[must_use]
pub fn downstream(runs: &[Run<'_>], own: &[Option<f64>]) -> Vec<Option<f64>> {
    let mut out: Vec<Option<f64>> = own.to_vec();
    for (k, area) in own.iter().enumerate() {
        let (mut at, mut steps) = (runs[k].into, 0);
        while let Some(next) = at {
            out[next] = out[next].zip(*area).map(|(sum, more)| sum + more);
            steps += 1;
            at = if steps < runs.len() { runs[next].into } else { None };
        }
    }
    out
}

/// What is left of the fall of a run at the least fall of its pipe, and how much farther its last leg could go on it; below zero it
/// arrives too low.
#[must_use]
pub fn budget(run: &Run<'_>) -> Option<(f64, f64)> {
    let last = run.legs.last()?;
    let fall = run.inverts.first()? - run.inverts.last()?;
    let spare = fall - run.legs.iter().map(|l| least_fall(l.perforated) * l.length).sum::<f64>();
    let spare = if spare.abs() <= TIE { 0.0 } else { spare };
    Some((spare, spare / least_fall(last.perforated)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_add_up_down_the_tree() {
        let drain = crate::design::said::Drain {
            name: String::new(),
            nodes: Vec::new(),
            perforated: Vec::new(),
            pipes: Vec::new(),
            takes_surface: false,
            trench: None,
            by_others: false,
        };
        let run = |into| Run { said: &drain, inverts: Vec::new(), legs: Vec::new(), into };
        let runs = [run(Some(2)), run(Some(2)), run(Some(3)), run(None)];
        let all = downstream(&runs, &[Some(1.0), Some(2.0), Some(4.0), Some(8.0)]);
        assert_eq!(all, [Some(1.0), Some(2.0), Some(7.0), Some(15.0)]);
        assert_eq!(downstream(&runs, &[None, Some(2.0), Some(4.0), Some(8.0)]), [None, Some(2.0), None, None]);
    }
}
