//! The haul of whole jobs: nothing dug is lost between the materials, orders add up over areas, no factor comes twice.

mod common;

use common::assert_close;
use common::site::worked_out;
use proptest::prelude::*;
use spadework::job::{HaulOut, OrderOut, Outcome};

/// Ground that falls to the north east.
fn slope(n: f64, e: f64) -> f64 {
    100.0 - 0.01 * n - 0.005 * e
}

const EARTH: &str = "[ground]\nstrip = \"6 in\"\nswell = \"25 %\"\nshrink = \"12 %\"\nweight = \"1.5 ton/yd3\"\nhandling_loss = \"10 %\"\n";
const LAWN: &str =
    "[[section]]\nname = \"lawn\"\nlayers = [ { name = \"topsoil\", thick = \"6 in\", from = \"kept topsoil\" } ]\n";

/// An area 40 by 40 with a corner here, so high.
fn area(name: &str, section: &str, (n, e): (f64, f64), height: f64, more: &str) -> String {
    let (north, east) = (n + 40.0, e + 40.0);
    format!(
        "[[area]]\nname = \"{name}\"\nsection = \"{section}\"\noutline = [[{n}, {e}], [{n}, {east}], [{north}, {east}], [{north}, {e}]]\n\
         finish = {{ through = [{n}, {e}, {height}], fall = \"1 %\", toward = \"north\" }}\n{more}\n"
    )
}

fn job(text: &str) -> Outcome {
    worked_out(text, slope, &[]).unwrap_or_else(|e| panic!("{e}"))
}

fn haul(outcome: &Outcome) -> &HaulOut {
    outcome.haul.as_ref().unwrap_or_else(|| panic!("no haul"))
}

fn order<'a>(h: &'a HaulOut, name: &str) -> &'a OrderOut {
    h.orders.iter().find(|o| o.name == name).unwrap_or_else(|| panic!("no {name} in {:?}", h.orders))
}

fn material(h: &HaulOut, word: &str) -> f64 {
    h.materials.iter().find(|m| m.material == word).map_or(0.0, |m| m.bank)
}

#[test]
fn sod_wet_and_mixed_earth_go_apart() {
    let two = |ground: &str, first: &str, second: &str| {
        job(&format!(
            "{EARTH}{ground}{}{}",
            area("a", "base", (20.0, 20.0), 98.0, first),
            area("b", "base", (100.0, 20.0), 97.0, second)
        ))
    };
    let plain = two("", "", "");
    let spoilt = two("sod = \"2 in\"\n", "spoil = \"wet\"", "spoil = \"mixed\"");
    let (plain, spoilt) = (haul(&plain), haul(&spoilt));
    assert_close(spoilt.bank, plain.bank, 1e-9);
    assert_close(spoilt.export, plain.export, 1e-9);
    // The whole strip is dug everywhere, and its upper third is sod.
    let strip = 2.0 * 1600.0 * 0.5 / 27.0;
    assert_close(material(plain, "topsoil"), strip, 1e-9);
    assert_close(material(spoilt, "sod"), strip / 3.0, 1e-9);
    assert_close(material(spoilt, "topsoil"), strip * 2.0 / 3.0, 1e-9);
    assert_close(material(spoilt, "wet") + material(spoilt, "mixed"), material(plain, "clean"), 1e-9);
    assert_eq!(material(spoilt, "clean"), 0.0);
    // Wet earth is as large and 15 % heavier.
    let mass = |h: &HaulOut| h.cargo.as_ref().map_or(f64::NAN, |c| c.mass);
    assert_close(mass(spoilt) - mass(plain), 0.15 * 1.5 * material(spoilt, "wet"), 1e-9);
    let loose = |h: &HaulOut| h.cargo.as_ref().map_or(f64::NAN, |c| c.loose);
    assert_close(loose(spoilt), loose(plain), 1e-9);
}

/// Every unit of sale, worked out by hand: a base 40 by 40 ft, 6 in of over-dig all round (1,681 ft2 with it).
#[test]
fn every_unit_of_sale() {
    let section = "[[section]]\nname = \"all\"\nfabric = { kind = \"woven\", firmness = \"soft\", roll = \"12 ft\", length = \"300 ft\", up_sides = true, waste = \"0 %\" }\nlayers = [\n\
        { name = \"paver\", thick = \"3 in\", order = \"area\", waste = \"10 %\" },\n\
        { name = \"slab\", thick = \"1 in\", order = \"panel\", covers = \"6 ft2\", waste = \"5 %\" },\n\
        { name = \"sand\", thick = \"1 in\", order = \"bag\", covers = \"1 yd2\" },\n\
        { name = \"mat\", thick = \"1 in\", order = \"roll\", covers = \"10 m2\" },\n\
        { name = \"screenings\", thick = \"3 in\", order = \"m3\", waste = \"5 %\" },\n\
        { name = \"base\", thick = \"6 in\", order = \"tonne\", weight = \"1.95 ton/yd3\", waste = \"5 %\", past_edge = true } ]\n";
    let out = job(&format!("{EARTH}{section}{}", area("a", "all", (20.0, 20.0), 98.0, "over_dig = \"6 in\"")));
    let h = haul(&out);
    let amount = |name: &str, unit: &str| {
        let o = order(h, name);
        assert_eq!(o.unit, unit, "{name}");
        o.amount
    };
    assert_close(amount("paver", "ft2"), 1760.0, 1e-9);
    assert_eq!(amount("slab", "panel"), 280.0, "exactly");
    assert_eq!(amount("sand", "bag"), 178.0);
    assert_eq!(amount("mat", "roll"), 15.0);
    assert_close(amount("screenings", "m3"), 1600.0 * 0.25 * 0.3048_f64.powi(3) * 1.05, 1e-6);
    let base = 41.0 * 41.0 * 0.5 / 27.0 * 1.95;
    assert_close(amount("base", "tonne"), base * 0.907_184_74 * 1.05, 1e-6);
    // 1,681 ft2 and 6 in up 160 ft of edge, at 12 ft less 3 of lap: 2,348 ft2 of rolls of 3,600.
    assert_eq!(amount("fabric, woven", "roll"), 1.0);
    assert_close(order(h, "fabric, woven").parts[0].amount, (1681.0 + 80.0) * 12.0 / 9.0 / 3600.0, 1e-9);
}

/// A pipe over the ground of one area: as long as it slopes, clean-outs counted, its stone by the weight another part says.
#[test]
fn pipes_and_their_stone() {
    let drain = "[[drain]]\nname = \"A\"\ntrench = { width = \"12 in\", under_pipe = \"4 in\", stone = \"No. 57\", fabric = \"nonwoven\" }\n\
        nodes = [ { name = \"h\", at = [30.0, 90.0], invert = 96.0, clean_out = true }, { name = \"k\", at = [60.0, 90.0], invert = 95.0 }, { name = \"o\", at = [60.0, 130.0], invert = 94.0 } ]\n\
        legs = [ { kind = \"perforated\", size = \"4 in\" }, { kind = \"perforated\", size = \"4 in\" } ]\n";
    let amend = "[[amendment]]\narea = \"a\"\nstone = { thick = \"2 in\", weight = \"1.35 ton/yd3\", gradation = \"No. 57\" }\n";
    let out = job(&format!("{EARTH}{amend}{drain}{}", area("a", "base", (20.0, 20.0), 98.0, "")));
    let h = haul(&out);
    assert_close(order(h, "pipe, perforated, 4 in").amount, 901.0_f64.sqrt() + 1601.0_f64.sqrt(), 1e-9);
    assert_eq!((order(h, "clean-out").amount, order(h, "bend").amount), (1.0, 1.0));
    let stone = order(h, "trench stone");
    assert_eq!(stone.unit, "ton");
    let placed: f64 = stone.parts.iter().filter_map(|p| p.placed).sum();
    assert_close(stone.amount, placed * 1.35, 1e-9);
    assert_close(order(h, "driven stone").amount, 1600.0 / 6.0 / 27.0 * 1.35, 1e-9);
    let options: Vec<&str> = h.options.iter().map(|o| o.option).collect();
    assert_eq!(options, ["none", "stone"]);
}

/// Fill that is not dug is brought in; so is topsoil.
#[test]
fn what_the_site_has_not_is_brought_in() {
    let out = job(&format!("{EARTH}{LAWN}{}", area("a", "lawn", (20.0, 20.0), 103.0, "")));
    let h = haul(&out);
    assert_eq!(h.export, 0.0);
    assert!(h.fill > 100.0);
    assert_close(h.fill_short, h.fill, 1e-9);
    assert_close(order(h, "fill brought in").amount, h.fill, 1e-9);
    assert_close(order(h, "topsoil brought in").amount, 1600.0 * 0.5 / 27.0, 1e-9);
    assert!(h.trips.is_empty() && h.mix.is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Bank in = kept with its loss + fill used + export; the orders of two areas are the orders of each.
    #[test]
    fn mass_balances_and_orders_add_up(a in 96.0..101.0_f64, b in 96.0..101.0_f64, which in 0..2_usize) {
        let section = ["base", "lawn"][which];
        let (one, two) = (area("a", "base", (20.0, 20.0), a, "over_dig = \"6 in\""), area("b", section, (100.0, 20.0), b, ""));
        let of = |areas: &str| job(&format!("{EARTH}{LAWN}{areas}"));
        let (both, one, two) = (of(&format!("{one}{two}")), of(&one), of(&two));
        for out in [&both, &one, &two] {
            let (h, dug) = (haul(out), out.volume.as_ref().and_then(|v| v.excavation.as_ref()).map_or(f64::NAN, |e| e.sum));
            let used = (h.fill - h.fill_short) / 0.88;
            prop_assert!((h.bank - dug).abs() < 1e-9);
            prop_assert!((h.bank - h.kept / 0.9 - used - h.export).abs() < 1e-9);
            prop_assert!((h.kept + h.short - h.needed).abs() < 1e-9);
            let parts: f64 = h.materials.iter().map(|m| m.bank).sum();
            prop_assert!((parts - h.export).abs() < 1e-9);
            if let Some(c) = &h.cargo {
                prop_assert!((c.loose - h.export * 1.25).abs() < 1e-9 && (c.mass - h.export * 1.5).abs() < 1e-9);
            }
        }
        let (both, one, two) = (haul(&both), haul(&one), haul(&two));
        for o in both.orders.iter().filter(|o| o.name == "stone") {
            let of = |h: &HaulOut| h.orders.iter().filter(|p| (&p.name, &p.unit) == (&o.name, &o.unit)).map(|p| p.amount).sum::<f64>();
            prop_assert!((o.amount - of(one) - of(two)).abs() < 1e-9, "{}", o.name);
            let parts: f64 = o.parts.iter().map(|p| p.amount).sum();
            prop_assert!((o.amount - parts).abs() < 1e-9);
        }
    }
}
