//! Axes as polylines and the least gap, for the three views: elevation (x, z),
//! side view (y, z), plan (x, y). Plain geometry, needs no source.

use super::layout::Layout;
use super::refusal::Refusal;
use super::route::s_bend_axes;
use super::solid::{GapAt, sbend_gap};
use serde::Serialize;

/// Distance of points along a polyline, mm of arc.
const STRIDE_MM: f64 = 10.0;

/// What the views of a layout are drawn from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drawing {
    /// Phase 1, 2, 3.
    pub axes: Vec<DrawnAxis>,
    /// The judged gap, drawn between its two points.
    pub least_gap: GapAt,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrawnAxis {
    pub phase: usize,
    /// 0, 10, 20 ... from the stud, and the last point.
    pub arc_mm: Vec<f64>,
    pub xyz_mm: Vec<[f64; 3]>,
    /// Stations A, U, B, L, M that lie on the core, for strokes across it.
    pub stations: Vec<DrawnStation>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DrawnStation {
    pub name: char,
    pub arc_mm: f64,
    pub at_mm: [f64; 3],
    /// Unit direction of the axis there, down the core.
    pub direction: [f64; 3],
}

/// Polylines and least gap. Refuses what [`Layout::check`] refuses.
pub fn drawing(layout: &Layout) -> Result<Drawing, Refusal> {
    let least_gap = sbend_gap(layout)?;
    let s = layout.stations();
    let named = [('A', s.A), ('U', s.U), ('B', s.B), ('L', s.L), ('M', s.M)];
    let axes = s_bend_axes(layout)
        .iter()
        .enumerate()
        .map(|(i, axis)| {
            let whole = (axis.tail / STRIDE_MM).ceil() as usize;
            let mut arc_mm: Vec<f64> = (0..whole).map(|k| k as f64 * STRIDE_MM).collect();
            arc_mm.push(axis.tail);
            DrawnAxis {
                phase: i + 1,
                xyz_mm: arc_mm.iter().map(|&arc| axis.at(arc).p).collect(),
                arc_mm,
                stations: named
                    .iter()
                    .filter(|(_, arc)| *arc <= axis.start_arc)
                    .map(|&(name, arc)| {
                        let spot = axis.at(arc);
                        DrawnStation { name, arc_mm: arc, at_mm: spot.p, direction: spot.t }
                    })
                    .collect(),
            }
        })
        .collect();
    Ok(Drawing { axes, least_gap })
}
