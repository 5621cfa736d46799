//! How is the dig put on a phone? One HTML file that holds everything and asks the network for nothing.
//!
//! Its parts are read from the files beside this one: the frame (`page.html`), the looks (`page.css`), the words in two languages
//! (`words.json`) and the script, file by file in the order of `SCRIPT`. The job goes in as data (`application/json`, every `<` as
//! `\u003c`), from which the script puts text into the page as text only. The page's own policy (W3C, Content Security Policy
//! Level 3) forbids everything but this one script and this one sheet of looks, by their digests. No clock: the same job makes the
//! same bytes. Numbers are in the job's unit and unrounded; the page rounds as `units` does.

mod digest;

use crate::job::{FieldOut, GradeOut, NetOut, Outcome, StakeOut};
use digest::sha256_base64;
use serde_json::{Value, json};

const FRAME: &str = include_str!("page.html");
const LOOKS: &str = include_str!("page.css");
const WORDS: &str = include_str!("words.json");
/// The script's files, each of which only needs the ones before it until all of them are there.
const SCRIPT: [&str; 8] = [
    include_str!("numbers.js"),
    include_str!("ground.js"),
    include_str!("book.js"),
    include_str!("table.js"),
    include_str!("words.js"),
    include_str!("plan.js"),
    include_str!("panels.js"),
    include_str!("start.js"),
];

/// More stakes than this are no list a person walks, and no file for a phone.
pub const MOST_STAKES: usize = 5_000;

/// The page; none where the outcome has no stakes or no geometry, or more stakes than a page can bear.
///
/// # Errors
/// What the encoder says; an outcome of finite numbers encodes.
pub fn page(outcome: &Outcome) -> Result<Option<String>, serde_json::Error> {
    let (Some(stakes), Some(field)) = (&outcome.stakes, &outcome.field) else { return Ok(None) };
    if stakes.len() > MOST_STAKES {
        return Ok(None);
    }
    let mut data = data(outcome, stakes, field);
    // What is kept on a phone belongs to this dig and no other.
    data["key"] = Value::from(sha256_base64(serde_json::to_string(&data)?.as_bytes()));
    let safe = |value: &Value| serde_json::to_string(value).map(|text| text.replace('<', "\\u003c"));
    let script = format!("(() => {{\n'use strict';\n{}}})();\n", SCRIPT.concat());
    let words: Value = serde_json::from_str(WORDS)?;
    // From the last to the first, so that nothing put in is looked through for marks.
    let mut page = FRAME.to_owned();
    for (mark, text) in [
        ("@SCRIPT@", script.as_str()),
        ("@DATA@", &safe(&data)?),
        ("@WORDS@", &safe(&words)?),
        ("@LOOKS@", LOOKS),
        ("@SCRIPT-DIGEST@", &sha256_base64(script.as_bytes())),
        ("@LOOKS-DIGEST@", &sha256_base64(LOOKS.as_bytes())),
    ] {
        if let Some(at) = page.find(mark) {
            page.replace_range(at..at + mark.len(), text);
        }
    }
    Ok(Some(page))
}

fn data(outcome: &Outcome, stakes: &[StakeOut], field: &FieldOut) -> Value {
    let plan = outcome.plan.as_ref();
    let floors = field.floors.iter().map(|f| {
        let mut floor = match &f.grade {
            GradeOut::Plane { at, height, rise } => {
                json!({ "plane": { "at": at, "height": height, "rise": rise } })
            }
            GradeOut::Net(surface) => json!({ "net": net(surface) }),
        };
        floor["area"] = json!(f.area);
        floor["rings"] = json!(f.rings);
        floor["up"] = json!(f.up);
        floor["noTopsoil"] = json!(f.no_topsoil);
        floor
    });
    let benches = plan.iter().flat_map(|p| {
        p.marks.iter().map(|m| {
            let at = p.benches.iter().find(|b| b.0 == m.name).map(|b| [b.1, b.2]);
            json!({ "name": m.name, "z": m.elevation, "note": m.note, "at": at })
        })
    });
    let labels = plan.iter().flat_map(|p| &p.areas).map(|a| json!({ "code": a.code, "at": a.label }));
    json!({
        "job": outcome.job,
        "unit": outcome.units.length,
        "datum": outcome.datum,
        "tolerance": { "high": field.tolerance[0], "low": field.tolerance[1], "said": field.tolerance_said },
        "strip": field.strip,
        "benches": benches.collect::<Vec<_>>(),
        "stakes": stakes.iter().map(stake).collect::<Vec<_>>(),
        "floors": floors.collect::<Vec<_>>(),
        "ground": net(&field.ground),
        "labels": labels.collect::<Vec<_>>(),
        "overDig": plan.map(|p| &p.over_dig),
        "keepOff": plan.iter().flat_map(|p| &p.keep_offs).map(|k| json!({ "name": k.name, "what": k.what, "line": k.line, "radius": k.radius })).collect::<Vec<_>>(),
        "drains": plan.iter().flat_map(|p| &p.drains).map(|d| json!({ "name": d.name, "holes": d.perforated, "ends": d.ends })).collect::<Vec<_>>(),
        "outlets": plan.iter().flat_map(|p| &p.outlets).map(|o| json!({ "name": o.0, "at": [o.1, o.2] })).collect::<Vec<_>>(),
    })
}

fn stake(s: &StakeOut) -> Value {
    json!({
        "name": s.stake, "at": [s.northing, s.easting], "area": s.area, "existing": s.existing, "subgrade": s.subgrade,
        "digTo": s.dig_to, "cut": s.cut, "fill": s.fill, "notes": s.notes, "keepOff": s.keep_off,
    })
}

/// Nodes and triangles, each in one flat row of numbers.
fn net(net: &NetOut) -> Value {
    json!({ "nodes": net.nodes.concat(), "triangles": net.triangles.concat() })
}

#[cfg(test)]
mod tests;
