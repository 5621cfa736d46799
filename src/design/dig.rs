//! The whole dig: every area's finish and subgrade, what is dug past the edges, and the steps between areas.

use super::batter::{Battered, batters};
use super::finish::{Around, Laid, finish, rise};
use super::grade::Grade;
use super::outlines::{Settled, middle, overlaps, settle};
use super::plane::Plane;
use super::rings::rings;
use super::said::{Area, Place, Said, Section};
use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{Frame, MICRO, to_micro};
use crate::surface::{Region, Surface, Triangle, off};
use crate::units::LengthUnit;
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
    /// Battered sides from the outer edge of that up to the ground: disjoint, outside all of the above.
    pub batters: Vec<Ring>,
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
    pub finish: Grade,
    /// Top of firm ground under the build-up.
    pub subgrade: Grade,
    /// Its parts in which finish and subgrade are each one plane, at the height of finish.
    pub pieces: Vec<Triangle>,
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
    /// Works out the dig. `existing`: the ground, if it could be built; what follows it is left out without.
    ///
    /// # Errors
    /// Everything that cannot be: overlaps, falls that do not fit, edges that are not common.
    pub fn new(
        said: &'a Said,
        existing: Option<&Surface>,
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
        // Ground that could not be built is complained of elsewhere, but leaves a finish out all the same.
        let mut incomplete = false;
        for ((area, outline), region) in said.areas.iter().zip(outlines).zip(regions) {
            let section = &said.sections[area.section];
            let laid = Laid { area, outline: &outline, region: &region };
            let around = Around { said, existing, earlier: &areas, frame, unit };
            let finish = match finish(&laid, &around, cautions) {
                Ok(grade) => grade,
                Err(wrong) => {
                    incomplete = true;
                    refusals.extend(wrong);
                    // Something to go on with, so that everything else wrong is found as well.
                    Grade::Plane(Plane::new(middle(&region), 0.0, [0.0; 2]))
                }
            };
            let thick = section.thickness().job_units();
            let pieces = finish.pieces(&region);
            let subgrade = match area.subgrade {
                None => finish.lowered(thick),
                Some(fall) => Grade::Plane(own_fall(&pieces, thick, rise(&[fall], middle(&region), said, frame))),
            };
            let allowance = section.compaction_allowance.unwrap_or(said.compaction_allowance);
            let stop_above = (allowance - area.proud).job_units();
            areas.push(Dug { said: area, section, outline, region, finish, subgrade, pieces, stop_above });
        }
        if incomplete || !refusals.is_empty() {
            return Err(refusals);
        }
        let rings = rings(&areas, &owners, frame);
        let steps = steps(&areas, &owners, frame);
        let battered = match existing {
            Some(existing) => batters(&areas, &rings, &owners, existing, frame),
            None => Battered::default(),
        };
        for k in battered.runs_off {
            let text = "its batter runs off the ground that was shot: what lies beyond is not counted";
            cautions.push(Caution::new(Subject::Area(areas[k].said.name.clone()), text));
        }
        Ok(Self { said, areas, rings, batters: battered.pieces, steps, frame })
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
        let thick = self.section.thickness().job_units();
        self.pieces.iter().map(move |t| {
            let height = match &self.subgrade {
                Grade::Plane(plane) => t.place.map(|p| plane.height(p)),
                // Only a net's own pieces know on which side of a face they lie.
                Grade::Net(_) => t.height.map(|z| z - thick),
            };
            Triangle { height, ..*t }
        })
    }

    /// Places strictly between the ends of an edge of its outline at which its grade breaks, with the part of the edge they lie at.
    #[must_use]
    pub fn breaks(&self, a: [f64; 2], b: [f64; 2]) -> Vec<([f64; 2], f64)> {
        if self.finish.plane().is_some() {
            return Vec::new();
        }
        let along = [b[0] - a[0], b[1] - a[1]];
        let whole = along[0] * along[0] + along[1] * along[1];
        let part = |p: [f64; 2]| ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / whole;
        // A place cut out in broken numbers may stand a hair beside the edge.
        let near = SAME / whole.sqrt();
        let on = |p: &[f64; 2]| off(*p, a, b) <= SAME && part(*p) > near && part(*p) < 1.0 - near;
        let places = self.pieces.iter().flat_map(|t| t.place).filter(on);
        let mut out: Vec<([f64; 2], f64)> = places.map(|p| (p, part(p))).collect();
        out.sort_by(|p, q| p.1.total_cmp(&q.1));
        out.dedup_by(|p, q| p.1 - q.1 <= near);
        out
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

/// Places nearer than this are one, millionths: no coordinate is typed finer.
const SAME: f64 = 2.0;

/// Which area lies to the left of each directed edge.
pub(super) type Owners = HashMap<(Place, Place), usize>;

fn owners(outlines: &[Settled]) -> Owners {
    outlines.iter().enumerate().flat_map(|(k, o)| o.edges().map(move |(a, b)| ((a.place, b), k))).collect()
}

/// The highest plane of that rise nowhere above finish less the build-up.
fn own_fall(finish: &[Triangle], thick: f64, rise: [f64; 2]) -> Plane {
    let corners = || finish.iter().flat_map(|t| t.place.into_iter().zip(t.height));
    let first = corners().next().map_or([0.0; 2], |(p, _)| p);
    let flat = Plane::new(first, 0.0, rise);
    let height = corners().map(|(p, z)| (z - thick) - flat.height(p)).fold(f64::INFINITY, f64::min);
    Plane::new(first, height, rise)
}

/// Common edges, parted where the grade of either area breaks.
fn steps(areas: &[Dug<'_>], owners: &Owners, frame: Frame) -> Vec<Step> {
    let mut out = Vec::new();
    for (k, area) in areas.iter().enumerate() {
        for (a, b) in area.outline.edges() {
            let Some(&other) = owners.get(&(b, a.place)).filter(|&&other| other > k) else { continue };
            let [p, q] = [a.place, b].map(|p| frame.local(p.0, p.1));
            let mut at: Vec<([f64; 2], f64)> = vec![(p, 0.0), (q, 1.0)];
            at.extend(area.breaks(p, q));
            at.extend(areas[other].breaks(q, p).into_iter().map(|(p, part)| (p, 1.0 - part)));
            at.sort_by(|p, q| p.1.total_cmp(&q.1));
            at.dedup_by(|p, q| p.1 - q.1 <= 1e-9);
            let height = |p: [f64; 2]| area.subgrade.height(p) - areas[other].subgrade.height(p);
            let whole = |p: [f64; 2]| {
                let (n, e) = frame.site(p);
                (to_micro(n), to_micro(e))
            };
            out.extend(at.windows(2).map(|w| Step {
                areas: [k, other],
                ends: [0, 1].map(|i| match w[i].1 {
                    0.0 => a.place,
                    1.0 => b,
                    _ => whole(w[i].0),
                }),
                heights: [height(w[0].0), height(w[1].0)],
            }));
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
