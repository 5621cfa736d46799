//! What does a crew set up its level and its laser by?
//!
//! Benches with their words, stakes outside the dig that a set-up is checked at, and for every area dug to one plane its height at a named
//! corner with the two dials of a slope laser. The plane is that of dig-to before topsoil is looked at: where topsoil lies deeper the stake
//! says so. Heights in job units; falls rise over run, downhill positive, as a dial is turned.

use super::site::Site;
use super::{Bench, Job, StakeOut};
use crate::shots::Kind;
use crate::units::Elevation;

/// A mark every height hangs on.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchOut {
    /// Its name.
    pub name: String,
    /// Its height.
    pub elevation: f64,
    /// What it is, in words; empty where nothing was said.
    pub note: String,
}

/// An area dug to one plane.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaneOut {
    /// The area.
    pub area: String,
    /// Its short name.
    pub code: String,
    /// The corner its height is told at.
    pub point: String,
    /// Height of the plane there.
    pub height: f64,
    /// That below each bench (positive: lower than the bench).
    pub drop: Vec<(String, f64)>,
    /// Rod there for the set-up.
    pub rod: Option<f64>,
    /// Fall toward the north, rise over run.
    pub north: f64,
    /// Fall toward the east, rise over run.
    pub east: f64,
}

/// The benches of a job with areas.
pub(super) fn marks(benches: &[Bench]) -> Vec<BenchOut> {
    let mark = |b: &Bench| BenchOut { name: b.name.clone(), elevation: b.elevation.job_units(), note: b.note.clone() };
    benches.iter().map(mark).collect()
}

/// The benches of two tables.
pub(super) fn bare_marks(job: &Job) -> Vec<BenchOut> {
    let shots = &job.existing;
    let rows = (0..shots.len()).filter(|&r| shots.kind[r] == Kind::Bench);
    let mark = |r| BenchOut { name: shots.names.get(r).to_owned(), elevation: shots.elevation[r], note: String::new() };
    rows.map(mark).collect()
}

/// The two stakes furthest apart of those no bucket reaches; ties to the earlier in walking order.
pub(super) fn check_stakes(stakes: &[StakeOut]) -> Vec<(String, f64)> {
    let stays: Vec<(&StakeOut, f64)> =
        stakes.iter().filter(|s| s.cut_text.is_none()).filter_map(|s| Some((s, s.existing?))).collect();
    let off = |a: &StakeOut, b: &StakeOut| (a.northing - b.northing).hypot(a.easting - b.easting);
    // From the first to the one furthest from it, and from that to the one furthest from that: near enough to the widest pair.
    let furthest = |from: &StakeOut| {
        stays.iter().copied().reduce(|held, next| if off(next.0, from) > off(held.0, from) { next } else { held })
    };
    let Some(a) = stays.first().and_then(|first| furthest(first.0)) else { return Vec::new() };
    let pair = [Some(a), furthest(a.0).filter(|b| b.0.stake != a.0.stake)];
    pair.into_iter().flatten().map(|(s, z)| (s.stake.clone(), z)).collect()
}

/// Areas dug to one plane.
pub(super) fn planes(site: &Site<'_>) -> Vec<PlaneOut> {
    let frame = site.dig.frame();
    let of = |area: &crate::design::dig::Dug<'_>| {
        let plane = area.subgrade.plane()?;
        let corner = area.outline.rings.first()?.iter().filter(|n| n.corner.is_some()).min_by_key(|n| n.corner)?;
        let named = corner.corner.and_then(|k| area.said.corner_names.get(k).cloned());
        let shot = site.existing_name(corner.place);
        let number = corner.corner.unwrap_or(0) + 1;
        let height = plane.height(frame.local(corner.place.0, corner.place.1)) + area.stop_above;
        let (east, north) = plane.falls(frame);
        Some(PlaneOut {
            area: area.said.name.clone(),
            code: area.said.code.clone(),
            point: named.or(shot).unwrap_or_else(|| format!("{}.{number}", area.said.code)),
            height,
            drop: site.job.benches.iter().map(|b| (b.name.clone(), b.elevation.job_units() - height)).collect(),
            rod: site.job.set_up.as_ref().map(|(s, _)| s.rod(Elevation::in_job_units(height)).job_units()),
            north,
            east,
        })
    };
    site.dig.areas.iter().filter_map(of).collect()
}
