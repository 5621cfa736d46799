//! Which rows look as if a hand had slipped?
//!
//! A row is asked about, never mended, where it lies far off all other rows and a slip that hands do make explains it:
//! two cells exchanged, the cells moved one column, metres among feet. Two cells must agree on a slip of places, so that
//! a lone shot far out is not one. A height is also asked about where nothing explains it but it is farther off than twice
//! the length of the site.
//!
//! Method: quartiles of a sample give fences round the bulk of each column, which up to a quarter of slips cannot move
//! (Tukey, Exploratory Data Analysis, 1977, 2D; what he calls far out begins three quartile spreads off). Rows a slip
//! explains are set aside, and each must still be far out against the bounds of all that are left: a site in two clumps
//! has no row far off the others. One pass over the rows. Job units; heights are only ever compared with each other, and
//! with the length of the site.
//!
//! Heights typed as feet and inches with a point between (`101.11` for 101 ft 11 in) are known by their fractions alone: [`Typed`].

use crate::shots::{Kind, Shots, from_micro};

/// Fewer rows than this beside the slipped ones say nothing about where a row should be.
const OTHERS: usize = 8;
/// At most one row in so many is a slip; more of them are how the site is.
const ONE_IN: usize = 4;
/// Rows looked at for the quartiles: enough for a quartile to within 1.5 % of the rows (standard error `sqrt(3/16/n)`, twice).
const SAMPLE: usize = 4096;
/// Feet in a metre; the survey foot is the same to 2 in a million.
pub(super) const FEET: f64 = 1.0 / 0.3048;
/// No ground is so high: Everest is 29,032 ft (joint survey of China and Nepal, 2020).
const HIGHEST: f64 = 30_000.0;

/// Columns of a row here.
const N: usize = 0;
const E: usize = 1;
const Z: usize = 2;

/// How a hand may have slipped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Slip {
    /// Northing and easting exchanged.
    Exchanged,
    /// Cells moved one column to the right: the easting cell holds a northing, the elevation cell an easting.
    Right,
    /// Cells moved one column to the left.
    Left,
    /// Easting and elevation exchanged.
    EastUp,
    /// Northing and elevation exchanged.
    NorthUp,
    /// A height in feet among heights in metres.
    Feet,
    /// A height in metres among heights in feet.
    Metres,
    /// A height no ground has.
    Sky,
    /// A height farther off all others than twice the length of the site.
    Height,
}

impl Slip {
    /// What is said of such rows, before they are named.
    pub fn found(self) -> &'static str {
        match self {
            Self::Exchanged => "far off all other shots, but among them with northing and easting exchanged",
            Self::Right => "far off all other shots, but among them if the cells moved one column to the right",
            Self::Left => "far off all other shots, but among them if the cells moved one column to the left",
            Self::EastUp => "far off all other shots, but among them with easting and elevation exchanged",
            Self::NorthUp => "far off all other shots, but among them with northing and elevation exchanged",
            Self::Feet => "3.28 times as high as all other shots, like feet among metres",
            Self::Metres => "3.28 times lower than all other shots, like metres among feet",
            Self::Sky => "a height no ground on Earth has, like a slipped decimal mark",
            Self::Height => "a height farther off all others than twice the length of the site",
        }
    }

    /// How many of northing, easting and elevation are right in such a row, counted from the first.
    fn good_columns(self) -> usize {
        if Self::CELLS.iter().any(|&(slip, _)| slip == self) { 0 } else { 2 }
    }

    /// Slips of two cells: the column a value stands in, and the one it would belong to.
    const CELLS: [(Self, [(usize, usize); 2]); 5] = [
        (Self::Exchanged, [(N, E), (E, N)]),
        (Self::Right, [(E, N), (Z, E)]),
        (Self::Left, [(N, E), (E, Z)]),
        (Self::EastUp, [(E, Z), (Z, E)]),
        (Self::NorthUp, [(N, Z), (Z, N)]),
    ];
}

/// Where the other rows lie.
#[derive(Clone, Copy, Debug)]
struct Around {
    low: [f64; 3],
    high: [f64; 3],
    /// How far out a value must be to count as far off: the length of the site.
    far: f64,
    /// How far out a value may be and still count as among the others.
    near: f64,
    /// How far off a height must be where no slip explains it.
    high_up: f64,
    /// By what part a height in the other unit may miss the others.
    miss: f64,
}

impl Around {
    fn width(&self, column: usize) -> f64 {
        self.high[column] - self.low[column]
    }

    fn plan(&self) -> f64 {
        self.width(N).max(self.width(E))
    }

    /// How far a value lies outside its column.
    fn out(&self, column: usize, value: f64) -> f64 {
        (self.low[column] - value).max(value - self.high[column])
    }

    #[inline]
    fn slip(&self, row: [f64; 3], kind: Kind) -> Option<Slip> {
        let off = [N, E, Z].map(|c| self.out(c, row[c]));
        // Every slip is farther off than this in some column: nearly all rows end here.
        if off[N] <= self.far && off[E] <= self.far && off[Z] <= self.far / 2.0 && row[Z].abs() <= HIGHEST {
            return None;
        }
        self.slip_of(row, kind, off)
    }

    fn slip_of(&self, row: [f64; 3], kind: Kind, off: [f64; 3]) -> Option<Slip> {
        let moved = |(at, to): (usize, usize)| off[at] > self.far && self.out(to, row[at]) <= self.near;
        if let Some(&(slip, _)) = Slip::CELLS.iter().find(|(_, cells)| cells.iter().all(|&c| moved(c))) {
            return Some(slip);
        }
        if kind != Kind::Ground {
            return None;
        }
        // Heights tell their unit only where they differ little among themselves, and more from others than ground falls.
        let middle = self.low[Z].midpoint(self.high[Z]).abs();
        let fits = |z: f64| self.out(Z, z) <= self.miss * middle;
        if self.width(Z) < middle / 5.0 && off[Z] > self.far / 2.0 {
            if fits(row[Z] / FEET) {
                return Some(Slip::Feet);
            }
            if fits(row[Z] * FEET) {
                return Some(Slip::Metres);
            }
        }
        if row[Z].abs() > HIGHEST {
            return Some(Slip::Sky);
        }
        (off[Z] > self.high_up).then_some(Slip::Height)
    }
}

/// Rows that look slipped, by slip and in order of rows.
pub(super) fn slips(shots: &Shots) -> Vec<(Slip, Vec<usize>)> {
    let value = |row: usize| [from_micro(shots.northing[row]), from_micro(shots.easting[row]), shots.elevation[row]];
    let Some(columns) = quartiles(shots) else { return Vec::new() };
    let (low, high) = (columns.map(|q| q.0), columns.map(|q| q.1));
    let mut around = Around { low, high, far: 0.0, near: 0.0, high_up: 0.0, miss: 0.05 };
    let spread = around.plan();
    (around.far, around.near, around.high_up) = (spread, 3.0 * spread, spread.max(3.0 * around.width(Z)));
    // Set aside what a slip explains at a first look; bounds of the others. A wrong height is no wrong place.
    let mut aside = Vec::new();
    let (mut low, mut high, mut others) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3], 0);
    for row in 0..shots.len() {
        let (v, kind) = (value(row), shots.kind[row]);
        let slip = around.slip(v, kind);
        if slip.is_some() {
            aside.push(row);
        }
        if kind == Kind::Ground {
            others += usize::from(slip.is_none());
            let good = slip.map_or(3, Slip::good_columns);
            for c in 0..good {
                low[c] = low[c].min(v[c]);
                high[c] = high[c].max(v[c]);
            }
        }
    }
    if aside.is_empty() {
        return Vec::new();
    }
    let few = others >= OTHERS && aside.len() * ONE_IN <= others + aside.len();
    around = Around { low, high, ..around };
    let site = around.plan();
    (around.far, around.near, around.miss) = (site, site / 10.0, 0.005);
    around.high_up = (2.0 * site).max(3.0 * around.width(Z));
    let mut out: Vec<(Slip, Vec<usize>)> = Vec::new();
    for row in aside {
        let slip = if few { around.slip(value(row), shots.kind[row]) } else { None };
        let sky = || (shots.elevation[row].abs() > HIGHEST).then_some(Slip::Sky);
        let Some(slip) = slip.or_else(sky) else { continue };
        match out.iter_mut().find(|(s, _)| *s == slip) {
            Some((_, rows)) => rows.push(row),
            None => out.push((slip, vec![row])),
        }
    }
    out.sort_unstable();
    out
}

/// Lower and upper quartile of northing, easting and elevation of ground shots, from rows evenly spread over the table.
pub(super) fn quartiles(shots: &Shots) -> Option<[(f64, f64); 3]> {
    let step = shots.len().div_ceil(SAMPLE).max(1);
    let rows: Vec<usize> = (0..shots.len()).step_by(step).filter(|&r| shots.kind[r] == Kind::Ground).collect();
    let of = |value: &dyn Fn(usize) -> f64| {
        let mut values: Vec<f64> = rows.iter().map(|&r| value(r)).collect();
        let last = values.len().checked_sub(1)?;
        let mut at = |k: usize| *values.select_nth_unstable_by(k, f64::total_cmp).1;
        Some((at(last / 4), at(last - last / 4)))
    };
    Some([
        of(&|r| from_micro(shots.northing[r]))?,
        of(&|r| from_micro(shots.easting[r]))?,
        of(&|r| shots.elevation[r])?,
    ])
}

/// Heights as they were typed: whether each fraction is a number of inches.
#[derive(Debug, Default)]
pub(super) struct Typed {
    /// Some fraction is no number of inches: more than 11, or more than two digits.
    plain: bool,
    rows: usize,
    /// Rows with 10 or 11 behind the point.
    tens: usize,
    /// Least and greatest number before the point.
    whole: Option<(i64, i64)>,
}

impl Typed {
    /// Takes in one more height. After the first that settles it nothing is looked at.
    #[inline]
    pub fn see<'c>(&mut self, cell: impl FnOnce() -> &'c str) {
        if !self.plain {
            self.take(cell());
        }
    }

    fn take(&mut self, cell: &str) {
        let (whole, inches) = cell.split_once(['.', ',']).unwrap_or((cell, "0"));
        let (Ok(whole), Ok(inches), 1..=2) = (whole.parse::<i64>(), inches.parse::<u8>(), inches.len()) else {
            self.plain = true;
            return;
        };
        self.plain = inches > 11;
        self.rows += 1;
        self.tens += usize::from(inches >= 10);
        let (low, high) = self.whole.unwrap_or((whole, whole));
        self.whole = Some((low.min(whole), high.max(whole)));
    }

    /// Whether these look like feet and inches. Of heights in hundredths 12 in 100 have such a fraction, 20 in 100 where
    /// closing zeros were dropped: twelve in a row by chance are 1 in 200 million tables (0.2^12). Heights in tenths all
    /// have one, but never 10 or 11. A slab level to a tenth of a foot has them too, but not over three feet of height.
    pub fn like_inches(&self) -> bool {
        !self.plain && self.rows >= 12 && self.tens >= 2 && self.whole.is_some_and(|(low, high)| high - low >= 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shots::to_micro;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    type Row = [f64; 3];
    type Edit = fn(Row) -> Row;

    fn shots(rows: &[Row]) -> Shots {
        let mut out = Shots::default();
        for (k, [n, e, z]) in rows.iter().enumerate() {
            out.push(&format!("p{k}"), to_micro(*n), to_micro(*e), *z, Kind::Ground);
        }
        out
    }

    fn asked(rows: &[Row]) -> Vec<(Slip, Vec<usize>)> {
        slips(&shots(rows))
    }

    /// A slope of 24 stakes.
    fn site() -> Vec<Row> {
        (0..24)
            .map(|k| (f64::from(k / 6), f64::from(k % 6)))
            .map(|(r, c)| [500.0 + 10.0 * r, 1000.0 + 10.0 * c, 101.0 + 0.3 * r])
            .collect()
    }

    #[test]
    fn every_slip_is_seen_in_one_row_and_in_a_run() {
        let cases: [(Slip, Edit); 9] = [
            (Slip::Exchanged, |[n, e, z]| [e, n, z]),
            (Slip::Right, |[n, e, _]| [7.0, n, e]),
            (Slip::Left, |[_, e, z]| [e, z, 3.0]),
            (Slip::EastUp, |[n, e, z]| [n, z, e]),
            (Slip::NorthUp, |[n, e, z]| [z, e, n]),
            (Slip::Feet, |[n, e, z]| [n, e, z * FEET]),
            (Slip::Metres, |[n, e, z]| [n, e, z / FEET]),
            (Slip::Sky, |[n, e, z]| [n, e, z * 1e7]),
            (Slip::Height, |[n, e, z]| [n, e, z * 10.0]),
        ];
        assert!(asked(&site()).is_empty());
        for (slip, edit) in cases {
            for run in [7..8, 9..13] {
                let mut rows = site();
                rows[run.clone()].iter_mut().for_each(|row| *row = edit(*row));
                assert_eq!(asked(&rows), [(slip, run.collect::<Vec<_>>())], "{slip:?}");
            }
        }
    }

    #[test]
    fn among_few_rows_or_many_slips_nothing_is_told() {
        let mut rows = site()[..9].to_vec();
        rows[4].swap(N, E);
        assert_eq!(asked(&rows), [(Slip::Exchanged, vec![4])]);
        assert!(asked(&rows[1..]).is_empty(), "seven others");
        let mut rows = site();
        rows[..4].iter_mut().for_each(|row| row[Z] *= FEET);
        rows[20..].iter_mut().for_each(|row| row[Z] /= FEET);
        assert!(asked(&rows).is_empty(), "a third of them");
        assert_eq!(asked(&rows[2..22]).iter().map(|(_, rows)| rows.len()).collect::<Vec<_>>(), [2, 2]);
    }

    #[test]
    fn a_height_no_ground_has_is_seen_among_few_rows() {
        assert_eq!(asked(&[[0.0, 0.0, 1.0], [0.0, 9.0, 1e9], [9.0, 0.0, 1.0]]), [(Slip::Sky, vec![1])]);
        assert!(asked(&[[0.0, 0.0, 1.0], [0.0, 9.0, 29_032.0], [9.0, 0.0, 1.0]]).is_empty());
    }

    #[test]
    fn what_is_kept_out_of_the_ground_may_lie_where_it_likes() {
        let mut all = shots(&site());
        all.push("manhole", to_micro(512.0), to_micro(1013.0), 12.0, Kind::Invert);
        all.push("mark", to_micro(9_000.0), to_micro(40.0), 330.0, Kind::Bench);
        assert!(slips(&all).is_empty());
        // But an outlet with its place exchanged is asked about.
        all.push("drain", to_micro(1013.0), to_micro(512.0), 99.0, Kind::Rim);
        assert_eq!(slips(&all), [(Slip::Exchanged, vec![26])]);
    }

    #[test]
    fn a_site_in_two_clumps_is_no_slip() {
        // A patio closely shot, a few stakes out to the street far off and far down, two of them mirrored places.
        let mut rows: Vec<Row> = (0..30).map(|k| [f64::from(k % 6), 300.0 + f64::from(k / 6), 100.0]).collect();
        rows.extend([[305.0, 3.0, 80.0], [280.0, 60.0, 82.0], [200.0, 100.0, 85.0], [100.0, 200.0, 90.0]]);
        rows.extend([[302.0, 4.0, 79.0], [150.0, 290.0, 88.0]]);
        assert!(asked(&rows).is_empty());
    }

    fn typed(cells: &[&str]) -> bool {
        let mut typed = Typed::default();
        cells.iter().for_each(|c| typed.see(|| c));
        typed.like_inches()
    }

    #[test]
    fn inches_behind_the_point_are_known_by_their_fractions() {
        let inches = [
            "101.4", "101.11", "102.0", "102.10", "103", "103.7", "102.3", "101.6", "101.8", "102.9", "102.1", "103.2",
        ];
        assert!(typed(&inches));
        assert!(!typed(&inches[..11]), "too few rows");
        assert!(typed(&[&inches[..], &["101,05"]].concat()));
        for other in ["101.12", "101.4", "101.110", "x", "", "1e2"] {
            let mut cells = inches;
            (cells[1], cells[3]) = (other, other);
            assert!(!typed(&cells), "{other}");
        }
        // Tenths; a level slab.
        assert!(!typed(
            &(0..40)
                .map(|k| format!("10{}.{}", k / 10, k % 10))
                .collect::<Vec<_>>()
                .iter()
                .map(String::as_str)
                .collect::<Vec<_>>()
        ));
        assert!(!typed(&["100.02", "100.11", "100.10", "100.04"].repeat(5)));
    }

    fn near() -> impl Strategy<Value = (f64, f64)> {
        prop_oneof![Just((0.0, 0.0)), Just((500.0, 1000.0)), Just((5000.0, 5000.0)), Just((100.0, 200.0))]
    }

    /// Sites as they are: grids and loose shots, level and steep, in feet and metres, on one level or two, with northings
    /// like eastings or not; some shot closely in one corner.
    fn sites(
        origin: impl Strategy<Value = (f64, f64)>,
        crowded: impl Strategy<Value = bool>,
    ) -> impl Strategy<Value = Vec<Row>> {
        let datum = prop_oneof![Just(0.0), Just(100.0), -20.0..3000.0_f64];
        let size = || prop_oneof![2.0..12.0_f64, 20.0..1000.0];
        let shape = (-0.25..0.25_f64, -0.25..0.25_f64, -0.25..0.25_f64, any::<bool>(), crowded);
        let loose = proptest::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, -1.0..1.0_f64), 3..120);
        (origin, datum, (size(), size()), shape, loose).prop_map(
            |((n, e), datum, (high, wide), (up, over, wall, grid, crowded), loose)| {
                let snap = |t: f64| if grid { (t * 9.0).round() / 9.0 } else { t };
                let row = |(k, &(r, c, noise)): (usize, &(f64, f64, f64))| {
                    let close = if crowded && k % 5 != 0 { 0.1 } else { 1.0 };
                    let (r, c) = (snap(r) * close, snap(c) * close);
                    let step = if r + c > 1.2 { wall * high.min(wide) } else { 0.0 };
                    let z = datum + up * r * high + over * c * wide + step + noise * 0.02 * high.min(wide);
                    [n + r * high, e + c * wide, z]
                };
                loose.iter().enumerate().map(row).collect()
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 3000, rng_seed: RngSeed::Fixed(31), failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn plausible_sites_are_not_asked_about(rows in sites(prop_oneof![near(), (1e5..3e6_f64, 1e5..3e6_f64)], any::<bool>())) {
            prop_assert_eq!(asked(&rows), []);
        }

        #[test]
        fn one_exchanged_row_is_found_wherever_the_site_is(rows in sites((0.0..1e5_f64, 2e5..3e6_f64), Just(false)), which: prop::sample::Index) {
            let mut rows = rows;
            let at = which.index(rows.len());
            rows[at].swap(N, E);
            let rest: Vec<Row> = rows.iter().enumerate().filter(|(k, _)| *k != at).map(|(_, r)| *r).collect();
            let bounds = |c: usize| rest.iter().fold((f64::MAX, f64::MIN), |(l, h), r| (l.min(r[c]), h.max(r[c])));
            let (n, e) = (bounds(N), bounds(E));
            prop_assume!(rows.len() > 8);
            let inside = |v: f64, b: (f64, f64)| (b.0..=b.1).contains(&v);
            prop_assume!(inside(rows[at][E], n) && inside(rows[at][N], e));
            prop_assert_eq!(asked(&rows), [(Slip::Exchanged, vec![at])]);
        }
    }
}
