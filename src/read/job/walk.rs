//! Does every key of this file belong there, and does it hold what it should?
//!
//! The tree of the text is walked once against the form; everything wrong is complained of, and the walk goes on.

use super::form::{Form, Key, Kind, Need};
use super::kinds::{Misfit, Reading, spoken};
use super::nearest;
use super::value::{Entry, Said, Span, Table};
use crate::read::{Complaint, Complaints, Source};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The walk under way.
pub(super) struct Walk<'a> {
    pub source: &'a Source,
    pub reading: Reading<'a>,
    pub complaints: &'a mut Complaints,
    /// Defaults in words, each with the things it holds for (none: the job).
    pub defaults: Vec<(&'static str, Vec<String>)>,
    /// Parts that are only kept.
    pub kept: Vec<String>,
    /// Files it names.
    pub files: Vec<(String, Span)>,
}

impl Walk<'_> {
    fn complain(&mut self, span: Span, found: impl Into<String>, expected: impl Into<String>, help: impl Into<String>) {
        self.complaints.push(Complaint::at(self.source, span, found, expected, help));
    }

    /// A table against its form. `path`: as the report names it.
    pub fn table(&mut self, form: &'static Form, path: &str, table: &DeTable<'_>, span: Span) -> Table {
        let mut out = Table { span: span.clone(), ..Table::default() };
        for (name, node) in table.iter() {
            match form.keys.iter().find(|key| key.name == name.get_ref()) {
                Some(key) => {
                    let part = if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
                    if key.kept && !self.kept.contains(&part) {
                        self.kept.push(part.clone());
                    }
                    let said = self.value(key, key.kind, &part, node);
                    if let (Kind::File, Said::Text(file)) = (key.kind, &said) {
                        self.files.push((file.clone(), node.span()));
                    }
                    out.entries.insert(key.name, Entry { span: node.span(), said });
                }
                None => self.unknown(form, name),
            }
        }
        for key in form.keys.iter().filter(|key| !table.iter().any(|(name, _)| name.get_ref() == key.name)) {
            self.missing(form, key, &out, span.clone());
        }
        out
    }

    fn unknown(&mut self, form: &Form, name: &Spanned<std::borrow::Cow<'_, str>>) {
        let found = format!("an unknown key `{}` in {}", name.get_ref(), form.name);
        let all = form.keys.iter().map(|k| k.name);
        let near = nearest(name.get_ref(), all.clone());
        let expected = match near {
            Some(near) => format!("`{near}`"),
            None => format!("one of {}", all.map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")),
        };
        let help = match near.and_then(|near| form.keys.iter().find(|k| k.name == near)) {
            Some(key) => format!("the nearest key is `{}`: {}", key.name, key.meaning),
            None => "remove it, or move it to the table it belongs to".to_owned(),
        };
        self.complain(name.span(), found, expected, help);
    }

    fn missing(&mut self, form: &Form, key: &Key, table: &Table, span: Span) {
        match key.need {
            Need::Must => {
                // The head of the file has no place of its own.
                let span = if span.is_empty() { 0..1 } else { span.clone() };
                let found = format!("{} without `{}`", form.name, key.name);
                self.complain(span, found, format!("`{}`: {}", key.name, key.meaning), format!("add `{}`", key.name));
            }
            Need::Else(text) => {
                let at = match self.defaults.iter().position(|(t, _)| *t == text) {
                    Some(at) => at,
                    None => {
                        self.defaults.push((text, vec![]));
                        self.defaults.len() - 1
                    }
                };
                if let Some(name) = table.text("name") {
                    self.defaults[at].1.push(name.to_owned());
                }
            }
            Need::May => {}
        }
        // What a table that is not there leaves unsaid is said all the same.
        if let (Kind::Table(inner), true) = (key.kind, key.need == Need::May) {
            for key in inner.keys.iter().filter(|k| matches!(k.need, Need::Else(_))) {
                self.missing(inner, key, &Table::default(), span.clone());
            }
        }
    }

    fn value(&mut self, key: &'static Key, kind: Kind, path: &str, node: &Spanned<DeValue<'_>>) -> Said {
        match (kind, node.get_ref()) {
            (Kind::Table(form), DeValue::Table(table)) => Said::Table(self.table(form, path, table, node.span())),
            (Kind::Tables(form), DeValue::Array(all)) if all.iter().all(|n| n.get_ref().is_table()) => {
                let tables = all.iter().filter_map(|n| Some((n.get_ref().as_table()?, n.span())));
                Said::Tables(tables.map(|(t, span)| self.table(form, path, t, span)).collect())
            }
            (Kind::Table(form), value) => {
                let found = spoken(value);
                self.complain(
                    node.span(),
                    found,
                    format!("{}, a table", form.name),
                    format!("{}: write one table of keys", key.meaning),
                );
                Said::Bad
            }
            (Kind::Tables(form), value) => {
                let found = spoken(value);
                let help = if form.name.starts_with("[[") {
                    format!("write {} with two brackets: there may be several", form.name)
                } else {
                    "write a list of tables, `[ { ... }, { ... } ]`".to_owned()
                };
                self.complain(node.span(), found, format!("a list of tables, each {}", form.name), help);
                Said::Bad
            }
            (Kind::Either(kinds), value) => match kinds.iter().find(|k| suits(**k, value)) {
                Some(&kind) => self.value(key, kind, path, node),
                None => {
                    let found = spoken(value);
                    let expected = kinds.iter().map(|k| outline(*k)).collect::<Vec<_>>().join(", or ");
                    self.complain(node.span(), found, expected, format!("{}: {}", key.name, key.meaning));
                    Said::Bad
                }
            },
            (kind, _) => match self.reading.fit(kind, node) {
                Ok(said) => said,
                Err(Misfit { span, found, expected, help }) => {
                    self.complain(span, found, expected, help);
                    Said::Bad
                }
            },
        }
    }
}

/// Whether TOML gives this kind in this form.
fn suits(kind: Kind, value: &DeValue<'_>) -> bool {
    match kind {
        Kind::Name | Kind::Thickness | Kind::Word(_) | Kind::Text => value.is_str(),
        Kind::Height => value.is_integer() || value.is_float(),
        Kind::Place => value.is_array(),
        Kind::Table(_) => value.is_table(),
        _ => false,
    }
}

/// A kind in words, where it is one of several.
fn outline(kind: Kind) -> String {
    match kind {
        Kind::Name => "a name".to_owned(),
        Kind::Thickness => "a length with its unit, such as \"6 in\"".to_owned(),
        Kind::Word(words) => words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", "),
        Kind::Height => "a bare number in the job's unit".to_owned(),
        Kind::Place => "a place, `[northing, easting]`".to_owned(),
        Kind::Table(form) => format!("{}, a table", form.name),
        _ => "a text".to_owned(),
    }
}
