//! What leaves the site, what arrives, in how many trips, and what does it cost?
//!
//! Bank yards are dug, loose yards and tons are hauled, compacted yards are built: three states, three types, and
//! [`crate::soil::Factors`] between them. [`material`](account) says what
//! leaves, [`Truck`] in how many loads, [`orders`](Sale) what is bought, [`Prices`] what that costs.
//!
//! Units: volumes in cubic job units by their state, areas in square ones, mass in tons (2,000 lb) or tonnes, time in hours, parts of
//! one for percents. No number has a sign.

mod cost;
mod material;
mod mix;
mod orders;
mod trips;

pub use cost::{Goods, Haulage, Prices};
pub use material::{Account, Material, Pile, Wanted, account};
pub use mix::cheapest;
pub use orders::{Firmness, Sale, does, dry_weight, laps, lifts, part_of_soil};
pub use trips::{Cargo, Trips, Truck, digging, learned, loads, on_edge};

use crate::units::{BankVolume, Length};

/// What a job says of its haul; how the ground behaves is said in [`crate::soil::Ground`].
#[derive(Clone, Debug, Default)]
pub struct Haul {
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
