//! The basis of every number: where it comes from and where it is used.

use super::method::{Built, point_name};
use super::pack::{BasisRow, Segment};
use super::sequence::Procedures;
use super::words;
use crate::facts::{self, Fact, Gap, Sheet};
use crate::job::Value;
use crate::job::schema::Mark;
use std::collections::{BTreeMap, BTreeSet};

/// One row a computed fact, and one a given fact that a sentence, a rule or a
/// computed fact reads.
pub(super) fn basis(
    sheet: &Sheet,
    rule_uses: &BTreeMap<String, BTreeSet<String>>,
    all: &Procedures,
    built: &Built,
) -> Vec<BasisRow> {
    let uses = uses(rule_uses, all, built, sheet);
    let mut read: BTreeSet<&str> = uses.keys().map(String::as_str).collect();
    for fact in sheet.iter() {
        read.extend(fact.def.iter().flat_map(|d| d.inputs.iter().copied()));
    }
    let shown = |fact: &&Fact| match fact.def {
        // Verdict words steer rules and print nowhere.
        // A model that refuses says why; what is not answered has no row.
        Some(_) => !matches!(fact.value, Err(Gap::Missing(_))),
        None => read.contains(&*fact.name) && fact.value.is_ok(),
    };
    sheet
        .iter()
        .filter(shown)
        .filter(|fact| facts::may_be_printed(sheet, &fact.name))
        .map(|fact| BasisRow {
            name: fact.name.to_string(),
            title: fact.title.to_string(),
            value: value(fact),
            formula: fact.def.map_or(String::new(), |d| d.formula.to_string()),
            inputs: inputs(fact, sheet),
            mark: mark(fact, sheet).into(),
            used: uses
                .get(&*fact.name)
                .map_or(String::new(), |u| u.iter().cloned().collect::<Vec<_>>().join(", ")),
        })
        .collect()
}

/// The figure; where the model gives none, why.
fn value(fact: &Fact) -> String {
    match &fact.value {
        Err(Gap::Refused { why, .. }) => format!("no figure: {why}"),
        _ => fact.text.clone(),
    }
}

/// The planner's own figure is the planner's, the fallback is common practice.
fn mark(fact: &Fact, sheet: &Sheet) -> &'static str {
    match &*fact.name {
        "ring_below_screen_cut" if sheet.number("layout.ring_below_screen_cut").is_some() => {
            Mark::Planner.words()
        }
        "insulation_exposed" if sheet.number("layout.insulation_exposed").is_some() => Mark::Planner.words(),
        "conductor_screen" if sheet.number("cable.conductor.screen").is_some() => Mark::Cable.words(),
        "cable_bend_inside" if sheet.number("cable.min_bend_cable").is_some() => Mark::Cable.words(),
        "capacitance" if sheet.number("cable.capacitance").is_none() => Mark::Computed.words(),
        "cover_limit" if !sheet.is_yes("cover_stated") => Mark::CommonPractice.words(),
        _ => fact.mark.words(),
    }
}

/// Inputs with their figures; the long list of a layout is named once.
fn inputs(fact: &Fact, sheet: &Sheet) -> String {
    let Some(def) = fact.def else { return String::new() };
    if def.inputs.len() > 12 {
        return "the chain of lengths, the box, the layout, diameters and limits of this job".into();
    }
    let texts: Vec<String> = def
        .inputs
        .iter()
        .filter_map(|name| sheet.get(name))
        .filter(|f| f.value.is_ok())
        .map(|f| format!("{} {}", f.title, f.text))
        .collect();
    texts.join("; ")
}

fn uses(
    rule_uses: &BTreeMap<String, BTreeSet<String>>,
    all: &Procedures,
    built: &Built,
    sheet: &Sheet,
) -> BTreeMap<String, BTreeSet<String>> {
    let mut uses = rule_uses.clone();
    let mut note = |name: String, place: &str| {
        uses.entry(name).or_default().insert(place.to_string());
    };
    for step in built.steps() {
        let has_figure = step.text.iter().any(|s| !matches!(s, Segment::Words(_)));
        if let Some(words) = all.steps.get(&step.id).filter(|_| has_figure) {
            for name in words::names(&words.text, false).unwrap_or_default() {
                note(name, &format!("step {}", step.number));
            }
        }
        if let Some(banner) = &step.control
            && let Some(control) = all.control(&banner.id)
        {
            let reasons = control.reasons.iter().filter(|_| !banner.reason.is_empty());
            for name in reasons.flat_map(|r| words::names(&r.text, false).unwrap_or_default()) {
                note(name, &point_name(banner));
            }
            for measure in &control.measures {
                for name in words::names(&measure.limits, false).unwrap_or_default() {
                    note(name, &point_name(banner));
                }
            }
        }
    }
    // Round the method only numbers: names of people and places need no basis.
    let number = |name: &String| {
        let value = sheet.get(name).and_then(|f| f.value.as_ref().ok());
        matches!(value, Some(Value::Quantity(_) | Value::Range(_) | Value::Count(_)))
    };
    for text in all.papers.templates() {
        for name in words::names(text, false).unwrap_or_default().into_iter().filter(number) {
            note(name, "sheets");
        }
    }
    uses
}
