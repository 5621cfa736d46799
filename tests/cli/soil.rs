//! `soil`: cores of the demo, and of a bare table.

use super::{Desk, has_all, number};
use serde_json::Value;
use std::fs;
use std::path::Path;

const HEADER: &str = "core,northing,easting,from,to,thread,ribbon,shake,patty,feel,firmness,note\n";

fn demo(file: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/hall").join(file).to_string_lossy().into_owned()
}

fn texts(value: &Value) -> Vec<&str> {
    value.as_array().into_iter().flatten().filter_map(Value::as_str).collect()
}

#[test]
fn the_demos_soil_is_clay_silt_sand_and_clay_with_silt() {
    let desk = Desk::new("soil-demo");
    // The design of the hall fails three checks on purpose.
    let out = desk.run(&["soil", &demo(""), "--json"]).ends(3).json();
    let soil = &out["soil"];
    let below = |k: usize| (&soil["cores"][k]["core"], &soil["cores"][k]["layers"][1]);
    for (k, core, class, groups) in [
        (0, "SC1", "clay", &["CH"][..]),
        (1, "SC2", "silt", &["ML"]),
        (2, "SC3", "sand", &["SW", "SP", "SM"]),
        (3, "SC4", "clay with silt", &["CL", "MH"]),
    ] {
        let (name, layer) = below(k);
        assert_eq!((name, &layer["class"]), (&core.into(), &class.into()));
        assert_eq!(texts(&layer["groups"]), groups, "{core}");
        assert_eq!(soil["cores"][k]["layers"][0]["class"], "topsoil");
        assert_eq!((texts(&layer["agree"]).len(), texts(&layer["disagree"]).len()), (5, 0), "{core}");
    }
    assert_eq!((&soil["core"], &soil["class"]), (&"SC2".into(), &"silt".into()));
    let areas = soil["areas"].as_array().expect("areas");
    let of = |name: &str| areas.iter().find(|a| a["name"] == name).unwrap_or_else(|| panic!("{name}"));
    for (name, core, class) in [
        ("dining terrace", "SC1", "clay"),
        ("stone drain strip", "SC1", "clay"),
        ("upper landing", "SC3", "sand"),
        ("accessible ramp", "SC3", "sand"),
        ("lower landing", "SC3", "sand"),
        ("planting bed", "SC4", "clay with silt"),
        ("play lawn", "SC2", "silt"),
    ] {
        let a = of(name);
        assert_eq!((&a["core"], &a["class"], &a["reaches"]), (&core.into(), &class.into(), &true.into()), "{name}");
        // One set of figures for the whole job.
        assert_eq!(
            [&a["swell"], &a["shrink"], &a["weight"]].map(|v| (number(v) * 1e6).round()),
            [250_000.0, 120_000.0, 1_500_000.0]
        );
    }
    assert_eq!(of("dining terrace")["drainage"], "practically impervious");
    assert_eq!(of("dining terrace")["suitability"], "fair to poor");
    assert_eq!(of("play lawn")["frost"], "moderate to very high, F4");
    let cautions = out["cautions"].as_array().expect("cautions");
    let said = |subject: &str, text: &str| cautions.iter().any(|c| c["subject"] == subject && c["text"] == text);
    assert!(said("play lawn", "silt at SC2: lime does little; keep it dry, do not work it wet"), "{cautions:?}");
    assert!(said("planting bed", "clay with silt at SC4: lime does little; keep it dry, do not work it wet"));
    assert!(
        !cautions
            .iter()
            .any(|c| c["text"].as_str().is_some_and(|t| t.contains("goes to") || t.contains("take it out")))
    );
    // The job no longer says that cores were only read.
    assert!(!cautions.iter().any(|c| c["text"].as_str().is_some_and(|t| t.contains("ground.cores"))));
    assert!(out.get("stakes").is_none() && out.get("volume").is_none() && out.get("tank").is_none());
}

#[test]
fn a_bare_table_is_read_and_printed() {
    let desk = Desk::new("soil-bare");
    let cores = fs::read_to_string(demo("cores.csv")).expect("the demo is there");
    desk.put("cores.csv", &cores);
    desk.run(&["soil", "cores.csv"]).ends(0).says(&[
        "Soil, by hand tests (depths below the ground, ft)",
        "SC4   0.35  1.70  clay with silt  CL/MH     all 5",
        "below the topsoil SC2 governs, the worst: silt",
        "clay               43.0  30 to 43      10.0  10 to 15          1.45  1.40 to 1.50  US Army FM 5-434 table 1-1, clay",
        "they do not certify",
        "tables are in ft",
    ]);
    let metric = desk.run(&["soil", "cores.csv", "--units", "m", "--json"]).ends(0).json();
    let clay = &metric["soil"]["classes"][1];
    assert_eq!((&clay["class"], &metric["units"]["mass"]), (&"clay".into(), &"tonne".into()));
    super::close(number(&clay["weight"]), 1.7205, 0.00005);
    assert!(metric["soil"].get("areas").is_none());
}

#[test]
fn what_cannot_be_used_is_refused_with_its_line() {
    let desk = Desk::new("soil-refused");
    let rows = "A,1,2,0,0.4,tuogh,,,,silt,,\nA,1,2,0.5,1,,,,,silt,,\n";
    desk.put("cores.csv", format!("{HEADER}{rows}"));
    let said =
        desk.refuses(1, &["soil", "cores.csv"], &["cores.csv, line 2, column 13", "the nearest word is `tough`"]);
    has_all(&said, &["cores.csv, line 3, column 7", "a gap"]);
    desk.refuses(1, &["soil", "none.csv"], &["no such file"]);
    desk.refuses(2, &["soil", &demo(""), "--units", "m"], &["--units belong to a bare table"]);
    let metric = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/metric");
    desk.refuses(
        1,
        &["soil", &metric.to_string_lossy()],
        &["found no cores; expected `cores` in [ground]", "core,northing,easting,from,to"],
    );
}
