//! What does the ground look like, cut along a line?
//!
//! ```text
//!  ~~~~.....____~~~~    existing        every place where the line crosses an edge of a triangle, of an area, of a ring
//!      |~~~~~~~|        finish, layers  dug past it, or where two planes cross, parts two spans; in a span all is straight,
//!      |_______|        dig-to          so its two ends say everything
//! ```
//! Lines: those the job says; then, for every area of which no line yet shows half, one along its fall through its middle, a little past
//! its edges. Method: stretches of the line in convex pieces (Cyrus and Beck 1978), heights by the plane of the piece under the middle of a
//! span: at a step two spans meet at one distance with two heights. Distances and heights in job units.

use super::site::Site;
use super::site_picture::label;
use crate::design::dig::Dug;
use crate::design::drains::upright;
use crate::design::{Grade, mean_falls};
use crate::shots::{Frame, MICRO, to_micro};
use crate::surface::{Position, Region, Surface, Triangle, stretch_in};
use crate::units::LengthUnit;

/// The ground cut along a straight line.
#[derive(Clone, Debug, Default)]
pub struct SectionOut {
    /// Its letter: A, B and so on.
    pub letter: String,
    /// Where it begins: northing, easting.
    pub from: (f64, f64),
    /// Where it ends.
    pub to: (f64, f64),
    /// Its length in plan.
    pub length: f64,
    /// Its straight parts, one behind the other.
    pub spans: Vec<SpanOut>,
    /// Pipes it crosses.
    pub pipes: Vec<PipeCutOut>,
}

/// A part of a section in which everything is straight: heights at both of its ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SpanOut {
    /// From and to, along the section.
    pub at: [f64; 2],
    /// The area it lies in.
    pub area: Option<String>,
    /// The ground.
    pub existing: Option<[f64; 2]>,
    /// Tops of the layers, top down: the first is the finish.
    pub tops: Vec<[f64; 2]>,
    /// Top of firm ground under the build-up.
    pub subgrade: Option<[f64; 2]>,
    /// What the bucket digs to, past the edges as well.
    pub dig_to: Option<[f64; 2]>,
}

/// A pipe a section crosses.
#[derive(Clone, Debug, PartialEq)]
pub struct PipeCutOut {
    /// Where, along the section.
    pub at: f64,
    /// The drain.
    pub drain: String,
    /// Bottom of the pipe inside.
    pub invert: f64,
    /// Inside diameter.
    pub size: f64,
}

type Place = (i64, i64);

/// Parts of a line that count as one place.
const SAME: f64 = 1e-10;

/// A line in the frame, and where it is parted.
struct Line {
    ends: [[f64; 2]; 2],
    length: f64,
    stops: Vec<f64>,
}

impl Line {
    fn new(ends: [Place; 2], frame: Frame) -> Self {
        let ends = ends.map(|p| frame.local(p.0, p.1));
        let length = (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]) / MICRO;
        Self { ends, length, stops: vec![0.0, 1.0] }
    }

    fn at(&self, part: f64) -> [f64; 2] {
        let [a, b] = self.ends;
        [0, 1].map(|k| a[k] + part * (b[k] - a[k]))
    }

    /// Parted where it enters or leaves a convex piece.
    fn cross(&mut self, piece: &[[f64; 2]]) {
        let [a, b] = self.ends;
        self.stops.extend(stretch_in(piece, a, b).into_iter().flatten());
    }

    fn cross_net(&mut self, surface: &Surface) {
        let net = surface.net();
        let [a, b] = self.ends;
        let beside = |corners: &[[f64; 2]; 3]| {
            (0..2).any(|k| {
                let of = |p: fn(f64, f64) -> f64| corners.iter().map(|c| c[k]).reduce(p).unwrap_or(0.0);
                of(f64::max) < a[k].min(b[k]) || of(f64::min) > a[k].max(b[k])
            })
        };
        for t in 0..u32::try_from(net.triangles()).unwrap_or(u32::MAX) {
            let corners = net.corners(t).map(|v| net.place(v));
            if !beside(&corners) {
                self.cross(&corners);
            }
        }
    }

    /// Its spans: from, to, as parts.
    fn spans(&mut self) -> Vec<[f64; 2]> {
        self.stops.sort_by(f64::total_cmp);
        self.stops.dedup_by(|next, held| *next - *held <= SAME);
        self.stops.windows(2).map(|w| [w[0], w[1]]).collect()
    }
}

/// The ground under the ends of a span.
fn ground(surface: &Surface, middle: [f64; 2], ends: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    match surface.net().locate(middle, None) {
        Position::In(t) => Some(ends.map(|p| surface.height_in(t, p))),
        Position::Outside => None,
    }
}

/// Height of the plane of a triangle.
fn on_plane(t: &Triangle, p: [f64; 2]) -> f64 {
    let [a, b, c] = t.place;
    let sub = |u: [f64; 2]| [u[0] - a[0], u[1] - a[1]];
    let (u, v, w) = (sub(b), sub(c), sub(p));
    let cross = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let d = cross(u, v);
    t.height[0] + (cross(w, v) * (t.height[1] - t.height[0]) + cross(u, w) * (t.height[2] - t.height[0])) / d
}

/// Letters: A to Z, then AA.
fn letter(k: usize) -> String {
    let one = |k: usize| char::from(b'A' + u8::try_from(k % 26).unwrap_or(0));
    if k < 26 { one(k).to_string() } else { format!("{}{}", letter(k / 26 - 1), one(k)) }
}

fn named(mut all: Vec<SectionOut>) -> Vec<SectionOut> {
    all.iter_mut().enumerate().for_each(|(k, section)| section.letter = letter(k));
    all
}

/// Sections of a job with areas.
pub(super) fn sections(site: &Site<'_>) -> Vec<SectionOut> {
    let mut out: Vec<SectionOut> = site.job.cuts.iter().map(|&ends| along(site, ends)).collect();
    for area in &site.dig.areas {
        let Some((ends, wide)) = through(site, area) else { continue };
        let shown = |s: &SectionOut| {
            let own = s.spans.iter().filter(|span| span.area.as_deref() == Some(area.said.name.as_str()));
            own.map(|span| span.at[1] - span.at[0]).sum::<f64>()
        };
        if out.iter().all(|s| shown(s) < 0.5 * wide) {
            out.push(along(site, ends));
        }
    }
    named(out)
}

/// A line along an area's fall through its middle, and how much of it lies inside.
fn through(site: &Site<'_>, area: &Dug<'_>) -> Option<([Place; 2], f64)> {
    let frame = site.dig.frame();
    let middle = label(area);
    let (east, north) = mean_falls(&area.pieces, frame);
    let fall = east.hypot(north);
    let way = if fall > 1e-9 { (east / fall, north / fall) } else { (0.0, 1.0) };
    let way = frame.local_direction(way);
    let (low, high) = area.pieces.iter().flat_map(|t| t.place).fold((f64::MAX, f64::MIN), |(l, h), p| {
        let along = (p[0] - middle[0]) * way[0] + (p[1] - middle[1]) * way[1];
        (l.min(along), h.max(along))
    });
    let [from, to] = [low - MICRO, high + MICRO].map(|d| [0, 1].map(|k| middle[k] + d * way[k]));
    let inside = area.pieces.iter().filter_map(|t| stretch_in(&upright(t.place), from, to));
    let (first, last, sum) =
        inside.fold((1.0_f64, 0.0_f64, 0.0), |(f, l, s), [a, b]| (f.min(a), l.max(b), s + (b - a)));
    let whole = high - low + 2.0 * MICRO;
    let least = if site.job.unit == LengthUnit::Metre { 0.6 } else { 2.0 };
    let past = (0.1 * (last - first) * whole).max(least * MICRO) / whole;
    let end = |part: f64| {
        let (n, e) = frame.site([0, 1].map(|k| from[k] + part * (to[k] - from[k])));
        (to_micro(n), to_micro(e))
    };
    (first < last).then(|| ([end(first - past), end(last + past)], sum * whole / MICRO))
}

fn along(site: &Site<'_>, ends: [Place; 2]) -> SectionOut {
    let frame = site.dig.frame();
    let mut line = Line::new(ends, frame);
    line.cross_net(&site.existing);
    for t in site.dig.areas.iter().flat_map(|area| &area.pieces) {
        line.cross(&upright(t.place));
    }
    let past = || site.dig.rings.iter().chain(&site.dig.batters);
    for ring in past() {
        line.cross(&ring.piece);
    }
    let mut spans = Vec::new();
    for parts in line.spans() {
        let (p, middle) = (parts.map(|part| line.at(part)), line.at(f64::midpoint(parts[0], parts[1])));
        let mut span = SpanOut {
            at: parts.map(|part| part * line.length),
            existing: ground(&site.existing, middle, p),
            ..SpanOut::default()
        };
        if let Some(area) = site.dig.areas.iter().find(|area| area.region.holds(middle)) {
            fill(&mut span, area, middle, p);
            spans.extend(dug(span, area, site.job.said.strip.job_units()));
            continue;
        }
        let holds = |piece: &[[f64; 2]]| stretch_in(piece, middle, middle).is_some();
        span.dig_to = past().find(|ring| holds(&ring.piece)).map(|ring| p.map(|p| ring.floor.height(p)));
        spans.push(span);
    }
    SectionOut { pipes: pipes(site, &line), ..section(ends, &line, spans) }
}

fn section(ends: [Place; 2], line: &Line, spans: Vec<SpanOut>) -> SectionOut {
    let place = |p: Place| (crate::shots::from_micro(p.0), crate::shots::from_micro(p.1));
    SectionOut { from: place(ends[0]), to: place(ends[1]), length: line.length, spans, ..SectionOut::default() }
}

/// Finish, layers and subgrade of an area over a span.
fn fill(span: &mut SpanOut, area: &Dug<'_>, middle: [f64; 2], ends: [[f64; 2]; 2]) {
    let holds = |t: &Triangle| stretch_in(&upright(t.place), middle, middle).is_some();
    let own = area.pieces.iter().zip(area.floor()).find(|(t, _)| holds(t));
    let heights = |grade: &Grade, t: Option<&Triangle>| match (grade, t) {
        (Grade::Net(_), Some(t)) => ends.map(|p| on_plane(t, p)),
        _ => ends.map(|p| grade.height(p)),
    };
    let mut top = heights(&area.finish, own.as_ref().map(|(t, _)| *t));
    for layer in &area.section.layers {
        span.tops.push(top);
        top = top.map(|z| z - layer.thick.job_units());
    }
    span.subgrade = Some(heights(&area.subgrade, own.as_ref().map(|(_, t)| t)));
    span.area = Some(area.said.name.clone());
}

/// The span with what is dug to, parted where the bottom of topsoil comes up through the subgrade.
fn dug(mut span: SpanOut, area: &Dug<'_>, strip: f64) -> Vec<SpanOut> {
    let Some(wanted) = span.subgrade.map(|z| z.map(|z| z + area.stop_above)) else { return vec![span] };
    let Some(bare) = span.existing.filter(|_| !area.section.topsoil_may_stay).map(|z| z.map(|z| z - strip)) else {
        span.dig_to = Some(wanted);
        return vec![span];
    };
    let over = [0, 1].map(|k| wanted[k] - bare[k]);
    let least = [0, 1].map(|k| wanted[k].min(bare[k]));
    span.dig_to = Some(least);
    if over[0] * over[1] >= 0.0 {
        return vec![span];
    }
    let part = over[0] / (over[0] - over[1]);
    let mix = |ends: [f64; 2]| ends[0] + part * (ends[1] - ends[0]);
    let half = |k: usize| {
        let cut = |ends: [f64; 2]| if k == 0 { [ends[0], mix(ends)] } else { [mix(ends), ends[1]] };
        let dig = mix(wanted);
        SpanOut {
            at: cut(span.at),
            area: span.area.clone(),
            existing: span.existing.map(cut),
            tops: span.tops.iter().map(|&z| cut(z)).collect(),
            subgrade: span.subgrade.map(cut),
            dig_to: Some(if k == 0 { [least[0], dig] } else { [dig, least[1]] }),
        }
    };
    vec![half(0), half(1)]
}

fn pipes(site: &Site<'_>, line: &Line) -> Vec<PipeCutOut> {
    let mut out = Vec::new();
    for (run, leg) in site.runs.iter().flat_map(|run| run.legs.iter().map(move |leg| (run, leg))) {
        let Some([part, of_leg]) = cross_of(line.ends, leg.ends) else { continue };
        let invert = leg.inverts[0] + of_leg * (leg.inverts[1] - leg.inverts[0]);
        out.push(PipeCutOut { at: part * line.length, drain: run.said.name.clone(), invert, size: leg.size });
    }
    out.sort_by(|a, b| a.at.total_cmp(&b.at));
    out.dedup_by(|a, b| a.drain == b.drain && (a.at - b.at).abs() < 1e-6);
    out
}

/// Where two stretches cross, as a part of each; nothing where they do not, or run alongside.
fn cross_of([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    let sub = |p: [f64; 2], q: [f64; 2]| [p[0] - q[0], p[1] - q[1]];
    let cross = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let (u, v, w) = (sub(b, a), sub(d, c), sub(c, a));
    let whole = cross(u, v);
    if whole.abs() <= f64::EPSILON {
        return None;
    }
    let parts = [cross(w, v) / whole, cross(w, u) / whole];
    parts.iter().all(|part| (0.0..=1.0).contains(part)).then_some(parts)
}

/// The section of two bare surfaces from one place of the frame to another.
pub(super) fn bare(
    existing: &Surface,
    finish: &Surface,
    subgrade: &Surface,
    region: Option<&Region>,
    ends: [[f64; 2]; 2],
) -> Vec<SectionOut> {
    let frame = existing.net().frame();
    let ends = ends.map(|p| frame.site(p)).map(|(n, e)| (to_micro(n), to_micro(e)));
    let mut line = Line::new(ends, frame);
    if line.length <= 0.0 {
        return Vec::new();
    }
    line.cross_net(existing);
    line.cross_net(subgrade);
    let spans = line.spans().into_iter().map(|parts| {
        let (p, middle) = (parts.map(|part| line.at(part)), line.at(f64::midpoint(parts[0], parts[1])));
        let counts = region.is_none_or(|r| r.holds(middle));
        let design = |surface| ground(surface, middle, p).filter(|_| counts);
        let to = design(subgrade);
        SpanOut {
            at: parts.map(|part| part * line.length),
            area: None,
            existing: ground(existing, middle, p),
            tops: design(finish).into_iter().collect(),
            subgrade: to,
            dig_to: to,
        }
    });
    let spans = spans.collect();
    named(vec![section(ends, &line, spans)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_past_the_last() {
        assert_eq!([0, 25, 26, 27, 52].map(letter), ["A", "Z", "AA", "AB", "BA"]);
    }

    #[test]
    fn the_plane_of_a_triangle_is_met_at_its_corners_and_its_middle() {
        let t = Triangle { place: [[0.0, 0.0], [4.0, 0.0], [0.0, 4.0]], height: [1.0, 2.0, 5.0] };
        for (k, p) in t.place.into_iter().enumerate() {
            assert!((on_plane(&t, p) - t.height[k]).abs() < 1e-12);
        }
        assert!((on_plane(&t, [2.0, 2.0]) - 3.5).abs() < 1e-12);
    }
}
