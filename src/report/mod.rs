//! Findings for people and for machines.

mod json;
mod sarif;
mod screen;
mod text;
mod waiting;

pub use json::json;
pub use sarif::{ProposedFix, RuleLine, SarifLog};
pub use text::{Look, folded, text, wrap};

use crate::finding::{Finding, Judgement};
use crate::source::Source;

/// Everything to say about one job file.
pub struct JobReport<'a> {
    /// The job file as the caller named it.
    pub file: &'a str,
    pub sources: &'a [Source],
    /// Reading trouble; where there is any, nothing was judged.
    pub reading: &'a [Finding],
    pub judgement: Option<&'a Judgement>,
    pub kind: Kind,
}

/// What the report is about: a job to be issued, a completed record, an end as it
/// was found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    #[default]
    Job,
    /// A job sound in itself that something else holds up.
    HeldUp,
    Record,
    /// A sound job that the register speaks against.
    Issue,
    /// The jobs of one circuit, judged across.
    Circuit,
    AsFound,
}

impl Kind {
    /// What a grade comes to.
    pub fn grade(self, grade: crate::finding::Grade) -> &'static str {
        use crate::finding::Grade;
        match (self, grade) {
            (Kind::Job | Kind::HeldUp | Kind::Issue | Kind::Circuit, _) => grade.words(),
            (Kind::Record, Grade::Blocks) => "reject",
            (Kind::Record, Grade::Asks) => "query",
            (Kind::Record, Grade::Advises) => "note",
            (Kind::AsFound, Grade::Blocks) => "redesign",
            (Kind::AsFound, Grade::Asks) => "remake",
            (Kind::AsFound, Grade::Advises) => "watch",
        }
    }
}

impl JobReport<'_> {
    /// All findings in order: by file, then by place, open before the rest of
    /// the same place.
    pub fn findings(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self.reading.iter().collect();
        if let Some(judgement) = self.judgement {
            all.extend(&judgement.findings);
        }
        let key = |f: &Finding| {
            let place = f.places.first();
            let source = place.map_or(0, |p| p.source);
            let at = place.map_or(0, |p| span(self.sources, p).start);
            (std::cmp::Reverse(f.grade), f.state != crate::finding::State::Open, source, at)
        };
        if self.judgement.is_none() {
            // Reading trouble is told in the order of the file.
            all.sort_by_key(|f| {
                let (_, _, source, at) = key(f);
                (source, at)
            });
        } else {
            all.sort_by_key(|f| key(f));
        }
        all
    }

    /// Findings and unjudged checks that hold the job up.
    pub fn open(&self) -> usize {
        self.reading.iter().filter(|f| f.is_open()).count() + self.judgement.map_or(0, Judgement::open)
    }
}

/// Bytes of a place in its source.
pub(crate) fn span(sources: &[Source], place: &crate::finding::Place) -> std::ops::Range<usize> {
    if let Some(bytes) = &place.bytes {
        return bytes.clone();
    }
    match (sources.get(place.source), place.part) {
        (Some(source), crate::finding::Part::Value) => source.locate(&place.pointer).at,
        (Some(source), crate::finding::Part::Key) => source.locate_key(&place.pointer).at,
        (None, _) => 0..0,
    }
}
