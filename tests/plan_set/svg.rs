//! A sheet read back from its SVG: lines and words by group, in inches of paper.

use spadework::sheet::PaperPoint;
use spadework::sheet::font::{self, Weight};
use spadework::sheet::labels::Box2;
use std::collections::BTreeMap;

/// Words as they stand.
#[derive(Debug)]
pub struct Words {
    pub text: String,
    pub role: String,
    pub em: f64,
    pub ink: Box2,
}

/// What a file holds.
#[derive(Debug, Default)]
pub struct Sheet {
    /// Width and height as they are said, in inches.
    pub size: (f64, f64),
    /// Every line of every group.
    pub lines: BTreeMap<String, Vec<Vec<PaperPoint>>>,
    pub words: Vec<Words>,
}

pub fn read(text: &str) -> Sheet {
    let file = roxmltree::Document::parse(text).expect("is XML");
    let root = file.root_element();
    let inches = |name: &str| -> f64 {
        let said = root.attribute(name).and_then(|v| v.strip_suffix("in")).expect("says its inches");
        said.parse().expect("a number")
    };
    let mut sheet = Sheet { size: (inches("width"), inches("height")), ..Sheet::default() };
    let said = format!("0 0 {} {}", sheet.size.0, sheet.size.1);
    assert_eq!(root.attribute("viewBox"), Some(said.as_str()), "one unit is one inch");
    for group in root.descendants().filter(|n| n.has_tag_name("g") && n.attribute("id").is_some()) {
        let id = group.attribute("id").unwrap_or_default().to_owned();
        let lines = sheet.lines.entry(id).or_default();
        for thing in group.children() {
            if let Some(d) = thing.attribute("d") {
                lines.extend(path(d));
            } else if thing.has_tag_name("text") {
                sheet.words.push(words(&thing));
            }
        }
    }
    sheet
}

/// `M`, `L` and `Z` with absolute places: all that is written.
fn path(d: &str) -> Vec<Vec<PaperPoint>> {
    d.split('M')
        .filter(|part| !part.is_empty())
        .map(|part| {
            let corners = part.trim_end_matches('Z').split('L').map(|at| {
                let (x, y) = at.split_once(' ').expect("two numbers");
                PaperPoint::new(x.parse().expect("a number"), y.parse().expect("a number"))
            });
            corners.collect()
        })
        .collect()
}

fn words(node: &roxmltree::Node<'_, '_>) -> Words {
    let number = |name: &str| -> f64 { node.attribute(name).unwrap_or("0").parse().expect("a number") };
    let text = node.text().unwrap_or_default().to_owned();
    let (x, y, em, wide) = (number("x"), number("y"), number("font-size"), number("textLength"));
    let weight = if node.attribute("font-weight").is_some() { Weight::Bold } else { Weight::Regular };
    let extent = font::extent(&text, weight, em);
    let middle = PaperPoint::new(x + wide / 2.0, y + (extent.down - extent.up) / 2.0);
    let turn = node.attribute("transform").map(|t| {
        let inner = t.trim_start_matches("rotate(").trim_end_matches(')');
        let parts: Vec<f64> = inner.split(' ').map(|v| v.parse().expect("a number")).collect();
        (parts[0], PaperPoint::new(parts[1], parts[2]))
    });
    let (angle, centre) = turn.map_or((0.0, middle), |(angle, about)| {
        let (sin, cos) = f64::to_radians(angle).sin_cos();
        let (dx, dy) = (middle.x - about.x, middle.y - about.y);
        (angle, about.by(dx * cos - dy * sin, dx * sin + dy * cos))
    });
    let ink = Box2 { centre, half_w: wide / 2.0, half_h: (extent.up + extent.down) / 2.0, angle };
    Words { text, role: node.attribute("class").unwrap_or_default().to_owned(), em, ink }
}
