//! Where does the surface stand at this height?
//!
//! Each line is walked through neighbouring triangles, so it comes out whole. Levels are half-open (a vertex at
//! the level counts as above), so a line never forks: at a vertex exactly at a level it goes on like any other.
//! A place on an edge is by proportion between its ends, always from the lower-numbered end, so both neighbours agree to the bit.
//! Known right by: published proportions, closed lengths on cones and planes, a triangle-by-triangle twin (`tests/`).

use super::{Surface, index};

/// One contour line.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// Height.
    pub level: f64,
    /// Places in the frame (millionths); a closed line ends where it began.
    pub points: Vec<[f64; 2]>,
    /// Whether it closes on itself; otherwise it ends at the edge of the surface.
    pub closed: bool,
}

impl Surface {
    /// All lines at these levels (any order, repeats count once), by level, then by the triangle they begin in.
    #[must_use]
    pub fn contours(&self, levels: &[f64]) -> Vec<Contour> {
        let mut levels: Vec<f64> = levels.iter().copied().filter(|l| l.is_finite()).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let net = self.net();
        // Crossings of triangle and level, numbered triangle by triangle, to tick off.
        let mut first = Vec::with_capacity(net.triangles() + 1);
        let mut crossings = 0_usize;
        for t in 0..index(net.triangles()) {
            first.push(crossings);
            crossings += self.crossed(t, &levels).len();
        }
        first.push(crossings);
        let mut done = vec![false; crossings];
        let mut lines = Vec::new();
        for t in 0..index(net.triangles()) {
            let range = self.crossed(t, &levels);
            for (k, slot) in range.clone().zip(first[t as usize]..) {
                if !done[slot] {
                    lines.push((
                        k,
                        self.walk(t, levels[k], |u| {
                            let at = first[u as usize] + (k - self.crossed(u, &levels).start);
                            std::mem::replace(&mut done[at], true)
                        }),
                    ));
                }
            }
        }
        lines.sort_by_key(|&(k, _)| k);
        lines.into_iter().map(|(_, line)| line).collect()
    }

    /// Which of the sorted levels cross a triangle: above its least corner, not above its greatest.
    fn crossed(&self, t: u32, levels: &[f64]) -> std::ops::Range<usize> {
        let z = self.heights(t);
        let low = z[0].min(z[1]).min(z[2]);
        let high = z[0].max(z[1]).max(z[2]);
        levels.partition_point(|&l| l <= low)..levels.partition_point(|&l| l <= high)
    }

    /// From triangle `t` both ways until the line closes or leaves the surface. `tick` marks a triangle and tells whether it was marked.
    fn walk(&self, t: u32, level: f64, mut tick: impl FnMut(u32) -> bool) -> Contour {
        tick(t);
        // Uphill on the left: a line enters over the side whose ends go from below to above and leaves over the other.
        let mut points = vec![self.on_side(t, self.side(t, level, false), level)];
        let mut at = t;
        let mut closed = false;
        loop {
            let side = self.side(at, level, true);
            points.push(self.on_side(at, side, level));
            match self.net().across(at, side) {
                Some(next) if next == t => {
                    closed = true;
                    break;
                }
                Some(next) => {
                    tick(next);
                    at = next;
                }
                None => break,
            }
        }
        if !closed {
            let mut back = Vec::new();
            at = t;
            while let Some(next) = self.net().across(at, self.side(at, level, false)) {
                tick(next);
                back.push(self.on_side(next, self.side(next, level, false), level));
                at = next;
            }
            back.reverse();
            back.append(&mut points);
            points = back;
        }
        points.dedup();
        if closed && points.len() > 1 && points.first() != points.last() {
            let first = points[0];
            points.push(first);
        }
        Contour { level, points, closed }
    }

    /// The side a line leaves over (`out`: from above to below, going counter-clockwise) or enters over (from below to above).
    fn side(&self, t: u32, level: f64, out: bool) -> usize {
        let above = self.heights(t).map(|z| z >= level);
        (0..3).find(|&s| above[(s + 1) % 3] == out && above[(s + 2) % 3] != out).unwrap_or(0)
    }

    fn on_side(&self, t: u32, side: usize, level: f64) -> [f64; 2] {
        let c = self.net().corners(t);
        let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
        let (a, b) = (a.min(b), a.max(b));
        let (p, q) = (self.net().place(a), self.net().place(b));
        let (za, zb) = (self.height(a), self.height(b));
        let part = (level - za) / (zb - za);
        [0, 1].map(|k| if part >= 1.0 { q[k] } else { p[k] + part * (q[k] - p[k]) })
    }
}
