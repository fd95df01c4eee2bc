//! Cable, kit and tools beside what the job asks of them, with the margin.

use super::pages::MatchRow;
use crate::facts::Sheet;
use crate::job::Value;
use crate::units::{Rounding, fixed};

pub(super) fn matches(sheet: &Sheet) -> Vec<MatchRow> {
    let joint = sheet.text("family") == "joint";
    let mut rows = vec![
        at_least(sheet, "Kit Um against the system's highest voltage", "system.highest", "kit.um", "kV"),
        at_least(sheet, "Greatest U0 the kit is for, against the cable", "cable.u0", "kit.u0_max", "kV"),
        at_least(sheet, "Cable Um against the system's highest voltage", "system.highest", "cable.um", "kV"),
        at_least(sheet, "Impulse level of the kit", "system.impulse_level", "kit.impulse_level", "kV"),
        inside(
            sheet,
            "Diameter over insulation in the kit's range",
            "kit.dia_over_insulation",
            "cable.dia_over_insulation",
            "mm",
        ),
        inside(
            sheet,
            "Overall diameter in the kit's range",
            "kit.overall_diameter",
            "cable.overall_diameter",
            "mm",
        ),
        inside(sheet, "Conductor in the kit's range", "kit.conductor_area", "cable.conductor.area", "mm2"),
        among(sheet, "Conductor metal among the kit's", "kit.conductor_metals", "cable.conductor.metal"),
        among(sheet, "Insulation among the kit's", "kit.insulation", "cable.insulation"),
        among(sheet, "Metallic screen among the kit's", "kit.screen_kinds", "cable.screen.kind"),
        same(
            sheet,
            if joint { "Connector's conductor area" } else { "Lug's conductor area" },
            "cable.conductor.area",
            "lug.conductor_area",
        ),
        same(
            sheet,
            if joint { "Connector's metal" } else { "Lug's barrel metal" },
            "cable.conductor.metal",
            "lug.metal",
        ),
        same(sheet, "Lug's hole and the stud", "enclosure.stud", "lug.stud"),
        at_most(sheet, "Palm on its pad", "enclosure.pad_width", "lug.palm_width", "mm"),
        same(sheet, "Die of the lug and die in the press", "lug.die", "tools.die"),
        same(sheet, "Torque wrench planned and of the tool list", "torque.tool", "tools.torque_wrench"),
        until(sheet, "Kit in date", "consumables.kit_expires"),
        until(sheet, "Torque wrench in calibration", "tools.torque_calibrated_to"),
        until(sheet, "Test set in calibration", "tools.test_set_calibrated_to"),
    ];
    // Shear bolts are turned, not pressed.
    if sheet.text("connection") == "pressed" {
        rows.push(until(sheet, "Press in calibration", "tools.press_calibrated_to"));
    }
    if sheet.text("boots.code") != "none" {
        rows.push(at_most(sheet, "Palm in the boot", "boots.lug_width_most", "lug.palm_width", "mm"));
    }
    // What this kind of work does not have is no row.
    let open = |text: &str| text.ends_with("not answered");
    rows.retain(|r| !(open(&r.required) || open(&r.offered)));
    rows
}

fn row(what: &str, required: String, offered: &str, margin: String) -> MatchRow {
    MatchRow { what: what.into(), required, offered: offered.into(), margin }
}

fn difference(sheet: &Sheet, more: &str, less: &str, unit: &str) -> String {
    match (sheet.number(more), sheet.number(less)) {
        (Some(a), Some(b)) => figure(a - b, unit),
        _ => "not answered".into(),
    }
}

/// A margin to one decimal, or to the two a voltage is written with.
fn figure(margin: f64, unit: &str) -> String {
    let decimals = if (margin * 10.0 - (margin * 10.0).round()).abs() < 1e-6 { 1 } else { 2 };
    format!("{} {unit}", fixed(margin, decimals, Rounding::Nearest))
}

fn at_least(sheet: &Sheet, what: &str, required: &str, offered: &str, unit: &str) -> MatchRow {
    let limit = format!("at least {}", sheet.text(required));
    row(what, limit, sheet.text(offered), difference(sheet, offered, required, unit))
}

fn at_most(sheet: &Sheet, what: &str, required: &str, offered: &str, unit: &str) -> MatchRow {
    let limit = format!("at most {}", sheet.text(required));
    row(what, limit, sheet.text(offered), difference(sheet, required, offered, unit))
}

fn inside(sheet: &Sheet, what: &str, range: &str, offered: &str, unit: &str) -> MatchRow {
    let margin = match (sheet.get(range).map(|f| &f.value), sheet.number(offered)) {
        (Some(Ok(Value::Range(r))), Some(n)) => {
            let (below, above) = (n - r.low.base(), r.high.base() - n);
            let side = if below < above { "to the lower end" } else { "to the upper end" };
            format!("{} {side}", figure(below.min(above), unit))
        }
        _ => "not answered".into(),
    };
    row(what, sheet.text(range).into(), sheet.text(offered), margin)
}

fn verdict(sheet: &Sheet, names: [&str; 2], fits: bool) -> String {
    let answered = names.iter().all(|n| sheet.get(n).is_some_and(|f| f.value.is_ok()));
    if !answered {
        "not answered"
    } else if fits {
        "fits"
    } else {
        "differs"
    }
    .into()
}

fn same(sheet: &Sheet, what: &str, required: &str, offered: &str) -> MatchRow {
    let fits = sheet.text(required) == sheet.text(offered);
    row(what, sheet.text(required).into(), sheet.text(offered), verdict(sheet, [required, offered], fits))
}

fn among(sheet: &Sheet, what: &str, list: &str, offered: &str) -> MatchRow {
    let fits = match sheet.get(list).map(|f| &f.value) {
        Some(Ok(Value::Texts(texts))) => texts.iter().any(|t| t == sheet.text(offered)),
        _ => false,
    };
    row(what, sheet.text(list).into(), sheet.text(offered), verdict(sheet, [list, offered], fits))
}

/// In date on the planned day; the label on the tool decides on the day itself.
fn until(sheet: &Sheet, what: &str, date: &str) -> MatchRow {
    let margin = match (sheet.get(date).map(|f| &f.value), sheet.get("job.planned").map(|f| &f.value)) {
        (Some(Ok(Value::Date(until))), Some(Ok(Value::Date(planned)))) => {
            let days = (*until - *planned).get_days();
            format!("{days} days")
        }
        _ => "not answered".into(),
    };
    row(what, format!("on or after {}", sheet.text("job.planned")), sheet.text(date), margin)
}
