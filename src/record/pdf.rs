//! The `pack.json` inside a pack's PDF: the paper file alone is enough to judge
//! a record.

use hayro_syntax::Pdf;
use hayro_syntax::object::dict::keys::{EF, F, UF};
use hayro_syntax::object::{Dict, Object, Stream, String as PdfString};
use std::io::{Read, Write};

const NAME: &str = "pack.json";

/// The bytes of the attached `pack.json`.
///
/// # Errors
/// Why there is none: no PDF, cut short, not ours, or more than one of the name.
pub fn attached_pack(pdf: Vec<u8>) -> Result<Vec<u8>, String> {
    if !pdf.starts_with(b"%PDF-") {
        return Err("no PDF file".into());
    }
    let tail = &pdf[pdf.len().saturating_sub(1024)..];
    if !tail.windows(5).any(|w| w == b"%%EOF") {
        return Err("the PDF is cut short".into());
    }
    bounded(&pdf)?;
    let parsed = Pdf::new(pdf).map_err(|e| format!("the PDF can't be read: {e:?}"))?;
    let mut found: Vec<Vec<u8>> = Vec::new();
    for object in parsed.objects() {
        let Object::Dict(spec) = object else { continue };
        if file_name(&spec).as_deref() != Some(NAME) {
            continue;
        }
        let Some(files) = spec.get::<Dict>(EF) else { continue };
        let Some(stream) = files.get::<Stream>(UF).or_else(|| files.get::<Stream>(F)) else { continue };
        let bytes = stream.decoded().map_err(|e| format!("the attached {NAME} can't be unpacked: {e:?}"))?;
        found.push(bytes.into_owned());
    }
    found.dedup();
    match found.len() {
        0 => Err(format!("no {NAME} is attached: this PDF is no pack of ours")),
        1 => Ok(found.remove(0)),
        n => Err(format!("{n} different attachments are called {NAME}")),
    }
}

/// Most that one stream of a pack's PDF unpacks to, and all of them, bytes.
const MOST_STREAM: u64 = 32 << 20;
const MOST_ALL: u64 = 128 << 20;

/// Most that arrays and groups lie within each other: the reader calls itself for each,
/// and a file of ours has some ten. What is unpacked may be a picture, whose bytes open
/// and close by chance.
const MOST_NESTED: usize = 64;
const MOST_PACKED: usize = 1000;
/// Most objects of a file; a pack of ours has some thousands.
const MOST_OBJECTS: usize = 200_000;

/// How deep brackets lie within each other in what is written to it.
#[derive(Default)]
struct Nesting {
    now: usize,
    most: usize,
}

impl Nesting {
    fn take(&mut self, bytes: &[u8]) {
        for byte in bytes {
            match byte {
                b'[' | b'<' => self.now += 1,
                b']' | b'>' => self.now = self.now.saturating_sub(1),
                _ => continue,
            }
            self.most = self.most.max(self.now);
        }
    }

    fn within(&self, most: usize) -> Result<(), String> {
        if self.most > most {
            return Err("its objects are nested deeper than in any file of ours".into());
        }
        Ok(())
    }
}

impl Write for Nesting {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.take(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Refuses what the reader would unpack without bounds: every stream is unpacked
/// here first, into nothing, and no packing is let through but the one our own files
/// have.
fn bounded(pdf: &[u8]) -> Result<(), String> {
    let mut all = 0;
    let mut at = 0;
    if pdf.windows(6).filter(|w| w == b"endobj").count() > MOST_OBJECTS {
        return Err("it holds more objects than any file of ours".into());
    }
    while let Some(start) = find(&pdf[at..], b"stream").map(|i| at + i) {
        plain_names(&pdf[at..start])?;
        let body = start + b"stream".len();
        let skip = pdf[body..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let data = &pdf[body + skip..];
        let mut unpacked = flate2::read::ZlibDecoder::new(data).take(MOST_STREAM + 1);
        let mut nesting = Nesting::default();
        // What is not packed that way is no bomb: it ends at once.
        let size = std::io::copy(&mut unpacked, &mut nesting).unwrap_or(0);
        nesting.within(MOST_PACKED)?;
        all += size;
        if size > MOST_STREAM || all > MOST_ALL {
            return Err("a stream in it unpacks to more than a pack holds".into());
        }
        at = find(data, b"endstream").map_or(pdf.len(), |i| body + skip + i + b"endstream".len());
    }
    plain_names(&pdf[at..])
}

/// Names between the streams are written plainly, and streams packed once, one way.
fn plain_names(text: &[u8]) -> Result<(), String> {
    let mut nesting = Nesting::default();
    nesting.take(text);
    nesting.within(MOST_NESTED)?;
    for (i, _) in text.iter().enumerate().filter(|(_, b)| **b == b'/') {
        let rest = &text[i + 1..];
        let end = rest.iter().position(|b| b" \r\n\t\x0c/<>[]()".contains(b)).unwrap_or(rest.len());
        let name = &rest[..end];
        if name.contains(&b'#') && name != b"application#2Fjson" {
            return Err("a name in it hides behind an escape: no file of ours has that".into());
        }
        if name == b"Encrypt" {
            return Err("it is encrypted: no file of ours is".into());
        }
        if name == b"Filter" {
            let value = rest[end..].trim_ascii_start();
            if ![&b"/FlateDecode"[..], b"/DCTDecode"].iter().any(|f| value.starts_with(f)) {
                return Err("a stream in it is packed in a way that no file of ours is".into());
            }
        }
    }
    Ok(())
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|w| w == what)
}

fn file_name(spec: &Dict) -> Option<String> {
    let text = spec.get::<PdfString>(UF).or_else(|| spec.get::<PdfString>(F))?;
    let bytes = text.as_bytes();
    // UTF-16 with its mark, or plain bytes.
    Some(match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(wide) => {
            let units: Vec<u16> = wide.chunks_exact(2).map(|c| u16::from_be_bytes([c[0], c[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => String::from_utf8_lossy(bytes).into_owned(),
    })
}
