//! What of the ground lies below a level, hanging together with given vertices?
//!
//! A triangle z = a x + b y + c is clipped at the level; below it water is (d1 + d2 + d3) / 3 deep over each part, d the depth at the
//! corners. Exact but for rounding.

use super::{Mesh, Neighbours};
use crate::shots::MICRO;
use crate::surface::sum;
use std::collections::HashMap;

/// Size and form of a pond.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shape {
    /// Plan area, square job units.
    pub area: f64,
    /// Cubic job units.
    pub volume: f64,
    /// Its outline: rings in the frame, islands among them; the water lies to the left.
    pub rings: Vec<Vec<[f64; 2]>>,
}

/// The pond over these vertices, all below the level and hanging together.
pub(super) fn shape(mesh: &Mesh, edges: &Neighbours, vertices: &[u32], level: f64) -> Shape {
    let (place, height) = (|v: u32| mesh.place[v as usize], |v: u32| mesh.height[v as usize]);
    let mut triangles: Vec<u32> = vertices.iter().flat_map(|&v| edges.fan(v)).copied().collect();
    triangles.sort_unstable();
    triangles.dedup();
    let (mut areas, mut volumes) = (Vec::new(), Vec::new());
    let mut next: HashMap<[u64; 2], Vec<[f64; 2]>> = HashMap::new();
    for &t in &triangles {
        let (c, open) = (mesh.corners[t as usize], mesh.open[t as usize]);
        let at = |k: usize| (place(c[k % 3]), level - height(c[k % 3]));
        // The part below, counter-clockwise, and whether each side of it is a border of the pond.
        let mut part: Vec<([f64; 2], f64)> = Vec::new();
        let mut border: Vec<bool> = Vec::new();
        for k in 0..3 {
            let ((p, d), (_, e)) = (at(k), at(k + 1));
            let is_open = open[(k + 2) % 3];
            if d > 0.0 {
                part.push((p, d));
                border.push(is_open);
            }
            if (d > 0.0) != (e > 0.0) {
                // Always from the lower-numbered end, so that both sides of an edge agree to the last bit.
                let (u, v) = (c[k].min(c[(k + 1) % 3]), c[k].max(c[(k + 1) % 3]));
                let (zu, zv) = (height(u), height(v));
                let (pu, pv) = (place(u), place(v));
                let at = (level - zu) / (zv - zu);
                let x = [0, 1].map(|i| if at >= 1.0 { pv[i] } else { pu[i] + at * (pv[i] - pu[i]) });
                part.push((x, 0.0));
                // Going up out of the water the next side is the water's edge; coming down it is the triangle's own.
                border.push(d > 0.0 || is_open);
            }
        }
        for k in 1..part.len().saturating_sub(1) {
            let [(a, da), (b, db), (c, dc)] = [part[0], part[k], part[k + 1]];
            let doubled = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            let area = doubled / 2.0 / (MICRO * MICRO);
            areas.push(area);
            volumes.push(area * (da + db + dc) / 3.0);
        }
        for k in 0..part.len() {
            let (from, to) = (part[k].0, part[(k + 1) % part.len()].0);
            if border[k] && from != to {
                next.entry(from.map(f64::to_bits)).or_default().push(to);
            }
        }
    }
    Shape { area: sum(areas), volume: sum(volumes), rings: rings(next) }
}

/// Stretches that follow one another, as rings.
fn rings(mut next: HashMap<[u64; 2], Vec<[f64; 2]>>) -> Vec<Vec<[f64; 2]>> {
    let mut starts: Vec<[u64; 2]> = next.keys().copied().collect();
    starts.sort_unstable();
    let mut out = Vec::new();
    for start in starts {
        while let Some(first) = next.get_mut(&start).and_then(Vec::pop) {
            let mut ring = vec![start.map(f64::from_bits), first];
            while let Some(to) = ring.last().and_then(|p| next.get_mut(&p.map(f64::to_bits))).and_then(Vec::pop) {
                ring.push(to);
                if ring.first() == ring.last() {
                    break;
                }
            }
            out.push(ring);
        }
    }
    out
}
