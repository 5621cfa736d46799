//! A cistern as it is typed, and what is wrong with one.

use super::{Desk, bad_jobs::hall, number};

#[test]
fn a_cistern_is_printed_and_its_wish_is_a_check() {
    let desk = hall("tank", &[]);
    desk.run(&["tank", "job.toml"]).ends(3).says(&[
        "cistern, 1600 gal, by the day from 2001-01-01 to 2001-12-31, 37.98 in of rain, use taken before spillage",
        "runs over at 98.95 by drain O to CB",
        "days dry",
        "86.3 %  of the days that ask for water",
        "beyond 4400 gal every further 400 gal gain less than 1 %",
        "FAILS  days dry",
        "holds  inlet above overflow",
        "water of dining terrace runs to it and lime is worked in",
        "not for drinking",
        "rain of rain-daily.csv in inches, as usual in a job in ft",
    ]);
    let json = desk.run(&["tank", "job.toml", "--json"]).ends(3).json();
    assert!(json["volume"].is_null() && json["stakes"].is_null() && json["plan"].is_null());
    desk.run(&["run", "job.toml", "--out", "out"]).ends(3);
    assert!(desk.text("out/report.txt").contains("Other sizes"));
    assert_eq!(
        serde_json::from_str::<serde_json::Value>(&desk.text("out/outcome.json"))
            .map(|v| v["tank"] == json["tank"])
            .ok(),
        Some(true)
    );
    // Other commands hold it against its wish without printing it.
    let volume = desk.run(&["volume", "job.toml", "--json"]).ends(3).json();
    assert!(
        volume["tank"].is_null()
            && volume["checks"].as_array().is_some_and(|c| c.iter().any(|c| c["rule"] == "days dry"))
    );
}

fn tank_of(name: &str, changes: &[(&str, &str)]) -> serde_json::Value {
    hall(name, changes).run(&["tank", "job.toml", "--json"]).ends(3).json()
}

#[test]
fn after_spillage_where_nothing_is_said_and_other_units_are_the_same_water() {
    let before = tank_of("tank-before", &[]);
    let after = tank_of("tank-after", &[("rule     = \"before spillage\"", "# rule = \"before spillage\"")]);
    assert_eq!(after["tank"]["rule"], "after spillage");
    assert!(number(&after["tank"]["yield"]) < number(&before["tank"]["yield"]));
    assert!(after["defaults"].to_string().contains("after the day's spillage"));
    // The same cistern in cubic feet, the same roof in square yards; the rain said to be in inches.
    let litres = tank_of(
        "tank-units",
        &[
            ("capacity = \"1600 gal\"", "capacity = \"213.888888888888888 ft3\""),
            ("area = \"1400 ft2\"", "area = \"155.555555555555555 yd2\""),
            ("days  = \"rain-daily.csv\"", "days  = \"rain-daily.csv\"\nunit = \"in\""),
        ],
    );
    assert!((number(&litres["tank"]["yield"]) - number(&before["tank"]["yield"])).abs() < 1e-6);
    assert!(!litres["defaults"].to_string().contains("rain of"));
    let millimetres =
        tank_of("tank-mm", &[("days  = \"rain-daily.csv\"", "days  = \"rain-daily.csv\"\nunit = \"mm\"")]);
    assert!((number(&millimetres["tank"]["rain"]) * 25.4 - number(&before["tank"]["rain"])).abs() < 1e-9);
}

#[test]
fn checks_hold_where_they_should() {
    let of = |json: &serde_json::Value, rule: &str| {
        let checks = json["checks"].as_array().cloned().unwrap_or_default();
        checks.into_iter().find(|c| c["rule"] == rule).map(|c| c["pass"] == true)
    };
    let well = tank_of("tank-well", &[("most_days_dry = 10", "most_days_dry = 21")]);
    assert_eq!((of(&well, "days dry"), of(&well, "inlet above overflow")), (Some(true), Some(true)));
    let high = tank_of(
        "tank-high",
        &[("most_days_dry = 10", ""), ("at = [557.0, 1076.0], invert = 98.95", "at = [557.0, 1076.0], invert = 99.04")],
    );
    assert_eq!((of(&high, "days dry"), of(&high, "inlet above overflow")), (None, Some(false)));
    let lime = "\nlime  = { dose = \"50 lb/100 ft2\", depth = \"4 in\", bag = \"50 lb\" }";
    assert!(!tank_of("tank-no-lime", &[(lime, "")])["cautions"].to_string().contains("lime is worked in there"));
    // Lime where no water runs to the tank.
    let elsewhere =
        tank_of("tank-lime-off", &[("area  = \"dining terrace\"\nstone", "area  = \"planting bed\"\nstone")]);
    assert!(!elsewhere["cautions"].to_string().contains("lime is worked in there"));
}

#[test]
fn rain_by_the_month_and_of_several_years() {
    let desk = hall("tank-months", &[]);
    let mut months = "month,rain\n".to_owned();
    for m in 1..=12 {
        months += &format!("2001-{m:02},3.2\n");
    }
    desk.put("rain-daily.csv", months);
    let json = desk.run(&["tank", "job.toml", "--json"]).ends(3).json();
    let tank = &json["tank"];
    assert_eq!(
        (tank["step"].as_str(), tank["days_dry"].is_null(), tank["months_dry"].is_u64()),
        (Some("month"), true, true)
    );
    let said = json["cautions"].to_string();
    assert!(said.contains("no first flush was taken off") && said.contains("was not held against it"), "{said}");
    // 31 days of 1 in a week on 1512 and 182 ft2 are asked for in July; checked by the year's sum.
    let weeks = |l: [f64; 5]| l.iter().zip([31.0, 30.0, 31.0, 31.0, 30.0]).map(|(d, n)| d * n / 7.0).sum::<f64>();
    let inches = weeks([0.6, 0.9, 1.0, 1.0, 0.6]) * 1512.0 + weeks([0.5, 0.8, 1.0, 1.0, 0.5]) * 182.0;
    assert!((number(&tank["demand"]) - inches * 144.0 / 231.0).abs() < 1e-6);
    // Two years: the first with a dry July, the second wet throughout; the worst year counts.
    let mut days = "date,rain\n".to_owned();
    for (y, m) in (2001..=2002).flat_map(|y| (1..=12).map(move |m| (y, m))) {
        for d in 1..=spadework::tank::days_in(y, m) {
            let rain = if y == 2001 && m == 7 { "0" } else { "0.5" };
            days += &format!("{y}-{m:02}-{d:02},{rain}\n");
        }
    }
    desk.put("rain-daily.csv", days);
    let json = desk.run(&["tank", "job.toml", "--json"]).ends(3).json();
    let checks = json["checks"].as_array().cloned().unwrap_or_default();
    let dry = checks.iter().find(|c| c["rule"] == "days dry").cloned().unwrap_or_default();
    assert_eq!(number(&dry["found"]), number(&json["tank"]["days_dry"]));
    assert!(dry["note"].as_str().is_some_and(|n| n.contains("in 2001, the worst of 2 years")), "{dry}");
}

#[test]
fn a_tank_that_cannot_be_is_told() {
    for (k, (changes, parts)) in [
        (("capacity = \"1600 gal\"", "capacity = \"0 gal\""), &["a tank that holds nothing", "above 0"][..]),
        (("start    = \"400 gal\"", "start    = \"7 m3\""), &["`7 m3`, more than it holds", "`1600 gal` at most"]),
        (
            ("areas = [\"play lawn\"]", "areas = [\"play lawn\", \"upper landing\"]"),
            &["`upper landing` in a catchment again", "the first time here", "its water runs in once"],
        ),
        (("areas = [\"play lawn\"]", "areas = [\"play lawm\"]"), &["`play lawm`, which is no area", "play lawn"]),
        (("area = \"1400 ft2\"\n", ""), &["both or neither of `area` and `areas`"]),
        (("name = \"paving\"\n", "name = \"lawn\"\n"), &["a second catchment `lawn`"]),
    ]
    .into_iter()
    .enumerate()
    {
        hall(&format!("tank-bad-{k}"), &[changes]).refuses(1, &["tank", "job.toml"], parts);
    }
    let desk = hall("tank-gap", &[]);
    let rain = desk.text("rain-daily.csv");
    desk.put("rain-daily.csv", rain.replace("2001-01-05,0.20\n", "").replace("2001-02-01,", "2001-02-01,-"));
    desk.refuses(
        1,
        &["tank", "job.toml"],
        &[
            "rain-daily.csv, line 6, column 1",
            "found `2001-01-06` after `2001-01-04`; expected `2001-01-05`",
            "add the rows between",
        ],
    );
    let desk = hall("tank-none", &[("days  = \"rain-daily.csv\"", "")]);
    desk.refuses(1, &["tank", "job.toml"], &["a tank and no rain", "`days` in [rain]"]);
    desk.run(&["volume", "job.toml"]).ends(3).says(&["nothing was worked out of what it yields"]);
    let court = Desk::new("tank-table");
    court.put("a.csv", "point,northing,easting,elevation\nA,0,0,1\n");
    court.refuses(2, &["tank", "a.csv"], &["is no job file"]);
    let metric = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/metric");
    court.refuses(1, &["tank", metric], &["no tank", "[tank]"]);
}
