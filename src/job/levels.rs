//! What came out of the level notes: heights, page check, how they close?
//!
//! All in the job's unit, unrounded. misclosure = observed less known; a correction is added to the booked height. Several loops
//! or links: `misclosure` and `allowed` are those of the one that is worst for what it is allowed, all stand in `closures`.

use super::outcome::{Outcome, as_map};
use super::{SurveyOut, check_out, site_checks, units_out};
use crate::finding::Check;
use crate::level::{Closing, Reduced, Rods, RunKind};
use crate::units::{Elevation, Length, LengthUnit, fixed};
use serde::Serialize;
use std::collections::HashMap;

/// Level notes as booked and as reduced.
#[derive(Clone, Debug)]
pub struct LevelNotes {
    /// What they were reduced to.
    pub reduced: Reduced,
    /// The rows as typed.
    pub book: Vec<BookRow>,
    /// How the rods are divided.
    pub rods: Rods,
    /// By what misclosures are judged and shared out.
    pub closing: Closing,
    /// What is allowed for one set-up, mile or kilometre.
    pub allowed_each: Length,
    /// Whether that was said, else it is common practice.
    pub allowed_said: bool,
    /// Decimals to print heights with: the most that were booked, two to four.
    pub decimals: usize,
    /// Benches of known height that runs begin on.
    pub benches: Vec<(String, Elevation)>,
}

impl LevelNotes {
    /// What was assumed because it was not said.
    #[must_use]
    pub fn assumed(&self, unit: LengthUnit, rods_said: bool, closing_said: bool) -> Vec<String> {
        let mut out = Vec::new();
        if !rods_said {
            out.push(format!("rods in {}", self.rods.word()));
        }
        if !closing_said {
            out.push("misclosures judged and shared out by set-ups".to_owned());
        }
        if !self.allowed_said {
            let each = fixed(self.allowed_each.job_units(), 3);
            out.push(format!("misclosure allowed: {each} {} times the root of the {}", unit.length(), self.root(unit)));
        }
        out
    }

    /// What the allowance is multiplied by the root of.
    pub(super) fn root(&self, unit: LengthUnit) -> &'static str {
        match (self.closing, unit) {
            (Closing::SetUps, _) => "set-ups",
            (Closing::Distance(_), LengthUnit::Metre) => "kilometres levelled",
            (Closing::Distance(_), _) => "miles levelled",
        }
    }
}

/// A row of the field book, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BookRow {
    /// The point.
    pub point: String,
    /// Backsight.
    pub back: String,
    /// Intermediate sight.
    pub side: String,
    /// Foresight.
    pub fore: String,
    /// Note.
    pub note: String,
}

/// Level notes, reduced.
#[derive(Clone, Debug, Default, Serialize)]
pub struct NotesOut {
    /// Every point in field-book order.
    pub points: Vec<PointOut>,
    /// Set-ups of the instrument.
    pub setups: usize,
    /// Observed less known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub misclosure: Option<f64>,
    /// Most it may be.
    pub allowed: f64,
    /// Whether every loop and link is within what it is allowed.
    pub closes: bool,
    /// `set-ups` or `distance`: by what misclosures are judged and shared out.
    pub closing: &'static str,
    /// How the rods are divided: `tenths`, `inches` or `metres`.
    pub rods: &'static str,
    /// Sum of all backsights.
    pub sum_bs: f64,
    /// Sum of all foresights.
    pub sum_fs: f64,
    /// Standard deviation of one set-up, or of one mile or kilometre, found from how the notes close.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
    /// The runs and their page checks.
    pub runs: Vec<RunOut>,
    /// Every loop and link that closes.
    pub closures: Vec<ClosureOut>,
    /// What the adjustment added to each line between points where runs meet.
    pub residuals: Vec<ResidualOut>,
    /// Check shots: second less first, adjusted.
    #[serde(serialize_with = "as_map")]
    pub check_shots: Vec<(String, f64)>,
    /// The page of the field book; not part of the JSON.
    #[serde(skip)]
    pub book: Vec<BookLine>,
    /// Decimals to print heights with.
    #[serde(skip)]
    pub decimals: usize,
}

/// A point of the notes.
#[derive(Clone, Debug, Default, Serialize)]
pub struct PointOut {
    /// Its name.
    pub name: String,
    /// As booked.
    pub booked: f64,
    /// Added to it.
    pub correction: f64,
    /// Used.
    pub adjusted: f64,
    /// Set-up it was shot from.
    pub setup: usize,
    /// One sigma of the adjusted height, for points turned on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard_error: Option<f64>,
}

/// A run.
#[derive(Clone, Debug, Serialize)]
pub struct RunOut {
    /// Where it begins.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// `loop`, `link` or `spur`.
    pub kind: &'static str,
    /// Its set-ups.
    pub setups: usize,
    /// How far it goes, if every distance is booked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub distance: Option<f64>,
    /// Sum of its backsights.
    pub sum_bs: f64,
    /// Sum of its foresights.
    pub sum_fs: f64,
    /// Sum of rises from reading to reading.
    pub sum_rise: f64,
    /// Sum of falls.
    pub sum_fall: f64,
    /// Last less first height, as booked.
    pub rise: f64,
    /// Whether the page check holds, by both methods and to the last digit.
    pub page_check: bool,
}

/// A loop or link that closes.
#[derive(Clone, Debug, Serialize)]
pub struct ClosureOut {
    /// Where it is closed from.
    pub from: String,
    /// Where it closes.
    pub to: String,
    /// Set-ups round it.
    pub setups: usize,
    /// Distance round it, if every distance is booked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub distance: Option<f64>,
    /// Observed less known.
    pub misclosure: f64,
    /// Most it may be.
    pub allowed: f64,
    /// Whether it is within that.
    pub closes: bool,
}

/// A line of the net.
#[derive(Clone, Debug, Serialize)]
pub struct ResidualOut {
    /// Where it begins.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Its set-ups.
    pub setups: usize,
    /// Rise as observed.
    pub observed: f64,
    /// Adjusted rise less observed.
    pub residual: f64,
}

/// A line of the field book with what was worked out for it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BookLine {
    /// As typed.
    pub typed: BookRow,
    /// Height of instrument, beside a backsight.
    pub instrument: Option<f64>,
    /// Height as booked: of the bench a run begins on, of every other point as shot.
    pub booked: Option<f64>,
    /// Height to use.
    pub adjusted: Option<f64>,
}

/// The notes alone, as an outcome. A misclosure beyond what is allowed is a failed check.
#[must_use]
pub fn level_notes(levels: &LevelNotes, unit: LengthUnit) -> Outcome {
    let mut checks = Vec::new();
    let survey = survey_out(levels, unit, &mut checks);
    let checks = checks.iter().map(|c| check_out(c, unit)).collect();
    Outcome {
        units: units_out(unit),
        survey: Some(SurveyOut { notes: Some(survey), ..SurveyOut::default() }),
        checks,
        ..Outcome::default()
    }
}

pub(super) fn survey_out(levels: &LevelNotes, unit: LengthUnit, checks: &mut Vec<Check>) -> NotesOut {
    let reduced = &levels.reduced;
    checks.extend(site_checks::misclosures(levels, unit));
    let sum = |of: fn(&crate::level::RunSums) -> Length| {
        reduced.runs.iter().fold(Length::ZERO, |sum, run| sum + of(run)).job_units()
    };
    NotesOut {
        points: reduced
            .points
            .iter()
            .map(|p| PointOut {
                name: p.name.clone(),
                booked: p.booked.job_units(),
                correction: p.correction.job_units(),
                adjusted: p.adjusted.job_units(),
                setup: p.set_up,
                standard_error: p.standard_error.map(Length::job_units),
            })
            .collect(),
        setups: reduced.set_ups,
        misclosure: reduced.misclosure.map(Length::job_units),
        allowed: reduced.allowed.job_units(),
        closes: reduced.closes(),
        closing: if levels.closing == Closing::SetUps { "set-ups" } else { "distance" },
        rods: levels.rods.word(),
        sum_bs: sum(|run| run.backs),
        sum_fs: sum(|run| run.fores),
        spread: reduced.spread.map(Length::job_units),
        runs: runs(reduced),
        closures: reduced
            .closures
            .iter()
            .map(|c| ClosureOut {
                from: c.from.clone(),
                to: c.to.clone(),
                setups: c.set_ups,
                distance: c.distance,
                misclosure: c.misclosure.job_units(),
                allowed: c.allowed.job_units(),
                closes: c.holds(),
            })
            .collect(),
        residuals: reduced
            .lines
            .iter()
            .map(|l| ResidualOut {
                from: l.from.clone(),
                to: l.to.clone(),
                setups: l.set_ups,
                observed: l.observed.job_units(),
                residual: l.residual.job_units(),
            })
            .collect(),
        check_shots: reduced.checks.iter().map(|(name, d)| (name.clone(), d.job_units())).collect(),
        book: book(levels),
        decimals: levels.decimals,
    }
}

fn runs(reduced: &Reduced) -> Vec<RunOut> {
    let run = |run: &crate::level::RunSums| RunOut {
        from: run.from.clone(),
        to: run.to.clone(),
        kind: match run.kind {
            RunKind::Loop => "loop",
            RunKind::Link => "link",
            RunKind::Spur => "spur",
        },
        setups: run.set_ups,
        distance: run.distance,
        sum_bs: run.backs.job_units(),
        sum_fs: run.fores.job_units(),
        sum_rise: run.rises.job_units(),
        sum_fall: run.falls.job_units(),
        rise: run.rise.job_units(),
        page_check: run.page_holds,
    };
    reduced.runs.iter().map(run).collect()
}

/// The rows again, each with what was worked out for it.
fn book(levels: &LevelNotes) -> Vec<BookLine> {
    let reduced = &levels.reduced;
    let mut lines: Vec<BookLine> =
        levels.book.iter().map(|typed| BookLine { typed: typed.clone(), ..BookLine::default() }).collect();
    for (row, up) in &reduced.sights {
        if let Some(line) = lines.get_mut(*row) {
            line.instrument = Some(up.job_units());
        }
    }
    for p in reduced.points.iter().chain(&reduced.compared) {
        if let Some(line) = lines.get_mut(p.row) {
            line.booked = Some(p.booked.job_units());
            line.adjusted = Some(p.adjusted.job_units());
        }
    }
    // A run that begins on a bench begins on its height, and one on another point on that point's own.
    let known: HashMap<&str, f64> = levels.benches.iter().map(|(name, up)| (name.as_str(), up.job_units())).collect();
    for run in &reduced.runs {
        if let Some(line) = lines.get_mut(run.row).filter(|line| line.booked.is_none()) {
            let found = || reduced.points.iter().find(|p| p.name == run.from);
            line.booked = known.get(run.from.as_str()).copied().or_else(|| found().map(|p| p.booked.job_units()));
            line.adjusted = known.get(run.from.as_str()).copied().or_else(|| found().map(|p| p.adjusted.job_units()));
        }
    }
    lines
}
