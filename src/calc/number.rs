//! What the electrical models ask of their figures.

use super::refusal::Refusal;

/// Slack of typed decimals: 11 times 250/22 is not above 125.
pub(super) const SLACK: f64 = 1e-9;

pub(super) fn above_zero(v: f64) -> bool {
    v.is_finite() && v > 0.0
}

/// Whether `v` lies between two limits, both of them inclusive; no figure that
/// is not a number does.
pub(super) fn within(v: f64, least: f64, most: f64) -> bool {
    (least - SLACK..=most + SLACK).contains(&v)
}

/// Refuses results that are not finite: figures of absurd size went in.
pub(super) fn finite(results: &[f64]) -> Result<(), Refusal> {
    if results.iter().all(|v| v.is_finite()) { Ok(()) } else { Err(Refusal::NoFiniteResult) }
}
