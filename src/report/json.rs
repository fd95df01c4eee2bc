//! One JSON object a job file: the same facts as the text, for machines.

use super::{JobReport, span};
use crate::finding::{Finding, LeftOut, NotJudged, Place};
use serde_json::{Value, json};

/// The report as a JSON value (`cutback-findings-1`).
pub fn json(report: &JobReport) -> Value {
    let findings: Vec<Value> = report.findings().into_iter().map(|f| finding(report, f)).collect();
    let judged = report.judgement.map_or(0, |j| j.judged.len());
    json!({
        "format": "cutback-findings-1",
        "file": report.file,
        "open": report.open(),
        "rules": {
            "judged": judged,
            "of": report.judgement.map_or(0, |j| j.total),
            "left_out": report.judgement.map(|j| listed(&j.left_out)).unwrap_or_default(),
            "do_not_apply": report.judgement.map(|j| listed(&j.apart)).unwrap_or_default(),
        },
        "findings": findings,
        "not_judged": report.judgement.map(|j| j.not_judged.iter().map(|n| not_judged(report, n)).collect::<Vec<_>>()).unwrap_or_default(),
    })
}

fn listed(rules: &[LeftOut]) -> Vec<Value> {
    rules.iter().map(|l| json!({"code": l.code, "title": l.title, "why": l.why})).collect()
}

fn finding(report: &JobReport, f: &Finding) -> Value {
    json!({
        "code": f.code,
        "name": f.name,
        "check": f.check,
        "grade": f.grade,
        "state": f.state,
        "message": f.message,
        "figures": f.figures,
        "margin": f.margin,
        "remedy": f.remedy,
        "would_pass": f.would_pass,
        "basis": f.basis,
        "notes": f.notes,
        "places": f.places.iter().map(|p| place(report, p)).collect::<Vec<_>>(),
    })
}

fn not_judged(report: &JobReport, n: &NotJudged) -> Value {
    json!({
        "code": n.code,
        "name": n.name,
        "check": n.check,
        "open": n.is_open(),
        "missing": n.missing.iter().map(|m| json!({
            "fact": m.name,
            "title": m.title,
            "takes": m.takes,
            "help": m.help,
            "place": place(report, &m.place),
        })).collect::<Vec<_>>(),
        "refusal": n.refusal,
        "why": n.why,
        "help": n.help,
        "place": place(report, &n.place),
    })
}

fn place(report: &JobReport, place: &Place) -> Value {
    let Some(source) = report.sources.get(place.source) else { return Value::Null };
    let at = span(report.sources, place);
    let (line, column) = source.line_column(at.start);
    let (end_line, end_column) = source.line_column(at.end);
    json!({
        "file": source.name(),
        "pointer": place.pointer,
        "line": line,
        "column": column,
        "end_line": end_line,
        "end_column": end_column,
        "label": place.label,
    })
}
