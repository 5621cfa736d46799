//! What is wrong, and where in the job?
//!
//! Three degrees: a [`Caution`] is said and changes nothing; a [`Check`] of the design passes or fails
//! (a failed one is a finding); a [`Refusal`] stops the work, because the input does not say enough or says two things.
//! None of them knows a file: the reader turns a [`Subject`] into a place in one.

use std::fmt;

/// A place in the job.
#[derive(Clone, Debug, PartialEq)]
pub enum Subject {
    /// The job as a whole.
    Job,
    /// One of the surveys: `existing`, `proposed`, `before`, `after`, `limit`.
    Table(String),
    /// A row of a survey, counted from 0 as read.
    Row(String, usize),
    /// A breakline of a survey, by the survey and its own name.
    Line(String, String),
    /// A stake by its name.
    Stake(String),
    /// An area by its name.
    Area(String),
    /// A corner of an area's outline: its name, the ring, the corner, counted from 0.
    Corner(String, usize, usize),
    /// Something else of the job file by its kind and name: `keep_off oak`, `fixed main door`.
    Item(&'static str, String),
    /// An outlet by its name or place.
    Outlet(String),
    /// A place on the site: northing, easting, in the job's unit.
    Place(f64, f64),
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Job => f.write_str("job"),
            Self::Table(name) => write!(f, "{name} shots"),
            Self::Row(name, row) => write!(f, "{name} shots, row {}", row + 1),
            Self::Line(name, line) => write!(f, "{name} breakline {line}"),
            Self::Stake(name) => write!(f, "stake {name}"),
            Self::Area(name) => f.write_str(name),
            Self::Corner(name, 0, corner) => write!(f, "{name}, corner {}", corner + 1),
            Self::Corner(name, ring, corner) => write!(f, "{name}, hole {ring}, corner {}", corner + 1),
            Self::Item(_, name) => f.write_str(name),
            Self::Outlet(name) => write!(f, "outlet {name}"),
            Self::Place(n, e) => write!(f, "N {n:.2}, E {e:.2}"),
        }
    }
}

/// Said to the person, with the place, what was found and what was assumed. Changes no number and no exit code.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// Where.
    pub subject: Subject,
    /// One or two sentences.
    pub text: String,
}

impl Caution {
    /// A caution about `subject`.
    pub fn new(subject: Subject, text: impl Into<String>) -> Self {
        Self { subject, text: text.into() }
    }
}

/// The input cannot be used. Nothing is computed and nothing written.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// Where.
    pub subject: Subject,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What to do.
    pub help: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: found {}; expected {}; {}", self.subject, self.found, self.expected, self.help)
    }
}

/// What a check compares with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// Not below.
    Least(f64),
    /// Not above.
    Most(f64),
    /// Neither below the first nor above the second.
    Between(f64, f64),
    /// A yes or no question that must be answered yes.
    Must,
}

/// What kind of number a check compares, for whoever prints it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Rise over run.
    Slope,
    /// In the job's unit.
    Length,
    /// In square job units.
    Area,
    /// A number of things.
    Count,
}

/// A rule held against the design.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// The rule's short name.
    pub rule: &'static str,
    /// Where it was checked.
    pub subject: Subject,
    /// What was found.
    pub found: f64,
    /// What kind of number that is, and the limit.
    pub measure: Measure,
    /// What is asked.
    pub limit: Limit,
    /// Whether it holds, with the tie rule.
    pub pass: bool,
    /// Where the rule comes from.
    pub source: String,
    /// A sentence for the person who has to mend it; may be empty.
    pub note: String,
}
