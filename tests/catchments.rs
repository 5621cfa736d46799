//! Is the ground parted rightly by where its water ends?
//!
//! Closed forms on planes, ridges, valleys, steps and walls; nothing lost; and on random ground every place ends where a drop followed
//! from it ends.

mod common;

use common::site::{job as site_job, worked_out};
use common::{Dice, assert_close};
use spadework::design::dig::Dig;
use spadework::drainage::{Catchments, DugGround, End, Footprint, Outlet, Paths, Stage};
use spadework::job::DugWaterOut;
use spadework::shots::{Frame, Kind, MICRO, Shots, to_micro};
use spadework::surface::{Cells, Surface};

fn grid(n: i64, z: impl Fn(f64, f64) -> f64) -> Surface {
    let mut shots = Shots::default();
    for (i, j) in (0..n).flat_map(|i| (0..n).map(move |j| (i, j))) {
        let (north, east) = (10.0 * i as f64, 10.0 * j as f64);
        shots.push(&format!("{i}-{j}"), to_micro(north), to_micro(east), z(north, east), Kind::Ground);
    }
    Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("a grid")
}

fn outlet(surface: &Surface, n: f64, e: f64) -> Outlet {
    Outlet { name: "out".to_owned(), place: surface.net().frame().local(to_micro(n), to_micro(e)) }
}

fn ends(surface: &Surface, outlets: &[Outlet]) -> Vec<(End, f64)> {
    let all = Catchments::new(surface, outlets);
    let mut ends: Vec<End> = all.pieces.iter().map(|p| p.end).collect();
    ends.sort_unstable();
    ends.dedup();
    let out: Vec<(End, f64)> = ends.into_iter().map(|end| (end, all.area(|p| p.end == end))).collect();
    assert_close(out.iter().map(|(_, area)| area).sum(), surface.net().area(), 1e-9);
    out
}

fn only(found: &[(End, f64)], want: &[(End, f64)]) {
    assert_eq!(found.len(), want.len(), "{found:?}");
    for ((end, area), (other, expected)) in found.iter().zip(want) {
        assert_eq!(end, other, "{found:?}");
        assert_close(*area, *expected, 1e-9);
    }
}

#[test]
fn a_plane_and_a_ridge_run_off_over_the_edge() {
    only(&ends(&grid(5, |n, e| 10.0 - 0.02 * n - 0.01 * e), &[]), &[(End::Edge, 1600.0)]);
    only(&ends(&grid(5, |n, e| 10.0 - 0.02 * n - 0.05 * (e - 20.0).abs()), &[]), &[(End::Edge, 1600.0)]);
}

#[test]
fn a_valley_gathers_both_its_sides_down_to_where_they_meet_it_below_the_outlet() {
    // A V along easting 20 that falls 2 % north; its sides fall 5 % to it. Water of a side comes down 2.5 for each 1 it goes north.
    let s = grid(5, |n, e| 10.0 + 0.05 * (e - 20.0).abs() - 0.02 * n);
    // At the mouth: what meets the valley within 40, so all but two triangles, 20 wide and 8 high at the edge.
    only(&ends(&s, &[outlet(&s, 40.0, 20.0)]), &[(End::Outlet(0), 1600.0 - 160.0), (End::Edge, 160.0)]);
    // Half-way down at a shot: what meets the valley above 20.
    let above = 2.0 * (20.0 * 12.0 + 20.0 * 8.0 / 2.0);
    only(&ends(&s, &[outlet(&s, 20.0, 20.0)]), &[(End::Outlet(0), above), (End::Edge, 1600.0 - above)]);
}

#[test]
fn a_bowl_keeps_its_own_and_a_level_top_keeps_what_falls_on_it() {
    let pyramid = |n: f64, e: f64| 10.0 + 0.1 * (n - 20.0).abs().max((e - 20.0).abs());
    only(&ends(&grid(5, pyramid), &[]), &[(End::Low, 1600.0)]);
    // A level square 20 by 20 on a hill: its own water stands, the rest leaves.
    let hill = |n: f64, e: f64| 10.0 - 0.1 * ((n - 20.0).abs().max((e - 20.0).abs()) - 10.0).max(0.0);
    only(&ends(&grid(5, hill), &[]), &[(End::Edge, 1200.0), (End::Flat, 400.0)]);
}

#[test]
fn two_outlets_share_a_pyramid_pit_by_its_diagonals() {
    // A square pit whose four faces fall to its middle; an outlet at the middle takes all. With a ridge across it two halves.
    let s = grid(5, |n, e| 10.0 - 0.05 * (n - 20.0).abs() + 0.1 * (e - 20.0).abs());
    // A ridge along northing 20, a valley along easting 20: water runs to the valley, then north or south.
    let both = [outlet(&s, 0.0, 20.0), outlet(&s, 40.0, 20.0)];
    let found = ends(&s, &both);
    // A side's water goes 0.5 out for each 1 toward the valley: 20 away it comes 10 farther, so a triangle 20 by 10 leaves at each corner.
    only(&found, &[(End::Outlet(0), 600.0), (End::Outlet(1), 600.0), (End::Edge, 400.0)]);
}

#[test]
fn every_place_of_random_ground_ends_where_a_drop_from_it_ends() {
    let mut told = 0;
    for seed in 0..40 {
        let mut rng = Dice(seed * 77 + 5);
        let mut shots = Shots::default();
        for k in 0..60 {
            let (n, e) = (rng.between(0.0, 100.0), rng.between(0.0, 100.0));
            shots.push(&format!("{k}"), to_micro(n), to_micro(e), 0.03 * n + rng.between(0.0, 3.0), Kind::Ground);
        }
        let s = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("shots");
        // An outlet at every seventh shot.
        let outlets: Vec<Outlet> = (0..60)
            .step_by(7)
            .map(|r| Outlet { name: String::new(), place: s.net().frame().local(shots.northing[r], shots.easting[r]) })
            .collect();
        let all = Catchments::new(&s, &outlets);
        assert_close(all.area(|_| true), s.net().area(), 1e-9 * s.net().area());
        // Paths stop within reach of an outlet, catchments at it: all but no reach for the comparison.
        let mut paths = Paths::new(&s, &outlets, 1e-6);
        for piece in all.pieces.iter().filter(|p| p.area > 1e-4) {
            let count = piece.ring.len() as f64;
            let middle = [0, 1].map(|k| piece.ring.iter().map(|p| p[k]).sum::<f64>() / count);
            let path = paths.from(middle, false).expect("on it");
            assert_eq!(path.end, piece.end, "seed {seed}, at {middle:?}");
            told += 1;
        }
        assert!(all.pieces.iter().all(|p| p.area >= -1e-9 / MICRO));
    }
    assert!(told > 4000, "{told}");
}

fn court(rest: &str) -> DugWaterOut {
    let extra = [("extra.csv", "stake,northing,easting\nX,55,63.3\n")];
    let rest = format!("{rest}[stakes]\nextra = \"extra.csv\"\n");
    let out = worked_out(&rest, |_, _| 100.0, &extra).unwrap_or_else(|e| panic!("{e}"));
    let dug = out.drainage.and_then(|d| d.dug).expect("worked out");
    for area in &dug.areas {
        let whole = if area.name == "walk" { 300.0 } else { 600.0 };
        assert_close(area.drains_to.iter().map(|d| d.area).sum(), whole, 1e-6);
    }
    dug
}

fn area(name: &str, north: [i32; 2], height: f64, falls: &str) -> String {
    let [a, b] = north;
    format!(
        "[[area]]\nname = \"{name}\"\nsection = \"base\"\nuse = \"patio\"\noutline = [[{a}, 50], [{a}, 80], [{b}, 80], [{b}, 50]]\n\
         finish = {{ through = [70, 50, {height}], falls = [{falls}] }}\n"
    )
}

fn drain(n: f64, e: [f64; 2]) -> String {
    format!(
        "[[drain]]\nname = \"A\"\ntrench = {{ width = \"12 in\" }}\n\
         nodes = [ {{ at = [{n}, {}], invert = 90 }}, {{ at = [{n}, {}], invert = 89 }} ]\n\
         legs = [ {{ kind = \"perforated\", size = \"4 in\" }} ]\n",
        e[0], e[1]
    )
}

fn shares(dug: &DugWaterOut, area: &str) -> Vec<(String, f64)> {
    let area = dug.areas.iter().find(|a| a.name == area).expect("named");
    area.drains_to.iter().map(|d| (d.to.clone().unwrap_or_else(|| d.end.clone()), d.area)).collect()
}

fn shared(dug: &DugWaterOut, name: &str, want: &[(&str, f64)]) {
    let found = shares(dug, name);
    assert_eq!(found.len(), want.len(), "{found:?}");
    for ((to, area), (other, expected)) in found.iter().zip(want) {
        assert_eq!(to, other, "{found:?}");
        assert_close(*area, *expected, 1e-6);
    }
}

#[test]
fn a_drain_along_half_an_edge_takes_the_strip_that_runs_to_it() {
    // Falls 2 % north and 1 % east, so water runs two north for one east; the drain lies along the lower edge from 50 to 65.
    let dug = court(&(area("court", [50, 70], 98.0, "\"2 % north\", \"1 % east\"") + &drain(70.5, [50.0, 65.0])));
    // The rest comes to the wall, runs along it to the corner and stays there.
    shared(&dug, "court", &[("pond", 400.0), ("drain A", 200.0)]);
    let lost: f64 = dug.unreached_rings.iter().map(|r| ring_area(r)).sum();
    assert_close(lost, 400.0, 1e-6);
}

fn ring_area(ring: &[(f64, f64)]) -> f64 {
    let cross = |k: usize| {
        let ((n, e), (m, f)) = (ring[k], ring[(k + 1) % ring.len()]);
        n * f - m * e
    };
    (0..ring.len()).map(cross).sum::<f64>().abs() / 2.0
}

#[test]
fn water_drops_over_a_step_and_stays_behind_one() {
    let walk = |height: f64| area("walk", [70, 80], height, "\"1 % north\"") + &drain(80.5, [50.0, 80.0]);
    let upper = area("court", [50, 70], 99.0, "\"2 % north\"");
    let down = court(&(upper.clone() + &walk(98.5)));
    shared(&down, "court", &[("drain A", 600.0)]);
    shared(&down, "walk", &[("drain A", 300.0)]);
    // Over the step at a node and between two; the drop is part of the fall and no slope.
    for (stake, above) in [("S5-6", 20.0), ("X", 15.0)] {
        let path = down.paths.iter().find(|p| p.stake == stake).expect("a stake of the court");
        assert_eq!((path.end.as_str(), path.to.as_deref()), ("drain", Some("drain A")));
        assert_close(path.length, above + 10.0, 1e-6);
        assert_close(path.fall, above * 0.02 + 0.5 + 10.0 * 0.01, 1e-6);
        assert_close(path.least_slope, 0.01, 1e-9);
    }
    let dam = court(&(upper + &walk(99.2)));
    shared(&dam, "court", &[("pond", 600.0)]);
    assert!(dam.unreached.iter().any(|s| s == "S5-6"), "{:?}", dam.unreached);
}

#[test]
fn at_a_wall_water_runs_along_its_foot_to_where_it_ends() {
    // The walk's upper edge falls west from 0.85 ft above the court's lower edge to 0.65 ft below it.
    let walk = area("walk", [70, 80], 98.35, "\"5 % west\", \"2 % north\"") + &drain(80.5, [20.0, 80.0]);
    // The court's lower edge is level: what comes to it east of the crossing, 13 ft along and between two shots, stays.
    let level = court(&(area("court", [50, 70], 99.0, "\"2 % north\"") + &walk));
    shared(&level, "court", &[("low", 340.0), ("drain A", 260.0)]);
    // It falls west: everything runs along the wall's foot to the crossing and over into the walk.
    let west = court(&(area("court", [50, 70], 99.0, "\"2 % north\", \"1 % west\"") + &walk));
    assert_eq!(shares(&west, "court")[0].0, "drain A");
    // What leaves the court by its west side comes to the wall of the dig there, runs north along its foot and over the step as well.
    shared(&west, "court", &[("drain A", 600.0)]);
}

#[test]
fn water_steps_over_what_is_dug_past_an_edge_into_a_trench_beside_it() {
    // Half a foot past the court's edges, level across; the trench begins where that ends, and lies along two thirds of the lower edge.
    let past = area("court", [50, 70], 98.0, "\"2 % north\"").replace("finish", "over_dig = \"6 in\"\nfinish");
    let dug = court(&(past.clone() + &drain(71.0, [50.0, 70.0])));
    // The rest comes to the level foot of the wall and stays there.
    assert_eq!(shares(&dug, "court")[0].0, "drain A");
    assert_close(shares(&dug, "court")[0].1, 400.0, 1e-6);
    // A trench that crosses the edge square takes what comes down to it, a foot wide, and no more.
    let square = past
        + "[[drain]]\nname = \"A\"\ntrench = { width = \"12 in\" }\n\
           nodes = [ { at = [69.8, 60], invert = 90 }, { at = [90, 60], invert = 89 } ]\n\
           legs = [ { kind = \"perforated\", size = \"4 in\" } ]\n";
    let all = shares(&court(&square), "court");
    let taken: Vec<f64> = all.iter().filter(|(to, _)| to == "drain A").map(|(_, area)| *area).collect();
    assert_eq!(taken.len(), 1, "{all:?}");
    assert_close(taken[0], 20.0, 1e-6);
}

#[test]
fn every_place_of_random_dug_ground_ends_where_a_drop_from_it_ends() {
    let (mut told, mut over) = (0, 0);
    for seed in 0..30 {
        let mut dice = Dice(seed * 131 + 7);
        let mut roll = |low: f64, high: f64| dice.between(low, high);
        let hump = [roll(0.0, 0.06), roll(-0.02, 0.02), roll(0.0, 1.0), roll(5.0, 20.0)];
        let ground = move |n: f64, e: f64| {
            (100.0 + hump[0] * n + hump[1] * e + hump[2] * (n / hump[3]).sin() * (e / hump[3]).cos() * 100.0).round()
                / 100.0
        };
        let mut said = String::new();
        // Three courts side by side and one along them all, past whose edges is dug; and a trench through two of them.
        let outlines = [[50, 70, 40, 60], [50, 70, 60, 85], [50, 70, 85, 110], [70, 90, 40, 110]];
        for (k, [a, b, c, d]) in outlines.into_iter().enumerate() {
            let (height, north, east) = (roll(99.0, 101.5), roll(-6.0, 6.0), roll(-6.0, 6.0));
            let falls = [(north, "north", "south"), (east, "east", "west")]
                .map(|(v, up, down)| format!("\"{:.2} % {}\"", v.abs(), if v < 0.0 { down } else { up }));
            said += &format!(
                "[[area]]\nname = \"{k}\"\nsection = \"base\"\noutline = [[{a}, {c}], [{a}, {d}], [{b}, {d}], [{b}, {c}]]\n\
                 finish = {{ through = [70, 75, {height:.2}], falls = [{}] }}\nover_dig = \"6 in\"\n",
                falls.join(", ")
            );
        }
        let (n, e) = (roll(72.0, 88.0), roll(45.0, 100.0));
        said += &drain((n * 10.0).round() / 10.0, [(e * 10.0).round() / 10.0, 108.0]);
        let job = site_job(&said, ground, &[]).unwrap_or_else(|e| panic!("{e}"));
        let frame = Frame::of(&[&job.existing]);
        let existing = Surface::build(&job.existing, frame, Cells::Nodes).expect("ground");
        let dig = Dig::new(&job.said, Some(&existing), frame, job.unit, &mut Vec::new()).expect("a dig");
        let leg = &job.said.drains[0].nodes;
        let [a, b] = [&leg[0], &leg[1]].map(|n| frame.local(n.place.0, n.place.1));
        let along = [b[0] - a[0], b[1] - a[1]].map(|d| d / (b[0] - a[0]).hypot(b[1] - a[1]) * MICRO / 2.0);
        let corner = |p: [f64; 2], k: f64| [p[0] - k * along[1], p[1] + k * along[0]];
        let piece = vec![corner(a, -1.0), corner(b, -1.0), corner(b, 1.0), corner(a, 1.0)];
        let foot = [Footprint { drain: 0, piece }];
        let dug = DugGround::new(&dig, &existing, Stage::Dug, (&foot, &[]), job.unit).expect("not tangled");
        let all = Catchments::new(&dug, &[]);
        assert_close(all.area(|_| true), existing.net().area(), 1e-6);
        let mut paths = Paths::new(&dug, &[], 0.0);
        for piece in all.pieces.iter().filter(|p| p.area > 1e-3) {
            let count = piece.ring.len() as f64;
            let middle = [0, 1].map(|k| piece.ring.iter().map(|p| p[k]).sum::<f64>() / count);
            let path = paths.from_in(piece.triangle, middle, false);
            assert_eq!(path.end, piece.end, "seed {seed}, {:?} at {:?}", dug.sheet(piece.triangle), frame.site(middle));
            told += 1;
            over += usize::from(path.end == End::Drain(0));
        }
    }
    assert!(told > 20_000 && over > 2_000, "{told} {over}");
}
