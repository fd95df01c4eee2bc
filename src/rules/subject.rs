//! What is judged: a job, or one thing of a completed record.

use crate::facts::Sheet;
use crate::finding::Place;
use crate::job::Job;
use crate::job::schema::{Shelf, work_kind};

/// Knows where its facts are written.
pub trait Subject {
    /// Where `fact` is written, or where it ought to be.
    fn place(&self, fact: &str, label: &str) -> Place;
    /// Whether it is written at all.
    fn has(&self, fact: &str) -> bool;
    /// The item of the library that `fact` would be written in, where none is named.
    fn unnamed(&self, _fact: &str) -> Option<Unnamed> {
        None
    }
}

/// A kit, a lug or boots that the job does not name: one question in place of every
/// figure its file would hold.
pub struct Unnamed {
    /// The key of the job file.
    pub key: &'static str,
    pub label: &'static str,
    /// Whether to know of none is an answer too.
    pub none: bool,
    /// What there is to choose from.
    pub help: String,
}

impl Subject for Job {
    fn place(&self, fact: &str, label: &str) -> Place {
        Job::place(self, fact, label)
    }

    fn has(&self, fact: &str) -> bool {
        self.get(fact).is_some()
    }

    fn unnamed(&self, fact: &str) -> Option<Unnamed> {
        let shelf = [Shelf::Kits, Shelf::Lugs, Shelf::Boots]
            .into_iter()
            .find(|s| fact.strip_prefix(s.one()).is_some_and(|rest| rest.starts_with('.')))?;
        if self.names(shelf) {
            return None;
        }
        let key = shelf.one();
        let kind = self.text("job.work_type").and_then(|name| work_kind(&name));
        let none = shelf == Shelf::Kits && kind.is_some_and(|k| k.family == "inspection");
        let label = if self.get(key).is_some() { "none does not do for this work" } else { "not answered" };
        Some(Unnamed { key, label, none, help: self.offers(shelf) })
    }
}

/// One subject with its facts.
pub struct Case<'a> {
    pub sheet: Sheet,
    pub subject: Box<dyn Subject + 'a>,
}
