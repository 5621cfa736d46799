//! How are the sheets put into one PDF?
//!
//! Method: every drawing is a page of just its paper's size, one inch of paper 72 points (ISO 32000-2, 8.3.2.3), so a print
//! at 100 % is to scale. Lines are lines and words are words: the two embedded faces go in as subsets with the widths the drawing
//! was laid out with, and can be searched. The white rim of a word is drawn as outlines, so that no word stands twice.
//! No date, no random number: the same drawings give the same bytes. Units: points of 1/72 in, y down.

use super::svg::{self, NotFinite};
use crate::sheet::font::{self, Weight};
use crate::sheet::{Area, Colour, Drawing, Item, PaperPoint, Rect, Stroke, Text};
use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Data, Document};
use std::fmt;

/// Why there is no file.
#[derive(Clone, Debug, PartialEq)]
pub enum NoPdf {
    /// A drawing has a measure that is no number.
    NotFinite(NotFinite),
    /// A page has no size, or the packer refuses: what it says.
    Packing(String),
}

impl fmt::Display for NoPdf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite(bad) => bad.fmt(f),
            Self::Packing(why) => write!(f, "the sheets could not be packed into a PDF: {why}"),
        }
    }
}

impl std::error::Error for NoPdf {}

impl From<NotFinite> for NoPdf {
    fn from(bad: NotFinite) -> Self {
        Self::NotFinite(bad)
    }
}

/// Points in an inch.
const POINTS: f64 = 72.0;

/// The drawings as the pages of one PDF file, in their order, each under its title in the outline.
///
/// # Errors
/// A measure is not a finite number, or there is no page.
pub fn bytes(title: &str, drawings: &[Drawing]) -> Result<Vec<u8>, NoPdf> {
    for drawing in drawings {
        svg::all_finite(drawing)?;
    }
    if drawings.is_empty() {
        return Err(NoPdf::Packing("there is no page".to_owned()));
    }
    let fonts = Fonts::new().ok_or_else(|| NoPdf::Packing("the embedded font cannot be read".to_owned()))?;
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()).language("en".to_owned()));
    let mut outline = Outline::new();
    for (k, drawing) in drawings.iter().enumerate() {
        let (w, h) = drawing.paper.inches();
        let size = PageSettings::from_wh(points(w), points(h));
        let mut page = document.start_page_with(size.ok_or_else(|| NoPdf::Packing(format!("{w} by {h} in")))?);
        let mut surface = page.surface();
        for group in &drawing.groups {
            if let Some(clip) = group.clip.and_then(|r| path(&[r.corners().to_vec()], true)) {
                surface.push_clip_path(&clip, &FillRule::NonZero);
            }
            for item in &group.items {
                match item {
                    Item::Stroke(stroke) => draw_stroke(&mut surface, stroke),
                    Item::Area(area) => draw_area(&mut surface, area),
                    Item::Text(text) => fonts.draw(&mut surface, text),
                }
            }
            if group.clip.is_some_and(has_size) {
                surface.pop();
            }
        }
        surface.finish();
        page.finish();
        outline.push_child(OutlineNode::new(drawing.title.clone(), XyzDestination::new(k, Point::from_xy(0.0, 0.0))));
    }
    document.set_outline(outline);
    document.finish().map_err(|why| NoPdf::Packing(format!("{why:?}")))
}

fn has_size(r: Rect) -> bool {
    path(&[r.corners().to_vec()], true).is_some()
}

#[expect(clippy::cast_possible_truncation, reason = "f32 is what the packer takes: 17 in to 1e-6 in")]
fn points(inches: f64) -> f32 {
    (inches * POINTS) as f32
}

fn colour(Colour(r, g, b): Colour) -> rgb::Color {
    rgb::Color::new(r, g, b)
}

fn filled(fill: Colour) -> Option<Fill> {
    Some(Fill { paint: colour(fill).into(), ..Fill::default() })
}

fn pen(ink: Colour, width: f64, dash: &[f64]) -> Option<Pen> {
    let dash = (!dash.is_empty())
        .then(|| StrokeDash { array: dash.iter().map(|&length| points(length)).collect(), offset: 0.0 });
    let pen =
        Pen { paint: colour(ink).into(), width: points(width), line_join: LineJoin::Round, dash, ..Pen::default() };
    (width > 0.0).then_some(pen)
}

/// A path of several lines; none where nothing can be drawn.
fn path(lines: &[Vec<PaperPoint>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for line in lines.iter().filter(|line| line.len() > 1) {
        for (i, p) in line.iter().enumerate() {
            let (x, y) = (points(p.x), points(p.y));
            if i == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
        }
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

fn draw_stroke(surface: &mut Surface<'_>, stroke: &Stroke) {
    let (fill, pen) = (stroke.fill.and_then(filled), pen(stroke.colour, stroke.width, stroke.dash));
    // Without either, the packer would fill it in black.
    if fill.is_none() && pen.is_none() {
        return;
    }
    surface.set_fill(fill);
    surface.set_stroke(pen);
    if let Some(path) = path(std::slice::from_ref(&stroke.points), stroke.closed) {
        surface.draw_path(&path);
    }
}

/// The thin stroke closes the pale seams that smoothing leaves between neighbours.
fn draw_area(surface: &mut Surface<'_>, area: &Area) {
    surface.set_fill(filled(area.fill));
    surface.set_stroke(pen(area.fill, 0.004, &[]));
    if let Some(path) = path(&area.rings, true) {
        surface.draw_path(&path);
    }
}

/// The two faces.
struct Fonts {
    regular: Font,
    bold: Font,
}

impl Fonts {
    fn new() -> Option<Self> {
        let load = |weight| Font::new(Data::from(font::bytes(weight)), 0);
        Some(Self { regular: load(Weight::Regular)?, bold: load(Weight::Bold)? })
    }

    fn draw(&self, surface: &mut Surface<'_>, text: &Text) {
        let font = if text.weight == Weight::Bold { &self.bold } else { &self.regular };
        #[expect(clippy::cast_possible_truncation, reason = "f32 is what the packer takes")]
        let narrow = |v: f64| v as f32;
        let glyphs: Vec<KrillaGlyph> = font::glyphs(&text.words, text.weight)
            .map(|(at, id, advance)| {
                let id = GlyphId::new(u32::from(id));
                KrillaGlyph::new(id, narrow(advance), 0.0, 0.0, 0.0, at, None)
            })
            .collect();
        let start = Point::from_xy(points(text.at.x - text.lead()), points(text.at.y));
        let about = Transform::from_rotate_at(narrow(text.angle), points(text.at.x), points(text.at.y));
        let em = points(text.em);
        if text.angle != 0.0 {
            surface.push_transform(&about);
        }
        if text.halo > 0.0 {
            surface.set_fill(None);
            surface.set_stroke(pen(Colour::WHITE, 2.0 * text.halo, &[]));
            surface.draw_glyphs(start, &glyphs, font.clone(), &text.words, em, true);
        }
        surface.set_fill(filled(text.colour));
        surface.set_stroke(None);
        surface.draw_glyphs(start, &glyphs, font.clone(), &text.words, em, false);
        if text.angle != 0.0 {
            surface.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{Group, Paper, PaperSize};

    #[test]
    fn a_measure_that_is_no_number_and_a_set_without_pages_are_refused() {
        assert!(matches!(bytes("nothing", &[]), Err(NoPdf::Packing(_))));
        let mut group = Group::new("odd");
        group.push(Stroke::new(vec![PaperPoint::new(0.0, f64::NAN), PaperPoint::new(1.0, 1.0)], 0.01, Colour::BLACK));
        let paper = Paper::landscape(PaperSize::Letter);
        let drawing = Drawing { paper, title: "odd".to_owned(), groups: vec![group], scale: String::new(), dropped: 0 };
        let said = bytes("odd", &[drawing]).expect_err("no number").to_string();
        assert!(said.contains("line 1 of `odd`"), "{said}");
    }
}
