//! What the ground becomes when it is dug, what is worked into it, what hauls, and what that costs.
//!
//! Amounts arrive in the job's own units. A box, a payload or a weight of nothing would make trips or orders without end, so it is
//! refused here.

use super::areas::names;
use super::names::Desk;
use super::value::Table;
use crate::design::said::{Amendment, DrivenStone, Lime};
use crate::haul::{Goods, Haul, Haulage, Prices, Truck};
use crate::units::{BankVolume, Length, LengthUnit, LooseVolume, Measured, parse_measure};

/// Earth too wet to stack is heavier than moist earth by so much where nothing is said: the middle of 10 to 20 % for rain on an open hole
/// (common practice, no source).
const WET: f64 = 0.15;

/// An amount in the job's own unit, above zero: `what` it is the amount of.
pub(super) fn above_zero(desk: &mut Desk<'_>, t: &Table, key: &str, of: Measured, what: &str) -> Option<f64> {
    let amount = parse_measure(t.text(key)?, of, desk.unit).ok()?;
    if amount > 0.0 {
        return Some(amount);
    }
    let found = format!("`{}`, {what} of nothing", t.text(key).unwrap_or(""));
    desk.complain(t.at(key), found, format!("{what} above 0"), "mend the number, or leave the key out");
    None
}

/// The same of a length.
pub(super) fn length_above_zero(desk: &mut Desk<'_>, t: &Table, key: &str, what: &str) -> Option<Length> {
    let length = t.length(key)?;
    if length > Length::ZERO {
        return Some(length);
    }
    desk.complain(t.at(key), format!("{what} of nothing"), format!("{what} above 0"), "mend the number");
    None
}

/// The haul, and what was assumed of it.
pub(super) fn haul(desk: &mut Desk<'_>, root: &Table) -> (Haul, Vec<String>) {
    let empty = Table::default();
    let ground = root.table("ground").unwrap_or(&empty);
    let mut assumed = Vec::new();
    let trucks = trucks(desk, root.tables("truck"));
    let is_wet = |t: &Table| t.word("spoil") == Some("wet");
    if root.tables("area").iter().any(is_wet) && !ground.has("wet") {
        assumed.push("wet earth is 15 % heavier than moist".to_owned());
    }
    let sections = root.tables("section");
    let is_kept = |t: &Table| t.tables("layers").iter().any(|l| l.has("from"));
    if sections.iter().any(is_kept) && !ground.has("handling_loss") {
        assumed.push("no topsoil is lost in handling".to_owned());
    }
    let fabrics = || sections.iter().filter_map(|t| t.table("fabric"));
    if fabrics().any(|f| !f.has("lap") && !f.has("firmness")) {
        assumed.push("fabric laps 24 in, as on ground of medium firmness".to_owned());
    }
    if fabrics().any(|f| !f.has("waste")) {
        assumed.push("5 % more fabric for waste".to_owned());
    }
    if ground.length("sod").is_some_and(|sod| sod > ground.length("strip").unwrap_or_default()) {
        let help = "mend one of the two: sod is the upper part of the strip";
        desk.complain(ground.at("sod"), "more sod than there is to strip", "`strip` at most", help);
    }
    let haul = Haul {
        handling_loss: ground.part("handling_loss").unwrap_or(0.0),
        sod: ground.length("sod").unwrap_or_default(),
        wet: ground.part("wet").unwrap_or(WET),
        dig_rate: above_zero(desk, ground, "dig_rate", Measured::Rate, "a rate").map(BankVolume::cubic_job_units),
        prices: prices(desk, root, &names(root.tables("truck"))),
        trucks,
    };
    (haul, assumed)
}

fn trucks(desk: &mut Desk<'_>, tables: &[Table]) -> Vec<Truck> {
    desk.unique("truck", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    let truck = |t: &Table| {
        let volume = above_zero(desk, t, "volume", Measured::Volume, "a box");
        let payload = above_zero(desk, t, "payload", Measured::Mass, "a payload");
        let round_trip = above_zero(desk, t, "round_trip", Measured::Time, "a round trip");
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, 1 to 100 by its form")]
        let count = t.number("count").map_or(1, |n| n as u32);
        Some(Truck {
            name: t.text("name")?.to_owned(),
            volume: LooseVolume::cubic_job_units(volume?),
            payload: payload?,
            round_trip,
            count,
            note: t.text("note").unwrap_or("").to_owned(),
        })
    };
    tables.iter().filter_map(truck).collect()
}

fn prices(desk: &mut Desk<'_>, root: &Table, trucks: &[&str]) -> Prices {
    let Some(t) = root.table("prices") else { return Prices::default() };
    let haulage = |h: &Table| {
        let [per_hour, per_load, tip_fee] = ["per_hour", "per_load", "tip_fee"].map(|key| h.number(key));
        let truck = desk.which(h.text("truck")?, h.at("truck"), trucks, "truck")?;
        Some(Haulage { truck, per_hour, per_load, tip_fee })
    };
    let haul = t.tables("haul").iter().filter_map(haulage).collect();
    let dig = t.table("dig").and_then(|d| {
        let of = |key: &str, unit: &str| Some(d.number(key)? / cubic(unit, desk.unit)?);
        of("per_yd3", "1 yd3").or_else(|| of("per_m3", "1 m3"))
    });
    Prices { haul, dig, goods: t.tables("material").iter().filter_map(goods).collect() }
}

fn cubic(text: &str, job: LengthUnit) -> Option<f64> {
    parse_measure(text, Measured::Volume, job).ok()
}

/// Prices of one thing, by the unit each is for.
fn goods(t: &Table) -> Option<Goods> {
    let per = t.entries.keys().filter_map(|key| Some((key.strip_prefix("per_")?, t.number(key)?)));
    Some(Goods { per: per.collect(), name: t.text("name")?.to_owned() })
}

/// What is worked into a weak subgrade. `areas`: their names in order.
pub(super) fn amendments(desk: &mut Desk<'_>, tables: &[Table], areas: &[&str]) -> Vec<Amendment> {
    let amendment = |t: &Table| {
        let area = t.text("area").and_then(|name| desk.which(name, t.at("area"), areas, "area"));
        let stone = t.table("stone").map(|s| {
            let stone = DrivenStone {
                thick: s.length("thick").unwrap_or_default(),
                proud: s.length("proud").unwrap_or_default(),
                weight: above_zero(desk, s, "weight", Measured::Density, "a weight"),
                gradation: s.text("gradation").map(str::to_owned),
            };
            if stone.proud > stone.thick {
                let help = "no more stays up than is spread: mend one of the two";
                desk.complain(s.at("proud"), "more proud stone than there is", "`thick` at most", help);
            }
            stone
        });
        let lime = t.table("lime").and_then(|l| {
            let dose = above_zero(desk, l, "dose", Measured::Dose, "a dose");
            let depth = length_above_zero(desk, l, "depth", "a depth");
            let bag = above_zero(desk, l, "bag", Measured::Mass, "a bag");
            Some(Lime { dose: dose?, depth: depth?, bag })
        });
        Some(Amendment { area: area?, stone, lime })
    };
    tables.iter().filter_map(amendment).collect()
}
