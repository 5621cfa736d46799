//! Where the subgrade of every area drains to, how each stake's water gets there, and how much each run of pipe takes in.
//!
//! Areas in square job units, inside the outlines; what was dug past the edges and the ground outside are told apart. The peak of a run
//! asks for the sum of C A over the outlines (rational method); C by use, from the job file. Ground that only runs to the dig from
//! outside has no C said for it and is not in the peak, which is said with its size.

use super::site::{Site, owner, places_to_stake};
use super::site_rules::Grades;
use super::site_water::{Wet, is_hard};
use super::{AreaWaterOut, DrainsToOut, DugWaterOut, PathOut, SlopeOut};
use crate::design::dig::Dug;
use crate::design::mean_falls;
use crate::design::said::Usage;
use crate::drainage::{Catchments, End, Outlet, Paths, Piece, Sheet, azimuth};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::surface::{Triangle, sum};
use crate::units::{LengthUnit, fixed};

/// Parts smaller than this share of an area are what rounding leaves.
const CRUMB: f64 = 1e-6;

/// What drains to each run of pipe by itself.
#[derive(Clone, Debug, Default)]
pub(super) struct Inflow {
    /// Area inside the outlines.
    pub area: f64,
    /// Area of ground outside the dig.
    pub outside: f64,
    /// Sum of C A over the outlines; nothing where a C was not said.
    pub runoff: Option<f64>,
}

/// Where the water of the dug ground goes, and what each run takes in.
pub(super) fn catchments(
    site: &Site<'_>,
    wet: &Wet,
    checks: &mut Vec<Check>,
    cautions: &mut Vec<Caution>,
) -> (DugWaterOut, Vec<Inflow>) {
    let found = Catchments::new(&wet.ground, &wet.outlets);
    let sheet = |p: &Piece| wet.ground.sheet(p.triangle);
    let name = |end: End| match end {
        End::Drain(k) => Some(format!("drain {}", site.job.said.drains[k].name)),
        End::Outlet(k) => Some(wet.outlets[k].name.clone()),
        _ => None,
    };
    let frame = site.dig.frame();
    let paths = paths(site, wet, name);
    let mut out = DugWaterOut::default();
    for (k, area) in site.dig.areas.iter().enumerate() {
        let own = |p: &Piece| sheet(p) == Sheet::Area(k);
        let mut ends: Vec<End> = found.pieces.iter().filter(|p| own(p)).map(|p| p.end).collect();
        ends.sort_unstable();
        ends.dedup();
        let whole = found.area(own);
        let mut parts: Vec<(End, f64)> =
            ends.into_iter().map(|end| (end, found.area(|p| own(p) && p.end == end))).collect();
        parts.retain(|(_, area)| *area > CRUMB * whole);
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        held(site, k, &parts, checks, cautions);
        let ways = || paths.iter().filter(|(of, p)| *of == k && !matches!(p.end.as_str(), "low" | "flat"));
        let least = ways().filter(|(_, p)| p.length > 0.0).map(|(_, p)| p.least_slope).fold(f64::INFINITY, f64::min);
        out.areas.push(AreaWaterOut {
            name: area.said.name.clone(),
            finish: slopes(site, area.pieces.iter().copied()),
            subgrade: slopes(site, area.floor()),
            drains_to: parts
                .iter()
                .map(|(end, area)| DrainsToOut { end: end.word().to_owned(), to: name(*end), area: *area })
                .collect(),
            longest: ways().map(|(_, p)| p.length).fold(0.0, f64::max),
            least_on_the_way: if least.is_finite() { least } else { 0.0 },
        });
    }
    let lost = |p: &&Piece| !p.end.arrives() && matches!(sheet(p), Sheet::Area(_)) && p.area > CRUMB;
    out.unreached_rings =
        found.pieces.iter().filter(lost).map(|p| p.ring.iter().map(|&p| frame.site(p)).collect()).collect();
    out.paths = paths.into_iter().map(|(_, path)| path).collect();
    out.unreached =
        out.paths.iter().filter(|p| matches!(p.end.as_str(), "low" | "flat")).map(|p| p.stake.clone()).collect();
    let inflow = (0..site.job.said.drains.len()).map(|run| inflow(site, &found, sheet, run)).collect();
    (out, inflow)
}

fn slopes(site: &Site<'_>, pieces: impl Iterator<Item = Triangle>) -> SlopeOut {
    let pieces: Vec<Triangle> = pieces.collect();
    let falls = mean_falls(&pieces, site.dig.frame());
    let grades = Grades::of(pieces.into_iter());
    SlopeOut { least: grades.least, greatest: grades.greatest, azimuth: azimuth(falls) }
}

/// An area's water must get to a drain, an outlet or the open.
fn held(site: &Site<'_>, k: usize, parts: &[(End, f64)], checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    let unit = site.job.unit;
    let area: &Dug<'_> = &site.dig.areas[k];
    let subject = || Subject::Area(area.said.name.clone());
    let of = |which: fn(End) -> bool| sum(parts.iter().filter(|(end, _)| which(*end)).map(|(_, area)| *area));
    let lost = of(|end| !end.arrives());
    let say = |area: f64| format!("{} {}", fixed(area, if unit == LengthUnit::Metre { 2 } else { 1 }), unit.area());
    // Under soil water soaks away or waits for the plants; ponds there are asked about.
    if is_hard(site, k) {
        let flat = of(|end| end == End::Flat);
        checks.push(Check {
            rule: "subgrade water gets to a drain, an outlet or the open",
            subject: subject(),
            found: lost,
            measure: Measure::Area,
            limit: Limit::Most(0.0),
            pass: lost <= 0.0,
            source: "common practice, no source".to_owned(),
            note: match (lost > 0.0, flat > 0.0) {
                (false, _) => String::new(),
                (true, true) => format!("{} end on level ground: give the subgrade a fall to a drain", say(flat)),
                (true, false) => "it ends in a low: turn its fall, or lead a drain there".to_owned(),
            },
        });
    }
    let open = of(|end| end == End::Edge);
    if open > 0.0 {
        let text = format!(
            "{} of its subgrade drain over the edge of the survey: see where that water goes, and whether it may",
            say(open)
        );
        cautions.push(Caution::new(subject(), text));
    }
}

/// Every stake of an area with its way down over the subgrade.
fn paths(site: &Site<'_>, wet: &Wet, name: impl Fn(End) -> Option<String>) -> Vec<(usize, PathOut)> {
    let frame = site.dig.frame();
    let reach = if site.job.unit == LengthUnit::Metre { 0.005 } else { Outlet::REACH };
    let mut paths = Paths::new(&wet.ground, &wet.outlets, reach);
    let mut out = Vec::new();
    for place in places_to_stake(site) {
        let at = frame.local(place.northing, place.easting);
        let Some(k) = owner(site, (place.northing, place.easting), place.shot) else { continue };
        let Some(t) = wet.ground.triangle_of(|s| s == Sheet::Area(k), at) else { continue };
        let path = paths.from_in(t, at, false);
        let (northing, easting) = frame.site(path.place);
        let told = PathOut {
            stake: place.name,
            end: path.end.word().to_owned(),
            to: name(path.end),
            northing,
            easting,
            length: path.length,
            fall: path.fall,
            least_slope: path.least_slope,
            line: Vec::new(),
        };
        out.push((k, told));
    }
    out
}

/// The part of the rain that runs off an area of a use.
fn runoff(site: &Site<'_>, k: usize) -> Option<f64> {
    let said = site.job.said.runoff;
    match site.dig.areas[k].said.usage {
        Some(Usage::Lawn) => said.lawn,
        Some(Usage::Bed) => said.bed,
        Some(Usage::DrainStrip) => said.stone,
        _ => said.paving,
    }
}

fn inflow(site: &Site<'_>, found: &Catchments, sheet: impl Fn(&Piece) -> Sheet, run: usize) -> Inflow {
    let own = |p: &Piece| p.end == End::Drain(run);
    let mut out = Inflow { runoff: Some(0.0), ..Inflow::default() };
    for k in 0..site.dig.areas.len() {
        let area = found.area(|p| own(p) && sheet(p) == Sheet::Area(k));
        out.area += area;
        if area > CRUMB {
            out.runoff = out.runoff.zip(runoff(site, k)).map(|(sum, c)| sum + c * area);
        }
    }
    out.outside = found.area(|p| own(p) && sheet(p) == Sheet::Ground);
    out
}

/// Said of a run whose peak cannot be told.
pub(super) fn unsaid(site: &Site<'_>, inflow: &[Inflow], cautions: &mut Vec<Caution>) {
    for (run, taken) in site.runs.iter().zip(inflow).filter(|(run, _)| !run.legs.is_empty()) {
        if site.job.said.storm.is_some() && taken.runoff.is_none() {
            let text = "how much of the rain runs off is not said for all that drains to it, so no peak is told: [rain] runoff";
            cautions.push(Caution::new(Subject::Item("drain", format!("drain {}", run.said.name)), text));
        }
    }
}
