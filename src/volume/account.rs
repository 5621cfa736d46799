//! Where does every yard of the excavation come from?
//!
//! ```text
//!   ground      ______________        __________          depth d = ground - floor
//!               | strip       |       | strip   |
//!   floor    ---+-------------+---    |  floor  +---      d < strip: topsoil is left below the floor
//!               cut                   cut + undercut
//! ```
//! Over the same exact pieces as any volume, with A(k) = integral of max(0, d - k):
//! cut = A(0); fill = integral of max(0, -d);
//! within strip depth = A(0) - A(strip) where topsoil may stay, strip x area where it may not;
//! undercut = strip x area - (A(0) - A(strip)) where topsoil may not stay, else nothing.
//! So cut and undercut are disjoint and strip is of which, never added. Cubic and square job units.
//!
//! Known right by: each term against a closed form, and all of them against one overlay of the whole dug surface (`tests/account.rs`).

use super::{Overlay, SQUARE, Walker};
use crate::surface::{Poly, Region, Surface, Triangle, integrate};

/// What one piece of the dig takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Account {
    /// From the ground down to the floor.
    pub cut: f64,
    /// From the ground up to the floor.
    pub fill: f64,
    /// Topsoil below the floor that must come out.
    pub undercut: f64,
    /// Of cut and undercut, within strip depth of the ground.
    pub strip: f64,
    /// Plan area with ground under it.
    pub covered: f64,
    /// Plan area, with or without ground under it.
    pub area: f64,
    /// Where there is cut.
    pub cut_area: f64,
    /// Where there is fill.
    pub fill_area: f64,
    /// Deepest cut.
    pub max_cut: f64,
    /// Highest fill.
    pub max_fill: f64,
}

/// The topsoil of a site and what an area allows of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Topsoil {
    /// Its depth, job units.
    pub strip: f64,
    /// Whether what is left of it below the floor may stay.
    pub may_stay: bool,
}

impl Account {
    /// Accounts for digging the ground down (or filling it up) to these triangles, which must not overlap.
    #[must_use]
    pub fn of(
        existing: &Surface,
        limit: Option<&Region>,
        floor: impl Iterator<Item = Triangle>,
        topsoil: Topsoil,
    ) -> Self {
        let mut walker = Walker::new(existing, limit);
        let mut sum = Self::default();
        for t in floor {
            let doubled = t.doubled_area() / SQUARE;
            sum.area += doubled / 2.0;
            walker.over(&t, |poly| sum.add(poly, doubled, topsoil));
        }
        sum
    }

    fn add(&mut self, poly: &Poly, doubled: f64, topsoil: Topsoil) {
        // d of the piece is floor less ground: the other way round than depth.
        let at_floor = integrate(poly);
        let at_strip = integrate(&poly.raised(topsoil.strip));
        let cut = at_floor.below * doubled;
        let area = at_floor.area * doubled;
        let within = cut - at_strip.below * doubled;
        self.cut += cut;
        self.fill += at_floor.above * doubled;
        self.covered += area;
        self.cut_area += at_floor.area_below * doubled;
        self.fill_area += at_floor.area_above * doubled;
        self.max_cut = self.max_cut.max(at_floor.least);
        self.max_fill = self.max_fill.max(at_floor.most);
        if topsoil.may_stay {
            self.strip += within;
        } else {
            let all = topsoil.strip * area;
            self.strip += all;
            // Rounding must not make a hair of undercut where the cut is deeper throughout.
            self.undercut += (all - within).max(0.0);
        }
    }

    /// All that is dug.
    #[must_use]
    pub fn dug(&self) -> f64 {
        self.cut + self.undercut
    }

    /// Cut and fill as of any two surfaces, over the whole plan area.
    #[must_use]
    pub fn as_overlay(&self) -> Overlay {
        Overlay {
            cut: self.cut,
            fill: self.fill,
            area: self.area,
            cut_area: self.cut_area,
            fill_area: self.fill_area,
            max_cut: self.max_cut,
            max_fill: self.max_fill,
            ..Overlay::default()
        }
    }

    /// Both together.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self {
            cut: self.cut + other.cut,
            fill: self.fill + other.fill,
            undercut: self.undercut + other.undercut,
            strip: self.strip + other.strip,
            covered: self.covered + other.covered,
            area: self.area + other.area,
            cut_area: self.cut_area + other.cut_area,
            fill_area: self.fill_area + other.fill_area,
            max_cut: self.max_cut.max(other.max_cut),
            max_fill: self.max_fill.max(other.max_fill),
        }
    }
}
