//! What is on the paper, and where?
//!
//! ```text
//!  (0,0) ──► x          ground: northing up the paper, easting to the right,
//!    │   paper inches   both in the job's unit, through one `Scale`
//!    ▼ y
//! ```
//! Units: inches of paper, x to the right, y down from the top left corner; angles in degrees clockwise as seen.
//! The list is drawn in its order, later over earlier. It knows no file format.

use super::font::{self, Weight};

/// A place on the ground, in the job's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
}

impl From<(f64, f64)> for Ground {
    /// Northing first, as everywhere.
    fn from((northing, easting): (f64, f64)) -> Self {
        Self { northing, easting }
    }
}

/// A place on the paper, in inches from its top left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperPoint {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

impl PaperPoint {
    /// At `x`, `y` inches.
    #[must_use]
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Moved by inches.
    #[must_use]
    pub fn by(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }

    /// Distance in inches.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// The point `t` of the way to `other`.
    #[must_use]
    pub fn towards(self, other: Self, t: f64) -> Self {
        self.by((other.x - self.x) * t, (other.y - self.y) * t)
    }
}

/// The only door between ground and paper. North is up.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// Inches of paper for one job unit of ground.
    per_unit: f64,
    ground: Ground,
    paper: PaperPoint,
}

impl Scale {
    /// `per_unit` inches of paper for one unit of ground; `ground` comes to lie at `paper`.
    #[must_use]
    pub fn new(per_unit: f64, ground: Ground, paper: PaperPoint) -> Self {
        Self { per_unit, ground, paper }
    }

    /// Where a place on the ground lies on the paper.
    #[must_use]
    pub fn paper(&self, at: impl Into<Ground>) -> PaperPoint {
        let at = at.into();
        self.paper.by(
            (at.easting - self.ground.easting) * self.per_unit,
            -(at.northing - self.ground.northing) * self.per_unit,
        )
    }

    /// How long a distance on the ground is on the paper, in inches.
    #[must_use]
    pub fn inches(&self, ground: f64) -> f64 {
        ground * self.per_unit
    }
}

/// An upright rectangle of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Rect {
    /// From its top left corner and size, in inches.
    #[must_use]
    pub fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }

    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.w
    }

    /// Bottom edge.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// Middle.
    #[must_use]
    pub fn centre(&self) -> PaperPoint {
        PaperPoint::new(self.x + self.w / 2.0, self.y + self.h / 2.0)
    }

    /// Smaller by `by` inches on each side.
    #[must_use]
    pub fn inset(&self, by: f64) -> Self {
        Self::new(self.x + by, self.y + by, self.w - 2.0 * by, self.h - 2.0 * by)
    }

    /// Its corners, clockwise from the top left.
    #[must_use]
    pub fn corners(&self) -> [PaperPoint; 4] {
        [
            PaperPoint::new(self.x, self.y),
            PaperPoint::new(self.right(), self.y),
            PaperPoint::new(self.right(), self.bottom()),
            PaperPoint::new(self.x, self.bottom()),
        ]
    }

    /// Whether the point is inside or on the edge.
    #[must_use]
    pub fn holds(&self, p: PaperPoint) -> bool {
        p.x >= self.x && p.x <= self.right() && p.y >= self.y && p.y <= self.bottom()
    }
}

/// Standard sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaperSize {
    /// 8 1/2 by 11 in.
    Letter,
    /// 11 by 17 in.
    Tabloid,
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
}

/// A sheet of paper, one way round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paper {
    /// Which size.
    pub size: PaperSize,
    /// The short side at the top.
    pub portrait: bool,
}

impl Paper {
    /// Long side at the top.
    #[must_use]
    pub fn landscape(size: PaperSize) -> Self {
        Self { size, portrait: false }
    }

    /// Short side at the top.
    #[must_use]
    pub fn portrait(size: PaperSize) -> Self {
        Self { size, portrait: true }
    }

    /// Width and height in inches, as it lies.
    #[must_use]
    pub fn inches(self) -> (f64, f64) {
        let (short, long) = match self.size {
            PaperSize::Letter => (8.5, 11.0),
            PaperSize::Tabloid => (11.0, 17.0),
            PaperSize::A4 => (210.0 / 25.4, 297.0 / 25.4),
            PaperSize::A3 => (297.0 / 25.4, 420.0 / 25.4),
        };
        if self.portrait { (short, long) } else { (long, short) }
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self.size {
            PaperSize::Letter => "letter",
            PaperSize::Tabloid => "tabloid",
            PaperSize::A4 => "A4",
            PaperSize::A3 => "A3",
        }
    }
}

/// Red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl Colour {
    /// Black.
    pub const BLACK: Self = Self(0, 0, 0);
    /// White.
    pub const WHITE: Self = Self(255, 255, 255);

    /// The colour `t` of the way to `other`.
    #[must_use]
    pub fn mix(self, other: Self, t: f64) -> Self {
        let t = t.clamp(0.0, 1.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between two bytes")]
        let part = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * t).round() as u8;
        Self(part(self.0, other.0), part(self.1, other.1), part(self.2, other.2))
    }
}

/// A line through points.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Its points, in inches.
    pub points: Vec<PaperPoint>,
    /// Whether it returns to its start.
    pub closed: bool,
    /// Width in inches.
    pub width: f64,
    /// Colour.
    pub colour: Colour,
    /// Lengths drawn and left out in turn, in inches; empty for a solid line.
    pub dash: &'static [f64],
    /// What it is filled with, if anything.
    pub fill: Option<Colour>,
}

impl Stroke {
    /// A solid open line.
    #[must_use]
    pub fn new(points: Vec<PaperPoint>, width: f64, colour: Colour) -> Self {
        Self { points, closed: false, width, colour, dash: &[], fill: None }
    }

    /// The same, returning to its start.
    #[must_use]
    pub fn closed(mut self) -> Self {
        self.closed = true;
        self
    }

    /// The same, dashed.
    #[must_use]
    pub fn dashed(mut self, dash: &'static [f64]) -> Self {
        self.dash = dash;
        self
    }

    /// The same, filled.
    #[must_use]
    pub fn filled(mut self, fill: Colour) -> Self {
        self.fill = Some(fill);
        self
    }
}

/// Touching pieces of one colour, drawn as one so that no seam shows between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Rings in inches, all turning the same way.
    pub rings: Vec<Vec<PaperPoint>>,
    /// Colour.
    pub fill: Colour,
}

/// Which part of a line of words is at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// The left end.
    Left,
    /// The middle.
    Middle,
    /// The right end.
    Right,
}

/// One line of words.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where its base line is, in inches.
    pub at: PaperPoint,
    /// The words; every character is in the font.
    pub words: String,
    /// Size of the em, in inches.
    pub em: f64,
    /// Which part of it is at its place.
    pub align: Align,
    /// Degrees clockwise about its place.
    pub angle: f64,
    /// Regular or bold.
    pub weight: Weight,
    /// Colour.
    pub colour: Colour,
    /// Width of the white rim around the letters, in inches; 0 for none.
    pub halo: f64,
    /// What it says: `cut`, `stake`, `existing`, `level`, `slope`, `title` and so on.
    pub role: &'static str,
}

impl Text {
    /// Black regular words, level, from their left end. Characters the font lacks become `□`.
    #[must_use]
    pub fn new(role: &'static str, at: PaperPoint, em: f64, words: &str) -> Self {
        Self {
            at,
            words: font::printable(words),
            em,
            align: Align::Left,
            angle: 0.0,
            weight: Weight::Regular,
            colour: Colour::BLACK,
            halo: 0.0,
            role,
        }
    }

    /// The same, bold.
    #[must_use]
    pub fn bold(mut self) -> Self {
        self.weight = Weight::Bold;
        self
    }

    /// The same, in a colour.
    #[must_use]
    pub fn colour(mut self, colour: Colour) -> Self {
        self.colour = colour;
        self
    }

    /// The same, aligned otherwise.
    #[must_use]
    pub fn align(mut self, align: Align) -> Self {
        self.align = align;
        self
    }

    /// The same, turned clockwise.
    #[must_use]
    pub fn turned(mut self, degrees: f64) -> Self {
        self.angle = degrees;
        self
    }

    /// The same, with a white rim of that width.
    #[must_use]
    pub fn halo(mut self, width: f64) -> Self {
        self.halo = width;
        self
    }

    /// Width in inches.
    #[must_use]
    pub fn width(&self) -> f64 {
        font::width(&self.words, self.weight, self.em)
    }

    /// How far its left end is left of its place, in inches.
    #[must_use]
    pub fn lead(&self) -> f64 {
        match self.align {
            Align::Left => 0.0,
            Align::Middle => self.width() / 2.0,
            Align::Right => self.width(),
        }
    }
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A line.
    Stroke(Stroke),
    /// Pieces of one colour.
    Area(Area),
    /// Words.
    Text(Text),
}

impl From<Stroke> for Item {
    fn from(stroke: Stroke) -> Self {
        Self::Stroke(stroke)
    }
}
impl From<Area> for Item {
    fn from(area: Area) -> Self {
        Self::Area(area)
    }
}
impl From<Text> for Item {
    fn from(text: Text) -> Self {
        Self::Text(text)
    }
}

/// Things that belong together, under a plain name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// Letters and hyphens, one of a kind in its drawing.
    pub id: &'static str,
    /// In the order they are drawn.
    pub items: Vec<Item>,
    /// What is drawn outside of it is cut off; all is shown where there is none.
    pub clip: Option<Rect>,
}

impl Group {
    /// An empty group.
    #[must_use]
    pub fn new(id: &'static str) -> Self {
        Self { id, items: Vec::new(), clip: None }
    }

    /// Adds one thing. Words of nothing but blanks are no thing.
    pub fn push(&mut self, item: impl Into<Item>) {
        let item = item.into();
        if !matches!(&item, Item::Text(text) if text.words.trim().is_empty()) {
            self.items.push(item);
        }
    }
}

/// A sheet, ready to be written in any format.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// What it is drawn on.
    pub paper: Paper,
    /// One line saying what it is.
    pub title: String,
    /// In the order they are drawn.
    pub groups: Vec<Group>,
    /// How the scale is said: `1 in = 4 ft`, `1:50`.
    pub scale: String,
    /// How many labels found no room.
    pub dropped: usize,
}

impl Drawing {
    /// The group of that name.
    #[must_use]
    pub fn group(&self, id: &str) -> Option<&Group> {
        self.groups.iter().find(|group| group.id == id)
    }

    /// Everything drawn, in order.
    pub fn items(&self) -> impl Iterator<Item = &Item> {
        self.groups.iter().flat_map(|group| &group.items)
    }

    /// All words, in order.
    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.items().filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fifty_feet_at_one_inch_to_ten_feet_measure_five_inches_each_way() {
        let scale = Scale::new(0.1, (1_750_000.0, 2_500_000.0).into(), PaperPoint::new(1.0, 9.0));
        let start = scale.paper((1_750_000.0, 2_500_000.0));
        for (end, right, up) in [((1_750_050.0, 2_500_000.0), 0.0, 5.0), ((1_750_000.0, 2_500_050.0), 5.0, 0.0)] {
            let end = scale.paper(end);
            assert!((end.x - start.x - right).abs() < 1e-6 && (start.y - end.y - up).abs() < 1e-6, "{start:?} {end:?}");
        }
        assert!((scale.inches(50.0) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_sheet_lies_either_way() {
        assert_eq!(Paper::landscape(PaperSize::Tabloid).inches(), (17.0, 11.0));
        assert_eq!(Paper::portrait(PaperSize::Letter).inches(), (8.5, 11.0));
        let (w, h) = Paper::landscape(PaperSize::A4).inches();
        assert!((w * 25.4 - 297.0).abs() < 1e-9 && (h * 25.4 - 210.0).abs() < 1e-9);
    }

    #[test]
    fn words_the_font_lacks_show_as_a_box_and_blank_words_are_not_drawn() {
        let text = Text::new("stake", PaperPoint::new(0.0, 0.0), 0.1, "P1\u{6F22}\tx");
        assert_eq!(text.words, "P1\u{25A1} x");
        let mut group = Group::new("test");
        group.push(Text::new("stake", PaperPoint::new(0.0, 0.0), 0.1, " \n"));
        assert!(group.items.is_empty());
    }
}
