//! Which trucks together take it all at the least cost?
//!
//! Loads are whole, so the best mix is a small covering problem. Branch and bound: trucks in order of cost for what they carry, a branch is
//! left where even broken loads of the truck at hand would not beat the best mix so far. Ties: fewer trips, then the order of the file.
//! The search ends after a million branches with the best found. Known right by: a slower twin that tries every mix (below).

use super::trips::{Cargo, Truck, loads};
use crate::units::TIE;

/// Branches after which the search ends.
const ENOUGH: usize = 1_000_000;

/// Loads of each truck, in the order of `trucks`, at the least cost; `costs`: of one load of each, none for a truck not to be used. `None`
/// where there is nothing to haul or no truck.
#[must_use]
pub fn cheapest(trucks: &[Truck], costs: &[Option<f64>], cargo: Cargo) -> Option<Vec<u64>> {
    if cargo.loose.cubic() <= 0.0 {
        return None;
    }
    let mut usable: Vec<Usable> = trucks
        .iter()
        .zip(costs)
        .enumerate()
        .filter_map(|(at, (truck, cost))| Some(Usable { at, share: truck.share(cargo).min(1.0), cost: (*cost)? }))
        .collect();
    usable.sort_by(|a, b| (a.cost / a.share).total_cmp(&(b.cost / b.share)).then(b.share.total_cmp(&a.share)));
    let mut search = Search { usable: &usable, taken: vec![0; usable.len()], best: None, branches: 0 };
    search.go(0, 1.0, (0.0, 0));
    let (_, taken) = search.best?;
    let mut out = vec![0; trucks.len()];
    for (truck, n) in usable.iter().zip(taken) {
        out[truck.at] = n;
    }
    Some(out)
}

struct Usable {
    at: usize,
    /// Part of the cargo in one load.
    share: f64,
    cost: f64,
}

struct Search<'a> {
    usable: &'a [Usable],
    taken: Vec<u64>,
    /// Cost and trips of the best mix, and that.
    best: Option<((f64, u64), Vec<u64>)>,
    branches: usize,
}

impl Search<'_> {
    /// `left`: part of the cargo not taken yet by the trucks before `k`.
    fn go(&mut self, k: usize, left: f64, so_far: (f64, u64)) {
        let Some(truck) = self.usable.get(k) else { return };
        let most = loads(left, truck.share);
        for n in (0..=most).rev() {
            self.branches += 1;
            if self.branches > ENOUGH && self.best.is_some() {
                return;
            }
            self.taken[k] = n;
            let here = (so_far.0 + n as f64 * truck.cost, so_far.1.saturating_add(n));
            if n == most {
                if self.best.as_ref().is_none_or(|(best, _)| better(here, *best)) {
                    self.best = Some((here, self.taken.clone()));
                }
                continue;
            }
            let rest = left - n as f64 * truck.share;
            // The last truck leaves nothing behind; and fewer of this one cost no less in broken loads of the next.
            let Some(next) = self.usable.get(k + 1) else { break };
            let least = here.0 + rest / next.share * next.cost;
            if self.best.as_ref().is_some_and(|(best, _)| least > best.0 + TIE) {
                break;
            }
            self.go(k + 1, rest, here);
        }
        self.taken[k] = 0;
    }
}

fn better(one: (f64, u64), other: (f64, u64)) -> bool {
    one.0 < other.0 - TIE || (one.0 <= other.0 + TIE && one.1 < other.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::LooseVolume;
    use proptest::prelude::*;

    fn truck(volume: f64, payload: f64) -> Truck {
        let volume = LooseVolume::cubic_job_units(volume);
        Truck { name: String::new(), volume, payload, round_trip: None, count: 1, note: String::new() }
    }

    fn cargo(loose: f64, mass: f64) -> Cargo {
        Cargo { loose: LooseVolume::cubic_job_units(loose), mass }
    }

    #[test]
    fn a_small_truck_takes_the_rest_where_that_is_cheaper() {
        let trucks = [truck(10.0, 14.0), truck(5.0, 7.5)];
        // 60.2 loose, 72.3 ton: six tandems are 0.2 short.
        let hauled = cargo(60.224, 72.27);
        assert_eq!(cheapest(&trucks, &[Some(300.0), Some(180.0)], hauled), Some(vec![6, 1]));
        assert_eq!(cheapest(&trucks, &[Some(300.0), Some(320.0)], hauled), Some(vec![7, 0]));
        assert_eq!(cheapest(&trucks, &[None, Some(180.0)], hauled), Some(vec![0, 13]));
        // At one price for a trip: the fewest trips.
        assert_eq!(cheapest(&trucks, &[Some(1.0); 2], hauled), Some(vec![7, 0]));
        assert_eq!(cheapest(&trucks, &[None, None], hauled), None);
        assert_eq!(cheapest(&trucks, &[Some(1.0); 2], cargo(0.0, 0.0)), None);
        // Exactly full.
        assert_eq!(cheapest(&trucks, &[Some(300.0), Some(180.0)], cargo(30.0, 1.0)), Some(vec![3, 0]));
    }

    /// Many loads of trucks that cost the same for what they carry end in time, and all is taken.
    #[test]
    fn a_great_dig_ends() {
        let trucks: Vec<Truck> = [18.0, 15.0, 12.0, 10.0, 5.0].map(|v| truck(v, 1e9)).into();
        let costs: Vec<Option<f64>> = [18.0, 15.0, 12.0, 10.0, 5.0].map(Some).into();
        let mix = cheapest(&trucks, &costs, cargo(990_001.3, 1.0)).unwrap_or_default();
        let taken: f64 = mix.iter().zip(&trucks).map(|(n, t)| *n as f64 * t.volume.cubic()).sum();
        assert!((990_001.3..990_006.3).contains(&taken), "{mix:?}");
    }

    proptest! {
        #[test]
        fn no_mix_is_cheaper(
            boxes in proptest::collection::vec((2.0..12.0_f64, 2.0..12.0_f64, 50.0..400.0_f64), 1..4),
            loose in 1.0..60.0_f64,
            heavy in 0.5..2.0_f64,
        ) {
            let trucks: Vec<Truck> = boxes.iter().map(|b| truck(b.0, b.1)).collect();
            let costs: Vec<Option<f64>> = boxes.iter().map(|b| Some(b.2)).collect();
            let hauled = cargo(loose, loose * heavy);
            let found = cheapest(&trucks, &costs, hauled).unwrap_or_default();
            let cost = |mix: &[u64]| mix.iter().zip(&boxes).map(|(n, b)| *n as f64 * b.2).sum::<f64>();
            let takes = |mix: &[u64]| mix.iter().zip(&trucks).map(|(n, t)| *n as f64 * t.share(hauled)).sum::<f64>();
            prop_assert!(takes(&found) >= 1.0 - 1e-9);
            let most = trucks.iter().map(|t| loads(1.0, t.share(hauled))).max().unwrap_or(0);
            let mut mix = vec![0; trucks.len()];
            loop {
                if takes(&mix) >= 1.0 - 1e-9 {
                    prop_assert!(cost(&mix) >= cost(&found) - 1e-6, "{mix:?} costs less than {found:?}");
                }
                let Some(k) = mix.iter().position(|n| *n < most) else { break };
                mix[k] += 1;
                mix[..k].fill(0);
            }
        }
    }
}
