//! One termination layout: the box, where the cores start, the lengths along
//! the core, the diameters and the limits; and the refusals that hold for all
//! models which take a whole layout.

use super::hermite::has_forward_curve;
use super::places::UPRIGHT;
use super::refusal::Refusal;
use super::vec3::V3;
use serde::Deserialize;

/// Longest single figure a layout may hold, mm. Longer is a typing slip, and
/// the cap keeps every sampled axis small.
pub const LONGEST_MM: f64 = 100_000.0;

/// From here on a lean is refused, degrees from upright: the entry would lie
/// rather than stand, and its heights above the plate would say nothing.
pub const MOST_LEAN_DEG: f64 = 60.0;

/// A layout as typed or read from a vector file. Lengths in mm, angles in
/// degrees. Source: job, kit and site; the models add nothing of their own.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Layout {
    #[serde(rename = "box")]
    pub box_: BoxSize,
    pub start: Start,
    /// Stud number (1, 2, 3 from the left) for the left, middle and right core.
    pub core_to_stud: [i32; 3],
    /// Insulation cut to the centre of the stud, `a`.
    pub lug_insulation_end_to_stud_mm: f64,
    /// Insulation cut to core screen edge, `I`.
    pub insulation_exposed_mm: f64,
    pub sct_over_insulation_mm: f64,
    pub sct_over_semicon_mm: f64,
    /// Core screen left between its edge and the metal screen cut.
    pub semicon_left_mm: f64,
    pub dia: Diameters,
    pub limits: Limits,
}

/// The box: heights and distances from the studs.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct BoxSize {
    /// Inside face of the gland plate to the row of studs, `Z`.
    pub gland_to_stud_mm: f64,
    pub stud_pitch_mm: f64,
    /// Outer stud to side wall. Absent: that gap is not judged.
    #[serde(default)]
    pub stud_to_wall_mm: Option<f64>,
    #[serde(default)]
    pub stud_to_cover_mm: Option<f64>,
    #[serde(default)]
    pub stud_to_back_mm: Option<f64>,
}

/// Where the three cores start.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Start {
    pub kind: StartKind,
    /// Has no default: a job that does not say it is refused.
    #[serde(default)]
    pub arrangement: Option<Arrangement>,
    /// Trefoil only: turn of the bunch from +x (along the studs) towards +y
    /// (the cover); absent = 0, the middle core towards the cover. With studs
    /// counted from the left as seen from the cover, seen from above that is
    /// clockwise: a turn counted anticlockwise from above comes in negative.
    #[serde(default)]
    pub rotation_deg: Option<f64>,
    /// Lean of cable and cores where they pass the plate, from upright. All that
    /// lies below, up to the crutch or the top of the entries, leans so; above,
    /// each core runs in a curve of least bending to its stud. Absent = upright.
    #[serde(default)]
    pub lean_deg: Option<f64>,
    /// Way in plan in which they lean while they rise, from +x towards +y.
    #[serde(default)]
    pub lean_towards_deg: Option<f64>,
    /// Core diameter over its metallic screen, `d`.
    pub core_dia_mm: f64,
    /// Crutch in the box: its height above the plate, `K`.
    #[serde(default)]
    pub crutch_height_mm: Option<f64>,
    /// Entries: pitch in the plate.
    #[serde(default)]
    pub entry_pitch_mm: Option<f64>,
    /// Entries: top of the fitting above the plate.
    #[serde(default)]
    pub entry_height_mm: Option<f64>,
    /// Entries: crutch below the plate; absent = single-core cables.
    #[serde(default)]
    pub crutch_below_plate_mm: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StartKind {
    /// Three cores from one breakout inside the box.
    Crutch,
    /// Three single entries in the plate.
    Entries,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Arrangement {
    Row,
    Trefoil,
}

/// Outside diameters along the core.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Diameters {
    /// Below the stress control tube.
    pub below_tube_mm: f64,
    /// Along the stress control tube.
    pub tube_mm: f64,
    /// Above the tube, up to the stud.
    pub clear_mm: f64,
}

impl Diameters {
    pub(super) fn least(&self) -> f64 {
        self.below_tube_mm.min(self.tube_mm).min(self.clear_mm)
    }
}

/// Limits from kit, cable maker and site.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Limits {
    pub phase_gap_min_mm: f64,
    pub earth_gap_min_mm: f64,
    pub edge_to_plate_min_mm: f64,
    pub edge_to_crutch_min_mm: f64,
    /// Least bending radius of one core; absent: J19 blocks.
    #[serde(default)]
    pub min_bend_core_mm: Option<f64>,
    /// What that radius is measured to; absent counts as the inside of the
    /// bend, the stricter reading.
    #[serde(default)]
    pub min_bend_ref: Option<BendRef>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BendRef {
    Axis,
    Inside,
}

/// Stations as arc lengths from the stud down the core, mm: A insulation cut,
/// U tube upper end, B core screen edge, L tube lower end, M metal screen cut.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[allow(non_snake_case)]
pub struct Stations {
    pub A: f64,
    pub U: f64,
    pub B: f64,
    pub L: f64,
    pub M: f64,
}

impl Layout {
    /// Stations along the core; no refusal, plain sums.
    pub fn stations(&self) -> Stations {
        let a = self.lug_insulation_end_to_stud_mm;
        let edge = a + self.insulation_exposed_mm;
        Stations {
            A: a,
            U: edge - self.sct_over_insulation_mm,
            B: edge,
            L: edge + self.sct_over_semicon_mm,
            M: edge + self.semicon_left_mm,
        }
    }

    /// Height of the start of the cores over the plate, `z0`: crutch, or top
    /// of the entry. A figure that is not given counts as 0 here and is
    /// refused by [`Layout::check`].
    pub fn start_height_mm(&self) -> f64 {
        match self.start.kind {
            StartKind::Crutch => self.start.crutch_height_mm.unwrap_or(0.0),
            StartKind::Entries => self.start.entry_height_mm.unwrap_or(0.0),
        }
    }

    /// Height between the start and the insulation cut, `H`.
    pub fn height_mm(&self) -> f64 {
        self.box_.gland_to_stud_mm - self.lug_insulation_end_to_stud_mm - self.start_height_mm()
    }

    /// Centre distance of neighbours where they start: core diameter at a
    /// crutch, entry pitch at entries.
    pub fn start_spacing_mm(&self) -> f64 {
        match self.start.kind {
            StartKind::Crutch => self.start.core_dia_mm,
            StartKind::Entries => self.start.entry_pitch_mm.unwrap_or(0.0),
        }
    }

    /// Whether any core leaves the order in which it starts.
    pub fn crosses(&self) -> bool {
        self.core_to_stud != [1, 2, 3]
    }

    /// Whether left and right are mirror images of each other; `false` where it
    /// is not plain to see.
    pub(super) fn is_its_mirror(&self) -> bool {
        let straight_on = match self.start.arrangement {
            Some(Arrangement::Trefoil) => self.start.rotation_deg.unwrap_or(0.0) == 0.0,
            Some(Arrangement::Row) | None => true,
        };
        !self.crosses() && self.lean().is_none() && (self.start.kind == StartKind::Entries || straight_on)
    }

    /// Least bending radius to the core's axis, `None` where it is not given.
    pub fn bend_limit_axis_mm(&self) -> Option<f64> {
        let r = self.limits.min_bend_core_mm?;
        Some(match self.limits.min_bend_ref {
            Some(BendRef::Axis) => r,
            Some(BendRef::Inside) | None => r + self.start.core_dia_mm / 2.0,
        })
    }

    /// All refusals of a layout, in their fixed order.
    pub fn check(&self) -> Result<(), Refusal> {
        self.check_start()?;
        let (h, i) = (self.least_height_mm(), self.insulation_exposed_mm);
        if h <= 0.0 {
            return Err(Refusal::NoHeightBetweenStartAndInsulationEnd);
        }
        if i >= h {
            return Err(Refusal::EdgeNotAboveStart);
        }
        if i + self.sct_over_semicon_mm >= h {
            return Err(Refusal::TubeBelowStart);
        }
        self.check_lengths()?;
        match self.lean() {
            Some(e) if !(1..=3).all(|phase| self.has_curves(phase, e)) => Err(Refusal::NoForwardCurve),
            _ => Ok(()),
        }
    }

    /// Whether a leaning core can run forward all the way, in the box and from a
    /// crutch below the plate.
    fn has_curves(&self, phase: usize, e: V3) -> bool {
        let place = self.place_of(phase);
        let below = self.depth_below().is_none_or(|depth| {
            has_forward_curve(self.bunch_point(place, -depth), e, self.plate_point(place), e)
        });
        below && has_forward_curve(self.start_point(place), e, self.cut_point(phase), UPRIGHT)
    }

    /// The refusals that no box height cures.
    pub(super) fn check_without_height(&self) -> Result<(), Refusal> {
        self.check_start()?;
        self.check_lengths()
    }

    fn check_start(&self) -> Result<(), Refusal> {
        self.check_finite()?;
        let s = &self.start;
        if let Some(lean) = s.lean_deg {
            if !(0.0..MOST_LEAN_DEG).contains(&lean) {
                return Err(Refusal::LeanRange);
            }
            if lean > 0.0 && s.lean_towards_deg.is_none() {
                return Err(Refusal::FigureMissing("direction of the lean"));
            }
        }
        let needs_bunch = s.kind == StartKind::Crutch || s.crutch_below_plate_mm.is_some();
        if needs_bunch && s.arrangement.is_none() {
            return Err(Refusal::ArrangementNotStated);
        }
        match s.kind {
            StartKind::Crutch => {
                let k = s.crutch_height_mm.ok_or(Refusal::FigureMissing("crutch height"))?;
                if k < 0.0 {
                    return Err(Refusal::CrutchBelowPlateNeedsSingleEntries);
                }
            }
            StartKind::Entries => {
                let top = s.entry_height_mm.ok_or(Refusal::FigureMissing("entry height"))?;
                if top < 0.0 {
                    return Err(Refusal::EntryHeightNegative);
                }
                if s.crutch_below_plate_mm.is_some_and(|depth| depth <= 0.0) {
                    return Err(Refusal::CrutchDepthNotPositive);
                }
                let pitch = s.entry_pitch_mm.ok_or(Refusal::FigureMissing("entry pitch"))?;
                if pitch <= 0.0 {
                    return Err(Refusal::FigureOutOfRange("entry pitch"));
                }
            }
        }
        Ok(())
    }

    fn check_lengths(&self) -> Result<(), Refusal> {
        if self.sct_over_insulation_mm > self.insulation_exposed_mm {
            return Err(Refusal::TubeLongerThanInsulation);
        }
        let mut seen = [false; 3];
        for stud in self.core_to_stud {
            let slot = usize::try_from(stud).ok().and_then(|n| seen.get_mut(n.wrapping_sub(1)));
            match slot {
                Some(slot) if !*slot => *slot = true,
                _ => return Err(Refusal::CoreToStudNotAPermutation),
            }
        }
        let above_zero = [
            (self.box_.stud_pitch_mm, "stud pitch"),
            (self.start.core_dia_mm, "core diameter"),
            (self.insulation_exposed_mm, "insulation exposed"),
            (self.dia.below_tube_mm, "diameter below the tube"),
            (self.dia.tube_mm, "diameter along the tube"),
            (self.dia.clear_mm, "diameter above the tube"),
        ];
        let not_below_zero = [
            (self.lug_insulation_end_to_stud_mm, "insulation cut to stud"),
            (self.sct_over_insulation_mm, "tube over the insulation"),
            (self.sct_over_semicon_mm, "tube over the core screen"),
            (self.semicon_left_mm, "core screen left"),
            (self.limits.min_bend_core_mm.unwrap_or(0.0), "least bending radius"),
        ];
        if let Some((_, what)) = above_zero.iter().find(|(v, _)| *v <= 0.0) {
            return Err(Refusal::FigureOutOfRange(what));
        }
        if let Some((_, what)) = not_below_zero.iter().find(|(v, _)| *v < 0.0) {
            return Err(Refusal::FigureOutOfRange(what));
        }
        Ok(())
    }

    fn check_finite(&self) -> Result<(), Refusal> {
        let (b, s, l) = (&self.box_, &self.start, &self.limits);
        let some = |v: Option<f64>| v.unwrap_or(0.0);
        let all = [
            (b.gland_to_stud_mm, "gland plate to stud"),
            (b.stud_pitch_mm, "stud pitch"),
            (some(b.stud_to_wall_mm), "stud to wall"),
            (some(b.stud_to_cover_mm), "stud to cover"),
            (some(b.stud_to_back_mm), "stud to back wall"),
            (some(s.rotation_deg), "rotation of the bunch"),
            (some(s.lean_deg), "lean"),
            (some(s.lean_towards_deg), "direction of the lean"),
            (s.core_dia_mm, "core diameter"),
            (some(s.crutch_height_mm), "crutch height"),
            (some(s.entry_pitch_mm), "entry pitch"),
            (some(s.entry_height_mm), "entry height"),
            (some(s.crutch_below_plate_mm), "crutch below the plate"),
            (self.lug_insulation_end_to_stud_mm, "insulation cut to stud"),
            (self.insulation_exposed_mm, "insulation exposed"),
            (self.sct_over_insulation_mm, "tube over the insulation"),
            (self.sct_over_semicon_mm, "tube over the core screen"),
            (self.semicon_left_mm, "core screen left"),
            (self.dia.below_tube_mm, "diameter below the tube"),
            (self.dia.tube_mm, "diameter along the tube"),
            (self.dia.clear_mm, "diameter above the tube"),
            (l.phase_gap_min_mm, "least gap between phases"),
            (l.earth_gap_min_mm, "least gap to earth"),
            (l.edge_to_plate_min_mm, "least edge to plate"),
            (l.edge_to_crutch_min_mm, "least edge to crutch"),
            (some(l.min_bend_core_mm), "least bending radius"),
        ];
        in_range(&all)
    }
}

/// Refuses the first figure that is not a number or absurdly large.
pub(super) fn in_range(all: &[(f64, &'static str)]) -> Result<(), Refusal> {
    match all.iter().find(|(v, _)| !v.is_finite() || v.abs() > LONGEST_MM) {
        Some((_, what)) => Err(Refusal::FigureOutOfRange(what)),
        None => Ok(()),
    }
}
