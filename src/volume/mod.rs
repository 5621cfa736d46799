//! How much earth lies between two surfaces?
//!
//! Exact: every pair of overlapping triangles is clipped, split where the surfaces cross, and integrated. No cells, no
//! sampling. The sparser surface is swept over the denser one.
//!
//! Signs: cut is where `before` lies above `after`, fill the reverse; both positive, never netted.
//! Volumes in cubic, areas in square job units. Ground that only one of the two covers, or outside the region, does not count.
//!
//! Ties: surfaces that touch over an area add to neither cut area nor fill area.
//! Known right by: closed forms (`tests/closed_forms.rs`), published examples, additivity and swap, shapely (`tests/reference`).

mod account;
mod bands;
mod doubt;
mod guard;
pub mod trench;

pub use account::{Account, Topsoil};
pub use bands::{Band, Bands};
pub use doubt::{Floor, cell_doubt, diagonal_doubt};
pub use guard::Dug;

use crate::par::{self, Progress};
use crate::surface::{Piece, Poly, Region, Surface, Sweep, Triangle, index, integrate};
use std::cmp::Ordering;

/// Cut and fill between two surfaces.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Overlay {
    /// Where before lies above after.
    pub cut: f64,
    /// Where after lies above before.
    pub fill: f64,
    /// Plan area both cover, inside the region.
    pub area: f64,
    /// Of it, where there is cut.
    pub cut_area: f64,
    /// Of it, where there is fill.
    pub fill_area: f64,
    /// Deepest cut.
    pub max_cut: f64,
    /// Highest fill.
    pub max_fill: f64,
    /// Pairs of triangles that share area.
    pub pairs: usize,
    /// Area the parts of triangles failed to make up: rounding only, or there is a bug.
    pub unclosed: f64,
}

impl Overlay {
    fn add(&mut self, other: &Self) {
        self.cut += other.cut;
        self.fill += other.fill;
        self.area += other.area;
        self.cut_area += other.cut_area;
        self.fill_area += other.fill_area;
        self.max_cut = self.max_cut.max(other.max_cut);
        self.max_fill = self.max_fill.max(other.max_fill);
        self.pairs += other.pairs;
        self.unclosed += other.unclosed;
    }

    /// The same with the surfaces exchanged.
    #[must_use]
    pub fn swapped(self) -> Self {
        Self {
            cut: self.fill,
            fill: self.cut,
            cut_area: self.fill_area,
            fill_area: self.cut_area,
            max_cut: self.max_fill,
            max_fill: self.max_cut,
            ..self
        }
    }

    /// A piece in the triangle's own coordinates.
    #[inline]
    fn add_piece(&mut self, piece: &Piece) {
        self.cut += piece.above;
        self.fill += piece.below;
        self.area += piece.area;
        self.cut_area += piece.area_above;
        self.fill_area += piece.area_below;
        self.max_cut = if piece.most > self.max_cut { piece.most } else { self.max_cut };
        self.max_fill = if piece.least > self.max_fill { piece.least } else { self.max_fill };
        self.pairs += 1;
    }

    /// The pieces of one triangle, whose doubled area that is.
    fn add_part(&mut self, part: &Self, doubled: f64) {
        self.add(&Self {
            cut: part.cut * doubled,
            fill: part.fill * doubled,
            area: part.area * doubled,
            cut_area: part.cut_area * doubled,
            fill_area: part.fill_area * doubled,
            ..*part
        });
    }
}

/// Triangles swept in one go. A chunk begins with no memory of the one before, so results do not depend on threads.
const CHUNK: usize = 4096;

/// Square millionths in a square job unit.
const SQUARE: f64 = crate::shots::MICRO * crate::shots::MICRO;

/// Cut and fill from `before` to `after` over the ground both cover, inside `region` if there is one.
/// All three must be in the same frame.
#[must_use]
pub fn overlay(before: &Surface, after: &Surface, region: Option<&Region>, progress: Progress<'_>) -> Overlay {
    let turned = sparser_first(before, after) == Ordering::Greater;
    let (outer, inner) = if turned { (after, before) } else { (before, after) };
    let total = sweep_all(outer, inner, region, progress);
    if turned { total.swapped() } else { total }
}

/// Sweeps the triangles of one surface over the other chunk by chunk; cut is where the outer one is above.
fn sweep_all(outer: &Surface, inner: &Surface, region: Option<&Region>, progress: Progress<'_>) -> Overlay {
    let count = outer.net().triangles();
    let parts = par::chunks_with(
        count,
        chunk_size(count, inner.net().triangles()),
        "volume",
        progress,
        || (Walker::new(inner, region), Vec::new()),
        |(walker, from), range| {
            walker.restart();
            from.clear();
            from.resize(range.len(), None);
            let mut sum = Overlay::default();
            for t in range.clone() {
                let swept = triangle(outer, t);
                let doubled = swept.doubled_area() / SQUARE;
                let (part, gap) = walker.sum(&swept, from[t - range.start]);
                sum.add_part(&part, doubled);
                sum.unclosed += gap * doubled;
                // What lies along a side of this one most likely goes on beyond it.
                for (side, along) in walker.sweep.along().into_iter().enumerate() {
                    let next = outer.net().across(index(t), side).map(|u| u as usize);
                    if let Some(next) = next.filter(|next| along.is_some() && range.contains(next)) {
                        from[next - range.start] = along;
                    }
                }
            }
            sum
        },
    );
    let mut total = Overlay::default();
    for part in &parts {
        total.add(part);
    }
    // Sums that forget nothing, in chunk order.
    for (field, of) in [
        (&mut total.cut, (|o: &Overlay| o.cut) as fn(&Overlay) -> f64),
        (&mut total.fill, |o| o.fill),
        (&mut total.area, |o| o.area),
    ] {
        let all = crate::surface::sum(parts.iter().map(of));
        // Where almost nothing is there, rounding may leave a little less than nothing.
        *field = if all < 0.0 { 0.0 } else { all };
    }
    total
}

/// Small surfaces over large ones are cut finer, so that more than one thread has work.
fn chunk_size(outer: usize, inner: usize) -> usize {
    if inner > 64 * outer { (outer / 64).max(1) } else { CHUNK }
}

/// A sweep over a surface and, if there is one, over a region.
#[derive(Debug)]
struct Walker<'a> {
    surface: &'a Surface,
    sweep: Sweep<'a>,
    region: Option<(&'a Region, Sweep<'a>)>,
    lines: Vec<[[f64; 3]; 3]>,
}

impl<'a> Walker<'a> {
    fn new(surface: &'a Surface, region: Option<&'a Region>) -> Self {
        let region = region.map(|r| (r, Sweep::new(r.net())));
        Self { surface, sweep: Sweep::new(surface.net()), region, lines: Vec::new() }
    }

    fn restart(&mut self) {
        self.sweep.restart();
        if let Some((_, sweep)) = &mut self.region {
            sweep.restart();
        }
    }

    /// What the triangle shares with the surface inside the region, added up in parts of twice its area, and the gap as
    /// [`Walker::over`] tells it. `from`: a triangle of the surface that may share area with it.
    fn sum(&mut self, t: &Triangle, from: Option<u32>) -> (Overlay, f64) {
        if self.region.is_some() {
            let mut sum = Overlay::default();
            let gap = self.over(t, |poly| sum.add_piece(&integrate(poly)));
            return (sum, gap);
        }
        let surface = self.surface;
        self.sweep.add_up(
            t,
            from,
            |v| surface.height(v),
            |sum: &mut Overlay, _, poly| {
                let piece = integrate(poly);
                if piece.area > 0.0 {
                    sum.add_piece(&piece);
                }
                piece.area
            },
        )
    }

    /// Every convex piece the triangle shares with the surface inside the region; d = triangle less surface.
    /// Returns the part of it (0 to 1/2) the net covers and the pieces failed to make up.
    fn over(&mut self, t: &Triangle, mut visit: impl FnMut(&Poly)) -> f64 {
        let Self { surface, sweep, region, lines } = self;
        let height = |v| surface.height(v);
        let Some((region, over_region)) = region else {
            return sweep.over(t, height, |_, poly| visit(poly));
        };
        lines.clear();
        let mut gap = over_region.over(
            t,
            |_| 0.0,
            |u, _| {
                if region.is_inside(u) {
                    lines.push(region.lines(u, t));
                }
            },
        );
        if !lines.is_empty() {
            gap += sweep.over(t, height, |_, poly| {
                for part in lines.iter() {
                    let mut inside = *poly;
                    for f in part {
                        inside = inside.clipped(6, |c| c.l[0] * f[0] + c.l[1] * f[1] + c.l[2] * f[2], |_| ());
                    }
                    if !inside.corners().is_empty() {
                        visit(&inside);
                    }
                }
            });
        }
        gap
    }
}

/// A triangle of a surface, ready to sweep with.
fn triangle(surface: &Surface, t: usize) -> Triangle {
    let t = index(t);
    Triangle { place: surface.net().corners(t).map(|v| surface.net().place(v)), height: surface.heights(t) }
}

/// Which of two surfaces has fewer triangles; where they have the same number, whichever differs first in place, height or
/// triangle, so that exchanging the two changes nothing but the names.
fn sparser_first(a: &Surface, b: &Surface) -> Ordering {
    let shot = |s: &Surface, v: u32| {
        let [x, y] = s.net().place(v);
        [x, y, s.height(v)]
    };
    let by_shot = |v: u32| {
        let (p, q) = (shot(a, v), shot(b, v));
        p[0].total_cmp(&q[0]).then(p[1].total_cmp(&q[1])).then(p[2].total_cmp(&q[2]))
    };
    let by_triangle = |t: u32| a.net().corners(t).cmp(&b.net().corners(t));
    let count = |n: usize| 0..u32::try_from(n).unwrap_or(u32::MAX);
    let differs = |o: &Ordering| *o != Ordering::Equal;
    let sizes = |s: &Surface| (s.net().triangles(), s.net().vertices());
    sizes(a).cmp(&sizes(b)).then_with(|| {
        let shots = count(a.net().vertices()).map(by_shot).find(differs);
        shots.or_else(|| count(a.net().triangles()).map(by_triangle).find(differs)).unwrap_or(Ordering::Equal)
    })
}

/// For each triangle of a surface the area of it inside a region, square job units.
fn areas_inside(surface: &Surface, region: &Region) -> Vec<f64> {
    let mut sweep = Sweep::new(region.net());
    (0..surface.net().triangles())
        .map(|t| {
            let t = triangle(surface, t);
            let doubled = t.doubled_area() / SQUARE;
            let mut area = 0.0;
            sweep.over(
                &t,
                |_| 0.0,
                |u, poly| {
                    if region.is_inside(u) {
                        area += integrate(poly).area * doubled;
                    }
                },
            );
            area
        })
        .collect()
}

/// Area of a surface inside a region (all of it without one), square job units.
#[must_use]
pub fn area_inside(surface: &Surface, region: Option<&Region>) -> f64 {
    match region {
        None => surface.net().area(),
        Some(region) => crate::surface::sum(areas_inside(surface, region)),
    }
}

/// For each triangle whether it shares area with the region; all do without one.
#[must_use]
pub fn overlaps(surface: &Surface, region: Option<&Region>) -> Vec<bool> {
    match region {
        None => vec![true; surface.net().triangles()],
        Some(region) => {
            let areas = areas_inside(surface, region).into_iter().zip(0_u32..);
            areas.map(|(area, t)| area > 1e-9 * surface.net().triangle_area(t)).collect()
        }
    }
}

#[cfg(test)]
mod tests;
