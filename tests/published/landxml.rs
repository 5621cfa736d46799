//! Order of coordinates. LandXML 1.2, wording of `P` and `CgPoint` (seen, quoted in public code comments): the text
//! is northing easting elevation, separated by spaces. A reader that takes the first number for x mirrors the site.

use crate::common::assert_close;
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Cells, Surface};

/// Ground that rises 1 in 10 to the east and not at all to the north, on a site that is long to the north.
const P: [&str; 4] =
    ["5000.00 2000.00 100.00", "5300.00 2000.00 100.00", "5000.00 2040.00 104.00", "5300.00 2040.00 104.00"];

/// Source: LandXML 1.2, element `P` (seen).
#[test]
fn northing_comes_first() {
    let mut shots = Shots::default();
    for (row, text) in P.iter().enumerate() {
        let [n, e, z] =
            [0, 1, 2].map(|k| text.split(' ').nth(k).and_then(|w| w.parse::<f64>().ok()).unwrap_or(f64::NAN));
        shots.push(&(row + 1).to_string(), to_micro(n), to_micro(e), z, Kind::Ground);
    }
    assert_eq!(shots.place(1), (5300.0, 2000.0));
    let surface = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("four shots make a surface");
    let height = |n: f64, e: f64| surface.height_at(to_micro(n), to_micro(e));
    assert_close(height(5250.0, 2010.0).expect("on the surface"), 101.0, 1e-9);
    assert_close(height(5010.0, 2030.0).expect("on the surface"), 103.0, 1e-9);
    assert!(height(2010.0, 5250.0).is_none(), "the mirrored place is off the site");
    // Uphill is due east: no northing in it.
    let frame = surface.net().frame();
    let (east, north) = frame.direction(surface.gradient(0));
    assert_close(east, 0.1, 1e-12);
    assert_close(north, 0.0, 1e-12);
    // A line at one height runs north, the long way.
    let lines = surface.contours(&[102.0]);
    assert_eq!(lines.len(), 1);
    for &p in &lines[0].points {
        assert_close(frame.site(p).1, 2020.0, 1e-9);
    }
}
