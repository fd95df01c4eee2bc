//! The chain of one termination: lug, insulation, tube, screen, reference ring,
//! and the cuts of sheath and armour; and the air between palms on test. Plain
//! geometry, needs no source, save what is marked.

use super::layout::in_range;
use super::refusal::Refusal;
use super::verdict::reaches;
use serde::{Deserialize, Serialize};

/// Reference ring below the metal screen cut when the job types no other
/// figure, mm. Common practice, no source.
pub const REF_RING_MM: f64 = 50.0;

/// Air between palms per kilovolt of peak test voltage, mm. Common practice,
/// no source.
pub const MM_PER_KV_PEAK: f64 = 4.0;

/// One termination. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub struct TerminationInput {
    pub lug_barrel_depth_mm: f64,
    /// How much longer the barrel gets when crimped; 0 for bolted lugs.
    pub lug_growth_mm: f64,
    /// Mouth of the barrel to the centre of the palm hole.
    pub lug_mouth_to_hole_mm: f64,
    pub insulation_exposed_mm: f64,
    pub semicon_left_mm: f64,
    /// Recovered length of the stress control tube.
    pub sct_length_mm: f64,
    pub sct_over_semicon_mm: f64,
    #[serde(default)]
    pub dia_over_semicon_mm: Option<f64>,
    /// Recovered walls over the edge, stress control tube first.
    #[serde(default)]
    pub walls_mm: Option<Vec<f64>>,
    /// Metal screen cut to reference ring; absent = [`REF_RING_MM`].
    #[serde(default)]
    pub ref_ring_from_screen_cut_mm: Option<f64>,
    #[serde(default)]
    pub armour_at: Option<ArmourAt>,
    /// Armour at the crutch: tail of the straightest core.
    #[serde(default)]
    pub tail_straight_mm: Option<f64>,
    #[serde(default)]
    pub bedding_left_mm: Option<f64>,
    #[serde(default)]
    pub armour_left_mm: Option<f64>,
    /// Armour in a gland: crutch above the plate.
    #[serde(default)]
    pub crutch_height_mm: Option<f64>,
    /// From the gland's sheet, downward from the plate.
    #[serde(default)]
    pub armour_cut_from_plate_mm: Option<f64>,
    #[serde(default)]
    pub sheath_cut_from_plate_mm: Option<f64>,
}

/// Where the armour ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ArmourAt {
    /// Bonded at a crutch: the cuts are measured along the cable.
    Crutch,
    /// Clamped in a gland: the cuts are measured from the plate.
    Gland,
}

/// Figures of one termination, mm. `_from_stud` along the core from the centre
/// of the stud, `_from_end` from the cut conductor end, `ref_to_` upward from
/// the reference ring.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TerminationChain {
    pub conductor_bare_mm: f64,
    pub lug_insulation_end_to_stud_mm: f64,
    pub lug_end_offset_mm: f64,
    pub sct_over_insulation_mm: f64,
    pub clear_surface_mm: f64,
    pub semicon_edge_from_end_mm: f64,
    pub metal_screen_cut_from_end_mm: f64,
    pub semicon_edge_from_stud_mm: f64,
    pub sct_upper_from_stud_mm: f64,
    pub sct_lower_from_stud_mm: f64,
    pub metal_screen_cut_from_stud_mm: f64,
    /// A note, not a refusal: the tube runs onto the metal screen.
    pub tube_reaches_metal_screen: bool,
    pub dia_outer_at_edge_mm: Option<f64>,
    pub ref_ring_from_stud_mm: f64,
    pub ref_to_tube_lower_mm: f64,
    pub ref_to_semicon_edge_mm: f64,
    pub ref_to_tube_upper_mm: f64,
    pub ref_to_insulation_cut_mm: f64,
    /// Armour at a crutch.
    pub sheath_cut_from_stud_mm: Option<f64>,
    /// Armour in a gland.
    pub sheath_cut_from_plate_mm: Option<f64>,
    pub armour_cut_from_plate_mm: Option<f64>,
    pub bedding_left_mm: Option<f64>,
    pub armour_left_mm: Option<f64>,
}

/// The chain of one termination. Refuses, in this order: a negative length, a
/// barrel deeper than mouth to hole, an overlap longer than the tube, a
/// negative clear surface, a tube over the reference ring, missing or reversed
/// gland figures.
pub fn termination_chain(i: &TerminationInput) -> Result<TerminationChain, Refusal> {
    let ring = i.ref_ring_from_screen_cut_mm.unwrap_or(REF_RING_MM);
    let walls = i.walls_mm.as_deref().unwrap_or_default();
    let some = |v: Option<f64>| v.unwrap_or(0.0);
    let mut all = vec![
        (i.lug_barrel_depth_mm, "lug barrel depth"),
        (i.lug_growth_mm, "lug growth"),
        (i.lug_mouth_to_hole_mm, "lug mouth to hole"),
        (i.insulation_exposed_mm, "insulation exposed"),
        (i.semicon_left_mm, "core screen left"),
        (i.sct_length_mm, "tube length"),
        (i.sct_over_semicon_mm, "tube over the core screen"),
        (some(i.dia_over_semicon_mm), "diameter over the core screen"),
        (ring, "metal screen cut to reference ring"),
        (some(i.tail_straight_mm), "tail of the straightest core"),
        (some(i.bedding_left_mm), "bedding left"),
        (some(i.armour_left_mm), "armour left"),
        (some(i.crutch_height_mm), "crutch height"),
        (some(i.armour_cut_from_plate_mm), "armour cut from the plate"),
        (some(i.sheath_cut_from_plate_mm), "sheath cut from the plate"),
    ];
    all.extend(walls.iter().map(|&w| (w, "recovered wall")));
    in_range(&all)?;
    if all.iter().any(|(v, _)| *v < 0.0) {
        return Err(Refusal::NegativeInput);
    }

    let to_stud = i.lug_mouth_to_hole_mm + i.lug_growth_mm;
    let end_offset = i.lug_mouth_to_hole_mm - i.lug_barrel_depth_mm;
    let over_insulation = i.sct_length_mm - i.sct_over_semicon_mm;
    let clear = i.insulation_exposed_mm - over_insulation;
    let edge = to_stud + i.insulation_exposed_mm;
    let screen_cut = edge + i.semicon_left_mm;
    let ref_to_tube = i.semicon_left_mm + ring - i.sct_over_semicon_mm;
    if end_offset < 0.0 {
        return Err(Refusal::BarrelDeeperThanMouthToHole);
    }
    if over_insulation < 0.0 {
        return Err(Refusal::OverlapLongerThanTube);
    }
    if clear < 0.0 {
        return Err(Refusal::ClearSurfaceNegative);
    }
    if ref_to_tube <= 0.0 {
        return Err(Refusal::TubeCoversReferenceRing);
    }
    let cuts = cuts(i)?;
    Ok(TerminationChain {
        conductor_bare_mm: i.lug_barrel_depth_mm + i.lug_growth_mm,
        lug_insulation_end_to_stud_mm: to_stud,
        lug_end_offset_mm: end_offset,
        sct_over_insulation_mm: over_insulation,
        clear_surface_mm: clear,
        semicon_edge_from_end_mm: edge - end_offset,
        metal_screen_cut_from_end_mm: screen_cut - end_offset,
        semicon_edge_from_stud_mm: edge,
        sct_upper_from_stud_mm: edge - over_insulation,
        sct_lower_from_stud_mm: edge + i.sct_over_semicon_mm,
        metal_screen_cut_from_stud_mm: screen_cut,
        tube_reaches_metal_screen: i.sct_over_semicon_mm > i.semicon_left_mm,
        dia_outer_at_edge_mm: i
            .dia_over_semicon_mm
            .filter(|_| i.walls_mm.is_some())
            .map(|d| d + 2.0 * walls.iter().sum::<f64>()),
        ref_ring_from_stud_mm: screen_cut + ring,
        ref_to_tube_lower_mm: ref_to_tube,
        ref_to_semicon_edge_mm: i.semicon_left_mm + ring,
        ref_to_tube_upper_mm: i.semicon_left_mm + ring + over_insulation,
        ref_to_insulation_cut_mm: i.semicon_left_mm + ring + i.insulation_exposed_mm,
        sheath_cut_from_stud_mm: cuts.along,
        sheath_cut_from_plate_mm: cuts.sheath,
        armour_cut_from_plate_mm: cuts.armour,
        bedding_left_mm: cuts.bedding_left,
        armour_left_mm: cuts.armour_left,
    })
}

#[derive(Default)]
struct Cuts {
    along: Option<f64>,
    sheath: Option<f64>,
    armour: Option<f64>,
    bedding_left: Option<f64>,
    armour_left: Option<f64>,
}

fn cuts(i: &TerminationInput) -> Result<Cuts, Refusal> {
    match i.armour_at {
        None => Ok(Cuts::default()),
        Some(ArmourAt::Crutch) => {
            let sum = |a: f64| Some(a + i.bedding_left_mm? + i.armour_left_mm?);
            Ok(Cuts { along: i.tail_straight_mm.and_then(sum), ..Cuts::default() })
        }
        Some(ArmourAt::Gland) => {
            let (Some(crutch), Some(armour), Some(sheath)) =
                (i.crutch_height_mm, i.armour_cut_from_plate_mm, i.sheath_cut_from_plate_mm)
            else {
                return Err(Refusal::GlandFiguresMissing);
            };
            if sheath < armour {
                return Err(Refusal::GlandCutsReversed);
            }
            Ok(Cuts {
                along: None,
                sheath: Some(sheath),
                armour: Some(armour),
                bedding_left: Some(crutch + armour),
                armour_left: Some(sheath - armour),
            })
        }
    }
}

/// Palms while one phase is tested and its neighbours are earthed.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct TestClearanceInput {
    pub test_kv_rms: f64,
    pub stud_pitch_mm: f64,
    pub palm_width_mm: f64,
    /// Absent = [`MM_PER_KV_PEAK`].
    #[serde(default)]
    pub mm_per_kv_peak: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TestClearance {
    pub test_clearance_mm: f64,
    /// A need: rounded up to whole mm.
    pub test_clearance_print_mm: f64,
    pub palm_gap_mm: f64,
    pub verdict: TestVerdict,
}

/// Never a block, and no word on the clearance in service.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestVerdict {
    Pass,
    /// The test sheet must say how the palms stand for the test.
    NameArrangement,
}

impl TestVerdict {
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::NameArrangement => "name-arrangement",
        }
    }
}

/// Air between neighbouring palms on a sinusoidal test. Refuses negative
/// figures. The millimetres per kilovolt are common practice, no source.
pub fn test_clearance(i: &TestClearanceInput) -> Result<TestClearance, Refusal> {
    let per_kv = i.mm_per_kv_peak.unwrap_or(MM_PER_KV_PEAK);
    let all = [
        (i.test_kv_rms, "test voltage"),
        (i.stud_pitch_mm, "stud pitch"),
        (i.palm_width_mm, "palm width"),
        (per_kv, "air per kilovolt"),
    ];
    in_range(&all)?;
    if all.iter().any(|(v, _)| *v < 0.0) {
        return Err(Refusal::NegativeInput);
    }
    let need = per_kv * std::f64::consts::SQRT_2 * i.test_kv_rms;
    let gap = i.stud_pitch_mm - i.palm_width_mm;
    Ok(TestClearance {
        test_clearance_mm: need,
        // A thousandth off first, so that a sum that is whole stays whole.
        test_clearance_print_mm: (need - 0.001).ceil().max(0.0),
        palm_gap_mm: gap,
        verdict: if reaches(gap, need) { TestVerdict::Pass } else { TestVerdict::NameArrangement },
    })
}
