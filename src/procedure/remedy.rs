//! The page on a way out that was taken: the figures before and now, what else
//! was looked at and why not, and what is never done to win room.

use super::pack::NamedText;
use super::pages::{BeforeAndNow, RemedyPage};
use crate::facts::Sheet;
use crate::job::{Job, Value};
use std::collections::BTreeMap;

/// Figures that are held against a least one, and its fact.
const LEAST: [(&str, &str); 9] = [
    ("enclosure.gland_to_stud", "chain_height"),
    ("phase_gap", "kit.phase_gap_least"),
    ("edge_above_plate", "kit.edge_to_plate_least"),
    ("tube_above_plate", "kit.earth_gap_least"),
    ("edge_to_crutch", "kit.edge_to_crutch_least"),
    ("wall_gap", "kit.earth_gap_least"),
    ("cover_gap", "kit.earth_gap_least"),
    ("back_gap", "kit.earth_gap_least"),
    ("bend_as_it_lies", "bend_limit"),
];

/// The page, where the job says that a way out was taken. `never` is what is no
/// way out.
pub(super) fn page(job: &Job, sheet: &Sheet, never: &[String]) -> Option<RemedyPage> {
    let texts = |name: &str| match job.get(name) {
        Some(Value::Texts(texts)) => texts.clone(),
        _ => Vec::new(),
    };
    let taken = texts("remedy.taken");
    if taken.is_empty() {
        return None;
    }
    // In the order in which the facts are worked out, not that of their names.
    let order: BTreeMap<&str, usize> = sheet.iter().enumerate().map(|(i, fact)| (&*fact.name, i)).collect();
    let mut before = job.figures("remedy.before");
    before.sort_by_key(|(name, _)| order.get(name.as_str()).copied());
    let figures = before.into_iter().map(|(name, before)| {
        let least = LEAST.iter().find(|(fact, _)| *fact == name).map(|(_, least)| sheet.text(least));
        BeforeAndNow {
            name: sheet.get(name).map_or_else(|| name.clone(), |fact| fact.title.to_string()),
            before: before.clone(),
            now: sheet.get(name).filter(|fact| fact.value.is_ok()).map_or("none", |f| f.text.as_str()).into(),
            least: least.unwrap_or_default().to_string(),
        }
    });
    let alternatives = job.entries("remedy.alternatives").into_iter().map(|one| {
        let text = |key: &str| one.get(key).map_or_else(String::new, Value::to_string);
        NamedText { name: text("way"), text: text("why_not") }
    });
    Some(RemedyPage {
        planned_before: job.text("remedy.planned_before").unwrap_or_default(),
        figures: figures.collect(),
        forced_by: texts("remedy.forced_by"),
        alternatives: alternatives.collect(),
        needs: texts("remedy.needs"),
        method_new: texts("remedy.method_new"),
        method_gone: texts("remedy.method_gone"),
        chosen_by: job.text("remedy.chosen_by").unwrap_or_default(),
        never: never.to_vec(),
        taken,
    })
}
