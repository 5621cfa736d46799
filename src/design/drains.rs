//! Where does each pipe lie, and what ground is dug for it?
//!
//! The pipe lies straight between inverts that were said; between two nodes without one it falls evenly along its length.
//! bottom of the trench = invert - wall - bedding; the trench of a leg is as long as the leg and square at its ends.
//! Where two trenches cross, the lower owns the ground. Each piece of trench knows the dug floor above it: of an area, of its
//! over-dig or of its sloped sides; none where it lies below existing ground.
//!
//! Known right by: closed forms (`tests/trenches.rs`) and the invented sites (`tests/sites.rs`).
//! Places in the local frame (millionths), heights and lengths in job units.

use super::convex::{Convex, doubled_area, inside, split};
use super::dig::{Dig, Ring};
use super::plane::Plane;
use super::rings::lay;
use super::said::{Drain, Meets, Said};
use crate::shots::{Frame, MICRO};
use crate::surface::{Triangle, stretch_in};

/// A run of pipe whose inverts are known.
#[derive(Clone, Debug)]
pub struct Run<'a> {
    /// What was said of it.
    pub said: &'a Drain,
    /// Inverts at its nodes.
    pub inverts: Vec<f64>,
    /// Its legs, downhill; none where the inverts of somebody else's pipe are not known.
    pub legs: Vec<Leg>,
    /// The run that takes its water on, by its number.
    pub into: Option<usize>,
}

/// A leg of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Ends, downhill.
    pub ends: [[f64; 2]; 2],
    /// Inverts there.
    pub inverts: [f64; 2],
    /// Length in plan.
    pub length: f64,
    /// Whether it takes water on its way.
    pub perforated: bool,
    /// Inside diameter.
    pub size: f64,
    /// Thickness of the wall.
    pub wall: f64,
    /// Whether its holes point up.
    pub holes_up: bool,
}

/// A convex piece of trench.
#[derive(Clone, Debug)]
pub struct Part {
    /// The run and its leg.
    pub leg: (usize, usize),
    /// All of it, counter-clockwise.
    pub piece: Convex,
    /// Bottom of the trench.
    pub bottom: Plane,
    /// What is dug above it, if anything.
    pub above: Option<Above>,
}

/// What is dug above a piece of trench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Above {
    /// The area it belongs to.
    pub area: usize,
    /// To here.
    pub floor: Plane,
    /// What is built above; nothing past the edges.
    pub finish: Option<Plane>,
    /// Whether topsoil that reaches below the floor comes out.
    pub is_stripped: bool,
}

impl Leg {
    /// Fall over length, downhill positive.
    #[must_use]
    pub fn fall(&self) -> f64 {
        (self.inverts[0] - self.inverts[1]) / self.length
    }

    /// Outside diameter.
    #[must_use]
    pub fn outside(&self) -> f64 {
        self.size + 2.0 * self.wall
    }

    fn along(&self) -> [f64; 2] {
        [0, 1].map(|k| (self.ends[1][k] - self.ends[0][k]) / (self.length * MICRO))
    }

    /// The invert as a plane that is level across the leg.
    #[must_use]
    pub fn flow(&self) -> Plane {
        Plane::new(self.ends[0], self.inverts[0], self.along().map(|d| -self.fall() * d))
    }

    /// The rectangle half a width to each side, counter-clockwise.
    #[must_use]
    pub fn footprint(&self, width: f64) -> Convex {
        let [x, y] = self.along().map(|d| d * width * MICRO / 2.0);
        let [a, b] = self.ends;
        vec![[a[0] + y, a[1] - x], [b[0] + y, b[1] - x], [b[0] - y, b[1] + x], [a[0] - y, a[1] + x]]
    }
}

/// Every run, with inverts where they were not said.
#[must_use]
pub fn runs(said: &Said, frame: Frame) -> Vec<Run<'_>> {
    let leaves =
        |basin: usize| said.drains.iter().position(|d| d.nodes.first().is_some_and(|n| n.meets == Meets::Basin(basin)));
    said.drains
        .iter()
        .map(|drain| {
            let places: Vec<[f64; 2]> = drain.nodes.iter().map(|n| frame.local(n.place.0, n.place.1)).collect();
            let lengths: Vec<f64> =
                places.windows(2).map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]) / MICRO).collect();
            let inverts = inverts(drain, &lengths);
            let leg = |k: usize| Leg {
                ends: [places[k], places[k + 1]],
                inverts: [inverts[k], inverts[k + 1]],
                length: lengths[k],
                perforated: drain.perforated.get(k).copied().unwrap_or(false),
                size: drain.pipes.get(k).map_or(0.0, |p| p.size.job_units()),
                wall: drain.pipes.get(k).map_or(0.0, |p| p.wall.job_units()),
                holes_up: drain.pipes.get(k).is_some_and(|p| p.holes_up),
            };
            let legs = (0..inverts.len().saturating_sub(1)).map(leg).collect();
            let into = drain.nodes.last().and_then(|n| if let Meets::Basin(b) = n.meets { leaves(b) } else { None });
            Run { said: drain, inverts, legs, into }
        })
        .collect()
}

/// Inverts at the nodes, even between those that were said; none where an end was not.
fn inverts(drain: &Drain, lengths: &[f64]) -> Vec<f64> {
    let mut chain = vec![0.0];
    for length in lengths {
        chain.push(chain[chain.len() - 1] + length);
    }
    let said: Vec<(f64, f64)> =
        drain.nodes.iter().zip(&chain).filter_map(|(n, &c)| Some((c, n.invert?.job_units()))).collect();
    let at = |c: f64| {
        said.windows(2).find(|w| c >= w[0].0 && c <= w[1].0).map(|w| {
            let part = (c - w[0].0) / (w[1].0 - w[0].0);
            // What was said stays as typed.
            if part >= 1.0 { w[1].1 } else { w[0].1 + part * (w[1].1 - w[0].1) }
        })
    };
    chain.iter().map(|&c| at(c)).collect::<Option<_>>().unwrap_or_default()
}

/// Every trench that is ours to dig, disjoint, parted by what is dug above it.
#[must_use]
pub fn trenches(runs: &[Run<'_>], dig: &Dig<'_>) -> Vec<Part> {
    let mut owned: Vec<Ring> = Vec::new();
    let mut legs = Vec::new();
    for (r, run) in runs.iter().enumerate().filter(|(_, run)| !run.said.by_others) {
        let Some(trench) = &run.said.trench else { continue };
        for (k, leg) in run.legs.iter().enumerate() {
            let floor = leg.flow().lowered(leg.wall + trench.under_pipe.job_units());
            lay(&mut owned, Ring { area: legs.len(), piece: leg.footprint(trench.width.job_units()), floor });
            legs.push((r, k));
        }
    }
    let mut out = Vec::new();
    for Ring { area: leg, piece, floor: bottom } in owned {
        let mut left = vec![piece];
        let mut claim = |by: &[[f64; 2]], above: Above| {
            let mut rest = Vec::new();
            for piece in left.drain(..) {
                let (shared, apart) = inside(&piece, by);
                rest.extend(apart);
                out.extend(shared.map(|piece| Part { leg: legs[leg], piece, bottom, above: Some(above) }));
            }
            left = rest;
        };
        for (k, area) in dig.areas.iter().enumerate() {
            let is_stripped = !area.section.topsoil_may_stay;
            for (top, floor) in area.pieces.iter().zip(area.floor()) {
                let (Some(finish), Some(floor)) = (plane(top), plane(&floor)) else { continue };
                claim(&upright(top.place), Above { area: k, floor, finish: Some(finish), is_stripped });
            }
        }
        for (rings, strips) in [(&dig.rings, true), (&dig.batters, false)] {
            for ring in rings {
                let is_stripped = strips && !dig.areas[ring.area].section.topsoil_may_stay;
                claim(&ring.piece, Above { area: ring.area, floor: ring.floor, finish: None, is_stripped });
            }
        }
        out.extend(left.into_iter().map(|piece| Part { leg: legs[leg], piece, bottom, above: None }));
    }
    out
}

/// A triangle counter-clockwise.
#[must_use]
pub fn upright(mut t: [[f64; 2]; 3]) -> [[f64; 2]; 3] {
    if doubled_area(&t) < 0.0 {
        t.swap(1, 2);
    }
    t
}

/// The plane of a triangle, unless it stands upright.
fn plane(t: &Triangle) -> Option<Plane> {
    let [a, b, c] = t.place;
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
    let [p, q] = [t.height[1] - t.height[0], t.height[2] - t.height[0]];
    let whole = u[0] * v[1] - u[1] * v[0];
    let rise = [(p * v[1] - q * u[1]) / whole * MICRO, (q * u[0] - p * v[0]) / whole * MICRO];
    rise.iter().all(|r| r.is_finite()).then(|| Plane::new(a, t.height[0], rise))
}

impl Part {
    /// Where the bottom lies below what is dug above it: as triangles at the bottom and at that floor (none: the ground).
    #[must_use]
    pub fn dug(&self) -> Option<Convex> {
        match self.above {
            None => Some(self.piece.clone()),
            Some(above) => split(&self.piece, |p| above.floor.height(p) - self.bottom.height(p)).0,
        }
    }
}

/// Triangles of a convex piece at the height of a plane, so much up.
pub fn at_plane(piece: &Convex, plane: Plane, up: f64) -> impl Iterator<Item = Triangle> + '_ {
    (1..piece.len().saturating_sub(1)).map(move |k| {
        let place = [piece[0], piece[k], piece[k + 1]];
        Triangle { place, height: place.map(|p| plane.height(p) + up) }
    })
}

/// Least of subgrade above flowline over what a perforated leg serves: along it inside an area; along the edge of an area that the
/// trench only touches with its side. None where it serves no area.
#[must_use]
pub fn above_flow(leg: &Leg, width: f64, dig: &Dig<'_>) -> Option<f64> {
    let flow = leg.flow();
    // What meets only the square end of the trench is not served by it.
    let step = leg.along().map(|d| d * TOUCH * MICRO);
    let [a, b] = leg.ends;
    let inner = Leg { ends: [[a[0] + step[0], a[1] + step[1]], [b[0] - step[0], b[1] - step[1]]], ..*leg };
    let foot = inner.footprint(width + 2.0 * TOUCH);
    let mut least: Option<f64> = None;
    for area in &dig.areas {
        let mut found = false;
        for t in area.floor() {
            let Some(floor) = plane(&t) else { continue };
            // A leg that only begins at the border of an area does not run in it.
            let run = cut(leg.ends, &upright(t.place))
                .filter(|[p, q]| (p[0] - q[0]).hypot(p[1] - q[1]) > 2.0 * TOUCH * MICRO);
            for p in run.into_iter().flatten() {
                found = true;
                let over = floor.height(p) - flow.height(p);
                least = Some(least.map_or(over, |l| l.min(over)));
            }
        }
        if found {
            continue;
        }
        for (a, b) in area.outline.edges() {
            let ends = [a.place, b].map(|p| dig.frame().local(p.0, p.1));
            let Some(touched) = cut(ends, &foot) else { continue };
            let breaks =
                area.breaks(ends[0], ends[1]).into_iter().map(|b| b.0).filter(|p| cut([*p, *p], &foot).is_some());
            for p in touched.into_iter().chain(breaks) {
                let over = area.subgrade.height(p) - flow.height(p);
                least = Some(least.map_or(over, |l| l.min(over)));
            }
        }
    }
    least
}

/// A trench this near to an edge touches it, job units.
const TOUCH: f64 = 2e-6;

/// The stretch of a line inside a convex ring, borders included.
fn cut([a, b]: [[f64; 2]; 2], ring: &[[f64; 2]]) -> Option<[[f64; 2]; 2]> {
    let [from, to] = stretch_in(ring, a, b)?;
    let at = |k: f64| [a[0] + k * (b[0] - a[0]), a[1] + k * (b[1] - a[1])];
    Some([at(from), at(to)])
}
