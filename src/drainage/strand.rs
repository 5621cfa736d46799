//! Places side by side along an edge that all move on together: how are a thousand of them moved at the price of one?
//!
//! A strand is a search tree in the order of the places along the edge (a treap: Seidel and Aragon 1996, from memory). Water that goes
//! over one triangle from one side to another moves on by a rule that is straight in the place: `scale` and `add` give the new place,
//! `longer` and `more` what is added to the way. Such rules one after the other are one such rule, so it is noted at the top of the tree
//! and handed down only where a strand is parted. Order never changes: ways down do not cross.
//!
//! Ranks come from whoever makes the places, so that the same places give the same tree.

/// No place.
pub const NONE: u32 = u32::MAX;

/// What happens to every place of a strand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// The new place along the edge is `scale * place + add`.
    pub scale: f64,
    pub add: f64,
    /// The way grows by `longer * place + more`.
    pub longer: f64,
    pub more: f64,
    /// Slope on that stretch.
    pub slope: f64,
}

impl Move {
    const STAY: Self = Self { scale: 1.0, add: 0.0, longer: 0.0, more: 0.0, slope: f64::INFINITY };

    fn then(self, next: Self) -> Self {
        Self {
            scale: next.scale * self.scale,
            add: next.scale * self.add + next.add,
            longer: self.longer + next.longer * self.scale,
            more: self.more + next.longer * self.add + next.more,
            slope: self.slope.min(next.slope),
        }
    }
}

/// Water under way.
#[derive(Clone, Copy, Debug)]
pub struct Bead {
    /// How far along its edge, 0 to 1.
    pub part: f64,
    /// How far it has come, job units.
    pub length: f64,
    /// Least slope so far.
    pub least_slope: f64,
    rank: u32,
    left: u32,
    right: u32,
    /// What those below it have yet to do.
    owed: Move,
}

/// All water under way, by number; a strand is the number at its top, or [`NONE`].
#[derive(Debug, Default)]
pub struct Strands {
    beads: Vec<Bead>,
}

impl Strands {
    /// One more bead; its number.
    pub fn add(&mut self, rank: u32) -> u32 {
        let length = 0.0;
        let bead =
            Bead { part: 0.0, length, least_slope: f64::INFINITY, rank, left: NONE, right: NONE, owed: Move::STAY };
        self.beads.push(bead);
        crate::surface::index(self.beads.len() - 1)
    }

    pub fn get(&self, k: u32) -> &Bead {
        &self.beads[k as usize]
    }

    pub fn get_mut(&mut self, k: u32) -> &mut Bead {
        &mut self.beads[k as usize]
    }

    /// Moves a whole strand.
    pub fn advance(&mut self, top: u32, by: Move) {
        if top != NONE {
            let bead = self.get_mut(top);
            bead.length += by.longer * bead.part + by.more;
            bead.part = by.scale * bead.part + by.add;
            bead.least_slope = bead.least_slope.min(by.slope);
            bead.owed = bead.owed.then(by);
        }
    }

    fn settle(&mut self, k: u32) {
        let Bead { left, right, owed, .. } = *self.get(k);
        if owed != Move::STAY {
            self.advance(left, owed);
            self.advance(right, owed);
            self.get_mut(k).owed = Move::STAY;
        }
    }

    /// Parts a strand: those up to where `is_first` no longer holds, and the rest.
    pub fn part(&mut self, top: u32, is_first: &impl Fn(f64) -> bool) -> (u32, u32) {
        if top == NONE {
            return (NONE, NONE);
        }
        self.settle(top);
        let Bead { part, left, right, .. } = *self.get(top);
        if is_first(part) {
            let (first, rest) = self.part(right, is_first);
            self.get_mut(top).right = first;
            (top, rest)
        } else {
            let (first, rest) = self.part(left, is_first);
            self.get_mut(top).left = rest;
            (first, top)
        }
    }

    /// One strand of two, the first before the second.
    pub fn join(&mut self, first: u32, second: u32) -> u32 {
        if first == NONE || second == NONE {
            return if first == NONE { second } else { first };
        }
        if self.get(first).rank >= self.get(second).rank {
            self.settle(first);
            let right = self.join(self.get(first).right, second);
            self.get_mut(first).right = right;
            first
        } else {
            self.settle(second);
            let left = self.join(first, self.get(second).left);
            self.get_mut(second).left = left;
            second
        }
    }

    /// Puts a single bead into a strand at its place.
    pub fn insert(&mut self, top: u32, k: u32) -> u32 {
        let part = self.get(k).part;
        let (first, rest) = self.part(top, &|p| p <= part);
        let first = self.join(first, k);
        self.join(first, rest)
    }

    /// Takes a strand to pieces: its beads in order.
    pub fn apart(&mut self, top: u32, out: &mut Vec<u32>) {
        if top == NONE {
            return;
        }
        self.settle(top);
        let Bead { left, right, .. } = *self.get(top);
        self.apart(left, out);
        out.push(top);
        self.apart(right, out);
        let bead = self.get_mut(top);
        (bead.left, bead.right) = (NONE, NONE);
    }
}
