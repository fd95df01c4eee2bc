//! Acceptances: who takes responsibility for what, figure by figure.
//!
//! An acceptance holds only for the figures as printed: any that differs, even
//! for the better, lapses it. What blocks can't be accepted.

use crate::finding::{Finding, Grade, Judgement, Place, ReadingCode, State};
use crate::job::{Acceptance, Job};

pub(super) fn apply(job: &Job, judgement: &mut Judgement) {
    let mut own = Vec::new();
    for acceptance in job.acceptances() {
        let place = |label: &str| Place::value(0, format!("/acceptances/{}/rule", acceptance.at), label);
        let matching: Vec<usize> = judgement
            .findings
            .iter()
            .enumerate()
            .filter(|(_, f)| f.code == acceptance.rule && f.grade > Grade::Advises)
            .filter(|(_, f)| acceptance.check.as_ref().is_none_or(|check| *check == f.check))
            .map(|(i, _)| i)
            .collect();
        let trouble = match matching.as_slice() {
            [] => Err(format!("nothing to accept: {} did not ask", acceptance.rule)),
            [one] => hold(&mut judgement.findings[*one], &acceptance),
            many => {
                let checks: Vec<&str> = many.iter().map(|i| judgement.findings[*i].check.as_str()).collect();
                Err(format!(
                    "{} fires {} times; `check:` must say which: {}",
                    acceptance.rule,
                    many.len(),
                    checks.join(", ")
                ))
            }
        };
        if let Err(message) = trouble {
            let remedy =
                "Take the acceptance out, or let the person named look at the printed figures again.";
            let mut finding =
                Finding::reading(ReadingCode::Acceptance, message, remedy, place("this acceptance"));
            if matching.is_empty() {
                // Nothing rests on it; it is only stale.
                (finding.grade, finding.state) = (Grade::Advises, State::Advice);
            }
            own.push(finding);
        }
    }
    for finding in judgement.findings.iter_mut().filter(|f| f.is_open() && f.grade == Grade::Asks) {
        finding
            .notes
            .push(format!("To accept it, a named person adds under `acceptances:`\n{}", pattern(finding)));
    }
    judgement.findings.extend(own);
}

fn hold(finding: &mut Finding, acceptance: &Acceptance) -> Result<(), String> {
    match finding.grade {
        Grade::Blocks => {
            return Err(format!("{} blocks here and no acceptance lifts it", finding.code));
        }
        Grade::Asks | Grade::Advises => {}
    }
    for (what, text) in [
        ("name", &acceptance.name),
        ("role", &acceptance.role),
        ("reason", &acceptance.reason),
        ("date", &acceptance.date),
    ] {
        if text.trim().is_empty() {
            return Err(format!("the acceptance of {} gives no {what}", finding.code));
        }
    }
    for figure in &finding.figures {
        match acceptance.figures.get(&figure.name) {
            Some(accepted) if *accepted == figure.text => {}
            Some(accepted) => {
                return Err(format!(
                    "lapsed: {} ({}) was accepted at {accepted} and now is {}",
                    figure.title, figure.name, figure.text
                ));
            }
            None => {
                return Err(format!(
                    "the acceptance of {} leaves out {}: {}",
                    finding.code, figure.name, figure.text
                ));
            }
        }
    }
    if let Some(extra) = acceptance.figures.keys().find(|k| !finding.figures.iter().any(|f| f.name == **k)) {
        return Err(format!("`{extra}` is no figure of {}", finding.code));
    }
    finding.state = State::Accepted;
    finding.notes.push(format!(
        "accepted by {}, {}, {}: {}",
        acceptance.name, acceptance.role, acceptance.date, acceptance.reason
    ));
    Ok(())
}

/// How the acceptance is written, with the figures filled in.
fn pattern(finding: &Finding) -> String {
    let mut lines = vec![
        format!("  - rule: {}", finding.code),
        format!("    check: {}", finding.check),
        "    figures:".into(),
    ];
    lines.extend(finding.figures.iter().map(|f| format!("      {}: {}", f.name, f.text)));
    for key in ["name", "role", "reason", "date"] {
        lines.push(format!("    {key}: …"));
    }
    lines.join("\n")
}
