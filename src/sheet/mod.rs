//! What does the sheet look like, line by line, before any file format?
//!
//! A drawing is data: strokes, areas and words in inches of paper ([`Drawing`]). Ground points and paper points are
//! two types, and [`Scale`] is the only door between them, so what is drawn can be measured with a rule.
//! Every width of every word comes from the embedded font ([`font`]), so labels can be kept apart ([`labels`]).

pub mod account;
pub mod chart;
pub mod clip;
pub mod digcheck;
pub mod drains;
mod drawing;
pub mod font;
pub mod hatch;
pub mod join;
pub mod labels;
pub mod levels;
pub mod merge;
pub mod page;
pub mod plan;
#[cfg(test)]
pub(crate) mod sample;
pub mod schedule;
pub mod sections;
pub mod set;

pub use drawing::{
    Align, Area, Colour, Drawing, Ground, Group, Item, Paper, PaperPoint, PaperSize, Rect, Scale, Stroke, Text,
};
