//! What if there are more stakes than a sheet can show?
//!
//! One sheet holds some hundreds of cuts a person can read. Of more stakes the plan shows, in each cell of a square lattice over the
//! site, the one that is dug or filled most (of equals the first in walking order), and says how many it leaves to the list.
//! Nothing but the picture is thinned.

use crate::job::{Outcome, StakeOut};
use std::collections::HashMap;

/// More than this many are thinned.
const MOST: usize = 450;
/// To about this many.
const CELLS: f64 = 240.0;
/// More lows than this are told in the checks, not drawn.
const LOWS: usize = 60;

/// The outcome with fewer stakes, and how many were left out; nothing where all can be tried.
pub(super) fn thinned(outcome: &Outcome) -> Option<(Outcome, usize)> {
    let stakes = outcome.stakes.as_deref().filter(|s| s.len() > MOST)?;
    let kept = deepest(stakes);
    let mut plan = outcome.plan.clone();
    if let Some(plan) = &mut plan
        && plan.lows.len() > LOWS
    {
        plan.lows.clear();
    }
    let few = Outcome {
        spadework: outcome.spadework.clone(),
        command: outcome.command.clone(),
        inputs: outcome.inputs.clone(),
        job: outcome.job.clone(),
        units: outcome.units.clone(),
        datum: outcome.datum.clone(),
        cautions: outcome.cautions.clone(),
        volume: outcome.volume.clone(),
        checks: outcome.checks.clone(),
        stakes: Some(kept.iter().map(|&k| stakes[k].clone()).collect()),
        plan,
        ..Outcome::default()
    };
    Some((few, stakes.len() - kept.len()))
}

/// Of each cell of a lattice of a few hundred the stake dug or filled most, in their order.
pub(in crate::sheet) fn deepest(stakes: &[StakeOut]) -> Vec<usize> {
    let span = |of: fn(&StakeOut) -> f64| {
        let (low, high) =
            stakes.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        (low, (high - low).max(1e-9))
    };
    let ((south, high), (west, wide)) = (span(|s| s.northing), span(|s| s.easting));
    let cell = (high * wide / CELLS).sqrt().max(high.max(wide) / CELLS);
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred cells")]
    let at = |s: &StakeOut| [(s.northing - south) / cell, (s.easting - west) / cell].map(|v| v.floor() as i64);
    let depth = |s: &StakeOut| s.cut.unwrap_or(-1.0).max(s.fill.unwrap_or(-1.0));
    let mut best: HashMap<[i64; 2], usize> = HashMap::new();
    for (k, stake) in stakes.iter().enumerate() {
        let held = best.entry(at(stake)).or_insert(k);
        if depth(stake) > depth(&stakes[*held]) {
            *held = k;
        }
    }
    let mut kept: Vec<usize> = best.into_values().collect();
    kept.sort_unstable();
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_deepest_of_each_cell_stays_and_the_rest_is_counted() {
        let stake = |k: usize| StakeOut {
            stake: format!("s{k}"),
            northing: (k / 100) as f64,
            easting: (k % 100) as f64,
            cut: Some(if k == 4321 { 9.0 } else { 1.0 }),
            ..StakeOut::default()
        };
        let many = |n: usize| Outcome { stakes: Some((0..n).map(stake).collect()), ..Outcome::default() };
        assert!(thinned(&many(MOST)).is_none());
        let (few, left) = thinned(&many(10_000)).unwrap_or_else(|| panic!("not thinned"));
        let stakes = few.stakes.unwrap_or_default();
        assert_eq!(stakes.len() + left, 10_000);
        assert!(stakes.len() <= 300 && stakes.iter().any(|s| s.stake == "s4321"), "{}", stakes.len());
    }
}
