//! `check --remedies`: the search for one judged job, and its changed job file.

mod text;

pub use text::text;

use super::check::Judged;
use super::{Outcome, complain, paths};
use crate::facts::{self, Sheet};
use crate::finding::Judgement;
use crate::issuing;
use crate::job::{self, Job, Library};
use crate::procedure::{self, PackRequest, Procedures};
use crate::remedies::{self, Points, RemedyReport, Ways};
use crate::report::ProposedFix;
use crate::rules::RuleBook;
use std::path::Path;

/// What was found, and the changed job file where there is a way out.
pub type Found = (RemedyReport, Option<String>);

/// The ways out with their weights, those of a house's own file where one is
/// named; else what is wrong with it.
pub fn ways(weights: Option<&Path>) -> Result<Ways, String> {
    let ways = Ways::built_in().map_err(|fault| format!("fault of the tool, not of the job: {fault}"))?;
    let Some(path) = weights else { return Ok(ways) };
    let text = paths::read(path).map_err(|error| error.trouble().to_string())?;
    ways.weighed(&path.display().to_string(), &text)
}

/// The ways as a house's file of weights holds them.
pub fn weights_file(ways: &Ways) -> String {
    let mut out = String::from(
        "# Weights of the ways out of a tight box, for `cutback check --remedies --weights\n# FILE`. The lightest set that serves is taken. Those built in: common practice,\n# no source. `none` takes a way out of the search; one left out keeps its weight.\n",
    );
    for (id, weight, name) in ways.listed() {
        let weight = weight.map_or_else(|| "none".to_string(), |w| w.to_string());
        out.push_str(&format!("{:24}# {name}\n", format!("{id}: {weight}")));
    }
    out
}

/// The way out of a judged job, and its changed job file where there is one.
pub fn search(judged: &Judged, text: &str, library: &Library, book: &RuleBook, ways: &Ways) -> Option<Found> {
    let (job, sheet, judgement) = judged.judged.as_ref()?;
    let request = remedies::Request { file: &judged.file, text, job, sheet, judgement, library, book, ways };
    let found = remedies::search(&request);
    let points = found.way.as_ref().map(|way| points(&way.text, judged, library, book)).unwrap_or_default();
    let changed = remedies::written(&request, &found, &points);
    Some((found, changed))
}

/// Steps and points that the changed job has and the job has not, and the other
/// way round; none where there is no procedure for the kind of work.
fn points(changed: &str, judged: &Judged, library: &Library, book: &RuleBook) -> Points {
    let Ok(procedures) = Procedures::built_in() else { return Points::default() };
    let uses = book.uses();
    let parts = |job: &Job, sheet: &Sheet, judgement: &Judgement| -> Vec<(String, String)> {
        let request = PackRequest {
            job,
            sheet,
            judgement,
            rule_uses: &uses,
            procedures: &procedures,
            never: book.never(),
            date: String::new(),
            house: None,
            language: None,
        };
        let pack = procedure::build(&request).ok().flatten();
        pack.map_or_else(Vec::new, |pack| pack.steps_and_points())
    };
    let Some((job, sheet, judgement)) = &judged.judged else { return Points::default() };
    let before = parts(job, sheet, judgement);
    let loaded = job::load(&judged.file, changed.to_string(), library);
    let Some(job) = loaded.job else { return Points::default() };
    let sheet = facts::sheet(&job);
    let after = parts(&job, &sheet, &book.judge(&sheet, &job, &loaded.sources));
    let only = |these: &[(String, String)], those: &[(String, String)]| -> Vec<String> {
        let same = |one: &(String, String)| those.iter().any(|(id, words)| *id == one.0 || *words == one.1);
        these.iter().filter(|one| !same(one)).map(|(_, words)| words.clone()).collect()
    };
    Points { new: only(&after, &before), gone: only(&before, &after) }
}

/// A way out as SARIF carries it: a proposed fix of the findings it answers.
pub fn proposed((report, changed): &Found, ways: &Ways) -> ProposedFix {
    let names = report.way.as_ref().map(|way| way.ways.join("; ")).unwrap_or_default();
    ProposedFix {
        codes: ways.must_pass().to_vec(),
        description: format!(
            "Lightest way out: {names}. A proposal: the planner looks at every line, and answers for it."
        ),
        changed: changed.clone(),
        report: serde_json::json!(report),
    }
}

/// Writes the changed job beside the planner's own, never over a file.
pub fn write(path: &Path, job: &Path, way: Option<&Found>) -> Outcome {
    let Some(text) = way.and_then(|(_, changed)| changed.as_ref()) else {
        complain(&format!("{}: there is no way out to write", path.display()));
        return Outcome::Findings;
    };
    match issuing::write_new(path, text.as_bytes()) {
        Ok(true) => {
            complain(&format!(
                "written: {0}\nLook at every changed line, give it a new revision, then: cutback check {0}",
                path.display()
            ));
            Outcome::Good
        }
        Ok(false) => {
            let own = if path == job { "the job itself, and it" } else { "a file already, and it" };
            complain(&format!(
                "{}: this is {own} was left as it is; give --write another name",
                path.display()
            ));
            Outcome::Trouble
        }
        Err(error) => {
            complain(&error.to_string());
            Outcome::Trouble
        }
    }
}
