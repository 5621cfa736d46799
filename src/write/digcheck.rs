//! What is said of the hole, on a screen and as a table?
//!
//! Heights and differences to 0.01 (metres: 0.001) in words, 0.0001 in the table; volumes to 0.01.

use super::account::{places, words};
use super::columns::columns;
use super::csv::Rows;
use crate::job::{DigCheckOut, DugAreaOut, DugStakeOut, LoadsOut, Outcome};
use crate::units::fixed;

/// One row a stake, the worst first.
///
/// # Errors
/// What the encoder says.
pub fn stakes(outcome: &Outcome) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row([
        "stake", "area", "dig_to", "asdug", "diff", "verdict", "text", "do", "share", "ordered", "base", "setup",
        "rod", "time", "note",
    ])?;
    for s in outcome.digcheck.iter().flat_map(|d| &d.stakes) {
        let number = |v: Option<f64>| v.map_or_else(String::new, |v| fixed(v, 4));
        out.row([
            s.stake.clone(),
            s.area.clone().unwrap_or_default(),
            fixed(s.dig_to, 4),
            fixed(s.as_dug, 4),
            signed(s.diff, 4),
            s.verdict.to_owned(),
            s.text.clone(),
            s.order.to_owned(),
            fixed(s.share, 2),
            number(s.ordered),
            number(s.base),
            s.set_up.map_or_else(String::new, |k| k.to_string()),
            number(s.rod),
            s.time.clone(),
            s.note.clone(),
        ])?;
    }
    out.finished()
}

/// With its sign, a plus as well.
#[must_use]
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// `HIGH 0-1 1/8: trim`, or `ok`.
#[must_use]
pub fn verdict(s: &DugStakeOut) -> String {
    if s.text.is_empty() { "ok".to_owned() } else { format!("{}: {}", s.text, s.order) }
}

/// Everything of the hole.
pub(super) fn report(d: &DigCheckOut, outcome: &Outcome) -> String {
    let parts = [
        Some(head(d, outcome)),
        Some(table(d, outcome)),
        Some(areas(d, outcome)),
        Some(totals(d, outcome)),
        as_is(d, outcome),
        water(d, outcome),
        log(d, outcome),
        moved(d, outcome),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join("\n\n")
}

fn head(d: &DigCheckOut, outcome: &Outcome) -> String {
    let (n, unit) = (places(outcome), &outcome.units.length);
    let [high, low] = d.tolerance.map(|t| fixed(t, n));
    let verdict = if d.accept { "ACCEPT" } else { "NOT ACCEPTED AS IT IS" };
    let mut text = format!(
        "Dig check: {verdict}\n  {} stakes, {} in, {} HIGH, {} LOW; in is {high} {unit} above to {low} {unit} below dig-to",
        d.stakes.len(),
        d.stakes.len() - d.out_of_tolerance,
        d.high,
        d.low
    );
    if let Some(mean) = d.mean {
        let spread = d.spread.map_or_else(String::new, |s| format!(", spread {}", fixed(s, n + 1)));
        text += &format!("\n  mean {} {unit}{spread}", signed(mean, n + 1));
    }
    for (k, s) in d.set_ups.iter().enumerate() {
        let mean = s.mean.map_or_else(String::new, |m| format!(", mean {}", signed(m, n + 1)));
        text += &format!(
            "\n  set-up {}: {}HI {}, {} stakes{mean}",
            k + 1,
            s.rod.map_or_else(String::new, |rod| format!("{} on {}, ", fixed(rod, n), s.bench)),
            fixed(s.instrument, n),
            s.stakes
        );
    }
    for c in &d.closings {
        let verdict = if c.closes { "closes" } else { "DOES NOT CLOSE" };
        text += &format!("\n  {verdict} on {}: {} {unit}, allowed {}", c.bench, signed(c.off, n), fixed(c.allowed, n));
    }
    text
}

fn table(d: &DigCheckOut, outcome: &Outcome) -> String {
    let n = places(outcome);
    let head = words(["stake", "area", "dig to", "as dug", "diff", "", &outcome.units.area, "remarks"]);
    let row = |s: &DugStakeOut| {
        let ordered = s.ordered.map(|o| format!("{} undercut ordered", fixed(o, n)));
        let note = (!s.note.is_empty()).then(|| s.note.clone());
        vec![
            s.stake.clone(),
            s.area.clone().unwrap_or_else(|| "-".to_owned()),
            fixed(s.dig_to, n),
            fixed(s.as_dug, n),
            signed(s.diff, n),
            verdict(s),
            fixed(s.share, 0),
            ordered.into_iter().chain(note).collect::<Vec<_>>().join("; "),
        ]
    };
    let title = format!(
        "Stakes, the worst first: by difference times the ground nearest to each ({}; + HIGH, - LOW)",
        outcome.units.length
    );
    format!("{title}\n{}", columns(&head, d.stakes.iter().map(row)))
}

fn areas(d: &DigCheckOut, outcome: &Outcome) -> String {
    let head = words(["area", "shot", "out", "by", "over", "high", "of it out", "low", "of it out"]);
    let row = |a: &DugAreaOut| {
        let mut row = vec![a.name.clone(), a.shot.to_string(), a.out.to_string(), a.by.to_owned()];
        let over = format!("{} of {}", fixed(a.covered, 0), fixed(a.area, 0));
        row.push(if a.shot > 0 { over } else { "-".to_owned() });
        row.extend([a.high, a.high_beyond, a.low, a.low_beyond].map(|v| fixed(v, 2)));
        row
    };
    let units = &outcome.units;
    format!("High and low by area ({}, {})\n{}", units.volume, units.area, columns(&head, d.areas.iter().map(row)))
}

fn totals(d: &DigCheckOut, outcome: &Outcome) -> String {
    let units = &outcome.units;
    let loads = |all: &[LoadsOut]| {
        let each = all.iter().map(|l| format!("{} {}", l.trips, l.truck)).collect::<Vec<_>>().join(", or ");
        if each.is_empty() { String::new() } else { format!("loads: {each}") }
    };
    let mut rows = vec![
        words(["high, bank", &fixed(d.high_volume, 2), &units.volume, ""]),
        words(["  of it out: trim", &fixed(d.high_beyond, 2), &units.volume, &loads(&d.trim_loads)]),
        words(["  over", &fixed(d.trim_area, 0), &units.area, ""]),
    ];
    if d.high_beyond > 0.0 {
        let [least, most] = d.trim_hours.map(|h| fixed(h, 1));
        rows.push(words(["  by hand", &format!("{least} to {most}"), "h", "one person"]));
    }
    rows.push(words(["low", &fixed(d.low_volume, 2), &units.volume, ""]));
    rows.push(words(["  of it out: fill", &fixed(d.low_beyond, 2), &units.volume, ""]));
    if d.stone > 0.0 {
        rows.push(words(["  stone, waste in it", &fixed(d.stone, 2), &units.mass, &loads(&d.deliveries)]));
    }
    for f in &d.fills {
        let mass = f.mass.map_or_else(String::new, |m| format!("{} {}", fixed(m, 2), units.mass));
        rows.push(words([&format!("    {}, {}", f.area, f.layer), &fixed(f.volume, 2), &units.volume, &mass]));
    }
    format!("To do\n{}\n  Low ground is filled with the layer named, never with loose spoil.", columns(&[], rows))
}

fn as_is(d: &DigCheckOut, outcome: &Outcome) -> Option<String> {
    let (n, units) = (places(outcome), &outcome.units);
    let head =
        words(["area", "layer", "designed", "thinnest", "at", "thickest", "at", &format!("more, {}", units.volume)]);
    let rows: Vec<Vec<String>> = d
        .areas
        .iter()
        .filter_map(|a| {
            let s = a.as_is.as_ref()?;
            let thin = if s.thinnest < s.least - 1e-9 { " THIN" } else { "" };
            Some(vec![
                a.name.clone(),
                s.layer.clone(),
                fixed(s.design, n),
                fixed(s.thinnest, n) + thin,
                s.thinnest_at.clone(),
                fixed(s.thickest, n),
                s.thickest_at.clone(),
                signed(s.more, 2),
            ])
        })
        .collect();
    let title = format!("Built on as it is: the layer that takes up the difference ({})", units.length);
    (!rows.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

fn water(d: &DigCheckOut, outcome: &Outcome) -> Option<String> {
    let percent = |v: f64| format!("{} %", fixed(v * 100.0, 2));
    let head = words(["area", "", "falls", "toward", "designed", "flat", "held in lows"]);
    let rows: Vec<Vec<String>> = d
        .areas
        .iter()
        .filter_map(|a| {
            let w = a.water.as_ref()?;
            let mut row = words([&a.name, if w.drains { "drains" } else { "DOES NOT DRAIN" }]);
            row.extend([percent(w.slope), super::report::compass(w.azimuth).to_owned(), percent(w.design)]);
            row.extend([w.flat_area, w.held_area].map(|v| format!("{} {}", fixed(v, 0), outcome.units.area)));
            Some(row)
        })
        .collect();
    (!rows.is_empty()).then(|| format!("Water on the ground as dug\n{}", columns(&head, rows)))
}

fn log(d: &DigCheckOut, outcome: &Outcome) -> Option<String> {
    let row = |l: &crate::job::LogOut| {
        vec![l.whose.to_uppercase(), l.place.clone(), fixed(l.volume, 2), outcome.units.volume.clone(), l.why.clone()]
    };
    let text = || format!("Whose stone\n{}", columns(&[], d.log.iter().map(row)));
    (!d.log.is_empty()).then(text)
}

fn moved(d: &DigCheckOut, outcome: &Outcome) -> Option<String> {
    let (m, unit) = (d.moved.as_ref()?, &outcome.units.volume);
    let mut rows = vec![
        words(["dug as shot, bank", &fixed(m.dug, 2), unit]),
        words(["  of it gone, bank", &fixed(m.left, 2), unit]),
    ];
    rows.extend(m.loose.map(|v| words(["  the same loose, by the job's swell", &fixed(v, 2), unit])));
    rows.push(words(["tickets, loose", &fixed(m.tickets, 2), unit]));
    rows.push(words(["  loads", &fixed(m.loads, 0), ""]));
    rows.extend(m.swell.map(|v| words(["swell that makes them agree", &fixed(v * 100.0, 1), "%"])));
    Some(format!("Moved, against the tickets\n{}", columns(&[], rows)))
}
