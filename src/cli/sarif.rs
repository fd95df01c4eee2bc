//! A run of `check` as one SARIF log.

use super::paths::{Trouble, relative};
use super::{Outcome, paths};
use crate::finding::Grade;
use crate::job::Library;
use crate::report::{JobReport, ProposedFix, RuleLine, SarifLog};
use crate::rules::{Entry, RuleBook};
use crate::source::Source;
use std::fmt::Write;
use std::path::Path;

pub struct Log(SarifLog);

impl Log {
    pub fn new(books: &[&RuleBook]) -> Log {
        let rules: Vec<RuleLine> = books.iter().flat_map(|b| &b.entries).map(line).collect();
        Log(SarifLog::new(&rules))
    }

    /// Adds the report of the job at `path`, with the library it was read with.
    /// With the way out that was searched for it, where there was a search.
    pub fn job(&mut self, report: &JobReport, path: &Path, library: &Library, fix: Option<&ProposedFix>) {
        self.0.job(report, &uris(report.sources, path, library), fix);
    }

    /// Adds what is found across the jobs of one circuit; `uris` are the addresses
    /// of all their sources.
    pub fn circuit(&mut self, name: &str, report: &JobReport, uris: &[String]) {
        self.0.circuit(name, report, uris);
    }

    pub fn trouble(&mut self, trouble: &Trouble) {
        self.0.trouble(&paths::relative(&trouble.path), &trouble.what);
    }

    pub fn finish(self, outcome: Outcome) -> String {
        format!("{:#}\n", self.0.finish(outcome != Outcome::Trouble, outcome as u8))
    }
}

/// Addresses of a job's sources.
pub fn uris(sources: &[Source], path: &Path, library: &Library) -> Vec<String> {
    sources.iter().enumerate().map(|(i, s)| uri(i, s, path, library)).collect()
}

/// The job file first, then the items of its library.
fn uri(at: usize, source: &Source, job: &Path, library: &Library) -> String {
    let item = source.name().strip_prefix("library/");
    match (at, item, library.root()) {
        (0, ..) => relative(job),
        (_, Some(item), Some(root)) => relative(&root.join(item)),
        _ => source.name().to_string(),
    }
}

fn line(entry: &Entry) -> RuleLine {
    let mut help = String::new();
    for check in &entry.checks {
        let _ = writeln!(help, "{}: {}.", check.title, check.basis.trim_end_matches('.'));
    }
    let _ = write!(help, "Conditions, figures and remedies: `cutback explain {}`.", entry.code);
    let grades = entry.checks.iter().flat_map(|check| &check.ladder).map(|rung| rung.grade);
    RuleLine {
        code: entry.code.clone(),
        name: entry.name.clone(),
        title: entry.title.clone(),
        meaning: entry.meaning.clone(),
        help,
        grade: grades.max().unwrap_or(Grade::Blocks),
    }
}
