//! What drains to where: the ground parted by where its water ends.
//!
//! Exact on the triangles. Water of one triangle runs down it in parallel lines, so where it ends is a function of the offset across
//! them, constant between breaks: what leaves over a side goes on as the triangle beyond says, along a valley or a wall as its lower
//! end says. Breaks are carried uphill; between two of them lies a strip whose area has a closed form.
//!
//! ```text
//!      /\        offsets are square to the fall: the strip between two breaks
//!     /| \       is cut out of the triangle by two lines down it
//!    / |  \
//!   /__|___\ break
//! ```
//! Areas in square job units. Nothing is lost: the strips of a triangle make up the triangle. What flows in a circle, which only
//! rounding could bring about, counts as a low.

use super::descent::{At, Descent, End, FLUSH};
use super::ground::{Beyond, Ground};
use super::paths::Outlet;
use crate::design::convex::{Convex, doubled_area, split};
use crate::shots::MICRO;
use std::collections::{HashMap, HashSet};

/// Strips of a triangle: each ends at that offset and drains there.
type Strips = Vec<(f64, End)>;

/// A part of a triangle with one end for all its water.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The triangle.
    pub triangle: u32,
    /// Where its water ends.
    pub end: End,
    /// Its area, square job units.
    pub area: f64,
    /// Its corners in the frame, counter-clockwise.
    pub ring: Vec<[f64; 2]>,
}

/// Ground parted by where its water ends.
#[derive(Debug)]
pub struct Catchments {
    /// Every part, triangle by triangle.
    pub pieces: Vec<Piece>,
}

/// What must be known first.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Needs {
    Triangle(u32),
    Node(u32, usize),
}

struct Parting<'a, G> {
    descent: Descent<'a, G>,
    outlets: &'a [Outlet],
    strips: Vec<Option<Strips>>,
    nodes: HashMap<u32, End>,
}

impl Catchments {
    /// Parts the ground. An outlet takes what comes to the node at its place.
    #[must_use]
    pub fn new<G: Ground>(ground: &G, outlets: &[Outlet]) -> Self {
        let strips = vec![None; ground.triangles() as usize];
        let mut parting = Parting { descent: Descent::new(ground), outlets, strips, nodes: HashMap::new() };
        for t in 0..ground.triangles() {
            parting.settle(Needs::Triangle(t));
        }
        let pieces = (0..ground.triangles()).flat_map(|t| parting.pieces(t)).collect();
        Self { pieces }
    }

    /// Sum of the areas of some parts.
    pub fn area(&self, which: impl Fn(&Piece) -> bool) -> f64 {
        crate::surface::sum(self.pieces.iter().filter(|p| which(p)).map(|p| p.area))
    }
}

impl<G: Ground> Parting<'_, G> {
    /// Works out what is asked for and everything it hangs on.
    fn settle(&mut self, first: Needs) {
        let mut stack = vec![first];
        let mut open = HashSet::from([self.key(first)]);
        while let Some(&top) = stack.last() {
            let missing = match top {
                Needs::Triangle(t) if self.strips[t as usize].is_some() => None,
                Needs::Triangle(t) => self.triangle(t).map(|strips| self.strips[t as usize] = Some(strips)).err(),
                Needs::Node(t, k) => {
                    let node = self.descent.ground.corners(t)[k];
                    if self.nodes.contains_key(&node) {
                        None
                    } else {
                        self.node(t, k).map(|end| self.nodes.insert(node, end)).err()
                    }
                }
            };
            match missing {
                None => {
                    stack.pop();
                    open.remove(&self.key(top));
                }
                Some(need) if open.insert(self.key(need)) => stack.push(need),
                Some(need) => self.stop(need),
            }
        }
    }

    /// A node is one thing however many triangles have it.
    fn key(&self, need: Needs) -> (bool, u32) {
        match need {
            Needs::Triangle(t) => (false, t),
            Needs::Node(t, k) => (true, self.descent.ground.corners(t)[k]),
        }
    }

    /// Water that would come back to where it was stays there.
    fn stop(&mut self, need: Needs) {
        match need {
            Needs::Triangle(t) => self.strips[t as usize] = Some(vec![(f64::INFINITY, End::Low)]),
            Needs::Node(t, k) => _ = self.nodes.insert(self.descent.ground.corners(t)[k], End::Low),
        }
    }

    fn node(&self, t: u32, k: usize) -> Result<End, Needs> {
        let place = self.descent.ground.places(t)[k];
        let near = |o: &Outlet| (o.place[0] - place[0]).hypot(o.place[1] - place[1]) <= 1.0;
        match self.outlets.iter().position(near) {
            Some(k) => Ok(End::Outlet(k)),
            None => self.end(self.descent.at_vertex(t, k)),
        }
    }

    /// Where water ends that is there.
    fn end(&self, at: At) -> Result<End, Needs> {
        match at {
            At::Done(end, _) => Ok(end),
            At::Vertex(t, k) => self.nodes.get(&self.descent.ground.corners(t)[k]).copied().ok_or(Needs::Node(t, k)),
            At::Over(..) => self.end(self.descent.step(at)),
            At::Face(t, p) | At::Side(t, _, p, _) => {
                let strips = self.strips[t as usize].as_ref().ok_or(Needs::Triangle(t))?;
                Ok(within(strips, self.offset(t, p)))
            }
        }
    }

    /// Offset of a place across the fall of a triangle, to the left of it, millionths.
    fn offset(&self, t: u32, p: [f64; 2]) -> f64 {
        let (down, steep) = self.descent.fall(t);
        // About a corner: sums of large places would lose what the strips are told apart by.
        let from = self.descent.ground.places(t)[0];
        (down[0] * (p[1] - from[1]) - down[1] * (p[0] - from[0])) / steep
    }

    fn triangle(&self, t: u32) -> Result<Strips, Needs> {
        if let Some(k) = self.descent.ground.drain_in(t) {
            return Ok(vec![(f64::INFINITY, End::Drain(k))]);
        }
        if self.descent.is_flat(t) {
            return Ok(vec![(f64::INFINITY, End::Flat)]);
        }
        let offsets = self.descent.ground.places(t).map(|p| self.offset(t, p));
        // Over the sides along which the offset rises, counter-clockwise, water leaves.
        let mut sides: Vec<usize> = (0..3).filter(|s| offsets[(s + 2) % 3] > offsets[(s + 1) % 3]).collect();
        sides.sort_by(|a, b| offsets[(a + 1) % 3].total_cmp(&offsets[(b + 1) % 3]));
        let mut strips: Strips = Vec::new();
        for side in sides {
            let (from, to) = (offsets[(side + 1) % 3], offsets[(side + 2) % 3]);
            for (part, end) in self.side(t, side)? {
                push(&mut strips, from + part * (to - from), end);
            }
        }
        Ok(strips)
    }

    /// Where water ends that leaves over a side: up to which part of it, from its first corner.
    fn side(&self, t: u32, side: usize) -> Result<Strips, Needs> {
        let beyond = self.descent.ground.beyond(t, side);
        let Some(u) = beyond.triangle() else { return Ok(vec![(1.0, End::Edge)]) };
        if let Some(drain) = self.descent.ground.drain_in(u) {
            return Ok(vec![(1.0, End::Drain(drain))]);
        }
        let apart = if matches!(beyond, Beyond::Face(_)) { self.descent.apart(t, side, u) } else { [0.0; 2] };
        let crossing = (apart[0] * apart[1] < 0.0).then(|| apart[0] / (apart[0] - apart[1]));
        let ([a, b], takes) = (self.descent.ends(t, side), self.descent.takes(u, self.descent.back(t, u)));
        let at = |part: f64| [0, 1].map(|k| a[k] + part * (b[k] - a[k]));
        let (mut out, mut from) = (Strips::new(), 0.0);
        for to in crossing.into_iter().chain([1.0]) {
            // The middle of a stretch stands for all of it: along the wall, into the triangle beyond, or along its side.
            let middle = f64::midpoint(from, to);
            if apart[0] + middle * (apart[1] - apart[0]) < -FLUSH {
                push(&mut out, to, self.end(self.descent.along(t, side, at(middle)))?);
            } else if takes && !self.descent.is_flat(u) {
                for (share, end) in self.carried(u, [at(from), at(to)])? {
                    push(&mut out, from + share * (to - from), end);
                }
            } else {
                push(&mut out, to, self.end(self.descent.enter(t, u, at(middle)))?);
            }
            from = to;
        }
        Ok(out)
    }

    /// Where water ends that comes into a triangle along a stretch of its border: up to which share of the stretch.
    fn carried(&self, u: u32, stretch: [[f64; 2]; 2]) -> Result<Strips, Needs> {
        let strips = self.strips[u as usize].as_ref().ok_or(Needs::Triangle(u))?;
        let [first, last] = stretch.map(|p| self.offset(u, p));
        let (low, high) = (first.min(last), first.max(last));
        let mut offsets: Vec<f64> = strips.iter().map(|(to, _)| *to).filter(|b| *b > low && *b < high).collect();
        offsets.push(high);
        let mut from = low;
        let mut parts: Vec<(f64, f64, End)> = Vec::new();
        for to in offsets {
            parts.push((from, to, within(strips, f64::midpoint(from, to))));
            from = to;
        }
        let mut out = Strips::new();
        let share = |offset: f64| (offset - first) / (last - first);
        if first <= last {
            parts.iter().for_each(|(_, to, end)| push(&mut out, share(*to), *end));
        } else {
            parts.iter().rev().for_each(|(from, _, end)| push(&mut out, share(*from), *end));
        }
        Ok(out)
    }

    fn pieces(&self, t: u32) -> Vec<Piece> {
        let places = self.descent.ground.places(t);
        let strips = self.strips[t as usize].as_deref().unwrap_or_default();
        let piece = |end: End, ring: Convex| {
            let area = doubled_area(&ring) / 2.0 / (MICRO * MICRO);
            Piece { triangle: t, end, area, ring }
        };
        if let [(_, end)] = strips {
            return vec![piece(*end, places.to_vec())];
        }
        let (mut rest, mut out) = (Some(places.to_vec()), Vec::new());
        for (k, (to, end)) in strips.iter().enumerate() {
            let Some(whole) = rest.take() else { break };
            let strip = if k + 1 == strips.len() {
                Some(whole)
            } else {
                let (strip, more) = split(&whole, |p| to - self.offset(t, p));
                rest = more;
                strip
            };
            out.extend(strip.map(|ring| piece(*end, ring)));
        }
        out
    }
}

/// The end of the strip an offset lies in.
fn within(strips: &[(f64, End)], offset: f64) -> End {
    strips.iter().find(|(to, _)| offset <= *to).or(strips.last()).map_or(End::Low, |(_, end)| *end)
}

/// Lengthens the last strip if it ends the same way, else begins another.
fn push(strips: &mut Strips, to: f64, end: End) {
    match strips.last_mut() {
        Some(last) if last.1 == end => last.0 = to,
        Some(last) if to <= last.0 => {}
        _ => strips.push((to, end)),
    }
}
