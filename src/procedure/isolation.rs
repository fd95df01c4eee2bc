//! Briefing, and the isolation page: every point and every source of back-feed,
//! the documents, and which runs of steps stand under which.

use super::fault::ProcedureFault;
use super::method::Built;
use super::pack::{Run, Step};
use super::pages::{BackFeed, Briefing, CrewLine, DocumentLine, IsolationPage, IsolationPoint, RunLine};
use super::papers::LineWords;
use super::sequence::Procedures;
use super::words::Words;
use crate::facts::Sheet;
use crate::job::Job;

const PAPERS: &str = "templates/procedures/papers.yaml";
const NOT_ANSWERED: &str = "not answered";

/// Lines whose condition holds, with their figures.
pub(super) fn lines(
    all: &Procedures,
    words: &Words,
    list: &[LineWords],
) -> Result<Vec<String>, ProcedureFault> {
    let fault = |message: String| all.fault(PAPERS, "", message);
    let mut out = Vec::new();
    for line in list {
        if words.applies(line.when.as_deref()).map_err(fault)? {
            out.push(words.plain(&line.text).map_err(fault)?);
        }
    }
    Ok(out)
}

pub(super) fn briefing(all: &Procedures, job: &Job, words: &Words) -> Result<Briefing, ProcedureFault> {
    let paper = &all.papers.briefing;
    let crew = (0..job.count("crew"))
        .map(|i| {
            let part = |key: &str| job.text(&format!("crew.{i}.{key}"));
            CrewLine {
                role: part("role").unwrap_or_else(|| NOT_ANSWERED.into()),
                // A name the job does not give is a blank for the day.
                name: part("name").unwrap_or_default(),
                authorisation: part("authorisation").unwrap_or_else(|| NOT_ANSWERED.into()),
                up_to: part("up_to").unwrap_or_default(),
                valid_to: part("valid_to").unwrap_or_else(|| NOT_ANSWERED.into()),
            }
        })
        .collect();
    Ok(Briefing {
        topics: lines(all, words, &paper.topics)?,
        crew,
        sign_rows: paper.sign_rows,
        clock: paper.clock.clone(),
    })
}

pub(super) fn points(job: &Job) -> Vec<IsolationPoint> {
    (0..job.count("isolation.points"))
        .map(|i| {
            let part = |key: &str| {
                job.text(&format!("isolation.points.{i}.{key}")).unwrap_or_else(|| NOT_ANSWERED.into())
            };
            IsolationPoint {
                number: (i + 1).to_string(),
                device: part("device"),
                locked_by: part("locked_by"),
                earth: part("earth"),
                by: part("by"),
            }
        })
        .collect()
}

/// Every source that may feed back, answered or not.
pub(super) fn back_feed(job: &Job) -> Vec<BackFeed> {
    [
        ("low voltage", "low_voltage"),
        ("voltage transformer", "voltage_transformer"),
        ("generator", "generator"),
        ("solar", "solar"),
        ("ring end", "ring_end"),
        ("capacitor", "capacitor"),
    ]
    .map(|(source, key)| BackFeed {
        source: source.into(),
        answer: job.text(&format!("isolation.back_feed.{key}")).unwrap_or_else(|| NOT_ANSWERED.into()),
    })
    .to_vec()
}

pub(super) fn page(
    all: &Procedures,
    job: &Job,
    sheet: &Sheet,
    words: &Words,
    built: &Built,
) -> Result<IsolationPage, ProcedureFault> {
    let paper = &all.papers.isolation;
    let fault = |message: String| all.fault(PAPERS, "/isolation", message);
    // Where nothing is tested, a test document and a guard would be lines nobody can fill.
    let tested = sheet.text("tests.planned") != "no";
    let guarded = tested || !sheet.text("documents.before_work_test").starts_with("none");
    let documents = [
        ("Permit to work", sheet.text("documents.permit")),
        ("Test document", if tested { sheet.text("documents.test") } else { "none" }),
        ("Document for tests before the work", sheet.text("documents.before_work_test")),
        ("Document for identification", sheet.text("documents.identification")),
    ]
    .into_iter()
    // A document that this job answers `none` has no number to copy; one that is not
    // answered stays, and says so.
    .filter(|(_, by)| !by.starts_with("none"))
    .map(|(document, by)| DocumentLine { document: document.into(), by: by.into() })
    .chain(
        guarded
            .then(|| words.plain(&paper.far_end).map_err(fault))
            .transpose()?
            .map(|by| DocumentLine { document: "Far-end guard during tests".into(), by }),
    )
    .collect();
    // Runs under the same document are one line: what matters is the change.
    let mut order: Vec<RunLine> = Vec::new();
    let mut group: Option<(usize, usize, &Run)> = None;
    for (i, run) in built.method.runs.iter().enumerate() {
        group = match group {
            Some((first, _, of)) if of.document == run.document => Some((first, i, of)),
            open => {
                order.extend(open.map(|(first, last, _)| run_line(&built.method.runs, first, last)));
                Some((i, i, run))
            }
        };
    }
    order.extend(group.map(|(first, last, _)| run_line(&built.method.runs, first, last)));
    Ok(IsolationPage {
        points: points(job),
        back_feed: back_feed(job),
        documents,
        order,
        notes: lines(all, words, &paper.notes)?,
    })
}

/// The document in force, in a word.
fn short_name(kind: &str) -> &str {
    match kind {
        "permit" => "permit",
        "test" => "test document",
        "none" => "none",
        other => other,
    }
}

/// One line for the runs from `first` to `last`, with their step numbers.
fn run_line(runs: &[Run], first: usize, last: usize) -> RunLine {
    let (a, b) = (&runs[first], &runs[last]);
    let number = |step: Option<&Step>| step.map_or(String::new(), |s| s.number.clone());
    let (from, to) = (number(a.steps.first()), number(b.steps.last()));
    RunLine {
        run: if first == last { format!("{}", first + 1) } else { format!("{} to {}", first + 1, last + 1) },
        document: short_name(&a.document).into(),
        steps: if from == to { from } else { format!("{from} to {to}") },
    }
}
