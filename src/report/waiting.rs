//! Checks that could not be judged, as people read them: the questions of one group
//! of a file together, and checks that wait for the same cause.

use super::text::{WIDTH, clip, fold, head, wrap};
use super::{JobReport, Kind, span};
use crate::finding::{Missing, NotJudged};
use crate::source::Source;
use codespan_reporting::diagnostic::{Diagnostic, Label, Severity};
use std::collections::BTreeMap;

/// More questions than these are counted in the first line, not named.
const NAMED: usize = 4;
/// More rules than these are listed below.
const LISTED: usize = 4;

/// The questions first, in the order of the files, then what a model refused.
pub(super) fn diagnostics(report: &JobReport, all: &[NotJudged]) -> Vec<Diagnostic<usize>> {
    let mut questions: BTreeMap<(usize, String), Vec<(&NotJudged, &Missing)>> = BTreeMap::new();
    let mut causes: BTreeMap<(Option<&str>, &str), Vec<&NotJudged>> = BTreeMap::new();
    for one in all {
        for missing in &one.missing {
            let parent = missing.place.pointer.rsplit_once('/').map_or("", |(parent, _)| parent);
            questions.entry((missing.place.source, parent.to_string())).or_default().push((one, missing));
        }
        if one.missing.is_empty() {
            causes.entry((one.refusal.as_deref(), &one.why)).or_default().push(one);
        }
    }
    let mut asked: Vec<_> = questions.into_values().collect();
    asked.sort_by_key(|group| {
        let first = group.iter().map(|(_, m)| span(report.sources, &m.place).start).min();
        (group.first().map_or(0, |(_, m)| m.place.source), first)
    });
    let asked = asked.iter().map(|group| question(report, group));
    asked.chain(causes.values().map(|group| refused(report, group))).collect()
}

/// What is not answered in one group of a file.
fn question(report: &JobReport, group: &[(&NotJudged, &Missing)]) -> Diagnostic<usize> {
    let mut keys: Vec<&Missing> = Vec::new();
    for (_, missing) in group {
        if !keys.iter().any(|k| k.name == missing.name) {
            keys.push(missing);
        }
    }
    keys.sort_by_key(|m| span(report.sources, &m.place).start);
    let checks: Vec<&NotJudged> = group.iter().map(|(one, _)| *one).collect();
    let parent = keys.first().and_then(|m| m.name.rsplit_once('.')).map_or("", |(parent, _)| parent);
    let verb = if keys.len() == 1 { "is" } else { "are" };
    let file = keys.first().and_then(|m| report.sources.get(m.place.source)).map_or("", |s| s.name());
    let within = if report.kind == Kind::Circuit { format!(" in {file}") } else { String::new() };
    let what = if keys.len() > NAMED && !parent.is_empty() {
        format!("{} answers under `{parent}` are missing{within}", keys.len())
    } else {
        let names: Vec<String> = keys.iter().map(|m| format!("`{}`", m.name)).collect();
        format!("{} {verb} missing{within}", names.join(", "))
    };
    let (mut diagnostic, rules) = begun(&what, &checks);
    let mut notes: Vec<String> = rules.into_iter().collect();
    if let Some((first, source)) = keys.first().and_then(|m| Some((m, report.sources.get(m.place.source)?))) {
        // A key that is not there points at its group.
        let there = source.has(&first.place.pointer);
        let label = if there { first.place.label.as_str() } else { "belongs under here" };
        let at = span(report.sources, &first.place);
        diagnostic.labels.push(Label::primary(first.place.source, at).with_message(clip(label)));
        let at = |m: &&Missing| source.line_column(span(report.sources, &m.place).start).0;
        let mut lines: Vec<usize> = keys.iter().map(at).collect();
        lines.dedup();
        let under =
            if parent.is_empty() { String::new() } else { format!(" under `{}`", inside(parent, source)) };
        let lines: Vec<String> = lines.iter().map(ToString::to_string).collect();
        let lines = if lines.len() < 2 { String::new() } else { format!(", lines {}", lines.join(", ")) };
        let answers: Vec<String> = keys.iter().map(|m| to_answer(m)).collect();
        let head = fold("help", &format!("no rule passes in silence; answer{under}{lines}"));
        notes.push(format!("{head}\n{}", answers.join("\n")));
    }
    notes.extend(keys.iter().filter(|m| !m.help.is_empty()).map(|m| fold("help", &m.help)));
    diagnostic.with_notes(notes)
}

/// The group as its file has it: an item of the library does not say `kit`.
fn inside<'n>(parent: &'n str, source: &Source) -> &'n str {
    match parent.split_once('.') {
        Some((_, inside)) if source.name().starts_with("library/") => inside,
        _ => parent,
    }
}

/// What a model gave no figure for.
fn refused(report: &JobReport, group: &[&NotJudged]) -> Diagnostic<usize> {
    let Some(first) = group.first() else { return Diagnostic::note() };
    let (mut diagnostic, rules) = begun(&first.why, group);
    if first.place.source < report.sources.len() {
        let at = span(report.sources, &first.place);
        diagnostic.labels.push(Label::primary(first.place.source, at).with_message(clip(&first.place.label)));
    }
    let mut help: Vec<&str> = group.iter().map(|n| n.help.as_str()).collect();
    help.dedup();
    let help = help.iter().map(|h| fold("help", h));
    diagnostic.with_notes(rules.into_iter().chain(help).collect())
}

/// Severity, codes and first line; the codes once more where they are many.
fn begun(what: &str, checks: &[&NotJudged]) -> (Diagnostic<usize>, Option<String>) {
    let open = checks.iter().any(|n| n.is_open());
    let mut codes: Vec<&str> = Vec::new();
    checks.iter().filter(|n| n.is_open() == open).for_each(|n| {
        if !codes.contains(&n.code.as_str()) {
            codes.push(&n.code);
        }
    });
    let mut diagnostic = Diagnostic::new(if open { Severity::Error } else { Severity::Note });
    let code = match codes.len() {
        0..=LISTED => codes.join(", "),
        n => format!("{n} rules"),
    };
    diagnostic.message = head(&format!("not judged: {what}"), code.chars().count());
    diagnostic.code = Some(code);
    let rules = (codes.len() > LISTED).then(|| fold("rules", &codes.join(", ")));
    (diagnostic, rules)
}

/// A line to copy into the file; words that leave no room stand above their key.
fn to_answer(missing: &Missing) -> String {
    let name = missing.name.rsplit('.').next().unwrap_or(&missing.name);
    let words = match (missing.title == name, missing.takes.is_empty()) {
        (_, true) => missing.title.clone(),
        (true, false) => missing.takes.clone(),
        (false, false) => format!("{}: {}", missing.title, missing.takes),
    };
    let line = format!("  {name}: …    # {words}");
    if words.is_empty() || line.chars().count() <= WIDTH - 8 {
        return line.trim_end_matches("    # ").to_string();
    }
    let words = wrap(&words, WIDTH - 12).into_iter().map(|part| format!("  # {part}\n"));
    format!("{}  {name}: …", words.collect::<String>())
}
