//! How are misclosures shared out when runs make more than one loop?
//!
//! ```text
//!   BM1 ──3── J ──2── BM2      lines between benches and points where runs meet, with their set-ups;
//!             │                inside a line a misclosure is shared out in proportion
//!             4
//!             │
//!             K ──1── (spur)   on a spur nothing is shared out: it hangs on J's line
//! ```
//! Weighted least squares on the lines: observation = rise of the line, weight 1/set-ups or 1/distance, unknowns = heights of
//! the points where runs meet and of loose ends. Normal equations A'PA x = A'Pl solved by Cholesky for corrections to the booked
//! heights. The standard deviation of unit weight is s0² = v'Pv / (lines - unknowns), that of a height s0 √q; for a point a share
//! t along a line of amount a, from heights i to j, q = (1-t)² q_ii + 2 t (1-t) q_ij + t² q_jj + t (1-t) a (*derived*: the part of
//! the line up to the point less t times the line is uncorrelated with the line). Lines inside runs are equal to adjusting every
//! set-up by itself, since set-ups between two meeting points stand in a row.
//! Source: Ghilani, Adjustment Computations, differential leveling networks (from memory); `tests/reference/levels.py` does the
//! same set-up by set-up. A single loop or link has no unknown and is the proportional rule to the last bit.
//!
//! Misclosures: each line that reaches a point which already has a height closes a loop; its length is counted round the tree
//! of the lines before it, all benches of known height being one point. Sign: observed less known, or less first found.

use super::follow::Run;
use super::notes::{Closing, Problem, Rule};
use super::reduce::Start;
use crate::units::Elevation;
use nalgebra::{DMatrix, DVector};
use std::collections::HashMap;

/// Beyond this many unknown heights a dense solution takes minutes; a week of levelling has fewer.
const MOST_UNKNOWN: usize = 2_000;

/// What the lines were made to fit.
#[derive(Debug)]
pub(super) struct Adjustment {
    /// Booked height each run starts on.
    pub starts: Vec<Elevation>,
    /// By run and turn: what to add to the booked height.
    pub corrections: Vec<Vec<f64>>,
    /// By run and turn: one sigma of the adjusted height.
    pub sigmas: Vec<Vec<Option<f64>>>,
    /// Whether every line of the run is in a loop or between benches.
    pub is_proved: Vec<bool>,
    pub closures: Vec<Closed>,
    pub lines: Vec<Fitted>,
    /// Standard deviation of unit weight.
    pub spread: Option<f64>,
}

/// A loop or link that closes.
#[derive(Debug)]
pub(super) struct Closed {
    pub from: usize,
    pub to: usize,
    pub row: usize,
    pub set_ups: usize,
    pub distance: f64,
    pub misclosure: f64,
}

/// A line as fitted.
#[derive(Debug)]
pub(super) struct Fitted {
    pub from: usize,
    pub to: usize,
    pub set_ups: usize,
    pub rise: i128,
    pub residual: f64,
}

/// A line from one meeting point to the next.
struct Line {
    run: usize,
    /// Turns of the run it goes from and to.
    from: usize,
    to: usize,
    /// The points there.
    ends: [usize; 2],
    rise: i128,
    distance: f64,
    /// What its weight is one over.
    amount: f64,
}

impl Line {
    fn set_ups(&self) -> usize {
        self.to - self.from
    }
}

/// Shares the misclosures out. `starts` has every run, each behind those it begins on.
///
/// # Errors
/// More unknown heights than can be solved for, or distances so unlike that they cannot be weighed together.
pub(super) fn adjust(
    runs: &[Run],
    starts: &[Start],
    known: &[Option<Elevation>],
    rule: Rule,
) -> Result<Adjustment, Vec<Problem>> {
    let net = Net { lines: lines(runs, starts, known, rule.closing), known, places: rule.places };
    let walk = net.walk(runs);
    let refused = |found: String, help| vec![Problem::at(0, found, "level notes that can be adjusted as one", help)];
    if walk.unknowns.len() > MOST_UNKNOWN {
        let found = format!("{} points without a known height where runs meet or end", walk.unknowns.len());
        return Err(refused(found, "part the notes into tables with benches between them"));
    }
    let solved =
        if walk.closures.is_empty() { Some(Solved::nothing(&walk, net.lines.len())) } else { net.solve(&walk) };
    let Some(solved) = solved else {
        return Err(refused("distances too unlike to be weighed together".to_owned(), "check the distances booked"));
    };
    let mut out = Adjustment {
        starts: vec![Elevation::in_job_units(0.0); runs.len()],
        corrections: runs.iter().map(|run| vec![0.0; run.turns.len()]).collect(),
        sigmas: runs.iter().map(|run| vec![None; run.turns.len()]).collect(),
        is_proved: vec![true; runs.len()],
        closures: walk.closures,
        lines: Vec::new(),
        spread: solved.spread,
    };
    for &(r, start) in starts {
        out.starts[r] = start;
    }
    for (l, line) in net.lines.iter().enumerate() {
        let run = &runs[line.run];
        out.is_proved[line.run] &= walk.in_loop[l];
        let residual = solved.residuals[l];
        out.lines.push(Fitted {
            from: line.ends[0],
            to: line.ends[1],
            set_ups: line.set_ups(),
            rise: line.rise,
            residual,
        });
        // The run's own booked height at the start of the line may carry misclosure already.
        let base = if line.from == 0 {
            solved.corrections.get(&line.ends[0]).copied().unwrap_or(0.0)
                + (walk.heights[&line.ends[0]] - out.starts[line.run].job_units())
        } else {
            out.corrections[line.run][line.from]
        };
        out.corrections[line.run][line.from] = base;
        for k in line.from..=line.to {
            let along = match rule.closing {
                Closing::SetUps => (k - line.from) as f64 / line.set_ups() as f64,
                Closing::Distance(_) => (run.turns[k].distance - run.turns[line.from].distance) / line.distance,
            };
            if k > line.from {
                out.corrections[line.run][k] = base + residual * along;
            }
            let q = solved.cofactor(line.ends, along) + along * (1.0 - along) * line.amount;
            out.sigmas[line.run][k] = solved.spread.map(|s0| s0 * q.max(0.0).sqrt());
        }
    }
    Ok(out)
}

/// Runs cut at benches of known height, at their ends, and at every point that is met more than once.
fn lines(runs: &[Run], starts: &[Start], known: &[Option<Elevation>], closing: Closing) -> Vec<Line> {
    let mut met = vec![0_usize; known.len()];
    for run in runs {
        for turn in &run.turns {
            met[turn.point] += 1;
        }
    }
    let mut out = Vec::new();
    for &(r, _) in starts {
        let turns = &runs[r].turns;
        let mut from = 0;
        for to in 1..turns.len() {
            let is_end = to + 1 == turns.len();
            if !is_end && met[turns[to].point] < 2 && known[turns[to].point].is_none() {
                continue;
            }
            let distance = turns[to].distance - turns[from].distance;
            let amount = match closing {
                Closing::SetUps => (to - from) as f64,
                Closing::Distance(per) => distance / per,
            };
            let ends = [turns[from].point, turns[to].point];
            out.push(Line { run: r, from, to, ends, rise: turns[to].rise - turns[from].rise, distance, amount });
            from = to;
        }
    }
    out
}

struct Net<'a> {
    lines: Vec<Line>,
    known: &'a [Option<Elevation>],
    places: f64,
}

/// What one walk over the lines in their order finds.
struct Walk {
    /// Height of every point at the end of a line: known, or first found.
    heights: HashMap<usize, f64>,
    /// Points whose heights are to be found, and which unknown each is.
    unknowns: HashMap<usize, usize>,
    closures: Vec<Closed>,
    /// Whether each line is in a loop.
    in_loop: Vec<bool>,
}

impl Net<'_> {
    fn rise(&self, line: &Line) -> f64 {
        line.rise as f64 / self.places
    }

    fn walk(&self, runs: &[Run]) -> Walk {
        let mut walk = Walk {
            heights: HashMap::new(),
            unknowns: HashMap::new(),
            closures: Vec::new(),
            in_loop: vec![false; self.lines.len()],
        };
        // The line by which each unknown point was first reached, and how many lines from a bench it is.
        let mut reached: HashMap<usize, (usize, usize)> = HashMap::new();
        for (l, line) in self.lines.iter().enumerate() {
            let [a, b] = line.ends;
            for end in line.ends {
                if let Some(z) = self.known[end] {
                    walk.heights.insert(end, z.job_units());
                }
            }
            let observed = walk.heights[&a] + self.rise(line);
            let Some(&height) = walk.heights.get(&b) else {
                walk.heights.insert(b, observed);
                walk.unknowns.insert(b, walk.unknowns.len());
                let depth = reached.get(&a).map_or(0, |&(_, depth)| depth);
                reached.insert(b, (l, depth + 1));
                continue;
            };
            // Round the tree: from both ends up to where the ways meet. Known benches are one point.
            let (mut ends, mut round) = ([a, b], vec![l]);
            while ends[0] != ends[1] {
                let depth = ends.map(|end| reached.get(&end).map_or(0, |&(_, depth)| depth));
                let deeper = usize::from(depth[1] > depth[0]);
                let Some(&(up, _)) = reached.get(&ends[deeper]) else { break };
                round.push(up);
                ends[deeper] = self.lines[up].ends[0];
            }
            for &l in &round {
                walk.in_loop[l] = true;
            }
            walk.closures.push(Closed {
                from: a,
                to: b,
                row: runs[line.run].turns[line.to].row,
                set_ups: round.iter().map(|&l| self.lines[l].set_ups()).sum(),
                distance: round.iter().map(|&l| self.lines[l].distance).sum(),
                misclosure: observed - height,
            });
        }
        walk
    }

    fn solve(&self, walk: &Walk) -> Option<Solved> {
        let size = walk.unknowns.len();
        let mut normal = DMatrix::<f64>::zeros(size, size);
        let mut right = DVector::<f64>::zeros(size);
        let off: Vec<f64> = self
            .lines
            .iter()
            .map(|line| self.rise(line) - (walk.heights[&line.ends[1]] - walk.heights[&line.ends[0]]))
            .collect();
        for (line, l) in self.lines.iter().zip(&off) {
            let weight = 1.0 / line.amount;
            let [a, b] = line.ends.map(|end| walk.unknowns.get(&end).copied());
            for (end, sign) in [(a, -1.0), (b, 1.0)] {
                if let Some(i) = end {
                    normal[(i, i)] += weight;
                    right[i] += sign * weight * l;
                }
            }
            if let (Some(i), Some(j)) = (a, b) {
                // A loop on one unknown says nothing of its height: the two diagonal terms must go again.
                normal[(i, j)] -= weight;
                normal[(j, i)] -= weight;
            }
        }
        let (x, inverse) = if size == 0 {
            (right, normal)
        } else {
            let cholesky = normal.cholesky()?;
            (cholesky.solve(&right), cholesky.inverse())
        };
        if x.iter().chain(inverse.iter()).any(|v| !v.is_finite()) {
            return None;
        }
        let at = |end: usize| walk.unknowns.get(&end).map_or(0.0, |&i| x[i]);
        let residuals: Vec<f64> =
            self.lines.iter().zip(&off).map(|(line, l)| at(line.ends[1]) - at(line.ends[0]) - l).collect();
        let sum: f64 = self.lines.iter().zip(&residuals).map(|(line, v)| v * v / line.amount).sum();
        let spread = Some((sum / (self.lines.len() - size) as f64).sqrt());
        let corrections = walk.unknowns.keys().map(|&p| (p, at(p))).collect();
        Some(Solved { corrections, residuals, spread, unknowns: walk.unknowns.clone(), inverse })
    }
}

struct Solved {
    /// By point: what to add to the height first found.
    corrections: HashMap<usize, f64>,
    residuals: Vec<f64>,
    spread: Option<f64>,
    unknowns: HashMap<usize, usize>,
    /// Inverse of the normal equations.
    inverse: DMatrix<f64>,
}

impl Solved {
    /// Where nothing closes, nothing is to be shared out.
    fn nothing(walk: &Walk, lines: usize) -> Self {
        Self {
            corrections: HashMap::new(),
            residuals: vec![0.0; lines],
            spread: None,
            unknowns: walk.unknowns.clone(),
            inverse: DMatrix::zeros(0, 0),
        }
    }

    /// Cofactor of the height a share `t` of the way between two ends, of what the ends' own heights bring.
    fn cofactor(&self, ends: [usize; 2], t: f64) -> f64 {
        if self.inverse.is_empty() {
            return 0.0;
        }
        let [a, b] = ends.map(|end| self.unknowns.get(&end).copied());
        let q = |i: Option<usize>, j: Option<usize>| match (i, j) {
            (Some(i), Some(j)) => self.inverse[(i, j)],
            _ => 0.0,
        };
        (1.0 - t) * (1.0 - t) * q(a, a) + 2.0 * t * (1.0 - t) * q(a, b) + t * t * q(b, b)
    }
}
