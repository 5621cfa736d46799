//! The cistern and the rain it lives on.

use super::names::Desk;
use super::survey::file;
use super::value::{Span, Table};
use crate::read::{Complaint, RainUnit, Source, read_rain};
use crate::tank::{Catchment, Demand, Overflow, Rain, Rule, Size, Store, Tank};
use crate::units::{Elevation, Length, LengthUnit, Measured, parse_measure, parse_number};
use std::collections::HashMap;

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
/// Litres in each measure of water, exact (a US gallon is 231 cubic inches).
const LITRES: [(&str, f64); 4] = [("gal", 3.785_411_784), ("L", 1.0), ("m3", 1000.0), ("ft3", 28.316_846_592)];

/// The cistern, and what was assumed of it.
pub(super) fn tank(
    desk: &mut Desk<'_>,
    root: &Table,
    files: &HashMap<String, Source>,
    areas: &[&str],
) -> (Option<Tank>, Vec<String>) {
    let mut assumed = Vec::new();
    let rain = root.table("rain").and_then(|t| rain(desk, t, files, &mut assumed));
    let Some(t) = root.table("tank") else { return (None, assumed) };
    let catchments = catchments(desk, t.tables("catchment"), areas);
    let demands = t.tables("demand").iter().filter_map(|d| demand(desk, d, areas)).collect();
    let runs_in = |k: &usize| catchments.iter().any(|c| matches!(&c.size, Size::Areas(all) if all.contains(k)));
    let lime = root.tables("amendment").iter().filter(|a| a.has("lime")).filter_map(|a| a.text("area"));
    let limed = lime.filter_map(|name| areas.iter().position(|n| *n == name)).filter(runs_in).collect();
    if !t.has("start") {
        assumed.push("tank empty at first".to_owned());
    }
    if !t.has("rule") {
        assumed
            .push("use is taken from the tank after the day's spillage, which promises less than before it".to_owned());
    }
    let invert = |side: &str| t.table(side).and_then(|p| p.number("invert")).map(Elevation::in_job_units);
    let tank = Tank {
        name: t.text("name").unwrap_or("tank").to_owned(),
        store: store(desk, t),
        first_flush: t.length("first_flush").unwrap_or(Length::ZERO),
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, 0 to 366 by its form")]
        most_days_dry: t.number("most_days_dry").map(|n| n as usize),
        limed,
        catchments,
        demands,
        rain,
        inlet: invert("inlet"),
        overflow: t.table("overflow").map(|_| Overflow { invert: invert("overflow"), way: way(root) }),
    };
    (Some(tank), assumed)
}

fn rain(desk: &mut Desk<'_>, t: &Table, files: &HashMap<String, Source>, assumed: &mut Vec<String>) -> Option<Rain> {
    let unit = match t.word("unit") {
        Some("in") => RainUnit::Inch,
        Some(_) => RainUnit::Millimetre,
        None if desk.unit == LengthUnit::Metre => RainUnit::Millimetre,
        None => RainUnit::Inch,
    };
    let source = file(t, "days", files)?;
    if !t.has("unit") {
        let spoken = if unit == RainUnit::Inch { "inches" } else { "millimetres" };
        let name = t.text("days").unwrap_or("");
        assumed.push(format!("rain of {name} in {spoken}, as usual in a job in {}", desk.unit.code()));
    }
    let (rain, said) = read_rain(source, unit, desk.unit, desk.complaints)?;
    desk.cautions.extend(said);
    Some(rain)
}

fn store(desk: &mut Desk<'_>, t: &Table) -> Store {
    let said = t.word("rule").and_then(|word| Rule::WORDS.iter().find(|(w, _)| *w == word));
    let amount = |key: &str| t.text(key).and_then(|text| water(text, desk.unit));
    let (capacity, start) = (amount("capacity"), amount("start").unwrap_or(0.0));
    if capacity == Some(0.0) {
        desk.complain(t.at("capacity"), "a tank that holds nothing", "what it holds, above 0", "mend the number");
    } else if capacity.is_some_and(|c| start > c * (1.0 + 1e-9)) {
        let found = format!("`{}`, more than it holds", t.text("start").unwrap_or(""));
        let expected = format!("`{}` at most", t.text("capacity").unwrap_or(""));
        desk.complain(t.at("start"), found, expected, "mend one of the two");
    }
    Store { capacity: capacity.unwrap_or(0.0), start, rule: said.map_or(Rule::default(), |(_, rule)| *rule) }
}

/// A number and its unit.
fn measure(text: &str) -> Option<(f64, &str)> {
    let (amount, unit) = text.split_at(text.find(char::is_alphabetic)?);
    Some((parse_number(amount.trim()).ok()?, unit.trim()))
}

/// An amount of water in gallons or litres.
fn water(text: &str, job: LengthUnit) -> Option<f64> {
    let (amount, unit) = measure(text)?;
    let litres = |code: &str| LITRES.iter().find(|(c, _)| *c == code).map(|(_, l)| *l);
    Some(if unit == job.water() { amount } else { amount * litres(unit)? / litres(job.water())? })
}

fn catchments(desk: &mut Desk<'_>, tables: &[Table], areas: &[&str]) -> Vec<Catchment> {
    desk.unique("catchment", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
    let mut seen: HashMap<&str, &Span> = HashMap::new();
    for (name, span) in tables.iter().flat_map(|t| t.names("areas").unwrap_or(&[])) {
        if let Some(first) = seen.insert(name, span) {
            let found = format!("`{name}` in a catchment again");
            let help = "take it out of one: its water runs in once";
            let twice = Complaint::at(desk.source, span.clone(), found, "each area in one catchment", help);
            desk.complaints.push(twice.and(desk.source, first.clone(), "the first time here"));
        }
    }
    tables.iter().filter_map(|t| catchment(desk, t, areas)).collect()
}

fn catchment(desk: &mut Desk<'_>, t: &Table, areas: &[&str]) -> Option<Catchment> {
    let named: Vec<Option<usize>> = t
        .names("areas")
        .unwrap_or(&[])
        .iter()
        .map(|(name, span)| desk.which(name, span.clone(), areas, "area"))
        .collect();
    if t.has("area") == t.has("areas") {
        desk.complain(
            t.span.clone(),
            "a catchment with both or neither of `area` and `areas`",
            "one of the two",
            "give its size, or the areas it is made of",
        );
        return None;
    }
    let size = match t.text("area") {
        Some(text) => Size::Given(parse_measure(text, Measured::Area, desk.unit).ok()?),
        None => Size::Areas(named.into_iter().collect::<Option<_>>()?),
    };
    Some(Catchment { name: t.text("name").unwrap_or("").to_owned(), size, efficiency: t.part("efficiency")? })
}

fn demand(desk: &mut Desk<'_>, t: &Table, areas: &[&str]) -> Option<Demand> {
    let area = t.text("area").and_then(|name| desk.which(name, t.at("area"), areas, "area"))?;
    let table = t.table("per_week")?;
    Some(Demand { area, per_week: MONTHS.map(|m| table.length(m).unwrap_or(Length::ZERO)) })
}

/// Where the overflow leads: the drain that begins at it, and the place where that ends.
fn way(root: &Table) -> Option<String> {
    let begins = |d: &&Table| d.tables("nodes").first().is_some_and(|n| n.word("tank") == Some("overflow"));
    let drain = root.tables("drain").iter().find(begins)?;
    let last = drain.tables("nodes").last()?;
    let end = ["outlet", "basin", "name", "at"].into_iter().find_map(|key| last.text(key));
    let name = drain.text("name").unwrap_or("");
    Some(end.map_or_else(|| format!("drain {name}"), |end| format!("drain {name} to {end}")))
}
