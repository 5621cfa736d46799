//! What becomes of a bank yard when it is dug, and when it is compacted? The only door between the three states.
//!
//! ```text
//!   loose = bank (1 + swell)      compacted = bank (1 - shrink)      a hole of 1 compacted wants 1 / (1 - shrink) of bank
//! ```
//! From densities (weights of one volume in each state): swell = bank / loose - 1, shrink = 1 - bank / compacted.
//! Parts of one, not percent. Shrink may be below zero: blasted rock, compacted, takes 1.30 of what it was in the bank, so
//! nothing here holds compacted to be less than bank.
//!
//! Known right by: every entry of a published table of conversion factors (`tests/published/soils.rs`), and there and back again.

use crate::units::{BankVolume, CompactedVolume, LooseVolume};

/// How a soil behaves.
///
/// A bank volume loosens; what is loose already does not:
/// ```
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = BankVolume::cubic_job_units(27.0);
/// let trucks = clay.loose(dug);
/// ```
/// ```compile_fail,E0308
/// # use spadework::{soil::Factors, units::LooseVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = LooseVolume::cubic_job_units(27.0);
/// let trucks = clay.loose(dug);
/// ```
/// What a hole takes is compacted; bank for it is asked of a compacted volume only:
/// ```
/// # use spadework::{soil::Factors, units::CompactedVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let hole = CompactedVolume::cubic_job_units(27.0);
/// let bank = clay.bank_of_compacted(hole);
/// ```
/// ```compile_fail,E0308
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let hole = BankVolume::cubic_job_units(27.0);
/// let bank = clay.bank_of_compacted(hole);
/// ```
/// Loose and compacted do not add up; what both were in the bank does:
/// ```
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = BankVolume::cubic_job_units(27.0);
/// let all = clay.bank_of_loose(clay.loose(dug)) + clay.bank_of_compacted(clay.compacted(dug));
/// ```
/// ```compile_fail,E0308
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = BankVolume::cubic_job_units(27.0);
/// let all = clay.loose(dug) + clay.compacted(dug);
/// ```
/// Weight is that of the bank, in whatever state it lies now:
/// ```
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = BankVolume::cubic_job_units(27.0);
/// let weight = clay.mass(dug);
/// ```
/// ```compile_fail,E0308
/// # use spadework::{soil::Factors, units::BankVolume};
/// # let clay = Factors { swell: 0.43, shrink: 0.10, bank_weight: 1.45 };
/// # let dug = BankVolume::cubic_job_units(27.0);
/// let weight = clay.mass(clay.loose(dug));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Factors {
    /// Bank to loose, as a part of bank.
    pub swell: f64,
    /// Bank to compacted, as a part of bank; below zero where it grows.
    pub shrink: f64,
    /// Mass (ton, tonne) of a cubic job unit of bank, moist.
    pub bank_weight: f64,
}

impl Factors {
    /// From the weight of a cubic job unit in each state, all in the job's mass.
    #[must_use]
    pub fn of_weights(bank: f64, loose: f64, compacted: f64) -> Self {
        Self { swell: bank / loose - 1.0, shrink: 1.0 - bank / compacted, bank_weight: bank }
    }

    /// Dug.
    #[must_use]
    pub fn loose(&self, bank: BankVolume) -> LooseVolume {
        LooseVolume::cubic_job_units(bank.cubic() * (1.0 + self.swell))
    }

    /// Placed and compacted.
    #[must_use]
    pub fn compacted(&self, bank: BankVolume) -> CompactedVolume {
        CompactedVolume::cubic_job_units(bank.cubic() * (1.0 - self.shrink))
    }

    /// What it was before it was dug.
    #[must_use]
    pub fn bank_of_loose(&self, loose: LooseVolume) -> BankVolume {
        BankVolume::cubic_job_units(loose.cubic() / (1.0 + self.swell))
    }

    /// What it was before it was dug and compacted; the bank that fills such a hole.
    #[must_use]
    pub fn bank_of_compacted(&self, compacted: CompactedVolume) -> BankVolume {
        BankVolume::cubic_job_units(compacted.cubic() / (1.0 - self.shrink))
    }

    /// What it weighs, in every state; in the job's mass.
    #[must_use]
    pub fn mass(&self, bank: BankVolume) -> f64 {
        bank.cubic() * self.bank_weight
    }
}
