//! The pack of a record: named, beside it, above it, or under `issued/`; as
//! `pack.json`, or from the PDF alone.

use crate::issuing::{Register, sha256};
use crate::procedure::Pack;
use crate::record::{Head, attached_pack};
use std::path::{Path, PathBuf};

/// Folders above a record that are searched.
const UP: usize = 8;

/// Largest pack file read, bytes.
const MOST: u64 = 64 << 20;

pub struct Found {
    pub pack: Pack,
    /// SHA-256 of its `pack.json`.
    pub sha256: String,
    /// Where it was found.
    pub path: PathBuf,
    /// `as issued`, or what differs in its folder; nothing where the folder holds
    /// no list of checksums.
    pub files: Option<String>,
    /// The folder that holds the register, with what it says or why not.
    pub register: Option<(PathBuf, Result<Register, String>)>,
}

/// Finds the pack of the record at `record` with this head.
///
/// # Errors
/// What was looked for and where.
pub fn find(record: &Path, head: &Head, named: Option<&Path>, out: Option<&Path>) -> Result<Found, String> {
    if let Some(named) = named {
        let files: Vec<PathBuf> = if named.is_dir() { pair(named) } else { vec![named.to_path_buf()] };
        let first = files.iter().find(|f| f.is_file());
        let first = first.ok_or_else(|| format!("{}: there is no pack.json or pack.pdf", named.display()))?;
        return open(first).map_err(|e| format!("{}: {e}", first.display()));
    }
    if [&head.job, &head.end, &head.revision].iter().any(|n| !fit_for_a_folder(n)) {
        return Err(
            "the record does not name its job, end and revision under `record:`; say which pack with --pack"
                .into(),
        );
    }
    let whole = std::path::absolute(record).unwrap_or_else(|_| record.to_path_buf());
    let above: Vec<&Path> = whole.ancestors().skip(1).take(UP).collect();
    let mut places: Vec<PathBuf> = above.iter().flat_map(|dir| pair(dir)).collect();
    let own = Path::new("issued").join(&head.job).join(&head.end).join(&head.revision);
    let roots = out.map(Path::to_path_buf).into_iter().chain([PathBuf::from(".")]);
    places.extend(roots.flat_map(|root| pair(&root.join(&own))));
    places.extend(above.iter().flat_map(|dir| pair(&dir.join(&own))));
    let mut other = None;
    let mut troubles = Vec::new();
    for path in places.iter().filter(|p| p.is_file()) {
        match open(path) {
            Ok(found) if found.sha256 == head.pack => return Ok(found),
            Ok(found) => {
                let job = &found.pack.job;
                let same = job.number == head.job && job.end == head.end && job.revision == head.revision;
                if same && other.is_none() {
                    other = Some(found);
                }
            }
            Err(error) => troubles.push(format!("{}: {error}", path.display())),
        }
    }
    other.ok_or_else(|| {
        let seen = troubles.first().map_or(String::new(), |t| format!(" ({t})"));
        format!(
            "there is no pack of {} {} at {}: not beside the record, above it, nor under issued/{seen}; say which with --pack",
            head.job, head.revision, head.end
        )
    })
}

fn pair(dir: &Path) -> Vec<PathBuf> {
    vec![dir.join("pack.json"), dir.join("pack.pdf")]
}

/// Names of a record become paths: nothing in them may lead elsewhere.
fn fit_for_a_folder(text: &str) -> bool {
    (1..=40).contains(&text.len())
        && !text.starts_with('.')
        && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-'))
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    let size = std::fs::metadata(path).map_err(|e| e.to_string())?.len();
    if size > MOST {
        return Err(format!("too large for a pack ({size} bytes, most {MOST})"));
    }
    std::fs::read(path).map_err(|e| e.to_string())
}

fn open(path: &Path) -> Result<Found, String> {
    let bytes = read(path)?;
    let json = if path.extension().is_some_and(|e| e == "pdf") || bytes.starts_with(b"%PDF-") {
        attached_pack(bytes)?
    } else {
        bytes
    };
    let sum = sha256(&json);
    let pack: Pack = serde_json::from_slice(&json)
        .map_err(|e| format!("no pack of this tool's form ({}): {e}", crate::procedure::PACK_FORMAT))?;
    if pack.format != crate::procedure::PACK_FORMAT {
        return Err(format!(
            "a pack of the form `{}`; this tool reads {}",
            pack.format,
            crate::procedure::PACK_FORMAT
        ));
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    // issued/JOB/END/REVISION/pack.json
    let root = folder.ancestors().nth(3).filter(|r| Register::lies_in(r));
    let register = root.map(|root| (root.to_path_buf(), Register::read(root).map_err(|e| e.to_string())));
    let files = files(folder, &json, register.as_ref().and_then(|(_, r)| r.as_ref().ok()), &pack);
    Ok(Found { pack, sha256: sum, path: path.to_path_buf(), files, register })
}

/// The files of the folder against their checksums, the attachment, the register.
fn files(folder: &Path, json: &[u8], register: Option<&Register>, pack: &Pack) -> Option<String> {
    let list = match std::fs::read(folder.join("SHA256SUMS")) {
        Ok(bytes) => String::from_utf8(bytes).ok(),
        // A register knows this folder: its list is a part of it.
        Err(_) if register.is_some() => return Some("SHA256SUMS is gone".into()),
        Err(_) => return None,
    };
    let Some(list) = list else { return Some("SHA256SUMS is no text".into()) };
    if !list.ends_with('\n') {
        return Some("SHA256SUMS does not end with a whole line".into());
    }
    let mut sums = Vec::new();
    let mut blank = String::new();
    for (i, line) in list.lines().enumerate() {
        let Some((sum, name)) = line.split_once("  ") else {
            return Some(format!("SHA256SUMS line {} is no line of checksums", i + 1));
        };
        // The blank record is there to be filled.
        if name == "record.yaml" {
            blank = sum.to_string();
            continue;
        }
        if !fit_for_a_folder(name) {
            return Some(format!("SHA256SUMS names `{}`", name.escape_debug()));
        }
        match read(&folder.join(name)) {
            Ok(bytes) if sha256(&bytes) == sum => sums.push((name.to_string(), sum.to_string())),
            Ok(_) => return Some(format!("{name} is not the file of SHA256SUMS")),
            Err(error) => return Some(format!("{name}: {error}")),
        }
    }
    for name in ["pack.json", "pack.pdf"] {
        if !sums.iter().any(|(n, _)| n == name) {
            return Some(format!("SHA256SUMS does not list {name}"));
        }
    }
    match read(&folder.join("pack.pdf")).and_then(attached_pack) {
        Ok(attached) if attached == json => {}
        Ok(_) => return Some("the pack.json in the PDF is another".into()),
        Err(error) => return Some(format!("pack.pdf: {error}")),
    }
    let register = register?;
    if register.is_torn() {
        return Some("the register ends in a line that is not whole".into());
    }
    // The last line has no other behind it that holds its checksum: what it says
    // is held against the pack itself.
    if let Some(seal) = register.orphan() {
        return Some(format!(
            "the register seals {} {} {}, which it does not list",
            seal.job, seal.end, seal.revision
        ));
    }
    let job = &pack.job;
    let Some(entry) = register.find(&job.number, &job.end, &job.revision) else {
        return Some("the register does not list this pack".into());
    };
    let sum = |name: &str| sums.iter().find(|(n, _)| n == name).map(|(_, s)| s.as_str()).unwrap_or_default();
    let other = [
        ("pack.json", entry.pack_sha256 != sum("pack.json")),
        ("pack.pdf", entry.pdf_sha256 != sum("pack.pdf")),
        ("blank record", !blank.is_empty() && entry.record_sha256 != blank),
        ("date", entry.date != job.date),
        ("revision replaced", entry.replaces != job.replaces),
    ];
    match other.iter().find(|(_, differs)| *differs) {
        Some((what, _)) => Some(format!("the register has another {what}")),
        None => Some("as issued".into()),
    }
}

/// The pack at `path`, its checksum, and what its folder and register say of its
/// files; for tests of what a change is found by.
///
/// # Errors
/// It can't be read as a pack of ours.
pub fn opened(path: &Path) -> Result<(String, Option<String>, bool), String> {
    let found = open(path)?;
    let listed = match &found.register {
        Some((_, Ok(register))) => {
            let job = &found.pack.job;
            let entry = register.find(&job.number, &job.end, &job.revision);
            entry.is_some_and(|e| e.pack_sha256 == found.sha256)
        }
        _ => false,
    };
    Ok((found.sha256, found.files, listed))
}
