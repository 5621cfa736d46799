//! On which side? The predicates alone, before any net: signs must be right, not nearly right.
//!
//! J. R. Shewchuk, Adaptive precision floating-point arithmetic and fast robust geometric predicates, 1997 (from
//! memory), by the crate `robust`; the failing layout by L. Kettner and others, Classroom examples of robustness
//! problems, 2008 (from memory).

use crate::common::assert_close;
use robust::{Coord, incircle, orient2d};

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

/// Source: derived. a (0,0), b (1,0), c (0,1): (1,1) is on the circle, (0.5,0.5) inside by 0.5, (2,2) outside by 4.
#[test]
fn in_circle() {
    let of = |x, y| incircle(at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(x, y));
    assert_close(of(1.0, 1.0), 0.0, 0.0);
    assert_close(of(0.5, 0.5), 0.5, 0.0);
    assert_close(of(2.0, 2.0), -4.0, 0.0);
}

/// Source: layout Kettner et al. 2008 (from memory), counts derived. p = (0.5 + x u, 0.5 + y u) with u = 2^-53 and 0
/// <= x, y < 256, q = (12,12), r = (24,24). The truth is the sign of y - x. Plain doubles get 11,972 of 65,536 signs
/// wrong, 672 of them inverted; at x = 41, y = 48 they say negative where the truth is positive. The adaptive
/// predicate gets every one right.
#[test]
fn plain_doubles_are_wrong_where_the_predicate_is_right() {
    let u = 2.0_f64.powi(-53);
    let sign = |v: f64| i32::from(v > 0.0) - i32::from(v < 0.0);
    let (q, r) = ((12.0, 12.0), (24.0, 24.0));
    let plain = |p: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let (mut wrong, mut inverted, mut robust_right) = (0, 0, 0);
    for x in 0..256_i32 {
        for y in 0..256 {
            let p = (0.5 + f64::from(x) * u, 0.5 + f64::from(y) * u);
            let truth = (y - x).signum();
            wrong += u32::from(sign(plain(p)) != truth);
            inverted += u32::from(sign(plain(p)) * truth == -1);
            robust_right += u32::from(sign(orient2d(at(p.0, p.1), at(q.0, q.1), at(r.0, r.1))) == truth);
            if (x, y) == (41, 48) {
                assert_eq!((sign(plain(p)), truth), (-1, 1));
            }
        }
    }
    assert_eq!((wrong, inverted, robust_right), (11_972, 672, 65_536));
}
