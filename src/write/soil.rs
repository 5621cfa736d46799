//! What does the report say of the soil?

use super::account::words;
use super::columns::columns;
use crate::job::{Outcome, SoilOut};
use crate::units::fixed;

/// No hand certifies a soil.
const STANDING: &str = "  Hand tests guide, they do not certify: fill, organic, expansive, spoilt or wet ground is for a geotechnical engineer.";

fn percent(part: f64) -> String {
    fixed(part * 100.0, 1)
}

/// What the cores show, what stands under each area, and how it behaves when it is dug.
pub(super) fn soil(s: &SoilOut, outcome: &Outcome) -> String {
    let mut parts = vec![cores(s, outcome)];
    if !s.areas.is_empty() {
        parts.push(areas(s, outcome));
    }
    parts.push(dug(s, outcome));
    parts.join("\n\n")
}

fn or(groups: &[&str]) -> String {
    groups.join("/")
}

fn cores(s: &SoilOut, outcome: &Outcome) -> String {
    let unit = &outcome.units.length;
    let head = words(["core", "from", "to", "soil", "groups", "tests for it", "against it", "stands", "remark"]);
    let against = |tests: &[&str]| if tests.is_empty() { "-".to_owned() } else { tests.join(", ") };
    let by = |tests: &[&str], others: &[&str]| match tests.len() {
        1.. if others.is_empty() => format!("all {}", tests.len()),
        _ => against(tests),
    };
    let rows = s.cores.iter().flat_map(|c| {
        c.layers.iter().map(|l| {
            words([
                &c.core,
                &fixed(l.from, 2),
                &fixed(l.to, 2),
                l.class,
                &or(&l.groups),
                &by(&l.agree, &l.disagree),
                &against(&l.disagree),
                l.firmness.unwrap_or("-"),
                &l.note,
            ])
        })
    });
    let title = format!("Soil, by hand tests (depths below the ground, {unit})");
    let governs = format!("  below the topsoil {} governs, the worst: {}", s.core, s.class);
    format!("{title}\n{}\n{governs}\n{STANDING}", columns(&head, rows))
}

fn areas(s: &SoilOut, outcome: &Outcome) -> String {
    let head = words(["area", "core", "dug to", "reached", "soil", "as subgrade", "drains", "frost"]);
    let row = |a: &crate::job::SoilAreaOut| {
        words([
            &a.name,
            &a.core,
            &fixed(a.depth, 2),
            if a.reaches { "yes" } else { "NO" },
            a.class,
            &a.suitability,
            a.drainage.as_deref().unwrap_or("-"),
            a.frost.as_deref().unwrap_or("-"),
        ])
    };
    let title = format!("Soil at subgrade ({}, the deepest below the ground)", outcome.units.length);
    format!("{title}\n{}", columns(&head, s.areas.iter().map(row)))
}

fn dug(s: &SoilOut, outcome: &Outcome) -> String {
    let units = &outcome.units;
    let weight = format!("{}/{} bank", units.mass, units.volume);
    let head = words(["soil", "swell %", "usual", "shrink %", "usual", &weight, "usual", "from"]);
    let range =
        |[a, b]: [f64; 2], say: fn(f64) -> String| if a == b { say(a) } else { format!("{} to {}", say(a), say(b)) };
    let whole = |part: f64| fixed(part * 100.0, 0);
    let two = |w: f64| fixed(w, 2);
    let row = |c: &crate::job::FactorsOut| {
        words([
            c.class,
            &percent(c.swell),
            &range(c.usual_swell, whole),
            &percent(c.shrink),
            &range(c.usual_shrink, whole),
            &two(c.weight),
            &range(c.usual_weight, two),
            c.source,
        ])
    };
    format!(
        "Soil when it is dug (bank moist; usual weights are common practice)\n{}",
        columns(&head, s.classes.iter().map(row))
    )
}
