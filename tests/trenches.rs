//! Are the trenches, inverts and stone of drains what can be worked out on paper?
//!
//! Whole jobs, from the text of a job file to cubic yards. Closed forms by arithmetic to 1e-9; no source needed.

mod common;

use common::assert_close;
use spadework::job::{DrainRunOut, Outcome, Parts, evaluate_site};
use spadework::par::silent;
use spadework::read::job::referenced;
use spadework::read::{Complaints, Source};
use std::collections::HashMap;
use std::fmt::Write as _;

const CUBIC_YARD: f64 = 27.0;
const TRENCH: &str = "trench = { width = \"1 ft\", under_pipe = \"4 in\" }";
const SOLID: &str = "{ kind = \"solid\", size = \"4 in\", wall = \"1/4 in\" }";
const PERFORATED: &str = "{ kind = \"perforated\", size = \"4 in\", wall = \"1/4 in\" }";
/// From the invert down to the bottom of the trench: wall and bedding.
const BELOW: f64 = 4.25 / 12.0;

/// Ground 200 by 200 in steps of 10, a patio of 20 by 20 at (150, 150) with its subgrade 1 ft down, and drains.
fn worked_out(drains: &str, ground: impl Fn(f64, f64) -> f64) -> Result<Outcome, String> {
    let job = format!(
        "[job]\nname = \"test\"\nunits = \"ft\"\n[survey]\nshots = \"shots.csv\"\n\
         [[section]]\nname = \"base\"\nlayers = [ {{ name = \"stone\", thick = \"12 in\" }} ]\n\
         [[area]]\nname = \"patio\"\nsection = \"base\"\noutline = [[150, 150], [150, 170], [170, 170], [170, 150]]\n\
         finish = {{ through = [150, 150, 100], falls = [\"0 % north\"] }}\n{drains}"
    );
    let mut shots = "point,northing,easting,elevation\n".to_owned();
    for (r, c) in (0..21).flat_map(|r| (0..21).map(move |c| (r, c))) {
        let (n, e) = (f64::from(r) * 10.0, f64::from(c) * 10.0);
        writeln!(shots, "S{r}-{c},{n},{e},{}", ground(n, e)).expect("a text");
    }
    let source = |name: &str, text: &str| Source::read(name, text.as_bytes().to_vec()).expect("a text");
    let (file, shots) = (source("job.toml", &job), source("shots.csv", &shots));
    let files = HashMap::from([("shots.csv".to_owned(), shots.clone())]);
    let mut complaints = Complaints::default();
    let read = referenced(&file, &mut complaints).and_then(|text| text.read(&files, &mut complaints));
    let Some((job, _)) = read else { return Err(complaints.render(&[&file, &shots])) };
    evaluate_site(&job, Parts::ALL, &silent)
        .map_err(|all| all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

fn drain(name: &str, nodes: &str, legs: &[&str]) -> String {
    format!("[[drain]]\nname = \"{name}\"\n{TRENCH}\nnodes = [ {nodes} ]\nlegs = [ {} ]\n", legs.join(", "))
}

fn runs(outcome: &Outcome) -> &[DrainRunOut] {
    &outcome.drainage.as_ref().expect("asked for").drains
}

fn good(drains: &str, ground: impl Fn(f64, f64) -> f64) -> Outcome {
    worked_out(drains, ground).unwrap_or_else(|e| panic!("{e}"))
}

#[track_caller]
fn sum_is(outcome: &Outcome, want: f64) {
    let dug = outcome.volume.as_ref().and_then(|v| v.excavation.as_ref()).expect("asked for");
    assert_close(dug.trench.expect("is a number") * CUBIC_YARD, want, 1e-7);
    assert_close(dug.cut + dug.undercut + dug.over_dig + dug.batter + dug.trench.unwrap_or(0.0), dug.sum, 1e-9);
}

#[test]
fn a_straight_trench_under_level_and_under_sloping_ground() {
    let one = drain("A", "{ at = [20, 20], invert = 98 }, { at = [20, 60], invert = 97 }", &[PERFORATED]);
    let level = good(&one, |_, _| 100.0);
    let mean = 2.5 + BELOW;
    sum_is(&level, 40.0 * mean);
    let run = &runs(&level)[0];
    assert_close(run.length, 40.0, 1e-9);
    assert_close(run.fall, 1.0 / 40.0, 1e-12);
    assert_close(run.cover.expect("surveyed"), 2.0 - 4.25 / 12.0, 1e-9);
    assert_close(run.points[1].trench_bottom.expect("ours"), 97.0 - BELOW, 1e-12);
    assert_close(run.legs[0].depth.expect("surveyed"), 3.0 + BELOW, 1e-9);
    let pipe = std::f64::consts::PI / 4.0 * (4.5_f64 / 12.0).powi(2) * 40.0;
    assert_close(run.legs[0].stone * CUBIC_YARD, 40.0 * mean - pipe, 1e-7);
    // Spare at 0.5 % is 1 - 0.2; that much again at 0.5 %.
    assert_close(run.spare, 0.8, 1e-9);
    assert_close(run.reach, 160.0, 1e-6);
    // Falling east with the pipe, and across it: the mean depth is that on the line.
    let sloped = good(&one, |n, e| 100.0 - (e - 20.0) * 0.05 + (n - 20.0) * 0.1);
    sum_is(&sloped, 40.0 * (mean - 1.0));
}

#[test]
fn only_what_lies_below_an_area_counts_there() {
    // Ten feet in the open and ten below the patio, whose subgrade lies at 99.
    let one = drain("A", "{ at = [160, 140], invert = 98 }, { at = [160, 160], invert = 97.8 }", &[SOLID]);
    let outcome = good(&one, |_, _| 100.0);
    let (open, under) = (100.0 - 97.95 + BELOW, 99.0 - 97.85 + BELOW);
    sum_is(&outcome, 10.0 * open + 10.0 * under);
    let leg = &runs(&outcome)[0].legs[0];
    assert_close(leg.stone * CUBIC_YARD, 20.0 * 4.0 / 12.0, 1e-7);
    assert!(leg.backfill > 0.0 && leg.fabric == 0.0);
    // Above the subgrade nothing is dug.
    let high = drain("A", "{ at = [160, 155], invert = 99.9 }, { at = [160, 165], invert = 99.7 }", &[SOLID]);
    sum_is(&good(&high, |_, _| 100.0), 0.0);
}

#[test]
fn the_lower_of_two_crossing_trenches_owns_the_crossing() {
    let both = drain("A", "{ at = [40, 20], invert = 98 }, { at = [40, 60], invert = 97 }", &[SOLID])
        + &drain("B", "{ at = [20, 40], invert = 96 }, { at = [60, 40], invert = 95 }", &[SOLID]);
    let outcome = good(&both, |_, _| 100.0);
    let (a, b) = (40.0 * (2.5 + BELOW), 40.0 * (4.5 + BELOW));
    // One square foot, at the middle of A.
    let shared = 2.5 + BELOW;
    sum_is(&outcome, a + b - shared);
    let [first, second] = runs(&outcome) else { panic!("two runs") };
    assert_close(first.legs[0].trench * CUBIC_YARD, a - shared, 1e-7);
    assert_close(second.legs[0].trench * CUBIC_YARD, b, 1e-7);
}

#[test]
fn two_legs_of_a_bend_share_their_corner_once() {
    let nodes = "{ at = [20, 20], invert = 98 }, { at = [20, 40] }, { at = [40, 40], invert = 97 }";
    let outcome = good(&drain("A", nodes, &[PERFORATED, SOLID]), |_, _| 100.0);
    let run = &runs(&outcome)[0];
    // Evenly between what was said.
    assert_close(run.points[1].invert, 97.5, 1e-12);
    // They overlap in a quarter of a square foot, in which the second lies lower: the first loses it.
    let at = |half: f64| 100.0 - (97.5 + half * 0.025) + BELOW;
    let shared = 0.25 * at(0.25);
    assert_close(run.legs[0].trench * CUBIC_YARD, 20.0 * (2.25 + BELOW) - shared, 1e-7);
    assert_close(run.legs[1].trench * CUBIC_YARD, 20.0 * (2.75 + BELOW), 1e-7);
    sum_is(&outcome, 20.0 * (5.0 + 2.0 * BELOW) - shared);
}

#[test]
fn what_is_wrong_with_a_pipe_is_a_finding() {
    let failed = |drains: &str| {
        let outcome = good(drains, |_, _| 100.0);
        // The level pit of these jobs is drained by no pipe: that water stays in it is another finding.
        let water = ["water stands", "subgrade water"];
        let all = outcome.checks.iter().filter(|c| !c.pass && !water.iter().any(|w| c.rule.starts_with(w)));
        let mut out: Vec<String> = all.map(|c| format!("{}: {}: {}", c.rule, c.subject, c.note)).collect();
        out.extend(outcome.cautions.iter().map(|c| c.text.clone()));
        out.join("\n")
    };
    let run = |a: f64, b: f64, end: &str| {
        let nodes = format!("{{ at = [20, 20], invert = {a} }}, {{ {end}, invert = {b} }}");
        drain("A", &nodes, &[PERFORATED])
    };
    let open = "at = [20, 60]";
    assert_eq!(failed(&run(98.0, 97.8, open)), "");
    assert!(
        failed(&run(98.0, 97.9, open)).contains("pipe fall: drain A, perforated leg: raise the invert at A.1 to 98.10")
    );
    assert!(failed(&run(98.0, 98.0, open)).contains("it lies level"));
    assert!(failed(&run(98.0, 98.5, open)).contains("it runs backward"));
    assert!(failed(&run(99.9, 99.6, open)).contains("cover over the pipe"));
    assert!(failed(&run(94.0, 93.0, open)).contains("29 CFR 1926"));
    assert!(!failed(&run(94.0, 93.0, open)).contains("an engineer designs it"));
    assert!(failed(&run(79.0, 78.0, open)).contains("an engineer designs it"));
    let outlet = "[[outlet]]\nname = \"O\"\nat = [20, 60]\ninvert = 97.5\n";
    assert!(failed(&(run(98.0, 97.4, "outlet = \"O\"") + outlet)).contains("invert above outlet: drain A at O"));
    assert_eq!(failed(&(run(98.0, 97.5, "outlet = \"O\"") + outlet)), "");
    let keep = |what: &str| format!("[[keep_off]]\nname = \"K\"\n{what}\n");
    let tree = keep("what = \"root circle\"\nat = [24, 40]\nradius = \"6 ft\"");
    let said = failed(&(run(98.0, 97.0, open) + &tree));
    assert!(
        said.contains("keep off: root circle: drain A in K") && said.contains("perforated pipe clear of roots"),
        "{said}"
    );
    let footing = keep("what = \"footing\"\nline = [[22, 10], [22, 70]]\nbottom = 99\nslope = { run = 1, rise = 1 }");
    assert!(failed(&(run(98.0, 97.0, open) + &footing)).contains("keep off: footing: drain A in K"));
    let gas = keep("what = \"utility\"\nline = [[22, 10], [22, 70]]\nwithin = \"2 ft\"");
    assert!(failed(&(run(98.0, 97.0, open) + &gas)).contains("trench of drain A within 1.5 ft of it: hand dig there"));
}

#[test]
fn what_cannot_be_is_refused_at_its_place() {
    let basin = |name: &str, e: f64| format!("[[basin]]\nname = \"{name}\"\nat = [20, {e}]\n");
    let two = basin("X", 40.0) + &basin("Y", 60.0);
    let a = |nodes: &str| drain("A", nodes, &[SOLID]);
    for (drains, sentence) in [
        (a("{ at = [20, 20] }, { at = [20, 60], invert = 97 }"), "no invert at `A.1`"),
        (a("{ at = [20, 20], invert = 98 }, { at = [20, 60] }"), "no invert at `A.2`"),
        (a("{ at = [20, 20], invert = 98 }, { at = [20, 20], invert = 97 }"), "at the place of"),
        (a("{ at = [20, 20], invert = 98 }, { basin = \"Z\", invert = 97 }") + &two, "which is no basin"),
        (
            drain("A", "{ basin = \"X\", invert = 98 }, { basin = \"Y\", invert = 97 }", &[SOLID])
                + &drain("B", "{ basin = \"Y\", invert = 97 }, { basin = \"X\", invert = 96 }", &[SOLID])
                + &two,
            "a run that comes back to `X`",
        ),
        (
            drain("A", "{ basin = \"X\", invert = 98 }, { basin = \"Y\", invert = 97 }", &[SOLID])
                + &drain("B", "{ basin = \"X\", invert = 98 }, { at = [50, 50], invert = 97 }", &[SOLID])
                + &two,
            "a second run out of `X`",
        ),
        (
            drain(
                "A",
                "{ at = [20, 20], invert = 98 }, { basin = \"X\" }, { at = [50, 50], invert = 97 }",
                &[SOLID; 2],
            ) + &two,
            "a run that goes on past `X`",
        ),
        (a("{ at = [20, 20], invert = 98 }, { at = [20, 60], invert = 97 }").replace(TRENCH, ""), "without `trench`"),
        (
            a("{ at = [20, 20], invert = 98 }, { at = [20, 60], invert = 97 }").replace("1 ft", "2 in"),
            "narrower than its pipe",
        ),
        (
            a("{ at = [20, 20], invert = 98 }, { at = [20, 60], invert = 97 }")
                .replace("size = \"4 in\"", "size = \"0 in\""),
            "a pipe of no size",
        ),
    ] {
        let said = worked_out(&drains, |_, _| 100.0).err().unwrap_or_default();
        assert!(said.contains(sentence) && said.contains("job.toml, line "), "{sentence}\n{said}");
    }
}

#[test]
fn trenches_are_staked_at_ends_bends_and_every_so_much() {
    let one = drain("A", "{ at = [20, 20], invert = 98 }, { at = [20, 45], invert = 97 }", &[SOLID]);
    let names = |outcome: &Outcome| {
        let stakes = outcome.stakes.clone().expect("asked for");
        let mut out: Vec<(String, f64)> = stakes
            .iter()
            .filter(|s| s.stake.starts_with("drain "))
            .map(|s| (s.stake.clone(), s.dig_to.expect("dug")))
            .collect();
        out.sort_by(|a, b| a.0.cmp(&b.0));
        out
    };
    let ends = names(&good(&one, |_, _| 100.0));
    assert_eq!(ends.iter().map(|e| e.0.as_str()).collect::<Vec<_>>(), ["drain A.1", "drain A.2"]);
    assert_close(ends[1].1, 97.0 - BELOW, 1e-12);
    let more = names(&good(&(one + "[stakes]\ntrench_every = \"10 ft\"\n"), |_, _| 100.0));
    assert_eq!(more.len(), 4);
    assert_close(more[1].1, 98.0 - 0.4 - BELOW, 1e-9);
}
