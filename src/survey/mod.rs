//! Which shots are easily wrong, and what is the likely slip?
//!
//! Every ground shot is held against the surface its neighbours would make without it; what is left over, counted in spreads of all
//! such rests (the median of their sizes, so that a few bad ones do not hide themselves), tells which to look at. The worst is set
//! aside before the next is judged. A rest that a common slip explains is told as that slip: digits swapped on the rod, a whole foot,
//! a tenth, inches read as tenths, a whole set-up too high. Nothing is changed.
//!
//! Source: leave-one-out residuals with a robust scale (Rousseeuw and Leroy 1987; Mosteller and Tukey 1977, from memory). The limits are
//! common sense, tried on random surveys (`tests/suspects.rs`), no source.
//!
//! What cannot be found: a slip that is no larger than the ground's own roughness, at the edge above all. Only a second shot finds it.

mod moved;
mod neighbours;

pub use moved::{Moved, Stake, moved};

use crate::shots::{MICRO, Shots};
use crate::surface::Surface;
use crate::units::LengthUnit;
use neighbours::{predict, sides};
use std::collections::HashSet;

/// How a shot was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The set-up it was shot from, from 1.
    pub set_up: usize,
    /// What the rod read, in the job's unit.
    pub rod: f64,
    /// Whether the rod was read in feet and inches.
    pub in_inches: bool,
}

/// What a rest looks like.
#[derive(Clone, Debug, PartialEq)]
pub enum Likely {
    /// Two digits of the rod reading exchanged: as booked, and as it may have been.
    Swapped(f64, f64),
    /// A whole unit, or a tenth of one, misread: booked, and as it may have been.
    Misread(f64, f64),
    /// Inches booked as tenths: booked, and as it may have been.
    Inches(f64, f64),
}

/// A shot to look at.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// Its row.
    pub row: usize,
    /// Shot less what its neighbours make of it, job units.
    pub off: f64,
    /// That in spreads.
    pub score: f64,
    /// The slip that explains it, if one does, with the height it would have without.
    pub slip: Option<(Likely, f64)>,
}

/// A set-up whose shots all stand off from those beside them.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUpOff {
    /// Which.
    pub set_up: usize,
    /// How far above the others, job units.
    pub off: f64,
    /// Its shots that were held against others.
    pub shots: usize,
}

/// What a survey looks like.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suspects {
    /// Set-ups that stand off.
    pub set_ups: Vec<SetUpOff>,
    /// Shots, the worst first.
    pub shots: Vec<Suspect>,
    /// Spread of a shot about what its neighbours make of it.
    pub spread: f64,
}

/// Surveys beyond this are scans, not stakes read one by one.
pub const MOST: usize = 20_000;

/// Spreads from which a shot is one to look at.
const LOOK: f64 = 4.5;
/// A slip is told from this many spreads, and this many times one shot's error; below, chance looks like one.
const SLIP: f64 = 6.0;
/// It must leave no more than this many spreads.
const EXPLAINED: f64 = 1.5;
/// And a rest must be this many times one shot's error, whatever the spread.
const LEAST: f64 = 4.0;
/// No more than this part of a survey is set aside.
const SET_ASIDE: f64 = 0.1;

/// Looks through a survey. `error`: one sigma of one shot, job units. `readings`: by row, for shots from level notes.
#[must_use]
pub fn suspects(
    surface: &Surface,
    shots: &Shots,
    readings: &[Option<Reading>],
    error: f64,
    unit: LengthUnit,
) -> Suspects {
    let ground = Ground::new(surface, shots);
    if ground.rows.len() < 8 || ground.rows.len() > MOST {
        return Suspects::default();
    }
    let mut height: Vec<f64> =
        (0..surface.net().vertices()).map(|v| surface.height(crate::surface::index(v))).collect();
    let mut out = Suspects::default();
    if let Some(off) = set_up_off(&ground, readings, &height, error) {
        // The rest is judged as if that one were right, or every shot at its border would be told again.
        for &(v, row) in &ground.rows {
            if readings.get(row).copied().flatten().is_some_and(|r| r.set_up == off.set_up) {
                height[v as usize] -= off.off;
            }
        }
        out.set_ups.push(off);
    }
    let mut aside: HashSet<u32> = HashSet::new();
    let mut rests: Vec<Option<[f64; 2]>> = (0..ground.rows.len()).map(|k| ground.rest(k, &height, &aside)).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of a count")]
    let most = (ground.rows.len() as f64 * SET_ASIDE).ceil() as usize;
    loop {
        let sizes: Vec<f64> = rests.iter().flatten().map(|[off, sigma]| off.abs() / sigma).collect();
        let spread = (1.4826 * median(&sizes).unwrap_or(0.0)).max(error);
        out.spread = spread;
        let score = |k: usize| {
            let [off, sigma] = rests[k]?;
            let near: Vec<f64> = ground.near[k].iter().filter_map(|&j| rests[j]).map(|[o, s]| o.abs() / s).collect();
            let local = 1.4826 * median(&near).unwrap_or(0.0);
            Some(off / sigma / spread.max(local))
        };
        let worst = (0..rests.len())
            .filter(|&k| !aside.contains(&ground.rows[k].0))
            .filter_map(|k| Some((k, score(k)?)))
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let Some((k, score)) = worst else { break };
        let Some([off, sigma]) = rests[k] else { break };
        if score.abs() < LOOK || off.abs() < LEAST * error || out.shots.len() >= most {
            break;
        }
        let (v, row) = ground.rows[k];
        let one = off / score;
        let is_plain = score.abs() >= SLIP && off.abs() >= SLIP * error;
        let reading = readings.get(row).copied().flatten();
        let slip = is_plain.then(|| likely(height[v as usize], off, one.abs(), reading, unit)).flatten();
        let back = surface.height(v) - height[v as usize];
        let slip = slip.map(|(what, z)| (what, z + back));
        out.shots.push(Suspect { row, off, score: off / (sigma * spread), slip });
        aside.insert(v);
        for j in ground.near[k].iter().copied() {
            rests[j] = ground.rest(j, &height, &aside);
        }
    }
    out
}

/// The net round every shot.
struct Ground<'a> {
    surface: &'a Surface,
    /// Vertex and row of every ground shot.
    rows: Vec<(u32, usize)>,
    /// Neighbours of each, side by side of the lines that meet there.
    sides: Vec<Vec<Vec<u32>>>,
    /// Numbers in `rows` of the neighbours of each.
    near: Vec<Vec<usize>>,
}

impl<'a> Ground<'a> {
    fn new(surface: &'a Surface, shots: &Shots) -> Self {
        let net = surface.net();
        let mut rows: Vec<(u32, usize)> =
            (0..crate::surface::index(net.vertices())).filter_map(|v| Some((v, net.row(v)?))).collect();
        if rows.len() > MOST {
            return Self { surface, rows, sides: vec![], near: vec![] };
        }
        rows.sort_by_key(|&(_, row)| row);
        debug_assert!(rows.iter().all(|&(_, row)| row < shots.len()));
        let kept: HashSet<[u32; 2]> = net.kept().iter().copied().collect();
        let mut fan: Vec<Vec<u32>> = vec![Vec::new(); net.vertices()];
        for t in 0..crate::surface::index(net.triangles()) {
            for v in net.corners(t) {
                fan[v as usize].push(t);
            }
        }
        let sides: Vec<Vec<Vec<u32>>> = rows.iter().map(|&(v, _)| sides(surface, &kept, &fan, v)).collect();
        let mut number = vec![usize::MAX; net.vertices()];
        for (k, &(v, _)) in rows.iter().enumerate() {
            number[v as usize] = k;
        }
        let near = sides
            .iter()
            .map(|s| s.iter().flatten().map(|&u| number[u as usize]).filter(|&k| k != usize::MAX).collect())
            .collect();
        Self { surface, rows, sides, near }
    }

    /// Shot less what its neighbours make of it, and the sigma of that in sigmas of a shot; of several sides the one it fits best.
    fn rest(&self, k: usize, height: &[f64], aside: &HashSet<u32>) -> Option<[f64; 2]> {
        let v = self.rows[k].0;
        let net = self.surface.net();
        let place = |u: u32| net.place(u).map(|x| x / MICRO);
        self.sides[k]
            .iter()
            .filter_map(|side| {
                let shots: Vec<([f64; 2], f64)> =
                    side.iter().filter(|u| !aside.contains(u)).map(|&u| (place(u), height[u as usize])).collect();
                let predicted = predict(place(v), &shots)?;
                Some([height[v as usize] - predicted.height, (1.0 + predicted.variance).sqrt()])
            })
            .min_by(|a, b| (a[0].abs() / a[1]).total_cmp(&(b[0].abs() / b[1])))
    }
}

/// The middle value; nothing of nothing.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(sorted[n / 2]),
        _ => Some(f64::midpoint(sorted[n / 2 - 1], sorted[n / 2])),
    }
}

/// The common slip that explains a rest best, with the height without it. `one`: one spread.
fn likely(height: f64, off: f64, one: f64, reading: Option<Reading>, unit: LengthUnit) -> Option<(Likely, f64)> {
    let left = |change: f64| (off + change).abs();
    let mut best: Option<(Likely, f64, f64)> = None;
    let mut keep = |what: Likely, change: f64| {
        let rest = left(change);
        if rest <= EXPLAINED * one && best.as_ref().is_none_or(|b| rest < b.2 - 1e-9) {
            best = Some((what, height + change, rest));
        }
    };
    if let Some(r) = reading {
        // A rod that reads more stands on lower ground.
        for meant in swaps(r.rod, unit) {
            keep(Likely::Swapped(r.rod, meant), r.rod - meant);
        }
        if !r.in_inches && unit != LengthUnit::Metre {
            for meant in as_inches(r.rod) {
                keep(Likely::Inches(r.rod, meant), r.rod - meant);
            }
        }
    }
    for step in [1.0, -1.0, 2.0, -2.0, 0.1, -0.1] {
        let booked = reading.map_or(height, |r| r.rod);
        let meant = if reading.is_some() { booked + step } else { booked - step };
        keep(Likely::Misread(booked, meant), -step);
    }
    best.map(|(what, z, _)| (what, z))
}

/// The reading with two digits next to each other exchanged, in hundredths (thousandths for metres).
fn swaps(rod: f64, unit: LengthUnit) -> Vec<f64> {
    let scale = if unit == LengthUnit::Metre { 1000.0 } else { 100.0 };
    #[expect(clippy::cast_possible_truncation, reason = "a rod is no taller than a house")]
    let digits = (rod * scale).round() as i64;
    if digits <= 0 || digits > 99_999 {
        return Vec::new();
    }
    (0..4)
        .filter_map(|k| {
            let unit = 10_i64.pow(k);
            let (low, high) = (digits / unit % 10, digits / (unit * 10) % 10);
            // A zero in front is no digit.
            let is_there = digits >= unit * 10;
            (is_there && low != high).then(|| (digits + (low - high) * (unit * 10 - unit)) as f64 / scale)
        })
        .collect()
}

/// Feet and tenths that may have been feet and inches: 5.6 for 5 ft 6 in, 5.11 for 5 ft 11 in.
fn as_inches(rod: f64) -> Vec<f64> {
    let feet = rod.floor();
    let part = rod - feet;
    [10.0, 100.0]
        .into_iter()
        .map(|times| part * times)
        .filter(|inches| (inches - inches.round()).abs() < 1e-6 && (1.0..=11.0).contains(&inches.round()))
        .map(|inches| feet + inches.round() / 12.0)
        .collect()
}

/// The set-up whose shots stand farthest off from the shots of others beside them, if that is plain.
fn set_up_off(ground: &Ground<'_>, readings: &[Option<Reading>], height: &[f64], error: f64) -> Option<SetUpOff> {
    const SPREADS: f64 = 6.0;
    const SHOTS: usize = 4;
    let of = |row: usize| readings.get(row).copied().flatten().map(|r| r.set_up);
    let mut set_ups: Vec<usize> = ground.rows.iter().filter_map(|&(_, row)| of(row)).collect();
    set_ups.sort_unstable();
    set_ups.dedup();
    let net = ground.surface.net();
    let place = |v: u32| net.place(v).map(|x| x / MICRO);
    let held = |set_up: usize| {
        let mut rests: Vec<f64> = Vec::new();
        for (k, &(v, row)) in ground.rows.iter().enumerate().filter(|(_, (_, row))| of(*row) == Some(set_up)) {
            let _ = row;
            let others: Vec<([f64; 2], f64)> = ground.sides[k]
                .iter()
                .flatten()
                .filter(|&&u| net.row(u).and_then(of).is_some_and(|s| s != set_up))
                .map(|&u| (place(u), height[u as usize]))
                .collect();
            // Only shots with enough of others round them, so that nothing is carried far.
            if let Some(p) = predict(place(v), &others).filter(|p| p.variance < 4.0) {
                rests.push(height[v as usize] - p.height);
            }
        }
        let off = median(&rests)?;
        let apart: Vec<f64> = rests.iter().map(|r| (r - off).abs()).collect();
        let sigma = (1.4826 * median(&apart)?).max(error) * 1.2533 / (rests.len() as f64).sqrt();
        (rests.len() >= SHOTS && off.abs() > SPREADS * sigma && off.abs() > 5.0 * error)
            .then_some((SetUpOff { set_up, off, shots: rests.len() }, off.abs() / sigma))
    };
    set_ups.into_iter().filter_map(held).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(off, _)| off)
}
