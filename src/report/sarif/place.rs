//! Places of a log: files, regions, pointers.

use super::super::span;
use super::text;
use crate::finding::Place;
use crate::source::Source;
use serde_json::{Map, Value, json};

/// Name of the folder that addresses are relative to.
pub(super) const BASE: &str = "%SRCROOT%";

/// Files of a log in the order they are first named.
#[derive(Default)]
pub(super) struct Artifacts(Vec<String>);

impl Artifacts {
    pub fn index(&mut self, uri: &str) -> usize {
        self.0.iter().position(|known| known == uri).unwrap_or_else(|| {
            self.0.push(uri.to_string());
            self.0.len() - 1
        })
    }

    pub fn location(&mut self, uri: &str) -> Value {
        let index = self.index(uri);
        json!({"uri": address(uri), "uriBaseId": BASE, "index": index})
    }

    pub fn list(&self) -> Vec<Value> {
        self.0.iter().map(|uri| json!({"location": {"uri": address(uri), "uriBaseId": BASE}})).collect()
    }

    /// One location, or nothing where its source is not in the list.
    pub fn place(&mut self, sources: &[Source], uris: &[String], place: &Place) -> Option<Value> {
        let (source, uri) = (sources.get(place.source)?, uris.get(place.source)?);
        let at = span(sources, place);
        let (line, column) = source.line_column(at.start);
        let (end_line, end_column) = source.line_column(at.end);
        let mut out = json!({
            "physicalLocation": {
                "artifactLocation": self.location(uri),
                "region": {
                    "startLine": line,
                    "startColumn": column,
                    "endLine": end_line,
                    "endColumn": end_column,
                },
            },
        });
        if !place.pointer.is_empty() {
            out["logicalLocations"] = json!([{"fullyQualifiedName": place.pointer, "kind": "property"}]);
        }
        if !place.label.is_empty() {
            out["message"] = text(&place.label);
        }
        Some(out)
    }
}

/// The first place is the result's own, the others are related to it.
pub(super) fn put(result: &mut Map<String, Value>, places: Vec<Value>) {
    let mut places = places.into_iter();
    result.insert("locations".into(), json!(places.next().into_iter().collect::<Vec<_>>()));
    let related: Vec<Value> = places
        .enumerate()
        .map(|(i, mut place)| {
            place["id"] = json!(i + 1);
            place
        })
        .collect();
    if !related.is_empty() {
        result.insert("relatedLocations".into(), json!(related));
    }
}

/// A relative path as an address (RFC 3986): all but the plain characters of a
/// path are written in hexadecimal.
fn address(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"/-._~!$&'()*+,;=@".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    #[test]
    fn addresses_hold_no_bare_blank() {
        assert_eq!(super::address("jobs/east wing/Ä:1.yaml"), "jobs/east%20wing/%C3%84%3A1.yaml");
    }
}
