//! `explain`: what a rule, a fact or a code means, from the same source as the
//! judging.

use super::args::Explain;
use super::{Outcome, across, check, complain, paths, remedies, say};
use crate::circuit;
use crate::facts::{self, Declared, Gap, Sheet};
use crate::finding::{Grade, READING_CODES};
use crate::inspection;
use crate::job::{self, Loaded};
use crate::record;
use crate::report::{self, JobReport};
use crate::rules::{Entry, RuleBook, in_words};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

pub fn run(args: &Explain) -> Outcome {
    let house = match check::house(args.house.as_ref()) {
        Ok(house) => house,
        Err(outcome) => return outcome,
    };
    let book = match check::rule_book(house.as_ref()) {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let verify = match record::rule_book() {
        Ok(book) => book,
        Err(fault) => {
            complain(&format!("fault of the tool: {fault}"));
            return Outcome::Trouble;
        }
    };
    let across = match across::rule_book() {
        Ok(book) => book,
        Err(outcome) => return outcome,
    };
    let decide = match inspection::table() {
        Ok(book) => book,
        Err(fault) => {
            complain(&format!("fault of the tool: {fault}"));
            return Outcome::Trouble;
        }
    };
    let declared = facts::declared();
    let what = args.what.trim();
    if what == "all" {
        say(&list(&book, &across, &verify, &decide));
        return Outcome::Good;
    }
    if what == "weights" {
        return match remedies::ways(None) {
            Ok(ways) => {
                say(&remedies::weights_file(&ways));
                Outcome::Good
            }
            Err(fault) => {
                complain(&fault);
                Outcome::Trouble
            }
        };
    }
    if let Some(entry) = book.entry(what).or_else(|| across.entry(what)) {
        let across = |name: &str| circuit::title(name).map(String::from);
        let title = |name: &str| declared.get(name).map(|d| d.title.clone()).or_else(|| across(name));
        say(&rule(entry, &["blocks", "asks", "advises"], &title));
        return Outcome::Good;
    }
    if let Some(entry) = verify.entry(what) {
        let own = record::declared(entry.each.as_deref().unwrap_or(""));
        say(&rule(entry, &["reject", "query", "note"], &|name| own.get(name).cloned()));
        return Outcome::Good;
    }
    if let Some(entry) = decide.entry(what) {
        let own = inspection::declared(entry.each.as_deref().unwrap_or(""));
        say(&rule(entry, &["redesign", "remake", "watch"], &|name| own.get(name).cloned()));
        return Outcome::Good;
    }
    if let Some(one) = declared.get(what) {
        let sheet = match args.job.as_ref().map(|path| sheet_of(path, args)).transpose() {
            Ok(sheet) => sheet,
            Err(outcome) => return outcome,
        };
        say(&fact(what, one, &declared, &book, sheet.as_ref()));
        return Outcome::Good;
    }
    if let Some(coming) = book.coming.iter().find(|c| c.code.eq_ignore_ascii_case(what) || c.name == what) {
        say(&format!(
            "{} {}: {}\nNot built yet: no job is judged by it.\n",
            coming.code, coming.name, coming.title
        ));
        return Outcome::Good;
    }
    for code in READING_CODES {
        let entry = code.entry();
        if entry.code.eq_ignore_ascii_case(what) || entry.name == what {
            say(&format!("{} {}\n{}\n", entry.code, entry.name, entry.meaning));
            return Outcome::Good;
        }
    }
    let entries = [&book, &across, &verify, &decide].into_iter().flat_map(|b| &b.entries);
    let names =
        declared.keys().map(String::as_str).chain(entries.flat_map(|e| [e.code.as_str(), e.name.as_str()]));
    let near = names
        .map(|name| (strsim::jaro_winkler(what, name), name))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(score, _)| *score > 0.75);
    match near {
        Some((_, name)) => complain(&format!("nothing is called `{what}`; did you mean `{name}`?")),
        None => complain(&format!("nothing is called `{what}`; `cutback explain all` lists what there is")),
    }
    Outcome::Trouble
}

fn list(book: &RuleBook, across: &RuleBook, verify: &RuleBook, decide: &RuleBook) -> String {
    let mut out = String::from(
        "Rules (S system and cable, K kit, D dimensions, B box, E earthing, P parts,\nT tests, W work place and documents, R people, records and dates,\nH a house's own):\n",
    );
    for entry in &book.entries {
        rule_line(&mut out, &entry.code, &entry.name, &entry.title);
    }
    out.push_str("\nRules across the jobs of one circuit:\n");
    for entry in &across.entries {
        rule_line(&mut out, &entry.code, &entry.name, &entry.title);
    }
    if !book.coming.is_empty() {
        out.push_str("\nPlanned, not built yet:\n");
    }
    for coming in &book.coming {
        rule_line(&mut out, &coming.code, &coming.name, &coming.title);
    }
    out.push_str(
        "\nRules of verification (A papers, G releases, F figures, I photographs,\nM material and instruments, N people, U tests, L leaving, X across\nthe records of a circuit):\n",
    );
    for entry in &verify.entries {
        rule_line(&mut out, &entry.code, &entry.name, &entry.title);
    }
    out.push_str("\nThe decision on an end as it was found (Q):\n");
    for entry in &decide.entries {
        rule_line(&mut out, &entry.code, &entry.name, &entry.title);
    }
    out.push_str("\nBefore any rule (Y the YAML text, Z issuing):\n");
    for code in READING_CODES {
        let entry = code.entry();
        let _ = writeln!(out, "  {} {}", entry.code, entry.name);
    }
    out.push_str("\nComputed facts:\n");
    for def in facts::computed() {
        line(&mut out, &format!("{:30}", def.name), def.title);
    }
    out
}

/// A name and its title beside it, which goes on under its own first word.
fn line(out: &mut String, name: &str, title: &str) {
    let head = format!("  {name} ");
    let indent = " ".repeat(head.chars().count());
    for (i, words) in report::wrap(title, 80usize.saturating_sub(indent.len()).max(20)).iter().enumerate() {
        let _ = writeln!(out, "{}{words}", if i == 0 { &head } else { &indent });
    }
}

/// A rule by its code and name.
fn rule_line(out: &mut String, code: &str, name: &str, title: &str) {
    line(out, &format!("{code} {name:34}"), title);
}

/// Title of a fact, where it is known.
type Titles<'t> = &'t dyn Fn(&str) -> Option<String>;

/// A rule in words; `grades` are its own: first the one that blocks.
fn rule(entry: &Entry, grades: &[&str; 3], title: Titles) -> String {
    let mut out = format!("{} {}: {}\n\n", entry.code, entry.name, entry.title);
    for layer in &entry.layers {
        out.push_str(&report::folded(&format!("Layer: {layer}")));
    }
    out.push_str(if entry.layers.is_empty() { "" } else { "\n" });
    report::wrap(entry.meaning.trim(), WIDTH).iter().for_each(|line| {
        let _ = writeln!(out, "{line}");
    });
    if let Some(each) = &entry.each {
        let _ = writeln!(out, "\nAsked of each {each}.");
    }
    if let Some(applies) = &entry.applies {
        out.push('\n');
        condition(&mut out, "applies when:", applies, title);
    }
    if !entry.never.is_empty() {
        out.push_str("\nNot a remedy:\n");
        entry.never.iter().for_each(|never| labelled(&mut out, "-", never));
    }
    for check in &entry.checks {
        let _ = writeln!(out, "\n{} ({})", check.title, check.id);
        if let Some(applies) = &check.applies {
            condition(&mut out, "applies when:", applies, title);
        }
        for rung in &check.ladder {
            let grade = match rung.grade {
                Grade::Blocks => grades[0],
                Grade::Asks => grades[1],
                Grade::Advises => grades[2],
            };
            condition(&mut out, &format!("{grade} when:"), &rung.when, title);
            labelled(&mut out, "  remedy:", &figures_named(&rung.remedy, title));
        }
        labelled(&mut out, "figures:", &check.figures.join(", "));
        if !check.would_pass.is_empty() {
            let names: Vec<&str> = check.would_pass.iter().map(|(name, _)| name.as_str()).collect();
            labelled(&mut out, "would pass at:", &names.join(", "));
        }
        labelled(&mut out, "points at:", &check.at);
        labelled(&mut out, "basis:", &check.basis);
    }
    out
}

/// A condition in words, and as the rule file has it.
fn condition(out: &mut String, label: &str, condition: &str, title: Titles) {
    let words = in_words(condition, title);
    labelled(out, label, &words);
    if words != condition {
        labelled(out, "  by fact:", condition);
    }
}

/// A sentence with the titles of its figures in their places.
fn figures_named(sentence: &str, title: Titles) -> String {
    let mut parts = sentence.split("{{");
    let mut out = parts.next().unwrap_or("").to_string();
    for part in parts {
        let (name, rest) = part.split_once("}}").unwrap_or((part, ""));
        let name = name.trim();
        out.push_str(&format!("[{}]{rest}", title(name).unwrap_or_else(|| name.to_string())));
    }
    out
}

/// The facts of the job named, or its reading trouble said.
fn sheet_of(path: &Path, args: &Explain) -> Result<Sheet, Outcome> {
    let text = paths::read(path).map_err(|error| check::unreadable(&error))?;
    let library = check::library_for(path, args.library.as_ref());
    let name = path.display().to_string();
    let Loaded { sources, job, findings } = job::load(&name, text, &library);
    match job.filter(|_| findings.is_empty()) {
        Some(job) => Ok(facts::sheet(&job)),
        None => {
            let report = JobReport {
                kind: report::Kind::Job,
                file: &name,
                sources: &sources,
                reading: &findings,
                judgement: None,
            };
            say(&report::text(&report, check::look()));
            Err(Outcome::Findings)
        }
    }
}

const WIDTH: usize = 78;

/// A line with its label; what does not fit goes on under its own first word.
fn labelled(out: &mut String, label: &str, text: &str) {
    let indent = label.chars().count() + 3;
    for (i, line) in report::wrap(text, WIDTH.saturating_sub(indent)).into_iter().enumerate() {
        let head = if i == 0 { format!("  {label} ") } else { " ".repeat(indent) };
        let _ = writeln!(out, "{head}{line}");
    }
}

/// Figure of a fact in a job, or why there is none.
fn figure(sheet: &Sheet, name: &str) -> String {
    match sheet.get(name).map(|f| &f.value) {
        Some(Err(Gap::Missing(names))) if names.iter().any(|n| n != name) => {
            format!("none: not answered: {}", names.join(", "))
        }
        Some(Err(Gap::Refused { why, .. })) => format!("none: {why}"),
        _ => sheet.text(name).to_string(),
    }
}

fn fact(
    name: &str,
    d: &Declared,
    all: &BTreeMap<String, Declared>,
    book: &RuleBook,
    sheet: Option<&Sheet>,
) -> String {
    let mut out = format!("{name}: {}\n", d.title);
    if let Some(sheet) = sheet {
        labelled(&mut out, "in this job:", &figure(sheet, name));
    }
    match d.formula {
        Some(formula) => {
            labelled(&mut out, "formula:", formula);
            out.push_str("  inputs:\n");
            for input in d.inputs {
                let title = all.get(*input).map_or("", |i| i.title.as_str());
                let text = match sheet {
                    Some(sheet) => format!("{}: {}", title, figure(sheet, input)),
                    None => title.to_string(),
                };
                labelled(&mut out, &format!("  {input:32}"), &text);
            }
        }
        None => out.push_str("  given in the job file or a library item\n"),
    }
    labelled(&mut out, "source:", d.mark.words());
    if !d.meaning.is_empty() {
        labelled(&mut out, "note:", d.meaning);
    }
    let used: Vec<&str> = book
        .entries
        .iter()
        .filter(|e| e.checks.iter().any(|c| c.figures.iter().any(|f| f == name)))
        .map(|e| e.code.as_str())
        .collect();
    if !used.is_empty() {
        labelled(&mut out, "printed by:", &used.join(", "));
    }
    let judging = |e: &&Entry| e.checks.iter().any(|c| c.actual.as_deref() == Some(name));
    for entry in book.entries.iter().filter(judging).filter(|e| !e.never.is_empty()) {
        let _ = writeln!(out, "  not a remedy where it is short:");
        entry.never.iter().for_each(|never| labelled(&mut out, "  -", never));
    }
    out
}
