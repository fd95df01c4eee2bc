//! The jobs of one circuit, judged together for `check` and `issue`.

use super::check::Judged;
use super::paths::relative;
use super::{Outcome, complain};
use crate::circuit::{self, Member};
use crate::facts::Sheet;
use crate::finding::Judgement;
use crate::job::{Job, Sources};
use crate::report::{self, JobReport, Kind};
use crate::rules::RuleBook;
use crate::source::Source;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

/// One circuit with what was found across its jobs.
pub struct Across {
    pub name: String,
    /// Numbers of its jobs in force, among those given.
    pub jobs: Vec<usize>,
    /// Earlier revisions, which are not held against the others.
    pub earlier: Vec<usize>,
    title: String,
    sources: Sources,
    judgement: Judgement,
}

impl Across {
    pub fn report(&self) -> JobReport<'_> {
        JobReport {
            file: &self.title,
            sources: &self.sources,
            reading: &[],
            judgement: Some(&self.judgement),
            kind: Kind::Circuit,
        }
    }

    pub fn is_open(&self) -> bool {
        self.judgement.open() > 0
    }

    /// The findings as text, and which files were left aside.
    pub fn text(&self, all: &[Judged], look: report::Look) -> String {
        let mut out = report::text(&self.report(), look);
        let names =
            |list: &[usize]| list.iter().map(|i| all[*i].file.as_str()).collect::<Vec<_>>().join(", ");
        out.push_str(&report::folded(&format!("  judged together: {}", names(&self.jobs))));
        if !self.earlier.is_empty() {
            out.push_str(&report::folded(&format!(
                "  earlier revisions, left aside: {}",
                names(&self.earlier)
            )));
        }
        out
    }

    /// The same for machines, in the form of a job's findings; files as seen from the
    /// circuit's folder, whatever that was called by.
    pub fn json(&self, all: &[Judged]) -> Value {
        let mut line = report::json(&self.report());
        let files = |list: &[usize]| list.iter().map(|i| all[*i].file.as_str()).collect::<Vec<_>>();
        let typed = [files(&self.jobs), files(&self.earlier)].concat();
        let shown = within(&typed.iter().map(|file| relative(Path::new(file))).collect::<Vec<_>>());
        renamed(&mut line, &typed.iter().copied().zip(shown.iter().map(String::as_str)).collect());
        let (jobs, earlier) = shown.split_at(self.jobs.len());
        line["circuit"] = json!(self.name);
        line["jobs"] = json!(jobs);
        line["earlier"] = json!(earlier);
        line
    }
}

/// Puts the shown name of a file behind every key `file`.
fn renamed(value: &mut Value, names: &BTreeMap<&str, &str>) {
    match value {
        Value::Array(all) => all.iter_mut().for_each(|one| renamed(one, names)),
        Value::Object(map) => {
            for (key, inner) in map {
                match inner.as_str().and_then(|file| names.get(file)).filter(|_| key == "file") {
                    Some(name) => *inner = json!(name),
                    None => renamed(inner, names),
                }
            }
        }
        _ => {}
    }
}

/// A judged job without what no rule across jobs reads: of ten thousand this is
/// all that stays.
pub fn kept(judged: Judged) -> Judged {
    let only = |(job, sheet, _): (Job, Sheet, Judgement)| {
        (job.without(&["kit", "lug", "boots"]), sheet.only(circuit::reads()), Judgement::default())
    };
    let sources = judged.sources.into_iter().map(Source::resting).collect();
    Judged { reading: Vec::new(), judged: judged.judged.map(only), sources, ..judged }
}

/// The rules across jobs, or the fault that keeps us from judging anything.
pub fn rule_book() -> Result<RuleBook, Outcome> {
    circuit::rule_book().map_err(|fault| {
        complain(&format!("fault of the tool, not of the job: {fault}"));
        Outcome::Trouble
    })
}

/// Says that a share of the list is no whole folder: nothing passes in silence.
pub fn of_a_share(share: bool) {
    if share {
        complain(
            "a share of the list: jobs of one circuit that lie in other shares are not held against these",
        );
    }
}

/// Files as seen from the folder that holds them all, whatever they were called by.
fn within(files: &[String]) -> Vec<String> {
    let folder = |file: &str| {
        file.rsplit_once('/').map_or(Vec::new(), |(f, _)| f.split('/').map(String::from).collect())
    };
    let mut shared: Vec<String> = files.first().map_or(Vec::new(), |file| folder(file));
    for file in files {
        let own = folder(file);
        shared.truncate(shared.iter().zip(&own).take_while(|(a, b)| a == b).count());
    }
    files.iter().map(|file| file.split('/').skip(shared.len()).collect::<Vec<_>>().join("/")).collect()
}

/// Every circuit of which more than one job was given and read.
pub fn judge(all: &[Judged], book: &RuleBook) -> Vec<Across> {
    let read: Vec<(usize, Member)> = all
        .iter()
        .enumerate()
        .filter_map(|(i, one)| {
            let (job, sheet, _) = one.judged.as_ref()?;
            Some((i, Member { file: &one.file, sources: &one.sources, job, sheet }))
        })
        .collect();
    let members: Vec<Member> = read.iter().map(|(_, m)| *m).collect();
    let found = circuit::circuits(&members).into_iter().map(|circuit| {
        let named: Vec<String> = circuit.jobs.iter().map(|i| relative(Path::new(members[*i].file))).collect();
        let named = within(&named);
        let own: Vec<Member> =
            circuit.jobs.iter().zip(&named).map(|(i, file)| Member { file, ..members[*i] }).collect();
        let sources = circuit::sources(&own);
        let judgement = circuit::judge(book, &circuit, &own, &sources);
        let numbers = |list: Vec<usize>| list.into_iter().map(|i| read[i].0).collect();
        Across {
            title: format!("circuit {}, {} jobs", circuit.name, own.len()),
            jobs: numbers(circuit.jobs.clone()),
            earlier: numbers(circuit.earlier.iter().map(|(i, _)| *i).collect()),
            name: circuit.name,
            sources,
            judgement,
        }
    });
    found.collect()
}
