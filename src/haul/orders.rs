//! How much of it is to be ordered?
//!
//! A layer is ordered by the volume as placed, once: weight is weight as placed, so no factor of compaction comes on top.
//! ```text
//!   tons    placed x weight x (1 + waste)        area     plan area x (1 + waste)
//!   volume  placed x (1 + waste)                 pieces   plan area x (1 + waste) / what one covers
//!   fabric  (area + sides) x roll / (roll - lap) x (1 + waste)
//!   lime    area x dose; bags in whole; part of the dry soil = dose / (depth x dry weight)
//! ```
//! roll / (roll - lap) is 1 + lap / (roll - lap): each roll covers its width less one lap. Amounts are not rounded here but by
//! [`super::loads`], once over all areas. Cubic and square job units; mass in tons or tonnes.
//!
//! Sources: laps by firmness, fabric makers' installation guides, from memory; dry weight of soil for a dose of lime 110 lb/ft3, Ohio DOT
//! specification 2002 item 205.04, seen; doses that dry 3 to 5 % and that better a plastic soil 2 to 8 % (UFC 3-220-07 ch. 7, seen).

use super::trips::loads;
use crate::units::{Length, LengthUnit, Measured, parse_measure};

/// How something is sold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sale {
    /// By its plan area.
    Area,
    /// By weight: mass of a cubic job unit as placed.
    Mass(f64),
    /// By volume as placed.
    Volume,
    /// By pieces: what one covers.
    Each(f64),
}

impl Sale {
    /// What goes into one square or cubic job unit, waste aside: square or cubic job units, mass or pieces, by the way it is sold.
    #[must_use]
    pub fn each(self) -> f64 {
        match self {
            Self::Area | Self::Volume => 1.0,
            Self::Mass(weight) => weight,
            Self::Each(covers) => 1.0 / covers,
        }
    }
}

/// How firm the ground is under fabric.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Firmness {
    /// A boot leaves no mark.
    Firm,
    /// A boot leaves a mark.
    #[default]
    Medium,
    /// A boot sinks.
    Soft,
}

impl Firmness {
    /// Every firmness with its word.
    pub const WORDS: [(&'static str, Self); 3] = [("firm", Self::Firm), ("medium", Self::Medium), ("soft", Self::Soft)];

    /// Overlap of two rolls: 12, 24 and 36 in.
    #[must_use]
    pub fn lap(self, job: LengthUnit) -> Length {
        let inches = match self {
            Self::Firm => 12.0,
            Self::Medium => 24.0,
            Self::Soft => 36.0,
        };
        Length::inches(inches, job)
    }
}

/// Fabric that goes into one square unit covered, laps in it. The lap is less than the roll is wide.
#[must_use]
pub fn laps(lap: Length, roll: Length) -> f64 {
    1.0 + lap.job_units() / (roll - lap).job_units()
}

/// Dry weight of soil that a dose of lime is told against, in the job's mass in a cubic job unit: 110 lb/ft3.
#[must_use]
pub fn dry_weight(job: LengthUnit) -> f64 {
    parse_measure("110 lb/ft3", Measured::Density, job).unwrap_or(f64::NAN)
}

/// A dose of lime as a part of the dry soil it is mixed into; dose in mass on a square job unit.
#[must_use]
pub fn part_of_soil(dose: f64, depth: Length, job: LengthUnit) -> f64 {
    dose / (depth.job_units() * dry_weight(job))
}

/// What a dose of lime does, in words: below 3 % of the dry soil it dries.
#[must_use]
pub fn does(part: f64) -> &'static str {
    if part < 0.03 {
        "a drying dose, not stabilization"
    } else {
        "more than a drying dose: stabilization is for a licensed designer"
    }
}

/// A plate or rammer in a narrow place compacts no more than this at once, loose: 4 in (a geotechnical report in city records, seen;
/// Maryland DOT specification 210 allows 6 in of tamped fill, seen).
const LIFT_INCHES: f64 = 4.0;

/// Lifts a layer goes down in at the least.
#[must_use]
pub fn lifts(thick: Length, job: LengthUnit) -> u64 {
    loads(thick.job_units(), Length::inches(LIFT_INCHES, job).job_units())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fabric_covers_its_width_less_one_lap() {
        let [one, two, wide] = [1.0, 2.0, 12.5].map(Length::in_job_units);
        // The trade's table for a roll of 12.5 ft: +9 % with 12 in of lap, +19 % with 24.
        assert!((laps(one, wide) - 1.087).abs() < 0.0005);
        assert!((laps(two, wide) - 1.1905).abs() < 0.0005);
        assert_eq!(Firmness::Soft.lap(LengthUnit::Foot).job_units(), 3.0);
        assert!((Firmness::default().lap(LengthUnit::Metre).job_units() - 0.6096).abs() < 1e-12);
    }

    #[test]
    fn each_as_it_is_sold() {
        for (sale, each) in [(Sale::Area, 1.0), (Sale::Mass(1.95), 1.95), (Sale::Volume, 1.0), (Sale::Each(8.0), 0.125)]
        {
            assert_eq!(sale.each(), each, "{sale:?}");
        }
    }
}
