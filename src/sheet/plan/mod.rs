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
mod cuts;
mod details;
pub mod finish;
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
mod tiles;
mod water;

pub(super) use details::thickness;
pub use scales::SaidScale;
pub(super) use thin::deepest;

use super::{Colour, Drawing, Group, Paper, PaperPoint, PaperSize, Rect, Scale, Stroke, font};
use crate::job::{Outcome, PlanOut};
use crate::units::{LengthUnit, fixed};

/// How the depth at a stake is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Depths {
    /// Feet-inches to the eighth; metres in metres.
    #[default]
    Tape,
    /// The job's unit with its decimals: tenths of a foot.
    Tenths,
}

/// What the person may choose.
#[derive(Clone, Debug)]
pub struct PlanOptions {
    /// The paper; tabloid with its long side up unless said.
    pub paper: Paper,
    /// The scale; the largest that shows all on one sheet unless said.
    pub scale: Option<SaidScale>,
    /// How depths are written.
    pub depths: Depths,
    /// Whether the build-ups stand below the plan; in a set they have a sheet of their own.
    pub details: bool,
}

impl Default for PlanOptions {
    fn default() -> Self {
        Self { paper: Paper::landscape(PaperSize::Tabloid), scale: None, depths: Depths::Tape, details: true }
    }
}

/// A scale at which the ground would take too many sheets.
#[derive(Clone, Debug, PartialEq)]
pub struct TooManySheets {
    /// The scale asked for.
    pub scale: String,
    /// How many sheets it would take.
    pub sheets: usize,
    /// The scale at which one sheet is enough.
    pub fits: String,
}

impl std::fmt::Display for TooManySheets {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { scale, sheets, fits } = self;
        write!(f, "at {scale} the ground takes {sheets} sheets, more than {MOST_SHEETS}; at {fits} it takes one")
    }
}

impl std::error::Error for TooManySheets {}

/// The build-ups in use, to one stated scale, in a frame `w` inches wide with its corner at the origin; and how high it is.
pub(super) fn build_ups(outcome: &Outcome, paper: Paper, w: f64) -> Option<(Group, f64)> {
    let plan = outcome.plan.as_ref()?;
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let arranged = details::arranged(plan, unit, w)?;
    let scale = Scale::new(1.0, (0.0, 0.0).into(), PaperPoint::new(0.0, 0.0));
    let (layout, said) = (part_layout(paper), String::new());
    let site =
        Site { outcome, plan, unit, scale, said, layout, paper, depths: Depths::Tape, rest: "the report", tile: None };
    Some((details::draw(&site, Rect::new(0.0, 0.0, w, arranged.h), &arranged), arranged.h))
}

/// The largest standard scale at which so many job units fit an inch of paper: job units to the inch, and how it is said.
pub(super) fn standard_scale(need: f64, unit: LengthUnit) -> (f64, String) {
    let said = scales::standard(need, unit);
    (said.units_per_inch, said.words)
}

/// More sheets than this nobody lays side by side.
const MOST_SHEETS: usize = 24;
/// More than this many are not drawn unasked.
const MOST_UNASKED: usize = 6;

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
    depths: Depths,
    /// Where what has no room here is read.
    rest: &'static str,
    /// The part of the ground that is shown, if not all.
    tile: Option<tiles::Tile>,
}

impl Site<'_> {
    /// Whether the job says areas; else two bare surfaces.
    fn has_areas(&self) -> bool {
        !self.plan.areas.is_empty()
    }

    /// The depth at a stake as it is written: `C 1-1 1/4`, or `C 1.10`.
    fn cut(&self, stake: &crate::job::StakeOut) -> Option<String> {
        let said = stake.cut_text.clone()?;
        if self.depths == Depths::Tape || self.unit == LengthUnit::Metre {
            return Some(said);
        }
        match (stake.cut, stake.fill) {
            (Some(cut), _) if cut > 0.0 => Some(format!("C {}", fixed(cut, 2))),
            (_, Some(fill)) if fill > 0.0 => Some(format!("F {}", fixed(fill, 2))),
            _ => Some(said),
        }
    }
}

/// The plan of an outcome on one sheet. A part that was not computed is left out and its room with it.
#[must_use]
pub fn plan(outcome: &Outcome, options: &PlanOptions) -> Drawing {
    let thinned = thin::thinned(outcome);
    let (outcome, beyond) = thinned.as_ref().map_or((outcome, 0), |(few, beyond)| (few, *beyond));
    whole(outcome, beyond, options).0
}

/// The plan on as many sheets as it takes: one with everything, legend and cautions. Where that is not possible at the scale that was
/// said, or where stakes found no room for their cut, the ground follows in parts at a larger scale, with match lines.
///
/// # Errors
/// The scale said would take more sheets than anybody lays side by side.
pub fn plans(outcome: &Outcome, options: &PlanOptions) -> Result<Vec<Drawing>, TooManySheets> {
    let thinned = thin::thinned(outcome);
    let (outcome, beyond) = thinned.as_ref().map_or((outcome, 0), |(few, beyond)| (few, *beyond));
    let nothing = PlanOut::default();
    let geometry = outcome.plan.as_ref().unwrap_or(&nothing);
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let room = part_layout(options.paper).plan;
    if let Some(said) = &options.scale {
        let fits = scales::fit(outcome, geometry, unit, &bare_layout(outcome, geometry, options.paper).plan);
        if fits.units_per_inch <= said.units_per_inch * (1.0 + 1e-9) {
            return Ok(vec![whole(outcome, beyond, options).0]);
        }
        let grid = tiles::Grid::new(outcome, geometry, said, &room, 2);
        if grid.len() > MOST_SHEETS {
            return Err(TooManySheets { scale: said.words.clone(), sheets: grid.len(), fits: fits.words });
        }
        let (overview, ..) = whole(outcome, beyond, &PlanOptions { scale: None, ..options.clone() });
        let parts = parts(outcome, &grid, said, options).0;
        return Ok(std::iter::once(overview).chain(parts).collect());
    }
    let (overview, bare, said) = whole(outcome, beyond, options);
    let parts = if beyond == 0 { enlarged(outcome, bare, said, options, 2) } else { Vec::new() };
    Ok(std::iter::once(overview).chain(parts).collect())
}

/// The ground in parts at the next larger scales until no stake stands without its words, where `bare` do at `said`; sheets from
/// `first` on. None where that does not help.
fn enlarged(outcome: &Outcome, bare: usize, mut said: SaidScale, options: &PlanOptions, first: usize) -> Vec<Drawing> {
    let nothing = PlanOut::default();
    let geometry = outcome.plan.as_ref().unwrap_or(&nothing);
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let room = part_layout(options.paper).plan;
    let mut best: (Vec<Drawing>, usize) = (Vec::new(), bare);
    while best.1 > 0 {
        said = said.larger(unit);
        let grid = tiles::Grid::new(outcome, geometry, &said, &room, first);
        if grid.len() > MOST_UNASKED {
            break;
        }
        if grid.len() > 1 {
            let (drawn, left) = parts(outcome, &grid, &said, options);
            if left < best.1 {
                best = (drawn, left);
            }
        }
    }
    best.0
}

/// The paper the way round that shows the ground larger; of equals the way it lies.
#[must_use]
pub fn turned(outcome: &Outcome, paper: Paper) -> Paper {
    let nothing = PlanOut::default();
    let geometry = outcome.plan.as_ref().unwrap_or(&nothing);
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let other = Paper { portrait: !paper.portrait, ..paper };
    let per_inch = |paper| {
        let room = bare_layout(outcome, geometry, paper).plan;
        scales::fit(outcome, geometry, unit, &room).units_per_inch
    };
    if per_inch(other) < per_inch(paper) * (1.0 - 1e-9) { other } else { paper }
}

/// The sheets of all parts, and how many stakes have no words on any.
fn parts(outcome: &Outcome, grid: &tiles::Grid, said: &SaidScale, options: &PlanOptions) -> (Vec<Drawing>, usize) {
    let drawn = grid.tiles().map(|tile| {
        let part = tile.part_of(outcome);
        let nothing = PlanOut::default();
        let plan = part.plan.as_ref().unwrap_or(&nothing);
        let layout = part_layout(options.paper);
        let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
        let scale = scales::about(said, &tile.bounds(), &layout.plan);
        let (paper, depths) = (options.paper, options.depths);
        let site = Site {
            outcome: &part,
            plan,
            unit,
            scale,
            said: said.words.clone(),
            layout,
            paper,
            depths,
            rest: rest(options),
            tile: Some(tile.clone()),
        };
        let labels = stakes::draw(&site);
        let bare = labels.bare;
        (drawing(site, labels, 0), bare)
    });
    drawn.fold((Vec::new(), 0), |(mut sheets, bare), (sheet, more)| {
        sheets.push(sheet);
        (sheets, bare + more)
    })
}

fn rest(options: &PlanOptions) -> &'static str {
    if options.details { "the report" } else { "the account sheet" }
}

/// Everything on one sheet, how many stakes have no words, and the scale.
fn whole(outcome: &Outcome, beyond: usize, options: &PlanOptions) -> (Drawing, usize, SaidScale) {
    let nothing = PlanOut::default();
    let geometry = outcome.plan.as_ref().unwrap_or(&nothing);
    let unit = LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot);
    let sites = arrangements(outcome, geometry, unit, options);
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
    let bare = labels.bare;
    let said = SaidScale { units_per_inch: 1.0 / site.scale.inches(1.0), words: site.said.clone() };
    (drawing(site, labels, beyond), bare, said)
}

/// The sheet itself, once all words have their places.
fn drawing(site: Site<'_>, labels: stakes::Labels, beyond: usize) -> Drawing {
    let left_off = boxes::LeftOff { bare: labels.bare + beyond, trenches: labels.trenches, dropped: labels.dropped };
    let mut groups = ground::draw(&site);
    if site.has_areas() {
        groups.extend(areas::draw(&site));
        groups.extend(water::ground(&site));
        groups.extend(keep::draw(&site));
        groups.push(ground::edge(&site));
    }
    if site.tile.is_some() {
        // The rest of the ground goes on beyond the frame.
        groups.iter_mut().for_each(|group| group.clip = Some(site.layout.plan));
    }
    groups.insert(0, frames(&site));
    groups.extend(labels.groups);
    groups.push(furniture::strip(&site, left_off));
    if let ProfileRoom::Below(room) = site.layout.profile {
        groups.push(profile::draw(&site, room));
    }
    if let Some((room, arranged)) = &site.layout.details {
        groups.push(details::draw(&site, *room, arranged));
    }
    if site.tile.is_none() {
        groups.extend(boxes::draw(&site, left_off));
    }
    Drawing { paper: site.paper, title: title(site.outcome), groups, scale: site.said, dropped: labels.dropped }
}

fn title(outcome: &Outcome) -> String {
    let job = if outcome.job.trim().is_empty() { "Unnamed job" } else { outcome.job.trim() };
    format!("{}: plan of the dig", font::printable(job))
}

/// Ways to divide the paper, best first: the profile where it leaves the ground its largest scale (of equals below),
/// then, if that makes the ground larger still, no profile.
fn arrangements<'a>(outcome: &'a Outcome, plan: &'a PlanOut, unit: LengthUnit, options: &PlanOptions) -> Vec<Site<'a>> {
    let paper = options.paper;
    let has_profile = plan.profile.len() > 1;
    let build = |layout: Layout| {
        let said = options.scale.clone().unwrap_or_else(|| scales::fit(outcome, plan, unit, &layout.plan));
        let scale = scales::about(&said, &scales::Bounds::of(outcome, plan), &layout.plan);
        Site {
            outcome,
            plan,
            unit,
            scale,
            said: said.words,
            layout,
            paper,
            depths: options.depths,
            rest: rest(options),
            tile: None,
        }
    };
    let site = |where_profile: Option<bool>| {
        build(layout(paper, where_profile.is_some(), where_profile == Some(true), room_of_areas(outcome, plan)))
    };
    let size = |site: &Site<'_>| site.scale.inches(1.0);
    let bare = site(None);
    if options.scale.is_some() {
        // Nothing may take the room that a scale which was said needs.
        return vec![bare];
    }
    if options.details
        && let Some(layout) = with_details(&bare.layout, plan, unit, has_profile)
    {
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

/// Room that the boxes of a job with areas take more than others.
fn room_of_areas(outcome: &Outcome, plan: &PlanOut) -> Option<f64> {
    (!plan.areas.is_empty()).then(|| 0.9 + 0.17 * water::rows(outcome, plan) as f64)
}

/// How a sheet without profile and build-ups is divided.
fn bare_layout(outcome: &Outcome, plan: &PlanOut, paper: Paper) -> Layout {
    layout(paper, false, false, room_of_areas(outcome, plan))
}

/// How the sheet of a part is divided: legend and cautions stand on the first.
fn part_layout(paper: Paper) -> Layout {
    let (w, h) = paper.inches();
    let sheet = Rect::new(0.0, 0.0, w, h).inset(MARGIN);
    let plan = Rect { h: sheet.h - STRIP, ..sheet };
    let strip = Rect::new(sheet.x, plan.bottom(), sheet.w, STRIP);
    Layout { plan, strip, profile: ProfileRoom::Nowhere, details: None, columns: Vec::new() }
}

/// Height of the strip with north and bar.
const STRIP: f64 = 0.62;

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
    let (gap, strip_h) = (0.1, STRIP);
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
