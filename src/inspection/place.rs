//! One thing a row asks of, with its facts and where each is written: the
//! as-found file is the first source, the job and its library items follow.

use crate::facts::{Fact, Gap, Sheet};
use crate::finding::Place;
use crate::job::schema::Mark;
use crate::job::{Job, Value};
use crate::rules::Subject;
use crate::units::Quantity;
use std::collections::BTreeMap;

/// Where a fact comes from.
#[derive(Clone, Copy)]
pub(super) enum From<'n> {
    /// A key of the as-found file.
    Found(&'n str),
    /// A key of the job or its library.
    Job(&'n str),
}

#[derive(Clone, Default)]
pub(super) struct Item {
    pub sheet: Sheet,
    places: BTreeMap<String, (bool, String)>,
    /// The item's own group in the as-found file.
    pub at: String,
}

impl Item {
    pub fn new(at: &str) -> Item {
        Item { at: at.into(), ..Item::default() }
    }

    /// A value with its text, or why there is none.
    pub fn put(&mut self, name: &str, value: Result<(Value, String), Gap>, from: From) -> &mut Item {
        let title = super::names::title(name);
        debug_assert!(title.is_some(), "`{name}` is made and not declared");
        let (value, text) = match value {
            Ok((value, text)) => (Ok(value), text),
            Err(gap) => (Err(gap), "not answered".to_string()),
        };
        let place = match from {
            From::Found(key) => (true, key.to_string()),
            From::Job(key) => (false, key.to_string()),
        };
        self.places.insert(name.into(), place);
        self.sheet.add(Fact {
            name: name.to_string().into(),
            title: title.unwrap_or(name).to_string().into(),
            value,
            text,
            mark: Mark::Computed,
            def: None,
            at: Vec::new(),
        });
        self
    }

    pub fn mm(&mut self, name: &str, value: Result<f64, Gap>, from: From) -> &mut Item {
        let value = value.map(|mm| {
            let q = Quantity::mm(mm, if (mm - mm.round()).abs() < 1e-6 { 0 } else { 1 });
            (Value::Quantity(q), q.to_string())
        });
        self.put(name, value, from)
    }

    pub fn kv(&mut self, name: &str, value: Result<f64, Gap>, from: From) -> &mut Item {
        let value = value.map(|kv| {
            let decimals = if (kv - kv.round()).abs() < 1e-6 { 0 } else { 1 };
            let q = Quantity::kv(kv, decimals);
            (Value::Quantity(q), q.to_string())
        });
        self.put(name, value, from)
    }

    pub fn word(&mut self, name: &str, value: Result<String, Gap>, from: From) -> &mut Item {
        self.put(name, value.map(|t| (Value::Text(t.clone()), t)), from)
    }

    pub fn yes(&mut self, name: &str, value: Result<bool, Gap>, from: From) -> &mut Item {
        self.put(name, value.map(|y| (Value::YesNo(y), Value::YesNo(y).to_string())), from)
    }

    /// The item's facts with those of the whole end.
    pub fn with(&self, whole: &Item) -> Item {
        let mut out = self.clone();
        for fact in whole.sheet.iter() {
            out.sheet.add(fact.clone());
        }
        for (name, place) in &whole.places {
            out.places.entry(name.clone()).or_insert_with(|| place.clone());
        }
        out
    }
}

/// An item among the files it is written in.
pub(super) struct Thing<'a> {
    pub item: &'a Item,
    pub found: &'a Job,
    pub job: &'a Job,
}

impl Subject for Thing<'_> {
    fn place(&self, fact: &str, label: &str) -> Place {
        match self.item.places.get(fact) {
            Some((false, key)) => in_job(self.job, key, label),
            Some((true, key)) => self.found.place(key, label),
            // A missing answer goes by its own key; a fact that is not written
            // anywhere by the item's group.
            None if is_found(fact) => self.found.place(fact, label),
            None if fact.contains('.') => in_job(self.job, fact, label),
            None => self.found.place(&self.item.at, label),
        }
    }

    fn has(&self, fact: &str) -> bool {
        match self.item.places.get(fact) {
            Some((false, key)) => self.job.get(key).is_some(),
            Some((true, key)) => self.found.get(key).is_some(),
            None => false,
        }
    }
}

/// Whether a dotted name is a key of an as-found file.
fn is_found(name: &str) -> bool {
    let top = name.split('.').next().unwrap_or(name);
    crate::job::schema::AS_FOUND.iter().any(|k| k.name == top)
}

/// A place of the job, its sources standing behind the as-found file.
fn in_job(job: &Job, key: &str, label: &str) -> Place {
    let place = job.place(key, label);
    Place { source: place.source + 1, ..place }
}
