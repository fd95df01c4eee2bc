//! What no dressing can beat. Plain geometry, needs no source: a core that
//! leaves along the cable axis and nowhere bends tighter than its least radius
//! stands only so far aside at a given height.

use super::layout::in_range;
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Two neighbours. Lengths in mm, the radius to the axis.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct SpreadInput {
    /// Spacing at the start: core diameter or entry pitch.
    pub spacing_mm: f64,
    pub radius_axis_mm: f64,
    pub tube_end_above_start_mm: f64,
    pub dia_tube_mm: f64,
    /// Least of the three diameters of the neighbour.
    pub dia_other_mm: f64,
}

/// `None` at and above one radius over the start: no bound there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Most one core can stand aside.
    pub q_mm: Option<f64>,
    /// Most the gap can be. Below the limit: proof that no dressing works.
    pub bound_mm: Option<f64>,
}

/// The greatest gap of two neighbours at the lower tube end. Refuses a tube
/// end at or below the start.
pub fn spread_bound(i: &SpreadInput) -> Result<Spread, Refusal> {
    in_range(&[
        (i.spacing_mm, "start spacing"),
        (i.radius_axis_mm, "least bending radius"),
        (i.tube_end_above_start_mm, "tube end above the start"),
        (i.dia_tube_mm, "diameter along the tube"),
        (i.dia_other_mm, "least diameter"),
    ])?;
    let (r, h) = (i.radius_axis_mm, i.tube_end_above_start_mm);
    if h <= 0.0 {
        return Err(Refusal::TubeBelowStart);
    }
    if h >= r {
        return Ok(Spread { q_mm: None, bound_mm: None });
    }
    let q = r - (r * r - h * h).sqrt();
    Ok(Spread {
        q_mm: Some(q),
        bound_mm: Some(i.spacing_mm + 2.0 * q - (i.dia_tube_mm + i.dia_other_mm) / 2.0),
    })
}
