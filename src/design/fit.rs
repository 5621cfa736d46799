//! Which plane lies nearest to the ground?
//!
//! Least squares over area, not over shots: the integral of (ground - plane)^2 over the exact pieces of the ground under an area,
//! so that no stake counts more because others stand close to it. With the plane held about the middle of the area its height there
//! is the mean of the ground, and its rise g answers M g = v, M the second moments of the area and v those of the ground.
//!
//! Under a rule for the slope, |g| = s where the free plane is too flat or too steep: (M + k I) g = v for the one k above minus the
//! least eigenvalue of M that gives |g| = s (the trust-region step of Moré and Sorensen 1983; nalgebra's eigenvectors).
//!
//! Known right by: planes that come back, and no plane of the same rule tried at random lying nearer (below).

use super::plane::Plane;
use crate::shots::MICRO;
use crate::surface::{Triangle, sum};
use nalgebra::{Matrix2, SymmetricEigen, Vector2};

/// What a fitted plane may rise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Slopes {
    /// Just this, along x and y of the frame.
    Given([f64; 2]),
    /// Not flatter than the first and not steeper than the second, rise over run; any way.
    Between([Option<f64>; 2]),
}

/// A plane, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fitted {
    Plane(Plane),
    /// A least slope, and ground that leans no way.
    NoDirection,
}

/// The plane nearest to these pieces of ground, under that rule.
pub(super) fn fit(ground: &[Triangle], slopes: Slopes) -> Fitted {
    let area = sum(ground.iter().map(Triangle::doubled_area));
    let mean = |of: &dyn Fn(&Triangle) -> f64| sum(ground.iter().map(|t| t.doubled_area() * of(t))) / area;
    let middle = [0, 1].map(|k| mean(&|t| (t.place[0][k] + t.place[1][k] + t.place[2][k]) / 3.0));
    let height = mean(&|t| (t.height[0] + t.height[1] + t.height[2]) / 3.0);
    // Products of two linear functions are integrated exactly by the middles of the sides.
    let product = |f: &dyn Fn(&Triangle, usize) -> f64, g: &dyn Fn(&Triangle, usize) -> f64| {
        mean(&|t| {
            let sides = [(0, 1), (1, 2), (2, 0)];
            let at = |h: &dyn Fn(&Triangle, usize) -> f64, (a, b): (usize, usize)| f64::midpoint(h(t, a), h(t, b));
            sides.iter().map(|&s| at(f, s) * at(g, s)).sum::<f64>() / 3.0
        })
    };
    let x = |t: &Triangle, k: usize| (t.place[k][0] - middle[0]) / MICRO;
    let y = |t: &Triangle, k: usize| (t.place[k][1] - middle[1]) / MICRO;
    let z = |t: &Triangle, k: usize| t.height[k] - height;
    let (xx, xy, yy) = (product(&x, &x), product(&x, &y), product(&y, &y));
    let (xz, yz) = (product(&x, &z), product(&y, &z));
    let rise = match slopes {
        Slopes::Given(rise) => Some(rise),
        Slopes::Between(range) => rise(Matrix2::new(xx, xy, xy, yy), Vector2::new(xz, yz), range),
    };
    rise.map_or(Fitted::NoDirection, |rise| Fitted::Plane(Plane::new(middle, height, rise)))
}

/// The rise that answers M g = v, held between two slopes.
fn rise(m: Matrix2<f64>, v: Vector2<f64>, [least, most]: [Option<f64>; 2]) -> Option<[f64; 2]> {
    let eigen = SymmetricEigen::new(m);
    let along = eigen.eigenvectors.transpose() * v;
    let at = |k: f64| Vector2::new(along[0] / (eigen.eigenvalues[0] + k), along[1] / (eigen.eigenvalues[1] + k));
    let back = |g: Vector2<f64>| {
        let g = eigen.eigenvectors * g;
        [g[0], g[1]]
    };
    let free = at(0.0);
    let wanted = match (least, most) {
        (Some(least), _) if free.norm() < least => least,
        (_, Some(most)) if free.norm() > most => most,
        _ => return Some(back(free)),
    };
    // Below this the ground leans no way that could be measured: a millionth over the size of the area.
    if free.norm() * m.trace().sqrt() < 1e-6 {
        return (wanted == 0.0).then_some([0.0; 2]);
    }
    let (low, high) = (eigen.eigenvalues[0].min(eigen.eigenvalues[1]), eigen.eigenvalues[0].max(eigen.eigenvalues[1]));
    let weak = usize::from(eigen.eigenvalues[1] < eigen.eigenvalues[0]);
    // |g| falls as k rises, from no end just above -low.
    let (mut flat, mut steep) = (v.norm() / wanted.max(f64::MIN_POSITIVE), -low);
    for _ in 0..200 {
        let k = f64::midpoint(flat, steep);
        if k <= -low || k == flat {
            break;
        }
        if at(k).norm() > wanted { steep = k } else { flat = k }
    }
    let mut g = at(flat);
    if (g.norm() - wanted).abs() > 1e-9 * wanted && high > low {
        // No pull along the weak axis: what is missing goes there, one way as good as the other.
        let other = g[1 - weak];
        g[weak] = (wanted * wanted - other * other).max(0.0).sqrt();
    }
    Some(back(g * (wanted / g.norm())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A grid of triangles with that height by place, in units.
    fn ground(wide: i32, deep: i32, z: impl Fn(f64, f64) -> f64) -> Vec<Triangle> {
        let at = |x: i32, y: i32| ([f64::from(x), f64::from(y)].map(|v| v * MICRO), z(f64::from(x), f64::from(y)));
        let tile = |x: i32, y: i32| {
            let [a, b, c, d] = [at(x, y), at(x + 1, y), at(x + 1, y + 1), at(x, y + 1)];
            [[a, b, c], [a, c, d]].map(|t| Triangle { place: t.map(|p| p.0), height: t.map(|p| p.1) })
        };
        (0..wide).flat_map(|x| (0..deep).flat_map(move |y| tile(x, y)).collect::<Vec<_>>()).collect()
    }

    fn plane(fitted: Fitted) -> Plane {
        let Fitted::Plane(plane) = fitted else { panic!("no plane") };
        plane
    }

    /// Mean square of ground less plane.
    fn apart(ground: &[Triangle], plane: &Plane) -> f64 {
        let of = |t: &Triangle| {
            let d = [0, 1, 2].map(|k| t.height[k] - plane.height(t.place[k]));
            (d[0] * d[0] + d[1] * d[1] + d[2] * d[2] + d[0] * d[1] + d[1] * d[2] + d[2] * d[0]) / 6.0
        };
        sum(ground.iter().map(|t| t.doubled_area() * of(t))) / sum(ground.iter().map(Triangle::doubled_area))
    }

    #[test]
    fn a_plane_comes_back_and_a_rule_makes_it_steeper_or_flatter_the_same_way() {
        let tilted = ground(8, 5, |x, y| 100.0 + 0.03 * x - 0.04 * y);
        for (range, want) in [([None, None], 1.0), ([Some(0.02), Some(0.06)], 1.0)] {
            let [gx, gy] = plane(fit(&tilted, Slopes::Between(range))).rise();
            assert!((gx - 0.03 * want).abs() < 1e-12 && (gy + 0.04 * want).abs() < 1e-12, "{range:?}: {gx} {gy}");
        }
        let square = ground(6, 6, |x, y| 100.0 + 0.03 * x - 0.04 * y);
        for (range, want) in [([Some(0.1), None], 2.0), ([None, Some(0.025)], 0.5), ([Some(0.08), Some(0.08)], 1.6)] {
            let [gx, gy] = plane(fit(&square, Slopes::Between(range))).rise();
            assert!((gx - 0.03 * want).abs() < 1e-9 && (gy + 0.04 * want).abs() < 1e-9, "{range:?}: {gx} {gy}");
        }
        let level = ground(4, 3, |_, _| 100.0);
        assert_eq!(fit(&level, Slopes::Between([Some(0.02), None])), Fitted::NoDirection);
        assert_eq!(plane(fit(&level, Slopes::Given([0.02, 0.0]))).height([2e6, 1.5e6]), 100.0);
    }

    proptest! {
        #[test]
        fn no_plane_of_the_same_rule_lies_nearer(
            bumps in proptest::collection::vec(-1.0_f64..1.0, 8),
            lean in (-0.1_f64..0.1, -0.1_f64..0.1),
            slope in 0.005_f64..0.15,
            turns in proptest::collection::vec((0.0_f64..std::f64::consts::TAU, -0.2_f64..0.2), 24),
        ) {
            let bump = |x: f64, y: f64| (0_i32..8).zip(&bumps).map(|(k, b)| b * (x * f64::from(k) + y).sin()).sum::<f64>();
            let ground = ground(7, 4, |x, y| 100.0 + lean.0 * x + lean.1 * y + 0.1 * bump(x, y));
            let rule = Slopes::Between([Some(slope), Some(slope)]);
            let best = plane(fit(&ground, rule));
            prop_assert!((best.slope() - slope).abs() < 1e-9);
            let least = apart(&ground, &best);
            for (turn, up) in turns {
                let other = Plane::new([3.5 * MICRO, 2.0 * MICRO], best.height([3.5 * MICRO, 2.0 * MICRO]) + up,
                    [slope * turn.cos(), slope * turn.sin()]);
                prop_assert!(apart(&ground, &other) >= least - 1e-12);
            }
        }
    }
}
