//! Findings as people read them, within 80 columns.

use super::screen::{Screen, clean};
use super::{JobReport, Kind, span, waiting};
use crate::finding::{Finding, Grade, State};
use crate::source::Source;
use codespan_reporting::diagnostic::{Diagnostic, Label, Severity};
use codespan_reporting::term;
use std::fmt::Write;

pub(super) const WIDTH: usize = 80;

/// How the text is dressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    Plain,
    Colour,
}

/// The whole report of one job file.
pub fn text(report: &JobReport, look: Look) -> String {
    let mut out = String::new();
    for finding in report.findings() {
        if finding.state == State::Open || finding.grade == Grade::Blocks {
            emit(&mut out, report.sources, diagnostic(report, finding), look);
        } else {
            brief(&mut out, report, finding);
        }
    }
    if report.kind == Kind::Record {
        // A rule of verification that could not be run is listed by the verdict.
        return out;
    }
    if let Some(judgement) = report.judgement {
        for diagnostic in waiting::diagnostics(report, &judgement.not_judged) {
            emit(&mut out, report.sources, diagnostic, look);
        }
    }
    if report.kind != Kind::AsFound {
        verdict(&mut out, report);
    }
    out
}

fn emit(out: &mut String, sources: &[Source], mut diagnostic: Diagnostic<usize>, look: Look) {
    let files = Screen::new(sources, &mut diagnostic.labels);
    let (files, diagnostic) = (&files, &diagnostic);
    let config = term::Config { chars: term::Chars::ascii(), tab_width: 2, ..term::Config::default() };
    let mut text = String::new();
    let drawn = match look {
        Look::Plain => {
            let mut writer = term::termcolor::NoColor::new(Vec::new());
            let drawn = term::emit_to_write_style(&mut writer, &config, files, diagnostic);
            text.push_str(&String::from_utf8_lossy(writer.get_ref()));
            drawn
        }
        Look::Colour => {
            let mut writer = term::termcolor::Ansi::new(Vec::new());
            let drawn = term::emit_to_write_style(&mut writer, &config, files, diagnostic);
            text.push_str(&String::from_utf8_lossy(writer.get_ref()));
            drawn
        }
    };
    if drawn.is_err() {
        let _ = writeln!(text, "{}", diagnostic.message);
    }
    out.push_str(&text);
}

fn diagnostic(report: &JobReport, f: &Finding) -> Diagnostic<usize> {
    let severity = match f.grade {
        Grade::Blocks => Severity::Error,
        Grade::Asks => Severity::Warning,
        Grade::Advises => Severity::Note,
    };
    let labels = f
        .places
        .iter()
        .enumerate()
        .filter(|(_, p)| p.source < report.sources.len())
        .map(|(i, p)| {
            let at = span(report.sources, p);
            let label = if i == 0 { Label::primary(p.source, at) } else { Label::secondary(p.source, at) };
            label.with_message(clip(&p.label))
        })
        .collect();
    let mut notes = Vec::new();
    if let Some(margin) = &f.margin {
        notes.push(format!("margin: {margin}"));
    }
    if !f.remedy.is_empty() {
        notes.push(fold("help", &f.remedy));
    }
    if !f.would_pass.is_empty() {
        // One measure moved at a time, so one line each.
        let mut lines = f.would_pass.iter().map(|w| fold("would pass at", &w.words));
        let first = lines.next().unwrap_or_default();
        let rest = lines.map(|line| line.replacen("would pass at: ", "           or: ", 1));
        notes.push(std::iter::once(first).chain(rest).collect::<Vec<_>>().join("\n"));
    }
    if !f.basis.is_empty() {
        notes.push(fold("basis", &f.basis));
    }
    notes.extend(answer(report, f));
    notes.extend(f.notes.iter().map(|n| {
        let (first, rest) = n.split_once('\n').unwrap_or((n, ""));
        let mut note = fold("note", first);
        if !rest.is_empty() {
            for line in rest.split('\n') {
                note.push('\n');
                note.extend(clean(line));
            }
        }
        note
    }));
    let mut base = Diagnostic::new(severity);
    base.code = Some(f.code.clone());
    base.message = head(&format!("{}: {}", report.kind.grade(f.grade), f.message), f.code.len());
    base.with_labels(labels).with_notes(notes)
}

/// How the client's verifier answers a query of a record.
fn answer(report: &JobReport, f: &Finding) -> Option<String> {
    let asked = report.kind == Kind::Record && f.grade == Grade::Asks && f.state == State::Open;
    let at = f.places.first().filter(|_| asked)?.pointer.trim_start_matches('/').replace('/', ".");
    Some(format!(
        "answer, under `answers`, by who verifies for the client:\n- {{query: {}, check: {}, at: {at},\n   answer: , by: , when: }}",
        f.code, f.check
    ))
}

/// One line for what is accepted or only advised, and where.
fn brief(out: &mut String, report: &JobReport, f: &Finding) {
    let word = match (f.state, report.kind) {
        (State::Accepted, Kind::Job | Kind::HeldUp | Kind::Issue | Kind::Circuit) => "accepted",
        (State::Accepted, Kind::Record | Kind::AsFound) => "answered",
        (_, Kind::Job | Kind::HeldUp | Kind::Issue | Kind::Circuit) => "advice",
        (_, Kind::Record) => "note",
        (_, Kind::AsFound) => "watch",
    };
    let place = f.places.first().and_then(|p| {
        let source = report.sources.get(p.source)?;
        let (line, column) = source.line_column(span(report.sources, p).start);
        Some(format!("{}:{line}:{column}", source.name()))
    });
    let head = format!("{word}[{}]: {}", f.code, f.message);
    push_wrapped(out, &head, "  ");
    if let Some(place) = place {
        let _ = writeln!(out, "  at {}", clean(&place).collect::<String>());
    }
    for note in f.notes.iter().filter(|_| f.state == State::Accepted) {
        push_wrapped(out, &format!("  {note}"), "  ");
    }
    if f.state == State::Advice && !f.remedy.is_empty() {
        push_wrapped(out, &format!("  help: {}", f.remedy), "  ");
    }
    out.push('\n');
}

fn verdict(out: &mut String, report: &JobReport) {
    let open = report.open();
    if report.kind == Kind::Issue {
        let line = format!("{}: not issued, the register speaks against it.", report.file);
        push_wrapped(out, &line, "  ");
        return;
    }
    let Some(judgement) = report.judgement else {
        let noun = if open == 1 { "place" } else { "places" };
        push_wrapped(
            out,
            &format!("{}: can't be read as a job, {open} {noun} to mend. No rule was judged.", report.file),
            "  ",
        );
        return;
    };
    // A job that was judged may still lack what only issuing asks: its date.
    let all = report.findings();
    let count =
        |grade: Grade, state: State| all.iter().filter(|f| f.grade == grade && f.state == state).count();
    let in_state = |state: State| all.iter().filter(|f| f.state == state).count();
    let unjudged = judgement.not_judged.iter().filter(|n| n.is_open()).count();
    let mut parts = Vec::new();
    for (number, one, many) in [
        (count(Grade::Blocks, State::Open), "blocks issue", "block issue"),
        (count(Grade::Asks, State::Open), "needs acceptance", "need acceptance"),
        (unjudged, "check not judged", "checks not judged"),
        (in_state(State::Accepted), "accepted", "accepted"),
        (in_state(State::Advice), "advice", "advice"),
    ] {
        if number > 0 {
            parts.push(format!("{number} {}", if number == 1 { one } else { many }));
        }
    }
    let word = match (report.kind, open) {
        (Kind::Circuit, 0) => "agree",
        (Kind::Circuit, _) => "do not agree, none of them can be issued",
        (Kind::HeldUp, _) => "sound in itself",
        (_, 0) => "can be issued",
        _ => "can't be issued",
    };
    let found = if parts.is_empty() { "no findings".to_string() } else { parts.join(", ") };
    let (total, not_built) = (judgement.total, judgement.not_built());
    let not_built = match not_built {
        0 => String::new(),
        n => format!(" ({n} not built yet)"),
    };
    let judged = judgement.judged.len();
    let apart = match judgement.apart.len() {
        0 => String::new(),
        1 => ", 1 does not apply".into(),
        n => format!(", {n} do not apply"),
    };
    let across = if report.kind == Kind::Circuit { " across jobs" } else { "" };
    let line = format!(
        "{}: {word}. {found}. {judged} of {total} rules{across} judged{apart}{not_built}.",
        report.file
    );
    push_wrapped(out, &line, "  ");
}

/// The message of a diagnostic whose first line starts with `warning[CODE]: `.
pub(super) fn head(message: &str, code: usize) -> String {
    wrap(message, WIDTH - "warning[]: ".len() - code).join("\n  ")
}

pub(super) fn clip(text: &str) -> String {
    let mut out: String = clean(text).take(48).collect();
    if text.chars().count() > 48 {
        out.push('…');
    }
    out
}

pub(super) fn fold(word: &str, text: &str) -> String {
    let indent = " ".repeat(word.len() + 2);
    wrap(&format!("{word}: {text}"), WIDTH - 6 - indent.len()).join(&format!("\n{indent}"))
}

/// A paragraph within the width, later lines set in.
pub fn folded(text: &str) -> String {
    let mut out = String::new();
    push_wrapped(&mut out, text, "  ");
    out
}

fn push_wrapped(out: &mut String, text: &str, indent: &str) {
    for (i, line) in wrap(text, WIDTH - indent.len()).into_iter().enumerate() {
        let _ = writeln!(out, "{}{line}", if i == 0 { "" } else { indent });
    }
}

/// Breaks at spaces; a longer word is broken where it must be.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let lead: String = text.chars().take_while(|c| *c == ' ').collect();
    let mut line = lead;
    let mut fresh = true;
    for word in text.split_whitespace() {
        // Files of others are quoted: no control or direction reaches the screen.
        let mut word: Vec<char> = clean(word).collect();
        if !fresh && line.chars().count() + 1 + word.len() > width {
            lines.push(std::mem::take(&mut line));
            fresh = true;
        }
        while word.len() > width {
            let rest = word.split_off(width);
            lines.push(word.into_iter().collect());
            word = rest;
        }
        if !fresh {
            line.push(' ');
        }
        line.extend(word);
        fresh = false;
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}
