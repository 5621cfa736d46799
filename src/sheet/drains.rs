//! What does each run of pipe look like from the side?
//!
//! ```text
//!  Drain A  PA1 to SB                      heights 8 times the distances
//!  PA1 inv 101.50, clean-out     PA2 inv 100.05 ... SB inv 99.65
//!  ┌─│───────────────────────────│───────────────────│─┐
//!  │ │ ground, finish, subgrade; │ pipe from invert  │ │    a frame a run,
//!  │ │ to crown; its bedding     │ and clean-outs    │ │    several on a page
//!  └─│───────────────────────────│───────────────────│─┘
//!     perforated 4 in, 65.00 ft ...   solid 4 in ...
//! ```
//! Water runs from left to right. The crown is drawn by the outside diameter, the bottom of the trench by wall and bedding. Names of nodes
//! stand in rows above one another, so that no leader crosses a name; where that takes too many rows they are turned upright, and what has
//! no room then is left to the table and counted. Units: inches of paper; heights and distances in job units.

use super::chart::{NUMBERS, axes, exaggerated, exaggeration};
use super::font::{self, Weight};
use super::levels::cut;
use super::plan::thickness;
use super::{Align, Colour, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text};
use crate::job::{DrainLegOut, DrainRunOut, Outcome, ProfilePoint};
use crate::units::{LengthUnit, fixed};

const MARGIN: f64 = 0.45;
const SMALL: f64 = 0.1;
const HEADING: f64 = 0.125;
const TITLE: f64 = 0.18;
const INK: Colour = Colour(17, 17, 17);
const GREY: Colour = Colour(85, 85, 85);
const FRAME: Colour = Colour(150, 150, 150);
const EARTH: Colour = Colour(120, 98, 76);
const WATER: Colour = Colour(16, 78, 139);
const INSIDE: Colour = Colour(214, 230, 244);
const BEDDING: Colour = Colour(226, 221, 211);
/// Title and key of a page; what stands below its frames.
const HEAD: f64 = 0.72;
const FOOT: f64 = 0.42;
/// On paper narrower than this the key takes a second row, that high.
const KEY: (f64, f64) = (9.2, 0.19);
const GAP: f64 = 0.12;
/// A row of words.
const ROW: f64 = 0.155;
/// Heights between which a chart is drawn.
const LEAST: f64 = 1.25;
const MOST: f64 = 4.5;
/// A page at least this wide has two columns.
const WIDE: f64 = 12.0;
/// More rows of names than this are turned.
const ROWS: usize = 4;
/// More lines on legs than this are left to the table.
const LISTED: usize = 5;
const NAME: f64 = 1.1;
const CAP: f64 = 0.735;

type Height = fn(&ProfilePoint) -> Option<f64>;
const LINES: [(&str, Height, Colour, f64, &[f64]); 3] = [
    ("existing", |p| p.existing, EARTH, 0.012, &[0.06, 0.035]),
    ("finish", |p| p.finish, INK, 0.008, &[]),
    ("subgrade", |p| p.subgrade, INK, 0.022, &[]),
];
const PERFORATED: &[f64] = &[0.09, 0.035];
const TRENCH: &[f64] = &[0.12, 0.03, 0.02, 0.03];

/// Every run with its inverts, as many pages as they take; none where there are none.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper) -> Vec<Drawing> {
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let runs: Vec<&DrainRunOut> =
        outcome.drainage.iter().flat_map(|d| &d.drains).filter(|r| r.length > 0.0 && !r.legs.is_empty()).collect();
    let (w, h) = paper.inches();
    let sheet = Rect::new(0.0, 0.0, w, h).inset(MARGIN);
    let columns = if sheet.w > WIDE && runs.len() > 1 { 2 } else { 1 };
    let width = (sheet.w - GAP * (columns - 1) as f64) / columns as f64;
    let panels: Vec<Panel<'_>> = runs.into_iter().map(|run| Panel::of(run, unit, width)).collect();
    let head_h = HEAD + if sheet.w < KEY.0 { KEY.1 } else { 0.0 };
    let room = Rect::new(sheet.x, sheet.y + head_h, sheet.w, sheet.h - head_h - FOOT);
    let slots = spread(&panels, room.h, columns);
    let count = slots.len().div_ceil(columns);
    let draw = |(k, slots): (usize, &[&[Panel<'_>]])| {
        let mut group = Group::new("drains");
        head(outcome, unit, sheet, &format!("page {} of {count}", k + 1), &mut group);
        let mut dropped = 0;
        for (column, panels) in slots.iter().enumerate() {
            let words: f64 = panels.iter().map(|p| p.words).sum();
            let gaps = GAP * panels.len().saturating_sub(1) as f64;
            let tall = ((room.h - words - gaps) / panels.len().max(1) as f64).min(MOST);
            let (x, mut y) = (room.x + (width + GAP) * column as f64, room.y);
            for panel in *panels {
                let frame = Rect::new(x, y, width, panel.words + tall);
                panel.draw(frame, tall, &mut group);
                dropped += panel.dropped;
                y = frame.bottom() + GAP;
            }
        }
        foot(outcome, sheet, dropped, &mut group);
        let job = if outcome.job.is_empty() { String::new() } else { format!("{}: ", outcome.job) };
        Drawing {
            paper,
            title: format!("{job}Drains from the side, page {} of {count}", k + 1),
            groups: vec![group],
            scale: format!("{}, print at 100 %", paper.name()),
            dropped,
        }
    };
    let slots: Vec<&[Panel<'_>]> = slots.iter().map(|&(from, to)| &panels[from..to]).collect();
    slots.chunks(columns).enumerate().map(draw).collect()
}

/// Which panels stand in each column, in order: over as few pages as hold them, about equally many in each.
fn spread(panels: &[Panel<'_>], room: f64, columns: usize) -> Vec<(usize, usize)> {
    let tall = |part: &[Panel<'_>]| part.iter().map(|p| p.words + LEAST + GAP).sum::<f64>() - GAP;
    for pages in 1..=panels.len() {
        let count = (pages * columns).min(panels.len());
        let slots: Vec<(usize, usize)> =
            (0..count).map(|k| (k * panels.len() / count, (k + 1) * panels.len() / count)).collect();
        if pages == panels.len() || slots.iter().all(|&(from, to)| tall(&panels[from..to]) <= room) {
            return slots;
        }
    }
    Vec::new()
}

/// How the names of nodes stand over a chart.
#[derive(Clone, Debug)]
enum Names {
    /// From the bottom up: node, row, and whether the name ends at its leader.
    Rows(Vec<(usize, usize, bool)>),
    /// Turned upright, those that have room.
    Turned(Vec<usize>),
}

/// One run with all that is written about it.
#[derive(Clone, Debug)]
struct Panel<'a> {
    run: &'a DrainRunOut,
    unit: LengthUnit,
    places: usize,
    /// Distances of its nodes.
    stations: Vec<f64>,
    labels: Vec<String>,
    names: Names,
    /// Height of the names.
    band: f64,
    /// What is written under each leg.
    under: Vec<String>,
    /// What did not fit there.
    listed: Vec<String>,
    /// Height of everything but the chart.
    words: f64,
    dropped: usize,
}

impl<'a> Panel<'a> {
    fn of(run: &'a DrainRunOut, unit: LengthUnit, width: f64) -> Self {
        let places = if unit == LengthUnit::Metre { 3 } else { 2 };
        let mut stations = vec![0.0];
        for leg in &run.legs {
            stations.push(stations[stations.len() - 1] + leg.length);
        }
        let label = |p: &crate::job::DrainPointOut| {
            let name = cut(&p.name, SMALL, NAME);
            format!("{name} inv {}{}", fixed(p.invert, places), if p.clean_out { ", clean-out" } else { "" })
        };
        let labels: Vec<String> = run.points.iter().map(label).collect();
        let wide = width - 0.21 - NUMBERS.0;
        let along: Vec<f64> = stations.iter().map(|s| s / run.length * wide).collect();
        let widths: Vec<f64> = labels.iter().map(|l| font::width(l, Weight::Bold, SMALL)).collect();
        let rows = rows(&along, &widths, wide);
        let most = rows.iter().map(|r| r.1 + 1).max().unwrap_or(0);
        let (names, band) = if most <= ROWS {
            (Names::Rows(rows), ROW * most as f64 + 0.06)
        } else {
            let mut held: Vec<usize> = Vec::new();
            for (k, x) in along.iter().enumerate() {
                if held.last().is_none_or(|&last| x - along[last] >= ROW) {
                    held.push(k);
                }
            }
            (Names::Turned(held), widths.iter().copied().fold(0.0, f64::max) + 0.1)
        };
        let dropped = if let Names::Turned(held) = &names { labels.len() - held.len() } else { 0 };
        let fits = |words: &str, room: f64| font::width(words, Weight::Regular, SMALL) + 0.08 <= room;
        let under: Vec<String> = run
            .legs
            .iter()
            .zip(along.windows(2))
            .map(|(leg, at)| {
                let forms = [about(leg, run, unit), percent(leg), String::new()];
                forms.into_iter().find(|form| form.is_empty() || fits(form, at[1] - at[0])).unwrap_or_default()
            })
            .collect();
        let mut listed = Vec::new();
        for (k, leg) in run.legs.iter().enumerate() {
            if under[k] != about(leg, run, unit) {
                let [from, to] = [k, k + 1].map(|k| cut(&run.points[k].name, SMALL, NAME));
                let words = format!("{from} to {to}: {}", about(leg, run, unit));
                listed.extend(font::wrap(&words, Weight::Regular, SMALL, width - 0.3));
            }
        }
        if listed.len() > LISTED {
            let more = listed.len() - LISTED + 1;
            listed.truncate(LISTED - 1);
            listed.push(format!("and {more} lines more: see drains.csv"));
        }
        let words = 0.3 + band + NUMBERS.1 + 0.2 + ROW * listed.len() as f64 + 0.1;
        Self { run, unit, places, stations, labels, names, band, under, listed, words, dropped }
    }

    fn draw(&self, room: Rect, tall: f64, group: &mut Group) {
        group.push(Stroke::new(room.corners().to_vec(), 0.01, FRAME).closed());
        let top = room.y + 0.3 + self.band;
        let chart = Rect::new(room.x + 0.06, top, room.w - 0.21, tall + NUMBERS.1);
        let wide = chart.w - NUMBERS.0;
        let (low, high) = self.range();
        let factor = exaggeration(wide, tall, self.run.length, high - low);
        let half = tall / (wide / self.run.length * factor) / 2.0;
        let middle = f64::midpoint(low, high);
        let drawn = axes(group, chart, self.run.length, middle - half..middle + half, (SMALL, GREY));
        debug_assert!(drawn.is_ok());
        let left = chart.x + NUMBERS.0;
        let place = |d: f64, z: f64| {
            PaperPoint::new(left + d / self.run.length * wide, top + tall * (0.5 - (z - middle) / (2.0 * half)))
        };
        self.title(room, factor, group);
        self.pipe(&place, group);
        self.nodes(&place, top, group);
        let under = top + tall + NUMBERS.1 + 0.1;
        self.legs(left, wide, under, group);
        for (k, words) in self.listed.iter().enumerate() {
            let at = PaperPoint::new(room.x + 0.15, under + 0.09 + ROW * (k + 1) as f64);
            group.push(Text::new("leg", at, SMALL, words).colour(INK));
        }
    }

    /// Lowest and highest of all that is drawn.
    fn range(&self) -> (f64, f64) {
        let run = self.run;
        let over = run.profile.iter().flat_map(|p| [p.existing, p.finish, p.subgrade]).flatten();
        let legs = run.legs.iter().enumerate().flat_map(|(k, leg)| {
            let ends = [run.points[k].invert, run.points[k + 1].invert];
            let bottoms = run.bottoms(k).unwrap_or(ends.map(|z| z - leg.wall()));
            bottoms.into_iter().chain(ends.map(|z| z + leg.size + leg.wall()))
        });
        over.chain(legs).fold((f64::MAX, f64::MIN), |(a, b), z| (a.min(z), b.max(z)))
    }

    fn title(&self, room: Rect, factor: f64, group: &mut Group) {
        let run = self.run;
        let unit = self.unit.length();
        let times = exaggerated(factor);
        let base = room.y + 0.19;
        let scale =
            Text::new("chart", PaperPoint::new(room.right() - 0.15, base), SMALL, &format!("in {unit}; {times}"));
        let mut left = room.w - 0.4 - scale.width();
        group.push(scale.colour(GREY).align(Align::Right));
        let at = PaperPoint::new(room.x + 0.15, base);
        let name = Text::new("heading", at, HEADING, &format!("Drain {}", cut(&run.name, HEADING, 1.6))).bold();
        let x = at.x + name.width() + 0.15;
        left -= name.width() + 0.15;
        group.push(name.colour(INK));
        let by = if run.by_others { ", by others" } else { "" };
        let falls = format!("{} {unit} long, falls {} {unit}", fixed(run.length, 2), fixed(run.drop, self.places));
        let words = cut(&format!("{falls}{by}"), SMALL, left.max(0.3));
        group.push(Text::new("chart", PaperPoint::new(x, base), SMALL, &words).colour(INK));
    }

    fn pipe(&self, place: &dyn Fn(f64, f64) -> PaperPoint, group: &mut Group) {
        let run = self.run;
        let ends =
            |k: usize| [(self.stations[k], run.points[k].invert), (self.stations[k + 1], run.points[k + 1].invert)];
        for (k, leg) in run.legs.iter().enumerate() {
            let Some(bottoms) = run.bottoms(k) else { continue };
            let [a, b] = ends(k);
            let under = [(a.0, bottoms[0]), (b.0, bottoms[1]), (b.0, b.1 - leg.wall()), (a.0, a.1 - leg.wall())];
            let ring = under.map(|(d, z)| place(d, z)).to_vec();
            group.push(Stroke::new(ring.clone(), 0.0, BEDDING).closed().filled(BEDDING));
            group.push(Stroke::new(ring[..2].to_vec(), 0.012, EARTH).dashed(TRENCH));
        }
        for (_, height, colour, width, dash) in LINES {
            // A gap in a surface is a gap in its line.
            for part in run.profile.split(|p| height(p).is_none()).filter(|part| part.len() > 1) {
                let line = part.iter().filter_map(|p| height(p).map(|z| place(p.distance, z))).collect();
                group.push(Stroke::new(line, width, colour).dashed(dash));
            }
        }
        for (k, leg) in run.legs.iter().enumerate() {
            let invert = ends(k).map(|(d, z)| place(d, z));
            let crown = ends(k).map(|(d, z)| place(d, z + leg.size + leg.wall()));
            let ring = vec![invert[0], invert[1], crown[1], crown[0]];
            group.push(Stroke::new(ring, 0.0, INSIDE).closed().filled(INSIDE));
            let dash = if leg.kind == "perforated" { PERFORATED } else { &[] };
            group.push(Stroke::new(crown.to_vec(), 0.012, WATER).dashed(dash));
            group.push(Stroke::new(invert.to_vec(), 0.02, WATER));
        }
    }

    fn nodes(&self, place: &dyn Fn(f64, f64) -> PaperPoint, top: f64, group: &mut Group) {
        let run = self.run;
        let foot = |k: usize| place(self.stations[k], run.points[k].invert);
        for (k, point) in run.points.iter().enumerate() {
            let at = foot(k);
            if point.clean_out {
                let leg = &run.legs[k.min(run.legs.len() - 1)];
                let crown = point.invert + leg.size + leg.wall();
                let over = run.profile.iter().filter(|p| (p.distance - self.stations[k]).abs() < 1e-6);
                let ground = over.filter_map(|p| p.finish.or(p.existing)).fold(crown, f64::max);
                clean_out(place(self.stations[k], crown), place(self.stations[k], ground), group);
            }
            group.push(Stroke::new(circle(at, 0.028), 0.0, WATER).closed().filled(WATER));
        }
        let mut leader = |k: usize, y: f64| {
            group.push(Stroke::new(vec![PaperPoint::new(foot(k).x, y), foot(k)], 0.006, GREY).dashed(&[0.02, 0.02]));
        };
        let words = |k: usize, at: PaperPoint| Text::new("node", at, SMALL, &self.labels[k]).bold().colour(WATER);
        let mut texts = Vec::new();
        match &self.names {
            Names::Rows(rows) => {
                for &(k, row, is_left) in rows {
                    let base = top - 0.05 - ROW * row as f64;
                    leader(k, base - SMALL * CAP);
                    let at = PaperPoint::new(foot(k).x, base);
                    texts.push(if is_left {
                        words(k, at.by(-0.03, 0.0)).align(Align::Right)
                    } else {
                        words(k, at.by(0.03, 0.0))
                    });
                }
            }
            Names::Turned(held) => {
                for &k in held {
                    leader(k, top - 0.02);
                    texts.push(words(k, PaperPoint::new(foot(k).x + SMALL * CAP / 2.0, top - 0.05)).turned(-90.0));
                }
            }
        }
        texts.into_iter().for_each(|text| group.push(text));
    }

    /// What each leg is, between ticks at its ends.
    fn legs(&self, left: f64, wide: f64, base: f64, group: &mut Group) {
        let x = |k: usize| left + self.stations[k] / self.run.length * wide;
        for k in 0..self.stations.len() {
            group.push(Stroke::new(
                vec![PaperPoint::new(x(k), base - 0.1), PaperPoint::new(x(k), base + 0.04)],
                0.008,
                WATER,
            ));
        }
        for (k, words) in self.under.iter().enumerate().filter(|(_, words)| !words.is_empty()) {
            let at = PaperPoint::new(f64::midpoint(x(k), x(k + 1)), base);
            group.push(Text::new("leg", at, SMALL, words).colour(INK).align(Align::Middle));
        }
    }
}

fn percent(leg: &DrainLegOut) -> String {
    format!("{} %", fixed(leg.fall * 100.0, 2))
}

/// All about a leg in one line.
fn about(leg: &DrainLegOut, run: &DrainRunOut, unit: LengthUnit) -> String {
    let mut words = vec![
        format!("{} {}", leg.kind, thickness(leg.size, unit)),
        format!("{} {}", fixed(leg.length, 2), unit.length()),
        percent(leg),
    ];
    words.extend(leg.holes.map(|way| format!("holes {way}")));
    words.extend(run.bedding.map(|bedding| format!("on {} of bedding", thickness(bedding, unit))));
    words.join(", ")
}

/// Rows for names that begin at their leaders, or end there where the chart ends: node, row, whether it ends there. A name stands
/// above every other whose leader it covers.
fn rows(along: &[f64], widths: &[f64], wide: f64) -> Vec<(usize, usize, bool)> {
    const APART: f64 = 0.1;
    let span = |k: usize, is_left: bool| {
        if is_left { (along[k] - widths[k] - APART, along[k]) } else { (along[k], along[k] + widths[k] + APART) }
    };
    let ends_at = |k: usize| along[k] + widths[k] > wide;
    let mut out: Vec<(usize, usize, bool)> = Vec::new();
    let right = (0..along.len()).rev().filter(|&k| !ends_at(k)).map(|k| (k, false));
    for (k, is_left) in right.chain((0..along.len()).filter(|&k| ends_at(k)).map(|k| (k, true))) {
        let (from, to) = span(k, is_left);
        let touches = |&&(j, _, left): &&(usize, usize, bool)| {
            let (a, b) = span(j, left);
            a < to && from < b
        };
        let row = out.iter().filter(touches).map(|&(_, row, _)| row + 1).max().unwrap_or(0);
        out.push((k, row, is_left));
    }
    out
}

/// A riser with a cap.
fn clean_out(foot: PaperPoint, top: PaperPoint, group: &mut Group) {
    for dx in [-0.025, 0.025] {
        group.push(Stroke::new(vec![foot.by(dx, 0.0), top.by(dx, 0.0)], 0.01, WATER));
    }
    let cap = vec![top.by(-0.05, 0.0), top.by(0.05, 0.0), top.by(0.05, -0.035), top.by(-0.05, -0.035)];
    group.push(Stroke::new(cap, 0.01, WATER).closed().filled(Colour::WHITE));
}

fn circle(at: PaperPoint, r: f64) -> Vec<PaperPoint> {
    (0..24)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 24.0).sin_cos();
            at.by(r * cos, r * sin)
        })
        .collect()
}

/// Title of a page and what its lines mean.
fn head(outcome: &Outcome, unit: LengthUnit, sheet: Rect, page: &str, group: &mut Group) {
    let at = PaperPoint::new(sheet.x, sheet.y + 0.18);
    let title = Text::new("title", at, TITLE, "Drains from the side").bold().colour(INK);
    let datum = outcome.datum.as_ref().map(|d| format!(". Datum: {d}")).unwrap_or_default();
    let about = format!("Heights and distances in {}{datum}", unit.length());
    let right = Text::new("chart", PaperPoint::new(sheet.right(), at.y), SMALL, page).align(Align::Right).colour(GREY);
    let x = at.x + title.width() + 0.2;
    let left = right.at.x - right.width() - 0.2 - x;
    let job = if outcome.job.is_empty() { about } else { format!("{}. {about}", outcome.job) };
    group.push(Text::new("chart", PaperPoint::new(x, at.y), SMALL, &cut(&job, SMALL, left)).colour(INK));
    group.push(title);
    group.push(right);
    let (mut x, mut base) = (sheet.x, sheet.y + 0.48);
    let mut entry = |words: &str, sample: &dyn Fn(PaperPoint, &mut Group)| {
        let text = Text::new("legend", PaperPoint::new(0.0, 0.0), SMALL, words).colour(INK);
        let wide = 0.46 + text.width();
        if x + wide > sheet.right() {
            (x, base) = (sheet.x, base + KEY.1);
        }
        sample(PaperPoint::new(x, base - 0.035), group);
        group.push(Text { at: PaperPoint::new(x + 0.46, base), ..text });
        x += wide + 0.22;
    };
    let line = |colour, width, dash: &'static [f64]| {
        move |at: PaperPoint, group: &mut Group| {
            group.push(Stroke::new(vec![at, at.by(0.4, 0.0)], width, colour).dashed(dash));
        }
    };
    let runs = || outcome.drainage.iter().flat_map(|d| &d.drains);
    for (words, height, colour, width, dash) in LINES {
        if runs().flat_map(|r| &r.profile).any(|p| height(p).is_some()) {
            entry(words, &line(colour, width, dash));
        }
    }
    entry("pipe, invert to crown; dashes: perforated", &|at, group| {
        let ring = Rect::new(at.x, at.y - 0.04, 0.4, 0.08).corners();
        group.push(Stroke::new(ring.to_vec(), 0.0, INSIDE).closed().filled(INSIDE));
        group.push(Stroke::new(ring[..2].to_vec(), 0.012, WATER).dashed(PERFORATED));
        group.push(Stroke::new(ring[2..].to_vec(), 0.02, WATER));
    });
    if runs().any(|r| r.bedding.is_some()) {
        entry("bedding, bottom of the trench", &|at, group| {
            let ring = Rect::new(at.x, at.y - 0.05, 0.4, 0.09).corners();
            group.push(Stroke::new(ring.to_vec(), 0.0, BEDDING).closed().filled(BEDDING));
            group.push(Stroke::new(ring[2..].to_vec(), 0.012, EARTH).dashed(TRENCH));
        });
    }
    if runs().flat_map(|r| &r.points).any(|p| p.clean_out) {
        entry("clean-out", &|at, group| clean_out(at.by(0.25, 0.06), at.by(0.25, -0.05), group));
    }
}

/// Where it all comes from.
fn foot(outcome: &Outcome, sheet: Rect, dropped: usize, group: &mut Group) {
    let mut note =
        "Water runs from left to right. inv: bottom of the pipe inside. Check every invert before backfill.".to_owned();
    if dropped > 0 {
        note.push_str(&format!(" {dropped} names of nodes left off for want of room: see drains.csv."));
    }
    let inputs: Vec<&str> = outcome.inputs.iter().map(|input| input.file.as_str()).collect();
    let made = format!("spadework {}: {}. From {}", outcome.spadework, outcome.command, inputs.join(", "));
    for (k, (words, colour)) in [(note, INK), (made, GREY)].into_iter().enumerate() {
        let at = PaperPoint::new(sheet.x, sheet.bottom() - 0.17 + 0.17 * k as f64);
        group.push(Text::new("note", at, SMALL, &cut(&words, SMALL, sheet.w)).colour(colour));
    }
}

#[cfg(test)]
mod tests;
