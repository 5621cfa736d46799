//! How far is the line of sight from level?
//!
//! Curvature lifts a reading by D²/2R, refraction (coefficient 1/7) takes a seventh of that back: 0.0206 ft at 1,000 ft, less than
//! 0.001 ft at the 200 ft of a yard, so that no reading is corrected for it. A level out of adjustment reads off by a slope times the
//! sight, which equal sights cancel; the two-peg test finds the slope.
//!
//! Source: Uren and Price, Surveying for Engineers (attribution from memory); known right by `tests/published/levelling.rs`.

use crate::units::{Length, LengthUnit};

/// Mean radius of the earth, metres.
const EARTH: f64 = 6_370_000.0;
/// Coefficient of refraction: the part of the curvature it takes back.
const REFRACTION: f64 = 1.0 / 7.0;

/// How much too high a reading is at that distance: for curvature, and of it taken back by refraction. Both positive.
#[must_use]
pub fn curvature_and_refraction(distance: Length, unit: LengthUnit) -> (Length, Length) {
    let radius = Length::of(EARTH, LengthUnit::Metre, unit).job_units();
    let curvature = distance.job_units().powi(2) / (2.0 * radius);
    (Length::in_job_units(curvature), Length::in_job_units(curvature * REFRACTION))
}

/// What a two-peg test tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PegTest {
    /// True difference: reading on the first peg less that on the second, from half-way.
    pub truth: Length,
    /// The same from beside the second peg.
    pub apparent: Length,
    /// How far the line of sight points down, per unit of length: readings are too small by that times the sight.
    pub down: f64,
}

/// Works out a two-peg test. Readings on the far peg A and the near peg B, from half-way and then from beyond B; `pegs`: between the
/// two, which must be more than nothing.
#[must_use]
pub fn peg_test(half_way: [Length; 2], beyond: [Length; 2], pegs: Length) -> PegTest {
    let [truth, apparent] = [half_way, beyond].map(|[a, b]| a - b);
    PegTest { truth, apparent, down: (truth - apparent).job_units() / pegs.job_units() }
}

impl PegTest {
    /// What the rod would read at that distance from a level line of sight.
    #[must_use]
    pub fn level_reading(&self, reading: Length, sight: Length) -> Length {
        reading + Length::in_job_units(sight.job_units() * self.down)
    }
}
