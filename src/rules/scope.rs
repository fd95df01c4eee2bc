//! The facts of a sheet as expressions and sentences see them: looked up by
//! dotted name where one is read, never copied as a whole.

use crate::facts::{Fact, Sheet};
use minijinja::value::{Enumerator, Object, Value};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::ops::Bound;
use std::sync::Arc;

/// What a fact is to an expression; nothing where it has no answer.
type Leaf = fn(&Fact) -> Option<Value>;

/// The root of all names, or one branch of it (`kit.sct`).
pub(super) struct Scope {
    facts: Arc<BTreeMap<Cow<'static, str>, Fact>>,
    leaf: Leaf,
    /// Texts that stand in the place of a fact's own.
    instead: Arc<BTreeMap<String, String>>,
    branch: String,
}

impl Scope {
    /// Values, for conditions.
    pub fn values(sheet: &Sheet) -> Value {
        Scope::root(sheet, raw, BTreeMap::new())
    }

    /// Printed texts, for sentences; `instead` holds some that print otherwise.
    pub fn texts(sheet: &Sheet, instead: BTreeMap<String, String>) -> Value {
        Scope::root(sheet, |fact| Some(Value::from(fact.text.as_str())), instead)
    }

    fn root(sheet: &Sheet, leaf: Leaf, instead: BTreeMap<String, String>) -> Value {
        let branch = String::new();
        Value::from_object(Scope { facts: sheet.shared(), leaf, instead: Arc::new(instead), branch })
    }
}

impl fmt::Debug for Scope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "facts under `{}`", self.branch)
    }
}

impl Object for Scope {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        let key = key.as_str()?;
        let mut name = match self.branch.as_str() {
            "" => key.to_string(),
            branch => format!("{branch}.{key}"),
        };
        name.push('.');
        let from = (Bound::Included(name.as_str()), Bound::Unbounded);
        // `kit` names an item and holds its keys: the keys win.
        if self.facts.range::<str, _>(from).next().is_some_and(|(at, _)| at.starts_with(&name)) {
            name.pop();
            return Some(Value::from_object(Scope {
                facts: self.facts.clone(),
                leaf: self.leaf,
                instead: self.instead.clone(),
                branch: name,
            }));
        }
        name.pop();
        match self.instead.get(&name) {
            Some(text) => Some(Value::from(text.as_str())),
            None => self.facts.get(name.as_str()).and_then(self.leaf),
        }
    }

    fn enumerate(self: &Arc<Self>) -> Enumerator {
        Enumerator::NonEnumerable
    }
}

/// A fact as conditions see it. Noise of 1e-6 is taken off numbers, so that
/// limits are inclusive whatever the last bit of a sum says.
fn raw(fact: &Fact) -> Option<Value> {
    use crate::job::Value as Given;
    Some(match fact.value.as_ref().ok()? {
        Given::Quantity(q) => Value::from((q.base() * 1e6).round() / 1e6),
        Given::Count(n) => Value::from(*n),
        Given::Number(n) => Value::from((n * 1e6).round() / 1e6),
        Given::YesNo(yes) => Value::from(*yes),
        Given::Texts(texts) => texts.iter().map(String::as_str).collect(),
        Given::None(_) => Value::from("none"),
        other => Value::from(other.to_string()),
    })
}
