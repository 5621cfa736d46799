//! Are sections cut where they should be, and do the pages of both sample jobs hold on every paper?
//!
//! Heights on a section are held against the surface built anew from the shots, and against the plane through three stakes of an area.

#[path = "common/site.rs"]
mod site;

use spadework::job::{Outcome, Parts, SectionOut, SiteJob, evaluate_site};
use spadework::par::silent;
use spadework::read::job::referenced;
use spadework::read::{Complaints, Source};
use spadework::sheet::labels::Box2;
use spadework::sheet::{
    Drawing, Item, Paper, PaperPoint, PaperSize, Text, account, font, page, plan::finish, schedule, sections,
};
use spadework::shots::to_micro;
use spadework::surface::{Cells, Surface};
use spadework::{Frame, LengthUnit};
use std::collections::HashMap;

const AREA: &str = "[[area]]\nname = \"pad\"\ncode = \"P\"\nsection = \"base\"\nuse = \"patio\"\n\
    outline = [[50.0, 50.0], [50.0, 100.0], [80.0, 100.0], [80.0, 50.0]]\n\
    finish = { through = [50.0, 50.0, 100.0], fall = \"2 %\", toward = \"north\" }\nover_dig = \"6 in\"\n";

fn demo(name: &str) -> (SiteJob, Outcome) {
    let folder = format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"));
    let source = |file: &str| {
        let bytes = std::fs::read(format!("{folder}/{file}")).expect("a file of the demo");
        Source::read(file, bytes).expect("a text")
    };
    let mut complaints = Complaints::default();
    let text = referenced(&source("job.toml"), &mut complaints).expect("a job file");
    let files: HashMap<String, Source> = text.files().map(|f| (f.to_owned(), source(f))).collect();
    let (job, _) = text.read(&files, &mut complaints).expect("a sound job");
    let outcome = evaluate_site(&job, Parts::ALL, &silent).expect("an outcome");
    (job, outcome)
}

fn close(got: f64, want: f64, what: &str) {
    assert!((got - want).abs() < 1e-9, "{what}: {got}, not {want}");
}

fn cuts(outcome: &Outcome) -> &[SectionOut] {
    &outcome.plan.as_ref().expect("a plan").cuts
}

#[test]
fn every_point_lies_on_the_surface_of_the_shots() {
    for name in ["hall", "metric"] {
        let (job, outcome) = demo(name);
        let frame = Frame::of(&[&job.existing]);
        let built = Surface::build_along(&job.existing, &job.lines, job.unit, frame, Cells::Nodes);
        let surface = built.expect("a surface").0;
        let micro = |(n, e): (f64, f64)| frame.local(to_micro(n), to_micro(e));
        let mut held = 0;
        for cut in cuts(&outcome) {
            let (a, b) = (micro(cut.from), micro(cut.to));
            let at = |d: f64| [0, 1].map(|k| a[k] + d / cut.length * (b[k] - a[k]));
            for span in &cut.spans {
                let Some(z) = span.existing else { continue };
                let middle = f64::midpoint(span.at[0], span.at[1]);
                for (d, z) in [(span.at[0], z[0]), (span.at[1], z[1]), (middle, f64::midpoint(z[0], z[1]))] {
                    close(surface.height_beside(at(d)), z, &format!("{name} {} at {d}", cut.letter));
                    held += 1;
                }
            }
        }
        assert!(held > 30, "{held}");
    }
}

#[test]
fn finish_and_subgrade_lie_on_the_planes_of_their_areas() {
    for name in ["hall", "metric"] {
        let (_, outcome) = demo(name);
        let stakes = outcome.stakes.as_deref().expect("stakes");
        let mut held = 0;
        for cut in cuts(&outcome) {
            for span in cut.spans.iter().filter(|s| s.area.is_some()) {
                let own: Vec<_> = stakes.iter().filter(|s| s.area == span.area && s.subgrade.is_some()).collect();
                let Some([a, b, c]) = apart(&own) else { continue };
                for (k, &d) in span.at.iter().enumerate() {
                    let part = d / cut.length;
                    let (n, e) =
                        (cut.from.0 + part * (cut.to.0 - cut.from.0), cut.from.1 + part * (cut.to.1 - cut.from.1));
                    let of = |z: [f64; 3]| {
                        let (u, v, w) = (
                            (b.0 - a.0, b.1 - a.1, z[1] - z[0]),
                            (c.0 - a.0, c.1 - a.1, z[2] - z[0]),
                            (n - a.0, e - a.1),
                        );
                        let whole = u.0 * v.1 - u.1 * v.0;
                        z[0] + (w.0 * v.1 - w.1 * v.0) / whole * u.2 + (u.0 * w.1 - u.1 * w.0) / whole * v.2
                    };
                    close(span.tops[0][k], of([a.2, b.2, c.2]), &format!("{name} {} finish", cut.letter));
                    let subgrade = span.subgrade.expect("a subgrade")[k];
                    close(subgrade, of([a.3, b.3, c.3]), &format!("{name} {} subgrade", cut.letter));
                    held += 1;
                }
            }
        }
        assert!(held > 10, "{held}");
    }
}

type Corner = (f64, f64, f64, f64);

/// Three stakes that lie in no line: northing, easting, finish, subgrade.
fn apart(own: &[&spadework::job::StakeOut]) -> Option<[Corner; 3]> {
    let at = |s: &spadework::job::StakeOut| Some((s.northing, s.easting, s.finish?, s.subgrade?));
    let all: Vec<Corner> = own.iter().filter_map(|s| at(s)).collect();
    for a in &all {
        for b in &all {
            for c in &all {
                if ((b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)).abs() > 10.0 {
                    return Some([*a, *b, *c]);
                }
            }
        }
    }
    None
}

#[test]
fn a_section_is_parted_where_it_meets_edges_and_nowhere_else_is_anything_left_out() {
    let said = format!("{AREA}[sheet]\nsections = [ [[0.0, 75.0], [200.0, 75.0]] ]\n");
    let ground = |n: f64, e: f64| 101.0 + 0.03 * (n / 17.0).sin() - 0.002 * e;
    let outcome = site::worked_out(&said, ground, &[]).expect("an outcome");
    let [cut] = cuts(&outcome) else { panic!("one section: it shows all of the only area") };
    assert_eq!((cut.letter.as_str(), cut.from, cut.to), ("A", (0.0, 75.0), (200.0, 75.0)));
    close(cut.spans[0].at[0], 0.0, "start");
    close(cut.spans[cut.spans.len() - 1].at[1], 200.0, "end");
    cut.spans.windows(2).for_each(|w| close(w[0].at[1], w[1].at[0], "spans follow each other"));
    let stops: Vec<f64> = cut.spans.iter().map(|s| s.at[0]).collect();
    // The outline, its over-dig, and each line of the grid.
    for wanted in [49.5, 50.0, 80.0, 80.5, 10.0, 60.0, 190.0] {
        assert!(stops.iter().any(|s| (s - wanted).abs() < 1e-9), "{wanted} in {stops:?}");
    }
    let inside: Vec<_> = cut.spans.iter().filter(|s| s.area.is_some()).collect();
    close(inside[0].at[0], 50.0, "first edge");
    close(inside[0].tops[0][0], 100.0, "finish at the first edge");
    close(inside[inside.len() - 1].tops[0][1], 99.4, "finish at the last");
    close(inside[0].subgrade.expect("subgrade")[0], 99.0, "subgrade");
    let past = cut.spans.iter().find(|s| s.area.is_none() && s.dig_to.is_some()).expect("over-dig");
    close(past.dig_to.expect("dig")[1], 99.0, "level across from the edge");
}

#[test]
fn an_area_no_line_shows_gets_one_along_its_fall() {
    let outcome = site::worked_out(AREA, |_, _| 101.0, &[]).expect("an outcome");
    let [cut] = cuts(&outcome) else { panic!("one section") };
    close(cut.from.1, 75.0, "through the middle");
    close(cut.to.1, 75.0, "due north");
    assert!(cut.from.0 < 50.0 && cut.to.0 > 80.0);
    assert_eq!(sections::cuts(&outcome).len(), 1);
}

#[test]
fn a_section_that_bends_is_refused() {
    let said = format!("{AREA}[sheet]\nsections = [ [[0.0, 75.0], [20.0, 75.0], [50.0, 90.0]] ]\n");
    let why = site::job(&said, |_, _| 101.0, &[]).expect_err("three places");
    assert!(why.contains("a section along 3 places") && why.contains("two places"), "{why}");
}

fn sound(sheet: &Drawing) {
    let room = page::body(sheet.paper).inset(-0.02);
    let is_in = |x: f64, y: f64| room.holds(PaperPoint::new(x, y));
    let boxes: Vec<(Box2, &Text)> = sheet.texts().map(|t| (Box2::of_words(t), t)).collect();
    for (i, (a, text)) in boxes.iter().enumerate() {
        assert!(text.em >= font::SMALLEST, "{}: {}", sheet.title, text.words);
        assert!(a.corners().into_iter().all(|c| is_in(c.x, c.y)), "{} {:?}: {}", sheet.title, sheet.paper, text.words);
        for (b, other) in &boxes[..i] {
            let near = a.centre.distance(b.centre) < a.half_w + a.half_h + b.half_w + b.half_h;
            assert!(!near || !a.overlaps(b), "{} {:?}: {} over {}", sheet.title, sheet.paper, text.words, other.words);
        }
    }
    for group in &sheet.groups {
        // What is cut off may be drawn beyond.
        if let Some(clip) = group.clip {
            assert!(
                clip.corners().into_iter().all(|c| is_in(c.x, c.y)),
                "{} {:?}: {}",
                sheet.title,
                sheet.paper,
                group.id
            );
            continue;
        }
        for item in &group.items {
            if let Item::Stroke(s) = item {
                assert!(s.points.iter().all(|p| is_in(p.x, p.y)), "{} {:?}: a line", sheet.title, sheet.paper);
            }
        }
    }
}

#[test]
fn the_pages_of_both_demos_hold_on_every_paper() {
    let sizes = [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3];
    for name in ["hall", "metric"] {
        let (job, outcome) = demo(name);
        for paper in sizes.into_iter().flat_map(|s| [Paper::landscape(s), Paper::portrait(s)]) {
            let stakes = schedule::pages(&outcome, paper);
            let listed: Vec<&str> = stakes
                .iter()
                .flat_map(Drawing::texts)
                .filter(|t| t.role == "stake")
                .map(|t| t.words.as_str())
                .collect();
            let walked: Vec<&str> = outcome.stakes.iter().flatten().map(|s| s.stake.as_str()).collect();
            assert_eq!(listed, walked, "{name} {paper:?}");
            let kinds = [
                stakes,
                sections::pages(&outcome, paper),
                account::pages(&outcome, paper),
                finish::pages(&outcome, paper, 1),
            ];
            for sheets in kinds {
                assert!(!sheets.is_empty());
                sheets.iter().for_each(sound);
            }
        }
        assert_eq!(outcome.units.length == "m", job.unit == LengthUnit::Metre);
    }
}
