//! What is bought for a job: every layer, what fills undercuts, stone and lime worked in, fabric, pipes?
//!
//! An order is one thing in one unit of sale, with the part of each area it is for. Parts are not rounded; what is sold whole is rounded up
//! once, over all its parts. Over-dig is filled by the layers that run past the edge, an undercut by the layer that refills it.
//! Topsoil is ordered only as far as what is dug does not suffice.

use super::DrainRunOut;
use super::site::{Site, Taken, placed};
use crate::design::dig::Dug;
use crate::design::said::{Fabric, Layer};
use crate::haul::{Account, Sale, laps, loads};
use crate::shots::MICRO;
use crate::units::{CompactedVolume, LengthUnit, fixed, said_in};
use serde::Serialize;

/// Names of what is brought in because the dig does not suffice: topsoil, fill.
pub const BROUGHT_IN: [&str; 2] = ["topsoil brought in", "fill brought in"];

/// One thing to buy.
#[derive(Clone, Debug, Default, Serialize)]
pub struct OrderOut {
    /// What it is.
    pub name: String,
    /// Its gradation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gradation: Option<String>,
    /// How much, waste in it; whole where it is sold whole.
    pub amount: f64,
    /// What the amount is in: `ton`, `ft2`, `bag` ...
    pub unit: String,
    /// The user's price of one of it; absent where not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// What to know of it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The areas (drains) it is for, each once.
    pub areas: Vec<String>,
    /// What each of them takes; adds up to the amount but for rounding up.
    pub parts: Vec<OrderPartOut>,
}

impl OrderOut {
    /// Whether a price of that name is for it.
    pub(super) fn is(&self, name: &str) -> bool {
        self.names().contains(&name)
    }

    /// Its name, and its gradation.
    pub(super) fn names(&self) -> Vec<&str> {
        [Some(self.name.as_str()), self.gradation.as_deref()].into_iter().flatten().collect()
    }
}

/// What one area takes of an order.
#[derive(Clone, Debug, Default, Serialize)]
pub struct OrderPartOut {
    /// The area or drain.
    pub area: String,
    /// What for: a layer, `undercut`, `driven stone`.
    pub what: String,
    /// Volume as placed, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub placed: Option<f64>,
    /// How much, waste in it, not rounded: `of` x `each` x (1 + `waste`).
    pub amount: f64,
    /// How it is reckoned.
    #[serde(flatten)]
    pub made: MadeOut,
}

/// What an amount is made of.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct MadeOut {
    /// What there is of it: a volume as placed, a plan area, a length, a number.
    pub of: f64,
    /// In what.
    pub of_unit: &'static str,
    /// What goes into one of that.
    pub each: f64,
    /// Part of waste on top.
    pub waste: f64,
}

impl MadeOut {
    fn amount(self) -> f64 {
        self.of * self.each * (1.0 + self.waste)
    }
}

/// A thing in one unit of sale.
struct Item<'a> {
    name: &'a str,
    gradation: Option<&'a str>,
    unit: &'a str,
    note: String,
}

/// Orders as they come together.
struct Basket {
    job: LengthUnit,
    orders: Vec<OrderOut>,
}

impl Basket {
    fn put(&mut self, item: &Item<'_>, (area, what): (&str, &str), placed: Option<CompactedVolume>, made: MadeOut) {
        let amount = made.amount();
        let is_same = |o: &OrderOut| {
            (o.name.as_str(), o.gradation.as_deref(), o.unit.as_str(), o.note.as_str())
                == (item.name, item.gradation, item.unit, item.note.as_str())
        };
        let at = self.orders.iter().position(is_same).unwrap_or_else(|| {
            self.orders.push(OrderOut {
                name: item.name.to_owned(),
                gradation: item.gradation.map(str::to_owned),
                unit: item.unit.to_owned(),
                note: item.note.clone(),
                ..OrderOut::default()
            });
            self.orders.len() - 1
        });
        let order = &mut self.orders[at];
        order.amount += amount;
        if !order.areas.iter().any(|a| a == area) {
            order.areas.push(area.to_owned());
        }
        let placed = placed.map(|v| v.spoken(self.job));
        order.parts.push(OrderPartOut { area: area.to_owned(), what: what.to_owned(), placed, amount, made });
    }

    /// Something placed, by its weight where that is known, else by volume.
    fn heap(&mut self, item: Item<'_>, place: (&str, &str), placed: CompactedVolume, weight: Option<f64>) {
        let (sale, unit) = weight.map_or((Sale::Volume, self.job.volume()), |w| (Sale::Mass(w), self.job.mass()));
        self.put(&Item { unit, ..item }, place, Some(placed), self.of_volume(placed, sale, unit, 0.0));
    }

    /// A volume as placed, sold so, in that unit.
    fn of_volume(&self, placed: CompactedVolume, sale: Sale, unit: &str, waste: f64) -> MadeOut {
        let job = self.job;
        let each = said_in(sale.each() * job.cubic_per_volume(), unit, job);
        MadeOut { of: placed.spoken(job), of_unit: job.volume(), each, waste }
    }

    /// A layer, or as much of it as fills an undercut: then by volume where it is not sold by weight.
    fn layer(&mut self, layer: &Layer, place: (&str, &str), placed: CompactedVolume, plan: Option<f64>) {
        let job = self.job;
        let (sale, unit) = match (layer.order, plan) {
            (Some(unit @ ("ton" | "tonne")), _) => (Sale::Mass(layer.weight.unwrap_or(0.0)), unit),
            (Some(unit @ ("yd3" | "m3")), _) => (Sale::Volume, unit),
            (Some("area"), Some(_)) => (Sale::Area, job.area()),
            (Some(unit), Some(_)) => (Sale::Each(layer.covers.unwrap_or(f64::INFINITY)), unit),
            _ => (Sale::Volume, job.volume()),
        };
        let made = match (sale, plan) {
            (Sale::Area | Sale::Each(_), Some(of)) => {
                MadeOut { of, of_unit: job.area(), each: sale.each(), waste: layer.waste }
            }
            _ => self.of_volume(placed, sale, unit, layer.waste),
        };
        let item = Item { name: &layer.name, gradation: layer.gradation.as_deref(), unit, note: String::new() };
        self.put(&item, place, Some(placed), made);
    }
}

/// Everything bought for the job.
pub(super) fn orders(
    site: &Site<'_>,
    taken: &[Taken],
    drains: &[DrainRunOut],
    account: &Account,
    backs: CompactedVolume,
) -> Vec<OrderOut> {
    let mut basket = Basket { job: site.job.unit, orders: Vec::new() };
    for (area, taken) in site.dig.areas.iter().zip(taken) {
        layers(&mut basket, area, taken, account);
    }
    amendments(&mut basket, site, taken);
    if backs.cubic() > 0.0 {
        let item = Item { name: BROUGHT_IN[1], gradation: None, unit: "", note: "as compacted".to_owned() };
        basket.heap(item, ("all", "fill"), backs, None);
    }
    for (area, taken) in site.dig.areas.iter().zip(taken) {
        if let Some(said) = &area.section.fabric {
            laid(&mut basket, area, taken, said);
        }
    }
    pipes(&mut basket, site, drains);
    for order in &mut basket.orders {
        if ["bag", "piece", "panel", "roll"].contains(&order.unit.as_str()) {
            order.amount = loads(order.amount, 1.0) as f64;
        }
    }
    basket.orders
}

/// Less than this of an undercut is rounding, in cubic job units.
const HAIR: f64 = 1e-6;

fn layers(basket: &mut Basket, area: &Dug<'_>, taken: &Taken, account: &Account) {
    let name = area.said.name.as_str();
    for (layer, placed) in area.section.layers.iter().zip(placed(area, taken)) {
        let past = if layer.past_edge { taken.ring.area } else { 0.0 };
        if !layer.from_kept_topsoil {
            basket.layer(layer, (name, &layer.name), placed, Some(taken.outline.area + past));
            continue;
        }
        // Every layer made of topsoil goes without the same part.
        let part = account.short.cubic() / (account.kept + account.short).cubic();
        if part > 0.0 {
            let short = CompactedVolume::cubic_job_units(placed.cubic() * part);
            let note = "as placed".to_owned();
            let unit = basket.job.volume();
            let item = Item { name: BROUGHT_IN[0], gradation: None, unit, note };
            let made = basket.of_volume(short, Sale::Volume, unit, layer.waste);
            basket.put(&item, (name, &layer.name), Some(short), made);
        }
    }
    let undercut = CompactedVolume::cubic_job_units(taken.outline.undercut + taken.ring.undercut);
    let refill = area.section.refill.or(area.section.layers.len().checked_sub(1));
    if let Some(layer) = refill.and_then(|k| area.section.layers.get(k)).filter(|_| undercut.cubic() > HAIR) {
        basket.layer(layer, (name, "undercut"), undercut, None);
    }
}

fn amendments(basket: &mut Basket, site: &Site<'_>, taken: &[Taken]) {
    let job = basket.job;
    for worked in &site.job.said.amendments {
        let (Some(area), Some(taken)) = (site.dig.areas.get(worked.area), taken.get(worked.area)) else { continue };
        let (name, plan) = (area.said.name.as_str(), taken.outline.area);
        if let Some(stone) = &worked.stone {
            let placed = CompactedVolume::cubic_job_units(plan * stone.thick.job_units());
            let gradation = stone.gradation.as_deref();
            let item = Item { name: "driven stone", gradation, unit: "", note: String::new() };
            basket.heap(item, (name, "driven stone"), placed, stone.weight);
        }
        if let Some(lime) = &worked.lime {
            let small = small_mass(job);
            let (unit, note, each) = match lime.bag {
                Some(bag) => ("bag", format!("{} {small} bags", plain(said_in(bag, small, job))), lime.dose / bag),
                None => (small, String::new(), said_in(lime.dose, small, job)),
            };
            let made = MadeOut { of: plan, of_unit: job.area(), each, waste: 0.0 };
            basket.put(&Item { name: "lime", gradation: None, unit, note }, (name, "lime"), None, made);
        }
    }
}

/// Pounds or kilograms.
pub(super) fn small_mass(job: LengthUnit) -> &'static str {
    if job == LengthUnit::Metre { "kg" } else { "lb" }
}

/// A number with as many decimals as it needs, three at most.
pub(super) fn plain(value: f64) -> String {
    let text = fixed(value, 3);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A small length as the trade says it: inches, or millimetres.
pub(super) fn small(length: f64, job: LengthUnit) -> String {
    if job == LengthUnit::Metre {
        format!("{} mm", plain(length * 1000.0))
    } else {
        format!("{} in", plain(length * job.inches()))
    }
}

/// Fabric under an area and what runs past its edges; up its sides to the top of the lowest layers that run past the edge, or of the
/// bottom layer.
fn laid(basket: &mut Basket, area: &Dug<'_>, taken: &Taken, said: &Fabric) {
    let job = basket.job;
    let layers = &area.section.layers;
    let base = layers.iter().rev().take_while(|l| l.past_edge).count().max(1);
    let height: f64 = layers.iter().rev().take(base).map(|l| l.thick.job_units()).sum();
    let round: f64 =
        area.outline.edges().map(|(a, b)| ((a.place.0 - b.0) as f64).hypot((a.place.1 - b.1) as f64) / MICRO).sum();
    let past = if layers.iter().any(|l| l.past_edge) { taken.ring.area } else { 0.0 };
    let sides = if said.up_sides { round * height } else { 0.0 };
    let laps = laps(said.lap, said.roll);
    let (roll, lap) = (said.roll.job_units(), said.lap.job_units());
    let mut note = format!("{} {} wide, lap {}", plain(roll), job.length(), small(lap, job));
    let (unit, each) = match said.length {
        Some(length) => {
            note += &format!(", {} {} long", plain(length.job_units()), job.length());
            ("roll", laps / (roll * length.job_units()))
        }
        None => (job.area(), laps),
    };
    let name = format!("fabric, {}", said.kind);
    let made = MadeOut { of: taken.outline.area + past + sides, of_unit: job.area(), each, waste: said.waste };
    basket.put(&Item { name: &name, gradation: None, unit, note }, (&area.said.name, "fabric"), None, made);
}

/// Bought as it is counted or measured.
fn as_it_is(of: f64, of_unit: &'static str) -> MadeOut {
    MadeOut { of, of_unit, each: 1.0, waste: 0.0 }
}

fn pipes(basket: &mut Basket, site: &Site<'_>, drains: &[DrainRunOut]) {
    let job = basket.job;
    for drain in drains.iter().filter(|d| !d.by_others) {
        let trench = site.job.said.drains.iter().find(|d| d.name == drain.name).and_then(|d| d.trench.as_ref());
        let place = format!("drain {}", drain.name);
        let stone = trench.and_then(|t| t.stone.as_deref());
        for leg in &drain.legs {
            let along = leg.length * leg.fall.hypot(1.0);
            let name = format!("pipe, {}, {}", leg.kind, small(leg.size, job));
            let item = Item { name: &name, gradation: None, unit: job.length(), note: String::new() };
            basket.put(&item, (&place, &leg.kind), None, as_it_is(along, job.length()));
            if leg.stone > 0.0 {
                let placed = CompactedVolume::cubic_job_units(leg.stone * job.cubic_per_volume());
                let item = Item { name: "trench stone", gradation: stone, unit: "", note: String::new() };
                basket.heap(item, (&place, &leg.kind), placed, stone.and_then(|s| weight_of(site, s)));
            }
            if leg.fabric > 0.0 {
                let name = format!("fabric, {}", trench.and_then(|t| t.fabric.as_deref()).unwrap_or(""));
                let note = "round the stone of trenches, once over the top".to_owned();
                let item = Item { name: &name, gradation: None, unit: job.area(), note };
                basket.put(&item, (&place, "fabric"), None, as_it_is(leg.fabric, job.area()));
            }
        }
        let piece = |name| Item { name, gradation: None, unit: "piece", note: String::new() };
        if drain.clean_outs > 0 {
            let made = as_it_is(drain.clean_outs as f64, "piece");
            basket.put(&piece("clean-out"), (&place, "clean-outs"), None, made);
        }
        let bends = drain.points.windows(3).filter(|w| bent(w)).count();
        if bends > 0 {
            basket.put(&piece("bend"), (&place, "bends"), None, as_it_is(bends as f64, "piece"));
        }
    }
}

/// A run turns here by more than a pipe gives: 2 degrees.
fn bent(w: &[super::DrainPointOut]) -> bool {
    let way = |a: usize| (w[a + 1].easting - w[a].easting).atan2(w[a + 1].northing - w[a].northing);
    let turn = (way(1) - way(0)).rem_euclid(std::f64::consts::TAU);
    turn.min(std::f64::consts::TAU - turn).to_degrees() > 2.0
}

/// Weight of a stone of that name or gradation, as another part of the job says it.
fn weight_of(site: &Site<'_>, stone: &str) -> Option<f64> {
    let said = &site.job.said;
    let layers = said.sections.iter().flat_map(|s| &s.layers);
    let layers = layers.filter(|l| l.name == stone || l.gradation.as_deref() == Some(stone)).filter_map(|l| l.weight);
    let driven = said.amendments.iter().filter_map(|a| a.stone.as_ref());
    let driven = driven.filter(|s| s.gradation.as_deref() == Some(stone)).filter_map(|s| s.weight);
    layers.chain(driven).next()
}
