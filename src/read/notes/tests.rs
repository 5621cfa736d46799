//! Readings, names and places of the field book.

use super::*;
use crate::shots::{Grid, Way};
use proptest::prelude::*;

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

proptest! {
    /// Whatever stands in the cells, notes are reduced or complained of; and where they are reduced, heights are numbers.
    #[test]
    fn no_notes_make_it_panic(
        rows in prop::collection::vec((0..6_usize, 0..9_usize, 0..9_usize, 0..9_usize, 0..5_usize), 1..14),
        by_distance: bool,
    ) {
        const NAMES: [&str; 6] = ["BM1", "A1", "T1", "T2", "B3", "X9"];
        const CELLS: [&str; 9] = ["", "", "", "", "5.00", "4-6 1/2", "-1.5", "6.1", "9000000000"];
        const TAILS: [&str; 5] = ["", "", "100", "0.000001", "check"];
        let mut text = "point,bs,is,fs,distance,note\n".to_owned();
        for (name, back, side, fore, tail) in rows {
            let tail = if TAILS[tail] == "check" { ",check".to_owned() } else { format!("{},", TAILS[tail]) };
            text += &format!("{},{},{},{},{tail}\n", NAMES[name], CELLS[back], CELLS[side], CELLS[fore]);
        }
        let source = Source::read("notes.csv", text.into_bytes()).expect("is text");
        let benches = [("BM1", Some(Elevation::in_job_units(100.0))), ("T2", None)];
        let reducing = Reducing { benches: &benches, by_distance, ..reducing(Rods::Tenths, LengthUnit::Foot) };
        let mut complaints = Complaints::default();
        let read = read_levels(&source, &reducing, &mut complaints);
        prop_assert_eq!(read.is_none(), !complaints.is_empty());
        for p in read.iter().flat_map(|(levels, _)| &levels.reduced.points) {
            prop_assert!(p.adjusted.job_units().is_finite() && p.correction.job_units().is_finite());
            prop_assert!(p.standard_error.is_none_or(|s| s.job_units().is_finite()));
        }
    }

    /// Rows that can be followed, over few points and so in many loops: never a panic, sums always agree.
    #[test]
    fn tangled_runs_are_adjusted(turns in prop::collection::vec((0..5_usize, -900_i32..900, 1..400_u32), 1..30), by_distance: bool) {
        const NAMES: [&str; 5] = ["BM1", "BM2", "J", "K", "L"];
        let mut text = "point,bs,fs,distance\nBM1,5.00,,\n".to_owned();
        for (k, (name, hundredths, distance)) in turns.iter().enumerate() {
            let back = if k + 1 < turns.len() { "5.00" } else { "" };
            text += &format!("{},{back},{},{distance}\n", NAMES[*name], f64::from(*hundredths) / 100.0);
        }
        let source = Source::read("notes.csv", text.into_bytes()).expect("is text");
        let benches = [("BM1", Some(Elevation::in_job_units(100.0))), ("BM2", Some(Elevation::in_job_units(97.0)))];
        let reducing = Reducing { benches: &benches, by_distance, ..reducing(Rods::Tenths, LengthUnit::Foot) };
        let mut complaints = Complaints::default();
        let (levels, _) = read_levels(&source, &reducing, &mut complaints)
            .unwrap_or_else(|| panic!("{}", complaints.render(&[&source])));
        let reduced = levels.reduced;
        prop_assert!(reduced.runs.iter().all(|run| run.page_holds));
        // A point has one adjusted height, however often it is met; a bench has its own.
        for p in &reduced.points {
            let first = reduced.points.iter().find(|o| o.name == p.name).map_or(f64::NAN, |o| o.adjusted.job_units());
            prop_assert!((p.adjusted.job_units() - first).abs() < 1e-7, "{} {first}", p.name);
            if let Some((_, Some(known))) = benches.iter().find(|(bench, _)| *bench == p.name) {
                prop_assert!((p.adjusted.job_units() - known.job_units()).abs() < 1e-9);
            }
        }
        // As many closures as lines beyond those that reach a point first.
        let ends = reduced.lines.iter().flat_map(|l| [l.from.as_str(), l.to.as_str()]);
        let reached: std::collections::HashSet<&str> = ends.filter(|name| !name.starts_with("BM")).collect();
        prop_assert_eq!(reduced.closures.len() + reached.len(), reduced.lines.len());
    }
}
