//! The whole dig: every area's finish and subgrade as planes, what is dug past the edges, and the steps between areas.

use super::convex::{Convex, inside, minus, split};
use super::outlines::{Node, Settled, middle, overlaps, settle};
use super::plane::Plane;
use super::said::{Area, Fall, Finish, Place, Said, Section, Toward};
use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{Frame, MICRO};
use crate::surface::{Region, Triangle, off};
use crate::units::{Elevation, LengthUnit, fixed};
use std::collections::HashMap;

/// The dig.
#[derive(Debug)]
pub struct Dig<'a> {
    /// What was said.
    pub said: &'a Said,
    /// The areas, in the order of the file.
    pub areas: Vec<Dug<'a>>,
    /// What is dug past the edges: disjoint, outside all areas.
    pub rings: Vec<Ring>,
    /// Where the subgrades of two areas stand at different heights along a common edge.
    pub steps: Vec<Step>,
    frame: Frame,
}

/// One area of the dig.
#[derive(Debug)]
pub struct Dug<'a> {
    /// What was said of it.
    pub said: &'a Area,
    /// Its build-up.
    pub section: &'a Section,
    /// Its rings with the neighbours' corners in them.
    pub outline: Settled,
    /// Its ground.
    pub region: Region,
    /// Finished grade.
    pub finish: Plane,
    /// Top of firm ground under the build-up.
    pub subgrade: Plane,
    /// Allowance less proud stone: how much higher than subgrade the bucket stops.
    pub stop_above: f64,
}

/// A convex piece of digging past an edge.
#[derive(Clone, Debug)]
pub struct Ring {
    /// The area it belongs to.
    pub area: usize,
    /// Its corners in the frame, counter-clockwise.
    pub piece: Vec<[f64; 2]>,
    /// What it is dug to.
    pub floor: Plane,
}

/// A common edge of two areas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The areas, the earlier first.
    pub areas: [usize; 2],
    /// Its ends.
    pub ends: [Place; 2],
    /// Subgrade of the first less that of the second at each end.
    pub heights: [f64; 2],
}

impl<'a> Dig<'a> {
    /// Works out the dig.
    ///
    /// # Errors
    /// Everything that cannot be: overlaps, falls that do not fit, edges that are not common.
    pub fn new(
        said: &'a Said,
        frame: Frame,
        unit: LengthUnit,
        cautions: &mut Vec<Caution>,
    ) -> Result<Self, Vec<Refusal>> {
        let mut refusals = Vec::new();
        let outlines = settle(&said.areas, unit, cautions);
        let mut regions = Vec::new();
        for (area, outline) in said.areas.iter().zip(&outlines) {
            let rings: Vec<Vec<Place>> = outline.rings.iter().map(|r| r.iter().map(|n| n.place).collect()).collect();
            match Region::new(&rings, frame) {
                Ok(region) => regions.push(region),
                Err(why) => refusals.push(Refusal {
                    subject: Subject::Area(area.name.clone()),
                    found: why.to_string(),
                    expected: "an outline that encloses ground and does not cross itself".to_owned(),
                    help: "list the corners in order round the area".to_owned(),
                }),
            }
        }
        if !refusals.is_empty() {
            return Err(refusals);
        }
        overlaps(&said.areas, &regions, frame, unit, &mut refusals);
        let owners = owners(&outlines);
        let mut areas: Vec<Dug<'a>> = Vec::new();
        for ((area, outline), region) in said.areas.iter().zip(outlines).zip(regions) {
            let section = &said.sections[area.section];
            let finish = match finish(area, &outline, &region, &areas, said, frame, unit) {
                Ok(plane) => plane,
                Err(refusal) => {
                    refusals.push(refusal);
                    // Something to go on with, so that everything else wrong is found as well.
                    Plane::new(middle(&region), 0.0, [0.0; 2])
                }
            };
            let below = finish.lowered(section.thickness().job_units());
            let subgrade = match area.subgrade {
                None => below,
                Some(fall) => own_fall(&below, rise(&[fall], middle(&region), said, frame), &outline, frame),
            };
            let allowance = section.compaction_allowance.unwrap_or(said.compaction_allowance);
            let stop_above = (allowance - area.proud).job_units();
            areas.push(Dug { said: area, section, outline, region, finish, subgrade, stop_above });
        }
        if !refusals.is_empty() {
            return Err(refusals);
        }
        let rings = rings(&areas, &owners, frame);
        let steps = steps(&areas, &owners, frame);
        Ok(Self { said, areas, rings, steps, frame })
    }

    /// The local frame.
    #[must_use]
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// Areas a place lies in, borders included, in the order of the file.
    #[must_use]
    pub fn at(&self, place: Place) -> Vec<usize> {
        let p = self.frame.local(place.0, place.1);
        (0..self.areas.len()).filter(|&k| self.areas[k].region.closed_holds(p)).collect()
    }
}

impl Dug<'_> {
    /// Triangles of the area at the height of its subgrade.
    pub fn floor(&self) -> impl Iterator<Item = Triangle> + '_ {
        self.region.triangles(|p| self.subgrade.height(p))
    }

    /// What the bucket digs to at a place where the ground is `existing` high: subgrade, plus what is left for compaction, less
    /// driven stone that stays proud, and not above the bottom of topsoil that may not stay.
    #[must_use]
    pub fn dig_to(&self, place: [f64; 2], existing: Option<f64>, strip: f64) -> f64 {
        let wanted = self.subgrade.height(place) + self.stop_above;
        match existing {
            Some(z) if !self.section.topsoil_may_stay => wanted.min(z - strip),
            _ => wanted,
        }
    }

    /// Tops of the layers at a place, top down; an own fall of the subgrade goes to the bottom layer.
    pub fn layer_tops(&self, place: [f64; 2]) -> impl Iterator<Item = (&str, f64)> + '_ {
        let mut top = self.finish.height(place);
        self.section.layers.iter().map(move |layer| {
            let own = top;
            top -= layer.thick.job_units();
            (layer.name.as_str(), own)
        })
    }
}

impl Ring {
    /// Triangles of the piece at the height of its floor.
    pub fn floor_triangles(&self) -> impl Iterator<Item = Triangle> + '_ {
        (1..self.piece.len().saturating_sub(1)).map(|k| {
            let place = [self.piece[0], self.piece[k], self.piece[k + 1]];
            Triangle { place, height: place.map(|p| self.floor.height(p)) }
        })
    }

    /// Its plan area, square job units.
    #[must_use]
    pub fn area(&self) -> f64 {
        super::convex::doubled_area(&self.piece) / (2.0 * MICRO * MICRO)
    }
}

/// Which area lies to the left of each directed edge.
type Owners = HashMap<(Place, Place), usize>;

fn owners(outlines: &[Settled]) -> Owners {
    outlines.iter().enumerate().flat_map(|(k, o)| o.edges().map(move |(a, b)| ((a.place, b), k))).collect()
}

/// Rise along x and y of the frame of one or two falls together.
fn rise(falls: &[Fall], middle: [f64; 2], said: &Said, frame: Frame) -> [f64; 2] {
    let mut sum = [0.0; 2];
    for fall in falls {
        let [dx, dy] = match fall.toward {
            Toward::Azimuth(degrees) => frame.local_direction(compass(degrees)),
            Toward::Place((n, e)) => unit([frame.local(n, e)[0] - middle[0], frame.local(n, e)[1] - middle[1]]),
            Toward::Drain(k) => toward_drain(&said.drains[k], middle, frame),
        };
        sum[0] -= fall.slope.ratio() * dx;
        sum[1] -= fall.slope.ratio() * dy;
    }
    sum
}

/// (East, north) of an azimuth; exact for the four quarters, so that a fall to the north has no east in it.
fn compass(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        d => (d.to_radians().sin(), d.to_radians().cos()),
    }
}

fn unit(d: [f64; 2]) -> [f64; 2] {
    let length = d[0].hypot(d[1]);
    if length > 0.0 { [d[0] / length, d[1] / length] } else { [0.0; 2] }
}

/// Square to the nearest perforated leg (any leg if none is perforated), toward it.
fn toward_drain(drain: &super::said::Drain, from: [f64; 2], frame: Frame) -> [f64; 2] {
    let legs: Vec<([f64; 2], [f64; 2], bool)> = drain
        .nodes
        .windows(2)
        .enumerate()
        .map(|(k, w)| {
            let at = |p: Place| frame.local(p.0, p.1);
            (at(w[0].place), at(w[1].place), drain.perforated.get(k).copied().unwrap_or(false))
        })
        .collect();
    let some = legs.iter().any(|l| l.2);
    let best = legs.iter().filter(|l| l.2 || !some).min_by(|p, q| off(from, p.0, p.1).total_cmp(&off(from, q.0, q.1)));
    let Some(&(a, b, _)) = best else { return [0.0; 2] };
    let along = unit([b[0] - a[0], b[1] - a[1]]);
    let to = [a[0] - from[0], a[1] - from[1]];
    let part = to[0] * along[0] + to[1] * along[1];
    unit([to[0] - part * along[0], to[1] - part * along[1]])
}

/// How far a finish that meets another may be off it along the common edge, job units: half of the last place a height is typed in.
const FIT: f64 = 0.005;

fn finish(
    area: &Area,
    outline: &Settled,
    region: &Region,
    earlier: &[Dug<'_>],
    said: &Said,
    frame: Frame,
    unit: LengthUnit,
) -> Result<Plane, Refusal> {
    let refuse = |found: String, expected: &str, help: &str| Refusal {
        subject: Subject::Area(area.name.clone()),
        found,
        expected: expected.to_owned(),
        help: help.to_owned(),
    };
    match &area.finish {
        Finish::Plane { through, height, falls } => {
            let rise = rise(falls, middle(region), said, frame);
            Ok(Plane::new(frame.local(through.0, through.1), Elevation::job_units(*height), rise))
        }
        Finish::Meets { area: other, down, falls } => {
            let Some(met) = earlier.get(*other) else {
                let found = format!("`meets` an area that is not above `{}` in the file", area.name);
                return Err(refuse(found, "an area above it in the file", "put that area first"));
            };
            let theirs: HashMap<(Place, Place), ()> = met.outline.edges().map(|(a, b)| ((b, a.place), ())).collect();
            let common: Vec<Place> = outline
                .edges()
                .filter(|(a, b)| theirs.contains_key(&(a.place, *b)))
                .flat_map(|(a, b)| [a.place, b])
                .collect();
            let Some(&first) = common.first() else {
                let found = format!("`{}` and `{}` have no edge in common", area.name, met.said.name);
                return Err(refuse(
                    found,
                    "an area with a common edge",
                    "give the finish by `through`, or move the corners together",
                ));
            };
            let wanted = |p: Place| met.finish.height(frame.local(p.0, p.1)) - down.job_units();
            let plane =
                Plane::new(frame.local(first.0, first.1), wanted(first), rise(falls, middle(region), said, frame));
            let worst = common
                .iter()
                .map(|&p| (plane.height(frame.local(p.0, p.1)) - wanted(p), p))
                .max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
            if let Some((gap, (n, e))) = worst.filter(|(gap, _)| gap.abs() > FIT) {
                let found = format!(
                    "its falls leave it {} {} off `{}` at N {}, E {}",
                    fixed(gap.abs(), 3),
                    unit.length(),
                    met.said.name,
                    fixed(crate::shots::from_micro(n), 2),
                    fixed(crate::shots::from_micro(e), 2)
                );
                let help = "give it the other's fall along the common edge, or use `through`";
                return Err(refuse(found, "falls that follow the common edge", help));
            }
            Ok(plane)
        }
    }
}

/// The highest plane of that rise nowhere above `below` on the outline.
fn own_fall(below: &Plane, rise: [f64; 2], outline: &Settled, frame: Frame) -> Plane {
    let corners: Vec<[f64; 2]> = outline.edges().map(|(a, _)| frame.local(a.place.0, a.place.1)).collect();
    let first = corners.first().copied().unwrap_or_default();
    let flat = Plane::new(first, 0.0, rise);
    let height = corners.iter().map(|&p| below.height(p) - flat.height(p)).fold(f64::INFINITY, f64::min);
    Plane::new(first, height, rise)
}

/// Inside angles below 60 degrees are bevelled: the cosine of the turn there.
const SHARPEST: f64 = -0.5;

/// Digging past the edges, clipped by all areas, the lower of two owning what both would dig.
fn rings(areas: &[Dug<'_>], owners: &Owners, frame: Frame) -> Vec<Ring> {
    let ground: Vec<[[f64; 2]; 3]> = areas.iter().flat_map(|a| a.region.triangles(|_| 0.0).map(|t| t.place)).collect();
    let mut out: Vec<Ring> = Vec::new();
    for (k, area) in areas.iter().enumerate() {
        for (piece, floor) in pieces(area, owners, frame) {
            for free in minus(vec![piece], &ground) {
                lay(&mut out, Ring { area: k, piece: free, floor });
            }
        }
    }
    out
}

/// Adds a piece to disjoint ones: where it overlaps, the lower keeps the ground.
fn lay(all: &mut Vec<Ring>, new: Ring) {
    let mut left: Vec<Convex> = vec![new.piece.clone()];
    let mut out = Vec::with_capacity(all.len() + 1);
    for old in all.drain(..) {
        let (shared, apart) = inside(&old.piece, &new.piece);
        let Some(shared) = shared else {
            out.push(old);
            continue;
        };
        let (higher, lower) = split(&shared, |p| old.floor.height(p) - new.floor.height(p));
        // Where they are level the older keeps it.
        let level = shared.iter().all(|&p| (old.floor.height(p) - new.floor.height(p)).abs() <= 1e-12);
        let (higher, lower) = if level { (None, Some(shared)) } else { (higher, lower) };
        if let Some(kept) = &lower {
            left = left.iter().flat_map(|piece| inside(piece, kept).1).collect();
        }
        if higher.is_none() {
            out.push(old);
            continue;
        }
        out.extend(apart.into_iter().chain(lower).map(|piece| Ring { piece, ..old.clone() }));
    }
    out.extend(left.into_iter().map(|piece| Ring { piece, ..new.clone() }));
    *all = out;
}

/// One strip an edge, level across from it, and at each free corner a mitre or bevel at the corner's height.
fn pieces(area: &Dug<'_>, owners: &Owners, frame: Frame) -> Vec<(Convex, Plane)> {
    let Some(over_dig) = &area.said.over_dig else { return Vec::new() };
    let width = over_dig.width.job_units() * MICRO;
    let Some(ring) = area.outline.rings.first().filter(|_| width > 0.0) else { return Vec::new() };
    let at = |n: Node| frame.local(n.place.0, n.place.1);
    let count = ring.len();
    let is_dug = |k: usize| {
        let (a, b) = (ring[k], ring[(k + 1) % count]);
        !over_dig.except.contains(&a.edge) && !owners.contains_key(&(b.place, a.place))
    };
    let along = |k: usize| {
        let (a, b) = (at(ring[k]), at(ring[(k + 1) % count]));
        unit([b[0] - a[0], b[1] - a[1]])
    };
    let mut out = Vec::new();
    for k in (0..count).filter(|&k| is_dug(k)) {
        let (a, b, t) = (at(ring[k]), at(ring[(k + 1) % count]), along(k));
        // Outward of a counter-clockwise ring is to the right.
        let o = [t[1] * width, -t[0] * width];
        let push = |p: [f64; 2], o: [f64; 2]| [p[0] + o[0], p[1] + o[1]];
        let rise = (area.subgrade.height(b) - area.subgrade.height(a)) / ((b[0] - a[0]).hypot(b[1] - a[1]) / MICRO);
        let level_across = Plane::new(a, area.subgrade.height(a), [rise * t[0], rise * t[1]]);
        out.push((vec![a, push(a, o), push(b, o), b], level_across));
        let next = (k + 1) % count;
        let (u, turn) = {
            let u = along(next);
            (u, t[0] * u[1] - t[1] * u[0])
        };
        if is_dug(next) && turn > 1e-9 {
            let cos = t[0] * u[0] + t[1] * u[1];
            let p = [u[1] * width, -u[0] * width];
            let mut corner = vec![b, push(b, o)];
            if cos >= SHARPEST - 1e-9 {
                corner.push(push(b, [(o[0] + p[0]) / (1.0 + cos), (o[1] + p[1]) / (1.0 + cos)]));
            }
            corner.push(push(b, p));
            out.push((corner, Plane::new(b, area.subgrade.height(b), [0.0; 2])));
        }
    }
    out
}

/// Common edges, the stretches of one edge joined where they run on.
fn steps(areas: &[Dug<'_>], owners: &Owners, frame: Frame) -> Vec<Step> {
    let mut out = Vec::new();
    for (k, area) in areas.iter().enumerate() {
        for (a, b) in area.outline.edges() {
            let Some(&other) = owners.get(&(b, a.place)).filter(|&&other| other > k) else { continue };
            let height = |p: Place| {
                let p = frame.local(p.0, p.1);
                area.subgrade.height(p) - areas[other].subgrade.height(p)
            };
            out.push(Step { areas: [k, other], ends: [a.place, b], heights: [height(a.place), height(b)] });
        }
    }
    out
}

impl Step {
    /// Where along it the two subgrades cross, as a part from its first end, if they do.
    #[must_use]
    pub fn crossing(&self) -> Option<f64> {
        let [a, b] = self.heights;
        (a * b < 0.0).then(|| a / (a - b))
    }
}
