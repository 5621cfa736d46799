//! Where do sloped sides of the dig meet the ground?
//!
//! ```text
//!   ground ______
//!                \   rise         from the over-dig's outer edge (the area's own where there is none), so much up for so much
//!                 \_run_          outward, until it meets the ground; ground that rises above it again farther out stays
//!    floor ______________|
//! ```
//! Every stretch of the outer edge has its own plane. At a corner that points outward the planes of its two sides meet in the line
//! halfway between them; where the inside angle is below 60 degrees a plane stands between,
//! as the over-dig is bevelled there. At a corner that points inward, and
//! between areas, the lower owns the ground, as with over-dig. What is dug anyway (areas, over-dig) is no part of it.
//!
//! Known right by: frustums, wedges and a half-buried wall in closed form (`tests/account.rs`).

use super::convex::{Convex, inside, minus, split};
use super::dig::{Dug, Owners, Ring};
use super::finish::unit;
use super::plane::Plane;
use super::rings::{Run, SHARPEST, free, ground, lay, mitre, push, turn};
use crate::shots::{Frame, MICRO};
use crate::surface::{Position, Surface, Sweep, Triangle, off};
use std::collections::HashMap;

/// The battered sides, and the areas whose batter runs off the ground that was shot.
#[derive(Debug, Default)]
pub(super) struct Battered {
    pub pieces: Vec<Ring>,
    pub runs_off: Vec<usize>,
}

/// Places nearer than this are one, millionths.
const SAME: f64 = 2.0;

/// All battered sides, disjoint, clipped by what is dug anyway.
pub(super) fn batters(
    areas: &[Dug<'_>],
    rings: &[Ring],
    owners: &Owners,
    existing: &Surface,
    frame: Frame,
) -> Battered {
    let mut out = Battered::default();
    if areas.iter().all(|a| a.said.batter.is_none()) {
        return out;
    }
    let highest = (0..existing.net().vertices()).filter_map(|v| u32::try_from(v).ok()).map(|v| existing.height(v));
    let highest = highest.fold(f64::NEG_INFINITY, f64::max);
    let mut dug = ground(areas);
    dug.extend(rings.iter().flat_map(|r| r.floor_triangles().map(|t| t.place)));
    for (k, area) in areas.iter().enumerate() {
        let Some((run, rise)) = area.said.batter.filter(|(run, _)| *run > 0.0) else { continue };
        let by = area.said.over_dig.as_ref().map_or(0.0, |o| o.width.job_units() * MICRO);
        for side in free(area, owners, frame) {
            for (piece, floor, foot) in sides(&side.outer(by), rise / run, highest) {
                let (kept, off) = daylight(&piece, &floor, foot, existing);
                if off && !out.runs_off.contains(&k) {
                    out.runs_off.push(k);
                }
                for part in minus(kept, &dug) {
                    lay(&mut out.pieces, Ring { area: k, piece: part, floor });
                }
            }
        }
    }
    out
}

/// A side: its ground as far as it could reach, its plane, and the line (or corner) it rises from.
type Side = (Convex, Plane, [[f64; 2]; 2]);

fn sides(run: &Run, steep: f64, highest: f64) -> Vec<Side> {
    let mut out = Vec::new();
    for (s, next) in run.pairs() {
        let [a, b] = s.ends;
        let reach = |height: f64| ((highest - height).max(0.0) / steep) * MICRO;
        let far = reach(s.heights[0].min(s.heights[1]));
        if far <= 0.0 {
            continue;
        }
        out.push((vec![a, push(a, s.out, far), push(b, s.out, far), b], s.plane(steep), [a, b]));
        let Some(next) = next.filter(|n| turn(s.out, n.out).1) else { continue };
        let (height, far) = (s.heights[1], reach(s.heights[1]));
        let mut ways = vec![s.out, next.out];
        while let Some(k) = ways.windows(2).position(|w| turn(w[0], w[1]).0 < SHARPEST - 1e-9) {
            let (from, to) = (ways[k], ways[k + 1]);
            let sum = [from[0] + to[0], from[1] + to[1]];
            // Straight back on itself: halfway is along the edge.
            let half = if sum[0].hypot(sum[1]) > 1e-9 { unit(sum) } else { [-from[1], from[0]] };
            ways.insert(k + 1, half);
        }
        for (k, way) in ways.iter().enumerate() {
            let mut piece = vec![b];
            if k > 0 {
                piece.push(mitre(b, ways[k - 1], *way, far));
            } else {
                piece.push(push(b, *way, far));
            }
            if let Some(after) = ways.get(k + 1) {
                piece.push(mitre(b, *way, *after, far));
            } else {
                piece.push(push(b, *way, far));
            }
            let floor = Plane::new(b, height, way.map(|w| w * steep));
            out.push((piece, floor, [b, b]));
        }
    }
    out
}

/// The parts of a side where the ground stands above its plane and that hang together with its foot; whether one of them reaches the
/// edge of the ground.
fn daylight(side: &Convex, floor: &Plane, [a, b]: [[f64; 2]; 2], existing: &Surface) -> (Vec<Convex>, bool) {
    let net = existing.net();
    let mut under: HashMap<u32, Convex> = HashMap::new();
    let mut sweep = Sweep::new(net);
    for k in 1..side.len().saturating_sub(1) {
        let t = Triangle { place: [side[0], side[k], side[k + 1]], height: [0.0; 3] };
        sweep.over(
            &t,
            |_| 0.0,
            |u, _| {
                under.entry(u).or_default();
            },
        );
    }
    for (&u, part) in &mut under {
        let own = net.corners(u).map(|v| net.place(v));
        if let (Some(shared), _) = inside(side, &own)
            && let (Some(above), _) = split(&shared, |p| existing.height_in(u, p) - floor.height(p))
        {
            *part = above;
        }
    }
    under.retain(|_, part| part.len() > 2);
    let on = |part: &Convex, a: [f64; 2], b: [f64; 2]| part.iter().filter(|&&p| off(p, a, b) <= SAME).count();
    let mut order: Vec<u32> = under.keys().copied().collect();
    order.sort_unstable();
    let mut stack: Vec<u32> = order.iter().copied().filter(|u| on(&under[u], a, b) > 0).collect();
    let mut kept: Vec<u32> = stack.clone();
    let mut runs_off = stack.is_empty() && [a, b].iter().any(|&p| net.locate(p, None) == Position::Outside);
    while let Some(u) = stack.pop() {
        let corners = net.corners(u).map(|v| net.place(v));
        for edge in 0..3 {
            if on(&under[&u], corners[(edge + 1) % 3], corners[(edge + 2) % 3]) < 2 {
                continue;
            }
            match net.across(u, edge) {
                Some(next) if under.contains_key(&next) && !kept.contains(&next) => {
                    kept.push(next);
                    stack.push(next);
                }
                Some(_) => {}
                None => runs_off = true,
            }
        }
    }
    kept.sort_unstable();
    (kept.iter().filter_map(|u| under.remove(u)).collect(), runs_off)
}
