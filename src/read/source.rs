//! What does this file say, in which letters, and where is its byte number so-and-so?
//!
//! Bytes to text: a byte order mark decides for UTF-8 and UTF-16; else valid UTF-8; else Windows-1252 (which is what
//! files called Latin-1 are). Nothing else is guessed. Text with NUL in it is no text and is refused.
//!
//! Lines end with CR LF, LF or CR. Lines and columns are counted from 1, columns in characters.

use super::complaint::Complaint;
use std::ops::Range;
use std::sync::OnceLock;

/// A file that was read: its label (as the person named it) and its text.
#[derive(Clone, Debug)]
pub struct Source {
    label: String,
    text: String,
    note: Option<String>,
    /// First byte of each line, found when a place is first asked for.
    lines: OnceLock<Vec<usize>>,
}

/// Row places are kept in 32 bits.
const MOST_BYTES: usize = u32::MAX as usize;

impl Source {
    /// Decodes a file.
    ///
    /// # Errors
    /// Empty, with NUL in it, damaged UTF-8 or UTF-16 behind a byte order mark, or beyond 4 GiB.
    pub fn read(label: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Complaint> {
        let label = label.into();
        // A job file is text too, but no table.
        let job = label.to_ascii_lowercase().ends_with(".toml");
        let refuse = |found: String, help: &str| {
            let expected = if job { "a job file, plain text" } else { "a table of text, one shot a row" };
            let help = if job { "save it as plain text in UTF-8; `spadework new` makes one to fill in" } else { help };
            Err(Complaint::without_place(&label, found, expected, help))
        };
        if bytes.len() >= MOST_BYTES {
            return refuse("a file of 4 GiB or more".into(), "split it into several tables");
        }
        if bytes.starts_with(b"PK\x03\x04") {
            return refuse("a workbook or other packed file".into(), "save the sheet as CSV and give that file");
        }
        let (text, note) = match decode(bytes) {
            Ok(decoded) => decoded,
            Err(damaged) => return refuse(damaged, "save the file again as CSV in UTF-8"),
        };
        if let Some(at) = text.find('\0') {
            let (line, column) = place(&text, &line_starts(&text), at);
            return refuse(
                format!("a NUL byte in line {line}, column {column}"),
                "this is no plain text: export the table again as CSV in UTF-8",
            );
        }
        // Sheets that were never filled in come as separators only.
        if text.chars().all(|c| c.is_whitespace() || matches!(c, ',' | ';' | '"')) {
            return refuse("an empty file".into(), "check that the export wrote its rows, and give that file");
        }
        Ok(Self { label, text, note, lines: OnceLock::new() })
    }

    /// The name the person knows the file by.
    #[must_use]
    pub fn label(&self) -> &str {
        &self.label
    }

    /// The decoded text, without byte order mark.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Lets the text go, which is most of what a source holds. Nothing is marked in it from then on.
    pub fn let_go(&mut self) {
        self.text = String::new();
        self.lines = OnceLock::new();
    }

    /// Whether the text was let go. (No text that was read is empty.)
    #[must_use]
    pub fn is_let_go(&self) -> bool {
        self.text.is_empty()
    }

    /// How it was read, where that was not plain UTF-8: fit for a caution.
    #[must_use]
    pub fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }

    /// Line and column of a byte of the text.
    #[must_use]
    pub fn place(&self, byte: usize) -> (usize, usize) {
        place(&self.text, self.lines.get_or_init(|| line_starts(&self.text)), byte)
    }

    /// The whole lines a stretch of text touches, without the last line end.
    pub(super) fn lines_around(&self, span: &Range<usize>) -> Range<usize> {
        let is_end = |b: u8| b == b'\n' || b == b'\r';
        let bytes = self.text.as_bytes();
        let start = span.start.min(bytes.len());
        let end = span.end.clamp(start, bytes.len());
        let from = bytes[..start].iter().rposition(|&b| is_end(b)).map_or(0, |p| p + 1);
        let to = bytes[end..].iter().position(|&b| is_end(b)).map_or(bytes.len(), |p| end + p);
        from..to
    }
}

fn line_starts(text: &str) -> Vec<usize> {
    let bytes = text.as_bytes();
    let ends = |&(k, &b): &(usize, &u8)| b == b'\n' || (b == b'\r' && bytes.get(k + 1) != Some(&b'\n'));
    std::iter::once(0).chain(bytes.iter().enumerate().filter(ends).map(|(k, _)| k + 1)).collect()
}

fn place(text: &str, lines: &[usize], byte: usize) -> (usize, usize) {
    let byte = byte.min(text.len());
    let line = lines.partition_point(|&start| start <= byte);
    let start = line.checked_sub(1).and_then(|k| lines.get(k)).copied().unwrap_or(0);
    // A byte inside a character counts as the next one.
    (line, text.as_bytes()[start..byte].iter().filter(|&&b| b & 0xc0 != 0x80).count() + 1)
}

/// The text, and a note where it was not UTF-8; or what is damaged.
fn decode(bytes: Vec<u8>) -> Result<(String, Option<String>), String> {
    for (mark, encoding, name) in
        [(b"\xff\xfe", encoding_rs::UTF_16LE, "little"), (b"\xfe\xff", encoding_rs::UTF_16BE, "big")]
    {
        if let Some(rest) = bytes.strip_prefix(mark) {
            return match encoding.decode_without_bom_handling_and_without_replacement(rest) {
                Some(text) => Ok((text.into_owned(), Some(format!("read as UTF-16, {name} end first")))),
                None => Err(format!("a file marked as UTF-16, {name} end first, that breaks its rules")),
            };
        }
    }
    if let Some(rest) = bytes.strip_prefix(b"\xef\xbb\xbf") {
        return match std::str::from_utf8(rest) {
            Ok(text) => Ok((text.to_owned(), None)),
            Err(e) => Err(format!("a file marked as UTF-8 with a damaged letter at byte {}", e.valid_up_to() + 3)),
        };
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok((text, None)),
        Err(e) => {
            let (text, _) = encoding_rs::WINDOWS_1252.decode_without_bom_handling(e.as_bytes());
            Ok((text.into_owned(), Some("read as Windows-1252, because it is not valid UTF-8".into())))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8]) -> Source {
        Source::read("t.csv", bytes.to_vec()).expect("is text")
    }

    fn refused(bytes: &[u8]) -> String {
        Source::read("t.csv", bytes.to_vec()).expect_err("is no text").found
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let want = "naïve,1\n";
        let utf16: Vec<u16> = want.encode_utf16().collect();
        let le: Vec<u8> = [0xff, 0xfe].into_iter().chain(utf16.iter().flat_map(|u| u.to_le_bytes())).collect();
        let be: Vec<u8> = [0xfe, 0xff].into_iter().chain(utf16.iter().flat_map(|u| u.to_be_bytes())).collect();
        for (bytes, note) in [
            (want.as_bytes().to_vec(), None),
            (["\u{feff}", want].concat().into_bytes(), None),
            (b"na\xefve,1\n".to_vec(), Some("read as Windows-1252, because it is not valid UTF-8")),
            (le, Some("read as UTF-16, little end first")),
            (be, Some("read as UTF-16, big end first")),
        ] {
            let source = read(&bytes);
            assert_eq!((source.text(), source.note()), (want, note));
        }
    }

    #[test]
    fn what_is_no_text_is_refused() {
        assert_eq!(refused(b""), "an empty file");
        assert_eq!(refused(b"\xef\xbb\xbf \r\n"), "an empty file");
        assert_eq!(refused(b" \n,,,\n;;\n"), "an empty file");
        assert_eq!(refused(b"a,b\n1,\x002\n"), "a NUL byte in line 2, column 3");
        assert_eq!(refused(b"a\0,\0b\0"), "a NUL byte in line 1, column 2");
        assert_eq!(refused(b"\xff\xfea\0b"), "a file marked as UTF-16, little end first, that breaks its rules");
        assert_eq!(refused(b"\xff\xfe\0\xd8a\0"), "a file marked as UTF-16, little end first, that breaks its rules");
        assert_eq!(refused(b"\xef\xbb\xbfab\xff"), "a file marked as UTF-8 with a damaged letter at byte 5");
        assert_eq!(refused(b"PK\x03\x04rest"), "a workbook or other packed file");
    }

    #[test]
    fn lines_and_columns_count_every_line_end_and_whole_letters() {
        let source = read("é1\r\nb\rc\n\nd".as_bytes());
        let at = |c: char| source.place(source.text().find(c).unwrap_or(0));
        assert_eq!((at('1'), at('b'), at('c'), at('d')), ((1, 2), (2, 1), (3, 1), (5, 1)));
        assert_eq!(source.place(usize::MAX), (5, 2));
        let c = source.text().find('c').unwrap_or(0);
        assert_eq!(&source.text()[source.lines_around(&(c..c + 1))], "c");
    }
}
