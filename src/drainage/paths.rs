//! Down which way does water run from here, and where does it end?
//!
//! Step by step as [`Descent`] says. A way that touches an outlet within [`Outlet::REACH`] has arrived. What is below a vertex is worked
//! out once and kept, so a million stakes cost little more than the surface.

use super::descent::{At, Descent, End, length};
use super::ground::Ground;
use std::collections::HashMap;

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

#[derive(Clone, Copy, Debug)]
struct Below {
    end: End,
    place: [f64; 2],
    length: f64,
    fall: f64,
    least_slope: f64,
}

/// Finds paths on one ground, remembering what lies below each vertex.
#[derive(Debug)]
pub struct Paths<'a, G> {
    pub(super) descent: Descent<'a, G>,
    pub(super) outlets: &'a [Outlet],
    /// Millionths.
    pub(super) reach: f64,
    below: HashMap<u32, Below>,
    /// Of the path under way; kept for its room.
    legs: Vec<Leg>,
}

/// A stretch of a path between two bends: the vertex it begins at, if it does, its length, fall and slope.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub vertex: Option<u32>,
    pub length: f64,
    pub fall: f64,
    pub slope: f64,
}

impl<'a, G: Ground> Paths<'a, G> {
    /// For that ground and those outlets.
    #[must_use]
    pub fn new(ground: &'a G, outlets: &'a [Outlet], reach: f64) -> Self {
        let (descent, reach) = (Descent::new(ground), reach * crate::shots::MICRO);
        Self { descent, outlets, reach, below: HashMap::new(), legs: Vec::new() }
    }

    /// For the same ground and outlets, remembering nothing yet.
    #[must_use]
    pub fn beginning(&self) -> Self {
        Self { descent: self.descent.clone(), below: HashMap::new(), legs: Vec::new(), ..*self }
    }

    /// The path from a place of the frame, or nothing off the surface. The bends are listed only if `draw`.
    pub fn from(&mut self, place: [f64; 2], draw: bool) -> Option<Path> {
        let ground = self.descent.ground;
        let t = ground.locate(place)?;
        Some(self.from_in(t, place, draw))
    }

    /// The same from a place on the border of two sheets, in that triangle.
    pub fn from_in(&mut self, t: u32, place: [f64; 2], draw: bool) -> Path {
        let ground = self.descent.ground;
        let corners = ground.places(t);
        let mut at = match (0..3).find(|&k| corners[k] == place) {
            Some(k) => At::Vertex(t, k),
            None => At::Face(t, place),
        };
        let mut line = vec![place];
        let mut legs = std::mem::take(&mut self.legs);
        legs.clear();
        let (mut here, mut height) = (place, ground.height_in(t, place));
        if let Some(k) = self.outlet_on(place, place) {
            at = At::Done(End::Outlet(k), place);
        }
        // Each leg goes down, so no triangle is crossed twice by the same way; the bound only catches rounding on a near-level net.
        let patience = 4 * ground.triangles() as usize + 16;
        let mut rest = None;
        while !matches!(at, At::Done(..)) {
            let vertex = match at {
                At::Vertex(t, k) => Some(ground.corners(t)[k]),
                _ => None,
            };
            if let Some(known) = vertex.filter(|_| !draw).and_then(|v| self.below.get(&v)) {
                rest = Some(*known);
                break;
            }
            let next = if legs.len() > patience { At::Done(End::Low, here) } else { self.descent.step(at) };
            let (next, leg, lower) = self.leg((here, height), next, vertex);
            let there = self.descent.place(next);
            height = lower;
            legs.push(leg);
            if draw && there != here {
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
        for &Leg { vertex, length, fall, slope } in legs.iter().rev() {
            below.length += length;
            below.fall += fall;
            below.least_slope = below.least_slope.min(slope);
            if let Some(v) = vertex {
                self.below.insert(v, below);
            }
        }
        self.legs = legs;
        let least_slope = if below.least_slope.is_finite() { below.least_slope.max(0.0) } else { 0.0 };
        Path {
            end: below.end,
            place: below.place,
            length: below.length,
            fall: below.fall,
            least_slope,
            line: if draw { line } else { Vec::new() },
        }
    }

    /// The stretch from a place at that height to the next, or to an outlet before it: where it ends, what it is, how high it ends.
    pub(super) fn leg(&self, (here, height): ([f64; 2], f64), mut next: At, vertex: Option<u32>) -> (At, Leg, f64) {
        let ground = self.descent.ground;
        let mut there = self.descent.place(next);
        if let Some(k) = self.outlet_on(here, there) {
            there = self.outlets[k].place;
            next = At::Done(End::Outlet(k), there);
        }
        let run = length([there[0] - here[0], there[1] - here[1]]) / crate::shots::MICRO;
        // The triangle the leg runs over; what it dropped onto it is no slope.
        let over = match next {
            At::Vertex(t, _) | At::Face(t, _) | At::Side(t, ..) | At::Over(t, ..) => Some(t),
            // An end on the rim may lie a hair off the ground: then it is as high as what led to it.
            At::Done(..) => ground.locate(there).filter(|_| run > 0.0),
        };
        let lower = match (next, over) {
            (At::Vertex(t, k), _) => ground.height(ground.corners(t)[k]),
            (At::Side(t, side, _, part), _) => self.on_side(t, side, part),
            (_, Some(t)) => ground.height_in(t, there),
            (_, None) => height,
        };
        let slope = match (next, over) {
            _ if run <= 0.0 => f64::INFINITY,
            // Over a face to its side there is one way, straight down.
            (At::Side(t, ..), _) => self.descent.fall(t).1,
            (_, Some(t)) => (ground.height_in(t, here) - lower) / run,
            (_, None) => f64::INFINITY,
        };
        (next, Leg { vertex, length: run, fall: height - lower, slope }, lower)
    }

    /// Height so far along a side.
    pub(super) fn on_side(&self, t: u32, side: usize, part: f64) -> f64 {
        let c = self.descent.ground.corners(t);
        let [from, to] = [c[(side + 1) % 3], c[(side + 2) % 3]].map(|v| self.descent.ground.height(v));
        from + part * (to - from)
    }

    /// The first outlet within reach of the way from a to b.
    pub(super) fn outlet_on(&self, a: [f64; 2], b: [f64; 2]) -> Option<usize> {
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
}

#[cfg(test)]
mod tests;
