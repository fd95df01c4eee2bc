//! Instruments and tools that decide a figure: which a record asks for, and which of its
//! readings each decides.

use crate::procedure::{Pack, Reading};

/// Each with the figure of the pack that names its serial.
const ALL: [(&str, &str); 8] = [
    ("press", "tools.press"),
    ("torque wrench", "tools.torque_wrench"),
    ("test set", "tools.test_set"),
    ("insulation tester", ""),
    ("ohmmeter", ""),
    ("calliper", ""),
    ("thermo-hygrometer", ""),
    ("voltage detector", ""),
];

/// What a record of this pack asks for, with the serial where the pack names one.
pub(super) fn asked(pack: &Pack) -> Vec<(&'static str, Option<String>)> {
    let fact = |name: &str| pack.basis.iter().find(|b| b.name == name).map(|b| b.value.clone());
    let inspects = pack.job.work_type.starts_with("inspect-");
    let needed = |what: &str| match what {
        // An inspection presses nothing, and shear bolts are turned.
        "press" => !inspects && fact("connection").is_none_or(|how| how == "pressed"),
        "test set" | "insulation tester" => !pack.form.tests.is_empty(),
        _ => true,
    };
    let serial = |named: &str| fact(named).filter(|v| !matches!(v.as_str(), "not answered" | "none"));
    ALL.into_iter().filter(|(what, _)| needed(what)).map(|(what, named)| (what, serial(named))).collect()
}

/// Whether a reading is taken with this instrument, for the day on which it was used last.
pub(super) fn decides(what: &str, reading: &Reading) -> bool {
    let (id, unit) = (reading.id.as_str(), reading.unit.as_str());
    match what.to_lowercase().as_str() {
        w if w.contains("torque") => unit == "N.m",
        w if w.contains("test set") => id == "voltage",
        w if w.contains("insulation tester") => id.starts_with("resistance_"),
        w if w.contains("ohmmeter") => matches!(unit, "ohm" | "mohm"),
        w if w.contains("calliper") => unit == "mm",
        w if w.contains("hygrometer") => id.starts_with("air_") || id.starts_with("humidity_"),
        w if w.contains("detector") => id.starts_with("dead_"),
        w if w.contains("press") => matches!(id, "die" | "crimps" | "across_flats"),
        _ => false,
    }
}
