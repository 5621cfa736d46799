use super::*;
use crate::job::{CautionOut, ExcavationOut, LoadsOut, MaterialOut, OrderOut, TripsOut};
use crate::sheet::page::tests::{faults, papers};
use crate::sheet::sample::{Yard, site};

/// The hall with a haul, checks of both kinds and long cautions.
fn hall() -> Outcome {
    let mut outcome = site::hall();
    let check = |k: usize| CheckOut {
        rule: format!("rule {k}"),
        subject: format!("area {k} with a name that takes a while to read"),
        found: 0.02,
        found_text: "2 %".into(),
        limit: "least 1 %".into(),
        pass: !k.is_multiple_of(3),
        source: "common practice, no source".into(),
        note: "what to do about it, in a sentence of its own".into(),
    };
    outcome.checks = (0..24).map(check).collect();
    let text = "a caution that goes on for longer than a line holds, because what it says must be said in full";
    outcome.cautions = (0..60).map(|k| CautionOut { subject: format!("caution {k}"), text: text.into() }).collect();
    outcome.defaults = vec!["the interval of contours was chosen".into()];
    let mut haul = HaulOut { bank: 100.0, export: 90.0, ..HaulOut::default() };
    haul.materials = vec![MaterialOut { material: "topsoil", bank: 30.0, ..MaterialOut::default() }];
    haul.trips =
        vec![TripsOut { truck: "tandem".into(), by_volume: 11, by_payload: 13, trips: 13, ..TripsOut::default() }];
    haul.mix = vec![LoadsOut { truck: "tandem".into(), trips: 13 }];
    haul.orders = vec![OrderOut {
        name: "dense base".into(),
        gradation: Some("dense, 3/4 in minus".into()),
        amount: 41.25,
        unit: "ton".into(),
        areas: vec!["dining terrace".into(), "upper landing".into(), "accessible ramp".into()],
        ..OrderOut::default()
    }];
    outcome.haul = Some(haul);
    outcome
}

#[test]
fn nothing_overlaps_leaves_the_page_or_is_too_small() {
    for outcome in [hall(), site::court(), site::drained(), Yard::small().outcome()] {
        for paper in papers() {
            for sheet in pages(&outcome, paper) {
                assert_eq!(faults(&sheet), Vec::<String>::new());
            }
        }
    }
}

#[test]
fn every_check_and_caution_is_there_in_full() {
    let outcome = hall();
    for paper in papers() {
        let sheets = pages(&outcome, paper);
        let said: Vec<&Text> = sheets.iter().flat_map(Drawing::texts).collect();
        let words = |role: &str| {
            let parts: Vec<&str> = said.iter().filter(|t| t.role == role).map(|t| t.words.as_str()).collect();
            parts.join(" ").replace("• ", "").replace(" •", "")
        };
        let cautions = words("caution");
        for caution in &outcome.cautions {
            assert!(cautions.contains(&format!("{}: {}", caution.subject, caution.text)), "{}", caution.subject);
        }
        for safety in SAFETY {
            assert!(cautions.contains(safety), "{safety}");
        }
        let count = |word: &str| said.iter().filter(|t| t.role == "verdict" && t.words == word).count();
        assert_eq!((count("FAIL"), count("PASS")), (8, 16));
        assert!(words("source").contains("common practice, no source"));
    }
}

#[test]
fn the_parts_and_their_sum_are_those_of_the_outcome() {
    let mut outcome = hall();
    if let Some(volume) = &mut outcome.volume {
        volume.excavation = Some(ExcavationOut { cut: 61.25, over_dig: 3.5, sum: 64.75, ..ExcavationOut::default() });
    }
    let sheets = pages(&outcome, papers()[0]);
    let cells: Vec<&str> = sheets[0].texts().filter(|t| t.role == "cell").map(|t| t.words.as_str()).collect();
    let after = |name: &str| cells.iter().position(|c| c.starts_with(name)).and_then(|k| cells.get(k + 1)).copied();
    assert_eq!(after("cut, ground"), Some("61.25"));
    assert_eq!(after("DIG, in all"), Some("64.75"));
}
