//! What must be left alone, and where do the pipes run?
//!
//! Marked utilities are drawn in the uniform utility colours of the locators (red electric, yellow gas, oil and steam,
//! orange communication, blue water, purple reclaimed water, green sewer and drain), cased in black so that a
//! grey copy still shows them; one whose name says nothing is black and dashed. Ground within the hand-dig width is bounded
//! by fine lines. A root circle is dashed; a footing has ticks toward the ground that carries it.
//! Drains: perforated legs in long dashes, solid legs solid, an arrow the way the water flows.

use super::ground::on_paper;
use super::marks::circle;
use super::stakes::{HALO, WATER, along};
use super::{GREY, INK, SMALL, Site};
use crate::job::KeepOffOut;
use crate::sheet::labels::{self, Placer};
use crate::sheet::{Align, Colour, Group, PaperPoint, Stroke, Text, clip};
use crate::units::{LengthUnit, fixed};

/// Trees.
pub(super) const ROOT: Colour = Colour(38, 106, 52);
pub(super) const ROOT_DASH: &[f64] = &[0.1, 0.05];
pub(super) const UNKNOWN_DASH: &[f64] = &[0.12, 0.05];
/// A perforated leg.
pub(super) const PERFORATED: &[f64] = &[0.2, 0.06];
pub(super) const PIPE: f64 = 0.026;
const NEAR_DASH: &[f64] = &[0.03, 0.03];

/// The colour in which a utility of that name is marked; none where the name does not say.
#[must_use]
pub(super) fn utility_colour(name: &str) -> Option<Colour> {
    const COLOURS: [(&[&str], Colour); 6] = [
        (&["reclaimed", "irrigation", "slurry"], Colour(126, 58, 160)),
        (&["sewer", "drain", "storm"], Colour(0, 140, 70)),
        (&["gas", "oil", "steam", "petroleum", "fuel"], Colour(255, 205, 0)),
        (&["electric", "power", "light", "cable tray"], Colour(214, 30, 40)),
        (&["communication", "telephone", "phone", "data", "fiber", "fibre", "signal", "alarm"], Colour(240, 120, 0)),
        (&["water"], Colour(20, 100, 215)),
    ];
    let name = name.to_lowercase();
    let says = |word: &str| name.split(|c: char| !c.is_alphanumeric()).any(|part| part.starts_with(word));
    COLOURS.into_iter().find(|(words, _)| words.iter().any(|word| says(word))).map(|(_, colour)| colour)
}

/// `2 ft`, `0.6 m`: decimals as few as say it.
pub(super) fn length(value: f64, unit: LengthUnit) -> String {
    let places = (0..2).find(|&d| (fixed(value, d).parse::<f64>().unwrap_or(0.0) - value).abs() < 1e-6).unwrap_or(2);
    format!("{} {}", fixed(value, places), unit.length())
}

/// Pipes, then keep-offs.
pub(super) fn draw(site: &Site<'_>) -> Vec<Group> {
    let mut drains = Group::new("drains");
    for drain in &site.plan.drains {
        for part in clipped(site, &drain.ends) {
            pipe(&part, drain.perforated, &mut drains);
            if let [a, .., b] = part[..] {
                flow(a.towards(b, 0.62), a, b, &mut drains);
            }
        }
    }
    let mut keep = Group::new("keep-offs");
    for k in &site.plan.keep_offs {
        match k.what.as_str() {
            "root circle" => root(site, k, &mut keep),
            "footing" => clipped(site, &k.line).iter().for_each(|part| footing(part, &mut keep)),
            _ => {
                for part in clipped(site, &k.line) {
                    utility(&part, utility_colour(&k.name), &mut keep);
                }
                for pair in k.line.windows(2) {
                    let pair = on_paper(site, pair);
                    for side in [1.0, -1.0] {
                        let near = shifted(&pair, side * site.scale.inches(k.radius));
                        for part in clip::line(&near, &room(site)) {
                            keep.push(Stroke::new(part, 0.007, GREY).dashed(NEAR_DASH));
                        }
                    }
                }
            }
        }
    }
    vec![drains, keep]
}

fn room(site: &Site<'_>) -> crate::sheet::Rect {
    site.layout.plan.inset(0.04)
}

fn clipped(site: &Site<'_>, line: &[(f64, f64)]) -> Vec<Vec<PaperPoint>> {
    clip::line(&on_paper(site, line), &room(site))
}

/// A straight piece moved square to itself, to its left as seen.
pub(super) fn shifted(pair: &[PaperPoint], by: f64) -> Vec<PaperPoint> {
    let (a, b) = (pair[0], pair[1]);
    let long = a.distance(b).max(1e-9);
    let (dx, dy) = (by * (b.y - a.y) / long, -by * (b.x - a.x) / long);
    vec![a.by(dx, dy), b.by(dx, dy)]
}

/// A leg of a drain.
pub(super) fn pipe(line: &[PaperPoint], perforated: bool, group: &mut Group) {
    let stroke = Stroke::new(line.to_vec(), PIPE, WATER);
    group.push(if perforated { stroke.dashed(PERFORATED) } else { stroke });
}

/// An arrow head on a line, from `a` toward `b`.
pub(super) fn flow(at: PaperPoint, a: PaperPoint, b: PaperPoint, group: &mut Group) {
    let long = a.distance(b).max(1e-9);
    let (x, y) = ((b.x - a.x) / long, (b.y - a.y) / long);
    let along = |d: f64, across: f64| at.by(x * d - y * across, y * d + x * across);
    let head = vec![along(0.09, 0.0), along(-0.06, 0.055), along(-0.06, -0.055)];
    group.push(Stroke::new(head, 0.008, Colour::WHITE).closed().filled(WATER));
}

fn root(site: &Site<'_>, k: &KeepOffOut, group: &mut Group) {
    let Some(&at) = k.line.first() else { return };
    let at = site.scale.paper(at);
    let mut ring = circle_of(at, site.scale.inches(k.radius));
    ring.extend(ring.first().copied());
    for part in clip::line(&ring, &room(site)) {
        group.push(Stroke::new(part, 0.022, ROOT).dashed(ROOT_DASH));
    }
    if room(site).inset(0.1).holds(at) {
        trunk(at, group);
    }
}

/// A tree's trunk.
pub(super) fn trunk(at: PaperPoint, group: &mut Group) {
    group.push(Stroke::new(circle(at, 0.06), 0.0, ROOT).closed().filled(ROOT));
}

/// Fine enough for a large circle.
fn circle_of(at: PaperPoint, r: f64) -> Vec<PaperPoint> {
    (0..120)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 120.0).sin_cos();
            at.by(r * cos, r * sin)
        })
        .collect()
}

/// A footing: a double line with slanting ticks between.
pub(super) fn footing(line: &[PaperPoint], group: &mut Group) {
    for pair in line.windows(2) {
        let other = shifted(pair, -0.07);
        for side in [pair.to_vec(), other.clone()] {
            group.push(Stroke::new(side, 0.012, GREY));
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sheet holds a few hundred")]
        let count = (pair[0].distance(pair[1]) / 0.09).floor().max(1.0) as usize;
        for k in 0..count {
            let (from, to) = (k as f64 / count as f64, (k as f64 + 0.7) / count as f64);
            let tick = vec![pair[0].towards(pair[1], from), other[0].towards(other[1], to)];
            group.push(Stroke::new(tick, 0.007, GREY));
        }
    }
}

/// A marked line.
pub(super) fn utility(line: &[PaperPoint], colour: Option<Colour>, group: &mut Group) {
    match colour {
        Some(colour) => {
            group.push(Stroke::new(line.to_vec(), 0.05, INK));
            group.push(Stroke::new(line.to_vec(), 0.032, colour));
        }
        None => group.push(Stroke::new(line.to_vec(), 0.04, INK).dashed(UNKNOWN_DASH)),
    }
}

/// What is said at a keep-off.
fn words(k: &KeepOffOut, unit: LengthUnit) -> String {
    match k.what.as_str() {
        "root circle" => format!("{}: NO MACHINE within {}", k.name, length(k.radius, unit)),
        "footing" => format!("{}: dig nothing under it", k.name),
        _ => format!("{}: HAND DIG within {}", k.name, length(k.radius, unit)),
    }
}

/// Names of keep-offs beside their lines.
pub(super) fn keep_names(site: &Site<'_>, placer: &mut Placer, group: &mut Group) {
    for k in &site.plan.keep_offs {
        let said = words(k, site.unit);
        let is_root = k.what == "root circle";
        let colour = if is_root { ROOT } else { INK };
        for said in [said.clone(), said.replacen(": ", ", ", 1), k.name.clone()] {
            let text = Text::new("keep-off", PaperPoint::new(0.0, 0.0), SMALL, &said).bold().colour(colour).halo(HALO);
            let placed = if is_root { in_circle(site, k, placer, text) } else { beside(site, k, placer, text) };
            if let Some(text) = placed {
                group.push(text);
                break;
            }
            if said == k.name {
                placer.drop_some(1);
            }
        }
    }
}

/// Along the longest piece first, on either side of it.
fn beside(site: &Site<'_>, k: &KeepOffOut, placer: &mut Placer, text: Text) -> Option<Text> {
    let mut pieces: Vec<Vec<PaperPoint>> =
        k.line.windows(2).flat_map(|pair| clipped(site, pair)).filter(|part| part.len() == 2).collect();
    pieces.sort_by(|a, b| b[0].distance(b[1]).total_cmp(&a[0].distance(a[1])));
    let lines: Vec<Vec<PaperPoint>> =
        pieces.iter().flat_map(|pair| [-0.16, 0.11, -0.3, 0.25].map(|off| shifted(pair, off))).collect();
    along(placer, &lines, text)
}

/// By the trunk; else along the circle.
fn in_circle(site: &Site<'_>, k: &KeepOffOut, placer: &mut Placer, text: Text) -> Option<Text> {
    let at = site.scale.paper(*k.line.first()?);
    let (w, h) = (text.width() + 0.04, SMALL * super::stakes::CAP + 0.03);
    if site.shows(k.line[0])
        && let Some(place) = placer.try_place(labels::round(at, w, h, 0.09))
    {
        let text = text.align(Align::Middle);
        return Some(Text { at: place.centre.by(0.0, SMALL * super::stakes::CAP / 2.0), ..text });
    }
    let mut ring = circle_of(at, (site.scale.inches(k.radius) - 0.1).max(0.2));
    ring.extend(ring.first().copied());
    along(placer, &clip::line(&ring, &room(site)), text)
}
