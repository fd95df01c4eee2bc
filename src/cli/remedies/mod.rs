//! `check --remedies`: the search for one judged job, and its changed job file.

mod text;

pub use text::text;

use super::check::Judged;
use super::{Outcome, complain};
use crate::facts::{self, Sheet};
use crate::finding::Judgement;
use crate::issuing;
use crate::job::{self, Job, Library};
use crate::procedure::{self, PackRequest, Procedures};
use crate::remedies::{self, Points, RemedyReport, Ways};
use crate::rules::RuleBook;
use std::path::Path;

/// What was found, and the changed job file where there is a way out.
pub type Found = (RemedyReport, Option<String>);

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
