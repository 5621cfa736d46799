//! Does the ground as dug still drain?
//!
//! On the net of an area's own shots, open at its rim: closed lows, the mean fall against that of the design, ground too flat, and ground
//! whose water ends in a low. What leaves over the rim on the downhill side is where the design takes it.

use super::digcheck_out::DugFallOut;
use super::ponds::{PondOut, ponds_out};
use super::site::Site;
use super::site_water::is_hard;
use super::suspects::places;
use crate::design::mean_falls;
use crate::drainage::{Catchments, WaysOut, azimuth};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::rules::Id;
use crate::surface::{Surface, Triangle, same_height};
use crate::units::{TIE, at_least, fixed};

/// How an area falls as dug, and a check of it.
pub(super) fn fall(site: &Site<'_>, k: usize, dug: &Surface, checks: &mut Vec<Check>) -> DugFallOut {
    let (area, frame, net) = (&site.dig.areas[k], site.dig.frame(), dug.net());
    let count = u32::try_from(net.triangles()).unwrap_or(u32::MAX);
    let place = |t: u32| net.corners(t).map(|v| net.place(v));
    let pieces: Vec<Triangle> = (0..count).map(|t| Triangle { place: place(t), height: dug.heights(t) }).collect();
    let (east, north) = mean_falls(&pieces, frame);
    let floor: Vec<Triangle> = area.floor().collect();
    let (de, dn) = mean_falls(&floor, frame);
    let design = de.hypot(dn);
    let along = if design > 0.0 { (east * de + north * dn) / design } else { east.hypot(north) };
    let held = site.job.rules.held(Id::SubgradeLeast, site.job.unit);
    // A design flatter than the rule is asked for no more than it gives.
    let least = held.limit.min(design);
    let is_flat = |t: &u32| !at_least(dug.slope(*t), least);
    let drains = at_least(along, least);
    let out = DugFallOut {
        slope: east.hypot(north),
        azimuth: azimuth((east, north)),
        along,
        design,
        flat_area: (0..count).filter(is_flat).map(|t| net.triangle_area(t)).sum(),
        held_area: Catchments::new(dug, &[]).area(|p| !p.end.arrives()),
        drains,
    };
    let percent = |v: f64| fixed(v * 100.0, 2);
    checks.push(Check {
        rule: "drains as dug",
        subject: Subject::Area(area.said.name.clone()),
        found: along,
        measure: Measure::Slope,
        limit: Limit::Least(least),
        pass: drains,
        source: held.source,
        note: if drains { String::new() } else { format!("designed to fall {} %", percent(design)) },
    });
    out
}

/// Closed lows of an area as dug; under paving each is a check, under soil a caution.
pub(super) fn lows<'a>(
    site: &Site<'_>,
    k: usize,
    dug: &Surface,
    named: impl Iterator<Item = ((i64, i64), &'a str)>,
    (checks, cautions): (&mut Vec<Check>, &mut Vec<Caution>),
) -> Vec<PondOut> {
    let unit = site.job.unit;
    let shallow = same_height(unit);
    // The rim is open, so that there is always a way out.
    let mut ponds = ponds_out(dug, &WaysOut::default(), unit, named).unwrap_or_default();
    for pond in &mut ponds {
        pond.areas = vec![site.dig.areas[k].said.name.clone()];
    }
    for pond in ponds.iter().filter(|p| p.inside.is_none()) {
        let at = |name: &Option<String>, (n, e): (f64, f64)| match name {
            Some(name) => name.clone(),
            None => format!("N {}, E {}", fixed(n, 1), fixed(e, 1)),
        };
        let length = |v: f64| format!("{} {}", fixed(v, places(unit)), unit.length());
        let text = format!(
            "closed low {} deep at {}, spills at {} {}",
            length(pond.depth),
            at(&pond.low_name, pond.low_at),
            at(&pond.spill_name, pond.spill_at),
            fixed(pond.level, places(unit))
        );
        let subject = Subject::Area(site.dig.areas[k].said.name.clone());
        if is_hard(site, k) {
            checks.push(Check {
                rule: "no closed low as dug",
                subject,
                found: pond.depth,
                measure: Measure::Length,
                limit: Limit::Most(shallow),
                pass: pond.depth <= shallow + TIE,
                source: "common practice, no source".to_owned(),
                note: text,
            });
        } else if pond.depth > shallow + TIE {
            cautions.push(Caution::new(subject, text));
        }
    }
    ponds
}
