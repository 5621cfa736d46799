//! What does the cistern of a job yield, and what is held against it?
//!
//! Water in gallons or litres. Sizes tried: every quarter of the capacity up to four times it. A size is enough where every further
//! quarter gains less than 1 % of what is asked for. Dry on a day: its use was not met in full.

use super::SiteJob;
use super::site::{Site, Taken};
use crate::finding::{Caution, Check, Limit, Measure, Subject};
use crate::tank::{Fallen, Overflow, Rain, Step, Tank, enough};
use crate::units::{Length, at_least};
use serde::Serialize;

/// Quarters of the capacity up to which sizes are tried.
const QUARTERS: u32 = 16;
/// A further quarter that gains less than this part of the use asked for gains nothing worth its price.
const WORTH: f64 = 0.01;
/// The overflow lies so much below the inlet that water does not back up into the pipe: 2 in, common practice.
const AIR_INCHES: f64 = 2.0;

/// What a cistern yields; water in gallons or litres.
#[derive(Clone, Debug, Default, Serialize)]
pub struct TankOut {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub capacity: f64,
    /// When use is taken: `after spillage` or `before spillage`.
    pub rule: &'static str,
    /// `day` or `month`.
    pub step: &'static str,
    /// First day or month of the rain.
    pub from: String,
    /// The last.
    pub to: String,
    /// Depth of all the rain, in the job's unit of length.
    pub rain: f64,
    /// Part by part what drains into it.
    pub catchments: Vec<CatchmentOut>,
    /// What was in it at first.
    pub start: f64,
    /// What ran in.
    pub inflow: f64,
    /// What was asked for.
    pub demand: f64,
    /// What was used.
    #[serde(rename = "yield")]
    pub met: f64,
    /// What ran over.
    pub spill: f64,
    /// What is left in it: start and inflow, less yield and spill.
    pub left: f64,
    /// Days on which use was not met in full; where rain is known by the day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub days_dry: Option<usize>,
    /// Months in which use was not met in full; where rain is known by the month.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub months_dry: Option<usize>,
    /// Part of the water asked for that was met.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reliability: Option<f64>,
    /// Part of the days (months) that asked for water on which all of it was met.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reliability_by_time: Option<f64>,
    /// The same with other sizes.
    pub curve: Vec<SizeOut>,
    /// Size from which on every further quarter of the capacity gains less than `worth`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub enough: Option<f64>,
    /// Part of the use asked for that a further quarter must gain to be worth it.
    pub worth: f64,
    /// Where what runs over goes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overflow: Option<OverflowOut>,
}

/// What drains into a cistern.
#[derive(Clone, Debug, Serialize)]
pub struct CatchmentOut {
    /// Its name.
    pub name: String,
    /// Its size.
    pub area: f64,
    /// Part of the rain that arrives.
    pub efficiency: f64,
    /// What it brings.
    pub inflow: f64,
}

/// A cistern of another size.
#[derive(Clone, Debug, Serialize)]
pub struct SizeOut {
    /// What it holds.
    pub capacity: f64,
    /// What would be used.
    #[serde(rename = "yield")]
    pub met: f64,
    /// What would run over.
    pub spill: f64,
    /// Days (months) on which use would not be met in full.
    pub dry: usize,
    /// Part of the water asked for that would be met.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reliability: Option<f64>,
}

/// The pipe out of a cistern.
#[derive(Clone, Debug, Serialize)]
pub struct OverflowOut {
    /// Its invert.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<f64>,
    /// Where it leads.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub way: Option<String>,
}

/// Works out the cistern; none where there is none or no rain.
pub(super) fn tank(
    site: &Site<'_>,
    taken: &[Taken],
    checks: &mut Vec<Check>,
    cautions: &mut Vec<Caution>,
) -> Option<TankOut> {
    let tank = site.job.tank.as_ref()?;
    let unit = site.job.unit;
    let area_of = |k: usize| taken.get(k).map_or(0.0, |t| t.outline.area);
    outside(tank, site.job, checks, cautions);
    let Some(rain) = tank.rain.as_ref().filter(|r| !r.fallen.is_empty()) else {
        cautions.push(said(tank, "no `days` in [rain]: nothing was worked out of what it yields"));
        return None;
    };
    let steps = tank.steps(unit, area_of);
    let balance = tank.store.balance(&steps);
    let sizes: Vec<f64> = (1..=QUARTERS).map(|k| tank.store.capacity * f64::from(k) / 4.0).collect();
    let curve = tank.store.curve(&sizes, &steps);
    held(tank, rain, &steps, checks, cautions);
    let date = |f: Option<&Fallen>| f.map_or_else(String::new, Fallen::date);
    let catchments = tank.catchments.iter().map(|c| CatchmentOut {
        name: c.name.clone(),
        area: c.area(area_of),
        efficiency: c.efficiency,
        inflow: tank.brings(c, unit, area_of),
    });
    let overflow =
        |o: &Overflow| OverflowOut { level: o.invert.map(crate::units::Elevation::job_units), way: o.way.clone() };
    Some(TankOut {
        name: tank.name.clone(),
        capacity: tank.store.capacity,
        rule: tank.store.rule.word(),
        step: if rain.by_month { "month" } else { "day" },
        from: date(rain.fallen.first()),
        to: date(rain.fallen.last()),
        rain: rain.fallen.iter().map(|f| f.depth.job_units()).sum(),
        catchments: catchments.collect(),
        start: balance.start,
        inflow: balance.inflow,
        demand: balance.demand,
        met: balance.met,
        spill: balance.spill,
        left: balance.left,
        days_dry: (!rain.by_month).then_some(balance.dry),
        months_dry: rain.by_month.then_some(balance.dry),
        reliability: balance.by_volume(),
        reliability_by_time: balance.by_time(),
        enough: enough(&curve, WORTH),
        worth: WORTH,
        curve: curve
            .into_iter()
            .map(|(capacity, b)| SizeOut {
                capacity,
                met: b.met,
                spill: b.spill,
                dry: b.dry,
                reliability: b.by_volume(),
            })
            .collect(),
        overflow: tank.overflow.as_ref().map(overflow),
    })
}

fn subject(tank: &Tank) -> Subject {
    Subject::Item("tank", tank.name.clone())
}

fn said(tank: &Tank, text: impl Into<String>) -> Caution {
    Caution::new(subject(tank), text)
}

/// What stands beside the water account: inlet and overflow, lime, and what is not known here of tanks.
fn outside(tank: &Tank, job: &SiteJob, checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    if let (Some(inlet), Some(Overflow { invert: Some(over), .. })) = (tank.inlet, &tank.overflow) {
        let (found, least) = ((inlet - *over).job_units(), Length::inches(AIR_INCHES, job.unit).job_units());
        let pass = at_least(found, least);
        checks.push(Check {
            rule: "inlet above overflow",
            subject: subject(tank),
            found,
            measure: Measure::Length,
            limit: Limit::Least(least),
            pass,
            source: "2 in, so that a full tank does not back up (common practice, no source)".to_owned(),
            note: if pass { String::new() } else { "lower the overflow or raise the inlet".to_owned() },
        });
    }
    match &tank.overflow {
        None => cautions.push(said(tank, "no `overflow`: say by which pipe it spills, and where to")),
        Some(Overflow { way: None, .. }) => {
            let text =
                "no [[drain]] begins at its overflow: where does it spill to? Not onto a neighbour, not at a footing";
            cautions.push(said(tank, text));
        }
        Some(_) => {}
    }
    let limed: Vec<&str> = tank.limed.iter().filter_map(|&k| job.said.areas.get(k)).map(|a| a.name.as_str()).collect();
    if !limed.is_empty() {
        let text = format!(
            "water of {} runs to it and lime is worked in there: the first flushes after liming are alkaline; send them past the tank",
            limed.join(", ")
        );
        cautions.push(said(tank, text));
    }
    let text = "its water is not for drinking: mark the taps, keep it apart from the supply; screen every opening against \
                mosquitoes, lock the lid against children; the tank, its bed and what stands on it are for a licensed designer; ask \
                whether rain may be kept and a permit is needed";
    cautions.push(said(tank, text));
}

/// The owner's wish, and what the series cannot tell.
fn held(tank: &Tank, rain: &Rain, steps: &[Step], checks: &mut Vec<Check>, cautions: &mut Vec<Caution>) {
    if tank.catchments.is_empty() {
        cautions.push(said(tank, "no [[tank.catchment]]: nothing runs into it"));
    }
    if tank.demands.is_empty() {
        cautions.push(said(tank, "no [[tank.demand]]: nothing is asked of it"));
    }
    if rain.by_month {
        let wish = if tank.most_days_dry.is_some() { "; `most_days_dry` was not held against it" } else { "" };
        let flush =
            if tank.first_flush > Length::ZERO { "; no first flush was taken off, so too much runs in" } else { "" };
        cautions.push(said(tank, format!("rain by the month tells of no dry days within one{wish}{flush}")));
        return;
    }
    let days = rain.fallen.len();
    if days < 365 {
        cautions.push(said(tank, format!("the rain covers {days} days, less than a year")));
    }
    let Some(most) = tank.most_days_dry else { return };
    // The wish is for a year: of several the worst counts.
    let mut years: Vec<(i32, usize)> = Vec::new();
    for ((fallen, step), turn) in rain.fallen.iter().zip(steps).zip(tank.store.turns(steps)) {
        if years.last().is_none_or(|(year, _)| *year != fallen.year) {
            years.push((fallen.year, 0));
        }
        if let Some((_, dry)) = years.last_mut() {
            *dry += usize::from(step.is_dry(turn.met));
        }
    }
    let Some(&(year, dry)) = years.iter().max_by_key(|(year, dry)| (*dry, -year)) else { return };
    let of = if years.len() > 1 { format!("in {year}, the worst of {} years; ", years.len()) } else { String::new() };
    let note = format!("{of}the owner's wish, not a law: a larger tank, more roof, or less use");
    checks.push(Check {
        rule: "days dry",
        subject: subject(tank),
        found: dry as f64,
        measure: Measure::Count,
        limit: Limit::Most(most as f64),
        pass: dry <= most,
        source: "the job file".to_owned(),
        note: if dry <= most { String::new() } else { note },
    });
}
