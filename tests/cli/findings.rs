//! Designs that fail a check: done, everything written, exit 3, every failing named with its place.

use super::{Desk, HEADER};

#[test]
fn a_subgrade_flatter_than_the_least_fall_is_named_with_its_place() {
    let desk = Desk::new("flat");
    desk.put("proposed.csv", format!("{HEADER}A,100,200,99.5\nB,100,220,99.5\nC,120,200,99.4\nD,120,220,99.4\n"));
    let ran = desk.run(&["run", "existing.csv", "proposed.csv"]).ends(3);
    ran.says(&["FAILS", "least fall of the subgrade", "N 1", "0.5 %", "least 1 %", "400.0 ft2"]);
    assert!(desk.text("spadework-out/outcome.json").contains("\"pass\": false"));
    // Told to be content with less, it holds.
    desk.run(&["stakes", "existing.csv", "proposed.csv", "--min-fall", "0.4 %"]).ends(0);
    let volume = desk.run(&["run", "existing.csv", "proposed.csv", "--min-fall", "1:200", "--json"]).ends(0).json();
    assert_eq!(volume["checks"][0]["source"], "--min-fall");
}

#[test]
fn water_that_stays_is_named_with_its_place_and_its_stakes() {
    let desk = Desk::new("bowl");
    let bowl = "A,100,200,99.5\nB,100,220,99.5\nC,120,200,99.5\nD,120,220,99.5\nM,110,210,99\n";
    desk.put("proposed.csv", format!("{HEADER}{bowl}"));
    let ran = desk.run(&["run", "existing.csv", "proposed.csv", "--json"]).ends(3);
    let json = ran.json();
    let failed: Vec<&serde_json::Value> =
        json["checks"].as_array().into_iter().flatten().filter(|c| c["pass"] == false).collect();
    assert_eq!(failed.len(), 1);
    assert_eq!(failed[0]["subject"], "N 110.00, E 210.00");
    assert!(failed[0]["note"].as_str().is_some_and(|n| n.contains("P1") && n.contains("stands in a low")));
    assert!(json["drainage"]["unreached"].as_array().is_some_and(|u| u.len() >= 9));
    // With a drain there it is well.
    desk.run(&["run", "existing.csv", "proposed.csv", "--outlet", "M"]).ends(0);
}

#[test]
fn a_cut_deeper_than_six_feet_is_asked_about_on_bare_tables_too() {
    let desk = Desk::new("deep");
    let deep = ["volume", "existing.csv", "proposed.csv", "--build-up", "8 ft"];
    desk.run(&deep).ends(0).says(&["deep: is that meant?", "licensed designer"]);
    let shallow = desk.run(&["volume", "existing.csv", "proposed.csv", "--build-up", "1 ft"]).ends(0);
    assert!(!shallow.out.contains("is that meant?"));
}
