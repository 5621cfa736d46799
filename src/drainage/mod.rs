//! Where does the water go?

mod abreast;
mod catchments;
mod descent;
mod dug;
mod ground;
mod paths;
pub mod pipes;
mod ponds;
mod slopes;
mod strand;

pub use abreast::abreast;
pub use catchments::{Catchments, Piece};
pub use descent::End;
pub use dug::{DugGround, Footprint, Sheet, Stage};
pub use ground::{Beyond, Ground};
pub use paths::{Outlet, Path, Paths};
pub use ponds::{Mesh, Pond, Shape, Sink, WaysOut, flooded, ponds};
pub use slopes::{Fall, Flat, Slopes, slopes};

/// Degrees clockwise from north of a direction given as (east, north); 0 to 360.
#[must_use]
pub fn azimuth((east, north): (f64, f64)) -> f64 {
    let degrees = east.atan2(north).to_degrees();
    if degrees < 0.0 { degrees + 360.0 } else { degrees }
}
