//! Is it the digging or the bench? How the set-ups of dig day close, and whether all stakes of one are off together.

use super::digcheck::Judged;
use super::digcheck_out::{ClosingOut, DugSetUpOut};
use crate::digcheck::{AsDug, slip, spread};
use crate::finding::{Check, Limit, Measure, Subject};
use crate::units::{Length, LengthUnit, TIE};

impl Judged<'_> {
    /// Which set-up is off, if any is, and how they close.
    pub(super) fn set_ups(&mut self, dug: &AsDug) {
        let of = |k: Option<usize>| -> Vec<f64> {
            self.stakes.iter().filter(|s| k.is_none() || s.shot.set_up == k).map(|s| s.difference).collect()
        };
        let all = of(None);
        let whole = spread(&all);
        self.check.mean = whole.map(|s| s.mean);
        self.check.spread = whole.and_then(|s| s.spread);
        self.check.slip = slip(&all, &self.tolerance);
        for (k, s) in dug.set_ups.iter().enumerate() {
            let own = of(Some(k));
            self.check.set_ups.push(DugSetUpOut {
                bench: s.bench.clone(),
                rod: s.rod,
                instrument: s.instrument,
                stakes: own.len(),
                mean: spread(&own).map(|s| s.mean),
                slip: slip(&own, &self.tolerance),
            });
        }
        // One set-up, one sight back: 0.02 ft, 5 mm, common practice.
        let allowed =
            if self.unit() == LengthUnit::Metre { Length::in_job_units(0.005) } else { Length::in_job_units(0.02) };
        for c in &dug.closings {
            let closes = c.off.abs() <= allowed.job_units() + TIE;
            self.check.closings.push(ClosingOut {
                bench: c.bench.clone(),
                set_up: c.set_up.map(|k| k + 1),
                off: c.off,
                allowed: allowed.job_units(),
                closes,
            });
            let side = if c.off < 0.0 { "low" } else { "high" };
            let note =
                format!("closes {} {side}: that bench or the height of instrument is wrong", self.length(c.off.abs()));
            self.checks.push(Check {
                rule: "the set-up closes on a bench",
                subject: Subject::Item("bench", c.bench.clone()),
                found: c.off.abs(),
                measure: Measure::Length,
                limit: Limit::Most(allowed.job_units()),
                pass: closes,
                source: "one set-up, 0.02 ft or 5 mm, common practice".to_owned(),
                note: if closes { String::new() } else { note },
            });
        }
        self.slips();
    }

    /// Says which benches are doubted.
    pub(super) fn slips(&mut self) {
        let numbered = self
            .check
            .set_ups
            .iter()
            .enumerate()
            .filter_map(|(k, s)| s.slip.map(|by| (format!("set-up {} on {}", k + 1, s.bench), Some(k + 1), by)));
        let mut doubted: Vec<_> = numbered.collect();
        // Several set-ups, none of which has enough stakes by itself.
        if let (true, Some(by)) = (doubted.is_empty(), self.check.slip) {
            doubted.push(("all stakes".to_owned(), None, by));
        }
        let pass = doubted.is_empty();
        for (who, number, by) in doubted {
            let side = if by < 0.0 { "low" } else { "high" };
            let of_this = |c: &&ClosingOut| number.is_none() || c.set_up == number;
            let closings = || self.check.closings.iter().filter(of_this);
            let proof = if closings().any(|c| !c.closes && c.off * by > 0.0) {
                "the closing shot is off the same way: a bench slip, not digging"
            } else if closings().any(|c| c.closes) {
                "yet it closes on a bench: look whether the right bench was read, else the machine dug to a wrong number throughout"
            } else {
                "no closing shot says whether it is the bench: stand the rod on a bench again first"
            };
            let text = format!(
                "{} {side} throughout ({}), with the usual spread: a wrong bench or height of instrument, not bad digging; {proof}. Trim and fill nothing by these numbers",
                self.length(by.abs()),
                who
            );
            self.checks.push(slip_check(by, false, text));
        }
        if pass {
            self.checks.push(slip_check(self.check.mean.unwrap_or(0.0), true, String::new()));
        }
    }
}

fn slip_check(by: f64, pass: bool, note: String) -> Check {
    Check {
        rule: "no stakes off together",
        subject: Subject::Job,
        found: by.abs(),
        measure: Measure::Length,
        limit: Limit::Must,
        pass,
        source: "rule of thumb, no source".to_owned(),
        note,
    }
}
