//! Do the laws of `bodies.rs` hold on what was found before, on random bytes, and on files that went wrong as files do?
//!
//! The same bodies are targets for cargo-fuzz (`targets/`); what it or these tests find is kept in `corpus/`, a folder a target,
//! and tried in every ordinary run. `PROPTEST_CASES=200000 cargo test --release --test fuzz` tries more, each time others.

mod bodies;
mod messy;
mod mutate;

use bodies::{ALL, Body, NEXT_FILE};
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestRunner};
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

/// So many cases of the ordinary run with a fixed seed, or as many as the environment says with another each time.
fn asked(ordinary: u32) -> ProptestConfig {
    let config = ProptestConfig { failure_persistence: None, max_shrink_iters: 2000, ..ProptestConfig::default() };
    if std::env::var_os("PROPTEST_CASES").is_some() {
        return config;
    }
    ProptestConfig { cases: ordinary, rng_seed: RngSeed::Fixed(20_260_731), ..config }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Files kept for a target, by name.
fn corpus(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = root().join("tests/fuzz/corpus").join(target);
    let mut out: Vec<_> = fs::read_dir(folder)
        .expect("every target has a corpus")
        .map(|entry| {
            let path = entry.expect("can be listed").path();
            (path.display().to_string(), fs::read(&path).expect("can be read"))
        })
        .collect();
    out.sort();
    out
}

/// Good files to spoil: the demo's.
fn seeds(target: &str) -> Vec<Vec<u8>> {
    let demo = |name: &str| fs::read(root().join("demo-data").join(name)).expect("the demo is there");
    let bundle = |folder: &str, names: &[&str]| {
        let mut out = Vec::new();
        for (k, name) in names.iter().enumerate() {
            if k > 0 {
                out.extend(format!("{NEXT_FILE}{name}\n").bytes());
            }
            out.extend(demo(&format!("{folder}/{name}")));
        }
        out
    };
    match target {
        "tables" => [
            ("hall", ["points.csv", "breaklines.csv"].as_slice()),
            ("hall", &["places.csv"]),
            ("hall", &["level-notes.csv"]),
            ("metric", &["level-notes.csv"]),
            ("metric", &["points.csv"]),
            ("hall-two-tables", &["existing.csv"]),
            ("hall-two-tables", &["proposed.csv"]),
        ]
        .map(|(folder, names)| bundle(folder, names))
        .into_iter()
        .chain(corpus(target).into_iter().map(|c| c.1))
        .collect(),
        "job" => {
            let hall = [
                "job.toml",
                "points.csv",
                "level-notes.csv",
                "places.csv",
                "breaklines.csv",
                "stakes.csv",
                "cores.csv",
                "rain-daily.csv",
            ];
            vec![bundle("metric", &["job.toml", "level-notes.csv", "places.csv"]), bundle("hall", &hall)]
        }
        _ => corpus(target).into_iter().map(|c| c.1).collect(),
    }
}

/// Runs a body and says which bytes broke a law.
fn holds(body: Body, data: &[u8]) -> Result<(), TestCaseError> {
    catch_unwind(AssertUnwindSafe(|| body(data))).map_err(|why| {
        let text = why.downcast_ref::<String>().map(String::as_str).or_else(|| why.downcast_ref::<&str>().copied());
        TestCaseError::fail(format!("{}\nbytes: \"{}\"", text.unwrap_or("a panic"), data.escape_ascii()))
    })
}

fn tried(config: ProptestConfig, input: impl Strategy<Value = Vec<u8>>, body: Body) {
    let outcome = TestRunner::new(config).run(&input, |data| holds(body, &data));
    if let Err(why) = outcome {
        panic!("{why}");
    }
}

fn body(target: &str) -> Body {
    ALL.iter().find(|(name, _)| *name == target).expect("there is such a target").1
}

/// A good file, spoilt from once to eight times.
fn spoilt(seeds: Vec<Vec<u8>>) -> impl Strategy<Value = Vec<u8>> {
    (prop::sample::select(seeds), prop::collection::vec(any::<u64>(), 1..9)).prop_map(|(mut data, edits)| {
        for edit in edits {
            mutate::mutate(&mut data, edit);
        }
        data
    })
}

#[test]
fn what_was_found_before_holds() {
    for (target, body) in ALL {
        let kept = corpus(target);
        assert!(!kept.is_empty(), "{target}: nothing is kept");
        for (name, data) in kept {
            assert!(data.len() < 64_000, "{name} is too long to keep");
            holds(body, &data).unwrap_or_else(|why| panic!("{name}: {why}"));
        }
        for data in seeds(target) {
            holds(body, &data).unwrap_or_else(|why| panic!("{target}: {why}"));
        }
    }
}

#[test]
fn any_bytes_are_read() {
    for target in ["tables", "job"] {
        tried(asked(700), prop::collection::vec(any::<u8>(), 0..300), body(target));
        let text =
            prop::collection::vec(prop::sample::select(b"\n\r,;\t\" .-=[]{}'#0123456789eEnzABpoint".to_vec()), 0..200);
        tried(asked(700), text, body(target));
    }
}

#[test]
fn spoilt_tables_are_read() {
    tried(asked(1500), spoilt(seeds("tables")), body("tables"));
}

#[test]
fn spoilt_jobs_are_read() {
    tried(asked(150), spoilt(seeds("job")), body("job"));
}

#[test]
fn any_lines_are_parted() {
    tried(asked(1500), prop::collection::vec(any::<u8>(), 3..200), body("noding"));
}

#[test]
fn any_two_surfaces_are_overlaid() {
    tried(asked(3000), prop::collection::vec(any::<u8>(), 2..260), body("overlay"));
}

#[test]
fn a_broken_law_is_seen() {
    let broken: Body = |data| assert!(data.len() < 5, "too long");
    let why = holds(broken, b"longer").expect_err("is seen").to_string();
    assert!(why.contains("too long") && why.contains("\"longer\""), "{why}");
    // Edges that cross, that pass through a point, that are there twice.
    let cross = [(0, 0), (2, 2), (0, 2), (2, 0)];
    assert!(bodies::unclean(&cross, &[[0, 1], [2, 3]]).is_some_and(|f| f.contains("crosses")));
    assert!(bodies::unclean(&[(0, 0), (2, 2), (1, 1)], &[[0, 1]]).is_some_and(|f| f.contains("passes")));
    assert!(bodies::unclean(&cross, &[[0, 1], [0, 1]]).is_some_and(|f| f.contains("twice")));
    assert_eq!(bodies::unclean(&cross, &[[0, 2], [2, 1], [1, 3], [3, 0]]), None);
}
