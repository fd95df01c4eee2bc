//! Places of a finding: the figure it is about, the figures it is held against,
//! and the job that brought in a library item.

use super::entry::Check;
use super::subject::Subject;
use crate::facts::Sheet;
use crate::finding::{Part, Place};
use crate::job::Sources;

/// More questions of one finding than these are told in words only.
const MOST: usize = 3;

pub(super) fn of_check(check: &Check, sheet: &Sheet, subject: &dyn Subject, sources: &Sources) -> Vec<Place> {
    // Where a figure names what it finds fault with, the place is there.
    let named: Vec<&String> =
        check.figures.iter().filter_map(|f| sheet.get(f)).flat_map(|f| &f.at).take(MOST).collect();
    let mut places: Vec<Place> = named.iter().map(|name| open(name, "open", subject, sources)).collect();
    if places.is_empty() {
        places.push(open(&check.at, &check.title, subject, sources));
    }
    for (name, label) in &check.also {
        if subject.has(name) {
            places.push(subject.place(name, label));
        }
    }
    // A value of a library file says which job used it.
    for source in places.iter().map(|p| p.source).filter(|s| *s > 0).collect::<Vec<_>>() {
        let Some(named) = item_key(source, sources) else { continue };
        // Across jobs the sources of one follow those of another.
        let item = |i: &usize| sources.get(*i).is_some_and(|s| s.name().starts_with("library/"));
        let job = (0..source).rev().find(|i| !item(i)).unwrap_or(0);
        if !places.iter().any(|p| p.source == job && p.pointer == named) {
            places.push(Place::value(job, named, "used here"));
        }
    }
    places
}

/// What stands behind a key; the key itself where nothing does.
fn open(name: &str, label: &str, subject: &dyn Subject, sources: &Sources) -> Place {
    let mut place = subject.place(name, label);
    if !subject.has(name) && sources.get(place.source).is_some_and(|s| s.has(&place.pointer)) {
        place.part = Part::Key;
    }
    place
}

/// The key of the job file that named the library item of `source`.
fn item_key(source: usize, sources: &Sources) -> Option<String> {
    let name = sources.get(source)?.name();
    let shelf = name.split('/').rev().nth(1)?;
    Some(
        match shelf {
            "cables" => "/cable/library",
            "kits" => "/kit",
            "lugs" => "/lug",
            "boots" => "/boots",
            _ => return None,
        }
        .to_string(),
    )
}
