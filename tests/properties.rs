//! Which laws do the numbers obey, whatever the survey?
//!
//! Surveys are drawn with a fixed seed, in whole millionths, and favour what is hard: square grids with gaps, four, five and
//! six shots on one circle, shots nearly on one line, nearly at one place, lattices a millionth out of square, needles.
//! Equal means equal to the last bit where the law says so; otherwise the tolerance stands beside it.

mod common;

use geo::{Area, ConvexHull, MultiPoint, Point};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use spadework::drainage::{End, Paths};
use spadework::par::silent;
use spadework::read::{Complaints, Source, read_shots};
use spadework::shots::{Frame, Kind, Shots};
use spadework::surface::{Cells, Region, Surface};
use spadework::volume::{Overlay, area_inside, diagonal_doubt, overlay};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::Command;

/// A survey: northing, easting in whole millionths, and a height.
type Rows = Vec<(i64, i64, f64)>;
type Ring = Vec<(i64, i64)>;

const UNIT: i64 = 1_000_000;

fn seeded(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(20_260_731), failure_persistence: None, ..Default::default() }
}

fn shots(rows: &Rows) -> Shots {
    let mut out = Shots::default();
    for (k, &(n, e, z)) in rows.iter().enumerate() {
        out.push(&format!("p{k}"), n, e, z, Kind::Ground);
    }
    out
}

fn pair(before: &Rows, after: &Rows) -> (Surface, Surface) {
    let (a, b) = (shots(before), shots(after));
    let frame = Frame::of(&[&a, &b]);
    let build = |s: &Shots| Surface::build(s, frame, Cells::Nodes).expect("drawn so that it can be built");
    (build(&a), build(&b))
}

// What is drawn.

/// Heights in hundredths, few of them, so that level cells and ties are common.
fn height() -> impl Strategy<Value = f64> {
    (0..300_i32).prop_map(|h| f64::from(h) / 100.0)
}

/// One height for each place, the first where a place was drawn twice, and three shots that are on no line.
fn with_heights(places: impl Strategy<Value = Vec<(i64, i64)>>) -> impl Strategy<Value = Rows> {
    places.prop_flat_map(|mut places| {
        places.extend([(0, 0), (13 * UNIT, 1), (5 * UNIT, 11 * UNIT)]);
        let mut seen = std::collections::HashSet::new();
        places.retain(|p| seen.insert(*p));
        let count = places.len();
        (Just(places), prop::collection::vec(height(), count))
            .prop_map(|(p, z)| p.into_iter().zip(z).map(|((n, e), z)| (n, e, z)).collect())
    })
}

fn scattered() -> impl Strategy<Value = Vec<(i64, i64)>> {
    prop::collection::vec((0..20 * UNIT, 0..20 * UNIT), 3..40)
}

/// A grid with some of its shots left out.
fn grid() -> impl Strategy<Value = Vec<(i64, i64)>> {
    (2..7_i64, 2..7_i64, 1..4_i64, prop::collection::vec(prop::bool::weighted(0.85), 49)).prop_map(
        |(r, c, step, kept)| {
            let all = (0..r).flat_map(|n| (0..c).map(move |e| (n, e)));
            all.zip(kept).filter(|(_, k)| *k).map(|((n, e), _)| (n * step * 1_524_000, e * step * 1_524_000)).collect()
        },
    )
}

/// Whole places on the circle of radius 65 round its middle, sixteen of them.
const ON_CIRCLE: [(i64, i64); 16] = [
    (63, 16),
    (60, 25),
    (56, 33),
    (52, 39),
    (39, 52),
    (33, 56),
    (25, 60),
    (16, 63),
    (-16, 63),
    (-25, -60),
    (-39, -52),
    (-56, 33),
    (-60, -25),
    (-63, 16),
    (33, -56),
    (56, -33),
];

/// Circles of four, five or six shots with nothing in them.
fn circles() -> impl Strategy<Value = Vec<(i64, i64)>> {
    let one = prop::sample::subsequence(ON_CIRCLE.to_vec(), 4..=6);
    prop::collection::vec((one, 0..3_i64, 0..3_i64), 1..4).prop_map(|circles| {
        let at = |(ring, n, e): (Ring, i64, i64)| {
            ring.into_iter().map(move |(y, x)| ((y + 70 + 150 * n) * 31_250, (x + 70 + 150 * e) * 31_250))
        };
        circles.into_iter().flat_map(at).collect()
    })
}

/// Nearly on a line, nearly at one place, a lattice a millionth out of square, needles a few millionths wide and 2,000 long.
fn nasty() -> impl Strategy<Value = Vec<(i64, i64)>> {
    let line = prop::collection::vec((0..4000_i64, -1..2_i64), 3..40)
        .prop_map(|v| v.into_iter().map(|(k, off)| (7_001 * k + off, 2_999 * k)).collect());
    let near = prop::collection::vec((0..4_i64, 0..4_i64, -2..3_i64, -2..3_i64), 3..50)
        .prop_map(|v| v.into_iter().map(|(n, e, u, w)| (n * 5 * UNIT + u, e * 5 * UNIT + w)).collect());
    let jitter = (2..8_i64, 2..8_i64, prop::collection::vec((-1..2_i64, -1..2_i64), 64)).prop_map(|(r, c, out)| {
        let all = (0..r).flat_map(|n| (0..c).map(move |e| (n, e)));
        all.zip(out).map(|((n, e), (u, w))| (n * 3 * UNIT + u, e * 3 * UNIT + w)).collect()
    });
    let needles = prop::collection::vec((0..4_i64, 0..2_000 * UNIT), 3..40);
    prop_oneof![line, near, jitter, needles]
}

fn tame() -> impl Strategy<Value = Rows> {
    with_heights(prop_oneof![scattered(), grid(), circles()])
}

fn any_rows() -> impl Strategy<Value = Rows> {
    with_heights(prop_oneof![scattered(), grid(), circles(), nasty()])
}

/// Shots that cover the square 0..20 units wholly.
fn covering() -> impl Strategy<Value = Rows> {
    let inside = prop_oneof![scattered(), grid(), circles()];
    with_heights(inside.prop_map(|mut places| {
        places.retain(|&(n, e)| n <= 20 * UNIT && e <= 20 * UNIT);
        places.extend([(0, 0), (20 * UNIT, 0), (0, 20 * UNIT), (20 * UNIT, 20 * UNIT)]);
        places
    }))
}

/// The square 0..20 cut in two by a line of many bends from its south side to its north side, which turns back on itself.
fn halves() -> impl Strategy<Value = (Ring, Ring)> {
    prop::collection::vec((UNIT..19 * UNIT, any::<bool>()), 1..6).prop_map(|bends| {
        let step = 20 * UNIT / (i64::try_from(bends.len()).unwrap_or(1) + 1);
        let mut line = vec![(0, 10 * UNIT)];
        for (k, &(e, hook)) in (1..).zip(&bends) {
            line.push((k * step, e));
            if hook {
                // An overhang: back south beside the way come, then on.
                line.extend([(k * step - step / 3, e / 2 + 300_001), (k * step + step / 3, e / 2 + 200_000)]);
            }
        }
        line.push((20 * UNIT, 10 * UNIT));
        let (mut west, mut east) = (line.clone(), line);
        west.extend([(20 * UNIT, 0), (0, 0)]);
        east.extend([(20 * UNIT, 20 * UNIT), (0, 20 * UNIT)]);
        (west, east)
    })
}

// What is compared.

const LEVELS: [f64; 5] = [0.25, 0.5, 1.0, 1.505, 2.0];

fn bits(o: &Overlay) -> Vec<u64> {
    let floats = [o.cut, o.fill, o.area, o.cut_area, o.fill_area, o.max_cut, o.max_fill, o.unclosed];
    floats.iter().map(|v| v.to_bits()).chain([o.pairs as u64]).collect()
}

/// Length of the contours at each level.
fn lengths(s: &Surface) -> impl Iterator<Item = f64> {
    LEVELS
        .map(|level| {
            let lines = s.contours(&[level]);
            let legs = lines.iter().flat_map(|line| line.points.windows(2));
            legs.map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1])).sum::<f64>()
        })
        .into_iter()
}

/// Every number that two equal sites must have alike, bit for bit.
fn numbers(before: &Rows, after: &Rows, limit: Option<&Ring>) -> Vec<u64> {
    let (a, b) = pair(before, after);
    let mut out = bits(&overlay(&a, &b, None, &silent));
    if let Some(ring) = limit {
        let region = Region::new(std::slice::from_ref(ring), a.net().frame()).expect("a ring");
        out.extend(bits(&overlay(&a, &b, Some(&region), &silent)));
        out.push(area_inside(&a, Some(&region)).to_bits());
    }
    let floats = [a.net().area(), b.net().area(), diagonal_doubt(&a, &b, None)];
    out.extend(floats.into_iter().chain(lengths(&a)).chain(lengths(&b)).map(f64::to_bits));
    out.extend([a.net().cells() as u64, b.net().triangles() as u64]);
    out
}

fn moved(p: (i64, i64), turns: u8, shift: (i64, i64)) -> (i64, i64) {
    let turned = (0..turns).fold(p, |(n, e), _| (e, -n));
    (turned.0 + shift.0, turned.1 + shift.1)
}

fn moved_rows(rows: &Rows, turns: u8, shift: (i64, i64)) -> Rows {
    let place = |&(n, e, z): &(i64, i64, f64)| {
        let (n, e) = moved((n, e), turns, shift);
        (n, e, z)
    };
    rows.iter().map(place).collect()
}

/// A ring well inside the square, not convex.
fn ring() -> Ring {
    [(2, 1), (17, 3), (9, 8), (15, 18), (3, 16)].map(|(n, e)| (n * UNIT + 137, e * UNIT - 91)).to_vec()
}

proptest! {
    #![proptest_config(seeded(96))]

    #[test]
    fn exchanging_the_surveys_exchanges_cut_and_fill(a in any_rows(), b in any_rows()) {
        let (s, t) = pair(&a, &b);
        let region = Region::new(&[ring()], s.net().frame()).expect("a ring");
        for region in [None, Some(&region)] {
            let (there, back) = (overlay(&s, &t, region, &silent), overlay(&t, &s, region, &silent));
            prop_assert_eq!(bits(&there.swapped()), bits(&back));
        }
    }

    #[test]
    fn exchanging_two_nets_over_the_same_shots_is_exact_too(a in tame()) {
        let s = shots(&a);
        let frame = Frame::of(&[&s]);
        let [s, t] = [Cells::FirstDiagonals, Cells::SecondDiagonals].map(|c| Surface::build(&s, frame, c).expect("built"));
        prop_assert_eq!(bits(&overlay(&s, &t, None, &silent).swapped()), bits(&overlay(&t, &s, None, &silent)));
    }

    #[test]
    fn a_site_that_is_shifted_or_turned_gives_the_same_bits(
        a in tame(), b in tame(), turns in 0..4_u8,
        shift in (-5_000_000 * UNIT..5_000_000 * UNIT, -5_000_000 * UNIT..5_000_000 * UNIT),
    ) {
        let home = numbers(&a, &b, Some(&ring()));
        let away: Ring = ring().into_iter().map(|p| moved(p, turns, shift)).collect();
        prop_assert_eq!(home, numbers(&moved_rows(&a, turns, shift), &moved_rows(&b, turns, shift), Some(&away)));
    }

    #[test]
    fn the_order_of_rows_changes_no_bit((a, shuffled) in any_rows().prop_flat_map(|a| (Just(a.clone()), Just(a).prop_shuffle())), b in any_rows()) {
        prop_assert_eq!(numbers(&a, &b, None), numbers(&shuffled, &b, None));
        prop_assert_eq!(numbers(&b, &a, None), numbers(&b, &shuffled, None));
    }

    #[test]
    fn a_limit_cut_in_two_adds_up(a in covering(), b in covering(), (west, east) in halves()) {
        let (s, t) = pair(&a, &b);
        let square = vec![(0, 0), (20 * UNIT, 0), (20 * UNIT, 20 * UNIT), (0, 20 * UNIT)];
        let of = |ring: &Ring| {
            // A line of bends may cross itself; then it cuts nothing in two.
            Region::new(std::slice::from_ref(ring), s.net().frame()).map(|r| overlay(&s, &t, Some(&r), &silent))
        };
        let (whole, west, east) = (of(&square), of(&west), of(&east));
        prop_assume!(west.is_ok() && east.is_ok());
        let (whole, west, east) = (whole.expect("a square"), west.expect("asked"), east.expect("asked"));
        for (part, scale) in [
            (|o: &Overlay| o.cut, whole.cut + whole.fill),
            (|o: &Overlay| o.fill, whole.cut + whole.fill),
            (|o: &Overlay| o.area, whole.area),
            (|o: &Overlay| o.cut_area, whole.area),
            (|o: &Overlay| o.fill_area, whole.area),
        ] as [(fn(&Overlay) -> f64, f64); 5] {
            let apart = (part(&west) + part(&east) - part(&whole)).abs();
            prop_assert!(apart <= 1e-11 * scale, "{} and {} do not make {}", part(&west), part(&east), part(&whole));
        }
        prop_assert!((whole.area - 400.0).abs() < 1e-9);
    }

    #[test]
    fn by_way_of_a_third_surface_is_the_same_net(a in covering(), b in covering(), c in covering()) {
        // One box for all three, so that they cover the same ground.
        let frame = Frame::of(&[&shots(&a), &shots(&b), &shots(&c)]);
        let [a, b, c] = [a, b, c].map(|r| Surface::build(&shots(&r), frame, Cells::Nodes).expect("built"));
        let o = [(&a, &b), (&b, &c), (&a, &c)].map(|(p, q)| overlay(p, q, None, &silent));
        let net = o.map(|o| o.cut - o.fill);
        let moved: f64 = o.iter().map(|o| o.cut + o.fill).sum();
        prop_assert!((net[0] + net[1] - net[2]).abs() <= 1e-12 * moved, "{net:?}");
    }

    #[test]
    fn a_row_given_twice_counts_once(a in tame(), at in any::<prop::sample::Index>(), to in any::<prop::sample::Index>()) {
        let line = |(k, &(n, e, z)): (usize, &(i64, i64, f64))| {
            let decimal = |v: i64| format!("{}.{:06}", v / UNIT, v % UNIT);
            format!("p{k},{},{},{z}", decimal(n), decimal(e))
        };
        let once: Vec<String> = a.iter().enumerate().map(line).collect();
        let mut twice = once.clone();
        twice.insert(to.index(once.len() + 1), once[at.index(once.len())].clone());
        let read = |lines: &[String]| {
            let source = Source::read("s.csv", format!("point,n,e,z\n{}\n", lines.join("\n")).into_bytes());
            let mut complaints = Complaints::default();
            let survey = read_shots(&source.expect("text"), "before", spadework::units::LengthUnit::Foot, &mut complaints).expect("a good table");
            let rows: Rows = (0..survey.shots.len())
                .map(|r| (survey.shots.northing[r], survey.shots.easting[r], survey.shots.elevation[r]))
                .collect();
            (rows, survey.cautions.len())
        };
        let ((plain, said), (doubled, said_of_double)) = (read(&once), read(&twice));
        prop_assert_eq!(&plain, &a, "what was written is what was read");
        prop_assert_eq!(said_of_double, said + 1);
        prop_assert_eq!(numbers(&plain, &a, None), numbers(&doubled, &a, None));
    }
}

// Laws of the surface and the overlay on what is hard.

/// Area that two convex hulls share: hulls by geo, then clipped edge by edge.
fn shared_hull(a: &Rows, b: &Rows) -> f64 {
    let low = |of: fn(&(i64, i64, f64)) -> i64| a.iter().chain(b).map(of).min().unwrap_or(0);
    let (n, e) = (low(|r| r.0), low(|r| r.1));
    let hull = |rows: &Rows| {
        let places = rows.iter().map(|r| Point::new((r.1 - e) as f64 / 1e6, (r.0 - n) as f64 / 1e6));
        let mut ring: Vec<[f64; 2]> =
            places.collect::<MultiPoint>().convex_hull().exterior().coords().map(|c| [c.x, c.y]).collect();
        ring.pop();
        ring
    };
    let (mut part, clip) = (hull(a), hull(b));
    for k in 0..clip.len() {
        let (p, q) = (clip[k], clip[(k + 1) % clip.len()]);
        let left = |c: [f64; 2]| (q[0] - p[0]) * (c[1] - p[1]) - (q[1] - p[1]) * (c[0] - p[0]);
        let mut kept = Vec::new();
        for (j, &c) in part.iter().enumerate() {
            let d = part[(j + 1) % part.len()];
            let (fc, fd) = (left(c), left(d));
            if fc >= 0.0 {
                kept.push(c);
            }
            if (fc >= 0.0) != (fd >= 0.0) {
                let t = fc / (fc - fd);
                kept.push([c[0] + t * (d[0] - c[0]), c[1] + t * (d[1] - c[1])]);
            }
        }
        part = kept;
    }
    geo::Polygon::new(part.into_iter().map(geo::Coord::from).collect(), Vec::new()).unsigned_area()
}

proptest! {
    #![proptest_config(seeded(384))]

    #[test]
    fn a_surface_keeps_its_laws_on_anything(a in any_rows()) {
        let s = shots(&a);
        for cells in [Cells::Nodes, Cells::FirstDiagonals, Cells::SecondDiagonals] {
            let surface = Surface::build(&s, Frame::of(&[&s]), cells).expect("built");
            prop_assert_eq!(surface.check(), Ok(()));
            // Every shot is there, and nothing but shots and one node for each square cell.
            let nodes = if cells == Cells::Nodes { surface.net().cells() } else { 0 };
            prop_assert_eq!(surface.net().vertices(), a.len() + nodes);
        }
    }

    #[test]
    fn the_pieces_make_up_the_whole(a in any_rows(), b in any_rows()) {
        let (s, t) = pair(&a, &b);
        let o = overlay(&s, &t, None, &silent);
        prop_assert!(o.unclosed <= 1e-9 * o.area, "{} of {} unclosed", o.unclosed, o.area);
        let hull = shared_hull(&a, &b);
        prop_assert!((o.area - hull).abs() <= 1e-10 * hull, "{} is not {hull}", o.area);
        prop_assert!(o.cut_area + o.fill_area <= o.area * (1.0 + 1e-10));
        // Net by a second way: the mean height of each surface over the common ground, where one is the other lowered.
        let lower = s.lowered(1.25);
        let same = overlay(&s, &lower, None, &silent);
        prop_assert!((same.cut - 1.25 * s.net().area()).abs() <= 1e-9 * s.net().area() && same.fill == 0.0);
    }
}

// Water.

/// Where water from `p` ends, step by step and without memory: of all triangles that hold the place, the steepest way down
/// that stays inside one, runs along one of its sides, or leaves over the open edge.
fn plain_way(s: &Surface, mut p: [f64; 2]) -> Option<(End, [f64; 2])> {
    const ON: f64 = 1e-8;
    let net = s.net();
    let count = u32::try_from(net.triangles()).unwrap_or(0);
    for _ in 0..4 * count {
        // Slope, where to, and whether that is over the edge; the best so far.
        let mut best: Option<(f64, [f64; 2], bool)> = None;
        let (mut level, mut rim, mut offered) = (false, false, false);
        let mut offer = |slope: f64, to: [f64; 2], out: bool| {
            if slope > 1e-9 && best.is_none_or(|(b, ..)| slope > b) {
                best = Some((slope, to, out));
            }
        };
        for t in 0..count {
            let c = net.corners(t).map(|v| net.place(v));
            let z = s.heights(t);
            let cross =
                |a: [f64; 2], b: [f64; 2], q: [f64; 2]| (b[0] - a[0]) * (q[1] - a[1]) - (b[1] - a[1]) * (q[0] - a[0]);
            let whole = cross(c[0], c[1], c[2]);
            let share = |q| [cross(c[1], c[2], q) / whole, cross(c[2], c[0], q) / whole, cross(c[0], c[1], q) / whole];
            let l = share(p);
            if l.iter().any(|&v| v < -ON) {
                continue;
            }
            let down = s.gradient(t).map(|g| -g);
            let steep = down[0].hypot(down[1]);
            level |= steep <= 1e-9;
            // How fast each share changes on the way down the plane, for one millionth.
            let rate = [0, 1, 2].map(|k| {
                let (a, b) = (c[(k + 1) % 3], c[(k + 2) % 3]);
                ((b[0] - a[0]) * down[1] - (b[1] - a[1]) * down[0]) / whole
            });
            let pressed: Vec<usize> = (0..3).filter(|&k| l[k] <= ON && rate[k] < 0.0).collect();
            rim |= (0..3).any(|k| l[k] <= ON && net.across(t, k).is_none());
            if pressed.is_empty() && steep > 1e-9 {
                let run = (0..3).filter(|&k| rate[k] < 0.0).map(|k| l[k] / -rate[k]).fold(f64::INFINITY, f64::min);
                offer(steep, [p[0] + run * down[0], p[1] + run * down[1]], false);
                offered = true;
            }
            if pressed.iter().any(|&k| net.across(t, k).is_none()) {
                offer(steep, p, true);
            }
            // Along a side the place is on, to its lower end.
            for k in (0..3).filter(|&k| l[k] <= ON) {
                let (i, j) = ((k + 1) % 3, (k + 2) % 3);
                let (high, low) = if z[i] > z[j] { (i, j) } else { (j, i) };
                if l[low] < 1.0 - ON {
                    let length = (c[high][0] - c[low][0]).hypot(c[high][1] - c[low][1]) / 1e6;
                    offer((z[high] - z[low]) / length, c[low], false);
                }
            }
        }
        match best {
            Some((_, to, false)) => p = to,
            Some((_, _, true)) => return Some((End::Edge, p)),
            None if rim => return Some((End::Edge, p)),
            None if level && !offered => return Some((End::Flat, p)),
            None => return Some((End::Low, p)),
        }
    }
    None
}

/// Heights to the millionth, so that equally steep ways, where a rule decides, do not come up.
fn rough() -> impl Strategy<Value = Rows> {
    (with_heights(prop_oneof![scattered(), grid()]), prop::collection::vec(0..3_000_000_i32, 64))
        .prop_map(|(rows, z)| rows.into_iter().zip(z).map(|((n, e, _), z)| (n, e, f64::from(z) / 1e6)).collect())
}

proptest! {
    #![proptest_config(seeded(64))]

    #[test]
    fn water_never_runs_uphill_and_ends_where_plain_steps_end(a in rough(), spots in prop::collection::vec((0..20 * UNIT, 0..20 * UNIT), 6)) {
        let (s, _) = pair(&a, &a);
        let frame = s.net().frame();
        let mut paths = Paths::new(&s, &[], 0.0);
        for (n, e) in spots.into_iter().chain(a.iter().map(|&(n, e, _)| (n, e)).take(12)) {
            let from = frame.local(n, e);
            let Some(path) = Paths::new(&s, &[], 0.0).from(from, true) else {
                prop_assert!(s.height_local(from).is_none());
                continue;
            };
            // A bend on the open edge may be a hair off the surface.
            let down: Vec<f64> = path.line.iter().filter_map(|&p| s.height_local(p)).collect();
            prop_assert!(down.windows(2).all(|w| w[1] <= w[0] + 1e-9), "uphill: {down:?}");
            let fall = s.height_local(from).unwrap_or(f64::NAN) - down.last().copied().unwrap_or(f64::NAN);
            prop_assert!(path.fall >= 0.0 && (path.end == End::Edge || (path.fall - fall).abs() <= 1e-9));
            let kept = paths.from(from, false).expect("on the surface, as before");
            prop_assert_eq!((kept.end, kept.place), (path.end, path.place));

            let (end, place) = plain_way(&s, from).expect("plain steps come to an end");
            prop_assert_eq!(end, path.end, "from {:?} to {:?} or {:?}", from, path.place, place);
            let apart = (place[0] - path.place[0]).hypot(place[1] - path.place[1]);
            prop_assert!(apart <= 1.0, "{apart} millionths apart at the end");
        }
    }
}

// Threads.

/// A survey of many shots by a plain recurrence (Knuth's MMIX constants).
fn many(count: usize, seed: u64) -> String {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        state >> 44
    };
    let places: BTreeMap<(u64, u64), u64> = (0..count).map(|_| ((next(), next()), next())).collect();
    let mut text = "point,northing,easting,elevation\n".to_owned();
    for (k, ((n, e), z)) in places.into_iter().enumerate() {
        let _ = writeln!(text, "p{k},{n}.5,{e}.25,{}", z as f64 / 1e5);
    }
    text
}

#[test]
fn one_thread_or_more_print_the_same_bytes() {
    let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR"));
    let (before, after) = (dir.join("threads-before.csv"), dir.join("threads-after.csv"));
    // Three chunks and more of swept triangles, so that there is something to divide.
    std::fs::write(&before, many(7_000, 3)).expect("written");
    std::fs::write(&after, many(8_000, 4)).expect("written");
    let printed = |threads: &str| {
        let run = Command::new(env!("CARGO_BIN_EXE_spadework"))
            .args(["--threads", threads, "compare", "--units", "m", "--json"])
            .args([&before, &after])
            .output()
            .expect("the program runs");
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        let text = String::from_utf8(run.stdout).expect("JSON");
        let (said, kept): (Vec<&str>, Vec<&str>) = text.lines().partition(|line| line.contains("\"command\""));
        assert_eq!(said.len(), 1, "one line tells the command");
        kept.join("\n")
    };
    let one = printed("1");
    assert!(one.contains("\"cut\"") && one.contains("\"fill\""), "{one}");
    for threads in ["2", "3"] {
        assert_eq!(one, printed(threads), "{threads} threads");
    }
}
