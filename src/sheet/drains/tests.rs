use super::*;
use crate::sheet::sample::site;
use crate::sheet::{Item, PaperSize};

fn papers() -> Vec<Paper> {
    let sizes = [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3];
    sizes.into_iter().flat_map(|size| [Paper::landscape(size), Paper::portrait(size)]).collect()
}

fn drains(outcome: &mut Outcome) -> &mut Vec<DrainRunOut> {
    &mut outcome.drainage.as_mut().expect("the hall is drained").drains
}

/// Run A through so many nodes, evenly.
fn through(count: usize) -> Outcome {
    let mut outcome = site::drained();
    let all = drains(&mut outcome);
    all.truncate(1);
    let run = &mut all[0];
    let (point, leg) = (run.points[0].clone(), run.legs[0].clone());
    let length = run.length / (count - 1) as f64;
    run.points = (0..count)
        .map(|k| crate::job::DrainPointOut {
            name: format!("node {k}"),
            invert: 101.5 - leg.fall * length * k as f64,
            ..point.clone()
        })
        .collect();
    run.legs = (1..count).map(|_| DrainLegOut { length, ..leg.clone() }).collect();
    outcome
}

/// Where a line of words stands: left, right, top, bottom.
fn ink(t: &Text) -> [f64; 4] {
    let e = font::extent(&t.words, t.weight, t.em);
    if t.angle == 0.0 {
        let left = t.at.x - t.lead();
        [left, left + e.width, t.at.y - e.up, t.at.y + e.down]
    } else {
        [t.at.x - e.up, t.at.x + e.down, t.at.y - e.width, t.at.y]
    }
}

#[test]
fn words_are_large_enough_on_the_paper_and_apart() {
    for outcome in [site::drained(), through(3), through(12), through(90)] {
        for paper in papers() {
            let (w, h) = paper.inches();
            for drawing in pages(&outcome, paper) {
                let texts: Vec<&Text> = drawing.texts().collect();
                for (k, text) in texts.iter().enumerate() {
                    assert!(text.em >= font::SMALLEST, "{}", text.words);
                    let [left, right, top, bottom] = ink(text);
                    assert!(left > 0.3 && right < w - 0.3 && top > 0.3 && bottom < h - 0.3, "{paper:?} {}", text.words);
                    for other in &texts[..k] {
                        let [a, b, c, d] = ink(other);
                        let apart = left >= b || a >= right || top >= d || c >= bottom;
                        assert!(apart, "{paper:?}: \"{}\" over \"{}\"", text.words, other.words);
                    }
                }
            }
        }
    }
    assert!(pages(&Outcome::default(), papers()[0]).is_empty());
}

#[test]
fn every_run_has_one_frame_and_no_leader_crosses_a_name() {
    for paper in papers() {
        let drawings = pages(&site::drained(), paper);
        let heads = |words: &str| drawings.iter().flat_map(Drawing::texts).filter(|t| t.words == words).count();
        assert_eq!(["Drain A", "Drain B", "Drain C"].map(heads), [1; 3], "{paper:?}");
        for drawing in drawings.iter().chain(&pages(&through(9), paper)) {
            let names: Vec<[f64; 4]> = drawing.texts().filter(|t| t.role == "node").map(ink).collect();
            assert!(!names.is_empty());
            for item in drawing.items() {
                let Item::Stroke(s) = item else { continue };
                let (a, b) = (s.points[0], s.points[s.points.len() - 1]);
                if s.points.len() != 2 || a.x != b.x {
                    continue;
                }
                let (top, bottom) = (a.y.min(b.y), a.y.max(b.y));
                let crossed = names.iter().any(|n| a.x > n[0] && a.x < n[1] && bottom > n[2] && top < n[3]);
                assert!(!crossed, "{paper:?} {s:?}");
            }
        }
    }
}

#[test]
fn names_without_room_are_counted_and_said() {
    let letter = Paper::landscape(PaperSize::Letter);
    let few = &pages(&through(3), letter)[0];
    assert_eq!(few.dropped, 0);
    let many = &pages(&through(90), letter)[0];
    let names = many.texts().filter(|t| t.role == "node").count();
    assert!(names > 20 && many.dropped > 0);
    assert_eq!(names + many.dropped, 90);
    let said = format!("{} names of nodes left off for want of room: see drains.csv.", many.dropped);
    assert!(many.texts().any(|t| t.words.ends_with(&said)), "{said}");
}

#[test]
fn pipe_and_trench_are_true_to_the_stated_scale() {
    let drawing = &pages(&through(2), Paper::landscape(PaperSize::Letter))[0];
    let said = drawing.texts().find(|t| t.words.starts_with("in ft; heights")).expect("the exaggeration is stated");
    let factor: f64 = said.words.split(' ').nth(3).and_then(|n| n.parse().ok()).expect("a number");
    let lines = |colour: Colour, width: f64| {
        let is = move |s: &&Stroke| s.colour == colour && (s.width - width).abs() < 1e-9 && s.points.len() == 2;
        let all = drawing.items().filter_map(|i| if let Item::Stroke(s) = i { Some(s) } else { None });
        // The key above the frames has the same lines.
        all.filter(is).filter(|s| s.points[0].y > 1.3).map(|s| (s.points[0], s.points[1])).collect::<Vec<_>>()
    };
    let (invert, crown, bottom) = (lines(WATER, 0.02), lines(WATER, 0.012), lines(EARTH, 0.012));
    assert_eq!((invert.len(), crown.len(), bottom.len()), (1, 1, 1));
    let outcome = through(2);
    let run = &outcome.drainage.as_ref().expect("drained").drains[0];
    let per_unit = (invert[0].1.x - invert[0].0.x) / run.length * factor;
    // Fall of the invert; crown by the outside diameter; trench by wall and bedding: 4 in inside, 1/4 in of wall, 4 in.
    let fall = run.points[0].invert - run.points[1].invert;
    for (drawn, want) in [
        (invert[0].1.y - invert[0].0.y, fall),
        (invert[0].0.y - crown[0].0.y, 4.25 / 12.0),
        (bottom[0].0.y - invert[0].0.y, 4.25 / 12.0),
    ] {
        assert!((drawn - want * per_unit).abs() < 1e-6, "{drawn} {}", want * per_unit);
    }
    for words in ["perforated 4 in, 82.76 ft, 2.23 %, holes down, on 4 in of bedding", "node 0 inv 101.50, clean-out"] {
        assert!(drawing.texts().any(|t| t.words == words), "{words}");
    }
}
