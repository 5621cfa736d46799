//! How long until fifty levels are whole lines? Beside it: each triangle's piece of each level, joined to nothing.

mod common;

use common::{against, assert_near, sizes, surfaces};
use spadework::shots::MICRO;
use spadework::surface::Surface;

/// Length of all pieces, triangle by triangle.
fn pieces(surface: &Surface, levels: &[f64]) -> f64 {
    let net = surface.net();
    let mut length = 0.0;
    for t in 0..u32::try_from(net.triangles()).expect("few triangles") {
        let (c, z) = (net.corners(t).map(|v| net.place(v)), surface.heights(t));
        for &level in levels {
            let mut ends = [[0.0; 2]; 2];
            let mut found = 0;
            for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                if (z[a] >= level) != (z[b] >= level) {
                    let part = (level - z[a]) / (z[b] - z[a]);
                    ends[found] = [0, 1].map(|k| c[a][k] + part * (c[b][k] - c[a][k]));
                    found += 1;
                }
            }
            if found == 2 {
                length += (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]);
            }
        }
    }
    length / MICRO
}

fn main() {
    let levels: Vec<f64> = (0..50).map(|k| 97.0 + f64::from(k) * 0.1).collect();
    for n in sizes() {
        let (surface, _) = surfaces(n);
        let ours = || surface.contours(&levels);
        let plain = || pieces(&surface, &levels);
        let length: f64 = ours()
            .iter()
            .flat_map(|line| line.points.windows(2))
            .map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]) / MICRO)
            .sum();
        assert_near(length, plain(), 1e-9);
        against("contours", n, ours, "by triangle", plain);
    }
}
