//! What does each symbol on the plan mean?
//!
//! One row for each symbol that is used, none for any other. Units: inches of paper.

use super::areas::{self, BATTER_DASH, OUTLINE, OVER_DASH, OVER_WIDTH};
use super::boxes::{LeftOff, Pen, SAMPLE};
use super::ground::{self, BREAK_DASH, BREAK_WIDTH, EDGE_WIDTH, EXISTING_DASH, HATCH, HATCH_GAP, SUBGRADE, ZERO_DASH};
use super::stakes::{is_dug, is_hand_dug, is_stoned};
use super::{EARTH, GREY, INK, ProfileRoom, Site, cuts, decimals, keep, marks, water};
use crate::job::KeepOffOut;
use crate::sheet::font::Weight;
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text, hatch, sections};
use crate::units::{LengthUnit, fixed};

fn line(width: f64, colour: Colour, dash: &'static [f64]) -> impl FnOnce(PaperPoint, &mut Group) {
    move |at, group| {
        let ends = vec![at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
        group.push(Stroke::new(ends, width, colour).dashed(dash));
    }
}

/// Three depths side by side.
fn swatches(site: &Site<'_>, side: f64, is_hatched: bool) -> impl FnOnce(PaperPoint, &mut Group) {
    let most = ground::deepest(site);
    move |at, group| {
        for (k, part) in [0.12, 0.5, 1.0].into_iter().enumerate() {
            let r = Rect::new(at.x - SAMPLE + k as f64 * 0.18, at.y - 0.055, 0.18, 0.11);
            let colour = ground::tint(side * part * most, most);
            group.push(Stroke::new(r.corners().to_vec(), 0.0, colour).closed().filled(colour));
        }
        let all = Rect::new(at.x - SAMPLE, at.y - 0.055, 2.0 * SAMPLE, 0.11).corners().to_vec();
        if is_hatched {
            for pair in hatch::lines(std::slice::from_ref(&all), HATCH_GAP) {
                group.push(Stroke::new(pair.to_vec(), 0.007, HATCH));
            }
        }
        group.push(Stroke::new(all, 0.005, GREY).closed());
    }
}

/// The rows.
pub(super) fn draw(site: &Site<'_>, LeftOff { bare, trenches, dropped }: LeftOff, pen: &mut Pen) {
    let plan = site.plan;
    pen.heading("Legend");
    pen.y += 0.02;
    let stakes = site.outcome.stakes.as_deref().unwrap_or_default();
    if stakes.iter().any(|s| s.cut_text.is_some()) {
        let how = if site.unit == LengthUnit::Metre { "metres" } else { "feet-inches" };
        let to = if site.has_areas() { "what the bucket DIGS TO" } else { "SUBGRADE" };
        let what = format!("at a stake: C cut, F fill, from the GROUND AT THE STAKE down (up) to {to}, in {how}");
        pen.entry(&what, |at, group| {
            let text = Text::new("legend", at.by(0.0, 0.05), 0.14, "C  F").bold().colour(INK).align(Align::Middle);
            group.push(text);
        });
    }
    if !stakes.is_empty() {
        pen.entry("stake; beside it its name and, in grey, the ground", marks::cross);
    }
    if site.has_areas() && stakes.iter().any(|s| !is_dug(s)) {
        pen.entry("stake outside all areas: ground only", marks::small_cross);
    }
    if stakes.iter().any(is_stoned) {
        pen.entry("dig deeper than subgrade: stone comes back, see stake list", marks::stone);
    }
    if stakes.iter().any(is_hand_dug) {
        pen.entry("HAND DIG at this stake, see stake list", marks::hand);
    }
    let outer = |side: f64| plan.tint.iter().map(|t| t.depth * side).fold(0.0, f64::max);
    if outer(1.0) > 0.0 {
        pen.entry("ground above subgrade, darker where deeper", swatches(site, 1.0, false));
    }
    if outer(-1.0) > 0.0 {
        pen.entry("ground below subgrade, HATCHED", swatches(site, -1.0, true));
    }
    if !plan.zero_line.is_empty() {
        pen.entry("cut turns to fill", line(0.016, INK, ZERO_DASH));
    }
    if !plan.edge.is_empty() {
        pen.entry("edge of the dig", line(EDGE_WIDTH, INK, &[]));
    }
    if site.has_areas() {
        pen.entry("edge of an area", line(OUTLINE, INK, &[]));
    }
    if !plan.over_dig.is_empty() {
        pen.entry("limit of the over-dig", line(OVER_WIDTH, INK, OVER_DASH));
    }
    if !plan.batter.is_empty() {
        pen.entry("top of the sloped sides", line(OVER_WIDTH, INK, BATTER_DASH));
    }
    if areas::real_steps(site).next().is_some() {
        pen.entry("step in the subgrade, ticks on the LOWER side", |at, group| {
            areas::step_line(at.by(-SAMPLE, -0.03), at.by(SAMPLE, -0.03), -1.0, group);
        });
    }
    keep_offs(site, pen);
    for (perforated, what) in [(true, "drain, perforated: takes water"), (false, "drain, solid")] {
        if plan.drains.iter().any(|d| d.perforated == perforated) {
            pen.entry(what, |at, group| {
                let ends = [at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
                keep::pipe(&ends, perforated, group);
                keep::flow(at.by(0.08, 0.0), ends[0], ends[1], group);
            });
        }
    }
    waters(site, pen);
    let step = format!("every {} {}", fixed(plan.interval, decimals(plan.interval)), site.unit.length());
    if !plan.subgrade.is_empty() {
        pen.entry(&format!("subgrade contour, {step}; each fifth heavy"), |at, group| {
            line(0.01, SUBGRADE, &[])(at.by(0.0, -0.03), group);
            line(0.02, SUBGRADE, &[])(at.by(0.0, 0.03), group);
        });
    }
    if !plan.existing.is_empty() {
        pen.entry(&format!("(existing) contour, {step}"), line(0.009, EARTH, EXISTING_DASH));
    }
    if !plan.highs.is_empty() {
        pen.entry("highest place of its area: subgrade there", marks::high);
    }
    if !sections::cuts(site.outcome).is_empty() {
        pen.entry("a section is cut here: see its sheet", |at, group| {
            cuts::mark(at.by(-0.12, 0.0), at.by(SAMPLE, 0.0), group);
            let letter = Text::new("legend", at.by(-0.2, 0.045), 0.125, "A").bold().colour(INK).align(Align::Middle);
            group.push(letter);
        });
    }
    if !plan.breaks.is_empty() {
        pen.entry("break in the ground, as surveyed", line(BREAK_WIDTH, EARTH, BREAK_DASH));
    }
    if !plan.arrows.is_empty() {
        pen.entry("slope of the subgrade, downhill", |at, group| marks::arrow(at, 90.0, group));
    }
    if !plan.outlets.is_empty() {
        pen.tall_entry("outlet, with the subgrade there", 0.035, marks::outlet);
    }
    let (on, off): (Vec<_>, Vec<_>) = plan.benches.iter().partition(|&&(_, n, e, _)| site.shows((n, e)));
    if !on.is_empty() {
        pen.tall_entry("bench and its height", 0.02, marks::bench);
    }
    if !plan.lows.is_empty() {
        pen.entry("low: water stays here", marks::low);
    }
    if marks::waters(site).next().is_some() {
        pen.entry("there it runs over", marks::spill);
    }
    for (name, _, _, height) in off {
        pen.words(
            "legend",
            &format!("Bench {name} {} lies off this sheet.", fixed(*height, 2)),
            Weight::Regular,
            INK,
            0.0,
        );
    }
    if site.layout.profile == ProfileRoom::Nowhere && plan.profile.len() > 1 {
        pen.y += 0.04;
        pen.words("legend", "The profile is left off for a larger plan.", Weight::Regular, INK, 0.0);
    }
    if site.layout.details.is_none() && !plan.sections.is_empty() {
        pen.y += 0.04;
        let words = format!("The build-ups are left off for a larger plan: see {}.", site.rest);
        pen.words("legend", &words, Weight::Regular, INK, 0.0);
    }
    if trenches > 0 {
        pen.y += 0.04;
        let (what, stand) = if trenches == 1 { ("stake", "is") } else { ("stakes", "are") };
        let words = format!("{trenches} {what} of trenches {stand} left to the stake table for want of room.");
        pen.words("legend", &words, Weight::Regular, INK, 0.0);
    }
    let left_off = match (bare, dropped) {
        (0, 0) => return,
        (0, _) => format!("{dropped} small labels left off for want of room: see the stake table."),
        _ => format!("{bare} stakes stand WITHOUT their cut for want of room: see the stake table, or print larger."),
    };
    pen.y += 0.04;
    pen.words("legend", &left_off, Weight::Bold, INK, 0.0);
}

/// Nodes of drains, standing water, ground without a way out.
fn waters(site: &Site<'_>, pen: &mut Pen) {
    let [has_nodes, has_clean_outs] = water::has_nodes(site);
    if has_nodes {
        let what = if has_clean_outs { "node of a drain; CO: with a clean-out; inv" } else { "node of a drain; inv" };
        pen.entry(&format!("{what}: bottom of the pipe inside"), |at, group| {
            water::node(at.by(-0.1, 0.0), false, group);
            if has_clean_outs {
                water::node(at.by(0.1, 0.0), true, group);
            }
        });
    }
    let ponds = site.outcome.drainage.iter().flat_map(|d| d.ponds.iter().flatten());
    if ponds.filter(|p| p.inside.is_none()).any(|p| !p.rings.is_empty()) {
        pen.entry("water stands: its edge", |at, group| {
            let ends = [at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
            group.push(Stroke::new(water::wavy(&ends), 0.016, water::POND));
        });
    }
    if !site.plan.unreached.is_empty() {
        pen.entry("water reaches no outlet", |at, group| {
            let patch = Rect::new(at.x - SAMPLE, at.y - 0.055, 2.0 * SAMPLE, 0.11).corners().to_vec();
            for pair in hatch::across(&[patch], water::LOST_GAP) {
                group.push(Stroke::new(pair.to_vec(), 0.008, water::LOST));
            }
        });
    }
}

/// Root circles, footings, and one row for each colour of marked line.
fn keep_offs(site: &Site<'_>, pen: &mut Pen) {
    let all = &site.plan.keep_offs;
    let ends = |at: PaperPoint| [at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
    if all.iter().any(|k| k.what == "root circle") {
        pen.entry("root circle: no machine inside", line(0.022, keep::ROOT, keep::ROOT_DASH));
    }
    if all.iter().any(|k| k.what == "footing") {
        pen.entry("footing: dig nothing under it", |at, group| {
            keep::footing(&ends(at.by(0.0, -0.035)), group);
        });
    }
    let is_utility = |k: &&KeepOffOut| !matches!(k.what.as_str(), "root circle" | "footing");
    let mut seen: Vec<Option<Colour>> = Vec::new();
    for k in all.iter().filter(is_utility) {
        let colour = keep::utility_colour(&k.name);
        if seen.contains(&colour) {
            continue;
        }
        seen.push(colour);
        let what = if colour.is_some() { k.name.as_str() } else { "utility" };
        let words = format!("{what}, as marked; fine line: hand dig this near. No depth known");
        pen.entry(&words, |at, group| keep::utility(&ends(at), colour, group));
    }
}
