//! Which stakes are no longer where, or as high as, they were?
//!
//! Two surveys of one site, stakes matched by name. Of two shots of one point the difference has the spread error x root 2; beyond three of
//! those (common practice, no source) the stake moved, the ground did, or one of the two shots is wrong. What all stakes have in
//! common (the middle of the differences) is more likely a bench than the ground and is told apart.

use super::median;
use crate::shots::{MICRO, Shots};

/// A stake in both surveys.
#[derive(Clone, Debug, PartialEq)]
pub struct Stake {
    /// Its rows, before and after.
    pub rows: [usize; 2],
    /// After less before, job units.
    pub rise: f64,
    /// How far the place moved in plan, job units.
    pub away: f64,
}

/// Two surveys beside each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moved {
    /// Ground stakes with the same name in both.
    pub common: usize,
    /// Middle of the rises.
    pub shift: f64,
    /// Whether that is more than the shots' error explains.
    pub is_shifted: bool,
    /// Beyond this, about the middle, a stake has moved.
    pub limit: f64,
    /// Stakes that moved, the farthest first.
    pub stakes: Vec<Stake>,
}

/// Spreads of a difference that its error explains.
const SPREADS: f64 = 3.0;

/// Holds two surveys of one site against each other. `error`: one sigma of one shot; `near`: places nearer than this are one, both
/// in job units.
#[must_use]
pub fn moved(before: &Shots, after: &Shots, error: f64, near: f64) -> Moved {
    let old = before.by_name();
    let all: Vec<Stake> = after
        .ground_rows()
        .filter_map(|r| {
            let b = *old.get(after.names.get(r))?;
            if before.kind[b] != after.kind[r] {
                return None;
            }
            let d = |v: i64, w: i64| (v - w) as f64 / MICRO;
            let away = d(after.northing[r], before.northing[b]).hypot(d(after.easting[r], before.easting[b]));
            Some(Stake { rows: [b, r], rise: after.elevation[r] - before.elevation[b], away })
        })
        .collect();
    let rises: Vec<f64> = all.iter().map(|s| s.rise).collect();
    let Some(middle) = median(&rises) else { return Moved::default() };
    let limit = SPREADS * error * std::f64::consts::SQRT_2;
    // The spread of a median is 1.2533 of that of a mean.
    let is_shifted = middle.abs() > SPREADS * error * std::f64::consts::SQRT_2 * 1.2533 / (rises.len() as f64).sqrt()
        && middle.abs() > error / 2.0
        && rises.len() >= 4;
    let shift = if is_shifted { middle } else { 0.0 };
    let common = all.len();
    let mut stakes: Vec<Stake> =
        all.into_iter().filter(|s| (s.rise - shift).abs() > limit + crate::units::TIE || s.away > near).collect();
    stakes.sort_by(|a, b| (b.rise - shift).abs().total_cmp(&(a.rise - shift).abs()).then(a.rows.cmp(&b.rows)));
    Moved { common, shift: middle, is_shifted, limit, stakes }
}
