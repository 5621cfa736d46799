//! Which set-ups, which runs do the rows of a field book make?
//!
//! ```text
//!  row            reading      meaning
//!  BM1            bs           opens set-up 1 on BM1: a run begins
//!  A1             is           a side shot from set-up 1
//!  TP1            fs, bs       closes set-up 1, opens set-up 2 on the same point
//!  BM2            fs           closes set-up 2: the run ends here, or goes on with a backsight on BM2
//! ```
//! A run goes on where the backsight stands on the point just turned on. A new one begins where it stands on another point
//! that is a bench of known height or is turned on anywhere in the notes; on any other it is refused as a misread name. A run
//! ends at every bench of known height that is turned on, for there it closes, and the next may begin on the same row.
//! Rises are whole numbers of the last place booked, from the start of the run. What it does not do: give heights.

use super::notes::{Problem, Sight};
use std::collections::{HashMap, HashSet};

/// A point the level was turned on, the start of the run included.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    /// The point, by its number among the names.
    pub point: usize,
    /// The row of the foresight; of the backsight for the start.
    pub row: usize,
    /// Above the start.
    pub rise: i128,
    /// From the start, in the job's unit; NaN where a distance is not booked.
    pub distance: f64,
}

/// A side shot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Side {
    /// Its row.
    pub row: usize,
    /// Above the start of the run.
    pub rise: i128,
    /// The set-up within the run, from 1: that which ends at `turns[set_up]`.
    pub set_up: usize,
}

/// A run: set-ups in a row, each beginning where the one before ended.
#[derive(Clone, Debug)]
pub(super) struct Run {
    /// The start, then where every set-up ended.
    pub turns: Vec<Turn>,
    pub sides: Vec<Side>,
    /// Sum of backsights.
    pub backs: i128,
    /// Sum of foresights.
    pub fores: i128,
    /// Sums of rises and falls from reading to reading.
    pub rises: i128,
    pub falls: i128,
    /// Whether every height came out the same by height of instrument and by rise and fall.
    pub ways_agree: bool,
    /// Set-ups of the runs before.
    pub before: usize,
}

impl Run {
    pub fn set_ups(&self) -> usize {
        self.turns.len() - 1
    }

    pub fn last(&self) -> &Turn {
        &self.turns[self.turns.len() - 1]
    }

    /// The page check: backsights less foresights, rises less falls and last less first are one number.
    pub fn page_holds(&self) -> bool {
        let whole = self.last().rise;
        self.ways_agree && self.backs - self.fores == whole && self.rises - self.falls == whole
    }
}

/// The points of the notes by name, each with a number.
#[derive(Debug, Default)]
pub(super) struct Points<'a> {
    pub names: Vec<&'a str>,
    numbers: HashMap<&'a str, usize>,
}

impl<'a> Points<'a> {
    fn number(&mut self, name: &'a str) -> usize {
        *self.numbers.entry(name).or_insert_with(|| {
            self.names.push(name);
            self.names.len() - 1
        })
    }
}

/// A set-up under way.
struct Open {
    /// The row of its backsight.
    row: usize,
    /// Height of the line of sight above the start of the run, by the method of the height of instrument.
    line: i128,
    /// Height by the method of rise and fall, and the reading it was found with.
    height: i128,
    reading: i128,
}

/// Follows the rows; every row at which they cannot be followed is a problem.
pub(super) fn follow<'a>(
    rows: &'a [Sight],
    known: &impl Fn(&str) -> bool,
    problems: &mut Vec<Problem>,
) -> (Vec<Run>, Points<'a>) {
    let turned_on: HashSet<&str> = rows.iter().filter(|r| r.fore.is_some()).map(|r| r.point.as_str()).collect();
    let mut book = Book { rows, points: Points::default(), runs: Vec::new(), open: None, resting: None, problems };
    for (row, r) in rows.iter().enumerate() {
        if !book.is_whole(row) {
            continue;
        }
        if let Some(reading) = r.side {
            book.side(row, i128::from(reading));
        }
        if let Some(reading) = r.fore {
            book.fore(row, i128::from(reading));
        }
        if let Some(reading) = r.back {
            book.back(row, i128::from(reading), known, &turned_on);
        }
    }
    if let Some(open) = &book.open {
        let problem = Problem::at(
            rows.len() - 1,
            "a set-up left open",
            "a foresight at the end",
            "close on a bench, or take out the backsight of a set-up nothing was shot from",
        );
        let backsight = open.row;
        book.problems.push(if backsight < rows.len() - 1 { problem.and(backsight, "its backsight") } else { problem });
    }
    (book.runs, book.points)
}

struct Book<'a, 'p> {
    rows: &'a [Sight],
    points: Points<'a>,
    runs: Vec<Run>,
    open: Option<Open>,
    /// The row of the last foresight, while no set-up is open.
    resting: Option<usize>,
    problems: &'p mut Vec<Problem>,
}

impl Book<'_, '_> {
    /// Whether the row has readings that go together.
    fn is_whole(&mut self, row: usize) -> bool {
        let r = &self.rows[row];
        if r.back.is_none() && r.side.is_none() && r.fore.is_none() {
            let found = format!("no reading on `{}`", r.point);
            self.problems.push(Problem::at(row, found, "a bs, is or fs", "fill in what was read, or remove the row"));
            return false;
        }
        if r.side.is_some() && (r.fore.is_some() || r.back.is_some()) {
            let found = format!("an intermediate sight and another on `{}` in one row", r.point);
            self.problems.push(Problem::at(
                row,
                found,
                "is alone, or fs and bs on a turning point",
                "book the two in rows of their own",
            ));
            return false;
        }
        true
    }

    fn closed(&mut self, row: usize) {
        let found = format!("a sight on `{}` with no set-up before it", self.rows[row].point);
        let problem = Problem::at(row, found, "a backsight first", "book the backsight of this set-up");
        self.problems.push(match self.resting {
            Some(fore) => problem.and(fore, "the set-up before ended here"),
            None => problem,
        });
    }

    /// The next reading of the open set-up, worked by height of instrument and by rise and fall: how high its point is.
    fn read(&mut self, reading: i128) -> Option<i128> {
        let open = self.open.as_mut()?;
        let run = self.runs.last_mut()?;
        let step = open.reading - reading;
        *(if step > 0 { &mut run.rises } else { &mut run.falls }) += step.abs();
        open.height += step;
        open.reading = reading;
        run.ways_agree &= open.line - reading == open.height;
        Some(open.line - reading)
    }

    fn side(&mut self, row: usize, reading: i128) {
        let Some(rise) = self.read(reading) else { return self.closed(row) };
        if let Some(run) = self.runs.last_mut() {
            run.sides.push(Side { row, rise, set_up: run.turns.len() });
        }
    }

    fn fore(&mut self, row: usize, reading: i128) {
        let Some(rise) = self.read(reading) else { return self.closed(row) };
        let point = self.points.number(&self.rows[row].point);
        if let Some(run) = self.runs.last_mut() {
            run.fores += reading;
            let distance = run.last().distance + self.rows[row].distance.unwrap_or(f64::NAN);
            run.turns.push(Turn { point, row, rise, distance });
        }
        self.open = None;
        self.resting = Some(row);
    }

    fn back(&mut self, row: usize, reading: i128, known: &impl Fn(&str) -> bool, turned_on: &HashSet<&str>) {
        let name = self.rows[row].point.as_str();
        let mut begins = self.runs.is_empty();
        if let Some(open) = &self.open {
            let found = format!("a second backsight on `{name}` with no foresight between");
            let problem = Problem::at(
                row,
                found,
                "a foresight before the level is moved",
                "book the foresight on the turning point; if the last sight on it stands in column is, move it to fs",
            );
            self.problems.push(problem.and(open.row, "the backsight that is still open"));
        } else if let Some(fore) = self.resting {
            let turned = self.rows[fore].point.as_str();
            if turned != name && !known(name) && !turned_on.contains(name) {
                let found = format!("a backsight on `{name}` after a foresight on `{turned}`");
                let problem = Problem::at(
                    row,
                    found,
                    "a backsight on the point turned on, or on a point with a height to begin a run",
                    "check the names of the two rows",
                );
                self.problems.push(problem.and(fore, "the foresight"));
            } else {
                begins = turned != name || known(name);
            }
        }
        if begins {
            let point = self.points.number(&self.rows[row].point);
            let start = Turn { point, row, rise: 0, distance: 0.0 };
            let before = self.runs.iter().map(Run::set_ups).sum();
            self.runs.push(Run {
                turns: vec![start],
                sides: vec![],
                backs: 0,
                fores: 0,
                rises: 0,
                falls: 0,
                ways_agree: true,
                before,
            });
        }
        let Some(run) = self.runs.last_mut() else { return };
        run.backs += reading;
        let height = run.last().rise;
        self.open = Some(Open { row, line: height + reading, height, reading });
    }
}
