//! Where does water run, stand, or find no way out?
//!
//! A node of a drain is a dot with its name and invert; where runs meet, one label has the invert of each. A clean-out is a ring about
//! the dot. Each leg says its fall, an arrow pointing downhill. Standing water has a wavy outline, ground whose water reaches nothing a
//! light hatch. Stakes of trenches are written last and small: the inverts dig a trench, the stake table has its cuts, and those left
//! to it are counted. Units: inches of paper; heights in job units, falls in percent.

use super::ground::on_paper;
use super::marks::circle;
use super::stakes::{CAP, HALO, WATER, along};
use super::{GREY, SMALL, Site};
use crate::job::{DrainLegOut, DrainOut, DrainPointOut, DrainRunOut, Outcome, PlanOut, StakeOut};
use crate::sheet::labels::{self, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text, clip, hatch};
use crate::units::{LengthUnit, fixed};

/// Standing water.
pub(super) const POND: Colour = Colour(84, 122, 150);
/// Ground whose water reaches nothing.
pub(super) const LOST: Colour = Colour(150, 165, 190);
pub(super) const LOST_GAP: f64 = 0.13;
const WAVE: f64 = 0.12;
const LEADING: f64 = 0.04;

/// Hatch of ground without a way out, outlines of ponds: below drains and words.
pub(super) fn ground(site: &Site<'_>) -> Vec<Group> {
    let room = room(site);
    let mut lost = Group::new("no-outlet");
    let rings: Vec<Vec<PaperPoint>> = site.plan.unreached.iter().map(|ring| on_paper(site, ring)).collect();
    for pair in hatch::across(&rings, LOST_GAP) {
        for part in clip::line(&pair, &room) {
            lost.push(Stroke::new(part, 0.008, LOST));
        }
    }
    let mut ponds = Group::new("ponds");
    let all = site.outcome.drainage.iter().flat_map(|d| d.ponds.iter().flatten());
    for ring in all.filter(|p| p.inside.is_none()).flat_map(|p| &p.rings) {
        for part in clip::line(&wavy(&on_paper(site, ring)), &room) {
            ponds.push(Stroke::new(part, 0.016, POND));
        }
    }
    vec![lost, ponds]
}

fn room(site: &Site<'_>) -> Rect {
    site.layout.plan.inset(0.04)
}

/// A line in waves; one shorter than a few of them as it is.
pub(super) fn wavy(line: &[PaperPoint]) -> Vec<PaperPoint> {
    const STEP: f64 = 0.015;
    let long: f64 = line.windows(2).map(|w| w[0].distance(w[1])).sum();
    if !(3.0 * WAVE..1e4).contains(&long) {
        return line.to_vec();
    }
    // A whole number of waves, so that a ring closes.
    let turns = (long / WAVE).round() * std::f64::consts::TAU / long;
    let (mut out, mut reached) = (Vec::new(), 0.0);
    for pair in line.windows(2) {
        let piece = pair[0].distance(pair[1]);
        let (x, y) = ((pair[1].x - pair[0].x) / piece.max(1e-9), (pair[1].y - pair[0].y) / piece.max(1e-9));
        let mut d = 0.0;
        while d < piece {
            let off = 0.022 * ((reached + d) * turns).sin();
            out.push(pair[0].by(x * d - y * off, y * d + x * off));
            d += STEP;
        }
        reached += piece;
    }
    out.extend(line.last());
    out
}

/// How deep the water stands over a low, where a pond is known there.
pub(super) fn depth_at(site: &Site<'_>, low: (f64, f64)) -> Option<String> {
    let ponds = site.outcome.drainage.as_ref()?.ponds.as_ref()?;
    let pond = ponds.iter().find(|p| p.low_at == low && p.inside.is_none())?;
    let places = places(site);
    Some(format!("water {} {} deep", fixed(pond.depth, places), site.unit.length()))
}

fn places(site: &Site<'_>) -> usize {
    if site.unit == LengthUnit::Metre { 3 } else { 2 }
}

fn runs<'a>(site: &Site<'a>) -> impl Iterator<Item = &'a DrainRunOut> + use<'a> {
    site.outcome.drainage.iter().flat_map(|d| &d.drains)
}

/// What meets at one place.
struct Node<'a> {
    at: (f64, f64),
    meets: Vec<(&'a DrainRunOut, &'a DrainPointOut)>,
}

/// Every node once, in the order of the runs.
fn nodes<'a>(site: &Site<'a>) -> Vec<Node<'a>> {
    let mut out: Vec<Node<'a>> = Vec::new();
    for (run, point) in runs(site).flat_map(|run| run.points.iter().map(move |point| (run, point))) {
        let at = (point.northing, point.easting);
        match out.iter_mut().find(|node| node.at == at) {
            Some(node) => node.meets.push((run, point)),
            None => out.push(Node { at, meets: vec![(run, point)] }),
        }
    }
    out
}

/// How many lines the legend has for all this.
pub(super) fn rows(outcome: &Outcome, plan: &PlanOut) -> usize {
    let water = outcome.drainage.as_ref();
    let drains = if water.is_some_and(|d| !d.drains.is_empty()) { 3 } else { 0 };
    let ponds = water.and_then(|d| d.ponds.as_ref()).is_some_and(|p| !p.is_empty());
    drains + usize::from(ponds) + usize::from(!plan.unreached.is_empty())
}

/// Whether any node is drawn, and any clean-out.
pub(super) fn has_nodes(site: &Site<'_>) -> [bool; 2] {
    [runs(site).next().is_some(), runs(site).any(|run| run.points.iter().any(|p| p.clean_out))]
}

pub(super) fn node(at: PaperPoint, is_clean_out: bool, group: &mut Group) {
    if is_clean_out {
        group.push(Stroke::new(circle(at, 0.065), 0.014, WATER).closed().filled(Colour::WHITE));
    }
    group.push(Stroke::new(circle(at, 0.032), 0.0, WATER).closed().filled(WATER));
}

/// Dots of nodes, each taking its room.
pub(super) fn symbols(site: &Site<'_>, take: &mut dyn FnMut(PaperPoint, f64), group: &mut Group) {
    for spot in nodes(site).iter().filter(|spot| site.shows(spot.at) && !is_outlet(site, spot.at)) {
        let at = site.scale.paper(spot.at);
        let is_clean_out = spot.meets.iter().any(|(_, p)| p.clean_out);
        take(at, if is_clean_out { 0.07 } else { 0.04 });
        node(at, is_clean_out, group);
    }
}

fn is_outlet(site: &Site<'_>, at: (f64, f64)) -> bool {
    site.plan.outlets.iter().any(|&(_, n, e, _)| (n, e) == at)
}

/// Invert of the pipe that ends at an outlet.
pub(super) fn invert_at(site: &Site<'_>, at: (f64, f64)) -> Option<f64> {
    nodes(site).iter().find(|node| node.at == at).and_then(|node| Some(node.meets.last()?.1.invert))
}

/// Lines of a node's label.
fn words(node: &Node<'_>, places: usize) -> Vec<String> {
    let name = node.meets.first().map_or("", |(_, p)| p.name.as_str());
    let clean_out = if node.meets.iter().any(|(_, p)| p.clean_out) { ", CO" } else { "" };
    if let [(_, point)] = node.meets[..] {
        return vec![format!("{name} inv {}{clean_out}", fixed(point.invert, places))];
    }
    let each: Vec<String> =
        node.meets.iter().map(|(run, p)| format!("{} {}", run.name, fixed(p.invert, places))).collect();
    let pairs = each.chunks(2).map(|pair| pair.join(", "));
    std::iter::once(format!("{name} inv{clean_out}")).chain(pairs).collect()
}

/// Names and inverts of nodes.
pub(super) fn node_names(site: &Site<'_>, placer: &mut Placer, group: &mut Group) {
    for node in nodes(site).iter().filter(|node| site.shows(node.at) && !is_outlet(site, node.at)) {
        let at = site.scale.paper(node.at);
        let text = |words: &String| Text::new("node", at, SMALL, words).bold().colour(WATER).halo(HALO);
        let lines: Vec<Text> = words(node, places(site)).iter().map(text).collect();
        let w = lines.iter().map(Text::width).fold(0.0, f64::max) + 0.04;
        let h = lines.len() as f64 * (SMALL * CAP + LEADING) + 0.01;
        let place = placer.try_place(labels::round(at, w, h, 0.075)).or_else(|| {
            let (place, end) = placer.try_leader(at, labels::further(at, w, h))?;
            group.push(Stroke::new(vec![at, end], 0.008, WATER));
            Some(place)
        });
        let Some(place) = place else {
            placer.drop_some(1);
            continue;
        };
        for (k, text) in lines.into_iter().enumerate() {
            let base = place.centre.y - h / 2.0 + SMALL * CAP + 0.025 + k as f64 * (SMALL * CAP + LEADING);
            group.push(Text { at: PaperPoint::new(place.centre.x, base), ..text }.align(Align::Middle));
        }
    }
}

/// The leg of the outcome that a leg of the plan is, if its inverts are known.
fn leg_of<'a>(site: &Site<'a>, drain: &DrainOut) -> Option<&'a DrainLegOut> {
    let same = site.plan.drains.iter().filter(|d| d.name == drain.name);
    let number = same.clone().position(|d| d.ends == drain.ends)?;
    runs(site).find(|run| run.name == drain.name)?.legs.get(number)
}

/// A drain's name beside its longest leg, and along every leg its fall.
pub(super) fn drain_names(site: &Site<'_>, placer: &mut Placer, group: &mut Group) {
    let long = |d: &DrainOut| {
        let [a, b] = d.ends.map(|p| site.scale.paper(p));
        a.distance(b)
    };
    let mut done: Vec<&str> = Vec::new();
    for drain in &site.plan.drains {
        if done.contains(&drain.name.as_str()) {
            continue;
        }
        done.push(&drain.name);
        let mut legs: Vec<&DrainOut> = site.plan.drains.iter().filter(|d| d.name == drain.name).collect();
        legs.sort_by(|a, b| long(b).total_cmp(&long(a)));
        let mut is_named = false;
        for leg in legs {
            let fall = leg_of(site, leg).map(|l| format!("{} %", fixed(l.fall * 100.0, 2)));
            let name = format!("drain {}", drain.name);
            let both = fall.as_ref().map(|fall| format!("{name}, {fall}"));
            let forms = [both.filter(|_| !is_named), Some(name).filter(|_| !is_named), fall.clone()];
            let written = forms.into_iter().flatten().find_map(|words| {
                let named = words.starts_with("drain");
                let arrow = fall.as_ref().is_some_and(|fall| words.ends_with(fall.as_str()));
                beside_leg(site, leg, &words, arrow, placer).map(|text| (text, named))
            });
            match written {
                Some((text, named)) => {
                    is_named |= named;
                    group.push(text);
                }
                None => placer.drop_some(1),
            }
        }
    }
}

/// Words beside a leg, an arrow at that end of them which is downhill.
fn beside_leg(site: &Site<'_>, leg: &DrainOut, words: &str, arrow: bool, placer: &mut Placer) -> Option<Text> {
    let parts = clip::line(&on_paper(site, &leg.ends), &room(site));
    let lines: Vec<Vec<PaperPoint>> = parts
        .iter()
        .filter(|part| part.len() == 2)
        .flat_map(|part| [0.11, -0.09, 0.2, -0.18].map(|off| super::keep::shifted(part, off)))
        .collect();
    let said = if arrow { format!("{words} →") } else { words.to_owned() };
    let text = Text::new("drain", PaperPoint::new(0.0, 0.0), SMALL, &said).bold().colour(WATER).halo(HALO);
    let text = along(placer, &lines, text)?;
    let [a, b] = leg.ends.map(|p| site.scale.paper(p));
    let (sin, cos) = text.angle.to_radians().sin_cos();
    let is_backward = (b.x - a.x) * cos + (b.y - a.y) * sin < 0.0;
    Some(if arrow && is_backward { Text { words: format!("← {words}"), ..text } } else { text })
}

/// Whether a stake is one along a trench.
pub(super) fn is_of_trench(site: &Site<'_>, stake: &StakeOut) -> bool {
    let Some(rest) = stake.stake.strip_prefix("drain ") else { return false };
    let Some((run, number)) = rest.rsplit_once('.') else { return false };
    number.parse::<usize>().is_ok() && site.plan.drains.iter().any(|d| d.name == run)
}

/// Cuts at stakes of trenches where there is room, on one line as small as words may be; how many have none.
pub(super) fn trench_stakes(site: &Site<'_>, placer: &mut Placer, group: &mut Group) -> usize {
    let mut left = 0;
    for stake in site.outcome.stakes.iter().flatten().filter(|s| is_of_trench(site, s)) {
        let Some(cut) = &site.cut(stake) else { continue };
        let at = site.scale.paper((stake.northing, stake.easting));
        let name = stake.stake.trim_start_matches("drain ");
        let cut = Text::new("cut", at, SMALL, cut).bold().halo(HALO);
        let name = Text::new("stake", at, SMALL, name).colour(GREY).halo(HALO);
        let between = 0.05;
        let (w, h) = (cut.width() + between + name.width() + 0.05, SMALL * CAP + 0.035);
        let Some(place) = placer.try_place(labels::round(at, w, h, 0.06)) else {
            left += 1;
            continue;
        };
        let base = place.centre.by(-w / 2.0 + 0.025, SMALL * CAP / 2.0);
        let after = base.by(cut.width() + between, 0.0);
        group.push(Text { at: base, ..cut });
        group.push(Text { at: after, ..name });
    }
    left
}
