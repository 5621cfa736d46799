//! What does a page of level notes look like, worked out or still to be filled in?
//!
//! ```text
//!  Level notes            job, page 1 of 2
//!  bench, unit, rods      date, weather, level, who read, who held
//!  ┌───────┬────┬─────┬────┬────┬──────┬──────┬──────┐
//!  │ point │ BS │ HI  │ IS │ FS │ elev.│ adj. │ note │   a row for each row of the book
//!  └───────┴────┴─────┴────┴────┴──────┴──────┴──────┘
//!  sums, page check, misclosure, allowed               on the last page
//!  read by ______   held by ______   checked by ______
//! ```
//! Everything on a filled page is read from the outcome: readings as typed, heights to the decimals that were booked. The empty
//! page is the same drawing with rows high enough for a pencil. Units: inches of paper; readings in the rod's own unit, heights
//! and sums in the job's. Signs: misclosure is observed less known, and the adjusted height has the correction in it.

use super::font::{self, Weight};
use super::{Align, Colour, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text};
use crate::job::{BookLine, NotesOut, Outcome};
use crate::units::fixed;

const MARGIN: f64 = 0.5;
/// Of words in the table; of words that explain.
const EM: f64 = 0.115;
const SMALL: f64 = 0.1;
/// Height of a filled row, and of one for a pencil.
const ROW: f64 = 0.21;
const PENCIL_ROW: f64 = 0.3;
/// Heading of the page, and what stands below the table.
const HEAD: f64 = 1.25;
const FOOT: f64 = 1.45;
const PENCIL_FOOT: f64 = 1.9;
const INK: Colour = Colour(17, 17, 17);
const GREY: Colour = Colour(85, 85, 85);
const LINE: Colour = Colour(150, 150, 150);
const TURN: Colour = Colour(240, 240, 240);

/// Columns: heading and width; the note takes the rest.
const COLUMNS: [(&str, f64); 8] = [
    ("point", 0.95),
    ("BS +", 0.72),
    ("HI", 0.8),
    ("IS -", 0.72),
    ("FS -", 0.72),
    ("elevation", 0.82),
    ("adjusted", 0.82),
    ("note", 0.0),
];

/// A page's frame: where the table and the lines below it stand.
struct Page {
    table: Rect,
    row: f64,
    paper: Paper,
    group: Group,
}

/// The notes of an outcome, as many pages as they take; none where there are none.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let Some(survey) = outcome.notes().filter(|s| !s.book.is_empty()) else { return Vec::new() };
    let foot = foot(survey, &outcome.units.length);
    // The lines of many runs push the table up; it keeps room for ten rows.
    let (_, high) = paper.inches();
    let most_foot = high - 2.0 * MARGIN - HEAD - 11.0 * ROW;
    let foot_room = (FOOT + 0.17 * foot.len().saturating_sub(5) as f64).min(most_foot);
    let shown = ((foot_room - FOOT) / 0.17).floor().max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few dozen lines")]
    let shown = (shown as usize + 5).min(foot.len());
    let per_page = Page::new(paper, ROW, foot_room).rows();
    let chunks: Vec<&[BookLine]> = survey.book.chunks(per_page).collect();
    let count = chunks.len();
    let draw = |(k, lines): (usize, &[BookLine])| {
        let mut page = Page::new(paper, ROW, foot_room);
        page.heading(&about(outcome, survey), &format!("page {} of {count}", k + 1));
        page.grid(lines.len());
        for (row, line) in lines.iter().enumerate() {
            page.line(row, line, survey.decimals);
        }
        if k + 1 == count {
            page.foot(&foot[..shown], foot.len() - shown);
        } else {
            page.foot(&["Sums and page check are on the last page.".to_owned()], 0);
        }
        page.drawing(format!("{}Level notes, page {} of {count}", job(outcome), k + 1))
    };
    chunks.into_iter().enumerate().map(draw).collect()
}

/// An empty page for the field.
#[must_use]
pub fn blank(paper: Paper) -> Drawing {
    let mut page = Page::new(paper, PENCIL_ROW, PENCIL_FOOT);
    page.heading(&[], "");
    let (left, half) = (page.table.x, page.table.w / 2.0 - 0.15);
    for (k, words) in ["job", "bench, height", "units, rods"].into_iter().enumerate() {
        page.field(PaperPoint::new(left, MARGIN + 0.5 + 0.25 * k as f64), half, words);
    }
    page.field(PaperPoint::new(page.table.right() - 1.3, MARGIN + 0.2), 1.3, "page");
    page.grid(page.rows());
    let sums = [
        ["sum of BS", "sum of FS", "BS less FS"],
        ["last elevation", "first elevation", "last less first: the same"],
        ["known at the close", "misclosure, observed less known", "allowed"],
    ];
    let third = page.table.w / 3.0;
    for (row, fields) in sums.into_iter().enumerate() {
        for (k, words) in fields.into_iter().enumerate() {
            let at = PaperPoint::new(left + third * k as f64, page.table.bottom() + 0.3 * (row + 1) as f64);
            page.field(at, third - 0.2, words);
        }
    }
    let rules = [
        "HI = elevation + BS; elevation = HI - IS or FS. On a turning point book FS and the next BS in one row.",
        "IS enter no sum. Close on a bench. Strike an error through and write beside it; erase nothing.",
    ];
    for (k, words) in rules.into_iter().enumerate() {
        page.words(PaperPoint::new(left, page.table.bottom() + 1.2 + 0.17 * k as f64), SMALL, words);
    }
    page.foot(&[], 0);
    page.drawing("Level notes, a page for the field".to_owned())
}

fn job(outcome: &Outcome) -> String {
    if outcome.job.is_empty() { String::new() } else { format!("{}: ", outcome.job) }
}

/// What stands under the title.
fn about(outcome: &Outcome, survey: &NotesOut) -> Vec<String> {
    let inputs: Vec<&str> = outcome.inputs.iter().map(|input| input.file.as_str()).collect();
    let mut out = vec![if outcome.job.is_empty() { inputs.join(", ") } else { outcome.job.clone() }];
    out.extend(outcome.datum.as_ref().map(|datum| format!("Datum: {datum}")));
    out.push(format!("Heights in {}; rods in {}. spadework {}", outcome.units.length, survey.rods, outcome.spadework));
    out
}

/// What the sums and the close come to, a line each.
fn foot(survey: &NotesOut, unit: &str) -> Vec<String> {
    // Sums of feet and inches are no decimals: four say them to a thirty-second of an inch.
    let places = if survey.rods == "inches" { 4 } else { survey.decimals };
    let number = |v: f64| fixed(v, places);
    let mut out = Vec::new();
    for run in &survey.runs {
        let verdict = if run.page_check { "page check holds" } else { "PAGE CHECK FAILS" };
        out.push(format!(
            "{} to {}, {}, {} set-up{}: BS {} less FS {} = {}; last less first {}: {verdict}.",
            run.from,
            run.to,
            run.kind,
            run.setups,
            if run.setups == 1 { "" } else { "s" },
            number(run.sum_bs),
            number(run.sum_fs),
            number(run.sum_bs - run.sum_fs),
            number(run.rise)
        ));
        out.push(format!(
            "rises {} less falls {} = {}",
            number(run.sum_rise),
            number(run.sum_fall),
            number(run.sum_rise - run.sum_fall)
        ));
    }
    for c in &survey.closures {
        let verdict = if c.closes { "closes" } else { "DOES NOT CLOSE: run it again" };
        out.push(format!(
            "{} to {}: misclosure {} {unit}, allowed {} by {}: {verdict}.",
            c.from,
            c.to,
            fixed(c.misclosure, places.max(survey.decimals)),
            fixed(c.allowed, survey.decimals + 2),
            survey.closing
        ));
    }
    if survey.closures.is_empty() {
        out.push("It closes on nothing known, so nothing proves it.".to_owned());
    }
    out
}

impl Page {
    fn new(paper: Paper, row: f64, foot: f64) -> Self {
        let (w, h) = paper.inches();
        let table = Rect::new(MARGIN, MARGIN + HEAD, w - 2.0 * MARGIN, h - 2.0 * MARGIN - HEAD - foot);
        Self { table, row, paper, group: Group::new("level-notes") }
    }

    /// Rows that have room, below that of the headings.
    fn rows(&self) -> usize {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few dozen")]
        let rows = (self.table.h / self.row).floor() as usize;
        rows.saturating_sub(1).max(1)
    }

    fn words(&mut self, at: PaperPoint, em: f64, words: &str) {
        self.group.push(Text::new("note", at, em, words).colour(INK));
    }

    fn heading(&mut self, about: &[String], page: &str) {
        let (left, right) = (self.table.x, self.table.right());
        self.group.push(Text::new("title", PaperPoint::new(left, MARGIN + 0.2), 0.2, "Level notes").bold().colour(INK));
        let number = Text::new("about", PaperPoint::new(right, MARGIN + 0.2), EM, page).colour(INK);
        self.group.push(number.align(Align::Right));
        let half = self.table.w / 2.0 - 0.15;
        for (k, words) in about.iter().take(3).enumerate() {
            let at = PaperPoint::new(left, MARGIN + 0.5 + 0.25 * k as f64);
            self.words(at, EM, &cut(words, EM, half));
        }
        // Written by hand on both pages: the program knows neither the day nor the crew.
        for (k, words) in ["date, time", "weather", "level"].into_iter().enumerate() {
            let y = MARGIN + 0.5 + 0.25 * k as f64;
            self.field(PaperPoint::new(left + half + 0.3, y), half - 0.1, words);
        }
    }

    /// A word and a line to write on behind it.
    fn field(&mut self, at: PaperPoint, w: f64, words: &str) {
        let text = Text::new("label", at, SMALL, words).colour(GREY);
        let from = at.by(text.width() + 0.08, 0.02);
        let to = PaperPoint::new(at.x + w, from.y);
        self.group.push(text);
        self.group.push(Stroke::new(vec![from, to], 0.006, LINE));
    }

    /// Left edges of the columns, and the right edge of the last.
    fn edges(&self) -> Vec<f64> {
        let mut x = self.table.x;
        let mut out: Vec<f64> = COLUMNS
            .iter()
            .map(|(_, w)| {
                let left = x;
                x += w;
                left
            })
            .collect();
        out.push(self.table.right());
        out
    }

    fn grid(&mut self, rows: usize) {
        let (top, edges) = (self.table.y, self.edges());
        let bottom = top + self.row * (rows + 1) as f64;
        let (left, right) = (edges[0], edges[COLUMNS.len()]);
        for k in 0..=rows + 1 {
            let y = top + self.row * k as f64;
            let width = if k < 2 || k == rows + 1 { 0.012 } else { 0.005 };
            let colour = if k < 2 || k == rows + 1 { INK } else { LINE };
            self.group.push(Stroke::new(vec![PaperPoint::new(left, y), PaperPoint::new(right, y)], width, colour));
        }
        for x in &edges {
            let line = vec![PaperPoint::new(*x, top), PaperPoint::new(*x, bottom)];
            self.group.push(Stroke::new(line, 0.006, LINE));
        }
        let base = self.base(0);
        for (k, (name, _)) in COLUMNS.iter().enumerate() {
            let at = PaperPoint::new((edges[k] + edges[k + 1]) / 2.0, base);
            self.group.push(Text::new("heading", at, SMALL, name).bold().colour(INK).align(Align::Middle));
        }
    }

    /// Base line of the words of a row, that of the headings being 0.
    fn base(&self, row: usize) -> f64 {
        self.table.y + self.row * (row as f64 + 0.5) + 0.36 * EM
    }

    fn line(&mut self, row: usize, line: &BookLine, decimals: usize) {
        let edges = self.edges();
        let base = self.base(row + 1);
        let typed = &line.typed;
        let height = |v: Option<f64>| v.map_or_else(String::new, |v| fixed(v, decimals));
        let is_turn = !typed.back.is_empty() || !typed.fore.is_empty();
        if is_turn {
            let top = self.table.y + self.row * (row + 1) as f64 + 0.004;
            let shade = Rect::new(edges[0] + 0.004, top, self.table.w - 0.008, self.row - 0.008);
            let shade = Stroke::new(shade.corners().to_vec(), 0.0, TURN).closed().filled(TURN);
            // Below the lines and words of the grid.
            self.group.items.insert(0, shade.into());
        }
        let cells = [
            typed.point.clone(),
            typed.back.clone(),
            height(line.instrument),
            typed.side.clone(),
            typed.fore.clone(),
            height(line.booked),
            height(line.adjusted),
            typed.note.clone(),
        ];
        for (k, words) in cells.iter().enumerate() {
            let is_number = (1..7).contains(&k);
            let words = cut(words, EM, edges[k + 1] - edges[k] - 0.1);
            let x = if is_number { edges[k + 1] - 0.06 } else { edges[k] + 0.06 };
            let text = Text::new("note", PaperPoint::new(x, base), EM, &words).colour(INK);
            let text = if is_number { text.align(Align::Right) } else { text };
            self.group.push(if is_turn && k == 6 { text.bold() } else { text });
        }
    }

    /// What the sums come to, then who signs for it.
    fn foot(&mut self, lines: &[String], unsaid: usize) {
        let (left, w) = (self.table.x, self.table.w);
        let mut y = self.table.bottom() + 0.08;
        for line in lines {
            y += 0.17;
            self.words(PaperPoint::new(left, y), SMALL, &cut(line, SMALL, w));
        }
        if unsaid > 0 {
            y += 0.17;
            self.words(PaperPoint::new(left, y), SMALL, &format!("{unsaid} lines more are in the report."));
        }
        let (_, h) = self.paper.inches();
        let third = w / 3.0;
        for (k, words) in ["read by", "held by", "checked by"].into_iter().enumerate() {
            let at = PaperPoint::new(left + third * k as f64, h - MARGIN - 0.05);
            self.field(at, third - 0.2, words);
        }
    }

    fn drawing(self, title: String) -> Drawing {
        Drawing {
            paper: self.paper,
            title,
            groups: vec![self.group],
            scale: format!("{}, print at 100 %", self.paper.name()),
            dropped: 0,
        }
    }
}

/// Words that fit; what does not is cut off, and a mark says so.
pub(super) fn cut(words: &str, em: f64, room: f64) -> String {
    let fits = |words: &str| font::width(words, Weight::Regular, em) <= room;
    let words = font::printable(words);
    if fits(&words) {
        return words;
    }
    let mut short: Vec<char> = words.chars().collect();
    loop {
        short.pop();
        let text: String = short.iter().collect::<String>() + "…";
        if short.is_empty() || fits(&text) {
            return text;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::BookRow;
    use crate::sheet::sample::site;
    use crate::sheet::{Item, PaperSize};

    fn outcome(rows: usize) -> Outcome {
        let mut outcome = site::hall();
        let survey = outcome.notes_mut().expect("the hall was levelled");
        survey.book = (0..rows)
            .map(|k| BookLine {
                typed: BookRow {
                    point: format!("A{k}"),
                    back: if k % 9 == 0 { "4.88".into() } else { String::new() },
                    side: "5-6 1/2".into(),
                    note: "spike in the railroad-tie edging, north-east corner".into(),
                    ..BookRow::default()
                },
                instrument: (k % 9 == 0).then_some(108.06),
                booked: Some(103.31),
                adjusted: Some(103.30),
            })
            .collect();
        outcome
    }

    fn papers() -> [Paper; 2] {
        [Paper::portrait(PaperSize::Letter), Paper::portrait(PaperSize::A4)]
    }

    #[test]
    fn every_row_is_on_one_page_and_the_sums_on_the_last() {
        for paper in papers() {
            for rows in [1, 33, 34, 200] {
                let drawings = pages(&outcome(rows), paper);
                let points: Vec<String> = drawings
                    .iter()
                    .flat_map(Drawing::texts)
                    .filter(|t| t.words.starts_with('A') && t.words[1..].parse::<usize>().is_ok())
                    .map(|t| t.words.clone())
                    .collect();
                assert_eq!(points, (0..rows).map(|k| format!("A{k}")).collect::<Vec<_>>());
                let with_sums: Vec<bool> =
                    drawings.iter().map(|d| d.texts().any(|t| t.words.contains("BS 13.99 less FS 13.96"))).collect();
                assert_eq!(with_sums.iter().filter(|s| **s).count(), 1);
                assert_eq!(with_sums.last(), Some(&true));
            }
        }
        assert!(pages(&Outcome::default(), papers()[0]).is_empty());
    }

    #[test]
    fn words_are_large_enough_and_stay_on_the_paper_and_in_their_column() {
        for paper in papers() {
            let (w, h) = paper.inches();
            let mut drawings = pages(&outcome(60), paper);
            drawings.push(blank(paper));
            for text in drawings.iter().flat_map(Drawing::texts) {
                assert!(text.em >= font::SMALLEST, "{}", text.words);
                let left = text.at.x - text.lead();
                assert!(left >= 0.4 && left + text.width() <= w - 0.4, "{}", text.words);
                assert!(text.at.y > 0.4 && text.at.y < h - 0.4, "{}", text.words);
            }
            let edges = Page::new(paper, ROW, FOOT).edges();
            for text in drawings[0].texts().filter(|t| t.words.starts_with("5-6") || t.words.starts_with("spike")) {
                let left = text.at.x - text.lead();
                let column = (0..COLUMNS.len()).find(|&k| left >= edges[k] && left < edges[k + 1]);
                let column = column.unwrap_or_else(|| panic!("{} is in no column", text.words));
                assert!(left + text.width() <= edges[column + 1], "{}", text.words);
            }
        }
    }

    #[test]
    fn nothing_on_a_page_reaches_below_its_signatures() {
        let mut many = outcome(20);
        let survey = many.notes_mut().expect("the hall was levelled");
        survey.runs = vec![survey.runs[0].clone(); 60];
        for drawing in pages(&many, papers()[0]) {
            let signed = drawing.texts().find(|t| t.words == "read by").map_or(0.0, |t| t.at.y);
            let lowest = drawing.texts().filter(|t| t.role == "note").map(|t| t.at.y).fold(0.0, f64::max);
            assert!(lowest < signed - 0.1, "{lowest} {signed}");
            assert!(drawing.items().all(|item| match item {
                Item::Stroke(s) => s.points.iter().all(|p| p.y <= signed + 0.1),
                _ => true,
            }));
        }
        for drawing in pages(&outcome(200), papers()[1]) {
            let height = |t: &Text| t.at.y;
            let rows = drawing.texts().filter(|t| t.words == "5-6 1/2").map(height).fold(0.0, f64::max);
            let below = |t: &&Text| t.words.starts_with("Sums and") || t.words.starts_with("BM1 to BM1");
            let foot = drawing.texts().filter(below).map(height).fold(f64::MAX, f64::min);
            assert!(rows > 0.0 && rows + 0.1 < foot, "{rows} {foot}");
        }
        let words: Vec<String> =
            pages(&many, papers()[0]).iter().flat_map(Drawing::texts).map(|t| t.words.clone()).collect();
        assert!(words.iter().any(|w| w.ends_with("lines more are in the report.")), "{words:?}");
    }
}
