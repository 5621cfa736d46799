//! Keep-offs and fixed heights.

use super::areas::run_and_rise;
use super::names::Desk;
use super::value::Table;
use crate::design::said::{Fixed, Guard, KeepOff, Owed, Place};
use crate::job::SheetWish;
use crate::rules::{RULES, Rules};
use crate::units::{Elevation, Length, parse_scale};

/// Roots reach 1.25 ft for each inch of trunk (tree protection zone by trunk diameter): 15 times the trunk.
const ROOTS: f64 = 15.0;

/// Complains of the keys that are missing; whether none is.
fn needs(desk: &mut Desk<'_>, t: &Table, what: &str, keys: &[&str]) -> bool {
    let missing: Vec<_> = keys.iter().filter(|key| !t.has(key)).map(|key| format!("`{key}`")).collect();
    if !missing.is_empty() {
        desk.complain(
            t.span.clone(),
            format!("{what} without {}", missing.join(" and ")),
            format!("{} with it", missing.join(" and ")),
            "add what is missing",
        );
    }
    missing.is_empty()
}

fn line(desk: &mut Desk<'_>, t: &Table) -> Option<Vec<Place>> {
    t.spots("line")?.iter().map(|(spot, span)| desk.spot(spot, span.clone())).collect()
}

/// Limits of the job's own.
pub(super) fn rules(said: Option<&Table>) -> Rules {
    let mut out = Rules::default();
    for rule in RULES {
        let Some(said) = said else { break };
        let slope = said.slope(rule.key).map(crate::units::Slope::ratio);
        if let Some(limit) = slope.or_else(|| said.length(rule.key).map(Length::job_units)) {
            out.say(rule.id, limit);
        }
    }
    out
}

/// Lines to cut the ground along: both ends of each.
pub(super) fn cuts(desk: &mut Desk<'_>, t: &Table) -> Vec<[Place; 2]> {
    let mut out = Vec::new();
    for line in t.lines("sections").unwrap_or_default() {
        let places: Vec<Option<Place>> = line.iter().map(|(spot, span)| desk.spot(spot, span.clone())).collect();
        match places.as_slice() {
            [Some(a), Some(b)] if a != b => out.push([*a, *b]),
            [Some(_), Some(_)] => desk.complain(
                line[0].1.clone(),
                "a section from a place to itself",
                "two places apart",
                "give the place where it ends",
            ),
            [_, _] => {}
            more => desk.complain(
                line[0].1.clone(),
                format!("a section along {} places", more.len()),
                "a straight one: two places",
                "make it several sections",
            ),
        }
    }
    out
}

/// How the sheets are wanted.
pub(super) fn sheet(said: Option<&Table>) -> SheetWish {
    let Some(said) = said else { return SheetWish::default() };
    let text = |key: &str| said.text(key).map(str::to_owned);
    SheetWish {
        paper: said.word("paper").map(str::to_owned),
        // `fit` is no scale: the sheet chooses.
        scale: text("scale").and_then(|said| parse_scale(&said).ok().map(|ratio| (said, ratio))),
        in_tenths: said.word("depths") == Some("tenths"),
        date: text("date"),
        revision: text("revision"),
    }
}

/// Where not to dig.
pub(super) fn keep_offs(desk: &mut Desk<'_>, tables: &[Table]) -> Vec<KeepOff> {
    desk.unique("keep-off", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    tables.iter().filter_map(|t| Some(KeepOff { what: guard(desk, t)?, name: t.text("name")?.to_owned() })).collect()
}

fn guard(desk: &mut Desk<'_>, t: &Table) -> Option<Guard> {
    match t.word("what")? {
        "root circle" => {
            let both = t.has("trunk") == t.has("radius");
            if both {
                desk.complain(
                    t.span.clone(),
                    "a root circle with both or neither of `trunk` and `radius`",
                    "one of the two",
                    "give the trunk's diameter, or the radius itself",
                );
            }
            if !needs(desk, t, "a root circle", &["at"]) || both {
                return None;
            }
            let at = t.spot("at").and_then(|spot| desk.spot(&spot, t.at("at")))?;
            let of_trunk = || Some(Length::in_job_units(t.length("trunk")?.job_units() * ROOTS));
            Some(Guard::RootCircle { at, radius: t.length("radius").or_else(of_trunk)? })
        }
        "footing" => {
            if !needs(desk, t, "a footing", &["line", "bottom", "slope"]) {
                return None;
            }
            let bottom = Elevation::in_job_units(t.number("bottom")?);
            Some(Guard::Footing { line: line(desk, t)?, bottom, slope: t.table("slope").and_then(run_and_rise)? })
        }
        _ => {
            if !needs(desk, t, "a utility", &["line", "within"]) {
                return None;
            }
            Some(Guard::Utility { line: line(desk, t)?, within: t.length("within")? })
        }
    }
}

/// Heights that were there first.
pub(super) fn fixed(desk: &mut Desk<'_>, tables: &[Table], areas: &[&str]) -> Vec<Fixed> {
    desk.unique("fixed height", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    tables
        .iter()
        .filter_map(|t| Some(Fixed { owed: owed(desk, t, areas)?, name: t.text("name")?.to_owned() }))
        .collect()
}

fn owed(desk: &mut Desk<'_>, t: &Table, areas: &[&str]) -> Option<Owed> {
    let ways: Vec<&str> = ["at", "along", "between"].into_iter().filter(|key| t.has(key)).collect();
    let [way] = ways.as_slice() else {
        let found = if ways.is_empty() { "a fixed height without a place".to_owned() } else { ways.join(" and ") };
        desk.complain(t.span.clone(), found, "one of `at`, `along` and `between`", "say once what is fixed");
        return None;
    };
    let two = |desk: &mut Desk<'_>, what: &str| {
        let names = t.names(way)?;
        if let [a, b] = names {
            return Some([a.clone(), b.clone()]);
        }
        let found = if names.len() == 1 { "one name".to_owned() } else { format!("{} names", names.len()) };
        desk.complain(t.at(way), found, format!("two {what}"), "name both");
        None
    };
    let area = |desk: &mut Desk<'_>| desk.which(t.text("area")?, t.at("area"), areas, "area");
    match *way {
        "at" => {
            if !needs(desk, t, "a fixed height `at` a place", &["area", "below"]) {
                return None;
            }
            let area = area(desk);
            let (at, height) = desk.height(t.text("at")?, t.at("at"))?;
            let (least, most) = range(desk, t, "below")?;
            Some(Owed::Below { at, height: Elevation::in_job_units(height), area: area?, least, most })
        }
        "along" => {
            if !needs(desk, t, "a fixed height `along` an edge", &["area", "within"]) {
                return None;
            }
            let area = area(desk);
            let [a, b] = two(desk, "places")?;
            let (a, b) = (desk.height(&a.0, a.1), desk.height(&b.0, b.1));
            let end = |(place, up): (Place, f64)| (place, Elevation::in_job_units(up));
            Some(Owed::Along { ends: [end(a?), end(b?)], area: area?, within: t.length("within")? })
        }
        _ => {
            if !needs(desk, t, "a step `between` areas", &["riser"]) {
                return None;
            }
            let [a, b] = two(desk, "areas")?;
            let (a, b) = (desk.which(&a.0, a.1, areas, "area"), desk.which(&b.0, b.1, areas, "area"));
            let (least, most) = range(desk, t, "riser")?;
            Some(Owed::Riser { areas: [a?, b?], least, most })
        }
    }
}

fn range(desk: &mut Desk<'_>, t: &Table, key: &str) -> Option<(Option<Length>, Option<Length>)> {
    let said = t.table(key)?;
    let (least, most) = (said.length("least"), said.length("most"));
    if !said.has("least") && !said.has("most") {
        desk.complain(t.at(key), "neither `least` nor `most`", "one of them or both", "say what is allowed");
        return None;
    }
    if let (Some(least), Some(most)) = (least, most)
        && least > most
    {
        desk.complain(t.at(key), "`least` above `most`", "the smaller one as `least`", "exchange the two");
        return None;
    }
    Some((least, most))
}
