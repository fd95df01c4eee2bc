//! A picture made small, for a page of many.

use crate::decode::{NotDecoded, colours};
use image::ExtendedColorType;
use image::codecs::jpeg::JpegEncoder;

/// A JPEG without any metadata.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Small {
    pub width: usize,
    pub height: usize,
    pub jpeg: Vec<u8>,
}

/// Good enough to see a tooth in a semicon edge, small enough for forty to a file.
const QUALITY: u8 = 80;

/// The picture in `bytes`, its longer side at most `side` pixels, turned upright
/// by `orientation` (1 to 8, as Exif has it). The same bytes give the same bytes.
///
/// # Errors
/// Another kind, more than `most` pixels, or broken.
pub fn small(bytes: &[u8], most: usize, side: usize, orientation: u32) -> Result<Small, NotDecoded> {
    let (width, height, pixels) = colours(bytes, most)?;
    let longer = width.max(height).max(1);
    let fit = |n: usize| if longer <= side { n } else { (n * side / longer).max(1) };
    let (w, h) = (fit(width), fit(height));
    let reduced = reduce(&pixels, (width, height), (w, h));
    drop(pixels);
    let (w, h, upright) = turn(&reduced, w, h, orientation);
    let mut jpeg = Vec::new();
    let broken = |why: String| NotDecoded::Broken(why);
    let side = |n: usize| u32::try_from(n).map_err(|e| broken(e.to_string()));
    JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
        .encode(&upright, side(w)?, side(h)?, ExtendedColorType::Rgb8)
        .map_err(|e| broken(e.to_string()))?;
    Ok(Small { width: w, height: h, jpeg })
}

/// Each pixel the mean of those that fall into it.
fn reduce(pixels: &[u8], from: (usize, usize), to: (usize, usize)) -> Vec<u8> {
    let column: Vec<usize> = (0..from.0).map(|x| x * to.0 / from.0).collect();
    let mut out = Vec::with_capacity(to.0 * to.1 * 3);
    let (mut sums, mut counts) = (vec![[0u32; 3]; to.0], vec![0u32; to.0]);
    for (y, row) in pixels.chunks_exact(from.0 * 3).enumerate() {
        for (p, x) in row.chunks_exact(3).zip(&column) {
            let sum = &mut sums[*x];
            (sum[0], sum[1], sum[2]) =
                (sum[0] + u32::from(p[0]), sum[1] + u32::from(p[1]), sum[2] + u32::from(p[2]));
            counts[*x] += 1;
        }
        if (y + 1) * to.1 / from.1 != y * to.1 / from.1 || y + 1 == from.1 {
            for (sum, n) in sums.iter().zip(&counts) {
                out.extend(sum.map(|s| (s / (*n).max(1)) as u8));
            }
            sums.fill([0; 3]);
            counts.fill(0);
        }
    }
    out.resize(to.0 * to.1 * 3, 128);
    out
}

/// Rows turned or mirrored as Exif's orientation says how the camera was held.
fn turn(pixels: &[u8], w: usize, h: usize, orientation: u32) -> (usize, usize, Vec<u8>) {
    let crosswise = (5..=8).contains(&orientation);
    let (ow, oh) = if crosswise { (h, w) } else { (w, h) };
    let mut out = Vec::with_capacity(pixels.len());
    for y in 0..oh {
        for x in 0..ow {
            let (sx, sy) = match orientation {
                2 => (w - 1 - x, y),
                3 => (w - 1 - x, h - 1 - y),
                4 => (x, h - 1 - y),
                5 => (y, x),
                6 => (y, h - 1 - x),
                7 => (w - 1 - y, h - 1 - x),
                8 => (w - 1 - y, x),
                _ => (x, y),
            };
            let at = (sy * w + sx) * 3;
            out.extend_from_slice(&pixels[at..at + 3]);
        }
    }
    (ow, oh, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_reduced_and_turned_upright() {
        // Left half dark, right half light.
        let row: Vec<u8> = (0..8).flat_map(|x| [if x < 4 { 10 } else { 200 }; 3]).collect();
        let pixels = row.repeat(4);
        let half = reduce(&pixels, (8, 4), (4, 2));
        assert_eq!(half.len(), 4 * 2 * 3);
        assert_eq!((half[0], half[9]), (10, 200));
        // Held with its right side down: the dark half is the upper one.
        let (w, h, up) = turn(&half, 4, 2, 6);
        assert_eq!((w, h), (2, 4));
        assert_eq!((up[0], up[up.len() - 1]), (10, 200));
        for orientation in 0..10 {
            assert_eq!(turn(&half, 4, 2, orientation).2.len(), half.len());
        }
    }
}
