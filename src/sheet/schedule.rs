//! How deep at every stake, from what, and where to stop: the list the operator and the rod man hold?
//!
//! ```text
//!  CUT from the ground at the stake down to DIG TO     ┌ HI today ┐
//!  benches, check stakes; laser: a rod and two dials   └──────────┘   on the first page
//!  ┌───────┬────┬────────┬────────┬───────┬───────────────┬─────────┬─────┐
//!  │ stake │ in │ ground │ subgr. │ DIG TO│ CUT ft-in  ft │ below BM│ rod │ what comes back, keep off
//!  └───────┴────┴────────┴────────┴───────┴───────────────┴─────────┴─────┘
//! ```
//! In the order of the outcome: as one walks. Everything is read from there. Figures of a cut stand 5 mm high, of heights and rods 3 mm; on
//! narrow paper the remarks stand under their row. Lengths in feet to 0.01 and feet-inches to 1/8, or metres and whole millimetres.
//! Signs: drop below the bench positive; `up` where what is dug to lies above it.

use super::font::Weight;
use super::page::{CAP, HEAD, INK, SHADE, SMALL, body, drawing, fitted, head, patch, places, rule, unit_of};
use super::plan::{deepest, thickness};
use super::{Align, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text, font};
use crate::job::{Outcome, PlanOut, PlaneOut, StakeOut};
use crate::units::{LengthUnit, fixed};

/// Of a cut: its figures stand 5 mm high.
const BIG: f64 = 0.27;
/// Of heights and rods: 3 mm.
const BODY: f64 = 0.165;
/// Of a stake's name.
const NAME: f64 = 0.19;
/// Of remarks.
const NOTE: f64 = 0.125;
const NOTE_LINE: f64 = 0.16;
const ROW: f64 = 0.36;
/// Height of the headings.
const HEADS: f64 = 0.36;
/// White at the sides of a cell.
const PAD: f64 = 0.06;
/// Remarks narrower than this stand under the row.
const LEAST_REMARKS: f64 = 1.6;

/// What a column holds.
#[derive(Clone, Debug, PartialEq)]
enum Holds {
    Stake,
    Area,
    Existing,
    Subgrade,
    DigTo,
    Cut,
    CutPlain,
    Below(String),
    /// What stone comes back to.
    Back,
    Rod,
    /// To be written in.
    Blank,
    Remarks,
}

#[derive(Clone, Debug)]
struct Column {
    holds: Holds,
    heads: [String; 2],
    w: f64,
}

/// The list, as many pages as it takes; none without stakes.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let Some(all) = outcome.stakes.as_deref().filter(|s| !s.is_empty()) else { return Vec::new() };
    // Nobody turns a hundred pages in a cab: of more stakes those the plan shows, and the table has them all.
    let few: Vec<StakeOut> =
        if all.len() > MOST { deepest(all).into_iter().map(|k| all[k].clone()).collect() } else { Vec::new() };
    let stakes = if few.is_empty() { all } else { few.as_slice() };
    let nothing = PlanOut::default();
    let mut list = List::of(outcome, outcome.plan.as_ref().unwrap_or(&nothing), stakes, paper);
    list.left_out = all.len() - stakes.len();
    let room = body(paper);
    let mut sheets: Vec<Vec<&StakeOut>> = vec![Vec::new()];
    let first = list.first(&mut Group::new("schedule"), room.y + HEAD);
    let mut y = first + HEADS;
    for stake in stakes {
        let tall = list.height(stake);
        if y + tall > room.bottom() && (sheets.len() == 1 || !sheets[sheets.len() - 1].is_empty()) {
            sheets.push(Vec::new());
            y = list.next(&mut Group::new("schedule"), room.y + HEAD) + HEADS;
        }
        y += tall;
        let last = sheets.len() - 1;
        sheets[last].push(stake);
    }
    let count = sheets.len();
    let page = |(k, rows): (usize, Vec<&StakeOut>)| {
        let mut group = Group::new("schedule");
        head(outcome, paper, "Stake schedule", (k + 1, count), &mut group);
        let top = room.y + HEAD;
        let y = if k == 0 { list.first(&mut group, top) } else { list.next(&mut group, top) };
        list.table(&rows, y, &mut group);
        let said = format!("{}, print at 100 %", paper.name());
        drawing(outcome, paper, &format!("stake schedule, page {} of {count}", k + 1), (vec![group], said, 0))
    };
    sheets.into_iter().enumerate().map(page).collect()
}

/// More stakes than this are not all listed.
const MOST: usize = 2000;

struct List<'a> {
    outcome: &'a Outcome,
    plan: &'a PlanOut,
    unit: LengthUnit,
    room: Rect,
    columns: Vec<Column>,
    /// Whether remarks stand under their row.
    under: bool,
    /// Stakes that stand in the table only.
    left_out: usize,
}

impl<'a> List<'a> {
    fn of(outcome: &'a Outcome, plan: &'a PlanOut, stakes: &[StakeOut], paper: Paper) -> Self {
        let unit = unit_of(outcome);
        let room = body(paper);
        let is_metric = unit == LengthUnit::Metre;
        let has_areas = !plan.areas.is_empty();
        let has_rods = stakes.iter().any(|s| s.rod.is_some());
        let mut benches: Vec<&str> = Vec::new();
        for (bench, _) in stakes.iter().flat_map(|s| &s.drop) {
            if !benches.contains(&bench.as_str()) {
                benches.push(bench);
            }
        }
        let column = |holds, heads: [&str; 2], w| Column { holds, heads: heads.map(str::to_owned), w };
        let mut all = vec![column(Holds::Stake, ["", "STAKE"], 0.78)];
        all.extend(has_areas.then(|| column(Holds::Area, ["", "area"], 0.42)));
        all.push(column(Holds::Existing, ["ground", "existing"], 0.68));
        if has_areas {
            all.push(column(Holds::Subgrade, ["", "subgrade"], 0.68));
        }
        all.push(column(Holds::DigTo, ["", "DIG TO"], 0.7));
        let cut = if is_metric { ["CUT or FILL", "m"] } else { ["CUT or FILL", "feet-inches"] };
        let widest = stakes.iter().flat_map(|s| &s.cut_text).map(|t| font::width(t, Weight::Bold, BIG));
        all.push(column(Holds::Cut, cut, widest.fold(1.0, f64::max) + 2.0 * PAD + 0.02));
        let plain = if is_metric { ["the same", "mm"] } else { ["the same", "feet"] };
        all.push(column(Holds::CutPlain, plain, 0.76));
        if stakes.iter().any(|s| back(s).is_some()) {
            all.push(column(Holds::Back, ["stone", "back to"], 0.68));
        }
        let below = |bench: &&str| column(Holds::Below((*bench).to_owned()), ["below", bench], 0.72);
        let rod = |head| column(if has_rods { Holds::Rod } else { Holds::Blank }, [head, "rod"], 0.66);
        let remarks = column(Holds::Remarks, ["keep off,", "remarks"], 0.0);
        // From the richest to the barest: two benches and a rod to be written in, one bench, no room for remarks.
        let wide = |cs: &[Column]| cs.iter().map(|c| c.w).sum::<f64>();
        for (count, blank) in [(2, true), (1, true), (1, false)] {
            let mut tried = all.clone();
            tried.extend(benches.iter().take(count).map(below));
            tried.push(rod(if has_rods { "printed" } else { "today's" }));
            if blank && has_rods {
                tried.push(column(Holds::Blank, ["today's", "rod"], 0.66));
            }
            let left = room.w - wide(&tried);
            if left >= LEAST_REMARKS || !blank {
                let under = left < LEAST_REMARKS;
                if under {
                    // A cut is never made smaller, nor broken.
                    let cut = tried.iter().filter(|c| c.holds == Holds::Cut).map(|c| c.w).sum::<f64>();
                    let grow = (room.w - cut) / (wide(&tried) - cut);
                    tried.iter_mut().filter(|c| c.holds != Holds::Cut).for_each(|c| c.w *= grow);
                } else {
                    let own = left.min(0.27 * room.w);
                    let grow = (room.w - own) / wide(&tried);
                    tried.iter_mut().for_each(|c| c.w *= grow);
                    tried.push(Column { w: own, ..remarks });
                }
                return Self { outcome, plan, unit, room, columns: tried, under, left_out: 0 };
            }
        }
        unreachable!("This is a bug in spadework: the barest table is always taken")
    }

    /// Left edges of the columns, and the right edge of the last.
    fn edges(&self) -> Vec<f64> {
        let mut out = vec![self.room.x];
        for column in &self.columns {
            out.push(out[out.len() - 1] + column.w);
        }
        out
    }

    /// Lines of remarks, those that must not be missed in bold.
    fn remarks(&self, stake: &StakeOut) -> Vec<(String, Weight)> {
        let wide = if self.under { self.room.w - 1.0 } else { self.columns.last().map_or(0.0, |c| c.w) - 2.0 * PAD };
        let mut out = Vec::new();
        let mut say = |words: &str, weight| {
            out.extend(font::wrap(words, weight, NOTE, wide).into_iter().map(|line| (line, weight)));
        };
        if !stake.keep_off.is_empty() {
            say(&format!("KEEP OFF: {}", stake.keep_off.join("; ")), Weight::Bold);
        }
        // On the edge of two areas the deeper counts; what the other is dug to stands with its name.
        let height = |note: &str| {
            let own = stake.dig_to.unwrap_or(f64::NAN);
            let other = stake.also.iter().find(|a| note.strip_prefix("also ") == Some(a.0.as_str()));
            other
                .filter(|a| a.1 - own > 0.005)
                .map(|a| format!("{note}: DIG TO {} on that side", fixed(a.1, places(self.unit))))
        };
        let quiet = stake.notes.iter().filter(|n| !n.starts_with(BACK));
        let quiet: Vec<String> = quiet.map(|note| height(note).unwrap_or_else(|| note.clone())).collect();
        if !quiet.is_empty() {
            say(&quiet.join("; "), Weight::Regular);
        }
        out
    }

    fn height(&self, stake: &StakeOut) -> f64 {
        let lines = NOTE_LINE * self.remarks(stake).len() as f64;
        if self.under { ROW + if lines > 0.0 { lines + 0.03 } else { 0.0 } } else { ROW.max(lines + 0.1) }
    }

    fn cell(&self, holds: &Holds, stake: &StakeOut) -> (String, f64, Weight) {
        let height = |z: Option<f64>| z.map(|z| fixed(z, places(self.unit))).unwrap_or_default();
        let (words, em, weight) = match holds {
            Holds::Stake => (stake.stake.clone(), NAME, Weight::Bold),
            Holds::Area => {
                let code = |name: &String| {
                    self.plan.areas.iter().find(|a| a.name == *name).map_or_else(|| name.clone(), |a| a.code.clone())
                };
                (stake.area.as_ref().map(code).unwrap_or_default(), BODY, Weight::Regular)
            }
            Holds::Existing => (height(stake.existing), BODY, Weight::Regular),
            Holds::Subgrade => (height(stake.subgrade), BODY, Weight::Regular),
            Holds::DigTo => (height(stake.dig_to.or(stake.subgrade)), BODY, Weight::Bold),
            Holds::Cut => match &stake.cut_text {
                Some(cut) => (cut.clone(), BIG, Weight::Bold),
                None => ("not dug".to_owned(), BODY, Weight::Regular),
            },
            Holds::Back => (back(stake).unwrap_or_default().to_owned(), BODY, Weight::Bold),
            Holds::CutPlain => (self.plain(stake), BODY, Weight::Bold),
            Holds::Below(bench) => {
                let drop = stake.drop.iter().find(|(name, _)| name == bench).map(|&(_, d)| d);
                (drop.map(|d| self.below(d)).unwrap_or_default(), BODY, Weight::Regular)
            }
            Holds::Rod => (height(stake.rod), BODY, Weight::Regular),
            Holds::Blank | Holds::Remarks => (String::new(), BODY, Weight::Regular),
        };
        (words, em, weight)
    }

    /// The cut in plain feet, or in whole millimetres.
    fn plain(&self, stake: &StakeOut) -> String {
        let (Some(cut), Some(fill)) = (stake.cut, stake.fill) else { return String::new() };
        let (letter, depth) = if fill > cut { ("F", fill) } else { ("C", cut) };
        if self.unit == LengthUnit::Metre {
            format!("{letter} {}", fixed(depth * 1000.0, 0))
        } else {
            format!("{letter} {}", fixed(depth, 2))
        }
    }

    fn below(&self, drop: f64) -> String {
        let said = fixed(drop.abs(), places(self.unit));
        if drop < 0.0 && said.chars().any(|c| c != '0' && c != '.') { format!("up {said}") } else { said }
    }

    fn table(&self, rows: &[&StakeOut], top: f64, group: &mut Group) {
        let edges = self.edges();
        let (left, right) = (self.room.x, edges[self.columns.len()]);
        let mut y = top + HEADS;
        let mut patches = Group::new("shade");
        let mut lines = vec![(top, 0.014), (y, 0.014)];
        for (k, stake) in rows.iter().enumerate() {
            let tall = self.height(stake);
            if k % 2 == 1 {
                patches.push(patch(Rect::new(left, y, right - left, tall), SHADE));
            }
            self.row(stake, y, &edges, group);
            y += tall;
            lines.push((y, if (k + 1) % 5 == 0 || k + 1 == rows.len() { 0.014 } else { 0.006 }));
        }
        // Below rules and words.
        patches.items.append(&mut group.items);
        group.items = patches.items;
        for (at, width) in lines {
            group.push(rule(left, right, at, width));
        }
        let mut stretches: Vec<(f64, f64)> = vec![(top, y)];
        if self.under {
            // Rules would strike the remarks out.
            stretches = vec![(top, top + HEADS)];
            let mut at = top + HEADS;
            for stake in rows {
                stretches.push((at, at + ROW));
                at += self.height(stake);
            }
        }
        for (k, x) in edges.iter().enumerate() {
            let near_cut = |k: usize| self.columns.get(k).is_some_and(|c| c.holds == Holds::Cut);
            let is_heavy = k == 0 || k == self.columns.len() || near_cut(k) || (k > 0 && near_cut(k - 1));
            let is_side = k == 0 || k == self.columns.len();
            let whole = [(top, y)];
            for &(from, to) in if is_side { &whole[..] } else { &stretches[..] } {
                let ends = vec![PaperPoint::new(*x, from), PaperPoint::new(*x, to)];
                group.push(Stroke::new(ends, if is_heavy { 0.014 } else { 0.006 }, INK));
            }
        }
        for (k, column) in self.columns.iter().enumerate() {
            let middle = f64::midpoint(edges[k], edges[k + 1]);
            for (line, words) in column.heads.iter().enumerate() {
                let (em, lines) = fitted(words, Weight::Bold, 0.115, SMALL, column.w - PAD, 1);
                let at = PaperPoint::new(middle, top + 0.15 + 0.15 * line as f64);
                for words in lines {
                    group.push(Text::new("heading", at, em, &words).bold().colour(INK).align(Align::Middle));
                }
            }
        }
    }

    fn row(&self, stake: &StakeOut, y: f64, edges: &[f64], group: &mut Group) {
        let remarks = self.remarks(stake);
        let tall = if self.under { ROW } else { self.height(stake) };
        let middle = y + tall / 2.0;
        for (k, column) in self.columns.iter().enumerate() {
            if column.holds == Holds::Remarks {
                continue;
            }
            let (words, em, weight) = self.cell(&column.holds, stake);
            let least = if em >= BIG { BIG } else { 0.12 };
            let (em, lines) = fitted(&words, weight, em, least, column.w - 2.0 * PAD, 2);
            let role = match column.holds {
                Holds::Stake => "stake",
                Holds::Cut if stake.cut_text.is_some() => "cut",
                Holds::Back => "back",
                Holds::DigTo => "dig-to",
                Holds::Rod => "rod",
                _ => "cell",
            };
            let is_left = matches!(column.holds, Holds::Stake | Holds::Area | Holds::Cut | Holds::CutPlain);
            let step = 0.155;
            let first = middle + em * CAP / 2.0 - step * (lines.len() as f64 - 1.0) / 2.0;
            for (i, line) in lines.iter().enumerate() {
                let x = if is_left { edges[k] + PAD } else { edges[k + 1] - PAD };
                let text = Text::new(role, PaperPoint::new(x, first + step * i as f64), em, line).colour(INK);
                let text = if is_left { text } else { text.align(Align::Right) };
                group.push(Text { weight, ..text });
            }
        }
        let (x, mut base) = if self.under {
            (self.room.x + 0.9, y + ROW + NOTE * CAP)
        } else {
            let lines = NOTE_LINE * remarks.len() as f64;
            (edges[self.columns.len() - 1] + PAD, middle - lines / 2.0 + NOTE_LINE / 2.0 + NOTE * CAP / 2.0)
        };
        for (words, weight) in remarks {
            let text = Text::new("remark", PaperPoint::new(x, base), NOTE, &words).colour(INK);
            group.push(Text { weight, ..text });
            base += NOTE_LINE;
        }
    }

    /// What stands over the table on the first page; returns where it ends.
    fn first(&self, group: &mut Group, top: f64) -> f64 {
        let boxes = 3.3_f64.min(self.room.w * 0.44);
        let words = Rect::new(self.room.x, top, self.room.w - boxes - 0.2, 0.0);
        let left = self.words(words, group);
        let right = self.hi(Rect::new(self.room.right() - boxes, top, boxes, 0.0), group);
        let y = left.max(right) + 0.1;
        if self.plan.planes.is_empty() { y } else { self.laser(y, group) + 0.12 }
    }

    /// What is said again on every further page.
    fn next(&self, group: &mut Group, top: f64) -> f64 {
        let hi = Text::new("hi", PaperPoint::new(self.room.right() - 2.1, top + 0.2), 0.14, "HI today").bold();
        group.push(hi.colour(INK));
        let r = Rect::new(self.room.right() - 1.3, top, 1.3, 0.32);
        group.push(Stroke::new(r.corners().to_vec(), 0.014, INK).closed());
        let words = format!("{} {}", self.what(), self.benches().join("; "));
        let mut y = top + 0.06;
        for line in font::wrap(&words, Weight::Regular, NOTE, self.room.w - 2.3) {
            y += NOTE_LINE;
            group.push(Text::new("note", PaperPoint::new(self.room.x, y - 0.05), NOTE, &line).colour(INK));
        }
        (y + 0.06).max(top + 0.42)
    }

    fn what(&self) -> &'static str {
        if self.plan.areas.is_empty() {
            "C cut, F fill: from the GROUND AT THE STAKE, not the stake's top, down (up) to DIG TO, the subgrade, not the finish."
        } else {
            "C cut, F fill: from the GROUND AT THE STAKE, not the stake's top, down (up) to DIG TO, not to the finish."
        }
    }

    fn benches(&self) -> Vec<String> {
        let say = |b: &crate::job::BenchOut| format!("{} {}", b.name, fixed(b.elevation, places(self.unit)));
        self.plan.marks.iter().map(say).collect()
    }

    fn words(&self, room: Rect, group: &mut Group) -> f64 {
        let mut y = room.y;
        let mut say = |words: &str, em: f64, weight| {
            for line in font::wrap(words, weight, em, room.w) {
                y += em * 1.3;
                let text = Text::new("note", PaperPoint::new(room.x, y - 0.03), em, &line).colour(INK);
                group.push(Text { weight, ..text });
            }
            y += 0.045;
        };
        say(self.what(), 0.14, Weight::Bold);
        let (unit, datum) = (self.unit.length(), self.outcome.datum.as_ref());
        for bench in &self.plan.marks {
            let note = if bench.note.is_empty() { String::new() } else { format!(": {}", bench.note) };
            let words = format!("Bench {} = {} {unit}{note}.", bench.name, fixed(bench.elevation, places(self.unit)));
            say(&words, 0.14, Weight::Regular);
        }
        if !self.plan.check_stakes.is_empty() {
            let ground = |(name, z): &(String, f64)| format!("{name} ground {}", fixed(*z, places(self.unit)));
            let all: Vec<String> = self.plan.check_stakes.iter().map(ground).collect();
            let words = format!("Check after each set-up, both outside the dig: {}.", all.join("; "));
            say(&words, 0.14, Weight::Regular);
        }
        if self.plan.marks.is_empty() {
            say(
                "NO BENCH IS GIVEN: set one outside the dig, and write its height here: ____________",
                0.14,
                Weight::Bold,
            );
        }
        let runs: Vec<_> = self.outcome.drainage.iter().flat_map(|d| &d.drains).collect();
        let wide = |w: f64| thickness(w, self.unit);
        let trenches: Vec<String> =
            runs.iter().filter_map(|r| Some(format!("{} {} wide", r.name, wide(r.trench_width?)))).collect();
        if !trenches.is_empty() {
            let words = format!(
                "Trenches: {}. At their stakes go by the rod or the drop: where an area is dug first, the ground their cut is \
                 measured from is gone.",
                trenches.join(", ")
            );
            say(&words, NOTE, Weight::Bold);
        }
        let datum = datum.map(|d| format!(" Datum: {d}.")).unwrap_or_default();
        say(&format!("Heights in {unit}.{datum} Listed as you walk."), NOTE, Weight::Regular);
        if self.left_out > 0 {
            let left = self.left_out;
            say(
                &format!("Of each part of the ground the deepest: {left} more stakes stand in stakes.csv."),
                0.14,
                Weight::Bold,
            );
        }
        y
    }

    /// Boxes to write today's height of instrument in; returns their foot.
    fn hi(&self, room: Rect, group: &mut Group) -> f64 {
        let mut y = room.y;
        let third = room.w / 3.0;
        for (k, words) in ["bench", "+ rod on it", "= HI today"].into_iter().enumerate() {
            let r = Rect::new(room.x + third * k as f64, y, third, 0.56);
            group.push(Stroke::new(r.corners().to_vec(), if k == 2 { 0.024 } else { 0.01 }, INK).closed());
            let text = Text::new("hi", PaperPoint::new(r.x + PAD, y + 0.14), 0.115, words).colour(INK);
            group.push(if k == 2 { text.bold() } else { text });
        }
        y += 0.58;
        let mut say = |words: &str, weight| {
            for line in font::wrap(words, weight, NOTE, room.w) {
                y += NOTE_LINE;
                let text = Text::new("note", PaperPoint::new(room.x, y - 0.02), NOTE, &line).colour(INK);
                group.push(Text { weight, ..text });
            }
        };
        say("rod = HI - DIG TO. Larger on the rod: too deep. Smaller: still to cut.", Weight::Bold);
        if let Some(set_up) = &self.plan.set_up {
            let words = format!(
                "Printed rods hold for one set-up only. {set_up}. Moved: use today's HI, or the drop below the bench."
            );
            say(&words.replace("Set-up: ", ""), Weight::Regular);
        }
        y
    }

    /// One rod and two dials for each area dug to a plane; returns its foot.
    fn laser(&self, top: f64, group: &mut Group) -> f64 {
        let bench = self.plan.planes.iter().find_map(|p| p.drop.first().map(|d| d.0.clone()));
        let has_rod = self.plan.planes.iter().any(|p| p.rod.is_some());
        let mut heads = vec![("area".to_owned(), 1.9), ("at".to_owned(), 0.7), ("DIG TO there".to_owned(), 1.0)];
        heads.extend(bench.as_ref().map(|b| (format!("below {b}"), 0.95)));
        heads.push((if has_rod { "rod, printed" } else { "rod, today's" }.to_owned(), 0.95));
        heads.extend([("dial north-south".to_owned(), 1.3), ("dial east-west".to_owned(), 1.3)]);
        let wide: f64 = heads.iter().map(|h| h.1).sum();
        let grow = (self.room.w / wide).min(1.35);
        let row = 0.23;
        let title = Text::new("heading", PaperPoint::new(self.room.x, top + 0.13), 0.14, "Slope laser").bold();
        let from = self.room.x + title.width() + 0.12;
        group.push(title.colour(INK));
        let words = "one rod at that stake and two dials dig the whole area, but for the stakes named below: there dig to the stake";
        let (em, lines) = fitted(words, Weight::Regular, NOTE, SMALL, self.room.right() - from, 1);
        for line in lines {
            group.push(Text::new("note", PaperPoint::new(from, top + 0.13), em, &line).colour(INK));
        }
        let top = top + 0.2;
        let right = self.room.x + wide * grow;
        for k in 0..=self.plan.planes.len() + 1 {
            group.push(rule(self.room.x, right, top + row * k as f64, if k < 2 { 0.012 } else { 0.006 }));
        }
        let mut x = self.room.x;
        for (k, (words, w)) in heads.iter().enumerate() {
            let at = |line: usize| PaperPoint::new(x + 0.02, top + row * line as f64 + 0.16);
            group.push(Text::new("heading", at(0), 0.115, words).bold().colour(INK));
            for (line, plane) in self.plan.planes.iter().enumerate() {
                let (words, weight) = self.laser_cell(plane, k, bench.is_some());
                // Words across the empty cells of an area without plane.
                let room = if plane.point.is_none() && words.starts_with("no plane") { 3.0 } else { w * grow - 0.08 };
                let (em, lines) = fitted(&words, weight, BODY, SMALL, room, 1);
                for words in lines {
                    let text = Text::new("laser", at(line + 1), em, &words).colour(INK);
                    group.push(Text { weight, ..text });
                }
            }
            x += w * grow;
        }
        let mut y = top + row * (self.plan.planes.len() + 1) as f64;
        for plane in self.plan.planes.iter().filter(|p| p.point.is_some() && !p.deeper.is_empty()) {
            let words = format!("{} by the stake, deeper: {}.", plane.code, plane.deeper.join(", "));
            for line in font::wrap(&words, Weight::Bold, NOTE, right - self.room.x) {
                y += NOTE_LINE;
                let at = PaperPoint::new(self.room.x, y - 0.02);
                group.push(Text::new("note", at, NOTE, &line).bold().colour(INK));
            }
        }
        y + 0.04
    }

    fn laser_cell(&self, plane: &PlaneOut, k: usize, has_bench: bool) -> (String, Weight) {
        let height = |z: f64| fixed(z, places(self.unit));
        let k = if !has_bench && k >= 3 { k + 1 } else { k };
        let Some(point) = &plane.point else {
            // Dug to its plane, it would be left too high at every stake.
            return match k {
                0 => (format!("{} {}", plane.code, plane.area), Weight::Regular),
                2 => ("no plane: dig to the stakes".to_owned(), Weight::Bold),
                _ => (String::new(), Weight::Regular),
            };
        };
        match k {
            0 => (format!("{} {}", plane.code, plane.area), Weight::Regular),
            1 => (point.clone(), Weight::Bold),
            2 => (height(plane.height), Weight::Bold),
            3 => (plane.drop.first().map(|d| self.below(d.1)).unwrap_or_default(), Weight::Regular),
            4 => (plane.rod.map(height).unwrap_or_default(), Weight::Regular),
            5 => (dial(plane.north, ["N", "S"]), Weight::Bold),
            _ => (dial(plane.east, ["E", "W"]), Weight::Bold),
        }
    }
}

/// A dial as it is set: which way it falls, never a bare sign.
fn dial(fall: f64, [way, other]: [&str; 2]) -> String {
    let percent = fixed(fall.abs() * 100.0, 2);
    if percent == "0.00" {
        return "level".to_owned();
    }
    format!("{percent} % down {}", if fall > 0.0 { way } else { other })
}

/// How a stake says that it is dug deeper than subgrade.
const BACK: &str = "stone back to ";

fn back(stake: &StakeOut) -> Option<&str> {
    stake.notes.iter().find_map(|note| note.strip_prefix(BACK))
}

#[cfg(test)]
mod tests;
