//! The haul of a job as it is typed, a dig said in one line, and what is wrong with either.

use super::{Desk, bad_jobs::hall, number, table};
use serde_json::Value;

const TANDEM: &str = "tandem = 10 yd3, 14 ton";

fn quick(args: &[&str]) -> Value {
    Desk::new("haul-quick").run(&[&["haul", "--json"], args].concat()).ends(0).json()["haul"].clone()
}

#[test]
fn a_haul_is_printed_and_written() {
    let desk = hall("haul", &[]);
    desk.run(&["haul", "job.toml"]).ends(3).says(&[
        "Haul (yd3; all that is dug 83.07 bank)",
        "EXPORT       48.18  60.22      42.40  72.27",
        "topsoil kept 30.72 of 34.74 needed; 4.02 to bring in",
        "dump trailer         13          15     15",
        "fewest trips: 7 tandem",
        "lime",
        "8  bag",
        "stone and lime   49.28",
        "Not in it:",
        "tip fees: none was said",
        "by others: drain O, basin SB",
        "a drying dose, not stabilization",
        "terrace aggregate, 6 in of dense base: place it in 2 lifts or more",
        "silica dust",
        "5 % more fabric for waste",
    ]);
    let json = desk.run(&["haul", "job.toml", "--json"]).ends(3).json();
    assert!(json["volume"].is_null() && json["stakes"].is_null() && json["tank"].is_null());
    assert!(json["haul"]["cost"].is_null());
    let volume = desk.run(&["volume", "job.toml", "--json"]).ends(3).json();
    assert!(volume["haul"].is_null());
    desk.run(&["run", "job.toml", "--out", "out"]).ends(3);
    assert!(desk.text("out/report.txt").contains("Orders (by volume as placed"));
    let trips = table(&desk.text("out/trips.csv"));
    assert_eq!((trips[2]["truck"].as_str(), trips[2]["trips"].as_str()), ("dump trailer", "15"));
    assert!(desk.text("out/orders.csv").contains("lime,,,,,8.0000,bag,50 lb bags\n"));
    let whole: Value = serde_json::from_str(&desk.text("out/outcome.json")).unwrap_or_default();
    assert_eq!(whole["haul"], json["haul"]);
}

#[test]
fn a_dig_in_one_line() {
    let clay = quick(&["--bank", "60.3", "--soil", "clay", "--truck", TANDEM]);
    assert_eq!(number(&clay["bank"]), 60.3);
    assert!((number(&clay["loose"]) - 60.3 * 1.43).abs() < 1e-9);
    let said = quick(&["--bank", "60.3", "--swell", "25 %", "--weight", "1.5 ton/yd3", "--truck", TANDEM]);
    assert!((number(&said["loose"]) - 75.375).abs() < 1e-9 && (number(&said["mass"]) - 90.45).abs() < 1e-9);
    assert_eq!((&said["trips"][0]["by_volume"], &said["trips"][0]["by_payload"]), (&8.into(), &7.into()));
    // The same said in metres, and a swell of one's own over that of the soil.
    let metres = ["--bank", "46.1026579364352 m3", "--swell", "25 %", "--weight", "1.5 ton/yd3", "--truck", TANDEM];
    assert!((number(&quick(&metres)["bank"]) - 60.3).abs() < 1e-9);
    let own = quick(&["--bank", "60.3", "--soil", "clay", "--swell", "25 %", "--truck", TANDEM]);
    assert!((number(&own["loose"]) - 75.375).abs() < 1e-9);
    let metric = quick(&["--units", "m", "--bank", "20", "--soil", "sand", "--truck", "skip = 6 m3, 8 tonne"]);
    assert!((number(&metric["mass"]) - 20.0 * 1.5 * 1.186_552_842_5).abs() < 1e-6);
    assert_eq!(metric["trips"][0]["trips"], 5);
}

#[test]
fn trucks_together_hours_and_tickets() {
    let both = quick(&[
        "--bank",
        "48.18",
        "--swell",
        "25 %",
        "--weight",
        "1.5 ton/yd3",
        "--truck",
        "tandem = 10 yd3, 14 ton, 60 min",
        "--truck",
        "small = 5 yd3, 7.5 ton",
        "--dig-rate",
        "12 yd3/h",
    ]);
    assert_eq!(both["trips"].as_array().map(Vec::len), Some(2));
    assert_eq!(both["mix_by"], "trips");
    assert!((number(&both["digging"]) - 48.18 / 12.0).abs() < 1e-9);
    // Loose 15 an hour: 40 minutes to load 10, gone for an hour; the one truck is slower than the machine, three keep it busy.
    let tandem = &both["trips"][0];
    assert!((number(&tandem["hauling"]) - 7.0 * (1.0 + 10.0 / 15.0)).abs() < 1e-9);
    assert_eq!((&tandem["governs"], &tandem["wanted"]), (&"trucks".into(), &3.into()));
    assert!(both["trips"][1]["hours"].is_null(), "without a round trip");
    let learned = quick(&["--bank", "48", "--soil", "clay", "--truck", TANDEM, "--tickets", "7", "--full", "90 %"]);
    assert!((number(&learned["swell_learned"]) - (63.0 / 48.0 - 1.0)).abs() < 1e-12);
}

#[test]
fn what_is_odd_is_asked_about() {
    let odd = |args: &[&str]| {
        let desk = Desk::new("haul-odd");
        desk.run(&[&["haul", "--bank", "60", "--weight", "1.5 ton/yd3", "--json"], args].concat()).ends(0).json()
    };
    let of = |json: &Value, part: &str| json["cautions"].to_string().contains(part);
    let usual = odd(&["--swell", "50 %", "--truck", "a = 25 yd3, 25 ton"]);
    assert!(!of(&usual, "is outside") && !of(&usual, "the edge"));
    assert!(of(&odd(&["--swell", "51 %"]), "51 % is outside the usual 8 to 50 %"));
    assert!(of(
        &odd(&["--swell", "25 %", "--truck", "a = 10 yd3, 140 ton"]),
        "payload 140 ton is outside the usual 2 to 25"
    ));
    // 75 loose: exactly full; 2 % beyond it; more. By payload 90 ton.
    let edge = |truck: &str| {
        let json = odd(&["--swell", "25 %", "--truck", truck]);
        let all = json["cautions"].as_array().cloned().unwrap_or_default();
        all.iter().filter_map(|c| c["text"].as_str()).find(|t| t.contains("the edge")).map(str::to_owned)
    };
    assert_eq!(
        edge("a = 7.5 yd3, 20 ton").as_deref(),
        Some("75.0 loose yd3 in 7.5 yd3 boxes: the edge between 10 and 11 trips")
    );
    assert_eq!(edge("a = 7.3 yd3, 20 ton").as_deref(), None, "10.27");
    assert!(edge("a = 7.4 yd3, 20 ton").is_some_and(|t| t.contains("between 10 and 11")));
    assert_eq!(edge("a = 20 yd3, 15 ton").as_deref(), Some("90.0 ton by 15 ton: the edge between 6 and 7 trips"));
    assert_eq!(edge("a = 7.5 yd3, 4 ton").as_deref(), None, "payload rules");
}

#[test]
fn what_cannot_be_hauled_is_a_usage_error() {
    let desk = Desk::new("haul-bad");
    for (args, parts) in [
        (&["--soil", "clay"][..], &["--bank"][..]),
        (&["--bank", "0", "--soil", "clay"], &["--bank", "more than nothing"]),
        (&["--bank", "60 t", "--soil", "clay"], &["--bank", "yd3, m3, ft3"]),
        (&["--bank", "60"], &["--soil", "--swell", "--weight"]),
        (&["--bank", "60", "--swell", "25 %"], &["--weight"]),
        (&["--bank", "60", "--soil", "clya"], &["`clya`", "the nearest is `clay`"]),
        (&["--bank", "60", "--soil", "clay", "--swell", "25"], &["--swell", "percentage"]),
        (&["--bank", "60", "--soil", "clay", "--weight", "0 ton/yd3"], &["--weight", "more than nothing"]),
        (&["--bank", "60", "--soil", "clay", "--truck", "tandem"], &["tandem = 10 yd3, 14 ton"]),
        (&["--bank", "60", "--soil", "clay", "--truck", "tandem = 0 yd3, 14 ton"], &["`0 yd3`", "more than nothing"]),
        (&["--bank", "60", "--soil", "clay", "--truck", "tandem = 10 yd3, 0 ton"], &["`0 ton`", "more than nothing"]),
        (&["--bank", "60", "--soil", "clay", "--truck", "tandem = 10 yd3, 14 t"], &["ton, tonne, lb, kg"]),
        (&["--bank", "60", "--soil", "clay", "--tickets", "7"], &["just one --truck"]),
        (&["job.toml", "--bank", "60"], &["--bank"]),
    ] {
        // The parser's own words end with its own code, which is the same.
        desk.refuses(2, &[&["haul"], args].concat(), parts);
    }
    desk.refuses(2, &["haul", "existing.csv"], &["is no job file"]);
}

#[test]
fn boxes_payloads_and_weights_of_nothing_are_refused() {
    for (k, (old, new, parts)) in [
        ("volume = \"10 yd3\"", "volume = \"0 yd3\"", &["a box of nothing", "a box above 0"][..]),
        ("payload = \"14 ton\"", "payload = \"0 ton\"", &["a payload of nothing"]),
        ("round_trip = \"60 min\"", "round_trip = \"0 min\"", &["a round trip of nothing"]),
        ("weight        = \"1.50 ton/yd3\"", "weight = \"0 ton/yd3\"", &["a weight of nothing"]),
        ("weight = \"1.95 ton/yd3\"", "weight = \"0 ton/yd3\"", &["a weight of nothing"]),
        ("weight = \"1.35 ton/yd3\"", "weight = \"0 ton/yd3\"", &["a weight of nothing"]),
        ("covers = \"6 ft2\"", "covers = \"0 ft2\"", &["an area of nothing"]),
        ("covers = \"6 ft2\", ", "", &["ordered by the piece without `covers`"]),
        ("weight = \"1.95 ton/yd3\", ", "", &["ordered by the ton without `weight`"]),
        ("roll = \"12.5 ft\", up_sides", "roll = \"0 ft\", up_sides", &["a roll of nothing"]),
        ("lap = \"18 in\"", "lap = \"12.5 ft\"", &["a lap as wide as the roll"]),
        ("dose = \"50 lb/100 ft2\"", "dose = \"0 lb/ft2\"", &["a dose of nothing"]),
        ("depth = \"4 in\", bag", "depth = \"0 in\", bag", &["a depth of nothing"]),
        ("bag = \"50 lb\"", "bag = \"0 lb\"", &["a bag of nothing"]),
        ("proud = \"1/2 in\"", "proud = \"2 in\"", &["more proud stone than there is"]),
        ("handling_loss = \"10 %\"", "handling_loss = \"10 %\"\nsod = \"6 in\"", &["more sod than there is to strip"]),
        ("handling_loss = \"10 %\"", "handling_loss = \"10 %\"\ndig_rate = \"0 yd3/h\"", &["a rate of nothing"]),
    ]
    .into_iter()
    .enumerate()
    {
        let desk = hall(&format!("haul-bad-{k}"), &[(old, new)]);
        desk.refuses(1, &["haul", "job.toml"], &[parts, &["job.toml, line"]].concat());
    }
}

const PRICES: &str = "\n[prices]\nhaul = [ { truck = \"tandem\", per_hour = 120.0, tip_fee = 40.0 }, { truck = \"single axle\", per_load = 95.0 } ]\n\
    dig = { per_yd3 = 20.0 }\nmaterial = [ { name = \"dense base\", per_ton = 30.0 }, { name = \"No. 57\", per_ton = 40.0 }, { name = \"marble\", per_ton = 1.0 }, { name = \"lime\", per_ton = 200.0 } ]\n[chance]\n";

#[test]
fn only_what_has_a_price_is_costed() {
    let desk = hall("haul-prices", &[("\n[chance]\n", PRICES)]);
    let json = desk.run(&["haul", "job.toml", "--json"]).ends(3).json();
    let (haul, cost) = (&json["haul"], &json["haul"]["cost"]);
    let line = |item: &str| {
        let lines = cost["lines"].as_array().into_iter().flatten();
        lines.clone().find(|l| l["item"] == item).unwrap_or_else(|| panic!("no {item} in {cost}")).clone()
    };
    // A tandem costs 160 a load, a single axle 95 for half of it: six tandems and one small load.
    assert_eq!(haul["mix_by"], "cost");
    assert_eq!(haul["mix"][0]["trips"], 6);
    assert_eq!((&haul["mix"][1]["truck"], &haul["mix"][1]["trips"]), (&"single axle".into(), &1.into()));
    assert!((number(&line("haul, tandem")["sum"]) - 960.0).abs() < 1e-9);
    assert!((number(&line("dig, bank")["sum"]) - 20.0 * number(&haul["bank"])).abs() < 1e-9);
    assert!((number(&line("clean stone, No. 57")["price"]) - 40.0).abs() < 1e-12);
    let sum: f64 = cost["lines"].as_array().into_iter().flatten().map(|l| number(&l["sum"])).sum();
    assert!((number(&cost["total"]) - sum).abs() < 1e-9);
    assert!(
        cost["unpriced"].to_string().contains("bedding sand") && !cost["unpriced"].to_string().contains("dense base")
    );
    assert!(json["cautions"].to_string().contains("`marble` has a price"));
    assert!(cost["unpriced"].to_string().contains("lime (not by the bag)"));
    desk.run(&["haul", "job.toml"]).ends(3).says(&[
        "least cost by your prices: 6 tandem and 1 single axle",
        "not priced: paver; bedding sand, concrete sand",
        "TOTAL of what has a price",
    ]);
}

#[test]
fn without_swell_nothing_is_made_up() {
    let unsaid = ("swell         = \"25 %\"", "# swell");
    let mut changes = vec![unsaid, ("cores         =", "# cores =")];
    changes.extend([("core    =", "# core ="); 7]);
    let desk = hall("haul-unsaid", &changes);
    let json = desk.run(&["haul", "job.toml", "--json"]).ends(3).json();
    let haul = &json["haul"];
    assert!((number(&haul["export"]) - 48.179).abs() < 0.05);
    assert!(haul["loose"].is_null() && haul["mass"].is_null() && haul["mix"] == serde_json::json!([]));
    assert!(json["cautions"].to_string().contains("swell and weight of the ground are not both said"));
    desk.run(&["haul", "job.toml"]).ends(3).says(&["EXPORT       48.18      -"]);
}
