//! Three ends on a crossarm in elevation and one from the side: sheds, crossarm,
//! arresters, the one earth point, spacing, arcing distance and the gap from the live
//! length to the crossarm it passes.

use super::canvas::Canvas;
use super::{PAGE_WIDTH, scale};
use crate::facts::Sheet;
use crate::procedure::pack::Drawing;

/// What the view needs, mm; heights are below the terminals T0.
#[derive(Clone, Copy)]
struct View<'a> {
    sheet: &'a Sheet,
    pitch: f64,
    /// How far below the terminals the crossarm begins: where it is nearest both to the
    /// terminal and to the core.
    arm: f64,
    /// The core's axis to the crossarm, where the live length passes it.
    beside: Option<f64>,
    upper: f64,
    lower: f64,
    sheath_cut: f64,
    /// Crutch and metallic screen cut of a three-core cable.
    crutch: Option<(f64, f64)>,
    tube: f64,
    core: f64,
    cable: f64,
    palm: f64,
    k: f64,
    x0: f64,
    top: f64,
}

impl View<'_> {
    fn at(&self, x: f64, below: f64) -> [f64; 2] {
        [self.x0 + x * self.k, self.top + below * self.k]
    }
}

/// Height and depth a crossarm is drawn with, mm.
const ARM: f64 = 60.0;

/// The drawing of its own page.
pub(super) fn drawing(sheet: &Sheet) -> Option<Drawing> {
    elevation(sheet, false)
}

/// The copy for the summary.
pub(super) fn small(sheet: &Sheet) -> Option<Drawing> {
    elevation(sheet, true)
}

fn elevation(sheet: &Sheet, small: bool) -> Option<Drawing> {
    if sheet.text("family") != "outdoor" {
        return None;
    }
    let number = |name: &str| sheet.number(name);
    let pitch = number("enclosure.stud_pitch")?;
    let sheath_cut = number("sheath_cut_from_stud")?;
    let (room_w, room_h, left) = if small { (66.0, 64.0, 16.0) } else { (116.0, 150.0, 31.0) };
    let (kw, by_width) = scale(2.0 * pitch + 360.0, room_w);
    let (kh, by_height) = scale(sheath_cut + 300.0, room_h);
    let (k, name) = if kw < kh { (kw, by_width) } else { (kh, by_height) };
    let (arm, lower) = (
        number("arm_below_terminal").or_else(|| number("enclosure.arcing_distance"))?,
        number("sct_lower_from_stud")?,
    );
    let v = View {
        sheet,
        pitch,
        arm,
        beside: number("enclosure.core_to_earthed").filter(|_| arm < lower),
        upper: number("sct_upper_from_stud")?,
        lower,
        sheath_cut,
        crutch: (sheet.is_yes("stands_free"))
            .then(|| Some((number("layout.tail")?, number("metal_screen_cut_from_stud")?)))
            .flatten(),
        tube: number("dia_outer_at_edge")?,
        core: number("cable.dia_over_metal_screen")?,
        cable: number("cable.overall_diameter")?,
        palm: number("lug.palm_width")?,
        k,
        x0: left + (pitch + 180.0) * k,
        top: 18.0,
    };
    let mut c = Canvas::default();
    let half = v.pitch + 160.0;
    let (a, b) = (v.at(-half, v.arm), v.at(half, v.arm + ARM));
    c.rect(a[0], a[1], b[0], b[1], "cross", 0.5);
    let (a, b) = (v.at(-70.0, v.arm + ARM), v.at(70.0, v.sheath_cut + 250.0));
    c.rect(a[0], a[1], b[0], b[1], "pale", 0.5);
    let fitted = sheet.is_yes("arresters.fitted");
    for (i, label) in [(-1.0, "L1"), (0.0, "L2"), (1.0, "L3")] {
        end(&mut c, &v, i * v.pitch, label);
        if fitted {
            arrester(&mut c, &v, i * v.pitch + 130.0);
        }
    }
    if let Some((crutch, _)) = v.crutch {
        let wide = v.cable * 0.65;
        let (a, b) = (v.at(-wide, crutch), v.at(wide, v.sheath_cut + 250.0));
        c.rect(a[0], a[1], b[0], b[1], "pale", 0.35);
        c.text([b[0] + 2.0, a[1] + 3.0], "crutch K", 9.0, false, "start");
    }
    match v.beside {
        Some(beside) => side(&mut c, &v, beside, small),
        None => straight_down(&mut c, &v, half),
    }
    let labels = dimensions(&mut c, &v, half, fitted, small);
    let bottom = v.at(0.0, v.sheath_cut + 250.0)[1];
    c.scale_bar(v.x0 - 100.0 * k, bottom + 5.0, k, 200.0);
    Some(Drawing {
        id: if small { "crossarm-small" } else { "crossarm" }.into(),
        title: "The three ends on the crossarm".into(),
        scale: name,
        width_mm: if small { v.at(half, 0.0)[0] + 38.0 } else { PAGE_WIDTH },
        height_mm: ((bottom + 11.0).max(labels + 4.0) * 10.0).round() / 10.0,
        alt: format!(
            "Three ends upright on a crossarm, {} between phases. Terminal to nearest earthed metal {}, least {}. From the live length to earthed metal beside it {}, least {}. {} sheds each. {}",
            sheet.text("enclosure.stud_pitch"),
            sheet.text("enclosure.arcing_distance"),
            sheet.text("arcing_needed"),
            sheet.text("outdoor_earth_gap"),
            sheet.text("kit.earth_gap_least"),
            sheet.text("kit.sheds.count"),
            if fitted {
                "Arrester beside each end, earthed with screens and bracket at one point."
            } else {
                "No arresters."
            },
        ),
        shapes: c.shapes,
        table: None,
        notes: vec![format!(
            "All above the {}'s lower end L counts as live; measure as mounted, jumpers on. Crossarm and arresters by their distances only: the line's own drawing rules.",
            sheet.text("stress_part")
        )],
    })
}

/// One end: palm, barrel and tubes, sheds, cable down to its cleat.
fn end(c: &mut Canvas, v: &View, x: f64, label: &str) {
    let band = |c: &mut Canvas, from: f64, to: f64, dia: f64, fill: &str| {
        let (a, b) = (v.at(x - dia / 2.0, from), v.at(x + dia / 2.0, to));
        c.rect(a[0], a[1], b[0], b[1], fill, 0.35);
    };
    match v.crutch {
        None => {
            band(c, v.sheath_cut, v.sheath_cut + 250.0, v.cable * 1.3, "pale");
            band(c, v.lower, v.sheath_cut, v.core * 1.3, "dots");
        }
        // The cores part at the crutch and run straight above the screen cut.
        Some((crutch, screen_cut)) => {
            let (half, foot) = (v.core * 0.65, x.signum() * v.core * f64::from(u8::from(x != 0.0)));
            band(c, v.lower, screen_cut, v.core * 1.3, "dots");
            let slant = [
                (x - half, screen_cut),
                (x + half, screen_cut),
                (foot + half, crutch),
                (foot - half, crutch),
            ];
            c.poly(&slant.map(|(x, y)| v.at(x, y)), "dots", 0.35);
        }
    }
    band(c, 0.0, v.upper, v.tube * 0.8, "white");
    band(c, v.upper, v.lower, v.tube, "hatch");
    band(c, -v.palm * 0.7, v.palm, v.palm * 1.4, "pale");
    // Sheds from below the lug seal downward, skirts down.
    let sheds = |name: &str| v.sheet.number(name);
    if let (Some(count), Some(first), Some(pitch)) =
        (sheds("kit.sheds.count"), sheds("kit.sheds.first"), sheds("kit.sheds.pitch"))
    {
        let wide = v.tube * 1.5;
        for n in 0..(count.clamp(0.0, 20.0) as usize) {
            let y = v.palm + first + pitch * n as f64;
            c.poly(
                &[
                    v.at(x - v.tube / 2.0, y),
                    v.at(x + v.tube / 2.0, y),
                    v.at(x + wide, y + 26.0),
                    v.at(x - wide, y + 26.0),
                ],
                "grey",
                0.3,
            );
        }
    }
    let head = v.at(x, 0.0);
    c.circle(head, 1.0, "black", 0.2);
    c.text([head[0], head[1] - v.palm * v.k - 3.0], label, 9.0, true, "middle");
}

/// An arrester beside an end: line lead, body, earth lead to the bracket.
fn arrester(c: &mut Canvas, v: &View, x: f64) {
    let (from, to) = (v.arm * 0.25, v.arm * 0.85);
    let (a, b) = (v.at(x - 28.0, from), v.at(x + 28.0, to));
    c.rect(a[0], a[1], b[0], b[1], "white", 0.4);
    for i in 1..5 {
        let y = from + (to - from) * f64::from(i) / 5.0;
        c.line(v.at(x - 42.0, y), v.at(x + 42.0, y), 0.4, "solid");
    }
    c.path(&[v.at(x - 130.0, 0.0), v.at(x, 0.0), v.at(x, from)], 0.5, "solid");
    c.line(v.at(x, to), v.at(x, v.arm), 0.7, "solid");
}

/// One end from the side: how it stands in front of the crossarm that it passes.
fn side(c: &mut Canvas, v: &View, beside: f64, small: bool) {
    let v = View { x0: if small { 2.5 } else { 5.0 }, ..*v };
    let (a, b) = (v.at(beside, v.arm), v.at(beside + ARM, v.arm + ARM));
    c.rect(a[0], a[1], b[0], b[1], "cross", 0.5);
    end(c, &v, 0.0, "");
    c.arrow(v.at(0.0, 0.0), a, 0.3, "both");
    let gap = v.arm + ARM / 2.0;
    c.arrow(v.at(v.tube / 2.0, gap), v.at(beside, gap), 0.3, "both");
    if small {
        return;
    }
    let sheet = v.sheet;
    let [x, y] = v.at(beside * 0.62, v.arm * 0.45);
    c.text([x + 1.0, y], sheet.text("enclosure.arcing_distance"), 9.0, true, "start");
    let [x, y] = v.at(v.tube / 2.0, v.arm + ARM);
    c.text([x + 1.5, y + 4.0], sheet.text("outdoor_earth_gap"), 9.0, true, "start");
    c.text([0.5, v.at(0.0, 0.0)[1] - v.palm * v.k - 3.0], "from the side", 9.0, false, "start");
}

/// Where the ends stand above their crossarm: the arcing distance down to it.
fn straight_down(c: &mut Canvas, v: &View, half: f64) {
    let x = v.at(-half, 0.0)[0] - 8.0;
    let (head, foot) = (v.at(0.0, 0.0)[1], v.at(0.0, v.arm)[1]);
    c.line([x - 1.0, head], [v.at(-v.pitch, 0.0)[0], head], 0.12, "dot");
    c.arrow([x, head], [x, foot], 0.3, "both");
    c.rect(x - 1.7, (head + foot) / 2.0 - 9.0, x + 1.7, (head + foot) / 2.0 + 9.0, "white", 0.0);
    c.text_up([x, (head + foot) / 2.0], v.sheet.text("enclosure.arcing_distance").to_string(), 9.0, true);
}

/// Spacing as a dimension, figures and limits as labels at the right; returns where the
/// labels end.
fn dimensions(c: &mut Canvas, v: &View, half: f64, fitted: bool, small: bool) -> f64 {
    let fitted = fitted && !small;
    let sheet = v.sheet;
    let [l, y] = v.at(-v.pitch, 0.0);
    let figure = |name: &str| sheet.text(name).trim_end_matches(" mm").to_string();
    c.dimension(l, v.at(0.0, 0.0)[0], y - 12.0, &figure("enclosure.stud_pitch"), 12.0);
    let right = v.at(half, 0.0)[0] + 2.4;
    let mut rows = vec![
        ("gap between phases", sheet.text("outdoor_phase_gap"), "kit.phase_gap_least"),
        ("gap to earthed metal", sheet.text("outdoor_earth_gap"), "kit.earth_gap_least"),
        ("arcing distance", sheet.text("enclosure.arcing_distance"), "arcing_needed"),
        ("creepage of the kit", sheet.text("kit.creepage"), "creepage_needed"),
    ];
    if fitted {
        rows.push((
            "arrester leads together",
            sheet.text("arresters.lead_total"),
            "arresters.lead_total_most",
        ));
    }
    let mut y = v.top - 12.0;
    for (title, text, limit) in rows {
        let word = if limit.ends_with("most") { "most" } else { "least" };
        c.text([right, y], title, 9.0, false, "start");
        c.text([right, y + 4.2], text.to_string(), 9.0, true, "start");
        // Beside the figure where there is room.
        let after = if text.len() > "820 mm".len() { 17.6 } else { 16.2 };
        let [x, down] = if small { [right, y + 8.4] } else { [right + after, y + 4.2] };
        c.text([x, down], format!("({word} {})", sheet.text(limit)), 9.0, false, "start");
        y = down + 4.2;
        if limit == "arcing_needed" {
            let altitude = format!("{}, IEC 62271-1", sheet.text("site.altitude"));
            c.text([right, y], altitude, 9.0, false, "start");
            y += 4.2;
        }
        y += 3.4;
    }
    if fitted {
        let point = v.at(70.0, v.arm + ARM / 2.0);
        c.circle(point, 1.2, "black", 0.3);
        c.line(point, [right - 1.0, y + 2.0], 0.15, "dash");
        c.text([right, y + 2.0], "one earth point:", 9.0, false, "start");
        c.text([right, y + 6.2], "arrester, screens,", 9.0, false, "start");
        c.text([right, y + 10.4], "bracket", 9.0, false, "start");
        y += 14.0;
    }
    y
}
