//! Where the subgrade of every area drains to, how each stake's water gets there, and how much each run of pipe takes in.
//!
//! Areas in square job units, inside the outlines; what was dug past the edges and the ground outside are told apart. The peak of a run
//! asks for the sum of C A over the outlines (rational method); C by use, from the job file. Ground that only runs to the dig from
//! outside has no C said for it and is not in the peak, which is said with its size.

use super::site::{Site, owner, places_to_stake};
use super::site_rules::Grades;
use super::site_water::{Wet, is_hard};
use super::{AreaWaterOut, DrainageOut, DrainsToOut, DugWaterOut, PathOut, PondOut, SlopeOut, StakeOut};
use crate::design::dig::Dug;
use crate::design::mean_falls;
use crate::design::said::Usage;
use crate::drainage::{Catchments, End, Outlet, Paths, Piece, Sheet, azimuth};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::shots::to_micro;
use crate::surface::{Triangle, off, same_height, same_place, sum};
use crate::units::{LengthUnit, fixed};
use std::collections::HashMap;

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
    ponds: &[PondOut],
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
    let (standing, mut ways) = (Standing::new(site, ponds), Paths::new(&wet.ground, &wet.outlets, 0.0));
    let mut out = DugWaterOut::default();
    for (k, area) in site.dig.areas.iter().enumerate() {
        let own = |p: &Piece| sheet(p) == Sheet::Area(k);
        let whole = found.area(own);
        let mut parts: Vec<(Goal, f64)> = Vec::new();
        for piece in found.pieces.iter().filter(|p| own(p)) {
            let mut end_of = || ways.from_in(piece.triangle, middle(&piece.ring), false).place;
            let is_pond = piece.end == End::Low && standing.holds(end_of());
            let goal = if is_pond { Goal::Pond } else { Goal::End(piece.end) };
            match parts.iter_mut().find(|(to, _)| *to == goal) {
                Some((_, area)) => *area += piece.area,
                None => parts.push((goal, piece.area)),
            }
        }
        parts.retain(|(_, area)| *area > CRUMB * whole);
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        held(site, k, &parts, checks, cautions);
        let arrived = || paths.iter().filter(|(of, p)| *of == k && !matches!(p.end.as_str(), "low" | "flat"));
        let least = arrived().filter(|(_, p)| p.length > 0.0).map(|(_, p)| p.least_slope).fold(f64::INFINITY, f64::min);
        out.areas.push(AreaWaterOut {
            name: area.said.name.clone(),
            finish: slopes(site, area.pieces.iter().copied()),
            subgrade: slopes(site, area.floor()),
            drains_to: parts
                .iter()
                .map(|(goal, area)| match goal {
                    Goal::Pond => DrainsToOut { end: "pond".to_owned(), to: None, area: *area },
                    Goal::End(end) => DrainsToOut { end: end.word().to_owned(), to: name(*end), area: *area },
                })
                .collect(),
            longest: arrived().map(|(_, p)| p.length).fold(0.0, f64::max),
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

/// Where a part of an area drains to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Goal {
    /// A low in which water stands, found as such.
    Pond,
    /// Any other end.
    End(End),
}

/// Outlines of water that stands, in the frame.
struct Standing {
    edges: Vec<Vec<[[f64; 2]; 2]>>,
    /// How near to an edge counts as in it: water gathers at the foot of a wall.
    near: f64,
}

impl Standing {
    fn new(site: &Site<'_>, ponds: &[PondOut]) -> Self {
        let unit = site.job.unit;
        let local = |&(n, e): &(f64, f64)| site.dig.frame().local(to_micro(n), to_micro(e));
        let edges = |pond: &PondOut| {
            let sides = pond.rings.iter().flat_map(|ring| ring.windows(2));
            sides.map(|w| [local(&w[0]), local(&w[1])]).collect()
        };
        let stand = ponds.iter().filter(|p| p.inside.is_none() && p.depth > same_height(unit));
        Self { edges: stand.map(edges).collect(), near: f64::from(same_place(unit)) }
    }

    fn holds(&self, p: [f64; 2]) -> bool {
        let rises = |[a, b]: &&[[f64; 2]; 2]| (a[1] > p[1]) != (b[1] > p[1]);
        let right = |[a, b]: &&[[f64; 2]; 2]| p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
        self.edges.iter().any(|pond| {
            pond.iter().filter(rises).filter(right).count() % 2 == 1
                || pond.iter().any(|[a, b]| off(p, *a, *b) <= self.near)
        })
    }
}

/// The middle of a convex ring.
fn middle(ring: &[[f64; 2]]) -> [f64; 2] {
    [0, 1].map(|k| ring.iter().map(|p| p[k]).sum::<f64>() / ring.len() as f64)
}

/// An area's water must get to a drain, an outlet or the open.
fn held(site: &Site<'_>, k: usize, parts: &[(Goal, f64)], checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    let unit = site.job.unit;
    let area: &Dug<'_> = &site.dig.areas[k];
    let subject = || Subject::Area(area.said.name.clone());
    let of = |which: fn(End) -> bool| {
        let those = parts.iter().filter(|(goal, _)| matches!(goal, Goal::End(end) if which(*end)));
        sum(those.map(|(_, area)| *area))
    };
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

/// Tells each stake where its water goes.
pub(super) fn ways(stakes: &mut [StakeOut], drainage: Option<&DrainageOut>) {
    let paths = drainage.and_then(|d| d.dug.as_ref()).map(|dug| dug.paths.as_slice()).unwrap_or_default();
    let ways: HashMap<&str, &PathOut> = paths.iter().map(|p| (p.stake.as_str(), p)).collect();
    for stake in stakes {
        stake.drains_to = ways.get(stake.stake.as_str()).map(|p| p.way());
    }
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
