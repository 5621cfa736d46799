//! spadework: from the level notebook to the excavator.
#![deny(clippy::print_stdout)]

pub mod finding;
pub mod job;
pub mod outline;
pub mod par;
pub mod read;
pub mod shots;
pub mod units;
