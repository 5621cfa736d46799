//! The slopes of every area held against the rules of its use.
//!
//! Slopes are those of the parts in which the grade is one plane, the least and the greatest of them. A ramp or an accessible walk
//! runs along the longer side of the smallest rectangle round its outline; across is square to it. Parts smaller than a ten-thousandth of
//! the area do not count: graded spots close to one another make slivers.

use super::site::Site;
use crate::design::dig::Dug;
use crate::design::said::Usage;
use crate::finding::{Check, Limit, Measure, Subject};
use crate::rules::{Bound, Held, Id};
use crate::shots::MICRO;
use crate::surface::Triangle;
use crate::units::TIE;

/// Holds every area with a use against its rules.
pub(super) fn slopes(site: &Site<'_>, checks: &mut Vec<Check>) {
    for area in &site.dig.areas {
        let Some(usage) = area.said.usage else { continue };
        let finish = Grades::of(area.pieces.iter().copied());
        let held = |id: Id| site.job.rules.held(id, site.job.unit);
        let mut hold = |id: Id, found: f64| checks.push(check(&held(id), area, found));
        for id in least(usage) {
            hold(*id, finish.least);
        }
        if area.said.by_building {
            let id = if is_hard(usage) { Id::ByBuilding } else { Id::GroundByBuilding };
            hold(id, finish.least);
        }
        match usage {
            Usage::AccessiblePatio => hold(Id::AccessibleMost, finish.greatest),
            Usage::Landing => {
                hold(Id::AccessibleMost, finish.greatest);
                hold(Id::LandingLength, run_of(area).1);
            }
            Usage::Lawn => hold(Id::LawnMost, finish.greatest),
            Usage::Bed => hold(Id::BedMost, finish.greatest),
            Usage::Ramp | Usage::AccessibleWalk => {
                let (along, length) = run_of(area);
                let (run, cross) = finish.along(along);
                if usage == Usage::Ramp {
                    hold(Id::RampRun, run);
                    hold(Id::RampCross, cross);
                    hold(Id::RampRise, run * length);
                } else {
                    hold(Id::WalkRun, run);
                    hold(Id::AccessibleMost, cross);
                }
            }
            Usage::Patio | Usage::Walk | Usage::Drive | Usage::DrainStrip => {}
        }
        if is_hard(usage) {
            hold(Id::SubgradeLeast, Grades::of(area.floor()).least);
        }
    }
}

fn least(usage: Usage) -> &'static [Id] {
    match usage {
        Usage::Lawn => &[Id::LawnLeast],
        Usage::Bed => &[Id::BedLeast],
        Usage::DrainStrip => &[Id::StripLeast],
        _ => &[Id::PavingLeast],
    }
}

fn is_hard(usage: Usage) -> bool {
    !matches!(usage, Usage::Lawn | Usage::Bed | Usage::DrainStrip)
}

fn check(held: &Held, area: &Dug<'_>, found: f64) -> Check {
    let (measure, limit, pass) = match held.rule.bound {
        Bound::LeastSlope(_) => (Measure::Slope, Limit::Least(held.limit), found >= held.limit - TIE),
        Bound::MostSlope(_) => (Measure::Slope, Limit::Most(held.limit), found <= held.limit + TIE),
        Bound::LeastLength(_) => (Measure::Length, Limit::Least(held.limit), found >= held.limit - TIE),
        Bound::MostLength(_) => (Measure::Length, Limit::Most(held.limit), found <= held.limit + TIE),
    };
    Check {
        rule: held.rule.name,
        subject: Subject::Area(area.said.name.clone()),
        found,
        measure,
        limit,
        pass,
        source: held.source.clone(),
        note: String::new(),
    }
}

/// Falls of the parts of a grade.
pub(super) struct Grades {
    /// Rise along x and y of each part that counts.
    rises: Vec<[f64; 2]>,
    pub least: f64,
    pub greatest: f64,
}

impl Grades {
    pub fn of(pieces: impl Iterator<Item = Triangle>) -> Self {
        const SLIVER: f64 = 1e-4;
        let all: Vec<Triangle> = pieces.collect();
        let whole: f64 = all.iter().map(Triangle::doubled_area).sum();
        let counts = |t: &&Triangle| t.doubled_area() > SLIVER * whole;
        let rises: Vec<[f64; 2]> = all.iter().filter(counts).map(rise).collect();
        let slopes = || rises.iter().map(|[x, y]| x.hypot(*y));
        let least = slopes().fold(f64::INFINITY, f64::min);
        let greatest = slopes().fold(0.0, f64::max);
        Self { least: if least.is_finite() { least } else { 0.0 }, greatest, rises }
    }

    /// Greatest slope along a direction and across it.
    fn along(&self, [x, y]: [f64; 2]) -> (f64, f64) {
        let most = |d: [f64; 2]| self.rises.iter().map(|r| (r[0] * d[0] + r[1] * d[1]).abs()).fold(0.0, f64::max);
        (most([x, y]), most([-y, x]))
    }
}

/// Rise of a triangle along x and y of the frame, per unit of length.
fn rise(t: &Triangle) -> [f64; 2] {
    let [a, b, c] = t.place;
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
    let (zu, zv) = (t.height[1] - t.height[0], t.height[2] - t.height[0]);
    let d = (u[0] * v[1] - u[1] * v[0]) / MICRO;
    [(zu * v[1] - zv * u[1]) / d, (u[0] * zv - v[0] * zu) / d]
}

/// Direction and length of the longer side of the smallest rectangle round an outline, one side of which lies along an edge of the hull
/// (Freeman and Shapira 1975): every edge of the outline is tried, which holds those of its hull.
fn run_of(area: &Dug<'_>) -> ([f64; 2], f64) {
    let corners: Vec<[f64; 2]> = area.pieces.iter().flat_map(|t| t.place).collect();
    let edges = area.pieces.iter().flat_map(|t| (0..3).map(|k| (t.place[k], t.place[(k + 1) % 3])));
    let mut best = (f64::INFINITY, [1.0, 0.0], 0.0);
    for (a, b) in edges {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length = d[0].hypot(d[1]);
        if length <= 0.0 {
            continue;
        }
        let along = [d[0] / length, d[1] / length];
        let extent = |w: [f64; 2]| {
            let at = corners.iter().map(|p| p[0] * w[0] + p[1] * w[1]);
            let (low, high) = at.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
            (high - low) / MICRO
        };
        let across = [-along[1], along[0]];
        let (x, y) = (extent(along), extent(across));
        if x * y < best.0 * (1.0 - 1e-9) {
            best = if x >= y { (x * y, along, x) } else { (x * y, across, y) };
        }
    }
    (best.1, best.2)
}
