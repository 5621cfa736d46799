//! Which triangles of a net lie under this one, and what do they share with it?
//!
//! Begin at one triangle that overlaps, clip it, and go on over just those of its edges that still bound the piece.
//! A triangle that the net covers wholly must be covered to 1/2 in its own coordinates: checked every time, and gone over
//! again by brute neighbourhood where rounding hid a narrow passage.

use super::locate::Walked;
use super::{Corner, Net, OPEN, Poly, cross, index, sub, turn};

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

    /// A place in its barycentric coordinates, `d` the height of the triangle's plane there over `z`. At a corner all is exact, so that
    /// where two nets share shots nothing lies between them. `whole`: one over twice its area.
    #[inline(always)]
    fn over(&self, p: [f64; 2], z: f64, whole: f64) -> Corner {
        let ([a, b, c], h) = (self.place, self.height);
        let mut l = [
            cross(sub(c, b), sub(p, b)) * whole,
            cross(sub(a, c), sub(p, c)) * whole,
            cross(sub(b, a), sub(p, a)) * whole,
        ];
        let mut up = h[0] + l[1] * (h[1] - h[0]) + l[2] * (h[2] - h[0]);
        // Two of them are zero, and exactly so, at the corners only.
        if u8::from(l[0] == 0.0) + u8::from(l[1] == 0.0) + u8::from(l[2] == 0.0) > 1 {
            for (k, &z) in h.iter().enumerate().filter(|&(k, _)| p == self.place[k]) {
                l = [0, 1, 2].map(|i| if i == k { 1.0 } else { 0.0 });
                up = z;
            }
        }
        Corner { l, d: up - z }
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

/// A corner of the net in the frame of the triangle that is swept, and on which side of its lines it lies. Whole words, for it is
/// copied much.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    corner: Corner,
    /// Bits 0 to 2: beyond that line of the frame; bits 3 to 5: beyond it or on it.
    sides: u64,
}

/// A triangle of the net to go on to: the one it was come from, and which of the corners seen the side between has.
#[derive(Clone, Copy, Debug, Default)]
struct Next {
    triangle: u32,
    from: u32,
    known: [u32; 2],
}

/// Memory of a sweep over one net: one per thread.
#[derive(Debug)]
pub struct Sweep<'a> {
    net: &'a Net,
    stamp: Vec<u32>,
    turn: u32,
    /// Still to be looked at: the first so many.
    stack: Vec<Next>,
    waiting: usize,
    /// Corners of the net near the triangle that is swept.
    seen: Vec<Seen>,
    /// Where the last piece was, or [`OPEN`].
    hint: u32,
    rim: Vec<[[f64; 2]; 2]>,
    /// Where pieces are clipped, in turn.
    poly: [Poly; 2],
    /// Pieces found, in memory that is used again for every triangle.
    pieces: Vec<(u32, Poly)>,
    along: [u32; 3],
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
            waiting: 0,
            seen: Vec::new(),
            hint: OPEN,
            rim: Vec::new(),
            poly: [Poly::default(); 2],
            pieces: Vec::new(),
            along: [OPEN; 3],
        }
    }

    /// Forgets where it was, so that what follows does not depend on what came before.
    pub fn restart(&mut self) {
        self.hint = OPEN;
    }

    /// Calls `visit` with every triangle of the net that shares area with `t`, its part of `t`, d = height of `t` less `height` of
    /// the net's vertices; returns how far the parts fail to make up what the net covers of `t` (0 to 1/2; 0 for a net that is not convex).
    pub fn over(&mut self, t: &Triangle, height: impl Fn(u32) -> f64, mut visit: impl FnMut(u32, &Poly)) -> f64 {
        let mut pieces = std::mem::take(&mut self.pieces);
        let (found, gap) = self.add_up(t, None, height, |found: &mut usize, u, poly| {
            let area = poly.area();
            if area > 0.0 {
                if *found == pieces.len() {
                    pieces.push((u, Poly::default()));
                }
                let (number, piece) = &mut pieces[*found];
                *number = u;
                piece.copy(poly);
                *found += 1;
            }
            area
        });
        for (u, poly) in &pieces[..found] {
            visit(*u, poly);
        }
        self.pieces = pieces;
        gap
    }

    /// The same where each piece is added to a sum as soon as it is found; `add` also tells its area (a whole triangle is 1/2). Where
    /// the parts fail to make up the whole, the sum is begun anew. `from`: a triangle of the net that may share area with `t`.
    pub fn add_up<S: Default>(
        &mut self,
        t: &Triangle,
        from: Option<u32>,
        height: impl Fn(u32) -> f64,
        mut add: impl FnMut(&mut S, u32, &Poly) -> f64,
    ) -> (S, f64) {
        self.along = [OPEN; 3];
        let doubled = t.doubled_area();
        if doubled <= 0.0 {
            return (S::default(), 0.0);
        }
        let mut go = |sweep: &mut Self, seed, brute| {
            let mut sum = S::default();
            let covered = sweep.flood(t, doubled, seed, &height, brute, |u, poly| add(&mut sum, u, poly));
            let gap = if sweep.net.convex { (sweep.expected(t, doubled) - covered).abs() } else { 0.0 };
            (sum, covered, gap)
        };
        if let Some(seed) = from {
            let (sum, covered, gap) = go(self, seed, false);
            if covered > 0.0 && gap <= CLOSED {
                return (sum, gap);
            }
        }
        let Some(seed) = self.seed(t) else { return (S::default(), 0.0) };
        let (mut sum, _, mut gap) = go(self, seed, false);
        if gap > CLOSED {
            (sum, _, gap) = go(self, seed, true);
        }
        (sum, gap)
    }

    /// For each side of the triangle swept last, a triangle of the net that lies along it on this side, and so most likely goes on
    /// beyond it.
    #[must_use]
    pub fn along(&self) -> [Option<u32>; 3] {
        self.along.map(|t| (t != OPEN).then_some(t))
    }

    /// Every piece, from one triangle to the next; returns the area of all. `brute`: also over sides that bound no piece.
    fn flood(
        &mut self,
        t: &Triangle,
        doubled: f64,
        seed: u32,
        height: &impl Fn(u32) -> f64,
        brute: bool,
        mut add: impl FnMut(u32, &Poly) -> f64,
    ) -> f64 {
        self.begin();
        let (net, whole) = (self.net, 1.0 / doubled);
        self.stamp[seed as usize] = self.turn;
        let mut covered = 0.0;
        // The first has been come into over no side: all three corners are new, and all three sides may be gone over.
        for v in net.corners(seed) {
            self.see(t.over(net.place(v), height(v), whole));
        }
        let mut known = [0, 1, 2];
        let (mut triangle, mut from, mut first) = (seed, OPEN, 0);
        let mut beside = net.beside[seed as usize];
        loop {
            let [o, p, q] = known;
            let poly = clip(&mut self.poly, known.map(|k| &self.seen[k as usize]));
            let area = poly.map_or(0.0, |poly| add(triangle, poly));
            let place = |side: usize| net.place(net.corners(triangle)[TURN[first + side]]);
            if area > 0.0 || (brute && t.meets([place(0), place(1), place(2)])) {
                covered += area;
                let bounds = if brute { 0b111 } else { poly.map_or(0, Poly::bounds) };
                for (k, along) in self.along.iter_mut().enumerate() {
                    // All bits where that line bounds the piece: by a branch every other guess would be wrong.
                    let bound = (bounds >> (k + 3) & 1).wrapping_neg();
                    *along = *along & !bound | triangle & bound;
                }
                if self.stack.len() < self.waiting + 3 {
                    self.stack.resize(self.waiting * 2 + 3, Next::default());
                }
                // Corners of each side as the triangle beyond goes round it.
                self.go_on(bounds, 1, [triangle, beside[TURN[first + 1]]], [o, q]);
                self.go_on(bounds, 2, [triangle, beside[TURN[first + 2]]], [p, o]);
                if from == OPEN {
                    self.go_on(bounds, 0, [triangle, beside[TURN[first]]], [q, p]);
                }
                self.hint = if area > 0.0 { triangle } else { self.hint };
            }
            if self.waiting == 0 {
                return covered;
            }
            self.waiting -= 1;
            let next = &self.stack[self.waiting];
            (triangle, from) = (next.triangle, next.from);
            known = [index(self.seen.len()), next.known[0], next.known[1]];
            beside = net.beside[triangle as usize];
            first = usize::from(beside[1] == from) + 2 * usize::from(beside[2] == from);
            let v = net.corners(triangle)[first];
            self.see(t.over(net.place(v), height(v), whole));
        }
    }

    /// Over a side, if it bounds a piece, to a triangle that was not yet looked at.
    #[inline(always)]
    fn go_on(&mut self, bounds: u32, side: usize, [from, next]: [u32; 2], known: [u32; 2]) {
        let bound = bounds >> side & 1 == 1;
        if next == OPEN {
            if bound {
                self.met_rim(from);
            }
            return;
        }
        // Put down in any case and counted only if new: whether it is cannot be guessed.
        let stamp = &mut self.stamp[next as usize];
        let new = bound & (*stamp != self.turn);
        *stamp = if new { self.turn } else { *stamp };
        self.stack[self.waiting] = Next { triangle: next, from, known };
        self.waiting += usize::from(new);
    }

    /// The net lies within each of its sides, so one too many does no harm.
    #[cold]
    fn met_rim(&mut self, triangle: u32) {
        let place = self.net.corners(triangle).map(|v| self.net.place(v));
        for side in (0..3).filter(|&side| self.net.across(triangle, side).is_none()) {
            self.rim.push([place[(side + 1) % 3], place[(side + 2) % 3]]);
        }
    }

    #[inline(always)]
    fn see(&mut self, corner: Corner) {
        self.seen.push(Seen { sides: sides_of(&corner), corner });
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
        self.waiting = 0;
        self.seen.clear();
        self.rim.clear();
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
            match self.net.walk(p, (self.hint != OPEN).then_some(self.hint)) {
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

/// Corners and sides in turn, from any of them.
const TURN: [usize; 5] = [0, 1, 2, 0, 1];

/// As [`Seen`] has them.
#[inline]
fn sides_of(c: &Corner) -> u64 {
    let [a, b, c] = c.l;
    u64::from(a < 0.0)
        | u64::from(b < 0.0) << 1
        | u64::from(c < 0.0) << 2
        | u64::from(a <= 0.0) << 3
        | u64::from(b <= 0.0) << 4
        | u64::from(c <= 0.0) << 5
}

/// What a triangle with those corners shares with the one that is swept; nothing where it is no more than an edge.
#[inline]
fn clip<'p>(room: &'p mut [Poly; 2], corners: [&Seen; 3]) -> Option<&'p Poly> {
    let [a, b, c] = corners.map(|c| c.sides);
    // All beyond or on one side of the frame.
    if (a & b & c) >> 3 != 0 {
        return None;
    }
    // Where no corner is beyond a line, no part of the triangle is.
    let crossed = a | b | c;
    let [mut from, mut into] = room.each_mut();
    from.set(corners.map(|c| &c.corner));
    if crossed & 1 != 0 {
        from.clip_into::<3>(into, 3, |c| c.l[0], |c| c.l[0] = 0.0);
        (from, into) = (into, from);
    }
    if crossed & 2 != 0 {
        from.clip_into::<4>(into, 4, |c| c.l[1], |c| c.l[1] = 0.0);
        (from, into) = (into, from);
    }
    if crossed & 4 != 0 {
        from.clip_into::<5>(into, 5, |c| c.l[2], |c| c.l[2] = 0.0);
        from = into;
    }
    Some(from)
}
