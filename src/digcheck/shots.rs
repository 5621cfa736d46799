//! What was shot in the hole, and from which set-ups?
//!
//! Heights in job units, already reduced: bench + rod on the bench - rod at the stake.

/// A height at a stake.
#[derive(Clone, Debug, PartialEq)]
pub struct DugShot {
    /// The stake.
    pub stake: String,
    /// Height of the dug ground.
    pub height: f64,
    /// What the rod read, if it was a rod.
    pub rod: Option<f64>,
    /// The set-up it was read from, by number.
    pub set_up: Option<usize>,
    /// When, as noted.
    pub time: String,
    /// Remark.
    pub note: String,
    /// Undercut that was ordered there on the day.
    pub ordered: Option<Ordered>,
}

/// Undercut ordered on the day: the owner's stone, not the digger's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ordered {
    /// As deep as it was found firm.
    ToFirm,
    /// So much below dig-to.
    Down(f64),
}

/// A set-up of the level.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUpRow {
    /// The bench the rod stood on; `HI` where only the height of the line of sight was written down.
    pub bench: String,
    /// What it read there.
    pub rod: Option<f64>,
    /// Height of the line of sight.
    pub instrument: f64,
}

/// A shot back to a bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Closing {
    /// The bench.
    pub bench: String,
    /// The set-up, by number; none where a height was written down.
    pub set_up: Option<usize>,
    /// Found less known.
    pub off: f64,
}

/// The dug ground as shot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AsDug {
    /// Set-ups in the order of the table.
    pub set_ups: Vec<SetUpRow>,
    /// Shots back to benches.
    pub closings: Vec<Closing>,
    /// One height a stake.
    pub shots: Vec<DugShot>,
}

/// A load ticket, or several of one truck.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticket {
    /// When, as written.
    pub date: String,
    /// The truck.
    pub truck: String,
    /// How many loads.
    pub loads: f64,
    /// What they held together, loose, cubic job units.
    pub loose: f64,
}
