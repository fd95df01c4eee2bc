//! Bending radii and rule J19. Plain geometry, needs no source; the limit is
//! the cable maker's. Radii are to the core's axis unless the name says inside.

use super::layout::{BendRef, in_range};
use super::refusal::Refusal;
use super::verdict::{Verdict, reaches};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// One pair of bends: height and sideways step. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct BendInput {
    #[serde(rename = "H_mm")]
    pub h_mm: f64,
    /// Largest sideways step of the three cores.
    pub step_mm: f64,
    #[serde(default)]
    pub limit_mm: Option<f64>,
    /// What the limit is measured to; absent counts as inside, the stricter.
    #[serde(default)]
    pub limit_ref: Option<BendRef>,
    pub core_dia_mm: f64,
}

/// Radii of a pair of bends. All `None` where the cores run straight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bend {
    pub r_sbend_axis_mm: Option<f64>,
    pub r_two_arcs_axis_mm: Option<f64>,
    pub r_sbend_inside_mm: Option<f64>,
    pub r_two_arcs_inside_mm: Option<f64>,
    pub limit_axis_mm: Option<f64>,
    /// `None`: the least bending radius is not given, and the job blocks.
    pub verdict: Option<Verdict>,
    pub note: Option<BendNote>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BendNote {
    /// No sideways step, so nothing bends.
    Straight,
    /// The cores lean where they start: the radius is that of the curve of least
    /// bending, and no former is computed.
    Leaning,
}

/// Bends of cores that lean where they start: least radius of their curves, to
/// the axis, infinite where they run straight. No former is computed, so that
/// they pass as they lie or not at all.
pub(super) fn leaning_bend(radius_mm: f64, limit_axis_mm: Option<f64>, core_dia_mm: f64) -> Bend {
    let radius = radius_mm.is_finite().then_some(radius_mm);
    let keeps = |limit: f64| radius.is_none_or(|r| reaches(r, limit));
    Bend {
        r_sbend_axis_mm: radius,
        r_two_arcs_axis_mm: None,
        r_sbend_inside_mm: radius.map(|r| r - core_dia_mm / 2.0),
        r_two_arcs_inside_mm: None,
        limit_axis_mm,
        verdict: limit_axis_mm.map(|l| if keeps(l) { Verdict::Pass } else { Verdict::Block }),
        note: Some(BendNote::Leaning),
    }
}

/// Radii of an S-bend and of two equal arcs over the same height and step.
/// Refuses a height of nothing.
pub fn bend(i: &BendInput) -> Result<Bend, Refusal> {
    in_range(&[
        (i.h_mm, "height"),
        (i.step_mm, "sideways step"),
        (i.limit_mm.unwrap_or(0.0), "least bending radius"),
        (i.core_dia_mm, "core diameter"),
    ])?;
    let (h, s) = (i.h_mm, i.step_mm);
    if h <= 0.0 {
        return Err(Refusal::NoHeightBetweenStartAndInsulationEnd);
    }
    if s < 0.0 {
        return Err(Refusal::FigureOutOfRange("sideways step"));
    }
    let inside = i.core_dia_mm / 2.0;
    let limit = i.limit_mm.map(|l| match i.limit_ref {
        Some(BendRef::Axis) => l,
        Some(BendRef::Inside) | None => l + inside,
    });
    if s < 1e-9 {
        return Ok(Bend {
            r_sbend_axis_mm: None,
            r_two_arcs_axis_mm: None,
            r_sbend_inside_mm: None,
            r_two_arcs_inside_mm: None,
            limit_axis_mm: limit,
            verdict: limit.map(|_| Verdict::Pass),
            note: Some(BendNote::Straight),
        });
    }
    let wave = 2.0 * h * h / (PI * PI * s);
    let arcs = (h * h + s * s) / (4.0 * s);
    let verdict = limit.map(|l| {
        if reaches(wave, l) {
            Verdict::Pass
        } else if reaches(arcs, l) {
            Verdict::AcceptFormer
        } else {
            Verdict::Block
        }
    });
    Ok(Bend {
        r_sbend_axis_mm: Some(wave),
        r_two_arcs_axis_mm: Some(arcs),
        r_sbend_inside_mm: Some(wave - inside),
        r_two_arcs_inside_mm: Some(arcs - inside),
        limit_axis_mm: limit,
        verdict,
        note: None,
    })
}
