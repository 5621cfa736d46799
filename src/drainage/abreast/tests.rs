use super::super::{Outlet, Paths};
use super::*;
use crate::shots::{Frame, Kind, Shots};
use crate::surface::Cells;

fn dice(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(u32::MAX >> 1)
    }
}

/// Shots strewn over a square of a hundred units, and the surface through them.
fn strewn(count: usize, seed: u64, z: impl Fn(f64, f64, f64) -> f64) -> Surface {
    let (mut shots, mut dice) = (Shots::default(), dice(seed));
    for k in 0..count {
        #[expect(clippy::cast_possible_truncation, reason = "below a hundred million")]
        let place = [dice(), dice()].map(|part| (part * 1e8) as i64);
        let [n, e] = place.map(|c| c as f64 / 1e6);
        shots.push(&k.to_string(), place[0], place[1], z(n, e, dice()), Kind::Ground);
    }
    Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("can be built")
}

/// From every vertex, and from places between them.
fn places(s: &Surface, count: usize, seed: u64) -> Vec<[f64; 2]> {
    let mut dice = dice(seed);
    let (low, high) = s.net().bounds();
    let at = |dice: &mut dyn FnMut() -> f64| [0, 1].map(|i| (low[i] + dice() * (high[i] - low[i])).round());
    let vertices = (0..index(s.net().vertices())).map(|v| s.net().place(v));
    vertices.chain((0..count).map(|_| at(&mut dice))).collect()
}

/// The greatest difference to the ways found one by one, as a part of the way.
fn same(s: &Surface, outlets: &[Outlet], places: &[[f64; 2]]) -> f64 {
    let mut one = Paths::new(s, outlets, Outlet::REACH);
    let all = abreast(&Paths::new(s, outlets, Outlet::REACH), places);
    let (mut most, mut strange) = (0.0_f64, 0);
    for (&place, found) in places.iter().zip(&all) {
        let (a, b) = (one.from(place, false), found);
        let (Some(a), Some(b)) = (a, b) else {
            assert!(one.from(place, false).is_none() && found.is_none(), "{place:?}");
            continue;
        };
        if a.end != b.end {
            strange += 1;
            continue;
        }
        let apart = (a.place[0] - b.place[0]).hypot(a.place[1] - b.place[1]);
        assert!(apart < 0.01 && (a.fall - b.fall).abs() < 1e-9, "from {place:?}:\n{a:?}\n{b:?}");
        assert!((a.least_slope - b.least_slope).abs() < 1e-6, "from {place:?}:\n{a:?}\n{b:?}");
        most = most.max((a.length - b.length).abs() / a.length.max(1.0));
    }
    assert_eq!(strange, 0, "of {}", places.len());
    most
}

#[test]
fn many_at_once_run_as_one_by_one() {
    let shape = |n: f64, e: f64| 0.05 * n - 0.03 * e + 2.0 * (n / 17.0).sin() * (e / 23.0).cos();
    for (seed, noise) in [(1, 0.0), (2, 0.02), (3, 0.5), (4, 3.0)] {
        let s = strewn(2000, seed, |n, e, dice| shape(n, e) + noise * dice);
        let all = places(&s, 2000, seed + 10);
        assert!(same(&s, &[], &all) < 1e-10);
        let pick = |k: usize| Outlet { name: k.to_string(), place: all[k * 97 % all.len()] };
        let outlets: Vec<Outlet> = (0..40).map(pick).collect();
        assert!(same(&s, &outlets, &all) < 1e-10);
    }
}

#[test]
fn on_a_lattice_and_with_flats_too() {
    for seed in [1_u64, 2, 3] {
        let (mut shots, mut dice) = (Shots::default(), dice(seed));
        for n in 0..30_i64 {
            for e in 0..30_i64 {
                let z = 5.0 * (n as f64 / 7.0).sin() + 0.1 * e as f64 + dice();
                let z = if seed == 3 {
                    (z * 2.0).round() / 2.0 + 1e-4 * (n * 31 + e * 17) as f64 * f64::from(dice() > 0.3)
                } else {
                    z
                };
                shots.push(&format!("{n}-{e}"), n * 10_000_000, e * 10_000_000, z, Kind::Ground);
            }
        }
        let s = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("can be built");
        assert!(same(&s, &[], &places(&s, 1500, seed)) < 1e-10);
    }
}

#[test]
fn triangles_that_wait_for_one_another_in_a_ring_hold_nothing_up() {
    // A round hill shot along rings, each turned a little against the one above: its spokes all lean the same way.
    let (mut shots, spokes) = (Shots::default(), 60);
    shots.push("top", 0, 0, 10.0, Kind::Ground);
    for ring in 1..8 {
        for k in 0..spokes {
            let turn = std::f64::consts::TAU * (f64::from(k) + 0.2 * f64::from(ring)) / f64::from(spokes);
            let (r, z) = (f64::from(ring) * 2.0 + 20.0, 10.0 - f64::from(ring));
            let place = [turn.sin(), turn.cos()].map(|c| crate::shots::to_micro(c * r));
            shots.push(&format!("{ring}-{k}"), place[0], place[1], z, Kind::Ground);
        }
    }
    let s = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).expect("can be built");
    assert!(same(&s, &[], &places(&s, 1000, 5)) < 1e-10);
}
