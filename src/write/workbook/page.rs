//! How does a cell look, and how is it written?
//!
//! A page is written from the top down; a column is a number from 0. References are absolute, so that rows may be copied and sorted.

use rust_xlsxwriter::utility::{column_number_to_name, row_col_to_cell_absolute};
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Formula, Worksheet, XlsxError};

/// The most a cell holds is 32,767; more of a name than this is not told.
const LONGEST: usize = 8000;

/// Height of a line of text, and the most a row may have; points.
const LINE: f64 = 15.0;
const HIGHEST: f64 = 400.0;

/// How a number is told.
#[derive(Clone, Copy, Debug)]
pub(super) enum As {
    /// Volumes, weights, hours, money: to 0.01.
    Hundredths,
    /// What goes into one, to 0.0001.
    Fine,
    /// Parts of one.
    Percent,
    /// Loads, pieces.
    Whole,
}

/// Formats of all pages.
pub(super) struct Look {
    title: Format,
    head: Format,
    head_of_numbers: Format,
    unit: Format,
    text: Format,
    quoted: Format,
    wrapped: Format,
    /// By [`As`]: of a result, of a sum, of a cell to be changed.
    numbers: [[Format; 3]; 4],
}

/// What kind of cell it is, as an index of [`Look::numbers`].
#[derive(Clone, Copy)]
enum Kind {
    Result,
    Sum,
    Input,
}

impl Look {
    pub(super) fn new() -> Self {
        let number = |text: &str| {
            let of = Format::new().set_num_format(text);
            let input = of.clone().set_background_color("FFF3C4").set_border(FormatBorder::Hair);
            [of.clone(), of.set_bold().set_border_top(FormatBorder::Thin), input]
        };
        let head = Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Thin);
        Self {
            title: Format::new().set_bold().set_font_size(14),
            head: head.clone(),
            head_of_numbers: head.set_align(FormatAlign::Right),
            unit: Format::new().set_indent(1),
            text: Format::new(),
            quoted: Format::new().set_quote_prefix(),
            wrapped: Format::new().set_text_wrap().set_align(FormatAlign::Top).set_quote_prefix(),
            numbers: [number("0.00"), number("0.0000"), number("0.0%"), number("0")],
        }
    }

    fn of(&self, of: As, kind: Kind) -> &Format {
        &self.numbers[of as usize][kind as usize]
    }
}

/// A sheet, and the row that is written.
pub(super) struct Page<'a> {
    sheet: &'a mut Worksheet,
    look: &'a Look,
    /// The row that is written, from 0.
    pub(super) row: u32,
}

impl<'a> Page<'a> {
    pub(super) fn new(sheet: &'a mut Worksheet, look: &'a Look) -> Self {
        // A formula that comes to nothing is empty, not 0.
        sheet.set_formula_result_default("");
        Self { sheet, look, row: 0 }
    }

    /// Goes to the next row.
    pub(super) fn down(&mut self) {
        self.row += 1;
    }

    /// Widths of columns, in characters.
    pub(super) fn widths(&mut self, of: &[u16]) -> Result<(), XlsxError> {
        for (column, width) in (0..).zip(of) {
            self.sheet.set_column_width(column, *width)?;
        }
        Ok(())
    }

    /// The first row.
    pub(super) fn title(&mut self, text: &str) -> Result<(), XlsxError> {
        self.sheet.write_string_with_format(self.row, 0, short(text), &self.look.title)?;
        self.down();
        Ok(())
    }

    /// A row of heads; `words` are the columns that hold no numbers.
    pub(super) fn heads(&mut self, of: &[&str], words: &[u16]) -> Result<(), XlsxError> {
        self.sheet.set_row_height(self.row, 2.0 * LINE)?;
        for (column, text) in (0..).zip(of) {
            let look = if words.contains(&column) { &self.look.head } else { &self.look.head_of_numbers };
            self.sheet.write_string_with_format(self.row, column, short(text), look)?;
        }
        self.down();
        Ok(())
    }

    /// A unit, right of its number.
    pub(super) fn unit(&mut self, column: u16, text: &str) -> Result<(), XlsxError> {
        self.sheet.write_string_with_format(self.row, column, short(text), &self.look.unit)?;
        Ok(())
    }

    /// Text, never a formula.
    pub(super) fn text(&mut self, column: u16, text: &str) -> Result<(), XlsxError> {
        let look = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { &self.look.quoted } else { &self.look.text };
        self.sheet.write_string_with_format(self.row, column, short(text), look)?;
        Ok(())
    }

    /// Text over as many lines as it takes in a column so wide.
    pub(super) fn wrapped(&mut self, text: &str, width: u16) -> Result<(), XlsxError> {
        let lines = short(text).chars().count().div_ceil(usize::from(width.max(1))).max(1);
        self.sheet.set_row_height(self.row, (LINE * lines as f64).min(HIGHEST))?;
        self.sheet.write_string_with_format(self.row, 0, short(text), &self.look.wrapped)?;
        Ok(())
    }

    /// A cell to be changed, empty where nothing was said.
    pub(super) fn input(&mut self, column: u16, value: Option<f64>, of: As) -> Result<String, XlsxError> {
        let look = self.look.of(of, Kind::Input);
        match value {
            Some(value) => self.sheet.write_number_with_format(self.row, column, value, look)?,
            None => self.sheet.write_blank(self.row, column, look)?,
        };
        Ok(self.cell(column))
    }

    /// A formula and what it comes to; nothing where it comes to no number.
    pub(super) fn formula(&mut self, column: u16, text: &str, value: Option<f64>, of: As) -> Result<String, XlsxError> {
        self.live(column, text, &value.map_or_else(String::new, |v| v.to_string()), (of, Kind::Result))
    }

    /// The same of a sum.
    pub(super) fn sum(&mut self, column: u16, text: &str, value: Option<f64>, of: As) -> Result<String, XlsxError> {
        self.live(column, text, &value.map_or_else(String::new, |v| v.to_string()), (of, Kind::Sum))
    }

    /// A formula that comes to a word.
    pub(super) fn word(&mut self, column: u16, text: &str, value: &str) -> Result<String, XlsxError> {
        self.live(column, text, value, (As::Whole, Kind::Result))
    }

    fn live(&mut self, column: u16, text: &str, value: &str, look: (As, Kind)) -> Result<String, XlsxError> {
        let formula = Formula::new(format!("={text}")).set_result(value);
        self.sheet.write_formula_with_format(self.row, column, formula, self.look.of(look.0, look.1))?;
        Ok(self.cell(column))
    }

    /// The cell of a column in the row that is written.
    pub(super) fn cell(&self, column: u16) -> String {
        row_col_to_cell_absolute(self.row, column)
    }
}

/// Rows of a column, both ends in it.
pub(super) fn range(column: u16, first: u32, last: u32) -> String {
    let name = column_number_to_name(column);
    format!("${name}${}:${name}${}", first + 1, last + 1)
}

/// As much of a text as a cell holds.
fn short(text: &str) -> &str {
    text.char_indices().nth(LONGEST).map_or(text, |(at, _)| &text[..at])
}
