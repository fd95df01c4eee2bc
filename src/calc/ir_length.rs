//! Insulation resistance put on a length basis: leakage paths lie in parallel.
//! No correction for temperature, for which there is no firm source; the
//! temperature is recorded beside the reading.

use super::number::{SLACK, above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Below the middle phase divided by this a phase is queried. Common practice,
/// no source.
const LOW_PHASE: f64 = 3.0;

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct IrLengthInput {
    pub readings_mohm: Vec<f64>,
    pub length_m: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IrLength {
    /// In the order of the readings.
    pub mohm_km: Vec<f64>,
    pub least_mohm_km: f64,
    /// One phase lies below a third of the middle one; `None` unless there are
    /// three readings.
    pub low_phase_query: Option<bool>,
}

/// Readings times length. Refuses a length or a reading not above zero, and no
/// reading at all.
pub fn ir_length(i: &IrLengthInput) -> Result<IrLength, Refusal> {
    if !above_zero(i.length_m) {
        return Err(Refusal::CableLengthRange);
    }
    if i.readings_mohm.is_empty() || !i.readings_mohm.iter().all(|r| above_zero(*r)) {
        return Err(Refusal::ReadingRange);
    }
    let per_km: Vec<f64> = i.readings_mohm.iter().map(|r| r * i.length_m / 1e3).collect();
    finite(&per_km)?;
    let low = <[f64; 3]>::try_from(i.readings_mohm.as_slice()).ok().map(|mut three| {
        three.sort_by(f64::total_cmp);
        three[0] * LOW_PHASE < three[1] - SLACK
    });
    Ok(IrLength {
        least_mohm_km: per_km.iter().copied().fold(f64::INFINITY, f64::min),
        mohm_km: per_km,
        low_phase_query: low,
    })
}
