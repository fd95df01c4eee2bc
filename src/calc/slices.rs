//! Horizontal slices at the edge, formula F13. Plain geometry, needs no source.
//! Printed beside the gap, never judged: the slice is level across leaning
//! tubes and reads more than the solid gap.

use super::layout::in_range;
use super::refusal::Refusal;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Two neighbours seen level. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct SliceInput {
    /// Spacing of the cores where they start.
    pub d_mm: f64,
    pub pitch_mm: f64,
    #[serde(rename = "H_mm")]
    pub h_mm: f64,
    pub dia_outer_mm: f64,
    pub phase_gap_min_mm: f64,
    pub edge_above_start_mm: f64,
}

/// Level gaps at the edge, and the heights above the start at which the gap is
/// reached.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slices {
    /// Spacing that gives the gap.
    pub s_req_mm: f64,
    /// Share of the spread needed; `None` where the cores do not spread.
    pub f: Option<f64>,
    pub gap_straight_mm: f64,
    pub gap_sbend_mm: f64,
    pub h_gap_straight_mm: Option<f64>,
    pub h_gap_sbend_mm: Option<f64>,
    pub note: Option<SliceNote>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SliceNote {
    /// The cores start at stud pitch.
    Straight,
    WideEnoughAtStart,
    TooCloseAtStuds,
}

/// Level gaps. Refuses a height of nothing, an edge at or below the start or
/// above the insulation cut, and a pitch below the start spacing.
pub fn f13_slices(i: &SliceInput) -> Result<Slices, Refusal> {
    in_range(&[
        (i.d_mm, "start spacing"),
        (i.pitch_mm, "stud pitch"),
        (i.h_mm, "height"),
        (i.dia_outer_mm, "outside diameter"),
        (i.phase_gap_min_mm, "least gap between phases"),
        (i.edge_above_start_mm, "edge above the start"),
    ])?;
    let (h, edge) = (i.h_mm, i.edge_above_start_mm);
    if h <= 0.0 {
        return Err(Refusal::NoHeightBetweenStartAndInsulationEnd);
    }
    if edge <= 0.0 || edge > h {
        return Err(Refusal::EdgeNotAboveStart);
    }
    let spread = i.pitch_mm - i.d_mm;
    let needed = i.dia_outer_mm + i.phase_gap_min_mm;
    if spread < -1e-9 {
        return Err(Refusal::PitchLessThanStartSpacing);
    }
    let level = |share: f64| i.d_mm + spread * share - i.dia_outer_mm;
    let mut out = Slices {
        s_req_mm: needed,
        f: None,
        gap_straight_mm: level(edge / h),
        gap_sbend_mm: level((1.0 - libm::cos(PI * edge / h)) / 2.0),
        h_gap_straight_mm: None,
        h_gap_sbend_mm: None,
        note: None,
    };
    if spread < 1e-9 {
        let at = (needed <= i.d_mm + 1e-9).then_some(0.0);
        (out.h_gap_straight_mm, out.h_gap_sbend_mm) = (at, at);
        out.note = Some(SliceNote::Straight);
        return Ok(out);
    }
    let f = (needed - i.d_mm) / spread;
    out.f = Some(f);
    if f <= 0.0 {
        (out.h_gap_straight_mm, out.h_gap_sbend_mm) = (Some(0.0), Some(0.0));
        out.note = Some(SliceNote::WideEnoughAtStart);
    } else if f > 1.0 {
        out.note = Some(SliceNote::TooCloseAtStuds);
    } else {
        out.h_gap_straight_mm = Some(f * h);
        out.h_gap_sbend_mm = Some(h / PI * libm::acos(1.0 - 2.0 * f));
    }
    Ok(out)
}
