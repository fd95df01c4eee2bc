//! Job files from the paths given: files as they are, folders searched.

use std::fmt;
use std::path::{Component, Path, PathBuf};

/// What is wrong with a path.
pub struct Trouble {
    pub path: PathBuf,
    pub what: String,
}

impl Trouble {
    fn new(path: &Path, what: impl Into<String>) -> Trouble {
        Trouble { path: path.to_path_buf(), what: what.into() }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path.display(), self.what)
    }
}

/// Files found, in order, and what was wrong with a path.
pub fn job_files(paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<Trouble>) {
    let (mut files, mut trouble) = (Vec::new(), Vec::new());
    for path in paths {
        if path.is_dir() {
            let before = files.len();
            walk(path, &mut files, &mut trouble);
            if files.len() == before && trouble.is_empty() {
                trouble.push(Trouble::new(path, "no job file (.yaml) in this folder"));
            }
        } else if path.is_file() {
            files.push(path.clone());
        } else if path.exists() {
            trouble.push(Trouble::new(path, "neither a file nor a folder"));
        } else {
            trouble.push(Trouble::new(path, "there is no such file or folder"));
        }
    }
    (files, trouble)
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>, trouble: &mut Vec<Trouble>) {
    let skipped = |name: &str| {
        matches!(name, "library" | "house" | "issued" | "records" | "received" | "found")
            || name.starts_with('.')
    };
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
            Err(error) => {
                let what =
                    error.io_error().map_or_else(|| "links to itself".to_string(), ToString::to_string);
                trouble.push(Trouble::new(error.path().unwrap_or(folder), what));
            }
        }
    }
}

/// A file's text, or why there is none. A file past any sensible size is not
/// read at all.
pub fn read(path: &Path) -> Result<String, Unreadable> {
    let world = |error: std::io::Error| Unreadable::World(Trouble::new(path, error.to_string()));
    let meta = std::fs::metadata(path).map_err(world)?;
    if meta.len() > crate::source::MAX_BYTES as u64 {
        let what =
            format!("too large to be a job file ({} bytes, most {})", meta.len(), crate::source::MAX_BYTES);
        // Each photograph of a log takes about 340 bytes.
        let record = path.file_name().is_some_and(|n| n == "record.yaml");
        let help = ".\n  Some 2900 photographs fit a record: take those without a frame out of it.";
        let what = if record { what + help } else { what };
        return Err(Unreadable::NoJob(Trouble::new(path, what)));
    }
    let bytes = std::fs::read(path).map_err(world)?;
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(Unreadable::NoJob(Trouble::new(path, "UTF-16 text; save the file as UTF-8")));
    }
    String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
        let what = format!("line {line}: not UTF-8 text; save the file as UTF-8");
        Unreadable::NoJob(Trouble::new(path, what))
    })
}

/// Whose fault it is that a text can't be read.
pub enum Unreadable {
    World(Trouble),
    NoJob(Trouble),
}

impl Unreadable {
    pub fn trouble(&self) -> &Trouble {
        match self {
            Unreadable::World(trouble) | Unreadable::NoJob(trouble) => trouble,
        }
    }
}

/// The path as seen from the current folder, with forward slashes: no output
/// names the machine it was made on.
pub fn relative(path: &Path) -> String {
    let whole = |path: &Path| plain(&std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()));
    let (here, there) = (whole(Path::new(".")), whole(path));
    let shared = here.iter().zip(&there).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        // Another drive: there is no way from here to there.
        return there.last().cloned().unwrap_or_default();
    }
    let up = std::iter::repeat_n("..".to_string(), here.len() - shared);
    let way: Vec<String> = up.chain(there[shared..].iter().cloned()).collect();
    if way.is_empty() { ".".to_string() } else { way.join("/") }
}

/// The parts of a path, with `.` and `..` worked out.
fn plain(path: &Path) -> Vec<String> {
    let mut parts = Vec::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                parts.pop();
            }
            other => parts.push(other.as_os_str().to_string_lossy().into_owned()),
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::relative;
    use std::path::Path;

    #[test]
    fn no_path_names_the_machine() {
        let here = std::path::absolute(".").expect("the current folder");
        assert_eq!(relative(Path::new("./jobs/../jobs/demo/a.yaml")), "jobs/demo/a.yaml");
        assert_eq!(relative(&here.join("jobs/b.yaml")), "jobs/b.yaml");
        assert_eq!(relative(Path::new("../c.yaml")), "../c.yaml");
    }
}
