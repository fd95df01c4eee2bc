//! Reading a quantity, and saying how to write it when it is not one.

use super::{Dimension, Nature, Quantity, Range, Unit};
use std::fmt;

/// Why a text is not the quantity it should be. Shows as one sentence with an
/// example of the right form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitError(String);

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for UnitError {}

fn error(text: &str, wrong: &str, wanted: Dimension) -> UnitError {
    UnitError(format!("`{}` {wrong}; write {} like `{}`", shorten(text), wanted.article(), wanted.example()))
}

/// Untrusted text in a message stays short.
fn shorten(text: &str) -> String {
    let mut out: String = text.chars().take(40).collect();
    if text.chars().count() > 40 {
        out.push('…');
    }
    out
}

impl Quantity {
    /// Reads `text` as a quantity of `wanted`.
    ///
    /// Plain decimals only: no exponent, no decimal comma, no sign but a minus.
    pub fn parse(text: &str, wanted: Dimension) -> Result<Quantity, UnitError> {
        let text = text.trim();
        let end = number_end(text);
        let (number, rest) = text.split_at(end);
        let rest = rest.trim_start();
        if number.is_empty() {
            return Err(error(text, &format!("is not {}", wanted.article()), wanted));
        }
        if rest.starts_with(',') {
            return Err(error(text, "has a decimal comma", wanted));
        }
        let Ok(value) = number.parse::<f64>() else {
            return Err(error(text, "does not start with a plain number", wanted));
        };
        if value.abs() > 1e9 || number.len() > 16 {
            return Err(error(text, "is out of any sensible range", wanted));
        }
        if rest.is_empty() {
            return Err(error(text, "has no unit", wanted));
        }
        let (name, nature) = split_nature(rest, wanted);
        let Some(unit) = find(wanted, name) else {
            let wrong = match Dimension::ALL.iter().find(|d| find(**d, name).is_some()) {
                Some(other) => {
                    format!("is {}, and {} belongs here", other.article(), wanted.article())
                }
                None => format!("has an unknown unit `{}`", shorten(name)),
            };
            return Err(error(text, &wrong, wanted));
        };
        let decimals = number.split_once('.').map_or(0, |(_, places)| places.len());
        let mut quantity = Quantity::new(wanted, value * unit.in_base, unit.name, decimals);
        quantity.nature = nature;
        Ok(quantity)
    }
}

impl Range {
    /// Reads `24.0 to 34.0 mm`; the first number may carry the unit too.
    pub fn parse(text: &str, wanted: Dimension) -> Result<Range, UnitError> {
        let Some((low, high)) = text.split_once(" to ") else {
            let unit = wanted.units()[0].name;
            return Err(UnitError(format!(
                "`{}` is not a range; write it like `24.0 to 34.0 {unit}`",
                shorten(text.trim())
            )));
        };
        let high_q = Quantity::parse(high, wanted)?;
        let low = low.trim();
        let low_q = if number_end(low) == low.len() {
            Quantity::parse(&format!("{low} {}", high_q.unit), wanted)?
        } else {
            Quantity::parse(low, wanted)?
        };
        if low_q.base > high_q.base {
            return Err(UnitError(format!(
                "`{}` runs downward; write the lower figure first",
                shorten(text.trim())
            )));
        }
        Ok(Range { low: low_q, high: high_q })
    }
}

fn find(dimension: Dimension, name: &str) -> Option<&'static Unit> {
    dimension.units().iter().find(|u| u.name == name)
}

fn number_end(text: &str) -> usize {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let mut seen_point = false;
    let length = digits
        .find(|c: char| {
            let point = c == '.' && !seen_point;
            seen_point |= c == '.';
            !(c.is_ascii_digit() || point)
        })
        .unwrap_or(digits.len());
    if length == 0 {
        return 0;
    }
    text.len() - digits.len() + length
}

fn split_nature(unit: &str, wanted: Dimension) -> (&str, Nature) {
    if wanted == Dimension::Voltage {
        if let Some(name) = unit.strip_suffix(" rms") {
            return (name.trim_end(), Nature::Rms);
        }
        if let Some(name) = unit.strip_suffix(" peak") {
            return (name.trim_end(), Nature::Peak);
        }
    }
    (unit, Nature::Unstated)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(text: &str) -> Result<f64, String> {
        Quantity::parse(text, Dimension::Length).map(|q| q.base()).map_err(|e| e.to_string())
    }

    #[test]
    fn reads_and_shows_itself_as_written() {
        for text in ["640 mm", "1.2 m", "16.0 mm", "0 mm", "-3 mm"] {
            let q = Quantity::parse(text, Dimension::Length).unwrap();
            assert_eq!(q.to_string(), text);
        }
        assert_eq!(length("1.2 m"), Ok(1200.0));
        assert_eq!(length("64cm"), Ok(640.0));
        let v = Quantity::parse("125 kV peak", Dimension::Voltage).unwrap();
        assert_eq!((v.nature(), v.to_string().as_str()), (Nature::Peak, "125 kV peak"));
        let r = Range::parse("24.0 to 34.0 mm", Dimension::Length).unwrap();
        assert_eq!(r.to_string(), "24.0 to 34.0 mm");
    }

    #[test]
    fn says_how_to_write_it() {
        assert_eq!(length("640"), Err("`640` has no unit; write a length like `640 mm`".into()));
        assert_eq!(
            length("22 kV"),
            Err("`22 kV` is a voltage, and a length belongs here; write a length like `640 mm`".into())
        );
        assert_eq!(
            length("9 inches"),
            Err("`9 inches` has an unknown unit `inches`; write a length like `640 mm`".into())
        );
        assert!(length("1,5 mm").unwrap_err().contains("decimal comma"));
        for bad in [
            "",
            "mm",
            "1e3 mm",
            "NaN mm",
            "inf mm",
            "1.2.3 mm",
            "--1 mm",
            "99999999999999999999 mm",
            ". mm",
            "１ mm",
        ] {
            assert!(length(bad).is_err(), "{bad} was accepted");
        }
        assert!(Range::parse("34 to 24 mm", Dimension::Length).is_err());
    }
}
