//! What does the report say of the level notes: page check, how they close, what was corrected, the table?
//!
//! Plain text. Heights to the decimals that were booked, corrections and misclosures to one more, allowances to two more.
//! Signs: misclosure is observed less known, a correction is added to the booked height.

use super::account::{places, words};
use super::columns::columns;
use crate::job::{MovedStakeOut, NotesOut, Outcome, SurveyOut, SuspectOut, lath};
use crate::units::{LengthUnit, fixed};
use std::collections::HashMap;

/// How many set-ups' corrections are said in one line; more are in the table.
const MOST_SAID: usize = 12;

/// One line on the closure, then the sums, what was corrected, what was shot twice, and the rows: all, or those turned on.
pub(super) fn survey(s: &NotesOut, outcome: &Outcome, every_row: bool) -> String {
    let (unit, places) = (&outcome.units.length, places(outcome).max(s.decimals));
    let mut text = format!("Level notes\n  {} set-ups, {} points", s.setups, s.points.len());
    let verdict = |closes: bool| if closes { "closes" } else { "DOES NOT CLOSE" };
    match s.misclosure {
        Some(miss) => {
            let worst = if s.closures.len() > 1 { "worst " } else { "" };
            let (miss, allowed) = (fixed(miss, places), fixed(s.allowed, places + 2));
            text += &format!("; {worst}misclosure {miss} {unit}, allowed {allowed}: {}", verdict(s.closes));
        }
        None => text += "; closes on nothing known, so nothing proves it",
    }
    text += &page_check(s, places);
    if s.closures.len() > 1 {
        let head = words(["closed from", "to", "set-ups", "misclosure", "allowed", ""]);
        let rows = s.closures.iter().map(|c| {
            let numbers = [c.setups.to_string(), fixed(c.misclosure, places), fixed(c.allowed, places + 2)];
            let mut row = vec![c.from.clone(), c.to.clone()];
            row.extend(numbers);
            row.push(verdict(c.closes).to_owned());
            row
        });
        text += &format!("\n{}", columns(&head, rows));
    }
    if let Some(spread) = s.spread {
        let of = match (s.closing, unit.as_str()) {
            ("set-ups", _) => "set-up",
            (_, "m") => "kilometre",
            _ => "mile",
        };
        text +=
            &format!("\n  standard deviation of one {of}, from how they close: {} {unit}", fixed(spread, places + 1));
    }
    text += &corrections(s, places);
    if !s.check_shots.is_empty() {
        let said: Vec<String> = s.check_shots.iter().map(|(name, d)| format!("{name} {}", fixed(*d, places))).collect();
        text += &format!("\n  check shots, second less first: {}", said.join(", "));
    }
    if s.residuals.len() > 1 {
        let head = words(["line from", "to", "set-ups", "rise booked", "residual"]);
        let rows = s.residuals.iter().map(|l| {
            let mut row = vec![l.from.clone(), l.to.clone(), l.setups.to_string()];
            row.extend([fixed(l.observed, places), fixed(l.residual, places + 1)]);
            row
        });
        text += &format!("\n{}", columns(&head, rows));
    }
    text += &table(s, places, every_row);
    text
}

/// The sums of each run and whether they agree.
fn page_check(s: &NotesOut, places: usize) -> String {
    // Feet and inches are no decimals.
    let places = if s.rods == "inches" { 4 } else { places };
    let mut text = String::new();
    for run in &s.runs {
        let which =
            if s.runs.len() > 1 { format!("{} to {}, {}: ", run.from, run.to, run.kind) } else { String::new() };
        let verdict = if run.page_check {
            "page check holds, by height of instrument and by rise and fall"
        } else {
            "PAGE CHECK FAILS"
        };
        text += &format!(
            "\n  {which}bs {} less fs {} = rises {} less falls {} = {}: {verdict}",
            fixed(run.sum_bs, places),
            fixed(run.sum_fs, places),
            fixed(run.sum_rise, places),
            fixed(run.sum_fall, places),
            fixed(run.rise, places)
        );
    }
    text
}

/// A correction belongs to a set-up: each once, in the order of the notes.
fn corrections(s: &NotesOut, places: usize) -> String {
    let mut found: Vec<(usize, f64)> = Vec::new();
    for point in &s.points {
        let is_new = |&(setup, c): &(usize, f64)| setup != point.setup || (c - point.correction).abs() >= 1e-9;
        if found.iter().rev().take(MOST_SAID).all(is_new) {
            found.push((point.setup, point.correction));
        }
    }
    if found.len() > MOST_SAID || found.iter().all(|&(_, c)| c.abs() <= 1e-9) {
        return String::new();
    }
    let said: Vec<String> =
        found.iter().map(|&(setup, c)| format!("set-up {setup}: {}", fixed(c, places + 1))).collect();
    format!("\n  added to the booked heights: {}", said.join(", "))
}

fn table(s: &NotesOut, places: usize, every_row: bool) -> String {
    let sigmas: HashMap<&str, f64> =
        s.points.iter().filter_map(|p| Some((p.name.as_str(), p.standard_error?))).collect();
    let mut head = words(["point", "bs", "HI", "is", "fs", "booked", "correction", "adjusted"]);
    if !sigmas.is_empty() {
        head.push("std error".to_owned());
    }
    let shown = s.book.iter().filter(|l| every_row || !l.typed.back.is_empty() || !l.typed.fore.is_empty());
    let rows: Vec<Vec<String>> = shown
        .map(|line| {
            let t = &line.typed;
            let typed = |cell: &str| if cell.is_empty() { "-".to_owned() } else { cell.to_owned() };
            let number = |v: Option<f64>, places| v.map_or_else(|| "-".to_owned(), |v| fixed(v, places));
            let correction = line.booked.zip(line.adjusted).map(|(booked, adjusted)| adjusted - booked);
            let mut row = vec![t.point.clone(), typed(&t.back), number(line.instrument, places), typed(&t.side)];
            row.extend([typed(&t.fore), number(line.booked, places), number(correction, places + 1)]);
            row.push(number(line.adjusted, places));
            if !sigmas.is_empty() {
                let turned = !t.fore.is_empty();
                row.push(number(sigmas.get(t.point.as_str()).copied().filter(|_| turned), places + 1));
            }
            row
        })
        .collect();
    if rows.is_empty() { String::new() } else { format!("\n\n{}", columns(&head, rows)) }
}

/// Shots that do not fit, and what the cut would be without; nothing where all do.
pub(super) fn looks(s: &SurveyOut, outcome: &Outcome) -> Option<String> {
    let unit = LengthUnit::from_code(&outcome.units.length)?;
    let places = if unit == LengthUnit::Metre { 3 } else { 2 };
    let head = words(["stake", "", "off", "cut", "would be", "why"]);
    let cut = |c: Option<f64>| c.map_or("-".to_owned(), |c| lath(c, unit));
    let row = |s: &SuspectOut| {
        let off = format!("{}{}", if s.residual > 0.0 { "+" } else { "" }, fixed(s.residual, places));
        vec![s.stake.clone(), s.kind.to_owned(), off, cut(s.cut), cut(s.cut_if), s.why.clone()]
    };
    let title = "Shots to look at before digging by them (nothing was changed)";
    (!s.suspects.is_empty()).then(|| format!("{title}\n{}", columns(&head, s.suspects.iter().map(row))))
}

/// Stakes named before the rest is counted.
const MOVED: usize = 20;

/// Stakes of two surveys that moved.
pub(super) fn moved(s: &SurveyOut, outcome: &Outcome) -> Option<String> {
    let moved = s.moved.as_ref()?;
    let unit = &outcome.units.length;
    let places = if unit == "m" { 3 } else { 2 };
    let signed = |v: f64| format!("{}{}", if v > 0.0 { "+" } else { "" }, fixed(v, places));
    let mut text = format!(
        "Stakes in both surveys, by name: {}; {} moved more than the {} {unit} that two shots may differ by",
        moved.common,
        moved.stakes.len(),
        fixed(moved.limit, places + 1)
    );
    if moved.shifted {
        text += &format!(
            ". All together stand {} {unit}: ask after the bench; the rest is counted from there",
            signed(moved.shift)
        );
    }
    if moved.stakes.is_empty() {
        return Some(text);
    }
    let head = words(["stake", "before", "after", "rise", "away in plan"]);
    let row = |s: &MovedStakeOut| {
        let heights = [s.before, s.after].map(|z| fixed(z, places));
        let mut row = vec![s.stake.clone()];
        row.extend(heights);
        row.extend([signed(s.rise), fixed(s.away, places)]);
        row
    };
    text += &format!("\n{}", columns(&head, moved.stakes.iter().take(MOVED).map(row)));
    if let Some(more) = moved.stakes.len().checked_sub(MOVED).filter(|&more| more > 0) {
        text += &format!("\n  and {more} more: see --json");
    }
    Some(text)
}

#[cfg(test)]
mod tests {
    use crate::sheet::sample::site;
    use crate::write::report;

    #[test]
    fn a_page_check_that_fails_and_a_run_that_does_not_close_are_shouted() {
        let mut hall = site::hall();
        let text = report::text(&hall);
        let said = "bs 13.99 less fs 13.96 = rises 10.44 less falls 10.41 = 0.03: page check holds";
        assert!(text.contains(said), "{text}");
        assert!(text.contains("standard deviation of one set-up, from how they close: 0.017 ft"), "{text}");
        let survey = hall.notes_mut().expect("the hall was levelled");
        survey.runs[0].page_check = false;
        survey.closes = false;
        let text = report::text(&hall);
        assert!(text.contains("PAGE CHECK FAILS") && text.contains("DOES NOT CLOSE"), "{text}");
    }
}
