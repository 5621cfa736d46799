//! The drains of a job: what each run and leg comes to, what is dug for it, and what is wrong with it.
//!
//! Flows in cubic job units a second; volumes in yd3 or m3; everything else in job units. A run's cover is the least of finish, or of
//! the ground where nothing is built, over the top of its pipe.

use super::site::Site;
use super::site_catchments::Inflow;
use super::{ProfilePoint, drain_profile};
use crate::design::drains::{Leg, Part, Run, above_flow, at_plane};
use crate::design::said::{Guard, Meets};
use crate::drainage::pipes::{budget, downstream, least_fall, of_run, peak, roughness};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::shots::{MICRO, from_micro};
use crate::surface::off;
use crate::units::{BankVolume, Elevation, Length, LengthUnit, TIE, at_least, fixed};
use crate::volume::{Dug, trench::Taken};
use serde::Serialize;

/// A run of pipe.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DrainRunOut {
    /// Its name.
    pub name: String,
    /// Dug by others.
    pub by_others: bool,
    /// Its nodes, downhill.
    pub points: Vec<DrainPointOut>,
    /// Length in plan.
    pub length: f64,
    /// Fall over length, all legs together.
    pub fall: f64,
    /// Height it loses.
    pub drop: f64,
    /// Least cover over the top of the pipe; absent without survey.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cover: Option<f64>,
    /// Least of the subgrade it serves over its flowline; absent where it serves none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flowline_below: Option<f64>,
    /// What its weakest leg carries, full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity: Option<f64>,
    /// What the storm brings, with everything upstream; absent where that is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak: Option<f64>,
    /// Area inside the outlines whose subgrade drains to it by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contributing: Option<f64>,
    /// The same with what runs upstream take in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with_upstream: Option<f64>,
    /// Area of ground outside the dig that drains to it; not in the peak.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_outside: Option<f64>,
    /// Height left over at the least fall of its pipe.
    pub spare: f64,
    /// How much farther its last leg could go on that.
    pub reach: f64,
    /// Clean-outs on it.
    pub clean_outs: usize,
    /// Width of its trench; absent where others dig it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trench_width: Option<f64>,
    /// Thickness of the bedding under its pipe; absent where others dig it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bedding: Option<f64>,
    /// The run that takes its water on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub into: Option<String>,
    /// Leg by leg, downhill.
    pub legs: Vec<DrainLegOut>,
    /// Ground, finish and subgrade over it from its head to its mouth; for the drawing only.
    #[serde(skip)]
    pub profile: Vec<ProfilePoint>,
}

impl DrainRunOut {
    /// Bottom of the trench at both ends of a leg; none where others dig it.
    #[must_use]
    pub fn bottoms(&self, leg: usize) -> Option<[f64; 2]> {
        let (own, bedding) = (self.legs.get(leg)?, self.bedding?);
        Some([self.points.get(leg)?, self.points.get(leg + 1)?].map(|p| p.invert - own.wall() - bedding))
    }
}

/// A node of a run.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DrainPointOut {
    /// Its name.
    pub name: String,
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
    /// Bottom of the pipe inside.
    pub invert: f64,
    /// Bottom of the trench; absent where others dig it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trench_bottom: Option<f64>,
    /// Whether a clean-out stands here.
    pub clean_out: bool,
}

/// A leg of a run.
#[derive(Clone, Debug, Default, Serialize)]
pub struct DrainLegOut {
    /// `perforated` or `solid`.
    pub kind: String,
    /// Length in plan.
    pub length: f64,
    /// Fall over length, downhill positive.
    pub fall: f64,
    /// Inside diameter.
    pub size: f64,
    /// Outside diameter.
    pub outside: f64,
    /// Roughness its capacity is worked out with.
    pub roughness: f64,
    /// Dug for it, bank: only what lies below everything else that is dug.
    pub trench: f64,
    /// Deepest below the ground as it is today.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
    /// Stone in the trench as placed, less the pipe: all of a perforated leg's, the bedding of a solid one's.
    pub stone: f64,
    /// Ground put back over a solid leg.
    pub backfill: f64,
    /// Fabric round the stone: bottom, both sides and once over the top.
    pub fabric: f64,
    /// Where the holes of a perforated leg point: `down` or `up`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub holes: Option<&'static str>,
}

impl DrainLegOut {
    /// Thickness of the wall.
    #[must_use]
    pub fn wall(&self) -> f64 {
        (self.outside - self.size) / 2.0
    }
}

/// What is dug for each leg, run by run.
pub(super) type Trenches = Vec<Vec<Taken>>;

/// Everything dug for pipes.
pub(super) fn account(site: &Site<'_>) -> Trenches {
    let mut out: Trenches = site.runs.iter().map(|r| vec![Taken::default(); r.legs.len()]).collect();
    let strip = site.job.said.strip.job_units();
    for part in &site.trenches {
        let (run, leg) = part.leg;
        out[run][leg] = out[run][leg].with(&Taken::of(&site.existing, site.limit.as_ref(), part, strip));
    }
    out
}

fn width(run: &Run<'_>) -> f64 {
    run.said.trench.as_ref().map_or(0.0, |t| t.width.job_units())
}

fn under(run: &Run<'_>) -> f64 {
    run.said.trench.as_ref().map_or(0.0, |t| t.under_pipe.job_units())
}

fn kind(leg: &Leg) -> &'static str {
    if leg.perforated { "perforated" } else { "solid" }
}

/// Least cover over a leg.
fn cover(run: &Run<'_>, leg: &Leg, taken: &Taken) -> Option<f64> {
    Some(taken.least_over? - under(run) - leg.outside())
}

fn least(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.min_by(f64::total_cmp)
}

/// `inflow`: by run, what drains to it by itself, where that was worked out.
pub(super) fn out(site: &Site<'_>, taken: &Trenches, inflow: Option<&[Inflow]>) -> Vec<DrainRunOut> {
    let unit = site.job.unit;
    let own = |of: fn(&Inflow) -> Option<f64>| -> Vec<Option<f64>> {
        (0..site.runs.len()).map(|r| inflow.and_then(|all| of(&all[r]))).collect()
    };
    let (runoff, areas) = (own(|i| i.runoff), own(|i| Some(i.area)));
    let [runoff, with_upstream] = [&runoff, &areas].map(|own| downstream(&site.runs, own));
    let drains = site.runs.iter().enumerate().filter(|(_, run)| !run.legs.is_empty()).map(|(r, run)| {
        let bottom = |k: usize| {
            let leg = run.legs[k.min(run.legs.len() - 1)];
            run.said.trench.is_some().then(|| run.inverts[k] - leg.wall - under(run))
        };
        let point = |k: usize| {
            let node = &run.said.nodes[k];
            DrainPointOut {
                name: node.name.clone(),
                northing: from_micro(node.place.0),
                easting: from_micro(node.place.1),
                invert: run.inverts[k],
                trench_bottom: bottom(k).filter(|_| !run.said.by_others),
                clean_out: node.clean_out,
            }
        };
        let length: f64 = run.legs.iter().map(|l| l.length).sum();
        let drop = run.inverts[0] - run.inverts[run.legs.len()];
        let (spare, reach) = budget(run).unwrap_or_default();
        DrainRunOut {
            name: run.said.name.clone(),
            by_others: run.said.by_others,
            points: (0..run.inverts.len()).map(point).collect(),
            length,
            fall: drop / length,
            drop,
            cover: least(run.legs.iter().zip(&taken[r]).filter_map(|(leg, t)| cover(run, leg, t))),
            flowline_below: flowline(site, run),
            capacity: of_run(run, unit),
            peak: site.job.said.storm.zip(runoff[r]).map(|(storm, area)| peak(storm.job_units(), area)),
            contributing: areas[r],
            with_upstream: with_upstream[r],
            from_outside: inflow.map(|all| all[r].outside),
            spare,
            reach,
            clean_outs: run.said.nodes.iter().filter(|n| n.clean_out).count(),
            trench_width: (!run.said.by_others && width(run) > 0.0).then(|| width(run)),
            bedding: run.said.trench.as_ref().filter(|_| !run.said.by_others).map(|t| t.under_pipe.job_units()),
            into: run.into.map(|k| site.runs[k].said.name.clone()),
            legs: run.legs.iter().zip(&taken[r]).map(|(leg, t)| leg_out(run, leg, t, unit)).collect(),
            profile: drain_profile::profile(site, run),
        }
    });
    drains.collect()
}

fn leg_out(run: &Run<'_>, leg: &Leg, taken: &Taken, unit: LengthUnit) -> DrainLegOut {
    let spoken = |cubic: f64| BankVolume::cubic_job_units(cubic).spoken(unit);
    let pipe = std::f64::consts::PI / 4.0 * leg.outside() * leg.outside() * leg.length;
    let inside = (taken.volume - pipe).max(0.0);
    let bedding = (under(run) * width(run) * leg.length).min(inside);
    let stone = if leg.perforated { inside } else { bedding };
    let lined = leg.perforated && run.said.trench.as_ref().is_some_and(|t| t.fabric.is_some());
    DrainLegOut {
        kind: kind(leg).to_owned(),
        length: leg.length,
        fall: leg.fall(),
        size: leg.size,
        outside: leg.outside(),
        roughness: roughness(leg.perforated),
        trench: spoken(taken.volume),
        depth: taken.deepest,
        stone: spoken(stone),
        backfill: spoken(inside - stone),
        fabric: if lined { 2.0 * (width(run) * leg.length + taken.volume / width(run)) } else { 0.0 },
        holes: leg.perforated.then_some(if leg.holes_up { "up" } else { "down" }),
    }
}

fn flowline(site: &Site<'_>, run: &Run<'_>) -> Option<f64> {
    let legs = run.legs.iter().filter(|l| l.perforated && !run.said.by_others);
    least(legs.filter_map(|leg| above_flow(leg, width(run), &site.dig)))
}

/// Places along trenches every so much, and at ends and bends: name, place, bottom of the trench.
pub(super) fn stakes(site: &Site<'_>) -> Vec<(String, (i64, i64), f64, f64)> {
    let mut out = Vec::new();
    for run in site.runs.iter().filter(|r| !r.said.by_others && r.said.trench.is_some()) {
        let mut number = 0;
        let mut add = |place: (i64, i64), invert: f64, wall: f64| {
            number += 1;
            out.push((format!("drain {}.{number}", run.said.name), place, invert - wall - under(run), invert));
        };
        for (k, leg) in run.legs.iter().enumerate() {
            let [from, to] = [run.said.nodes[k].place, run.said.nodes[k + 1].place];
            add(from, leg.inverts[0], leg.wall);
            let every = site.job.said.trench_every.map_or(f64::INFINITY, Length::job_units);
            let mut at = every;
            while at < leg.length - TIE {
                let part = at / leg.length;
                #[expect(clippy::cast_possible_truncation, reason = "between two places of the site")]
                let mix = |a: i64, b: i64| a + ((b - a) as f64 * part).round() as i64;
                add((mix(from.0, to.0), mix(from.1, to.1)), leg.inverts[0] - leg.fall() * at, leg.wall);
                at += every;
            }
        }
        if let (Some(leg), Some(node)) = (run.legs.last(), run.said.nodes.last()) {
            add(node.place, leg.inverts[1], leg.wall);
        }
    }
    out
}

/// Trenches this deep need protected sides, and this deep an engineer's design (29 CFR 1926 subpart P), in feet.
const PROTECT_FEET: f64 = 5.0;
const ENGINEER_FEET: f64 = 20.0;

/// Holds the runs against their rules.
pub(super) fn checks(
    site: &Site<'_>,
    taken: &Trenches,
    out: &[DrainRunOut],
    checks: &mut Vec<Check>,
    cautions: &mut Vec<Caution>,
) {
    let unit = site.job.unit;
    let decimals = if unit == LengthUnit::Metre { 3 } else { 2 };
    let foot = Length::of(1.0, LengthUnit::Foot, unit).job_units();
    for (r, run) in site.runs.iter().enumerate().filter(|(_, run)| !run.legs.is_empty()) {
        let name = format!("drain {}", run.said.name);
        let item = |text: String| Subject::Item("drain", text);
        for (k, leg) in run.legs.iter().enumerate() {
            let twins = run.legs.iter().filter(|l| l.perforated == leg.perforated).count();
            let from = &run.said.nodes[k].name;
            let which = if twins > 1 { format!(" from {from}") } else { String::new() };
            checks.push(fall(leg, item(format!("{name}, {} leg{which}", kind(leg))), from, decimals));
        }
        if let (Some(node), Some(&invert)) = (run.said.nodes.last(), run.inverts.last()) {
            let mouth = match (node.meets, run.into) {
                (Meets::Invert(mouth), _) => mouth.map(Elevation::job_units),
                (_, Some(next)) => site.runs[next].inverts.first().copied(),
                _ => None,
            };
            checks.extend(mouth.map(|mouth| Check {
                rule: "invert above outlet",
                subject: item(format!("{name} at {}", node.name)),
                found: invert - mouth,
                measure: Measure::Length,
                limit: Limit::Least(0.0),
                pass: at_least(invert - mouth, 0.0),
                source: "water does not run uphill".to_owned(),
                note: if at_least(invert - mouth, 0.0) {
                    String::new()
                } else {
                    format!("raise the run to {} or more here", fixed(mouth, decimals))
                },
            }));
        }
        let Some(own) = out.iter().find(|d| d.name == run.said.name) else { continue };
        if let (Some(peak), Some(capacity)) = (own.peak.filter(|q| *q > 0.0), own.capacity) {
            checks.push(Check {
                rule: "pipe carries the storm",
                subject: item(name.clone()),
                found: capacity / peak,
                measure: Measure::Count,
                limit: Limit::Least(1.0),
                pass: at_least(capacity, peak),
                source: "Manning at full flow over the rational method; n from FHWA HDS-5 and HEC-22, from memory"
                    .to_owned(),
                note: if at_least(capacity, peak) {
                    String::new()
                } else {
                    "take a larger pipe or more fall".to_owned()
                },
            });
        }
        if run.said.by_others {
            continue;
        }
        if let Some(found) = own.flowline_below {
            let size = run.legs.iter().filter(|l| l.perforated).map(|l| l.size).fold(0.0, f64::max);
            let wish = size + foot / 6.0;
            checks.push(Check {
                rule: "flowline below the subgrade it serves",
                subject: item(name.clone()),
                found,
                measure: Measure::Length,
                limit: Limit::Least(size),
                pass: at_least(found, size),
                source: "the pipe lies below what it drains (common practice, no source)".to_owned(),
                note: if at_least(found, size) {
                    String::new()
                } else {
                    "lower the pipe, or raise the subgrade".to_owned()
                },
            });
            if found < wish + foot / 50.0 {
                let text = format!(
                    "flowline {} {} below the subgrade it serves; {} would keep the pipe and 2 in below it",
                    fixed(found, decimals),
                    unit.length(),
                    fixed(wish, decimals)
                );
                cautions.push(Caution::new(item(name.clone()), text));
            }
        }
        if let Some(found) = own.cover {
            checks.push(Check {
                rule: "cover over the pipe",
                subject: item(name.clone()),
                found,
                measure: Measure::Length,
                limit: Limit::Least(0.0),
                pass: at_least(found, 0.0),
                source: "a pipe in the ground is covered; under wheels follow its maker".to_owned(),
                note: if at_least(found, 0.0) {
                    String::new()
                } else {
                    "the pipe comes out of the ground: lower it".to_owned()
                },
            });
        }
        let uncovered: f64 = taken[r].iter().map(|t| t.uncovered).sum();
        if uncovered > 1e-6 {
            let text = format!(
                "{} {} of its trench have no survey under them and are not counted",
                fixed(uncovered, 1),
                unit.area()
            );
            cautions.push(Caution::new(item(name.clone()), text));
        }
        let deepest = taken[r].iter().filter_map(|t| t.deepest).fold(0.0, f64::max);
        if deepest >= PROTECT_FEET * foot - TIE {
            let engineer =
                if deepest > ENGINEER_FEET * foot { "; beyond 20 ft (6.1 m) an engineer designs it" } else { "" };
            let text = format!(
                "trench {} {} below today's ground: from 5 ft (1.5 m), and at any depth in loose or wet ground, its sides are protected and a competent person looks each day; spoil 2 ft back, a way out within 25 ft; nobody enters to just fix the pipe{engineer} (29 CFR 1926 subpart P)",
                fixed(deepest, decimals),
                unit.length()
            );
            cautions.push(Caution::new(item(name.clone()), text));
        }
        keep_offs(site, r, &name, checks, cautions);
    }
}

fn fall(leg: &Leg, subject: Subject, from: &str, decimals: usize) -> Check {
    let (found, least) = (leg.fall(), least_fall(leg.perforated));
    let pass = at_least(found, least);
    let places = if decimals == 3 { 1e3 } else { 1e2 };
    let wanted = ((leg.inverts[1] + least * leg.length) * places - 1e-6).ceil() / places;
    let way = match found {
        f if f < -TIE => "it runs backward: ",
        f if f.abs() <= TIE => "it lies level: ",
        _ => "",
    };
    Check {
        rule: "pipe fall",
        subject,
        found,
        measure: Measure::Slope,
        limit: Limit::Least(least),
        pass,
        source: "0.5 % for perforated, 1 % for solid pipe: common practice, no source; codes ask up to 1/8 in/ft"
            .to_owned(),
        note: if pass {
            String::new()
        } else {
            format!("{way}raise the invert at {from} to {} or more", fixed(wanted, decimals))
        },
    }
}

/// Trenches against roots, footings and utilities: what is near is said, what is clear is not.
fn keep_offs(site: &Site<'_>, r: usize, name: &str, checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    let unit = site.job.unit;
    let run = &site.runs[r];
    let local = |p: &(i64, i64)| site.dig.frame().local(p.0, p.1);
    let parts: Vec<&Part> = site.trenches.iter().filter(|p| p.leg.0 == r).collect();
    let pieces: Vec<_> = parts.iter().filter_map(|p| Some((p.dug()?, p.bottom))).collect();
    let floor = pieces.iter().flat_map(|(piece, bottom)| at_plane(piece, *bottom, 0.0));
    let dug = Dug::of(&site.existing, site.limit.as_ref(), floor, true);
    for keep_off in &site.job.said.keep_offs {
        let mut failed = |rule, found, measure, limit, note: &str| {
            let subject = Subject::Item("keep_off", format!("{name} in {}", keep_off.name));
            let (source, note) = ("the job file".to_owned(), note.to_owned());
            checks.push(Check { rule, subject, found, measure, limit, pass: false, source, note });
        };
        match &keep_off.what {
            Guard::RootCircle { at, radius } => {
                let (at, radius) = (local(at), radius.job_units());
                let found = dug.in_circle(at, radius * MICRO);
                if found > TIE {
                    let note = "no machine inside; lead the trench round, or dig by hand or air";
                    failed("keep off: root circle", found, Measure::Area, Limit::Most(0.0), note);
                }
                let near = |leg: &&Leg| off(at, leg.ends[0], leg.ends[1]) < radius * MICRO - 1.0;
                let roots = run.legs.iter().filter(|l| l.perforated).find(near);
                if let Some(leg) = roots {
                    let found = off(at, leg.ends[0], leg.ends[1]) / MICRO;
                    let note = "roots grow into its holes: solid pipe inside the circle";
                    failed("perforated pipe clear of roots", found, Measure::Length, Limit::Least(radius), note);
                }
            }
            Guard::Footing { line, bottom, slope } => {
                let line: Vec<[f64; 2]> = line.iter().map(local).collect();
                let over = dug.over_line(&line, bottom.job_units(), slope.1 / slope.0, 0.0, None);
                if let Some(found) = over.filter(|o| *o < -TIE) {
                    let note =
                        "the trench goes below the line from the footing's bottom: ask a designer of structures first";
                    failed("keep off: footing", found, Measure::Length, Limit::Least(0.0), note);
                }
            }
            Guard::Utility { line, within } => {
                let line: Vec<[f64; 2]> = line.iter().map(local).collect();
                if let Some(found) = dug.distance(&line).filter(|d| *d <= within.job_units() + TIE) {
                    let places = if unit == LengthUnit::Metre { 2 } else { 1 };
                    let text = format!(
                        "trench of {name} within {} {} of it: hand dig there; the mark gives no depth",
                        fixed(found, places),
                        unit.length()
                    );
                    cautions.push(Caution::new(Subject::Item("keep_off", keep_off.name.clone()), text));
                }
            }
        }
    }
}
