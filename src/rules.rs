//! What is a slope held against, and by whom?
//!
//! One line a rule: its key in the job file, its name in a check, the limit where nothing else is said, and where that limit comes
//! from. A job may say its own; then the job file is the source. Slopes are rise over run, lengths in inches here and in the job's unit
//! when asked for. Local codes decide; these are the usual starting point.

use crate::units::{Length, LengthUnit};

/// Standing cautions of a dig, printed with every stake list (common practice; local codes and licensed practice decide).
pub const SAFETY: [&str; 5] = [
    "Before digging: have the utilities located and wait for the marks. A mark shows a line, not a depth; private lines are not marked. Hand dig beside marks.",
    "Cut is measured from the ground at the stake, not from the top of the stake.",
    "A cut of 5 ft (1.5 m) or more, or any in loose or wet ground, needs protected sides and a competent person; nobody enters one that has none. Local codes decide.",
    "Do not dig below or beside a footing or a wall without a licensed designer. Send no water onto a neighbour.",
    "This is a grading aid on an assumed datum: no boundary survey, no structural or geotechnical design. Void if a bench or stake was disturbed.",
];

/// A rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "each is told by its line in the table")]
pub enum Id {
    PavingLeast,
    ByBuilding,
    GroundByBuilding,
    AccessibleMost,
    WalkRun,
    RampRun,
    RampCross,
    RampRise,
    LandingLength,
    StripLeast,
    LawnLeast,
    LawnMost,
    BedLeast,
    BedMost,
    SubgradeLeast,
}

/// Which side of the limit is right, and what it measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// A slope not below.
    LeastSlope(f64),
    /// A slope not above.
    MostSlope(f64),
    /// A length not below, inches.
    LeastLength(f64),
    /// A length not above, inches.
    MostLength(f64),
}

/// A line of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Which.
    pub id: Id,
    /// Its key under `[rules]`.
    pub key: &'static str,
    /// Its name in a check.
    pub name: &'static str,
    /// The usual limit.
    pub bound: Bound,
    /// Where that comes from.
    pub source: &'static str,
}

const fn rule(id: Id, key: &'static str, name: &'static str, bound: Bound, source: &'static str) -> Rule {
    Rule { id, key, name, bound, source }
}

use Bound::{LeastLength, LeastSlope, MostLength, MostSlope};

/// Every rule.
pub const RULES: [Rule; 15] = [
    rule(
        Id::PavingLeast,
        "paving",
        "least fall",
        LeastSlope(0.01),
        "1 % for smooth paving, common practice, no source",
    ),
    rule(
        Id::ByBuilding,
        "by_building",
        "hard surface by a building falls 2 %",
        LeastSlope(0.02),
        "IRC R401.3, impervious surface within 10 ft",
    ),
    rule(
        Id::GroundByBuilding,
        "ground_by_building",
        "ground by a building falls 5 %",
        LeastSlope(0.05),
        "IRC R401.3, 6 in within the first 10 ft",
    ),
    rule(
        Id::AccessibleMost,
        "accessible",
        "accessible surface, greatest slope",
        MostSlope(1.0 / 48.0),
        "2010 ADA Standards 403.3, 405.7 and 502.4, from memory",
    ),
    rule(
        Id::WalkRun,
        "walk_run",
        "accessible walk, run",
        MostSlope(0.05),
        "2010 ADA Standards 403.3, 1:20, from memory",
    ),
    rule(Id::RampRun, "ramp_run", "ramp run", MostSlope(1.0 / 12.0), "2010 ADA Standards 405.2, 1:12, from memory"),
    rule(Id::RampCross, "ramp_cross", "ramp cross slope", MostSlope(1.0 / 48.0), "2010 ADA Standards 405.3, 1:48"),
    rule(
        Id::RampRise,
        "ramp_rise",
        "ramp rise",
        MostLength(30.0),
        "2010 ADA Standards 405.6, 30 in a run, from memory",
    ),
    rule(
        Id::LandingLength,
        "landing",
        "landing length",
        LeastLength(60.0),
        "2010 ADA Standards 405.7.3, 60 in, from memory",
    ),
    rule(
        Id::StripLeast,
        "drain_strip",
        "least fall",
        LeastSlope(0.02),
        "2 % by a building, common practice, no source",
    ),
    rule(Id::LawnLeast, "lawn", "least fall", LeastSlope(0.02), "2 % for lawns, residential design text"),
    rule(Id::LawnMost, "lawn_most", "greatest slope", MostSlope(1.0 / 3.0), "3:1 to be mown, from memory"),
    rule(Id::BedLeast, "bed", "least fall", LeastSlope(0.02), "2 % for beds, common practice, no source"),
    rule(Id::BedMost, "bed_most", "greatest slope", MostSlope(0.5), "2:1 for planted banks, from memory"),
    rule(
        Id::SubgradeLeast,
        "subgrade",
        "least fall of the subgrade",
        LeastSlope(0.01),
        "1 % under paving, common practice, no source",
    ),
];

/// The rules of a job: the usual ones, and what it says of its own.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rules {
    said: Vec<(Id, f64)>,
}

/// A limit as it holds in a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Its line.
    pub rule: Rule,
    /// Rise over run, or a length in the job's unit.
    pub limit: f64,
    /// Where it comes from.
    pub source: String,
}

impl Rules {
    /// Says another limit for a rule: rise over run, or a length in the job's unit.
    pub fn say(&mut self, id: Id, limit: f64) {
        self.said.retain(|(known, _)| *known != id);
        self.said.push((id, limit));
    }

    /// What holds.
    #[must_use]
    pub fn held(&self, id: Id, unit: LengthUnit) -> Held {
        let rule = RULES.iter().copied().find(|r| r.id == id).unwrap_or(RULES[0]);
        let usual = match rule.bound {
            LeastSlope(s) | MostSlope(s) => s,
            LeastLength(inches) | MostLength(inches) => Length::inches(inches, unit).job_units(),
        };
        match self.said.iter().find(|(known, _)| *known == id) {
            Some(&(_, limit)) => Held { rule, limit, source: "the job file".to_owned() },
            None => Held { rule, limit: usual, source: rule.source.to_owned() },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_rule_has_one_line_and_a_job_may_say_another_limit() {
        for (k, r) in RULES.iter().enumerate() {
            assert!(RULES[k + 1..].iter().all(|o| o.id != r.id && o.key != r.key), "{}", r.key);
        }
        let mut rules = Rules::default();
        assert!((rules.held(Id::RampRise, LengthUnit::Foot).limit - 2.5).abs() < 1e-12);
        assert!((rules.held(Id::LandingLength, LengthUnit::Metre).limit - 1.524).abs() < 1e-12);
        rules.say(Id::LawnLeast, 0.03);
        rules.say(Id::LawnLeast, 0.01);
        let held = rules.held(Id::LawnLeast, LengthUnit::Foot);
        assert_eq!((held.limit, held.source.as_str()), (0.01, "the job file"));
    }
}
