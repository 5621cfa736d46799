//! How does a chart get onto the sheet?
//!
//! The charting library draws on a grid of 1/1200 in; [`Canvas`] receives what it draws and adds it to a [`Group`],
//! at `origin + unit / 1200`. Words are measured with the sheet's own font and kept as words.
//! A profile's heights are drawn larger than its distances by a round factor, the largest of [`FACTORS`] at which they fit.
//! Nothing is ever drawn by dots: a shape the display list cannot hold is not asked for.

use super::font::{self, Weight};
use super::{Align, Colour, Group, PaperPoint, Rect, Stroke, Text};
use crate::units::fixed;
use plotters::prelude::{
    ChartBuilder, Color as _, IntoDrawingArea as _, IntoFont as _, RGBColor, ShapeStyle, TRANSPARENT, TextStyle,
};
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind, FontTransform,
};
use std::convert::Infallible;

/// Grid units to the inch.
pub const PER_INCH: f64 = 1200.0;

/// Inches as whole grid units.
#[must_use]
pub fn units(inches: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sheet is below 2^16 units wide")]
    let units = (inches.max(0.0) * PER_INCH).round() as u32;
    units
}

/// A rectangle of the sheet a chart is drawn into.
#[derive(Debug)]
pub struct Canvas<'a> {
    frame: Rect,
    group: &'a mut Group,
}

impl<'a> Canvas<'a> {
    /// What is drawn lands in `group`, within `frame`.
    pub fn new(frame: Rect, group: &'a mut Group) -> Self {
        Self { frame, group }
    }

    fn point(&self, (x, y): BackendCoord) -> PaperPoint {
        PaperPoint::new(self.frame.x + f64::from(x) / PER_INCH, self.frame.y + f64::from(y) / PER_INCH)
    }

    fn stroke(&mut self, points: Vec<PaperPoint>, style: &impl BackendStyle) {
        if points.len() > 1 && style.color().alpha > 0.0 {
            let width = f64::from(style.stroke_width()) / PER_INCH;
            self.group.push(Stroke::new(points, width, colour(style.color())));
        }
    }
}

/// The colour over white paper.
fn colour(c: BackendColor) -> Colour {
    Colour::WHITE.mix(Colour(c.rgb.0, c.rgb.1, c.rgb.2), c.alpha)
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Canvas<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        (units(self.frame.w), units(self.frame.h))
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, color: BackendColor) -> Drawn {
        let p = self.point(point);
        self.stroke(vec![p, p.by(1.0 / PER_INCH, 0.0)], &color);
        Ok(())
    }

    fn draw_line<S: BackendStyle>(&mut self, from: BackendCoord, to: BackendCoord, style: &S) -> Drawn {
        self.stroke(vec![self.point(from), self.point(to)], style);
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(&mut self, a: BackendCoord, b: BackendCoord, style: &S, fill: bool) -> Drawn {
        let corners = [a, (b.0, a.1), b, (a.0, b.1)];
        if fill { self.fill_polygon(corners, style) } else { self.draw_path(corners.into_iter().chain([a]), style) }
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(&mut self, path: I, style: &S) -> Drawn {
        let points = path.into_iter().map(|p| self.point(p)).collect();
        self.stroke(points, style);
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(&mut self, centre: BackendCoord, radius: u32, style: &S, fill: bool) -> Drawn {
        let (centre, r) = (self.point(centre), f64::from(radius) / PER_INCH);
        let at = |k: i32| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 24.0).sin_cos();
            centre.by(r * cos, r * sin)
        };
        let ring =
            Stroke::new((0..24).map(at).collect(), f64::from(style.stroke_width()) / PER_INCH, colour(style.color()));
        self.group.push(if fill { ring.closed().filled(colour(style.color())) } else { ring.closed() });
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(&mut self, ring: I, style: &S) -> Drawn {
        let points: Vec<_> = ring.into_iter().map(|p| self.point(p)).collect();
        if points.len() > 2 && style.color().alpha > 0.0 {
            let fill = colour(style.color());
            self.group.push(Stroke::new(points, 0.0, fill).closed().filled(fill));
        }
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(&mut self, words: &str, style: &T, at: BackendCoord) -> Drawn {
        let em = style.size() / PER_INCH;
        let ink = font::extent(words, Weight::Regular, em);
        // Along the words and across them, before they are turned.
        let align = match style.anchor().h_pos {
            HPos::Left => Align::Left,
            HPos::Center => Align::Middle,
            HPos::Right => Align::Right,
        };
        let drop = match style.anchor().v_pos {
            VPos::Top => ink.up,
            VPos::Center => ink.up / 2.0,
            VPos::Bottom => -ink.down,
        };
        let (angle, dx, dy) = match style.transform() {
            FontTransform::None => (0.0, 0.0, drop),
            FontTransform::Rotate90 => (90.0, -drop, 0.0),
            FontTransform::Rotate180 => (180.0, 0.0, -drop),
            FontTransform::Rotate270 => (270.0, drop, 0.0),
        };
        let at = self.point(at).by(dx, dy);
        self.group.push(Text::new("chart", at, em, words).align(align).turned(angle).colour(colour(style.color())));
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        words: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let ink = font::extent(words, Weight::Regular, style.size() / PER_INCH);
        Ok((units(ink.width), units(ink.up + ink.down)))
    }
}

/// Room for the numbers of a profile at its left and below it, in inches.
pub const NUMBERS: (f64, f64) = (0.62, 0.24);
/// How much larger heights may be drawn than distances.
pub const FACTORS: [f64; 13] = [100.0, 50.0, 30.0, 20.0, 15.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0];
/// Below this width a profile has fewer numbers below it.
const NARROW: f64 = 6.0;

/// The factor at which `length` fills `wide` inches and heights that span `span` fit into `tall` inches; 1 over a round one where they
/// would not.
#[must_use]
pub fn exaggeration(wide: f64, tall: f64, length: f64, span: f64) -> f64 {
    let once = tall / (wide / length);
    let parts = FACTORS.into_iter().rev().map(|factor| 1.0 / factor);
    let round = FACTORS.into_iter().chain(parts).find(|factor| once / factor >= span * 1.12);
    round.unwrap_or_else(|| (once / span).min(1.0) / 1.12)
}

/// The same in words.
#[must_use]
pub fn exaggerated(factor: f64) -> String {
    match factor {
        1.0 => "heights to the scale of the distances".to_owned(),
        f if f < 1.0 => format!("distances {} times the heights", fixed(1.0 / f, 0)),
        f => format!("heights {} times the distances", fixed(f, 0)),
    }
}

/// Axes, grid and numbers of a profile, the numbers of that size and colour.
///
/// # Errors
/// Only where the ranges are empty or not finite.
pub fn axes(
    group: &mut Group,
    room: Rect,
    length: f64,
    heights: std::ops::Range<f64>,
    (em, grey): (f64, Colour),
) -> Result<(), String> {
    let say = |why: &dyn std::fmt::Debug| format!("{why:?}");
    let span = heights.end - heights.start;
    let places = if span > 4.0 {
        0
    } else if span > 0.6 {
        1
    } else {
        2
    };
    let grey = RGBColor(grey.0, grey.1, grey.2);
    let area = Canvas::new(room, group).into_drawing_area();
    let mut chart = ChartBuilder::on(&area)
        .x_label_area_size(units(NUMBERS.1))
        .y_label_area_size(units(NUMBERS.0))
        .build_cartesian_2d(0.0..length, heights)
        .map_err(|why| say(&why))?;
    let label: TextStyle<'_> = ("DejaVu Sans", em * PER_INCH).into_font().color(&grey);
    let hair = ShapeStyle { color: RGBColor(220, 220, 220).to_rgba(), filled: false, stroke_width: units(0.005) };
    let axis = ShapeStyle { color: grey.to_rgba(), filled: false, stroke_width: units(0.008) };
    chart
        .configure_mesh()
        .disable_x_mesh()
        .bold_line_style(hair)
        .light_line_style(TRANSPARENT)
        .axis_style(axis)
        .label_style(label)
        .x_labels(if room.w < NARROW { 6 } else { 11 })
        .y_labels(5)
        .set_all_tick_mark_size(units(0.04))
        .x_label_formatter(&|x| fixed(*x, usize::from(length < 5.0)))
        .y_label_formatter(&move |z| fixed(*z, places))
        .draw()
        .map_err(|why| say(&why))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::Item;
    use plotters::prelude::{BLACK, ChartBuilder, IntoDrawingArea, IntoFont, LineSeries};

    #[test]
    fn a_chart_lands_inside_its_frame_with_words_of_the_size_asked_for() {
        let frame = Rect::new(2.0, 3.0, 4.0, 1.5);
        let mut group = Group::new("chart");
        {
            let area = Canvas::new(frame, &mut group).into_drawing_area();
            let mut chart = ChartBuilder::on(&area)
                .x_label_area_size(300)
                .y_label_area_size(500)
                .build_cartesian_2d(0.0..20.0, 99.0..101.0)
                .expect("a chart");
            let label = ("DejaVu Sans", 120.0).into_font();
            chart.configure_mesh().label_style(label).draw().expect("a mesh");
            chart.draw_series(LineSeries::new([(0.0, 99.5), (20.0, 100.5)], BLACK)).expect("a line");
        }
        let texts: Vec<&Text> =
            group.items.iter().filter_map(|i| if let Item::Text(t) = i { Some(t) } else { None }).collect();
        assert!(texts.len() >= 6);
        assert!(texts.iter().all(|t| (t.em - 0.1).abs() < 1e-9 && frame.holds(t.at)));
        let line = group.items.iter().rev().find_map(|i| if let Item::Stroke(s) = i { Some(s) } else { None });
        let line = line.expect("the series");
        // 500 units of label room leave x from 2 + 500/1200 to 6.
        assert!((line.points[0].x - (2.0 + 500.0 / 1200.0)).abs() < 2e-3, "{line:?}");
        assert!((line.points[1].x - 6.0).abs() < 2e-3, "{line:?}");
    }
}
