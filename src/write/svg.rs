//! How is a drawing put into SVG?
//!
//! Method: one user unit is one inch of paper (`width="17in" viewBox="0 0 17 11"`), so a print at 100 % is to scale.
//! Words stay words, with the width the embedded font gives them (`textLength`): a viewer with another font keeps
//! the layout. Source: W3C, Scalable Vector Graphics (SVG) 1.1 and 2. Numbers are written to 1/10,000 in, contours to a
//! thousandth of that, so that heights can be measured on them.
//! A number that is not finite is refused by name, since readers drop such a path without a word.

use crate::sheet::font::Weight;
use crate::sheet::{Area, Colour, Drawing, Item, PaperPoint, Rect, Stroke, Text};
use std::fmt::{self, Write as _};
use std::io;

/// A drawing that cannot be written.
#[derive(Clone, Debug, PartialEq)]
pub struct NotFinite {
    /// The group it is in.
    pub group: &'static str,
    /// Which thing of the group, from 1, and what it is.
    pub item: String,
    /// What was found.
    pub value: f64,
}

impl fmt::Display for NotFinite {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { group, item, value } = self;
        write!(f, "the drawing has {value} as a measure in {item} of `{group}`; every measure must be a finite number")
    }
}

impl std::error::Error for NotFinite {}

/// The drawing as SVG text.
///
/// # Errors
/// A measure is not a finite number.
pub fn text(drawing: &Drawing) -> Result<String, NotFinite> {
    all_finite(drawing)?;
    let (w, h) = drawing.paper.inches();
    let mut out = String::with_capacity(64 * 1024);
    let (w, h) = (number(w), number(h));
    put(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}in\" height=\"{h}in\" viewBox=\"0 0 {w} {h}\">\n\
             <title>{}</title>\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n\
             <g font-family=\"DejaVu Sans, DejaVu Sans Condensed, Liberation Sans Narrow, Arial Narrow, Arial, Helvetica, sans-serif\" font-stretch=\"condensed\" \
             stroke-linejoin=\"round\" stroke-linecap=\"butt\" fill=\"none\">\n",
            escaped(&drawing.title)
        ),
    );
    for group in &drawing.groups {
        let id = escaped(group.id);
        match group.clip {
            Some(Rect { x, y, w, h }) => {
                let [x, y, w, h] = [x, y, w, h].map(number);
                put(
                    &mut out,
                    format_args!(
                        "<clipPath id=\"{id}-room\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>\n\
                         <g id=\"{id}\" clip-path=\"url(#{id}-room)\">\n"
                    ),
                );
            }
            None => put(&mut out, format_args!("<g id=\"{id}\">\n")),
        }
        let places = if group.id.ends_with("-contours") { FINE } else { PLACES };
        for item in &group.items {
            match item {
                Item::Stroke(stroke) => write_stroke(&mut out, stroke, places),
                Item::Area(area) => write_area(&mut out, area),
                Item::Text(text) => write_text(&mut out, text),
            }
        }
        out.push_str("</g>\n");
    }
    out.push_str("</g>\n</svg>\n");
    Ok(out)
}

/// Readers drop a path with a measure that is no number without a word: refused here, by name.
pub(super) fn all_finite(drawing: &Drawing) -> Result<(), NotFinite> {
    for group in &drawing.groups {
        for (i, item) in group.items.iter().enumerate() {
            let (kind, bad) = match item {
                Item::Stroke(stroke) => ("line", first_bad(&stroke.points, &[stroke.width])),
                Item::Area(area) => ("area", area.rings.iter().find_map(|ring| first_bad(ring, &[]))),
                Item::Text(text) => ("text", first_bad(&[text.at], &[text.em, text.angle, text.halo])),
            };
            if let Some(value) = bad {
                let what = if let Item::Text(text) = item { format!(" \"{}\"", text.words) } else { String::new() };
                return Err(NotFinite { group: group.id, item: format!("{kind} {}{what}", i + 1), value });
            }
        }
    }
    Ok(())
}

/// Writes the drawing as SVG.
///
/// # Errors
/// A measure is not a finite number, or `out` refuses.
pub fn write(drawing: &Drawing, out: &mut impl io::Write) -> io::Result<()> {
    let text = text(drawing).map_err(|bad| io::Error::new(io::ErrorKind::InvalidData, bad))?;
    out.write_all(text.as_bytes())
}

fn first_bad(points: &[PaperPoint], more: &[f64]) -> Option<f64> {
    points.iter().flat_map(|p| [p.x, p.y]).chain(more.iter().copied()).find(|v| !v.is_finite())
}

/// Writing to a String cannot fail.
fn put(out: &mut String, what: fmt::Arguments<'_>) {
    let _ = out.write_fmt(what);
}

/// Decimals of an inch, of all and of contours.
const PLACES: usize = 4;
const FINE: usize = 7;

fn number(value: f64) -> String {
    let mut out = String::new();
    rounded(&mut out, value, PLACES);
    out
}

/// By whole numbers of the last place: the way over decimals of any length is ten times as slow, and a plan has many numbers.
fn rounded(out: &mut String, value: f64, places: usize) {
    let (mut unit, mut places) = (1_u64, places);
    (0..places).for_each(|_| unit *= 10);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "inches of paper, not below nought here"
    )]
    let whole = (value.abs() * unit as f64).round() as u64;
    let sign = if value < 0.0 && whole > 0 { "-" } else { "" };
    put(out, format_args!("{sign}{}", whole / unit));
    let mut broken = whole % unit;
    if broken > 0 {
        while broken.is_multiple_of(10) {
            (broken, places) = (broken / 10, places - 1);
        }
        put(out, format_args!(".{broken:0places$}"));
    }
}

fn colour(Colour(r, g, b): Colour) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// `words` as they stand in XML; characters XML 1.0 forbids become U+FFFD.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\r' | '\t' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

fn path(out: &mut String, points: &[PaperPoint], closed: bool, places: usize) {
    for (i, p) in points.iter().enumerate() {
        out.push(if i == 0 { 'M' } else { 'L' });
        rounded(out, p.x, places);
        out.push(' ');
        rounded(out, p.y, places);
    }
    if closed {
        out.push('Z');
    }
}

fn write_stroke(out: &mut String, stroke: &Stroke, places: usize) {
    out.push_str("<path d=\"");
    path(out, &stroke.points, stroke.closed, places);
    out.push('"');
    if let Some(fill) = stroke.fill {
        put(out, format_args!(" fill=\"{}\"", colour(fill)));
    }
    if stroke.width > 0.0 {
        put(out, format_args!(" stroke=\"{}\" stroke-width=\"{}\"", colour(stroke.colour), number(stroke.width)));
    }
    if !stroke.dash.is_empty() {
        let dash: Vec<String> = stroke.dash.iter().map(|&d| number(d)).collect();
        put(out, format_args!(" stroke-dasharray=\"{}\"", dash.join(" ")));
    }
    out.push_str("/>\n");
}

/// The thin stroke closes the pale seams that smoothing leaves between neighbours.
fn write_area(out: &mut String, area: &Area) {
    out.push_str("<path d=\"");
    for ring in &area.rings {
        path(out, ring, true, PLACES);
    }
    let fill = colour(area.fill);
    put(out, format_args!("\" fill=\"{fill}\" stroke=\"{fill}\" stroke-width=\"0.004\"/>\n"));
}

fn write_text(out: &mut String, text: &Text) {
    let width = text.width();
    let (x, y) = (number(text.at.x - text.lead()), number(text.at.y));
    put(
        out,
        format_args!(
            "<text class=\"{}\" x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\" textLength=\"{}\" \
             lengthAdjust=\"spacingAndGlyphs\"",
            escaped(text.role),
            number(text.em),
            colour(text.colour),
            number(width)
        ),
    );
    if text.weight == Weight::Bold {
        out.push_str(" font-weight=\"700\"");
    }
    if text.angle != 0.0 {
        let (cx, cy) = (number(text.at.x), number(text.at.y));
        put(out, format_args!(" transform=\"rotate({} {cx} {cy})\"", number(text.angle)));
    }
    if text.halo > 0.0 {
        // The rim lies half inside the letters, under them: twice the width shows once.
        put(
            out,
            format_args!(" paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"{}\"", number(2.0 * text.halo)),
        );
    }
    put(out, format_args!(">{}</text>\n", escaped(&text.words)));
}
