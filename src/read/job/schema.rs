//! The form of a job file as a JSON schema (draft 2020-12), for editors that help while typing.
//!
//! Made from the same table of keys that reads the file, so it cannot say anything else. A schema knows less than the reader: whether a
//! name exists or two numbers fit each other is for `check`.

use super::form::{Form, Kind, Need};
use super::keys::ROOT;
use serde_json::{Map, Value, json};

/// The schema, pretty, a line feed at the end.
#[must_use]
pub fn schema() -> String {
    let mut all = table(&ROOT);
    all.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
    all.insert("title".to_owned(), json!("spadework job file"));
    format!("{:#}\n", Value::Object(all))
}

fn table(form: &Form) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in form.keys {
        let mut kind = of(&key.kind);
        let mut meaning = key.meaning.to_owned();
        match key.need {
            Need::Must => required.push(key.name),
            Need::Else(otherwise) => meaning = format!("{meaning}; if missing: {otherwise}"),
            Need::May => {}
        }
        if key.kept {
            meaning.push_str("; read and checked, not worked out yet");
        }
        kind.insert("description".to_owned(), json!(meaning));
        properties.insert(key.name.to_owned(), Value::Object(kind));
    }
    let mut out = Map::new();
    out.insert("type".to_owned(), json!("object"));
    out.insert("properties".to_owned(), Value::Object(properties));
    out.insert("required".to_owned(), json!(required));
    out.insert("additionalProperties".to_owned(), json!(false));
    out
}

fn of(kind: &Kind) -> Map<String, Value> {
    let text = |pattern: &str| json!({ "type": "string", "pattern": pattern });
    let place = || json!({ "type": "array", "items": { "type": "number" }, "minItems": 2, "maxItems": 2 });
    let spot = || json!({ "anyOf": [{ "type": "string" }, place()] });
    let value = match kind {
        Kind::Text => json!({ "type": "string" }),
        Kind::Name => text(r"^[^\x00-\x1f]*\S[^\x00-\x1f]*$"),
        Kind::File => text(r"\S"),
        Kind::Names => json!({ "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }] }),
        Kind::Yes => json!({ "type": "boolean" }),
        Kind::Whole(least, most) if *most == i64::MAX => json!({ "type": "integer", "minimum": least }),
        Kind::Whole(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Kind::Number(least, most) => json!({ "type": "number", "minimum": least, "maximum": most }),
        Kind::Height => json!({ "type": "number" }),
        // With a unit, or feet-inches; signs for an offset.
        Kind::Thickness => text(r#"^[^-−].*(in|inch|inches|ft|foot|feet|us-ft|m|cm|mm|"|'|[0-9]-[0-9].*)$"#),
        Kind::Offset => text(r#"(in|inch|inches|ft|foot|feet|us-ft|m|cm|mm|"|'|[0-9]-[0-9].*)$"#),
        Kind::Slope => text(r"(%|in/ft|^\s*1\s*:.+)$"),
        Kind::Scale => text(r"^\s*(fit|1\s*:.+|.+=.+)\s*$"),
        Kind::Percent(_) => text(r"%$"),
        Kind::Measure(units) => text(&format!("({})$", units.join("|"))),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Place => place(),
        Kind::Line(least) => json!({ "type": "array", "items": spot(), "minItems": least }),
        Kind::Lines => json!({ "type": "array", "items": { "type": "array", "items": spot(), "minItems": 2 } }),
        Kind::Rings => {
            let ring = json!({ "type": "array", "items": place(), "minItems": 3 });
            json!({ "anyOf": [ring.clone(), { "type": "array", "items": ring, "minItems": 1 }] })
        }
        Kind::Through => json!({
            "type": "array", "items": { "type": ["string", "number"] }, "minItems": 2, "maxItems": 3
        }),
        Kind::Toward => json!({ "type": ["string", "number"] }),
        Kind::Falls => json!({ "type": "array", "items": { "type": "string" }, "minItems": 1, "maxItems": 2 }),
        Kind::Table(form) => Value::Object(table(form)),
        Kind::Tables(form) => json!({ "type": "array", "items": table(form) }),
        Kind::Either(kinds) => json!({ "anyOf": kinds.iter().map(of).collect::<Vec<_>>() }),
    };
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
