//! Does the dig come too near to what must be kept off?
//!
//! On the exact pieces of the dig. A circle's share of a piece is by sectors and triangles edge by edge, no polygon in
//! its place. Below a falling line from a footing the distance to the line counts; along a straight edge the height over that line
//! is convex, so its least value is found by bisection of thirds.

use super::{SQUARE, Walker};
use crate::shots::MICRO;
use crate::surface::{Region, Surface, Triangle, integrate, off, sub};

/// Convex pieces of ground that are dug, in the frame, with the ground's height at each corner.
#[derive(Clone, Debug, Default)]
pub struct Dug {
    /// Corners and, at each, the ground and the floor.
    pub pieces: Vec<Vec<([f64; 2], f64, f64)>>,
}

/// Pieces below this many square millionths are none.
const NOTHING: f64 = 1.0;

impl Dug {
    /// Where the floor lies below the ground, and all of it where topsoil must come out.
    #[must_use]
    pub fn of(
        existing: &Surface,
        limit: Option<&Region>,
        floor: impl Iterator<Item = Triangle>,
        topsoil_may_stay: bool,
    ) -> Self {
        let mut walker = Walker::new(existing, limit);
        let mut pieces = Vec::new();
        for t in floor {
            let [h0, h1, h2] = t.height;
            walker.over(&t, |poly| {
                let part = if topsoil_may_stay { poly.clipped(9, |c| -c.d, |c| c.d = 0.0) } else { *poly };
                // A hair that only touches is no dug ground, and every place would lie "inside" it.
                if integrate(&part).area * t.doubled_area() > NOTHING {
                    let corner = part.corners().iter().map(|c| {
                        let floor = h0 + c.l[1] * (h1 - h0) + c.l[2] * (h2 - h0);
                        (t.at(c.l), floor - c.d, floor)
                    });
                    pieces.push(corner.collect());
                }
            });
        }
        Self { pieces }
    }

    /// Dug area inside a circle, square job units.
    #[must_use]
    pub fn in_circle(&self, middle: [f64; 2], radius: f64) -> f64 {
        let edges = self.pieces.iter().flat_map(|p| (0..p.len()).map(move |k| (p[k].0, p[(k + 1) % p.len()].0)));
        edges.map(|(a, b)| sector(sub(a, middle), sub(b, middle), radius)).sum::<f64>() / SQUARE
    }

    /// Least height of what is dug to over a line that falls from `bottom` by `rise` in `run` away from a stretch of line;
    /// what is dug to is the lower of the floor plus `stop_above` and, where topsoil must come out, the ground less `strip`.
    #[must_use]
    pub fn over_line(
        &self,
        line: &[[f64; 2]],
        bottom: f64,
        fall: f64,
        stop_above: f64,
        strip: Option<f64>,
    ) -> Option<f64> {
        let away = |p: [f64; 2]| {
            let stretches = line.windows(2).map(|w| off(p, w[0], w[1]));
            stretches.fold(f64::INFINITY, f64::min) / MICRO
        };
        let mut least: Option<f64> = None;
        for piece in &self.pieces {
            for k in 0..piece.len() {
                let (a, b) = (&piece[k], &piece[(k + 1) % piece.len()]);
                let over = |part: f64| {
                    let mix = |p: f64, q: f64| p + part * (q - p);
                    let at = [mix(a.0[0], b.0[0]), mix(a.0[1], b.0[1])];
                    let to_floor = mix(a.2, b.2) + stop_above;
                    let to = strip.map_or(to_floor, |s| to_floor.min(mix(a.1, b.1) - s));
                    to - bottom + away(at) * fall
                };
                // Nowhere on the edge is it nearer than its ends less half of what lies between them, nor dug deeper than
                // at an end: most edges are too far off to matter.
                let (at_a, at_b) = (over(0.0), over(1.0));
                let between = sub(b.0, a.0);
                let run = between[0].hypot(between[1]) / MICRO;
                let (far_a, far_b) = (away(a.0), away(b.0));
                let nearest = ((far_a + far_b - run) / 2.0).max(0.0);
                let lowest = (at_a - far_a * fall).min(at_b - far_b * fall) + nearest * fall;
                if least.is_some_and(|l| lowest >= l) {
                    continue;
                }
                let here = least_of(over);
                least = Some(least.map_or(here, |l| l.min(here)));
            }
        }
        least
    }

    /// Least distance of the dug ground to a line, job units; 0 where the line runs through it.
    #[must_use]
    pub fn distance(&self, line: &[[f64; 2]]) -> Option<f64> {
        let mut least: Option<f64> = None;
        for piece in &self.pieces {
            let ring: Vec<[f64; 2]> = piece.iter().map(|c| c.0).collect();
            for w in line.windows(2) {
                let d = apart(&ring, w[0], w[1]) / MICRO;
                least = Some(least.map_or(d, |l: f64| l.min(d)));
            }
        }
        least
    }
}

/// Distance of a convex piece to a stretch of line.
fn apart(ring: &[[f64; 2]], a: [f64; 2], b: [f64; 2]) -> f64 {
    let cross = |o: [f64; 2], p: [f64; 2], q: [f64; 2]| (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
    let inside = |p: [f64; 2]| (0..ring.len()).all(|k| cross(ring[k], ring[(k + 1) % ring.len()], p) >= 0.0);
    let mut least = if inside(a) { 0.0 } else { f64::INFINITY };
    for k in 0..ring.len() {
        let (p, q) = (ring[k], ring[(k + 1) % ring.len()]);
        let crosses = cross(a, b, p) * cross(a, b, q) <= 0.0 && cross(p, q, a) * cross(p, q, b) <= 0.0;
        let parallel = cross(a, b, p) == 0.0 && cross(a, b, q) == 0.0;
        let near =
            if crosses && !parallel { 0.0 } else { off(a, p, q).min(off(b, p, q)).min(off(p, a, b)).min(off(q, a, b)) };
        least = least.min(near);
    }
    least
}

/// Least value of a function that is the lower of two convex ones along 0 to 1: looked for from a few starts.
fn least_of(f: impl Fn(f64) -> f64) -> f64 {
    const PARTS: u8 = 8;
    let mut least = f(0.0).min(f(1.0));
    for k in 0..PARTS {
        let (mut low, mut high) = (f64::from(k) / f64::from(PARTS), f64::from(k + 1) / f64::from(PARTS));
        for _ in 0..60 {
            let (p, q) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
            if f(p) <= f(q) { high = q } else { low = p }
        }
        least = least.min(f(low));
    }
    least
}

/// Signed area of the triangle from the middle of a circle over an edge, as far as it lies inside the circle.
fn sector(a: [f64; 2], b: [f64; 2], radius: f64) -> f64 {
    let d = sub(b, a);
    let (dd, ad, aa) = (d[0] * d[0] + d[1] * d[1], a[0] * d[0] + a[1] * d[1], a[0] * a[0] + a[1] * a[1]);
    let slice =
        |p: [f64; 2], q: [f64; 2]| radius * radius * (p[0] * q[1] - p[1] * q[0]).atan2(p[0] * q[0] + p[1] * q[1]) / 2.0;
    let half = |p: [f64; 2], q: [f64; 2]| (p[0] * q[1] - p[1] * q[0]) / 2.0;
    let under = ad * ad - dd * (aa - radius * radius);
    if dd == 0.0 || under <= 0.0 {
        return slice(a, b);
    }
    let (s, t) = ((-ad - under.sqrt()) / dd, (-ad + under.sqrt()) / dd);
    if t <= 0.0 || s >= 1.0 {
        return slice(a, b);
    }
    let at = |k: f64| [a[0] + k * d[0], a[1] + k * d[1]];
    let (enter, leave) = (if s > 0.0 { at(s) } else { a }, if t < 1.0 { at(t) } else { b });
    let before = if s > 0.0 { slice(a, enter) } else { 0.0 };
    let after = if t < 1.0 { slice(leave, b) } else { 0.0 };
    before + half(enter, leave) + after
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, s: f64) -> Dug {
        let corner = |dx: f64, dy: f64| ([(x + dx) * MICRO, (y + dy) * MICRO], 10.0, 9.0);
        Dug { pieces: vec![vec![corner(0.0, 0.0), corner(s, 0.0), corner(s, s), corner(0.0, s)]] }
    }

    #[test]
    fn a_circle_inside_across_and_around_a_square() {
        let pi = std::f64::consts::PI;
        let r = 2.0 * MICRO;
        assert!((square(-5.0, -5.0, 10.0).in_circle([0.0; 2], r) - 4.0 * pi).abs() < 1e-12);
        assert!((square(0.0, 0.0, 10.0).in_circle([0.0; 2], r) - pi).abs() < 1e-12);
        assert!((square(0.0, -5.0, 10.0).in_circle([0.0; 2], r) - 2.0 * pi).abs() < 1e-12);
        assert!((square(-1.0, -1.0, 2.0).in_circle([0.0; 2], r) - 4.0).abs() < 1e-12);
        assert!(square(3.0, 3.0, 2.0).in_circle([0.0; 2], r).abs() < 1e-12);
        // A segment: r^2 acos(h/r) - h sqrt(r^2 - h^2), h = 1.
        let segment = 4.0 * (0.5_f64).acos() - 3.0_f64.sqrt();
        assert!((square(1.0, -5.0, 10.0).in_circle([0.0; 2], r) - segment).abs() < 1e-12);
    }

    #[test]
    fn distances_and_heights_over_a_footing_line() {
        let line = [[0.0, 0.0], [0.0, 20.0 * MICRO]];
        assert_eq!(square(3.0, 2.0, 4.0).distance(&line), Some(3.0));
        assert_eq!(square(-1.0, 2.0, 4.0).distance(&line), Some(0.0));
        let over = square(3.0, 2.0, 4.0).over_line(&line, 8.0, 1.0, 0.25, None);
        assert!((over.unwrap_or(f64::NAN) - (9.25 - 8.0 + 3.0)).abs() < 1e-9);
        let stripped = square(0.0, 2.0, 4.0).over_line(&line, 8.0, 1.0, 0.0, Some(1.5));
        assert!((stripped.unwrap_or(f64::NAN) - 0.5).abs() < 1e-9);
    }
}
