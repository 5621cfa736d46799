//! Where in its file stands what a finding speaks of?

use super::value::Span;
use crate::finding::{Refusal, Subject};
use crate::read::{Complaint, Lines, Source, Survey};
use std::collections::HashMap;

/// Places in the job file, and in the table of shots.
#[derive(Clone, Debug, Default)]
pub struct Spans {
    /// Areas: the name, and each corner of each ring.
    pub(super) areas: HashMap<String, (Span, Vec<Vec<Span>>)>,
    /// Everything else with a name, by its kind and name.
    pub(super) items: HashMap<(&'static str, String), Span>,
    /// Rings of the limit.
    pub(super) limit: Option<Span>,
    /// Table of shots: its name in the job file, and its rows.
    pub(super) shots: Option<(String, Survey)>,
    /// Tables of breaklines, by the same name.
    pub(super) lines: Vec<(String, Lines)>,
}

impl Spans {
    /// Bytes of the job file that a subject stands at; `None` where it stands in another file or nowhere.
    #[must_use]
    pub fn find(&self, subject: &Subject) -> Option<Span> {
        match subject {
            Subject::Area(name) => self.areas.get(name).map(|(span, _)| span.clone()),
            Subject::Corner(name, ring, corner) => {
                let (span, rings) = self.areas.get(name)?;
                Some(rings.get(*ring).and_then(|r| r.get(*corner)).unwrap_or(span).clone())
            }
            Subject::Item(kind, name) => self.items.get(&(*kind, name.clone())).cloned(),
            Subject::Outlet(name) => self.items.get(&("outlet", name.clone())).cloned(),
            Subject::Stake(name) => self.items.get(&("stake", name.clone())).cloned(),
            Subject::Table(name) if name == "limit" => self.limit.clone(),
            Subject::Job | Subject::Table(_) | Subject::Row(..) | Subject::Line(..) | Subject::Place(..) => None,
        }
    }

    /// A refusal as a labelled complaint: in the job file, in the table of shots, or about the job file as a whole.
    #[must_use]
    pub fn describe(&self, refusal: &Refusal, job: &Source, files: &HashMap<String, Source>) -> Complaint {
        let (found, expected, help) = (&refusal.found, &refusal.expected, &refusal.help);
        if let Some(span) = self.find(&refusal.subject) {
            return Complaint::at(job, span, found, expected, help);
        }
        if let Subject::Line(survey, line) = &refusal.subject {
            let (own, shared) = (self.lines.iter().filter(|(_, l)| l.name == *survey), &files);
            let mut at = own.filter_map(|(file, l)| Some((shared.get(file)?, l.span(line)?)));
            if let Some((source, span)) = at.next() {
                return Complaint::at(source, span, found, expected, help);
            }
        }
        let row = self.shots.as_ref().and_then(|(file, survey)| {
            let row = match &refusal.subject {
                Subject::Row(_, row) => *row,
                Subject::Stake(name) => (0..survey.shots.len()).find(|&r| survey.shots.names.get(r) == name)?,
                _ => return None,
            };
            let source = files.get(file)?;
            (row < survey.shots.len()).then(|| (source, survey.row_span(source, row)))
        });
        match row {
            Some((source, span)) => Complaint::at(source, span, found, expected, help),
            None => Complaint::without_place(job.label(), format!("{found} ({})", refusal.subject), expected, help),
        }
    }
}
