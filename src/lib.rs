//! spadework: from the level notebook to the excavator.
#![deny(clippy::print_stdout)]

pub mod design;
pub mod drainage;
pub mod finding;
pub mod job;
pub mod level;
pub mod outline;
pub mod par;
pub mod read;
pub mod sheet;
pub mod shots;
pub mod stakes;
pub mod surface;
pub mod units;
pub mod volume;
pub mod write;
