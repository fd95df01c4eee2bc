//! Level of the withstand test at very low frequency: a factor on the rated
//! voltage of the cable (3 x U0: HD 620 family), or a table by cable class
//! (IEEE 400.2-2013 table 3, whose rows are an argument). Two different rules;
//! the job says which it uses.

use super::number::{SLACK, above_zero, finite, within};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::SQRT_2;

/// Share of the need within which a reading one digit short is queried and not
/// rejected. Common practice, no source.
const QUERY_SHARE: f64 = 0.005;

#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub struct VlfLevelInput {
    /// U0 of the cable as rated, kV r.m.s.
    pub u0_cable_kv: f64,
    pub k: f64,
    /// Voltage held, kV; absent: only the need is worked out.
    #[serde(default)]
    pub held_kv: Option<f64>,
    /// `rms` or `peak`: how the held voltage was read.
    #[serde(default)]
    pub held_kind: Option<String>,
    /// Worth of the display's last digit, kV.
    #[serde(default)]
    pub display_digit_kv: Option<f64>,
}

/// `None` where no held voltage is given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VlfLevel {
    pub need_kv_rms: f64,
    pub need_kv_peak: f64,
    /// Of the need in the same kind; 0 where nothing is short.
    pub shortfall_pct: Option<f64>,
    pub verdict: Option<HeldVerdict>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeldVerdict {
    Ok,
    /// Short by no more than one digit of the display and 0.5 % of the need.
    Query,
    Reject,
}

impl HeldVerdict {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Ok => "ok",
            Self::Query => "query",
            Self::Reject => "reject",
        }
    }
}

/// Need and, where a held voltage is given, its verdict. Typed decimals are
/// compared with a slack far below any display. Refuses, in this order: a
/// voltage not above zero, a factor outside 1 to 4, a held voltage without its
/// kind or without the digit of the display.
pub fn vlf_level(i: &VlfLevelInput) -> Result<VlfLevel, Refusal> {
    if !above_zero(i.u0_cable_kv) {
        return Err(Refusal::VoltageNotPositive);
    }
    if !within(i.k, 1.0, 4.0) {
        return Err(Refusal::FactorRange);
    }
    let need = i.k * i.u0_cable_kv;
    let peak = SQRT_2 * need;
    finite(&[need, peak])?;
    let mut out = VlfLevel { need_kv_rms: need, need_kv_peak: peak, shortfall_pct: None, verdict: None };
    let Some(held) = i.held_kv else {
        return Ok(out);
    };
    let against = match i.held_kind.as_deref() {
        Some("rms") => need,
        Some("peak") => peak,
        _ => return Err(Refusal::RmsOrPeakMissing),
    };
    let digit = i.display_digit_kv.filter(|d| above_zero(*d)).ok_or(Refusal::DisplayDigitMissing)?;
    if !held.is_finite() {
        return Err(Refusal::FigureOutOfRange("voltage held"));
    }
    let short = against - held;
    let (pct, verdict) = if short <= SLACK {
        (0.0, HeldVerdict::Ok)
    } else if short <= digit + SLACK && short <= QUERY_SHARE * against + SLACK {
        (short / against * 100.0, HeldVerdict::Query)
    } else {
        (short / against * 100.0, HeldVerdict::Reject)
    };
    finite(&[pct])?;
    (out.shortfall_pct, out.verdict) = (Some(pct), Some(verdict));
    Ok(out)
}

/// A level as the table has it: the peak is as printed, not worked out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VlfPair {
    pub kv_rms: f64,
    pub kv_peak: f64,
}

/// One row of the table: cable class, kV phase to phase, and its three levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VlfRow {
    pub cable_class_kv: f64,
    pub install: VlfPair,
    pub accept: VlfPair,
    pub maint: VlfPair,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct VlfTableInput {
    pub cable_class_kv: f64,
    /// `install`, `accept` or `maint`.
    pub stage: String,
}

/// Sinusoidal level by class and stage, without interpolation. Refuses a stage
/// that is none of the three, and a class the table does not have.
pub fn vlf_table(rows: &[VlfRow], i: &VlfTableInput) -> Result<VlfPair, Refusal> {
    let pick: fn(&VlfRow) -> VlfPair = match i.stage.as_str() {
        "install" => |r| r.install,
        "accept" => |r| r.accept,
        "maint" => |r| r.maint,
        _ => return Err(Refusal::StageUnknown),
    };
    let same = |r: &&VlfRow| (r.cable_class_kv - i.cable_class_kv).abs() <= SLACK;
    rows.iter().find(same).map(pick).ok_or(Refusal::NoRow)
}
