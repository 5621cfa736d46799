//! Which triangles of a net lie under this one, and what do they share with it?
//!
//! Begin at one triangle that overlaps, clip it, and go on over just those of its edges that still bound the piece.
//! A triangle that the net covers wholly must be covered to 1/2 in its own coordinates: checked every time, and gone over
//! again by brute neighbourhood where rounding hid a narrow passage.

use super::locate::Walked;
use super::{Corner, Net, Poly, cross, sub, turn};

/// A triangle to sweep with, counter-clockwise in the frame of the net.
#[derive(Clone, Copy, Debug)]
pub struct Triangle {
    /// Corners.
    pub place: [[f64; 2]; 3],
    /// Height at each of them.
    pub height: [f64; 3],
}

impl Triangle {
    /// Twice its area, square millionths.
    #[must_use]
    pub fn doubled_area(&self) -> f64 {
        let [a, b, c] = self.place;
        cross(sub(b, a), sub(c, a))
    }

    /// A place in its barycentric coordinates, `d` the height of the triangle's plane there. At a corner all is exact, so that
    /// where two nets share shots nothing lies between them. `whole`: one over twice its area.
    #[inline]
    fn over(&self, p: [f64; 2], whole: f64) -> Corner {
        let ([a, b, c], h) = (self.place, self.height);
        let l = [
            cross(sub(c, b), sub(p, b)) * whole,
            cross(sub(a, c), sub(p, c)) * whole,
            cross(sub(b, a), sub(p, a)) * whole,
        ];
        // Two of them are zero, and exactly so, at the corners only.
        for (k, corner) in self.place.iter().enumerate() {
            if l[(k + 1) % 3] == 0.0 && l[(k + 2) % 3] == 0.0 && p == *corner {
                let mut l = [0.0; 3];
                l[k] = 1.0;
                return Corner { l, d: h[k] };
            }
        }
        Corner { l, d: h[0] + l[1] * (h[1] - h[0]) + l[2] * (h[2] - h[0]) }
    }

    /// The place with those coordinates.
    #[must_use]
    pub fn at(&self, l: [f64; 3]) -> [f64; 2] {
        let [a, b, c] = self.place;
        [0, 1].map(|k| a[k] + l[1] * (b[k] - a[k]) + l[2] * (c[k] - a[k]))
    }

    /// Whether the two have a point in common (separating lines; touching counts).
    fn meets(&self, other: [[f64; 2]; 3]) -> bool {
        let apart =
            |p: [[f64; 2]; 3], q: [[f64; 2]; 3]| (0..3).any(|k| q.iter().all(|&v| turn(p[k], p[(k + 1) % 3], v) < 0.0));
        !apart(self.place, other) && !apart(other, self.place)
    }
}

/// Memory of a sweep over one net: one per thread.
#[derive(Debug)]
pub struct Sweep<'a> {
    net: &'a Net,
    stamp: Vec<u32>,
    turn: u32,
    stack: Vec<u32>,
    hint: Option<u32>,
    rim: Vec<[[f64; 2]; 2]>,
    /// Pieces found, in memory that is used again for every triangle.
    pieces: Vec<(u32, Poly)>,
    found: usize,
    half_way: [Poly; 2],
}

/// How far the parts may fail to make up a covered triangle (half is whole) before it is gone over again.
const CLOSED: f64 = 1e-10;

impl<'a> Sweep<'a> {
    /// A sweep over that net.
    #[must_use]
    pub fn new(net: &'a Net) -> Self {
        Self {
            net,
            stamp: vec![0; net.triangles()],
            turn: 0,
            stack: Vec::new(),
            hint: None,
            rim: Vec::new(),
            pieces: Vec::new(),
            found: 0,
            half_way: [Poly::default(); 2],
        }
    }

    /// Forgets where it was, so that what follows does not depend on what came before.
    pub fn restart(&mut self) {
        self.hint = None;
    }

    /// Calls `visit` with every triangle of the net that shares area with `t`, its part of `t`, d = height of `t` less `height` of
    /// the net's vertices; returns how far the parts fail to make up what the net covers of `t` (0 to 1/2; 0 for a net that is not convex).
    pub fn over(&mut self, t: &Triangle, height: impl Fn(u32) -> f64, mut visit: impl FnMut(u32, &Poly)) -> f64 {
        let doubled = t.doubled_area();
        if doubled <= 0.0 {
            return 0.0;
        }
        let Some(seed) = self.seed(t) else { return 0.0 };
        let mut gap = self.flood(t, doubled, seed, &height, false);
        if gap > CLOSED {
            gap = self.flood(t, doubled, seed, &height, true);
        }
        let found = &self.pieces[..self.found];
        self.hint = found.last().map(|(u, _)| *u).or(self.hint);
        for (u, poly) in found {
            visit(*u, poly);
        }
        gap
    }

    fn flood(&mut self, t: &Triangle, doubled: f64, seed: u32, height: &impl Fn(u32) -> f64, brute: bool) -> f64 {
        self.begin();
        self.stack.push(seed);
        self.stamp[seed as usize] = self.turn;
        let (whole, mut covered) = (1.0 / doubled, 0.0);
        while let Some(u) = self.stack.pop() {
            let c = self.net.corners(u);
            let place = c.map(|v| self.net.place(v));
            let mut corners = [t.over(place[0], whole), t.over(place[1], whole), t.over(place[2], whole)];
            for (corner, v) in corners.iter_mut().zip(c) {
                corner.d -= height(v);
            }
            let area = self.shared(u, corners);
            if area <= 0.0 && !(brute && t.meets(place)) {
                continue;
            }
            let mut sides = 0b111;
            if area > 0.0 {
                covered += area;
                if !brute {
                    sides = self.pieces[self.found].1.bounds();
                }
                self.found += 1;
            }
            for side in (0..3).filter(|side| sides >> side & 1 == 1) {
                match self.net.across(u, side) {
                    // The net lies within each of its sides, so one too many does no harm.
                    None => self.rim.push([place[(side + 1) % 3], place[(side + 2) % 3]]),
                    Some(next) if self.stamp[next as usize] != self.turn => {
                        self.stamp[next as usize] = self.turn;
                        self.stack.push(next);
                    }
                    _ => {}
                }
            }
        }
        if self.net.convex { (self.expected(t, doubled) - covered).abs() } else { 0.0 }
    }

    /// Puts what a triangle with those corners shares with the one that is swept behind the pieces found, and tells its area
    /// (a whole triangle is 1/2).
    fn shared(&mut self, u: u32, corners: [Corner; 3]) -> f64 {
        let mut crossed = [0_u8; 3];
        let mut lines = 0;
        for line in [0_u8, 1, 2] {
            let k = usize::from(line);
            let l = [corners[0].l[k], corners[1].l[k], corners[2].l[k]];
            // All beyond or on one side of the frame: they share at most an edge.
            if l[0] <= 0.0 && l[1] <= 0.0 && l[2] <= 0.0 {
                return 0.0;
            }
            if l[0] < 0.0 || l[1] < 0.0 || l[2] < 0.0 {
                crossed[lines] = line;
                lines += 1;
            }
        }
        if self.found == self.pieces.len() {
            self.pieces.push((u, Poly::default()));
        }
        let (number, out) = &mut self.pieces[self.found];
        *number = u;
        // Where no corner is beyond a line, no part of the triangle is.
        let [one, other] = &mut self.half_way;
        let clip = |from: &Poly, into: &mut Poly, line: u8| {
            let k = usize::from(line);
            from.clip_into(into, line + 3, |c| c.l[k], |c| c.l[k] = 0.0);
        };
        match crossed[..lines] {
            [] => out.set(corners),
            [a] => {
                one.set(corners);
                clip(one, out, a);
            }
            [a, b] => {
                one.set(corners);
                clip(one, other, a);
                clip(other, out, b);
            }
            _ => {
                one.set(corners);
                clip(one, other, crossed[0]);
                clip(other, one, crossed[1]);
                clip(one, out, crossed[2]);
            }
        }
        out.area()
    }

    /// What a convex net covers of `t`: `t` less what lies beyond the rim it met.
    fn expected(&self, t: &Triangle, doubled: f64) -> f64 {
        if self.rim.is_empty() {
            return 0.5;
        }
        let unit = |k: usize| {
            let mut l = [0.0; 3];
            l[k] = 1.0;
            Corner { l, d: 0.0 }
        };
        let mut whole = Poly::triangle([unit(0), unit(1), unit(2)]);
        for [a, b] in &self.rim {
            let f = t.place.map(|p| cross(sub(*b, *a), sub(p, *a)) / doubled);
            whole = whole.clipped(0, |c| c.l[0] * f[0] + c.l[1] * f[1] + c.l[2] * f[2], |_| ());
        }
        whole.area()
    }

    fn begin(&mut self) {
        self.stack.clear();
        self.rim.clear();
        self.found = 0;
        self.turn += 1;
        if self.turn == u32::MAX {
            self.stamp.fill(0);
            self.turn = 1;
        }
    }

    /// A triangle of the net that meets `t`.
    fn seed(&self, t: &Triangle) -> Option<u32> {
        if !self.near(t) {
            return None;
        }
        let [a, b, c] = t.place;
        let middle = [0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0);
        for p in [middle, a, b, c] {
            match self.net.walk(p, self.hint) {
                Walked::In(u) => return Some(u),
                // All of it beyond one side of a convex net: they share nothing.
                Walked::Beyond(u, side) => {
                    let c = self.net.corners(u);
                    let (from, to) = (self.net.place(c[(side + 1) % 3]), self.net.place(c[(side + 2) % 3]));
                    if t.place.iter().all(|&p| turn(from, to, p) <= 0.0) {
                        return None;
                    }
                }
                Walked::Outside => {}
            }
        }
        // The net ends inside the triangle or only crosses its edges: then some triangle at its rim meets it.
        self.net.rim.iter().copied().find(|&u| t.meets(self.net.corners(u).map(|v| self.net.place(v))))
    }

    /// Whether the box of `t` meets the box of the net.
    fn near(&self, t: &Triangle) -> bool {
        let (low, high) = self.net.bounds();
        (0..2).all(|k| {
            let of = t.place.map(|p| p[k]);
            of.iter().any(|&v| v >= low[k]) && of.iter().any(|&v| v <= high[k])
        })
    }
}
