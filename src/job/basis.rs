//! What was a haul worked out from, so that it can be worked out again with other figures?
//!
//! Everything the workbook's cells begin with: soils, what is dug by place, trucks, rates, prices. Volumes of bank in yd3 or m3, weights of
//! such a volume, mass in tons or tonnes, hours; parts of one.

use super::road::Road;
use crate::haul::{Material, Pile, Truck};
use crate::soil::Class;
use serde::Serialize;

/// What a haul was worked out from.
#[derive(Clone, Debug, Default, Serialize)]
pub struct BasisOut {
    /// How each soil behaves that is dug.
    pub soils: Vec<SoilBasisOut>,
    /// What is dug, place by place; none is empty.
    pub dug: Vec<DugOut>,
    /// Part of topsoil lost when it is put aside and brought back.
    pub handling_loss: f64,
    /// What hauls, in the order of the file.
    pub trucks: Vec<TruckBasisOut>,
    /// What the machine digs in an hour, bank; absent where not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dig_rate: Option<f64>,
    /// The user's price of a yd3 or m3 dug, bank; absent where not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dig_price: Option<f64>,
}

/// How a soil behaves.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SoilBasisOut {
    /// Its class; `all soil` without cores.
    pub soil: &'static str,
    /// Bank to loose; absent where not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swell: Option<f64>,
    /// Bank to compacted; absent where not said, and then nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shrink: Option<f64>,
    /// Of a bank yd3 or m3, moist; absent where not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight: Option<f64>,
}

/// What is dug in one place.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DugOut {
    /// An area, `strip`, `sod`, `trenches`, `all`.
    pub place: String,
    /// `sod`, `topsoil`, `clean`, `mixed`, `wet`.
    pub material: &'static str,
    /// Its soil.
    pub soil: &'static str,
    /// By what part it is heavier than moist.
    pub heavier: f64,
    /// As it lies.
    pub bank: f64,
}

/// A truck, and the user's prices of it.
#[derive(Clone, Debug, Default, Serialize)]
pub struct TruckBasisOut {
    /// Its name.
    pub truck: String,
    /// What its box is counted as, loose.
    pub volume: f64,
    /// What the law lets it carry.
    pub payload: f64,
    /// There, tipped and back, hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub round_trip: Option<f64>,
    /// How many go at once.
    pub count: u32,
    /// Price of an hour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_hour: Option<f64>,
    /// Price of a load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_load: Option<f64>,
    /// Price of tipping a load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tip_fee: Option<f64>,
}

/// What is dug in one place, before it is told.
pub(super) struct Dug {
    /// The place, where there is more than one.
    pub place: String,
    /// Its soil, where somebody dug a core.
    pub class: Option<Class>,
    /// By what part it is heavier than moist.
    pub heavier: f64,
    pub pile: Pile,
}

/// One soil where nobody dug a core.
const ALL: &str = "all soil";

impl Road<'_> {
    /// What `dug` and all that hauls it begin with.
    pub(super) fn basis(&self, dug: &[Dug]) -> BasisOut {
        let (haul, unit, ground) = (self.haul, self.unit, self.ground);
        let mut out = BasisOut {
            handling_loss: haul.handling_loss,
            trucks: haul.trucks.iter().enumerate().map(|(k, t)| self.truck(k, t)).collect(),
            dig_rate: haul.dig_rate.map(|rate| rate.spoken(unit)),
            dig_price: haul.prices.dig.map(|price| price * unit.cubic_per_volume()),
            ..BasisOut::default()
        };
        for one in dug.iter().filter(|d| d.pile.bank.cubic() > 0.0) {
            let soil = one.class.map_or(ALL, Class::word);
            if !out.soils.iter().any(|s| s.soil == soil) {
                let factors = one.class.map(|class| ground.factors(class, unit));
                out.soils.push(SoilBasisOut {
                    soil,
                    swell: factors.map_or(ground.swell, |f| Some(f.swell)),
                    shrink: factors.map_or(ground.shrink, |f| Some(f.shrink)),
                    weight: factors
                        .map_or(ground.bank_weight, |f| Some(f.bank_weight))
                        .map(|w| w * unit.cubic_per_volume()),
                });
            }
            out.dug.push(DugOut {
                place: one.place.clone(),
                material: one.pile.material.word(),
                soil,
                heavier: one.heavier,
                bank: one.pile.bank.spoken(unit),
            });
        }
        // In the order fill is taken in.
        let rank = |word: &str| Material::FILL.iter().position(|m| m.word() == word).unwrap_or(Material::FILL.len());
        out.dug.sort_by_key(|d| rank(d.material));
        out
    }

    fn truck(&self, k: usize, truck: &Truck) -> TruckBasisOut {
        let prices = self.haul.prices.haul.iter().find(|h| h.truck == k);
        TruckBasisOut {
            truck: truck.name.clone(),
            volume: truck.volume.spoken(self.unit),
            payload: truck.payload,
            round_trip: truck.round_trip,
            count: truck.count,
            per_hour: prices.and_then(|p| p.per_hour),
            per_load: prices.and_then(|p| p.per_load),
            tip_fee: prices.and_then(|p| p.tip_fee),
        }
    }
}
