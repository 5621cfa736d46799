//! How much is dug, hauled and bought, how is it built, what was checked, and what to beware of?
//!
//! ```text
//!  ┌ Dug ──────┐ ┌ Order ────┐ ┌ Checks ───┐
//!  │ parts, sum│ │ stone ... │ │ FAIL ...  │   blocks flow down the columns and over as many pages as they take;
//!  │ by area   │ │ build-ups │ │ PASS ...  │   nothing is left out
//!  │ trips     │ │ to scale  │ │ Cautions  │
//!  └───────────┘ └───────────┘ └───────────┘
//! ```
//! Everything is read from the outcome; volumes by their state: bank as it lies, loose in the truck, compacted in place. Volumes to 0.01,
//! whole loads, depths to 0.01 ft or 0.001 m. Words in a table go on in the next line, numbers never. Units: inches of paper.

use super::font::{self, Weight};
use super::page::{FRAME, GREY, HEAD, INK, SHADE, SMALL, body, drawing, head, patch, places, unit_of};
use super::plan::build_ups;
use super::{Align, Area, Colour, Drawing, Group, Item, Paper, PaperPoint, Rect, Stroke, Text};
use crate::job::{CheckOut, HaulOut, Outcome, VolumeOut};
use crate::rules::SAFETY;
use crate::units::fixed;

const EM: f64 = 0.115;
const LINE: f64 = 0.155;
const HEADING: f64 = 0.15;
const GAP: f64 = 0.25;
/// How the rows of sums begin.
const SUMS: [&str; 3] = ["DIG, in all", "EXPORT, in all", "TOTAL of what"];
/// A column is at least so wide.
const COLUMN: f64 = 4.7;
/// White beside the words of a cell.
const PAD: f64 = 0.05;

/// A piece that is not parted, drawn with its corner at the origin.
struct Block {
    items: Vec<Item>,
    h: f64,
    /// Stands on the same page as the next.
    keep: bool,
}

/// The account, as many pages as it takes; none where nothing was computed.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let room = body(paper);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "one to three")]
    let columns = ((room.w + GAP) / (COLUMN + GAP)).floor().max(1.0) as usize;
    let w = (room.w - GAP * (columns - 1) as f64) / columns as f64;
    let tall = room.h - HEAD;
    let blocks = written(outcome, paper, w, tall);
    if blocks.is_empty() {
        return Vec::new();
    }
    let mut placed: Vec<Vec<Item>> = vec![Vec::new()];
    let (mut column, mut y) = (0, 0.0);
    for (k, block) in blocks.iter().enumerate() {
        // With all that it holds on to, a heading with the first row under it.
        let run = blocks[k..].iter().take_while(|b| b.keep).count() + 1;
        let need: f64 = blocks[k..].iter().take(run).map(|b| b.h).sum();
        if y > 0.0 && y + need.min(tall) > tall + 1e-9 {
            (column, y) = (column + 1, 0.0);
            if column == columns {
                column = 0;
                placed.push(Vec::new());
            }
        }
        // No white above the first.
        if y == 0.0 && block.items.is_empty() {
            continue;
        }
        let at = PaperPoint::new(room.x + (w + GAP) * column as f64, room.y + HEAD + y);
        let last = placed.len() - 1;
        placed[last].extend(block.items.iter().map(|item| moved(item, at)));
        y += block.h;
    }
    let count = placed.len();
    let page = |(k, items): (usize, Vec<Item>)| {
        let mut group = Group::new("account");
        head(outcome, paper, "Account, orders, checks", (k + 1, count), &mut group);
        for column in 1..columns {
            let x = room.x + (w + GAP) * column as f64 - GAP / 2.0;
            let ends = vec![PaperPoint::new(x, room.y + HEAD), PaperPoint::new(x, room.bottom())];
            group.push(Stroke::new(ends, 0.006, FRAME));
        }
        items.into_iter().for_each(|item| group.push(item));
        let said = format!("{}, print at 100 %", paper.name());
        drawing(
            outcome,
            paper,
            &format!("account, orders and checks, page {} of {count}", k + 1),
            (vec![group], said, 0),
        )
    };
    placed.into_iter().enumerate().map(page).collect()
}

fn moved(item: &Item, by: PaperPoint) -> Item {
    let shift = |p: &PaperPoint| p.by(by.x, by.y);
    match item {
        Item::Stroke(s) => Stroke { points: s.points.iter().map(shift).collect(), ..s.clone() }.into(),
        Item::Area(a) => {
            Area { rings: a.rings.iter().map(|r| r.iter().map(shift).collect()).collect(), ..a.clone() }.into()
        }
        Item::Text(t) => Text { at: shift(&t.at), ..t.clone() }.into(),
    }
}

/// Writes blocks for a column.
struct Pen {
    blocks: Vec<Block>,
    w: f64,
}

impl Pen {
    fn space(&mut self, h: f64) {
        self.blocks.push(Block { items: Vec::new(), h, keep: false });
    }

    fn heading(&mut self, words: &str) {
        if !self.blocks.is_empty() {
            self.space(0.16);
        }
        let text = Text::new("heading", PaperPoint::new(0.0, 0.17), HEADING, words).bold().colour(INK);
        let under = vec![PaperPoint::new(0.0, 0.23), PaperPoint::new(self.w, 0.23)];
        self.blocks.push(Block {
            items: vec![text.into(), Stroke::new(under, 0.014, INK).into()],
            h: 0.28,
            keep: true,
        });
    }

    /// Words over as many lines as they take.
    fn words(&mut self, role: &'static str, words: &str, weight: Weight, colour: Colour, indent: f64) {
        for line in font::wrap(words, weight, EM, self.w - indent) {
            let text = Text::new(role, PaperPoint::new(indent, LINE - 0.035), EM, &line).colour(colour);
            self.blocks.push(Block { items: vec![Text { weight, ..text }.into()], h: LINE, keep: false });
        }
    }

    fn point(&mut self, words: &str, weight: Weight) {
        let from = self.blocks.len();
        self.words("caution", words, weight, INK, 0.13);
        let to = self.blocks.len();
        if let Some(first) = self.blocks.get_mut(from) {
            let dot = Text::new("caution", PaperPoint::new(0.0, LINE - 0.035), EM, "•").colour(INK);
            first.items.push(dot.into());
        }
        // A point of a few lines is not parted.
        if to - from <= 6 {
            self.blocks[from..to.saturating_sub(1).max(from)].iter_mut().for_each(|b| b.keep = true);
        }
        self.space(0.04);
    }

    /// A table: the first `text` columns hold words and share what the numbers leave.
    fn table(&mut self, heads: &[&str], text: usize, rows: &[Vec<String>]) {
        let natural = |k: usize, em: f64| {
            let cells = rows.iter().filter_map(|r| r.get(k)).map(|c| font::width(c, Weight::Bold, em));
            let of_head = heads[k].split(' ').map(|word| font::width(word, Weight::Bold, em));
            cells.chain(of_head).fold(0.0, f64::max) + 2.0 * PAD
        };
        let least = 0.62 * text as f64;
        let numbers = |em: f64| (text..heads.len()).map(|k| natural(k, em)).sum::<f64>();
        let em = if numbers(EM) + least > self.w { SMALL } else { EM };
        let wanted: Vec<f64> = (0..text).map(|k| natural(k, em)).collect();
        let left = (self.w - numbers(em)).max(least);
        let sum: f64 = wanted.iter().sum();
        // What the words leave as well goes to the first column.
        let widths: Vec<f64> = (0..heads.len())
            .map(|k| match k {
                k if k >= text => natural(k, em),
                0 if sum <= left => wanted[0] + left - sum,
                k if sum <= left => wanted[k],
                k => 0.62 + (left - least) * wanted[k] / sum,
            })
            .collect();
        let heads: Vec<String> = heads.iter().map(|h| (*h).to_owned()).collect();
        self.row(&heads, &widths, text, em, (Weight::Bold, None));
        if let Some(last) = self.blocks.last_mut() {
            last.keep = true;
            let y = last.h;
            last.items.push(Stroke::new(vec![PaperPoint::new(0.0, y), PaperPoint::new(self.w, y)], 0.008, INK).into());
        }
        for (k, row) in rows.iter().enumerate() {
            let is_sum = row.first().is_some_and(|c| SUMS.iter().any(|sum| c.starts_with(sum)));
            let weight = if is_sum { Weight::Bold } else { Weight::Regular };
            self.row(row, &widths, text, em, (weight, (k % 2 == 1).then_some(SHADE)));
        }
    }

    fn row(
        &mut self,
        cells: &[String],
        widths: &[f64],
        text: usize,
        em: f64,
        (weight, shade): (Weight, Option<Colour>),
    ) {
        let mut items: Vec<Item> = Vec::new();
        let (mut x, mut most) = (0.0, 1);
        for (k, cell) in cells.iter().enumerate() {
            let is_head = weight == Weight::Bold && shade.is_none() && k >= text && cell.contains(' ');
            let lines =
                if k < text || is_head { font::wrap(cell, weight, em, widths[k] - PAD) } else { vec![cell.clone()] };
            most = most.max(lines.len());
            for (line, words) in lines.iter().enumerate() {
                let y = LINE * (line + 1) as f64 - 0.035;
                let at = if k < text { x + 0.02 } else { x + widths[k] - PAD };
                let words = Text::new("cell", PaperPoint::new(at, y), em, words).colour(INK);
                let words = if k < text { words } else { words.align(Align::Right) };
                items.push(Text { weight, ..words }.into());
            }
            x += widths[k];
        }
        let h = LINE * most as f64 + 0.02;
        if let Some(shade) = shade {
            items.insert(0, patch(Rect::new(0.0, 0.0, self.w, h), shade).into());
        }
        self.blocks.push(Block { items, h, keep: false });
    }
}

fn written(outcome: &Outcome, paper: Paper, w: f64, tall: f64) -> Vec<Block> {
    let mut pen = Pen { blocks: Vec::new(), w };
    if let Some(volume) = &outcome.volume {
        dug(volume, outcome, &mut pen);
    }
    if let Some(haul) = &outcome.haul {
        hauled(haul, outcome, &mut pen);
        bought(haul, outcome, &mut pen);
    }
    if let Some((group, h)) = build_ups(outcome, paper, w).filter(|b| b.1 <= tall) {
        pen.space(0.16);
        pen.blocks.push(Block { items: group.items, h, keep: false });
    }
    checks(outcome, &mut pen);
    pen.heading("Cautions");
    for check in outcome.checks.iter().filter(|c| !c.pass) {
        let note = if check.note.is_empty() { format!("asked is {}", check.limit) } else { check.note.clone() };
        pen.point(&format!("FAILS {}, {}: {note}", check.rule, check.subject), Weight::Bold);
    }
    for caution in &outcome.cautions {
        pen.point(&format!("{}: {}", caution.subject, caution.text), Weight::Regular);
    }
    SAFETY.iter().for_each(|words| pen.point(words, Weight::Regular));
    if !outcome.defaults.is_empty() {
        pen.heading("Not said, so assumed");
        outcome.defaults.iter().for_each(|words| pen.point(words, Weight::Regular));
    }
    if let Some(haul) = &outcome.haul {
        pen.heading("Not in it");
        haul.excluded.iter().for_each(|words| pen.point(words, Weight::Regular));
    }
    let inputs: Vec<String> = outcome.inputs.iter().map(|input| format!("{} ({})", input.file, input.hash)).collect();
    pen.space(0.1);
    let made = format!("spadework {}: {}. From {}", outcome.spadework, outcome.command, inputs.join(", "));
    pen.words("about", &made, Weight::Regular, GREY, 0.0);
    pen.blocks
}

fn dug(v: &VolumeOut, outcome: &Outcome, pen: &mut Pen) {
    let units = &outcome.units;
    pen.heading("What is dug and filled");
    let row = |name: &str, volume: f64| vec![name.to_owned(), fixed(volume, 2)];
    let volume = format!("{} bank", units.volume);
    if let Some(dug) = &v.excavation {
        let mut rows = vec![
            row("cut, ground to subgrade inside the outlines", dug.cut),
            row("undercut, topsoil below subgrade", dug.undercut),
            row("over-dig, past the edges", dug.over_dig),
        ];
        rows.extend(dug.trench.map(|trench| row("trenches", trench)));
        rows.push(row("sloped sides", dug.batter));
        rows.push(row("DIG, in all: the sum of these", dug.sum));
        rows.push(row("of which topsoil, within strip depth", dug.strip));
        rows.push(row("fill, compacted", v.total.fill));
        pen.table(&["parts that add up", &volume], 1, &rows);
        let moved: f64 = v.areas.iter().map(|a| a.to_dig_to).sum();
        if moved.abs() >= 0.005 {
            let way = if moved > 0.0 { "more" } else { "less" };
            let words = format!(
                "Counted to subgrade; dug to dig-to (allowance, proud stone) it is {} {} {way}.",
                fixed(moved.abs(), 2),
                units.volume
            );
            pen.words("note", &words, Weight::Regular, GREY, 0.0);
        }
    } else {
        let mut rows = vec![row("cut", v.total.cut), row("fill, compacted", v.total.fill)];
        rows.extend(v.total.net.map(|net| row("net, cut less fill", net)));
        pen.table(&["over the whole", &volume], 1, &rows);
    }
    if v.doubt.diagonal > 0.0 {
        let words = format!("Doubt from the spacing of the shots: ± {} {}.", fixed(v.doubt.diagonal, 2), units.volume);
        pen.words("note", &words, Weight::Regular, GREY, 0.0);
    }
    let places = places(unit_of(outcome));
    for u in &v.uncovered {
        let words = format!("Not counted, without survey: {}, {} {}.", u.name, fixed(u.area, 1), units.area);
        pen.words("note", &words, Weight::Bold, INK, 0.0);
    }
    if v.areas.is_empty() {
        return;
    }
    pen.heading("Area by area");
    let code = |name: &str| {
        let all = outcome.plan.iter().flat_map(|p| &p.areas);
        all.into_iter().find(|a| a.name == name).map_or(String::new(), |a| format!("{} ", a.code))
    };
    let rows: Vec<Vec<String>> = v
        .areas
        .iter()
        .map(|a| {
            let mut row = vec![format!("{}{}", code(&a.name), a.name), fixed(a.area, 0)];
            row.extend([a.cut, a.fill, a.undercut, a.over_dig + a.batter].map(|volume| fixed(volume, 2)));
            row.extend([a.mean_cut, a.max_cut].map(|d| fixed(d, places)));
            row
        })
        .collect();
    let plan = format!("plan {}", units.area);
    pen.table(&["area", &plan, "cut", "fill", "under- cut", "past edges", "mean cut", "deepest"], 1, &rows);
    let words = format!("Volumes in {} bank, fill compacted; depths in {}.", units.volume, units.length);
    pen.words("note", &words, Weight::Regular, GREY, 0.0);
}

fn hauled(h: &HaulOut, outcome: &Outcome, pen: &mut Pen) {
    let units = &outcome.units;
    pen.heading("What leaves");
    let of = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 2));
    let row = |name: &str, bank: f64, c: Option<&crate::job::CargoOut>| {
        vec![name.to_owned(), fixed(bank, 2), of(c.map(|c| c.loose)), of(c.map(|c| c.compacted)), of(c.map(|c| c.mass))]
    };
    let mut rows: Vec<Vec<String>> = h.materials.iter().map(|m| row(m.material, m.bank, m.cargo.as_ref())).collect();
    rows.push(row("EXPORT, in all", h.export, h.cargo.as_ref()));
    pen.table(&["", "bank", "loose", "compacted", &units.mass], 1, &rows);
    let mut say = |words: String| pen.words("note", &words, Weight::Regular, INK, 0.0);
    let [bank, kept, needed, short] = [h.bank, h.kept, h.needed, h.short].map(|v| fixed(v, 2));
    say(format!("Volumes in {}. All that is dug: {bank} bank.", units.volume));
    if h.needed > 0.0 {
        say(format!("Topsoil kept {kept} of {needed} needed; {short} to bring in."));
    }
    if h.fill > 0.0 {
        say(format!("Fill {} compacted, of it {} to bring in.", fixed(h.fill, 2), fixed(h.fill_short, 2)));
    }
    if h.trips.is_empty() {
        return;
    }
    pen.heading("Trips");
    let hours = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 1));
    let rows: Vec<Vec<String>> = h
        .trips
        .iter()
        .map(|t| {
            let name = if t.note.is_empty() { t.truck.clone() } else { format!("{} ({})", t.truck, t.note) };
            let mut row = vec![name];
            row.extend([t.by_volume, t.by_payload, t.trips].map(|n| n.to_string()));
            row.push(hours(t.hours.or(t.hauling)));
            row
        })
        .collect();
    pen.table(&["truck, all of it", "by volume", "by payload", "TRIPS", "hours"], 1, &rows);
    pen.words("note", "Whole loads: the worse of volume and payload.", Weight::Regular, GREY, 0.0);
    if !h.mix.is_empty() {
        let loads: Vec<String> = h.mix.iter().map(|l| format!("{} {}", l.trips, l.truck)).collect();
        let by = if h.mix_by == "cost" { "Least cost by your prices" } else { "Fewest trips" };
        pen.words("note", &format!("{by}: {}.", loads.join(" and ")), Weight::Bold, INK, 0.0);
    }
    if let Some(hours) = h.digging {
        let words = format!("The machine digs it all in {} h.", fixed(hours, 1));
        pen.words("note", &words, Weight::Regular, INK, 0.0);
    }
}

fn bought(h: &HaulOut, outcome: &Outcome, pen: &mut Pen) {
    if !h.orders.is_empty() {
        pen.heading("Order");
        let whole = |unit: &str| ["bag", "piece", "panel", "roll"].contains(&unit);
        let rows: Vec<Vec<String>> = h
            .orders
            .iter()
            .map(|o| {
                let name = match &o.gradation {
                    Some(gradation) => format!("{}, {gradation}", o.name),
                    None => o.name.clone(),
                };
                let mut what = o.areas.join(", ");
                if !o.note.is_empty() {
                    what = format!("{what}; {}", o.note);
                }
                vec![name, what, fixed(o.amount, if whole(&o.unit) { 0 } else { 2 }), o.unit.clone()]
            })
            .collect();
        pen.table(&["what", "for", "amount", "unit"], 2, &rows);
        pen.words("note", "By volume as placed, waste in it.", Weight::Regular, GREY, 0.0);
    }
    if !h.options.is_empty() {
        pen.heading("Worked into the subgrade, side by side");
        let number = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 2));
        let rows: Vec<Vec<String>> = h
            .options
            .iter()
            .map(|o| {
                let lime = match o.bags {
                    Some(bags) => format!("{bags} bags"),
                    None if o.lime > 0.0 => format!("{} {}", fixed(o.lime, 2), outcome.units.mass),
                    None => "-".to_owned(),
                };
                let loads: Vec<String> = o.trips.iter().map(|l| format!("{} {}", l.trips, l.truck)).collect();
                vec![o.option.to_owned(), loads.join(", "), fixed(o.export, 2), number(o.stone_mass), lime]
            })
            .collect();
        let stone = format!("stone {}", outcome.units.mass);
        pen.table(&["worked in", "trips", "export bank", &stone, "lime"], 2, &rows);
    }
    if let Some(cost) = &h.cost {
        pen.heading("Cost, by your prices");
        let mut rows: Vec<Vec<String>> = cost
            .lines
            .iter()
            .map(|l| vec![l.item.clone(), fixed(l.amount, 2), l.unit.clone(), fixed(l.price, 2), fixed(l.sum, 2)])
            .collect();
        rows.push(vec![
            "TOTAL of what has a price".to_owned(),
            String::new(),
            String::new(),
            String::new(),
            fixed(cost.total, 2),
        ]);
        pen.table(&["", "amount", "unit", "price", "sum"], 1, &rows);
        if !cost.unpriced.is_empty() {
            let words = format!("Not priced: {}.", cost.unpriced.join("; "));
            pen.words("note", &words, Weight::Regular, INK, 0.0);
        }
    }
}

/// What fails first, each with its limit and where that comes from.
fn checks(outcome: &Outcome, pen: &mut Pen) {
    if outcome.checks.is_empty() {
        return;
    }
    let (pass, fail): (Vec<&CheckOut>, Vec<&CheckOut>) = outcome.checks.iter().partition(|c| c.pass);
    pen.heading(&format!("Checks: {} FAIL, {} PASS", fail.len(), pass.len()));
    for check in fail.into_iter().chain(pass) {
        let (word, weight) = if check.pass { ("PASS", Weight::Regular) } else { ("FAIL", Weight::Bold) };
        let from = pen.blocks.len();
        let found =
            if check.limit == "must" { String::new() } else { format!(": {} ({})", check.found_text, check.limit) };
        pen.words("check", &format!("{}, {}{found}", check.rule, check.subject), weight, INK, 0.5);
        if let Some(first) = pen.blocks.get_mut(from) {
            let verdict = Text::new("verdict", PaperPoint::new(0.0, LINE - 0.035), EM, word).bold().colour(INK);
            first.items.push(verdict.into());
        }
        if !check.note.is_empty() && !check.pass {
            pen.words("check", &check.note, Weight::Regular, INK, 0.5);
        }
        pen.words("source", &check.source, Weight::Regular, GREY, 0.5);
        let to = pen.blocks.len();
        pen.blocks[from..to - 1].iter_mut().for_each(|b| b.keep = true);
        pen.space(0.03);
    }
}

#[cfg(test)]
mod tests;
