//! What soil do the cores show, core by core, and what stands under each area?
//!
//! Depths count from the ground. An area is dug, on the mean and at its deepest, to the depths its volume account says, and never less than
//! the topsoil where that may not stay. Of the layers of its core between those two depths the worst governs; its core is the one it names, else the
//! nearest (inside counts as no distance; ties to the first in the table). A core reaches subgrade where it is as deep as the deepest dig. Of the job as a whole
//! the worst core governs, topsoil aside.
//!
//! The frost of a soil is told where its group is F3 or F4, under whatever is not lawn or bed. How deep frost goes is not known here.

use super::site::{Site, Taken};
use super::site_water::is_hard;
use super::{Outcome, caution_out, units_out};
use crate::design::dig::Dug;
use crate::finding::{Caution, Subject};
use crate::shots::from_micro;
use crate::soil::{Class, Core, Found, FrostGroup, Ground, Layer, Range, Span, Test, Usual, identify, usual};
use crate::surface::off;
use crate::units::{Length, LengthUnit, TIE, fixed};
use serde::Serialize;

/// What the soil is.
#[derive(Clone, Debug, Default, Serialize)]
pub struct SoilOut {
    /// What was found in each hole.
    pub cores: Vec<CoreOut>,
    /// What stands under each area; none of a bare table.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub areas: Vec<SoilAreaOut>,
    /// The core that governs the job as a whole, and its class.
    pub core: String,
    /// See `core`.
    pub class: &'static str,
    /// How every class found here behaves when it is dug.
    pub classes: Vec<FactorsOut>,
}

/// A hole.
#[derive(Clone, Debug, Serialize)]
pub struct CoreOut {
    /// Its name.
    pub core: String,
    /// Northing.
    pub northing: f64,
    /// Easting.
    pub easting: f64,
    /// What was found, top down.
    pub layers: Vec<SoilLayerOut>,
}

/// A layer of a hole.
#[derive(Clone, Debug, Serialize)]
pub struct SoilLayerOut {
    /// Depth of its top.
    pub from: f64,
    /// Depth of its bottom.
    pub to: f64,
    /// What it is called.
    pub class: &'static str,
    /// Groups that fit.
    pub groups: Vec<&'static str>,
    /// Tests that speak for all of them.
    pub agree: Vec<&'static str>,
    /// Tests that do not.
    pub disagree: Vec<&'static str>,
    /// How firm it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub firmness: Option<&'static str>,
    /// Remark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What stands under an area.
#[derive(Clone, Debug, Serialize)]
pub struct SoilAreaOut {
    /// Its name.
    pub name: String,
    /// The core its soil is taken from.
    pub core: String,
    /// Whether that is as deep as the deepest dig.
    pub reaches: bool,
    /// The deepest dig below the ground.
    pub depth: f64,
    /// What the worst layer there is called.
    pub class: &'static str,
    /// Groups that fit it.
    pub groups: Vec<&'static str>,
    /// How it lets water through, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drainage: Option<String>,
    /// How much frost lifts it, in words, with its group of frost design.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frost: Option<String>,
    /// As subgrade without frost, in words.
    pub suitability: String,
    /// Bank to loose, as a part.
    pub swell: f64,
    /// Bank to compacted, as a part.
    pub shrink: f64,
    /// Of a bank yd3 or m3, moist.
    pub weight: f64,
}

/// How a class behaves when it is dug: what counts here, and what is usual.
#[derive(Clone, Debug, Serialize)]
pub struct FactorsOut {
    /// The class.
    pub class: &'static str,
    /// Bank to loose, as a part.
    pub swell: f64,
    /// Bank to compacted, as a part.
    pub shrink: f64,
    /// Of a bank yd3 or m3, moist.
    pub weight: f64,
    /// Usual swell, from and to.
    pub usual_swell: [f64; 2],
    /// Usual shrink, from and to.
    pub usual_shrink: [f64; 2],
    /// Usual weight, from and to.
    pub usual_weight: [f64; 2],
    /// Where swell and shrink come from.
    pub source: &'static str,
}

/// The soil of bare cores.
#[must_use]
pub fn bare_soil(cores: Vec<Core>, unit: LengthUnit) -> Outcome {
    let mut cautions = Vec::new();
    let soil = of_cores(&Ground { cores, ..Ground::default() }, unit, &mut cautions);
    Outcome { soil, units: units_out(unit), cautions: cautions.iter().map(caution_out).collect(), ..Outcome::default() }
}

/// The soil of a job; none where nobody dug a core.
pub(super) fn soil(
    site: &Site<'_>,
    taken: &[Taken],
    cautions: &mut Vec<Caution>,
    defaults: &mut Vec<String>,
) -> Option<SoilOut> {
    let (ground, unit) = (&site.job.soil, site.job.unit);
    let mut out = of_cores(ground, unit, cautions)?;
    let mut freezing: Vec<(&Under<'_>, Vec<&str>)> = Vec::new();
    let under: Vec<Under<'_>> = (0..taken.len()).filter_map(|k| under(site, k, &taken[k])).collect();
    for u in &under {
        u.cautions(unit, cautions);
        if u.is_hard && u.frost_group().is_some_and(|f| f.worst >= FrostGroup::F3) {
            match freezing.iter_mut().find(|(first, _)| first.core == u.core && first.found == u.found) {
                Some((_, names)) => names.push(&u.area.said.name),
                None => freezing.push((u, vec![&u.area.said.name])),
            }
        }
        out.areas.push(u.out(ground, unit));
        out.meet(u.found.class, ground, unit);
    }
    if site.job.said.strip > Length::ZERO {
        out.meet(Class::Topsoil, ground, unit);
    }
    let listed = |text: &str, names: Vec<&str>| (!names.is_empty()).then(|| format!("{text}: {}", names.join(", ")));
    let by_itself = under.iter().filter(|u| u.area.said.core.is_none()).map(|u| u.area.said.name.as_str());
    defaults.extend(listed("soil from the nearest core", by_itself.collect()));
    let usual = out.classes.iter().map(|c| c.class).filter(|c| Class::from_word(c).is_some_and(|c| ground.is_usual(c)));
    defaults.extend(listed("swell, shrink and weight as usual", usual.collect()));
    cautions.extend(freezing.into_iter().map(|(u, names)| {
        let frost = u.frost().unwrap_or_default();
        let text = format!(
            "{} under {}: frost {frost}; where frost goes down to subgrade, keep water out of the base or make it thicker",
            u.found.class.word(),
            names.join(", ")
        );
        Caution::new(subject(u.core), text)
    }));
    Some(out)
}

fn subject(core: &Core) -> Subject {
    Subject::Item("core", core.name.clone())
}

fn of_cores(ground: &Ground, unit: LengthUnit, cautions: &mut Vec<Caution>) -> Option<SoilOut> {
    let mut out = SoilOut::default();
    for core in &ground.cores {
        let mut layers = Vec::new();
        for layer in &core.layers {
            let found = identify(&layer.tests);
            cautions.extend(at_odds(core, layer, &found, unit));
            out.meet(found.class, ground, unit);
            layers.push(layer_out(layer, &found));
        }
        let (northing, easting) = (from_micro(core.place.0), from_micro(core.place.1));
        out.cores.push(CoreOut { core: core.name.clone(), northing, easting, layers });
    }
    let (core, class) = ground.governs()?;
    (out.core, out.class) = (core.name.clone(), class.word());
    Some(out)
}

/// Asks about tests that do not speak of one soil.
fn at_odds(core: &Core, layer: &Layer, found: &Found, unit: LengthUnit) -> Option<Caution> {
    let against = words(&found.disagree);
    let text = format!(
        "{} to {} {}: {} fits best, but not by {}; make those tests again",
        fixed(layer.from.job_units(), 2),
        fixed(layer.to.job_units(), 2),
        unit.length(),
        found.spoken(),
        against.join(", ")
    );
    (!against.is_empty()).then(|| Caution::new(subject(core), text))
}

fn words(tests: &[Test]) -> Vec<&'static str> {
    tests.iter().map(|t| t.word()).collect()
}

fn groups(found: &Found) -> Vec<&'static str> {
    found.groups.iter().map(|g| g.word()).collect()
}

fn layer_out(layer: &Layer, found: &Found) -> SoilLayerOut {
    SoilLayerOut {
        from: layer.from.job_units(),
        to: layer.to.job_units(),
        class: found.class.word(),
        groups: groups(found),
        agree: words(&found.agree),
        disagree: words(&found.disagree),
        firmness: layer.firmness.map(crate::soil::Firmness::word),
        note: layer.note.clone(),
    }
}

impl SoilOut {
    /// Adds a class if it is new here.
    fn meet(&mut self, class: Class, ground: &Ground, unit: LengthUnit) {
        if self.classes.iter().any(|c| c.class == class.word()) {
            return;
        }
        let (factors, usual) = (ground.factors(class, unit), usual(class));
        let ends = |r: Range| [r.least, r.most];
        let weigh = |w: f64| Usual::in_job(w, unit) * unit.cubic_per_volume();
        self.classes.push(FactorsOut {
            class: class.word(),
            swell: factors.swell,
            shrink: factors.shrink,
            weight: factors.bank_weight * unit.cubic_per_volume(),
            usual_swell: ends(usual.swell),
            usual_shrink: ends(usual.shrink),
            usual_weight: ends(usual.weight).map(weigh),
            source: if ground.is_usual(class) { usual.source } else { "the job file" },
        });
    }
}

/// What stands under an area.
struct Under<'a> {
    area: &'a Dug<'a>,
    is_hard: bool,
    core: &'a Core,
    layer: &'a Layer,
    found: Found,
    /// The deepest dig.
    depth: f64,
}

/// What governs the ground of an area; none where nobody dug a core.
pub(super) fn class_under(site: &Site<'_>, k: usize, taken: &Taken) -> Option<Class> {
    under(site, k, taken).map(|u| u.found.class)
}

fn under<'a>(site: &'a Site<'a>, k: usize, taken: &Taken) -> Option<Under<'a>> {
    let area = &site.dig.areas[k];
    let core = &site.job.soil.cores[area.said.core.or_else(|| nearest(site, area))?];
    let account = &taken.outline;
    let least = if area.section.topsoil_may_stay { 0.0 } else { site.job.said.strip.job_units() };
    let mean = if account.covered > 0.0 { (account.cut - account.fill) / account.covered } else { 0.0 };
    let depth = account.max_cut.max(least);
    let (layer, found) = core.worst(Length::in_job_units(mean.max(least)), Length::in_job_units(depth))?;
    Some(Under { area, is_hard: is_hard(site, k), core, layer, found, depth })
}

/// The core nearest to an area.
fn nearest(site: &Site<'_>, area: &Dug<'_>) -> Option<usize> {
    let frame = site.dig.frame();
    let local = |(n, e): (i64, i64)| frame.local(n, e);
    let away = |core: &Core| {
        let at = local(core.place);
        let edges = area.outline.edges().map(|(node, next)| off(at, local(node.place), local(next)));
        if area.region.closed_holds(at) { 0.0 } else { edges.fold(f64::INFINITY, f64::min) }
    };
    let cores = site.job.soil.cores.iter().map(away).enumerate();
    cores.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(k, _)| k)
}

impl Under<'_> {
    fn frost_group(&self) -> Option<Span<FrostGroup>> {
        Span::over(self.found.groups.iter().filter_map(|g| g.frost_group()))
    }

    /// `moderate, F3`.
    fn frost(&self) -> Option<String> {
        let action = Span::over(self.found.groups.iter().filter_map(|g| g.frost()))?;
        let group = self.frost_group().map_or_else(String::new, |f| format!(", {f}"));
        Some(format!("{action}{group}"))
    }

    fn out(&self, ground: &Ground, unit: LengthUnit) -> SoilAreaOut {
        let factors = ground.factors(self.found.class, unit);
        let all = || self.found.groups.iter();
        SoilAreaOut {
            name: self.area.said.name.clone(),
            core: self.core.name.clone(),
            reaches: self.reaches(),
            depth: self.depth,
            class: self.found.class.word(),
            groups: groups(&self.found),
            drainage: Span::over(all().filter_map(|g| g.drainage())).map(|d| d.to_string()),
            frost: self.frost(),
            suitability: Span::over(all().map(|g| g.suitability())).map_or_else(String::new, |s| s.to_string()),
            swell: factors.swell,
            shrink: factors.shrink,
            weight: factors.bank_weight * unit.cubic_per_volume(),
        }
    }

    fn reaches(&self) -> bool {
        self.depth <= self.core.depth().job_units() + TIE
    }

    fn cautions(&self, unit: LengthUnit, cautions: &mut Vec<Caution>) {
        let mut say = |text: String| cautions.push(Caution::new(Subject::Area(self.area.said.name.clone()), text));
        let (core, unit) = (&self.core.name, unit.length());
        if !self.reaches() {
            let (ends, dug) = (fixed(self.core.depth().job_units(), 2), fixed(self.depth, 2));
            say(format!(
                "core {core} ends {ends} {unit} below the ground, the dig goes to {dug}: what soil lies there is not known; go deeper"
            ));
        }
        let class = self.found.class;
        if class == Class::Silt || class == Class::ClaySilt {
            let word = class.word();
            say(format!("{word} at {core}: lime does little; keep it dry, do not work it wet"));
        }
        if class.comes_out() && (self.is_hard || !self.area.section.topsoil_may_stay) {
            let to = fixed(self.layer.to.job_units(), 2);
            say(format!(
                "{} at subgrade at {core}, down to {to} {unit} below the ground: take it out to firm ground, stone back",
                class.word()
            ));
        }
    }
}
