//! How a computed fact is declared, and what it sees while it is worked out.

use super::context::Context;
use super::sheet::{Fact, Sheet};
use crate::job::Value;
use crate::job::schema::Mark;
use crate::units::{Quantity, Rounding, fixed};
use std::collections::BTreeMap;

/// Why a fact has no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Gap {
    /// These given facts are not answered.
    Missing(Vec<String>),
    /// The model gives no figure: its code and its reason.
    Refused { code: String, why: String },
}

impl Gap {
    fn join(self, other: Gap) -> Gap {
        match (self, other) {
            (Gap::Missing(mut a), Gap::Missing(b)) => {
                a.extend(b);
                a.sort();
                a.dedup();
                Gap::Missing(a)
            }
            (missing @ Gap::Missing(_), _) | (_, missing @ Gap::Missing(_)) => missing,
            (refused, _) => refused,
        }
    }
}

/// How a computed fact prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// A length with this many decimals, to nearest.
    Mm(usize),
    /// A length as it was chosen: whole where it is whole, else one decimal.
    Chosen,
    /// A length that is needed: rounds up to whole mm.
    MmUp,
    /// A length between two stations: whole mm, from the chain rounded once.
    Station,
    Kv(usize),
    Factor,
    /// A current that is there: rounds down to 0.01 kA.
    KaDown,
    /// Volts, one decimal; the number itself stays in kV.
    Volts,
    Minutes,
    /// A figure of a model that is good for two digits: `about 420 J`.
    About(&'static str),
    /// A figure with this many decimals, this unit and this rounding.
    Figure(usize, &'static str, Rounding),
    /// A word or a yes and no: as it is.
    Word,
}

/// One computed fact.
pub struct Def {
    pub name: &'static str,
    pub title: &'static str,
    pub formula: &'static str,
    /// Every fact the computation reads; it is given no other.
    pub inputs: &'static [&'static str],
    pub mark: Mark,
    pub show: Show,
    /// A sentence for `explain`, where the formula does not say enough.
    pub meaning: &'static str,
    pub compute: fn(&Inputs) -> Result<Out, Gap>,
}

/// What a computation gives.
#[derive(Clone, Debug, PartialEq)]
pub enum Out {
    Number(f64),
    /// A station length: exact, and as printed after the chain's one rounding.
    Rounded(f64, i64),
    Word(String),
    Count(usize),
    YesNo(bool),
    /// What is left open, each in words and by the given fact it belongs to.
    Open(Vec<(String, String)>),
    /// There is no such figure, and that is the answer.
    None(&'static str),
}

/// The facts a computation may read: those it declared, and no other.
pub struct Inputs<'a> {
    names: &'static [&'static str],
    sheet: &'a Sheet,
    pub(super) context: &'a Context,
}

impl Inputs<'_> {
    fn fact(&self, name: &'static str) -> Option<&Fact> {
        debug_assert!(self.names.contains(&name), "`{name}` is read but not declared as an input");
        self.sheet.get(name)
    }

    fn value(&self, name: &'static str) -> Result<&Value, Gap> {
        match self.fact(name).map(|f| &f.value) {
            Some(Ok(value)) => Ok(value),
            Some(Err(gap)) => Err(gap.clone()),
            None => Err(Gap::Missing(vec![name.to_string()])),
        }
    }

    /// The number in its base unit.
    pub fn number(&self, name: &'static str) -> Result<f64, Gap> {
        let value = self.value(name)?;
        value.number().ok_or_else(|| Gap::Missing(vec![name.to_string()]))
    }

    /// Several numbers, with everything missing named at once.
    pub fn numbers<const N: usize>(&self, names: [&'static str; N]) -> Result<[f64; N], Gap> {
        let mut out = [0.0; N];
        let mut gap: Option<Gap> = None;
        for (slot, name) in out.iter_mut().zip(names) {
            match self.number(name) {
                Ok(number) => *slot = number,
                Err(found) => {
                    gap = Some(match gap {
                        Some(before) => before.join(found),
                        None => found,
                    })
                }
            }
        }
        gap.map_or(Ok(out), Err)
    }

    /// A figure that shapes no core: a limit or the distance of a wall. The
    /// facts that rest on it declare it and name it when it is missing; the
    /// layout takes it along for them, whoever asks first.
    pub(super) fn aside(&self, name: &str) -> Option<f64> {
        self.sheet.number(name)
    }

    pub(super) fn aside_word(&self, name: &str) -> Option<String> {
        self.sheet.get(name)?.value.as_ref().ok().map(Value::to_string)
    }

    /// The number, or nothing where it is not answered.
    pub fn maybe(&self, name: &'static str) -> Option<f64> {
        self.number(name).ok()
    }

    pub fn word(&self, name: &'static str) -> Result<String, Gap> {
        Ok(self.value(name)?.to_string())
    }

    /// The fact as it prints.
    pub fn printed(&self, name: &'static str) -> String {
        self.fact(name).map_or_else(|| "not answered".into(), |fact| fact.text.clone())
    }

    pub fn yes(&self, name: &'static str) -> Result<bool, Gap> {
        match self.value(name)? {
            Value::YesNo(yes) => Ok(*yes),
            _ => Err(Gap::Missing(vec![name.to_string()])),
        }
    }

    /// Both ends of a range, in base units.
    pub fn range(&self, name: &'static str) -> Result<(f64, f64), Gap> {
        match self.value(name)? {
            Value::Range(range) => Ok((range.low.base(), range.high.base())),
            _ => Err(Gap::Missing(vec![name.to_string()])),
        }
    }

    /// Entries of a list of groups, by their keys.
    pub fn entries(&self, list: &'static str) -> Result<&[BTreeMap<String, Value>], Gap> {
        self.value(list)?;
        Ok(self.sheet.entries(list))
    }

    /// Whether the fact has a value at all.
    pub fn answered(&self, name: &'static str) -> bool {
        self.value(name).is_ok()
    }
}

/// A refusal of a model, as a gap.
pub fn refused(code: &str, why: impl ToString) -> Gap {
    Gap::Refused { code: code.to_string(), why: why.to_string() }
}

impl Def {
    pub(super) fn work_out(&'static self, sheet: &Sheet, context: &Context) -> Fact {
        let out = (self.compute)(&Inputs { names: self.inputs, sheet, context });
        let out = out.and_then(|out| match out {
            // A figure that is no number is a fault of the inputs, never printed.
            Out::Number(n) | Out::Rounded(n, _) if !n.is_finite() => {
                Err(refused("not-a-number", "the figures given lead to no finite number"))
            }
            other => Ok(other),
        });
        let mut at = Vec::new();
        let (value, text) = match out {
            Ok(Out::Number(n)) => {
                let quantity = self.quantity(n);
                (Ok(quantity.0), quantity.1)
            }
            Ok(Out::Rounded(exact, shown)) => {
                (Ok(Value::Quantity(Quantity::mm(exact, 0))), format!("{shown} mm"))
            }
            Ok(Out::Word(word)) => (Ok(Value::Text(word.clone())), word),
            Ok(Out::Open(open)) => {
                let words = listed(&open);
                at = open.into_iter().map(|(_, at)| at).collect();
                (Ok(Value::Text(words.clone())), words)
            }
            Ok(Out::Count(n)) => (Ok(Value::Count(n as i64)), n.to_string()),
            Ok(Out::YesNo(yes)) => (Ok(Value::YesNo(yes)), Value::YesNo(yes).to_string()),
            Ok(Out::None(why)) => (Ok(Value::None(why.to_string())), why.to_string()),
            Err(gap) => (Err(gap), "not answered".to_string()),
        };
        Fact {
            name: self.name.into(),
            title: self.title.into(),
            value,
            text,
            mark: self.mark,
            def: Some(self),
            at,
        }
    }

    fn quantity(&self, n: f64) -> (Value, String) {
        match self.show {
            Show::Mm(decimals) => {
                let q = Quantity::mm(n, decimals);
                (Value::Quantity(q), q.to_string())
            }
            Show::Chosen => {
                let decimals = if (n - n.round()).abs() < 1e-6 { 0 } else { 1 };
                let q = Quantity::mm(n, decimals);
                (Value::Quantity(q), q.to_string())
            }
            Show::MmUp => (Value::Quantity(Quantity::mm(n, 0)), format!("{} mm", fixed(n, 0, Rounding::Up))),
            Show::Station => {
                let q = Quantity::mm(n, 0);
                (Value::Quantity(q), q.to_string())
            }
            Show::Kv(decimals) => {
                let q = Quantity::kv(n, decimals);
                (Value::Quantity(q), q.to_string())
            }
            Show::KaDown => {
                let text = format!("{} kA", fixed(n, 2, Rounding::Down));
                (Value::Quantity(Quantity::of(crate::units::Dimension::Current, n, 2)), text)
            }
            Show::Volts => {
                let text = format!("{} V", fixed(n * 1000.0, 1, Rounding::Nearest));
                (Value::Quantity(Quantity::kv(n, 4)), text)
            }
            Show::Minutes => {
                let text = format!("{} min", fixed(n / 60.0, 0, Rounding::Nearest));
                (Value::Quantity(Quantity::of(crate::units::Dimension::Time, n, 0)), text)
            }
            Show::About(unit) => {
                let (rounded, decimals) = two_digits(n);
                (Value::Number(n), format!("about {} {unit}", fixed(rounded, decimals, Rounding::Nearest)))
            }
            Show::Figure(decimals, unit, rounding) => {
                (Value::Number(n), format!("{} {unit}", fixed(n, decimals, rounding)))
            }
            Show::Factor | Show::Word => {
                let text = fixed(n, 3, Rounding::Nearest);
                (Value::Number(n), text)
            }
        }
    }
}

/// More open questions than these are counted, not named.
const NAMED: usize = 15;

fn listed(open: &[(String, String)]) -> String {
    let mut words: Vec<&str> = open.iter().take(NAMED).map(|(words, _)| words.as_str()).collect();
    let more = open.len().saturating_sub(NAMED);
    let more = format!("and {more} more");
    if open.len() > NAMED {
        words.push(&more);
    }
    words.join("; ")
}

/// A figure to two significant digits, and the decimals that show them.
fn two_digits(n: f64) -> (f64, usize) {
    if n == 0.0 || !n.is_finite() {
        return (n, 0);
    }
    let tens = n.abs().log10().floor() as i32 - 1;
    let step = 10f64.powi(tens);
    ((n / step).round() * step, usize::try_from(-tens).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::two_digits;

    #[test]
    fn a_model_prints_two_digits() {
        for (n, text) in [(419.9, "420"), (11.62, "12"), (8.06, "8.1"), (0.2712, "0.27"), (0.0344, "0.034")] {
            let (rounded, decimals) = two_digits(n);
            assert_eq!(format!("{rounded:.decimals$}"), text);
        }
    }
}
