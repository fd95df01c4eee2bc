//! Drawings to scale, as shapes in paper millimetres. The layout strokes them
//! and computes nothing.

mod canvas;
mod connector;
mod crossarm;
mod cutback;
mod enclosure;
mod gauge;
mod inspected_pole;
mod inspection;
mod joint;
mod plans;
mod summary;
mod view;

pub use canvas::Shape;
pub(super) use gauge::gauge;

use super::pack::Drawing;
use crate::facts::Sheet;

/// Width of the page between its margins, mm.
const PAGE_WIDTH: f64 = 178.0;

/// The drawings of the work; one whose facts are missing is left out.
pub(super) fn drawings(sheet: &Sheet) -> Vec<Drawing> {
    let mut out = Vec::new();
    if sheet.text("family") == "inspection" {
        // What is found is drawn, not what a kit would come to.
        out.extend(inspection::phase(sheet));
        out.extend(inspection::box_(sheet));
        out.extend(inspected_pole::drawing(sheet));
        return out;
    }
    out.extend(cutback::drawing(sheet));
    out.extend(joint::core(sheet));
    out.extend(joint::whole(sheet));
    out.extend(crossarm::drawing(sheet));
    out.extend(connector::drawing(sheet));
    out.extend(enclosure::drawing(sheet));
    // The copy for the summary, last: one of the three.
    out.extend(joint::small(sheet));
    out.extend(crossarm::small(sheet));
    out.extend(summary::drawing(sheet));
    out
}

/// The largest ordinary scale at which `extent` fits into `room`: paper mm for
/// one mm, and its name.
fn scale(extent: f64, room: f64) -> (f64, String) {
    const STEPS: [(f64, &str); 14] = [
        (1.0, "1 : 1"),
        (2.0, "1 : 2"),
        (2.5, "1 : 2.5"),
        (3.0, "1 : 3"),
        (4.0, "1 : 4"),
        (5.0, "1 : 5"),
        (6.0, "1 : 6"),
        (8.0, "1 : 8"),
        (10.0, "1 : 10"),
        (15.0, "1 : 15"),
        (20.0, "1 : 20"),
        (25.0, "1 : 25"),
        (30.0, "1 : 30"),
        (50.0, "1 : 50"),
    ];
    let fits = STEPS.iter().find(|(divisor, _)| extent / divisor <= room).unwrap_or(&STEPS[13]);
    (1.0 / fits.0, fits.1.to_string())
}
