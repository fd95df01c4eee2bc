//! Reed-Solomon correction over the field of 256 elements of a code's words
//! (x^8 + x^4 + x^3 + x^2 + 1), with words known to be missing.

/// Powers of 2 in the field, twice round, and their logarithms.
const TABLES: ([u8; 510], [u8; 256]) = tables();

const fn tables() -> ([u8; 510], [u8; 256]) {
    let (mut powers, mut logs) = ([0u8; 510], [0u8; 256]);
    let (mut x, mut i) = (1u16, 0usize);
    while i < 255 {
        powers[i] = x as u8;
        powers[i + 255] = x as u8;
        logs[x as usize] = i as u8;
        x <<= 1;
        if x > 255 {
            x ^= 0x11d;
        }
        i += 1;
    }
    (powers, logs)
}

fn power(i: usize) -> u8 {
    TABLES.0[i % 255]
}

fn times(a: u8, b: u8) -> u8 {
    if a == 0 || b == 0 {
        return 0;
    }
    TABLES.0[usize::from(TABLES.1[usize::from(a)]) + usize::from(TABLES.1[usize::from(b)])]
}

/// `b` is not 0.
fn over(a: u8, b: u8) -> u8 {
    if a == 0 {
        return 0;
    }
    TABLES.0[usize::from(TABLES.1[usize::from(a)]) + 255 - usize::from(TABLES.1[usize::from(b)])]
}

/// The value of a polynomial, lowest power first.
fn at(poly: &[u8], x: u8) -> u8 {
    poly.iter().rev().fold(0, |sum, c| times(sum, x) ^ c)
}

fn syndromes(block: &[u8], check: usize) -> Vec<u8> {
    let one = |i: usize| block.iter().fold(0, |sum, word| times(sum, power(i)) ^ word);
    (0..check).map(one).collect()
}

/// Corrects a block whose last `check` words correct the others; those at `missing` are
/// known to be of no worth. Of the correcting words `spare` are left unused: they must
/// agree. Says whether it is sound now; if not, it is unchanged.
pub fn correct(block: &mut [u8], check: usize, missing: &[usize], spare: usize) -> bool {
    let n = block.len();
    let found = syndromes(block, check);
    if found.iter().all(|s| *s == 0) {
        return true;
    }
    if missing.len() > check || missing.iter().any(|i| *i >= n) {
        return false;
    }
    // The polynomial whose roots name the missing words, then the wrong ones as well
    // (Berlekamp and Massey, begun from the missing ones).
    let mut places = vec![0u8; check + 1];
    places[0] = 1;
    for i in missing {
        let x = power(n - 1 - i);
        for k in (1..=check).rev() {
            places[k] ^= times(places[k - 1], x);
        }
    }
    let (mut last, mut degree) = (places.clone(), missing.len());
    for r in missing.len()..check {
        let differs = (0..=r).fold(0, |sum, k| sum ^ times(places[k], found[r - k]));
        last.rotate_right(1);
        last[0] = 0;
        if differs == 0 {
            continue;
        }
        let next: Vec<u8> = places.iter().zip(&last).map(|(p, l)| p ^ times(differs, *l)).collect();
        if 2 * degree <= r + missing.len() {
            degree = r + 1 + missing.len() - degree;
            last = places.iter().map(|p| over(*p, differs)).collect();
        }
        places = next;
    }
    let wrong = degree.saturating_sub(missing.len());
    if degree > check || 2 * wrong + missing.len() + spare > check {
        return false;
    }
    // How far each is off (Forney).
    let mut sizes = vec![0u8; check];
    for (i, size) in sizes.iter_mut().enumerate() {
        *size = (0..=i).fold(0, |sum, k| sum ^ times(places[k], found[i - k]));
    }
    let mut mended = block.to_vec();
    let mut roots = 0;
    for (i, word) in mended.iter_mut().enumerate() {
        let back = power(255 - (n - 1 - i) % 255);
        if at(&places, back) != 0 {
            continue;
        }
        roots += 1;
        // The derivative: odd powers only.
        let slope = (1..=check)
            .step_by(2)
            .fold(0, |sum, k| sum ^ times(places[k], power((255 - (n - 1 - i) % 255) * (k - 1))));
        if slope == 0 {
            return false;
        }
        *word ^= times(power(n - 1 - i), over(at(&sizes, back), slope));
    }
    let sound = roots == degree && syndromes(&mended, check).iter().all(|s| *s == 0);
    if sound {
        block.copy_from_slice(&mended);
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words and their correcting words, by division.
    fn block(data: &[u8], check: usize) -> Vec<u8> {
        let mut divisor = vec![1u8];
        for i in 0..check {
            let mut next = vec![0u8; divisor.len() + 1];
            for (k, c) in divisor.iter().enumerate() {
                next[k] ^= c;
                next[k + 1] ^= times(*c, power(i));
            }
            divisor = next;
        }
        let mut rest = [data, &vec![0; check]].concat();
        for i in 0..data.len() {
            let lead = rest[i];
            for (k, c) in divisor.iter().enumerate() {
                rest[i + k] ^= times(lead, *c);
            }
        }
        [data, &rest[data.len()..]].concat()
    }

    #[test]
    fn wrong_and_missing_words_are_mended_up_to_the_price() {
        let data: Vec<u8> = (0..19u32).map(|i| (i * 89 + 7) as u8).collect();
        let check = 16;
        let whole = block(&data, check);
        assert!(syndromes(&whole, check).iter().all(|s| *s == 0));
        let mut dice = 0x2545_f491u32;
        let mut roll = |most: usize| {
            dice = dice.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (dice >> 16) as usize % most
        };
        for _ in 0..4000 {
            let (missing, wrong) = (roll(18), roll(10));
            let mut order: Vec<usize> = (0..whole.len()).collect();
            for i in 0..order.len() {
                order.swap(i, i + roll(35 - i));
            }
            let mut hurt = whole.clone();
            for i in &order[..missing + wrong] {
                hurt[*i] ^= 1 + roll(255) as u8;
            }
            let before = hurt.clone();
            let fits = missing + 2 * wrong + 2 <= check;
            let done = correct(&mut hurt, check, &order[..missing.min(order.len())], 2);
            if fits {
                assert!(done, "{missing} missing, {wrong} wrong");
                assert_eq!(hurt, whole, "{missing} missing, {wrong} wrong");
            } else if done {
                assert!(syndromes(&hurt, check).iter().all(|s| *s == 0));
            } else {
                assert_eq!(hurt, before, "left as it was");
            }
        }
    }
}
