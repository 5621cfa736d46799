//! What was said under each key, once it is known to be of the right kind, and where it stands.

use crate::design::said::Place;
use crate::units::{Length, Slope};
use std::collections::BTreeMap;
use std::ops::Range;

/// Bytes of the job file.
pub(super) type Span = Range<usize>;

/// A table whose keys are all known.
#[derive(Clone, Debug, Default)]
pub(super) struct Table {
    /// Its head, or all of it where it stands in braces.
    pub span: Span,
    pub entries: BTreeMap<&'static str, Entry>,
}

/// A value and its places.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub span: Span,
    pub said: Said,
}

/// A value.
#[derive(Clone, Debug)]
pub(super) enum Said {
    /// Complained of already.
    Bad,
    Text(String),
    Word(&'static str),
    Yes(bool),
    Number(f64),
    Length(Length),
    Slope(Slope),
    /// A part of a whole.
    Part(f64),
    Place(Place),
    Names(Vec<(String, Span)>),
    Spots(Vec<(Spot, Span)>),
    Lines(Vec<Vec<(Spot, Span)>>),
    Rings(Vec<Vec<(Place, Span)>>),
    Through(Through),
    Toward(Toward),
    Falls(Vec<(Slope, Toward, Span)>),
    Table(Table),
    Tables(Vec<Table>),
}

/// A place, or the name of one.
#[derive(Clone, Debug)]
pub(super) enum Spot {
    Name(String),
    Place(Place),
}

/// Where a plane passes.
#[derive(Clone, Debug)]
pub(super) enum Through {
    /// A named place at a height of its own.
    At(String, f64),
    /// So far from a named place's own height.
    Off(String, Length),
    /// A place and a height.
    Here(Place, f64),
}

/// Downhill.
#[derive(Clone, Debug)]
pub(super) enum Toward {
    Azimuth(f64),
    Drain(String),
    Name(String),
}

/// One accessor for each kind: `None` where the key is missing or was complained of.
macro_rules! get {
    ($($name:ident, $variant:ident, $out:ty, $v:ident => $give:expr;)*) => {
        $(pub fn $name(&self, key: &str) -> Option<$out> {
            match &self.entries.get(key)?.said { Said::$variant($v) => Some($give), _ => None }
        })*
    };
}

impl Table {
    get! {
        text, Text, &str, v => v.as_str();
        word, Word, &'static str, v => v;
        number, Number, f64, v => *v;
        length, Length, Length, v => *v;
        slope, Slope, Slope, v => *v;
        part, Part, f64, v => *v;
        names, Names, &[(String, Span)], v => v;
        spots, Spots, &[(Spot, Span)], v => v;
        lines, Lines, &[Vec<(Spot, Span)>], v => v;
        place, Place, Place, v => *v;
        rings, Rings, &[Vec<(Place, Span)>], v => v;
        through, Through, &Through, v => v;
        toward, Toward, &Toward, v => v;
        falls, Falls, &[(Slope, Toward, Span)], v => v;
        table, Table, &Table, v => v;
    }

    /// Whether a yes-or-no key was answered yes.
    pub fn yes(&self, key: &str) -> bool {
        matches!(self.entries.get(key).map(|e| &e.said), Some(Said::Yes(true)))
    }

    /// The tables of a list, none where it is missing.
    pub fn tables(&self, key: &str) -> &[Self] {
        match self.entries.get(key).map(|e| &e.said) {
            Some(Said::Tables(all)) => all,
            _ => &[],
        }
    }

    /// A place or name.
    pub fn spot(&self, key: &str) -> Option<Spot> {
        match &self.entries.get(key)?.said {
            Said::Text(name) => Some(Spot::Name(name.clone())),
            Said::Place(place) => Some(Spot::Place(*place)),
            _ => None,
        }
    }

    /// Whether the key is there, sound or not.
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Where the value of a key stands, or the table itself.
    pub fn at(&self, key: &str) -> Span {
        self.entries.get(key).map_or_else(|| self.span.clone(), |e| e.span.clone())
    }
}
