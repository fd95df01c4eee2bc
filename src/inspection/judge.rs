//! The decision: every row of the table asked of the end, the worst that fires,
//! and nothing kept on a question that was not answered.

use super::facts::{self, View};
use super::names;
use super::place::{Item, Thing};
use super::rebuilt::{Rebuilt, rebuilt};
use crate::facts::Sheet;
use crate::finding::{Finding, Grade, Judgement, Place, ReadingCode};
use crate::job::{Job, Library, Sources};
use crate::rules::{Case, RuleBook, RuleFault};
use include_dir::{Dir, include_dir};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

static TABLE: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/decide");

/// A fault in one of our own files.
pub type TableFault = RuleFault;

/// What is to be done with the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    Keep,
    KeepAndWatch,
    Remake,
    Redesign,
    /// A question is open whose answer could make it worse.
    NotDecided,
}

impl Decision {
    pub fn words(self) -> &'static str {
        match self {
            Decision::Keep => "keep",
            Decision::KeepAndWatch => "keep and watch",
            Decision::Remake => "remake",
            Decision::Redesign => "redesign",
            Decision::NotDecided => "cannot be decided",
        }
    }
}

/// The as-found file, its job, and what judging needs.
pub struct Request<'a> {
    pub found: &'a Job,
    /// The job file: name, text, read and with its facts.
    pub file: &'a str,
    pub text: &'a str,
    pub job: &'a Job,
    pub sheet: &'a Sheet,
    /// The as-found file first, then the job and its library items.
    pub sources: &'a Sources,
    pub library: &'a Library,
    /// The rules of jobs, for a new end in the same box.
    pub book: &'a RuleBook,
    pub table: &'a RuleBook,
}

pub struct Decided {
    pub decision: Decision,
    /// The worst that is certain, whatever the open questions come to.
    pub at_least: Decision,
    pub judgement: Judgement,
    /// A new end by the job's kit in the same box, or why there is none.
    pub rebuilt: Result<Rebuilt, String>,
    /// Geometry is the cause: the way out of the box is worth a search.
    pub geometry: bool,
}

/// The decision table built into the binary.
///
/// # Errors
/// A fault in one of our own files.
pub fn table() -> Result<RuleBook, TableFault> {
    let files = TABLE.files().filter_map(|file| {
        let name = file.path().to_str()?;
        Some((format!("templates/decide/{name}"), file.contents_utf8()?.to_string()))
    });
    let scopes = names::scopes();
    RuleBook::read_with(files.collect(), &|each| {
        let scope = each.unwrap_or("");
        let known = scope.is_empty() || scopes.contains(scope);
        known.then(|| names::declared(scope).into_keys().collect::<BTreeSet<String>>())
    })
}

/// What is wrong with the pair of files: figures of another end.
pub fn of_another_job(found: &Job, job: &Job) -> Vec<Finding> {
    let pairs = [("found.job", "job.number"), ("found.revision", "job.revision"), ("found.end", "job.end")];
    let differ = pairs.into_iter().filter(|(mine, its)| found.text(mine) != job.text(its));
    differ
        .map(|(mine, its)| {
            let its_text = job.text(its).unwrap_or_default();
            let mut finding = Finding::reading(
                ReadingCode::NotInLibrary,
                format!(
                    "`{mine}` is {}, the job's `{its}` is {its_text}",
                    found.text(mine).unwrap_or_default()
                ),
                "The job file of the very inspection whose figures these are.",
                found.place(mine, "as found"),
            );
            let place = job.place(its, "of the job");
            finding.places.push(Place { source: place.source + 1, ..place });
            finding
        })
        .collect()
}

/// Decides what is to be done with the end.
pub fn decide(request: &Request) -> Decided {
    let rebuilt = rebuilt(request.file, request.text, request.sheet, request.library, request.book);
    let view = View { found: request.found, sheet: request.sheet, rebuilt: &rebuilt };
    let whole = facts::whole(&view);
    let (phases, pairs) = (facts::phases(&view), facts::pairs(&view));
    let first = judged(request, &whole, &phases, &pairs, &facts::new_end(&view, false));
    let called = worst(&first).is_some_and(|g| g > Grade::Advises);
    // Only where a new end is called for does it matter whether the cable reaches.
    let judgement = match called {
        true => judged(request, &whole, &phases, &pairs, &facts::new_end(&view, true)),
        false => first,
    };
    let at_least = match worst(&judgement) {
        None => Decision::Keep,
        Some(Grade::Advises) => Decision::KeepAndWatch,
        Some(Grade::Asks) => Decision::Remake,
        Some(Grade::Blocks) => Decision::Redesign,
    };
    let decision = match (at_least, judgement.not_judged.is_empty()) {
        // Nothing weighs more than a redesign, whatever else comes.
        (Decision::Redesign, _) => Decision::Redesign,
        (certain, true) => certain,
        _ => Decision::NotDecided,
    };
    let geometry = judgement.findings.iter().any(|f| f.grade == Grade::Blocks);
    Decided { decision, at_least, judgement, rebuilt, geometry }
}

fn worst(judgement: &Judgement) -> Option<Grade> {
    judgement.findings.iter().map(|f| f.grade).max()
}

fn judged(request: &Request, whole: &Item, phases: &[Item], pairs: &[Item], new: &Item) -> Judgement {
    let of = |items: &[Item]| items.iter().map(|i| i.with(whole)).collect::<Vec<Item>>();
    let groups = [
        ("", vec![whole.clone()]),
        ("phase", of(phases)),
        ("pair", of(pairs)),
        ("new end", of(std::slice::from_ref(new))),
    ];
    let mut cases: BTreeMap<&str, Vec<Case>> = BTreeMap::new();
    for (scope, items) in &groups {
        let thing = |item| Thing { item, found: request.found, job: request.job };
        let list =
            items.iter().map(|item| Case { sheet: item.sheet.clone(), subject: Box::new(thing(item)) });
        cases.insert(scope, list.collect());
    }
    request.table.judge_cases(request.sources, true, &|each| cases.get(each.unwrap_or("")).map(Vec::as_slice))
}
