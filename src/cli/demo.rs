//! A folder to begin with: a job to fill in, or the example. Kept inside the program, so it needs nothing else.

use super::args::NewArgs;
use super::{Ended, Failure, folder};
use spadework::read::job::{TEMPLATE, schema};
use std::io::Write;

macro_rules! demo {
    ($folder:literal: $($name:literal)*) => {
        [$(($name, include_str!(concat!("../../demo-data/", $folder, "/", $name)))),*]
    };
}

const HALL: [(&str, &str); 9] = demo!(
    "hall": "job.toml" "level-notes.csv" "places.csv" "breaklines.csv" "cores.csv" "rain-daily.csv" "stakes.csv"
    "asdug-elevations.csv" "asdug-rods.csv"
);
const TABLES: [(&str, &str); 2] = demo!("hall-two-tables": "existing.csv" "proposed.csv");

pub(crate) fn new(args: &NewArgs) -> Result<Ended, Failure> {
    let schema = schema();
    let mut files: Vec<(&str, Vec<u8>)> = Vec::new();
    let mut add = |all: &[(&'static str, &'static str)]| {
        files.extend(all.iter().map(|(name, text)| (*name, text.as_bytes().to_vec())));
    };
    if args.demo {
        add(&HALL);
        add(&TABLES);
    } else {
        add(&TEMPLATE);
    }
    files.push(("spadework.schema.json", schema.into_bytes()));
    folder::write_once(&args.dir, &files)?;
    let dir = args.dir.display();
    let mut out = std::io::stdout().lock();
    if args.demo {
        writeln!(out, "Made {dir}: a job file with its survey, and two bare tables. Next:\n")?;
        writeln!(out, "  spadework run {dir}/job.toml --out {dir}-out")?;
        writeln!(out, "  spadework digcheck {dir}/job.toml --shots {dir}/asdug-rods.csv --out {dir}-dig")?;
        writeln!(
            out,
            "  spadework run {dir}/existing.csv {dir}/proposed.csv --build-up \"9 3/8 in\" --outlet OUT1 --out {dir}-tables"
        )?;
    } else {
        writeln!(
            out,
            "Made {dir} with job.toml to fill in and existing.csv, a survey to overwrite with your own. Next:\n"
        )?;
        writeln!(out, "  spadework check {dir}/job.toml\n  spadework run {dir}/job.toml --out {dir}-out")?;
    }
    Ok(Ended::Well)
}
