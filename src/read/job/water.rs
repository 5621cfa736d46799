//! Drains, basins, the sides of the tank, outlets.

use super::areas::names;
use super::names::Desk;
use super::value::{Spot, Table};
use crate::design::said::{Basin, Drain, Meets, Node, Pipe, Place, Runoff, Trench};
use crate::units::{Elevation, Length, LengthUnit, parse_number};

/// An outlet: its name and place.
pub(super) type Outlet = (String, i64, i64);

/// Where water may go in the end.
pub(super) fn outlets(desk: &mut Desk<'_>, tables: &[Table]) -> Vec<Outlet> {
    let said: Vec<_> = tables
        .iter()
        .filter_map(|t| {
            let spot = t.spot("at")?;
            let (n, e) = desk.spot(&spot, t.at("at"))?;
            let name = match (t.text("name"), &spot) {
                (Some(name), _) => name.to_owned(),
                (None, Spot::Name(name)) => name.clone(),
                (None, Spot::Place((n, e))) => {
                    format!("N {}, E {}", crate::shots::from_micro(*n), crate::shots::from_micro(*e))
                }
            };
            Some((name, n, e, t.at(if t.has("name") { "name" } else { "at" })))
        })
        .collect();
    desk.unique("outlet", said.iter().map(|(name, .., span)| (name.as_str(), span.clone())));
    said.into_iter().map(|(name, n, e, _)| (name, n, e)).collect()
}

/// Pipes. `root`: the whole file, for basins and the tank.
pub(super) fn drains(desk: &mut Desk<'_>, root: &Table, outlets: &[Outlet]) -> Vec<Drain> {
    let tables = root.tables("drain");
    desk.unique("drain", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    let basins = root.tables("basin");
    desk.unique("basin", basins.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    let ports: Vec<_> =
        ["inlet", "overflow"].into_iter().map(|side| root.table("tank").and_then(|t| t.table(side))).collect();
    // A basin that no pipe enters has its place read all the same.
    let mut places = Vec::new();
    for t in basins.iter().chain(ports.iter().copied().flatten()) {
        places.push(t.spot("at").and_then(|spot| desk.spot(&spot, t.at("at"))));
    }
    let mouths: Vec<_> =
        root.tables("outlet").iter().map(|t| t.number("invert").map(Elevation::in_job_units)).collect();
    let around = Around { basins: names(basins), places: &places[..basins.len()], root, outlets, mouths: &mouths };
    let (mut out, mut is_whole) = (Vec::new(), true);
    for t in tables {
        let said = t.tables("nodes");
        let nodes: Vec<_> = said.iter().enumerate().map(|(k, node)| one(desk, t, k, node, &around)).collect();
        let legs = t.tables("legs");
        if !said.is_empty() && legs.len() + 1 != said.len() {
            let found = format!("{} legs between {} nodes", legs.len(), said.len());
            desk.complain(
                t.at("legs"),
                found,
                if said.len() == 2 { "one leg".to_owned() } else { format!("{} legs", said.len() - 1) },
                "give one leg between each two nodes",
            );
        }
        if said.len() == 1 {
            desk.complain(t.at("nodes"), "one node", "two nodes or more", "a run begins and ends at a node");
        }
        let pipes: Vec<Pipe> = legs.iter().map(pipe).collect();
        let trench = t.table("trench").map(trench);
        if let Some(nodes) = nodes.into_iter().collect::<Option<Vec<_>>>() {
            let drain = Drain {
                name: t.text("name").unwrap_or("").to_owned(),
                nodes,
                perforated: legs.iter().map(|leg| leg.word("kind") == Some("perforated")).collect(),
                pipes,
                takes_surface: t.word("takes") == Some("surface"),
                trench,
                by_others: t.yes("by_others"),
            };
            cannot_be(desk, t, &drain);
            out.push(drain);
        } else {
            is_whole = false;
        }
    }
    if is_whole {
        tree(desk, tables, &out);
    }
    out
}

fn pipe(leg: &Table) -> Pipe {
    Pipe { size: leg.length("size").unwrap_or_default(), wall: leg.length("wall").unwrap_or_default() }
}

fn trench(t: &Table) -> Trench {
    Trench {
        width: t.length("width").unwrap_or_default(),
        under_pipe: t.length("under_pipe").unwrap_or_default(),
        stone: t.text("stone").map(str::to_owned),
        to_surface: t.word("stone_to") == Some("surface"),
        fabric: t.word("fabric").map(str::to_owned),
    }
}

/// Complains of a run that cannot be laid.
fn cannot_be(desk: &mut Desk<'_>, t: &Table, drain: &Drain) {
    let said = t.tables("nodes");
    let (last, count) = (drain.nodes.len().saturating_sub(1), drain.nodes.len());
    // Pipes of others may be drawn without.
    let needs_inverts = !drain.by_others || drain.nodes.iter().any(|n| n.invert.is_some());
    if needs_inverts && count > 1 {
        for k in [0, last] {
            if drain.nodes[k].invert.is_none() {
                desk.complain(
                    said[k].span.clone(),
                    format!("no invert at `{}`, an end of the run", drain.nodes[k].name),
                    "an invert at both ends of a run",
                    "give `invert`; between two that are given the pipe lies straight",
                );
            }
        }
    }
    for (k, w) in drain.nodes.windows(2).enumerate() {
        if w[0].place == w[1].place {
            desk.complain(
                said[k + 1].span.clone(),
                format!("`{}` at the place of `{}`", w[1].name, w[0].name),
                "nodes at places of their own",
                "take one of the two out, or mend its place",
            );
        }
    }
    for (k, node) in drain.nodes.iter().enumerate().filter(|(k, _)| (1..last).contains(k)) {
        if node.meets != Meets::Nothing {
            desk.complain(
                said[k].span.clone(),
                format!("a run that goes on past `{}`", node.name),
                "a run that begins or ends there",
                "end the run there and write what goes on as a drain of its own",
            );
        }
    }
    for (k, node) in [0, last].into_iter().filter_map(|k| Some((k, said.get(k)?))) {
        let wrong = if k == 0 {
            node.has("outlet") || node.word("tank") == Some("inlet")
        } else {
            node.word("tank") == Some("overflow")
        };
        if wrong && count > 1 {
            let help = "list the nodes from the high end to the low one";
            desk.complain(node.span.clone(), "a run that flows the wrong way here", "nodes downhill", help);
        }
    }
    for leg in t.tables("legs") {
        if leg.has("size") && leg.length("size").is_some_and(|size| size <= Length::ZERO) {
            desk.complain(leg.at("size"), "a pipe of no size", "its inside diameter", "write it as \"4 in\"");
        }
    }
    if drain.by_others {
        return;
    }
    let Some(trench) = &drain.trench else {
        if !t.has("trench") {
            let help = "give its `trench`, or say `by_others = true`";
            desk.complain(t.at("name"), "a drain without `trench`", "what is dug for it", help);
        }
        return;
    };
    let widest =
        drain.pipes.iter().map(|p| p.size + p.wall + p.wall).fold(Length::ZERO, |a, b| if b > a { b } else { a });
    if trench.width < widest {
        let at = t.table("trench").map_or_else(|| t.span.clone(), |t| t.at("width"));
        desk.complain(at, "a trench narrower than its pipe", "a trench the pipe fits in", "mend the width");
    }
}

/// Complains of runs that meet as no tree: two that leave one basin, or a way that comes back.
fn tree(desk: &mut Desk<'_>, tables: &[Table], drains: &[Drain]) {
    let basin = |node: Option<&Node>| match node?.meets {
        Meets::Basin(k) => Some(k),
        _ => None,
    };
    let from = |d: &Drain| basin(d.nodes.first());
    for (k, drain) in drains.iter().enumerate() {
        let Some(own) = from(drain) else { continue };
        if drains[..k].iter().any(|d| from(d) == Some(own)) {
            let found = format!("a second run out of `{}`", drain.nodes[0].name);
            desk.complain(tables[k].at("name"), found, "one run out of a basin", "join them, or use another basin");
        }
        let mut at = basin(drain.nodes.last());
        for _ in 0..drains.len() {
            let Some(here) = at else { break };
            if here == own {
                let found = format!("a run that comes back to `{}`", drain.nodes[0].name);
                desk.complain(tables[k].at("name"), found, "runs that lead away", "mend the basin it ends in");
                break;
            }
            at = drains.iter().find(|d| from(d) == Some(here)).and_then(|d| basin(d.nodes.last()));
        }
    }
}

/// Boxes in which runs meet. Places that are none are complained of with the drains.
pub(super) fn basins(desk: &mut Desk<'_>, tables: &[Table]) -> Vec<Basin> {
    let known = |desk: &Desk<'_>, t: &Table| match t.spot("at")? {
        Spot::Place(place) => Some(place),
        Spot::Name(name) => desk.names.all.get(&name).map(|k| k.place),
    };
    tables
        .iter()
        .map(|t| Basin {
            name: t.text("name").unwrap_or("").to_owned(),
            place: known(desk, t).unwrap_or_default(),
            sump: t.length("sump").unwrap_or_default(),
            by_others: t.yes("by_others"),
        })
        .collect()
}

/// Rain an hour in job units.
pub(super) fn storm(t: &Table, job: LengthUnit) -> Option<Length> {
    let (amount, unit) = t.text("storm")?.split_at(t.text("storm")?.find(char::is_alphabetic)?);
    let amount = parse_number(amount.trim()).ok()?;
    Some(match unit.trim() {
        "mm/h" => Length::of(amount / 1000.0, LengthUnit::Metre, job),
        _ => Length::inches(amount, job),
    })
}

/// Parts of the rain that run off.
pub(super) fn runoff(t: &Table) -> Runoff {
    let [paving, roof, lawn, bed, stone] = ["paving", "roof", "lawn", "bed", "stone"].map(|key| t.number(key));
    Runoff { paving, roof, lawn, bed, stone }
}

struct Around<'a> {
    basins: Vec<&'a str>,
    places: &'a [Option<Place>],
    root: &'a Table,
    outlets: &'a [Outlet],
    /// Their inverts.
    mouths: &'a [Option<Elevation>],
}

fn one(desk: &mut Desk<'_>, drain: &Table, k: usize, t: &Table, around: &Around<'_>) -> Option<Node> {
    let ways: Vec<&str> = ["at", "basin", "tank", "outlet"].into_iter().filter(|key| t.has(key)).collect();
    let [way] = ways.as_slice() else {
        let found = if ways.is_empty() { "a node without a place".to_owned() } else { ways.join(" and ") };
        desk.complain(t.span.clone(), found, "one of `at`, `basin`, `tank` and `outlet`", "say once where it is");
        return None;
    };
    let span = t.at(way);
    let number = || format!("{}.{}", drain.text("name").unwrap_or(""), k + 1);
    let (name, place, meets) = match *way {
        "at" => {
            let spot = t.spot("at")?;
            let place = desk.spot(&spot, span)?;
            (if let Spot::Name(name) = spot { name } else { number() }, place, Meets::Nothing)
        }
        "basin" => {
            let name = t.text("basin")?;
            let at = desk.which(name, span, &around.basins, "basin")?;
            (name.to_owned(), around.places.get(at).copied().flatten()?, Meets::Basin(at))
        }
        "outlet" => {
            let name = t.text("outlet")?;
            let all: Vec<&str> = around.outlets.iter().map(|o| o.0.as_str()).collect();
            let at = desk.which(name, span, &all, "outlet")?;
            let mouth = if around.mouths.len() == around.outlets.len() { around.mouths[at] } else { None };
            (name.to_owned(), (around.outlets[at].1, around.outlets[at].2), Meets::Invert(mouth))
        }
        _ => {
            let side = t.word("tank")?;
            let Some(port) = around.root.table("tank").and_then(|tank| tank.table(side)) else {
                desk.complain(
                    span,
                    format!("the {side} of the tank, which has none"),
                    format!("`{side}` in [tank]"),
                    format!("add `{side}` to [tank]"),
                );
                return None;
            };
            let place = port.spot("at").and_then(|spot| desk.spot(&spot, port.at("at")))?;
            let mouth = port.number("invert").map(Elevation::in_job_units);
            (port.text("name").map_or_else(|| format!("tank {side}"), str::to_owned), place, Meets::Invert(mouth))
        }
    };
    let name = t.text("name").map_or(name, str::to_owned);
    let own = t.number("invert").map(Elevation::in_job_units);
    let invert = own.or(if let Meets::Invert(mouth) = meets { mouth } else { None });
    Some(Node { name, place, invert, clean_out: t.yes("clean_out"), meets })
}
