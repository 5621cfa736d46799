//! What soil is this, and what becomes of a bank yard of it?
//!
//! Hand tests on a core name the soil ([`identify`]); the tables say how it behaves ([`Group::suitability`] and beside it) and how
//! it swells and shrinks ([`usual`]); [`Factors`] is the only door between bank, loose and compacted volumes.
//!
//! It guides and certifies nothing: fill, organic, expansive, spoilt or wet ground is for a geotechnical engineer.

mod behaviour;
mod core;
mod hand;
mod identify;
mod states;
mod usual;

pub use behaviour::{Drainage, Frost, FrostGroup, Span, Suitability};
pub use core::{Core, Ground, Layer};
pub use hand::{Feel, Firmness, Patty, Ribbon, Scale, Shake, Test, Tests, Thread};
pub use identify::{Class, Found, Group, identify};
pub use states::Factors;
pub use usual::{Range, Usual, usual};
