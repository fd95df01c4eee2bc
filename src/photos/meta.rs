//! What a picture's own metadata says: when, by which camera, saved again or not.

use exif::{Exif, In, Reader, Tag, Value};
use serde::{Deserialize, Serialize};
use std::io::Cursor;

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Meta {
    /// Original time, RFC 3339; without an offset where the file has none.
    pub taken: Option<String>,
    pub camera: Option<String>,
    /// What speaks for a file that was saved again or edited.
    pub signs: Vec<String>,
}

/// Reads the metadata of a JPEG, PNG or HEIC file held in `bytes`; `size` is that
/// of the decoded picture. What can't be read is a sign, never an error.
pub fn meta(bytes: &[u8], size: Option<(usize, usize)>) -> Meta {
    let mut meta = Meta::default();
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let read = reader.read_from_container(&mut Cursor::new(bytes)).or_else(|e| {
        e.distill_partial_result(|_| meta.signs.push("part of its metadata can't be read".into()))
    });
    let Ok(exif) = read else {
        meta.signs.push("no original time: the metadata is gone".into());
        return meta;
    };
    let text = |tag: Tag| text(&exif, tag);
    let offset = text(Tag::OffsetTimeOriginal).filter(|o| is_offset(o));
    let original = text(Tag::DateTimeOriginal).and_then(|t| time(&t));
    meta.camera = match (text(Tag::Make), text(Tag::Model)) {
        (Some(make), Some(model)) => Some(format!("{make} {model}")),
        (make, model) => make.or(model),
    };
    match &original {
        None => meta.signs.push("no original time".into()),
        Some(original) => {
            let saved = text(Tag::DateTime).and_then(|t| time(&t));
            if let Some(saved) = saved.filter(|s| s != original) {
                meta.signs.push(format!("saved again {saved}, taken {original}"));
            }
        }
    }
    if meta.camera.is_none() {
        let by = text(Tag::Software).map_or(String::new(), |s| format!(", saved by {s}"));
        meta.signs.push(format!("no camera named{by}"));
    }
    let side = |tag: Tag| exif.get_field(tag, In::PRIMARY).and_then(|f| f.value.get_uint(0));
    if let (Some((w, h)), Some(x), Some(y)) = (size, side(Tag::PixelXDimension), side(Tag::PixelYDimension)) {
        let (x, y) = (x as usize, y as usize);
        if x > 0 && y > 0 && (x, y) != (w, h) && (y, x) != (w, h) {
            meta.signs.push(format!("{w} x {h} pixels, by its metadata {x} x {y}"));
        }
    }
    // Editors that follow the metadata standard write each change down there.
    if head(bytes).windows(13).any(|w| w == b"stEvt:action=" || w == b"xmpMM:History") {
        meta.signs.push("its metadata lists changes".into());
    }
    meta.taken = original.map(|t| format!("{t}{}", offset.unwrap_or_default()));
    meta
}

/// How the camera was held, 1 to 8; 1 where the file does not say.
pub fn orientation(bytes: &[u8]) -> u32 {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let read =
        reader.read_from_container(&mut Cursor::new(bytes)).or_else(|e| e.distill_partial_result(|_| {}));
    let held = read.ok().and_then(|exif| exif.get_field(Tag::Orientation, In::PRIMARY)?.value.get_uint(0));
    held.filter(|o| (1..=8).contains(o)).unwrap_or(1)
}

/// The part before the picture itself, where metadata stands.
fn head(bytes: &[u8]) -> &[u8] {
    &bytes[..bytes.len().min(256 << 10)]
}

fn text(exif: &Exif, tag: Tag) -> Option<String> {
    let field = exif.get_field(tag, In::PRIMARY)?;
    let Value::Ascii(parts) = &field.value else { return None };
    let bytes = parts.first()?;
    let plain = String::from_utf8_lossy(&bytes[..bytes.len().min(80)]);
    let plain = super::gather::harmless(plain.trim().as_ref());
    (!plain.is_empty()).then_some(plain)
}

/// `2031:05:12 11:05:00` as `2031-05-12T11:05:00`.
fn time(text: &str) -> Option<String> {
    let digits = |range: std::ops::Range<usize>| {
        text.get(range).filter(|t| t.bytes().all(|b| b.is_ascii_digit())).and_then(|t| t.parse::<u32>().ok())
    };
    let (year, month, day) = (digits(0..4)?, digits(5..7)?, digits(8..10)?);
    let (hour, minute, second) = (digits(11..13)?, digits(14..16)?, digits(17..19)?);
    let real = year > 1970 && (1..=12).contains(&month) && (1..=31).contains(&day);
    let real = real && hour < 24 && minute < 60 && second < 61;
    real.then(|| format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}"))
}

/// `+02:00`.
fn is_offset(text: &str) -> bool {
    let b = text.as_bytes();
    b.len() == 6
        && matches!(b[0], b'+' | b'-')
        && b[3] == b':'
        && [1, 2, 4, 5].iter().all(|i| b[*i].is_ascii_digit())
}
