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
const MOST: usize = 12;

/// A convex piece.
#[derive(Clone, Copy, Debug, Default)]
pub struct Poly {
    corner: [Corner; MOST],
    edge: [u8; MOST],
    len: usize,
}

impl Poly {
    /// A triangle, its edges 0 to 2.
    #[must_use]
    pub fn triangle(corners: [Corner; 3]) -> Self {
        let mut out = Self::default();
        out.set(corners);
        out
    }

    /// Becomes a triangle.
    pub(super) fn set(&mut self, corners: [Corner; 3]) {
        self.corner[..3].copy_from_slice(&corners);
        // The edge that begins at corner k is opposite corner k + 2.
        self.edge[..3].copy_from_slice(&[2, 0, 1]);
        self.len = 3;
    }

    /// The corners in order.
    #[must_use]
    pub fn corners(&self) -> &[Corner] {
        &self.corner[..self.len]
    }

    /// Which line the edge that begins at each corner lies on: 0-2 the swept triangle's edges (opposite its corner of that number),
    /// 3-5 the frame triangle's, then whatever clips said.
    #[must_use]
    pub fn edges(&self) -> &[u8] {
        &self.edge[..self.len]
    }

    /// Bit k: whether line k bounds it.
    pub(super) fn bounds(&self) -> u32 {
        self.edges().iter().fold(0, |lines, &edge| lines | 1 << edge)
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
            self.clip_into(&mut out, edge, f, settle);
        }
        out
    }

    /// The same into a piece whose memory is there already. Corners inside stand in one row, so but two edges cross the line:
    /// found by bits, without a branch at every corner.
    #[inline]
    pub(super) fn clip_into(&self, out: &mut Self, edge: u8, f: impl Fn(&Corner) -> f64, settle: impl Fn(&mut Corner)) {
        let n = self.len;
        let (mut value, mut inside) = ([0.0; MOST], 0_u32);
        for (k, c) in self.corners().iter().enumerate() {
            value[k] = f(c);
            inside |= u32::from(value[k] >= 0.0) << k;
        }
        out.len = 0;
        if inside == 0 {
            return;
        }
        let before = (inside << 1 | inside >> (n - 1)) & ((1 << n) - 1);
        if (inside ^ before).count_ones() != 2 {
            self.clip_by_edges(out, edge, &value, settle);
            return;
        }
        let cross = |k: usize, to: usize| {
            let mut x = between(&self.corner[k], &self.corner[to], value[k], value[to]);
            settle(&mut x);
            x
        };
        let next = |k: usize| if k + 1 == n { 0 } else { k + 1 };
        // The first inside, and the first outside behind it.
        let (first, end) = ((inside & !before).trailing_zeros() as usize, (before & !inside).trailing_zeros() as usize);
        let last_outside = if first == 0 { n - 1 } else { first - 1 };
        // Entering, the new edge runs along the old one; leaving, along the clip line.
        out.push(cross(last_outside, first), self.edge[last_outside]);
        let (mut k, mut last) = (first, first);
        while k != end {
            out.push(self.corner[k], self.edge[k]);
            (k, last) = (next(k), k);
        }
        out.push(cross(last, end), edge);
    }

    /// Corner by corner: for pieces that rounding has bent, and for those all inside.
    fn clip_by_edges(&self, out: &mut Self, edge: u8, value: &[f64; MOST], settle: impl Fn(&mut Corner)) {
        for k in 0..self.len {
            let next = if k + 1 == self.len { 0 } else { k + 1 };
            let (a, b) = (&self.corner[k], &self.corner[next]);
            let (fa, fb) = (value[k], value[next]);
            if fa >= 0.0 {
                out.push(*a, self.edge[k]);
            }
            if (fa >= 0.0) != (fb >= 0.0) {
                let mut x = between(a, b, fa, fb);
                settle(&mut x);
                out.push(x, if fa >= 0.0 { edge } else { self.edge[k] });
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
            (self.corner[self.len], self.edge[self.len]) = (c, edge);
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
pub fn integrate(poly: &Poly) -> Piece {
    let mut sum = Piece::default();
    let corners = poly.corners();
    let Some((first, rest)) = corners.split_first() else { return sum };
    for c in corners {
        sum.most = sum.most.max(c.d);
        sum.least = sum.least.max(-c.d);
    }
    for pair in rest.windows(2) {
        let (b, c) = (&pair[0], &pair[1]);
        let area =
            0.5 * ((b.l[1] - first.l[1]) * (c.l[2] - first.l[2]) - (b.l[2] - first.l[2]) * (c.l[1] - first.l[1]));
        if sum.most > 0.0 && sum.least > 0.0 {
            prism(area, [first.d, b.d, c.d], &mut sum);
            continue;
        }
        // On one side throughout, as most pieces are.
        sum.area += area;
        let net = area * (first.d + b.d + c.d) / 3.0;
        let (volume, place) =
            if sum.least > 0.0 { (&mut sum.below, &mut sum.area_below) } else { (&mut sum.above, &mut sum.area_above) };
        *volume += net.abs();
        *place += if net == 0.0 { 0.0 } else { area };
    }
    sum
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
