//! Front sheet and summary.

use super::build::HouseNote;
use super::fault::ProcedureFault;
use super::pack::{
    Accepted, Authority, ControlLine, Front, KeyFigure, NamedText, PackFinding, Person, Summary,
};
use super::pages::ReleaseStop;
use super::sequence::Procedures;
use super::words::Words;
use super::{isolation, window};
use crate::facts::Sheet;
use crate::finding::{Finding, Judgement, State};
use crate::job::Job;

const RANK_1: &str =
    "issued and cancelled by the persons the owner authorises; numbers are copied by hand on the day";
const PAPERS: &str = "templates/procedures/papers.yaml";

pub(super) fn front(job: &Job, sheet: &Sheet, judgement: &Judgement, house: Option<&HouseNote>) -> Front {
    let unknown = sheet.text("kit.code").starts_with("none");
    let kit = format!(
        "kit {}, sheet {} issue {}; where it differs from this pack, it wins and the difference is written down",
        sheet.text("kit.code"),
        sheet.text("kit.sheet.number"),
        sheet.text("kit.sheet.issue")
    );
    let kit = if unknown { "kit not known: the client's own limits stand in its place".into() } else { kit };
    let authority = [
        (
            "1",
            "Owner's safety rules and the safety document in force",
            match house {
                None => RANK_1.to_string(),
                Some(h) => format!("{RANK_1}; laid over this tool: {}, issued by {}", h.title, h.issued_by),
            },
        ),
        ("2", "The kit's own instruction sheet", kit),
        (
            "3",
            "This pack",
            "planning figures, order of work and hold points for one end of one circuit".to_string(),
        ),
    ]
    .map(|(rank, document, detail)| Authority { rank: rank.into(), document: document.into(), detail })
    .to_vec();
    let people = ["prepared", "checked", "approved"]
        .map(|role| Person {
            role: format!("{}{}", role[..1].to_uppercase(), &role[1..]),
            name: sheet.text(&format!("people.{role}.name")).into(),
            authorisation: sheet.text(&format!("people.{role}.authorisation")).into(),
            date: sheet.text(&format!("people.{role}.date")).into(),
        })
        .to_vec();
    let mut cautions = house.map(|h| h.milder.clone()).unwrap_or_default();
    if sheet.is_yes("relies_on_boots") {
        cautions.push(format!(
            "NOT TO BE ENERGISED WITHOUT BOOTS. Live metal stands {} phase to phase and {} to earth; only the boots {} allow it.",
            sheet.text("live_phase_to_phase"),
            sheet.text("live_phase_to_earth"),
            sheet.text("boots.code")
        ));
    }
    if sheet.text("tests.planned") == "no" && sheet.text("family") != "inspection" {
        let note = match sheet.text("tests.note").trim_end_matches('.') {
            "none" | "not answered" | "" => String::new(),
            note => format!(" {note}."),
        };
        cautions.push(format!("NOT TO BE ENERGISED: this circuit is not tested yet.{note}"));
    }
    Front {
        authority,
        people,
        acceptances: acceptances(job, judgement),
        cautions,
        statement: [
            "This sheet gives nobody leave to work.",
            "Local codes, the owner's safety rules and authorised persons decide; the work is for licensed, authorised people only.",
            "Figures are planning figures computed from what the planner typed; the hold points measure.",
        ]
        .map(String::from)
        .to_vec(),
    }
}

fn acceptances(job: &Job, judgement: &Judgement) -> Vec<Accepted> {
    let accepted = judgement.findings.iter().filter(|f| f.state == State::Accepted);
    accepted
        .filter_map(|finding| {
            let given = job
                .acceptances()
                .into_iter()
                .find(|a| a.rule == finding.code && a.check.as_ref().is_none_or(|c| *c == finding.check))?;
            Some(Accepted {
                code: finding.code.clone(),
                title: finding.title.clone(),
                figures: figures(finding),
                name: given.name,
                role: given.role,
                reason: given.reason,
                date: given.date,
            })
        })
        .collect()
}

fn figures(finding: &Finding) -> Vec<NamedText> {
    finding.figures.iter().map(|f| NamedText { name: f.title.clone(), text: f.text.clone() }).collect()
}

pub(super) fn findings(judgement: &Judgement) -> Vec<PackFinding> {
    let mut all: Vec<&Finding> = judgement.findings.iter().collect();
    all.sort_by(|a, b| (b.grade, &a.code, &a.check).cmp(&(a.grade, &b.code, &b.check)));
    let mut out: Vec<PackFinding> = all
        .into_iter()
        .map(|f| PackFinding {
            code: f.code.clone(),
            title: f.title.clone(),
            grade: PackFinding::grade_name(f.grade).into(),
            grade_text: f.grade.words().into(),
            state: PackFinding::state_name(f.state).into(),
            message: f.message.clone(),
            figures: figures(f),
            margin: f.margin.clone(),
            remedy: f.remedy.clone(),
            would_pass: f.would_pass.iter().map(|w| w.words.clone()).collect(),
            basis: f.basis.clone(),
        })
        .collect();
    out.extend(judgement.not_judged.iter().map(|n| PackFinding {
        code: n.code.clone(),
        title: n.title.clone(),
        grade: PackFinding::grade_name(n.grade).into(),
        grade_text: "not judged".into(),
        state: if n.is_open() { "open" } else { "advice" }.into(),
        message: format!("Not judged: {}.", n.why),
        figures: Vec::new(),
        margin: None,
        remedy: "Answer what is missing in the job file or the library item.".into(),
        would_pass: Vec::new(),
        basis: String::new(),
    }));
    out
}

/// The figures a supervisor works from, and where they are measured from.
pub(super) fn summary(
    all: &Procedures,
    sheet: &Sheet,
    words: &Words,
    stops: &[ReleaseStop],
    drawing: &str,
) -> Result<Summary, ProcedureFault> {
    let paper = &all.papers.summary;
    let fault = |message: String| all.fault(PAPERS, "/summary", message);
    let mut key_figures = Vec::new();
    for figure in &paper.key_figures {
        if words.applies(figure.when.as_deref()).map_err(fault)? {
            key_figures.push(KeyFigure {
                name: figure.name.clone(),
                datum: words.plain(&figure.datum).map_err(fault)?,
                text: words.plain(&figure.text).map_err(fault)?,
                limits: words.plain(&figure.limits).map_err(fault)?,
            });
        }
    }
    // The stops, not their points: one line a visit of the releaser.
    let controls = stops
        .iter()
        .map(|s| ControlLine { short: s.number.clone(), title: s.title.clone(), letter: "H".into() })
        .collect();
    let window = window::window(sheet);
    Ok(Summary {
        key_figures,
        controls,
        window_note: if window.is_empty() { String::new() } else { window::NOTE.into() },
        window,
        stop_conditions: isolation::lines(all, words, &paper.stop_conditions)?,
        drawing: drawing.into(),
    })
}
