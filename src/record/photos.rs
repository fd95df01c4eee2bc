//! The log of the photographs in a record: one row a file.
//!
//! A row says which frame of the pack's list the picture shows; point, phase and
//! stage follow from that and are not written again.

use crate::source::Source;
use std::fmt::Write;

/// One photograph as the record lists it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PhotoRow {
    /// Path of the file, from the record's folder, with forward slashes.
    pub file: String,
    /// Lower-case hex SHA-256 of the file.
    pub sha256: String,
    /// When it was taken by the file's own word, RFC 3339 with the offset
    /// (`2031-05-12T11:05:00+01:00`); nothing where the file does not say.
    pub taken: Option<String>,
    /// Frame of the pack's form (`9-L1-2`); nothing where no person and no card
    /// has said which.
    pub frame: Option<String>,
    /// Code read from the label card in it, whole; nothing where none was read.
    pub card: Option<String>,
    /// Whether a label card is in the picture, by whoever looked.
    pub card_seen: Option<bool>,
    /// Whether a rule is in the picture, by whoever looked.
    pub rule_seen: Option<bool>,
    /// Perceptual hash, as [`Likeness`](super::Likeness) writes it.
    pub look: Option<String>,
    /// What in the file says it was saved again or edited.
    pub resaved: Option<String>,
    /// Authorisation number of whoever took it.
    pub by: Option<String>,
}

impl PhotoRow {
    fn yaml(&self) -> String {
        let mut out = format!("  - file: {}\n    sha256: {}\n", quoted(&self.file), self.sha256);
        let yes = |b: bool| if b { "yes" } else { "no" }.to_string();
        for (key, value) in [
            ("taken", self.taken.clone()),
            ("frame", self.frame.clone()),
            ("card", self.card.as_deref().map(quoted)),
            ("card_seen", self.card_seen.map(yes)),
            ("rule_seen", self.rule_seen.map(yes)),
            ("look", self.look.as_deref().map(quoted)),
            ("resaved", self.resaved.as_deref().map(quoted)),
            ("by", self.by.as_deref().map(quoted)),
        ] {
            let _ = match value {
                Some(value) => writeln!(out, "    {key}: {value}"),
                None => writeln!(out, "    {key}:"),
            };
        }
        out
    }
}

/// A text in double quotes; JSON's form is YAML too, and hides no character.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// The text of a record with `rows` as its list of photographs; every other
/// line stays as it is.
///
/// # Errors
/// Why the text is no record: it cannot be read as YAML, or has no `photos:`.
pub fn with_photos(text: &str, rows: &[PhotoRow]) -> Result<String, String> {
    let (source, error) = Source::read("record.yaml", text.to_string());
    if let Some(error) = error {
        let (line, _) = source.line_column(error.at.start);
        return Err(format!("line {line}: {}", error.message));
    }
    let mut start = None;
    let mut end = text.len();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let top = !line.starts_with([' ', '#', '-', '\n', '\r']);
        if line.starts_with("photos:") {
            start = Some(at);
        } else if start.is_some() && top {
            end = at;
            break;
        }
        at += line.len();
    }
    let Some(start) = start else {
        return Err("there is no key `photos:` at the start of a line".into());
    };
    // Comments and empty lines that lead the next key stay with it.
    let body = &text[start..end];
    let tail = body.rfind(|c: char| !c.is_whitespace()).map_or(0, |_| {
        let mut keep = 0;
        for line in body.split_inclusive('\n').rev() {
            let bare = line.trim();
            if bare.is_empty() || line.starts_with('#') { keep += line.len() } else { break }
        }
        keep
    });
    let end = end - tail;
    let list: String = if rows.is_empty() {
        "photos: []\n".into()
    } else {
        std::iter::once("photos:\n".to_string()).chain(rows.iter().map(PhotoRow::yaml)).collect()
    };
    Ok(format!("{}{list}{}", &text[..start], &text[end..]))
}
