//! What heights do the notes give, and do they close?
//!
//! One run of set-ups in field-book order. Height of instrument = height + backsight; height = height of instrument less
//! sight. Readings are whole numbers of the last place booked, so the page check (sum of backsights less sum of foresights =
//! last less first height) is exact equality and not a rounding.
//!
//! Misclosure E = observed less known at the close. Of n set-ups, what is shot from the k-th is corrected by -E k/n, side shots
//! like the foresight of their set-up (they may be told to take the backsight's, -E (k-1)/n, instead).
//! Source of method and terms: Ghilani and Wolf, Elementary Surveying, differential leveling (from memory);
//! worked tables in `tests/published`. A row noted `check` is compared with the other shot of that point and not used.

use crate::units::{Elevation, Length, TIE};

/// One row of the notes. Readings are whole numbers of the last place booked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sight {
    /// The point.
    pub point: String,
    /// Backsight.
    pub back: Option<i64>,
    /// Intermediate sight.
    pub side: Option<i64>,
    /// Foresight.
    pub fore: Option<i64>,
    /// Whether it is only to be compared.
    pub is_check: bool,
}

/// How notes are reduced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Readings in one job unit: 100 where hundredths are booked.
    pub places: f64,
    /// Most the misclosure may be, times the root of the set-ups.
    pub allowed: Length,
    /// Whether side shots take the backsight's correction instead of the foresight's.
    pub sides_with_backsight: bool,
}

/// A reduced run of level notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// Every point in field-book order, the closing one last.
    pub points: Vec<Adjusted>,
    /// Set-ups of the instrument.
    pub set_ups: usize,
    /// Observed less known at the close; none where the run closes on nothing known.
    pub misclosure: Option<Length>,
    /// Most it may be.
    pub allowed: Length,
    /// Shots noted `check` and known benches met on the way: name, and what was shot less the other shot or the known height,
    /// adjusted. Compared, not used.
    pub checks: Vec<(String, Length)>,
}

/// A point of the notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// Its name.
    pub name: String,
    /// Height as booked.
    pub booked: Elevation,
    /// Its share of the misclosure, to be added.
    pub correction: Length,
    /// Height to use.
    pub adjusted: Elevation,
    /// The set-up it was shot from, from 1.
    pub set_up: usize,
}

/// Why notes cannot be reduced: the row, counted from 0, and a sentence in three parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The row.
    pub row: usize,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: &'static str,
    /// What to do.
    pub help: &'static str,
}

struct Shot {
    row: usize,
    /// Whole numbers of the last place booked, less the height the run began on.
    rise: i128,
    set_up: usize,
    is_turn: bool,
}

/// Reduces one run. `known` gives the height of a bench by its name.
///
/// # Errors
/// Every row at which the notes cannot be followed.
pub fn reduce(rows: &[Sight], known: impl Fn(&str) -> Option<Elevation>, rule: Rule) -> Result<Reduced, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut problem = |row, found: String, expected, help| problems.push(Problem { row, found, expected, help });
    let Some(first) = rows.first() else {
        problem(0, "no rows".to_owned(), "level notes", "begin with a backsight on a bench");
        return Err(problems);
    };
    let start = known(&first.point);
    if start.is_none() {
        let found = format!("a start on `{}`, whose height is not known", first.point);
        problem(
            0,
            found,
            "a bench with a height",
            "give the bench its height in the job file, or begin on one that has it",
        );
    }
    // Height of the line of sight, and of the point last turned on, both less the height of the start.
    let (mut sight, mut turned) = (None, Some((first.point.as_str(), 0_i128)));
    let (mut set_up, mut shots) = (0, Vec::<Shot>::new());
    let mut sums = (0_i128, 0_i128);
    for (row, r) in rows.iter().enumerate() {
        if r.back.is_none() && r.side.is_none() && r.fore.is_none() {
            problem(
                row,
                format!("no reading on `{}`", r.point),
                "a bs, is or fs",
                "fill in what was read, or remove the row",
            );
            continue;
        }
        if r.side.is_some() && (r.fore.is_some() || r.back.is_some()) {
            let found = format!("an intermediate sight and another on `{}` in one row", r.point);
            problem(row, found, "is alone, or fs and bs on a turning point", "book the two in rows of their own");
            continue;
        }
        for (reading, is_turn) in [(r.side, false), (r.fore, true)] {
            let Some(reading) = reading.map(i128::from) else { continue };
            let Some(line) = sight else {
                let found = format!("a sight on `{}` with no set-up before it", r.point);
                problem(row, found, "a backsight first", "book the backsight of this set-up");
                continue;
            };
            let rise = line - reading;
            shots.push(Shot { row, rise, set_up, is_turn });
            if is_turn {
                sums.1 += reading;
                turned = Some((&r.point, rise));
                sight = None;
            }
        }
        if let Some(back) = r.back.map(i128::from) {
            match turned.take() {
                Some((point, rise)) if point == r.point => {
                    sight = Some(rise + back);
                    set_up += 1;
                    sums.0 += back;
                }
                Some((point, _)) => {
                    let found = format!("a backsight on `{}` after a foresight on `{point}`", r.point);
                    problem(row, found, "a backsight on the point turned on", "check the names of the two rows");
                    // Go on as if it were that point, so that everything else wrong is found as well.
                    sight = Some(back);
                    set_up += 1;
                }
                None => {
                    let found = format!("a second backsight on `{}` with no foresight between", r.point);
                    problem(
                        row,
                        found,
                        "a foresight before the level is moved",
                        "book the foresight on the turning point",
                    );
                    sight = Some(back);
                    set_up += 1;
                }
            }
        }
    }
    for (row, r) in rows.iter().enumerate().filter(|(_, r)| r.is_check) {
        let other = rows.iter().any(|o| o.point == r.point && !o.is_check && (o.side.is_some() || o.fore.is_some()));
        if !other && known(&r.point).is_none() {
            let found = format!("a check on `{}`, which nothing else gives a height", r.point);
            problem(
                row,
                found,
                "another shot of the same point",
                "take the word check out of its note, or mend the name",
            );
        }
    }
    if let Some(last) = rows.len().checked_sub(1).filter(|_| sight.is_some()) {
        problem(last, "a set-up left open".to_owned(), "a foresight at the end", "close on a bench");
    }
    let (Some(start), true) = (start, problems.is_empty()) else { return Err(problems) };
    Ok(adjusted(rows, &shots, sums, start, set_up, &known, rule))
}

fn adjusted(
    rows: &[Sight],
    shots: &[Shot],
    sums: (i128, i128),
    start: Elevation,
    set_ups: usize,
    known: &impl Fn(&str) -> Option<Elevation>,
    rule: Rule,
) -> Reduced {
    let length = |whole: i128| Length::in_job_units(whole as f64 / rule.places);
    let close = shots.iter().rev().find(|s| s.is_turn);
    debug_assert!(close.is_none_or(|c| c.rise == sums.0 - sums.1), "the page check is arithmetic");
    let misclosure = close.and_then(|c| known(&rows[c.row].point).map(|z| (start - z) + length(c.rise)));
    let point = |s: &Shot| {
        let part = if s.is_turn || !rule.sides_with_backsight { s.set_up } else { s.set_up - 1 };
        let share = part as f64 / set_ups as f64;
        let correction = Length::in_job_units(misclosure.map_or(0.0, |e| -e.job_units() * share));
        let booked = start + length(s.rise);
        Adjusted {
            name: rows[s.row].point.clone(),
            booked,
            correction,
            adjusted: tidy(booked + correction, rule.places),
            set_up: s.set_up,
        }
    };
    let points: Vec<Adjusted> = shots.iter().filter(|s| !rows[s.row].is_check).map(point).collect();
    // Against the other shot of the point, or the height it is known to have; so is a known bench met on the way.
    let met = |s: &&Shot| {
        rows[s.row].is_check || (close.is_none_or(|c| c.row != s.row) && known(&rows[s.row].point).is_some())
    };
    let checks = shots.iter().filter(met).filter_map(|s| {
        let second = point(s);
        let shot = points.iter().find(|p| p.name == second.name && rows[s.row].is_check).map(|p| p.adjusted);
        let first = known(&second.name).or(shot)?;
        Some((second.name, second.adjusted - first))
    });
    let checks = checks.collect();
    let allowed = Length::in_job_units(rule.allowed.job_units() * (set_ups as f64).sqrt());
    Reduced { checks, points, set_ups, misclosure, allowed }
}

/// A height within a billionth of a booked decimal is that decimal: sums of decimals in binary leave such hairs.
fn tidy(height: Elevation, places: f64) -> Elevation {
    let z = height.job_units();
    let near = (z * places * 100.0).round() / (places * 100.0);
    Elevation::in_job_units(if (near - z).abs() <= TIE { near } else { z })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(point: &str, back: Option<i64>, side: Option<i64>, fore: Option<i64>) -> Sight {
        Sight { point: point.to_owned(), back, side, fore, is_check: false }
    }

    fn rule() -> Rule {
        Rule { places: 100.0, allowed: Length::in_job_units(0.02), sides_with_backsight: false }
    }

    fn bench(name: &str) -> Option<Elevation> {
        (name == "BM").then_some(Elevation::in_job_units(100.0))
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
        let out = reduce(&rows, bench, rule()).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!(out.misclosure.map(|e| (e.job_units() * 1e9).round()), Some(0.04e9));
        let of = |r: &Reduced, n: &str| r.points.iter().find(|p| p.name == n).map(|p| p.adjusted.job_units());
        assert_eq!((of(&out, "a"), of(&out, "TP"), of(&out, "b")), (Some(100.98), Some(98.98), Some(100.96)));
        let told =
            reduce(&rows, bench, Rule { sides_with_backsight: true, ..rule() }).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!((of(&told, "a"), of(&told, "TP"), of(&told, "b")), (Some(101.0), Some(98.98), Some(100.98)));
    }

    #[test]
    fn a_known_bench_met_on_the_way_is_compared() {
        let two = |name: &str| match name {
            "BM" => Some(Elevation::in_job_units(100.0)),
            "BM2" => Some(Elevation::in_job_units(98.5)),
            _ => None,
        };
        let rows = [
            row("BM", Some(500), None, None),
            row("BM2", None, Some(600), None),
            row("TP", Some(300), None, Some(600)),
            row("BM", None, None, Some(200)),
        ];
        let out = reduce(&rows, two, rule()).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!(out.checks.len(), 1);
        assert_eq!((out.checks[0].0.as_str(), out.checks[0].1.job_units()), ("BM2", 0.5));
    }

    #[test]
    fn a_check_of_nothing_is_refused_and_huge_readings_do_not_overflow() {
        let mut rows =
            vec![row("BM", Some(500), None, None), row("a", None, Some(400), None), row("BM", None, None, Some(500))];
        rows[1].is_check = true;
        let problems = reduce(&rows, bench, rule()).map(|_| ()).unwrap_err();
        assert_eq!(problems.iter().map(|p| p.row).collect::<Vec<_>>(), [1]);
        let huge = 9_000_000_000_000_000_i64;
        let mut rows = vec![row("BM", Some(huge), None, None)];
        for k in 0..1200 {
            rows.push(row(&format!("t{k}"), Some(huge), None, Some(-huge)));
        }
        rows.push(row("BM", None, None, Some(-huge)));
        assert!(reduce(&rows, bench, rule()).is_ok());
    }

    #[test]
    fn a_spur_has_no_misclosure() {
        let rows = [row("BM", Some(500), None, None), row("end", None, None, Some(600))];
        let out = reduce(&rows, bench, rule()).unwrap_or_else(|p| panic!("{p:?}"));
        assert_eq!((out.misclosure, out.points[0].adjusted.job_units()), (None, 99.0));
    }

    #[test]
    fn every_break_in_the_notes_is_told_with_its_row() {
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
        let rows: Vec<usize> = problems.iter().map(|p| p.row).collect();
        assert_eq!(rows, [0, 1, 2, 3, 5, 6, 6], "{problems:?}");
    }
}
