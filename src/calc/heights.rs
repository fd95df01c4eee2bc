//! The chain height of J14 and the least box height at which each rule passes.
//! Plain geometry, needs no source.

use super::earthed::heights_pass;
use super::judge::judge_bends;
use super::layout::{Layout, StartKind};
use super::refusal::Refusal;
use super::route::{Run, s_bend_axes};
use super::slices::{SliceInput, f13_slices};
use super::solid::gap_reaches;
use super::verdict::Verdict;
use serde::Serialize;
use std::f64::consts::PI;

/// How far above the lowest possible box the searches look, mm.
const SEARCH_MM: f64 = 4000.0;

/// Least `gland_to_stud` at which each rule passes, all else unchanged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeastHeights {
    #[serde(rename = "J14_mm")]
    pub j14_mm: f64,
    /// By the level slice; printed only.
    #[serde(rename = "J15_slice_straight_mm")]
    pub j15_slice_straight_mm: Option<f64>,
    #[serde(rename = "J15_slice_sbend_mm")]
    pub j15_slice_sbend_mm: Option<f64>,
    #[serde(rename = "J15_solid_mm")]
    pub j15_solid_mm: Option<f64>,
    #[serde(rename = "J15_solid_note")]
    pub j15_solid_note: Option<HeightNote>,
    /// The heights of J16; walls, cover and back are not cured by height.
    #[serde(rename = "J16_mm")]
    pub j16_mm: Option<f64>,
    #[serde(rename = "J16_note")]
    pub j16_note: Option<HeightNote>,
    /// `None` where the least bending radius is not given, or where no height
    /// cures cores that lean.
    #[serde(rename = "J19_sbend_mm")]
    pub j19_sbend_mm: Option<f64>,
    #[serde(rename = "J19_two_arcs_mm")]
    pub j19_two_arcs_mm: Option<f64>,
}

/// Why a height is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HeightNote {
    /// Passes in the lowest box the chain allows.
    NotLimiting,
    /// Fails even far above any real box.
    NoHeightCures,
}

impl LeastHeights {
    /// Box height at which chain, gap, earth and bend (without a former) all
    /// pass; `None` where no height cures or the bending radius is missing.
    /// Not rounded.
    pub fn needed_mm(&self) -> Option<f64> {
        let cures = |v: Option<f64>, note: Option<HeightNote>| match (v, note) {
            (Some(v), _) => Some(v),
            (None, Some(HeightNote::NotLimiting)) => Some(0.0),
            (None, _) => None,
        };
        Some(
            self.j14_mm
                .max(cures(self.j15_solid_mm, self.j15_solid_note)?)
                .max(cures(self.j16_mm, self.j16_note)?)
                .max(self.j19_sbend_mm?),
        )
    }
}

/// Box height the chain asks on a straight core (J14), without refusals: sums
/// of the figures of the layout.
pub fn chain_height_mm(layout: &Layout) -> f64 {
    let l = &layout.limits;
    let z0 = layout.start_height_mm();
    let plate = l.edge_to_plate_min_mm.max(l.earth_gap_min_mm + layout.sct_over_semicon_mm);
    let edge = match layout.start.kind {
        StartKind::Crutch => plate.max(z0 + l.edge_to_crutch_min_mm),
        StartKind::Entries => z0 + plate,
    };
    edge + layout.insulation_exposed_mm + layout.lug_insulation_end_to_stud_mm
}

/// Least heights. Refuses what [`Layout::check`] refuses, save the three
/// refusals for want of height, which are what this is asked about.
pub fn least_heights(layout: &Layout) -> Result<LeastHeights, Refusal> {
    layout.check_without_height()?;
    let (a, i) = (layout.lug_insulation_end_to_stud_mm, layout.insulation_exposed_mm);
    let base = layout.start_height_mm() + a;
    let lowest = base + i + layout.sct_over_semicon_mm + 1.0;
    let at = |z: f64| {
        let mut other = *layout;
        other.box_.gland_to_stud_mm = z;
        other
    };
    let limit = layout.limits.phase_gap_min_mm;
    let (j15, j15_note) = least_passing(lowest, 1e-4, |z| gap_reaches(&at(z), Run::SBend, limit));
    let (j16, j16_note) = least_passing(lowest, 1e-6, |z| {
        let other = at(z);
        heights_pass(&other, &s_bend_axes(&other))
    });
    let step = layout.step_in_box();
    let radius = layout.bend_limit_axis_mm();
    let slice = slice_share(layout);
    Ok(LeastHeights {
        j14_mm: chain_height_mm(layout),
        j15_slice_straight_mm: slice.map(|f| base + i / (1.0 - f)),
        j15_slice_sbend_mm: slice.map(|f| base + i / (1.0 - libm::acos(1.0 - 2.0 * f) / PI)),
        j15_solid_mm: j15,
        j15_solid_note: j15_note,
        j16_mm: j16,
        j16_note,
        j19_sbend_mm: match layout.lean() {
            Some(_) => radius.and_then(|_| leaning_height(lowest, at)),
            None => radius.map(|r| base + PI * (r * step / 2.0).sqrt()),
        },
        j19_two_arcs_mm: radius
            .filter(|_| layout.lean().is_none())
            .map(|r| base + (4.0 * r * step - step * step).max(0.0).sqrt()),
    })
}

/// Least height at which leaning cores bend no tighter than allowed: by search,
/// the lowest box that holds the chain counting as such a height.
fn leaning_height(lowest: f64, at: impl Fn(f64) -> Layout) -> Option<f64> {
    let passes = |z: f64| {
        let other = at(z);
        other.check().is_ok()
            && judge_bends(&other).is_ok_and(|j| j.inside_box.verdict == Some(Verdict::Pass))
    };
    match least_passing(lowest, 1e-4, passes) {
        (None, Some(HeightNote::NotLimiting)) => Some(lowest),
        (found, _) => found,
    }
}

/// The share `f` of F13 where it lies strictly between 0 and 1.
fn slice_share(layout: &Layout) -> Option<f64> {
    if layout.lean().is_some() {
        return None;
    }
    let slices = f13_slices(&SliceInput {
        d_mm: layout.start_spacing_mm(),
        pitch_mm: layout.box_.stud_pitch_mm,
        // The share does not depend on height; any height with an edge serves.
        h_mm: 1.0,
        dia_outer_mm: layout.dia.tube_mm,
        phase_gap_min_mm: layout.limits.phase_gap_min_mm,
        edge_above_start_mm: 1.0,
    });
    slices.ok()?.f.filter(|f| *f > 0.0 && *f < 1.0)
}

fn least_passing(lowest: f64, to_mm: f64, passes: impl Fn(f64) -> bool) -> (Option<f64>, Option<HeightNote>) {
    let (mut low, mut high) = (lowest, lowest + SEARCH_MM);
    if passes(low) {
        return (None, Some(HeightNote::NotLimiting));
    }
    if !passes(high) {
        return (None, Some(HeightNote::NoHeightCures));
    }
    while high - low > to_mm {
        let middle = f64::midpoint(low, high);
        // Neighbouring numbers far from zero may be wider apart than asked.
        if middle <= low || middle >= high {
            break;
        }
        if passes(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    (Some(high), None)
}
