//! What does the job file say?
//!
//! In two steps, because this room opens no file: [`referenced`] reads the text against its form and says which files
//! it names; whoever opens files hands them over, and [`JobText::read`] makes the job of them. Both complain of
//! everything at once, so the second step is taken even where the first found something wrong.

mod areas;
mod finish;
mod form;
mod haul;
mod keys;
mod kinds;
mod names;
mod schema;
mod site;
mod soil;
mod spans;
mod survey;
mod tank;
mod value;
mod walk;
mod water;

#[cfg(test)]
mod tests;

pub use schema::schema;
pub use spans::Spans;

use super::{Complaint, Complaints, NamedPlace, Source, read_lines, read_places};
use crate::design::said::Said;
use crate::digcheck::Tolerance;
use crate::finding::{Caution, Subject};
use crate::job::{SiteJob, StakeOrder};
use crate::units::{Length, LengthUnit};
use areas::Around;
use names::{Desk, Names};
use std::collections::HashMap;
use toml::de::{DeTable, DeValue};
use value::{Span, Table};

/// A job file to fill in, with a survey that suits it.
pub const TEMPLATE: [(&str, &str); 2] =
    [("job.toml", include_str!("template.toml")), ("existing.csv", include_str!("template.csv"))];

/// The newest form of file this program reads.
const NEWEST: f64 = 1.0;

/// A job file whose keys were read.
#[derive(Clone, Debug)]
pub struct JobText {
    source: Source,
    root: Table,
    unit: LengthUnit,
    files: Vec<(String, Span)>,
    kept: Vec<String>,
    defaults: Vec<String>,
    cautions: Vec<Caution>,
    /// Nothing was complained of.
    sound: bool,
}

/// Reads the text of a job file. `None` where it is no TOML or of a newer form.
pub fn referenced(source: &Source, complaints: &mut Complaints) -> Option<JobText> {
    let before = complaints.len();
    let (tree, errors) = DeTable::parse_recoverable(source.text());
    for error in &errors {
        let span = error.span().unwrap_or(0..0);
        complaints.push(Complaint::at(
            source,
            span.start..span.end.max(span.start + 1),
            error.message(),
            "the form `key = value` under heads such as [job] and [[area]]",
            "mend this line: text stands in quotes, lists in brackets, tables in braces",
        ));
    }
    if !errors.is_empty() {
        return None;
    }
    let job = tree.get_ref().iter().find(|(key, _)| key.get_ref() == "job").and_then(|(_, v)| v.get_ref().as_table());
    let of_job = |name: &str| job.and_then(|job| job.iter().find(|(key, _)| key.get_ref() == name)).map(|(_, v)| v);
    if let Some(node) = of_job("version")
        && let DeValue::Integer(n) = node.get_ref()
        && n.as_str().parse::<f64>().is_ok_and(|version| version > NEWEST)
    {
        // Keys of another form would all be complained of in vain.
        let found = format!("version {n}");
        let help = "this program reads version 1: use a newer program, or write the file in that form";
        complaints.push(Complaint::at(source, node.span(), found, "version 1", help));
        return None;
    }
    // Where the unit is missing or misspelt lengths are checked all the same.
    let unit = of_job("units").and_then(|v| v.get_ref().as_str()).and_then(LengthUnit::from_code);
    let unit = unit.unwrap_or(LengthUnit::Foot);
    let reading = kinds::Reading { text: source.text(), unit, rounded: 0 };
    let mut walk = walk::Walk { source, reading, complaints, defaults: vec![], kept: vec![], files: vec![] };
    let root = walk.table(&keys::ROOT, "", tree.get_ref(), 0..0);
    let walk::Walk { reading, defaults, kept, files, .. } = walk;
    let mut cautions = vec![];
    if reading.rounded > 0 {
        let text = format!("{}: {} coordinates were rounded to six decimals.", source.label(), reading.rounded);
        cautions.push(Caution::new(Subject::Job, text));
    }
    let defaults = defaults
        .into_iter()
        .map(|(text, of)| if of.is_empty() { text.to_owned() } else { format!("{text}: {}", of.join(", ")) });
    let (defaults, sound) = (defaults.collect(), complaints.len() == before);
    Some(JobText { source: source.clone(), root, unit, files, kept, defaults, cautions, sound })
}

impl JobText {
    /// Names of the files it refers to, as written, each once; they lie beside the job file.
    pub fn files(&self) -> impl Iterator<Item = &str> {
        let all = &self.files;
        let fresh = move |k: &usize| all[..*k].iter().all(|(name, _)| *name != all[*k].0);
        (0..all.len()).filter(fresh).map(|k| all[k].0.as_str())
    }

    /// Makes the job. `files`: those it refers to, by the names it has for them. `None` where anything was complained
    /// of, here or in the first step; a file that was not opened is complained of by whoever opens it.
    pub fn read(&self, files: &HashMap<String, Source>, complaints: &mut Complaints) -> Option<(SiteJob, Spans)> {
        let before = complaints.len();
        let root = &self.root;
        let mut desk =
            Desk { source: &self.source, complaints, unit: self.unit, names: Names::default(), cautions: Vec::new() };
        let mut spans = Spans::default();
        let mut cautions = self.cautions.clone();
        let survey = root.table("survey");
        let measured = survey.and_then(|t| survey::survey(&mut desk, t, root.tables("bench"), files));
        desk.names.unknown = measured.is_none();
        let measured = measured.unwrap_or_default();
        cautions.extend(measured.cautions);
        let mut lines = Vec::new();
        if let Some(t) = survey
            && let Some(source) = survey::file(t, "breaklines", files)
        {
            let shots = (!desk.names.unknown).then_some(&measured.shots);
            if let Some(read) = read_lines(source, crate::job::EXISTING, shots, desk.complaints) {
                cautions.extend(read.cautions.iter().cloned());
                lines.clone_from(&read.lines);
                spans.lines.push((t.text("breaklines").unwrap_or("").to_owned(), read));
            }
        }
        let limit = survey.and_then(|t| limit(&mut desk, t));
        spans.limit = survey.filter(|t| t.has("limit")).map(|t| t.at("limit"));
        spans.shots = measured.table;
        let benches = survey::benches(&mut desk, root.tables("bench"), measured.levels.as_ref().map(|l| &l.reduced));
        let set_up = root.table("set_up").and_then(|t| survey::set_up(&mut desk, t, &benches));
        let outlets = water::outlets(&mut desk, root.tables("outlet"));
        let ground = root.table("ground").map(|t| soil::ground(&mut desk, t, files)).unwrap_or_default();
        let said = self.said(&mut desk, &outlets, &ground, files, &mut spans);
        let (tank, of_tank) = tank::tank(&mut desk, root, files, &areas::names(root.tables("area")));
        let (haul, of_haul) = haul::haul(&mut desk, root);
        let cuts = root.table("sheet").map_or_else(Vec::new, |t| site::cuts(&mut desk, t));
        cautions.append(&mut desk.cautions);
        self.items(&mut spans);
        if desk.complaints.len() == before && self.sound && self.files().all(|f| files.contains_key(f)) {
            let job = root.table("job")?;
            let order = match root.table("stakes").and_then(|t| t.word("order")) {
                Some("name") => StakeOrder::Name,
                Some("file") => StakeOrder::File,
                _ => StakeOrder::Walking,
            };
            let text = |key: &str| job.text(key).map(str::to_owned);
            let has = |key: &str| survey.is_some_and(|t| t.has(key));
            let levels = measured.levels.as_ref();
            let assumed = levels.map_or(vec![], |l| l.assumed(self.unit, has("rods"), has("closing")));
            let site = SiteJob {
                name: text("name")?,
                unit: self.unit,
                datum: text("datum"),
                north: text("north"),
                existing: measured.shots,
                lines,
                rules: site::rules(root.table("rules")),
                shot_error: survey
                    .and_then(|t| t.length("shot_error"))
                    .unwrap_or(crate::job::usual_shot_error(self.unit)),
                defaults: self.defaults.iter().cloned().chain(assumed).chain(of_tank).chain(of_haul).collect(),
                levels: measured.levels,
                benches,
                set_up,
                limit,
                said,
                soil: ground.ground,
                tank,
                haul,
                outlets,
                interval: root.table("sheet").and_then(|t| t.length("contours")),
                cuts,
                sheet: site::sheet(root.table("sheet")),
                tolerance: root.table("ground").and_then(|t| t.table("tolerance")).and_then(tolerance),
                order,
                kept: self.kept.clone(),
                cautions,
            };
            return Some((site, spans));
        }
        if self.sound && complaints.is_empty() {
            for (name, span) in self.files.iter().filter(|(name, _)| !files.contains_key(name)) {
                let found = format!("`{name}`, which was not opened");
                complaints.push(Complaint::at(
                    &self.source,
                    span.clone(),
                    found,
                    "a file to read",
                    "put it beside the job file",
                ));
            }
        }
        None
    }

    fn said(
        &self,
        desk: &mut Desk<'_>,
        outlets: &[water::Outlet],
        ground: &soil::Said,
        files: &HashMap<String, Source>,
        spans: &mut Spans,
    ) -> Said {
        let root = &self.root;
        let sections = areas::sections(desk, root.tables("section"));
        let tables = root.tables("area");
        desk.unique("area", tables.iter().filter_map(|t| Some((t.text("name")?, t.at("name")))));
        desk.unique("code", tables.iter().filter_map(|t| Some((t.text("code")?, t.at("code")))));
        for (key, what) in [("section", "section"), ("area", "area")] {
            if root.entries.get(key).is_some_and(|e| matches!(&e.said, value::Said::Tables(all) if all.is_empty())) {
                desk.complain(root.at(key), format!("no {what}"), format!("one [[{key}]] at least"), "add one");
            }
        }
        let names = areas::names(tables);
        let section_names = areas::names(root.tables("section"));
        let drain_names = areas::names(root.tables("drain"));
        let around =
            Around { files, sections: &section_names, areas: &names, drains: &drain_names, cores: ground.names() };
        let mut all = Vec::new();
        for (at, t) in tables.iter().enumerate() {
            let (area, corners) = areas::area(desk, t, at, &around);
            if let Some(name) = t.text("name") {
                spans.areas.insert(name.to_owned(), (t.at("name"), corners));
            }
            all.push(area);
        }
        let amendments = haul::amendments(desk, root.tables("amendment"), &names);
        for worked in &amendments {
            if let (Some(area), Some(stone)) = (all[worked.area].as_mut(), &worked.stone) {
                area.proud = area.proud + stone.proud;
            }
        }
        let mut extra = Vec::new();
        if let Some(source) = root.table("stakes").and_then(|t| survey::file(t, "extra", files)) {
            extra = read_places(source, desk.complaints).unwrap_or_default();
            for NamedPlace { name, place, span, .. } in &extra {
                if desk.names.all.get(name).is_some_and(|known| known.place != *place) {
                    let found = format!("`{name}` in a second place");
                    let complaint =
                        Complaint::at(source, span.clone(), found, "one place for a name", "rename the stake");
                    desk.complaints.push(complaint);
                }
            }
        }
        let ground = root.table("ground");
        let of_ground = |key: &str| ground.and_then(|t| t.length(key)).unwrap_or(Length::ZERO);
        Said {
            sections,
            areas: all.into_iter().flatten().collect(),
            strip: of_ground("strip"),
            compaction_allowance: of_ground("compaction_allowance"),
            keep_offs: site::keep_offs(desk, root.tables("keep_off")),
            fixed: site::fixed(desk, root.tables("fixed"), &names),
            drains: water::drains(desk, root, outlets),
            basins: water::basins(desk, root.tables("basin")),
            trench_every: root.table("stakes").and_then(|t| t.length("trench_every")).filter(|l| *l > Length::ZERO),
            storm: root.table("rain").and_then(|t| water::storm(t, desk.unit)),
            runoff: root.table("rain").and_then(|t| t.table("runoff")).map(water::runoff).unwrap_or_default(),
            extra_stakes: extra.into_iter().map(|p| (p.name, p.place)).collect(),
            amendments,
        }
    }

    /// Where everything with a name stands.
    fn items(&self, spans: &mut Spans) {
        if let Some(t) = self.root.table("tank") {
            spans.items.insert(("tank", t.text("name").unwrap_or("tank").to_owned()), t.at("name"));
        }
        for kind in ["section", "keep_off", "fixed", "drain", "bench", "outlet", "basin", "truck"] {
            for t in self.root.tables(kind) {
                let name = t.text("name").or_else(|| t.text("at"));
                if let Some(name) = name {
                    spans.items.insert((kind, name.to_owned()), t.at(if t.has("name") { "name" } else { "at" }));
                }
            }
        }
    }
}

/// Rings that bound the ground that counts; one inside a hole is an island.
fn limit(desk: &mut Desk<'_>, t: &Table) -> Option<Vec<Vec<(i64, i64)>>> {
    let said = t.rings("limit")?;
    let places: Vec<Vec<_>> = said.iter().map(|r| r.iter().map(|c| c.0).collect()).map(open).collect();
    let spans: Vec<Vec<Span>> = said.iter().map(|r| r.iter().map(|c| c.1.clone()).collect()).collect();
    for fault in crate::outline::faults(&places).into_iter().filter(|f| !f.is_island()) {
        areas::tell(desk, &fault, &spans, &t.at("limit"));
    }
    Some(places)
}

/// How far from dig-to the dug ground may be.
fn tolerance(t: &value::Table) -> Option<Tolerance> {
    Some(Tolerance { high: t.length("high")?, low: t.length("low")? })
}

/// A ring without its first corner at the end.
fn open(mut ring: Vec<(i64, i64)>) -> Vec<(i64, i64)> {
    if ring.len() > 3 && ring.first() == ring.last() {
        ring.pop();
    }
    ring
}
