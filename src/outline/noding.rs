//! How do lines that cross, touch and overlap become edges that meet only at their ends?
//!
//! ```text
//!      \ /                      \ /
//!       X   two lines      ─►    o     four edges and a node; where a point lies on a line, or nearer to it
//!      / \                      / \    than places are fine, the line is parted there as well
//! ```
//! Places are whole numbers (millionths), so is every node: a crossing is rounded to the nearest one. Each round bends the lines by
//! less than one (among places side by side rounds may add up: six were seen), which may make them meet something else, so all is gone
//! over again until nothing is left to part.
//! Which side a place lies on is exact (128 bits). Method: snap rounding (Hobby 1999; Greene and Yao 1986), the lines found by a grid.
//!
//! Heights run straight along a line. A point that was given keeps its height and a line through it bends there (told, so that it can
//! be asked about); two lines that are at two heights where they meet are told too: which of them is right is not for this room.
//!
//! Known right by: random lines on a quarter-unit grid (`surface/tests.rs`), every pair tried in turn (below).

use super::buckets::Grid;
use super::{Place, doubled_triangle};
use std::collections::HashMap;

/// A straight piece of a line between two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Segment {
    /// Numbers of its ends.
    pub ends: [u32; 2],
    /// The line it belongs to, for whoever asks about it.
    pub line: u32,
}

/// A point with a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Where.
    pub place: Place,
    /// How high.
    pub height: f64,
    /// Whether it stands by itself (a shot): a line through it takes its height.
    pub is_shot: bool,
}

/// Two heights at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clash {
    /// Where.
    pub place: Place,
    /// The lower height and the higher.
    pub heights: [f64; 2],
    /// A line with the one, and a line with the other; a point's own line where the point is an end.
    pub lines: [u32; 2],
    /// The shot they meet at, if it is one.
    pub shot: Option<u32>,
}

/// Lines parted so that they meet only at their ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Noded {
    /// Crossings that became nodes; their numbers go on behind the points given.
    pub nodes: Vec<Point>,
    /// Pieces between two points, each once, the lower number first, in order.
    pub edges: Vec<[u32; 2]>,
    /// Lines at two heights where they meet.
    pub clashes: Vec<Clash>,
    /// Lines that pass through a shot at another height than its own.
    pub bent: Vec<Clash>,
    /// Lines that pass a shot nearer than asked for and do not take it in: line and shot, in order.
    pub near: Vec<(u32, u32)>,
}

/// Rounding bent the lines again and again without an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Endless;

/// A line that passes a point nearer than this passes through it: no place is between.
const THROUGH: f64 = 0.5;

/// More rounds than any lines need that can be told apart: three or four are common.
const ROUNDS: usize = 100;

/// Parts the segments where they cross, touch, overlap, or pass through a point. `same`: two heights no farther apart are one.
/// `near`: shots so near a line that no line takes in are told. Points must be at different places; segments of no length are nothing.
///
/// # Errors
/// Where the rounds do not come to an end.
pub fn node(points: &[Point], segments: &[Segment], same: f64, near: u32) -> Result<Noded, Endless> {
    let mut work =
        Work { points: points.to_vec(), given: points.len(), pieces: Vec::new(), same, out: Noded::default() };
    work.take(segments.iter().copied());
    for _ in 0..ROUNDS {
        let cuts = work.cuts();
        if cuts.is_empty() {
            work.out.near = work.near(near);
            work.out.nodes = work.points.split_off(work.given);
            work.out.edges = work.pieces.iter().map(|s| s.ends).collect();
            for told in [&mut work.out.clashes, &mut work.out.bent] {
                told.sort_by(|a, b| a.place.cmp(&b.place).then(a.lines.cmp(&b.lines)));
                told.dedup_by_key(|c| (c.place, c.lines));
            }
            return Ok(work.out);
        }
        work.part(cuts);
    }
    Err(Endless)
}

struct Work {
    points: Vec<Point>,
    given: usize,
    pieces: Vec<Segment>,
    same: f64,
    out: Noded,
}

/// A piece and a point to part it at.
type Cut = (u32, u32);

impl Work {
    /// Pieces each once, in an order that does not depend on the order given.
    fn take(&mut self, segments: impl Iterator<Item = Segment>) {
        self.pieces =
            segments.map(|s| Segment { ends: [s.ends[0].min(s.ends[1]), s.ends[0].max(s.ends[1])], ..s }).collect();
        self.pieces.retain(|s| s.ends[0] != s.ends[1]);
        self.pieces.sort_unstable();
        self.pieces.dedup_by_key(|s| s.ends);
    }

    fn at(&self, point: u32) -> Place {
        self.points[point as usize].place
    }

    /// Every place to part a piece at.
    fn cuts(&mut self) -> Vec<Cut> {
        let grid = Grid::new(&self.points, &self.pieces, THROUGH);
        let mut cuts: Vec<Cut> = Vec::new();
        let mut fresh: HashMap<Place, u32> = HashMap::new();
        for (k, piece) in (0_u32..).zip(self.pieces.clone()) {
            grid.along(self.at(piece.ends[0]), self.at(piece.ends[1]), THROUGH, |cell| {
                for &v in grid.points(cell) {
                    if !piece.ends.contains(&v) && self.passes(piece, v, THROUGH) {
                        cuts.push((k, v));
                        self.hold(piece, v);
                    }
                }
            });
        }
        // Two pieces may share several cells and are held against each other once.
        let mut pairs: Vec<[u32; 2]> = Vec::new();
        for cell in 0..grid.cells() {
            let here = grid.pieces(cell);
            pairs.extend(here.iter().enumerate().flat_map(|(k, &p)| here[k + 1..].iter().map(move |&q| [p, q])));
        }
        pairs.sort_unstable();
        pairs.dedup();
        for [p, q] in pairs {
            self.cross(p, q, &grid, &mut fresh, &mut cuts);
        }
        cuts.sort_unstable();
        cuts.dedup();
        cuts
    }

    /// Shots that no line takes in and that stand so near to one.
    fn near(&self, near: u32) -> Vec<(u32, u32)> {
        let mut taken = vec![false; self.points.len()];
        for end in self.pieces.iter().flat_map(|s| s.ends) {
            taken[end as usize] = true;
        }
        let reach = f64::from(near);
        let grid = Grid::new(&self.points, &self.pieces, reach);
        let mut out = Vec::new();
        for piece in &self.pieces {
            grid.along(self.at(piece.ends[0]), self.at(piece.ends[1]), reach, |cell| {
                let free = grid.points(cell).iter().filter(|&&v| !taken[v as usize] && self.points[v as usize].is_shot);
                out.extend(free.filter(|&&v| self.passes(*piece, v, reach)).map(|&v| (piece.line, v)));
            });
        }
        out.sort_unstable();
        out.dedup();
        out
    }

    /// Whether a piece passes a point so near, and not beyond its ends.
    fn passes(&self, piece: Segment, v: u32, near: f64) -> bool {
        let [a, b] = piece.ends.map(|e| self.at(e));
        let p = self.at(v);
        let (whole, part) = (dot(a, b, b), dot(a, b, p));
        part > 0 && part < whole && {
            let off = doubled_triangle(a, b, p);
            off == 0 || off.unsigned_abs() as f64 <= near * (whole as f64).sqrt()
        }
    }

    /// Height of a piece beside a place.
    fn height(&self, piece: Segment, p: Place) -> f64 {
        let [a, b] = piece.ends.map(|e| self.points[e as usize]);
        let part = dot(a.place, b.place, p) as f64 / dot(a.place, b.place, b.place) as f64;
        a.height + part * (b.height - a.height)
    }

    /// Tells where a piece and a point it passes through are at two heights.
    fn hold(&mut self, piece: Segment, v: u32) {
        let point = self.points[v as usize];
        let own = self.height(piece, point.place);
        if (own - point.height).abs() > self.same {
            let other = self.pieces.iter().find(|s| s.ends.contains(&v)).map_or(piece.line, |s| s.line);
            let clash = Clash {
                place: point.place,
                heights: [own.min(point.height), own.max(point.height)],
                lines: [piece.line, other],
                shot: point.is_shot.then_some(v),
            };
            if point.is_shot { self.out.bent.push(clash) } else { self.out.clashes.push(clash) }
        }
    }

    /// Parts two pieces where they cross between their ends.
    fn cross(&mut self, p: u32, q: u32, grid: &Grid, fresh: &mut HashMap<Place, u32>, cuts: &mut Vec<Cut>) {
        let (s, t) = (self.pieces[p as usize], self.pieces[q as usize]);
        let ([a, b], [c, d]) = (s.ends.map(|e| self.at(e)), t.ends.map(|e| self.at(e)));
        let (fc, fd) = (doubled_triangle(a, b, c), doubled_triangle(a, b, d));
        let (fa, fb) = (doubled_triangle(c, d, a), doubled_triangle(c, d, b));
        if fc.signum() * fd.signum() >= 0 || fa.signum() * fb.signum() >= 0 {
            return;
        }
        let place = between(a, b, fa, fb);
        let known = fresh.get(&place).copied().or_else(|| grid.at(place, &self.points));
        let v = known.unwrap_or_else(|| {
            let (h, g) = (self.height(s, place), self.height(t, place));
            let v = u32::try_from(self.points.len()).unwrap_or(u32::MAX);
            if (h - g).abs() > self.same {
                let lines = [s.line.min(t.line), s.line.max(t.line)];
                self.out.clashes.push(Clash { place, heights: [h.min(g), h.max(g)], lines, shot: None });
            }
            self.points.push(Point { place, height: f64::midpoint(h, g), is_shot: false });
            fresh.insert(place, v);
            v
        });
        for (k, piece) in [(p, s), (q, t)] {
            if !piece.ends.contains(&v) {
                cuts.push((k, v));
                if known.is_some() {
                    self.hold(piece, v);
                }
            }
        }
    }

    /// Parts pieces at these points, in the order they lie along them.
    fn part(&mut self, cuts: Vec<Cut>) {
        let mut out = Vec::with_capacity(self.pieces.len() + cuts.len());
        for (k, piece) in (0_u32..).zip(&self.pieces) {
            let range = cuts.partition_point(|c| c.0 < k)..cuts.partition_point(|c| c.0 <= k);
            let [a, b] = piece.ends.map(|e| self.at(e));
            let mut on: Vec<u32> = cuts[range].iter().map(|c| c.1).collect();
            on.sort_by_key(|&v| (dot(a, b, self.at(v)), v));
            on.push(piece.ends[1]);
            let mut from = piece.ends[0];
            for to in on {
                out.push(Segment { ends: [from, to], line: piece.line });
                from = to;
            }
        }
        self.take(out.into_iter());
    }
}

/// (b - a) times (p - a).
fn dot(a: Place, b: Place, p: Place) -> i128 {
    let d = |u: i64, v: i64| i128::from(v) - i128::from(u);
    d(a.0, b.0) * d(a.0, p.0) + d(a.1, b.1) * d(a.1, p.1)
}

/// The whole place nearest to where a function that is `fa` at a and `fb` at b, of unlike sign, is zero.
fn between(a: Place, b: Place, fa: i128, fb: i128) -> Place {
    let (fa, fb) = (fa.unsigned_abs() as f64, fb.unsigned_abs() as f64);
    let part = fa / (fa + fb);
    #[expect(clippy::cast_possible_truncation, reason = "between two whole places")]
    let mix = |u: i64, v: i64| u + ((i128::from(v) - i128::from(u)) as f64 * part).round() as i64;
    (mix(a.0, b.0), mix(a.1, b.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn shot(n: i64, e: i64, height: f64) -> Point {
        Point { place: (n, e), height, is_shot: true }
    }

    fn line(points: &[u32], line: u32) -> Vec<Segment> {
        points.windows(2).map(|w| Segment { ends: [w[0], w[1]], line }).collect()
    }

    #[test]
    fn a_crossing_at_one_height_is_a_node_and_at_two_is_told() {
        let points = [shot(0, 0, 1.0), shot(10, 10, 3.0), shot(0, 10, 2.0), shot(10, 0, 2.0)];
        let both: Vec<_> = [line(&[0, 1], 0), line(&[2, 3], 1)].concat();
        let noded = node(&points, &both, 0.005, 0).expect("comes to an end");
        assert_eq!(noded.nodes, vec![Point { place: (5, 5), height: 2.0, is_shot: false }]);
        assert_eq!(noded.edges, vec![[0, 4], [1, 4], [2, 4], [3, 4]]);
        assert!(noded.clashes.is_empty() && noded.bent.is_empty());
        let mut higher = points;
        higher[3].height = 4.0;
        let noded = node(&higher, &both, 0.005, 0).expect("comes to an end");
        assert_eq!(noded.clashes, vec![Clash { place: (5, 5), heights: [2.0, 3.0], lines: [0, 1], shot: None }]);
    }

    #[test]
    fn a_line_through_a_shot_bends_to_it_and_one_that_just_misses_it_too() {
        // The line from (0, 0) to (1, 1000) passes 0.4 from (0, 400) and 0.4 from (1, 600).
        for (n, e) in [(0, 400), (1, 600)] {
            let points = [shot(0, 0, 1.0), shot(1, 1000, 1.0), shot(n, e, 1.5)];
            let noded = node(&points, &line(&[0, 1], 7), 0.005, 0).expect("comes to an end");
            assert_eq!(noded.edges, vec![[0, 2], [1, 2]], "{n}, {e}");
            assert_eq!(noded.bent.len(), 1);
            assert_eq!((noded.bent[0].heights, noded.bent[0].shot), ([1.0, 1.5], Some(2)));
        }
        let points = [shot(0, 0, 1.0), shot(0, 1000, 1.0), shot(1, 400, 1.5)];
        let noded = node(&points, &line(&[0, 1], 7), 0.005, 20).expect("comes to an end");
        assert_eq!((noded.edges, noded.near), (vec![[0, 1]], vec![(7, 2)]));
    }

    #[test]
    fn an_end_of_a_line_that_touches_another_at_another_height_is_told() {
        let mut points = [shot(0, 0, 1.0), shot(0, 100, 1.0), shot(0, 50, 1.0), shot(80, 50, 2.0)];
        points[2] = Point { is_shot: false, height: 1.2, ..points[2] };
        let noded = node(&points, &[line(&[0, 1], 3), line(&[2, 3], 4)].concat(), 0.005, 0).expect("comes to an end");
        assert_eq!(noded.edges, vec![[0, 2], [1, 2], [2, 3]]);
        assert_eq!(noded.clashes.len(), 1);
        assert_eq!((noded.clashes[0].heights, noded.clashes[0].lines), ([1.0, 1.2], [3, 4]));
    }

    #[test]
    fn lines_over_one_another_share_their_pieces() {
        let points = [shot(0, 0, 0.0), shot(0, 30, 0.0), shot(0, 10, 0.0), shot(0, 50, 0.0)];
        let noded = node(&points, &[line(&[0, 1], 0), line(&[3, 2], 1)].concat(), 0.005, 0).expect("comes to an end");
        assert_eq!(noded.edges, vec![[0, 2], [1, 2], [1, 3]]);
    }

    /// Every pair of edges tried: none cross, none pass through a point.
    fn clean(points: &[Point], edges: &[[u32; 2]]) -> Result<(), String> {
        let at = |v: u32| points[v as usize].place;
        for (k, s) in edges.iter().enumerate() {
            let [a, b] = s.map(at);
            for v in (0_u32..).take(points.len()).filter(|v| !s.contains(v)) {
                let p = at(v);
                if doubled_triangle(a, b, p) == 0 && dot(a, b, p) > 0 && dot(a, b, p) < dot(a, b, b) {
                    return Err(format!("{s:?} passes through {v}"));
                }
            }
            for t in &edges[k + 1..] {
                let [c, d] = t.map(at);
                let sign = |p, q, r| doubled_triangle(p, q, r).signum();
                if sign(a, b, c) * sign(a, b, d) < 0 && sign(c, d, a) * sign(c, d, b) < 0 {
                    return Err(format!("{s:?} crosses {t:?}"));
                }
            }
        }
        Ok(())
    }

    proptest! {
        #[test]
        fn nothing_is_left_to_part(
            places in proptest::collection::btree_set((0_i64..40, 0_i64..40), 4..24),
            scale in prop_oneof![Just(1_i64), Just(3), Just(250_000)],
            picks in proptest::collection::vec((0_usize..24, 0_usize..24), 1..20),
        ) {
            let points: Vec<Point> = places.iter().map(|p| shot(p.0 * scale, p.1 * scale, 0.0)).collect();
            let n = points.len();
            let number = |k: usize| u32::try_from(k % n).unwrap_or(0);
            let pieces: Vec<Segment> =
                picks.iter().map(|&(a, b)| Segment { ends: [number(a), number(b)], line: 0 }).collect();
            let noded = node(&points, &pieces, 0.0, 0).expect("comes to an end");
            let all = [points.clone(), noded.nodes.clone()].concat();
            prop_assert_eq!(clean(&all, &noded.edges), Ok(()));
            // The order the lines came in leaves no trace.
            let back: Vec<Segment> = pieces.iter().rev().map(|s| Segment { ends: [s.ends[1], s.ends[0]], ..*s }).collect();
            prop_assert_eq!(node(&points, &back, 0.0, 0).expect("comes to an end"), noded);
        }
    }
}
