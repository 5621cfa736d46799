//! What is the ground between the shots?
//!
//! A triangulated surface (TIN): straight lines between neighbouring shots, planes between the lines.
//!
//! ```text
//!   shots ──► spade (Delaunay) ──► square cells get a node ──► frozen flat arrays
//!                                     +---+      \ /
//!                                     |   |  ─►   x         place and height: mean of the corners
//!                                     +---+      / \
//! ```
//!
//! Method: Delaunay triangulation of whole-millionth places (spade, exact predicates). Where an empty circle passes through
//! four or more shots that are not in one plane, the cell gets a node at the mean of its corners: for a rectangle that is
//! the four-corner rule of the trade, with no direction and no row order in it. Shots in one plane: any triangulation is one surface.
//!
//! Breaklines ([`Breakline`]) are kept as edges: constrained Delaunay, each piece of a cell that they leave with a node of its own.
//!
//! Inside: x and y in whole millionths of the job's unit in the local [`Frame`] (nodes may be broken
//! numbers), heights in the job's unit; triangles counter-clockwise, each beginning at its lowest-numbered corner; shots
//! numbered along a Hilbert curve, nodes behind them. Areas and volumes come out in square and cubic job units.
//!
//! Known right by: closed forms, point counts by Euler's formula, [`Surface::check`], and general-purpose libraries (`tests/`).

mod build;
mod clip;
mod contour;
mod lines;
mod locate;
mod order;
mod region;
mod sweep;
mod thin;

pub use build::{Cells, Unbuildable};
pub use clip::{Corner, Piece, Poly, integrate};
pub use contour::Contour;
pub use lines::{Asked, Breakline, LinePoint, TwoHeights, same_height, same_place};
pub use locate::Position;
pub(crate) use region::stretch_in;
pub use region::{Region, Unfit};
pub use sweep::{Sweep, Triangle};

use crate::shots::{Frame, MICRO};
use std::sync::Arc;

/// Square millionths in a square job unit.
const SQUARE: f64 = MICRO * MICRO;

/// No triangle on the other side. Never leaves this room: [`Net::across`] answers with an `Option`.
const OPEN: u32 = u32::MAX;

/// The net of a surface: places, triangles and who lies beside whom, without heights.
#[derive(Debug)]
pub struct Net {
    frame: Frame,
    place: Vec<[f64; 2]>,
    corners: Vec<[u32; 3]>,
    /// Triangle over the edge opposite each corner, or [`OPEN`].
    beside: Vec<[u32; 3]>,
    /// Row of the survey each of the first vertices was shot in, [`OPEN`] for a point of a breakline; the vertices behind them
    /// are nodes.
    row: Vec<u32>,
    /// Pieces of breaklines: each an edge of a triangle.
    kept: Vec<[u32; 2]>,
    cells: CellList,
    /// Whether the outline is the convex hull (a walk that leaves it is outside for good).
    convex: bool,
    starts: locate::Starts,
    /// Triangles with an open side.
    rim: Vec<u32>,
}

/// Corners of the square cells that are not in one plane, counter-clockwise from the least (x, y).
#[derive(Debug, Default)]
struct CellList {
    corners: Vec<u32>,
    ends: Vec<u32>,
}

impl CellList {
    fn len(&self) -> usize {
        self.ends.len()
    }

    fn get(&self, cell: usize) -> &[u32] {
        let start = if cell == 0 { 0 } else { self.ends[cell - 1] as usize };
        &self.corners[start..self.ends[cell] as usize]
    }
}

/// A surface: a net and a height at each of its vertices. Cheap to copy under other heights: the net is shared.
#[derive(Clone, Debug)]
pub struct Surface {
    net: Arc<Net>,
    height: Vec<f64>,
}

impl Net {
    /// The local frame.
    #[must_use]
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// How many triangles.
    #[must_use]
    pub fn triangles(&self) -> usize {
        self.corners.len()
    }

    /// How many vertices, nodes included.
    #[must_use]
    pub fn vertices(&self) -> usize {
        self.place.len()
    }

    /// Vertices of a triangle, counter-clockwise in the frame.
    #[must_use]
    #[inline]
    pub fn corners(&self, triangle: u32) -> [u32; 3] {
        self.corners[triangle as usize]
    }

    /// The triangle over the edge opposite corner `side`, if the net goes on there.
    #[must_use]
    #[inline]
    pub fn across(&self, triangle: u32, side: usize) -> Option<u32> {
        let t = self.beside[triangle as usize][side];
        (t != OPEN).then_some(t)
    }

    /// Pieces of breaklines between two vertices, each an edge of the net.
    #[must_use]
    pub fn kept(&self) -> &[[u32; 2]] {
        &self.kept
    }

    /// Place of a vertex in the frame.
    #[must_use]
    #[inline]
    pub fn place(&self, vertex: u32) -> [f64; 2] {
        self.place[vertex as usize]
    }

    /// Row of the survey the vertex was shot in; a node has none.
    #[must_use]
    pub fn row(&self, vertex: u32) -> Option<usize> {
        self.row.get(vertex as usize).filter(|&&r| r != OPEN).map(|&r| r as usize)
    }

    /// Whether a vertex was measured: a shot or a point of a breakline, and no node.
    #[must_use]
    pub fn is_measured(&self, vertex: u32) -> bool {
        (vertex as usize) < self.row.len()
    }

    /// Least and greatest corner of the box around all vertices, in the frame.
    #[must_use]
    pub fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        self.starts.bounds()
    }

    /// How many square cells are not in one plane.
    #[must_use]
    pub fn cells(&self) -> usize {
        self.cells.len()
    }

    /// Corners of such a cell, counter-clockwise from the least (x, y).
    #[must_use]
    pub fn cell(&self, cell: usize) -> &[u32] {
        self.cells.get(cell)
    }

    /// Twice the area of a triangle, in square millionths.
    #[must_use]
    pub(crate) fn doubled_area(&self, triangle: u32) -> f64 {
        let [a, b, c] = self.corners(triangle).map(|v| self.place(v));
        cross(sub(b, a), sub(c, a))
    }

    /// Plan area of a triangle, square job units.
    #[must_use]
    pub fn triangle_area(&self, triangle: u32) -> f64 {
        self.doubled_area(triangle) / (2.0 * SQUARE)
    }

    /// Plan area of the whole net, in square job units.
    #[must_use]
    pub fn area(&self) -> f64 {
        sum((0..self.triangles()).map(|t| self.doubled_area(index(t)))) / (2.0 * SQUARE)
    }

    /// Vertices of the outline, counter-clockwise, points on its straight parts included. The ring is not repeated at its end.
    #[must_use]
    pub fn outline(&self) -> Vec<u32> {
        let mut next = std::collections::HashMap::new();
        for t in 0..index(self.triangles()) {
            for side in 0..3 {
                if self.across(t, side).is_none() {
                    let c = self.corners(t);
                    next.insert(c[(side + 1) % 3], c[(side + 2) % 3]);
                }
            }
        }
        let Some(&first) = next.keys().min() else { return Vec::new() };
        let mut ring = vec![first];
        while let Some(&v) = ring.last().and_then(|last| next.get(last)) {
            if v == first || ring.len() > next.len() {
                break;
            }
            ring.push(v);
        }
        ring
    }

    /// Fall of the plane of a triangle with these three heights: `[dz/dx, dz/dy]` in the frame, job units of height per millionth.
    #[must_use]
    pub fn gradient(&self, triangle: u32, z: [f64; 3]) -> [f64; 2] {
        let [a, b, c] = self.corners(triangle).map(|v| self.place(v));
        let (u, v) = (sub(b, a), sub(c, a));
        let (zu, zv) = (z[1] - z[0], z[2] - z[0]);
        let d = cross(u, v);
        [(zu * v[1] - zv * u[1]) / d, (u[0] * zv - v[0] * zu) / d]
    }
}

impl Surface {
    /// The net below the heights.
    #[must_use]
    pub fn net(&self) -> &Net {
        &self.net
    }

    /// Height of a vertex.
    #[must_use]
    #[inline]
    pub fn height(&self, vertex: u32) -> f64 {
        self.height[vertex as usize]
    }

    /// Heights of a triangle's corners.
    #[must_use]
    pub fn heights(&self, triangle: u32) -> [f64; 3] {
        self.net.corners(triangle).map(|v| self.height(v))
    }

    /// The same surface lower by that much everywhere (job units).
    #[must_use]
    pub fn lowered(&self, by: f64) -> Self {
        Self { net: Arc::clone(&self.net), height: self.height.iter().map(|z| z - by).collect() }
    }

    /// Height at a place (whole millionths), or nothing off the surface.
    #[must_use]
    pub fn height_at(&self, northing: i64, easting: i64) -> Option<f64> {
        self.height_local(self.net.frame.local(northing, easting))
    }

    /// Height at a place of the frame, or nothing off the surface.
    #[must_use]
    pub fn height_local(&self, p: [f64; 2]) -> Option<f64> {
        match self.net.locate(p, None) {
            Position::In(t) => Some(self.height_in(t, p)),
            Position::Outside => None,
        }
    }

    /// Height at a place of the frame; off the surface as the nearest triangle goes on.
    #[must_use]
    pub fn height_beside(&self, p: [f64; 2]) -> f64 {
        self.height_in(self.net.triangle_beside(p), p)
    }

    /// Height of the plane of a triangle at a place of the frame.
    #[must_use]
    pub fn height_in(&self, triangle: u32, p: [f64; 2]) -> f64 {
        let [a, b, c] = self.net.corners(triangle).map(|v| self.net.place(v));
        let [za, zb, zc] = self.heights(triangle);
        let d = cross(sub(b, a), sub(c, a));
        let (lb, lc) = (cross(sub(p, a), sub(c, a)) / d, cross(sub(b, a), sub(p, a)) / d);
        let la = 1.0 - lb - lc;
        // About the nearest corner, so that at a shot the shot's own height comes back to the last bit.
        if lb > 0.5 {
            zb + (la * (za - zb) + lc * (zc - zb))
        } else if lc > 0.5 {
            zc + (la * (za - zc) + lb * (zb - zc))
        } else {
            za + (lb * (zb - za) + lc * (zc - za))
        }
    }

    /// `[dz/dx, dz/dy]` of a triangle in the frame, height per unit of length (uphill).
    #[must_use]
    pub fn gradient(&self, triangle: u32) -> [f64; 2] {
        self.net.gradient(triangle, self.heights(triangle)).map(|g| g * MICRO)
    }

    /// Steepness of a triangle, rise over run.
    #[must_use]
    pub fn slope(&self, triangle: u32) -> f64 {
        let [gx, gy] = self.gradient(triangle);
        gx.hypot(gy)
    }

    /// The laws of a surface, each told as a sentence where broken: every shot present, triangles counter-clockwise,
    /// neighbours mutual, every piece of a breakline an edge, areas sum to the outline.
    ///
    /// # Errors
    /// The first broken law.
    pub fn check(&self) -> Result<(), String> {
        let net = &*self.net;
        if self.height.len() != net.vertices() {
            return Err(format!("{} heights for {} vertices", self.height.len(), net.vertices()));
        }
        let mut used = vec![false; net.vertices()];
        let mut missing: std::collections::HashSet<[u32; 2]> = net.kept.iter().copied().collect();
        for t in 0..index(net.triangles()) {
            if net.doubled_area(t) <= 0.0 {
                return Err(format!("triangle {t} is not counter-clockwise"));
            }
            let c = net.corners(t);
            for side in 0..3 {
                used[c[side] as usize] = true;
                let (from, to) = (c[(side + 1) % 3], c[(side + 2) % 3]);
                missing.remove(&[from.min(to), from.max(to)]);
                let Some(other) = net.across(t, side) else { continue };
                let back = (0..3).find(|&k| net.across(other, k) == Some(t) && net.corners(other)[(k + 1) % 3] == to);
                if back.is_none_or(|k| net.corners(other)[(k + 2) % 3] != from) {
                    return Err(format!("triangles {t} and {other} do not share edge {from}-{to} both ways"));
                }
            }
        }
        if let Some(v) = used.iter().position(|&u| !u) {
            return Err(format!("vertex {v} is in no triangle"));
        }
        if let Some([a, b]) = missing.into_iter().min() {
            return Err(format!("no triangle has the breakline's piece {a}-{b} for an edge"));
        }
        let ring: Vec<[f64; 2]> = net.outline().into_iter().map(|v| net.place(v)).collect();
        let first = ring.first().copied().unwrap_or_default();
        let round = sum(ring.windows(2).map(|w| cross(sub(w[0], first), sub(w[1], first)))) / (2.0 * SQUARE);
        let all = net.area();
        if (round - all).abs() > 1e-12 * all {
            return Err(format!("triangles cover {all}, the outline encloses {round}"));
        }
        Ok(())
    }
}

/// Sum that does not lose the small parts (Neumaier, 1974).
#[must_use]
pub fn sum(values: impl IntoIterator<Item = f64>) -> f64 {
    let (mut total, mut lost) = (0.0_f64, 0.0_f64);
    for v in values {
        let t = total + v;
        lost += if total.abs() >= v.abs() { (total - t) + v } else { (v - t) + total };
        total = t;
    }
    total + lost
}

pub(crate) fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

pub(crate) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Distance of a place to the stretch of line from a to b.
pub(crate) fn off(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (along, to) = (sub(b, a), sub(p, a));
    let whole = along[0] * along[0] + along[1] * along[1];
    let part = if whole > 0.0 { ((to[0] * along[0] + to[1] * along[1]) / whole).clamp(0.0, 1.0) } else { 0.0 };
    (to[0] - part * along[0]).hypot(to[1] - part * along[1])
}

/// Sign of the turn a, b, c: positive to the left. Exact (Shewchuk 1997, by the `robust` crate).
pub(crate) fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    let at = |p: [f64; 2]| robust::Coord { x: p[0], y: p[1] };
    robust::orient2d(at(a), at(b), at(c))
}

/// Numbers of triangles and vertices stay below 2^32: a survey of four thousand million shots does not fit the machine first.
pub(crate) fn index(i: usize) -> u32 {
    u32::try_from(i).unwrap_or(OPEN - 1)
}

#[cfg(test)]
mod tests;
