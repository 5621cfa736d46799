//! Which standard scale fits the ground on the paper?
//!
//! Feet: 1 in = 1, 2, 4, 5, 8, 10, 20, 30, 40, 50, 60, 80 ft and ten-folds above and below, as on the engineer's and
//! the architect's rule. Metres: 1:1, 2, 2.5, 5 and their ten-folds. The largest at which everything lies inside the
//! drawing area less a margin for labels. Ties: a site that just fits, fits. A site without size gets 1 in = 1 ft (1:10).

use super::Site;
use crate::job::{Outcome, PlanOut};
use crate::sheet::{Ground, Rect, Scale};
use crate::units::{LengthUnit, fixed};

/// Paper kept at the sides, and above and below, of the ground for labels, in inches.
const LABELS: (f64, f64) = (0.7, 0.45);

/// A scale as it is said on a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SaidScale {
    /// Job units of ground for one inch of paper.
    pub(super) units_per_inch: f64,
    /// `1 in = 8 ft`, `1:50`.
    pub(super) words: String,
}

impl SaidScale {
    /// As it was said, `words`, for ground drawn `ratio` times smaller, of a job in `unit`.
    #[must_use]
    pub fn new(words: &str, ratio: f64, unit: LengthUnit) -> Self {
        Self { units_per_inch: ratio * INCH / unit.metres(), words: words.trim().to_owned() }
    }

    /// The next standard scale that shows the ground larger.
    pub(super) fn larger(&self, unit: LengthUnit) -> Self {
        standards(unit)
            .filter(|s| s.units_per_inch < self.units_per_inch * (1.0 - 1e-9))
            .last()
            .unwrap_or_else(|| self.clone())
    }
}

/// An inch in metres, by definition.
const INCH: f64 = 0.0254;

/// The largest standard scale at which everything has room.
pub(super) fn fit(outcome: &Outcome, plan: &PlanOut, unit: LengthUnit, room: &Rect) -> SaidScale {
    let b = Bounds::of(outcome, plan);
    standard((b.width() / (room.w - 2.0 * LABELS.0)).max(b.height() / (room.h - 2.0 * LABELS.1)), unit)
}

/// The scale with the middle of the ground in the middle of the room.
pub(super) fn about(said: &SaidScale, bounds: &Bounds, room: &Rect) -> Scale {
    Scale::new(1.0 / said.units_per_inch, bounds.middle(), room.centre())
}

/// Standard scales, from the largest picture to the smallest.
fn standards(unit: LengthUnit) -> impl Iterator<Item = SaidScale> {
    let metric = unit == LengthUnit::Metre;
    let steps: &[f64] = if metric { &[1.0, 2.0, 2.5, 5.0] } else { &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0] };
    // 1 in = 3 ft and 6 ft are on no common rule; 30 and 60 are.
    let on_rule = move |step: f64, decade: i32| metric || decade >= 1 || !(step == 3.0 || step == 6.0);
    (-6..9)
        .flat_map(move |decade| steps.iter().map(move |&step| (step, decade)))
        .filter(move |&(step, decade)| on_rule(step, decade))
        .map(move |(step, decade)| of_ratio(step * 10_f64.powi(decade), metric))
}

fn of_ratio(ratio: f64, metric: bool) -> SaidScale {
    let decimals = if ratio >= 1.0 { usize::from(ratio.fract() != 0.0) } else { 6 };
    let mut number = fixed(ratio, decimals);
    if number.contains('.') {
        number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
    }
    let words = if metric { format!("1:{number}") } else { format!("1 in = {number} ft") };
    SaidScale { units_per_inch: if metric { ratio * INCH } else { ratio }, words }
}

/// The least standard number of job units to the inch that is not below `need`.
pub(super) fn standard(need: f64, unit: LengthUnit) -> SaidScale {
    let metric = unit == LengthUnit::Metre;
    let empty = if metric { 10.0 } else { 1.0 };
    if !(need.is_finite() && need > 0.0) {
        return of_ratio(empty, metric);
    }
    standards(unit).find(|s| s.units_per_inch >= need * (1.0 - 1e-9)).unwrap_or_else(|| of_ratio(1e9, metric))
}

/// What lies outermost.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub(super) south: f64,
    pub(super) north: f64,
    pub(super) west: f64,
    pub(super) east: f64,
}

impl Bounds {
    const NONE: Self = Self { south: f64::MAX, north: f64::MIN, west: f64::MAX, east: f64::MIN };

    /// Of the stakes, the edge and the outlets; a bench only if it lies near.
    pub(super) fn of(outcome: &Outcome, plan: &PlanOut) -> Self {
        let mut b = Self::NONE;
        let stakes = outcome.stakes.iter().flatten().map(|s| (s.northing, s.easting));
        let edge = plan.edge.iter().flatten().copied();
        let outlets = plan.outlets.iter().map(|&(_, n, e, _)| (n, e));
        for (n, e) in stakes.chain(edge).chain(outlets).filter(|(n, e)| n.is_finite() && e.is_finite()) {
            b.add(n, e);
        }
        let site = b;
        let near = (0.35 * site.width().max(site.height())).max(0.0);
        for &(_, n, e, _) in &plan.benches {
            let off = (site.south - n).max(n - site.north).max(site.west - e).max(e - site.east);
            if off <= near {
                b.add(n, e);
            }
        }
        if b.north < b.south { Self { south: 0.0, north: 0.0, west: 0.0, east: 0.0 } } else { b }
    }

    fn add(&mut self, n: f64, e: f64) {
        self.south = self.south.min(n);
        self.north = self.north.max(n);
        self.west = self.west.min(e);
        self.east = self.east.max(e);
    }

    pub(super) fn width(&self) -> f64 {
        self.east - self.west
    }

    pub(super) fn middle(&self) -> Ground {
        Ground { northing: (self.south + self.north) / 2.0, easting: (self.west + self.east) / 2.0 }
    }

    pub(super) fn height(&self) -> f64 {
        self.north - self.south
    }
}

impl Site<'_> {
    /// Whether a place on the ground lies inside the drawing area.
    pub(super) fn shows(&self, at: (f64, f64)) -> bool {
        self.layout.plan.inset(0.1).holds(self.scale.paper(at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_standard_scale_up_is_taken() {
        let feet = |need| standard(need, LengthUnit::Foot);
        let said = |per: f64, words: &str| SaidScale { units_per_inch: per, words: words.to_owned() };
        assert_eq!(feet(2.5), said(4.0, "1 in = 4 ft"));
        assert_eq!(feet(4.0), said(4.0, "1 in = 4 ft"));
        assert_eq!(feet(5.5).words, "1 in = 8 ft");
        assert_eq!(feet(25.0).words, "1 in = 30 ft");
        assert_eq!(feet(81.0).words, "1 in = 100 ft");
        assert_eq!(feet(0.07).words, "1 in = 0.08 ft");
        assert_eq!(feet(0.0).words, "1 in = 1 ft");
        let metres = standard(1.2, LengthUnit::Metre);
        assert_eq!(metres.words, "1:50");
        assert!((metres.units_per_inch - 1.27).abs() < 1e-12);
        assert_eq!(standard(0.6, LengthUnit::Metre).words, "1:25");
        assert_eq!(standard(f64::NAN, LengthUnit::Metre).words, "1:10");
        assert_eq!(feet(20.0).larger(LengthUnit::Foot).words, "1 in = 10 ft");
        assert_eq!(feet(10.0).larger(LengthUnit::Foot).words, "1 in = 8 ft");
        assert_eq!(metres.larger(LengthUnit::Metre).words, "1:25");
    }

    #[test]
    fn one_in_ninety_six_is_eight_feet_to_the_inch_and_one_in_fifty_an_inch_to_1_27_m() {
        assert!((SaidScale::new("1:96", 96.0, LengthUnit::Foot).units_per_inch - 8.0).abs() < 1e-12);
        assert!((SaidScale::new("1:50", 50.0, LengthUnit::Metre).units_per_inch - 1.27).abs() < 1e-12);
    }
}
