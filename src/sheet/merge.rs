//! What is the outline of a patch made of many small touching pieces?
//!
//! Method: walk every piece the same way round; an edge that another piece walks the other way is inside and goes.
//! What is left is strung together; as many edges enter a corner as leave it, so every string closes. Edges that match
//! only in part stay: filled by winding, the patch looks the same, it only takes more room.
//! Units: inches of paper; corners within a millionth of an inch are one.

use super::PaperPoint;
use std::collections::BTreeMap;

type Corner = (i64, i64);

fn corner(p: PaperPoint) -> Corner {
    #[expect(clippy::cast_possible_truncation, reason = "saturates; a sheet is far below 2^43 millionths")]
    let whole = |v: f64| (v * 1e6).round() as i64;
    (whole(p.x), whole(p.y))
}

/// Rings around `pieces`, all turning the same way on the outside, holes the other way.
#[must_use]
pub fn outline(pieces: &[Vec<PaperPoint>]) -> Vec<Vec<PaperPoint>> {
    let mut places: BTreeMap<Corner, PaperPoint> = BTreeMap::new();
    let mut edges: BTreeMap<Corner, Vec<Corner>> = BTreeMap::new();
    for piece in pieces {
        let is_left = turn(piece) < 0.0;
        for (i, &p) in piece.iter().enumerate() {
            let q = piece[(i + 1) % piece.len()];
            let (from, to) = if is_left { (q, p) } else { (p, q) };
            let (a, b) = (corner(from), corner(to));
            places.entry(a).or_insert(from);
            if a == b {
                continue;
            }
            let back = edges.get_mut(&b).and_then(|out| out.iter().position(|&c| c == a).map(|k| out.swap_remove(k)));
            if back.is_none() {
                edges.entry(a).or_default().push(b);
            }
        }
    }
    let mut rings = Vec::new();
    let starts: Vec<Corner> = edges.keys().copied().collect();
    for start in starts {
        while let Some(mut next) = edges.get_mut(&start).and_then(Vec::pop) {
            let mut ring = vec![places[&start]];
            while next != start {
                ring.extend(places.get(&next));
                let Some(after) = edges.get_mut(&next).and_then(Vec::pop) else { break };
                next = after;
            }
            rings.push(ring);
        }
    }
    rings
}

/// Twice the area; positive when clockwise as seen on paper.
fn turn(ring: &[PaperPoint]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    ring.iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(a, b)| (a.x - o.x) * (b.y - o.y) - (b.x - o.x) * (a.y - o.y))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64) -> Vec<PaperPoint> {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(dx, dy)| PaperPoint::new(x + dx, y + dy)).to_vec()
    }

    fn area(rings: &[Vec<PaperPoint>]) -> f64 {
        rings.iter().map(|ring| turn(ring) / 2.0).sum()
    }

    #[test]
    fn touching_squares_become_one_ring_whichever_way_they_turn() {
        let mut other = square(1.0, 0.0);
        other.reverse();
        let rings = outline(&[square(0.0, 0.0), other]);
        assert_eq!(rings.len(), 1);
        assert_eq!(rings[0].len(), 6);
        assert!((area(&rings) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_ring_of_squares_keeps_its_hole_and_its_area() {
        let places = (0..9).filter(|&k| k != 4);
        let pieces: Vec<_> = places.map(|k| square(f64::from(k % 3), f64::from(k / 3))).collect();
        let rings = outline(&pieces);
        assert_eq!(rings.len(), 2);
        assert!((area(&rings) - 8.0).abs() < 1e-12);
    }

    #[test]
    fn pieces_that_meet_only_in_part_keep_their_area_and_nothing_gives_nothing() {
        let rings = outline(&[square(0.0, 0.0), square(1.0, 0.5), square(3.0, 3.0)]);
        assert!((area(&rings) - 3.0).abs() < 1e-12);
        assert!(outline(&[]).is_empty() && outline(&[vec![]]).is_empty());
    }
}
