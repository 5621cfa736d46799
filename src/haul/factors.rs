//! What becomes of a bank yard when it is dug, and when it is compacted?
//!
//! ```text
//!   loose = bank (1 + swell)      compacted = bank (1 - shrink)      a hole of 1 compacted wants 1 / (1 - shrink) of bank
//! ```
//! Shrink may be below zero: blasted rock compacts to more than it was. Parts of one, not percent; weight in the job's mass in a
//! cubic job unit of bank.

use crate::units::{BankVolume, CompactedVolume, LengthUnit, LooseVolume, Measured, parse_measure};

/// How a soil behaves.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Factors {
    /// Bank to loose, as a part of bank.
    pub swell: f64,
    /// Bank to compacted, as a part of bank.
    pub shrink: f64,
    /// Mass of a cubic job unit of bank, moist.
    pub bank_weight: f64,
}

impl Factors {
    /// Dug.
    #[must_use]
    pub fn loose(&self, bank: BankVolume) -> LooseVolume {
        LooseVolume::cubic_job_units(bank.cubic() * (1.0 + self.swell))
    }
    /// Compacted.
    #[must_use]
    pub fn compacted(&self, bank: BankVolume) -> CompactedVolume {
        CompactedVolume::cubic_job_units(bank.cubic() * (1.0 - self.shrink))
    }
    /// Bank that fills a hole when compacted.
    #[must_use]
    pub fn bank_of_compacted(&self, hole: CompactedVolume) -> BankVolume {
        BankVolume::cubic_job_units(hole.cubic() / (1.0 - self.shrink))
    }
    /// What it weighs, in every state.
    #[must_use]
    pub fn mass(&self, bank: BankVolume) -> f64 {
        bank.cubic() * self.bank_weight
    }
}

/// Usual swell %, shrink % and moist bank weight in ton/yd3: middles of the ranges estimating handbooks give (topsoil 20-30, 10-20,
/// 1.15-1.3; clay 30-40, 10-15, 1.4-1.5; silt 25-35, 10-15, 1.3-1.4; sand and gravel 10-15, 5-12, 1.4-1.6); weights from memory.
pub const USUAL: [(&str, f64, f64, f64); 6] = [
    ("topsoil", 25.0, 15.0, 1.225),
    ("loam", 25.0, 15.0, 1.225),
    ("clay", 35.0, 12.5, 1.45),
    ("silt", 30.0, 12.5, 1.35),
    ("sand", 12.5, 8.5, 1.5),
    ("gravel", 12.5, 8.5, 1.5),
];

/// The usual factors of a soil by its word.
#[must_use]
pub fn usual(soil: &str, job: LengthUnit) -> Option<Factors> {
    let (_, swell, shrink, weight) = USUAL.iter().find(|(word, ..)| *word == soil)?;
    let bank_weight = parse_measure(&format!("{weight} ton/yd3"), Measured::Density, job).ok()?;
    Some(Factors { swell: swell / 100.0, shrink: shrink / 100.0, bank_weight })
}

/// Swell learned from load tickets: so many boxes, so full, against a measured dig. None without a dig.
#[must_use]
pub fn learned(tickets: f64, loads_box: LooseVolume, full: f64, bank: BankVolume) -> Option<f64> {
    (bank.cubic() > 0.0).then(|| tickets * loads_box.cubic() * full / bank.cubic() - 1.0)
}
