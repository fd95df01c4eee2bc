//! Figures that no job of 3.3 to 36 kV has: a slip of unit or of the decimal
//! point, told before anything is judged by them.
//!
//! All of it is common practice, no source, and wide: it catches what is ten
//! times too large or too small, and judges nothing that a rule judges.

mod ranges;
mod relations;

use super::{Given, Value};
use crate::finding::{Finding, Place, ReadingCode};
use crate::job::schema::{AS_FOUND, JOB, Key, Kind};
use crate::units::{Dimension, Quantity};
use ranges::{AS_FOUND_RANGES, RANGES};
use relations::out_of_order;
use std::collections::BTreeMap;

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
    findings.extend(relations::check(given));
    findings
}

/// Range of a key by its dotted name, as it is written.
fn range(name: &str) -> Option<(&'static str, &'static str)> {
    let plain = without_numbers(name);
    RANGES.iter().find(|(key, ..)| *key == plain).map(|(_, least, most)| (*least, *most))
}

/// A bare number of `dimension` with each unit that is believed of the key `name`; a
/// number of a smaller unit as the key is mostly written: 11000 as `11 kV`.
pub(super) fn believed_forms(text: &str, name: &str, dimension: Dimension) -> Vec<String> {
    let bare = text.strip_prefix('-').unwrap_or(text);
    if bare.is_empty() || !bare.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return Vec::new();
    }
    let Some((least, most)) = range(name) else { return Vec::new() };
    let (Some(low), Some(high)) = (number(least, Some(dimension)), number(most, Some(dimension))) else {
        return Vec::new();
    };
    let written =
        dimension.unit_names().filter_map(|unit| Quantity::parse(&format!("{text} {unit}"), dimension).ok());
    let believed = written.filter(|q| (low..=high).contains(&q.base()));
    believed.map(|q| if dimension == Dimension::Voltage { in_kv(&q) } else { q.to_string() }).collect()
}

/// A voltage in kV: 11000 V as `11 kV`.
fn in_kv(q: &Quantity) -> String {
    format!("{} kV", q.base())
}

/// Nought as it is written, where it is believed of the key.
pub(super) fn takes_nought(name: &str) -> Option<&'static str> {
    range(name).map(|(least, _)| least).filter(|least| least.split(' ').next() == Some("0"))
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

/// `crew.0.up_to` as the key `crew.up_to`.
fn without_numbers(name: &str) -> String {
    let words = name.split('.').filter(|word| !word.bytes().all(|b| b.is_ascii_digit()));
    words.collect::<Vec<_>>().join(".")
}

/// The key of a dotted name, in the job file or a library item.
pub(super) fn key_called(name: &str) -> Option<&'static Key> {
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
    }

    /// So does every figure of a relation.
    #[test]
    fn every_relation_names_figures() {
        for (name, why) in relations::names() {
            assert!(key_called(name).is_some_and(is_figure), "{name} is no figure");
            assert!(why.len() > 20, "{name}: {why}");
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
        assert!(all.is_empty(), "give these a believed range in src/job/credible/ranges.rs: {all:?}");
    }

    /// A new figure of the schema gets a line here.
    #[test]
    fn every_figure_has_its_range() {
        let mut without = Vec::new();
        figures_in("", JOB, &mut without);
        without.retain(|name| !RANGES.iter().any(|(key, ..)| key == name));
        assert!(without.is_empty(), "give these a believed range in src/job/credible/ranges.rs: {without:?}");
    }
}
