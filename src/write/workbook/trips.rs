//! Trips: whole loads by volume and payload, hours, the loads planned, and what is hauled apart.

use super::account::Anchors;
use super::named;
use super::page::{As, Page, range};
use crate::job::{HaulOut, Outcome};
use rust_xlsxwriter::XlsxError;

/// What Prices takes from this sheet, truck by truck: the loads planned and the cycle, cells and values.
#[derive(Debug, Default)]
pub(super) struct Planned {
    /// Loads planned.
    pub loads: (String, f64),
    /// Hours from one load to the next.
    pub cycle: (String, Option<f64>),
}

/// Whole loads: an exactly full truck is one truck.
const WHOLE: &str = "-1E-9,0),0)";

/// Writes the sheet.
pub(super) fn sheet(
    page: &mut Page<'_>,
    haul: &HaulOut,
    outcome: &Outcome,
    from: &Anchors,
) -> Result<Vec<Planned>, XlsxError> {
    let (basis, units) = (&haul.basis, &outcome.units);
    page.widths(&[26, 11, 12, 11, 13, 11, 10, 9, 10, 10, 10, 10, 10, 10])?;
    page.title(&format!("Trips: {} (whole loads, the worse of volume and payload)", named(outcome)))?;
    page.down();
    let mut all = Vec::new();
    for (name, cell) in [
        format!("leaves, {} bank", units.volume),
        format!("leaves, {} loose", units.volume),
        format!("leaves, {}", units.mass),
    ]
    .iter()
    .zip(&from.leaves)
    {
        page.text(0, name)?;
        all.push(page.formula(1, &cell.at, cell.value, As::Hundredths)?);
        page.down();
    }
    let [bank, loose, mass] = from.leaves.each_ref().map(|c| c.value.unwrap_or(0.0));
    let can = from.known && bank > 0.0;
    page.text(0, "trips can be told (1 yes)")?;
    let told = format!("IF(AND(COUNT({},{})=2,{}>0),1,0)", all[1], all[2], all[0]);
    let can_at = page.formula(1, &told, Some(if can { 1.0 } else { 0.0 }), As::Whole)?;
    page.down();
    page.text(0, &format!("dug in an hour, {} bank", units.volume))?;
    let rate_at = page.input(1, basis.dig_rate, As::Hundredths)?;
    page.down();
    page.text(0, "the machine digs all in, h")?;
    let digging = basis.dig_rate.map(|rate| from.dug.value.unwrap_or(0.0) / rate);
    let text = format!("IF(COUNT({rate_at})=0,\"\",{}/{rate_at})", from.dug.at);
    let digging_at = page.formula(1, &text, digging, As::Hundredths)?;
    page.row += 2;
    let (box_head, payload_head) = (format!("box, {}", units.volume), format!("payload, {}", units.mass));
    page.heads(
        &[
            "truck",
            &box_head,
            &payload_head,
            "at once",
            "round trip, h",
            "by volume",
            "by payload",
            "trips",
            "cycle, h",
            "hauling, h",
            "hours",
            "the slower",
            "loads planned",
            "part of all",
        ],
        &[0],
    )?;
    let first = page.row;
    let mut planned = Vec::new();
    let mut boxes = Vec::new();
    let mut carried = 0.0;
    for truck in &basis.trucks {
        page.text(0, &truck.truck)?;
        let volume_at = page.input(1, Some(truck.volume), As::Hundredths)?;
        let payload_at = page.input(2, Some(truck.payload), As::Hundredths)?;
        let count_at = page.input(3, Some(f64::from(truck.count)), As::Whole)?;
        let round_at = page.input(4, truck.round_trip, As::Hundredths)?;
        let out = haul.trips.iter().find(|t| t.truck == truck.truck);
        let whole =
            |quantity: &str, capacity: &str| format!("IF({can_at}=0,\"\",ROUNDUP(MAX({quantity}/{capacity}{WHOLE})");
        let by = out.map(|t| [t.by_volume, t.by_payload, t.trips].map(|n| n as f64));
        let volumes_at = page.formula(5, &whole(&all[1], &volume_at), by.map(|b| b[0]), As::Whole)?;
        let payloads_at = page.formula(6, &whole(&all[2], &payload_at), by.map(|b| b[1]), As::Whole)?;
        let text = format!("IF({can_at}=0,\"\",MAX({volumes_at},{payloads_at}))");
        let trips_at = page.formula(7, &text, by.map(|b| b[2]), As::Whole)?;
        let share = (truck.volume / loose).min(truck.payload / mass);
        let cycle = truck.round_trip.filter(|_| can).map(|round| {
            let standing = basis.dig_rate.map_or(0.0, |rate| share.min(1.0) * bank / rate);
            round + standing
        });
        let part = format!("MIN({volume_at}/{},{payload_at}/{})", all[1], all[2]);
        let text = format!(
            "IF(OR({can_at}=0,COUNT({round_at})=0),\"\",{round_at}+IF(COUNT({rate_at})=0,0,MIN(1,{part})*{}/{rate_at}))",
            all[0]
        );
        let cycle_at = page.formula(8, &text, cycle, As::Hundredths)?;
        let text = format!("IF(COUNT({cycle_at})=0,\"\",{cycle_at}*ROUNDUP(MAX({trips_at}/{count_at}{WHOLE})");
        let hauling_at = page.formula(9, &text, out.and_then(|t| t.hauling), As::Hundredths)?;
        let text = format!("IF(COUNT({digging_at},{hauling_at})<2,\"\",MAX({digging_at},{hauling_at}))");
        let hours_at = page.formula(10, &text, out.and_then(|t| t.hours), As::Hundredths)?;
        let text = format!("IF(COUNT({hours_at})=0,\"\",IF({digging_at}>{hauling_at},\"machine\",\"trucks\"))");
        page.word(11, &text, out.map_or("", |t| t.governs))?;
        let loads = haul.mix.iter().find(|m| m.truck == truck.truck).map_or(0.0, |m| m.trips as f64);
        let loads_at = page.input(12, Some(loads), As::Whole)?;
        carried += loads * share;
        let text = format!("IF({can_at}=0,\"\",{loads_at}*{part})");
        page.formula(13, &text, can.then_some(loads * share), As::Percent)?;
        planned
            .push(Planned { loads: (format!("Trips!{loads_at}"), loads), cycle: (format!("Trips!{cycle_at}"), cycle) });
        boxes.push((volume_at, payload_at));
        page.down();
    }
    if !basis.trucks.is_empty() {
        page.text(0, "the loads planned carry all")?;
        let text = format!("IF({can_at}=0,\"\",IF(SUM({})>=1-1E-9,\"yes\",\"NO\"))", range(13, first, page.row - 1));
        let enough = if carried >= 1.0 - 1e-9 { "yes" } else { "NO" };
        page.word(13, &text, if can { enough } else { "" })?;
        page.row += 2;
        apart(page, haul, outcome, from, (&can_at, can, &boxes))?;
    }
    Ok(planned)
}

/// Loads of each material by itself.
fn apart(
    page: &mut Page<'_>,
    haul: &HaulOut,
    outcome: &Outcome,
    from: &Anchors,
    (can_at, can, boxes): (&str, bool, &[(String, String)]),
) -> Result<(), XlsxError> {
    let trucks = haul.basis.trucks.iter().map(|t| format!("trips, {}", t.truck));
    let heads = ["hauled apart", "bank", "loose", &outcome.units.mass].map(str::to_owned);
    let heads: Vec<String> = heads.into_iter().chain(trucks).collect();
    page.heads(&heads.iter().map(String::as_str).collect::<Vec<_>>(), &[0])?;
    for (material, values) in &from.by_material {
        page.text(0, material)?;
        let name = page.cell(0);
        let mut at = Vec::new();
        for ((column, cells), value) in (1..).zip(&from.materials[1..]).zip(values) {
            let text = format!("SUMIF({},{name},{cells})", from.materials[0]);
            // A sum of empty words is nothing.
            let value = if can || column == 1 { *value } else { 0.0 };
            at.push(page.formula(column, &text, Some(value), As::Hundredths)?);
        }
        let out = haul.materials.iter().find(|m| m.material == *material);
        for ((column, (volume, payload)), k) in (4..).zip(boxes).zip(0..) {
            let trips = out.and_then(|m| m.trips.get(k)).map_or(0.0, |l| l.trips as f64);
            let most = format!("MAX({}/{volume},{}/{payload})", at[1], at[2]);
            let text = format!("IF({can_at}=0,\"\",ROUNDUP(MAX({most}{WHOLE})");
            page.formula(column, &text, can.then_some(trips), As::Whole)?;
        }
        page.down();
    }
    Ok(())
}
