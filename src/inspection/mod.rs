//! An end as it was found, held against its job: keep, keep and watch, remake or
//! redesign, each with its reasons.
//!
//! The decision table is data in the form of the rules; here stand the facts it
//! compares and what follows from it. What is not answered is never taken for
//! sound.

mod facts;
mod judge;
mod names;
mod place;
mod rebuilt;
mod remake;

pub use judge::{Decided, Decision, Request, TableFault, decide, of_another_job, table};
pub use names::{declared, scopes};
pub use rebuilt::{Rebuilt, rebuilt};
pub use remake::{Remake, remake};
