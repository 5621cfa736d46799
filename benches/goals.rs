//! What does the engine owe? Each goal a ratio between two things timed in turn in one process, beside its floor.
//!
//! `--outside` also runs the same job by general-purpose libraries (needs Python with numpy, scipy, shapely, matplotlib; three
//! minutes at a million shots).

mod common;

use common::outside::Outside;
use common::{
    Rounds, UNIT, assert_near, build, levels, numbers, one_pass, parsed, pool, read, side, site, sizes, spade_alone,
    table, with_plan,
};
use spadework::par::silent;
use spadework::shots::{Frame, Kind, Shots};
use spadework::surface::{Breakline, Cells, LinePoint, Surface};
use spadework::volume::overlay;
use std::collections::HashSet;

/// Breaklines of about ten spacings, `n` times 3 % segments in all, through neighbouring shots of the net.
fn lines(n: usize, surface: &Surface) -> Vec<Breakline> {
    let net = surface.net();
    let mut out = Vec::new();
    let mut used = vec![false; net.vertices()];
    let mut segments = 0;
    let mut t = 0_u32;
    while segments < n * 3 / 100 && (t as usize) < net.triangles() {
        let mut line = Breakline { name: format!("L{}", out.len()), points: vec![] };
        let (mut at, mut v) = (t, net.corners(t)[0]);
        while line.points.len() < 10 && !used[v as usize] {
            used[v as usize] = true;
            line.points.extend(net.row(v).map(LinePoint::Shot));
            let Some(k) = (0..3).find(|&k| !used[net.corners(at)[k] as usize]) else { break };
            v = net.corners(at)[k];
            at = net.across(at, (k + 1) % 3).unwrap_or(at);
        }
        if line.points.len() > 2 {
            segments += line.points.len() - 1;
            out.push(line);
        }
        t += 97;
    }
    out
}

/// Every second shot of one survey, every other second shot of the other; the corners are in both.
fn half_shared(one: &Shots, other: &Shots) -> Shots {
    let mut out = Shots::default();
    let mut taken = HashSet::new();
    for (k, from) in (0..one.len()).map(|k| (k, if k % 2 == 0 || k < 4 { one } else { other })) {
        if taken.insert((from.northing[k], from.easting[k])) {
            out.push(from.names.get(k), from.northing[k], from.easting[k], from.elevation[k], from.kind[k]);
        }
    }
    out
}

/// About `n` shots on a square lattice, ten units apart, no cell in one plane.
fn lattice(n: usize) -> Shots {
    let wide = i64::try_from(n.isqrt()).expect("few shots");
    let mut out = Shots::default();
    for k in 0..wide * wide {
        let (y, x) = (k / wide, k % wide);
        let z = ((x * 7 + y * 13 + x * y) % 17) as f64 * 0.05 + 100.0;
        out.push(&format!("P{k}"), y * 10_000_000, x * 10_000_000, z, Kind::Ground);
    }
    out
}

fn main() {
    for n in sizes() {
        goals(n);
    }
}

fn goals(n: usize) {
    let surveys = [1, 2].map(|seed| site(n, seed));
    let tables = [table(&surveys[0]), table(&surveys[1])];
    let frame = Frame::of(&[&surveys[0], &surveys[1]]);
    let [before, after] = [0, 1].map(|k| build(&surveys[k], frame));
    let raised = before.lowered(-1.0);
    // Every second shot in both, and square cells on square cells, which get their nodes: nets with shots and edges in common.
    let half = half_shared(&surveys[0], &surveys[1]);
    let half = build(&half, frame);
    let squares = lattice(n);
    let squares = build(&squares, Frame::of(&[&squares]));
    let squares_raised = squares.lowered(-1.0);
    let lines = lines(n, &before);
    let area = (side(n) as f64 / 1000.0).powi(2);
    let total = overlay(&before, &after, None, &silent);
    assert_near(total.area, area, 1e-12);
    let (one, two) = (pool(1), pool(2));
    let mut rounds = Rounds::default();
    let count = if n > 2_000_000 { 1 } else { 7 };
    for _ in 0..count {
        let places = rounds.time("csv crate and parse, both", || tables.each_ref().map(|t| parsed(t)));
        rounds.time("spade bulk load, both", || places.map(spade_alone));
        one.install(|| {
            rounds.time("read, both", || tables.each_ref().map(|t| read(t, "t")));
            rounds.time("surfaces, both", || surveys.each_ref().map(|s| build(s, frame)));
            rounds.time("overlay", || overlay(&before, &after, None, &silent));
            rounds.time("overlay of one net with itself", || overlay(&before, &raised, None, &silent));
            rounds.time("overlay of nets that share half their shots", || overlay(&before, &half, None, &silent));
            let cells =
                rounds.time("overlay of a lattice with itself", || overlay(&squares, &squares_raised, None, &silent));
            assert_near(cells.fill, cells.area, 1e-12);
            rounds.time("contours", || before.contours(&levels()));
            rounds.time("one pass over both", || (one_pass(&before), one_pass(&after)));
            rounds.time("one surface", || build(&surveys[0], frame));
            rounds.time("one surface with breaklines", || {
                Surface::build_along(&surveys[0], &lines, UNIT, frame, Cells::Nodes).expect("a site can be built")
            });
            let (whole, _) = rounds.time("numbers", || numbers(&tables));
            assert_eq!(whole.cut.to_bits(), total.cut.to_bits());
            let (whole, bytes) = rounds.time("numbers and plan", || with_plan(&tables));
            assert!(whole.cut.to_bits() == total.cut.to_bits() && bytes > 10_000);
        });
        two.install(|| {
            rounds.time("overlay, two threads", || overlay(&before, &after, None, &silent));
            let (whole, _) = rounds.time("numbers, two threads", || numbers(&tables));
            assert_eq!(whole.cut.to_bits(), total.cut.to_bits());
            rounds.time("numbers and plan, two threads", || with_plan(&tables));
        });
    }
    println!(
        "{n} shots in each survey, {} pieces of breaklines, {} pairs",
        lines.iter().map(|l| l.points.len() - 1).sum::<usize>(),
        total.pairs
    );
    rounds.print();
    let plain = rounds.spent("csv crate and parse, both") + rounds.spent("spade bulk load, both");
    let spade = rounds.spent("spade bulk load, both");
    let goal = |what: &str, got: f64, floor: f64| {
        println!("  {what:<60} {got:>7.2}  floor {floor:>5.2}  {}", if got <= floor { "held" } else { "MISSED" })
    };
    goal("numbers / csv and spade, one thread", rounds.spent("numbers") / plain, 2.4);
    goal("numbers on two threads (wall) / the same", rounds.wall("numbers, two threads") / plain, 1.35);
    goal("overlay / spade", rounds.spent("overlay") / spade, 1.0);
    goal("surfaces / spade", rounds.spent("surfaces, both") / spade, 1.6);
    goal(
        "overlay: one net with itself / general",
        rounds.spent("overlay of one net with itself") / rounds.spent("overlay"),
        1.5,
    );
    let shared = rounds.spent("overlay of nets that share half their shots");
    goal("overlay: half the shots shared / general", shared / rounds.spent("overlay"), 1.5);
    let cells = rounds.spent("overlay of a lattice with itself") / squares.net().triangles() as f64;
    let whole = rounds.spent("overlay") / before.net().triangles() as f64;
    goal("overlay: a lattice with itself / general, by triangle", cells / whole, 1.5);
    goal("with breaklines / without", rounds.spent("one surface with breaklines") / rounds.spent("one surface"), 2.4);
    goal("overlay / one pass", rounds.spent("overlay") / rounds.spent("one pass over both"), 50.0);
    goal(
        "1 / speed-up of overlay on two threads",
        rounds.wall("overlay, two threads") / rounds.wall("overlay"),
        1.0 / 1.7,
    );
    goal(
        "1 / speed-up of numbers on two threads",
        rounds.wall("numbers, two threads") / rounds.wall("numbers"),
        1.0 / 1.5,
    );
    if std::env::args().any(|a| a == "--outside") {
        outside(&tables, &rounds, (total.cut, total.fill));
    }
    println!("  processor per shot, microseconds: {:.3}", rounds.spent("numbers") / (2 * n) as f64 * 1e6);
}

/// How many times as long as ours the same job takes by general-purpose libraries, and whether they find the same.
fn outside(tables: &[String; 2], rounds: &Rounds, (cut, fill): (f64, f64)) {
    let exact = Outside::run(tables, "exact");
    assert_near(exact.cut, cut, 1e-9);
    assert_near(exact.fill, fill, 1e-9);
    let grid = Outside::run(tables, "1000");
    assert_near(grid.cut + grid.fill, cut + fill, 1e-2);
    let one = rounds.spent("numbers and plan");
    let two = rounds.wall("numbers and plan, two threads");
    for (what, times, floor) in [
        ("all pairs by libraries / numbers and plan, one thread", exact.seconds("all") / one, 60.0),
        ("the same, two threads (wall)", exact.seconds("all") / two, 100.0),
        ("a raster of 1000 x 1000 by libraries / numbers", grid.seconds("all") / rounds.spent("numbers"), 10.0),
        ("contours by libraries / ours", exact.seconds("contours") / rounds.spent("contours"), 30.0),
    ] {
        let held = if times >= floor { "held" } else { "MISSED" };
        println!("  {what:<60} {times:>7.2}  floor {floor:>5.0}  {held}");
    }
}
