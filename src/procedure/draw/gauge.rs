//! The cut-back at full size: a strip to cut out and lay along the core from its
//! end, E0, in tiles that fit the sheet.

use super::canvas::Canvas;
use super::cutback::whole;
use crate::facts::{Sheet, tube_series};
use crate::procedure::pack::Drawing;
use crate::procedure::pages::Gauge;
use crate::units::{self, Rounding, fixed};

/// Height of a tile at most, and of the strip on one, mm.
const TILE: f64 = 240.0;
const ON_A_TILE: f64 = 200.0;
/// Two tiles lie side by side on a sheet.
const WIDTH: f64 = 88.0;
/// Where the strip lies on its tile, and the bar beside it.
const LEFT: f64 = 16.0;
const STRIP: f64 = 30.0;
const BAR: f64 = 4.0;
const TOP: f64 = 16.0;

/// Marks from E0 downward, with the facts that place them.
const MARKS: [(&str, &str, &str); 6] = [
    ("A", "insulation cut", "conductor_bare"),
    ("U", "", ""),
    ("B", "semicon edge", "semicon_edge_from_end"),
    ("L", "", ""),
    ("M", "metallic screen cut", "metal_screen_cut_from_end"),
    ("R", "ring R", "ring_from_end"),
];

/// Marks of a joint from C0 outward, the same on both sides.
const JOINT: [(&str, &str, &str); 5] = [
    ("A", "insulation cut", "insulation_cut_from_c0"),
    ("B", "semicon edge", "kit.semicon_edge"),
    ("S", "stress control, end", "tube_end_from_c0"),
    ("M", "metallic screen cut", "kit.screen_cut"),
    ("D", "body, end", "body_end_from_c0"),
];

/// Where a strip starts: its letter, what that is, how it is laid.
struct Datum {
    of: &'static str,
    letter: &'static str,
    what: &'static str,
    lay: &'static str,
}

const CORE_END: Datum = Datum {
    of: "cut-back",
    letter: "E0",
    what: "E0, core end",
    lay: "Lay E0 on the cut core end. Pieces join at their register marks; the figures count from E0.",
};

const CENTRE: Datum = Datum {
    of: "cut-back",
    letter: "C0",
    what: "C0, joint centre",
    lay: "Lay C0 on the joint centre, once to side X, once to side Y. Pieces join at their register marks; the figures count from C0.",
};

/// A strip for what is felt on an old end: how far apart the two steps are.
const UPPER_STEP: Datum = Datum {
    of: "two steps",
    letter: "U",
    what: "U, upper step",
    lay: "Lay U on the upper step as taped. Where the lower step falls short of the mark of this voltage, the tube is made for a lower one.",
};

/// The same where the kit that is built in is known.
const BY_THE_KIT: Datum = Datum {
    lay: "Lay U on the upper step as taped. Where the lower step does not fall between the two marks of the kit, the tube is not this kit's or not as its sheet has it.",
    ..UPPER_STEP
};

struct Mark {
    letter: String,
    what: String,
    at: f64,
}

/// The strip, or no pieces where a station is missing.
pub(in crate::procedure) fn gauge(sheet: &Sheet) -> Gauge {
    let datum = match sheet.text("family") {
        "joint" => &CENTRE,
        "inspection" if sheet.is_yes("kit_known") => &BY_THE_KIT,
        "inspection" => &UPPER_STEP,
        _ => &CORE_END,
    };
    let notes = [
        "Gauge strip only before the final clean: toner is carbon, never on cleaned insulation; the steel rule decides.",
        "Printed at full size: the bar on each piece must measure 100 mm on a steel rule, else the strip is not used.",
        datum.lay,
    ];
    Gauge {
        pieces: marks(sheet).map(|m| pieces(&m, datum)).unwrap_or_default(),
        notes: notes.map(String::from).to_vec(),
    }
}

fn marks(sheet: &Sheet) -> Option<Vec<Mark>> {
    if sheet.text("family") == "inspection" {
        return series(sheet);
    }
    if sheet.text("family") == "joint" {
        let mark = |(letter, what, fact): &(&str, &str, &str)| {
            Some(Mark { letter: (*letter).into(), what: (*what).into(), at: whole(sheet, fact)? })
        };
        return JOINT.iter().map(mark).collect();
    }
    let ring = whole(sheet, "ring_from_end")?;
    // A body is set by its stop tape, a tube by its lower end.
    let body = sheet.text("kit.technique") != "heat-shrink";
    let lower = whole(sheet, if body { "stop_above_ring" } else { "sct_lower_above_ring" })?;
    let own = lower == whole(sheet, "sct_lower_above_ring")?;
    let mut out = Vec::new();
    for (letter, what, fact) in MARKS {
        let (letter, what, at) = match letter {
            "U" => {
                let what = if body { "stress control, top" } else { "tube, upper end" };
                (letter, what, ring - whole(sheet, "sct_upper_above_ring")?)
            }
            "L" if body => (if own { "L" } else { "S" }, "stop tape", ring - lower),
            "L" => (letter, "tube, lower end", ring - lower),
            _ => (letter, what, whole(sheet, fact)?),
        };
        out.push(Mark { letter: letter.into(), what: what.into(), at });
    }
    out.sort_by(|a, b| a.at.total_cmp(&b.at));
    Some(out)
}

/// Least lengths of a tube by voltage, and the band this one is held against.
fn series(sheet: &Sheet) -> Option<Vec<Mark>> {
    // The limit the point prints: the kit's, where the kit is known.
    let known = sheet.is_yes("kit_known");
    let (low, high) = if known {
        (sheet.number("kit.sct.recovered_least")?, sheet.number("kit.sct.recovered_most")?)
    } else {
        (sheet.number("voltage_tube_low")?, sheet.number("voltage_tube_high")?)
    };
    let here = if known { "by the kit".into() } else { format!("at {}", sheet.text("system.nominal")) };
    let mut out = vec![
        Mark { letter: "from".into(), what: format!("least {here}"), at: low },
        Mark { letter: "to".into(), what: format!("most {here}"), at: high },
    ];
    // A mark of the series that all but meets one of the band would hide it.
    let clear = |at: f64| (at - low).abs() > 8.0 && (at - high).abs() > 8.0;
    let others = tube_series().filter(|(_, least)| clear(*least) && *least < high + 70.0);
    out.extend(others.map(|(kv, least)| Mark {
        letter: String::new(),
        what: format!("least at {kv} kV"),
        at: least,
    }));
    out.sort_by(|a, b| a.at.total_cmp(&b.at));
    Some(out)
}

/// Whole where it is whole, else one decimal.
fn figure(mm: f64) -> String {
    fixed(mm, usize::from((mm - mm.round()).abs() >= 0.05), Rounding::Nearest)
}

fn pieces(marks: &[Mark], datum: &Datum) -> Vec<Drawing> {
    let end = marks.iter().map(|m| m.at).fold(0.0, f64::max) + 8.0;
    let count = (end / ON_A_TILE).ceil().max(1.0) as usize;
    // Equal tiles, so that none is a sliver and each takes the bar; whole mm, so that
    // joins are figures.
    let length = (end / count as f64).ceil().max(120.0);
    (0..count).map(|i| piece(marks, datum, i, count, i as f64 * length, (i + 1) as f64 * length)).collect()
}

fn piece(marks: &[Mark], datum: &Datum, index: usize, count: usize, from: f64, to: f64) -> Drawing {
    let mut c = Canvas::default();
    let y = |mm: f64| TOP + mm - from;
    let (left, right) = (LEFT, LEFT + STRIP);
    let (first, last) = (index == 0, index + 1 == count);
    c.text([left, 4.0], format!("Piece {} of {count}", index + 1), 10.0, true, "start");
    c.text(
        [left, 9.5],
        format!("{} to {} mm from {}", units::whole(from), units::whole(to), datum.letter),
        9.0,
        false,
        "start",
    );
    c.rect(left, y(from), right, y(to), "white", 0.4);
    if first {
        c.line([left - 4.0, y(0.0)], [right + 4.0, y(0.0)], 0.8, "solid");
        c.text([right + 5.5, y(0.0)], datum.what, 9.0, true, "start");
    }
    ticks(&mut c, from, to, left, &y);
    let (mut above, mut written) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for mark in marks.iter().filter(|m| m.at >= from && (m.at < to || (last && m.at <= to))) {
        let at = y(mark.at);
        // A letter beside its neighbour's, a caption below it with a line to its mark.
        let aside = if at - above < 6.0 { 7.0 } else { 0.0 };
        let text = at.max(written + 9.4);
        (above, written) = (at, text);
        if text > at {
            c.line([right + 4.0, at], [right + 5.2, text - 1.6], 0.3, "solid");
        }
        if figured(mark.at, from, to) {
            c.line([left, at], [left + 5.8, at], 0.6, "solid");
            c.line([left + 14.0, at], [right + 4.0, at], 0.6, "solid");
        } else {
            c.line([left, at], [right + 4.0, at], 0.6, "solid");
        }
        c.text([left + STRIP - 7.0 - aside, at - 3.0], mark.letter.clone(), 14.0, true, "middle");
        c.text([right + 5.5, text - 1.6], format!("{} mm", figure(mark.at)), 12.0, true, "start");
        c.text([right + 5.5, text + 3.0], mark.what.clone(), 9.0, false, "start");
    }
    if !first {
        register(&mut c, y(from), left, right);
    }
    if !last {
        register(&mut c, y(to), left, right);
    }
    // The bar beside the strip: 100 mm along the same direction.
    let (top, bottom) = (y(from) + 10.0, y(from) + 110.0);
    c.line([BAR, top], [BAR, bottom], 0.5, "solid");
    for end in [top, bottom] {
        c.line([BAR - 2.0, end], [BAR + 2.0, end], 0.5, "solid");
    }
    c.text_up([BAR + 3.4, top + 50.0], "must measure 100 mm", 9.0, true);
    c.text([BAR, y(to) + 7.0], "Only before the final clean:", 9.0, true, "start");
    c.text([BAR, y(to) + 11.5], "toner is carbon. The steel rule decides.", 9.0, true, "start");
    let listed: Vec<String> = marks.iter().map(|m| format!("{} {} mm", m.letter, figure(m.at))).collect();
    let height = y(to) + 15.0;
    debug_assert!(height <= TILE);
    Drawing {
        id: format!("gauge-{}", index + 1),
        title: format!("Gauge strip of the {}, piece {} of {count}", datum.of, index + 1),
        scale: "1 : 1".into(),
        width_mm: WIDTH,
        height_mm: height,
        alt: format!(
            "Strip from {} to {} mm from {}, full size. Marks from there: {}.",
            units::whole(from),
            units::whole(to),
            datum.what,
            listed.join(", ")
        ),
        shapes: c.shapes,
        table: None,
        notes: Vec::new(),
    }
}

/// Whether a figure of the scale stands where a mark at `mm` would strike it out.
fn figured(mm: f64, from: f64, to: f64) -> bool {
    let figure = (mm / 50.0).round() * 50.0;
    (figure - mm).abs() < 2.6 && figure > from && figure < to - 2.0
}

fn ticks(c: &mut Canvas, from: f64, to: f64, left: f64, y: &impl Fn(f64) -> f64) {
    let mut mm = (from / 5.0).ceil() * 5.0;
    while mm <= to {
        let tens = (mm / 10.0).fract() == 0.0;
        c.line([left, y(mm)], [left + if tens { 5.0 } else { 3.0 }, y(mm)], 0.2, "solid");
        // The figure at a join would be cut in two.
        if (mm / 50.0).fract() == 0.0 && mm > from && mm < to - 2.0 {
            c.text([left + 6.5, y(mm)], units::whole(mm), 9.0, false, "start");
        }
        mm += 5.0;
    }
}

/// Crosses at both sides of a join.
fn register(c: &mut Canvas, y: f64, left: f64, right: f64) {
    for x in [left - 4.0, right + 4.0] {
        c.circle([x, y], 1.6, "none", 0.25);
        c.line([x - 3.0, y], [x + 3.0, y], 0.25, "solid");
        c.line([x, y - 3.0], [x, y + 3.0], 0.25, "solid");
    }
}
