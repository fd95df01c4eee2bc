//! Length of a linear stress control tube against the operating voltage:
//! catches a tube made for a lower voltage. Terminations only. Common practice,
//! no source; the kit's own figure decides.

use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct TubeLengthInput {
    /// Operating voltage, nominal, line to line, kV.
    pub operating_kv: f64,
    /// Recovered length as installed, mm.
    pub tube_mm: f64,
    /// Moulded or one-piece parts have no tube to measure.
    pub moulded: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TubeLength {
    /// The band of the operating voltage, mm.
    pub least_mm: f64,
    pub most_mm: f64,
    /// Next lower voltage of the series, kV; `None` at its lowest.
    pub next_lower_kv: Option<f64>,
    /// Shorter than this is refused, mm.
    pub refusal_below_mm: Option<f64>,
    /// Highest voltage of the series the length serves, kV.
    pub suits_kv: Option<f64>,
    pub class: TubeClass,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TubeClass {
    Ok,
    /// Longer than the band.
    Advice,
    /// Shorter than the band, but no shorter than the next lower voltage has.
    NeedsAcceptance,
    /// Shorter even than the next lower voltage has.
    Refused,
}

impl TubeClass {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Advice => "advice",
            Self::NeedsAcceptance => "needs-acceptance",
            Self::Refused => "refused",
        }
    }
}

/// Voltages the tubes are made for, kV. The series 3, 6, 10, 20, 30 must not
/// take its place: a 90 mm tube would then serve 10 kV.
const SERIES_KV: [f64; 5] = [3.3, 6.6, 11.0, 22.0, 33.0];
/// Band at 22 kV, mm; other voltages in proportion.
const LEAST_AT_22: f64 = 190.0;
const MOST_AT_22: f64 = 250.0;
/// Slack of typed decimals.
const SLACK: f64 = 1e-9;

/// Each voltage of the series with the least length of a tube for it: kV, mm.
pub fn tube_length_series() -> impl Iterator<Item = (f64, f64)> {
    SERIES_KV.into_iter().map(|kv| (kv, LEAST_AT_22 * kv / 22.0))
}

/// Judges a tube length. Refuses moulded parts, voltages outside 3 to 36 kV
/// and lengths that are not above zero.
pub fn tube_length_rule(i: &TubeLengthInput) -> Result<TubeLength, Refusal> {
    if i.moulded {
        return Err(Refusal::NotApplicable);
    }
    let (kv, tube) = (i.operating_kv, i.tube_mm);
    if !(3.0 - SLACK..=36.0 + SLACK).contains(&kv) {
        return Err(Refusal::VoltageRange);
    }
    if !tube.is_finite() || tube <= 0.0 {
        return Err(Refusal::LengthRange);
    }
    // Multiplied before dividing: 250 x 11 / 22 is then exactly 125.
    let least = |kv: f64| LEAST_AT_22 * kv / 22.0;
    let most = MOST_AT_22 * kv / 22.0;
    let lower = SERIES_KV.iter().copied().rfind(|v| *v < kv - SLACK);
    let refusal_below = lower.map(least);
    let at_least = |limit: f64| tube >= limit - SLACK;
    let class = if tube > most + SLACK {
        TubeClass::Advice
    } else if at_least(least(kv)) {
        TubeClass::Ok
    } else if refusal_below.is_some_and(|limit| !at_least(limit)) {
        TubeClass::Refused
    } else {
        TubeClass::NeedsAcceptance
    };
    Ok(TubeLength {
        least_mm: least(kv),
        most_mm: most,
        next_lower_kv: lower,
        refusal_below_mm: refusal_below,
        suits_kv: SERIES_KV.iter().copied().rfind(|v| at_least(least(*v))),
        class,
    })
}
