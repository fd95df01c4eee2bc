//! Job files from the paths given: files as they are, folders searched.

use std::path::{Path, PathBuf};

/// Files found, in order, and what was wrong with a path.
pub fn job_files(paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<String>) {
    let (mut files, mut trouble) = (Vec::new(), Vec::new());
    for path in paths {
        if path.is_dir() {
            let before = files.len();
            walk(path, &mut files, &mut trouble);
            if files.len() == before && trouble.is_empty() {
                trouble.push(format!("{}: no job file (.yaml) in this folder", path.display()));
            }
        } else if path.is_file() {
            files.push(path.clone());
        } else if path.exists() {
            trouble.push(format!("{}: neither a file nor a folder", path.display()));
        } else {
            trouble.push(format!("{}: there is no such file or folder", path.display()));
        }
    }
    (files, trouble)
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>, trouble: &mut Vec<String>) {
    let skipped = |name: &str| name == "library" || name == "issued" || name.starts_with('.');
    let entries = walkdir::WalkDir::new(folder).sort_by_file_name().into_iter().filter_entry(|e| {
        e.depth() == 0 || !(e.file_type().is_dir() && skipped(&e.file_name().to_string_lossy()))
    });
    for entry in entries {
        match entry {
            Ok(entry) if entry.file_type().is_file() => {
                let ending = entry.path().extension().and_then(|e| e.to_str());
                if matches!(ending, Some("yaml" | "yml")) {
                    files.push(entry.into_path());
                }
            }
            Ok(_) => {}
            Err(error) => trouble.push(error.to_string()),
        }
    }
}

/// A file's text, or why there is none. A file past any sensible size is not
/// read at all.
pub fn read(path: &Path) -> Result<String, Unreadable> {
    let meta = std::fs::metadata(path).map_err(|e| Unreadable::World(format!("{}: {e}", path.display())))?;
    if meta.len() > crate::source::MAX_BYTES as u64 {
        return Err(Unreadable::NoJob(format!(
            "{}: too large to be a job file ({} bytes, most {})",
            path.display(),
            meta.len(),
            crate::source::MAX_BYTES
        )));
    }
    let bytes = std::fs::read(path).map_err(|e| Unreadable::World(format!("{}: {e}", path.display())))?;
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        Unreadable::NoJob(format!("{}: line {line}: not UTF-8 text; save the file as UTF-8", path.display()))
    })
}

/// Whose fault it is that a text can't be read.
pub enum Unreadable {
    World(String),
    NoJob(String),
}
