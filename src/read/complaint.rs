//! What is wrong in which file, and what should stand there?
//!
//! A complaint marks stretches of decoded text (byte ranges) and says what was found, what was expected and what to
//! do. All of them are collected, over several files, and printed at once as labelled excerpts with the true line and
//! column. Plain text, no colour, fixed width: the same on every screen and in a test.

use super::source::Source;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use std::fmt::Write as _;
use std::ops::Range;

/// More complaints than this in one file are counted, not kept.
pub const MOST_IN_ONE_FILE: usize = 50;
/// Longest piece of a line an excerpt shows, in characters.
const WIDEST: usize = 100;
/// Most lines of one mark an excerpt shows.
const TALLEST: usize = 4;

/// A marked stretch of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Label of the file.
    pub label: String,
    /// Bytes of its decoded text.
    pub span: Range<usize>,
    /// What to write beside it; for the first mark of a complaint empty: there it is what was found and expected.
    pub text: String,
}

/// Something that stops the work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Complaint {
    /// Label of the file it is about.
    pub label: String,
    /// The place first, then other places that belong to it; none where the whole file is meant.
    pub marks: Vec<Mark>,
    /// What was found.
    pub found: String,
    /// What was expected.
    pub expected: String,
    /// What to do.
    pub help: String,
}

impl Complaint {
    /// About a stretch of a file.
    pub fn at(
        source: &Source,
        span: Range<usize>,
        found: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        let mut complaint = Self::without_place(source.label(), found, expected, help);
        complaint.marks.push(Mark { label: source.label().to_owned(), span, text: String::new() });
        complaint
    }

    /// About a whole file: missing, empty, a folder.
    pub fn without_place(
        label: impl Into<String>,
        found: impl Into<String>,
        expected: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self { label: label.into(), marks: vec![], found: found.into(), expected: expected.into(), help: help.into() }
    }

    /// Marks a further place, with what to write beside it.
    #[must_use]
    pub fn and(mut self, source: &Source, span: Range<usize>, text: impl Into<String>) -> Self {
        self.marks.push(Mark { label: source.label().to_owned(), span, text: text.into() });
        self
    }

    /// As an excerpt. Files that are not among `sources`, or whose text was let go, are named without one.
    #[must_use]
    pub fn render(&self, sources: &[&Source]) -> String {
        let sentence = format!("found {}; expected {}", self.found, self.expected);
        let cuts: Vec<_> = self
            .marks
            .iter()
            .enumerate()
            .filter_map(|(k, mark)| {
                let source = sources.iter().find(|s| s.label() == mark.label && !s.is_let_go())?;
                Some(Cut::of(source, mark, if k == 0 { &sentence } else { &mark.text }, k == 0))
            })
            .collect();
        let title = match cuts.first() {
            Some(cut) => format!("{}, line {}, column {}", plain(&self.label), cut.place.0, cut.place.1),
            None => format!("{}: {}", plain(&self.label), plain(&sentence)),
        };
        let mut group = Group::with_title(Level::ERROR.primary_title(title));
        for cut in &cuts {
            let kind = if cut.first { AnnotationKind::Primary } else { AnnotationKind::Context };
            let snippet = Snippet::source(cut.text.as_str())
                .line_start(cut.line)
                .fold(false)
                .annotation(kind.span(cut.span.clone()).label(cut.label.as_str()));
            // A file other than the one in the title, or another stretch of it, is introduced by its name.
            group = group.element(if cut.first { snippet } else { snippet.path(cut.name.as_str()) });
        }
        group = group.element(Level::HELP.message(plain(&self.help)));
        Renderer::plain().term_width(160).render(&[group])
    }
}

/// The piece of a file an excerpt shows.
struct Cut {
    name: String,
    /// True line and column of the mark.
    place: (usize, usize),
    /// Line the piece begins in.
    line: usize,
    text: String,
    /// The mark within `text`.
    span: Range<usize>,
    label: String,
    first: bool,
}

impl Cut {
    fn of(source: &Source, mark: &Mark, label: &str, first: bool) -> Self {
        let text = source.text();
        let whole = source.lines_around(&mark.span);
        let start = floor_char(text, mark.span.start);
        let end = floor_char(text, mark.span.end).max(start);
        // A window about the mark's beginning where the line is long, in whole characters.
        let back =
            text[whole.start..start].char_indices().rev().nth(WIDEST / 2).map_or(whole.start, |(k, _)| whole.start + k);
        let reach = text[start..whole.end].char_indices().nth(WIDEST / 2 + 20).map_or(whole.end, |(k, _)| start + k);
        let (mut lead, mut piece) = (String::new(), String::new());
        if back > whole.start {
            lead.push_str("... ");
        }
        lead.push_str(&shown(&text[back..start]));
        piece.push_str(&shown(&text[start..end.min(reach)]));
        let piece: String = piece.split('\n').take(TALLEST).collect::<Vec<_>>().join("\n");
        let mut tail = if end < reach { shown(&text[end..reach]) } else { String::new() };
        if reach < whole.end {
            tail.push_str(" ...");
        }
        let span = lead.len()..lead.len() + piece.len();
        Self {
            name: source.label().to_owned(),
            place: source.place(start),
            line: source.place(back).0,
            text: lead + &piece + &tail,
            span,
            label: plain(label),
            first,
        }
    }
}

fn floor_char(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Line ends as LF, tabs and other control characters as a space: one column each, so that marks stand under what they mean.
fn shown(text: &str) -> String {
    text.replace("\r\n", "\n")
        .chars()
        .map(|c| {
            if c == '\r' {
                '\n'
            } else if c.is_control() && c != '\n' {
                ' '
            } else {
                c
            }
        })
        .collect()
}

/// On one line, no control characters.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// What a person typed, short enough to be said in a sentence.
#[must_use]
pub fn quoted(text: &str) -> String {
    const MOST: usize = 40;
    let text = plain(text.trim());
    match text.char_indices().nth(MOST) {
        Some((end, _)) => format!("`{}...`", &text[..end]),
        None => format!("`{text}`"),
    }
}

/// Everything that is wrong, over all files.
#[derive(Clone, Debug, Default)]
pub struct Complaints {
    kept: Vec<Complaint>,
    /// Label and number of complaints, in order of appearance.
    counts: Vec<(String, usize)>,
}

impl Complaints {
    /// Adds one, unless the same was said of the same place already. Beyond [`MOST_IN_ONE_FILE`] for one file it is only counted.
    pub fn push(&mut self, complaint: Complaint) {
        // Places differ most, so they are held against each other first.
        let same = |c: &Complaint| {
            c.marks.first() == complaint.marks.first()
                && c.label == complaint.label
                && c.found == complaint.found
                && c.expected == complaint.expected
        };
        if self.kept.iter().any(same) {
            return;
        }
        let at = self.counts.iter().position(|(label, _)| *label == complaint.label).unwrap_or_else(|| {
            self.counts.push((complaint.label.clone(), 0));
            self.counts.len() - 1
        });
        self.counts[at].1 += 1;
        if self.counts[at].1 <= MOST_IN_ONE_FILE {
            self.kept.push(complaint);
        }
    }

    /// Adds all that were found elsewhere, behind these.
    pub fn append(&mut self, other: Self) {
        let mut more = other.counts;
        for complaint in other.kept {
            more.iter_mut().filter(|(label, _)| *label == complaint.label).for_each(|(_, count)| *count -= 1);
            self.push(complaint);
        }
        // Those that were only counted.
        for (label, count) in more {
            self.counts.iter_mut().filter(|c| c.0 == label).for_each(|c| c.1 += count);
        }
    }

    /// Whether nothing is wrong.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.counts.is_empty()
    }

    /// How many there are, those only counted included.
    #[must_use]
    pub fn len(&self) -> usize {
        self.counts.iter().map(|(_, n)| n).sum()
    }

    /// Those that were kept, in the order found.
    #[must_use]
    pub fn kept(&self) -> &[Complaint] {
        &self.kept
    }

    /// All of them, file by file, each in order of place. `sources`: the files that could be read.
    #[must_use]
    pub fn render(&self, sources: &[&Source]) -> String {
        let mut out = String::new();
        for (label, count) in &self.counts {
            let mut here: Vec<_> = self.kept.iter().filter(|c| c.label == *label).collect();
            here.sort_by_key(|c| c.marks.first().map(|m| m.span.start));
            for complaint in here {
                let _ = writeln!(out, "{}\n", complaint.render(sources));
            }
            if let Some(more) = count.checked_sub(MOST_IN_ONE_FILE).filter(|&more| more > 0) {
                let _ = writeln!(out, "{}: and {more} more like these\n", plain(label));
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::read("shots.csv", text.as_bytes().to_vec()).expect("is text")
    }

    #[test]
    fn an_excerpt_has_the_true_line_the_cell_and_the_way_out() {
        let s = source("point,n,e,z\nA,\"1\n2\",3,4\nB,1,2,x\tz\n");
        let at = s.text().find('x').unwrap_or(0);
        let text = Complaint::at(&s, at..at + 1, "`x`", "a number", "mend it").render(&[&s]);
        let want = "\
error: shots.csv, line 4, column 7
  |
4 | B,1,2,x z
  |       ^ found `x`; expected a number
  |
  = help: mend it";
        assert_eq!(text, want);
    }

    #[test]
    fn two_places_are_both_marked_and_a_file_without_place_is_named() {
        let s = source("A,1\nB,2\nA,3\n");
        let text =
            Complaint::at(&s, 8..9, "`A` again", "one name once", "rename").and(&s, 0..1, "first here").render(&[&s]);
        for part in [
            "shots.csv, line 3, column 1",
            "3 | A,3",
            "^ found `A` again; expected one name once",
            "1 | A,1",
            "- first here",
        ] {
            assert!(text.contains(part), "{part} is missing in\n{text}");
        }
        let none = Complaint::without_place("gone.csv", "no such file", "a table", "check the name").render(&[]);
        assert_eq!(none, "error: gone.csv: found no such file; expected a table\n |\n = help: check the name");
    }

    #[test]
    fn a_line_of_a_megabyte_is_shown_in_part() {
        let s = source(&format!("{}x{}", "é".repeat(500_000), "b".repeat(500_000)));
        let text = Complaint::at(&s, 1_000_000..1_500_001, "`x`", "less", "cut it").render(&[&s]);
        assert!(text.len() < 1500, "{}", text.len());
        assert!(text.contains("line 1, column 500001") && text.contains("... é") && text.contains("b ..."), "{text}");
    }

    #[test]
    fn complaints_past_fifty_are_counted() {
        let s = source("A,1\n");
        let mut all = Complaints::default();
        for k in 0..60 {
            all.push(Complaint::at(&s, 0..1, format!("no. {k}"), "less", "stop"));
        }
        all.push(Complaint::without_place("b.csv", "nothing", "something", "look"));
        let text = all.render(&[&s]);
        assert_eq!((all.len(), all.kept().len(), text.matches("error:").count()), (61, 51, 51));
        assert!(text.contains("shots.csv: and 10 more like these") && text.contains("error: b.csv"));
        // Found in two places, they are those found in one.
        let mut both = Complaints::default();
        both.push(Complaint::without_place("a.csv", "nothing", "something", "look"));
        both.append(all);
        assert_eq!((both.len(), both.kept().len()), (62, 52));
        assert!(both.render(&[&s]).ends_with(&text) && both.render(&[]).contains("error: a.csv"));
    }
}
