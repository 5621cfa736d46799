//! What does a finish say?
//!
//! One of: a plane `through` a place; one that `meets` an area above; graded `spots`; `follow` the ground; `fit` the ground.

use super::areas::{Around, fall, toward};
use super::names::Desk;
use super::survey::file;
use super::value::{Table, Through};
use crate::design::said::{Fall, Finish};
use crate::read::{read_lines, read_shots};
use crate::units::Elevation;

const WAYS: [&str; 5] = ["through", "meets", "spots", "follow", "fit"];

/// Keys that belong to some ways only.
const OF: [(&str, &[&str]); 7] = [
    ("down", &["meets", "follow"]),
    ("breaklines", &["spots"]),
    ("least", &["fit"]),
    ("most", &["fit"]),
    ("fall", &["through", "meets", "fit"]),
    ("toward", &["through", "meets", "fit"]),
    ("falls", &["through", "meets"]),
];

/// The finish of an area, the `at`th, called `name`.
pub(super) fn finish(desk: &mut Desk<'_>, t: &Table, (at, name): (usize, &str), around: &Around<'_>) -> Option<Finish> {
    let ways: Vec<&str> = WAYS.into_iter().filter(|key| t.has(key)).collect();
    let [way] = ways.as_slice() else {
        let found = if ways.is_empty() {
            "no height to hang the finish on".to_owned()
        } else {
            format!("{} together", ways.join(" and "))
        };
        let span = ways.last().map_or_else(|| t.span.clone(), |key| t.at(key));
        desk.complain(span, found, "one of `through`, `meets`, `spots`, `follow` and `fit`", "give one of them");
        return None;
    };
    let mut strays = false;
    for (key, own) in OF.iter().filter(|(key, own)| t.has(key) && !own.contains(way)) {
        strays = true;
        let expected = own.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(" or ");
        let help = format!("a finish by `{way}` takes no `{key}`: remove one of the two");
        desk.complain(t.at(key), format!("`{key}` beside `{way}`"), format!("{expected} beside it"), help);
    }
    if strays {
        return None;
    }
    match *way {
        "through" => through(desk, t, around),
        "meets" => meets(desk, t, at, around),
        "spots" => spots(desk, t, name, around),
        "follow" => Some(Finish::Follow { down: t.length("down").unwrap_or_default() }),
        _ => fit(desk, t, around),
    }
}

fn through(desk: &mut Desk<'_>, t: &Table, around: &Around<'_>) -> Option<Finish> {
    let falls = falls(desk, t, around);
    let span = t.at("through");
    let (through, height) = match t.through("through")? {
        Through::Here(place, up) => (*place, *up),
        Through::At(name, up) => (desk.known(name, span)?.place, *up),
        Through::Off(name, off) => {
            let (place, own) = desk.height(name, span)?;
            (place, own + off.job_units())
        }
    };
    Some(Finish::Plane { through, height: Elevation::in_job_units(height), falls: falls? })
}

fn meets(desk: &mut Desk<'_>, t: &Table, at: usize, around: &Around<'_>) -> Option<Finish> {
    let falls = falls(desk, t, around);
    let name = t.text("meets")?;
    let later = around.areas.iter().position(|n| *n == name).filter(|&k| k >= at);
    if later.is_some() {
        let found = if later == Some(at) {
            "an area that meets itself".to_owned()
        } else {
            format!("`{name}`, an area further down")
        };
        let help = "move that area up, or let it meet this one";
        desk.complain(t.at("meets"), found, "an area above in this file", help);
        return None;
    }
    let area = desk.which(name, t.at("meets"), &around.areas[..at], "area above")?;
    Some(Finish::Meets { area, down: t.length("down").unwrap_or_default(), falls: falls? })
}

fn spots(desk: &mut Desk<'_>, t: &Table, area: &str, around: &Around<'_>) -> Option<Finish> {
    let name = format!("spots of {area}");
    let read = file(t, "spots", around.files).and_then(|source| read_shots(source, &name, desk.unit, desk.complaints));
    let mut lines = Vec::new();
    if let Some(source) = file(t, "breaklines", around.files) {
        let shots = read.as_ref().map(|survey| &survey.shots);
        let all = read_lines(source, &name, shots, desk.complaints)?;
        desk.cautions.extend(all.cautions);
        lines = all.lines;
    }
    let survey = read?;
    desk.cautions.extend(survey.cautions);
    Some(Finish::Spots { shots: survey.shots, lines })
}

fn fit(desk: &mut Desk<'_>, t: &Table, around: &Around<'_>) -> Option<Finish> {
    for key in ["least", "most"] {
        if t.has("fall") && t.has(key) {
            let help = "`fall` says just how steep; `least` and `most` leave it open";
            desk.complain(t.at(key), format!("`{key}` beside `fall`"), "one of the two", help);
            return None;
        }
    }
    let (least, most) = (t.slope("least"), t.slope("most"));
    if let (Some(l), Some(m)) = (least, most)
        && l.ratio() > m.ratio()
    {
        desk.complain(t.at("most"), "`least` above `most`", "the smaller one as `least`", "exchange the two");
        return None;
    }
    match (t.has("fall"), t.has("toward")) {
        (true, true) => Some(Finish::Fit { fall: Some(fall(desk, t, around)?), slopes: [None; 2] }),
        (true, false) => Some(Finish::Fit { fall: None, slopes: [t.slope("fall"); 2] }),
        (false, false) => Some(Finish::Fit { fall: None, slopes: [least, most] }),
        (false, true) => {
            let help = "say how steep, or leave the direction to the ground";
            desk.complain(t.at("toward"), "`toward` without `fall`", "`fall` beside it", help);
            None
        }
    }
}

/// One or two falls, said in one of two ways.
fn falls(desk: &mut Desk<'_>, t: &Table, around: &Around<'_>) -> Option<Vec<Fall>> {
    match (t.has("falls"), t.has("fall"), t.has("toward")) {
        (true, false, false) => {
            let all = t.falls("falls")?;
            all.iter()
                .map(|(slope, way, span)| {
                    Some(Fall { slope: *slope, toward: toward(desk, way, span.clone(), around)? })
                })
                .collect()
        }
        (false, true, true) => Some(vec![fall(desk, t, around)?]),
        (falls, fall, _) => {
            let (key, found) = match (falls, fall) {
                (true, true) => ("fall", "both `fall` and `falls`"),
                (true, false) => ("toward", "both `toward` and `falls`"),
                (false, true) => ("fall", "`fall` without `toward`"),
                (false, false) if t.has("toward") => ("toward", "`toward` without `fall`"),
                (false, false) => ("", "no fall"),
            };
            let expected = "`fall` and `toward`, or `falls`";
            desk.complain(t.at(key), found, expected, "say how steep and which way is downhill");
            None
        }
    }
}
