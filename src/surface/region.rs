//! Which ground counts?
//!
//! A limit: one outer ring and holes, in whole millionths. It is triangulated with its edges kept (spade), each triangle marked
//! by how many rings enclose it; the surfaces themselves are never changed by a limit.

use super::build::rim;
use super::locate::Starts;
use super::{CellList, Net, OPEN, Surface, Triangle, cross, index, sub, turn};
use crate::shots::Frame;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::fmt;
use std::sync::Arc;

/// A part of the plane.
#[derive(Debug)]
pub struct Region {
    net: Arc<Net>,
    inside: Vec<bool>,
}

/// Why rings do not bound a region.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// Edges cross, or a ring is not closed by area.
    Crossing,
    /// Nothing is inside.
    Empty,
    /// The triangulation library refused a place.
    Place(String),
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Crossing => f.write_str("edges that cross"),
            Self::Empty => f.write_str("rings with nothing inside"),
            Self::Place(why) => write!(f, "a corner that cannot be triangulated: {why}"),
        }
    }
}

struct Node {
    at: Point2<f64>,
    vertex: u32,
}

impl HasPosition for Node {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// Which triangles lie inside an odd number of rings: one test for each part that no kept edge divides. Rings may share edges or
/// parts of edges, so crossing a kept edge says nothing by itself.
fn marked(
    rings: &[Vec<(i64, i64)>],
    frame: Frame,
    place: &[[f64; 2]],
    corners: &[[u32; 3]],
    fan: &[Vec<u32>],
) -> Vec<bool> {
    let rings: Vec<Vec<[f64; 2]>> =
        rings.iter().map(|ring| ring.iter().map(|&(n, e)| frame.local(n, e)).collect()).collect();
    let mut mark: Vec<Option<bool>> = vec![None; corners.len()];
    for t in 0..corners.len() {
        if mark[t].is_some() {
            continue;
        }
        let [a, b, c] = corners[t].map(|v| place[v as usize]);
        let middle = [0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0);
        let inside = rings.iter().filter(|ring| encloses(ring, middle)).count() % 2 == 1;
        let mut stack = vec![t];
        mark[t] = Some(inside);
        while let Some(f) = stack.pop() {
            for &g in &fan[f] {
                if mark[g as usize].is_none() {
                    mark[g as usize] = Some(inside);
                    stack.push(g as usize);
                }
            }
        }
    }
    mark.into_iter().map(|m| m == Some(true)).collect()
}

/// Whether a ray to the east of `p` leaves the ring an odd number of times; `p` lies on no edge.
fn encloses(ring: &[[f64; 2]], p: [f64; 2]) -> bool {
    let crossings = (0..ring.len()).filter(|&k| {
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
        let (low, high) = if a[1] <= b[1] { (a, b) } else { (b, a) };
        low[1] <= p[1] && p[1] < high[1] && turn(low, high, p) > 0.0
    });
    crossings.count() % 2 == 1
}

/// Parts of a way nearer than this part of its length go on into one another.
const SAME_PART: f64 = 1e-12;

/// From where to where the way from a to b lies in a convex ring, borders included, as parts of its length (Cyrus and Beck 1978).
pub(crate) fn stretch_in(ring: &[[f64; 2]], a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in 0..ring.len() {
        let (p, q) = (ring[k], ring[(k + 1) % ring.len()]);
        let (fa, fb) = (turn(p, q, a), turn(p, q, b));
        if fa < 0.0 && fb < 0.0 {
            return None;
        }
        if fa < 0.0 {
            from = from.max(fa / (fa - fb));
        } else if fb < 0.0 {
            to = to.min(fa / (fa - fb));
        }
    }
    (from <= to).then_some([from, to])
}

impl Region {
    /// From rings of (northing, easting) in whole millionths, closed or not, either direction, the ring order free:
    /// ground inside an odd number of rings counts.
    ///
    /// # Errors
    /// Edges that cross, or rings with nothing inside.
    pub fn new(rings: &[Vec<(i64, i64)>], frame: Frame) -> Result<Self, Unfit> {
        let mut number = std::collections::HashMap::new();
        let mut place: Vec<[f64; 2]> = Vec::new();
        let mut edges: Vec<[usize; 2]> = Vec::new();
        for ring in rings {
            let corners: Vec<usize> = ring
                .iter()
                .map(|&c| {
                    *number.entry(c).or_insert_with(|| {
                        place.push(frame.local(c.0, c.1));
                        place.len() - 1
                    })
                })
                .collect();
            for k in 0..corners.len() {
                let (a, b) = (corners[k], corners[(k + 1) % corners.len()]);
                if a != b {
                    edges.push([a, b]);
                }
            }
        }
        let nodes: Vec<Node> =
            place.iter().enumerate().map(|(i, p)| Node { at: Point2::new(p[0], p[1]), vertex: index(i) }).collect();
        let mut crossed = false;
        let net = ConstrainedDelaunayTriangulation::<Node>::try_bulk_load_cdt(nodes, edges, |_| crossed = true)
            .map_err(|e| Unfit::Place(e.to_string()))?;
        if crossed {
            return Err(Unfit::Crossing);
        }
        let mut corners = Vec::new();
        let mut number = vec![OPEN; net.num_all_faces()];
        for face in net.inner_faces() {
            number[face.fix().index()] = index(corners.len());
            corners.push(face.vertices().map(|v| v.data().vertex));
        }
        let mut beside = vec![[OPEN; 3]; corners.len()];
        let mut fan: Vec<Vec<u32>> = vec![Vec::new(); corners.len()];
        for edge in net.undirected_edges() {
            let half = edge.as_directed();
            let [f, g] = [half, half.rev()].map(|h| number[h.face().fix().index()]);
            let ends = [half.from().data().vertex, half.to().data().vertex];
            for (own, other) in [(f, g), (g, f)] {
                if own == OPEN {
                    continue;
                }
                let c: [u32; 3] = corners[own as usize];
                if let Some(side) = (0..3).find(|&s| !ends.contains(&c[s])) {
                    beside[own as usize][side] = other;
                }
                if other != OPEN && !edge.is_constraint_edge() {
                    fan[own as usize].push(other);
                }
            }
        }
        let inside = marked(rings, frame, &place, &corners, &fan);
        if !inside.contains(&true) {
            return Err(Unfit::Empty);
        }
        let starts = Starts::new(&place, &corners);
        let rim = rim(&beside);
        let row = Vec::new();
        let (kept, cells) = (Vec::new(), CellList::default());
        let net = Net { frame, place, corners, beside, row, kept, cells, convex: true, starts, rim };
        Ok(Self { net: Arc::new(net), inside })
    }

    /// The triangulated convex hull of the rings.
    #[must_use]
    pub fn net(&self) -> &Net {
        &self.net
    }

    /// Whether a triangle of [`Region::net`] is inside.
    #[must_use]
    pub fn is_inside(&self, triangle: u32) -> bool {
        self.inside[triangle as usize]
    }

    /// Whether a place of the frame is inside (or on the border of a triangle that is).
    #[must_use]
    pub fn holds(&self, p: [f64; 2]) -> bool {
        matches!(self.net.locate(p, None), super::Position::In(t) if self.is_inside(t))
    }

    /// As [`Region::holds`], its border counted on every side.
    #[must_use]
    pub fn closed_holds(&self, p: [f64; 2]) -> bool {
        let inside = (0..index(self.net.triangles())).filter(|&t| self.is_inside(t));
        inside
            .map(|t| self.net.corners(t).map(|v| self.net.place(v)))
            .any(|[a, b, c]| turn(a, b, p) >= 0.0 && turn(b, c, p) >= 0.0 && turn(c, a, p) >= 0.0)
    }

    /// The parts of a way (places of the frame) that lie inside. A way that closes on itself inside stays whole.
    #[must_use]
    pub fn parts(&self, way: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
        let inside: Vec<[[f64; 2]; 3]> = self.triangles(|_| 0.0).map(|t| t.place).collect();
        let mut out: Vec<Vec<[f64; 2]>> = Vec::new();
        // Whether the part under way goes on to the place the next piece begins at.
        let mut open = false;
        for w in way.windows(2) {
            let (a, b) = (w[0], w[1]);
            let at = |part: f64| if part >= 1.0 { b } else { [0, 1].map(|k| a[k] + part * (b[k] - a[k])) };
            let mut spans: Vec<[f64; 2]> =
                inside.iter().filter_map(|t| stretch_in(t, a, b)).filter(|[from, to]| to - from > SAME_PART).collect();
            spans.sort_by(|p, q| p[0].total_cmp(&q[0]));
            let mut end = 0.0;
            for [from, to] in spans {
                let goes_on = open && from <= end + SAME_PART;
                if goes_on && to <= end {
                    continue;
                }
                match out.last_mut().filter(|_| goes_on) {
                    Some(part) if end > 0.0 => {
                        part.pop();
                        part.push(at(to));
                    }
                    Some(part) => part.push(at(to)),
                    None => out.push(vec![at(from), at(to)]),
                }
                (open, end) = (true, to);
            }
            open = open && end >= 1.0 - SAME_PART;
        }
        // A closed way that begins inside was cut open there for no reason.
        if out.len() > 1 && way.first() == way.last() && out[0].first() == way.first() && open {
            let first = out.remove(0);
            if let Some(last) = out.last_mut() {
                last.extend(first.into_iter().skip(1));
            }
        }
        out
    }

    /// The hull of the rings as a surface with heights by place; only what is inside has a meaning.
    #[must_use]
    pub fn surface(&self, height: impl Fn([f64; 2]) -> f64) -> Surface {
        let height = self.net.place.iter().map(|&p| height(p)).collect();
        Surface { net: Arc::clone(&self.net), height }
    }

    /// Its inside triangles with heights by place.
    pub fn triangles<'a>(&'a self, height: impl Fn([f64; 2]) -> f64 + 'a) -> impl Iterator<Item = Triangle> + 'a {
        (0..index(self.net.triangles())).filter(|&t| self.is_inside(t)).map(move |t| {
            let place = self.net.corners(t).map(|v| self.net.place(v));
            Triangle { place, height: place.map(&height) }
        })
    }

    /// Area inside, square job units.
    #[must_use]
    pub fn area(&self) -> f64 {
        let inside = (0..index(self.net.triangles())).filter(|&t| self.is_inside(t));
        super::sum(inside.map(|t| self.net.doubled_area(t))) / (2.0 * super::SQUARE)
    }

    /// The three lines of an inside triangle as functions over `t`: value at each of its corners, not negative inside.
    pub(crate) fn lines(&self, triangle: u32, t: &Triangle) -> [[f64; 3]; 3] {
        let place = self.net.corners(triangle).map(|v| self.net.place(v));
        let doubled = self.net.doubled_area(triangle);
        [0, 1, 2].map(|k| {
            let (a, b) = (place[(k + 1) % 3], place[(k + 2) % 3]);
            t.place.map(|p| cross(sub(b, a), sub(p, a)) / doubled)
        })
    }
}
