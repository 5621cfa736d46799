//! Which lines hatch a patch of ground made of many small pieces?
//!
//! ```text
//!   ╱╱╱╱╱     parallel lines, one family for the whole sheet; each piece cuts its own
//!  ╱╱╱╱╱      stretch out of every line, and stretches that touch are joined again,
//! ╱╱╱╱╱       so no piece shows inside the patch
//! ```
//! Method: a line is `x + y = k * step` (rising to the right at 45 degrees on paper, y down). A convex piece meets
//! it in one stretch, found from the crossings of its edges. Units: inches of paper. Pieces without area give nothing.

use super::PaperPoint;
use std::collections::BTreeMap;

/// Lines `gap` inches apart across all the convex `pieces`.
#[must_use]
pub fn lines(pieces: &[Vec<PaperPoint>], gap: f64) -> Vec<[PaperPoint; 2]> {
    let step = gap * std::f64::consts::SQRT_2;
    let mut stretches: BTreeMap<i64, Vec<(f64, f64)>> = BTreeMap::new();
    for piece in pieces {
        let (least, most) = piece.iter().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.x + p.y), b.max(p.x + p.y)));
        if !(most - least).is_finite() {
            continue;
        }
        #[expect(clippy::cast_possible_truncation, reason = "a sheet has a few thousand lines")]
        let (first, last) = ((least / step).ceil() as i64, (most / step).floor() as i64);
        for k in first..=last {
            if let Some(stretch) = crossing(piece, k as f64 * step) {
                stretches.entry(k).or_default().push(stretch);
            }
        }
    }
    let mut lines = Vec::new();
    for (k, mut on_line) in stretches {
        on_line.sort_by(|a, b| a.0.total_cmp(&b.0));
        let end = |x: f64| PaperPoint::new(x, k as f64 * step - x);
        let mut open: Option<(f64, f64)> = None;
        for (from, to) in on_line {
            match &mut open {
                // A hundredth of a hair: neighbours share their edge up to the last bits.
                Some((_, until)) if from <= *until + 1e-5 => *until = until.max(to),
                _ => {
                    lines.extend(open.replace((from, to)).map(|(a, b)| [end(a), end(b)]));
                }
            }
        }
        lines.extend(open.map(|(a, b)| [end(a), end(b)]));
    }
    lines
}

/// Lines `gap` inches apart falling to the right, inside an odd number of `rings` of any form.
#[must_use]
pub fn across(rings: &[Vec<PaperPoint>], gap: f64) -> Vec<[PaperPoint; 2]> {
    let step = gap * std::f64::consts::SQRT_2;
    let level = |p: &PaperPoint| p.x - p.y;
    let all = || rings.iter().flatten().map(level);
    let (least, most) = (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max));
    // Nothing, or a ring that no sheet holds.
    if !(0.0..1e4).contains(&(most - least)) {
        return Vec::new();
    }
    let mut lines = Vec::new();
    #[expect(clippy::cast_possible_truncation, reason = "a sheet has a few thousand lines")]
    let (first, last) = ((least / step).ceil() as i64, (most / step).floor() as i64);
    for k in first..=last {
        let held = k as f64 * step;
        let mut crossings: Vec<PaperPoint> = Vec::new();
        for ring in rings {
            for (i, a) in ring.iter().enumerate() {
                let b = &ring[(i + 1) % ring.len()];
                let (da, db) = (level(a) - held, level(b) - held);
                if (da <= 0.0) != (db <= 0.0) {
                    crossings.push(a.towards(*b, da / (da - db)));
                }
            }
        }
        crossings.sort_by(|a, b| a.x.total_cmp(&b.x));
        lines.extend(crossings.as_chunks::<2>().0.iter().filter(|[a, b]| b.x - a.x > 1e-9));
    }
    lines
}

/// The stretch of the line `x + y = sum` inside a convex piece, as x from and to.
fn crossing(piece: &[PaperPoint], sum: f64) -> Option<(f64, f64)> {
    let (mut from, mut to) = (f64::MAX, f64::MIN);
    for (i, a) in piece.iter().enumerate() {
        let b = piece[(i + 1) % piece.len()];
        let (da, db) = (a.x + a.y - sum, b.x + b.y - sum);
        if (da <= 0.0) != (db <= 0.0) {
            let x = a.x + (b.x - a.x) * da / (da - db);
            from = from.min(x);
            to = to.max(x);
        }
    }
    (to - from > 1e-9).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64) -> Vec<PaperPoint> {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].iter().map(|&(dx, dy)| PaperPoint::new(x + dx, dy)).collect()
    }

    #[test]
    fn lines_of_a_unit_square_have_the_length_of_its_area_over_the_gap() {
        let gap = 0.01;
        let total: f64 = lines(&[square(0.0)], gap).iter().map(|[a, b]| a.distance(*b)).sum();
        assert!((total * gap - 1.0).abs() < 1e-3, "{total}");
    }

    #[test]
    fn two_touching_squares_are_hatched_as_one() {
        let apart = lines(&[square(0.0), square(1.5)], 0.1).len();
        let touching = lines(&[square(0.0), square(1.0)], 0.1);
        assert!(touching.len() < apart);
        assert!(touching.windows(2).all(|w| w[0][0].x + w[0][0].y < w[1][0].x + w[1][0].y), "one stretch a line");
    }

    #[test]
    fn a_ring_with_a_hole_is_hatched_by_its_area() {
        let hole: Vec<PaperPoint> =
            square(0.0).iter().map(|p| PaperPoint::new(0.3 + p.x / 4.0, 0.5 + p.y / 4.0)).collect();
        let gap = 0.01;
        let drawn = across(&[square(0.0), hole], gap);
        let total: f64 = drawn.iter().map(|[a, b]| a.distance(*b)).sum();
        assert!((total * gap - 15.0 / 16.0).abs() < 1e-3, "{total}");
        let in_hole = |p: PaperPoint| p.x > 0.301 && p.x < 0.549 && p.y > 0.501 && p.y < 0.749;
        assert!(drawn.iter().all(|[a, b]| !in_hole(a.towards(*b, 0.5))));
        assert!(across(&[], gap).is_empty() && across(&[vec![]], gap).is_empty());
    }

    #[test]
    fn nothing_gives_no_lines() {
        assert!(lines(&[], 0.1).is_empty());
        assert!(lines(&[vec![], vec![PaperPoint::new(1.0, 1.0); 3]], 0.1).is_empty());
    }
}
