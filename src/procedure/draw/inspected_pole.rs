//! Ends on a pole as they are found: spacing and arcing distance to scale, the rest for
//! the eye, with the places of what is measured and of the frames.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::{Drawing, DrawingTable, Segment};

/// Stations drawn for the eye, mm below the terminal T0.
const FIRST_SHED: f64 = 110.0;
const PITCH: f64 = 42.0;
const UPPER: f64 = 240.0;
const SEAL: f64 = 70.0;
/// Height a crossarm is drawn with, mm.
const ARM: f64 = 60.0;

const FRAMES: [&str; 6] = [
    "whole crossarm, square on",
    "each phase, every shed: 3",
    "the same from behind",
    "lower seals, screen leads",
    "bracket, stays, earth point",
    "cable down the pole",
];

pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    if !sheet.is_yes("found_outdoors") {
        return None;
    }
    let number = |name: &str| sheet.number(name);
    let (pitch, arcing) = (number("enclosure.stud_pitch")?, number("enclosure.arcing_distance")?);
    let arm = number("arm_below_terminal").unwrap_or(arcing);
    let lower = UPPER + super::inspection::tube(sheet)?.0;
    let foot = (lower + 120.0).max(arm + ARM + 60.0);
    let sheds = number("kit.sheds.count").map_or(5, |n| n as usize).min(8);
    let half = pitch + 130.0;
    let (k, name) = {
        let (kw, by_width) = scale(2.0 * half, PAGE_WIDTH - 58.0);
        let (kh, by_height) = scale(foot + 60.0, 118.0);
        if kw < kh { (kw, by_width) } else { (kh, by_height) }
    };
    let (x0, y0) = (2.0 + half * k, 16.0);
    let at = |x: f64, below: f64| [x0 + x * k, y0 + below * k];
    let mut c = Canvas::default();
    let band = |c: &mut Canvas, x: f64, from: f64, to: f64, wide: f64, fill: &str| {
        let (a, b) = (at(x - wide / 2.0, from), at(x + wide / 2.0, to));
        c.rect(a[0], a[1], b[0], b[1], fill, 0.3);
    };
    band(&mut c, 0.0, arm + ARM, foot + 60.0, 140.0, "pale");
    band(&mut c, 0.0, arm, arm + ARM, 2.0 * half, "cross");
    for (x, label) in [(-pitch, "L1"), (0.0, "L2"), (pitch, "L3")] {
        band(&mut c, x, lower, foot, 28.0, "dots");
        band(&mut c, x, SEAL, lower, 34.0, "white");
        band(&mut c, x, UPPER, lower, 40.0, "hatch");
        for i in 0..sheds {
            let z = FIRST_SHED + PITCH * i as f64;
            let skirt = [at(x - 17.0, z), at(x + 17.0, z), at(x + 50.0, z + 16.0), at(x - 50.0, z + 16.0)];
            c.poly(&skirt, "white", 0.3);
        }
        band(&mut c, x, -18.0, SEAL, 26.0, "pale");
        let head = at(x, 0.0);
        c.circle(head, 1.2, "black", 0.2);
        c.text([head[0], head[1] - 6.0], label, 9.0, true, "middle");
    }
    // Clear of the crossarm, on which an arrow would not be seen.
    let middle = (UPPER + lower) / 2.0;
    let tube = if middle + 10.0 > arm && middle - 10.0 < arm + ARM { arm - 12.0 } else { middle };
    let marks = [
        ("1", at(-pitch + 20.0, tube), at(-20.0, tube)),
        ("2", at(20.0, tube), at(pitch - 20.0, tube)),
        ("3", at(pitch + 62.0, SEAL), at(pitch + 62.0, arm)),
    ];
    for (number, from, to) in marks {
        c.arrow(from, to, 0.5, "both");
        spot(&mut c, [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0], number);
    }
    let level = at(pitch + 13.0, SEAL);
    c.line(level, at(pitch + 62.0, SEAL), 0.2, "dot");
    // Along the surface, in and out of every shed, on the outer side of L1.
    let mut path = vec![at(-pitch - 20.0, SEAL)];
    for i in 0..sheds {
        let z = FIRST_SHED + PITCH * i as f64;
        path.extend([at(-pitch - 20.0, z - 3.0), at(-pitch - 54.0, z + 14.0), at(-pitch - 20.0, z + 20.0)]);
    }
    path.push(at(-pitch - 23.0, lower));
    c.path(&path, 0.5, "dash");
    spot(&mut c, at(-pitch - 78.0, FIRST_SHED + PITCH), "4");
    let beside = at(pitch * 0.78, arm + ARM / 2.0);
    spot(&mut c, beside, "5");
    let text_at = at(half, 0.0)[0] + 5.0;
    c.text([text_at, 8.0], "As-found frames, untouched:", 9.0, true, "start");
    for (i, line) in FRAMES.iter().enumerate() {
        let y = 12.0 + 5.6 * i as f64;
        c.rect(text_at, y - 1.0, text_at + 2.6, y + 1.6, "white", 0.3);
        c.text([text_at + 4.4, y + 0.4], *line, 9.0, false, "start");
    }
    let bottom = at(0.0, foot + 60.0)[1];
    c.scale_bar(2.0, bottom + 4.0, k, 200.0);
    let text = |name: &str| sheet.text(name).to_string();
    let known = sheet.is_yes("kit_known");
    let (gaps, surface) = ("gaps as found", "sheds, creepage, arcing distance");
    let arcing = if known { text("arcing_needed") } else { String::new() };
    Some(Drawing {
        id: "found".into(),
        title: "The ends as found".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((bottom + 12.0) * 10.0).round() / 10.0,
        alt: format!(
            "Three ends on their crossarm, terminals {} apart; sheds and tubes for the eye only. To measure: 1 and 2 between phases, least {}; 3 lug to earthed metal; 4 along the surface over whole sheds, least {}; 5 live length to earthed metal, least {}.",
            sheet.text("enclosure.stud_pitch"),
            sheet.text("found_gap_least"),
            sheet.text("creepage_needed"),
            sheet.text("found_earth_gap_least"),
        ),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["", "What is measured", "At least", "Written at the point"].map(String::from).to_vec(),
            rows: vec![
                row("1 2", "L1-L2, L2-L3, and L1-L3 where they can face; how far down from T0", text("found_gap_least"), gaps),
                row("3", "arcing distance, lug to the nearest earthed metal, straight", arcing, surface),
                row("4", "creepage, along the surface, in and out of every whole shed", text("creepage_needed"), surface),
                row("5", "live length, L up, to crossarm, bracket, stay, earth lead", text("found_earth_gap_least"), gaps),
            ],
        }),
        notes: vec![
            "Spacing and crossarm to scale; sheds and tubes for the eye. The whole surface above L counts as live.".into(),
        ],
    })
}

fn spot(c: &mut Canvas, at: [f64; 2], number: &str) {
    c.circle(at, 2.6, "white", 0.3);
    c.text(at, number, 9.0, true, "middle");
}

fn row(mark: &str, what: &str, least: String, written: &str) -> Vec<Vec<Segment>> {
    [mark, what, &least, written].map(|text| vec![Segment::Words(text.to_string())]).to_vec()
}
