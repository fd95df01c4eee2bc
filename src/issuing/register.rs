//! The register: one line a pack, each with the hash of the line before, so
//! that nothing can be taken out or changed unseen.

use super::{IssueError, disk, sha256};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::fs::File;
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// One issued pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    pub job: String,
    pub end: String,
    pub revision: String,
    pub replaces: String,
    pub date: String,
    pub pack_sha256: String,
    pub pdf_sha256: String,
    /// Of the blank record.
    #[serde(default)]
    pub record_sha256: String,
    /// SHA-256 of the line before, its line end left out; noughts on the first.
    pub previous: String,
}

/// One completed record, sealed after it was judged.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seal {
    /// Always `record`: it tells this line from that of a pack.
    pub sealed: String,
    pub job: String,
    pub end: String,
    pub revision: String,
    pub date: String,
    pub verdict: String,
    pub pack_sha256: String,
    pub record_sha256: String,
    /// Of the printed verification.
    pub report_sha256: String,
    /// Of the list of photographs as `sha256sum` prints it, sorted.
    pub photos_sha256: String,
    /// Of the table of readings beside the record; not there where there is none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub table_sha256: String,
    pub previous: String,
}

#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Line {
    Seal(Seal),
    Pack(Entry),
}

/// The register of one folder, read and checked.
#[derive(Debug)]
pub struct Register {
    path: PathBuf,
    entries: Vec<Entry>,
    seals: Vec<Seal>,
    /// Hash of the last whole line.
    last: String,
    /// Bytes that end in whole lines; a torn line of a killed run is beyond.
    whole: u64,
    torn: bool,
}

/// Why a register can't be trusted or read.
#[derive(Debug)]
pub enum RegisterError {
    Disk(PathBuf, std::io::Error),
    Line { path: PathBuf, line: usize, why: String },
}

impl fmt::Display for RegisterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RegisterError::Disk(path, error) => write!(f, "can't read {}: {error}", path.display()),
            RegisterError::Line { path, line, why } => {
                write!(
                    f,
                    "{} line {line}: {why}; nothing is issued on a register that was changed",
                    path.display()
                )
            }
        }
    }
}

impl std::error::Error for RegisterError {}

const NAME: &str = "register.jsonl";

impl Register {
    /// Reads the register in `root`; none is an empty one.
    ///
    /// # Errors
    /// Disk, or a line that does not follow from the one before.
    pub fn read(root: &Path) -> Result<Register, RegisterError> {
        let path = root.join(NAME);
        let bytes = match std::fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Vec::new(),
            Err(error) => return Err(RegisterError::Disk(path, error)),
        };
        let whole = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let mut last = "0".repeat(64);
        let (mut entries, mut seals) = (Vec::new(), Vec::new());
        for (i, line) in bytes[..whole].split(|b| *b == b'\n').enumerate() {
            if line.is_empty() && i + 1 == bytes[..whole].split(|b| *b == b'\n').count() {
                break;
            }
            let wrong = |why: &str| RegisterError::Line { path: path.clone(), line: i + 1, why: why.into() };
            let line_of = |text: &[u8]| serde_json::from_slice::<Line>(text);
            let read = line_of(line).map_err(|e| wrong(&format!("not a register line: {e}")))?;
            let previous = match &read {
                Line::Seal(seal) => &seal.previous,
                Line::Pack(entry) => &entry.previous,
            };
            if *previous != last {
                return Err(wrong("does not hold the hash of the line before it"));
            }
            last = sha256(line);
            match read {
                Line::Seal(seal) => seals.push(seal),
                Line::Pack(entry) => entries.push(entry),
            }
        }
        let torn = whole < bytes.len();
        Ok(Register { path, entries, seals, last, whole: whole as u64, torn })
    }

    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Whether something follows the last whole line: a run was killed, or the line
    /// was changed.
    pub fn is_torn(&self) -> bool {
        self.torn
    }

    /// A seal whose pack is not among the lines before it.
    pub fn orphan(&self) -> Option<&Seal> {
        let listed = |s: &Seal| {
            let entry = self.find(&s.job, &s.end, &s.revision);
            entry.is_some_and(|e| e.pack_sha256 == s.pack_sha256)
        };
        self.seals.iter().find(|s| !listed(s))
    }

    /// Seals of one revision's records, in the order they were set.
    pub fn seals(&self, job: &str, end: &str, revision: &str) -> Vec<&Seal> {
        self.seals.iter().filter(|s| s.job == job && s.end == end && s.revision == revision).collect()
    }

    pub fn find(&self, job: &str, end: &str, revision: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.job == job && e.end == end && e.revision == revision)
    }

    /// Revisions of a job's end that no later line replaces.
    pub fn live(&self, job: &str, end: &str) -> Vec<&Entry> {
        let own: Vec<&Entry> = self.entries.iter().filter(|e| e.job == job && e.end == end).collect();
        own.iter()
            .enumerate()
            .filter(|(i, e)| !own[i + 1..].iter().any(|later| later.replaces == e.revision))
            .map(|(_, e)| *e)
            .collect()
    }

    /// Adds a line and makes it durable.
    ///
    /// # Errors
    /// Disk; a line that was torn counts for nothing.
    pub fn append(&self, entry: Entry) -> Result<(), IssueError> {
        self.add(&Line::Pack(Entry { previous: self.last.clone(), ..entry }))
    }

    /// Adds the seal of a record and makes it durable.
    ///
    /// # Errors
    /// Disk; a line that was torn counts for nothing.
    pub fn append_seal(&self, seal: Seal) -> Result<(), IssueError> {
        self.add(&Line::Seal(Seal { previous: self.last.clone(), ..seal }))
    }

    fn add(&self, line: &Line) -> Result<(), IssueError> {
        let what = || format!("can't write {}", self.path.display());
        let mut line = serde_json::to_vec(line).map_err(|e| disk(what())(std::io::Error::other(e)))?;
        line.push(b'\n');
        let write = || -> std::io::Result<()> {
            let mut file = File::options().create(true).truncate(false).write(true).open(&self.path)?;
            // A killed run may have left half a line: it was never committed.
            file.set_len(self.whole)?;
            file.seek(SeekFrom::End(0))?;
            file.write_all(&line)?;
            file.sync_all()
        };
        write().map_err(disk(what()))?;
        super::folder::sync(self.path.parent().unwrap_or(Path::new(".")))
    }
}
