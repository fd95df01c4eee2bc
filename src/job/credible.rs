//! Figures that no job of 3.3 to 36 kV has: a slip of unit or of the decimal
//! point, told before anything is judged by them.
//!
//! All of it is common practice, no source, and wide: it catches what is ten
//! times too large or too small, and judges nothing that a rule judges.

use super::{Given, Value};
use crate::finding::{Finding, Place, ReadingCode};
use crate::job::schema::{AS_FOUND, JOB, Key, Kind};
use crate::units::{Dimension, Quantity};
use std::collections::BTreeMap;

/// Least and most that is believed, by the key's dotted name, entries of a list
/// without their number.
const RANGES: &[(&str, &str, &str)] = &[
    ("system.nominal", "1 kV", "45 kV"),
    ("system.highest", "1 kV", "52 kV"),
    ("system.frequency", "16 Hz", "60 Hz"),
    ("system.earth_fault", "0.001 kA", "80 kA"),
    ("system.earth_fault_time", "0.02 s", "180 min"),
    ("system.phase_fault", "0.1 kA", "80 kA"),
    ("system.phase_fault_time", "0.02 s", "5 s"),
    ("system.impulse_level", "20 kV", "300 kV"),
    ("cable.u0", "0.6 kV", "30 kV"),
    ("cable.u", "1 kV", "45 kV"),
    ("cable.um", "1 kV", "52 kV"),
    ("cable.cores", "1", "5"),
    ("cable.conductor.area", "10 mm2", "1200 mm2"),
    ("cable.conductor.diameter", "3 mm", "50 mm"),
    ("cable.conductor.screen", "0.2 mm", "2 mm"),
    ("cable.dia_over_insulation", "10 mm", "80 mm"),
    ("cable.dia_over_core_screen", "10 mm", "90 mm"),
    ("cable.dia_over_metal_screen", "10 mm", "100 mm"),
    ("cable.screen.area_per_core", "3 mm2", "300 mm2"),
    ("cable.screen.mean_diameter", "10 mm", "100 mm"),
    ("cable.screen.final_temperature", "80 C", "400 C"),
    ("cable.armour.area", "10 mm2", "3000 mm2"),
    ("cable.armour.wire", "0.5 mm", "8 mm"),
    ("cable.armour.final_temperature", "80 C", "400 C"),
    ("cable.overall_diameter", "18 mm", "150 mm"),
    ("cable.sheath_thickness", "1 mm", "10 mm"),
    ("cable.length", "1 m", "60000 m"),
    ("cable.capacitance", "0.05 uF/km", "2 uF/km"),
    ("cable.min_bend_cable", "100 mm", "4000 mm"),
    ("cable.min_bend_core", "40 mm", "1500 mm"),
    ("cable.min_handling", "-60 C", "20 C"),
    ("enclosure.gland_to_stud", "120 mm", "2500 mm"),
    ("enclosure.stud_pitch", "40 mm", "600 mm"),
    ("enclosure.stud_to_wall", "20 mm", "800 mm"),
    ("enclosure.stud_to_cover", "20 mm", "800 mm"),
    ("enclosure.stud_to_back", "20 mm", "800 mm"),
    ("enclosure.pad_width", "10 mm", "200 mm"),
    ("enclosure.bolt_length", "5 mm", "200 mm"),
    ("enclosure.plate.thickness", "1 mm", "25 mm"),
    ("enclosure.entry_pitch_most", "30 mm", "600 mm"),
    ("enclosure.extension_most", "0 mm", "1000 mm"),
    ("enclosure.room_below_plate", "50 mm", "5000 mm"),
    ("enclosure.arcing_distance", "30 mm", "2000 mm"),
    ("torque.value", "3 N.m", "400 N.m"),
    ("layout.crutch_height", "0 mm", "1500 mm"),
    ("layout.tail", "150 mm", "4000 mm"),
    ("layout.straight_below", "50 mm", "2500 mm"),
    ("kit.straight_below", "50 mm", "2500 mm"),
    ("kit.current", "0.05 kA", "3 kA"),
    ("enclosure.bushing.current", "0.05 kA", "3 kA"),
    ("enclosure.bushing.open", "0", "20"),
    ("enclosure.bushing.caps", "0", "50"),
    ("layout.crutch_height_least", "0 mm", "1000 mm"),
    ("layout.crutch_below_plate", "20 mm", "3000 mm"),
    ("layout.trefoil_turn", "-180 deg", "180 deg"),
    ("layout.lean", "0 deg", "45 deg"),
    ("layout.entry_pitch", "30 mm", "600 mm"),
    ("layout.entry_height", "0 mm", "300 mm"),
    ("layout.insulation_exposed", "40 mm", "900 mm"),
    ("layout.ring_below_screen_cut", "10 mm", "300 mm"),
    ("layout.approach_radius", "200 mm", "5000 mm"),
    ("layout.approach.aside", "0 mm", "10000 mm"),
    ("layout.approach.below", "50 mm", "10000 mm"),
    ("layout.approach.slant", "0 deg", "90 deg"),
    ("tolerances.insulation_cut", "0.5 mm", "10 mm"),
    ("tolerances.semicon_edge", "0.5 mm", "10 mm"),
    ("tolerances.tube_lower_mark", "0.5 mm", "10 mm"),
    ("tolerances.box", "0.5 mm", "20 mm"),
    ("site.altitude", "0 m", "6000 m"),
    ("site.adjacent_voltage", "0.1 kV", "800 kV"),
    ("site.cables_in_trench", "0", "60"),
    ("site.depth", "0 m", "40 m"),
    ("site.height", "0 m", "60 m"),
    ("site.wind_most", "0 m/s", "40 m/s"),
    ("plant.year", "1900", "2100"),
    ("work.piece_removed", "0 m", "500 m"),
    ("work.load_height", "0 m", "60 m"),
    ("work.load", "0.5 kg", "20000 kg"),
    ("weather.cable_temperature", "-30 C", "60 C"),
    ("weather.air_temperature", "-40 C", "55 C"),
    ("weather.humidity", "5 %", "100 %"),
    ("crew.up_to", "0.4 kV", "150 kV"),
    ("tests.vlf", "1 kV", "120 kV"),
    ("tests.cable_class", "1 kV", "46 kV"),
    ("tests.lowest_rating", "1 kV", "200 kV"),
    ("tests.minutes", "1 min", "180 min"),
    ("tests.sheath", "1 kV", "15 kV"),
    ("tests.sheath_minutes", "0.5 min", "15 min"),
    ("bonding.standing_most", "0.005 kV", "0.5 kV"),
    ("bonding.design_current", "0.005 kA", "3 kA"),
    ("bonding.spacing", "20 mm", "3000 mm"),
    ("earthing.lead_area", "2.5 mm2", "400 mm2"),
    ("earthing.lead_start_temperature", "-40 C", "90 C"),
    ("earthing.lead_final_temperature", "80 C", "400 C"),
    ("earthing.max_resistance", "1 mohm", "200 mohm"),
    ("inspection.phase_gap_least", "4 mm", "700 mm"),
    ("inspection.earth_gap_least", "4 mm", "700 mm"),
    ("inspection.edge_to_plate_least", "8 mm", "500 mm"),
    ("inspection.recheck_months", "1", "120"),
    ("gland.range", "5 mm", "150 mm"),
    ("gland.clamp_rating", "0.2 kA", "80 kA"),
    ("gland.sheath_cut_from_plate", "5 mm", "500 mm"),
    ("gland.armour_cut_from_plate", "2 mm", "250 mm"),
    ("kit.cores", "1", "5"),
    ("kit.um", "1 kV", "52 kV"),
    ("kit.u0_max", "0.6 kV", "30 kV"),
    ("kit.impulse_level", "20 kV", "350 kV"),
    ("kit.conductor_area", "6 mm2", "1600 mm2"),
    ("kit.dia_over_insulation", "8 mm", "100 mm"),
    ("kit.overall_diameter", "15 mm", "200 mm"),
    ("kit.insulation_exposed.nominal", "40 mm", "900 mm"),
    ("kit.insulation_exposed.least", "40 mm", "900 mm"),
    ("kit.insulation_exposed.most", "40 mm", "900 mm"),
    ("kit.semicon_left", "5 mm", "350 mm"),
    ("kit.sct.supplied", "25 mm", "900 mm"),
    ("kit.sct.recovered", "20 mm", "700 mm"),
    ("kit.sct.recovered_least", "20 mm", "700 mm"),
    ("kit.sct.recovered_most", "20 mm", "700 mm"),
    ("kit.sct.stated_for_um", "1 kV", "52 kV"),
    ("kit.sct.over_semicon", "4 mm", "100 mm"),
    ("kit.sct.over_semicon_least", "3 mm", "100 mm"),
    ("kit.sct.over_insulation_least", "20 mm", "600 mm"),
    ("kit.filler.on_semicon", "2 mm", "60 mm"),
    ("kit.filler.on_insulation", "2 mm", "60 mm"),
    ("kit.filler.tolerance", "0.5 mm", "15 mm"),
    ("kit.clear_surface_least", "8 mm", "500 mm"),
    ("kit.wall_over_semicon", "0.5 mm", "30 mm"),
    ("kit.dia_outer_at_edge", "12 mm", "200 mm"),
    ("kit.phase_gap_least", "4 mm", "700 mm"),
    ("kit.earth_gap_least", "4 mm", "700 mm"),
    ("kit.edge_to_plate_least", "8 mm", "500 mm"),
    ("kit.edge_to_crutch_least", "8 mm", "500 mm"),
    ("kit.outer_tube.over_lug", "5 mm", "200 mm"),
    ("kit.outer_tube.over_breakout", "5 mm", "200 mm"),
    ("kit.outer_tube.wall", "0.5 mm", "10 mm"),
    ("kit.armour_left", "0 mm", "200 mm"),
    ("kit.bedding_left", "0 mm", "150 mm"),
    ("kit.body_temperature", "-40 C", "60 C"),
    ("kit.humidity_most", "30 %", "100 %"),
    ("kit.creepage", "40 mm", "4000 mm"),
    ("kit.strike", "30 mm", "1500 mm"),
    ("kit.sheds.count", "0", "40"),
    ("kit.sheds.first", "5 mm", "600 mm"),
    ("kit.sheds.pitch", "10 mm", "200 mm"),
    ("kit.connector_half", "10 mm", "300 mm"),
    ("kit.connector_gap", "0 mm", "60 mm"),
    ("kit.semicon_edge", "40 mm", "700 mm"),
    ("kit.screen_cut", "60 mm", "1000 mm"),
    ("kit.sheath_cut_x", "80 mm", "3000 mm"),
    ("kit.sheath_cut_y", "80 mm", "3000 mm"),
    ("bay.length", "500 mm", "20000 mm"),
    ("bay.width", "300 mm", "6000 mm"),
    ("bay.under", "0 mm", "3000 mm"),
    ("bay.straight_each_side", "0 mm", "5000 mm"),
    ("bay.lap", "0 mm", "3000 mm"),
    ("kit.stop_below_edge", "2 mm", "200 mm"),
    ("kit.stop_tolerance", "0.5 mm", "15 mm"),
    ("kit.store_least", "-40 C", "30 C"),
    ("layout.screen_left", "10 mm", "600 mm"),
    ("layout.first_cleat", "30 mm", "3000 mm"),
    ("layout.sheath_cut_above_plate", "0 mm", "600 mm"),
    ("arresters.lead_total", "50 mm", "10000 mm"),
    ("arresters.lead_total_most", "100 mm", "10000 mm"),
    ("arresters.earth_resistance_most", "0.1 ohm", "500 ohm"),
    ("kit.body.recovered", "80 mm", "2000 mm"),
    ("kit.body.over_screen_least", "4 mm", "200 mm"),
    ("kit.outer_sleeve.recovered", "150 mm", "4000 mm"),
    ("kit.outer_sleeve.overlap_least", "20 mm", "400 mm"),
    ("kit.bridge.screen_per_core", "3 mm2", "300 mm2"),
    ("kit.bridge.armour", "6 mm2", "400 mm2"),
    ("lug.conductor_area", "6 mm2", "1600 mm2"),
    ("lug.barrel_depth", "15 mm", "200 mm"),
    ("lug.mouth_to_hole", "20 mm", "400 mm"),
    ("lug.growth", "1 mm", "15 mm"),
    ("lug.palm_width", "8 mm", "150 mm"),
    ("lug.crimps", "1", "12"),
    ("lug.across_flats", "4 mm", "60 mm"),
    ("lug.length", "25 mm", "500 mm"),
    ("lug.shear_heads", "0", "12"),
    ("boots.phase_to_phase", "10 mm", "400 mm"),
    ("boots.phase_to_earth", "10 mm", "400 mm"),
    ("boots.lug_width_most", "8 mm", "150 mm"),
    ("boots.overlap", "5 mm", "150 mm"),
];

/// The same of an as-found file; every phase and every pair is one key.
const AS_FOUND_RANGES: &[(&str, &str, &str)] = &[
    ("survey.load", "0.001 kA", "3 kA"),
    ("l.upper_step", "20 mm", "900 mm"),
    ("l.lower_step", "40 mm", "1500 mm"),
    ("l.edge", "40 mm", "1500 mm"),
    ("l.lower_step_height", "0 mm", "2000 mm"),
    ("l.earth_gap", "0 mm", "1000 mm"),
    ("gaps.gap", "0 mm", "700 mm"),
    ("gaps.height", "0 mm", "2500 mm"),
    ("remake.cut_from_stud", "100 mm", "5000 mm"),
    ("remake.slack", "0 mm", "60000 mm"),
];

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

/// A finding for every figure of the job and its library items that is not
/// believed.
pub(super) fn check(given: &BTreeMap<String, Given>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = given
        .iter()
        .filter_map(|(name, one)| {
            let plain = without_numbers(name);
            let (_, least, most) = RANGES.iter().find(|(key, ..)| *key == plain)?;
            let key = key_called(&plain)?;
            let dimension = dimension(key);
            let believed = number(least, dimension)?..=number(most, dimension)?;
            let beyond = figures(&one.value).iter().any(|n| !believed.contains(n));
            beyond.then(|| not_believed(one, name, key.title, &format!("{least} to {most}")))
        })
        .collect();
    findings.extend(ORDER.iter().filter_map(|(low, high, why)| out_of_order(given, low, high, why)));
    findings.extend(torque(given));
    findings.extend(["kit.armour_left", "kit.bedding_left"].iter().filter_map(|name| armour(given, name)));
    findings
}

/// A finding for every figure of an as-found file that is not believed.
pub(super) fn check_as_found(given: &BTreeMap<String, Given>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = given
        .iter()
        .filter_map(|(name, one)| {
            let plain = of_any_phase(name);
            let (_, least, most) = AS_FOUND_RANGES.iter().find(|(key, ..)| *key == plain)?;
            let key = key_in(AS_FOUND, name)?;
            let believed = number(least, dimension(key))?..=number(most, dimension(key))?;
            let beyond = figures(&one.value).iter().any(|n| !believed.contains(n));
            beyond.then(|| not_believed(one, name, key.title, &format!("{least} to {most}")))
        })
        .collect();
    for phase in ["l1", "l2", "l3"] {
        for (near, far, why) in [
            ("upper_step", "lower_step", "the lower end lies farther from the stud"),
            ("upper_step", "edge", "the edge lies under the tube, below its upper end"),
            ("edge", "lower_step", "the tube reaches below the edge"),
        ] {
            let name = |key: &str| format!("{phase}.{key}");
            findings.extend(out_of_order(given, &name(near), &name(far), why));
        }
    }
    findings
}

/// `l2.upper_step` as `l.upper_step`, `gaps.l1_l2.gap` as `gaps.gap`.
fn of_any_phase(name: &str) -> String {
    let words = name.split('.').filter(|w| !matches!(*w, "l1_l2" | "l2_l3" | "l1_l3"));
    let words: Vec<&str> = words.map(|w| if matches!(w, "l1" | "l2" | "l3") { "l" } else { w }).collect();
    words.join(".")
}

fn not_believed(one: &Given, name: &str, title: &str, believed: &str) -> Finding {
    Finding::reading(
        ReadingCode::NotCredible,
        format!("`{name}` ({title}) is {}, which no such job has; believed: {believed}", one.value),
        "Look at the decimal point and the unit (mm, cm or m?).",
        Place::value(one.source, one.pointer.clone(), "not believed"),
    )
}

fn out_of_order(given: &BTreeMap<String, Given>, low: &str, high: &str, why: &str) -> Option<Finding> {
    let (a, b) = (given.get(low)?, given.get(high)?);
    if a.value.number()? <= b.value.number()? + 1e-9 {
        return None;
    }
    let mut finding = Finding::reading(
        ReadingCode::NotCredible,
        format!("`{low}` is {} and `{high}` is {}: {why}", a.value, b.value),
        "One of the two is wrong: look at the decimal points and the units.",
        Place::value(a.source, a.pointer.clone(), "the greater"),
    );
    finding.places.push(Place::value(b.source, b.pointer.clone(), "the lesser"));
    Some(finding)
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
    let in_gland = given.get("layout.armour").is_some_and(|g| g.value.to_string() == "in a gland");
    if in_gland || matches!(kind.value, Value::None(_)) || left.value.number()? >= 3.0 {
        return None;
    }
    let mut finding =
        not_believed(left, name, key_called(name)?.title, "3 mm and more on a cable with armour");
    finding.places.push(Place::value(kind.source, kind.pointer.clone(), "this armour"));
    Some(finding)
}

/// `crew.0.up_to` as the key `crew.up_to`.
fn without_numbers(name: &str) -> String {
    let words = name.split('.').filter(|word| !word.bytes().all(|b| b.is_ascii_digit()));
    words.collect::<Vec<_>>().join(".")
}

/// The key of a dotted name, in the job file or a library item.
fn key_called(name: &str) -> Option<&'static Key> {
    key_in(JOB, name)
}

fn key_in(mut keys: &'static [Key], name: &str) -> Option<&'static Key> {
    let mut found = None;
    for word in name.split('.') {
        let key = keys.iter().find(|key| key.name == word)?;
        keys = match key.kind {
            Kind::Group(inner) | Kind::List(inner) => inner,
            Kind::Item(shelf) => shelf.keys(),
            _ => &[],
        };
        found = Some(key);
    }
    found
}

fn dimension(key: &Key) -> Option<Dimension> {
    match key.kind {
        Kind::Quantity(dimension) | Kind::Range(dimension) => Some(dimension),
        _ => None,
    }
}

fn number(text: &str, dimension: Option<Dimension>) -> Option<f64> {
    match dimension {
        Some(dimension) => Quantity::parse(text, dimension).ok().map(|q| q.base()),
        None => text.parse().ok(),
    }
}

fn figures(value: &Value) -> Vec<f64> {
    match value {
        Value::Range(range) => vec![range.low.base(), range.high.base()],
        other => other.number().into_iter().collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_names_a_key_and_reads() {
        let mut seen = std::collections::BTreeSet::new();
        for (name, least, most) in RANGES {
            assert!(seen.insert(*name), "{name} stands twice");
            let key = key_called(name).unwrap_or_else(|| panic!("{name} is no key"));
            assert!(is_figure(key), "{name} is no figure");
            let (low, high) = (number(least, dimension(key)), number(most, dimension(key)));
            assert!(low.is_some() && low < high, "{name}: {least} to {most}");
        }
        for (low, high, why) in ORDER {
            let figure = |name: &str| key_called(name).is_some_and(is_figure);
            assert!(figure(low) && figure(high) && !why.is_empty(), "{low}, {high}");
        }
    }

    fn is_figure(key: &Key) -> bool {
        matches!(key.kind, Kind::Quantity(_) | Kind::Range(_) | Kind::Count)
    }

    fn figures_in(prefix: &str, keys: &[Key], out: &mut Vec<String>) {
        for key in keys {
            let name = format!("{prefix}{}", key.name);
            match key.kind {
                Kind::Group(inner) | Kind::List(inner) => figures_in(&format!("{name}."), inner, out),
                // A library item named by a cable holds the cable's own keys.
                Kind::Item(shelf) if key.name != "library" => {
                    figures_in(&format!("{name}."), shelf.keys(), out)
                }
                _ if is_figure(key) => out.push(name),
                _ => {}
            }
        }
    }

    /// So does a new figure of an as-found file.
    #[test]
    fn every_figure_as_found_has_its_range() {
        let mut all = Vec::new();
        figures_in("", AS_FOUND, &mut all);
        for (name, least, most) in AS_FOUND_RANGES {
            let key = all.iter().find(|one| of_any_phase(one) == *name).and_then(|one| key_in(AS_FOUND, one));
            let key = key.unwrap_or_else(|| panic!("{name} is no key"));
            assert!(
                number(least, dimension(key)) < number(most, dimension(key)),
                "{name}: {least} to {most}"
            );
        }
        all.retain(|name| !AS_FOUND_RANGES.iter().any(|(key, ..)| *key == of_any_phase(name)));
        assert!(all.is_empty(), "give these a believed range in src/job/credible.rs: {all:?}");
    }

    /// A new figure of the schema gets a line here.
    #[test]
    fn every_figure_has_its_range() {
        let mut without = Vec::new();
        figures_in("", JOB, &mut without);
        without.retain(|name| !RANGES.iter().any(|(key, ..)| key == name));
        assert!(without.is_empty(), "give these a believed range in src/job/credible.rs: {without:?}");
    }
}
