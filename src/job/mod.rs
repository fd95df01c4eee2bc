//! The job as the planner means it, with its cable, kit, lug and boots resolved
//! from the library, and every value at its place.

mod credible;
mod form;
mod item_form;
mod library;
mod load;
mod offers;
mod read;
pub mod schema;
mod value;

pub use form::{NoForm, forms, fresh};
pub use library::{Item, Library};
pub use load::{Loaded, load, load_as_found};
pub use read::nearest;
pub use value::Value;

use crate::finding::Place;
use crate::source::Source;
use schema::{Key, Kind, Mark, Shelf};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A value with the source and pointer it was read from.
#[derive(Clone, Debug)]
pub struct Given {
    pub value: Value,
    pub source: usize,
    pub pointer: String,
}

/// An acceptance as written in the job file.
#[derive(Clone, Debug)]
pub struct Acceptance {
    pub rule: String,
    pub check: Option<String>,
    pub figures: BTreeMap<String, String>,
    pub name: String,
    pub role: String,
    pub reason: String,
    pub date: String,
    /// Index in the file's list.
    pub at: usize,
}

/// One job, read whole.
#[derive(Clone, Debug)]
pub struct Job {
    given: BTreeMap<String, Given>,
    /// Number of entries of each list of groups.
    lists: BTreeMap<String, usize>,
    figures: BTreeMap<String, BTreeMap<String, String>>,
    /// Source of each shelf's item, where one was named and found.
    items: BTreeMap<Shelf, usize>,
    /// Items of the library that may do, for each shelf of which none is named.
    offers: BTreeMap<Shelf, String>,
}

impl Job {
    /// The value given under a dotted name, `kit.sct.recovered`.
    pub fn get(&self, name: &str) -> Option<&Value> {
        self.given.get(name).map(|g| &g.value)
    }

    pub fn given(&self, name: &str) -> Option<&Given> {
        self.given.get(name)
    }

    /// The value's text, or nothing.
    pub fn text(&self, name: &str) -> Option<String> {
        self.get(name).map(Value::to_string)
    }

    /// The job without what is given under these dotted names: for what is kept of many.
    pub fn without(mut self, groups: &[&str]) -> Job {
        let within = |name: &str| {
            groups.iter().any(|group| name.strip_prefix(group).is_some_and(|rest| rest.starts_with('.')))
        };
        self.given.retain(|name, _| !within(name));
        self
    }

    /// Entries of a list of groups (`crew`, `isolation.points`).
    pub fn count(&self, list: &str) -> usize {
        self.lists.get(list).copied().unwrap_or(0)
    }

    /// Whether the list is written at all, be it empty.
    pub fn has_list(&self, list: &str) -> bool {
        self.lists.contains_key(list)
    }

    /// Entries of a list of groups, each by its keys.
    pub fn entries(&self, list: &str) -> Vec<BTreeMap<String, Value>> {
        (0..self.count(list))
            .map(|i| {
                let prefix = format!("{list}.{i}.");
                let own =
                    self.given.range(prefix.clone()..).take_while(|(name, _)| name.starts_with(&prefix));
                own.map(|(name, given)| (name[prefix.len()..].to_string(), given.value.clone())).collect()
            })
            .collect()
    }

    /// Figures written under a dotted name, by fact.
    pub fn figures(&self, name: &str) -> Vec<(&String, &String)> {
        self.figures.get(name).into_iter().flatten().collect()
    }

    /// Whether an item of this shelf is named and was found.
    pub fn names(&self, shelf: Shelf) -> bool {
        self.items.contains_key(&shelf)
    }

    /// What there is to choose from on a shelf of which the job names nothing, as one
    /// sentence of help; empty where it names an item.
    pub fn offers(&self, shelf: Shelf) -> String {
        self.offers.get(&shelf).cloned().unwrap_or_default()
    }

    /// Every given text, for the check of its characters.
    pub fn texts(&self) -> impl Iterator<Item = (&str, &Given)> {
        self.given.iter().map(|(name, given)| (name.as_str(), given))
    }

    /// The acceptances, in file order.
    pub fn acceptances(&self) -> Vec<Acceptance> {
        (0..self.count("acceptances"))
            .map(|at| {
                let part = |key: &str| self.text(&format!("acceptances.{at}.{key}"));
                Acceptance {
                    rule: part("rule").unwrap_or_default(),
                    check: part("check"),
                    figures: self
                        .figures
                        .get(&format!("acceptances.{at}.figures"))
                        .cloned()
                        .unwrap_or_default(),
                    name: part("name").unwrap_or_default(),
                    role: part("role").unwrap_or_default(),
                    reason: part("reason").unwrap_or_default(),
                    date: part("date").unwrap_or_default(),
                    at,
                }
            })
            .collect()
    }

    /// Where `name` is written, or where it ought to be.
    pub fn place(&self, name: &str, label: impl Into<String>) -> Place {
        if let Some(given) = self.given.get(name) {
            return Place::value(given.source, given.pointer.clone(), label);
        }
        let pointer = format!("/{}", name.replace('.', "/"));
        let top = name.split('.').next().unwrap_or(name);
        let shelf = match top {
            "kit" => Some(Shelf::Kits),
            "lug" => Some(Shelf::Lugs),
            "boots" => Some(Shelf::Boots),
            "cable" => Some(Shelf::Cables),
            _ => None,
        };
        match shelf.and_then(|s| self.items.get(&s)) {
            Some(source) => {
                let inner = pointer.strip_prefix(&format!("/{top}")).unwrap_or(&pointer);
                Place::value(*source, inner, label)
            }
            None => Place::value(0, pointer, label),
        }
    }
}

/// Every leaf key of the schema by its dotted name, list entries left out.
pub fn leaf_keys() -> &'static BTreeMap<&'static str, &'static Key> {
    fn walk(prefix: &str, keys: &'static [Key], out: &mut BTreeMap<&'static str, &'static Key>) {
        for key in keys {
            let name =
                if prefix.is_empty() { key.name.to_string() } else { format!("{prefix}.{}", key.name) };
            match key.kind {
                Kind::Group(inner) => walk(&name, inner, out),
                Kind::Item(shelf) => {
                    if name != "cable.library" {
                        walk(&name, shelf.keys(), out);
                    }
                    out.insert(name.leak(), key);
                }
                Kind::Figures => {}
                _ => {
                    out.insert(name.leak(), key);
                }
            }
        }
    }
    // Built once for the whole run: every job walks along it.
    static KEYS: LazyLock<BTreeMap<&'static str, &'static Key>> = LazyLock::new(|| {
        let mut out = BTreeMap::new();
        walk("", schema::JOB, &mut out);
        out
    });
    &KEYS
}

/// What is answered to a question of the job file, in the fewest words: choices,
/// units or an example; empty where any text will do.
pub fn takes(name: &str) -> String {
    credible::key_called(name).map_or_else(String::new, |key| key.hint().replace('\u{a0}', " "))
}

/// Mark of the figure given under `name`; the job's own word over a library
/// value keeps the library key's mark.
pub fn mark_of(name: &str) -> Option<Mark> {
    leaf_keys().get(name).map(|key| key.mark)
}

/// Sources of a job: the job file first, then its library items.
pub type Sources = Vec<Source>;
