//! Rules at their limits: a fact exactly at the limit, and a hair beyond it.
//! The table is data, `tests/limits.yaml`.

use crate::support::{BOOK, judge, root};
use cutback::cli::Judged;
use cutback::facts::Sheet;
use cutback::finding::Grade;
use cutback::job::Value;
use cutback::units::Quantity;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// One limit of one check.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Limit {
    rule: String,
    check: String,
    job: String,
    fact: String,
    limit: serde_yaml::Value,
    side: Side,
    /// What it comes to at the limit; nothing: it passes.
    at: Option<Comes>,
    beyond: Comes,
    /// Facts without which the limit is not the one that decides.
    #[serde(default)]
    with: BTreeMap<String, serde_yaml::Value>,
}

/// What a check comes to, as the table writes it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Comes {
    Advises,
    Asks,
    Blocks,
}

impl From<Grade> for Comes {
    fn from(grade: Grade) -> Self {
        match grade {
            Grade::Advises => Self::Advises,
            Grade::Asks => Self::Asks,
            Grade::Blocks => Self::Blocks,
        }
    }
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Side {
    Below,
    Above,
}

/// The table, and what each line's job is at the limit and beyond it.
static LIMITS: LazyLock<Vec<(Limit, [Judged; 2])>> = LazyLock::new(|| {
    let text = std::fs::read_to_string(root().join("tests/limits.yaml")).expect("the table");
    let limits: Vec<Limit> = serde_yaml::from_str(&text).expect("a table of limits");
    limits
        .into_iter()
        .map(|limit| {
            let both = [limit.set(0.0), limit.set(1.0)];
            (limit, both)
        })
        .collect()
});

/// Jobs exactly at a limit and a hair beyond it, by the rule's code.
pub fn at_limits(rule: &str) -> impl Iterator<Item = &'static Judged> {
    LIMITS.iter().filter(move |(limit, _)| limit.rule == rule).flat_map(|(_, both)| both)
}

/// A figure of the fact's own kind.
fn figure(sheet: &Sheet, fact: &str, base: f64) -> Value {
    match sheet.get(fact).map(|f| &f.value) {
        Some(Ok(Value::Quantity(q))) => Value::Quantity(Quantity::of(q.dimension(), base, 3)),
        Some(Ok(Value::Number(_))) => Value::Number(base),
        // What has no figure in this job: a length.
        _ => Value::Quantity(Quantity::mm(base, 3)),
    }
}

/// A hair beyond: far more than the slack of judging, far less than is printed.
fn beyond(value: Value, side: Side) -> Value {
    let way = match side {
        Side::Below => -1.0,
        Side::Above => 1.0,
    };
    match value {
        Value::Quantity(q) => {
            let base = q.base() + way * 1e-4 * q.base().abs().max(1.0);
            Value::Quantity(Quantity::of(q.dimension(), base, 6))
        }
        Value::Number(n) => Value::Number(n + way * 1e-4 * n.abs().max(1.0)),
        Value::Date(day) => {
            let next = if way < 0.0 { day.yesterday() } else { day.tomorrow() };
            Value::Date(next.expect("a day"))
        }
        other => panic!("no figure: {other}"),
    }
}

impl Limit {
    /// The job with the fact at the limit, or beyond it where `hair` is not nought.
    fn set(&self, hair: f64) -> Judged {
        let mut judged = judge(&self.job);
        let (job, sheet, judgement) = judged.judged.as_mut().expect("a job that reads");
        let value = match &self.limit {
            serde_yaml::Value::Number(n) => figure(sheet, &self.fact, n.as_f64().expect("a figure")),
            serde_yaml::Value::String(name) => {
                let limit = sheet.get(name).unwrap_or_else(|| panic!("no fact {name}"));
                limit.value.clone().unwrap_or_else(|_| panic!("{}: {name} is not answered", self.job))
            }
            other => panic!("a limit is a fact or a figure: {other:?}"),
        };
        let value = if hair == 0.0 { value } else { beyond(value, self.side) };
        let mut put = |name: &str, value: Value| {
            let mut fact = sheet.get(name).unwrap_or_else(|| panic!("no fact {name}")).clone();
            (fact.text, fact.value) = (value.to_string(), Ok(value));
            sheet.replace(fact);
        };
        for (name, given) in &self.with {
            let value = match given {
                serde_yaml::Value::Number(n) => {
                    Value::Quantity(Quantity::mm(n.as_f64().expect("a figure"), 0))
                }
                serde_yaml::Value::Bool(yes) => Value::YesNo(*yes),
                serde_yaml::Value::String(word) if word == "none" => Value::None(word.clone()),
                serde_yaml::Value::String(word) => Value::Text(word.clone()),
                other => panic!("{other:?}"),
            };
            put(name, value);
        }
        put(&self.fact, value);
        *judgement = BOOK.judge(sheet, job, &judged.sources);
        judged
    }

    fn comes_to(&self, judged: &Judged) -> Result<Option<Comes>, String> {
        let (_, _, judgement) = judged.judged.as_ref().expect("a job that reads");
        let own = |code: &str, check: &str| code == self.rule && check == self.check;
        if let Some(silent) = judgement.not_judged.iter().find(|n| own(&n.code, &n.check)) {
            return Err(format!("not judged: {}", silent.why));
        }
        if !judgement.judged.contains(&self.rule) {
            return Err("the rule does not apply".into());
        }
        Ok(judgement.findings.iter().filter(|f| own(&f.code, &f.check)).map(|f| Comes::from(f.grade)).max())
    }
}

#[test]
fn each_limit_lies_on_its_own_side() {
    let mut wrong = Vec::new();
    for (limit, [at, past]) in LIMITS.iter() {
        for (place, judged, wanted) in [("at", at, limit.at), ("beyond", past, Some(limit.beyond))] {
            let came = limit.comes_to(judged);
            if came != Ok(wanted) {
                let Limit { rule, check, job, fact, .. } = limit;
                wrong.push(format!("{rule} {check}, {job}, {fact} {place}: {came:?}, not {wanted:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(LIMITS.len() > 50, "{} limits", LIMITS.len());
}
