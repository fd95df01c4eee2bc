//! The keys of a record, made from the form of its pack.

use super::answer::Kind;
use crate::procedure::{Form, Pack, Reading};
use serde_json::{Map, Value as Json, json};

/// Longest answer, characters.
pub(super) const MAX_TEXT: usize = 4000;

/// What stands under a key.
#[derive(Clone, Debug)]
pub(super) enum Node {
    Leaf(Kind),
    Group(Keys),
    List(Keys),
    /// One value a cell; `spread` takes a single one for all.
    Cells {
        names: Vec<String>,
        kind: Kind,
        spread: bool,
    },
}

pub(super) type Keys = Vec<(String, Node)>;

fn keys<const N: usize>(list: [(&str, Node); N]) -> Keys {
    list.into_iter().map(|(name, node)| (name.to_string(), node)).collect()
}

const TEXT: Node = Node::Leaf(Kind::Text);
const TIME: Node = Node::Leaf(Kind::Time);
const DATE: Node = Node::Leaf(Kind::Date);
const YES_NO: Node = Node::Leaf(Kind::YesNo);
const COUNT: Node = Node::Leaf(Kind::Count);

fn number(unit: &str) -> Node {
    Node::Leaf(Kind::Number(unit.into()))
}

fn reading(reading: &Reading) -> (String, Node) {
    let kind = Kind::of_unit(&reading.unit);
    let node = match reading.cells.as_slice() {
        [_] | [] => Node::Leaf(kind),
        names => Node::Cells { names: names.to_vec(), kind, spread: false },
    };
    (reading.id.clone(), node)
}

/// Every key that a record of this form may hold.
pub(super) fn schema(form: &Form) -> Keys {
    let points = form.points.iter().map(|point| {
        let mut own: Keys = point.readings.iter().map(reading).collect();
        let released = if point.phases {
            Node::Cells {
                names: ["L1", "L2", "L3"].map(String::from).to_vec(),
                kind: Kind::Time,
                spread: true,
            }
        } else {
            TIME
        };
        own.extend(keys([
            ("done_by", TEXT),
            ("asked", TIME),
            ("released", released),
            ("released_by", TEXT),
            ("remote", YES_NO),
            ("note", TEXT),
        ]));
        (point.id.clone(), Node::Group(own))
    });
    let points: Keys = points.collect();
    let tests: Keys = form.tests.iter().map(reading).collect();
    keys([
        (
            "record",
            Node::Group(keys([
                ("format", TEXT),
                ("job", TEXT),
                ("revision", TEXT),
                ("end", TEXT),
                ("pack", Node::Leaf(Kind::Hash)),
                ("zone", Node::Leaf(Kind::Zone)),
                ("completed", TIME),
                ("table", TEXT),
                ("as_found", TEXT),
                ("replaces", Node::Leaf(Kind::Hash)),
            ])),
        ),
        (
            "people",
            Node::List(keys([
                ("authorisation", TEXT),
                ("role", TEXT),
                ("name", TEXT),
                ("employer", TEXT),
                ("up_to", number("kV")),
                ("techniques", TEXT),
                ("valid_to", DATE),
                ("checked_by", TEXT),
                ("on", TIME),
                ("off", TIME),
            ])),
        ),
        (
            "documents",
            Node::List(keys([
                ("document", TEXT),
                ("number", TEXT),
                ("holder", TEXT),
                ("received", TIME),
                ("returned", TIME),
            ])),
        ),
        (
            "isolation",
            Node::Group(keys([
                ("points", Node::List(keys([("locked", YES_NO), ("lock", TEXT)]))),
                ("working_earths", Node::Group(keys([("on", COUNT), ("off", COUNT)]))),
            ])),
        ),
        (
            "instruments",
            Node::List(keys([
                ("what", TEXT),
                ("serial", TEXT),
                ("until", DATE),
                ("certificate", TEXT),
                ("range", TEXT),
                ("digit", number("kV")),
            ])),
        ),
        ("points", Node::Group(points)),
        ("tests", Node::Group(tests)),
        (
            "disconnected",
            Node::List(keys([("item", TEXT), ("here", YES_NO), ("off", TIME), ("back", TIME), ("by", TEXT)])),
        ),
        (
            "deviations",
            Node::List(keys([
                ("point", TEXT),
                ("reading", TEXT),
                ("cell", TEXT),
                ("found", TEXT),
                ("action", TEXT),
                ("lost", number("mm")),
                ("chain_checked", YES_NO),
                ("reason", TEXT),
                ("accepted_by", TEXT),
                ("accepted_role", TEXT),
                ("at", TIME),
            ])),
        ),
        (
            "photos",
            Node::List(keys([
                ("file", TEXT),
                ("sha256", Node::Leaf(Kind::Hash)),
                ("taken", TIME),
                ("frame", TEXT),
                ("card", TEXT),
                ("card_seen", YES_NO),
                ("rule_seen", YES_NO),
                ("look", TEXT),
                ("resaved", TEXT),
                ("by", TEXT),
            ])),
        ),
        (
            "signatures",
            Node::Group(keys([
                ("jointer", Node::Group(keys([("by", TEXT), ("at", TIME)]))),
                ("supervisor", Node::Group(keys([("by", TEXT), ("at", TIME)]))),
            ])),
        ),
        (
            "hand_back",
            Node::Group(keys([
                ("returned_to", TEXT),
                ("returned", TIME),
                ("next_look", DATE),
                ("next_look_by", TEXT),
            ])),
        ),
        (
            "answers",
            Node::List(keys([
                ("query", TEXT),
                ("check", TEXT),
                ("at", TEXT),
                ("answer", TEXT),
                ("by", TEXT),
                ("when", TIME),
            ])),
        ),
    ])
}

/// JSON Schema of the record of a pack: its keys, and what each is written like. The
/// reader is forgiving in form, so a value's own form is left to `verify`.
pub fn record_schema(pack: &Pack) -> Json {
    let job = &pack.job;
    let mut out = Map::new();
    out.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    out.insert("$id".into(), json!("urn:cutback:schema:record"));
    out.insert("title".into(), json!(format!("Record of {} {} at {}", job.number, job.revision, job.end)));
    out.insert("description".into(), json!("A field left empty is not done yet."));
    out.extend(group_json(&schema(&pack.form), "object"));
    let words = json!({"type": ["string", "number", "boolean", "null"], "maxLength": MAX_TEXT});
    out.insert("$defs".into(), json!({"answer": words}));
    Json::Object(out)
}

fn group_json(keys: &Keys, shape: &str) -> Map<String, Json> {
    let properties: Map<String, Json> = keys.iter().map(|(k, node)| (k.clone(), node_json(node))).collect();
    let mut out = Map::new();
    // The file itself is a group; one within it may be left empty.
    let null = (shape != "object").then_some("null");
    let types: Vec<&str> = std::iter::once("object").chain(null).collect();
    out.insert("type".into(), json!(types));
    out.insert("properties".into(), Json::Object(properties));
    out.insert("additionalProperties".into(), json!(false));
    out
}

fn leaf_json(kind: &Kind) -> Json {
    json!({"$ref": "#/$defs/answer", "description": format!("Written {}.", kind.example())})
}

fn node_json(node: &Node) -> Json {
    match node {
        Node::Leaf(kind) => leaf_json(kind),
        Node::Group(keys) => Json::Object(group_json(keys, "part")),
        Node::List(keys) => json!({
            "anyOf": [
                {"type": ["array", "null"], "items": group_json(keys, "object")},
                {"type": "string", "pattern": r"^\s*none\s*$"},
            ],
        }),
        Node::Cells { names, kind, spread } => {
            let cells: Keys = names.iter().map(|n| (n.clone(), Node::Leaf(kind.clone()))).collect();
            let mut shapes = vec![
                Json::Object(group_json(&cells, "part")),
                json!({
                    "type": "array",
                    "items": leaf_json(kind),
                    "minItems": names.len(),
                    "maxItems": names.len(),
                }),
            ];
            // One for all: a release, or no answer and why.
            shapes.push(if *spread {
                leaf_json(kind)
            } else {
                json!({"type": "string", "pattern": r"^\s*[Nn]/[Aa]"})
            });
            json!({"anyOf": shapes})
        }
    }
}
