//! What is done or written once a core.

use super::words::Words;
use serde::Deserialize;

/// Whether something is done or written once a core, or where only: three single
/// cables take a box each where one cable takes one.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
pub enum EachPhase {
    Always(bool),
    Where(String),
}

impl Default for EachPhase {
    fn default() -> Self {
        EachPhase::Always(false)
    }
}

impl EachPhase {
    pub(super) fn condition(&self) -> Option<&str> {
        match self {
            EachPhase::Always(_) => None,
            EachPhase::Where(condition) => Some(condition),
        }
    }

    pub(super) fn holds(&self, words: &Words) -> Result<bool, String> {
        match self {
            EachPhase::Always(each) => Ok(*each),
            EachPhase::Where(condition) => words.holds(condition),
        }
    }
}
