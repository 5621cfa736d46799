//! The job and what comes out of it.

mod outcome;

pub use outcome::*;
