//! Which points and which pieces of lines are near one another?
//!
//! A square grid over the pieces, so that each is held against its neighbours only. Which cell something falls into is worked out in
//! broken numbers with room to spare; whether two things meet is for whoever asks.

use super::Place;
use super::noding::{Point, Segment};

/// Points and pieces by the cell of a square grid they lie in or pass through.
pub(super) struct Grid {
    low: Place,
    cell: f64,
    wide: usize,
    high: usize,
    point: Lists,
    piece: Lists,
}

/// Lists behind one another, and where each ends.
struct Lists {
    items: Vec<u32>,
    ends: Vec<usize>,
}

impl Lists {
    fn new(mut pairs: Vec<(usize, u32)>, lists: usize) -> Self {
        pairs.sort_unstable();
        pairs.dedup();
        let mut ends = vec![0; lists];
        for (list, _) in &pairs {
            ends[*list] += 1;
        }
        let mut sum = 0;
        for e in &mut ends {
            sum += *e;
            *e = sum;
        }
        Self { items: pairs.into_iter().map(|(_, item)| item).collect(), ends }
    }

    fn get(&self, list: usize) -> &[u32] {
        let start = if list == 0 { 0 } else { self.ends[list - 1] };
        &self.items[start..self.ends[list]]
    }
}

/// Wider than this on one side the grid would be larger than it is useful.
const WIDEST: f64 = 2048.0;

impl Grid {
    pub fn new(points: &[Point], pieces: &[Segment], reach: f64) -> Self {
        let ends = || pieces.iter().flat_map(|s| s.ends).map(|e| points[e as usize].place);
        let (mut low, mut top) = ((i64::MAX, i64::MAX), (i64::MIN, i64::MIN));
        for p in ends() {
            low = (low.0.min(p.0), low.1.min(p.1));
            top = (top.0.max(p.0), top.1.max(p.1));
        }
        let span = |a: i64, b: i64| (i128::from(b) - i128::from(a)).max(0) as f64 + 1.0;
        let (tall, broad) = (span(low.0, top.0), span(low.1, top.1));
        let many = (pieces.len().max(points.len()) as f64).sqrt().clamp(1.0, WIDEST);
        let cell = (tall.max(broad) / many).max(4.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most WIDEST")]
        let count = |span: f64| (span / cell).floor() as usize + 1;
        let none = || Lists { items: vec![], ends: vec![] };
        let mut grid = Self { low, cell, wide: count(broad), high: count(tall), point: none(), piece: none() };
        let cells = grid.cells();
        #[expect(clippy::cast_possible_truncation, reason = "a fraction of a unit")]
        let reach_whole = reach as i64 + 1;
        let among = |p: &Place| {
            (low.0.saturating_sub(reach_whole)..=top.0.saturating_add(reach_whole)).contains(&p.0)
                && (low.1.saturating_sub(reach_whole)..=top.1.saturating_add(reach_whole)).contains(&p.1)
        };
        let near = (0_u32..).zip(points).filter(|(_, p)| among(&p.place));
        grid.point = Lists::new(near.map(|(v, p)| (grid.slot(p.place), v)).collect(), cells);
        let mut pairs = Vec::new();
        for (k, s) in (0_u32..).zip(pieces) {
            let [a, b] = s.ends.map(|e| points[e as usize].place);
            grid.along(a, b, reach, |cell| pairs.push((cell, k)));
        }
        grid.piece = Lists::new(pairs, cells);
        grid
    }

    pub fn cells(&self) -> usize {
        self.wide * self.high
    }

    pub fn points(&self, cell: usize) -> &[u32] {
        self.point.get(cell)
    }

    pub fn pieces(&self, cell: usize) -> &[u32] {
        self.piece.get(cell)
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
    fn row(&self, n: f64) -> usize {
        (((n - self.low.0 as f64) / self.cell).max(0.0) as usize).min(self.high - 1)
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the grid")]
    fn column(&self, e: f64) -> usize {
        (((e - self.low.1 as f64) / self.cell).max(0.0) as usize).min(self.wide - 1)
    }

    fn slot(&self, p: Place) -> usize {
        self.row(p.0 as f64) * self.wide + self.column(p.1 as f64)
    }

    /// The point that was at a place when the grid was made.
    pub fn at(&self, place: Place, points: &[Point]) -> Option<u32> {
        self.points(self.slot(place)).iter().copied().find(|&v| points[v as usize].place == place)
    }

    /// Every cell nearer than `reach` to the straight way from a to b: row by row, the stretch of it in that row.
    pub fn along(&self, a: Place, b: Place, reach: f64, mut visit: impl FnMut(usize)) {
        let reach = reach + 2.0;
        let (a, b) = if a.0 <= b.0 { (a, b) } else { (b, a) };
        let (an, ae, bn, be) = (a.0 as f64, a.1 as f64, b.0 as f64, b.1 as f64);
        for row in self.row(an - reach)..=self.row(bn + reach) {
            let south = self.low.0 as f64 + row as f64 * self.cell - reach;
            let north = south + self.cell + 2.0 * reach;
            let at = |n: f64| if bn > an { ae + (n.clamp(an, bn) - an) / (bn - an) * (be - ae) } else { ae };
            let (mut west, mut east) = (at(south).min(at(north)), at(south).max(at(north)));
            if bn - an <= 2.0 * reach {
                (west, east) = (ae.min(be), ae.max(be));
            }
            for column in self.column(west - reach)..=self.column(east + reach) {
                visit(row * self.wide + column);
            }
        }
    }
}
