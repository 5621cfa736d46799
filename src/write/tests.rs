use super::{png, svg};
use crate::sheet::plan::{PlanOptions, plan};
use crate::sheet::sample::Yard;
use crate::sheet::{Drawing, Group, Item, Paper, PaperPoint, PaperSize, Stroke, Text};
use crate::units::LengthUnit;

fn sheet_of(items: Vec<Item>) -> Drawing {
    let mut group = Group::new("test");
    items.into_iter().for_each(|item| group.push(item));
    Drawing {
        paper: Paper::landscape(PaperSize::Letter),
        title: "A & B".into(),
        groups: vec![group],
        scale: "1 in = 1 ft".into(),
        dropped: 0,
    }
}

fn words(words: &str) -> Item {
    Text::new("stake", PaperPoint::new(1.0, 1.0), 0.2, words).into()
}

/// Dark dots, wide and high, of a PNG read back through the renderer's own library.
fn dots(bytes: &[u8]) -> (u32, u32, usize) {
    let picture = resvg::tiny_skia::Pixmap::decode_png(bytes).expect("a picture");
    let dark = picture.pixels().iter().filter(|p| u32::from(p.red()) + u32::from(p.green()) < 200).count();
    (picture.width(), picture.height(), dark)
}

/// The pictures of all samples, also left in the temporary folder to be looked at.
#[test]
fn pictures_are_not_blank_and_can_be_looked_at() {
    let metric = Yard { step: 3.0, unit: LengthUnit::Metre, interval: 0.025, ..Yard::grid(6, 5) };
    let papers = [
        ("small", Yard::small(), Paper::landscape(PaperSize::Tabloid)),
        ("small-letter", Yard::small(), Paper::landscape(PaperSize::Letter)),
        ("yard", Yard::grid(9, 7), Paper::landscape(PaperSize::Tabloid)),
        ("yard-portrait", Yard::grid(9, 7), Paper::portrait(PaperSize::Letter)),
        ("metric", metric, Paper::landscape(PaperSize::A4)),
        ("large", Yard::grid(20, 20), Paper::landscape(PaperSize::Tabloid)),
        ("strip", Yard::grid(2, 30), Paper::landscape(PaperSize::Letter)),
    ];
    for (name, yard, paper) in papers {
        let drawing = plan(&yard.outcome(), &PlanOptions { paper, ..PlanOptions::default() });
        let text = svg::text(&drawing).expect("finite measures");
        let picture = png::bytes(&text, 100.0).expect("a picture");
        let folder = std::env::temp_dir();
        std::fs::write(folder.join(format!("sheet-{name}.svg")), &text).expect("a temporary file");
        std::fs::write(folder.join(format!("sheet-{name}.png")), &picture).expect("a temporary file");
        let (w, h) = paper.inches();
        let (wide, high, dark) = dots(&picture);
        assert!((f64::from(wide) - w * 100.0).abs() <= 1.0 && (f64::from(high) - h * 100.0).abs() <= 1.0);
        let last = resvg::tiny_skia::Pixmap::decode_png(&picture).expect("a picture");
        assert!(last.pixel(5, high - 1).is_some_and(|dot| dot.red() > 250), "{name}: a dark last row");
        assert!(dark > 5_000, "{name}: {dark} dark dots");
    }
}

#[test]
fn every_text_of_the_drawing_is_in_the_picture() {
    let drawing = plan(&Yard::grid(9, 7).outcome(), &PlanOptions::default());
    let text = svg::text(&drawing).expect("finite measures");
    assert_eq!(text.matches("<text ").count(), drawing.texts().count());
    assert!(png::tree(&text).is_ok());
    assert!(text.starts_with(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"17in\" height=\"11in\" viewBox=\"0 0 17 11\">"
    ));
}

#[test]
fn a_line_of_five_inches_is_five_hundred_dots_at_one_hundred_an_inch() {
    let line =
        Stroke::new(vec![PaperPoint::new(2.0, 2.0), PaperPoint::new(7.0, 2.0)], 0.02, crate::sheet::Colour::BLACK);
    let text = svg::text(&sheet_of(vec![line.into()])).expect("finite measures");
    let (_, _, dark) = dots(&png::bytes(&text, 100.0).expect("a picture"));
    assert_eq!(dark, 500 * 2);
}

#[test]
fn the_width_of_words_is_the_width_measured() {
    for at_an_angle in [0.0, -30.0] {
        let text = Text::new("cut", PaperPoint::new(3.0, 3.0), 0.5, "C 0-8 3/8").bold().turned(at_an_angle);
        let width = text.width();
        let svg = svg::text(&sheet_of(vec![text.into()])).expect("finite measures");
        let tree = png::tree(&svg).expect("a tree");
        let found = found_width(tree.root()).expect("a text");
        // Bearings of the first and last letter are not ink.
        assert!((found / 96.0 - width).abs() < 0.06, "{found} dots for {width} in");
    }
}

fn found_width(group: &resvg::usvg::Group) -> Option<f64> {
    group.children().iter().find_map(|node| match node {
        resvg::usvg::Node::Text(text) => {
            // Of the words before they are turned, in user units of 1/96 in scaled by the view box.
            let scale = f64::from(text.abs_transform().get_scale().0);
            Some(f64::from(text.bounding_box().width()) * scale)
        }
        resvg::usvg::Node::Group(inner) => found_width(inner),
        _ => None,
    })
}

#[test]
fn names_cannot_break_out_of_the_file() {
    let mut outcome = Yard::small().outcome();
    outcome.job = "<script>alert('x')</script> & \"sons\"".into();
    if let Some(stakes) = &mut outcome.stakes {
        stakes[0].stake = "A&B".into();
        stakes[1].stake = "]]>\u{0}\u{8}\u{FFFF}\u{6F22}".into();
    }
    let text = svg::text(&plan(&outcome, &PlanOptions::default())).expect("finite measures");
    assert!(!text.contains("<script") && text.contains("&lt;script&gt;") && text.contains(">A&amp;B<"));
    assert!(text.contains(">]]&gt;□□□□<"));
    assert!(png::tree(&text).is_ok());
}

#[test]
fn a_measure_that_is_no_number_is_refused_by_name() {
    for bad in [f64::NAN, f64::INFINITY] {
        let line = Stroke::new(vec![PaperPoint::new(0.0, bad)], 0.01, crate::sheet::Colour::BLACK);
        let why = svg::text(&sheet_of(vec![words("P1"), line.into()])).expect_err("refused").to_string();
        assert!(why.contains("line 2 of `test`") && why.contains(&bad.to_string()), "{why}");
    }
    let text = Text::new("stake", PaperPoint::new(1.0, 1.0), f64::NAN, "P7");
    let why = svg::text(&sheet_of(vec![text.into()])).expect_err("refused").to_string();
    assert!(why.contains("text 1 \"P7\""), "{why}");
    let mut nothing = Vec::new();
    let line = Stroke::new(vec![PaperPoint::new(f64::NAN, 0.0)], 0.01, crate::sheet::Colour::BLACK);
    assert!(svg::write(&sheet_of(vec![line.into()]), &mut nothing).is_err() && nothing.is_empty());
}

#[test]
fn lost_words_are_an_error() {
    let text = svg::text(&sheet_of(vec![words("P1")])).expect("finite measures");
    let lost = text.replace("font-size=\"0.2\"", "font-size=\"0\"");
    assert_eq!(png::tree(&lost).err(), Some(png::NoPicture::WordsLost(1, 0)));
    let missing = text.replace(">P1<", ">\u{6F22}<");
    assert!(matches!(
        png::tree(&missing).err(),
        Some(png::NoPicture::GlyphMissing(_) | png::NoPicture::WordsLost(1, 0))
    ));
    assert!(matches!(png::bytes("<svg", 100.0), Err(png::NoPicture::Unreadable(_))));
    for dpi in [0.0, 5000.0, f64::NAN] {
        let why = png::bytes(&text, dpi).expect_err("refused").to_string();
        assert!(why.contains("20 to 1200"), "{why}");
    }
}

#[test]
fn the_same_outcome_gives_the_same_bytes() {
    let outcome = Yard::grid(5, 4).outcome();
    let write = || {
        let text = svg::text(&plan(&outcome, &PlanOptions::default())).expect("finite measures");
        let picture = png::bytes(&text, 50.0).expect("a picture");
        (text, picture)
    };
    assert!(write() == write());
}

#[test]
fn the_picture_says_its_resolution() {
    let text = svg::text(&sheet_of(vec![words("P1")])).expect("finite measures");
    let picture = png::bytes(&text, 150.0).expect("a picture");
    // 150 dots per inch are 5906 per metre; its check sum is that of any PNG tool.
    assert_eq!(&picture[37..41], b"pHYs");
    assert_eq!(picture[41..45], 5906_u32.to_be_bytes());
    assert_eq!(dots(&picture).0, 1650);
}
