//! Where does water stand, how high, and over which place does it leave?
//!
//! ```text
//!   \                 ___/     level: the least height over which there is a way out
//!    \~~~~~~~~~~~~~~~/         two lows in one pond: the shallower one is nested, up to where it spills into the other
//!     \   /\        /
//!      \_/  \______/
//! ```
//! On the triangles themselves. For a surface of planes the part below any height hangs together just as the edges between vertices
//! below it do, so a flood over vertices, lowest way out first, gives the level of every one exactly (priority flood: Barnes, Lehman
//! and Mulla 2014, from memory; on a net in place of a raster). Outlines, areas and volumes by clipping each triangle at the level.
//!
//! Ways out: the open edge of the survey (unless walled), outlets. An outlet on a side or in a face drains the corners round it
//! from its own height. Nested lows by the elder rule: of two that meet, the one with the higher bottom is nested in the other.
//! Ties: of equally low places the one found first along the net; two ponds that only touch are two.
//!
//! Known right by: bowls, pans and merging lows in closed form, rising water with union-find (`tests/ponds.rs`).

mod mesh;
mod shape;

pub use mesh::Mesh;
pub use shape::Shape;

use super::Outlet;
use crate::surface::{Position, Surface, index};
use shape::shape;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Water that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Pond {
    /// Its lowest place, in the frame.
    pub low_at: [f64; 2],
    /// Where it spills.
    pub spill_at: [f64; 2],
    /// Height of the water.
    pub level: f64,
    /// At its deepest, job units.
    pub depth: f64,
    /// Area, volume and outline.
    pub shape: Shape,
    /// The pond it is nested in, by number.
    pub inside: Option<usize>,
    /// Nodes under water.
    pub wet: Vec<u32>,
}

/// What water can leave by.
#[derive(Clone, Debug, Default)]
pub struct WaysOut {
    /// Places it can leave by.
    pub outlets: Vec<Outlet>,
    /// Lines it can leave by anywhere along.
    pub lines: Vec<Vec<[f64; 2]>>,
    /// Whether the edge of the survey holds it.
    pub walled: bool,
}

/// Depths below this are none: heights are typed a million times coarser.
const SHALLOW: f64 = 1e-9;

/// From where a vertex is drained.
#[derive(Clone, Copy, Debug, PartialEq)]
enum From {
    /// Not reached.
    Nowhere,
    /// It is a way out itself.
    Itself,
    /// Over another vertex.
    Vertex(u32),
    /// By an outlet beside it.
    Outlet(u32),
}

/// A level with a total order, so that it can be a key.
#[derive(Clone, Copy, PartialEq)]
struct Level(f64);

impl Eq for Level {}

impl PartialOrd for Level {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Level {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// All ponds, nested ones behind the one they are nested in; nothing where no water can leave at all.
#[must_use]
pub fn ponds(surface: &Surface, ways: &WaysOut) -> Option<Vec<Pond>> {
    let mesh = Mesh::of(surface);
    let mut sinks = Vec::new();
    let places = ways.outlets.iter().map(|o| o.place).chain(ways.lines.iter().flat_map(|l| along(surface, l)));
    for p in places {
        let Position::In(t) = surface.net().locate(p, None) else { continue };
        // One triangle will do on a side as well: its lower end is no higher than the place, and leads on into the other.
        let beside = surface.net().corners(t).to_vec();
        sinks.push(Sink { place: p, height: surface.height_in(t, p), beside });
    }
    flooded(&mesh, &sinks, !ways.walled)
}

/// A way out beside some nodes: water leaves over it from its own height.
#[derive(Clone, Debug)]
pub struct Sink {
    /// Where.
    pub place: [f64; 2],
    /// How high.
    pub height: f64,
    /// Nodes of the triangles it touches.
    pub beside: Vec<u32>,
}

/// The same on any mesh, with the ways out as nodes know them.
#[must_use]
pub fn flooded(mesh: &Mesh, sinks: &[Sink], open_rim: bool) -> Option<Vec<Pond>> {
    let edges = Neighbours::of(mesh);
    let flood = Flood::of(mesh, &edges, sinks, open_rim)?;
    let mut out: Vec<Pond> = Vec::new();
    let count = index(mesh.place.len());
    let mut seen = vec![false; count as usize];
    let is_wet = |v: u32| flood.level[v as usize] - mesh.height[v as usize] > SHALLOW;
    for v in 0..count {
        if seen[v as usize] || !is_wet(v) {
            continue;
        }
        let mut all = vec![v];
        seen[v as usize] = true;
        let mut k = 0;
        while k < all.len() {
            for &u in edges.of_vertex(all[k]) {
                if !seen[u as usize] && is_wet(u) {
                    seen[u as usize] = true;
                    all.push(u);
                }
            }
            k += 1;
        }
        let own = out.len();
        let level = flood.level[v as usize];
        let low = lowest(mesh, &all);
        out.push(Pond {
            low_at: mesh.place[low as usize],
            spill_at: flood.spill(mesh, low),
            level,
            depth: level - mesh.height[low as usize],
            shape: shape(mesh, &edges, &all, level),
            inside: None,
            wet: all.clone(),
        });
        nested(mesh, &edges, all, own, &mut out);
    }
    Some(out)
}

fn lowest(mesh: &Mesh, all: &[u32]) -> u32 {
    let by_height = |a: &&u32, b: &&u32| mesh.height[**a as usize].total_cmp(&mesh.height[**b as usize]).then(a.cmp(b));
    all.iter().min_by(by_height).copied().unwrap_or(0)
}

/// Lows within a pond that stand apart before it is full.
fn nested(mesh: &Mesh, edges: &Neighbours, mut all: Vec<u32>, own: usize, out: &mut Vec<Pond>) {
    if all.len() < 3 {
        return;
    }
    let height = |v: u32| mesh.height[v as usize];
    all.sort_by(|a, b| height(*a).total_cmp(&height(*b)).then(a.cmp(b)));
    let mut number = std::collections::HashMap::with_capacity(all.len());
    for (k, &v) in all.iter().enumerate() {
        number.insert(v, k);
    }
    // Union of what hangs together so far: the parent of each, and for a root its lowest vertex (all in order of height).
    let mut parent: Vec<usize> = (0..all.len()).collect();
    let mut members: Vec<Vec<u32>> = vec![Vec::new(); all.len()];
    let root = |parent: &mut Vec<usize>, mut k: usize| {
        while parent[k] != k {
            parent[k] = parent[parent[k]];
            k = parent[k];
        }
        k
    };
    for k in 0..all.len() {
        let v = all[k];
        members[k].push(v);
        let mut met: Vec<usize> = edges
            .of_vertex(v)
            .iter()
            .filter_map(|u| number.get(u).copied().filter(|&j| j < k))
            .map(|j| root(&mut parent, j))
            .collect();
        met.sort_unstable();
        met.dedup();
        // The lowest goes on; the others end here as lows of their own.
        for (nth, &r) in met.iter().enumerate() {
            let level = height(v);
            let low = all[r];
            if nth > 0 && level - height(low) > SHALLOW {
                out.push(Pond {
                    low_at: mesh.place[low as usize],
                    spill_at: mesh.place[v as usize],
                    level,
                    depth: level - height(low),
                    shape: shape(mesh, edges, &members[r], level),
                    inside: Some(own),
                    wet: members[r].clone(),
                });
            }
        }
        if let Some((&elder, others)) = met.split_first() {
            for &r in others.iter().chain([&k]) {
                parent[r] = elder;
                // Small into large would be quicker, but the elder keeps its name.
                let moved = std::mem::take(&mut members[r]);
                if moved.len() > members[elder].len() {
                    let old = std::mem::replace(&mut members[elder], moved);
                    members[elder].extend(old);
                } else {
                    members[elder].extend(moved);
                }
            }
        }
    }
}

/// The level water comes to at every vertex, and the way it leaves.
struct Flood {
    level: Vec<f64>,
    from: Vec<From>,
    /// Places of the outlets by number.
    at: Vec<[f64; 2]>,
}

impl Flood {
    fn of(mesh: &Mesh, edges: &Neighbours, sinks: &[Sink], open_rim: bool) -> Option<Self> {
        let count = mesh.place.len();
        let mut flood = Self { level: vec![f64::INFINITY; count], from: vec![From::Nowhere; count], at: Vec::new() };
        let mut heap: BinaryHeap<Reverse<(Level, u32)>> = BinaryHeap::new();
        let mut offer = |flood: &mut Self, v: u32, level: f64, from: From| {
            let level = level.max(mesh.height[v as usize]);
            if level < flood.level[v as usize] {
                flood.level[v as usize] = level;
                flood.from[v as usize] = from;
                heap.push(Reverse((Level(level), v)));
            }
        };
        if open_rim {
            for &v in &mesh.rim {
                offer(&mut flood, v, f64::NEG_INFINITY, From::Itself);
            }
        }
        for sink in sinks {
            let number = index(flood.at.len());
            flood.at.push(sink.place);
            for &v in &sink.beside {
                let own = mesh.place[v as usize] == sink.place && mesh.height[v as usize] <= sink.height;
                offer(&mut flood, v, sink.height, if own { From::Itself } else { From::Outlet(number) });
            }
        }
        let mut done = vec![false; count];
        while let Some(Reverse((Level(level), v))) = heap.pop() {
            if std::mem::replace(&mut done[v as usize], true) {
                continue;
            }
            for &u in edges.of_vertex(v) {
                let next = level.max(mesh.height[u as usize]);
                if next < flood.level[u as usize] {
                    flood.level[u as usize] = next;
                    flood.from[u as usize] = From::Vertex(v);
                    heap.push(Reverse((Level(next), u)));
                }
            }
        }
        flood.level.iter().all(|l| l.is_finite()).then_some(flood)
    }

    /// The first place on the way out that is as high as the water.
    fn spill(&self, mesh: &Mesh, low: u32) -> [f64; 2] {
        let level = self.level[low as usize];
        let mut v = low;
        loop {
            if mesh.height[v as usize] >= level {
                return mesh.place[v as usize];
            }
            match self.from[v as usize] {
                From::Vertex(u) => v = u,
                From::Outlet(k) => return self.at[k as usize],
                From::Itself | From::Nowhere => return mesh.place[v as usize],
            }
        }
    }
}

/// Places along a line at which its height can turn: its bends, and where it crosses a side.
fn along(surface: &Surface, line: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let net = surface.net();
    let mut out: Vec<[f64; 2]> = line.to_vec();
    for w in line.windows(2) {
        let (a, b) = (w[0], w[1]);
        for t in 0..index(net.triangles()) {
            let c = net.corners(t);
            for side in 0..3 {
                let (p, q) = (net.place(c[(side + 1) % 3]), net.place(c[(side + 2) % 3]));
                let (fp, fq) = (crate::surface::turn(a, b, p), crate::surface::turn(a, b, q));
                let (fa, fb) = (crate::surface::turn(p, q, a), crate::surface::turn(p, q, b));
                if fp * fq < 0.0 && fa * fb < 0.0 {
                    let part = fp / (fp - fq);
                    out.push([0, 1].map(|k| p[k] + part * (q[k] - p[k])));
                } else if fp == 0.0 && fa * fb < 0.0 {
                    out.push(p);
                }
            }
        }
    }
    out
}

/// Vertices joined by an edge, and triangles round each vertex.
pub(super) struct Neighbours {
    ends: Vec<u32>,
    vertices: Vec<u32>,
    fan_ends: Vec<u32>,
    fan: Vec<u32>,
}

impl Neighbours {
    fn of(mesh: &Mesh) -> Self {
        let count = mesh.place.len();
        let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(mesh.corners.len() * 6 + mesh.links.len() * 2);
        let mut fans: Vec<(u32, u32)> = Vec::with_capacity(mesh.corners.len() * 3);
        for (t, (c, open)) in (0_u32..).zip(mesh.corners.iter().zip(&mesh.open)) {
            for side in 0..3 {
                fans.push((c[side], t));
                let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
                // Each edge once: the two triangles of it go round it opposite ways.
                if open[side] || a < b {
                    pairs.extend([(a, b), (b, a)]);
                }
            }
        }
        pairs.extend(mesh.links.iter().flat_map(|&[a, b]| [(a, b), (b, a)]));
        let lists = |pairs: &mut Vec<(u32, u32)>| {
            let mut ends = vec![0_u32; count + 1];
            for (v, _) in pairs.iter() {
                ends[*v as usize + 1] += 1;
            }
            for v in 0..count {
                ends[v + 1] += ends[v];
            }
            let mut next = ends.clone();
            let mut items = vec![0; pairs.len()];
            for (v, item) in pairs.drain(..) {
                let slot = &mut next[v as usize];
                items[*slot as usize] = item;
                *slot += 1;
            }
            (ends, items)
        };
        let (ends, vertices) = lists(&mut pairs);
        let (fan_ends, fan) = lists(&mut fans);
        Self { ends, vertices, fan_ends, fan }
    }

    pub(super) fn of_vertex(&self, v: u32) -> &[u32] {
        &self.vertices[self.ends[v as usize] as usize..self.ends[v as usize + 1] as usize]
    }

    /// Triangles round a vertex.
    pub(super) fn fan(&self, v: u32) -> &[u32] {
        &self.fan[self.fan_ends[v as usize] as usize..self.fan_ends[v as usize + 1] as usize]
    }
}
