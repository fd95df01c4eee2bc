//! Procedure files: sequences, runs they share, steps, controls, stops, documents,
//! papers, hazards. Their order is proved in `order`, their names in `names`.

use super::fault::ProcedureFault;
use super::form::RecordWords;
use super::hazards::HazardWords;
use super::overlay::Overlay;
use super::papers::PaperWords;
use super::per_phase::EachPhase;
use super::{names, order};
use crate::source::Source;
use include_dir::{Dir, include_dir};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};

static FILES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/procedures");
static HAZARDS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/hazards");

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sequence {
    pub work_type: String,
    pub title: String,
    /// Whether any part of the cable has been in service.
    pub cable: CableState,
    pub runs: Vec<SequenceRun>,
    pub stops: Vec<StopWords>,
}

/// What the cable of a kind of work may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CableState {
    New,
    /// New or in service: the steps identify it wherever it is touched.
    Existing,
}

/// A stretch of steps under one document, or the name of runs that several
/// kinds of work share.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SequenceRun {
    #[serde(default, rename = "use")]
    pub shared: Option<String>,
    #[serde(default)]
    pub document: String,
    #[serde(default)]
    pub title: String,
    #[serde(default)]
    pub steps: Vec<String>,
    /// The band it prints in place of its document's own.
    #[serde(default)]
    pub band: Option<String>,
    /// The way of working it belongs to, and the one it does not.
    #[serde(default)]
    pub only: Option<String>,
    #[serde(default)]
    pub except: Option<String>,
    /// File and pointer, for the line of a fault.
    #[serde(skip)]
    pub at: (String, String),
}

impl Sequence {
    /// The ways of working that make a difference here.
    pub fn ways(&self) -> BTreeSet<&str> {
        let runs = self.runs.iter().flat_map(|r| [&r.only, &r.except]);
        let stops = self.stops.iter().flat_map(|s| [&s.only, &s.except]);
        runs.chain(stops).flatten().map(String::as_str).collect()
    }

    /// Every mixture of those ways, each an order somebody may work in.
    pub fn mixtures(&self) -> Vec<BTreeSet<&str>> {
        let ways: Vec<&str> = self.ways().into_iter().collect();
        let chosen = |mixture: usize| ways.iter().enumerate().filter(move |(i, _)| mixture >> i & 1 == 1);
        (0..1_usize << ways.len()).map(|mixture| chosen(mixture).map(|(_, way)| *way).collect()).collect()
    }

    /// The sequence as it is where these ways are taken and the others are not.
    pub fn along(&self, taken: &BTreeSet<&str>) -> Sequence {
        let mut sequence = self.clone();
        sequence.runs.retain(|run| run.stands(taken));
        sequence.stops.retain(|stop| stop.stands(taken));
        sequence
    }
}

impl SequenceRun {
    pub fn stands(&self, taken: &BTreeSet<&str>) -> bool {
        stands(self.only.as_deref(), self.except.as_deref(), taken)
    }
}

impl StopWords {
    pub fn stands(&self, taken: &BTreeSet<&str>) -> bool {
        stands(self.only.as_deref(), self.except.as_deref(), taken)
    }
}

fn stands(only: Option<&str>, except: Option<&str>, taken: &BTreeSet<&str>) -> bool {
    only.is_none_or(|way| taken.contains(way)) && except.is_none_or(|way| !taken.contains(way))
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
    pub phases: EachPhase,
    /// The document that must be in force.
    #[serde(default)]
    pub needs: Option<String>,
    /// The document this step takes, and the one it gives back, first.
    #[serde(default)]
    pub takes: Option<String>,
    #[serde(default)]
    pub returns: Option<String>,
    /// A test with circuit earths off.
    #[serde(default)]
    pub tests: bool,
    /// The conductor is connected, to try or for good.
    #[serde(default)]
    pub connects: Option<Connection>,
    /// What an existing cable must be identified for: opened, bent, cut, connected.
    #[serde(default)]
    pub touches: Option<Subject>,
    #[serde(default)]
    pub identifies: Option<Subject>,
    #[serde(default)]
    pub flame: bool,
    /// Controls whose subject this step hides.
    #[serde(default)]
    pub covers: Vec<String>,
    /// The control that stands right behind this step.
    #[serde(default)]
    pub control: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Connection {
    Trial,
    Final,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Subject {
    Cable,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Control {
    pub id: String,
    pub letter: String,
    /// The letter it takes instead where `letter_when` holds.
    #[serde(default)]
    pub becomes: Option<String>,
    #[serde(default)]
    pub letter_when: Option<String>,
    #[serde(default)]
    pub when: Option<String>,
    /// One of the eight that most early failures come from.
    #[serde(default)]
    pub key: bool,
    /// A step that covers it hides its subject for good: no later photograph
    /// shows it.
    #[serde(default)]
    pub hidden: bool,
    pub title: String,
    pub prevents: String,
    /// The computed reason, with this job's figures: the first whose condition
    /// holds prints, at most two sentences; where none holds, nothing.
    #[serde(default)]
    pub reasons: Vec<Reason>,
    pub measures: Vec<ControlMeasure>,
    #[serde(default)]
    pub frames: Vec<ControlFrame>,
    pub by: String,
    /// What a job calls it when it says who releases it, where that is not its id.
    #[serde(default)]
    pub called: Option<String>,
    pub released_by: String,
    pub not_met: String,
    pub when_text: String,
}

impl Control {
    /// Its sentences round the measures, which may hold names of facts and conditions.
    pub fn templates(&self) -> impl Iterator<Item = &str> {
        let own = [&self.title, &self.prevents, &self.by, &self.released_by, &self.not_met, &self.when_text];
        own.into_iter().chain(self.frames.iter().map(|f| &f.text)).map(String::as_str)
    }

    /// Whether the work waits for it in some job.
    pub fn may_hold(&self) -> bool {
        self.letter == "H" || self.becomes.as_deref() == Some("H")
    }
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reason {
    #[serde(default)]
    pub when: Option<String>,
    pub text: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControlMeasure {
    pub name: String,
    pub unit: String,
    pub limits: String,
    pub basis: String,
    #[serde(default)]
    pub phases: EachPhase,
    #[serde(default)]
    pub when: Option<String>,
    /// How the record holds it.
    #[serde(default)]
    pub record: RecordWords,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ControlFrame {
    pub text: String,
    pub count: usize,
    /// The label card that lies in it.
    pub card: String,
    /// A card a phase.
    #[serde(default)]
    pub phases: bool,
    #[serde(default)]
    pub when: Option<String>,
}

/// One visit of the releaser: its words by name, and what it releases here.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StopWords {
    pub stop: String,
    pub points: Vec<String>,
    #[serde(default)]
    pub run: Option<AttendedRun>,
    /// As for a run.
    #[serde(default)]
    pub only: Option<String>,
    #[serde(default)]
    pub except: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttendedRun {
    pub from: String,
    pub to: String,
}

/// The words of a stop, shared by every kind of work that has it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StopText {
    pub title: String,
    pub who: String,
    pub when_text: String,
}

/// All wording of the method and of the sheets round it.
#[derive(Clone, Debug, Default)]
pub struct Procedures {
    pub sequences: BTreeMap<String, Sequence>,
    pub documents: BTreeMap<String, Document>,
    pub steps: BTreeMap<String, StepWords>,
    pub controls: Vec<Control>,
    pub stops: BTreeMap<String, StopText>,
    /// Ways of working that change the order, and the condition each is taken on.
    pub ways: BTreeMap<String, String>,
    /// Runs that several kinds of work share, by name.
    shared: BTreeMap<String, Vec<SequenceRun>>,
    pub papers: PaperWords,
    pub hazards: Vec<HazardWords>,
    /// The files by name, for the line of a fault.
    pub(super) sources: BTreeMap<String, Source>,
    /// File and pointer of every step, control and hazard.
    pub(super) at: BTreeMap<String, (String, String)>,
}

impl Procedures {
    /// The procedures built into the binary.
    ///
    /// # Errors
    /// A fault in one of our own files.
    pub fn built_in() -> Result<Procedures, ProcedureFault> {
        Procedures::read(built_in())
    }

    /// The procedures built in with a layer over them.
    ///
    /// # Errors
    /// The first fault, of the layer as of our own files.
    pub fn with(overlay: &Overlay) -> Result<Procedures, ProcedureFault> {
        let mut all = Procedures::take_all(built_in())?;
        all.lay(overlay)?;
        all.expand()?;
        all.seat(overlay.points);
        all.proved()
    }

    /// Reads procedure files given by name and text.
    ///
    /// # Errors
    /// The first fault, with file and line.
    pub fn read(files: Vec<(String, String)>) -> Result<Procedures, ProcedureFault> {
        let mut all = Procedures::take_all(files)?;
        all.expand()?;
        all.proved()
    }

    fn take_all(mut files: Vec<(String, String)>) -> Result<Procedures, ProcedureFault> {
        files.sort();
        let mut all = Procedures::default();
        for (file, text) in files {
            let (source, error) = Source::read(file.clone(), text);
            if let Some(error) = error {
                return Err(ProcedureFault::new(&file, source.line_column(error.at.start).0, error.message));
            }
            all.take(&file, &source)?;
            all.sources.insert(file, source);
        }
        Ok(all)
    }

    fn proved(self) -> Result<Procedures, ProcedureFault> {
        names::check(&self)?;
        order::check(&self)?;
        Ok(self)
    }

    pub(super) fn take_hazards(&mut self, file: &str, source: &Source) -> Result<(), ProcedureFault> {
        for (i, hazard) in parse::<Vec<HazardWords>>(source, file)?.into_iter().enumerate() {
            self.place(&hazard.id, file, i, source)?;
            self.hazards.push(hazard);
        }
        Ok(())
    }

    fn take(&mut self, file: &str, source: &Source) -> Result<(), ProcedureFault> {
        if file.contains("/steps/") {
            for (i, step) in parse::<Vec<StepWords>>(source, file)?.into_iter().enumerate() {
                self.place(&step.id, file, i, source)?;
                self.steps.insert(step.id.clone(), step);
            }
        } else if file.contains("/hazards/") {
            self.take_hazards(file, source)?;
        } else if file.contains("/controls/") {
            for (i, control) in parse::<Vec<Control>>(source, file)?.into_iter().enumerate() {
                self.place(&format!("control {}", control.id), file, i, source)?;
                self.controls.push(control);
            }
        } else if file.ends_with("/documents.yaml") {
            self.documents = parse(source, file)?;
        } else if file.ends_with("/stops.yaml") {
            self.stops = parse(source, file)?;
        } else if file.ends_with("/ways.yaml") {
            self.ways = parse(source, file)?;
        } else if file.ends_with("/runs.yaml") {
            self.shared = parse(source, file)?;
            for (name, runs) in &mut self.shared {
                for (i, run) in runs.iter_mut().enumerate() {
                    run.at = (file.to_string(), format!("/{name}/{i}"));
                }
            }
        } else if file.ends_with("/papers.yaml") {
            self.papers = parse(source, file)?;
        } else {
            let mut sequence: Sequence = parse(source, file)?;
            for (i, run) in sequence.runs.iter_mut().enumerate() {
                run.at = (file.to_string(), format!("/runs/{i}"));
            }
            self.sequences.insert(sequence.work_type.clone(), sequence);
        }
        Ok(())
    }

    /// Puts the shared runs in where a sequence names them.
    fn expand(&mut self) -> Result<(), ProcedureFault> {
        let mut sequences = std::mem::take(&mut self.sequences);
        for sequence in sequences.values_mut() {
            let mut runs = Vec::new();
            for run in std::mem::take(&mut sequence.runs) {
                let Some(name) = &run.shared else {
                    runs.push(run);
                    continue;
                };
                let Some(shared) = self.shared.get(name) else {
                    let (file, pointer) = &run.at;
                    return Err(self.fault(file, pointer, format!("there are no shared runs `{name}`")));
                };
                runs.extend(shared.iter().cloned());
            }
            sequence.runs = runs;
        }
        self.sequences = sequences;
        Ok(())
    }

    fn place(&mut self, id: &str, file: &str, index: usize, source: &Source) -> Result<(), ProcedureFault> {
        let pointer = format!("/{index}");
        if self.at.insert(id.to_string(), (file.to_string(), pointer.clone())).is_some() {
            let line = source.line_column(source.locate(&pointer).at.start).0;
            return Err(ProcedureFault::new(file, line, format!("`{id}` stands twice")));
        }
        Ok(())
    }

    pub fn control(&self, id: &str) -> Option<&Control> {
        self.controls.iter().find(|c| c.id == id)
    }

    /// A fault at a pointer of one of our files.
    pub(super) fn fault(&self, file: &str, pointer: &str, message: impl Into<String>) -> ProcedureFault {
        let line = self.sources.get(file).map_or(1, |s| s.line_column(s.locate(pointer).at.start).0);
        ProcedureFault::new(file, line, message)
    }

    /// A fault in the step or hazard `id`.
    pub(super) fn fault_at(&self, id: &str, message: impl Into<String>) -> ProcedureFault {
        match self.at.get(id) {
            Some((file, pointer)) => self.fault(file, pointer, message),
            None => ProcedureFault::new("templates/procedures", 1, message),
        }
    }

    /// A fault in the control `id`.
    pub(super) fn fault_in_control(&self, id: &str, message: impl Into<String>) -> ProcedureFault {
        self.fault_at(&format!("control {id}"), message)
    }
}

/// The files of the binary, by name and text.
fn built_in() -> Vec<(String, String)> {
    let mut files = Vec::new();
    collect(&FILES, "templates/procedures", &mut files);
    collect(&HAZARDS, "templates/hazards", &mut files);
    files
}

fn collect(dir: &Dir<'_>, root: &str, files: &mut Vec<(String, String)>) {
    for file in dir.files() {
        if let (Some(name), Some(text)) = (file.path().to_str(), file.contents_utf8()) {
            files.push((format!("{root}/{name}"), text.to_string()));
        }
    }
    dir.dirs().for_each(|d| collect(d, root, files));
}

fn parse<T: DeserializeOwned>(source: &Source, file: &str) -> Result<T, ProcedureFault> {
    serde_yaml::from_str(source.text()).map_err(|error| {
        let line = error.location().map_or(1, |l| l.line());
        ProcedureFault::new(file, line, error.to_string())
    })
}
