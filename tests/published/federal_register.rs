//! Units. Federal Register 85 FR 62698 (5 October 2020), seen: the foot is 0.3048 m exactly; the US survey foot,
//! 1200/3937 m, is withdrawn from the end of 2022. The rest is arithmetic.

use crate::common::assert_close;
use spadework::units::{BankVolume, Length, LengthUnit, feet_inches, fixed, parse_length};

/// Source: 85 FR 62698 (seen).
#[test]
fn two_feet() {
    let (foot, survey) = (LengthUnit::Foot.metres(), LengthUnit::UsSurveyFoot.metres());
    assert_close(foot, 0.3048, 0.0);
    assert_close(survey * 3937.0, 1200.0, 1e-12);
    assert_close(Length::inches(1.0, LengthUnit::Metre).job_units(), 0.0254, 1e-17);
    // 2.000004 parts per million longer (derived).
    assert_close((survey / foot - 1.0) * 1e6, 2.000_004, 0.000_000_5);
}

/// Source: derived (0.01 ft to the mile: seen). What the wrong foot does: 0.0106 ft to the mile, 0.02 ft in 10,000
/// ft, 4.00 ft at 2,000,000 ft.
#[test]
fn the_wrong_foot() {
    for (length, want, tol) in [(5280.0, 0.0106, 0.00005), (10_000.0, 0.02, 0.005), (2_000_000.0, 4.00, 0.005)] {
        let there = Length::of(length, LengthUnit::UsSurveyFoot, LengthUnit::Foot).job_units();
        assert_close(there - length, want, tol);
        let back = Length::of(there, LengthUnit::Foot, LengthUnit::UsSurveyFoot).job_units();
        assert_close(back, length, 1e-9);
    }
    // The same unit is not converted at all: what was typed comes back to the last bit.
    for unit in [LengthUnit::Foot, LengthUnit::UsSurveyFoot, LengthUnit::Metre] {
        assert_eq!(Length::of(2_123_456.789, unit, unit).job_units().to_bits(), 2_123_456.789_f64.to_bits());
    }
}

/// Source: derived. A cubic yard is 27 ft3 = 0.764554857984 m3 exactly.
#[test]
fn a_cubic_yard() {
    let yard = BankVolume::cubic_job_units(27.0);
    assert_close(yard.spoken(LengthUnit::Foot), 1.0, 0.0);
    let foot = LengthUnit::Foot.metres();
    let metric = BankVolume::cubic_job_units(LengthUnit::Foot.cubic_per_volume() * foot.powi(3));
    assert_close(metric.spoken(LengthUnit::Metre), 0.764_554_857_984, 0.5e-12);
}

/// Source: derived. 0.01 ft is 0.12 in, about an eighth (0.010417 ft); 5 ft 6 3/8 in = 5.53125 ft; 5.6 ft = 5 ft 7.2
/// in, for a rod in tenths is no rod in inches.
#[test]
fn rods_in_tenths_and_in_inches() {
    let feet = |text: &str| parse_length(text, LengthUnit::Foot).map_or(f64::NAN, Length::job_units);
    assert_close(feet("1/8 in"), 0.010_417, 0.000_000_5);
    assert_close(feet("0.12 in"), 0.01, 1e-15);
    assert_close(feet("5-6 3/8"), 5.531_25, 0.0);
    assert_close(feet("5'6 3/8\""), 5.531_25, 0.0);
    assert_close(feet("5.6 ft") * LengthUnit::Foot.inches(), 5.0 * 12.0 + 7.2, 1e-12);
    assert_eq!(feet_inches(Length::in_job_units(0.01), LengthUnit::Foot), "0-0 1/8");
    assert_eq!(feet_inches(Length::in_job_units(5.6), LengthUnit::Foot), "5-7 1/4");
    assert_eq!(fixed(5.531_25, 2), "5.53");
}
