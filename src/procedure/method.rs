//! The method of one job: the sequence of its work type with this job's figures.

use super::fault::ProcedureFault;
use super::pack::{Banner, Measure, Method, Run, Step};
use super::sequence::{Control, Procedures, Sequence};
use super::words::Words;

/// Steps and banners of `sequence` that this job takes.
pub(super) fn method(all: &Procedures, sequence: &Sequence, words: &Words) -> Result<Method, ProcedureFault> {
    let mut number = 0;
    let mut controls = 0;
    let mut runs = Vec::new();
    for run in &sequence.runs {
        let mut steps = Vec::new();
        for id in &run.steps {
            let Some(step) = all.steps.get(id) else { continue };
            let fault = |message: String| {
                ProcedureFault::new("templates/procedures/steps", 1, format!("{id}: {message}"))
            };
            if let Some(when) = &step.when
                && !words.holds(when).map_err(fault)?
            {
                continue;
            }
            number += 1;
            let control = match step.control.as_deref().and_then(|c| all.control(c)) {
                Some(control) => {
                    controls += 1;
                    Some(banner(control, controls, words)?)
                }
                None => None,
            };
            steps.push(Step {
                number: number.to_string(),
                id: id.clone(),
                text: words.rich(&step.text).map_err(fault)?,
                tools: step.tools.clone(),
                phases: step.phases,
                control,
            });
        }
        if steps.is_empty() {
            continue;
        }
        let document = all.documents.get(&run.document);
        runs.push(Run {
            document: run.document.clone(),
            band: document.map_or(String::new(), |d| d.band.clone()),
            band_note: document.map_or(String::new(), |d| d.note.clone()),
            title: run.title.clone(),
            steps,
        });
    }
    Ok(Method { runs })
}

fn banner(control: &Control, short: usize, words: &Words) -> Result<Banner, ProcedureFault> {
    let fault = |message: String| {
        ProcedureFault::new("templates/procedures/controls.yaml", 1, format!("{}: {message}", control.id))
    };
    let measures = control
        .measures
        .iter()
        .map(|m| {
            Ok(Measure {
                name: words.plain(&m.name).map_err(fault)?,
                unit: m.unit.clone(),
                limits: words.plain(&m.limits).map_err(fault)?,
                basis: m.basis.clone(),
                cells: if m.phases { 3 } else { 1 },
            })
        })
        .collect::<Result<_, _>>()?;
    Ok(Banner {
        id: control.id.clone(),
        short: short.to_string(),
        letter: control.letter.clone(),
        letter_text: letter_words(&control.letter).into(),
        title: control.title.clone(),
        prevents: control.prevents.trim().to_string(),
        releases: control.released_by.clone(),
        not_met: control.not_met.clone(),
        when: control.when_text.clone(),
        measures,
        frames: control.frames.clone(),
    })
}

fn letter_words(letter: &str) -> &'static str {
    match letter {
        "H" => "HOLD",
        "W" => "WITNESS",
        "R" => "REVIEW",
        _ => "CHECK",
    }
}
