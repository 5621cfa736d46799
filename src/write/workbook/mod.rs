//! How does the estimator go through an estimate cell by cell, and try other figures?
//!
//! A workbook of five sheets: Account (soils, what is dug, what stays, what leaves), Trips, Orders, Prices, Notes. Every number that follows
//! from another is a live formula with its result beside it, so that programs that do not calculate show it too. Cells to be changed are
//! coloured: swell, waste, a box, a price; the rest follows. Without a price the cost of a line is empty. The mix of trucks is not a formula: the
//! loads planned are a cell to be changed, and a line says whether they carry all.
//!
//! Names are written as text, whatever they begin with, and kept as text when a cell is edited. The same outcome gives the same bytes:
//! the date of making is fixed.
//!
//! Known right by: every formula worked out again by another program (`tests/reference/recalculate.py`), and read back against the
//! outcome (`tests/workbook.rs`).

mod account;
mod bought;
mod page;
mod trips;

use crate::job::{HaulOut, Outcome};
use crate::soil::{Class, usual};
use page::{Look, Page};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};

/// The sheets, in order.
pub const SHEETS: [&str; 5] = ["Account", "Trips", "Orders", "Prices", "Notes"];

/// Width of the notes, in characters.
const WIDTH: u16 = 110;

/// Every workbook is said to be made on this day: what is in it does not depend on the day.
const DAY: (u16, u8, u8) = (2000, 1, 1);

/// The estimate of a haul; none without one.
///
/// # Errors
/// What the encoder says.
pub fn bytes(outcome: &Outcome) -> Result<Option<Vec<u8>>, XlsxError> {
    let Some(haul) = &outcome.haul else { return Ok(None) };
    let look = Look::new();
    let mut book = Workbook::new();
    let day = ExcelDateTime::from_ymd(DAY.0, DAY.1, DAY.2)?;
    book.set_properties(
        &DocProperties::new().set_creation_datetime(&day).set_title(format!("Estimate: {}", named(outcome))),
    );
    let anchors = account::sheet(&mut page(&mut book, 0, &look)?, haul, outcome)?;
    let trips = trips::sheet(&mut page(&mut book, 1, &look)?, haul, outcome, &anchors)?;
    let orders = bought::orders(&mut page(&mut book, 2, &look)?, haul, outcome, &anchors)?;
    bought::prices(&mut page(&mut book, 3, &look)?, haul, outcome, (&anchors, &trips, &orders))?;
    notes(&mut page(&mut book, 4, &look)?, haul, outcome)?;
    book.save_to_buffer().map(Some)
}

/// The job's name, or what stands for it.
fn named(outcome: &Outcome) -> &str {
    if outcome.job.is_empty() { "a dig in one line" } else { &outcome.job }
}

fn page<'a>(book: &'a mut Workbook, number: usize, look: &'a Look) -> Result<Page<'a>, XlsxError> {
    let sheet = book.add_worksheet();
    sheet.set_name(SHEETS[number])?.set_landscape().set_print_fit_to_pages(1, 0);
    Ok(Page::new(sheet, look))
}

/// What is not in any number, what to think of, what was assumed, where figures come from.
fn notes(page: &mut Page<'_>, haul: &HaulOut, outcome: &Outcome) -> Result<(), XlsxError> {
    page.widths(&[WIDTH])?;
    page.title(&format!("Notes: {}", named(outcome)))?;
    let own = [
        "each sheet follows the cells coloured; the mix of trucks and the choice of soils do not follow by themselves",
    ];
    let sources: Vec<String> = haul
        .basis
        .soils
        .iter()
        .filter_map(|s| {
            let usual = usual(Class::from_word(s.soil)?);
            let is_usual = s.swell == Some(usual.swell.usual) && s.shrink == Some(usual.shrink.usual);
            Some(format!("{}: swell, shrink {}", s.soil, if is_usual { usual.source } else { "by the job file" }))
        })
        .chain(["layers, plan areas, volumes: the job file and its surveys".to_owned()])
        .chain(outcome.inputs.iter().map(|i| format!("read: {}", i.file)))
        .chain([format!("made by spadework {}", outcome.spadework)])
        .collect();
    let cautions: Vec<String> = outcome.cautions.iter().map(|c| format!("{}: {}", c.subject, c.text)).collect();
    let unpriced = haul.cost.iter().flat_map(|c| &c.unpriced).map(|u| format!("no price: {u}"));
    let excluded: Vec<String> = haul.excluded.iter().cloned().chain(unpriced).collect();
    let blocks: [(&str, Vec<String>); 5] = [
        ("How to use it", own.map(str::to_owned).to_vec()),
        ("Not in it", excluded),
        ("Cautions", cautions),
        ("Not said, so assumed", outcome.defaults.clone()),
        ("Where figures come from", sources),
    ];
    for (head, lines) in blocks.iter().filter(|(_, lines)| !lines.is_empty()) {
        page.down();
        page.heads(&[head], &[0])?;
        for line in lines {
            page.wrapped(line, WIDTH)?;
            page.down();
        }
    }
    Ok(())
}
