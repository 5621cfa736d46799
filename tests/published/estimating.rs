//! Dagostino and Peterson, Estimating in Building Construction, chapter 9 (seen as page images).

use crate::common::{assert_close, built_pair, volumes};
use crate::contour_notes::crossing;
use spadework::surface::Cells;

/// Source: example 9-5: corners with cuts of 0.1, 0.8, 0 and 0 ft on 2,500 ft2; printed 563 ft3 (562.5).
#[test]
fn a_square_all_in_cut() {
    let ground = [[0.0, 0.0, 0.1], [50.0, 0.0, 0.8], [50.0, 50.0, 0.0], [0.0, 50.0, 0.0]];
    let (before, after) = built_pair(&ground, &ground.map(|[x, y, _]| [x, y, 0.0]), Cells::Nodes);
    let v = volumes(&before, &after);
    assert_close(v.cut, 563.0, 0.5);
    assert_close(v.cut, 562.5, 1e-9);
    assert_close(v.fill, 0.0, 0.0);
}

/// Source: example 9-6: a side from 0.3 ft of fill to 0.7 ft of cut over 50 ft is on grade 15 ft along.
#[test]
fn on_grade_along_a_side() {
    assert_close(crossing(-0.3, 0.7, 50.0, 0.0), 15.0, 0.5);
    assert_close(crossing(-0.3, 0.7, 50.0, 0.0), 15.0, 1e-6);
}
