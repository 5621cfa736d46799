//! Are bad shots found, and good ones left alone?
//!
//! Random surveys with noise as a level has, and one slip in each. How often a slip is found is printed (`--nocapture`); what is asked
//! of it is that good stakes are left alone.

mod common;

use common::Dice;
use spadework::shots::{Frame, Kind, Shots, to_micro};
use spadework::surface::{Breakline, Cells, LinePoint, Surface};
use spadework::survey::{Suspects, moved, suspects};
use spadework::units::LengthUnit;

/// A survey of 40 to 120 stakes, tilted, humped or banked, heights to the hundredth with 0.02 ft of noise; and its breaklines.
fn site(seed: u64) -> (Shots, Vec<Breakline>) {
    let mut dice = Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
    for _ in 0..8 {
        dice.roll();
    }
    let step = 5.0 + (dice.roll() * 5.0).round();
    let wide = 6 + dice.below(5);
    let deep = 6 + dice.below(5);
    let (gn, ge) = ((dice.roll() - 0.5) * 0.16, (dice.roll() - 0.5) * 0.16);
    let span = step * wide.max(deep) as f64;
    let hump = (dice.roll() * 2.0, span * (0.3 + dice.roll() * 0.4), [dice.roll() * span, dice.roll() * span]);
    let kind = seed % 3;
    let column = 2 + dice.below(wide - 4);
    let drop = 1.0 + dice.roll() * 2.0;
    let height = |n: f64, e: f64| {
        let mut z = 100.0 + gn * n + ge * e;
        if kind == 1 {
            let (dn, de) = (n - hump.2[0], e - hump.2[1]);
            z += hump.0 * (-(dn * dn + de * de) / (hump.1 * hump.1)).exp();
        }
        if kind == 2 {
            // A bank one step wide: its top at `column`, its foot at the next.
            let past = (e / step - column as f64).clamp(0.0, 1.0);
            z -= drop * past;
        }
        z
    };
    let mut shots = Shots::default();
    for r in 0..deep {
        for c in 0..wide {
            let (n, e) = (r as f64 * step, c as f64 * step);
            let z = ((height(n, e) + 0.02 * dice.normal()) * 100.0).round() / 100.0;
            shots.push(&format!("{r}-{c}"), to_micro(n), to_micro(e), z, Kind::Ground);
        }
    }
    let mut lines = Vec::new();
    if kind == 2 {
        for (name, c) in [("top", column), ("foot", column + 1)] {
            let points = (0..deep).map(|r| LinePoint::Shot(r * wide + c)).collect();
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

/// Hundredths and thousandths of a count, for the one line a person reads of this.
fn share(part: usize, whole: usize) -> f64 {
    100.0 * part as f64 / whole as f64
}

/// A row, up or down, the same for the same seed.
fn slipped(shots: &Shots, seed: u64, size: f64) -> (Shots, usize) {
    let mut dice = Dice(seed * 77 + 5);
    dice.roll();
    let row = dice.below(shots.len());
    let mut bad = shots.clone();
    bad.elevation[row] += if dice.roll() < 0.5 { size } else { -size };
    (bad, row)
}

#[test]
fn three_hundred_random_surveys_and_one_slip_in_each() {
    let (mut stakes, mut looks, mut slips) = (0, 0, 0);
    let (mut found, mut others) = ([0; 2], 0);
    for seed in 1..=300 {
        let (shots, lines) = site(seed);
        let clean = looked(&shots, &lines);
        stakes += shots.len();
        looks += clean.shots.len();
        slips += clean.shots.iter().filter(|s| s.slip.is_some()).count() + clean.set_ups.len();
        for (k, size) in [0.5, 0.2].into_iter().enumerate() {
            let (bad, row) = slipped(&shots, seed, size);
            let told = looked(&bad, &lines);
            found[k] += usize::from(told.shots.iter().any(|s| s.row == row));
            others += usize::from(k == 0) * told.shots.iter().filter(|s| s.row != row).count();
        }
    }
    println!(
        "{stakes} stakes: {:.2} % to look at, {slips} slips; of one slip of 0.5 ft {:.1} % found, of 0.2 ft {:.1} %",
        share(looks, stakes),
        share(found[0], 300),
        share(found[1], 300)
    );
    assert!(share(looks, stakes) <= 1.0, "{looks} of {stakes}");
    assert_eq!(slips, 0);
    assert!(share(found[0], 300) >= 95.0, "{} of 300", found[0]);
    assert!(share(others, stakes) <= 1.0, "{others} others of {stakes}");
    // Told honestly in docs/methods.md; the test only keeps it from falling unseen.
    assert!(share(found[1], 300) >= 85.0, "{} of 300", found[1]);
}

#[test]
fn a_bank_without_its_breakline_is_not_the_stakes_fault_and_with_it_none_is_told() {
    let banks = (1..=60_u64).filter(|seed| seed % 3 == 2);
    let told: usize = banks.clone().map(site).map(|(shots, lines)| looked(&shots, &lines).shots.len()).sum();
    let bare: usize = banks.map(|seed| site(seed).0).map(|shots| looked(&shots, &[]).shots.len()).sum();
    assert!(told <= 20 && bare > told, "{told} with lines, {bare} without");
}

#[test]
fn stakes_of_a_second_survey_that_moved_and_a_bench_that_did() {
    let (before, _) = site(4);
    let mut dice = Dice(99);
    let mut after = before.clone();
    for z in &mut after.elevation {
        // A second survey of the same ground, its bench 0.31 ft up.
        *z = ((*z + 0.31 + 0.02 * dice.normal() * 0.7) * 100.0).round() / 100.0;
    }
    let same = moved(&before, &after, 0.02, 0.02);
    assert_eq!((same.common, same.is_shifted), (before.len(), true));
    assert!((same.shift - 0.31).abs() < 0.01 && same.stakes.is_empty(), "{same:?}");
    after.elevation[7] -= 0.4;
    after.easting[12] += to_micro(1.5);
    let told = moved(&before, &after, 0.02, 0.02);
    assert_eq!(told.stakes.iter().map(|s| s.rows[1]).collect::<Vec<_>>(), [7, 12]);
    assert!((told.stakes[0].rise + 0.09).abs() < 0.06 && (told.stakes[1].away - 1.5).abs() < 1e-9, "{:?}", told.stakes);
    let apart = moved(&before, &shots_of_others(), 0.02, 0.02);
    assert_eq!(apart.common, 0);
}

fn shots_of_others() -> Shots {
    Shots::ground(&[("Q1", 0.0, 0.0, 1.0), ("Q2", 0.0, 9.0, 1.0), ("Q3", 9.0, 0.0, 1.0)])
}
