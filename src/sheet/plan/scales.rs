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

/// The scale, and how it is said.
pub(super) fn fit(outcome: &Outcome, plan: &PlanOut, unit: LengthUnit, room: &Rect) -> (Scale, String) {
    let b = Bounds::of(outcome, plan);
    let need = (b.width() / (room.w - 2.0 * LABELS.0)).max(b.height() / (room.h - 2.0 * LABELS.1));
    let (units_per_inch, said) = standard(need, unit);
    let middle = Ground { northing: (b.south + b.north) / 2.0, easting: (b.west + b.east) / 2.0 };
    (Scale::new(1.0 / units_per_inch, middle, room.centre()), said)
}

/// The least standard number of job units to the inch that is not below `need`.
pub(in crate::sheet) fn standard(need: f64, unit: LengthUnit) -> (f64, String) {
    let metric = unit == LengthUnit::Metre;
    let steps: &[f64] = if metric { &[1.0, 2.0, 2.5, 5.0] } else { &[1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0] };
    // 1 in = 3 ft and 6 ft are on no common rule; 30 and 60 are.
    let on_rule = |step: f64, decade: i32| metric || decade >= 1 || !(step == 3.0 || step == 6.0);
    let per_inch = |ratio: f64| if metric { ratio * 0.0254 } else { ratio };
    let empty = if metric { 10.0 } else { 1.0 };
    let ratio = if need.is_finite() && need > 0.0 {
        (-6..9)
            .flat_map(|decade| steps.iter().map(move |&step| (step, decade)))
            .filter(|&(step, decade)| on_rule(step, decade))
            .map(|(step, decade)| step * 10_f64.powi(decade))
            .find(|&ratio| per_inch(ratio) >= need * (1.0 - 1e-9))
            .unwrap_or(1e9)
    } else {
        empty
    };
    let decimals = if ratio >= 1.0 { usize::from(ratio.fract() != 0.0) } else { 6 };
    let mut number = fixed(ratio, decimals);
    if number.contains('.') {
        number.truncate(number.trim_end_matches('0').trim_end_matches('.').len());
    }
    (per_inch(ratio), if metric { format!("1:{number}") } else { format!("1 in = {number} ft") })
}

/// What lies outermost.
#[derive(Clone, Copy, Debug)]
struct Bounds {
    south: f64,
    north: f64,
    west: f64,
    east: f64,
}

impl Bounds {
    const NONE: Self = Self { south: f64::MAX, north: f64::MIN, west: f64::MAX, east: f64::MIN };

    /// Of the stakes, the edge and the outlets; a bench only if it lies near.
    fn of(outcome: &Outcome, plan: &PlanOut) -> Self {
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

    fn width(&self) -> f64 {
        self.east - self.west
    }

    fn height(&self) -> f64 {
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
        assert_eq!(feet(2.5), (4.0, "1 in = 4 ft".to_owned()));
        assert_eq!(feet(4.0), (4.0, "1 in = 4 ft".to_owned()));
        assert_eq!(feet(5.5).1, "1 in = 8 ft");
        assert_eq!(feet(25.0).1, "1 in = 30 ft");
        assert_eq!(feet(81.0).1, "1 in = 100 ft");
        assert_eq!(feet(0.07).1, "1 in = 0.08 ft");
        assert_eq!(feet(0.0).1, "1 in = 1 ft");
        let (per_inch, said) = standard(1.2, LengthUnit::Metre);
        assert_eq!(said, "1:50");
        assert!((per_inch - 1.27).abs() < 1e-12);
        assert_eq!(standard(0.6, LengthUnit::Metre).1, "1:25");
        assert_eq!(standard(f64::NAN, LengthUnit::Metre).1, "1:10");
    }
}
