//! What leaves the site, of which material, and what stays?
//!
//! ```text
//!   kept   = min(topsoil dug x (1 - loss), what the layers made of it want)
//!   export = everything dug - kept / (1 - loss) - fill / (1 - shrink)
//! ```
//! Topsoil put aside lies again as it lay in the bank, so what is wanted of it is a bank volume. Fill is taken from clean earth first, then
//! from what is left of the topsoil, then from mixed earth; sod and wet earth are never fill. What cannot be had on the site is brought in.
//! So for every job: dug = kept / (1 - loss) + fill used + export, material by material.

use crate::soil::Factors;
use crate::units::{BankVolume, CompactedVolume, LooseVolume};

/// What it is; each is tipped by itself where it may not be mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Material {
    /// Grass with its roots.
    Sod,
    /// Topsoil.
    Topsoil,
    /// Earth below it, without rubbish.
    Clean,
    /// Earth with stones, roots or rubble.
    Mixed,
    /// Earth too wet to stack.
    Wet,
}

impl Material {
    /// Every material with its word.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("sod", Self::Sod),
        ("topsoil", Self::Topsoil),
        ("clean", Self::Clean),
        ("mixed", Self::Mixed),
        ("wet", Self::Wet),
    ];

    /// Where fill comes from, in this order.
    pub const FILL: [Self; 3] = [Self::Clean, Self::Topsoil, Self::Mixed];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, m)| *m == self).map_or("", |(word, _)| word)
    }
}

/// So much of one material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pile {
    /// What it is.
    pub material: Material,
    /// As it lay.
    pub bank: BankVolume,
    /// How it behaves.
    pub factors: Factors,
}

impl Pile {
    /// As it lies in a truck.
    #[must_use]
    pub fn loose(&self) -> LooseVolume {
        self.factors.loose(self.bank)
    }
    /// As it would lie compacted.
    #[must_use]
    pub fn compacted(&self) -> CompactedVolume {
        self.factors.compacted(self.bank)
    }
    /// What it weighs.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.factors.mass(self.bank)
    }
}

/// What is wanted of the ground that is dug.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Topsoil for layers made of it.
    pub topsoil: BankVolume,
    /// Ground that is raised.
    pub fill: CompactedVolume,
    /// Part of topsoil lost when it is put aside and brought back.
    pub loss: f64,
}

/// Where everything dug goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Account {
    /// Everything dug.
    pub dug: BankVolume,
    /// Topsoil put back.
    pub kept: BankVolume,
    /// Topsoil brought in.
    pub short: BankVolume,
    /// Dug for the kept topsoil: with what is lost of it.
    pub set_aside: BankVolume,
    /// Dug and used as fill.
    pub fill_used: BankVolume,
    /// Fill brought in, as compacted.
    pub fill_short: CompactedVolume,
    /// What leaves, pile by pile; none is empty.
    pub export: Vec<Pile>,
}

const NONE: BankVolume = BankVolume::ZERO;

/// Accounts for piles of ground dug.
#[must_use]
pub fn account(dug: &[Pile], wanted: &Wanted) -> Account {
    let mut left = dug.to_vec();
    let of = |piles: &[Pile]| piles.iter().fold(NONE, |sum, p| sum + p.bank);
    let topsoil: Vec<Pile> = dug.iter().filter(|p| p.material == Material::Topsoil).copied().collect();
    let keeps = BankVolume::cubic_job_units(of(&topsoil).cubic() * (1.0 - wanted.loss));
    let kept = if keeps.cubic() < wanted.topsoil.cubic() { keeps } else { wanted.topsoil };
    let set_aside = BankVolume::cubic_job_units(kept.cubic() / (1.0 - wanted.loss));
    let mut wants = set_aside;
    for pile in left.iter_mut().filter(|p| p.material == Material::Topsoil) {
        let takes = least(wants, pile.bank);
        (wants, pile.bank) = (wants - takes, pile.bank - takes);
    }
    let (mut hole, mut fill_used) = (wanted.fill, NONE);
    for material in Material::FILL {
        for pile in left.iter_mut().filter(|p| p.material == material) {
            let wants = pile.factors.bank_of_compacted(hole);
            let takes = least(wants, pile.bank);
            // What is filled to the brim leaves no hair of a hole.
            hole = if takes == wants { CompactedVolume::ZERO } else { hole - pile.factors.compacted(takes) };
            (fill_used, pile.bank) = (fill_used + takes, pile.bank - takes);
        }
    }
    left.retain(|p| p.bank.cubic() > 0.0);
    Account { dug: of(dug), kept, short: wanted.topsoil - kept, set_aside, fill_used, fill_short: hole, export: left }
}

fn least(a: BankVolume, b: BankVolume) -> BankVolume {
    if a.cubic() < b.cubic() { a } else { b }
}

impl Account {
    /// Everything that leaves, as it lay.
    #[must_use]
    pub fn exported(&self) -> BankVolume {
        self.export.iter().fold(NONE, |sum, p| sum + p.bank)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const EARTH: Factors = Factors { swell: 0.25, shrink: 0.12, bank_weight: 1.5 };

    fn pile(material: Material, bank: f64) -> Pile {
        Pile { material, bank: BankVolume::cubic_job_units(bank), factors: EARTH }
    }

    fn wanted(topsoil: f64, fill: f64, loss: f64) -> Wanted {
        let (topsoil, fill) = (BankVolume::cubic_job_units(topsoil), CompactedVolume::cubic_job_units(fill));
        Wanted { topsoil, fill, loss }
    }

    #[test]
    fn all_topsoil_is_kept_where_more_is_wanted() {
        // The courtyard: 34.136 of topsoil of 83.070 dug, 10 % lost, 34.741 wanted, 0.664 of fill.
        let dug = [pile(Material::Topsoil, 34.136), pile(Material::Clean, 83.070 - 34.136)];
        let out = account(&dug, &wanted(34.741, 0.664, 0.10));
        assert!((out.kept.cubic() - 30.723).abs() < 0.001 && (out.short.cubic() - 4.018).abs() < 0.001);
        assert!((out.exported().cubic() - 48.179).abs() < 0.001);
        assert_eq!(out.export.len(), 1, "no topsoil leaves");
        assert_eq!(out.fill_short.cubic(), 0.0);
    }

    #[test]
    fn fill_comes_from_clean_earth_then_topsoil_and_the_rest_is_brought_in() {
        let dug = [
            pile(Material::Sod, 5.0),
            pile(Material::Topsoil, 10.0),
            pile(Material::Clean, 8.8),
            pile(Material::Wet, 3.0),
        ];
        let out = account(&dug, &wanted(0.0, 20.0, 0.0));
        assert!((out.fill_used.cubic() - 18.8).abs() < 1e-12);
        assert!((out.fill_short.cubic() - (20.0 - 18.8 * 0.88)).abs() < 1e-12);
        let words: Vec<&str> = out.export.iter().map(|p| p.material.word()).collect();
        assert_eq!(words, ["sod", "wet"]);
    }

    proptest! {
        /// Everything dug is kept, used as fill or taken away; and where all is of one soil, the export is the one formula.
        #[test]
        fn nothing_is_lost(
            banks in proptest::array::uniform5(0.0..100.0_f64),
            topsoil in 0.0..120.0_f64,
            fill in 0.0..150.0_f64,
            loss in 0.0..0.9_f64,
        ) {
            let dug: Vec<Pile> = Material::WORDS.iter().zip(banks).map(|((_, m), bank)| pile(*m, bank)).collect();
            let out = account(&dug, &wanted(topsoil, fill, loss));
            let sum = out.set_aside + out.fill_used + out.exported();
            prop_assert!((sum - out.dug).cubic().abs() < 1e-9);
            prop_assert!(((out.kept + out.short).cubic() - topsoil).abs() < 1e-9);
            prop_assert!((out.fill_used.cubic() * 0.88 + out.fill_short.cubic() - fill).abs() < 1e-9);
            prop_assert!(out.export.iter().all(|p| p.bank.cubic() > 0.0) && out.short.cubic() >= 0.0);
            let formula = out.dug.cubic() - out.kept.cubic() / (1.0 - loss) - fill / 0.88;
            let brought = out.fill_short.cubic() / 0.88;
            prop_assert!((out.exported().cubic() - brought - formula).abs() < 1e-9);
        }
    }
}
