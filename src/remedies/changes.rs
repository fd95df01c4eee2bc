//! What a setting of the search changes in the job file.

use super::edit::{Change, filled};
use super::offer::Offer;
use super::ways::Ways;
use crate::calc::{Remedy, Settings};
use crate::job::Job;
use crate::units::{Rounding, fixed};

/// Keys whose figures the search moves; every other change of a way is the same
/// at each of its settings.
pub(super) const MOVED: [&str; 6] = [
    "layout.insulation_exposed",
    "layout.crutch_height",
    "layout.entry_pitch",
    "layout.crutch_below_plate",
    "layout.plate_as_drilled",
    "enclosure.gland_to_stud",
];

/// Changes of the job for one set of ways at one setting, in order.
pub(super) fn changes(
    job: &Job,
    ways: &Ways,
    offer: &Offer,
    set: &[Remedy],
    settings: &Settings,
) -> Vec<Change> {
    let mut out: Vec<Change> = Vec::new();
    let name = |remedy: Remedy| ways.way(remedy).map_or_else(String::new, |way| way.name.clone());
    let mut put = |key: &str, to: String, why: String| {
        if job.text(key).as_deref() != Some(to.as_str()) {
            out.push(Change { key: key.into(), to: Some(to), why });
        }
    };
    let mut exposed = settings.insulation_exposed_mm;
    if let Some(code) = &settings.kit {
        put("kit", code.clone(), name(Remedy::OtherKit));
        if let Some(kit) = offer.kit(code) {
            exposed = exposed.or_else(|| {
                // A length chosen for the old kit says nothing about the new one.
                job.get("layout.insulation_exposed").map(|_| kit.insulation_exposed_mm)
            });
            let work_type = job.text("job.work_type").unwrap_or_default();
            if let Some(to) = offer.technique(code).and_then(|t| ways.work_type(&work_type, t)) {
                put("job.work_type", to, "the new kit's technique".into());
            }
        }
    }
    if set.contains(&Remedy::CoreOrder) {
        put("layout.core_to_stud", "1 2 3".into(), name(Remedy::CoreOrder));
    }
    if let Some(extension) = settings.extension_mm {
        let height = offer.input.layout.box_.gland_to_stud_mm + extension;
        put(
            "enclosure.gland_to_stud",
            mm(height),
            format!("{} of {}", name(Remedy::Extension), mm(extension)),
        );
    }
    if let Some(height) = settings.crutch_height_mm {
        put("layout.crutch_height", mm(height), name(Remedy::CrutchLower));
    }
    if let Some(pitch) = settings.entry_pitch_mm {
        let outside = set.contains(&Remedy::CrutchOutside);
        let why = name(if outside { Remedy::CrutchOutside } else { Remedy::EntriesMoved });
        if outside {
            put("layout.crutch", "outside".into(), why.clone());
        }
        put("layout.entry_pitch", mm(pitch), why.clone());
        if let Some(depth) = settings.crutch_below_plate_mm {
            put("layout.crutch_below_plate", mm(depth), why);
        }
    }
    if let Some(exposed) = exposed {
        let by = if settings.insulation_exposed_mm.is_some() { Remedy::EdgeUp } else { Remedy::OtherKit };
        put("layout.insulation_exposed", mm(exposed), name(by));
    }
    for way in set.iter().filter_map(|remedy| ways.way(*remedy)) {
        for also in &way.also {
            if also.only_with.as_ref().is_some_and(|key| !out.iter().any(|change| change.key == *key)) {
                continue;
            }
            let now = job.text(&also.set).or_else(|| job.text(&format!("{}.type", also.set)));
            if now.as_ref().is_some_and(|now| also.unless.contains(now)) {
                continue;
            }
            if also.to.is_none() && now.is_none() {
                continue;
            }
            let to = also.to.as_ref().map(|to| with_changes(to, job, &out));
            out.push(Change { key: also.set.clone(), to, why: also.why.clone() });
        }
    }
    out
}

/// `{name}` filled from the changes made so far, else from the job.
fn with_changes(template: &str, job: &Job, made: &[Change]) -> String {
    let mut text = template.to_string();
    for change in made {
        if let Some(to) = &change.to {
            text = text.replace(&format!("{{{}}}", change.key), to);
        }
    }
    filled(&text, job)
}

/// A length as a job file writes it.
pub(super) fn mm(mm: f64) -> String {
    let decimals = if (mm - mm.round()).abs() < 1e-6 { 0 } else { 1 };
    format!("{} mm", fixed(mm, decimals, Rounding::Nearest))
}
