//! A small judge of JSON Schema, for tests: the keywords that our own schemas
//! and the published one of SARIF use, and a panic at any other, so that nothing
//! passes unread. (A full crate would have the typesetter built twice, see
//! `Cargo.toml`.)

use regex::Regex;
use serde_json::Value;
use std::cell::RefCell;
use std::collections::HashMap;

/// Keywords that say nothing about validity.
const SAID: &[&str] =
    &["$schema", "$id", "$defs", "definitions", "title", "description", "default", "examples"];

pub struct Schema {
    root: Value,
    patterns: RefCell<HashMap<String, Regex>>,
}

impl Schema {
    pub fn new(root: Value) -> Schema {
        Schema { root, patterns: RefCell::default() }
    }

    /// What is wrong with `value`, each with its pointer.
    pub fn errors(&self, value: &Value) -> Vec<String> {
        let mut wrong = Vec::new();
        self.judge(&self.root, value, "", &mut wrong);
        wrong
    }

    pub fn accepts(&self, value: &Value) -> bool {
        self.errors(value).is_empty()
    }

    fn sound(&self, schema: &Value, value: &Value) -> bool {
        let mut wrong = Vec::new();
        self.judge(schema, value, "", &mut wrong);
        wrong.is_empty()
    }

    fn judge(&self, schema: &Value, value: &Value, at: &str, wrong: &mut Vec<String>) {
        let schema = match schema {
            Value::Bool(true) => return,
            Value::Bool(false) => return wrong.push(format!("{at}: nothing belongs here")),
            Value::Object(map) => map,
            other => panic!("no schema: {other}"),
        };
        for (word, rule) in schema {
            let holds = match word.as_str() {
                said if SAID.contains(&said) => true,
                "$ref" => {
                    let pointer = rule.as_str().and_then(|r| r.strip_prefix('#')).expect("a local reference");
                    let target = self.root.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}"));
                    self.judge(target, value, at, wrong);
                    true
                }
                "properties" | "additionalProperties" | "items" => {
                    self.inner(schema, word, rule, value, at, wrong);
                    true
                }
                "anyOf" => list(rule).iter().any(|s| self.sound(s, value)),
                "oneOf" => list(rule).iter().filter(|s| self.sound(s, value)).count() == 1,
                "allOf" => list(rule).iter().all(|s| self.sound(s, value)),
                "not" => !self.sound(rule, value),
                "type" => match rule {
                    Value::Array(types) => types.iter().any(|t| is_of(value, t)),
                    one => is_of(value, one),
                },
                "enum" => list(rule).contains(value),
                "const" => rule == value,
                "required" => value.as_object().is_none_or(|map| {
                    list(rule).iter().all(|name| name.as_str().is_some_and(|n| map.contains_key(n)))
                }),
                "pattern" => value.as_str().is_none_or(|text| self.matches(rule, text)),
                "format" => value.as_str().is_none_or(|text| has_form(rule, text)),
                "minLength" => value.as_str().is_none_or(|t| t.chars().count() as f64 >= number(rule)),
                "maxLength" => value.as_str().is_none_or(|t| t.chars().count() as f64 <= number(rule)),
                "minimum" => value.as_f64().is_none_or(|n| n >= number(rule)),
                "maximum" => value.as_f64().is_none_or(|n| n <= number(rule)),
                "minItems" => value.as_array().is_none_or(|items| items.len() as f64 >= number(rule)),
                "maxItems" => value.as_array().is_none_or(|items| items.len() as f64 <= number(rule)),
                "uniqueItems" => value
                    .as_array()
                    .is_none_or(|items| items.iter().enumerate().all(|(i, v)| !items[..i].contains(v))),
                other => panic!("the keyword `{other}` at {at} is not known here"),
            };
            if !holds {
                let shown: String = value.to_string().chars().take(120).collect();
                wrong.push(format!("{at}: `{word}` does not hold for {shown}"));
            }
        }
    }

    fn inner(
        &self,
        schema: &serde_json::Map<String, Value>,
        word: &str,
        rule: &Value,
        value: &Value,
        at: &str,
        wrong: &mut Vec<String>,
    ) {
        match (word, value) {
            ("items", Value::Array(items)) => {
                items.iter().enumerate().for_each(|(i, v)| self.judge(rule, v, &format!("{at}/{i}"), wrong));
            }
            ("properties", Value::Object(map)) => {
                for (name, inner) in map {
                    if let Some(own) = rule.get(name) {
                        self.judge(own, inner, &format!("{at}/{name}"), wrong);
                    }
                }
            }
            ("additionalProperties", Value::Object(map)) => {
                let known = schema.get("properties");
                for (name, inner) in map.iter().filter(|(n, _)| known.and_then(|k| k.get(n)).is_none()) {
                    self.judge(rule, inner, &format!("{at}/{name}"), wrong);
                }
            }
            _ => {}
        }
    }

    fn matches(&self, rule: &Value, text: &str) -> bool {
        let pattern = rule.as_str().expect("a pattern");
        let mut patterns = self.patterns.borrow_mut();
        let regex = patterns
            .entry(pattern.to_string())
            .or_insert_with(|| Regex::new(pattern).unwrap_or_else(|e| panic!("{pattern}: {e}")));
        regex.is_match(text)
    }
}

fn list(rule: &Value) -> &[Value] {
    rule.as_array().expect("a list")
}

fn number(rule: &Value) -> f64 {
    rule.as_f64().expect("a number")
}

fn is_of(value: &Value, name: &Value) -> bool {
    match name.as_str() {
        Some("null") => value.is_null(),
        Some("boolean") => value.is_boolean(),
        Some("string") => value.is_string(),
        Some("array") => value.is_array(),
        Some("object") => value.is_object(),
        Some("number") => value.is_number(),
        // 3.0 is an integer to a schema.
        Some("integer") => value.as_f64().is_some_and(|n| n.fract() == 0.0),
        other => panic!("no type {other:?}"),
    }
}

fn has_form(rule: &Value, text: &str) -> bool {
    match rule.as_str() {
        Some("date") => text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok(),
        Some("uri") => text.split_once(':').is_some_and(|(scheme, _)| !scheme.contains('/')) && plain(text),
        Some("uri-reference") => plain(text),
        Some("date-time") => text.parse::<jiff::Timestamp>().is_ok(),
        other => panic!("no format {other:?}"),
    }
}

/// Characters that an address may hold.
fn plain(text: &str) -> bool {
    text.chars().all(|c| c.is_ascii_alphanumeric() || "-._~:/?#[]@!$&'()*+,;=%".contains(c))
}

#[test]
fn the_judge_refuses_what_it_should() {
    let schema = Schema::new(serde_json::json!({
        "type": "object",
        "properties": {
            "a": {"$ref": "#/$defs/a", "type": "string"},
            "b": {"anyOf": [{"type": "integer", "minimum": 2}, {"enum": ["x"]}]},
            "c": {"type": "array", "items": {"type": "string"}, "minItems": 1, "uniqueItems": true},
        },
        "required": ["a"],
        "additionalProperties": false,
        "$defs": {"a": {"type": ["string", "null"], "pattern": "^q+$"}},
    }));
    for (good, text) in [
        (true, r#"{"a": "qq", "b": 2, "c": ["x", "y"]}"#),
        (true, r#"{"a": "q", "b": "x"}"#),
        (false, r#"{"a": null}"#),
        (false, r#"{"a": "r"}"#),
        (false, r#"{"b": 3}"#),
        (false, r#"{"a": "q", "b": 1}"#),
        (false, r#"{"a": "q", "c": []}"#),
        (false, r#"{"a": "q", "c": ["x", "x"]}"#),
        (false, r#"{"a": "q", "c": [1]}"#),
        (false, r#"{"a": "q", "d": 1}"#),
        (false, r#"[]"#),
    ] {
        let value = serde_json::from_str(text).expect("JSON");
        assert_eq!(schema.accepts(&value), good, "{text}: {:?}", schema.errors(&value));
    }
}
