//! What lies over a run of pipe, from its head to its mouth? For drawing only.
//!
//! Places are taken evenly, and wherever a leg enters or leaves a straight piece of finish, so that steps stand where they are. At a step
//! two points have one distance. Distance in plan along the pipe, heights, all in job units; none where there is no such surface.

use super::ProfilePoint;
use super::site::Site;
use crate::design::drains::{Run, upright};
use crate::surface::stretch_in;

/// Even parts of a whole run: finer than a line is wide on paper.
const PARTS: f64 = 400.0;
/// Parts of a leg that count as one place.
const SAME: f64 = 1e-9;

pub(super) fn profile(site: &Site<'_>, run: &Run<'_>) -> Vec<ProfilePoint> {
    let whole: f64 = run.legs.iter().map(|l| l.length).sum();
    let mut out: Vec<ProfilePoint> = Vec::new();
    let mut reached = 0.0;
    for leg in &run.legs {
        let [a, b] = leg.ends;
        let at = |part: f64| [0, 1].map(|k| a[k] + part * (b[k] - a[k]));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a leg is no longer than its run")]
        let even = (PARTS * leg.length / whole).ceil().max(2.0) as u32;
        let mut stops: Vec<f64> = (0..=even).map(|k| f64::from(k) / f64::from(even)).collect();
        for t in site.dig.areas.iter().flat_map(|area| &area.pieces) {
            stops.extend(stretch_in(&upright(t.place), a, b).into_iter().flatten());
        }
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|next, held| *next - *held <= SAME);
        for pair in stops.windows(2) {
            let middle = at(f64::midpoint(pair[0], pair[1]));
            let area = site.dig.areas.iter().find(|area| area.region.holds(middle));
            for &part in pair {
                let p = at(part);
                let point = ProfilePoint {
                    distance: reached + part * leg.length,
                    existing: site.existing.height_local(p),
                    finish: area.map(|area| area.finish.height(p)),
                    subgrade: area.map(|area| area.subgrade.height(p)),
                };
                if out.last() != Some(&point) {
                    out.push(point);
                }
            }
        }
        reached += leg.length;
    }
    out
}
