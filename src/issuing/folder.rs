//! Files and folders that appear whole or not at all.

use super::{IssueError, disk, sha256};
use std::fs::{self, File};
use std::io::Write;
use std::path::Path;

/// The files of one pack, as issued.
#[derive(Clone, Copy)]
pub struct PackFiles<'a> {
    pub json: &'a [u8],
    pub pdf: &'a [u8],
    /// The blank record.
    pub record: &'a [u8],
}

impl<'a> PackFiles<'a> {
    pub(super) fn named(&self) -> [(&'static str, &'a [u8]); 3] {
        [("pack.json", self.json), ("pack.pdf", self.pdf), (RECORD, self.record)]
    }

    /// The lines of `sha256sum`.
    fn sums(&self) -> String {
        self.named().iter().map(|(name, bytes)| format!("{}  {name}\n", sha256(bytes))).collect()
    }
}

/// Name of the blank record.
const RECORD: &str = "record.yaml";

/// Puts back what is missing or changed in the folder of an issued pack. A
/// record that was filled in where it lies is somebody's work and stays.
///
/// # Errors
/// Disk.
pub(super) fn mend(folder: &Path, files: &PackFiles) -> Result<(), IssueError> {
    for (name, bytes) in files.named() {
        let path = folder.join(name);
        let filled = name == RECORD && path.symlink_metadata().is_ok();
        if !filled && fs::read(&path).map_or(true, |found| found != bytes) {
            write_atomically(&path, bytes)?;
        }
    }
    write_atomically(&folder.join("SHA256SUMS"), files.sums().as_bytes())
}

/// Writes the files of a pack into `folder`, replacing what stands there.
///
/// # Errors
/// Disk. The folder is then as it was.
pub fn write_folder(folder: &Path, files: &PackFiles) -> Result<(), IssueError> {
    let parent = folder.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(parent).map_err(disk(format!("can't make the folder {}", parent.display())))?;
    let part = tempfile::Builder::new()
        .prefix(".part-")
        .tempdir_in(parent)
        .map_err(disk(format!("can't write in {}", parent.display())))?;
    let list = files.sums();
    for (name, bytes) in files.named().into_iter().chain([("SHA256SUMS", list.as_bytes())]) {
        let path = part.path().join(name);
        durable(&path, bytes).map_err(disk(format!("can't write {}", path.display())))?;
    }
    sync(part.path())?;
    open_to_readers(part.path())?;
    if folder.exists() {
        // Left by a run that was killed before its register line, or damaged
        // since: moved aside first, so that the name is never half a folder.
        let old = tempfile::Builder::new()
            .prefix(".old-")
            .tempdir_in(parent)
            .map_err(disk(format!("can't write in {}", parent.display())))?;
        fs::rename(folder, old.path().join("old"))
            .map_err(disk(format!("can't replace {}", folder.display())))?;
    }
    let from = part.keep();
    fs::rename(&from, folder).map_err(|error| {
        let _ = fs::remove_dir_all(&from);
        disk(format!("can't put {} in place", folder.display()))(error)
    })?;
    sync(parent)?;
    sweep(parent);
    Ok(())
}

/// Takes away what a killed run left unfinished. Whoever writes folders holds
/// the lock, so none of it belongs to a run that lives; what can't be taken away
/// counts for nothing.
fn sweep(parent: &Path) {
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let name = entry.file_name();
        let left = [".part-", ".old-"].iter().any(|lead| name.to_string_lossy().starts_with(lead));
        if left && entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Writes one file so that it is there whole or not at all.
///
/// # Errors
/// Disk.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> Result<(), IssueError> {
    let parent = parent_of(path)?;
    let write = || -> std::io::Result<()> {
        part_in(parent, bytes)?.persist(path).map_err(|e| e.error)?;
        Ok(())
    };
    write().map_err(disk(format!("can't write {}", path.display())))?;
    sync(parent)
}

/// Writes a file that is not there yet, whole or not at all; `false` where
/// something stands in its place, which is left as it is.
///
/// # Errors
/// Disk.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<bool, IssueError> {
    let parent = parent_of(path)?;
    let wrong = || disk(format!("can't write {}", path.display()));
    if path.symlink_metadata().is_ok() {
        return Ok(false);
    }
    match part_in(parent, bytes).map_err(wrong())?.persist_noclobber(path) {
        Ok(_) => sync(parent).map(|()| true),
        Err(e) if e.error.kind() == std::io::ErrorKind::AlreadyExists => Ok(false),
        Err(e) => Err(wrong()(e.error)),
    }
}

/// The folder of a file, made where it is missing.
fn parent_of(path: &Path) -> Result<&Path, IssueError> {
    let parent = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(parent).map_err(disk(format!("can't make the folder {}", parent.display())))?;
    Ok(parent)
}

fn part_in(parent: &Path, bytes: &[u8]) -> std::io::Result<tempfile::NamedTempFile> {
    let mut part = tempfile::Builder::new().prefix(".part-").tempfile_in(parent)?;
    part.write_all(bytes)?;
    part.as_file().sync_all()?;
    readable(part.path(), 0o644)?;
    Ok(part)
}

/// Whether the folder holds the files as issued; a record filled in where it
/// lies counts as standing.
pub(super) fn stands(folder: &Path, files: &PackFiles) -> bool {
    let sums = fs::read(folder.join("SHA256SUMS")).is_ok_and(|list| list == files.sums().as_bytes());
    sums && files.named().iter().all(|(name, bytes)| {
        let path = folder.join(name);
        if *name == RECORD { path.is_file() } else { fs::read(path).is_ok_and(|found| found == *bytes) }
    })
}

fn durable(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Makes the names in a folder durable, where the system can.
pub(super) fn sync(folder: &Path) -> Result<(), IssueError> {
    match File::open(folder) {
        Ok(dir) => {
            // Some systems refuse to flush a folder; the rename stands anyway.
            let _ = dir.sync_all();
            Ok(())
        }
        Err(error) => Err(disk(format!("can't open {}", folder.display()))(error)),
    }
}

fn open_to_readers(folder: &Path) -> Result<(), IssueError> {
    readable(folder, 0o755).map_err(disk(format!("can't set the permissions of {}", folder.display())))
}

/// Temporary files are private; what is issued is for others to read.
#[cfg(unix)]
fn readable(path: &Path, mode: u32) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(mode))
}

#[cfg(not(unix))]
fn readable(_path: &Path, _mode: u32) -> std::io::Result<()> {
    Ok(())
}
