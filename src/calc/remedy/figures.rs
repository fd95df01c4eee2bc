//! Every judged figure of a layout beside its limit.

use super::super::bend::Bend;
use super::super::earthed::earthed_gaps;
use super::super::judge::{judge_bends, judge_height};
use super::super::layout::Layout;
use super::super::refusal::Refusal;
use super::super::solid::{gap_at_studs, sbend_gap};
use super::super::verdict::{Verdict, reaches};
use serde::{Serialize, Serializer};

/// A figure that a rule of the enclosure judges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum JudgedKind {
    /// Plate to stud against what the chain needs.
    Height,
    PhaseGap,
    /// Only where it is short: nothing but another stud pitch cures it.
    PhaseGapAtStuds,
    EdgeAbove,
    TubeAbove,
    EdgeToCrutch,
    Wall,
    Cover,
    Back,
    BendInBox,
    BendOutside,
}

impl JudgedKind {
    /// Name in the public vectors.
    pub fn name(self) -> &'static str {
        match self {
            Self::Height => "J14 height",
            Self::PhaseGap => "J15 phase gap",
            Self::PhaseGapAtStuds => "J15 phase gap at studs",
            Self::EdgeAbove => "J16 edge_to_plate_or_entry",
            Self::TubeAbove => "J16 tube_to_plate_or_entry",
            Self::EdgeToCrutch => "J16 edge_to_crutch",
            Self::Wall => "J16 wall_gap",
            Self::Cover => "J16 cover_gap",
            Self::Back => "J16 back_gap",
            Self::BendInBox => "J19 bend inside_box",
            Self::BendOutside => "J19 bend outside",
        }
    }
}

impl Serialize for JudgedKind {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self.name())
    }
}

/// Actual and limit, mm. Every limit is a least figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedFigure {
    pub kind: JudgedKind,
    pub actual_mm: f64,
    pub limit_mm: f64,
}

impl JudgedFigure {
    pub fn passes(&self) -> bool {
        reaches(self.actual_mm, self.limit_mm)
    }

    /// Below nought where the figure is short.
    pub fn margin_mm(&self) -> f64 {
        self.actual_mm - self.limit_mm
    }

    /// Margin as a share of the limit; no limit counts as far away.
    pub fn relative(&self) -> f64 {
        if self.limit_mm > 0.0 { self.margin_mm() / self.limit_mm } else { f64::INFINITY }
    }
}

/// The judged figures, in the order of the rules. Refuses what
/// [`Layout::check`] refuses, and a layout without a least bending radius.
pub fn judged_figures(layout: &Layout) -> Result<Vec<JudgedFigure>, Refusal> {
    layout.check()?;
    let limits = &layout.limits;
    let mut out = Vec::with_capacity(11);
    let mut add = |kind, actual_mm, limit_mm| out.push(JudgedFigure { kind, actual_mm, limit_mm });
    let height = judge_height(layout);
    add(JudgedKind::Height, height.given_mm, height.needed_mm);
    add(JudgedKind::PhaseGap, sbend_gap(layout)?.gap_mm, limits.phase_gap_min_mm);
    let at_studs = gap_at_studs(layout);
    if !reaches(at_studs, limits.phase_gap_min_mm) {
        add(JudgedKind::PhaseGapAtStuds, at_studs, limits.phase_gap_min_mm);
    }
    let earthed = earthed_gaps(layout)?;
    add(JudgedKind::EdgeAbove, earthed.edge_to_plate_or_entry_mm, limits.edge_to_plate_min_mm);
    add(JudgedKind::TubeAbove, earthed.tube_to_plate_or_entry_mm, limits.earth_gap_min_mm);
    for (kind, gap, limit) in [
        (JudgedKind::EdgeToCrutch, earthed.edge_to_crutch_mm, limits.edge_to_crutch_min_mm),
        (JudgedKind::Wall, earthed.wall_gap_mm, limits.earth_gap_min_mm),
        (JudgedKind::Cover, earthed.cover_gap_mm, limits.earth_gap_min_mm),
        (JudgedKind::Back, earthed.back_gap_mm, limits.earth_gap_min_mm),
    ] {
        if let Some(gap) = gap {
            add(kind, gap, limit);
        }
    }
    let bends = judge_bends(layout)?;
    let radius = layout.bend_limit_axis_mm().ok_or(Refusal::FigureMissing("least bending radius"))?;
    let mut bend = |kind, bend: Option<&Bend>| {
        if let Some(r) = bend.and_then(|b| b.r_sbend_axis_mm) {
            add(kind, r, radius);
        }
    };
    bend(JudgedKind::BendInBox, Some(&bends.inside_box));
    bend(JudgedKind::BendOutside, bends.outside.as_ref());
    Ok(out)
}

/// Whether the bends of a checked layout pass as the cores lie, in the box and
/// below the plate. Closed formulas: the first thing to ask.
pub(super) fn bends_pass(layout: &Layout) -> [bool; 2] {
    let pass = |b: &Bend| b.verdict == Some(Verdict::Pass);
    match judge_bends(layout) {
        Ok(bends) => [pass(&bends.inside_box), bends.outside.as_ref().is_none_or(pass)],
        Err(_) => [false, false],
    }
}
