//! Where water stands on the dug ground of a job with areas.
//!
//! Ponds that touch the dig, each a check that fails: water on the subgrade under paving is the failure nobody sees until winter.
//! Perforated legs take water over their trench; solid ones are filled back and take none. Outlets take it at their place.

use super::PondOut;
use super::ponds::pond_out;
use super::site::Site;
use crate::design::said::Usage;
use crate::drainage::{DugGround, Footprint, Sheet, flooded};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::shots::{MICRO, to_micro};
use crate::surface::same_height;
use crate::units::{Length, LengthUnit, fixed};

/// The check's name.
const RULE: &str = "water stands on no subgrade";

/// A trench whose width was not said, for what takes water: 12 in (common practice, no source).
const TRENCH: f64 = 12.0;

/// Ponds on the dug ground, the deepest checked; nothing where the dig is too tangled to be told apart, which is said.
pub(super) fn ponds(site: &Site<'_>, checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) -> Option<Vec<PondOut>> {
    let unit = site.job.unit;
    let feet = footprints(site);
    let Some(ground) = DugGround::new(&site.dig, &site.existing, &feet, unit) else {
        let text =
            "the edges of the dig cross again and again within a few millionths: where water stands is not worked out";
        cautions.push(Caution::new(Subject::Job, text));
        return None;
    };
    let frame = site.dig.frame();
    let outlets: Vec<[f64; 2]> = site.job.outlets.iter().map(|(_, n, e)| frame.local(*n, *e)).collect();
    let all = flooded(&ground.mesh, &ground.sinks(&feet, &outlets), true)?;
    let mut out: Vec<PondOut> = Vec::new();
    let mut numbers: Vec<Option<usize>> = Vec::new();
    for pond in &all {
        let inside = pond.inside.and_then(|k| numbers[k]);
        let areas: Vec<usize> = areas(site, &ground.sheets, &pond.wet);
        let touches = pond.wet.iter().any(|&v| ground.sheets[v as usize] != Sheet::Ground);
        if !touches || (pond.inside.is_some() && inside.is_none()) {
            numbers.push(None);
            continue;
        }
        numbers.push(Some(out.len()));
        let mut told = pond_out(pond, frame, unit, |p| site.existing_name(p));
        told.inside = inside;
        told.areas = areas.iter().map(|&k| site.dig.areas[k].said.name.clone()).collect();
        let spill = (to_micro(told.spill_at.0), to_micro(told.spill_at.1));
        let around = site.dig.at(spill);
        if let [a, b, ..] = around.as_slice() {
            told.dam = Some([*a, *b].map(|k| site.dig.areas[k].said.name.clone()));
        }
        if inside.is_none() {
            let (check, text) = standing(&told, unit);
            // Under soil water soaks away or waits for the plants; under paving it freezes.
            if areas.iter().any(|&k| is_hard(site, k)) {
                checks.push(check);
            } else {
                cautions.push(Caution::new(check.subject, format!("on its subgrade {text}")));
            }
        }
        out.push(told);
    }
    if checks.iter().all(|c| c.rule != RULE) {
        checks.push(Check {
            rule: RULE,
            subject: Subject::Job,
            found: 0.0,
            measure: Measure::Count,
            limit: Limit::Must,
            pass: true,
            source: "common practice, no source".to_owned(),
            note: String::new(),
        });
    }
    Some(out)
}

/// Whether an area is to be paved, or is not said to be anything else.
pub(super) fn is_hard(site: &Site<'_>, k: usize) -> bool {
    !matches!(site.dig.areas[k].said.usage, Some(Usage::Lawn | Usage::Bed))
}

/// The check of a pond, and what it says in words.
fn standing(pond: &PondOut, unit: LengthUnit) -> (Check, String) {
    let place = |(n, e): (f64, f64)| format!("N {}, E {}", fixed(n, 1), fixed(e, 1));
    let subject = match pond.areas.as_slice() {
        [] => Subject::Place(pond.low_at.0, pond.low_at.1),
        [one, ..] => Subject::Area(one.clone()),
    };
    let dam = match &pond.dam {
        Some([a, b]) => format!(", dammed where {a} and {b} meet"),
        None => String::new(),
    };
    let shallow = same_height(unit);
    let text = format!(
        "water stands {} {} deep at {}, {} {}; it leaves only over {}{dam}",
        fixed(pond.depth, super::suspects::places(unit)),
        unit.length(),
        place(pond.low_at),
        fixed(pond.area, 1),
        unit.area(),
        place(pond.spill_at)
    );
    let check = Check {
        rule: RULE,
        subject,
        found: pond.depth,
        measure: Measure::Length,
        limit: Limit::Most(shallow),
        pass: pond.depth <= shallow,
        source: "common practice, no source".to_owned(),
        note: text.clone(),
    };
    (check, text)
}

/// Areas a pond lies in, its over-dig included, in the order of the file.
fn areas(site: &Site<'_>, sheets: &[Sheet], wet: &[u32]) -> Vec<usize> {
    let of = |&v: &u32| match sheets[v as usize] {
        Sheet::Ground => None,
        Sheet::Area(k) => Some(k),
        Sheet::Ring(k) => Some(site.dig.rings[k].area),
        Sheet::Batter(k) => Some(site.dig.batters[k].area),
    };
    let mut out: Vec<usize> = wet.iter().filter_map(of).collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Trenches of perforated legs, each a rectangle along its leg.
fn footprints(site: &Site<'_>) -> Vec<Footprint> {
    let frame = site.dig.frame();
    let mut out = Vec::new();
    for drain in &site.job.said.drains {
        let width = drain.trench.as_ref().map_or(Length::inches(TRENCH, site.job.unit), |t| t.width);
        let half = width.job_units() * MICRO / 2.0;
        for (leg, perforated) in drain.nodes.windows(2).zip(&drain.perforated) {
            let [a, b] = [&leg[0], &leg[1]].map(|n| frame.local(n.place.0, n.place.1));
            let along = [b[0] - a[0], b[1] - a[1]];
            let length = along[0].hypot(along[1]);
            if *perforated && length > 0.0 {
                let side = [-along[1] / length * half, along[0] / length * half];
                let at = |p: [f64; 2], k: f64| [p[0] + k * side[0], p[1] + k * side[1]];
                out.push(vec![at(a, -1.0), at(b, -1.0), at(b, 1.0), at(a, 1.0)]);
            }
        }
    }
    out
}
