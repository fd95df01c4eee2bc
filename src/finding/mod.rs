//! What is wrong, where (by name of the place), how badly, what would help.
//!
//! A finding never knows lines or bytes: it names a source and a pointer, and
//! only `source` turns them into line and column when the finding is shown.

mod codes;
mod judgement;

pub use codes::{READING_CODES, ReadingCode};
pub use judgement::{Judgement, LeftOut, Missing, NotJudged};

use serde::Serialize;

/// How badly a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// Printed beside the step; nobody has to answer it.
    Advises,
    /// A named person must accept it, with a reason, in the job file.
    Asks,
    /// No pack can be issued and no acceptance lifts it.
    Blocks,
}

impl Grade {
    pub fn words(self) -> &'static str {
        match self {
            Grade::Blocks => "blocks issue",
            Grade::Asks => "needs acceptance",
            Grade::Advises => "advice",
        }
    }
}

/// Whether somebody still has to do something about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    Open,
    Accepted,
    Advice,
}

/// A printed figure of a finding: the fact's name, its title, its text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Figure {
    pub name: String,
    pub title: String,
    pub text: String,
}

/// A setting of one measure, the rest as planned, at which a finding would be
/// gone: the fact, its text, and the words for people.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WouldPass {
    pub name: String,
    pub text: String,
    pub words: String,
}

/// Which part of a place is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    Value,
    Key,
}

/// A place by name: the number of a source in the job's list, a pointer into
/// it, and what to say beside the line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    pub source: usize,
    pub pointer: String,
    pub part: Part,
    pub label: String,
    /// A span already known in bytes (syntax errors have no pointer).
    pub bytes: Option<std::ops::Range<usize>>,
}

impl Place {
    pub fn value(source: usize, pointer: impl Into<String>, label: impl Into<String>) -> Self {
        Place { source, pointer: pointer.into(), part: Part::Value, label: label.into(), bytes: None }
    }

    pub fn key(source: usize, pointer: impl Into<String>, label: impl Into<String>) -> Self {
        Place { part: Part::Key, ..Place::value(source, pointer, label) }
    }
}

/// One thing that is wrong with a job or a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// `B02`, `Y01`.
    pub code: String,
    /// Name of the wrong: `phases-too-close`.
    pub name: String,
    /// What was looked at: the check's title.
    pub title: String,
    /// Which of the rule's checks fired; empty for reading trouble.
    pub check: String,
    pub grade: Grade,
    pub state: State,
    pub message: String,
    pub figures: Vec<Figure>,
    /// Actual less limit, with unit, where there is one.
    pub margin: Option<String>,
    pub remedy: String,
    /// Where the check would pass, one measure at a time.
    pub would_pass: Vec<WouldPass>,
    pub basis: String,
    /// The first place is the primary one.
    pub places: Vec<Place>,
    /// Further lines: how an acceptance is written, why one lapsed.
    pub notes: Vec<String>,
}

impl Finding {
    /// Trouble in reading a file: always open, always blocking.
    pub fn reading(
        code: ReadingCode,
        message: impl Into<String>,
        remedy: impl Into<String>,
        place: Place,
    ) -> Self {
        let entry = code.entry();
        Finding {
            code: entry.code.to_string(),
            name: entry.name.to_string(),
            title: entry.name.replace('-', " "),
            check: String::new(),
            grade: Grade::Blocks,
            state: State::Open,
            message: message.into(),
            figures: Vec::new(),
            margin: None,
            remedy: remedy.into(),
            would_pass: Vec::new(),
            basis: String::new(),
            places: vec![place],
            notes: Vec::new(),
        }
    }

    pub fn is_open(&self) -> bool {
        self.state == State::Open
    }
}
