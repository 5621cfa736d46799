//! What does the plan of a dig look like on one sheet?
//!
//! ```text
//!  ┌──────────────────────────┬─────────┐
//!  │ plan, to scale, north up │ legend  │
//!  │                          │ volumes │    portrait: the boxes stand
//!  ├── north, scale bar ──────┤ cautions│    below, in two columns
//!  │ profile                  │ title   │
//!  └──────────────────────────┴─────────┘
//! ```
//! Everything drawn is read from the outcome; nothing is computed here but places on paper. The scale is the largest
//! of the standard ones at which the ground and its labels fit. One thing is big: the cut at each stake.
//! A job with areas also shows the areas, what is left alone, the drains and the build-ups.
//! Order of importance for room: stakes' cuts, outlets and benches, nodes and falls of drains, stakes of
//! trenches, level labels, slope arrows.
//! Units: job units on the ground, inches on paper. Sign: as in the outcome, cut and fill are two numbers.

mod areas;
mod boxes;
mod details;
mod furniture;
mod ground;
mod keep;
mod legend;
mod marks;
mod profile;
mod quantities;
mod scales;
mod stakes;
mod thin;
mod water;

pub(super) use details::thickness;
pub(super) use scales::standard as standard_scale;

use super::{Colour, Drawing, Group, Paper, PaperPoint, PaperSize, Rect, Scale, Stroke, font};
use crate::job::{Outcome, PlanOut};
use crate::units::LengthUnit;

/// What the person may choose.
#[derive(Clone, Copy, Debug)]
pub struct PlanOptions {
    /// The paper; tabloid with its long side up unless said.
    pub paper: Paper,
}

impl Default for PlanOptions {
    fn default() -> Self {
        Self { paper: Paper::landscape(PaperSize::Tabloid) }
    }
}

/// Smallest words, in inches of em: a little above the least allowed.
const SMALL: f64 = 0.1;
/// Words of headings.
const HEADING: f64 = 0.125;
/// White paper kept free all round.
const MARGIN: f64 = 0.4;
/// For words and lines that must be seen.
const INK: Colour = Colour(17, 17, 17);
/// For what only explains.
const GREY: Colour = Colour(85, 85, 85);
/// The ground as it is.
const EARTH: Colour = Colour(120, 98, 76);
/// For frames.
const FRAME: Colour = Colour(150, 150, 150);

/// Where things stand on the sheet.
#[derive(Clone, Debug)]
struct Layout {
    plan: Rect,
    strip: Rect,
    profile: ProfileRoom,
    details: Option<(Rect, details::Plan)>,
    columns: Vec<Rect>,
}

/// Where the profile stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum ProfileRoom {
    Nowhere,
    Below(Rect),
    /// Above the title, that high.
    InColumn(f64),
}

/// Everything a part of the sheet needs to know.
#[derive(Debug)]
struct Site<'a> {
    outcome: &'a Outcome,
    plan: &'a PlanOut,
    unit: LengthUnit,
    scale: Scale,
    /// How the scale is said.
    said: String,
    layout: Layout,
    paper: Paper,
}

impl Site<'_> {
    /// Whether the job says areas; else two bare surfaces.
    fn has_areas(&self) -> bool {
        !self.plan.areas.is_empty()
    }
}

/// The plan sheet of an outcome. A part that was not computed is left out and its room with it.
#[must_use]
pub fn plan(outcome: &Outcome, options: &PlanOptions) -> Drawing {
    let thinned = thin::thinned(outcome);
    let (outcome, beyond) = thinned.as_ref().map_or((outcome, 0), |(few, beyond)| (few, *beyond));
    let nothing = PlanOut::default();
    let geometry = outcome.plan.as_ref().unwrap_or(&nothing);
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let sites = arrangements(outcome, geometry, unit, options.paper);
    // The first arrangement in which every stake has all its words, else the one with fewest bare stakes.
    let mut best: Option<(Site<'_>, stakes::Labels)> = None;
    for site in sites {
        let labels = stakes::draw(&site);
        let lack = |labels: &stakes::Labels| (labels.bare, labels.is_cramped);
        let is_whole = lack(&labels) == (0, false);
        if best.as_ref().is_none_or(|(_, held)| lack(&labels) < lack(held)) {
            best = Some((site, labels));
        }
        if is_whole {
            break;
        }
    }
    let Some((site, labels)) = best else { unreachable!("This is a bug in spadework: a sheet without arrangement") };

    let left_off = boxes::LeftOff { bare: labels.bare + beyond, trenches: labels.trenches, dropped: labels.dropped };
    let mut groups = vec![frames(&site)];
    groups.extend(ground::draw(&site));
    if site.has_areas() {
        groups.extend(areas::draw(&site));
        groups.extend(water::ground(&site));
        groups.extend(keep::draw(&site));
        groups.push(ground::edge(&site));
    }
    groups.extend(labels.groups);
    groups.push(furniture::strip(&site));
    if let ProfileRoom::Below(room) = site.layout.profile {
        groups.push(profile::draw(&site, room));
    }
    if let Some((room, arranged)) = &site.layout.details {
        groups.push(details::draw(&site, *room, arranged));
    }
    groups.extend(boxes::draw(&site, left_off));
    Drawing { paper: options.paper, title: title(outcome), groups, scale: site.said, dropped: labels.dropped }
}

fn title(outcome: &Outcome) -> String {
    let job = if outcome.job.trim().is_empty() { "Unnamed job" } else { outcome.job.trim() };
    format!("{}: plan of the dig", font::printable(job))
}

/// Ways to divide the paper, best first: the profile where it leaves the ground its largest scale (of equals below),
/// then, if that makes the ground larger still, no profile.
fn arrangements<'a>(outcome: &'a Outcome, plan: &'a PlanOut, unit: LengthUnit, paper: Paper) -> Vec<Site<'a>> {
    let has_profile = plan.profile.len() > 1;
    let build = |layout: Layout| {
        let (scale, said) = scales::fit(outcome, plan, unit, &layout.plan);
        Site { outcome, plan, unit, scale, said, layout, paper }
    };
    // Room that the boxes of a job with areas take more than others.
    let of_areas = (!plan.areas.is_empty()).then(|| 0.9 + 0.17 * water::rows(outcome, plan) as f64);
    let site = |where_profile: Option<bool>| {
        build(layout(paper, where_profile.is_some(), where_profile == Some(true), of_areas))
    };
    let size = |site: &Site<'_>| site.scale.inches(1.0);
    let bare = site(None);
    if let Some(layout) = with_details(&bare.layout, plan, unit, has_profile) {
        let detailed = build(layout);
        // Two steps of scale are too much to pay for the details.
        return if size(&detailed) > 0.6 * size(&bare) { vec![detailed] } else { vec![bare] };
    }
    if !has_profile {
        return vec![bare];
    }
    let mut first = site(Some(false));
    let beside = site(Some(true));
    if !paper.portrait && beside.layout.columns[0].h > 9.0 && size(&beside) > size(&first) {
        first = beside;
    }
    if size(&bare) > size(&first) { vec![first, bare] } else { vec![first] }
}

/// The build-ups below the plan, and the profile to their left if there is room.
fn with_details(bare: &Layout, plan: &PlanOut, unit: LengthUnit, has_profile: bool) -> Option<Layout> {
    const GAP: f64 = 0.1;
    const PROFILE: f64 = 3.2;
    let w = bare.plan.w;
    let details = details::arranged(plan, unit, w)?;
    let (left, wide) = (w - details.w - GAP, details.w);
    let has_profile = has_profile && left >= PROFILE;
    let h = if has_profile { details.h.max(1.75) } else { details.h };
    let mut layout = bare.clone();
    layout.plan.h -= h + GAP;
    layout.strip.y -= h + GAP;
    let y = layout.strip.bottom() + GAP;
    if has_profile {
        layout.profile = ProfileRoom::Below(Rect::new(bare.plan.x, y, left, h));
        layout.details = Some((Rect::new(bare.plan.x + left + GAP, y, wide, h), details));
    } else {
        layout.details = Some((Rect::new(bare.plan.x, y, w, h), details));
    }
    (layout.plan.h > 2.0).then_some(layout)
}

fn layout(paper: Paper, has_profile: bool, is_beside: bool, of_areas: Option<f64>) -> Layout {
    let (w, h) = paper.inches();
    let sheet = Rect::new(0.0, 0.0, w, h).inset(MARGIN);
    let (gap, strip_h) = (0.1, 0.62);
    let (left, columns) = if paper.portrait {
        let boxes_h = if h > 14.0 { 4.7 } else { 4.1 } + of_areas.unwrap_or(0.0);
        let half = (sheet.w - gap) / 2.0;
        let y = sheet.bottom() - boxes_h;
        let columns = vec![Rect::new(sheet.x, y, half, boxes_h), Rect::new(sheet.x + half + gap, y, half, boxes_h)];
        (Rect::new(sheet.x, sheet.y, sheet.w, sheet.h - boxes_h - gap), columns)
    } else if of_areas.is_some() && w < 14.0 {
        // The column alone cannot hold all boxes of a job with areas.
        let (column, boxes_h) = (3.45, 2.75);
        let left = Rect::new(sheet.x, sheet.y, sheet.w - column - gap, sheet.h);
        let below = Rect::new(left.x, left.bottom() - boxes_h, left.w, boxes_h);
        let columns = vec![Rect::new(sheet.right() - column, sheet.y, column, sheet.h), below];
        (Rect { h: left.h - boxes_h - gap, ..left }, columns)
    } else {
        let column = if w > 14.0 { 3.9 } else { 3.45 };
        let columns = vec![Rect::new(sheet.right() - column, sheet.y, column, sheet.h)];
        (Rect::new(sheet.x, sheet.y, sheet.w - column - gap, sheet.h), columns)
    };
    let is_below = has_profile && !is_beside;
    let profile_h = if left.h > 7.8 { 1.9 } else { 1.4 };
    let plan_h = left.h - strip_h - if is_below { profile_h + gap } else { 0.0 };
    let profile = match (has_profile, is_beside) {
        (false, _) => ProfileRoom::Nowhere,
        (true, false) => ProfileRoom::Below(Rect::new(left.x, left.bottom() - profile_h, left.w, profile_h)),
        (true, true) => ProfileRoom::InColumn(1.75),
    };
    let strip = Rect::new(left.x, left.y + plan_h, left.w, strip_h);
    Layout { plan: Rect::new(left.x, left.y, left.w, plan_h), strip, profile, details: None, columns }
}

/// A frame round the plan with its strip.
fn frames(site: &Site<'_>) -> Group {
    let mut group = Group::new("frames");
    let Layout { plan, strip, .. } = &site.layout;
    group.push(frame(Rect::new(plan.x, plan.y, plan.w, plan.h + strip.h)));
    group.push(Stroke::new(
        vec![PaperPoint::new(strip.x, strip.y), PaperPoint::new(strip.right(), strip.y)],
        0.006,
        FRAME,
    ));
    group
}

fn frame(r: Rect) -> Stroke {
    Stroke::new(r.corners().to_vec(), 0.01, FRAME).closed()
}

/// Decimals a height needs at an interval: 0.25 needs two.
fn decimals(interval: f64) -> usize {
    (0..4_usize)
        .find(|&d| {
            let scaled = interval * 10_f64.powi(i32::try_from(d).unwrap_or(0));
            (scaled - scaled.round()).abs() < 1e-6
        })
        .unwrap_or(4)
}

#[cfg(test)]
mod tests;
