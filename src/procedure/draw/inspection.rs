//! What is measured at an existing end: one phase with the two steps on its outer
//! tube, to scale for the voltage; the box with the places of the gaps and of the frames.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::{Drawing, DrawingTable, Segment};

fn words(text: &str) -> Vec<Segment> {
    vec![Segment::Words(text.to_string())]
}

/// A row: letter or number, what, its limit, and the point where it is written: no
/// blank stands twice.
fn row(mark: &str, what: &str, limit: String, written: &str) -> Vec<Vec<Segment>> {
    vec![words(mark), words(what), words(&limit), words(written)]
}

/// The tube that is drawn, mm, and what it is: the kit's, else the least at this voltage.
pub(super) fn tube(sheet: &Sheet) -> Option<(f64, String)> {
    let by_kit = sheet.number("kit.sct.recovered").filter(|_| sheet.is_yes("kit_known"));
    Some(match by_kit {
        Some(mm) => (mm, format!("{}, as the kit has it", sheet.text("kit.sct.recovered"))),
        None => {
            let (least, nominal) = (sheet.text("voltage_tube_low"), sheet.text("system.nominal"));
            (sheet.number("voltage_tube_low")?, format!("{least}, the least at {nominal}"))
        }
    })
}

/// One phase, stud at the left: a tube as long as its kit or this voltage asks, its two steps
/// on the outer tube, and where each figure is measured.
pub(super) fn phase(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "inspection" {
        return None;
    }
    let (tube, drawn_with) = tube(sheet)?;
    let core = sheet.number("cable.dia_over_insulation")?;
    // Drawn for the eye: stud to upper step, screened length below the tube.
    let (upper, below) = (130.0, 170.0);
    let (lower, end) = (upper + tube, upper + tube + below);
    let edge = lower - 20.0;
    let before = 24.0;
    let (k, name) = scale(before + end, PAGE_WIDTH - 4.0);
    let x = |mm: f64| 2.0 + (before + mm) * k;
    let (inner, outer, thick) = (core * k / 2.0, (core + 6.0) * k / 2.0, (core + 14.0) * k / 2.0);
    let axis = 24.0 + thick;
    let mut c = Canvas::default();
    let wide = 20.0 * k;
    c.rect(x(-before), axis - wide, x(22.0), axis + wide, "pale", 0.35);
    c.rect(x(22.0), axis - inner, x(70.0), axis + inner, "pale", 0.35);
    // The outer tube follows what is under it.
    c.rect(x(55.0), axis - outer, x(upper), axis + outer, "white", 0.35);
    c.rect(x(lower), axis - outer, x(end), axis + outer, "white", 0.35);
    c.rect(x(upper), axis - thick, x(lower), axis + thick, "hatch", 0.35);
    for side in [-1.0, 1.0] {
        c.line([x(edge), axis + side * thick], [x(edge), axis + side * inner * 0.4], 0.5, "dash");
    }
    c.circle([x(0.0), axis], 7.0 * k, "white", 0.35);
    c.line([x(-before), axis], [x(end), axis], 0.15, "dashdot");
    let top = axis - thick.max(wide) - 9.0;
    for (letter, at) in [("T0", 0.0), ("U", upper), ("B", edge), ("L", lower), ("K", end - 6.0)] {
        let px = x(at);
        let y = if letter == "B" { top - 5.5 } else { top };
        c.line([px, y + 2.6], [px, axis - if letter == "T0" { 0.0 } else { outer }], 0.15, "solid");
        c.circle([px, y], 3.1, "white", 0.3);
        c.text([px, y], letter, 9.0, true, "middle");
    }
    let mut y = axis + thick.max(wide) + 7.0;
    for (at, rows) in [(upper, 4.0), (edge, 4.0), (lower, 3.0), (end - 6.0, 3.0)] {
        c.line([x(at), axis + outer], [x(at), y + 7.0 * rows - 2.4], 0.1, "dot");
    }
    for (from, to, figure) in [
        (0.0, upper, "upper step"),
        (0.0, lower, "lower step"),
        (upper, lower, "length"),
        (lower, end - 6.0, "to crutch"),
    ] {
        c.dimension(x(from), x(to), y, figure, 9.0);
        y += 7.0;
    }
    c.text([x(upper) + 1.5, y], "mastic: none here", 9.0, true, "end");
    c.text([x(edge) - 1.5, y], "mastic belongs at the edge", 9.0, true, "start");
    c.scale_bar(6.0, y + 5.0, k, 100.0);
    let length = sheet.text("found_length_limit").to_string();
    let least = |name: &str| format!("at least {}", sheet.text(name));
    let (steps, finds) = ("stress control by its steps", "condition");
    let outdoors = sheet.is_yes("found_outdoors");
    let mut notes = vec![
        format!("Drawn with a tube of {drawn_with}; the tube in front of you is what you measure."),
        "A step that cannot be felt is written as not felt; nobody guesses.".into(),
    ];
    if outdoors {
        notes.push("Sheds are not drawn: the steps are felt between them.".into());
    }
    Some(Drawing {
        id: "steps".into(),
        title: "One phase: two steps on the outer tube".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((y + 13.0) * 10.0).round() / 10.0,
        alt: format!(
            "One phase with its stud at the left. The stress control tube shows as two steps on the outer tube, upper U and lower L; the drawing has {drawn_with} between them. Mastic belongs at the semicon edge B, none at U.",
        ),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["", "What", "Right", "Written at the point"].map(String::from).to_vec(),
            rows: vec![
                row("U", "upper step, from T0", String::new(), steps),
                row(
                    "L",
                    if outdoors {
                        "lower step, from T0"
                    } else {
                        "lower step, from T0 and from plate or entry"
                    },
                    if outdoors {
                        String::new()
                    } else {
                        least("found_step_least") + " above the plate or entry"
                    },
                    steps,
                ),
                row("", "length, L less U", length, steps),
                row(
                    "B",
                    "semicon edge, where a third step is felt, from T0",
                    if outdoors {
                        String::new()
                    } else {
                        least("found_edge_least") + " above the plate or entry"
                    },
                    steps,
                ),
                row(
                    "K",
                    if outdoors { "breakout or sheath end, from T0" } else { "crutch or entry, from T0" },
                    String::new(),
                    steps,
                ),
                row("B", "mastic: a smooth ridge all round", "felt".into(), finds),
                row("U", "mastic", "none".into(), finds),
            ],
        }),
        notes,
    })
}

/// The box as it stands, cores for the eye only, with the places of the frames and
/// the gaps.
pub(super) fn box_(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "inspection" || sheet.is_yes("found_outdoors") {
        return None;
    }
    let number = |name: &str| sheet.number(name);
    let (height, pitch, wall) = (
        number("enclosure.gland_to_stud")?,
        number("enclosure.stud_pitch")?,
        number("enclosure.stud_to_wall")?,
    );
    let tube = tube(sheet)?.0.min(height * 0.6);
    let half = pitch + wall;
    let (left, right, below, above) = (20.0, 72.0, 90.0, 60.0);
    let (kw, by_width) = scale(2.0 * half, PAGE_WIDTH - left - right);
    let (kh, by_height) = scale(height + above + below, 120.0);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let (x0, y0) = (left + half * k, 8.0 + (height + above) * k);
    let at = |across: f64, z: f64| [x0 + across * k, y0 - z * k];
    let mut c = Canvas::default();
    let (a, b) = (at(-half, 0.0), at(half, height + above));
    c.rect(a[0], b[1], b[0], a[1], "none", 0.6);
    let (a, b) = (at(-half, 0.0), at(half, -7.0));
    c.rect(a[0], a[1], b[0], b[1], "cross", 0.4);
    let single = sheet.text("cable.cores") == "1";
    let dia = number("cable.dia_over_insulation").unwrap_or(28.0) + 8.0;
    for (i, label) in [(-1.0, "L1"), (0.0, "L2"), (1.0, "L3")] {
        let stud = i * pitch;
        let foot = if single { stud } else { i * dia * 0.6 };
        // Straight down for the length of the tube, then towards crutch or entry.
        let bend = height - 110.0 - tube;
        let point = |z: f64| if z >= bend { stud } else { foot + (stud - foot) * (z / bend).max(0.0) };
        let band = |from: f64, to: f64, half: f64| {
            let side = |s: f64, z: f64| at(point(z) + s * half, z);
            [side(-1.0, from), side(1.0, from), side(1.0, to), side(-1.0, to)]
        };
        c.poly(&band(20.0_f64.min(bend), bend.max(20.0), dia * 0.45), "dots", 0.3);
        c.poly(&band(bend, bend + tube, dia / 2.0), "hatch", 0.3);
        c.poly(&band(bend + tube, height, dia * 0.4), "white", 0.3);
        let head = at(stud, height);
        c.circle(head, 1.2, "black", 0.2);
        c.text([head[0], head[1] - 4.0], label, 9.0, true, "middle");
        if single {
            let (a, b) = (at(foot - dia / 2.0, 20.0), at(foot + dia / 2.0, -below + 10.0));
            c.rect(a[0], a[1], b[0], b[1], "pale", 0.3);
        }
    }
    if !single {
        let cable = number("cable.overall_diameter").unwrap_or(70.0) / 2.0;
        let (a, b) = (at(-cable, 20.0), at(cable, -below + 10.0));
        c.rect(a[0], a[1], b[0], b[1], "pale", 0.35);
    }
    // Gaps, numbered as in the table.
    let middle = height - 110.0 - tube * 0.8;
    let marks = [
        (1, at(-pitch + dia / 2.0, middle), at(-dia / 2.0, middle)),
        (2, at(dia / 2.0, middle), at(pitch - dia / 2.0, middle)),
        (3, at(-half, height - 160.0), at(-pitch - dia / 2.0, height - 160.0)),
        (4, at(pitch, height - 110.0 - tube), at(pitch, 0.0)),
    ];
    for (number, from, to) in marks {
        c.arrow(from, to, 0.5, "both");
        let spot = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
        c.circle(spot, 2.6, "white", 0.3);
        c.text(spot, number.to_string(), 9.0, true, "middle");
    }
    // Places of the frames.
    let text_at = at(half, 0.0)[0] + 5.0;
    let mut y = 12.0;
    c.text([text_at, y - 4.0], "As-found frames, untouched:", 9.0, true, "start");
    for line in [
        "whole box, square on",
        "each phase, stud to crutch: 3",
        "crutch and entries",
        "plate, leads, armour bond",
        "walls and bushings",
        "floor of the box",
        "inside of the cover",
    ] {
        c.rect(text_at, y - 1.0, text_at + 2.6, y + 1.6, "white", 0.3);
        c.text([text_at + 4.4, y + 0.4], line, 9.0, false, "start");
        y += 5.6;
    }
    let bottom = at(0.0, -below)[1];
    c.scale_bar(left, bottom + 3.0, k, if k < 0.22 { 200.0 } else { 100.0 });
    let text = |name: &str| sheet.text(name).to_string();
    Some(Drawing {
        id: "found".into(),
        title: "The box as found".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((bottom + 11.0).max(y + 4.0) * 10.0).round() / 10.0,
        alt: format!(
            "The box to scale, plate to studs {}, studs {} apart; cores for the eye only. Gaps to measure: 1 and 2 between phases, 3 to the wall, 4 lower step to plate. Least between phases {}, to earthed metal {}, step to plate {}.",
            sheet.text("enclosure.gland_to_stud"),
            sheet.text("enclosure.stud_pitch"),
            sheet.text("found_gap_least"),
            sheet.text("found_earth_gap_least"),
            sheet.text("found_step_least"),
        ),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["", "Least gap, lower step to lug", "At least", "Written at the point"].map(String::from).to_vec(),
            rows: vec![
                row("1 2", "L1-L2, L2-L3, and L1-L3 where they can face; at which height", text("found_gap_least"), "gaps as found"),
                row("3", "each phase to wall, cover, back, earth lead", text("found_earth_gap_least"), "gaps as found"),
                row("4", "each phase, lower step to plate or entry", text("found_step_least"), "stress control by its steps"),
            ],
        }),
        notes: vec![
            "Box to scale; how the cores lie is what you find, not what is drawn. The whole surface of a tube counts as live, down to its lower step.".into(),
        ],
    })
}
