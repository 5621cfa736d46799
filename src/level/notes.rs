//! What heights do the notes give, and do they close?

use crate::units::{Elevation, Length};

/// A reduced run of level notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// Every point in field-book order, the closing one last.
    pub points: Vec<Adjusted>,
    /// Set-ups of the instrument.
    pub set_ups: usize,
    /// Observed less known at the close; none where the run closes on nothing known.
    pub misclosure: Option<Length>,
    /// Most it may be.
    pub allowed: Length,
    /// Shots noted `check`: name, and second less first height, adjusted. Compared, not used.
    pub checks: Vec<(String, Length)>,
}

/// A point of the notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// Its name.
    pub name: String,
    /// Height as booked.
    pub booked: Elevation,
    /// Its share of the misclosure, to be added.
    pub correction: Length,
    /// Height to use.
    pub adjusted: Elevation,
    /// The set-up it was shot from, from 1.
    pub set_up: usize,
}
