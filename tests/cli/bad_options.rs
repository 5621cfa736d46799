//! What makes no sense at the command line: exit 2; names that are none: exit 1 with the nearest.

use super::Desk;

const TABLES: [&str; 2] = ["existing.csv", "proposed.csv"];

fn with<'a>(command: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&[command], &TABLES[..], more].concat()
}

#[test]
fn usage_errors_end_with_2_and_name_what_was_typed() {
    let desk = Desk::new("usage");
    for (more, part) in [
        (&["--no-such-option"][..], "--no-such-option"),
        (&["--build-up", "9"], "a length with its unit"),
        (&["--build-up", "-9 in"], "0 or more"),
        (&["--build-up", "9 elephants"], "one of the units"),
        (&["--hi", "x"], "such as 101.25"),
        (&["--hi", "1e999"], "too large"),
        (&["--bench", "P1"], "--rod"),
        (&["--rod", "5.5"], "--bench"),
        (&["--hi", "100", "--bench", "P1", "--rod", "5"], "--hi"),
        (&["--min-fall", "2"], "a slope such as"),
        (&["--units", "yards"], "yards"),
        (&["--interval", "0"], "above 0"),
        (&["--proposed-is", "maybe"], "maybe"),
        (&["--threads", "0"], "--threads"),
    ] {
        desk.refuses(2, &with("stakes", more), &[part]);
    }
    desk.refuses(2, &["stakes"], &["JOB|TABLE"]);
    desk.refuses(2, &["contours", "existing.csv"], &["--interval"]);
    desk.refuses(2, &["dig"], &["dig"]);
}

#[test]
fn names_that_are_none_are_told_with_the_nearest() {
    let desk = Desk::new("names");
    desk.refuses(1, &with("run", &["--outlet", "OUT2"]), &["--outlet", "`OUT2`", "`OUT1`"]);
    desk.refuses(1, &with("run", &["--bench", "Q1", "--rod", "5.5"]), &["--bench", "`Q1`", "`P1`"]);
    // Both at once.
    let both = ["--outlet", "OUT2", "--bench", "Q1", "--rod", "5.5"];
    desk.refuses(1, &with("run", &both), &["--outlet", "--bench"]);
}

#[test]
fn options_of_bare_tables_are_not_for_job_files() {
    let desk = Desk::new("job-options");
    desk.put("job.toml", "");
    desk.refuses(
        2,
        &["run", "job.toml", "--build-up", "9 in", "--units", "ft"],
        &["--build-up, --units", "in the file"],
    );
    desk.refuses(2, &["check", "existing.csv"], &["no job file"]);
}
