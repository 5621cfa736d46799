//! The example through every command that takes a job on tables, against figures worked out elsewhere.

use super::{Desk, HEADER, Ran, close, example, expected, number, table};
use resvg::usvg::roxmltree;
use serde_json::Value;

const JOB: [&str; 6] = ["existing.csv", "proposed.csv", "--build-up", "9 3/8 in", "--outlet", "OUT1"];

fn job<'a>(command: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&[command], &JOB[..], more].concat()
}

/// Good to 1 % or 0.05 yd3, whichever is more.
#[track_caller]
fn volume_close(got: &Value, key: &str) {
    let want = expected(key);
    close(number(got), want, (want * 0.01).max(0.05));
}

/// The figures of a JSON envelope with stakes, volume and slopes.
#[track_caller]
fn as_expected(json: &Value) {
    let wanted = table(&example("expected-stakes.csv"));
    let stakes = json["stakes"].as_array().expect("stakes");
    assert_eq!(stakes.len(), wanted.len());
    for row in wanted {
        let stake = stakes.iter().find(|s| s["stake"] == row["stake"].as_str()).unwrap_or_else(|| panic!("{row:?}"));
        for key in ["existing", "finish", "subgrade", "cut", "fill"] {
            close(number(&stake[key]), row[key].parse().expect("a number"), 0.005);
        }
        assert_eq!(stake["cut_text"], row["cut_text"].as_str(), "{stake}");
        assert_eq!(stake["dig_to"], stake["subgrade"]);
        close(number(&stake["slope"]), expected("slope"), 1e-6);
        close(number(&stake["azimuth"]), expected("azimuth"), 0.01);
        close(number(&stake["finish"]) - number(&stake["subgrade"]), expected("build_up"), 1e-9);
    }
    let total = &json["volume"]["total"];
    volume_close(&total["cut"], "cut");
    volume_close(&total["fill"], "fill");
    for key in ["area", "cut_area", "fill_area"] {
        close(number(&total[key]), expected(key), 0.001);
    }
    let drainage = &json["drainage"];
    close(number(&drainage["overall_slope"]), expected("slope"), 1e-6);
    close(number(&drainage["overall_azimuth"]), expected("azimuth"), 0.01);
    let lows = drainage["paths"].as_array().expect("paths").iter().filter(|p| p["end"] == "low").count();
    close(lows as f64, expected("lows"), 0.0);
}

/// Keys of an object, in the order they stand.
fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[test]
fn run_writes_the_whole_folder_with_the_expected_figures() {
    let desk = Desk::new("run");
    let ran = desk.run(&job("run", &[])).ends(0);
    assert_eq!(ran.err, "");
    ran.says(&[
        "C 0-8 3/8",
        "cut, bank                  5.42  yd3",
        "Written to spadework-out: plan.pdf, plan.svg, plan.png",
    ]);
    let mut files: Vec<String> = desk
        .all()
        .keys()
        .filter_map(|p| p.strip_prefix(desk.path("spadework-out")).ok())
        .map(|p| p.display().to_string())
        .filter(|p| !p.is_empty())
        .collect();
    files.sort();
    let wanted = [
        ".spadework",
        "account.png",
        "account.svg",
        "contours.csv",
        "contours.geojson",
        "field.html",
        "outcome.json",
        "plan.pdf",
        "plan.png",
        "plan.svg",
        "report.txt",
        "schedule.png",
        "schedule.svg",
        "sections.png",
        "sections.svg",
        "stakes.csv",
    ];
    assert_eq!(files, wanted);
    let json: Value = serde_json::from_str(&desk.text("spadework-out/outcome.json")).expect("is JSON");
    as_expected(&json);
    assert_eq!(
        keys(&json),
        [
            "spadework",
            "command",
            "inputs",
            "job",
            "units",
            "defaults",
            "cautions",
            "survey",
            "stakes",
            "volume",
            "contours",
            "drainage",
            "checks"
        ]
    );
    assert_eq!(json["command"], "spadework run existing.csv proposed.csv --build-up \"9 3/8 in\" --outlet OUT1");
    assert_eq!(
        json["units"],
        serde_json::json!({"length": "ft", "area": "ft2", "volume": "yd3", "mass": "ton", "water": "gal"})
    );
    assert_eq!(keys(&json["inputs"][0]), ["file", "hash"]);
    assert_eq!(
        (&json["inputs"][0]["file"], &json["inputs"][1]["file"]),
        (&"existing.csv".into(), &"proposed.csv".into())
    );
    for key in keys(&json["stakes"][0]) {
        let known = [
            "stake",
            "northing",
            "easting",
            "area",
            "existing",
            "finish",
            "subgrade",
            "dig_to",
            "cut",
            "fill",
            "drop",
            "rod",
            "layers",
            "notes",
            "cut_text",
            "slope",
            "azimuth",
            "drains_to",
            "keep_off",
        ];
        assert!(known.contains(&key), "{key}");
    }
    for key in keys(&json["volume"]["total"]) {
        let known = ["cut", "fill", "area", "cut_area", "fill_area", "mean_cut", "max_cut", "max_fill"];
        assert!(known.contains(&key), "{key}");
    }
    assert_eq!(keys(&json["contours"][0]), ["level", "length", "lines", "closed"]);
    for key in ["rule", "subject", "found", "limit", "pass", "source"] {
        assert!(json["checks"][0].get(key).is_some(), "{key}");
    }
    // The report is what was printed, the table says what the envelope says.
    assert!(ran.out.starts_with(&desk.text("spadework-out/report.txt")));
    for (row, stake) in
        table(&desk.text("spadework-out/stakes.csv")).iter().zip(json["stakes"].as_array().expect("stakes"))
    {
        assert_eq!(stake["stake"], row["stake"].as_str());
        close(row["cut"].parse().expect("a number"), number(&stake["cut"]), 0.000_051);
    }
}

#[test]
fn the_plan_is_sound_xml_and_a_picture_of_its_size() {
    let desk = Desk::new("plan");
    desk.run(&job("plan", &[])).ends(0).says(&["Written to spadework-out: plan.pdf, plan.svg, plan.png"]);
    let svg = desk.text("spadework-out/plan.svg");
    let tree = roxmltree::Document::parse(&svg).expect("is XML");
    assert_eq!(tree.root_element().tag_name().name(), "svg");
    assert_eq!(tree.root_element().attribute("width"), Some("17in"));
    let words: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    for word in ["P1", "OUT1"] {
        assert!(words.iter().any(|w| w.contains(word)), "{word} is not on the plan");
    }
    assert_eq!(size(&desk.bytes("spadework-out/plan.png")), (2550, 1650));
    desk.run(&job("plan", &["--paper", "letter", "--out", "small"])).ends(0);
    assert_eq!(size(&desk.bytes("small/plan.png")), (1650, 1275));
}

/// Width and height in a PNG's first chunk.
fn size(png: &[u8]) -> (u32, u32) {
    assert_eq!(&png[..16], b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR");
    let word = |at: usize| u32::from_be_bytes(png[at..at + 4].try_into().expect("four bytes"));
    (word(16), word(20))
}

#[test]
fn the_same_again_replaces_the_folder_with_the_same_bytes() {
    let desk = Desk::new("again");
    desk.run(&job("run", &[])).ends(0);
    let first = desk.all();
    for threads in ["1", "3"] {
        let ran: Ran =
            desk.program(&job("run", &[])).env("RAYON_NUM_THREADS", threads).output().expect("starts").into();
        ran.ends(0);
        assert!(first == desk.all(), "another run made other bytes, or left something behind");
    }
    desk.run(&job("run", &["--name", "another"])).ends(0);
    assert!(first != desk.all() && first.len() == desk.all().len());
}

#[test]
fn the_commands_that_new_prints_work() {
    let desk = Desk::new("new");
    let made = desk.run(&["new", "--demo", "demo"]).ends(0);
    assert_eq!(desk.text("demo/existing.csv"), example("existing.csv"));
    let lines: Vec<&str> = made.out.lines().filter_map(|l| l.trim().strip_prefix("spadework ")).collect();
    // The hall has a finding, its hole has another, the two tables have none.
    assert_eq!(lines.len(), 3);
    for (line, code) in lines.iter().zip([3, 3, 0]) {
        // As a shell would part it: quotes hold words together.
        let words: Vec<&str> = line
            .split('"')
            .enumerate()
            .flat_map(|(k, part)| if k % 2 == 1 { vec![part] } else { part.split_whitespace().collect() })
            .collect();
        desk.run(&words).ends(code);
    }
    let json: Value = serde_json::from_str(&desk.text("demo-tables/outcome.json")).expect("is JSON");
    as_expected(&json);
    let mine = desk.run(&["new", "mine"]).ends(0);
    for line in mine.out.lines().filter_map(|l| l.trim().strip_prefix("spadework ")) {
        desk.run(&line.split_whitespace().collect::<Vec<_>>()).ends(0);
    }
    assert!(desk.path("mine-out/plan.svg").exists());
}

#[test]
fn rods_are_the_same_from_a_bench_and_from_its_instrument() {
    let desk = Desk::new("rods");
    desk.put(
        "existing.csv",
        example("existing.csv")
            .replace("point,northing,easting,elevation", "point,northing,easting,elevation,kind")
            .replace('\n', ",\n")
            .replacen(",,\n", ",\n", 1)
            .replacen("kind,\n", "kind\n", 1)
            + "BM1,90,190,101.27,bench\n",
    );
    let by_bench = desk.run(&job("stakes", &["--bench", "BM1", "--rod", "5.62", "--json"])).ends(0).json();
    let by_hi = desk.run(&job("stakes", &["--hi", "106.89", "--json"])).ends(0).json();
    let (a, b) = (by_bench["stakes"].as_array().expect("stakes"), by_hi["stakes"].as_array().expect("stakes"));
    assert_eq!(a.len(), 10, "a bench is no ground");
    for (a, b) in a.iter().zip(b) {
        assert_eq!(a["stake"], b["stake"]);
        close(number(&a["rod"]), number(&b["rod"]), 1e-9);
        close(number(&a["rod"]), 106.89 - number(&a["subgrade"]), 1e-9);
        close(number(&a["drop"]["BM1"]), 101.27 - number(&a["subgrade"]), 1e-9);
    }
    // 5-7 1/2 is feet and inches: 5.625 ft.
    let inches = desk.run(&job("stakes", &["--bench", "BM1", "--rod", "5-7 1/2", "--json"])).ends(0).json();
    close(number(&inches["stakes"][0]["rod"]) - number(&by_bench["stakes"][0]["rod"]), 0.005, 1e-9);
    assert!(!keys(&by_hi).contains(&"volume"), "only what was asked");
}

#[test]
fn a_set_up_below_the_dig_is_asked_about() {
    let desk = Desk::new("low-sight");
    let ran = desk.run(&job("stakes", &["--hi", "99.60"])).ends(0);
    ran.says(&["P1, P2, P3 to be dug above the line of sight, HI 99.60: the rod is below 0"]);
    desk.run(&job("stakes", &["--bench", "P1", "--rod", "-5"])).ends(0).says(&["held upside down"]);
    assert!(!desk.run(&job("stakes", &["--hi", "106.89"])).ends(0).out.contains("line of sight,"));
}

#[test]
fn proposed_heights_may_be_subgrade() {
    let desk = Desk::new("subgrade");
    let json = desk.run(&job("stakes", &["--proposed-is", "subgrade", "--json"])).ends(0).json();
    for stake in json["stakes"].as_array().expect("stakes") {
        close(number(&stake["finish"]) - number(&stake["subgrade"]), expected("build_up"), 1e-9);
    }
    let p1 = json["stakes"].as_array().expect("stakes").iter().find(|s| s["stake"] == "P1").expect("P1");
    close(number(&p1["subgrade"]), 100.50, 1e-9);
    close(number(&p1["fill"]), 0.08, 1e-9);
}

#[test]
fn one_table_with_both_heights_says_the_same() {
    let desk = Desk::new("one-table");
    let proposed = table(&example("proposed.csv"));
    let mut both = String::from("stake,northing,easting,existing,proposed\n");
    for row in table(&example("existing.csv")) {
        // The outlet stands on the plane of the finish, midway between P8 and P9.
        let z = proposed.iter().find(|p| p["point"] == row["point"]).map_or("100.025", |p| &p["elevation"]);
        both += &format!("{},{},{},{},{z}\n", row["point"], row["northing"], row["easting"], row["elevation"]);
    }
    desk.put("both.csv", both);
    let args = ["run", "both.csv", "--build-up", "9 3/8 in", "--outlet", "OUT1", "--json"];
    as_expected(&desk.run(&args).ends(0).json());
}

#[test]
fn metres_stay_metres() {
    let desk = Desk::new("metres");
    let ran = desk.run(&job("run", &["--units", "m", "--json"])).ends(0);
    let json = ran.json();
    assert_eq!((&json["units"]["length"], &json["units"]["volume"]), (&"m".into(), &"m3".into()));
    assert!(!json["defaults"].to_string().contains("tables are in ft"));
    let p1 = &json["stakes"].as_array().expect("stakes").iter().find(|s| s["stake"] == "P1").expect("P1").clone();
    close(number(&p1["cut"]), 100.42 - 100.50 + 9.375 * 0.0254, 1e-9);
    assert_eq!(p1["cut_text"], "C 0.158");
    close(number(&json["volume"]["total"]["area"]), 400.0, 1e-9);
    // A3 at 150 to the inch, to the next whole dot.
    let (width, height) = size(&desk.bytes("spadework-out/plan.png"));
    close(f64::from(width), 420.0 / 25.4 * 150.0, 1.0);
    close(f64::from(height), 297.0 / 25.4 * 150.0, 1.0);
}

#[test]
fn two_halves_are_the_whole() {
    let desk = Desk::new("halves");
    let half =
        |from: u32, to: u32| format!("ring,northing,easting\na,100,{from}\na,100,{to}\na,120,{to}\na,120,{from}\n");
    desk.put("west.csv", half(200, 207)).put("east.csv", half(207, 220));
    let total = |more: &[&str]| {
        desk.run(&[&job("volume", &["--json"]), more].concat()).ends(0).json()["volume"]["total"].clone()
    };
    let (whole, west, east) = (total(&[]), total(&["--limit", "west.csv"]), total(&["--limit", "east.csv"]));
    close(number(&west["area"]), 140.0, 1e-9);
    for key in ["cut", "fill", "area", "cut_area", "fill_area"] {
        close(number(&west[key]) + number(&east[key]), number(&whole[key]), 1e-9);
    }
}

#[test]
fn a_limit_beyond_the_ground_is_said() {
    let desk = Desk::new("beyond");
    desk.put("wide.csv", "ring,northing,easting\na,100,210\na,100,230\na,120,230\na,120,210\n");
    for args in [
        job("volume", &["--limit", "wide.csv"]),
        vec!["compare", "existing.csv", "proposed.csv", "--limit", "wide.csv"],
    ] {
        desk.run(&args).ends(0).says(&["200.0 ft2 inside the limit lie outside the ground that both surveys cover"]);
    }
}

#[test]
fn names_of_any_kind_stay_text() {
    let desk = Desk::new("names");
    let rows = "<script>alert(1)</script>,100,200,101\n=1+2,100,220,101.5\n&amp;,120,220,103\n-3,120,200,101\n";
    desk.put("odd.csv", format!("{HEADER}{rows}"));
    desk.run(&["run", "odd.csv", "proposed.csv", "--outlet", "=1+2", "--name", "<b>&\"'"]).ends(0);
    let svg = desk.text("spadework-out/plan.svg");
    let tree = roxmltree::Document::parse(&svg).expect("is XML");
    assert!(tree.descendants().all(|n| !["script", "b"].contains(&n.tag_name().name())));
    let words: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    for word in ["<script>alert(1)</script>", "=1+2", "&amp;", "<b>&\"'"] {
        assert!(words.iter().any(|w| w.contains(word)), "{word} is not on the plan as typed");
    }
    let json: Value = serde_json::from_str(&desk.text("spadework-out/outcome.json")).expect("is JSON");
    assert_eq!(json["job"], "<b>&\"'");
    // A sheet of cells would take the second for a formula.
    let stakes = table(&desk.text("spadework-out/stakes.csv"));
    for name in ["<script>alert(1)</script>", "'=1+2", "&amp;", "-3"] {
        assert!(stakes.iter().any(|row| row["stake"] == name), "{name}");
    }
}
