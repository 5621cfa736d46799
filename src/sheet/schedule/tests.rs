use super::*;
use crate::job::BenchOut;
use crate::sheet::page::tests::{faults, papers};
use crate::sheet::sample::{Yard, site};

/// The hall as it would be set up: benches, planes, drops, rods.
fn hall() -> Outcome {
    let mut outcome = site::hall();
    if let Some(plan) = &mut outcome.plan {
        let bench = |name: &str, elevation, note: &str| BenchOut { name: name.into(), elevation, note: note.into() };
        plan.marks = vec![bench("BM1", 104.12, "chisel cut, east end of the plinth"), bench("TBM2", 101.38, "pin")];
        plan.check_stakes = vec![("A1".into(), 103.1), ("F9".into(), 100.84)];
        plan.planes = vec![PlaneOut {
            area: "dining terrace".into(),
            code: "T".into(),
            point: Some("T.1".into()),
            deeper: vec!["A3".into()],
            height: 102.68,
            drop: vec![("BM1".into(), 1.44)],
            rod: Some(4.32),
            north: 0.02,
            east: -0.005,
        }];
    }
    for (k, stake) in outcome.stakes.iter_mut().flatten().enumerate() {
        if let Some(z) = stake.dig_to.or(stake.subgrade) {
            stake.drop = vec![("BM1".into(), 104.12 - z), ("TBM2".into(), 101.38 - z)];
            stake.rod = Some(107.0 - z);
        }
        if k % 7 == 0 {
            stake.notes.push("stone back to 102.77".into());
        }
        if k == 5 {
            stake.stake = "drain a long name for a drain.12".into();
            stake.notes.push("a remark much longer than any column, so that it has to go on over several lines".into());
        }
    }
    outcome
}

fn all(outcome: &Outcome) -> impl Iterator<Item = Vec<Drawing>> {
    papers().into_iter().map(|paper| pages(outcome, paper))
}

#[test]
fn every_stake_once_and_as_one_walks() {
    for outcome in [hall(), site::court(), Yard::grid(20, 20).outcome()] {
        let names: Vec<&str> = outcome.stakes.iter().flatten().map(|s| s.stake.as_str()).collect();
        for sheets in all(&outcome) {
            let mut listed: Vec<(usize, f64, String)> = Vec::new();
            for (page, sheet) in sheets.iter().enumerate() {
                for text in sheet.texts().filter(|t| t.role == "stake") {
                    match listed.last_mut() {
                        // A long name goes on in the next line of its row.
                        Some(last) if last.0 == page && text.at.y - last.1 < 0.17 => {
                            last.2.push_str(&text.words);
                        }
                        _ => listed.push((page, text.at.y, text.words.clone())),
                    }
                }
            }
            let bare = |s: &str| s.replace(' ', "");
            let got: Vec<String> = listed.iter().map(|l| bare(&l.2)).collect();
            let want: Vec<String> = names.iter().map(|s| bare(s)).collect();
            assert_eq!(got.len(), want.len());
            for (got, want) in got.iter().zip(&want) {
                assert!(
                    got == want || (got.ends_with('…') && want.starts_with(got.trim_end_matches('…'))),
                    "{got} {want}"
                );
            }
        }
    }
}

#[test]
fn nothing_overlaps_leaves_the_page_or_is_too_small() {
    for outcome in [hall(), site::court(), Yard::small().outcome(), Yard::grid(20, 20).outcome()] {
        for sheet in all(&outcome).flatten() {
            assert_eq!(faults(&sheet), Vec::<String>::new());
        }
    }
}

#[test]
fn cuts_stand_five_millimetres_high_and_other_figures_three() {
    let least = |sheet: &Drawing, role: &str| {
        sheet.texts().filter(|t| t.role == role).map(|t| t.em * CAP * 25.4).fold(f64::MAX, f64::min)
    };
    for sheet in all(&hall()).flatten().chain(all(&site::court()).flatten()) {
        assert!(least(&sheet, "cut") >= 5.0, "{:?}", sheet.paper);
        assert!(least(&sheet, "dig-to") >= 3.0, "{:?}", sheet.paper);
        assert!(least(&sheet, "rod") >= 3.0, "{:?}", sheet.paper);
    }
}

#[test]
fn four_hundred_stakes_have_a_head_on_every_page() {
    for sheets in all(&Yard::grid(20, 20).outcome()) {
        assert!(sheets.len() > 8, "{}", sheets.len());
        for (k, sheet) in sheets.iter().enumerate() {
            assert!(
                sheet.texts().any(|t| t.words == "DIG TO")
                    && sheet.texts().any(|t| t.words == "= HI today" || t.words == "HI today")
            );
            assert!(sheet.texts().any(|t| t.words == format!("page {} of {}", k + 1, sheets.len())));
        }
    }
}

#[test]
fn a_dial_says_which_way_it_falls() {
    assert_eq!(dial(0.02, ["N", "S"]), "2.00 % down N");
    assert_eq!(dial(-0.005, ["E", "W"]), "0.50 % down W");
    assert_eq!(dial(0.0, ["E", "W"]), "level");
}

#[test]
fn it_says_from_what_to_what_and_what_comes_back() {
    for sheets in all(&hall()) {
        let words: Vec<String> = sheets.iter().flat_map(Drawing::texts).map(|t| t.words.clone()).collect();
        let all = words.join(" ");
        for part in [
            "GROUND AT THE STAKE",
            "DIG TO",
            "back to",
            "102.77",
            "KEEP OFF: gas service",
            "chisel cut",
            "A1 ground 103.10",
        ] {
            assert!(all.contains(part), "{part}");
        }
    }
}
