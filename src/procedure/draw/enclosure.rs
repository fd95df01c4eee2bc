//! The box with the cores in it as they lie: along the row of studs, across it,
//! and in plan at the heights of the least gaps, each gap where it is.

use super::canvas::Canvas;
use super::plans::Plans;
use super::view::{ABOVE, View, depth};
use super::{PAGE_WIDTH, scale};
use crate::facts::{Across, GapTo, Picture, PictureGap, Sheet, picture};
use crate::procedure::pack::Drawing;
use crate::units::{Rounding, fixed};

/// Room for the heights at the left, mm of paper.
const LEFT: f64 = 20.0;
/// Between two views.
const APART: f64 = 7.0;
/// Room for the upright gaps and their figures at the right.
const RIGHT: f64 = 46.0;
/// From one line of words beside a gap to the next.
pub(super) const LINE: f64 = 4.2;
/// Most height of the upright views, and of the whole drawing, mm of paper.
const UPRIGHT_MOST: f64 = 118.0;
const HIGH: f64 = 219.0;

pub(super) fn whole(mm: f64) -> String {
    fixed(mm, 0, Rounding::Nearest)
}

pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    let picture = picture(sheet)?;
    let half = picture.stud_pitch + picture.stud_to_wall;
    let [(back, _), (cover, _)] = depth(&picture);
    // The cable a little way under its crutch.
    let below = picture.crutch_below.map_or(36.0, |depth| depth + 45.0);
    let mut c = Canvas::default();
    let plans = Plans::new(&picture);

    let wide = 2.0 * half + cover - back;
    let (kw, by_width) = scale(wide, PAGE_WIDTH - LEFT - APART - RIGHT);
    let room = (HIGH - plans.height()).min(UPRIGHT_MOST);
    let (kh, by_height) = scale(picture.gland_to_stud + ABOVE + below, room);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let top = 6.0;
    let y0 = top + (picture.gland_to_stud + ABOVE) * k;
    let front = View { across: Across::Studs, k, x0: LEFT + half * k, y0, lowest: -below, letters: true };
    let side_left = LEFT + 2.0 * half * k + APART;
    let side = View { across: Across::Depth, x0: side_left - back * k, letters: false, ..front };
    // Under the cores, so that no letter is struck through.
    for level in &plans.levels {
        let (from, to) = (front.at(-half, *level), front.at(half, *level));
        c.line(from, [to[0] + 1.5, to[1]], 0.15, "dashdot");
    }
    front.draw(&mut c, &picture);
    side.draw(&mut c, &picture);
    c.text([0.5, 2.0], "seen from the cover", 9.0, false, "start");
    c.text([side_left, 2.0], "seen from the right", 9.0, false, "start");
    let foot = side.at(cover, 0.0)[1];
    c.text([side.at(back, 0.0)[0], foot + 4.6], "back", 9.0, false, "start");
    c.text([side.at(cover, 0.0)[0], foot + 4.6], "cover", 9.0, false, "end");
    heights(&mut c, &front, &picture, sheet, half);

    for (number, gap) in numbered(&picture) {
        for view in [front, side].iter().filter(|v| v.shows(gap)) {
            mark(&mut c, view.spot(gap.from_mm), view.spot(gap.to_mm), number);
        }
    }
    let words = upright(&mut c, &side, &picture, sheet);
    let bar = if k < 0.22 { 200.0 } else { 100.0 };
    // Beside the cable where it hangs low enough, else on a line of its own.
    let beside = below * k > 22.0;
    let end = (y0 + below * k + 2.0).max(words);
    c.scale_bar(2.0, if beside { y0 + 12.0 } else { end + 1.0 }, k, bar);
    let under = end + if beside { 0.0 } else { 8.0 };
    plans.draw(&mut c, &picture, sheet, under);
    let scale = if plans.name == name { name } else { format!("{name}, plans {}", plans.name) };
    Some(Drawing {
        id: "box".into(),
        title: "The box with the cores as they lie".into(),
        scale,
        width_mm: PAGE_WIDTH,
        height_mm: ((under + plans.height()) * 10.0).round() / 10.0,
        alt: alt(&picture, sheet),
        shapes: c.shapes,
        table: None,
        notes: vec![format!(
            "Beside each gap: least allowed, what is to spare, how far from T0 along which core. A {} counts as live all over, down to L. Planning figures, true in space; the hold point measures.",
            sheet.text("stress_part")
        )],
    })
}

/// The gaps by the number they carry in every view and in the table.
pub(super) fn numbered(picture: &Picture) -> impl Iterator<Item = (usize, &PictureGap)> {
    picture.gaps.iter().enumerate().map(|(i, gap)| (i + 1, gap))
}

/// An arrow between the ends of a gap, and its number beside the middle.
pub(super) fn mark(c: &mut Canvas, from: [f64; 2], to: [f64; 2], number: usize) {
    c.arrow(from, to, 0.5, "both");
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = (dx * dx + dy * dy).sqrt();
    // Square to the arrow, upwards or to the right; a short one is no guide.
    let (nx, ny) = if length < 1.0 { (0.0, -1.0) } else { (-dy / length, dx / length) };
    let turn = if ny > 0.3 || (ny.abs() <= 0.3 && nx < 0.0) { -1.0 } else { 1.0 };
    let at = [(from[0] + to[0]) / 2.0 + nx * turn * 3.8, (from[1] + to[1]) / 2.0 + ny * turn * 3.8];
    c.circle(at, 2.6, "white", 0.3);
    c.text(at, number.to_string(), 9.0, true, "middle");
}

/// Heights at the left: plate to stud, to edge and to tube end.
pub(super) fn heights(c: &mut Canvas, view: &View, picture: &Picture, sheet: &Sheet, half: f64) {
    let left = view.at(-half, 0.0)[0];
    let mut rows = vec![(picture.gland_to_stud, sheet.text("enclosure.gland_to_stud").to_string())];
    if view.letters {
        rows.push((picture.edge_height, format!("B {} mm", whole(picture.edge_height))));
        rows.push((picture.lower_height, format!("L {}", sheet.text("lower_step_above_plate"))));
    }
    for (i, (z, figure)) in rows.iter().enumerate() {
        let x = left - 5.0 - 6.6 * (rows.len() - 1 - i) as f64;
        let (foot, head) = (view.at(0.0, 0.0)[1], view.at(0.0, *z)[1]);
        c.line([x - 1.0, head], [left, head], 0.12, "dot");
        c.arrow([x, foot], [x, head], 0.2, "both");
        let middle = (foot + head) / 2.0;
        let length = figure.chars().count() as f64 * 1.9;
        c.rect(x - 1.7, middle - length / 2.0, x + 1.7, middle + length / 2.0, "white", 0.0);
        c.text_up([x, middle], figure.clone(), 9.0, true);
    }
}

/// The upright gaps at the right of the view along the box, outside the cover:
/// tube end and semicon edge above plate, entry or crutch. The foot of the lowest
/// of their words.
fn upright(c: &mut Canvas, side: &View, picture: &Picture, sheet: &Sheet) -> f64 {
    let entries = picture.entry_height.is_some();
    let floor = picture.entry_height.unwrap_or(0.0);
    let [_, (cover, _)] = depth(picture);
    let outside = side.at(cover, 0.0)[0];
    let dimension = |c: &mut Canvas, out: f64, from: [f64; 3]| {
        let (head, foot) = (side.spot(from), side.at(cover, floor));
        c.line(head, [outside + out + 1.0, head[1]], 0.12, "dot");
        c.line([outside, foot[1]], [outside + out + 1.0, foot[1]], 0.12, "dot");
        c.arrow([outside + out, head[1]], [outside + out, foot[1]], 0.3, "both");
        [outside + out, (head[1] + foot[1]) / 2.0]
    };
    let mut words: Vec<([f64; 2], Vec<String>)> = Vec::new();
    let edges = picture.phases.iter().flat_map(|phase| &phase.stations).filter(|s| s.0 == 'B');
    if let Some((_, edge, _)) = edges.min_by(|a, b| a.1[2].total_cmp(&b.1[2])) {
        let place = dimension(c, 9.0, *edge);
        let place_words = format!("T0 to B {}", bare(sheet.text("semicon_edge_from_stud")));
        let title = if entries { "B  edge to entry" } else { "B  edge to plate" };
        let mut lines = held(sheet, "edge_above_plate", "kit.edge_to_plate_least");
        lines.insert(0, title.into());
        lines.push(place_words);
        words.push((place, lines));
        if !entries {
            let mut lines = held(sheet, "edge_to_crutch", "kit.edge_to_crutch_least");
            lines.insert(0, "B  edge to crutch".into());
            lines.push("along the core".into());
            words.push((side.spot(*edge), lines));
        }
    }
    for (number, gap) in numbered(picture).filter(|(_, gap)| gap.to == GapTo::Plate) {
        let place = dimension(c, 4.0, gap.from_mm);
        let mut lines = held(sheet, gap.figure, gap.limit);
        lines.insert(
            0,
            format!(
                "{number}  {} end to {}",
                sheet.text("stress_part"),
                if entries { "entry" } else { "plate" }
            ),
        );
        lines.push(where_along(gap).join(", "));
        words.push((place, lines));
    }
    // Down the right side in the order of their places, none over another.
    words.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let left = outside + 12.0;
    let mut y: f64 = 8.0;
    for (place, lines) in words {
        y = y.max(place[1] - 8.0);
        c.line(place, [left - 1.0, y], 0.15, "solid");
        for line in lines {
            let big = line.ends_with(" mm");
            c.text([left, y], line, if big { 11.0 } else { 9.0 }, big, "start");
            y += LINE;
        }
        y += 2.0;
    }
    y
}

pub(super) fn bare(text: &str) -> &str {
    text.trim_end_matches(" mm")
}

/// How far from T0 a gap lies, along each of its cores.
pub(super) fn where_along(gap: &PictureGap) -> Vec<String> {
    gap.ends.iter().map(|(phase, arc)| format!("L{phase} at {}", whole(*arc))).collect()
}

/// A figure and its limit, which never look alike while they differ, and what is
/// to spare, a line each.
pub(super) fn held(sheet: &Sheet, figure: &str, limit: &str) -> Vec<String> {
    match sheet.texts_beside(figure, limit) {
        Some((figure, limit, spare)) => {
            let spare = fixed(spare, 1, Rounding::Nearest);
            vec![figure, format!("least {}", bare(&limit)), format!("spare {spare}")]
        }
        None => vec![sheet.text(figure).into(), format!("least {}", bare(sheet.text(limit)))],
    }
}

pub(super) fn title(gap: &PictureGap, entries: bool) -> &'static str {
    match gap.to {
        GapTo::Phase => "phase to phase",
        GapTo::Plate if entries => "tube end to entry",
        GapTo::Plate => "tube end to plate",
        GapTo::Wall => "live to wall",
        GapTo::Cover => "live to cover",
        GapTo::Back => "live to back",
    }
}

fn alt(picture: &Picture, sheet: &Sheet) -> String {
    let entries = picture.entry_height.is_some();
    let start = if picture.entry_height.is_some() {
        "three entries in the gland plate"
    } else {
        "the crutch inside the box"
    };
    let said: Vec<String> = picture
        .gaps
        .iter()
        .map(|gap| {
            format!(
                "{} {}, least allowed {}, {} mm above the plate.",
                title(gap, entries),
                sheet.text(gap.figure),
                sheet.text(gap.limit),
                whole(gap.height())
            )
        })
        .collect();
    format!(
        "Three cores from {start} to the studs, along the row and across it, stress control tubes hatched, with level cuts at the heights of the least gaps. {}",
        said.join(" ")
    )
}
