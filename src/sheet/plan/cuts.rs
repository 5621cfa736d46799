//! Where on the ground are the sections cut?
//!
//! At each end of a section a short heavy stroke along its line, with its letter beyond: a line all the way would cross
//! what is dug by. Units: inches of paper.

use super::stakes::{CAP, HALO};
use super::{INK, Site};
use crate::sheet::labels::{Box2, Placer};
use crate::sheet::sections;
use crate::sheet::{Align, Group, PaperPoint, Stroke, Text};

/// Length of the stroke, and its width.
const STROKE: (f64, f64) = (0.22, 0.035);
const EM: f64 = 0.16;

/// The mark of one end: `at`, with the rest of the line toward `other`.
pub(super) fn mark(at: PaperPoint, other: PaperPoint, group: &mut Group) {
    let long = at.distance(other);
    if long > 0.0 {
        let inner = at.towards(other, (STROKE.0 / long).min(0.5));
        group.push(Stroke::new(vec![at, inner], STROKE.1, INK));
    }
}

/// Marks of all sections; a letter without room beyond its end goes to either side of it.
pub(super) fn draw(site: &Site<'_>, placer: &mut Placer) -> Group {
    let mut group = Group::new("section-marks");
    for cut in sections::cuts(site.outcome) {
        for (from, to) in [(cut.from, cut.to), (cut.to, cut.from)] {
            if !site.shows(from) {
                continue;
            }
            let (at, other) = (site.scale.paper(from), site.scale.paper(to));
            let long = at.distance(other);
            if long < 0.05 {
                continue;
            }
            let (x, y) = ((at.x - other.x) / long, (at.y - other.y) / long);
            let text = Text::new("section", at, EM, &cut.letter).bold().colour(INK).halo(HALO);
            let (half_w, half_h) = (text.width() / 2.0 + 0.03, EM * CAP / 2.0 + 0.03);
            let offsets =
                [(0.13, 0.0), (0.22, 0.0), (0.05, 0.17), (0.05, -0.17), (-0.1, 0.17), (-0.1, -0.17), (0.35, 0.0)];
            let places = offsets.map(|(out, side)| {
                let centre = at.by(x * out - y * side, y * out + x * side);
                Box2 { centre, half_w, half_h, angle: 0.0 }
            });
            match placer.try_place(places) {
                Some(place) => {
                    let base = place.centre.by(0.0, EM * CAP / 2.0);
                    group.push(Text { at: base, ..text }.align(Align::Middle));
                }
                None => placer.drop_some(1),
            }
            mark(at, other, &mut group);
        }
    }
    group
}
