//! How steep is it, and which way does it fall?
//!
//! Each triangle is a plane with one slope, sqrt(a^2 + b^2) of z = a x + b y + c. The overall fall is that of the plane that fits
//! the vertices best (least squares, nalgebra). Ties: a triangle within 1e-9 of the least fall is not flat.

use super::azimuth;
use crate::surface::{Region, Surface};
use crate::units::{Slope, at_least};
use crate::volume::overlaps;
use nalgebra::{Matrix2, Vector2};

/// A slope with its direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// Rise over run.
    pub slope: Slope,
    /// Degrees clockwise from north, downhill; of no meaning where there is no slope.
    pub azimuth: f64,
}

/// A triangle flatter than asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Flat {
    /// Its number.
    pub triangle: u32,
    /// Its middle, northing and easting.
    pub middle: (f64, f64),
    /// How steep it is.
    pub slope: Slope,
    /// Its plan area, square job units.
    pub area: f64,
    /// Touching flat triangles have the same patch, numbered from 0.
    pub patch: usize,
}

/// Slopes of a surface.
#[derive(Clone, Debug)]
pub struct Slopes {
    /// Of the best-fitting plane.
    pub overall: Fall,
    /// Of the flattest triangle.
    pub least: Slope,
    /// Of the steepest triangle.
    pub greatest: Slope,
    /// Triangles flatter than asked, in the order of the surface.
    pub flat: Vec<Flat>,
}

impl Fall {
    /// Of one triangle.
    #[must_use]
    pub fn of(surface: &Surface, triangle: u32) -> Self {
        Self::down(surface, surface.gradient(triangle))
    }

    fn down(surface: &Surface, [gx, gy]: [f64; 2]) -> Self {
        let azimuth = azimuth(surface.net().frame().direction([-gx, -gy]));
        Self { slope: Slope::rise_over_run(gx.hypot(gy)), azimuth }
    }
}

/// Slopes of the triangles that lie in the region (all without one), and those of them flatter than `least_fall`.
#[must_use]
pub fn slopes(surface: &Surface, region: Option<&Region>, least_fall: Slope) -> Slopes {
    let net = surface.net();
    let count = u32::try_from(net.triangles()).unwrap_or(u32::MAX);
    let counts = overlaps(surface, region);
    let (mut least, mut greatest) = (f64::INFINITY, 0.0_f64);
    let mut flat = Vec::new();
    for t in (0..count).filter(|&t| counts[t as usize]) {
        let slope = surface.slope(t);
        least = least.min(slope);
        greatest = greatest.max(slope);
        if !at_least(slope, least_fall.ratio()) {
            let [a, b, c] = net.corners(t).map(|v| net.place(v));
            let middle = [0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0);
            flat.push(Flat {
                triangle: t,
                middle: net.frame().site(middle),
                slope: Slope::rise_over_run(slope),
                area: net.triangle_area(t),
                patch: usize::MAX,
            });
        }
    }
    number_patches(surface, &mut flat);
    Slopes {
        overall: best_plane(surface),
        least: Slope::rise_over_run(if least.is_finite() { least } else { 0.0 }),
        greatest: Slope::rise_over_run(greatest),
        flat,
    }
}

/// Gives flat triangles that share an edge one number.
fn number_patches(surface: &Surface, flat: &mut [Flat]) {
    let at: std::collections::HashMap<u32, usize> = flat.iter().enumerate().map(|(k, f)| (f.triangle, k)).collect();
    let mut patches = 0;
    for k in 0..flat.len() {
        if flat[k].patch != usize::MAX {
            continue;
        }
        let mut stack = vec![k];
        flat[k].patch = patches;
        while let Some(j) = stack.pop() {
            for side in 0..3 {
                let beside = surface.net().across(flat[j].triangle, side);
                if let Some(&n) = beside.and_then(|t| at.get(&t)).filter(|&&n| flat[n].patch == usize::MAX) {
                    flat[n].patch = patches;
                    stack.push(n);
                }
            }
        }
        patches += 1;
    }
}

/// Least squares over the vertices, about their mean.
fn best_plane(surface: &Surface) -> Fall {
    let net = surface.net();
    let count = u32::try_from(net.vertices()).unwrap_or(u32::MAX);
    let n = f64::from(count);
    let at = |v: u32| {
        let [x, y] = net.place(v).map(|c| c / crate::shots::MICRO);
        (x, y, surface.height(v))
    };
    let mean = (0..count).map(at).fold((0.0, 0.0, 0.0), |m, p| (m.0 + p.0 / n, m.1 + p.1 / n, m.2 + p.2 / n));
    let (mut normal, mut right) = (Matrix2::zeros(), Vector2::zeros());
    for (x, y, z) in (0..count).map(at) {
        let d = Vector2::new(x - mean.0, y - mean.1);
        normal += d * d.transpose();
        right += d * (z - mean.2);
    }
    let plane = normal.lu().solve(&right).unwrap_or_else(Vector2::zeros);
    Fall::down(surface, [plane[0], plane[1]])
}
