//! Which sheets make up the plan set, in which order, and what stands at the foot of each?
//!
//! One size of paper for all, each sheet turned the way that suits it. At the foot of every sheet, in the margin: the job, what the
//! sheet shows, date and revision (a line to write on where they are not said), and which of how many it is; so a single
//! sheet found in the mud says what it belongs to. Units: inches of paper.

use super::font::{self, Weight};
use super::plan::{self, PlanOptions, TooManySheets};
use super::{Align, Colour, Drawing, Group, Paper, PaperPoint, PaperSize, Stroke, Text};
use super::{account, drains, schedule, sections};
use crate::job::Outcome;

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// The grading plan.
    Plan,
    /// Every stake in walking order.
    Schedule,
    /// Sections through the areas.
    Sections,
    /// Drains from the side.
    Drains,
    /// Volumes, trips, orders, build-ups, checks, cautions.
    Account,
    /// The plan for the crew that builds on the dig.
    Finish,
}

impl Page {
    /// All of them, in the order of the set.
    pub const ALL: [Self; 6] = [Self::Plan, Self::Schedule, Self::Sections, Self::Drains, Self::Account, Self::Finish];

    /// The name of its files, without ending.
    #[must_use]
    pub fn stem(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Schedule => "schedule",
            Self::Sections => "sections",
            Self::Drains => "drains",
            Self::Account => "account",
            Self::Finish => "finish",
        }
    }
}

/// What the person may choose.
#[derive(Clone, Debug)]
pub struct SetOptions {
    /// Paper, scale and words of the plan; its paper is that of the whole set.
    pub plan: PlanOptions,
    /// Which sheets.
    pub pages: Vec<Page>,
    /// Whether a plan that shows the ground larger that way is turned.
    pub turns: bool,
    /// Printed on every sheet.
    pub date: Option<String>,
    /// Printed on every sheet.
    pub revision: Option<String>,
}

impl Default for SetOptions {
    fn default() -> Self {
        Self { plan: PlanOptions::default(), pages: Page::ALL.to_vec(), turns: true, date: None, revision: None }
    }
}

/// A sheet of the set.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The name of its files, without ending; one of a kind in the set.
    pub name: String,
    /// What is on it.
    pub drawing: Drawing,
}

/// The sheets asked for, numbered. A sheet with nothing to show is left out.
///
/// # Errors
/// The scale said would take more sheets of plan than anybody lays side by side.
pub fn sheets(outcome: &Outcome, options: &SetOptions) -> Result<Vec<Sheet>, TooManySheets> {
    let mut sheets = Vec::new();
    for page in Page::ALL.into_iter().filter(|page| options.pages.contains(page)) {
        let drawings = drawn(outcome, page, options, sheets.len() + 1)?;
        sheets.extend(drawings.into_iter().enumerate().map(|(k, drawing)| {
            // The first keeps the bare name: it is the one that is looked for.
            let name = if k == 0 { page.stem().to_owned() } else { format!("{}-{}", page.stem(), k + 1) };
            Sheet { name, drawing }
        }));
    }
    let of = sheets.len();
    for (k, sheet) in sheets.iter_mut().enumerate() {
        let foot = foot(&sheet.drawing, (k + 1, of), options);
        sheet.drawing.groups.push(foot);
    }
    Ok(sheets)
}

/// The sheets of one kind, the first of them sheet `number` of the set.
fn drawn(outcome: &Outcome, page: Page, options: &SetOptions, number: usize) -> Result<Vec<Drawing>, TooManySheets> {
    let paper = options.plan.paper;
    let upright = Paper { portrait: true, ..paper };
    let is_small = matches!(paper.size, PaperSize::Letter | PaperSize::A4);
    let turned = || if options.turns { plan::turned(outcome, paper) } else { paper };
    Ok(match page {
        Page::Plan => {
            // In a set with the account the build-ups stand there, and the plan is the larger for it.
            let details = options.plan.details && !options.pages.contains(&Page::Account);
            plan::plans(outcome, &PlanOptions { paper: turned(), details, ..options.plan.clone() })?
        }
        Page::Schedule => schedule::pages(outcome, upright),
        Page::Sections => sections::pages(outcome, paper),
        Page::Drains => drains::pages(outcome, paper),
        Page::Account => account::pages(outcome, if is_small { upright } else { paper }),
        Page::Finish => plan::finish::pages(outcome, turned(), number),
    })
}

/// Size of the words at the foot.
const EM: f64 = 0.1;
/// Of the foot's base line, from the lower edge of the paper: most printers leave a quarter of an inch white.
const UP: f64 = 0.265;
/// From the sides.
const IN: f64 = 0.42;
const INK: Colour = Colour(60, 60, 60);

fn foot(drawing: &Drawing, (number, of): (usize, usize), options: &SetOptions) -> Group {
    let (w, h) = drawing.paper.inches();
    let y = h - UP;
    let mut group = Group::new("foot");
    let at = |x: f64| PaperPoint::new(x, y);
    let sheet = Text::new("foot", at(w - IN), EM, &format!("sheet {number} of {of}")).bold().align(Align::Right);
    let mut right = w - IN - sheet.width() - 0.25;
    group.push(sheet.colour(INK));
    for (label, said) in [("revision", &options.revision), ("date", &options.date)] {
        match said {
            Some(said) => {
                let words =
                    Text::new("foot", at(right), EM, &format!("{label} {said}")).align(Align::Right).colour(INK);
                right -= words.width() + 0.25;
                group.push(words);
            }
            None => {
                const LINE: f64 = 0.75;
                group.push(Stroke::new(vec![at(right - LINE), at(right)], 0.006, INK));
                let words = Text::new("foot", at(right - LINE - 0.05), EM, label).align(Align::Right).colour(INK);
                right -= LINE + 0.05 + words.width() + 0.25;
                group.push(words);
            }
        }
    }
    let lines = font::wrap(&drawing.title, Weight::Regular, EM, right - IN - 0.1);
    let short = match lines.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [first, ..] => format!("{first} …"),
    };
    group.push(Text::new("foot", at(IN), EM, &short).colour(INK));
    group
}
