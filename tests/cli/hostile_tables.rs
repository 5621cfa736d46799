//! A hundred bad tables of their own: what each is told. Nothing panics, nothing is written, and every one says what to do.

use super::{Desk, HEADER};
use spadework::read::{Complaints, Source, read_shots};
use spadework::units::LengthUnit;

const GOOD: &str = "A,100,200,100\nB,100,220,100.5\nC,120,200,100.2\nD,120,220,100.3\n";

/// Rows before four good ones.
fn rows(rows: &str) -> Vec<u8> {
    format!("{HEADER}{rows}\n{GOOD}").into_bytes()
}

/// The good table with other signs between its cells, lines before and behind.
fn table(before: &str, sign: &str, behind: &str) -> Vec<u8> {
    format!("{before}{}{behind}", format!("{HEADER}{GOOD}").replace(',', sign)).into_bytes()
}

fn wide(text: &str) -> Vec<u8> {
    text.encode_utf16().flat_map(u16::to_le_bytes).collect()
}

/// What a bad table is, and what it must be told.
type Case = (&'static str, Vec<u8>, &'static [&'static str]);

#[track_caller]
fn refused(folder: &str, cases: Vec<Case>, least: usize) {
    assert!(cases.len() >= least, "{}", cases.len());
    let desk = Desk::new(folder);
    for (what, bytes, parts) in cases {
        desk.put("existing.csv", bytes);
        println!("{what}");
        let said = desk.refuses(1, &["run", "existing.csv", "proposed.csv", "--out", "out"], parts);
        assert!(said.contains("existing.csv") && said.contains("= help: "), "{what}:\n{said}");
        assert!(said.len() < 20_000 && !said.contains(|c: char| c.is_control() && c != '\n'), "{what}:\n{said}");
    }
}

const ONE_FIELD: &[&str] = &["one field in every row", "columns parted by comma, semicolon or tab", "as CSV"];
const EMPTY: &[&str] = &["found an empty file", "check that the export wrote its rows"];
const NO_TEXT: &[&str] = &["a NUL byte", "no plain text"];

#[test]
fn files_that_are_no_tables() {
    let cases: Vec<Case> = vec![
        ("one byte", b"a".to_vec(), ONE_FIELD),
        ("one digit", b"7".to_vec(), ONE_FIELD),
        ("a line end", b"\r\n".to_vec(), EMPTY),
        ("only the mark of UTF-8", b"\xef\xbb\xbf".to_vec(), EMPTY),
        ("only the mark of UTF-16, little", b"\xff\xfe".to_vec(), EMPTY),
        ("only the mark of UTF-16, big", b"\xfe\xff".to_vec(), EMPTY),
        (
            "an odd number of bytes in UTF-16",
            b"\xff\xfea\0b".to_vec(),
            &["marked as UTF-16, little end first", "in UTF-8"],
        ),
        ("half of a pair in UTF-16", b"\xfe\xff\xd8\x00\x00a".to_vec(), &["marked as UTF-16, big end first"]),
        ("UTF-16 without its mark", wide("A,1,2,3\n"), NO_TEXT),
        ("UTF-32", b"\xff\xfe\0\0p\0\0\0".to_vec(), NO_TEXT),
        ("damaged UTF-8 behind its mark", b"\xef\xbb\xbfpoint,\xff".to_vec(), &["a damaged letter at byte 9"]),
        ("a packed file", b"\x1f\x8b\x08\0\0\0\0\0".to_vec(), NO_TEXT),
        ("a picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec(), NO_TEXT),
        ("an old workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\0\0".to_vec(), NO_TEXT),
        ("a workbook", b"PK\x03\x04\x14\0\x06".to_vec(), &["a workbook", "save the sheet as CSV"]),
        ("a page to print", b"%PDF-1.7\n1 0 obj\n<< >>\n".to_vec(), ONE_FIELD),
        ("a page of the web", b"<html><body><p>A 1 2 3</p></body></html>\n".to_vec(), ONE_FIELD),
        (
            "an object",
            b"{\"point\":\"A\",\"northing\":1}\n".to_vec(),
            &["a column `elevation`", "or name the one that holds it"],
        ),
        ("a job file", b"[job]\nname = \"x\"\n".to_vec(), ONE_FIELD),
        ("separators only", b",,,\n;;;\n\"\"\n".to_vec(), EMPTY),
        ("tabs only", b"\t\t\t\n".to_vec(), EMPTY),
        ("parted by spaces", table("", " ", ""), ONE_FIELD),
        ("parted by bars", table("", "|", ""), ONE_FIELD),
        ("a megabyte in one word", b"x".repeat(1_000_000), ONE_FIELD),
        ("a megabyte of commas and a word", [b",".repeat(1_000_000), b"x".to_vec()].concat(), ONE_FIELD),
        ("a megabyte of quotes", [b"A,".to_vec(), b"\"".repeat(1_000_001)].concat(), &["quote that is not closed"]),
        ("a NUL at the very end", table("", ",", "\0"), &["a NUL byte in line 6, column 1"]),
    ];
    refused("hostile-files", cases, 27);
}

const KEYBOARD: &[&str] = &["line 2, ", "not on a plain keyboard", "type the number anew"];
const DIGITS: &[&str] = &["line 2, ", "a number such as 101.25", "digits and one decimal mark only"];
const FITS: &[&str] = &["line 2, ", "a number that fits, at most 9,000,000,000", "slipped decimal mark"];
const FINITE: &[&str] = &["line 2, ", "a finite number", "leave the row out"];
const FORMULA: &[&str] = &["line 2, ", "no formula and no error of one", "export its values"];
const DATE: &[&str] = &["line 2, ", "looks like a date", "format the column as text"];
const FEET: &[&str] = &["line 2, ", "looks like feet and inches", "decimal feet"];

#[test]
fn cells_that_are_no_numbers() {
    let cases: Vec<Case> = vec![
        ("twenty digits", rows("E,99999999999999999999,210,1"), FITS),
        ("1e400", rows("E,110,1e400,1"), FITS),
        ("-1e400 for a height", rows("E,110,210,-1e400"), FITS),
        ("an endless exponent", rows("E,110,1e99999999999999999999,1"), FITS),
        ("a height beyond the greatest", rows("E,110,210,9000000001"), FITS),
        ("ten thousand digits", rows(&format!("E,{},210,1", "1".repeat(10_000))), FITS),
        ("NaN", rows("E,NaN,210,1"), FINITE),
        ("-nan", rows("E,110,210,-nan"), FINITE),
        ("Infinity", rows("E,110,Infinity,1"), FINITE),
        ("an old library's nan", rows("E,110,210,1.#IND"), DIGITS),
        ("a lost reference", rows("E,110,210,#REF!"), FORMULA),
        ("a division by nothing", rows("E,#DIV/0!,210,1"), FORMULA),
        ("not available", rows("E,#N/A,210,1"), FORMULA),
        ("a column too narrow", rows("E,#####,210,1"), FORMULA),
        ("a formula", rows("E,110,210,=A1+1"), FORMULA),
        ("sixteens", rows("E,0x1F,210,1"), DIGITS),
        ("two points", rows("E,1.1.0,210,1"), DIGITS),
        ("two signs", rows("E,--110,210,1"), DIGITS),
        ("a sign alone", rows("E,110,210,-"), DIGITS),
        ("a point alone", rows("E,110,210,."), DIGITS),
        ("half an exponent", rows("E,1e,210,1"), DIGITS),
        ("an underscore", rows("E,1_100,210,1"), DIGITS),
        ("a letter O", rows("E,1O1,210,1"), DIGITS),
        ("a letter l", rows("E,l01,210,1"), DIGITS),
        ("a doubt", rows("E,110,210,100?"), DIGITS),
        ("about", rows("E,110,210,~100"), DIGITS),
        ("a unit", rows("E,110 ft,210,1"), DIGITS),
        ("a unit behind a height", rows("E,110,210,100 m"), DIGITS),
        ("a percentage", rows("E,110,210,2%"), DIGITS),
        ("a time", rows("E,110,210,10:30"), DIGITS),
        ("a space for thousands", rows("E,1 100,210,1"), DIGITS),
        ("a vertical tab inside", rows("E,1\u{b}10,210,1"), DIGITS),
        ("a true minus", rows("E,110,210,\u{2212}5"), KEYBOARD),
        ("a letter of another alphabet", rows("E,110,210,1\u{41e}0"), KEYBOARD),
        ("digits of another script", rows("E,110,210,\u{661}\u{660}\u{660}"), KEYBOARD),
        ("wide digits", rows("E,\u{ff11}\u{ff11}\u{ff10},210,1"), KEYBOARD),
        ("a space without width", rows("E,110\u{200b},210,1"), KEYBOARD),
        ("a mark of order inside", rows("E,\u{feff}110,210,1"), KEYBOARD),
        ("a soft hyphen", rows("E,1\u{ad}10,210,1"), KEYBOARD),
        ("a date of a sheet", rows("E,110,210,5-Apr"), DATE),
        ("a whole date", rows("E,110,210,2024-01-05"), DATE),
        ("a date with strokes", rows("E,110,210,1/2/2024"), DATE),
        ("a month and a year", rows("E,Apr-24,210,1"), DATE),
        ("degrees", rows("E,41\u{b0}24'12\"N,210,1"), &["line 2, ", "a length, not degrees", "plane grid"]),
        ("feet and inches for a place", rows("E,110'4\",210,1"), FEET),
        ("feet-inches for a place", rows("E,110,21-4,1"), FEET),
        ("inches alone for a height", rows("E,110,210,9 3/8\""), FEET),
        ("a fraction for a height", rows("E,110,210,100 1/2"), FEET),
        ("twelve inches", rows("E,110,210,100-12"), &["line 2, ", "`100-12`", "inches below 12"]),
        ("a fraction over nothing", rows("E,110,210,100-1/0"), &["line 2, ", "`100-1/0`", "feet-inches"]),
        ("thousands in quotes", rows("E,\"1,100\",210,1"), &["line 2, ", "leave out the thousands mark"]),
        ("two decimal marks", table("", ";", "E;110,5;210.5;1\n"), &["the decimal mark of the rows before"]),
        ("thousands beside a decimal comma", table("", ";", "E;1.110,5;210;1\n"), &["one decimal mark"]),
    ];
    refused("hostile-numbers", cases, 50);
}

const NAME: &[&str] = &["line 2, ", "a name, on one line", "a name of its own"];
const UNSEEN: &[&str] = &["line 2, ", "a name whose signs can all be seen", "type the name anew"];
const NO_HEADER: &[&str] =
    &["line 1, ", "in place of a header", "the names of the columns, point, northing", "take out what stands above"];

#[test]
fn rows_names_and_headers_that_cannot_be() {
    let cases: Vec<Case> = vec![
        ("a bell for a name", rows("\u{7},110,210,1"), NAME),
        ("a name with an escape", rows("\u{1b}[31mE,110,210,1"), NAME),
        ("a name with a delete", rows("E\u{7f},110,210,1"), NAME),
        ("a name over two lines", rows("\"E\nF\",110,210,1"), NAME),
        ("a name of spaces", rows("   ,110,210,1"), NAME),
        ("a name nobody sees", rows("\u{200b},110,210,1"), UNSEEN),
        ("a twin nobody sees", rows("A\u{200b},110,210,1"), UNSEEN),
        ("a name turned round", rows("\u{202e}E,110,210,1"), UNSEEN),
        (
            "a name of ten thousand letters",
            rows(&format!("{},110,210,1o", "x".repeat(10_000))),
            &["line 2, column 10010", "`1o`"],
        ),
        ("a row of a name", rows("E"), &["line 2, ", "a row of 1 field;", "missing or extra separator"]),
        ("ten thousand cells", rows(&format!("E{}", ",1".repeat(10_000))), &["line 2, ", "a row of 10001 fields"]),
        ("decimal commas between commas", rows("E,110,5,210,5,1,0"), &["a row of 7 fields", "put quotes round a cell"]),
        (
            "a line end in a cell",
            rows("E,1\r10,210,1"),
            &["line 2, ", "a row of 2 fields", "line 3, ", "a row of 3 fields"],
        ),
        ("a footer", table("", ",", "end of file\n"), &["line 6, ", "a row of 1 field;"]),
        ("an old end of file", table("", ",", "\u{1a}"), &["line 6, ", "a row of 1 field;"]),
        (
            "a sum",
            table("", ",", "Total,,,4\n"),
            &["line 6, ", "an empty cell in column northing", "leave the row out"],
        ),
        ("a row of units", rows(",ft,ft,ft"), &["line 2, ", "`ft` in column northing", "without a unit"]),
        ("a quote never closed", rows("\"E,110,210,1"), &["line 2, column 1", "a quote that is not closed"]),
        ("a quote inside a cell", rows("E,1\"10,210,1"), FEET),
        (
            "a quote never closed in the header",
            table("\"", ",", ""),
            &["line 1, column 1", "a quote that is not closed"],
        ),
        ("a title", table("Survey of the court\n", ",", ""), NO_HEADER),
        ("a title with empty cells", table("Survey of the court,,,\n", ",", ""), NO_HEADER),
        ("a remark", table("# made up\n", ",", ""), NO_HEADER),
        ("a word on the sign between cells", table("sep=,\n", ",", ""), &["in place of a header"]),
        ("the header again", table("", ",", HEADER), &["line 6, ", "`northing` in column northing"]),
        ("the table again, changed", table("", ",", "A,100,200,101\n"), &["`A` a second time with another height"]),
        (
            "latitude and longitude",
            b"point,latitude,longitude,elevation\nA,41,-83,100\n".to_vec(),
            &["line 1, ", "a column `northing`"],
        ),
        (
            "names nearly right",
            b"piont,northnig,eastng,elevaton\nA,1,2,3\n".to_vec(),
            &["if `piont` is meant, name it `point`"],
        ),
        (
            "one name twice",
            b"point,northing,northing,elevation\nA,1,2,3\n".to_vec(),
            &["two columns for northing", "rename or remove"],
        ),
        ("three cells", b"A,1,2\nB,3,4\nC,5,7\n".to_vec(), &["3 fields and no header", "names the columns"]),
        ("a header over blanks", table_head("\n\n,,,\n"), &["a header and no rows"]),
        ("all of it benches", kinds("bench"), &["0 ground shots", "only rows of kind ground"]),
        ("a kind nearly right", kinds("grund"), &["line 2, ", "one of ground, fixed, bench"]),
        ("one place", table_head("A,1,1,1\nB,1,1,1\nC,1,1,1\n"), &["1 ground shot among", "at least three"]),
        ("one place, two heights", table_head("A,1,1,1\nB,1,1,2\nC,9,1,1\n"), &["two heights for one place"]),
    ];
    refused("hostile-rows", cases, 35);
}

fn table_head(rows: &str) -> Vec<u8> {
    format!("{HEADER}{rows}").into_bytes()
}

fn kinds(kind: &str) -> Vec<u8> {
    format!("point,northing,easting,elevation,kind\nA,100,200,1,{kind}\nB,100,220,1,{kind}\nC,120,200,1,{kind}\n")
        .into_bytes()
}

/// Odd tables that can be meant: read as they say, asked about, the exit code as ever.
#[test]
fn odd_tables_are_read_and_asked_about() {
    let many = format!("{}{}\n{GOOD}", HEADER.trim_end(), ",c".repeat(10_000));
    let site: String =
        (0..24).map(|k| format!("P{k},{},{},101.{}\n", 500 + k / 6 * 10, 1000 + k % 6 * 10, 20 + k)).collect();
    let slipped = |row: &str| format!("{HEADER}{site}{row}\n").into_bytes();
    let inches: String =
        (0..24).map(|k| format!("P{k},{},{},10{}.{}\n", 500 + k / 6 * 10, 1000 + k % 6 * 10, k % 3, k % 12)).collect();
    let cases: Vec<Case> = vec![
        (
            "feet-inches for a height",
            rows("E,110,210,100-4 1/2"),
            &["`100-4 1/2` is 100.3750 ft", "The others are decimal"],
        ),
        (
            "a height of 1e9",
            rows("E,110,210,1e9"),
            &["a height no ground on Earth has", "E (line 2:", "Taken as typed"],
        ),
        ("seven decimals", rows("E,110.1234567,210,100"), &["1 row has a place with more than six decimals"]),
        ("ten thousand columns", many.into_bytes(), &["columns that are not used: `c`", "and 9988 more."]),
        ("the table twice", table("", ",", GOOD), &["given twice and counted once: A (lines 2 and 6)", "and 1 more"]),
        (
            "one place exchanged",
            slipped("E,1015,515,101.3"),
            &["northing and easting exchanged: E (line 26: N 1015.00, E 515.00)"],
        ),
        ("cells one to the right", slipped("E,25,515,1015"), &["moved one column to the right: E (line 26"]),
        ("cells one to the left", slipped("E,1015,101.3,7"), &["moved one column to the left: E (line 26"]),
        ("easting and height exchanged", slipped("E,515,101.3,1015"), &["easting and elevation exchanged: E (line 26"]),
        ("metres among feet", slipped("E,515,1015,30.88"), &["metres among feet: E (line 26"]),
        ("feet among metres", slipped("E,515,1015,332.4"), &["feet among metres: E (line 26"]),
        ("a point lost", slipped("E,515,1015,10130"), &["a height farther off all others", "E (line 26"]),
        (
            "inches behind the point",
            format!("{HEADER}{inches}").into_bytes(),
            &["no height has more than .11 behind the point"],
        ),
    ];
    let desk = Desk::new("hostile-asked");
    for (what, bytes, parts) in cases {
        println!("{what}");
        desk.put("odd.csv", bytes);
        let before = desk.all();
        desk.run(&["contours", "odd.csv", "--levels", "100.21,101.3"]).ends(0).says(&["Cautions"]).says(parts);
        assert!(before == desk.all(), "{what} leaves files");
    }
}

#[test]
fn two_surveys_in_two_units_or_turned_are_asked_about() {
    let desk = Desk::new("hostile-pairs");
    let corners =
        |n: f64, e: f64, z: f64| format!("{HEADER}A,0,0,{z}\nB,0,{e},{z}\nC,{n},0,{z}\nD,{n},{e},{}\n", z * 1.01);
    desk.put("a.csv", corners(60.0, 100.0, 101.0));
    for (other, parts) in [
        (corners(18.288, 30.48, 30.785), &["places of a.csv are 3.28 times", "heights of a.csv are 3.28 times"][..]),
        (corners(60.0, 100.0, 30.785), &["heights of a.csv are 3.28 times those of b.csv", "give both in one unit"]),
        (corners(100.0, 60.0, 101.0), &["with northing and easting exchanged in one of them"]),
    ] {
        desk.put("b.csv", other);
        desk.run(&["compare", "a.csv", "b.csv"]).ends(0).says(parts);
        let volume = desk.run(&["volume", "a.csv", "b.csv"]);
        volume.says(parts);
    }
    desk.put("b.csv", corners(50.0, 90.0, 100.0));
    let plain = desk.run(&["compare", "a.csv", "b.csv"]).ends(0);
    assert!(!plain.out.contains("3.28") && !plain.out.contains("exchanged"), "{}", plain.out);
}

#[test]
fn the_tables_of_the_examples_are_not_asked_about() {
    let home = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let mut read = 0;
    for (table, unit) in [
        ("hall/points.csv", LengthUnit::Foot),
        ("hall-two-tables/existing.csv", LengthUnit::Foot),
        ("hall-two-tables/proposed.csv", LengthUnit::Foot),
        ("metric/points.csv", LengthUnit::Metre),
    ] {
        let source = Source::read(table, std::fs::read(home.join(table)).expect("is there")).expect("is text");
        let survey = read_shots(&source, "existing", unit, &mut Complaints::default()).expect("is sound");
        assert_eq!(survey.cautions, [], "{table}");
        read += survey.shots.len();
    }
    assert!(read > 100, "{read}");
}
