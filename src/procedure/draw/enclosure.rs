//! The box with the cores in it as they lie: along the row of studs, across it,
//! and in plan at the heights of the least gaps, each gap where it is.

use super::canvas::Canvas;
use super::view::{ABOVE, View, depth, fill};
use super::{PAGE_WIDTH, scale};
use crate::facts::{Across, GapTo, Picture, PictureGap, Sheet, picture};
use crate::procedure::pack::{Drawing, DrawingTable, Segment};
use crate::units::{Rounding, fixed};

/// Room for the heights at the left, mm of paper.
const LEFT: f64 = 23.0;
/// Between two views.
const APART: f64 = 9.0;
/// Most height of the upright views, and of the plans, mm of paper.
const UPRIGHT_MOST: f64 = 118.0;
const PLAN_MOST: f64 = 43.0;
/// Gaps whose heights differ by no more than this share a plan, mm of the box.
const SAME_LEVEL: f64 = 12.0;

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

    let wide = 2.0 * half + cover - back;
    let (kw, by_width) = scale(wide, PAGE_WIDTH - LEFT - APART - 8.0);
    let (kh, by_height) = scale(picture.gland_to_stud + ABOVE + below, UPRIGHT_MOST);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let top = 6.0;
    let y0 = top + (picture.gland_to_stud + ABOVE) * k;
    let front = View { across: Across::Studs, k, x0: LEFT + half * k, y0, lowest: -below, letters: true };
    let side_left = LEFT + 2.0 * half * k + APART;
    let side = View { across: Across::Depth, x0: side_left - back * k, letters: false, ..front };
    front.draw(&mut c, &picture);
    side.draw(&mut c, &picture);
    c.text([LEFT, 2.0], "seen from the cover", 9.0, false, "start");
    c.text([side_left, 2.0], "seen from the right", 9.0, false, "start");
    let foot = side.at(cover, 0.0)[1];
    c.text([side.at(back, 0.0)[0], foot + 4.6], "back", 9.0, false, "start");
    c.text([side.at(cover, 0.0)[0], foot + 4.6], "cover", 9.0, false, "end");
    heights(&mut c, &front, &picture, sheet, half);

    let levels = levels(&picture, sheet);
    for level in &levels {
        let (from, to) = (front.at(-half, *level), front.at(half, *level));
        c.line(from, [to[0] + 1.5, to[1]], 0.15, "dashdot");
    }
    for (number, gap) in numbered(&picture) {
        for view in [front, side].iter().filter(|v| v.shows(gap)) {
            mark(&mut c, view.spot(gap.from_mm), view.spot(gap.to_mm), number);
        }
    }
    let mut y = y0 + below * k + 2.0;
    let bar = if k < 0.22 { 200.0 } else { 100.0 };
    // Beside the cable where it hangs low enough, else on a line of its own.
    let beside = below * k > 22.0;
    c.scale_bar(PAGE_WIDTH - bar * k - 12.0, if beside { y0 + 10.0 } else { y }, k, bar);
    y += if beside { 0.0 } else { 7.0 };
    let (plan_k, plan_name) = plans(&mut c, &picture, &levels, y + 5.0);
    if !levels.is_empty() {
        y += 5.0 + (cover - back) * plan_k + 5.0;
    }
    let scale =
        if plan_name == name || levels.is_empty() { name } else { format!("{name}, plans {plan_name}") };
    Some(Drawing {
        id: "box".into(),
        title: "The box with the cores as they lie".into(),
        scale,
        width_mm: PAGE_WIDTH,
        height_mm: (y * 10.0).round() / 10.0,
        alt: alt(&picture, sheet),
        shapes: c.shapes,
        table: Some(table(&picture, sheet)),
        notes: vec![
            "The whole surface of a tube counts as live, down to its lower end L. Cores drawn as they lie in smooth curves: planning figures, the hold point measures; gaps are true distances in space.".into(),
        ],
    })
}

/// The gaps by the number they carry in every view and in the table.
fn numbered(picture: &Picture) -> impl Iterator<Item = (usize, &PictureGap)> {
    picture.gaps.iter().enumerate().map(|(i, gap)| (i + 1, gap))
}

/// An arrow between the ends of a gap, and its number beside the middle.
fn mark(c: &mut Canvas, from: [f64; 2], to: [f64; 2], number: usize) {
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

/// Heights at which a plan is drawn: of the gap between phases, and of the gap
/// to earthed metal with the least to spare. The others show in their true
/// length in one of the upright views.
fn levels(picture: &Picture, sheet: &Sheet) -> Vec<f64> {
    let spare = |gap: &PictureGap| {
        let (figure, limit) = (sheet.number(gap.figure), sheet.number(gap.limit));
        figure.zip(limit).map_or(f64::INFINITY, |(figure, limit)| figure - limit)
    };
    let between = picture.gaps.iter().find(|g| g.to == GapTo::Phase);
    let beside = picture.gaps.iter().filter(|g| !matches!(g.to, GapTo::Phase | GapTo::Plate));
    let tightest = beside.min_by(|a, b| spare(a).total_cmp(&spare(b)));
    let mut out: Vec<f64> = between.into_iter().chain(tightest).map(PictureGap::height).collect();
    out.dedup_by(|a, b| (*a - *b).abs() <= SAME_LEVEL);
    out
}

/// The plans side by side under the views; the scale they came out at.
fn plans(c: &mut Canvas, picture: &Picture, levels: &[f64], top: f64) -> (f64, String) {
    let half = picture.stud_pitch + picture.stud_to_wall;
    let [(back, back_known), (cover, cover_known)] = depth(picture);
    let count = levels.len().max(1) as f64;
    let (kw, by_width) = scale(2.0 * half * count, PAGE_WIDTH - (count - 1.0) * 4.0);
    let (kh, by_height) = scale(cover - back, PLAN_MOST);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let room = PAGE_WIDTH / count;
    for (i, level) in levels.iter().enumerate() {
        let x0 = room * (i as f64 + 0.5);
        // The cover is nearest to the reader, as in the view from the cover.
        let at = |p: [f64; 2]| [x0 + p[0] * k, top + (p[1] - back) * k];
        let corner = |x: f64, y: f64| at([x * half, y]);
        let dash = |known: bool| if known { "solid" } else { "dash" };
        c.path(&[corner(-1.0, back), corner(1.0, back)], 0.7, dash(back_known));
        c.path(&[corner(-1.0, cover), corner(1.0, cover)], 0.7, dash(cover_known));
        c.path(&[corner(-1.0, back), corner(-1.0, cover)], 0.7, "solid");
        c.path(&[corner(1.0, back), corner(1.0, cover)], 0.7, "solid");
        for phase in &picture.phases {
            if let Some((zone, outline)) = phase.section(*level) {
                let outline: Vec<[f64; 2]> = outline.into_iter().map(at).collect();
                let (fill, w) = fill(zone);
                c.poly(&outline, fill, w);
            }
        }
        for n in [-1.0, 0.0, 1.0] {
            let stud = at([n * picture.stud_pitch, 0.0]);
            c.line([stud[0] - 1.2, stud[1]], [stud[0] + 1.2, stud[1]], 0.2, "solid");
            c.line([stud[0], stud[1] - 1.2], [stud[0], stud[1] + 1.2], 0.2, "solid");
        }
        for (number, gap) in numbered(picture).filter(|(_, g)| g.to != GapTo::Plate) {
            if (gap.height() - level).abs() <= SAME_LEVEL {
                let (from, to) = (gap.from_mm, gap.to_mm);
                mark(c, at([from[0], from[1]]), at([to[0], to[1]]), number);
            }
        }
        let title = format!("plan {} mm above the plate", whole(*level));
        c.text([corner(-1.0, back)[0], top - 3.0], title, 9.0, true, "start");
        c.text([corner(0.0, cover)[0], corner(0.0, cover)[1] + 2.4], "cover", 9.0, false, "middle");
    }
    (k, name)
}

fn title(gap: &PictureGap, entries: bool) -> &'static str {
    match gap.to {
        GapTo::Phase => "phase to phase",
        GapTo::Plate if entries => "tube end to entry",
        GapTo::Plate => "tube end to plate",
        GapTo::Wall => "live length to wall",
        GapTo::Cover => "live length to cover",
        GapTo::Back => "live length to back",
    }
}

/// One row a gap: figure, limit, margin, and where to look for it.
fn table(picture: &Picture, sheet: &Sheet) -> DrawingTable {
    let entries = picture.entry_height.is_some();
    let heights = [
        (
            "B",
            "edge to plate",
            "edge to entry",
            "edge_above_plate",
            "kit.edge_to_plate_least",
            "lowest of three",
        ),
        (
            "B",
            "edge to crutch",
            "",
            "edge_to_crutch",
            "kit.edge_to_crutch_least",
            "along the core, shortest of three",
        ),
    ];
    let heights = heights.into_iter().filter(|h| !(entries && h.2.is_empty())).map(|h| {
        let (letter, plate, entry, figure, limit, place) = h;
        let (figure, limit, margin) = held(sheet, figure, limit);
        let title = if entries { entry } else { plate };
        let place =
            format!("{place}; T0 to B {}", sheet.text("semicon_edge_from_stud").trim_end_matches(" mm"));
        row(letter.to_string(), title, (figure, limit, margin), place)
    });
    let rows = numbered(picture).map(|(number, gap)| {
        let from_stud: Vec<String> =
            gap.ends.iter().map(|(phase, arc)| format!("{} on L{phase}", whole(*arc))).collect();
        let place = format!("{} above G; {} from T0", whole(gap.height()), from_stud.join(", "));
        row(number.to_string(), title(gap, entries), held(sheet, gap.figure, gap.limit), place)
    });
    DrawingTable {
        columns: ["", "Least gap", "mm", "least", "spare", "where, mm"].map(String::from).to_vec(),
        rows: rows.chain(heights).collect(),
    }
}

/// A figure and its limit, which never look alike while they differ, and what
/// is to spare.
fn held(sheet: &Sheet, figure: &str, limit: &str) -> (String, String, String) {
    match sheet.texts_beside(figure, limit) {
        Some((figure, limit, spare)) => (figure, limit, fixed(spare, 1, Rounding::Nearest)),
        None => (sheet.text(figure).into(), sheet.text(limit).into(), "–".to_string()),
    }
}

fn row(mark: String, title: &str, held: (String, String, String), place: String) -> Vec<Vec<Segment>> {
    let words = |text: &str| vec![Segment::Words(text.to_string())];
    let bare = |text: &str| text.trim_end_matches(" mm").to_string();
    let (figure, limit, spare) = held;
    vec![
        words(&mark),
        words(title),
        vec![Segment::Figure(bare(&figure))],
        words(&bare(&limit)),
        words(&spare),
        words(&place),
    ]
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
