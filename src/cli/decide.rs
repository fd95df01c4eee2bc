//! `decide`: what is to be done with an end as it was found.

use super::args::{Decide, ReceiveFormat};
use super::check::{self, Judged};
use super::{Outcome, complain, paths, remedies, say};
use crate::finding::{Finding, Missing};
use crate::inspection::{self, Decided, Decision, Remake, Request};
use crate::issuing;
use crate::job::{self, Sources};
use crate::press::Press;
use crate::remedies::Ways;
use crate::report::{self, JobReport, Kind};
use crate::rules::RuleBook;
use serde_json::json;
use std::fmt::Write;
use std::path::Path;

const FORMAT: &str = "cutback-decision-1";

/// The rules of jobs, the ways out and the decision table.
struct Books {
    rules: RuleBook,
    ways: Ways,
    table: RuleBook,
}

pub fn run(args: &Decide) -> Outcome {
    let books = match books() {
        Ok(books) => books,
        Err(fault) => {
            complain(&format!("fault of the tool, not of the job: {fault}"));
            return Outcome::Trouble;
        }
    };
    let (job_text, found_text) = match (paths::read(&args.job), paths::read(&args.found)) {
        (Ok(job), Ok(found)) => (job, found),
        (job, found) => {
            let errors = [job.err(), found.err()].into_iter().flatten();
            return errors.map(|e| check::unreadable(&e)).max().unwrap_or(Outcome::Trouble);
        }
    };
    let library = check::library_for(&args.job, args.library.as_ref());
    let file = args.job.display().to_string();
    let judged = check::judge(&file, job_text.clone(), &library, &books.rules, &Press::new());
    let Some((job, sheet, _)) = &judged.judged else {
        say(&report::text(&judged.report(), check::look()));
        return Outcome::Findings;
    };
    if sheet.text("family") != "inspection" {
        complain(&format!(
            "{file}: this job is no inspection, its kind of work is {}",
            sheet.text("job.work_type")
        ));
        return Outcome::Findings;
    }
    let name = args.found.display().to_string();
    let loaded = job::load_as_found(&name, found_text);
    let sources: Sources = loaded.sources.into_iter().chain(judged.sources.clone()).collect();
    let mut reading = loaded.findings;
    if let (Some(found), true) = (&loaded.job, reading.is_empty()) {
        reading.extend(inspection::of_another_job(found, job));
    }
    let (Some(found), true) = (&loaded.job, reading.is_empty()) else {
        return unread(args, &name, &sources, &reading);
    };
    let request = Request {
        found,
        file: &file,
        text: &job_text,
        job,
        sheet,
        sources: &sources,
        library: &library,
        book: &books.rules,
        table: &books.table,
    };
    let decided = inspection::decide(&request);
    let way = decided.geometry.then(|| way_out(&file, &decided, &library, &books)).flatten();
    let changed = way.as_ref().and_then(|(_, changed)| changed.as_deref());
    let remake = inspection::remake(&request, &decided, changed);
    let report = JobReport {
        file: &name,
        sources: &sources,
        reading: &[],
        judgement: Some(&decided.judgement),
        kind: Kind::AsFound,
    };
    match args.format {
        ReceiveFormat::Text => {
            say(&report::text(&report, check::look()));
            say(&words(&name, &request, &decided, remake.as_ref().ok()));
            if let Some((found, _)) = &way {
                // What changes besides stands in the changed job and in JSON.
                let mut found = found.clone();
                found.way.iter_mut().for_each(|way| way.facts.clear());
                say(&format!("\n{}", remedies::text(&format!("{file}, as a new end"), &found)));
            }
        }
        ReceiveFormat::Json => {
            let mut line = report::json(&report);
            line["format"] = json!(FORMAT);
            line["decision"] = json!(decided.decision);
            line["at_least"] = json!(decided.at_least);
            line["job"] = json!({"number": sheet.text("job.number"), "revision": sheet.text("job.revision"), "end": sheet.text("job.end")});
            line["held_against"] = json!(sheet.text("found_by"));
            line["new_end"] = json!(remake.as_ref().ok());
            line["remedies"] = json!(way.as_ref().map(|(found, _)| found));
            say(&format!("{line}\n"));
        }
    }
    let outcome = match decided.decision {
        Decision::Keep | Decision::KeepAndWatch => Outcome::Good,
        Decision::Remake | Decision::Redesign | Decision::NotDecided => Outcome::Findings,
    };
    match &args.write {
        Some(target) => outcome.max(write(target, &remake)),
        None => outcome,
    }
}

fn books() -> Result<Books, String> {
    Ok(Books {
        rules: RuleBook::built_in().map_err(|f| f.to_string())?,
        ways: Ways::built_in()?,
        table: inspection::table().map_err(|f| f.to_string())?,
    })
}

/// An as-found file that can not be read, or belongs to another job.
fn unread(args: &Decide, name: &str, sources: &Sources, reading: &[Finding]) -> Outcome {
    let report = JobReport { file: name, sources, reading, judgement: None, kind: Kind::AsFound };
    match args.format {
        ReceiveFormat::Text => {
            say(&report::text(&report, check::look()));
            let noun = if reading.len() == 1 { "place" } else { "places" };
            say(&report::folded(&format!(
                "{name}: can't be read as figures of this inspection, {} {noun} to mend. Nothing was decided.",
                reading.len()
            )));
        }
        ReceiveFormat::Json => {
            let mut line = report::json(&report);
            line["format"] = json!(FORMAT);
            line["decision"] = json!(Decision::NotDecided);
            say(&format!("{line}\n"));
        }
    }
    Outcome::Findings
}

/// The lightest way out of the box for a new end by the job's kit.
fn way_out(file: &str, decided: &Decided, library: &job::Library, books: &Books) -> Option<remedies::Found> {
    let new = decided.rebuilt.as_ref().ok()?;
    let judged = Judged {
        file: file.to_string(),
        sources: new.sources.clone(),
        reading: Vec::new(),
        judged: Some((new.job.clone(), new.sheet.clone(), new.judgement.clone())),
    };
    remedies::search(&judged, &new.text, library, &books.rules, &books.ways)
}

/// The decision, how it came, and what follows.
fn words(name: &str, request: &Request, decided: &Decided, remake: Option<&Remake>) -> String {
    let sheet = request.sheet;
    let judgement = &decided.judgement;
    let missing = missing(decided);
    let mut out = report::folded(&format!(
        "{name}: {}. Job {} {}, {}; {}. {} of {} rows asked, {} had nothing to ask.",
        decided.decision.words().to_uppercase(),
        sheet.text("job.number"),
        sheet.text("job.revision"),
        sheet.text("job.end"),
        sheet.text("found_by"),
        judgement.judged.len() + judgement.left_out.len(),
        judgement.total,
        judgement.apart.len()
    ));
    if decided.decision == Decision::NotDecided {
        let certain = match decided.at_least {
            Decision::Keep => String::new(),
            worst => format!(" Certain already: {}.", worst.words()),
        };
        out.push_str(&report::folded(&format!("missing: {missing}.{certain}")));
    }
    out.push_str(&report::folded(next(decided.decision)));
    if let Some(remake) = remake {
        let _ = writeln!(out, "\nNew end");
        let kind = remake.work_type.as_deref().unwrap_or("left open");
        out.push_str(&report::folded(&format!("  kind of work {kind}; kit {}", remake.kit)));
        for line in &remake.length {
            out.push_str(&report::folded(&format!("  {line}")));
        }
        if !remake.chain.is_empty() {
            out.push_str(&report::folded(&format!("  new chain from the stud: {}", remake.chain.join(", "))));
        }
    }
    out
}

/// Every answer that is missing, once.
fn missing(decided: &Decided) -> String {
    let mut names: Vec<String> = Vec::new();
    for one in &decided.judgement.not_judged {
        if one.missing.is_empty() && !names.contains(&one.why) {
            names.push(one.why.clone());
        }
        for Missing { name, .. } in &one.missing {
            let quoted = format!("`{name}`");
            if !names.contains(&quoted) {
                names.push(quoted);
            }
        }
    }
    names.join(", ")
}

/// What people do next.
fn next(decision: Decision) -> &'static str {
    match decision {
        Decision::Keep => "Planner and client sign; then the end is connected and measured again.",
        Decision::KeepAndWatch => {
            "Planner and client sign what is watched and when; then the end is connected and measured again."
        }
        Decision::Remake | Decision::Redesign => {
            "The circuit stays isolated; planner and client sign. A new end has a job of its own: --write FILE begins it."
        }
        Decision::NotDecided => "The circuit stays isolated until it is answered and decided.",
    }
}

fn write(target: &Path, remake: &Result<Remake, String>) -> Outcome {
    let remake = match remake {
        Ok(remake) => remake,
        Err(why) => {
            complain(&format!("{}: no job of a new end is written: {why}", target.display()));
            return Outcome::Findings;
        }
    };
    match issuing::write_new(target, remake.text.as_bytes()) {
        Ok(true) => {
            complain(&format!(
                "written: {0}\nName what is open in it, then: cutback check {0}",
                target.display()
            ));
            Outcome::Good
        }
        Ok(false) => {
            complain(&format!(
                "{}: there is such a file already, and it was left as it is; give --write another name",
                target.display()
            ));
            Outcome::Trouble
        }
        Err(error) => {
            complain(&error.to_string());
            Outcome::Trouble
        }
    }
}
