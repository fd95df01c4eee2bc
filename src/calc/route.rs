//! Where the cores lie: axes by three shapes, stations by arc length from the
//! stud, and tails. Plain geometry, needs no source. The cores lie as they are
//! dressed; these are planning figures.

use super::axis::{Axis, Spot};
use super::layout::{Layout, Stations};
use super::places::{UPRIGHT, at_height};
use super::refusal::Refusal;
use serde::Serialize;

/// How a core is thought to run between its start and the insulation cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Run {
    /// A core as it lies: half a cosine wave; from an entry that leans, the curve
    /// of least bending.
    SBend,
    /// Taut.
    Straight,
    /// Two equal arcs of this radius: bent on a former.
    TwoArcs(f64),
}

/// Axes of the three cores, `None` where two arcs do not fit: to cores that lean
/// they never do.
pub(super) fn axes(layout: &Layout, run: Run) -> Option<[Axis; 3]> {
    Some([axis(layout, 1, run)?, axis(layout, 2, run)?, axis(layout, 3, run)?])
}

fn axis(layout: &Layout, phase: usize, run: Run) -> Option<Axis> {
    let stud = layout.stud(phase);
    let place = layout.place_of(phase);
    let (high, low) = (layout.cut_point(phase), layout.start_point(place));
    let lean = layout.lean();
    let mut axis = Axis::new();
    axis.line(at_height(stud, layout.box_.gland_to_stud_mm), high);
    match (run, lean) {
        (Run::SBend, None) => axis.wave(high, low),
        (Run::SBend, Some(e)) => axis.cubic(high, UPRIGHT, low, e),
        (Run::Straight, _) => axis.line(high, low),
        (Run::TwoArcs(_), Some(_)) => return None,
        (Run::TwoArcs(radius), None) => {
            if !axis.two_arcs(high, low, radius) {
                return None;
            }
        }
    }
    axis.mark_start();
    if let Some(depth) = layout.depth_below() {
        let (plate, bunch) = (layout.plate_point(place), layout.bunch_point(place, -depth));
        axis.line(low, plate);
        match lean {
            None => axis.wave(plate, bunch),
            Some(e) => axis.cubic(plate, e, bunch, e),
        }
    }
    Some(axis)
}

/// The axes of the judged shape; never refused for a checked layout.
pub(super) fn s_bend_axes(layout: &Layout) -> [Axis; 3] {
    axes(layout, Run::SBend).unwrap_or_else(|| [Axis::new(), Axis::new(), Axis::new()])
}

/// Positions and tails of a layout whose cores lie as S-bends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Route {
    #[serde(rename = "H_mm")]
    pub h_mm: f64,
    pub stations_arc_mm: Stations,
    /// Phase 1, 2, 3.
    pub phases: [PhaseRoute; 3],
}

/// One core of a [`Route`]. Points are x, y, z in mm; a station that lies
/// below the start is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(non_snake_case)]
pub struct PhaseRoute {
    pub phase: usize,
    /// Arc from the stud to the crutch (or to the entry of a single core).
    pub tail_mm: f64,
    /// The tail to whole mm, half up, as printed.
    pub tail_print_mm: f64,
    /// Arc from the stud to the crutch or the top of the entry.
    pub start_arc_mm: f64,
    pub A: Option<[f64; 3]>,
    pub U: Option<[f64; 3]>,
    pub B: Option<[f64; 3]>,
    pub L: Option<[f64; 3]>,
    pub M: Option<[f64; 3]>,
    /// Lean of the core at its screen edge, degrees from upright.
    #[serde(rename = "lean_at_B_deg")]
    pub lean_at_b_deg: f64,
}

/// Core axes, stations and tails. Refuses what [`Layout::check`] refuses.
pub fn route(layout: &Layout) -> Result<Route, Refusal> {
    layout.check()?;
    let axes = s_bend_axes(layout);
    let stations = layout.stations();
    let of = |phase: usize| {
        let axis = &axes[phase - 1];
        let at = |arc: f64| (arc <= axis.start_arc).then(|| axis.at(arc).p);
        let edge: Spot = axis.at(stations.B);
        PhaseRoute {
            phase,
            tail_mm: axis.tail,
            tail_print_mm: (axis.tail + 0.5).floor(),
            start_arc_mm: axis.start_arc,
            A: at(stations.A),
            U: at(stations.U),
            B: at(stations.B),
            L: at(stations.L),
            M: at(stations.M),
            lean_at_b_deg: libm::acos(edge.t[2].abs().min(1.0)).to_degrees(),
        }
    };
    Ok(Route { h_mm: layout.height_mm(), stations_arc_mm: stations, phases: [of(1), of(2), of(3)] })
}

/// Where a core (`phase` 1 to 3) lies at an arc length from its stud: x, y, z.
/// For stations that are not in [`Route`], such as the reference ring. `None`
/// below the start, so a ring that is `None` lies below the crutch.
/// Refuses what [`Layout::check`] refuses.
pub fn point_at(layout: &Layout, phase: usize, arc_mm: f64) -> Result<Option<[f64; 3]>, Refusal> {
    layout.check()?;
    if !(1..=3).contains(&phase) || !arc_mm.is_finite() || arc_mm < 0.0 {
        return Err(Refusal::FigureOutOfRange("phase or arc length"));
    }
    let axes = s_bend_axes(layout);
    let axis = &axes[phase - 1];
    Ok((arc_mm <= axis.start_arc).then(|| axis.at(arc_mm).p))
}

/// A point of a core's axis, and the unit vector down the core there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourseSpot {
    pub point_mm: [f64; 3],
    pub direction: [f64; 3],
}

/// Points and directions (down the core) of one core at arc lengths from its
/// stud, the part below the start included; beyond the crutch, the crutch.
/// For drawings. Refuses what [`Layout::check`] refuses.
pub fn course(layout: &Layout, phase: usize, arcs_mm: &[f64]) -> Result<Vec<CourseSpot>, Refusal> {
    layout.check()?;
    if !(1..=3).contains(&phase) || arcs_mm.iter().any(|a| !a.is_finite()) {
        return Err(Refusal::FigureOutOfRange("phase or arc length"));
    }
    let axes = s_bend_axes(layout);
    let axis = &axes[phase - 1];
    Ok(arcs_mm
        .iter()
        .map(|arc| {
            let spot = axis.at(arc.max(0.0));
            CourseSpot { point_mm: spot.p, direction: spot.t }
        })
        .collect())
}
