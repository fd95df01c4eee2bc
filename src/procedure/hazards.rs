//! The hazards that the facts of this job bring up, each with its fact.

use super::fault::ProcedureFault;
use super::isolation;
use super::method::Built;
use super::pages::HazardLine;
use super::sequence::Procedures;
use super::words::{self, Words};
use crate::facts::Sheet;
use crate::job::Job;
use crate::language::{HazardText, Language, fill};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HazardWords {
    pub id: String,
    pub title: String,
    pub severity: Severity,
    /// Conditions, any of which is enough.
    #[serde(default)]
    pub when: Vec<String>,
    /// Steps, any of which in the method is enough.
    #[serde(default)]
    pub when_steps: Vec<String>,
    /// A step with a flame in the method is enough.
    #[serde(default)]
    pub when_flame: bool,
    pub fact: String,
    /// A list of the job that ends the fact.
    #[serde(default)]
    pub names: Option<Named>,
    pub caution: String,
    #[serde(rename = "do")]
    pub actions: Vec<String>,
    #[serde(default)]
    pub controls: Vec<String>,
    /// By jurisdiction: `any`, `uk`, `eu`, `us`.
    pub leans_on: BTreeMap<Jurisdiction, String>,
    /// The same in another language.
    #[serde(skip)]
    pub told: Option<HazardText>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    Danger,
    Warning,
    Caution,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Jurisdiction {
    Any,
    Uk,
    Eu,
    Us,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Named {
    Points,
    BackFeed,
    FlameSteps,
}

impl HazardWords {
    fn english(&self) -> HazardText {
        HazardText {
            title: self.title.clone(),
            fact: self.fact.clone(),
            caution: self.caution.clone(),
            actions: self.actions.clone(),
        }
    }

    /// Sentences with names of facts in them.
    pub fn templates(&self) -> impl Iterator<Item = &str> {
        [self.title.as_str(), &self.fact, &self.caution]
            .into_iter()
            .chain(self.actions.iter().map(String::as_str))
    }
}

/// Why a hazard prints.
enum Trigger {
    Holds,
    /// Nothing says it holds, and these facts that could say so are missing.
    Unknown(Vec<String>),
    No,
}

/// The hazards of this job, the worst first.
pub(super) fn hazards(
    all: &Procedures,
    job: &Job,
    sheet: &Sheet,
    words: &Words,
    built: &Built,
    language: &Language,
) -> Result<Vec<HazardLine>, ProcedureFault> {
    let mut out = Vec::new();
    for hazard in &all.hazards {
        let fault = |message: String| all.fault_at(&hazard.id, format!("{}: {message}", hazard.id));
        let missing = match trigger(all, hazard, sheet, words, built).map_err(fault)? {
            Trigger::No => continue,
            Trigger::Holds => Vec::new(),
            Trigger::Unknown(names) => names,
        };
        // What is not told in this language prints in English, figures and all.
        let (text, told) = match &hazard.told {
            Some(text) => (text.clone(), Some(language)),
            None => (hazard.english(), None),
        };
        let tongue = match told {
            Some(language) => language,
            None => Language::english().map_err(|f| fault(f.to_string()))?,
        };
        let plain = |text: &str| match told {
            Some(_) => words.told(text).map_err(fault),
            None => words.plain(text).map_err(fault),
        };
        let mut fact = plain(&text.fact)?;
        if let Some(list) = hazard.names {
            fact = format!("{fact}: {}.", names(list, all, job, built, tongue).join("; "));
        }
        if !missing.is_empty() {
            fact = fill(tongue.made("taken_as_so"), &[("facts", &missing.join(", "))]);
        }
        let point = |name: String| match name.split_once(' ') {
            Some((kind, number)) => format!("{} {number}", tongue.answer("point", kind).unwrap_or(kind)),
            None => name,
        };
        let controls: Vec<String> =
            hazard.controls.iter().filter_map(|c| built.name_of(c)).map(point).collect();
        out.push((
            hazard.severity,
            HazardLine {
                id: hazard.id.clone(),
                title: plain(&text.title)?,
                severity: match hazard.severity {
                    Severity::Danger => "danger",
                    Severity::Warning => "warning",
                    Severity::Caution => "caution",
                }
                .into(),
                fact: fact.trim_end_matches('.').to_string(),
                caution: plain(&text.caution)?,
                actions: text.actions.iter().map(|a| plain(a)).collect::<Result<_, _>>()?,
                controls: controls.join(", "),
                leans_on: leans_on(hazard, sheet, tongue),
            },
        ));
    }
    out.sort_by_key(|(severity, _)| *severity);
    Ok(out.into_iter().map(|(_, line)| line).collect())
}

fn trigger(
    all: &Procedures,
    hazard: &HazardWords,
    sheet: &Sheet,
    words: &Words,
    built: &Built,
) -> Result<Trigger, String> {
    if hazard.when.is_empty() && hazard.when_steps.is_empty() && !hazard.when_flame {
        return Ok(Trigger::Holds);
    }
    let flame = |id: &str| all.steps.get(id).is_some_and(|s| s.flame);
    if built.steps().any(|s| hazard.when_steps.contains(&s.id) || (hazard.when_flame && flame(&s.id))) {
        return Ok(Trigger::Holds);
    }
    let mut unknown = Vec::new();
    for condition in &hazard.when {
        let gaps: Vec<String> = words::names(condition, true)?
            .into_iter()
            .filter_map(|name| sheet.get(&name))
            .filter(|fact| fact.value.is_err())
            .map(|fact| fact.title.to_string())
            .collect();
        if !gaps.is_empty() {
            unknown.extend(gaps);
        } else if words.holds(condition)? {
            return Ok(Trigger::Holds);
        }
    }
    unknown.sort();
    unknown.dedup();
    Ok(if unknown.is_empty() { Trigger::No } else { Trigger::Unknown(unknown) })
}

fn names(list: Named, all: &Procedures, job: &Job, built: &Built, language: &Language) -> Vec<String> {
    let source = |b: &str| language.answer("isolation.back_feed", b).unwrap_or(b).to_string();
    let found: Vec<String> = match list {
        Named::Points => isolation::points(job).into_iter().map(|p| p.device).collect(),
        Named::BackFeed => isolation::back_feed(job)
            .into_iter()
            .filter(|b| !b.answer.starts_with("none"))
            .map(|b| format!("{}, {}", source(&b.source), b.answer))
            .collect(),
        Named::FlameSteps => {
            let flame = |id: &str| all.steps.get(id).is_some_and(|s| s.flame);
            built.steps().filter(|s| flame(&s.id)).map(|s| s.number.clone()).collect()
        }
    };
    if found.is_empty() { vec![language.made("not_answered").into()] } else { found }
}

/// What holds everywhere, and what holds where the job is.
fn leans_on(hazard: &HazardWords, sheet: &Sheet, language: &Language) -> String {
    let own = match sheet.text("site.jurisdiction") {
        "uk" => Some(Jurisdiction::Uk),
        "eu" => Some(Jurisdiction::Eu),
        "us" => Some(Jurisdiction::Us),
        _ => None,
    };
    let texts: Vec<&str> = own
        .into_iter()
        .chain([Jurisdiction::Any])
        .filter_map(|j| hazard.leans_on.get(&j))
        .flat_map(|text| text.split("; "))
        .map(|source| language.hazards.sources.get(source).map_or(source, String::as_str))
        .collect();
    texts.join("; ")
}
