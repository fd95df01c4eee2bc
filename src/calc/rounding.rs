//! Rounding a chain of lengths to whole millimetres so that it still closes.
//! Plain geometry, needs no source.

use super::layout::LONGEST_MM;
use super::refusal::Refusal;
use serde::Serialize;

/// Whole lengths, their running sums from the stud, and the total, mm.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RoundedChain {
    pub segments_mm: Vec<i64>,
    pub stations_mm: Vec<i64>,
    pub total_mm: i64,
}

/// Sums of typed tenths carry noise in the last bits; remainders closer than
/// this are equal.
const NOISE_MM: f64 = 1e-9;

/// Consecutive lengths from the stud, each to a whole millimetre. The total is
/// rounded half up, every length is floored, and the missing units go to the
/// largest remainders, of equals to the one nearest the stud. No single length
/// moves by 1 mm or more. Refuses negative lengths and what is not a number.
pub fn chain_rounding(segments_mm: &[f64]) -> Result<RoundedChain, Refusal> {
    for &length in segments_mm {
        if !length.is_finite() || length > LONGEST_MM {
            return Err(Refusal::FigureOutOfRange("a length of the chain"));
        }
        if length < 0.0 {
            return Err(Refusal::NegativeInput);
        }
    }
    let total = (segments_mm.iter().sum::<f64>() + 0.5 + NOISE_MM).floor() as i64;
    let mut whole: Vec<i64> = segments_mm.iter().map(|l| (l + NOISE_MM).floor() as i64).collect();
    let remainder = |i: usize| {
        let left = (segments_mm[i] + NOISE_MM).fract();
        (left / NOISE_MM / 10.0).round() as i64
    };
    let mut order: Vec<usize> = (0..segments_mm.len()).collect();
    order.sort_by_key(|&i| std::cmp::Reverse(remainder(i)));
    let missing = total - whole.iter().sum::<i64>();
    for &i in order.iter().take(usize::try_from(missing).unwrap_or(0)) {
        whole[i] += 1;
    }
    let mut sum = 0;
    let stations_mm = whole
        .iter()
        .map(|w| {
            sum += w;
            sum
        })
        .collect();
    Ok(RoundedChain { segments_mm: whole, stations_mm, total_mm: total })
}
