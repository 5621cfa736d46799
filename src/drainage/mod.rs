//! Where does the water go?

mod dug;
mod paths;
pub mod pipes;
mod ponds;
mod slopes;

pub use dug::{DugGround, Footprint, Sheet};
pub use paths::{End, Outlet, Path, Paths};
pub use ponds::{Mesh, Pond, Shape, Sink, WaysOut, flooded, ponds};
pub use slopes::{Fall, Flat, Slopes, slopes};

/// Degrees clockwise from north of a direction given as (east, north); 0 to 360.
#[must_use]
pub fn azimuth((east, north): (f64, f64)) -> f64 {
    let degrees = east.atan2(north).to_degrees();
    if degrees < 0.0 { degrees + 360.0 } else { degrees }
}
