//! Where is how much to be dug? Pieces of ground by depth, and the line where cut turns to fill: for the plan's tint.
//!
//! The same clipping as the volumes, split further at each depth; the pieces are exact, only where there are too many to draw does the
//! caller fall back to something coarser.

use super::{Walker, sparser_first, triangle};
use crate::surface::{Poly, Region, Surface, Triangle};
use std::cmp::Ordering;

/// A convex piece of ground whose depth lies in one band.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Which band, from the lowest: below the first depth is 0.
    pub band: usize,
    /// Corners in the frame (millionths).
    pub ring: Vec<[f64; 2]>,
}

/// Ground by depth.
#[derive(Clone, Debug, Default)]
pub struct Bands {
    /// The pieces.
    pub pieces: Vec<Band>,
    /// Parts of the line where the surfaces cross.
    pub zero: Vec<[[f64; 2]; 2]>,
}

impl Bands {
    /// Splits the ground between two surfaces (positive: `before` above) at each of the `depths`, which rise.
    #[must_use]
    pub fn between(before: &Surface, after: &Surface, region: Option<&Region>, depths: &[f64]) -> Self {
        let turned = sparser_first(before, after) == Ordering::Greater;
        let (outer, inner) = if turned { (after, before) } else { (before, after) };
        let sign = if turned { -1.0 } else { 1.0 };
        let mut out = Self::default();
        out.add((0..outer.net().triangles()).map(|t| triangle(outer, t)), inner, region, sign, depths);
        out
    }

    /// Splits the ground over a floor of triangles (positive: the ground above).
    #[must_use]
    pub fn over(
        floor: impl Iterator<Item = Triangle>,
        ground: &Surface,
        region: Option<&Region>,
        depths: &[f64],
    ) -> Self {
        let mut out = Self::default();
        out.add(floor, ground, region, -1.0, depths);
        out
    }

    fn add(
        &mut self,
        swept: impl Iterator<Item = Triangle>,
        inner: &Surface,
        region: Option<&Region>,
        sign: f64,
        depths: &[f64],
    ) {
        let mut walker = Walker::new(inner, region);
        for t in swept {
            walker.over(&t, |poly| {
                let at = |p: &Poly| p.corners().iter().map(|c| t.at(c.l)).collect::<Vec<_>>();
                for band in 0..=depths.len() {
                    let mut part = *poly;
                    if band > 0 {
                        part = part.clipped(7, |c| c.d * sign - depths[band - 1], |_| ());
                    }
                    if let Some(top) = depths.get(band) {
                        part = part.clipped(8, |c| top - c.d * sign, |_| ());
                    }
                    if part.corners().len() > 2 {
                        self.pieces.push(Band { band, ring: at(&part) });
                    }
                }
                let signs = |s: f64| poly.corners().iter().any(|c| c.d * s > 0.0);
                if signs(1.0) && signs(-1.0) {
                    let upper = poly.clipped(9, |c| c.d, |c| c.d = 0.0);
                    let ring = at(&upper);
                    let edge = (0..ring.len()).find(|&k| upper.edge(k) == 9);
                    self.zero.extend(edge.map(|k| [ring[k], ring[(k + 1) % ring.len()]]));
                }
            });
        }
    }
}
