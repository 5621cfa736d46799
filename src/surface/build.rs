//! How is the net made? Sort along a Hilbert curve, triangulate, give square cells their node, freeze.
//!
//! The order of rows does not matter: shots are sorted by curve, then by place, before anything looks at them.

use super::lines::{self, Asked, Breakline, Kept, TwoHeights};
use super::locate::Starts;
use super::order::{in_order, inward, sorted};
use super::{CellList, Net, OPEN, Surface, cross, index, sub, turn};
use crate::shots::{Frame, Shots};
use crate::units::LengthUnit;
use spade::{ConstrainedDelaunayTriangulation, DelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::HashSet;
use std::fmt;
use std::sync::Arc;

/// What becomes of a square cell (an empty circle through four or more shots) that is not in one plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Cells {
    /// A node at the mean of the corners: what every job uses.
    #[default]
    Nodes,
    /// Fans from the corner of least (x, y); for a square the diagonal through it. For the doubt and for tests.
    FirstDiagonals,
    /// Fans from the next corner counter-clockwise; for a square the other diagonal.
    SecondDiagonals,
}

/// Why there is no surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Unbuildable {
    /// A surface needs three ground shots.
    TooFew(usize),
    /// All shots lie on one line.
    OnOneLine,
    /// Two shots at one place (rows).
    OnePlace(usize, usize),
    /// The triangulation library refused a place.
    Place(String),
    /// Breaklines that are at two heights where they meet, or on a shot.
    TwoHeights(Vec<TwoHeights>),
    /// Breaklines so tangled that rounding their crossings does not come to an end.
    Tangled,
}

impl fmt::Display for Unbuildable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew(n) => write!(f, "{n} ground shots; a surface needs at least three"),
            Self::OnOneLine => f.write_str("all ground shots lie on one line; a surface needs one beside it"),
            Self::OnePlace(a, b) => write!(f, "rows {} and {} stand at one place", a + 1, b + 1),
            Self::Place(why) => write!(f, "a place that cannot be triangulated: {why}"),
            Self::TwoHeights(all) => match all.as_slice() {
                [TwoHeights { place: (n, e), heights: [low, high], .. }, ..] => {
                    write!(f, "two heights, {low:.3} and {high:.3}, at N {n:.3}, E {e:.3}")
                }
                [] => f.write_str("two heights at one place"),
            },
            Self::Tangled => f.write_str("breaklines that cross one another again and again within a few millionths"),
        }
    }
}

/// A site, as the triangulation library takes it.
#[derive(Clone, Copy)]
pub(super) struct Shot {
    pub at: Point2<f64>,
    pub vertex: u32,
}

impl HasPosition for Shot {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Surface {
    /// The surface through the ground shots of a survey, in that frame.
    ///
    /// # Errors
    /// Fewer than three ground shots, all on one line, or two at one place.
    pub fn build(shots: &Shots, frame: Frame, cells: Cells) -> Result<Self, Unbuildable> {
        let sites = sorted(ground(shots, frame))?;
        let triangles = delaunay(&sites)?;
        Ok(freeze(frame, sites, Kept::default(), triangles, cells))
    }

    /// The same with breaklines kept as edges; beside the surface what there is to ask about them. `unit` says how near two heights
    /// or places are one.
    ///
    /// # Errors
    /// As [`Surface::build`]; lines at two heights where they meet.
    pub fn build_along(
        shots: &Shots,
        lines: &[Breakline],
        unit: LengthUnit,
        frame: Frame,
        cells: Cells,
    ) -> Result<(Self, Asked), Unbuildable> {
        if lines.is_empty() {
            return Ok((Self::build(shots, frame, cells)?, Asked::default()));
        }
        let mut sites = ground(shots, frame);
        sites.extend(lines::sites(shots, lines, frame, unit)?);
        let sites = sorted(sites)?;
        let mut kept = lines::kept(&sites, lines, frame, unit)?;
        let asked = std::mem::take(&mut kept.asked);
        let triangles = constrained(&sites, &kept)?;
        Ok((freeze(frame, sites, kept, triangles, cells), asked))
    }

    /// A surface of triangles given by hand (rows of `shots`, either direction round); for tests with a chosen diagonal.
    #[must_use]
    pub fn from_triangles(shots: &Shots, frame: Frame, triangles: &[[u32; 3]]) -> Self {
        let place: Vec<[f64; 2]> = (0..shots.len()).map(|r| frame.local(shots.northing[r], shots.easting[r])).collect();
        let corners = triangles
            .iter()
            .map(|&[a, b, c]| {
                let [p, q, r] = [a, b, c].map(|v| place[v as usize]);
                if cross(sub(q, p), sub(r, p)) < 0.0 { [a, c, b] } else { [a, b, c] }
            })
            .collect();
        let row = (0..shots.len()).map(index).collect();
        finish(frame, place, shots.elevation.clone(), (row, Vec::new()), corners, CellList::default(), false)
    }
}

/// A place of the net that was given: a ground shot, or a point of a breakline.
#[derive(Clone, Copy)]
pub(super) struct Site {
    /// Whole millionths in the frame.
    pub place: [f64; 2],
    pub height: f64,
    /// Row of the survey for a shot, else [`OPEN`].
    pub row: u32,
}

impl Site {
    pub fn row(&self) -> Option<usize> {
        (self.row != OPEN).then_some(self.row as usize)
    }
}

fn ground(shots: &Shots, frame: Frame) -> Vec<Site> {
    let at = |row: usize| frame.local(shots.northing[row], shots.easting[row]);
    shots.ground_rows().map(|row| Site { place: at(row), height: shots.elevation[row], row: index(row) }).collect()
}

/// Least and greatest corner of the box around the places.
pub(super) fn bounds(places: impl Iterator<Item = [f64; 2]>) -> ([f64; 2], [f64; 2]) {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for p in places {
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    (low, high)
}

fn vertices(places: impl Iterator<Item = [f64; 2]>) -> Vec<Shot> {
    places.zip(0_u32..).map(|(p, vertex)| Shot { at: Point2::new(p[0], p[1]), vertex }).collect()
}

fn delaunay(sites: &[Site]) -> Result<Vec<[u32; 3]>, Unbuildable> {
    let net = DelaunayTriangulation::<Shot>::bulk_load(inward(vertices(sites.iter().map(|s| s.place))));
    triangles(&net.map_err(|e| Unbuildable::Place(e.to_string()))?)
}

/// As [`delaunay`], with edges that stay. They meet only at their ends, so the library has nothing to leave out.
fn constrained(sites: &[Site], kept: &Kept) -> Result<Vec<[u32; 3]>, Unbuildable> {
    let places = sites.iter().map(|s| s.place).chain(kept.nodes.iter().map(|n| n.0));
    let edges = kept.edges.iter().map(|e| e.map(|v| v as usize)).collect();
    let mut left_out = false;
    let net = ConstrainedDelaunayTriangulation::<Shot>::try_bulk_load_cdt(vertices(places), edges, |_| left_out = true)
        .map_err(|e| Unbuildable::Place(e.to_string()))?;
    if left_out {
        return Err(Unbuildable::Tangled);
    }
    triangles(&net)
}

fn triangles(net: &impl Triangulation<Vertex = Shot>) -> Result<Vec<[u32; 3]>, Unbuildable> {
    if net.num_inner_faces() == 0 {
        return Err(Unbuildable::OnOneLine);
    }
    // The library has an order of its own; a short list of ours is nearer at hand than its vertices.
    let ours: Vec<u32> = net.vertices().map(|v| v.data().vertex).collect();
    let mut out = Vec::with_capacity(net.num_inner_faces());
    out.extend(net.inner_faces().map(|face| {
        let edge = face.adjacent_edge();
        [edge.from(), edge.to(), edge.prev().from()].map(|v| ours[v.index()])
    }));
    Ok(out)
}

/// Joins neighbours that share one empty circle where no kept edge is between: for each triangle its parent, the root the
/// lowest of its cell. Nothing where every triangle is alone, as on scattered shots.
fn joined(corners: &[[u32; 3]], beside: &[[u32; 3]], place: &[[f64; 2]], kept: &[[u32; 2]]) -> Option<Vec<u32>> {
    let kept: HashSet<[u32; 2]> = kept.iter().map(|&[a, b]| [a.min(b), a.max(b)]).collect();
    let mut parent: Option<Vec<u32>> = None;
    for t in 0..index(corners.len()) {
        let c = corners[t as usize];
        let own = c.map(|v| place[v as usize]);
        for side in 0..3 {
            let u = beside[t as usize][side];
            if u == OPEN || u < t {
                continue;
            }
            let Some(k) = (0..3).find(|&k| beside[u as usize][k] == t) else { continue };
            if !on_circle(own, place[corners[u as usize][k] as usize]) {
                continue;
            }
            let (a, b) = (c[(side + 1) % 3], c[(side + 2) % 3]);
            if kept.contains(&[a.min(b), a.max(b)]) {
                continue;
            }
            let parent = parent.get_or_insert_with(|| (0..index(corners.len())).collect());
            let (r, s) = (root(parent, t), root(parent, u));
            parent[r.max(s) as usize] = r.min(s);
        }
    }
    parent
}

/// Whether a fourth place lies exactly on the circle through three (Shewchuk 1997, by the `robust` crate).
fn on_circle(t: [[f64; 2]; 3], p: [f64; 2]) -> bool {
    let at = |p: [f64; 2]| robust::Coord { x: p[0], y: p[1] };
    robust::incircle(at(t[0]), at(t[1]), at(t[2]), at(p)) == 0.0
}

fn root(parent: &mut [u32], mut t: u32) -> u32 {
    while parent[t as usize] != t {
        parent[t as usize] = parent[parent[t as usize] as usize];
        t = parent[t as usize];
    }
    t
}

/// Gives every cell its due and freezes the net.
fn freeze(frame: Frame, sites: Vec<Site>, kept: Kept, triangles: Vec<[u32; 3]>, rule: Cells) -> Surface {
    let row: Vec<u32> = sites.iter().map(|s| s.row).collect();
    let mut place: Vec<[f64; 2]> = sites.iter().map(|s| s.place).collect();
    let mut height: Vec<f64> = sites.iter().map(|s| s.height).collect();
    drop(sites);
    place.extend(kept.nodes.iter().map(|n| n.0));
    height.extend(kept.nodes.iter().map(|n| n.1));
    // In canonical order first: neighbours then lie near each other in memory, and the triangulator's own order leaves no trace.
    let triangles = in_order(triangles, place.len());
    let beside = neighbours(&triangles, place.len());
    let Some(mut parent) = joined(&triangles, &beside, &place, &kept.edges) else {
        return frozen(frame, place, height, (row, kept.edges), (triangles, beside), CellList::default(), true);
    };
    drop(beside);
    let mut corners = Vec::with_capacity(triangles.len());
    let mut joined: Vec<(u32, u32)> = Vec::new();
    let mut alone = vec![true; triangles.len()];
    for t in 0..index(triangles.len()) {
        let r = root(&mut parent, t);
        if r != t {
            alone[r as usize] = false;
            joined.push((r, t));
        }
    }
    for t in 0..index(triangles.len()) {
        if parent[t as usize] != t {
            continue;
        }
        if alone[t as usize] {
            corners.push(triangles[t as usize]);
        } else {
            joined.push((t, t));
        }
    }
    joined.sort_unstable();
    let mut rings: Vec<Vec<u32>> = joined
        .chunk_by(|a, b| a.0 == b.0)
        .map(|cell| ring(cell.iter().flat_map(|&(_, t)| triangles[t as usize]).collect(), &place))
        .collect();
    // Numbered by their lowest corners.
    rings.sort_unstable_by(|a, b| a.iter().min().cmp(&b.iter().min()).then_with(|| a.cmp(b)));
    let mut cells = CellList::default();
    for ring in rings {
        let n = ring.len();
        let in_one_plane = is_plane(&ring, &place, &height);
        if !in_one_plane {
            cells.corners.extend(&ring);
            cells.ends.push(index(cells.corners.len()));
        }
        if in_one_plane || rule == Cells::FirstDiagonals {
            corners.extend((1..n - 1).map(|k| [ring[0], ring[k], ring[k + 1]]));
        } else if rule == Cells::SecondDiagonals {
            corners.extend((2..n).map(|k| [ring[1], ring[k], ring[(k + 1) % n]]));
        } else {
            let node = index(place.len());
            corners.extend((0..n).map(|k| [ring[k], ring[(k + 1) % n], node]));
            let mean = |of: &dyn Fn(u32) -> f64| ring.iter().map(|&v| of(v)).sum::<f64>() / n as f64;
            let at = [mean(&|v| place[v as usize][0]), mean(&|v| place[v as usize][1])];
            let z = mean(&|v| height[v as usize]);
            place.push(at);
            height.push(z);
        }
    }
    finish(frame, place, height, (row, kept.edges), corners, cells, true)
}

/// The corners of a cell once each, counter-clockwise from the least (x, y). They lie on one circle, so in convex position.
fn ring(mut vertices: Vec<u32>, place: &[[f64; 2]]) -> Vec<u32> {
    vertices.sort_unstable();
    vertices.dedup();
    let at = |v: u32| place[v as usize];
    let first = vertices
        .iter()
        .copied()
        .min_by(|&a, &b| at(a)[0].total_cmp(&at(b)[0]).then(at(a)[1].total_cmp(&at(b)[1])))
        .unwrap_or(0);
    vertices.retain(|&v| v != first);
    vertices.sort_unstable_by(|&a, &b| 0.0_f64.total_cmp(&turn(at(first), at(a), at(b))));
    vertices.insert(0, first);
    vertices
}

/// How far a corner may stand off the plane of the others and still count as in it: a thousandth of the last
/// place a survey is typed in, and far above what adding decimals in binary leaves.
const PLANE: f64 = 1e-9;

fn is_plane(ring: &[u32], place: &[[f64; 2]], height: &[f64]) -> bool {
    let at = |k: usize| (place[ring[k] as usize], height[ring[k] as usize]);
    let ((a, za), (b, zb), (c, zc)) = (at(0), at(1), at(2));
    let d = cross(sub(b, a), sub(c, a));
    (3..ring.len()).all(|k| {
        let (p, z) = at(k);
        let (lb, lc) = (cross(sub(p, a), sub(c, a)) / d, cross(sub(b, a), sub(p, a)) / d);
        (za + lb * (zb - za) + lc * (zc - za) - z).abs() <= PLANE
    })
}

/// Canonical order, neighbours, places to start a walk.
fn finish(
    frame: Frame,
    place: Vec<[f64; 2]>,
    height: Vec<f64>,
    (row, kept): (Vec<u32>, Vec<[u32; 2]>),
    corners: Vec<[u32; 3]>,
    cells: CellList,
    convex: bool,
) -> Surface {
    let corners = in_order(corners, place.len());
    let beside = neighbours(&corners, place.len());
    frozen(frame, place, height, (row, kept), (corners, beside), cells, convex)
}

/// Places to start a walk, and the net is whole.
fn frozen(
    frame: Frame,
    place: Vec<[f64; 2]>,
    height: Vec<f64>,
    (row, kept): (Vec<u32>, Vec<[u32; 2]>),
    (corners, beside): (Vec<[u32; 3]>, Vec<[u32; 3]>),
    cells: CellList,
    convex: bool,
) -> Surface {
    let starts = Starts::new(&place, &corners);
    let rim = rim(&beside);
    Surface { net: Arc::new(Net { frame, place, corners, beside, row, kept, cells, convex, starts, rim }), height }
}

/// Triangles with an open side.
pub(super) fn rim(beside: &[[u32; 3]]) -> Vec<u32> {
    (0..index(beside.len())).filter(|&t| beside[t as usize].contains(&OPEN)).collect()
}

/// Who lies over each edge. Triangles stand in canonical order: those of a lowest corner in a row, and so two of their sides; only the
/// third must be looked up under its lower end.
fn neighbours(corners: &[[u32; 3]], vertices: usize) -> Vec<[u32; 3]> {
    let lower = |c: &[u32; 3]| c[1].min(c[2]) as usize;
    let mut end = vec![0_u32; vertices + 1];
    for c in corners {
        end[lower(c) + 1] += 1;
    }
    for v in 0..vertices {
        end[v + 1] += end[v];
    }
    let mut third = vec![0_u32; corners.len()];
    for (c, t) in corners.iter().zip(0_u32..) {
        let slot = &mut end[lower(c)];
        third[*slot as usize] = t;
        *slot += 1;
    }
    let mut beside = vec![[OPEN; 3]; corners.len()];
    // Edges that leave the vertex and edges that come to it: (other end, triangle and side). Each has its twin among the others.
    let (mut away, mut here) = (Vec::new(), Vec::new());
    let (mut own, mut begun) = (0, 0);
    for (v, end) in (0_u32..).zip(end) {
        away.clear();
        here.clear();
        while let Some(&[_, b, c]) = corners.get(own).filter(|c| c[0] == v) {
            away.push((b, index(own) * 3 + 2));
            here.push((c, index(own) * 3 + 1));
            own += 1;
        }
        for &t in third.get(begun as usize..end as usize).unwrap_or_default() {
            let [_, b, c] = corners[t as usize];
            if b == v { away.push((c, t * 3)) } else { here.push((b, t * 3)) }
        }
        begun = end;
        let mut link = |one: u32, other: u32| {
            let ((t, i), (u, j)) = ((one / 3, one % 3), (other / 3, other % 3));
            beside[t as usize][i as usize] = u;
            beside[u as usize][j as usize] = t;
        };
        if away.len() <= FEW {
            for edge in &away {
                if let Some(twin) = here.iter().find(|e| e.0 == edge.0) {
                    link(edge.1, twin.1);
                }
            }
        } else {
            here.sort_unstable();
            for edge in &away {
                if let Ok(at) = here.binary_search_by_key(&edge.0, |e| e.0) {
                    link(edge.1, here[at].1);
                }
            }
        }
    }
    beside
}

/// Edges at one vertex that are matched without sorting.
const FEW: usize = 24;
