//! What is booked, by what rule is it reduced, and what comes of it?
//!
//! The plain data of this room. Readings are whole numbers of the last place booked (see `rods.rs`); heights and lengths are in
//! the job's unit. Signs: misclosure is observed less known; a correction is added to the booked height.

use crate::units::{Elevation, Length, TIE};

/// One row of the notes. Readings are whole numbers of the last place booked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    /// The point.
    pub point: String,
    /// Backsight.
    pub back: Option<i64>,
    /// Intermediate sight.
    pub side: Option<i64>,
    /// Foresight.
    pub fore: Option<i64>,
    /// Whether it is only to be compared.
    pub is_check: bool,
    /// Beside a foresight: how far it is from the point turned on before, by way of the level, in the job's unit.
    pub distance: Option<f64>,
}

/// By what a misclosure is judged and shared out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Closing {
    /// By the number of set-ups.
    #[default]
    SetUps,
    /// By the distance levelled; the allowance is for the root of this many job units (a mile, a kilometre).
    Distance(f64),
}

/// How notes are reduced.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Readings in one job unit: 100 where hundredths are booked.
    pub places: f64,
    /// Most the misclosure may be, times the root of the set-ups or of the distance.
    pub allowed: Length,
    /// Whether side shots take the backsight's correction instead of the foresight's.
    pub sides_with_backsight: bool,
    /// By what misclosures are judged and shared out.
    pub closing: Closing,
}

/// Reduced level notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduced {
    /// Every point in field-book order, the closing one last.
    pub points: Vec<Adjusted>,
    /// Height of the line of sight as booked, by the row of its backsight.
    pub sights: Vec<(usize, Elevation)>,
    /// Set-ups of the instrument.
    pub set_ups: usize,
    /// The runs, in field-book order.
    pub runs: Vec<RunSums>,
    /// Every loop and link that closes, in field-book order.
    pub closures: Vec<Closure>,
    /// Between points where runs meet: what was observed, and what the adjustment added.
    pub lines: Vec<Line>,
    /// Observed less known at the close, of the loop or link that is worst for what it is allowed; none where nothing closes.
    pub misclosure: Option<Length>,
    /// Most that may be.
    pub allowed: Length,
    /// Standard deviation of one set-up, or of one root mile or kilometre, found from how the notes close; none where
    /// nothing closes.
    pub spread: Option<Length>,
    /// Rows noted `check`, as booked and adjusted like any other, but not used.
    pub compared: Vec<Adjusted>,
    /// Shots noted `check` and known benches met on the way: name, and what was shot less the other shot or the known height,
    /// adjusted. Compared, not used.
    pub checks: Vec<(String, Length)>,
}

impl Reduced {
    /// Whether every loop and link closes within what it is allowed; the tie is in. Notes that close on nothing do.
    #[must_use]
    pub fn closes(&self) -> bool {
        self.closures.iter().all(Closure::holds)
    }
}

/// A point of the notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// Its name.
    pub name: String,
    /// Its row.
    pub row: usize,
    /// Height as booked.
    pub booked: Elevation,
    /// Its share of the misclosure, to be added.
    pub correction: Length,
    /// Height to use.
    pub adjusted: Elevation,
    /// The set-up it was shot from, from 1.
    pub set_up: usize,
    /// One sigma of the adjusted height, for a point turned on in notes that close. A side shot has one sight and no check.
    pub standard_error: Option<Length>,
}

/// A run and its page check.
#[derive(Clone, Debug, PartialEq)]
pub struct RunSums {
    /// Where it begins.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Row of its first backsight.
    pub row: usize,
    /// Its set-ups.
    pub set_ups: usize,
    /// How far it goes, if every distance is booked.
    pub distance: Option<f64>,
    /// Sum of backsights.
    pub backs: Length,
    /// Sum of foresights. Intermediate sights never enter.
    pub fores: Length,
    /// Sum of rises from reading to reading.
    pub rises: Length,
    /// Sum of falls.
    pub falls: Length,
    /// Last less first height as booked.
    pub rise: Length,
    /// Whether the sums agree exactly, and every height by both methods. Says nothing of the rod.
    pub page_holds: bool,
    /// What it is.
    pub kind: RunKind,
}

/// What a run proves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunKind {
    /// It comes back to where it began.
    Loop,
    /// It joins two points whose heights are known or found otherwise as well.
    Link,
    /// Part of it at least hangs on one end only: nothing proves it.
    Spur,
}

/// A loop or a link that closes.
#[derive(Clone, Debug, PartialEq)]
pub struct Closure {
    /// Where it is closed from.
    pub from: String,
    /// Where it closes.
    pub to: String,
    /// The row of the foresight that closes it.
    pub row: usize,
    /// Set-ups round the loop, or from bench to bench.
    pub set_ups: usize,
    /// Distance round it, if every distance is booked.
    pub distance: Option<f64>,
    /// Observed less known.
    pub misclosure: Length,
    /// Most it may be.
    pub allowed: Length,
}

impl Closure {
    /// Whether it is within what is allowed; the tie is in.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.misclosure.job_units().abs() <= self.allowed.job_units() + TIE
    }
}

/// What lies between two points where runs meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Where it begins.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Its set-ups.
    pub set_ups: usize,
    /// Rise as observed.
    pub observed: Length,
    /// Adjusted rise less observed.
    pub residual: Length,
}

/// Why notes cannot be reduced: the row, counted from 0, and a sentence in three parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The row.
    pub row: usize,
    /// Another row that belongs to it, and what that one is.
    pub other: Option<(usize, &'static str)>,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: &'static str,
    /// What to do.
    pub help: &'static str,
}

impl Problem {
    pub(super) fn at(row: usize, found: impl Into<String>, expected: &'static str, help: &'static str) -> Self {
        Self { row, other: None, found: found.into(), expected, help }
    }

    pub(super) fn and(self, row: usize, what: &'static str) -> Self {
        Self { other: Some((row, what)), ..self }
    }
}
