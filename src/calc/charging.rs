//! What a test set has to deliver to one core, and what the core holds when the
//! set stops: a capacitor, physics. Three cores together hold three times that.
//! Times are for the resistor alone; the dielectric gives voltage back, so
//! solid earth follows, and no figure here makes a core safe to touch.

use super::number::{SLACK, above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::{PI, SQRT_2};

/// Words for `waveform`. The peak of any other shape is the set's own figure.
pub const WAVEFORM_SINE: &str = "sine";
pub const WAVEFORM_DC: &str = "dc";

/// Voltage to which the discharge is timed, V.
const TO_V: f64 = 50.0;
/// Energy above which capacitor-bank practice applies, J. From memory.
const BANK_J: f64 = 10.0;
/// Limits of IEC 60335-1 clause 8.1.4, taken at any voltage, which is stricter
/// than the text: charge in uC, energy in J (0.35 J also EN 50191:2010).
const LIMIT_UC: f64 = 45.0;
const LIMIT_J: f64 = 0.35;

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ChargingInput {
    pub c_nf_per_km: f64,
    pub length_m: f64,
    /// kV r.m.s. for a sine, the level for dc.
    pub u_kv: f64,
    /// [`WAVEFORM_SINE`] or [`WAVEFORM_DC`].
    pub waveform: String,
    /// Not read for dc.
    #[serde(default)]
    pub f_hz: f64,
    #[serde(default)]
    pub r_discharge_ohm: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Charging {
    pub c_uf: f64,
    /// 0 for dc.
    pub i_rms_ma: f64,
    pub u_peak_kv: f64,
    pub energy_j: f64,
    pub charge_uc: f64,
    pub tau_s: f64,
    /// 0 where the peak is not above 50 V.
    pub t_to_50v_s: f64,
    pub t_to_1pct_s: f64,
    pub caution_level: ChargeCaution,
}

/// How much is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChargeCaution {
    /// Never read as safe to touch.
    BelowLimits,
    AboveLimits,
    #[serde(rename = "above-10-j")]
    Above10J,
}

impl ChargeCaution {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::BelowLimits => "below-limits",
            Self::AboveLimits => "above-limits",
            Self::Above10J => "above-10-j",
        }
    }
}

/// Charging current, stored energy and charge, discharge. Refuses, in this
/// order: a capacitance, length or voltage not above zero, no resistor, a
/// waveform that is neither of the two, a sine without a frequency.
pub fn charging(i: &ChargingInput) -> Result<Charging, Refusal> {
    let ohm = i.r_discharge_ohm.unwrap_or(0.0);
    let needed = [
        (i.c_nf_per_km, Refusal::CapacitanceRange),
        (i.length_m, Refusal::CableLengthRange),
        (i.u_kv, Refusal::VoltageNotPositive),
        (ohm, Refusal::ResistorMissing),
    ];
    if let Some((_, refusal)) = needed.iter().find(|(v, _)| !above_zero(*v)) {
        return Err(*refusal);
    }
    let (hz, crest) = match i.waveform.as_str() {
        WAVEFORM_SINE if !above_zero(i.f_hz) => return Err(Refusal::FrequencyRange),
        WAVEFORM_SINE => (i.f_hz, SQRT_2),
        WAVEFORM_DC => (0.0, 1.0),
        _ => return Err(Refusal::WaveformUnknown),
    };
    let farad = i.c_nf_per_km * i.length_m * 1e-12;
    let peak = i.u_kv * 1e3 * crest;
    let energy = farad * peak * peak / 2.0;
    let charge = farad * peak * 1e6;
    let tau = ohm * farad;
    let out = Charging {
        c_uf: farad * 1e6,
        i_rms_ma: 2.0 * PI * hz * farad * i.u_kv * 1e6,
        u_peak_kv: peak / 1e3,
        energy_j: energy,
        charge_uc: charge,
        tau_s: tau,
        t_to_50v_s: if peak > TO_V { tau * libm::log(peak / TO_V) } else { 0.0 },
        t_to_1pct_s: tau * libm::log(100.0),
        caution_level: if energy > BANK_J + SLACK {
            ChargeCaution::Above10J
        } else if charge >= LIMIT_UC - SLACK || energy >= LIMIT_J - SLACK {
            ChargeCaution::AboveLimits
        } else {
            ChargeCaution::BelowLimits
        },
    };
    finite(&[out.c_uf, out.i_rms_ma, energy, charge, tau, out.t_to_50v_s, out.t_to_1pct_s])?;
    Ok(out)
}
