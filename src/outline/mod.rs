//! Is this ring of corners an outline, what does it enclose, and do several of them fit together?
//!
//! Places are (northing, easting) in whole millionths of the job's unit. With east to the right and north up,
//! counter-clockwise area is positive. Every test is in whole numbers of 128 bits: no tolerance, and exact for places
//! up to 1e18 millionths.
//!
//! An outline has three corners or more, no corner twice and no edge that meets another except at the corner they
//! share. Rings that belong together may not even touch: whether a hole that shares an edge with its outline is inside
//! is for the person to say, by drawing the outline round it.
//!
//! Method: edges in order of their least easting, each held against those that begin before it ends. Known right by
//! hand-made cases and by agreement with trying every pair.

mod buckets;
pub mod noding;

use std::collections::HashMap;

/// Northing and easting in whole millionths.
pub type Place = (i64, i64);

/// Where a place lies to a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Within.
    Inside,
    /// On an edge or corner.
    Edge,
    /// Without.
    Outside,
}

/// What is wrong with rings. Rings and corners are counted from 0; edge `k` runs from corner `k` to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Fewer than three corners.
    TooFew {
        /// The ring.
        ring: usize,
    },
    /// A corner given twice.
    Repeated {
        /// The ring.
        ring: usize,
        /// First time.
        first: usize,
        /// Second time.
        again: usize,
    },
    /// All corners on one line.
    Flat {
        /// The ring.
        ring: usize,
    },
    /// Two edges, each as (ring, edge), cross, touch or lie on one another.
    Meet {
        /// One edge.
        one: (usize, usize),
        /// The other.
        other: (usize, usize),
    },
    /// A hole that is not inside the first ring.
    Astray {
        /// The hole.
        ring: usize,
    },
    /// A hole inside another hole.
    Nested {
        /// The inner one.
        ring: usize,
        /// The one round it.
        within: usize,
    },
}

impl Fault {
    /// A ring inside a hole: an island, where islands are allowed.
    #[must_use]
    pub fn is_island(&self) -> bool {
        matches!(self, Self::Nested { .. })
    }
}

/// Twice the area of the triangle `a b c`; positive where it runs counter-clockwise.
#[must_use]
pub fn doubled_triangle(a: Place, b: Place, c: Place) -> i128 {
    let wide = |v: i64| i128::from(v);
    (wide(b.1) - wide(a.1)) * (wide(c.0) - wide(a.0)) - (wide(b.0) - wide(a.0)) * (wide(c.1) - wide(a.1))
}

/// Whether all places lie on one line (or there are fewer than three different ones).
#[must_use]
pub fn on_one_line(mut places: impl Iterator<Item = Place>) -> bool {
    let Some(first) = places.next() else { return true };
    let Some(second) = places.by_ref().find(|&p| p != first) else { return true };
    places.all(|p| doubled_triangle(first, second, p) == 0)
}

/// Twice the area a ring encloses, positive where it runs counter-clockwise. The ring may be closed or not.
#[must_use]
pub fn doubled_area(ring: &[Place]) -> i128 {
    // Taken about the ring's own first corner, so that far-off places lose nothing.
    ring.first().map_or(0, |&first| ring.windows(2).map(|w| doubled_triangle(first, w[0], w[1])).sum())
}

/// Where `place` lies to the ring (not closed). An upward or downward edge owns its lower end, so a corner level with
/// the place is counted once.
#[must_use]
pub fn side(ring: &[Place], place: Place) -> Side {
    let mut inside = false;
    for (a, b) in edges(ring) {
        let turn = doubled_triangle(a, b, place);
        if turn == 0 && in_box(a, b, place) {
            return Side::Edge;
        }
        if (a.0 <= place.0) != (b.0 <= place.0) && (turn > 0) == (b.0 > a.0) {
            inside = !inside;
        }
    }
    if inside { Side::Inside } else { Side::Outside }
}

/// Everything wrong with rings that belong together: the first encloses, the others are holes. A ring that is no ring
/// by itself (too few corners, one twice, flat) is not held against the others.
#[must_use]
pub fn faults(rings: &[Vec<Place>]) -> Vec<Fault> {
    let mut found = Vec::new();
    let mut sound = Vec::new();
    for (ring, corners) in rings.iter().enumerate() {
        let before = found.len();
        let mut seen = HashMap::new();
        for (again, &corner) in corners.iter().enumerate() {
            if let Some(&first) = seen.get(&corner) {
                found.push(Fault::Repeated { ring, first, again });
            } else {
                seen.insert(corner, again);
            }
        }
        if seen.len() < 3 {
            found.push(Fault::TooFew { ring });
        } else if on_one_line(corners.iter().copied()) {
            found.push(Fault::Flat { ring });
        }
        if found.len() == before {
            sound.push(ring);
        }
    }
    let met = meetings(rings, &sound);
    // A ring that meets another, or itself, has no inside to speak of.
    let clear = |ring: usize| {
        sound.contains(&ring)
            && !met.iter().any(|m| matches!(m, Fault::Meet { one, other } if one.0 == ring || other.0 == ring))
    };
    for ring in (1..rings.len()).filter(|&r| clear(r)) {
        // Rings that do not meet are wholly inside or wholly outside: one corner tells.
        let corner = rings[ring][0];
        if clear(0) && side(&rings[0], corner) == Side::Outside {
            found.push(Fault::Astray { ring });
        }
        let around = (1..rings.len()).find(|&o| o != ring && clear(o) && side(&rings[o], corner) == Side::Inside);
        if let Some(within) = around {
            found.push(Fault::Nested { ring, within });
        }
    }
    found.extend(met);
    found
}

/// The edges of a ring, the closing one included.
fn edges(ring: &[Place]) -> impl Iterator<Item = (Place, Place)> + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

/// Of corners in no order at all nearly every two edges meet: more than this helps nobody and costs memory.
const MOST_MEETINGS: usize = 1000;

/// Two edges of these rings that meet where they should not: all such pairs, up to [`MOST_MEETINGS`].
fn meetings(rings: &[Vec<Place>], which: &[usize]) -> Vec<Fault> {
    let mut all: Vec<_> = which
        .iter()
        .flat_map(|&ring| edges(&rings[ring]).enumerate().map(move |(edge, (a, b))| (ring, edge, a, b)))
        .collect();
    all.sort_by_key(|&(ring, edge, a, b)| (a.1.min(b.1), ring, edge));
    let mut found = Vec::new();
    for (k, &(r1, e1, a, b)) in all.iter().enumerate() {
        for &(r2, e2, c, d) in all[k + 1..].iter().take_while(|&&(_, _, c, d)| c.1.min(d.1) <= a.1.max(b.1)) {
            let count = rings[r1].len();
            let wrong = if r1 == r2 && (e1 + 1) % count == e2 {
                folds_back(a, b, d)
            } else if r1 == r2 && (e2 + 1) % count == e1 {
                folds_back(c, d, b)
            } else {
                meet(a, b, c, d)
            };
            if wrong && found.len() < MOST_MEETINGS {
                let (one, other) = ((r1, e1).min((r2, e2)), (r1, e1).max((r2, e2)));
                found.push(Fault::Meet { one, other });
            }
        }
    }
    found.sort_by_key(|f| if let Fault::Meet { one, other } = f { (*one, *other) } else { ((0, 0), (0, 0)) });
    found
}

/// Whether the way from `a` over `b` to `c` returns on itself.
fn folds_back(a: Place, b: Place, c: Place) -> bool {
    let along = |k: fn(Place) -> i64| i128::from(k(b) - k(a)) * i128::from(k(c) - k(b));
    doubled_triangle(a, b, c) == 0 && along(|p| p.0) + along(|p| p.1) < 0
}

/// Whether two segments have a place in common.
fn meet(a: Place, b: Place, c: Place, d: Place) -> bool {
    let turn = |p, q, r| doubled_triangle(p, q, r).signum();
    let (c_side, d_side, a_side, b_side) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    (c_side * d_side < 0 && a_side * b_side < 0)
        || (c_side == 0 && in_box(a, b, c))
        || (d_side == 0 && in_box(a, b, d))
        || (a_side == 0 && in_box(c, d, a))
        || (b_side == 0 && in_box(c, d, b))
}

/// Whether `p` lies in the box that `a` and `b` span.
fn in_box(a: Place, b: Place, p: Place) -> bool {
    (a.0.min(b.0)..=a.0.max(b.0)).contains(&p.0) && (a.1.min(b.1)..=a.1.max(b.1)).contains(&p.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const FAR: i64 = 9_000_000_000_000_000;

    fn square(n: i64, e: i64, size: i64) -> Vec<Place> {
        vec![(n, e), (n, e + size), (n + size, e + size), (n + size, e)]
    }

    #[test]
    fn area_has_the_sign_of_its_direction_and_loses_nothing_far_out() {
        let ring = square(-FAR, FAR - 3, 3);
        assert_eq!(doubled_area(&ring), 18);
        let back: Vec<_> = ring.iter().rev().copied().collect();
        assert_eq!(doubled_area(&back), -18);
        assert_eq!(doubled_area(&[(0, 0), (0, 2 * FAR), (2 * FAR, 0)]), 4 * i128::from(FAR) * i128::from(FAR));
        assert_eq!(doubled_area(&[]), 0);
    }

    #[test]
    fn sides_are_exact_on_edges_and_level_with_corners() {
        let diamond = [(0, 5), (5, 10), (10, 5), (5, 0)];
        for (place, want) in [
            ((5, 5), Side::Inside),
            ((5, 0), Side::Edge),
            ((2, 3), Side::Edge),
            ((2, 2), Side::Outside),
            ((5, 11), Side::Outside),
            ((5, -1), Side::Outside),
            ((10, 0), Side::Outside),
            ((0, 0), Side::Outside),
            ((1, 5), Side::Inside),
        ] {
            assert_eq!(side(&diamond, place), want, "{place:?}");
        }
    }

    #[test]
    fn a_sound_outline_with_holes_has_no_faults() {
        assert_eq!(faults(&[square(0, 0, 100), square(10, 10, 20), square(50, 50, 20)]), vec![]);
        let notch = vec![(0, 0), (0, 10), (10, 10), (10, 6), (2, 5), (10, 4), (10, 0)];
        assert_eq!(faults(&[notch]), vec![]);
    }

    #[test]
    fn each_fault_is_named_with_its_edges() {
        let bow_tie = vec![(0, 0), (10, 10), (0, 10), (10, 0)];
        assert_eq!(faults(&[bow_tie]), vec![Fault::Meet { one: (0, 0), other: (0, 2) }]);
        assert_eq!(faults(&[vec![(0, 0), (0, 5)]]), vec![Fault::TooFew { ring: 0 }]);
        assert_eq!(faults(&[vec![(0, 0), (1, 1), (3, 3)]]), vec![Fault::Flat { ring: 0 }]);
        let twice = vec![(0, 0), (0, 5), (0, 0), (5, 5), (5, 0)];
        assert_eq!(faults(&[twice]), vec![Fault::Repeated { ring: 0, first: 0, again: 2 }]);
        let spike = vec![(0, 0), (0, 10), (0, 5), (5, 5)];
        assert!(faults(&[spike]).contains(&Fault::Meet { one: (0, 0), other: (0, 1) }));
        let outer = square(0, 0, 100);
        assert_eq!(faults(&[outer.clone(), square(200, 0, 5)]), vec![Fault::Astray { ring: 1 }]);
        assert_eq!(
            faults(&[outer.clone(), square(10, 10, 50), square(20, 20, 5)]),
            vec![Fault::Nested { ring: 2, within: 1 }]
        );
        let over = faults(&[outer, square(90, 40, 20)]);
        assert_eq!(over, vec![Fault::Meet { one: (0, 2), other: (1, 1) }, Fault::Meet { one: (0, 2), other: (1, 3) }]);
    }

    #[test]
    fn places_on_one_line_are_found_to_the_last_millionth() {
        let line = [(0, 0), (0, 0), (FAR, FAR), (-FAR, -FAR)];
        assert!(on_one_line(line.into_iter()));
        assert!(!on_one_line(line.into_iter().chain([(FAR, FAR - 1)])));
        assert!(on_one_line(std::iter::empty()));
    }

    proptest! {
        #[test]
        fn sorted_edges_find_what_every_pair_finds(ring in proptest::collection::vec((0_i64..9, 0_i64..9), 3..9)) {
            let mut distinct = ring.clone();
            distinct.sort_unstable();
            distinct.dedup();
            prop_assume!(distinct.len() == ring.len() && !on_one_line(ring.iter().copied()));
            let all: Vec<_> = edges(&ring).collect();
            let n = all.len();
            let mut want = Vec::new();
            for i in 0..n {
                for j in i + 1..n {
                    let ((a, b), (c, d)) = (all[i], all[j]);
                    let wrong = if j == i + 1 {
                        folds_back(a, b, d)
                    } else if i == 0 && j == n - 1 {
                        folds_back(c, d, b)
                    } else {
                        meet(a, b, c, d)
                    };
                    if wrong {
                        want.push(Fault::Meet { one: (0, i), other: (0, j) });
                    }
                }
            }
            prop_assert_eq!(faults(&[ring]), want);
        }
    }
}
