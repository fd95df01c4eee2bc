//! Clearance of bare live metal in air, read from a table by steps. The figures
//! are those of IEC 61936-1 range I, from memory; the rows are an argument.
//! Never for insulated or shrouded parts, tube surfaces, or people at work.

use super::altitude::altitude_factor;
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// One row of the table.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct ClearanceRow {
    /// Highest voltage for equipment, kV.
    pub um_kv: f64,
    /// Rated impulse level, kV peak.
    pub liwv_kv: f64,
    pub indoor_mm: f64,
    pub outdoor_mm: f64,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct ClearanceInput {
    pub um_kv: f64,
    pub liwv_kv: f64,
    pub altitude_m: f64,
    /// `indoor` or `outdoor`.
    pub place: String,
    /// Form of the altitude correction, see [`super::AltitudeInput`].
    pub form: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Clearance {
    /// Level after the altitude factor, kV peak.
    pub required_kv: f64,
    /// Level of the row taken, kV peak.
    pub row_liwv_kv: f64,
    pub clearance_mm: f64,
}

/// Altitude first, then the row of the least level not below the need, of the
/// same Um or the next higher one that has it; nothing between rows, and never
/// less than at the rated level. Refuses an unknown place, an Um or a level the
/// table does not have, what [`altitude_factor`] refuses, and a need above the
/// table.
pub fn clearance_lookup(rows: &[ClearanceRow], i: &ClearanceInput) -> Result<Clearance, Refusal> {
    let figure: fn(&ClearanceRow) -> f64 = match i.place.as_str() {
        "indoor" => |r| r.indoor_mm,
        "outdoor" => |r| r.outdoor_mm,
        _ => return Err(Refusal::PlaceUnknown),
    };
    let same = |a: f64, b: f64| (a - b).abs() <= 1e-9;
    let mut of_um = rows.iter().filter(|r| same(r.um_kv, i.um_kv)).peekable();
    if of_um.peek().is_none() {
        return Err(Refusal::UmNotInTable);
    }
    let rated = of_um.find(|r| same(r.liwv_kv, i.liwv_kv)).ok_or(Refusal::LiwvNotForUm)?;
    let required = altitude_factor(&i.form, i.altitude_m, 1.0)? * rated.liwv_kv;
    let row = rows
        .iter()
        .filter(|r| r.liwv_kv >= required - 1e-9 && r.um_kv >= i.um_kv - 1e-9)
        .min_by(|a, b| a.liwv_kv.total_cmp(&b.liwv_kv).then(a.um_kv.total_cmp(&b.um_kv)))
        .ok_or(Refusal::AboveTable)?;
    Ok(Clearance {
        required_kv: required,
        row_liwv_kv: row.liwv_kv,
        clearance_mm: figure(row).max(figure(rated)),
    })
}
