//! How alike two pictures are, whatever their size or compression.

use crate::gray::Gray;
use blockhash::{Blockhash64, Image, blockhash64};

/// A perceptual hash of 64 bits (block mean values).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Likeness(pub [u8; 8]);

impl Likeness {
    /// Bits that differ, of 64. Two different scenes differ in some twenty or more.
    pub fn distance(&self, other: &Likeness) -> u32 {
        self.0.iter().zip(&other.0).map(|(a, b)| (a ^ b).count_ones()).sum()
    }
}

struct Small(Gray);

impl Image for Small {
    const MAX_BRIGHTNESS: u32 = 255;

    fn dimensions(&self) -> (u32, u32) {
        (self.0.width as u32, self.0.height as u32)
    }

    fn brightness(&self, x: u32, y: u32) -> u32 {
        u32::from(self.0.pixels[y as usize * self.0.width + x as usize])
    }
}

/// The hash of a picture; `None` for one too small to say anything.
pub fn likeness(picture: &Gray) -> Option<Likeness> {
    let mut small = picture.clone();
    while small.width.min(small.height) > 256 {
        small = small.half();
    }
    if small.width < 8 || small.height < 8 {
        return None;
    }
    let hash: Blockhash64 = blockhash64(&Small(small));
    Some(Likeness(hash.into()))
}
