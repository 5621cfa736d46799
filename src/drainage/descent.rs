//! One step down: where does water go from here?
//!
//! ```text
//!   over a face: straight down its plane      in a valley: along the edge      at a vertex: the steepest of all
//!        \  .  /                                 \ -> | <- /                       \ | /
//!         \ ↓ /                                       ↓                           -- v --
//!   down a vertical face                       at a wall: along its foot to where the other side is no higher
//!        __                                          |__
//!          |__                                   ____|
//! ```
//! Steepest descent on the triangles themselves, over faces, not only along edges. On a face: down its plane to a side. On a side: on
//! into the next face if that falls away from it, else the side is a valley and water follows it to its lower end. Where another sheet
//! lies beyond the side, down onto it if it is no higher there; else the side is the foot of a wall. At a vertex: down to a lower sheet
//! first, else the steepest of the faces that fall away inside their own corner and of the edges that go down.
//!
//! Ends: a drain it touches; the open edge of the survey; a low (no way down); a flat.
//! Ties: of equally steep ways the first counter-clockwise from the triangle walked in by.

use super::ground::{Beyond, Ground};
use crate::shots::MICRO;
use std::sync::Arc;

/// How water ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    /// At that outlet (by number).
    Outlet(usize),
    /// In that drain (by number).
    Drain(usize),
    /// Over the open edge of the survey.
    Edge,
    /// Where there is no way down.
    Low,
    /// On level ground.
    Flat,
}

impl End {
    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Outlet(_) => "outlet",
            Self::Drain(_) => "drain",
            Self::Edge => "edge",
            Self::Low => "low",
            Self::Flat => "flat",
        }
    }

    /// Whether the water gets anywhere.
    #[must_use]
    pub fn arrives(self) -> bool {
        !matches!(self, Self::Low | Self::Flat)
    }
}

/// Where the water is.
#[derive(Clone, Copy, Debug)]
pub(super) enum At {
    /// Inside or on the border of a triangle, free to fall.
    Face(u32, [f64; 2]),
    /// On a side of a triangle, come from inside it, so far along it from its first end (0 to 1).
    Side(u32, usize, [f64; 2], f64),
    /// On a side of a triangle, at the foot of a wall that ends here: on into the sheet beyond.
    Over(u32, usize, [f64; 2]),
    /// At a vertex, which is that corner of that triangle.
    Vertex(u32, usize),
    /// Done.
    Done(End, [f64; 2]),
}

/// Ground with what is asked for at every step.
#[derive(Debug)]
pub(super) struct Descent<'a, G> {
    pub ground: &'a G,
    /// Downhill on each triangle (frame, rise over run), and how steep.
    falls: Arc<[([f64; 2], f64)]>,
}

impl<G> Clone for Descent<'_, G> {
    fn clone(&self) -> Self {
        Self { ground: self.ground, falls: Arc::clone(&self.falls) }
    }
}

/// A part of a triangle's side nearer to its end than this counts as the end.
pub(super) const CORNER: f64 = 1e-9;
/// Slopes below this are level: a millionth of a unit in a thousand.
pub(super) const LEVEL: f64 = 1e-9;
/// Heights of two sheets nearer than this (job units) are one: what is left of sums of heights.
pub(super) const FLUSH: f64 = 1e-9;

pub(super) fn length(d: [f64; 2]) -> f64 {
    (d[0] * d[0] + d[1] * d[1]).sqrt()
}

/// How far along a side, from its first corner, a place on it lies: 0 to 1.
pub(super) fn part_of(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / (along[0] * along[0] + along[1] * along[1])
}

impl<'a, G: Ground> Descent<'a, G> {
    pub fn new(ground: &'a G) -> Self {
        let falls = (0..ground.triangles()).map(|t| {
            let down = ground.gradient(t).map(|g| -g);
            (down, length(down))
        });
        Self { ground, falls: falls.collect() }
    }

    /// Downhill on a triangle, and how steep.
    pub fn fall(&self, t: u32) -> ([f64; 2], f64) {
        self.falls[t as usize]
    }

    pub fn is_flat(&self, t: u32) -> bool {
        self.falls[t as usize].1 <= LEVEL
    }

    pub fn place(&self, at: At) -> [f64; 2] {
        match at {
            At::Face(_, p) | At::Side(_, _, p, _) | At::Over(_, _, p) | At::Done(_, p) => p,
            At::Vertex(t, k) => self.ground.place(self.ground.corners(t)[k]),
        }
    }

    pub fn step(&self, at: At) -> At {
        match at {
            At::Face(t, p) => match self.ground.drain_in(t) {
                Some(k) => At::Done(End::Drain(k), p),
                None => self.over_face(t, p),
            },
            At::Side(t, side, p, _) => self.at_side(t, side, p),
            At::Over(t, side, p) => match self.ground.beyond(t, side).triangle() {
                Some(u) => self.enter(t, u, p),
                None => At::Done(End::Edge, p),
            },
            At::Vertex(t, k) => self.at_vertex(t, k),
            At::Done(..) => at,
        }
    }

    /// The ends of a side, counter-clockwise.
    pub fn ends(&self, t: u32, side: usize) -> [[f64; 2]; 2] {
        let c = self.ground.corners(t);
        [c[(side + 1) % 3], c[(side + 2) % 3]].map(|v| self.ground.place(v))
    }

    /// Whether a triangle carries away what comes in over a side of it.
    pub fn takes(&self, u: u32, back: usize) -> bool {
        let (places, (down, steep)) = (self.ground.places(u), self.fall(u));
        carries(&places, (down, steep), back)
    }

    /// The side of `u` that `t` lies beyond.
    pub fn back(&self, t: u32, u: u32) -> usize {
        (0..3).find(|&s| self.ground.beyond(u, s).triangle() == Some(t)).unwrap_or(0)
    }

    /// How much higher than the sheet beyond it a side is at both its ends.
    pub fn apart(&self, t: u32, side: usize, u: u32) -> [f64; 2] {
        let (own, other) = (self.ground.corners(t), self.ground.corners(u));
        let back = self.back(t, u);
        let z = |v: u32| self.ground.height(v);
        // The other goes round the side the other way.
        [z(own[(side + 1) % 3]) - z(other[(back + 2) % 3]), z(own[(side + 2) % 3]) - z(other[(back + 1) % 3])]
            .map(|d| if d.abs() <= FLUSH { 0.0 } else { d })
    }

    /// Down the plane of `t` from `p`, which is in it or one of its corners, to a side.
    fn over_face(&self, t: u32, p: [f64; 2]) -> At {
        let (down, steep) = self.fall(t);
        if steep <= LEVEL {
            return At::Done(End::Flat, p);
        }
        let places = self.ground.places(t);
        let mut best: Option<(f64, usize)> = None;
        for side in 0..3 {
            let (a, b) = (places[(side + 1) % 3], places[(side + 2) % 3]);
            let closing = closing(&places, down, side);
            if closing > 0.0 {
                let ahead = ((b[1] - a[1]) * (a[0] - p[0]) - (b[0] - a[0]) * (a[1] - p[1])) / closing;
                if best.is_none_or(|(s, _)| ahead < s) {
                    best = Some((ahead, side));
                }
            }
        }
        best.map_or(At::Done(End::Flat, p), |(_, side)| Self::on_side(t, &places, (p, down), side))
    }

    /// Down the plane of a triangle from `p` on a side of it that it takes water over: past its third corner on one hand or the other.
    #[inline]
    fn across(t: u32, places: &[[f64; 2]; 3], (p, down): ([f64; 2], [f64; 2]), back: usize) -> At {
        let to = [places[back][0] - p[0], places[back][1] - p[1]];
        // With the corner to the left of the way down, the water leaves to the right of it.
        let is_left = down[0] * to[1] - down[1] * to[0] > 0.0;
        Self::on_side(t, places, (p, down), (back + if is_left { 1 } else { 2 }) % 3)
    }

    /// Where the way down from `p` meets a side.
    #[inline]
    fn on_side(t: u32, places: &[[f64; 2]; 3], (p, down): ([f64; 2], [f64; 2]), side: usize) -> At {
        let (a, b) = (places[(side + 1) % 3], places[(side + 2) % 3]);
        let part = ((a[0] - p[0]) * down[1] - (a[1] - p[1]) * down[0]) / closing(places, down, side);
        if part <= CORNER {
            At::Vertex(t, (side + 1) % 3)
        } else if part >= 1.0 - CORNER {
            At::Vertex(t, (side + 2) % 3)
        } else {
            At::Side(t, side, [0, 1].map(|k| a[k] + part * (b[k] - a[k])), part)
        }
    }

    /// On a side, pushed against it by `t`.
    fn at_side(&self, t: u32, side: usize, p: [f64; 2]) -> At {
        match self.ground.beyond(t, side) {
            Beyond::Rim => At::Done(End::Edge, p),
            Beyond::On(u) => self.enter(t, u, p),
            // A trench is open, whatever stands over its other side.
            Beyond::Face(u) if self.ground.drain_in(u).is_some() => self.enter(t, u, p),
            Beyond::Face(u) => {
                let ([a, b], apart) = (self.ends(t, side), self.apart(t, side, u));
                let part = part_of(a, b, p);
                if apart[0] + part * (apart[1] - apart[0]) >= -FLUSH {
                    self.enter(t, u, p)
                } else {
                    self.along(t, side, p)
                }
            }
        }
    }

    /// Out of `t` into `u`, which is no higher at `p`.
    pub fn enter(&self, t: u32, u: u32, p: [f64; 2]) -> At {
        let back = self.back(t, u);
        if let Some(k) = self.ground.drain_in(u) {
            return At::Done(End::Drain(k), p);
        }
        let (down, steep) = self.fall(u);
        if steep <= LEVEL {
            return At::Done(End::Flat, p);
        }
        let places = self.ground.places(u);
        if carries(&places, (down, steep), back) {
            Self::across(u, &places, (p, down), back)
        } else {
            self.along(u, back, p)
        }
    }

    /// Along a side to its lower end, or to where a wall beyond it ends.
    pub fn along(&self, t: u32, side: usize, p: [f64; 2]) -> At {
        let c = self.ground.corners(t);
        let (first, second) = ((side + 1) % 3, (side + 2) % 3);
        let ([a, b], down) = (self.ends(t, side), self.ground.height(c[first]) - self.ground.height(c[second]));
        if down.abs() <= LEVEL * length([b[0] - a[0], b[1] - a[1]]) / MICRO {
            return At::Done(End::Low, p);
        }
        if let Beyond::Face(u) = self.ground.beyond(t, side) {
            let apart = self.apart(t, side, u);
            let (here, ahead) = (part_of(a, b, p), usize::from(down > 0.0));
            let wall = apart[0] + here * (apart[1] - apart[0]);
            if wall < -FLUSH && apart[ahead] > 0.0 {
                let part = apart[0] / (apart[0] - apart[1]);
                return At::Over(t, side, [0, 1].map(|k| a[k] + part * (b[k] - a[k])));
            }
            if apart[ahead] > 0.0 {
                // Both sides lean against each other here, and what lies ahead would only come back.
                return At::Done(End::Low, p);
            }
        }
        At::Vertex(t, if down > 0.0 { second } else { first })
    }

    /// At a vertex: down to a lower sheet, else the steepest way down around it.
    pub fn at_vertex(&self, t: u32, k: usize) -> At {
        let ground = self.ground;
        let v = ground.corners(t)[k];
        let (origin, z) = (ground.place(v), ground.height(v));
        if let Some(drain) = ground.drain_at(v) {
            return At::Done(End::Drain(drain), origin);
        }
        let mut best: Option<(f64, At)> = None;
        let mut offer = |slope: f64, way: At| {
            if slope > LEVEL && best.is_none_or(|(s, _)| slope > s) {
                best = Some((slope, way));
            }
        };
        let (mut on_rim, mut lower) = (false, None::<(f64, At)>);
        for (u, j) in self.around(t, k) {
            let c = ground.corners(u);
            let below = z - ground.height(c[j]);
            if below > FLUSH {
                // Every sheet that ends here shares a face with the next one round: the lowest takes it.
                if lower.is_none_or(|(most, _)| below > most) {
                    lower = Some((below, At::Vertex(u, j)));
                }
                continue;
            }
            if below < -FLUSH {
                continue;
            }
            let (right, left) = ((j + 1) % 3, (j + 2) % 3);
            for end in [right, left] {
                let to = [0, 1].map(|i| ground.place(c[end])[i] - origin[i]);
                offer((z - ground.height(c[end])) / (length(to) / MICRO), At::Vertex(u, end));
            }
            let (down, steep) = self.fall(u);
            let side_of = |end: usize| {
                let to = [0, 1].map(|i| ground.place(c[end])[i] - origin[i]);
                to[0] * down[1] - to[1] * down[0]
            };
            let (inside_right, inside_left) = (side_of(right) > 0.0, side_of(left) < 0.0);
            if inside_right && inside_left {
                match ground.drain_in(u) {
                    Some(drain) => offer(steep, At::Done(End::Drain(drain), origin)),
                    // The far side is opposite this corner.
                    None => offer(steep, self.over_face(u, origin)),
                }
            }
            // Opposite `left` lies the side on the right, and the reverse.
            let open_right = ground.beyond(u, left) == Beyond::Rim;
            let open_left = ground.beyond(u, right) == Beyond::Rim;
            on_rim |= open_right || open_left;
            if (open_right && !inside_right) || (open_left && !inside_left) {
                offer(steep, At::Done(End::Edge, origin));
            }
        }
        match (lower, best) {
            (Some((_, way)), _) | (None, Some((_, way))) => way,
            (None, None) if on_rim => At::Done(End::Edge, origin),
            (None, None) => At::Done(End::Low, origin),
        }
    }

    /// The triangles round a vertex (given as a corner of one of them), of every sheet, each with the corner it is there:
    /// counter-clockwise, and if the net ends, clockwise from the first.
    fn around(&self, t: u32, k: usize) -> Vec<(u32, usize)> {
        let at = self.ground.place(self.ground.corners(t)[k]);
        let mut fan = vec![(t, k)];
        for turn in [1, 2] {
            let (mut u, mut j) = (t, k);
            // Counter-clockwise over the side opposite the right-hand corner, clockwise over the other.
            while let Some(next) = self.ground.beyond(u, (j + turn) % 3).triangle() {
                if next == t {
                    return fan;
                }
                let c = self.ground.corners(next);
                j = (0..3).find(|&i| self.ground.place(c[i]) == at).unwrap_or(0);
                u = next;
                fan.push((u, j));
            }
        }
        fan
    }
}

/// How fast water of a triangle closes on a side of it, times the side's length; not above 0 where it does not.
#[inline]
pub(super) fn closing(places: &[[f64; 2]; 3], down: [f64; 2], side: usize) -> f64 {
    let (a, b) = (places[(side + 1) % 3], places[(side + 2) % 3]);
    // Outward of a counter-clockwise side is to its right.
    (b[1] - a[1]) * down[0] - (b[0] - a[0]) * down[1]
}

/// Whether a triangle with that fall carries away what comes in over a side of it.
#[inline]
fn carries(places: &[[f64; 2]; 3], (down, steep): ([f64; 2], f64), side: usize) -> bool {
    let (a, b) = (places[(side + 1) % 3], places[(side + 2) % 3]);
    -closing(places, down, side) > LEVEL * steep * length([b[0] - a[0], b[1] - a[1]])
}
