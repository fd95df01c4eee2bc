//! The world of one pack: our templates, its data, and nothing else.

use super::Press;
use crate::language;
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, World, WorldExt};
use typst_kit::files::{FileLoader, FileStore};

static LAYOUT: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/layout");

/// All templates and their words, one behind the other.
pub(super) fn layout() -> Vec<u8> {
    let words = language::all_words().to_string();
    LAYOUT.files().flat_map(|file| file.contents()).chain(words.as_bytes()).copied().collect()
}

struct Files {
    pack: Bytes,
    print: Bytes,
    words: Bytes,
    /// Under `pictures/`, by name.
    pictures: BTreeMap<String, Bytes>,
}

impl FileLoader for Files {
    fn load(&self, id: FileId) -> FileResult<Bytes> {
        if *id.root() != VirtualRoot::Project {
            // Packages would mean the network.
            return Err(FileError::AccessDenied);
        }
        let path = id.vpath().get_without_slash();
        match path {
            "pack.json" => Ok(self.pack.clone()),
            "print.json" => Ok(self.print.clone()),
            "words.json" => Ok(self.words.clone()),
            _ if path.starts_with("pictures/") => {
                let name = path.trim_start_matches("pictures/");
                self.pictures.get(name).cloned().ok_or_else(|| FileError::NotFound(path.into()))
            }
            _ => LAYOUT
                .get_file(path)
                .map(|file| Bytes::new(file.contents()))
                .ok_or_else(|| FileError::NotFound(path.into())),
        }
    }
}

pub(super) struct Sheet<'p> {
    press: &'p Press,
    files: FileStore<Files>,
    main: FileId,
}

impl<'p> Sheet<'p> {
    /// `main` is the template it starts with, `words` those of its language.
    pub fn new(press: &'p Press, main: &str, pack: Vec<u8>, print: Vec<u8>, words: Vec<u8>) -> Sheet<'p> {
        Sheet::with_pictures(press, main, pack, print, words, BTreeMap::new())
    }

    /// With pictures by name, which the template finds under `/pictures/`.
    pub fn with_pictures(
        press: &'p Press,
        main: &str,
        pack: Vec<u8>,
        print: Vec<u8>,
        words: Vec<u8>,
        pictures: BTreeMap<String, Vec<u8>>,
    ) -> Sheet<'p> {
        let pictures = pictures.into_iter().map(|(name, bytes)| (name, Bytes::new(bytes))).collect();
        let path = VirtualPath::new(main).expect("a plain name is a virtual path");
        Sheet {
            press,
            files: FileStore::new(Files {
                pack: Bytes::new(pack),
                print: Bytes::new(print),
                words: Bytes::new(words),
                pictures,
            }),
            main: RootedPath::new(VirtualRoot::Project, path).intern(),
        }
    }

    /// Compiler messages as ours: whose fault it is, file and line.
    pub fn explain(&self, list: &[SourceDiagnostic]) -> String {
        let lines: Vec<String> = list
            .iter()
            .take(5)
            .map(|d| {
                let file = d
                    .span
                    .id()
                    .map_or("pack.typ".to_string(), |id| id.vpath().get_without_slash().to_string());
                let line = self.line(d);
                let hints: String = d.hints.iter().map(|h| format!(" ({})", h.v)).collect();
                format!("the template templates/layout/{file} line {line} is wrong: {}{hints}", d.message)
            })
            .collect();
        lines.join("; ")
    }

    fn line(&self, d: &SourceDiagnostic) -> usize {
        let Some(range) = self.range(d.span) else { return 1 };
        let Some(source) = d.span.id().and_then(|id| self.source(id).ok()) else { return 1 };
        source.text().get(..range.start).map_or(1, |t| t.matches('\n').count() + 1)
    }
}

impl World for Sheet<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.press.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.press.fonts.book()
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        self.files.source(id)
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.file(id)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.press.fonts.font(index)
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        // The clock has no say in what is printed.
        None
    }
}
