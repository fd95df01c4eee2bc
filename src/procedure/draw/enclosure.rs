//! The box in elevation along the row of studs, the cores in it as they lie,
//! the tubes and the least gaps where they are.

use super::canvas::Canvas;
use super::scale;
use crate::facts::{Picture, Sheet, picture};
use crate::procedure::pack::Drawing;

/// The whole page, or the small copy of the summary.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Size {
    Page,
    Small,
}

struct View<'a> {
    c: Canvas,
    picture: &'a Picture,
    k: f64,
    x0: f64,
    top: f64,
    size: Size,
}

impl View<'_> {
    /// Whether a height is in the view: the small copy stops under the plate.
    fn shows(&self, z: f64) -> bool {
        self.size == Size::Page || z > -32.0
    }

    /// Paper point of (x along the studs, z above the plate).
    fn at(&self, x: f64, z: f64) -> [f64; 2] {
        [self.x0 + x * self.k, self.top + (self.picture.gland_to_stud - z) * self.k]
    }

    fn font(&self) -> f64 {
        9.0
    }
}

pub(super) fn drawing(sheet: &Sheet, size: Size) -> Option<Drawing> {
    let picture = picture(sheet)?;
    let half_width = picture.stud_pitch + picture.stud_to_wall;
    // The small copy stops under the plate: what lies in the box decides.
    let below = match (size, picture.crutch_below) {
        (Size::Page, Some(depth)) => depth + 35.0,
        _ => 40.0,
    };
    let above = 32.0;
    let (room_w, room_h, margin) = match size {
        Size::Page => (112.0, 168.0, 26.0),
        Size::Small => (70.0, 62.0, 16.0),
    };
    let (kw, by_width) = scale(2.0 * half_width, room_w);
    let (kh, by_height) = scale(picture.gland_to_stud + below + above, room_h);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let x0 = margin + half_width * k;
    let mut v = View { c: Canvas::default(), picture: &picture, k, x0, top: 4.0 + above * k, size };
    shell(&mut v, half_width, above, below);
    cores(&mut v);
    studs(&mut v);
    let right = x0 + half_width * k + 4.0;
    let labels = gaps(&mut v, sheet, half_width, right);
    heights(&mut v, sheet, half_width);
    let bottom = v.top + (picture.gland_to_stud + below) * k;
    let bar = if k < 0.22 { 200.0 } else { 100.0 };
    v.c.scale_bar(x0 - bar / 2.0 * k, bottom + 4.0, k, bar);
    let width = match size {
        Size::Page => 178.0,
        Size::Small => right + 48.0,
    };
    let id = if size == Size::Page { "box" } else { "box-small" };
    Some(Drawing {
        id: id.into(),
        title: "The box in elevation, seen from the cover".into(),
        scale: name,
        width_mm: (width * 10.0_f64).round() / 10.0,
        height_mm: ((bottom + 12.0) * 10.0).round() / 10.0,
        alt: format!("Three cores from {} to the studs, stress control tubes hatched. {labels}", if picture.entry_height.is_some() { "three entries in the gland plate" } else { "the crutch inside the box" }),
        shapes: v.c.shapes,
        table: None,
        notes: vec![
            "The whole surface of a stress control tube counts as live, down to its lower end L.".into(),
            "Cores drawn as they lie in smooth curves; planning figures, the hold point measures. Least gaps are the true distances in space, drawn where they are.".into(),
        ],
    })
}

fn shell(v: &mut View, half: f64, above: f64, below: f64) {
    let [left, top] = v.at(-half, v.picture.gland_to_stud + above);
    let [right, plate] = v.at(half, 0.0);
    v.c.path(&[[left, plate], [left, top], [right, top], [right, plate]], 0.7, "solid");
    let thickness = (v.picture.plate_thickness * v.k).max(1.0);
    v.c.rect(left - 3.0, plate, right + 3.0, plate + thickness, "cross", 0.5);
    if let (Some(height), Some(pitch)) = (v.picture.entry_height, v.picture.entry_pitch) {
        let half_entry = v.picture.core_dia * 0.75;
        for i in [-1.0, 0.0, 1.0] {
            let [a, b] = v.at(i * pitch - half_entry, height);
            let [c, d] = v.at(i * pitch + half_entry, -12.0);
            v.c.rect(a, b, c, d, "pale", 0.4);
        }
        match v.picture.crutch_below {
            Some(depth) if v.size == Size::Page => cable(v, -depth, below),
            Some(_) => {}
            None => single_cables(v, pitch, below),
        }
    } else if let Some(height) = v.picture.crutch_height {
        cable(v, height, below);
    }
}

/// Single-core cables: each up through its own entry to its sheath cut.
fn single_cables(v: &mut View, pitch: f64, below: f64) {
    let half = v.picture.cable_dia / 2.0;
    for i in [-1.0, 0.0, 1.0] {
        let (a, b) = (v.at(i * pitch - half, v.picture.sheath_cut), v.at(i * pitch + half, -below));
        v.c.rect(a[0], a[1], b[0], b[1], "pale", 0.4);
    }
}

/// The cable below its crutch, and the breakout.
fn cable(v: &mut View, crutch: f64, below: f64) {
    let half = v.picture.cable_dia / 2.0;
    let end = -below;
    let (a, b) = (v.at(-half, crutch - 25.0), v.at(half, end));
    v.c.rect(a[0], a[1], b[0], b[1], "pale", 0.4);
    let wide = v.picture.core_dia * 1.6;
    let points =
        [v.at(-half, crutch - 25.0), v.at(-wide, crutch), v.at(wide, crutch), v.at(half, crutch - 25.0)];
    v.c.poly(&points, "grey", 0.4);
}

fn cores(v: &mut View) {
    let picture = v.picture;
    for phase in &picture.phases {
        for zone in &phase.zones {
            let mut outline: Vec<[f64; 2]> =
                zone.outline.iter().filter(|p| v.shows(p[1])).map(|p| v.at(p[0], p[1])).collect();
            outline.dedup();
            let (fill, w) = match zone.name {
                "tube" => ("hatch", 0.45),
                "clear" => ("white", 0.35),
                _ => ("dots", 0.3),
            };
            v.c.poly(&outline, fill, w);
        }
        if v.size == Size::Page {
            for (letter, p) in &phase.stations {
                // Marks of the right-hand core only: three sets would crowd.
                if phase.number == 3 && matches!(*letter, 'A' | 'U' | 'B' | 'L' | 'R') {
                    let at = v.at(p[0], p[1]);
                    let out = v.at(p[0] + p[2] / 2.0 + 3.0, p[1]);
                    v.c.line([at[0] + p[2] / 2.0 * v.k, at[1]], [out[0] + 2.0, out[1]], 0.2, "solid");
                    v.c.text([out[0] + 2.6, out[1]], letter.to_string(), 9.0, true, "start");
                }
            }
        }
    }
}

fn studs(v: &mut View) {
    for (i, label) in [(-1.0, "L1"), (0.0, "L2"), (1.0, "L3")] {
        let at = v.at(i * v.picture.stud_pitch, v.picture.gland_to_stud);
        v.c.circle(at, (8.0 * v.k).max(1.1), "black", 0.3);
        v.c.text([at[0], at[1] - 3.6], label, v.font(), true, "middle");
    }
}

/// Least gaps as arrows, their figures at the right with a leader; returns the
/// same in words.
fn gaps(v: &mut View, sheet: &Sheet, half: f64, right: f64) -> String {
    let mut labels: Vec<([f64; 2], Vec<String>)> = Vec::new();
    let mut spoken = Vec::new();
    let mut note = |v: &mut View, ends: ([f64; 2], [f64; 2]), title: &str, fact: &str, limit: &str| {
        let (from, to) = (v.at(ends.0[0], ends.0[1]), v.at(ends.1[0], ends.1[1]));
        v.c.arrow(from, to, 0.5, "both");
        let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
        labels.push((
            middle,
            vec![title.to_string(), sheet.text(fact).to_string(), format!("(least {})", sheet.text(limit))],
        ));
        spoken.push(format!("{title} {}, least allowed {}.", sheet.text(fact), sheet.text(limit)));
    };
    let picture = v.picture;
    note(v, picture.gap, "phase to phase", "phase_gap", "kit.phase_gap_least");
    let low = picture.tube_low;
    let floor = picture.entry_height.unwrap_or(0.0);
    note(
        v,
        (low, [low[0], floor]),
        if picture.entry_height.is_some() { "tube end to entry" } else { "tube end to plate" },
        "tube_above_plate",
        "kit.earth_gap_least",
    );
    if let Some(wall) = picture.wall {
        let plane = if wall[0] < 0.0 { -half } else { half };
        note(v, (wall, [plane, wall[1]]), "live length to wall", "wall_gap", "kit.earth_gap_least");
    }
    // Labels down the right side in the order of their places, none over another.
    labels.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let mut y = v.top + 6.0;
    for (place, lines) in labels {
        y = y.max(place[1] - 6.0);
        v.c.line(place, [right - 1.0, y], 0.15, "dash");
        v.c.circle(place, 0.6, "black", 0.1);
        for (i, line) in lines.iter().enumerate() {
            v.c.text([right, y + 4.2 * i as f64], line.clone(), v.font(), i == 1, "start");
        }
        y += 16.0;
    }
    spoken.join(" ")
}

/// Heights at the left: plate to stud, plate to edge and tube end.
fn heights(v: &mut View, sheet: &Sheet, half: f64) {
    let left = v.at(-half, 0.0)[0];
    let rows = match v.size {
        Size::Page => vec![
            ("T0", v.picture.gland_to_stud, sheet.text("enclosure.gland_to_stud").to_string()),
            (
                "B",
                v.picture.edge_height,
                format!(
                    "{} mm",
                    crate::units::fixed(v.picture.edge_height, 0, crate::units::Rounding::Nearest)
                ),
            ),
            ("L", v.picture.lower_height, sheet.text("lower_step_above_plate").to_string()),
        ],
        Size::Small => {
            vec![("T0", v.picture.gland_to_stud, sheet.text("enclosure.gland_to_stud").to_string())]
        }
    };
    for (i, (_, z, figure)) in rows.iter().enumerate() {
        let x = left - 5.0 - 7.0 * (rows.len() - 1 - i) as f64;
        let (foot, head) = (v.at(0.0, 0.0)[1], v.at(0.0, *z)[1]);
        v.c.line([x - 1.0, head], [left, head], 0.12, "dot");
        v.c.arrow([x, foot], [x, head], 0.2, "both");
        let middle = (foot + head) / 2.0;
        let length = figure.chars().count() as f64 * 1.9;
        v.c.rect(x - 1.7, middle - length / 2.0, x + 1.7, middle + length / 2.0, "white", 0.0);
        v.c.text_up([x, middle], figure.clone(), 9.0, true);
    }
}
