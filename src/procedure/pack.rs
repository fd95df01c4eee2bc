//! The pack as a value. What stands here is what was issued: the PDF prints it,
//! `pack.json` holds it, and a completed record is judged against it.

use super::draw::Shape;
use super::form::{Form, Reading};
use super::pages::{
    Briefing, Completion, Deviations, Gauge, HazardLine, IsolationPage, Labels, MatchRow, Photos, Pocket,
    Release, RemedyPage, ScheduleRow, TestSheet,
};
use crate::finding::{Grade, State};
use serde::{Deserialize, Serialize};

/// Name and version of the form of `pack.json`.
pub const FORMAT: &str = "cutback-pack-1";

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pack {
    pub format: String,
    pub tool: String,
    pub job: JobLine,
    pub voltage: String,
    pub front: Front,
    pub rules: Rules,
    pub findings: Vec<PackFinding>,
    /// Only where the job says that a way out was taken.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remedy: Option<RemedyPage>,
    pub summary: Summary,
    pub briefing: Briefing,
    pub isolation: IsolationPage,
    pub hazards: Vec<HazardLine>,
    pub drawings: Vec<Drawing>,
    pub method: Method,
    pub release: Release,
    pub tests: TestSheet,
    pub deviations: Deviations,
    pub completion: Completion,
    pub pocket: Pocket,
    pub gauge: Gauge,
    pub labels: Labels,
    #[serde(rename = "match")]
    pub matches: Vec<MatchRow>,
    pub photos: Photos,
    /// What the completed record must hold.
    pub form: Form,
    pub schedule: Vec<ScheduleRow>,
    pub basis: Vec<BasisRow>,
}

impl Pack {
    /// Every step, then every point, by what tells it from others (its figures
    /// may differ) and in words.
    pub fn steps_and_points(&self) -> Vec<(String, String)> {
        let steps = self.method.runs.iter().flat_map(|run| &run.steps).map(|step| {
            let text: String = step.text.iter().map(Segment::as_str).collect();
            let first = text.split_inclusive(". ").next().unwrap_or_default();
            (format!("step {}", step.id), first.trim().trim_end_matches('.').to_string())
        });
        let points = self.schedule.iter().map(|p| (format!("point {}", p.title), p.title.clone()));
        steps.chain(points).collect()
    }
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobLine {
    pub number: String,
    pub revision: String,
    pub replaces: String,
    pub end: String,
    pub end_name: String,
    pub work_type: String,
    pub work_title: String,
    pub planned: String,
    pub date: String,
    pub circuit: String,
    pub asset: String,
    pub site: String,
    pub invented: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Front {
    pub authority: Vec<Authority>,
    pub people: Vec<Person>,
    pub acceptances: Vec<Accepted>,
    pub cautions: Vec<String>,
    pub statement: Vec<String>,
}

/// A document and its rank: the lower number wins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Authority {
    pub rank: String,
    pub document: String,
    pub detail: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Person {
    pub role: String,
    pub name: String,
    pub authorisation: String,
    pub date: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NamedText {
    pub name: String,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Accepted {
    pub code: String,
    pub title: String,
    pub figures: Vec<NamedText>,
    pub name: String,
    pub role: String,
    pub reason: String,
    pub date: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rules {
    pub judged: usize,
    pub total: usize,
    pub note: String,
    pub not_judged: Vec<LeftOut>,
    /// Rules that have nothing to judge in this kind of work or in this job.
    pub apart: Vec<LeftOut>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LeftOut {
    pub code: String,
    pub title: String,
    pub why: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PackFinding {
    pub code: String,
    pub title: String,
    pub grade: String,
    pub grade_text: String,
    pub state: String,
    pub message: String,
    pub figures: Vec<NamedText>,
    pub margin: Option<String>,
    pub remedy: String,
    /// Where the check would pass, one measure at a time.
    pub would_pass: Vec<String>,
    pub basis: String,
}

impl PackFinding {
    pub(super) fn grade_name(grade: Grade) -> &'static str {
        match grade {
            Grade::Blocks => "blocks",
            Grade::Asks => "asks",
            Grade::Advises => "advises",
        }
    }

    pub(super) fn state_name(state: State) -> &'static str {
        match state {
            State::Open => "open",
            State::Accepted => "accepted",
            State::Advice => "advice",
        }
    }
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    pub key_figures: Vec<KeyFigure>,
    pub controls: Vec<ControlLine>,
    /// What the box may measure while the pack still holds.
    pub window: Vec<String>,
    pub window_note: String,
    pub stop_conditions: Vec<String>,
    pub drawing: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct KeyFigure {
    pub name: String,
    pub datum: String,
    pub text: String,
    pub limits: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ControlLine {
    pub short: String,
    pub title: String,
    pub letter: String,
}

/// A drawing in paper millimetres, to a stated scale.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drawing {
    pub id: String,
    pub title: String,
    pub scale: String,
    pub width_mm: f64,
    pub height_mm: f64,
    /// What the drawing says, in words.
    pub alt: String,
    pub shapes: Vec<Shape>,
    pub table: Option<DrawingTable>,
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DrawingTable {
    pub columns: Vec<String>,
    pub rows: Vec<Vec<Vec<Segment>>>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Method {
    /// What the marks beside the limits stand for.
    pub key: String,
    pub runs: Vec<Run>,
}

/// Steps done one after another under one safety document.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Run {
    pub document: String,
    pub band: String,
    pub band_note: String,
    pub title: String,
    /// The tools of all its steps, each once, in the order of use.
    pub tools: String,
    pub steps: Vec<Step>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    pub number: String,
    pub id: String,
    pub text: Vec<Segment>,
    pub tools: String,
    /// Done on each of three cores.
    pub phases: bool,
    /// The point that stands right behind this step.
    pub control: Option<Banner>,
    /// The stop that stands right behind this step, with the points it releases.
    pub stop: Option<StopBanner>,
}

/// A piece of a sentence.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Segment {
    /// Words.
    #[serde(rename = "t")]
    Words(String),
    /// A figure.
    #[serde(rename = "f")]
    Figure(String),
    /// A figure that something is cut or set to.
    #[serde(rename = "c")]
    Cut(String),
    /// A blank to fill: the fact was not answered.
    #[serde(rename = "b")]
    Blank(String),
}

impl Segment {
    fn as_str(&self) -> &str {
        match self {
            Segment::Words(text) | Segment::Figure(text) | Segment::Cut(text) => text,
            Segment::Blank(_) => "…",
        }
    }
}

/// A control as it stands in the step list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Banner {
    pub id: String,
    pub short: String,
    pub letter: String,
    pub letter_text: String,
    pub title: String,
    pub prevents: String,
    /// Why it matters here, with this job's figures; empty where no figure may
    /// be printed.
    #[serde(default)]
    pub reason: String,
    pub releases: String,
    /// Who releases it, in two or three words.
    pub by: String,
    pub not_met: String,
    pub when: String,
    /// Number of its step, and of the stop it belongs to.
    pub step: String,
    pub stop: String,
    /// Where its release is written: `released at STOP 4`.
    pub release_note: String,
    pub measures: Vec<Measure>,
    pub frames: Vec<Frame>,
    /// Whether a later step hides its subject for good; not printed.
    #[serde(skip)]
    pub hidden: bool,
    /// Its measures as the record holds them; they stand in the form.
    #[serde(skip)]
    pub readings: Vec<Reading>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    pub name: String,
    pub unit: String,
    pub limits: String,
    pub basis: String,
    /// The basis in one or two short marks, as printed beside the limits.
    pub mark: String,
    /// Blanks to fill: three for a reading a phase, else one.
    pub cells: usize,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    pub text: String,
    pub count: usize,
    /// The label card in it, and whether there is one a phase.
    pub card: String,
    pub phases: bool,
}

/// One visit of the releaser, behind the last step it holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StopBanner {
    pub number: String,
    pub title: String,
    /// `attended run, steps 31 to 46`, or nothing.
    pub run: String,
    /// The step at which that run begins, and the words of the stop are printed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub from: String,
    /// The points it releases, in the order of their steps.
    pub points: Vec<StopPoint>,
    pub releases: String,
    pub when: String,
}

/// A point in a stop. Its blanks stand here when `here`, else behind its own,
/// earlier step: nothing is written twice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StopPoint {
    #[serde(flatten)]
    pub banner: Banner,
    pub here: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BasisRow {
    pub name: String,
    pub title: String,
    pub value: String,
    pub formula: String,
    pub inputs: String,
    pub mark: String,
    pub used: String,
}
