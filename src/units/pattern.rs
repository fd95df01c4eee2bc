//! The forms that a file may use, as patterns (ECMA-262) for a JSON Schema.
//!
//! They say what [`Quantity::parse`](super::Quantity::parse) and
//! [`Range::parse`](super::Range::parse) read, but for what no pattern can say:
//! the size of a number, and which of two is the lower.

use super::Dimension;

const NUMBER: &str = r"([0-9]+\.?[0-9]*|\.[0-9]+)";

impl Dimension {
    /// Names of the units that a file may use, the base unit first.
    pub fn unit_names(self) -> impl Iterator<Item = &'static str> {
        self.units().iter().map(|unit| unit.name)
    }

    /// The dimension as a plain word: `length`.
    pub fn word(self) -> &'static str {
        self.article().split_once(' ').map_or("", |(_, word)| word)
    }

    /// One quantity: `640 mm`.
    pub fn pattern(self) -> String {
        let sign = if self.may_be_negative() { "-?" } else { "" };
        format!("^{sign}{NUMBER}{}$", self.unit_pattern())
    }

    /// Two quantities: `24.0 to 34.0 mm`; the first may carry its unit too.
    pub fn range_pattern(self) -> String {
        let unit = self.unit_pattern();
        let sign = if self.may_be_negative() { "-?" } else { "" };
        format!(r"^{sign}{NUMBER}({unit})?\s* to \s*{sign}{NUMBER}{unit}$")
    }

    fn unit_pattern(self) -> String {
        let names: Vec<String> = self.unit_names().map(|name| name.replace('.', r"\.")).collect();
        let nature = if self == Dimension::Voltage { r"(\s* (rms|peak))?" } else { "" };
        format!(r"\s*({}){nature}", names.join("|"))
    }
}
