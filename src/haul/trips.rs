//! How many loads, how many hours?
//!
//! Loads = ceil(quantity / capacity - 1e-9): an exactly full truck is one truck, in whatever order the quantity was reckoned. Trips are the
//! worse of volume and payload. A truck is gone for its round trip; where the rate of the machine is known, it also stands while it is
//! loaded. The dig lasts as long as the slower of machine and trucks.
//!
//! Loose volumes; mass in tons or tonnes; hours. Known right by: published loads (`tests/published/loads.rs`).

use crate::units::{BankVolume, LooseVolume, TIE};

/// What hauls.
#[derive(Clone, Debug, PartialEq)]
pub struct Truck {
    /// Its name.
    pub name: String,
    /// What its box is counted as.
    pub volume: LooseVolume,
    /// What the law lets it carry.
    pub payload: f64,
    /// There, tipped and back, hours.
    pub round_trip: Option<f64>,
    /// How many of them go at once.
    pub count: u32,
    /// What to know of it.
    pub note: String,
}

/// What is to be hauled together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cargo {
    /// As it lies in the box.
    pub loose: LooseVolume,
    /// What it weighs.
    pub mass: f64,
}

/// Whole loads by what limits them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trips {
    /// By what the box holds.
    pub by_volume: u64,
    /// By what it may carry.
    pub by_payload: u64,
}

impl Trips {
    /// The worse of both.
    #[must_use]
    pub fn worse(self) -> u64 {
        self.by_volume.max(self.by_payload)
    }
}

/// Whole loads of a quantity; none of nothing. The capacity is above zero.
#[must_use]
pub fn loads(quantity: f64, capacity: f64) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number; a cast holds it in range"
    )]
    let whole = (quantity / capacity - TIE).ceil().max(0.0) as u64;
    whole
}

impl Truck {
    /// Loads of a cargo.
    #[must_use]
    pub fn trips(&self, cargo: Cargo) -> Trips {
        Trips {
            by_volume: loads(cargo.loose.cubic(), self.volume.cubic()),
            by_payload: loads(cargo.mass, self.payload),
        }
    }

    /// As much of a cargo as one load takes, as a part of all of it; above 1 where it takes more.
    #[must_use]
    pub fn share(&self, cargo: Cargo) -> f64 {
        (self.volume.cubic() / cargo.loose.cubic()).min(self.payload / cargo.mass)
    }

    /// Hours from one load to the next, with a machine that loads so much loose an hour; none where its round trip was not said.
    #[must_use]
    pub fn cycle(&self, cargo: Cargo, loaded_an_hour: Option<LooseVolume>) -> Option<f64> {
        let part = self.share(cargo).min(1.0);
        let standing = loaded_an_hour.map_or(0.0, |rate| part * cargo.loose.cubic() / rate.cubic());
        Some(self.round_trip? + standing)
    }

    /// Trucks that keep such a machine busy.
    #[must_use]
    pub fn wanted(&self, cargo: Cargo, loaded_an_hour: LooseVolume) -> Option<u64> {
        let cycle = self.cycle(cargo, Some(loaded_an_hour))?;
        Some(loads(cycle, cycle - self.round_trip?))
    }
}

/// Hours a machine digs.
#[must_use]
pub fn digging(bank: BankVolume, an_hour: BankVolume) -> f64 {
    bank.cubic() / an_hour.cubic()
}

/// Swell learned from load tickets: so many boxes, so full, against a measured dig. None without a dig.
#[must_use]
pub fn learned(tickets: f64, of_box: LooseVolume, full: f64, bank: BankVolume) -> Option<f64> {
    (bank.cubic() > 0.0).then(|| tickets * of_box.cubic() * full / bank.cubic() - 1.0)
}

/// Whether a quantity is so near to whole loads that a hair more or less makes it another number: the lower of the two numbers.
#[must_use]
pub fn on_edge(quantity: f64, capacity: f64) -> Option<u64> {
    /// Boxes are not filled nearer than this.
    const HAIR: f64 = 0.02;
    /// So many loads are always on an edge.
    const MANY: f64 = 1000.0;
    let exact = quantity / capacity;
    let whole = exact.round();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and above zero")]
    ((1.0..MANY).contains(&whole) && (exact - whole).abs() <= HAIR * exact).then_some(whole as u64)
}
