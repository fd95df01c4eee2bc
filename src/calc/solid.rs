//! Gaps between the cores as solids, rule J15. Plain geometry, needs no source;
//! the limit is the kit's. A gap says nothing of electrical strength, sag,
//! ovality, core stiffness or a tube shrunk unevenly.

use super::axis::Axis;
use super::bound::{SpreadInput, spread_bound};
use super::disc::TOUCHING_MM;
use super::keeps::{Core, keeps};
use super::layout::Layout;
use super::nearest::{Best, Found, Task};
use super::refusal::Refusal;
use super::route::{Run, axes, s_bend_axes};
use super::slices::{SliceInput, f13_slices};
use super::span::{live_spans, spans};
use super::vec3::{V3, add_scaled, dot, norm, sub};
use serde::Serialize;

/// One least gap and where it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GapAt {
    /// 0 where the cores touch or run into each other.
    pub gap_mm: f64,
    /// The phase whose live zone it is (1 to 3).
    pub on_phase: usize,
    pub to_phase: usize,
    /// Nearest point on `on_phase`: x, y, z.
    pub from_mm: [f64; 3],
    /// Nearest point on `to_phase`.
    pub to_mm: [f64; 3],
    /// Arc lengths from the stud of the discs that hold the two points.
    pub arc_mm: [f64; 2],
}

/// All gap figures of a layout.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SolidGap {
    /// Screen edge above the start on a core that goes straight up.
    pub edge_above_start_mm: f64,
    /// Lower tube end above the start, likewise.
    pub tube_end_above_start_mm: f64,
    /// Least gap, cores as they lie: the judged figure.
    pub solid_sbend_mm: f64,
    pub limit_mm: f64,
    /// Most any dressing gives; `None` where there is no such bound.
    pub bound_mm: Option<f64>,
    /// Gap at the studs: only another pitch cures it.
    pub gap_at_studs_mm: f64,
    /// Level gap at the edge, straight cores; printed, never judged.
    pub slice_straight_mm: Option<f64>,
    /// Level gap at the edge, S-bends; printed, never judged.
    pub slice_sbend_mm: Option<f64>,
    /// Live surface to live surface; printed.
    pub solid_live_live_mm: f64,
    /// Cores taut; printed.
    pub solid_straight_mm: f64,
    /// Bent on a former at the least radius; `None` where the arcs do not fit
    /// or the radius is not given.
    pub solid_two_arcs_mm: Option<f64>,
    /// Where the judged figure is.
    pub sbend_at: GapAt,
    pub live_live_at: GapAt,
    pub two_arcs_at: Option<GapAt>,
}

/// Gap figures of a layout. Refuses what [`Layout::check`] refuses.
pub fn solid_gap(layout: &Layout) -> Result<SolidGap, Refusal> {
    layout.check()?;
    let (sbend, live) = gaps(layout, Run::SBend).ok_or(NO_AXIS)?;
    let (straight, _) = gaps(layout, Run::Straight).ok_or(NO_AXIS)?;
    let two_arcs = two_arcs_gap(layout);
    let edge = layout.height_mm() - layout.insulation_exposed_mm;
    let slices = level_slices(layout, edge);
    Ok(SolidGap {
        edge_above_start_mm: edge,
        tube_end_above_start_mm: edge - layout.sct_over_semicon_mm,
        solid_sbend_mm: sbend.gap_mm,
        limit_mm: layout.limits.phase_gap_min_mm,
        bound_mm: dressing_bound(layout),
        gap_at_studs_mm: gap_at_studs(layout),
        slice_straight_mm: slices.map(|s| s.0),
        slice_sbend_mm: slices.map(|s| s.1),
        solid_live_live_mm: live.gap_mm,
        solid_straight_mm: straight.gap_mm,
        solid_two_arcs_mm: two_arcs.map(|g| g.gap_mm),
        sbend_at: sbend,
        live_live_at: live,
        two_arcs_at: two_arcs,
    })
}

/// A checked layout always has its axes and gaps; this is never seen.
const NO_AXIS: Refusal = Refusal::FigureOutOfRange("the layout");

/// The judged gap alone: cores as they lie, live zone against all of the
/// neighbour down to its start. Refuses what [`Layout::check`] refuses.
pub fn sbend_gap(layout: &Layout) -> Result<GapAt, Refusal> {
    layout.check()?;
    gaps(layout, Run::SBend).map(|g| g.0).ok_or(NO_AXIS)
}

/// Gap with the cores bent on a former at the least radius; `None` where the
/// arcs do not fit or the radius is not given.
fn two_arcs_gap(layout: &Layout) -> Option<GapAt> {
    let radius = layout.bend_limit_axis_mm()?;
    gaps(layout, Run::TwoArcs(radius)).map(|g| g.0)
}

pub(super) fn gap_at_studs(layout: &Layout) -> f64 {
    layout.box_.stud_pitch_mm - layout.dia.clear_mm
}

/// Most any dressing gives, where there is a bound.
pub(super) fn dressing_bound(layout: &Layout) -> Option<f64> {
    let (spacing_mm, length) = match layout.lean() {
        None => (layout.start_spacing_mm(), layout.height_mm()),
        Some(e) => leaning_spread(layout, e),
    };
    let spread = spread_bound(&SpreadInput {
        spacing_mm,
        radius_axis_mm: layout.bend_limit_axis_mm()?,
        tube_end_above_start_mm: length - layout.insulation_exposed_mm - layout.sct_over_semicon_mm,
        dia_tube_mm: layout.dia.tube_mm,
        dia_other_mm: layout.dia.least(),
    });
    spread.ok()?.bound_mm
}

/// Cores that leave a leaning start leave it side by side too, so the bound holds
/// along the lean: their spacing square to it, and in place of the height the
/// longest core as it lies, and by how much one starts farther along than its
/// neighbour. All of it too long rather than too short: the bound may only say
/// no where no dressing works.
fn leaning_spread(layout: &Layout, e: V3) -> (f64, f64) {
    let (mut spacing, mut ahead) = (0.0f64, 0.0f64);
    for place in [0, 1] {
        let way = sub(layout.start_point(place + 1), layout.start_point(place));
        let along = dot(way, e);
        spacing = spacing.max(norm(add_scaled(way, e, -along)));
        ahead = ahead.max(along.abs());
    }
    let a = layout.lug_insulation_end_to_stud_mm;
    let longest = s_bend_axes(layout).iter().map(|axis| axis.start_arc - a).fold(0.0, f64::max);
    (spacing, longest + ahead)
}

fn level_slices(layout: &Layout, edge: f64) -> Option<(f64, f64)> {
    // The slice speaks of neighbours that stay neighbours and start upright.
    if layout.crosses() || layout.lean().is_some() {
        return None;
    }
    let slices = f13_slices(&SliceInput {
        d_mm: layout.start_spacing_mm(),
        pitch_mm: layout.box_.stud_pitch_mm,
        h_mm: layout.height_mm(),
        dia_outer_mm: layout.dia.tube_mm,
        phase_gap_min_mm: layout.limits.phase_gap_min_mm,
        edge_above_start_mm: edge,
    })
    .ok()?;
    Some((slices.gap_straight_mm, slices.gap_sbend_mm))
}

/// The three cores cut into spans.
pub(super) fn cores<'a>(layout: &Layout, axes: &'a [Axis; 3]) -> [Core<'a>; 3] {
    let (s, d) = (layout.stations(), layout.dia);
    [0, 1, 2].map(|i| {
        let axis: &'a Axis = &axes[i];
        Core { live: live_spans(layout, axis), below: spans(axis, &[(s.L, axis.start_arc, d.below_tube_mm)]) }
    })
}

const PAIRS: [(usize, usize); 3] = [(0, 1), (1, 2), (0, 2)];

fn live_tasks<'a>(cores: &'a [Core<'a>; 3]) -> Vec<Task<'a>> {
    let mut tasks = Vec::new();
    for (i, j) in PAIRS {
        for a in &cores[i].live {
            tasks.extend(cores[j].live.iter().map(|b| Task::new(i + 1, a, j + 1, b)));
        }
    }
    tasks
}

fn below_tasks<'a>(cores: &'a [Core<'a>; 3]) -> Vec<Task<'a>> {
    let mut tasks = Vec::new();
    for (i, j) in PAIRS.into_iter().flat_map(|(i, j)| [(i, j), (j, i)]) {
        for a in &cores[i].live {
            tasks.extend(cores[j].below.iter().map(|b| Task::new(i + 1, a, j + 1, b)));
        }
    }
    tasks
}

/// The judged gap and the gap of the live zones alone.
fn gaps(layout: &Layout, run: Run) -> Option<(GapAt, GapAt)> {
    let axes = axes(layout, run)?;
    let cores = cores(layout, &axes);
    let mut best = Best::below(f64::INFINITY);
    best.search(live_tasks(&cores));
    let live = gap_at(&best)?;
    best.search(below_tasks(&cores));
    Some((gap_at(&best)?, live))
}

/// Whether the gap of a checked layout, its cores lying by `run`, reaches
/// `limit`; much quicker than the gap itself. Two arcs that do not fit reach
/// nothing.
pub(super) fn gap_reaches(layout: &Layout, run: Run, limit: f64) -> bool {
    axes(layout, run).is_some_and(|axes| cores_keep(layout, &cores(layout, &axes), limit))
}

/// The same of cores that are there already.
pub(super) fn cores_keep(layout: &Layout, cores: &[Core<'_>; 3], limit: f64) -> bool {
    // In a layout that is its own mirror image two pairs have the same gap.
    let pairs = if layout.is_its_mirror() { &PAIRS[1..] } else { &PAIRS[..] };
    keeps(cores, pairs, limit)
}

fn gap_at(best: &Best) -> Option<GapAt> {
    let Found { on, to, p, q, arcs } = best.found?;
    let touching = best.signed < TOUCHING_MM;
    Some(GapAt {
        gap_mm: if touching { 0.0 } else { best.signed },
        on_phase: on,
        to_phase: to,
        from_mm: p,
        to_mm: q,
        arc_mm: arcs,
    })
}
