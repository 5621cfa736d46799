//! What does the report say of water: how the areas of a job fall, where their subgrade drains to, where water stands?

use super::account::words;
use super::columns::columns;
use crate::job::{Outcome, PondOut, SlopeOut};
use crate::units::fixed;

/// Slopes of every area of a job and where its subgrade drains to.
pub(super) fn areas(outcome: &Outcome) -> Option<String> {
    let dug = outcome.drainage.as_ref()?.dug.as_ref().filter(|dug| !dug.areas.is_empty())?;
    let percent = |v: f64| fixed(v * 100.0, 2);
    let slopes = |s: &SlopeOut| {
        let (least, greatest) = (percent(s.least), percent(s.greatest));
        let range = if least == greatest { least } else { format!("{least} to {greatest}") };
        [range, format!("{:03}", fixed(s.azimuth, 0).parse::<u32>().unwrap_or(0) % 360)]
    };
    let head =
        words(["area", "finish %", "toward", "subgrade %", "toward", "longest way", "least on it %", "drains to"]);
    let rows = dug.areas.iter().map(|a| {
        let mut row = vec![a.name.clone()];
        row.extend(slopes(&a.finish).into_iter().chain(slopes(&a.subgrade)));
        row.extend([fixed(a.longest, 1), percent(a.least_on_the_way)]);
        let ends = a.drains_to.iter().map(|d| {
            let to = match d.end.as_str() {
                "edge" => "the open edge",
                "low" => "a low",
                "pond" => "standing water",
                "flat" => "level ground",
                other => d.to.as_deref().unwrap_or(other),
            };
            format!("{to} {}", fixed(d.area, 1))
        });
        row.push(ends.collect::<Vec<_>>().join(", "));
        row
    });
    let table = columns(&head, rows);
    let unreached = match dug.unreached.as_slice() {
        [] => String::new(),
        names => format!("\nWater reaches nothing from {} stakes: {}", names.len(), names.join(", ")),
    };
    let units = &outcome.units;
    Some(format!("Slopes and where the subgrade drains to ({}, {})\n{table}{unreached}", units.length, units.area))
}

/// Ponds named before the rest is counted.
const MOST: usize = 20;

/// Where water stands: on a survey, or on the subgrade and on the finish of a job.
pub(super) fn ponds(outcome: &Outcome) -> Option<String> {
    let drainage = outcome.drainage.as_ref()?;
    let ground = if outcome.job.is_empty() { "the survey" } else { "the subgrade" };
    let of = |ponds: &Option<Vec<PondOut>>, ground| ponds.as_ref().and_then(|ponds| standing(outcome, ponds, ground));
    let finish = drainage.dug.as_ref().and_then(|dug| of(&dug.finish_ponds, "the finish"));
    let parts: Vec<String> = of(&drainage.ponds, ground).into_iter().chain(finish).collect();
    (!parts.is_empty()).then(|| parts.join("\n\n"))
}

fn standing(outcome: &Outcome, ponds: &[PondOut], ground: &str) -> Option<String> {
    let units = &outcome.units;
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
