use super::*;
use crate::job::{CheckOut, Units};
use crate::sheet::{Item, PaperSize};

/// So many stakes, every third of them out.
fn outcome(stakes: usize) -> Outcome {
    let row = |k: usize| {
        let is_out = k % 3 == 2;
        DugStakeOut {
            stake: format!("A{k}"),
            area: Some("dining terrace along the hall's north wall".to_owned()),
            dig_to: 102.4579,
            as_dug: 102.17,
            diff: -0.2879,
            verdict: if is_out { "LOW" } else { "ok" },
            text: if is_out { "LOW 0-3 1/2".to_owned() } else { String::new() },
            order: if is_out { "stone" } else { "" },
            share: 1234.0,
            ..DugStakeOut::default()
        }
    };
    let check = DigCheckOut {
        stakes: (0..stakes).map(row).collect(),
        tolerance: [0.04, 0.04],
        mean: Some(-0.3),
        spread: Some(0.06),
        set_ups: vec![crate::job::DugSetUpOut { bench: "TBM2".into(), ..Default::default() }; 9],
        ..DigCheckOut::default()
    };
    let fail = CheckOut {
        rule: "no stakes off together".into(),
        subject: "job".into(),
        found: 0.3,
        found_text: String::new(),
        limit: "must".into(),
        pass: false,
        source: String::new(),
        note: "0.37 ft low throughout, with the usual spread: a wrong bench or height of instrument ".repeat(12),
    };
    Outcome {
        job: "Court".into(),
        units: Units { length: "ft".into(), area: "ft2".into(), volume: "yd3".into(), ..Units::default() },
        checks: vec![fail],
        digcheck: Some(check),
        ..Outcome::default()
    }
}

#[test]
fn every_stake_stands_on_a_page_those_that_are_out_first_and_somebody_signs_below_some() {
    for size in [PaperSize::Letter, PaperSize::A4, PaperSize::Tabloid] {
        let paper = Paper::portrait(size);
        for count in [1, 19, 20, 21, 32, 33, 47, 400] {
            let drawings = pages(&outcome(count), paper);
            let is_stake = |t: &&Text| t.words.strip_prefix('A').is_some_and(|n| n.parse::<usize>().is_ok());
            let order: Vec<usize> = drawings
                .iter()
                .flat_map(Drawing::texts)
                .filter(is_stake)
                .map(|t| t.words[1..].parse().expect("a number"))
                .collect();
            let want: Vec<usize> = (0..count).filter(|k| k % 3 == 2).chain((0..count).filter(|k| k % 3 != 2)).collect();
            assert_eq!(order, want, "{size:?} {count}");
            let signed: Vec<bool> = drawings.iter().map(|d| d.texts().any(|t| t.words == "For the owner")).collect();
            assert_eq!(signed.iter().filter(|s| **s).count(), 1);
            assert_eq!(signed.last(), Some(&true));
            let last = drawings.last().expect("a page");
            assert!(last.texts().filter(is_stake).count() > 0, "{size:?} {count}");
        }
    }
    assert!(pages(&Outcome::default(), Paper::portrait(PaperSize::Letter)).is_empty());
}

#[test]
fn words_are_large_enough_stay_on_the_paper_and_do_not_run_into_the_boxes() {
    for size in [PaperSize::Letter, PaperSize::A4] {
        let paper = Paper::portrait(size);
        let (w, h) = paper.inches();
        for drawing in pages(&outcome(60), paper) {
            for text in drawing.texts() {
                assert!(text.em >= font::SMALLEST, "{}", text.words);
                let left = text.at.x - text.lead();
                assert!(left >= 0.4 && left + text.width() <= w - 0.4, "{}", text.words);
                assert!(text.at.y > 0.4 && text.at.y < h - 0.4, "{}", text.words);
            }
            let lowest =
                |test: fn(&Text) -> bool| drawing.texts().filter(|t| test(t)).map(|t| t.at.y).fold(0.0, f64::max);
            let rows = lowest(|t| t.words.starts_with("LOW 0-3") || t.words == "ok");
            let told = drawing.texts().filter(|t| t.words.starts_with("HIGH:")).map(|t| t.at.y).fold(h, f64::min);
            assert!(rows + 0.1 < told, "{rows} {told}");
            let more = lowest(|t| t.words.starts_with("More is in"));
            let cautions =
                drawing.texts().filter(|t| t.words.starts_with("Shot on firm")).map(|t| t.at.y).fold(h, f64::min);
            assert!(more + 0.1 < cautions, "{more} {cautions}");
            // A verdict stays in its column.
            let edges = Page::new(&outcome(1), paper).edges();
            for text in drawing.texts().filter(|t| t.role == "verdict" && t.words.starts_with("LOW")) {
                assert!(text.at.x >= edges[5] && text.at.x + text.width() <= edges[6], "{}", text.words);
                assert!(text.weight == Weight::Bold && text.em > 0.15);
            }
            assert!(drawing.items().all(|item| match item {
                Item::Stroke(s) => s.points.iter().all(|p| p.y <= h - 0.4 && p.x <= w - 0.4),
                _ => true,
            }));
        }
    }
}
