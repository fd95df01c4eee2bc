//! Gaps to what is earthed, rule J16. Plain geometry, needs no source; limits
//! from kit and site.

use super::axis::{Axis, Spot, reach};
use super::layout::{Layout, StartKind};
use super::refusal::Refusal;
use super::route::s_bend_axes;
use super::span::{Span, live_spans};
use super::vec3::{V3, add_scaled, dot};
use super::verdict::{Verdict, reaches};
use serde::Serialize;

/// Where an earthed gap is least.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EarthedAt {
    pub phase: usize,
    /// Point on the core (or on the ring) that is nearest.
    pub point_mm: [f64; 3],
    /// Arc length of its station from the stud.
    pub arc_mm: f64,
}

/// Earthed gaps, each the least of the three phases; `None` where the box
/// measure is not given (walls) or does not apply (crutch).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EarthedGaps {
    /// Edge on the axis, above the plate (crutch) or the top of the entry.
    pub edge_to_plate_or_entry_mm: f64,
    /// Lowest point of the edge ring, above the same; printed.
    pub edge_low_point_mm: f64,
    /// Lowest point of the tube's lower end ring, above the same.
    pub tube_to_plate_or_entry_mm: f64,
    /// Along the core; crutch in the box only.
    pub edge_to_crutch_mm: Option<f64>,
    pub wall_gap_mm: Option<f64>,
    pub cover_gap_mm: Option<f64>,
    pub back_gap_mm: Option<f64>,
    pub verdict: Verdict,
    pub at: EarthedPlaces,
}

/// Phase and place of each figure of [`EarthedGaps`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EarthedPlaces {
    pub edge_to_plate_or_entry: EarthedAt,
    pub edge_low_point: EarthedAt,
    pub tube_to_plate_or_entry: EarthedAt,
    pub edge_to_crutch: Option<EarthedAt>,
    pub wall_gap: Option<EarthedAt>,
    pub cover_gap: Option<EarthedAt>,
    pub back_gap: Option<EarthedAt>,
}

/// Earthed gaps of the cores as they lie. Refuses what [`Layout::check`] refuses.
pub fn earthed_gaps(layout: &Layout) -> Result<EarthedGaps, Refusal> {
    layout.check()?;
    let axes = s_bend_axes(layout);
    let live = axes.each_ref().map(|axis| live_spans(layout, axis));
    Ok(earthed_of(layout, &axes, live.each_ref().map(Vec::as_slice)))
}

const DOWN: V3 = [0.0, 0.0, -1.0];

/// A least gap and where it is.
type Least = (f64, EarthedAt);

/// The heights of J16, which more box height cures: edge, edge ring and tube
/// end over plate or entry, edge to crutch along the core.
struct Heights {
    edge: Least,
    edge_ring: Least,
    tube_ring: Least,
    crutch: Option<Least>,
}

fn heights(layout: &Layout, axes: &[Axis; 3]) -> Heights {
    let stations = layout.stations();
    let floor = match layout.start.kind {
        StartKind::Crutch => 0.0,
        StartKind::Entries => layout.start_height_mm(),
    };
    let ring = layout.dia.tube_mm / 2.0;
    let (edges, ends) =
        (axes.each_ref().map(|a| a.at(stations.B)), axes.each_ref().map(|a| a.at(stations.L)));
    let low = |spots: &[Spot; 3], arc: f64, r: f64| {
        least(spots.iter().map(|spot| {
            let point = ring_point(spot.p, spot.t, r, DOWN);
            (point[2] - floor, point, arc)
        }))
    };
    let at_crutch = |axis: &Axis| (axis.start_arc - stations.B, axis.at(axis.start_arc).p, axis.start_arc);
    Heights {
        edge: low(&edges, stations.B, 0.0),
        edge_ring: low(&edges, stations.B, ring),
        tube_ring: low(&ends, stations.L, ring),
        crutch: (layout.start.kind == StartKind::Crutch).then(|| least(axes.iter().map(at_crutch))),
    }
}

impl Heights {
    fn pass(&self, layout: &Layout) -> bool {
        let l = &layout.limits;
        reaches(self.edge.0, l.edge_to_plate_min_mm)
            && reaches(self.tube_ring.0, l.earth_gap_min_mm)
            && self.crutch.is_none_or(|gap| reaches(gap.0, l.edge_to_crutch_min_mm))
    }
}

/// Whether edge and tube end stand high enough and the edge is far enough from
/// the crutch: the part of J16 that more box height can cure.
pub(super) fn heights_pass(layout: &Layout, axes: &[Axis; 3]) -> bool {
    heights(layout, axes).pass(layout)
}

/// Earthed gaps of a checked layout, its axes and live zones being there already.
pub(super) fn earthed_of(layout: &Layout, axes: &[Axis; 3], live: [&[Span<'_>]; 3]) -> EarthedGaps {
    let heights = heights(layout, axes);
    let b = &layout.box_;
    let side = |n: V3, plane: f64| towards_plane(live, n, plane);
    let wall = b.stud_to_wall_mm.map(|w| {
        let plane = b.stud_pitch_mm + w;
        let (left, right) = (side([-1.0, 0.0, 0.0], plane), side([1.0, 0.0, 0.0], plane));
        if right.0 < left.0 - 1e-9 { right } else { left }
    });
    let cover = b.stud_to_cover_mm.map(|w| side([0.0, 1.0, 0.0], w));
    let back = b.stud_to_back_mm.map(|w| side([0.0, -1.0, 0.0], w));

    let walls_pass =
        [wall, cover, back].into_iter().flatten().all(|gap| reaches(gap.0, layout.limits.earth_gap_min_mm));
    let pass = walls_pass && heights.pass(layout);
    let Heights { edge, edge_ring, tube_ring, crutch } = heights;
    EarthedGaps {
        edge_to_plate_or_entry_mm: edge.0,
        edge_low_point_mm: edge_ring.0,
        tube_to_plate_or_entry_mm: tube_ring.0,
        edge_to_crutch_mm: crutch.map(|g| g.0),
        wall_gap_mm: wall.map(|g| g.0),
        cover_gap_mm: cover.map(|g| g.0),
        back_gap_mm: back.map(|g| g.0),
        verdict: if pass { Verdict::Pass } else { Verdict::Block },
        at: EarthedPlaces {
            edge_to_plate_or_entry: edge.1,
            edge_low_point: edge_ring.1,
            tube_to_plate_or_entry: tube_ring.1,
            edge_to_crutch: crutch.map(|g| g.1),
            wall_gap: wall.map(|g| g.1),
            cover_gap: cover.map(|g| g.1),
            back_gap: back.map(|g| g.1),
        },
    }
}

/// Point of a ring of radius `r` square to `t` that lies farthest along `n`.
fn ring_point(p: V3, t: V3, r: f64, n: V3) -> V3 {
    let flat = add_scaled(n, t, -dot(n, t));
    super::vec3::unit(flat).map_or(p, |way| add_scaled(p, way, r))
}

/// Least distance of the live zones from a plane at `plane` along `n`.
fn towards_plane(live: [&[Span<'_>]; 3], n: V3, plane: f64) -> Least {
    least(live.into_iter().map(|spans| {
        let (mut best, mut at) = (f64::INFINITY, None);
        // On a bend gentler than the core is thick the surface is farthest out
        // where the axis runs along the plane or where the span ends. An S-bend
        // runs along an upright plane only at its ends, where samples stand; the
        // curve of a core that leans may do so between them.
        for span in spans {
            for node in &span.nodes {
                let gap = plane - dot(node.p, n) - reach(span.r, node.t, n);
                if gap < best - 1e-9 {
                    (best, at) = (gap, Some((span, node)));
                }
            }
        }
        let Some((span, node)) = at else { return (best, [0.0; 3], 0.0) };
        let (closer, u) = between_samples(span, node.u, n, plane);
        let spot = if closer < best - 1e-9 { span.piece.spot(u) } else { span.piece.spot(node.u) };
        let arc = span.arc(if closer < best - 1e-9 { u } else { node.u });
        let (best, point) = (best.min(closer), ring_point(spot.p, spot.t, span.r, n));
        (best, point, arc)
    }))
}

/// Least distance from the plane round a sample, and where: by thirds.
fn between_samples(span: &Span<'_>, u: f64, n: V3, plane: f64) -> (f64, f64) {
    let gap = |u: f64| {
        let spot = span.piece.spot(u);
        plane - dot(spot.p, n) - reach(span.r, spot.t, n)
    };
    let ends = span.nodes.first().zip(span.nodes.last());
    let step = ends.map_or(0.0, |(a, b)| (b.u - a.u) / (span.nodes.len() - 1).max(1) as f64);
    let inside = |u: f64| ends.map_or(u, |(a, b)| u.max(a.u).min(b.u));
    let (mut low, mut high) = (inside(u - step), inside(u + step));
    while high - low > step * 1e-4 && high > low {
        let (one, other) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if gap(one) < gap(other) { high = other } else { low = one }
    }
    let u = f64::midpoint(low, high);
    (gap(u), u)
}

/// The least of the three phases; of equals the first.
fn least(of: impl Iterator<Item = (f64, V3, f64)>) -> Least {
    let mut best = (f64::INFINITY, EarthedAt { phase: 1, point_mm: [0.0; 3], arc_mm: 0.0 });
    for (i, (gap, point_mm, arc_mm)) in of.enumerate() {
        if gap < best.0 - 1e-9 {
            best = (gap, EarthedAt { phase: i + 1, point_mm, arc_mm });
        }
    }
    best
}
