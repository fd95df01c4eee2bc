//! Ways out of a box that does not fit, as people read them, within 80 columns.

use crate::remedies::{FigureLine, Outcome, RejectedWay, RemedyReport, WayOut};
use crate::report::wrap;
use std::fmt::Write;

const WIDTH: usize = 80;
/// Lines on what is not offered; a library may hold a hundred kits.
const MOST_LINES: usize = 16;

/// The report of one job's search.
pub fn text(file: &str, report: &RemedyReport) -> String {
    let mut out = String::new();
    match report.outcome {
        Outcome::NothingToDo => {
            para(
                &mut out,
                "",
                &format!("{file}: no way out is needed; height, gap, earthed gaps and bends pass."),
            );
            return out;
        }
        Outcome::NotSearched => {
            let why = report.why.as_deref().unwrap_or("the job leaves it open");
            para(&mut out, "", &format!("{file}: no way out was searched: {why}."));
            return out;
        }
        Outcome::WayOut => para(&mut out, "", &format!("{file}: a way out.")),
        Outcome::NoWayOut => para(&mut out, "", &no_way_out(file, report)),
    }
    if !report.short.is_empty() {
        heading(&mut out, "Short as planned");
        report.short.iter().for_each(|f| figure(&mut out, f));
    }
    if report.outcome == Outcome::WayOut
        && let Some(why) = &report.why
    {
        para(&mut out, "  ", why);
    }
    if let Some(way) = &report.way {
        way_out(&mut out, report, way);
    }
    if !report.rejected.is_empty() {
        let lighter =
            if report.way.is_some() { "Lighter ways, and why not" } else { "Looked at, and why not" };
        heading(&mut out, lighter);
        report.rejected.iter().for_each(|r| rejected(&mut out, r));
    }
    if !report.heavier.is_empty() {
        heading(&mut out, "Heavier, and so not looked at");
        report.heavier.iter().for_each(|name| para(&mut out, "  ", name));
    }
    if !report.not_offered.is_empty() {
        heading(&mut out, "Not offered");
        for one in report.not_offered.iter().take(MOST_LINES) {
            para(&mut out, "  ", &format!("{}: {}.", one.way, one.why.trim_end_matches('.')));
        }
        let more = report.not_offered.len().saturating_sub(MOST_LINES);
        if more > 0 {
            para(&mut out, "  ", &format!("and {more} more; `--format json` names them all."));
        }
    }
    let _ = writeln!(out);
    para(
        &mut out,
        "",
        &format!(
            "{} layouts and {} looked at{}. Planning figures: no cost, no permission; the planner chooses, and the hold points measure.",
            report.layouts,
            if report.jobs == 1 {
                "1 changed job".to_string()
            } else {
                format!("{} changed jobs", report.jobs)
            },
            if report.gave_up { "; the search ended before every setting was tried" } else { "" },
        ),
    );
    out
}

fn no_way_out(file: &str, report: &RemedyReport) -> String {
    let tail = match (&report.binding, &report.why) {
        (Some(f), _) => format!(
            "What can't be met: {} {}, least {}, short by {}.",
            f.figure,
            f.actual,
            f.least,
            f.margin.trim_start_matches('-')
        ),
        (None, Some(why)) => format!("{why}."),
        (None, None) => "No single figure stands in the way; see each attempt.".into(),
    };
    format!("{file}: no way out among those offered. {tail}")
}

fn way_out(out: &mut String, report: &RemedyReport, way: &WayOut) {
    heading(out, &format!("Lightest way that serves (weight {})", way.weight));
    for name in &way.ways {
        para(out, "  ", name);
    }
    heading(out, "Changes in the job file");
    for c in &way.changes {
        let after = c.after.as_deref().unwrap_or("taken out");
        // The way's own name stands above and need not stand behind each key.
        let why = if way.ways.contains(&c.why) { String::new() } else { format!("  ({})", c.why) };
        para(out, "  ", &format!("{}: {} -> {after}{why}", c.key, c.before));
    }
    heading(out, "Figures of the enclosure");
    let _ = writeln!(out, "  {:36}{:>11}{:>11}{:>11}", "", "before", "after", "least");
    for f in &way.figures {
        let _ = writeln!(out, "  {:36}{:>11}{:>11}{:>11}", f.title, f.before, f.after, f.least);
    }
    if let Some(binds) = &report.binding {
        let line = format!(
            "Binds now: {} {}, least {}, margin {}.",
            binds.figure, binds.actual, binds.least, binds.margin
        );
        para(out, "  ", &line);
    }
    if !way.facts.is_empty() {
        heading(out, "Other figures that change");
        for f in &way.facts {
            para(out, "  ", &format!("{}: {} -> {}", f.title, f.before, f.after));
        }
    }
    list(out, "To be seen to, beyond any figure", &way.needs);
    list(out, "Open after it", &way.still_open);
    list(out, "Acceptances in the file that no longer hold", &way.lapsed);
}

fn list(out: &mut String, title: &str, lines: &[String]) {
    if !lines.is_empty() {
        heading(out, title);
        lines.iter().for_each(|line| para(out, "  ", line));
    }
}

fn figure(out: &mut String, f: &FigureLine) {
    let _ = writeln!(out, "  {:36}{:>11}  least {:>8}  {:>9}", f.figure, f.actual, f.least, f.margin);
}

fn rejected(out: &mut String, r: &RejectedWay) {
    let at = if r.at.is_empty() { String::new() } else { format!(", at its farthest {}", r.at.join(", ")) };
    para(out, "  ", &format!("{} (weight {}){at}", r.ways.join("; "), r.weight));
    r.short.iter().for_each(|f| {
        let line = format!("{} {}, least {}, {}", f.figure, f.actual, f.least, f.margin);
        para(out, "      ", &line);
    });
    if let Some(why) = &r.why {
        para(out, "      ", why);
    }
    for rule in &r.rules {
        para(out, "      ", &format!("{} {}", rule.rule, rule.message));
    }
}

fn heading(out: &mut String, title: &str) {
    let _ = writeln!(out, "\n{title}");
}

/// Wrapped, later lines two further in.
fn para(out: &mut String, indent: &str, text: &str) {
    for (i, line) in wrap(text, WIDTH - indent.len() - 2).into_iter().enumerate() {
        let _ = writeln!(out, "{indent}{}{line}", if i == 0 { "" } else { "  " });
    }
}
