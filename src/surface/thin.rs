//! Where does the surface bridge ground nobody shot?
//!
//! The net reaches out to the hull of the shots. Where the hull runs straight past a bay in them, long thin triangles span
//! it, and they are ground only by arithmetic. They are told, not dropped: a limit is for the person to draw.
//!
//! Long: the open side more than three times the mean spacing. Thin: a tenth of that side high, or less. What lies behind a
//! thin triangle is judged as if that one were gone. Both figures are common sense, no source.

use super::{Net, index};

/// Sides to one height of a triangle that is thin.
const THIN: f64 = 10.0;
/// Spacings in the open side of one that is long.
const LONG: f64 = 3.0;

impl Net {
    /// Long thin triangles along the edge, in order.
    #[must_use]
    pub fn thin(&self) -> Vec<u32> {
        let long = LONG * (self.area() / self.vertices().max(1) as f64).sqrt() * crate::shots::MICRO;
        let mut gone = vec![false; self.triangles()];
        let mut open: Vec<(u32, usize)> = Vec::new();
        for &t in &self.rim {
            open.extend((0..3).filter(|&side| self.across(t, side).is_none()).map(|side| (t, side)));
        }
        while let Some((t, side)) = open.pop() {
            let c = self.corners(t);
            let length = |k: usize| {
                let (a, b) = (self.place(c[(k + 1) % 3]), self.place(c[(k + 2) % 3]));
                (b[0] - a[0]).hypot(b[1] - a[1])
            };
            let own = length(side);
            let is_longest = (0..3).all(|k| k == side || length(k) < own);
            if gone[t as usize] || own <= long || !is_longest || self.doubled_area(t) > own * own / THIN {
                continue;
            }
            gone[t as usize] = true;
            for k in (0..3).filter(|&k| k != side) {
                let Some(next) = self.across(t, k) else { continue };
                if let Some(back) = (0..3).find(|&s| self.across(next, s) == Some(t)) {
                    open.push((next, back));
                }
            }
        }
        (0..index(gone.len())).filter(|&t| gone[t as usize]).collect()
    }
}
