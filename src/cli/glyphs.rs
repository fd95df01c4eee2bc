//! Characters of a job that the pack can't print.

use crate::finding::{Finding, Place, ReadingCode};
use crate::job::Job;
use crate::press::Press;

/// A finding for every value with a character that has no glyph, or that turns
/// the direction of reading.
pub fn unprintable(job: &Job, press: &Press) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (_, given) in job.texts() {
        let bad = press.unprintable(&given.value.to_string());
        if bad.is_empty() {
            continue;
        }
        let list: Vec<String> = bad.iter().take(8).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
        findings.push(Finding::reading(
            ReadingCode::NotPrintable,
            format!("the pack can't print {}", list.join(", ")),
            "Write it in Latin, Greek or Cyrillic letters; nothing prints as an empty box.",
            Place::value(given.source, given.pointer.clone(), "here"),
        ));
    }
    findings
}
