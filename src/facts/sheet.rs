//! The facts of one job, by name.

use super::context::Geometry;
use super::def::{Def, Gap};
use crate::calc::Layout;
use crate::job::schema::{Kind, Mark};
use crate::job::{Job, Value, leaf_keys};
use crate::units::{ALIKE, Rounding, decimals_that_differ, fixed};
use serde_json::{Map, Value as Json};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One named value, or why there is none.
#[derive(Clone)]
pub struct Fact {
    pub name: Cow<'static, str>,
    pub title: Cow<'static, str>,
    pub value: Result<Value, Gap>,
    /// As printed, with unit; "not answered" where there is no value.
    pub text: String,
    pub mark: Mark,
    /// The declaration of a computed fact.
    pub def: Option<&'static Def>,
    /// Given facts it finds fault with, where it names them one by one.
    pub at: Vec<String>,
}

impl Fact {
    /// Number in base units, where the fact is one.
    pub fn number(&self) -> Option<f64> {
        self.value.as_ref().ok().and_then(Value::number)
    }
}

/// All facts of a job.
#[derive(Clone, Default)]
pub struct Sheet {
    /// Shared with whoever reads names out of it.
    facts: Arc<BTreeMap<Cow<'static, str>, Fact>>,
    order: Vec<Cow<'static, str>>,
    /// Entries of the lists, each by its keys.
    lists: BTreeMap<String, Vec<BTreeMap<String, Value>>>,
    /// The layout as planned, possible or not.
    pub(super) layout: Option<Layout>,
    /// The judged layout, for the drawings.
    pub(super) geometry: Option<Arc<Geometry>>,
}

impl Sheet {
    pub(super) fn given(job: &Job) -> Sheet {
        let mut sheet = Sheet::default();
        for (&name, key) in leaf_keys() {
            if let Kind::List(_) = key.kind {
                sheet.lists.insert(name.to_string(), job.entries(name));
            }
            let value = match key.kind {
                Kind::List(_) => job.has_list(name).then(|| Value::Count(job.count(name) as i64)),
                _ => job.get(name).cloned(),
            };
            if let Kind::Range(_) = key.kind {
                sheet.range_ends(name, key.title, key.mark, value.as_ref());
            }
            sheet.insert(Fact {
                text: value.as_ref().map_or_else(|| "not answered".into(), Value::to_string),
                title: key.title.into(),
                value: value.ok_or_else(|| Gap::Missing(vec![name.to_string()])),
                mark: key.mark,
                name: name.into(),
                def: None,
                at: Vec::new(),
            });
        }
        sheet
    }

    fn range_ends(&mut self, name: &str, title: &str, mark: Mark, value: Option<&Value>) {
        for (end, words) in super::RANGE_ENDS {
            let fact = format!("{name}{end}");
            let one = match value {
                Some(Value::Range(range)) => Some(if end == "_low" { range.low } else { range.high }),
                _ => None,
            };
            self.insert(Fact {
                text: one.map_or_else(|| "not answered".into(), |q| q.to_string()),
                title: format!("{title}, {words}").into(),
                value: one.map(Value::Quantity).ok_or_else(|| Gap::Missing(vec![name.to_string()])),
                mark,
                name: fact.into(),
                def: None,
                at: Vec::new(),
            });
        }
    }

    /// Entries of a list of groups (`crew`, `isolation.points`), by their keys.
    pub fn entries(&self, list: &str) -> &[BTreeMap<String, Value>] {
        self.lists.get(list).map_or(&[], Vec::as_slice)
    }

    /// Adds a fact worked out elsewhere, of a completed record.
    pub fn add(&mut self, fact: Fact) {
        self.insert(fact);
    }

    /// Puts a fact in the place of one of the same name.
    pub fn replace(&mut self, fact: Fact) {
        Arc::make_mut(&mut self.facts).insert(fact.name.clone(), fact);
    }

    pub(super) fn insert(&mut self, fact: Fact) {
        self.order.push(fact.name.clone());
        Arc::make_mut(&mut self.facts).insert(fact.name.clone(), fact);
    }

    /// All facts by name, shared.
    pub fn shared(&self) -> Arc<BTreeMap<Cow<'static, str>, Fact>> {
        self.facts.clone()
    }

    pub fn get(&self, name: &str) -> Option<&Fact> {
        self.facts.get(name)
    }

    /// The printed text; "not answered" where there is none.
    pub fn text(&self, name: &str) -> &str {
        self.facts.get(name).map_or("not answered", |f| f.text.as_str())
    }

    /// The layout as planned, possible or not; nothing where the job or its kit
    /// leaves it open.
    pub fn layout(&self) -> Option<&Layout> {
        self.layout.as_ref()
    }

    pub fn number(&self, name: &str) -> Option<f64> {
        self.facts.get(name).and_then(Fact::number)
    }

    pub fn is_yes(&self, name: &str) -> bool {
        matches!(self.facts.get(name).map(|f| &f.value), Some(Ok(Value::YesNo(true))))
    }

    /// Given facts first by name, then computed ones in working order.
    pub fn iter(&self) -> impl Iterator<Item = &Fact> {
        self.order.iter().filter_map(|name| self.facts.get(name))
    }

    /// A copy without one fact, as if it had not been answered: the proof that
    /// a rule does not pass in silence.
    pub fn without(&self, name: &str) -> Sheet {
        let mut sheet = self.clone();
        if let Some(fact) = Arc::make_mut(&mut sheet.facts).get_mut(name) {
            fact.value = Err(Gap::Missing(vec![name.to_string()]));
            fact.text = "not answered".into();
        }
        sheet
    }

    /// The facts named and no others, without the layout.
    pub fn only<'n>(&self, names: impl Iterator<Item = &'n str>) -> Sheet {
        let mut sheet = Sheet { lists: self.lists.clone(), ..Sheet::default() };
        names.filter_map(|name| self.get(name)).for_each(|fact| sheet.insert(fact.clone()));
        sheet
    }

    /// Texts of two figures that never look alike while they differ, and how much the
    /// first is more, in base units.
    pub fn texts_beside(&self, actual: &str, limit: &str) -> Option<(String, String, f64)> {
        let (a, l) = (self.get(actual)?, self.get(limit)?);
        let (Ok(Value::Quantity(qa)), Ok(Value::Quantity(ql))) = (&a.value, &l.value) else { return None };
        let margin = qa.base() - ql.base();
        if a.text != l.text || margin.abs() < ALIKE {
            return Some((a.text.clone(), l.text.clone(), margin));
        }
        // The texts are alike, so their unit is the same.
        let size = qa.dimension().size_in(&a.text);
        let decimals = decimals_that_differ(qa.base() / size, ql.base() / size, 1);
        let unit = a.text.split_once(' ').map_or("mm", |(_, unit)| unit);
        let show = |n: f64| format!("{} {unit}", fixed(n / size, decimals, Rounding::Nearest));
        Some((show(qa.base()), show(ql.base()), margin))
    }

    /// Texts of a figure and its limit, and the margin between them in their own unit: below
    /// nought on the failing side, which is above the limit where `most`.
    pub fn margin(&self, actual: &str, limit: &str, most: bool) -> Option<(String, String, String)> {
        let (a, l, more) = self.texts_beside(actual, limit)?;
        let Ok(Value::Quantity(figure)) = &self.get(actual)?.value else { return None };
        let margin = figure.dimension().difference(if most { -more } else { more }, [&a, &l]);
        Some((a, l, margin))
    }

    /// All facts as a tree by dotted name, each leaf as `leaf` makes it; leaves
    /// that give nothing are left out.
    pub fn tree(&self, leaf: impl Fn(&Fact) -> Option<Json>) -> Json {
        let mut root = Map::new();
        for fact in self.facts.values() {
            let Some(value) = leaf(fact) else { continue };
            let mut map = &mut root;
            let mut parts = fact.name.split('.').peekable();
            while let Some(part) = parts.next() {
                if parts.peek().is_none() {
                    map.entry(part).or_insert(value);
                    break;
                }
                let next = map.entry(part).or_insert_with(|| Json::Object(Map::new()));
                if !next.is_object() {
                    // `kit` names an item and holds its keys: the keys win.
                    *next = Json::Object(Map::new());
                }
                match next {
                    Json::Object(inner) => map = inner,
                    _ => break,
                }
            }
        }
        Json::Object(root)
    }
}
