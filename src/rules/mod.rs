//! The engine: reads rule files, evaluates them over facts, makes findings.
//!
//! A rule is data: when it applies, what must not be so, how badly it weighs,
//! the words, the basis, and its own proofs. Conditions compare and never
//! compute. Every expression is compiled at load and every name in it checked
//! against the declared facts, so a misspelt fact is a fault with file and
//! line, never a silent pass.

mod accept;
mod book;
mod entry;
mod in_words;
mod judge;
mod place;
mod scope;
mod subject;
mod told;

pub use book::{RuleBook, RuleFault};
pub use entry::{Check, Edit, Entry, Expected, Proof, Rung};
pub use in_words::in_words;
pub use subject::{Case, Subject, Unnamed};
