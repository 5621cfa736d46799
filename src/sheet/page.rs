//! What do the pages of words and tables have in common?
//!
//! ```text
//!  ┌ margin ──────────────────────────┐
//!  │ Title            job   page 1 of 3│  head
//!  │ body                              │
//!  └ margin ───────────────────────────┘  number of the sheet, date, revision: from the set
//! ```
//! Words that are too long for their place shrink, then break into lines, and only then are cut off with a mark. Units: inches of paper;
//! a size is that of the em, a capital being `CAP` of it high.

use super::font::{self, Weight};
use super::levels::cut;
use super::{Align, Colour, Drawing, Group, Paper, PaperPoint, Rect, Stroke, Text};
use crate::job::Outcome;
use crate::units::LengthUnit;

/// White paper kept free all round.
pub const MARGIN: f64 = 0.4;
/// Height of a page's head.
pub(super) const HEAD: f64 = 0.42;
/// Height of capitals and figures over the em.
pub(super) const CAP: f64 = 0.735;
/// Smallest words.
pub(super) const SMALL: f64 = 0.1;
/// For words and lines that must be seen.
pub(super) const INK: Colour = Colour(17, 17, 17);
/// For what only explains.
pub(super) const GREY: Colour = Colour(85, 85, 85);
/// For frames.
pub(super) const FRAME: Colour = Colour(120, 120, 120);
/// Behind every other row: survives a copier as a light tone, and the rules stand without it.
pub(super) const SHADE: Colour = Colour(236, 236, 236);

/// The room of a page inside its margins; number, date and revision stand in the lower one.
#[must_use]
pub fn body(paper: Paper) -> Rect {
    let (w, h) = paper.inches();
    Rect::new(MARGIN, MARGIN, w - 2.0 * MARGIN, h - 2.0 * MARGIN)
}

/// The unit of an outcome.
pub(super) fn unit_of(outcome: &Outcome) -> LengthUnit {
    LengthUnit::from_code(&outcome.units.length).unwrap_or(LengthUnit::Foot)
}

/// Decimals of a height.
pub(super) fn places(unit: LengthUnit) -> usize {
    if unit == LengthUnit::Metre { 3 } else { 2 }
}

/// Title, job and page number.
pub(super) fn head(outcome: &Outcome, paper: Paper, title: &str, page: (usize, usize), group: &mut Group) {
    let body = body(paper);
    let base = body.y + 0.2;
    let title = Text::new("title", PaperPoint::new(body.x, base), 0.22, title).bold().colour(INK);
    let number = if page.1 > 1 { format!("page {} of {}", page.0, page.1) } else { String::new() };
    let number = Text::new("about", PaperPoint::new(body.right(), base), 0.125, &number).colour(INK);
    let x = body.x + title.width() + 0.25;
    let room = body.right() - number.width() - 0.2 - x;
    group.push(Text::new("job", PaperPoint::new(x, base), 0.14, &cut(&outcome.job, 0.14, room)).colour(INK));
    group.push(title);
    group.push(number.align(Align::Right));
    group.push(rule(body.x, body.right(), body.y + 0.3, 0.02));
}

/// A level line.
pub(super) fn rule(from: f64, to: f64, y: f64, width: f64) -> Stroke {
    Stroke::new(vec![PaperPoint::new(from, y), PaperPoint::new(to, y)], width, INK)
}

/// A patch of one colour.
pub(super) fn patch(r: Rect, fill: Colour) -> Stroke {
    Stroke::new(r.corners().to_vec(), 0.0, fill).closed().filled(fill)
}

/// Words in lines no wider than `room`: as they are, smaller down to `least`, or broken into at most `most` lines of that size.
pub(super) fn fitted(words: &str, weight: Weight, em: f64, least: f64, room: f64, most: usize) -> (f64, Vec<String>) {
    let wide = font::width(words, weight, em);
    if wide <= room {
        return (em, vec![words.to_owned()]);
    }
    let smaller = em * room / wide * 0.999;
    if smaller >= least {
        return (smaller, vec![words.to_owned()]);
    }
    let mut lines = font::wrap(words, weight, least, room);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            // A mark says that more was said.
            while font::width(&format!("{last}…"), weight, least) > room && last.pop().is_some() {}
            last.push('…');
        }
    }
    (least, lines)
}

/// A drawing of one page.
pub(super) fn drawing(
    outcome: &Outcome,
    paper: Paper,
    role: &str,
    (groups, scale, dropped): (Vec<Group>, String, usize),
) -> Drawing {
    let job = if outcome.job.is_empty() { String::new() } else { format!("{}: ", font::printable(&outcome.job)) };
    Drawing { paper, title: format!("{job}{role}"), groups, scale, dropped }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::sheet::labels::Box2;
    use crate::sheet::{Item, PaperSize};

    /// Every paper, both ways round.
    pub(in crate::sheet) fn papers() -> Vec<Paper> {
        let sizes = [PaperSize::Letter, PaperSize::Tabloid, PaperSize::A4, PaperSize::A3];
        sizes.into_iter().flat_map(|size| [Paper::landscape(size), Paper::portrait(size)]).collect()
    }

    /// What is wrong with a page: words too small, off the body, over one another, lines off the paper.
    pub(in crate::sheet) fn faults(drawing: &Drawing) -> Vec<String> {
        let mut out = Vec::new();
        let body = body(drawing.paper);
        let room = Rect { h: body.h + 0.05, ..body }.inset(-1e-6);
        let boxes: Vec<(Box2, &Text)> = drawing.texts().map(|text| (Box2::of_words(text), text)).collect();
        for (i, (a, text)) in boxes.iter().enumerate() {
            if text.em < font::SMALLEST {
                out.push(format!("\"{}\" is smaller than 2.5 mm", text.words));
            }
            if !a.corners().into_iter().all(|c| room.holds(c)) {
                out.push(format!("\"{}\" leaves the body", text.words));
            }
            for (b, other) in &boxes[..i] {
                let reach = a.half_w + a.half_h + b.half_w + b.half_h;
                if a.centre.distance(b.centre) < reach && a.overlaps(b) {
                    out.push(format!("\"{}\" over \"{}\"", text.words, other.words));
                }
            }
        }
        for group in &drawing.groups {
            // What is cut off may be drawn beyond.
            if let Some(clip) = group.clip {
                assert!(clip.corners().into_iter().all(|c| room.holds(c)), "{} is cut off outside the body", group.id);
                continue;
            }
            for item in &group.items {
                if let Item::Stroke(s) = item
                    && !s.points.iter().all(|p| room.holds(*p))
                {
                    out.push(format!("a line leaves the body: {:?}", s.points.first()));
                }
            }
        }
        out.iter_mut().for_each(|fault| fault.insert_str(0, &format!("{:?}: ", drawing.paper)));
        out
    }

    #[test]
    fn faults_are_seen() {
        let paper = Paper::landscape(PaperSize::Letter);
        let mut group = Group::new("test");
        let at = PaperPoint::new(2.0, 2.0);
        group.push(Text::new("a", at, 0.09, "small"));
        group.push(Text::new("a", at.by(0.05, 0.0), 0.2, "over"));
        group.push(Text::new("a", PaperPoint::new(10.5, 8.0), 0.1, "in the strip"));
        group.push(rule(1.0, 11.5, 3.0, 0.01));
        let found = faults(&drawing(&Outcome::default(), paper, "test", (vec![group], String::new(), 0)));
        assert_eq!(found.len(), 4, "{found:?}");
    }

    #[test]
    fn words_shrink_then_break_then_are_cut_off() {
        let fit = |room| fitted("drain westward.12", Weight::Bold, 0.19, 0.12, room, 2);
        assert_eq!(fit(3.0), (0.19, vec!["drain westward.12".to_owned()]));
        let (em, lines) = fit(1.5);
        assert!((0.12..0.19).contains(&em) && lines.len() == 1, "{em} {lines:?}");
        assert_eq!(fit(0.9).1.len(), 2);
        let (em, lines) = fit(0.4);
        assert!(lines.len() == 2 && lines[1].ends_with('…'));
        assert!(lines.iter().all(|l| font::width(l, Weight::Bold, em) <= 0.4));
    }
}
