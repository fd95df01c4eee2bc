//! Builds the pack of one job.

use super::draw;
use super::fault::ProcedureFault;
use super::pack::{FORMAT, JobLine, LeftOut, Pack, Rules};
use super::sequence::Procedures;
use super::words::Words;
use super::{basis, closing, cut_out, form, front, hazards, isolation, matching, method, remedy};
use crate::facts::Sheet;
use crate::finding::Judgement;
use crate::job::Job;
use crate::language::Language;
use std::collections::{BTreeMap, BTreeSet};

/// Everything a pack is made of.
pub struct PackRequest<'a> {
    pub job: &'a Job,
    pub sheet: &'a Sheet,
    pub judgement: &'a Judgement,
    /// Codes of the rules that use each fact.
    pub rule_uses: &'a BTreeMap<String, BTreeSet<String>>,
    pub procedures: &'a Procedures,
    /// What is no way out of a tight box.
    pub never: &'a [String],
    /// Date of the pack, `2031-04-28`.
    pub date: String,
    /// The owner's layer that judged and worded it.
    pub house: Option<HouseNote>,
    /// The language it prints in, where that is not English.
    pub language: Option<&'a Language>,
}

/// What a pack says of an owner's layer.
#[derive(Clone, Debug)]
pub struct HouseNote {
    /// Name and revision.
    pub title: String,
    pub issued_by: String,
    /// What the layer makes milder, and who takes that on.
    pub milder: Vec<String>,
}

/// The pack, or nothing where the work type has no procedure yet.
///
/// # Errors
/// A fault in our own wording.
pub fn build(request: &PackRequest) -> Result<Option<Pack>, ProcedureFault> {
    let PackRequest { job, sheet, judgement, rule_uses, procedures, never, date, house, language } = request;
    let work_type = sheet.text("job.work_type");
    let Some(sequence) = procedures.sequences.get(work_type) else { return Ok(None) };
    let words = language.map_or_else(|| Words::new(sheet), |language| Words::telling(sheet, language));
    let english =
        || Language::english().map_err(|f| ProcedureFault::new("templates/language/en", 1, f.to_string()));
    let tongue = language.map_or_else(english, Ok)?;
    let built = method::method(procedures, sequence, &words)?;
    let photos = cut_out::photos(procedures, &built);
    let text = |name: &str| sheet.text(name).to_string();
    let judged = judgement.judged.len();
    let drawings = draw::drawings(sheet);
    // The small copy of the enclosure, else what shows the whole end.
    let drawing = drawings.last().map_or("", |d| d.id.as_str()).to_string();
    let release = closing::release(procedures, job, &words, &built)?;
    let (tests, test_readings) = closing::tests(procedures, job, &words)?;
    Ok(Some(Pack {
        format: FORMAT.into(),
        tool: format!("cutback {}", env!("CARGO_PKG_VERSION")),
        job: JobLine {
            number: text("job.number"),
            revision: text("job.revision"),
            replaces: job.text("job.replaces").unwrap_or_else(|| "none".into()),
            end: text("job.end"),
            end_name: text("job.end_name"),
            work_type: work_type.into(),
            work_title: sequence.title.clone(),
            planned: text("job.planned"),
            date: date.clone(),
            circuit: text("circuit.name"),
            asset: text("circuit.asset"),
            site: text("site.name"),
            invented: ["job", "cable", "kit", "lug", "boots"]
                .iter()
                .any(|of| sheet.is_yes(&format!("{of}.invented"))),
        },
        voltage: voltage(sheet),
        front: front::front(job, sheet, judgement, house.as_ref()),
        rules: Rules {
            judged,
            total: judgement.total,
            note: match judgement.apart.len() {
                0 => String::new(),
                1 => "One does not apply to this job.".into(),
                n => format!("{n} do not apply to this job."),
            },
            not_judged: left_out(&judgement.left_out),
            apart: left_out(&judgement.apart),
        },
        findings: front::findings(judgement),
        remedy: remedy::page(job, sheet, never),
        summary: front::summary(procedures, sheet, &words, &release.stops, &drawing)?,
        briefing: isolation::briefing(procedures, job, &words)?,
        isolation: isolation::page(procedures, job, sheet, &words, &built)?,
        hazards: hazards::hazards(procedures, job, sheet, &words, &built, tongue)?,
        drawings,
        release,
        form: form::form(procedures, &built, &photos, test_readings, &tests),
        tests,
        deviations: closing::deviations(procedures),
        completion: closing::completion(procedures, job, sheet, &words, &built, photos.total)?,
        pocket: cut_out::pocket(procedures, &words)?,
        gauge: draw::gauge(sheet),
        labels: cut_out::labels(procedures, sheet, &words, &built, &photos)?,
        matches: matching::matches(sheet),
        schedule: cut_out::schedule(&built),
        photos,
        basis: basis::basis(sheet, rule_uses, procedures, &built),
        method: built.method,
    }))
}

fn left_out(rules: &[crate::finding::LeftOut]) -> Vec<LeftOut> {
    let line = |l: &crate::finding::LeftOut| LeftOut {
        code: l.code.clone(),
        title: l.title.clone(),
        why: l.why.clone(),
    };
    rules.iter().map(line).collect()
}

/// `12/20 (24) kV cable on a 20 kV system`.
fn voltage(sheet: &Sheet) -> String {
    let number = |name: &str| {
        let text = sheet.text(name);
        text.strip_suffix(" kV").unwrap_or(text).to_string()
    };
    let system = sheet.text("system.nominal");
    format!(
        "{}/{} ({}) kV cable on {} {system} system",
        number("cable.u0"),
        number("cable.u"),
        number("cable.um"),
        article(system)
    )
}

/// `an 11 kV system`: eight, eleven and eighteen begin with a vowel.
fn article(figure: &str) -> &'static str {
    let whole = figure.split(['.', ' ']).next().unwrap_or(figure);
    if whole.starts_with('8') || matches!(whole, "11" | "18") { "an" } else { "a" }
}
