//! One phase as cut back: every station from T0, from E0 and from ring R.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::{Drawing, DrawingTable, Segment};
use crate::units;

/// Stations with the facts that place them.
const STATIONS: [(&str, &str, &str); 8] = [
    ("T0", "stud centre", ""),
    ("E0", "core end, inside the lug barrel", "lug_end_offset"),
    ("A", "insulation cut", "lug_insulation_end_to_stud"),
    ("U", "stress control tube, upper end", "sct_upper_from_stud"),
    ("B", "semicon edge", "semicon_edge_from_stud"),
    ("L", "stress control tube, lower end", "sct_lower_from_stud"),
    ("M", "metallic screen cut", "metal_screen_cut_from_stud"),
    ("R", "ring R, kept until the outer tube covers it", "ring_from_stud"),
];

pub(super) fn whole(sheet: &Sheet, name: &str) -> Option<f64> {
    // The printed figure, so that drawing and text agree.
    sheet.get(name)?.value.as_ref().ok()?;
    sheet.text(name).strip_suffix(" mm")?.parse().ok()
}

pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    let body = sheet.text("kit.technique") != "heat-shrink";
    let mut at = [0.0; 8];
    for (slot, (_, _, fact)) in at.iter_mut().zip(STATIONS).skip(1) {
        *slot = whole(sheet, fact)?;
    }
    let [_, e0, a, u, b, l, m, r] = at;
    let dia = |name: &str| sheet.number(name);
    let (over_insulation, over_core, over_metal) = (
        dia("cable.dia_over_insulation")?,
        dia("cable.dia_over_core_screen")?,
        dia("cable.dia_over_metal_screen")?,
    );
    let conductor = dia("cable.conductor.diameter").unwrap_or(over_insulation * 0.55);
    let tube = dia("dia_outer_at_edge")?;
    let palm = dia("lug.palm_width").unwrap_or(30.0);
    // A body is set by its stop tape, which has a place of its own where it is not the lower end
    // of the stress control in it.
    let stop = body.then(|| whole(sheet, "stop_above_ring").map(|mm| r - mm)).flatten();
    let stop = stop.filter(|s| (s - l).abs() >= 0.5);
    let before = 22.0_f64.max(palm * 0.7);
    let after = 28.0;
    let (k, name) = scale(before + r + after, PAGE_WIDTH - 4.0);
    let x = |mm: f64| 2.0 + (before + mm) * k;
    let mut letters: Vec<(f64, &str)> = at.into_iter().zip(STATIONS).map(|(mm, s)| (x(mm), s.0)).collect();
    letters.extend(stop.map(|mm| (x(mm), "S")));
    letters.sort_by(|i, j| i.0.total_cmp(&j.0));
    let levels = staggered(&letters);
    let third = if levels.contains(&2) { 5.0 } else { 0.0 };
    let top_rows = 4.0;
    let axis = 12.0 + top_rows * 7.0 + tube * k / 2.0 + 10.0 + third;
    let mut c = Canvas::default();
    let band = |c: &mut Canvas, from: f64, to: f64, dia: f64, fill: &str| {
        c.rect(x(from), axis - dia * k / 2.0, x(to), axis + dia * k / 2.0, fill, 0.35);
    };
    let end = r + after;
    band(&mut c, m, end, over_metal, "dots");
    band(&mut c, b, m, over_core, "dark");
    band(&mut c, a, b, over_insulation, "white");
    band(&mut c, e0, a, conductor, "grey");
    // Lug: palm, then barrel down to its mouth, the growth gap left open.
    let mouth = a - whole(sheet, "lug.growth").unwrap_or(5.0);
    let barrel = conductor * 1.45;
    c.rect(x(-before), axis - palm * k / 2.0, x(palm * 0.6), axis + palm * k / 2.0, "pale", 0.35);
    c.rect(x(palm * 0.6), axis - barrel * k / 2.0, x(mouth), axis + barrel * k / 2.0, "pale", 0.35);
    c.circle([x(0.0), axis], palm * 0.2 * k, "white", 0.35);
    // The tube, cut open along the core: both walls.
    for side in [-1.0, 1.0] {
        let outer = axis + side * tube * k / 2.0;
        c.poly(
            &[
                [x(u), outer],
                [x(l), outer],
                [x(l), axis + side * over_core * k / 2.0],
                [x(b), axis + side * over_core * k / 2.0],
                [x(b), axis + side * over_insulation * k / 2.0],
                [x(u), axis + side * over_insulation * k / 2.0],
            ],
            "hatch",
            0.35,
        );
        if let (Some(down), Some(up)) = (dia("kit.filler.on_semicon"), dia("kit.filler.on_insulation")) {
            let step = axis + side * over_core * k / 2.0;
            let lift = 1.3 * side;
            c.poly(
                &[
                    [x(b - up), axis + side * over_insulation * k / 2.0],
                    [x(b - up), axis + side * over_insulation * k / 2.0 + lift * 0.4],
                    [x(b), step + lift],
                    [x(b + down), step + lift * 0.4],
                    [x(b + down), step],
                    [x(b), step],
                    [x(b), axis + side * over_insulation * k / 2.0],
                ],
                "black",
                0.2,
            );
        }
    }
    c.rect(
        x(r) - 0.5,
        axis - over_metal * k / 2.0 - 1.2,
        x(r) + 0.5,
        axis + over_metal * k / 2.0 + 1.2,
        "black",
        0.2,
    );
    c.line([x(-before) - 2.0, axis], [x(end) + 2.0, axis], 0.15, "dashdot");
    let half = tube.max(palm) * k / 2.0;
    let top = axis - half - 9.0 - third;
    for ((px, letter), level) in letters.iter().zip(levels) {
        let y = top + 5.0 * level as f64 - 2.5;
        c.line([*px, y + 2.4], [*px, axis + half + 3.0], 0.15, "solid");
        c.circle([*px, y], 3.1, "white", 0.3);
        c.text([*px, y], *letter, 9.0, true, "middle");
    }
    // Above: from ring R. Below: from E0. Each figure on its own row.
    let mut y = top - 8.0;
    for (from, name) in [
        stop.map_or((l, "sct_lower_above_ring"), |s| (s, "stop_above_ring")),
        (b, "edge_above_ring"),
        (u, "sct_upper_above_ring"),
        (a, "insulation_cut_above_ring"),
    ] {
        c.dimension(x(from), x(r), y, sheet.text(name).trim_end_matches(" mm"), 12.0);
        y -= 7.0;
    }
    c.text([x(-before), top - 8.0], "from ring R, mm", 9.0, false, "start");
    let mut y = axis + half + 8.0;
    for (to, name) in [
        (a, "conductor_bare"),
        (b, "semicon_edge_from_end"),
        (m, "metal_screen_cut_from_end"),
        (r, "ring_from_end"),
    ] {
        c.line([x(to), axis + half + 3.0], [x(to), y + 1.0], 0.1, "dot");
        c.dimension(x(e0), x(to), y, sheet.text(name).trim_end_matches(" mm"), 12.0);
        y += 7.0;
    }
    c.line([x(e0), axis + half + 3.0], [x(e0), y - 6.0], 0.1, "dot");
    c.text([x(end), axis + half + 8.0], "from E0, mm", 9.0, false, "end");
    // Key to the fills.
    let no_filler = sheet.text("kit.filler.required") == "no";
    for (i, (fill, words)) in [
        ("white", "insulation"),
        ("dark", "core screen (semicon)"),
        ("dots", "metallic screen"),
        ("hatch", if body { "body with its stress control" } else { "stress control tube" }),
        ("black", if no_filler { "ring R" } else { "filler at the edge; ring R" }),
    ]
    .into_iter()
    .enumerate()
    {
        let (kx, ky) = (4.0 + 58.0 * (i % 3) as f64, y + 1.0 + 6.0 * (i / 3) as f64);
        c.rect(kx, ky, kx + 6.0, ky + 3.6, fill, 0.3);
        c.text([kx + 7.5, ky + 1.8], words, 9.0, false, "start");
    }
    c.scale_bar(6.0, y + 14.0, k, 100.0);
    let height = y + 21.0;
    let words = |text: &str| vec![Segment::Words(text.to_string())];
    let mut stations: Vec<(&str, &str, f64)> =
        STATIONS.iter().zip(at).map(|((letter, what, _), mm)| (*letter, *what, mm)).collect();
    stations.extend(stop.map(|mm| ("S", "stop tape, lower end of the body", mm)));
    stations.sort_by(|i, j| i.2.total_cmp(&j.2));
    let rows = stations
        .into_iter()
        .map(|(letter, what, station)| {
            let what = match (body, letter) {
                (true, "U") => "stress control of the body, upper end",
                (true, "L") => "stress control of the body, lower end",
                (true, "R") => "ring R, kept until the end is closed",
                _ => what,
            };
            let from_end = if station >= e0 {
                vec![Segment::Cut(units::whole(station - e0))]
            } else {
                words(&format!("{} above", units::whole(e0 - station)))
            };
            let from_ring =
                if letter == "T0" { words("–") } else { vec![Segment::Cut(units::whole(r - station))] };
            vec![words(letter), words(what), words(&units::whole(station)), from_end, from_ring]
        })
        .collect();
    Some(Drawing {
        id: "cut-back".into(),
        title: "Cut-back of one phase".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: (height * 10.0).round() / 10.0,
        alt: format!(
            "One core along its length with the lug at the left. From core end E0: insulation cut {}, semicon edge {}, metallic screen cut {}, ring R {}. From ring R upward: tube lower end {}, semicon edge {}, tube upper end {}.",
            sheet.text("conductor_bare"),
            sheet.text("semicon_edge_from_end"),
            sheet.text("metal_screen_cut_from_end"),
            sheet.text("ring_from_end"),
            sheet.text("sct_lower_above_ring"),
            sheet.text("edge_above_ring"),
            sheet.text("sct_upper_above_ring"),
        ),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["", "Station", "from T0, mm", "from E0, mm", "above R, mm"].map(String::from).to_vec(),
            rows,
        }),
        notes: [lengths(sheet), vec![
            if body {
                format!(
                    "Set the semicon edge and the stop tape of the body from ring R, the stop tape {} above it: marks from T0 and E0 are cut away with the scrap.",
                    sheet.text("stop_above_ring")
                )
            } else {
                "Set the semicon edge, the filler and the tube from ring R: marks from T0 and E0 are cut away with the scrap.".into()
            },
            format!(
                "Along the core true to scale; diameters to the same scale, walls{} simplified.",
                if no_filler { "" } else { " and filler" }
            ),
            "The steel rule decides, not the drawing. Where the kit sheet differs, it wins: write it down."
                .into(),
        ]]
        .concat(),
    })
}

/// In which of three rows each letter stands, so that none lies on its neighbour; they come
/// in order along the core.
fn staggered(letters: &[(f64, &str)]) -> Vec<usize> {
    let mut last = [f64::NEG_INFINITY; 3];
    let row = |(px, _): &(f64, &str)| {
        let row = last.iter().position(|at| px - at >= 6.5).unwrap_or(2);
        last[row] = *px;
        row
    };
    letters.iter().map(row).collect()
}

/// The cutting list: tails, oversleeves and tubes by phase.
fn lengths(sheet: &Sheet) -> Vec<String> {
    let by_phase = |name: &str| -> Option<String> {
        let one =
            |n: usize| whole(sheet, &format!("{name}_l{n}")).map(|mm| format!("L{n} {}", units::whole(mm)));
        Some([one(1)?, one(2)?, one(3)?].join(", "))
    };
    let mut out = Vec::new();
    if let Some(tails) = by_phase("tail") {
        let from = if sheet.text("layout.crutch") == "none" {
            "Cores, top of the entry fitting"
        } else {
            "Tails, crutch K"
        };
        out.push(format!(
            "{from} to T0: {tails} mm. Planning lengths: nothing is cut to them, and a core more than 15 mm off (common practice, no source) asks a question."
        ));
    }
    let mut cut = Vec::new();
    if sheet.number("kit.sct.supplied").is_some() {
        cut.push(format!("stress control tube {} as supplied", sheet.text("kit.sct.supplied")));
    }
    let tubes = by_phase("outer_tube").map(|l| format!("outer tube {l} mm"));
    let outer = tubes.is_some();
    cut.extend(tubes);
    let sleeves = by_phase("oversleeve").map(|l| format!("oversleeve {l} mm"));
    let both = sleeves.is_some();
    cut.extend(sleeves);
    if !cut.is_empty() {
        let list = cut.join("; ");
        let shrinks = match (outer, both) {
            (true, true) => {
                " Outer tube and oversleeve as recovered: add what their sheet says for shrinking."
            }
            (true, false) => " Outer tube as recovered: add what its sheet says for shrinking.",
            (false, true) => " Oversleeve as recovered: add what its sheet says for shrinking.",
            (false, false) => "",
        };
        out.push(format!("Cutting list: {list}.{shrinks}"));
    }
    out
}
