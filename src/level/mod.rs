//! What does the rod read?
//!
//! Height of instrument = bench + rod on the bench; grade rod = height of instrument less the height wanted.
//! Source of terms and rule: US Navy NAVEDTRA 14069, chapter 14 (grade rod, ground rod).
//! A rod below zero means the height wanted lies above the line of sight.

mod follow;
mod net;
mod notes;
mod reduce;
mod rods;
mod sight;

#[cfg(test)]
mod tests;

pub use notes::{Adjusted, Closing, Closure, Line, Problem, Reduced, Rule, RunKind, RunSums, Sight};
pub use reduce::reduce;
pub use rods::{PARTS, Rods};
pub use sight::{PegTest, curvature_and_refraction, peg_test};

use crate::units::{CutFill, Elevation, Length};

/// Where the level stands today.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetUp {
    height_of_instrument: Elevation,
}

impl SetUp {
    /// The line of sight is at this height.
    #[must_use]
    pub fn at(height_of_instrument: Elevation) -> Self {
        Self { height_of_instrument }
    }

    /// The rod stood on a bench of that height and read so much (a backsight).
    #[must_use]
    pub fn on_bench(bench: Elevation, rod: Length) -> Self {
        Self { height_of_instrument: bench + rod }
    }

    /// Height of the line of sight.
    #[must_use]
    pub fn height_of_instrument(&self) -> Elevation {
        self.height_of_instrument
    }

    /// What the rod reads when its foot is at that height.
    #[must_use]
    pub fn rod(&self, height: Elevation) -> Length {
        self.height_of_instrument - height
    }

    /// The height of what the rod stands on.
    #[must_use]
    pub fn height(&self, rod: Length) -> Elevation {
        self.height_of_instrument - rod
    }

    /// Cut or fill from what the rod reads on the ground to the height wanted: grade rod less ground rod.
    #[must_use]
    pub fn cut_fill(&self, ground_rod: Length, wanted: Elevation) -> CutFill {
        CutFill::from_difference(self.rod(wanted) - ground_rod)
    }
}
