//! What was received so far, in `photos.json`: one entry a picture, known by its
//! hash. It holds no clock time and no path of the machine: the same pictures
//! give the same bytes, however many runs it took.

use super::gather::harmless;
use super::look::{Kind, Seen};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path};

/// Name and version of the form of `photos.json`.
pub const FORMAT: &str = "cutback-photos-1";

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ledger {
    pub format: String,
    /// Checksum of the pack the pictures were held against.
    pub pack: String,
    /// By SHA-256.
    pub pictures: BTreeMap<String, Picture>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    pub kind: Kind,
    pub bytes: u64,
    /// The names it came under.
    pub names: BTreeSet<String>,
    #[serde(flatten)]
    pub seen: Seen,
    /// Where the copy lies, below the folder of this file.
    pub file: Option<String>,
    /// Frame of the pack's photo list.
    pub frame: Option<String>,
    pub by: Option<By>,
}

/// Who says which frame a picture shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum By {
    /// The card alone: it belongs to one frame only.
    Card,
    /// A person, in the list of frames.
    Person,
}

impl Picture {
    /// Whether `sha` is a SHA-256, and the file lies below the folder of the record.
    fn fits(&self, sha: &str) -> bool {
        let below = |file: &String| Path::new(file).components().all(|c| matches!(c, Component::Normal(_)));
        sha.len() == 64
            && sha.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
            && self.file.as_ref().is_none_or(below)
    }
}

impl Ledger {
    pub fn new(pack: &str) -> Ledger {
        Ledger { format: FORMAT.into(), pack: pack.into(), pictures: BTreeMap::new() }
    }

    /// The ledger in `path`; an empty one where there is no file.
    ///
    /// # Errors
    /// Why it is none of ours, or of another pack.
    pub fn read(path: &Path, pack: &str) -> Result<Ledger, String> {
        let text = match std::fs::read_to_string(path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Ledger::new(pack)),
            Err(error) => return Err(format!("{}: {error}", path.display())),
        };
        let ledger: Ledger = serde_json::from_str(&text).map_err(|e| {
            format!("{} line {}: {e}; it is written by `receive` only", path.display(), e.line())
        })?;
        if ledger.format != FORMAT {
            return Err(format!("{}: of form `{}`, not `{FORMAT}`", path.display(), ledger.format));
        }
        if ledger.pack != pack {
            return Err(format!(
                "{}: holds pictures of a pack with another checksum; give another folder (`--out`)",
                path.display()
            ));
        }
        if let Some((sha, _)) = ledger.pictures.iter().find(|(sha, picture)| !picture.fits(sha)) {
            return Err(format!(
                "{}: the picture `{}` has no SHA-256 for a name, or its file lies elsewhere; it is written by `receive` only",
                path.display(),
                harmless(sha.as_ref())
            ));
        }
        Ok(ledger)
    }

    /// The bytes of the file.
    pub fn text(&self) -> String {
        let text = serde_json::to_string_pretty(self).unwrap_or_default();
        text + "\n"
    }
}
