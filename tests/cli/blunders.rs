//! Each slip of `tests/sites/hall-blunders.csv`, made in the hall's own files, comes out as that table says; those it says nobody can
//! find are not pretended to be found. Its last row is for the check of the finished dig.

use super::bad_jobs::hall;
use super::{Desk, has_all};
use serde_json::Value;

/// Suspects as (stake, kind, why), and everything cautioned.
fn looked(desk: &Desk) -> (Value, Vec<(String, String, String)>, String) {
    let ran = desk.run(&["stakes", ".", "--json"]);
    assert!(matches!(ran.code, Some(0 | 3)), "{}", ran.err);
    let out = ran.json();
    let text = |v: &Value, key: &str| v[key].as_str().unwrap_or_default().to_owned();
    let suspects = out["survey"]["suspects"].as_array().expect("a list").iter();
    let suspects = suspects.map(|s| (text(s, "stake"), text(s, "kind"), text(s, "why"))).collect();
    let cautions = out["cautions"].as_array().expect("a list").iter();
    let cautions = cautions.map(|c| text(c, "text") + "\n").collect();
    (out, suspects, cautions)
}

fn with(name: &str, file: &str, old: &str, new: &str) -> Desk {
    let desk = hall(name, &[]);
    let text = desk.text(file);
    assert!(text.contains(old), "{file} has no `{old}`");
    desk.put(file, text.replacen(old, new, 1));
    desk
}

#[test]
fn the_table_of_slips_is_the_one_these_tests_follow() {
    let rows: Vec<&str> = include_str!("../sites/hall-blunders.csv").lines().skip(1).collect();
    assert_eq!(rows.len(), 11);
    for (row, change) in rows.iter().zip([
        "E3 is 4.63 -> 4.36",
        "third set-up",
        "exchange bs and fs of TBM2",
        "easting of B7",
        "0.6 in",
        "-> 6",
        "5-6 1/2",
        "5.65",
        "D9 is 6.16 -> 6.06",
        "main door D1",
        "5.62 -> 5.26",
    ]) {
        assert!(row.contains(change), "{row}");
    }
}

#[test]
fn the_hall_as_it_was_levelled_has_no_suspects() {
    let (out, suspects, cautions) = looked(&hall("blunders-clean", &[]));
    assert_eq!(suspects, []);
    assert!(out["survey"]["roughness"].as_f64().is_some_and(|r| (0.02..0.05).contains(&r)));
    assert!(!cautions.contains("decimal slipped"), "{cautions}");
}

#[test]
fn digits_swapped_are_told_with_the_reading_and_the_cut_without() {
    let desk = with("blunders-1", "level-notes.csv", "E3,,4.63", "E3,,4.36");
    let (out, suspects, _) = looked(&desk);
    assert_eq!(suspects.len(), 1);
    let (stake, kind, why) = &suspects[0];
    assert_eq!((stake.as_str(), kind.as_str()), ("E3", "slip"));
    has_all(why, &["above what the shots around make of it", "two digits swapped explain it: 4.36 for 4.63"]);
    let s = &out["survey"]["suspects"][0];
    let of = |key: &str| s[key].as_f64().expect("a number");
    assert!((of("cut") - of("cut_if") - 0.27).abs() < 1e-9, "{s}");
    // Nothing is corrected without being told to.
    let e3 = out["stakes"].as_array().and_then(|all| all.iter().find(|s| s["stake"] == "E3")).expect("a stake");
    assert!((e3["existing"].as_f64().unwrap_or_default() - (of("height_if") + 0.27)).abs() < 1e-9);
    desk.run(&["stakes", "."]).says(&["Shots to look at before digging by them (nothing was changed)", "E3     slip"]);
}

#[test]
fn a_whole_set_up_a_foot_low_is_told_as_one() {
    let desk = hall("blunders-2", &[]);
    let notes = desk.text("level-notes.csv");
    let (first, third) = notes.split_at(notes.find("E6,,4.84").expect("the first side shot of the third set-up"));
    let raised = |line: &str| {
        let cells: Vec<&str> = line.splitn(4, ',').collect();
        match cells.as_slice() {
            [point, "", is, rest] if !is.is_empty() => {
                let up: f64 = is.parse::<f64>().expect("a reading") + 1.0;
                format!("{point},,{up:.2},{rest}")
            }
            _ => line.to_owned(),
        }
    };
    desk.put("level-notes.csv", first.to_owned() + &third.lines().map(raised).collect::<Vec<_>>().join("\n") + "\n");
    let (_, suspects, _) = looked(&desk);
    assert_eq!(suspects.len(), 1, "{suspects:?}");
    assert_eq!((suspects[0].0.as_str(), suspects[0].1.as_str()), ("set-up 3", "slip"));
    has_all(&suspects[0].2, &["stand 1.0", "ft low", "check shot on E6", "a whole foot was misread", "deeper"]);
}

#[test]
fn exchanged_sights_are_told_by_the_misclosure_they_explain() {
    let desk = with("blunders-3", "level-notes.csv", "TBM2,5.17,,6.13", "TBM2,6.13,,5.17");
    let (out, suspects, _) = looked(&desk);
    assert!((out["survey"]["misclosure"].as_f64().unwrap_or_default() - 1.95).abs() < 1e-9);
    assert_eq!(out["survey"]["closes"], false);
    assert_eq!(suspects.len(), 1, "{suspects:?}");
    has_all(
        &suspects[0].2,
        &["misses by 1.950; with backsight and foresight of TBM2 exchanged it would miss by 0.030"],
    );
    desk.run(&["stakes", "."]).ends(3).says(&["DOES NOT CLOSE", "run the levels again before anything is dug"]);
}

#[test]
fn exchanged_coordinates_a_slipped_decimal_and_a_missing_unit() {
    let desk = hall("blunders-4", &[]);
    let job = desk.text("job.toml");
    let line = job.lines().find(|l| l.starts_with("level_notes")).expect("notes").to_owned();
    let points =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/hall/points.csv")).expect("points");
    let old = points.lines().find(|l| l.starts_with("B7,")).expect("B7").to_owned();
    assert!(old.starts_with("B7,510.0,1060.0,"));
    desk.put("points.csv", points.replace(&old, &old.replace("510.0,1060.0", "1060.0,510.0")));
    desk.put("job.toml", job.replace(&line, "shots = \"points.csv\""));
    let (_, _, cautions) = looked(&desk);
    has_all(&cautions, &["far off all other shots, but among them with northing and easting exchanged: B7"]);

    let base = "{ name = \"dense base\",   thick = \"6 in\"";
    let (_, _, cautions) = looked(&with("blunders-5", "job.toml", base, &base.replace("6 in", "0.6 in")));
    has_all(&cautions, &["dense base is 0.050 ft thick, thinner than the usual 0.167 ft"]);
    let desk = with("blunders-6", "job.toml", base, &base.replace("\"6 in\"", "6"));
    desk.refuses(1, &["stakes", "."], &["bare number 6", "unit"]);
}

#[test]
fn inches_on_a_tenths_rod_are_read_as_they_say_and_what_nobody_can_find_is_not_found() {
    let (out, suspects, cautions) = looked(&with("blunders-7", "level-notes.csv", "A8,,5.54", "A8,,5-6 1/2"));
    assert_eq!(suspects, []);
    has_all(&cautions, &["feet-inches among tenths, read as what they say: line 10, A8: `5-6 1/2` as 5.5417 ft"]);
    let of = |out: &Value| {
        let all = out["stakes"].as_array().expect("stakes");
        all.iter().find(|s| s["stake"] == "A8").and_then(|s| s["existing"].as_f64()).expect("a height")
    };
    let (clean, ..) = looked(&hall("blunders-7-clean", &[]));
    assert!((of(&out) - of(&clean)).abs() < 0.01);
    for (name, old, new) in [("blunders-8", "A8,,5.54", "A8,,5.65"), ("blunders-9", "D9,,6.16", "D9,,6.06")] {
        let (_, suspects, _) = looked(&with(name, "level-notes.csv", old, new));
        assert_eq!(suspects, [], "{name}: nothing in the notes tells");
    }
}

#[test]
fn one_name_for_two_places_is_refused_with_both() {
    let desk = hall("blunders-10", &[]);
    let places = desk.text("places.csv");
    desk.put("places.csv", places + "D1,500.1,1020.0,sill,main door\n");
    let both =
        "found `D1` at N 500.10, E 1020.00, a stake of the grid at N 530.00, E 1000.00; expected one place for a name";
    desk.refuses(1, &["stakes", "."], &["places.csv, line ", both]);
    // Beyond the rows that were shot a letter and a number are a name like any other: H1, L1 and R1 stand in that table.
    hall("blunders-10-clean", &[]).run(&["check", "."]).ends(0);
}
