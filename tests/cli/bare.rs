//! Commands on bare surveys.

use super::{Desk, close, number, table};
use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::process::Stdio;

#[test]
fn compare_tells_cut_fill_and_net() {
    let desk = Desk::new("compare");
    let json = desk.run(&["compare", "existing.csv", "proposed.csv", "--json"]).ends(0).json();
    let total = &json["volume"]["total"];
    close(number(&total["net"]), number(&total["cut"]) - number(&total["fill"]), 1e-12);
    close(number(&total["area"]), 400.0, 1e-9);
    let back = desk.run(&["compare", "proposed.csv", "existing.csv", "--json"]).ends(0).json();
    for (a, b) in [("cut", "fill"), ("fill", "cut"), ("cut_area", "fill_area")] {
        assert_eq!(total[a], back["volume"]["total"][b], "exchanged");
    }
    desk.run(&["compare", "existing.csv", "proposed.csv"]).ends(0).says(&["net, cut less fill", "yd3"]);
}

fn length(points: &[(f64, f64)]) -> f64 {
    points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum()
}

#[test]
fn contours_in_both_files_are_as_long_as_the_summary_says() {
    let desk = Desk::new("contours");
    let args = ["contours", "existing.csv", "--interval", "0.25", "--csv", "c.csv", "--geojson", "c.geojson", "--json"];
    let json = desk.run(&args).ends(0).json();
    let geojson: Value = serde_json::from_str(&desk.text("c.geojson")).expect("JSON");
    assert!(geojson["note"].as_str().is_some_and(|n| n.contains("longitude and latitude")));
    let rows = table(&desk.text("c.csv"));
    let levels = json["contours"].as_array().expect("levels");
    assert!(levels.len() >= 5);
    for level in levels {
        let z = number(&level["level"]);
        let mut from_csv = 0.0;
        let mut lines: Vec<&str> =
            rows.iter().filter(|r| r["level"].parse() == Ok(z)).map(|r| r["line"].as_str()).collect();
        lines.dedup();
        for line in &lines {
            let points = rows.iter().filter(|r| r["line"] == *line);
            let parse = |r: &std::collections::BTreeMap<String, String>, k: &str| r[k].parse().expect("a number");
            from_csv += length(&points.map(|r| (parse(r, "northing"), parse(r, "easting"))).collect::<Vec<_>>());
        }
        let features = geojson["features"].as_array().expect("features").iter();
        let from_geojson: f64 = features
            .filter(|f| f["properties"]["level"] == level["level"])
            .map(|f| {
                let places = f["geometry"]["coordinates"].as_array().expect("places").iter();
                // Easting first.
                length(&places.map(|p| (number(&p[1]), number(&p[0]))).collect::<Vec<_>>())
            })
            .sum();
        close(from_csv, number(&level["length"]), 1e-4);
        close(from_geojson, number(&level["length"]), 1e-4);
        assert_eq!(lines.len() as u64, level["lines"].as_u64().expect("a count"));
    }
}

#[test]
fn levels_by_hand_and_lines_on_standard_output() {
    let desk = Desk::new("levels");
    let ran = desk.run(&["contours", "existing.csv", "--levels", "99.5,100.2", "--csv", "-"]).ends(0);
    ran.says(&["line,level,closed,northing,easting", ",99.5,", ",100.2,"]);
    let nothing = desk.run(&["contours", "existing.csv", "--levels", "500"]).ends(0);
    nothing.says(&["no line"]);
}

#[test]
fn a_closed_pipe_is_quiet() {
    let desk = Desk::new("pipe");
    let mut child = desk
        .program(&["contours", "existing.csv", "--interval", "0.0002", "--csv", "-"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("starts");
    let mut first = String::new();
    BufReader::new(child.stdout.take().expect("a pipe")).read_line(&mut first).expect("a line");
    let rest = child.wait_with_output().expect("ends");
    assert!(first.starts_with("line,level"));
    assert_eq!((rest.status.code(), rest.stderr.as_slice()), (Some(0), &b""[..]));
}
