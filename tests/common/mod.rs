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

/// Numbers from a fixed seed (Marsaglia 2003).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of a count")]
    pub fn below(&mut self, count: usize) -> usize {
        (self.roll() * count as f64) as usize
    }

    /// Evenly between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.roll() * (high - low)
    }

    /// Normal, sigma 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.roll().max(1e-300), self.roll());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}
