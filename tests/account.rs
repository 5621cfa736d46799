//! The account of the dig: every term alone against a closed form, and all of them against a second way.
//!
//! Sites are in metres, so volumes come out in cubic job units. Figures by arithmetic; no source needed.

mod common;

use common::assert_close;
use spadework::design::dig::Dig;
use spadework::design::said::{Area, Fall, Finish, Layer, OverDig, Place, Said, Section, Spoil, Toward};
use spadework::haul::Haul;
use spadework::job::{Outcome, Parts, SiteJob, StakeOrder, evaluate_site};
use spadework::par::silent;
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Cells, Surface};
use spadework::units::{Elevation, Length, LengthUnit, Slope};

fn place(n: f64, e: f64) -> Place {
    (to_micro(n), to_micro(e))
}

/// Ground shots on a 10 m grid from (-20, -20) to (60, 60).
fn ground(z: impl Fn(f64, f64) -> f64) -> Shots {
    let mut shots = Shots::default();
    for r in -2..=6 {
        for c in -2..=6 {
            let (n, e) = (f64::from(r) * 10.0, f64::from(c) * 10.0);
            shots.push(&format!("{r}/{c}"), to_micro(n), to_micro(e), z(n, e), Kind::Ground);
        }
    }
    shots
}

fn section(name: &str, thick: f64, topsoil_may_stay: bool) -> Section {
    let layer =
        Layer { name: "stone".to_owned(), thick: Length::in_job_units(thick), past_edge: true, ..Layer::default() };
    Section { name: name.to_owned(), layers: vec![layer], topsoil_may_stay, ..Section::default() }
}

fn area(name: &str, section: usize, corners: &[(f64, f64)], height: f64, falls: Vec<Fall>) -> Area {
    Area {
        name: name.to_owned(),
        code: name.to_uppercase(),
        section,
        usage: None,
        by_building: false,
        rings: vec![corners.iter().map(|&(n, e)| place(n, e)).collect()],
        corner_names: Vec::new(),
        finish: Finish::Plane { through: place(0.0, 0.0), height: Elevation::in_job_units(height), falls },
        subgrade: None,
        over_dig: None,
        batter: None,
        allow_uncovered: false,
        proud: Length::ZERO,
        core: None,
        spoil: Spoil::Clean,
    }
}

fn fall(percent: f64, azimuth: f64) -> Fall {
    Fall { slope: Slope::percent(percent), toward: Toward::Azimuth(azimuth) }
}

fn past(width: f64) -> Option<OverDig> {
    Some(OverDig { width: Length::in_job_units(width), except: Vec::new() })
}

fn job(existing: Shots, strip: f64, sections: Vec<Section>, areas: Vec<Area>) -> SiteJob {
    SiteJob {
        name: "test".to_owned(),
        unit: LengthUnit::Metre,
        datum: None,
        north: None,
        existing,
        lines: Vec::new(),
        shot_error: Length::in_job_units(0.005),
        rules: Default::default(),
        levels: None,
        benches: Vec::new(),
        set_up: None,
        limit: None,
        said: Said { sections, areas, strip: Length::in_job_units(strip), ..Said::default() },
        soil: Default::default(),
        tank: None,
        haul: Haul::default(),
        outlets: Vec::new(),
        interval: None,
        cuts: Vec::new(),
        order: StakeOrder::Walking,
        sheet: Default::default(),
        tolerance: None,
        kept: Vec::new(),
        defaults: Vec::new(),
        cautions: Vec::new(),
    }
}

fn outcome(job: &SiteJob) -> Outcome {
    evaluate_site(job, Parts::ALL, &silent).unwrap_or_else(|e| panic!("{e:?}"))
}

struct Terms {
    cut: f64,
    fill: f64,
    undercut: f64,
    over_dig: f64,
    strip: f64,
    sum: f64,
    ring_area: f64,
}

fn terms(outcome: &Outcome) -> Terms {
    let volume = outcome.volume.as_ref().unwrap_or_else(|| panic!("no volume"));
    let e = volume.excavation.as_ref().unwrap_or_else(|| panic!("no excavation"));
    Terms {
        cut: e.cut,
        fill: volume.total.fill,
        undercut: e.undercut,
        over_dig: e.over_dig,
        strip: e.strip,
        sum: e.sum,
        ring_area: volume.areas.iter().map(|a| a.ring_area).sum(),
    }
}

const SQUARE: [(f64, f64); 4] = [(0.0, 0.0), (0.0, 10.0), (10.0, 10.0), (10.0, 0.0)];

#[test]
fn a_level_area_in_level_ground_with_a_mitred_ring() {
    // 10 x 10, 1 deep; ring 0.5 wide: (11 x 11 - 10 x 10) x 1 with square corners.
    let mut a = area("a", 0, &SQUARE, 99.3, Vec::new());
    a.over_dig = past(0.5);
    let t = terms(&outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.3, true)], vec![a])));
    assert_close(t.cut, 100.0, 1e-9);
    assert_close(t.over_dig, 21.0, 1e-9);
    assert_close(t.ring_area, 21.0, 1e-9);
    assert_close(t.sum, 121.0, 1e-9);
    assert_eq!((t.fill, t.undercut, t.strip), (0.0, 0.0, 0.0));
}

#[test]
fn a_tilted_area_in_tilted_ground_with_a_ring_level_across() {
    // Ground falls 5 % north, subgrade 2 % north from 99.7 at N 0; d = 0.3 - 0.03 n from below... depth 100 - 0.05 n - (99 - 0.02 n).
    let mut a = area("a", 0, &SQUARE, 99.0, vec![fall(2.0, 0.0)]);
    a.over_dig = past(0.5);
    let t = terms(&outcome(&job(ground(|n, _| 100.0 - 0.05 * n), 0.0, vec![section("s", 0.0, true)], vec![a])));
    // Inside: mean depth 1 - 0.03 x 5 = 0.85.
    assert_close(t.cut, 85.0, 1e-9);
    // East and west strips: floor runs with the edge, mean depth 0.85 over 10 x 0.5 each. South: floor 99, ground mean at n = -0.25.
    // North: floor 98.8, ground mean at n = 10.25. Corners: level at the corner, same means, 0.5 x 0.5 each, two and two.
    let south = 100.0 + 0.05 * 0.25 - 99.0;
    let north = 100.0 - 0.05 * 10.25 - 98.8;
    assert_close(t.over_dig, 0.85 * 10.0 + (south + north) * (5.0 + 0.5), 1e-9);
}

#[test]
fn sharp_corners_are_bevelled_and_blunt_ones_mitred() {
    // A triangle with angles 40, 70, 70; base along easting. Ring area = perimeter x w + corners.
    let (w, side) = (0.5, 20.0);
    let half = 20.0_f64.to_radians();
    let (h, b) = (side * half.cos(), side * half.sin());
    let corners = [(0.0, 10.0 - b), (0.0, 10.0 + b), (h, 10.0)];
    let mut a = area("a", 0, &corners, 99.0, Vec::new());
    a.over_dig = past(w);
    let t = terms(&outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a])));
    // Bevel at 40 degrees: the triangle between the two square ends, w^2 sin(turn) / 2 with turn 140 degrees.
    let bevel = w * w * 140.0_f64.to_radians().sin() / 2.0;
    // Mitre at 70: a kite, w^2 tan(turn / 2) with turn 110 degrees.
    let mitre = w * w * 55.0_f64.to_radians().tan();
    // Corners are typed to the millionth: the closed form holds to that.
    assert_close(t.ring_area, (2.0 * side + 2.0 * b) * w + bevel + 2.0 * mitre, 1e-5);
    assert_close(t.over_dig, t.ring_area, 1e-9);
}

#[test]
fn a_ring_is_clipped_by_a_neighbour_and_has_none_on_a_shared_edge() {
    let mut a = area("a", 0, &SQUARE, 99.0, Vec::new());
    a.over_dig = past(1.0);
    // Shares the whole east edge, and reaches 4 m past the south-east corner.
    let b = area("b", 0, &[(-4.0, 10.0), (-4.0, 20.0), (10.0, 20.0), (10.0, 10.0)], 99.0, Vec::new());
    let t = terms(&outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a, b])));
    // South 10 x 1, west 10 x 1 with its two mitres 1 x 1, north 10 x 1; nothing in the east.
    assert_close(t.ring_area, 32.0, 1e-9);
    assert_close(t.over_dig, 32.0, 1e-9);
}

#[test]
fn where_two_rings_overlap_the_lower_owns_it() {
    // Two squares 1 m apart, rings 1 m wide: the gap belongs to the lower, once.
    let mut a = area("a", 0, &SQUARE, 99.0, Vec::new());
    a.over_dig = past(1.0);
    let mut b = area("b", 0, &[(0.0, 11.0), (0.0, 21.0), (10.0, 21.0), (10.0, 11.0)], 98.0, Vec::new());
    b.over_dig = past(1.0);
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a, b]));
    let areas = &out.volume.as_ref().unwrap_or_else(|| panic!("no volume")).areas;
    // Each ring alone is 44. The lower keeps all of its 44 less the 10 x 1... of the gap nothing is lost to it; the upper loses
    // the gap and its two mitred ends: 12.
    assert_close(areas[1].ring_area, 44.0, 1e-9);
    assert_close(areas[0].ring_area, 32.0, 1e-9);
    assert_close(areas[1].over_dig, 88.0, 1e-9);
    assert_close(areas[0].over_dig, 32.0, 1e-9);
}

#[test]
fn a_section_thinner_than_the_topsoil_is_undercut() {
    // Cut 0.1 with 0.35 of topsoil that may not stay: 0.25 more comes out, all of it strip.
    let thin = section("s", 0.1, false);
    let t =
        terms(&outcome(&job(ground(|_, _| 100.0), 0.35, vec![thin], vec![area("a", 0, &SQUARE, 100.0, Vec::new())])));
    assert_close(t.cut, 10.0, 1e-9);
    assert_close(t.undercut, 25.0, 1e-9);
    assert_close(t.strip, 35.0, 1e-9);
    assert_close(t.sum, 35.0, 1e-9);
    // Under fill the whole depth of topsoil comes out.
    let t = terms(&outcome(&job(
        ground(|_, _| 100.0),
        0.35,
        vec![section("s", 0.1, false)],
        vec![area("a", 0, &SQUARE, 100.6, Vec::new())],
    )));
    assert_close(t.fill, 50.0, 1e-9);
    assert_close(t.undercut, 35.0, 1e-9);
    assert_eq!(t.cut, 0.0);
}

#[test]
fn strip_deeper_than_the_cut_is_only_as_deep_as_the_cut_where_topsoil_may_stay() {
    let lawn = section("s", 0.1, true);
    let t =
        terms(&outcome(&job(ground(|_, _| 100.0), 0.35, vec![lawn], vec![area("a", 0, &SQUARE, 100.0, Vec::new())])));
    assert_close(t.strip, 10.0, 1e-9);
    assert_eq!(t.undercut, 0.0);
    // A wedge from no cut to 0.7: strip is full where d > 0.35 (half of it), and 0.35 / 2 in the mean over the rest.
    let wedge = area("a", 0, &SQUARE, 100.0, vec![fall(7.0, 0.0)]);
    let t = terms(&outcome(&job(ground(|_, _| 100.0), 0.35, vec![section("s", 0.0, true)], vec![wedge])));
    assert_close(t.cut, 35.0, 1e-9);
    assert_close(t.strip, 50.0 * 0.35 + 50.0 * 0.175, 1e-9);
}

#[test]
fn a_hole_is_not_dug() {
    let mut a = area("a", 0, &SQUARE, 99.0, Vec::new());
    a.rings.push(vec![place(2.0, 2.0), place(2.0, 4.0), place(5.0, 4.0), place(5.0, 2.0)]);
    let t = terms(&outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a])));
    assert_close(t.cut, 94.0, 1e-9);
}

#[test]
fn a_t_junction_near_enough_is_one_edge_and_said() {
    // Two areas along one long edge; one of their corners is 4 mm off it (tolerance 5 mm).
    let a = area("a", 0, &SQUARE, 99.0, Vec::new());
    let b = area("b", 0, &[(10.004, 2.0), (14.0, 2.0), (14.0, 8.0), (10.0, 8.0)], 98.5, Vec::new());
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a, b]));
    let steps = &out.plan.as_ref().unwrap_or_else(|| panic!("no plan")).steps;
    assert_eq!(steps.len(), 1);
    assert!(steps[0].heights.iter().all(|h| (h - 0.5).abs() < 1e-9));
    // Nothing is counted twice or lost: the long edge bends by the 4 mm to the corner, so the two outlines together are one polygon,
    // 100 + (4 x 6 - 0.004 x 6 / 2) + 0.004 x 8 / 2.
    let volume = out.volume.as_ref().unwrap_or_else(|| panic!("no volume"));
    assert_close(volume.total.area, 124.004, 1e-9);
    // And a corner near a corner is that corner, and it is said.
    let near = area("b", 0, &[(10.003, 0.002), (14.0, 0.0), (14.0, 10.0), (10.0, 10.0)], 98.5, Vec::new());
    let two = vec![area("a", 0, &SQUARE, 99.0, Vec::new()), near];
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], two));
    assert!(out.cautions.iter().any(|c| c.text.contains("taken as the same place")), "{:?}", out.cautions);
    let volume = out.volume.as_ref().unwrap_or_else(|| panic!("no volume"));
    assert_close(volume.total.area, 140.0, 1e-9);
}

#[test]
fn an_overlap_wider_than_the_tolerance_is_refused_with_its_area_and_place() {
    let a = area("a", 0, &SQUARE, 99.0, Vec::new());
    let b = area("b", 0, &[(9.0, 0.0), (14.0, 0.0), (14.0, 10.0), (9.0, 10.0)], 98.5, Vec::new());
    let refused =
        evaluate_site(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a, b]), Parts::ALL, &silent);
    let text = refused.map(|_| ()).map_err(|r| r[0].to_string());
    assert!(
        text.as_ref().is_err_and(|t| t.contains("10.00 m2") && t.contains("`a`") && t.contains("N 9.")),
        "{text:?}"
    );
}

#[test]
fn steps_that_cross_inside_an_edge_get_a_stake_there() {
    // Along the common edge one falls 2 % east, the other 2 % west, level with each other in the middle.
    let a = area("a", 0, &SQUARE, 99.1, vec![fall(2.0, 90.0)]);
    let b = area("b", 0, &[(10.0, 0.0), (20.0, 0.0), (20.0, 10.0), (10.0, 10.0)], 98.9, vec![fall(2.0, 270.0)]);
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.0, true)], vec![a, b]));
    let stakes = out.stakes.as_deref().unwrap_or_default();
    let crossing = stakes.iter().find(|s| s.stake == "A x B").unwrap_or_else(|| panic!("no stake at the crossing"));
    assert_eq!((crossing.northing, crossing.easting), (10.0, 5.0));
    let t = terms(&out);
    assert_close(t.cut, 100.0 * 1.0 + 100.0 * 1.0, 1e-9);
}

#[test]
fn an_own_fall_of_the_subgrade_digs_deeper_and_orders_more() {
    // Finish level at 100; subgrade falls 3 % north from 99.7: highest such plane not above 99.7, so deeper by 0.15 in the mean.
    let mut a = area("a", 0, &SQUARE, 100.0, Vec::new());
    a.subgrade = Some(fall(3.0, 0.0));
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![section("s", 0.3, true)], vec![a]));
    assert_close(terms(&out).cut, 30.0 + 15.0, 1e-9);
    let layers = &out.volume.as_ref().unwrap_or_else(|| panic!("no volume")).areas[0].layers;
    assert_close(layers[0].volume, 45.0, 1e-9);
}

#[test]
fn allowance_and_proud_stone_move_the_stakes_and_not_the_account() {
    let mut a = area("a", 0, &SQUARE, 99.0, Vec::new());
    a.proud = Length::in_job_units(0.05);
    let mut s = section("s", 0.0, true);
    s.compaction_allowance = Some(Length::in_job_units(0.02));
    let out = outcome(&job(ground(|_, _| 100.0), 0.0, vec![s], vec![a]));
    assert_close(terms(&out).cut, 100.0, 1e-9);
    let inside = out.stakes.iter().flatten().find(|s| s.dig_to.is_some()).and_then(|s| s.dig_to);
    assert_close(inside.unwrap_or(f64::NAN), 98.97, 1e-12);
    let by_area = &out.volume.as_ref().unwrap_or_else(|| panic!("no volume")).areas[0];
    assert_close(by_area.to_dig_to, 3.0, 1e-9);
}

/// A site with everything at once.
fn everything(shift: (f64, f64), turns: usize) -> SiteJob {
    let turn = |(mut n, mut e): (f64, f64)| {
        for _ in 0..turns {
            (n, e) = (e, -n);
        }
        (n + shift.0, e + shift.1)
    };
    let mut existing = Shots::default();
    let home = ground(|n, e| 100.0 - 0.031 * n + 0.017 * e + 0.002 * n * e / 10.0);
    for r in 0..home.len() {
        let (n, e) = turn(home.place(r));
        existing.push(home.names.get(r), to_micro(n), to_micro(e), home.elevation[r], Kind::Ground);
    }
    let azimuth = |a: f64| (a - 90.0 * turns as f64).rem_euclid(360.0);
    let corners = |c: &[(f64, f64)]| c.iter().map(|&p| turn(p)).collect::<Vec<_>>();
    let through = turn((0.0, 0.0));
    let make = |name: &str, section, c: &[(f64, f64)], height, falls: &[(f64, f64)], width: f64| {
        let falls = falls.iter().map(|&(p, a)| fall(p, azimuth(a))).collect();
        let mut a = area(name, section, &corners(c), height, falls);
        if let Finish::Plane { through: at, .. } = &mut a.finish {
            *at = place(through.0, through.1);
        }
        a.over_dig = (width > 0.0).then(|| past(width)).flatten();
        a
    };
    let areas = vec![
        make("a", 0, &[(0.0, 0.0), (0.0, 12.0), (9.0, 12.0), (11.0, 5.0), (9.0, 0.0)], 99.9, &[(2.0, 0.0)], 0.4),
        make("b", 1, &[(0.0, 12.0), (0.0, 20.0), (9.0, 20.0), (9.0, 12.0)], 99.8, &[(1.5, 0.0), (2.5, 90.0)], 0.6),
        make("c", 0, &[(-6.0, 3.0), (-6.0, 9.0), (-0.7, 9.0), (-0.7, 3.0)], 100.3, &[(1.0, 180.0)], 0.5),
    ];
    job(existing, 0.3, vec![section("thick", 0.25, false), section("thin", 0.1, true)], areas)
}

/// Second way: every pair of triangles clipped by hand, depths added up point by point of the pieces.
fn by_hand(job: &SiteJob) -> (f64, f64) {
    let frame = Frame::of(&[&job.existing]);
    let ground = Surface::build(&job.existing, frame, Cells::Nodes).unwrap_or_else(|e| panic!("{e}"));
    let dig = Dig::new(&job.said, Some(&ground), frame, job.unit, &mut Vec::new()).unwrap_or_else(|e| panic!("{e:?}"));
    let strip = job.said.strip.job_units();
    let mut floors = Vec::new();
    for a in &dig.areas {
        floors.extend(a.floor().map(|t| (t.place, t.height, a.section.topsoil_may_stay)));
    }
    for r in &dig.rings {
        let stays = dig.areas[r.area].section.topsoil_may_stay;
        floors.extend(r.floor_triangles().map(|t| (t.place, t.height, stays)));
    }
    let (mut dug, mut strips) = (0.0, 0.0);
    for t in 0..u32::try_from(ground.net().triangles()).unwrap_or(0) {
        let corner = ground.net().corners(t).map(|v| ground.net().place(v));
        let z = ground.heights(t);
        for (place, height, stays) in &floors {
            let mut piece: Vec<[f64; 2]> = corner.to_vec();
            for k in 0..3 {
                let (a, b) = (place[k], place[(k + 1) % 3]);
                piece = cut_by(&piece, |p| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]));
            }
            let depth = |p: [f64; 2]| on_plane(corner, z, p) - on_plane(*place, *height, p);
            let deep = cut_by(&piece, |p| depth(p) - strip);
            let positive = cut_by(&piece, depth);
            let thin = cut_by(&positive, |p| strip - depth(p));
            let rest = cut_by(&piece, |p| strip - depth(p));
            dug += integral(&deep, depth) + if *stays { integral(&thin, depth) } else { integral(&rest, |_| strip) };
            strips +=
                integral(&deep, |_| strip) + if *stays { integral(&thin, depth) } else { integral(&rest, |_| strip) };
        }
    }
    (dug / 1e12, strips / 1e12)
}

fn on_plane(c: [[f64; 2]; 3], z: [f64; 3], p: [f64; 2]) -> f64 {
    let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let sub = |a: [f64; 2], b: [f64; 2]| [a[0] - b[0], a[1] - b[1]];
    let d = cross(sub(c[1], c[0]), sub(c[2], c[0]));
    let (u, v) = (cross(sub(p, c[0]), sub(c[2], c[0])) / d, cross(sub(c[1], c[0]), sub(p, c[0])) / d);
    z[0] + u * (z[1] - z[0]) + v * (z[2] - z[0])
}

fn cut_by(piece: &[[f64; 2]], f: impl Fn([f64; 2]) -> f64) -> Vec<[f64; 2]> {
    let mut out = Vec::new();
    for k in 0..piece.len() {
        let (a, b) = (piece[k], piece[(k + 1) % piece.len()]);
        let (fa, fb) = (f(a), f(b));
        if fa >= 0.0 {
            out.push(a);
        }
        if fa * fb < 0.0 {
            let t = fa / (fa - fb);
            out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
        }
    }
    out
}

fn integral(piece: &[[f64; 2]], f: impl Fn([f64; 2]) -> f64) -> f64 {
    (1..piece.len().saturating_sub(1))
        .map(|k| {
            let [a, b, c] = [piece[0], piece[k], piece[k + 1]];
            let area = ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2.0;
            area * (f(a) + f(b) + f(c)) / 3.0
        })
        .sum()
}

#[test]
fn the_sum_is_one_overlay_of_the_whole_dug_surface() {
    let job = everything((0.0, 0.0), 0);
    let t = terms(&outcome(&job));
    let (dug, strip) = by_hand(&job);
    assert!(t.cut > 10.0 && t.undercut > 1.0 && t.over_dig > 1.0, "{} {} {}", t.cut, t.undercut, t.over_dig);
    assert_close(t.sum, dug, 1e-9 * dug);
    assert_close(t.strip, strip, 1e-9 * strip);
    assert_close(t.cut + t.undercut + t.over_dig, t.sum, 1e-12 * dug);
}

#[test]
fn shift_and_turn_of_the_whole_job_change_nothing() {
    let home = terms(&outcome(&everything((0.0, 0.0), 0)));
    for turns in 0..4 {
        let away = terms(&outcome(&everything((4_500_000.25, 600_000.5), turns)));
        for (a, b) in [
            (away.cut, home.cut),
            (away.fill, home.fill),
            (away.undercut, home.undercut),
            (away.over_dig, home.over_dig),
            (away.strip, home.strip),
        ] {
            assert_close(a, b, 1e-9 * home.sum);
        }
    }
}

#[test]
fn the_order_of_areas_changes_no_sum() {
    let job = everything((0.0, 0.0), 0);
    let home = terms(&outcome(&job));
    let mut turned = job;
    turned.said.areas.reverse();
    let t = terms(&outcome(&turned));
    assert_close(t.sum, home.sum, 1e-9 * home.sum);
    assert_close(t.over_dig, home.over_dig, 1e-9 * home.sum);
}

#[test]
fn an_area_split_in_two_gives_the_same_sums() {
    let ground = || ground(|n, e| 100.0 - 0.031 * n + 0.017 * e + 0.02 * n * e / 10.0);
    let sections = || vec![section("s", 0.25, false)];
    let falls = || vec![fall(2.0, 0.0), fall(1.0, 90.0)];
    let mut whole = area("a", 0, &[(0.0, 0.0), (0.0, 20.0), (13.0, 20.0), (13.0, 0.0)], 99.9, falls());
    whole.over_dig = past(0.5);
    let mut left = area("l", 0, &[(0.0, 0.0), (0.0, 7.0), (13.0, 11.0), (13.0, 0.0)], 99.9, falls());
    left.over_dig = past(0.5);
    let mut right = area("r", 0, &[(0.0, 7.0), (0.0, 20.0), (13.0, 20.0), (13.0, 11.0)], 99.9, falls());
    right.over_dig = past(0.5);
    let one = terms(&outcome(&job(ground(), 0.3, sections(), vec![whole])));
    let two = terms(&outcome(&job(ground(), 0.3, sections(), vec![left, right])));
    for (a, b) in [(one.cut, two.cut), (one.fill, two.fill), (one.undercut, two.undercut), (one.strip, two.strip)] {
        assert_close(a, b, 1e-9 * one.sum);
    }
    assert_close(one.over_dig, two.over_dig, 1e-9 * one.sum);
}
