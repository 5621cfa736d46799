//! Does the field page print the program's own digits, and does it work in a true browser? Node asks the page's own functions; a
//! Chromium, driven from Node over two pipes, is used as a person uses it (`field/`). Where one of them is missing the test says
//! what it left out, past the capture of its output, and holds the rest.
//!
//! `SPADEWORK_NODE`, `SPADEWORK_CHROMIUM` name the programs; `SPADEWORK_AXE` the checker for those who hear the page or use keys;
//! `SPADEWORK_BROWSER=must` makes a missing one a failure.

use serde_json::{Value, json};
use spadework::level::SetUp;
use spadework::read::{Complaints, Source, read_as_dug};
use spadework::units::{Elevation, Length, LengthUnit, eighths, feet_inches, fixed, parse_length};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const SPADEWORK: &str = env!("CARGO_BIN_EXE_spadework");
const UNITS: [LengthUnit; 3] = [LengthUnit::Foot, LengthUnit::UsSurveyFoot, LengthUnit::Metre];

fn found(variable: &str, names: &[&str]) -> Option<String> {
    let named = std::env::var(variable).ok().filter(|name| !name.is_empty());
    let works = |name: &String| {
        let run = Command::new(name).arg("--version").stdin(Stdio::null()).output();
        run.is_ok_and(|out| out.status.success())
    };
    named.into_iter().chain(names.iter().map(|n| (*n).to_owned())).find(works)
}

/// Says what was left out; `cargo test` shows no other words of a test that passes.
fn left_out(what: &str) {
    let must = std::env::var("SPADEWORK_BROWSER").is_ok_and(|v| v == "must");
    assert!(!must, "SPADEWORK_BROWSER=must, but {what}");
    say(what);
}

fn say(what: &str) {
    let _ = writeln!(std::io::stderr(), "LEFT OUT: {what}");
}

fn desk(name: &str) -> PathBuf {
    let desk = Path::new(env!("CARGO_TARGET_TMPDIR")).join("field").join(name);
    let _ = fs::remove_dir_all(&desk);
    fs::create_dir_all(&desk).expect("there is room to work");
    desk
}

fn script(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/field").join(name)
}

/// Runs a script of `field/`; it must end well.
fn node(node: &str, arguments: &[&Path]) -> String {
    let out = Command::new(node).args(arguments).stdin(Stdio::null()).output().expect("node runs");
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(out.status.success(), "{said}\n{}", String::from_utf8_lossy(&out.stderr));
    said
}

/// SplitMix64 (Steele, Lea and Flood 2014): the same draws everywhere.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut v = self.0;
        v = (v ^ (v >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        v = (v ^ (v >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        v ^ (v >> 31)
    }

    fn below(&mut self, bound: u64) -> u64 {
        self.next() % bound
    }

    /// Between 0 and 1.
    fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// A thousand stakes: what the program makes of them, in feet, inches and metres, ties on the half included.
fn cases() -> Value {
    let mut draws = Draws(9);
    let (mut lengths, mut rods, mut stakes, mut verdicts) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for k in 0..1000_u64 {
        let unit = UNITS[(k % 3) as usize];
        let value = match k % 4 {
            0 => draws.part() * 20.0 - 5.0,
            1 => (draws.below(4000) as f64 - 1000.0) / 192.0,
            2 => (draws.below(40_000) as f64 - 10_000.0) / 2000.0,
            _ => (draws.below(4000) as f64 - 1000.0) / 16.0 * 0.0254,
        };
        let length = Length::in_job_units(value);
        let places: Vec<Value> = (0..4).map(|d| json!([d, fixed(value, d)])).collect();
        lengths.push(json!({ "unit": unit.code(), "value": value, "inches": feet_inches(length, unit),
            "eighths": eighths(length, unit), "fixed": places }));
        let (feet, inches, part) = (draws.below(14), draws.below(12), draws.below(8));
        let fraction =
            ["", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"][usize::try_from(part).expect("below eight")];
        let decimals = format!("{feet}.{:03}", draws.below(1000));
        let feet_unit = if unit == LengthUnit::Metre { "ft" } else { unit.code() };
        for (text, way, full) in [
            (format!("{feet}-{inches}{fraction}"), "inches", format!("{feet}-{inches}{fraction}")),
            (format!("{feet}'{inches}\""), "inches", format!("{feet}'{inches}\"")),
            (decimals.clone(), "tenths", format!("{decimals} {feet_unit}")),
            (decimals.clone(), "metres", format!("{decimals} m")),
        ] {
            let value = parse_length(&full, unit).expect("a rod").job_units();
            rods.push(json!({ "text": text, "way": way, "unit": unit.code(), "value": value }));
        }
        let bench = Elevation::in_job_units(95.0 + draws.below(1500) as f64 / 100.0);
        let on = Length::in_job_units(draws.below(1300) as f64 / 100.0);
        let dig_to = Elevation::in_job_units(95.0 + draws.part() * 10.0);
        let set_up = SetUp::on_bench(bench, on);
        stakes.push(json!({ "bench": bench.job_units(), "on": on.job_units(), "digTo": dig_to.job_units(),
            "hi": set_up.height_of_instrument().job_units(), "rod": set_up.rod(dig_to).job_units() }));
    }
    for text in ["", "5", "5.4", "5-12", "5-4 8/8", "x", "5--", "5-4 3/0", "-5-4"] {
        rods.push(json!({ "text": text, "way": "inches", "unit": "ft", "value": null }));
    }
    for text in ["", "5-4", "1e3", "-1", "5.4 ft", "5..4", "nan"] {
        rods.push(json!({ "text": text, "way": "tenths", "unit": "ft", "value": null }));
    }
    // On the tolerance is in; a hair past it is out.
    for (elevation, word) in
        [(100.04, "ok"), (100.0401, "high"), (99.97, "ok"), (99.9699, "low"), (100.0, "ok"), (100.04 + 5e-10, "ok")]
    {
        let tolerance = json!({ "high": 0.04, "low": 0.03 });
        verdicts.push(json!({ "elevation": elevation, "digTo": 100.0, "tolerance": tolerance, "word": word }));
    }
    json!({ "lengths": lengths, "rods": rods, "stakes": stakes, "verdicts": verdicts })
}

/// The data inside a page.
fn data(page: &str) -> Value {
    let data = page.split("id=\"data\">").nth(1).and_then(|t| t.split("</script>").next()).expect("data");
    serde_json::from_str(data).expect("data reads back")
}

fn page_of(job: &str, desk: &Path) -> Value {
    let file = desk.join(format!("{job}.html"));
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(job);
    let out = Command::new(SPADEWORK).arg("stakes").arg(job).arg("--field").arg(&file).output().expect("runs");
    assert!(matches!(out.status.code(), Some(0 | 3)), "{}", String::from_utf8_lossy(&out.stderr));
    data(&fs::read_to_string(file).expect("the page is written"))
}

#[test]
fn the_page_prints_the_programs_digits_and_digs_to_its_heights() {
    let Some(with) = found("SPADEWORK_NODE", &["node", "nodejs"]) else {
        return left_out("the page's numbers against the program's (there is no node)");
    };
    let desk = desk("agree");
    for name in ["hall", "metric"] {
        let job = page_of(name, &desk);
        // Every stake that stands in an area or outside all: asked as a place between stakes, it is dug to the same height.
        let is_trench = |s: &Value| s["area"].is_null() && !s["digTo"].is_null();
        let places: Vec<Value> =
            job["stakes"].as_array().into_iter().flatten().filter(|s| !is_trench(s)).cloned().collect();
        assert!(places.len() > 12 && places.iter().any(|s| !s["digTo"].is_null()));
        let mut cases = cases();
        cases["places"] = Value::from(places);
        cases["job"] = job;
        let file = desk.join(format!("{name}.json"));
        fs::write(&file, cases.to_string()).expect("there is room to work");
        let said = node(&with, &[&script("agree.mjs"), &file]);
        assert!(said.contains("agree"), "{said}");
    }
}

#[test]
fn a_height_of_instrument_and_guarded_names_are_read_back() {
    let table =
        "stake,rod,elevation,setup,time,note\nHI,,107.25,1,7:40,set up\n'=1+2,4.75,102.5,1,7:50,\n'k,5,102.25,1,,\n";
    let read = |stakes: &[&str]| {
        let source = Source::read("dug.csv", table.as_bytes().to_vec()).expect("text");
        let mut complaints = Complaints::default();
        read_as_dug(&source, (stakes, &[]), LengthUnit::Foot, &mut complaints)
            .map(|(dug, _)| dug.shots.into_iter().map(|s| (s.stake, s.height)).collect::<Vec<_>>())
    };
    // A name that has the apostrophe itself keeps it.
    let wanted = vec![("=1+2".to_owned(), 102.5), ("'k".to_owned(), 102.25)];
    assert_eq!(read(&["=1+2", "'k", "k"]), Some(wanted));
    assert_eq!(read(&["=1+2"]), None);
}

#[test]
fn a_browser_uses_the_page() {
    let Some(with) = found("SPADEWORK_NODE", &["node", "nodejs"]) else {
        return left_out("the page in a browser (there is no node to drive one)");
    };
    let Some(chromium) = found("SPADEWORK_CHROMIUM", &["chromium", "chromium-browser", "google-chrome"]) else {
        return left_out("the page in a browser (there is no chromium)");
    };
    let axe = std::env::var("SPADEWORK_AXE").ok().filter(|file| Path::new(file).is_file());
    if axe.is_none() {
        say("the page looked over by axe-core (SPADEWORK_AXE names no file)");
    }
    let hall = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/hall");
    let (check, desk) = (script("check.mjs"), desk("browser"));
    let mut arguments: Vec<&Path> = vec![&check, Path::new(&chromium), Path::new(SPADEWORK), &hall, &desk];
    arguments.extend(axe.as_deref().map(Path::new));
    let said = node(&with, &arguments);
    assert!(said.contains(" hold"), "{said}");
}
