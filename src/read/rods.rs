//! What did the rod read, as booked?
//!
//! A bare decimal is a decimal of the rod's unit; `5-6 1/2` and `5'6 1/2"` are feet and inches wherever they stand. A table says
//! once how its rods are divided; an entry of the other kind is read as what it says, and asked about. Nothing is guessed: a bare
//! `5.6` is never five feet six. An inch is 0.0254 m, so feet and inches on a metre rod are whole numbers as well.

use super::complaint::Complaints;
use super::number;
use super::shots::read_number;
use super::table::{Field, Row};
use crate::level::{PARTS, Rods};
use crate::shots::MICRO;
use crate::units::{LengthUnit, parse_length, parse_number};

/// A reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    /// Whole twelve-millionths of the rod's unit.
    pub whole: i64,
    /// Whether it had to be rounded to that.
    pub is_cut: bool,
    /// Decimals typed; 0 for feet and inches.
    pub decimals: usize,
    /// Whether it is of another kind than the table's.
    pub is_other: bool,
}

/// Whether a cell is meant as feet and inches: a hyphen inside, a mark of feet or inches, or a fraction.
fn is_feet_inches(cell: &str) -> bool {
    const MARKS: &str = "'\"/\u{2032}\u{2033}\u{2018}\u{2019}\u{201c}\u{201d}\u{2013}\u{2011}⅛¼⅜½⅝¾⅞";
    let inner = cell.trim_start_matches(['-', '+']);
    let letters = cell.chars().any(char::is_alphabetic);
    !letters && parse_number(cell).is_err() && (inner.contains('-') || cell.contains(|c| MARKS.contains(c)))
}

/// Reads a cell; `None` where it is empty or was complained of.
pub(super) fn reading(row: &Row<'_, '_>, field: Field, rods: Rods, complaints: &mut Complaints) -> Option<Reading> {
    let cell = row.cell(field);
    if cell.is_empty() {
        return None;
    }
    if is_feet_inches(cell) {
        return match parse_length(cell, LengthUnit::Foot) {
            Ok(feet) => {
                // A foot on a metre rod is 0.3048 of it, exactly.
                let unit = if rods == Rods::Metres { 0.3048 } else { 1.0 };
                let parts = feet.job_units() * unit * PARTS as f64;
                #[expect(clippy::cast_possible_truncation, reason = "nine digits of feet at most")]
                let whole = parts.round() as i64;
                // What is left beyond the noise of doubles is a fraction that is no 1/64.
                let is_cut = (parts - parts.round()).abs() > 1e-3_f64.max(parts.abs() * 1e-14);
                Some(Reading { whole, is_cut, decimals: 0, is_other: rods != Rods::Inches })
            }
            Err(bad) => {
                let help = "write feet, a hyphen, inches and a fraction, or a decimal";
                complaints.push(row.complaint(field, &bad.expected, help));
                None
            }
        };
    }
    let (micro, is_cut) = read_number(row, field, complaints, number::micro)?;
    let decimals = cell.split_once(['.', ',']).map_or(0, |(_, d)| d.bytes().take_while(u8::is_ascii_digit).count());
    #[expect(clippy::cast_possible_truncation, reason = "12")]
    let parts = PARTS / MICRO as i64;
    Some(Reading { whole: micro * parts, is_cut, decimals, is_other: rods == Rods::Inches })
}
