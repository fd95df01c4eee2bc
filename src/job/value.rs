//! A value of the job file, read and checked for its kind.

use crate::units::{Quantity, Range};
use std::fmt;

/// What a key holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    Quantity(Quantity),
    Range(Range),
    Count(i64),
    /// A plain number: a factor, joules.
    Number(f64),
    YesNo(bool),
    /// Free text, a name, or one of several choices.
    Text(String),
    Date(jiff::civil::Date),
    Texts(Vec<String>),
    /// `none`, `none, built in`: an answer, and not the same as silence.
    None(String),
}

impl Value {
    /// The number in base units; counts as they are.
    pub fn number(&self) -> Option<f64> {
        match self {
            Value::Quantity(q) => Some(q.base()),
            Value::Count(n) => Some(*n as f64),
            Value::Number(n) => Some(*n),
            _ => None,
        }
    }
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Quantity(q) => q.fmt(f),
            Value::Range(r) => r.fmt(f),
            Value::Count(n) => n.fmt(f),
            Value::Number(n) => n.fmt(f),
            Value::YesNo(true) => f.write_str("yes"),
            Value::YesNo(false) => f.write_str("no"),
            Value::Text(text) | Value::None(text) => f.write_str(text),
            Value::Date(date) => date.fmt(f),
            Value::Texts(texts) => f.write_str(&texts.join(", ")),
        }
    }
}
