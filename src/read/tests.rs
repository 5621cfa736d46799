//! Whole tables in, sentences out: dialects, everything that is refused, and that no bytes whatever stop the program.

use super::*;
use crate::shots::{Kind, Shots};
use proptest::prelude::*;

fn source(label: &str, bytes: impl Into<Vec<u8>>) -> Source {
    Source::read(label, bytes.into()).expect("is text")
}

/// What is said about a table of shots; empty where nothing is.
fn said(bytes: impl Into<Vec<u8>>) -> String {
    let mut complaints = Complaints::default();
    match Source::read("shots.csv", bytes.into()) {
        Ok(source) => {
            let survey = read_shots(&source, "existing", &mut complaints);
            assert_eq!(survey.is_none(), !complaints.is_empty(), "a table is read or complained of");
            complaints.render(&[&source])
        }
        Err(complaint) => complaint.render(&[]),
    }
}

fn survey(bytes: impl Into<Vec<u8>>) -> Survey {
    let source = source("shots.csv", bytes);
    let mut complaints = Complaints::default();
    let survey = read_shots(&source, "existing", &mut complaints);
    survey.unwrap_or_else(|| panic!("{}", complaints.render(&[&source])))
}

fn rows(shots: &Shots) -> Vec<(String, i64, i64, f64, Kind)> {
    (0..shots.len())
        .map(|r| {
            (shots.names.get(r).to_owned(), shots.northing[r], shots.easting[r], shots.elevation[r], shots.kind[r])
        })
        .collect()
}

fn has_all(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` is missing in\n{text}");
    }
}

const HEAD: &str = "point,northing,easting,elevation\n";
const GOOD: &str = "A,0,0,1\nB,0,10,1\nC,10,0,1\n";

#[test]
fn every_bad_table_is_told_where_what_and_what_to_do() {
    let cases: &[(&str, &[&str])] = &[
        ("", &["shots.csv: found an empty file; expected a table of text"]),
        ("A,0,\0,1\n", &["found a NUL byte in line 1, column 5", "export the table again"]),
        (HEAD, &["line 1, column 1", "found a header and no rows; expected at least three shots"]),
        ("point\nA\nB\n", &["line 1", "found one field in every row; expected columns parted by comma"]),
        ("P N E Z\nA 0 0 1\nB 0 10 1\n", &["found one field in every row"]),
        ("A,0,0,1\nB,0,10,1\n", &["found 2 ground shots among the existing ones; expected at least three"]),
        (
            "A,0,0,1\nB,1,1,1\nC,2,2,5\nD,1000000.000001,1000000.000001,1\n",
            &["found 4 ground shots in one straight line", "add shots beside the line"],
        ),
        (
            "A,0,0,1\nB,0,nan,1\nC,10,0,1\n",
            &["line 2, column 5", "found `nan` in column easting; expected a finite number", "B,0,nan,1"],
        ),
        ("A,0,0,1\nB,0,10,-inf\nC,10,0,1\n", &["line 2, column 8", "found `-inf` in column elevation"]),
        ("A,0,0,1\nB,1e999,10,1\nC,10,0,1\n", &["line 2, column 3", "found `1e999`", "a number that fits"]),
        ("A,0,0,1\nB,0,10,1e999\nC,10,0,1\n", &["line 2, column 8", "found `1e999`", "a number that fits"]),
        ("A,0,0,1\nB,0,10\nC,10,0,1\n", &["line 2, column 1", "found a row of 3 fields; expected 4 fields"]),
        ("A,0,0,1\nB,0,10,1,2,3\nC,10,0,1\n", &["line 2", "found a row of 6 fields; expected 4 fields", "quotes"]),
        (
            "point,N,y,easting,elevation\nA,0,0,0,1\n",
            &["line 1, column 9", "two columns for northing: `N` and `y`", "- the other one"],
        ),
        (
            "point,northing,easting,elevaton\nA,0,0,1\n",
            &[
                "found columns `point`, `northing`, `easting`, `elevaton`",
                "a column `elevation` (or `z`, `elev`, `rl`)",
                "if `elevaton` is meant, name it `elevation`",
            ],
        ),
        (
            "point,north,east,up\nA,0,0,1\n",
            &[
                "if `north` is meant, name it `northing`",
                "if `east` is meant",
                "add the column, or name the one that holds it `elevation`",
            ],
        ),
        ("\"A,0,0,1\nB,0,10,1\nC,10,0,1\n", &["line 1, column 1", "a quote that is not closed", "close it"]),
        (
            "A,0,0,1\nB,0,10,1\nC,10,0,1\nA,5,5,1\n",
            &[
                "line 4, column 1",
                "found `A` a second time with another place",
                "4 | A,5,5,1",
                "1 | A,0,0,1",
                "the first time here",
            ],
        ),
        ("A,0,0,1\nB,0,10,1\nC,10,0,1\nA,0,0,2\n", &["`A` a second time with another height", "rename one"]),
        (
            "A,0,0,1\nB,0,10,1\nC,10,0,1\nD,10,0,2\n",
            &["line 4, column 1", "two heights for one place, under the names `C` and `D`", "3 | C,10,0,1"],
        ),
        ("A,0,0,1\nB,0,10,1\n\"C\n\",10,0,1\n\"C\n2\",9,0,1\n", &["line 5, column 1", "found `C 2`", "on one line"]),
        (
            "A,0,0,1\n,0,10,1\nC,10,0,1\n",
            &["line 2, column 1", "an empty cell in column point; expected a name, on one line"],
        ),
        (
            "point,n,e,z,kind\nA,0,0,1,ground\nB,0,10,1,gras\nC,10,0,1,\n",
            &["line 3, column 10", "found `gras` in column kind; expected one of ground, fixed, bench, turn, rim"],
        ),
        ("A,0,0,1\nB,0,10,5-4\nC,10,0,1\n", &["line 2, column 8", "found `5-4`", "decimal feet"]),
        ("A,0,0,1\nB,0,10,5'4\"\nC,10,0,1\n", &["line 2, column 8", "feet and inches"]),
        ("A,0,0,1\nB,\"1,000.5\",10,1\nC,10,0,1\n", &["line 2, column 3", "thousands mark"]),
        ("A,0,0,1\nB,0,10,1\nC,10,0,1,\"wall\nD,10,10,1\n", &["line 3, column 10", "a quote that is not closed"]),
        (
            "point,n,e,z,note\nA,0,0,1,\"two\nlines, \"\"here\"\"\"\n\nB,0,10,abc,\nC,10,0,1,\n",
            &["line 5, column 8", "5 | B,0,10,abc,", "found `abc` in column elevation"],
        ),
        (
            "point;n;e;z\r\nA;0,5;0;1,25\r\nB;0;10,0;1,x\r\nC;10;0;1\r\n",
            &["line 3, column 10", "found `1,x` in column elevation"],
        ),
        (
            "A;0,5;0;1\nB;0;10;1.5\nC;10;0;1\n",
            &["line 2, column 8", "found `1.5` in column elevation; expected the decimal mark of the rows before"],
        ),
        ("A;0;0;1.234,5\nB;0;10;1\nC;10;0;1\n", &["line 1, column 7", "leave out the thousands mark"]),
    ];
    for (table, parts) in cases {
        let text = said(*table);
        has_all(&text, parts);
        has_all(&text, &["error: shots.csv", "= help: "]);
    }
}

#[test]
fn everything_wrong_is_said_at_once() {
    let text = said("A,u,v,1\nB,0,10,z\nC,10,0,1\nC,11,0,1\nD,0\n");
    assert_eq!(text.matches("error:").count(), 5, "{text}");
}

#[test]
fn a_workbook_and_bare_utf_16_are_no_tables() {
    has_all(&said(b"PK\x03\x04\x14".as_slice()), &["a workbook", "save the sheet as CSV"]);
    has_all(&said(b"A\0,\x000\0".as_slice()), &["a NUL byte in line 1, column 2"]);
}

#[test]
fn one_bad_row_in_two_hundred_thousand_is_found() {
    let mut table = String::from(HEAD);
    for k in 0..200_000 {
        let z = if k == 123_456 { "1O0.5" } else { "100.5" };
        table += &format!("P{k},{},{},{z}\n", k / 500, k % 500);
    }
    let text = said(table);
    assert_eq!(text.matches("error:").count(), 1);
    has_all(&text, &["line 123458, column 17", "123458 | P123456,246,456,1O0.5", "found `1O0.5` in column elevation"]);
}

#[test]
fn past_fifty_complaints_are_counted() {
    let text = said("A,0,0,x\n".repeat(200));
    assert_eq!(text.matches("error:").count(), 50);
    has_all(&text, &["shots.csv: and 150 more like these"]);
}

#[test]
fn windows_1252_and_utf_16_complain_in_the_right_column() {
    has_all(&said(b"caf\xe9,0,0,1\nna\xefve,0,x,1\n".as_slice()), &["line 2, column 9", "2 | naïve,0,x,1"]);
    let utf16: Vec<u8> = "\u{feff}é,0,0,1\né,0,x,1\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    has_all(&said(utf16), &["line 2, column 5", "2 | é,0,x,1"]);
}

#[test]
fn what_says_the_same_twice_counts_once_and_is_said() {
    let twice = survey(format!("{HEAD}{GOOD}A,0.0,0,1.00\nD,10,0,1\n"));
    assert_eq!(twice.shots.len(), 3);
    let texts: Vec<_> = twice.cautions.iter().map(|c| c.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "shots.csv: given twice and counted once: A (lines 2 and 5).",
            "shots.csv: the same shot under two names, the first counts: C and D (lines 4 and 6)."
        ]
    );
    // An inlet has a rim and an invert at one place.
    let inlet = "point,n,e,z,kind\nA,0,0,1,\nB,0,10,1,\nC,10,0,1,\nR,5,5,1,rim\nI,5,5,-2,Invert\n";
    let inlet = survey(inlet);
    assert_eq!((inlet.shots.len(), inlet.shots.kind[4]), (5, Kind::Invert));
}

#[test]
fn headers_come_in_any_order_and_what_is_not_used_is_said() {
    let table =
        "Elev, Code ,STAKE,Rod, x,Y,note\n1.5,fixed,A,9,10,0,hi\n1,,B,9,0,0,\n\n,,,,,,\n1,,C,9,0,10\n1,,D,9,10,10,\n";
    let read = survey(table);
    assert_eq!(rows(&read.shots)[0], ("A".into(), 0, 10_000_000, 1.5, Kind::Fixed));
    assert_eq!(read.shots.len(), 4);
    assert_eq!(read.cautions[0].text, "shots.csv has columns that are not used: `Rod`.");
}

#[test]
fn a_seventh_decimal_is_rounded_and_said() {
    let read = survey("A,0.12345678,0,1\nB,0,10,1\nC,10,0.0000005,1\n");
    let (order, rounded) = (&read.cautions[0].text, &read.cautions[1].text);
    assert_eq!(order, "shots.csv has no header; its columns were taken as point, northing, easting, elevation.");
    assert_eq!((read.shots.northing[0], read.shots.easting[2]), (123_457, 1));
    assert_eq!(rounded, "shots.csv: 2 rows have places with more than six decimals; they were rounded to six.");
}

#[test]
fn one_table_holds_both_surveys() {
    let s =
        source("both.csv", "stake,northing,easting,existing,proposed\nA,0,0,1,2\nB,0,10,1,2\nC,10,0,1,2\nD,9,9,5,\n");
    let mut complaints = Complaints::default();
    let (existing, proposed) = read_both(&s, &mut complaints).expect("is sound");
    assert_eq!((existing.shots.len(), proposed.shots.len(), proposed.shots.elevation[2]), (4, 3, 2.0));
    let s = source("both.csv", "stake,n,e,existing,proposed\nA,0,0,,\nB,0,10,1,q\nB,0,10,3,2\nB,1,10,3,2\n");
    assert!(read_both(&s, &mut complaints).is_none());
    let text = complaints.render(&[&s]);
    has_all(
        &text,
        &["an empty cell in column existing; expected a height, existing or proposed", "`q` in column proposed"],
    );
    assert_eq!(text.matches("error:").count(), 4, "{text}");
}

#[test]
fn surveys_apart_or_exchanged_are_refused() {
    let mut complaints = Complaints::default();
    let here = source("a.csv", "A,0,100,1\nB,0,110,1\nC,10,100,1\n");
    let there = source("b.csv", "A,500,0,1\nB,500,10,1\nC,510,0,1\n");
    let turned = source("c.csv", "A,100,0,1\nB,110,0,1\nC,100,10,1\n");
    let [a, b, c] = [(&here, "existing"), (&there, "proposed"), (&turned, "proposed")]
        .map(|(s, name)| read_shots(s, name, &mut complaints).expect("is sound"));
    let apart = compare_places((&here, &a), (&there, &b)).expect("have no common ground");
    has_all(
        &apart.render(&[&here, &there]),
        &[
            "found proposed shots at N 500.00 to 510.00, E 0.00 to 10.00, existing ones at N 0.00 to 10.00",
            "b.csv, line 1",
            "one site",
        ],
    );
    let exchanged = compare_places((&here, &a), (&turned, &c)).expect("have no common ground");
    has_all(&exchanged.render(&[&here, &turned]), &["northing and easting look exchanged in a.csv or c.csv"]);
    assert_eq!(compare_places((&here, &a), (&here, &a)), None);
}

#[test]
fn rings_are_read_and_their_faults_marked() {
    let read = |table: &str| {
        let s = source("limit.csv", table);
        let mut complaints = Complaints::default();
        let limit = read_rings(&s, &mut complaints);
        (limit, complaints.render(&[&s]))
    };
    let outer = "ring,northing,easting\nyard,0,0\nyard,0,10\nyard,10,10\nyard,10,0\nyard,0,0\n";
    let (limit, text) = read(&format!("{outer}pond,2,2\npond,4,2\npond,4,4\n"));
    let limit = limit.unwrap_or_else(|| panic!("{text}"));
    assert_eq!((limit.rings[0].len(), limit.rings[1].len(), limit.rings[1][1]), (4, 3, (4_000_000, 2_000_000)));
    assert_eq!(
        read("0;0,5\n0;10,5\n10;0,5\n").1.matches("error").count(),
        1,
        "a ring without a header has its name first"
    );
    assert!(read("n;e\n0;0,5\n0;10,5\n10;0,5\n").0.is_some());
    for (rest, parts) in [
        ("bow,1,1\nbow,2,2\nbow,1,2\nbow,2,1\n", ["line 9, column 1", "crossing or touching itself", "7 | bow,1,1"]),
        ("two,1,1\ntwo,2,2\n", ["line 7", "ring `two` with fewer than three corners", "add the missing"]),
        ("flat,1,1\nflat,2,2\nflat,3,3\n", ["line 7", "all corners in one line", "encloses ground"]),
        ("far,20,20\nfar,20,30\nfar,30,20\n", ["line 7", "ring `far` outside ring `yard`", "encloses first"]),
        ("over,5,5\nover,5,15\nover,6,6\n", ["ring `over` meeting ring `yard`", "3 | yard,0,10", "keep clear"]),
        ("rep,1,1\nrep,1,2\nrep,1,1\nrep,2,2\n", ["line 9", "a corner of ring `rep` a second time", "7 | rep,1,1"]),
        ("h,1,1\nh,1,2\nh,2,1\nyard,3,3\n", ["line 10, column 1", "corners together", "move the row"]),
        ("h,1,1\nh,1,2\nh,2,b\n", ["line 9, column 5", "found `b` in column easting", "a number such as"]),
    ] {
        let (limit, text) = read(&format!("{outer}{rest}"));
        assert!(limit.is_none());
        has_all(&text, &parts);
    }
}

/// Writes rows in any dialect there is.
fn written(
    shots: &Shots,
    delimiter: char,
    comma: bool,
    end: &str,
    order: &[usize],
    header: bool,
    encoding: u8,
) -> Vec<u8> {
    let names = ["Name", "n", "EASTING", "rl", "kind"];
    let line = |cells: [String; 5]| {
        let cells: Vec<_> = order.iter().map(|&k| cells[k].as_str()).collect();
        cells.join(&delimiter.to_string()) + end
    };
    let number = |text: String| if comma { text.replace('.', ",") } else { text };
    let micro = |v: i64| {
        let (sign, v) = (if v < 0 { "-" } else { "" }, v.unsigned_abs());
        number(format!("{sign}{}.{:06}", v / 1_000_000, v % 1_000_000))
    };
    let mut text = if header { line(names.map(str::to_owned)) } else { String::new() };
    for (name, n, e, z, kind) in rows(shots) {
        let word = Kind::WORDS.iter().find(|(_, k)| *k == kind).map_or("", |(w, _)| w);
        let name = format!("\"{}\"", name.replace('"', "\"\""));
        text += &line([name, micro(n), micro(e), number(format!("{z:?}")), word.to_owned()]);
    }
    match encoding {
        0 => text.into_bytes(),
        1 => ["\u{feff}", &text].concat().into_bytes(),
        2 => encoding_rs::WINDOWS_1252.encode(&text).0.into_owned(),
        3 => ["\u{feff}", &text].concat().encode_utf16().flat_map(u16::to_le_bytes).collect(),
        _ => ["\u{feff}", &text].concat().encode_utf16().flat_map(u16::to_be_bytes).collect(),
    }
}

#[test]
fn every_dialect_says_the_same() {
    let mut shots = Shots::default();
    for (k, name) in ["Zäh, \"1\"", "b;2", "c 3'", "no # %", "é"].into_iter().enumerate() {
        let (_, kind) = Kind::WORDS[k];
        let k = i64::try_from(k).unwrap_or(0);
        shots.push(name, k * k * 1_234_567 - 500_000, k * 7_000_001, -0.04 + k as f64 * 1.25, kind);
    }
    for _ in 0..2 {
        let k = shots.len() as f64;
        shots.push(&format!("G{k}"), shots.northing[4] + 1, 5, k, Kind::Ground);
        shots.easting.pop();
        shots.easting.push(if k > 5.0 { 9_000_000 } else { 3 });
    }
    let mut tried = 0;
    for (delimiter, comma) in [(',', false), (';', false), (';', true), ('\t', false), ('\t', true)] {
        for end in ["\n", "\r\n", "\r"] {
            for order in [[0, 1, 2, 3, 4], [4, 3, 2, 1, 0], [3, 0, 4, 2, 1]] {
                for encoding in 0..5 {
                    let bytes = written(&shots, delimiter, comma, end, &order, true, encoding);
                    assert_eq!(
                        rows(&survey(bytes).shots),
                        rows(&shots),
                        "{delimiter:?} {comma} {end:?} {order:?} {encoding}"
                    );
                    tried += 1;
                }
            }
        }
    }
    assert_eq!(tried, 225);
}

proptest! {
    #[test]
    fn no_bytes_whatever_stop_the_readers(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        every_reader(bytes);
    }

    #[test]
    fn no_odd_table_stops_the_readers(text in "([a-cnez\"',;.\t\r\n0-9é-]|point|northing|easting|elevation|existing|proposed|ring|nan|1e9){0,80}") {
        every_reader(text.into_bytes());
    }

    #[test]
    fn shots_written_in_any_dialect_come_back(
        cells in proptest::collection::btree_map(
            (-9_000_000_000_000_000_i64..=9_000_000_000_000_000, -9_000_000_000_000_000_i64..=9_000_000_000_000_000),
            ("[a-zé\"',;][ -~]{0,6}[a-z]", -1e5..1e5_f64), 3..20),
        dialect in 0_usize..5, end in 0_usize..3, encoding in 0_u8..5, header: bool,
    ) {
        let mut shots = Shots::default();
        for (k, (&(n, e), (name, z))) in cells.iter().enumerate() {
            shots.push(&format!("{name}{k}"), n, e, *z, Kind::Ground);
        }
        prop_assume!(!crate::outline::on_one_line(cells.keys().copied()));
        let (delimiter, comma) = [(',', false), (';', false), (';', true), ('\t', false), ('\t', true)][dialect];
        let order: &[usize] = if header { &[2, 0, 4, 3, 1] } else { &[0, 1, 2, 3] };
        let bytes = written(&shots, delimiter, comma, ["\n", "\r\n", "\r"][end], order, header, encoding);
        prop_assert_eq!(rows(&survey(bytes).shots), rows(&shots));
    }
}

/// Every reader gives a value or complaints that can be printed.
fn every_reader(bytes: Vec<u8>) {
    let source = match Source::read("any.csv", bytes) {
        Ok(source) => source,
        Err(complaint) => {
            assert!(complaint.render(&[]).contains("= help:"));
            return;
        }
    };
    let mut complaints = Complaints::default();
    let some = [
        read_shots(&source, "existing", &mut complaints).is_some(),
        read_both(&source, &mut complaints).is_some(),
        read_rings(&source, &mut complaints).is_some(),
    ];
    assert!(some.contains(&true) || !complaints.is_empty());
    let _ = complaints.render(&[&source]);
}
