//! What heights do the notes give, and do they close?
//!
//! Height of instrument = height + backsight; height = height of instrument less sight; worked again by rise and fall, reading
//! to reading, and compared. Readings are whole numbers of the last place booked, so the page check (sum of backsights less sum
//! of foresights = sum of rises less sum of falls = last less first height) is exact equality and not a rounding.
//!
//! Misclosure E = observed less known at the close. Of n set-ups, what is shot from the k-th is corrected by -E k/n, side shots
//! like the foresight of their set-up (they may be told to take the backsight's, -E (k-1)/n, instead). By distance, k/n is the
//! distance so far over that of the whole. More than one loop: see `net.rs`; for one loop or link the two are the same.
//! Source of method and terms: Ghilani and Wolf, Elementary Surveying, differential leveling (from memory);
//! worked tables in `tests/published`. A row noted `check` is compared with the other shot of that point and not used.

use super::follow::{Points, Run, follow};
use super::net::{Adjustment, Closed, adjust};
use super::notes::{Adjusted, Closing, Closure, Line, Problem, Reduced, Rule, RunKind, RunSums, Sight};
use crate::units::{Elevation, Length, TIE};
use std::collections::HashMap;

/// Reduces level notes. `known` gives the height of a bench by its name.
///
/// # Errors
/// Every row at which the notes cannot be followed.
pub fn reduce(rows: &[Sight], known: impl Fn(&str) -> Option<Elevation>, rule: Rule) -> Result<Reduced, Vec<Problem>> {
    let mut problems = Vec::new();
    if rows.is_empty() {
        return Err(vec![Problem::at(0, "no rows", "level notes", "begin with a backsight on a bench")]);
    }
    let (runs, points) = follow(rows, &|name| known(name).is_some(), &mut problems);
    let known_heights: Vec<Option<Elevation>> = points.names.iter().map(|name| known(name)).collect();
    distances(rows, rule.closing, &mut problems);
    checks_of_nothing(rows, &known, &mut problems);
    let starts = starts(&runs, &points, &known_heights, rule.places, &mut problems);
    if !problems.is_empty() {
        problems.sort_by_key(|p| p.row);
        return Err(problems);
    }
    let adjustment = adjust(&runs, &starts, &known_heights, rule)?;
    Ok(Reducing { rows, runs: &runs, points: &points, known: &known, rule, adjustment }.reduced())
}

/// Where the distance decides, every foresight has one.
fn distances(rows: &[Sight], closing: Closing, problems: &mut Vec<Problem>) {
    if closing == Closing::SetUps {
        return;
    }
    let bad = |r: &Sight| r.fore.is_some() && !r.distance.is_some_and(|d| d > 0.0 && d.is_finite());
    for (row, r) in rows.iter().enumerate().filter(|(_, r)| bad(r)) {
        problems.push(Problem::at(
            row,
            format!("a foresight on `{}` without its distance", r.point),
            "how far it is from the point turned on before, above 0",
            "book the distance beside every foresight, or let the set-ups decide",
        ));
    }
}

fn checks_of_nothing(rows: &[Sight], known: &impl Fn(&str) -> Option<Elevation>, problems: &mut Vec<Problem>) {
    let mut shot: HashMap<&str, bool> = HashMap::new();
    for r in rows.iter().filter(|r| r.side.is_some() || r.fore.is_some()) {
        *shot.entry(&r.point).or_default() |= !r.is_check;
    }
    for (row, r) in rows.iter().enumerate().filter(|(_, r)| r.is_check) {
        let other = shot.get(r.point.as_str()).copied().unwrap_or(false);
        if !other && known(&r.point).is_none() {
            problems.push(Problem::at(
                row,
                format!("a check on `{}`, which nothing else gives a height", r.point),
                "another shot of the same point",
                "take the word check out of its note, or mend the name",
            ));
        }
    }
}

/// A run whose start has a height: which, and how high that is as booked.
pub(super) type Start = (usize, Elevation);

/// Runs in an order in which each begins on a known bench or on a point of a run before it, with the height of its start.
fn starts(
    runs: &[Run],
    points: &Points<'_>,
    known: &[Option<Elevation>],
    places: f64,
    problems: &mut Vec<Problem>,
) -> Vec<Start> {
    let mut heights = known.to_vec();
    let (mut order, mut waiting) = (Vec::new(), (0..runs.len()).collect::<Vec<_>>());
    loop {
        let before = waiting.len();
        waiting.retain(|&r| {
            let Some(start) = heights[runs[r].turns[0].point] else { return true };
            for turn in &runs[r].turns {
                heights[turn.point].get_or_insert(start + Length::in_job_units(turn.rise as f64 / places));
            }
            order.push((r, start));
            false
        });
        if waiting.is_empty() || waiting.len() == before {
            break;
        }
    }
    let expected = "a bench with a height";
    if !waiting.is_empty() && order.is_empty() && known.iter().all(Option::is_none) {
        let start = &runs[0].turns[0];
        let found = format!(
            "a start on `{}`, whose height is not known, and no known height anywhere",
            points.names[start.point]
        );
        let help = "give at least one bench of the notes its height";
        problems.push(Problem::at(start.row, found, expected, help));
        return order;
    }
    for start in waiting.iter().map(|&r| &runs[r].turns[0]) {
        problems.push(Problem::at(
            start.row,
            format!("a start on `{}`, whose height is not known", points.names[start.point]),
            expected,
            "give the bench its height, begin on one that has it, or turn on this point in another run",
        ));
    }
    order
}

/// Everything at hand to put the answer together.
struct Reducing<'a, F> {
    rows: &'a [Sight],
    runs: &'a [Run],
    points: &'a Points<'a>,
    known: &'a F,
    rule: Rule,
    adjustment: Adjustment,
}

impl<F: Fn(&str) -> Option<Elevation>> Reducing<'_, F> {
    fn length(&self, whole: i128) -> Length {
        Length::in_job_units(tidy(whole as f64 / self.rule.places))
    }

    fn name(&self, point: usize) -> String {
        self.points.names[point].to_owned()
    }

    fn reduced(self) -> Reduced {
        let mut all: Vec<Adjusted> = Vec::new();
        let mut sights = Vec::new();
        for (r, run) in self.runs.iter().enumerate() {
            self.points_of(r, run, &mut all, &mut sights);
        }
        all.sort_by_key(|p| p.row);
        let checks = self.checks(&all);
        let (compared, points) = all.into_iter().partition(|p: &Adjusted| self.rows[p.row].is_check);
        let closures: Vec<Closure> = self.adjustment.closures.iter().map(|c| self.closure(c)).collect();
        let set_ups = self.runs.iter().map(Run::set_ups).sum();
        let share = |c: &Closure| c.misclosure.job_units().abs() / c.allowed.job_units().max(f64::MIN_POSITIVE);
        let worst = closures.iter().reduce(|a, b| if share(b) > share(a) { b } else { a });
        let amount = match self.rule.closing {
            Closing::SetUps => set_ups as f64,
            Closing::Distance(per) => self.runs.iter().map(|run| run.last().distance).sum::<f64>() / per,
        };
        let allowed = worst.map_or(self.allowed(amount), |c| c.allowed);
        Reduced {
            points,
            compared,
            sights,
            set_ups,
            runs: self.runs.iter().enumerate().map(|(r, run)| self.sums(r, run)).collect(),
            misclosure: worst.map(|c| c.misclosure),
            allowed,
            closures,
            lines: self.lines(),
            spread: self.adjustment.spread.map(Length::in_job_units),
            checks,
        }
    }

    fn allowed(&self, amount: f64) -> Length {
        Length::in_job_units(self.rule.allowed.job_units() * amount.sqrt())
    }

    /// The shots of a run in any order, and the lines of sight of its set-ups.
    fn points_of(&self, r: usize, run: &Run, all: &mut Vec<Adjusted>, sights: &mut Vec<(usize, Elevation)>) {
        let start = self.adjustment.starts[r];
        let places = self.rule.places;
        let corrections = &self.adjustment.corrections[r];
        let mut add = |row: usize, rise: i128, k: usize, correction: f64, sigma: Option<f64>| {
            let booked = start + Length::in_job_units(rise as f64 / places);
            let correction = Length::in_job_units(correction);
            all.push(Adjusted {
                name: self.rows[row].point.clone(),
                row,
                booked,
                correction,
                adjusted: Elevation::in_job_units(tidy((booked + correction).job_units())),
                set_up: run.before + k,
                standard_error: sigma.map(Length::in_job_units),
            });
        };
        for (k, turn) in run.turns.iter().enumerate() {
            // The backsight of the next set-up stands on the same row, or on one behind it.
            if let Some((row, back)) =
                self.rows.iter().enumerate().skip(turn.row).find_map(|(row, r)| Some((row, r.back?)))
                && k < run.set_ups()
            {
                let line = start + Length::in_job_units((turn.rise + i128::from(back)) as f64 / places);
                sights.push((row, Elevation::in_job_units(tidy(line.job_units()))));
            }
            if k > 0 {
                add(turn.row, turn.rise, k, corrections[k], self.adjustment.sigmas[r][k]);
            }
        }
        for side in &run.sides {
            let k = side.set_up;
            let from = if self.rule.sides_with_backsight { k - 1 } else { k };
            add(side.row, side.rise, k, corrections[from], None);
        }
    }

    /// Against the other shot of the point, or the height it is known to have; so is a known bench met on the way.
    fn checks(&self, all: &[Adjusted]) -> Vec<(String, Length)> {
        let mut first: HashMap<&str, Elevation> = HashMap::new();
        for p in all.iter().filter(|p| !self.rows[p.row].is_check) {
            first.entry(&p.name).or_insert(p.adjusted);
        }
        let mut out = Vec::new();
        for p in all {
            let known = (self.known)(&p.name);
            let is_check = self.rows[p.row].is_check;
            // A bench that was turned on is closed upon.
            if (known.is_some() && self.rows[p.row].fore.is_some()) || !(is_check || known.is_some()) {
                continue;
            }
            let other = known.or_else(|| first.get(p.name.as_str()).copied());
            out.extend(other.map(|other| (p.name.clone(), p.adjusted - other)));
        }
        out
    }

    fn closure(&self, c: &Closed) -> Closure {
        let amount = match self.rule.closing {
            Closing::SetUps => c.set_ups as f64,
            Closing::Distance(per) => c.distance / per,
        };
        Closure {
            from: self.name(c.from),
            to: self.name(c.to),
            row: c.row,
            set_ups: c.set_ups,
            distance: Some(c.distance).filter(|d| d.is_finite()),
            misclosure: Length::in_job_units(tidy(c.misclosure)),
            allowed: self.allowed(amount),
        }
    }

    fn sums(&self, r: usize, run: &Run) -> RunSums {
        let (first, last) = (run.turns[0].point, run.last().point);
        RunSums {
            from: self.name(first),
            to: self.name(last),
            row: run.turns[0].row,
            set_ups: run.set_ups(),
            distance: Some(run.last().distance).filter(|d| d.is_finite()),
            backs: self.length(run.backs),
            fores: self.length(run.fores),
            rises: self.length(run.rises),
            falls: self.length(run.falls),
            rise: self.length(run.last().rise),
            page_holds: run.page_holds(),
            kind: match (self.adjustment.is_proved[r], first == last) {
                (false, _) => RunKind::Spur,
                (true, true) => RunKind::Loop,
                (true, false) => RunKind::Link,
            },
        }
    }

    fn lines(&self) -> Vec<Line> {
        let lines = self.adjustment.lines.iter();
        lines
            .map(|l| Line {
                from: self.name(l.from),
                to: self.name(l.to),
                set_ups: l.set_ups,
                observed: self.length(l.rise),
                residual: Length::in_job_units(l.residual),
            })
            .collect()
    }
}

/// A number within a billionth of eight decimals is that decimal: sums of decimals in binary leave such hairs.
fn tidy(z: f64) -> f64 {
    let near = (z * 1e8).round() / 1e8;
    if (near - z).abs() <= TIE { near } else { z }
}
