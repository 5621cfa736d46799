//! The hole as it is typed: the folder that is written, the exit code, and files that cannot be used.

use super::bad_jobs::hall;
use super::{Desk, close, number, table};

#[test]
fn the_folder_holds_sheet_and_tables_and_says_how_it_ends() {
    let desk = hall("dig-folder", &[]);
    desk.run(&["digcheck", "job.toml", "--shots", "asdug-rods.csv", "--out", "dig"]).ends(3).says(&[
        "Dig check: NOT ACCEPTED AS IT IS",
        "47 stakes, 39 in, 4 HIGH, 4 LOW; in is 0.04 ft above to 0.04 ft below dig-to",
        "mean -0.012 ft, spread 0.060",
        "closes on BM1: +0.01 ft, allowed 0.02",
        "LOW 0-3 1/2: stone",
        "HIGH 0-0 7/8: trim",
        "closed low 0.11 ft deep at B4, spills at C4 102.28",
        "OWNER  upper landing",
        "stone drain strip: no stake of it was shot",
        "Written to dig: digcheck-1.svg",
    ]);
    for file in ["digcheck-1.png", "digcheck-2.svg", "digcheck.pdf", "digcheck.txt", "outcome.json"] {
        assert!(desk.bytes(&format!("dig/{file}")).len() > 1000, "{file}");
    }
    assert!(desk.bytes("dig/digcheck.pdf").starts_with(b"%PDF"));
    let rows = table(&desk.text("dig/digcheck.csv"));
    assert_eq!((rows.len(), rows[0]["stake"].as_str(), rows[0]["verdict"].as_str()), (47, "B4", "LOW"));
    assert_eq!(rows[0]["diff"], "-0.2879");
    // A hole dug as the sheet says ends well, whatever the checks of the design are.
    let stakes = desk.run(&["stakes", "job.toml", "--json"]).json();
    let mut well = "stake,rod,elevation,setup,time,note\nTBM2,5.62,,,7:30,set up; HI 107.00\n".to_owned();
    for s in stakes["stakes"].as_array().into_iter().flatten().filter(|s| !s["area"].is_null()) {
        well += &format!("{},{},,,8:15,\n", s["stake"].as_str().unwrap_or_default(), 107.0 - number(&s["dig_to"]));
    }
    desk.put("well.csv", well + "BM1,2.88,,,12:00,close\n");
    let ran = desk.run(&["digcheck", "job.toml", "--shots", "well.csv", "--json"]).ends(0).json();
    assert_eq!(ran["digcheck"]["accept"], true);
    assert!(ran["checks"].as_array().is_some_and(|c| c.len() > 12 && c.iter().all(|c| c["pass"] == true)));
    assert_eq!(ran["digcheck"]["stakes"][0]["time"], "8:15");
    // A tolerance of one's own, both ways or side by side.
    let out = |tolerance: &str| {
        let args = ["digcheck", "job.toml", "--shots", "asdug-rods.csv", "--tolerance", tolerance, "--json"];
        let json = desk.run(&args).ends(3).json()["digcheck"].clone();
        (json["high"].as_u64(), json["low"].as_u64())
    };
    assert_eq!(
        (out("1 in"), out("1 in, 4 in"), out("0 ft, 4 in")),
        ((Some(2), Some(3)), (Some(2), Some(0)), (Some(17), Some(0)))
    );
}

#[test]
fn heights_rods_and_the_notes_beside_them() {
    let desk = hall("dig-rows", &[]);
    let of = |text: &str| {
        desk.put("dug.csv", text);
        desk.run(&["digcheck", "job.toml", "--shots", "dug.csv", "--json"]).json()
    };
    let stake = |json: &serde_json::Value, name: &str| {
        let all = json["digcheck"]["stakes"].as_array().cloned().unwrap_or_default();
        all.into_iter().find(|s| s["stake"] == name).unwrap_or_else(|| panic!("{name} in {json}"))
    };
    // A set-up is named by its column, wherever the stake stands; a rod in feet and inches is what it says.
    let json = of("stake,rod,elevation,setup,time,note\n\
                   TBM2,5.62,,1,7:30,set up; HI 107.00\n\
                   A2,4.37,,1,,\n\
                   A3,5.38,102.62,2,,\n\
                   A4,4-4 5/8,,1,,\n\
                   BM1,3.88,,2,13:00,set up; HI 108.00\n\
                   B2,,102.44,,,by tape\n\
                   B3,4.83,,1,,undercut ordered 1 in\n\
                   B4,4.83,,1,,Undercut ordered: soft\n\
                   A2,4.37,,1,,\n\
                   A1,,101.00,,,\n\
                   TBM2,,101.38,,,\n");
    for (name, height) in [("A2", 102.63), ("A3", 102.62), ("A4", 107.0 - 4.0 - 4.625 / 12.0), ("B2", 102.44)] {
        close(number(&stake(&json, name)["as_dug"]), height, 1e-9);
    }
    assert_eq!(stake(&json, "A3")["set_up"], 2);
    close(number(&stake(&json, "B3")["ordered"]), 1.0 / 12.0, 1e-12);
    assert_eq!((&stake(&json, "B3")["verdict"], &stake(&json, "B4")["verdict"]), (&"LOW".into(), &"ok".into()));
    close(number(&stake(&json, "B4")["ordered"]), 0.2879, 5e-5);
    let said = json["cautions"].to_string();
    for part in ["1 rods in feet and inches", "A2 stand twice with the same shot", "A1 outside all areas"] {
        assert!(said.contains(part), "{part} is missing in {said}");
    }
    // As the field page saves it: an HI alone, a second bench looked at twice, shots without a set-up first.
    let json = of("stake,rod,elevation,setup,time,note\n\
                   'A4,,102.62,,T,\n\
                   HI,,107.25,1,T,set up\n\
                   BM1,3.24,,1,T,close; -0.11\n\
                   BM1,3.12,,1,T,close; +0.01\n\
                   A2,4.62,102.63,1,T,\n\
                   TBM2,5.62,,2,T,set up; HI 107.00\n\
                   A3,4.38,102.62,2,T,\n");
    for (name, height) in [("A2", 102.63), ("A3", 102.62), ("A4", 102.62)] {
        close(number(&stake(&json, name)["as_dug"]), height, 1e-9);
    }
    assert_eq!(json["digcheck"]["closings"].as_array().map(Vec::len), Some(1));
    close(number(&json["digcheck"]["closings"][0]["off"]), 0.01, 1e-9);
    assert!(json["cautions"].to_string().contains("looked at again from one set-up: -0.110 off, then 0.010"));
    assert!(json["digcheck"]["set_ups"][0]["rod"].is_null() && json["digcheck"]["set_ups"][0]["bench"] == "HI");
    // Semicolons and a decimal comma; a bench first and a bench last need no word.
    let json = of("stake;rod;note\nTBM2;5,62;\nA2;4,37;\nA3;4,38;\nBM1;2,87;\n");
    close(number(&stake(&json, "A2")["as_dug"]), 102.63, 1e-9);
    close(number(&json["digcheck"]["closings"][0]["off"]), 0.01, 1e-9);
}

#[test]
fn what_cannot_be_used_is_told_all_at_once() {
    let desk = hall("dig-bad", &[]);
    for (text, parts) in [
        (
            "stake,rod,note\nA2,4.37,\nZ99,4.38,\nA3,x,\n,4.1,\nA4,,\n",
            &[
                "line 2, column 4",
                "a rod and no set-up above it",
                "BM1, TBM2",
                "`Z99` in column point",
                "a stake of the job, or one of its benches",
                "`x` in column rod",
                "line 5",
                "an empty cell in column rod",
            ][..],
        ),
        (
            "stake,rod,elevation,note\nTBM2,5.62,101.30,set up\nA2,4.37,102.64,\nA3,4.38,,\nA3,4.39,,\n",
            &[
                "elevation 102.640 and a rod that gives 102.630",
                "`A3` a second time",
                "the first time here",
                "elevation 101.300 for `TBM2`",
                "101.380, as the job has it",
            ],
        ),
        (
            "stake,rod,note\nTBM2,5.62,\nA2,4.37,\nTBM2,5.70,\nA3,4.38,undercut ordered 3 furlongs\n",
            &[
                "`TBM2` again, without a word what for",
                "say `set up` where the level was moved",
                "a depth with its unit",
            ],
        ),
        ("stake,northing\nA2,3\n", &["neither a column `rod` nor a column `elevation`"]),
        ("stake,elevation\n", &["a header and no rows", "a row for every stake that was shot"]),
        ("A2,102.63\nA3,102.62\n", &["expected"]),
        ("stake,elevation\nA1,101.0\n", &["no shot at a stake of an area"]),
        ("stake,elevation\nA2,\"102\n", &["a quote that is not closed"]),
        ("", &["dug.csv"]),
        ("stake,elevation\nA2,1e999\nA3,nan\nA4,inf\n", &["`1e999`", "`nan`", "`inf`"]),
    ] {
        desk.put("dug.csv", text);
        desk.refuses(1, &["digcheck", "job.toml", "--shots", "dug.csv", "--out", "dig"], parts);
    }
    desk.refuses(1, &["digcheck", "job.toml", "--shots", "gone.csv"], &["no such file"]);
    desk.put("dug.csv", "stake,elevation\nA2,102.63\n");
    desk.refuses(2, &["digcheck", "existing.csv", "--shots", "dug.csv"], &["is no job file"]);
    for tolerance in ["1", "1 in, 2 in, 3 in", "-1 in", "in"] {
        let typed = format!("--tolerance={tolerance}");
        desk.refuses(2, &["digcheck", "job.toml", "--shots", "dug.csv", &typed], &[]);
    }
    // Tickets: a truck nobody knows, a box of nothing, nothing said of what was in it.
    desk.put("tickets.csv", "date,truck,loads,loose\n1 May,tandm,3,\n2 May,tandem,0,\n3 May,tandem,,\n4 May,,,many\n");
    desk.refuses(
        1,
        &["digcheck", "job.toml", "--shots", "dug.csv", "--tickets", "tickets.csv"],
        &[
            "`tandm` in column truck",
            "the nearest is `tandem`",
            "a number above 0",
            "a number of loads or a volume",
            "`many`",
        ],
    );
    desk.put(
        "tickets.csv",
        "date,truck,loads,loose\n1 May,tandem,4,\n1 May,neighbour,,\"27 ft3\"\n2 May,neighbour,2,9\n",
    );
    let json = desk
        .run(&["digcheck", "job.toml", "--shots", "asdug-rods.csv", "--tickets", "tickets.csv", "--json"])
        .ends(3)
        .json();
    close(number(&json["digcheck"]["moved"]["tickets"]), 50.0, 1e-9);
    close(number(&json["digcheck"]["moved"]["loads"]), 7.0, 1e-9);
}

#[test]
fn a_job_in_metres_and_names_that_look_like_formulas() {
    let metric = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/metric");
    let desk = Desk::new("dig-metric");
    let stakes = desk.run(&["stakes", metric, "--json"]).json();
    let dug: Vec<(&str, f64)> = stakes["stakes"]
        .as_array()
        .into_iter()
        .flatten()
        .filter(|s| !s["area"].is_null())
        .map(|s| (s["stake"].as_str().unwrap_or_default(), number(&s["dig_to"])))
        .collect();
    assert!(dug.len() > 8);
    // One 23 mm high, one just 10 mm low, the others as ordered.
    let mut text = "stake;elevation\n".to_owned();
    for (k, (name, z)) in dug.iter().enumerate() {
        let off = [0.023, -0.010].get(k).copied().unwrap_or(0.0);
        text += &format!("{name};{}\n", format!("{:.6}", z + off).replace('.', ","));
    }
    desk.put("dug.csv", text);
    let ran = desk.run(&["digcheck", metric, "--shots", "dug.csv", "--out", "dig"]).ends(3);
    ran.says(
        &["HIGH 0.023: trim", "1 HIGH, 0 LOW; in is 0.010 m above to 0.010 m below", "(m; + HIGH, - LOW)", "yd3"][..3],
    );
    assert!(desk.text("dig/digcheck.svg").contains("HIGH 0.023: trim"));
    // A note may be anything; the table says it as text.
    let first = dug[2].0;
    desk.put("dug.csv", format!("stake,elevation,note\n{first},{},\"=1+2\"\n", dug[2].1));
    desk.run(&["digcheck", metric, "--shots", "dug.csv", "--out", "dig2"]).ends(0);
    assert!(desk.text("dig2/digcheck.csv").contains(",'=1+2"));
}
