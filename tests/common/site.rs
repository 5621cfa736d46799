//! Whole jobs from the text of a job file and its tables.

use spadework::job::{Outcome, Parts, SiteJob, evaluate_site};
use spadework::par::silent;
use spadework::read::job::referenced;
use spadework::read::{Complaints, Source};
use std::collections::HashMap;
use std::fmt::Write as _;

/// A job of these areas on a square of ground 200 by 200 in steps of 10, 12 in of build-up, and more tables if it names any.
pub fn worked_out(areas: &str, ground: impl Fn(f64, f64) -> f64, tables: &[(&str, &str)]) -> Result<Outcome, String> {
    evaluate_site(&job(areas, ground, tables)?, Parts::ALL, &silent)
        .map_err(|all| all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

/// The same before anything of it is worked out.
pub fn job(areas: &str, ground: impl Fn(f64, f64) -> f64, tables: &[(&str, &str)]) -> Result<SiteJob, String> {
    let job = format!(
        "[job]\nname = \"test\"\nunits = \"ft\"\n[survey]\nshots = \"shots.csv\"\n\
         [[section]]\nname = \"base\"\nlayers = [ {{ name = \"stone\", thick = \"12 in\" }} ]\n{areas}"
    );
    let mut shots = "point,northing,easting,elevation\n".to_owned();
    for (r, c) in (0..21).flat_map(|r| (0..21).map(move |c| (r, c))) {
        let (n, e) = (f64::from(r) * 10.0, f64::from(c) * 10.0);
        writeln!(shots, "S{r}-{c},{n},{e},{}", ground(n, e)).expect("a text");
    }
    let source = |name: &str, text: &str| Source::read(name, text.as_bytes().to_vec()).expect("a text");
    let file = source("job.toml", &job);
    let mut files: HashMap<String, Source> =
        tables.iter().map(|(name, text)| ((*name).to_owned(), source(name, text))).collect();
    files.insert("shots.csv".to_owned(), source("shots.csv", &shots));
    let mut complaints = Complaints::default();
    let read = referenced(&file, &mut complaints).and_then(|text| text.read(&files, &mut complaints));
    let Some((job, _)) = read else {
        let all: Vec<&Source> = files.values().chain([&file]).collect();
        return Err(complaints.render(&all));
    };
    Ok(job)
}
