//! From what was said to what comes out.

use super::cover::{nothing_shared, uncovered};
use super::ponds::ponds_out;
use super::{
    DoubtOut, DrainageOut, EXISTING, FallsOut, FlatOut, Job, Outcome, PROPOSED, Parts, PathOut, StakeOut, SurveyOut,
    TotalOut, VolumeOut, caution_out, check_out, deep, field, picture, region, staking, survey, suspects, trimmed,
    units_out,
};
use crate::design::Bare;
use crate::drainage::{End, Fall, Outlet, Path, Paths, Slopes, WaysOut, slopes};
use crate::finding::{Caution, Check, Limit, Measure, Refusal, Subject};
use crate::par::{self, Progress};
use crate::shots::{Frame, Kind, Shots};
use crate::stakes::{Place, Stake, spacing, walking_order};
use crate::surface::{Position, Region, Surface};
use crate::units::{BankVolume, Elevation, Length, LengthUnit, fixed};
use crate::volume::{Overlay, diagonal_doubt, overlay};
use std::collections::{HashMap, HashSet};

/// What [`evaluate`] works with once the input has proved usable.
pub(super) struct Ground<'a> {
    pub job: &'a Job,
    pub existing: Surface,
    pub design: Bare,
    pub region: Option<Region>,
    pub outlets: Vec<Outlet>,
}

/// Works out the asked parts of a job.
///
/// # Errors
/// Every reason why the input cannot be used, all at once.
pub fn evaluate(job: &Job, parts: Parts, progress: Progress<'_>) -> Result<Outcome, Vec<Refusal>> {
    let mut cautions = job.cautions.clone();
    let ground = prepare(job, &mut cautions, progress)?;
    let mut checks: Vec<Check> = Vec::new();
    let mut out = Outcome {
        job: job.name.clone(),
        units: units_out(job.unit),
        defaults: job.defaults.clone(),
        ..Outcome::default()
    };
    let total = overlay(&ground.existing, &ground.design.subgrade, ground.region.as_ref(), progress);
    if total.area <= 0.0 {
        return Err(vec![nothing_shared(job.limit.is_some(), PROPOSED)]);
    }
    cautions.extend(deep(Subject::Job, total.max_cut, job.unit));
    let (mut looks, roughness) =
        suspects::look(&ground.existing, &job.existing, None, job.shot_error, job.unit, &mut cautions);
    if parts.volume {
        out.volume = Some(volume_out(&ground, &total, &mut cautions));
    }
    let mut stakes = Vec::new();
    if parts.stakes || parts.drainage || parts.plan {
        stakes = all_stakes(&ground, &mut cautions);
    }
    if parts.drainage {
        let falls = drainage_out(&ground, &stakes, (&mut checks, &mut cautions), progress);
        let named = stakes.iter().map(|s| ((s.place.northing, s.place.easting), s.place.name.as_str()));
        let ways = WaysOut { outlets: ground.outlets.clone(), ..WaysOut::default() };
        let ponds = ponds_out(&ground.design.subgrade, &ways, job.unit, named);
        out.drainage = Some(DrainageOut { falls: Some(falls), ponds, ..DrainageOut::default() });
    }
    if parts.stakes || parts.plan {
        let paths = out.falls().map(|d| d.paths.as_slice()).unwrap_or_default();
        out.stakes = Some(stakes_out(&ground, &stakes, paths));
        suspects::cuts(&mut looks, out.stakes.as_deref().unwrap_or_default());
        cautions.extend(above_sight(job, out.stakes.as_deref().unwrap_or_default()));
    }
    out.survey = roughness.map(|r| SurveyOut { suspects: looks, roughness: Some(r), ..SurveyOut::default() });
    if let (Some(step), true) = (job.interval, parts.plan) {
        let surveys = [(EXISTING, &ground.existing), (PROPOSED, &ground.design.subgrade)];
        let slips = surveys.map(|(name, surface)| picture::every(surface, step.job_units(), name).err());
        let slips: Vec<Refusal> = slips.into_iter().flatten().collect();
        if !slips.is_empty() {
            return Err(slips);
        }
    }
    if parts.plan {
        let (mut plan, contours) = picture::plan(&ground, &total, out.falls());
        out.field = Some(field::of_ground(&ground, &plan));
        plan.marks = staking::bare_marks(job);
        plan.check_stakes = staking::check_stakes(out.stakes.as_deref().unwrap_or_default());
        out.plan = Some(plan);
        out.contours = Some(contours);
    }
    out.checks = checks.iter().map(|c| check_out(c, job.unit)).collect();
    out.cautions = cautions.iter().map(caution_out).collect();
    Ok(out)
}

fn prepare<'a>(job: &'a Job, cautions: &mut Vec<Caution>, progress: Progress<'_>) -> Result<Ground<'a>, Vec<Refusal>> {
    let frame = Frame::of(&[&job.existing, &job.proposed]);
    progress("surfaces", 0.0);
    let built = |shots, lines: &[_], name| survey::surface(shots, lines, job.unit, frame, name);
    let (existing, proposed) = par::both(
        || built(&job.existing, &job.existing_lines, EXISTING),
        || built(&job.proposed, &job.proposed_lines, PROPOSED),
    );
    progress("surfaces", 1.0);
    let region = region(job.limit.as_deref(), frame);
    let mut refusals = Vec::new();
    let mut keep = |r: Vec<Refusal>| refusals.extend(r);
    let existing = existing.map_err(&mut keep).ok();
    let proposed = proposed.map_err(&mut keep).ok();
    let region = region.map_err(|r| keep(vec![r])).ok();
    let (Some((existing, asked)), Some((proposed, asked_too)), Some(region)) = (existing, proposed, region) else {
        return Err(refusals);
    };
    cautions.extend(asked.into_iter().chain(asked_too));
    cautions.extend(survey::astray(&job.existing_lines, &job.existing, EXISTING));
    cautions.extend(survey::astray(&job.proposed_lines, &job.proposed, PROPOSED));
    let outlets =
        job.outlets.iter().map(|(name, n, e)| Outlet { name: name.clone(), place: frame.local(*n, *e) }).collect();
    let design = Bare::new(&proposed, job.proposed_is, job.build_up);
    Ok(Ground { job, existing, design, region, outlets })
}

fn volume_out(ground: &Ground<'_>, total: &Overlay, cautions: &mut Vec<Caution>) -> VolumeOut {
    let (unit, region) = (ground.job.unit, ground.region.as_ref());
    let surveys = [(EXISTING, &ground.existing), (PROPOSED, &ground.design.subgrade)];
    let uncovered = uncovered(surveys, region, total.area, unit, cautions);
    let doubt = diagonal_doubt(&ground.existing, &ground.design.subgrade, region);
    VolumeOut {
        total: total_out(total, unit, false),
        uncovered,
        doubt: DoubtOut { diagonal: BankVolume::cubic_job_units(doubt).spoken(unit) },
        ..VolumeOut::default()
    }
}

pub(super) fn total_out(total: &Overlay, unit: LengthUnit, bare: bool) -> TotalOut {
    let spoken = |cubic: f64| BankVolume::cubic_job_units(cubic).spoken(unit);
    TotalOut {
        cut: spoken(total.cut),
        fill: spoken(total.fill),
        net: bare.then(|| spoken(total.cut - total.fill)),
        area: total.area,
        cut_area: total.cut_area,
        fill_area: total.fill_area,
        mean_cut: if total.area > 0.0 { total.cut / total.area } else { 0.0 },
        max_cut: total.max_cut,
        max_fill: total.max_fill,
    }
}

/// Ground shots, proposed shots beside them, and outlets that are neither; in walking order.
fn all_stakes(ground: &Ground<'_>, cautions: &mut Vec<Caution>) -> Vec<Stake> {
    let job = ground.job;
    let place = |shots: &Shots, row: usize, shot| Place {
        name: shots.names.get(row).to_owned(),
        northing: shots.northing[row],
        easting: shots.easting[row],
        shot,
    };
    let mut places: Vec<Place> =
        job.existing.ground_rows().map(|r| place(&job.existing, r, Some(job.existing.elevation[r]))).collect();
    let taken: HashSet<(i64, i64)> = places.iter().map(|p| (p.northing, p.easting)).collect();
    let names: HashSet<&str> = job.existing.ground_rows().map(|r| job.existing.names.get(r)).collect();
    let mut twice = Vec::new();
    for row in job.proposed.ground_rows() {
        let mut p = place(&job.proposed, row, None);
        if taken.contains(&(p.northing, p.easting)) {
            continue;
        }
        if names.contains(p.name.as_str()) {
            twice.push(p.name.clone());
            p.name.push_str(" (proposed)");
        }
        places.push(p);
    }
    if let Some(first) = twice.first() {
        let text = if twice.len() == 1 {
            format!(
                "{first} stands at different places in the two tables; the proposed one is listed as `{first} (proposed)`"
            )
        } else {
            format!(
                "{} names, such as {first}, stand at different places in the two tables; the proposed ones are listed as `{first} (proposed)` and so on",
                twice.len()
            )
        };
        cautions.push(Caution::new(Subject::Table(PROPOSED.to_owned()), text));
    }
    for (name, n, e) in &job.outlets {
        if !places.iter().any(|p| (p.northing, p.easting) == (*n, *e)) {
            places.push(Place { name: name.clone(), northing: *n, easting: *e, shot: None });
        }
    }
    let order = walking_order(&places, spacing(&ground.existing));
    let mut places: Vec<Option<Place>> = places.into_iter().map(Some).collect();
    order
        .into_iter()
        .filter_map(|k| places[k].take())
        .map(|p| Stake::at(p, &ground.existing, &ground.design.finish, &ground.design.subgrade))
        .collect()
}

fn stakes_out(ground: &Ground<'_>, stakes: &[Stake], paths: &[PathOut]) -> Vec<StakeOut> {
    let job = ground.job;
    let benches: Vec<(String, Elevation)> = (0..job.existing.len())
        .filter(|&r| job.existing.kind[r] == Kind::Bench)
        .map(|r| (job.existing.names.get(r).to_owned(), Elevation::in_job_units(job.existing.elevation[r])))
        .collect();
    let ways: HashMap<&str, String> = paths.iter().map(|p| (p.stake.as_str(), p.way())).collect();
    let subgrade = &ground.design.subgrade;
    stakes
        .iter()
        .map(|stake| {
            let (n, e) = (stake.place.northing, stake.place.easting);
            let local = subgrade.net().frame().local(n, e);
            let fall = match subgrade.net().locate(local, None) {
                Position::In(t) => Some(Fall::of(subgrade, t)),
                Position::Outside => None,
            };
            let inside = ground.region.as_ref().is_none_or(|r| r.holds(local));
            let cut_fill = stake.cut_fill();
            let mut notes = Vec::new();
            if stake.dig_to.is_none() {
                notes.push("outside the proposed shots".to_owned());
            }
            if stake.existing.is_none() {
                notes.push("no ground shot near: no cut known".to_owned());
            }
            if !inside {
                notes.push("outside the limit".to_owned());
            }
            StakeOut {
                stake: stake.place.name.clone(),
                northing: crate::shots::from_micro(n),
                easting: crate::shots::from_micro(e),
                existing: stake.existing.map(Elevation::job_units),
                finish: stake.finish.map(Elevation::job_units),
                subgrade: stake.subgrade.map(Elevation::job_units),
                dig_to: stake.dig_to.map(Elevation::job_units),
                cut: cut_fill.map(|c| c.cut().job_units()),
                fill: cut_fill.map(|c| c.fill().job_units()),
                cut_text: cut_fill.map(|c| c.lath(job.unit)),
                drop: benches
                    .iter()
                    .filter_map(|(name, z)| stake.drop_below(*z).map(|d| (name.clone(), d.job_units())))
                    .collect(),
                rod: job.set_up.as_ref().and_then(|(s, _)| stake.rod(*s)).map(Length::job_units),
                slope: fall.map(|f| f.slope.ratio()),
                azimuth: fall.map(|f| f.azimuth),
                drains_to: ways.get(stake.place.name.as_str()).cloned(),
                notes,
                ..StakeOut::default()
            }
        })
        .collect()
}

/// A rod on its foot cannot read below 0: the height of instrument is wrong, or the level must move.
fn above_sight(job: &Job, stakes: &[StakeOut]) -> Option<Caution> {
    let (_, said) = job.set_up.as_ref()?;
    let above: Vec<&str> = stakes.iter().filter(|s| s.rod.is_some_and(|r| r < 0.0)).map(|s| s.stake.as_str()).collect();
    let text =
        format!("{} to be dug above the line of sight, {said}: the rod is below 0; check the set-up", listed(&above));
    (!above.is_empty()).then(|| Caution::new(Subject::Job, text))
}

/// Names as a sentence can bear them.
fn listed(names: &[&str]) -> String {
    match names.len() {
        0..=12 => names.join(", "),
        more => format!("{} and {} more", names[..12].join(", "), more - 12),
    }
}

/// Paths followed in one go.
const PATHS_AT_ONCE: usize = 2048;
/// Paths drawn on the plan; past these a plan would be black with them.
const DRAWN_PATHS: usize = 400;

fn drainage_out(
    ground: &Ground<'_>,
    stakes: &[Stake],
    (checks, cautions): (&mut Vec<Check>, &mut Vec<Caution>),
    progress: Progress<'_>,
) -> FallsOut {
    let job = ground.job;
    let subgrade = &ground.design.subgrade;
    let falls = slopes(subgrade, ground.region.as_ref(), job.min_fall);
    check_falls(job, &falls, checks);
    let frame = subgrade.net().frame();
    for outlet in &ground.outlets {
        if subgrade.height_local(outlet.place).is_none() {
            cautions.push(Caution::new(
                Subject::Outlet(outlet.name.clone()),
                "lies outside the proposed shots: no water can be followed to it",
            ));
        }
    }
    let reach = if job.unit == LengthUnit::Metre { 0.005 } else { Outlet::REACH };
    let first = Paths::new(subgrade, &ground.outlets, reach);
    let draw = stakes.len() <= DRAWN_PATHS;
    // What a path is does not depend on what is remembered, so each thread may remember its own.
    let parts = par::chunks_with(
        stakes.len(),
        PATHS_AT_ONCE,
        "water",
        progress,
        || first.beginning(),
        |paths, range| {
            let from = |s: &'_ Stake| frame.local(s.place.northing, s.place.easting);
            range.map(|k| paths.from(from(&stakes[k]), draw)).collect::<Vec<_>>()
        },
    );
    let found: Vec<(&Stake, Path)> =
        stakes.iter().zip(parts.into_iter().flatten()).filter_map(|(s, path)| Some((s, path?))).collect();
    check_ends(ground, &found, checks, cautions);
    let out: Vec<PathOut> = found
        .iter()
        .map(|(stake, path)| {
            let (northing, easting) = frame.site(path.place);
            let to = if let End::Outlet(k) = path.end { ground.outlets.get(k).map(|o| o.name.clone()) } else { None };
            PathOut {
                stake: stake.place.name.clone(),
                end: path.end.word().to_owned(),
                to,
                northing,
                easting,
                length: path.length,
                fall: path.fall,
                least_slope: path.least_slope,
                line: path.line.iter().map(|&p| frame.site(p)).collect(),
            }
        })
        .collect();
    FallsOut {
        overall_slope: falls.overall.slope.ratio(),
        overall_azimuth: falls.overall.azimuth,
        least_slope: falls.least.ratio(),
        greatest_slope: falls.greatest.ratio(),
        flat: falls
            .flat
            .iter()
            .map(|f| FlatOut {
                northing: f.middle.0,
                easting: f.middle.1,
                slope: f.slope.ratio(),
                area: f.area,
                patch: f.patch + 1,
            })
            .collect(),
        unreached: out.iter().filter(|p| matches!(p.end.as_str(), "low" | "flat")).map(|p| p.stake.clone()).collect(),
        paths: out,
    }
}

/// One check for the whole where all is steep enough, else one for every patch of touching flat triangles.
fn check_falls(job: &Job, falls: &Slopes, checks: &mut Vec<Check>) {
    let source = if job.min_fall_said {
        "--min-fall".to_owned()
    } else {
        "default: 1 % under paving, common practice, no source".to_owned()
    };
    let check = |subject, found, pass, note| Check {
        rule: "least fall of the subgrade",
        subject,
        found,
        measure: Measure::Slope,
        limit: Limit::Least(job.min_fall.ratio()),
        pass,
        source: source.clone(),
        note,
    };
    if falls.flat.is_empty() {
        checks.push(check(Subject::Job, falls.least.ratio(), true, String::new()));
        return;
    }
    let patches = falls.flat.iter().map(|f| f.patch).max().unwrap_or(0) + 1;
    let mut by_patch = vec![Vec::new(); patches];
    for f in &falls.flat {
        by_patch[f.patch].push(f);
    }
    for patch in by_patch {
        let area: f64 = patch.iter().map(|f| f.area).sum();
        let Some(worst) = patch.iter().min_by(|a, b| a.slope.ratio().total_cmp(&b.slope.ratio())) else { continue };
        let note = format!(
            "{} {} in {} flatter than {} %; flattest {} %",
            fixed(area, 1),
            job.unit.area(),
            if patch.len() == 1 { "one triangle".to_owned() } else { format!("{} triangles", patch.len()) },
            trimmed(job.min_fall.as_percent()),
            trimmed(worst.slope.as_percent()),
        );
        checks.push(check(Subject::Place(worst.middle.0, worst.middle.1), worst.slope.ratio(), false, note));
    }
}

/// Water that ends in a low or on a flat is a finding, one for each place; over the open edge a caution.
fn check_ends(ground: &Ground<'_>, found: &[(&Stake, Path)], checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    let frame = ground.design.subgrade.net().frame();
    let edge: Vec<&str> =
        found.iter().filter(|(_, p)| p.end == End::Edge).map(|(s, _)| s.place.name.as_str()).collect();
    if !edge.is_empty() {
        let into = if ground.outlets.is_empty() { "; no outlet was named" } else { ", not into an outlet" };
        cautions.push(Caution::new(
            Subject::Job,
            format!("water from {} leaves over the open edge of the proposed shots{into}", listed(&edge)),
        ));
    }
    let mut ends: Vec<(End, [f64; 2], Vec<&str>)> = Vec::new();
    let mut by_place: HashMap<[u64; 2], usize> = HashMap::new();
    for (stake, path) in found.iter().filter(|(_, p)| matches!(p.end, End::Low | End::Flat)) {
        let at = *by_place.entry(path.place.map(f64::to_bits)).or_insert_with(|| {
            ends.push((path.end, path.place, Vec::new()));
            ends.len() - 1
        });
        ends[at].2.push(&stake.place.name);
    }
    let source = "water must reach an outlet or leave the ground; common practice, no source".to_owned();
    for (end, place, names) in &ends {
        let (n, e) = frame.site(*place);
        let what = if *end == End::Low { "stands in a low here" } else { "stops on level ground here" };
        checks.push(Check {
            rule: "water finds a way out",
            subject: Subject::Place(n, e),
            found: names.len() as f64,
            measure: Measure::Count,
            limit: Limit::Must,
            pass: false,
            source: source.clone(),
            note: format!("water from {} {what}", listed(names)),
        });
    }
    if ends.is_empty() {
        let reached = found.len() as f64;
        checks.push(Check {
            rule: "water finds a way out",
            subject: Subject::Job,
            found: reached,
            measure: Measure::Count,
            limit: Limit::Must,
            pass: true,
            source,
            note: String::new(),
        });
    }
}
