//! Is the exact overlay what general-purpose libraries make of the same surveys?
//!
//! Surveys and values are committed in `tests/reference/` (see its README): scipy, shapely and matplotlib in doubles,
//! and the same in fractions without rounding; with breaklines the net is made by triangle, a constrained triangulation. Everything
//! must agree to 1e-9 of its value. The last test changes every value by three times that and asks that every single check complains.

mod common;

use serde_json::Value;
use spadework::drainage::{WaysOut, ponds};
use spadework::par::silent;
use spadework::read::{Complaints, Source, read_lines};
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Breakline, Cells, Region, Surface};
use spadework::units::LengthUnit;
use spadework::volume::{Overlay, overlay};
use std::fs::read_to_string;

const TOLERANCE: f64 = 1e-9;

/// Compares, counts, and keeps what does not agree.
struct Ledger {
    /// What each value is multiplied by before it is compared: 1, or a little off to see the checks fail.
    disturbed: f64,
    checks: usize,
    complaints: Vec<String>,
    worst: f64,
}

impl Ledger {
    fn new(disturbed: f64) -> Self {
        Self { disturbed, checks: 0, complaints: Vec::new(), worst: 0.0 }
    }

    fn number(&mut self, what: &str, got: f64, kept: &Value) {
        let want = kept.as_f64().unwrap_or(f64::NAN) * self.disturbed;
        let apart = ((got - want) / want).abs();
        self.checks += 1;
        self.worst = self.worst.max(apart);
        if apart.is_nan() || apart > TOLERANCE {
            self.complaints.push(format!("{what}: {got} is not {want}, {apart:.1e} apart"));
        }
    }

    fn count(&mut self, what: &str, got: usize, kept: &Value) {
        let off = usize::from(self.disturbed.to_bits() != 1.0_f64.to_bits());
        let want = kept.as_u64().and_then(|v| usize::try_from(v).ok()).map(|v| v + off);
        self.checks += 1;
        if Some(got) != want {
            self.complaints.push(format!("{what}: {got} is not {want:?}"));
        }
    }
}

fn file(name: &str) -> Option<String> {
    read_to_string(format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"))).ok()
}

/// The last three fields of each row; the first says which shot or ring.
fn rows(text: &str) -> impl Iterator<Item = (&str, Vec<f64>)> {
    text.lines().skip(1).filter_map(|line| {
        let (first, rest) = line.split_once(',')?;
        Some((first, rest.split(',').map(|field| field.parse().unwrap_or(f64::NAN)).collect()))
    })
}

fn survey(table: &str) -> Shots {
    let text = file(table).expect("the survey is committed");
    let mut shots = Shots::default();
    for (point, v) in rows(&text) {
        shots.push(point, to_micro(v[0]), to_micro(v[1]), v[2], Kind::Ground);
    }
    shots
}

fn limit(name: &str, frame: Frame) -> Option<Region> {
    let text = file(&format!("cases/{name}.limit.csv"))?;
    let mut rings: Vec<Vec<(i64, i64)>> = Vec::new();
    let mut last = "";
    for (ring, v) in rows(&text) {
        if ring != last {
            rings.push(Vec::new());
        }
        last = ring;
        rings.last_mut().expect("just begun").push((to_micro(v[0]), to_micro(v[1])));
    }
    Some(Region::new(&rings, frame).expect("the rings bound a region"))
}

fn compare_volumes(ledger: &mut Ledger, what: &str, got: &Overlay, kept: &Value) {
    ledger.number(&format!("{what} cut"), got.cut, &kept["cut"]);
    ledger.number(&format!("{what} fill"), got.fill, &kept["fill"]);
    ledger.number(&format!("{what} area"), got.area, &kept["area"]);
    ledger.number(&format!("{what} cut area"), got.cut_area, &kept["cut_area"]);
    ledger.number(&format!("{what} fill area"), got.fill_area, &kept["fill_area"]);
}

fn compare_contours(ledger: &mut Ledger, name: &str, surface: &Surface, kept: &Value) {
    for kept in kept.as_array().expect("a list of levels") {
        let level = kept["level"].as_f64().expect("a level");
        let lines = surface.contours(&[level]);
        let frame = surface.net().frame();
        let length: f64 = lines
            .iter()
            .flat_map(|line| line.points.windows(2))
            .map(|w| {
                let (east, north) = frame.direction([w[1][0] - w[0][0], w[1][1] - w[0][1]]);
                east.hypot(north) / 1e6
            })
            .sum();
        let what = format!("{name} contour {level}");
        ledger.number(&format!("{what} length"), length, &kept["length"]);
        ledger.count(&format!("{what} lines"), lines.len(), &kept["lines"]);
        ledger.count(&format!("{what} closed"), lines.iter().filter(|l| l.closed).count(), &kept["closed"]);
    }
}

fn compare(ledger: &mut Ledger, case: &Value) {
    let name = case["name"].as_str().expect("a name");
    let [before, after] = ["before", "after"].map(|part| survey(&format!("cases/{name}.{part}.csv")));
    let frame = Frame::of(&[&before, &after]);
    let build = |shots: &Shots| Surface::build(shots, frame, Cells::Nodes).expect("a surface");
    let (before, after) = (build(&before), build(&after));
    ledger.number(&format!("{name} area before"), before.net().area(), &case["before_area"]);
    ledger.number(&format!("{name} area after"), after.net().area(), &case["after_area"]);

    let whole = overlay(&before, &after, None, &silent);
    compare_volumes(ledger, name, &whole, &case["whole"]);
    ledger.number(&format!("{name} deepest cut"), whole.max_cut, &case["whole"]["max_cut"]);
    ledger.number(&format!("{name} highest fill"), whole.max_fill, &case["whole"]["max_fill"]);
    if let Some(region) = limit(name, frame) {
        compare_volumes(
            ledger,
            &format!("{name} inside the limit"),
            &overlay(&before, &after, Some(&region), &silent),
            &case["limited"],
        );
    } else {
        assert!(case.get("limited").is_none(), "{name}: a limited volume without a limit");
    }

    for place in case["heights"].as_array().expect("a list of places") {
        let at = |key: &str| to_micro(place[key].as_f64().expect("a coordinate"));
        let (n, e) = (at("northing"), at("easting"));
        let got = before.height_at(n, e).unwrap_or(f64::NAN);
        ledger.number(&format!("{name} height at {n} {e}"), got, &place["height"]);
    }
    compare_contours(ledger, name, &before, &case["contours"]);
}

fn breaklines(table: &str, shots: &Shots) -> Vec<Breakline> {
    let Some(text) = file(table) else { return Vec::new() };
    let mut complaints = Complaints::default();
    let source = Source::read(table, text.into_bytes()).expect("text");
    let lines = read_lines(&source, "survey", Some(shots), &mut complaints);
    lines.unwrap_or_else(|| panic!("{}", complaints.render(&[&source]))).lines
}

fn compare_along_lines(ledger: &mut Ledger, case: &Value) {
    let name = case["name"].as_str().expect("a name");
    let [before, after] = ["before", "after"].map(|part| {
        let shots = survey(&format!("lines/{name}.{part}.csv"));
        let lines = breaklines(&format!("lines/{name}.{part}-lines.csv"), &shots);
        (shots, lines)
    });
    let frame = Frame::of(&[&before.0, &after.0]);
    let built = [("before", before), ("after", after)].map(|(part, (shots, lines))| {
        let made = Surface::build_along(&shots, &lines, LengthUnit::Metre, frame, Cells::Nodes);
        let (surface, asked) = made.unwrap_or_else(|why| panic!("{name} {part}: {why}"));
        assert!(asked.bent.is_empty(), "{name} {part}: {:?}", asked.bent);
        let (net, kept) = (surface.net(), &case[part]);
        ledger.number(&format!("{name} area {part}"), net.area(), &kept["area"]);
        ledger.count(&format!("{name} triangles {part}"), net.triangles(), &kept["triangles"]);
        ledger.count(&format!("{name} edges {part}"), net.kept().len(), &kept["edges"]);
        let all: u64 = ["shots", "places", "nodes"].iter().filter_map(|key| kept[key].as_u64()).sum();
        ledger.count(&format!("{name} vertices {part}"), net.vertices(), &all.into());
        surface
    });
    let whole = overlay(&built[0], &built[1], None, &silent);
    compare_volumes(ledger, name, &whole, &case["whole"]);
    ledger.number(&format!("{name} deepest cut"), whole.max_cut, &case["whole"]["max_cut"]);
    ledger.number(&format!("{name} highest fill"), whole.max_fill, &case["whole"]["max_fill"]);
}

fn compare_all(disturbed: f64) -> Ledger {
    let mut ledger = Ledger::new(disturbed);
    for (kept, compare) in
        [("values.json", compare as fn(&mut Ledger, &Value)), ("line-values.json", compare_along_lines)]
    {
        let values: Value = serde_json::from_str(&file(kept).expect("values are committed")).expect("JSON");
        for case in values["cases"].as_array().expect("a list of cases") {
            compare(&mut ledger, case);
        }
    }
    ledger
}

#[test]
fn everything_agrees_with_the_libraries() {
    let ledger = compare_all(1.0);
    println!("{} checks, worst {:.1e} apart", ledger.checks, ledger.worst);
    assert!(
        ledger.complaints.is_empty(),
        "{} of {}:\n{}",
        ledger.complaints.len(),
        ledger.checks,
        ledger.complaints.join("\n")
    );
    // Twelve pairs of surveys with 44 values each, four limits with five; eleven pairs along lines with 15.
    assert_eq!(ledger.checks, 12 * 44 + 4 * 5 + 11 * 15, "a survey or a value is missing");
}

#[test]
fn every_check_can_fail() {
    let ledger = compare_all(1.0 + 3.0 * TOLERANCE);
    assert_eq!(ledger.complaints.len(), ledger.checks);
}

/// Standing water against a raster of a million cells (scikit-image; no raster is exact).
#[test]
fn water_that_stands_is_that_of_a_raster_filled_by_a_library() {
    let kept: Value = serde_json::from_str(&file("ponds.json").expect("is committed")).expect("is JSON");
    for case in kept.as_array().expect("a list") {
        let mut shots = Shots::default();
        for (k, shot) in case["shots"].as_array().expect("shots").iter().enumerate() {
            let [n, e, z] = [0, 1, 2].map(|i| shot[i].as_f64().expect("a number"));
            shots.push(&k.to_string(), to_micro(n), to_micro(e), z, Kind::Ground);
        }
        let surface = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("a surface");
        let found = ponds(&surface, &WaysOut::default()).expect("the edge is open");
        let exact: f64 = found.iter().filter(|p| p.inside.is_none()).map(|p| p.shape.volume).sum();
        let raster = case["volume"].as_f64().expect("a volume");
        assert!(raster > 100.0 && (exact / raster - 1.0).abs() < 0.02, "{exact} against {raster}");
    }
}
