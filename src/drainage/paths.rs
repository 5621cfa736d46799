//! Down which way does water run from here, and where does it end?
//!
//! ```text
//!   over a face: straight down its plane      in a valley: along the edge      at a vertex: the steepest of all
//!        \  .  /                                 \ -> | <- /                       \ | /
//!         \ ↓ /                                       ↓                           -- v --
//! ```
//! Steepest descent on the triangles themselves, over faces, not only along edges. On a face: down its plane to a side. On a
//! side: on into the next face if that falls away from it, else the side is a valley and water follows it to its lower end.
//! At a vertex: the steepest of the faces that fall away inside their own corner and of the edges that go down.
//!
//! Ends: an outlet it touches; the open edge of the survey; a low (no way down); a flat.
//! Ties: of equally steep ways the first counter-clockwise from the triangle walked in by. A way that touches an outlet within
//! [`Outlet::REACH`] has arrived. What is below a vertex is worked out once and kept, so a million stakes cost
//! little more than the surface.

use crate::surface::{Position, Surface};
use std::collections::HashMap;
use std::sync::Arc;

/// Where water may go.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlet {
    /// Its name or place, for the reader.
    pub name: String,
    /// Its place in the frame (millionths).
    pub place: [f64; 2],
}

impl Outlet {
    /// How near counts as there, as a part of a foot or metre: the places of an outlet and of a path are the same within 0.02 ft
    /// (common practice, no source).
    pub const REACH: f64 = 0.02;
}

/// How a path ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// At that outlet (by number).
    Outlet(usize),
    /// Over the open edge of the survey.
    Edge,
    /// Where there is no way down.
    Low,
    /// On level ground.
    Flat,
}

/// A path.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// How it ends.
    pub end: End,
    /// Where it ends, in the frame.
    pub place: [f64; 2],
    /// Plan length, job units.
    pub length: f64,
    /// Height lost, job units.
    pub fall: f64,
    /// Least slope on the way, rise over run; 0 for a path without length.
    pub least_slope: f64,
    /// Every bend, in the frame, from its start.
    pub line: Vec<[f64; 2]>,
}

/// Where the water is.
#[derive(Clone, Copy, Debug)]
enum At {
    /// Inside or on the border of a triangle, free to fall.
    Face(u32, [f64; 2]),
    /// On a side of a triangle, come from inside it.
    Side(u32, usize, [f64; 2]),
    /// At a vertex, which is that corner of that triangle.
    Vertex(u32, usize),
    /// Done.
    Done(End, [f64; 2]),
}

#[derive(Clone, Copy, Debug)]
struct Below {
    end: End,
    place: [f64; 2],
    length: f64,
    fall: f64,
    least_slope: f64,
}

/// Finds paths on one surface, remembering what lies below each vertex.
#[derive(Debug)]
pub struct Paths<'a> {
    surface: &'a Surface,
    outlets: &'a [Outlet],
    reach: f64,
    /// Downhill on each triangle, and how steep: asked for at every step.
    falls: Arc<[([f64; 2], f64)]>,
    below: HashMap<u32, Below>,
}

fn length(d: [f64; 2]) -> f64 {
    (d[0] * d[0] + d[1] * d[1]).sqrt()
}

/// A part of a triangle's side nearer to its end than this counts as the end.
const CORNER: f64 = 1e-9;
/// Slopes below this are level: a millionth of a unit in a thousand.
const LEVEL: f64 = 1e-9;

impl<'a> Paths<'a> {
    /// For that surface and those outlets.
    #[must_use]
    pub fn new(surface: &'a Surface, outlets: &'a [Outlet], reach: f64) -> Self {
        let falls = (0..u32::try_from(surface.net().triangles()).unwrap_or(u32::MAX))
            .map(|t| {
                let down = surface.gradient(t).map(|g| -g);
                (down, length(down))
            })
            .collect();
        Self { surface, outlets, reach: reach * crate::shots::MICRO, falls, below: HashMap::new() }
    }

    /// For the same surface and outlets, remembering nothing yet.
    #[must_use]
    pub fn beginning(&self) -> Self {
        Self { falls: Arc::clone(&self.falls), below: HashMap::new(), ..*self }
    }

    /// The path from a place of the frame, or nothing off the surface. The bends are listed only if `draw`.
    pub fn from(&mut self, place: [f64; 2], draw: bool) -> Option<Path> {
        let Position::In(t) = self.surface.net().locate(place, None) else { return None };
        let corners = self.surface.net().corners(t).map(|v| self.surface.net().place(v));
        let mut at = match (0..3).find(|&k| corners[k] == place) {
            Some(k) => At::Vertex(t, k),
            None => At::Face(t, place),
        };
        let mut line = vec![place];
        // Legs between bends: the vertex each begins at, if it does, and its length and fall.
        let mut legs: Vec<(Option<u32>, f64, f64)> = Vec::new();
        let (mut here, mut height) = (place, self.surface.height_in(t, place));
        if let Some(k) = self.outlet_on(place, place) {
            at = At::Done(End::Outlet(k), place);
        }
        // Each leg goes down, so no triangle is crossed twice by the same way; the bound only catches rounding on a near-level net.
        let patience = 4 * self.surface.net().triangles() + 16;
        let mut rest = None;
        while !matches!(at, At::Done(..)) {
            let vertex = match at {
                At::Vertex(t, k) => Some(self.surface.net().corners(t)[k]),
                _ => None,
            };
            if let Some(known) = vertex.filter(|_| !draw).and_then(|v| self.below.get(&v)) {
                rest = Some(*known);
                break;
            }
            let mut next = if legs.len() > patience { At::Done(End::Low, here) } else { self.step(at) };
            let mut there = self.place(next);
            if let Some(k) = self.outlet_on(here, there) {
                there = self.outlets[k].place;
                next = At::Done(End::Outlet(k), there);
            }
            let run = length([there[0] - here[0], there[1] - here[1]]) / crate::shots::MICRO;
            let before = height;
            height = match next {
                At::Vertex(t, k) => self.surface.height(self.surface.net().corners(t)[k]),
                // Straight down the plane it came over.
                At::Face(t, _) | At::Side(t, ..) => before - self.falls[t as usize].1 * run,
                // An end on the rim may lie a hair off the surface: then it is as high as what led to it.
                At::Done(..) => self.surface.height_local(there).unwrap_or(before),
            };
            legs.push((vertex, run, before - height));
            if there != here {
                line.push(there);
            }
            here = there;
            at = next;
        }
        let mut below = match (rest, at) {
            (Some(known), _) => known,
            (None, At::Done(end, place)) => Below { end, place, length: 0.0, fall: 0.0, least_slope: f64::INFINITY },
            (None, _) => Below { end: End::Low, place: here, length: 0.0, fall: 0.0, least_slope: f64::INFINITY },
        };
        for &(vertex, length, fall) in legs.iter().rev() {
            below.length += length;
            below.fall += fall;
            if length > 0.0 {
                below.least_slope = below.least_slope.min(fall / length);
            }
            if let Some(v) = vertex {
                self.below.insert(v, below);
            }
        }
        let least_slope = if below.least_slope.is_finite() { below.least_slope.max(0.0) } else { 0.0 };
        Some(Path {
            end: below.end,
            place: below.place,
            length: below.length,
            fall: below.fall,
            least_slope,
            line: if draw { line } else { Vec::new() },
        })
    }

    fn place(&self, at: At) -> [f64; 2] {
        match at {
            At::Face(_, p) | At::Side(_, _, p) | At::Done(_, p) => p,
            At::Vertex(t, k) => self.surface.net().place(self.surface.net().corners(t)[k]),
        }
    }

    /// The first outlet within reach of the way from a to b.
    fn outlet_on(&self, a: [f64; 2], b: [f64; 2]) -> Option<usize> {
        if self.outlets.is_empty() {
            return None;
        }
        let along = [b[0] - a[0], b[1] - a[1]];
        let whole = along[0] * along[0] + along[1] * along[1];
        let near = self.outlets.iter().enumerate().filter_map(|(k, outlet)| {
            let to = [outlet.place[0] - a[0], outlet.place[1] - a[1]];
            let part = if whole > 0.0 { ((to[0] * along[0] + to[1] * along[1]) / whole).clamp(0.0, 1.0) } else { 0.0 };
            let off = (to[0] - part * along[0]).hypot(to[1] - part * along[1]);
            (off <= self.reach).then_some((part, k))
        });
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, k)| k)
    }

    fn step(&self, at: At) -> At {
        match at {
            At::Face(t, p) => self.over_face(t, p, None),
            At::Side(t, side, p) => self.at_side(t, side, p),
            At::Vertex(t, k) => self.at_vertex(t, k),
            At::Done(..) => at,
        }
    }

    /// Down the plane of `t` from `p` to a side (not the one come in by).
    fn over_face(&self, t: u32, p: [f64; 2], came_by: Option<usize>) -> At {
        let (down, steep) = self.falls[t as usize];
        if steep <= LEVEL {
            return At::Done(End::Flat, p);
        }
        let net = self.surface.net();
        let c = net.corners(t).map(|v| net.place(v));
        let mut best: Option<(f64, usize)> = None;
        for side in (0..3).filter(|&s| Some(s) != came_by) {
            let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
            let edge = [b[0] - a[0], b[1] - a[1]];
            // Outward of a counter-clockwise side is to its right.
            let closing = edge[1] * down[0] - edge[0] * down[1];
            if closing > 0.0 {
                let ahead = (edge[1] * (a[0] - p[0]) - edge[0] * (a[1] - p[1])) / closing;
                if best.is_none_or(|(s, _)| ahead < s) {
                    best = Some((ahead.max(0.0), side));
                }
            }
        }
        let Some((ahead, side)) = best else { return At::Done(End::Flat, p) };
        let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
        let q = [p[0] + ahead * down[0], p[1] + ahead * down[1]];
        let along = [b[0] - a[0], b[1] - a[1]];
        let part = ((q[0] - a[0]) * along[0] + (q[1] - a[1]) * along[1]) / (along[0] * along[0] + along[1] * along[1]);
        if part <= CORNER {
            At::Vertex(t, (side + 1) % 3)
        } else if part >= 1.0 - CORNER {
            At::Vertex(t, (side + 2) % 3)
        } else {
            At::Side(t, side, [a[0] + part * along[0], a[1] + part * along[1]])
        }
    }

    /// On a side, pushed against it by `t`.
    fn at_side(&self, t: u32, side: usize, p: [f64; 2]) -> At {
        let net = self.surface.net();
        let Some(next) = net.across(t, side) else { return At::Done(End::Edge, p) };
        let c = net.corners(t);
        let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
        let edge = [0, 1].map(|k| net.place(b)[k] - net.place(a)[k]);
        let (down, steep) = self.falls[next as usize];
        let away = edge[1] * down[0] - edge[0] * down[1];
        let came_by = (0..3).find(|&s| net.across(next, s) == Some(t));
        if steep <= LEVEL {
            return At::Done(End::Flat, p);
        }
        if away > LEVEL * steep * length(edge) {
            return self.over_face(next, p, came_by);
        }
        // A valley: along it to its lower end.
        let fall = (self.surface.height(a) - self.surface.height(b)).abs();
        if fall <= LEVEL * length(edge) / crate::shots::MICRO {
            return At::Done(End::Low, p);
        }
        At::Vertex(t, if self.surface.height(b) < self.surface.height(a) { (side + 2) % 3 } else { (side + 1) % 3 })
    }

    /// At a vertex: the steepest way down around it.
    fn at_vertex(&self, t: u32, k: usize) -> At {
        let net = self.surface.net();
        let v = net.corners(t)[k];
        let (origin, z) = (net.place(v), self.surface.height(v));
        let mut best: Option<(f64, At)> = None;
        let mut offer = |slope: f64, way: At| {
            if slope > LEVEL && best.is_none_or(|(s, _)| slope > s) {
                best = Some((slope, way));
            }
        };
        let mut on_rim = false;
        for (u, j) in around(self.surface, t, k) {
            let c = net.corners(u);
            let (right, left) = ((j + 1) % 3, (j + 2) % 3);
            for end in [right, left] {
                let to = [0, 1].map(|i| net.place(c[end])[i] - origin[i]);
                let run = length(to) / crate::shots::MICRO;
                offer((z - self.surface.height(c[end])) / run, At::Vertex(u, end));
            }
            let (down, steep) = self.falls[u as usize];
            let side_of = |end: usize| {
                let to = [0, 1].map(|i| net.place(c[end])[i] - origin[i]);
                to[0] * down[1] - to[1] * down[0]
            };
            let (inside_right, inside_left) = (side_of(right) > 0.0, side_of(left) < 0.0);
            if inside_right && inside_left {
                // The far side is opposite this corner.
                offer(steep, self.over_face(u, origin, None));
            }
            // Opposite `left` lies the side on the right, and the reverse.
            let open_right = net.across(u, left).is_none();
            let open_left = net.across(u, right).is_none();
            on_rim |= open_right || open_left;
            if (open_right && !inside_right) || (open_left && !inside_left) {
                offer(steep, At::Done(End::Edge, origin));
            }
        }
        match best {
            Some((_, way)) => way,
            None if on_rim => At::Done(End::Edge, origin),
            None => At::Done(End::Low, origin),
        }
    }
}

/// The triangles round a vertex (given as a corner of one of them), each with the corner it is there: counter-clockwise, and if the
/// net ends, clockwise from the first.
fn around(surface: &Surface, t: u32, k: usize) -> Vec<(u32, usize)> {
    let net = surface.net();
    let v = net.corners(t)[k];
    let mut fan = vec![(t, k)];
    for turn in [1, 2] {
        let (mut u, mut j) = (t, k);
        // Counter-clockwise over the side opposite the right-hand corner, clockwise over the other.
        while let Some(next) = net.across(u, (j + turn) % 3) {
            if next == t {
                return fan;
            }
            j = (0..3).find(|&i| net.corners(next)[i] == v).unwrap_or(0);
            u = next;
            fan.push((u, j));
        }
    }
    fan
}

#[cfg(test)]
mod tests;
