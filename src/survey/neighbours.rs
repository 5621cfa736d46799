//! What do the shots round this one say it should be?
//!
//! A surface of second order through the shots round a stake, those nearest over the net first and none from beyond a breakline; a
//! plane where they are few. The stake itself is left out. Fitted so that one bad neighbour hardly counts: least absolute sums
//! first, then Tukey's biweight (Beaton and Tukey 1974, tuning 4.685, from memory).

use crate::surface::Surface;
use nalgebra::{DMatrix, DVector};
use std::collections::{HashSet, VecDeque};

/// What the neighbours make of a stake.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Predicted {
    /// Height they would give it.
    pub height: f64,
    /// Variance of that height, in variances of one shot.
    pub variance: f64,
}

/// Shots a fit is made from, where there are so many.
const ENOUGH: usize = 18;
/// Fewer than this and a surface of second order follows the noise.
const FOR_SECOND: usize = 11;
/// A plane needs one more than three to be any check.
const FOR_PLANE: usize = 4;

/// Neighbours of a vertex, side by side of the breaklines that meet there (one side where none do).
pub(super) fn sides(surface: &Surface, kept: &HashSet<[u32; 2]>, fan: &[Vec<u32>], v: u32) -> Vec<Vec<u32>> {
    let net = surface.net();
    let mut open: HashSet<u32> = fan[v as usize].iter().copied().collect();
    let mut out = Vec::new();
    while let Some(&start) = fan[v as usize].iter().find(|t| open.contains(t)) {
        // Triangles in rings round the vertex, not over a breakline.
        let mut queue = VecDeque::from([start]);
        let mut seen: HashSet<u32> = HashSet::from([start]);
        let mut found: Vec<u32> = Vec::new();
        // First the whole fan of this side, so that the nearest come first.
        let mut later: VecDeque<u32> = VecDeque::new();
        while let Some(t) = queue.pop_front().or_else(|| later.pop_front()) {
            open.remove(&t);
            let c = net.corners(t);
            for u in c.into_iter().filter(|&u| u != v && net.is_measured(u)) {
                if !found.contains(&u) {
                    found.push(u);
                }
            }
            if found.len() >= ENOUGH && queue.is_empty() {
                break;
            }
            for side in 0..3 {
                let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
                let Some(next) = net.across(t, side) else { continue };
                if kept.contains(&[a.min(b), a.max(b)]) || !seen.insert(next) {
                    continue;
                }
                if net.corners(next).contains(&v) { queue.push_back(next) } else { later.push_back(next) }
            }
        }
        out.push(found);
    }
    out
}

/// Height at a place from places and heights, in the unit of the places; nothing where they are too few or in one line.
pub(super) fn predict(at: [f64; 2], shots: &[([f64; 2], f64)]) -> Option<Predicted> {
    if shots.len() < FOR_PLANE {
        return None;
    }
    // Two rows of stakes bear no curve across them: then a plane.
    let second = (shots.len() >= FOR_SECOND).then(|| fitted(at, shots, true)).flatten();
    second.or_else(|| fitted(at, shots, false))
}

/// Least to greatest singular value of what can be fitted.
const SOUND: f64 = 1e-3;

fn fitted(at: [f64; 2], shots: &[([f64; 2], f64)], second: bool) -> Option<Predicted> {
    let reach = shots.iter().map(|(p, _)| (p[0] - at[0]).hypot(p[1] - at[1])).fold(0.0, f64::max);
    let terms = |p: [f64; 2]| {
        let (x, y) = ((p[0] - at[0]) / reach, (p[1] - at[1]) / reach);
        if second { vec![1.0, x, y, x * x, x * y, y * y] } else { vec![1.0, x, y] }
    };
    let base = shots[0].1;
    let rows: Vec<Vec<f64>> = shots.iter().map(|(p, _)| terms(*p)).collect();
    let (n, m) = (rows.len(), rows[0].len());
    let x = DMatrix::from_fn(n, m, |i, j| rows[i][j]);
    let singular = x.clone().singular_values();
    if singular.min() < SOUND * singular.max() {
        return None;
    }
    let z = DVector::from_fn(n, |i, _| shots[i].1 - base);
    let near: Vec<f64> = shots
        .iter()
        .map(|(p, _)| {
            let d = (p[0] - at[0]).hypot(p[1] - at[1]) / reach;
            1.0 / (0.2 + d * d)
        })
        .collect();
    let mut weight = near.clone();
    let mut answer = None;
    for round in 0..10 {
        let w = DMatrix::from_fn(n, m, |i, j| x[(i, j)] * weight[i]);
        let inverse = (w.transpose() * &x).try_inverse()?;
        let beta = &inverse * (w.transpose() * &z);
        let off: Vec<f64> = (&z - &x * &beta).iter().map(|e| e.abs()).collect();
        // Variance of the weighted answer at the place itself, where only the first term is not zero.
        let spread = (0..n).map(|i| (0..m).map(|j| inverse[(0, j)] * w[(i, j)]).sum::<f64>().powi(2)).sum::<f64>();
        answer = Some(Predicted { height: base + beta[0], variance: spread });
        let scale = (1.4826 * super::median(&off)?).max(1e-6);
        for i in 0..n {
            weight[i] = near[i]
                * if round < 4 {
                    1.0 / (off[i] / scale).max(0.3)
                } else {
                    let u = off[i] / (4.685 * scale);
                    if u < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
                };
        }
        // Too few left to stand on.
        if weight.iter().filter(|&&w| w > 0.0).count() <= m {
            break;
        }
    }
    answer
}
