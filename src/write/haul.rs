//! What does the report say of the haul: what leaves, trips, orders, ways to make the subgrade firm, cost?
//!
//! Volumes and weights to 0.01, whole loads, hours to 0.1, money to 0.01.

use super::account::words;
use super::columns::columns;
use super::report::bullets;
use crate::job::{CargoOut, CostOut, HaulOut, LoadsOut, OrderOut, Outcome};
use crate::units::fixed;

/// Everything told of the haul.
pub(super) fn haul(h: &HaulOut, outcome: &Outcome) -> String {
    let parts =
        [leaves(h, outcome), trips(h), orders(&h.orders, outcome), options(h, outcome), h.cost.as_ref().map(cost)];
    let excluded = format!("Not in it:\n{}", bullets(h.excluded.iter().map(String::as_str)));
    parts.into_iter().flatten().chain([excluded]).collect::<Vec<_>>().join("\n\n")
}

fn states(bank: f64, cargo: Option<&CargoOut>) -> Vec<String> {
    let of = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 2));
    vec![fixed(bank, 2), of(cargo.map(|c| c.loose)), of(cargo.map(|c| c.compacted)), of(cargo.map(|c| c.mass))]
}

fn leaves(h: &HaulOut, outcome: &Outcome) -> Option<String> {
    let units = &outcome.units;
    let head = words(["what leaves", "bank", "loose", "compacted", &units.mass]);
    let row = |name: &str, bank, cargo| [vec![name.to_owned()], states(bank, cargo)].concat();
    let mut rows: Vec<Vec<String>> = h.materials.iter().map(|m| row(m.material, m.bank, m.cargo.as_ref())).collect();
    rows.push(row("EXPORT", h.export, h.cargo.as_ref()));
    let mut text =
        format!("Haul ({}; all that is dug {} bank)\n{}", units.volume, fixed(h.bank, 2), columns(&head, rows));
    if h.needed > 0.0 {
        let [kept, needed, short] = [h.kept, h.needed, h.short].map(|v| fixed(v, 2));
        text += &format!("\n  topsoil kept {kept} of {needed} needed; {short} to bring in");
    }
    if h.fill > 0.0 {
        let [fill, short] = [h.fill, h.fill_short].map(|v| fixed(v, 2));
        text += &format!("\n  fill {fill} compacted, of it {short} to bring in");
    }
    if let Some(swell) = h.swell_learned {
        text += &format!("\n  swell by the load tickets {} %", fixed(swell * 100.0, 1));
    }
    Some(text)
}

fn trips(h: &HaulOut) -> Option<String> {
    let timed = h.trips.iter().any(|t| t.hauling.is_some());
    let apart = h.materials.len() > 1;
    let mut head = words(["truck", "by volume", "by payload", "trips"]);
    if apart {
        head.extend(h.materials.iter().map(|m| format!("{} apart", m.material)));
    }
    head.extend(timed.then(|| "hours".to_owned()));
    head.push(String::new());
    let hours = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 1));
    let rows = h.trips.iter().enumerate().map(|(k, t)| {
        let mut row = vec![t.truck.clone()];
        row.extend([t.by_volume, t.by_payload, t.trips].map(|n| n.to_string()));
        if apart {
            row.extend(h.materials.iter().map(|m| m.trips.get(k).map_or(0, |l| l.trips).to_string()));
        }
        row.extend(timed.then(|| hours(t.hours.or(t.hauling))));
        let mut notes: Vec<String> = Vec::new();
        notes.extend((t.count > 1).then(|| format!("{} at once", t.count)));
        notes.extend((!t.governs.is_empty()).then(|| format!("the slower: {}", t.governs)));
        notes.extend(t.wanted.map(|n| format!("{n} keep the machine busy")));
        notes.extend((!t.note.is_empty()).then(|| t.note.clone()));
        row.push(notes.join("; "));
        row
    });
    let mut text = format!("Trips (whole loads, the worse of volume and payload)\n{}", columns(&head, rows));
    if !h.mix.is_empty() {
        let by = if h.mix_by == "cost" { "least cost by your prices" } else { "fewest trips" };
        text += &format!("\n  {by}: {}", mixed(&h.mix));
    }
    if let Some(hours) = h.digging {
        text += &format!("\n  the machine digs it all in {} h", fixed(hours, 1));
    }
    (!h.trips.is_empty()).then_some(text)
}

fn mixed(loads: &[LoadsOut]) -> String {
    loads.iter().map(|l| format!("{} {}", l.trips, l.truck)).collect::<Vec<_>>().join(" and ")
}

/// How an amount is told: whole things without decimals.
pub(super) fn told(order: &OrderOut) -> String {
    let whole = ["bag", "piece", "panel", "roll"].contains(&order.unit.as_str());
    fixed(order.amount, if whole { 0 } else { 2 })
}

fn orders(orders: &[OrderOut], outcome: &Outcome) -> Option<String> {
    let head = words(["order", "", "amount", "unit", "for", "note"]);
    let rows = orders.iter().map(|o| {
        let gradation = o.gradation.clone().unwrap_or_default();
        vec![o.name.clone(), gradation, told(o), o.unit.clone(), o.areas.join(", "), o.note.clone()]
    });
    let title = format!("Orders (by volume as placed, waste in them; {})", outcome.units.volume);
    (!orders.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

fn options(h: &HaulOut, outcome: &Outcome) -> Option<String> {
    let units = &outcome.units;
    let mut head = words(["worked in", "export", "loose", &units.mass]);
    head.extend(h.trips.iter().map(|t| format!("trips, {}", t.truck)));
    head.push(format!("stone, {}", units.volume));
    head.push(units.mass.clone());
    head.extend(h.trips.iter().map(|t| format!("in, {}", t.truck)));
    head.push("lime".to_owned());
    let number = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 2));
    let rows = h.options.iter().map(|o| {
        let mut row = vec![o.option.to_owned(), fixed(o.export, 2)];
        row.extend([o.cargo.as_ref().map(|c| c.loose), o.cargo.as_ref().map(|c| c.mass)].map(number));
        let loads = |all: &[LoadsOut]| -> Vec<String> {
            (0..h.trips.len()).map(|k| all.get(k).map_or_else(|| "-".to_owned(), |l| l.trips.to_string())).collect()
        };
        row.extend(loads(&o.trips));
        row.push(fixed(o.stone, 2));
        row.push(number(o.stone_mass));
        row.extend(loads(&o.deliveries));
        row.push(match o.bags {
            Some(bags) => format!("{bags} bags"),
            None if o.lime > 0.0 => format!("{} {}", fixed(o.lime, 2), units.mass),
            None => "-".to_owned(),
        });
        row
    });
    let title = "What is worked into the subgrade, side by side (with room dug for stone that stays proud)";
    (!h.options.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

fn cost(c: &CostOut) -> String {
    let head = words(["cost", "amount", "unit", "price", "sum"]);
    let mut rows: Vec<Vec<String>> = c
        .lines
        .iter()
        .map(|l| vec![l.item.clone(), fixed(l.amount, 2), l.unit.clone(), fixed(l.price, 2), fixed(l.sum, 2)])
        .collect();
    rows.push(words(["TOTAL of what has a price", "", "", "", &fixed(c.total, 2)]));
    let mut text = format!("Cost, by your prices\n{}", columns(&head, rows));
    if !c.unpriced.is_empty() {
        text += &format!("\n  not priced: {}", c.unpriced.join("; "));
    }
    text
}
