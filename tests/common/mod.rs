//! What several test crates share: nets given by hand, and one way to compare numbers.
#![allow(dead_code, reason = "each test crate uses its own part of this")]

pub mod site;

use spadework::par::silent;
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Cells, Surface};
use spadework::volume::{Overlay, overlay};

/// Asks that `got` is within `tol` of `want`, and prints all three where it is not. A number that is none fails.
#[track_caller]
pub fn assert_close(got: f64, want: f64, tol: f64) {
    let apart = (got - want).abs();
    assert!(apart <= tol, "{got} is not {want} within {tol} (apart by {apart})");
}

/// Shots from (east, north, height), all ground.
pub fn shots(places: &[[f64; 3]]) -> Shots {
    let mut out = Shots::default();
    for (i, &[x, y, z]) in places.iter().enumerate() {
        out.push(&(i + 1).to_string(), to_micro(y), to_micro(x), z, Kind::Ground);
    }
    out
}

/// A net given by hand: corners as (east, north, height), and which three make a triangle.
pub type Given<'a> = (&'a [[f64; 3]], &'a [[u32; 3]]);

/// Two nets given by hand, in one frame.
pub fn given_pair(before: Given, after: Given) -> (Surface, Surface) {
    let (a, b) = (shots(before.0), shots(after.0));
    let frame = Frame::of(&[&a, &b]);
    (Surface::from_triangles(&a, frame, before.1), Surface::from_triangles(&b, frame, after.1))
}

/// Two surveys, (east, north, height), made into surfaces in one frame.
pub fn built_pair(before: &[[f64; 3]], after: &[[f64; 3]], cells: Cells) -> (Surface, Surface) {
    let (a, b) = (shots(before), shots(after));
    let frame = Frame::of(&[&a, &b]);
    let build = |s: &Shots| Surface::build(s, frame, cells).expect("a fixture can be triangulated");
    (build(&a), build(&b))
}

/// One survey made into a surface.
pub fn built(places: &[[f64; 3]], cells: Cells) -> Surface {
    let s = shots(places);
    Surface::build(&s, Frame::of(&[&s]), cells).expect("a fixture can be triangulated")
}

/// Cut and fill over the ground both cover.
pub fn volumes(before: &Surface, after: &Surface) -> Overlay {
    overlay(before, after, None, &silent)
}

/// The same net, its heights replaced by one number.
pub fn level(net: Given, height: f64) -> Vec<[f64; 3]> {
    net.0.iter().map(|&[x, y, _]| [x, y, height]).collect()
}
