//! Convex pieces of the plane: splitting them and taking one from another.
//!
//! Corners counter-clockwise in the local frame (millionths, broken numbers where two lines cross). A piece smaller than a
//! square millionth is nothing: no coordinate is typed finer.

/// A convex piece.
pub type Convex = Vec<[f64; 2]>;

/// Pieces below this many square millionths are dropped.
const NOTHING: f64 = 1.0;

/// Twice the signed area.
#[must_use]
pub fn doubled_area(piece: &[[f64; 2]]) -> f64 {
    let Some((a, rest)) = piece.split_first() else { return 0.0 };
    rest.windows(2).map(|w| (w[0][0] - a[0]) * (w[1][1] - a[1]) - (w[0][1] - a[1]) * (w[1][0] - a[0])).sum()
}

fn kept(piece: Convex) -> Option<Convex> {
    (piece.len() > 2 && doubled_area(&piece) > 2.0 * NOTHING).then_some(piece)
}

/// The parts of a piece where a linear function is not negative and where it is not positive.
#[must_use]
pub fn split(piece: &Convex, f: impl Fn([f64; 2]) -> f64) -> (Option<Convex>, Option<Convex>) {
    let value: Vec<f64> = piece.iter().map(|&p| f(p)).collect();
    if value.iter().all(|&v| v >= 0.0) {
        return (Some(piece.clone()), None);
    }
    if value.iter().all(|&v| v <= 0.0) {
        return (None, Some(piece.clone()));
    }
    let (mut above, mut below) = (Vec::new(), Vec::new());
    for k in 0..piece.len() {
        let next = (k + 1) % piece.len();
        let (a, b, fa, fb) = (piece[k], piece[next], value[k], value[next]);
        if fa >= 0.0 {
            above.push(a);
        }
        if fa <= 0.0 {
            below.push(a);
        }
        if fa * fb < 0.0 {
            let part = fa / (fa - fb);
            let x = [a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])];
            above.push(x);
            below.push(x);
        }
    }
    (kept(above), kept(below))
}

/// Positive to the left of a to b.
fn left_of(a: [f64; 2], b: [f64; 2]) -> impl Fn([f64; 2]) -> f64 {
    move |p| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
}

/// What of `piece` lies inside `other`, and the convex parts of it that do not.
pub(super) fn inside(piece: &Convex, other: &[[f64; 2]]) -> (Option<Convex>, Vec<Convex>) {
    let mut rest = piece.clone();
    let mut out = Vec::new();
    for k in 0..other.len() {
        let (a, b) = (other[k], other[(k + 1) % other.len()]);
        let (within, beyond) = split(&rest, left_of(a, b));
        out.extend(beyond);
        match within {
            Some(w) => rest = w,
            // Nothing is shared: the piece stays whole, not in parts.
            None => return (None, vec![piece.clone()]),
        }
    }
    (Some(rest), out)
}

/// What of the pieces lies in none of the others.
pub(super) fn minus(pieces: Vec<Convex>, others: &[[[f64; 2]; 3]]) -> Vec<Convex> {
    others.iter().fold(pieces, |left, other| left.iter().flat_map(|piece| inside(piece, other).1).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, s: f64) -> Convex {
        [[x, y], [x + s, y], [x + s, y + s], [x, y + s]].map(|p| p.map(|v| v * 1e6)).to_vec()
    }

    fn area(pieces: &[Convex]) -> f64 {
        pieces.iter().map(|p| doubled_area(p)).sum::<f64>() / 2e12
    }

    #[test]
    fn inside_and_outside_make_up_the_whole() {
        for (other, shared) in [
            (square(1.0, 1.0, 2.0), 1.0),
            (square(-1.0, -1.0, 9.0), 4.0),
            (square(0.5, 0.5, 1.0), 1.0),
            (square(5.0, 5.0, 1.0), 0.0),
        ] {
            let (within, beyond) = inside(&square(0.0, 0.0, 2.0), &other);
            assert!((within.iter().map(|p| doubled_area(p)).sum::<f64>() / 2e12 - shared).abs() < 1e-12);
            assert!((area(&beyond) - (4.0 - shared)).abs() < 1e-12);
        }
    }

    #[test]
    fn touching_pieces_lose_nothing() {
        let (within, beyond) = inside(&square(0.0, 0.0, 2.0), &square(2.0, 0.0, 2.0));
        assert_eq!((within, beyond.len()), (None, 1));
    }
}
