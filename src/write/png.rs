//! How is a drawing put into PNG?
//!
//! Method: from the SVG text, by resvg, with the embedded font and no other, so the picture is the same on every
//! machine. Words that would be lost without a word are an error: every text written must come back from the parsed
//! tree, with a real glyph for each character. The resolution is written into the file (`pHYs`; W3C, PNG, third
//! edition, 11.3.4.3), so it prints to scale. Units: dots per inch of paper.

use crate::sheet::font::{self, Weight};
use resvg::usvg::fontdb::{Database, Source};
use resvg::{tiny_skia, usvg};
use std::fmt;
use std::sync::{Arc, OnceLock};

/// Why there is no picture.
#[derive(Clone, Debug, PartialEq)]
pub enum NoPicture {
    /// A resolution too coarse to read or too fine to hold.
    Resolution(f64),
    /// The SVG cannot be read: what its reader says.
    Unreadable(String),
    /// Words were lost: written, and found again.
    WordsLost(usize, usize),
    /// The font lacks a character of these words.
    GlyphMissing(String),
    /// The picture could not be packed: what the packer says.
    Packing(String),
}

impl fmt::Display for NoPicture {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Resolution(dpi) => write!(f, "{dpi} dots per inch; ask for {LEAST} to {MOST}"),
            Self::Unreadable(why) => write!(f, "the drawing's SVG cannot be read back: {why}"),
            Self::WordsLost(written, found) => {
                write!(f, "the drawing has {written} texts, of which {found} came out; no picture is better than that")
            }
            Self::GlyphMissing(words) => write!(f, "the font lacks a character of \"{words}\"; use plain letters"),
            Self::Packing(why) => write!(f, "the picture could not be packed: {why}"),
        }
    }
}

impl std::error::Error for NoPicture {}

/// Coarsest and finest resolution, dots per inch.
const LEAST: f64 = 20.0;
const MOST: f64 = 1200.0;

fn fonts() -> Arc<Database> {
    static FONTS: OnceLock<Arc<Database>> = OnceLock::new();
    let load = || {
        let mut fonts = Database::new();
        for weight in [Weight::Regular, Weight::Bold] {
            fonts.load_font_source(Source::Binary(Arc::new(font::bytes(weight))));
        }
        Arc::new(fonts)
    };
    Arc::clone(FONTS.get_or_init(load))
}

/// The parsed picture of an SVG text, all its words accounted for.
///
/// # Errors
/// The SVG cannot be read, or words would be lost.
pub fn tree(svg: &str) -> Result<usvg::Tree, NoPicture> {
    let options = usvg::Options { fontdb: fonts(), ..usvg::Options::default() };
    let tree = usvg::Tree::from_str(svg, &options).map_err(|why| NoPicture::Unreadable(why.to_string()))?;
    let written = svg.matches("<text ").count();
    let found = count_texts(tree.root())?;
    if written == found { Ok(tree) } else { Err(NoPicture::WordsLost(written, found)) }
}

fn count_texts(group: &usvg::Group) -> Result<usize, NoPicture> {
    let mut count = 0;
    for node in group.children() {
        match node {
            usvg::Node::Group(inner) => count += count_texts(inner)?,
            usvg::Node::Text(text) => {
                count += 1;
                if text.layouted().iter().flat_map(|span| &span.positioned_glyphs).any(|glyph| glyph.id.0 == 0) {
                    let words: Vec<&str> = text.chunks().iter().map(usvg::TextChunk::text).collect();
                    return Err(NoPicture::GlyphMissing(words.concat()));
                }
            }
            _ => {}
        }
    }
    Ok(count)
}

/// The picture of an SVG text at `dpi` dots per inch of paper, as the bytes of a PNG file.
///
/// # Errors
/// The resolution is out of bounds, the SVG cannot be read, or words would be lost.
pub fn bytes(svg: &str, dpi: f64) -> Result<Vec<u8>, NoPicture> {
    if !(LEAST..=MOST).contains(&dpi) {
        return Err(NoPicture::Resolution(dpi));
    }
    let tree = tree(svg)?;
    // usvg reckons 96 dots to the inch.
    let zoom = dpi / 96.0;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sheet at most 17 in by 1200 dots")]
    let dots = |size: f32| (f64::from(size) * zoom).round() as u32;
    let mut picture = tiny_skia::Pixmap::new(dots(tree.size().width()), dots(tree.size().height()))
        .ok_or(NoPicture::Resolution(dpi))?;
    // A last row that the sheet covers in part must not come out dark.
    picture.fill(tiny_skia::Color::WHITE);
    #[expect(clippy::cast_possible_truncation, reason = "f32 is what the renderer takes")]
    let transform = tiny_skia::Transform::from_scale(zoom as f32, zoom as f32);
    resvg::render(&tree, transform, &mut picture.as_mut());
    packed(&picture, dpi).map_err(|why| NoPicture::Packing(why.to_string()))
}

/// Without the fourth channel: paper is not transparent.
fn packed(picture: &tiny_skia::Pixmap, dpi: f64) -> Result<Vec<u8>, png::EncodingError> {
    let rgb: Vec<u8> = picture.pixels().iter().flat_map(|dot| [dot.red(), dot.green(), dot.blue()]).collect();
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_compression(png::Compression::Fast);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 1200 dots per inch")]
    let per_metre = (dpi / 0.0254).round() as u32;
    let dots = png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter };
    encoder.set_pixel_dims(Some(dots));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&rgb)?;
    writer.finish()?;
    Ok(out)
}
