//! What if one sheet cannot show the ground large enough?
//!
//! ```text
//!  ┌──────┬──────┐   the ground in equal parts, each on a sheet of its own at one scale;
//!  │  2   │  3   │   a heavy dashed match line where the next part begins, and beyond it a margin of the
//!  ├──────┼──────┤   neighbour's lines without their words;
//!  │  4   │  5   │   in the strip below a key says which part this is
//!  └──────┴──────┘
//! ```
//! A stake belongs to one part: west and north of a match line, on it to the part east or south of it. Parts without a stake
//! and without dig are left out. Units: job units on the ground, inches on paper.

use super::ground::on_paper;
use super::scales::{Bounds, SaidScale};
use super::stakes::{CAP, HALO};
use super::{INK, SMALL, Site};
use crate::job::{Outcome, PlanOut};
use crate::sheet::labels::{Box2, Placer};
use crate::sheet::{Align, Group, PaperPoint, Rect, Stroke, Text};

/// Paper kept free beyond a match line: at the sides, and above and below.
const BESIDE: (f64, f64) = (0.75, 0.5);
/// Of the match line.
const DASH: &[f64] = &[0.28, 0.05, 0.05, 0.05];

/// The ground divided into equal parts.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    bounds: Bounds,
    columns: usize,
    rows: usize,
    /// Parts in use: column and row from the north west.
    used: Vec<(usize, usize)>,
    /// Number of the sheet of the first of them.
    first: usize,
}

/// One part of the ground, on its sheet.
#[derive(Clone, Debug)]
pub(super) struct Tile {
    grid: Grid,
    column: usize,
    row: usize,
}

impl Grid {
    /// How many sheets the ground takes at a scale; the first of them will be sheet `first`.
    pub(super) fn new(outcome: &Outcome, plan: &PlanOut, said: &SaidScale, room: &Rect, first: usize) -> Self {
        let bounds = Bounds::of(outcome, plan);
        let parts = |span: f64, paper: f64| {
            let parts = span / (paper * said.units_per_inch) - 1e-9;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "held between 1 and a thousand"
            )]
            let parts = parts.ceil().clamp(1.0, 1000.0) as usize;
            parts
        };
        let columns = parts(bounds.width(), room.w - 2.0 * BESIDE.0);
        let rows = parts(bounds.height(), room.h - 2.0 * BESIDE.1);
        let mut grid = Self { bounds, columns, rows, used: Vec::new(), first };
        let stakes = outcome.stakes.iter().flatten().map(|s| (s.northing, s.easting));
        let edge = plan.edge.iter().flatten().copied();
        let outlets = plan.outlets.iter().map(|o| (o.1, o.2));
        let mut used: Vec<(usize, usize)> = stakes.chain(edge).chain(outlets).map(|at| grid.part(at)).collect();
        used.sort_unstable_by_key(|&(column, row)| (row, column));
        used.dedup();
        grid.used = used;
        grid
    }

    /// How many sheets.
    pub(super) fn len(&self) -> usize {
        self.used.len()
    }

    pub(super) fn tiles(&self) -> impl Iterator<Item = Tile> {
        self.used.iter().map(|&(column, row)| Tile { grid: self.clone(), column, row })
    }

    /// Column and row of a place.
    fn part(&self, (n, e): (f64, f64)) -> (usize, usize) {
        let index = |along: f64, span: f64, parts: usize| {
            let k = if span > 0.0 { along / span * parts as f64 } else { 0.0 };
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held inside the parts")]
            let k = k.floor().clamp(0.0, (parts - 1) as f64) as usize;
            k
        };
        let b = &self.bounds;
        (index(e - b.west, b.width(), self.columns), index(b.north - n, b.height(), self.rows))
    }

    fn sheet(&self, column: usize, row: usize) -> Option<usize> {
        self.used.iter().position(|&at| at == (column, row)).map(|k| self.first + k)
    }
}

impl Tile {
    /// What the part spans.
    pub(super) fn bounds(&self) -> Bounds {
        let b = &self.grid.bounds;
        let (w, h) = (b.width() / self.grid.columns as f64, b.height() / self.grid.rows as f64);
        let (west, north) = (b.west + w * self.column as f64, b.north - h * self.row as f64);
        Bounds { west, east: west + w, north, south: north - h }
    }

    /// The sheet with the legend: that before the first part.
    pub(super) fn legend(&self) -> usize {
        self.grid.first - 1
    }

    fn holds(&self, at: (f64, f64)) -> bool {
        self.grid.part(at) == (self.column, self.row)
    }

    /// What is written in this part: its stakes, outlets, benches, lows, arrows; lines reach on.
    pub(super) fn part_of(&self, outcome: &Outcome) -> Outcome {
        let mut part = outcome.clone();
        if let Some(stakes) = &mut part.stakes {
            stakes.retain(|s| self.holds((s.northing, s.easting)));
        }
        if let Some(plan) = &mut part.plan {
            plan.outlets.retain(|o| self.holds((o.1, o.2)));
            plan.benches.retain(|b| self.holds((b.1, b.2)));
            plan.lows.retain(|l| self.holds((l.0, l.1)));
            plan.arrows.retain(|a| self.holds((a.northing, a.easting)));
            let b = self.bounds();
            for area in &mut plan.areas {
                // An area that reaches in is named here as well, about the middle of its part.
                if let Some(middle) = area.rings.first().and_then(|ring| middle_within(ring, &b)) {
                    area.label = middle;
                }
            }
        }
        part
    }

    /// Whether an area is named in this part.
    pub(super) fn names(&self, label: (f64, f64)) -> bool {
        let b = self.bounds();
        label.0 >= b.south && label.0 <= b.north && label.1 >= b.west && label.1 <= b.east
    }

    /// Match lines with the number of the sheet beyond, and the key.
    pub(super) fn draw(&self, site: &Site<'_>, placer: &mut Placer) -> Group {
        let (mut group, mut lines) = (Group::new("match-lines"), Vec::new());
        let room = site.layout.plan;
        let b = self.bounds();
        let corner = |n: f64, e: f64| on_paper(site, &[(n, e)])[0];
        let (nw, se) = (corner(b.north, b.west), corner(b.south, b.east));
        let (column, row) = (self.column, self.row);
        let down = |x: f64| [PaperPoint::new(x, room.y), PaperPoint::new(x, room.bottom())];
        let across = |y: f64| [PaperPoint::new(room.x, y), PaperPoint::new(room.right(), y)];
        let sides = [
            (column > 0, down(nw.x), column.wrapping_sub(1), row, (-0.1, 0.0)),
            (column + 1 < self.grid.columns, down(se.x), column + 1, row, (0.1, 0.0)),
            (row > 0, across(nw.y), column, row.wrapping_sub(1), (0.0, -0.1)),
            (row + 1 < self.grid.rows, across(se.y), column, row + 1, (0.0, 0.1)),
        ];
        for (_, line, c, r, (dx, dy)) in sides.into_iter().filter(|side| side.0) {
            group.push(Stroke::new(line.to_vec(), 0.022, INK).dashed(DASH));
            // No words under it.
            let (wide, high) = if dx == 0.0 { (room.w, 0.05) } else { (0.05, room.h) };
            let middle = line[0].towards(line[1], 0.5);
            lines.push(Box2 { centre: middle, half_w: wide / 2.0, half_h: high / 2.0, angle: 0.0 });
            let words = self.grid.sheet(c, r).map_or("match line".to_owned(), |n| format!("match line: see sheet {n}"));
            let angle = if dx == 0.0 { 0.0 } else { -90.0 };
            let text = Text::new("match", PaperPoint::new(0.0, 0.0), SMALL, &words).bold().colour(INK).halo(HALO);
            let (half_w, half_h) = (text.width() / 2.0 + 0.04, SMALL * CAP / 2.0 + 0.03);
            let spots = [0.5, 0.2, 0.8, 0.35, 0.65].map(|t| {
                let centre = line[0].towards(line[1], t).by(dx, dy);
                Box2 { centre, half_w, half_h, angle }
            });
            match placer.try_place(spots) {
                Some(place) => {
                    let shift = SMALL * CAP / 2.0;
                    let at = if dx == 0.0 { place.centre.by(0.0, shift) } else { place.centre.by(shift, 0.0) };
                    group.push(Text { at, ..text }.align(Align::Middle).turned(angle));
                }
                None => placer.drop_some(1),
            }
        }
        lines.into_iter().for_each(|line| placer.take(line));
        group
    }

    /// All parts with the numbers of their sheets, this one filled; its right end.
    pub(super) fn key(&self, strip: Rect, x: f64, group: &mut Group) -> f64 {
        let (columns, rows) = (self.grid.columns as f64, self.grid.rows as f64);
        let cell = |span: f64, parts: f64, most: f64| (most / parts).min(span);
        let h = cell(0.3, rows, strip.h - 0.12);
        let w = cell(0.3, columns, 1.6);
        let top = strip.centre().y - h * rows / 2.0;
        for r in 0..self.grid.rows {
            for c in 0..self.grid.columns {
                let Some(number) = self.grid.sheet(c, r) else { continue };
                let here = (c, r) == (self.column, self.row);
                let at = Rect::new(x + w * c as f64, top + h * r as f64, w, h);
                let outline = Stroke::new(at.corners().to_vec(), 0.01, INK).closed();
                group.push(if here { outline.filled(INK) } else { outline });
                if h >= SMALL && w >= 0.16 {
                    let middle = at.centre().by(0.0, SMALL * CAP / 2.0);
                    let text = Text::new("key", middle, SMALL, &number.to_string()).align(Align::Middle);
                    let ink = if here { crate::sheet::Colour::WHITE } else { INK };
                    group.push(text.bold().colour(ink));
                }
            }
        }
        x + w * columns
    }
}

/// The middle of what of a ring lies in a part, if that is anything: clipped by the four sides in turn
/// (Sutherland and Hodgman, Communications of the ACM 17(1), 1974).
fn middle_within(ring: &[(f64, f64)], b: &Bounds) -> Option<(f64, f64)> {
    let mut ring = ring.to_vec();
    for (is_northing, limit, sign) in
        [(true, b.south, 1.0), (true, b.north, -1.0), (false, b.west, 1.0), (false, b.east, -1.0)]
    {
        let of = |p: &(f64, f64)| if is_northing { p.0 } else { p.1 };
        let mut kept = Vec::new();
        for (k, p) in ring.iter().enumerate() {
            let q = &ring[(k + 1) % ring.len()];
            let (dp, dq) = (sign * (of(p) - limit), sign * (of(q) - limit));
            if dp >= 0.0 {
                kept.push(*p);
            }
            if (dp > 0.0 && dq < 0.0) || (dp < 0.0 && dq > 0.0) {
                let t = dp / (dp - dq);
                kept.push((p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t));
            }
        }
        ring = kept;
    }
    let doubled = |p: &(f64, f64), q: &(f64, f64)| {
        let o = ring[0];
        (p.0 - o.0) * (q.1 - o.1) - (q.0 - o.0) * (p.1 - o.1)
    };
    let (mut sum, mut n, mut e) = (0.0, 0.0, 0.0);
    for (k, p) in ring.iter().enumerate() {
        let q = &ring[(k + 1) % ring.len()];
        let part = doubled(p, q);
        sum += part;
        n += part * (p.0 + q.0 + ring[0].0) / 3.0;
        e += part * (p.1 + q.1 + ring[0].1) / 3.0;
    }
    (sum.abs() > 1e-9).then(|| (n / sum, e / sum))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_square_half_outside_is_that_of_its_half() {
        let square = [(0.0, 0.0), (0.0, 4.0), (4.0, 4.0), (4.0, 0.0)];
        let b = Bounds { south: -1.0, north: 9.0, west: 2.0, east: 9.0 };
        let (n, e) = middle_within(&square, &b).unwrap_or_default();
        assert!((n - 2.0).abs() < 1e-12 && (e - 3.0).abs() < 1e-12, "{n} {e}");
        let off = Bounds { south: 5.0, ..b };
        assert_eq!(middle_within(&square, &off), None);
    }
}
