//! Both demo jobs read without complaint, and bad edits of one draw the right sentence at the right line.

use super::*;
use crate::units::Elevation;

const HALL: &str = include_str!("../../../demo-data/hall/job.toml");
const METRIC: &str = include_str!("../../../demo-data/metric/job.toml");

fn source(label: &str, text: &str) -> Source {
    Source::read(label, text.as_bytes().to_vec()).expect("is text")
}

macro_rules! files {
    ($folder:literal: $($name:literal)*) => {
        HashMap::from([$(($name.to_owned(), source($name, include_str!(concat!("../../../demo-data/", $folder, "/", $name)))),)*])
    };
}

fn hall_files() -> HashMap<String, Source> {
    files!("hall": "points.csv" "level-notes.csv" "places.csv" "breaklines.csv" "cores.csv" "rain-daily.csv" "stakes.csv")
}

/// The hall on its points, so that these tests hold the job file alone.
fn on_points(text: &str) -> String {
    text.replace("level_notes = \"level-notes.csv\"", "shots = \"points.csv\"")
}

fn read(text: &str, files: &HashMap<String, Source>) -> (Option<(SiteJob, Spans)>, Complaints) {
    let source = source("job.toml", text);
    let mut complaints = Complaints::default();
    let job = referenced(&source, &mut complaints).and_then(|job| job.read(files, &mut complaints));
    (job, complaints)
}

#[test]
fn both_demo_jobs_read_without_complaint() {
    let hall = source("job.toml", &on_points(HALL));
    let (job, complaints) = read(hall.text(), &hall_files());
    assert!(complaints.is_empty(), "{}", complaints.render(&[&hall]));
    let (job, _) = job.expect("is sound");
    assert_eq!((job.said.sections.len(), job.said.areas.len(), job.said.drains.len()), (5, 7, 5));
    let metric = source("job.toml", &on_points(METRIC));
    let (job, complaints) = read(metric.text(), &files!("metric": "points.csv" "level-notes.csv" "places.csv"));
    assert!(complaints.is_empty(), "{}", complaints.render(&[&metric]));
    assert_eq!(job.expect("is sound").0.benches[0].elevation, Elevation::in_job_units(50.0));
}

#[test]
fn the_template_reads_without_complaint_and_so_do_its_examples() {
    let [(_, text), (name, shots)] = TEMPLATE;
    let files = HashMap::from([(name.to_owned(), source(name, shots))]);
    let as_given = source("job.toml", text);
    let (job, complaints) = read(text, &files);
    assert!(complaints.is_empty() && job.is_some(), "{}", complaints.render(&[&as_given]));
    // Its examples, each head with what stands under it, uncommented one at a time.
    let mut tried = 0;
    for block in text.split("\n\n").filter(|b| b.contains("\n# [")) {
        let lines: Vec<&str> = block.lines().skip_while(|l| !l.starts_with("# [")).collect();
        let example = lines.iter().map(|l| l.trim_start_matches("# ")).collect::<Vec<_>>().join("\n");
        let with = source("job.toml", &format!("{text}\n{example}\n"));
        let (job, complaints) = read(with.text(), &files);
        assert!(complaints.is_empty() && job.is_some(), "{}", complaints.render(&[&with]));
        tried += 1;
    }
    assert!(tried >= 4, "{tried} examples");
}

/// Every key of a job, table by table, must be in the schema at its place.
fn in_schema(value: &DeValue<'_>, schema: &serde_json::Value, path: &str) {
    match value {
        DeValue::Table(table) => {
            let forms: Vec<&serde_json::Value> = match schema.get("anyOf").and_then(|a| a.as_array()) {
                Some(any) => any.iter().collect(),
                None => vec![schema],
            };
            for (key, value) in table {
                let found = forms.iter().find_map(|f| f.get("properties")?.get(key.get_ref().as_ref()));
                let found = found.unwrap_or_else(|| panic!("{path}.{} is not in the schema", key.get_ref()));
                in_schema(value.get_ref(), found, &format!("{path}.{}", key.get_ref()));
            }
        }
        DeValue::Array(items) => {
            if let Some(of) = schema.get("items") {
                items.iter().for_each(|item| in_schema(item.get_ref(), of, path));
            }
        }
        _ => {}
    }
}

#[test]
fn the_schema_knows_every_key_of_both_demo_jobs() {
    let schema: serde_json::Value = serde_json::from_str(&schema()).expect("is JSON");
    for text in [HALL, METRIC] {
        let tree = DeTable::parse(text).expect("is TOML");
        in_schema(&DeValue::Table(tree.get_ref().clone()), &schema, "job");
    }
    assert_eq!(schema["additionalProperties"], false);
    assert!(schema["required"].as_array().is_some_and(|r| r.contains(&"survey".into())));
}

/// What stands in the hall's job, what takes its place, where the complaint must stand, what it must say.
const BAD: &[(&str, &str, &str, &str)] = &[
    ("units = \"ft\"", "units = \"yd\"", "units = \"yd\"", "expected one of \"ft\", \"us-ft\", \"m\""),
    ("units = \"ft\"", "", "[job]", "[job] without `units`"),
    ("version = 1 ", "version = 3 ", "version = 3", "this program reads version 1"),
    ("version = 1 ", "version = \"1\" ", "version = \"1\"", "expected a whole number"),
    ("version = 1 ", "version = 0 ", "version = 0", "a whole number of at least 1"),
    ("datum = ", "dattum = ", "dattum", "the nearest key is `datum`"),
    ("[set_up]", "[setup]", "[setup]", "the nearest key is `set_up`"),
    ("[set_up]", "[[set_up]]", "[[set_up]]", "found a list; expected [set_up], a table"),
    ("rod   = 5.62", "hi = 107.0", "[set_up]", "said in part or twice"),
    ("bench = \"TBM2\"", "bench = \"TBM3\"", "bench = \"TBM3\"", "the nearest is `TBM2`"),
    ("elevation = 104.12", "elevation = \"104.12 ft\"", "\"104.12 ft\"", "expected \"from notes\""),
    ("elevation = 104.12", "elevation = inf", "elevation = inf", "expected a finite number"),
    ("name = \"TBM2\"", "name = \"BM1\"", "name = \"BM1\"\nelevation = \"from", "a second bench `BM1`"),
    ("spacing = 10.0", "spacing = 10.0, azimuth = 361", "azimuth = 361", "a number from 0 to 360"),
    ("spacing = 10.0", "spacing = 10.0, last = \"G7b\"", "last = \"G7b\"", "`G7b` as the last stake"),
    ("places      = ", "rods = \"feet\"\nplaces      = ", "\"feet\"", "expected one of \"tenths\""),
    ("spacing = 10.0", "spacing = -10.0", "spacing = -10.0", "a number of at least"),
    ("places      = ", "place = ", "place = ", "the nearest key is `places`"),
    ("strip         = \"0.35 ft\"", "strip = 0.35", "strip = 0.35", "expected a length with its unit"),
    ("swell         = \"25 %\"", "swell = \"25\"", "swell = \"25\"", "write it in quotes with its sign"),
    ("swell         = \"25 %\"", "swell = \"250 %\"", "swell = \"250 %\"", "from \"0 %\" to \"200 %\""),
    ("\"1.50 ton/yd3\"  ", "\"1.50 t/yd3\"  ", "\"1.50 t/yd3\"", "`ton` for 2,000 lb or `tonne` for 1,000 kg"),
    ("\"1.50 ton/yd3\"  ", "\"1.50\"  ", "weight        = \"1.50\"", "a number with one of the units ton/yd3"),
    ("high = \"0.04 ft\"", "hihg = \"0.04 ft\"", "hihg", "the nearest key is `high`"),
    ("thick = \"1 in\"", "thick = \"1 inn\"", "\"1 inn\"", "one of the units in, ft"),
    ("thick = \"1 in\"", "thick = \"-1 in\"", "\"-1 in\"", "expected a length of zero or more"),
    ("order = \"piece\"", "order = \"peice\"", "\"peice\"", "the nearest word is \"piece\""),
    ("refill = \"clean stone\"", "refill = \"clean stones\"", "\"clean stones\"", "no layer of this section"),
    ("kind = \"nonwoven\", lap", "kind = \"knitted\", lap", "\"knitted\"", "one of \"woven\", \"nonwoven\""),
    (
        "area  = \"dining terrace\"\nstone",
        "area = \"dinning terrace\"\nstone",
        "\"dinning",
        "the nearest is `dining terrace`",
    ),
    ("section = \"drain strip\"", "section = \"drian strip\"", "\"drian strip\"", "the nearest is `drain strip`"),
    ("use     = \"ramp\"", "use = \"rampe\"", "\"rampe\"", "the nearest word is \"ramp\""),
    ("by_building = true", "by_building = \"yes\"", "\"yes\"", "expected `true` or `false`"),
    ("code    = \"W2\"", "code = \"W1\"", "code = \"W1\"", "a second code `W1`"),
    (
        "fall = \"2 %\", toward = \"north\" }\nover_dig = { all",
        "fall = 2, toward = \"north\" }\nover_dig = { all",
        "fall = 2,",
        "a slope with its unit",
    ),
    (
        "fall = \"2 %\", toward = \"north\" }\nover_dig = { all",
        "fall = \"2\", toward = \"north\" }\nover_dig = { all",
        "fall = \"2\",",
        "say the unit",
    ),
    ("\"7.35 % east\"", "\"735 % east\"", "\"735 % east\"", "a slope of at most 100 %"),
    ("\"7.35 % east\"", "\"7.35 %\"", "\"7.35 %\"", "a slope and a direction"),
    ("\"7.35 % east\"", "\"7.35 % esat\"", "\"7.35 % esat\"", "the nearest word is `east`"),
    (
        "falls = [\"7.35 % east\",",
        "falls = [\"1 % west\", \"7.35 % east\",",
        "\"1 % west\"",
        "a plane has two falls at most",
    ),
    (
        "falls = [\"7.35 % east\", \"2 % north\"]",
        "fall = \"2 %\"",
        "meets = \"upper landing\"",
        "`fall` without `toward`",
    ),
    (
        "meets = \"upper landing\"",
        "meets = \"lower landing\"",
        "meets = \"lower landing\", falls = [\"7",
        "an area further down",
    ),
    ("meets = \"upper landing\"", "meets = \"uper landing\"", "\"uper landing\"", "the nearest is `upper landing`"),
    ("meets = \"upper landing\"", "follow = \"existing\"", "follow", "`falls` beside `follow`"),
    ("meets = \"upper landing\"", "down = \"1 in\"", "down = \"1 in\", falls", "no height to hang the finish on"),
    (
        "meets = \"upper landing\"",
        "meets = \"upper landing\", breaklines = \"breaklines.csv\"",
        "breaklines = \"breaklines.csv\", falls",
        "`breaklines` beside `meets`",
    ),
    (
        "meets = \"upper landing\"",
        "meets = \"upper landing\", fit = \"existing\"",
        "fit = \"existing\"",
        "meets and fit together",
    ),
    ("through = [\"Q1\", 102.95]", "through = [\"Q1\", \"-1 in\"]", "[\"Q1\", \"-1 in\"]", "a place without a height"),
    ("except = [\"T.1-T.2\"]", "except = [\"T.1-T.3\"]", "T.1-T.3", "no edge of this area"),
    ("except = [\"T.1-T.2\"]", "exept = [\"T.1-T.2\"]", "exept", "the nearest key is `except`"),
    ("what = \"root circle\"", "what = \"root circel\"", "root circel", "the nearest word is \"root circle\""),
    ("trunk = \"14 in\"", "", "[[keep_off]]\nname = \"oak\"", "both or neither of `trunk` and `radius`"),
    ("bottom = 100.40", "", "[[keep_off]]\nname = \"hall footing\"", "a footing without `bottom`"),
    ("at   = \"DR2\"", "at = \"DR9\"", "at = \"DR9\"", "which is no stake and no place"),
    ("least = \"0.04 ft\", most", "least = \"0.6 ft\", most", "least = \"0.6 ft\"", "`least` above `most`"),
    ("along = [\"X1\", \"X2\"]", "along = [\"X1\"]", "along = [\"X1\"]", "expected two places"),
    ("{ outlet = \"CB\" }", "{ outlet = \"CC\" }", "\"CC\"", "no outlet"),
    (
        "{ tank = \"inlet\" }",
        "{ tank = \"inlet\", basin = \"SB\" }",
        "{ tank = \"inlet\", basin",
        "one of `at`, `basin`, `tank` and `outlet`",
    ),
    (
        "legs   = [ { kind = \"solid\", size = \"6 in\", wall = \"1/8 in\" } ]",
        "legs = []",
        "legs = []",
        "0 legs between 2 nodes",
    ),
    ("areas = [\"play lawn\"]", "areas = [\"paly lawn\"]", "\"paly lawn\"", "the nearest is `play lawn`"),
    ("payload = \"14 ton\"", "payload = \"14 t\"", "\"14 t\"", "`ton` for 2,000 lb"),
    ("paper    = \"tabloid\"", "paper = \"a5\"", "\"a5\"", "one of \"letter\", \"tabloid\", \"a4\", \"a3\""),
];

#[test]
fn each_bad_edit_draws_its_sentence_at_its_line() {
    let files = hall_files();
    let hall = on_points(HALL);
    let mut wrong = String::new();
    for (old, new, at, sentence) in BAD {
        assert!(hall.contains(old), "the hall has no `{old}`");
        let text = hall.replacen(old, new, 1);
        let line = text.find(at).map(|k| text[..k].matches('\n').count() + 1);
        let (job, complaints) = read(&text, &files);
        let source = source("job.toml", &text);
        let said = complaints.render(&[&source]);
        let there = line.is_some_and(|line| said.contains(&format!("job.toml, line {line}, ")));
        if job.is_some() || !there || !said.contains(sentence) {
            wrong += &format!("{new}: wanted `{sentence}` in line {line:?}\n{said}\n");
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(BAD.len() >= 40);
}

#[test]
fn three_faults_in_one_file_are_three_complaints() {
    let text = on_points(HALL)
        .replacen("thick = \"1 in\"", "thick = 1", 1)
        .replacen("datum = ", "dattum = ", 1)
        .replacen("corners = \"Q1 Q2 Q3 Q4\"", "corners = \"Q1 Q2 Q3 Q44\"", 1);
    let (job, complaints) = read(&text, &hall_files());
    assert!(job.is_none());
    let source = source("job.toml", &text);
    assert_eq!(complaints.len(), 3, "{}", complaints.render(&[&source]));
}

#[test]
fn what_was_said_arrives_as_typed() {
    let (job, _) = read(&on_points(HALL), &hall_files());
    let (job, spans) = job.expect("is sound");
    let close = |length: Length, want: f64| (length.job_units() - want).abs() < 1e-12;
    let said = &job.said;
    let terrace = &said.areas[0];
    assert!(close(terrace.proud, 0.5 / 12.0) && close(said.strip, 0.35));
    assert_eq!(terrace.over_dig.as_ref().map(|o| o.except.clone()), Some(vec![0]));
    // The middle edge of the last landing, corners 2 and 3.
    assert_eq!(said.areas[4].over_dig.as_ref().map(|o| o.except.clone()), Some(vec![1]));
    assert_eq!(said.areas[5].corner_names, ["Q1", "Q2", "Q3", "Q4"]);
    let crate::design::said::Guard::RootCircle { radius, .. } = said.keep_offs[0].what else { panic!("no circle") };
    assert!(close(radius, 17.5));
    assert!(job.kept.iter().any(|k| k == "chance"), "chance is not said to be kept: {:?}", job.kept);
    assert_eq!((job.sheet.paper.as_deref(), &job.sheet.scale), (Some("tabloid"), &None), "fit is no scale");
    let haul = &job.haul;
    assert_eq!((job.soil.swell, job.soil.shrink, haul.handling_loss), (Some(0.25), Some(0.12), 0.1));
    assert_eq!(job.soil.bank_weight.map(|w| w * 27.0), Some(1.5));
    let trucks: Vec<_> = haul.trucks.iter().map(|t| (t.name.as_str(), t.volume.cubic(), t.payload)).collect();
    assert_eq!(trucks, [("tandem", 270.0, 14.0), ("single axle", 135.0, 7.5), ("dump trailer", 135.0, 5.0)]);
    assert_eq!(haul.trucks[0].round_trip, Some(1.0));
    let fabric = said.sections[0].fabric.as_ref().expect("was said");
    assert!(close(fabric.lap, 1.5) && close(fabric.roll, 12.5) && fabric.up_sides);
    let lime = said.amendments[0].lime.expect("was said");
    assert!((lime.dose * 2000.0 - 0.5).abs() < 1e-12 && lime.bag == Some(0.025) && close(lime.depth, 1.0 / 3.0));
    let text = on_points(HALL);
    let found = |subject: &Subject| spans.find(subject).and_then(|span| text.get(span));
    assert_eq!(found(&Subject::Corner("dining terrace".into(), 0, 2)), Some("[521.0, 1042.0]"));
    assert_eq!(found(&Subject::Item("keep_off", "oak".into())), Some("\"oak\""));
}
