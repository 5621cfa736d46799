//! Practice questions for contractors' and engineers' licences.

use crate::common::{assert_close, built_pair, volumes};
use spadework::surface::Cells;
use spadework::units::{CompactedVolume, CutFill, Elevation, Length, LengthUnit};

/// Source: contractor's licence practice question (inputs seen, results derived): required 107.85, BM 106.35, BS
/// 4.65, FS 2.40 give HI 111.00, ground 108.60, C 0.75.
#[test]
fn a_small_cut() {
    let instrument = Elevation::in_job_units(106.35) + Length::in_job_units(4.65);
    let ground = instrument - Length::in_job_units(2.40);
    assert_close(instrument.job_units(), 111.00, 0.005);
    assert_close(ground.job_units(), 108.60, 0.005);
    let to_do = CutFill::from_difference(ground - Elevation::in_job_units(107.85));
    assert_close(to_do.cut().job_units(), 0.75, 0.005);
    assert_close(to_do.fill().job_units(), 0.0, 0.0);
    assert_eq!(to_do.lath(LengthUnit::Foot), "C 0-9");
}

/// Source: solved-problem page in the style of the civil licence (seen): one 50 ft square with corners 87.6, 87.6,
/// 87.6, 88.6 and design 90; mean 87.85, fill 2.15 ft, 5,375 ft3 = 199 yd3.
#[test]
fn one_grid_square() {
    let ground = [[0.0, 0.0, 87.6], [50.0, 0.0, 87.6], [50.0, 50.0, 88.6], [0.0, 50.0, 87.6]];
    let design = ground.map(|[x, y, _]| [x, y, 90.0]);
    let (before, after) = built_pair(&ground, &design, Cells::Nodes);
    let v = volumes(&before, &after);
    assert_close(v.fill, 5375.0, 0.5);
    assert_close(v.cut, 0.0, 0.0);
    assert_close(v.fill / v.area, 2.15, 0.005);
    assert_close(CompactedVolume::cubic_job_units(v.fill).spoken(LengthUnit::Foot), 199.0, 0.5);
    let middle = before.height_at(25_000_000, 25_000_000).expect("the middle is on the surface");
    assert_close(middle, 87.85, 0.005);
}
