//! How a figure looks on paper: the one place where the form of numbers, units and dates
//! follows a language.
//!
//! A number becomes text once, by [`fixed`](super::fixed) and the printing of a
//! [`Quantity`](super::Quantity), in the form a job file is written in: `24.8 mm`. Rules,
//! conditions, the record and machines know that form only. A [`Style`] turns it into the
//! form of a printed page, and never the other way: nothing reads a styled figure back.

use serde::Deserialize;
use std::collections::BTreeMap;

/// The figures of one language.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Style {
    /// Decimal sign.
    pub decimal: String,
    /// What parts thousands, and from how many whole digits on.
    pub group: String,
    pub group_from: usize,
    /// Sign of a figure below nought.
    pub minus: String,
    /// Between a number and its unit.
    pub unit_space: String,
    /// `DD`, `MM` and `YYYY` in their order.
    pub date: String,
    /// `about 420 J`.
    pub about: String,
    /// `24.0 to 34.0 mm`.
    pub to: String,
    /// Units that look otherwise here; the others stay as they are.
    pub units: BTreeMap<String, String>,
}

impl Style {
    /// A printed figure, `about 0.27 uF/km` or `24.0 to 34.0 mm`, in this style.
    pub fn figure(&self, text: &str) -> String {
        let words: Vec<&str> = text.split(' ').collect();
        let mut out = String::new();
        let mut after_number = false;
        for (i, word) in words.iter().enumerate() {
            let next = words.get(i + 1).copied().unwrap_or("");
            let number = is_number(word);
            let shown = match *word {
                _ if number => self.number(word),
                "about" if is_number(next) => self.about.clone(),
                "to" if i > 0 && is_number(next) => self.to.clone(),
                unit => self.units.get(unit).cloned().unwrap_or_else(|| unit.to_string()),
            };
            if i > 0 {
                match (after_number && *word != "to", shown.as_str()) {
                    // A degree stands at its figure.
                    (true, "°") => {}
                    (true, _) => out.push_str(&self.unit_space),
                    (false, _) => out.push(' '),
                }
            }
            out.push_str(&shown);
            after_number = number;
        }
        out
    }

    /// A plain number, `-1234.5`.
    pub fn number(&self, text: &str) -> String {
        let (sign, digits) = text.strip_prefix('-').map_or(("", text), |d| (self.minus.as_str(), d));
        let (whole, places) = digits.split_once('.').map_or((digits, None), |(w, p)| (w, Some(p)));
        let mut out = sign.to_string();
        let grouped = !self.group.is_empty() && whole.len() >= self.group_from;
        for (i, digit) in whole.chars().enumerate() {
            if grouped && i > 0 && (whole.len() - i).is_multiple_of(3) {
                out.push_str(&self.group);
            }
            out.push(digit);
        }
        if let Some(places) = places {
            out.push_str(&self.decimal);
            out.push_str(places);
        }
        out
    }

    /// A date, `2031-04-28`; any other text stays as it is.
    pub fn date(&self, text: &str) -> String {
        let parts: Vec<&str> = text.split('-').collect();
        match parts.as_slice() {
            [year, month, day]
                if text.len() == 10 && parts.iter().all(|p| p.bytes().all(|b| b.is_ascii_digit())) =>
            {
                self.date.replace("YYYY", year).replace("MM", month).replace("DD", day)
            }
            _ => text.to_string(),
        }
    }

    /// The numbers that a sentence in this style has among its words, in the form of a file.
    pub fn numbers(&self, text: &str) -> Vec<String> {
        let mut out = Vec::new();
        let mut rest = text;
        while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
            rest = &rest[start..];
            let mut number = String::new();
            loop {
                let digits = rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len());
                number.push_str(&rest[..digits]);
                rest = &rest[digits..];
                let goes_on = |mark: &str| {
                    rest.strip_prefix(mark)
                        .filter(|r| !mark.is_empty() && r.starts_with(|c: char| c.is_ascii_digit()))
                };
                if let Some(after) = goes_on(&self.decimal).filter(|_| !number.contains('.')) {
                    number.push('.');
                    rest = after;
                } else if let Some(after) = goes_on(&self.group) {
                    rest = after;
                } else {
                    break;
                }
            }
            out.push(number);
        }
        out
    }
}

/// A plain decimal number with nothing beside it.
fn is_number(word: &str) -> bool {
    let digits = word.strip_prefix('-').unwrap_or(word);
    let mut parts = digits.split('.');
    let whole = |p: &str| !p.is_empty() && p.bytes().all(|b| b.is_ascii_digit());
    parts.next().is_some_and(whole) && parts.next().is_none_or(whole) && parts.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn german() -> Style {
        Style {
            decimal: ",".into(),
            group: "\u{202f}".into(),
            group_from: 5,
            minus: "\u{2212}".into(),
            unit_space: "\u{a0}".into(),
            date: "DD.MM.YYYY".into(),
            about: "etwa".into(),
            to: "bis".into(),
            units: [("C", "°C"), ("deg", "°"), ("uF/km", "µF/km"), ("rms", "eff.")]
                .map(|(a, b)| (a.to_string(), b.to_string()))
                .into(),
        }
    }

    #[test]
    fn a_figure_takes_the_form_of_its_language() {
        let style = german();
        for (from, to) in [
            ("24.8 mm", "24,8\u{a0}mm"),
            ("24.0 to 34.0 mm", "24,0 bis 34,0\u{a0}mm"),
            ("1 km to 2 km", "1\u{a0}km bis 2\u{a0}km"),
            ("-5 C", "\u{2212}5\u{a0}°C"),
            ("30 deg", "30°"),
            ("about 0.27 uF/km", "etwa 0,27\u{a0}µF/km"),
            ("12.7 kV rms", "12,7\u{a0}kV eff."),
            ("1234 V", "1234\u{a0}V"),
            ("12500 V", "12\u{202f}500\u{a0}V"),
            ("1234567.25", "1\u{202f}234\u{202f}567,25"),
        ] {
            assert_eq!(style.figure(from), to);
        }
        assert_eq!(style.date("2031-04-28"), "28.04.2031");
        assert_eq!(style.date("not answered"), "not answered");
    }

    #[test]
    fn numbers_among_words_are_found_in_the_form_of_a_file() {
        let style = german();
        assert_eq!(
            style.numbers("mindestens 0,5 m, nach EN 50110-1 12\u{202f}500 V"),
            ["0.5", "50110", "1", "12500"]
        );
        assert_eq!(style.numbers("5, 6"), ["5", "6"]);
    }
}
