use super::*;
use crate::shots::{Frame, Kind, Shots};
use crate::surface::{Cells, Surface};

fn grid(rows: i64, columns: i64, z: impl Fn(i64, i64) -> f64) -> (Shots, Surface) {
    let mut shots = Shots::default();
    for n in 0..rows {
        for e in 0..columns {
            shots.push(&format!("{n}-{e}"), n * 10_000_000, e * 10_000_000, z(n, e), Kind::Ground);
        }
    }
    let surface = Surface::build(&shots, Frame::of(&[&shots]), Cells::Nodes).unwrap_or_else(|e| panic!("{e}"));
    (shots, surface)
}

fn outlet(surface: &Surface, n: f64, e: f64) -> Outlet {
    let micro = crate::shots::to_micro;
    Outlet { name: "out".to_owned(), place: surface.net().frame().local(micro(n), micro(e)) }
}

fn path(surface: &Surface, outlets: &[Outlet], n: f64, e: f64) -> Path {
    let micro = crate::shots::to_micro;
    let place = surface.net().frame().local(micro(n), micro(e));
    Paths::new(surface, outlets, Outlet::REACH).from(place, true).unwrap_or_else(|| panic!("off the surface"))
}

#[test]
fn on_a_plane_water_runs_straight_down_it_to_the_edge() {
    // Falls 2 % north and 1 % east.
    let (_, s) = grid(5, 5, |n, e| 10.0 - 0.2 * n as f64 - 0.1 * e as f64);
    for (n, e) in [(3.0, 4.0), (10.0, 10.0), (0.0, 0.0), (17.5, 5.0), (0.0, 15.0)] {
        let p = path(&s, &[], n, e);
        assert_eq!(p.end, End::Edge, "{n} {e}");
        let (en, ee) = s.net().frame().site(p.place);
        assert!((en - 40.0).abs() < 1e-6 && (ee - (e + (40.0 - n) / 2.0)).abs() < 1e-6, "{en} {ee}");
        assert!((p.least_slope - 0.05_f64.sqrt() / 10.0).abs() < 1e-9);
        assert!((p.fall - p.least_slope * p.length).abs() < 1e-9);
    }
}

#[test]
fn from_the_low_edge_and_corner_it_leaves_at_once() {
    let (_, s) = grid(3, 3, |n, e| 10.0 - 0.2 * n as f64 - 0.05 * e as f64);
    for (n, e) in [(20.0, 0.0), (20.0, 10.0), (20.0, 20.0), (20.0, 5.0)] {
        let p = path(&s, &[], n, e);
        assert_eq!((p.end, p.length), (End::Edge, 0.0), "{n} {e}");
    }
}

#[test]
fn a_valley_is_followed_to_its_outlet() {
    // A V along easting 20, falling north.
    let (_, s) = grid(5, 5, |n, e| 10.0 + 0.5 * (e - 2).abs() as f64 - 0.2 * n as f64);
    let out = [outlet(&s, 40.0, 20.0)];
    for (n, e) in [(5.0, 3.0), (5.0, 37.0), (0.0, 0.0), (30.0, 20.0), (12.0, 20.0)] {
        let p = path(&s, &out, n, e);
        assert_eq!(p.end, End::Outlet(0), "{n} {e}: {p:?}");
        assert!((p.least_slope - 0.02).abs() < 1e-9);
    }
}

#[test]
fn a_bowl_ends_in_its_low_and_a_plate_is_flat() {
    let (_, s) = grid(5, 5, |n, e| ((n - 2).pow(2) + (e - 2).pow(2)) as f64);
    for (n, e) in [(0.0, 0.0), (7.0, 33.0), (39.0, 12.0)] {
        let p = path(&s, &[], n, e);
        assert_eq!(p.end, End::Low);
        assert_eq!(s.net().frame().site(p.place), (20.0, 20.0));
    }
    let with_drain = [outlet(&s, 20.0, 20.0)];
    assert_eq!(path(&s, &with_drain, 3.0, 3.0).end, End::Outlet(0));
    let (_, plate) = grid(3, 3, |_, _| 5.0);
    assert_eq!(path(&plate, &[], 4.0, 7.0).end, End::Flat);
}

#[test]
fn remembering_what_lies_below_changes_no_answer() {
    let mut seed = 5_u64;
    let mut dice = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / f64::from(u32::MAX >> 1)
    };
    let heights: Vec<f64> = (0..144).map(|_| dice()).collect();
    let (shots, s) = grid(12, 12, |n, e| heights[usize::try_from(n * 12 + e).unwrap_or(0)]);
    let out = [outlet(&s, 50.0, 50.0)];
    let mut kept = Paths::new(&s, &out, Outlet::REACH);
    for r in 0..shots.len() {
        let place = s.net().frame().local(shots.northing[r], shots.easting[r]);
        let (fresh, again) = (Paths::new(&s, &out, Outlet::REACH).from(place, true), kept.from(place, false));
        let (Some(fresh), Some(again)) = (fresh, again) else { panic!("off the surface") };
        assert_eq!((fresh.end, fresh.place), (again.end, again.place));
        assert!((fresh.length - again.length).abs() < 1e-9 && (fresh.least_slope - again.least_slope).abs() < 1e-12);
        let down: Vec<f64> = fresh.line.iter().filter_map(|&p| s.height_local(p)).collect();
        assert!(down.windows(2).all(|w| w[1] <= w[0] + 1e-9), "water runs uphill: {down:?}");
    }
}
