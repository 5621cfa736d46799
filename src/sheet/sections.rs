//! What does the ground look like from the side, before, dug, and built?
//!
//! ```text
//!  Section A-A   from N 500 E 1025 ...        1 in = 5 ft; heights 5 times that
//!  ┌───────T──────┬─DS─┬──────── L ────────┐
//!  │ ~~~ existing, finish, layers hatched,  │
//!  │ ━━━ dig to: nothing is dug below it    │
//!  └────────────────────────────────────────┘
//!   finish   102.46 103.06 | ...               heights at both ends of every area
//!   DIG TO   101.68 102.28 | ...
//!   cut
//! ```
//! Every point is read from the outcome, where the line crosses the edges of triangles and areas. Distances at a standard scale of the
//! engineer's rule or 1:n, heights a whole number of times larger, both said. Between existing and dig-to is dug (dotted brown tone);
//! between finish and subgrade is built (layers in turn); between subgrade and dig-to stone comes back (hatched across).
//! Units: inches of paper; heights and distances in job units.

use super::chart::{FACTORS, NUMBERS, axes, exaggerated};
use super::font::Weight;
use super::page::{FRAME, GREY, HEAD, INK, SMALL, body, drawing, fitted, head, places, unit_of};
use super::plan::standard_scale;
use super::{Align, Area, Colour, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text, font, hatch};
use crate::job::{Outcome, SectionOut, SpanOut};
use crate::units::{LengthUnit, fixed};

const EARTH: Colour = Colour(120, 98, 76);
const DUG: Colour = Colour(246, 236, 214);
const STONE: Colour = Colour(90, 90, 90);
const WATER: Colour = Colour(16, 78, 139);
const LAYERS: [Colour; 3] = [Colour(206, 206, 206), Colour(236, 236, 236), Colour(182, 182, 182)];
const EXISTING: &[f64] = &[0.06, 0.035];
const HEADING: f64 = 0.15;
/// A row of heights under the chart.
const ROW: f64 = 0.17;
const ROWS: f64 = 4.0 * ROW + 0.12;
/// Title and names of areas over the chart.
const OVER: f64 = 0.64;
const LEAST: f64 = 1.4;
const MOST: f64 = 2.9;
const KEY: f64 = 0.3;
const GAP: f64 = 0.14;
/// Names of the rows of heights, at the left of the numbers of the axis.
const NAMES: f64 = 0.62;

/// Where a section is cut, for the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Its letter.
    pub letter: String,
    /// Where it begins: northing, easting.
    pub from: (f64, f64),
    /// Where it ends.
    pub to: (f64, f64),
}

/// Every section of an outcome, as the pages show them.
#[must_use]
pub fn cuts(outcome: &Outcome) -> Vec<Cut> {
    let cut = |s: &SectionOut| Cut { letter: s.letter.clone(), from: s.from, to: s.to };
    shown(outcome).map(cut).collect()
}

fn shown(outcome: &Outcome) -> impl Iterator<Item = &SectionOut> {
    outcome.plan.iter().flat_map(|p| &p.cuts).filter(|s| s.length > 0.0 && s.spans.iter().any(|s| s.dig_to.is_some()))
}

/// Every section, as many pages as they take; none where there are none.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let unit = unit_of(outcome);
    let room = body(paper);
    let width = room.w;
    let panels: Vec<Panel<'_>> = shown(outcome).map(|s| Panel::of(outcome, s, unit, width)).collect();
    let inner = room.h - HEAD - KEY;
    let mut sheets: Vec<Vec<&Panel<'_>>> = Vec::new();
    let least = |panels: &[&Panel<'_>]| panels.len() as f64 * (OVER + LEAST + NUMBERS.1 + ROWS + GAP) - GAP;
    for panel in &panels {
        match sheets.last_mut() {
            Some(sheet) if least(sheet) + GAP + OVER + LEAST + NUMBERS.1 + ROWS <= inner => sheet.push(panel),
            _ => sheets.push(vec![panel]),
        }
    }
    let count = sheets.len();
    let page = |(k, panels): (usize, Vec<&Panel<'_>>)| {
        let mut group = Group::new("sections");
        head(outcome, paper, "Sections", (k + 1, count), &mut group);
        key(Rect::new(room.x, room.y + HEAD, room.w, KEY), &panels, &mut group);
        let each = inner / panels.len() as f64 - GAP;
        let tall = (each - OVER - NUMBERS.1 - ROWS).min(MOST);
        let (mut y, mut dropped) = (room.y + HEAD + KEY, 0);
        for panel in &panels {
            let frame = Rect::new(room.x, y, width, OVER + tall + NUMBERS.1 + ROWS);
            dropped += panel.draw(frame, tall, &mut group);
            y = frame.bottom() + GAP;
        }
        let said = match panels.as_slice() {
            [one] => one.said.clone(),
            _ => "scales as noted".to_owned(),
        };
        drawing(outcome, paper, &format!("sections, page {} of {count}", k + 1), (vec![group], said, dropped))
    };
    sheets.into_iter().enumerate().map(page).collect()
}

/// A stretch of a section in one area.
struct Stretch<'a> {
    code: &'a str,
    at: [f64; 2],
    spans: &'a [SpanOut],
}

struct Panel<'a> {
    section: &'a SectionOut,
    unit: LengthUnit,
    per_unit: f64,
    said: String,
    stretches: Vec<Stretch<'a>>,
}

impl<'a> Panel<'a> {
    fn of(outcome: &'a Outcome, section: &'a SectionOut, unit: LengthUnit, width: f64) -> Self {
        let (units_per_inch, said) = standard_scale(section.length / (width - NUMBERS.0 - NAMES - 0.25), unit);
        let code = |name: &'a str| {
            let all = outcome.plan.iter().flat_map(|p| &p.areas);
            all.into_iter().find(|a| a.name == name).map_or(name, |a| a.code.as_str())
        };
        let of = |run: &'a [SpanOut]| {
            let name = run.first().and_then(|s| s.area.as_deref());
            Some(Stretch { code: code(name?), at: [run[0].at[0], run[run.len() - 1].at[1]], spans: run })
        };
        let mut stretches: Vec<Stretch<'a>> = section.spans.chunk_by(|a, b| a.area == b.area).filter_map(of).collect();
        if stretches.is_empty() {
            // Two bare surfaces: all of the design is one.
            let designed = section.spans.chunk_by(|a, b| a.dig_to.is_some() == b.dig_to.is_some());
            let of =
                |run: &'a [SpanOut]| Stretch { code: "", at: [run[0].at[0], run[run.len() - 1].at[1]], spans: run };
            stretches = designed.filter(|run| run[0].dig_to.is_some()).map(of).collect();
        }
        Self { section, unit, per_unit: 1.0 / units_per_inch, said, stretches }
    }

    /// Lowest and highest of all that is drawn.
    fn range(&self) -> (f64, f64) {
        let of = |s: &SpanOut| {
            let lines = [s.existing, s.subgrade, s.dig_to];
            lines.into_iter().flatten().chain(s.tops.iter().copied()).flatten().collect::<Vec<f64>>()
        };
        let pipes = self.section.pipes.iter().flat_map(|p| [p.invert, p.invert + p.size]);
        let all = self.section.spans.iter().flat_map(of).chain(pipes);
        all.fold((f64::MAX, f64::MIN), |(a, b), z| (a.min(z), b.max(z)))
    }

    fn draw(&self, room: Rect, tall: f64, group: &mut Group) -> usize {
        let (low, high) = self.range();
        let span = (high - low).max(1e-6);
        let factor = FACTORS.into_iter().find(|f| span * 1.15 * f * self.per_unit <= tall).unwrap_or(1.0);
        let half = tall / (self.per_unit * factor) / 2.0;
        let middle = f64::midpoint(low, high);
        let wide = self.section.length * self.per_unit;
        let chart = Rect::new(room.x + NAMES, room.y + OVER, wide + NUMBERS.0, tall + NUMBERS.1);
        let left = chart.x + NUMBERS.0;
        let place = |d: f64, z: f64| {
            PaperPoint::new(left + d * self.per_unit, chart.y + tall * (0.5 - (z - middle) / (2.0 * half)))
        };
        group.push(Stroke::new(room.corners().to_vec(), 0.01, FRAME).closed());
        self.title(room, factor, group);
        self.patches(&place, group);
        let heights = middle - half..middle + half;
        let drawn = axes(group, chart, self.section.length, heights, (SMALL, GREY));
        debug_assert!(drawn.is_ok());
        self.lines(&place, group);
        let dropped = self.areas(room, (chart.y, tall), left, group);
        dropped + self.pipes(&place, (chart.y, left, wide), group)
    }

    fn title(&self, room: Rect, factor: f64, group: &mut Group) {
        let s = self.section;
        let base = room.y + 0.21;
        let title =
            Text::new("heading", PaperPoint::new(room.x + 0.12, base), HEADING, &format!("Section {0}-{0}", s.letter));
        let title = title.bold().colour(INK);
        group.push(title);
        let vertical = self.vertical(factor);
        let scale = format!("Distances {}; {}: {vertical}", self.said, exaggerated(factor));
        let (em, lines) = fitted(&scale, Weight::Bold, 0.115, SMALL, room.w - 1.6, 1);
        for line in lines {
            let text = Text::new("scale", PaperPoint::new(room.right() - 0.12, base), em, &line).bold();
            group.push(text.colour(INK).align(Align::Right));
        }
        let at = |(n, e): (f64, f64)| format!("N {} E {}", fixed(n, 2), fixed(e, 2));
        let words = format!("from {} to {}, {}", at(s.from), at(s.to), way(s));
        let (em, lines) = fitted(&words, Weight::Regular, 0.115, SMALL, room.w - 0.24, 1);
        for line in lines {
            group.push(Text::new("cut-line", PaperPoint::new(room.x + 0.12, base + 0.17), em, &line).colour(INK));
        }
    }

    /// The scale of heights in words.
    fn vertical(&self, factor: f64) -> String {
        let per_inch = 1.0 / (self.per_unit * factor);
        if self.unit == LengthUnit::Metre {
            let ratio = fixed(per_inch / 0.0254, 1);
            return format!("1:{}", ratio.trim_end_matches('0').trim_end_matches('.'));
        }
        let feet = fixed(per_inch, 3);
        format!("1 in = {} ft", feet.trim_end_matches('0').trim_end_matches('.'))
    }

    /// What is dug, built and brought back.
    fn patches(&self, place: &dyn Fn(f64, f64) -> PaperPoint, group: &mut Group) {
        let between = |s: &SpanOut, top: [f64; 2], under: [f64; 2]| {
            vec![place(s.at[0], top[0]), place(s.at[1], top[1]), place(s.at[1], under[1]), place(s.at[0], under[0])]
        };
        let mut dug = Vec::new();
        let mut built: [Vec<Vec<PaperPoint>>; LAYERS.len()] = Default::default();
        let mut stone = Vec::new();
        for s in &self.section.spans {
            if let (Some(top), Some(under)) = (s.existing, s.dig_to) {
                let under = [0, 1].map(|k| under[k].min(top[k]));
                dug.push(between(s, top, under));
            }
            for (k, &top) in s.tops.iter().enumerate() {
                let Some(under) = s.tops.get(k + 1).copied().or(s.subgrade) else { continue };
                built[k % LAYERS.len()].push(between(s, top, under));
            }
            if let (Some(top), Some(under)) = (s.subgrade, s.dig_to) {
                let under = [0, 1].map(|k| under[k].min(top[k]));
                stone.push(between(s, top, under));
            }
        }
        let fills = std::iter::once((dug, DUG)).chain(built.into_iter().zip(LAYERS));
        for (rings, fill) in fills.filter(|(rings, _)| !rings.is_empty()) {
            group.push(Area { rings, fill });
        }
        for line in hatch::across(&stone, 0.045) {
            group.push(Stroke::new(line.to_vec(), 0.006, STONE));
        }
    }

    fn lines(&self, place: &dyn Fn(f64, f64) -> PaperPoint, group: &mut Group) {
        let mut line = |of: &dyn Fn(&SpanOut) -> Option<[f64; 2]>, width, colour, dash: &'static [f64], faced: bool| {
            let mut points: Vec<PaperPoint> = Vec::new();
            let mut done = Vec::new();
            for s in &self.section.spans {
                let Some(z) = of(s) else {
                    done.push(std::mem::take(&mut points));
                    continue;
                };
                let [a, b] = [place(s.at[0], z[0]), place(s.at[1], z[1])];
                if let Some(last) = points.last()
                    && !faced
                    && last.distance(a) > 1e-6
                {
                    done.push(std::mem::take(&mut points));
                }
                if points.last().is_none_or(|last| last.distance(a) > 1e-9) {
                    points.push(a);
                }
                points.push(b);
            }
            done.push(points);
            for points in done.into_iter().filter(|p| p.len() > 1) {
                group.push(Stroke::new(points, width, colour).dashed(dash));
            }
        };
        for k in 1..self.section.spans.iter().map(|s| s.tops.len()).max().unwrap_or(1) {
            line(&|s| s.tops.get(k).copied(), 0.005, GREY, &[], false);
        }
        line(&|s| s.subgrade, 0.009, INK, &[], false);
        line(&|s| s.tops.first().copied(), 0.014, INK, &[], true);
        line(&|s| s.existing, 0.014, EARTH, EXISTING, true);
        line(&|s| s.dig_to, 0.03, INK, &[], true);
        // The face of the dig where it begins and ends.
        for pair in self.section.spans.windows(2) {
            let ends = match (pair[0].dig_to, pair[1].dig_to) {
                (Some(dig), None) => pair[0].existing.map(|z| (pair[0].at[1], dig[1], z[1])),
                (None, Some(dig)) => pair[1].existing.map(|z| (pair[1].at[0], dig[0], z[0])),
                _ => None,
            };
            if let Some((d, dig, ground)) = ends.filter(|e| e.2 > e.1) {
                group.push(Stroke::new(vec![place(d, dig), place(d, ground)], 0.03, INK));
            }
        }
    }

    /// Pipes as rings on the chart, their inverts beside them; how many had no room for words.
    fn pipes(
        &self,
        place: &dyn Fn(f64, f64) -> PaperPoint,
        (top, left, wide): (f64, f64, f64),
        group: &mut Group,
    ) -> usize {
        let (mut last, mut dropped) = (f64::MIN, 0);
        for pipe in &self.section.pipes {
            let [foot, crown] = [pipe.invert, pipe.invert + pipe.size].map(|z| place(pipe.at, z));
            let (rx, ry) = ((pipe.size * self.per_unit / 2.0).max(0.02), (foot.y - crown.y) / 2.0);
            let ring = (0..24).map(|k| {
                let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 24.0).sin_cos();
                PaperPoint::new(foot.x + rx * cos, (foot.y + crown.y) / 2.0 + ry * sin)
            });
            group.push(Stroke::new(ring.collect(), 0.014, WATER).closed().filled(Colour::WHITE));
            let words = format!("{} inv {}", pipe.drain, fixed(pipe.invert, places(self.unit)));
            let text = Text::new("pipe", PaperPoint::new(0.0, 0.0), SMALL, &words).bold().colour(WATER).halo(0.022);
            let x = foot.x.min(left + wide - text.width() / 2.0 - 0.04).max(left + text.width() / 2.0 + 0.04);
            if x - text.width() / 2.0 < last + 0.06 {
                dropped += 1;
                continue;
            }
            last = x + text.width() / 2.0;
            let at = PaperPoint::new(x, top + 0.14);
            group.push(Stroke::new(vec![at.by(0.0, 0.03), crown], 0.006, WATER));
            group.push(Text { at, ..text }.align(Align::Middle));
        }
        dropped
    }

    /// Codes of areas over the chart, heights at their ends under it; how many had no room.
    fn areas(&self, room: Rect, (top, tall): (f64, f64), left: f64, group: &mut Group) -> usize {
        let under = top + tall + NUMBERS.1 + 0.04;
        let names = ["existing", "finish", "DIG TO", "cut, fill"];
        for (row, name) in names.into_iter().enumerate() {
            let at = PaperPoint::new(room.x + 0.1, under + ROW * row as f64 + 0.12);
            let text = Text::new("row", at, 0.115, name).colour(INK);
            group.push(if row >= 2 { text.bold() } else { text });
            let y = under + ROW * row as f64;
            group.push(Stroke::new(vec![PaperPoint::new(room.x, y), PaperPoint::new(room.right(), y)], 0.005, FRAME));
        }
        let mut dropped = 0;
        for stretch in &self.stretches {
            let [a, b] = stretch.at.map(|d| left + d * self.per_unit);
            for x in [a, b] {
                let ends = vec![PaperPoint::new(x, top - 0.2), PaperPoint::new(x, under + 4.0 * ROW)];
                group.push(Stroke::new(ends, 0.006, GREY).dashed(&[0.02, 0.03]));
            }
            let code = Text::new("area", PaperPoint::new(f64::midpoint(a, b), top - 0.07), 0.16, stretch.code).bold();
            if code.width() + 0.04 < b - a {
                group.push(code.colour(INK).align(Align::Middle));
            } else {
                dropped += 1;
            }
            dropped += self.heights(stretch, [a, b], under, group);
        }
        dropped
    }

    fn heights(&self, stretch: &Stretch<'_>, [a, b]: [f64; 2], under: f64, group: &mut Group) -> usize {
        let (first, last) = (&stretch.spans[0], &stretch.spans[stretch.spans.len() - 1]);
        let ends = |of: &dyn Fn(&SpanOut) -> Option<[f64; 2]>| [of(first).map(|z| z[0]), of(last).map(|z| z[1])];
        let rows = [
            ends(&|s| s.existing),
            ends(&|s| s.tops.first().copied()),
            ends(&|s| s.dig_to),
            ends(&|s| {
                Some([0, 1].map(|k| s.existing.map_or(f64::NAN, |z| z[k]) - s.dig_to.map_or(f64::NAN, |z| z[k])))
            }),
        ];
        let mut dropped = 0;
        for (row, heights) in rows.into_iter().enumerate() {
            let say = |z: f64| {
                let number = fixed(z.abs(), places(self.unit));
                match row {
                    3 if z < 0.0 => format!("F {number}"),
                    3 => format!("C {number}"),
                    _ => number,
                }
            };
            let words = heights.map(|z| z.filter(|z| z.is_finite()).map(say));
            let weight = if row >= 2 { Weight::Bold } else { Weight::Regular };
            let wide = |w: &Option<String>| w.as_ref().map_or(0.0, |w| font::width(w, weight, 0.115) + 0.08);
            let base = under + ROW * row as f64 + 0.12;
            let room = b - a;
            let both = wide(&words[0]) + wide(&words[1]) <= room;
            for (k, words) in words.iter().enumerate() {
                let Some(said) = words else { continue };
                if !(both || (k == 0 && wide(words) <= room)) {
                    dropped += 1;
                    continue;
                }
                let text = Text::new("height", PaperPoint::new(a + 0.04, base), 0.115, said).colour(INK);
                let text = if k == 0 {
                    text
                } else {
                    Text { at: PaperPoint::new(b - 0.04, base), ..text }.align(Align::Right)
                };
                group.push(Text { weight, ..text });
            }
        }
        dropped
    }
}

/// Which way a section is looked at: its start at the left.
fn way(s: &SectionOut) -> String {
    const WORDS: [&str; 8] = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let azimuth = (s.to.1 - s.from.1).atan2(s.to.0 - s.from.0).to_degrees() - 90.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 8 by construction")]
    let k = ((azimuth.rem_euclid(360.0) / 45.0).round() as usize) % 8;
    format!("looking {}", WORDS[k])
}

/// What the lines and tones mean.
fn key(room: Rect, panels: &[&Panel<'_>], group: &mut Group) {
    let base = room.y + 0.13;
    let mut x = room.x;
    let mut entry = |words: &str, sample: &dyn Fn(Rect, &mut Group)| {
        let text = Text::new("legend", PaperPoint::new(x + 0.42, base), 0.11, words).colour(INK);
        let wide = 0.42 + text.width() + 0.2;
        if x + wide - 0.2 <= room.right() {
            sample(Rect::new(x, base - 0.09, 0.36, 0.1), group);
            group.push(text);
            x += wide;
        }
    };
    let line = |r: Rect, width, colour, dash: &'static [f64], group: &mut Group| {
        let ends = vec![PaperPoint::new(r.x, r.centre().y), PaperPoint::new(r.right(), r.centre().y)];
        group.push(Stroke::new(ends, width, colour).dashed(dash));
    };
    entry("DIG TO", &|r, group| line(r, 0.03, INK, &[], group));
    entry("ground now", &|r, group| line(r, 0.014, EARTH, EXISTING, group));
    entry("dug", &|r, group| group.push(Stroke::new(r.corners().to_vec(), 0.005, GREY).closed().filled(DUG)));
    entry("built, layer by layer; top line finish", &|r, group| {
        for (k, fill) in LAYERS.into_iter().enumerate() {
            let part = Rect::new(r.x, r.y + r.h * k as f64 / 3.0, r.w, r.h / 3.0);
            group.push(Stroke::new(part.corners().to_vec(), 0.0, fill).closed().filled(fill));
        }
        line(Rect { h: 0.0, ..r }, 0.014, INK, &[], group);
    });
    let comes_back = |s: &SpanOut| matches!((s.subgrade, s.dig_to), (Some(z), Some(d)) if z[0] - d[0] > 0.005 || z[1] - d[1] > 0.005);
    if panels.iter().flat_map(|p| &p.section.spans).any(comes_back) {
        entry("dug deeper: stone comes back", &|r, group| {
            for pair in hatch::across(&[r.corners().to_vec()], 0.045) {
                group.push(Stroke::new(pair.to_vec(), 0.006, STONE));
            }
        });
    }
}

#[cfg(test)]
mod tests;
