//! Tables another program reads: heights and lengths to 0.0001, feet-inches as on the lath.
//!
//! A name that a sheet of cells would take for a formula (it begins with =, +, -, @, a tab or a line's end, and is no number) has an
//! apostrophe before it.

use crate::job::{LineOut, Outcome};
use crate::units::fixed;

/// One row a stake, in walking order.
///
/// # Errors
/// What the encoder says.
pub fn stakes(outcome: &Outcome) -> Result<String, csv::Error> {
    let stakes = outcome.stakes.as_deref().unwrap_or_default();
    let benches: Vec<&str> =
        stakes.iter().flat_map(|s| s.drop.iter().map(|(name, _)| name.as_str())).fold(Vec::new(), |mut seen, name| {
            if !seen.contains(&name) {
                seen.push(name);
            }
            seen
        });
    let mut out = Rows::new();
    let has_areas = stakes.iter().any(|s| s.area.is_some());
    let mut head: Vec<String> = ["stake", "northing", "easting"].map(str::to_owned).to_vec();
    head.extend(has_areas.then(|| "area".to_owned()));
    head.extend(["existing", "finish", "subgrade", "dig_to", "cut", "fill", "cut_text"].map(str::to_owned));
    head.extend(benches.iter().map(|b| format!("drop_{b}")));
    head.extend(["rod", "slope", "azimuth", "drains_to"].map(str::to_owned));
    let has_keep_offs = stakes.iter().any(|s| !s.keep_off.is_empty());
    head.extend(has_keep_offs.then(|| "keep_off".to_owned()));
    head.push("notes".to_owned());
    out.row(&head)?;
    for s in stakes {
        let number = |v: Option<f64>, decimals| v.map_or_else(String::new, |v| fixed(v, decimals));
        let mut row = vec![s.stake.clone(), plain(s.northing), plain(s.easting)];
        row.extend(has_areas.then(|| s.area.clone().unwrap_or_default()));
        row.extend([s.existing, s.finish, s.subgrade, s.dig_to, s.cut, s.fill].map(|v| number(v, 4)));
        row.push(s.cut_text.clone().unwrap_or_default());
        row.extend(benches.iter().map(|b| number(s.drop.iter().find(|(n, _)| n == b).map(|&(_, d)| d), 4)));
        row.extend([number(s.rod, 4), number(s.slope, 6), number(s.azimuth, 2)]);
        row.push(s.drains_to.clone().unwrap_or_default());
        row.extend(has_keep_offs.then(|| s.keep_off.join("; ")));
        row.push(s.notes.join("; "));
        out.row(&row)?;
    }
    out.finished()
}

/// One row a layer a stake: `stake,area,layer,top`, layers from the top down.
///
/// # Errors
/// What the encoder says.
pub fn layers(outcome: &Outcome) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row(["stake", "area", "layer", "top"])?;
    for s in outcome.stakes.iter().flatten() {
        for layer in &s.layers {
            out.row([&s.stake, s.area.as_deref().unwrap_or_default(), &layer.name, &fixed(layer.top, 4)])?;
        }
    }
    out.finished()
}

/// Area by area; an area's own row has no layer, below it one row a layer with its volume as placed.
/// Plan areas are in square units, volumes in the outcome's unit of volume, depths in its length.
///
/// # Errors
/// What the encoder says.
pub fn volumes(outcome: &Outcome) -> Result<String, csv::Error> {
    const HEAD: [&str; 14] = [
        "area",
        "section",
        "layer",
        "plan_area",
        "cut",
        "fill",
        "mean_cut",
        "max_cut",
        "max_fill",
        "undercut",
        "over_dig",
        "batter",
        "ring_area",
        "volume",
    ];
    let mut out = Rows::new();
    out.row(HEAD)?;
    for a in outcome.volume.iter().flat_map(|v| &v.areas) {
        let numbers =
            [a.area, a.cut, a.fill, a.mean_cut, a.max_cut, a.max_fill, a.undercut, a.over_dig, a.batter, a.ring_area];
        let mut row = vec![a.name.clone(), a.section.clone(), String::new()];
        row.extend(numbers.map(|v| fixed(v, 4)));
        row.push(String::new());
        out.row(&row)?;
        for layer in &a.layers {
            let mut row = vec![a.name.clone(), a.section.clone(), layer.name.clone()];
            row.extend((3..HEAD.len() - 1).map(|_| String::new()));
            row.push(fixed(layer.volume, 4));
            out.row(&row)?;
        }
    }
    out.finished()
}

/// One row a leg of every run of pipe, downhill; heights and lengths in job units, the fall as rise over run, volumes in the outcome's unit
/// of volume. What others dig has no trench.
///
/// # Errors
/// What the encoder says.
pub fn drains(outcome: &Outcome) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row([
        "drain",
        "leg",
        "from",
        "to",
        "kind",
        "holes",
        "length",
        "fall",
        "inside",
        "outside",
        "invert_up",
        "invert_down",
        "trench_bottom_up",
        "trench_bottom_down",
        "bedding",
        "trench",
        "stone",
        "backfill",
        "fabric",
        "clean_out_up",
        "clean_out_down",
    ])?;
    let yes = |b: bool| if b { "yes" } else { "no" }.to_owned();
    for run in outcome.drainage.iter().flat_map(|d| &d.drains) {
        for (k, leg) in run.legs.iter().enumerate() {
            let [from, to] = [&run.points[k], &run.points[k + 1]];
            let ours = |v: f64| if run.by_others { String::new() } else { fixed(v, 4) };
            let bottoms = run.bottoms(k);
            let mut row = vec![run.name.clone(), (k + 1).to_string(), from.name.clone(), to.name.clone()];
            row.extend([leg.kind.clone(), leg.holes.unwrap_or_default().to_owned()]);
            row.extend([fixed(leg.length, 4), fixed(leg.fall, 6)]);
            row.extend([leg.size, leg.outside, from.invert, to.invert].map(|v| fixed(v, 4)));
            row.extend([0, 1].map(|end| bottoms.map_or_else(String::new, |b| fixed(b[end], 4))));
            row.push(run.bedding.map_or_else(String::new, |v| fixed(v, 4)));
            row.extend([leg.trench, leg.stone, leg.backfill, leg.fabric].map(ours));
            row.extend([from.clean_out, to.clean_out].map(yes));
            out.row(&row)?;
        }
    }
    out.finished()
}

/// One row a truck and material: all that leaves together first, then each material hauled apart.
///
/// # Errors
/// What the encoder says.
pub fn trips(outcome: &Outcome) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row(["material", "truck", "by_volume", "by_payload", "trips", "hours"])?;
    if let Some(h) = &outcome.haul {
        for t in &h.trips {
            let hours = t.hours.or(t.hauling).map_or_else(String::new, |v| fixed(v, 4));
            let [volume, payload, trips] = [t.by_volume, t.by_payload, t.trips].map(|n| n.to_string());
            out.row(["all", &t.truck, &volume, &payload, &trips, &hours])?;
        }
        for m in &h.materials {
            for l in &m.trips {
                out.row([m.material, &l.truck, "", "", &l.trips.to_string(), ""])?;
            }
        }
    }
    out.finished()
}

/// One row an order, then one row each of its parts; a part is not rounded up.
///
/// # Errors
/// What the encoder says.
pub fn orders(outcome: &Outcome) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row(["order", "gradation", "area", "what", "placed", "amount", "unit", "note"])?;
    for o in outcome.haul.iter().flat_map(|h| &h.orders) {
        let gradation = o.gradation.as_deref().unwrap_or("");
        out.row([&o.name, gradation, "", "", "", &fixed(o.amount, 4), &o.unit, &o.note])?;
        for p in &o.parts {
            let placed = p.placed.map_or_else(String::new, |v| fixed(v, 4));
            out.row([&o.name, gradation, &p.area, &p.what, &placed, &fixed(p.amount, 4), &o.unit, ""])?;
        }
    }
    out.finished()
}

/// One row a bend: `line,level,closed,northing,easting`, places to the millionth.
///
/// # Errors
/// What the encoder says.
pub fn contours(lines: &[LineOut]) -> Result<String, csv::Error> {
    let mut out = Rows::new();
    out.row(["line", "level", "closed", "northing", "easting"])?;
    for (k, line) in lines.iter().enumerate() {
        for &(n, e) in &line.points {
            let closed = if line.closed { "yes" } else { "no" };
            out.row([&(k + 1).to_string(), &plain(line.level), closed, &fixed(n, 6), &fixed(e, 6)])?;
        }
    }
    out.finished()
}

/// A typed number as it was typed: the shortest text that reads back the same.
fn plain(value: f64) -> String {
    format!("{value}")
}

/// A table as it is written, row by row.
pub(super) struct Rows(csv::Writer<Vec<u8>>);

impl Rows {
    pub(super) fn new() -> Self {
        Self(csv::Writer::from_writer(Vec::new()))
    }

    pub(super) fn row<C: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = C>) -> Result<(), csv::Error> {
        for cell in cells {
            let cell = cell.as_ref();
            let is_formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) && cell.parse::<f64>().is_err();
            if is_formula { self.0.write_field(format!("'{cell}"))? } else { self.0.write_field(cell)? }
        }
        self.0.write_record(None::<&[u8]>)
    }

    pub(super) fn finished(self) -> Result<String, csv::Error> {
        let bytes = self.0.into_inner().map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))?;
        String::from_utf8(bytes).map_err(|e| csv::Error::from(std::io::Error::other(e.to_string())))
    }
}
