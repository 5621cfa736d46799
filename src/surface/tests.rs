use super::*;
use crate::shots::{Frame, Shots};

/// Numbers from a fixed seed (Marsaglia 2003), 0 to 1.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

fn scattered(count: usize, seed: u64) -> Shots {
    let mut dice = Dice(seed);
    let mut shots = Shots::default();
    for k in 0..count {
        let [n, e] = [0, 1].map(|_| (dice.roll() * 100_000.0).round() / 1000.0);
        shots.push(
            &k.to_string(),
            crate::shots::to_micro(n),
            crate::shots::to_micro(e),
            100.0 + dice.roll(),
            crate::shots::Kind::Ground,
        );
    }
    shots
}

fn grid(rows: usize, columns: usize, z: impl Fn(usize, usize) -> f64) -> Shots {
    let mut shots = Shots::default();
    for r in 0..rows {
        for c in 0..columns {
            let micro = |k: usize| crate::shots::to_micro(k as f64 * 10.0);
            shots.push(&format!("{r}-{c}"), micro(r), micro(c), z(r, c), crate::shots::Kind::Ground);
        }
    }
    shots
}

fn built(shots: &Shots, cells: Cells) -> Surface {
    Surface::build(shots, Frame::of(&[shots]), cells).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn the_laws_hold_on_scattered_and_square_shots() {
    for seed in 1..20 {
        let shots = scattered(3 + usize::try_from(seed).unwrap_or(0) * 7, seed);
        assert_eq!(built(&shots, Cells::Nodes).check(), Ok(()));
    }
    for cells in [Cells::Nodes, Cells::FirstDiagonals, Cells::SecondDiagonals] {
        assert_eq!(built(&grid(4, 6, |r, c| (r * c % 5) as f64), cells).check(), Ok(()));
    }
}

#[test]
fn a_cell_out_of_plane_gets_one_node_at_the_mean_and_a_plane_none() {
    let bent = built(&grid(2, 2, |r, c| if r + c == 2 { 1.0 } else { 0.0 }), Cells::Nodes);
    assert_eq!((bent.net().vertices(), bent.net().triangles(), bent.net().cells()), (5, 4, 1));
    assert_eq!(bent.height_local([5e6, 5e6]), Some(0.25));
    let flat = built(&grid(5, 5, |r, c| 0.1 * r as f64 + 0.3 * c as f64), Cells::Nodes);
    assert_eq!((flat.net().vertices(), flat.net().triangles(), flat.net().cells()), (25, 32, 0));
}

#[test]
fn five_and_six_shots_on_a_circle_make_one_cell() {
    // Whole places on the circle of radius 65: 4 x (16, 63), (25, 60), (33, 56), (39, 52), 5 kinds.
    let on = [(16, 63), (-33, 56), (-60, -25), (39, -52), (63, 16), (56, -33)];
    for count in [4, 5, 6] {
        let rows: Vec<(String, f64, f64, f64)> = on[..count]
            .iter()
            .enumerate()
            .map(|(k, &(n, e))| (k.to_string(), f64::from(n), f64::from(e), (k * k) as f64))
            .collect();
        let rows: Vec<(&str, f64, f64, f64)> = rows.iter().map(|(a, n, e, z)| (a.as_str(), *n, *e, *z)).collect();
        let s = built(&Shots::ground(&rows), Cells::Nodes);
        assert_eq!((s.net().cells(), s.net().triangles()), (1, count));
        assert_eq!(s.check(), Ok(()));
        let first = built(&Shots::ground(&rows), Cells::FirstDiagonals);
        assert_eq!(first.net().triangles(), count - 2);
    }
}

#[test]
fn locating_by_walk_agrees_with_trying_every_triangle() {
    let s = built(&scattered(300, 7), Cells::Nodes);
    let mut dice = Dice(99);
    let mut hint = None;
    for _ in 0..2000 {
        let p = [0, 1].map(|_| (dice.roll() * 1.2e8 - 1e7).round());
        let (walked, tried) = (s.net().locate(p, hint), s.net().locate_by_trying(p));
        assert_eq!(matches!(walked, Position::In(_)), matches!(tried, Position::In(_)), "{p:?}");
        if let (Position::In(t), Position::In(u)) = (walked, tried) {
            assert!((s.height_in(t, p) - s.height_in(u, p)).abs() < 1e-12);
            hint = Some(t);
        }
    }
}

#[test]
fn a_shot_gives_its_own_height_back_to_the_last_bit() {
    let shots = scattered(200, 3);
    let s = built(&shots, Cells::Nodes);
    for r in 0..shots.len() {
        assert_eq!(s.height_at(shots.northing[r], shots.easting[r]), Some(shots.elevation[r]));
    }
}

#[test]
fn what_cannot_be_built_is_said() {
    let of = |rows: &[(&str, f64, f64, f64)]| {
        let shots = Shots::ground(rows);
        Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).map(|_| ())
    };
    assert_eq!(of(&[("a", 0.0, 0.0, 1.0), ("b", 1.0, 0.0, 1.0)]), Err(Unbuildable::TooFew(2)));
    assert_eq!(of(&[("a", 0.0, 0.0, 1.0), ("b", 1.0, 1.0, 1.0), ("c", 3.0, 3.0, 2.0)]), Err(Unbuildable::OnOneLine));
    let twice = [("a", 0.0, 0.0, 1.0), ("b", 1.0, 1.0, 1.0), ("c", 0.0, 0.0, 2.0), ("d", 3.0, 0.0, 2.0)];
    assert_eq!(of(&twice), Err(Unbuildable::OnePlace(0, 2)));
}

#[test]
fn a_region_knows_its_area_with_a_hole_and_a_notch() {
    let frame = Frame::of(&[&grid(2, 2, |_, _| 0.0)]);
    let m = |n: i64, e: i64| (n * 1_000_000, e * 1_000_000);
    let notched = vec![m(0, 0), m(10, 0), m(10, 10), m(5, 2), m(0, 10)];
    let hole = vec![m(1, 1), m(1, 2), m(2, 2), m(2, 1), m(1, 1)];
    let one = Region::new(std::slice::from_ref(&notched), frame).map(|r| r.area());
    assert_eq!(one, Ok(60.0));
    let two = Region::new(&[notched, hole], frame).unwrap_or_else(|e| panic!("{e}"));
    assert!((two.area() - 59.0).abs() < 1e-12);
    assert!(!two.holds(frame.local(1_500_000, 1_500_000)) && two.holds(frame.local(3_000_000, 1_500_000)));
    let bow = vec![m(0, 0), m(10, 10), m(10, 0), m(0, 10)];
    assert_eq!(Region::new(&[bow], frame).map(|_| ()), Err(Unfit::Crossing));
}

#[test]
fn rings_that_share_edges_are_counted_by_what_they_enclose() {
    let frame = Frame::of(&[&grid(2, 2, |_, _| 0.0)]);
    let m = |n: i64, e: i64| (n * 500_000, e * 500_000);
    let square = |n: i64, e: i64, s: i64| vec![m(n, e), m(n, e + s), m(n + s, e + s), m(n + s, e)];
    let area = |rings: &[Vec<(i64, i64)>]| Region::new(rings, frame).map(|r| r.area());
    // A hole along part of the outer edge, a hole in its corner, and nine adjoining squares.
    assert_eq!(area(&[square(0, 0, 6), vec![m(0, 2), m(0, 4), m(1, 4), m(1, 2)]]), Ok(8.5));
    assert_eq!(area(&[square(0, 0, 6), square(0, 0, 2)]), Ok(8.0));
    let nine: Vec<_> = (0..9).map(|k| square(2 * (k / 3), 2 * (k % 3), 2)).collect();
    assert_eq!(area(&nine), Ok(9.0));
}

#[test]
fn the_plane_of_a_triangle_goes_on_beyond_it() {
    let s = built(&Shots::ground(&[("a", 0.0, 0.0, 0.0), ("b", 0.0, 10.0, 10.0), ("c", 10.0, 0.0, 0.0)]), Cells::Nodes);
    for (n, e) in [(20.0, -5.0), (20.0, 1.0), (-3.0, 30.0), (1.0, 2.0)] {
        let p = s.net().frame().local(crate::shots::to_micro(n), crate::shots::to_micro(e));
        assert!((s.height_in(0, p) - e).abs() < 1e-9);
    }
}

/// Contours triangle by triangle: the plain twin of the walk.
fn length_by_triangle(s: &Surface, level: f64) -> f64 {
    let mut total = 0.0;
    for t in 0..index(s.net().triangles()) {
        let z = s.heights(t);
        let p = s.net().corners(t).map(|v| s.net().place(v));
        let mut ends = Vec::new();
        for k in 0..3 {
            let j = (k + 1) % 3;
            if (z[k] >= level) != (z[j] >= level) {
                let f = (level - z[k]) / (z[j] - z[k]);
                ends.push([0, 1].map(|i| p[k][i] + f * (p[j][i] - p[k][i])));
            }
        }
        if let [a, b] = ends[..] {
            total += (a[0] - b[0]).hypot(a[1] - b[1]);
        }
    }
    total
}

#[test]
fn contours_walked_are_as_long_as_contours_by_triangle() {
    for seed in 1..8 {
        let s = built(&scattered(150, seed), Cells::Nodes);
        let levels = [100.1, 100.3, 100.5, 100.77];
        let lines = s.contours(&levels);
        for level in levels {
            let walked: f64 = lines
                .iter()
                .filter(|c| c.level == level)
                .flat_map(|c| c.points.windows(2))
                .map(|w| (w[0][0] - w[1][0]).hypot(w[0][1] - w[1][1]))
                .sum();
            let plain = length_by_triangle(&s, level);
            assert!((walked - plain).abs() < 1e-9 * plain.max(1.0), "{walked} {plain}");
        }
        for line in &lines {
            let ends = (line.points.first(), line.points.last());
            assert_eq!(line.closed, ends.0 == ends.1);
        }
    }
}

#[test]
fn a_level_through_vertices_and_flats_still_makes_whole_lines() {
    // A mesa: the level of its flat top runs round the top once.
    let s = built(&grid(6, 6, |r, c| f64::from((1..5).contains(&r) && (1..5).contains(&c))), Cells::Nodes);
    let lines = s.contours(&[1.0, 0.5, 0.0]);
    assert_eq!(lines.iter().filter(|c| c.level == 0.0).count(), 0);
    let ring: Vec<&Contour> = lines.iter().filter(|c| c.level == 0.5).collect();
    assert_eq!(ring.len(), 1);
    assert!(ring[0].closed);
    let top: Vec<&Contour> = lines.iter().filter(|c| c.level == 1.0).collect();
    assert!(top.len() == 1 && top[0].closed);
}
