//! How long does a person wait? From two tables' bytes to every number; to the plan's SVG; and the demo as a program,
//! started cold, that writes all its files.
//!
//! Beside the job: reading both tables by the csv crate and triangulating both by spade, which no such job can do without.

mod common;

use common::{against, assert_near, median, shown, side, site, sizes, table, timed};
use csv::{ReaderBuilder, StringRecord};
use spade::{DelaunayTriangulation, Point2, Triangulation};
use spadework::design::ProposedIs;
use spadework::job::{Job, Outcome, Parts, evaluate};
use spadework::par::silent;
use spadework::read::{Complaints, Source, read_shots};
use spadework::sheet::plan::{PlanOptions, plan};
use spadework::sheet::{Paper, PaperSize};
use spadework::shots::Shots;
use spadework::units::{Length, LengthUnit, Slope};
use spadework::write::{png, svg};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

/// Most stakes on a sheet that is timed.
const SHEET: usize = 500;

fn shots(bytes: &[u8], name: &str) -> Shots {
    let mut complaints = Complaints::default();
    let source = Source::read(name, bytes.to_vec()).expect("is text");
    read_shots(&source, name, spadework::units::LengthUnit::Foot, &mut complaints).expect("is sound").shots
}

fn numbers(tables: &[String; 2], plan: bool) -> Outcome {
    let job = Job {
        name: String::new(),
        unit: LengthUnit::Foot,
        existing: shots(tables[0].as_bytes(), "existing"),
        existing_lines: Vec::new(),
        proposed_lines: Vec::new(),
        proposed: shots(tables[1].as_bytes(), "proposed"),
        proposed_is: ProposedIs::Finish,
        build_up: Length::inches(9.375, LengthUnit::Foot),
        shot_error: Length::in_job_units(0.02),
        limit: None,
        outlets: Vec::new(),
        min_fall: Slope::percent(1.0),
        min_fall_said: false,
        set_up: None,
        interval: None,
        defaults: Vec::new(),
        cautions: Vec::new(),
    };
    evaluate(&job, Parts { plan, ..Parts::ALL }, &silent).expect("a site can be worked out")
}

fn plain(tables: &[String; 2]) -> usize {
    let mut triangles = 0;
    for text in tables {
        let mut reader = ReaderBuilder::new().from_reader(text.as_bytes());
        let mut record = StringRecord::new();
        let mut places = Vec::new();
        while reader.read_record(&mut record).expect("is a table") {
            let [y, x, _z] = [1, 2, 3].map(|k| record[k].parse::<f64>().expect("is a number"));
            places.push(Point2::new(x - 2_500_000.0, y - 1_750_000.0));
        }
        let net = DelaunayTriangulation::<Point2<f64>>::bulk_load(places).expect("a site can be built");
        triangles += net.num_inner_faces();
    }
    triangles
}

/// Several cold runs of the program on the demo.
fn demo() -> Duration {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join("bench-demo");
    let mut run = || {
        let done = Command::new(env!("CARGO_BIN_EXE_spadework"))
            .current_dir(here.join("demo-data/hall-two-tables"))
            .args(["run", "existing.csv", "proposed.csv", "--build-up", "9 3/8 in", "--outlet", "OUT1", "--out"])
            .arg(&out)
            .output()
            .expect("the program starts");
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    };
    median((0..15).map(|_| timed(&mut run)).collect())
}

fn main() {
    for n in sizes() {
        let tables = [1, 2].map(|seed| table(&site(n, seed)));
        // A sheet is read by a person: it is drawn only for as many stakes as one can hold.
        let drawn = n <= SHEET;
        let outcome = numbers(&tables, drawn);
        let total = outcome.volume.as_ref().expect("was asked for").total.clone();
        assert_near(total.area, (side(n) as f64 / 1000.0).powi(2), 1e-12);
        assert!(outcome.stakes.as_ref().is_some_and(|s| s.len() > n));
        against("numbers", n, || numbers(&tables, false), "csv and spade, both tables", || plain(&tables));
        if !drawn {
            continue;
        }
        let sheet = || {
            let paper = Paper::landscape(PaperSize::Tabloid);
            svg::text(&plan(&outcome, &PlanOptions { paper, ..PlanOptions::default() }))
                .expect("the plan can be written")
        };
        let text = sheet();
        let picture = || png::bytes(&text, 150.0).expect("the plan can be drawn");
        assert!(text.starts_with("<") && picture().starts_with(b"\x89PNG"));
        against("plan SVG", n, sheet, "the same as PNG, 150 dpi", picture);
    }
    println!("demo, cold program, all files {:>10}", shown(demo()));
}
