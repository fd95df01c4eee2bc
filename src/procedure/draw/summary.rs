//! The small copy of the box for the summary: the view from the cover, the
//! least gaps with their figures at the right.

use super::canvas::Canvas;
use super::enclosure::heights;
use super::scale;
use super::view::{ABOVE, View};
use crate::facts::{Across, GapTo, Sheet, picture};
use crate::procedure::pack::Drawing;

/// Room for the box, for the heights at its left and the figures at its right.
const ROOM: (f64, f64) = (70.0, 62.0);
const LEFT: f64 = 16.0;
const RIGHT: f64 = 31.0;
/// How much under the plate is shown, mm of the box.
const BELOW: f64 = 40.0;

pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    let picture = picture(sheet)?;
    let half = picture.stud_pitch + picture.stud_to_wall;
    let (kw, by_width) = scale(2.0 * half, ROOM.0);
    let (kh, by_height) = scale(picture.gland_to_stud + BELOW + ABOVE, ROOM.1);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let view = View {
        across: Across::Studs,
        k,
        x0: LEFT + half * k,
        y0: 4.0 + (picture.gland_to_stud + ABOVE) * k,
        lowest: 8.0 - BELOW,
        letters: false,
    };
    let mut c = Canvas::default();
    view.draw(&mut c, &picture);
    heights(&mut c, &view, &picture, sheet, half);
    let right = view.at(half, 0.0)[0] + 4.0;
    let mut labels: Vec<([f64; 2], [String; 3])> = Vec::new();
    let mut spoken = Vec::new();
    for gap in picture.gaps.iter().filter(|gap| view.shows(gap)) {
        let title = match gap.to {
            GapTo::Phase => "phase to phase",
            GapTo::Plate if picture.entry_height.is_some() => "end L to entry",
            GapTo::Plate => "end L to plate",
            _ => "live to wall",
        };
        let (figure, least) = (sheet.text(gap.figure), sheet.text(gap.limit));
        let (from, to) = (view.spot(gap.from_mm), view.spot(gap.to_mm));
        c.arrow(from, to, 0.5, "both");
        let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
        labels.push((middle, [title.to_string(), figure.to_string(), format!("(least {least})")]));
        spoken.push(format!("{title} {figure}, least allowed {least}."));
    }
    // Down the right side in the order of their places, none over another.
    labels.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let mut y = 4.0 + ABOVE * k + 6.0;
    for (place, lines) in labels {
        y = y.max(place[1] - 6.0);
        c.line(place, [right - 1.0, y], 0.15, "dash");
        c.circle(place, 0.6, "black", 0.1);
        for (i, line) in lines.into_iter().enumerate() {
            c.text([right, y + 4.2 * i as f64], line, 9.0, i == 1, "start");
        }
        y += 16.0;
    }
    let bottom = view.at(0.0, -BELOW)[1];
    let bar = if k < 0.22 { 200.0 } else { 100.0 };
    c.scale_bar(view.x0 - bar / 2.0 * k, bottom + 4.0, k, bar);
    let start = if picture.entry_height.is_some() {
        "three entries in the gland plate"
    } else {
        "the crutch inside the box"
    };
    Some(Drawing {
        id: "box-small".into(),
        title: "The box in elevation, seen from the cover".into(),
        scale: name,
        width_mm: ((right + RIGHT) * 10.0).round() / 10.0,
        height_mm: ((bottom + 12.0) * 10.0).round() / 10.0,
        alt: format!(
            "Three cores from {start} to the studs, stress control tubes hatched. {}",
            spoken.join(" ")
        ),
        shapes: c.shapes,
        table: None,
        notes: Vec::new(),
    })
}
