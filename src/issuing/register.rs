//! The register: one line a pack, each with the hash of the line before, so
//! that nothing can be taken out or changed unseen.
//!
//! A share of a list keeps a file of its own, `register-2-of-5.jsonl`. The register
//! of a folder is every such file in it: gathered by copying, each chain as it was
//! written, and one revision of a job is one pack in all of them.

use super::{IssueError, disk, sha256};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
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

/// Which part of a list a run works on, and of how many: `2/5`.
pub type Part = (usize, usize);

/// The register of one folder, read and checked.
#[derive(Debug)]
pub struct Register {
    /// The file that this run adds to; hash and bytes below are of that one.
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

fn name(part: Option<Part>) -> String {
    part.map_or_else(|| NAME.to_string(), |(i, n)| format!("register-{i}-of-{n}.jsonl"))
}

/// Whether a file of this name is the register of a share.
fn is_of_a_part(name: &str) -> bool {
    let numbers = name.strip_prefix("register-").and_then(|n| n.strip_suffix(".jsonl"));
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    numbers.and_then(|n| n.split_once("-of-")).is_some_and(|(i, n)| digits(i) && digits(n))
}

/// One file of the register, each line following from the one before.
struct Chain {
    path: PathBuf,
    /// Each with its line.
    entries: Vec<(usize, Entry)>,
    seals: Vec<Seal>,
    last: String,
    whole: u64,
    torn: bool,
}

impl Chain {
    fn read(path: PathBuf) -> Result<Chain, RegisterError> {
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
                Line::Pack(entry) => entries.push((i + 1, entry)),
            }
        }
        let torn = whole < bytes.len();
        Ok(Chain { path, entries, seals, last, whole: whole as u64, torn })
    }
}

/// The registers of shares in `root`, by name.
fn parts(root: &Path) -> Result<Vec<PathBuf>, RegisterError> {
    let disk = |error| RegisterError::Disk(root.to_path_buf(), error);
    let listed = match std::fs::read_dir(root) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        listed => listed.map_err(disk)?,
    };
    let mut paths = Vec::new();
    for entry in listed {
        let entry = entry.map_err(disk)?;
        if entry.file_name().to_str().is_some_and(is_of_a_part) {
            paths.push(entry.path());
        }
    }
    paths.sort();
    Ok(paths)
}

impl Register {
    /// Whether a register lies in `root`, its own or that of a share.
    pub fn lies_in(root: &Path) -> bool {
        root.join(NAME).is_file() || parts(root).is_ok_and(|parts| !parts.is_empty())
    }

    /// Reads the register in `root`; none is an empty one.
    ///
    /// # Errors
    /// Disk, or a line that does not follow from the one before.
    pub fn read(root: &Path) -> Result<Register, RegisterError> {
        Register::read_for(root, None)
    }

    /// The same, for a run that adds to the file of its part.
    ///
    /// # Errors
    /// As for [`Register::read`]; or two files hold one revision as different packs.
    pub fn read_for(root: &Path, part: Option<Part>) -> Result<Register, RegisterError> {
        let own = Chain::read(root.join(name(part)))?;
        let mut beside: Vec<PathBuf> = std::iter::once(root.join(NAME)).chain(parts(root)?).collect();
        beside.retain(|path| *path != own.path);
        let mut register = Register {
            path: own.path.clone(),
            entries: Vec::new(),
            seals: Vec::new(),
            last: own.last.clone(),
            whole: own.whole,
            torn: false,
        };
        register.take(own)?;
        for path in beside {
            register.take(Chain::read(path)?)?;
        }
        Ok(register)
    }

    /// Adds what a file holds: a pack that two files hold stands once.
    fn take(&mut self, chain: Chain) -> Result<(), RegisterError> {
        let before = std::mem::take(&mut self.entries);
        let key = |e: &Entry| (e.job.clone(), e.end.clone(), e.revision.clone());
        let known: BTreeMap<_, &str> = before.iter().map(|e| (key(e), e.pack_sha256.as_str())).collect();
        let mut more = Vec::new();
        for (line, entry) in chain.entries {
            match known.get(&key(&entry)) {
                None => more.push(entry),
                Some(pack) if *pack == entry.pack_sha256 => {}
                Some(_) => {
                    let why = format!(
                        "revision {} of {} at {} stands in another register here with other contents",
                        entry.revision, entry.job, entry.end
                    );
                    return Err(RegisterError::Line { path: chain.path, line, why });
                }
            }
        }
        self.entries = before;
        self.entries.extend(more);
        self.seals.extend(chain.seals);
        self.torn |= chain.torn;
        Ok(())
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

    /// Revisions of a job's end that no line replaces.
    pub fn live(&self, job: &str, end: &str) -> Vec<&Entry> {
        // Shares are written side by side: which line is the later one says nothing.
        let own = || self.entries.iter().filter(|e| e.job == job && e.end == end);
        own().filter(|e| !own().any(|other| other.replaces == e.revision)).collect()
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
