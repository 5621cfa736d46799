//! Where in the text does a row begin, and what do its cells say?
//!
//! Rows and cells as RFC 4180 (Shafranovich, 2005) and the csv crate have them: a quote counts at the very beginning of a cell
//! only, and doubled inside; behind the closing one the cell goes on as it is typed. Lines end with CR LF, LF or CR; empty ones
//! are no rows. A cell is a stretch of the text; only a quoted one is copied, without its quotes.
//!
//! Eight bytes at a time are held against the signs that may end a cell (Lamport, Multiple byte processing with full-word
//! instructions, 1975; Warren, Hacker's Delight, 2nd ed. 2013, 6-1).

use super::source::Source;
use std::ops::Range;

/// Marks the whole row that begins at a byte.
pub(super) fn row_span(source: &Source, start: usize, delimiter: u8) -> Range<usize> {
    let cells = scan(source.text(), start, delimiter).cells;
    start..cells.last().map_or(start, |c| c.end)
}

/// The rows of a text, one after another.
#[derive(Debug)]
pub(super) struct Rows<'s> {
    delimiter: u8,
    /// The first byte behind the last row.
    pub next: usize,
    /// Bytes of a byte order mark in front of the next row.
    mark: usize,
    pub record: Record<'s>,
}

impl<'s> Rows<'s> {
    /// From that byte on. A second byte order mark there is no part of the first cell.
    pub fn new(text: &'s str, from: usize, delimiter: u8) -> Self {
        let mark = if text[from..].starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let record = Record { text, cells: vec![], spare: String::new(), open: None };
        Self { delimiter, next: from, mark, record }
    }

    /// Takes the next row into `record` and returns its first byte; `None` at the end.
    #[inline]
    pub fn advance(&mut self) -> Option<usize> {
        let text = self.record.text;
        let start = first_row(text, self.next);
        let cells = first_row(text, start + self.mark);
        self.mark = 0;
        if cells == text.len() {
            self.record.cells.clear();
            return None;
        }
        self.next = self.record.take(cells, self.delimiter);
        Some(start)
    }
}

/// The cells of one row.
#[derive(Debug)]
pub(super) struct Record<'s> {
    text: &'s str,
    cells: Vec<Cell>,
    /// Quoted cells without their quotes.
    spare: String,
    /// A quote that is never closed.
    pub open: Option<usize>,
}

/// A stretch of the text, or of what was quoted.
#[derive(Debug)]
struct Cell {
    start: usize,
    end: usize,
    quoted: bool,
}

impl Record<'_> {
    /// Takes in the row that begins at a byte; returns the first byte behind it.
    #[inline]
    fn take(&mut self, start: usize, delimiter: u8) -> usize {
        self.cells.clear();
        self.spare.clear();
        let (text, cells, spare) = (self.text, &mut self.cells, &mut self.spare);
        let (end, open) = walk(text.as_bytes(), start, delimiter, |start, end, quoted| {
            cells.push(if quoted {
                let from = spare.len();
                unquote(&text[start..end], spare);
                Cell { start: from, end: spare.len(), quoted }
            } else {
                Cell { start, end, quoted }
            });
        });
        self.open = open;
        end
    }

    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// A cell without the spaces around it.
    #[inline]
    pub fn get(&self, column: usize) -> Option<&str> {
        let cell = self.cells.get(column)?;
        let whole = if cell.quoted { self.spare.as_str() } else { self.text };
        Some(trimmed(&whole[cell.start..cell.end]))
    }

    /// Every cell without the spaces around it.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.len()).filter_map(|k| self.get(k))
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

/// What a quoted cell says.
fn unquote(raw: &str, out: &mut String) {
    let mut rest = &raw[1..];
    while let Some((inside, behind)) = rest.split_once('"') {
        out.push_str(inside);
        rest = behind;
        match behind.strip_prefix('"') {
            Some(more) => {
                out.push('"');
                rest = more;
            }
            None => break,
        }
    }
    out.push_str(rest);
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

/// The row that begins at a byte, for marking what is wrong in it.
pub(super) fn scan(text: &str, start: usize, delimiter: u8) -> Scan {
    let mut cells = Vec::new();
    let (_, open) = walk(text.as_bytes(), start, delimiter, |begin, end, _| {
        let cell = &text[begin..end];
        let lead = cell.len() - cell.trim_start().len();
        cells.push(begin + lead..begin + lead + cell.trim().len());
    });
    Scan { cells, open }
}

/// Calls `each` with first byte, end and whether it is quoted of every raw cell of a row. Returns where the row ends, and a quote
/// that is never closed.
#[inline]
fn walk(bytes: &[u8], start: usize, delimiter: u8, mut each: impl FnMut(usize, usize, bool)) -> (usize, Option<usize>) {
    let mut begin = start;
    loop {
        let (mut end, mut open) = (begin, None);
        let quoted = bytes.get(begin) == Some(&b'"');
        if quoted {
            (end, open) = match closed(bytes, begin) {
                Some(end) => (end, None),
                None => (bytes.len(), Some(begin)),
            };
        }
        end = cell_end(bytes, end, delimiter);
        each(begin, end, quoted);
        if bytes.get(end) != Some(&delimiter) {
            return (end, open);
        }
        begin = end + 1;
    }
}

/// The first byte behind a quoted stretch; `None` where it is not closed.
fn closed(bytes: &[u8], quote: usize) -> Option<usize> {
    let mut at = quote + 1;
    loop {
        at += bytes.get(at..)?.iter().position(|&b| b == b'"')? + 1;
        if bytes.get(at) != Some(&b'"') {
            return Some(at);
        }
        at += 1;
    }
}

/// Where the separator, the line end or the end of the text stands that ends a cell.
#[inline]
fn cell_end(bytes: &[u8], from: usize, delimiter: u8) -> usize {
    const ONES: u64 = 0x0101_0101_0101_0101;
    let same = ONES * u64::from(delimiter);
    let mut at = from;
    while let Some(eight) = bytes[at..].first_chunk() {
        let word = u64::from_le_bytes(*eight);
        let apart = word ^ same;
        // The highest bit of a byte: it is the separator, or below 14, as CR and LF are. The lowest one that is set is right.
        let marks = ((apart.wrapping_sub(ONES) & !apart) | (word.wrapping_sub(ONES * 14) & !word)) & (ONES << 7);
        if marks != 0 {
            let end = at + (marks.trailing_zeros() / 8) as usize;
            if is_end(bytes[end], delimiter) {
                return end;
            }
            // Another control character: rare enough to go on from behind it.
            at = end + 1;
        } else {
            at += 8;
        }
    }
    at + bytes[at..].iter().take_while(|&&b| !is_end(b, delimiter)).count()
}

fn is_end(b: u8, delimiter: u8) -> bool {
    b == delimiter || b == b'\n' || b == b'\r'
}

#[cfg(test)]
mod tests {
    use super::*;
    use csv::{ReaderBuilder, StringRecord};
    use proptest::prelude::*;

    fn ours(text: &str, delimiter: u8) -> Vec<Vec<String>> {
        let mut rows = Rows::new(text, 0, delimiter);
        let mut out = Vec::new();
        while rows.advance().is_some() {
            out.push(rows.record.iter().map(str::to_owned).collect());
        }
        out
    }

    /// By the csv crate.
    fn plain(text: &str, delimiter: u8) -> Vec<Vec<String>> {
        let mut reader =
            ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(text.as_bytes());
        let mut record = StringRecord::new();
        let mut out = Vec::new();
        while reader.read_record(&mut record).expect("is text") {
            out.push(record.iter().map(|cell| cell.trim().to_owned()).collect());
        }
        out
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]
        #[test]
        fn rows_are_those_of_the_csv_crate(text in "\u{feff}?([,;\t\"\r\n é\u{85}\u{1}]|[a-z0-9.]{1,12}|\"\"|\r\n){0,60}", which in 0_usize..3) {
            let delimiter = [b',', b';', b'\t'][which];
            prop_assert_eq!(ours(&text, delimiter), plain(&text, delimiter));
        }

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
