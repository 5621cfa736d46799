//! How wide, how high is a line of words, and can the font print it?
//!
//! Widths and outlines are read from the embedded face itself (DejaVu Sans Condensed 2.37, regular and bold; free
//! Bitstream Vera / DejaVu terms), never guessed, so that what fits here fits in every file written from it.
//! Units: a size is that of the em, in inches; `up` and `down` are measured from the base line, both positive.

use std::ops::Range;
use std::sync::OnceLock;
use ttf_parser::Face;

/// How heavy the letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// For reading.
    Regular,
    /// For what must not be missed.
    Bold,
}

/// The bytes of the embedded face.
#[must_use]
pub fn bytes(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => dejavu::sans_condensed::regular(),
        Weight::Bold => dejavu::sans_condensed::bold(),
    }
}

/// The smallest size of words on a sheet: 2.5 mm, read at arm's length in the sun.
pub const SMALLEST: f64 = 2.5 / 25.4;

/// Stands for a character the font lacks.
pub const MISSING: char = '\u{25A1}';

fn face(weight: Weight) -> &'static Face<'static> {
    static REGULAR: OnceLock<Face<'static>> = OnceLock::new();
    static BOLD: OnceLock<Face<'static>> = OnceLock::new();
    let cell = if weight == Weight::Bold { &BOLD } else { &REGULAR };
    cell.get_or_init(|| {
        Face::parse(bytes(weight), 0).expect("This is a bug in spadework: the embedded font cannot be read")
    })
}

/// What a line of words takes up, in inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// From its left end to its right end.
    pub width: f64,
    /// From the base line to the highest ink.
    pub up: f64,
    /// From the base line down to the lowest ink.
    pub down: f64,
}

/// What `words` take up at size `em`.
#[must_use]
pub fn extent(words: &str, weight: Weight, em: f64) -> Extent {
    let unit = em / f64::from(face(weight).units_per_em());
    let mut extent = Extent { width: 0.0, up: 0.0, down: 0.0 };
    for [width, up, down] in words.chars().filter_map(|c| ink(c, weight)) {
        extent.width += f64::from(width) * unit;
        extent.up = extent.up.max(f64::from(up) * unit);
        extent.down = extent.down.max(f64::from(down) * unit);
    }
    extent
}

/// How far a character moves on, reaches up and hangs down, in units of the face. Outlines are read slowly, and labels ask for the same
/// few hundred thousands of times: what was asked once is kept.
fn ink(c: char, weight: Weight) -> Option<[i32; 3]> {
    type Kept = [OnceLock<Option<[i32; 3]>>; 256];
    static REGULAR: Kept = [const { OnceLock::new() }; 256];
    static BOLD: Kept = [const { OnceLock::new() }; 256];
    let read = || {
        let face = face(weight);
        let glyph = face.glyph_index(c)?;
        let ink = face.glyph_bounding_box(glyph);
        let [up, down] = ink.map_or([0, 0], |ink| [i32::from(ink.y_max), -i32::from(ink.y_min)]);
        Some([i32::from(face.glyph_hor_advance(glyph).unwrap_or(0)), up, down])
    };
    let kept = if weight == Weight::Bold { &BOLD } else { &REGULAR };
    match kept.get(c as usize) {
        Some(place) => *place.get_or_init(read),
        None => read(),
    }
}

/// The glyphs of `words` in their order: the bytes each stands for, its number in the face, how far it moves on, in ems.
pub fn glyphs(words: &str, weight: Weight) -> impl Iterator<Item = (Range<usize>, u16, f64)> {
    let face = face(weight);
    let unit = 1.0 / f64::from(face.units_per_em());
    words.char_indices().filter_map(move |(at, c)| {
        let glyph = face.glyph_index(c)?;
        let advance = f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) * unit;
        Some((at..at + c.len_utf8(), glyph.0, advance))
    })
}

/// Width of `words` at size `em`, in inches.
#[must_use]
pub fn width(words: &str, weight: Weight, em: f64) -> f64 {
    extent(words, weight, em).width
}

/// The characters of `words` that the font lacks in either weight, in their order, each once.
#[must_use]
pub fn missing(words: &str) -> Vec<char> {
    let mut found = Vec::new();
    for c in words.chars() {
        if !has(c) && !found.contains(&c) {
            found.push(c);
        }
    }
    found
}

fn has(c: char) -> bool {
    [Weight::Regular, Weight::Bold].into_iter().all(|weight| face(weight).glyph_index(c).is_some_and(|g| g.0 != 0))
}

/// `words` as they can be printed: [`MISSING`] for each character the font lacks, a blank for line ends and tabs.
#[must_use]
pub fn printable(words: &str) -> String {
    let print = |c: char| match c {
        '\n' | '\r' | '\t' => ' ',
        c if c.is_control() || !has(c) => MISSING,
        c => c,
    };
    words.chars().map(print).collect()
}

/// Breaks `words` into lines no wider than `room` inches, at blanks; a word too long for a line is broken inside.
#[must_use]
pub fn wrap(words: &str, weight: Weight, em: f64, room: f64) -> Vec<String> {
    let words = printable(words);
    let fits = |line: &str| width(line, weight, em) <= room;
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if !fits(&line) && line.chars().nth(1).is_some() {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_marks_of_the_trade_are_in_the_font() {
        let marks = "CF 0123456789-/% ⅛¼⅜½⅝¾⅞ ′″° ± Δ ≤ ≥ ² ³ → ▲ △ × ÷ ⌀ □ ( ) … ≈";
        assert!(missing(marks).is_empty(), "{:?}", missing(marks));
        assert_eq!(missing("a\u{6F22}b\u{6F22}"), ['\u{6F22}']);
    }

    #[test]
    fn digits_share_a_width_and_size_scales() {
        let one = width("1", Weight::Regular, 1.0);
        assert!((width("8", Weight::Regular, 1.0) - one).abs() < 1e-12);
        assert!((width("18", Weight::Regular, 0.5) - one).abs() < 1e-12);
        assert!(width("18", Weight::Bold, 1.0) > 2.0 * one);
    }

    #[test]
    fn a_capital_stands_on_the_line_and_a_tail_hangs_below() {
        let capital = extent("C", Weight::Bold, 1.0);
        assert!(capital.up > 0.7 && capital.up < 0.76 && capital.down < 0.03, "{capital:?}");
        assert!(extent("g", Weight::Regular, 1.0).down > 0.15);
    }

    #[test]
    fn wrapped_lines_fit_and_lose_nothing() {
        let words = "spadework run existing.csv a-very-long-name-without-any-blank-in-it-at-all.csv --outlet OUT1";
        let lines = wrap(words, Weight::Regular, 0.1, 1.5);
        assert!(lines.len() > 2);
        for line in &lines {
            assert!(width(line, Weight::Regular, 0.1) <= 1.5, "{line}");
        }
        let bare = |s: &str| s.replace(' ', "");
        assert_eq!(bare(&lines.concat()), bare(words));
        assert_eq!(wrap("ab", Weight::Regular, 0.1, 0.001), ["a", "b"]);
    }
}
