//! How is the rod divided, and what is a reading in whole numbers?
//!
//! Said once for a table. A reading is kept as a whole number of twelve-millionths of the rod's own unit: six decimals of a foot
//! or a metre and the 1/64 of an inch are all whole numbers of those, so sums of any mixture stay exact. The rod's unit becomes
//! the job's only when a height is made: 1 ft = 0.3048 m.

use crate::units::{Length, LengthUnit};

/// Whole parts of the rod's unit in which readings are kept.
pub const PARTS: i64 = 12_000_000;

/// How a rod is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rods {
    /// Feet and decimals: 5.54.
    Tenths,
    /// Feet, inches and fractions: 5-6 1/2.
    Inches,
    /// Metres and decimals: 1.689.
    Metres,
}

impl Rods {
    /// The words of a job file and of the command line.
    pub const WORDS: [(&str, Self); 3] = [("tenths", Self::Tenths), ("inches", Self::Inches), ("metres", Self::Metres)];

    /// The rods with that word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS.into_iter().find(|(w, _)| *w == word).map(|(_, rods)| rods)
    }

    /// Their word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// What is held where nothing is said: the rod of the job's own unit, in decimals.
    #[must_use]
    pub fn of(unit: LengthUnit) -> Self {
        if unit == LengthUnit::Metre { Self::Metres } else { Self::Tenths }
    }

    /// One unit of the rod, in the job's.
    #[must_use]
    pub fn in_job(self, job: LengthUnit) -> Length {
        match (self, job) {
            (Self::Metres, _) => Length::of(1.0, LengthUnit::Metre, job),
            // A rod in feet goes with the job's own foot.
            (_, LengthUnit::Metre) => Length::of(1.0, LengthUnit::Foot, job),
            _ => Length::in_job_units(1.0),
        }
    }

    /// Readings kept in one job unit, for [`super::Rule::places`].
    #[must_use]
    pub fn places(self, job: LengthUnit) -> f64 {
        PARTS as f64 / self.in_job(job).job_units()
    }

    /// What a reading can hardly be above: the longest rods in trade are 25 ft and 5 m.
    #[must_use]
    pub fn longest(self) -> i64 {
        PARTS * if self == Self::Metres { 5 } else { 25 }
    }
}
