//! Readings, names and places of the field book.

use super::*;
use crate::shots::{Grid, Way};

fn reducing(rods: Rods, unit: LengthUnit) -> Reducing<'static> {
    const BENCHES: [(&str, Option<Elevation>); 0] = [];
    Reducing { unit, rods, benches: &BENCHES, allowed: None, by_distance: false, sides_with_backsight: false }
}

fn read_feet(notes: &str, places: &[NamedPlace]) -> (Option<Levelled>, String) {
    read_with(notes, places, Rods::Tenths)
}

fn read_with(notes: &str, places: &[NamedPlace], rods: Rods) -> (Option<Levelled>, String) {
    let source = Source::read("notes.csv", format!("point,bs,is,fs,note\n{notes}").into_bytes()).expect("is text");
    let grid = Grid::new("A1", (500_000_000, 1_000_000_000), 10.0, Way::North, Way::East).expect("is a grid");
    let benches = [("BM1", Some(Elevation::in_job_units(100.0)))];
    let reducing = Reducing { benches: &benches, ..reducing(rods, LengthUnit::Foot) };
    let around = Around { reducing, grid: Some(&grid), places };
    let mut complaints = Complaints::default();
    let read = read_notes(&source, &around, &mut complaints);
    (read, complaints.render(&[&source]))
}

#[test]
fn what_was_only_turned_on_is_no_stake_of_a_far_row() {
    let (read, said) = read_feet("BM1,5.00,,,\nA1,,4.00,,\nTP1,5.00,,5.00,\nB7,,4.5,,\nBM1,,,5.00,\n", &[]);
    let shots = read.unwrap_or_else(|| panic!("{said}")).shots;
    let names: Vec<&str> = (0..shots.len()).map(|r| shots.names.get(r)).collect();
    assert_eq!(names, ["A1", "B7"]);
    assert_eq!(shots.place(1), (510.0, 1060.0));
    // A stake of the grid that was turned on is one all the same.
    let (read, said) = read_feet("BM1,5.00,,,\nC3,5.00,,5.00,\nBM1,,,5.00,\n", &[]);
    assert_eq!(read.unwrap_or_else(|| panic!("{said}")).shots.place(0), (520.0, 1020.0));
}

#[test]
fn names_without_a_place_and_places_shot_twice_are_refused() {
    let h1 = NamedPlace { name: "H-1".to_owned(), place: (500_000_000, 1_000_000_000), kind: None, span: 0..0 };
    let notes = "BM1,5.00,,,\nA1,,4.00,,\nH-1,,4.10,,\nQ-2,,4.1,,\nA1,,4.2,,\nBM1,,,5.00,\n";
    let (read, said) = read_feet(notes, &[h1]);
    assert!(read.is_none());
    for part in ["line 4", "`H-1` at the place of `A1`", "line 5", "`Q-2`", "line 6", "shot again"] {
        assert!(said.contains(part), "{part} is missing in\n{said}");
    }
}

fn said(levelled: &Levelled) -> String {
    levelled.cautions.iter().map(|c| format!("{}: {}\n", c.subject, c.text)).collect()
}

fn height(levelled: &Levelled, name: &str) -> f64 {
    let shots = &levelled.shots;
    (0..shots.len()).find(|&r| shots.names.get(r) == name).map_or(f64::NAN, |r| shots.elevation[r])
}

#[test]
fn feet_inches_among_tenths_are_read_as_what_they_say_and_asked_about() {
    let notes = "BM1,5.00,,,\nA8,,5-6 1/2,,\nA9,,5.5417,,\nA7,,5'6 1/2\"\"\",,\nBM1,,,5.00,\n"
        .replace("5'6 1/2\"\"\"", "\"5'6 1/2\"\"\"");
    let (out, complaints) = read_with(&notes, &[], Rods::Tenths);
    let out = out.unwrap_or_else(|| panic!("{complaints}"));
    assert!((height(&out, "A8") - (105.0 - 66.5 / 12.0)).abs() < 1e-9);
    assert!((height(&out, "A7") - height(&out, "A8")).abs() < 1e-12);
    let text = said(&out);
    assert!(text.contains("feet-inches among tenths") && text.contains("line 3, A8: `5-6 1/2` as 5.5417 ft"), "{text}");
    assert_eq!(out.levels.decimals, 4);
    // Said to be in inches: the same heights, and now the decimal is asked about.
    let (inches, complaints) = read_with(&notes, &[], Rods::Inches);
    let inches = inches.unwrap_or_else(|| panic!("{complaints}"));
    assert_eq!(height(&inches, "A8"), height(&out, "A8"));
    assert!(said(&inches).contains("line 4, A9: `5.5417` as 5.5417 ft"), "{}", said(&inches));
}

#[test]
fn sums_of_sixty_fourths_and_decimals_are_exact() {
    let notes = "BM1,4-0 1/64,,,\nT1,3.1,,4-0 1/32,\nT2,2.000001,,3-1 3/64,\nBM1,,,1-11 15/16,\n";
    let (out, complaints) = read_with(notes, &[], Rods::Inches);
    let levels = out.unwrap_or_else(|| panic!("{complaints}")).levels;
    assert!(levels.reduced.runs[0].page_holds);
    let want = (4.0 + 1.0 / 768.0) + 3.1 + 2.000_001;
    assert!((levels.reduced.runs[0].backs.job_units() - want).abs() < 1e-9);
}

#[test]
fn a_metre_rod_serves_a_job_in_feet_and_a_foot_rod_one_in_metres() {
    let (out, complaints) = read_with("BM1,1.524,,,\nA1,,0.6096,,\nA2,,2-0,,\nBM1,,,1.524,\n", &[], Rods::Metres);
    let out = out.unwrap_or_else(|| panic!("{complaints}"));
    for name in ["A1", "A2"] {
        assert!((height(&out, name) - 103.0).abs() < 1e-9, "{}", height(&out, name));
    }
    assert!(said(&out).contains("feet-inches among metres"), "{}", said(&out));
    let source = Source::read("n.csv", b"point,bs,fs\nBM1,10-0,\nX,,5-0\n".to_vec()).expect("is text");
    let benches = [("BM1", Some(Elevation::in_job_units(100.0)))];
    let reducing = Reducing { benches: &benches, ..reducing(Rods::Inches, LengthUnit::Metre) };
    let (levels, _) = read_levels(&source, &reducing, &mut Complaints::default()).expect("can be reduced");
    assert!((levels.reduced.points[0].adjusted.job_units() - 101.524).abs() < 1e-9);
}

#[test]
fn readings_that_cannot_be_are_refused_and_long_ones_asked_about() {
    let (out, text) = read_feet("BM1,5-13,,,\nA1,,5-4-2,,\nA2,,5 ft,,\nBM1,,,x,\n", &[]);
    assert!(out.is_none());
    for part in ["inches below 12", "line 3", "line 4", "line 5"] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    let (out, text) = read_feet("BM1,500,,,\nA1,,475,,\nBM1,,,500,\n", &[]);
    let out = out.unwrap_or_else(|| panic!("{text}"));
    assert!(said(&out).contains("line 2, `500` and 2 more, above 25 ft"), "{}", said(&out));
}

#[test]
fn what_concerns_two_rows_marks_both() {
    let (out, text) = read_feet("BM1,5.00,,,\nA1,,4.00,,\nB1,3.00,,,\n", &[]);
    assert!(out.is_none());
    for part in
        ["line 4", "second backsight on `B1`", "the backsight that is still open", "2 | BM1", "a set-up left open"]
    {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
}

#[test]
fn a_spur_and_a_far_stake_are_asked_about() {
    let (out, text) = read_feet("BM1,5.00,,,\nA1,,4.00,,\nB1,,4.00,,\nC3,,4.00,,\nX2,,4.00,,\nQ,,,5.00,\n", &[]);
    let out = out.unwrap_or_else(|| panic!("{text}"));
    let text = said(&out);
    assert!(text.contains("the run from BM1 to Q is a spur"), "{text}");
    assert!(text.contains("stake X2: taken as a stake of the taped grid, 21 spacings beyond the next"), "{text}");
    assert!(!text.contains("stake C3"), "{text}");
}
