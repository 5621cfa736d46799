//! US Navy training manuals NAVEDTRA 14069 and 14081 (Engineering Aid, basic and advanced): grade rods and stakes.
//!
//! grade rod = height of instrument less design height; cut = ground less design. A grade rod below zero says that
//! the design lies above the line of sight.

use crate::common::assert_close;
use spadework::units::{CutFill, Elevation, Length, LengthUnit};

fn height(feet: f64) -> Elevation {
    Elevation::in_job_units(feet)
}

fn rod(feet: f64) -> Length {
    Length::in_job_units(feet)
}

/// Source: NAVEDTRA 14081, p. 15-30, fig. 15-52 (seen, web reprint): BM 365.01, BS 11.56, FS 1.42, finish 378.75 give
/// HI 376.57, ground 375.15, F 3.60.
///
/// DIFFERENCE: the page once writes the existing height as 376.15, and NAVEDTRA 14069, p. 14-9, once the backsight
/// as 11.65. The printed answer F 3.6 needs 375.15 and 11.56: misprints.
#[test]
fn a_missing_stake() {
    let instrument = height(365.01) + rod(11.56);
    let ground = instrument - rod(1.42);
    let finish = height(378.75);
    assert_close(instrument.job_units(), 376.57, 0.005);
    assert_close(ground.job_units(), 375.15, 0.005);
    let to_do = CutFill::from_difference(ground - finish);
    assert_close(to_do.fill().job_units(), 3.60, 0.005);
    assert_close(to_do.cut().job_units(), 0.0, 0.0);
    assert_close((instrument - finish).job_units(), -2.18, 0.005);
    // 3.60 ft is 43.2 in (derived).
    assert_eq!(to_do.lath(LengthUnit::Foot), "F 3-7 1/4");
}

/// Source: NAVEDTRA 14081, fig. 15-53 (seen, reprint): known ground 233.0, BS 4.0, FS 4.5, subgrade 239.0 give HI
/// 237.0, ground 232.5, F 6.5.
#[test]
fn a_stake_from_known_ground() {
    let instrument = height(233.0) + rod(4.0);
    let ground = instrument - rod(4.5);
    assert_close(instrument.job_units(), 237.0, 0.05);
    assert_close(ground.job_units(), 232.5, 0.05);
    assert_close(CutFill::from_difference(ground - height(239.0)).fill().job_units(), 6.5, 0.05);
    // The stake that ground was known by: subgrade 240.0, marked F 7.0.
    assert_close(CutFill::from_difference(height(233.0) - height(240.0)).fill().job_units(), 7.0, 0.05);
}

/// Source: NAVEDTRA 14081, fig. 15-51A (seen): hub marked C 7.5, rod on the hub 5.0, rod in the cut 12.2; the target
/// rod is 12.5, 0.3 more to dig.
#[test]
fn a_cut_checked_from_its_hub() {
    let instrument = height(100.0);
    let design = instrument - rod(5.0) - rod(7.5);
    assert_close((instrument - design).job_units(), 12.5, 0.05);
    let left = CutFill::from_difference(instrument - rod(12.2) - design);
    assert_close(left.cut().job_units(), 0.3, 0.05);
    assert_close(left.fill().job_units(), 0.0, 0.0);
}

/// Source: NAVEDTRA 14081, fig. 15-51B (seen): hub marked F 7.0, rod on the hub 12.0, rod on the fill 5.5; the target
/// rod is 5.0, 0.5 more to fill.
#[test]
fn a_fill_checked_from_its_hub() {
    let instrument = height(100.0);
    let design = instrument - rod(12.0) + rod(7.0);
    assert_close((instrument - design).job_units(), 5.0, 0.05);
    let left = CutFill::from_difference(instrument - rod(5.5) - design);
    assert_close(left.fill().job_units(), 0.5, 0.05);
    assert_close(left.cut().job_units(), 0.0, 0.0);
}

/// Source: NAVEDTRA 14081, fig. 15-49 and 15-50, p. 15-29 (seen, reprint): BM 100.0, BS 5.5, FS 2.3 give HI 105.5 and
/// 103.2.
#[test]
fn one_set_up() {
    let instrument = height(100.0) + rod(5.5);
    assert_close(instrument.job_units(), 105.5, 0.05);
    assert_close((instrument - rod(2.3)).job_units(), 103.2, 0.05);
}
