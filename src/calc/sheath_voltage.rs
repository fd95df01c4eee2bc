//! Standing voltage of the screens of three cables bonded at one point, with
//! balanced current. Formulas of the type of IEEE 575-2014; that of the outer
//! cables in flat formation is derived from the flux linked. Not for faults or
//! switching, cross-bonding, or screens bonded at both ends.

use super::number::{SLACK, above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::{LN_2, PI};

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SheathVoltageInput {
    /// `trefoil` or `flat`.
    pub arrangement: String,
    /// Axis to axis of neighbours.
    pub spacing_mm: f64,
    pub screen_mean_dia_mm: f64,
    pub current_a: f64,
    pub f_hz: f64,
    /// From the bonded to the open end.
    pub length_m: f64,
    /// The client's limit.
    pub limit_v: f64,
}

/// Voltages, r.m.s.; those of the other arrangement are `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SheathVoltage {
    pub e_v_per_km: Option<f64>,
    pub e_centre_v_per_km: Option<f64>,
    pub e_outer_v_per_km: Option<f64>,
    /// At the open end of the worst cable.
    pub standing_v: f64,
    pub max_length_m: f64,
    pub within_limit: bool,
}

/// Standing voltage. Refuses, in this order: cables nearer than their screens
/// are wide, a current, frequency, length or limit not above zero, another
/// arrangement.
pub fn sheath_voltage(i: &SheathVoltageInput) -> Result<SheathVoltage, Refusal> {
    let (s, d) = (i.spacing_mm, i.screen_mean_dia_mm);
    if !above_zero(d) || !above_zero(s) || s < d - SLACK {
        return Err(Refusal::SpacingBelowDiameter);
    }
    if ![i.current_a, i.f_hz, i.length_m, i.limit_v].into_iter().all(above_zero) {
        return Err(Refusal::InputRange);
    }
    // V per m of cable and unit of flux.
    let x = 2.0 * PI * i.f_hz * i.current_a * 2e-7;
    let log = libm::log(2.0 * s / d);
    let centre = x * log;
    let outer = x * (log * log + log * LN_2 + LN_2 * LN_2).sqrt();
    let (trefoil, worst) = match i.arrangement.as_str() {
        "trefoil" => (true, centre),
        "flat" => (false, outer),
        _ => return Err(Refusal::ArrangementUnknown),
    };
    let standing = worst * i.length_m;
    let longest = i.limit_v / worst;
    finite(&[standing, longest])?;
    Ok(SheathVoltage {
        e_v_per_km: trefoil.then_some(centre * 1e3),
        e_centre_v_per_km: (!trefoil).then_some(centre * 1e3),
        e_outer_v_per_km: (!trefoil).then_some(outer * 1e3),
        standing_v: standing,
        max_length_m: longest,
        within_limit: standing <= i.limit_v + SLACK,
    })
}
