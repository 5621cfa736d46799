//! How are points shown: stakes with one big cut, outlets, benches, lows, slope arrows, level labels?
//!
//! A stake's words are one block, so that nobody reads a neighbour's cut: the cut in bold on top, below it the name
//! and the ground as it is. The blocks are as large as they can be with none left out; where even the smallest
//! will not do, first the heights go, then whole blocks, and what went is counted. The name never goes alone: a cut
//! without its name could be read at the neighbour.
//! Order of room: symbols, names of outlets, benches and lows, cuts, level labels, slope arrows.

use super::ground::{SUBGRADE, in_room, is_index, on_paper};
use super::{EARTH, GREY, INK, SMALL, Site, decimals};
use crate::job::{ArrowOut, LineOut, StakeOut};
use crate::sheet::font::{self, Weight};
use crate::sheet::join::join;
use crate::sheet::labels::{self, Box2, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text};
use crate::units::{LengthUnit, fixed};

/// Water: arrows, outlets, lows.
pub(super) const WATER: Colour = Colour(16, 78, 139);
/// Half the arm of a stake's cross.
const CROSS: f64 = 0.05;
/// Room round a block.
const GAP: f64 = 0.07;
/// White rim of labels.
const HALO: f64 = 0.022;
/// Length of a slope arrow.
pub(super) const ARROW: f64 = 0.5;

/// What was drawn, and how many labels were left off.
#[derive(Debug)]
pub(super) struct Labels {
    pub(super) groups: Vec<Group>,
    pub(super) dropped: usize,
    /// Stakes with no words at all.
    pub(super) bare: usize,
    /// Whether the heights of the ground had to go.
    pub(super) is_cramped: bool,
}

pub(super) fn draw(site: &Site<'_>) -> Labels {
    let mut placer = Placer::new(site.layout.plan.inset(0.06));
    let symbols = symbols(site, &mut placer);
    for line in &site.plan.subgrade {
        in_room(site, line).iter().for_each(|part| placer.spare(part));
    }
    for line in join(&site.plan.zero_line) {
        placer.spare(&on_paper(site, &line));
    }
    for ring in &site.plan.edge {
        let mut ring = on_paper(site, ring);
        ring.extend(ring.first().copied());
        // Twice: the edge of the dig is the last line to be covered.
        placer.spare(&ring);
        placer.spare(&ring);
    }
    let places = names(site, &mut placer);
    let Blocks { bare, is_cramped, group: cuts, mut placer } = blocks(site, placer);
    let levels = levels(site, &mut placer);
    let arrows = arrows(site, &mut placer);
    Labels { groups: vec![arrows, levels, symbols, cuts, places], dropped: placer.dropped(), bare, is_cramped }
}

/// How much is written at a stake.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Detail {
    Full,
    NoHeight,
    /// No height, and hardly any room to the next block.
    Tight,
}

/// All stakes written one way.
struct Blocks {
    bare: usize,
    is_cramped: bool,
    group: Group,
    placer: Placer,
}

/// The words of one stake, and how large they are.
struct Block {
    cut: Option<Text>,
    name: Text,
    existing: Option<Text>,
    w: f64,
    h: f64,
}

/// Room between a name and a height.
const BETWEEN: f64 = 0.05;
/// Room between the two lines.
const LEADING: f64 = 0.035;

impl Block {
    fn of(stake: &StakeOut, em: f64, detail: Detail, unit: LengthUnit) -> Self {
        let origin = PaperPoint::new(0.0, 0.0);
        let cut = stake.cut_text.as_ref().map(|cut| Text::new("cut", origin, em, cut).bold().colour(INK).halo(HALO));
        let small = (0.5 * em).max(SMALL);
        let name = Text::new("stake", origin, small, &stake.stake).colour(INK).halo(HALO);
        let places = if unit == LengthUnit::Metre { 3 } else { 2 };
        let existing = stake
            .existing
            .filter(|_| detail == Detail::Full)
            .map(|z| Text::new("existing", origin, small, &fixed(z, places)).colour(GREY).halo(HALO));
        let width = |t: &Option<Text>| t.as_ref().map_or(0.0, Text::width);
        let row = name.width() + width(&existing) + if existing.is_some() { BETWEEN } else { 0.0 };
        let w = row.max(width(&cut));
        let h = small * CAP + if cut.is_some() { em * CAP + LEADING } else { 0.0 };
        Self { cut, name, existing, w, h }
    }

    /// Its words at a place: against the stake, so that the eye finds the cross.
    fn at(self, place: &Box2, stake: PaperPoint, group: &mut Group) {
        let (left, top) = (place.centre.x - self.w / 2.0, place.centre.y - self.h / 2.0);
        let slack = if place.centre.x > stake.x + 1e-6 + self.w * 0.3 {
            0.0
        } else if place.centre.x < stake.x - 1e-6 - self.w * 0.3 {
            1.0
        } else {
            0.5
        };
        let (mut base, mut put) = (top, Vec::new());
        if let Some(mut cut) = self.cut {
            base += cut.em * CAP;
            cut.at = PaperPoint::new(left + (self.w - cut.width()) * slack, base);
            put.push(cut);
            base += LEADING;
        }
        base += self.name.em * CAP;
        let row = self.name.width() + self.existing.as_ref().map_or(0.0, |z| z.width() + BETWEEN);
        let mut x = left + (self.w - row) * slack;
        for mut text in std::iter::once(self.name).chain(self.existing) {
            text.at = PaperPoint::new(x, base);
            x += text.width() + BETWEEN;
            put.push(text);
        }
        put.into_iter().for_each(|text| group.push(text));
    }
}

/// Height of capitals and figures over the em.
const CAP: f64 = 0.735;

/// The first of ever smaller ways to write all stakes that leaves no cut out; else the one that leaves out fewest.
fn blocks(site: &Site<'_>, placer: Placer) -> Blocks {
    let sizes = [0.26, 0.23, 0.2, 0.18, 0.16, 0.14, 0.125, 0.11, SMALL];
    let full = sizes.map(|em| (em, Detail::Full));
    let less = [(0.11, Detail::NoHeight), (SMALL, Detail::NoHeight), (SMALL, Detail::Tight)];
    let mut best: Option<Blocks> = None;
    for (em, detail) in full.into_iter().chain(less) {
        let most = best.as_ref().map_or(usize::MAX, |held| held.bare);
        let tried = attempt(site, placer.clone(), em, detail, most);
        let is_done = tried.bare == 0;
        if best.as_ref().is_none_or(|held| tried.bare < held.bare) {
            best = Some(tried);
        }
        if is_done {
            break;
        }
    }
    best.unwrap_or(Blocks { bare: 0, is_cramped: false, group: Group::new("stakes"), placer })
}

/// All stakes at one size; given up where `most` are bare already.
fn attempt(site: &Site<'_>, mut placer: Placer, em: f64, detail: Detail, most: usize) -> Blocks {
    let mut group = Group::new("stakes");
    let stakes: Vec<&StakeOut> = site.outcome.stakes.iter().flatten().collect();
    let all: Vec<PaperPoint> = stakes.iter().map(|s| site.scale.paper((s.northing, s.easting))).collect();
    let (mut leaders, mut bare) = (stakes.len() / 12 + 1, 0);
    for stake in stakes {
        let at = site.scale.paper((stake.northing, stake.easting));
        let block = Block::of(stake, em, detail, site.unit);
        // More room at the sides, or two cuts in a row would read as one.
        let beside = if detail == Detail::Tight { 0.03 } else { 0.02 + 0.35 * em };
        let (w, h) = (block.w + beside, block.h + 0.03);
        // A height that goes at this detail goes everywhere, and is counted like one without room.
        let wanted = 1 + usize::from(stake.cut_text.is_some()) + usize::from(stake.existing.is_some());
        let mut written = 1 + [&block.cut, &block.existing].into_iter().flatten().count();
        let places = labels::round(at, w, h, gap(site, at)).enumerate();
        // Upper right is where the eye looks; elsewhere a block must be clearly nearer to its own stake.
        let ours = places.filter(|(i, place)| *i == 0 || all.iter().all(|&p| p == at || nearer(place, at, p)));
        if let Some(place) = placer.try_place(ours.map(|(_, place)| place)) {
            block.at(&place, at, &mut group);
        } else if let Some((place, end)) =
            (leaders > 0).then(|| placer.try_leader(at, labels::further(at, w, h))).flatten()
        {
            leaders -= 1;
            group.push(Stroke::new(vec![at, end], 0.008, INK));
            block.at(&place, at, &mut group);
        } else {
            bare += 1;
            written = 0;
            if bare >= most {
                break;
            }
        }
        placer.drop_some(wanted - written);
    }
    Blocks { bare, is_cramped: detail != Detail::Full, group, placer }
}

fn nearer(place: &Box2, own: PaperPoint, other: PaperPoint) -> bool {
    let off = |p: PaperPoint| {
        let (dx, dy) = ((p.x - place.centre.x).abs() - place.half_w, (p.y - place.centre.y).abs() - place.half_h);
        dx.max(0.0).hypot(dy.max(0.0))
    };
    off(other) > 1.2 * off(own)
}

/// How far a block keeps off its stake: further where an outlet's or a bench's symbol stands there too.
fn gap(site: &Site<'_>, at: PaperPoint) -> f64 {
    let outlets = site.plan.outlets.iter().map(|o| (o.1, o.2));
    let benches = site.plan.benches.iter().map(|b| (b.1, b.2));
    if outlets.chain(benches).any(|p| site.scale.paper(p).distance(at) < 0.05) { 0.125 } else { GAP }
}

/// Symbols of all points, each taking its room.
fn symbols(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("symbols");
    let mut take = |at: PaperPoint, half: f64| {
        placer.take(Box2::upright(Rect::new(at.x - half, at.y - half, 2.0 * half, 2.0 * half)));
    };
    for stake in site.outcome.stakes.iter().flatten() {
        let at = site.scale.paper((stake.northing, stake.easting));
        take(at, CROSS);
        cross(at, &mut group);
    }
    for &(n, e, _) in &site.plan.lows {
        let at = site.scale.paper((n, e));
        take(at, 0.07);
        low(at, &mut group);
    }
    for &(_, n, e, _) in &site.plan.benches {
        if site.shows((n, e)) {
            let at = site.scale.paper((n, e));
            take(at, 0.09);
            bench(at, &mut group);
        }
    }
    for &(_, n, e, _) in &site.plan.outlets {
        let at = site.scale.paper((n, e));
        take(at, 0.11);
        outlet(at, &mut group);
    }
    group
}

/// A stake.
pub(super) fn cross(at: PaperPoint, group: &mut Group) {
    for (dx, dy) in [(CROSS, 0.0), (0.0, CROSS)] {
        group.push(Stroke::new(vec![at.by(-dx, -dy), at.by(dx, dy)], 0.015, INK));
    }
}

fn circle(at: PaperPoint, r: f64) -> Vec<PaperPoint> {
    (0..32)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 32.0).sin_cos();
            at.by(r * cos, r * sin)
        })
        .collect()
}

/// An outlet: a round grate.
pub(super) fn outlet(at: PaperPoint, group: &mut Group) {
    group.push(Stroke::new(circle(at, 0.1), 0.02, WATER).closed().filled(Colour::WHITE));
    for (dx, half) in [(-0.045, 0.068), (0.0, 0.083), (0.045, 0.068)] {
        group.push(Stroke::new(vec![at.by(dx, -half), at.by(dx, half)], 0.018, WATER));
    }
}

/// A bench.
pub(super) fn bench(at: PaperPoint, group: &mut Group) {
    let corners = vec![at.by(0.0, -0.09), at.by(0.08, 0.05), at.by(-0.08, 0.05)];
    group.push(Stroke::new(corners, 0.014, INK).closed().filled(Colour::WHITE));
    group.push(Stroke::new(circle(at, 0.014), 0.0, INK).closed().filled(INK));
}

/// A low.
pub(super) fn low(at: PaperPoint, group: &mut Group) {
    let corners = vec![at.by(-0.065, -0.045), at.by(0.065, -0.045), at.by(0.0, 0.065)];
    group.push(Stroke::new(corners, 0.01, WATER).closed().filled(WATER));
}

/// A slope arrow about its middle, pointing to an azimuth, in degrees clockwise from up.
pub(super) fn arrow(at: PaperPoint, azimuth: f64, group: &mut Group) {
    let (sin, cos) = azimuth.to_radians().sin_cos();
    let along = |d: f64, across: f64| at.by(sin * d + cos * across, -cos * d + sin * across);
    let half = ARROW / 2.0;
    group.push(Stroke::new(vec![along(-half, 0.0), along(half - 0.08, 0.0)], 0.016, WATER));
    let head = vec![along(half, 0.0), along(half - 0.11, 0.037), along(half - 0.085, 0.0), along(half - 0.11, -0.037)];
    group.push(Stroke::new(head, 0.0, WATER).closed().filled(WATER));
}

/// Names of outlets and benches, heights of lows.
fn names(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("places");
    let places = if site.unit == LengthUnit::Metre { 3 } else { 2 };
    let mut name = |role: &'static str, at: (f64, f64), half: f64, words: &str, colour: Colour| {
        let at = site.scale.paper(at);
        let text = Text::new(role, at, 0.115, words).bold().colour(colour).halo(HALO);
        let (w, h) = (text.width() + 0.03, 0.115 * CAP + 0.03);
        let place = placer.try_place(labels::round(at, w, h, half)).or_else(|| {
            let (place, end) = placer.try_leader(at, labels::further(at, w, h))?;
            group.push(Stroke::new(vec![at, end], 0.008, colour));
            Some(place)
        });
        match place {
            Some(place) => {
                let base = place.centre.by(0.0, 0.115 * CAP / 2.0);
                group.push(Text { at: base, ..text }.align(Align::Middle));
            }
            None => placer.drop_some(1),
        }
    };
    for (outlet, n, e, height) in &site.plan.outlets {
        // A stake of that name says the name already.
        let is_staked = site.outcome.stakes.iter().flatten().any(|stake| stake.stake == *outlet);
        let who = if is_staked { "subgrade" } else { outlet };
        let words = height.map_or(outlet.clone(), |z| format!("{who} {}", fixed(z, places)));
        name("outlet", (*n, *e), 0.13, &words, WATER);
    }
    for (bench, n, e, height) in &site.plan.benches {
        if site.shows((*n, *e)) {
            name("bench", (*n, *e), 0.11, &format!("{bench} {}", fixed(*height, places)), INK);
        }
    }
    for &(n, e, height) in &site.plan.lows {
        name("low", (n, e), 0.09, &format!("LOW {}", fixed(height, places)), WATER);
    }
    group
}

/// Levels along their lines: index contours first, then the rest of the subgrade, then the ground.
fn levels(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("levels");
    let places = decimals(site.plan.interval);
    let mut write = |line: &LineOut, words: &str, weight: Weight, colour: Colour| {
        let ink = font::extent(words, weight, SMALL);
        let h = SMALL * CAP;
        let parts = in_room(site, line);
        let places = parts.iter().flat_map(|part| labels::along(part, ink.width + 0.04, h + 0.03));
        let Some(place) = placer.try_place(places) else {
            return;
        };
        let (sin, cos) = place.angle.to_radians().sin_cos();
        let base = place.centre.by(-sin * h / 2.0, cos * h / 2.0);
        let text = Text::new("level", base, SMALL, words).align(Align::Middle).turned(place.angle);
        group.push(Text { weight, ..text }.colour(colour).halo(HALO));
    };
    let (index, plain): (Vec<_>, Vec<_>) =
        site.plan.subgrade.iter().partition(|l| is_index(l.level, site.plan.interval));
    for line in index {
        write(line, &fixed(line.level, places), Weight::Bold, SUBGRADE);
    }
    for line in plain {
        write(line, &fixed(line.level, places), Weight::Regular, SUBGRADE);
    }
    for line in &site.plan.existing {
        write(line, &format!("({})", fixed(line.level, places)), Weight::Regular, EARTH);
    }
    group
}

/// Slope arrows with their percent, near their place, where there is room; a field of arrows needs not every one.
fn arrows(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("slope-arrows");
    let edge: Vec<Vec<PaperPoint>> = site.plan.edge.iter().map(|ring| on_paper(site, ring)).collect();
    for a in &site.plan.arrows {
        let at = site.scale.paper((a.northing, a.easting));
        let words = percent(a);
        let text = Text::new("slope", at, SMALL, &words).colour(WATER).halo(HALO).align(Align::Middle);
        let (w, h) = (ARROW.max(text.width()) + 0.03, SMALL * CAP + 0.1);
        let angle = a.azimuth - 90.0;
        let turned = (angle + 90.0).rem_euclid(180.0) - 90.0;
        let (sin, cos) = turned.to_radians().sin_cos();
        let near =
            [0.0, 0.15, -0.15, 0.3, -0.3].into_iter().flat_map(|dy| [0.0, 0.2, -0.2, 0.4, -0.4].map(|dx| (dx, dy)));
        let mut places: Vec<(f64, f64)> = near.collect();
        places.sort_by(|p, q| p.0.hypot(p.1).total_cmp(&q.0.hypot(q.1)));
        let boxed =
            |(dx, dy): (f64, f64)| Box2 { centre: at.by(dx, dy), half_w: w / 2.0, half_h: h / 2.0, angle: turned };
        // An arrow outside the dig would speak of ground nobody designed.
        let is_in_dig = |place: &Box2| place.corners().into_iter().all(|corner| is_inside(corner, &edge));
        let Some(place) = placer.try_place(places.into_iter().map(boxed).filter(is_in_dig)) else { continue };
        // The words above the shaft, as read.
        let shift = |d: f64| place.centre.by(-sin * d, cos * d);
        arrow(shift(h / 2.0 - 0.045), a.azimuth, &mut group);
        group.push(Text { at: shift(h / 2.0 - 0.095), ..text }.turned(turned));
    }
    group
}

/// Inside an odd number of rings; without rings, everywhere.
fn is_inside(p: PaperPoint, rings: &[Vec<PaperPoint>]) -> bool {
    let crosses = |a: &PaperPoint, b: &PaperPoint| {
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)
    };
    let pairs = rings.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    rings.is_empty() || pairs.filter(|(a, b)| crosses(a, b)).count() % 2 == 1
}

fn percent(a: &ArrowOut) -> String {
    format!("{} %", fixed(a.slope * 100.0, 1))
}
