//! What does the report say of the cistern?

use super::account::words;
use super::columns::columns;
use crate::job::{Outcome, TankOut};
use crate::units::fixed;

fn water(v: f64) -> String {
    fixed(v, 0)
}

fn percent(v: Option<f64>) -> String {
    v.map_or_else(|| "-".to_owned(), |v| format!("{} %", fixed(v * 100.0, 1)))
}

/// What it yields, part by part, and what another size would do.
pub(super) fn tank(t: &TankOut, outcome: &Outcome) -> String {
    let metric = outcome.units.length == "m";
    let rain =
        if metric { format!("{} mm", fixed(t.rain * 1000.0, 0)) } else { format!("{} in", fixed(t.rain * 12.0, 2)) };
    let over = t.overflow.as_ref().map_or_else(String::new, |o| {
        let level = o.level.map_or_else(String::new, |z| format!(" at {}", fixed(z, if metric { 3 } else { 2 })));
        let way = o.way.as_ref().map_or_else(String::new, |way| format!(" by {way}"));
        if level.is_empty() && way.is_empty() { String::new() } else { format!("\n  runs over{level}{way}") }
    });
    let title = format!(
        "{}, {} {}, by the {} from {} to {}, {rain} of rain, use taken {}{over}",
        t.name,
        water(t.capacity),
        outcome.units.water,
        t.step,
        t.from,
        t.to,
        t.rule
    );
    [title, catchments(t, outcome), balance(t, outcome), sizes(t, outcome)].join("\n")
}

fn catchments(t: &TankOut, outcome: &Outcome) -> String {
    if t.catchments.is_empty() {
        return String::new();
    }
    let head = words(["catchment", &outcome.units.area, "arrives", &outcome.units.water]);
    let row = |c: &crate::job::CatchmentOut| {
        vec![c.name.clone(), fixed(c.area, 0), percent(Some(c.efficiency)), water(c.inflow)]
    };
    columns(&head, t.catchments.iter().map(row)) + "\n"
}

fn balance(t: &TankOut, outcome: &Outcome) -> String {
    let amounts = [
        ("at first", t.start),
        ("runs in", t.inflow),
        ("asked for", t.demand),
        ("used", t.met),
        ("runs over", t.spill),
        ("left", t.left),
    ];
    let mut rows = amounts.map(|(name, v)| words([name, &water(v), &outcome.units.water])).to_vec();
    let dry = t.days_dry.or(t.months_dry).unwrap_or(0).to_string();
    rows.push(words([&format!("{}s dry", t.step), &dry, "use not met in full"]));
    rows.push(words(["reliability", &percent(t.reliability), "of the water asked for"]));
    let by_time = format!("of the {}s that ask for water", t.step);
    rows.push(words(["", &percent(t.reliability_by_time), &by_time]));
    columns(&[], rows) + "\n"
}

fn sizes(t: &TankOut, outcome: &Outcome) -> String {
    let unit = &outcome.units.water;
    let head = words([&format!("holds, {unit}"), "used", "met", &format!("{}s dry", t.step), "runs over"]);
    let row = |s: &crate::job::SizeOut| {
        vec![water(s.capacity), water(s.met), percent(s.reliability), s.dry.to_string(), water(s.spill)]
    };
    let (worth, quarter) = (fixed(t.worth * 100.0, 0), water(t.capacity / 4.0));
    let enough = match t.enough {
        Some(size) => format!(
            "beyond {} {unit} every further {quarter} {unit} gain less than {worth} % of what is asked for",
            water(size)
        ),
        None if t.demand > 0.0 => {
            format!("at {} {unit} a further {quarter} {unit} may still gain {worth} % or more", water(t.capacity * 4.0))
        }
        None => "nothing is asked for, so no size is too small".to_owned(),
    };
    format!("Other sizes\n{}\n  {enough}", columns(&head, t.curve.iter().map(row)))
}
