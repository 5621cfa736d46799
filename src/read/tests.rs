//! Whole tables in, sentences out: dialects, everything that is refused, and that no bytes whatever stop the program.

use super::*;
use crate::shots::{Kind, Shots};
use crate::units::LengthUnit::{self, Foot, Metre};
use proptest::prelude::*;

fn source(label: &str, bytes: impl Into<Vec<u8>>) -> Source {
    Source::read(label, bytes.into()).expect("is text")
}

/// What is said about a table of shots; empty where nothing is.
fn said(bytes: impl Into<Vec<u8>>) -> String {
    let mut complaints = Complaints::default();
    match Source::read("shots.csv", bytes.into()) {
        Ok(source) => {
            let survey = read_shots(&source, "existing", Foot, &mut complaints);
            assert_eq!(survey.is_none(), !complaints.is_empty(), "a table is read or complained of");
            complaints.render(&[&source])
        }
        Err(complaint) => complaint.render(&[]),
    }
}

fn survey(bytes: impl Into<Vec<u8>>) -> Survey {
    let source = source("shots.csv", bytes);
    let mut complaints = Complaints::default();
    let survey = read_shots(&source, "existing", Foot, &mut complaints);
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
        ("A,0,0,1\nB,5-4,10,1\nC,10,0,1\n", &["line 2, column 3", "found `5-4`", "decimal feet"]),
        ("A,0,0,1\nB,0,5'4\",1\nC,10,0,1\n", &["line 2, column 5", "feet and inches"]),
        ("A,0,0,1\nB,0,10,5-14\nC,10,0,1\n", &["line 2, column 8", "found `5-14`", "inches below 12", "feet-inches"]),
        ("A,0,0,1\nB,0,10,9 3/8\"\nC,10,0,1\n", &["line 2, column 8", "decimal feet"]),
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

/// Cautions about a table of a job in that unit.
fn asked(table: impl Into<Vec<u8>>, unit: LengthUnit) -> Vec<String> {
    let (source, mut complaints) = (source("shots.csv", table), Complaints::default());
    let survey = read_shots(&source, "existing", unit, &mut complaints);
    let survey = survey.unwrap_or_else(|| panic!("{}", complaints.render(&[&source])));
    survey.cautions.into_iter().map(|c| c.text).collect()
}

#[test]
fn feet_and_inches_among_tenths_are_read_as_they_say_and_asked_about() {
    let table = format!("{HEAD}{GOOD}D,1,1,101-4 1/2\nE,2,2,\"101'4\"\"\"\nF,3,3,-0-6\nG,4,4,5\u{2032}\n");
    let heights = |unit| {
        let (source, mut complaints) = (source("shots.csv", table.clone()), Complaints::default());
        read_shots(&source, "existing", unit, &mut complaints).map(|s| s.shots.elevation)
    };
    assert_eq!(heights(Foot), Some(vec![1.0, 1.0, 1.0, 101.375, 101.0 + 4.0 / 12.0, -0.5, 5.0]));
    assert!(heights(Metre).is_some_and(|z| (z[3] - 101.375 * 0.3048).abs() < 1e-12));
    assert_eq!(
        asked(table, Foot),
        [
            "shots.csv: heights in feet and inches were read as they say: D (line 5: `101-4 1/2` is 101.3750 ft), E (line 6: \
             `101'4\"` is 101.3333 ft), F (line 7: `-0-6` is -0.5000 ft), and 1 more. The others are decimal."
        ]
    );
}

#[test]
fn slipped_rows_are_asked_about_with_their_lines() {
    let rows = |edit: &[(usize, &str)]| {
        let mut rows: Vec<_> =
            (0..12).map(|k| format!("P{k},50{},10{:02},101.{}", k / 4 * 2, k % 4 * 10, k + 20)).collect();
        edit.iter().for_each(|&(k, row)| rows[k] = row.to_owned());
        format!("{HEAD}{}\n", rows.join("\n"))
    };
    assert!(asked(rows(&[]), Foot).is_empty());
    for (edit, text) in [
        (
            (5, "P5,1010,502,101.5"),
            "far off all other shots, but among them with northing and easting exchanged: P5 (line 7: N 1010.00, E 502.00)",
        ),
        (
            (5, "P5,5,502,1010"),
            "but among them if the cells moved one column to the right: P5 (line 7: N 5.00, E 502.00, height 1010)",
        ),
        ((5, "P5,502,1010,1e9"), "a height no ground on Earth has, like a slipped decimal mark: P5 (line 7: "),
        ((5, "P5,502,1010,30.9"), "3.28 times lower than all other shots, like metres among feet: P5 (line 7"),
    ] {
        let said = asked(rows(&[edit]), Foot);
        assert_eq!(said.len(), 1, "{said:?}");
        has_all(&said[0], &["shots.csv: ", text, ". Taken as typed: mend this row if that is not meant."]);
    }
    let inches = |k: usize| format!("I{k},{},{},10{}.{k}\n", k / 4, 1000 + k % 4 * 10, k % 3);
    let said = asked(HEAD.to_owned() + &(0..12).map(inches).collect::<String>(), Foot);
    has_all(&said[0], &["shots.csv: no height has more than .11 behind the point", "101-11 if they are meant"]);
}

#[test]
fn two_surveys_of_one_site_in_two_units_or_turned_are_asked_about() {
    let pair = |one: &str, other: &str| {
        let mut complaints = Complaints::default();
        let sources = [source("a.csv", one), source("b.csv", other)];
        let [a, b] = [0, 1]
            .map(|k| read_shots(&sources[k], ["existing", "proposed"][k], Foot, &mut complaints).expect("is sound"));
        match compare_places((&sources[0], &a), (&sources[1], &b)) {
            Some(complaint) => vec![complaint.help],
            None => ask_of_both((&sources[0], &a), (&sources[1], &b)).into_iter().map(|c| c.text).collect(),
        }
    };
    let feet = "A,0,0,101\nB,0,100,102\nC,60,0,101\nD,60,100,103\n";
    assert!(pair(feet, feet).is_empty());
    assert!(pair(feet, "A,20,20,100\nB,20,50,100\nC,38,20,100\nD,38,50,99\n").is_empty());
    let metres = "A,0,0,30.78\nB,0,30.48,31.09\nC,18.288,0,30.78\nD,18.288,30.48,31.39\n";
    for (one, other, told) in
        [(feet, metres, "a.csv are 3.28 times those of b.csv"), (metres, feet, "b.csv are 3.28 times those of a.csv")]
    {
        let said = pair(one, other);
        assert_eq!(said.len(), 2, "{said:?}");
        has_all(&said[0], &["places of", told, "Taken as typed"]);
        has_all(&said[1], &["heights of", told]);
    }
    let low = "A,0,0,30.78\nB,0,100,31.09\nC,60,0,30.78\n";
    assert_eq!(pair(feet, low).len(), 1);
    has_all(&pair(feet, low)[0], &["heights of a.csv are 3.28"]);
    // Far from their origin they have no ground in common.
    let far = |by: f64| {
        format!(
            "A,{},{},1\nB,{},{},1\nC,{},{},2\n",
            500.0 * by,
            1000.0 * by,
            500.0 * by,
            1060.0 * by,
            540.0 * by,
            1000.0 * by
        )
    };
    has_all(&pair(&far(1.0), &far(0.3048))[0], &["a.csv looks like feet and b.csv like metres: give both in one unit"]);
    has_all(&pair(&far(0.3048), &far(1.0))[0], &["b.csv looks like feet and a.csv like metres"]);
    // Turned: the same box the other way round; and mostly beside the other survey.
    let turned = "A,0,0,101\nB,100,0,102\nC,0,60,101\nD,100,60,103\n";
    has_all(
        &pair(feet, turned)[0],
        &["agree far better with northing and easting exchanged", "b.csv is at N 0.00 to 100.00"],
    );
    has_all(&pair(feet, "A,50,10,1\nB,90,10,1\nC,50,30,1\nD,90,30,2\n")[0], &["exchanged"]);
}

#[test]
fn one_table_holds_both_surveys() {
    let s =
        source("both.csv", "stake,northing,easting,existing,proposed\nA,0,0,1,2\nB,0,10,1,2\nC,10,0,1,2\nD,9,9,5,\n");
    let mut complaints = Complaints::default();
    let (existing, proposed) = read_both(&s, Foot, &mut complaints).expect("is sound");
    assert_eq!((existing.shots.len(), proposed.shots.len(), proposed.shots.elevation[2]), (4, 3, 2.0));
    let s = source("both.csv", "stake,n,e,existing,proposed\nA,0,0,,\nB,0,10,1,q\nB,0,10,3,2\nB,1,10,3,2\n");
    assert!(read_both(&s, Foot, &mut complaints).is_none());
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
        .map(|(s, name)| read_shots(s, name, Foot, &mut complaints).expect("is sound"));
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
        read_shots(&source, "existing", Foot, &mut complaints).is_some(),
        read_both(&source, Foot, &mut complaints).is_some(),
        read_rings(&source, &mut complaints).is_some(),
    ];
    assert!(some.contains(&true) || !complaints.is_empty());
    let _ = complaints.render(&[&source]);
}
