//! Where in the raw text does a row begin, and where are its cells?
//!
//! The reader's own record holds unquoted fields; a cell that is to be marked is looked up here by scanning the raw row
//! from its first byte.

use super::source::Source;
use csv::{ReaderBuilder, StringRecord};
use std::ops::Range;

/// Marks the whole row that begins at a byte.
pub(super) fn row_span(source: &Source, start: usize, delimiter: u8) -> Range<usize> {
    let cells = scan(source.text(), start, delimiter).cells;
    start..cells.last().map_or(start, |c| c.end)
}

pub(super) fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(text.as_bytes())
}

/// The next record; `false` at the end. From text in memory nothing else can happen: it is UTF-8, may be ragged,
/// and reading memory does not fail.
pub(super) fn read(reader: &mut csv::Reader<&[u8]>, record: &mut StringRecord) -> bool {
    matches!(reader.read_record(record), Ok(true))
}

/// Whether a row has nothing in it, as sheets are filled up with.
pub(super) fn is_blank(record: &StringRecord) -> bool {
    record.iter().all(|cell| cell.trim().is_empty())
}

/// The reader skips empty lines, its positions do not.
pub(super) fn first_row(text: &str, from: usize) -> usize {
    let bytes = text.as_bytes();
    let skip = bytes[from..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
    from + skip
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
