//! Where water stands on a bare survey.

use super::{DrainageOut, Outcome, caution_out, survey, units_out};
use crate::drainage::{Outlet, Pond, WaysOut, ponds};
use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{Frame, Shots, to_micro};
use crate::surface::{Breakline, Surface};
use crate::units::{BankVolume, LengthUnit, fixed};
use serde::Serialize;
use std::collections::{HashMap, HashSet};

/// Water that stands.
#[derive(Clone, Debug, Default, Serialize)]
pub struct PondOut {
    /// Northing and easting of its lowest place.
    pub low_at: (f64, f64),
    /// The stake there, if there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low_name: Option<String>,
    /// Northing and easting of the place it spills over.
    pub spill_at: (f64, f64),
    /// The stake or outlet there, if there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spill_name: Option<String>,
    /// Height of the water.
    pub level: f64,
    /// At its deepest.
    pub depth: f64,
    /// Plan area.
    pub area: f64,
    /// In the outcome's unit of volume.
    pub volume: f64,
    /// The same in its unit of water.
    pub water: f64,
    /// Number of the pond it is nested in, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inside: Option<usize>,
    /// Areas it lies in, their over-dig included.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub areas: Vec<String>,
    /// The two areas whose step holds it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dam: Option<[String; 2]>,
    /// Its outline: rings of (northing, easting), closed.
    pub rings: Vec<Vec<(f64, f64)>>,
}

/// A place in whole millionths.
type Place = (i64, i64);
/// One with its name.
type Named = (String, i64, i64);

/// Ponds of a surface, for a reader; nothing where no water can leave. `named`: what stands where; of two at one place the first.
pub(super) fn ponds_out<'a>(
    surface: &Surface,
    ways: &WaysOut,
    unit: LengthUnit,
    named: impl Iterator<Item = (Place, &'a str)>,
) -> Option<Vec<PondOut>> {
    let frame = surface.net().frame();
    let found = ponds(surface, ways)?;
    // Rough ground has a pond for every few shots: all are named in one go.
    let asked: HashSet<Place> =
        found.iter().flat_map(|p| [p.low_at, p.spill_at]).map(|p| whole(frame.site(p))).collect();
    let mut names: HashMap<Place, &str> = HashMap::with_capacity(asked.len());
    for (place, name) in named.filter(|(place, _)| asked.contains(place)) {
        names.entry(place).or_insert(name);
    }
    let name = |place: Place| names.get(&place).map(|&name| name.to_owned());
    Some(found.iter().map(|p| pond_out(p, frame, unit, name)).collect())
}

fn whole((n, e): (f64, f64)) -> Place {
    (to_micro(n), to_micro(e))
}

/// One pond for a reader.
pub(super) fn pond_out(p: &Pond, frame: Frame, unit: LengthUnit, name: impl Fn(Place) -> Option<String>) -> PondOut {
    let (low_at, spill_at) = (frame.site(p.low_at), frame.site(p.spill_at));
    let named = |place: (f64, f64)| name(whole(place));
    PondOut {
        low_at,
        low_name: named(low_at),
        spill_at,
        spill_name: named(spill_at),
        level: p.level,
        depth: p.depth,
        area: p.shape.area,
        volume: BankVolume::cubic_job_units(p.shape.volume).spoken(unit),
        water: p.shape.volume * unit.water_per_cubic(),
        inside: p.inside,
        areas: Vec::new(),
        dam: None,
        rings: p.shape.rings.iter().map(|r| r.iter().map(|&p| frame.site(p)).collect()).collect(),
    }
}

/// Where water stands on a survey. `outlets` and `lines`: what it may leave by, each with its name; `walled`: not over the edge.
///
/// # Errors
/// Every reason why the survey cannot be used; walls all round and no way out.
pub fn bare_ponds(
    (shots, breaklines): (&Shots, &[Breakline]),
    (outlets, lines): (&[Named], &[Vec<Place>]),
    walled: bool,
    unit: LengthUnit,
) -> Result<Outcome, Vec<Refusal>> {
    let frame = Frame::of(&[shots]);
    let (surface, mut cautions) = survey::surface(shots, breaklines, unit, frame, "survey")?;
    cautions.extend(survey::astray(breaklines, shots, "survey"));
    let local = |&(n, e): &Place| frame.local(n, e);
    for (name, n, e) in outlets {
        if surface.height_at(*n, *e).is_none() {
            let text = "lies off the survey: no water leaves by it";
            cautions.push(Caution::new(Subject::Outlet(name.clone()), text));
        }
    }
    let ways = WaysOut {
        outlets: outlets.iter().map(|(name, n, e)| Outlet { name: name.clone(), place: frame.local(*n, *e) }).collect(),
        lines: lines.iter().map(|l| l.iter().map(local).collect()).collect(),
        walled,
    };
    let shot = |r: usize| ((shots.northing[r], shots.easting[r]), shots.names.get(r));
    let named = (0..shots.len()).map(shot).chain(outlets.iter().map(|(name, n, e)| ((*n, *e), name.as_str())));
    let Some(ponds) = ponds_out(&surface, &ways, unit, named) else {
        let (low, high) = super::picture::heights(&surface);
        return Err(vec![Refusal {
            subject: Subject::Table("survey".to_owned()),
            found: format!("walls all round and no outlet on ground from {} to {}", fixed(low, 2), fixed(high, 2)),
            expected: "a way out for the water".to_owned(),
            help: "name an outlet on the survey, or leave the walls out".to_owned(),
        }]);
    };
    let frozen = cautions.iter().map(caution_out).collect();
    Ok(Outcome {
        units: units_out(unit),
        cautions: frozen,
        drainage: Some(DrainageOut { ponds: Some(ponds), ..DrainageOut::default() }),
        ..Outcome::default()
    })
}
