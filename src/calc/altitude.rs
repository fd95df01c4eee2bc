//! Air gets thinner with height: the factor on impulse levels of external
//! insulation. IEC 62271-1 counts from 1000 m, IEC 60071-2 from sea level. A
//! rated level under IEC 62271-1 already serves to 1000 m; the other form on a
//! rated level would count that kilometre twice.

use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Words for `form`.
pub const FORM_IEC62271_1: &str = "iec62271-1";
pub const FORM_IEC60071_2: &str = "iec60071-2";

/// Scale height of air pressure, m (IEC 62271-1, IEC 60071-2).
const SCALE_M: f64 = 8150.0;
/// Height to which rated levels serve uncorrected, m (IEC 62271-1).
const FREE_M: f64 = 1000.0;

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct AltitudeInput {
    /// [`FORM_IEC62271_1`] or [`FORM_IEC60071_2`].
    pub form: String,
    pub altitude_m: f64,
    /// Exponent; 1 for power frequency and lightning impulse.
    pub m: f64,
    /// Level to be kept, kV peak.
    pub liwv_kv: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AltitudeLevel {
    pub ka: f64,
    /// Level times factor, kV peak.
    pub required_kv: f64,
    /// The next standard level, kV peak.
    pub next_liwv_kv: f64,
}

/// The altitude factor. Refuses altitudes outside 0 to 4000 m, exponents
/// outside 0.5 to 1 and other forms, in this order.
pub fn altitude_factor(form: &str, altitude_m: f64, m: f64) -> Result<f64, Refusal> {
    if !(0.0..=4000.0).contains(&altitude_m) {
        return Err(Refusal::AltitudeRange);
    }
    if !(0.5..=1.0).contains(&m) {
        return Err(Refusal::ExponentRange);
    }
    let counted = match form {
        FORM_IEC62271_1 => (altitude_m - FREE_M).max(0.0),
        FORM_IEC60071_2 => altitude_m,
        _ => return Err(Refusal::FormUnknown),
    };
    Ok(libm::exp(m * counted / SCALE_M))
}

/// Needed level and the next of `levels` (IEC 60071-1, any order, kV peak).
/// Never lowers a level for a site below 1000 m. Refuses what
/// [`altitude_factor`] refuses, a level that is not above zero, and a need
/// above the last standard level.
pub fn altitude(levels: &[f64], i: &AltitudeInput) -> Result<AltitudeLevel, Refusal> {
    let ka = altitude_factor(&i.form, i.altitude_m, i.m)?;
    if !i.liwv_kv.is_finite() || i.liwv_kv <= 0.0 {
        return Err(Refusal::FigureOutOfRange("impulse level"));
    }
    let required = ka * i.liwv_kv;
    let next = levels
        .iter()
        .copied()
        .filter(|l| *l >= required - 1e-9)
        .min_by(f64::total_cmp)
        .ok_or(Refusal::AboveTable)?;
    Ok(AltitudeLevel { ka, required_kv: required, next_liwv_kv: next })
}
