//! The table as JSON Schema (2020-12), for completion and checks in an editor.
//!
//! It accepts what the reader accepts, value by value; what no schema can say
//! (a range that runs downward, an item the library lacks) stays with `check`.

use super::{AS_FOUND, JOB, Key, Kind, Shelf};
use crate::job::read::MAX_TEXT;
use crate::units::Dimension;
use serde_json::{Map, Value as Json, json};
use std::collections::BTreeMap;

/// JSON Schema of a job file.
pub fn job_schema() -> Json {
    document("job", "Job file of cutback: one end of one cable", JOB)
}

/// JSON Schema of an as-found file.
pub fn as_found_schema() -> Json {
    document("as-found", "As-found file of cutback: the figures of one inspection", AS_FOUND)
}

/// JSON Schema of a library item.
pub fn item_schema(shelf: Shelf) -> Json {
    let (name, title) = match shelf {
        Shelf::Cables => ("cable", "Cable of a cutback library"),
        Shelf::Kits => ("kit", "Accessory kit of a cutback library"),
        Shelf::Lugs => ("lug", "Lug or connector of a cutback library"),
        Shelf::Boots => ("boots", "Boot set of a cutback library"),
    };
    // An item is written out in full and names no other.
    let keys: Vec<Key> =
        shelf.keys().iter().filter(|key| !matches!(key.kind, Kind::Item(_))).copied().collect();
    document(name, title, &keys)
}

type Defs = BTreeMap<String, Json>;

fn document(name: &str, title: &str, keys: &[Key]) -> Json {
    let mut defs = Defs::new();
    let mut out = Map::new();
    out.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    out.insert("$id".into(), json!(format!("urn:cutback:schema:{name}")));
    out.insert("title".into(), json!(title));
    out.insert(
        "description".into(),
        json!(
            "A key left empty is a question not answered. Figures carry their unit; no decimal comma; dates are year-month-day."
        ),
    );
    out.extend(group(keys, false, &mut defs));
    out.insert("$defs".into(), json!(defs));
    Json::Object(out)
}

/// A group of keys; an empty one is not answered, unless it must be there.
fn group(keys: &[Key], may_be_empty: bool, defs: &mut Defs) -> Map<String, Json> {
    let mut properties = Map::new();
    for key in keys {
        properties.insert(key.name.into(), property(key, defs));
    }
    let required: Vec<&str> = keys.iter().filter(|k| must_stand(k)).map(|k| k.name).collect();
    let mut out = Map::new();
    out.insert("type".into(), if may_be_empty { json!(["object", "null"]) } else { json!("object") });
    out.insert("properties".into(), Json::Object(properties));
    if !required.is_empty() {
        out.insert("required".into(), json!(required));
    }
    out.insert("additionalProperties".into(), json!(false));
    out
}

/// A required key, or a group that holds one.
fn must_stand(key: &Key) -> bool {
    key.required || matches!(key.kind, Kind::Group(inner) if inner.iter().any(must_stand))
}

fn property(key: &Key, defs: &mut Defs) -> Json {
    let mut out = Map::new();
    out.insert("title".into(), json!(capital(key.title)));
    let takes = key.takes();
    if !matches!(key.kind, Kind::Group(_) | Kind::List(_)) {
        let what = if takes.is_empty() { String::new() } else { format!(": {takes}") };
        let note = if key.note.is_empty() { String::new() } else { format!(" {}", key.note) };
        let text = format!("{}{what}. From {}.{note}", capital(key.title), key.mark.from_whom());
        out.insert("description".into(), json!(text));
    }
    match key.kind {
        Kind::Group(inner) => out.extend(group(inner, !must_stand(key), defs)),
        Kind::List(inner) => {
            out.insert("type".into(), json!(["array", "null"]));
            out.insert("items".into(), Json::Object(group(inner, false, defs)));
        }
        Kind::Choice(words) => choice(key, words, &mut out, defs),
        _ => {
            let (name, shape) = shape(key.kind);
            let reference = json!({"$ref": format!("#/$defs/{name}")});
            defs.insert(name, shape);
            // What is free text already takes `none`.
            if key.none && !matches!(key.kind, Kind::Text | Kind::Texts | Kind::Figures) {
                out.insert("anyOf".into(), json!([reference, none(defs)]));
            } else {
                out.insert("$ref".into(), reference["$ref"].clone());
            }
            if key.required {
                out.insert("type".into(), json!(["string", "number", "boolean"]));
            }
        }
    }
    if matches!(key.kind, Kind::Quantity(_) | Kind::Range(_) | Kind::Date) {
        out.insert("examples".into(), json!([key.sample()]));
    }
    Json::Object(out)
}

fn choice(key: &Key, words: &[&str], out: &mut Map<String, Json>, defs: &mut Defs) {
    let mut known: Vec<Json> = words.iter().map(|word| json!(word)).collect();
    if !key.required {
        known.push(Json::Null);
    }
    if key.none {
        out.insert("anyOf".into(), json!([{"enum": known}, none(defs)]));
    } else {
        out.insert("enum".into(), json!(known));
    }
}

/// The answer `none`, with a reason after a comma if there is one.
fn none(defs: &mut Defs) -> Json {
    defs.insert("none".into(), json!({"type": "string", "pattern": r"^none(,[\s\S]*)?$"}));
    json!({"$ref": "#/$defs/none"})
}

/// Name and schema of what a plain key takes. YAML reads `1214` as a number and
/// `no` as a text; the reader takes both as they are written.
fn shape(kind: Kind) -> (String, Json) {
    let plain = |d: Dimension| d.word().replace(' ', "-");
    match kind {
        Kind::Quantity(d) => (plain(d), json!({"type": ["string", "null"], "pattern": d.pattern()})),
        Kind::Range(d) => {
            (format!("{}-range", plain(d)), json!({"type": ["string", "null"], "pattern": d.range_pattern()}))
        }
        Kind::Count => {
            ("count".into(), json!({"type": ["integer", "null"], "minimum": 0, "maximum": 1_000_000}))
        }
        Kind::YesNo => ("yes-or-no".into(), json!({"enum": ["yes", "no", true, false, null]})),
        Kind::Name | Kind::Item(_) => (
            "name".into(),
            json!({
                "type": ["string", "number", "boolean", "null"],
                "pattern": "^[A-Za-z0-9_-][A-Za-z0-9._-]{0,39}$",
            }),
        ),
        Kind::Date => (
            "date".into(),
            json!({"type": ["string", "null"], "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}),
        ),
        Kind::Texts => (
            "texts".into(),
            json!({
                "type": ["array", "string", "number", "boolean", "null"],
                "maxLength": MAX_TEXT,
                "items": {"type": ["string", "number", "boolean"], "maxLength": MAX_TEXT},
            }),
        ),
        Kind::Figures => (
            "figures".into(),
            json!({
                "type": ["object", "null"],
                "additionalProperties": {"type": ["string", "number", "boolean", "null"]},
            }),
        ),
        _ => (
            "text".into(),
            json!({
                "type": ["string", "number", "boolean", "null"],
                "pattern": r"\S",
                "maxLength": MAX_TEXT,
            }),
        ),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
