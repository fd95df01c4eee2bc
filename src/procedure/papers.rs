//! The wording of the sheets round the method, as read from its file.

use super::form::RecordWords;
use serde::Deserialize;

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaperWords {
    pub summary: SummaryWords,
    pub briefing: BriefingWords,
    pub isolation: IsolationWords,
    pub release: Notes,
    pub tests: TestWords,
    pub deviations: DeviationWords,
    pub completion: CompletionWords,
    pub pocket: PocketWords,
    pub clock: ClockWords,
    pub cards: Vec<CardWords>,
}

/// What a supervisor works from, and what stops everybody.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SummaryWords {
    pub key_figures: Vec<PocketFigureWords>,
    pub stop_conditions: Vec<LineWords>,
}

/// A line that prints where its condition holds.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineWords {
    pub text: String,
    #[serde(default)]
    pub when: Option<String>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Notes {
    pub notes: Vec<LineWords>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BriefingWords {
    pub topics: Vec<LineWords>,
    pub sign_rows: usize,
    pub clock: String,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IsolationWords {
    pub notes: Vec<LineWords>,
    pub far_end: String,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestWords {
    pub title: String,
    pub rows: Vec<TestRowWords>,
    pub notes: Vec<LineWords>,
    /// What stands there where the circuit is tested under another pack.
    pub not_here: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestRowWords {
    pub name: String,
    pub unit: String,
    pub limits: String,
    #[serde(default)]
    pub phases: bool,
    #[serde(default)]
    pub note: String,
    #[serde(default)]
    pub when: Option<String>,
    /// Whose limit it is; the client's where nothing stands.
    #[serde(default)]
    pub basis: Option<String>,
    /// How the record holds it.
    #[serde(default)]
    pub record: RecordWords,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviationWords {
    pub rows: usize,
    pub columns: Vec<String>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CompletionWords {
    pub phases: Vec<CompletionPhase>,
    pub lines: Vec<CompletionLineWords>,
    pub signatures: Vec<String>,
    pub statement: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CompletionPhase {
    pub name: String,
    pub limits: String,
    /// The point whose readings are meant.
    pub control: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CompletionLineWords {
    pub name: String,
    #[serde(default)]
    pub limits: String,
    #[serde(default)]
    pub counts: Option<Counted>,
    #[serde(default)]
    pub phases: bool,
    #[serde(default)]
    pub when: Option<String>,
}

/// What of the pack a line counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Counted {
    Stops,
    Holds,
    Photos,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PocketWords {
    pub figures: Vec<PocketFigureWords>,
    pub extra: Vec<NamedWords>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PocketFigureWords {
    pub name: String,
    pub datum: String,
    pub text: String,
    #[serde(default)]
    pub limits: String,
    #[serde(default)]
    pub when: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedWords {
    pub name: String,
    pub text: String,
    #[serde(default)]
    pub when: Option<String>,
}

/// The frame of the phone clock, which belongs to no point.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClockWords {
    pub text: String,
    pub card: String,
    pub step: String,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardWords {
    pub id: String,
    pub stage: String,
}

impl PaperWords {
    fn lines(&self) -> impl Iterator<Item = &LineWords> {
        let notes = [&self.isolation.notes, &self.release.notes, &self.tests.notes];
        let conditions = &self.summary.stop_conditions;
        conditions.iter().chain(&self.briefing.topics).chain(notes.into_iter().flatten())
    }

    fn figures(&self) -> impl Iterator<Item = &PocketFigureWords> {
        self.summary.key_figures.iter().chain(&self.pocket.figures)
    }

    /// Every sentence with names of facts in it.
    pub fn templates(&self) -> Vec<&str> {
        let mut out: Vec<&str> = self.lines().map(|l| l.text.as_str()).collect();
        out.extend([self.isolation.far_end.as_str(), &self.tests.title, &self.tests.not_here]);
        out.extend(self.tests.rows.iter().flat_map(|r| [r.name.as_str(), &r.limits, &r.note]));
        out.extend(self.tests.rows.iter().filter_map(|r| r.record.plan.as_deref()));
        out.extend(self.completion.phases.iter().map(|p| p.limits.as_str()));
        out.extend(self.completion.lines.iter().flat_map(|l| [l.name.as_str(), &l.limits]));
        out.extend(self.figures().flat_map(|f| [f.datum.as_str(), &f.text, &f.limits]));
        out.extend(self.pocket.extra.iter().map(|e| e.text.as_str()));
        out
    }

    pub fn conditions(&self) -> Vec<&str> {
        let lines = self.lines().filter_map(|l| l.when.as_deref());
        let completion = self.completion.lines.iter().filter_map(|l| l.when.as_deref());
        let extra = self.pocket.extra.iter().filter_map(|e| e.when.as_deref());
        let figures = self.figures().filter_map(|f| f.when.as_deref());
        let rows = self.tests.rows.iter().filter_map(|r| r.when.as_deref());
        lines.chain(completion).chain(figures).chain(extra).chain(rows).collect()
    }

    pub fn controls(&self) -> impl Iterator<Item = &str> {
        self.completion.phases.iter().map(|p| p.control.as_str())
    }
}
