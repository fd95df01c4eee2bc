//! Knows where every value stands in a YAML text, in bytes.
//!
//! A file is read twice: here for places, and by `serde_yaml` for values. The
//! index is built first and its error speaks first, because it carries line and
//! column and `serde_yaml` often does not. Both must accept a file.

mod index;

use index::Index;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

/// Largest text read as a job, library or record file.
pub const MAX_BYTES: usize = 1 << 20;

/// Why a text is no YAML file of ours, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxError {
    pub at: Range<usize>,
    pub message: String,
    pub help: String,
}

/// One text with the places of everything in it. A copy shares both.
#[derive(Clone, Debug)]
pub struct Source {
    name: Arc<str>,
    text: Arc<str>,
    /// Empty while it rests.
    index: OnceLock<Arc<Index>>,
}

/// What makes a text unreadable and where, for who has no use of its index.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Both from 1.
    pub line: usize,
    pub column: usize,
    pub message: String,
    pub help: String,
}

/// The first thing that makes `text` no YAML file of ours.
pub fn unreadable(text: &str) -> Option<Unreadable> {
    let (source, error) = Source::read("", text.to_string());
    let SyntaxError { at, message, help } = error?;
    let (line, column) = source.line_column(at.start);
    Some(Unreadable { line, column, message, help })
}

/// Where a pointer leads: the bytes, and whether the value itself stands there
/// or only its nearest parent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Located {
    pub at: Range<usize>,
    pub exact: bool,
}

impl Source {
    /// Indexes `text`; `name` is what people see in messages.
    ///
    /// # Errors
    /// The first thing that makes the text unreadable, with its bytes.
    pub fn read(name: impl Into<String>, text: String) -> (Source, Option<SyntaxError>) {
        let (index, error) = match index::build(&text) {
            Ok(index) => (index, None),
            Err(error) => (Index::default(), Some(error)),
        };
        let name: String = name.into();
        let source = Source { name: name.into(), text: text.into(), index: OnceLock::from(Arc::new(index)) };
        (source, error)
    }

    /// The same without its index, which is most of its size: built again by whoever
    /// asks for a place. For what is kept of many files and seldom asked.
    pub fn resting(self) -> Source {
        Source { index: OnceLock::new(), ..self }
    }

    fn index(&self) -> &Index {
        self.index.get_or_init(|| Arc::new(index::build(&self.text).unwrap_or_default()))
    }

    pub fn name(&self) -> &str {
        &self.name
    }

    pub fn text(&self) -> &str {
        &self.text
    }

    /// Whether something stands at `pointer` (`/cable/conductor/area`).
    pub fn has(&self, pointer: &str) -> bool {
        self.index().get(pointer).is_some()
    }

    /// Every pointer of the file, in file order of nothing: sorted by name.
    pub fn pointers(&self) -> impl Iterator<Item = &str> {
        self.index().pointers()
    }

    /// The bytes of the value at `pointer`, or of the key of its nearest parent.
    pub fn locate(&self, pointer: &str) -> Located {
        if let Some(spot) = self.index().get(pointer) {
            return Located { at: spot.value.clone(), exact: true };
        }
        let mut parent = pointer;
        while let Some((shorter, _)) = parent.rsplit_once('/') {
            parent = shorter;
            if let Some(spot) = self.index().get(parent) {
                let at = spot.key.clone().unwrap_or_else(|| first_line(&self.text, &spot.value));
                return Located { at, exact: false };
            }
        }
        Located { at: first_line(&self.text, &(0..self.text.len())), exact: false }
    }

    /// The bytes of the key at `pointer` (an unknown key is wrong, not its value).
    pub fn locate_key(&self, pointer: &str) -> Located {
        match self.index().get(pointer).and_then(|s| s.key.clone()) {
            Some(at) => Located { at, exact: true },
            None => self.locate(pointer),
        }
    }

    /// Line and column, both from 1, the column counted in characters.
    pub fn line_column(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let before = &self.text.as_bytes()[..byte];
        let start = before.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let line = before.iter().filter(|b| **b == b'\n').count() + 1;
        let column = String::from_utf8_lossy(&self.text.as_bytes()[start..byte]).chars().count() + 1;
        (line, column)
    }
}

fn first_line(text: &str, within: &Range<usize>) -> Range<usize> {
    let part = text.get(within.clone()).unwrap_or("");
    let length = part.find('\n').unwrap_or(part.len());
    within.start..within.start + part[..length].trim_end().len()
}

/// Escapes one key for a pointer (RFC 6901).
pub fn escape(key: &str) -> String {
    key.replace('~', "~0").replace('/', "~1")
}
