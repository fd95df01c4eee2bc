//! What the box may measure on site while the pack still holds.

use super::words;
use crate::facts::Sheet;
use crate::job::Value;

pub(super) const NOTE: &str =
    "One figure off at a time. Two of them off at once: the planner judges the box anew.";

/// One line a figure that is known; a window nobody computed is empty.
pub(super) fn window(sheet: &Sheet) -> Vec<String> {
    // An inspection finds the box as it is: nothing was computed for it.
    if sheet.text("family") == "inspection" {
        return Vec::new();
    }
    // "None within 200 mm" is an answer, and no limit.
    let text = |name: &str| {
        let fact = sheet.get(name).filter(|f| matches!(f.value, Ok(Value::Quantity(_))))?;
        Some(fact.text.as_str())
    };
    let least = |what: &str, name: &str| text(name).map(|t| format!("{what} at least {t}"));
    let between = |what: &str, low: &str, high: &str| match (text(low), text(high)) {
        (Some(low), Some(high)) => Some(format!("{what} {}", words::range(low, high))),
        (Some(low), None) => Some(format!("{what} at least {low}")),
        (None, Some(high)) => Some(format!("{what} at most {high}")),
        (None, None) => None,
    };
    [
        between("gland plate to stud", "window_height_least", "window_height_most"),
        between("stud pitch", "window_pitch_least", "window_pitch_most"),
        least("outer stud to side wall", "window_wall_least"),
        least("studs to cover", "window_cover_least"),
        least("studs to back wall", "window_back_least"),
    ]
    .into_iter()
    .flatten()
    .collect()
}
