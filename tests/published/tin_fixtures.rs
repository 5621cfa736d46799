//! Small nets whose volumes are known in closed form (derived). Every one is a way to get it wrong.

use crate::common::{Given, assert_close, built_pair, given_pair, level, volumes};
use spadework::surface::{Cells, Surface};
use spadework::units::{BankVolume, LengthUnit};
use spadework::volume::Overlay;

const TIGHT: f64 = 1e-9;

fn against(net: Given, design: f64) -> Overlay {
    let (before, after) = given_pair(net, (&level(net, design), net.1));
    volumes(&before, &after)
}

fn plane(x: f64, y: f64) -> [f64; 3] {
    [x, y, 100.0 - 0.02 * x - 0.01 * y]
}

/// Source: derived. z = 100 - 0.02 x - 0.01 y over 30 by 20 against 98.0: 960.00 ft3 = 35.5556 yd3 for any
/// triangulation of the rectangle, steepest slope 2.23607 %.
#[test]
fn a_plane_whatever_its_triangles() {
    let corners = [plane(0.0, 0.0), plane(30.0, 0.0), plane(30.0, 20.0), plane(0.0, 20.0)];
    let with_one: Vec<_> = corners.into_iter().chain([plane(7.0, 13.0)]).collect();
    let with_two: Vec<_> = with_one.iter().copied().chain([plane(30.0, 4.0)]).collect();
    let nets: [Given; 4] = [
        (&corners, &[[0, 1, 2], [0, 2, 3]]),
        (&corners, &[[0, 1, 3], [1, 2, 3]]),
        (&with_one, &[[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]),
        (&with_two, &[[0, 1, 5], [0, 5, 4], [5, 2, 4], [2, 3, 4], [3, 0, 4]]),
    ];
    for net in nets {
        let v = against(net, 98.0);
        assert_close(v.cut, 960.00, TIGHT);
        assert_close(v.fill, 0.0, 0.0);
        assert_close(BankVolume::cubic_job_units(v.cut).spoken(LengthUnit::Foot), 35.5556, 0.00005);
        let (surface, _) = given_pair(net, net);
        for t in 0..net.1.len() {
            let slope = surface.slope(u32::try_from(t).expect("few triangles"));
            assert_close(100.0 * slope, 2.23607, 0.000_005);
        }
    }
}

/// Source: derived. Contours of that plane 0.1 ft apart in height lie 4.4721 ft apart in plan.
#[test]
fn contours_of_a_plane_are_evenly_spaced() {
    let corners = [plane(0.0, 0.0), plane(30.0, 0.0), plane(30.0, 20.0), plane(0.0, 20.0)];
    let net: Given = (&corners, &[[0, 1, 2], [0, 2, 3]]);
    let (surface, _) = given_pair(net, net);
    let lines = surface.contours(&[99.75, 99.65, 99.55]);
    assert_eq!(lines.len(), 3);
    let frame = surface.net().frame();
    let ends = |k: usize| {
        let p = &lines[k].points;
        (frame.site(p[0]), frame.site(p[p.len() - 1]))
    };
    for k in 0..2 {
        let ((n0, e0), (n1, e1)) = ends(k);
        let ((n, e), _) = ends(k + 1);
        let apart = ((e1 - e0) * (n - n0) - (n1 - n0) * (e - e0)).abs() / (e1 - e0).hypot(n1 - n0);
        assert_close(apart, 4.4721, 0.00005);
    }
}

const PYRAMID: Given<'static> = (
    &[[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 10.0, 0.0], [0.0, 10.0, 0.0], [5.0, 5.0, 3.0]],
    &[[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]],
);

/// Source: derived. Square pyramid, base 10 by 10 at 0, apex 3: against 0 cut 100.0, against 1.0 cut and fill 29.6296
/// each.
#[test]
fn a_pyramid_against_a_level() {
    let v = against(PYRAMID, 0.0);
    assert_close(v.cut, 100.0, TIGHT);
    assert_close(v.fill, 0.0, 0.0);
    let v = against(PYRAMID, 1.0);
    assert_close(v.cut, 29.6296, 0.00005);
    assert_close(v.fill, 29.6296, 0.00005);
    assert_close(v.cut - v.fill, 0.0, TIGHT);
    // Above 1.0 the pyramid is two thirds as wide.
    assert_close(v.cut_area, 400.0 / 9.0, TIGHT);
    assert_close(v.fill_area, 500.0 / 9.0, TIGHT);
}

const ROOF: Given<'static> = (
    &[[0.0, 0.0, 0.0], [5.0, 0.0, 3.0], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0], [5.0, 10.0, 3.0], [10.0, 10.0, 0.0]],
    &[[0, 1, 4], [0, 4, 3], [1, 2, 5], [1, 5, 4]],
);

/// Source: derived. The pyramid under a roof with its ridge along x = 5: fill 50.0 ft3 = 1.85185 yd3, no cut. A
/// comparison at the vertices, or at sampled places, misses it: the edges must be overlaid.
#[test]
fn a_pyramid_under_a_roof() {
    let (before, after) = given_pair(PYRAMID, ROOF);
    let v = volumes(&before, &after);
    assert_close(v.fill, 50.0, TIGHT);
    assert_close(v.cut, 0.0, TIGHT);
    assert_close(v.fill / 27.0, 1.85185, 0.000_005);
}

/// Source: derived. One triangle of 50 ft2 with depths at its corners: cut and fill by the closed form for one corner
/// of unlike sign.
#[test]
fn one_triangle_with_cut_and_fill() {
    for (d, cut, fill) in [
        ([1.0, -1.0, -2.0], 2.7778, 36.1111),
        ([2.0, 1.0, -1.0], 36.1111, 2.7778),
        ([0.5, -0.5, 0.0], 4.1667, 4.1667),
        ([3.0, 0.0, -3.0], 25.0, 25.0),
    ] {
        // Each corner in turn at each place, both directions round.
        for turn in 0..3 {
            for swap in [false, true] {
                let mut z = [d[turn], d[(turn + 1) % 3], d[(turn + 2) % 3]];
                if swap {
                    z.swap(0, 1);
                }
                let v = against((&[[0.0, 0.0, z[0]], [10.0, 0.0, z[1]], [0.0, 10.0, z[2]]], &[[0, 1, 2]]), 0.0);
                assert_close(v.cut, cut, 0.00005);
                assert_close(v.fill, fill, 0.00005);
                assert_close(v.cut - v.fill, 50.0 * (d[0] + d[1] + d[2]) / 3.0, TIGHT);
            }
        }
    }
}

const SADDLE: [[f64; 3]; 4] = [[0.0, 0.0, 1.0], [10.0, 0.0, -1.0], [10.0, 10.0, 1.0], [0.0, 10.0, -1.0]];

/// Source: derived. Square 10 by 10, corners +1 -1 +1 -1 going round: with the diagonal that joins the +1 corners cut
/// 41.667 and fill 8.333, with the other the mirror image.
#[test]
fn a_saddle_by_either_diagonal() {
    let v = against((&SADDLE, &[[0, 1, 2], [0, 2, 3]]), 0.0);
    assert_close(v.cut, 41.667, 0.0005);
    assert_close(v.fill, 8.333, 0.0005);
    assert_close(v.cut - v.fill, 33.333, 0.0005);
    let v = against((&SADDLE, &[[0, 1, 3], [1, 2, 3]]), 0.0);
    assert_close(v.cut, 8.333, 0.0005);
    assert_close(v.fill, 41.667, 0.0005);
    assert_close(v.cut - v.fill, -33.333, 0.0005);
}

/// Source: derived. The four-corner average of that saddle is 0, and so is the net with a node in the middle.
#[test]
fn a_saddle_with_a_node_is_level_on_the_whole() {
    let (before, after) = built_pair(&SADDLE, &SADDLE.map(|[x, y, _]| [x, y, 0.0]), Cells::Nodes);
    let v = volumes(&before, &after);
    // Four triangles of 25 with depths +1, -1 and 0 at the node: each 25/6 of either.
    assert_close(v.cut, 50.0 / 3.0, TIGHT);
    assert_close(v.fill, 50.0 / 3.0, TIGHT);
}

fn roof_raised() -> Vec<[f64; 3]> {
    ROOF.0.iter().map(|&[x, y, z]| [x, y, 0.8 * z + 0.4]).collect()
}

fn volumes_of(before: &[[f64; 3]], after: &[[f64; 3]]) -> Overlay {
    let (a, b): (Surface, Surface) = given_pair((before, PYRAMID.1), (after, ROOF.1));
    volumes(&a, &b)
}

/// Source: derived. Swapping existing and proposed swaps cut and fill, exactly.
#[test]
fn swapped_surfaces() {
    let (a, b) = given_pair(PYRAMID, (&roof_raised(), ROOF.1));
    let (there, back) = (volumes(&a, &b), volumes(&b, &a));
    assert!(there.cut > 0.0 && there.fill > 0.0);
    assert_eq!((there.cut, there.fill), (back.fill, back.cut));
    assert_eq!((there.cut_area, there.fill_area), (back.fill_area, back.cut_area));
}

/// Source: derived. Plan scaled by a and heights by b scale volumes by a^2 b.
#[test]
fn scaled_surfaces() {
    let (a, b) = (3.5, 0.25);
    let scaled =
        |corners: &[[f64; 3]]| -> Vec<[f64; 3]> { corners.iter().map(|&[x, y, z]| [a * x, a * y, b * z]).collect() };
    let (small, large) =
        (volumes_of(PYRAMID.0, &roof_raised()), volumes_of(&scaled(PYRAMID.0), &scaled(&roof_raised())));
    assert_close(large.cut, a * a * b * small.cut, TIGHT);
    assert_close(large.fill, a * a * b * small.fill, TIGHT);
}

/// Source: derived. 1000 added to both surfaces, or x and y shifted by 2,000,000, change no volume (asked: 1e-6
/// relative).
#[test]
fn shifted_surfaces() {
    let shifted = |corners: &[[f64; 3]], plan: f64, up: f64| -> Vec<[f64; 3]> {
        corners.iter().map(|&[x, y, z]| [x + plan, y + plan, z + up]).collect()
    };
    let home = volumes_of(PYRAMID.0, &roof_raised());
    let raised = volumes_of(&shifted(PYRAMID.0, 0.0, 1000.0), &shifted(&roof_raised(), 0.0, 1000.0));
    assert_close(raised.cut, home.cut, 1e-9 * home.cut);
    assert_close(raised.fill, home.fill, 1e-9 * home.fill);
    // Places are whole millionths about a local origin: the shift leaves no trace at all.
    let moved = volumes_of(&shifted(PYRAMID.0, 2e6, 0.0), &shifted(&roof_raised(), 2e6, 0.0));
    assert_eq!((moved.cut, moved.fill), (home.cut, home.fill));
}
