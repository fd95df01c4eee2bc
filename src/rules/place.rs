//! Places of a finding: the figure it is about, the figures it is held against,
//! and the job that brought in a library item.

use super::entry::Check;
use super::subject::Subject;
use crate::finding::Place;
use crate::job::Sources;

pub(super) fn of_check(check: &Check, subject: &dyn Subject, sources: &Sources) -> Vec<Place> {
    let mut places = vec![subject.place(&check.at, &check.title)];
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
