//! The changed job file, with a record of what was looked at.

use super::Request;
use super::edit::{append, quoted};
use super::report::{RejectedWay, RemedyReport, WayOut, forced_by};
use std::fmt::Write;

/// Figures that the record keeps as they were, where the job has them.
const KEPT: [&str; 13] = [
    "enclosure.gland_to_stud",
    "insulation_exposed",
    "layout.crutch_height",
    "chain_height",
    "phase_gap",
    "phase_gap_bound",
    "edge_above_plate",
    "tube_above_plate",
    "edge_to_crutch",
    "wall_gap",
    "cover_gap",
    "back_gap",
    "bend_as_it_lies",
];

/// The job file with the way out taken and a `remedy` group at its end;
/// nothing where there is no way out. A group that is there already stays as it
/// is: it records an earlier way.
pub fn written(request: &Request<'_>, report: &RemedyReport, points: &Points) -> Option<String> {
    let way = report.way.as_ref()?;
    if request.job.get("remedy.taken").is_some() {
        return Some(way.text.clone());
    }
    Some(append(&way.text, &record(request, report, way, points)))
}

/// Steps and points of the method that the way brings and takes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Points {
    pub new: Vec<String>,
    pub gone: Vec<String>,
}

fn record(request: &Request<'_>, report: &RemedyReport, way: &WayOut, points: &Points) -> String {
    let mut out = String::from("remedy:\n");
    let texts = |out: &mut String, key: &str, texts: &[String]| {
        if texts.is_empty() {
            return;
        }
        let _ = writeln!(out, "  {key}:");
        for text in texts {
            let _ = writeln!(out, "    - {}", quoted(text));
        }
    };
    let _ = writeln!(out, "  planned_before: {}", quoted(request.sheet.text("job.revision")));
    texts(&mut out, "taken", &way.ways);
    texts(&mut out, "forced_by", &forced_by(request));
    out.push_str("  before:\n");
    for name in KEPT {
        if request.sheet.get(name).is_some_and(|fact| fact.value.is_ok()) {
            let _ = writeln!(out, "    {name}: {}", quoted(request.sheet.text(name)));
        }
    }
    if !report.rejected.is_empty() {
        out.push_str("  alternatives:\n");
        for rejected in &report.rejected {
            let _ = writeln!(out, "    - way: {}", quoted(&rejected.ways.join("; ")));
            let _ = writeln!(out, "      why_not: {}", quoted(&why_not(rejected)));
        }
    }
    texts(&mut out, "needs", &way.needs);
    texts(&mut out, "method_new", &points.new);
    texts(&mut out, "method_gone", &points.gone);
    out.push_str("  chosen_by:\n");
    out
}

/// Why a lighter way does not serve, in one line.
fn why_not(rejected: &RejectedWay) -> String {
    let at = if rejected.at.is_empty() { String::new() } else { format!("{}: ", rejected.at.join(", ")) };
    let mut parts: Vec<String> =
        rejected.short.iter().map(|f| format!("{} {}, least {}", f.figure, f.actual, f.least)).collect();
    parts.extend(rejected.why.clone());
    parts.extend(rejected.rules.iter().map(|r| format!("{} {}", r.rule, r.message)));
    format!("{at}{}", parts.join("; "))
}
