//! What is the ground to become?
//!
//! From two bare tables: one proposed surface and one build-up for all of it.
//! subgrade = finish less build-up (the top of firm ground the sections stand on).

mod batter;
pub mod convex;
pub mod dig;
pub mod drains;
mod finish;
mod fit;
mod grade;
pub mod outlines;
mod plane;
mod rings;
pub mod said;

pub use grade::{Grade, mean_falls};
pub use plane::Plane;

use crate::surface::Surface;
use crate::units::Length;

/// What a proposed table says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum ProposedIs {
    /// Finished grade: the build-up is still to be taken off.
    #[default]
    Finish,
    /// Subgrade: the build-up lies on top of it.
    Subgrade,
}

/// One proposed surface with one build-up.
#[derive(Clone, Debug)]
pub struct Bare {
    /// Top of what is built.
    pub finish: Surface,
    /// Top of firm ground below it.
    pub subgrade: Surface,
}

impl Bare {
    /// The two surfaces, from the one that was given.
    #[must_use]
    pub fn new(proposed: &Surface, said: ProposedIs, build_up: Length) -> Self {
        let by = build_up.job_units();
        match said {
            ProposedIs::Finish => Self { finish: proposed.clone(), subgrade: proposed.lowered(by) },
            ProposedIs::Subgrade => Self { finish: proposed.lowered(-by), subgrade: proposed.clone() },
        }
    }
}
