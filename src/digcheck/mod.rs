//! Is the hole what the sheet asked for?
//!
//! ```text
//!   ____ as dug        difference = as dug - dig-to
//!  /    \___/\___      above 0: HIGH, to be trimmed; below 0: LOW, stone comes back
//!  - - - - - - - - dig-to
//! ```
//! Heights and differences in job units, volumes in cubic job units, areas in square ones. Ties: a difference of just the tolerance of
//! its side is in ([`TIE`]).
//!
//! Known right by: an invented site checked stake by stake (`tests/digcheck.rs`), shapely and scipy to 1e-9 (`tests/reference`).

mod between;
mod floor;
mod shares;
mod shots;

pub use between::{Between, between};
pub use floor::{Floor, Piece};
pub use shares::shares;
pub use shots::{AsDug, Closing, DugShot, Ordered, SetUpRow, Ticket};

use crate::units::{Length, LengthUnit, TIE};

/// How far from dig-to the dug ground may be; both zero or more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Above.
    pub high: Length,
    /// Below.
    pub low: Length,
}

/// What a stake is judged to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within the tolerance of its side.
    In,
    /// Too high: trim.
    High,
    /// Too low: stone.
    Low,
}

impl Verdict {
    /// `ok`, `HIGH` or `LOW`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::In => "ok",
            Self::High => "HIGH",
            Self::Low => "LOW",
        }
    }

    /// What to do about it; nothing where it is in.
    #[must_use]
    pub fn order(self) -> &'static str {
        match self {
            Self::In => "",
            Self::High => "trim",
            Self::Low => "stone",
        }
    }
}

impl Tolerance {
    /// The usual one: 0.04 ft (half an inch), 10 mm; common practice, no source.
    #[must_use]
    pub fn usual(unit: LengthUnit) -> Self {
        let by = if unit == LengthUnit::Metre {
            Length::in_job_units(0.010)
        } else {
            Length::of(0.04, LengthUnit::Foot, LengthUnit::Foot)
        };
        Self { high: by, low: by }
    }

    /// What a difference is.
    #[must_use]
    pub fn verdict(&self, difference: f64) -> Verdict {
        if difference > self.high.job_units() + TIE {
            Verdict::High
        } else if difference < -self.low.job_units() - TIE {
            Verdict::Low
        } else {
            Verdict::In
        }
    }
}

/// Mean of differences, and how they spread about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Their mean.
    pub mean: f64,
    /// Standard deviation, n - 1; none of one alone.
    pub spread: Option<f64>,
}

/// Mean and spread; nothing of nothing.
#[must_use]
pub fn spread(differences: &[f64]) -> Option<Spread> {
    if differences.is_empty() {
        return None;
    }
    let n = differences.len() as f64;
    let mean = crate::surface::sum(differences.iter().copied()) / n;
    let squares = crate::surface::sum(differences.iter().map(|d| (d - mean).powi(2)));
    let spread = (differences.len() > 1).then(|| (squares / (n - 1.0)).sqrt());
    Some(Spread { mean, spread })
}

/// Fewer stakes than this say nothing of a bench.
const ENOUGH: usize = 5;
/// Of the stakes this part lies about the middle one where digging is ordinary.
const MOST: f64 = 2.0 / 3.0;

/// By how much all stakes are off together: the middle difference, where it is out of tolerance and two stakes in three lie within
/// tolerance of it. Digging misses this way and that; a bench misread or mistaken moves every stake by one amount. (Rule of thumb, no
/// source; the middle one rather than the mean, for a single deep hole moves the mean.)
#[must_use]
pub fn slip(differences: &[f64], tolerance: &Tolerance) -> Option<f64> {
    if differences.len() < ENOUGH {
        return None;
    }
    let mut sorted = differences.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    let middle = if sorted.len() % 2 == 1 { sorted[half] } else { f64::midpoint(sorted[half - 1], sorted[half]) };
    let near = sorted.iter().filter(|d| tolerance.verdict(*d - middle) == Verdict::In).count();
    (tolerance.verdict(middle) != Verdict::In && near as f64 >= MOST * sorted.len() as f64).then_some(middle)
}

/// Hours one person trims by hand what is too high, at best and at worst: 40 to 80 ft2 and 0.4 to 0.7 yd3 an hour, the slower of the two
/// (common practice, no source). `area` and `bank` in job units.
#[must_use]
pub fn trimming(area: f64, bank: f64, unit: LengthUnit) -> [f64; 2] {
    let foot = Length::of(1.0, LengthUnit::Foot, unit).job_units();
    let (square, yard) = (foot * foot, 27.0 * foot * foot * foot);
    let hours = |feet: f64, yards: f64| (area / (feet * square)).max(bank / (yards * yard));
    [hours(80.0, 0.7), hours(40.0, 0.4)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn half_inch() -> Tolerance {
        Tolerance::usual(LengthUnit::Foot)
    }

    #[test]
    fn a_difference_of_just_the_tolerance_is_in_on_either_side() {
        let unlike = Tolerance { high: Length::in_job_units(0.04), low: Length::in_job_units(0.06) };
        for (difference, want) in [
            (0.04, Verdict::In),
            (107.0 - 5.58 - 101.38, Verdict::In),
            (0.040_001, Verdict::High),
            (-0.06, Verdict::In),
            (-0.060_001, Verdict::Low),
            (-0.05, Verdict::In),
            (0.05, Verdict::High),
            (0.0, Verdict::In),
        ] {
            assert_eq!(unlike.verdict(difference), want, "{difference}");
        }
        assert_eq!(half_inch().verdict(-0.05), Verdict::Low);
    }

    #[test]
    fn mean_and_spread_in_closed_form() {
        assert_eq!(spread(&[]), None);
        assert_eq!(spread(&[0.3]), Some(Spread { mean: 0.3, spread: None }));
        let two = spread(&[1.0, 3.0]).expect("two differences");
        assert!((two.mean - 2.0).abs() < 1e-15 && (two.spread.unwrap_or(0.0) - 2.0_f64.sqrt()).abs() < 1e-15);
    }

    #[test]
    fn only_all_stakes_together_are_a_slip() {
        let dug = [0.01, -0.02, 0.03, -0.29, 0.0, -0.01, 0.02];
        assert_eq!(slip(&dug, &half_inch()), None);
        let off: Vec<f64> = dug.iter().map(|d| d - 0.10).collect();
        assert!(slip(&off, &half_inch()).is_some_and(|by| (by + 0.10).abs() < 1e-12));
        // Few stakes, and digging that misses this way and that.
        assert_eq!(slip(&off[..4], &half_inch()), None);
        assert_eq!(slip(&[0.3, -0.2, 0.5, 0.1, -0.4, 0.2], &half_inch()), None);
        // Out by no more than the tolerance is no slip.
        let near: Vec<f64> = [0.0, 0.01, -0.01, 0.02, -0.02].iter().map(|d| d + 0.04).collect();
        assert_eq!(slip(&near, &half_inch()), None);
    }

    #[test]
    fn hand_hours_are_the_same_in_feet_and_metres() {
        // 50 ft2 by 0.07 ft: under an hour at best.
        let feet = trimming(50.0, 3.5, LengthUnit::Foot);
        assert!((feet[0] - 0.625).abs() < 1e-12 && (feet[1] - 1.25).abs() < 1e-12, "{feet:?}");
        let metres = trimming(50.0 * 0.3048_f64.powi(2), 3.5 * 0.3048_f64.powi(3), LengthUnit::Metre);
        assert!(feet.iter().zip(metres).all(|(f, m)| (f - m).abs() < 1e-12), "{feet:?} {metres:?}");
        // Deep and narrow: the yards govern.
        assert!((trimming(1.0, 27.0, LengthUnit::Foot)[1] - 2.5).abs() < 1e-12);
    }
}
