//! What a person reads on a screen or a print: stakes, volumes, slopes, checks, cautions, in plain text.

use super::{account, columns::columns, digcheck, drains, haul, levels, soil, tank, water};
use crate::job::{ContourOut, FallsOut, Outcome, StakeOut, VolumeOut};
use crate::units::fixed;
use std::fmt::Write;

/// Everything that was worked out, most needed first.
#[must_use]
pub fn text(outcome: &Outcome) -> String {
    said(outcome, false)
}

/// The same with every row of the level notes, not only those the level was turned on.
#[must_use]
pub fn levels(outcome: &Outcome) -> String {
    said(outcome, true)
}

fn said(outcome: &Outcome, every_row: bool) -> String {
    let mut parts = Vec::new();
    let title = if outcome.job.is_empty() { String::new() } else { format!("{}\n", outcome.job) };
    let units = &outcome.units;
    // The notes alone have no volumes.
    let volumes = if every_row { String::new() } else { format!("; volumes {}", units.volume) };
    parts.push(format!("{title}units {}{volumes}", units.length));
    parts.extend(outcome.datum.as_ref().map(|datum| format!("Datum: {datum}")));
    parts.extend(outcome.notes().map(|s| levels::survey(s, outcome, every_row)));
    parts.extend(outcome.survey.as_ref().and_then(|s| levels::looks(s, outcome)));
    parts.extend(outcome.survey.as_ref().and_then(|s| levels::moved(s, outcome)));
    parts.extend(outcome.stakes.as_deref().map(|s| stakes(s, outcome)));
    parts.extend(outcome.volume.as_ref().map(|v| volume(v, outcome)));
    parts.extend(outcome.volume.as_ref().and_then(|v| account::excavation(v, outcome)));
    parts.extend(outcome.volume.as_ref().and_then(|v| account::areas(v, outcome)));
    parts.extend(outcome.volume.as_ref().and_then(|v| account::layers(v, outcome)));
    parts.extend(outcome.plan.as_ref().and_then(|plan| account::steps(plan, outcome)));
    parts.extend(outcome.falls().map(|d| drainage(d, outcome)));
    parts.extend(outcome.drainage.as_ref().and_then(|d| drains::drains(&d.drains, outcome)));
    parts.extend(water::areas(outcome));
    parts.extend(water::ponds(outcome));
    parts.extend(outcome.soil.as_ref().map(|s| soil::soil(s, outcome)));
    parts.extend(outcome.tank.as_ref().map(|t| tank::tank(t, outcome)));
    parts.extend(outcome.haul.as_ref().map(|h| haul::haul(h, outcome)));
    parts.extend(outcome.digcheck.as_ref().map(|d| digcheck::report(d, outcome)));
    parts.extend(outcome.contours.as_deref().filter(|c| !c.is_empty()).map(|c| contours(c, outcome)));
    parts.extend(checks(outcome));
    parts.extend(cautions(outcome));
    if !outcome.defaults.is_empty() {
        parts.push(format!("Not said, so assumed:\n{}", bullets(outcome.defaults.iter().map(String::as_str))));
    }
    parts.join("\n\n") + "\n"
}

pub use crate::rules::SAFETY;

/// The stake list.
#[must_use]
pub fn stakes(stakes: &[StakeOut], outcome: &Outcome) -> String {
    // Stakes outside all areas have no drop.
    let dug = stakes.iter().max_by_key(|s| s.drop.len());
    let benches: Vec<&String> = dug.map(|s| s.drop.iter().map(|(n, _)| n).collect()).unwrap_or_default();
    let rods = stakes.iter().any(|s| s.rod.is_some());
    let has_areas = stakes.iter().any(|s| s.area.is_some());
    let mut head = vec!["stake".to_owned()];
    head.extend(has_areas.then(|| "area".to_owned()));
    head.extend(["existing", "finish", "subgrade"].map(str::to_owned));
    head.extend(has_areas.then(|| "dig to".to_owned()));
    head.extend(["cut/fill", "to dig"].map(str::to_owned));
    head.extend(benches.iter().map(|b| format!("below {b}")));
    if rods {
        head.push("rod".to_owned());
    }
    let ways = stakes.iter().any(|s| s.drains_to.is_some());
    head.push("falls".to_owned());
    if ways {
        head.push("water to".to_owned());
    }
    let remarks = stakes.iter().any(|s| !s.notes.is_empty() || !s.keep_off.is_empty());
    if remarks {
        head.push("remarks".to_owned());
    }
    let number = |v: Option<f64>| v.map_or_else(|| "-".to_owned(), |v| fixed(v, 2));
    let rows = stakes.iter().map(|s| {
        let depth = match (s.cut, s.fill) {
            (Some(c), Some(f)) if c >= f => format!("C {}", fixed(c, 2)),
            (_, Some(f)) => format!("F {}", fixed(f, 2)),
            _ => "-".to_owned(),
        };
        let mut row = vec![s.stake.clone()];
        row.extend(has_areas.then(|| s.area.clone().unwrap_or_else(|| "-".to_owned())));
        row.extend([s.existing, s.finish, s.subgrade].map(number));
        row.extend(has_areas.then(|| number(s.dig_to)));
        row.push(depth);
        row.push(s.cut_text.clone().unwrap_or_else(|| "-".to_owned()));
        row.extend(benches.iter().map(|b| number(s.drop.iter().find(|(n, _)| n == *b).map(|&(_, d)| d))));
        if rods {
            row.push(number(s.rod));
        }
        row.push(match (s.slope, s.azimuth) {
            (Some(slope), Some(azimuth)) => format!("{} % {}", fixed(slope * 100.0, 2), compass(azimuth)),
            _ => "-".to_owned(),
        });
        if ways {
            row.push(s.drains_to.clone().unwrap_or_else(|| "-".to_owned()));
        }
        if remarks {
            let keep_off = s.keep_off.iter().map(|what| format!("HAND DIG: {what}"));
            row.push(keep_off.chain(s.notes.iter().cloned()).collect::<Vec<_>>().join("; "));
        }
        row
    });
    let to = if has_areas { "dig-to" } else { "subgrade" };
    let title = format!(
        "Stakes, in walking order ({}; C cut, F fill, from the ground at the stake to {to})",
        outcome.units.length
    );
    format!("{title}\n{}\n\n{}", columns(&head, rows), bullets(SAFETY))
}

fn volume(v: &VolumeOut, outcome: &Outcome) -> String {
    let units = &outcome.units;
    let mut rows = vec![
        ["cut, bank".to_owned(), fixed(v.total.cut, 2), units.volume.clone()],
        ["fill, compacted".to_owned(), fixed(v.total.fill, 2), units.volume.clone()],
    ];
    if let Some(net) = v.total.net {
        rows.push(["net, cut less fill".to_owned(), fixed(net, 2), units.volume.clone()]);
    }
    let areas = [("area", v.total.area), ("of it cut", v.total.cut_area), ("of it fill", v.total.fill_area)];
    rows.extend(areas.map(|(name, a)| [name.to_owned(), fixed(a, 1), units.area.clone()]));
    let lengths =
        [("mean cut", v.total.mean_cut), ("deepest cut", v.total.max_cut), ("highest fill", v.total.max_fill)];
    rows.extend(lengths.map(|(name, d)| [name.to_owned(), fixed(d, 2), units.length.clone()]));
    rows.push(["doubt from the diagonals".to_owned(), fixed(v.doubt.diagonal, 2), units.volume.clone()]);
    for u in &v.uncovered {
        rows.push([format!("not counted: only {}", u.name), fixed(u.area, 1), units.area.clone()]);
    }
    format!("Volumes\n{}", columns(&[], rows.into_iter().map(Vec::from)))
}

fn drainage(d: &FallsOut, outcome: &Outcome) -> String {
    let percent = |v: f64| fixed(v * 100.0, 2);
    let mut text = format!(
        "Slope of the subgrade\n  overall {} % toward {} (azimuth {}); flattest {} %, steepest {} %",
        percent(d.overall_slope),
        compass(d.overall_azimuth),
        fixed(d.overall_azimuth, 1),
        percent(d.least_slope),
        percent(d.greatest_slope)
    );
    let count = |end: &str| d.paths.iter().filter(|p| p.end == end).count();
    let _ = write!(
        text,
        "\n  water from {} stakes: {} to an outlet, {} over the open edge, {} to a low, {} onto a flat",
        d.paths.len(),
        count("outlet"),
        count("edge"),
        count("low"),
        count("flat")
    );
    if let Some(longest) = d.paths.iter().max_by(|a, b| a.length.total_cmp(&b.length)) {
        let _ = write!(text, "; longest way {} {}", fixed(longest.length, 1), outcome.units.length);
    }
    text
}

/// Length and number of lines by level.
#[must_use]
pub fn contours(levels: &[ContourOut], outcome: &Outcome) -> String {
    let head = ["level", "length", "lines", "closed"].map(str::to_owned);
    let rows =
        levels.iter().map(|c| vec![fixed(c.level, 2), fixed(c.length, 2), c.lines.to_string(), c.closed.to_string()]);
    let what = if outcome.stakes.is_some() { "Contours of the subgrade" } else { "Contours" };
    format!("{what} ({})\n{}", outcome.units.length, columns(&head, rows))
}

fn checks(outcome: &Outcome) -> Option<String> {
    let rows = outcome.checks.iter().map(|c| {
        let verdict = if c.pass { "holds" } else { "FAILS" };
        let found = if c.limit == "must" { String::new() } else { format!("{} ({})", c.found_text, c.limit) };
        vec![verdict.to_owned(), c.rule.clone(), c.subject.clone(), found, c.note.clone()]
    });
    (!outcome.checks.is_empty()).then(|| format!("Checks\n{}", columns(&[], rows)))
}

fn cautions(outcome: &Outcome) -> Option<String> {
    let lines = outcome.cautions.iter().map(|c| format!("{}: {}", c.subject, c.text)).collect::<Vec<_>>();
    (!lines.is_empty()).then(|| format!("Cautions\n{}", bullets(lines.iter().map(String::as_str))))
}

pub(super) fn bullets<'a>(lines: impl IntoIterator<Item = &'a str>) -> String {
    lines.into_iter().map(|l| format!("  - {l}")).collect::<Vec<_>>().join("\n")
}

/// North, north-north-east and so on: the sixteen words a crew uses.
#[must_use]
pub fn compass(azimuth: f64) -> &'static str {
    const WORDS: [&str; 16] =
        ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 16 by construction")]
    let k = ((azimuth.rem_euclid(360.0) / 22.5).round() as usize) % 16;
    WORDS[k]
}
