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
