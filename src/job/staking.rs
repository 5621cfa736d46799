//! What does a crew set up its level and its laser by?
//!
//! Benches with their words, stakes outside the dig that a set-up is checked at, and for every area dug to one plane the two dials of a slope
//! laser with a stake of it to set the rod by. The plane is that of dig-to before topsoil is looked at: stakes that topsoil takes deeper are
//! listed, and an area in which all are has no plane to dig to. Heights in job units; falls rise over run, downhill positive, as a dial is turned.

use super::site::Site;
use super::{Bench, Job, StakeOut};
use crate::shots::{Kind, to_micro};
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
    /// The stake the rod is set by: the first of the area, as one walks, that lies on the plane. None where none does.
    pub point: Option<String>,
    /// Height of the plane there; without such a stake, at the area's first corner.
    pub height: f64,
    /// Stakes of the area that are dug deeper than the plane.
    pub deeper: Vec<String>,
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

/// Areas dug to one plane, and what their stakes say of it.
pub(super) fn planes(site: &Site<'_>, stakes: &[StakeOut]) -> Vec<PlaneOut> {
    let frame = site.dig.frame();
    let of = |area: &crate::design::dig::Dug<'_>| {
        let plane = area.subgrade.plane()?;
        let corner = area.outline.rings.first()?.iter().find(|n| n.corner.is_some())?.place;
        let at = |n: i64, e: i64| plane.height(frame.local(n, e)) + area.stop_above;
        let is_own = |s: &&StakeOut| s.area.as_ref() == Some(&area.said.name);
        let (on, off): (Vec<&StakeOut>, Vec<&StakeOut>) = stakes.iter().filter(is_own).partition(|s| {
            let height = at(to_micro(s.northing), to_micro(s.easting));
            s.dig_to.is_some_and(|dig| dig > height - TIE)
        });
        let height = on.first().and_then(|s| s.dig_to).unwrap_or_else(|| at(corner.0, corner.1));
        let (east, north) = plane.falls(frame);
        Some(PlaneOut {
            area: area.said.name.clone(),
            code: area.said.code.clone(),
            point: on.first().map(|s| s.stake.clone()),
            height,
            deeper: off.iter().map(|s| s.stake.clone()).collect(),
            drop: site.job.benches.iter().map(|b| (b.name.clone(), b.elevation.job_units() - height)).collect(),
            rod: site.job.set_up.as_ref().map(|(s, _)| s.rod(Elevation::in_job_units(height)).job_units()),
            north,
            east,
        })
    };
    site.dig.areas.iter().filter_map(of).collect()
}

/// Lower by less than this is on the plane: half of the last place a height is typed in.
const TIE: f64 = 0.005;
