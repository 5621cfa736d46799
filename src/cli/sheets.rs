//! Draws the sheets of a job and puts them into files.

use super::Failure;
use super::args::{DepthsName, FormName, PageName, SheetArgs};
use super::commands::internal;
use spadework::job::{Outcome, SheetWish};
use spadework::par;
use spadework::sheet::plan::{Depths, PlanOptions, SaidScale};
use spadework::sheet::set::{self, Page, SetOptions, Sheet};
use spadework::sheet::{Drawing, Paper, PaperSize};
use spadework::units::{LengthUnit, parse_scale};
use spadework::write::{pdf, png, svg};

/// Dots to the inch of a PNG: a tabloid sheet is 2550 by 1650.
const DPI: f64 = 150.0;
/// All sheets in one file.
const SET: &str = "plan.pdf";

/// What was typed, then what the job file says, then the usual.
fn options(args: &SheetArgs, wish: &SheetWish, unit: LengthUnit) -> SetOptions {
    let wished = match wish.paper.as_deref() {
        Some("letter") => Some(PaperSize::Letter),
        Some("tabloid") => Some(PaperSize::Tabloid),
        Some("a4") => Some(PaperSize::A4),
        Some("a3") => Some(PaperSize::A3),
        _ => None,
    };
    let usual = if unit == LengthUnit::Metre { PaperSize::A3 } else { PaperSize::Tabloid };
    let size = args.paper.map(PaperSize::from).or(wished).unwrap_or(usual);
    let scale = match &args.scale {
        // `fit` was checked when it was read, and is no scale.
        Some(text) => parse_scale(text).ok().map(|ratio| SaidScale::new(text, ratio, unit)),
        None => wish.scale.as_ref().map(|(text, ratio)| SaidScale::new(text, *ratio, unit)),
    };
    let depths = match args.depths {
        Some(DepthsName::Tenths) => Depths::Tenths,
        None if wish.in_tenths => Depths::Tenths,
        Some(DepthsName::Tape) | None => Depths::Tape,
    };
    let of = |name: &PageName| match name {
        PageName::Plan => Page::Plan,
        PageName::Schedule => Page::Schedule,
        PageName::Sections => Page::Sections,
        PageName::Drains => Page::Drains,
        PageName::Account => Page::Account,
        PageName::Finish => Page::Finish,
    };
    let pages = if args.pages.is_empty() { Page::ALL.to_vec() } else { args.pages.iter().map(of).collect() };
    SetOptions {
        plan: PlanOptions { paper: Paper::landscape(size), scale, depths, details: true },
        pages,
        turns: true,
        date: args.date.clone().or_else(|| wish.date.clone()),
        revision: args.revision.clone().or_else(|| wish.revision.clone()),
    }
}

/// The sheets asked for, in the forms asked for: names of files and what is in them.
pub(crate) fn files(
    outcome: &Outcome,
    args: &SheetArgs,
    wish: &SheetWish,
    unit: LengthUnit,
) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let options = options(args, wish, unit);
    let sheets = set::sheets(outcome, &options).map_err(|e| Failure::Usage(format!("--scale: {e}")))?;
    let wants = |form| args.forms.is_empty() || args.forms.contains(&form);
    let drawings: Vec<Drawing> = sheets.iter().map(|sheet| sheet.drawing.clone()).collect();
    let title = if outcome.job.trim().is_empty() { "Unnamed job" } else { outcome.job.trim() };
    let packed = || wants(FormName::Pdf).then(|| pdf::bytes(title, &drawings).map_err(internal)).transpose();
    let pictured = || {
        let each = |range: std::ops::Range<usize>| range.map(|k| pictures(&sheets[k], wants)).collect::<Vec<_>>();
        par::chunks(sheets.len(), 1, "drawing", &par::silent, each)
    };
    let (set, pages) = par::both(packed, pictured);
    let mut out: Vec<(String, Vec<u8>)> = set?.map(|bytes| (SET.to_owned(), bytes)).into_iter().collect();
    for page in pages.into_iter().flatten() {
        out.extend(page?);
    }
    Ok(out)
}

fn pictures(sheet: &Sheet, wants: impl Fn(FormName) -> bool) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut out = Vec::new();
    if !wants(FormName::Svg) && !wants(FormName::Png) {
        return Ok(out);
    }
    let text = svg::text(&sheet.drawing).map_err(internal)?;
    let png = wants(FormName::Png).then(|| png::bytes(&text, DPI).map_err(internal)).transpose()?;
    if wants(FormName::Svg) {
        out.push((format!("{}.svg", sheet.name), text.into_bytes()));
    }
    out.extend(png.map(|bytes| (format!("{}.png", sheet.name), bytes)));
    Ok(out)
}
