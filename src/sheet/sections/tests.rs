use super::*;
use crate::job::{PipeCutOut, PlanOut};
use crate::sheet::Item;
use crate::sheet::page::tests::{faults, papers};
use crate::sheet::sample::site;

/// A section over the terrace, a step, the strip and the lawn, with ground that bends in it.
fn section(letter: &str) -> SectionOut {
    let span = |at: [f64; 2], area: Option<&str>, ground: [f64; 2], finish: Option<[f64; 2]>| SpanOut {
        at,
        area: area.map(str::to_owned),
        existing: Some(ground),
        tops: finish.map(|z| vec![z, z.map(|z| z - 0.2)]).unwrap_or_default(),
        subgrade: finish.map(|z| z.map(|z| z - 0.78)),
        dig_to: finish.map(|z| z.map(|z| z - 0.8)),
    };
    SectionOut {
        letter: letter.into(),
        from: (500.0, 1025.0),
        to: (552.0, 1025.0),
        length: 52.0,
        spans: vec![
            span([0.0, 2.0], None, [103.2, 103.1], None),
            span([2.0, 9.0], Some("dining terrace"), [103.1, 103.3], Some([103.4, 103.3])),
            span([9.0, 21.0], Some("dining terrace"), [103.3, 102.9], Some([103.3, 103.1])),
            span([21.0, 24.0], Some("stone drain strip"), [102.9, 102.9], Some([102.5, 102.4])),
            span([24.0, 52.0], Some("play lawn"), [102.9, 102.3], Some([102.4, 101.9])),
        ],
        pipes: vec![PipeCutOut { at: 22.5, drain: "A".into(), invert: 101.1, size: 0.33 }],
    }
}

fn hall() -> Outcome {
    let mut outcome = site::hall();
    let plan = outcome.plan.get_or_insert_with(PlanOut::default);
    plan.cuts = ["A", "B", "C", "D", "E"].map(section).to_vec();
    outcome
}

#[test]
fn nothing_overlaps_leaves_the_page_or_is_too_small() {
    for paper in papers() {
        let sheets = pages(&hall(), paper);
        assert!(sheets.len() > 1);
        for sheet in &sheets {
            assert_eq!(faults(sheet), Vec::<String>::new());
        }
        let headings: Vec<&str> =
            sheets.iter().flat_map(Drawing::texts).filter(|t| t.role == "heading").map(|t| t.words.as_str()).collect();
        assert_eq!(headings, ["A", "B", "C", "D", "E"].map(|l| format!("Section {l}-{l}")));
    }
}

#[test]
fn the_dig_line_is_to_the_scales_that_are_said() {
    for paper in papers() {
        let sheet = &pages(&hall(), paper)[0];
        let scale = sheet.texts().find(|t| t.role == "scale").expect("a scale").words.clone();
        // "Distances 1 in = 8 ft; heights 4 times the distances: 1 in = 2 ft"
        let number = |after: &str| {
            let rest = &scale[scale.rfind(after).expect("said") + after.len()..];
            rest.split(' ').next().and_then(|n| n.parse::<f64>().ok()).expect("a number")
        };
        let along = scale.split("1 in = ").nth(1).and_then(|s| s.split(' ').next()?.parse::<f64>().ok()).expect("one");
        let up = number("1 in = ");
        let dig = sheet.items().find_map(|i| match i {
            Item::Stroke(s) if (s.width - 0.03).abs() < 1e-9 && s.points.len() > 4 => Some(s),
            _ => None,
        });
        let points = &dig.expect("the dig").points;
        let (first, last) = (points[0], points[points.len() - 1]);
        assert!(((last.x - first.x) * along - 50.0).abs() < 1e-6, "{scale}");
        // 102.60 at the terrace's start, 101.10 at the lawn's end.
        assert!(((last.y - first.y) * up - 1.5).abs() < 2e-3, "{scale}");
    }
}

#[test]
fn a_step_stands_upright_and_cuts_are_told_for_the_plan() {
    let sheet = &pages(&hall(), papers()[0])[0];
    let dig = sheet.items().filter_map(|i| match i {
        Item::Stroke(s) if (s.width - 0.03).abs() < 1e-9 => Some(&s.points),
        _ => None,
    });
    let upright =
        dig.flat_map(|p| p.windows(2)).filter(|w| (w[0].x - w[1].x).abs() < 1e-9 && w[0].distance(w[1]) > 0.05);
    assert!(upright.count() >= 2);
    let cuts = cuts(&hall());
    assert_eq!(cuts.len(), 5);
    assert_eq!((cuts[1].letter.as_str(), cuts[1].from, cuts[1].to), ("B", (500.0, 1025.0), (552.0, 1025.0)));
    assert!(pages(&site::hall(), papers()[0]).is_empty());
}

#[test]
fn it_says_which_way_it_is_looked_at() {
    let looking = |to: (f64, f64)| way(&SectionOut { from: (0.0, 0.0), to, ..SectionOut::default() });
    // From west to east the west is at the left: one looks north.
    assert_eq!(looking((0.0, 9.0)), "looking north");
    assert_eq!(looking((9.0, 0.0)), "looking west");
}
