//! What do these files say, and where is it wrong?
//!
//! Bytes and a label in, values and complaints out. This room opens no file: whoever does hands over the bytes and the
//! name the person gave. Readers take a [`Complaints`] to add to, so that everything wrong with every file is said at once:
//! ```
//! use spadework::read::{Complaints, Source, read_shots};
//! use spadework::units::LengthUnit;
//! let mut complaints = Complaints::default();
//! let table = b"point,northing,easting,elevation\nA,0,0,10.5\nB,0,10,x\n".to_vec();
//! let source = Source::read("existing.csv", table).expect("is text");
//! assert!(read_shots(&source, "existing", LengthUnit::Foot, &mut complaints).is_none());
//! assert!(complaints.render(&[&source]).contains("line 3, column 8"));
//! ```

mod as_dug;
mod cells;
mod compare;
mod complaint;
mod cores;
mod digits;
pub mod job;
mod lines;
mod nearest;
mod notes;
mod number;
mod places;
mod rain;
mod rings;
mod rods;
mod shots;
mod source;
mod suspect;
mod table;
mod tickets;
mod twins;

#[cfg(test)]
mod tests;

pub use as_dug::read_as_dug;
pub use compare::{ask_of_both, compare_places, describe};
pub use complaint::{Complaint, Complaints, MOST_IN_ONE_FILE, Mark, quoted};
pub use cores::read_cores;
pub use lines::{Lines, read_lines};
pub use nearest::nearest;
pub use notes::{Around, Levelled, Reducing, read_levels, read_notes};
pub use places::{NamedPlace, read_places};
pub use rain::{RainUnit, read_rain};
pub use rings::{Limit, read_rings};
pub use shots::{Survey, read_both, read_shots};
pub use source::Source;
pub use tickets::read_tickets;
