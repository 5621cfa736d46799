//! One survey in every dialect a table may be written in: each must give the very same shots, to the last bit.

use spadework::read::{Complaints, Source, read_shots};
use spadework::shots::Shots;
use spadework::units::LengthUnit::Foot;

/// Names with every sign that parts cells or needs quotes; whole, broken, negative and small numbers.
const ROWS: [[&str; 5]; 7] = [
    ["Zäh, \"1\"", "-0.5", "0", "100.25", ""],
    ["b;2", "10.000001", "3.25", "99.9", "ground"],
    ["c 3'", "4500123.456789", "12", "-0.04", "fixed"],
    ["4", "10", "600000.1", "101", "bench"],
    ["é", "20.5", "7", "0", "rim"],
    ["p (6)", "30", "-2.75", "1250.125", ""],
    ["dash-7", "31", "9", "100.3", "invert"],
];

/// Every name of each column.
const NAMES: [&[&str]; 5] = [
    &["point", "stake", "name"],
    &["northing", "n", "y"],
    &["easting", "e", "x"],
    &["elevation", "z", "elev", "rl"],
    &["kind", "code"],
];

#[derive(Clone, Copy, Debug)]
enum Coding {
    Plain,
    Marked,
    Little,
    Big,
    Western,
}

const CODINGS: [Coding; 5] = [Coding::Plain, Coding::Marked, Coding::Little, Coding::Big, Coding::Western];

impl Coding {
    fn of(self, text: &str) -> Vec<u8> {
        let marked = format!("\u{feff}{text}");
        match self {
            Self::Plain => text.into(),
            Self::Marked => marked.into(),
            Self::Little => marked.encode_utf16().flat_map(u16::to_le_bytes).collect(),
            Self::Big => marked.encode_utf16().flat_map(u16::to_be_bytes).collect(),
            Self::Western => {
                let (bytes, _, lost) = encoding_rs::WINDOWS_1252.encode(text);
                assert!(!lost);
                bytes.into_owned()
            }
        }
    }
}

/// How a table is written.
#[derive(Clone, Copy, Debug)]
struct Dialect<'a> {
    delimiter: char,
    comma: bool,
    end: &'a str,
    coding: Coding,
    /// Every cell in quotes, or only those that need them.
    quotes: bool,
    /// Blank rows and blank cells at the end, as sheets are filled up with.
    blank: bool,
}

impl Dialect<'_> {
    fn cell(&self, text: &str) -> String {
        let needs = text.contains(['"', '\n', self.delimiter]);
        if self.quotes || needs { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
    }

    fn row<'c>(&self, cells: impl Iterator<Item = &'c str>) -> String {
        let mut cells: Vec<_> = cells.map(|c| self.cell(c)).collect();
        if self.blank {
            cells.extend([String::new(), " ".to_owned()]);
        }
        cells.join(&self.delimiter.to_string()) + self.end
    }

    /// The rows under a header, columns in that order; or without one, as point, northing, easting, elevation.
    fn table(&self, header: Option<&[&str; 5]>, order: &[usize]) -> Vec<u8> {
        let mut text = header.map_or_else(String::new, |names| self.row(order.iter().map(|&k| names[k])));
        for row in ROWS {
            let cells = row.map(|c| if self.comma { c.replace('.', ",") } else { c.to_owned() });
            text += &self.row(order.iter().map(|&k| if k == 0 { row[0] } else { cells[k].as_str() }));
        }
        if self.blank {
            let sign = self.delimiter.to_string();
            text += &format!("{}{0}{1}{0}", self.end, sign.repeat(order.len() + 1));
        }
        self.coding.of(&text)
    }
}

type Row = (String, i64, i64, u64, String);

fn rows(shots: &Shots) -> Vec<Row> {
    let row = |r: usize| {
        let (n, e, z) = (shots.northing[r], shots.easting[r], shots.elevation[r].to_bits());
        (shots.names.get(r).to_owned(), n, e, z, format!("{:?}", shots.kind[r]))
    };
    (0..shots.len()).map(row).collect()
}

#[track_caller]
fn read(bytes: Vec<u8>, about: &dyn std::fmt::Debug) -> Vec<Row> {
    let source = Source::read("t.csv", bytes).unwrap_or_else(|c| panic!("{about:?}: {}", c.found));
    let mut complaints = Complaints::default();
    let survey = read_shots(&source, "existing", Foot, &mut complaints);
    rows(&survey.unwrap_or_else(|| panic!("{about:?}\n{}", complaints.render(&[&source]))).shots)
}

/// The survey as it is meant, by hand from the typed digits.
fn meant(kinds: bool) -> Vec<Row> {
    let micro = |typed: &str| {
        let (whole, broken) = typed.split_once('.').unwrap_or((typed, ""));
        let size: i64 = format!("{}{broken:0<6}", whole.trim_start_matches('-')).parse().expect("digits");
        if typed.starts_with('-') { -size } else { size }
    };
    let row = |[name, n, e, z, kind]: [&str; 5]| {
        let kind = if kind.is_empty() || !kinds { "Ground".to_owned() } else { kind[..1].to_uppercase() + &kind[1..] };
        (name.to_owned(), micro(n), micro(e), z.parse::<f64>().expect("a number").to_bits(), kind)
    };
    ROWS.map(row).to_vec()
}

fn dialects() -> impl Iterator<Item = Dialect<'static>> {
    let signs = [(',', false), (';', false), (';', true), ('\t', false), ('\t', true)];
    signs.into_iter().flat_map(|(delimiter, comma)| {
        ["\n", "\r\n", "\r"].into_iter().flat_map(move |end| {
            CODINGS.into_iter().flat_map(move |coding| {
                [(false, false), (true, false), (false, true), (true, true)].map(|(quotes, blank)| Dialect {
                    delimiter,
                    comma,
                    end,
                    coding,
                    quotes,
                    blank,
                })
            })
        })
    })
}

#[test]
fn every_dialect_gives_the_same_shots() {
    let orders = [[0, 1, 2, 3, 4], [4, 3, 2, 1, 0], [3, 0, 4, 2, 1], [1, 2, 3, 0, 4], [2, 4, 0, 1, 3]];
    let (with, without) = (meant(true), meant(false));
    let mut tried = 0;
    for dialect in dialects() {
        for order in &orders {
            let table = dialect.table(Some(&["point", "northing", "easting", "elevation", "kind"]), order);
            assert_eq!(read(table, &(dialect, order)), with, "{dialect:?} {order:?}");
            tried += 1;
        }
        assert_eq!(read(dialect.table(None, &[0, 1, 2, 3]), &dialect), without, "{dialect:?}");
        tried += 1;
    }
    assert_eq!(tried, 5 * 3 * 5 * 4 * 6);
}

#[test]
fn every_name_of_every_column_is_known_however_it_is_written() {
    let writings: [fn(&str) -> String; 4] = [
        str::to_owned,
        str::to_uppercase,
        |name| format!("  {name} "),
        |name| name.chars().flat_map(|c| [c.to_ascii_uppercase(), ' ']).collect(),
    ];
    let plain = Dialect { delimiter: ',', comma: false, end: "\n", coding: Coding::Plain, quotes: false, blank: false };
    let mut tried = 0;
    for at in 0..NAMES.iter().map(|n| n.len()).product() {
        // A number in mixed radix picks one name of each column.
        let mut left: usize = at;
        let names = NAMES.map(|all| {
            let name = all[left % all.len()];
            left /= all.len();
            name
        });
        for write in writings {
            let names = names.map(write);
            let header = [0, 1, 2, 3, 4].map(|k: usize| names[k].as_str());
            assert_eq!(read(plain.table(Some(&header), &[2, 0, 4, 3, 1]), &header), meant(true), "{header:?}");
            tried += 1;
        }
    }
    assert_eq!(tried, 3 * 3 * 3 * 4 * 2 * 4);
}
