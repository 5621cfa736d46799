//! Geometry for the plan: contours, tint, arrows, edge, profile. Exact where it can be drawn, coarser only where there is too much to draw.

use super::evaluate::Ground;
use super::sections;
use super::{ArrowOut, ContourOut, FallsOut, LineOut, PlanOut, ProfilePoint, TintOut};
use crate::drainage::Fall;
use crate::finding::{Refusal, Subject};
use crate::shots::{Frame, Kind, MICRO, Shots, from_micro};
use crate::surface::{Breakline, LinePoint, Position, Region, Surface};
use crate::units::{Length, fixed};
use crate::volume::{Bands, Overlay};
use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};

/// Contour lines of a surface at these levels, on the site.
pub(super) fn lines_out(surface: &Surface, levels: &[f64]) -> Vec<LineOut> {
    let frame = surface.net().frame();
    surface
        .contours(levels)
        .into_iter()
        .map(|c| LineOut {
            level: c.level,
            points: c.points.iter().map(|&p| frame.site(p)).collect(),
            closed: c.closed,
        })
        .collect()
}

/// The same cut off where the region ends. A line that is parted comes out as several, none of them closed.
pub(super) fn lines_inside(surface: &Surface, levels: &[f64], region: &Region) -> Vec<LineOut> {
    let frame = surface.net().frame();
    let mut out = Vec::new();
    for c in surface.contours(levels) {
        let parts = region.parts(&c.points);
        let whole = parts.len() == 1 && parts[0].len() == c.points.len();
        out.extend(parts.into_iter().map(|points| LineOut {
            level: c.level,
            points: points.into_iter().map(|p| frame.site(p)).collect(),
            closed: c.closed && whole,
        }));
    }
    out
}

/// Length and number of lines at each level, the levels in rising order.
pub(super) fn by_level(lines: &[LineOut], levels: &[f64]) -> Vec<ContourOut> {
    let mut levels = levels.to_vec();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let length = |line: &LineOut| line.points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum::<f64>();
    levels
        .into_iter()
        .map(|level| {
            let at: Vec<&LineOut> = lines.iter().filter(|l| l.level == level).collect();
            ContourOut {
                level,
                length: at.iter().map(|l| length(l)).sum(),
                lines: at.len(),
                closed: at.iter().filter(|l| l.closed).count(),
            }
        })
        .collect()
}

/// Whole multiples of `step` from the lowest to the highest; nothing if there is no such step or too many.
pub(super) fn multiples(low: f64, high: f64, step: f64) -> Option<Vec<f64>> {
    let (first, last) = ((low / step - 1e-9).ceil(), (high / step + 1e-9).floor());
    if !(step > 0.0 && step.is_finite() && last - first < MOST_LEVELS) {
        return None;
    }
    let decimals = (0..9).find(|&d| (step * 10_f64.powi(d) - (step * 10_f64.powi(d)).round()).abs() < 1e-9);
    let neat = |v: f64| decimals.map_or(v, |d| (v * 10_f64.powi(d)).round() / 10_f64.powi(d));
    // Counted, not added up: where a multiple is so large that one more changes nothing, adding would never end.
    let count = (0..=10_000).take_while(|&k| first + f64::from(k) <= last);
    let mut out: Vec<f64> = count.map(|k| neat((first + f64::from(k)) * step)).collect();
    out.retain(|&level| level > low && level <= high);
    out.dedup();
    Some(out)
}

/// More lines than this are no picture but a slip in the interval.
const MOST_LEVELS: f64 = 10_000.0;

/// As [`multiples`], or why there is none.
pub(super) fn every(surface: &Surface, step: f64, name: &str) -> Result<Vec<f64>, Refusal> {
    let (low, high) = heights(surface);
    multiples(low, high, step).ok_or_else(|| Refusal {
        subject: Subject::Table(name.to_owned()),
        found: format!("an interval of {step} that makes more than {MOST_LEVELS} levels"),
        expected: "an interval above 0 that suits the heights of the survey".to_owned(),
        help: "give a larger --interval".to_owned(),
    })
}

/// Where breaklines run.
pub(super) fn breaks(lines: &[Breakline], shots: &Shots) -> Vec<Vec<(f64, f64)>> {
    let place = |point: &LinePoint| match *point {
        LinePoint::Shot(row) => shots.place(row),
        LinePoint::At(n, e, _) => (from_micro(n), from_micro(e)),
    };
    lines.iter().map(|line| line.points.iter().map(place).collect()).collect()
}

/// Lowest and highest vertex.
pub(super) fn heights(surface: &Surface) -> (f64, f64) {
    let count = u32::try_from(surface.net().vertices()).unwrap_or(u32::MAX);
    (0..count).map(|v| surface.height(v)).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| (l.min(z), h.max(z)))
}

/// A step of 1, 2 or 5 times a power of ten, not below `value`.
fn round_up(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return 1.0;
    }
    let power = 10_f64.powf(value.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|s| s * power >= value * (1.0 - 1e-9)).unwrap_or(10.0);
    // Through decimal digits, so that the step is the number a person would type.
    fixed(step * power, 6).parse().unwrap_or(step * power)
}

/// About as many lines as a sheet can bear and a person follow.
const LINES: f64 = 10.0;
/// More pieces of tint than this make a file nobody can open; then the tint is a mosaic.
const MOST_PIECES: usize = 20_000;
/// Cells of that mosaic along the longer side.
const MOSAIC: i32 = 140;
/// Places looked at along the profile.
const PROFILE: i32 = 240;

pub(super) fn plan(ground: &Ground<'_>, total: &Overlay, drainage: Option<&FallsOut>) -> (PlanOut, Vec<ContourOut>) {
    let (existing, subgrade) = (&ground.existing, &ground.design.subgrade);
    let frame = existing.net().frame();
    let (low, high) = heights(subgrade);
    let (low, high) = {
        let e = heights(existing);
        (low.min(e.0), high.max(e.1))
    };
    let interval = ground.job.interval.map_or_else(|| interval_for(low, high), Length::job_units);
    let levels = |s| {
        let (low, high) = heights(s);
        multiples(low, high, interval).unwrap_or_default()
    };
    let (of_existing, of_subgrade) = (levels(existing), levels(subgrade));
    let subgrade_lines = lines_out(subgrade, &of_subgrade);
    let contours = by_level(&subgrade_lines, &of_subgrade);
    let (tint, zero_line) = tint(ground, total);
    let finish = &ground.design.finish;
    let [from, to] = ends(ground, drainage);
    let plan = PlanOut {
        cuts: sections::bare(existing, finish, subgrade, ground.region.as_ref(), [from, to]),
        finish: lines_out(finish, &levels(finish)),
        finish_arrows: arrows(ground),
        existing: lines_out(existing, &of_existing),
        subgrade: subgrade_lines,
        interval,
        tint,
        zero_line,
        edge: edge(ground),
        breaks: breaks(&ground.job.existing_lines, &ground.job.existing),
        arrows: arrows(ground),
        outlets: ground
            .job
            .outlets
            .iter()
            .map(|(name, n, e)| (name.clone(), from_micro(*n), from_micro(*e), subgrade.height_at(*n, *e)))
            .collect(),
        benches: (0..ground.job.existing.len())
            .filter(|&r| ground.job.existing.kind[r] == Kind::Bench)
            .map(|r| {
                let (n, e) = ground.job.existing.place(r);
                (ground.job.existing.names.get(r).to_owned(), n, e, ground.job.existing.elevation[r])
            })
            .collect(),
        lows: lows(drainage, subgrade, frame),
        set_up: ground.job.set_up.as_ref().map(|(_, said)| said.clone()),
        profile: profile(ground, drainage),
        ..PlanOut::default()
    };
    (plan, contours)
}

fn lows(drainage: Option<&FallsOut>, subgrade: &Surface, frame: Frame) -> Vec<(f64, f64, f64)> {
    let mut seen = std::collections::HashSet::new();
    let ends = drainage.iter().flat_map(|d| &d.paths).filter(|p| p.end == "low");
    ends.filter(|p| seen.insert([p.northing, p.easting].map(f64::to_bits)))
        .filter_map(|p| {
            let at = frame.local(crate::shots::to_micro(p.northing), crate::shots::to_micro(p.easting));
            Some((p.northing, p.easting, subgrade.height_local(at)?))
        })
        .collect()
}

/// An interval that makes about as many lines as a sheet bears.
pub(super) fn interval_for(low: f64, high: f64) -> f64 {
    round_up((high - low) / LINES)
}

/// Depths that part the bands: two steps of cut, two of fill, and zero; and the step.
pub(super) fn depths_for(deepest: f64) -> ([f64; 5], f64) {
    let step = round_up(deepest / 3.0);
    ([-2.0 * step, -step, 0.0, step, 2.0 * step], step)
}

fn tint(ground: &Ground<'_>, total: &Overlay) -> (Vec<TintOut>, Vec<[(f64, f64); 2]>) {
    let (depths, step) = depths_for(total.max_cut.max(total.max_fill));
    let middle = |band: usize| (band as f64 - 2.5) * step;
    let (existing, subgrade) = (&ground.existing, &ground.design.subgrade);
    let frame = existing.net().frame();
    if total.pairs <= MOST_PIECES {
        let bands = Bands::between(existing, subgrade, ground.region.as_ref(), &depths);
        let site = |ring: &[[f64; 2]]| ring.iter().map(|&p| frame.site(p)).collect();
        let pieces = bands.pieces.iter().map(|b| TintOut { depth: middle(b.band), ring: site(&b.ring) }).collect();
        let zero = bands.zero.iter().map(|[a, b]| [frame.site(*a), frame.site(*b)]).collect();
        return (pieces, zero);
    }
    let (low, high) = subgrade.net().bounds();
    let cell = (high[0] - low[0]).max(high[1] - low[1]) / f64::from(MOSAIC);
    let mut pieces = Vec::new();
    for (x, y) in (0..MOSAIC).flat_map(|x| (0..MOSAIC).map(move |y| (x, y))) {
        let corner = |dx: i32, dy: i32| [low[0] + f64::from(x + dx) * cell, low[1] + f64::from(y + dy) * cell];
        let at = [corner(0, 0)[0] + cell / 2.0, corner(0, 0)[1] + cell / 2.0];
        let counts = ground.region.as_ref().is_none_or(|r| r.holds(at));
        if let (true, Some(a), Some(b)) = (counts, existing.height_local(at), subgrade.height_local(at)) {
            let band = depths.iter().filter(|&&d| a - b >= d).count();
            let ring = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)].map(|p| frame.site(p));
            pieces.push(TintOut { depth: middle(band), ring: ring.to_vec() });
        }
    }
    (pieces, Vec::new())
}

/// Rings of the ground that counts: both hulls and the limit, for drawing (geo; never fed back into a volume).
fn edge(ground: &Ground<'_>) -> Vec<Vec<(f64, f64)>> {
    let frame = ground.existing.net().frame();
    let polygon = |ring: Vec<(f64, f64)>| {
        Polygon::new(LineString(ring.into_iter().map(|(n, e)| Coord { x: e, y: n }).collect()), Vec::new())
    };
    let hull = |s: &Surface| {
        let ring = s.net().outline().into_iter().map(|v| frame.site(s.net().place(v))).collect();
        MultiPolygon(vec![polygon(ring)])
    };
    let mut both = hull(&ground.existing).intersection(&hull(&ground.design.subgrade));
    if let Some(rings) = &ground.job.limit {
        let site =
            |ring: &Vec<(i64, i64)>| polygon(ring.iter().map(|&(n, e)| (from_micro(n), from_micro(e))).collect());
        let mut rings = rings.iter();
        if let Some(outer) = rings.next() {
            let mut limit = MultiPolygon(vec![site(outer)]);
            for hole in rings {
                limit = limit.difference(&MultiPolygon(vec![site(hole)]));
            }
            both = both.intersection(&limit);
        }
    }
    let open = |line: &LineString| line.0.iter().map(|c| (c.y, c.x)).collect::<Vec<_>>();
    both.0.iter().flat_map(|p| std::iter::once(open(p.exterior())).chain(p.interiors().iter().map(open))).collect()
}

/// Arrows over the subgrade, on a loose lattice; the sheet leaves out those it has no room for.
fn arrows(ground: &Ground<'_>) -> Vec<ArrowOut> {
    const ACROSS: i32 = 5;
    let subgrade = &ground.design.subgrade;
    let (low, high) = subgrade.net().bounds();
    let side = (high[0] - low[0]).max(high[1] - low[1]);
    let mut out = Vec::new();
    for (x, y) in (0..ACROSS).flat_map(|y| (0..ACROSS).map(move |x| (x, y))) {
        let at = [(low[0], x), (low[1], y)].map(|(l, k)| l + (f64::from(k) + 0.5) / f64::from(ACROSS) * side);
        let Position::In(t) = subgrade.net().locate(at, None) else { continue };
        if ground.region.as_ref().is_some_and(|r| !r.holds(at)) || ground.existing.height_local(at).is_none() {
            continue;
        }
        let fall = Fall::of(subgrade, t);
        let (northing, easting) = subgrade.net().frame().site(at);
        out.push(ArrowOut { northing, easting, slope: fall.slope.ratio(), azimuth: fall.azimuth });
    }
    out
}

/// Along the longest path that ends well, straight from its start to its end; else down the overall fall through the middle.
fn profile(ground: &Ground<'_>, drainage: Option<&FallsOut>) -> Vec<ProfilePoint> {
    let subgrade = &ground.design.subgrade;
    let [from, to] = ends(ground, drainage);
    let length = (to[0] - from[0]).hypot(to[1] - from[1]) / MICRO;
    (0..=PROFILE)
        .map(|k| {
            let part = f64::from(k) / f64::from(PROFILE);
            let at = [0, 1].map(|i| from[i] + part * (to[i] - from[i]));
            ProfilePoint {
                distance: part * length,
                existing: ground.existing.height_local(at),
                finish: ground.design.finish.height_local(at),
                subgrade: subgrade.height_local(at),
            }
        })
        .collect()
}

/// Where the profile begins and ends, in the frame.
fn ends(ground: &Ground<'_>, drainage: Option<&FallsOut>) -> [[f64; 2]; 2] {
    let subgrade = &ground.design.subgrade;
    let frame = subgrade.net().frame();
    let micro = |n: f64, e: f64| frame.local(crate::shots::to_micro(n), crate::shots::to_micro(e));
    let (low, high) = subgrade.net().bounds();
    let middle = [0, 1].map(|k| f64::midpoint(low[k], high[k]));
    let highest = ground.job.outlets.first().and_then(|(_, n, e)| {
        let end = frame.local(*n, *e);
        subgrade.height_local(end)?;
        let count = u32::try_from(subgrade.net().vertices()).unwrap_or(u32::MAX);
        let top = (0..count).max_by(|&a, &b| subgrade.height(a).total_cmp(&subgrade.height(b)).then(b.cmp(&a)))?;
        Some((subgrade.net().place(top), end))
    });
    let (from, to) = highest.unwrap_or_else(|| {
        let (n, e) = frame.site(middle);
        let azimuth = drainage.map_or(0.0, |d| d.overall_azimuth).to_radians();
        let half = (high[0] - low[0]).hypot(high[1] - low[1]) / 2.0 / MICRO;
        let (dn, de) = (half * azimuth.cos(), half * azimuth.sin());
        (micro(n - dn, e - de), micro(n + dn, e + de))
    });
    [from, to]
}
