//! Sections and areas: layers, outlines, finished grades, over-dig.

use super::finish::finish;
use super::haul::{above_zero, length_above_zero};
use super::names::Desk;
use super::value::{Span, Spot, Table, Toward as Way};
use crate::design::said::{Area, Fabric, Fall, Layer, OverDig, Place, Section, Spoil, Toward, Usage};
use crate::haul::Firmness;
use crate::outline::{Fault, faults};
use crate::read::nearest::nearest;
use crate::read::{Complaint, Source};
use crate::units::{Length, Measured};
use std::collections::HashMap;

/// Names of tables with a name, in order; those without one have an empty name.
pub(super) fn names(tables: &[Table]) -> Vec<&str> {
    tables.iter().map(|t| t.text("name").unwrap_or("")).collect()
}

/// Build-ups.
pub(super) fn sections(desk: &mut Desk<'_>, tables: &[Table]) -> Vec<Section> {
    desk.unique("section", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    tables
        .iter()
        .map(|t| {
            let layers: Vec<Layer> = t.tables("layers").iter().map(|l| layer(desk, l)).collect();
            if layers.is_empty() && t.has("layers") && t.tables("layers").is_empty() && is_list(t) {
                desk.complain(
                    t.at("layers"),
                    "no layer",
                    "one layer at least",
                    "add a layer, `{ name = \"...\", thick = \"...\" }`",
                );
            }
            let names: Vec<&str> = layers.iter().map(|l| l.name.as_str()).collect();
            let refill =
                t.text("refill").and_then(|name| desk.which(name, t.at("refill"), &names, "layer of this section"));
            Section {
                name: t.text("name").unwrap_or("").to_owned(),
                refill,
                topsoil_may_stay: !t.has("topsoil_may_stay") || t.yes("topsoil_may_stay"),
                compaction_allowance: t.length("compaction_allowance"),
                fabric: t.table("fabric").and_then(|f| fabric(desk, f)),
                layers,
            }
        })
        .collect()
}

fn is_list(section: &Table) -> bool {
    matches!(section.entries.get("layers").map(|e| &e.said), Some(super::value::Said::Tables(_)))
}

fn layer(desk: &mut Desk<'_>, t: &Table) -> Layer {
    let order = t.word("order");
    let weight = above_zero(desk, t, "weight", Measured::Density, "a weight");
    let covers = above_zero(desk, t, "covers", Measured::Area, "an area");
    let wants = match order {
        Some("ton" | "tonne") => Some("weight"),
        Some("bag" | "piece" | "panel" | "roll") => Some("covers"),
        _ => None,
    };
    if let (Some(key), Some(order)) = (wants.filter(|key| !t.has(key)), order) {
        let found = format!("a layer ordered by the {order} without `{key}`");
        desk.complain(t.at("order"), found, format!("`{key}` beside it"), "add it, or order by area or volume");
    }
    Layer {
        name: t.text("name").unwrap_or("").to_owned(),
        thick: t.length("thick").unwrap_or_default(),
        order,
        weight,
        waste: t.part("waste").unwrap_or(0.0),
        covers,
        gradation: t.text("gradation").map(str::to_owned),
        past_edge: t.yes("past_edge"),
        from_kept_topsoil: t.word("from").is_some(),
    }
}

/// Added to an order of fabric where nothing is said: 5 % (common practice).
const FABRIC_WASTE: f64 = 0.05;

fn fabric(desk: &mut Desk<'_>, t: &Table) -> Option<Fabric> {
    let said = t.word("firmness").and_then(|word| Firmness::WORDS.iter().find(|(w, _)| *w == word));
    let firmness = said.map_or(Firmness::default(), |(_, firmness)| *firmness);
    let fabric = Fabric {
        kind: t.word("kind").unwrap_or("").to_owned(),
        lap: t.length("lap").unwrap_or_else(|| firmness.lap(desk.unit)),
        length: length_above_zero(desk, t, "length", "a roll"),
        up_sides: t.yes("up_sides"),
        waste: t.part("waste").unwrap_or(FABRIC_WASTE),
        roll: length_above_zero(desk, t, "roll", "a roll")?,
    };
    if fabric.lap >= fabric.roll {
        let key = if t.has("lap") { "lap" } else { "roll" };
        let found = "a lap as wide as the roll";
        desk.complain(t.at(key), found, "a lap narrower than the roll", "mend one of the two");
        return None;
    }
    Some(fabric)
}

/// What areas refer to.
pub(super) struct Around<'a> {
    /// Files the job refers to.
    pub files: &'a HashMap<String, Source>,
    pub sections: &'a [&'a str],
    pub areas: &'a [&'a str],
    pub drains: &'a [&'a str],
    /// Cores; none where their table could not be read.
    pub cores: Option<Vec<&'a str>>,
}

/// One area, with the places of its corners in the file. `at`: its number.
pub(super) fn area(desk: &mut Desk<'_>, t: &Table, at: usize, around: &Around<'_>) -> (Option<Area>, Vec<Vec<Span>>) {
    let name = t.text("name").unwrap_or("").to_owned();
    let section = t.text("section").and_then(|s| desk.which(s, t.at("section"), around.sections, "section"));
    let (rings, spans, corner_names) = outline(desk, t);
    let finish = t.table("finish").and_then(|f| finish(desk, f, (at, &name), around));
    let subgrade = t.table("subgrade").and_then(|s| fall(desk, s, around));
    let code = t.text("code").unwrap_or(&name).to_owned();
    let count = rings.as_ref().and_then(|r| r.first()).map_or(0, Vec::len);
    let core = match (t.text("core"), &around.cores) {
        (Some(name), Some(cores)) => desk.which(name, t.at("core"), cores, "core"),
        _ => None,
    };
    let over_dig = over_dig(desk, t, &code, &corner_names, count);
    let area = || {
        Some(Area {
            section: section?,
            usage: t.word("use").and_then(|w| Usage::WORDS.iter().find(|(u, _)| *u == w)).map(|&(_, usage)| usage),
            by_building: t.yes("by_building"),
            rings: rings?,
            finish: finish?,
            subgrade,
            over_dig,
            batter: t.table("batter").and_then(run_and_rise),
            allow_uncovered: t.yes("allow_uncovered"),
            proud: Length::ZERO,
            core,
            spoil: match t.word("spoil") {
                Some("mixed") => Spoil::Mixed,
                Some("wet") => Spoil::Wet,
                _ => Spoil::Clean,
            },
            name,
            code,
            corner_names,
        })
    };
    (area(), spans)
}

/// A side slope.
pub(super) fn run_and_rise(t: &Table) -> Option<(f64, f64)> {
    Some((t.number("run")?, t.number("rise")?))
}

type Outline = (Option<Vec<Vec<Place>>>, Vec<Vec<Span>>, Vec<String>);

fn outline(desk: &mut Desk<'_>, t: &Table) -> Outline {
    let mut names = vec![];
    let mut rings: Vec<Vec<(Place, Span)>> = match (t.has("outline"), t.has("corners")) {
        (true, false) => match t.rings("outline") {
            Some(rings) => rings.to_vec(),
            None => return (None, vec![], names),
        },
        (false, true) => {
            let Some(said) = t.names("corners") else { return (None, vec![], names) };
            names = said.iter().map(|(name, _)| name.clone()).collect();
            let places: Vec<_> =
                said.iter().map(|(n, span)| Some((desk.known(n, span.clone())?.place, span.clone()))).collect();
            match places.into_iter().collect::<Option<Vec<_>>>() {
                Some(ring) => vec![ring],
                None => return (None, vec![], names),
            }
        }
        (both, _) => {
            let found = if both { "both `outline` and `corners`" } else { "neither `outline` nor `corners`" };
            let span = if both { t.at("corners") } else { t.span.clone() };
            desk.complain(span, found, "one of the two", "give the corners once, by place or by name");
            return (None, vec![], names);
        }
    };
    for ring in &mut rings {
        // A ring may end with its first corner again.
        if ring.len() > 3 && ring.first().map(|c| c.0) == ring.last().map(|c| c.0) {
            ring.pop();
        }
    }
    let places: Vec<Vec<Place>> = rings.iter().map(|r| r.iter().map(|c| c.0).collect()).collect();
    names.truncate(places.first().map_or(0, Vec::len));
    let spans: Vec<Vec<Span>> = rings.into_iter().map(|r| r.into_iter().map(|c| c.1).collect()).collect();
    let wrong = faults(&places);
    let whole = t.at(if t.has("outline") { "outline" } else { "corners" });
    for fault in &wrong {
        tell(desk, fault, &spans, &whole);
    }
    (wrong.is_empty().then_some(places), spans, names)
}

/// A fault of an outline as a complaint about its corner.
pub(super) fn tell(desk: &mut Desk<'_>, fault: &Fault, spans: &[Vec<Span>], whole: &Span) {
    let at = |ring: usize, corner: usize| spans.get(ring).and_then(|r| r.get(corner)).unwrap_or(whole).clone();
    let redraw = "mend the order of the corners, or the one that is out of place";
    let (span, found, expected, help, other) = match *fault {
        Fault::TooFew { ring } => {
            let count = spans.get(ring).map_or(0, Vec::len);
            (whole.clone(), format!("{count} corners"), "three different corners or more", "add the missing ones", None)
        }
        Fault::Flat { ring } => {
            (at(ring, 0), "all corners on one line".to_owned(), "a ring that encloses ground", redraw, None)
        }
        Fault::Repeated { ring, first, again } => (
            at(ring, again),
            format!("corner {} in the place of corner {}", again + 1, first + 1),
            "each corner once",
            "remove one of the two, or mend its place",
            Some((at(ring, first), "the first time here")),
        ),
        Fault::Meet { one, other } => (
            at(other.0, other.1),
            format!("the edge from corner {} crossing or touching another", other.1 + 1),
            "edges that meet only at their corners",
            redraw,
            Some((at(one.0, one.1), "the other edge begins here")),
        ),
        Fault::Astray { ring } => (
            at(ring, 0),
            "a hole outside its outline".to_owned(),
            "holes inside the first ring",
            "put the ring that encloses first",
            None,
        ),
        Fault::Nested { ring, .. } => (
            at(ring, 0),
            "a hole inside another hole".to_owned(),
            "holes beside each other",
            "remove the inner one",
            None,
        ),
    };
    let mut complaint = Complaint::at(desk.source, span, found, expected, help);
    if let Some((span, text)) = other {
        complaint = complaint.and(desk.source, span, text);
    }
    desk.complaints.push(complaint);
}

pub(super) fn fall(desk: &mut Desk<'_>, t: &Table, around: &Around<'_>) -> Option<Fall> {
    let toward = toward(desk, t.toward("toward")?, t.at("toward"), around);
    Some(Fall { slope: t.slope("fall")?, toward: toward? })
}

pub(super) fn toward(desk: &mut Desk<'_>, way: &Way, span: Span, around: &Around<'_>) -> Option<Toward> {
    Some(match way {
        Way::Azimuth(degrees) => Toward::Azimuth(*degrees),
        Way::Drain(name) => Toward::Drain(desk.which(name, span, around.drains, "drain")?),
        Way::Name(name) => {
            if !desk.names.all.contains_key(name) && !desk.names.unknown {
                let near = nearest(name, super::kinds::WAYS.iter().copied());
                if let Some(near) = near {
                    let found = format!("`{name}`, which is no direction and no place");
                    desk.complain(
                        span,
                        found,
                        "a compass word, degrees from north, a name, or `drain A`",
                        format!("the nearest word is `{near}`"),
                    );
                    return None;
                }
            }
            Toward::Place(desk.spot(&Spot::Name(name.clone()), span)?)
        }
    })
}

fn over_dig(desk: &mut Desk<'_>, t: &Table, code: &str, names: &[String], count: usize) -> Option<OverDig> {
    if let Some(width) = t.length("over_dig") {
        return Some(OverDig { width, except: vec![] });
    }
    let said = t.table("over_dig")?;
    let mut except = Vec::new();
    for (edge, span) in said.names("except").unwrap_or(&[]) {
        if count == 0 {
            continue;
        }
        match edge_of(edge, code, names, count) {
            Some(edge) => except.push(edge),
            None => desk.complain(
                span.clone(),
                format!("`{edge}`, which is no edge of this area"),
                format!("two neighbouring corners, such as `{code}.1-{code}.2`"),
                format!("corners are {code}.1 to {code}.{count}, in the order given"),
            ),
        }
    }
    except.sort_unstable();
    except.dedup();
    Some(OverDig { width: said.length("all")?, except })
}

/// The edge between two corners named with a hyphen between them; names may have hyphens of their own.
fn edge_of(text: &str, code: &str, names: &[String], count: usize) -> Option<usize> {
    let corner = |name: &str| {
        let number = name.strip_prefix(code).and_then(|r| r.strip_prefix('.')).and_then(|r| r.parse::<usize>().ok());
        number.filter(|k| (1..=count).contains(k)).map(|k| k - 1).or_else(|| names.iter().position(|n| n == name))
    };
    text.match_indices('-').find_map(|(k, _)| {
        let (a, b) = (corner(text[..k].trim())?, corner(text[k + 1..].trim())?);
        match (a, b) {
            _ if (a + 1) % count == b => Some(a),
            _ if (b + 1) % count == a => Some(b),
            _ => None,
        }
    })
}
