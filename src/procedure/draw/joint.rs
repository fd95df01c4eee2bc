//! A straight joint in section: one core round its centre C0, and the whole joint
//! with both sides, sheath cuts and the outer sleeve where it will lie.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::{Drawing, DrawingTable, Segment};

fn mm(sheet: &Sheet, name: &str) -> Option<f64> {
    sheet.number(name)
}

fn figure(sheet: &Sheet, name: &str) -> String {
    sheet.text(name).trim_end_matches(" mm").to_string()
}

/// A band from `from` to `to` on both sides of C0.
fn both(c: &mut Canvas, x: &dyn Fn(f64) -> f64, axis: f64, from: f64, to: f64, half: f64, fill: &str) {
    for side in [-1.0, 1.0] {
        c.rect(x(side * from), axis - half, x(side * to), axis + half, fill, 0.35);
    }
}

/// One core of the joint, true along the core.
pub(super) fn core(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "joint" {
        return None;
    }
    let (half, cut, edge) = (
        mm(sheet, "kit.connector_half")?,
        mm(sheet, "insulation_cut_from_c0")?,
        mm(sheet, "kit.semicon_edge")?,
    );
    let (screen, tube, body) =
        (mm(sheet, "kit.screen_cut")?, mm(sheet, "tube_end_from_c0")?, mm(sheet, "body_end_from_c0")?);
    let (conductor, insulation, over_core, over_screen) = (
        mm(sheet, "cable.conductor.diameter")?,
        mm(sheet, "cable.dia_over_insulation")?,
        mm(sheet, "cable.dia_over_core_screen")?,
        mm(sheet, "cable.dia_over_metal_screen")?,
    );
    let end = body.max(screen) + 45.0;
    let (k, name) = scale(2.0 * end, PAGE_WIDTH - 4.0);
    let middle = PAGE_WIDTH / 2.0;
    let x = move |at: f64| middle + at * k;
    let rows = [
        ("insulation_cut_from_c0", cut),
        ("kit.semicon_edge", edge),
        ("tube_end_from_c0", tube),
        ("kit.screen_cut", screen),
        ("body_end_from_c0", body),
    ];
    let outer = (over_screen + 14.0).max(34.0) * k / 2.0;
    let axis = 16.0 + outer + 8.0;
    let mut c = Canvas::default();
    both(&mut c, &x, axis, screen, end, over_screen * k / 2.0, "dots");
    both(&mut c, &x, axis, edge, screen, over_core * k / 2.0, "dark");
    both(&mut c, &x, axis, cut, edge, insulation * k / 2.0, "white");
    both(&mut c, &x, axis, half, cut, insulation * k / 2.0, "black");
    c.rect(x(-half), axis - conductor * 0.85 * k, x(half), axis + conductor * 0.85 * k, "grey", 0.35);
    // Stress control and body, cut open: both walls.
    let wall = 3.2 * k;
    for side in [-1.0, 1.0] {
        let inner = axis + side * (over_core * k / 2.0 + 0.4);
        c.rect(x(-tube), inner, x(tube), inner + side * wall, "hatch", 0.3);
        c.rect(x(-body), inner + side * (wall + 0.3), x(body), inner + side * (2.6 * wall), "pale", 0.3);
    }
    c.line([x(0.0), axis - outer - 6.0], [x(0.0), axis + outer + 44.0], 0.3, "dashdot");
    c.text([x(0.0), axis - outer - 9.0], "C0", 10.0, true, "middle");
    c.text([x(-end) + 2.0, axis - outer - 9.0], "side X", 10.0, true, "start");
    c.text([x(end) - 2.0, axis - outer - 9.0], "side Y", 10.0, true, "end");
    let mut y = axis + outer + 6.0;
    for (name, at) in rows {
        for side in [-1.0, 1.0] {
            c.line([x(side * at), axis], [x(side * at), y + 1.0], 0.1, "dot");
        }
        c.dimension(x(0.0), x(at), y, &figure(sheet, name), 11.0);
        c.dimension(x(-at), x(0.0), y, &figure(sheet, name), 11.0);
        y += 7.0;
    }
    c.text([2.0, y], "from C0, mm, the same on both sides", 9.0, false, "start");
    y += 6.0;
    for (i, (fill, words)) in [
        ("grey", "connector"),
        ("black", "filled gap"),
        ("white", "insulation"),
        ("dark", "core screen"),
        ("dots", "metallic screen"),
        ("hatch", "stress control"),
        ("pale", "body"),
    ]
    .into_iter()
    .enumerate()
    {
        let (kx, ky) = (2.0 + 58.0 * (i % 3) as f64, y + 6.0 * (i / 3) as f64);
        c.rect(kx, ky, kx + 6.0, ky + 3.6, fill, 0.3);
        c.text([kx + 7.5, ky + 1.8], words, 9.0, false, "start");
    }
    c.scale_bar(6.0, y + 21.0, k, 100.0);
    let words = |text: &str| vec![Segment::Words(text.to_string())];
    let stations = [
        ("insulation cut", "insulation_cut_from_c0"),
        ("semicon edge", "kit.semicon_edge"),
        ("stress control, ends", "tube_end_from_c0"),
        ("metallic screen cut", "kit.screen_cut"),
        ("body, ends", "body_end_from_c0"),
    ];
    Some(Drawing {
        id: "joint-core".into(),
        title: "One core of the joint".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((y + 29.0) * 10.0).round() / 10.0,
        alt: format!(
            "One core from C0 to both sides. From C0: insulation cut {}, semicon edge {}, ends of the stress control {}, metallic screen cut {}, ends of the body {}.",
            sheet.text("insulation_cut_from_c0"),
            sheet.text("kit.semicon_edge"),
            sheet.text("tube_end_from_c0"),
            sheet.text("kit.screen_cut"),
            sheet.text("body_end_from_c0"),
        ),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["Station", "from C0, both sides, mm"].map(String::from).to_vec(),
            rows: stations
                .map(|(what, fact)| vec![words(what), vec![Segment::Cut(figure(sheet, fact))]])
                .to_vec(),
        }),
        notes: vec![
            "Along the core true to scale; diameters to the same scale, walls simplified.".into(),
            "The steel rule decides, not the drawing. Where the kit sheet differs, it wins: write it down."
                .into(),
        ],
    })
}

/// The whole joint: sheath cuts, crutches, sleeve with its offset.
pub(super) fn whole(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "joint" {
        return None;
    }
    let (cut_x, cut_y) = (mm(sheet, "kit.sheath_cut_x")?, mm(sheet, "kit.sheath_cut_y")?);
    let (crutch_x, crutch_y) = (mm(sheet, "crutch_from_c0_x")?, mm(sheet, "crutch_from_c0_y")?);
    let (sleeve_x, sleeve_y) = (mm(sheet, "sleeve_end_x")?, mm(sheet, "sleeve_end_y")?);
    let body = mm(sheet, "body_end_from_c0")?;
    let cable = mm(sheet, "cable.overall_diameter")?;
    let (left, right) = (sleeve_x.max(cut_x) + 120.0, sleeve_y.max(cut_y) + 120.0);
    let (k, name) = scale(left + right, PAGE_WIDTH - 6.0);
    let x = |at: f64| 3.0 + (left + at) * k;
    let tall = (cable * k / 2.0).max(4.0);
    let axis = 14.0 + tall * 2.2;
    let mut c = Canvas::default();
    // Side X lies at the left: its figures count against the axis.
    for (from, to) in [(-left, -cut_x), (cut_y, right)] {
        c.rect(x(from), axis - tall, x(to), axis + tall, "pale", 0.4);
    }
    if crutch_x < cut_x {
        c.rect(x(-cut_x), axis - tall * 0.85, x(-crutch_x), axis + tall * 0.85, "cross", 0.3);
        c.rect(x(crutch_y), axis - tall * 0.85, x(cut_y), axis + tall * 0.85, "cross", 0.3);
    }
    for lane in [-0.55, 0.0, 0.55] {
        let y = axis + lane * tall;
        c.line([x(-crutch_x), y], [x(crutch_y), y], 0.5, "solid");
        c.rect(x(-body), y - 0.9, x(body), y + 0.9, "hatch", 0.3);
    }
    c.rect(x(-sleeve_x), axis - tall * 1.5, x(sleeve_y), axis + tall * 1.5, "none", 0.6);
    c.line([x(0.0), axis - tall * 2.0], [x(0.0), axis + tall * 2.0 + 30.0], 0.3, "dashdot");
    c.text([x(0.0), axis - tall * 2.0 - 3.0], "C0", 10.0, true, "middle");
    c.text([x(-left) + 1.0, axis - tall * 2.0 - 3.0], "side X: parts are parked here", 9.0, true, "start");
    c.text([x(right) - 1.0, axis - tall * 2.0 - 3.0], "side Y", 9.0, true, "end");
    let mut y = axis + tall * 2.0 + 4.0;
    for (at_x, at_y, fact_x, fact_y) in [
        (crutch_x, crutch_y, "crutch_from_c0_x", "crutch_from_c0_y"),
        (cut_x, cut_y, "kit.sheath_cut_x", "kit.sheath_cut_y"),
        (sleeve_x, sleeve_y, "sleeve_end_x", "sleeve_end_y"),
    ] {
        c.line([x(-at_x), axis], [x(-at_x), y + 1.0], 0.1, "dot");
        c.line([x(at_y), axis], [x(at_y), y + 1.0], 0.1, "dot");
        c.dimension(x(-at_x), x(0.0), y, &figure(sheet, fact_x), 11.0);
        c.dimension(x(0.0), x(at_y), y, &figure(sheet, fact_y), 11.0);
        y += 7.0;
    }
    c.text([3.0, y], "from C0, mm: crutch, sheath cut, end of outer sleeve", 9.0, false, "start");
    c.scale_bar(6.0, y + 5.0, k, 200.0);
    Some(Drawing {
        id: "joint".into(),
        title: "The joint in its bay".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((y + 14.0) * 10.0).round() / 10.0,
        alt: format!(
            "Side X left, side Y right of C0. Sheath cuts {} and {} from C0, outer sleeve from {} on X to {} on Y, its middle {} towards X.",
            sheet.text("kit.sheath_cut_x"),
            sheet.text("kit.sheath_cut_y"),
            sheet.text("sleeve_end_x"),
            sheet.text("sleeve_end_y"),
            sheet.text("sleeve_centre_from_c0"),
        ),
        shapes: c.shapes,
        table: None,
        notes: vec![
            format!(
                "The sides are unequal: the middle of the outer sleeve lies {} towards X, so that both sheaths get {}.",
                sheet.text("sleeve_centre_from_c0"),
                sheet.text("sleeve_overlap_each_side")
            ),
            format!(
                "Room to park on side X {}, longest part {}. What is not on now can never be put on.",
                sheet.text("park_clear"),
                sheet.text("longest_parked")
            ),
        ],
    })
}
