//! The pages round the method, as values of the pack: what is carried, what is
//! cut out, what stays in the office.

use super::pack::{Drawing, NamedText};
use serde::{Deserialize, Serialize};

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Briefing {
    pub topics: Vec<String>,
    pub crew: Vec<CrewLine>,
    pub sign_rows: usize,
    pub clock: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CrewLine {
    pub role: String,
    pub name: String,
    pub authorisation: String,
    pub up_to: String,
    pub valid_to: String,
}

/// A way out that was taken, and what it was chosen over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RemedyPage {
    /// Revision of the plan that did not fit.
    pub planned_before: String,
    pub taken: Vec<String>,
    pub forced_by: Vec<String>,
    pub figures: Vec<BeforeAndNow>,
    /// Each with why it does not serve.
    pub alternatives: Vec<NamedText>,
    pub needs: Vec<String>,
    /// Steps and points, by their first words.
    pub method_new: Vec<String>,
    pub method_gone: Vec<String>,
    pub chosen_by: String,
    /// What is no way out.
    pub never: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BeforeAndNow {
    pub name: String,
    pub before: String,
    pub now: String,
    pub least: String,
}

/// Lock, key and document numbers are blanks for the day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct IsolationPage {
    pub points: Vec<IsolationPoint>,
    pub back_feed: Vec<BackFeed>,
    pub documents: Vec<DocumentLine>,
    pub order: Vec<RunLine>,
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct IsolationPoint {
    pub number: String,
    pub device: String,
    pub locked_by: String,
    pub earth: String,
    pub by: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BackFeed {
    pub source: String,
    pub answer: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DocumentLine {
    pub document: String,
    pub by: String,
}

/// A run of steps and the document in force for it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunLine {
    pub run: String,
    pub document: String,
    pub steps: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HazardLine {
    pub id: String,
    pub title: String,
    /// `danger`, `warning` or `caution`.
    pub severity: String,
    /// What in this job brings it up.
    pub fact: String,
    pub caution: String,
    #[serde(rename = "do")]
    pub actions: Vec<String>,
    pub controls: String,
    pub leans_on: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Release {
    pub stops: Vec<ReleaseStop>,
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReleaseStop {
    pub number: String,
    pub title: String,
    pub run: String,
    pub points: Vec<ReleasePoint>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReleasePoint {
    pub short: String,
    pub letter: String,
    pub title: String,
    pub by: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TestSheet {
    pub title: String,
    pub rows: Vec<TestRow>,
    pub disconnect: Vec<String>,
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TestRow {
    pub name: String,
    pub limits: String,
    pub unit: String,
    pub cells: usize,
    pub note: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Deviations {
    pub rows: usize,
    pub columns: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Completion {
    pub identity: Vec<NamedText>,
    /// Answered yes or no a phase; the readings stand behind the points named.
    pub phases: Vec<PhaseLine>,
    pub lines: Vec<CompletionLine>,
    pub signatures: Vec<String>,
    pub statement: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PhaseLine {
    pub name: String,
    pub limits: String,
    pub unit: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CompletionLine {
    pub name: String,
    pub limits: String,
    pub cells: usize,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pocket {
    pub figures: Vec<PocketFigure>,
    pub extra: Vec<NamedText>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PocketFigure {
    pub number: String,
    pub name: String,
    pub datum: String,
    pub text: String,
    pub limits: String,
}

/// A strip at full size, in pieces that fit the sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Gauge {
    pub pieces: Vec<Drawing>,
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Labels {
    pub cards: Vec<Card>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Card {
    pub id: String,
    pub stage: String,
    /// `L1`, `L2`, `L3`, or `all`.
    pub phase: String,
    /// Rows of the photo list it lies in, `5 and 6`.
    pub frame: String,
    /// A box a picture with this card in it, by the row of the photo list: the next
    /// one is crossed before the picture is taken.
    pub boxes: Vec<String>,
    /// Short numbers of the points those frames prove.
    pub point: String,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MatchRow {
    pub what: String,
    pub required: String,
    pub offered: String,
    pub margin: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Photos {
    pub total: usize,
    pub rows: Vec<PhotoRow>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PhotoRow {
    pub number: String,
    pub point: String,
    pub text: String,
    pub count: usize,
    pub phases: bool,
    pub card: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ScheduleRow {
    pub short: String,
    pub letter: String,
    pub title: String,
    pub stop: String,
    pub after: String,
    pub released_by: String,
    pub frames: String,
}
