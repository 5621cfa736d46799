//! What the job says of its soil: cores, and figures of the user's own.

use super::haul::above_zero;
use super::names::Desk;
use super::survey::file;
use super::value::Table;
use crate::read::{Source, read_cores};
use crate::soil::{Class, Factors, Ground};
use crate::units::Measured;
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
    let mut weight = |t: &Table| above_zero(desk, t, "weight", Measured::Density, "a weight");
    let bank_weight = weight(t);
    let own = |s: &Table| {
        let factors = Factors { swell: s.part("swell")?, shrink: s.part("shrink")?, bank_weight: weight(s)? };
        Some((Class::from_word(s.word("name")?)?, factors))
    };
    let ground = Ground {
        cores,
        own: t.tables("soil").iter().filter_map(own).collect(),
        swell: t.part("swell"),
        shrink: t.part("shrink"),
        bank_weight,
    };
    Said { ground, unread }
}
