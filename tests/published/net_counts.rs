//! How many triangles? Euler's formula: n points, h of them on the hull, points on its straight parts included, make
//! 2n - 2 - h triangles and 3n - 3 - h edges (triangles seen on a mathematics question page with its proof; edges
//! from memory).

use crate::common::{assert_close, built};
use spadework::surface::{Cells, Surface};

fn grid(side: u32, height: impl Fn(u32, u32) -> f64) -> Vec<[f64; 3]> {
    (0..side * side).map(|i| [f64::from(i % side), f64::from(i / side), height(i % side, i / side)]).collect()
}

/// Triangles, edges, and points on the hull.
fn counts(surface: &Surface) -> (usize, usize, usize) {
    surface.check().expect("a surface keeps its laws");
    let (net, hull) = (surface.net(), surface.net().outline().len());
    let sides = 3 * net.triangles();
    // A side inside belongs to two triangles, one on the hull to one.
    let open = (0..net.triangles())
        .flat_map(|t| (0..3).map(move |side| (t, side)))
        .filter(|&(t, side)| net.across(u32::try_from(t).expect("few triangles"), side).is_none())
        .count();
    assert_eq!(open, hull);
    (net.triangles(), (sides + hull) / 2, hull)
}

/// Source: derived. 3 x 3 grid: 8 triangles, 16 edges, 8 on the hull (by its 4 corners alone it would be 12: wrong).
/// 5 x 5 grid: 32, 56, 16. Every square is a tie, split by either diagonal; or, in one plane, left as the
/// triangulation has it.
#[test]
fn square_grids_before_nodes() {
    for (side, want) in [(3, (8, 16, 8)), (5, (32, 56, 16))] {
        let bumpy = grid(side, |x, y| f64::from((3 * x * x + 5 * y + x * y) % 7));
        for cells in [Cells::FirstDiagonals, Cells::SecondDiagonals] {
            assert_eq!(counts(&built(&bumpy, cells)), want);
        }
        assert_eq!(counts(&built(&grid(side, |_, _| 1.0), Cells::Nodes)), want);
        assert_eq!(counts(&built(&grid(side, |x, y| 0.5 * f64::from(x) - 0.25 * f64::from(y)), Cells::Nodes)), want);
    }
}

/// Source: derived. A node in every square that is not plane: one point and two triangles more a square.
#[test]
fn square_grids_with_nodes() {
    for (side, squares) in [(3, 4), (5, 16)] {
        // x y is no plane on any square.
        let surface = built(&grid(side, |x, y| f64::from(x * y)), Cells::Nodes);
        let n = usize::try_from(side * side).expect("small") + squares;
        let (triangles, edges, hull) = counts(&surface);
        assert_eq!(surface.net().vertices(), n);
        assert_eq!((triangles, edges), (2 * n - 2 - hull, 3 * n - 3 - hull));
        assert_eq!(triangles, 4 * squares);
    }
}

/// Source: Euler's formula, on irregular places. The hull, too, is that of the places: areas agree with Gauss's
/// formula over it.
#[test]
fn irregular_places() {
    let mut seed = 1_u64;
    // Knuth's multiplier; the high bits are irregular enough for places.
    let mut next = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(seed >> 44).expect("twenty bits")) / 1000.0
    };
    for n in [3, 4, 10, 200] {
        let places: Vec<[f64; 3]> = (0..n).map(|_| [next(), next(), next()]).collect();
        let surface = built(&places, Cells::Nodes);
        let (triangles, edges, hull) = counts(&surface);
        assert_eq!((triangles, edges), (2 * n - 2 - hull, 3 * n - 3 - hull));
        let frame = surface.net().frame();
        let ring: Vec<(f64, f64)> =
            surface.net().outline().iter().map(|&v| frame.site(surface.net().place(v))).collect();
        let (n0, e0) = ring[0];
        let doubled: f64 = ring.windows(2).map(|w| (w[0].1 - e0) * (w[1].0 - n0) - (w[1].1 - e0) * (w[0].0 - n0)).sum();
        assert_close(surface.net().area(), doubled / 2.0, 1e-9 * doubled);
    }
}
