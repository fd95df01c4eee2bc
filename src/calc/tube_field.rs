//! How fast the potential falls along a stress control tube: the tube over the
//! core as a transmission line, own derivation. Explains why a tube works at
//! all; it cannot tell a long tube from a short one, so it passes and refuses
//! nothing and never stands beside the verdict on a tube's length.

use super::coax::{EPS0_F_PER_M, check_permittivity, radii};
use super::number::{above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct TubeFieldInput {
    pub tube_wall_mm: f64,
    pub eps_tube: f64,
    /// Volume resistivity of the tube; absent: it does not conduct.
    #[serde(default)]
    pub rho_tube_ohm_m: Option<f64>,
    pub eps_r: f64,
    pub f_hz: f64,
    pub dia_over_conductor_screen_mm: f64,
    pub dia_over_insulation_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TubeField {
    /// Decay length of the tube as if it did not conduct.
    pub lambda_refractive_mm: f64,
    /// Conducted over displacement current.
    pub loss_factor: f64,
    pub decay_length_mm: f64,
    pub length_to_1pct_mm: f64,
}

/// Decay length. Refuses, in this order: no coaxial pair, a permittivity of the
/// insulation outside 1 to 10, a wall not above zero, a tube of permittivity
/// below 1, a frequency not above zero, a resistivity not above zero.
pub fn tube_field_length(i: &TubeFieldInput) -> Result<TubeField, Refusal> {
    let (r, big_r) = radii(i.dia_over_conductor_screen_mm, i.dia_over_insulation_mm)?;
    check_permittivity(i.eps_r)?;
    let wall = i.tube_wall_mm;
    if !above_zero(wall) {
        return Err(Refusal::WallRange);
    }
    if !i.eps_tube.is_finite() || i.eps_tube < 1.0 {
        return Err(Refusal::PermittivityRange);
    }
    if !above_zero(i.f_hz) {
        return Err(Refusal::FrequencyRange);
    }
    let loss = match i.rho_tube_ohm_m {
        None => 0.0,
        Some(rho) if above_zero(rho) => 1.0 / (2.0 * PI * i.f_hz * EPS0_F_PER_M * i.eps_tube * rho),
        Some(_) => return Err(Refusal::ResistivityRange),
    };
    let mean = big_r + wall / 2.0;
    let lambda = (i.eps_tube / i.eps_r * mean * wall * libm::log(big_r / r)).sqrt();
    // With lambda sqrt(1 - j loss): the root is a - jb, of square sum `size`.
    let size = libm::hypot(1.0, loss);
    let a = f64::midpoint(size, 1.0).sqrt();
    let decay = lambda * size / a;
    let to_1pct = decay * libm::log(100.0);
    finite(&[lambda, loss, to_1pct])?;
    Ok(TubeField {
        lambda_refractive_mm: lambda,
        loss_factor: loss,
        decay_length_mm: decay,
        length_to_1pct_mm: to_1pct,
    })
}
