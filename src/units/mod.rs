//! Which quantity is this, and in what unit was it said?
//!
//! The core is blind to the unit: a [`Length`] is a number of the job's own unit ([`LengthUnit`]),
//! so that what was typed is what prints. Units are spoken here, at the edges, and nowhere else.
//!
//! Signs: an elevation is a place (up is positive), a length is a difference of places.
//! Cut and fill are two numbers, never one with a sign.
//!
//! Sources: foot and US survey foot, Federal Register 85 FR 62698 (5 Oct 2020); the rest by arithmetic.

mod measure;
mod parse;
mod say;
mod volume;

pub use measure::{Measured, parse_measure, said_in};
pub use parse::{Misread, parse_length, parse_number, parse_scale, parse_slope};
pub use say::{CutFill, eighths, feet_inches, fixed};
pub use volume::{Bank, BankVolume, Compacted, CompactedVolume, Loose, LooseVolume, State, Volume};

use std::ops::{Add, Neg, Sub};

/// The unit a job's lengths and heights are in. Never converted inside: feet are not stored as metres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// International foot, 0.3048 m exactly.
    Foot,
    /// US survey foot, 1200/3937 m exactly (withdrawn at the end of 2022, still in older control).
    UsSurveyFoot,
    /// Metre.
    Metre,
}

impl LengthUnit {
    /// Metres in one of this unit.
    #[must_use]
    pub fn metres(self) -> f64 {
        match self {
            Self::Foot => 0.3048,
            Self::UsSurveyFoot => 1200.0 / 3937.0,
            Self::Metre => 1.0,
        }
    }

    /// Inches (25.4 mm; of a survey foot, its twelfth part) in one of this unit.
    #[must_use]
    pub fn inches(self) -> f64 {
        match self {
            Self::Foot | Self::UsSurveyFoot => 12.0,
            Self::Metre => 1.0 / 0.0254,
        }
    }

    /// Cubic units of length in one unit of volume: 27 for feet (cubic yards), 1 for metres.
    #[must_use]
    pub fn cubic_per_volume(self) -> f64 {
        if self == Self::Metre { 1.0 } else { 27.0 }
    }

    /// How the job file and `--units` spell it.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Foot => "ft",
            Self::UsSurveyFoot => "us-ft",
            Self::Metre => "m",
        }
    }

    /// Sign printed after a length (both feet print as `ft`).
    #[must_use]
    pub fn length(self) -> &'static str {
        if self == Self::Metre { "m" } else { "ft" }
    }

    /// Sign printed after an area.
    #[must_use]
    pub fn area(self) -> &'static str {
        if self == Self::Metre { "m2" } else { "ft2" }
    }

    /// Sign printed after a volume.
    #[must_use]
    pub fn volume(self) -> &'static str {
        if self == Self::Metre { "m3" } else { "yd3" }
    }

    /// Sign printed after a mass: short ton (2,000 lb) or tonne (1,000 kg).
    #[must_use]
    pub fn mass(self) -> &'static str {
        if self == Self::Metre { "tonne" } else { "ton" }
    }

    /// Sign printed after an amount of water.
    #[must_use]
    pub fn water(self) -> &'static str {
        if self == Self::Metre { "L" } else { "gal" }
    }

    /// Water in a cubic unit: US gallons (231 cubic inches; of a survey foot a hair more), or litres.
    #[must_use]
    pub fn water_per_cubic(self) -> f64 {
        match self {
            Self::Foot => 1728.0 / 231.0,
            Self::UsSurveyFoot => 1728.0 / 231.0 * (1200.0 / 3937.0 / 0.3048_f64).powi(3),
            Self::Metre => 1000.0,
        }
    }

    /// The unit with that code, if there is one.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        [Self::Foot, Self::UsSurveyFoot, Self::Metre].into_iter().find(|unit| unit.code() == code)
    }
}

/// A difference of places: thickness, depth, distance. In the job's unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Length(f64);

/// A height above the job's datum, in the job's unit.
///
/// Two heights have a difference, not a sum:
/// ```
/// use spadework::units::{Elevation, Length};
/// let depth: Length = Elevation::in_job_units(100.42) - Elevation::in_job_units(99.72);
/// ```
/// ```compile_fail,E0369
/// use spadework::units::{Elevation, Length};
/// let depth: Length = Elevation::in_job_units(100.42) + Elevation::in_job_units(99.72);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Elevation(f64);

macro_rules! in_job_units {
    ($name:ident) => {
        impl $name {
            /// From a number of the job's own unit.
            #[must_use]
            pub fn in_job_units(value: f64) -> Self {
                Self(value)
            }
            /// As a number of the job's own unit.
            #[must_use]
            pub fn job_units(self) -> f64 {
                self.0
            }
        }
    };
}
in_job_units!(Length);
in_job_units!(Elevation);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// Inches, in a job of that unit.
    #[must_use]
    pub fn inches(value: f64, job: LengthUnit) -> Self {
        Self(value / job.inches())
    }

    /// `value` of `unit`, in a job of unit `job`; unchanged to the last bit where the two are the same.
    #[must_use]
    pub fn of(value: f64, unit: LengthUnit, job: LengthUnit) -> Self {
        if unit == job { Self(value) } else { Self(value * (unit.metres() / job.metres())) }
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl Add<Length> for Elevation {
    type Output = Self;
    fn add(self, up: Length) -> Self {
        Self(self.0 + up.0)
    }
}
impl Sub<Length> for Elevation {
    type Output = Self;
    fn sub(self, down: Length) -> Self {
        Self(self.0 - down.0)
    }
}
impl Sub for Elevation {
    type Output = Length;
    fn sub(self, other: Self) -> Length {
        Length(self.0 - other.0)
    }
}

/// Steepness: rise over run, without direction. Never a bare number.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Slope(f64);

impl Slope {
    /// 2 % is a fall of 2 in 100.
    #[must_use]
    pub fn percent(value: f64) -> Self {
        Self(value / 100.0)
    }
    /// Rise over run, both in the same unit.
    #[must_use]
    pub fn rise_over_run(ratio: f64) -> Self {
        Self(ratio)
    }
    /// "One in `run`", as `1:48`.
    #[must_use]
    pub fn run_per_rise(run: f64) -> Self {
        Self(1.0 / run)
    }
    /// Rise over run.
    #[must_use]
    pub fn ratio(self) -> f64 {
        self.0
    }
    /// In percent.
    #[must_use]
    pub fn as_percent(self) -> f64 {
        self.0 * 100.0
    }
}

/// The least slope allowed is met: `found >= least` with the tie rule of the house (1e-9 counts as equal).
#[must_use]
pub fn at_least(found: f64, least: f64) -> bool {
    found >= least - TIE
}

/// What counts as equal when a number stands on its limit.
pub const TIE: f64 = 1e-9;

#[cfg(test)]
mod tests;
