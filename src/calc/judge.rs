//! J14, J15, J16 and J19 of one layout together.

use super::bend::{Bend, BendInput, bend, leaning_bend};
use super::earthed::{EarthedGaps, earthed_of};
use super::heights::chain_height_mm;
use super::keeps::Core;
use super::layout::Layout;
use super::refusal::Refusal;
use super::route::{Run, s_bend_axes};
use super::solid::{SolidGap, cores, cores_keep, dressing_bound, gap_at_studs, gap_reaches, solid_gap};
use super::span::live_spans;
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Verdicts {
    #[serde(rename = "J14")]
    pub j14: Verdict,
    #[serde(rename = "J15")]
    pub j15: Verdict,
    #[serde(rename = "J16")]
    pub j16: Verdict,
    #[serde(rename = "J19")]
    pub j19: Verdict,
}

impl Verdicts {
    pub fn clean(&self) -> bool {
        self.by_rule().iter().all(|(_, v)| *v == Verdict::Pass)
    }

    /// Code of each rule and its verdict.
    pub fn by_rule(&self) -> [(&'static str, Verdict); 4] {
        [("J14", self.j14), ("J15", self.j15), ("J16", self.j16), ("J19", self.j19)]
    }
}

/// Judges a layout with every figure that is printed. Refuses what
/// [`Layout::check`] refuses.
pub fn judgement(layout: &Layout) -> Result<Judgement, Refusal> {
    layout.check()?;
    let gap = solid_gap(layout)?;
    let axes = s_bend_axes(layout);
    let live = axes.each_ref().map(|axis| live_spans(layout, axis));
    let j14 = judge_height(layout);
    let j16 = earthed_of(layout, &axes, live.each_ref().map(Vec::as_slice));
    let j19 = judge_bends(layout)?;
    let keeps = |gap: f64| reaches(gap, layout.limits.phase_gap_min_mm);
    let short = !keeps(gap.solid_sbend_mm)
        || (j19.verdict != Verdict::Pass && !gap.solid_two_arcs_mm.is_some_and(keeps));
    let j15 = J15 { gap, verdict: judge_gap(short, no_dressing_helps(layout), layout.crosses()) };
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

/// The verdicts without the figures: a small part of the work of
/// [`judgement`]. Refuses what [`Layout::check`] refuses.
pub fn verdicts(layout: &Layout) -> Result<Verdicts, Refusal> {
    layout.check()?;
    let (axes, j19) = (s_bend_axes(layout), judge_bends(layout)?.verdict);
    let cores = cores(layout, &axes);
    Ok(Verdicts {
        j14: judge_height(layout).verdict,
        j15: judge_gap(is_short(layout, &cores, j19), no_dressing_helps(layout), layout.crosses()),
        j16: earthed_of(layout, &axes, cores.each_ref().map(|c| c.live.as_slice())).verdict,
        j19,
    })
}

/// Whether a layout has a verdict worse than in `plan`; a refused layout has.
/// Cheap rules first, and the gap only where it can decide.
pub(super) fn any_worse(layout: &Layout, plan: &Verdicts) -> bool {
    let worse = |now: Verdict, plan: Verdict| now.rank() > plan.rank();
    if layout.check().is_err() || worse(judge_height(layout).verdict, plan.j14) {
        return true;
    }
    let Ok(bends) = judge_bends(layout) else {
        return true;
    };
    if worse(bends.verdict, plan.j19) {
        return true;
    }
    let as_short = judge_gap(true, no_dressing_helps(layout), layout.crosses());
    let gap_decides = worse(as_short, plan.j15);
    let axes = s_bend_axes(layout);
    let cores = cores(layout, &axes);
    worse(earthed_of(layout, &axes, cores.each_ref().map(|c| c.live.as_slice())).verdict, plan.j16)
        || (gap_decides && is_short(layout, &cores, bends.verdict))
}

/// Whether the gap is short as the cores lie, or bent on the former they need.
fn is_short(layout: &Layout, cores: &[Core<'_>; 3], bends: Verdict) -> bool {
    let limit = layout.limits.phase_gap_min_mm;
    let on_former = || {
        let radius = layout.bend_limit_axis_mm();
        radius.is_some_and(|radius| gap_reaches(layout, Run::TwoArcs(radius), limit))
    };
    !cores_keep(layout, cores, limit) || (bends != Verdict::Pass && !on_former())
}

/// Whether a short gap leaves nothing to try: crossing cores, studs too close,
/// or a bound that no dressing beats.
pub(super) fn no_dressing_helps(layout: &Layout) -> bool {
    let limit = layout.limits.phase_gap_min_mm;
    layout.crosses()
        || !reaches(gap_at_studs(layout), limit)
        || dressing_bound(layout).is_some_and(|bound| !reaches(bound, limit))
}

/// J15. Crossing cores run through one another as drawn, so a trial fit is the
/// best they can get.
fn judge_gap(short: bool, no_dressing_helps: bool, crosses: bool) -> Verdict {
    match (short, no_dressing_helps) {
        (false, _) if !crosses => Verdict::Pass,
        (true, true) => Verdict::Block,
        _ => Verdict::AcceptTrialFit,
    }
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

/// Least radii of leaning cores, in the box and below the plate.
fn leaning_bends(layout: &Layout) -> (Bend, Option<Bend>) {
    let axes = s_bend_axes(layout);
    let limit = layout.bend_limit_axis_mm();
    let of = |below: bool| {
        let radii = axes.iter().map(|axis| axis.least_radius(below));
        leaning_bend(radii.fold(f64::INFINITY, f64::min), limit, layout.start.core_dia_mm)
    };
    (of(false), layout.depth_below().map(|_| of(true)))
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
    let (inside_box, outside) = if layout.lean().is_some() {
        leaning_bends(layout)
    } else {
        let inside_box = of(layout.height_mm(), layout.step_in_box())?;
        (inside_box, layout.depth_below().map(|depth| of(depth, layout.step_outside())).transpose()?)
    };
    let verdict = [Some(inside_box), outside]
        .into_iter()
        .flatten()
        .map(|b| b.verdict.unwrap_or(Verdict::Block))
        .max_by_key(|v| v.rank())
        .unwrap_or(Verdict::Block);
    Ok(J19 { inside_box, outside, verdict, limit_missing: layout.limits.min_bend_core_mm.is_none() })
}
