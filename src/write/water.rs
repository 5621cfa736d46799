//! What does the report say of water: where it stands?

use super::account::words;
use super::columns::columns;
use crate::job::{Outcome, PondOut};
use crate::units::fixed;

/// Ponds named before the rest is counted.
const MOST: usize = 20;

/// Where water stands.
pub(super) fn ponds(outcome: &Outcome) -> Option<String> {
    let ponds = outcome.drainage.as_ref()?.ponds.as_ref()?;
    let units = &outcome.units;
    let ground = if outcome.job.is_empty() { "the survey" } else { "the subgrade" };
    if ponds.is_empty() {
        return Some(format!("Ponds: none, no water stands on {ground}"));
    }
    let places = if units.length == "m" { 3 } else { 2 };
    let place = |(n, e): (f64, f64)| format!("N {}, E {}", fixed(n, 2), fixed(e, 2));
    let head = words(["", "level", "deepest at", "depth", "area", "volume", units.water.as_str(), "spills over"]);
    // The deepest first, each with what is nested in it.
    let mut order: Vec<usize> = (0..ponds.len()).filter(|&k| ponds[k].inside.is_none()).collect();
    order.sort_by(|&a, &b| ponds[b].volume.total_cmp(&ponds[a].volume).then(a.cmp(&b)));
    let number = |k: usize| order.iter().position(|&o| o == k).map_or(0, |n| n + 1);
    let row = |p: &PondOut, label: String| {
        let over = match &p.spill_name {
            Some(name) => format!("{name}, {}", place(p.spill_at)),
            None => place(p.spill_at),
        };
        let mut row = vec![label, fixed(p.level, places), place(p.low_at), fixed(p.depth, places)];
        row.extend([fixed(p.area, 1), fixed(p.volume, 2), fixed(p.water, 0), over]);
        row
    };
    let mut rows = Vec::new();
    for &k in order.iter().take(MOST) {
        rows.push(row(&ponds[k], number(k).to_string()));
        rows.extend(ponds.iter().filter(|p| p.inside == Some(k)).map(|p| row(p, format!("in {}", number(k)))));
    }
    let more = order.len().saturating_sub(MOST);
    let rest = if more > 0 { format!("\n  and {more} smaller ones: see --json") } else { String::new() };
    let title = format!("Ponds on {ground} ({}, {}, {})", units.length, units.area, units.volume);
    Some(format!("{title}\n{}{rest}", columns(&head, rows)))
}
