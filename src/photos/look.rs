//! One file looked at: hashed, its kind told by its content, its codes read.

use super::meta::{Meta, meta};
use crate::record::Likeness;
use cutback_eye::{Beyond, codes, decode, likeness, size_of};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::{Condvar, Mutex};

/// Largest picture decoded, pixels. With [`MOST_FILE`] it bounds the memory of a
/// run: at most this many pixels are in work at a time, at up to eight bytes each.
pub const MOST_PIXELS: usize = 64_000_000;
/// Largest picture file read, bytes; video of any length is only hashed.
pub const MOST_FILE: u64 = 64 << 20;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Jpeg,
    Png,
    /// A picture that only its metadata is read of: no free decoder fits here.
    Heic,
    Video,
}

impl Kind {
    /// By the first bytes; a name proves nothing.
    pub fn of(head: &[u8]) -> Option<Kind> {
        let brand = head.get(8..12);
        if head.starts_with(&[0xff, 0xd8, 0xff]) {
            Some(Kind::Jpeg)
        } else if head.starts_with(b"\x89PNG\r\n\x1a\n") {
            Some(Kind::Png)
        } else if head.get(4..8) == Some(b"ftyp") {
            let still = [b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif"];
            let is = |b: &&[u8; 4]| brand == Some(b.as_slice());
            Some(if still.iter().any(is) { Kind::Heic } else { Kind::Video })
        } else if head.starts_with(&[0x1a, 0x45, 0xdf, 0xa3])
            || (head.starts_with(b"RIFF") && brand == Some(b"AVI "))
        {
            Some(Kind::Video)
        } else {
            None
        }
    }

    pub fn ending(self) -> &'static str {
        match self {
            Kind::Jpeg => "jpg",
            Kind::Png => "png",
            Kind::Heic => "heic",
            Kind::Video => "video",
        }
    }
}

/// How far a label card reaches beyond its code as it is printed, a little more for
/// the scissors: the card is 91 mm by 58 mm, the code 35 mm, 7 mm from its upper and right
/// edge (`templates/layout/cutout.typ`).
const CARD: Beyond = Beyond { left: 1.45, right: 0.25, above: 0.25, below: 0.5 };

/// What a file is, by its bytes alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sum {
    pub sha256: String,
    pub bytes: u64,
    pub kind: Option<Kind>,
}

/// Hashes a file piece by piece.
///
/// # Errors
/// The file can't be read.
pub fn sum(path: &Path) -> std::io::Result<Sum> {
    let mut file = File::open(path)?;
    let mut hash = Sha256::new();
    let (mut bytes, mut kind) = (0u64, None);
    let mut piece = vec![0u8; 256 << 10];
    loop {
        let n = file.read(&mut piece)?;
        if n == 0 {
            break;
        }
        if bytes == 0 {
            kind = Kind::of(&piece[..n]);
        }
        hash.update(&piece[..n]);
        bytes += n as u64;
    }
    let sha256 = hash.finalize().iter().map(|b| format!("{b:02x}")).collect();
    Ok(Sum { sha256, bytes, kind })
}

/// What is seen in a picture.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    /// Codes read, in order, each once.
    pub codes: Vec<String>,
    /// Perceptual hash of the scene round the cards, as [`Likeness`] writes it.
    pub look: Option<String>,
    /// Why it was not looked at, or not wholly.
    pub trouble: Option<String>,
    #[serde(flatten)]
    pub meta: Meta,
}

/// Looks at a picture file of a kind; video is not looked at.
pub fn look(path: &Path, sum: &Sum, desk: &Desk) -> Seen {
    let trouble = |why: String| Seen { trouble: Some(why), ..Seen::default() };
    if sum.bytes > MOST_FILE {
        return trouble(format!("{} MB, more than is read of a picture", sum.bytes >> 20));
    }
    let (bytes, _place) = match desk.read(path) {
        Ok(read) => read,
        Err(error) => return trouble(format!("can't be read: {error}")),
    };
    if sum.kind == Some(Kind::Heic) {
        let why = "pictures of this kind are filed by hand, in the list of frames".to_string();
        return Seen { trouble: Some(why), meta: meta(&bytes, None), ..Seen::default() };
    }
    let size = size_of(&bytes).ok();
    let meta = meta(&bytes, size);
    let picture = match decode(&bytes, MOST_PIXELS) {
        Ok(picture) => picture,
        Err(error) => return Seen { trouble: Some(error.to_string()), meta, ..Seen::default() },
    };
    drop(bytes);
    let mut gray = picture.gray;
    // Beyond what a card needs, size only costs.
    while gray.pixels.len() > 26_000_000 {
        gray = gray.half();
    }
    let mut found: Vec<String> = Vec::new();
    let codes = codes(&gray);
    let cards: Vec<_> = codes.iter().filter_map(|c| c.printed_on(CARD)).collect();
    for code in &codes {
        let text = super::gather::harmless(code.text.as_ref());
        if !found.contains(&text) {
            found.push(text);
        }
    }
    let look = likeness(&gray, &cards);
    let look = look.map(|l| Likeness { bits: l.bits, counted: l.counted }.to_string());
    let trouble = picture.cut_short.then(|| "the file ends before the picture does".to_string());
    Seen { codes: found, look, trouble, meta }
}

/// Room for pictures in work, in pixels of [`PIXEL`] bytes: threads wait until enough is
/// free for the file and what it decodes to, so that the memory does not grow with the
/// number of cores.
pub struct Desk {
    free: Mutex<usize>,
    freed: Condvar,
}

/// Bytes that a pixel takes at most while it is decoded and looked at.
const PIXEL: u64 = 8;
/// One picture of the largest kind and two files of the largest.
const ROOM: usize = MOST_PIXELS + 2 * (MOST_FILE / PIXEL) as usize;
/// Bytes from a file's start in which the size of its picture mostly stands.
const HEAD: u64 = 1 << 20;

impl Default for Desk {
    fn default() -> Self {
        Desk { free: Mutex::new(ROOM), freed: Condvar::new() }
    }
}

/// Pixels taken from a desk, given back when dropped.
pub(super) struct Place<'a>(&'a Desk, usize);

impl Desk {
    /// The bytes of a picture file, at most [`MOST_FILE`] of them, once there is room for
    /// them and for its pixels; a file whose start does not say how many it has is given
    /// the room of the largest.
    ///
    /// # Errors
    /// The file can't be read.
    pub(super) fn read(&self, path: &Path) -> std::io::Result<(Vec<u8>, Place<'_>)> {
        let mut file = File::open(path)?;
        // It may grow while it is read.
        let length = file.metadata()?.len().min(MOST_FILE);
        let mut bytes = Vec::new();
        file.by_ref().take(HEAD.min(length)).read_to_end(&mut bytes)?;
        let pixels = match (Kind::of(&bytes), size_of(&bytes)) {
            (Some(Kind::Jpeg | Kind::Png), Ok((w, h))) => w.saturating_mul(h).min(MOST_PIXELS),
            (Some(Kind::Jpeg | Kind::Png), Err(_)) => MOST_PIXELS,
            _ => 0,
        };
        let place = self.take(pixels + (length / PIXEL) as usize);
        bytes.reserve_exact(length as usize - bytes.len().min(length as usize));
        file.take(length - bytes.len() as u64).read_to_end(&mut bytes)?;
        Ok((bytes, place))
    }

    fn take(&self, pixels: usize) -> Place<'_> {
        let mut free = self.free.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        while *free < pixels {
            free = self.freed.wait(free).unwrap_or_else(std::sync::PoisonError::into_inner);
        }
        *free -= pixels;
        Place(self, pixels)
    }
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        *self.0.free.lock().unwrap_or_else(std::sync::PoisonError::into_inner) += self.1;
        self.0.freed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Room is taken for the file and for what it decodes to, and given back.
    #[test]
    fn a_file_takes_the_room_that_it_needs() {
        let dir = tempfile::tempdir().expect("a folder");
        let desk = Desk::default();
        let taken = |name: &str, bytes: &[u8]| {
            let path = dir.path().join(name);
            std::fs::write(&path, bytes).expect("written");
            let (read, _place) = desk.read(&path).expect("read");
            assert_eq!(read, bytes);
            ROOM - *desk.free.lock().expect("a desk")
        };
        let mut png = std::io::Cursor::new(Vec::new());
        image::GrayImage::new(300, 200).write_to(&mut png, image::ImageFormat::Png).expect("a picture");
        let png = png.into_inner();
        assert_eq!(taken("a.png", &png), 300 * 200 + png.len() / 8);
        let heic = [&b"\0\0\0\x18ftypheic"[..], &[7; 3 << 20]].concat();
        assert_eq!(taken("b.heic", &heic), heic.len() / 8, "never decoded");
        assert_eq!(taken("c.jpg", &[0xff, 0xd8, 0xff, 0xe0]), MOST_PIXELS, "its size is not known");
        assert_eq!(*desk.free.lock().expect("a desk"), ROOM);
    }
}
