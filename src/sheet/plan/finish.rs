//! What does the crew that builds on the dig hold: how high is the finish, which way does it fall, how high are the steps?
//!
//! ```text
//!  ┌───────────────────────┬────────┐
//!  │ areas, finish heights │ legend │   one sheet; the same furniture and the same rules of room as the plan of the dig
//!  ├ north, bar ───────────┤ areas  │
//!  └───────────────────────┴────────┘
//! ```
//! At each stake in an area stands the finish, in the place of the cut: no cut is on this sheet, so neither crew can read the other's
//! number. Contours, arrows and steps are those of the finish. Heights to 0.01 ft or 0.001 m.

use super::boxes::{LeftOff, Pen, SAMPLE};
use super::details::thickness;
use super::{
    Depths, GREY, INK, Layout, PlanOptions, ProfileRoom, SMALL, STRIP, Site, areas, decimals, enlarged, frames,
    furniture, ground, keep, marks, scales, stakes, thin, water,
};
use crate::job::{DrainageOut, Outcome, PlanOut, StakeOut};
use crate::sheet::font::Weight;
use crate::sheet::page::{HEAD, body, drawing, head};
use crate::sheet::{Align, Colour, Drawing, Group, Item, Paper, PaperPoint, Rect, Stroke, Text};
use crate::units::{LengthUnit, fixed};

/// Width of the legend beside the plan; its height below it.
const BESIDE: f64 = 2.9;
const BELOW: f64 = 2.75;

/// The finish on one sheet, which will be sheet `number` of its set, and where stakes found no room for their height, in parts at a
/// larger scale; none where there is no finish.
#[must_use]
pub fn pages(outcome: &Outcome, paper: Paper, number: usize) -> Vec<Drawing> {
    let Some(plan) = outcome.plan.as_ref().filter(|p| !p.areas.is_empty()) else { return Vec::new() };
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let finished = finished(outcome, plan, unit);
    let thinned = thin::thinned(&finished);
    let (shown, beyond) = thinned.as_ref().map_or((&finished, 0), |(few, beyond)| (few, *beyond));
    let Some(plan) = &shown.plan else { return Vec::new() };
    let (layout, legend) = layout(paper);
    let said = scales::fit(shown, plan, unit, &layout.plan);
    let bounds = scales::Bounds::of(shown, plan);
    let scale = scales::about(&said, &bounds, &layout.plan);
    let site = Site {
        outcome: shown,
        plan,
        unit,
        scale,
        said: said.words.clone(),
        layout,
        paper,
        depths: Depths::Tape,
        rest: "the report",
        tile: None,
    };
    let labels = stakes::draw(&site);
    let left_off = LeftOff { bare: labels.bare + beyond, trenches: 0, dropped: labels.dropped };
    let mut title = Group::new("head");
    head(outcome, paper, "Finish grades", (1, 1), &mut title);
    let mut groups = vec![title, frames(&site)];
    groups.extend(ground::draw(&site));
    groups.extend(areas::draw(&site));
    groups.extend(keep::draw(&site));
    groups.push(ground::edge(&site));
    groups.extend(labels.groups);
    groups.push(furniture::strip(&site, left_off));
    groups.extend(legends(&site, &legend, left_off));
    groups.iter_mut().for_each(renamed);
    let whole = drawing(outcome, paper, "finish grades", (groups, said.words.clone(), labels.dropped));
    let options = PlanOptions { paper, ..PlanOptions::default() };
    let mut parts = if beyond == 0 { enlarged(shown, labels.bare, said, &options, number + 1) } else { Vec::new() };
    for part in &mut parts {
        part.title.clone_from(&whole.title);
        part.groups.iter_mut().for_each(renamed);
    }
    std::iter::once(whole).chain(parts).collect()
}

/// What stands at a stake here is a finish, not a cut.
fn renamed(group: &mut Group) {
    for item in &mut group.items {
        if let Item::Text(text) = item
            && text.role == "cut"
        {
            text.role = "finish";
        }
    }
}

fn layout(paper: Paper) -> (Layout, Vec<Rect>) {
    let room = body(paper);
    let room = Rect { y: room.y + HEAD, h: room.h - HEAD, ..room };
    let (plan, legend) = if paper.portrait {
        let half = (room.w - 0.2) / 2.0;
        let y = room.bottom() - BELOW;
        let boxes = vec![Rect::new(room.x, y, half, BELOW), Rect::new(room.x + half + 0.2, y, half, BELOW)];
        (Rect { h: room.h - BELOW - 0.1, ..room }, boxes)
    } else {
        let x = room.right() - BESIDE;
        (Rect { w: room.w - BESIDE - 0.15, ..room }, vec![Rect::new(x, room.y, BESIDE, room.h)])
    };
    let strip = Rect::new(plan.x, plan.bottom() - STRIP, plan.w, STRIP);
    let plan = Rect { h: plan.h - STRIP, ..plan };
    (Layout { plan, strip, profile: ProfileRoom::Nowhere, details: None, columns: legend.clone() }, legend)
}

/// The outcome as this crew needs it: the finish in the place of the dig.
fn finished(outcome: &Outcome, plan: &PlanOut, unit: LengthUnit) -> Outcome {
    let places = if unit == LengthUnit::Metre { 3 } else { 2 };
    let of_trench = |s: &StakeOut| s.notes.iter().any(|note| note.starts_with("trench bottom"));
    let stakes = outcome.stakes.iter().flatten().filter(|s| s.finish.is_some() && !of_trench(s));
    let stake = |s: &StakeOut| StakeOut {
        stake: s.stake.clone(),
        northing: s.northing,
        easting: s.easting,
        area: s.area.clone(),
        finish: s.finish,
        cut_text: s.finish.map(|z| fixed(z, places)),
        ..StakeOut::default()
    };
    let drains = outcome.drainage.iter().flat_map(|d| d.drains.iter().cloned()).collect();
    Outcome {
        spadework: outcome.spadework.clone(),
        job: outcome.job.clone(),
        datum: outcome.datum.clone(),
        units: outcome.units.clone(),
        stakes: Some(stakes.map(stake).collect()),
        volume: outcome.volume.clone(),
        drainage: Some(DrainageOut { drains, ..DrainageOut::default() }),
        plan: Some(PlanOut {
            subgrade: plan.finish.clone(),
            interval: plan.interval,
            edge: plan.edge.clone(),
            arrows: plan.finish_arrows.clone(),
            outlets: plan.outlets.clone(),
            benches: plan.benches.clone(),
            areas: plan.areas.clone(),
            steps: plan.finish_steps.clone(),
            keep_offs: plan.keep_offs.iter().filter(|k| k.what == "root circle").cloned().collect(),
            drains: plan.drains.clone(),
            sections: plan.sections.clone(),
            north: plan.north.clone(),
            ..PlanOut::default()
        }),
        ..Outcome::default()
    }
}

/// What the symbols mean, then the areas with their build-up, in the rooms there are.
fn legends(site: &Site<'_>, rooms: &[Rect], left_off: LeftOff) -> Vec<Group> {
    let pen =
        |id, room: &Rect| Pen { group: Group::new(id), x: room.x, y: room.y - 0.06, w: room.w, line: 1.32 * SMALL };
    let Some((first, last)) = rooms.first().zip(rooms.last()) else { return Vec::new() };
    let mut symbols = pen("legend", first);
    legend(site, left_off, &mut symbols);
    let mut names = pen("built", last);
    if rooms.len() == 1 {
        names.y = symbols.y + 0.12;
    }
    built(site, &mut names, last.bottom());
    vec![symbols.group, names.group]
}

fn legend(site: &Site<'_>, left_off: LeftOff, pen: &mut Pen) {
    let plan = site.plan;
    let unit = site.unit.length();
    pen.heading("FINISH: top of what is built");
    pen.y += 0.02;
    pen.entry(&format!("at a stake: height of the FINISH in {unit}, its name below"), |at, group| {
        let text = Text::new("legend", at.by(0.0, 0.05), 0.14, "100.00").bold().colour(INK);
        group.push(text.align(Align::Middle));
    });
    pen.entry("stake", marks::cross);
    pen.entry("edge of an area", line(areas::OUTLINE, INK));
    if areas::real_steps(site).next().is_some() {
        pen.entry("step in the finish, ticks on the LOWER side", |at, group| {
            areas::step_line(at.by(-SAMPLE, -0.03), at.by(SAMPLE, -0.03), -1.0, group);
        });
    }
    if !plan.subgrade.is_empty() {
        let step = fixed(plan.interval, decimals(plan.interval));
        pen.entry(&format!("finish contour, every {step} {unit}; each fifth heavy"), |at, group| {
            line(0.01, ground::SUBGRADE)(at.by(0.0, -0.03), group);
            line(0.02, ground::SUBGRADE)(at.by(0.0, 0.03), group);
        });
    }
    if !plan.arrows.is_empty() {
        pen.entry("slope of the finish, downhill", |at, group| marks::arrow(at, 90.0, group));
    }
    if !plan.drains.is_empty() {
        pen.entry("drain under it: dashed takes water, solid does not; inv: bottom of the pipe inside", |at, group| {
            let ends = [at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
            keep::pipe(&ends, true, group);
            keep::flow(at.by(0.08, 0.0), ends[0], ends[1], group);
        });
    }
    if water::has_nodes(site)[1] {
        pen.entry("CO: clean-out, bring its cap to the finish", |at, group| water::node(at, true, group));
    }
    if !plan.outlets.is_empty() {
        pen.tall_entry("outlet", 0.035, marks::outlet);
    }
    if plan.benches.iter().any(|&(_, n, e, _)| site.shows((n, e))) {
        pen.tall_entry("bench and its height", 0.02, marks::bench);
    }
    if plan.keep_offs.iter().any(|k| k.what == "root circle") {
        pen.entry("root circle: no machine, no piles inside", |at, group| {
            let ends = vec![at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)];
            group.push(Stroke::new(ends, 0.022, keep::ROOT).dashed(keep::ROOT_DASH));
        });
    }
    if let Some(datum) = &site.outcome.datum {
        pen.y += 0.03;
        pen.words("legend", &format!("Datum: {datum}."), Weight::Regular, GREY, 0.0);
    }
    let words = match (left_off.bare, left_off.dropped) {
        (0, 0) => return,
        (0, dropped) => format!("{dropped} small labels left off for want of room."),
        (bare, _) => format!("{bare} stakes stand WITHOUT their finish for want of room: print on larger paper."),
    };
    pen.words("legend", &words, Weight::Bold, INK, 0.0);
}

fn line(width: f64, colour: Colour) -> impl FnOnce(PaperPoint, &mut Group) {
    move |at, group| group.push(Stroke::new(vec![at.by(-SAMPLE, 0.0), at.by(SAMPLE, 0.0)], width, colour))
}

/// Each area: code, name, build-up with its thickness, fall.
fn built(site: &Site<'_>, pen: &mut Pen, foot: f64) {
    pen.heading("Areas and what they are built of");
    let all = &site.plan.areas;
    for (k, area) in all.iter().enumerate() {
        let section = site.plan.sections.iter().find(|s| s.0 == area.section);
        let thick = section.map(|s| thickness(s.1.iter().map(|l| l.1).sum(), site.unit)).unwrap_or_default();
        let fall = site.outcome.volume.iter().flat_map(|v| &v.areas).find(|a| a.name == area.name);
        let fall = fall.map(|a| format!("; falls {} % {}", fixed(a.finish_slope * 100.0, 2), way(a.finish_azimuth)));
        let words = format!("{} {}: {}, {thick} thick{}", area.code, area.name, area.section, fall.unwrap_or_default());
        let lines = crate::sheet::font::wrap(&words, Weight::Regular, SMALL, pen.w).len() as f64;
        if pen.y + (lines + 1.0) * pen.line > foot && k + 1 < all.len() {
            let words = format!("and {} areas more: see the account", all.len() - k);
            pen.words("built", &words, Weight::Bold, INK, 0.0);
            return;
        }
        pen.words("built", &words, Weight::Regular, INK, 0.0);
        pen.y += 0.025;
    }
}

/// The wind an azimuth points to.
fn way(azimuth: f64) -> &'static str {
    const WORDS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 8 by construction")]
    let k = ((azimuth.rem_euclid(360.0) / 45.0).round() as usize) % 8;
    WORDS[k]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::page::tests::{faults, papers};
    use crate::sheet::sample::site;

    /// Sample jobs with the finish on the plan.
    fn jobs() -> [Outcome; 3] {
        [site::hall(), site::court(), site::drained()].map(|mut outcome| {
            if let Some(plan) = &mut outcome.plan {
                plan.finish = plan.subgrade.clone();
                plan.finish_arrows = plan.arrows.clone();
                plan.finish_steps = plan.steps.clone();
            }
            outcome
        })
    }

    #[test]
    fn nothing_overlaps_leaves_the_page_or_is_too_small() {
        for outcome in jobs() {
            for paper in papers() {
                for sheet in pages(&outcome, paper, 1) {
                    assert_eq!(faults(&sheet), Vec::<String>::new());
                }
            }
        }
    }

    #[test]
    fn the_finish_stands_at_the_stakes_and_no_cut_anywhere() {
        for outcome in jobs() {
            let sheet = &pages(&outcome, Paper::landscape(crate::sheet::PaperSize::Tabloid), 1)[0];
            assert!(sheet.texts().all(|t| t.role != "cut"));
            let shown = sheet.texts().filter(|t| t.role == "finish").count();
            let stakes = outcome.stakes.iter().flatten().filter(|s| s.finish.is_some()).count();
            assert!(shown > 0 && shown <= stakes, "{shown} of {stakes}");
            let is_finish = |t: &&Text| {
                let places = if outcome.units.length == "m" { 3 } else { 2 };
                outcome.stakes.iter().flatten().any(|s| s.finish.is_some_and(|z| fixed(z, places) == t.words))
            };
            assert!(sheet.texts().filter(|t| t.role == "finish").all(|t| is_finish(&t)));
        }
    }

    #[test]
    fn the_bar_is_as_long_as_it_says() {
        for paper in papers() {
            let sheet = &pages(&site::hall(), paper, 1)[0];
            let strip = sheet.group("scale-strip").expect("a strip");
            let said = strip.items.iter().find_map(|i| match i {
                Item::Text(t) => t.words.strip_prefix("this bar measures ")?.split(' ').next()?.parse::<f64>().ok(),
                _ => None,
            });
            let blocks = strip.items.iter().filter_map(|i| match i {
                Item::Stroke(s) if s.closed && s.points.len() == 4 => Some(s.points.iter().map(|p| p.x)),
                _ => None,
            });
            let (low, high) = blocks.flatten().fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(x), h.max(x)));
            assert!((high - low - said.expect("said")).abs() * 25.4 < 0.13, "{paper:?}");
        }
    }
}
