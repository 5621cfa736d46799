//! What do two triangles share, and how much earth is between them there?
//!
//! The kernel. One triangle T is the frame: a corner of a piece is held in T's barycentric coordinates together with the
//! difference d of the two heights, which is linear on the piece, so clipping carries it along for nothing.
//! Every edge of a piece remembers which line it lies on; the sweep asks for that to know where to go on.
//!
//! Method: Sutherland and Hodgman 1974 for the clipping (in where the function is >= 0: ties are in); the prism
//! formula V = A (d1 + d2 + d3) / 3 and its split at the zero line,
//! V1 = A |d1|^3 / (3 |d1 - d2| |d1 - d3|) for one corner of unlike sign (by integration; checked in `tests/published`).
//!
//! Signs: d > 0 is `above`. Swapping the surfaces swaps `above` and `below` to the last bit.

/// A corner of a piece.
#[derive(Clone, Copy, Debug, Default)]
pub struct Corner {
    /// Barycentric coordinates in the triangle that is the frame.
    pub l: [f64; 3],
    /// Difference of heights.
    pub d: f64,
}

/// Most corners a piece can have: triangle by triangle (6), by a region's triangle (9), by two depths (11).
const MOST: usize = 16;
/// Numbers of corners wrap at this, so that the compiler sees them stay inside.
const WITHIN: usize = MOST - 1;
/// Most corners two triangles can share: worked on all at once, without a branch at every corner.
const FEW: usize = 6;

/// A convex piece.
#[derive(Clone, Copy, Debug)]
pub struct Poly {
    corner: [Corner; MOST],
    /// Four bits for the edge that begins at each corner, all set behind the last.
    edge: u64,
    len: usize,
}

impl Default for Poly {
    fn default() -> Self {
        Self { corner: [Corner::default(); MOST], edge: u64::MAX, len: 0 }
    }
}

impl Poly {
    /// A triangle, its edges 0 to 2.
    #[must_use]
    pub fn triangle(corners: [Corner; 3]) -> Self {
        let mut out = Self::default();
        out.set(corners.each_ref());
        out
    }

    /// Becomes a triangle.
    #[inline]
    pub(super) fn set(&mut self, corners: [&Corner; 3]) {
        for (own, corner) in self.corner.iter_mut().zip(corners) {
            *own = *corner;
        }
        // The edge that begins at corner k is opposite corner k + 2.
        self.edge = u64::MAX << 12 | 0x102;
        self.len = 3;
    }

    /// Becomes that piece.
    #[inline]
    pub(super) fn copy(&mut self, other: &Self) {
        self.corner[..other.len].copy_from_slice(other.corners());
        (self.edge, self.len) = (other.edge, other.len);
    }

    /// The corners in order.
    #[must_use]
    #[inline]
    pub fn corners(&self) -> &[Corner] {
        &self.corner[..self.len]
    }

    /// Which line the edge that begins at a corner lies on: 0-2 the swept triangle's edges (opposite its corner of that number),
    /// 3-5 the frame triangle's, then whatever clips said (up to 15).
    #[must_use]
    #[inline]
    pub fn edge(&self, corner: usize) -> u8 {
        (self.edge >> (4 * corner) & 15) as u8
    }

    /// Bit k: whether line k bounds it.
    #[inline]
    pub(super) fn bounds(&self) -> u32 {
        let (mut lines, mut edge) = (0, self.edge);
        for _ in 0..if self.len <= FEW { FEW } else { MOST } {
            lines |= 1 << (edge & 15);
            edge >>= 4;
        }
        lines
    }

    /// Keeps the part where `f`, linear over the piece, is not negative; the new edge lies on line `edge`.
    /// `settle` may put a new corner exactly on that line.
    #[must_use]
    pub fn clipped(&self, edge: u8, f: impl Fn(&Corner) -> f64, settle: impl Fn(&mut Corner)) -> Self {
        let outside = self.corners().iter().filter(|c| f(c) < 0.0).count();
        if outside == 0 {
            return *self;
        }
        let mut out = Self::default();
        if outside < self.len {
            self.clip_into::<FEW>(&mut out, edge, f, settle);
        }
        out
    }

    /// The same into a piece whose memory is there already, of up to `N` corners at speed. Corners inside stand in one row, so but two
    /// edges cross the line: found by bits, without a branch at every corner.
    #[inline(always)]
    pub(super) fn clip_into<const N: usize>(
        &self,
        out: &mut Self,
        edge: u8,
        f: impl Fn(&Corner) -> f64,
        settle: impl Fn(&mut Corner),
    ) {
        let n = self.len;
        let mut inside = 0_u32;
        // What lies behind the last corner does no harm: its bits are cut off.
        for (k, corner) in self.corner[..N].iter().enumerate() {
            inside |= u32::from(f(corner) >= 0.0) << k;
        }
        let all = (1_u32 << n) - 1;
        inside &= all;
        let before = (inside << 1 | inside >> (n.max(1) - 1)) & all;
        let (enter, leave) = (inside & !before, before & !inside);
        if enter == 0 || enter & (enter - 1) != 0 || n > N {
            self.clip_by_edges(out, edge, f, settle);
            return;
        }
        let cross = |k: usize, to: usize| {
            let (a, b) = (&self.corner[k & WITHIN], &self.corner[to & WITHIN]);
            let mut x = between(a, b, f(a), f(b));
            settle(&mut x);
            x
        };
        // The first inside, and the first outside behind it.
        let (first, end) = (enter.trailing_zeros() as usize, leave.trailing_zeros() as usize);
        let before = |k: usize| if k == 0 { n - 1 } else { k - 1 };
        let (last_outside, last) = (before(first), before(end));
        let count = if end > first { end - first } else { end + n - first };
        // As many as there may be are copied, and those too many written over or never seen.
        for k in 0..N - 1 {
            let from = if first + k < n { first + k } else { first + k - n };
            out.corner[k + 1] = self.corner[from & WITHIN];
        }
        out.corner[0] = cross(last_outside, first);
        out.corner[(count + 1) & WITHIN] = cross(last, end);
        // Entering, the new edge runs along the old one; leaving, along the clip line.
        let own = self.edge & ((1 << (4 * n)) - 1);
        let turned = own >> (4 * last_outside) | own << (4 * (n - last_outside));
        let end = 4 * (count + 1);
        out.edge = turned & ((1 << end) - 1) | u64::from(edge) << end | u64::MAX << end << 4;
        out.len = count + 2;
    }

    /// Corner by corner: for pieces that rounding has bent, those all inside or outside, and those of many corners.
    #[cold]
    fn clip_by_edges(&self, out: &mut Self, edge: u8, f: impl Fn(&Corner) -> f64, settle: impl Fn(&mut Corner)) {
        (out.len, out.edge) = (0, u64::MAX);
        for k in 0..self.len {
            let next = if k + 1 == self.len { 0 } else { k + 1 };
            let (a, b) = (&self.corner[k], &self.corner[next]);
            let (fa, fb) = (f(a), f(b));
            if fa >= 0.0 {
                out.push(*a, self.edge(k));
            }
            if (fa >= 0.0) != (fb >= 0.0) {
                let mut x = between(a, b, fa, fb);
                settle(&mut x);
                out.push(x, if fa >= 0.0 { edge } else { self.edge(k) });
            }
        }
    }

    /// Its area as a part of the unit triangle.
    pub(super) fn area(&self) -> f64 {
        let Some((a, rest)) = self.corners().split_first() else { return 0.0 };
        let doubled =
            |b: &Corner, c: &Corner| (b.l[1] - a.l[1]) * (c.l[2] - a.l[2]) - (b.l[2] - a.l[2]) * (c.l[1] - a.l[1]);
        rest.windows(2).map(|w| doubled(&w[0], &w[1])).sum::<f64>() / 2.0
    }

    /// The same piece with every difference so much greater.
    #[must_use]
    pub fn raised(&self, by: f64) -> Self {
        let mut out = *self;
        for c in &mut out.corner[..out.len] {
            c.d += by;
        }
        out
    }

    #[inline]
    fn push(&mut self, c: Corner, edge: u8) {
        if self.len < MOST {
            self.corner[self.len] = c;
            let at = 4 * self.len;
            self.edge = self.edge & !(15 << at) | u64::from(edge) << at;
            self.len += 1;
        }
    }
}

/// Where a linear function that is `fa` at a and `fb` at b, of unlike sign, is zero. The same place from either end.
#[inline]
fn between(a: &Corner, b: &Corner, fa: f64, fb: f64) -> Corner {
    let (fa, fb) = (fa.abs(), fb.abs());
    let whole = fa + fb;
    let (wa, wb) = (fb / whole, fa / whole);
    let mix = |p: f64, q: f64| p * wa + q * wb;
    Corner { l: [mix(a.l[0], b.l[0]), mix(a.l[1], b.l[1]), mix(a.l[2], b.l[2])], d: mix(a.d, b.d) }
}

/// What is in a piece. Areas are parts of the unit triangle (a whole triangle is 1/2); volumes that times height.
#[derive(Clone, Copy, Debug, Default)]
pub struct Piece {
    /// Area.
    pub area: f64,
    /// Volume where d > 0.
    pub above: f64,
    /// Volume where d < 0, positive.
    pub below: f64,
    /// Area where d > 0.
    pub area_above: f64,
    /// Area where d < 0.
    pub area_below: f64,
    /// Greatest d, at least 0.
    pub most: f64,
    /// Greatest -d, at least 0.
    pub least: f64,
}

/// Adds up a piece, fanned from its first corner and split where d is zero.
#[must_use]
#[inline(always)]
pub fn integrate(poly: &Poly) -> Piece {
    let mut sum = Piece::default();
    let Some(last) = poly.len.checked_sub(1) else { return sum };
    let corner = |k: usize| &poly.corner[k.min(last) & WITHIN];
    let first = corner(0);
    let fan = |b: &Corner, c: &Corner| {
        0.5 * ((b.l[0] - first.l[0]) * (c.l[1] - first.l[1]) - (b.l[1] - first.l[1]) * (c.l[0] - first.l[0]))
    };
    let mut net = 0.0;
    (sum.most, sum.least) = (first.d, first.d);
    let mut add = |b: &Corner, c: &Corner| {
        let area = fan(b, c);
        sum.area += area;
        net += area * (first.d + b.d + c.d);
        sum.most = greater(greater(b.d, c.d), sum.most);
        sum.least = lesser(lesser(b.d, c.d), sum.least);
    };
    // Behind the last corner comes the last corner again, and no area.
    for k in 1..FEW - 1 {
        add(corner(k), corner(k + 1));
    }
    for k in FEW - 1..last {
        add(corner(k), corner(k + 1));
    }
    (sum.most, sum.least) = (greater(sum.most, 0.0), greater(-sum.least, 0.0));
    if sum.most > 0.0 && sum.least > 0.0 {
        sum.area = 0.0;
        for k in 1..last {
            let (b, c) = (corner(k), corner(k + 1));
            prism(fan(b, c), [first.d, b.d, c.d], &mut sum);
        }
        return sum;
    }
    // On one side throughout, as most pieces are.
    let volume = net * (1.0 / 3.0);
    let place = if volume == 0.0 { 0.0 } else { sum.area };
    if sum.least > 0.0 {
        (sum.below, sum.area_below) = (-volume, place);
    } else {
        (sum.above, sum.area_above) = (volume, place);
    }
    sum
}

/// The greater of two numbers that are numbers.
#[inline]
fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The lesser of them.
#[inline]
fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// One triangle of that area with those differences at its corners.
fn prism(area: f64, d: [f64; 3], sum: &mut Piece) {
    sum.area += area;
    let net = area * (d[0] + d[1] + d[2]) / 3.0;
    if d.iter().all(|&v| v >= 0.0) {
        sum.above += net;
        sum.area_above += if d == [0.0; 3] { 0.0 } else { area };
    } else if d.iter().all(|&v| v <= 0.0) {
        sum.below -= net;
        sum.area_below += area;
    } else {
        let positive = d.iter().filter(|&&v| v > 0.0).count();
        // With one corner at zero either of the other two is alone on its side; take the upper one.
        let lone = (0..3).find(|&k| if positive == 1 { d[k] > 0.0 } else { d[k] < 0.0 }).unwrap_or(0);
        let (a, b, c) = (d[lone], d[(lone + 1) % 3], d[(lone + 2) % 3]);
        let part = area * (a / (a - b)) * (a / (a - c));
        let volume = part * a.abs() / 3.0;
        if a > 0.0 {
            sum.above += volume;
            sum.below += volume - net;
            sum.area_above += part;
            sum.area_below += area - part;
        } else {
            sum.below += volume;
            sum.above += volume + net;
            sum.area_below += part;
            sum.area_above += area - part;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(d: [f64; 3]) -> Piece {
        let at = |l, d| Corner { l, d };
        integrate(&Poly::triangle([at([1.0, 0.0, 0.0], d[0]), at([0.0, 1.0, 0.0], d[1]), at([0.0, 0.0, 1.0], d[2])]))
    }

    #[test]
    fn swapping_the_sign_swaps_above_and_below_to_the_last_bit() {
        for d in
            [[1.0, -1.0, -2.0], [2.0, 1.0, -1.0], [0.5, -0.5, 0.0], [0.3, 0.1, 0.7], [0.0, 0.0, 0.0], [1e-9, -3.0, 0.1]]
        {
            let (p, q) = (of(d), of(d.map(|v| -v)));
            assert_eq!(p.above.to_bits(), q.below.to_bits(), "{d:?}");
            assert_eq!(p.below.to_bits(), q.above.to_bits(), "{d:?}");
            assert_eq!(p.area_above.to_bits(), q.area_below.to_bits(), "{d:?}");
            assert_eq!((p.most, p.least), (q.least, q.most), "{d:?}");
        }
    }

    #[test]
    fn a_split_triangle_by_cutting_it_first() {
        let at = |l, d| Corner { l, d };
        for d in [[1.0, -1.0, -2.0], [2.0, 1.0, -1.0], [3.0, 0.0, -3.0]] {
            let whole =
                Poly::triangle([at([1.0, 0.0, 0.0], d[0]), at([0.0, 1.0, 0.0], d[1]), at([0.0, 0.0, 1.0], d[2])]);
            let up = integrate(&whole.clipped(9, |c| c.d, |c| c.d = 0.0));
            let all = integrate(&whole);
            assert!((up.above - all.above).abs() < 1e-15 && up.below == 0.0, "{d:?}");
            assert!((up.area - all.area_above).abs() < 1e-15, "{d:?}");
        }
    }
}
