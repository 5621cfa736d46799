//! What water runs over: triangles, what lies beyond each side of them, and the drains that take it in.
//!
//! One surface is one sheet. The dug ground is many, which meet in vertical faces: there both sides have nodes of their own at the
//! same places.

use crate::surface::{Position, Surface, index};

/// What lies beyond a side of a triangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// A triangle of the same sheet.
    On(u32),
    /// A triangle of another sheet, over a vertical face.
    Face(u32),
    /// Nothing: the open edge of the survey.
    Rim,
}

impl Beyond {
    /// The triangle there.
    #[must_use]
    pub fn triangle(self) -> Option<u32> {
        match self {
            Self::On(u) | Self::Face(u) => Some(u),
            Self::Rim => None,
        }
    }
}

/// Ground. Places in the frame (millionths), heights in job units; sides are numbered by the corner they are opposite to.
pub trait Ground {
    /// How many triangles.
    fn triangles(&self) -> u32;
    /// Nodes of a triangle, counter-clockwise.
    fn corners(&self, triangle: u32) -> [u32; 3];
    /// Place of a node.
    fn place(&self, node: u32) -> [f64; 2];
    /// Its height.
    fn height(&self, node: u32) -> f64;
    /// Slope of a triangle, uphill: rise over run by axis of the frame.
    fn gradient(&self, triangle: u32) -> [f64; 2];
    /// What lies beyond a side.
    fn beyond(&self, triangle: u32, side: usize) -> Beyond;
    /// The triangle at a place.
    fn locate(&self, p: [f64; 2]) -> Option<u32>;
    /// The drain that takes in all that comes to a triangle.
    fn drain_in(&self, _triangle: u32) -> Option<usize> {
        None
    }
    /// The drain a node touches.
    fn drain_at(&self, _node: u32) -> Option<usize> {
        None
    }

    /// Places of a triangle's corners.
    fn places(&self, triangle: u32) -> [[f64; 2]; 3] {
        self.corners(triangle).map(|v| self.place(v))
    }

    /// Height of the plane of a triangle at a place of the frame.
    fn height_in(&self, triangle: u32, p: [f64; 2]) -> f64 {
        let (c, places) = (self.corners(triangle), self.places(triangle));
        // From the nearest corner, so that at a node its own height comes back.
        let away = places.map(|q| (q[0] - p[0]).hypot(q[1] - p[1]));
        let near = (0..3).min_by(|&a, &b| away[a].total_cmp(&away[b])).unwrap_or(0);
        let (g, from) = (self.gradient(triangle), places[near]);
        self.height(c[near]) + (g[0] * (p[0] - from[0]) + g[1] * (p[1] - from[1])) / crate::shots::MICRO
    }
}

impl Ground for Surface {
    fn triangles(&self) -> u32 {
        index(self.net().triangles())
    }
    fn corners(&self, triangle: u32) -> [u32; 3] {
        self.net().corners(triangle)
    }
    fn place(&self, node: u32) -> [f64; 2] {
        self.net().place(node)
    }
    fn height(&self, node: u32) -> f64 {
        Surface::height(self, node)
    }
    fn gradient(&self, triangle: u32) -> [f64; 2] {
        Surface::gradient(self, triangle)
    }
    fn beyond(&self, triangle: u32, side: usize) -> Beyond {
        self.net().across(triangle, side).map_or(Beyond::Rim, Beyond::On)
    }
    fn locate(&self, p: [f64; 2]) -> Option<u32> {
        match self.net().locate(p, None) {
            Position::In(t) => Some(t),
            Position::Outside => None,
        }
    }
    fn height_in(&self, triangle: u32, p: [f64; 2]) -> f64 {
        Surface::height_in(self, triangle, p)
    }
}
