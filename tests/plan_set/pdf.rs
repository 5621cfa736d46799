//! Pages read back from the PDF: their sizes, every line, sizes of words, the faces; in inches, y down.

use lopdf::content::Content;
use lopdf::{Document, Object, ObjectId};
use spadework::sheet::PaperPoint;

/// What a page holds.
#[derive(Debug, Default)]
pub struct Page {
    /// Width and height in points, as said.
    pub points: (f64, f64),
    pub lines: Vec<Vec<PaperPoint>>,
    /// Sizes of words in points, each once, from the least.
    pub sizes: Vec<f64>,
}

/// All pages, and the names of the faces: whether each is in the file.
pub fn read(bytes: &[u8]) -> (Vec<Page>, Vec<(String, bool)>) {
    let file = Document::load_mem(bytes).expect("is a PDF");
    let pages = file.get_pages().into_values().map(|id| page(&file, id)).collect();
    let mut fonts: Vec<(String, bool)> = file
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .filter(|d| d.get(b"Type").and_then(Object::as_name).is_ok_and(|t| t == b"FontDescriptor"))
        .map(|d| {
            let name = d.get(b"FontName").and_then(Object::as_name).expect("has a name");
            (String::from_utf8_lossy(name).into_owned(), d.has(b"FontFile2") || d.has(b"FontFile3"))
        })
        .collect();
    fonts.sort();
    (pages, fonts)
}

fn number(o: &Object) -> f64 {
    o.as_float().map(f64::from).or_else(|_| o.as_i64().map(|v| v as f64)).expect("a number")
}

/// Rows `a b c d e f` of a matrix of the page.
type Matrix = [f64; 6];

fn product(m: Matrix, n: Matrix) -> Matrix {
    [
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    ]
}

fn page(file: &Document, id: ObjectId) -> Page {
    let dict = file.get_object(id).and_then(Object::as_dict).expect("a page");
    let media = dict.get(b"MediaBox").and_then(Object::as_array).expect("has a size");
    let size: Vec<f64> = media.iter().map(number).collect();
    assert_eq!((size[0], size[1]), (0.0, 0.0));
    let mut out = Page { points: (size[2], size[3]), ..Page::default() };
    let content = Content::decode(&file.get_page_content(id)).expect("has content");
    let mut now: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let mut kept = Vec::new();
    for op in content.operations {
        let n: Vec<f64> =
            op.operands.iter().filter(|o| o.as_float().is_ok() || o.as_i64().is_ok()).map(number).collect();
        let at = |x: f64, y: f64| {
            let (x, y) = (x * now[0] + y * now[2] + now[4], x * now[1] + y * now[3] + now[5]);
            PaperPoint::new(x / 72.0, (size[3] - y) / 72.0)
        };
        match op.operator.as_str() {
            "q" => kept.push(now),
            "Q" => now = kept.pop().expect("as many Q as q"),
            "cm" => now = product([n[0], n[1], n[2], n[3], n[4], n[5]], now),
            "m" => out.lines.push(vec![at(n[0], n[1])]),
            "l" => out.lines.last_mut().expect("after m").push(at(n[0], n[1])),
            "re" => {
                let (x, y, w, h) = (n[0], n[1], n[2], n[3]);
                out.lines.push(vec![at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)]);
            }
            "Tf" => out.sizes.push(n[0] * (now[0] * now[3] - now[1] * now[2]).abs().sqrt()),
            _ => {}
        }
    }
    assert!(kept.is_empty(), "as many q as Q");
    out.sizes.sort_by(f64::total_cmp);
    out.sizes.dedup();
    out
}
