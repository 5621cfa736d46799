//! For how much of its area does a stake stand?
//!
//! For the ground nearer to it than to any other stake of the area (Thiessen 1911, Voronoi): exact, cut out of the area's own outline, so
//! that the shares make up the area, however many stakes there are. A rod man trims what lies round a stake, not thirds of triangles.
//! Half-planes are taken nearest stake first until no further one can reach.

use crate::design::convex::{Convex, doubled_area, split};
use crate::shots::MICRO;
use crate::surface::{Region, sum};

/// Square job units of the region for each place of the frame; the places differ.
#[must_use]
pub fn shares(region: &Region, places: &[[f64; 2]]) -> Vec<f64> {
    let triangles: Vec<Convex> = region.triangles(|_| 0.0).map(|t| t.place.to_vec()).collect();
    let away = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]);
    let share = |k: usize| {
        let own = places[k];
        let mut others: Vec<[f64; 2]> = places.iter().copied().filter(|q| *q != own).collect();
        others.sort_by(|a, b| away(own, *a).total_cmp(&away(own, *b)));
        let cell = |triangle: &Convex| {
            let mut piece = triangle.clone();
            for q in &others {
                let reach = piece.iter().map(|&c| away(own, c)).fold(0.0, f64::max);
                if away(own, *q) > 2.0 * reach {
                    break;
                }
                let middle = [f64::midpoint(own[0], q[0]), f64::midpoint(own[1], q[1])];
                let nearer = |c: [f64; 2]| (middle[0] - c[0]) * (q[0] - own[0]) + (middle[1] - c[1]) * (q[1] - own[1]);
                match split(&piece, nearer).0 {
                    Some(rest) => piece = rest,
                    None => return 0.0,
                }
            }
            doubled_area(&piece) / (2.0 * MICRO * MICRO)
        };
        sum(triangles.iter().map(cell))
    };
    (0..places.len()).map(share).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shots::{Frame, to_micro};

    #[test]
    fn three_stakes_along_a_ramp() {
        let at = |n: f64, e: f64| (to_micro(n), to_micro(e));
        let ramp = vec![at(508.0, 1055.0), at(508.0, 1075.0), at(513.0, 1075.0), at(513.0, 1055.0)];
        let frame = Frame::of(&[]);
        let region = Region::new(&[ramp], frame).expect("a rectangle");
        let places: Vec<[f64; 2]> = [(510.0, 1060.0), (510.0, 1070.0), (510.0, 1075.0)]
            .iter()
            .map(|&(n, e)| frame.local(to_micro(n), to_micro(e)))
            .collect();
        let got = shares(&region, &places);
        for (got, want) in got.iter().zip([50.0, 37.5, 12.5]) {
            assert!((got - want).abs() < 1e-9, "{got} {want}");
        }
        assert_eq!(shares(&region, &places[..1]).len(), 1);
        assert!((shares(&region, &places[..1])[0] - 100.0).abs() < 1e-9);
        assert!(shares(&region, &[]).is_empty());
    }
}
