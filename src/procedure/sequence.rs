//! Procedure files: sequences, steps, controls, documents; and the proof of
//! their order.
//!
//! A sequence is refused, as a fault of ours with file and line, when a step
//! stands under another document than it needs, when a control stands before
//! the step it judges or after one that hides it, or when a name is unknown.

use super::fault::ProcedureFault;
use super::words;
use crate::facts;
use crate::source::Source;
use include_dir::{Dir, include_dir};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/procedures");

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sequence {
    pub work_type: String,
    pub title: String,
    pub runs: Vec<SequenceRun>,
    pub stop_conditions: Vec<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SequenceRun {
    pub document: String,
    pub title: String,
    pub steps: Vec<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Document {
    pub band: String,
    pub note: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepWords {
    pub id: String,
    pub text: String,
    #[serde(default)]
    pub tools: String,
    #[serde(default)]
    pub when: Option<String>,
    #[serde(default)]
    pub phases: bool,
    /// The document that must be in force.
    #[serde(default)]
    pub needs: Option<String>,
    /// Controls whose subject this step hides.
    #[serde(default)]
    pub covers: Vec<String>,
    /// The control that stands right behind this step.
    #[serde(default)]
    pub control: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Control {
    pub id: String,
    pub letter: String,
    pub title: String,
    pub after: String,
    #[serde(default)]
    pub before: Option<String>,
    pub prevents: String,
    pub measures: Vec<ControlMeasure>,
    pub frames: Vec<super::pack::Frame>,
    pub released_by: String,
    pub not_met: String,
    pub when_text: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControlMeasure {
    pub name: String,
    pub unit: String,
    pub limits: String,
    pub basis: String,
    #[serde(default)]
    pub phases: bool,
}

/// All wording of the method.
#[derive(Clone, Debug)]
pub struct Procedures {
    pub sequences: BTreeMap<String, Sequence>,
    pub documents: BTreeMap<String, Document>,
    pub steps: BTreeMap<String, StepWords>,
    pub controls: Vec<Control>,
}

impl Procedures {
    /// The procedures built into the binary.
    ///
    /// # Errors
    /// A fault in one of our own files.
    pub fn built_in() -> Result<Procedures, ProcedureFault> {
        let mut files = Vec::new();
        collect(&FILES, &mut files);
        Procedures::read(files)
    }

    /// Reads procedure files given by name and text.
    ///
    /// # Errors
    /// The first fault, with file and line.
    pub fn read(mut files: Vec<(String, String)>) -> Result<Procedures, ProcedureFault> {
        files.sort();
        let mut all = Procedures {
            sequences: BTreeMap::new(),
            documents: BTreeMap::new(),
            steps: BTreeMap::new(),
            controls: Vec::new(),
        };
        let mut sources = BTreeMap::new();
        for (file, text) in files {
            let (source, error) = Source::read(file.clone(), text);
            if let Some(error) = error {
                return Err(ProcedureFault::new(&file, source.line_column(error.at.start).0, error.message));
            }
            if file.contains("/steps/") {
                for step in parse::<Vec<StepWords>>(&source, &file)? {
                    if let Some(twice) = all.steps.insert(step.id.clone(), step) {
                        return Err(ProcedureFault::new(
                            &file,
                            1,
                            format!("the step {} stands twice", twice.id),
                        ));
                    }
                }
            } else if file.ends_with("/controls.yaml") {
                all.controls = parse(&source, &file)?;
            } else if file.ends_with("/documents.yaml") {
                all.documents = parse(&source, &file)?;
            } else {
                let sequence: Sequence = parse(&source, &file)?;
                sources.insert(sequence.work_type.clone(), source);
                all.sequences.insert(sequence.work_type.clone(), sequence);
            }
        }
        all.check_names()?;
        for (work_type, sequence) in &all.sequences {
            all.check_order(sequence, sources.get(work_type))?;
        }
        Ok(all)
    }

    pub fn control(&self, id: &str) -> Option<&Control> {
        self.controls.iter().find(|c| c.id == id)
    }

    fn check_names(&self) -> Result<(), ProcedureFault> {
        let known: BTreeSet<String> = facts::declared().into_keys().collect();
        let check = |file: &str, what: &str, template: &str, condition: bool| {
            let fault = |message: String| ProcedureFault::new(file, 1, format!("{what}: {message}"));
            let names = words::names(template, condition).map_err(fault)?;
            match names.into_iter().find(|n| !known.contains(n)) {
                Some(name) => Err(fault(format!("there is no fact `{name}`"))),
                None => Ok(()),
            }
        };
        for step in self.steps.values() {
            check("steps", &step.id, &step.text, false)?;
            if let Some(when) = &step.when {
                check("steps", &step.id, when, true)?;
            }
        }
        for control in &self.controls {
            for measure in &control.measures {
                check("controls", &control.id, &measure.limits, false)?;
                check("controls", &control.id, &measure.name, false)?;
            }
        }
        Ok(())
    }

    fn check_order(&self, sequence: &Sequence, source: Option<&Source>) -> Result<(), ProcedureFault> {
        let file = format!("templates/procedures/{}.yaml", sequence.work_type);
        let fault = |run: usize, step: usize, message: String| {
            let pointer = format!("/runs/{run}/steps/{step}");
            let line = source.map_or(1, |s| s.line_column(s.locate(&pointer).at.start).0);
            ProcedureFault::new(&file, line, message)
        };
        // Position of every step, and of the step each control stands behind.
        let mut at: BTreeMap<&str, (usize, usize, usize)> = BTreeMap::new();
        let mut order = 0;
        for (r, run) in sequence.runs.iter().enumerate() {
            if !self.documents.contains_key(&run.document) {
                return Err(fault(r, 0, format!("there is no document `{}`", run.document)));
            }
            for (s, id) in run.steps.iter().enumerate() {
                let Some(step) = self.steps.get(id) else {
                    return Err(fault(r, s, format!("there is no step {id}")));
                };
                if let Some(needs) = step.needs.as_ref().filter(|n| **n != run.document) {
                    return Err(fault(
                        r,
                        s,
                        format!("{id} needs the document `{needs}`, this run has `{}`", run.document),
                    ));
                }
                if at.insert(id, (order, r, s)).is_some() {
                    return Err(fault(
                        r,
                        s,
                        format!("{id} stands twice; give the second pass an id of its own"),
                    ));
                }
                order += 1;
            }
        }
        for control in &self.controls {
            let Some((after, r, s)) = at.get(control.after.as_str()).copied() else { continue };
            if self.steps[&control.after].control.as_deref() != Some(control.id.as_str()) {
                return Err(fault(
                    r,
                    s,
                    format!("{} does not name its control `{}`", control.after, control.id),
                ));
            }
            if let Some(before) = &control.before {
                let hidden = at.get(before.as_str()).map(|(o, ..)| *o);
                if hidden.is_none_or(|hidden| hidden <= after) {
                    return Err(fault(
                        r,
                        s,
                        format!("`{}` must come before {before}, which hides what it judges", control.id),
                    ));
                }
            }
            for (id, (order, r, s)) in &at {
                if *order < after && self.steps[*id].covers.contains(&control.id) {
                    return Err(fault(
                        *r,
                        *s,
                        format!("{id} covers what the control `{}` still has to see", control.id),
                    ));
                }
            }
        }
        Ok(())
    }
}

fn collect(dir: &Dir<'_>, files: &mut Vec<(String, String)>) {
    for file in dir.files() {
        if let (Some(name), Some(text)) = (file.path().to_str(), file.contents_utf8()) {
            files.push((format!("templates/procedures/{name}"), text.to_string()));
        }
    }
    dir.dirs().for_each(|d| collect(d, files));
}

fn parse<T: DeserializeOwned>(source: &Source, file: &str) -> Result<T, ProcedureFault> {
    serde_yaml::from_str(source.text()).map_err(|error| {
        let line = error.location().map_or(1, |l| l.line());
        ProcedureFault::new(file, line, error.to_string())
    })
}
