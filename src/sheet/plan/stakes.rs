//! How are points shown: stakes with one big cut, outlets, benches, lows, slope arrows, level labels?
//!
//! A stake's words are one block, so that nobody reads a neighbour's cut: the cut in bold on top, below it the name
//! and the ground as it is. The blocks are as large as they can be with none left out; where even the smallest
//! will not do, first the heights go, then whole blocks, and what went is counted. The name never goes alone: a cut
//! without its name could be read at the neighbour.
//! Order of room: symbols, names of outlets, benches, lows and nodes of drains, cuts, falls of drains, stakes of trenches, level labels,
//! slope arrows.

use super::ground::{SUBGRADE, in_room, is_index, on_paper};
use super::{EARTH, GREY, INK, SMALL, Site, areas, cuts, decimals, keep, marks, water};
use crate::job::{AreaPlanOut, ArrowOut, LineOut, StakeOut};
use crate::sheet::font::{self, Weight};
use crate::sheet::join::join;
use crate::sheet::labels::{self, Box2, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Stroke, Text};
use crate::units::{LengthUnit, fixed};

/// Water: arrows, outlets, lows.
pub(super) const WATER: Colour = Colour(16, 78, 139);
/// Half the arm of a stake's cross.
pub(super) const CROSS: f64 = 0.05;
/// Room round a block.
const GAP: f64 = 0.07;
/// White rim of labels.
pub(super) const HALO: f64 = 0.022;
/// Length of a slope arrow.
pub(super) const ARROW: f64 = 0.5;

/// What was drawn, and how many labels were left off.
#[derive(Debug)]
pub(super) struct Labels {
    pub(super) groups: Vec<Group>,
    pub(super) dropped: usize,
    /// Stakes with no words at all.
    pub(super) bare: usize,
    /// Stakes of trenches left to the table.
    pub(super) trenches: usize,
    /// Whether the heights of the ground had to go.
    pub(super) is_cramped: bool,
}

pub(super) fn draw(site: &Site<'_>) -> Labels {
    let mut placer = Placer::new(site.layout.plan.inset(0.06));
    let symbols = marks::symbols(site, &mut placer);
    let matches = site.tile.as_ref().map(|tile| tile.draw(site, &mut placer));
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
    spare_lines(site, &mut placer);
    let sections = cuts::draw(site, &mut placer);
    let places = marks::names(site, &mut placer);
    let mut keep_names = Group::new("keep-off-names");
    keep::keep_names(site, &mut placer, &mut keep_names);
    let written = around_cuts(site, placer.clone(), true);
    let Around { narrow, mut names, blocks } = if written.blocks.bare > 0 && water::has_nodes(site)[0] {
        let without = around_cuts(site, placer, false);
        if without.blocks.bare < written.blocks.bare { without } else { written }
    } else {
        written
    };
    let Blocks { bare, is_cramped, group: cuts, mut placer, .. } = blocks;
    narrow.into_iter().for_each(|area| areas::name(site, area, &mut placer, &mut names));
    areas::step_heights(site, &mut placer, &mut names);
    water::drain_names(site, &mut placer, &mut names);
    let trenches = water::trench_stakes(site, &mut placer, &mut names);
    marks::highs(site, &mut placer, &mut names);
    let outside = outside(site, &mut placer);
    let levels = levels(site, &mut placer);
    let arrows = arrows(site, &mut placer);
    let mut groups = vec![arrows, levels, symbols, cuts, places];
    groups.extend(matches);
    groups.push(sections);
    if site.has_areas() {
        groups.extend([outside, names, keep_names]);
    }
    Labels { groups, dropped: placer.dropped(), bare, trenches, is_cramped }
}

/// Names of areas and cuts.
struct Around<'a> {
    /// Areas without room for their name so far.
    narrow: Vec<&'a AreaPlanOut>,
    names: Group,
    blocks: Blocks,
}

/// Names of areas, then all cuts. `nodes_first`: names of nodes before those, else with what room the cuts leave.
fn around_cuts<'a>(site: &Site<'a>, mut placer: Placer, nodes_first: bool) -> Around<'a> {
    let mut names = Group::new("area-names");
    if nodes_first {
        water::node_names(site, &mut placer, &mut names);
    }
    let named = site.plan.areas.iter().filter(|area| site.tile.as_ref().is_none_or(|tile| tile.names(area.label)));
    let (wide, narrow): (Vec<_>, Vec<_>) = named.partition(|area| areas::is_wide(site, area));
    wide.into_iter().for_each(|area| areas::name(site, area, &mut placer, &mut names));
    // A narrow area keeps room for its code, or the cuts would take it all.
    let narrow = narrow.into_iter().filter(|area| !areas::code(site, area, &mut placer, &mut names)).collect();
    let mut blocks = blocks(site, placer);
    if !nodes_first {
        water::node_names(site, &mut blocks.placer, &mut names);
    }
    Around { narrow, names, blocks }
}

/// Lines of areas, drains and keep-offs are rather not covered either.
fn spare_lines(site: &Site<'_>, placer: &mut Placer) {
    for ring in site.plan.areas.iter().flat_map(|area| &area.rings) {
        let mut ring = on_paper(site, ring);
        ring.extend(ring.first().copied());
        placer.spare(&ring);
    }
    for drain in &site.plan.drains {
        placer.spare(&on_paper(site, &drain.ends));
    }
    for line in site.plan.keep_offs.iter().map(|k| on_paper(site, &k.line)) {
        placer.spare(&line);
        placer.spare(&line);
    }
}

/// Whether a stake is dug or filled.
pub(super) fn is_dug(stake: &StakeOut) -> bool {
    stake.cut_text.is_some()
}

/// Whether it is dug deeper than subgrade and filled back with stone.
pub(super) fn is_stoned(stake: &StakeOut) -> bool {
    is_dug(stake) && stake.notes.iter().any(|note| note.contains("stone back to"))
}

/// Whether something there must be kept off.
pub(super) fn is_hand_dug(stake: &StakeOut) -> bool {
    is_dug(stake) && !stake.keep_off.is_empty()
}

/// Stakes outside all areas: small and grey, so that those to be dug stand out.
fn outside(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("ground-stakes");
    if !site.has_areas() {
        return group;
    }
    let places = if site.unit == LengthUnit::Metre { 3 } else { 2 };
    for stake in site.outcome.stakes.iter().flatten().filter(|s| !is_dug(s)) {
        let at = site.scale.paper((stake.northing, stake.easting));
        let ground = stake.existing.map(|z| format!(" {}", fixed(z, places))).unwrap_or_default();
        let text = Text::new("ground", at, SMALL, &format!("{}{ground}", stake.stake)).colour(GREY).halo(HALO);
        let (w, h) = (text.width() + 0.03, SMALL * CAP + 0.03);
        match placer.try_place(labels::round(at, w, h, 0.05)) {
            Some(place) => {
                let base = place.centre.by(0.0, SMALL * CAP / 2.0);
                group.push(Text { at: base, ..text }.align(Align::Middle));
            }
            None => placer.drop_some(1),
        }
    }
    group
}

/// Words along one of several lines, where there is room.
pub(super) fn along(placer: &mut Placer, lines: &[Vec<PaperPoint>], text: Text) -> Option<Text> {
    let w = font::extent(&text.words, text.weight, text.em).width;
    let h = text.em * CAP;
    let places = lines.iter().flat_map(|line| labels::along(line, w + 0.04, h + 0.03));
    let place = placer.try_place(places)?;
    let (sin, cos) = place.angle.to_radians().sin_cos();
    let at = place.centre.by(-sin * h / 2.0, cos * h / 2.0);
    Some(Text { at, ..text }.align(Align::Middle).turned(place.angle))
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
    /// How well it reads: a large size counts where at least half of the cuts have it.
    merit: f64,
    is_cramped: bool,
    group: Group,
    placer: Placer,
}

/// The words of one stake, and how large they are.
struct Block {
    cut: Option<Text>,
    name: Text,
    existing: Option<Text>,
    /// Marks behind the cut.
    marks: Vec<fn(PaperPoint, &mut Group)>,
    w: f64,
    h: f64,
}

/// Room between a name and a height.
const BETWEEN: f64 = 0.05;
/// How a cut that finds no room at the size of the others is written in a job with areas.
const SMALLER: [(f64, Detail); 4] =
    [(0.14, Detail::Full), (0.12, Detail::NoHeight), (SMALL, Detail::NoHeight), (SMALL, Detail::Tight)];
/// How often stakes left bare are given the first choice.
const ROUNDS: usize = 6;
/// Distance to the next stake, over the size of a cut, below which stakes crowd.
const ELBOW: f64 = 2.2;
/// Width of a mark behind a cut.
const MARK_ROOM: f64 = 0.14;
/// Room between the two lines.
const LEADING: f64 = 0.035;

impl Block {
    fn of(site: &Site<'_>, stake: &StakeOut, em: f64, detail: Detail) -> Self {
        let origin = PaperPoint::new(0.0, 0.0);
        let cut = site.cut(stake).map(|cut| Text::new("cut", origin, em, &cut).bold().colour(INK).halo(HALO));
        let small = (0.5 * em).max(SMALL);
        let name = Text::new("stake", origin, small, &stake.stake).colour(INK).halo(HALO);
        let places = if site.unit == LengthUnit::Metre { 3 } else { 2 };
        let existing = stake
            .existing
            .filter(|_| detail == Detail::Full)
            .map(|z| Text::new("existing", origin, small, &fixed(z, places)).colour(GREY).halo(HALO));
        let width = |t: &Option<Text>| t.as_ref().map_or(0.0, Text::width);
        let row = name.width() + width(&existing) + if existing.is_some() { BETWEEN } else { 0.0 };
        let mut marks: Vec<fn(PaperPoint, &mut Group)> = Vec::new();
        if is_stoned(stake) {
            marks.push(marks::stone);
        }
        if is_hand_dug(stake) {
            marks.push(marks::hand);
        }
        let w = row.max(width(&cut) + marks.len() as f64 * MARK_ROOM);
        let h = small * CAP + if cut.is_some() { em * CAP + LEADING } else { 0.0 };
        Self { cut, name, existing, marks, w, h }
    }

    /// How many words it has.
    fn count(&self) -> usize {
        1 + [&self.cut, &self.existing].into_iter().flatten().count()
    }

    /// Its size with the white round it: more at the sides, or two cuts in a row would read as one.
    fn room(&self, em: f64, detail: Detail) -> (f64, f64) {
        let beside = if detail == Detail::Tight { 0.03 } else { 0.02 + 0.35 * em };
        (self.w + beside, self.h + 0.03)
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
            let long = cut.width() + self.marks.len() as f64 * MARK_ROOM;
            cut.at = PaperPoint::new(left + (self.w - long) * slack, base);
            for (k, mark) in self.marks.iter().enumerate() {
                let off = cut.width() + (k as f64 + 0.55) * MARK_ROOM;
                mark(cut.at.by(off, -cut.em * CAP / 2.0), group);
            }
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
pub(super) const CAP: f64 = 0.735;

/// The first of ever smaller ways to write all stakes that leaves no cut out; else the one that leaves out fewest.
fn blocks(site: &Site<'_>, placer: Placer) -> Blocks {
    let sizes = [0.26, 0.23, 0.2, 0.18, 0.16, 0.14, 0.125, 0.11, SMALL];
    let full = sizes.map(|em| (em, Detail::Full));
    let less = [(0.11, Detail::NoHeight), (SMALL, Detail::NoHeight), (SMALL, Detail::Tight)];
    let mut best: Option<Blocks> = None;
    let nothing =
        || Blocks { bare: 0, is_cramped: false, merit: 0.0, group: Group::new("stakes"), placer: placer.clone() };
    for (em, detail) in full.into_iter().chain(less) {
        // A stake left bare goes first in the next round: others have more places to choose from.
        let mut urgent: Vec<&StakeOut> = Vec::new();
        for _ in 0..if site.has_areas() { ROUNDS } else { 1 } {
            // A round cut short would not say which stakes to put first.
            let most = best.as_ref().filter(|_| !site.has_areas()).map_or(usize::MAX, |held| held.bare);
            let tried = attempt(site, placer.clone(), (em, detail), &mut urgent, most);
            let is_whole = tried.bare == 0;
            // Without areas all cuts have one size, and the first whole way has the largest.
            let is_better = |held: &Blocks| tried.bare < held.bare || (is_whole && tried.merit > held.merit);
            if best.as_ref().is_none_or(is_better) {
                best = Some(tried);
            }
            if is_whole && !site.has_areas() {
                return best.unwrap_or_else(nothing);
            }
            if is_whole {
                break;
            }
        }
    }
    best.unwrap_or_else(nothing)
}

/// All stakes at one size; given up where `most` are bare already.
fn attempt<'a>(
    site: &Site<'a>,
    mut placer: Placer,
    (em, detail): (f64, Detail),
    urgent: &mut Vec<&'a StakeOut>,
    most: usize,
) -> Blocks {
    let mut group = Group::new("stakes");
    let is_ours = |s: &&StakeOut| !site.has_areas() || (is_dug(s) && !water::is_of_trench(site, s));
    let stakes: Vec<&StakeOut> = site.outcome.stakes.iter().flatten().filter(is_ours).collect();
    let all: Vec<PaperPoint> = stakes.iter().map(|s| site.scale.paper((s.northing, s.easting))).collect();
    let (mut leaders, mut bare, mut full) = (stakes.len() / if site.has_areas() { 4 } else { 12 } + 1, 0, 0);
    let areas: Vec<(&str, Vec<Vec<PaperPoint>>)> =
        site.plan.areas.iter().map(|a| (a.name.as_str(), areas::rings_of(site, Some(a)))).collect();
    // In another area a cut would be read as that one's.
    let is_strange = |stake: &StakeOut, place: &Box2| {
        let core = Box2 { half_w: 0.6 * place.half_w, half_h: 0.6 * place.half_h, ..*place };
        let others = areas.iter().filter(|(name, _)| stake.area.as_deref() != Some(*name));
        let mut spots = core.corners().into_iter().chain([place.centre]);
        let others: Vec<_> = others.collect();
        spots.any(|p| others.iter().any(|(_, rings)| is_inside(p, rings)))
    };
    for (stake, is_crowded) in crowded_first(site, stakes, em, urgent) {
        let at = site.scale.paper((stake.northing, stake.easting));
        let smaller = SMALLER.into_iter().filter(|(small, _)| site.has_areas() && *small <= em);
        let sizes = std::iter::once((em, detail)).filter(|_| !is_crowded).chain(smaller);
        let mut written = 0;
        let beside = |placer: &mut Placer, anywhere: bool, full: &mut usize, group: &mut Group| {
            for (size, detail) in sizes.clone() {
                let block = Block::of(site, stake, size, detail);
                let (w, h) = block.room(size, detail);
                let places = labels::round(at, w, h, gap(site, at)).enumerate();
                // Upper right is where the eye looks; elsewhere a block must be clearly nearer to its own stake.
                let ours = places.filter(|(i, place)| *i == 0 || all.iter().all(|&p| p == at || nearer(place, at, p)));
                let ours = ours.map(|(_, place)| place).filter(|place| anywhere || !is_strange(stake, place));
                if let Some(place) = placer.try_place(ours) {
                    *full += usize::from(size >= 0.85 * em);
                    let count = block.count();
                    block.at(&place, at, group);
                    return count;
                }
            }
            0
        };
        written += beside(&mut placer, false, &mut full, &mut group);
        if written == 0
            && leaders > 0
            && let Some((size, detail)) = sizes.clone().last()
        {
            let block = Block::of(site, stake, size, detail);
            let (w, h) = block.room(size, detail);
            let further = labels::further(at, w, h).filter(|place| !is_strange(stake, place));
            if let Some((place, end)) = placer.try_leader(at, further) {
                leaders -= 1;
                full += usize::from(size >= 0.85 * em);
                written = block.count();
                group.push(Stroke::new(vec![at, end], 0.008, INK));
                block.at(&place, at, &mut group);
            }
        }
        if written == 0 {
            written = beside(&mut placer, true, &mut full, &mut group);
        }
        if written == 0 {
            bare += 1;
            urgent.push(stake);
            if bare >= most {
                break;
            }
        }
        // A height that goes at this detail goes everywhere, and is counted like one without room.
        let wanted = 1 + usize::from(stake.cut_text.is_some()) + usize::from(stake.existing.is_some());
        placer.drop_some(wanted - written);
    }
    let is_cramped = detail != Detail::Full;
    let share = full as f64 / all.len().max(1) as f64;
    let merit = if share >= 0.5 { 1.0 + em } else { share * em };
    Blocks { bare, is_cramped, merit, group, placer }
}

/// With areas, corners crowd beside the grid's stakes: those too near another for a cut of size `em` go first and small,
/// so that the others need not be as small as they. Without areas all are of one size, in their order.
fn crowded_first<'a>(
    site: &Site<'_>,
    stakes: Vec<&'a StakeOut>,
    em: f64,
    urgent: &[&StakeOut],
) -> Vec<(&'a StakeOut, bool)> {
    let all: Vec<PaperPoint> = stakes.iter().map(|s| site.scale.paper((s.northing, s.easting))).collect();
    let is_near = |k: usize| all.iter().enumerate().any(|(i, p)| i != k && p.distance(all[k]) < ELBOW * em);
    let mut order: Vec<(&StakeOut, bool)> =
        stakes.iter().enumerate().map(|(k, &stake)| (stake, site.has_areas() && is_near(k))).collect();
    let is_urgent = |stake: &StakeOut| urgent.iter().any(|u| std::ptr::eq(*u, stake));
    order.sort_by_key(|&(stake, crowded)| (!is_urgent(stake), !crowded));
    order
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

/// Levels along their lines: index contours first, then the rest of the subgrade, then the ground.
fn levels(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("levels");
    let places = decimals(site.plan.interval);
    let mut write = |line: &LineOut, words: &str, weight: Weight, colour: Colour| {
        let text = Text::new("level", PaperPoint::new(0.0, 0.0), SMALL, words).colour(colour).halo(HALO);
        if let Some(text) = along(placer, &in_room(site, line), Text { weight, ..text }) {
            group.push(text);
        }
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
        marks::arrow(shift(h / 2.0 - 0.045), a.azimuth, &mut group);
        group.push(Text { at: shift(h / 2.0 - 0.095), ..text }.turned(turned));
    }
    group
}

/// Inside an odd number of rings; without rings, everywhere.
pub(super) fn is_inside(p: PaperPoint, rings: &[Vec<PaperPoint>]) -> bool {
    let crosses = |a: &PaperPoint, b: &PaperPoint| {
        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)
    };
    let pairs = rings.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    rings.is_empty() || pairs.filter(|(a, b)| crosses(a, b)).count() % 2 == 1
}

fn percent(a: &ArrowOut) -> String {
    format!("{} %", fixed(a.slope * 100.0, 1))
}
