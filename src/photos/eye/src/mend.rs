//! Reads a grid of which parts are covered: codewords with a doubtful module are left
//! out. A code mends a word known to be missing at half the price of a wrong one
//! (generalized minimum distance decoding, Forney 1966).
//!
//! Places, masks and blocks as in ISO/IEC 18004:2015 (from memory, held against the
//! codes another crate draws); sizes up to 41 modules, which have one small mark.

use crate::galois;

/// Correcting words a block keeps unused, so that chance makes no text.
const SPARE: usize = 3;

/// Blocks and correcting words a block, by level as the format names it (M, L, H, Q),
/// for versions 1 to 6.
const BLOCKS: [[(usize, usize); 4]; 6] = [
    [(1, 10), (1, 7), (1, 17), (1, 13)],
    [(1, 16), (1, 10), (1, 28), (1, 22)],
    [(1, 26), (1, 15), (2, 22), (2, 18)],
    [(2, 18), (1, 20), (4, 16), (2, 26)],
    [(2, 24), (1, 26), (4, 22), (4, 18)],
    [(4, 16), (2, 18), (4, 28), (4, 24)],
];

/// A grid of `n` modules with every word mended; nothing where too much is covered.
/// `values` tells how dark each module is (dark positive), `doubt` how little that can
/// be trusted; `scale` is the size of a sound value.
pub fn mended(values: &[f32], doubt: &[f32], n: usize, scale: f32) -> Option<Vec<bool>> {
    if !(21..=41).contains(&n) || n % 4 != 1 {
        return None;
    }
    let formats = formats(values, n, scale);
    formats.into_iter().find_map(|format| with_format(values, doubt, n, format))
}

/// The two likeliest formats by what stands in both of their places.
fn formats(values: &[f32], n: usize, scale: f32) -> [u16; 2] {
    let places = format_places(n);
    let fit = |format: u16| -> f32 {
        let word = format_word(format);
        let sign = |k: usize| if word >> (k % 15) & 1 == 1 { 1.0 } else { -1.0 };
        let seen = |(x, y): (usize, usize)| (values[y * n + x] / scale).clamp(-1.0, 1.0);
        places.iter().enumerate().map(|(k, p)| sign(k) * seen(*p)).sum()
    };
    let mut all: Vec<(f32, u16)> = (0..32).map(|f| (fit(f), f)).collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    [all[0].1, all[1].1]
}

/// The fifteen bits of a format: five, their ten check bits, and the fixed mask.
fn format_word(format: u16) -> u16 {
    let mut rest = format << 10;
    for bit in (10..15).rev() {
        if rest >> bit & 1 == 1 {
            rest ^= 0x537 << (bit - 10);
        }
    }
    (format << 10 | rest) ^ 0x5412
}

/// Where the bits of the format stand, from the lowest, in either copy.
fn format_places(n: usize) -> Vec<(usize, usize)> {
    let upright = [0, 1, 2, 3, 4, 5, 7, 8].map(|y| (8, y));
    let level = [7, 5, 4, 3, 2, 1, 0].map(|x| (x, 8));
    let right = (0..8).map(|i| (n - 1 - i, 8));
    let lower = (0..7).map(|i| (8, n - 7 + i));
    upright.into_iter().chain(level).chain(right).chain(lower).collect()
}

/// Modules that hold no data.
fn reserved(n: usize, x: usize, y: usize) -> bool {
    let near = |a: usize, b: usize| a.abs_diff(b) <= 2;
    (x < 9 && y < 9)
        || (x < 9 && y + 8 >= n)
        || (x + 8 >= n && y < 9)
        || x == 6
        || y == 6
        || (n > 21 && near(x, n - 7) && near(y, n - 7))
}

/// Places of the data's bits, in their order: two columns at a time from the right, up
/// and down by turns.
fn data_places(n: usize) -> Vec<(usize, usize)> {
    let mut out = Vec::with_capacity(n * n);
    let columns = (0..n).rev().filter(|x| *x != 6).collect::<Vec<_>>();
    for (turn, pair) in columns.chunks(2).enumerate() {
        for i in 0..n {
            let y = if turn % 2 == 0 { n - 1 - i } else { i };
            out.extend(pair.iter().map(|x| (*x, y)).filter(|(x, y)| !reserved(n, *x, *y)));
        }
    }
    out
}

fn masked(mask: u16, x: usize, y: usize) -> bool {
    let product = x * y;
    let rest = match mask {
        0 => (x + y) % 2,
        1 => y % 2,
        2 => x % 3,
        3 => (x + y) % 3,
        4 => (y / 2 + x / 3) % 2,
        5 => product % 2 + product % 3,
        6 => (product % 2 + product % 3) % 2,
        _ => (product % 3 + (x + y) % 2) % 2,
    };
    rest == 0
}

/// Which word of the stream each word of each block is.
fn blocks(words: usize, count: usize, check: usize) -> Vec<Vec<usize>> {
    let (short, long) = (words / count, words % count);
    let data = |block: usize| short - check + usize::from(block >= count - long);
    let mut all: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut next = 0;
    for row in 0..=short - check {
        for (block, own) in all.iter_mut().enumerate().filter(|(b, _)| row < data(*b)) {
            debug_assert!(own.len() == row && block < count);
            own.push(next);
            next += 1;
        }
    }
    for _ in 0..check {
        for own in &mut all {
            own.push(next);
            next += 1;
        }
    }
    all
}

fn with_format(values: &[f32], doubt: &[f32], n: usize, format: u16) -> Option<Vec<bool>> {
    let (level, mask) = (usize::from(format >> 3), format & 7);
    let places = data_places(n);
    let total = places.len() / 8;
    let (count, check) = BLOCKS[(n - 17) / 4 - 1][level];
    let word = |k: usize| {
        places[8 * k..8 * k + 8].iter().fold((0u8, 0f32), |(word, worst), (x, y)| {
            let i = y * n + x;
            (word << 1 | u8::from((values[i] > 0.0) != masked(mask, *x, *y)), worst.max(doubt[i]))
        })
    };
    let (mut words, doubts): (Vec<u8>, Vec<f32>) = (0..total).map(word).unzip();
    for block in blocks(total, count, check) {
        let mut own: Vec<u8> = block.iter().map(|k| words[*k]).collect();
        let mut order: Vec<usize> = (0..own.len()).collect();
        order.sort_by(|a, b| doubts[block[*b]].total_cmp(&doubts[block[*a]]));
        let most = check.saturating_sub(SPARE);
        (0..=most).find(|left_out| galois::correct(&mut own, check, &order[..*left_out], SPARE))?;
        block.iter().zip(own).for_each(|(k, word)| words[*k] = word);
    }
    let mut grid: Vec<bool> = values.iter().map(|v| *v > 0.0).collect();
    for (k, (x, y)) in format_places(n).into_iter().enumerate() {
        grid[y * n + x] = format_word(format) >> (k % 15) & 1 == 1;
    }
    for (i, (x, y)) in places.iter().enumerate().take(8 * total) {
        grid[y * n + x] = (words[i / 8] >> (7 - i % 8) & 1 == 1) != masked(mask, *x, *y);
    }
    Some(grid)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sound grid is what it was; with a quarter of it covered it is mended, and where
    /// nothing is left it is not.
    #[test]
    fn covered_words_are_mended() {
        // The data of a code is a code word of itself: all light modules but the format.
        for n in [21usize, 25, 29, 33, 37, 41] {
            for level in 0..4u16 {
                let format = level << 3 | 5;
                let mut values = vec![0.0f32; n * n];
                for (x, y) in data_places(n) {
                    values[y * n + x] = if masked(5, x, y) { 1.0 } else { -1.0 };
                }
                for (k, (x, y)) in format_places(n).into_iter().enumerate() {
                    values[y * n + x] = if format_word(format) >> (k % 15) & 1 == 1 { 1.0 } else { -1.0 };
                }
                let sound: Vec<bool> = values.iter().map(|v| *v > 0.0).collect();
                let none = vec![0.0; n * n];
                assert_eq!(mended(&values, &none, n, 1.0).as_ref(), Some(&sound), "{n}, level {level}");
                // A patch turned round and known to be doubtful: as many words as the
                // level mends when it knows which.
                let (count, check) = BLOCKS[(n - 17) / 4 - 1][usize::from(level)];
                let places = data_places(n);
                let hurt = |words: usize| {
                    let (mut values, mut doubt) = (values.clone(), none.clone());
                    for (x, y) in &places[..8 * words] {
                        (values[y * n + x], doubt[y * n + x]) = (-values[y * n + x], 1.0);
                    }
                    mended(&values, &doubt, n, 1.0)
                };
                let most = (check - SPARE) * count;
                assert_eq!(hurt(most).as_ref(), Some(&sound), "{n}, level {level}: {most} words");
                assert_eq!(hurt(places.len() / 8).filter(|g| *g != sound), None, "{n}, level {level}");
            }
        }
    }

    #[test]
    fn blocks_take_every_word_once() {
        for (version, levels) in BLOCKS.iter().enumerate() {
            for (count, check) in levels {
                let words = data_places(21 + 4 * version).len() / 8;
                assert_eq!(words, [26, 44, 70, 100, 134, 172][version]);
                let mut all: Vec<usize> = blocks(words, *count, *check).concat();
                all.sort_unstable();
                assert_eq!(all, (0..words).collect::<Vec<_>>());
            }
        }
    }
}
