//! How alike two pictures are, whatever their size or compression.

use crate::fit::Point;
use crate::gray::Gray;
use blockhash::{Blockhash64, Image, blockhash64};

/// A perceptual hash of 64 bits (block mean values), a bit a block of the frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Likeness {
    /// Rows of eight blocks from the top, the first block the highest bit.
    pub bits: u64,
    /// A set bit for each block that shows the scene; the others show a card.
    pub counted: u64,
}

/// Largest share of a block that a card may cover for the block still to count.
const COVERED: f32 = 0.2;

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

/// The hash of the scene round the `cards`, each given by its four corners in order
/// round it; `None` for a picture too small to say anything.
///
/// A card is bright and the same in every picture: left in, it would decide which blocks
/// count as bright. It is filled from the scene around it, and its blocks do not
/// count.
pub fn likeness(picture: &Gray, cards: &[[Point; 4]]) -> Option<Likeness> {
    let (mut small, mut by) = (picture.clone(), 1.0f32);
    while small.width.min(small.height) > 256 {
        (small, by) = (small.half(), by * 2.0);
    }
    if small.width < 8 || small.height < 8 {
        return None;
    }
    let cards: Vec<_> = cards.iter().map(|c| c.map(|(x, y)| (x / by, y / by))).collect();
    let hidden: Vec<bool> = (0..small.width * small.height)
        .map(|i| ((i % small.width) as f32 + 0.5, (i / small.width) as f32 + 0.5))
        .map(|p| cards.iter().any(|c| within(p, c)))
        .collect();
    let counted = counted(&hidden, small.width, small.height);
    fill(&mut small, &hidden);
    let hash: Blockhash64 = blockhash64(&Small(small));
    Some(Likeness { bits: u64::from_be_bytes(hash.into()), counted })
}

/// Whether a point lies in a convex figure of four corners.
fn within(p: Point, corners: &[Point; 4]) -> bool {
    let side = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % 4]);
        (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)
    };
    (0..4).all(|i| side(i) >= 0.0) || (0..4).all(|i| side(i) <= 0.0)
}

/// The blocks that are hardly covered, in the hash's order.
fn counted(hidden: &[bool], width: usize, height: usize) -> u64 {
    let mut blocks = [(0u32, 0u32); 64];
    for (i, hidden) in hidden.iter().enumerate() {
        let block = &mut blocks[(i / width) * 8 / height * 8 + (i % width) * 8 / width];
        *block = (block.0 + u32::from(*hidden), block.1 + 1);
    }
    let counts = |(covered, all): &(u32, u32)| *covered as f32 <= *all as f32 * COVERED;
    blocks.iter().fold(0, |bits, block| bits << 1 | u64::from(counts(block)))
}

/// Fills what is hidden with the nearest seen shades to its left and right, above and
/// below, the nearer the more.
fn fill(picture: &mut Gray, hidden: &[bool]) {
    let (width, height) = (picture.width, picture.height);
    // Sum of shades by weight, and of weights.
    let mut sums = vec![(0f32, 0f32); hidden.len()];
    let mut along = |places: &mut dyn Iterator<Item = usize>| {
        let mut last: Option<(f32, f32)> = None;
        for i in places {
            if !hidden[i] {
                last = Some((f32::from(picture.pixels[i]), 1.0));
            } else if let Some((shade, far)) = &mut last {
                sums[i] = (sums[i].0 + *shade / *far, sums[i].1 + 1.0 / *far);
                *far += 1.0;
            }
        }
    };
    for y in 0..height {
        along(&mut (y * width..(y + 1) * width));
        along(&mut (y * width..(y + 1) * width).rev());
    }
    for x in 0..width {
        along(&mut (x..width * height).step_by(width));
        along(&mut (x..width * height).step_by(width).rev());
    }
    // Cards all over: nothing counts, and middle grey tips no median.
    for (i, (sum, weight)) in sums.iter().enumerate().filter(|(i, _)| hidden[*i]) {
        picture.pixels[i] = if *weight > 0.0 { (sum / weight).round() as u8 } else { 128 };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One bright block is one bit, the same one that a card over it takes out.
    #[test]
    fn a_block_and_its_bit() {
        for block in [0usize, 5, 8, 27, 63] {
            let (x, y) = (block % 8 * 10, block / 8 * 10);
            let shade = |i: usize| if i % 80 / 10 * 10 == x && i / 80 / 10 * 10 == y { 220 } else { 30 };
            let picture = Gray::new(80, 80, (0..6400).map(shade).collect()).expect("a frame");
            let bit = 1u64 << (63 - block);
            let seen = likeness(&picture, &[]).expect("a hash");
            assert_eq!((seen.bits, seen.counted), (bit, u64::MAX));
            let (x, y) = (x as f32, y as f32);
            let card = [(x, y), (x + 10.0, y), (x + 10.0, y + 10.0), (x, y + 10.0)];
            assert_eq!(likeness(&picture, &[card]).expect("a hash").counted, !bit);
        }
    }
}
