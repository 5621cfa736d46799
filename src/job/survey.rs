//! From shots and breaklines to a surface, or why there is none.

use crate::finding::{Caution, Refusal, Subject};
use crate::shots::{Frame, MICRO, Shots, from_micro};
use crate::surface::{Asked, Breakline, Cells, Surface, TwoHeights, Unbuildable, same_place};
use crate::units::{LengthUnit, fixed};

/// A surface and what there is to ask about it.
pub(super) type Built = Result<(Surface, Vec<Caution>), Vec<Refusal>>;

/// Builds the surface of a survey. `name`: what the survey is called in findings.
pub(super) fn surface(shots: &Shots, lines: &[Breakline], unit: LengthUnit, frame: Frame, name: &str) -> Built {
    match Surface::build_along(shots, lines, unit, frame, Cells::Nodes) {
        Ok((surface, asked)) => {
            let mut cautions = by_lines(&asked, shots, lines, unit, name);
            cautions.extend(thin(&surface, unit, name));
            Ok((surface, cautions))
        }
        Err(Unbuildable::TwoHeights(all)) => Err(two_heights(&all, shots, lines, unit, name)),
        Err(why) => Err(vec![refusal(&why, name)]),
    }
}

fn refusal(why: &Unbuildable, name: &str) -> Refusal {
    let whole = || Subject::Table(name.to_owned());
    let (subject, expected, help) = match why {
        Unbuildable::TooFew(_) => {
            (whole(), "three or more shots of kind `ground`", "shoot more ground, or check the `kind` column")
        }
        Unbuildable::OnOneLine => (
            whole(),
            "shots that enclose some ground",
            "add a shot beside the line, or check that northing and easting are not the same column",
        ),
        Unbuildable::OnePlace(_, b) => {
            (Subject::Row(name.to_owned(), *b), "one shot at each place", "remove one of the two")
        }
        Unbuildable::Place(_) => (whole(), "places within reach of the arithmetic", "check the coordinates"),
        Unbuildable::TwoHeights(_) | Unbuildable::Tangled => {
            (whole(), "breaklines that can be told apart", "draw each line once, and let lines meet at shots")
        }
    };
    Refusal { subject, found: why.to_string(), expected: expected.to_owned(), help: help.to_owned() }
}

/// So many of a kind are named, the rest counted.
const NAMED: usize = 5;

/// More places than this help nobody: one slip often makes them all.
const MOST: usize = 20;

/// One refusal for every place where lines are at two heights.
fn two_heights(all: &[TwoHeights], shots: &Shots, lines: &[Breakline], unit: LengthUnit, name: &str) -> Vec<Refusal> {
    let apart = fixed(f64::from(same_place(unit)) / MICRO, if unit == LengthUnit::Metre { 3 } else { 2 });
    let mut out: Vec<Refusal> = all
        .iter()
        .take(MOST)
        .map(|two| {
            let [low, high] = two.heights.map(|z| fixed(z, 3));
            let [one, other] = two.lines.map(|k| lines.get(k).map_or("", |l| l.name.as_str()));
            let at = match two.shot {
                Some(row) => format!("on shot {}", shots.names.get(row)),
                None if one == other => "on itself".to_owned(),
                None => format!("where it meets `{other}`"),
            };
            let (n, e) = two.place;
            Refusal {
                subject: Subject::Line(name.to_owned(), one.to_owned()),
                found: format!(
                    "`{one}` at two heights, {low} and {high}, {at}, at N {}, E {}",
                    fixed(n, 3),
                    fixed(e, 3)
                ),
                expected: "one height at one place".to_owned(),
                help: format!(
                    "mend the height, or shoot the crossing and lead both lines through it; for a vertical face draw two lines {apart} {} apart, one along the top and one along the foot",
                    unit.length()
                ),
            }
        })
        .collect();
    if let (Some(last), Some(more)) = (out.last_mut(), all.len().checked_sub(MOST).filter(|&more| more > 0)) {
        last.found.push_str(&format!("; and {more} more such places"));
    }
    out
}

fn by_lines(asked: &Asked, shots: &Shots, lines: &[Breakline], unit: LengthUnit, name: &str) -> Vec<Caution> {
    let line = |k: usize| lines.get(k).map_or("", |l| l.name.as_str());
    let subject = |k: usize| Subject::Line(name.to_owned(), line(k).to_owned());
    let mut out = Vec::new();
    let (bent, near_lines) = (&asked.bent, asked.near.chunk_by(|a, b| a.0 == b.0).count());
    for two in bent.iter().take(NAMED) {
        let Some(row) = two.shot else { continue };
        let text = format!(
            "`{}` passes through shot {}, {} {} off its height; the shot's own counts",
            line(two.lines[0]),
            shots.names.get(row),
            fixed(two.heights[1] - two.heights[0], 3),
            unit.length()
        );
        out.push(Caution::new(subject(two.lines[0]), text));
    }
    for group in asked.near.chunk_by(|a, b| a.0 == b.0).take(NAMED) {
        let ((k, row), others) = (group[0], group.len() - 1);
        let more = if others == 0 { String::new() } else { format!(" and {others} more") };
        let text = format!(
            "`{}` passes {}{more} nearer than {} {} without taking it in: kept apart as typed; if it is meant, name the shot in the line",
            line(k),
            shots.names.get(row),
            fixed(f64::from(same_place(unit)) / MICRO, 3),
            unit.length()
        );
        out.push(Caution::new(subject(k), text));
    }
    for (count, what) in [(bent.len(), "times a line bends at a shot"), (near_lines, "lines that pass a shot so near")]
    {
        if let Some(more) = count.checked_sub(NAMED).filter(|&more| more > 0) {
            out.push(Caution::new(Subject::Table(name.to_owned()), format!("{more} more {what}")));
        }
    }
    out
}

/// Long thin triangles along the edge bridge ground nobody shot.
fn thin(surface: &Surface, unit: LengthUnit, name: &str) -> Option<Caution> {
    let net = surface.net();
    let thin = net.thin();
    let area = crate::surface::sum(thin.iter().map(|&t| net.triangle_area(t)));
    let largest = thin.iter().copied().max_by(|&a, &b| net.triangle_area(a).total_cmp(&net.triangle_area(b)))?;
    let [a, b, c] = net.corners(largest).map(|v| net.place(v));
    let (n, e) = net.frame().site([0, 1].map(|k| (a[k] + b[k] + c[k]) / 3.0));
    let count = if thin.len() == 1 {
        "one long thin triangle".to_owned()
    } else {
        format!("{} long thin triangles", thin.len())
    };
    let text = format!(
        "{count} along the edge, {} {} in all, the largest about N {}, E {}: ground between far-off shots, counted as it is; a limit leaves it out",
        fixed(area, 1),
        unit.area(),
        fixed(n, 1),
        fixed(e, 1)
    );
    Some(Caution::new(Subject::Table(name.to_owned()), text))
}

/// Lines of a survey that stand outside the box of its shots, far enough to be a slip of the pen rather than a line.
pub(super) fn astray(lines: &[Breakline], shots: &Shots, name: &str) -> Vec<Caution> {
    let range = |of: &[i64]| {
        let all = || shots.ground_rows().map(|r| of[r]);
        all().min().zip(all().max())
    };
    let (Some(n), Some(e)) = (range(&shots.northing), range(&shots.easting)) else { return Vec::new() };
    let reach = (n.1 - n.0).max(e.1 - e.0);
    let off = |v: i64, (low, high): (i64, i64)| v < low - reach || v > high + reach;
    let far = |p: &crate::surface::LinePoint| match *p {
        crate::surface::LinePoint::At(pn, pe, _) => (off(pn, n) || off(pe, e)).then_some((pn, pe)),
        crate::surface::LinePoint::Shot(_) => None,
    };
    lines
        .iter()
        .filter_map(|l| {
            let (pn, pe) = l.points.iter().find_map(far)?;
            let text = format!(
                "`{}` has a point at N {}, E {}, farther from the shots than they are from one another: taken as typed; check the place, and that northing and easting are not exchanged",
                l.name,
                fixed(from_micro(pn), 2),
                fixed(from_micro(pe), 2)
            );
            Some(Caution::new(Subject::Line(name.to_owned(), l.name.clone()), text))
        })
        .collect()
}
