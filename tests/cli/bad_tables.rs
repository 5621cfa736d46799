//! Tables that cannot be used: where, what was found, what was expected, what to do; exit 1, nothing written.

use super::{Desk, HEADER};
use std::fmt::Write;

/// Runs `run` on the example with one table replaced; asks for these parts of what is said.
#[track_caller]
fn refused(name: &str, file: &str, bytes: impl AsRef<[u8]>, parts: &[&str]) -> String {
    let desk = Desk::new(name);
    desk.put(file, bytes);
    let said = desk.refuses(1, &["run", "existing.csv", "proposed.csv"], parts);
    assert!(said.contains("help"), "says what to do:\n{said}");
    said
}

#[track_caller]
fn rows_refused(name: &str, rows: &str, parts: &[&str]) -> String {
    refused(name, "existing.csv", format!("{HEADER}{rows}"), parts)
}

#[test]
fn a_missing_file_and_a_folder() {
    let desk = Desk::new("missing");
    std::fs::create_dir(desk.path("folder.csv")).expect("a folder");
    // Both at once.
    desk.refuses(1, &["run", "nowhere.csv", "folder.csv"], &["nowhere.csv", "no such file", "folder.csv", "a folder"]);
}

#[test]
fn an_empty_file_and_a_header_without_rows() {
    refused("empty", "proposed.csv", "", &["proposed.csv", "empty"]);
    refused("header-only", "proposed.csv", HEADER, &["proposed.csv", "a header and no rows"]);
}

#[test]
fn two_shots_and_shots_on_one_line() {
    rows_refused("two-shots", "A,100,200,1\nB,100,210,1\n", &["existing.csv", "2 ground shots", "three"]);
    rows_refused("one-line", "A,100,200,1\nB,105,205,1\nC,110,210,2\n", &["existing.csv", "one straight line"]);
}

#[test]
fn numbers_that_are_none() {
    let rows = "A,100,200,1\nB,nan,210,1\nC,120,inf,1\nD,110,210,1e999\nE,abc,200,1\nF,110,200,\n";
    let said = rows_refused(
        "numbers",
        rows,
        &[
            "line 3, column ",
            "`nan`",
            "line 4, column ",
            "`inf`",
            "line 5, column ",
            "`1e999`",
            "line 6, column ",
            "`abc`",
            "line 7, column ",
        ],
    );
    assert!(said.matches("expected").count() >= 5, "all at once:\n{said}");
}

#[test]
fn feet_inches_in_a_column_of_places_are_not_guessed_at() {
    rows_refused(
        "feet-inches",
        "A,100,5-4,1\nB,100,210,1\nC,110,200,2\n",
        &["line 2, column 7", "5-4", "decimal feet"],
    );
}

#[test]
fn ragged_rows() {
    let rows = "A,100,200,1\nB,100,210\nC,110,200,1,note,7,8\nD,110,210,2\n";
    rows_refused("ragged", rows, &["line 3, column ", "a row of 3 fields", "line 4, column ", "a row of 7 fields"]);
}

#[test]
fn two_columns_for_one_thing_and_a_missing_one() {
    let twice = "point,n,northing,e,z\nA,1,1,1,1\nB,2,2,3,1\nC,3,1,1,1\n";
    refused("two-columns", "existing.csv", twice, &["existing.csv, line 1,", "northing", "n"]);
    let missing = "point,northing,easting,height\nA,100,200,1\nB,100,210,1\nC,110,200,1\n";
    refused("no-column", "existing.csv", missing, &["existing.csv, line 1,", "elevation"]);
}

#[test]
fn one_name_for_two_places_and_one_place_with_two_heights() {
    rows_refused(
        "one-name",
        "A,100,200,1\nB,100,210,1\nA,110,200,1\nC,120,230,2\n",
        &["line 4, column ", "existing.csv:2:1", "`A`"],
    );
    rows_refused(
        "one-place",
        "A,100,200,1\nB,100,210,1\nC,100,200,1.5\nD,120,230,2\n",
        &["line 4, column ", "existing.csv:2:1"],
    );
}

#[test]
fn tables_of_two_sites_and_exchanged_columns() {
    let far = "point,northing,easting,elevation\nA,9100,7200,1\nB,9100,7210,1\nC,9110,7200,1\n";
    refused("far", "proposed.csv", far, &["proposed.csv", "existing.csv", "share some ground"]);
    let exchanged = "point,northing,easting,elevation\nA,200,100,1\nB,210,100,1\nC,200,120,1\n";
    refused("exchanged", "proposed.csv", exchanged, &["proposed.csv", "exchanged"]);
}

#[test]
fn nul_bytes_and_other_files() {
    refused("nul", "existing.csv", b"point,northing\0,easting,elevation\nA,1,2,3\n", &["existing.csv", "NUL"]);
    refused("workbook", "existing.csv", b"PK\x03\x04 and so on", &["existing.csv", "workbook"]);
}

#[test]
fn the_true_line_after_a_quoted_line_break() {
    let rows = "A,100,200,1,\"first\nsecond\nthird\"\nB,100,bad,1,\nC,110,200,1,\n";
    let text = format!("point,northing,easting,elevation,note\n{rows}");
    refused("line-break", "existing.csv", text, &["existing.csv, line 5, column 7", "`bad`"]);
}

#[test]
fn errors_in_tables_with_decimal_commas_and_other_encodings() {
    let commas = "point;northing;easting;elevation\nA;100,5;200,25;1,5\nB;100,5;210;x,1\nC;110;200;1\n";
    refused("commas", "existing.csv", commas, &["existing.csv, line 3, column 13", "`x,1`"]);
    let mut western =
        b"point,northing,easting,elevation,note\nA,100,200,1,caf\xe9\nB,100,21o,1,\nC,110,200,1,\n".to_vec();
    refused("windows-1252", "existing.csv", &western, &["existing.csv, line 3, column 7", "`21o`"]);
    western.retain(|&b| b != 0xe9);
    let wide: Vec<u8> = [0xff, 0xfe].into_iter().chain(western.iter().flat_map(|&b| [b, 0])).collect();
    refused("utf-16", "existing.csv", wide, &["existing.csv, line 3, column 7", "`21o`"]);
}

#[test]
fn one_bad_row_in_two_hundred_thousand() {
    let mut text = HEADER.to_owned();
    for k in 0..200_000_u32 {
        let bad = if k == 123_456 { "1O1.5" } else { "101.5" };
        let _ = writeln!(text, "p{k},{},{},{bad}", k / 500, k % 500);
    }
    let said = refused("large", "existing.csv", text, &["existing.csv, line 123458,", "`1O1.5`"]);
    assert_eq!(said.matches("error").count(), 1, "{said}");
}

#[test]
fn very_long_lines_old_line_ends_and_far_away_places() {
    let long = format!("{HEADER}A,100,200,{}\nB,100,210,1\nC,110,200,1\n", "9".repeat(1_000_000));
    let said = refused("long", "existing.csv", long, &["existing.csv, line 2,"]);
    assert!(said.len() < 10_000, "{} bytes said", said.len());
    refused(
        "cr-only",
        "existing.csv",
        "point,northing,easting,elevation\rA,1,2,3\rB,x,2,3\r",
        &["existing.csv, line 3, column 3", "`x`"],
    );
    rows_refused("far-away", "A,1e12,200,1\nB,100,210,1\nC,110,200,1\n", &["line 2, column 3", "1e12"]);
}

#[test]
fn limits_that_are_none() {
    let desk = Desk::new("limits");
    let run = ["run", "existing.csv", "proposed.csv", "--limit", "rings.csv"];
    for (rings, parts) in [
        ("1,100,200\n1,110,220\n1,110,200\n1,100,220\n", ["rings.csv, line", "cross"]),
        ("1,100,200\n1,110,220\n", ["rings.csv, line", "corner"]),
        ("1,900,900\n1,900,950\n1,950,950\n", ["rings.csv", "no ground inside it"]),
        ("1,80,200\n1,100,200\n1,80,180\n", ["rings.csv", "no ground inside it"]),
    ] {
        desk.put("rings.csv", format!("ring,northing,easting\n{rings}"));
        desk.refuses(1, &run, &parts);
    }
}
