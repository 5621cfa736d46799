//! Are bad shots found, and good ones left alone?

mod common;

use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Breakline, Cells, LinePoint, Surface};
use spadework::survey::{Suspects, suspects};
use spadework::units::LengthUnit;

/// Numbers from a fixed seed (Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normal, sigma 1 (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let (u, v) = (self.roll().max(1e-300), self.roll());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// A survey of 40 to 120 stakes, tilted, humped or banked, heights to the hundredth with 0.02 ft of noise; and its breaklines.
fn site(seed: u64) -> (Shots, Vec<Breakline>) {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    for _ in 0..8 {
        dice.roll();
    }
    let step = 5.0 + (dice.roll() * 5.0).round();
    let wide = 6 + (dice.roll() * 5.0) as i32;
    let deep = 6 + (dice.roll() * 5.0) as i32;
    let (gn, ge) = ((dice.roll() - 0.5) * 0.16, (dice.roll() - 0.5) * 0.16);
    let span = step * f64::from(wide.max(deep));
    let hump = (dice.roll() * 2.0, span * (0.3 + dice.roll() * 0.4), [dice.roll() * span, dice.roll() * span]);
    let kind = seed % 3;
    let column = 2 + (dice.roll() * f64::from(wide - 4)) as i32;
    let drop = 1.0 + dice.roll() * 2.0;
    let height = |n: f64, e: f64| {
        let mut z = 100.0 + gn * n + ge * e;
        if kind == 1 {
            let (dn, de) = (n - hump.2[0], e - hump.2[1]);
            z += hump.0 * (-(dn * dn + de * de) / (hump.1 * hump.1)).exp();
        }
        if kind == 2 {
            // A bank one step wide: its top at `column`, its foot at the next.
            let past = (e / step - f64::from(column)).clamp(0.0, 1.0);
            z -= drop * past;
        }
        z
    };
    let mut shots = Shots::default();
    for r in 0..deep {
        for c in 0..wide {
            let (n, e) = (f64::from(r) * step, f64::from(c) * step);
            let z = ((height(n, e) + 0.02 * dice.normal()) * 100.0).round() / 100.0;
            shots.push(&format!("{r}-{c}"), to_micro(n), to_micro(e), z, Kind::Ground);
        }
    }
    let mut lines = Vec::new();
    if kind == 2 {
        for (name, c) in [("top", column), ("foot", column + 1)] {
            let points = (0..deep).map(|r| LinePoint::Shot((r * wide + c) as usize)).collect();
            lines.push(Breakline { name: name.to_owned(), points });
        }
    }
    (shots, lines)
}

fn looked(shots: &Shots, lines: &[Breakline]) -> Suspects {
    let frame = Frame::of(&[shots]);
    let (surface, _) =
        Surface::build_along(shots, lines, LengthUnit::Foot, frame, Cells::Nodes).unwrap_or_else(|e| panic!("{e}"));
    suspects(&surface, shots, &[], 0.02, LengthUnit::Foot)
}

#[test]
fn three_hundred_random_surveys() {
    let (mut stakes, mut looks, mut slips) = (0, 0, 0);
    let mut found = [0; 2];
    let mut edge_missed = 0;
    let mut others = 0;
    for seed in 1..=300 {
        let (shots, lines) = site(seed);
        let clean = looked(&shots, &lines);
        stakes += shots.len();
        looks += clean.shots.len();
        slips += clean.shots.iter().filter(|s| s.slip.is_some()).count() + clean.set_ups.len();
        for (k, size) in [0.5, 0.2].into_iter().enumerate() {
            let mut dice = Dice(seed * 77 + 5);
            dice.roll();
            let row = (dice.roll() * shots.len() as f64) as usize;
            let mut bad = shots.clone();
            bad.elevation[row] += if dice.roll() < 0.5 { size } else { -size };
            let told = looked(&bad, &lines);
            if told.shots.iter().any(|s| s.row == row) {
                found[k] += 1;
            } else if k == 0 {
                edge_missed += 1;
                eprintln!("missed {seed} kind {} row {row} of {} spread {}", seed % 3, shots.len(), told.spread);
            }
            others += told.shots.iter().filter(|s| s.row != row).count();
        }
    }
    eprintln!("stakes {stakes} looks {looks} slips {slips} found {found:?} others {others} missed {edge_missed}");
}
