//! What does the report say of a job with areas: each yard of the dig, areas, layers, steps?
//!
//! Plain text like the rest of the report. The parts of the excavation are disjoint and add up to its sum; the strip is
//! among them. Volumes to 0.01, plan areas to 0.1, heights to 0.01 (metres: 0.001).

use super::columns::columns;
use crate::job::{Outcome, PlanOut, VolumeOut};
use crate::units::fixed;

/// Decimals of a height or a depth.
pub(super) fn places(outcome: &Outcome) -> usize {
    if outcome.units.length == "m" { 3 } else { 2 }
}

pub(super) fn words<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_owned).to_vec()
}

/// The account of the excavation; nothing without areas.
pub(super) fn excavation(v: &VolumeOut, outcome: &Outcome) -> Option<String> {
    let dug = v.excavation.as_ref()?;
    let unit = outcome.units.volume.as_str();
    let row = |name: &str, volume: f64| words([name, &fixed(volume, 2), unit]);
    let mut rows = vec![
        row("cut, ground to subgrade inside the outlines", dug.cut),
        row("undercut, topsoil below subgrade", dug.undercut),
        row("over-dig, past the edges", dug.over_dig),
    ];
    rows.extend(dug.trench.map(|trench| row("trenches", trench)));
    rows.push(row("sloped sides", dug.batter));
    rows.push(row("EXCAVATION, bank", dug.sum));
    rows.push(row("  of which within strip depth", dug.strip));
    let mut text = format!("Excavation: parts that add up\n{}", columns(&[], rows));
    let has_drains = outcome.plan.as_ref().is_some_and(|plan| !plan.drains.is_empty());
    if dug.trench.is_none() && has_drains {
        text += "\n  The trenches of the drains are not in yet.";
    }
    let moved: f64 = v.areas.iter().map(|a| a.to_dig_to).sum();
    if moved.abs() >= 0.005 {
        text += &format!(
            "\n  Counted to subgrade; dug to dig-to (allowance, proud stone) it would be {} {unit} {}.",
            fixed(moved.abs(), 2),
            if moved > 0.0 { "more" } else { "less" }
        );
    }
    Some(text)
}

/// Area by area.
pub(super) fn areas(v: &VolumeOut, outcome: &Outcome) -> Option<String> {
    let sloped = v.areas.iter().any(|a| a.batter > 0.0);
    let mut head =
        words(["area", "section", "plan", "cut", "fill", "mean cut", "deepest", "undercut", "over-dig", "ring"]);
    head.extend(sloped.then(|| "sides".to_owned()));
    head.push("finish %".to_owned());
    let places = places(outcome);
    let rows = v.areas.iter().map(|a| {
        let mut row = vec![a.name.clone(), a.section.clone(), fixed(a.area, 1), fixed(a.cut, 2), fixed(a.fill, 2)];
        row.extend([a.mean_cut, a.max_cut].map(|d| fixed(d, places)));
        row.extend([a.undercut, a.over_dig].map(|volume| fixed(volume, 2)));
        row.push(fixed(a.ring_area, 1));
        row.extend(sloped.then(|| fixed(a.batter, 2)));
        row.push(fixed(a.finish_slope * 100.0, 2));
        row
    });
    let units = &outcome.units;
    let title = format!("Areas ({}, {}, {}; bank)", units.area, units.volume, units.length);
    (!v.areas.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

/// What each layer takes.
pub(super) fn layers(v: &VolumeOut, outcome: &Outcome) -> Option<String> {
    let rows: Vec<Vec<String>> = v
        .areas
        .iter()
        .flat_map(|a| a.layers.iter().map(|l| vec![a.name.clone(), l.name.clone(), fixed(l.volume, 2)]))
        .collect();
    let head = words(["area", "layer", "volume"]);
    let title = format!("Layers, as placed ({})", outcome.units.volume);
    (!rows.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

/// Where two areas meet at two heights.
pub(super) fn steps(plan: &PlanOut, outcome: &Outcome) -> Option<String> {
    let places = places(outcome);
    let rows: Vec<Vec<String>> = plan
        .steps
        .iter()
        .map(|step| {
            let [from, to] = step.ends.map(|(n, e)| format!("N {}, E {}", fixed(n, 2), fixed(e, 2)));
            let [a, b] = step.heights.map(|h| fixed(h, places));
            vec![step.areas[0].clone(), step.areas[1].clone(), from, a, to, b]
        })
        .collect();
    let head = words(["area", "above", "from", "by", "to", "by"]);
    let title = format!("Steps of the subgrade ({}; negative: below)", outcome.units.length);
    (!rows.is_empty()).then(|| format!("{title}\n{}", columns(&head, rows)))
}

#[cfg(test)]
mod tests {
    use crate::sheet::sample::{Yard, site};
    use crate::write::{csv, report};

    #[test]
    fn the_report_of_a_courtyard_accounts_for_every_yard() {
        let text = report::text(&site::hall());
        for said in [
            "3 set-ups, 3 points; misclosure 0.03 ft, allowed 0.0346: closes",
            "set-up 1: -0.010, set-up 3: -0.030",
            "check shots, second less first: C5 0.01, E6 -0.01",
            "EXCAVATION, bank",
            "68.64  yd3",
            "trenches of the drains are not in yet",
            "accessible ramp",
            "Layers, as placed (yd3)",
            "Steps of the subgrade",
            "HAND DIG: gas service",
            "from the ground at the stake to dig-to",
            "Datum: assumed",
        ] {
            assert!(text.contains(said), "{said} is not in\n{text}");
        }
        let plain = report::text(&Yard::small().outcome());
        for unsaid in ["EXCAVATION", "Areas (", "Layers", "Steps", "Level notes", "dig to "] {
            assert!(!plain.contains(unsaid), "{unsaid}");
        }
    }

    #[test]
    fn tables_of_a_courtyard_have_their_columns() {
        let hall = site::hall();
        let stakes = csv::stakes(&hall).expect("a table");
        assert!(stakes.starts_with(
            "stake,northing,easting,area,existing,finish,subgrade,dig_to,cut,fill,cut_text,drop_BM1,drop_TBM2,rod,"
        ));
        assert!(stakes.lines().next().is_some_and(|head| head.ends_with(",keep_off,notes")));
        assert!(stakes.contains(
            "A2,500,1010,dining terrace,103.2300,103.4600,102.6788,102.6579,0.5721,0.0000,C 0-6 7/8,1.4621,-1.2779,4.3400,"
        ));
        let layers = csv::layers(&hall).expect("a table");
        assert!(layers.starts_with("stake,area,layer,top\nA2,dining terrace,topmost,103.4600\n"), "{layers}");
        let volumes = csv::volumes(&hall).expect("a table");
        assert_eq!(volumes.lines().count(), 1 + 7 * 2);
        assert!(volumes.contains("dining terrace,terrace aggregate,clean stone,,,,,,,,,,,1.5000"), "{volumes}");
        assert!(volumes.contains("play lawn,lawn,,1512.0000,"));
        let plain = csv::stakes(&Yard::small().outcome()).expect("a table");
        assert!(plain.starts_with("stake,northing,easting,existing,"));
    }
}
