//! Three screened connectors on their bushings in elevation: straight cores below
//! the bushing's axis, drains and screens to one earth point. The body is a plain
//! outline of its figures; its sheet governs the shape.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::Drawing;

/// What the view needs, mm; heights are below the bushing's axis T0.
struct View<'a> {
    sheet: &'a Sheet,
    pitch: f64,
    straight: f64,
    straight_least: f64,
    lower: f64,
    ring: f64,
    /// Sheath cut of a single-core cable, crutch of a three-core one.
    foot: f64,
    three: bool,
    body: f64,
    core: f64,
    cable: f64,
    k: f64,
    x0: f64,
    top: f64,
}

impl View<'_> {
    fn at(&self, x: f64, below: f64) -> [f64; 2] {
        [self.x0 + x * self.k, self.top + below * self.k]
    }
}

pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "connector" {
        return None;
    }
    let number = |name: &str| sheet.number(name);
    let pitch = number("enclosure.stud_pitch")?;
    let three = sheet.is_yes("stands_free");
    let foot = number(if three { "layout.tail" } else { "sheath_cut_from_stud" })?;
    let straight = number("layout.straight_below")?;
    let (kw, by_width) = scale(2.0 * pitch + 220.0, 108.0);
    let (kh, by_height) = scale(foot.max(straight) + 260.0, 150.0);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let v = View {
        sheet,
        pitch,
        straight,
        straight_least: number("kit.straight_below")?,
        lower: number("sct_lower_from_stud")?,
        ring: number("ring_from_stud")?,
        foot,
        three,
        body: number("dia_outer_at_edge")?,
        core: number("cable.dia_over_metal_screen")?,
        cable: number("cable.overall_diameter")?,
        k,
        x0: 28.0 + (pitch + 80.0) * k,
        top: 22.0 + 70.0 * k,
    };
    let mut c = Canvas::default();
    // The wall of the tank behind the bushings.
    let half = v.pitch + 80.0;
    let (a, b) = (v.at(-half, -70.0), v.at(half, v.body * 1.5));
    c.rect(a[0], a[1], b[0], b[1], "pale", 0.5);
    let bottom = v.foot.max(v.straight) + 120.0;
    for (i, label) in [(-1.0, "L1"), (0.0, "L2"), (1.0, "L3")] {
        one(&mut c, &v, i * v.pitch, label, bottom);
    }
    if v.three {
        let (a, b) = (v.at(-v.cable / 2.0, v.foot), v.at(v.cable / 2.0, bottom));
        c.rect(a[0], a[1], b[0], b[1], "dots", 0.35);
    }
    let labels = labels(&mut c, &v, half);
    let end = v.at(0.0, bottom)[1];
    c.scale_bar(v.x0 - 50.0 * k, end + 5.0, k, 100.0);
    Some(Drawing {
        id: "connector".into(),
        title: "The three connectors on their bushings".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((end + 14.0).max(labels + 4.0) * 10.0).round() / 10.0,
        alt: format!(
            "Three connectors in elevation, {} between bushings. Straight core below each bushing's axis {}, least {}. Interface {}, {}. Drain eyelets to {}.",
            sheet.text("enclosure.stud_pitch"),
            sheet.text("layout.straight_below"),
            sheet.text("kit.straight_below"),
            sheet.text("kit.interface"),
            sheet.text("kit.current"),
            sheet.text("layout.drain_earth"),
        ),
        shapes: c.shapes,
        table: None,
        notes: vec![
            "The body is drawn as a plain outline of its figures; the connector's own sheet governs shape, parts and order.".into(),
            "The surface is earthed screen once drain and screen are on, and a live part while they are not.".into(),
        ],
    })
}

/// One connector: body, core, sheath, ring R, drain lead.
fn one(c: &mut Canvas, v: &View, x: f64, label: &str, bottom: f64) {
    let band = |c: &mut Canvas, from: f64, to: f64, dia: f64, fill: &str| {
        let (a, b) = (v.at(x - dia / 2.0, from), v.at(x + dia / 2.0, to));
        c.rect(a[0], a[1], b[0], b[1], fill, 0.35);
    };
    if v.three {
        let straight = v.straight_least.max(v.ring).min(v.foot);
        band(c, v.lower, straight, v.core, "white");
        let (half, foot) = (v.core / 2.0, if x == 0.0 { 0.0 } else { x.signum() * v.core });
        let slant =
            [(x - half, straight), (x + half, straight), (foot + half, v.foot), (foot - half, v.foot)];
        c.poly(&slant.map(|(x, y)| v.at(x, y)), "white", 0.35);
    } else {
        band(c, v.lower, v.foot, v.core, "white");
        band(c, v.foot, bottom, v.cable, "dots");
    }
    band(c, -v.body * 0.75, v.lower, v.body, "hatch");
    let head = v.at(x, 0.0);
    c.circle(head, v.body * 0.36 * v.k, "white", 0.4);
    c.circle(head, v.body * 0.12 * v.k, "black", 0.2);
    let (l, r) = (v.at(x - v.core * 0.7, v.ring), v.at(x + v.core * 0.7, v.ring));
    c.line(l, r, 0.9, "solid");
    // Drain eyelet at the foot of the body, its lead going down.
    let eye = v.at(x + v.body / 2.0, v.lower - v.body * 0.3);
    c.circle(eye, 0.8, "black", 0.2);
    c.path(&[eye, [eye[0] + 2.0, eye[1]], [eye[0] + 2.0, v.at(0.0, bottom)[1]]], 0.4, "dash");
    c.text([head[0], v.at(x, -v.body * 0.75)[1] - 2.0], label, 9.0, true, "middle");
}

/// Pitch and straight length as dimensions, the rest at the right; returns where
/// the labels end.
fn labels(c: &mut Canvas, v: &View, half: f64) -> f64 {
    let sheet = v.sheet;
    let figure = |name: &str| sheet.text(name).trim_end_matches(" mm").to_string();
    let y = v.at(0.0, -70.0)[1] - 8.0;
    c.dimension(v.at(-v.pitch, 0.0)[0], v.at(0.0, 0.0)[0], y, &figure("enclosure.stud_pitch"), 12.0);
    let x = v.at(-half, 0.0)[0] - 6.0;
    let (head, foot) = (v.at(0.0, 0.0)[1], v.at(0.0, v.straight)[1]);
    c.line([x - 1.0, head], [v.at(-v.pitch, 0.0)[0], head], 0.12, "dot");
    c.line([x - 1.0, foot], [v.at(-v.pitch, 0.0)[0], foot], 0.12, "dot");
    c.arrow([x, head], [x, foot], 0.3, "both");
    c.rect(x - 1.7, (head + foot) / 2.0 - 9.0, x + 1.7, (head + foot) / 2.0 + 9.0, "white", 0.0);
    c.text_up([x, (head + foot) / 2.0], sheet.text("layout.straight_below").to_string(), 9.0, true);
    let right = v.at(half, 0.0)[0] + 5.0;
    let rows = [
        (
            "straight below T0",
            sheet.text("layout.straight_below"),
            format!("least {}", sheet.text("kit.straight_below")),
        ),
        ("ring R from T0", sheet.text("ring_from_stud"), "set at the trial fit".to_string()),
        (
            "bushing",
            sheet.text("enclosure.bushing.interface"),
            sheet.text("enclosure.bushing.current").to_string(),
        ),
        ("connector", sheet.text("kit.interface"), sheet.text("kit.current").to_string()),
        ("drains and screens", "one earth point", "a lead each".to_string()),
    ];
    let crutch = v.three.then(|| {
        let outer = format!("outer cores {}", sheet.text("free_tail_longest"));
        ("crutch K from T0", sheet.text("layout.tail"), outer)
    });
    let mut y = v.top + 4.0;
    for (title, text, under) in rows.into_iter().chain(crutch) {
        c.text([right, y], title, 9.0, false, "start");
        c.text([right, y + 4.2], text.to_string(), 9.0, true, "start");
        c.text([right, y + 8.4], format!("({under})"), 9.0, false, "start");
        y += 16.0;
    }
    y
}
