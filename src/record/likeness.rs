//! The perceptual hash of a photograph as a record logs it, and when two are alike.

use std::fmt;

/// A bit a block of the frame. Written as 16 hex digits; where label cards cover blocks,
/// 16 more after a stroke say which blocks count (`f2a74de452e6b438/ffffc3c3c3ffffff`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Likeness {
    pub bits: u64,
    /// A set bit for each block that shows the scene and no card.
    pub counted: u64,
}

/// Two pictures of one shot differ in at most one of so many blocks; seen on drawn
/// pictures, no source.
const ONE_IN: u32 = 10;
/// Blocks that must show the scene in both: of fewer nothing can be said.
const LEAST: u32 = 28;

impl Likeness {
    /// The hash in a text; nothing where it is none.
    pub fn read(text: &str) -> Option<Likeness> {
        let number =
            |t: &str| (t.len() == 16 && !t.starts_with('+')).then(|| u64::from_str_radix(t, 16).ok())?;
        let (bits, counted) = text.trim().split_once('/').unwrap_or((text.trim(), "ffffffffffffffff"));
        Some(Likeness { bits: number(bits)?, counted: number(counted)? })
    }

    /// Whether both show the same scene, as far as cards leave it to be seen.
    pub fn alike(&self, other: &Likeness) -> bool {
        let both = self.counted & other.counted;
        let differ = ((self.bits ^ other.bits) & both).count_ones();
        both.count_ones() >= LEAST && differ * ONE_IN <= both.count_ones()
    }
}

impl fmt::Display for Likeness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.bits)?;
        if self.counted == u64::MAX { Ok(()) } else { write!(f, "/{:016x}", self.counted) }
    }
}
