//! Everything the rules had to say about one job, and what they could not say.

use super::{Finding, Grade, Place};

/// A question that nobody answered: the fact's name, its title, and what it takes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    pub name: String,
    pub title: String,
    /// Choices, units or an example; empty where any text will do.
    pub takes: String,
    /// What there is to choose from, in a sentence; mostly empty.
    pub help: String,
    pub place: Place,
}

/// A check that could not be judged, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct NotJudged {
    pub code: String,
    pub name: String,
    pub title: String,
    pub check: String,
    pub grade: Grade,
    /// Given facts that are missing.
    pub missing: Vec<Missing>,
    /// Code of a model's refusal, where the facts are there and contradict.
    pub refusal: Option<String>,
    pub why: String,
    /// What would help where nothing is missing; else empty.
    pub help: String,
    pub place: Place,
}

impl NotJudged {
    /// A rule that would only advise does not hold a job up.
    pub fn is_open(&self) -> bool {
        self.grade > Grade::Advises
    }
}

/// A rule of the plan that was not judged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    pub code: String,
    pub title: String,
    pub why: String,
    /// It is planned and not built, whatever the job says.
    pub not_built: bool,
}

/// The findings of one job, and the reckoning of the rules.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judgement {
    pub findings: Vec<Finding>,
    pub not_judged: Vec<NotJudged>,
    /// Codes of the rules that were judged.
    pub judged: Vec<String>,
    pub left_out: Vec<LeftOut>,
    /// Rules that have nothing to judge in this kind of work or in this job.
    pub apart: Vec<LeftOut>,
    /// Rules of the whole plan.
    pub total: usize,
}

impl Judgement {
    /// Findings and unjudged checks that hold the job up.
    pub fn open(&self) -> usize {
        self.findings.iter().filter(|f| f.is_open()).count()
            + self.not_judged.iter().filter(|n| n.is_open()).count()
    }

    /// Rules that are planned and not built.
    pub fn not_built(&self) -> usize {
        self.left_out.iter().filter(|l| l.not_built).count()
    }
}
