//! The list of frames a person confirms or types: `picture,frame` and what helps
//! to fill it.

use super::ledger::Ledger;
use super::place::{Frame, Placed};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The list to look through: every picture without a frame, with the frame
/// proposed for it, or an empty place.
pub fn list(ledger: &Ledger, placed: &Placed, cards: &BTreeMap<String, String>, frames: &[Frame]) -> String {
    let mut out = String::from("picture,frame,card,taken,name\n");
    let mut open: Vec<_> = ledger.pictures.iter().filter(|(_, p)| p.by.is_none()).collect();
    open.sort_by_key(|(_, p)| p.seen.meta.taken.clone());
    for (sha, picture) in open {
        let proposed = placed.proposals.iter().find(|p| p.sha256 == *sha).map_or("", |p| p.frame.as_str());
        let card = cards.get(sha).map_or("", String::as_str);
        let taken = picture.seen.meta.taken.as_deref().unwrap_or("");
        let name = picture.names.first().map_or(String::new(), |n| n.replace('"', "\"\""));
        let _ = writeln!(out, "{},{proposed},{card},{taken},\"{name}\"", &sha[..12]);
    }
    out.push_str("# Frames of this pack; write `none` for a picture that shows no frame:\n");
    for frame in frames {
        let _ = writeln!(out, "# {}: {}", frame.id, frame.text);
    }
    out
}

/// One line a person wrote.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    pub line: usize,
    pub sha256: String,
    /// `None` for a picture that shows no frame.
    pub frame: Option<String>,
}

/// Reads a list of frames. A picture is named by at least eight characters of
/// its hash or by the whole name it came under.
///
/// # Errors
/// Every line that can't be used, with its number and what would help.
pub fn read(text: &str, ledger: &Ledger, frames: &[Frame]) -> Result<Vec<Said>, Vec<String>> {
    let (mut said, mut wrong) = (Vec::<Said>::new(), Vec::new());
    let mut mark = ',';
    for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let line_number = i + 1;
        if i == 0 && line.starts_with("picture") {
            mark = if line.contains(';') { ';' } else { ',' };
            continue;
        }
        if line.trim().is_empty() || line.starts_with('#') {
            continue;
        }
        let mut parts = line.split(mark).map(|p| p.trim().trim_matches('"').trim());
        let (picture, frame) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""));
        if frame.is_empty() {
            continue;
        }
        let hash = picture.len() >= 8 && picture.bytes().all(|b| b.is_ascii_hexdigit());
        let is = |(sha, p): &(&String, &super::ledger::Picture)| {
            (hash && sha.starts_with(&picture.to_ascii_lowercase())) || p.names.contains(picture)
        };
        let found: Vec<&String> = ledger.pictures.iter().filter(is).map(|(sha, _)| sha).collect();
        let [sha] = found[..] else {
            let why = if found.is_empty() {
                "no picture received is called"
            } else {
                "several pictures are called"
            };
            wrong.push(format!(
                "line {line_number}: {why} `{picture}`; write the first twelve characters of its hash"
            ));
            continue;
        };
        let known = frames.iter().find(|f| f.id.eq_ignore_ascii_case(frame));
        if known.is_none() && frame != "none" {
            wrong.push(format!(
                "line {line_number}: the photo list has no frame `{frame}`; frames are written like `{}`",
                frames.first().map_or("1", |f| f.id.as_str())
            ));
            continue;
        }
        let frame = known.map(|f| f.id.clone());
        if let Some(other) = said.iter().find(|s| s.sha256 == *sha || (frame.is_some() && s.frame == frame)) {
            wrong.push(format!("line {line_number}: picture or frame stands in line {} already", other.line));
            continue;
        }
        said.push(Said { line: line_number, sha256: sha.clone(), frame });
    }
    if wrong.is_empty() { Ok(said) } else { Err(wrong) }
}
