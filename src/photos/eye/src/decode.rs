//! Bytes of a picture into shades of grey, within bounds.

use crate::gray::Gray;
use std::fmt;
use std::io::Cursor;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// A picture in grey.
#[derive(Clone, Debug)]
pub struct Decoded {
    pub gray: Gray,
    /// The file ends before the picture does; what is missing is one shade.
    pub cut_short: bool,
}

/// Why there is no picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotDecoded {
    /// Neither JPEG nor PNG by its first bytes.
    OtherKind,
    TooLarge {
        width: usize,
        height: usize,
    },
    Broken(String),
}

impl fmt::Display for NotDecoded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NotDecoded::OtherKind => f.write_str("neither JPEG nor PNG"),
            NotDecoded::TooLarge { width, height } => {
                write!(f, "{width} x {height} pixels, more than is read")
            }
            NotDecoded::Broken(why) => write!(f, "can't be decoded: {why}"),
        }
    }
}

impl std::error::Error for NotDecoded {}

const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";

fn is_jpeg(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0xff, 0xd8, 0xff])
}

fn options(side: usize) -> DecoderOptions {
    DecoderOptions::new_safe()
        .set_use_unsafe(true)
        .set_strict_mode(false)
        .set_max_width(side)
        .set_max_height(side)
        .jpeg_set_max_scans(64)
        .jpeg_set_out_colorspace(ColorSpace::Luma)
}

/// Width and height as the head of the file says, with nothing decoded.
///
/// # Errors
/// No JPEG or PNG, or a head that makes no sense.
pub fn size_of(bytes: &[u8]) -> Result<(usize, usize), NotDecoded> {
    if is_jpeg(bytes) {
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options(1 << 16));
        decoder.decode_headers().map_err(|e| NotDecoded::Broken(plain(&e.to_string())))?;
        let info = decoder.info().ok_or_else(|| NotDecoded::Broken("no size".into()))?;
        Ok((usize::from(info.width), usize::from(info.height)))
    } else if bytes.starts_with(PNG) {
        let reader =
            png_decoder(bytes, 1 << 20).read_info().map_err(|e| NotDecoded::Broken(plain(&e.to_string())))?;
        let info = reader.info();
        Ok((info.width as usize, info.height as usize))
    } else {
        Err(NotDecoded::OtherKind)
    }
}

/// Decodes a picture of at most `most` pixels.
///
/// # Errors
/// Another kind, too large, or broken.
pub fn decode(bytes: &[u8], most: usize) -> Result<Decoded, NotDecoded> {
    let (width, height) = size_of(bytes)?;
    if width.saturating_mul(height) > most {
        return Err(NotDecoded::TooLarge { width, height });
    }
    if width < 21 || height < 21 {
        return Err(NotDecoded::Broken(format!("{width} x {height} pixels hold no picture")));
    }
    if is_jpeg(bytes) { jpeg(bytes) } else { png(bytes, width, height) }
}

/// Rows of red, green and blue of a picture of at most `most` pixels, with its
/// width and height.
///
/// # Errors
/// Another kind, too large, or broken.
pub(crate) fn colours(bytes: &[u8], most: usize) -> Result<(usize, usize, Vec<u8>), NotDecoded> {
    let (width, height) = size_of(bytes)?;
    if width.saturating_mul(height) > most {
        return Err(NotDecoded::TooLarge { width, height });
    }
    if !is_jpeg(bytes) {
        // A PNG is no camera's file: shades are enough to look at.
        let gray = decode(bytes, most)?.gray;
        return Ok((gray.width, gray.height, gray.pixels.iter().flat_map(|p| [*p; 3]).collect()));
    }
    let broken = |e: zune_jpeg::errors::DecodeErrors| NotDecoded::Broken(plain(&e.to_string()));
    let options = options(1 << 16).jpeg_set_out_colorspace(ColorSpace::RGB);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    let pixels = decoder.decode().map_err(broken)?;
    let (width, height) = decoder.dimensions().ok_or_else(|| NotDecoded::Broken("no size".into()))?;
    match pixels.len() / (width * height).max(1) {
        3 => Ok((width, height, pixels)),
        1 => Ok((width, height, pixels.iter().flat_map(|p| [*p; 3]).collect())),
        _ => Err(NotDecoded::Broken("an unknown colour model".into())),
    }
}

fn jpeg(bytes: &[u8]) -> Result<Decoded, NotDecoded> {
    let broken = |e: zune_jpeg::errors::DecodeErrors| NotDecoded::Broken(plain(&e.to_string()));
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options(1 << 16));
    let pixels = decoder.decode().map_err(broken)?;
    let (width, height) = decoder.dimensions().ok_or_else(|| NotDecoded::Broken("no size".into()))?;
    let parts = pixels.len() / (width * height).max(1);
    let pixels = match parts {
        1 => pixels,
        // A file of a colour model that has no plain grey.
        3 | 4 => pixels.chunks_exact(parts).map(|p| luma(p[0], p[1], p[2])).collect(),
        _ => return Err(NotDecoded::Broken("an unknown colour model".into())),
    };
    let gray = Gray::new(width, height, pixels).ok_or_else(|| NotDecoded::Broken("wrong size".into()))?;
    Ok(Decoded { gray, cut_short: !jpeg_ends(bytes) })
}

/// Whether an end mark follows the first scan of the picture itself; the small
/// picture inside its metadata has an end mark of its own.
fn jpeg_ends(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let [0xff, kind, high, low, ..] = bytes.get(at..).unwrap_or(&[]) {
        if *kind == 0xff {
            at += 1;
            continue;
        }
        if *kind == 0xda {
            return bytes[at..].windows(2).any(|w| w == [0xff, 0xd9]);
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    false
}

fn png_decoder(bytes: &[u8], most: usize) -> png::Decoder<Cursor<&[u8]>> {
    let mut decoder = png::Decoder::new_with_limits(Cursor::new(bytes), png::Limits { bytes: most });
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    decoder.set_ignore_text_chunk(true);
    decoder.set_ignore_iccp_chunk(true);
    decoder
}

fn png(bytes: &[u8], width: usize, height: usize) -> Result<Decoded, NotDecoded> {
    let broken = |e: png::DecodingError| NotDecoded::Broken(plain(&e.to_string()));
    let mut reader = png_decoder(bytes, 64 << 20).read_info().map_err(broken)?;
    let parts = reader.output_color_type().0.samples();
    let mut pixels = Vec::with_capacity(width * height);
    let mut cut_short = false;
    let mut shades = |row: &[u8]| match parts {
        1 | 2 => pixels.extend(row.chunks_exact(parts).map(|p| p[0])),
        _ => pixels.extend(row.chunks_exact(parts).map(|p| luma(p[0], p[1], p[2]))),
    };
    if reader.info().interlaced {
        let size = reader.output_buffer_size().ok_or_else(|| NotDecoded::Broken("too large".into()))?;
        let mut all = vec![0; size];
        reader.next_frame(&mut all).map_err(broken)?;
        shades(&all);
    } else {
        loop {
            match reader.next_row() {
                Ok(Some(row)) => shades(row.data()),
                Ok(None) => break,
                Err(_) => {
                    cut_short = true;
                    break;
                }
            }
        }
    }
    if pixels.is_empty() {
        return Err(NotDecoded::Broken("no row of it can be read".into()));
    }
    pixels.resize(width * height, 128);
    let gray = Gray::new(width, height, pixels).ok_or_else(|| NotDecoded::Broken("wrong size".into()))?;
    Ok(Decoded { gray, cut_short })
}

/// Rec. ITU-R BT.601 luma, as JPEG's own.
fn luma(r: u8, g: u8, b: u8) -> u8 {
    ((299 * u32::from(r) + 587 * u32::from(g) + 114 * u32::from(b) + 500) / 1000) as u8
}

/// A decoder's message on one line, for people.
fn plain(message: &str) -> String {
    message.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(120).collect()
}
