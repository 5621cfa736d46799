//! Where in the text does a row begin, and what do its cells say?
//!
//! Rows are read by the csv crate. Its record holds unquoted fields, so a cell that is to be marked is looked up here by scanning
//! the raw row from its first byte.

use super::source::Source;
use csv::{Reader, ReaderBuilder, StringRecord};
use std::ops::Range;

/// Marks the whole row that begins at a byte.
pub(super) fn row_span(source: &Source, start: usize, delimiter: u8) -> Range<usize> {
    let cells = scan(source.text(), start, delimiter).cells;
    start..cells.last().map_or(start, |c| c.end)
}

/// The rows of a text, one after another.
#[derive(Debug)]
pub(super) struct Rows<'s> {
    text: &'s str,
    reader: Reader<&'s [u8]>,
    delimiter: u8,
    from: usize,
    /// The first byte behind the last row.
    pub next: usize,
    pub record: Record,
}

impl<'s> Rows<'s> {
    /// From that byte on.
    pub fn new(text: &'s str, from: usize, delimiter: u8) -> Self {
        let reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(&text.as_bytes()[from..]);
        Self { text, reader, delimiter, from, next: from, record: Record::default() }
    }

    /// Takes the next row into `record` and returns its first byte; `None` at the end. From text in memory nothing else can happen:
    /// it is UTF-8, may be ragged, and reading memory does not fail.
    #[inline]
    pub fn advance(&mut self) -> Option<usize> {
        if !matches!(self.reader.read_record(&mut self.record.cells), Ok(true)) {
            return None;
        }
        // The reader skips empty lines, its positions do not.
        let start = first_row(self.text, self.next);
        self.next = self.from + usize::try_from(self.reader.position().byte()).unwrap_or(self.text.len());
        // A quote that is never closed takes in all the rest.
        self.record.open = if self.next < self.text.len() { None } else { scan(self.text, start, self.delimiter).open };
        Some(start)
    }
}

/// The cells of one row.
#[derive(Debug, Default)]
pub(super) struct Record {
    cells: StringRecord,
    /// A quote that is never closed.
    pub open: Option<usize>,
}

impl Record {
    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// A cell without the spaces around it.
    #[inline]
    pub fn get(&self, column: usize) -> Option<&str> {
        self.cells.get(column).map(trimmed)
    }

    /// Every cell without the spaces around it.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.cells.iter().map(trimmed)
    }

    /// Whether a row has nothing in it, as sheets are filled up with.
    #[inline]
    pub fn is_blank(&self) -> bool {
        self.iter().all(str::is_empty)
    }
}

/// As `str::trim`, which most cells do not need.
#[inline]
fn trimmed(cell: &str) -> &str {
    let bytes = cell.as_bytes();
    let plain = |b: Option<&u8>| b.is_none_or(u8::is_ascii_graphic);
    if plain(bytes.first()) && plain(bytes.last()) { cell } else { cell.trim() }
}

/// Passes over empty lines.
#[inline]
pub(super) fn first_row(text: &str, from: usize) -> usize {
    let bytes = text.as_bytes();
    let skip = bytes[from..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
    from + skip
}

/// How many lines a text has, about: from those at its beginning, in its middle and at its end.
pub(super) fn lines_about(text: &str) -> usize {
    const PIECE: usize = 1 << 13;
    let bytes = text.as_bytes();
    let starts = [0, bytes.len() / 2, bytes.len().saturating_sub(PIECE)];
    let pieces = starts.map(|at| &bytes[at..(at + PIECE).min(bytes.len())]);
    let seen: usize = pieces.iter().map(|p| p.len()).sum();
    let ends: usize = pieces.iter().map(|p| p.iter().filter(|b| matches!(b, b'\n' | b'\r')).count()).sum();
    bytes.len().checked_mul(ends).and_then(|all| all.checked_div(seen)).unwrap_or(0)
}

/// Cells of one raw row (quotes included, spaces around them not), and the byte of a quote that is never closed.
pub(super) struct Scan {
    pub cells: Vec<Range<usize>>,
    pub open: Option<usize>,
}

/// As the csv reader does: a quote counts at the very beginning of a cell only, and doubled inside.
pub(super) fn scan(text: &str, start: usize, delimiter: u8) -> Scan {
    let bytes = text.as_bytes();
    let (mut cells, mut open) = (Vec::new(), None);
    let (mut at, mut begin) = (start, start);
    loop {
        if at == begin && bytes.get(at) == Some(&b'"') {
            open = Some(at);
            at += 1;
            while let Some(&b) = bytes.get(at) {
                if b == b'"' && bytes.get(at + 1) == Some(&b'"') {
                    at += 2;
                } else {
                    at += 1;
                    if b == b'"' {
                        open = None;
                        break;
                    }
                }
            }
        }
        while bytes.get(at).is_some_and(|&b| b != delimiter && b != b'\n' && b != b'\r') {
            at += 1;
        }
        let cell = &text[begin..at];
        let lead = cell.len() - cell.trim_start().len();
        cells.push(begin + lead..begin + lead + cell.trim().len());
        if bytes.get(at) != Some(&delimiter) {
            return Scan { cells, open };
        }
        at += 1;
        begin = at;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]
        #[test]
        fn marks_stand_where_the_cells_are(text in "([,\"\r\n é]|[a-z0-9.]{1,12}|\"\"){0,60}") {
            let mut rows = Rows::new(&text, 0, b',');
            while let Some(start) = rows.advance() {
                let scan = scan(&text, start, b',');
                prop_assert_eq!((scan.cells.len(), scan.open), (rows.record.len(), rows.record.open));
                for (span, cell) in scan.cells.into_iter().zip(rows.record.iter()) {
                    let raw = &text[span];
                    prop_assert!(raw.starts_with('"') || raw == cell, "{raw} {cell}");
                }
            }
        }
    }
}
