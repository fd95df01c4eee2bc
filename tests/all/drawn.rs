//! Pictures drawn for the tests: a card with its code, laid in perspective into
//! a grey scene. Drawings, not photographs.

use image::{GrayImage, ImageFormat, Luma};
use qrcode::{Color, EcLevel, QrCode};
use std::io::Cursor;

/// How a card lies in the frame.
#[derive(Clone, Copy)]
pub struct Lie {
    /// Middle of the code and its side, as shares of the frame's width.
    pub at: (f64, f64),
    pub side: f64,
    /// Turn in the plane and tilt out of it, degrees.
    pub turn: f64,
    pub tilt: f64,
}

pub const STRAIGHT: Lie = Lie { at: (0.4, 0.35), side: 0.16, turn: 0.0, tilt: 0.0 };

/// A scene with nothing in it but shades and stripes.
pub fn scene(width: u32, height: u32, seed: u32) -> GrayImage {
    GrayImage::from_fn(width, height, |x, y| {
        let cell = (x / 37).wrapping_mul(73_856_093) ^ (y / 41).wrapping_mul(19_349_663) ^ seed;
        let stripe = if ((x + 2 * y + seed) / 9).is_multiple_of(23) { 60 } else { 0 };
        Luma([(60 + cell.wrapping_mul(2_654_435_761) / 40_000_000 + stripe).min(230) as u8])
    })
}

/// Lays a card with the code of `text` into a picture.
pub fn lay(picture: &mut GrayImage, text: &str, lie: Lie) {
    let code = QrCode::with_error_correction_level(text, EcLevel::H).expect("a code");
    let n = code.width() as f64;
    let colors = code.to_colors();
    let wide = f64::from(picture.width());
    let (turn, tilt) = (lie.turn.to_radians(), lie.tilt.to_radians());
    let far = 14.0; // of the camera, in sides of the code
    // The ray through a pixel meets the card's plane, tilted about its level line.
    let on_card = |px: f64, py: f64| {
        let (u, v) = ((px / wide - lie.at.0) / lie.side, (py / wide - lie.at.1) / lie.side);
        let y = v * far / (far * libm::cos(tilt) - v * libm::sin(tilt));
        let x = u * (1.0 + y * libm::sin(tilt) / far);
        (x * libm::cos(turn) + y * libm::sin(turn), y * libm::cos(turn) - x * libm::sin(turn))
    };
    let shade = |x: f64, y: f64| -> Option<f64> {
        if !(-1.9..=0.75).contains(&x) || y.abs() > 0.75 {
            return None;
        }
        let (i, j) = ((x + 0.5) * n, (y + 0.5) * n);
        let inside = i >= 0.0 && j >= 0.0 && i < n && j < n;
        let dark = inside && colors[j as usize * code.width() + i as usize] == Color::Dark;
        Some(if dark { 35.0 } else { 215.0 })
    };
    let reach = 2.2 * lie.side * wide;
    let (cx, cy) = (lie.at.0 * wide, lie.at.1 * wide);
    for (px, py, pixel) in picture.enumerate_pixels_mut() {
        let (px, py) = (f64::from(px), f64::from(py));
        if (px - cx).abs() > reach || (py - cy).abs() > reach {
            continue;
        }
        let (x, y) = on_card(px + 0.5, py + 0.5);
        if !(-2.0..=0.85).contains(&x) || y.abs() > 0.85 {
            continue;
        }
        let (mut sum, mut count) = (0.0, 0);
        for k in 0..9 {
            let (x, y) = on_card(px + (f64::from(k % 3) + 0.5) / 3.0, py + (f64::from(k / 3) + 0.5) / 3.0);
            if let Some(s) = shade(x, y) {
                sum += s;
                count += 1;
            }
        }
        if count > 0 {
            let back = f64::from(pixel.0[0]) * f64::from(9 - count);
            pixel.0[0] = ((sum + back) / 9.0) as u8;
        }
    }
}

/// Every pixel through `change`, which sees its place and shade.
pub fn through(picture: &mut GrayImage, change: impl Fn(u32, u32, f64) -> f64) {
    for (x, y, pixel) in picture.enumerate_pixels_mut() {
        pixel.0[0] = change(x, y, f64::from(pixel.0[0])).clamp(0.0, 255.0) as u8;
    }
}

pub fn jpeg(picture: &GrayImage, quality: u8) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, quality);
    encoder.encode_image(picture).expect("a JPEG");
    out
}

pub fn png(picture: &GrayImage) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).expect("a PNG");
    out.into_inner()
}

/// A scene of its own with a card for each code: one, or three side by side.
pub fn of_cards(codes: &[String], seed: u32) -> GrayImage {
    let (width, height) = if codes.len() == 1 { (480, 360) } else { (640, 480) };
    let mut picture = scene(width, height, seed.wrapping_mul(0x9e37_79b9));
    for (i, code) in codes.iter().enumerate() {
        let (at, side) = match codes.len() {
            1 => ((0.55, 0.3), 0.26),
            _ => ((0.2 + 0.3 * i as f64, 0.36), 0.16),
        };
        lay(&mut picture, code, Lie { at, side, ..STRAIGHT });
    }
    picture
}

/// A JPEG with an original time, a zone and a camera in its metadata.
pub fn stamped(jpeg: &[u8], taken: &str) -> Vec<u8> {
    stamped_at(jpeg, taken, "+02:00")
}

/// The same in another zone.
pub fn stamped_at(jpeg: &[u8], taken: &str, zone: &str) -> Vec<u8> {
    let text = |tag: exif::Tag, text: &str| exif::Field {
        tag,
        ifd_num: exif::In::PRIMARY,
        value: exif::Value::Ascii(vec![text.as_bytes().to_vec()]),
    };
    let fields = [
        text(exif::Tag::DateTimeOriginal, taken),
        text(exif::Tag::OffsetTimeOriginal, zone),
        text(exif::Tag::Make, "invented"),
        text(exif::Tag::Model, "drawn camera"),
        text(exif::Tag::ImageDescription, "drawing, not a photograph"),
    ];
    let mut writer = exif::experimental::Writer::new();
    fields.iter().for_each(|f| writer.push_field(f));
    let mut tiff = Cursor::new(Vec::new());
    writer.write(&mut tiff, false).expect("metadata");
    let block = [b"Exif\0\0".as_slice(), &tiff.into_inner()].concat();
    let length = u16::try_from(block.len() + 2).expect("short metadata").to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &block, &jpeg[2..]].concat()
}
