//! D.c. resistance at temperature: a conductor, and a metallic screen with the
//! band in which a reading is believed. No skin or proximity effect. A whole
//! loop says nothing of one contact in it.

use super::number::{SLACK, above_zero, finite, within};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Resistance constants of a metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conducting {
    /// Resistivity at 20 C, ohm mm2/m (IEC 60287-1-1).
    pub rho20: f64,
    /// Temperature constant, K (IEC 60949, IEC 60228).
    pub b: f64,
}

pub const CONDUCTING_COPPER: Conducting = Conducting { rho20: 0.017241, b: 234.5 };
pub const CONDUCTING_ALUMINIUM: Conducting = Conducting { rho20: 0.028264, b: 228.0 };

/// Band round the expected resistance of a screen, as a share of it. Common
/// practice, no source.
pub const SCREEN_BAND: f64 = 0.2;

impl Conducting {
    /// `(b + T)/(b + 20)`.
    fn rise(self, theta_c: f64) -> f64 {
        (self.b + theta_c) / (self.b + 20.0)
    }
}

fn conducting_of(metal: &str) -> Result<Conducting, Refusal> {
    match metal {
        "copper" => Ok(CONDUCTING_COPPER),
        "aluminium" => Ok(CONDUCTING_ALUMINIUM),
        _ => Err(Refusal::MaterialUnknown),
    }
}

fn check_temperature(theta_c: f64) -> Result<(), Refusal> {
    if within(theta_c, -40.0, 250.0) { Ok(()) } else { Err(Refusal::ConductorTemperatureRange) }
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ResistanceInput {
    /// `copper` or `aluminium`.
    pub metal: String,
    /// Greatest resistance at 20 C, ohm/km (IEC 60228 class 2).
    pub r20_ohm_per_km: f64,
    pub theta_c: f64,
    pub length_m: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Resistance {
    pub r_theta_ohm_per_km: f64,
    pub r_core_ohm: f64,
    /// Out on one core and back on another.
    pub r_two_core_loop_ohm: f64,
}

/// `R20 (b+T)/(b+20)`. Refuses, in this order: another metal, a temperature
/// outside -40 to 250 C, a resistance or length not above zero.
pub fn resistance(i: &ResistanceInput) -> Result<Resistance, Refusal> {
    let metal = conducting_of(&i.metal)?;
    check_temperature(i.theta_c)?;
    if !above_zero(i.r20_ohm_per_km) || !above_zero(i.length_m) {
        return Err(Refusal::InputRange);
    }
    let per_km = i.r20_ohm_per_km * metal.rise(i.theta_c);
    let core = per_km * i.length_m / 1e3;
    finite(&[per_km, 2.0 * core])?;
    Ok(Resistance { r_theta_ohm_per_km: per_km, r_core_ohm: core, r_two_core_loop_ohm: 2.0 * core })
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ScreenContinuityInput {
    /// `copper` or `aluminium`.
    pub metal: String,
    pub area_mm2: f64,
    pub length_m: f64,
    pub theta_c: f64,
    /// Return conductor or leads in the loop, ohm; absent = none.
    #[serde(default)]
    pub return_ohm: f64,
    /// Absent: only the expectation is worked out.
    #[serde(default)]
    pub reading_ohm: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScreenContinuity {
    /// For a lapped tape with the area of a tube only a floor: aged contact
    /// between turns raises it, so phases are compared instead.
    pub expected_ohm: f64,
    pub low_ohm: f64,
    pub high_ohm: f64,
    /// `None` where no reading is given.
    pub verdict: Option<ContinuityVerdict>,
}

/// Never a rejection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ContinuityVerdict {
    Ok,
    /// Outside the band, on either side.
    Query,
}

impl ContinuityVerdict {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Query => "query",
        }
    }
}

/// `rho l/S (b+T)/(b+20)` and the return. Refuses, in this order: another
/// metal, an area or length not above zero or a negative return, a temperature
/// outside -40 to 250 C.
pub fn screen_continuity(i: &ScreenContinuityInput) -> Result<ScreenContinuity, Refusal> {
    let metal = conducting_of(&i.metal)?;
    let back = i.return_ohm;
    if !above_zero(i.area_mm2) || !above_zero(i.length_m) || !back.is_finite() || back < 0.0 {
        return Err(Refusal::InputRange);
    }
    check_temperature(i.theta_c)?;
    if i.reading_ohm.is_some_and(|r| !r.is_finite()) {
        return Err(Refusal::FigureOutOfRange("reading"));
    }
    let expected = metal.rho20 * i.length_m / i.area_mm2 * metal.rise(i.theta_c) + back;
    let (low, high) = (expected * (1.0 - SCREEN_BAND), expected * (1.0 + SCREEN_BAND));
    finite(&[expected, low, high])?;
    let judge = |r: f64| match r >= low - SLACK && r <= high + SLACK {
        true => ContinuityVerdict::Ok,
        false => ContinuityVerdict::Query,
    };
    Ok(ScreenContinuity {
        expected_ohm: expected,
        low_ohm: low,
        high_ohm: high,
        verdict: i.reading_ohm.map(judge),
    })
}
