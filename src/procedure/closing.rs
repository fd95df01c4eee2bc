//! What is signed and handed over: release sheet, test sheet, deviations,
//! completion.

use super::fault::ProcedureFault;
use super::form::{self, Printed, Reading};
use super::isolation::lines;
use super::method::Built;
use super::pack::NamedText;
use super::pages::{
    Completion, CompletionLine, Deviations, PhaseLine, Release, ReleasePoint, ReleaseStop, TestRow, TestSheet,
};
use super::papers::Counted;
use super::sequence::Procedures;
use super::words::Words;
use crate::facts::Sheet;
use crate::job::{Job, Value};

const PAPERS: &str = "templates/procedures/papers.yaml";

pub(super) fn release(
    all: &Procedures,
    job: &Job,
    words: &Words,
    built: &Built,
) -> Result<Release, ProcedureFault> {
    let stops = built.stops.iter().map(|stop| ReleaseStop {
        number: stop.number.clone(),
        title: stop.title.clone(),
        run: stop.run.clone(),
        points: stop
            .points
            .iter()
            .map(|point| ReleasePoint {
                short: point.short.clone(),
                letter: point.letter.clone(),
                title: point.title.clone(),
                by: releaser(job, &point.id).unwrap_or_else(|| point.by.clone()),
            })
            .collect(),
    });
    Ok(Release { stops: stops.collect(), notes: lines(all, words, &all.papers.release.notes)? })
}

/// The person the job names for this point.
fn releaser(job: &Job, point: &str) -> Option<String> {
    (0..job.count("crew")).find_map(|i| {
        let part = |key: &str| job.text(&format!("crew.{i}.{key}"));
        match job.get(&format!("crew.{i}.releases")) {
            Some(Value::Texts(points)) if points.iter().any(|p| p == point) => {
                let who = part("name").or_else(|| part("authorisation"))?;
                Some(format!("{}, {who}", part("role").unwrap_or_default()))
            }
            _ => None,
        }
    })
}

/// The test sheet, and its rows as the record holds them.
pub(super) fn tests(
    all: &Procedures,
    job: &Job,
    words: &Words,
) -> Result<(TestSheet, Vec<Reading>), ProcedureFault> {
    let paper = &all.papers.tests;
    let plain = |text: &str| words.plain(text).map_err(|m| all.fault(PAPERS, "/tests", m));
    if matches!(job.get("tests.planned"), Some(Value::YesNo(false))) {
        let note = words.plain(&paper.not_here).map_err(|m| all.fault(PAPERS, "/tests/not_here", m))?;
        let title = plain(&paper.title)?;
        return Ok((
            TestSheet { title, rows: Vec::new(), disconnect: Vec::new(), notes: vec![note] },
            Vec::new(),
        ));
    }
    let mut rows = Vec::new();
    let mut readings = Vec::new();
    for row in &paper.rows {
        if !words.applies(row.when.as_deref()).map_err(|m| all.fault(PAPERS, "/tests", m))? {
            continue;
        }
        let basis = row.basis.as_deref().unwrap_or("client");
        let (name, limits) = (plain(&row.name)?, plain(&row.limits)?);
        let plan = row.record.plan.as_ref().map(|p| plain(p)).transpose()?;
        let printed = Printed { name: &name, unit: &row.unit, limits: &limits, basis, phases: row.phases };
        readings.extend(form::readings(&printed, &row.record, plan.as_deref()));
        rows.push(TestRow {
            name,
            limits,
            unit: row.unit.clone(),
            cells: if row.phases { 3 } else { 1 },
            note: plain(&row.note)?,
        });
    }
    let disconnect = match job.get("tests.disconnect") {
        Some(Value::Texts(list)) => list.clone(),
        _ => vec!["not answered".into()],
    };
    let sheet =
        TestSheet { title: plain(&paper.title)?, rows, disconnect, notes: lines(all, words, &paper.notes)? };
    Ok((sheet, readings))
}

pub(super) fn deviations(all: &Procedures) -> Deviations {
    let paper = &all.papers.deviations;
    Deviations { rows: paper.rows, columns: paper.columns.clone() }
}

pub(super) fn completion(
    all: &Procedures,
    job: &Job,
    sheet: &Sheet,
    words: &Words,
    built: &Built,
    photos: usize,
) -> Result<Completion, ProcedureFault> {
    let paper = &all.papers.completion;
    let fault = |message: String| all.fault(PAPERS, "/completion", message);
    let plain = |text: &str| words.plain(text).map_err(fault);
    let mut phases = Vec::new();
    for line in &paper.phases {
        let Some(point) = built.name_of(&line.control) else { continue };
        phases.push(PhaseLine {
            name: format!("{} ({point})", line.name),
            limits: plain(&line.limits)?,
            unit: "yes/no".into(),
        });
    }
    let holds = built.points().filter(|p| p.letter == "H").count();
    let mut list = Vec::new();
    for line in &paper.lines {
        if !words.applies(line.when.as_deref()).map_err(fault)? {
            continue;
        }
        let limits = match line.counts {
            Some(Counted::Stops) => format!("of {}", built.stops.len()),
            Some(Counted::Holds) => format!("of {holds}"),
            Some(Counted::Photos) => format!("of {photos}"),
            None => plain(&line.limits)?,
        };
        list.push(CompletionLine {
            name: plain(&line.name)?,
            limits,
            cells: if line.phases { 3 } else { 1 },
        });
    }
    let identity = [
        ("Job, revision", format!("{} {}", sheet.text("job.number"), sheet.text("job.revision"))),
        ("End", format!("{}, {}", sheet.text("job.end"), sheet.text("job.end_name"))),
        ("Circuit", sheet.text("circuit.name").to_string()),
        (
            "Kit",
            match sheet.text("kit.code") {
                none if none.starts_with("none") => "not known".to_string(),
                kit if job.get("lug").is_none() => format!("{kit}, lug not known"),
                kit => {
                    let what = if sheet.text("family") == "joint" { "connector" } else { "lug" };
                    format!("{kit}, {what} {}", sheet.text("lug.code"))
                }
            },
        ),
        ("Cable", format!("{}, drum {}", sheet.text("cable.type"), sheet.text("cable.drum"))),
    ]
    .map(|(name, text)| NamedText { name: name.into(), text })
    .to_vec();
    Ok(Completion {
        identity,
        phases,
        lines: list,
        signatures: paper.signatures.clone(),
        statement: plain(&paper.statement)?,
    })
}
