//! How much earth stands too high in the hole, and how much is missing?
//!
//! Exact: every piece of the floor is clipped with every triangle of the ground as dug, split where the two cross and where they are a
//! tolerance apart, and integrated. What is out counts with its whole height: whoever trims or fills goes all the way to dig-to.

use super::Tolerance;
use crate::shots::MICRO;
use crate::surface::{Surface, Sweep, Triangle, integrate};
use crate::units::TIE;

/// What lies between a floor and the ground as dug, over the ground both cover.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Between {
    /// Plan area both cover.
    pub area: f64,
    /// Earth above the floor.
    pub high: f64,
    /// Earth missing below it.
    pub low: f64,
    /// Of `high`, over ground that is out of tolerance.
    pub high_out: f64,
    /// Of `low`, likewise.
    pub low_out: f64,
    /// Plan area that is high and out of tolerance.
    pub high_out_area: f64,
    /// Plan area that is low and out of tolerance.
    pub low_out_area: f64,
}

impl Between {
    /// Both together.
    #[must_use]
    pub fn with(self, other: &Self) -> Self {
        Self {
            area: self.area + other.area,
            high: self.high + other.high,
            low: self.low + other.low,
            high_out: self.high_out + other.high_out,
            low_out: self.low_out + other.low_out,
            high_out_area: self.high_out_area + other.high_out_area,
            low_out_area: self.low_out_area + other.low_out_area,
        }
    }
}

/// What lies between pieces of a floor, which do not overlap, and the ground as dug.
#[must_use]
pub fn between(floor: impl IntoIterator<Item = Triangle>, dug: &Surface, tolerance: &Tolerance) -> Between {
    let [high, low] = [tolerance.high, tolerance.low].map(|t| t.job_units() + TIE);
    let mut sweep = Sweep::new(dug.net());
    let mut sum = Between::default();
    for t in floor {
        let doubled = t.doubled_area() / (MICRO * MICRO);
        sweep.over(
            &t,
            |v| dug.height(v),
            |_, poly| {
                // Floor less dug: below zero the ground stands too high.
                let all = integrate(poly);
                let above = integrate(&poly.raised(high));
                let below = integrate(&poly.raised(-low));
                sum.area += all.area * doubled;
                sum.high += all.below * doubled;
                sum.low += all.above * doubled;
                sum.high_out += (above.below + high * above.area_below) * doubled;
                sum.low_out += (below.above + low * below.area_above) * doubled;
                sum.high_out_area += above.area_below * doubled;
                sum.low_out_area += below.area_above * doubled;
            },
        );
    }
    sum
}
