//! What the enclosure drawing needs, from the judged layout: outlines of the
//! cores in elevation and the end points of the least gaps.

use super::context::Geometry;
use super::sheet::Sheet;
use crate::calc;

/// Points are (x along the studs, z above the plate), mm.
pub struct Picture {
    pub gland_to_stud: f64,
    pub stud_pitch: f64,
    pub stud_to_wall: f64,
    pub plate_thickness: f64,
    pub core_dia: f64,
    pub cable_dia: f64,
    pub crutch_height: Option<f64>,
    pub crutch_below: Option<f64>,
    pub entry_height: Option<f64>,
    pub entry_pitch: Option<f64>,
    /// Sheath cut of single-core cables above the plate.
    pub sheath_cut: f64,
    pub phases: Vec<PicturePhase>,
    /// Ends of the least gap between phases.
    pub gap: ([f64; 2], [f64; 2]),
    /// Lowest point of the lowest tube end.
    pub tube_low: [f64; 2],
    /// Point of the live length nearest a side wall.
    pub wall: Option<[f64; 2]>,
    /// Semicon edge and lower tube end on the straightest core.
    pub edge_height: f64,
    pub lower_height: f64,
}

pub struct PicturePhase {
    pub number: usize,
    pub zones: Vec<Zone>,
    /// Letter, and (x, z, diameter there).
    pub stations: Vec<(char, [f64; 3])>,
}

/// A length of one diameter, as the outline of its side view.
pub struct Zone {
    pub name: &'static str,
    pub outline: Vec<[f64; 2]>,
}

/// The picture of a layout that was judged; nothing where it could not be.
pub fn picture(sheet: &Sheet) -> Option<Picture> {
    let geometry = sheet.geometry.as_deref()?;
    let layout = &geometry.layout;
    let gap = &geometry.judged.j15.gap.sbend_at;
    let earthed = &geometry.judged.j16.at;
    let flat = |p: [f64; 3]| [p[0], p[2]];
    let stations = layout.stations();
    Some(Picture {
        gland_to_stud: layout.box_.gland_to_stud_mm,
        stud_pitch: layout.box_.stud_pitch_mm,
        stud_to_wall: layout.box_.stud_to_wall_mm.unwrap_or(layout.box_.stud_pitch_mm),
        plate_thickness: sheet.number("enclosure.plate.thickness").unwrap_or(4.0),
        core_dia: layout.start.core_dia_mm,
        cable_dia: sheet.number("cable.overall_diameter").unwrap_or(layout.start.core_dia_mm * 2.6),
        crutch_height: layout.start.crutch_height_mm,
        crutch_below: layout.start.crutch_below_plate_mm,
        entry_height: layout.start.entry_height_mm,
        entry_pitch: layout.start.entry_pitch_mm,
        sheath_cut: sheet
            .number("layout.sheath_cut_above_plate")
            .or(layout.start.entry_height_mm)
            .unwrap_or_default(),
        phases: (1..=3).filter_map(|n| phase(geometry, sheet, n)).collect(),
        gap: (flat(gap.from_mm), flat(gap.to_mm)),
        tube_low: flat(earthed.tube_to_plate_or_entry.point_mm),
        wall: earthed.wall_gap.as_ref().map(|at| flat(at.point_mm)),
        edge_height: layout.box_.gland_to_stud_mm - stations.B,
        lower_height: layout.box_.gland_to_stud_mm - stations.L,
    })
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
            let (mut one, mut other) = (Vec::new(), Vec::new());
            for calc::CourseSpot { point_mm: p, direction: t } in calc::course(layout, number, &arcs).ok()? {
                // Square to the core in the plane of the drawing.
                let length = (t[0] * t[0] + t[2] * t[2]).sqrt().max(1e-9);
                let (nx, nz) = (-t[2] / length * dia / 2.0, t[0] / length * dia / 2.0);
                one.push([p[0] + nx, p[2] + nz]);
                other.push([p[0] - nx, p[2] - nz]);
            }
            other.reverse();
            one.extend(other);
            Some(Zone { name, outline: one })
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
        .map(|((letter, arc), spot)| (*letter, [spot.point_mm[0], spot.point_mm[2], dia_at(*arc)]))
        .collect();
    Some(PicturePhase { number, zones, stations })
}
