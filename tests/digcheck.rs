//! Is the hole judged as it was worked out elsewhere?
//!
//! The invented hall stake by stake (`tests/sites/hall-digcheck.csv`, `hall.toml`), from rods and from heights; four random holes
//! against scipy and shapely to 1e-9 (`tests/reference/digcheck.py`); a thousand random stakes against a slow twin.

mod common;

use common::site::job;
use common::{Dice, assert_close};
use serde_json::Value;
use spadework::digcheck::{AsDug, DugShot, Ordered, Ticket, Tolerance, between};
use spadework::job::{DigCheck, DigCheckOut, Outcome, SiteJob};
use spadework::par::silent;
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Cells, Region, Surface};
use spadework::units::{Length, LengthUnit};
use std::collections::BTreeMap;
use std::process::Command;

fn run(args: &[&str]) -> (Value, i32) {
    let out = Command::new(env!("CARGO_BIN_EXE_spadework"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts");
    let text = String::from_utf8_lossy(&out.stdout);
    let json = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&out.stderr)));
    (json, out.status.code().unwrap_or(-1))
}

fn file(name: &str) -> String {
    let path = format!("{}/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// A table without quotes, by its header.
fn rows(name: &str) -> Vec<BTreeMap<String, String>> {
    let text = file(name);
    let mut lines = text.lines();
    let head: Vec<&str> = lines.next().unwrap_or_default().split(',').collect();
    lines.map(|l| head.iter().map(ToString::to_string).zip(l.split(',').map(str::to_owned)).collect()).collect()
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("{v} is no number"))
}

#[test]
fn every_stake_of_the_hall_from_rods_and_from_heights() {
    let want = rows("tests/sites/hall-digcheck.csv");
    for shots in ["demo-data/hall/asdug-rods.csv", "demo-data/hall/asdug-elevations.csv"] {
        let (json, code) = run(&["digcheck", "demo-data/hall", "--shots", shots, "--json"]);
        assert_eq!(code, 3);
        let got = json["digcheck"]["stakes"].as_array().expect("stakes");
        assert_eq!(got.len(), want.len());
        for want in &want {
            let got = got.iter().find(|g| g["stake"] == want["stake"].as_str()).unwrap_or_else(|| panic!("{want:?}"));
            for key in ["area", "verdict", "text"] {
                assert_eq!(got[key], want[key].as_str(), "{want:?}");
            }
            for (key, theirs) in [("dig_to", "dig_to"), ("as_dug", "asdug"), ("diff", "diff")] {
                assert_close(number(&got[key]), want[theirs].parse().expect("a number"), 5.001e-5);
            }
            let to_do = match want["verdict"].as_str() {
                "HIGH" => "trim",
                "LOW" => "stone",
                _ => "",
            };
            assert_eq!(got["do"], to_do);
        }
        // The worst first.
        let weight = |v: &Value| number(&v["diff"]).abs() * number(&v["share"]);
        assert!(got.windows(2).all(|w| weight(&w[0]) >= weight(&w[1])) && got[0]["stake"] == "B4");
        let only: Vec<&String> = json.as_object().into_iter().flatten().map(|(k, _)| k).collect();
        assert!(
            !only.iter().any(|k| ["stakes", "volume", "drainage", "haul", "survey"].contains(&k.as_str())),
            "{only:?}"
        );
    }
}

#[test]
fn the_hall_as_a_whole() {
    let want: toml::Table = file("tests/sites/hall.toml").parse().expect("TOML");
    let want = &want["digcheck"];
    let (json, _) = run(&["digcheck", "demo-data/hall", "--shots", "demo-data/hall/asdug-rods.csv", "--json"]);
    let got = &json["digcheck"];
    let float = |key: &str| want[key].as_float().unwrap_or_else(|| panic!("{key}"));
    let count =
        |key: &str| want[key].as_integer().and_then(|v| u64::try_from(v).ok()).unwrap_or_else(|| panic!("{key}"));
    assert_close(number(&got["mean"]), float("mean"), 5e-5);
    assert_close(number(&got["spread"]), float("spread"), 5e-5);
    assert_close(number(&got["closings"][0]["off"]), float("close"), 1e-9);
    assert_eq!((&got["high"], &got["low"]), (&count("high").into(), &count("low").into()));
    assert_eq!(got["out_of_tolerance"], count("stakes") - count("ok"));
    assert_eq!(got["accept"], false);
    assert!(got["slip"].is_null() && got["set_ups"][0]["slip"].is_null());
    let ponds = got["ponds"].as_array().expect("ponds");
    assert_eq!(ponds.len(), 1);
    let pond = &want["pond"];
    assert_eq!(ponds[0]["low_name"].as_str(), pond["low_at"].as_str());
    assert_eq!(ponds[0]["spill_name"].as_str(), pond["spill_at"].as_str());
    assert_close(number(&ponds[0]["depth"]), pond["depth"].as_float().expect("a depth"), 1e-9);
    assert_close(number(&ponds[0]["level"]), pond["level"].as_float().expect("a level"), 1e-9);
    // B7 on the ramp: 0.07 high over the 50 ft2 nearest to it, 0.13 yd3.
    let ramp =
        got["areas"].as_array().into_iter().flatten().find(|a| a["name"] == "accessible ramp").expect("the ramp");
    assert_eq!(ramp["by"], "stakes");
    assert_close(number(&ramp["high_beyond"]), 0.07 * 50.0 / 27.0, 1e-9);
    // Topsoil under the landing is the owner's, the pit at B4 the digger's.
    let log = got["log"].as_array().expect("a log");
    let whose = |place: &str| -> Vec<&str> {
        log.iter().filter(|l| l["place"] == place).filter_map(|l| l["whose"].as_str()).collect()
    };
    assert_eq!((whose("upper landing"), whose("dining terrace")), (vec!["owner"], vec!["sub"]));
    // Dense base, 1.95 ton/yd3 and 5 % waste, and clean stone of the ramp, 1.40 and 10 %.
    let low = |name: &str| {
        let all = got["areas"].as_array().into_iter().flatten();
        all.filter(|a| a["name"] == name).map(|a| number(&a["low_beyond"])).sum::<f64>()
    };
    assert_close(
        number(&got["stone"]),
        low("dining terrace") * 1.95 * 1.05 + low("accessible ramp") * 1.40 * 1.10,
        1e-9,
    );
    assert!(
        !json["cautions"].to_string().contains("not worked out")
            || !json["cautions"].to_string().contains("ground.tolerance")
    );
}

/// Volumes over the boxes they were worked out for, between the net of the area's stakes and the plane.
#[test]
fn high_and_low_of_terrace_and_lawn() {
    let want: toml::Table = file("tests/sites/hall.toml").parse().expect("TOML");
    let all = rows("tests/sites/hall-digcheck.csv");
    let places: BTreeMap<String, (f64, f64)> = rows("tests/sites/hall-stakes.csv")
        .into_iter()
        .map(|r| (r["stake"].clone(), (r["northing"].parse().expect("N"), r["easting"].parse().expect("E"))))
        .collect();
    // 103.46 at the wall less 9 3/8 in, 1/4 in up, 1/2 in of stone proud; one riser down and 6 in of topsoil.
    let terrace = |n: f64| 103.46 - 0.02 * (n - 500.0) - 9.375 / 12.0 + 0.25 / 12.0 - 0.5 / 12.0;
    let lawn = |n: f64| 103.46 - 0.02 * (n - 500.0) - 0.5 - 0.5;
    let of = |area: &str, key: &str, plane: &dyn Fn(f64) -> f64| {
        let mut shots = Shots::default();
        for row in all.iter().filter(|r| r["area"] == area) {
            let (n, e) = places[&row["stake"]];
            shots.push(&row["stake"], to_micro(n), to_micro(e), row["asdug"].parse().expect("a height"), Kind::Ground);
        }
        let frame = Frame::of(&[&shots]);
        let dug = Surface::build(&shots, frame, Cells::Nodes).expect("a net");
        let want = &want["digcheck"][key];
        let side = |key: &str, k: usize| want[key][k].as_float().expect("a side");
        let corner = |a: usize, b: usize| (to_micro(side("n", a)), to_micro(side("e", b)));
        let region =
            Region::new(&[vec![corner(0, 0), corner(0, 1), corner(1, 1), corner(1, 0)]], frame).expect("a box");
        let floor: Vec<_> = region.triangles(|p| plane(frame.site(p).0)).collect();
        let got = between(floor, &dug, &Tolerance::usual(LengthUnit::Foot));
        assert_close(got.area, region.area(), 1e-6);
        assert_close(got.high / 27.0, want["high"].as_float().expect("high"), 5e-4);
        assert_close(got.low / 27.0, want["low"].as_float().expect("low"), 5e-4);
        assert!(got.high_out < got.high && got.low_out < got.low && got.high_out > 0.0 && got.low_out > 0.0);
    };
    of("dining terrace", "terrace", &terrace);
    of("play lawn", "lawn", &lawn);
}

#[test]
fn a_wrong_height_of_instrument_is_told_as_such() {
    let home = std::env::temp_dir().join(format!("dig-{}", std::process::id()));
    std::fs::create_dir_all(&home).expect("a folder");
    let path = home.join("rods.csv");
    let text = file("demo-data/hall/asdug-rods.csv");
    let slipped = text.replace("TBM2,5.62,", "TBM2,5.26,");
    assert_ne!(slipped, text);
    let slip_of = |text: &str| {
        std::fs::write(&path, text).expect("written");
        let (json, code) = run(&["digcheck", "demo-data/hall", "--shots", &path.to_string_lossy(), "--json"]);
        assert_eq!(code, 3);
        let check = json["checks"].as_array().into_iter().flatten().find(|c| c["rule"] == "no stakes off together");
        (json.clone(), check.cloned().expect("the check"))
    };
    let (json, check) = slip_of(&slipped);
    let said = check["note"].as_str().expect("a note");
    for part in
        ["0.37 ft low throughout", "set-up 1 on TBM2", "not bad digging", "the closing shot is off the same way"]
    {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert_close(number(&json["digcheck"]["mean"]), -0.3723, 5e-5);
    assert_close(number(&json["digcheck"]["spread"]), 0.0604, 5e-5);
    assert_close(number(&json["digcheck"]["closings"][0]["off"]), -0.35, 1e-9);
    assert!(json["cautions"].to_string().contains("says HI 107.000 in its note; its bench and rod give 106.640"));
    // Without the closing shot it is told that nothing proves it; as booked it is no slip.
    let (_, open) = slip_of(&slipped.replace("BM1,2.87,close; +0.01\n", ""));
    assert!(open["note"].as_str().is_some_and(|n| n.contains("no closing shot says")), "{open}");
    let (_, well) = slip_of(&text);
    assert_eq!(well["pass"], true);
    // The second of two set-ups is off: that one is named.
    let at = text.find("D2,").expect("stake D2");
    let two = format!("{}TBM2,5.00,set up; after lunch\n{}", &text[..at], &text[at..]);
    let (json, second) = slip_of(&two);
    assert!(second["note"].as_str().is_some_and(|n| n.contains("set-up 2 on TBM2") && n.contains("low")), "{second}");
    assert!(json["digcheck"]["set_ups"][0]["slip"].is_null());
    std::fs::remove_dir_all(&home).expect("removed");
}

fn shot(stake: &str, height: f64, ordered: Option<Ordered>) -> DugShot {
    let stake = stake.to_owned();
    DugShot { stake, height, rod: None, set_up: None, time: String::new(), note: String::new(), ordered }
}

fn judged(job: &SiteJob, shots: Vec<DugShot>, tolerance: Tolerance, tickets: Option<&[Ticket]>) -> Outcome {
    let check = DigCheck::new(job, &silent).expect("the job can be worked out");
    check.judge(&AsDug { shots, ..AsDug::default() }, Some(tolerance), tickets).expect("it can be judged")
}

fn part(outcome: &Outcome) -> &DigCheckOut {
    outcome.digcheck.as_ref().expect("the part that was asked for")
}

fn tolerance(high: f64, low: f64) -> Tolerance {
    Tolerance { high: Length::in_job_units(high), low: Length::in_job_units(low) }
}

/// An L, one plane, and a section under which topsoil may or may not stay.
fn ell(may_stay: bool, stakes: &str) -> SiteJob {
    let allowance = if may_stay { "0 in" } else { "1/4 in" };
    let areas = format!(
        "[[section]]\nname = \"own\"\ntopsoil_may_stay = {may_stay}\ncompaction_allowance = \"{allowance}\"\n\
         layers = [ {{ name = \"stone\", thick = \"12 in\", order = \"ton\", weight = \"1.4 ton/yd3\" }} ]\n\
         [ground]\nstrip = \"0.5 ft\"\nswell = \"25 %\"\nweight = \"1.5 ton/yd3\"\n[stakes]\nextra = \"stakes.csv\"\n\
         [[truck]]\nname = \"tandem\"\nvolume = \"10 yd3\"\npayload = \"14 ton\"\n\
         [[area]]\nname = \"L\"\nsection = \"own\"\n\
         outline = [[40.0, 30.0], [40.0, 150.0], [90.0, 150.0], [90.0, 80.0], [150.0, 80.0], [150.0, 30.0]]\n\
         finish = {{ through = [40.0, 30.0, 100.6], fall = \"2 %\", toward = \"north\" }}\n"
    );
    job(&areas, |n, e| 100.0 + 0.005 * n - 0.01 * e, &[("stakes.csv", stakes)]).expect("a job")
}

/// How far a number is from the kept one, relative.
fn apart(got: f64, kept: &Value, factor: f64) -> f64 {
    let kept = number(kept) * factor;
    if kept == 0.0 { got.abs() } else { ((got - kept) / kept).abs() }
}

/// Every number of the four holes that is further off than 1e-9, with the kept ones multiplied by `factor`.
fn holes_off(factor: f64) -> (usize, Vec<String>) {
    let cases: Value = serde_json::from_str(&file("tests/reference/digcheck.json")).expect("JSON");
    let (mut count, mut off) = (0, Vec::new());
    for (k, case) in cases.as_array().into_iter().flatten().enumerate() {
        let stakes = case["stakes"].as_array().expect("stakes");
        let mut table = "point,northing,easting\n".to_owned();
        for (s, stake) in stakes.iter().enumerate() {
            table += &format!("s{s},{},{}\n", number(&stake[0]), number(&stake[1]));
        }
        let job = ell(case["may_stay"] == true, &table);
        let orders = case["orders"].as_u64().and_then(|n| usize::try_from(n).ok()).expect("a count");
        let order = |s: usize| match s {
            s if s >= orders => None,
            s if s % 2 == 1 => Some(Ordered::Down(0.3)),
            _ => Some(Ordered::ToFirm),
        };
        let shots = stakes.iter().enumerate().map(|(s, v)| shot(&format!("s{s}"), number(&v[2]), order(s))).collect();
        let outcome =
            judged(&job, shots, tolerance(number(&case["tolerance"][0]), number(&case["tolerance"][1])), None);
        let got = part(&outcome);
        let area = &got.areas[0];
        assert_eq!(area.by, "surface");
        let whose = |whose: &str, why: &str| -> f64 {
            got.log.iter().filter(|l| l.whose == whose && l.why.contains(why)).map(|l| l.volume * 27.0).sum()
        };
        let numbers = [
            ("area", area.covered),
            ("high", got.high_volume * 27.0),
            ("low", got.low_volume * 27.0),
            ("high_beyond", got.high_beyond * 27.0),
            ("low_beyond", got.low_beyond * 27.0),
            ("high_area", area.high_area),
            ("low_area", area.low_area),
            ("sheet", whose("owner", "by the sheet")),
            ("day", whose("owner", "on the day")),
            ("mean", got.mean.expect("a mean")),
            ("spread", got.spread.expect("a spread")),
        ];
        let mut hold = |what: String, got: f64, kept: &Value| {
            count += 1;
            let apart = apart(got, kept, factor);
            if apart.is_nan() || apart > 1e-9 {
                off.push(format!("{k} {what}: {got} is not {kept}, {apart:.1e}"));
            }
        };
        for (key, value) in numbers {
            hold(key.to_owned(), value, &case[key]);
        }
        for s in &got.stakes {
            let at: usize = s.stake[1..].parse().expect("a number");
            hold(format!("share of {}", s.stake), s.share, &case["shares"][at]);
            hold(format!("dig-to of {}", s.stake), s.dig_to, &case["dig_to"][at]);
        }
    }
    (count, off)
}

#[test]
fn four_holes_as_general_purpose_libraries_have_them() {
    let (count, off) = holes_off(1.0);
    assert!(count == 4 * 131 && off.is_empty(), "{count}\n{}", off.join("\n"));
    // A little off, every number complains but the four zeros.
    let (count, off) = holes_off(1.0 + 3e-9);
    assert_eq!(count - off.len(), 4, "{}", off.len());
}

#[test]
fn a_thousand_random_stakes_against_a_slow_twin() {
    let mut dice = Dice(20_261_125);
    let mut places: Vec<(f64, f64)> = Vec::new();
    while places.len() < 1000 {
        let (n, e) = ((dice.between(40.0, 90.0) * 1e3).round() / 1e3, (dice.between(30.0, 150.0) * 1e3).round() / 1e3);
        // Shots of the ground stand on whole tens and are stakes themselves.
        if !places.contains(&(n, e)) && n.rem_euclid(10.0) > 0.01 {
            places.push((n, e));
        }
    }
    let mut table = "point,northing,easting\n".to_owned();
    for (k, (n, e)) in places.iter().enumerate() {
        table += &format!("s{k},{n},{e}\n");
    }
    let job = ell(true, &table);
    let plane = |n: f64| 99.6 - 0.02 * (n - 40.0);
    // To the hundredth off dig-to, so that many stand on the tolerance.
    let off: Vec<i32> = places.iter().map(|_| i32::try_from(dice.below(25)).unwrap_or(0) - 12).collect();
    let shots: Vec<DugShot> = places
        .iter()
        .zip(&off)
        .enumerate()
        .map(|(k, ((n, _), d))| shot(&format!("s{k}"), plane(*n) + f64::from(*d) / 100.0, None))
        .collect();
    let outcome = judged(&job, shots, tolerance(0.04, 0.06), None);
    let got = part(&outcome);
    assert_eq!(got.stakes.len(), 1000);
    let mut ties = 0;
    for s in &got.stakes {
        let at: usize = s.stake[1..].parse().expect("a number");
        let want = match off[at] {
            d if d > 4 => "HIGH",
            d if d < -6 => "LOW",
            _ => "ok",
        };
        ties += usize::from(off[at] == 4 || off[at] == -6);
        assert_eq!(s.verdict, want, "{} {}", s.stake, off[at]);
        assert_close(s.diff, f64::from(off[at]) / 100.0, 1e-9);
    }
    assert!(ties > 50, "{ties}");
    let weight = |s: &spadework::job::DugStakeOut| s.diff.abs() * s.share;
    assert!(got.stakes.windows(2).all(|w| weight(&w[0]) >= weight(&w[1])));
    assert_close(got.stakes.iter().map(|s| s.share).sum(), 9000.0, 1e-6);
    let n = off.len() as f64;
    let mean = off.iter().map(|d| f64::from(*d) / 100.0).sum::<f64>() / n;
    assert_close(got.mean.expect("a mean"), mean, 1e-12);
    let squares: f64 = off.iter().map(|d| (f64::from(*d) / 100.0 - mean).powi(2)).sum();
    assert_close(got.spread.expect("a spread"), (squares / (n - 1.0)).sqrt(), 1e-12);
    assert_eq!(got.out_of_tolerance, off.iter().filter(|d| **d > 4 || **d < -6).count());
    // High less low is the integral of the differences over the net, whichever way it is parted.
    let mut dug = Shots::default();
    for ((n, e), d) in places.iter().zip(&off) {
        dug.push("", to_micro(*n), to_micro(*e), f64::from(*d) / 100.0, Kind::Ground);
    }
    let net = Surface::build(&dug, Frame::of(&[&dug]), Cells::Nodes).expect("a net");
    let triangles = 0..u32::try_from(net.net().triangles()).expect("few");
    let sum: f64 = triangles.map(|t| net.net().triangle_area(t) * net.heights(t).iter().sum::<f64>() / 3.0).sum();
    // The outline is not convex, but all stakes stand in its southern leg.
    assert_close((got.high_volume - got.low_volume) * 27.0, sum, 1e-6);
}

#[test]
fn a_hole_dug_as_ordered_is_accepted_and_tickets_teach_the_swell() {
    let stakes = "point,northing,easting\na,45,35\nb,45,145\nc,85,145\nd,145,35\ne,145,75\nf,85,75\n";
    let job = ell(true, stakes);
    let plane = |n: f64| 99.6 - 0.02 * (n - 40.0);
    let all = [("a", 45.0), ("b", 45.0), ("c", 85.0), ("d", 145.0), ("e", 145.0), ("f", 85.0)];
    let at = |down: f64| -> Vec<DugShot> { all.iter().map(|(s, n)| shot(s, plane(*n) - down, None)).collect() };
    let ticket = |loose: f64| Ticket { date: "1 May".to_owned(), truck: "tandem".to_owned(), loads: 1.0, loose };
    let well = judged(&job, at(0.0), tolerance(0.04, 0.04), Some(&[ticket(2700.0)]));
    assert!(part(&well).accept && well.checks.iter().all(|c| c.pass), "{:?}", well.checks);
    assert_eq!((part(&well).out_of_tolerance, part(&well).stone, part(&well).trim_area), (0, 0.0, 0.0));
    let moved = part(&well).moved.as_ref().expect("tickets were given");
    assert_close(moved.tickets, 100.0, 1e-9);
    assert_close(moved.swell.expect("a swell"), 100.0 / moved.left - 1.0, 1e-12);
    assert_close(moved.loose.expect("a swell was said"), moved.left * 1.25, 1e-9);
    // A tenth deeper everywhere: so much more was moved, and it is no accident of digging.
    let deep = judged(&job, at(0.1), tolerance(0.04, 0.04), Some(&[ticket(2700.0)]));
    let more = part(&deep).moved.as_ref().expect("tickets were given").dug - moved.dug;
    assert_close(more, part(&deep).low_volume, 1e-9);
    assert_close(part(&deep).low_volume * 27.0, 0.1 * part(&deep).areas[0].covered, 1e-6);
    assert_close(part(&deep).low_beyond, part(&deep).low_volume, 1e-9);
    assert_close(part(&deep).slip.expect("all are off together"), -0.1, 1e-9);
    assert!(!part(&deep).accept);
    // Ordered on the day it is the owner's, and in.
    let ordered = all.iter().map(|(s, n)| shot(s, plane(*n) - 0.1, Some(Ordered::ToFirm))).collect();
    let ordered = judged(&job, ordered, tolerance(0.04, 0.04), None);
    assert!(part(&ordered).accept && part(&ordered).low_volume.abs() < 1e-9);
    assert_eq!(part(&ordered).log.iter().map(|l| l.whose).collect::<Vec<_>>(), ["owner"]);
    assert_close(part(&ordered).log[0].volume, part(&deep).low_volume, 1e-9);
    // Ordered 6 in and not dug: high.
    let shallow = all.iter().map(|(s, n)| shot(s, plane(*n), Some(Ordered::Down(0.5)))).collect();
    let shallow = judged(&job, shallow, tolerance(0.04, 0.04), None);
    assert_eq!(part(&shallow).high, 6);
}

#[test]
fn a_hole_that_falls_backwards_does_not_drain() {
    let stakes = "point,northing,easting\na,45,35\nb,45,145\nc,85,145\nd,145,35\ne,145,75\nf,85,75\n";
    let job = ell(true, stakes);
    let all = [("a", 45.0), ("b", 45.0), ("c", 85.0), ("d", 145.0), ("e", 145.0), ("f", 85.0)];
    let with_fall = |fall: f64| {
        let shots = all.iter().map(|(s, n)| shot(s, 99.5 - fall * (n - 40.0), None)).collect();
        let outcome = judged(&job, shots, tolerance(10.0, 10.0), None);
        let water = part(&outcome).areas[0].water.clone().expect("a surface");
        (water.drains, water.along, outcome.checks.iter().find(|c| c.rule == "drains as dug").map(|c| c.pass))
    };
    // The rule for subgrade is 1 %, and its tie holds.
    for (fall, want) in [(0.02, true), (0.01, true), (0.0099, false), (-0.02, false)] {
        let (drains, along, pass) = with_fall(fall);
        assert_close(along, fall, 1e-9);
        assert_eq!((drains, pass), (want, Some(want)), "{fall}");
    }
}
