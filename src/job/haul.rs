//! What leaves a job and what arrives, and what does it cost?
//!
//! Everything dug, to subgrade, is split into materials: sod and topsoil by the exact account of the strip, the rest by what each area says
//! of its spoil (trenches: clean). Each area behaves as the soil of its core, trenches as the worst of the job; without cores all is one soil. What is kept and what fills goes off; the rest leaves. What is worked into the subgrade is told
//! nothing, stone, stone and lime side by side; room for stone that stays proud is dug only there.
//!
//! Money as the user's prices are; nothing without one is costed.

use super::DrainRunOut;
use super::basis::Dug;
use super::drains::Trenches;
use super::orders::{orders, plain, small, small_mass};
use super::road::{CostLineOut, CostOut, HaulOut, LoadsOut, OptionOut, Road, cargo_of, said};
use super::site::{Site, Taken, placed};
use super::soil::class_under;
use crate::design::said::{Amendment, Spoil};
use crate::finding::Caution;
use crate::haul::{Account, Cargo, Material, Pile, Truck, Wanted, account, does, lifts, loads, part_of_soil};
use crate::soil::{Class, Factors};
use crate::units::{BankVolume, CompactedVolume, LengthUnit, LooseVolume, fixed, said_in};
use crate::volume::{self, Topsoil, trench};

/// The haul of a job with areas.
pub(super) fn haul(
    site: &Site<'_>,
    taken: &[Taken],
    trenches: &Trenches,
    drains: &[DrainRunOut],
    cautions: &mut Vec<Caution>,
) -> HaulOut {
    let (haul, unit) = (&site.job.haul, site.job.unit);
    let ground = &site.job.soil;
    let soil = Soil::of(site, taken);
    let dug = piles(site, taken, trenches, &soil);
    let piles: Vec<Pile> = dug.iter().map(|d| d.pile).collect();
    let fill: f64 = taken.iter().map(|t| t.outline.fill).sum();
    let wanted = Wanted {
        topsoil: BankVolume::cubic_job_units(topsoil_wanted(site, taken)),
        fill: CompactedVolume::cubic_job_units(fill),
        loss: haul.handling_loss,
    };
    let balance = account(&piles, &wanted);
    let road = Road { haul, unit, ground };
    let mut out = road.out(balance.dug, &balance.export);
    out.needed = wanted.topsoil.spoken(unit);
    out.kept = balance.kept.spoken(unit);
    out.short = balance.short.spoken(unit);
    out.fill = wanted.fill.spoken(unit);
    out.fill_short = balance.fill_short.spoken(unit);
    out.basis = road.basis(&dug);
    out.orders = orders(site, taken, drains, &balance, balance.fill_short);
    for order in &mut out.orders {
        order.price = haul.prices.of_goods(&order.names(), &order.unit);
    }
    out.options = options(&road, site, taken, &balance, &soil);
    out.cost = cost(&road, &out, &balance);
    out.excluded = road.excluded();
    let others = site.job.said.drains.iter().filter(|d| d.by_others).map(|d| format!("drain {}", d.name));
    let others = others.chain(site.job.said.basins.iter().filter(|b| b.by_others).map(|b| format!("basin {}", b.name)));
    let others: Vec<String> = others.collect();
    if !others.is_empty() {
        out.excluded.push(format!("by others: {}", others.join(", ")));
    }
    let back: f64 = drains.iter().filter(|d| !d.by_others).flat_map(|d| &d.legs).map(|l| l.backfill).sum();
    if back >= 0.005 {
        let text = "put back over solid pipe: in the export, and to be kept out of it where the ground is fit for it";
        out.excluded.push(format!("{} {} {text}", fixed(back, 2), unit.volume()));
    }
    road.asked(&out, cautions);
    for goods in haul.prices.goods.iter().filter(|g| !out.orders.iter().any(|o| o.is(&g.name))) {
        cautions.push(said(
            "prices",
            format!("`{}` has a price, and nothing of that name or gradation is ordered", goods.name),
        ));
    }
    if fill > 0.0 && ground.shrink.is_none() && ground.cores.is_empty() {
        cautions.push(said("ground", "`shrink` is not said: fill was taken to want as much bank as it is large"));
    }
    in_lifts(site, cautions);
    amended(site, cautions);
    out
}

/// What is dug where; no class without cores.
struct Soil {
    topsoil: Option<Class>,
    trenches: Option<Class>,
    areas: Vec<Option<Class>>,
}

impl Soil {
    fn of(site: &Site<'_>, taken: &[Taken]) -> Self {
        let worst = site.job.soil.governs().map(|(_, class)| class);
        let areas = taken.iter().enumerate().map(|(k, t)| class_under(site, k, t).or(worst));
        Self { topsoil: worst.map(|_| Class::Topsoil), trenches: worst, areas: areas.collect() }
    }
}

/// How what is dug in each area behaves; nothing where that was not said and no core tells it.
pub(super) fn factors_of(site: &Site<'_>) -> Option<Vec<Factors>> {
    let taken: Vec<Taken> = (0..site.dig.areas.len()).map(|k| site.account(k)).collect();
    let ground = &site.job.soil;
    Soil::of(site, &taken).areas.into_iter().map(|class| ground.dug(class, site.job.unit)).collect()
}

/// How it behaves.
fn factors(site: &Site<'_>, class: Option<Class>) -> Factors {
    let ground = &site.job.soil;
    // Fill is told even where nothing is known of the trucks.
    let shrink = ground.shrink.unwrap_or(0.0);
    ground.dug(class, site.job.unit).unwrap_or(Factors { shrink, ..Factors::default() })
}

/// What is dug, by material.
fn piles(site: &Site<'_>, taken: &[Taken], trenches: &Trenches, soil: &Soil) -> Vec<Dug> {
    let haul = &site.job.haul;
    let pipes = trenches.iter().flatten().fold(trench::Taken::default(), |sum, t| sum.with(t));
    let stripped = |t: &Taken| t.outline.strip + t.ring.strip + t.batter.strip;
    let strip = taken.iter().map(stripped).sum::<f64>() + pipes.strip;
    let sod = if haul.sod.job_units() > 0.0 { sod(site) } else { 0.0 };
    // A hair below nothing is rounding.
    let dug = |place: &str, material, cubic: f64, class, heavier| {
        let moist = factors(site, class);
        let factors = Factors { bank_weight: moist.bank_weight * (1.0 + heavier), ..moist };
        let pile = Pile { material, bank: BankVolume::cubic_job_units(cubic.max(0.0)), factors };
        Dug { place: place.to_owned(), class, heavier, pile }
    };
    let mut out = vec![
        dug("sod", Material::Sod, sod, soil.topsoil, 0.0),
        dug("strip", Material::Topsoil, strip - sod, soil.topsoil, 0.0),
        dug("trenches", Material::Clean, pipes.volume - pipes.strip, soil.trenches, 0.0),
    ];
    for ((area, t), class) in site.dig.areas.iter().zip(taken).zip(&soil.areas) {
        let below = t.outline.dug() + t.ring.dug() + t.batter.dug() - stripped(t);
        let (material, wet) = match area.said.spoil {
            Spoil::Clean => (Material::Clean, 0.0),
            Spoil::Mixed => (Material::Mixed, 0.0),
            Spoil::Wet => (Material::Wet, haul.wet),
        };
        out.push(dug(&area.said.name, material, below, *class, wet));
    }
    out
}

/// Sod dug, by the account of the strip to its own depth.
fn sod(site: &Site<'_>) -> f64 {
    let depth = site.job.haul.sod.job_units();
    let (existing, limit) = (&site.existing, site.limit.as_ref());
    let of = |floor: &mut dyn Iterator<Item = crate::surface::Triangle>, may_stay| {
        volume::Account::of(existing, limit, floor, Topsoil { strip: depth, may_stay }).strip
    };
    let areas: f64 = site.dig.areas.iter().map(|a| of(&mut a.floor(), a.section.topsoil_may_stay)).sum();
    let stays = |k: usize| site.dig.areas[k].section.topsoil_may_stay;
    let rings: f64 = site.dig.rings.iter().map(|r| of(&mut r.floor_triangles(), stays(r.area))).sum();
    let sides: f64 = site.dig.batters.iter().map(|r| of(&mut r.floor_triangles(), true)).sum();
    let pipes: f64 = site.trenches.iter().map(|p| trench::Taken::of(existing, limit, p, depth).strip).sum();
    areas + rings + sides + pipes
}

fn topsoil_wanted(site: &Site<'_>, taken: &[Taken]) -> f64 {
    let areas = site.dig.areas.iter().zip(taken);
    let layers = areas.flat_map(|(area, t)| area.section.layers.iter().zip(placed(area, t)));
    layers.filter(|(layer, _)| layer.from_kept_topsoil).map(|(_, placed)| placed.cubic()).sum()
}

/// Nothing, stone, stone and lime: as far as the job says them.
fn options(road: &Road<'_>, site: &Site<'_>, taken: &[Taken], balance: &Account, soil: &Soil) -> Vec<OptionOut> {
    let worked = &site.job.said.amendments;
    let has = (worked.iter().any(|a| a.stone.is_some()), worked.iter().any(|a| a.lime.is_some()));
    let ways: &[(&str, bool, bool)] = match has {
        (false, false) => return Vec::new(),
        (true, false) => &[("none", false, false), ("stone", true, false)],
        (false, true) => &[("none", false, false), ("lime", false, true)],
        (true, true) => &[("none", false, false), ("stone", true, false), ("stone and lime", true, true)],
    };
    let plan = |k: usize| taken.get(k).map_or(0.0, |t| t.outline.area);
    let way = |&(option, stone, lime): &(&'static str, bool, bool)| {
        let stones = || worked.iter().filter(|_| stone).filter_map(|a| Some((plan(a.area), a.stone.as_ref()?)));
        let limes = || worked.iter().filter(|_| lime).filter_map(|a| Some((plan(a.area), a.lime?)));
        let room = |a: &Amendment| {
            let proud = a.stone.as_ref()?.proud.job_units();
            let bank = BankVolume::cubic_job_units(plan(a.area) * proud);
            Some(Pile { material: Material::Clean, bank, factors: factors(site, *soil.areas.get(a.area)?) })
        };
        let rooms = worked.iter().filter(|_| stone).filter_map(room);
        let piles: Vec<Pile> = balance.export.iter().copied().chain(rooms).collect();
        let export = piles.iter().fold(BankVolume::ZERO, |sum, p| sum + p.bank);
        let placed: f64 = stones().map(|(area, s)| area * s.thick.job_units()).sum();
        let mass: Option<f64> = stones().map(|(area, s)| Some(area * s.thick.job_units() * s.weight?)).sum();
        let arrives = Cargo { loose: LooseVolume::cubic_job_units(placed), mass: mass.unwrap_or(0.0) };
        let delivered = |t: &Truck| LoadsOut { truck: t.name.clone(), trips: t.trips(arrives).worse() };
        let bags: Option<f64> = limes().map(|(area, l)| Some(area * l.dose / l.bag?)).sum();
        OptionOut {
            option,
            export: export.spoken(road.unit),
            cargo: road.cargo_out(&piles),
            trips: road.loads(&piles),
            stone: CompactedVolume::cubic_job_units(placed).spoken(road.unit),
            stone_mass: mass.filter(|_| stone),
            deliveries: site.job.haul.trucks.iter().filter(|_| stone).map(delivered).collect(),
            lime: limes().map(|(area, l)| area * l.dose).sum(),
            bags: bags.filter(|_| lime).map(|n| loads(n, 1.0)),
        }
    };
    ways.iter().map(way).collect()
}

fn cost(road: &Road<'_>, out: &HaulOut, balance: &Account) -> Option<CostOut> {
    let prices = &road.haul.prices;
    if prices.haul.is_empty() && prices.dig.is_none() && prices.goods.is_empty() {
        return None;
    }
    let mut cost = CostOut::default();
    let mut line = |item: String, amount: f64, unit: &str, price: Option<f64>| match price {
        Some(price) => {
            let sum = amount * price;
            cost.total += sum;
            cost.lines.push(CostLineOut { item, amount, unit: unit.to_owned(), price, sum });
        }
        None if cost.unpriced.contains(&item) => {}
        None => cost.unpriced.push(item),
    };
    let per_volume = road.unit.cubic_per_volume();
    line("dig, bank".to_owned(), out.bank, road.unit.volume(), prices.dig.map(|p| p * per_volume));
    let cargo = cargo_of(&balance.export);
    let costs = road.costs(cargo, road.loaded(cargo, balance.exported()));
    for mix in &out.mix {
        let at = road.haul.trucks.iter().position(|t| t.name == mix.truck);
        line(format!("haul, {}", mix.truck), mix.trips as f64, "load", at.and_then(|k| costs[k]));
    }
    for order in &out.orders {
        let named = order.price.is_none() && prices.goods.iter().any(|g| order.is(&g.name));
        let unit = if named { format!(" (not by the {})", order.unit) } else { String::new() };
        line(order.names().join(", ") + &unit, order.amount, &order.unit, order.price);
    }
    Some(cost)
}

/// Layers too thick for one pass of a plate.
fn in_lifts(site: &Site<'_>, cautions: &mut Vec<Caution>) {
    let job = site.job.unit;
    for section in &site.job.said.sections {
        for layer in section.layers.iter().filter(|l| !l.from_kept_topsoil && l.weight.is_some()) {
            let lifts = lifts(layer.thick, job);
            if lifts > 1 {
                let text = format!(
                    "{}, {} of {}: place it in {lifts} lifts or more; a plate or rammer takes 4 in loose at a time",
                    section.name,
                    small(layer.thick.job_units(), job),
                    layer.name
                );
                cautions.push(said("lifts", text));
            }
        }
    }
}

/// Stone and lime: what they do and what they ask for.
fn amended(site: &Site<'_>, cautions: &mut Vec<Caution>) {
    let job = site.job.unit;
    let mut limed = false;
    for worked in &site.job.said.amendments {
        let name = &site.job.said.areas[worked.area].name;
        let Some(lime) = worked.lime else { continue };
        limed = true;
        let part = part_of_soil(lime.dose, lime.depth, job);
        let area = if job == LengthUnit::Metre { 1.0 } else { 100.0 };
        let per = if job == LengthUnit::Metre { "m2" } else { "100 ft2" };
        let text = format!(
            "{} {} of lime on {per} of {name}, {} deep, is {} % of the dry soil's weight: {}",
            plain(said_in(lime.dose, small_mass(job), job) * area),
            small_mass(job),
            small(lime.depth.job_units(), job),
            fixed(part * 100.0, 1),
            does(part)
        );
        cautions.push(said("lime", text));
    }
    if limed {
        let text = "keep 2 ft off beds and turf; burns eyes and skin: goggles, gloves, mask, long sleeves, no wind, water at hand; \
                    lime first, let it mellow, then stone; it does nothing below 40 F (4 C)";
        cautions.push(said("lime", text));
        // A core says it where it is so.
        if site.job.soil.cores.is_empty() {
            cautions.push(said("lime", "it reacts with clay, does little on silt and nothing on sand"));
        }
    }
    let cut = site.job.said.sections.iter().flat_map(|s| &s.layers);
    if cut.clone().any(|l| matches!(l.order, Some("area" | "piece" | "panel"))) {
        let text =
            "cut stone and pavers wet or with a vacuum, in the mask the rule for the tool asks; never dry: silica dust";
        cautions.push(said("cutting", text));
    }
}
