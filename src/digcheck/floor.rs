//! What was the bucket to dig to, everywhere in an area?
//!
//! Subgrade, plus what is left for compaction, less driven stone that stays proud; where topsoil may not stay, no higher than the
//! bottom of the topsoil. What that orders deeper than subgrade is undercut: stone comes back there, and it is the owner's.

use crate::design::dig::Dug;
use crate::surface::{Corner, Surface, Sweep, Triangle};

/// A piece of the floor in which it is one plane.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    /// At the height of dig-to.
    pub dig_to: Triangle,
    /// Where undercut is ordered, how high stone comes back at its corners.
    pub back: Option<[f64; 3]>,
}

/// The floor of an area.
#[derive(Clone, Debug, Default)]
pub struct Floor {
    /// Its pieces, which do not overlap.
    pub pieces: Vec<Piece>,
}

impl Floor {
    /// Of an area in the ground as it was; `strip` is the depth of the topsoil. Where topsoil may not stay, only what the survey covers.
    #[must_use]
    pub fn of(area: &Dug<'_>, existing: &Surface, strip: f64) -> Self {
        let mut pieces = Vec::new();
        let mut sweep = Sweep::new(existing.net());
        for t in area.floor().filter(|t| t.doubled_area() > 0.0) {
            let wanted = Triangle { height: t.height.map(|z| z + area.stop_above), ..t };
            if area.section.topsoil_may_stay {
                pieces.push(Piece { dig_to: wanted, back: None });
                continue;
            }
            // Stone comes back to subgrade, or to where the bucket stops if that is lower.
            let spare = area.stop_above.max(0.0);
            sweep.over(
                &wanted,
                |v| existing.height(v) - strip,
                |_, poly| {
                    // d: wanted less the bottom of the topsoil.
                    let above = poly.clipped(6, |c| -c.d, |c| c.d = 0.0);
                    let below = poly.clipped(6, |c| c.d, |c| c.d = 0.0);
                    let near = below.clipped(7, |c| spare - c.d, |c| c.d = spare);
                    let deep = below.clipped(7, |c| c.d - spare, |c| c.d = spare);
                    fan(&wanted, above.corners(), |_| 0.0, None, &mut pieces);
                    if spare > 0.0 {
                        fan(&wanted, near.corners(), |c| c.d, None, &mut pieces);
                    }
                    fan(&wanted, deep.corners(), |c| c.d, Some(spare), &mut pieces);
                },
            );
        }
        Self { pieces }
    }

    /// At the height of dig-to.
    pub fn dig_to(&self) -> impl Iterator<Item = Triangle> + '_ {
        self.pieces.iter().map(|p| p.dig_to)
    }

    /// Where undercut is ordered, at the height of dig-to.
    pub fn undercut(&self) -> impl Iterator<Item = Triangle> + '_ {
        self.pieces.iter().filter(|p| p.back.is_some()).map(|p| p.dig_to)
    }

    /// The same at the height stone comes back to.
    pub fn back(&self) -> impl Iterator<Item = Triangle> + '_ {
        self.pieces.iter().filter_map(|p| Some(Triangle { height: p.back?, ..p.dig_to }))
    }
}

/// Triangles of a convex part of the floor as wanted, so much deeper at its corners; stone comes back to so much below what is wanted.
fn fan(
    wanted: &Triangle,
    corners: &[Corner],
    deeper: impl Fn(&Corner) -> f64,
    back: Option<f64>,
    out: &mut Vec<Piece>,
) {
    let height = |c: &Corner| c.l[0] * wanted.height[0] + c.l[1] * wanted.height[1] + c.l[2] * wanted.height[2];
    for k in 1..corners.len().saturating_sub(1) {
        let three = [corners[0], corners[k], corners[k + 1]];
        let dig_to = Triangle { place: three.map(|c| wanted.at(c.l)), height: three.map(|c| height(&c) - deeper(&c)) };
        if dig_to.doubled_area() > 0.0 {
            out.push(Piece { dig_to, back: back.map(|spare| three.map(|c| height(&c) - spare)) });
        }
    }
}
