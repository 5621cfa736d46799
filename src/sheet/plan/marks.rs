//! What do the symbols of points look like, and where do their names go?
//!
//! A stake is a cross, an outlet a round grate, a bench a triangle with a dot, a low a full triangle pointing down.
//! At a stake's cut a full square says that stone comes back, an open diamond that the dig there is by hand.
//! Units: inches of paper; angles in degrees clockwise from up.

use super::stakes::{ARROW, CAP, CROSS, HALO, WATER, is_dug};
use super::{GREY, INK, SMALL, Site, water};
use crate::job::PondOut;
use crate::sheet::labels::{self, Box2, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text};
use crate::units::{LengthUnit, fixed};

/// A stake.
pub(super) fn cross(at: PaperPoint, group: &mut Group) {
    for (dx, dy) in [(CROSS, 0.0), (0.0, CROSS)] {
        group.push(Stroke::new(vec![at.by(-dx, -dy), at.by(dx, dy)], 0.015, INK));
    }
}

/// A ring of 32 corners.
pub(super) fn circle(at: PaperPoint, r: f64) -> Vec<PaperPoint> {
    (0..32)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 32.0).sin_cos();
            at.by(r * cos, r * sin)
        })
        .collect()
}

/// A stake that is not dug.
pub(super) fn small_cross(at: PaperPoint, group: &mut Group) {
    for (dx, dy) in [(0.6 * CROSS, 0.0), (0.0, 0.6 * CROSS)] {
        group.push(Stroke::new(vec![at.by(-dx, -dy), at.by(dx, dy)], 0.01, GREY));
    }
}

/// Half of the marks beside a cut.
pub(super) const MARK: f64 = 0.045;

/// Stone comes back.
pub(super) fn stone(at: PaperPoint, group: &mut Group) {
    let r = Rect::new(at.x - MARK, at.y - MARK, 2.0 * MARK, 2.0 * MARK);
    group.push(Stroke::new(r.corners().to_vec(), 0.0, INK).closed().filled(INK));
}

/// Dig by hand.
pub(super) fn hand(at: PaperPoint, group: &mut Group) {
    let half = 1.35 * MARK;
    let corners = vec![at.by(0.0, -half), at.by(half, 0.0), at.by(0.0, half), at.by(-half, 0.0)];
    group.push(Stroke::new(corners, 0.02, INK).closed().filled(Colour::WHITE));
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

/// The highest place of an area.
pub(super) fn high(at: PaperPoint, group: &mut Group) {
    let corners = vec![at.by(-0.05, 0.035), at.by(0.05, 0.035), at.by(0.0, -0.055)];
    group.push(Stroke::new(corners, 0.012, INK).closed());
}

/// Where standing water runs over.
pub(super) fn spill(at: PaperPoint, group: &mut Group) {
    let corners = vec![at.by(-0.06, -0.045), at.by(0.06, -0.045), at.by(0.0, 0.06)];
    group.push(Stroke::new(corners, 0.014, WATER).closed().filled(Colour::WHITE));
}

/// Highest places with their height, where there is room.
pub(super) fn highs(site: &Site<'_>, placer: &mut Placer, group: &mut Group) {
    let places = if site.unit == LengthUnit::Metre { 3 } else { 2 };
    for &(n, e, z) in site.plan.highs.iter().filter(|h| site.shows((h.0, h.1))) {
        let at = site.scale.paper((n, e));
        let text = Text::new("high", at, SMALL, &fixed(z, places)).colour(INK).halo(HALO);
        // The mark and its height are one block: at the place itself stands a stake as a rule.
        let (w, h) = (text.width() + 0.19, SMALL * CAP + 0.04);
        match placer.try_place(labels::round(at, w, h, 0.06)) {
            Some(place) => {
                let left = place.centre.by(-w / 2.0, 0.0);
                high(left.by(0.07, 0.01), group);
                group.push(Text { at: left.by(0.15, SMALL * CAP / 2.0), ..text });
            }
            None => placer.drop_some(1),
        }
    }
}

/// Water that stands somewhere of its own, not as a part of more water.
pub(super) fn waters<'a>(site: &Site<'a>) -> impl Iterator<Item = &'a PondOut> {
    let all = site.outcome.drainage.iter().flat_map(|d| d.ponds.iter().flatten());
    let is_told = |p: &&PondOut| site.plan.lows.iter().any(|l| (l.0, l.1) == p.low_at);
    let told: Vec<&PondOut> = all.filter(|p| p.inside.is_none()).filter(is_told).collect();
    told.into_iter()
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
pub(super) fn names(site: &Site<'_>, placer: &mut Placer) -> Group {
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
        let words = match (height, water::invert_at(site, (*n, *e))) {
            (Some(z), _) => format!("{who} {}", fixed(*z, places)),
            (None, Some(invert)) => format!("{outlet} inv {}", fixed(invert, places)),
            (None, None) => outlet.clone(),
        };
        name("outlet", (*n, *e), 0.13, &words, WATER);
    }
    for (bench, n, e, height) in &site.plan.benches {
        if site.shows((*n, *e)) {
            name("bench", (*n, *e), 0.11, &format!("{bench} {}", fixed(*height, places)), INK);
        }
    }
    for pond in waters(site).filter(|p| site.shows(p.spill_at)) {
        name("spill", pond.spill_at, 0.09, &format!("runs over at {}", fixed(pond.level, places)), WATER);
    }
    for &(n, e, height) in &site.plan.lows {
        let depth = water::depth_at(site, (n, e)).map(|d| format!(", {d}")).unwrap_or_default();
        name("low", (n, e), 0.09, &format!("LOW {}{depth}", fixed(height, places)), WATER);
    }
    group
}

/// Symbols of all points, each taking its room.
pub(super) fn symbols(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("symbols");
    let mut take = |at: PaperPoint, half: f64| {
        placer.take(Box2::upright(Rect::new(at.x - half, at.y - half, 2.0 * half, 2.0 * half)));
    };
    water::symbols(site, &mut take, &mut group);
    for stake in site.outcome.stakes.iter().flatten() {
        let at = site.scale.paper((stake.northing, stake.easting));
        if site.has_areas() && !is_dug(stake) {
            take(at, 0.6 * CROSS);
            small_cross(at, &mut group);
        } else {
            take(at, CROSS);
            cross(at, &mut group);
        }
    }
    for &(n, e, _) in &site.plan.lows {
        let at = site.scale.paper((n, e));
        take(at, 0.07);
        low(at, &mut group);
    }
    for pond in waters(site).filter(|p| site.shows(p.spill_at)) {
        let at = site.scale.paper(pond.spill_at);
        take(at, 0.06);
        spill(at, &mut group);
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
