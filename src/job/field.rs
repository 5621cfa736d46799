//! What does a page on a phone need to tell the dig at any place, at any height of instrument? Dig-to as planes and nets, the
//! ground, the tolerance.
//!
//! Places are northing and easting, heights and rises in the job's unit; a rise is up-positive, per unit of length toward the
//! north and toward the east. Dig-to inside an area is its floor plus `up`, and where its topsoil must come out not above the
//! ground less `strip`: the same two surfaces the stakes are asked of. On a shared edge the lower counts, a tie to the first.

use super::PlanOut;
use super::evaluate::Ground;
use super::site::Site;
use crate::design::Grade;
use crate::digcheck::Tolerance;
use crate::shots::Frame;
use crate::surface::Surface;
use crate::units::Length;

/// Everything of the dig that does not depend on a set-up.
#[derive(Clone, Debug, Default)]
pub struct FieldOut {
    /// How far above and below dig-to the dug ground may be.
    pub tolerance: [f64; 2],
    /// Whether that was said, or is the usual one.
    pub tolerance_said: bool,
    /// Depth of topsoil.
    pub strip: f64,
    /// The ground as shot.
    pub ground: NetOut,
    /// What is dug to, area by area.
    pub floors: Vec<FloorOut>,
}

/// A triangulated surface.
#[derive(Clone, Debug, Default)]
pub struct NetOut {
    /// Northing, easting and height of every node.
    pub nodes: Vec<[f64; 3]>,
    /// Three nodes to a triangle.
    pub triangles: Vec<[usize; 3]>,
}

/// What one area is dug to.
#[derive(Clone, Debug)]
pub struct FloorOut {
    /// The area; empty for a job on bare tables.
    pub area: String,
    /// Outline first, then holes.
    pub rings: Vec<Vec<(f64, f64)>>,
    /// The subgrade.
    pub grade: GradeOut,
    /// How much higher than subgrade the bucket stops.
    pub up: f64,
    /// Whether topsoil must come out.
    pub no_topsoil: bool,
}

/// One plane, or many.
#[derive(Clone, Debug)]
pub enum GradeOut {
    /// A place, its height, and the rise toward the north and toward the east.
    Plane {
        /// Northing and easting.
        at: (f64, f64),
        /// Height there.
        height: f64,
        /// Rise toward the north and toward the east.
        rise: [f64; 2],
    },
    /// The planes of triangles.
    Net(NetOut),
}

fn sides(tolerance: Tolerance) -> [f64; 2] {
    [tolerance.high, tolerance.low].map(Length::job_units)
}

fn net(surface: &Surface) -> NetOut {
    let (net, frame) = (surface.net(), surface.net().frame());
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let node = |v: u32| {
        let (n, e) = frame.site(net.place(v));
        [n, e, surface.height(v)]
    };
    NetOut {
        nodes: (0..count(net.vertices())).map(node).collect(),
        triangles: (0..count(net.triangles())).map(|t| net.corners(t).map(|v| v as usize)).collect(),
    }
}

/// Of a job with areas.
pub(super) fn of_site(site: &Site<'_>, plan: &PlanOut) -> FieldOut {
    let (job, frame) = (site.job, site.dig.frame());
    let floors = site.dig.areas.iter().zip(&plan.areas).map(|(area, drawn)| FloorOut {
        area: area.said.name.clone(),
        rings: drawn.rings.clone(),
        grade: match &area.subgrade {
            Grade::Plane(plane) => {
                let at = area.pieces.first().map_or([0.0; 2], |t| t.place[0]);
                let (east, north) = plane.falls(frame);
                GradeOut::Plane { at: frame.site(at), height: plane.height(at), rise: [-north, -east] }
            }
            Grade::Net(_) => GradeOut::Net(pieces(area.floor(), frame)),
        },
        up: area.stop_above,
        no_topsoil: !area.section.topsoil_may_stay,
    });
    let tolerance = job.tolerance.unwrap_or(Tolerance::usual(job.unit));
    FieldOut {
        tolerance: sides(tolerance),
        tolerance_said: job.tolerance.is_some(),
        strip: job.said.strip.job_units(),
        ground: net(&site.existing),
        floors: floors.collect(),
    }
}

/// Triangles that share no nodes: each knows on which side of a face it lies.
fn pieces(floor: impl Iterator<Item = crate::surface::Triangle>, frame: Frame) -> NetOut {
    let mut out = NetOut::default();
    for t in floor {
        let first = out.nodes.len();
        for (place, height) in t.place.iter().zip(t.height) {
            let (n, e) = frame.site(*place);
            out.nodes.push([n, e, height]);
        }
        out.triangles.push([first, first + 1, first + 2]);
    }
    out
}

/// Of a job on two tables: one floor, without a name.
pub(super) fn of_ground(ground: &Ground<'_>, plan: &PlanOut) -> FieldOut {
    FieldOut {
        tolerance: sides(Tolerance::usual(ground.job.unit)),
        tolerance_said: false,
        strip: 0.0,
        ground: net(&ground.existing),
        floors: vec![FloorOut {
            area: String::new(),
            rings: plan.edge.clone(),
            grade: GradeOut::Net(net(&ground.design.subgrade)),
            up: 0.0,
            no_topsoil: false,
        }],
    }
}
