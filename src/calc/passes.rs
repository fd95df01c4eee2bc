//! At what setting of one measure a rule of the enclosure passes, all else as
//! planned. Plain geometry, needs no source. Least plate to stud is the business
//! of [`least_heights`](super::least_heights).

use super::earthed::heights_pass;
use super::judge::{judge_bends, judge_height, verdicts};
use super::layout::{Layout, StartKind};
use super::refusal::Refusal;
use super::route::s_bend_axes;
use super::verdict::Verdict;

/// A rule of the enclosure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EnclosureRule {
    Height,
    Gap,
    /// Edge and tube end over plate or entry, edge to crutch; walls, cover and
    /// back are cured by none of these measures.
    Earthed,
    /// As the cores lie, without a former.
    Bend,
}

impl EnclosureRule {
    /// Whether a layout passes; a refused layout does not.
    pub fn passes(self, layout: &Layout) -> bool {
        if layout.check().is_err() {
            return false;
        }
        match self {
            Self::Height => judge_height(layout).verdict == Verdict::Pass,
            Self::Gap => verdicts(layout).is_ok_and(|v| v.j15 == Verdict::Pass),
            Self::Earthed => heights_pass(layout, &s_bend_axes(layout)),
            Self::Bend => judge_bends(layout).is_ok_and(|v| v.verdict == Verdict::Pass),
        }
    }
}

/// A measure that the planner may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Down to the tube's cover on the insulation.
    InsulationExposed,
    /// Crutch in the box: down to the plate.
    CrutchHeight,
    /// Single entries: up to the pitch of the studs.
    EntryPitch,
}

/// Width of the coarse steps of the search, mm.
const COARSE_MM: f64 = 10.0;
/// Longest way searched, mm: no measure of a box is longer.
const FARTHEST_MM: f64 = 2000.0;

/// The figure nearest to the planned one, in whole mm, at which the rule passes,
/// the rest as planned: greatest insulated length or crutch height, least entry
/// pitch. `None` where no figure passes or the layout has no such measure; the
/// planned figure itself where the rule passes already. Refuses what no measure
/// cures.
pub fn passes_at(layout: &Layout, rule: EnclosureRule, measure: Measure) -> Result<Option<f64>, Refusal> {
    layout.check_without_height()?;
    let entries = layout.start.kind == StartKind::Entries;
    let (planned, end) = match measure {
        Measure::InsulationExposed => (layout.insulation_exposed_mm, layout.sct_over_insulation_mm.max(1.0)),
        Measure::CrutchHeight if entries => return Ok(None),
        Measure::CrutchHeight => (layout.start.crutch_height_mm.unwrap_or(0.0), 0.0),
        Measure::EntryPitch if !entries => return Ok(None),
        Measure::EntryPitch => (layout.start.entry_pitch_mm.unwrap_or(0.0), layout.box_.stud_pitch_mm),
    };
    let passes = |mm: f64| {
        let mut other = *layout;
        match measure {
            Measure::InsulationExposed => other.insulation_exposed_mm = mm,
            Measure::CrutchHeight => other.start.crutch_height_mm = Some(mm),
            Measure::EntryPitch => other.start.entry_pitch_mm = Some(mm),
        }
        rule.passes(&other)
    };
    if passes(planned) {
        return Ok(Some(planned));
    }
    // The bend below the plate wants a narrower pitch, the one in the box a
    // wider one; closed formulas, so both ways are looked at.
    if (rule, measure) == (EnclosureRule::Bend, Measure::EntryPitch) {
        let narrowest = layout.start.core_dia_mm.min(planned);
        return Ok(nearest(narrowest, end, &passes));
    }
    Ok(nearest(planned, end, &passes))
}

/// Least depth of a crutch below the plate at which the cores bend there no
/// tighter than allowed, as they lie; `None` where no crutch lies below the
/// plate, the least radius is not given, or no depth does for cores that lean.
pub fn bend_depth_mm(layout: &Layout) -> Option<f64> {
    layout.depth_below()?;
    let radius = layout.bend_limit_axis_mm()?;
    if layout.lean().is_none() {
        return Some(std::f64::consts::PI * (radius * layout.step_outside() / 2.0).sqrt());
    }
    let passes = |depth: f64| {
        let mut other = *layout;
        other.start.crutch_below_plate_mm = Some(depth);
        let bends = other.check().ok().and_then(|()| judge_bends(&other).ok());
        bends.and_then(|b| b.outside).is_some_and(|b| b.verdict == Some(Verdict::Pass))
    };
    nearest(1.0, FARTHEST_MM, &passes)
}

/// First whole mm from `from` towards `end` that passes: coarse steps until one
/// does, then fine ones back.
fn nearest(from: f64, end: f64, passes: &impl Fn(f64) -> bool) -> Option<f64> {
    let way = if end >= from { 1.0 } else { -1.0 };
    let (first, last) = if way > 0.0 { (from.ceil(), end.floor()) } else { (from.floor(), end.ceil()) };
    let beyond = |mm: f64| (mm - last) * way > 0.0;
    if beyond(first) {
        return None;
    }
    let (mut before, mut at) = (first - way, first);
    while !passes(at) {
        if at == last || (at - from).abs() > FARTHEST_MM {
            return None;
        }
        before = at;
        at += way * COARSE_MM;
        if beyond(at) {
            at = last;
        }
    }
    // Whole numbers: `before` fails (or lies behind the start), `at` passes.
    while (at - before).abs() > 1.0 {
        let middle = f64::midpoint(at, before).floor();
        if passes(middle) { at = middle } else { before = middle }
    }
    Some(at)
}
