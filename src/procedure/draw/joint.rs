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

/// What is drawn of one core, mm.
struct Core {
    connector_half: f64,
    cut: f64,
    edge: f64,
    screen: f64,
    tube: f64,
    body: f64,
    conductor: f64,
    insulation: f64,
    over_core: f64,
    over_screen: f64,
}

impl Core {
    fn new(sheet: &Sheet) -> Option<Self> {
        if sheet.text("family") != "joint" {
            return None;
        }
        Some(Self {
            connector_half: mm(sheet, "kit.connector_half")?,
            cut: mm(sheet, "insulation_cut_from_c0")?,
            edge: mm(sheet, "kit.semicon_edge")?,
            screen: mm(sheet, "kit.screen_cut")?,
            tube: mm(sheet, "tube_end_from_c0")?,
            body: mm(sheet, "body_end_from_c0")?,
            conductor: mm(sheet, "cable.conductor.diameter")?,
            insulation: mm(sheet, "cable.dia_over_insulation")?,
            over_core: mm(sheet, "cable.dia_over_core_screen")?,
            over_screen: mm(sheet, "cable.dia_over_metal_screen")?,
        })
    }

    /// Half of what is drawn, mm of the joint.
    fn end(&self) -> f64 {
        self.body.max(self.screen) + 45.0
    }

    /// Half the height of the section.
    fn outer(&self, k: f64) -> f64 {
        (self.over_screen + 14.0).max(34.0) * k / 2.0
    }

    /// Names, facts and distances of the stations, from C0 outward.
    fn stations(&self) -> [(&'static str, &'static str, f64); 5] {
        [
            ("insulation cut", "insulation_cut_from_c0", self.cut),
            ("semicon edge", "kit.semicon_edge", self.edge),
            ("stress control, ends", "tube_end_from_c0", self.tube),
            ("metallic screen cut", "kit.screen_cut", self.screen),
            ("body, ends", "body_end_from_c0", self.body),
        ]
    }

    /// The section round C0, true along the core; `foot` is how far the centre line
    /// reaches under it.
    fn draw(&self, c: &mut Canvas, middle: f64, axis: f64, k: f64, foot: f64) {
        let x = |at: f64| middle + at * k;
        let (end, outer) = (self.end(), self.outer(k));
        both(c, &x, axis, self.screen, end, self.over_screen * k / 2.0, "dots");
        both(c, &x, axis, self.edge, self.screen, self.over_core * k / 2.0, "dark");
        both(c, &x, axis, self.cut, self.edge, self.insulation * k / 2.0, "white");
        both(c, &x, axis, self.connector_half, self.cut, self.insulation * k / 2.0, "black");
        let (half, thick) = (self.connector_half, self.conductor * 0.85 * k);
        c.rect(x(-half), axis - thick, x(half), axis + thick, "grey", 0.35);
        // Stress control and body, cut open: both walls.
        // In a small scale a wall is drawn thicker than it is, else its two lines print as one.
        let wall = (3.2 * k).max(0.9);
        for side in [-1.0, 1.0] {
            let inner = axis + side * (self.over_core * k / 2.0 + 0.4);
            c.rect(x(-self.tube), inner, x(self.tube), inner + side * wall, "hatch", 0.3);
            let (from, to) = (inner + side * (wall + 0.3), inner + side * (2.6 * wall));
            c.rect(x(-self.body), from, x(self.body), to, "pale", 0.3);
        }
        c.line([x(0.0), axis - outer - 6.0], [x(0.0), axis + outer + foot], 0.3, "dashdot");
        c.text([x(0.0), axis - outer - 9.0], "C0", 10.0, true, "middle");
        c.text([x(-end) + 2.0, axis - outer - 9.0], "side X", 10.0, true, "start");
        c.text([x(end) - 2.0, axis - outer - 9.0], "side Y", 10.0, true, "end");
    }
}

/// The copy for the summary: one half dimensioned, the other half names the stations.
pub(super) fn small(sheet: &Sheet) -> Option<Drawing> {
    const WIDTH: f64 = 116.0;
    let core = Core::new(sheet)?;
    let (k, name) = scale(2.0 * core.end(), WIDTH - 2.0);
    let (middle, outer) = (WIDTH / 2.0, core.outer(k));
    let axis = 13.0 + outer;
    let mut c = Canvas::default();
    core.draw(&mut c, middle, axis, k, 40.0);
    let mut y = axis + outer + 6.0;
    for (what, fact, at) in core.stations() {
        c.line([middle + at * k, axis], [middle + at * k, y + 1.0], 0.1, "dot");
        c.dimension(middle, middle + at * k, y, &figure(sheet, fact), 11.0);
        c.text([middle - 3.0, y], what, 9.0, false, "end");
        y += 7.0;
    }
    c.text([2.0, y], "from C0, mm, the same on both sides", 9.0, false, "start");
    c.scale_bar(2.0, y + 4.0, k, 100.0);
    Some(Drawing {
        id: "joint-small".into(),
        title: "One core of the joint in section".into(),
        scale: name,
        width_mm: WIDTH,
        height_mm: ((y + 11.0) * 10.0).round() / 10.0,
        alt: alt(sheet),
        shapes: c.shapes,
        table: None,
        notes: Vec::new(),
    })
}

fn alt(sheet: &Sheet) -> String {
    format!(
        "One core from C0 to both sides. From C0: insulation cut {}, semicon edge {}, ends of the stress control {}, metallic screen cut {}, ends of the body {}.",
        sheet.text("insulation_cut_from_c0"),
        sheet.text("kit.semicon_edge"),
        sheet.text("tube_end_from_c0"),
        sheet.text("kit.screen_cut"),
        sheet.text("body_end_from_c0"),
    )
}

/// One core of the joint, true along the core.
pub(super) fn core(sheet: &Sheet) -> Option<Drawing> {
    let core = Core::new(sheet)?;
    let (k, name) = scale(2.0 * core.end(), PAGE_WIDTH - 4.0);
    let middle = PAGE_WIDTH / 2.0;
    let x = move |at: f64| middle + at * k;
    let outer = core.outer(k);
    let axis = 16.0 + outer + 8.0;
    let mut c = Canvas::default();
    core.draw(&mut c, middle, axis, k, 44.0);
    let mut y = axis + outer + 6.0;
    for (_, fact, at) in core.stations() {
        for side in [-1.0, 1.0] {
            c.line([x(side * at), axis], [x(side * at), y + 1.0], 0.1, "dot");
        }
        c.dimension(x(0.0), x(at), y, &figure(sheet, fact), 11.0);
        c.dimension(x(-at), x(0.0), y, &figure(sheet, fact), 11.0);
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
    Some(Drawing {
        id: "joint-core".into(),
        title: "One core of the joint".into(),
        scale: name,
        width_mm: PAGE_WIDTH,
        height_mm: ((y + 29.0) * 10.0).round() / 10.0,
        alt: alt(sheet),
        shapes: c.shapes,
        table: Some(DrawingTable {
            columns: ["Station", "from C0, both sides, mm"].map(String::from).to_vec(),
            rows: core
                .stations()
                .map(|(what, fact, _)| vec![words(what), vec![Segment::Cut(figure(sheet, fact))]])
                .to_vec(),
        }),
        notes: vec![
            "Along the core true to scale; diameters to the same scale, walls simplified.".into(),
            "The steel rule decides, not the drawing. Where the kit sheet differs, it wins: write it down."
                .into(),
        ],
    })
}

/// The whole joint: sheath cuts, crutches or ends of bedding, sleeve with its offset.
/// Of three single cables one is drawn.
pub(super) fn whole(sheet: &Sheet) -> Option<Drawing> {
    if sheet.text("family") != "joint" {
        return None;
    }
    let (cut_x, cut_y) = (mm(sheet, "kit.sheath_cut_x")?, mm(sheet, "kit.sheath_cut_y")?);
    let (crutch_x, crutch_y) = (mm(sheet, "crutch_from_c0_x")?, mm(sheet, "crutch_from_c0_y")?);
    let (sleeve_x, sleeve_y) = (mm(sheet, "sleeve_end_x")?, mm(sheet, "sleeve_end_y")?);
    let body = mm(sheet, "body_end_from_c0")?;
    let single = sheet.text("cable.cores") == "1";
    // What lies between the sheath and the core: a single cable without armour has nothing.
    let inner = match (single, crutch_x < cut_x) {
        (false, _) => Some("crutch"),
        (true, true) => Some("end of bedding"),
        (true, false) => None,
    };
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
    let lanes: &[f64] = if single { &[0.0] } else { &[-0.55, 0.0, 0.55] };
    for lane in lanes {
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
    let inside = inner.map(|_| (crutch_x, crutch_y, "crutch_from_c0_x", "crutch_from_c0_y"));
    let rows = [
        (cut_x, cut_y, "kit.sheath_cut_x", "kit.sheath_cut_y"),
        (sleeve_x, sleeve_y, "sleeve_end_x", "sleeve_end_y"),
    ];
    for (at_x, at_y, fact_x, fact_y) in inside.into_iter().chain(rows) {
        c.line([x(-at_x), axis], [x(-at_x), y + 1.0], 0.1, "dot");
        c.line([x(at_y), axis], [x(at_y), y + 1.0], 0.1, "dot");
        c.dimension(x(-at_x), x(0.0), y, &figure(sheet, fact_x), 11.0);
        c.dimension(x(0.0), x(at_y), y, &figure(sheet, fact_y), 11.0);
        y += 7.0;
    }
    let key = inner.map_or(String::new(), |inner| format!("{inner}, "));
    let of = if single { "; one of the three cables" } else { "" };
    c.text([3.0, y], format!("from C0, mm: {key}sheath cut, end of outer sleeve{of}"), 9.0, false, "start");
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
