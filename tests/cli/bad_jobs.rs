//! Job files that cannot be used: every fault at its line, exit 1, nothing written. And what is only asked about.

use super::{Desk, has_all};
use std::fs;
use std::path::Path;

/// The hall's folder, its job file changed.
pub(super) fn hall(name: &str, edits: &[(&str, &str)]) -> Desk {
    let desk = Desk::new(name);
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/hall");
    for entry in fs::read_dir(from).expect("the hall") {
        let entry = entry.expect("a file");
        desk.put(&entry.file_name().to_string_lossy(), fs::read(entry.path()).expect("can be read"));
    }
    let mut text = desk.text("job.toml");
    for (old, new) in edits {
        assert!(text.contains(old), "the hall has no `{old}` to change");
        text = text.replacen(old, new, 1);
    }
    desk.put("job.toml", text);
    desk
}

/// Line of a text in the hall's changed job file, counted from 1.
fn line_of(desk: &Desk, part: &str) -> String {
    let text = desk.text("job.toml");
    let at = text.find(part).unwrap_or_else(|| panic!("no `{part}`"));
    format!("job.toml, line {}, ", text[..at].matches('\n').count() + 1)
}

const T: &str = "outline = [[500.0, 1008.0], [500.0, 1042.0], [521.0, 1042.0], [521.0, 1008.0]]";
const FALL: &str = "finish  = { through = [\"DR1\", \"-0.04 ft\"], fall = \"2 %\", toward = \"north\" }";

#[test]
fn each_fault_is_told_at_its_line() {
    for (k, (old, new, at, parts)) in [
        (
            T,
            "outline = [[500.0, 1008.0], [500.0, 1042.0]]",
            "outline = [[500.0, 1008.0], [500.0, 1042.0]]",
            &["three different corners"][..],
        ),
        (
            T,
            "outline = [[500.0, 1008.0], [500.0, 1042.0], [500.0, 1020.0]]",
            "outline = [[500.0, 1008.0], [500.0, 1042.0], [500.0, 1020.0]]",
            &["expected"],
        ),
        (
            T,
            "outline = [[500.0, 1008.0], [521.0, 1042.0], [500.0, 1042.0], [521.0, 1008.0]]",
            "[521.0, 1042.0], [500.0, 1042.0]",
            &["cross"],
        ),
        (
            T,
            "outline = [[500.0, 1008.0], [500.0, 1042.0], [500.0, 1042.0], [521.0, 1042.0], [521.0, 1008.0]]",
            "[500.0, 1042.0], [500.0, 1042.0]",
            &["expected"],
        ),
        (
            FALL,
            "finish  = { through = [\"DR1\", \"-0.04 ft\"], fall = \"1000 %\", toward = \"north\" }",
            "\"1000 %\"",
            &["1000 %", "100 %"],
        ),
        (
            FALL,
            "finish  = { through = [\"DR7\", \"-0.04 ft\"], fall = \"2 %\", toward = \"north\" }",
            "\"DR7\"",
            &["`DR7`", "nearest"],
        ),
        (
            "thick = \"2 3/8 in\", order = \"area\", waste = \"5 %\" },\n  { name = \"bedding sand\"",
            "thick = \"-2 3/8 in\", order = \"area\", waste = \"5 %\" },\n  { name = \"bedding sand\"",
            "\"-2 3/8 in\"",
            &["-2 3/8 in"],
        ),
        ("thick = \"1 in\"", "thick = 1", "thick = 1,", &["expected", "unit"]),
        ("weight = \"1.40 ton/yd3\"", "weight = \"1.40 t/yd3\"", "\"1.40 t/yd3\"", &["t/yd3", "ton/yd3"]),
        (
            "section = \"terrace aggregate\"",
            "section = \"terrace agregate\"",
            "\"terrace agregate\"",
            &["`terrace aggregate`"],
        ),
        ("corners = \"Q1 Q2 Q3 Q4\"", "corners = \"Q1 Q2 Q3 Q9\"", "corners = \"Q1 Q2 Q3 Q9\"", &["`Q9`", "Q"]),
        ("over_dig = \"6 in\"", "over_dug = \"6 in\"", "over_dug", &["over_dug", "`over_dig`"]),
        ("version = 1 ", "version = 2 ", "version = 2", &["version 2", "version 1"]),
        ("units = \"ft\"", "units = \"feet\"", "units = \"feet\"", &["feet", "ft"]),
        (
            "name    = \"upper landing\"",
            "name    = \"dining terrace\"",
            "code    = \"W1\"",
            &["dining terrace", "second area"],
        ),
    ]
    .into_iter()
    .enumerate()
    {
        let desk = hall(&format!("job-{k}"), &[(old, new)]);
        let said = desk.refuses(1, &["run", "."], parts);
        // The name of an area stands a line above its code.
        let line = if at.starts_with("code") { "job.toml, line ".to_owned() } else { line_of(&desk, at) };
        has_all(&said, &[line.as_str(), "help"]);
    }
}

#[test]
fn all_faults_are_told_at_once() {
    let desk = hall(
        "job-all",
        &[
            ("thick = \"1 in\"", "thick = 1"),
            ("section = \"lawn\"", "section = \"lwan\""),
            ("corners = \"Q1 Q2 Q3 Q4\"", "corners = \"Q1 Q2 Q3 Q9\""),
            ("level_notes = \"level-notes.csv\"", "level_notes = \"level-nots.csv\""),
            ("over_dig = \"6 in\"", "over_dug = \"6 in\""),
        ],
    );
    let said = desk.refuses(1, &["check", "job.toml"], &["thick", "`lwan`", "over_dug", "level-nots.csv"]);
    assert!(said.matches("error").count() >= 4, "{said}");
}

#[test]
fn areas_that_overlap_or_lie_off_the_survey() {
    // The landing pushed two feet into the terrace.
    let desk = hall(
        "job-overlap",
        &[("outline = [[508.0, 1042.0], [508.0, 1055.0]", "outline = [[508.0, 1040.0], [508.0, 1055.0]")],
    );
    let said = desk.refuses(1, &["run", "."], &["ft2 over `dining terrace`", "N 5", "help"]);
    has_all(&said, &[&line_of(&desk, "name    = \"upper landing\"")]);
    let desk = hall(
        "job-off",
        &[(
            "outline = [[524.0, 1008.0], [524.0, 1062.0], [552.0, 1062.0], [552.0, 1008.0]]",
            "outline = [[524.0, 1008.0], [524.0, 1062.0], [652.0, 1062.0], [652.0, 1008.0]]",
        )],
    );
    desk.refuses(1, &["run", "."], &["without survey under them", "ft2", "allow_uncovered"]);
    // Allowed, it is listed and not counted.
    let desk = hall(
        "job-allowed",
        &[(
            "outline = [[524.0, 1008.0], [524.0, 1062.0], [552.0, 1062.0], [552.0, 1008.0]]",
            "allow_uncovered = true\noutline = [[524.0, 1008.0], [524.0, 1062.0], [652.0, 1062.0], [652.0, 1008.0]]",
        )],
    );
    desk.run(&["volume", "."]).ends(3).says(&["not counted"]);
}

#[test]
fn a_name_for_two_places_is_refused() {
    let desk = hall("job-two-places", &[]);
    let places = desk.text("places.csv") + "H1,530.0,1020.0,ground,again\n";
    desk.put("places.csv", places);
    desk.refuses(1, &["run", "."], &["places.csv, line", "H1"]);
    let desk = hall("job-stake-twice", &[]);
    let stakes = desk.text("stakes.csv") + "A1,530.0,1020.0\n";
    desk.put("stakes.csv", stakes);
    desk.refuses(1, &["run", "."], &["stakes.csv, line", "`A1` in a second place"]);
}

#[test]
fn a_cut_deeper_than_six_feet_is_asked_about() {
    let desk = hall("job-deep", &[("through = [\"Q1\", 102.95]", "through = [\"Q1\", 96.95]")]);
    let ran = desk.run(&["volume", "."]).ends(3);
    ran.says(&["planting bed", "deep: is that meant?", "protection", "licensed designer"]);
}

#[test]
fn falls_that_leave_the_common_edge_and_edges_that_are_not_common() {
    let desk = hall(
        "job-meets",
        &[(
            "finish  = { meets = \"dining terrace\", fall = \"2 %\", toward = \"north\" }",
            "finish  = { meets = \"dining terrace\", fall = \"3 %\", toward = \"north\" }",
        )],
    );
    let said = desk.refuses(1, &["run", "."], &["its falls leave it 0.050 ft off `dining terrace`"]);
    has_all(&said, &[&line_of(&desk, "name    = \"upper landing\"")]);
    let desk = hall(
        "job-apart",
        &[(
            "finish  = { through = [\"Q1\", 102.95], falls = [\"4.5 % east\", \"2 % north\"] }",
            "finish  = { meets = \"dining terrace\", fall = \"2 %\", toward = \"north\" }",
        )],
    );
    desk.refuses(1, &["run", "."], &["no edge in common"]);
}

#[test]
fn no_toml_no_shots_and_a_folder_without_a_job() {
    let desk = Desk::new("job-none");
    desk.put("job.toml", "[job\nname = 3\n");
    desk.refuses(1, &["run", "job.toml"], &["job.toml, line 1"]);
    desk.put("job.toml", "");
    desk.refuses(1, &["check", "job.toml"], &["job.toml"]);
    fs::create_dir(desk.path("bare")).expect("a folder");
    desk.refuses(1, &["run", "bare"], &["bare", "no such file"]);
}
