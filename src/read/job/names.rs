//! Which place is meant by this name, and how high is it?

use super::value::{Span, Spot};
use crate::design::said::Place;
use crate::finding::Caution;
use crate::read::nearest::nearest;
use crate::read::{Complaint, Complaints, Source};
use crate::shots::Grid;
use crate::units::LengthUnit;
use std::collections::HashMap;

/// A named place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Known {
    pub place: Place,
    pub height: Option<f64>,
}

/// Everything with a name that has a place.
#[derive(Debug, Default)]
pub(super) struct Names {
    pub all: HashMap<String, Known>,
    /// Names on the taped grid have a place though nobody shot them, among those that were shot.
    pub grid: Option<Grid>,
    /// Where the survey could not be read, names are not held against it.
    pub unknown: bool,
}

impl Names {
    /// A stake of the grid between the rows and numbers that were shot: beyond them a name is more likely misspelt.
    fn taped(&self, name: &str) -> Option<Place> {
        const HAIR: f64 = 1e-4;
        let grid = self.grid.as_ref()?;
        let (at, steps) = (grid.place(name).ok()?, grid.steps(name).ok()?);
        let shot = || self.all.values().filter(|k| k.height.is_some()).map(|k| grid.along(k.place));
        let among = |of: fn((f64, f64)) -> f64, step: i64| {
            let least = shot().map(of).min_by(f64::total_cmp)?;
            let most = shot().map(of).max_by(f64::total_cmp)?;
            Some((least - HAIR..=most + HAIR).contains(&(step as f64)))
        };
        (among(|s| s.0, steps.0)? && among(|s| s.1, steps.1)?).then_some(at)
    }
}

/// The job file while it becomes a job.
pub(super) struct Desk<'a> {
    pub source: &'a Source,
    pub complaints: &'a mut Complaints,
    pub unit: LengthUnit,
    pub names: Names,
    /// What the person should know about the files it names.
    pub cautions: Vec<Caution>,
}

impl Desk<'_> {
    pub fn complain(
        &mut self,
        span: Span,
        found: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.complaints.push(Complaint::at(self.source, span, found, expected, help));
    }

    /// A named place.
    pub fn known(&mut self, name: &str, span: Span) -> Option<Known> {
        let taped = || self.names.taped(name);
        let found = self.names.all.get(name).copied().or_else(|| taped().map(|place| Known { place, height: None }));
        if found.is_none() && !self.names.unknown {
            let mut all: Vec<&str> = self.names.all.keys().map(String::as_str).collect();
            all.sort_unstable();
            let near = nearest(name, all);
            let help = near.map_or("check the spelling, or add it to the places".to_owned(), |n| {
                format!("the nearest name is `{n}`")
            });
            self.complain(span, format!("`{name}`, which is no stake and no place"), "a name of the survey", help);
        }
        found
    }

    /// A named place with a height.
    pub fn height(&mut self, name: &str, span: Span) -> Option<(Place, f64)> {
        let known = self.known(name, span.clone())?;
        if known.height.is_none() {
            let found = format!("`{name}`, a place without a height");
            self.complain(span, found, "a place that was shot", "give the height itself, or name a place with one");
        }
        Some((known.place, known.height?))
    }

    /// A place or the name of one.
    pub fn spot(&mut self, spot: &Spot, span: Span) -> Option<Place> {
        match spot {
            Spot::Place(place) => Some(*place),
            Spot::Name(name) => self.known(name, span).map(|k| k.place),
        }
    }

    /// Which of these it is, by name; complains with the nearest where it is none. `what`: "section", "area above".
    pub fn which(&mut self, name: &str, span: Span, all: &[&str], what: &str) -> Option<usize> {
        let found = all.iter().position(|n| *n == name);
        if found.is_none() {
            let near = nearest(name, all.iter().copied());
            let help = match near {
                Some(near) => format!("the nearest is `{near}`"),
                None if all.is_empty() => format!("there is no {what}"),
                None => format!("there are {}", all.join(", ")),
            };
            self.complain(
                span,
                format!("`{name}`, which is no {what}"),
                format!("the name of {} {what}", if what.starts_with(['a', 'o']) { "an" } else { "a" }),
                help,
            );
        }
        found
    }

    /// Complains of names given twice.
    pub fn unique<'n>(&mut self, what: &str, names: impl Iterator<Item = (&'n str, Span)>) {
        let mut seen: HashMap<&str, Span> = HashMap::new();
        for (name, span) in names {
            if let Some(first) = seen.get(name) {
                let found = format!("a second {what} `{name}`");
                let complaint = Complaint::at(
                    self.source,
                    span,
                    found,
                    format!("one name for one {what}"),
                    "rename one of the two",
                );
                self.complaints.push(complaint.and(self.source, first.clone(), "the first one here"));
            } else {
                seen.insert(name, span);
            }
        }
    }
}
