//! Figures that may each be believed and don't go together: one is a slip.
//!
//! Common practice, no source, but for the two that a line of its own names.

use super::{key_called, not_believed};
use crate::finding::{Finding, Place, ReadingCode};
use crate::job::{Given, Value};
use std::collections::BTreeMap;

/// Pairs of which the first is never above the second, and why.
const ORDER: &[(&str, &str, &str)] = &[
    ("cable.u0", "cable.u", "to earth is not above between phases"),
    ("cable.u", "cable.um", "the highest voltage is not below the rated one"),
    ("kit.u0_max", "kit.um", "to earth is not above the highest between phases"),
    ("cable.conductor.diameter", "cable.dia_over_insulation", "the insulation lies over the conductor"),
    ("cable.dia_over_insulation", "cable.dia_over_core_screen", "the core screen lies over the insulation"),
    ("cable.dia_over_insulation", "cable.dia_over_metal_screen", "the screen lies over the insulation"),
    (
        "cable.dia_over_core_screen",
        "cable.screen.mean_diameter",
        "the metallic screen lies over the core screen",
    ),
    ("cable.screen.mean_diameter", "cable.dia_over_metal_screen", "a mean is not above the whole"),
    (
        "cable.dia_over_core_screen",
        "cable.dia_over_metal_screen",
        "the metallic screen lies over the core screen",
    ),
    ("cable.dia_over_metal_screen", "cable.overall_diameter", "the core lies inside the cable"),
    ("cable.min_bend_core", "cable.min_bend_cable", "a core bends tighter than its cable"),
    ("kit.insulation_exposed.least", "kit.insulation_exposed.nominal", "the least is not above the nominal"),
    ("kit.insulation_exposed.nominal", "kit.insulation_exposed.most", "the nominal is not above the most"),
    ("lug.barrel_depth", "lug.mouth_to_hole", "the barrel ends before the palm hole"),
    ("layout.crutch_height_least", "layout.crutch_height", "the crutch is not planned lower than it goes"),
    (
        "layout.crutch_below_plate",
        "enclosure.room_below_plate",
        "the crutch hangs in the room below the plate",
    ),
    ("layout.entry_pitch", "enclosure.entry_pitch_most", "the entries lie no wider than the plate takes"),
];

/// Torques believed by the stud's thread, N.m. A tenth of the least and ten
/// times the most of ordinary bolts are outside.
const TORQUES: &[(&str, f64, f64)] = &[
    ("M6", 2.0, 20.0),
    ("M8", 4.0, 50.0),
    ("M10", 8.0, 100.0),
    ("M12", 13.0, 160.0),
    ("M16", 25.0, 350.0),
    ("M20", 45.0, 400.0),
];

/// One figure beside a power of another, in base units (mm, mm2, kV, kA).
struct Ratio {
    key: &'static str,
    beside: &'static str,
    power: i32,
    least: f64,
    most: f64,
    /// Only where this key has this value.
    only: Option<(&'static str, &'static str)>,
    why: &'static str,
}

const ANY: f64 = f64::INFINITY;

const fn ratio(key: &'static str, beside: &'static str, least: f64, most: f64, why: &'static str) -> Ratio {
    Ratio { key, beside, power: 1, least, most, only: None, why }
}

const fn outdoors(key: &'static str, beside: &'static str, least: f64, why: &'static str) -> Ratio {
    Ratio { key, beside, power: 1, least, most: ANY, only: Some(("kit.environment", "outdoor")), why }
}

/// What a kit asks for grows with its voltage: a tenth of it is a slip. Too much
/// asks too much of the work and is judged by its rule.
const RATIOS: &[Ratio] = &[
    // Pairs of IEC 60038:2009, from memory, stand at 0.83 to 0.92.
    ratio(
        "system.nominal",
        "system.highest",
        0.5,
        3.0,
        "the highest voltage of a system stands a tenth or a fifth above its nominal one",
    ),
    ratio("cable.u0", "cable.u", 0.3, 1.0, "to earth there is some half of what is between phases"),
    ratio("kit.u0_max", "kit.um", 0.2, 1.0, "to earth there is about half of the highest between phases"),
    // A solid round conductor fills its circle to 0.785 d2; none is fuller.
    Ratio {
        key: "cable.conductor.area",
        beside: "cable.conductor.diameter",
        power: 2,
        least: 0.4,
        most: 0.79,
        only: None,
        why: "that much metal does not go with that diameter",
    },
    ratio(
        "cable.armour.area",
        "cable.overall_diameter",
        0.2,
        15.0,
        "that much metal does not go round that cable",
    ),
    ratio(
        "cable.min_bend_core",
        "cable.dia_over_insulation",
        4.0,
        60.0,
        "a core bends at some ten times its diameter",
    ),
    ratio(
        "cable.min_bend_cable",
        "cable.overall_diameter",
        4.0,
        60.0,
        "a cable bends at some ten times its diameter",
    ),
    ratio(
        "kit.sct.over_insulation_least",
        "kit.um",
        1.2,
        ANY,
        "stress control that short serves no such voltage",
    ),
    ratio("kit.clear_surface_least", "kit.um", 1.2, ANY, "a clear surface that short serves no such voltage"),
    ratio("kit.phase_gap_least", "kit.um", 0.4, ANY, "a gap that small serves no such voltage"),
    ratio("kit.earth_gap_least", "kit.um", 0.4, ANY, "a gap that small serves no such voltage"),
    ratio("kit.edge_to_plate_least", "kit.um", 0.8, ANY, "an edge that low serves no such voltage"),
    ratio(
        "kit.edge_to_crutch_least",
        "kit.um",
        1.5,
        ANY,
        "a screened length that short serves no such voltage",
    ),
    outdoors(
        "kit.clear_surface_least",
        "kit.um",
        3.0,
        "a clear surface that short serves no such voltage outdoors",
    ),
    outdoors("kit.phase_gap_least", "kit.um", 1.1, "a gap that small serves no such voltage outdoors"),
    outdoors("kit.earth_gap_least", "kit.um", 1.4, "a gap that small serves no such voltage outdoors"),
    outdoors("kit.strike", "kit.um", 5.0, "a striking distance that short serves no such voltage outdoors"),
    ratio("boots.phase_to_phase", "system.highest", 0.8, ANY, "boots that close serve no such voltage"),
    ratio("boots.phase_to_earth", "system.highest", 0.8, ANY, "boots that close serve no such voltage"),
    // Amperes per mm2 in thousandths: a cable that carries so little is not laid.
    ratio(
        "bonding.design_current",
        "cable.conductor.area",
        0.0002,
        0.004,
        "that current does not go with that conductor",
    ),
];

/// A pole that a hand reaches is none.
const POLE_MM: f64 = 3000.0;

/// Findings of all relations.
pub(super) fn check(given: &BTreeMap<String, Given>) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        ORDER.iter().filter_map(|(low, high, why)| out_of_order(given, low, high, why)).collect();
    findings.extend(RATIOS.iter().filter_map(|one| out_of_proportion(given, one)));
    findings.extend(torque(given));
    findings.extend(["kit.armour_left", "kit.bedding_left"].iter().filter_map(|name| armour(given, name)));
    findings.extend(entries(given));
    findings.extend(pole(given));
    findings
}

/// The keys and reasons of the relations.
#[cfg(test)]
pub(super) fn names() -> impl Iterator<Item = (&'static str, &'static str)> {
    let order = ORDER.iter().flat_map(|(low, high, why)| [(*low, *why), (*high, *why)]);
    order.chain(RATIOS.iter().flat_map(|one| [(one.key, one.why), (one.beside, one.why)]))
}

fn is(given: &BTreeMap<String, Given>, name: &str, value: &str) -> bool {
    given.get(name).is_some_and(|one| one.value.to_string() == value)
}

fn out_of_proportion(given: &BTreeMap<String, Given>, one: &Ratio) -> Option<Finding> {
    if one.only.is_some_and(|(key, value)| !is(given, key, value)) {
        return None;
    }
    let (a, b) = (given.get(one.key)?, given.get(one.beside)?);
    let share = a.value.number()? / b.value.number()?.powi(one.power);
    if (one.least..=one.most).contains(&share) {
        return None;
    }
    Some(two_that_differ(one.key, a, one.beside, b, one.why, ["this", "beside this"]))
}

fn two_that_differ(first: &str, a: &Given, second: &str, b: &Given, why: &str, labels: [&str; 2]) -> Finding {
    let mut finding = Finding::reading(
        ReadingCode::NotCredible,
        format!("`{first}` is {} and `{second}` is {}: {why}", a.value, b.value),
        "One of the two is wrong: look at the decimal points and the units.",
        Place::value(a.source, a.pointer.clone(), labels[0]),
    );
    finding.places.push(Place::value(b.source, b.pointer.clone(), labels[1]));
    finding
}

/// Where cables or cores come in one by one, the pitch is wider than each.
fn entries(given: &BTreeMap<String, Given>) -> Option<Finding> {
    let wide =
        if is(given, "cable.cores", "1") { "cable.overall_diameter" } else { "cable.dia_over_core_screen" };
    out_of_order(given, wide, "layout.entry_pitch", "entries that close run into one another")
}

fn pole(given: &BTreeMap<String, Given>) -> Option<Finding> {
    let (height, pole) = (given.get("site.height")?, given.get("site.pole")?);
    let at_work = is(given, "job.work_type", "term-outdoor") && matches!(pole.value, Value::YesNo(true));
    if !at_work || height.value.number()? >= POLE_MM {
        return None;
    }
    let mut finding =
        not_believed(height, "site.height", key_called("site.height")?.title, "3 m and more on a pole");
    finding.places.push(Place::value(pole.source, pole.pointer.clone(), "on this pole"));
    Some(finding)
}

pub(super) fn out_of_order(
    given: &BTreeMap<String, Given>,
    low: &str,
    high: &str,
    why: &str,
) -> Option<Finding> {
    let (a, b) = (given.get(low)?, given.get(high)?);
    if a.value.number()? <= b.value.number()? + 1e-9 {
        return None;
    }
    Some(two_that_differ(low, a, high, b, why, ["the greater", "the lesser"]))
}

fn torque(given: &BTreeMap<String, Given>) -> Option<Finding> {
    let (torque, stud) = (given.get("torque.value")?, given.get("enclosure.stud")?);
    let thread = stud.value.to_string();
    let (_, least, most) = TORQUES.iter().find(|(name, ..)| *name == thread)?;
    let value = torque.value.number()?;
    if (*least..=*most).contains(&value) {
        return None;
    }
    let believed = format!("{least} to {most} N.m on {thread}");
    let mut finding = not_believed(torque, "torque.value", "palm bolt torque", &believed);
    finding.places.push(Place::value(stud.source, stud.pointer.clone(), "on this stud"));
    Some(finding)
}

/// Where armour ends at the crutch, some of it and of its bedding stays: 3 mm at
/// the least. In a gland the gland's own figures cut it.
fn armour(given: &BTreeMap<String, Given>, name: &str) -> Option<Finding> {
    let (left, kind) = (given.get(name)?, given.get("cable.armour.kind")?);
    if is(given, "layout.armour", "in a gland")
        || matches!(kind.value, Value::None(_))
        || left.value.number()? >= 3.0
    {
        return None;
    }
    let mut finding =
        not_believed(left, name, key_called(name)?.title, "3 mm and more on a cable with armour");
    finding.places.push(Place::value(kind.source, kind.pointer.clone(), "this armour"));
    Some(finding)
}
