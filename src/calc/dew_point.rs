//! Dew point over water and how far a surface lies above it. Magnus' formula
//! with the constants of Sonntag 1990 (WMO-No. 8). Below 0 C it reads lower than
//! the frost point. Instruments are worse than the formula: 3 % of humidity is
//! about 0.6 K.

use super::number::{SLACK, finite, within};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Magnus' constants over water: the factor, and C.
const MAGNUS: f64 = 17.62;
const MAGNUS_C: f64 = 243.12;

/// How far the surface has to be above the dew point, K. Borrowed from ISO
/// 8502-4; for jointing common practice.
pub const DEW_MARGIN_K: f64 = 3.0;

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct DewPointInput {
    pub air_c: f64,
    /// Relative humidity, %.
    pub rh_pct: f64,
    pub surface_c: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DewPoint {
    pub dew_point_c: f64,
    /// A have: prints rounded down, to one decimal.
    pub margin_k: f64,
    pub enough: bool,
}

/// Dew point and margin. Refuses a humidity that is not above 0 and at most
/// 100 %, and air outside -20 to 50 C.
pub fn dew_point(i: &DewPointInput) -> Result<DewPoint, Refusal> {
    if !(i.rh_pct > 0.0 && i.rh_pct <= 100.0 + SLACK) {
        return Err(Refusal::HumidityRange);
    }
    if !within(i.air_c, -20.0, 50.0) {
        return Err(Refusal::AirTemperatureRange);
    }
    if !i.surface_c.is_finite() {
        return Err(Refusal::FigureOutOfRange("surface temperature"));
    }
    let g = libm::log(i.rh_pct / 100.0) + MAGNUS * i.air_c / (MAGNUS_C + i.air_c);
    let dew = MAGNUS_C * g / (MAGNUS - g);
    let margin = i.surface_c - dew;
    finite(&[dew, margin])?;
    Ok(DewPoint { dew_point_c: dew, margin_k: margin, enough: margin >= DEW_MARGIN_K - SLACK })
}
