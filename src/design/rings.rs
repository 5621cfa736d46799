//! What is dug past the edges of the areas?
//!
//! Per edge level across from it; a corner mitred where its inside angle is 60 degrees or more, at the corner's height, and bevelled
//! where it is sharper; square-ended beside an edge without. Clipped by all areas; where two overlap the lower owns the ground.

use super::convex::{Convex, inside, minus, split};
use super::dig::{Dug, Owners, Ring};
use super::finish::unit;
use super::plane::Plane;
use crate::shots::{Frame, MICRO};

/// Inside angles below 60 degrees are bevelled: the cosine of the turn there.
pub(super) const SHARPEST: f64 = -0.5;

/// A stretch of an outline that is dug past, seen from outside: where it begins and ends, the subgrade there, and outward.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    pub ends: [[f64; 2]; 2],
    pub heights: [f64; 2],
    pub out: [f64; 2],
}

impl Stretch {
    /// The plane that keeps its heights and rises so much to a unit of length outward.
    pub fn plane(&self, outward: f64) -> Plane {
        let [a, b] = self.ends;
        let along = [b[0] - a[0], b[1] - a[1]];
        let length = along[0].hypot(along[1]) / MICRO;
        let rise = if length > 0.0 { (self.heights[1] - self.heights[0]) / length } else { 0.0 };
        let t = [-self.out[1], self.out[0]];
        Plane::new(a, self.heights[0], [0, 1].map(|k| rise * t[k] + outward * self.out[k]))
    }
}

/// A place so far off in that direction.
pub(super) fn push(p: [f64; 2], way: [f64; 2], by: f64) -> [f64; 2] {
    [p[0] + way[0] * by, p[1] + way[1] * by]
}

/// Cosine of the turn from one outward direction to the next, and whether it turns outward (a convex corner).
pub(super) fn turn(from: [f64; 2], to: [f64; 2]) -> (f64, bool) {
    (from[0] * to[0] + from[1] * to[1], from[0] * to[1] - from[1] * to[0] > 1e-9)
}

/// Where two edges pushed outward by one length meet.
pub(super) fn mitre(p: [f64; 2], from: [f64; 2], to: [f64; 2], by: f64) -> [f64; 2] {
    let (cos, _) = turn(from, to);
    push(p, [from[0] + to[0], from[1] + to[1]], by / (1.0 + cos))
}

/// How far past its edges an area is dug, and which are left alone.
fn width(area: &Dug<'_>) -> f64 {
    area.said.over_dig.as_ref().map_or(0.0, |o| o.width.job_units() * MICRO)
}

/// The stretches of an area's outline that may be dug past, edge by edge, parted where its grade breaks; a run of them without a gap
/// stays together, closed where it goes all the way round. Edges shared with another area, or said to be without, are none.
pub(super) fn free(area: &Dug<'_>, owners: &Owners, frame: Frame) -> Vec<Run> {
    let Some(ring) = area.outline.rings.first() else { return Vec::new() };
    let except: &[usize] = area.said.over_dig.as_ref().map_or(&[], |o| &o.except);
    let count = ring.len();
    let is_free = |k: usize| {
        let (a, b) = (ring[k % count], ring[(k + 1) % count]);
        !except.contains(&a.edge) && !owners.contains_key(&(b.place, a.place))
    };
    let edge = |k: usize| {
        let [a, b] = [ring[k % count], ring[(k + 1) % count]].map(|n| frame.local(n.place.0, n.place.1));
        let t = unit([b[0] - a[0], b[1] - a[1]]);
        // Outward of a counter-clockwise ring is to the right.
        let out = [t[1], -t[0]];
        let mut at = vec![a];
        at.extend(area.breaks(a, b).into_iter().map(|(p, _)| p));
        at.push(b);
        let part = move |w: &[[f64; 2]]| Stretch {
            ends: [w[0], w[1]],
            heights: [w[0], w[1]].map(|p| area.subgrade.height(p)),
            out,
        };
        at.windows(2).map(part).collect::<Vec<_>>()
    };
    // Begin behind an edge that is not free, if there is one, so that no run is cut in two.
    let Some(start) = (0..count).find(|&k| !is_free(k + count - 1) && is_free(k)) else {
        return if is_free(0) {
            vec![Run { stretches: (0..count).flat_map(edge).collect(), closed: true }]
        } else {
            vec![]
        };
    };
    let mut out: Vec<Run> = Vec::new();
    let mut open = false;
    for k in start..start + count {
        if is_free(k) {
            match out.last_mut().filter(|_| open) {
                Some(run) => run.stretches.extend(edge(k)),
                None => out.push(Run { stretches: edge(k), closed: false }),
            }
        }
        open = is_free(k);
    }
    out
}

/// Stretches that follow one another.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub stretches: Vec<Stretch>,
    /// Whether the last one meets the first.
    pub closed: bool,
}

impl Run {
    /// Every stretch with the one that follows it.
    pub fn pairs(&self) -> impl Iterator<Item = (Stretch, Option<Stretch>)> + '_ {
        let count = self.stretches.len();
        (0..count).map(move |k| {
            let next = if k + 1 < count || self.closed { Some(self.stretches[(k + 1) % count]) } else { None };
            (self.stretches[k], next)
        })
    }

    /// Its outer edge when pushed outward by `by`: level across, mitred or bevelled at the height of its corners.
    pub fn outer(&self, by: f64) -> Self {
        if by <= 0.0 {
            return self.clone();
        }
        let mut out: Vec<Stretch> = Vec::new();
        for (s, next) in self.pairs() {
            out.push(Stretch { ends: s.ends.map(|p| push(p, s.out, by)), ..s });
            let Some(next) = next else { continue };
            let (cos, is_outward) = turn(s.out, next.out);
            if !is_outward {
                continue;
            }
            let (corner, heights) = (s.ends[1], [s.heights[1]; 2]);
            let (from, to) = (push(corner, s.out, by), push(corner, next.out, by));
            if cos >= SHARPEST - 1e-9 {
                let tip = mitre(corner, s.out, next.out, by);
                out.push(Stretch { ends: [from, tip], heights, out: s.out });
                out.push(Stretch { ends: [tip, to], heights, out: next.out });
            } else {
                let across = unit([to[0] - from[0], to[1] - from[1]]);
                out.push(Stretch { ends: [from, to], heights, out: [across[1], -across[0]] });
            }
        }
        Self { stretches: out, closed: self.closed }
    }
}

/// Digging past the edges, clipped by all areas, the lower of two owning what both would dig.
pub(super) fn rings(areas: &[Dug<'_>], owners: &Owners, frame: Frame) -> Vec<Ring> {
    let ground = ground(areas);
    let mut out: Vec<Ring> = Vec::new();
    for (k, area) in areas.iter().enumerate() {
        for (piece, floor) in pieces(area, owners, frame) {
            for free in minus(vec![piece], &ground) {
                lay(&mut out, Ring { area: k, piece: free, floor });
            }
        }
    }
    out
}

/// The ground of all areas.
pub(super) fn ground(areas: &[Dug<'_>]) -> Vec<[[f64; 2]; 3]> {
    areas.iter().flat_map(|a| a.region.triangles(|_| 0.0).map(|t| t.place)).collect()
}

/// One strip a stretch, level across from it, and at each free corner a mitre or bevel at the corner's height.
fn pieces(area: &Dug<'_>, owners: &Owners, frame: Frame) -> Vec<(Convex, Plane)> {
    let by = width(area);
    if by <= 0.0 {
        return Vec::new();
    }
    let mut out = Vec::new();
    for run in free(area, owners, frame) {
        for (s, next) in run.pairs() {
            let [a, b] = s.ends;
            out.push((vec![a, push(a, s.out, by), push(b, s.out, by), b], s.plane(0.0)));
            let Some(next) = next else { continue };
            let (cos, is_outward) = turn(s.out, next.out);
            if is_outward {
                let mut corner = vec![b, push(b, s.out, by)];
                if cos >= SHARPEST - 1e-9 {
                    corner.push(mitre(b, s.out, next.out, by));
                }
                corner.push(push(b, next.out, by));
                out.push((corner, Plane::new(b, s.heights[1], [0.0; 2])));
            }
        }
    }
    out
}

/// Adds a piece to disjoint ones: where it overlaps, the lower keeps the ground.
pub(super) fn lay(all: &mut Vec<Ring>, new: Ring) {
    let mut left: Vec<Convex> = vec![new.piece.clone()];
    let mut out = Vec::with_capacity(all.len() + 1);
    for old in all.drain(..) {
        let (shared, apart) = inside(&old.piece, &new.piece);
        let Some(shared) = shared else {
            out.push(old);
            continue;
        };
        let (higher, lower) = split(&shared, |p| old.floor.height(p) - new.floor.height(p));
        // Where they are level the older keeps it.
        let level = shared.iter().all(|&p| (old.floor.height(p) - new.floor.height(p)).abs() <= 1e-12);
        let (higher, lower) = if level { (None, Some(shared)) } else { (higher, lower) };
        if let Some(kept) = &lower {
            left = left.iter().flat_map(|piece| inside(piece, kept).1).collect();
        }
        if higher.is_none() {
            out.push(old);
            continue;
        }
        out.extend(apart.into_iter().chain(lower).map(|piece| Ring { piece, ..old.clone() }));
    }
    out.extend(left.into_iter().map(|piece| Ring { piece, ..new.clone() }));
    *all = out;
}
