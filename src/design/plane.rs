//! A plane over the site, held about one of its own places so that large coordinates cost nothing.

use crate::shots::{Frame, MICRO};

/// A plane in the local frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// A place on it (millionths).
    at: [f64; 2],
    /// Its height there, job units.
    height: f64,
    /// Rise per unit of length along x and y of the frame.
    rise: [f64; 2],
}

impl Plane {
    /// Through a place at a height, rising so much per unit of length along x and y of the frame.
    #[must_use]
    pub fn new(at: [f64; 2], height: f64, rise: [f64; 2]) -> Self {
        Self { at, height, rise }
    }

    /// Height at a place of the frame.
    #[must_use]
    pub fn height(&self, p: [f64; 2]) -> f64 {
        self.height + (self.rise[0] * (p[0] - self.at[0]) + self.rise[1] * (p[1] - self.at[1])) / MICRO
    }

    /// The same plane so much lower.
    #[must_use]
    pub fn lowered(&self, by: f64) -> Self {
        Self { height: self.height - by, ..*self }
    }

    /// Rise per unit of length along x and y of the frame.
    #[must_use]
    pub fn rise(&self) -> [f64; 2] {
        self.rise
    }

    /// Steepness, rise over run.
    #[must_use]
    pub fn slope(&self) -> f64 {
        self.rise[0].hypot(self.rise[1])
    }

    /// Fall toward the east and toward the north, rise over run, downhill positive.
    #[must_use]
    pub fn falls(&self, frame: Frame) -> (f64, f64) {
        frame.direction([-self.rise[0], -self.rise[1]])
    }
}
