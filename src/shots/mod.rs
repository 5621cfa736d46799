//! What was shot, where, and what is it called?
//!
//! Columns, one name arena, no string per shot. Places are whole millionths of the job's unit, so typed
//! decimals, ties and shifts are exact; heights are f64 in the job's own unit.
//!
//! [`Frame`] is the local frame all plane geometry works in: the origin is the least corner of what was shot and the
//! axes are turned by that one of the four quarter turns which a digest of the places picks. A site that was shifted
//! or given a quarter turn, or whose rows came in another order, is thus the same numbers inside, to the last bit.
//! Inside the frame x and y are whole millionths held in f64 (exact to 2^53), counter-clockwise is positive.

mod grid;

pub use grid::{Grid, OffGrid, Way};

use std::collections::HashMap;

/// Whole millionths of the job's unit of length.
pub const MICRO: f64 = 1e6;

/// What a shot was taken on. Only [`Kind::Ground`] enters the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Kind {
    /// The ground.
    #[default]
    Ground,
    /// A height that was there first: curb, slab, wall.
    Fixed,
    /// A bench mark.
    Bench,
    /// A turning point.
    Turn,
    /// The rim of an inlet.
    Rim,
    /// The invert of a pipe.
    Invert,
    /// A door sill or threshold.
    Sill,
}

impl Kind {
    /// Every kind with the word a table uses for it.
    pub const WORDS: [(&'static str, Self); 7] = [
        ("ground", Self::Ground),
        ("fixed", Self::Fixed),
        ("bench", Self::Bench),
        ("turn", Self::Turn),
        ("rim", Self::Rim),
        ("invert", Self::Invert),
        ("sill", Self::Sill),
    ];

    /// The kind with that word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS.iter().find(|(w, _)| w.eq_ignore_ascii_case(word)).map(|&(_, k)| k)
    }
}

/// Names in one string, so a million shots are not a million allocations.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NameArena {
    text: String,
    ends: Vec<u32>,
}

impl NameArena {
    /// Adds a name behind the others.
    ///
    /// # Panics
    /// Where all names together pass 4 GiB.
    pub fn push(&mut self, name: &str) {
        self.text.push_str(name);
        self.ends.push(u32::try_from(self.text.len()).expect("names together stay below 4 GiB"));
    }

    /// The name of that row.
    #[must_use]
    pub fn get(&self, row: usize) -> &str {
        let start = if row == 0 { 0 } else { self.ends[row - 1] as usize };
        &self.text[start..self.ends[row] as usize]
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }
}

/// A survey: one row a shot, in the order of the table. Rows are unique in name and in place (the reader sees to it).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shots {
    /// Names.
    pub names: NameArena,
    /// Northing in whole millionths.
    pub northing: Vec<i64>,
    /// Easting in whole millionths.
    pub easting: Vec<i64>,
    /// Height in the job's unit.
    pub elevation: Vec<f64>,
    /// What it was taken on.
    pub kind: Vec<Kind>,
}

impl Shots {
    /// Without a shot yet, and with room for so many.
    #[must_use]
    pub fn with_room(rows: usize) -> Self {
        Self {
            names: NameArena { text: String::new(), ends: Vec::with_capacity(rows) },
            northing: Vec::with_capacity(rows),
            easting: Vec::with_capacity(rows),
            elevation: Vec::with_capacity(rows),
            kind: Vec::with_capacity(rows),
        }
    }

    /// Gives back the room no shot took.
    pub fn shrink_to_fit(&mut self) {
        self.names.text.shrink_to_fit();
        self.names.ends.shrink_to_fit();
        self.northing.shrink_to_fit();
        self.easting.shrink_to_fit();
        self.elevation.shrink_to_fit();
        self.kind.shrink_to_fit();
    }

    /// Adds a shot.
    pub fn push(&mut self, name: &str, northing: i64, easting: i64, elevation: f64, kind: Kind) {
        self.names.push(name);
        self.northing.push(northing);
        self.easting.push(easting);
        self.elevation.push(elevation);
        self.kind.push(kind);
    }

    /// Rows, of every kind.
    #[must_use]
    pub fn len(&self) -> usize {
        self.elevation.len()
    }

    /// Whether there is no row.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.elevation.is_empty()
    }

    /// Rows that enter the surface.
    pub fn ground_rows(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.len()).filter(|&row| self.kind[row] == Kind::Ground)
    }

    /// Northing and easting of a row, in the job's unit.
    #[must_use]
    pub fn place(&self, row: usize) -> (f64, f64) {
        (from_micro(self.northing[row]), from_micro(self.easting[row]))
    }

    /// From `(name, northing, easting, elevation)`, all ground; for examples and tests.
    #[must_use]
    pub fn ground(rows: &[(&str, f64, f64, f64)]) -> Self {
        let mut shots = Self::default();
        for &(name, n, e, z) in rows {
            shots.push(name, to_micro(n), to_micro(e), z, Kind::Ground);
        }
        shots
    }

    /// Row by name.
    #[must_use]
    pub fn by_name(&self) -> HashMap<&str, usize> {
        (0..self.len()).map(|row| (self.names.get(row), row)).collect()
    }
}

/// The nearest whole millionth. Beyond 9e12 units there are none: the reader refuses those.
#[must_use]
pub fn to_micro(value: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "saturates far outside what a reader lets in")]
    let whole = (value * MICRO).round() as i64;
    whole
}

/// Back to the job's unit.
#[must_use]
pub fn from_micro(value: i64) -> f64 {
    value as f64 / MICRO
}

/// The local frame. See the head of this file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    origin: (i64, i64),
    turns: u8,
}

impl Frame {
    /// The frame of all ground shots of these surveys together; the order of surveys and rows does not matter.
    #[must_use]
    pub fn of(surveys: &[&Shots]) -> Self {
        let all =
            || surveys.iter().flat_map(|s| s.ground_rows().map(move |r| (s.easting[r], s.northing[r], s.elevation[r])));
        let (mut low, mut high) = ((i64::MAX, i64::MAX), (i64::MIN, i64::MIN));
        for (x, y, _) in all() {
            low = (low.0.min(x), low.1.min(y));
            high = (high.0.max(x), high.1.max(y));
        }
        if low.0 > high.0 {
            return Self { origin: (0, 0), turns: 0 };
        }
        // A sum of digests does not depend on the order; turned sites trade the four sums among themselves.
        // Distances from opposite sides stand in for the turned coordinates.
        let mut sums = [0_u64; 4];
        for (x, y, z) in all() {
            let (l, b, r, t) = (x - low.0, y - low.1, high.0 - x, high.1 - y);
            for (sum, (u, v)) in sums.iter_mut().zip([(l, b), (b, r), (r, t), (t, l)]) {
                *sum = sum.wrapping_add(digest(u, v, z));
            }
        }
        let turns = (0..4_u8).min_by_key(|&k| sums[usize::from(k)]).unwrap_or(0);
        // The corner that becomes (0, 0) after the turn.
        let origin = match turns {
            0 => low,
            1 => (high.0, low.1),
            2 => high,
            _ => (low.0, high.1),
        };
        Self { origin, turns }
    }

    /// A place (whole millionths northing, easting) in this frame.
    #[must_use]
    pub fn local(&self, northing: i64, easting: i64) -> [f64; 2] {
        let (dx, dy) = ((easting - self.origin.0) as f64, (northing - self.origin.1) as f64);
        match self.turns {
            0 => [dx, dy],
            1 => [dy, -dx],
            2 => [-dx, -dy],
            _ => [-dy, dx],
        }
    }

    /// A place of this frame as northing and easting in the job's unit.
    #[must_use]
    pub fn site(&self, place: [f64; 2]) -> (f64, f64) {
        let (dx, dy) = self.direction(place);
        let whole = |origin: i64, d: f64| {
            // Whole and broken part apart, so that a shot's own place comes back as it was typed.
            #[expect(clippy::cast_possible_truncation, reason = "local places are below 2^53 millionths")]
            let floor = d.floor() as i64;
            from_micro(origin + floor) + (d - d.floor()) / MICRO
        };
        (whole(self.origin.1, dy), whole(self.origin.0, dx))
    }

    /// A direction of this frame as (east, north), same length.
    #[must_use]
    pub fn direction(&self, d: [f64; 2]) -> (f64, f64) {
        match self.turns {
            0 => (d[0], d[1]),
            1 => (-d[1], d[0]),
            2 => (-d[0], -d[1]),
            _ => (d[1], -d[0]),
        }
    }

    /// A direction (east, north) in this frame, same length.
    #[must_use]
    pub fn local_direction(&self, (east, north): (f64, f64)) -> [f64; 2] {
        match self.turns {
            0 => [east, north],
            1 => [north, -east],
            2 => [-east, -north],
            _ => [-north, east],
        }
    }
}

/// Mixes a place and a height to 64 bits (the finalizer of Steele, Lea and Flood's SplitMix64, 2014).
fn digest(x: i64, y: i64, z: f64) -> u64 {
    let mix = |mut v: u64| {
        v = (v ^ (v >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        v = (v ^ (v >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        v ^ (v >> 31)
    };
    let a = mix(x.cast_unsigned().wrapping_add(0x9e37_79b9_7f4a_7c15));
    let b = mix(a ^ y.cast_unsigned());
    mix(b ^ z.to_bits())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turned(s: &Shots, turns: usize, shift: (i64, i64)) -> Shots {
        let mut out = Shots::default();
        for r in 0..s.len() {
            let (mut x, mut y) = (s.easting[r], s.northing[r]);
            for _ in 0..turns {
                (x, y) = (-y, x);
            }
            out.push(s.names.get(r), y + shift.1, x + shift.0, s.elevation[r], s.kind[r]);
        }
        out
    }

    #[test]
    fn a_shifted_and_turned_site_is_the_same_numbers_inside() {
        let site = Shots::ground(&[("a", 500.0, 1000.0, 1.5), ("b", 512.25, 1003.1, 2.5), ("c", 507.0, 1044.4, 0.1)]);
        let home = Frame::of(&[&site]);
        for turns in 0..4 {
            let moved = turned(&site, turns, (7_000_000_123_457, -4_500_000_000_001));
            let frame = Frame::of(&[&moved]);
            for r in 0..site.len() {
                assert_eq!(
                    frame.local(moved.northing[r], moved.easting[r]),
                    home.local(site.northing[r], site.easting[r])
                );
            }
        }
    }

    #[test]
    fn local_places_come_back_as_typed() {
        let site = Shots::ground(&[
            ("a", 4_500_123.456_789, 600_000.1, 1.5),
            ("b", 4_500_200.3, 600_050.7, 2.5),
            ("c", 4_500_130.0, 600_090.0, 3.0),
        ]);
        let frame = Frame::of(&[&site]);
        for r in 0..site.len() {
            let there = frame.site(frame.local(site.northing[r], site.easting[r]));
            assert_eq!(there, site.place(r));
        }
    }

    #[test]
    fn names_come_back() {
        let mut names = NameArena::default();
        for n in ["A1", "", "long name", "é"] {
            names.push(n);
        }
        assert_eq!((names.get(0), names.get(1), names.get(2), names.get(3)), ("A1", "", "long name", "é"));
        assert_eq!(names.len(), 4);
    }
}
