//! The ground a flood runs over: triangles that share nodes, and links between nodes that stand over one another.
//!
//! A surface is one sheet: its vertices are the nodes. Where two sheets meet in a vertical face both have a node at each place of it,
//! and a link joins the two: water passes at the height of the higher.

use crate::surface::{Surface, index};

/// Triangles over nodes.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Place of each node in the frame (millionths).
    pub place: Vec<[f64; 2]>,
    /// Its height.
    pub height: Vec<f64>,
    /// Nodes of each triangle, counter-clockwise.
    pub corners: Vec<[u32; 3]>,
    /// Whether nothing of the same sheet lies over the side opposite each corner.
    pub open: Vec<[bool; 3]>,
    /// Nodes water passes between without a triangle.
    pub links: Vec<[u32; 2]>,
    /// Nodes at the edge of the survey.
    pub rim: Vec<u32>,
}

impl Mesh {
    /// Of one surface.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        let net = surface.net();
        let (vertices, triangles) = (index(net.vertices()), index(net.triangles()));
        Self {
            place: (0..vertices).map(|v| net.place(v)).collect(),
            height: (0..vertices).map(|v| surface.height(v)).collect(),
            corners: (0..triangles).map(|t| net.corners(t)).collect(),
            open: (0..triangles).map(|t| [0, 1, 2].map(|side| net.across(t, side).is_none())).collect(),
            links: Vec::new(),
            rim: net.outline(),
        }
    }
}
