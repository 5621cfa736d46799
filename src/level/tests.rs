//! Breaks in the notes, one by one; laws as properties.

use super::*;
use proptest::prelude::*;

fn row(point: &str, back: Option<i64>, side: Option<i64>, fore: Option<i64>) -> Sight {
    Sight { point: point.to_owned(), back, side, fore, ..Sight::default() }
}

fn rule() -> Rule {
    Rule { places: 100.0, allowed: Length::in_job_units(0.02), sides_with_backsight: false, closing: Closing::SetUps }
}

fn bench(name: &str) -> Option<Elevation> {
    let z = match name {
        "BM" => 100.0,
        "BM2" => 98.5,
        _ => return None,
    };
    Some(Elevation::in_job_units(z))
}

fn done(rows: &[Sight], rule: Rule) -> Reduced {
    reduce(rows, bench, rule).unwrap_or_else(|p| panic!("{p:?}"))
}

fn height(r: &Reduced, name: &str) -> Option<f64> {
    r.points.iter().find(|p| p.name == name).map(|p| p.adjusted.job_units())
}

fn near(got: f64, want: f64) -> bool {
    (got - want).abs() < 1e-9
}

#[test]
fn side_shots_take_the_share_of_their_foresight_or_of_their_backsight_if_told() {
    let rows = [
        row("BM", Some(500), None, None),
        row("a", None, Some(400), None),
        row("TP", Some(300), None, Some(600)),
        row("b", None, Some(100), None),
        row("BM", None, None, Some(196)),
    ];
    let out = done(&rows, rule());
    assert_eq!(out.misclosure, Some(Length::in_job_units(0.04)));
    assert_eq!((height(&out, "a"), height(&out, "TP"), height(&out, "b")), (Some(100.98), Some(98.98), Some(100.96)));
    let told = done(&rows, Rule { sides_with_backsight: true, ..rule() });
    assert_eq!((height(&told, "a"), height(&told, "TP"), height(&told, "b")), (Some(101.0), Some(98.98), Some(100.98)));
    let lines_of_sight: Vec<_> = out.sights.iter().map(|&(row, up)| (row, up.job_units())).collect();
    assert_eq!(lines_of_sight, [(0, 105.0), (2, 102.0)]);
}

#[test]
fn a_known_bench_met_by_a_side_shot_is_compared() {
    let rows = [
        row("BM", Some(500), None, None),
        row("BM2", None, Some(600), None),
        row("TP", Some(300), None, Some(600)),
        row("BM", None, None, Some(200)),
    ];
    let out = done(&rows, rule());
    assert_eq!(out.checks, [("BM2".to_owned(), Length::in_job_units(0.5))]);
}

#[test]
fn a_known_bench_turned_on_ends_a_run_and_begins_the_next() {
    let rows = [
        row("BM", Some(500), None, None),
        row("BM2", Some(400), None, Some(649)), // 98.51, held at 98.50
        row("a", None, Some(300), None),
        row("BM", None, None, Some(252)), // 99.98 from 98.50
    ];
    let out = done(&rows, rule());
    let misclosures: Vec<f64> = out.closures.iter().map(|c| (c.misclosure.job_units() * 1e9).round() / 1e9).collect();
    assert_eq!((out.runs.len(), misclosures), (2, vec![0.01, -0.02]));
    assert_eq!((out.misclosure, out.closes()), (Some(Length::in_job_units(-0.02)), true));
    assert_eq!((height(&out, "BM2"), height(&out, "a")), (Some(98.5), Some(99.52)));
    assert!(out.checks.is_empty());
}

#[test]
fn a_check_of_nothing_is_refused_and_huge_readings_do_not_overflow() {
    let mut rows =
        vec![row("BM", Some(500), None, None), row("a", None, Some(400), None), row("BM", None, None, Some(500))];
    rows[1].is_check = true;
    let problems = reduce(&rows, bench, rule()).map(|_| ()).unwrap_err();
    assert_eq!(problems.iter().map(|p| p.row).collect::<Vec<_>>(), [1]);
    let huge = i64::MAX;
    let mut rows = vec![row("BM", Some(huge), None, None)];
    for k in 0..1200 {
        rows.push(row(&format!("t{k}"), Some(huge), None, Some(-huge)));
    }
    rows.push(row("BM", None, None, Some(-huge)));
    assert!(done(&rows, rule()).runs[0].page_holds);
}

#[test]
fn a_spur_has_no_misclosure_and_is_said_to_be_one() {
    let out = done(&[row("BM", Some(500), None, None), row("end", None, None, Some(600))], rule());
    assert_eq!((out.misclosure, out.spread, height(&out, "end")), (None, None, Some(99.0)));
    assert_eq!((out.runs[0].kind, out.points[0].standard_error), (RunKind::Spur, None));
    assert!(near(out.allowed.job_units(), 0.02));
}

#[test]
fn every_break_in_the_notes_is_told_with_its_rows() {
    let rows = [
        row("Q", Some(500), None, None),
        row("a", Some(400), None, None),
        row("b", None, None, None),
        row("c", None, Some(100), Some(200)),
        row("d", None, None, Some(300)),
        row("e", None, Some(300), None),
        row("f", Some(300), None, None),
    ];
    let problems = reduce(&rows, bench, rule()).map(|_| ()).unwrap_err();
    let places: Vec<(usize, Option<usize>)> = problems.iter().map(|p| (p.row, p.other.map(|(row, _)| row))).collect();
    let want = [(0, None), (1, Some(0)), (2, None), (3, None), (5, Some(4)), (6, Some(4)), (6, None)];
    assert_eq!(places, want, "{problems:?}");
    assert!(problems[0].found.ends_with("no known height anywhere"), "{problems:?}");
    let open = [row("BM", Some(500), None, None), row("a", None, Some(400), None)];
    let problems = reduce(&open, bench, rule()).map(|_| ()).unwrap_err();
    assert_eq!(problems.iter().map(|p| (p.row, p.other.map(|o| o.0))).collect::<Vec<_>>(), [(1, Some(0))]);
}

#[test]
fn a_run_may_begin_where_a_later_one_ends_but_not_on_nothing() {
    let later = [
        row("K", Some(500), None, None),
        row("BM2", None, None, Some(450)),
        row("BM", Some(300), None, None),
        row("K", None, None, Some(502)),
    ];
    let out = done(&later, rule());
    assert_eq!(out.runs.iter().map(|r| r.kind).collect::<Vec<_>>(), [RunKind::Link, RunKind::Link]);
    // BM to K to BM2: 97.98, then 98.48, held at 98.50; a hundredth for each of the two.
    assert_eq!((out.closures.len(), height(&out, "K")), (1, Some(97.99)));
    let nothing = [
        row("BM", Some(500), None, None),
        row("a", None, None, Some(500)),
        row("c", Some(1), None, None),
        row("c", None, None, Some(1)),
    ];
    let problems = reduce(&nothing, bench, rule()).map(|_| ()).unwrap_err();
    assert_eq!(problems.iter().map(|p| p.row).collect::<Vec<_>>(), [2], "{problems:?}");
}

#[test]
fn by_distance_every_foresight_has_one() {
    let mut rows =
        vec![row("BM", Some(500), None, None), row("a", Some(500), None, Some(400)), row("BM", None, None, Some(604))];
    let by = Rule { closing: Closing::Distance(100.0), ..rule() };
    let problems = reduce(&rows, bench, by).map(|_| ()).unwrap_err();
    assert_eq!(problems.iter().map(|p| p.row).collect::<Vec<_>>(), [1, 2]);
    (rows[1].distance, rows[2].distance) = (Some(100.0), Some(300.0));
    let out = done(&rows, by);
    assert!(near(out.allowed.job_units(), 0.04) && out.closures[0].distance == Some(400.0));
    assert_eq!(height(&out, "a"), Some(101.01));
}

/// One loop with a spur: nothing is added on the spur but what its root has.
#[test]
fn a_spur_hangs_on_its_root() {
    let rows = [
        row("BM", Some(500), None, None),
        row("J", Some(500), None, Some(500)),
        row("BM", None, None, Some(504)),
        row("J", Some(500), None, None),
        row("s", Some(500), None, Some(400)),
        row("end", None, None, Some(500)),
    ];
    let out = done(&rows, rule());
    assert_eq!(out.runs.iter().map(|r| r.kind).collect::<Vec<_>>(), [RunKind::Loop, RunKind::Spur]);
    assert_eq!((height(&out, "J"), height(&out, "s"), height(&out, "end")), (Some(100.02), Some(101.02), Some(101.02)));
    // s0 = 0.04/√2 and J lies in the middle of two set-ups: q = 1/2; each set-up of the spur adds 1.
    let s0 = 0.04 / 2.0_f64.sqrt();
    let sigma = |name: &str| {
        let point = out.points.iter().find(|p| p.name == name);
        point.and_then(|p| p.standard_error).map_or(f64::NAN, Length::job_units)
    };
    assert!(near(out.spread.map_or(f64::NAN, Length::job_units), s0));
    for (name, q) in [("J", 0.5_f64), ("s", 1.5), ("end", 2.5)] {
        assert!(near(sigma(name), s0 * q.sqrt()), "{name} {}", sigma(name));
    }
}

/// A made-up set-up: back, fore, and a side shot.
type SetUpRow = (i64, i64, i64);

/// Notes from BM through `n` set-ups to `close`, points named with a letter in front.
fn run(letter: char, from: &str, close: &str, set_ups: &[SetUpRow]) -> Vec<Sight> {
    let mut rows = vec![row(from, set_ups.first().map(|s| s.0), None, None)];
    for (k, &(_, fore, side)) in set_ups.iter().enumerate() {
        rows.push(row(&format!("{letter}s{k}"), None, Some(side), None));
        let next = set_ups.get(k + 1).map(|s| s.0);
        let name = if next.is_none() { close.to_owned() } else { format!("{letter}t{k}") };
        rows.push(row(&name, next, None, Some(fore)));
    }
    rows
}

fn readings(most: usize) -> impl Strategy<Value = Vec<SetUpRow>> {
    prop::collection::vec((-200_i64..1500, -200_i64..1500, -200_i64..1500), 1..most)
}

proptest! {
    #[test]
    fn the_page_check_holds_always_and_the_close_is_met(set_ups in readings(12), to_other: bool) {
        let close = if to_other { "BM2" } else { "BM" };
        let out = done(&run('p', "BM", close, &set_ups), rule());
        prop_assert!(out.runs[0].page_holds);
        let sums = |of: fn(&SetUpRow) -> i64| set_ups.iter().map(of).sum::<i64>() as f64 / 100.0;
        prop_assert!(near(out.runs[0].backs.job_units(), sums(|s| s.0)));
        prop_assert!(near(out.runs[0].fores.job_units(), sums(|s| s.1)));
        prop_assert!(near(out.runs[0].rises.job_units() - out.runs[0].falls.job_units(), sums(|s| s.0 - s.1)));
        let last = out.points.last().map(|p| p.adjusted);
        prop_assert_eq!(last, bench(close));
    }

    /// Back and fore change places, the order is turned round: the turning points keep their heights, the misclosure its size.
    #[test]
    fn a_run_walked_the_other_way_gives_the_same_heights(set_ups in readings(12)) {
        let there = done(&run('p', "BM", "BM2", &set_ups), rule());
        let back: Vec<SetUpRow> = set_ups.iter().rev().map(|&(b, f, s)| (f, b, s)).collect();
        let n = set_ups.len();
        let back = done(&run('p', "BM2", "BM", &back), rule());
        let size = |r: &Reduced| r.misclosure.map_or(f64::NAN, Length::job_units);
        prop_assert!(near(size(&there), -size(&back)), "{} {}", size(&there), size(&back));
        for k in 0..n.saturating_sub(1) {
            let other = height(&back, &format!("pt{}", n - 2 - k));
            let (a, b) = (height(&there, &format!("pt{k}")), other);
            prop_assert!(near(a.unwrap_or(f64::NAN), b.unwrap_or(f64::NAN)), "{a:?} {b:?}");
        }
    }

    /// The same readings in a unit ten times smaller, and all heights higher by one number.
    #[test]
    fn unit_and_datum_change_no_height_above_the_bench(set_ups in readings(8), up in -500_i32..500) {
        let rows = run('p', "BM", "BM", &set_ups);
        let plain = done(&rows, rule());
        let finer: Vec<Sight> = rows
            .iter()
            .map(|r| Sight { back: r.back.map(|v| v * 10), side: r.side.map(|v| v * 10), fore: r.fore.map(|v| v * 10), ..r.clone() })
            .collect();
        let up = f64::from(up);
        let lifted = |name: &str| bench(name).map(|z| z + Length::in_job_units(up));
        let moved = reduce(&finer, lifted, Rule { places: 1000.0, ..rule() }).unwrap_or_else(|p| panic!("{p:?}"));
        for (a, b) in plain.points.iter().zip(&moved.points) {
            prop_assert!(near(a.adjusted.job_units() + up, b.adjusted.job_units()));
            prop_assert!(near(a.correction.job_units(), b.correction.job_units()));
        }
    }

    /// Three runs that meet at J, in any order and one of them through the middle: the same heights, residuals that balance.
    #[test]
    fn the_order_of_runs_changes_no_height(a in readings(5), b in readings(5), c in readings(5), order in 0..6_usize) {
        let runs = [run('a', "BM", "J", &a), run('b', "BM2", "J", &b), run('c', "J", "BM", &c)];
        let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        let plain = done(&runs.concat(), rule());
        let other = done(&orders[order].map(|k| runs[k].clone()).concat(), rule());
        prop_assert_eq!(plain.closures.len(), 2);
        for p in &plain.points {
            let height = height(&other, &p.name).unwrap_or(f64::NAN);
            prop_assert!(near(p.adjusted.job_units(), height), "{} {height}", p.name);
        }
        let spread = |r: &Reduced| r.spread.map_or(f64::NAN, Length::job_units);
        prop_assert!(near(spread(&plain), spread(&other)));
        // Normal equation of J: corrections per set-up that come in and go out are equal.
        let flow: f64 = plain.lines.iter().map(|l| {
            let sign = if l.to == "J" { 1.0 } else { -1.0 };
            sign * l.residual.job_units() / l.set_ups as f64
        }).sum();
        prop_assert!(near(flow, 0.0), "{flow}");
        // Every run that reaches J says the same of it.
        let at: Vec<f64> = plain.points.iter().filter(|p| p.name == "J").map(|p| p.adjusted.job_units()).collect();
        prop_assert!(at.iter().all(|z| near(*z, at[0])), "{at:?}");
    }
}
