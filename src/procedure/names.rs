//! Every name in our wording stands for something: facts in sentences and
//! conditions, controls, cards, documents.

use super::fault::ProcedureFault;
use super::sequence::Procedures;
use super::words;
use crate::facts;
use std::collections::BTreeSet;

const WAYS: &str = "templates/procedures/ways.yaml";
const STOPS: &str = "templates/procedures/stops.yaml";
const PAPERS: &str = "templates/procedures/papers.yaml";

pub(super) fn check(all: &Procedures) -> Result<(), ProcedureFault> {
    let known: BTreeSet<String> = facts::declared().into_keys().collect();
    let names = |template: &str, condition: bool| -> Result<(), String> {
        let names = words::names(template, condition)?;
        match names.into_iter().find(|n| !known.contains(n)) {
            Some(name) => Err(format!("there is no fact `{name}`")),
            None => Ok(()),
        }
    };
    for step in all.steps.values() {
        let fault = |m: String| all.fault_at(&step.id, format!("{}: {m}", step.id));
        [&step.text, &step.tools].into_iter().try_for_each(|t| names(t, false)).map_err(fault)?;
        step.phases.condition().into_iter().try_for_each(|w| names(w, true)).map_err(fault)?;
        step.when.iter().try_for_each(|w| names(w, true)).map_err(fault)?;
        for control in step.covers.iter().chain(&step.control) {
            if all.control(control).is_none() {
                return Err(fault(format!("there is no control `{control}`")));
            }
        }
        for document in [&step.needs, &step.takes, &step.returns].into_iter().flatten() {
            if !all.documents.contains_key(document) {
                return Err(fault(format!("there is no document `{document}`")));
            }
        }
        // A torch in the hand is a flame, and the hazard of it depends on the flag.
        if step.flame != step.tools.contains("torch") {
            return Err(fault("`flame` and a torch among the tools go together".into()));
        }
    }
    let cards: BTreeSet<&str> = all.papers.cards.iter().map(|c| c.id.as_str()).collect();
    for control in &all.controls {
        let fault = |m: String| all.fault_in_control(&control.id, format!("{}: {m}", control.id));
        if !matches!(control.letter.as_str(), "H" | "W" | "R" | "C") {
            return Err(fault(format!("`{}` is no letter of control", control.letter)));
        }
        if control.letter_when.is_some() != control.becomes.is_some() {
            return Err(fault("`letter_when` and `becomes` go together".into()));
        }
        let conditions = control.when.iter().chain(&control.letter_when);
        let conditions = conditions.chain(control.measures.iter().filter_map(|m| m.when.as_ref()));
        let conditions = conditions.chain(control.reasons.iter().filter_map(|r| r.when.as_ref()));
        conditions.into_iter().try_for_each(|w| names(w, true)).map_err(fault)?;
        for measure in &control.measures {
            measure.phases.condition().into_iter().try_for_each(|w| names(w, true)).map_err(fault)?;
            for text in [&measure.limits, &measure.name, &measure.basis] {
                names(text, false).map_err(fault)?;
            }
            measure.record.plan.iter().try_for_each(|p| names(p, false)).map_err(fault)?;
        }
        for reason in &control.reasons {
            names(&reason.text, false).map_err(fault)?;
        }
        control.templates().try_for_each(|t| names(t, false)).map_err(fault)?;
        for frame in &control.frames {
            frame.when.iter().try_for_each(|w| names(w, true)).map_err(fault)?;
            if !cards.contains(frame.card.as_str()) {
                return Err(fault(format!("there is no label card `{}`", frame.card)));
            }
        }
    }
    for (way, when) in &all.ways {
        names(when, true).map_err(|m| all.fault(WAYS, &format!("/{way}"), m))?;
    }
    for (stop, text) in &all.stops {
        let texts = [&text.title, &text.who, &text.when_text];
        texts
            .into_iter()
            .try_for_each(|t| names(t, false))
            .map_err(|m| all.fault(STOPS, &format!("/{stop}"), m))?;
    }
    for sequence in all.sequences.values() {
        for run in &sequence.runs {
            let fault = |m: String| all.fault(&run.at.0, &run.at.1, m);
            names(&run.title, false).map_err(fault)?;
            if let Some(band) = run.band.as_ref().filter(|band| !all.documents.contains_key(*band)) {
                return Err(fault(format!("there is no band `{band}`")));
            }
        }
        if let Some(way) = sequence.ways().into_iter().find(|way| !all.ways.contains_key(*way)) {
            let file = format!("templates/procedures/{}.yaml", sequence.work_type);
            return Err(all.fault(&file, "", format!("there is no way of working `{way}`")));
        }
    }
    for text in all.papers.templates() {
        names(text, false).map_err(|m| all.fault(PAPERS, "", m))?;
    }
    for when in all.papers.conditions() {
        names(when, true).map_err(|m| all.fault(PAPERS, "", m))?;
    }
    for control in all.papers.controls() {
        if all.control(control).is_none() {
            return Err(all.fault(PAPERS, "/completion/phases", format!("there is no control `{control}`")));
        }
    }
    for hazard in &all.hazards {
        let fault = |m: String| all.fault_at(&hazard.id, format!("{}: {m}", hazard.id));
        hazard.templates().try_for_each(|t| names(t, false)).map_err(fault)?;
        hazard.when.iter().try_for_each(|w| names(w, true)).map_err(fault)?;
        if let Some(control) = hazard.controls.iter().find(|c| all.control(c).is_none()) {
            return Err(fault(format!("there is no control `{control}`")));
        }
    }
    Ok(())
}
