//! What the job says of its soil: cores, and figures of the user's own.

use super::names::Desk;
use super::survey::file;
use super::value::Table;
use crate::read::{Source, read_cores};
use crate::soil::{Class, Factors, Ground};
use crate::units::{LengthUnit, parse_number};
use std::collections::HashMap;

/// What is said, and whether the cores could be read.
#[derive(Debug, Default)]
pub(super) struct Said {
    pub ground: Ground,
    unread: bool,
}

impl Said {
    /// Names of the cores; none where their table could not be read, so that no name is held against it.
    pub fn names(&self) -> Option<Vec<&str>> {
        (!self.unread).then(|| self.ground.cores.iter().map(|c| c.name.as_str()).collect())
    }
}

/// The soil of [ground].
pub(super) fn ground(desk: &mut Desk<'_>, t: &Table, files: &HashMap<String, Source>) -> Said {
    let read = file(t, "cores", files).and_then(|source| read_cores(source, desk.unit, desk.complaints));
    let unread = t.has("cores") && read.is_none();
    let (cores, cautions) = read.unwrap_or_default();
    desk.cautions.extend(cautions);
    desk.unique("soil", t.tables("soil").iter().filter_map(|s| Some((s.word("name")?, s.at("name")))));
    let weight = |t: &Table| t.text("weight").and_then(|text| density(text, desk.unit));
    let own = |s: &Table| {
        let factors = Factors { swell: s.part("swell")?, shrink: s.part("shrink")?, bank_weight: weight(s)? };
        Some((Class::from_word(s.word("name")?)?, factors))
    };
    let ground = Ground {
        cores,
        own: t.tables("soil").iter().filter_map(own).collect(),
        swell: t.part("swell"),
        shrink: t.part("shrink"),
        bank_weight: weight(t),
    };
    Said { ground, unread }
}

/// A weight with its units as the job's mass (ton, tonne) of a cubic job unit.
fn density(text: &str, job: LengthUnit) -> Option<f64> {
    const POUND: f64 = 0.453_592_37;
    let (amount, unit) = text.split_at(text.find(char::is_alphabetic)?);
    let foot = 0.3048_f64.powi(3);
    // Kilograms in a cubic metre.
    let one = match unit.trim() {
        "ton/yd3" => 2000.0 * POUND / (27.0 * foot),
        "tonne/m3" => 1000.0,
        "lb/ft3" => POUND / foot,
        "kg/m3" => 1.0,
        _ => return None,
    };
    let mass = if job == LengthUnit::Metre { 1000.0 } else { 2000.0 * POUND };
    Some(parse_number(amount.trim()).ok()? * one * job.metres().powi(3) / mass)
}
