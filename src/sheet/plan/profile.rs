//! What does the ground look like from the side?
//!
//! A chart in its own frame: existing dashed, finish thin, subgrade heavy, distance to the right. The height is drawn
//! larger than the distance by a stated, round factor.

use super::{EARTH, GREY, HEADING, INK, SMALL, Site, frame};
use crate::job::ProfilePoint;
use crate::sheet::chart::{NUMBERS, axes, exaggerated, exaggeration};
use crate::sheet::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text};

/// Below this width of frame the key of the lines gets a row of its own.
const NARROW: f64 = 6.0;

type Height = fn(&ProfilePoint) -> Option<f64>;

/// How each of the three is drawn: its words, its height, colour, width in inches, dash.
const LINES: [(&str, Height, Colour, f64, &[f64]); 3] = [
    ("existing", |p| p.existing, EARTH, 0.012, &[0.06, 0.035]),
    ("finish", |p| p.finish, INK, 0.008, &[]),
    ("subgrade", |p| p.subgrade, INK, 0.024, &[]),
];

pub(super) fn draw(site: &Site<'_>, room: Rect) -> Group {
    let mut group = Group::new("profile");
    group.push(frame(room));
    let points = &site.plan.profile;
    let head = if room.w < NARROW { 0.5 } else { 0.3 };
    let chart = Rect::new(room.x + 0.06, room.y + head, room.w - 0.21, room.h - head - 0.04);
    let length = points.iter().map(|p| p.distance).fold(0.0, f64::max);
    let heights = || points.iter().flat_map(|p| [p.existing, p.finish, p.subgrade]).flatten();
    let (low, high) = (heights().fold(f64::MAX, f64::min), heights().fold(f64::MIN, f64::max));
    if !(length.is_finite() && length > 0.0 && low <= high && (high - low).is_finite()) {
        return group;
    }
    let (wide, tall) = (chart.w - NUMBERS.0, chart.h - NUMBERS.1);
    let factor = exaggeration(wide, tall, length, high - low);
    let half = tall / (wide / length * factor) / 2.0;
    let middle = (low + high) / 2.0;
    // The canvas cannot fail and the ranges are finite and not empty, so neither can the chart.
    let drawn = axes(&mut group, chart, length, middle - half..middle + half, (SMALL, GREY));
    debug_assert!(drawn.is_ok());
    let place = |p: &ProfilePoint, z: f64| {
        let x = chart.x + NUMBERS.0 + p.distance / length * wide;
        PaperPoint::new(x, chart.y + tall * (0.5 - (z - middle) / (2.0 * half)))
    };
    for (_, height, colour, width, dash) in LINES {
        // A gap in a surface is a gap in its line.
        for run in points.split(|p| height(p).is_none()).filter(|run| run.len() > 1) {
            let line = run.iter().filter_map(|p| height(p).map(|z| place(p, z))).collect();
            group.push(Stroke::new(line, width, colour).dashed(dash));
        }
    }
    heading(site, room, factor, &mut group);
    group
}

fn heading(site: &Site<'_>, room: Rect, factor: f64, group: &mut Group) {
    let mut base = room.y + 0.19;
    let title = Text::new("heading", PaperPoint::new(room.x + 0.1, base), HEADING, "Profile down the fall").bold();
    let exaggeration = format!("in {}; {}", site.unit.length(), exaggerated(factor));
    let at = PaperPoint::new(room.right() - 0.1, base);
    group.push(Text::new("chart", at, SMALL, &exaggeration).colour(GREY).align(Align::Right));
    let mut x = room.x + 0.1 + title.width() + 0.3;
    if room.w < NARROW {
        base += 0.2;
        x = room.x + 0.1;
    }
    group.push(title.colour(INK));
    for (words, height, colour, width, dash) in LINES {
        if site.plan.profile.iter().any(|p| height(p).is_some()) {
            let line = [x, x + 0.4].map(|x| PaperPoint::new(x, base - 0.035));
            group.push(Stroke::new(line.to_vec(), width, colour).dashed(dash));
            let text = Text::new("chart", PaperPoint::new(x + 0.46, base), SMALL, words).colour(INK);
            x += 0.46 + text.width() + 0.2;
            group.push(text);
        }
    }
}
