//! Which triangle is under this place?
//!
//! A walk from triangle to triangle over the edge the place lies beyond, begun near it by a coarse grid of starts
//! (Guibas and Stolfi 1985; the order of the edges is varied, so that a walk that could turn in circles on a net that
//! is not Delaunay ends with probability one: Devillers, Pion and Teillaud 2002). Exact: signs by adaptive predicates.
//! A place on an edge or corner belongs to whichever triangle the walk meets first; the surface is continuous there.
//! Known right by: trying every triangle (`surface/tests.rs`).

use super::build::bounds;
use super::{Net, index, turn};

/// Where a place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Position {
    /// In or on the border of that triangle.
    In(u32),
    /// Off the surface.
    Outside,
}

/// For each cell of a coarse grid, a triangle in or near it.
#[derive(Debug)]
pub(super) struct Starts {
    low: [f64; 2],
    high: [f64; 2],
    cell: f64,
    wide: usize,
    triangle: Vec<u32>,
}

/// Triangles to one cell of starts: fewer make the walks shorter and the table larger.
const PER_CELL: usize = 8;

impl Starts {
    pub(super) fn new(place: &[[f64; 2]], corners: &[[u32; 3]]) -> Self {
        let (low, high) = bounds(place.iter().copied());
        let side = (high[0] - low[0]).max(high[1] - low[1]).max(1.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a root of a count")]
        let wide = ((corners.len() / PER_CELL) as f64).sqrt().ceil().max(1.0) as usize;
        let mut starts = Self { low, high, cell: side / wide as f64, wide, triangle: vec![u32::MAX; wide * wide] };
        for (t, c) in corners.iter().enumerate() {
            // The last of those with one lowest corner, which stand in a row.
            if corners.get(t + 1).is_none_or(|next| next[0] != c[0]) {
                let k = starts.slot(place[c[0] as usize]);
                starts.triangle[k] = index(t);
            }
        }
        let mut last = 0;
        for t in &mut starts.triangle {
            if *t == u32::MAX {
                *t = last;
            }
            last = *t;
        }
        starts
    }

    /// Least and greatest corner of all places.
    pub(super) fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        (self.low, self.high)
    }

    fn slot(&self, p: [f64; 2]) -> usize {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
        let cell = |k: usize| (((p[k] - self.low[k]) / self.cell).max(0.0) as usize).min(self.wide - 1);
        cell(1) * self.wide + cell(0)
    }
}

/// How a walk ends.
pub(super) enum Walked {
    /// In or on the border of that triangle.
    In(u32),
    /// Beyond that side of that triangle, where a convex net ends.
    Beyond(u32, usize),
    /// Off the surface.
    Outside,
}

impl Net {
    /// The triangle at a place of the frame, walking from `hint` if one is given.
    #[must_use]
    pub fn locate(&self, p: [f64; 2], hint: Option<u32>) -> Position {
        match self.walk(p, hint) {
            Walked::In(t) => Position::In(t),
            Walked::Beyond(..) | Walked::Outside => Position::Outside,
        }
    }

    /// The triangle at a place of the frame, or the nearest of those with an open side.
    #[must_use]
    pub fn triangle_beside(&self, p: [f64; 2]) -> u32 {
        if let Position::In(t) = self.locate(p, None) {
            return t;
        }
        let away = |&t: &u32| {
            let c = self.corners(t).map(|v| self.place(v));
            (0..3).map(|k| super::off(p, c[k], c[(k + 1) % 3])).fold(f64::INFINITY, f64::min)
        };
        self.rim.iter().copied().min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0)
    }

    pub(super) fn walk(&self, p: [f64; 2], hint: Option<u32>) -> Walked {
        if self.corners.is_empty() {
            return Walked::Outside;
        }
        let mut t = hint.unwrap_or_else(|| self.starts.triangle[self.starts.slot(p)]);
        let mut from = None;
        // Long enough for a walk right across any net of this size, several times.
        let patience = 64 + self.corners.len().isqrt() * 16;
        for step in 0..patience {
            let c = self.corners(t);
            let beyond = (0..3).map(|k| (k + step) % 3).find_map(|side| {
                let next = self.across(t, side);
                if from.is_some() && next == from {
                    return None;
                }
                let (a, b) = (self.place(c[(side + 1) % 3]), self.place(c[(side + 2) % 3]));
                (turn(a, b, p) < 0.0).then_some((side, next))
            });
            match beyond {
                None => return Walked::In(t),
                Some((_, Some(next))) => {
                    from = Some(t);
                    t = next;
                }
                Some((side, None)) if self.convex => return Walked::Beyond(t, side),
                Some((_, None)) => break,
            }
        }
        match self.locate_by_trying(p) {
            Position::In(t) => Walked::In(t),
            Position::Outside => Walked::Outside,
        }
    }

    /// The triangle at a place, by trying every one: the slow twin of [`Net::locate`].
    #[must_use]
    pub fn locate_by_trying(&self, p: [f64; 2]) -> Position {
        let holds = |&t: &u32| {
            let [a, b, c] = self.corners(t).map(|v| self.place(v));
            turn(a, b, p) >= 0.0 && turn(b, c, p) >= 0.0 && turn(c, a, p) >= 0.0
        };
        (0..index(self.triangles())).find(holds).map_or(Position::Outside, Position::In)
    }
}
