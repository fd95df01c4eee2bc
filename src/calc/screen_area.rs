//! Metal area of a screen from its make-up. Geometry, needs no source. For a
//! fault rating the maker's area counts; without it the helix of a tape, because
//! contact between its turns is lost as it ages.

use super::number::{above_zero, finite};
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// What the screen is made of. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum ScreenMakeUp {
    Wires {
        count: f64,
        wire_mm: f64,
    },
    Tape {
        count: f64,
        width_mm: f64,
        thickness_mm: f64,
        dia_under_mm: f64,
        /// Overlap as a share of the tape width.
        overlap_fraction: f64,
    },
    Tube {
        dia_under_mm: f64,
        wall_mm: f64,
    },
    /// Areas of one metal, in the order of their metals.
    Sum {
        areas_mm2: Vec<f64>,
        metals: Vec<String>,
    },
    #[serde(other)]
    Unknown,
}

/// Areas in mm2. A tape has two, everything else one.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct ScreenArea {
    pub area_mm2: Option<f64>,
    /// The current follows the turns: the least.
    pub area_helix_mm2: Option<f64>,
    /// Turns in contact everywhere: the most.
    pub area_tube_mm2: Option<f64>,
}

/// Area of a screen. Refuses a number of wires that is not whole or below 1, an
/// overlap outside 0 to under 0.9, a size that is not above zero, different
/// metals in one sum, another make-up.
pub fn screen_area(i: &ScreenMakeUp) -> Result<ScreenArea, Refusal> {
    let sizes = |all: &[f64]| match all.iter().all(|v| above_zero(*v)) {
        true => Ok(()),
        false => Err(Refusal::SizeRange),
    };
    let one = |area: f64| ScreenArea { area_mm2: Some(area), ..ScreenArea::default() };
    let out = match i {
        ScreenMakeUp::Wires { count, wire_mm } => {
            if !count.is_finite() || *count < 1.0 || count.fract() != 0.0 {
                return Err(Refusal::CountRange);
            }
            sizes(&[*wire_mm])?;
            one(count * PI * wire_mm * wire_mm / 4.0)
        }
        ScreenMakeUp::Tape { count, width_mm, thickness_mm, dia_under_mm, overlap_fraction } => {
            if !(0.0..0.9).contains(overlap_fraction) {
                return Err(Refusal::OverlapRange);
            }
            sizes(&[*width_mm, *thickness_mm, *dia_under_mm, *count])?;
            if *count < 1.0 {
                return Err(Refusal::SizeRange);
            }
            ScreenArea {
                area_mm2: None,
                area_helix_mm2: Some(count * width_mm * thickness_mm),
                area_tube_mm2: Some(ring(*dia_under_mm, *thickness_mm) / (1.0 - overlap_fraction)),
            }
        }
        ScreenMakeUp::Tube { dia_under_mm, wall_mm } => {
            sizes(&[*dia_under_mm, *wall_mm])?;
            one(ring(*dia_under_mm, *wall_mm))
        }
        ScreenMakeUp::Sum { areas_mm2, metals } => {
            if metals.iter().any(|m| Some(m) != metals.first()) {
                return Err(Refusal::MixedMetals);
            }
            sizes(areas_mm2)?;
            one(areas_mm2.iter().sum())
        }
        ScreenMakeUp::Unknown => return Err(Refusal::KindUnknown),
    };
    let given = [out.area_mm2, out.area_helix_mm2, out.area_tube_mm2];
    finite(&given.map(Option::unwrap_or_default))?;
    Ok(out)
}

/// Area of a ring of a wall over a diameter.
fn ring(dia_under: f64, wall: f64) -> f64 {
    PI * (dia_under + wall) * wall
}
