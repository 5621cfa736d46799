//! What leaves the site, what arrives, in how many trips, and what does it cost?
//!
//! Bank yards are dug, loose yards and tons are hauled, compacted yards are built: three states, three types. [`material`](account) says what
//! leaves, [`Truck`] in how many loads, [`orders`](amount) what is bought, [`Prices`] what that costs.
//!
//! Units: volumes in cubic job units by their state, areas in square ones, mass in tons (2,000 lb) or tonnes, time in hours, parts of
//! one for percents. No number has a sign.

mod cost;
mod factors;
mod material;
mod mix;
mod orders;
mod trips;

pub use cost::{Goods, Haulage, Prices};
pub use factors::{Factors, USUAL, learned, usual};
pub use material::{Account, Material, Pile, Wanted, account};
pub use mix::cheapest;
pub use orders::{Firmness, Sale, amount, does, dry_weight, fabric, lifts, part_of_soil};
pub use trips::{Cargo, Trips, Truck, digging, loads, on_edge};

use crate::units::{BankVolume, Length};

/// What a job says of its haul.
#[derive(Clone, Debug, Default)]
pub struct Haul {
    /// Bank to loose.
    pub swell: Option<f64>,
    /// Bank to compacted.
    pub shrink: Option<f64>,
    /// Mass of a cubic job unit of bank, moist.
    pub weight: Option<f64>,
    /// Part of topsoil lost when it is put aside and brought back.
    pub handling_loss: f64,
    /// Depth of sod, within the strip; hauled apart.
    pub sod: Length,
    /// Part by which earth too wet to stack is heavier than moist earth.
    pub wet: f64,
    /// What the machine digs in an hour.
    pub dig_rate: Option<BankVolume>,
    /// What hauls, in the order of the file.
    pub trucks: Vec<Truck>,
    /// The user's prices.
    pub prices: Prices,
}

impl Haul {
    /// How the ground behaves, if swell and weight were said. Without a shrink it compacts to what it was.
    #[must_use]
    pub fn factors(&self) -> Option<Factors> {
        Some(Factors { swell: self.swell?, shrink: self.shrink.unwrap_or(0.0), bank_weight: self.weight? })
    }
}
