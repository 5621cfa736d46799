//! Where do areas meet, and do they overlap?
//!
//! A corner within the tolerance (0.02 ft, 5 mm) of another area's corner is the same place: the earlier in the file counts,
//! and it is said. A corner within it of another area's edge becomes a node of that edge (a T-junction). What overlaps
//! wider than that is refused with its area and its place. Directions are settled here: outlines counter-clockwise seen with
//! north up, holes clockwise, the corners' own numbers kept.

use super::said::{Area, Place};
use crate::finding::{Caution, Refusal, Subject};
use crate::outline;
use crate::shots::{Frame, from_micro};
use crate::surface::{Region, Sweep, Triangle, integrate, same_place};
use crate::units::{LengthUnit, fixed};

/// A node of a settled ring: where an edge begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Node {
    /// Where.
    pub place: Place,
    /// The corner it is, counted from 0 in the order given; none for a neighbour's corner put into an edge.
    pub corner: Option<usize>,
    /// The edge that begins here, by the number of the corner it begins at in the order given.
    pub edge: usize,
}

/// An area's rings after settling.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Outline first, counter-clockwise; then holes, clockwise.
    pub rings: Vec<Vec<Node>>,
}

impl Settled {
    /// Ends of every edge, ring by ring, as (node, place it ends at).
    pub fn edges(&self) -> impl Iterator<Item = (Node, Place)> + '_ {
        self.rings.iter().flat_map(|ring| (0..ring.len()).map(move |k| (ring[k], ring[(k + 1) % ring.len()].place)))
    }
}

/// Settles the outlines of all areas against each other.
pub fn settle(areas: &[Area], unit: LengthUnit, cautions: &mut Vec<Caution>) -> Vec<Settled> {
    let near = i64::from(same_place(unit));
    let mut rings: Vec<Vec<Vec<Node>>> =
        areas.iter().map(|a| a.rings.iter().enumerate().map(directed).collect()).collect();
    snap_corners(areas, &mut rings, near, unit, cautions);
    let corners: Vec<Vec<Place>> = rings.iter().map(|area| area.iter().flatten().map(|n| n.place).collect()).collect();
    for (k, area) in rings.iter_mut().enumerate() {
        for ring in area {
            let others = corners.iter().enumerate().filter(|(j, _)| *j != k).flat_map(|(_, c)| c.iter().copied());
            insert_nodes(ring, &others.collect::<Vec<_>>(), near);
        }
    }
    rings.into_iter().map(|rings| Settled { rings }).collect()
}

/// The nodes of a ring as given, turned counter-clockwise for an outline and clockwise for a hole.
fn directed((which, ring): (usize, &Vec<Place>)) -> Vec<Node> {
    let count = ring.len();
    let is_left = outline::doubled_area(ring) > 0;
    let wanted = which == 0;
    (0..count)
        .map(|k| {
            if is_left == wanted {
                Node { place: ring[k], corner: Some(k), edge: k }
            } else {
                // Backwards: the edge that begins here is the one that ended here.
                let own = count - 1 - k;
                Node { place: ring[own], corner: Some(own), edge: (own + count - 1) % count }
            }
        })
        .collect()
}

fn snap_corners(
    areas: &[Area],
    rings: &mut [Vec<Vec<Node>>],
    near: i64,
    unit: LengthUnit,
    cautions: &mut Vec<Caution>,
) {
    let mut kept: Vec<(Place, usize, usize)> = Vec::new();
    for (k, area) in rings.iter_mut().enumerate() {
        let earlier = kept.len();
        for (which, ring) in area.iter_mut().enumerate() {
            for node in ring.iter_mut() {
                let close = kept[..earlier].iter().min_by_key(|(p, ..)| squared(*p, node.place)).copied();
                if let Some((place, owner, corner)) =
                    close.filter(|(p, ..)| *p != node.place && squared(*p, node.place) <= i128::from(near).pow(2))
                {
                    let away = (squared(place, node.place) as f64).sqrt() / crate::shots::MICRO;
                    cautions.push(Caution::new(
                        Subject::Corner(areas[k].name.clone(), which, node.corner.unwrap_or(0)),
                        format!(
                            "{} {} from {}.{}: taken as the same place, at N {}, E {}",
                            fixed(away, 4),
                            unit.length(),
                            areas[owner].code,
                            corner + 1,
                            fixed(from_micro(place.0), 3),
                            fixed(from_micro(place.1), 3)
                        ),
                    ));
                    node.place = place;
                }
                kept.push((node.place, k, node.corner.unwrap_or(0)));
            }
        }
    }
}

fn squared(a: Place, b: Place) -> i128 {
    let (dn, de) = (i128::from(a.0) - i128::from(b.0), i128::from(a.1) - i128::from(b.1));
    dn * dn + de * de
}

/// Puts the places within reach of an edge into it, in their order along it.
fn insert_nodes(ring: &mut Vec<Node>, places: &[Place], near: i64) {
    let mut out = Vec::with_capacity(ring.len());
    for k in 0..ring.len() {
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()].place);
        out.push(a);
        let along = (i128::from(b.0) - i128::from(a.place.0), i128::from(b.1) - i128::from(a.place.1));
        let whole = along.0 * along.0 + along.1 * along.1;
        let mut on: Vec<(i128, Place)> = places
            .iter()
            .filter_map(|&p| {
                let to = (i128::from(p.0) - i128::from(a.place.0), i128::from(p.1) - i128::from(a.place.1));
                let part = to.0 * along.0 + to.1 * along.1;
                let off = along.0 * to.1 - along.1 * to.0;
                // |off| / |along| <= near, without a root.
                let within = part > 0 && part < whole && off.abs() as f64 <= near as f64 * (whole as f64).sqrt();
                (within && p != a.place && p != b).then_some((part, p))
            })
            .collect();
        on.sort_unstable();
        on.dedup();
        out.extend(on.into_iter().map(|(_, place)| Node { place, corner: None, edge: a.edge }));
    }
    *ring = out;
}

/// Refuses areas that overlap wider than the tolerance, with square units and a place.
pub fn overlaps(areas: &[Area], regions: &[Region], frame: Frame, unit: LengthUnit, refusals: &mut Vec<Refusal>) {
    let least = (f64::from(same_place(unit)) / crate::shots::MICRO).powi(2);
    for k in 1..regions.len() {
        for j in 0..k {
            let (area, place) = shared(&regions[k], &regions[j]);
            if area > least {
                let (n, e) = frame.site(place);
                refusals.push(Refusal {
                    subject: Subject::Area(areas[k].name.clone()),
                    found: format!(
                        "{} {} over `{}`, about N {}, E {}",
                        fixed(area, 2),
                        unit.area(),
                        areas[j].name,
                        fixed(n, 2),
                        fixed(e, 2)
                    ),
                    expected: "areas that touch but do not overlap".to_owned(),
                    help: "move the common corners onto each other, or cut a hole into one of them".to_owned(),
                });
            }
        }
    }
}

/// Area two regions share, square job units, and the middle of the largest piece of it.
fn shared(a: &Region, b: &Region) -> (f64, [f64; 2]) {
    let mut sweep = Sweep::new(b.net());
    let (mut total, mut largest, mut place) = (0.0, 0.0, [0.0; 2]);
    for t in a.triangles(|_| 0.0) {
        let doubled = t.doubled_area() / (crate::shots::MICRO * crate::shots::MICRO);
        sweep.over(
            &t,
            |_| 0.0,
            |u, poly| {
                let area = integrate(poly).area * doubled;
                if b.is_inside(u) {
                    total += area;
                    if area > largest {
                        largest = area;
                        let count = poly.corners().len() as f64;
                        place = poly
                            .corners()
                            .iter()
                            .map(|c| t.at(c.l))
                            .fold([0.0; 2], |m, p| [m[0] + p[0] / count, m[1] + p[1] / count]);
                    }
                }
            },
        );
    }
    (total, place)
}

/// Middle of a region by area.
#[must_use]
pub fn middle(region: &Region) -> [f64; 2] {
    let (mut whole, mut sum) = (0.0, [0.0; 2]);
    let corner = region.net().place(0);
    for Triangle { place, .. } in region.triangles(|_| 0.0) {
        let d = (place[1][0] - place[0][0]) * (place[2][1] - place[0][1])
            - (place[1][1] - place[0][1]) * (place[2][0] - place[0][0]);
        whole += d;
        for k in 0..2 {
            // About one of its own places, so that large coordinates cost nothing.
            sum[k] += d * ((place[0][k] - corner[k]) + (place[1][k] - corner[k]) + (place[2][k] - corner[k])) / 3.0;
        }
    }
    [0, 1].map(|k| corner[k] + sum[k] / whole)
}
