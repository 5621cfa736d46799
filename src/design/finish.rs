//! What is the finished grade of an area?
//!
//! A plane through a place or along a neighbour's edge; a net over graded spots; the shape of the ground so much lower; or the plane
//! nearest to the ground.

use super::dig::Dug;
use super::fit::{Fitted, Slopes, fit};
use super::grade::Grade;
use super::outlines::{Settled, middle};
use super::plane::Plane;
use super::said::{Area, Drain, Fall, Finish, Place, Said, Toward};
use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{Frame, MICRO, Shots, from_micro};
use crate::surface::{Breakline, Cells, LinePoint, Region, Surface, Triangle, Unbuildable, off, same_place};
use crate::units::{Elevation, Length, LengthUnit, fixed};
use std::collections::HashMap;

/// Rise along x and y of the frame of one or two falls together.
pub(super) fn rise(falls: &[Fall], middle: [f64; 2], said: &Said, frame: Frame) -> [f64; 2] {
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

pub(super) fn unit(d: [f64; 2]) -> [f64; 2] {
    let length = d[0].hypot(d[1]);
    if length > 0.0 { [d[0] / length, d[1] / length] } else { [0.0; 2] }
}

/// Square to the nearest perforated leg (any leg if none is perforated), toward it.
fn toward_drain(drain: &Drain, from: [f64; 2], frame: Frame) -> [f64; 2] {
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

/// What a finish is worked out from.
pub(super) struct Around<'a> {
    pub said: &'a Said,
    /// The ground, if it could be built.
    pub existing: Option<&'a Surface>,
    /// Areas further up in the file.
    pub earlier: &'a [Dug<'a>],
    pub frame: Frame,
    pub unit: LengthUnit,
}

/// An area while its finish is worked out.
pub(super) struct Laid<'a> {
    pub area: &'a Area,
    pub outline: &'a Settled,
    pub region: &'a Region,
}

impl Laid<'_> {
    fn refusal(&self, found: String, expected: &str, help: &str) -> Refusal {
        let subject = Subject::Area(self.area.name.clone());
        Refusal { subject, found, expected: expected.to_owned(), help: help.to_owned() }
    }

    /// What a corner is called.
    fn corner(&self, ring: usize, corner: usize) -> String {
        let name = self.area.corner_names.get(corner).filter(|_| ring == 0).cloned();
        name.unwrap_or_else(|| match ring {
            0 => format!("{}.{}", self.area.code, corner + 1),
            _ => format!("corner {} of hole {ring}", corner + 1),
        })
    }
}

/// The finished grade of an area; everything that is wrong with it.
pub(super) fn finish(laid: &Laid<'_>, around: &Around<'_>, cautions: &mut Vec<Caution>) -> Result<Grade, Vec<Refusal>> {
    let (said, frame) = (around.said, around.frame);
    match &laid.area.finish {
        Finish::Plane { through, height, falls } => {
            let rise = rise(falls, middle(laid.region), said, frame);
            Ok(Grade::Plane(Plane::new(frame.local(through.0, through.1), Elevation::job_units(*height), rise)))
        }
        Finish::Meets { area, down, falls } => {
            meets(laid, around, *area, *down, falls).map(Grade::Plane).map_err(|r| vec![r])
        }
        Finish::Spots { shots, lines } => spots(laid, around, shots, lines, cautions),
        Finish::Follow { down } => {
            let ground = ground_under(laid, around)?;
            Ok(Grade::Net(ground.lowered(down.job_units())))
        }
        Finish::Fit { fall, slopes } => {
            let ground = ground_under(laid, around)?;
            let slopes = match fall {
                Some(fall) => Slopes::Given(rise(&[*fall], middle(laid.region), said, frame)),
                None => Slopes::Between(slopes.map(|s| s.map(crate::units::Slope::ratio))),
            };
            match fit(&Grade::Net(ground.clone()).pieces(laid.region), slopes) {
                Fitted::Plane(plane) => Ok(Grade::Plane(plane)),
                Fitted::NoDirection => Err(vec![laid.refusal(
                    "ground that leans no way, and a least fall".to_owned(),
                    "a direction for the fall",
                    "say `toward` beside `fall`",
                )]),
            }
        }
    }
}

/// The ground an area follows or is fitted to, which must be under all of it.
fn ground_under<'a>(laid: &Laid<'_>, around: &Around<'a>) -> Result<&'a Surface, Vec<Refusal>> {
    // Ground that could not be built is complained of by whoever built it.
    let Some(ground) = around.existing else { return Err(Vec::new()) };
    let pieces = Grade::Net(ground.clone()).pieces(laid.region);
    let covered = crate::surface::sum(pieces.iter().map(Triangle::doubled_area)) / (2.0 * MICRO * MICRO);
    let missing = laid.region.area() - covered;
    if missing > 1e-6 * laid.region.area() {
        let found = format!("{} {} of it without ground to go by", fixed(missing, 1), around.unit.area());
        return Err(vec![laid.refusal(
            found,
            "ground shots all round an area whose finish follows the ground",
            "shoot more ground, draw the outline in, or give the finish by `through` and a fall",
        )]);
    }
    Ok(ground)
}

fn meets(laid: &Laid<'_>, around: &Around<'_>, other: usize, down: Length, falls: &[Fall]) -> Result<Plane, Refusal> {
    let (name, frame) = (&laid.area.name, around.frame);
    let Some(met) = around.earlier.get(other) else {
        let found = format!("`meets` an area that is not above `{name}` in the file");
        return Err(laid.refusal(found, "an area above it in the file", "put that area first"));
    };
    let theirs: HashMap<(Place, Place), ()> = met.outline.edges().map(|(a, b)| ((b, a.place), ())).collect();
    let mut common: Vec<[f64; 2]> = Vec::new();
    for (a, b) in laid.outline.edges().filter(|(a, b)| theirs.contains_key(&(a.place, *b))) {
        let [a, b] = [a.place, b].map(|p| frame.local(p.0, p.1));
        common.push(a);
        common.extend(met.breaks(a, b).into_iter().map(|(p, _)| p));
        common.push(b);
    }
    let Some(&first) = common.first() else {
        let found = format!("`{name}` and `{}` have no edge in common", met.said.name);
        return Err(laid.refusal(
            found,
            "an area with a common edge",
            "give the finish by `through`, or move the corners together",
        ));
    };
    let wanted = |p: [f64; 2]| met.finish.height(p) - down.job_units();
    let plane = Plane::new(first, wanted(first), rise(falls, middle(laid.region), around.said, frame));
    let worst = common.iter().map(|&p| (plane.height(p) - wanted(p), p)).max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    if let Some((gap, p)) = worst.filter(|(gap, _)| gap.abs() > FIT) {
        let (n, e) = frame.site(p);
        let found = format!(
            "its falls leave it {} {} off `{}` at N {}, E {}",
            fixed(gap.abs(), 3),
            around.unit.length(),
            met.said.name,
            fixed(n, 2),
            fixed(e, 2)
        );
        let help = "give it the other's fall along the common edge, or use `through`";
        return Err(laid.refusal(found, "falls that follow the common edge", help));
    }
    Ok(plane)
}

/// A net over graded spots, its outline kept as edges; every corner must have a spot.
fn spots(
    laid: &Laid<'_>,
    around: &Around<'_>,
    shots: &Shots,
    lines: &[Breakline],
    cautions: &mut Vec<Caution>,
) -> Result<Grade, Vec<Refusal>> {
    let (frame, unit) = (around.frame, around.unit);
    let near = f64::from(same_place(unit));
    let at = |r: usize| frame.local(shots.northing[r], shots.easting[r]);
    let mut placed = shots.clone();
    let mut edges: Vec<Breakline> = Vec::new();
    let mut bare: Vec<String> = Vec::new();
    for (which, ring) in laid.outline.rings.iter().enumerate() {
        let mut points = Vec::new();
        for node in ring {
            let p = frame.local(node.place.0, node.place.1);
            let away = |r: usize| (at(r)[0] - p[0]).hypot(at(r)[1] - p[1]);
            let spot = shots.ground_rows().filter(|&r| away(r) <= near).min_by(|&a, &b| away(a).total_cmp(&away(b)));
            match (spot, node.corner) {
                (Some(row), _) => {
                    // The corner's place counts, so that neighbours share it.
                    (placed.northing[row], placed.easting[row]) = node.place;
                    points.push(LinePoint::Shot(row));
                }
                (None, Some(corner)) => bare.push(bare_corner(laid, which, corner, node.place)),
                // A neighbour's corner in an edge: the edge is straight there.
                (None, None) => {}
            }
        }
        points.extend(points.first().copied());
        edges.push(Breakline { name: format!("outline of {}", laid.area.name), points });
    }
    if !bare.is_empty() {
        let found = format!("no graded spot at {}", bare.join(", "));
        return Err(vec![laid.refusal(
            found,
            "a spot with a height at every corner of the outline",
            "add a row for each of them to the table of spots",
        )]);
    }
    let count = edges.len();
    edges.extend(lines.iter().cloned());
    match Surface::build_along(&placed, &edges, unit, frame, Cells::Nodes) {
        Ok((surface, asked)) => {
            // A spot in an edge of the outline is meant to bend it.
            let lines = asked.bent.iter().filter(|two| two.lines[0] >= count);
            cautions.extend(lines.filter_map(|two| {
                let text = format!(
                    "its breakline `{}` passes through spot {}, {} {} off its height; the spot's own counts",
                    edges[two.lines[0]].name,
                    shots.names.get(two.shot?),
                    fixed(two.heights[1] - two.heights[0], 3),
                    unit.length()
                );
                Some(Caution::new(Subject::Area(laid.area.name.clone()), text))
            }));
            Ok(Grade::Net(surface))
        }
        Err(Unbuildable::TwoHeights(all)) => Err(all
            .iter()
            .map(|two| {
                let (n, e) = two.place;
                let names: Vec<&str> = two.lines.iter().map(|&k| edges[k].name.as_str()).collect();
                let found = format!(
                    "its graded spots at two heights, {} and {}, where `{}` and `{}` meet, at N {}, E {}",
                    fixed(two.heights[0], 3),
                    fixed(two.heights[1], 3),
                    names[0],
                    names[1],
                    fixed(n, 2),
                    fixed(e, 2)
                );
                laid.refusal(found, "one height at one place", "mend the height, or add a spot there for both lines")
            })
            .collect()),
        Err(why) => {
            Err(vec![laid.refusal(why.to_string(), "graded spots that make a surface", "mend the table of spots")])
        }
    }
}

fn bare_corner(laid: &Laid<'_>, ring: usize, corner: usize, place: Place) -> String {
    let (n, e) = (fixed(from_micro(place.0), 2), fixed(from_micro(place.1), 2));
    format!("{} (N {n}, E {e})", laid.corner(ring, corner))
}
