//! spadework: from the level notebook to the excavator.
#![deny(clippy::print_stdout)]

pub mod finding;
pub mod job;
pub mod par;
pub mod sheet;
pub mod shots;
pub mod units;
pub mod write;
