//! Numbers that somebody else printed, held against ours. One file a source.
//!
//! Each test names its source and how well it is known: *seen* (the page or a copy of it was read), *from memory*
//! (the book is real, the page was not seen), *common practice*, or *derived* (arithmetic that needs no source).
//! Values are as printed, the tolerance is half their last place. Where we differ on purpose the test says
//! `DIFFERENCE` and why.

#[path = "../common/mod.rs"]
mod common;

mod answer_key;
mod build_ups;
mod contour_notes;
mod estimating;
mod federal_register;
mod landxml;
mod levelling;
mod licence_questions;
mod lime;
mod loads;
mod navy_manuals;
mod net_counts;
mod pipe_grades;
mod pipes;
mod pits;
mod predicates;
mod rainwater;
mod slopes;
mod soils;
mod tin_fixtures;
