//! One thing that is judged across jobs: its facts, and where they are written.

use super::group::Member;
use super::names::COMPARED;
use crate::facts::{Fact, Gap, Sheet};
use crate::finding::Place;
use crate::job::Value;
use crate::job::schema::Mark;
use crate::rules::Subject;
use std::collections::BTreeMap;

/// Facts and, by name, the job and key that each is written at.
#[derive(Default)]
pub(super) struct Item {
    pub sheet: Sheet,
    from: BTreeMap<String, (usize, String)>,
}

impl Item {
    /// Two jobs side by side, as `one` and `other`.
    pub fn of_two(members: &[Member], one: usize, other: usize) -> Item {
        let mut item = Item::default();
        for (side, at) in [("one", one), ("other", other)] {
            let member = &members[at];
            item.word(&format!("{side}.file"), "job file", member.file, at, "job");
            for name in COMPARED {
                item.copy(&format!("{side}.{name}"), member, at, name);
            }
        }
        item
    }

    /// The job's own fact under another name.
    pub fn copy(&mut self, name: &str, member: &Member, at: usize, own: &str) {
        if let Some(fact) = member.sheet.get(own) {
            let value = fact.value.clone().map_err(|_| Gap::Missing(vec![name.to_string()]));
            self.sheet.add(Fact { name: name.to_string().into(), value, ..fact.clone() });
            self.from.insert(name.to_string(), (at, own.to_string()));
        }
    }

    pub fn word(&mut self, name: &str, title: &str, text: &str, at: usize, key: &str) {
        self.put(name, title, Ok(Value::Text(text.to_string())), at, key);
    }

    pub fn yes(&mut self, name: &str, title: &str, yes: Result<bool, Gap>, at: usize, key: &str) {
        self.put(name, title, yes.map(Value::YesNo), at, key);
    }

    /// A fact across jobs, pointing at `key` of the job `at`.
    pub fn put(&mut self, name: &str, title: &str, value: Result<Value, Gap>, at: usize, key: &str) {
        let text = value.as_ref().map_or_else(|_| "not answered".to_string(), Value::to_string);
        let fact = Fact {
            name: name.to_string().into(),
            title: title.to_string().into(),
            value,
            text,
            mark: Mark::Computed,
            def: None,
            at: Vec::new(),
        };
        self.sheet.add(fact);
        self.from.insert(name.to_string(), (at, key.to_string()));
    }

    pub fn thing<'a>(&'a self, members: &'a [Member<'a>], first: &'a [usize]) -> Thing<'a> {
        Thing { item: self, members, first }
    }
}

/// An item with the files its facts are written in.
pub(super) struct Thing<'a> {
    item: &'a Item,
    members: &'a [Member<'a>],
    /// Number of each member's first source.
    first: &'a [usize],
}

impl Subject for Thing<'_> {
    fn place(&self, fact: &str, label: &str) -> Place {
        let side = |name: &str| self.item.from.keys().find(|k| k.starts_with(&format!("{name}."))).cloned();
        let (at, key) = self
            .item
            .from
            .get(fact)
            .cloned()
            .or_else(|| {
                // Another key of one of the two jobs.
                let (name, key) = fact.split_once('.')?;
                Some((self.item.from.get(&side(name)?)?.0, key.to_string()))
            })
            .unwrap_or((0, fact.to_string()));
        let mut place = self.members[at].job.place(&key, label);
        place.source += self.first[at];
        place
    }

    fn has(&self, fact: &str) -> bool {
        self.item.from.contains_key(fact)
    }
}
