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
