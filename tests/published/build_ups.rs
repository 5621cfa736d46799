//! Build-ups as printed by others: what lies between finish and subgrade.

use crate::common::assert_close;
use spadework::design::said::{Layer, Section};
use spadework::units::{Length, LengthUnit, eighths, parse_length};

fn section(layers: &[&str]) -> Section {
    let layer = |text: &&str| Layer {
        thick: parse_length(text, LengthUnit::Foot).unwrap_or_else(|e| panic!("{e}")),
        ..Layer::default()
    };
    Section { layers: layers.iter().map(layer).collect(), ..Section::default() }
}

/// Source: trade board post (seen); arithmetic derived: paver 2 3/8, bedding 1, base 6 in are 9 3/8 in, 0.78125 ft below finish.
#[test]
fn paver_bedding_and_six_inches_of_base() {
    let depth = section(&["2 3/8 in", "1 in", "6 in"]).thickness();
    assert_close(depth.job_units(), 0.781_25, 1e-12);
    assert_eq!(eighths(depth, LengthUnit::Foot), 75);
}

/// Source: homeowner board (seen); arithmetic derived: paver 2, bedding 1, base 4 in are 7 in, 0.58333 ft.
#[test]
fn paver_bedding_and_four_inches_of_base() {
    let depth = section(&["2 in", "1 in", "4 in"]).thickness();
    assert_close(depth.job_units(), 0.583_33, 0.000_005);
    assert_close((depth - Length::inches(7.0, LengthUnit::Foot)).job_units(), 0.0, 1e-15);
}
