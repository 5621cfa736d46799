//! Where a contour crosses between two shots: by proportion. Teaching notes of J. Mahun and of K. Boeing.

use crate::common::{assert_close, built};
use spadework::surface::Cells;

/// How far from the first end a contour crosses a line between two heights: along a strip of ground ten wide that
/// has those heights at its two ends, on every point of the contour.
pub(crate) fn crossing(from: f64, to: f64, length: f64, level: f64) -> f64 {
    let strip = built(&[[0.0, 0.0, from], [length, 0.0, to], [length, 10.0, to], [0.0, 10.0, from]], Cells::Nodes);
    let lines = strip.contours(&[level]);
    assert_eq!(lines.len(), 1, "one line crosses the strip");
    assert!(!lines[0].closed);
    let frame = strip.net().frame();
    let along: Vec<f64> = lines[0].points.iter().map(|&p| frame.site(p).1).collect();
    for &x in &along {
        assert_close(x, along[0], 1e-9);
    }
    along[0]
}

/// Source: J. Mahun, open-access surveying notes, Mapping chapter E (seen): ends 863.1 and 867.2, D apart: 864 at
/// 0.9/4.1 D = 0.2195 D, 866 at 2.9/4.1 D = 0.7073 D.
#[test]
fn mahun() {
    assert_close(crossing(863.1, 867.2, 1.0, 864.0), 0.2195, 0.00005);
    assert_close(crossing(863.1, 867.2, 1.0, 866.0), 0.7073, 0.00005);
    assert_close(crossing(863.1, 867.2, 100.0, 866.0), 290.0 / 4.1, 1e-9);
}

/// Source: K. Boeing, contour line interpolation methods, TAFE notes (seen): 11.600 to 13.200 over 20 m: 12.0 at
/// 5.000, 12.5 at 11.250, 13.0 at 17.500; 9.500 to 8.500: 9.000 midway.
#[test]
fn boeing() {
    for (level, want) in [(12.0, 5.000), (12.5, 11.250), (13.0, 17.500)] {
        assert_close(crossing(11.6, 13.2, 20.0, level), want, 0.0005);
    }
    assert_close(crossing(9.5, 8.5, 20.0, 9.0), 10.0, 1e-9);
}
