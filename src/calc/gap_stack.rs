//! The gap between phases with the tolerances that move it: a lower box leaves
//! less height for the spread, a lower mark and a longer tube carry the live
//! surface to where the cores stand closer. Geometry, needs no source; the house
//! tolerances are the planner's figures, common practice, no source.
//!
//! Where the edge itself lies under the tube moves no surface, so it has no part
//! in it.

use super::layout::{Layout, in_range};
use super::refusal::Refusal;
use super::solid::sbend_gap;
use super::stack::Part;
use serde::Serialize;

/// A layout and its tolerances, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapStackInput {
    pub layout: Layout,
    /// Greatest recovered length of the tube less the nominal.
    pub tube_longer_mm: f64,
    pub tol_tube_set_mm: f64,
    pub tol_box_mm: f64,
}

/// The judged gap, cores as they lie, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GapStack {
    pub nominal_mm: f64,
    /// All tolerances at once; 0 where the layout is then none at all.
    pub worst_mm: f64,
    /// Nominal less the root of the sum of squares; decides nothing.
    pub rss_mm: f64,
    /// The dimension that takes most, and how much of the gap; `None` where none
    /// takes any.
    pub largest: Option<(Part, f64)>,
}

/// The gap with its tolerances. Refuses what [`Layout::check`] refuses of the
/// layout as planned, and a tolerance below nought (`tolerance-sign`).
pub fn gap_stack(i: &GapStackInput) -> Result<GapStack, Refusal> {
    let tolerances = [i.tube_longer_mm, i.tol_tube_set_mm, i.tol_box_mm];
    in_range(&tolerances.map(|t| (t, "tolerance")))?;
    if tolerances.iter().any(|t| *t < 0.0) {
        return Err(Refusal::ToleranceSign);
    }
    let nominal = sbend_gap(&i.layout)?.gap_mm;
    let with = |parts: &[Part]| {
        let mut layout = i.layout;
        for part in parts {
            match part {
                Part::TubeLength => {
                    let most = layout.insulation_exposed_mm;
                    layout.sct_over_insulation_mm =
                        (layout.sct_over_insulation_mm + i.tube_longer_mm).min(most);
                }
                Part::Box => layout.box_.gland_to_stud_mm -= i.tol_box_mm,
                Part::TubeMark => layout.sct_over_semicon_mm += i.tol_tube_set_mm,
                Part::SemiconEdge | Part::InsulationCut => {}
            }
        }
        sbend_gap(&layout).map_or(0.0, |gap| gap.gap_mm)
    };
    let parts = [Part::TubeLength, Part::Box, Part::TubeMark];
    let taken = parts.map(|part| (part, (nominal - with(&[part])).max(0.0)));
    let squares: f64 = taken.iter().map(|(_, mm)| mm * mm).sum();
    let largest = taken.into_iter().fold(None, |most: Option<(Part, f64)>, part| match most {
        Some(most) if most.1 >= part.1 => Some(most),
        _ => (part.1 > 0.0).then_some(part),
    });
    Ok(GapStack {
        nominal_mm: nominal,
        worst_mm: with(&parts).min(nominal),
        rss_mm: nominal - squares.sqrt(),
        largest,
    })
}
