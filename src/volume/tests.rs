use super::*;
use crate::par::silent;
use crate::shots::{Frame, Shots};
use crate::surface::Cells;

fn pair(a: &Shots, b: &Shots) -> (Surface, Surface, Frame) {
    let frame = Frame::of(&[a, b]);
    let build = |s| Surface::build(s, frame, Cells::Nodes).unwrap_or_else(|e| panic!("{e}"));
    (build(a), build(b), frame)
}

fn near(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-12 * want.abs().max(1.0), "{got} is not {want}");
}

#[test]
fn a_small_pad_on_a_large_plane_covers_only_itself() {
    let lot = Shots::ground(&[
        ("a", 0.0, 0.0, 1.0),
        ("b", 0.0, 100.0, 1.0),
        ("c", 100.0, 0.0, 1.0),
        ("d", 100.0, 100.0, 1.0),
    ]);
    let pad = Shots::ground(&[("p", 20.0, 30.0, 0.0), ("q", 20.0, 33.0, 0.0), ("r", 24.0, 30.0, 0.0)]);
    let (before, after, _) = pair(&lot, &pad);
    let o = overlay(&before, &after, None, &silent);
    near(o.area, 6.0);
    near(o.cut, 6.0);
    assert_eq!((o.fill, o.cut_area), (0.0, o.area));
    assert_eq!(overlay(&after, &before, None, &silent), o.swapped());
    assert!(o.unclosed < 1e-12);
}

#[test]
fn surfaces_apart_share_nothing() {
    let a = Shots::ground(&[("a", 0.0, 0.0, 1.0), ("b", 0.0, 10.0, 1.0), ("c", 10.0, 0.0, 1.0)]);
    let b = Shots::ground(&[("a", 50.0, 50.0, 1.0), ("b", 50.0, 60.0, 1.0), ("c", 60.0, 50.0, 1.0)]);
    let (before, after, _) = pair(&a, &b);
    assert_eq!(overlay(&before, &after, None, &silent), Overlay::default());
}

#[test]
fn a_star_across_a_triangle_meets_it_though_no_corner_lies_in_the_other() {
    let a = Shots::ground(&[("a", 0.0, 3.0, 1.0), ("b", 9.0, 0.0, 1.0), ("c", 9.0, 6.0, 1.0)]);
    let b =
        Shots::ground(&[("a", 6.0, -1.0, 0.0), ("b", 6.5, 30.0, 0.0), ("c", 7.0, 30.0, 0.0), ("d", 7.0, -1.0, 0.0)]);
    let (before, after, _) = pair(&a, &b);
    let o = overlay(&before, &after, None, &silent);
    assert!(o.area > 1.0 && o.unclosed < 1e-12, "{o:?}");
    near(o.cut, o.area);
}

#[test]
fn a_limit_cuts_exactly_and_splits_add_up() {
    let lot = Shots::ground(&[
        ("a", 0.0, 0.0, 1.0),
        ("b", 0.0, 10.0, 2.0),
        ("c", 10.0, 0.0, 3.0),
        ("d", 10.0, 10.0, 7.0),
        ("e", 5.0, 4.0, 0.5),
    ]);
    let pad =
        Shots::ground(&[("a", 0.0, 0.0, 2.0), ("b", 0.0, 10.0, 2.0), ("c", 10.0, 0.0, 2.0), ("d", 10.0, 10.0, 2.0)]);
    let (before, after, frame) = pair(&lot, &pad);
    let m = |n: i64, e: i64| (n * 1_000_000, e * 1_000_000);
    let region = |ring: Vec<(i64, i64)>| Region::new(&[ring], frame).unwrap_or_else(|e| panic!("{e}"));
    let whole = overlay(&before, &after, None, &silent);
    let left = region(vec![m(-5, -5), m(-5, 4), m(5, 2), m(15, 6), m(15, -5)]);
    let right = region(vec![m(-5, 4), m(5, 2), m(15, 6), m(15, 20), m(-5, 20)]);
    let parts = [left, right].map(|r| overlay(&before, &after, Some(&r), &silent));
    near(parts[0].cut + parts[1].cut, whole.cut);
    near(parts[0].fill + parts[1].fill, whole.fill);
    near(parts[0].area + parts[1].area, whole.area);
    assert!(parts.iter().all(|p| p.area > 10.0));
}

#[test]
fn half_the_spread_between_the_diagonals_is_the_doubt() {
    // +1 -1 +1 -1 going round 10 by 10: cut 41.667 with one diagonal, 8.333 with the other.
    let ring =
        |z: f64| Shots::ground(&[("a", 0.0, 0.0, z), ("b", 0.0, 10.0, -z), ("c", 10.0, 10.0, z), ("d", 10.0, 0.0, -z)]);
    let (before, after, _) = pair(&ring(1.0), &ring(0.0));
    near(diagonal_doubt(&before, &after, None), 50.0 / 3.0);
    near(overlay(&before, &after, None, &silent).cut, overlay(&before, &after, None, &silent).fill);
}

#[test]
fn bands_make_up_the_ground_and_the_volume() {
    let lot =
        Shots::ground(&[("a", 0.0, 0.0, 1.0), ("b", 0.0, 10.0, 2.0), ("c", 10.0, 0.0, 3.0), ("d", 10.0, 10.0, 7.0)]);
    let pad =
        Shots::ground(&[("a", 0.0, 0.0, 2.0), ("b", 0.0, 10.0, 2.5), ("c", 10.0, 0.0, 2.0), ("d", 10.0, 10.0, 2.0)]);
    let (before, after, _) = pair(&lot, &pad);
    let bands = Bands::between(&before, &after, None, &[-0.5, 0.0, 1.0, 2.0]);
    let area = |ring: &[[f64; 2]]| {
        (1..ring.len() - 1)
            .map(|k| {
                let [a, b, c] = [ring[0], ring[k], ring[k + 1]];
                ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).abs() / 2e12
            })
            .sum::<f64>()
    };
    let o = overlay(&before, &after, None, &silent);
    near(bands.pieces.iter().map(|p| area(&p.ring)).sum(), o.area);
    near(bands.pieces.iter().filter(|p| p.band >= 2).map(|p| area(&p.ring)).sum(), o.cut_area);
    assert!(!bands.zero.is_empty());
}
