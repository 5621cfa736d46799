//! From a job with areas to what comes out.

use super::drains;
use super::evaluate::total_out;
use super::levels::survey_out;
use super::{
    AreaOut, DoubtOut, ExcavationOut, LayerOut, LayerTopOut, Outcome, Parts, SiteJob, StakeOrder, StakeOut, SurveyOut,
    UncoveredOut, VolumeOut, caution_out, check_out, field, haul, region, site_catchments, site_checks, site_picture,
    site_rules, site_water, soil, staking, survey, suspects, tank, units_out,
};
use crate::design::dig::{Dig, Dug};
use crate::design::drains::{Part, Run, runs, trenches};
use crate::design::said::Finish;
use crate::design::{Grade, mean_falls};
use crate::drainage::azimuth;
use crate::finding::{Caution, Check, Refusal, Subject};
use crate::par::Progress;
use crate::shots::{Frame, MICRO, from_micro};
use crate::stakes::{Place, spacing, walking_order};
use crate::surface::{Region, Surface, Triangle, same_place};
use crate::units::{BankVolume, CompactedVolume, CutFill, Elevation, Length, LengthUnit, TIE, fixed};
use crate::volume::{Account, Floor, Topsoil, cell_doubt};
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// What the parts of an outcome are worked out from.
pub(super) struct Site<'a> {
    pub job: &'a SiteJob,
    pub existing: Surface,
    /// What there is to ask about the survey.
    pub asked: Vec<Caution>,
    pub limit: Option<Region>,
    pub dig: Dig<'a>,
    pub runs: Vec<Run<'a>>,
    /// Trenches, disjoint.
    pub trenches: Vec<Part>,
}

/// The account of one area: inside its outline, and past its edges.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Taken {
    pub outline: Account,
    pub ring: Account,
    pub batter: Account,
    pub to_dig_to: f64,
}

/// Works out the asked parts of a job with areas.
///
/// # Errors
/// Every reason why the job cannot be worked out, all at once.
pub fn evaluate_site(job: &SiteJob, parts: Parts, progress: Progress<'_>) -> Result<Outcome, Vec<Refusal>> {
    let mut cautions = job.cautions.clone();
    let site = prepare(job, &mut cautions, progress)?;
    let taken: Vec<Taken> = (0..site.dig.areas.len()).map(|k| site.account(k)).collect();
    let uncovered = uncovered(&site, &taken, &mut cautions)?;
    let mut checks: Vec<Check> = Vec::new();
    let mut out = Outcome {
        job: job.name.clone(),
        units: units_out(job.unit),
        datum: job.datum.clone(),
        defaults: job.defaults.clone(),
        ..Outcome::default()
    };
    let notes = job.levels.as_ref().map(|l| survey_out(l, job.unit, &mut checks));
    let (mut looks, roughness) =
        suspects::look(&site.existing, &job.existing, job.levels.as_ref(), job.shot_error, job.unit, &mut cautions);
    site_rules::slopes(&site, &mut checks);
    site_checks::fixed_heights(&site, &mut checks);
    site_checks::keep_offs(&site, &mut checks, &mut cautions);
    let runs = drains::account(&site);
    site_checks::depths(&site, &taken, &runs, &mut cautions);
    site_checks::thicknesses(job, &mut cautions);
    let water = site_water::water(&site, &runs, parts.drainage, &mut checks, &mut cautions);
    out.haul = parts.haul.then(|| haul::haul(&site, &taken, &runs, &water.drains, &mut cautions));
    out.drainage = parts.drainage.then_some(water);
    out.soil = soil::soil(&site, &taken, &mut cautions, &mut out.defaults).filter(|_| parts.soil);
    let cistern = tank::tank(&site, &taken, &mut checks, &mut cautions);
    out.tank = cistern.filter(|_| parts.tank);
    if parts.volume {
        out.volume = Some(volume_out(&site, &taken, &runs, uncovered));
    }
    if parts.stakes || parts.plan {
        let mut stakes = stakes_out(&site);
        site_catchments::ways(&mut stakes, out.drainage.as_ref());
        suspects::cuts(&mut looks, &stakes);
        out.stakes = Some(stakes);
    }
    out.survey = Some(SurveyOut { notes, suspects: looks, roughness, moved: None });
    if parts.plan {
        let (mut plan, contours) = site_picture::plan(&site, &taken);
        let ponds = out.drainage.iter().flat_map(|d| d.ponds.iter().flatten()).filter(|p| p.inside.is_none());
        let stakes = out.stakes.as_deref().unwrap_or_default();
        plan.check_stakes = staking::check_stakes(stakes);
        plan.planes = staking::planes(&site, stakes);
        plan.lows = ponds.map(|p| (p.low_at.0, p.low_at.1, p.level - p.depth)).collect();
        plan.unreached =
            out.drainage.iter().filter_map(|d| d.dug.as_ref()).flat_map(|d| d.unreached_rings.clone()).collect();
        out.field = Some(field::of_site(&site, &plan));
        out.plan = Some(plan);
        out.contours = Some(contours);
    }
    // Behind what warns of harm.
    cautions.extend(site.asked.iter().cloned());
    if !job.kept.is_empty() {
        let text = format!("read and checked, but not worked out by this version: {}", job.kept.join(", "));
        cautions.push(Caution::new(Subject::Job, text));
    }
    out.checks = checks.iter().map(|c| check_out(c, job.unit)).collect();
    out.cautions = cautions.iter().map(caution_out).collect();
    Ok(out)
}

pub(super) fn prepare<'a>(
    job: &'a SiteJob,
    cautions: &mut Vec<Caution>,
    progress: Progress<'_>,
) -> Result<Site<'a>, Vec<Refusal>> {
    let frame = Frame::of(&[&job.existing]);
    progress("surfaces", 0.0);
    let existing = survey::surface(&job.existing, &job.lines, job.unit, frame, super::EXISTING);
    let limit = region(job.limit.as_deref(), frame);
    let ground = existing.as_ref().ok().map(|(surface, _)| surface);
    let dig = Dig::new(&job.said, ground, frame, job.unit, cautions);
    progress("surfaces", 1.0);
    match (existing, limit, dig) {
        (Ok((existing, asked)), Ok(limit), Ok(dig)) => {
            let astray = survey::astray(&job.lines, &job.existing, super::EXISTING);
            let asked = asked.into_iter().chain(astray).collect();
            let runs = runs(&job.said, frame);
            let trenches = trenches(&runs, &dig);
            Ok(Site { job, existing, asked, limit, dig, runs, trenches })
        }
        (existing, limit, dig) => {
            let mut all: Vec<Refusal> = existing.err().into_iter().flatten().chain(limit.err()).collect();
            all.extend(dig.err().into_iter().flatten());
            Err(all)
        }
    }
}

impl Site<'_> {
    pub(super) fn topsoil(&self, area: &Dug<'_>) -> Topsoil {
        Topsoil { strip: self.job.said.strip.job_units(), may_stay: area.section.topsoil_may_stay }
    }

    /// The name of the shot at a place, if there is one.
    pub(super) fn existing_name(&self, (n, e): (i64, i64)) -> Option<String> {
        let shots = &self.job.existing;
        let row = (0..shots.len()).find(|&r| (shots.northing[r], shots.easting[r]) == (n, e));
        row.map(|r| shots.names.get(r).to_owned())
    }

    pub(super) fn account(&self, k: usize) -> Taken {
        let area = &self.dig.areas[k];
        let topsoil = self.topsoil(area);
        let of = |up: f64| {
            let floor = area.floor().map(|t| Triangle { height: t.height.map(|z| z + up), ..t });
            Account::of(&self.existing, self.limit.as_ref(), floor, topsoil)
        };
        let outline = of(0.0);
        let ring = self.dig.rings.iter().filter(|r| r.area == k).fold(Account::default(), |sum, r| {
            sum.with(&Account::of(&self.existing, self.limit.as_ref(), r.floor_triangles(), topsoil))
        });
        // Sides are cut through whatever topsoil there is; none of it is left below them.
        let sides = Topsoil { may_stay: true, ..topsoil };
        let batter = self.dig.batters.iter().filter(|r| r.area == k).fold(Account::default(), |sum, r| {
            sum.with(&Account::of(&self.existing, self.limit.as_ref(), r.floor_triangles(), sides))
        });
        Taken { outline, ring, batter, to_dig_to: of(area.stop_above).dug() - outline.dug() }
    }
}

/// Ground missing under areas: listed, and refused unless the area allows it.
fn uncovered(site: &Site<'_>, taken: &[Taken], cautions: &mut Vec<Caution>) -> Result<Vec<UncoveredOut>, Vec<Refusal>> {
    let unit = site.job.unit;
    let (mut out, mut refusals) = (Vec::new(), Vec::new());
    for (area, taken) in site.dig.areas.iter().zip(taken) {
        let missing = taken.outline.area - taken.outline.covered;
        let past = taken.ring.area - taken.ring.covered;
        let subject = || Subject::Area(area.said.name.clone());
        if missing > 1e-6 * taken.outline.area {
            if area.said.allow_uncovered {
                let text =
                    format!("{} {} have no survey under them and are not counted", fixed(missing, 1), unit.area());
                cautions.push(Caution::new(subject(), text));
            } else {
                refusals.push(Refusal {
                    subject: subject(),
                    found: format!("{} {} of it without survey under them", fixed(missing, 1), unit.area()),
                    expected: "ground shots all round the area (and a limit that holds it)".to_owned(),
                    help: "shoot more ground, draw the outline in, or say `allow_uncovered = true`".to_owned(),
                });
            }
            out.push(UncoveredOut { name: area.said.name.clone(), area: missing });
        }
        if past > 1e-6 * taken.ring.area.max(1.0) {
            let text = format!(
                "{} {} of its over-dig have no survey under them and are not counted",
                fixed(past, 1),
                unit.area()
            );
            cautions.push(Caution::new(subject(), text));
            out.push(UncoveredOut { name: format!("{}, over-dig", area.said.name), area: past });
        }
    }
    if refusals.is_empty() { Ok(out) } else { Err(refusals) }
}

fn volume_out(
    site: &Site<'_>,
    taken: &[Taken],
    trenches: &drains::Trenches,
    uncovered: Vec<UncoveredOut>,
) -> VolumeOut {
    let unit = site.job.unit;
    let spoken = |cubic: f64| BankVolume::cubic_job_units(cubic).spoken(unit);
    let total = taken.iter().fold(Account::default(), |sum, t| sum.with(&t.outline));
    let past = taken.iter().fold(Account::default(), |sum, t| sum.with(&t.ring));
    let batter = taken.iter().fold(Account::default(), |sum, t| sum.with(&t.batter));
    let floors: Vec<Floor<'_>> = site
        .dig
        .areas
        .iter()
        .map(|a| match &a.subgrade {
            Grade::Plane(plane) => (&a.region, a.region.surface(|p| plane.height(p))),
            Grade::Net(surface) => (&a.region, surface.clone()),
        })
        .collect();
    let undercut = total.undercut + past.undercut;
    let pipes = trenches.iter().flatten().fold(crate::volume::trench::Taken::default(), |sum, t| sum.with(t));
    VolumeOut {
        total: total_out(&total.as_overlay(), unit, false),
        excavation: Some(ExcavationOut {
            cut: spoken(total.cut),
            undercut: spoken(undercut),
            over_dig: spoken(past.cut),
            trench: Some(spoken(pipes.volume)),
            batter: spoken(batter.cut),
            strip: spoken(total.strip + past.strip + batter.strip + pipes.strip),
            sum: spoken(total.cut + undercut + past.cut + batter.cut + pipes.volume),
        }),
        areas: site.dig.areas.iter().zip(taken).map(|(a, t)| area_out(site, a, t)).collect(),
        uncovered,
        doubt: DoubtOut { diagonal: spoken(cell_doubt(&site.existing, &floors)) },
    }
}

/// Each layer of an area as placed, over-dig included where it runs past the edge. What an own fall of the subgrade digs deeper than the
/// section goes to the bottom layer.
pub(super) fn placed(area: &Dug<'_>, taken: &Taken) -> Vec<CompactedVolume> {
    let deeper: f64 = area
        .pieces
        .iter()
        .zip(area.floor())
        .map(|(finish, floor)| {
            let thick = area.section.thickness().job_units();
            let deeper: f64 = (0..3).map(|k| finish.height[k] - floor.height[k] - thick).sum();
            finish.doubled_area() / 2.0 / (MICRO * MICRO) * deeper / 3.0
        })
        .sum();
    let last = area.section.layers.len().saturating_sub(1);
    let layers = area.section.layers.iter().enumerate().map(|(k, layer)| {
        let past = if layer.past_edge { taken.ring.area } else { 0.0 };
        let own = if k == last { deeper } else { 0.0 };
        CompactedVolume::cubic_job_units(layer.thick.job_units() * (taken.outline.area + past) + own)
    });
    layers.collect()
}

fn area_out(site: &Site<'_>, area: &Dug<'_>, taken: &Taken) -> AreaOut {
    let unit = site.job.unit;
    let spoken = |cubic: f64| BankVolume::cubic_job_units(cubic).spoken(unit);
    let frame = site.dig.frame();
    let finish = mean_falls(&area.pieces, frame);
    let dials = area.subgrade.plane().map(|plane| {
        let (east, north) = plane.falls(frame);
        [north, east]
    });
    let whole = taken.outline.area;
    let placed = placed(area, taken);
    let layers = area.section.layers.iter().zip(placed);
    let layers = layers.map(|(layer, v)| LayerOut { name: layer.name.clone(), volume: v.spoken(unit) });
    AreaOut {
        name: area.said.name.clone(),
        section: area.section.name.clone(),
        area: whole,
        cut: spoken(taken.outline.cut),
        fill: spoken(taken.outline.fill),
        mean_cut: if whole > 0.0 { taken.outline.cut / whole } else { 0.0 },
        max_cut: taken.outline.max_cut,
        max_fill: taken.outline.max_fill,
        undercut: spoken(taken.outline.undercut + taken.ring.undercut),
        over_dig: spoken(taken.ring.cut),
        batter: spoken(taken.batter.cut),
        ring_area: taken.ring.area,
        to_dig_to: spoken(taken.to_dig_to),
        finish_slope: finish.0.hypot(finish.1),
        finish_azimuth: azimuth(finish),
        dials,
        layers: layers.collect(),
    }
}

/// Shots of the ground, stakes without a shot, corners, and places where two subgrades cross, in the order asked.
pub(super) fn all_places(site: &Site<'_>) -> Vec<(Place, Vec<String>, Option<[f64; 2]>)> {
    let job = site.job;
    let mut out: Vec<(Place, Vec<String>)> = Vec::new();
    let mut known: HashMap<(i64, i64), usize> = HashMap::new();
    let mut add =
        |name: String, (northing, easting): (i64, i64), shot: Option<f64>| match known.entry((northing, easting)) {
            Entry::Occupied(at) => out[*at.get()].1.push(name),
            Entry::Vacant(free) => {
                free.insert(out.len());
                out.push((Place { name, northing, easting, shot }, Vec::new()));
            }
        };
    for r in job.existing.ground_rows() {
        let place = (job.existing.northing[r], job.existing.easting[r]);
        add(job.existing.names.get(r).to_owned(), place, Some(job.existing.elevation[r]));
    }
    for (name, place) in &job.said.extra_stakes {
        add(name.clone(), *place, None);
    }
    for area in &site.dig.areas {
        // The places as settled, under the numbers they were given in.
        let mut corners: Vec<(usize, (i64, i64))> =
            area.outline.rings[0].iter().filter_map(|n| Some((n.corner?, n.place))).collect();
        corners.sort_unstable();
        for (k, place) in corners {
            let name = area.said.corner_names.get(k).cloned();
            add(name.unwrap_or_else(|| format!("{}.{}", area.said.code, k + 1)), place, None);
        }
    }
    let names = job.existing.by_name();
    for area in &site.dig.areas {
        let Finish::Spots { shots, .. } = &area.said.finish else { continue };
        for r in shots.ground_rows() {
            let place = (shots.northing[r], shots.easting[r]);
            let is_corner = area.outline.edges().any(|(node, _)| {
                let near = i64::from(same_place(job.unit));
                (node.place.0 - place.0).abs() <= near && (node.place.1 - place.1).abs() <= near
            });
            if !is_corner && area.region.closed_holds(site.dig.frame().local(place.0, place.1)) {
                let name = shots.names.get(r);
                let is_taken = names.contains_key(name);
                add(if is_taken { format!("{name} ({})", area.said.code) } else { name.to_owned() }, place, None);
            }
        }
    }
    let mut crossed: Vec<[usize; 2]> = Vec::new();
    for step in &site.dig.steps {
        if let Some(part) = step.crossing() {
            #[expect(clippy::cast_possible_truncation, reason = "between two places of the site")]
            let mix = |a: i64, b: i64| a + ((b - a) as f64 * part).round() as i64;
            let [a, b] = step.ends;
            let [first, second] = step.areas.map(|k| site.dig.areas[k].said.code.as_str());
            let before = crossed.iter().filter(|areas| **areas == step.areas).count();
            crossed.push(step.areas);
            let number = if before == 0 { String::new() } else { format!(" {}", before + 1) };
            add(format!("{first} x {second}{number}"), (mix(a.0, b.0), mix(a.1, b.1)), None);
        }
    }
    let mut out: Vec<(Place, Vec<String>, Option<[f64; 2]>)> = out.into_iter().map(|(p, o)| (p, o, None)).collect();
    // A trench is staked for itself, whatever else stands there.
    for (name, (northing, easting), bottom, invert) in drains::stakes(site) {
        out.push((Place { name, northing, easting, shot: None }, Vec::new(), Some([bottom, invert])));
    }
    let places: Vec<Place> = out.iter().map(|(p, ..)| p.clone()).collect();
    let order = match job.order {
        StakeOrder::Walking => walking_order(&places, spacing(&site.existing)),
        StakeOrder::File => (0..places.len()).collect(),
        StakeOrder::Name => {
            let mut order: Vec<usize> = (0..places.len()).collect();
            order.sort_by(|&a, &b| places[a].name.cmp(&places[b].name));
            order
        }
    };
    let mut out: Vec<Option<_>> = out.into_iter().map(Some).collect();
    order.into_iter().filter_map(|k| out[k].take()).collect()
}

/// Places to stake other than those along trenches.
pub(super) fn places_to_stake(site: &Site<'_>) -> impl Iterator<Item = Place> {
    all_places(site).into_iter().filter(|(.., trench)| trench.is_none()).map(|(place, ..)| place)
}

/// The area a stake belongs to: on a shared edge the one with the lower dig-to, a tie to the first in the file.
pub(super) fn owner(site: &Site<'_>, place: (i64, i64), shot: Option<f64>) -> Option<usize> {
    let at = site.dig.frame().local(place.0, place.1);
    let existing = shot.or_else(|| site.existing.height_local(at));
    let dig_to = |k: usize| site.dig.areas[k].dig_to(at, existing, site.job.said.strip.job_units());
    site.dig.at(place).into_iter().reduce(|best, k| if dig_to(k) < dig_to(best) - LOWER { k } else { best })
}

/// Lower by less than this is a tie: half of the last place a height is typed in.
const LOWER: f64 = 0.005;

fn stakes_out(site: &Site<'_>) -> Vec<StakeOut> {
    let job = site.job;
    let decimals = if job.unit == LengthUnit::Metre { 3 } else { 2 };
    let strip = job.said.strip.job_units();
    all_places(site)
        .into_iter()
        .map(|(place, others, trench)| {
            let at = site.dig.frame().local(place.northing, place.easting);
            let existing = place.shot.or_else(|| site.existing.height_local(at));
            let here = site.dig.at((place.northing, place.easting));
            let dig_to = |k: usize| site.dig.areas[k].dig_to(at, existing, strip);
            let own = owner(site, (place.northing, place.easting), place.shot);
            let mut notes: Vec<String> = here
                .iter()
                .filter(|&&k| Some(k) != own)
                .map(|&k| format!("also {}", site.dig.areas[k].said.name))
                .collect();
            let also = here.iter().filter(|&&k| Some(k) != own);
            let mut out = StakeOut {
                also: also.map(|&k| (site.dig.areas[k].said.name.clone(), dig_to(k))).collect(),
                stake: place.name.clone(),
                northing: from_micro(place.northing),
                easting: from_micro(place.easting),
                existing,
                keep_off: site_checks::kept_off(site, at),
                ..StakeOut::default()
            };
            if let Some([bottom, invert]) = trench {
                let cut = existing.map(|z| CutFill::from_difference(Length::in_job_units(z - bottom)));
                out.finish = own.map(|k| site.dig.areas[k].finish.height(at));
                out.dig_to = Some(bottom);
                out.cut = cut.map(|c| c.cut().job_units());
                out.fill = cut.map(|c| c.fill().job_units());
                out.cut_text = cut.map(|c| c.lath(job.unit));
                out.drop = job.benches.iter().map(|b| (b.name.clone(), b.elevation.job_units() - bottom)).collect();
                out.rod = job.set_up.as_ref().map(|(s, _)| s.rod(Elevation::in_job_units(bottom)).job_units());
                out.notes = vec![format!("trench bottom; invert {}", fixed(invert, decimals))];
                return out;
            }
            if let Some(k) = own {
                let area = &site.dig.areas[k];
                let (subgrade, dig) = (area.subgrade.height(at), dig_to(k));
                if dig < subgrade - TIE {
                    notes.push(format!("stone back to {}", fixed(subgrade, decimals)));
                }
                let cut = existing.map(|z| CutFill::from_difference(Length::in_job_units(z - dig)));
                out.area = Some(area.said.name.clone());
                out.finish = Some(area.finish.height(at));
                out.subgrade = Some(subgrade);
                out.dig_to = Some(dig);
                out.cut = cut.map(|c| c.cut().job_units());
                out.fill = cut.map(|c| c.fill().job_units());
                out.cut_text = cut.map(|c| c.lath(job.unit));
                out.drop = job.benches.iter().map(|b| (b.name.clone(), b.elevation.job_units() - dig)).collect();
                out.rod = job.set_up.as_ref().map(|(s, _)| s.rod(Elevation::in_job_units(dig)).job_units());
                let falls = area.subgrade.falls(at, site.dig.frame());
                out.slope = Some(falls.0.hypot(falls.1));
                out.azimuth = Some(azimuth(falls));
                out.layers =
                    area.layer_tops(at).map(|(name, top)| LayerTopOut { name: name.to_owned(), top }).collect();
            }
            if !others.is_empty() {
                notes.push(format!("same place as {}", others.join(", ")));
            }
            out.notes = notes;
            out
        })
        .collect()
}
