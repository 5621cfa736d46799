//! How much does a soil usually swell, shrink and weigh, and how far may that be out?
//!
//! Swell and shrink: conversion factors of US Army FM 5-434 (2000), table 1-1, sand, loam (common earth), clay and blasted rock, from memory but for the sand,
//! seen; a class without a row of its own takes common earth's. Ranges: estimating texts, rounded, widened to hold the figure taken. Weights of bank, moist:
//! common practice, from memory; of rock, crushed stone of 2,700 lb/yd3 (US Army TM 9-2320-366-10-1, table 2-15, seen) that swelled by a half.
//!
//! Parts of one; weights in ton (2,000 lb) of a cubic yard here, in the job's mass of a cubic job unit as [`Factors`]. Rain on an open hole adds 10 % to
//! 20 % to a weight. A user's own figures, best from load tickets, replace all of this.

use super::identify::Class;
use super::states::Factors;
use crate::units::LengthUnit;

/// A figure and how far it may be out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The least.
    pub least: f64,
    /// What is taken where nothing is said.
    pub usual: f64,
    /// The most.
    pub most: f64,
}

/// What is usual of a class.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// Bank to loose.
    pub swell: Range,
    /// Bank to compacted.
    pub shrink: Range,
    /// Of bank, moist: ton/yd3.
    pub weight: Range,
    /// Where swell and shrink come from.
    pub source: &'static str,
}

const fn range(least: f64, usual: f64, most: f64) -> Range {
    Range { least, usual, most }
}

const EARTH: &str = "US Army FM 5-434 table 1-1, common earth";
const CLAY: &str = "US Army FM 5-434 table 1-1, clay";
const SAND: &str = "US Army FM 5-434 table 1-1, sand";
const ROCK: &str = "US Army FM 5-434 table 1-1, blasted rock";
const MADE: &str = "US Army FM 5-434 table 1-1, common earth; rubble swells more, and no figure is known of its shrink";

/// What is usual of a class.
#[must_use]
pub fn usual(class: Class) -> Usual {
    let of = |swell, shrink, weight, source| Usual { swell, shrink, weight, source };
    match class {
        Class::Rock => of(range(0.50, 0.50, 0.65), range(-0.30, -0.30, -0.30), range(1.9, 2.025, 2.3), ROCK),
        Class::Gravel | Class::Sand => of(range(0.10, 0.11, 0.15), range(0.05, 0.05, 0.12), range(1.4, 1.5, 1.6), SAND),
        Class::Mixed => of(range(0.10, 0.25, 0.40), range(0.05, 0.10, 0.15), range(1.3, 1.45, 1.6), EARTH),
        Class::Clay => of(range(0.30, 0.43, 0.43), range(0.10, 0.10, 0.15), range(1.4, 1.45, 1.5), CLAY),
        Class::ClaySilt => of(range(0.25, 0.25, 0.43), range(0.10, 0.10, 0.15), range(1.3, 1.4, 1.5), EARTH),
        Class::Silt => of(range(0.25, 0.25, 0.35), range(0.10, 0.10, 0.15), range(1.3, 1.35, 1.4), EARTH),
        Class::Fill => of(range(0.25, 0.25, 0.50), range(0.0, 0.10, 0.20), range(1.3, 1.6, 1.6), MADE),
        Class::Topsoil | Class::Organic => {
            of(range(0.20, 0.25, 0.30), range(0.10, 0.10, 0.20), range(1.15, 1.2, 1.3), EARTH)
        }
    }
}

impl Usual {
    /// As factors of a job.
    #[must_use]
    pub fn factors(&self, job: LengthUnit) -> Factors {
        Factors {
            swell: self.swell.usual,
            shrink: self.shrink.usual,
            bank_weight: Self::in_job(self.weight.usual, job),
        }
    }

    /// A weight in ton/yd3 as the job's mass of a cubic job unit.
    #[must_use]
    pub fn in_job(weight: f64, job: LengthUnit) -> f64 {
        weight * ton_per_cubic_yard(job)
    }
}

/// What a ton/yd3 is in the job's mass of a cubic job unit: ton of a cubic foot, or tonne of a cubic metre.
fn ton_per_cubic_yard(job: LengthUnit) -> f64 {
    // The pound is 0.45359237 kg, the yard 0.9144 m; a survey yard differs by 6 parts in a million.
    if job == LengthUnit::Metre { 2000.0 * 0.453_592_37 / 1000.0 / 0.9144_f64.powi(3) } else { 1.0 / 27.0 }
}
