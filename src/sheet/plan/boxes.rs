//! What stands beside the plan: legend, quantities, cautions, title?
//!
//! The legend explains each symbol that is used and no other. Cautions that hold on every site are always printed in
//! full; those of this job stand before them, failed checks first, and if the paper is too small the sheet
//! says how many stand elsewhere only. The title stands at the foot of the last column.

use super::{GREY, HEADING, INK, ProfileRoom, SMALL, Site, frame, legend, profile, quantities, title};
use crate::job::CheckOut;
use crate::sheet::font::{self, Weight};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Text};
use crate::units::LengthUnit;

/// True on every site; the sheet says so every time.
const STANDING: [&str; 5] = [
    "Ask for utility locates before digging. Marks show a line, never a depth: dig by hand near them.",
    "Not a boundary survey: take no property line from this sheet.",
    "Trenches, walls, steep banks: local code and licensed people decide.",
    "Check the bench first, and a known stake after each set-up.",
    "Cuts hold at the stakes; between them, hold the contours.",
];

/// Half the width of a symbol in the legend.
pub(super) const SAMPLE: f64 = 0.27;
/// White inside a frame.
const PAD: f64 = 0.1;
/// How far the words of a point are indented.
const POINT: f64 = 0.12;
const BETWEEN_POINTS: f64 = 0.03;
/// A long command or a long row of files is cut off after so many lines; the report has it whole.
const MOST_LINES: usize = 3;

/// What found no room on the plan: stakes without any words, labels of all kinds.
#[derive(Clone, Copy, Debug)]
pub(super) struct LeftOff {
    pub(super) bare: usize,
    /// Stakes of trenches left to the table.
    pub(super) trenches: usize,
    pub(super) dropped: usize,
}

/// Set ever tighter until all cautions of the job have room too; if they never do, as tight as can be read.
pub(super) fn draw(site: &Site<'_>, left_off: LeftOff) -> Vec<Group> {
    // The table of areas goes before a caution does, and the list of files after it.
    let spacings = [1.42, 1.32, 1.24, 1.17];
    let ways = [(true, MOST_LINES), (false, MOST_LINES), (false, 1)];
    let tried = ways.into_iter().filter(|(table, _)| *table || site.has_areas());
    let mut drawn = Vec::new();
    for (table, lines, spacing) in tried.flat_map(|(table, lines)| spacings.map(|spacing| (table, lines, spacing))) {
        let (groups, fits) = arrange(site, left_off, spacing * SMALL, (table, lines));
        drawn = groups;
        if fits {
            break;
        }
    }
    drawn
}

/// All boxes with lines `line` inches apart, and whether everything had room.
fn arrange(
    site: &Site<'_>,
    left_off: LeftOff,
    line: f64,
    (has_table, most_lines): (bool, usize),
) -> (Vec<Group>, bool) {
    let columns = &site.layout.columns;
    let (first, last) = (columns[0], columns[columns.len() - 1]);
    let gap = 0.1;
    let boxed = |id, column, y, content: &mut dyn FnMut(&mut Pen)| boxed(id, column, y, line, content);
    let (legend, mut y) = boxed("legend", first, first.y, &mut |pen| legend::draw(site, left_off, pen));
    let mut groups = vec![legend];
    let mut top = last.y;
    if site.outcome.volume.is_some() {
        let volume = |column, y| boxed("volume", column, y, &mut |pen| quantities::draw(site, has_table, pen));
        let (mut group, mut below) = volume(first, y + gap);
        if columns.len() > 1 && below > first.bottom() {
            (group, below) = volume(last, last.y);
            top = below + gap;
        } else {
            y = below;
        }
        groups.push(group);
    }
    let (_, height) = boxed("title-block", last, 0.0, &mut |pen| title_block(site, most_lines, pen));
    let mut end = last.bottom() - height;
    let (title, _) = boxed("title-block", last, end, &mut |pen| title_block(site, most_lines, pen));
    end -= gap;
    if let ProfileRoom::InColumn(high) = site.layout.profile {
        groups.push(profile::draw(site, Rect::new(last.x, end - high, last.w, high)));
        end -= high + gap;
    }
    let top = if columns.len() == 1 { y + gap } else { top };
    let mut left_out = 0;
    let (cautions, foot) = boxed("cautions", last, top, &mut |pen| left_out = cautions(site, end - top, pen));
    groups.extend([cautions, title]);
    (groups, left_out == 0 && foot <= end && y <= first.bottom())
}

/// Draws downwards.
#[derive(Debug)]
pub(super) struct Pen {
    pub(super) group: Group,
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) w: f64,
    pub(super) line: f64,
}

/// A framed box of the height its content takes, from `y` down; returns its bottom.
fn boxed(id: &'static str, column: Rect, y: f64, line: f64, content: &mut dyn FnMut(&mut Pen)) -> (Group, f64) {
    let mut pen = Pen { group: Group::new(id), x: column.x + PAD, y: y + 0.05, w: column.w - 2.0 * PAD, line };
    content(&mut pen);
    let bottom = pen.y + 0.07;
    pen.group.push(frame(Rect::new(column.x, y, column.w, bottom - y)));
    (pen.group, bottom)
}

impl Pen {
    pub(super) fn heading(&mut self, words: &str) {
        self.y += 0.15;
        self.group.push(Text::new("heading", PaperPoint::new(self.x, self.y), HEADING, words).bold().colour(INK));
        self.y += 0.05;
    }

    /// Words over as many lines as they take, from `indent` inches in.
    pub(super) fn words(&mut self, role: &'static str, words: &str, weight: Weight, colour: Colour, indent: f64) {
        self.lines(role, font::wrap(words, weight, SMALL, self.w - indent), weight, colour, indent);
    }

    fn lines(&mut self, role: &'static str, lines: Vec<String>, weight: Weight, colour: Colour, indent: f64) {
        for line in lines {
            self.y += self.line;
            let text = Text::new(role, PaperPoint::new(self.x + indent, self.y), SMALL, &line).colour(colour);
            self.group.push(Text { weight, ..text });
        }
    }

    /// A point of a list.
    fn point(&mut self, words: &str, weight: Weight) {
        let dash = Text::new("caution", PaperPoint::new(self.x, self.y + self.line), SMALL, "•").colour(INK);
        self.group.push(dash);
        self.words("caution", words, weight, INK, POINT);
        self.y += BETWEEN_POINTS;
    }

    /// A name at the left, a number at the right.
    pub(super) fn pair(&mut self, name: &str, value: &str, is_bold: bool) {
        self.y += self.line + 0.015;
        let left = Text::new("quantity", PaperPoint::new(self.x, self.y), SMALL, name).colour(INK);
        let right = Text::new("quantity", PaperPoint::new(self.x + self.w, self.y), SMALL, value);
        let right = right.colour(INK).align(Align::Right);
        self.group.push(left);
        self.group.push(if is_bold { right.bold() } else { right });
    }

    /// A row of a table: words at the left, the other cells ending at `right` inches from the left.
    pub(super) fn row(&mut self, cells: &[(&str, f64)], colour: Colour) {
        self.y += self.line + 0.01;
        for (k, &(words, at)) in cells.iter().enumerate() {
            let text = Text::new("quantity", PaperPoint::new(self.x + at, self.y), SMALL, words).colour(colour);
            self.group.push(if k < 2 { text } else { text.align(Align::Right) });
        }
    }

    /// A symbol and what it means.
    pub(super) fn entry(&mut self, words: &str, symbol: impl FnOnce(PaperPoint, &mut Group)) {
        self.tall_entry(words, 0.0, symbol);
    }

    /// The same for a symbol that stands `more` inches out of its line, above and below.
    pub(super) fn tall_entry(&mut self, words: &str, more: f64, symbol: impl FnOnce(PaperPoint, &mut Group)) {
        let top = self.y + more;
        self.y = top + 0.03;
        symbol(PaperPoint::new(self.x + SAMPLE, top + 0.13), &mut self.group);
        self.words("legend", words, Weight::Regular, INK, 2.0 * SAMPLE + 0.12);
        self.y += more;
    }
}

/// Of this job first, in the room that those of every site leave; returns how many of them had none.
fn cautions(site: &Site<'_>, room: f64, pen: &mut Pen) -> usize {
    let top = pen.y - 0.05;
    pen.heading("Cautions");
    let height =
        |words: &str, weight| font::wrap(words, weight, SMALL, pen.w - POINT).len() as f64 * pen.line + BETWEEN_POINTS;
    let failed = || site.outcome.checks.iter().filter(|check| !check.pass);
    let said = || site.outcome.cautions.iter().map(|c| (format!("{}: {}", c.subject, c.text), Weight::Regular));
    let standing: f64 = STANDING.iter().map(|words| height(words, Weight::Regular)).sum();
    let left = room - (pen.y - top) - standing - 0.07;
    let more = |count: usize| format!("{count} more of this job: read them in {}.", site.rest);
    // How many of these have room, with a line that counts the others.
    let fitting = |own: &[(String, Weight)]| {
        let heights: Vec<f64> = own.iter().map(|(words, weight)| height(words, *weight)).collect();
        let sum = |count: usize| heights[..count].iter().sum::<f64>();
        if sum(own.len()) <= left {
            return own.len();
        }
        let left = left - height(&more(own.len()), Weight::Bold);
        (0..own.len()).rev().find(|&count| sum(count) <= left).unwrap_or(0)
    };
    let own: Vec<(String, Weight)> = failed().map(|c| (failure(c), Weight::Bold)).chain(said()).collect();
    let fit = fitting(&own);
    for (words, weight) in &own[..fit] {
        pen.point(words, *weight);
    }
    let unsaid = own.len() - fit;
    // What fails is named at least; why, and what to do, is in the report.
    let unnamed: Vec<&str> = failed().skip(fit).map(|c| c.rule.as_str()).collect();
    match (unsaid, unnamed.as_slice()) {
        (0, _) => {}
        (_, []) => pen.point(&more(unsaid), Weight::Bold),
        (_, [first, rest @ ..]) => {
            let others = unsaid - 1;
            let fail = if rest.is_empty() { String::new() } else { format!(", {} of them FAIL", rest.len()) };
            pen.point(
                &format!("FAILS {first}. {others} more of this job{fail}: read them in {}.", site.rest),
                Weight::Bold,
            );
        }
    }
    for words in STANDING {
        pen.point(words, Weight::Regular);
    }
    unsaid
}

fn failure(check: &CheckOut) -> String {
    let note = if check.note.is_empty() { format!("asked is {}", check.limit) } else { check.note.clone() };
    format!("FAILS {}, {}: {note}", check.rule, check.subject)
}

fn title_block(site: &Site<'_>, most_lines: usize, pen: &mut Pen) {
    let outcome = site.outcome;
    let full = title(outcome);
    let job = full.split(": plan of the dig").next().unwrap_or_default();
    for line in font::wrap(job, Weight::Bold, 0.19, pen.w).into_iter().take(2) {
        pen.y += 0.22;
        pen.group.push(Text::new("title", PaperPoint::new(pen.x, pen.y), 0.19, &line).bold().colour(INK));
    }
    pen.y += 0.2;
    let what = if site.has_areas() { "Plan of the dig: cut to dig-to" } else { "Plan of the dig: cut to subgrade" };
    let what = Text::new("title", PaperPoint::new(pen.x, pen.y), HEADING, what);
    pen.group.push(what.colour(INK));
    pen.y += 0.04;
    let unit = match site.unit {
        LengthUnit::Foot => "feet",
        LengthUnit::UsSurveyFoot => "US survey feet",
        LengthUnit::Metre => "metres",
    };
    let mut first = match &outcome.datum {
        Some(datum) => {
            vec![format!("Scale {}. Heights and distances in {unit}.", site.said), format!("Datum: {datum}.")]
        }
        None => vec![format!("Scale {}. Heights and distances in {unit}, above the survey's own datum.", site.said)],
    };
    first.extend(site.plan.set_up.clone());
    if most_lines == 1 {
        first = vec![first.join(" ")];
    }
    // Scale, datum and set-up are what the sheet is read by: never cut off.
    for words in first {
        pen.lines("about", font::wrap(&words, Weight::Regular, SMALL, pen.w), Weight::Regular, GREY, 0.0);
    }
    let mut about = |words: &str| {
        let mut lines = font::wrap(words, Weight::Regular, SMALL, pen.w);
        if lines.len() > most_lines {
            lines.truncate(most_lines);
            let last = &mut lines[most_lines - 1];
            last.pop();
            last.push('…');
        }
        pen.lines("about", lines, Weight::Regular, GREY, 0.0);
    };
    let inputs: Vec<String> = outcome.inputs.iter().map(|input| format!("{} ({})", input.file, input.hash)).collect();
    about(&format!("From {}", inputs.join(", ")));
    about(&format!("spadework {}: {}", outcome.spadework, outcome.command));
    pen.y += 0.03;
    pen.words("void", "Void if bench or stakes were disturbed.", Weight::Bold, INK, 0.0);
}
