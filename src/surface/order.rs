//! In which order do sites and triangles stand?
//!
//! Along a Hilbert curve, so that what is near on the ground is near in memory, and every later step walks a small part of it. The order
//! depends on the places alone, not on the rows: what has one place along the curve is put in order by place.

use super::build::{Shot, Site, Unbuildable, bounds};
use std::cmp::Ordering;

/// Sites in the order of a Hilbert curve.
pub(super) fn sorted(sites: Vec<Site>) -> Result<Vec<Site>, Unbuildable> {
    if sites.len() < 3 {
        return Err(Unbuildable::TooFew(sites.len()));
    }
    let (low, high) = bounds(sites.iter().map(|s| s.place));
    let side = (high[0] - low[0]).max(high[1] - low[1]).max(1.0);
    let sites = in_steps(
        &sites,
        |s| hilbert(s.place, low, side),
        |a, b| {
            let (p, q) = (a.place, b.place);
            p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])).then(a.row.cmp(&b.row))
        },
    );
    if let Some(pair) = sites.windows(2).find(|w| w[0].place == w[1].place) {
        let [a, b] = [0, 1].map(|k| pair[k].row as usize);
        return Err(Unbuildable::OnePlace(a.min(b), a.max(b)));
    }
    Ok(sites)
}

/// Sorted by a coarse key, and where that is the same by a fine one. Key and number in one word: whole words sort faster than
/// pairs with a tie to look up.
fn in_steps<T: Copy>(of: &[T], coarse: impl Fn(&T) -> u32, fine: impl Fn(&T, &T) -> Ordering) -> Vec<T> {
    let mut keyed: Vec<u64> = of.iter().zip(0_u64..).map(|(one, k)| u64::from(coarse(one)) << 32 | k).collect();
    keyed.sort_unstable();
    #[expect(clippy::cast_possible_truncation, reason = "the lower half is the number")]
    let mut out: Vec<T> = keyed.iter().map(|&key| of[key as u32 as usize]).collect();
    let mut start = 0;
    for same in keyed.chunk_by(|a, b| a >> 32 == b >> 32) {
        let end = start + same.len();
        if same.len() > 1 {
            out[start..end].sort_unstable_by(&fine);
        }
        start = end;
    }
    out
}

/// Place along a Hilbert curve of 2^16 by 2^16 cells (Hilbert 1891), four bits of each at a time.
fn hilbert(p: [f64; 2], low: [f64; 2], side: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535 by construction")]
    let cell = |v: f64, l: f64| ((v - l) / side * 65535.0) as u32;
    let (x, y) = (cell(p[0], low[0]), cell(p[1], low[1]));
    let (mut along, mut turned) = (0, 0);
    for shift in [12, 8, 4, 0] {
        let four = HILBERT[(turned << 8 | (x >> shift & 15) << 4 | (y >> shift & 15)) as usize];
        (along, turned) = (along << 8 | u32::from(four & 0xff), u32::from(four >> 8));
    }
    along
}

/// For each way a square may be turned, and four bits of x and y: the next eight bits of the place along the curve, and how
/// the squares within are turned, above them. Turned: bit 0 x and y exchanged, bit 1 both from the other end.
#[expect(clippy::cast_possible_truncation, reason = "one bit, or two")]
const HILBERT: [u16; 1024] = {
    let mut table = [0; 1024];
    let mut k = 0;
    while k < 1024 {
        let (mut along, mut turned, mut bit) = (0, (k >> 8) as u16, 4);
        while bit > 0 {
            bit -= 1;
            let (x, y) = ((k >> (4 + bit) & 1) as u16, (k >> bit & 1) as u16);
            let (x, y) = if turned & 1 == 1 { (y, x) } else { (x, y) };
            let (x, y) = (x ^ turned >> 1, y ^ turned >> 1);
            along = along << 2 | (3 * x) ^ y;
            if y == 0 {
                turned ^= 1 | x << 1;
            }
        }
        table[k] = turned << 8 | along;
        k += 1;
    }
    table
};

/// Farthest from the middle first, as the library begins by sorting them at greater cost: what is in order already it leaves alone.
/// Where its middle is another by rounding, it sorts again, and all that is lost is time.
pub(super) fn inward(shots: Vec<Shot>) -> Vec<Shot> {
    let sum = shots.iter().fold([0.0; 2], |[x, y], s| [x + s.at.x, y + s.at.y]);
    let middle = sum.map(|v| v * (1.0 / shots.len() as f64));
    let away = |s: &Shot| (middle[0] - s.at.x).powi(2) + (middle[1] - s.at.y).powi(2);
    in_steps(
        &shots,
        |s| u32::MAX - (away(s).to_bits() >> 32) as u32,
        |a, b| away(b).total_cmp(&away(a)).then(a.at.x.total_cmp(&b.at.x)).then(a.at.y.total_cmp(&b.at.y)),
    )
}

/// Each triangle from its lowest corner, triangles by their corners (a counting sort on the first).
pub(super) fn in_order(corners: Vec<[u32; 3]>, vertices: usize) -> Vec<[u32; 3]> {
    let mut end = vec![0_u32; vertices + 1];
    let turned = |[a, b, c]: [u32; 3]| match a.min(b).min(c) {
        m if m == a => [a, b, c],
        m if m == b => [b, c, a],
        _ => [c, a, b],
    };
    for t in &corners {
        end[turned(*t)[0] as usize + 1] += 1;
    }
    for v in 0..vertices {
        end[v + 1] += end[v];
    }
    let mut next = end.clone();
    let mut out = vec![[0; 3]; corners.len()];
    for t in corners {
        let t = turned(t);
        let slot = &mut next[t[0] as usize];
        out[*slot as usize] = t;
        *slot += 1;
    }
    for v in 0..vertices {
        out[end[v] as usize..end[v + 1] as usize].sort_unstable();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use spade::{DelaunayTriangulation, Point2, Triangulation};

    #[test]
    fn the_curve_goes_from_each_cell_to_one_beside_it() {
        // Every 256th cell either way, so that each step of the curve at that grain is seen.
        let grain = 256_u32;
        let at = |k: u32| f64::from(k * 65536 / grain) + 0.5;
        let mut cells: Vec<(u32, [u32; 2])> = (0..grain * grain)
            .map(|k| [k % grain, k / grain])
            .map(|c| (hilbert(c.map(at), [0.0; 2], 65535.0), c))
            .collect();
        cells.sort_unstable();
        for pair in cells.windows(2) {
            let [(a, p), (b, q)] = [pair[0], pair[1]];
            assert!(a != b && p[0].abs_diff(q[0]) + p[1].abs_diff(q[1]) == 1, "{p:?} {q:?}");
        }
    }

    #[test]
    fn the_library_has_nothing_to_sort() {
        let place = |k: u32| Point2::new(f64::from(k * 7919 % 10_007), f64::from(k * 104_729 % 9973));
        let shots = inward((0..500).map(|vertex| Shot { at: place(vertex), vertex }).collect());
        let net = DelaunayTriangulation::<Shot>::bulk_load(shots.clone()).expect("can be built");
        let theirs: Vec<u32> = net.vertices().map(|v| v.data().vertex).collect();
        let ours: Vec<u32> = shots.iter().rev().map(|s| s.vertex).collect();
        assert_eq!(theirs, ours);
    }
}
