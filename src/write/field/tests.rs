use super::*;
use crate::job::{BenchOut, FloorOut, PlanOut, Units};
use std::collections::BTreeSet;

fn outcome(name: &str, stakes: usize) -> Outcome {
    let stake = |k: usize| StakeOut {
        stake: format!("{name}{k}"),
        northing: 500.0 + (k / 20) as f64 * 10.0,
        easting: 1000.0 + (k % 20) as f64 * 10.0,
        area: Some(name.to_owned()),
        existing: Some(100.0 + 0.01 * k as f64),
        dig_to: Some(99.2083333 - 0.01 * k as f64),
        cut: Some(0.7916667 + 0.02 * k as f64),
        notes: vec![format!("also {name}")],
        ..StakeOut::default()
    };
    let side = 200.0;
    let ring = vec![(500.0, 1000.0), (500.0, 1000.0 + side), (500.0 + side, 1000.0 + side), (500.0 + side, 1000.0)];
    let plane = GradeOut::Plane { at: (500.0, 1000.0), height: 99.2, rise: [-0.02, 0.0] };
    let floor = FloorOut { area: name.to_owned(), rings: vec![ring], grade: plane, up: 0.0, no_topsoil: false };
    let bench = BenchOut { name: name.to_owned(), elevation: 101.38, note: name.to_owned() };
    let ground = NetOut {
        nodes: (0..stakes).map(|k| [500.123 + k as f64, 1000.456 + k as f64, 100.01 + k as f64]).collect(),
        triangles: (0..2 * stakes).map(|k| [k % stakes, (k + 1) % stakes, (k + 2) % stakes]).collect(),
    };
    Outcome {
        job: name.to_owned(),
        units: Units { length: "ft".to_owned(), ..Units::default() },
        stakes: Some((0..stakes).map(stake).collect()),
        field: Some(FieldOut { tolerance: [0.04; 2], floors: vec![floor], ground, ..FieldOut::default() }),
        plan: Some(PlanOut { marks: vec![bench], ..PlanOut::default() }),
        ..Outcome::default()
    }
}

fn written(outcome: &Outcome) -> String {
    page(outcome).expect("finite numbers").expect("stakes")
}

#[test]
fn one_file_that_holds_everything_and_asks_for_nothing() {
    let text = written(&outcome("yard", 12));
    assert_eq!(text, written(&outcome("yard", 12)));
    for outside in ["http:", "https:", "//cdn", "src=", "@import", "url(", "innerHTML", "insertAdjacentHTML", "eval("] {
        // The name of a drawing's language is no address that is opened.
        let text = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!text.contains(outside), "the page says {outside}");
    }
    assert!(text.contains("default-src 'none'") && !text.contains("unsafe-inline"));
    assert!(!text.contains('@') || !["@SCRIPT", "@DATA@", "@WORDS@", "@LOOKS"].iter().any(|m| text.contains(m)));
    let script = text.split("<script>").nth(1).and_then(|t| t.split("</script>").next()).expect("a script");
    assert!(text.contains(&format!("'sha256-{}'", sha256_base64(script.as_bytes()))));
    let looks = text.split("<style>").nth(1).and_then(|t| t.split("</style>").next()).expect("looks");
    assert!(text.contains(&format!("'sha256-{}'", sha256_base64(looks.as_bytes()))));
    let mut none = outcome("yard", 12);
    none.stakes = None;
    assert_eq!(page(&none).expect("nothing to encode"), None);
    assert_eq!(page(&outcome("a", MOST_STAKES + 1)).expect("finite numbers"), None);
}

#[test]
fn what_a_job_says_cannot_end_its_place() {
    let name = "</script><script>alert(1)</script>@SCRIPT@ \"&' =1+2";
    let text = written(&outcome(name, 2));
    assert!(!text.contains("alert(1)</script>"));
    let data = text.split("id=\"data\">").nth(1).and_then(|t| t.split("</script>").next()).expect("data");
    let data: Value = serde_json::from_str(data).expect("data reads back");
    assert_eq!(data["job"], name);
    assert_eq!(data["stakes"][1]["name"], format!("{name}1"));
    assert_eq!(data["stakes"][1]["digTo"].as_f64(), Some(99.2083333 - 0.01));
}

#[test]
fn four_hundred_stakes_are_under_a_megabyte() {
    let size = written(&outcome("stake of the terrace ", 400)).len();
    assert!(size < 1_000_000, "{size} bytes");
}

/// Everything in quotes behind `mark` in the script and the frame.
fn asked(mark: &str, quote: char) -> BTreeSet<String> {
    let all = SCRIPT.concat() + FRAME;
    all.split(mark).skip(1).filter_map(|t| Some(t.split_once(quote)?.0.to_owned())).collect()
}

#[test]
fn every_word_is_there_in_both_languages_and_is_used() {
    let words: Value = serde_json::from_str(WORDS).expect("words");
    let keys = |language: &str| -> BTreeSet<String> {
        words[language].as_object().expect("a language").keys().cloned().collect()
    };
    let (english, spanish) = (keys("en"), keys("es"));
    assert_eq!(english, spanish);
    let mut used = asked("say('", '\'');
    used.extend(asked("data-say=\"", '"'));
    used.extend(asked("data-label=\"", '"'));
    used.extend(asked("data-hint=\"", '"'));
    let missing: Vec<_> = used.difference(&english).collect();
    assert!(missing.is_empty(), "asked for and not there: {missing:?}");
    let idle: Vec<_> = english.difference(&used).collect();
    assert!(idle.is_empty(), "there and never asked for: {idle:?}");
    for key in &english {
        let holes = |language: &str| {
            let text = words[language][key].as_str().unwrap_or_default();
            let mut holes: Vec<&str> = text.split('{').skip(1).filter_map(|t| t.split('}').next()).collect();
            holes.sort_unstable();
            holes.join(",")
        };
        assert!(!words["en"][key].as_str().unwrap_or_default().is_empty(), "{key} is empty");
        assert_eq!(holes("en"), holes("es"), "{key}");
    }
}
