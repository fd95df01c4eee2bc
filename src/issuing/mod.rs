//! The pack folder, its sums and the register; whole or not at all.
//!
//! The register line is the commit. A folder is built beside its place, made
//! durable, renamed into place, and only then the line is added; a folder
//! without its line is replaced on the next run.

mod folder;
mod register;

pub use folder::{PackFiles, write_atomically, write_folder, write_new};
pub use register::{Entry, Part, Register, RegisterError, Seal};

use crate::finding::{Finding, Place, ReadingCode};
use crate::procedure::Pack;
use sha2::{Digest, Sha256};
use std::fmt;
use std::fs::File;
use std::path::{Path, PathBuf};

/// What went wrong outside the job: disk, permissions, a register that was
/// tampered with.
#[derive(Debug)]
pub enum IssueError {
    Disk { what: String, error: std::io::Error },
    Register(RegisterError),
}

impl fmt::Display for IssueError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            IssueError::Disk { what, error } => write!(f, "{what}: {error}"),
            IssueError::Register(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for IssueError {}

pub(crate) fn disk(what: impl Into<String>) -> impl FnOnce(std::io::Error) -> IssueError {
    move |error| IssueError::Disk { what: what.into(), error }
}

/// What became of a pack.
#[derive(Debug, PartialEq)]
pub enum Issued {
    /// Written, and entered in the register.
    Now(PathBuf),
    /// The very same pack stands there already.
    Before(PathBuf),
    /// The register speaks against it.
    Refused(Box<Finding>),
}

/// Lower-case hex SHA-256 of `bytes`.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// SHA-256 of a file of any size.
///
/// # Errors
/// Disk.
pub fn sha256_of_file(path: &Path) -> std::io::Result<String> {
    use std::io::Read;
    let (mut hasher, mut file) = (Sha256::new(), File::open(path)?);
    let mut piece = vec![0; 1 << 16];
    loop {
        match file.read(&mut piece)? {
            0 => break,
            n => hasher.update(&piece[..n]),
        }
    }
    Ok(hasher.finalize().iter().map(|b| format!("{b:02x}")).collect())
}

/// Seals a record in the register of `root`.
///
/// # Errors
/// Disk, or a register that was changed.
pub fn seal(root: &Path, seal: Seal) -> Result<(), IssueError> {
    let lock = lock(root)?;
    Register::read(root).map_err(IssueError::Register)?.append_seal(seal)?;
    drop(lock);
    Ok(())
}

/// Writes `pack` under `root` (`issued/`) and enters it in the register.
///
/// # Errors
/// Disk or register; nothing half-written is left that counts.
pub fn issue(root: &Path, pack: &Pack, files: &PackFiles) -> Result<Issued, IssueError> {
    issue_part(root, None, pack, files)
}

/// The same for a run that works on a part of a list, and has a register of its own.
///
/// # Errors
/// As for [`issue`].
pub fn issue_part(
    root: &Path,
    part: Option<Part>,
    pack: &Pack,
    files: &PackFiles,
) -> Result<Issued, IssueError> {
    std::fs::create_dir_all(root).map_err(disk(format!("can't make the folder {}", root.display())))?;
    let lock = lock(root)?;
    let register = Register::read_for(root, part).map_err(IssueError::Register)?;
    let [json, pdf, record] = files.named().map(|(_, bytes)| sha256(bytes));
    let folder = root.join(&pack.job.number).join(&pack.job.end).join(&pack.job.revision);
    if let Some(entry) = register.find(&pack.job.number, &pack.job.end, &pack.job.revision) {
        let same = entry.pack_sha256 == json;
        if !same {
            return Ok(Issued::Refused(Box::new(refusal(
                "/job/revision",
                format!(
                    "{} {} of {} is issued already, with other contents ({}, {}…)",
                    pack.job.number,
                    pack.job.revision,
                    pack.job.end,
                    entry.date,
                    entry.pack_sha256.get(..12).unwrap_or("")
                ),
                &format!(
                    "What was issued stays as it was issued. Write a new revision and `replaces: {}` under `job`; the old copies must come back.",
                    pack.job.revision
                ),
            ))));
        }
        if !folder::stands(&folder, files) {
            // The line is there and the files are not as issued: put them back.
            folder::mend(&folder, files)?;
        }
        return Ok(Issued::Before(folder));
    }
    if let Some(finding) = against(&register, pack) {
        return Ok(Issued::Refused(Box::new(finding)));
    }
    write_folder(&folder, files)?;
    register.append(Entry {
        job: pack.job.number.clone(),
        end: pack.job.end.clone(),
        revision: pack.job.revision.clone(),
        replaces: pack.job.replaces.clone(),
        date: pack.job.date.clone(),
        pack_sha256: json,
        pdf_sha256: pdf,
        record_sha256: record,
        previous: String::new(),
    })?;
    drop(lock);
    Ok(Issued::Now(folder))
}

/// One run at a time in one folder; the lock goes with the process.
fn lock(root: &Path) -> Result<File, IssueError> {
    let path = root.join(".lock");
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(disk(format!("can't write in {}", root.display())))?;
    file.lock().map_err(disk(format!("can't lock {}", path.display())))?;
    Ok(file)
}

fn against(register: &Register, pack: &Pack) -> Option<Finding> {
    let live = register.live(&pack.job.number, &pack.job.end);
    let named = (pack.job.replaces != "none").then_some(pack.job.replaces.as_str());
    if let Some(other) = live.iter().find(|e| Some(e.revision.as_str()) != named) {
        return Some(refusal(
            "/job/replaces",
            format!(
                "revision {} of {} at {} is in force and not named here",
                other.revision, other.job, other.end
            ),
            &format!("Write `replaces: {}` under `job`; the old copies must come back.", other.revision),
        ));
    }
    match named {
        Some(named) if live.is_empty() => Some(refusal(
            "/job/replaces",
            format!("this job replaces {named}, and the register has no such revision in force"),
            "Write `replaces: none`, or issue into the folder that holds the earlier revision (`--out`).",
        )),
        _ => None,
    }
}

fn refusal(pointer: &str, message: String, remedy: &str) -> Finding {
    Finding::reading(ReadingCode::RevisionLive, message, remedy, Place::value(0, pointer, "this revision"))
}
