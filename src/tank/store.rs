//! How does the store stand after each step?
//!
//! With S the capacity, V the store before, Q the inflow, D the use asked for (Jenkins et al. 1978; Fewkes and Butler 2000):
//! after spillage Y = min(D, V), V' = min(V + Q - Y, S - Y): the day's rain spills before it is used;
//! before spillage Y = min(D, V + Q), V' = min(V + Q - Y, S): it may be used on the day it falls. The first promises less.
//! What runs over is V + Q - Y - V'.
//!
//! Ties: a use short by less than 1e-9 is met.

use crate::units::TIE;

/// When a step's use is taken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rule {
    /// Yield after spillage.
    #[default]
    AfterSpillage,
    /// Yield before spillage.
    BeforeSpillage,
}

impl Rule {
    /// Both with their words in the job file.
    pub const WORDS: [(&'static str, Self); 2] =
        [("after spillage", Self::AfterSpillage), ("before spillage", Self::BeforeSpillage)];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// Water in and water asked for in a step, gallons or litres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Step {
    /// What runs in.
    pub inflow: f64,
    /// What is asked for.
    pub demand: f64,
}

/// A store.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Store {
    /// What it holds.
    pub capacity: f64,
    /// What is in it at first; what it cannot hold of that never was in it.
    pub start: f64,
    /// When use is taken.
    pub rule: Rule,
}

/// What became of a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Turn {
    /// What was used.
    pub met: f64,
    /// What ran over.
    pub spill: f64,
    /// What is left in the store.
    pub left: f64,
}

/// What became of all steps.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    /// What ran in.
    pub inflow: f64,
    /// What was asked for.
    pub demand: f64,
    /// What was used: the yield.
    pub met: f64,
    /// What ran over.
    pub spill: f64,
    /// What was in the store at first.
    pub start: f64,
    /// What is left in it.
    pub left: f64,
    /// Steps on which something was asked for.
    pub asking: usize,
    /// Steps on which not all of that was met.
    pub dry: usize,
}

/// A sum that keeps what the last bits lose (Neumaier 1974): thirty years balance.
#[derive(Clone, Copy, Default)]
struct Sum(f64, f64);

impl Sum {
    fn add(&mut self, v: f64) {
        let sum = self.0 + v;
        self.1 += if self.0.abs() >= v.abs() { (self.0 - sum) + v } else { (v - sum) + self.0 };
        self.0 = sum;
    }

    fn total(self) -> f64 {
        self.0 + self.1
    }
}

impl Step {
    /// Whether a yield leaves it short.
    #[must_use]
    pub fn is_dry(&self, met: f64) -> bool {
        met < self.demand - TIE
    }
}

impl Store {
    fn turn(&self, held: f64, step: &Step) -> Turn {
        let Step { inflow, demand } = *step;
        let (met, room) = match self.rule {
            Rule::AfterSpillage => {
                let met = demand.min(held);
                (met, self.capacity - met)
            }
            Rule::BeforeSpillage => (demand.min(held + inflow), self.capacity),
        };
        let kept = held + inflow - met;
        let left = kept.min(room);
        Turn { met, spill: kept - left, left }
    }

    /// Step by step.
    pub fn turns<'a>(&self, steps: &'a [Step]) -> impl Iterator<Item = Turn> + use<'a> {
        let (store, mut held) = (*self, self.start.min(self.capacity));
        steps.iter().map(move |step| {
            let turn = store.turn(held, step);
            held = turn.left;
            turn
        })
    }

    /// All steps together.
    #[must_use]
    pub fn balance(&self, steps: &[Step]) -> Balance {
        let start = self.start.min(self.capacity);
        let mut out = Balance { start, left: start, ..Balance::default() };
        let [mut inflow, mut demand, mut met, mut spill] = [Sum::default(); 4];
        for (step, turn) in steps.iter().zip(self.turns(steps)) {
            inflow.add(step.inflow);
            demand.add(step.demand);
            met.add(turn.met);
            spill.add(turn.spill);
            out.left = turn.left;
            out.asking += usize::from(step.demand > 0.0);
            out.dry += usize::from(step.is_dry(turn.met));
        }
        Balance { inflow: inflow.total(), demand: demand.total(), met: met.total(), spill: spill.total(), ..out }
    }

    /// The same with other capacities.
    #[must_use]
    pub fn curve(&self, sizes: &[f64], steps: &[Step]) -> Vec<(f64, Balance)> {
        sizes.iter().map(|&capacity| (capacity, Self { capacity, ..*self }.balance(steps))).collect()
    }
}

impl Balance {
    /// Part of the water asked for that was met; none where nothing was asked for.
    #[must_use]
    pub fn by_volume(&self) -> Option<f64> {
        (self.demand > 0.0).then(|| self.met / self.demand)
    }

    /// Part of the steps that asked for water on which all of it was met; none where nothing was asked for.
    #[must_use]
    pub fn by_time(&self) -> Option<f64> {
        (self.asking > 0).then(|| 1.0 - self.dry as f64 / self.asking as f64)
    }
}

/// The least size from which on every further size gains less than `share` of what is asked for; none where the last one still does,
/// or nothing is asked for.
#[must_use]
pub fn enough(curve: &[(f64, Balance)], share: f64) -> Option<f64> {
    let gains = |w: &[(f64, Balance)]| w[1].1.met - w[0].1.met >= share * w[1].1.demand - TIE;
    let last = curve.windows(2).rposition(gains).map_or(0, |k| k + 1);
    let (size, balance) = curve.get(last)?;
    (balance.demand > 0.0 && last + 1 < curve.len()).then_some(*size)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steps(all: &[(f64, f64)]) -> Vec<Step> {
        all.iter().map(|&(inflow, demand)| Step { inflow, demand }).collect()
    }

    #[test]
    fn a_start_that_does_not_fit_is_cut_to_size() {
        let store = Store { capacity: 10.0, start: 25.0, rule: Rule::BeforeSpillage };
        let balance = store.balance(&steps(&[(0.0, 4.0), (0.0, 8.0)]));
        assert_eq!((balance.start, balance.met, balance.dry, balance.asking), (10.0, 10.0, 1, 2));
        assert_eq!((balance.by_volume(), balance.by_time()), (Some(10.0 / 12.0), Some(0.5)));
        assert_eq!(store.balance(&[]).by_volume(), None);
        assert_eq!(store.balance(&[]).by_time(), None);
    }

    /// Three dry spells of one use each: every unit of size up to 3 gains a third of what is asked for, none beyond.
    #[test]
    fn enough_is_where_the_curve_goes_flat() {
        let store = Store { rule: Rule::BeforeSpillage, ..Store::default() };
        let all = steps(&[(3.0, 0.0), (0.0, 1.0), (0.0, 1.0), (0.0, 1.0)]);
        let curve = store.curve(&[1.0, 2.0, 3.0, 4.0, 5.0], &all);
        assert_eq!(enough(&curve, 0.01), Some(3.0));
        assert_eq!(enough(&curve, 0.5), Some(1.0));
        assert_eq!(enough(&curve[..3], 0.01), None, "the last one still gains");
        assert_eq!(enough(&store.curve(&[1.0, 2.0], &steps(&[(1.0, 0.0)])), 0.01), None, "nothing is asked for");
        assert_eq!(enough(&[], 0.01), None);
    }
}
