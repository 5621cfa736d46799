//! How much is dug and filled, in all and area by area?
//!
//! Without areas: cut, fill and what they cover. With areas: the parts of the excavation, which are disjoint and add up
//! to their sum; the strip is part of them. Volumes in yd3 or m3, bank; one table row an area.

use super::boxes::Pen;
use super::details::short;
use super::{GREY, INK, Site};
use crate::job::{ExcavationOut, TotalOut};
use crate::sheet::font::Weight;
use crate::units::{CutFill, Length, LengthUnit, feet_inches, fixed};

/// `yd3` as `yd³`.
fn raised(given: &str, otherwise: &str) -> String {
    let unit = if given.is_empty() { otherwise } else { given };
    unit.replace('3', "³").replace('2', "²")
}

/// The box's content, with or without its table.
pub(super) fn draw(site: &Site<'_>, has_table: bool, pen: &mut Pen) {
    let Some(volume) = &site.outcome.volume else { return };
    let total = &volume.total;
    let (unit, area) =
        (raised(&site.outcome.units.volume, site.unit.volume()), raised(&site.outcome.units.area, site.unit.area()));
    pen.heading("Volumes");
    if let Some(dug) = &volume.excavation {
        account(site, dug, total, &unit, pen);
        if volume.doubt.diagonal > 0.0 {
            pen.pair("Doubt from the shots' spacing", &format!("± {} {unit}", fixed(volume.doubt.diagonal, 2)), false);
        }
        if has_table {
            table(site, pen);
        } else if !volume.areas.is_empty() {
            pen.words("quantity", &format!("Area by area: see {}.", site.rest), Weight::Regular, GREY, 0.0);
        }
        return;
    }
    pen.pair("Cut, bank", &format!("{} {unit}", fixed(total.cut, places(total.cut))), true);
    pen.pair("Fill, compacted", &format!("{} {unit}", fixed(total.fill, places(total.fill))), true);
    if volume.doubt.diagonal > 0.0 {
        pen.pair("Doubt from the shots' spacing", &format!("± {} {unit}", fixed(volume.doubt.diagonal, 2)), false);
    }
    pen.pair("Area", &format!("{} {area}", fixed(total.area, 1)), false);
    pen.pair(
        "of it cut / fill",
        &format!("{} / {} {area}", fixed(total.cut_area, 1), fixed(total.fill_area, 1)),
        false,
    );
    let say = |most: CutFill| most.lath(site.unit);
    let [cut, fill] = [total.max_cut, total.max_fill].map(Length::in_job_units);
    pen.pair("Most", &format!("{} / {}", say(CutFill::Cut(cut)), say(CutFill::Fill(fill))), false);
}

/// Two decimals below a hundred.
fn places(volume: f64) -> usize {
    if volume.abs() < 100.0 { 2 } else { 1 }
}

/// The parts of the excavation and their sum.
fn account(site: &Site<'_>, dug: &ExcavationOut, total: &TotalOut, unit: &str, pen: &mut Pen) {
    let say = |v: f64| format!("{} {unit}", fixed(v, places(v)));
    pen.pair("Cut to subgrade, bank", &say(dug.cut), false);
    let parts = [("Undercut: topsoil below subgrade", dug.undercut), ("Over-dig past the edges", dug.over_dig)];
    for (name, volume) in parts.into_iter().filter(|part| part.1 > 0.0) {
        pen.pair(name, &say(volume), false);
    }
    match dug.trench {
        Some(trench) if trench > 0.0 => pen.pair("Trenches", &say(trench), false),
        None if !site.plan.drains.is_empty() => pen.pair("Trenches", "not in yet", false),
        _ => {}
    }
    if dug.batter > 0.0 {
        pen.pair("Sloped sides", &say(dug.batter), false);
    }
    let sum =
        if dug.trench.is_none() && !site.plan.drains.is_empty() { "DIG, without trenches" } else { "DIG, in all" };
    pen.pair(sum, &say(dug.sum), true);
    if dug.strip > 0.0 {
        pen.pair("of which topsoil, strip", &say(dug.strip), false);
    }
    pen.pair("Fill, compacted", &say(total.fill), true);
}

/// Mean and deepest cut of each area, to subgrade.
fn table(site: &Site<'_>, pen: &mut Pen) {
    let Some(volume) = &site.outcome.volume else { return };
    let depth = |d: f64| {
        if site.unit == LengthUnit::Metre { fixed(d, 3) } else { feet_inches(Length::in_job_units(d), site.unit) }
    };
    let (code_w, finish, mean, most) = (0.36, pen.w - 1.3, pen.w - 0.66, pen.w);
    pen.y += 0.04;
    pen.row(&[("", 0.0), ("area", code_w), ("finish", finish), ("mean cut", mean), ("deepest", most)], GREY);
    for area in &volume.areas {
        let code = site.plan.areas.iter().find(|a| a.name == area.name).map_or("", |a| a.code.as_str());
        let name = short(&area.name, Weight::Regular, finish - 0.46 - code_w);
        let slope = format!("{} %", fixed(area.finish_slope * 100.0, 2));
        let cells = [
            (code, 0.0),
            (&name, code_w),
            (&slope, finish),
            (&depth(area.mean_cut), mean),
            (&depth(area.max_cut), most),
        ];
        pen.row(&cells, INK);
    }
}
