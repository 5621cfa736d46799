//! Which way is north, and how long is a foot on this paper?
//!
//! North is up. The bar is drawn through the same scale as the ground and says how long it is, so that anybody with
//! a tape can see whether a print is true.

use super::boxes::LeftOff;
use super::details::short;
use super::{GREY, HEADING, INK, SMALL, Site};
use crate::sheet::font::{self, Weight};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text};
use crate::units::fixed;

/// North arrow, bar scale and what is said of them.
pub(super) fn strip(site: &Site<'_>, left_off: LeftOff) -> Group {
    let mut group = Group::new("scale-strip");
    let room = site.layout.strip;
    north(PaperPoint::new(room.x + 0.4, room.centre().y), &mut group);
    let share = if site.tile.is_some() { 0.3 } else { 0.42 };
    let mut end = bar(site, PaperPoint::new(room.x + 1.0, room.y + 0.36), room.w * share, &mut group);
    if let Some(tile) = &site.tile {
        end = tile.key(room, end + 0.6, &mut group) - 0.3;
        elsewhere(Rect::new(end + 0.5, room.y, room.right() - end - 2.6, room.h), tile.legend(), left_off, &mut group);
        end = room.right() - 2.5;
    }
    words(site, Rect::new(end + 0.55, room.y, room.right() - end - 0.65, room.h), &mut group);
    group
}

/// A needle, its right half black, with its letter.
fn north(at: PaperPoint, group: &mut Group) {
    let tip = at.by(0.0, -0.24);
    let foot = at.by(0.0, 0.13);
    for (side, fill) in [(-1.0, Colour::WHITE), (1.0, INK)] {
        let half = vec![tip, at.by(side * 0.1, 0.24), foot];
        group.push(Stroke::new(half, 0.01, INK).closed().filled(fill));
    }
    group.push(Text::new("north", at.by(0.2, 0.06), 0.18, "N").bold().colour(INK).align(Align::Middle));
}

/// Divisions of a round number of units; the longest bar of at most four that fits. Returns its right end.
fn bar(site: &Site<'_>, at: PaperPoint, room: f64, group: &mut Group) -> f64 {
    let step = division(site.scale.inches(1.0), room.min(4.2));
    let inches = site.scale.inches(step);
    let high = 0.075;
    for k in 0..DIVISIONS {
        let x = at.x + f64::from(k) * inches;
        let block = Rect::new(x, at.y, inches, high).corners().to_vec();
        let fill = if k % 2 == 0 { INK } else { Colour::WHITE };
        group.push(Stroke::new(block, 0.008, INK).closed().filled(fill));
    }
    let places = if step >= 1.0 { 0 } else { 2 };
    for k in 0..=DIVISIONS {
        let p = at.by(f64::from(k) * inches, -0.05);
        let number = fixed(f64::from(k) * step, places);
        group.push(Text::new("bar", p, SMALL, &number).colour(INK).align(Align::Middle));
    }
    let end = at.x + f64::from(DIVISIONS) * inches;
    let unit = Text::new("bar", PaperPoint::new(end + 0.17, at.y - 0.05), SMALL, site.unit.length()).colour(INK);
    group.push(unit);
    let long = site.scale.inches(f64::from(DIVISIONS) * step);
    let measured = if site.unit.length() == "m" {
        format!("{} mm", fixed(long * 25.4, 1))
    } else {
        format!("{} in", fixed(long, 2))
    };
    let check = format!("this bar measures {measured} on a true print");
    group.push(Text::new("bar", at.by(0.0, high + 0.115), SMALL, &check).colour(GREY));
    end
}

/// What the sheet of a part leaves to others.
fn elsewhere(room: Rect, legend: usize, left_off: LeftOff, group: &mut Group) {
    let mut lines = vec![format!("Legend: sheet {legend}; cautions: sheet 1. Void if bench or stakes were disturbed.")];
    let LeftOff { bare, trenches, dropped } = left_off;
    if bare > 0 {
        lines.push(format!("{bare} stakes stand WITHOUT their cut for want of room: see the stake table."));
    }
    let small = dropped.saturating_sub(bare);
    if small + trenches > 0 {
        lines.push(format!("{} small labels left off for want of room: see the stake table.", small + trenches));
    }
    let wrapped = lines.iter().enumerate().flat_map(|(k, line)| {
        let weight = if k == 1 && bare > 0 { Weight::Bold } else { Weight::Regular };
        font::wrap(line, weight, SMALL, room.w).into_iter().map(move |line| (line, weight))
    });
    for (k, (line, weight)) in wrapped.take(4).enumerate() {
        let at = PaperPoint::new(room.x, room.y + 0.15 + 0.13 * k as f64);
        group.push(Text { weight, ..Text::new("scale", at, SMALL, &line).colour(INK) });
    }
}

const DIVISIONS: i32 = 4;

/// The largest of 1, 2, 5 and their ten-folds of which four fit into `room` inches.
fn division(inches_per_unit: f64, room: f64) -> f64 {
    (-6..9)
        .flat_map(|decade| [1.0, 2.0, 5.0].map(|step| step * 10_f64.powi(decade)))
        .take_while(|step| f64::from(DIVISIONS) * step * inches_per_unit <= room)
        .last()
        .unwrap_or(1.0)
}

fn words(site: &Site<'_>, room: Rect, group: &mut Group) {
    let said = Text::new("scale", PaperPoint::new(room.right(), room.y + 0.27), HEADING * 1.2, &site.said);
    group.push(said.bold().colour(INK).align(Align::Right));
    let paper = format!("on {}, printed at 100 %", site.paper.name());
    let at = PaperPoint::new(room.right(), room.y + 0.45);
    group.push(Text::new("scale", at, SMALL, &paper).colour(GREY).align(Align::Right));
    if let Some(north) = &site.plan.north {
        let words = short(&format!("North: {north}"), Weight::Regular, room.w);
        let at = PaperPoint::new(room.right(), room.y + 0.585);
        group.push(Text::new("scale", at, SMALL, &words).colour(GREY).align(Align::Right));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_division_is_round_and_four_fit() {
        assert!((division(0.25, 4.2) - 2.0).abs() < 1e-12);
        assert!((division(0.1, 4.2) - 10.0).abs() < 1e-12);
        assert!((division(1.0 / 1.27, 4.2) - 1.0).abs() < 1e-12);
    }
}
