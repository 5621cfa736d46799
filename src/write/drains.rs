//! What does the report say of the drains: each run, each leg of it, and its inverts?
//!
//! Heights and lengths to 0.01 (metres: 0.001), falls in percent, volumes to 0.01, flows in gallons a minute or litres a second.

use super::account::{places, words};
use super::columns::columns;
use crate::job::{DrainRunOut, Outcome};
use crate::units::fixed;

/// Gallons a minute in a cubic foot a second, by arithmetic: 1728 / 231 x 60.
const GALLONS: f64 = 1728.0 / 231.0 * 60.0;

/// Every run; nothing without any.
pub(super) fn drains(d: &[DrainRunOut], outcome: &Outcome) -> Option<String> {
    let places = places(outcome);
    let is_metric = outcome.units.length == "m";
    let (flow, factor) = if is_metric { ("L/s", 1000.0) } else { ("gal/min", GALLONS) };
    let maybe = |v: Option<f64>, places: usize| v.map_or_else(|| "-".to_owned(), |v| fixed(v, places));
    let rows = d.iter().map(|r| {
        let mut row = vec![r.name.clone(), fixed(r.length, 2), fixed(r.fall * 100.0, 2)];
        row.extend([r.cover, r.flowline_below].map(|v| maybe(v, places)));
        row.extend([r.contributing, r.with_upstream].map(|v| maybe(v, 1)));
        row.extend([r.capacity, r.peak].map(|v| maybe(v.map(|q| q * factor), 1)));
        row.extend([fixed(r.spare, places), fixed(r.reach, 1), r.clean_outs.to_string()]);
        let last = r.points.last().map_or("", |p| p.name.as_str());
        row.push(r.into.as_ref().map_or_else(|| last.to_owned(), |into| format!("{last}, on by {into}")));
        row
    });
    let head = words([
        "drain",
        "length",
        "fall %",
        "cover",
        "flowline below",
        "takes in",
        "with upstream",
        "carries",
        "storm",
        "spare fall",
        "reach",
        "clean-outs",
        "to",
    ]);
    let runs = columns(&head, rows);
    let head = words([
        "drain", "pipe", "length", "fall %", "inside", "outside", "trench", "deep", "stone", "backfill", "fabric",
    ]);
    let rows = d.iter().flat_map(|r| {
        r.legs.iter().map(move |l| {
            let mut row = vec![r.name.clone(), l.kind.clone(), fixed(l.length, 2), fixed(l.fall * 100.0, 2)];
            row.extend([l.size, l.outside].map(|v| fixed(v, 3)));
            if r.by_others {
                row.extend(words(["by others", "-", "-", "-", "-"]));
            } else {
                row.extend([
                    fixed(l.trench, 2),
                    maybe(l.depth, places),
                    fixed(l.stone, 2),
                    fixed(l.backfill, 2),
                    fixed(l.fabric, 1),
                ]);
            }
            row
        })
    });
    let legs = columns(&head, rows);
    let rows = d.iter().flat_map(|r| {
        r.points.iter().map(move |p| {
            let mut row = vec![r.name.clone(), p.name.clone(), fixed(p.northing, 2), fixed(p.easting, 2)];
            row.extend([fixed(p.invert, places), maybe(p.trench_bottom, places)]);
            row.push(if p.clean_out { "clean-out".to_owned() } else { String::new() });
            row
        })
    });
    let nodes = columns(&words(["drain", "node", "northing", "easting", "invert", "trench bottom", ""]), rows);
    let units = &outcome.units;
    let title =
        format!("Drains ({}, {}, {flow}; full flow, n 0.016 perforated, 0.011 solid)", units.length, units.area);
    let note = format!("Legs ({}, {}, {}; deep: below today's ground)", units.length, units.volume, units.area);
    let outside: Vec<String> = d
        .iter()
        .filter_map(|r| Some((r, r.from_outside.filter(|area| *area >= 1.0)?)))
        .map(|(r, area)| format!("{} {} {}", r.name, fixed(area, 0), units.area))
        .collect();
    let outside = if outside.is_empty() {
        String::new()
    } else {
        format!("\nGround outside the dig that runs to them as well, not in the storm: {}", outside.join(", "))
    };
    (!d.is_empty()).then(|| format!("{title}\n{runs}{outside}\n\n{note}\n{legs}\n\nInverts\n{nodes}"))
}
