//! Where is a stake that is known by its name alone?
//!
//! A taped grid: letters one way, numbers the other, the first name at the origin.
//! ```text
//!   C1   C2   C3        letters = north, numbers = east, first = A1
//!   B1   B2   B3
//!   A1   A2   A3   <- origin
//! ```
//! The whole may be turned clockwise about its first stake; places are then rounded to whole millionths once, each from its own
//! count of steps. Row AA follows Z. A name is a stake only up to the `last` one where that is said; else rows have as many letters
//! as the first, and go on past Z (or ZZ) only as far as the survey names every row between, so that TP1 or DR2 is no stake of a
//! far row. Names before the first, beyond the last, and of another form are not on the grid.

use super::MICRO;
use std::collections::HashSet;

/// One of the four ways a row of stakes runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Northing grows.
    North,
    /// Northing shrinks.
    South,
    /// Easting grows.
    East,
    /// Easting shrinks.
    West,
}

impl Way {
    /// The way with that word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        let all = [("north", Self::North), ("south", Self::South), ("east", Self::East), ("west", Self::West)];
        all.into_iter().find(|(w, _)| *w == word).map(|(_, way)| way)
    }

    /// Steps of (northing, easting) for one step this way.
    fn step(self) -> (i64, i64) {
        match self {
            Self::North => (1, 0),
            Self::South => (-1, 0),
            Self::East => (0, 1),
            Self::West => (0, -1),
        }
    }

    fn is_along(self, other: Self) -> bool {
        self.step().0.abs() == other.step().0.abs()
    }
}

/// A taped grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    first: (i64, i64),
    /// The farthest row and number.
    last: (i64, i64),
    last_said: bool,
    origin: (i64, i64),
    spacing: i64,
    letters: Way,
    numbers: Way,
    /// Degrees clockwise.
    azimuth: f64,
}

/// Why there is no such grid, or no such name on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffGrid {
    /// Not letters followed by a number.
    Form,
    /// Before the first name.
    Before,
    /// Beyond the last name.
    Beyond,
    /// Letters and numbers run along the same line, or the spacing is not above 0.
    NoGrid,
}

impl Grid {
    /// A grid with its first name at `origin` (northing, easting), spacing in the job's unit.
    ///
    /// # Errors
    /// Where letters and numbers run along one line, the spacing is not above 0, or the first name has no such form.
    pub fn new(first: &str, origin: (i64, i64), spacing: f64, letters: Way, numbers: Way) -> Result<Self, OffGrid> {
        let first = parts(first).ok_or(OffGrid::Form)?;
        let spacing = super::to_micro(spacing);
        if letters.is_along(numbers) || spacing <= 0 || spacing as f64 > 1e6 * MICRO {
            return Err(OffGrid::NoGrid);
        }
        let last = (last_row(first.0), i64::MAX);
        Ok(Self { first, last, last_said: false, origin, spacing, letters, numbers, azimuth: 0.0 })
    }

    /// The same, turned clockwise about its first stake by so many degrees.
    #[must_use]
    pub fn turned(self, azimuth: f64) -> Self {
        Self { azimuth: azimuth.rem_euclid(360.0), ..self }
    }

    /// The same, with its last stake: no name beyond it is on the grid.
    ///
    /// # Errors
    /// Where the name has no such form or lies before the first.
    pub fn up_to(self, last: &str) -> Result<Self, OffGrid> {
        let last = parts(last).ok_or(OffGrid::Form)?;
        if last.0 < self.first.0 || last.1 < self.first.1 {
            return Err(OffGrid::Before);
        }
        Ok(Self { last, last_said: true, ..self })
    }

    /// The same, its rows going on from Z to AA (ZZ to AAA) as far as these names have every row; unchanged where the last stake
    /// was said.
    #[must_use]
    pub fn reaching<'a>(self, names: impl IntoIterator<Item = &'a str>) -> Self {
        if self.last_said {
            return self;
        }
        let rows: HashSet<i64> = names.into_iter().filter_map(|name| Some(parts(name)?.0)).collect();
        let mut last = self.last;
        while rows.contains(&last.0) && rows.contains(&(last.0 + 1)) {
            last.0 += 1;
        }
        Self { last, ..self }
    }

    /// Row and number of a name, counted from the first stake.
    ///
    /// # Errors
    /// Where the name is not of the grid.
    pub fn steps(&self, name: &str) -> Result<(i64, i64), OffGrid> {
        let (letter, number) = parts(name).ok_or(OffGrid::Form)?;
        if letter < self.first.0 || number < self.first.1 {
            return Err(OffGrid::Before);
        }
        if letter > self.last.0 || number > self.last.1 {
            return Err(if self.last_said { OffGrid::Beyond } else { OffGrid::Form });
        }
        Ok((letter - self.first.0, number - self.first.1))
    }

    /// Northing and easting of a name, whole millionths.
    ///
    /// # Errors
    /// Where the name is not of the grid.
    pub fn place(&self, name: &str) -> Result<(i64, i64), OffGrid> {
        let (up, along) = self.steps(name)?;
        let ((un, ue), (an, ae)) = (self.letters.step(), self.numbers.step());
        let (north, east) = (self.spacing * (un * up + an * along), self.spacing * (ue * up + ae * along));
        let (dn, de) = turn((north, east), self.azimuth);
        Ok((self.origin.0 + dn, self.origin.1 + de))
    }

    /// A place as steps of letters and of numbers from the first stake, broken ones between stakes.
    #[must_use]
    pub fn along(&self, (northing, easting): (i64, i64)) -> (f64, f64) {
        let (n, e) = ((northing - self.origin.0) as f64, (easting - self.origin.1) as f64);
        let (sin, cos) = sin_cos(-self.azimuth);
        let (n, e) = (n * cos - e * sin, n * sin + e * cos);
        let steps = |way: Way| {
            let (sn, se) = way.step();
            (n * sn as f64 + e * se as f64) / self.spacing as f64
        };
        (steps(self.letters), steps(self.numbers))
    }
}

/// Exact for whole quarter turns.
fn sin_cos(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}

/// Turned clockwise (northing towards easting), rounded to whole millionths.
fn turn((north, east): (i64, i64), degrees: f64) -> (i64, i64) {
    if degrees == 0.0 {
        return (north, east);
    }
    let (sin, cos) = sin_cos(degrees);
    let (n, e) = (north as f64, east as f64);
    #[expect(clippy::cast_possible_truncation, reason = "spacing times a few thousand steps")]
    let whole = |v: f64| v.round() as i64;
    (whole(n * cos - e * sin), whole(n * sin + e * cos))
}

/// The last row with as many letters as this one.
fn last_row(row: i64) -> i64 {
    let (mut last, mut letters) = (26, 26);
    while last < row {
        letters *= 26;
        last += letters;
    }
    last
}

/// Letters (A is 1, Z 26, AA 27) and number of a name; at most three letters and four digits, which is more than a day of taping.
fn parts(name: &str) -> Option<(i64, i64)> {
    let split = name.find(|c: char| c.is_ascii_digit())?;
    let (letters, digits) = name.split_at(split);
    let plain = letters.bytes().all(|b| b.is_ascii_uppercase()) && digits.bytes().all(|b| b.is_ascii_digit());
    // `B07` and `B7` would be two names for one stake.
    if !plain || letters.is_empty() || letters.len() > 3 || digits.len() > 4 || digits.starts_with('0') {
        return None;
    }
    let letter = letters.bytes().fold(0, |n, b| n * 26 + i64::from(b - b'A') + 1);
    Some((letter, digits.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_a_grid_either_way_round() {
        let grid = Grid::new("A1", (500_000_000, 1_000_000_000), 10.0, Way::North, Way::East);
        let at = |g: &Result<Grid, OffGrid>, n: &str| g.clone().and_then(|g| g.place(n));
        assert_eq!(at(&grid, "A1"), Ok((500_000_000, 1_000_000_000)));
        assert_eq!(at(&grid, "C7"), Ok((520_000_000, 1_060_000_000)));
        assert_eq!(at(&grid, "AA1"), Err(OffGrid::Form));
        assert_eq!(at(&grid, "Z1"), Ok((750_000_000, 1_000_000_000)));
        assert_eq!(at(&Grid::new("AA1", (0, 0), 1.0, Way::North, Way::East), "AC1"), Ok((2_000_000, 0)));
        let other = Grid::new("B3", (0, 0), 2.5, Way::West, Way::South);
        assert_eq!(at(&other, "D5"), Ok((-5_000_000, -5_000_000)));
        assert_eq!(at(&other, "A9"), Err(OffGrid::Before));
        assert_eq!(at(&other, "D1"), Err(OffGrid::Before));
        for name in ["H", "12", "a1", "A1b", "TBM2x", "", "A-1", "AAAA1", "B07", "A0"] {
            assert_eq!(at(&grid, name), Err(OffGrid::Form), "{name}");
        }
    }

    #[test]
    fn rows_go_on_past_z_where_every_row_is_named_or_the_last_is_said() {
        let grid = Grid::new("X1", (0, 0), 1.0, Way::North, Way::East).expect("is a grid");
        let grown = grid.clone().reaching(["X1", "Y4", "Z2", "AA7", "AB1", "TP1"]);
        assert_eq!(grown.place("AB1"), Ok((4_000_000, 0)));
        for name in ["AC1", "TP1"] {
            assert_eq!(grown.place(name), Err(OffGrid::Form), "{name}");
        }
        assert_eq!(grid.clone().reaching(["X1", "AA1"]).place("AA1"), Err(OffGrid::Form));
        let said = grid.clone().up_to("AB7").expect("is a grid").reaching(["Z1", "AA1", "AB1", "AC1"]);
        assert_eq!(said.place("AB7"), Ok((4_000_000, 6_000_000)));
        assert_eq!((said.place("AC1"), said.place("X8")), (Err(OffGrid::Beyond), Err(OffGrid::Beyond)));
        assert_eq!(grid.up_to("W1"), Err(OffGrid::Before));
        assert_eq!((last_row(1), last_row(26), last_row(27), last_row(703)), (26, 26, 702, 18_278));
    }

    #[test]
    fn a_turned_grid_turns_clockwise_about_its_first_stake() {
        let grid = |azimuth| Grid::new("A1", (5, 7), 10.0, Way::North, Way::East).expect("is a grid").turned(azimuth);
        // Letters north: turned by 90 they run east, and numbers south.
        assert_eq!(grid(90.0).place("C1"), Ok((5, 20_000_007)));
        assert_eq!(grid(90.0).place("A3"), Ok((-19_999_995, 7)));
        assert_eq!(grid(-90.0).place("C1"), grid(270.0).place("C1"));
        // 3, 4, 5: atan(3/4) turns 50 north into 40 north and 30 east.
        let azimuth = 0.75_f64.atan().to_degrees();
        assert_eq!(grid(azimuth).place("F1"), Ok((40_000_005, 30_000_007)));
        assert_eq!(grid(azimuth).place("A6"), Ok((-29_999_995, 40_000_007)));
        for name in ["A1", "B7", "Q12"] {
            let turned = grid(33.3);
            let (up, along) = turned.along(turned.place(name).expect("is on it"));
            let steps = turned.steps(name).expect("is on it");
            assert!((up - steps.0 as f64).abs() < 1e-6 && (along - steps.1 as f64).abs() < 1e-6);
        }
    }

    #[test]
    fn a_grid_needs_two_ways_and_a_spacing() {
        for (first, spacing, letters, numbers) in [
            ("A1", 10.0, Way::North, Way::South),
            ("A1", 0.0, Way::North, Way::East),
            ("1A", 10.0, Way::North, Way::East),
        ] {
            assert!(Grid::new(first, (0, 0), spacing, letters, numbers).is_err());
        }
    }
}
