//! What would help where a model gives no figure: the finding that tells the same cause,
//! or the answers it was worked out from.

use crate::facts::{Fact, Gap, Sheet};
use crate::finding::Judgement;
use std::collections::BTreeSet;

/// More answers than these are no help.
const MOST: usize = 6;

/// Names the answers that lead to the refusal `why`, of a check that reads `names`.
pub(super) fn look_at(sheet: &Sheet, names: &BTreeSet<String>, why: &str) -> String {
    let refused = names.iter().filter_map(|name| sheet.get(name)).find(|fact| refuses(fact, why));
    let Some(first) = refused.and_then(|fact| source(sheet, fact, why)) else {
        return "Look at the figures it names: they can't be as they are written.".into();
    };
    let mut answers: Vec<&Fact> = Vec::new();
    given(sheet, first, &mut answers);
    let listed: Vec<String> = answers.iter().map(|f| format!("`{}` {}", f.name, f.text)).collect();
    match listed.len() {
        0 => "Look at the figures it names: they can't be as they are written.".into(),
        n if n > MOST => {
            format!("It rests on {} and {} more: look at these.", listed[..MOST].join(", "), n - MOST)
        }
        _ => format!("It rests on {}: look at these.", listed.join(", ")),
    }
}

fn refuses(fact: &Fact, why: &str) -> bool {
    matches!(&fact.value, Err(Gap::Refused { why: own, .. }) if own == why)
}

/// The fact that first refused: none of its inputs does.
fn source<'s>(sheet: &'s Sheet, fact: &'s Fact, why: &str) -> Option<&'s Fact> {
    let def = fact.def?;
    let before = def.inputs.iter().filter_map(|name| sheet.get(name)).find(|f| refuses(f, why));
    before.map_or(Some(fact), |before| source(sheet, before, why))
}

/// Answers of the job under a fact, nearest first.
fn given<'s>(sheet: &'s Sheet, fact: &'s Fact, out: &mut Vec<&'s Fact>) {
    let inputs: Vec<&Fact> =
        fact.def.into_iter().flat_map(|def| def.inputs).filter_map(|name| sheet.get(name)).collect();
    for input in inputs.iter().filter(|f| f.def.is_none() && f.value.is_ok()) {
        if !out.iter().any(|known| known.name == input.name) {
            out.push(input);
        }
    }
    for input in inputs.iter().filter(|f| f.def.is_some()) {
        given(sheet, input, out);
    }
}

/// A check that waits for what a finding tells is referred to that finding.
pub(super) fn one_cause(judgement: &mut Judgement) {
    for waiting in judgement.not_judged.iter_mut().filter(|n| n.refusal.is_some()) {
        let teller = judgement.findings.iter().find(|f| f.is_open() && f.message.contains(&waiting.why));
        if let Some(teller) = teller {
            waiting.help = format!("{} tells the same: mend that first.", teller.code);
        }
    }
}
