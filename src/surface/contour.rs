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
        let on = Levels { surface: self, reached: self.height.iter().map(|&z| at_most(&levels, z)).collect() };
        // Crossings of triangle and level, numbered triangle by triangle, to tick off.
        let triangles = 0..index(self.net().triangles());
        let mut first = Vec::with_capacity(self.net().triangles());
        let mut crossings = 0_usize;
        for t in triangles.clone() {
            first.push(crossings);
            crossings += on.crossed(t).len();
        }
        let mut done = vec![false; crossings];
        let mut lines = Vec::new();
        for t in triangles {
            for (k, slot) in on.crossed(t).zip(first[t as usize]..) {
                if !done[slot] {
                    let tick = |u: u32| {
                        let at = first[u as usize] + (k - on.crossed(u).start) as usize;
                        done[at] = true;
                    };
                    lines.push((k, on.walk(t, k, levels[k as usize], tick)));
                }
            }
        }
        lines.sort_by_key(|&(k, _)| k);
        lines.into_iter().map(|(_, line)| line).collect()
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

/// How many of the sorted levels a height reaches.
fn at_most(levels: &[f64], z: f64) -> u32 {
    index(levels.partition_point(|&l| l <= z))
}

/// A surface and, for each vertex, how many of the levels it reaches: asked once, not at every triangle round it.
struct Levels<'a> {
    surface: &'a Surface,
    reached: Vec<u32>,
}

impl Levels<'_> {
    /// Which of the levels cross a triangle: above its least corner, not above its greatest.
    fn crossed(&self, t: u32) -> std::ops::Range<u32> {
        let [a, b, c] = self.surface.net().corners(t).map(|v| self.reached[v as usize]);
        a.min(b).min(c)..a.max(b).max(c)
    }

    /// Along level number `k` from triangle `t` both ways until the line closes or leaves the surface. `tick` marks a triangle.
    fn walk(&self, t: u32, k: u32, level: f64, mut tick: impl FnMut(u32)) -> Contour {
        let (surface, net) = (self.surface, self.surface.net());
        tick(t);
        // Uphill on the left: a line enters over the side whose ends go from below to above and leaves over the other.
        let mut points = vec![surface.on_side(t, self.side(t, k, false), level)];
        let mut at = t;
        let mut closed = false;
        loop {
            let side = self.side(at, k, true);
            points.push(surface.on_side(at, side, level));
            match net.across(at, side) {
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
            while let Some(next) = net.across(at, self.side(at, k, false)) {
                tick(next);
                back.push(surface.on_side(next, self.side(next, k, false), level));
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
    fn side(&self, t: u32, k: u32, out: bool) -> usize {
        let above = self.surface.net().corners(t).map(|v| self.reached[v as usize] > k);
        (0..3).find(|&s| above[(s + 1) % 3] == out && above[(s + 2) % 3] != out).unwrap_or(0)
    }
}
