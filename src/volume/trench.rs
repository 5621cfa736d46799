//! How much earth comes out of a trench?
//!
//! Only what lies below the dig above it, or below the ground where nothing else is dug. With the ground z, topsoil k deep where it
//! must come out (else k = 0), the floor a of the dig above and the bottom B of the trench below it:
//! ```text
//!   integral of max(0, min(a, z - k) - B) = integral of max(0, z - k - B) - integral of max(0, z - k - a)
//! ```
//! so both sides are exact accounts over the same pieces. Of which strip: likewise, nothing where the dig above took it.
//! Cubic and square job units. Known right by: closed forms (`tests/trenches.rs`) and the invented sites (`tests/sites.rs`).

use super::{Account, Dug, Topsoil};
use crate::design::drains::{Part, at_plane};
use crate::surface::{Region, Surface};

/// What a trench takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Taken {
    /// Bank.
    pub volume: f64,
    /// Of it, within strip depth of the ground.
    pub strip: f64,
    /// Plan area without ground under it: not counted.
    pub uncovered: f64,
    /// Deepest below the ground as it is today.
    pub deepest: Option<f64>,
    /// Least of finish, or of the ground where nothing is built, over the bottom.
    pub least_over: Option<f64>,
}

impl Taken {
    /// One piece of trench.
    #[must_use]
    pub fn of(existing: &Surface, limit: Option<&Region>, part: &Part, strip: f64) -> Self {
        let mut out = Self::default();
        if let Some(piece) = part.dug() {
            let stripped = part.above.is_some_and(|a| a.is_stripped);
            let up = if stripped { strip } else { 0.0 };
            let of =
                |plane| Account::of(existing, limit, at_plane(&piece, plane, up), Topsoil { strip, may_stay: true });
            let whole = of(part.bottom);
            let above = part.above.map(|a| of(a.floor)).unwrap_or_default();
            out.volume = whole.cut - above.cut;
            out.strip = if stripped { 0.0 } else { whole.strip - above.strip };
            out.uncovered = whole.area - whole.covered;
        }
        // Every corner of the exact pieces: between them all is straight.
        let all = Dug::of(existing, limit, at_plane(&part.piece, part.bottom, 0.0), false);
        for (p, ground, bottom) in all.pieces.iter().flatten() {
            let top = part.above.and_then(|a| a.finish).map_or(*ground, |finish| finish.height(*p));
            out.least_over = Some(out.least_over.map_or(top - bottom, |l: f64| l.min(top - bottom)));
            out.deepest = Some(out.deepest.map_or(ground - bottom, |d: f64| d.max(ground - bottom)));
        }
        out
    }

    /// Both together.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        let either = |a: Option<f64>, b: Option<f64>, f: fn(f64, f64) -> f64| match (a, b) {
            (Some(a), Some(b)) => Some(f(a, b)),
            (a, b) => a.or(b),
        };
        Self {
            volume: self.volume + other.volume,
            strip: self.strip + other.strip,
            uncovered: self.uncovered + other.uncovered,
            deepest: either(self.deepest, other.deepest, f64::max),
            least_over: either(self.least_over, other.least_over, f64::min),
        }
    }
}
