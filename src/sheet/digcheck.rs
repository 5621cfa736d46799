//! What do both parties sign before anything is compacted?
//!
//! ```text
//!  Dig check                              NOT ACCEPTED AS IT IS
//!  job, tolerance, set-ups, how they close
//!  ┌───────┬──────┬────────┬────────┬──────┬───────────────────┬──────┐
//!  │ stake │ area │ dig to │ as dug │ diff │ HIGH 0-1 1/8: trim│ done │   those that are out first, the worst on top, grey and bold
//!  └───────┴──────┴────────┴────────┴──────┴───────────────────┴──────┘
//!  what to do, what fails; cautions                     on the last page
//!  ┌ dug by ────────────┐ ┌ accepted by ───────┐
//! ```
//! Everything is read from the outcome. Units: inches of paper; heights in the job's unit, + HIGH and - LOW.

use super::font::{self, Weight};
use super::levels::cut;
use super::{Align, Colour, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text};
use crate::job::{DigCheckOut, DugStakeOut, Outcome};
use crate::units::fixed;

const MARGIN: f64 = 0.5;
/// Of words in the table; of what is to be done; of words that explain.
const EM: f64 = 0.13;
const BIG: f64 = 0.155;
const SMALL: f64 = 0.1;
const ROW: f64 = 0.235;
/// Lines above the table, and the heading with them.
const LINES: usize = 7;
const LINE: f64 = 0.18;
const HEAD: f64 = 0.45 + LINE * LINES as f64;
/// Lines below it on the last page, then cautions, then the boxes to sign.
const TOLD: usize = 8;
const SIGN: f64 = 1.25;
const FOOT: f64 = 0.1 + LINE * (TOLD + CAUTIONS.len()) as f64 + 0.15 + SIGN;
const INK: Colour = Colour(17, 17, 17);
const GREY: Colour = Colour(85, 85, 85);
const THIN: Colour = Colour(150, 150, 150);
const OUT: Colour = Colour(228, 228, 228);

/// What both sign under (common practice).
const CAUTIONS: [&str; 4] = [
    "Shot on firm ground, not on fluff, before anything is compacted: a plate takes soil down 1/4 to 1/2 in.",
    "Low ground is filled with the layer named and compacted, never with loose spoil. High ground is trimmed.",
    "Undercut ordered by the sheet or on the day is the owner's; what is low beyond tolerance is the digger's.",
    "A grading aid on an assumed datum: no boundary survey, no structural or geotechnical design.",
];

/// Columns: heading and width.
const COLUMNS: [(&str, f64); 8] = [
    ("stake", 0.75),
    ("area", 1.5),
    ("dig to", 0.78),
    ("as dug", 0.78),
    ("diff", 0.66),
    ("to do", 1.95),
    ("", 0.5),
    ("done", 0.58),
];

/// The sheet of an outcome, as many pages as its stakes take; none without a dig check.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let Some(check) = &outcome.digcheck else { return Vec::new() };
    let (_, high) = paper.inches();
    let rows = |foot: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few dozen")]
        let rows = ((high - 2.0 * MARGIN - HEAD - foot) / ROW).floor().max(2.0) as usize;
        rows - 1
    };
    let (whole, last) = (rows(0.25), rows(FOOT));
    // What is to be done first, both parts in their order.
    let (out, well): (Vec<&DugStakeOut>, Vec<&DugStakeOut>) = check.stakes.iter().partition(|s| !s.text.is_empty());
    let all: Vec<&DugStakeOut> = out.into_iter().chain(well).collect();
    let mut chunks: Vec<&[&DugStakeOut]> = Vec::new();
    let mut rest = all.as_slice();
    while rest.len() > last {
        // Somebody signs below stakes, not below an empty table.
        let (page, more) = rest.split_at(whole.min(rest.len() - 1));
        chunks.push(page);
        rest = more;
    }
    chunks.push(rest);
    let count = chunks.len();
    let draw = |(k, rows): (usize, &[&DugStakeOut])| {
        let mut page = Page::new(outcome, paper);
        page.heading(check, &format!("page {} of {count}", k + 1));
        page.grid(rows.len());
        for (row, stake) in rows.iter().enumerate() {
            page.row(row, stake);
        }
        let below = page.top + ROW * (rows.len() + 1) as f64;
        if k + 1 == count {
            page.foot(check, below);
        } else {
            page.words(page.left, high - MARGIN, SMALL, "What to do and who signs is on the last page.");
        }
        let title = format!("Dig check, page {} of {count}", k + 1);
        Drawing {
            paper,
            title: if outcome.job.is_empty() { title } else { format!("{}: {title}", outcome.job) },
            groups: vec![page.group],
            scale: format!("{}, print at 100 %", paper.name()),
            dropped: 0,
        }
    };
    chunks.into_iter().enumerate().map(draw).collect()
}

/// One page under way.
struct Page<'a> {
    outcome: &'a Outcome,
    group: Group,
    left: f64,
    right: f64,
    /// Top of the table.
    top: f64,
    /// Bottom of what may be drawn on.
    bottom: f64,
}

impl<'a> Page<'a> {
    fn new(outcome: &'a Outcome, paper: Paper) -> Self {
        let (w, h) = paper.inches();
        let group = Group::new("dig-check");
        Self { outcome, group, left: MARGIN, right: w - MARGIN, top: MARGIN + HEAD, bottom: h - MARGIN }
    }

    fn places(&self) -> usize {
        if self.outcome.units.length == "m" { 3 } else { 2 }
    }

    fn words(&mut self, x: f64, y: f64, em: f64, words: &str) {
        self.group.push(Text::new("note", PaperPoint::new(x, y), em, words).colour(INK));
    }

    fn heading(&mut self, check: &DigCheckOut, page: &str) {
        let (left, right) = (self.left, self.right);
        let at = |x: f64, y: f64| PaperPoint::new(x, MARGIN + y);
        self.group.push(Text::new("title", at(left, 0.2), 0.22, "Dig check").bold().colour(INK));
        let verdict = if check.accept { "ACCEPT" } else { "NOT ACCEPTED AS IT IS" };
        self.group.push(Text::new("verdict", at(right, 0.2), 0.2, verdict).bold().colour(INK).align(Align::Right));
        let number = Text::new("about", at(right, 0.45), SMALL, page).colour(GREY);
        self.group.push(number.align(Align::Right));
        for (k, line) in self.about(check).into_iter().enumerate() {
            let y = MARGIN + 0.45 + LINE * k as f64;
            let room = right - left - if k == 0 { 1.0 } else { 0.0 };
            self.words(left, y, 0.115, &cut(&line, 0.115, room));
        }
    }

    /// At most as many lines as have room.
    fn about(&self, check: &DigCheckOut) -> Vec<String> {
        let (n, unit) = (self.places(), self.outcome.units.length.as_str());
        let mut out = vec![self.outcome.job.clone()];
        let [high, low] = check.tolerance.map(|t| fixed(t, n));
        let all = check.stakes.len();
        out.push(format!(
            "{all} stakes: {} in, {} HIGH, {} LOW. In is {high} {unit} above to {low} below dig-to. spadework {}",
            all - check.out_of_tolerance,
            check.high,
            check.low,
            self.outcome.spadework
        ));
        let mut benches: Vec<String> = check
            .set_ups
            .iter()
            .enumerate()
            .map(|(k, s)| {
                let rod = s.rod.map_or_else(String::new, |rod| format!("rod {} on {}, ", fixed(rod, n), s.bench));
                format!("Set-up {}: {rod}HI {}, {} stakes.", k + 1, fixed(s.instrument, n), s.stakes)
            })
            .collect();
        benches.extend(check.closings.iter().map(|c| {
            let verdict = if c.closes { "closes" } else { "DOES NOT CLOSE" };
            format!("{}: {verdict}, {} {unit}.", c.bench, signed(c.off, n))
        }));
        if let (Some(mean), Some(spread)) = (check.mean, check.spread) {
            out.push(format!("Mean {} {unit}, spread {}.", signed(mean, n + 1), fixed(spread, n + 1)));
        }
        let room = LINES - 1 - out.len();
        let more = benches.len().saturating_sub(room);
        if more > 0 {
            benches.truncate(room - 1);
            benches.push(format!("{} more set-ups and closing shots are in the report.", more + 1));
        }
        out.extend(benches);
        out
    }

    fn edges(&self) -> Vec<f64> {
        // Wider paper gives its room to the areas' names.
        let spare = self.right - self.left - COLUMNS.iter().map(|c| c.1).sum::<f64>();
        let mut x = self.left;
        let mut out = vec![x];
        for (k, (_, w)) in COLUMNS.iter().enumerate() {
            x += w + if k == 1 { spare } else { 0.0 };
            out.push(x);
        }
        out
    }

    fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, colour: Colour) {
        let points = vec![PaperPoint::new(from.0, from.1), PaperPoint::new(to.0, to.1)];
        self.group.push(Stroke::new(points, width, colour));
    }

    fn grid(&mut self, rows: usize) {
        let (top, edges) = (self.top, self.edges());
        let bottom = top + ROW * (rows + 1) as f64;
        for k in 0..=rows + 1 {
            let y = top + ROW * k as f64;
            let strong = k < 2 || k == rows + 1;
            let (width, colour) = if strong { (0.012, INK) } else { (0.005, THIN) };
            self.line((self.left, y), (self.right, y), width, colour);
        }
        for x in &edges {
            self.line((*x, top), (*x, bottom), 0.006, THIN);
        }
        for (k, (name, _)) in COLUMNS.iter().enumerate() {
            let name = if k == 6 { self.outcome.units.area.as_str() } else { name };
            let at = PaperPoint::new(f64::midpoint(edges[k], edges[k + 1]), top + ROW * 0.5 + 0.36 * SMALL);
            self.group.push(Text::new("heading", at, SMALL, name).bold().colour(INK).align(Align::Middle));
        }
    }

    fn row(&mut self, row: usize, stake: &DugStakeOut) {
        let (edges, n) = (self.edges(), self.places());
        let top = self.top + ROW * (row + 1) as f64;
        let is_out = !stake.text.is_empty();
        if is_out {
            let shade = Rect::new(self.left, top, self.right - self.left, ROW).inset(0.004);
            let shade = Stroke::new(shade.corners().to_vec(), 0.0, OUT).closed().filled(OUT);
            // Below the lines and words of the grid.
            self.group.items.insert(0, shade.into());
        }
        let to_do = match (is_out, stake.ordered) {
            (true, _) => format!("{}: {}", stake.text, stake.order),
            (false, Some(_)) => "ok, undercut ordered".to_owned(),
            (false, None) => "ok".to_owned(),
        };
        let cells = [
            stake.stake.clone(),
            stake.area.clone().unwrap_or_default(),
            fixed(stake.dig_to, n),
            fixed(stake.as_dug, n),
            signed(stake.diff, n),
            to_do,
            if stake.share > 0.0 { fixed(stake.share, 0) } else { String::new() },
        ];
        for (k, words) in cells.iter().enumerate() {
            let em = if is_out && (k == 0 || k == 5) { BIG } else { EM };
            let is_bold = k == 0 || (is_out && k == 5);
            let weight = if is_bold { Weight::Bold } else { Weight::Regular };
            let is_number = (2..5).contains(&k) || k == 6;
            let x = if is_number { edges[k + 1] - 0.05 } else { edges[k] + 0.05 };
            let at = PaperPoint::new(x, top + ROW * 0.5 + 0.36 * em);
            let words = fit(words, weight, em, edges[k + 1] - edges[k] - 0.08);
            let text = Text::new(if k == 5 { "verdict" } else { "note" }, at, em, &words).colour(INK);
            let text = if is_number { text.align(Align::Right) } else { text };
            self.group.push(if is_bold { text.bold() } else { text });
        }
        if is_out {
            let square = Rect::new(edges[7] + 0.2, top + 0.04, ROW - 0.08, ROW - 0.08);
            self.group.push(Stroke::new(square.corners().to_vec(), 0.01, INK).closed());
        }
    }

    /// What to do, what fails, cautions, who signs.
    fn foot(&mut self, check: &DigCheckOut, below: f64) {
        let room = self.right - self.left;
        let mut y = below + 0.02;
        for line in self.told(check, room) {
            y += LINE;
            self.words(self.left, y, 0.115, &line);
        }
        let boxes = self.bottom - SIGN;
        for (k, words) in CAUTIONS.into_iter().enumerate() {
            let y = boxes - 0.1 - LINE * (CAUTIONS.len() - 1 - k) as f64;
            self.words(self.left, y, SMALL, &cut(words, SMALL, room));
        }
        let half = room / 2.0 - 0.1;
        for (x, who) in [(self.left, "Dug by"), (self.right - half, "For the owner")] {
            let frame = Rect::new(x, boxes, half, SIGN);
            self.group.push(Stroke::new(frame.corners().to_vec(), 0.012, INK).closed());
            let title = Text::new("label", PaperPoint::new(x + 0.08, boxes + 0.19), EM, who).bold().colour(INK);
            self.group.push(title);
            for (k, words) in ["accept as it is", "trim and fill, shoot again"].into_iter().enumerate() {
                let left = x + 0.08 + 1.25 * k as f64;
                let square = Rect::new(left, boxes + 0.29, 0.13, 0.13);
                self.group.push(Stroke::new(square.corners().to_vec(), 0.01, INK).closed());
                self.words(left + 0.18, boxes + 0.4, SMALL, words);
            }
            self.field(x + 0.08, boxes + 0.77, half - 0.16, "name, initials");
            self.field(x + 0.08, boxes + 1.13, half / 2.0 - 0.12, "date");
            self.field(x + half / 2.0 + 0.04, boxes + 1.13, half / 2.0 - 0.12, "time");
        }
    }

    /// A word and a line to write on behind it.
    fn field(&mut self, x: f64, y: f64, w: f64, words: &str) {
        let text = Text::new("label", PaperPoint::new(x, y), SMALL, words).colour(GREY);
        let from = x + text.width() + 0.08;
        self.group.push(text);
        self.line((from, y + 0.02), (x + w, y + 0.02), 0.006, THIN);
    }

    fn told(&self, check: &DigCheckOut, room: f64) -> Vec<String> {
        let units = &self.outcome.units;
        let yards = |v: f64| format!("{} {}", fixed(v, 2), units.volume);
        let [least, most] = check.trim_hours.map(|h| fixed(h, 1));
        let mut all = vec![format!(
            "HIGH: {}, of it {} out over {} {}: by hand {least} to {most} h, one person.",
            yards(check.high_volume),
            yards(check.high_beyond),
            fixed(check.trim_area, 0),
            units.area
        )];
        let stone = if check.stone > 0.0 {
            format!(": {} {} of stone, waste in it", fixed(check.stone, 2), units.mass)
        } else {
            String::new()
        };
        all.push(format!("LOW: {}, of it {} out{stone}.", yards(check.low_volume), yards(check.low_beyond)));
        let owner: f64 = check.log.iter().filter(|l| l.whose == "owner").map(|l| l.volume).sum();
        if owner > 0.0 {
            all.push(format!("Undercut that was ordered, stone at the owner's cost: {}.", yards(owner)));
        }
        let fails = self.outcome.checks.iter().filter(|c| !c.pass && c.rule != "dug within tolerance");
        all.extend(fails.map(|c| format!("FAILS {}, {}: {}.", c.rule, c.subject, c.note)));
        let mut lines: Vec<String> = all.iter().flat_map(|line| wrapped(line, 0.115, room)).collect();
        if lines.len() > TOLD {
            lines.truncate(TOLD - 1);
            lines.push("More is in the report.".to_owned());
        }
        lines
    }
}

fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// Words that fit, as [`cut`] makes them, in either weight.
fn fit(words: &str, weight: Weight, em: f64, room: f64) -> String {
    let wider = font::width(words, weight, em) / font::width(words, Weight::Regular, em).max(f64::MIN_POSITIVE);
    cut(words, em, room / wider.max(1.0))
}

/// A sentence on as many lines as it takes.
fn wrapped(words: &str, em: f64, room: f64) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        let word = cut(word, em, room);
        match out.last_mut() {
            Some(line) if font::width(&format!("{line} {word}"), Weight::Regular, em) <= room => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => out.push(word),
        }
    }
    out
}

#[cfg(test)]
mod tests;
