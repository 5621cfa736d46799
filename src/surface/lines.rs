//! Which edges may the surface not bridge?
//!
//! Breaklines: the top and foot of a bank, a curb, a wall. Each runs through shots, through places with heights of their own,
//! or both; where lines cross, touch or overlap they are parted ([`crate::outline::noding`]) and every piece becomes an edge of the
//! net. A place of a line that is not a shot becomes a vertex, so does every crossing.
//!
//! One place has one height: two lines that meet at two heights, or a line's place on a shot at another height, are told and nothing
//! is built. A vertical face is two lines a little apart, one at each height.

use super::OPEN;
use super::build::{Site, Unbuildable};
use crate::outline::Place;
use crate::outline::noding::{Clash, Noded, Point, Segment, node};
use crate::shots::{Frame, Shots};
use crate::units::LengthUnit;
use std::collections::HashMap;

/// A line the surface may not bridge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breakline {
    /// What it is called.
    pub name: String,
    /// Through these in turn; a closed line ends where it began.
    pub points: Vec<LinePoint>,
}

/// A point of a breakline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LinePoint {
    /// A ground shot, by its row in the survey.
    Shot(usize),
    /// A place (northing, easting, whole millionths) with a height of its own.
    At(i64, i64, f64),
}

/// A place of a line or between lines with two heights.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoHeights {
    /// Northing and easting, in the job's unit.
    pub place: (f64, f64),
    /// The lower and the higher.
    pub heights: [f64; 2],
    /// The lines that meet there, by number; the same twice where a line meets itself or a shot.
    pub lines: [usize; 2],
    /// Row of the shot they meet at, if it is one.
    pub shot: Option<usize>,
}

/// Lines made ready to be kept by a triangulation.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// Crossings: place in the frame and height, numbered behind the sites.
    pub nodes: Vec<([f64; 2], f64)>,
    /// Edges between sites and nodes.
    pub edges: Vec<[u32; 2]>,
    /// What to ask about.
    pub asked: Asked,
}

/// What there is to ask about lines and the shots by them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// Lines that pass through a shot at another height than its own; the shot's counts.
    pub bent: Vec<TwoHeights>,
    /// Lines that pass a shot within [`same_place`] and do not take it in: line and row.
    pub near: Vec<(usize, usize)>,
}

/// Heights no farther apart than this are one: half of the last place a height is typed in, 0.005 ft (2 mm).
#[must_use]
pub fn same_height(unit: LengthUnit) -> f64 {
    if unit == LengthUnit::Metre { 0.002 } else { 0.005 }
}

/// Places nearer than this are easily meant to be one, whole millionths: 0.02 ft (5 mm). Two lines for a vertical face are so far apart.
#[must_use]
pub fn same_place(unit: LengthUnit) -> u32 {
    if unit == LengthUnit::Metre { 5_000 } else { 20_000 }
}

/// The places of lines that are no shots, each once, as sites for the net.
pub(super) fn sites(
    shots: &Shots,
    lines: &[Breakline],
    frame: Frame,
    unit: LengthUnit,
) -> Result<Vec<Site>, Unbuildable> {
    let places = || {
        lines.iter().enumerate().flat_map(|(k, line)| {
            line.points
                .iter()
                .filter_map(move |p| if let LinePoint::At(n, e, z) = *p { Some(((n, e), z, k)) } else { None })
        })
    };
    let same = same_height(unit);
    if places().next().is_none() {
        return Ok(Vec::new());
    }
    let shot: HashMap<(i64, i64), usize> =
        shots.ground_rows().map(|r| ((shots.northing[r], shots.easting[r]), r)).collect();
    let mut all: Vec<_> = places().collect();
    all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut out = Vec::new();
    let mut clashes = Vec::new();
    for group in all.chunk_by(|a, b| a.0 == b.0) {
        let [(place, low, one), .., (_, high, other)] = *group else {
            let ((n, e), z, k) = group[0];
            match shot.get(&(n, e)) {
                Some(&row) if (shots.elevation[row] - z).abs() > same => {
                    let heights = [z.min(shots.elevation[row]), z.max(shots.elevation[row])];
                    clashes.push(two_heights(frame, frame.local(n, e), heights, [k, k], Some(row)));
                }
                Some(_) => {}
                None => out.push(Site { place: frame.local(n, e), height: z, row: OPEN }),
            }
            continue;
        };
        let row = shot.get(&place).copied();
        let (low, high) = row.map_or((low, high), |r| (low.min(shots.elevation[r]), high.max(shots.elevation[r])));
        if high - low > same {
            clashes.push(two_heights(frame, frame.local(place.0, place.1), [low, high], [one, other], row));
        } else if row.is_none() {
            out.push(Site { place: frame.local(place.0, place.1), height: f64::midpoint(low, high), row: OPEN });
        }
    }
    if clashes.is_empty() { Ok(out) } else { Err(Unbuildable::TwoHeights(clashes)) }
}

/// Parts the lines over the sites of the net, which are in its own order.
pub(super) fn kept(sites: &[Site], lines: &[Breakline], frame: Frame, unit: LengthUnit) -> Result<Kept, Unbuildable> {
    let by_row: HashMap<usize, u32> = (0_u32..).zip(sites).filter_map(|(v, s)| Some((s.row()?, v))).collect();
    let by_place: HashMap<Place, u32> = (0_u32..).zip(sites).map(|(v, s)| (whole(s.place), v)).collect();
    let number = |p: &LinePoint| match *p {
        LinePoint::Shot(row) => by_row.get(&row).copied(),
        LinePoint::At(n, e, _) => by_place.get(&whole(frame.local(n, e))).copied(),
    };
    let mut segments = Vec::new();
    for (line, l) in (0_u32..).zip(lines) {
        let mut last = None;
        for to in l.points.iter().filter_map(number) {
            segments.extend(last.replace(to).map(|from| Segment { ends: [from, to], line }));
        }
    }
    let points: Vec<Point> =
        sites.iter().map(|s| Point { place: whole(s.place), height: s.height, is_shot: s.row().is_some() }).collect();
    let Noded { nodes, edges, clashes, bent, near } =
        node(&points, &segments, same_height(unit), same_place(unit)).map_err(|_| Unbuildable::Tangled)?;
    let told = |c: &Clash| {
        let row = c.shot.and_then(|v| sites.get(v as usize)).and_then(Site::row);
        two_heights(frame, broken(c.place), c.heights, c.lines.map(|l| l as usize), row)
    };
    if !clashes.is_empty() {
        return Err(Unbuildable::TwoHeights(clashes.iter().map(told).collect()));
    }
    let nodes = nodes.iter().map(|p| (broken(p.place), p.height)).collect();
    let near = near.iter().filter_map(|&(line, v)| Some((line as usize, sites.get(v as usize)?.row()?))).collect();
    Ok(Kept { nodes, edges, asked: Asked { bent: bent.iter().map(told).collect(), near } })
}

fn two_heights(frame: Frame, place: [f64; 2], heights: [f64; 2], lines: [usize; 2], shot: Option<usize>) -> TwoHeights {
    TwoHeights { place: frame.site(place), heights, lines, shot }
}

/// A vertex of the frame as a whole place; all that lines are made of are whole.
#[expect(clippy::cast_possible_truncation, reason = "places of a frame are whole millionths below 2^53")]
fn whole(p: [f64; 2]) -> Place {
    (p[1] as i64, p[0] as i64)
}

fn broken(p: Place) -> [f64; 2] {
    [p.1 as f64, p.0 as f64]
}
