//! Where is a stake that is known by its name alone?
//!
//! A taped grid: letters one way, numbers the other, the first name at the origin.
//! ```text
//!   C1   C2   C3        letters = north, numbers = east, first = A1
//!   B1   B2   B3
//!   A1   A2   A3   <- origin
//! ```
//! A grid whose first name has one letter has the rows A to Z; one of more rows begins at AA, so that TP1 or DR2 is no stake of a
//! far row. Names before the first, and names of another form, are not on the grid.

use super::MICRO;

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
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    first: (i64, i64),
    /// How many letters its names have.
    letters_long: usize,
    origin: (i64, i64),
    spacing: i64,
    letters: Way,
    numbers: Way,
}

/// Why there is no such grid, or no such name on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffGrid {
    /// Not letters followed by a number.
    Form,
    /// Before the first name.
    Before,
    /// Letters and numbers run along the same line, or the spacing is not above 0.
    NoGrid,
}

impl Grid {
    /// A grid with its first name at `origin` (northing, easting), spacing in the job's unit.
    ///
    /// # Errors
    /// Where letters and numbers run along one line, the spacing is not above 0, or the first name has no such form.
    pub fn new(first: &str, origin: (i64, i64), spacing: f64, letters: Way, numbers: Way) -> Result<Self, OffGrid> {
        let letters_long = first.bytes().take_while(u8::is_ascii_alphabetic).count();
        let first = parts(first).ok_or(OffGrid::Form)?;
        let spacing = super::to_micro(spacing);
        if letters.is_along(numbers) || spacing <= 0 || spacing as f64 > 1e6 * MICRO {
            return Err(OffGrid::NoGrid);
        }
        Ok(Self { first, letters_long, origin, spacing, letters, numbers })
    }

    /// Northing and easting of a name, whole millionths.
    ///
    /// # Errors
    /// Where the name is not of the grid.
    pub fn place(&self, name: &str) -> Result<(i64, i64), OffGrid> {
        let (letter, number) = parts(name).ok_or(OffGrid::Form)?;
        if name.bytes().take_while(u8::is_ascii_alphabetic).count() != self.letters_long {
            return Err(OffGrid::Form);
        }
        let (up, along) = (letter - self.first.0, number - self.first.1);
        if up < 0 || along < 0 {
            return Err(OffGrid::Before);
        }
        let ((un, ue), (an, ae)) = (self.letters.step(), self.numbers.step());
        Ok((
            self.origin.0 + self.spacing * (un * up + an * along),
            self.origin.1 + self.spacing * (ue * up + ae * along),
        ))
    }
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
