//! The sheets as they are written, read back: is the paper true, is the ground to scale, does any label stand over another?
//!
//! SVG is read by an XML parser, PDF by a PDF parser: neither knows how they were drawn. The ground is known beforehand: corners of
//! areas and stakes of the demos, surfaces in closed form of the made-up ones.

#[path = "plan_set/pdf.rs"]
mod pdf;
#[path = "plan_set/svg.rs"]
mod svg;

use spadework::sheet::{Paper, PaperPoint, PaperSize, Rect};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const HOME: &str = env!("CARGO_MANIFEST_DIR");

/// Runs `plan` on tables or a job; what it wrote.
struct Written(PathBuf);

impl Written {
    fn of(name: &str, args: &[&str]) -> Self {
        let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("plan-set").join(name);
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(folder.parent().expect("has one")).expect("room to work");
        let out = folder.to_string_lossy().into_owned();
        let done = Command::new(env!("CARGO_BIN_EXE_spadework"))
            .current_dir(HOME)
            .arg("plan")
            .args(args)
            .args(["--out", &out])
            .output()
            .expect("the program starts");
        let said = String::from_utf8_lossy(&done.stderr);
        assert!(matches!(done.status.code(), Some(0 | 3)), "{name}: {said}");
        Self(folder)
    }

    fn bytes(&self, file: &str) -> Vec<u8> {
        fs::read(self.0.join(file)).unwrap_or_else(|e| panic!("{file}: {e}"))
    }

    fn svg(&self, file: &str) -> svg::Sheet {
        svg::read(&String::from_utf8(self.bytes(file)).expect("is text"))
    }

    /// All sheets in SVG.
    fn sheets(&self) -> Vec<(String, svg::Sheet)> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .expect("is there")
            .map(|entry| entry.expect("a file").file_name().to_string_lossy().into_owned())
            .filter(|name| name.ends_with(".svg"))
            .collect();
        names.sort();
        names.into_iter().map(|name| (name.clone(), self.svg(&name))).collect()
    }
}

/// A table of shots on a lattice where `keep` says so, heights from `height`.
fn table(
    file: &str,
    step: f64,
    (rows, columns): (usize, usize),
    keep: impl Fn(f64, f64) -> bool,
    height: impl Fn(f64, f64) -> f64,
) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("plan-set-tables");
    fs::create_dir_all(&folder).expect("room to work");
    let mut text = "point,northing,easting,elevation\n".to_owned();
    for r in 0..rows {
        for c in 0..columns {
            let (n, e) = (r as f64 * step, c as f64 * step);
            if keep(n, e) {
                let letter = "ABCDEFGHIJKLMNOPQRSTUVWXYZ".as_bytes()[r % 26];
                let name = format!("{}{}", char::from(letter), r / 26 * 1000 + c + 1);
                writeln!(text, "{name},{},{},{:.4}", 500.0 + n, 1000.0 + e, height(n, e)).expect("text");
            }
        }
    }
    let path = folder.join(file);
    fs::write(&path, text).expect("a table");
    path.to_string_lossy().into_owned()
}

fn anywhere(_: f64, _: f64) -> bool {
    true
}

/// Rolling ground, and a plane half a foot to a foot and a half below it.
fn ground(n: f64, e: f64) -> f64 {
    103.0 - 0.01 * n + 0.4 * (e / 17.0).sin() * (n / 23.0).cos()
}

fn plane(n: f64, e: f64) -> f64 {
    102.0 - 0.012 * n - 0.008 * e
}

/// The six sites, in all.
fn six() -> Vec<(&'static str, Written)> {
    let pair = |name: &str, step: f64, size, keep: fn(f64, f64) -> bool| {
        let before = table(&format!("{name}-existing.csv"), step, size, keep, ground);
        let after = table(&format!("{name}-proposed.csv"), step, size, keep, plane);
        Written::of(name, &[&before, &after, "--build-up", "9 3/8 in"])
    };
    vec![
        ("hall", Written::of("hall", &["demo-data/hall"])),
        ("metric", Written::of("metric", &["demo-data/metric"])),
        ("side yard", pair("side-yard", 5.0, (3, 41), anywhere)),
        ("lot", pair("lot", 10.0, (20, 20), anywhere)),
        ("L", pair("ell", 8.0, (9, 9), |n, e| n <= 24.0 || e <= 24.0)),
    ]
}

/// No label over another, none off the paper or smaller than 2.5 mm.
fn all_apart(site: &str, file: &str, sheet: &svg::Sheet) {
    let paper = Rect::new(0.0, 0.0, sheet.size.0, sheet.size.1).inset(0.2);
    assert!(sheet.words.len() > 10, "{site}: {file} says nothing");
    for (k, word) in sheet.words.iter().enumerate() {
        assert!(word.em * 25.4 >= 2.5 - 1e-9, "{site}, {file}: {word:?} is smaller than 2.5 mm");
        let inside = word.ink.corners().into_iter().all(|c| paper.holds(c));
        assert!(inside, "{site}, {file}: {word:?} leaves the paper");
        for other in &sheet.words[..k] {
            let reach = word.ink.half_w + word.ink.half_h + other.ink.half_w + other.ink.half_h;
            if word.ink.centre.distance(other.ink.centre) < reach {
                let apart = !word.ink.grown(-0.002).overlaps(&other.ink.grown(-0.002));
                assert!(apart, "{site}, {file}: \"{}\" stands over \"{}\"", word.text, other.text);
            }
        }
    }
}

#[test]
fn on_five_sites_no_label_stands_over_another() {
    for (site, written) in six() {
        let sheets = written.sheets();
        assert!(sheets.iter().any(|(file, _)| file == "plan.svg"), "{site}");
        for (file, sheet) in &sheets {
            all_apart(site, file, sheet);
        }
        let (pages, _) = pdf::read(&written.bytes("plan.pdf"));
        assert_eq!(pages.len(), sheets.len(), "{site}: as many pages as pictures");
    }
}

#[test]
fn a_million_shots_under_sixty_stakes_make_a_sheet_of_less_than_ten_megabytes() {
    let before = table("drone-existing.csv", 0.25, (1000, 1000), anywhere, ground);
    let after = table("drone-proposed.csv", 30.0, (6, 10), |_, e| e < 241.0, plane);
    let written = Written::of("drone", &[&before, &after, "--as", "pdf,svg"]);
    for (file, sheet) in written.sheets() {
        all_apart("drone", &file, &sheet);
        let size = written.bytes(&file).len();
        assert!(size < 10_000_000, "{file} has {size} bytes");
    }
}

#[test]
fn every_paper_has_its_size_in_every_form() {
    let papers = [
        ("letter", PaperSize::Letter, (612.0, 792.0)),
        ("tabloid", PaperSize::Tabloid, (792.0, 1224.0)),
        ("a4", PaperSize::A4, (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0)),
        ("a3", PaperSize::A3, (297.0 / 25.4 * 72.0, 420.0 / 25.4 * 72.0)),
    ];
    for (name, size, (short, long)) in papers {
        let written = Written::of(&format!("paper-{name}"), &["demo-data/hall", "--paper", name, "--as", "pdf,svg"]);
        let (pages, _) = pdf::read(&written.bytes("plan.pdf"));
        for page in &pages {
            let (a, b) = page.points;
            // The packer counts in f32: a thousandth of a point is a third of a micrometre.
            assert!((a.min(b) - short).abs() < 1e-3 && (a.max(b) - long).abs() < 1e-3, "{name}: {a} by {b} points");
        }
        for (file, sheet) in written.sheets() {
            let (w, h) = Paper { size, portrait: sheet.size.0 < sheet.size.1 }.inches();
            assert!((sheet.size.0 - w).abs() < 1e-4 && (sheet.size.1 - h).abs() < 1e-4, "{name}, {file}");
        }
    }
}

fn span(line: &[PaperPoint]) -> (f64, f64) {
    let of = |f: fn(&PaperPoint) -> f64| {
        let values = || line.iter().map(f);
        values().fold(f64::MIN, f64::max) - values().fold(f64::MAX, f64::min)
    };
    (of(|p| p.x), of(|p| p.y))
}

/// The hall's lawn is 54 ft from west to east: 5.4 in at 1 in = 10 ft.
#[test]
fn fifty_four_feet_of_lawn_and_the_bar_measure_what_they_should_to_a_tenth_of_a_millimetre() {
    for (said, per_inch) in [("1 in = 10 ft", 10.0), ("1:96", 8.0), ("1/5 in = 1 ft", 5.0)] {
        let name = format!("scale-{per_inch}");
        let args = ["demo-data/hall", "--scale", said, "--pages", "plan", "--as", "pdf,svg"];
        let written = Written::of(&name, &args);
        let (pages, _) = pdf::read(&written.bytes("plan.pdf"));
        let sheets = written.sheets();
        let (file, sheet) = sheets
            .iter()
            .find(|(_, sheet)| sheet.words.iter().any(|w| w.role == "scale" && w.text == said))
            .unwrap_or_else(|| panic!("{said} stands on no sheet"));
        // `plan` is the first page of the PDF, `plan-2` the second.
        let number = file.trim_start_matches("plan-").trim_end_matches(".svg").parse().unwrap_or(1_usize);
        let lawn = sheet.lines["areas"].iter().find(|line| (span(line).0 - 54.0 / per_inch).abs() < 0.1);
        let lawn = lawn.unwrap_or_else(|| panic!("{said}: no area is {} in wide", 54.0 / per_inch));
        let off = (span(lawn).0 - 54.0 / per_inch).abs() * 25.4;
        assert!(off < 0.1, "{said}, {file}: the lawn is off by {off} mm");
        // The bar: its last number at its end, and what it says of itself.
        let numbers: Vec<f64> =
            sheet.words.iter().filter(|w| w.role == "bar").filter_map(|w| w.text.parse().ok()).collect();
        let ends = numbers.iter().copied().fold(0.0, f64::max);
        let blocks = sheet.lines["scale-strip"].iter().filter(|line| (span(line).1 - 0.075).abs() < 1e-3);
        let bar: Vec<PaperPoint> = blocks.flatten().copied().collect();
        let off = (span(&bar).0 - ends / per_inch).abs() * 25.4;
        assert!(ends > 0.0 && off < 0.1, "{said}: the bar of {ends} ft is off by {off} mm");
        let words = format!("this bar measures {:.2} in on a true print", ends / per_inch);
        assert!(sheet.words.iter().any(|w| w.text == words), "{words}");
        // The PDF has the same lines at the same places.
        let same = |wanted: &[PaperPoint]| {
            pages[number - 1].lines.iter().any(|line| {
                line.len() >= wanted.len() && line.iter().zip(wanted).all(|(p, q)| p.distance(*q) * 25.4 < 0.005)
            })
        };
        for group in ["areas", "scale-strip", "dig-edge"] {
            for line in sheet.lines[group].iter().filter(|line| line.len() > 1) {
                assert!(same(line), "{said}: a line of {group} is not in the PDF where it is in the SVG: {line:?}");
            }
        }
    }
}

/// On a made-up plane the height at any place is known: each contour is on its level, in both files.
#[test]
fn contours_lie_on_their_levels_to_a_millionth() {
    let before = table("flat-existing.csv", 10.0, (6, 6), anywhere, |n, e| 104.0 + 0.001 * n * e / 50.0);
    let after = table("flat-proposed.csv", 10.0, (6, 6), anywhere, plane);
    let args =
        [before.as_str(), &after, "--interval", "0.1", "--scale", "1 in = 8 ft", "--pages", "plan", "--as", "pdf,svg"];
    let written = Written::of("contours", &args);
    let sheet = written.svg("plan.svg");
    let (pages, _) = pdf::read(&written.bytes("plan.pdf"));
    // The edge of the dig is the square from (500, 1000) to (550, 1050): it places the ground on the paper.
    let edge = &sheet.lines["dig-edge"][0];
    let west = edge.iter().map(|p| p.x).fold(f64::MAX, f64::min);
    let south = edge.iter().map(|p| p.y).fold(f64::MIN, f64::max);
    let off = |p: &PaperPoint| {
        let z = plane((south - p.y) * 8.0, (p.x - west) * 8.0);
        (z * 10.0 - (z * 10.0).round()).abs() / 10.0
    };
    let lines = &sheet.lines["subgrade-contours"];
    assert!(lines.len() > 5, "{}", lines.len());
    for p in lines.iter().flatten() {
        // The edge itself is written to 1/10,000 in, which is 1e-5 ft of height at this fall: hence from its own grid.
        assert!(off(p) < 1e-6 + 0.5e-4 * 8.0 * 0.02, "{p:?} is {} off its level", off(p));
    }
    // Against each other they are exact: along a contour of a plane nothing rises.
    for line in lines.iter().filter(|line| line.len() > 1) {
        let rise = |p: &PaperPoint| 0.012 * p.y * 8.0 - 0.008 * p.x * 8.0;
        for p in line {
            assert!((rise(p) - rise(&line[0])).abs() < 1e-6, "{line:?} rises");
        }
        let drawn = pages[0]
            .lines
            .iter()
            .any(|l| l.len() == line.len() && l.iter().zip(line).all(|(p, q)| p.distance(*q) < 2e-6));
        assert!(drawn, "{line:?} is not in the PDF");
    }
    let levels: Vec<f64> = lines.iter().map(|l| plane((south - l[0].y) * 8.0, (l[0].x - west) * 8.0)).collect();
    assert!(levels.windows(2).all(|w| (w[1] - w[0]).abs() > 0.05 || (w[1] - w[0]).abs() < 1e-4), "{levels:?}");
}

#[test]
fn words_in_the_pdf_are_at_least_two_and_a_half_millimetres_and_both_faces_are_in_it() {
    let written = Written::of("words", &["demo-data/hall", "--as", "pdf"]);
    let (pages, fonts) = pdf::read(&written.bytes("plan.pdf"));
    for page in &pages {
        assert!(page.sizes.first().is_some_and(|&size| size / 72.0 * 25.4 >= 2.5 - 1e-3), "{:?}", page.sizes);
    }
    assert_eq!(fonts.len(), 2, "one family, regular and bold: {fonts:?}");
    assert!(fonts.iter().all(|(name, is_in)| *is_in && name.contains("DejaVuSansCondensed")), "{fonts:?}");
}

#[test]
fn two_runs_write_the_same_bytes() {
    let once = Written::of("same", &["demo-data/metric"]);
    let all = |written: &Written| {
        let mut files: Vec<(PathBuf, Vec<u8>)> = fs::read_dir(&written.0)
            .expect("is there")
            .map(|entry| entry.expect("a file").path())
            .map(|path| (path.file_name().expect("a name").into(), fs::read(&path).expect("a file")))
            .collect();
        files.sort();
        files
    };
    let first = all(&once);
    let again = Written::of("same", &["demo-data/metric"]);
    assert!(first.len() > 4 && first == all(&again));
}

#[test]
fn a_scale_that_takes_several_sheets_shows_every_stake_once_and_matches_its_neighbours() {
    let written = Written::of("parts", &["demo-data/hall", "--scale", "1 in = 4 ft", "--pages", "plan", "--as", "svg"]);
    let sheets = written.sheets();
    assert!(sheets.len() > 2);
    let parts = || sheets.iter().filter(|(file, _)| file != "plan.svg");
    let mut names: Vec<&str> = parts()
        .flat_map(|(_, sheet)| sheet.words.iter().filter(|w| w.role == "stake" || w.role == "ground"))
        .map(|w| w.text.split(' ').next().unwrap_or_default())
        .collect();
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count, "a stake stands on two parts");
    for grid in ["A2", "C5", "F7", "H1", "K4", "T.1"] {
        assert!(names.contains(&grid), "{grid} stands on no part");
    }
    for (file, sheet) in parts() {
        assert!(sheet.words.iter().any(|w| w.role == "match"), "{file} says no neighbour");
        all_apart("parts", file, sheet);
    }
    let done = Command::new(env!("CARGO_BIN_EXE_spadework"))
        .current_dir(HOME)
        .args(["plan", "demo-data/hall", "--scale", "1 in = 1/2 ft", "--out", "never"])
        .output()
        .expect("the program starts");
    let said = String::from_utf8_lossy(&done.stderr);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("sheets, more than 24"), "{said}");
    assert!(!Path::new(HOME).join("never").exists());
}
