//! The `pack.json` inside a pack's PDF: the paper file alone is enough to judge
//! a record.

use hayro_syntax::Pdf;
use hayro_syntax::object::dict::keys::{EF, F, UF};
use hayro_syntax::object::{Dict, Object, Stream, String as PdfString};

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
