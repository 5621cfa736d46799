//! Which stakes, in what order, and how deep at each?
//!
//! Walking order: strips of northing one spacing deep, eastward then westward in turn, ties by file order. The spacing is the median
//! distance from a shot to its nearest neighbour; a strip reaches half a spacing to either side of its line, so that a grid
//! staked by eye stays in its rows.
//!
//! Signs: cut and fill are two numbers, one of them 0; drop > 0 below the bench; rod < 0 above the line of sight.

use crate::level::SetUp;
use crate::surface::Surface;
use crate::units::{CutFill, Elevation, Length};

/// A place with a name where the dig is told.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Northing, whole millionths.
    pub northing: i64,
    /// Easting, whole millionths.
    pub easting: i64,
    /// The ground as shot there; where it was not shot the surface is asked.
    pub shot: Option<f64>,
}

/// What is told at a stake.
#[derive(Clone, Debug, PartialEq)]
pub struct Stake {
    /// Where.
    pub place: Place,
    /// The ground, if any was surveyed there.
    pub existing: Option<Elevation>,
    /// Finished grade, if the stake lies in the design.
    pub finish: Option<Elevation>,
    /// Top of firm ground under the build-up.
    pub subgrade: Option<Elevation>,
    /// What the bucket digs to.
    pub dig_to: Option<Elevation>,
}

impl Stake {
    /// From the ground and the design's surfaces at its place.
    #[must_use]
    pub fn at(place: Place, existing: &Surface, finish: &Surface, subgrade: &Surface) -> Self {
        let height = |s: &Surface| s.height_at(place.northing, place.easting).map(Elevation::in_job_units);
        let existing = place.shot.map(Elevation::in_job_units).or_else(|| height(existing));
        let (finish, subgrade) = (height(finish), height(subgrade));
        Self { place, existing, finish, subgrade, dig_to: subgrade }
    }

    /// Cut or fill from the ground to dig-to, where both are known.
    #[must_use]
    pub fn cut_fill(&self) -> Option<CutFill> {
        Some(CutFill::from_difference(self.existing? - self.dig_to?))
    }

    /// How far dig-to lies below a bench.
    #[must_use]
    pub fn drop_below(&self, bench: Elevation) -> Option<Length> {
        Some(bench - self.dig_to?)
    }

    /// What the rod reads when the dig is right.
    #[must_use]
    pub fn rod(&self, set_up: SetUp) -> Option<Length> {
        Some(set_up.rod(self.dig_to?))
    }
}

/// Median over the shots of the distance to the nearest neighbour, in millionths; nearest neighbours are joined by an edge
/// in every Delaunay net.
#[must_use]
pub fn spacing(surface: &Surface) -> f64 {
    let net = surface.net();
    let mut nearest = vec![f64::INFINITY; net.vertices()];
    let count = u32::try_from(net.triangles()).unwrap_or(u32::MAX);
    for t in 0..count {
        let c = net.corners(t);
        for k in 0..3 {
            let (a, b) = (c[k], c[(k + 1) % 3]);
            if net.row(a).is_some() && net.row(b).is_some() {
                let (p, q) = (net.place(a), net.place(b));
                let d = (p[0] - q[0]).hypot(p[1] - q[1]);
                for v in [a, b] {
                    let least = &mut nearest[v as usize];
                    *least = least.min(d);
                }
            }
        }
    }
    nearest.retain(|d| d.is_finite());
    nearest.sort_unstable_by(f64::total_cmp);
    nearest.get(nearest.len() / 2).copied().unwrap_or(crate::shots::MICRO)
}

/// Numbers of the places in the order a person walks them.
#[must_use]
pub fn walking_order(places: &[Place], spacing: f64) -> Vec<usize> {
    let south = places.iter().map(|p| p.northing).min().unwrap_or(0);
    let strip = |p: &Place| {
        #[expect(clippy::cast_possible_truncation, reason = "strips are fewer than shots times the site's length")]
        let k = ((p.northing - south) as f64 / spacing.max(1.0) + 0.5 + 1e-9).floor() as i64;
        k
    };
    let key = |(k, place): (usize, &Place)| {
        let s = strip(place);
        (s, if s % 2 == 0 { place.easting } else { -place.easting }, k)
    };
    let mut order: Vec<(i64, i64, usize)> = places.iter().enumerate().map(key).collect();
    order.sort_unstable();
    order.into_iter().map(|(.., k)| k).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str, n: i64, e: i64) -> Place {
        Place { name: name.to_owned(), northing: n * 1_000_000, easting: e * 1_000_000, shot: None }
    }

    #[test]
    fn walked_east_then_west_in_turn() {
        let grid: Vec<Place> =
            [("A1", 0, 0), ("A2", 0, 10), ("B1", 10, 0), ("B2", 10, 10), ("C1", 20, 0), ("C2", 20, 10)]
                .iter()
                .map(|&(s, n, e)| place(s, n, e))
                .collect();
        let names = |places: &[Place]| -> Vec<String> {
            walking_order(places, 10e6).into_iter().map(|k| places[k].name.clone()).collect()
        };
        assert_eq!(names(&grid), ["A1", "A2", "B2", "B1", "C1", "C2"]);
        // Staked by eye, a little off the line: still the same rows.
        let off: Vec<Place> =
            [("A1", 1, 0), ("A2", 0, 10), ("B1", 9, 0), ("B2", 12, 10), ("C1", 20, 1), ("C2", 19, 10)]
                .iter()
                .map(|&(s, n, e)| place(s, n, e))
                .collect();
        assert_eq!(names(&off), ["A1", "A2", "B2", "B1", "C1", "C2"]);
        // At one place: the order of the file.
        assert_eq!(names(&[place("b", 0, 0), place("a", 0, 0)]), ["b", "a"]);
        assert!(names(&[]).is_empty());
    }
}
