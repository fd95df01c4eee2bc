//! One thing that rules ask about, with its facts and their places.

use crate::facts::{Fact, Gap, Sheet};
use crate::job::Value;
use crate::job::schema::Mark;
use std::collections::BTreeMap;

/// A reading, a point, a photograph, a phase, or the whole record.
#[derive(Clone, Default)]
pub struct Item {
    pub sheet: Sheet,
    /// The answer each fact was read from.
    pub from: BTreeMap<String, String>,
    /// The item's own place in the record.
    pub at: String,
}

impl Item {
    pub(super) fn new(at: impl Into<String>) -> Item {
        Item { at: at.into(), ..Item::default() }
    }

    fn put(&mut self, name: &str, value: Option<(Value, String)>, from: &str) {
        let title = super::names::title(name);
        debug_assert!(title.is_some(), "`{name}` is made and not declared");
        let (value, text) = match value {
            Some((value, text)) => (Ok(value), text),
            None => (Err(Gap::Missing(vec![from.to_string()])), "not answered".to_string()),
        };
        self.from.insert(name.to_string(), from.to_string());
        self.sheet.add(Fact {
            name: name.to_string().into(),
            title: title.unwrap_or(name).to_string().into(),
            value,
            text,
            mark: Mark::Computed,
            def: None,
            at: Vec::new(),
        });
    }

    /// A fact that nobody can answer here, and why.
    pub(super) fn absent(&mut self, name: &str, why: &str, from: &str) -> &mut Item {
        self.put(name, None, from);
        if let Some(mut fact) = self.sheet.get(name).cloned() {
            fact.value = Err(Gap::Refused { code: "not-at-hand".into(), why: why.into() });
            self.sheet.replace(fact);
        }
        self
    }

    /// A word; nothing is a question not answered.
    pub(super) fn word(&mut self, name: &str, value: Option<String>, from: &str) -> &mut Item {
        self.put(name, value.map(|t| (Value::Text(t.clone()), t)), from);
        self
    }

    pub(super) fn yes(&mut self, name: &str, value: Option<bool>, from: &str) -> &mut Item {
        self.put(name, value.map(|b| (Value::YesNo(b), if b { "yes" } else { "no" }.into())), from);
        self
    }

    /// A number, shown with its unit.
    pub(super) fn number(&mut self, name: &str, value: Option<f64>, unit: &str, from: &str) -> &mut Item {
        let show = |v: f64| format!("{} {unit}", super::view::plain(v)).trim_end().to_string();
        self.put(name, value.map(|v| (Value::Number(v), show(v))), from);
        self
    }
}
