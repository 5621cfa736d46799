//! What must hold, whatever bytes come in? One body for each target: it takes bytes and panics where a law is broken.
//!
//! Readers: a value or complaints, never both, never neither; what was read keeps its promises (finite heights, unique names and
//! places); complaints can be printed; what can be worked out has no number that is none. Noding: edges that meet only at their
//! ends. Overlay: the laws of a surface, areas, and cut against fill with the surfaces exchanged.
//!
//! Used by the fuzz targets in `targets/` and by the ordinary tests in `main.rs`; so small inputs stand for all.
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bytes and small counts")]

use serde_json::Value;
use spadework::finding::Refusal;
use spadework::job::{Levels, Outcome, Parts, bare_contours, compare, evaluate_site, usual_shot_error};
use spadework::level::Rods;
use spadework::outline::noding::{Point, Segment, node};
use spadework::par::silent;
use spadework::read::job::{JobText, referenced};
use spadework::read::{
    Around, Complaint, Complaints, Lines, Reducing, Source, Survey, read_both, read_cores, read_lines, read_notes,
    read_places, read_rings, read_shots,
};
use spadework::shots::{Frame, Grid, Kind, Shots, Way};
use spadework::surface::{Breakline, Cells, LinePoint, Region, Surface, Unbuildable};
use spadework::units::{Elevation, Length, LengthUnit};
use spadework::volume::{area_inside, overlay as over};
use spadework::write::{json, report};
use std::collections::{HashMap, HashSet};

/// Bytes to a broken law, or to nothing.
pub type Body = fn(&[u8]);

/// Every target by name; `corpus/` has a folder for each.
pub const ALL: [(&str, Body); 4] = [("tables", tables), ("job", job), ("noding", noding), ("overlay", overlay)];

/// What stands between two files of one input, before the name of the second.
pub const NEXT_FILE: &str = "\n=== ";

/// More shots than this are read but not worked out.
const MOST: usize = 300;

/// The files of an input: first one without a name, then name and text.
pub fn files(data: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut starts = vec![(0, 0)];
    let mark = NEXT_FILE.as_bytes();
    starts.extend(data.windows(mark.len()).enumerate().filter(|(_, w)| *w == mark).map(|(k, _)| (k, k + mark.len())));
    let ends = starts.iter().skip(1).map(|s| s.0).chain([data.len()]);
    let parts = starts.iter().zip(ends).map(|(s, end)| &data[s.1.min(end)..end]);
    parts
        .enumerate()
        .map(|(k, part)| {
            let head = if k == 0 { 0 } else { part.iter().position(|&b| b == b'\n').map_or(part.len(), |p| p + 1) };
            (String::from_utf8_lossy(&part[..head]).trim().to_owned(), part[head..].to_vec())
        })
        .collect()
}

// Tables.

/// Any file as every kind of table; the first as a survey with the second as its breaklines and the third as a limit.
pub fn tables(data: &[u8]) {
    let opened: Vec<Result<Source, Complaint>> =
        files(data).into_iter().take(3).map(|(_, bytes)| Source::read("table.csv", bytes)).collect();
    for source in opened.iter() {
        match source {
            Ok(source) => each_kind(source),
            Err(complaint) => assert!(!complaint.render(&[]).is_empty()),
        }
    }
    let mut all = Complaints::default();
    let part = |k: usize| opened.get(k).and_then(|s| s.as_ref().ok());
    let Some(survey) = part(0).and_then(|s| read_shots(s, "survey", LengthUnit::Foot, &mut all)) else { return };
    let lines = part(1).and_then(|s| read_lines(s, "survey", Some(&survey.shots), &mut all)).unwrap_or_default();
    let limit = part(2).and_then(|s| read_rings(s, &mut all)).map(|l| l.rings);
    if survey.shots.len() <= MOST && lines.lines.len() <= MOST {
        worked_out(&survey, &lines, limit.as_deref());
    }
}

fn worked_out(survey: &Survey, lines: &Lines, limit: Option<&[Vec<(i64, i64)>]>) {
    for unit in [LengthUnit::Foot, LengthUnit::Metre] {
        let with = (&survey.shots, lines.lines.as_slice());
        let bare = (&survey.shots, [].as_slice());
        match compare(with, bare, limit, (unit, usual_shot_error(unit)), &silent) {
            Ok(outcome) => sound(&outcome),
            Err(refusals) => told(&refusals),
        }
        match bare_contours(with, limit, &Levels::Every(0.5), unit) {
            Ok((outcome, contours)) => {
                sound(&outcome);
                assert!(contours.iter().flat_map(|c| &c.points).all(|p| p.0.is_finite() && p.1.is_finite()));
            }
            Err(refusals) => told(&refusals),
        }
    }
}

/// Runs a reader: something was read, or something was complained of that can be printed.
fn read<T>(source: &Source, reader: impl FnOnce(&mut Complaints) -> Option<T>) -> Option<T> {
    let mut complaints = Complaints::default();
    let value = reader(&mut complaints);
    assert_eq!(value.is_some(), complaints.is_empty(), "{}", complaints.render(&[source]));
    assert_eq!(complaints.is_empty(), complaints.render(&[source]).is_empty());
    for mark in complaints.kept().iter().flat_map(|c| &c.marks) {
        assert!(mark.span.start <= mark.span.end, "{:?}", mark.span);
    }
    value
}

fn each_kind(source: &Source) {
    let survey = read(source, |c| read_shots(source, "survey", LengthUnit::Foot, c));
    if let Some(survey) = &survey {
        promised(&survey.shots);
    }
    if let Some((a, b)) = read(source, |c| read_both(source, LengthUnit::Foot, c)) {
        promised(&a.shots);
        promised(&b.shots);
    }
    if let Some(limit) = read(source, |c| read_rings(source, c)) {
        assert!(limit.rings.iter().all(|ring| ring.len() > 2 && ring.first() != ring.last()));
    }
    let mut none = Complaints::default();
    for shots in [None, survey.as_ref().map(|s| &s.shots)] {
        // Without shots a line by names cannot be read, and that is not its fault.
        if let Some(lines) = read_lines(source, "survey", shots, &mut none) {
            assert!(shots.is_none() || lines.lines.iter().all(|l| l.points.len() > 1 && lines.span(&l.name).is_some()));
        }
    }
    let cores = read(source, |c| read_cores(source, LengthUnit::Foot, c)).unwrap_or_default();
    for core in cores.0 {
        let ends = core.layers.windows(2).all(|w| w[0].to == w[1].from);
        assert!(ends && core.layers.iter().all(|l| l.from < l.to), "{core:?}");
    }
    let places = read(source, |c| read_places(source, c)).unwrap_or_default();
    let grid = Grid::new("A1", (0, 0), 4.0, Way::North, Way::East).expect("a grid");
    let benches = [("TBM", Some(Elevation::in_job_units(50.0))), ("BM1", Some(Elevation::in_job_units(100.0)))];
    for (grid, rods) in
        [(None, Rods::Tenths), (Some(&grid), Rods::Tenths), (None, Rods::Inches), (Some(&grid), Rods::Metres)]
    {
        let reducing = Reducing {
            unit: LengthUnit::Foot,
            rods,
            benches: &benches,
            allowed: grid.map(|_| Length::in_job_units(0.02)),
            by_distance: rods == Rods::Inches,
            sides_with_backsight: grid.is_some(),
        };
        let around = Around { reducing, grid, places: &places };
        if let Some(levelled) = read(source, |c| read_notes(source, &around, c)) {
            promised(&levelled.shots);
        }
    }
}

/// What the readers promise of shots.
fn promised(shots: &Shots) {
    let (mut names, mut places) = (HashSet::new(), HashSet::new());
    for row in 0..shots.len() {
        assert!(shots.elevation[row].is_finite(), "row {row}: {}", shots.elevation[row]);
        assert!(shots.northing[row].unsigned_abs().max(shots.easting[row].unsigned_abs()) < 1 << 53);
        assert!(names.insert(shots.names.get(row)), "{} twice", shots.names.get(row));
    }
    for row in shots.ground_rows() {
        let place = (shots.northing[row], shots.easting[row]);
        assert!(places.insert(place), "{place:?} twice");
    }
}

fn told(refusals: &[Refusal]) {
    assert!(!refusals.is_empty());
    assert!(refusals.iter().all(|r| !r.found.is_empty() && !r.expected.is_empty() && !r.help.is_empty()));
}

/// No number that is none: what was not computed is left out of the JSON, so `null` is NaN or endless.
fn sound(outcome: &Outcome) {
    fn none(value: &Value) -> bool {
        match value {
            Value::Null => true,
            Value::Array(all) => all.iter().any(none),
            Value::Object(all) => all.values().any(none),
            _ => false,
        }
    }
    let text = json::text(outcome).expect("an outcome is written");
    assert!(!none(&serde_json::from_str(&text).expect("JSON is read")), "{text}");
    assert!(!report::text(outcome).is_empty());
}

// Jobs.

/// A job file and, each behind its name, the tables it refers to.
pub fn job(data: &[u8]) {
    let mut all = files(data).into_iter();
    let Some((_, text)) = all.next() else { return };
    let Ok(source) = Source::read("job.toml", text) else { return };
    let Some(text) = read_whole(&source) else { return };
    let files: HashMap<String, Source> =
        all.filter_map(|(name, bytes)| Some((name.clone(), Source::read(name, bytes).ok()?))).collect();
    let mut complaints = Complaints::default();
    let named: HashMap<String, Source> =
        text.files().filter_map(|name| Some((name.to_owned(), files.get(name)?.clone()))).collect();
    let sources: Vec<&Source> = [&source].into_iter().chain(named.values()).collect();
    let Some((job, spans)) = text.read(&named, &mut complaints) else {
        // The first step may have complained of everything there is.
        assert_eq!(complaints.is_empty(), complaints.render(&sources).is_empty());
        return;
    };
    assert!(complaints.is_empty(), "{}", complaints.render(&sources));
    promised(&job.existing);
    if job.existing.len() > MOST {
        return;
    }
    match evaluate_site(&job, Parts::ALL, &silent) {
        Ok(outcome) => sound(&outcome),
        Err(refusals) => {
            told(&refusals);
            for refusal in &refusals {
                assert!(!spans.describe(refusal, &source, &named).render(&sources).is_empty());
            }
        }
    }
}

/// The first step, which goes on with a text it complained of.
fn read_whole(source: &Source) -> Option<JobText> {
    let mut complaints = Complaints::default();
    let text = referenced(source, &mut complaints);
    assert!(text.is_some() || !complaints.is_empty());
    assert_eq!(complaints.is_empty(), complaints.render(&[source]).is_empty());
    text
}

// Noding.

/// Bytes one by one; none left is 0.
struct Bytes<'a>(std::slice::Iter<'a, u8>);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        self.0.next().copied().unwrap_or(0)
    }

    fn next(&mut self) -> i64 {
        i64::from(self.byte())
    }

    /// One of these.
    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[usize::from(self.byte()) % from.len()]
    }

    fn is_empty(&self) -> bool {
        self.0.len() == 0
    }
}

/// A scale, a count of points (two bytes each), then pairs of their numbers.
pub fn noding(data: &[u8]) {
    let mut bytes = Bytes(data.iter());
    let scale = bytes.pick(&[1, 2, 7, 250_000, 999_983]);
    let span = bytes.pick(&[8, 20, 64, 256]);
    let count = 3 + bytes.next() % 40;
    let mut known = HashSet::new();
    let mut points = Vec::new();
    for _ in 0..count {
        let place = (bytes.next() % span * scale, bytes.next() % span * scale);
        if known.insert(place) {
            points.push(Point { place, height: 0.0, is_shot: points.len() % 2 == 0 });
        }
    }
    let mut segments = Vec::new();
    let many = u32::try_from(points.len()).expect("few");
    while !bytes.is_empty() && segments.len() < 60 {
        let ends = [0, 1].map(|_| u32::from(bytes.byte()) % many);
        segments.push(Segment { ends, line: u32::try_from(segments.len()).expect("few") });
    }
    let noded = node(&points, &segments, 0.0, 3).expect("comes to an end");
    let all: Vec<(i64, i64)> = points.iter().chain(&noded.nodes).map(|p| p.place).collect();
    let distinct: HashSet<_> = all.iter().collect();
    assert_eq!(distinct.len(), all.len(), "two points at one place");
    if let Some(fault) = unclean(&all, &noded.edges) {
        panic!("{fault}");
    }
    assert!(noded.clashes.is_empty() && noded.bent.is_empty(), "all at one height");
    let back: Vec<Segment> = segments.iter().rev().map(|s| Segment { ends: [s.ends[1], s.ends[0]], ..*s }).collect();
    assert_eq!(node(&points, &back, 0.0, 3).expect("comes to an end").edges, noded.edges, "the order matters");
    // A line is still there: its ends are joined by pieces that keep near it.
    for s in segments.iter().filter(|s| s.ends[0] != s.ends[1]) {
        assert!(is_joined(&all, &noded.edges, s.ends), "{s:?} is gone");
    }
}

/// Whether pieces no farther than a few units from the straight way lead from one end to the other.
fn is_joined(places: &[(i64, i64)], edges: &[[u32; 2]], ends: [u32; 2]) -> bool {
    // Each round bends by less than one; where points stand side by side, rounds add up: five were seen.
    const BENT: f64 = 16.0;
    let [a, b] = ends.map(|e| places[e as usize]);
    let whole = along(a, b, b) as f64;
    let is_near = |v: u32| {
        let p = places[v as usize];
        let off = turned(a, b, p).unsigned_abs() as f64 / whole.sqrt();
        let part = along(a, b, p) as f64 / whole.sqrt();
        off <= BENT && part >= -BENT && part <= whole.sqrt() + BENT
    };
    let near: Vec<bool> = (0_u32..).take(places.len()).map(is_near).collect();
    let pieces: Vec<[usize; 2]> =
        edges.iter().map(|e| e.map(|v| v as usize)).filter(|e| near[e[0]] && near[e[1]]).collect();
    let mut reached = vec![false; places.len()];
    reached[ends[0] as usize] = true;
    let mut is_growing = true;
    while is_growing {
        is_growing = false;
        for &[p, q] in &pieces {
            if reached[p] != reached[q] {
                (reached[p], reached[q], is_growing) = (true, true, true);
            }
        }
    }
    reached[ends[1] as usize]
}

/// Twice the area of a triangle, exact.
fn turned(a: (i64, i64), b: (i64, i64), c: (i64, i64)) -> i128 {
    let d = |p: i64, q: i64| i128::from(q) - i128::from(p);
    d(a.1, b.1) * d(a.0, c.0) - d(a.0, b.0) * d(a.1, c.1)
}

fn along(a: (i64, i64), b: (i64, i64), p: (i64, i64)) -> i128 {
    let d = |u: i64, v: i64| i128::from(v) - i128::from(u);
    d(a.0, b.0) * d(a.0, p.0) + d(a.1, b.1) * d(a.1, p.1)
}

/// Every pair of edges and every point tried: the first that cross, overlap, or pass through it.
pub fn unclean(places: &[(i64, i64)], edges: &[[u32; 2]]) -> Option<String> {
    let at = |v: u32| places[v as usize];
    for (k, s) in edges.iter().enumerate() {
        let [a, b] = s.map(at);
        let (low, high) = ((a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1)));
        let is_beside = |p: (i64, i64)| p.0 < low.0 || p.0 > high.0 || p.1 < low.1 || p.1 > high.1;
        for (v, &p) in (0_u32..).zip(places).filter(|(v, _)| !s.contains(v)) {
            if !is_beside(p) && turned(a, b, p) == 0 {
                return Some(format!("edge {s:?} passes through {v} at {p:?}"));
            }
        }
        for t in &edges[k + 1..] {
            let [c, d] = t.map(at);
            let sign = |p, q, r| turned(p, q, r).signum();
            if sign(a, b, c) * sign(a, b, d) < 0 && sign(c, d, a) * sign(c, d, b) < 0 {
                return Some(format!("edge {s:?} crosses {t:?}"));
            }
            if s == t {
                return Some(format!("edge {s:?} is there twice"));
            }
        }
    }
    None
}

// Overlay.

/// A scale and a unit; for each of two surveys shots of three bytes and lines; what is left is a ring.
pub fn overlay(data: &[u8]) {
    let mut bytes = Bytes(data.iter());
    let scale = bytes.pick(&[1_000_000, 250_000, 333_333, 1]);
    let unit = bytes.pick(&[LengthUnit::Foot, LengthUnit::Metre]);
    let [one, other] = [0, 1].map(|_| survey(&mut bytes, scale));
    let frame = Frame::of(&[&one.0, &other.0]);
    let (Some(a), Some(b)) = (built(&one, unit, frame), built(&other, unit, frame)) else { return };
    let there = over(&a, &b, None, &silent);
    let back = over(&b, &a, None, &silent);
    assert_eq!(there, back.swapped(), "exchanged");
    let (whole_a, whole_b) = (a.net().area(), b.net().area());
    let slack = 1e-9 * (whole_a + whole_b);
    let all = [there.cut, there.fill, there.area, there.max_cut, there.max_fill];
    assert!(all.iter().all(|v| v.is_finite() && *v >= 0.0), "{there:?}");
    assert!(there.cut_area >= -slack && there.fill_area >= -slack, "{there:?}");
    assert!(there.unclosed.abs() <= slack, "{there:?}");
    assert!(there.cut_area + there.fill_area <= there.area + slack, "{there:?}");
    assert!(there.area <= whole_a.min(whole_b) + slack, "{there:?} of {whole_a} and {whole_b}");
    assert!(there.cut <= there.max_cut * there.area * (1.0 + 1e-9) + slack, "{there:?}");
    // Cut less fill does not depend on where the two cross: lowered by three it grows by three over all the area.
    let lower = over(&a, &b.lowered(3.0), None, &silent);
    let grown = (lower.cut - lower.fill) - (there.cut - there.fill);
    assert!((grown - 3.0 * there.area).abs() <= 1e-8 * (1.0 + lower.cut + lower.fill), "{grown} over {}", there.area);
    let own = over(&a, &a, None, &silent);
    assert!((own.area - whole_a).abs() <= slack && own.cut + own.fill <= 1e-9 * (1.0 + whole_a), "{own:?}");
    for line in a.contours(&[0.5, 1.0, 3.3]) {
        assert!(line.points.iter().flatten().all(|v| v.is_finite()));
    }
    let ring: Vec<(i64, i64)> =
        (0..3 + bytes.next() % 5).map(|_| (bytes.next() % 20 * scale, bytes.next() % 20 * scale)).collect();
    if let Ok(region) = Region::new(&[ring], frame) {
        let inside = over(&a, &b, Some(&region), &silent);
        assert!(inside.area <= region.area().min(there.area) + slack, "{inside:?}");
        assert!(
            inside.cut <= there.cut + 1e-9 * (1.0 + there.cut) && inside.fill <= there.fill + 1e-9 * (1.0 + there.fill)
        );
        assert!(area_inside(&a, Some(&region)) <= region.area() + slack);
    }
}

/// Shots and lines. Heights at random often are two at one place, so half of the surveys have one plane, some with shots off it.
fn survey(bytes: &mut Bytes<'_>, scale: i64) -> (Shots, Vec<Breakline>) {
    let (slope, lines) = (bytes.next(), bytes.next() % 5);
    let height = |bytes: &mut Bytes<'_>, (n, e): (i64, i64)| {
        let plane = (n + 3 * e + 7 * (slope % 7)) as f64 / 8.0;
        let other = (bytes.next() % 50) as f64 / 10.0;
        if slope < 128 { plane } else { other }
    };
    let place = |bytes: &mut Bytes<'_>| (bytes.next() % 20, bytes.next() % 20);
    let mut shots = Shots::default();
    let mut known = HashSet::new();
    for k in 0..3 + bytes.next() % 16 {
        let at = place(bytes);
        let off = if slope % 4 == 0 && bytes.next() > 200 { 1.3 } else { 0.0 };
        let height = height(bytes, at) + off;
        if known.insert(at) {
            shots.push(&k.to_string(), at.0 * scale, at.1 * scale, height, Kind::Ground);
        }
    }
    let point = |bytes: &mut Bytes<'_>| match bytes.byte() {
        b if b < 160 => LinePoint::Shot(usize::from(b) % shots.len()),
        _ => {
            let at = place(bytes);
            LinePoint::At(at.0 * scale, at.1 * scale, height(bytes, at))
        }
    };
    let lines = (0..lines).map(|k| {
        let points = (0..2 + bytes.next() % 4).map(|_| point(bytes)).collect();
        Breakline { name: k.to_string(), points }
    });
    let lines = lines.collect();
    (shots, lines)
}

/// The surface of a survey, its laws tried; nothing where a survey may be refused.
fn built((shots, lines): &(Shots, Vec<Breakline>), unit: LengthUnit, frame: Frame) -> Option<Surface> {
    match Surface::build_along(shots, lines, unit, frame, Cells::Nodes) {
        Ok((surface, asked)) => {
            assert_eq!(surface.check(), Ok(()));
            assert!(asked.bent.iter().all(|b| b.shot.is_some()));
            Some(surface)
        }
        Err(Unbuildable::TwoHeights(all)) => {
            assert!(!all.is_empty() && all.iter().all(|t| t.heights[0] < t.heights[1]), "{all:?}");
            None
        }
        Err(Unbuildable::TooFew(_) | Unbuildable::OnOneLine) => None,
        Err(why) => panic!("{why}"),
    }
}
