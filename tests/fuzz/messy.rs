//! Does a surface stand on breaklines drawn without any order?
//!
//! Three thousand sets of thirty segments on a quarter-unit grid: they touch and overlap in line, cross many at one place, run through
//! shots and along the outline. Heights on one plane, so that no two lines are at two heights where they meet, or at random.

#![allow(clippy::cast_sign_loss, reason = "sides of a grid are positive")]

use crate::bodies::unclean;
use spadework::shots::{Frame, Kind, Shots};
use spadework::surface::{Breakline, Cells, LinePoint, Surface, Unbuildable};
use spadework::units::LengthUnit;

const SETS: u64 = 3000;
const QUARTER: i64 = 250_000;

/// Numbers from a fixed seed (Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from((self.0 >> 11) % sides).unwrap_or(0)
    }
}

/// Nearly level: a crossing is up to half a millionth beside its lines, which at this fall is less than a thousandth of a millionth.
fn plane(n: i64, e: i64) -> f64 {
    100.0 + n as f64 / 1e6 / 1024.0 - e as f64 / 1e6 / 2048.0
}

/// Shots and lines on a grid of so many quarters; every fourth set has a place where many lines cross.
fn drawn(seed: u64, height: impl Fn(&mut Dice, i64, i64) -> f64) -> (Shots, Vec<Breakline>) {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    let side: i64 = [8, 20, 60][usize::try_from(seed % 3).unwrap_or(0)];
    let mut places = std::collections::BTreeSet::from([(0, 0), (0, side), (side, 0), (side, side)]);
    places.extend((0..12).map(|_| (dice.roll(side.cast_unsigned()), dice.roll(side.cast_unsigned()))));
    let mut shots = Shots::default();
    for (k, (n, e)) in places.iter().enumerate() {
        let (n, e) = (n * QUARTER, e * QUARTER);
        let z = height(&mut dice, n, e);
        shots.push(&k.to_string(), n, e, z, Kind::Ground);
    }
    let hub = seed.is_multiple_of(4).then(|| (1 + dice.roll(side as u64 - 1), 1 + dice.roll(side as u64 - 1)));
    let lines = (0..30).map(|k| {
        let sides = side.cast_unsigned() + 1;
        let a = (dice.roll(sides), dice.roll(sides));
        let b = match (hub, dice.roll(5)) {
            // Through the hub and on, as far as the grid goes.
            (Some(hub), 0..3) if hub != a => {
                let step = (hub.0 - a.0, hub.1 - a.1);
                let on = (hub.0 + step.0, hub.1 + step.1);
                if (0..=side).contains(&on.0) && (0..=side).contains(&on.1) { on } else { hub }
            }
            (_, 3) => (a.0, dice.roll(sides)),
            _ => (dice.roll(sides), dice.roll(sides)),
        };
        let mut point = |(n, e): (i64, i64)| {
            let (n, e) = (n * QUARTER, e * QUARTER);
            let row = (0..shots.len()).find(|&r| shots.northing[r] == n && shots.easting[r] == e);
            row.map_or_else(|| LinePoint::At(n, e, height(&mut dice, n, e)), LinePoint::Shot)
        };
        Breakline { name: k.to_string(), points: vec![point(a), point(b)] }
    });
    let lines = lines.collect();
    (shots, lines)
}

/// The laws of a surface, and its kept edges in whole numbers: no two cross, none passes through a vertex.
fn stands(seed: u64, surface: &Surface) {
    assert_eq!(surface.check(), Ok(()), "set {seed}");
    let net = surface.net();
    let vertices = u32::try_from(net.vertices()).expect("few");
    // Nodes of square cells are broken numbers, and on no kept edge; those of lines are whole.
    let is_kept: std::collections::HashSet<u32> = net.kept().iter().flatten().copied().collect();
    #[expect(clippy::cast_possible_truncation, reason = "whole and small")]
    let places: Vec<(i64, i64)> = (0..vertices)
        .map(|v| {
            let p = net.place(v);
            assert!(!is_kept.contains(&v) || (p[0].fract() == 0.0 && p[1].fract() == 0.0), "set {seed}: {p:?}");
            if p[0].fract() == 0.0 && p[1].fract() == 0.0 { (p[0] as i64, p[1] as i64) } else { (-1, -1) }
        })
        .collect();
    assert!(net.kept().len() > 20, "set {seed}: only {} edges", net.kept().len());
    assert_eq!(unclean(&places, net.kept()), None, "set {seed}");
}

fn built(seed: u64, height: impl Fn(&mut Dice, i64, i64) -> f64) -> Result<Surface, Unbuildable> {
    let (shots, lines) = drawn(seed, height);
    let unit = if seed.is_multiple_of(2) { LengthUnit::Foot } else { LengthUnit::Metre };
    Surface::build_along(&shots, &lines, unit, Frame::of(&[&shots]), Cells::Nodes).map(|(s, _)| s)
}

#[test]
fn a_plane_comes_back_from_three_thousand_messy_sets() {
    let mut edges = 0;
    for seed in 1..=SETS {
        let surface = built(seed, |_, n, e| plane(n, e)).unwrap_or_else(|why| panic!("set {seed}: {why}"));
        stands(seed, &surface);
        edges += surface.net().kept().len();
        let side: i64 = [8, 20, 60][usize::try_from(seed % 3).unwrap_or(0)] * QUARTER;
        let mut dice = Dice(seed);
        for _ in 0..20 {
            let (n, e) = (dice.roll(side.cast_unsigned()), dice.roll(side.cast_unsigned()));
            let got = surface.height_at(n, e).expect("inside");
            assert!((got - plane(n, e)).abs() <= 1e-9, "set {seed}: {got} is not {} at {n}, {e}", plane(n, e));
        }
    }
    println!("{edges} edges");
}

#[test]
fn random_heights_are_refused_or_make_a_sound_surface() {
    let (mut refused, mut sound) = (0, 0);
    for seed in 1..=SETS {
        // In thousandths, from a level to a bank: the narrower, the more sets have no two heights.
        let spread = [2, 6, 400][usize::try_from(seed / 3 % 3).unwrap_or(0)];
        match built(seed, |dice, _, _| 100.0 + dice.roll(spread) as f64 / 1000.0) {
            Ok(surface) => {
                stands(seed, &surface);
                sound += 1;
            }
            Err(Unbuildable::TwoHeights(all)) => {
                assert!(!all.is_empty() && all.iter().all(|t| t.heights[0] < t.heights[1]), "set {seed}");
                refused += 1;
            }
            Err(why) => panic!("set {seed}: {why}"),
        }
    }
    assert!(refused > 500 && sound > 500, "{refused} refused, {sound} sound");
}
