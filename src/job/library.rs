//! The library: one file an item, on four shelves. Names are checked before
//! they become paths, because job files come from strangers.

use super::Given;
use super::schema::Shelf;
use crate::source::Source;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// A folder of items, with texts laid over it (a proof's edit, a test). A copy shares
/// what was read of it.
#[derive(Clone, Debug, Default)]
pub struct Library {
    root: Option<PathBuf>,
    over: BTreeMap<(Shelf, String), String>,
    sound: Arc<Mutex<Items>>,
}

/// An item that was read without a finding: many jobs name the same few.
#[derive(Debug)]
pub(super) struct Sound {
    pub source: Source,
    pub given: BTreeMap<String, Given>,
}

type Items = BTreeMap<(Shelf, String), Arc<Sound>>;

/// So many items are kept as read, no more.
const KEPT: usize = 1000;

/// Text of an item and the name people see for it.
#[derive(Clone, Debug)]
pub struct Item {
    pub name: String,
    pub text: String,
}

impl Library {
    /// A library in `root`.
    pub fn at(root: impl Into<PathBuf>) -> Self {
        Library { root: Some(root.into()), ..Library::default() }
    }

    /// The nearest folder called `library` beside `job` or above it.
    pub fn near(job: &Path) -> Self {
        let start = job.parent().map(Path::to_path_buf).unwrap_or_default();
        let absolute = std::path::absolute(&start).unwrap_or(start);
        let root = absolute.ancestors().map(|folder| folder.join("library")).find(|p| p.is_dir());
        Library { root, ..Library::default() }
    }

    /// The folder that holds the shelves, where there is one.
    pub fn root(&self) -> Option<&Path> {
        self.root.as_deref()
    }

    /// Lays `text` over the item `name`.
    pub fn with(mut self, shelf: Shelf, name: &str, text: String) -> Self {
        self.over.insert((shelf, name.to_string()), text);
        self
    }

    /// The item as it was read before, if its text is still the same.
    pub(super) fn sound(&self, shelf: Shelf, code: &str, text: &str) -> Option<Arc<Sound>> {
        let kept = self.sound.lock().unwrap_or_else(PoisonError::into_inner);
        kept.get(&(shelf, code.to_string())).filter(|item| item.source.text() == text).cloned()
    }

    pub(super) fn keep(&self, shelf: Shelf, code: &str, item: Sound) {
        let mut kept = self.sound.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() < KEPT {
            kept.insert((shelf, code.to_string()), Arc::new(item));
        }
    }

    /// Codes of the items on a shelf, sorted.
    pub fn codes(&self, shelf: Shelf) -> Vec<String> {
        let mut codes = self.root.as_ref().map_or_else(Vec::new, |root| names(&root.join(shelf.folder())));
        codes.extend(self.over.keys().filter(|(s, _)| *s == shelf).map(|(_, code)| code.clone()));
        codes.sort();
        codes.dedup();
        codes
    }

    /// The item's text.
    ///
    /// # Errors
    /// What is wrong and what would help, for a finding at the item's name.
    pub fn fetch(&self, shelf: Shelf, name: &str) -> Result<Item, (String, String)> {
        let shown = format!("library/{}/{name}.yaml", shelf.folder());
        if let Some(text) = self.over.get(&(shelf, name.to_string())) {
            return Ok(Item { name: shown, text: text.clone() });
        }
        let Some(root) = &self.root else {
            return Err((
                "there is no library: no folder called `library` beside the job file or above it".into(),
                format!(
                    "Make one with the item in it: `cutback new {} --out {shown}` begins it. Or name one with `--library DIR`.",
                    shelf.one()
                ),
            ));
        };
        let folder = root.join(shelf.folder());
        let path = folder.join(format!("{name}.yaml"));
        let too_large = |len: u64| len > crate::source::MAX_BYTES as u64;
        match std::fs::metadata(&path) {
            Ok(meta) if meta.is_file() && !too_large(meta.len()) => {}
            Ok(_) => {
                return Err((
                    format!("`{shown}` is no file of ordinary size"),
                    "Look at the library folder.".into(),
                ));
            }
            Err(_) => {
                let known = names(&folder);
                return Err((
                    format!("`{name}` is not in the library under `{}`", shelf.folder()),
                    nearest(name, &known, &format!("cutback new {} --out {shown}", shelf.one())),
                ));
            }
        }
        match std::fs::read_to_string(&path) {
            Ok(text) => Ok(Item { name: shown, text }),
            Err(error) => Err((
                format!("`{shown}` can't be read: {error}"),
                "Look at the file's permissions and encoding (UTF-8).".into(),
            )),
        }
    }
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = walkdir::WalkDir::new(folder)
        .min_depth(1)
        .max_depth(1)
        .into_iter()
        .filter_map(Result::ok)
        .filter_map(|entry| entry.file_name().to_str()?.strip_suffix(".yaml").map(str::to_string))
        .collect();
    names.sort();
    names
}

fn nearest(name: &str, known: &[String], begin: &str) -> String {
    if known.is_empty() {
        return format!("The shelf is empty: `{begin}` begins the item.");
    }
    match super::read::nearest(name, known.iter().map(String::as_str)) {
        Some(near) => format!("Did you mean `{near}`?"),
        None => {
            let mut list: Vec<&str> = known.iter().take(12).map(String::as_str).collect();
            if known.len() > 12 {
                list.push("…");
            }
            format!("The shelf holds: {}. `{begin}` begins a new item.", list.join(", "))
        }
    }
}
