//! What lies where: areas with their names, over-dig, steps?
//!
//! An area's outline is thin where the edge of the dig is heavy. Its name stands inside where there is room, else it
//! shrinks to the code, else it stands outside with a leader. A step is a line with ticks toward its lower side.
//! Units: inches of paper; step heights in feet-inches or millimetres.

use super::details::thickness;
use super::ground::on_paper;
use super::stakes::{CAP, HALO, along, is_inside};
use super::{GREY, INK, SMALL, Site};
use crate::job::{AreaPlanOut, StepOut};
use crate::sheet::labels::{self, Box2, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Stroke, Text};
use crate::units::{Length, LengthUnit, feet_inches, fixed};

/// Width of an area's outline.
pub(super) const OUTLINE: f64 = 0.014;
/// Dash of the limit of the over-dig.
pub(super) const OVER_DASH: &[f64] = &[0.05, 0.02, 0.012, 0.02];
pub(super) const OVER_WIDTH: f64 = 0.009;
/// Top of a battered side.
pub(super) const BATTER_DASH: &[f64] = &[0.16, 0.03, 0.02, 0.03];
/// Size of a code inside its area.
const CODE: f64 = 0.3;
/// Codes are large and light: never mistaken for a cut.
const CODE_COLOUR: Colour = Colour(128, 112, 96);
/// An area narrower than this, in inches, gets its name after the cuts have theirs.
const NARROW: f64 = 1.3;
const TICK: f64 = 0.075;

/// Limits of the over-dig, outlines, steps, from the bottom up.
pub(super) fn draw(site: &Site<'_>) -> Vec<Group> {
    let mut over = Group::new("over-dig");
    for ring in &site.plan.over_dig {
        over.push(Stroke::new(on_paper(site, ring), OVER_WIDTH, INK).closed().dashed(OVER_DASH));
    }
    for ring in &site.plan.batter {
        over.push(Stroke::new(on_paper(site, ring), OVER_WIDTH, INK).closed().dashed(BATTER_DASH));
    }
    let mut outlines = Group::new("areas");
    for ring in site.plan.areas.iter().flat_map(|area| &area.rings) {
        outlines.push(Stroke::new(on_paper(site, ring), OUTLINE, INK).closed());
    }
    let mut steps = Group::new("steps");
    for step in real_steps(site) {
        let [a, b] = step.ends.map(|p| site.scale.paper(p));
        step_line(a, b, lower_side(site, step), &mut steps);
    }
    vec![over, outlines, steps]
}

/// Steps that are more than a hair.
pub(super) fn real_steps<'a>(site: &Site<'a>) -> impl Iterator<Item = &'a StepOut> {
    let least = if site.unit == LengthUnit::Metre { 0.0015 } else { 0.005 };
    site.plan.steps.iter().filter(move |step| step.heights.iter().any(|h| h.abs() >= least))
}

/// A line with ticks to one side: +1 left of the way from `a` to `b` as seen, -1 right.
pub(super) fn step_line(a: PaperPoint, b: PaperPoint, side: f64, group: &mut Group) {
    let long = a.distance(b);
    if long <= 0.0 {
        return;
    }
    group.push(Stroke::new(vec![a, b], 0.02, INK));
    let (nx, ny) = normal(a, b, side);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sheet holds a few hundred")]
    let count = (long / 0.11).round().max(1.0) as usize;
    for k in 0..count {
        let p = a.towards(b, (k as f64 + 0.5) / count as f64);
        group.push(Stroke::new(vec![p, p.by(TICK * nx, TICK * ny)], 0.01, INK));
    }
}

/// Unit vector square to the way from `a` to `b`.
fn normal(a: PaperPoint, b: PaperPoint, side: f64) -> (f64, f64) {
    let long = a.distance(b);
    (side * (b.y - a.y) / long, -side * (b.x - a.x) / long)
}

/// Which side of a step is the lower area's.
fn lower_side(site: &Site<'_>, step: &StepOut) -> f64 {
    let lower = &step.areas[usize::from(step.heights[0] + step.heights[1] > 0.0)];
    let [a, b] = step.ends.map(|p| site.scale.paper(p));
    let rings = rings_of(site, site.plan.areas.iter().find(|area| area.name == *lower));
    let (nx, ny) = normal(a, b, 1.0);
    if is_inside(a.towards(b, 0.5).by(0.01 * nx, 0.01 * ny), &rings) { 1.0 } else { -1.0 }
}

pub(super) fn rings_of(site: &Site<'_>, area: Option<&AreaPlanOut>) -> Vec<Vec<PaperPoint>> {
    area.map_or(Vec::new(), |area| area.rings.iter().map(|ring| on_paper(site, ring)).collect())
}

/// Heights of steps beside their lines.
pub(super) fn step_heights(site: &Site<'_>, placer: &mut Placer, group: &mut Group) {
    for step in real_steps(site) {
        let side = lower_side(site, step);
        let [a, b] = step.ends.map(|p| site.scale.paper(p));
        let (nx, ny) = normal(a, b, side);
        let [low, high] = {
            let [p, q] = step.heights.map(f64::abs);
            [p.min(q), p.max(q)].map(|h| height(h, site.unit))
        };
        let words = if low == high { format!("step {high}") } else { format!("step {low} to {high}") };
        let beside = |off: f64| vec![a.by(off * nx, off * ny), b.by(off * nx, off * ny)];
        let text = Text::new("step", a, SMALL, &words).bold().colour(INK).halo(HALO);
        match along(placer, &[beside(0.14), beside(-0.1), beside(0.24)], text) {
            Some(text) => group.push(text),
            None => short_step(a.towards(b, 0.5), &words, placer, group),
        }
    }
}

/// The height of a step too short to write along: with a leader.
fn short_step(at: PaperPoint, words: &str, placer: &mut Placer, group: &mut Group) {
    let text = Text::new("step", at, SMALL, words).bold().colour(INK).halo(HALO).align(Align::Middle);
    let (w, h) = (text.width() + 0.04, SMALL * CAP + 0.03);
    let Some((place, end)) = placer.try_leader(at, labels::further(at, w, h)) else {
        placer.drop_some(1);
        return;
    };
    group.push(Stroke::new(vec![at, end], 0.008, INK));
    group.push(Text { at: place.centre.by(0.0, SMALL * CAP / 2.0), ..text });
}

fn height(length: f64, unit: LengthUnit) -> String {
    if unit == LengthUnit::Metre { thickness(length, unit) } else { feet_inches(Length::in_job_units(length), unit) }
}

/// Whether an area has room for its name before any cut is written.
pub(super) fn is_wide(site: &Site<'_>, area: &AreaPlanOut) -> bool {
    let ring = area.rings.first().map(|ring| on_paper(site, ring)).unwrap_or_default();
    let span = |of: fn(&PaperPoint) -> f64| {
        let values = || ring.iter().map(of);
        values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
    };
    span(|p| p.x).min(span(|p| p.y)) > NARROW
}

/// Lines of an area's name, largest first: size, words, colour, bold.
type Form = Vec<(f64, String, Colour, bool)>;

fn forms(site: &Site<'_>, area: &AreaPlanOut) -> Vec<Form> {
    let code = |em: f64| (em, area.code.clone(), CODE_COLOUR, true);
    let name = (0.12, area.name.clone(), INK, true);
    let built = (SMALL, area.section.clone(), GREY, false);
    let slope = site.outcome.volume.iter().flat_map(|v| &v.areas).find(|a| a.name == area.name);
    let slope = slope.map(|a| (SMALL, format!("finish {} %", fixed(a.finish_slope * 100.0, 2)), GREY, false));
    let whole: Form = [code(CODE), name.clone(), built].into_iter().chain(slope).collect();
    vec![whole, vec![code(0.22), (SMALL, name.1, name.2, false)], vec![code(0.14)]]
}

const LEADING: f64 = 0.045;

fn size(form: &Form) -> (f64, f64) {
    let width = |(em, words, _, bold): &(f64, String, Colour, bool)| {
        let weight = if *bold { crate::sheet::font::Weight::Bold } else { crate::sheet::font::Weight::Regular };
        crate::sheet::font::width(words, weight, *em)
    };
    let high: f64 = form.iter().map(|line| line.0 * CAP + LEADING).sum();
    (form.iter().map(width).fold(0.0, f64::max), high)
}

fn write(form: &Form, place: &Box2, group: &mut Group) {
    let mut y = place.centre.y - size(form).1 / 2.0;
    for (em, words, colour, is_bold) in form {
        y += em * CAP + LEADING / 2.0;
        let at = PaperPoint::new(place.centre.x, y);
        let text = Text::new("area", at, *em, words).colour(*colour).align(Align::Middle).halo(HALO);
        group.push(if *is_bold { text.bold() } else { text });
        y += LEADING / 2.0;
    }
}

/// The code alone, inside; whether it had room.
pub(super) fn code(site: &Site<'_>, area: &AreaPlanOut, placer: &mut Placer, group: &mut Group) -> bool {
    forms(site, area).last().is_some_and(|form| inside(site, area, form, placer, group))
}

/// Writes a form inside its area, as near to its middle as can be; whether it had room.
fn inside(site: &Site<'_>, area: &AreaPlanOut, form: &Form, placer: &mut Placer, group: &mut Group) -> bool {
    let rings = rings_of(site, Some(area));
    let at = site.scale.paper(area.label);
    let (w, h) = size(form);
    let boxed = |(dx, dy): (f64, f64)| Box2 {
        centre: at.by(dx, dy),
        half_w: w / 2.0 + 0.03,
        half_h: h / 2.0 + 0.02,
        angle: 0.0,
    };
    let is_in = |b: &Box2| b.corners().into_iter().all(|corner| is_inside(corner, &rings));
    let place = placer.try_place(near().into_iter().map(boxed).filter(is_in));
    if let Some(place) = &place {
        write(form, place, group);
    }
    place.is_some()
}

/// The area's name inside it; in an area without room, outside with a leader.
pub(super) fn name(site: &Site<'_>, area: &AreaPlanOut, placer: &mut Placer, group: &mut Group) {
    if forms(site, area).iter().any(|form| inside(site, area, form, placer, group)) {
        return;
    }
    let rings = rings_of(site, Some(area));
    let at = site.scale.paper(area.label);
    let all: Vec<Vec<PaperPoint>> = site.plan.areas.iter().flat_map(|area| rings_of(site, Some(area))).collect();
    let form: Form = vec![(0.12, format!("{} {}", area.code, area.name), INK, true)];
    let (w, h) = size(&form);
    let from = std::iter::once(at).chain(near().into_iter().map(|(dx, dy)| at.by(dx, dy)));
    for from in from.filter(|p| is_inside(*p, &rings)).take(24) {
        let places = (1..=4).flat_map(|k| labels::further(from, w + 0.25 * f64::from(k), h + 0.25 * f64::from(k)));
        let places = places.map(|b| Box2 { half_w: w / 2.0 + 0.03, half_h: h / 2.0 + 0.02, ..b });
        // In another area it would name that.
        let places = places.filter(|b| b.corners().into_iter().chain([b.centre]).all(|p| !is_inside(p, &all)));
        if let Some((place, end)) = placer.try_leader(from, places) {
            group.push(Stroke::new(vec![from, end], 0.008, INK));
            group.push(Stroke::new(dot(from), 0.0, INK).closed().filled(INK));
            write(&form, &place, group);
            return;
        }
    }
    placer.drop_some(1);
}

fn dot(at: PaperPoint) -> Vec<PaperPoint> {
    super::marks::circle(at, 0.02)
}

/// Offsets about a place, nearest first.
fn near() -> Vec<(f64, f64)> {
    let steps = || (-14..=14).map(|k| f64::from(k) * 0.12);
    let mut all: Vec<(f64, f64)> = steps().flat_map(|dx| steps().map(move |dy| (dx, dy))).collect();
    all.sort_by(|p, q| p.0.hypot(p.1).total_cmp(&q.0.hypot(q.1)));
    all
}
