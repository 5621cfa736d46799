//! Which parts of a line lie inside a rectangle of paper?
//!
//! Method: each straight piece is cut by the four edges in turn, keeping the stretch of its parameter that is inside
//! (Liang and Barsky, ACM Transactions on Graphics 3(1), 1984). Pieces that follow each other stay one line.
//! A piece along an edge is inside. Units: inches of paper.

use super::{PaperPoint, Rect};

/// The parts of `line` inside `room`, in its order.
#[must_use]
pub fn line(line: &[PaperPoint], room: &Rect) -> Vec<Vec<PaperPoint>> {
    let mut parts: Vec<Vec<PaperPoint>> = Vec::new();
    let mut is_open = false;
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let Some((from, to)) = stretch(a, b, room) else {
            is_open = false;
            continue;
        };
        let end = if to < 1.0 { a.towards(b, to) } else { b };
        match parts.last_mut() {
            Some(part) if is_open && from == 0.0 => part.push(end),
            _ => parts.push(vec![if from > 0.0 { a.towards(b, from) } else { a }, end]),
        }
        is_open = to == 1.0;
    }
    parts
}

/// From and to which part of the way from `a` to `b` is inside.
fn stretch(a: PaperPoint, b: PaperPoint, room: &Rect) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    // Per edge: speed toward its outside, room left before it.
    let edges = [(-dx, a.x - room.x), (dx, room.right() - a.x), (-dy, a.y - room.y), (dy, room.bottom() - a.y)];
    for (speed, left) in edges {
        if speed > 0.0 {
            to = to.min(left / speed);
        } else if speed < 0.0 {
            from = from.max(left / speed);
        } else if left < 0.0 {
            return None;
        }
    }
    (from < to).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(points: &[(f64, f64)]) -> Vec<PaperPoint> {
        points.iter().map(|&(x, y)| PaperPoint::new(x, y)).collect()
    }

    #[test]
    fn a_line_in_and_out_of_the_paper_comes_in_parts() {
        let room = Rect::new(0.0, 0.0, 2.0, 2.0);
        let through = points(&[(-1.0, 1.0), (1.0, 1.0), (3.0, 1.0), (3.0, 1.5), (1.0, 1.5), (1.0, 1.8)]);
        let parts = line(&through, &room);
        assert_eq!(parts[0], points(&[(0.0, 1.0), (1.0, 1.0), (2.0, 1.0)]));
        assert_eq!(parts[1], points(&[(2.0, 1.5), (1.0, 1.5), (1.0, 1.8)]));
        assert_eq!(parts.len(), 2);
    }

    #[test]
    fn a_line_inside_is_unchanged_and_one_outside_is_gone() {
        let room = Rect::new(0.0, 0.0, 2.0, 2.0);
        let inside = points(&[(0.0, 0.0), (2.0, 0.0), (1.0, 1.0)]);
        assert_eq!(line(&inside, &room), std::slice::from_ref(&inside));
        assert!(line(&points(&[(-1.0, -1.0), (3.0, -0.5)]), &room).is_empty());
        assert!(line(&points(&[(3.0, 0.0), (3.0, 2.0)]), &room).is_empty());
        assert!(line(&inside[..1], &room).is_empty());
    }
}
