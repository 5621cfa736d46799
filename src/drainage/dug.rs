//! What is the ground once it is dug: subgrade in areas, what is dug past their edges, existing ground outside?
//!
//! ```text
//!   ground ____                     ____ ground        each is a sheet of its own; where two meet there is a vertical face, and
//!              |__ ring ____ area __|                  water passes it at the height of the higher side
//! ```
//! All their edges are parted into one net of whole millionths, every triangle of which lies in one sheet; a place has a node in each
//! sheet that touches it. Along a face the least of max(one side, other side) is at an end or where the two cross, so a crossing is a
//! node as well and the vertices alone do not decide. The edge of the survey is open, a limit is no edge.

use super::ponds::{Mesh, Sink};
use crate::design::dig::{Dig, Ring};
use crate::shots::{Frame, Shots, to_micro};
use crate::surface::{Breakline, Cells, LinePoint, Position, Surface, index, off, turn};
use crate::units::LengthUnit;
use std::collections::HashMap;

/// What a triangle of the dug ground belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sheet {
    /// Existing ground.
    Ground,
    /// An area, by number.
    Area(usize),
    /// A piece of over-dig.
    Ring(usize),
    /// A piece of a battered side.
    Batter(usize),
}

/// The dug ground.
#[derive(Debug)]
pub struct DugGround {
    /// Its triangles, nodes and faces.
    pub mesh: Mesh,
    /// The sheet of each node; a crossing inside a face has that of the side it was found from.
    pub sheets: Vec<Sheet>,
    /// The net below: triangles are those of the mesh.
    net: Surface,
    /// Sheet of each triangle.
    of: Vec<Sheet>,
}

/// Ground that water leaves by wherever it comes: a convex piece of the frame, counter-clockwise.
pub type Footprint = Vec<[f64; 2]>;

impl DugGround {
    /// Puts the sheets together. `footprints`: trenches that take water. Nothing where the edges are too tangled to be told apart.
    #[must_use]
    pub fn new(dig: &Dig<'_>, existing: &Surface, footprints: &[Footprint], unit: LengthUnit) -> Option<Self> {
        let frame = existing.net().frame();
        let lines = edges(dig, existing, footprints, frame);
        let (net, _) = Surface::build_along(&Shots::default(), &lines, unit, frame, Cells::Nodes).ok()?;
        let triangles = index(net.net().triangles());
        let of: Vec<Sheet> = (0..triangles).map(|t| sheet(dig, middle(&net, t))).collect();
        let mut out = Self { mesh: Mesh::default(), sheets: Vec::new(), net, of };
        out.nodes(dig, existing);
        out.faces();
        Some(out)
    }

    fn nodes(&mut self, dig: &Dig<'_>, existing: &Surface) {
        let net = self.net.net();
        let mut number: HashMap<(u32, Sheet), u32> = HashMap::new();
        let on_rim: std::collections::HashSet<u32> = net.outline().into_iter().collect();
        for t in 0..index(net.triangles()) {
            let sheet = self.of[t as usize];
            let corners = net.corners(t).map(|v| {
                *number.entry((v, sheet)).or_insert_with(|| {
                    let node = index(self.mesh.place.len());
                    self.mesh.place.push(net.place(v));
                    self.mesh.height.push(height(dig, existing, sheet, net.place(v)));
                    self.sheets.push(sheet);
                    if on_rim.contains(&v) {
                        self.mesh.rim.push(node);
                    }
                    node
                })
            });
            self.mesh.corners.push(corners);
            let beside = |side| net.across(t, side).map(|u| self.of[u as usize]);
            self.mesh.open.push([0, 1, 2].map(|side| beside(side) != Some(sheet)));
        }
    }

    fn faces(&mut self) {
        let net = self.net.net();
        for t in 0..index(net.triangles()) {
            for side in 0..3 {
                let Some(u) = net.across(t, side).filter(|&u| u > t && self.of[u as usize] != self.of[t as usize])
                else {
                    continue;
                };
                let ends = [(side + 1) % 3, (side + 2) % 3];
                let Some(back) = (0..3).find(|&s| net.across(u, s) == Some(t)) else { continue };
                let own = ends.map(|k| self.mesh.corners[t as usize][k]);
                // The other goes round the edge the other way.
                let other = [(back + 2) % 3, (back + 1) % 3].map(|k| self.mesh.corners[u as usize][k]);
                let z = |v: u32| self.mesh.height[v as usize];
                let apart = [z(own[0]) - z(other[0]), z(own[1]) - z(other[1])];
                self.mesh.links.extend([[own[0], other[0]], [own[1], other[1]]]);
                if apart[0] * apart[1] < 0.0 {
                    let part = apart[0] / (apart[0] - apart[1]);
                    let [p, q] = own.map(|v| self.mesh.place[v as usize]);
                    let (za, zb) = (z(own[0]), z(own[1]));
                    let node = index(self.mesh.place.len());
                    self.mesh.place.push([0, 1].map(|k| p[k] + part * (q[k] - p[k])));
                    self.mesh.height.push(za + part * (zb - za));
                    self.sheets.push(self.of[t as usize]);
                    self.mesh.links.extend(own.into_iter().chain(other).map(|v| [node, v]));
                }
            }
        }
    }

    /// What water can leave by: footprints anywhere in them, and places.
    #[must_use]
    pub fn sinks(&self, footprints: &[Footprint], outlets: &[[f64; 2]]) -> Vec<Sink> {
        let net = self.net.net();
        let mut out = Vec::new();
        // Touching counts: a node on the border takes water in whichever sheet it is.
        for v in 0..index(self.mesh.place.len()) {
            let (place, height) = (self.mesh.place[v as usize], self.mesh.height[v as usize]);
            if footprints.iter().any(|f| touches(f, place)) {
                out.push(Sink { place, height, beside: vec![v] });
            }
        }
        for &p in outlets {
            let Position::In(t) = net.locate(p, None) else { continue };
            for u in touching(&self.net, t, p) {
                let corners = self.mesh.corners[u as usize];
                let [a, b, c] = corners.map(|v| self.mesh.place[v as usize]);
                let z = corners.map(|v| self.mesh.height[v as usize]);
                let cross = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
                    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
                };
                let whole = cross(a, b, c);
                let (lb, lc) = (cross(a, p, c) / whole, cross(a, b, p) / whole);
                let height = z[0] + lb * (z[1] - z[0]) + lc * (z[2] - z[0]);
                out.push(Sink { place: p, height, beside: corners.to_vec() });
            }
        }
        out
    }
}

/// The triangles a place lies in or on the border of, one of which is known.
fn touching(surface: &Surface, t: u32, p: [f64; 2]) -> Vec<u32> {
    let net = surface.net();
    let mut out = vec![t];
    let mut k = 0;
    while k < out.len() {
        let c = net.corners(out[k]);
        for side in 0..3 {
            let (a, b) = (net.place(c[(side + 1) % 3]), net.place(c[(side + 2) % 3]));
            if let Some(next) = net.across(out[k], side)
                && turn(a, b, p) == 0.0
                && !out.contains(&next)
            {
                out.push(next);
            }
        }
        k += 1;
    }
    out
}

/// Every edge of every sheet, as lines at one height: only where they run matters here.
fn edges(dig: &Dig<'_>, existing: &Surface, footprints: &[Footprint], frame: Frame) -> Vec<Breakline> {
    let point = |p: [f64; 2]| {
        let (n, e) = frame.site(p);
        LinePoint::At(to_micro(n), to_micro(e), 0.0)
    };
    let ring = |corners: &[[f64; 2]]| Breakline {
        name: String::new(),
        points: corners.iter().chain(corners.first()).map(|&p| point(p)).collect(),
    };
    let net = existing.net();
    let mut out: Vec<Breakline> = Vec::new();
    for t in 0..index(net.triangles()) {
        let c = net.corners(t).map(|v| net.place(v));
        for side in (0..3).filter(|&s| net.across(t, s).is_none_or(|u| u > t)) {
            let ends = [c[(side + 1) % 3], c[(side + 2) % 3]];
            out.push(Breakline { name: String::new(), points: ends.map(point).to_vec() });
        }
    }
    for area in &dig.areas {
        out.extend(area.pieces.iter().map(|t| ring(&t.place)));
    }
    out.extend(dig.rings.iter().chain(&dig.batters).map(|r| ring(&r.piece)));
    out.extend(footprints.iter().map(|f| ring(f)));
    out
}

fn middle(net: &Surface, t: u32) -> [f64; 2] {
    let [a, b, c] = net.net().corners(t).map(|v| net.net().place(v));
    [0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0)
}

fn within(piece: &[[f64; 2]], p: [f64; 2]) -> bool {
    (0..piece.len()).all(|k| {
        let (a, b) = (piece[k], piece[(k + 1) % piece.len()]);
        (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= 0.0
    })
}

/// Within a piece or on its border, to a millionth or two.
fn touches(piece: &[[f64; 2]], p: [f64; 2]) -> bool {
    const HAIR: f64 = 2.0;
    within(piece, p) || (0..piece.len()).any(|k| off(p, piece[k], piece[(k + 1) % piece.len()]) <= HAIR)
}

fn sheet(dig: &Dig<'_>, p: [f64; 2]) -> Sheet {
    let of = |all: &[Ring]| all.iter().position(|r| within(&r.piece, p));
    let area = dig.areas.iter().position(|a| a.region.holds(p)).map(Sheet::Area);
    area.or_else(|| of(&dig.rings).map(Sheet::Ring))
        .or_else(|| of(&dig.batters).map(Sheet::Batter))
        .unwrap_or(Sheet::Ground)
}

fn height(dig: &Dig<'_>, existing: &Surface, sheet: Sheet, p: [f64; 2]) -> f64 {
    match sheet {
        Sheet::Ground => existing.height_beside(p),
        Sheet::Area(k) => dig.areas[k].subgrade.height(p),
        Sheet::Ring(k) => dig.rings[k].floor.height(p),
        Sheet::Batter(k) => dig.batters[k].floor.height(p),
    }
}
