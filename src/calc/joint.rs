//! The chain of a straight joint from its centre: cuts, parking of the parts on
//! side X, and the outer sleeve. Plain geometry, needs no source, save what is
//! marked.

use super::layout::in_range;
use super::refusal::Refusal;
use super::verdict::{Verdict, reaches};
use serde::{Deserialize, Serialize};

/// Room kept beside a parked part, mm. Common practice, no source.
pub const PARK_ROOM_MM: f64 = 20.0;

/// One joint, alike on both sides but for the sheath cuts. Lengths in mm, cuts
/// from the joint centre.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct JointInput {
    pub connector_half_mm: f64,
    /// Connector to insulation cut.
    pub connector_gap_mm: f64,
    pub semicon_edge_mm: f64,
    pub screen_cut_mm: f64,
    /// Recovered length of the stress control tube.
    pub sct_mm: f64,
    pub body_mm: f64,
    /// X is the long side, on which the parts are parked.
    pub sheath_cut_x_mm: f64,
    pub sheath_cut_y_mm: f64,
    pub armour_left_mm: f64,
    pub bedding_left_mm: f64,
    pub outer_sleeve_mm: f64,
    pub sleeve_overlap_min_mm: f64,
    pub sct_over_semicon_min_mm: f64,
    pub body_over_screen_min_mm: f64,
}

/// Figures of one joint, mm; `_c0` is the joint centre.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct JointChain {
    pub insulation_cut_from_c0_mm: f64,
    pub exposed_insulation_each_side_mm: f64,
    pub semicon_left_mm: f64,
    pub sct_half_mm: f64,
    pub sct_over_semicon_each_side_mm: f64,
    pub body_half_mm: f64,
    pub body_over_metal_screen_mm: f64,
    pub crutch_from_c0_x_mm: f64,
    pub crutch_from_c0_y_mm: f64,
    /// Room for a part slid back over the cores of side X.
    pub park_clear_mm: f64,
    pub longest_parked_mm: f64,
    pub park_spare_mm: f64,
    pub park_verdict: Verdict,
    pub sleeve_overlap_each_side_mm: f64,
    /// Towards X.
    pub sleeve_centre_from_c0_mm: f64,
    pub sleeve_verdict: Verdict,
    pub sct_overlap_verdict: Verdict,
    pub body_overlap_verdict: Verdict,
}

/// The chain of one joint. Refuses, in this order: a negative length, an edge
/// inside the insulation cut, a screen cut inside the edge, a crutch inside the
/// screen cut on side X or Y.
pub fn joint_chain(i: &JointInput) -> Result<JointChain, Refusal> {
    let all = [
        (i.connector_half_mm, "half the connector"),
        (i.connector_gap_mm, "connector to insulation cut"),
        (i.semicon_edge_mm, "core screen edge"),
        (i.screen_cut_mm, "metal screen cut"),
        (i.sct_mm, "tube length"),
        (i.body_mm, "body length"),
        (i.sheath_cut_x_mm, "sheath cut X"),
        (i.sheath_cut_y_mm, "sheath cut Y"),
        (i.armour_left_mm, "armour left"),
        (i.bedding_left_mm, "bedding left"),
        (i.outer_sleeve_mm, "outer sleeve"),
        (i.sleeve_overlap_min_mm, "least overlap of the sleeve"),
        (i.sct_over_semicon_min_mm, "least overlap of the tube"),
        (i.body_over_screen_min_mm, "least overlap of the body"),
    ];
    in_range(&all)?;
    if all.iter().any(|(v, _)| *v < 0.0) {
        return Err(Refusal::NegativeInput);
    }
    let insulation_cut = i.connector_half_mm + i.connector_gap_mm;
    let crutch = |sheath_cut: f64| sheath_cut - i.armour_left_mm - i.bedding_left_mm;
    let (crutch_x, crutch_y) = (crutch(i.sheath_cut_x_mm), crutch(i.sheath_cut_y_mm));
    let reversed = [
        (insulation_cut, i.semicon_edge_mm, Refusal::EdgeInsideInsulationCut),
        (i.semicon_edge_mm, i.screen_cut_mm, Refusal::ScreenCutInsideEdge),
        (i.screen_cut_mm, crutch_x, Refusal::CrutchInsideScreenCutX),
        (i.screen_cut_mm, crutch_y, Refusal::CrutchInsideScreenCutY),
    ];
    if let Some((_, _, refusal)) = reversed.iter().find(|(inner, outer, _)| outer < inner) {
        return Err(*refusal);
    }
    let (sct_half, body_half) = (i.sct_mm / 2.0, i.body_mm / 2.0);
    let over_semicon = sct_half - i.semicon_edge_mm;
    let over_screen = body_half - i.screen_cut_mm;
    let clear = crutch_x - i.screen_cut_mm - PARK_ROOM_MM;
    let longest = i.sct_mm.max(i.body_mm);
    let overlap = (i.outer_sleeve_mm - i.sheath_cut_x_mm - i.sheath_cut_y_mm) / 2.0;
    let judge = |has: f64, least: f64| if reaches(has, least) { Verdict::Pass } else { Verdict::Block };
    Ok(JointChain {
        insulation_cut_from_c0_mm: insulation_cut,
        exposed_insulation_each_side_mm: i.semicon_edge_mm - insulation_cut,
        semicon_left_mm: i.screen_cut_mm - i.semicon_edge_mm,
        sct_half_mm: sct_half,
        sct_over_semicon_each_side_mm: over_semicon,
        body_half_mm: body_half,
        body_over_metal_screen_mm: over_screen,
        crutch_from_c0_x_mm: crutch_x,
        crutch_from_c0_y_mm: crutch_y,
        park_clear_mm: clear,
        longest_parked_mm: longest,
        park_spare_mm: clear - longest,
        park_verdict: judge(clear, longest),
        sleeve_overlap_each_side_mm: overlap,
        sleeve_centre_from_c0_mm: (i.sheath_cut_x_mm - i.sheath_cut_y_mm) / 2.0,
        sleeve_verdict: judge(overlap, i.sleeve_overlap_min_mm),
        sct_overlap_verdict: judge(over_semicon, i.sct_over_semicon_min_mm),
        body_overlap_verdict: judge(over_screen, i.body_over_screen_min_mm),
    })
}
