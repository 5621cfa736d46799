//! Fixed heights, keep-offs and depths held against the dig.

use super::drains::Trenches;
use super::levels::LevelNotes;
use super::site::{Site, Taken};
use super::{SiteJob, deep};
use crate::design::dig::{Dug as Area, Ring};
use crate::design::said::{Guard, Owed};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::level::{Closing, Closure};
use crate::shots::MICRO;
use crate::surface::off;
use crate::units::{Length, LengthUnit, TIE, fixed};
use crate::volume::Dug;

/// The designer's own rules, as said in the job file.
const SAID: &str = "the job file";

/// Every loop and link of the notes; the run is named where there is more than one.
pub(super) fn misclosures(levels: &LevelNotes, unit: LengthUnit) -> Vec<Check> {
    let closures = &levels.reduced.closures;
    let root = levels.root(unit);
    let each = fixed(levels.allowed_each.job_units(), 3);
    let whence = match (levels.allowed_said, levels.closing) {
        (true, _) => "as said",
        (false, Closing::SetUps) => "common practice, no source",
        (false, Closing::Distance(_)) => "third order: NAVEDTRA 14071 chapter 7 and FGCC 1984, from memory",
    };
    let check = |c: &Closure| {
        let name =
            if closures.len() > 1 { format!("level notes, {} to {}", c.from, c.to) } else { "level notes".into() };
        Check {
            rule: "misclosure",
            subject: Subject::Item("survey", name),
            found: c.misclosure.job_units(),
            measure: Measure::Length,
            limit: Limit::Most(c.allowed.job_units()),
            pass: c.holds(),
            source: format!("{each} {} times the root of the {root}; {whence}", unit.code()),
            note: if c.holds() { String::new() } else { "run the levels again before anything is dug".to_owned() },
        }
    };
    closures.iter().map(check).collect()
}

/// Within `least` and `most`, ties in.
fn between(found: f64, least: Option<Length>, most: Option<Length>) -> (Limit, bool) {
    let (least, most) = (least.map(Length::job_units), most.map(Length::job_units));
    let pass = least.is_none_or(|l| found >= l - TIE) && most.is_none_or(|m| found <= m + TIE);
    let limit = match (least, most) {
        (Some(l), Some(m)) => Limit::Between(l, m),
        (Some(l), None) => Limit::Least(l),
        (None, Some(m)) => Limit::Most(m),
        (None, None) => Limit::Must,
    };
    (limit, pass)
}

pub(super) fn fixed_heights(site: &Site<'_>, checks: &mut Vec<Check>) {
    let local = |p: (i64, i64)| site.dig.frame().local(p.0, p.1);
    for fixed in &site.job.said.fixed {
        let (rule, found, limit, pass) = match &fixed.owed {
            Owed::Below { at, height, area, least, most } => {
                let found = height.job_units() - site.dig.areas[*area].finish.height(local(*at));
                let (limit, pass) = between(found, *least, *most);
                ("finish below a fixed height", found, limit, pass)
            }
            Owed::Along { ends, area, within } => {
                let Some(found) = lip(site, &site.dig.areas[*area], ends.map(|(p, z)| (local(p), z.job_units())))
                else {
                    checks.push(untouched(&fixed.name, "no corner of the area lies along the edge"));
                    continue;
                };
                let most = within.job_units();
                ("lip", found, Limit::Most(most), found.abs() <= most + TIE)
            }
            Owed::Riser { areas, least, most } => {
                let worst = riser(site, *areas, *least, *most);
                let Some(found) = worst else {
                    checks.push(untouched(&fixed.name, "the areas have no edge in common"));
                    continue;
                };
                let (limit, pass) = between(found, *least, *most);
                ("riser", found, limit, pass)
            }
        };
        checks.push(Check {
            rule,
            subject: Subject::Item("fixed", fixed.name.clone()),
            found,
            measure: Measure::Length,
            limit,
            pass,
            source: SAID.to_owned(),
            note: String::new(),
        });
    }
}

/// A fixed height the design does not come near: a finding, for nothing was checked.
fn untouched(name: &str, why: &str) -> Check {
    Check {
        rule: "a fixed height is met",
        subject: Subject::Item("fixed", name.to_owned()),
        found: 0.0,
        measure: Measure::Count,
        limit: Limit::Must,
        pass: false,
        source: SAID.to_owned(),
        note: why.to_owned(),
    }
}

/// Finish less the straight edge, where it is greatest, over the corners of the area that lie along the edge.
fn lip(site: &Site<'_>, area: &Area<'_>, [(a, za), (b, zb)]: [([f64; 2], f64); 2]) -> Option<f64> {
    let near = f64::from(crate::surface::same_place(site.job.unit));
    let along = [b[0] - a[0], b[1] - a[1]];
    let whole = along[0] * along[0] + along[1] * along[1];
    // Every place at which the finish may break, its corners among them.
    let corners = area.pieces.iter().flat_map(|t| t.place);
    corners
        .filter(|&p| off(p, a, b) <= near)
        .map(|p| {
            let part = ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / whole;
            area.finish.height(p) - (za + part * (zb - za))
        })
        .max_by(|x, y| x.abs().total_cmp(&y.abs()))
}

/// First area's finish less the second's on their common edges, where it is farthest out.
fn riser(site: &Site<'_>, areas: [usize; 2], least: Option<Length>, most: Option<Length>) -> Option<f64> {
    let middle = match (least, most) {
        (Some(l), Some(m)) => f64::midpoint(l.job_units(), m.job_units()),
        (Some(l), None) | (None, Some(l)) => l.job_units(),
        (None, None) => 0.0,
    };
    let ends =
        site.dig.steps.iter().filter(|s| s.areas == areas || s.areas == [areas[1], areas[0]]).flat_map(|s| s.ends);
    let heights = ends.map(|p| {
        let p = site.dig.frame().local(p.0, p.1);
        site.dig.areas[areas[0]].finish.height(p) - site.dig.areas[areas[1]].finish.height(p)
    });
    // One-sided limits are failed on one side only.
    let badness = |h: f64| match (least, most) {
        (Some(l), None) => l.job_units() - h,
        (None, Some(m)) => h - m.job_units(),
        _ => (h - middle).abs(),
    };
    heights.max_by(|a, b| badness(*a).total_cmp(&badness(*b)))
}

/// The dug pieces of an area, of its over-dig and of its battered sides, each with what to call it before the area's name.
type Pieces = [(Dug, &'static str); 3];

fn dug(site: &Site<'_>, k: usize) -> Pieces {
    let area = &site.dig.areas[k];
    let stays = area.section.topsoil_may_stay;
    let limit = site.limit.as_ref();
    let own = Dug::of(&site.existing, limit, area.floor(), stays);
    let of = |all: &[Ring], stays| {
        let own = all.iter().filter(|r| r.area == k).flat_map(Ring::floor_triangles);
        Dug::of(&site.existing, limit, own, stays)
    };
    [(own, ""), (of(&site.dig.rings, stays), "over-dig of "), (of(&site.dig.batters, true), "batter of ")]
}

pub(super) fn keep_offs(site: &Site<'_>, checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    if site.job.said.keep_offs.is_empty() {
        return;
    }
    let pieces: Vec<Pieces> = (0..site.dig.areas.len()).map(|k| dug(site, k)).collect();
    let local = |p: &(i64, i64)| site.dig.frame().local(p.0, p.1);
    for keep_off in &site.job.said.keep_offs {
        match &keep_off.what {
            Guard::RootCircle { at, radius } => {
                circle(site, &pieces, &keep_off.name, (local(at), radius.job_units()), checks);
            }
            Guard::Footing { line, bottom, slope } => {
                let line: Vec<[f64; 2]> = line.iter().map(local).collect();
                footing(site, &pieces, &keep_off.name, (&line, bottom.job_units(), slope.1 / slope.0), checks);
            }
            Guard::Utility { line, within } => {
                let line: Vec<[f64; 2]> = line.iter().map(local).collect();
                utility(site, &pieces, &keep_off.name, (&line, *within), cautions);
            }
        }
    }
}

fn circle(site: &Site<'_>, pieces: &[Pieces], name: &str, (at, radius): ([f64; 2], f64), checks: &mut Vec<Check>) {
    let mut clear = true;
    for (area, parts) in site.dig.areas.iter().zip(pieces) {
        let found: f64 = parts.iter().map(|(dug, _)| dug.in_circle(at, radius * MICRO)).sum();
        if found <= TIE {
            continue;
        }
        clear = false;
        let inside: Vec<String> = (0..site.job.existing.len())
            .filter(|&r| {
                let place = (site.job.existing.northing[r], site.job.existing.easting[r]);
                let p = site.dig.frame().local(place.0, place.1);
                (p[0] - at[0]).hypot(p[1] - at[1]) <= radius * MICRO && area.region.closed_holds(p)
            })
            .map(|r| site.job.existing.names.get(r).to_owned())
            .collect();
        let stakes = if inside.is_empty() { String::new() } else { format!("; stakes {} inside", inside.join(", ")) };
        checks.push(Check {
            rule: "keep off: root circle",
            subject: Subject::Item("keep_off", format!("{} in {name}", area.said.name)),
            found,
            measure: Measure::Area,
            limit: Limit::Most(0.0),
            pass: false,
            source: "1.25 ft of radius to an inch of trunk, or as said; state extension services, from memory"
                .to_owned(),
            note: format!("no machine inside; dig by hand or air, or build upward{stakes}"),
        });
    }
    if clear {
        checks.push(Check {
            rule: "keep off: root circle",
            subject: Subject::Item("keep_off", name.to_owned()),
            found: 0.0,
            measure: Measure::Area,
            limit: Limit::Most(0.0),
            pass: true,
            source: "1.25 ft of radius to an inch of trunk, or as said; state extension services, from memory"
                .to_owned(),
            note: String::new(),
        });
    }
}

fn footing(
    site: &Site<'_>,
    pieces: &[Pieces],
    name: &str,
    (line, bottom, fall): (&[[f64; 2]], f64, f64),
    checks: &mut Vec<Check>,
) {
    let strip = site.job.said.strip.job_units();
    let mut least: Option<(f64, &str)> = None;
    for (area, [(own, _), (past, _), (sides, _)]) in site.dig.areas.iter().zip(pieces) {
        let strip = (!area.section.topsoil_may_stay).then_some(strip);
        for (dug, above) in [(own, area.stop_above), (past, 0.0), (sides, 0.0)] {
            if let Some(over) = dug.over_line(line, bottom, fall, above, strip)
                && least.is_none_or(|(l, _)| over < l)
            {
                least = Some((over, &area.said.name));
            }
        }
    }
    let Some((found, area)) = least else { return };
    let pass = found >= -TIE;
    checks.push(Check {
        rule: "keep off: footing",
        subject: Subject::Item("keep_off", name.to_owned()),
        found,
        measure: Measure::Length,
        limit: Limit::Least(0.0),
        pass,
        source: SAID.to_owned(),
        note: if pass {
            String::new()
        } else {
            format!("{area} goes below the line from the footing's bottom: ask a designer of structures first")
        },
    });
}

fn utility(
    site: &Site<'_>,
    pieces: &[Pieces],
    name: &str,
    (line, within): (&[[f64; 2]], Length),
    cautions: &mut Vec<Caution>,
) {
    let unit = site.job.unit;
    let mut near: Vec<(String, f64)> = Vec::new();
    for (area, parts) in site.dig.areas.iter().zip(pieces) {
        for (dug, what) in parts {
            if let Some(d) = dug.distance(line).filter(|&d| d <= within.job_units() + TIE) {
                near.push((format!("{what}{}", area.said.name), d));
            }
        }
    }
    let Some(least) = near.iter().map(|n| n.1).min_by(f64::total_cmp) else { return };
    let names: Vec<&str> = near.iter().map(|n| n.0.as_str()).collect();
    let text = format!(
        "{} within {} {} of it: hand dig there; the mark gives no depth",
        names.join(", "),
        fixed(least, if unit == LengthUnit::Metre { 2 } else { 1 }),
        unit.length()
    );
    cautions.push(Caution::new(Subject::Item("keep_off", name.to_owned()), text));
}

/// What must be kept off at a place, in words for its stake.
pub(super) fn kept_off(site: &Site<'_>, at: [f64; 2]) -> Vec<String> {
    let local = |p: &(i64, i64)| site.dig.frame().local(p.0, p.1);
    let distance = |line: &[(i64, i64)]| {
        let line: Vec<[f64; 2]> = line.iter().map(local).collect();
        line.windows(2).map(|w| off(at, w[0], w[1])).fold(f64::INFINITY, f64::min) / MICRO
    };
    let said = site.job.said.keep_offs.iter();
    said.filter_map(|k| match &k.what {
        Guard::RootCircle { at: trunk, radius } => {
            let t = local(trunk);
            let away = (t[0] - at[0]).hypot(t[1] - at[1]) / MICRO;
            (away <= radius.job_units() + TIE).then(|| format!("root circle of {}: no machine", k.name))
        }
        Guard::Utility { line, within } => {
            (distance(line) <= within.job_units() + TIE).then(|| format!("{}: hand dig", k.name))
        }
        Guard::Footing { .. } => None,
    })
    .collect()
}

/// What a layer's name says it is, and how thick such a layer is built as a rule, in inches (common practice, no source): outside
/// of it a slipped decimal is likelier than an odd build-up.
const USUAL: [(&[&str], f64, f64); 3] = [
    (&["base", "stone", "gravel", "aggregate"], 2.0, 36.0),
    (&["sand", "bedding", "screening"], 0.5, 4.0),
    (&["topsoil", "soil", "mulch"], 2.0, 36.0),
];

/// Asks about layers of no usual thickness.
pub(super) fn thicknesses(job: &SiteJob, cautions: &mut Vec<Caution>) {
    let inch = Length::inches(1.0, job.unit).job_units();
    for section in &job.said.sections {
        for layer in &section.layers {
            let name = layer.name.to_lowercase();
            // Panels stand for a base and are no base.
            if name.contains("panel") {
                continue;
            }
            let Some((_, least, most)) = USUAL.iter().find(|(words, ..)| words.iter().any(|w| name.contains(w))) else {
                continue;
            };
            let thick = layer.thick.job_units();
            let (side, bound) = match thick {
                t if t < least * inch - TIE => ("thinner", least),
                t if t > most * inch + TIE => ("thicker", most),
                _ => continue,
            };
            let text = format!(
                "{} is {} {} thick, {side} than the usual {} {}: taken as typed; is a decimal slipped?",
                layer.name,
                fixed(thick, 3),
                job.unit.length(),
                fixed(bound * inch, 3),
                job.unit.length()
            );
            cautions.push(Caution::new(Subject::Item("section", section.name.clone()), text));
        }
    }
}

/// Grading permits are often asked from about this much earth moved (50 yd3; town checklists, from memory).
const PERMIT_CUBIC_FEET: f64 = 50.0 * 27.0;

pub(super) fn depths(site: &Site<'_>, taken: &[Taken], runs: &Trenches, cautions: &mut Vec<Caution>) {
    let unit = site.job.unit;
    let foot = Length::of(1.0, LengthUnit::Foot, unit).job_units();
    let spoken = |cubic: f64| fixed(cubic / unit.cubic_per_volume(), 2);
    for (area, t) in site.dig.areas.iter().zip(taken) {
        let subject = || Subject::Area(area.said.name.clone());
        let deepest = t.outline.max_cut.max(t.ring.max_cut).max(t.batter.max_cut);
        cautions.extend(deep(subject(), deepest, unit));
        let undercut = t.outline.undercut + t.ring.undercut;
        if undercut / unit.cubic_per_volume() > 0.005 {
            let text = format!(
                "thin section over {} {} of topsoil: {} {} undercut, stone back",
                fixed(site.job.said.strip.job_units(), 2),
                unit.length(),
                spoken(undercut),
                unit.volume()
            );
            cautions.push(Caution::new(subject(), text));
        }
        if t.outline.fill / unit.cubic_per_volume() > 0.005 {
            let over = if area.section.topsoil_may_stay { " over topsoil that stays" } else { "" };
            let text = format!(
                "{} {} of fill{over}, {} {} at the deepest",
                spoken(t.outline.fill),
                unit.volume(),
                fixed(t.outline.max_fill, 2),
                unit.length()
            );
            cautions.push(Caution::new(subject(), text));
        }
    }
    let trenches: f64 = runs.iter().flatten().map(|t| t.volume).sum();
    let dug: f64 = taken.iter().map(|t| t.outline.dug() + t.ring.dug() + t.batter.dug()).sum();
    let fill: f64 = taken.iter().map(|t| t.outline.fill).sum();
    let moved = (dug + trenches).max(fill);
    if moved > PERMIT_CUBIC_FEET * foot.powi(3) {
        let from = PERMIT_CUBIC_FEET * foot.powi(3) / unit.cubic_per_volume();
        let text = format!(
            "{} {} moved: permits are often asked from {}; ask before digging",
            fixed(moved / unit.cubic_per_volume(), 1),
            unit.volume(),
            fixed(from, 0)
        );
        cautions.push(Caution::new(Subject::Item("job", "excavation".to_owned()), text));
    }
}
