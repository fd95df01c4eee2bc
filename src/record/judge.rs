//! A record judged by the rules of verification, and what came of it.

use super::answer::Answer;
use super::facts::{self, Dossier, Item};
use super::read::Record;
use crate::facts::Sheet;
use crate::finding::{Finding, Grade, Judgement, Place, ReadingCode, State};
use crate::job::Sources;
use crate::rules::{Case, RuleBook, RuleFault, Subject};
use include_dir::{Dir, include_dir};
use std::collections::{BTreeMap, BTreeSet};

static RULES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/verify");

/// The rules of verification built into the binary.
///
/// # Errors
/// A fault in one of our own files.
pub fn rule_book() -> Result<RuleBook, RuleFault> {
    let files = RULES.files().filter_map(|file| {
        let name = file.path().to_str()?;
        Some((format!("templates/verify/{name}"), file.contents_utf8()?.to_string()))
    });
    let scopes = facts::scopes();
    RuleBook::read_with(files.collect(), &|each| {
        let scope = each.unwrap_or("");
        let known = scope.is_empty() || scopes.contains(scope);
        known.then(|| facts::declared(scope).into_keys().collect::<BTreeSet<String>>())
    })
}

/// What a verifier may do with the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    Acceptable,
    Queries,
    NotAcceptable,
    /// The record is not completed.
    InWork,
}

impl Verdict {
    pub fn words(self) -> &'static str {
        match self {
            Verdict::Acceptable => "acceptable",
            Verdict::Queries => "acceptable with queries",
            Verdict::NotAcceptable => "not acceptable",
            Verdict::InWork => "not completed",
        }
    }
}

/// The verdict of a judgement: any open reject, else any open query.
pub fn verdict(judgement: &Judgement, complete: bool) -> Verdict {
    let open = |grade: Grade| judgement.findings.iter().any(|f| f.is_open() && f.grade == grade);
    match (open(Grade::Blocks), open(Grade::Asks)) {
        _ if !complete => Verdict::InWork,
        (true, _) => Verdict::NotAcceptable,
        (false, true) => Verdict::Queries,
        (false, false) => Verdict::Acceptable,
    }
}

/// Whether a record says that it is completed.
pub fn is_complete(record: &Record) -> bool {
    matches!(record.get("record.completed").map(|g| &g.answer), Some(Answer::Time(_)))
}

struct Thing<'a> {
    record: &'a Record,
    item: &'a Item,
    whole: &'a Item,
}

impl Subject for Thing<'_> {
    fn place(&self, fact: &str, label: &str) -> Place {
        let from = self.item.from.get(fact).or_else(|| self.whole.from.get(fact));
        // A missing answer is named by its own place in the record.
        let name = from.map_or(if fact.contains('.') { fact } else { &self.item.at }, String::as_str);
        self.record.place(name, label)
    }

    fn has(&self, fact: &str) -> bool {
        self.item.from.contains_key(fact) || self.whole.from.contains_key(fact)
    }
}

/// The item's facts with those of the whole record that its rules name.
fn together(item: &Item, whole: &Item, named: &BTreeSet<String>) -> Sheet {
    let mut sheet = item.sheet.clone();
    for fact in named.iter().filter_map(|name| whole.sheet.get(name)) {
        sheet.add(fact.clone());
    }
    sheet
}

/// Judges a record with everything it is held against.
pub fn judge(book: &RuleBook, dossier: &Dossier, sources: &Sources) -> Judgement {
    let facts = facts::facts(dossier);
    let mut cases: BTreeMap<&str, Vec<Case>> = BTreeMap::new();
    let thing = |item| Thing { record: dossier.record, item, whole: &facts.whole };
    for (scope, items) in &facts.each {
        if let Some(items) = items {
            let named = book.named(scope);
            let list = items
                .iter()
                .map(|i| Case { sheet: together(i, &facts.whole, &named), subject: Box::new(thing(i)) });
            cases.insert(scope, list.collect());
        }
    }
    let whole = vec![Case { sheet: facts.whole.sheet.clone(), subject: Box::new(thing(&facts.whole)) }];
    let mut judgement = book.judge_cases(sources, is_complete(dossier.record), &|each| match each {
        None => Some(&whole),
        Some(scope) => cases.get(scope).map(Vec::as_slice),
    });
    answers(dossier, &mut judgement);
    judgement
}

/// Roles that speak for the client; nobody else of a record's own people answers for it.
const VERIFIERS: [&str; 2] = ["client", "verifier"];

/// The role of somebody who built, released or tested here.
fn own_role(dossier: &Dossier, by: &str) -> Option<String> {
    let record = dossier.record;
    let plain = |t: &str| t.split_whitespace().collect::<String>().to_lowercase();
    let signed = (0..record.count("people").unwrap_or(0)).find_map(|i| {
        let part = |key: &str| record.get(&format!("people.{i}.{key}")).map(|g| g.text.clone());
        let is = |key: &str| part(key).is_some_and(|t| plain(&t) == plain(by));
        (is("authorisation") || is("name")).then(|| part("role").unwrap_or_default())
    });
    let crew = dossier.pack.briefing.crew.iter();
    let named =
        crew.into_iter().find(|c| plain(&c.authorisation) == plain(by) || plain(&c.name) == plain(by));
    let role = named.map(|c| c.role.clone()).or(signed)?;
    let speaks = VERIFIERS.iter().any(|v| role.to_lowercase().contains(v));
    (!speaks).then_some(role)
}

/// Queries answered in the record are no longer open; the answer prints.
fn answers(dossier: &Dossier, judgement: &mut Judgement) {
    let record = dossier.record;
    for i in 0..record.count("answers").unwrap_or(0) {
        let part = |key: &str| record.get(&format!("answers.{i}.{key}")).map(|g| g.text.clone());
        let query = part("query").unwrap_or_default();
        let place = record.place(&format!("answers.{i}.query"), "this answer");
        let refuse = |judgement: &mut Judgement, message: String| {
            let remedy = "Name the query as the report has it: its code, check and place.";
            let mut finding = Finding::reading(ReadingCode::Acceptance, message, remedy, place.clone());
            (finding.grade, finding.state) = (Grade::Advises, State::Advice);
            judgement.findings.push(finding);
        };
        let (Some(answer), Some(by), Some(when)) = (part("answer"), part("by"), part("when")) else {
            refuse(judgement, format!("the answer to {query} lacks answer, by or when"));
            continue;
        };
        if let Some(role) = own_role(dossier, &by) {
            refuse(
                judgement,
                format!(
                    "the answer to {query} is by {by}, {role}: who did, released or tested the work does not answer for it"
                ),
            );
            continue;
        }
        let at = part("at").map(|at| at.trim_start_matches('/').replace('/', "."));
        let check = part("check");
        let wanted = |f: &Finding| {
            f.code.eq_ignore_ascii_case(&query)
                && f.grade == Grade::Asks
                && check.as_ref().is_none_or(|c| *c == f.check)
                && at.as_ref().is_none_or(|at| {
                    let place = f.places.first().map(|p| p.pointer.trim_start_matches('/').replace('/', "."));
                    // A row stands for each of its blanks.
                    place.is_some_and(|p| {
                        p.strip_prefix(at.as_str()).is_some_and(|r| r.is_empty() || r.starts_with('.'))
                    })
                })
        };
        let found: Vec<usize> =
            judgement.findings.iter().enumerate().filter(|(_, f)| wanted(f)).map(|(i, _)| i).collect();
        match found.as_slice() {
            [] => refuse(judgement, format!("no query {query} is open here")),
            all if all.len() == 1 || at.is_some() => {
                for one in all {
                    let finding = &mut judgement.findings[*one];
                    finding.state = State::Accepted;
                    finding.notes.push(format!("answered by {by}, {when}: {answer}"));
                }
            }
            many => refuse(judgement, format!("{query} asks {} times; `at:` must say which", many.len())),
        }
    }
}

/// How far a record is filled, and what comes next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Progress {
    pub filled: usize,
    pub total: usize,
    pub next: String,
}

/// Counts the blanks of the points and of the test sheet.
pub fn progress(record: &Record, pack: &crate::procedure::Pack) -> Progress {
    let pack = &*super::struck::asked(record, pack);
    let mut out = Progress { filled: 0, total: 0, next: String::new() };
    let mut count = |name: &str| {
        out.total += 1;
        let there = record.get(name).is_some();
        out.filled += usize::from(there);
        there
    };
    let mut next = None;
    for point in &pack.form.points {
        let mut open = Vec::new();
        for reading in &point.readings {
            let missing = reading
                .cells
                .iter()
                .filter(|c| !count(&super::table::answer_name(&point.id, &reading.id, c)))
                .count();
            if missing > 0 {
                open.push(reading.title.clone());
            }
        }
        let phases: &[&str] = if point.phases { &[".L1", ".L2", ".L3"] } else { &[""] };
        let unreleased =
            phases.iter().filter(|p| !count(&format!("points.{}.released{p}", point.id))).count();
        if next.is_none() && (unreleased > 0 || !open.is_empty()) {
            let head = format!("STOP {}, point {}: {}", point.stop, point.short, point.title);
            next = Some(match (open.len(), open.first()) {
                (0, _) | (_, None) => format!("{head}; to be released"),
                (1, Some(one)) => format!("{head}; still to write: {one}"),
                (n, Some(one)) => format!("{head}; still to write: {one}, and {} more", n - 1),
            });
        }
    }
    for reading in &pack.form.tests {
        for cell in &reading.cells {
            if !count(&super::table::answer_name("tests", &reading.id, cell)) && next.is_none() {
                next = Some(format!("test sheet: {}", reading.title));
            }
        }
    }
    out.next = next.unwrap_or_else(|| "every blank is filled: give `completed:` its time".into());
    out
}
