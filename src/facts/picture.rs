//! What the enclosure drawings show, taken from the judged layout: the cores as
//! bodies in space, the end points of the least gaps, and the sections of the
//! bodies at a height.

use super::context::Geometry;
use super::sheet::Sheet;
use crate::calc::{self, CourseSpot, EarthedAt, GapAt};

/// Points are x along the studs, y towards the cover, z above the plate, mm.
pub struct Picture {
    pub gland_to_stud: f64,
    pub stud_pitch: f64,
    pub stud_to_wall: f64,
    /// `None` where the job does not say: the side view then ends in the air.
    pub stud_to_cover: Option<f64>,
    pub stud_to_back: Option<f64>,
    pub plate_thickness: f64,
    pub core_dia: f64,
    pub cable_dia: f64,
    pub crutch_height: Option<f64>,
    pub crutch_below: Option<f64>,
    pub entry_height: Option<f64>,
    pub entry_pitch: Option<f64>,
    /// How far cable and cores run aside for one mm of rise where they pass the
    /// plate: along the studs, and towards the cover. Nought where they stand.
    pub aside: [f64; 2],
    /// Sheath cut of single-core cables above the plate.
    pub sheath_cut: f64,
    pub phases: Vec<PicturePhase>,
    /// The least gaps, the judged one between phases first.
    pub gaps: Vec<PictureGap>,
    /// Semicon edge and lower tube end on the straightest core.
    pub edge_height: f64,
    pub lower_height: f64,
}

pub struct PicturePhase {
    pub number: usize,
    pub zones: Vec<Zone>,
    /// Letter, point on the axis, diameter there.
    pub stations: Vec<(char, [f64; 3], f64)>,
}

/// A length of one diameter along a core.
pub struct Zone {
    pub name: &'static str,
    pub dia: f64,
    axis: Vec<CourseSpot>,
}

/// The plane of a view: which coordinate runs across the paper; up is z.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Across {
    /// Along the studs, seen from the cover.
    Studs,
    /// From the back to the cover, seen from the right.
    Depth,
}

/// What a gap leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GapTo {
    Phase,
    Plate,
    Wall,
    Cover,
    Back,
}

/// One least gap: its two ends, its phases and how far from the stud they lie.
pub struct PictureGap {
    pub to: GapTo,
    pub from_mm: [f64; 3],
    pub to_mm: [f64; 3],
    /// Phase and distance from the stud along its core.
    pub ends: Vec<(usize, f64)>,
    /// Facts: the figure and its limit.
    pub figure: &'static str,
    pub limit: &'static str,
}

impl PictureGap {
    /// Mean height above the plate.
    pub fn height(&self) -> f64 {
        (self.from_mm[2] + self.to_mm[2]) / 2.0
    }
}

impl Zone {
    /// The outline of its side view.
    pub fn outline(&self, across: Across) -> Vec<[f64; 2]> {
        let pick = match across {
            Across::Studs => 0,
            Across::Depth => 1,
        };
        let (mut one, mut other) = (Vec::new(), Vec::new());
        for CourseSpot { point_mm: p, direction: t } in &self.axis {
            // Square to the core in the plane of the drawing.
            let (along, up) = (t[pick], t[2]);
            let length = (along * along + up * up).sqrt().max(1e-9);
            let (n, nz) = (-up / length * self.dia / 2.0, along / length * self.dia / 2.0);
            one.push([p[pick] + n, p[2] + nz]);
            other.push([p[pick] - n, p[2] - nz]);
        }
        other.reverse();
        one.extend(other);
        one
    }

    /// The level section at a height, as an outline in (x, y): the ellipse that a
    /// leaning tube leaves in a level cut. `None` where the axis is not there.
    fn section(&self, z: f64) -> Option<Vec<[f64; 2]>> {
        let pair = self.axis.windows(2).find(|w| (w[0].point_mm[2] - z) * (w[1].point_mm[2] - z) <= 0.0)?;
        let (a, b) = (pair[0].point_mm, pair[1].point_mm);
        let share = if (b[2] - a[2]).abs() < 1e-9 { 0.0 } else { (z - a[2]) / (b[2] - a[2]) };
        let at = |i: usize| a[i] + (b[i] - a[i]) * share;
        let t = pair[0].direction;
        let lean = (t[0] * t[0] + t[1] * t[1]).sqrt();
        let (ux, uy) = if lean < 1e-9 { (1.0, 0.0) } else { (t[0] / lean, t[1] / lean) };
        let (short, long) = (self.dia / 2.0, self.dia / 2.0 / t[2].abs().max(0.05));
        Some(
            (0..36)
                .map(|i| {
                    let angle = f64::from(i) * std::f64::consts::PI / 18.0;
                    let (s, c) = angle.sin_cos();
                    let (u, v) = (c * long, s * short);
                    [at(0) + ux * u - uy * v, at(1) + uy * u + ux * v]
                })
                .collect(),
        )
    }
}

impl PicturePhase {
    /// Name of the zone cut at a height, and the outline of the cut.
    pub fn section(&self, z: f64) -> Option<(&'static str, Vec<[f64; 2]>)> {
        self.zones.iter().find_map(|zone| Some((zone.name, zone.section(z)?)))
    }
}

/// The picture of a layout that was judged; nothing where it could not be.
pub fn picture(sheet: &Sheet) -> Option<Picture> {
    let geometry = sheet.geometry.as_deref()?;
    let layout = &geometry.layout;
    let stations = layout.stations();
    Some(Picture {
        gland_to_stud: layout.box_.gland_to_stud_mm,
        stud_pitch: layout.box_.stud_pitch_mm,
        stud_to_wall: layout.box_.stud_to_wall_mm.unwrap_or(layout.box_.stud_pitch_mm),
        stud_to_cover: layout.box_.stud_to_cover_mm,
        stud_to_back: layout.box_.stud_to_back_mm,
        plate_thickness: sheet.number("enclosure.plate.thickness").unwrap_or(4.0),
        core_dia: layout.start.core_dia_mm,
        cable_dia: sheet.number("cable.overall_diameter").unwrap_or(layout.start.core_dia_mm * 2.6),
        crutch_height: layout.start.crutch_height_mm,
        crutch_below: layout.start.crutch_below_plate_mm,
        entry_height: layout.start.entry_height_mm,
        entry_pitch: layout.start.entry_pitch_mm,
        aside: layout.aside_of_rise(),
        sheath_cut: sheet
            .number("layout.sheath_cut_above_plate")
            .or(layout.start.entry_height_mm)
            .unwrap_or_default(),
        phases: (1..=3).filter_map(|n| phase(geometry, sheet, n)).collect(),
        gaps: gaps(geometry),
        edge_height: layout.box_.gland_to_stud_mm - stations.B,
        lower_height: layout.box_.gland_to_stud_mm - stations.L,
    })
}

fn gaps(geometry: &Geometry) -> Vec<PictureGap> {
    let layout = &geometry.layout;
    let between: &GapAt = &geometry.judged.j15.gap.sbend_at;
    let earthed = &geometry.judged.j16.at;
    let mut ends = vec![(between.on_phase, between.arc_mm[0]), (between.to_phase, between.arc_mm[1])];
    ends.sort_by_key(|e| e.0);
    let mut out = vec![PictureGap {
        to: GapTo::Phase,
        from_mm: between.from_mm,
        to_mm: between.to_mm,
        ends,
        figure: "phase_gap",
        limit: "kit.phase_gap_least",
    }];
    let mut earth = |to: GapTo, at: Option<&EarthedAt>, foot: [Option<f64>; 3], figure: &'static str| {
        let Some(at) = at else { return };
        let mut to_mm = at.point_mm;
        for (slot, plane) in to_mm.iter_mut().zip(foot) {
            *slot = plane.unwrap_or(*slot);
        }
        out.push(PictureGap {
            to,
            from_mm: at.point_mm,
            to_mm,
            ends: vec![(at.phase, at.arc_mm)],
            figure,
            // Over the plate the edge keeps a height of its own, and the tube with it.
            limit: if to == GapTo::Plate { "tube_above_plate_least" } else { "kit.earth_gap_least" },
        });
    };
    let floor = layout.start.entry_height_mm.unwrap_or(0.0);
    earth(GapTo::Plate, Some(&earthed.tube_to_plate_or_entry), [None, None, Some(floor)], "tube_above_plate");
    let half = layout.box_.stud_pitch_mm + layout.box_.stud_to_wall_mm.unwrap_or(0.0);
    let wall = earthed.wall_gap.as_ref();
    let plane = wall.map(|at| half.copysign(at.point_mm[0]));
    earth(GapTo::Wall, wall, [plane, None, None], "wall_gap");
    earth(GapTo::Cover, earthed.cover_gap.as_ref(), [None, layout.box_.stud_to_cover_mm, None], "cover_gap");
    let back = layout.box_.stud_to_back_mm.map(|b| -b);
    earth(GapTo::Back, earthed.back_gap.as_ref(), [None, back, None], "back_gap");
    out
}

fn phase(geometry: &Geometry, sheet: &Sheet, number: usize) -> Option<PicturePhase> {
    let layout = &geometry.layout;
    let s = layout.stations();
    let tail = geometry.judged.tail_mm[number - 1];
    let zones = [
        ("clear", 0.0, s.U, layout.dia.clear_mm),
        ("below", s.L, tail, layout.dia.below_tube_mm),
        ("tube", s.U, s.L, layout.dia.tube_mm),
    ];
    let zones = zones
        .into_iter()
        .filter(|(_, from, to, _)| to > from)
        .filter_map(|(name, from, to, dia)| {
            let steps = (((to - from) / 8.0).ceil() as usize).clamp(1, 400);
            let arcs: Vec<f64> = (0..=steps).map(|i| from + (to - from) * i as f64 / steps as f64).collect();
            Some(Zone { name, dia, axis: calc::course(layout, number, &arcs).ok()? })
        })
        .collect();
    let dia_at = |arc: f64| {
        if arc < s.U {
            layout.dia.clear_mm
        } else if arc <= s.L {
            layout.dia.tube_mm
        } else {
            layout.dia.below_tube_mm
        }
    };
    let marks: Vec<(char, f64)> = [('A', s.A), ('U', s.U), ('B', s.B), ('L', s.L)]
        .into_iter()
        .chain(sheet.number("ring_from_stud").map(|arc| ('R', arc)))
        .collect();
    let arcs: Vec<f64> = marks.iter().map(|(_, arc)| *arc).collect();
    let points = calc::course(layout, number, &arcs).ok()?;
    let stations = marks
        .iter()
        .zip(points)
        .map(|((letter, arc), spot)| (*letter, spot.point_mm, dia_at(*arc)))
        .collect();
    Some(PicturePhase { number, zones, stations })
}
