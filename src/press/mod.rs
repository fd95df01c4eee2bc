//! A pack into the bytes of a PDF, the same bytes every time.
//!
//! One [`Press`] holds the library and the fonts and is shared by all packs;
//! each pack gets a small world of its own, whose files exist only in memory: a
//! template can read nothing from the disk or the network.

mod print;
mod world;

pub use print::Copy;

use crate::language::{Language, LanguageFault};
use crate::procedure::Pack;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::atomic::{AtomicUsize, Ordering};
use typst::Library;
use typst::LibraryExt;
use typst::comemo;
use typst::diag::{Severity, SourceDiagnostic};
use typst::foundations::Smart;
use typst::text::{Font, FontInfo};
use typst::utils::LazyHash;
use typst_kit::fonts::FontStore;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};
use world::Sheet;

/// The faces of the pack. Inter 3.019, SIL Open Font License 1.1.
const FACES: [&[u8]; 3] = [
    include_bytes!("../../fonts/Inter-Regular.otf"),
    include_bytes!("../../fonts/Inter-Bold.otf"),
    include_bytes!("../../fonts/Inter-Italic.otf"),
];

/// Why no PDF came out: always a fault of ours, with file and line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PressFault(pub String);

impl fmt::Display for PressFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PressFault {}

impl From<LanguageFault> for PressFault {
    fn from(fault: LanguageFault) -> PressFault {
        PressFault(fault.to_string())
    }
}

/// The page words of what prints in English only.
fn english() -> Result<Vec<u8>, PressFault> {
    Ok(Language::english()?.page_words())
}

/// Library and fonts, read once.
pub struct Press {
    library: LazyHash<Library>,
    fonts: FontStore,
    coverage: Vec<FontInfo>,
}

impl Default for Press {
    fn default() -> Self {
        Press::new()
    }
}

impl Press {
    pub fn new() -> Press {
        let mut fonts = FontStore::new();
        let mut coverage = Vec::new();
        for face in FACES {
            for font in Font::iter(typst::foundations::Bytes::new(face)) {
                let info = font.info().clone();
                coverage.push(info.clone());
                fonts.push((font, info));
            }
        }
        Press { library: LazyHash::new(Library::default()), fonts, coverage }
    }

    /// Characters of `text` that the pack can't print: no glyph in every face,
    /// private use, or turning the direction of reading.
    pub fn unprintable(&self, text: &str) -> Vec<char> {
        let mut bad: Vec<char> = text.chars().filter(|c| !self.prints(*c)).collect();
        bad.sort_unstable();
        bad.dedup();
        bad
    }

    fn prints(&self, c: char) -> bool {
        let turns = matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}');
        let private = matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}');
        if turns || private || (c.is_control() && c != '\n') {
            return false;
        }
        c.is_whitespace() && (c == ' ' || c == '\n')
            || self.coverage.iter().all(|info| info.coverage.contains(u32::from(c)))
    }

    /// Prints `pack` as a PDF/A-3a and PDF/UA-1 with `json` attached.
    ///
    /// # Errors
    /// A fault in a template, with file and line.
    pub fn print(&self, pack: &Pack, json: &[u8], copy: &Copy) -> Result<Vec<u8>, PressFault> {
        let _in_work = InWork::begin();
        self.press(pack, json, copy)
    }

    /// Prints what is still to be photographed, from the JSON of a report of
    /// photographs received, as a PDF for the phone.
    ///
    /// # Errors
    /// A fault in the template, with file and line.
    pub fn print_needed(&self, json: &[u8], date: &str) -> Result<Vec<u8>, PressFault> {
        let sheet = Sheet::new(self, "needed.typ", json.to_vec(), Vec::new(), english()?);
        let _in_work = InWork::begin();
        self.pdf(&sheet, "cutback/needed".into(), None, date)
    }

    /// Prints the report of a verified record, from its JSON and the pictures (JPEG)
    /// it names; `ident` names the record, `date` is that of its completion.
    ///
    /// # Errors
    /// A fault in the template, with file and line.
    pub fn print_report(
        &self,
        json: &[u8],
        pictures: BTreeMap<String, Vec<u8>>,
        ident: &str,
        date: &str,
    ) -> Result<Vec<u8>, PressFault> {
        let sheet = Sheet::with_pictures(self, "report.typ", json.to_vec(), Vec::new(), english()?, pictures);
        let _in_work = InWork::begin();
        self.pdf(&sheet, ident.to_string(), None, date)
    }

    /// The bytes that every page's look follows from; with the same and the same
    /// data it prints the same.
    pub fn layout() -> Vec<u8> {
        [env!("CARGO_PKG_VERSION").as_bytes(), &world::layout()].concat()
    }

    fn press(&self, pack: &Pack, json: &[u8], copy: &Copy) -> Result<Vec<u8>, PressFault> {
        let sheet = Sheet::new(self, "pack.typ", json.to_vec(), copy.json()?, copy.words()?);
        let ident = format!("cutback/{}/{}/{}", pack.job.number, pack.job.end, pack.job.revision);
        self.pdf(&sheet, ident, Some(pack.tool.clone()), &pack.job.date)
    }

    fn pdf(
        &self,
        sheet: &Sheet,
        ident: String,
        creator: Option<String>,
        date: &str,
    ) -> Result<Vec<u8>, PressFault> {
        let compiled = typst::compile::<PagedDocument>(sheet);
        let fault = |list: &[SourceDiagnostic]| PressFault(sheet.explain(list));
        let document = compiled.output.map_err(|errors| fault(&errors))?;
        let warnings: Vec<SourceDiagnostic> =
            compiled.warnings.into_iter().filter(|w| w.severity == Severity::Warning).collect();
        if !warnings.is_empty() {
            // An unknown font or a missing glyph is only a warning to the
            // compiler; on paper it is a box.
            return Err(fault(&warnings));
        }
        let standards = PdfStandards::new(&[PdfStandard::A_3a, PdfStandard::Ua_1]).map_err(|e| {
            PressFault(format!("the PDF standards asked for don't go together: {}", e.message()))
        })?;
        let options = PdfOptions {
            ident: Smart::Custom(ident),
            creator: Smart::Custom(creator),
            timestamp: timestamp(date),
            page_ranges: None,
            standards,
            tagged: true,
            pretty: false,
        };
        typst_pdf::pdf(&document, &options).map_err(|errors| fault(&errors))
    }
}

/// Documents that are being made.
static IN_WORK: AtomicUsize = AtomicUsize::new(0);

/// One document being made. It begins with dropping what earlier ones left in the
/// typesetter's cache, which is global and only grows. Before a document, not after: the
/// last one of a process is not worth the time. What the one before used stays for one
/// more, and while several are made at a time each of them ages it once.
struct InWork;

impl InWork {
    fn begin() -> InWork {
        let others = IN_WORK.fetch_add(1, Ordering::Relaxed);
        comemo::evict(1 + others);
        InWork
    }
}

impl Drop for InWork {
    fn drop(&mut self) {
        IN_WORK.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Midnight of the pack's date: the clock has no say.
fn timestamp(date: &str) -> Option<Timestamp> {
    let date: jiff::civil::Date = date.parse().ok()?;
    let datetime = typst::foundations::Datetime::from_ymd_hms(
        i32::from(date.year()),
        u8::try_from(date.month()).ok()?,
        u8::try_from(date.day()).ok()?,
        0,
        0,
        0,
    )?;
    Some(Timestamp::new_utc(datetime))
}
