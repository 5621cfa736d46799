//! How long until it is known where water stands? Beside it: a raster of as many cells, flooded from its rim (Barnes, Lehman
//! and Mulla 2014), which gives depths only and no outline.

mod common;

use common::{against, build, side, site, sizes};
use spadework::drainage::{WaysOut, ponds};
use spadework::shots::{Frame, MICRO};
use spadework::surface::Surface;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Heights at the middles of the cells, row by row.
fn raster(surface: &Surface, wide: usize, side: f64) -> Vec<f64> {
    let at = |k: usize| (k as f64 + 0.5) / wide as f64 * side * MICRO;
    let (low, _) = surface.net().bounds();
    (0..wide * wide).map(|k| surface.height_beside([low[0] + at(k % wide), low[1] + at(k / wide)])).collect()
}

/// Volume under water, in cells.
fn flooded(height: &[f64], wide: usize) -> f64 {
    // Order of doubles as whole numbers; heights here are above 0.
    let mut queue: BinaryHeap<Reverse<(u64, usize)>> = BinaryHeap::new();
    let mut level = vec![f64::NAN; height.len()];
    let rim = |k: usize| k % wide == 0 || k % wide + 1 == wide || k < wide || k + wide >= height.len();
    for k in (0..height.len()).filter(|&k| rim(k)) {
        level[k] = height[k];
        queue.push(Reverse((height[k].to_bits(), k)));
    }
    let mut deep = 0.0;
    while let Some(Reverse((bits, k))) = queue.pop() {
        let water = f64::from_bits(bits);
        let (x, y) = (k % wide, k / wide);
        for (u, v) in [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)] {
            let next = v.wrapping_mul(wide).wrapping_add(u);
            if u < wide && v < wide && level[next].is_nan() {
                level[next] = height[next].max(water);
                deep += level[next] - height[next];
                queue.push(Reverse((level[next].to_bits(), next)));
            }
        }
    }
    deep
}

fn main() {
    for n in sizes() {
        let shots = site(n, 1);
        let surface = build(&shots, Frame::of(&[&shots]));
        let wide = n.isqrt().max(3);
        let cells = raster(&surface, wide, side(n) as f64 / 1000.0);
        let ours = || ponds(&surface, &WaysOut::default()).expect("water leaves over the edge");
        let plain = || flooded(&cells, wide);
        let found = ours();
        // A pond within another is part of it.
        let volume: f64 = found.iter().filter(|p| p.inside.is_none()).map(|p| p.shape.volume).sum();
        let cell = (side(n) as f64 / 1000.0 / wide as f64).powi(2);
        // The raster misses what is narrower than a cell; it must still find most of the water where there are cells enough.
        if n >= 10_000 {
            let rough = plain() * cell;
            assert!((volume - rough).abs() < 0.25 * volume, "{volume} and {rough}");
        }
        against("ponds", n, ours, "raster of as many cells", plain);
    }
}
