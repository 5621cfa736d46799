//! How a length is said on paper: decimals, or feet-inches to the eighth.
//!
//! Rounded once, here, from the unrounded value (0.1 ft is 1 1/4 in, not 1 in): ties go away from zero.

use super::{Length, LengthUnit};

/// A whole number of eighths of an inch nearest to the length (ties away from zero).
#[must_use]
pub fn eighths(length: Length, job: LengthUnit) -> i64 {
    // A value on the half of an eighth must not fall off it by the last bit of a division.
    let exact = length.job_units() * job.inches() * 8.0;
    let nudged = exact + exact.signum() * 1e-9;
    #[expect(clippy::cast_possible_truncation, reason = "lengths on a site are far below 2^63 eighths")]
    let whole = nudged.round() as i64;
    whole
}

/// `0-8 3/8`: feet, a hyphen, inches to 1/8; a minus in front where negative.
#[must_use]
pub fn feet_inches(length: Length, job: LengthUnit) -> String {
    let all = eighths(length, job);
    let (feet, rest) = (all.abs() / 96, all.abs() % 96);
    let (inches, part) = (rest / 8, rest % 8);
    let sign = if all < 0 { "-" } else { "" };
    let fraction = match part {
        0 => "",
        1 => " 1/8",
        2 => " 1/4",
        3 => " 3/8",
        4 => " 1/2",
        5 => " 5/8",
        6 => " 3/4",
        _ => " 7/8",
    };
    format!("{sign}{feet}-{inches}{fraction}")
}

/// A number with that many decimals, without a minus on a zero, and rounded half away from zero
/// on the decimal a person reads (0.125 prints 0.13, though binary would say 0.12).
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let nudged = value + value.signum() * 1e-9 * 0.1_f64.powi(i32::try_from(decimals).unwrap_or(0)).min(1.0);
    let text = format!("{nudged:.decimals$}");
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// What to do at a stake: never a signed number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CutFill {
    /// Dig this deep.
    Cut(Length),
    /// Raise this much.
    Fill(Length),
    /// The ground is where it should be.
    OnGrade,
}

impl CutFill {
    /// From existing less target (positive: the ground is too high, cut).
    #[must_use]
    pub fn from_difference(existing_less_target: Length) -> Self {
        let d = existing_less_target.job_units();
        if d > 0.0 {
            Self::Cut(existing_less_target)
        } else if d < 0.0 {
            Self::Fill(-existing_less_target)
        } else {
            Self::OnGrade
        }
    }

    /// The cut, zero where there is none.
    #[must_use]
    pub fn cut(self) -> Length {
        if let Self::Cut(d) = self { d } else { Length::ZERO }
    }

    /// The fill, zero where there is none.
    #[must_use]
    pub fn fill(self) -> Length {
        if let Self::Fill(d) = self { d } else { Length::ZERO }
    }

    /// As on a lath: `C 0-8 3/8`, `F 0-3`, `GRADE`; in metres `C 0.214`.
    #[must_use]
    pub fn lath(self, job: LengthUnit) -> String {
        let (letter, d) = match self {
            Self::Cut(d) => ('C', d),
            Self::Fill(d) => ('F', d),
            Self::OnGrade => return "GRADE".to_owned(),
        };
        let is_metric = job == LengthUnit::Metre;
        let nothing = if is_metric { d.job_units() < 0.0005 } else { eighths(d, job) == 0 };
        if nothing {
            "GRADE".to_owned()
        } else if is_metric {
            format!("{letter} {}", fixed(d.job_units(), 3))
        } else {
            format!("{letter} {}", feet_inches(d, job))
        }
    }
}
