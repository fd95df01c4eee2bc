//! What the box may measure on site while the pack still holds.

use crate::facts::Sheet;

pub(super) const NOTE: &str =
    "One figure off at a time. Two of them off at once: the planner judges the box anew.";

/// One line a figure that is known; a window nobody computed is empty.
pub(super) fn window(sheet: &Sheet) -> Vec<String> {
    let text = |name: &str| sheet.get(name).filter(|f| f.value.is_ok()).map(|f| f.text.as_str());
    let least = |words: &str, name: &str| text(name).map(|t| format!("{words} at least {t}"));
    let between = |words: &str, low: &str, high: &str| match (text(low), text(high)) {
        (Some(low), Some(high)) => Some(format!("{words} {low} to {high}")),
        (Some(low), None) => Some(format!("{words} at least {low}")),
        (None, Some(high)) => Some(format!("{words} at most {high}")),
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
