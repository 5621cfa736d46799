//! What is the ground once it is dug: subgrade in areas, what is dug past their edges, existing ground outside?
//!
//! ```text
//!   ground ____                     ____ ground        each is a sheet of its own; where two meet there is a vertical face, and
//!              |__ ring ____ area __|                  water passes it at the height of the higher side
//! ```
//! All their edges are parted into one net of whole millionths, every triangle of which lies in one sheet; a place has a node in each
//! sheet that touches it. Along a face the least of max(one side, other side) is at an end or where the two cross, so a crossing is a
//! node as well and the vertices alone do not decide. The edge of the survey is open, a limit is no edge.
//! The same for the day the work is finished: finish in areas, what was dug past their edges filled back.

use super::ground::{Beyond, Ground};
use super::paths::Outlet;
use super::ponds::{Mesh, Sink};
use crate::design::dig::{Dig, Ring};
use crate::shots::{Frame, Kind, MICRO, Shots, to_micro};
use crate::surface::{Breakline, Cells, LinePoint, Surface, index, off};
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
    /// The drain each triangle lies in, and the one each node touches.
    drains: Vec<Option<usize>>,
    touched: Vec<Option<usize>>,
    /// Nodes at outlets.
    outlets: Vec<u32>,
    /// What takes water in.
    footprints: Vec<Footprint>,
}

/// Ground that water leaves by wherever it comes.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// The drain that takes it, by number.
    pub drain: usize,
    /// A convex piece of the frame, counter-clockwise.
    pub piece: Vec<[f64; 2]>,
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Dug: areas and what is dug past their edges at subgrade.
    Dug,
    /// Built: areas at finish, the rest filled back to the ground as it was.
    Built,
}

impl DugGround {
    /// Puts the sheets together. `footprints`: trenches that take water; `outlets`: those on the survey get a node. Nothing where the edges
    /// are too tangled to be told apart.
    #[must_use]
    pub fn new(
        dig: &Dig<'_>,
        existing: &Surface,
        stage: Stage,
        (footprints, outlets): (&[Footprint], &[Outlet]),
        unit: LengthUnit,
    ) -> Option<Self> {
        let net = parted(dig, existing, (footprints, outlets), unit)?;
        Some(Self::over(net, dig, existing, stage, (footprints, outlets)))
    }

    /// The same dig once it is built, with what takes water then; the outlets are those it was made with.
    #[must_use]
    pub fn built(
        &self,
        dig: &Dig<'_>,
        existing: &Surface,
        (footprints, outlets): (&[Footprint], &[Outlet]),
        unit: LengthUnit,
    ) -> Option<Self> {
        // Where the same takes water the same edges part the ground, and that is most of the work.
        let net = if footprints == self.footprints {
            self.net.clone()
        } else {
            parted(dig, existing, (footprints, outlets), unit)?
        };
        Some(Self::over(net, dig, existing, Stage::Built, (footprints, outlets)))
    }

    fn over(
        net: Surface,
        dig: &Dig<'_>,
        existing: &Surface,
        stage: Stage,
        (footprints, outlets): (&[Footprint], &[Outlet]),
    ) -> Self {
        let triangles = index(net.net().triangles());
        let of: Vec<Sheet> = (0..triangles).map(|t| sheet(dig, stage, middle(&net, t))).collect();
        let within = |p: [f64; 2]| footprints.iter().find(|f| within(&f.piece, p)).map(|f| f.drain);
        let drains = (0..triangles).map(|t| within(middle(&net, t))).collect();
        let (mesh, sheets, touched) = (Mesh::default(), Vec::new(), Vec::new());
        let (own, at_outlets) = (footprints.to_vec(), Vec::new());
        let mut out = Self { mesh, sheets, net, of, drains, touched, outlets: at_outlets, footprints: own };
        out.nodes(dig, existing, stage);
        out.faces();
        // Touching counts: a node on the border is drained in whichever sheet it is.
        let touching = |p: &[f64; 2]| footprints.iter().find(|f| touches(&f.piece, *p)).map(|f| f.drain);
        out.touched = out.mesh.place.iter().map(touching).collect();
        let at = |p: [f64; 2], o: &Outlet| (p[0] - o.place[0]).hypot(p[1] - o.place[1]) <= 1.0;
        let nodes = 0..index(out.mesh.place.len());
        out.outlets = nodes.filter(|&v| outlets.iter().any(|o| at(out.mesh.place[v as usize], o))).collect();
        out
    }

    fn nodes(&mut self, dig: &Dig<'_>, existing: &Surface, stage: Stage) {
        let net = self.net.net();
        let mut number: HashMap<(u32, Sheet), u32> = HashMap::new();
        let on_rim: std::collections::HashSet<u32> = net.outline().into_iter().collect();
        for t in 0..index(net.triangles()) {
            let sheet = self.of[t as usize];
            let corners = net.corners(t).map(|v| {
                *number.entry((v, sheet)).or_insert_with(|| {
                    let node = index(self.mesh.place.len());
                    self.mesh.place.push(net.place(v));
                    self.mesh.height.push(height(dig, existing, (sheet, stage), net.place(v)));
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

    /// What water can leave by.
    #[must_use]
    pub fn sinks(&self) -> Vec<Sink> {
        let drained = (0..index(self.mesh.place.len())).filter(|&v| self.touched[v as usize].is_some());
        let of =
            |v: u32| Sink { place: self.mesh.place[v as usize], height: self.mesh.height[v as usize], beside: vec![v] };
        drained.chain(self.outlets.iter().copied()).map(of).collect()
    }

    /// Sheet of a triangle.
    #[must_use]
    pub fn sheet(&self, triangle: u32) -> Sheet {
        self.of[triangle as usize]
    }

    /// A triangle of that sheet at a place, its border included.
    #[must_use]
    pub fn triangle_of(&self, sheet: impl Fn(Sheet) -> bool, p: [f64; 2]) -> Option<u32> {
        let first = self.locate(p)?;
        // Sheets meet at borders only, so those round the place are enough.
        let mut seen = vec![first];
        let mut k = 0;
        while k < seen.len() {
            let t = seen[k];
            if sheet(self.of[t as usize]) {
                return Some(t);
            }
            let c = self.net.net().corners(t).map(|v| self.net.net().place(v));
            for side in 0..3 {
                if let Some(next) = self.net.net().across(t, side).filter(|u| !seen.contains(u))
                    && off(p, c[(side + 1) % 3], c[(side + 2) % 3]) <= HAIR
                {
                    seen.push(next);
                }
            }
            k += 1;
        }
        None
    }
}

impl Ground for DugGround {
    fn triangles(&self) -> u32 {
        index(self.of.len())
    }
    fn corners(&self, triangle: u32) -> [u32; 3] {
        self.mesh.corners[triangle as usize]
    }
    fn place(&self, node: u32) -> [f64; 2] {
        self.mesh.place[node as usize]
    }
    fn height(&self, node: u32) -> f64 {
        self.mesh.height[node as usize]
    }
    fn gradient(&self, triangle: u32) -> [f64; 2] {
        let z = self.mesh.corners[triangle as usize].map(|v| self.mesh.height[v as usize]);
        self.net.net().gradient(triangle, z).map(|g| g * MICRO)
    }
    fn beyond(&self, triangle: u32, side: usize) -> Beyond {
        match self.net.net().across(triangle, side) {
            None => Beyond::Rim,
            Some(u) if self.of[u as usize] == self.of[triangle as usize] => Beyond::On(u),
            Some(u) => Beyond::Face(u),
        }
    }
    fn locate(&self, p: [f64; 2]) -> Option<u32> {
        self.net.locate(p)
    }
    fn drain_in(&self, triangle: u32) -> Option<usize> {
        self.drains[triangle as usize]
    }
    fn drain_at(&self, node: u32) -> Option<usize> {
        self.touched[node as usize]
    }
}

/// The ground parted by all edges. Nothing where they are too tangled.
fn parted(
    dig: &Dig<'_>,
    existing: &Surface,
    (footprints, outlets): (&[Footprint], &[Outlet]),
    unit: LengthUnit,
) -> Option<Surface> {
    let frame = existing.net().frame();
    let lines = edges(dig, existing, footprints, frame);
    let mut points = Shots::default();
    for outlet in outlets.iter().filter(|o| existing.height_local(o.place).is_some()) {
        let (n, e) = frame.site(outlet.place);
        points.push(&outlet.name, to_micro(n), to_micro(e), 0.0, Kind::Ground);
    }
    Some(Surface::build_along(&points, &lines, unit, frame, Cells::Nodes).ok()?.0)
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
    out.extend(footprints.iter().map(|f| ring(&f.piece)));
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

/// Places nearer to a line than this lie on it: a millionth or two.
const HAIR: f64 = 2.0;

/// Within a piece or on its border.
fn touches(piece: &[[f64; 2]], p: [f64; 2]) -> bool {
    within(piece, p) || (0..piece.len()).any(|k| off(p, piece[k], piece[(k + 1) % piece.len()]) <= HAIR)
}

fn sheet(dig: &Dig<'_>, stage: Stage, p: [f64; 2]) -> Sheet {
    let of = |all: &[Ring]| all.iter().position(|r| within(&r.piece, p));
    let area = dig.areas.iter().position(|a| a.region.holds(p)).map(Sheet::Area);
    if stage == Stage::Built {
        return area.unwrap_or(Sheet::Ground);
    }
    area.or_else(|| of(&dig.rings).map(Sheet::Ring))
        .or_else(|| of(&dig.batters).map(Sheet::Batter))
        .unwrap_or(Sheet::Ground)
}

fn height(dig: &Dig<'_>, existing: &Surface, (sheet, stage): (Sheet, Stage), p: [f64; 2]) -> f64 {
    match sheet {
        Sheet::Ground => existing.height_beside(p),
        Sheet::Area(k) if stage == Stage::Built => dig.areas[k].finish.height(p),
        Sheet::Area(k) => dig.areas[k].subgrade.height(p),
        Sheet::Ring(k) => dig.rings[k].floor.height(p),
        Sheet::Batter(k) => dig.batters[k].floor.height(p),
    }
}
