//! Voltage at which the ring of air left at the step of the core screen, under
//! a stress control tube, begins to discharge. Gives the mastic its reason;
//! passes and refuses no job, and is never printed as reassurance.
//!
//! Gas of the height of the step in series with the insulation, the tube's
//! inner face at screen potential. Against finite elements the figure lies
//! between 0.80 and 1.30 times theirs for tubes of permittivity 20 and more that
//! do not conduct strongly.

use super::coax::{check_permittivity, radii};
use super::number::{above_zero, finite, within};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::SQRT_2;

/// Strength of air in a uniform field, kV peak over cm and root of cm: Kuffel,
/// Zaengl and Kuffel, High Voltage Engineering. From memory.
const STRENGTH: (f64, f64) = (24.22, 6.08);
/// Margin under which discharge in normal service cannot be excluded.
const MARGIN: f64 = 1.25;
/// Scale height of air pressure, m (IEC 60071-2).
const SCALE_M: f64 = 8150.0;
/// Air temperature where none is stated, C, and its zero, K.
const AIR_C: f64 = 20.0;
const ZERO_K: f64 = 273.15;

/// What fills the step. A plan says `Unfilled`, the supposition; a record says
/// what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepState {
    Unfilled,
    Filled,
    /// Filled by the construction of the part.
    BuiltIn,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct VoidInput {
    /// Kilovolts r.m.s.
    pub u0_kv: f64,
    /// Radial thickness of the core screen.
    pub step_mm: f64,
    pub eps_r: f64,
    pub altitude_m: f64,
    /// Absent = 20 C.
    #[serde(default)]
    pub air_c: Option<f64>,
    pub tube_over_step: bool,
    pub step_state: StepState,
    pub dia_over_conductor_screen_mm: f64,
    pub dia_over_insulation_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VoidInception {
    /// Density of the air against 20 C at sea level.
    pub air_density_factor: f64,
    pub ub_peak_kv: f64,
    /// Share of the voltage across the gas.
    pub gas_share: f64,
    /// To two digits in print, with "about".
    pub ui_kv_rms: f64,
    /// Ui/U0.
    pub margin: f64,
    /// The same with one phase earthed.
    pub margin_earth_fault: f64,
    pub print: VoidPrint,
}

/// What may be printed: always "can", never "will".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum VoidPrint {
    /// An unfilled step can discharge at working voltage.
    NormalService,
    /// The same while another phase is earthed.
    EarthFault,
    None,
}

impl VoidPrint {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::NormalService => "normal-service",
            Self::EarthFault => "earth-fault",
            Self::None => "none",
        }
    }
}

/// Inception voltage of an unfilled step. Refuses, in this order: a filled step
/// or one filled by construction, no tube over it, no coaxial pair, a
/// permittivity outside 1 to 10, a voltage not above zero, a step outside 0.1
/// to 1.5 mm, an altitude outside 0 to 4000 m, air outside -20 to 50 C.
pub fn void_inception(i: &VoidInput) -> Result<VoidInception, Refusal> {
    match i.step_state {
        StepState::Filled => return Err(Refusal::StepFilled),
        StepState::BuiltIn => return Err(Refusal::BuiltInFilling),
        StepState::Unfilled => {}
    }
    if !i.tube_over_step {
        return Err(Refusal::NoTube);
    }
    let (r, big_r) = radii(i.dia_over_conductor_screen_mm, i.dia_over_insulation_mm)?;
    check_permittivity(i.eps_r)?;
    if !above_zero(i.u0_kv) {
        return Err(Refusal::VoltageNotPositive);
    }
    if !within(i.step_mm, 0.1, 1.5) {
        return Err(Refusal::StepRange);
    }
    if !within(i.altitude_m, 0.0, 4000.0) {
        return Err(Refusal::AltitudeRange);
    }
    let air = i.air_c.unwrap_or(AIR_C);
    if !within(air, -20.0, 50.0) {
        return Err(Refusal::AirTemperatureRange);
    }
    let density = libm::exp(-i.altitude_m / SCALE_M) * (ZERO_K + AIR_C) / (ZERO_K + air);
    let dense_cm = density * i.step_mm / 10.0;
    let strength = STRENGTH.0 * dense_cm + STRENGTH.1 * dense_cm.sqrt();
    let gas = libm::log((big_r + i.step_mm) / big_r);
    let solid = libm::log(big_r / r) / i.eps_r;
    let share = gas / (gas + solid);
    let inception = strength / SQRT_2 / share;
    let margin = inception / i.u0_kv;
    let earthed = margin / 3f64.sqrt();
    finite(&[share, inception, margin])?;
    Ok(VoidInception {
        air_density_factor: density,
        ub_peak_kv: strength,
        gas_share: share,
        ui_kv_rms: inception,
        margin,
        margin_earth_fault: earthed,
        print: if margin < MARGIN {
            VoidPrint::NormalService
        } else if earthed < 1.0 {
            VoidPrint::EarthFault
        } else {
            VoidPrint::None
        },
    })
}
