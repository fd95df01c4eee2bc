//! What is judged: a job, or one thing of a completed record.

use crate::facts::Sheet;
use crate::finding::Place;
use crate::job::Job;

/// Knows where its facts are written.
pub trait Subject {
    /// Where `fact` is written, or where it ought to be.
    fn place(&self, fact: &str, label: &str) -> Place;
    /// Whether it is written at all.
    fn has(&self, fact: &str) -> bool;
}

impl Subject for Job {
    fn place(&self, fact: &str, label: &str) -> Place {
        Job::place(self, fact, label)
    }

    fn has(&self, fact: &str) -> bool {
        self.get(fact).is_some()
    }
}

/// One subject with its facts.
pub struct Case<'a> {
    pub sheet: Sheet,
    pub subject: Box<dyn Subject + 'a>,
}
