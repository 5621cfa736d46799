//! Down which way does water run from very many places at once?
//!
//! The same ways as [`Paths`] finds one by one. On smooth ground a way crosses as many triangles as the site is wide, and ways beside each
//! other cross the same ones; so here all that comes over a side moves on together as a strand, at the price of one, until a vertex
//! parts it or it runs into a vertex, a valley, a flat, the rim or near an outlet. Triangles are taken after those above them; where they
//! wait for one another in a ring the highest goes first and is taken again when more comes.
//!
//! ```text
//!     side come in by         each strand is parted once at the corner opposite, or joined with that of the other side,
//!      \‾‾‾‾|‾‾‾‾/            so all of it takes little more than a few searches for each triangle
//!       \ ↓ | ↓ /
//!        \  |  /
//! ```
//! Lengths are the same sums in another order, equal but for rounding; slopes are those of the planes. Where ways are equally steep, each
//! vertex has one way for all that comes to it. Known right by: [`Paths`], one by one (`abreast/tests.rs`).

use super::descent::{At, CORNER, End, closing};
use super::ground::Ground;
use super::paths::{Path, Paths};
use super::strand::{Move, NONE, Strands};
use crate::shots::MICRO;
use crate::surface::{Surface, index};

/// The path from each place of the frame, bends not listed; nothing off the surface.
#[must_use]
pub fn abreast(paths: &Paths<'_, Surface>, places: &[[f64; 2]]) -> Vec<Option<Path>> {
    let ground = paths.descent.ground;
    let mut water = Water::new(paths);
    // A way begins at every vertex: whatever comes to one goes on by it.
    let mut corner = vec![(0, 0); ground.net().vertices()];
    for t in (0..ground.triangles()).rev() {
        (0..3).for_each(|k| corner[ground.corners(t)[k] as usize] = (t, k));
    }
    let begin: Vec<Option<Begin>> = places
        .iter()
        .map(|&place| {
            let t = Ground::locate(ground, place)?;
            let Some(k) = ground.places(t).iter().position(|&p| p == place) else {
                return Some(Begin::Face(t, place));
            };
            let vertex = ground.corners(t)[k];
            corner[vertex as usize] = (t, k);
            Some(Begin::Vertex(vertex))
        })
        .collect();
    for (v, &(t, k)) in (0_u32..).zip(&corner) {
        water.begin(At::Vertex(t, k), ground.place(v), ground.height(v));
    }
    let beads: Vec<Option<u32>> = begin
        .iter()
        .map(|begin| match begin.as_ref()? {
            Begin::Vertex(v) => Some(*v),
            &Begin::Face(t, p) => Some(water.begin(At::Face(t, p), p, ground.height_in(t, p))),
        })
        .collect();
    water.run();
    water.follow();
    beads.into_iter().map(|bead| bead.map(|k| water.path(k))).collect()
}

enum Begin {
    Vertex(u32),
    Face(u32, [f64; 2]),
}

/// Where a bead left its strand for good.
#[derive(Clone, Copy)]
enum Goal {
    /// At that vertex, to go on as water from there does.
    Vertex(u32),
    /// At its end, so high.
    End(End, [f64; 2], f64),
}

struct Water<'a> {
    paths: &'a Paths<'a, Surface>,
    strands: Strands,
    /// By side of the triangle that takes it, the strand that waits there, and single beads that begin there.
    waiting: Vec<u32>,
    beginning: Vec<Vec<u32>>,
    /// By side of the triangle it leaves: the side of the triangle beyond that takes it, or [`NONE`].
    onward: Vec<u32>,
    /// Triangles with an outlet within reach.
    near_outlet: Vec<bool>,
    /// Height each bead began at, and its goal.
    high: Vec<f64>,
    goal: Vec<Option<Goal>>,
    /// Triangles that are to be taken again.
    again: Vec<u32>,
}

/// The same for the same place, whatever the order.
fn rank(p: [f64; 2]) -> u32 {
    let mixed = (p[0].to_bits() ^ p[1].to_bits().rotate_left(29)).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mixed = (mixed ^ (mixed >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    u32::try_from(mixed >> 32).unwrap_or(0)
}

impl<'a> Water<'a> {
    fn new(paths: &'a Paths<'a, Surface>) -> Self {
        let ground = paths.descent.ground;
        let count = ground.triangles() as usize;
        let mut water = Self {
            paths,
            strands: Strands::default(),
            waiting: vec![NONE; 3 * count],
            beginning: Vec::new(),
            onward: vec![NONE; 3 * count],
            near_outlet: vec![false; count],
            high: Vec::new(),
            goal: Vec::new(),
            again: Vec::new(),
        };
        water.beginning.resize_with(count, Vec::new);
        for t in 0..ground.triangles() {
            let (places, down) = (ground.places(t), paths.descent.fall(t).0);
            for side in (0..3).filter(|&s| !paths.descent.is_flat(t) && closing(&places, down, s) > 0.0) {
                water.onward[3 * t as usize + side] = water.taker(t, side).unwrap_or(NONE);
            }
            let reach = 2.0 * paths.reach + 2.0;
            let is_near = |o: [f64; 2]| {
                [0, 1].into_iter().all(|i| {
                    let (low, high) = places.iter().fold((o[i], o[i]), |(l, h), p| (l.min(p[i]), h.max(p[i])));
                    let among = places.iter().map(|p| p[i]);
                    let (least, most) =
                        among.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), c| (l.min(c), h.max(c)));
                    least - low <= reach && high - most <= reach
                })
            };
            water.near_outlet[t as usize] = paths.outlets.iter().any(|o| is_near(o.place));
        }
        water
    }

    /// The side beyond that one, if the triangle there carries away what comes over it.
    fn taker(&self, t: u32, side: usize) -> Option<u32> {
        let descent = &self.paths.descent;
        let u = descent.ground.net().across(t, side)?;
        let back = descent.back(t, u);
        (!descent.is_flat(u) && descent.takes(u, back)).then(|| 3 * u + index(back))
    }

    fn begin(&mut self, at: At, place: [f64; 2], height: f64) -> u32 {
        let k = self.strands.add(rank(place));
        self.high.push(height);
        self.goal.push(None);
        if let Some(outlet) = self.paths.outlet_on(place, place) {
            self.goal[k as usize] = Some(Goal::End(End::Outlet(outlet), place, height));
        } else if let Some(side) = self.walk(k, at, (place, height)) {
            self.beginning[side as usize / 3].push(k * 3 + side % 3);
        }
        k
    }

    /// One bead by itself, one step at least, until a triangle takes it in over a side of its own.
    fn walk(&mut self, k: u32, mut at: At, (mut here, mut height): ([f64; 2], f64)) -> Option<u32> {
        loop {
            let (next, leg, lower) = self.paths.leg((here, height), self.paths.descent.step(at), None);
            let bead = self.strands.get_mut(k);
            bead.length += leg.length;
            bead.least_slope = bead.least_slope.min(leg.slope);
            (at, here, height) = (next, self.paths.descent.place(next), lower);
            match at {
                At::Done(end, place) => {
                    self.goal[k as usize] = Some(Goal::End(end, place, height));
                    return None;
                }
                At::Vertex(t, c) => {
                    self.goal[k as usize] = Some(Goal::Vertex(self.paths.descent.ground.corners(t)[c]));
                    return None;
                }
                At::Side(t, side, _, part) => {
                    if let Some(onward) = self.taker(t, side) {
                        self.strands.get_mut(k).part = part;
                        return Some(onward);
                    }
                }
                At::Face(..) | At::Over(..) => {}
            }
        }
    }

    /// Every bead of a strand on a side, one by one.
    fn walk_all(&mut self, strand: u32, (t, side): (u32, usize)) {
        let mut beads = Vec::new();
        self.strands.apart(strand, &mut beads);
        let [a, b] = self.paths.descent.ends(t, side);
        for k in beads {
            let part = self.strands.get(k).part;
            let place = [0, 1].map(|i| a[i] + part * (b[i] - a[i]));
            let at = (place, self.paths.on_side(t, side, part));
            if let Some(onward) = self.walk(k, At::Side(t, side, place, part), at) {
                self.waiting[onward as usize] = self.strands.insert(self.waiting[onward as usize], k);
                self.again.push(onward / 3);
            }
        }
    }

    /// From the top of the ground to its lowest places.
    fn run(&mut self) {
        let count = self.near_outlet.len();
        let mut above = vec![0_u8; count];
        for &side in self.onward.iter().filter(|&&side| side != NONE) {
            above[side as usize / 3] += 1;
        }
        let mut ready: Vec<u32> = (0..index(count)).rev().filter(|&t| above[t as usize] == 0).collect();
        let (mut done, mut rings) = (vec![false; count], None);
        loop {
            while let Some(t) = ready.pop() {
                self.pass(t);
                if !std::mem::replace(&mut done[t as usize], true) {
                    for side in 3 * t as usize..3 * t as usize + 3 {
                        if self.onward[side] != NONE {
                            let u = self.onward[side] as usize / 3;
                            above[u] -= 1;
                            if above[u] == 0 && !done[u] {
                                ready.push(index(u));
                            }
                        }
                    }
                }
                ready.extend(self.again.drain(..).filter(|&u| done[u as usize]));
            }
            let rest = rings.get_or_insert_with(|| self.by_height(&done));
            match rest.pop() {
                Some(t) if !done[t as usize] => ready.push(t),
                Some(_) => {}
                None => return,
            }
        }
    }

    /// Those that are left, the highest last.
    fn by_height(&self, done: &[bool]) -> Vec<u32> {
        let ground = self.paths.descent.ground;
        let top = |t: u32| ground.heights(t).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let mut rest: Vec<u32> = (0..index(done.len())).filter(|&t| !done[t as usize]).collect();
        rest.sort_by(|&t, &u| top(t).total_cmp(&top(u)).then(u.cmp(&t)));
        rest
    }

    /// All that waits at a triangle goes over it.
    fn pass(&mut self, u: u32) {
        let begun = std::mem::take(&mut self.beginning[u as usize]);
        self.gather(u, begun);
        let mut out = [NONE; 3];
        for back in 0..3 {
            let strand = std::mem::replace(&mut self.waiting[3 * u as usize + back], NONE);
            if strand == NONE {
                continue;
            }
            let exits = [(back + 1) % 3, (back + 2) % 3].map(|x| self.over(u, back, x));
            match (self.near_outlet[u as usize], exits) {
                (true, _) | (_, [None, None]) => {
                    if let Some(t) = self.paths.descent.ground.net().across(u, back) {
                        self.walk_all(strand, (t, self.paths.descent.back(u, t)));
                    }
                }
                (false, [Some(right), None]) => self.leave(u, (back + 1) % 3, (strand, right), &mut out),
                (false, [None, Some(left)]) => self.leave(u, (back + 2) % 3, (strand, left), &mut out),
                (false, [Some(right), Some(left)]) => {
                    let is_right = |p: f64| right.scale * p < 1.0 - CORNER;
                    let (to_right, to_left) = self.strands.part(strand, &is_right);
                    self.leave(u, (back + 1) % 3, (to_right, right), &mut out);
                    self.leave(u, (back + 2) % 3, (to_left, left), &mut out);
                }
            }
        }
        for (side, strand) in out.into_iter().enumerate().filter(|(_, s)| *s != NONE) {
            let onward = self.onward[3 * u as usize + side] as usize;
            if onward == NONE as usize {
                self.walk_all(strand, (u, side));
            } else if self.waiting[onward] == NONE {
                self.waiting[onward] = strand;
            } else {
                let mut beads = Vec::new();
                self.strands.apart(strand, &mut beads);
                for k in beads {
                    self.waiting[onward] = self.strands.insert(self.waiting[onward], k);
                }
            }
            if onward != NONE as usize {
                self.again.push(index(onward / 3));
            }
        }
    }

    /// Beads that begin on the sides of a triangle, into the strands that wait there.
    fn gather(&mut self, u: u32, mut begun: Vec<u32>) {
        begun.sort_by(|a, b| self.strands.get(a / 3).part.total_cmp(&self.strands.get(b / 3).part));
        for bead in begun {
            let side = 3 * u as usize + bead as usize % 3;
            self.waiting[side] = self.strands.insert(self.waiting[side], bead / 3);
        }
    }

    /// How water moves over a triangle from one side to another; nothing where it does not leave by that. Places on the side come in by
    /// are counted from its right-hand end, as on the one left by: the two share an end, which stays what it was.
    fn over(&self, u: u32, back: usize, side: usize) -> Option<Move> {
        let descent = &self.paths.descent;
        let (places, (down, slope)) = (descent.ground.places(u), descent.fall(u));
        let out = closing(&places, down, side);
        if out <= 0.0 {
            return None;
        }
        let scale = -closing(&places, down, back) / out;
        let shares_start = side == (back + 1) % 3;
        let far = places[if shares_start { (back + 1) % 3 } else { (back + 2) % 3 }];
        let [a, b] = descent.ends(u, side);
        let ahead = ((b[1] - a[1]) * (a[0] - far[0]) - (b[0] - a[0]) * (a[1] - far[1])) / out;
        let run = ahead * slope / MICRO;
        Some(if shares_start {
            Move { scale, add: 0.0, longer: run, more: 0.0, slope }
        } else {
            Move { scale, add: 1.0 - scale, longer: -run, more: run, slope }
        })
    }

    /// A strand moves to a side; what comes to the ends of it has reached a vertex.
    fn leave(&mut self, u: u32, side: usize, (strand, by): (u32, Move), out: &mut [u32; 3]) {
        self.strands.advance(strand, by);
        let (low, rest) = self.strands.part(strand, &|p| p <= CORNER);
        let (middle, high) = self.strands.part(rest, &|p| p < 1.0 - CORNER);
        for (strand, end) in [(low, (side + 1) % 3), (high, (side + 2) % 3)] {
            let vertex = self.paths.descent.ground.corners(u)[end];
            let mut beads = Vec::new();
            self.strands.apart(strand, &mut beads);
            beads.into_iter().for_each(|k| self.goal[k as usize] = Some(Goal::Vertex(vertex)));
        }
        let shares_start = by.add == 0.0;
        let (first, second) = if shares_start { (middle, out[side]) } else { (out[side], middle) };
        out[side] = self.strands.join(first, second);
    }

    /// Every vertex's way to its end: what is below the vertex it comes to is added to it.
    fn follow(&mut self) {
        let ground = self.paths.descent.ground;
        let count = index(ground.net().vertices());
        for v in 0..count {
            let mut chain = vec![v];
            let mut end = None;
            while let Some(&top) = chain.last() {
                match self.goal[top as usize] {
                    Some(Goal::Vertex(next)) if chain.len() <= count as usize => chain.push(next),
                    Some(Goal::End(..)) => break,
                    _ => {
                        end = Some(Goal::End(End::Low, ground.place(top), ground.height(top)));
                        break;
                    }
                }
            }
            if let (Some(end), Some(&top)) = (end, chain.last()) {
                self.goal[top as usize] = Some(end);
            }
            for pair in chain.windows(2).rev() {
                self.add(pair[0], pair[1]);
            }
        }
    }

    /// The way of a bead that came to a vertex whose own way is known to its end.
    fn add(&mut self, k: u32, vertex: u32) {
        let below = *self.strands.get(vertex);
        let bead = self.strands.get_mut(k);
        bead.length += below.length;
        bead.least_slope = bead.least_slope.min(below.least_slope);
        self.goal[k as usize] = self.goal[vertex as usize];
    }

    fn path(&mut self, k: u32) -> Path {
        if let Some(Goal::Vertex(vertex)) = self.goal[k as usize] {
            self.add(k, vertex);
        }
        let (bead, high) = (self.strands.get(k), self.high[k as usize]);
        let (end, place, low) = match self.goal[k as usize] {
            Some(Goal::End(end, place, low)) => (end, place, low),
            // No way is left unfinished; a ring, which only rounding could bring about, is a low.
            Some(Goal::Vertex(_)) | None => (End::Low, self.paths.descent.ground.place(0), high),
        };
        let least_slope = if bead.least_slope.is_finite() { bead.least_slope.max(0.0) } else { 0.0 };
        Path { end, place, length: bead.length, fall: high - low, least_slope, line: Vec::new() }
    }
}

#[cfg(test)]
mod tests;
