//! A grade over an area: one plane, or the planes of a net.

use super::plane::Plane;
use crate::shots::{Frame, MICRO};
use crate::surface::{Region, Surface, Sweep, Triangle};

/// A finished grade or a subgrade.
#[derive(Clone, Debug)]
pub enum Grade {
    /// One plane.
    Plane(Plane),
    /// The planes of a triangulated surface.
    Net(Surface),
}

impl Grade {
    /// Height at a place of the frame. A net goes on past its edge as its nearest triangle does: corners that were taken for a
    /// neighbour's may stand a hair outside.
    #[must_use]
    pub fn height(&self, p: [f64; 2]) -> f64 {
        match self {
            Self::Plane(plane) => plane.height(p),
            Self::Net(surface) => surface.height_beside(p),
        }
    }

    /// The same so much lower.
    #[must_use]
    pub fn lowered(&self, by: f64) -> Self {
        match self {
            Self::Plane(plane) => Self::Plane(plane.lowered(by)),
            Self::Net(surface) => Self::Net(surface.lowered(by)),
        }
    }

    /// Fall at a place toward the east and toward the north, rise over run, downhill positive.
    #[must_use]
    pub fn falls(&self, p: [f64; 2], frame: Frame) -> (f64, f64) {
        match self {
            Self::Plane(plane) => plane.falls(frame),
            Self::Net(surface) => {
                let [x, y] = surface.gradient(surface.net().triangle_beside(p));
                frame.direction([-x, -y])
            }
        }
    }

    /// The plane, where it is one.
    #[must_use]
    pub fn plane(&self) -> Option<&Plane> {
        match self {
            Self::Plane(plane) => Some(plane),
            Self::Net(_) => None,
        }
    }

    /// The parts of a region in which the grade is one plane, at its height.
    #[must_use]
    pub fn pieces(&self, region: &Region) -> Vec<Triangle> {
        let surface = match self {
            Self::Plane(plane) => return region.triangles(|p| plane.height(p)).collect(),
            Self::Net(surface) => surface,
        };
        let mut sweep = Sweep::new(surface.net());
        let mut out = Vec::new();
        for t in region.triangles(|_| 0.0) {
            sweep.over(
                &t,
                |_| 0.0,
                |u, poly| {
                    let corners: Vec<[f64; 2]> = poly.corners().iter().map(|c| t.at(c.l)).collect();
                    for k in 1..corners.len().saturating_sub(1) {
                        let place = [corners[0], corners[k], corners[k + 1]];
                        out.push(Triangle { place, height: place.map(|p| surface.height_in(u, p)) });
                    }
                },
            );
        }
        out.retain(|t| t.doubled_area() > 0.0);
        out
    }
}

/// Mean fall over pieces toward the east and toward the north, weighed by area, rise over run, downhill positive.
#[must_use]
pub fn mean_falls(pieces: &[Triangle], frame: Frame) -> (f64, f64) {
    let (mut sum, mut whole) = ([0.0; 2], 0.0);
    for t in pieces {
        let [a, b, c] = t.place;
        let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
        let (zu, zv) = (t.height[1] - t.height[0], t.height[2] - t.height[0]);
        // The gradient times the doubled area, which is what weighs it.
        sum = [sum[0] + zu * v[1] - zv * u[1], sum[1] + u[0] * zv - v[0] * zu];
        whole += t.doubled_area();
    }
    frame.direction(sum.map(|s| if whole > 0.0 { -s / whole * MICRO } else { 0.0 }))
}
