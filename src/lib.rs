//! spadework: from the level notebook to the excavator.
//!
//! Two surveys in, the ground as shot and as it is to become; out come subgrade, cut at every stake, exact volumes, where
//! the water goes, and a plan to scale. A whole job, from shots to cubic yards:
//!
//! ```
//! use spadework::{BankVolume, Cells, Frame, Length, LengthUnit, ProposedIs, Shots, Stake, Surface};
//! use spadework::{design::Bare, par::silent, stakes::Place, volume::overlay};
//!
//! // Name, northing, easting, height, in feet. The ground falls 3 ft in 30; the court is to be level at 101.
//! let ground = Shots::ground(&[("A", 0.0, 0.0, 103.0), ("B", 0.0, 30.0, 100.0), ("C", 30.0, 30.0, 100.0), ("D", 30.0, 0.0, 103.0)]);
//! let court = Shots::ground(&[("A", 0.0, 0.0, 101.0), ("B", 0.0, 30.0, 101.0), ("C", 30.0, 30.0, 101.0), ("D", 30.0, 0.0, 101.0)]);
//!
//! // Both as surfaces, in one local frame; subgrade is finish less 12 in of build-up.
//! let frame = Frame::of(&[&ground, &court]);
//! let existing = Surface::build(&ground, frame, Cells::Nodes)?;
//! let finish = Surface::build(&court, frame, Cells::Nodes)?;
//! let design = Bare::new(&finish, ProposedIs::Finish, Length::inches(12.0, LengthUnit::Foot));
//!
//! // How deep at stake A?
//! let place = Place { name: "A".into(), northing: 0, easting: 0, shot: Some(103.0) };
//! let stake = Stake::at(place, &existing, &design.finish, &design.subgrade);
//! assert_eq!(stake.cut_fill().unwrap().lath(LengthUnit::Foot), "C 3-0");
//!
//! // How many yards? Mean depth 1.5 ft over 900 square feet.
//! let total = overlay(&existing, &design.subgrade, None, &silent);
//! assert!((BankVolume::cubic_job_units(total.cut).spoken(LengthUnit::Foot) - 50.0).abs() < 1e-9);
//! assert_eq!(total.fill, 0.0);
//! # Ok::<(), spadework::surface::Unbuildable>(())
//! ```
//!
//! All of that at once, with its checks and cautions: [`evaluate`] turns a [`Job`] into an [`Outcome`], of which every
//! sheet, table and file is a view.
//!
//! # Rooms
//!
//! A room uses only rooms of lower rank. Ranks 0 to 9 know no file, format, colour, clock or screen.
//!
//! | rank | room | question |
//! |---|---|---|
//! | 0 | [`units`] | which quantity, in what unit? |
//! | 0 | [`finding`] | what is wrong, and where in the job? |
//! | 0 | [`par`] | how is long work split? |
//! | 1 | [`shots`] | what was shot, where? |
//! | 1 | [`level`] | what does the rod read? |
//! | 1 | [`rules`] | what is a slope held against? |
//! | 1 | [`soil`] | what soil is this, and what becomes of a bank yard of it? |
//! | 1 | [`outline`] | is this ring of corners an outline? |
//! | 2 | [`surface`] | what is the ground between the shots? |
//! | 3 | [`design`] | what is it to become? |
//! | 3 | [`survey`] | which shots are easily wrong? |
//! | 4 | [`volume`] | how much earth lies between two surfaces? |
//! | 5 | [`drainage`] | how steep, and where does the water go? |
//! | 6 | [`stakes`] | how deep at each stake, and in what order? |
//! | 6 | [`haul`] | what leaves, what arrives, in how many trips? |
//! | 6 | [`tank`] | what does a cistern yield? |
//! | 7 | [`digcheck`] | is the hole what the sheet asked for? |
//! | 8 | [`job`] | what was asked, and what comes out? |
//! | 10 | [`read`] | what do these tables say, and where are they wrong? |
//! | 10 | [`sheet`] | what is drawn where on the paper? |
//! | 11 | [`write`](mod@write) | how is it put into a file? |
//!
//! The program itself (rank 12, `src/cli/`) uses this library from outside.
#![deny(clippy::print_stdout)]

#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod design;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod digcheck;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod drainage;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod finding;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod haul;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod job;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod level;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod outline;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod par;
pub mod read;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod rules;
pub mod sheet;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod shots;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod soil;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod stakes;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod surface;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod survey;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod tank;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod units;
#[deny(clippy::disallowed_types, clippy::disallowed_methods)]
pub mod volume;
pub mod write;

pub use design::ProposedIs;
pub use finding::{Caution, Check, Refusal, Subject};
pub use job::{Job, Outcome, Parts, evaluate};
pub use level::SetUp;
pub use shots::{Frame, Kind, Shots};
pub use stakes::Stake;
pub use surface::{Cells, Surface};
pub use units::{BankVolume, CutFill, Elevation, Length, LengthUnit, Slope};
pub use volume::{Overlay, overlay};

/// The Rust on the pages in `docs/` runs with the tests.
#[cfg(doctest)]
#[doc = include_str!("../docs/methods.md")]
#[doc = include_str!("../docs/tables.md")]
#[doc = include_str!("../docs/why.md")]
struct Pages;
