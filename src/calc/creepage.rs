//! Least leakage path of outdoor insulation, IEC TS 60815-1:2008. The classes
//! are an argument. No correction for diameter: for slender bodies it is 1 (from
//! memory). A kit's own statement on pollution outranks this, and a path alone
//! never proves withstand in service.

use super::number::{SLACK, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Highest voltage for equipment this holds for, kV.
const MOST_UM_KV: f64 = 36.5;

/// One pollution class of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PollutionClass<'t> {
    /// `a` to `e`; the case counts.
    pub letter: &'t str,
    /// Unified specific creepage, mm per kV of Um/sqrt3.
    pub uscd_mm_per_kv: f64,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct CreepageInput {
    /// Highest voltage for equipment, kV.
    pub um_kv: f64,
    pub site_class: String,
    /// Path the part has, mm; absent: only the need is worked out.
    #[serde(default)]
    pub creepage_mm: Option<f64>,
}

/// `None` where the path of the part is not given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Creepage {
    pub uscd_mm_per_kv: f64,
    /// A need: prints rounded up.
    pub needed_mm: f64,
    pub margin_mm: Option<f64>,
    pub enough: Option<bool>,
}

/// `USCD x Um/sqrt3`. Refuses a class the table does not have, and an Um
/// outside 0 to 36.5 kV.
pub fn creepage(classes: &[PollutionClass<'_>], i: &CreepageInput) -> Result<Creepage, Refusal> {
    let class = classes.iter().find(|c| c.letter == i.site_class).ok_or(Refusal::ClassUnknown)?;
    if !(i.um_kv > 0.0 && i.um_kv <= MOST_UM_KV + SLACK) {
        return Err(Refusal::UmRange);
    }
    let has = i.creepage_mm;
    if has.is_some_and(|mm| !mm.is_finite()) {
        return Err(Refusal::FigureOutOfRange("creepage of the part"));
    }
    let needed = class.uscd_mm_per_kv * i.um_kv / 3f64.sqrt();
    finite(&[needed])?;
    Ok(Creepage {
        uscd_mm_per_kv: class.uscd_mm_per_kv,
        needed_mm: needed,
        margin_mm: has.map(|mm| mm - needed),
        enough: has.map(|mm| mm >= needed - SLACK),
    })
}
