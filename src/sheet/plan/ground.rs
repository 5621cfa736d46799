//! How are the two surfaces shown: tint, hatch, contours, the edge of the dig?
//!
//! Tint: ColorBrewer scheme BrBG (Cynthia A. Brewer, colorbrewer2.org), brown for cut, blue-green for fill, paler
//! toward zero. Fill is hatched as well, so that a black-and-white copy tells the two apart.
//! Existing contours are thin dashes with the level in parentheses; subgrade contours are solid, every fifth heavier.

use super::{EARTH, INK, Site};
use crate::job::LineOut;
use crate::sheet::join::join;
use crate::sheet::{Area, Colour, Group, PaperPoint, Stroke, clip, hatch, merge};

/// Cut, from shallow to deep.
const CUT: [Colour; 3] = [Colour(246, 232, 195), Colour(223, 194, 125), Colour(191, 129, 45)];
/// Fill, from shallow to deep.
const FILL: [Colour; 3] = [Colour(199, 234, 229), Colour(128, 205, 193), Colour(53, 151, 143)];
/// The darkest third of the scheme would drown the words: this much of it is used.
const STRONGEST: f64 = 0.72;

/// Subgrade contours.
pub(super) const SUBGRADE: Colour = Colour(45, 45, 45);
/// Hatch on fill.
pub(super) const HATCH: Colour = Colour(53, 115, 110);
/// Inches between lines of the hatch.
pub(super) const HATCH_GAP: f64 = 0.075;
/// Existing contours.
pub(super) const EXISTING_DASH: &[f64] = &[0.06, 0.035];
/// Where cut turns to fill.
pub(super) const ZERO_DASH: &[f64] = &[0.14, 0.04, 0.02, 0.04];
/// Breaks in the ground.
pub(super) const BREAK_DASH: &[f64] = &[0.2, 0.05];
pub(super) const BREAK_WIDTH: f64 = 0.022;
/// Width of the edge of the dig.
pub(super) const EDGE_WIDTH: f64 = 0.032;

/// The colour of a depth, positive cut and negative fill, where `most` is the greatest on the sheet.
pub(super) fn tint(depth: f64, most: f64) -> Colour {
    let ramp = if depth >= 0.0 { &CUT } else { &FILL };
    let t = if most > 0.0 { (depth.abs() / most).min(1.0) * STRONGEST * 2.0 } else { 0.0 };
    if t < 1.0 { ramp[0].mix(ramp[1], t) } else { ramp[1].mix(ramp[2], t - 1.0) }
}

/// The greatest depth of any band.
pub(super) fn deepest(site: &Site<'_>) -> f64 {
    site.plan.tint.iter().map(|piece| piece.depth.abs()).fold(0.0, f64::max)
}

/// Whether a level is an index contour: every fifth interval from zero.
pub(super) fn is_index(level: f64, interval: f64) -> bool {
    let fifths = level / (5.0 * interval);
    interval > 0.0 && (fifths - fifths.round()).abs() < 0.1
}

/// A line of places on the paper.
pub(super) fn on_paper(site: &Site<'_>, points: &[(f64, f64)]) -> Vec<PaperPoint> {
    points.iter().map(|&p| site.scale.paper(p)).collect()
}

/// A contour's parts inside the drawing area: surveys may reach further than the dig.
pub(super) fn in_room(site: &Site<'_>, contour: &LineOut) -> Vec<Vec<PaperPoint>> {
    clip::line(&on_paper(site, &contour.points), &site.layout.plan.inset(0.04))
}

/// From the bottom up: tint, hatch, existing contours, subgrade contours, zero line, edge.
pub(super) fn draw(site: &Site<'_>) -> Vec<Group> {
    let [tint, hatch] = patches(site);
    let mut groups = vec![tint, hatch, breaks(site), existing(site), subgrade(site), zero_line(site)];
    // With areas it is drawn over them.
    if !site.has_areas() {
        groups.push(edge(site));
    }
    groups
}

fn patches(site: &Site<'_>) -> [Group; 2] {
    let most = deepest(site);
    let mut bands: Vec<Area> = Vec::new();
    let mut filled = Vec::new();
    for piece in site.plan.tint.iter().filter(|piece| piece.ring.len() > 2) {
        let ring = on_paper(site, &piece.ring);
        let fill = tint(piece.depth, most);
        if piece.depth < 0.0 {
            filled.push(ring.clone());
        }
        match bands.iter_mut().find(|band| band.fill == fill) {
            Some(band) => band.rings.push(ring),
            None => bands.push(Area { rings: vec![ring], fill }),
        }
    }
    let mut tint = Group::new("tint");
    for band in bands {
        tint.push(Area { rings: merge::outline(&band.rings), ..band });
    }
    let mut lines = Group::new("fill-hatch");
    for line in hatch::lines(&filled, HATCH_GAP) {
        lines.push(Stroke::new(line.to_vec(), 0.007, HATCH));
    }
    [tint, lines]
}

fn existing(site: &Site<'_>) -> Group {
    let mut group = Group::new("existing-contours");
    for line in &site.plan.existing {
        for part in in_room(site, line) {
            group.push(Stroke::new(part, 0.009, EARTH).dashed(EXISTING_DASH));
        }
    }
    group
}

/// Lines the existing surface does not bridge.
fn breaks(site: &Site<'_>) -> Group {
    let mut group = Group::new("breaks");
    let room = site.layout.plan.inset(0.04);
    for line in &site.plan.breaks {
        for part in clip::line(&on_paper(site, line), &room) {
            group.push(Stroke::new(part, BREAK_WIDTH, EARTH).dashed(BREAK_DASH));
        }
    }
    group
}

fn subgrade(site: &Site<'_>) -> Group {
    let mut group = Group::new("subgrade-contours");
    for line in &site.plan.subgrade {
        let width = if is_index(line.level, site.plan.interval) { 0.02 } else { 0.01 };
        for part in in_room(site, line) {
            group.push(Stroke::new(part, width, SUBGRADE));
        }
    }
    group
}

/// Pieces end to end are joined, or each would begin its dashes anew.
fn zero_line(site: &Site<'_>) -> Group {
    let mut group = Group::new("zero-line");
    for line in join(&site.plan.zero_line) {
        group.push(Stroke::new(on_paper(site, &line), 0.016, INK).dashed(ZERO_DASH));
    }
    group
}

pub(super) fn edge(site: &Site<'_>) -> Group {
    let mut group = Group::new("dig-edge");
    for ring in &site.plan.edge {
        group.push(Stroke::new(on_paper(site, ring), EDGE_WIDTH, INK).closed());
    }
    group
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn deeper_is_darker_on_both_sides_and_zero_is_pale() {
        let grey = |c: Colour| 0.299 * f64::from(c.0) + 0.587 * f64::from(c.1) + 0.114 * f64::from(c.2);
        for side in [1.0, -1.0] {
            let shades: Vec<f64> = (0..=10).map(|k| grey(tint(side * f64::from(k) / 10.0, 1.0))).collect();
            assert!(shades.windows(2).all(|w| w[1] < w[0]), "{shades:?}");
            assert!(shades[0] > 220.0 && shades[10] > 130.0, "words stay readable: {shades:?}");
        }
    }

    #[test]
    fn every_fifth_level_is_an_index() {
        let indexed: Vec<bool> = [99.9, 100.0, 100.1, 100.4, 100.5].iter().map(|&l| is_index(l, 0.1)).collect();
        assert_eq!(indexed, [false, true, false, false, true]);
        assert!(!is_index(100.0, 0.0));
    }
}
