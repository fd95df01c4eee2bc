//! How far the box found on site may differ from the plan, each measure alone,
//! before a verdict of J14, J15, J16 or J19 gets worse than in the plan. Plain
//! geometry, needs no source. Two measures off at once are not covered, and
//! inside the window an acceptance stays an acceptance though its gap shrinks.

use super::earthed::earthed_gaps;
use super::judge::{Verdicts, any_worse, verdicts};
use super::layout::Layout;
use super::refusal::Refusal;
use super::verdict::{SLACK_MM, Verdict};
use serde::{Deserialize, Serialize};

/// How far above the plan greatest figures are looked for, mm.
pub const SEARCH_ABOVE_MM: f64 = 200.0;
/// Width of the outward steps, mm.
const STEP_MM: f64 = 10.0;
/// So far from the plan no real box lies; the steps grow to a tenth of the way,
/// or a slip of typing would cost thousands of them.
const FAR_MM: f64 = 1000.0;

#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SiteWindowInput {
    pub layout: Layout,
    /// The acceptances that have been given.
    #[serde(default)]
    pub accepted: Vec<Verdict>,
}

/// Least and greatest box measures, whole mm unless not even the next whole mm
/// holds: then the planned figure. `_by`: the rules that get worse one mm
/// further, or the code of the refusal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiteWindow {
    /// In the plan.
    pub verdicts: Verdicts,
    /// Gland plate to studs.
    pub z_min_mm: f64,
    pub z_min_by: Vec<&'static str>,
    /// `None`: nothing gets worse within [`SEARCH_ABOVE_MM`].
    pub z_max_mm: Option<f64>,
    pub z_max_by: Vec<&'static str>,
    /// Stud pitch.
    pub p_min_mm: f64,
    pub p_min_by: Vec<&'static str>,
    pub p_max_mm: Option<f64>,
    pub p_max_by: Vec<&'static str>,
    /// Stud to wall, cover and back; `None` where the plan does not give them.
    pub wall_min_mm: Option<f64>,
    pub cover_min_mm: Option<f64>,
    pub back_min_mm: Option<f64>,
}

/// The window of a plan. Refuses what [`Layout::check`] refuses, and a plan
/// with a block or with an acceptance that has not been given.
pub fn site_window(i: &SiteWindowInput) -> Result<SiteWindow, Refusal> {
    let layout = &i.layout;
    let plan = verdicts(layout)?;
    let stands = |v: Verdict| v == Verdict::Pass || (v != Verdict::Block && i.accepted.contains(&v));
    if !plan.by_rule().iter().all(|(_, v)| stands(*v)) {
        return Err(Refusal::PlanNotAccepted);
    }
    let (z, p) = (layout.box_.gland_to_stud_mm, layout.box_.stud_pitch_mm);
    let height = |mm: f64| {
        let mut other = *layout;
        other.box_.gland_to_stud_mm = mm;
        other
    };
    let pitch = |mm: f64| {
        let mut other = *layout;
        other.box_.stud_pitch_mm = mm;
        other
    };
    let (z_min_mm, z_min_by) = least(z, &plan, height);
    let (z_max_mm, z_max_by) = greatest(z, &plan, height);
    let (p_min_mm, p_min_by) = least(p, &plan, pitch);
    let (p_max_mm, p_max_by) = greatest(p, &plan, pitch);
    let gaps = earthed_gaps(layout)?;
    let side = |distance: Option<f64>, gap: Option<f64>| {
        let exact = distance? - (gap? - layout.limits.earth_gap_min_mm);
        Some((exact - SLACK_MM).ceil().min(distance?))
    };
    Ok(SiteWindow {
        verdicts: plan,
        z_min_mm,
        z_min_by,
        z_max_mm,
        z_max_by,
        p_min_mm,
        p_min_by,
        p_max_mm,
        p_max_by,
        wall_min_mm: side(layout.box_.stud_to_wall_mm, gaps.wall_gap_mm),
        cover_min_mm: side(layout.box_.stud_to_cover_mm, gaps.cover_gap_mm),
        back_min_mm: side(layout.box_.stud_to_back_mm, gaps.back_gap_mm),
    })
}

/// Least figure, and what gets worse below it. A box of nothing is refused, so
/// there is always one.
fn least(planned: f64, plan: &Verdicts, at: impl Fn(f64) -> Layout) -> (f64, Vec<&'static str>) {
    let (good, bad) = outward(planned.ceil(), -1.0, f64::INFINITY, |mm| any_worse(&at(mm), plan));
    (good.min(planned), worse_rules(&at(bad), plan))
}

/// Greatest figure, and what gets worse above it.
fn greatest(planned: f64, plan: &Verdicts, at: impl Fn(f64) -> Layout) -> (Option<f64>, Vec<&'static str>) {
    let (good, bad) = outward(planned.floor(), 1.0, SEARCH_ABOVE_MM, |mm| any_worse(&at(mm), plan));
    if bad.is_infinite() {
        return (None, Vec::new());
    }
    (Some(good.max(planned)), worse_rules(&at(bad), plan))
}

/// Last whole mm from `from` that is not worse, and the next, which is; the
/// next is infinite where nothing gets worse within `most`.
fn outward(from: f64, way: f64, most: f64, worse: impl Fn(f64) -> bool) -> (f64, f64) {
    let mut width = STEP_MM;
    let (mut good, mut bad) = (from, from + way * width);
    while !worse(bad) {
        good = bad;
        let gone = (good - from).abs();
        if gone >= FAR_MM {
            width = (gone / 10.0).floor();
        }
        if gone + width > most {
            return (good, f64::INFINITY);
        }
        bad = good + way * width;
    }
    while width > 1.0 {
        let half = (width / 2.0).floor();
        let middle = good + way * half;
        if worse(middle) {
            (bad, width) = (middle, half);
        } else {
            (good, width) = (middle, width - half);
        }
    }
    (good, bad)
}

/// Codes of the rules that are worse than in the plan, or of the refusal.
fn worse_rules(layout: &Layout, plan: &Verdicts) -> Vec<&'static str> {
    match verdicts(layout) {
        Err(refusal) => vec![refusal.code()],
        Ok(now) => now
            .by_rule()
            .iter()
            .zip(plan.by_rule())
            .filter(|((_, now), (_, plan))| now.rank() > plan.rank())
            .map(|((rule, _), _)| *rule)
            .collect(),
    }
}
