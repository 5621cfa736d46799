//! Do banks, curbs, walls and odd limits give what can be worked out on paper?
//!
//! Bodies whose edges are breaklines, and limits that are no convex ring: closed forms to 1e-9 of the volume, at home and at
//! northing 4,500,000. The mistakes breaklines are there for are shown as well: the same shots without them.

mod common;

use common::{assert_close, shots};
use spadework::outline::Place;
use spadework::par::silent;
use spadework::shots::{Frame, Shots, to_micro};
use spadework::surface::{Breakline, Cells, LinePoint, Region, Surface, Unbuildable};
use spadework::units::LengthUnit;
use spadework::volume::{Overlay, overlay};

const TOLERANCE: f64 = 1e-9;
/// East, north of the corner of each body.
const SITES: [[f64; 2]; 2] = [[0.0, 0.0], [600_000.25, 4_500_000.5]];

/// A level grid 60 by 60, 10 apart.
fn grid(at: [f64; 2], height: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    let step = |k: i32| f64::from(k) * 10.0;
    let all = (0..7).flat_map(|r| (0..7).map(move |c| (step(c), step(r))));
    all.map(|(x, y)| [at[0] + x, at[1] + y, height(x, y)]).collect()
}

/// A line through places with heights of their own.
fn line(at: [f64; 2], name: &str, points: &[[f64; 3]]) -> Breakline {
    let place = |&[x, y, z]: &[f64; 3]| LinePoint::At(to_micro(at[1] + y), to_micro(at[0] + x), z);
    Breakline { name: name.to_owned(), points: points.iter().map(place).collect() }
}

fn built(shots: &Shots, lines: &[Breakline], frame: Frame) -> Surface {
    let (surface, _) =
        Surface::build_along(shots, lines, LengthUnit::Foot, frame, Cells::Nodes).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(surface.check(), Ok(()));
    surface
}

/// Cut and fill from `before` to `after`, each shots and lines; exchanged, the two are exchanged.
fn between(
    before: (&[[f64; 3]], &[Breakline]),
    after: (&[[f64; 3]], &[Breakline]),
    limit: Option<&[Vec<Place>]>,
) -> Overlay {
    let (a, b) = (shots(before.0), shots(after.0));
    let frame = Frame::of(&[&a, &b]);
    let (a, b) = (built(&a, before.1, frame), built(&b, after.1, frame));
    let region = limit.map(|rings| Region::new(rings, frame).unwrap_or_else(|e| panic!("{e}")));
    let total = overlay(&a, &b, region.as_ref(), &silent);
    let back = overlay(&b, &a, region.as_ref(), &silent);
    assert_close(back.fill, total.cut, TOLERANCE * total.cut.max(1.0));
    assert_close(back.cut, total.fill, TOLERANCE * total.fill.max(1.0));
    total
}

fn close(got: f64, want: f64) {
    assert_close(got, want, TOLERANCE * want.abs().max(1.0));
}

/// Across the whole grid, at this easting and height.
fn along(at: [f64; 2], name: &str, x: f64, z: f64) -> Breakline {
    line(at, name, &[[x, 0.0, z], [x, 60.0, z]])
}

#[test]
fn a_trench_between_its_breaklines() {
    for at in SITES {
        let flat = grid(at, |_, _| 100.0);
        let edges = [(25.0, 100.0), (26.0, 97.0), (28.0, 97.0), (29.0, 100.0)];
        let lines: Vec<Breakline> = edges.iter().map(|&(x, z)| along(at, &x.to_string(), x, z)).collect();
        let total = between((&flat, &[]), (&flat, &lines), None);
        // Top 4, bottom 2, 3 deep, 60 long.
        close(total.cut, 60.0 * 3.0 * (4.0 + 2.0) / 2.0);
        close(total.fill, 0.0);
        close(total.cut_area, 240.0);
        // The same shots without the lines between them are another hole.
        let mut shot = flat.clone();
        for (x, z) in edges {
            shot.extend([0.0, 60.0].map(|y| [at[0] + x, at[1] + y, z]));
        }
        let bridged = between((&flat, &[]), (&shot, &[]), None);
        assert!((bridged.cut / total.cut - 1.0).abs() > 0.2, "{} against {}", bridged.cut, total.cut);
    }
}

#[test]
fn a_curb_and_a_wall_are_two_lines_a_little_apart() {
    for at in SITES {
        let flat = grid(at, |_, _| 100.0);
        let curb = grid(at, |x, _| if x > 30.0 { 100.5 } else { 100.0 });
        let lines = [along(at, "gutter", 30.0, 100.0), along(at, "curb", 30.02, 100.5)];
        let total = between((&flat, &[]), (&curb, &lines), None);
        close(total.fill, 60.0 * (0.5 * 29.98 + 0.5 * 0.02 / 2.0));
        // A wall whose top climbs 4 in 60; behind it the ground is level with its top.
        let behind = grid(at, |x, y| if x > 30.0 { 100.0 + y / 15.0 } else { 100.0 });
        let top = line(at, "top", &[[30.02, 0.0, 100.0], [30.02, 60.0, 104.0]]);
        let total = between((&flat, &[]), (&behind, &[along(at, "foot", 30.0, 100.0), top]), None);
        close(total.fill, 60.0 * 60.0 / 15.0 / 2.0 * (29.98 + 0.01));
    }
}

#[test]
fn a_ridge_half_buried() {
    for at in SITES {
        let flat = grid(at, |_, _| 100.0);
        // Steep enough to break at its feet, crest off the grid.
        let lines =
            [along(at, "foot", 21.0, 100.0), along(at, "crest", 31.0, 104.0), along(at, "other foot", 41.0, 100.0)];
        let mut ridge = flat;
        for p in &mut ridge {
            let x = p[0] - at[0];
            p[2] = 100.0 + 4.0 * (1.0 - (x - 31.0).abs() / 10.0).max(0.0);
        }
        let level = grid(at, |_, _| 102.0);
        let total = between((&ridge, &lines), (&level, &[]), None);
        close(total.cut, 60.0 * 0.5 * 10.0 * 2.0);
        close(total.fill, 60.0 * (2.0 * (21.0 + 19.0) + 2.0 * 0.5 * 5.0 * 2.0));
        close(total.cut_area, 600.0);
    }
}

#[test]
fn a_closed_line_round_a_pit_and_lines_by_name_give_the_same() {
    let at = SITES[1];
    let flat = grid(at, |_, _| 100.0);
    // A pit 12 by 8 at the top, 8 by 4 at the bottom, 2 deep, between the grid's shots: a prismoid.
    let ring = |x: f64, y: f64, w: f64, h: f64, z: f64| {
        [[x, y, z], [x + w, y, z], [x + w, y + h, z], [x, y + h, z], [x, y, z]]
    };
    let (top, bottom) = (ring(24.0, 25.0, 12.0, 8.0, 100.0), ring(26.0, 27.0, 8.0, 4.0, 98.0));
    let mut dug = flat.clone();
    // The grid's own shot inside the pit's top is on its bottom.
    dug.iter_mut().filter(|p| p[0] == at[0] + 30.0 && p[1] == at[1] + 30.0).for_each(|p| p[2] = 98.0);
    let lines = [line(at, "top", &top), line(at, "bottom", &bottom)];
    let total = between((&flat, &[]), (&dug, &lines), None);
    let want = 2.0 / 6.0 * (96.0 + 4.0 * 60.0 + 32.0);
    close(total.cut, want);
    let count = dug.len();
    dug.extend(top[..4].iter().chain(&bottom[..4]).map(|&[x, y, z]| [at[0] + x, at[1] + y, z]));
    let named = |name: &str, first: usize| Breakline {
        name: name.to_owned(),
        points: [0, 1, 2, 3, 0].map(|k| LinePoint::Shot(count + first + k)).to_vec(),
    };
    let by_name = between((&flat, &[]), (&dug, &[named("top", 0), named("bottom", 4)]), None);
    close(by_name.cut, want);
}

#[test]
fn crossings_need_one_height_and_faces_two_lines() {
    let at = SITES[0];
    let flat = shots(&grid(at, |_, _| 100.0));
    let frame = Frame::of(&[&flat]);
    let build = |lines: &[Breakline]| Surface::build_along(&flat, lines, LengthUnit::Foot, frame, Cells::Nodes);
    let level = [
        line(at, "a", &[[5.0, 5.0, 101.0], [15.0, 15.0, 101.0]]),
        line(at, "b", &[[5.0, 15.0, 101.0], [15.0, 5.0, 101.0]]),
    ];
    let (surface, asked) = build(&level).expect("one height where they cross");
    assert_eq!(surface.check(), Ok(()));
    assert_eq!(surface.height_at(to_micro(10.0), to_micro(10.0)), Some(100.0), "the shot at the crossing counts");
    assert_eq!((asked.bent.len(), asked.bent[0].shot), (2, flat.by_name().get("9").copied()));
    let mut free = level.clone();
    free[1] = line(at, "b", &[[5.0, 14.0, 103.0], [14.0, 5.0, 103.0]]);
    let Err(Unbuildable::TwoHeights(all)) = build(&free) else { panic!("two heights are refused") };
    assert_eq!((all.len(), all[0].place, all[0].heights, all[0].lines), (1, (9.5, 9.5), [101.0, 103.0], [0, 1]));
    // On a shot at another height: a face drawn as one line.
    let Err(Unbuildable::TwoHeights(all)) = build(&[line(at, "wall", &[[10.0, 10.0, 104.0], [20.0, 10.0, 104.0]])])
    else {
        panic!("a line on a shot at another height is refused")
    };
    assert_eq!((all.len(), all[0].heights), (2, [100.0, 104.0]));
}

/// Twice the area and the middle of a ring by its corners (Green), in the layout's units.
fn moments(ring: &[[f64; 2]]) -> (f64, [f64; 2]) {
    let (mut twice, mut sum) = (0.0, [0.0; 2]);
    for k in 0..ring.len() {
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
        let c = a[0] * b[1] - a[1] * b[0];
        twice += c;
        sum = [0, 1].map(|j| sum[j] + c * (a[j] + b[j]) / 6.0);
    }
    (twice / 2.0, sum)
}

/// Rings, each added or taken away.
type Signed<'a> = Vec<(&'a [[f64; 2]], f64)>;

/// Area and integral of 1 + x/20 + y/40 over rings, the first less the others plus islands (the sign of each given).
fn wedge(rings: &Signed<'_>) -> (f64, f64) {
    rings.iter().fold((0.0, 0.0), |(area, volume), (ring, sign)| {
        let (a, m) = moments(ring);
        let turn = a.signum() * sign;
        (area + turn * a, volume + turn * (a + m[0] / 20.0 + m[1] / 40.0))
    })
}

#[test]
fn limits_of_any_form_count_what_they_hold() {
    let comb: Vec<[f64; 2]> = {
        // A back 5 wide and ten teeth, each 2 wide and 35 to 53 long, the grid's lines across them.
        let mut ring = vec![[1.0, 2.0], [59.5, 2.0], [59.5, 7.0]];
        for k in 0..10_i32 {
            let right = 57.5 - f64::from(k) * 5.7;
            let tip = 42.0 + f64::from(k * 7 % 11) * 1.6;
            ring.extend([[right, 7.0], [right, tip], [right - 2.0, tip + 1.0], [right - 2.0, 7.0]]);
        }
        ring.push([1.0, 7.0]);
        ring
    };
    let star: Vec<[f64; 2]> = (0..22)
        .map(|k| {
            let (turn, reach) = (f64::from(k) * std::f64::consts::TAU / 22.0, if k % 2 == 0 { 28.0 } else { 6.0 });
            [turn.sin(), turn.cos()].map(|v| ((30.0 + reach * v) * 1e6).round() / 1e6)
        })
        .collect();
    let square = vec![[2.0, 3.0], [57.0, 3.0], [57.0, 58.0], [2.0, 58.0]];
    // Through four shots of the grid, along its lines.
    let through = vec![[10.0, 10.0], [30.0, 10.0], [30.0, 20.0], [10.0, 20.0]];
    let oblique = vec![[33.0, 31.0], [51.0, 36.0], [44.0, 52.0]];
    let island = vec![[40.0, 37.0], [46.0, 38.0], [43.0, 44.0]];
    let sets: [Signed<'_>; 4] = [
        vec![(&comb, 1.0)],
        vec![(&star, 1.0)],
        vec![(&square, 1.0), (&through, -1.0), (&oblique, -1.0)],
        vec![(&square, 1.0), (&through, -1.0), (&oblique, -1.0), (&island, 1.0)],
    ];
    for at in SITES {
        let tilted = grid(at, |x, y| 101.0 + x / 20.0 + y / 40.0);
        let flat = grid(at, |_, _| 100.0);
        for set in &sets {
            let (area, volume) = wedge(set);
            let place = |p: &[f64; 2]| (to_micro(at[1] + p[1]), to_micro(at[0] + p[0]));
            let mut rings: Vec<Vec<Place>> = set.iter().map(|(r, _)| r.iter().map(place).collect()).collect();
            for _ in 0..2 {
                let total = between((&tilted, &[]), (&flat, &[]), Some(&rings));
                close(total.area, area);
                close(total.cut, volume);
                // The other way round, and closed.
                for ring in &mut rings {
                    ring.reverse();
                    ring.push(ring[0]);
                }
            }
        }
    }
}

#[test]
fn long_thin_triangles_along_the_edge_are_found_and_square_ones_are_not() {
    let square = shots(&grid(SITES[0], |x, y| 100.0 + x * y));
    assert_eq!(built(&square, &[], Frame::of(&[&square])).net().thin(), Vec::<u32>::new());
    // A bay 40 wide and 1 deep in the north edge of the grid.
    let mut bay = grid(SITES[0], |_, _| 100.0);
    bay.retain(|p| p[1] < 60.0 || p[0] < 10.0 || p[0] > 50.0);
    bay.extend((1..6).map(|k| [f64::from(k) * 10.0, 59.0, 100.0]));
    let bay = shots(&bay);
    let surface = built(&bay, &[], Frame::of(&[&bay]));
    let thin = surface.net().thin();
    let area: f64 = thin.iter().map(|&t| surface.net().triangle_area(t)).sum();
    // The bay is a trapezium, 60 along the hull and 40 along its head; its two end triangles are but two spacings long.
    assert_close(area, (60.0 + 40.0) / 2.0 - 2.0 * 10.0 / 2.0, 1e-9);
}
