//! Which columns does this table have, and which cell is meant?
//!
//! Dialect: comma, semicolon or tab, whichever gives the same number of fields and the most sense in the first rows;
//! with semicolon or tab a decimal comma; quoted fields; any line end. Columns by header in any order (letters and
//! spaces in any case), or without a header in the form's own order.
//!
//! Every cell can be found again in the text: a row knows its first byte, and a cell that is to be marked is looked up by
//! scanning the raw row from there. That is done for complaints only.

use super::cells::{Record, Rows, first_row, lines_about, row_span, scan};
use super::complaint::{Complaint, Complaints, quoted};
use super::number;
use super::source::Source;
use crate::finding::{Caution, Subject};
use std::cell::Cell;
use std::ops::Range;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Point,
    Northing,
    Easting,
    Elevation,
    Description,
    Kind,
    Existing,
    Proposed,
    Ring,
    Line,
    Back,
    Side,
    Fore,
    Distance,
    Date,
    Rain,
    Core,
    From,
    To,
    Thread,
    Ribbon,
    Shake,
    Patty,
    Feel,
    Firmness,
    Rod,
    SetUp,
    Time,
    Truck,
    Loads,
    Loose,
}

/// Every column a table may have, with the names it goes by; the first is the one we use.
const ALIASES: [(Field, &[&str]); 31] = [
    (Field::Point, &["point", "stake", "name"]),
    (Field::Northing, &["northing", "n", "y"]),
    (Field::Easting, &["easting", "e", "x"]),
    (Field::Elevation, &["elevation", "z", "elev", "rl"]),
    (Field::Description, &["description", "note"]),
    (Field::Kind, &["kind", "code"]),
    (Field::Existing, &["existing"]),
    (Field::Proposed, &["proposed"]),
    (Field::Ring, &["ring"]),
    (Field::Line, &["line"]),
    (Field::Back, &["bs", "backsight", "back"]),
    (Field::Side, &["is", "intermediate", "intermediatesight"]),
    (Field::Fore, &["fs", "foresight", "fore"]),
    (Field::Distance, &["distance", "dist"]),
    (Field::Date, &["date", "day", "month"]),
    (Field::Rain, &["rain", "rainfall", "precipitation"]),
    (Field::Core, &["core", "hole"]),
    (Field::From, &["from"]),
    (Field::To, &["to"]),
    (Field::Thread, &["thread", "toughness"]),
    (Field::Ribbon, &["ribbon"]),
    (Field::Shake, &["shake", "dilatancy"]),
    (Field::Patty, &["patty", "drystrength"]),
    (Field::Feel, &["feel"]),
    (Field::Firmness, &["firmness"]),
    (Field::Rod, &["rod", "reading"]),
    (Field::SetUp, &["setup", "set-up"]),
    (Field::Time, &["time"]),
    (Field::Truck, &["truck"]),
    (Field::Loads, &["loads", "trips"]),
    (Field::Loose, &["loose", "volume"]),
];

impl Field {
    fn names(self) -> &'static [&'static str] {
        ALIASES[self as usize].1
    }

    pub(super) fn name(self) -> &'static str {
        self.names()[0]
    }

    fn from_header(cell: &str) -> Option<Self> {
        let key: String = cell.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
        ALIASES.iter().find(|(_, names)| names.contains(&key.as_str())).map(|&(field, _)| field)
    }

    fn is_number(self) -> bool {
        use Field::{Back, Distance, Easting, Elevation, Existing, Fore, From, Northing, Proposed, Rain, Side, To};
        let survey =
            matches!(self, Northing | Easting | Elevation | Existing | Proposed | Back | Side | Fore | Distance);
        survey || matches!(self, Rain | From | To | Self::Rod | Self::Loads)
    }
}

/// What kind of table is wanted.
#[derive(Debug)]
pub(super) struct Form {
    /// Columns that must be there.
    pub required: &'static [Field],
    /// Columns that may be there.
    pub optional: &'static [Field],
    /// Order of columns where there is no header.
    pub order: &'static [Field],
}

/// A table whose columns are known.
#[derive(Debug)]
pub(super) struct Table<'s> {
    pub source: &'s Source,
    delimiter: u8,
    columns: [Option<usize>; ALIASES.len()],
    /// Fields in every row.
    width: usize,
    /// Fewest fields a row can do with: what is missing behind them is not needed.
    least: usize,
    /// First byte behind the header.
    body: usize,
    /// Columns that are not used.
    unused: Vec<String>,
    /// What was taken for granted where there is no header.
    assumed: Option<String>,
    /// The decimal mark the first number with one has.
    mark: Cell<Option<char>>,
}

/// A row under way.
#[derive(Debug)]
pub(super) struct Row<'a, 's> {
    pub table: &'a Table<'s>,
    pub start: usize,
    record: &'a Record,
}

impl<'s> Table<'s> {
    /// Finds the dialect and the columns; complains where a needed one is missing or two claim the same place.
    pub fn open(source: &'s Source, form: &Form, complaints: &mut Complaints) -> Option<Self> {
        let text = source.text();
        let mut at = first_row(text, 0);
        let sniffed = sniff(text);
        if let Some(quote) = scan(text, at, sniffed.unwrap_or(b',')).open {
            complaints.push(unclosed(source, quote));
            return None;
        }
        let Some(delimiter) = sniffed else {
            complaints.push(Complaint::at(
                source,
                source.lines_around(&(at..at)),
                "one field in every row",
                "columns parted by comma, semicolon or tab",
                "export the table as CSV; spaces and other signs do not part columns",
            ));
            return None;
        };
        let mut rows = Rows::new(text, 0, delimiter);
        while rows.advance().is_some() && rows.record.is_blank() {
            at = first_row(text, rows.next);
        }
        let spans = scan(text, at, delimiter).cells;
        let cells: Vec<&str> = rows.record.iter().collect();
        let mut table = Self {
            source,
            delimiter,
            columns: [None; ALIASES.len()],
            width: cells.len(),
            least: 0,
            body: at,
            unused: vec![],
            assumed: None,
            mark: Cell::new(None),
        };
        if is_header(&cells, form, delimiter != b',') {
            table.body = rows.next;
            table.take_header(&cells, &spans, form, complaints)?;
        } else if !form.required.iter().all(|f| form.order.iter().take(cells.len()).any(|o| o == f)) {
            let names: Vec<_> = form.order.iter().map(|f| f.name()).collect();
            complaints.push(Complaint::at(
                source,
                source.lines_around(&(at..at)),
                format!("{} fields and no header", cells.len()),
                format!("a header, or columns in the order {}", names.join(", ")),
                "add a first row that names the columns",
            ));
            return None;
        } else {
            for (k, &field) in form.order.iter().take(cells.len()).enumerate() {
                table.columns[field as usize] = Some(k);
            }
            let names: Vec<_> = form.order.iter().take(cells.len()).map(|f| f.name()).collect();
            table.assumed = Some(names.join(", "));
            table.unused = (form.order.len()..cells.len()).map(|k| format!("column {}", k + 1)).collect();
        }
        let needed = |f: &&Field| **f != Field::Description;
        let all = form.required.iter().chain(form.optional).filter(needed);
        table.least = all.filter_map(|&f| table.columns[f as usize]).max().map_or(0, |k| k + 1);
        Some(table)
    }

    fn take_header(
        &mut self,
        cells: &[&str],
        spans: &[Range<usize>],
        form: &Form,
        complaints: &mut Complaints,
    ) -> Option<()> {
        let span = |k: usize| spans.get(k).cloned().unwrap_or(self.body..self.body);
        let before = complaints.len();
        let mut strange = Vec::new();
        for (k, cell) in cells.iter().enumerate() {
            let known = Field::from_header(cell).filter(|f| form.required.contains(f) || form.optional.contains(f));
            let Some(field) = known else {
                if !cell.is_empty() {
                    strange.push(*cell);
                }
                continue;
            };
            if let Some(first) = self.columns[field as usize] {
                complaints.push(
                    Complaint::at(
                        self.source,
                        span(k),
                        format!("two columns for {}: {} and {}", field.name(), quoted(cells[first]), quoted(cell)),
                        format!("one column for {}", field.name()),
                        "rename or remove the one that is not meant",
                    )
                    .and(self.source, span(first), "the other one"),
                );
            } else {
                self.columns[field as usize] = Some(k);
            }
        }
        let near = |field: &Field| strange.iter().any(|s| field.names().iter().any(|n| alike(s, n)));
        if self.columns.iter().all(Option::is_none) && !form.required.iter().any(near) {
            let names: Vec<_> = form.required.iter().map(|f| f.name()).collect();
            complaints.push(Complaint::at(
                self.source,
                span(0).start..span(cells.len().saturating_sub(1)).end,
                format!("{} in place of a header", and_more(&strange.iter().map(|s| quoted(s)).collect::<Vec<_>>())),
                format!("the names of the columns, {}", names.join(", ")),
                "take out what stands above the header, or add a first row that names the columns",
            ));
            return None;
        }
        for &field in form.required.iter().filter(|&&f| self.columns[f as usize].is_none()) {
            let found: Vec<_> = cells.iter().filter(|c| !c.is_empty()).map(|c| quoted(c)).collect();
            let (mut others, mut help) = (field.names()[1..].join("`, `"), String::new());
            if !others.is_empty() {
                others = format!(" (or `{others}`)");
            }
            if let Some(near) = strange.iter().find(|s| field.names().iter().any(|n| alike(s, n))) {
                help = format!("if {} is meant, name it `{}`", quoted(near), field.name());
            }
            if help.is_empty() {
                help = format!("add the column, or name the one that holds it `{}`", field.name());
            }
            let all = span(0).start..span(cells.len().saturating_sub(1)).end;
            complaints.push(Complaint::at(
                self.source,
                all,
                format!("columns {}", and_more(&found)),
                format!("a column `{}`{others}", field.name()),
                help,
            ));
        }
        self.unused = strange.into_iter().map(quoted).collect();
        (complaints.len() == before).then_some(())
    }

    /// How many rows there are, about.
    pub fn rows_about(&self) -> usize {
        lines_about(&self.source.text()[self.body..])
    }

    /// Whether numbers may have a decimal comma.
    #[inline]
    pub fn decimal_comma(&self) -> bool {
        self.delimiter != b','
    }

    /// Whether a number has another decimal mark than those before it, so that one of the two may part thousands.
    #[inline]
    pub fn changes_mark(&self, cell: &str) -> bool {
        if !self.decimal_comma() {
            return false;
        }
        let mark = cell.chars().find(|&c| c == ',' || c == '.');
        let first = self.mark.get().or(mark);
        self.mark.set(first);
        mark.is_some() && mark != first
    }

    /// Whether there is such a column.
    pub fn has(&self, field: Field) -> bool {
        self.columns[field as usize].is_some()
    }

    /// Marks a whole row.
    pub fn row_span(&self, start: usize) -> Range<usize> {
        row_span(self.source, start, self.delimiter)
    }

    /// Whether there is no header, so that the columns were taken for granted.
    pub fn is_assumed(&self) -> bool {
        self.assumed.is_some()
    }

    /// How many columns there are.
    pub fn width(&self) -> usize {
        self.width
    }

    /// The sign between columns.
    pub fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// What there is to say about the file as a whole: how it was read, columns that are not used.
    pub fn cautions(&self, name: &str) -> Vec<Caution> {
        let about = |text: String| Caution::new(Subject::Table(name.to_owned()), text);
        let label = self.source.label();
        let mut out: Vec<_> =
            self.source.note().map(|note| about(format!("{label} was {note}."))).into_iter().collect();
        if let Some(order) = &self.assumed {
            out.push(about(format!("{label} has no header; its columns were taken as {order}.")));
        }
        if !self.unused.is_empty() {
            out.push(about(format!("{label} has columns that are not used: {}.", and_more(&self.unused))));
        }
        out
    }

    /// Calls `each` with every row that is not blank and has its fields; complains about the others.
    /// Returns how many rows there were.
    pub fn each_row(&self, complaints: &mut Complaints, mut each: impl FnMut(Row<'_, 's>, &mut Complaints)) -> usize {
        let text = self.source.text();
        let mut rows = Rows::new(text, self.body, self.delimiter);
        let mut count = 0;
        while let Some(start) = rows.advance() {
            let record = &rows.record;
            if record.is_blank() {
                continue;
            }
            count += 1;
            if let Some(quote) = record.open {
                complaints.push(unclosed(self.source, quote));
                continue;
            }
            let extra = record.iter().skip(self.width).any(|cell| !cell.is_empty());
            if record.len() < self.least || extra {
                complaints.push(Complaint::at(
                    self.source,
                    self.row_span(start),
                    format!("a row of {} field{}", record.len(), if record.len() == 1 { "" } else { "s" }),
                    format!("{} fields, as in the first row", self.width),
                    "look for a missing or extra separator, or put quotes round a cell that contains one",
                ));
                continue;
            }
            each(Row { table: self, start, record }, complaints);
        }
        if count == 0 {
            let at = first_row(text, 0);
            complaints.push(Complaint::at(
                self.source,
                self.source.lines_around(&(at..at)),
                "a header and no rows",
                match () {
                    () if self.has(Field::Rain) => "a row for every day or month",
                    () if self.has(Field::Core) => "a row for every layer of every core",
                    () if self.has(Field::Truck) => "a row for every load ticket, or for the loads of a day",
                    () if self.has(Field::Rod) || !self.has(Field::Northing) => "a row for every stake that was shot",
                    () => "at least three shots",
                },
                "check that the export wrote its rows, and give that file",
            ));
        }
        count
    }
}

impl Row<'_, '_> {
    /// A cell without the spaces around it; empty where there is no such column.
    #[inline]
    pub fn cell(&self, field: Field) -> &str {
        self.table.columns[field as usize].and_then(|k| self.record.get(k)).unwrap_or("")
    }

    /// Where that cell stands; the whole row where it does not.
    pub fn span(&self, field: Field) -> Range<usize> {
        self.table.columns[field as usize]
            .and_then(|k| scan(self.table.source.text(), self.start, self.table.delimiter).cells.get(k).cloned())
            .unwrap_or_else(|| self.table.row_span(self.start))
    }

    /// A complaint about a cell.
    pub fn complaint(&self, field: Field, expected: &str, help: &str) -> Complaint {
        let cell = self.cell(field);
        let found = if cell.is_empty() { "an empty cell".to_owned() } else { quoted(cell) };
        let found = format!("{found} in column {}", field.name());
        Complaint::at(self.table.source, self.span(field), found, expected, help)
    }
}

/// The first few, and how many more there are.
fn and_more(words: &[String]) -> String {
    const NAMED: usize = 12;
    let more = words.len().saturating_sub(NAMED);
    let text = words[..words.len() - more].join(", ");
    if more > 0 { format!("{text} and {more} more") } else { text }
}

fn unclosed(source: &Source, quote: usize) -> Complaint {
    Complaint::at(
        source,
        quote..quote + 1,
        "a quote that is not closed",
        "a second quote at the end of the cell",
        "close it or take it out; everything behind it was taken for one cell",
    )
}

/// The sign between columns: the one whose first rows are steadiest and make most sense; `None` where no row has two fields.
fn sniff(text: &str) -> Option<u8> {
    const ROWS: usize = 20;
    const BYTES: usize = 1 << 16;
    let end = (0..=BYTES.min(text.len())).rev().find(|&k| text.is_char_boundary(k)).unwrap_or(0);
    let mut best = None;
    for delimiter in [b'\t', b';', b','] {
        let mut rows = Rows::new(&text[..end], 0, delimiter);
        let (mut first, mut score, mut count, mut parted) = (0, 0, 0, false);
        while count < ROWS && rows.advance().is_some() {
            let record = &rows.record;
            if record.is_blank() {
                continue;
            }
            if count == 0 {
                first = record.len();
                score += record.iter().filter(|cell| Field::from_header(cell).is_some()).count();
            }
            count += 1;
            parted |= record.len() > 1;
            let numbers = record.iter().filter(|cell| number::micro(cell, delimiter != b',').is_ok()).count();
            score += usize::from(record.len() > 1 && record.len() == first) + usize::from(numbers > 1);
        }
        if parted && best.is_none_or(|(most, _)| score > most) {
            best = Some((score, delimiter));
        }
    }
    best.map(|(_, delimiter)| delimiter)
}

/// A first row is data where half or more of the fields that should be numbers are; or fewer, and no field is the name
/// of a column. (A typing error in the first row does not make a header of it.)
fn is_header(cells: &[&str], form: &Form, comma: bool) -> bool {
    let wanted: Vec<_> = form.order.iter().zip(cells).filter(|(field, _)| field.is_number()).collect();
    let numbers = wanted.iter().filter(|(_, cell)| number::micro(cell, comma).is_ok()).count();
    let named = cells.iter().any(|cell| Field::from_header(cell).is_some());
    numbers == 0 || (named && numbers * 2 < wanted.len())
}

/// Whether two words are nearly the same: one begins with the other, or at most two letters differ (one in a short word).
fn alike(typed: &str, known: &str) -> bool {
    let typed = typed.to_lowercase();
    if known.len() < 3 || typed.len() < 2 || typed.chars().count() > 30 {
        return false;
    }
    if typed.starts_with(known) || (typed.len() > 2 && known.starts_with(&typed)) {
        return true;
    }
    let known: Vec<char> = known.chars().collect();
    // Levenshtein's distance, one row at a time.
    let mut row: Vec<usize> = (0..=known.len()).collect();
    for (i, c) in typed.chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, k) in known.iter().enumerate() {
            let next = (corner + usize::from(c != *k)).min(row[j].min(row[j + 1]) + 1);
            corner = row[j + 1];
            row[j + 1] = next;
        }
    }
    row[known.len()] <= if known.len() > 4 { 2 } else { 1 }
}
