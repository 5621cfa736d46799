//! Of what is each area built up?
//!
//! ```text
//!  walk panel (W1, W2)
//!  ┌───┐ finish          every section in use as a stack of its layers, all to one stated scale;
//!  │   │─ 2 3/8 in paver the words keep a line's height apart and point back
//!  ├───┤─ 1 in bedding
//!  ┗━━━┛ SUBGRADE 6 1/8 in down
//! ```
//! Scales: the architect's fractions of an inch to the foot, or 1:2, 1:5 and their ten-folds in metres: the largest at
//! which the deepest stack is no higher than [`MOST`]. Thickness in inches to the eighth, or whole millimetres.
//! Units: job units in, inches of paper out.

use super::{GREY, HEADING, INK, SMALL, Site, frame};
use crate::job::PlanOut;
use crate::sheet::font::{self, Weight};
use crate::sheet::{Colour, Group, PaperPoint, Rect, Stroke, Text};
use crate::units::{Length, LengthUnit, eighths, fixed};

/// Highest stack, in inches of paper.
const MOST: f64 = 0.85;
/// Width of a stack.
const STACK: f64 = 0.36;
/// From one line of words to the next.
const LINE: f64 = 0.13;
/// A cell is not made wider for longer words: they are cut off.
const WIDEST: f64 = 2.3;
const HEAD: f64 = 0.27;
/// From bottom of ground to earth: one shade a layer, in turn.
const SHADES: [Colour; 4] =
    [Colour(226, 226, 226), Colour(246, 246, 246), Colour(206, 206, 206), Colour(236, 236, 236)];

/// How the details divide a room of a given width.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    /// Of each section: row, inches from the left, width.
    cells: Vec<(usize, f64, f64)>,
    stack: f64,
    per_unit: f64,
    said: String,
    /// Whole width.
    pub(super) w: f64,
    /// Whole height.
    pub(super) h: f64,
}

/// How the sections in use are laid out in a room `w` inches wide; none where there are none.
pub(super) fn arranged(plan: &PlanOut, unit: LengthUnit, w: f64) -> Option<Plan> {
    let depth = |layers: &[(String, f64)]| layers.iter().map(|l| l.1).sum::<f64>();
    let deepest = plan.sections.iter().map(|s| depth(&s.1)).fold(0.0, f64::max);
    if !(deepest.is_finite() && deepest > 0.0) {
        return None;
    }
    let (per_unit, said) = scale(deepest, unit);
    let most_layers = plan.sections.iter().map(|s| s.1.len()).max().unwrap_or(1);
    let stack = (deepest * per_unit).max(most_layers as f64 * LINE + 0.06);
    let (mut cells, mut row, mut x, mut widest) = (Vec::new(), 0, 0.0, 0.0_f64);
    for (name, layers) in &plan.sections {
        let beside = layers.iter().map(|l| font::width(&layer_words(l, unit), Weight::Regular, SMALL));
        let below = font::width(&bottom_words(depth(layers), unit), Weight::Bold, SMALL);
        let body = beside.fold(below, f64::max) + STACK + 0.2;
        let cell = body.max(font::width(&heading(plan, name), Weight::Bold, SMALL)) + 0.16;
        let cell = cell.min(WIDEST).min(w - 0.2);
        if x > 0.0 && x + cell > w - 0.2 {
            (row, x) = (row + 1, 0.0);
        }
        cells.push((row, x, cell));
        x += cell;
        widest = widest.max(x);
    }
    let h = HEAD + (row + 1) as f64 * row_height(stack) + 0.04;
    Some(Plan { cells, stack, per_unit, said, w: widest + 0.2, h })
}

/// Name, finish line, stack, subgrade line.
fn row_height(stack: f64) -> f64 {
    LINE + LINE + stack + LINE + 0.11
}

/// Inches of paper to the job unit, and how it is said.
fn scale(deepest: f64, unit: LengthUnit) -> (f64, String) {
    let fits = |per_unit: f64| deepest * per_unit <= MOST;
    if unit == LengthUnit::Metre {
        let ratios = (0..6).flat_map(|decade| [1.0, 2.0, 5.0].map(|step| step * 10_f64.powi(decade)));
        let ratio = ratios.into_iter().find(|r| fits(1.0 / (r * 0.0254))).unwrap_or(1e6);
        return (1.0 / (ratio * 0.0254), format!("1:{}", fixed(ratio, 0)));
    }
    let steps = [(3.0, "3"), (1.5, "1 1/2"), (1.0, "1"), (0.75, "3/4"), (0.5, "1/2"), (0.25, "1/4"), (0.125, "1/8")];
    let (per_unit, words) = steps.into_iter().find(|s| fits(s.0)).unwrap_or((1.0 / 32.0, "1/32"));
    (per_unit, format!("{words} in = 1 ft"))
}

/// `2 3/8 in`, to the eighth; `60 mm`.
pub(in crate::sheet) fn thickness(length: f64, unit: LengthUnit) -> String {
    if unit == LengthUnit::Metre {
        return format!("{} mm", fixed(length * 1000.0, 0));
    }
    let all = eighths(Length::in_job_units(length), unit);
    let part = match all % 8 {
        0 => String::new(),
        4 => " 1/2".to_owned(),
        p if p % 2 == 0 => format!(" {}/4", p / 2),
        p => format!(" {p}/8"),
    };
    format!("{}{part} in", all / 8).trim_start_matches("0 ").to_owned()
}

fn layer_words((name, thick): &(String, f64), unit: LengthUnit) -> String {
    format!("{} {name}", thickness(*thick, unit))
}

fn bottom_words(depth: f64, unit: LengthUnit) -> String {
    format!("SUBGRADE {}", thickness(depth, unit))
}

/// The section with the codes of the areas built so.
fn heading(plan: &PlanOut, section: &str) -> String {
    let codes: Vec<&str> = plan.areas.iter().filter(|a| a.section == section).map(|a| a.code.as_str()).collect();
    if codes.is_empty() { section.to_owned() } else { format!("{section} ({})", codes.join(", ")) }
}

/// The first line of words, with dots where more was cut off.
pub(super) fn short(words: &str, weight: Weight, room: f64) -> String {
    if font::width(words, weight, SMALL) <= room {
        return words.to_owned();
    }
    let mut kept: String = font::wrap(words, weight, SMALL, room).into_iter().next().unwrap_or_default();
    while font::width(&kept, weight, SMALL) + SMALL > room && kept.pop().is_some() {}
    kept + "…"
}

/// The box at `room`.
pub(super) fn draw(site: &Site<'_>, room: Rect, arranged: &Plan) -> Group {
    let mut group = Group::new("sections");
    group.push(frame(room));
    let base = room.y + 0.19;
    group.push(Text::new("heading", PaperPoint::new(room.x + 0.1, base), HEADING, "Build-up").bold().colour(INK));
    let said = format!("to scale, {}", arranged.said);
    group.push(Text::new("detail", PaperPoint::new(room.x + 0.88, base), SMALL, &said).colour(GREY));
    for (section, &(row, x, w)) in site.plan.sections.iter().zip(&arranged.cells) {
        let at = PaperPoint::new(room.x + 0.1 + x, room.y + HEAD + row as f64 * row_height(arranged.stack));
        stack(site, arranged.per_unit, section, Rect::new(at.x, at.y, w, 0.0), &mut group);
    }
    group
}

/// One section in its cell.
fn stack(site: &Site<'_>, per_unit: f64, section: &(String, Vec<(String, f64)>), cell: Rect, group: &mut Group) {
    let at = PaperPoint::new(cell.x, cell.y);
    let (name, layers) = section;
    let beside = at.x + STACK + 0.14;
    let room = cell.w - STACK - 0.2;
    let name = short(&heading(site.plan, name), Weight::Bold, cell.w - 0.06);
    group.push(Text::new("detail", at.by(0.0, 0.1), SMALL, &name).bold().colour(INK));
    group.push(Text::new("detail", PaperPoint::new(beside, at.y + 0.08 + LINE), SMALL, "finish").colour(GREY));
    let top = at.y + LINE + 0.115;
    let (mut y, mut last) = (top, top - LINE * 0.25);
    for (k, layer) in layers.iter().enumerate() {
        let high = layer.1 * per_unit;
        let corners = Rect::new(at.x, y, STACK, high).corners().to_vec();
        group.push(Stroke::new(corners, 0.007, INK).closed().filled(SHADES[k % SHADES.len()]));
        // Words in the middle of their layer, or a line below those before.
        let middle = y + high / 2.0;
        let line = middle.max(last + LINE);
        last = line;
        let leader = vec![PaperPoint::new(at.x + STACK, middle), PaperPoint::new(beside - 0.03, line)];
        group.push(Stroke::new(leader, 0.005, GREY));
        let words = short(&layer_words(layer, site.unit), Weight::Regular, room);
        group.push(Text::new("detail", PaperPoint::new(beside, line + 0.036), SMALL, &words).colour(INK));
        y += high;
    }
    for (height, width) in [(top, 0.012), (y, 0.03)] {
        let ends = [at.x - 0.03, at.x + STACK + 0.06].map(|x| PaperPoint::new(x, height));
        group.push(Stroke::new(ends.to_vec(), width, INK));
    }
    let depth: f64 = layers.iter().map(|l| l.1).sum();
    let words = short(&bottom_words(depth, site.unit), Weight::Bold, room);
    let line = (y + 0.036).max(last + 0.036 + LINE);
    group.push(Text::new("detail", PaperPoint::new(beside, line), SMALL, &words).bold().colour(INK));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thickness_is_said_as_it_is_measured() {
        let inches = |v: f64| thickness(v / 12.0, LengthUnit::Foot);
        assert_eq!([2.375, 1.0, 0.75, 0.5, 12.0].map(inches), ["2 3/8 in", "1 in", "3/4 in", "1/2 in", "12 in"]);
        assert_eq!(thickness(0.51, LengthUnit::Foot), "6 1/8 in");
        assert_eq!(thickness(0.06, LengthUnit::Metre), "60 mm");
    }

    #[test]
    fn the_largest_scale_at_which_the_deepest_fits() {
        assert_eq!(scale(1.0, LengthUnit::Foot).1, "3/4 in = 1 ft");
        assert_eq!(scale(0.5, LengthUnit::Foot).1, "1 1/2 in = 1 ft");
        assert_eq!(scale(0.3, LengthUnit::Metre).1, "1:20");
        assert!(scale(900.0, LengthUnit::Foot).0 > 0.0);
    }
}
