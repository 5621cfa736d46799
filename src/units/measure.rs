//! How much is that in the job's unit? Areas, volumes, weights, times and what is made of two of them, each said with its unit.
//!
//! A quotient is read as one: `1.50 ton/yd3`, `50 lb/100 ft2`, `12 yd3/h`. Lengths become the job's own, weights tons in a job in feet
//! and tonnes in one in metres, times hours. Factors are exact: foot 0.3048 m, pound 0.453 592 37 kg (Federal Register 24 FR 5348,
//! 1 July 1959, from memory), ton 2,000 lb, tonne 1,000 kg. A cubic yard is 27 cubic feet of the job's own foot.

use super::parse::{Misread, parse_number};
use super::{Length, LengthUnit};

/// Kilograms in a ton of 2,000 lb.
const TON_KG: f64 = 907.184_74;

/// What kind of amount a text says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// Square job units.
    Area,
    /// Cubic job units.
    Volume,
    /// Tons or tonnes.
    Mass,
    /// Tons or tonnes in a cubic job unit.
    Density,
    /// Tons or tonnes on a square job unit.
    Dose,
    /// Hours.
    Time,
    /// Cubic job units an hour.
    Rate,
}

impl Measured {
    /// The units it may be said in, the usual one first.
    #[must_use]
    pub const fn units(self) -> &'static [&'static str] {
        match self {
            Self::Area => &["ft2", "yd2", "m2"],
            Self::Volume => &["yd3", "m3", "ft3"],
            Self::Mass => &["ton", "tonne", "lb", "kg"],
            Self::Density => &["ton/yd3", "tonne/m3", "lb/ft3", "kg/m3"],
            Self::Dose => &["lb/100 ft2", "lb/ft2", "lb/yd2", "kg/m2", "kg/100 m2"],
            Self::Time => &["min", "h"],
            Self::Rate => &["yd3/h", "m3/h"],
        }
    }
}

/// An amount with one of its units, zero or more, in the job's own.
///
/// # Errors
/// No number, a number below zero, no unit or another one.
pub fn parse_measure(text: &str, of: Measured, job: LengthUnit) -> Result<f64, Misread> {
    let units = of.units();
    let text = text.trim();
    let bad = || Misread {
        found: text.to_owned(),
        expected: format!("a number with one of the units {}, as `1 {}`", units.join(", "), units[0]),
    };
    let (amount, unit) = text.split_at(text.find(char::is_alphabetic).unwrap_or(text.len()));
    let amount = parse_number(amount.trim()).ok().filter(|v| *v >= 0.0).ok_or_else(bad)?;
    let unit = units.iter().find(|u| **u == unit.trim()).ok_or_else(bad)?;
    let (over, under) = unit.split_once('/').unwrap_or((unit, ""));
    let under = if under.is_empty() { 1.0 } else { in_job(under, job) };
    let all = amount * in_job(over, job) / under;
    if all.is_finite() { Ok(all) } else { Err(bad()) }
}

/// One of a unit without a quotient, in the job's own.
fn in_job(unit: &str, job: LengthUnit) -> f64 {
    if let Some(unit) = unit.strip_prefix("100 ") {
        return 100.0 * in_job(unit, job);
    }
    let foot = Length::inches(12.0, job).job_units();
    let metre = Length::of(1.0, LengthUnit::Metre, job).job_units();
    let tons = job.mass() == "ton";
    match unit {
        "ft2" => foot.powi(2),
        "yd2" => 9.0 * foot.powi(2),
        "m2" => metre.powi(2),
        "ft3" => foot.powi(3),
        "yd3" => 27.0 * foot.powi(3),
        "m3" => metre.powi(3),
        "ton" if tons => 1.0,
        "ton" => TON_KG / 1000.0,
        "tonne" if tons => 1000.0 / TON_KG,
        "lb" if tons => 1.0 / 2000.0,
        "lb" => TON_KG / 2_000_000.0,
        "kg" if tons => 1.0 / TON_KG,
        "kg" => 1.0 / 1000.0,
        "min" => 1.0 / 60.0,
        _ => 1.0,
    }
}

/// So much of a job's own unit said in another one: an area in `m2`, a mass in `lb`.
#[must_use]
pub fn said_in(amount: f64, unit: &str, job: LengthUnit) -> f64 {
    amount / in_job(unit, job)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(got: f64, want: f64) {
        assert!((got - want).abs() <= 1e-9 * want.abs(), "{got} is not {want}");
    }

    #[test]
    fn amounts_in_the_jobs_own_unit_are_unchanged() {
        let of = |text, kind, job| parse_measure(text, kind, job).unwrap_or(f64::NAN);
        let (ft, m) = (LengthUnit::Foot, LengthUnit::Metre);
        assert_eq!(of("10 yd3", Measured::Volume, ft), 270.0);
        assert_eq!(of("14 ton", Measured::Mass, ft), 14.0);
        assert_eq!(of("1.50 ton/yd3", Measured::Density, ft) * 27.0, 1.5);
        assert_eq!(of("1.80 tonne/m3", Measured::Density, m), 1.8);
        assert_eq!(of("60 min", Measured::Time, m), 1.0);
        // 50 lb on 100 ft2 is 0.5 lb on a square foot.
        close(of("50 lb/100 ft2", Measured::Dose, ft) * 2000.0, 0.5);
        close(of("4.5 lb/yd2", Measured::Dose, ft) * 2000.0, 0.5);
        close(of("12 yd3/h", Measured::Rate, ft), 324.0);
    }

    #[test]
    fn other_units_are_converted_exactly() {
        let of = |text, kind, job| parse_measure(text, kind, job).unwrap_or(f64::NAN);
        let (ft, m) = (LengthUnit::Foot, LengthUnit::Metre);
        close(of("10 yd3", Measured::Volume, m), 7.645_548_579_84);
        close(of("1 tonne", Measured::Mass, ft), 1.102_311_310_924_388);
        // 1 ton/yd3 = 2,000 lb / 27 ft3 = 74.074 lb/ft3 = 1186.553 kg/m3.
        close(of("1 ton/yd3", Measured::Density, m) * 1000.0, 1_186.552_842_515_566);
        close(of("1186.552842515566 kg/m3", Measured::Density, ft) * 27.0, 1.0);
        close(of("110 lb/ft3", Measured::Density, ft), 110.0 / 2000.0);
        close(said_in(of("2.5 kg/m2", Measured::Dose, m), "kg", m), 2.5);
        close(said_in(of("3 yd2", Measured::Area, ft), "ft2", ft), 27.0);
    }

    #[test]
    fn what_is_no_amount_is_refused_with_the_units() {
        for text in ["", "10", "yd3", "10 t", "ten yd3", "-1 yd3", "10 yd3 4", "10 ton", "1e999 yd3", "1e308 yd3"] {
            let said = parse_measure(text, Measured::Volume, LengthUnit::Foot).map_err(|e| e.to_string());
            assert!(said.clone().is_err_and(|e| e.contains("yd3, m3, ft3")), "{text}: {said:?}");
        }
    }
}
