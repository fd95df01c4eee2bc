//! What only shows across the jobs of one circuit: its ends and joints planned by
//! several job files of one folder, judged together by rules of their own.

mod differ;
mod facts;
mod group;
mod item;
mod names;

pub use group::{Circuit, Member, circuits};
pub use names::{reads, title};

use crate::finding::{Judgement, Missing, NotJudged};
use crate::job::{Sources, takes};
use crate::rules::{Case, RuleBook, RuleFault};
use include_dir::{Dir, include_dir};
use std::collections::{BTreeMap, BTreeSet};

static RULES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/circuit");

/// The rules across the jobs of a circuit, built into the binary.
///
/// # Errors
/// A fault in one of our own files.
pub fn rule_book() -> Result<RuleBook, RuleFault> {
    let files = RULES.files().filter_map(|file| {
        let name = file.path().to_str()?;
        Some((format!("templates/circuit/{name}"), file.contents_utf8()?.to_string()))
    });
    RuleBook::read_with(files.collect(), &|each| names::declared(each.unwrap_or("")))
}

/// Files of the members, one after the other: the sources of what is found
/// across them.
pub fn sources(members: &[Member]) -> Sources {
    members.iter().flat_map(|m| m.sources.iter().cloned()).collect()
}

/// Judges the members of one circuit together; places count in [`sources`].
pub fn judge(book: &RuleBook, circuit: &Circuit, members: &[Member], sources: &Sources) -> Judgement {
    let items = facts::facts(circuit, members);
    let first: Vec<usize> = members
        .iter()
        .scan(0, |next, m| {
            let own = *next;
            *next += m.sources.len();
            Some(own)
        })
        .collect();
    let mut cases: BTreeMap<&str, Vec<Case>> = BTreeMap::new();
    for (scope, list) in &items {
        let own =
            list.iter().map(|i| Case { sheet: i.sheet.clone(), subject: Box::new(i.thing(members, &first)) });
        cases.insert(scope, own.collect());
    }
    let mut judgement =
        book.judge_cases(sources, true, &|each| cases.get(each.unwrap_or("")).map(Vec::as_slice));
    let files: Vec<&str> = members.iter().map(|m| m.file).collect();
    plainly(&mut judgement, sources, &first, &files);
    judgement
}

/// What is missing is named as the job file names it, with the file, and once.
fn plainly(judgement: &mut Judgement, sources: &Sources, first: &[usize], files: &[&str]) {
    let mut seen = BTreeSet::new();
    judgement.not_judged.retain_mut(|n: &mut NotJudged| {
        for m in &mut n.missing {
            let of_two = m.name.strip_prefix("one.").or_else(|| m.name.strip_prefix("other."));
            if let Some(own) = of_two.map(str::to_string) {
                m.takes = takes(&own);
                m.name = own;
            }
        }
        // What a library item does not hold is missing in the job that names it.
        let item = |i: &usize| sources.get(*i).is_some_and(|s| s.name().starts_with("library/"));
        let file = |m: &Missing| {
            let at = (0..=m.place.source).rev().find(|i| !item(i)).unwrap_or(0);
            files.get(first.iter().rposition(|f| *f <= at).unwrap_or(0)).copied().unwrap_or("")
        };
        if !n.missing.is_empty() {
            let all: Vec<String> =
                n.missing.iter().map(|m| format!("`{}` is missing in {}", m.name, file(m))).collect();
            n.why = all.join(", ");
        }
        seen.insert((n.code.clone(), n.check.clone(), n.place.source, n.place.pointer.clone()))
    });
}
