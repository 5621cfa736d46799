//! Orders and prices: what is bought, part by part, and what all costs by the user's prices.

use super::account::{Anchors, Cell};
use super::named;
use super::page::{As, Page, range};
use super::trips::Planned;
use crate::job::{BROUGHT_IN, HaulOut, Outcome};
use rust_xlsxwriter::XlsxError;

/// Sold whole.
const WHOLE: [&str; 4] = ["bag", "piece", "panel", "roll"];

/// Writes the orders; gives the amount of each.
pub(super) fn orders(
    page: &mut Page<'_>,
    haul: &HaulOut,
    outcome: &Outcome,
    from: &Anchors,
) -> Result<Vec<Cell>, XlsxError> {
    page.widths(&[26, 20, 20, 18, 11, 8, 11, 9, 11, 8, 24])?;
    page.title(&format!(
        "Orders: {} (of x each x (1 + waste); what is sold whole is rounded up once)",
        named(outcome)
    ))?;
    page.down();
    page.heads(
        &["order", "gradation", "for", "what", "of", "in", "each", "waste", "amount", "unit", "note"],
        &[0, 1, 2, 3, 5, 9, 10],
    )?;
    let mut all = Vec::new();
    for order in &haul.orders {
        page.text(0, &order.name)?;
        page.text(1, order.gradation.as_deref().unwrap_or(""))?;
        let parts = u32::try_from(order.parts.len()).unwrap_or(0);
        let sum = format!("SUM({})", range(8, page.row + 1, page.row + parts.max(1)));
        let is_whole = WHOLE.contains(&order.unit.as_str());
        let text = if is_whole { format!("ROUNDUP(MAX({sum}-1E-9,0),0)") } else { sum };
        let look = if is_whole { As::Whole } else { As::Hundredths };
        let at = page.sum(8, &text, Some(order.amount), look)?;
        all.push(Cell { at: format!("Orders!{at}"), value: Some(order.amount) });
        page.unit(9, &order.unit)?;
        page.text(10, &order.note)?;
        page.down();
        // What is brought in follows the account.
        let made_up = match BROUGHT_IN.iter().position(|name| *name == order.name && !order.note.is_empty()) {
            Some(0) => Some(&from.short),
            Some(_) => Some(&from.fill_short),
            None => None,
        };
        for part in &order.parts {
            page.text(2, &part.area)?;
            page.text(3, &part.what)?;
            let made = part.made;
            let lack = made_up.and_then(|cell| Some((&cell.at, cell.value.filter(|v| *v > 0.0)?)));
            let of = match lack {
                Some((at, all)) => {
                    page.formula(4, &format!("{at}*{}", made.of / all), Some(made.of), As::Hundredths)?
                }
                None => page.input(4, Some(made.of), As::Hundredths)?,
            };
            page.unit(5, made.of_unit)?;
            let each = page.input(6, Some(made.each), As::Fine)?;
            let waste = page.input(7, Some(made.waste), As::Percent)?;
            page.formula(8, &format!("{of}*{each}*(1+{waste})"), Some(part.amount), As::Hundredths)?;
            page.unit(9, &order.unit)?;
            page.down();
        }
    }
    Ok(all)
}

/// Writes the prices.
pub(super) fn prices(
    page: &mut Page<'_>,
    haul: &HaulOut,
    outcome: &Outcome,
    (account, planned, orders): (&Anchors, &[Planned], &[Cell]),
) -> Result<(), XlsxError> {
    let basis = &haul.basis;
    page.widths(&[34, 14, 12, 12, 14, 14])?;
    page.title(&format!("Prices: {} (yours; none is made up)", named(outcome)))?;
    page.down();
    page.heads(&["a load of", "per hour", "per load", "tip fee", "cycle, h", "a load"], &[0])?;
    let mut loads = Vec::new();
    for (truck, planned) in basis.trucks.iter().zip(planned) {
        page.text(0, &truck.truck)?;
        let hour = page.input(1, truck.per_hour, As::Hundredths)?;
        let load = page.input(2, truck.per_load, As::Hundredths)?;
        let tip = page.input(3, truck.tip_fee, As::Hundredths)?;
        let (at, cycle) = &planned.cycle;
        let cycle_at = page.formula(4, at, *cycle, As::Hundredths)?;
        let text = format!(
            "IF(OR(COUNT({hour},{load})=0,AND(COUNT({hour})=1,COUNT({cycle_at})=0)),\"\",\
             IF(COUNT({hour})=1,{hour}*{cycle_at},0)+SUM({load},{tip}))"
        );
        let hours = match truck.per_hour {
            Some(price) => cycle.map(|hours| hours * price),
            None => truck.per_load.map(|_| 0.0),
        };
        let value = hours.map(|h| h + truck.per_load.unwrap_or(0.0) + truck.tip_fee.unwrap_or(0.0));
        loads.push((page.formula(5, &text, value, As::Hundredths)?, value));
        page.down();
    }
    page.down();
    page.heads(&["item", "amount", "unit", "price", "sum"], &[0, 2])?;
    let first = page.row;
    let mut total = 0.0;
    let mut line = |page: &mut Page<'_>, name: &str, amount: &Cell, unit: &str, price: Priced<'_>| {
        page.text(0, name)?;
        let amount_at = page.formula(1, &amount.at, amount.value, As::Hundredths)?;
        page.unit(2, unit)?;
        let (price_at, price) = match price {
            Priced::Said(price) => (page.input(3, price, As::Hundredths)?, price),
            Priced::Made(at, price) => (page.formula(3, at, price, As::Hundredths)?, price),
        };
        let sum = amount.value.and_then(|amount| Some(amount * price?));
        total += sum.unwrap_or(0.0);
        let text = format!("IF(COUNT({amount_at},{price_at})<2,\"\",{amount_at}*{price_at})");
        page.formula(4, &text, sum, As::Hundredths)?;
        page.down();
        Ok::<(), XlsxError>(())
    };
    line(page, "dig, bank", &account.dug, &outcome.units.volume, Priced::Said(basis.dig_price))?;
    for ((truck, planned), (at, load)) in basis.trucks.iter().zip(planned).zip(&loads) {
        let amount = Cell { at: planned.loads.0.clone(), value: Some(planned.loads.1) };
        line(page, &format!("haul, {}", truck.truck), &amount, "load", Priced::Made(at, *load))?;
    }
    for (order, amount) in haul.orders.iter().zip(orders) {
        let gradation = order.gradation.iter().map(|g| format!(", {g}")).collect::<String>();
        line(page, &format!("{}{gradation}", order.name), amount, &order.unit, Priced::Said(order.price))?;
    }
    let sums = range(4, first, page.row - 1);
    page.text(0, "TOTAL of what has a price")?;
    page.sum(4, &format!("SUM({sums})"), Some(total), As::Hundredths)?;
    Ok(())
}

/// Where a price comes from.
enum Priced<'a> {
    /// A cell to fill in.
    Said(Option<f64>),
    /// Another cell of the sheet.
    Made(&'a str, Option<f64>),
}
