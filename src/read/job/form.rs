//! What can be said of a key of the job file: what it holds, what it means, what holds where it is missing?
//!
//! The keys themselves are listed beside this, in one table for everything: reading, the list of defaults, the list of
//! what is only kept, the JSON schema and the nearest-key help all follow from it.

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// Words for a reader.
    Text,
    /// A name: not empty, one line.
    Name,
    /// Names in a row, as one text or a list.
    Names,
    /// Name of a file beside the job file.
    File,
    /// `true` or `false`.
    Yes,
    /// A whole number, at least the first and at most the second.
    Whole(i64, i64),
    /// A plain number, at least the first and at most the second.
    Number(f64, f64),
    /// A height, a coordinate or a rod reading: a bare number in the job's unit.
    Height,
    /// A text with its unit, zero or more.
    Thickness,
    /// A text with its unit, of either sign.
    Offset,
    /// `2 %`, `1:48`, `1/4 in/ft`; 100 % at most.
    Slope,
    /// `fit`, `1 in = 8 ft`, `1:100`.
    Scale,
    /// A part of a whole in percent, at most so much.
    Percent(f64),
    /// A number with one of these units.
    Measure(&'static [&'static str]),
    /// One of these words.
    Word(&'static [&'static str]),
    /// `[northing, easting]`.
    Place,
    /// Places or names in a row, this many at least.
    Line(usize),
    /// Several of those.
    Lines,
    /// A ring of places, or a ring and its holes.
    Rings,
    /// `[name, height]`, `[name, "offset"]` or `[northing, easting, height]`.
    Through,
    /// A compass word, degrees from north, a name, or `drain A`.
    Toward,
    /// One or two of `"2 % north"`.
    Falls,
    /// A table.
    Table(&'static Form),
    /// Any number of tables.
    Tables(&'static Form),
    /// One of several kinds that TOML tells apart.
    Either(&'static [Kind]),
}

/// What holds where the key is missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Need {
    /// It may not be missing.
    Must,
    /// In words, printed as a default.
    Else(&'static str),
    /// Nothing worth saying.
    May,
}

/// A key.
#[derive(Debug)]
pub(super) struct Key {
    pub name: &'static str,
    pub kind: Kind,
    pub need: Need,
    /// One line for a reader.
    pub meaning: &'static str,
    /// Read and checked, but nothing is worked out from it yet.
    pub kept: bool,
}

/// A table.
#[derive(Debug)]
pub(super) struct Form {
    pub name: &'static str,
    pub keys: &'static [Key],
}

pub(super) const fn must(name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { name, kind, need: Need::Must, meaning, kept: false }
}
pub(super) const fn may(name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { name, kind, need: Need::May, meaning, kept: false }
}
pub(super) const fn or(name: &'static str, kind: Kind, otherwise: &'static str, meaning: &'static str) -> Key {
    Key { name, kind, need: Need::Else(otherwise), meaning, kept: false }
}
pub(super) const fn kept(name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { name, kind, need: Need::May, meaning, kept: true }
}
