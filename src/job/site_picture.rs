//! Geometry for the plan of a job with areas.

use super::picture::{breaks, by_level, depths_for, heights, interval_for, lines_inside, lines_out, multiples};
use super::site::{Site, Taken};
use super::{AreaPlanOut, ArrowOut, ContourOut, DrainOut, KeepOffOut, LineOut, PlanOut, StepOut, TintOut};
use super::{sections, staking};
use crate::design::Grade;
use crate::design::dig::{Dug, Ring, Step};
use crate::design::outlines::middle;
use crate::design::said::Guard;
use crate::drainage::azimuth;
use crate::shots::{MICRO, from_micro};
use crate::surface::Triangle;
use crate::units::Length;
use crate::volume::Bands;
use geo::{Coord, LineString, MultiPolygon, Polygon, unary_union};

pub(super) fn plan(site: &Site<'_>, taken: &[Taken]) -> (PlanOut, Vec<ContourOut>) {
    let job = site.job;
    let frame = site.dig.frame();
    let place = |p: (i64, i64)| (from_micro(p.0), from_micro(p.1));
    let (mut low, mut high) = heights(&site.existing);
    for area in &site.dig.areas {
        for t in area.floor() {
            for z in t.height {
                (low, high) = (low.min(z), high.max(z));
            }
        }
    }
    let interval = job.interval.map_or_else(|| interval_for(low, high), Length::job_units);
    let levels = multiples(low, high, interval).unwrap_or_default();
    let subgrade: Vec<LineOut> =
        site.dig.areas.iter().flat_map(|a| area_lines(site, a, (&a.subgrade, a.floor()), &levels)).collect();
    let contours = by_level(&subgrade, &levels).into_iter().filter(|c| c.lines > 0).collect();
    let deepest = taken
        .iter()
        .map(|t| t.outline.max_cut.max(t.outline.max_fill).max(t.ring.max_cut).max(t.batter.max_cut))
        .fold(0.0, f64::max);
    let (tint, zero_line) = tint(site, deepest);
    let rings =
        |area: &Dug<'_>| area.outline.rings.iter().map(|r| r.iter().map(|n| place(n.place)).collect()).collect();
    let mut used: Vec<usize> = job.said.areas.iter().map(|a| a.section).collect();
    used.sort_unstable();
    used.dedup();
    let plan = PlanOut {
        existing: lines_out(&site.existing, &levels),
        subgrade,
        finish: finish_lines(site, interval),
        finish_arrows: site.dig.areas.iter().flat_map(|a| arrows(site, a, &a.finish)).collect(),
        interval,
        tint,
        zero_line,
        edge: site.dig.areas.iter().flat_map(|a| rings(a) as Vec<Vec<(f64, f64)>>).collect(),
        breaks: breaks(&job.lines, &job.existing),
        highs: site.dig.areas.iter().filter_map(|a| highest(site, a)).collect(),
        arrows: site.dig.areas.iter().flat_map(|a| arrows(site, a, &a.subgrade)).collect(),
        outlets: job.outlets.iter().map(|(name, n, e)| (name.clone(), from_micro(*n), from_micro(*e), None)).collect(),
        benches: job
            .benches
            .iter()
            .filter_map(|b| {
                b.place.map(|p| (b.name.clone(), from_micro(p.0), from_micro(p.1), b.elevation.job_units()))
            })
            .collect(),
        set_up: job.set_up.as_ref().map(|(_, said)| said.clone()),
        areas: site
            .dig
            .areas
            .iter()
            .map(|a| AreaPlanOut {
                name: a.said.name.clone(),
                code: a.said.code.clone(),
                section: a.section.name.clone(),
                rings: rings(a),
                label: frame.site(label(a)),
            })
            .collect(),
        steps: steps(site, |s| s.heights),
        finish_steps: steps(site, |s| {
            let height = |k: usize, p: (i64, i64)| site.dig.areas[k].finish.height(frame.local(p.0, p.1));
            s.ends.map(|p| height(s.areas[0], p) - height(s.areas[1], p))
        }),
        cuts: sections::sections(site),
        marks: staking::marks(&job.benches),
        over_dig: joined(site, &site.dig.rings),
        batter: joined(site, &site.dig.batters),
        keep_offs: job.said.keep_offs.iter().map(keep_off).collect(),
        drains: drains(site),
        sections: used
            .into_iter()
            .map(|k| {
                let section = &job.said.sections[k];
                let layers = section.layers.iter().map(|l| (l.name.clone(), l.thick.job_units())).collect();
                (section.name.clone(), layers)
            })
            .collect(),
        north: job.north.clone(),
        ..PlanOut::default()
    };
    (plan, contours)
}

/// Contours of the finish of all areas.
fn finish_lines(site: &Site<'_>, interval: f64) -> Vec<LineOut> {
    let tops = || site.dig.areas.iter().flat_map(|a| &a.pieces).flat_map(|t| t.height);
    let (low, high) = tops().fold((f64::MAX, f64::MIN), |(l, h), z| (l.min(z), h.max(z)));
    let levels = multiples(low, high, interval).unwrap_or_default();
    site.dig.areas.iter().flat_map(|a| area_lines(site, a, (&a.finish, a.pieces.iter().copied()), &levels)).collect()
}

/// Edges two areas share at different heights.
fn steps(site: &Site<'_>, heights: impl Fn(&Step) -> [f64; 2]) -> Vec<StepOut> {
    let place = |p: (i64, i64)| (from_micro(p.0), from_micro(p.1));
    let steps = site.dig.steps.iter().map(|s| StepOut {
        areas: s.areas.map(|k| site.dig.areas[k].said.name.clone()),
        ends: s.ends.map(place),
        heights: heights(s),
    });
    steps.filter(|s| s.heights.iter().any(|h| h.abs() > LEVEL)).collect()
}

/// Steps lower than this are none: half of the last place a height is typed in.
const LEVEL: f64 = 0.005;

/// Middle of the area if it lies inside, else the middle of its largest triangle.
pub(super) fn label(area: &Dug<'_>) -> [f64; 2] {
    let at = middle(&area.region);
    if area.region.holds(at) {
        return at;
    }
    let largest = area.floor().max_by(|a, b| a.doubled_area().total_cmp(&b.doubled_area()));
    largest.map_or(at, |t| t.at([1.0 / 3.0; 3]))
}

/// The highest corner of an area's subgrade, of equals the one furthest north, then west.
fn highest(site: &Site<'_>, area: &Dug<'_>) -> Option<(f64, f64, f64)> {
    let corners = || area.floor().flat_map(|t| t.height.into_iter().zip(t.place));
    let lowest = corners().map(|c| c.0).fold(f64::INFINITY, f64::min);
    let frame = site.dig.frame();
    let placed = corners().map(|(z, at)| {
        let (n, e) = frame.site(at);
        (n, e, z)
    });
    let higher = |held: (f64, f64, f64), next: (f64, f64, f64)| {
        let rank = |c: (f64, f64, f64)| [c.2, c.0, -c.1];
        let tie = (held.2 - next.2).abs() <= LEVEL;
        let wins = if tie { rank(next)[1..] > rank(held)[1..] } else { next.2 > held.2 };
        if wins { next } else { held }
    };
    placed.reduce(higher).filter(|high| high.2 - lowest > LEVEL)
}

/// Contours of the finish or the subgrade of one area, `floor` being its pieces at that height. Of a plane: level by level the stretches
/// of one straight line, joined where they run on.
fn area_lines(
    site: &Site<'_>,
    area: &Dug<'_>,
    (grade, floor): (&Grade, impl Iterator<Item = Triangle>),
    levels: &[f64],
) -> Vec<LineOut> {
    let frame = site.dig.frame();
    let plane = match grade {
        Grade::Plane(plane) => plane,
        Grade::Net(surface) => return lines_inside(surface, levels, &area.region),
    };
    let [gx, gy] = plane.rise();
    let along = [-gy, gx];
    let part = |p: [f64; 2]| p[0] * along[0] + p[1] * along[1];
    let pieces: Vec<Triangle> = floor.collect();
    let mut out = Vec::new();
    for &level in levels {
        let mut stretches: Vec<[[f64; 2]; 2]> = pieces.iter().filter_map(|t| crossing(t, level)).collect();
        for s in &mut stretches {
            if part(s[0]) > part(s[1]) {
                s.swap(0, 1);
            }
        }
        stretches.sort_by(|a, b| part(a[0]).total_cmp(&part(b[0])));
        let mut joined: Vec<[[f64; 2]; 2]> = Vec::new();
        for s in stretches {
            match joined.last_mut() {
                // A thousandth of a unit: two triangles share the end to rounding.
                Some(last) if (last[1][0] - s[0][0]).hypot(last[1][1] - s[0][1]) < MICRO / 1000.0 => last[1] = s[1],
                _ => joined.push(s),
            }
        }
        out.extend(joined.into_iter().map(|s| LineOut {
            level,
            points: s.iter().map(|&p| frame.site(p)).collect(),
            closed: false,
        }));
    }
    out
}

fn crossing(t: &Triangle, level: f64) -> Option<[[f64; 2]; 2]> {
    let mut ends = Vec::new();
    for k in 0..3 {
        let j = (k + 1) % 3;
        let (a, b) = (t.height[k], t.height[j]);
        if (a >= level) != (b >= level) {
            let part = (level - a) / (b - a);
            ends.push([0, 1].map(|i| t.place[k][i] + part * (t.place[j][i] - t.place[k][i])));
        }
    }
    let [a, b] = ends.try_into().ok()?;
    Some([a, b])
}

fn tint(site: &Site<'_>, deepest: f64) -> (Vec<TintOut>, Vec<[(f64, f64); 2]>) {
    let (depths, step) = depths_for(deepest);
    let frame = site.dig.frame();
    let past = site.dig.rings.iter().chain(&site.dig.batters);
    let floor = site.dig.areas.iter().flat_map(Dug::floor).chain(past.flat_map(Ring::floor_triangles));
    let bands = Bands::over(floor, &site.existing, site.limit.as_ref(), &depths);
    let pieces = bands.pieces.iter().map(|b| TintOut {
        depth: (b.band as f64 - 2.5) * step,
        ring: b.ring.iter().map(|&p| frame.site(p)).collect(),
    });
    let zero = bands.zero.iter().map(|[a, b]| [frame.site(*a), frame.site(*b)]).collect();
    (pieces.collect(), zero)
}

/// An arrow for about every so many feet of an area, at least one, at the slope of that grade.
fn arrows(site: &Site<'_>, area: &Dug<'_>, grade: &Grade) -> Vec<ArrowOut> {
    const ACROSS: i32 = 5;
    let frame = site.dig.frame();
    let (low, high) = site.existing.net().bounds();
    let pace = (high[0] - low[0]).max(high[1] - low[1]) / f64::from(ACROSS);
    let arrow = |at: [f64; 2]| {
        let (northing, easting) = frame.site(at);
        let (east, north) = grade.falls(at, frame);
        ArrowOut { northing, easting, slope: east.hypot(north), azimuth: azimuth((east, north)) }
    };
    let lattice = (0..ACROSS).flat_map(|x| (0..ACROSS).map(move |y| (x, y)));
    let mut out: Vec<ArrowOut> = lattice
        .map(|(x, y)| [low[0] + (f64::from(x) + 0.5) * pace, low[1] + (f64::from(y) + 0.5) * pace])
        .filter(|&p| area.region.holds(p))
        .map(arrow)
        .collect();
    if out.is_empty() {
        out.push(arrow(label(area)));
    }
    out
}

/// Outlines of the areas with their over-dig, or with that and their battered sides (geo; only drawn, never fed back).
fn joined(site: &Site<'_>, outermost: &[Ring]) -> Vec<Vec<(f64, f64)>> {
    if outermost.is_empty() {
        return Vec::new();
    }
    let frame = site.dig.frame();
    let polygon = |ring: &[[f64; 2]]| {
        let line = ring.iter().map(|&p| frame.site(p)).map(|(n, e)| Coord { x: e, y: n }).collect();
        Polygon::new(LineString(line), Vec::new())
    };
    let floors = site.dig.areas.iter().flat_map(Dug::floor).map(|t| polygon(&t.place));
    let past = site.dig.rings.iter().chain(outermost).map(|r| polygon(&r.piece));
    let all: Vec<Polygon> = floors.chain(past).collect();
    let joined: MultiPolygon = unary_union(&all);
    joined.0.iter().map(|p| p.exterior().0.iter().map(|c| (c.y, c.x)).collect()).collect()
}

fn keep_off(said: &crate::design::said::KeepOff) -> KeepOffOut {
    let place = |p: &(i64, i64)| (from_micro(p.0), from_micro(p.1));
    let (what, line, radius) = match &said.what {
        Guard::RootCircle { at, radius } => ("root circle", vec![place(at)], radius.job_units()),
        Guard::Footing { line, .. } => ("footing", line.iter().map(place).collect(), 0.0),
        Guard::Utility { line, within } => ("utility", line.iter().map(place).collect(), within.job_units()),
    };
    KeepOffOut { name: said.name.clone(), what: what.to_owned(), line, radius }
}

fn drains(site: &Site<'_>) -> Vec<DrainOut> {
    let place = |p: (i64, i64)| (from_micro(p.0), from_micro(p.1));
    site.job
        .said
        .drains
        .iter()
        .flat_map(|d| {
            d.nodes.windows(2).enumerate().map(move |(k, w)| DrainOut {
                name: d.name.clone(),
                perforated: d.perforated.get(k).copied().unwrap_or(false),
                ends: [place(w[0].place), place(w[1].place)],
            })
        })
        .collect()
}
