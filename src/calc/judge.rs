//! J14, J15, J16 and J19 of one layout together.

use super::bend::{Bend, BendInput, bend};
use super::earthed::{EarthedGaps, earthed_of};
use super::heights::chain_height_mm;
use super::layout::Layout;
use super::refusal::Refusal;
use super::route::s_bend_axes;
use super::solid::{SolidGap, dressing_bound, gap_at_studs, sbend_gap, solid_gap, two_arcs_gap};
use super::verdict::{Verdict, reaches};
use serde::Serialize;

/// Every judged figure of one layout.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judgement {
    #[serde(rename = "H_mm")]
    pub h_mm: f64,
    #[serde(rename = "J14")]
    pub j14: J14,
    #[serde(rename = "J15")]
    pub j15: J15,
    #[serde(rename = "J16")]
    pub j16: EarthedGaps,
    #[serde(rename = "J19")]
    pub j19: J19,
    /// Phase 1, 2, 3.
    pub tail_mm: [f64; 3],
    /// All four rules pass.
    pub clean: bool,
}

/// Box height against the chain alone.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct J14 {
    pub needed_mm: f64,
    pub given_mm: f64,
    pub spare_mm: f64,
    pub verdict: Verdict,
}

/// Gap between the phases.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct J15 {
    #[serde(flatten)]
    pub gap: SolidGap,
    pub verdict: Verdict,
}

/// Bends in the box and, with a crutch below the plate, outside it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct J19 {
    pub inside_box: Bend,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outside: Option<Bend>,
    /// `Block` also where the least bending radius is not given.
    pub verdict: Verdict,
    pub limit_missing: bool,
}

/// The four verdicts alone, for searches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdicts {
    pub j14: Verdict,
    pub j15: Verdict,
    pub j16: Verdict,
    pub j19: Verdict,
}

impl Verdicts {
    pub fn clean(&self) -> bool {
        [self.j14, self.j15, self.j16, self.j19].iter().all(|v| *v == Verdict::Pass)
    }
}

/// Judges a layout with every figure that is printed. Refuses what
/// [`Layout::check`] refuses.
pub fn judgement(layout: &Layout) -> Result<Judgement, Refusal> {
    layout.check()?;
    let gap = solid_gap(layout)?;
    let axes = s_bend_axes(layout);
    let j14 = judge_height(layout);
    let j16 = earthed_of(layout, &axes);
    let j19 = judge_bends(layout)?;
    let j15 = J15 {
        gap,
        verdict: judge_gap(&GapFigures {
            limit: gap.limit_mm,
            sbend: gap.solid_sbend_mm,
            two_arcs: gap.solid_two_arcs_mm,
            at_studs: gap.gap_at_studs_mm,
            bound: gap.bound_mm,
            crosses: layout.crosses(),
            bend: j19.verdict,
        }),
    };
    let verdicts = Verdicts { j14: j14.verdict, j15: j15.verdict, j16: j16.verdict, j19: j19.verdict };
    Ok(Judgement {
        h_mm: layout.height_mm(),
        j14,
        j15,
        j16,
        j19,
        tail_mm: [axes[0].tail, axes[1].tail, axes[2].tail],
        clean: verdicts.clean(),
    })
}

/// The judged figures and verdicts without those that are only printed: about
/// half the work of [`judgement`]. Refuses what [`Layout::check`] refuses.
pub fn verdicts(layout: &Layout) -> Result<Verdicts, Refusal> {
    layout.check()?;
    let j19 = judge_bends(layout)?.verdict;
    let two_arcs = match j19 {
        Verdict::Pass => None,
        _ => two_arcs_gap(layout).map(|g| g.gap_mm),
    };
    Ok(Verdicts {
        j14: judge_height(layout).verdict,
        j15: judge_gap(&GapFigures {
            limit: layout.limits.phase_gap_min_mm,
            sbend: sbend_gap(layout)?.gap_mm,
            two_arcs,
            at_studs: gap_at_studs(layout),
            bound: dressing_bound(layout),
            crosses: layout.crosses(),
            bend: j19,
        }),
        j16: earthed_of(layout, &s_bend_axes(layout)).verdict,
        j19,
    })
}

/// Box height against the chain. No refusal: plain sums of checked figures.
pub(super) fn judge_height(layout: &Layout) -> J14 {
    let needed = chain_height_mm(layout);
    let given = layout.box_.gland_to_stud_mm;
    J14 {
        needed_mm: needed,
        given_mm: given,
        spare_mm: given - needed,
        verdict: if reaches(given, needed) { Verdict::Pass } else { Verdict::Block },
    }
}

/// Bends of a checked layout.
pub(super) fn judge_bends(layout: &Layout) -> Result<J19, Refusal> {
    let of = |h_mm: f64, step_mm: f64| {
        bend(&BendInput {
            h_mm,
            step_mm,
            limit_mm: layout.limits.min_bend_core_mm,
            limit_ref: layout.limits.min_bend_ref,
            core_dia_mm: layout.start.core_dia_mm,
        })
    };
    let inside_box = of(layout.height_mm(), layout.step_in_box())?;
    let outside = layout.depth_below().map(|depth| of(depth, layout.step_outside())).transpose()?;
    let verdict = [Some(inside_box), outside]
        .into_iter()
        .flatten()
        .map(|b| b.verdict.unwrap_or(Verdict::Block))
        .max_by_key(|v| v.rank())
        .unwrap_or(Verdict::Block);
    Ok(J19 { inside_box, outside, verdict, limit_missing: layout.limits.min_bend_core_mm.is_none() })
}

struct GapFigures {
    limit: f64,
    sbend: f64,
    two_arcs: Option<f64>,
    at_studs: f64,
    bound: Option<f64>,
    crosses: bool,
    bend: Verdict,
}

/// J15. Crossing cores run through one another as drawn, so a trial fit is the
/// best they can get, and a gap that is short as well leaves nothing to try.
fn judge_gap(g: &GapFigures) -> Verdict {
    let former_short = g.bend != Verdict::Pass && !g.two_arcs.is_some_and(|a| reaches(a, g.limit));
    let short = !reaches(g.sbend, g.limit) || former_short;
    let hopeless =
        g.crosses || !reaches(g.at_studs, g.limit) || g.bound.is_some_and(|b| !reaches(b, g.limit));
    match (short, hopeless) {
        (false, _) if !g.crosses => Verdict::Pass,
        (true, true) => Verdict::Block,
        _ => Verdict::AcceptTrialFit,
    }
}
