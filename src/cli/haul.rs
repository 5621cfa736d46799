//! `haul`: of a job, or of a dig said in one line.

use super::args::HaulArgs;
use super::commands::{estimate, finish, job_file, tell};
use super::{Ended, Failure, folder};
use spadework::haul::{Haul, Truck};
use spadework::job::{Outcome, Parts, QuickHaul, quick_haul};
use spadework::read::nearest;
use spadework::soil::{Class, Factors, Usual, usual};
use spadework::units::{BankVolume, LengthUnit, LooseVolume, Measured, parse_measure, parse_number};

pub(crate) fn haul(args: &HaulArgs) -> Result<Ended, Failure> {
    if let Some(job) = &args.job {
        let mut read = job_file(job)?;
        let mut outcome = read.worked_out(Parts { haul: true, ..Parts::NONE })?;
        finish(&mut outcome, read.desk.inputs(), false);
        return told(args, &outcome);
    }
    let unit = args.units.map_or(LengthUnit::Foot, LengthUnit::from);
    let mut assumed = Vec::new();
    let quick = quick(args, unit, &mut assumed).map_err(Failure::Usage)?;
    let mut outcome = quick_haul(&quick);
    finish(&mut outcome, Vec::new(), false);
    outcome.defaults = assumed;
    told(args, &outcome)
}

/// Prints it, and writes the workbook where one was asked for.
fn told(args: &HaulArgs, outcome: &Outcome) -> Result<Ended, Failure> {
    let Some(path) = &args.workbook else { return tell(outcome, args.json, "") };
    folder::write_new(&[(path, estimate(outcome)?.unwrap_or_default())])?;
    tell(outcome, args.json, &format!("Written: {}", path.display()))
}

/// What was typed, or the usage error.
fn quick(args: &HaulArgs, unit: LengthUnit, assumed: &mut Vec<String>) -> Result<QuickHaul, String> {
    let bank = args.bank.as_deref().unwrap_or("");
    let with_unit = if parse_number(bank).is_ok() { format!("{bank} {}", unit.volume()) } else { bank.to_owned() };
    let bank = above_zero("--bank", &with_unit, Measured::Volume, unit)?;
    let usual = args.soil.as_deref().map(soil).transpose()?;
    let soil = usual.map(|u| u.factors(unit));
    let part =
        |option: &str, text: &Option<String>, most: f64| text.as_deref().map(|t| percent(option, t, most)).transpose();
    let weight = args.weight.as_deref().map(|t| above_zero("--weight", t, Measured::Density, unit)).transpose()?;
    let swell = part("--swell", &args.swell, 200.0)?.or(soil.map(|f| f.swell));
    let shrink = part("--shrink", &args.shrink, 99.0)?.or(soil.map(|f| f.shrink));
    let weight = weight.or(soil.map(|f| f.bank_weight));
    let (Some(swell), Some(bank_weight)) = (swell, weight) else {
        return Err(
            "say --soil, or both --swell and --weight: without them there are no loose volume and no weight".to_owned()
        );
    };
    if let (Some(word), Some(of), Some(usual)) = (&args.soil, soil, usual) {
        let taken = [
            (args.swell.is_none(), format!("swell {} %", of.swell * 100.0)),
            (args.shrink.is_none(), format!("shrink {} %", of.shrink * 100.0)),
            (
                args.weight.is_none(),
                format!("{:.3} {}/{}", of.bank_weight * unit.cubic_per_volume(), unit.mass(), unit.volume()),
            ),
        ];
        let taken: Vec<String> = taken.into_iter().filter(|(usual, _)| *usual).map(|(_, text)| text).collect();
        if !taken.is_empty() {
            assumed.push(format!("usual for {word}, moist in the bank: {} ({})", taken.join(", "), usual.source));
        }
    } else if shrink.is_none() {
        assumed.push("no shrink".to_owned());
    }
    let trucks = args.truck.iter().map(|t| truck(t, unit)).collect::<Result<Vec<_>, _>>()?;
    let tickets = match (args.tickets, trucks.len()) {
        (Some(n), 1) => Some((n, part("--full", &args.full, 150.0)?.unwrap_or(1.0))),
        (Some(_), _) => return Err("--tickets are those of one truck: give just one --truck".to_owned()),
        (None, _) => None,
    };
    let dig_rate = args.dig_rate.as_deref().map(|t| above_zero("--dig-rate", t, Measured::Rate, unit)).transpose()?;
    let dig_rate = dig_rate.map(BankVolume::cubic_job_units);
    let haul = Haul { trucks, dig_rate, ..Haul::default() };
    let factors = Factors { swell, shrink: shrink.unwrap_or(0.0), bank_weight };
    Ok(QuickHaul { unit, bank: BankVolume::cubic_job_units(bank), factors, haul, tickets })
}

fn above_zero(option: &str, text: &str, of: Measured, unit: LengthUnit) -> Result<f64, String> {
    match parse_measure(text, of, unit) {
        Ok(v) if v > 0.0 => Ok(v),
        Ok(_) => Err(format!("{option}: found `{}`; expected more than nothing", text.trim())),
        Err(e) => Err(format!("{option}: {e}")),
    }
}

fn percent(option: &str, text: &str, most: f64) -> Result<f64, String> {
    let value = text.trim().strip_suffix('%').and_then(|t| parse_number(t).ok()).filter(|v| (0.0..=most).contains(v));
    value
        .map(|v| v / 100.0)
        .ok_or_else(|| format!("{option}: found `{text}`; expected a percentage from \"0 %\" to \"{most} %\""))
}

fn soil(word: &str) -> Result<Usual, String> {
    Class::from_word(word.trim()).map(usual).ok_or_else(|| {
        let words = Class::WORDS;
        let near = nearest(word, words.iter().copied()).map_or_else(String::new, |w| format!("; the nearest is `{w}`"));
        format!("--soil: found `{word}`; expected one of {}{near}", words.join(", "))
    })
}

/// `tandem = 10 yd3, 14 ton`, with a round trip behind if there is one.
fn truck(text: &str, unit: LengthUnit) -> Result<Truck, String> {
    let bad =
        || format!("--truck: found `{text}`; expected a name, its box and its payload, as \"tandem = 10 yd3, 14 ton\"");
    let (name, rest) = text.split_once('=').ok_or_else(bad)?;
    let parts: Vec<&str> = rest.split(',').collect();
    let ([volume, payload] | [volume, payload, _]) = parts.as_slice() else { return Err(bad()) };
    if name.trim().is_empty() {
        return Err(bad());
    }
    let of = |text: &str, of| above_zero("--truck", text, of, unit);
    Ok(Truck {
        name: name.trim().to_owned(),
        volume: LooseVolume::cubic_job_units(of(volume, Measured::Volume)?),
        payload: of(payload, Measured::Mass)?,
        round_trip: parts.get(2).map(|t| of(t, Measured::Time)).transpose()?,
        count: 1,
        note: String::new(),
    })
}
