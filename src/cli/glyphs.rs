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
        let unseen = bad.iter().all(|c| unseen(*c));
        let list: Vec<String> = bad.iter().take(8).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
        let help = if unseen {
            "Delete it: it can't be seen, and it can make a text read as another."
        } else {
            "Write it in Latin, Greek or Cyrillic letters; nothing prints as an empty box."
        };
        findings.push(Finding::reading(
            ReadingCode::NotPrintable,
            format!("the pack can't print {}", list.join(", ")),
            help,
            Place::value(given.source, given.pointer.clone(), "here"),
        ));
    }
    findings
}

/// Whether a character shows nothing of itself: control, direction, no width.
fn unseen(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}
