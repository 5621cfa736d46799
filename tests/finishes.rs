//! Do the finishes that are no plane by themselves, and battered sides, give what can be worked out on paper?
//!
//! Whole jobs, from the text of a job file and its tables to cubic yards: graded spots, the shape of the ground, the plane nearest to
//! it, sloped sides. Closed forms to 1e-9 of the volume; and where two ways of saying it mean one thing, the same figures.

mod common;

use common::assert_close;
use common::site::worked_out;
use spadework::job::{AreaOut, VolumeOut};
use std::fmt::Write as _;

const TOLERANCE: f64 = 1e-9;
const CUBIC_YARD: f64 = 27.0;

fn volume(areas: &str, ground: impl Fn(f64, f64) -> f64, tables: &[(&str, &str)]) -> VolumeOut {
    worked_out(areas, ground, tables).unwrap_or_else(|e| panic!("{e}")).volume.expect("asked for")
}

fn cubic(volume: &VolumeOut) -> [f64; 5] {
    let dug = volume.excavation.as_ref().expect("a job with areas");
    [dug.cut, volume.total.fill, dug.over_dig, dug.batter, dug.sum].map(|v| v * CUBIC_YARD)
}

fn close(got: f64, want: f64) {
    assert_close(got, want, TOLERANCE * want.abs().max(1.0));
}

/// An area by its corners with that finish and whatever else.
fn area(name: &str, outline: &str, finish: &str, more: &str) -> String {
    format!("[[area]]\nname = \"{name}\"\nsection = \"base\"\noutline = {outline}\nfinish = {finish}\n{more}\n")
}

const SQUARE: &str = "[[83, 71], [83, 107], [105, 107], [105, 71]]";
const LEVEL: &str = "{ through = [83, 71, 99], falls = [\"0 % north\"] }";

#[test]
fn following_the_ground_digs_the_same_depth_everywhere() {
    let rough = |n: f64, e: f64| 100.0 + ((n * 7.3 + e * 3.1).sin() * 2.0 * 1000.0).round() / 1000.0;
    let odd = "[[83, 71], [95, 88], [83, 107], [105, 111], [118, 90], [105, 64]]";
    let v = volume(&area("bed", odd, "{ follow = \"existing\", down = \"6 in\" }", ""), rough, &[]);
    let [cut, fill, _, _, sum] = cubic(&v);
    close(cut, 1.5 * v.areas[0].area);
    close(fill, 0.0);
    close(sum, cut);
    close(v.areas[0].max_cut, 1.5);
    // The layer goes by its thickness.
    close(v.areas[0].layers[0].volume * CUBIC_YARD, v.areas[0].area);
}

/// Everything a plane does, said in other ways: the ground is a plane too, so it may be followed, fitted, or given by spots.
#[test]
fn three_more_ways_to_say_a_plane_give_the_plane() {
    let tilted = |n: f64, e: f64| 100.0 + 0.02 * n - 0.05 * e;
    let ring = "[[83, 71], [83, 107], [94, 107], [94, 90], [105, 90], [105, 71]]";
    let more = "over_dig = { all = \"6 in\", except = [\"x.1-x.2\"] }\nbatter = { run = 0.5, rise = 1 }\ncode = \"x\"";
    // 6 in below the ground at the first corner, and parallel to it.
    let plane = "{ through = [83, 71, 97.61], falls = [\"2 % south\", \"5 % east\"] }";
    let want = volume(&area("x", ring, plane, more), tilted, &[]);
    let mut spots = "point,northing,easting,elevation\n".to_owned();
    for (k, (n, e)) in [
        (83.0, 71.0),
        (83.0, 107.0),
        (94.0, 107.0),
        (94.0, 90.0),
        (105.0, 90.0),
        (105.0, 71.0),
        (91.5, 84.25),
        (94.0, 100.0),
    ]
    .into_iter()
    .enumerate()
    {
        writeln!(spots, "G{k},{n},{e},{}", 99.5 + 0.02 * n - 0.05 * e).expect("a text");
    }
    let others = [
        ("{ follow = \"existing\", down = \"6 in\" }", 0.0),
        ("{ spots = \"spots.csv\" }", 0.0),
        ("{ fit = \"existing\" }", 0.5),
        ("{ fit = \"existing\", fall = \"5.385164807134504 %\" }", 0.5),
        ("{ fit = \"existing\", least = \"1 %\", most = \"6 %\" }", 0.5),
    ];
    for (finish, higher) in others {
        let got = volume(&area("x", ring, finish, more), tilted, &[("spots.csv", &spots)]);
        let (a, b): (&AreaOut, &AreaOut) = (&got.areas[0], &want.areas[0]);
        close(a.area, b.area);
        close(a.cut, b.cut - higher * b.area / CUBIC_YARD);
        assert_close(a.finish_slope, b.finish_slope, 1e-9);
        assert_close(a.finish_azimuth, b.finish_azimuth, 1e-6);
        if higher == 0.0 {
            for (x, y) in cubic(&got).into_iter().zip(cubic(&want)) {
                close(x, y);
            }
            close(a.ring_area, b.ring_area);
        }
    }
}

#[test]
fn a_crowned_drive_by_graded_spots_and_its_crown_line() {
    let flat = |_: f64, _: f64| 100.0;
    let ring = "[[50, 50], [50, 70], [150, 70], [150, 50]]";
    let spots = "point,northing,easting,elevation\nA,50,50,99.5\nB,50,70,99.5\nC,150,70,99.5\nD,150,50,99.5\n\
                 K1,50,60,99.9\nK2,150,60,99.9\nK3,97,60,99.9\n";
    let crown = "line,point\ncrown,K1\ncrown,K3\ncrown,K2\n";
    let finish = "{ spots = \"spots.csv\", breaklines = \"crown.csv\" }";
    let tables = [("spots.csv", spots), ("crown.csv", crown)];
    let v = volume(&area("drive", ring, finish, ""), flat, &tables);
    // Subgrade 1 ft below: from 1.5 at the edges to 1.1 at the crown, straight between.
    close(cubic(&v)[0], 2000.0 * 1.3);
    close(v.areas[0].max_cut, 1.5);
    // Its over-dig: two long sides 1.5 deep; at the ends the depth follows the crown; four corners at 1.5.
    let v = volume(&area("drive", ring, finish, "over_dig = \"1 ft\""), flat, &tables);
    close(cubic(&v)[2], 2.0 * 100.0 * 1.5 + 2.0 * 20.0 * 1.3 + 4.0 * 1.5);
    // A plane that meets its end follows the crown only where it is one plane with it.
    let porch = area(
        "porch",
        "[[150, 50], [150, 60], [160, 60], [160, 50]]",
        "{ meets = \"drive\", falls = [\"0 % north\"] }",
        "",
    );
    let both = format!("{}{porch}", area("drive", ring, finish, ""));
    let why = worked_out(&both, flat, &tables).expect_err("the crown is not level along the common edge");
    assert!(why.contains("its falls leave it 0.400 ft off `drive`"), "{why}");
    let porch = porch.replace("0 % north", "4 % west");
    let v = volume(&format!("{}{porch}", area("drive", ring, finish, "")), flat, &tables);
    close(v.areas[1].cut * CUBIC_YARD, 100.0 * 1.3);
}

#[test]
fn a_corner_without_a_spot_and_two_heights_at_one_place_are_refused_by_name() {
    let flat = |_: f64, _: f64| 100.0;
    let finish = "{ spots = \"spots.csv\", breaklines = \"lines.csv\" }";
    let spots = "point,northing,easting,elevation\nA,83,71,99.5\nB,83,107,99.5\nD,105,71,99.5\nM,90,90,99.7\n";
    let lines = "line,northing,easting,elevation\none,85,80,99\none,95,90,99\ntwo,85,90,98\ntwo,95,80,98\n";
    let why =
        worked_out(&area("court", SQUARE, finish, "code = \"K\""), flat, &[("spots.csv", spots), ("lines.csv", lines)]);
    assert!(why.expect_err("K.3 has none").contains("no graded spot at K.3 (N 105.00, E 107.00)"));
    let all = format!("{spots}C,105,107,99.5\n");
    let why = worked_out(&area("court", SQUARE, finish, ""), flat, &[("spots.csv", &all), ("lines.csv", lines)])
        .expect_err("two heights");
    assert!(why.contains("98.000 and 99.000, where `one` and `two` meet, at N 90.00, E 85.00"), "{why}");
}

#[test]
fn a_step_between_a_net_and_a_plane_is_parted_where_the_net_breaks() {
    let flat = |_: f64, _: f64| 100.0;
    let spots =
        "point,northing,easting,elevation\nA,50,50,99.5\nB,50,70,99.5\nC,70,70,99.5\nD,70,50,99.5\nM,70,60,99.9\n";
    let areas = area("lawn", "[[50, 50], [50, 70], [70, 70], [70, 50]]", "{ spots = \"spots.csv\" }", "")
        + &area(
            "walk",
            "[[70, 50], [70, 70], [74, 70], [74, 50]]",
            "{ through = [70, 50, 99.7], falls = [\"0 % north\"] }",
            "",
        );
    let plan = worked_out(&areas, flat, &[("spots.csv", spots)]).expect("can be worked out").plan.expect("asked for");
    let mut heights: Vec<[f64; 2]> = plan.steps.iter().map(|s| s.heights).collect();
    heights.iter_mut().for_each(|h| h.sort_by(f64::total_cmp));
    assert_eq!(heights.len(), 2);
    for h in heights {
        assert_close(h[0], -0.2, 1e-9);
        assert_close(h[1], 0.2, 1e-9);
    }
}

#[test]
fn battered_sides_of_a_rectangle_are_a_frustum() {
    let flat = |_: f64, _: f64| 100.0;
    // Finish 1 ft down, so the floor lies 2 ft down.
    for (run, rise, over) in [(0.5, 1.0, 0.0), (3.0, 2.0, 0.0), (1.0, 1.0, 0.5), (0.0, 1.0, 0.5)] {
        let m: f64 = run / rise;
        let mut more = format!("batter = {{ run = {run}, rise = {rise} }}\n");
        if over > 0.0 {
            more += &format!("over_dig = \"{over} ft\"");
        }
        let v = volume(&area("pit", SQUARE, LEVEL, &more), flat, &[]);
        let (a, b, h) = (22.0 + 2.0 * over, 36.0 + 2.0 * over, 2.0_f64);
        let [cut, _, over_dig, batter, sum] = cubic(&v);
        close(cut, 22.0 * 36.0 * h);
        close(over_dig, (a * b - 22.0 * 36.0) * h);
        close(batter, h * h * m * (a + b) + 4.0 / 3.0 * m * m * h.powi(3));
        close(sum, cut + over_dig + batter);
        close(v.areas[0].batter * CUBIC_YARD, batter);
    }
}

#[test]
fn an_inward_corner_counts_the_ground_once() {
    let flat = |_: f64, _: f64| 100.0;
    let ring = "[[80, 70], [80, 110], [95, 110], [95, 90], [110, 90], [110, 70]]";
    let v = volume(&area("L", ring, LEVEL, "batter = { run = 1, rise = 1 }"), flat, &[]);
    let (m, h, round): (f64, f64, f64) = (1.0, 2.0, 2.0 * (40.0 + 30.0));
    let corner = m * m * h.powi(3) / 3.0;
    // Five corners outward; at the one inward the two sides overlap and the lower counts: less of it by one corner.
    close(cubic(&v)[3], 0.5 * m * h * h * round + 5.0 * corner - corner);
}

#[test]
fn a_side_on_sloping_ground_ends_where_it_first_meets_it() {
    // Level to the east of 120 by nothing, rising 1 in 4 from the area's edge, then a ditch, then a hill.
    let edge = 110.0;
    let one = |profile: fn(f64) -> f64, run: f64| {
        let ring = "[[80, 90], [80, 110], [100, 110], [100, 90]]";
        let more = format!(
            "code = \"w\"\nover_dig = {{ all = \"0 in\", except = [\"w.1-w.2\", \"w.3-w.4\", \"w.4-w.1\"] }}\nbatter = {{ run = {run}, rise = 1 }}"
        );
        let v = volume(&area("wall", ring, LEVEL, &more), |_, e| profile(e), &[]);
        cubic(&v)[3]
    };
    // Ground rises 0.25 a foot from the edge: met at d where 2 + d / 4 = d / run.
    let rising = |e: f64| if e > 110.0 { 100.0 + (e - 110.0) / 4.0 } else { 100.0 };
    let d = 2.0 / (1.0 - 0.25);
    close(one(rising, 1.0), 20.0 * 0.5 * 2.0 * d);
    // Falls to the ditch at 120, 1.5 ft below, then a hill 40 ft high from 130 on: only the wedge at the edge is dug.
    let ditch = |e: f64| match e {
        e if e <= 110.0 => 100.0,
        120.0 => 98.5,
        130.0 => 98.5,
        _ => 140.0,
    };
    let d = 2.0 / (1.0 / 2.0 + 0.15);
    assert!(edge + d < 120.0);
    close(one(ditch, 2.0), 20.0 * 0.5 * 2.0 * d);
}

#[test]
fn a_batter_that_runs_off_the_survey_is_said() {
    let steep = |_: f64, e: f64| 100.0 + (e - 180.0).max(0.0) * 0.9;
    let ring = "[[80, 160], [80, 180], [100, 180], [100, 160]]";
    let out = worked_out(&area("bank", ring, LEVEL, "batter = { run = 1, rise = 1 }"), steep, &[]).expect("can be");
    assert!(
        out.cautions.iter().any(|c| c.subject == "bank" && c.text.contains("runs off the ground")),
        "{:?}",
        out.cautions
    );
}

#[test]
fn ground_that_cannot_be_followed_is_refused() {
    let flat = |_: f64, _: f64| 100.0;
    let off = "[[83, 180], [83, 210], [105, 210], [105, 180]]";
    let why = worked_out(&area("bed", off, "{ follow = \"existing\" }", "allow_uncovered = true"), flat, &[]);
    assert!(why.expect_err("220 ft2 lack ground").contains("220.0 ft2 of it without ground to go by"));
    let why = worked_out(&area("bed", SQUARE, "{ fit = \"existing\", least = \"2 %\" }", ""), flat, &[]);
    assert!(why.expect_err("level").contains("ground that leans no way"));
}

/// Rule, found and whether it passes, of every check of an area.
fn held(areas: &str, name: &str) -> Vec<(String, f64, bool)> {
    let flat = |_: f64, _: f64| 100.0;
    let out = worked_out(areas, flat, &[]).unwrap_or_else(|e| panic!("{e}"));
    out.checks.into_iter().filter(|c| c.subject == name).map(|c| (c.rule, c.found, c.pass)).collect()
}

#[test]
fn slopes_are_held_against_the_rules_of_the_use_to_the_last_tie() {
    let court = |falls: &str, more: &str| {
        let finish = format!("{{ through = [83, 71, 99], falls = [{falls}] }}");
        area("court", SQUARE, &finish, &format!("use = \"{more}\""))
    };
    // 1:48 is in, 2.09 % is out.
    let of = |falls: &str, usage: &str, rule: &str| {
        let all = held(&court(falls, usage), "court");
        all.iter().find(|c| c.0 == rule).map(|c| (c.1, c.2)).unwrap_or_else(|| panic!("no {rule} in {all:?}"))
    };
    assert!(of("\"1:48 north\"", "accessible patio", "accessible surface, greatest slope").1);
    assert!(!of("\"2.09 % north\"", "accessible patio", "accessible surface, greatest slope").1);
    assert!(!of("\"0.99 % north\"", "patio", "least fall").1 && of("\"1 % north\"", "patio", "least fall").1);
    assert!(!of("\"1.9 % north\"", "lawn", "least fall").1 && !of("\"34 % north\"", "lawn", "greatest slope").1);
    assert!(of("\"50 % north\"", "bed", "greatest slope").1);
    // The long side runs east: 36 by 22.
    let (run, ok) = of("\"8 % east\", \"1 % north\"", "ramp", "ramp run");
    assert!((run - 0.08).abs() < 1e-12 && ok);
    assert!((of("\"8 % east\", \"1 % north\"", "ramp", "ramp cross slope").0 - 0.01).abs() < 1e-12);
    let (rise, ok) = of("\"8 % east\", \"1 % north\"", "ramp", "ramp rise");
    assert!((rise - 0.08 * 36.0).abs() < 1e-9 && !ok, "{rise}");
    assert!(!of("\"5.1 % west\"", "accessible walk", "accessible walk, run").1);
    assert!((of("\"1 % north\"", "landing", "landing length").0 - 36.0).abs() < 1e-9);
    // By a building: 2 % for hard surface, 5 % for ground.
    let by = |usage: &str, falls: &str| court(falls, &format!("{usage}\"\nby_building = true\ncode = \"c"));
    let pass = |areas: String, rule: &str| held(&areas, "court").into_iter().find(|c| c.0 == rule).map(|c| c.2);
    assert_eq!(pass(by("patio", "\"1.9 % north\""), "hard surface by a building falls 2 %"), Some(false));
    assert_eq!(pass(by("lawn", "\"4 % north\""), "ground by a building falls 5 %"), Some(false));
    // The job's own limit holds in place of the usual one.
    let own = court("\"1.2 % north\"", "lawn") + "[rules]\nlawn = \"1 %\"\nramp_rise = \"4 ft\"\n";
    assert_eq!(pass(own, "least fall"), Some(true));
    // The subgrade's own fall is held as well.
    let flat = court("\"2 % north\"", "patio\"\nsubgrade = { fall = \"0.5 %\", toward = \"north\" }\ncode = \"c");
    assert_eq!(pass(flat, "least fall of the subgrade"), Some(false));
}
