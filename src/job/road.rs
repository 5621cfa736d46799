//! What leaves by which trucks: loads, hours, the mix, and what to think of before they come?
//!
//! The same for a dig said in one line and for a job with areas. All that leaves is told twice: hauled together, and each material by
//! itself. Volumes in yd3 or m3 by their state, mass in tons or tonnes, hours.

use super::basis::{BasisOut, Dug};
use super::orders::{OrderOut, plain};
use super::{Outcome, units_out};
use crate::finding::{Caution, Subject};
use crate::haul::{Cargo, Haul, Material, Pile, Truck, cheapest, digging, learned, on_edge};
use crate::soil::{Factors, Ground};
use crate::units::{BankVolume, CompactedVolume, LengthUnit, LooseVolume, Measured, fixed, parse_measure};
use serde::Serialize;

/// What leaves and arrives.
#[derive(Clone, Debug, Default, Serialize)]
pub struct HaulOut {
    /// Everything dug, bank.
    pub bank: f64,
    /// What leaves, bank.
    pub export: f64,
    /// The same in the trucks, compacted, and its weight; absent where swell or weight was not said.
    #[serde(flatten)]
    pub cargo: Option<CargoOut>,
    /// Topsoil wanted by layers made of it.
    pub needed: f64,
    /// Topsoil put back.
    pub kept: f64,
    /// Topsoil brought in.
    pub short: f64,
    /// Ground raised, compacted.
    pub fill: f64,
    /// Of it, brought in.
    pub fill_short: f64,
    /// Material by material what leaves.
    pub materials: Vec<MaterialOut>,
    /// Truck by truck the loads of all that leaves, together.
    pub trips: Vec<TripsOut>,
    /// The mix of trucks that takes it all.
    pub mix: Vec<LoadsOut>,
    /// What that mix is the least of: `cost` or `trips`.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub mix_by: &'static str,
    /// Hours the machine digs everything; absent where its rate was not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub digging: Option<f64>,
    /// Swell learned from load tickets, as a part of bank.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swell_learned: Option<f64>,
    /// What is bought.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub orders: Vec<OrderOut>,
    /// Nothing worked into the subgrade, stone, stone and lime.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub options: Vec<OptionOut>,
    /// By the user's prices; absent without any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<CostOut>,
    /// What is not in any of it.
    pub excluded: Vec<String>,
    /// What all of it was worked out from.
    pub basis: BasisOut,
}

/// What is hauled, in its other states.
#[derive(Clone, Debug, Default, Serialize)]
pub struct CargoOut {
    /// In the trucks.
    pub loose: f64,
    /// As it would lie compacted.
    pub compacted: f64,
    /// Weight.
    pub mass: f64,
}

/// One material that leaves.
#[derive(Clone, Debug, Default, Serialize)]
pub struct MaterialOut {
    /// `sod`, `topsoil`, `clean`, `mixed`, `wet`.
    pub material: &'static str,
    /// As it lay.
    pub bank: f64,
    /// In its other states.
    #[serde(flatten)]
    pub cargo: Option<CargoOut>,
    /// Loads where it is hauled apart from the rest.
    pub trips: Vec<LoadsOut>,
}

/// Loads of one truck.
#[derive(Clone, Debug, Default, Serialize)]
pub struct LoadsOut {
    /// The truck.
    pub truck: String,
    /// Whole loads.
    pub trips: u64,
}

/// All that leaves, by one kind of truck.
#[derive(Clone, Debug, Default, Serialize)]
pub struct TripsOut {
    /// The truck.
    pub truck: String,
    /// Loads by what the box holds.
    pub by_volume: u64,
    /// Loads by what it may carry.
    pub by_payload: u64,
    /// The worse of both.
    pub trips: u64,
    /// Trucks of the kind at once.
    pub count: u32,
    /// Hours they haul; absent where the round trip was not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hauling: Option<f64>,
    /// Hours of the slower, machine or trucks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hours: Option<f64>,
    /// Which of them is the slower: `machine` or `trucks`.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub governs: &'static str,
    /// Trucks that keep the machine busy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanted: Option<u64>,
    /// What to know of it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// One way to make the subgrade firm.
#[derive(Clone, Debug, Default, Serialize)]
pub struct OptionOut {
    /// `none`, `stone`, `lime`, `stone and lime`.
    pub option: &'static str,
    /// What leaves, with room dug for stone that stays proud; bank.
    pub export: f64,
    /// In its other states.
    #[serde(flatten)]
    pub cargo: Option<CargoOut>,
    /// Loads of it.
    pub trips: Vec<LoadsOut>,
    /// Stone as placed.
    pub stone: f64,
    /// Its weight, where all of it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stone_mass: Option<f64>,
    /// Loads of stone that arrive.
    pub deliveries: Vec<LoadsOut>,
    /// Weight of lime.
    pub lime: f64,
    /// Bags of lime, where its bag was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bags: Option<u64>,
}

/// What it costs.
#[derive(Clone, Debug, Default, Serialize)]
pub struct CostOut {
    /// Line by line what has a price.
    pub lines: Vec<CostLineOut>,
    /// Their sum.
    pub total: f64,
    /// What has none.
    pub unpriced: Vec<String>,
}

/// What one thing costs.
#[derive(Clone, Debug, Default, Serialize)]
pub struct CostLineOut {
    /// What.
    pub item: String,
    /// How much of it.
    pub amount: f64,
    /// In what.
    pub unit: String,
    /// Price of one.
    pub price: f64,
    /// Amount times price.
    pub sum: f64,
}

/// Piles on their way out: their whole, and the trucks.
pub(super) struct Road<'a> {
    pub haul: &'a Haul,
    pub unit: LengthUnit,
    pub ground: &'a Ground,
}

pub(super) fn cargo_of(piles: &[Pile]) -> Cargo {
    let loose = piles.iter().fold(LooseVolume::ZERO, |sum, p| sum + p.loose());
    Cargo { loose, mass: piles.iter().map(Pile::mass).sum() }
}

impl Road<'_> {
    /// Swell and weight are known, of a core or because they were said.
    fn known(&self) -> bool {
        !self.ground.cores.is_empty() || self.ground.dug(None, self.unit).is_some()
    }

    pub(super) fn cargo_out(&self, piles: &[Pile]) -> Option<CargoOut> {
        let Cargo { loose, mass } = cargo_of(piles);
        let compacted = piles.iter().fold(CompactedVolume::ZERO, |sum, p| sum + p.compacted());
        let unit = self.unit;
        self.known().then(|| CargoOut { loose: loose.spoken(unit), compacted: compacted.spoken(unit), mass })
    }

    pub(super) fn loads(&self, piles: &[Pile]) -> Vec<LoadsOut> {
        let cargo = cargo_of(piles);
        let of = |t: &Truck| LoadsOut { truck: t.name.clone(), trips: t.trips(cargo).worse() };
        if self.known() { self.haul.trucks.iter().map(of).collect() } else { Vec::new() }
    }

    /// Everything told of what leaves; everything dug is `bank`.
    pub(super) fn out(&self, bank: BankVolume, export: &[Pile]) -> HaulOut {
        let leaves = export.iter().fold(BankVolume::ZERO, |sum, p| sum + p.bank);
        let mut out = HaulOut {
            bank: bank.spoken(self.unit),
            export: leaves.spoken(self.unit),
            cargo: self.cargo_out(export),
            digging: self.haul.dig_rate.map(|rate| digging(bank, rate)),
            ..HaulOut::default()
        };
        for (word, material) in Material::WORDS {
            let piles: Vec<Pile> = export.iter().filter(|p| p.material == material).copied().collect();
            let bank = piles.iter().fold(BankVolume::ZERO, |sum, p| sum + p.bank);
            if bank.cubic() > 0.0 {
                let (cargo, trips) = (self.cargo_out(&piles), self.loads(&piles));
                out.materials.push(MaterialOut { material: word, bank: bank.spoken(self.unit), cargo, trips });
            }
        }
        if self.known() && leaves.cubic() > 0.0 {
            let cargo = cargo_of(export);
            let an_hour = self.loaded(cargo, leaves);
            out.trips = self.haul.trucks.iter().map(|t| self.trips(t, cargo, an_hour, out.digging)).collect();
            let costs = self.costs(cargo, an_hour);
            let priced = costs.iter().any(Option::is_some);
            out.mix_by = if priced { "cost" } else { "trips" };
            let costs = if priced { costs } else { vec![Some(1.0); costs.len()] };
            let mix = cheapest(&self.haul.trucks, &costs, cargo).unwrap_or_default();
            let taken = self.haul.trucks.iter().zip(mix).filter(|(_, n)| *n > 0);
            out.mix = taken.map(|(t, trips)| LoadsOut { truck: t.name.clone(), trips }).collect();
        }
        out
    }

    /// What the machine loads in an hour.
    pub(super) fn loaded(&self, cargo: Cargo, bank: BankVolume) -> Option<LooseVolume> {
        let rate = self.haul.dig_rate?;
        Some(LooseVolume::cubic_job_units(rate.cubic() * cargo.loose.cubic() / bank.cubic()))
    }

    /// One load of each truck.
    pub(super) fn costs(&self, cargo: Cargo, an_hour: Option<LooseVolume>) -> Vec<Option<f64>> {
        let cost = |(k, t): (usize, &Truck)| self.haul.prices.of_load(k, t.cycle(cargo, an_hour));
        self.haul.trucks.iter().enumerate().map(cost).collect()
    }

    fn trips(&self, truck: &Truck, cargo: Cargo, an_hour: Option<LooseVolume>, digging: Option<f64>) -> TripsOut {
        let trips = truck.trips(cargo);
        let turns = trips.worse().div_ceil(u64::from(truck.count.max(1)));
        let hauling = truck.cycle(cargo, an_hour).map(|cycle| cycle * turns as f64);
        let (hours, governs) = match (digging, hauling) {
            (Some(machine), Some(trucks)) if machine > trucks => (Some(machine), "machine"),
            (Some(_), Some(trucks)) => (Some(trucks), "trucks"),
            _ => (None, ""),
        };
        TripsOut {
            truck: truck.name.clone(),
            by_volume: trips.by_volume,
            by_payload: trips.by_payload,
            trips: trips.worse(),
            count: truck.count,
            hauling,
            hours,
            governs,
            wanted: an_hour.and_then(|rate| truck.wanted(cargo, rate)),
            note: truck.note.clone(),
        }
    }
}

/// A dig said in one line.
#[derive(Clone, Debug)]
pub struct QuickHaul {
    /// The unit volumes and weights are told for.
    pub unit: LengthUnit,
    /// What is dug, all of which leaves.
    pub bank: BankVolume,
    /// How it behaves.
    pub factors: Factors,
    /// Trucks, rate of the machine.
    pub haul: Haul,
    /// Load tickets of the one truck, and how full it went.
    pub tickets: Option<(u32, f64)>,
}

/// Trips of a dig said in one line.
#[must_use]
pub fn quick_haul(quick: &QuickHaul) -> Outcome {
    let (haul, unit) = (&quick.haul, quick.unit);
    let Factors { swell, shrink, bank_weight } = quick.factors;
    let (swell, shrink, bank_weight) = (Some(swell), Some(shrink), Some(bank_weight));
    let road = Road { haul, unit, ground: &Ground { swell, shrink, bank_weight, ..Ground::default() } };
    let pile = Pile { material: Material::Clean, bank: quick.bank, factors: quick.factors };
    let mut out = road.out(quick.bank, &[pile]);
    out.basis = road.basis(&[Dug { place: "all".to_owned(), class: None, heavier: 0.0, pile }]);
    let mut cautions = Vec::new();
    if let (Some((tickets, full)), [truck]) = (quick.tickets, haul.trucks.as_slice()) {
        out.swell_learned = learned(f64::from(tickets), truck.volume, full, quick.bank);
    }
    road.asked(&out, &mut cautions);
    out.excluded = road.excluded();
    Outcome {
        units: units_out(unit),
        haul: Some(out),
        cautions: cautions.iter().map(super::caution_out).collect(),
        ..Outcome::default()
    }
}

pub(super) fn said(item: &str, text: impl Into<String>) -> Caution {
    Caution::new(Subject::Item("haul", item.to_owned()), text)
}

impl Road<'_> {
    /// What no number here holds.
    pub(super) fn excluded(&self) -> Vec<String> {
        let mut out = vec![
            "permits, inspections, locating of utilities, leave to use the street".to_owned(),
            "rock, slabs, rubble, tanks or bad ground found in the dig; water in it; shoring".to_owned(),
            "delivery of what is ordered, tax, hired machines and hands".to_owned(),
        ];
        if !self.known() {
            out.push(
                "loose volume, weight and trips: no core, and swell and weight of the ground were not both said"
                    .to_owned(),
            );
        } else if self.haul.trucks.is_empty() {
            out.push("trips: no truck was said".to_owned());
        }
        let prices = &self.haul.prices;
        if !prices.haul.iter().any(|h| h.tip_fee.is_some()) {
            out.push("tip fees: none was said".to_owned());
        }
        if prices.haul.is_empty() && prices.dig.is_none() && prices.goods.is_empty() {
            out.push("cost: no price was said, and none is made up".to_owned());
        }
        out
    }

    /// What a person should think of before the trucks come.
    pub(super) fn asked(&self, out: &HaulOut, cautions: &mut Vec<Caution>) {
        let (haul, unit, ground) = (self.haul, self.unit, self.ground);
        let volume = unit.volume();
        if out.short > 0.005 {
            let [kept, needed, short] = [out.kept, out.needed, out.short].map(|v| fixed(v, 1));
            cautions.push(said("topsoil", format!("kept {kept} of {needed} needed: {short} {volume} to bring in")));
        }
        let Some(cargo) = &out.cargo else {
            // Who says neither does not ask for trips.
            if !haul.trucks.is_empty() || ground.swell.is_some() || ground.bank_weight.is_some() {
                let text = "swell and weight of the ground are not both said: no loose volume, no weight and no trips";
                cautions.push(said("haul", text));
            }
            return;
        };
        if !haul.trucks.is_empty() {
            let text =
                "load no truck beyond its legal weight: wet ground is heavier than the box suggests; cover the load";
            cautions.push(said("haul", text));
        }
        for truck in &haul.trucks {
            let spoken = truck.volume.spoken(unit);
            let (loose, by) = (fixed(cargo.loose, 1), plain(spoken));
            let mut edge = |found: String, lower: u64| {
                let text = format!("{found}: the edge between {lower} and {} trips", lower + 1);
                cautions.push(said("haul", text));
            };
            let trips = truck.trips(Cargo {
                loose: LooseVolume::cubic_job_units(cargo.loose * unit.cubic_per_volume()),
                mass: cargo.mass,
            });
            // Only the limit that rules, or comes to rule by one load more.
            if let Some(lower) = on_edge(cargo.loose, spoken).filter(|n| n + 1 > trips.by_payload) {
                edge(format!("{loose} loose {volume} in {by} {volume} boxes"), lower);
            } else if let Some(lower) = on_edge(cargo.mass, truck.payload).filter(|n| n + 1 > trips.by_volume) {
                let mass = unit.mass();
                edge(format!("{} {mass} by {} {mass}", fixed(cargo.mass, 1), plain(truck.payload)), lower);
            }
        }
        for truck in &haul.trucks {
            let ton = parse_measure("1 ton", Measured::Mass, unit).unwrap_or(1.0);
            if !(2.0 * ton..=25.0 * ton).contains(&truck.payload) {
                let [payload, least, most] = [truck.payload, 2.0 * ton, 25.0 * ton].map(plain);
                let text =
                    format!("payload {payload} {} is outside the usual {least} to {most}: is that meant?", unit.mass());
                cautions.push(said(&truck.name, text));
            }
        }
        if ground.swell.is_some_and(|s| !(0.08 - 1e-9..=0.50 + 1e-9).contains(&s)) {
            let percent = plain(ground.swell.unwrap_or(0.0) * 100.0);
            cautions.push(said("swell", format!("{percent} % is outside the usual 8 to 50 %: is that meant?")));
        }
    }
}
