//! Where water stands on the dug and on the finished ground of a job with areas.
//!
//! Ponds that touch the dig, each a check that fails: water on the subgrade under paving is the failure nobody sees until winter.
//! Perforated legs take water over their trench; solid ones are filled back and take none. Outlets take it at their place.

use super::ponds::pond_out;
use super::site::Site;
use super::{DrainageOut, PondOut, drains, site_catchments};
use crate::design::convex::{Convex, split};
use crate::design::said::Usage;
use crate::drainage::{DugGround, Footprint, Outlet, Sheet, Stage, flooded};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::shots::{MICRO, to_micro};
use crate::surface::same_height;
use crate::units::{Length, LengthUnit, fixed};

/// The check's name.
const RULE: &str = "water stands on no subgrade";

/// A trench whose width was not said, for what takes water: 12 in (common practice, no source).
const TRENCH: f64 = 12.0;

/// Where the water of a job goes. `all`: not only what its drains come to.
pub(super) fn water(
    site: &Site<'_>,
    dug: &drains::Trenches,
    all: bool,
    checks: &mut Vec<Check>,
    cautions: &mut Vec<Caution>,
) -> DrainageOut {
    let wet = if all { Wet::new(site, cautions) } else { None };
    let ponds = wet.as_ref().and_then(|wet| ponds(site, wet, checks, cautions));
    let told = ponds.as_deref().unwrap_or_default();
    let found = wet.as_ref().map(|wet| site_catchments::catchments(site, wet, told, checks, cautions));
    let (mut water, inflow) = found.map_or((None, None), |(water, inflow)| (Some(water), Some(inflow)));
    let drains = drains::out(site, dug, inflow.as_deref());
    drains::checks(site, dug, &drains, checks, cautions);
    if let Some(water) = &mut water {
        water.finish_ponds = wet.as_ref().and_then(|dug| finish_ponds(site, dug, cautions));
    }
    site_catchments::unsaid(site, inflow.as_deref().unwrap_or_default(), cautions);
    DrainageOut { falls: None, dug: water, ponds, drains }
}

/// The dug or the built ground of a job, and what takes its water.
pub(super) struct Wet {
    pub ground: DugGround,
    pub outlets: Vec<Outlet>,
}

impl Wet {
    /// Nothing where the dig is too tangled to be told apart, which is said.
    pub fn new(site: &Site<'_>, cautions: &mut Vec<Caution>) -> Option<Self> {
        let frame = site.dig.frame();
        let outlet = |(name, n, e): &(String, i64, i64)| Outlet { name: name.clone(), place: frame.local(*n, *e) };
        let outlets: Vec<Outlet> = site.job.outlets.iter().map(outlet).collect();
        let feet = footprints(site, Stage::Dug);
        let ground = DugGround::new(&site.dig, &site.existing, Stage::Dug, (&feet, &outlets), site.job.unit);
        Self::said(ground, outlets, cautions)
    }

    /// The same ground once it is built.
    fn built(&self, site: &Site<'_>, cautions: &mut Vec<Caution>) -> Option<Self> {
        let (feet, outlets) = (footprints(site, Stage::Built), self.outlets.clone());
        let ground = self.ground.built(&site.dig, &site.existing, (&feet, &outlets), site.job.unit);
        Self::said(ground, outlets, cautions)
    }

    fn said(ground: Option<DugGround>, outlets: Vec<Outlet>, cautions: &mut Vec<Caution>) -> Option<Self> {
        if ground.is_none() {
            let text = "the edges of the dig cross again and again within a few millionths: where water goes is not worked out";
            cautions.push(Caution::new(Subject::Job, text));
        }
        Some(Self { ground: ground?, outlets })
    }

    /// Ponds that touch areas or what was dug past their edges; nested ones behind theirs.
    fn ponds(&self, site: &Site<'_>) -> Option<Vec<(PondOut, Vec<usize>)>> {
        let all = flooded(&self.ground.mesh, &self.ground.sinks(), true)?;
        let mut out: Vec<(PondOut, Vec<usize>)> = Vec::new();
        let mut numbers: Vec<Option<usize>> = Vec::new();
        for pond in &all {
            let inside = pond.inside.and_then(|k| numbers[k]);
            let touches = pond.wet.iter().any(|&v| self.ground.sheets[v as usize] != Sheet::Ground);
            if !touches || (pond.inside.is_some() && inside.is_none()) {
                numbers.push(None);
                continue;
            }
            numbers.push(Some(out.len()));
            let areas: Vec<usize> = areas(site, &self.ground.sheets, &pond.wet);
            let mut told = pond_out(pond, site.dig.frame(), site.job.unit, |p| site.existing_name(p));
            told.inside = inside;
            told.areas = areas.iter().map(|&k| site.dig.areas[k].said.name.clone()).collect();
            let spill = (to_micro(told.spill_at.0), to_micro(told.spill_at.1));
            let around = site.dig.at(spill);
            if let [a, b, ..] = around.as_slice() {
                told.dam = Some([*a, *b].map(|k| site.dig.areas[k].said.name.clone()));
            }
            out.push((told, areas));
        }
        Some(out)
    }
}

/// Ponds on the dug ground, each checked.
fn ponds(site: &Site<'_>, wet: &Wet, checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) -> Option<Vec<PondOut>> {
    let all = wet.ponds(site)?;
    for (told, areas) in all.iter().filter(|(told, _)| told.inside.is_none()) {
        let (check, text) = standing(told, site.job.unit);
        // Under soil water soaks away or waits for the plants; under paving it freezes.
        if areas.iter().any(|&k| is_hard(site, k)) {
            checks.push(check);
        } else {
            cautions.push(Caution::new(check.subject, format!("on its subgrade {text}")));
        }
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
    Some(all.into_iter().map(|(told, _)| told).collect())
}

/// On finished soil less than this, in inches, is no pond to speak of (common practice, no source).
const PUDDLE: f64 = 1.0;

/// Ponds on the finished work, each asked about. Drains that take surface water take it there.
fn finish_ponds(site: &Site<'_>, dug: &Wet, cautions: &mut Vec<Caution>) -> Option<Vec<PondOut>> {
    let wet = dug.built(site, cautions)?;
    let all = wet.ponds(site)?;
    let puddle = Length::inches(PUDDLE, site.job.unit).job_units();
    let counts = |(told, areas): &&(PondOut, Vec<usize>)| {
        let least = if areas.iter().any(|&k| is_hard(site, k)) { same_height(site.job.unit) } else { puddle };
        told.inside.is_none() && told.depth > least
    };
    for (told, _) in all.iter().filter(counts) {
        let (check, text) = standing(told, site.job.unit);
        cautions.push(Caution::new(check.subject, format!("on its finish {text}")));
    }
    Some(all.into_iter().map(|(told, _)| told).collect())
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

/// Trenches that take water, each a rectangle along its leg: of perforated legs the water of the subgrade, of those of drains that take
/// surface water that of the finish.
fn footprints(site: &Site<'_>, stage: Stage) -> Vec<Footprint> {
    let frame = site.dig.frame();
    let mut out = Vec::new();
    for (number, drain) in site.job.said.drains.iter().enumerate() {
        if stage == Stage::Built && !drain.takes_surface {
            continue;
        }
        let width = drain.trench.as_ref().map_or(Length::inches(TRENCH, site.job.unit), |t| t.width);
        let half = width.job_units() * MICRO / 2.0;
        for (leg, perforated) in drain.nodes.windows(2).zip(&drain.perforated) {
            let [a, b] = [&leg[0], &leg[1]].map(|n| frame.local(n.place.0, n.place.1));
            let along = [b[0] - a[0], b[1] - a[1]];
            let length = along[0].hypot(along[1]);
            if *perforated && length > 0.0 {
                let side = [-along[1] / length * half, along[0] / length * half];
                let at = |p: [f64; 2], k: f64| [p[0] + k * side[0], p[1] + k * side[1]];
                let piece = vec![at(a, -1.0), at(b, -1.0), at(b, 1.0), at(a, 1.0)];
                if stage == Stage::Dug {
                    let along = along.map(|d| d / length);
                    let beside = site.dig.rings.iter().filter_map(|r| beside(&r.piece, (a, along), (length, half)));
                    out.extend(beside.map(|piece| Footprint { drain: number, piece }));
                }
                out.push(Footprint { drain: number, piece });
            }
        }
    }
    out
}

/// What is dug past an edge is level across: where a trench runs along it, its water steps over into the trench. The part of such a piece
/// beside a leg (its upper end, its direction, its length and half its width), if it lies along it and touches the trench.
fn beside(piece: &Convex, (from, along): ([f64; 2], [f64; 2]), (length, half): (f64, f64)) -> Option<Convex> {
    /// Places nearer than this touch: a millionth or two.
    const HAIR: f64 = 2.0;
    let edges = (0..piece.len()).map(|k| (piece[k], piece[(k + 1) % piece.len()]));
    let longest =
        edges.map(|(a, b)| [b[0] - a[0], b[1] - a[1]]).max_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])))?;
    let turned = (longest[0] * along[1] - longest[1] * along[0]).abs() / longest[0].hypot(longest[1]);
    let offset = |p: &[f64; 2]| (p[1] - from[1]) * along[0] - (p[0] - from[0]) * along[1];
    let (low, high) =
        piece.iter().map(offset).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), o| (l.min(o), h.max(o)));
    if turned > 1e-3 || low > half + HAIR || high < -half - HAIR {
        return None;
    }
    let station = |p: [f64; 2]| (p[0] - from[0]) * along[0] + (p[1] - from[1]) * along[1];
    split(piece, station).0.and_then(|part| split(&part, |p| length - station(p)).0)
}
