//! Does the engine give what can be worked out on paper?
//!
//! Bodies whose volume has a closed form, to 1e-12 of it: each at home, at northing 4,500,000 and easting 600,000, and for a
//! site about half a unit wide at both. Places are laid out in a round size and scaled; areas scale by the square, heights
//! stay. Every body is also asked with the surfaces exchanged.

mod common;

use common::{assert_close, shots, volumes};
use spadework::par::silent;
use spadework::shots::{Frame, to_micro};
use spadework::surface::{Cells, Region, Surface};
use spadework::volume::{Overlay, area_inside, overlay};

const TOLERANCE: f64 = 1e-12;

/// Where a body is laid out, and how large.
#[derive(Clone, Copy, Debug)]
struct Site {
    east: f64,
    north: f64,
    scale: f64,
}

const SITES: [Site; 4] = [
    Site { east: 0.0, north: 0.0, scale: 1.0 },
    Site { east: 600_000.0, north: 4_500_000.0, scale: 1.0 },
    Site { east: 0.0, north: 0.0, scale: 0.025 },
    Site { east: 600_000.0, north: 4_500_000.0, scale: 0.025 },
];

/// To whole millionths, as a place is typed.
fn typed(v: f64) -> f64 {
    (v * 1e6).round() / 1e6
}

impl Site {
    fn place(self, x: f64, y: f64) -> [f64; 2] {
        [self.east + typed(x * self.scale), self.north + typed(y * self.scale)]
    }

    fn lay(self, body: &[[f64; 3]]) -> Vec<[f64; 3]> {
        let at = |&[x, y, z]: &[f64; 3]| {
            let [e, n] = self.place(x, y);
            [e, n, z]
        };
        body.iter().map(at).collect()
    }

    fn pair(self, before: &[[f64; 3]], after: &[[f64; 3]]) -> (Surface, Surface) {
        common::built_pair(&self.lay(before), &self.lay(after), Cells::Nodes)
    }

    fn ring(self, ring: &[[f64; 2]]) -> Vec<(i64, i64)> {
        ring.iter().map(|&[x, y]| self.place(x, y)).map(|[e, n]| (to_micro(n), to_micro(e))).collect()
    }

    /// An area or a volume of the layout, at this scale.
    fn scaled(self, v: f64) -> f64 {
        v * self.scale * self.scale
    }
}

/// Cut, fill, area of cut, area of fill.
type Four = [f64; 4];

/// Asks both ways round. A number that should be 0 is held against the whole volume or area.
#[track_caller]
fn assert_four(site: Site, before: &Surface, after: &Surface, region: Option<&Region>, want: Four) {
    let got = overlay(before, after, region, &silent);
    let [cut, fill, cut_area, fill_area] = want.map(|v| site.scaled(v));
    assert_close(got.cut, cut, TOLERANCE * (cut + fill));
    assert_close(got.fill, fill, TOLERANCE * (cut + fill));
    assert_close(got.cut_area, cut_area, TOLERANCE * got.area);
    assert_close(got.fill_area, fill_area, TOLERANCE * got.area);
    assert_eq!(overlay(after, before, region, &silent), got.swapped(), "the other way round");
}

/// Corners of a rectangle at one height.
fn level(wide: f64, long: f64, z: f64) -> Vec<[f64; 3]> {
    vec![[0.0, 0.0, z], [wide, 0.0, z], [wide, long, z], [0.0, long, z]]
}

/// A rectangle under a height that is a function of place, corners first, with a few shots strewn inside that lie on no
/// common circle or line.
fn strewn(wide: f64, long: f64, z: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    let inside = [(0.31, 0.17), (0.72, 0.23), (0.45, 0.52), (0.13, 0.71), (0.81, 0.84), (0.58, 0.91), (0.92, 0.43)];
    let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    corners.iter().chain(&inside).map(|&(u, v)| [u * wide, v * long, z(u * wide, v * long)]).collect()
}

/// A pyramid on the square 0..10, its top in the middle.
fn pyramid(top: f64) -> Vec<[f64; 3]> {
    let mut body = level(10.0, 10.0, 0.0);
    body.push([5.0, 5.0, top]);
    body
}

/// A roof on the same square, its ridge along x = 5.
fn ridge(top: f64) -> Vec<[f64; 3]> {
    let mut body = level(10.0, 10.0, 0.0);
    body.extend([[5.0, 0.0, top], [5.0, 10.0, top]]);
    body
}

#[test]
fn a_plane_against_a_tilted_plane() {
    // 20 x 10, level against 0.3 up to the east, equal at x = 8: two wedges.
    let tilted = |x: f64, _: f64| 5.0 + 0.3 * (x - 8.0);
    let (cut, fill) = (0.3 * 64.0 / 2.0 * 10.0, 0.3 * 144.0 / 2.0 * 10.0);
    for site in SITES {
        let plain = [[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 10.0]].map(|[x, y]| [x, y, tilted(x, y)]);
        for (before, after) in [
            (level(20.0, 10.0, 5.0), plain.to_vec()),
            (strewn(20.0, 10.0, |_, _| 5.0), plain.to_vec()),
            (level(20.0, 10.0, 5.0), strewn(20.0, 10.0, tilted)),
        ] {
            let (a, b) = site.pair(&before, &after);
            assert_four(site, &a, &b, None, [cut, fill, 80.0, 120.0]);
            let got = volumes(&a, &b);
            assert_close(got.max_cut, 2.4, TOLERANCE * 2.4);
            assert_close(got.max_fill, 3.6, TOLERANCE * 3.6);
        }
    }
}

#[test]
fn two_tilted_planes_that_do_not_meet_differ_by_the_height_in_the_middle() {
    for site in SITES {
        let before = strewn(20.0, 10.0, |x, y| 9.0 + 0.11 * x - 0.07 * y);
        let after = strewn(20.0, 10.0, |x, y| 2.0 - 0.05 * x + 0.13 * y);
        let (a, b) = site.pair(&before, &after);
        assert_four(site, &a, &b, None, [200.0 * (7.0 + 0.16 * 10.0 - 0.2 * 5.0), 0.0, 200.0, 0.0]);
    }
}

#[test]
fn a_wedge() {
    for site in SITES {
        // Four up over 16, 10 wide; the thin edge lies on the level.
        let (a, b) = site.pair(&strewn(16.0, 10.0, |x, _| 0.25 * x), &level(16.0, 10.0, 0.0));
        assert_four(site, &a, &b, None, [4.0 * 16.0 * 10.0 / 2.0, 0.0, 160.0, 0.0]);
    }
}

#[test]
fn a_pyramid_against_its_base_and_against_a_level_through_it() {
    for site in SITES {
        for top in [3.0, 0.7, 12.0] {
            for base in [level(10.0, 10.0, 0.0), strewn(10.0, 10.0, |_, _| 0.0)] {
                let (a, b) = site.pair(&pyramid(top), &base);
                assert_four(site, &a, &b, None, [100.0 * top / 3.0, 0.0, 100.0, 0.0]);
            }
        }
        for base in [level(10.0, 10.0, 1.0), strewn(10.0, 10.0, |_, _| 1.0)] {
            // Above 1.0 stands a pyramid two thirds as wide; net is 100 (3 / 3 - 1) = 0.
            let (a, b) = site.pair(&pyramid(3.0), &base);
            let cap = 100.0 * (4.0 / 9.0) * 2.0 / 3.0;
            assert_four(site, &a, &b, None, [cap, cap, 400.0 / 9.0, 500.0 / 9.0]);
        }
    }
}

#[test]
fn a_pyramid_against_a_ridge_and_two_ridges_that_cross() {
    let turned = |body: Vec<[f64; 3]>| body.iter().map(|&[x, y, z]| [y, x, z]).collect::<Vec<_>>();
    for site in SITES {
        for roof in [ridge(3.0), turned(ridge(3.0))] {
            // 150 under the roof less 100 in the pyramid; on half the ground they touch.
            let (a, b) = site.pair(&pyramid(3.0), &roof);
            assert_four(site, &a, &b, None, [0.0, 50.0, 0.0, 50.0]);
        }
        // h (|u| - |v|) / a over the square of half side a = 5: 2 a^2 h / 3 each way.
        let (a, b) = site.pair(&ridge(3.0), &turned(ridge(3.0)));
        assert_four(site, &a, &b, None, [50.0, 50.0, 50.0, 50.0]);
    }
}

#[test]
fn cones_on_regular_polygons_from_their_corners_as_typed() {
    for site in SITES {
        for n in (3..=60_u32).filter(|n| *n < 13 || n % 6 == 0 || n % 7 == 0) {
            let rim: Vec<[f64; 2]> = (0..n)
                .map(|k| std::f64::consts::TAU * f64::from(k) / f64::from(n) + 0.1)
                .map(|a| [10.0 * a.cos(), 10.0 * a.sin()])
                .collect();
            // What is typed is scaled and rounded: area and edges are those of the rounded corners.
            let corner = |k: usize| rim[k % rim.len()].map(|v| typed(v * site.scale));
            let edges = || (0..rim.len()).map(|k| (corner(k), corner(k + 1)));
            let area = edges().map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum::<f64>() / 2.0;
            let round: f64 = edges().map(|(p, q)| (p[0] - q[0]).hypot(p[1] - q[1])).sum();
            let base = |z: f64| rim.iter().map(|&[x, y]| [x, y, z]).collect::<Vec<_>>();
            let mut cone = base(0.0);
            cone.push([0.0, 0.0, 4.0]);

            let (a, b) = site.pair(&cone, &base(0.0));
            let got = volumes(&a, &b);
            assert_close(got.cut, 4.0 * area / 3.0, TOLERANCE * area);
            assert_close(got.area, area, TOLERANCE * area);
            // Cut off at a quarter of its height: the cap is 27/64 of it, and net is whole less slab.
            let (a, b) = site.pair(&cone, &base(1.0));
            let got = volumes(&a, &b);
            let cap = 4.0 * area / 3.0 * 27.0 / 64.0;
            assert_close(got.cut, cap, TOLERANCE * area);
            assert_close(got.fill, cap - (4.0 / 3.0 - 1.0) * area, TOLERANCE * area);
            assert_close(got.cut_area, 9.0 / 16.0 * area, TOLERANCE * area);

            let line = a.contours(&[1.0]);
            assert!(line.len() == 1 && line[0].closed, "one ring at 1.0, {n} corners");
            let walked: f64 =
                line[0].points.windows(2).map(|w| (w[0][0] - w[1][0]).hypot(w[0][1] - w[1][1]) / 1e6).sum();
            assert_close(walked, 0.75 * round, TOLERANCE * round);
        }
    }
}

/// A lattice of square cells.
fn lattice(columns: u32, rows: u32, z: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    let all = (0..=columns).flat_map(|i| (0..=rows).map(move |j| (f64::from(i), f64::from(j))));
    all.map(|(x, y)| [x, y, z(x, y)]).collect()
}

#[test]
fn square_cells_hold_the_mean_of_their_corners() {
    for site in SITES {
        // For z = x y / 8 the sum of the means is the integral itself, (20^2 / 2) (12^2 / 2) / 8.
        let (a, b) = site.pair(&lattice(20, 12, |x, y| 0.125 * x * y), &level(20.0, 12.0, 0.0));
        assert_eq!((a.net().cells(), a.net().triangles()), (240, 960));
        let whole = 0.125 * 200.0 * 72.0;
        assert_four(site, &a, &b, None, [whole, 0.0, 240.0, 0.0]);
        // For heights without a law: corner, edge and inner shots weigh 1/4, 1/2 and 1 cell.
        let rough = |x: f64, y: f64| (x * 7.0 + y * 13.0 + x * y * 3.0).rem_euclid(11.0) / 8.0;
        let (a, b) = site.pair(&lattice(20, 12, rough), &level(20.0, 12.0, -1.0));
        let weight = |v: f64, most: f64| if v == 0.0 || v == most { 0.5 } else { 1.0 };
        let sum: f64 =
            lattice(20, 12, rough).iter().map(|&[x, y, z]| weight(x, 20.0) * weight(y, 12.0) * (z + 1.0)).sum();
        assert_four(site, &a, &b, None, [sum, 0.0, 240.0, 0.0]);
    }
}

#[test]
fn a_chequer_of_saddles_is_a_sixth_up_and_a_sixth_down() {
    for site in SITES {
        // Corners 1 and -1 in turn, node 0: a quarter cell (1, -1, 0) is cut in half by its zero line, 1/24 on each side.
        let chequer = |x: f64, y: f64| if (x + y) % 2.0 == 0.0 { 1.0 } else { -1.0 };
        for base in [level(6.0, 5.0, 0.0), strewn(6.0, 5.0, |_, _| 0.0)] {
            let (a, b) = site.pair(&lattice(6, 5, chequer), &base);
            assert_four(site, &a, &b, None, [5.0, 5.0, 15.0, 15.0]);
        }
    }
}

/// Area of a ring and the mean height of z = c + gx x + gy y over it, from signed triangles at its first corner.
fn under_plane(ring: &[[f64; 2]], c: f64, gx: f64, gy: f64) -> (f64, f64) {
    let o = ring[0];
    let mut sums = (0.0, 0.0);
    for w in ring.windows(2) {
        let (p, q) = (w[0], w[1]);
        let area = ((p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0])) / 2.0;
        let height = c + gx * (o[0] + p[0] + q[0]) / 3.0 + gy * (o[1] + p[1] + q[1]) / 3.0;
        sums = (sums.0 + area, sums.1 + area * height);
    }
    sums
}

const TRIANGLE: [[f64; 2]; 3] = [[2.0, 1.0], [18.0, 3.0], [7.0, 9.0]];
const NOTCHED: [[f64; 2]; 7] = [[1.0, 1.0], [19.0, 1.0], [19.0, 9.0], [12.0, 9.0], [10.0, 2.0], [8.0, 9.0], [1.0, 9.0]];
const HOLE: [[f64; 2]; 4] = [[3.0, 3.0], [6.0, 4.0], [5.0, 7.0], [4.0, 6.0]];

#[test]
fn a_tilted_slab_inside_a_triangle_a_notched_ring_and_round_a_hole() {
    let (c, gx, gy) = (3.0, 0.11, -0.07);
    for site in SITES {
        let slab = strewn(20.0, 10.0, |x, y| c + gx * x + gy * y);
        let (a, b) = site.pair(&slab, &level(20.0, 10.0, 0.0));
        for (rings, outer, holes) in [
            (vec![site.ring(&TRIANGLE)], &TRIANGLE[..], &[][..]),
            (vec![site.ring(&NOTCHED)], &NOTCHED[..], &[][..]),
            (vec![site.ring(&NOTCHED), site.ring(&HOLE)], &NOTCHED[..], &HOLE[..]),
        ] {
            let region = Region::new(&rings, a.net().frame()).expect("rings that bound a region");
            let (mut area, mut volume) = under_plane(outer, c, gx, gy);
            if !holes.is_empty() {
                let (less, lower) = under_plane(holes, c, gx, gy);
                (area, volume) = (area - less, volume - lower);
            }
            assert_close(region.area(), site.scaled(area), TOLERANCE * site.scaled(area));
            assert_close(area_inside(&a, Some(&region)), site.scaled(area), TOLERANCE * site.scaled(area));
            assert_four(site, &a, &b, Some(&region), [volume, 0.0, area, 0.0]);
        }
    }
}

#[test]
fn a_pyramid_round_a_square_hole_and_inside_it() {
    for site in SITES {
        let (a, b) = site.pair(&pyramid(3.0), &strewn(10.0, 10.0, |_, _| 0.0));
        let outer = site.ring(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]);
        let inner = site.ring(&[[3.0, 3.0], [7.0, 3.0], [7.0, 7.0], [3.0, 7.0]]);
        // Over the inner square a slab as high as the pyramid at its rim, 1.8, and a pyramid of 1.2 on it.
        let within = 16.0 * 1.8 + 16.0 * 1.2 / 3.0;
        for (rings, volume, area) in [(vec![inner.clone()], within, 16.0), (vec![outer, inner], 100.0 - within, 84.0)] {
            let region = Region::new(&rings, a.net().frame()).expect("rings that bound a region");
            assert_four(site, &a, &b, Some(&region), [volume, 0.0, area, 0.0]);
        }
    }
}

#[test]
fn a_limit_larger_than_the_ground_changes_nothing_that_counts() {
    for site in SITES {
        let (a, b) = site.pair(&pyramid(3.0), &level(10.0, 10.0, 1.0));
        let far = site.ring(&[[-7.0, -9.0], [31.0, -2.0], [12.0, 44.0]]);
        let region = Region::new(&[far], a.net().frame()).expect("a triangle");
        let (whole, inside) = (volumes(&a, &b), overlay(&a, &b, Some(&region), &silent));
        for of in [|o: &Overlay| o.cut, |o: &Overlay| o.fill, |o: &Overlay| o.area, |o: &Overlay| o.cut_area] {
            assert_close(of(&inside), of(&whole), TOLERANCE * of(&whole));
        }
    }
}

#[test]
fn only_ground_that_both_cover_counts() {
    for site in SITES {
        // Two 10 x 10 slabs, one moved by (4, 3): 6 x 7 in common.
        let moved: Vec<[f64; 3]> = level(10.0, 10.0, 0.0).iter().map(|&[x, y, z]| [x + 4.0, y + 3.0, z]).collect();
        let (a, b) = site.pair(&strewn(10.0, 10.0, |_, _| 2.5), &moved);
        assert_four(site, &a, &b, None, [42.0 * 2.5, 0.0, 42.0, 0.0]);
    }
    let apart = shots(&[[0.0, 0.0, 1.0], [1.0, 0.0, 1.0], [0.0, 1.0, 1.0]]);
    let other = shots(&[[5.0, 5.0, 1.0], [6.0, 5.0, 1.0], [5.0, 6.0, 1.0]]);
    let frame = Frame::of(&[&apart, &other]);
    let build = |s| Surface::build(s, frame, Cells::Nodes).expect("a triangle");
    assert_eq!(volumes(&build(&apart), &build(&other)), Overlay::default());
}
