//! Where can a label stand so that no two labels touch?
//!
//! ```text
//!   4  0  5      0..7: the order in which places round a point are tried;
//!   2  +  3      a label may also slide along a line, or move off and
//!   6  1  7      point back with a leader
//! ```
//! Method: greedy, most important first (the caller's order). Every label is a turned box; two boxes are apart if one
//! of their four edge directions separates them (separating axes; Gottschalk, Lin and Manocha, SIGGRAPH 1996).
//! Among free places the one crossing the fewest soft lines wins, ties to the earlier place. A label without
//! room is refused and counted, never put over another. Known right by a brute-force twin in the tests.
//! Units: inches of paper, degrees clockwise.

use super::{PaperPoint, Rect, Text, font};
use std::collections::HashMap;

/// A turned box of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box2 {
    /// Its middle.
    pub centre: PaperPoint,
    /// Half its width, along its own x.
    pub half_w: f64,
    /// Half its height.
    pub half_h: f64,
    /// Degrees clockwise.
    pub angle: f64,
}

impl Box2 {
    /// An upright box from its top left corner and size.
    #[must_use]
    pub fn upright(r: Rect) -> Self {
        Self { centre: r.centre(), half_w: r.w / 2.0, half_h: r.h / 2.0, angle: 0.0 }
    }

    /// Where a line of words stands, from its ink.
    #[must_use]
    pub fn of_words(text: &Text) -> Self {
        let e = font::extent(&text.words, text.weight, text.em);
        let (sin, cos) = text.angle.to_radians().sin_cos();
        let (along, across) = (e.width / 2.0 - text.lead(), (e.down - e.up) / 2.0);
        Self {
            centre: text.at.by(cos * along - sin * across, sin * along + cos * across),
            half_w: e.width / 2.0,
            half_h: (e.up + e.down) / 2.0,
            angle: text.angle,
        }
    }

    /// Larger by `by` inches on each side.
    #[must_use]
    pub fn grown(mut self, by: f64) -> Self {
        self.half_w += by;
        self.half_h += by;
        self
    }

    fn axes(&self) -> [(f64, f64); 2] {
        let (sin, cos) = self.angle.to_radians().sin_cos();
        [(cos, sin), (-sin, cos)]
    }

    /// Half its extent along a unit direction.
    fn reach(&self, (x, y): (f64, f64)) -> f64 {
        let [u, v] = self.axes();
        self.half_w * (u.0 * x + u.1 * y).abs() + self.half_h * (v.0 * x + v.1 * y).abs()
    }

    /// Its four corners.
    #[must_use]
    pub fn corners(&self) -> [PaperPoint; 4] {
        let [u, v] = self.axes();
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(a, b)| {
            let (a, b) = (a * self.half_w, b * self.half_h);
            self.centre.by(u.0 * a + v.0 * b, u.1 * a + v.1 * b)
        })
    }

    /// Whether the two share any area.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        let (dx, dy) = (other.centre.x - self.centre.x, other.centre.y - self.centre.y);
        self.axes()
            .into_iter()
            .chain(other.axes())
            .all(|a| (dx * a.0 + dy * a.1).abs() < self.reach(a) + other.reach(a) - 1e-12)
    }

    /// Whether a straight piece of line passes through it.
    #[must_use]
    pub fn meets(&self, a: PaperPoint, b: PaperPoint) -> bool {
        let thin = Self {
            centre: a.towards(b, 0.5),
            half_w: a.distance(b) / 2.0,
            half_h: 0.0,
            angle: (b.y - a.y).atan2(b.x - a.x).to_degrees(),
        };
        self.overlaps(&thin)
    }

    fn bounds(&self) -> Rect {
        let (w, h) = (self.reach((1.0, 0.0)), self.reach((0.0, 1.0)));
        Rect::new(self.centre.x - w, self.centre.y - h, 2.0 * w, 2.0 * h)
    }
}

/// Size of a cell of the look-up grid, in inches: about that of a label.
const CELL: f64 = 0.5;

/// Boxes taken so far, and lines better not covered.
#[derive(Clone, Debug)]
pub struct Placer {
    room: Rect,
    taken: Vec<Box2>,
    soft: Vec<(PaperPoint, PaperPoint)>,
    taken_in: HashMap<(i64, i64), Vec<usize>>,
    soft_in: HashMap<(i64, i64), Vec<usize>>,
    dropped: usize,
}

fn cells(r: Rect) -> impl Iterator<Item = (i64, i64)> {
    #[expect(clippy::cast_possible_truncation, reason = "a sheet is a few dozen cells wide")]
    let cell = |v: f64| (v / CELL).floor() as i64;
    let (x0, x1, y0, y1) = (cell(r.x), cell(r.right()), cell(r.y), cell(r.bottom()));
    (x0..=x1).flat_map(move |x| (y0..=y1).map(move |y| (x, y)))
}

impl Placer {
    /// Labels may stand anywhere inside `room`.
    #[must_use]
    pub fn new(room: Rect) -> Self {
        Self {
            room,
            taken: Vec::new(),
            soft: Vec::new(),
            taken_in: HashMap::new(),
            soft_in: HashMap::new(),
            dropped: 0,
        }
    }

    /// Nothing may be put here any more.
    pub fn take(&mut self, b: Box2) {
        for cell in cells(b.bounds()) {
            self.taken_in.entry(cell).or_default().push(self.taken.len());
        }
        self.taken.push(b);
    }

    /// A line that should rather not be covered.
    pub fn spare(&mut self, points: &[PaperPoint]) {
        for pair in points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let r = Rect::new(a.x.min(b.x), a.y.min(b.y), (a.x - b.x).abs(), (a.y - b.y).abs());
            for cell in cells(r) {
                self.soft_in.entry(cell).or_default().push(self.soft.len());
            }
            self.soft.push((a, b));
        }
    }

    /// Whether a box is inside the room and touches nothing taken.
    #[must_use]
    pub fn is_free(&self, b: &Box2) -> bool {
        b.corners().into_iter().all(|c| self.room.holds(c))
            && !cells(b.bounds())
                .filter_map(|cell| self.taken_in.get(&cell))
                .flatten()
                .any(|&i| self.taken[i].overlaps(b))
    }

    fn covered(&self, b: &Box2) -> usize {
        let mut met: Vec<usize> = cells(b.bounds())
            .filter_map(|cell| self.soft_in.get(&cell))
            .flatten()
            .copied()
            .filter(|&i| b.meets(self.soft[i].0, self.soft[i].1))
            .collect();
        met.sort_unstable();
        met.dedup();
        met.len()
    }

    /// Takes the best free one of several places; `None`, and nothing counted, if none is free.
    pub fn try_place(&mut self, places: impl IntoIterator<Item = Box2>) -> Option<Box2> {
        let mut best: Option<(usize, Box2)> = None;
        for place in places {
            if !self.is_free(&place) {
                continue;
            }
            let covered = self.covered(&place);
            if best.is_none_or(|(least, _)| covered < least) {
                best = Some((covered, place));
            }
            if covered == 0 {
                break;
            }
        }
        best.map(|(_, place)| {
            self.take(place);
            place
        })
    }

    /// The same for a place some way off, whose straight leader back to `from` must cross no label.
    pub fn try_leader(
        &mut self,
        from: PaperPoint,
        places: impl IntoIterator<Item = Box2>,
    ) -> Option<(Box2, PaperPoint)> {
        for place in places {
            let bounds = place.bounds();
            let end = PaperPoint::new(from.x.clamp(bounds.x, bounds.right()), from.y.clamp(bounds.y, bounds.bottom()));
            let start = from.towards(end, 0.25);
            if self.is_free(&place) && !self.taken.iter().any(|b| b.meets(start, end)) {
                self.take(place);
                return Some((place, end));
            }
        }
        None
    }

    /// Counts labels that found no room.
    pub fn drop_some(&mut self, count: usize) {
        self.dropped += count;
    }

    /// How many labels found no room.
    #[must_use]
    pub fn dropped(&self) -> usize {
        self.dropped
    }

    /// All boxes taken, in order.
    #[must_use]
    pub fn taken(&self) -> &[Box2] {
        &self.taken
    }
}

/// Eight places of a box of `w` by `h` round a point, `gap` inches off it, upper right first (where a hand writes).
pub fn round(at: PaperPoint, w: f64, h: f64, gap: f64) -> impl Iterator<Item = Box2> {
    let (dx, dy, level) = (w / 2.0 + gap, h / 2.0 + gap, gap * 1.3);
    [
        (dx, -dy),
        (dx, dy),
        (-dx, -dy),
        (-dx, dy),
        (dx + level - gap, 0.0),
        (-dx - level + gap, 0.0),
        (0.0, -dy - level + gap),
        (0.0, dy + level - gap),
    ]
    .into_iter()
    .map(move |(x, y)| Box2 { centre: at.by(x, y), half_w: w / 2.0, half_h: h / 2.0, angle: 0.0 })
}

/// Places in rings further off, for a leader.
pub fn further(at: PaperPoint, w: f64, h: f64) -> impl Iterator<Item = Box2> {
    (1..=3).flat_map(move |ring| {
        (0..16).map(move |k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 16.0 - std::f64::consts::FRAC_PI_4).sin_cos();
            let off = 0.12 + 0.16 * f64::from(ring);
            let centre = at.by(cos * (w / 2.0 + off), sin * (h / 2.0 + off));
            Box2 { centre, half_w: w / 2.0, half_h: h / 2.0, angle: 0.0 }
        })
    })
}

/// Places of a box of `w` by `h` along a line, upright to read, where the line is nearly straight under it:
/// middle first, then outwards in turn.
#[must_use]
pub fn along(line: &[PaperPoint], w: f64, h: f64) -> Vec<Box2> {
    let mut reached = vec![0.0];
    for pair in line.windows(2) {
        reached.push(reached[reached.len() - 1] + pair[0].distance(pair[1]));
    }
    let total = reached.last().copied().unwrap_or(0.0);
    let at = |s: f64| {
        let i = reached.partition_point(|&r| r < s).clamp(1, line.len() - 1);
        let piece = reached[i] - reached[i - 1];
        line[i - 1].towards(line[i], if piece > 0.0 { (s - reached[i - 1]) / piece } else { 0.0 })
    };
    if line.len() < 2 || total < 1.6 * w {
        return Vec::new();
    }
    [0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85]
        .into_iter()
        .map(|part| (part * total).clamp(0.7 * w, total - 0.7 * w))
        .filter_map(|s| {
            let (a, b) = (at(s - w / 2.0), at(s + w / 2.0));
            if a.distance(b) < 0.96 * w {
                return None;
            }
            let angle = (b.y - a.y).atan2(b.x - a.x).to_degrees();
            let upright = if angle > 90.0 {
                angle - 180.0
            } else if angle <= -90.0 {
                angle + 180.0
            } else {
                angle
            };
            let centre = a.towards(b, 0.5).towards(at(s), 0.5);
            Some(Box2 { centre, half_w: w / 2.0, half_h: h / 2.0, angle: upright })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn boxed(x: f64, y: f64, angle: f64) -> Box2 {
        Box2 { centre: PaperPoint::new(x, y), half_w: 1.0, half_h: 0.2, angle }
    }

    #[test]
    fn turned_boxes_can_pass_where_upright_bounds_would_touch() {
        assert!(boxed(0.0, 0.0, 0.0).overlaps(&boxed(1.5, 0.3, 0.0)));
        assert!(!boxed(0.0, 0.0, 0.0).overlaps(&boxed(2.0, 0.0, 0.0)), "edge to edge is apart");
        assert!(!boxed(0.0, 0.0, 45.0).overlaps(&boxed(0.5, -0.5, 45.0)));
        assert!(boxed(0.0, 0.0, 45.0).overlaps(&boxed(0.5, 0.5, 45.0)), "degrees turn clockwise, y down");
        assert!(boxed(0.0, 0.0, 90.0).meets(PaperPoint::new(-1.0, 0.9), PaperPoint::new(1.0, 0.9)));
        assert!(!boxed(0.0, 0.0, 0.0).meets(PaperPoint::new(-1.0, 0.9), PaperPoint::new(1.0, 0.9)));
    }

    #[test]
    fn overlap_agrees_with_a_fine_grid_of_points() {
        let inside = |b: &Box2, p: PaperPoint| {
            let (sin, cos) = b.angle.to_radians().sin_cos();
            let (dx, dy) = (p.x - b.centre.x, p.y - b.centre.y);
            (dx * cos + dy * sin).abs() < b.half_w && (dy * cos - dx * sin).abs() < b.half_h
        };
        let still = boxed(0.0, 0.0, 20.0);
        for k in 0..60 {
            let other = boxed(f64::from(k % 10) * 0.25, f64::from(k / 10) * 0.25, f64::from(k) * 17.0);
            let shared = (0..240 * 240).any(|i| {
                let p = PaperPoint::new(f64::from(i % 240) * 0.01 - 1.2, f64::from(i / 240) * 0.01 - 1.2);
                inside(&still, p) && inside(&other, p)
            });
            let slightly_less = still.grown(-0.02).overlaps(&other.grown(-0.02));
            assert!(!slightly_less || shared, "{k}: said to overlap");
            assert!(!shared || still.overlaps(&other), "{k}: said to be apart");
        }
    }

    #[test]
    fn a_label_takes_the_first_free_place_and_none_is_put_over_another() {
        let mut placer = Placer::new(Rect::new(0.0, 0.0, 4.0, 4.0));
        let at = PaperPoint::new(2.0, 2.0);
        let mut count = 0;
        while placer.try_place(round(at, 0.5, 0.2, 0.05)).is_some() {
            count += 1;
        }
        assert!((4..=8).contains(&count), "{count}");
        for (i, a) in placer.taken().iter().enumerate() {
            assert!(placer.taken()[..i].iter().all(|b| !a.overlaps(b)));
        }
        let (off, end) = placer.try_leader(at, further(at, 0.5, 0.2)).expect("room further off");
        assert!(off.grown(1e-9).meets(end, end.by(1e-6, 1e-6)));
    }

    #[test]
    fn a_place_that_covers_no_line_is_preferred_and_outside_is_never_taken() {
        let mut placer = Placer::new(Rect::new(0.0, 0.0, 4.0, 4.0));
        placer.spare(&[PaperPoint::new(2.0, 1.8), PaperPoint::new(4.0, 1.8)]);
        let at = PaperPoint::new(2.0, 2.0);
        let place = placer.try_place(round(at, 0.5, 0.2, 0.05)).expect("room");
        assert!(place.centre.y > 2.0, "below, since a line runs above");
        assert!(placer.try_place([boxed(3.9, 3.0, 0.0)]).is_none());
    }

    #[test]
    fn labels_along_a_line_read_upright_and_need_length() {
        let line: Vec<_> = (0..10).map(|i| PaperPoint::new(5.0 - f64::from(i) * 0.5, f64::from(i) * 0.1)).collect();
        let places = along(&line, 0.4, 0.1);
        assert!(places.len() >= 5 && places.iter().all(|b| b.angle.abs() <= 90.0));
        assert!((places[0].angle + 0.2_f64.atan().to_degrees()).abs() < 1e-9, "{}", places[0].angle);
        assert!(along(&line[..2], 0.4, 0.1).is_empty() && along(&[], 0.4, 0.1).is_empty());
    }
}
