//! Copies into the record's folder: whole or not at all, never over anything.

use super::look::{Kind, Sum, sum};
use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;

/// Path of a picture's copy below the record's folder. It follows from the
/// picture and its card alone, so that every run puts it in the same place.
pub fn path_of(sum: &Sum, kind: Kind, folder: &str, taken: Option<&str>) -> String {
    let stamp: String = taken.map_or("undated".into(), |t| {
        t.get(..19).unwrap_or(t).chars().filter(|c| c.is_ascii_digit() || *c == 'T').collect()
    });
    let short = sum.sha256.get(..12).unwrap_or(&sum.sha256);
    format!("photos/{folder}/{stamp}-{short}.{}", kind.ending())
}

/// Copies `from` to `to` (below `root`), unless it stands there already.
///
/// # Errors
/// Disk; the original changed since it was hashed; something else stands there.
pub fn copy(from: &Path, root: &Path, to: &str, sha256: &str) -> Result<(), String> {
    let target = root.join(to);
    if let Ok(meta) = target.symlink_metadata() {
        let same = meta.is_file() && sum(&target).is_ok_and(|s| s.sha256 == sha256);
        return if same {
            Ok(())
        } else {
            Err(format!("{to}: something else stands there; it is left as it is"))
        };
    }
    let folder = target.parent().unwrap_or(root);
    let wrong = |error: std::io::Error| format!("{to}: can't be written: {error}");
    std::fs::create_dir_all(folder).map_err(wrong)?;
    let mut part = tempfile::Builder::new().prefix(".part-").tempfile_in(folder).map_err(wrong)?;
    let mut source = File::open(from).map_err(|e| format!("can't be read: {e}"))?;
    let mut piece = vec![0u8; 256 << 10];
    loop {
        let n = source.read(&mut piece).map_err(|e| format!("can't be read: {e}"))?;
        if n == 0 {
            break;
        }
        part.write_all(&piece[..n]).map_err(wrong)?;
    }
    part.as_file().sync_all().map_err(wrong)?;
    if sum(part.path()).map_err(wrong)?.sha256 != sha256 {
        return Err("changed while it was copied; run again".into());
    }
    readable(part.path()).map_err(wrong)?;
    match part.persist_noclobber(&target) {
        Ok(_) => Ok(()),
        Err(e) if e.error.kind() == std::io::ErrorKind::AlreadyExists => {
            Err(format!("{to}: something else stands there; it is left as it is"))
        }
        Err(e) => Err(wrong(e.error)),
    }
}

/// Removes what a killed run left half-written below `root`.
pub fn sweep(root: &Path) {
    let parts = walkdir::WalkDir::new(root).follow_links(false).max_depth(3);
    for entry in parts.into_iter().filter_map(Result::ok) {
        if entry.file_type().is_file() && entry.file_name().to_string_lossy().starts_with(".part-") {
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Temporary files are private; a record is for others to read.
#[cfg(unix)]
fn readable(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_path: &Path) -> std::io::Result<()> {
    Ok(())
}
