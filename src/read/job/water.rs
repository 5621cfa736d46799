//! Drains, basins, the sides of the tank, outlets.

use super::areas::names;
use super::names::Desk;
use super::value::{Spot, Table};
use crate::design::said::{Drain, Node, Place};
use crate::units::Elevation;

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
    let around = Around { basins: names(basins), places: &places[..basins.len()], root, outlets };
    let mut out = Vec::new();
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
        if let Some(nodes) = nodes.into_iter().collect::<Option<Vec<_>>>() {
            out.push(Drain {
                name: t.text("name").unwrap_or("").to_owned(),
                nodes,
                perforated: legs.iter().map(|leg| leg.word("kind") == Some("perforated")).collect(),
                by_others: t.yes("by_others"),
            });
        }
    }
    out
}

struct Around<'a> {
    basins: Vec<&'a str>,
    places: &'a [Option<Place>],
    root: &'a Table,
    outlets: &'a [Outlet],
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
    let (name, place) = match *way {
        "at" => {
            let spot = t.spot("at")?;
            let place = desk.spot(&spot, span)?;
            (if let Spot::Name(name) = spot { name } else { number() }, place)
        }
        "basin" => {
            let name = t.text("basin")?;
            let at = desk.which(name, span, &around.basins, "basin")?;
            (name.to_owned(), around.places.get(at).copied().flatten()?)
        }
        "outlet" => {
            let name = t.text("outlet")?;
            let all: Vec<&str> = around.outlets.iter().map(|o| o.0.as_str()).collect();
            let at = desk.which(name, span, &all, "outlet")?;
            (name.to_owned(), (around.outlets[at].1, around.outlets[at].2))
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
            (port.text("name").map_or_else(|| format!("tank {side}"), str::to_owned), place)
        }
    };
    let name = t.text("name").map_or(name, str::to_owned);
    Some(Node { name, place, invert: t.number("invert").map(Elevation::in_job_units) })
}
