//! The files in the folders given: nothing outside them, nothing through a link.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// A file to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    pub path: PathBuf,
    /// Path below the folder given, made harmless to print.
    pub name: String,
}

/// What was left alone, and why.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct LeftAlone {
    pub name: String,
    pub why: String,
}

/// Files in order of name; links, devices and unreadable folders are listed.
pub fn gather(folders: &[PathBuf]) -> (Vec<Found>, Vec<LeftAlone>) {
    let (mut files, mut left) = (Vec::new(), Vec::new());
    for folder in folders {
        for entry in walkdir::WalkDir::new(folder).follow_links(false).sort_by_file_name() {
            match entry {
                Ok(entry) => {
                    let kind = entry.file_type();
                    let name = shown(folder, entry.path());
                    if kind.is_file() {
                        files.push(Found { path: entry.into_path(), name });
                    } else if kind.is_symlink() && entry.depth() > 0 {
                        left.push(LeftAlone { name, why: "a link; links are not followed".into() });
                    } else if !kind.is_dir() && !kind.is_symlink() {
                        left.push(LeftAlone { name, why: "neither a file nor a folder".into() });
                    }
                }
                Err(error) => {
                    let name = shown(folder, error.path().unwrap_or(folder));
                    let why = error.io_error().map_or("links to itself".to_string(), ToString::to_string);
                    left.push(LeftAlone { name, why });
                }
            }
        }
    }
    (files, left)
}

fn shown(folder: &Path, path: &Path) -> String {
    let below = path.strip_prefix(folder).ok().filter(|p| !p.as_os_str().is_empty());
    harmless(below.or(path.file_name().map(Path::new)).unwrap_or(path).as_os_str())
}

/// A name without anything that could move a cursor, turn the reading direction
/// or break a line: such characters stand as `\u{…}`.
pub fn harmless(name: &OsStr) -> String {
    let mut out = String::new();
    for c in name.to_string_lossy().chars().take(200) {
        let turns = matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}');
        if c.is_control() || turns { out.extend(c.escape_unicode()) } else { out.push(c) }
    }
    out
}
