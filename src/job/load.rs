//! From a job's text to a [`Job`]: both readers, then the library.

use super::library::Sound;
use super::schema::{AS_FOUND, JOB, Key, Kind, Shelf};
use super::{Given, Job, Library, Sources, Value, credible, offers, read};
use crate::finding::{Finding, Place, ReadingCode};
use crate::source::Source;
use serde_yaml::Value as Tree;
use std::collections::BTreeMap;

/// What came of reading a job file: its sources, the job if it is one, and
/// every trouble met.
#[derive(Debug)]
pub struct Loaded {
    pub sources: Sources,
    pub job: Option<Job>,
    pub findings: Vec<Finding>,
}

/// Reads the text of a job file called `name` and the items it names.
pub fn load(name: &str, text: String, library: &Library) -> Loaded {
    let mut loaded = Loaded { sources: Vec::new(), job: None, findings: Vec::new() };
    let Some(mut reading) = read_by(&mut loaded, name, text, JOB, "job") else {
        return loaded;
    };
    for item in ["boots", "kit"] {
        if let Some(none) = reading.given.get(item).filter(|g| matches!(g.value, Value::None(_))).cloned() {
            // "No boots" is an answer that rules and sentences read like a code; so
            // is a kit that nobody knows any more.
            reading.given.insert(format!("{item}.code"), none);
        }
    }
    let mut items = BTreeMap::new();
    for (name, shelf) in [
        ("cable.library", Shelf::Cables),
        ("kit", Shelf::Kits),
        ("lug", Shelf::Lugs),
        ("boots", Shelf::Boots),
    ] {
        let Some(named) = reading.given.get(name).cloned() else { continue };
        let Value::Text(item) = &named.value else { continue };
        let prefix = if shelf == Shelf::Cables { "cable" } else { name };
        if let Some((id, given)) = fetch(&mut loaded, library, shelf, item, &named, prefix) {
            items.insert(shelf, id);
            for (name, value) in given {
                // A measured value in the job stands over the library's.
                reading.given.entry(name).or_insert(value);
            }
        }
    }
    loaded.findings.extend(credible::check(&reading.given));
    let offers = offers::of_each_shelf(library, &reading.given, &items);
    loaded.job =
        Some(Job { given: reading.given, lists: reading.lists, figures: reading.figures, items, offers });
    loaded
}

/// Reads the text of an as-found file called `name`.
pub fn load_as_found(name: &str, text: String) -> Loaded {
    let mut loaded = Loaded { sources: Vec::new(), job: None, findings: Vec::new() };
    let Some(reading) = read_by(&mut loaded, name, text, AS_FOUND, "found") else {
        return loaded;
    };
    loaded.findings.extend(credible::check_as_found(&reading.given));
    loaded.job = Some(Job {
        given: reading.given,
        lists: reading.lists,
        figures: reading.figures,
        items: BTreeMap::new(),
        offers: BTreeMap::new(),
    });
    loaded
}

/// Reads one file by its table; `head` is the group that says whose file it is.
fn read_by(
    loaded: &mut Loaded,
    name: &str,
    text: String,
    table: &'static [Key],
    head: &str,
) -> Option<read::Reading> {
    let (id, tree) = parse(loaded, name, text, head, None)?;
    let mut reading = read::read(&loaded.sources[id], id, &tree, table, "");
    for group in table.iter().filter(|k| k.name == head) {
        // Left out or left empty: the walk along the keys never came there.
        if tree.get(head).is_none_or(Tree::is_null)
            && let Kind::Group(keys) = group.kind
        {
            for key in keys.iter().filter(|k| k.required) {
                let place = Place::value(0, format!("/{head}"), format!("no group `{head}`"));
                reading.findings.push(Finding::reading(
                    ReadingCode::MissingKey,
                    format!("`{head}.{}` ({}) is missing", key.name, key.title),
                    format!("Write it under `{head}:`, like `{}: {}`.", key.name, key.sample()),
                    place,
                ));
            }
        }
    }
    loaded.findings.append(&mut reading.findings);
    Some(reading)
}

fn fetch(
    loaded: &mut Loaded,
    library: &Library,
    shelf: Shelf,
    item: &str,
    named: &Given,
    prefix: &str,
) -> Option<(usize, BTreeMap<String, Given>)> {
    let place = Place::value(named.source, named.pointer.clone(), "named here");
    let found = match library.fetch(shelf, item) {
        Ok(found) => found,
        Err((message, help)) => {
            loaded.findings.push(Finding::reading(ReadingCode::NotInLibrary, message, help, place));
            return None;
        }
    };
    if let Some(sound) = library.sound(shelf, item, &found.text) {
        let id = loaded.sources.len();
        loaded.sources.push(sound.source.clone());
        let given =
            sound.given.iter().map(|(name, given)| (name.clone(), Given { source: id, ..given.clone() }));
        return Some((id, given.collect()));
    }
    let before = loaded.findings.len();
    let (id, tree) = parse(loaded, &found.name, found.text, "job", Some(&place))?;
    let reading = read::read(&loaded.sources[id], id, &tree, shelf.keys(), prefix);
    loaded.findings.extend(reading.findings);
    for finding in &mut loaded.findings[before..] {
        if !finding.places.iter().any(|p| p.source == place.source) {
            finding.places.push(Place { label: "used by this job".into(), ..place.clone() });
        }
    }
    if let Some(own) = reading.given.get("cable.library") {
        let place = Place::value(id, own.pointer.clone(), "another item");
        loaded.findings.push(Finding::reading(
            ReadingCode::NotInLibrary,
            format!("the library item `{}` is built on another item", found.name),
            "Write the item out in full: a library never leads on, and so never in a circle.",
            place,
        ));
    }
    if let Some(code) = reading.given.get(&format!("{prefix}.code"))
        && code.value.to_string() != item
    {
        let own = Place::value(id, "/code", "another code");
        let mut finding = Finding::reading(
            ReadingCode::NotInLibrary,
            format!("the file `{}` holds the item `{}`", found.name, code.value),
            "Name the file after the code it holds.",
            own,
        );
        finding.places.push(place);
        loaded.findings.push(finding);
    }
    if loaded.findings.len() == before {
        library.keep(shelf, item, Sound { source: loaded.sources[id].clone(), given: reading.given.clone() });
    }
    Some((id, reading.given))
}

/// Indexes the text, then reads it as values; pushes the source either way.
fn parse(
    loaded: &mut Loaded,
    name: &str,
    text: String,
    head: &str,
    used_by: Option<&Place>,
) -> Option<(usize, Tree)> {
    let id = loaded.sources.len();
    let (source, error) = Source::read(name, text);
    let trouble = |at: std::ops::Range<usize>, message: String, help: String| {
        let mut place = Place::value(id, "", "here");
        place.bytes = Some(at);
        let mut finding = Finding::reading(ReadingCode::NotReadable, message, help, place);
        finding.places.extend(used_by.cloned().map(|p| Place { label: "used by this job".into(), ..p }));
        finding
    };
    if let Some(error) = error {
        let finding = trouble(error.at, error.message, error.help);
        loaded.findings.push(finding);
        loaded.sources.push(source);
        return None;
    }
    let tree = serde_yaml::from_str::<Tree>(source.text());
    let outcome = match tree {
        Ok(tree) if tree.is_mapping() => Some(tree),
        Ok(_) => {
            let finding = trouble(
                0..source.text().lines().next().map_or(0, str::len),
                "the file holds no groups of keys".into(),
                format!("It starts with `{head}:` and keys below it."),
            );
            loaded.findings.push(finding);
            None
        }
        Err(error) => {
            let at = error.location().map_or(0, |l| l.index().min(source.text().len()));
            let end =
                source.text().get(at..).and_then(|t| t.chars().next()).map_or(at, |c| at + c.len_utf8());
            let finding = trouble(
                at..end,
                format!("not readable as YAML: {error}"),
                "Check indentation, quotes and colons on this line and the one above.".into(),
            );
            loaded.findings.push(finding);
            None
        }
    };
    loaded.sources.push(source);
    outcome.map(|tree| (id, tree))
}
