//! Puts figures into sentences. A finished sentence is a list of segments, so
//! that the layout can set a figure in bold without ever parsing text; a value
//! of the job stays a value, whatever characters it holds.

use super::pack::Segment;
use super::told;
use crate::facts::Sheet;
use crate::language::Language;
use crate::units::{Dimension, Quantity};
use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value};
use serde_json::Value as Json;
use std::collections::BTreeSet;

// Private-use characters set the pieces apart; a job value that holds one is
// refused before it comes here, because no font has a glyph for it.
const FIGURE: char = '\u{e000}';
const CUT: char = '\u{e001}';
const END: char = '\u{e002}';
const BLANK: char = '\u{e003}';

/// Under this name the facts stand once more, as another language prints them.
const TOLD: &str = "told";

/// Two figures of one unit, the unit once: `88 to 92 mm`.
pub(super) fn range(low: &str, high: &str) -> String {
    let unit = |text: &str| text.split_once(' ').map(|(_, unit)| unit.to_string());
    match (low.split_once(' '), unit(high)) {
        (Some((number, unit)), Some(same)) if unit == same => format!("{number} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// The number of a printed figure in its base unit, `1.2 m` as 1200; what is not
/// answered is beyond every limit, so that a condition on it does not hide.
fn base(text: &str) -> f64 {
    let quantity = || Dimension::ALL.into_iter().find_map(|d| Quantity::parse(text, d).ok());
    text.parse().ok().or_else(|| quantity().map(|q| q.base())).unwrap_or(f64::INFINITY)
}

/// Renders sentences over one job's facts.
pub(super) struct Words {
    env: Environment<'static>,
    /// The same, where what `{{ }}` puts in is marked off from the words. A condition
    /// in a sentence sees the plain text in both.
    marking: Environment<'static>,
    /// Facts as printed; in `open` a blank stands for what is not answered.
    plain: Value,
    open: Value,
}

pub(super) fn environment() -> Environment<'static> {
    let mut env = Environment::new();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.add_filter("cut", |text: String| text);
    env.add_filter("to", |low: String, high: String| range(&low, &high));
    env.add_filter("base", |text: String| base(&text));
    env
}

fn marking() -> Environment<'static> {
    let mut env = environment();
    env.add_filter(
        "cut",
        |text: String| {
            if text.contains(BLANK) { text } else { format!("{CUT}{text}{END}") }
        },
    );
    env.set_formatter(|out, state, value| match value.as_str() {
        Some(text) if text.starts_with([CUT, BLANK]) => Ok(out.write_str(text)?),
        Some(text) => Ok(write!(out, "{FIGURE}{text}{END}")?),
        None => minijinja::escape_formatter(out, state, value),
    });
    env
}

impl Words {
    /// With the facts as they print in `language` beside those that conditions compare.
    pub fn telling(sheet: &Sheet, language: &Language) -> Words {
        let mut plain = sheet.tree(|fact| Some(Json::String(fact.text.clone())));
        plain[TOLD] = sheet.tree(|fact| Some(Json::String(told::shown(fact, language))));
        Words { plain: Value::from(Serde(plain)), ..Words::new(sheet) }
    }

    pub fn new(sheet: &Sheet) -> Words {
        let open = sheet.tree(|fact| {
            Some(Json::String(match &fact.value {
                Ok(_) => fact.text.clone(),
                Err(_) => BLANK.to_string(),
            }))
        });
        let plain = sheet.tree(|fact| Some(Json::String(fact.text.clone())));
        Words {
            env: environment(),
            marking: marking(),
            plain: Value::from(Serde(plain)),
            open: Value::from(Serde(open)),
        }
    }

    /// The sentence as segments.
    pub fn rich(&self, template: &str) -> Result<Vec<Segment>, String> {
        let text = self.marking.render_str(template, self.open.clone()).map_err(|e| e.to_string())?;
        Ok(segments(&text))
    }

    /// The sentence as one text.
    pub fn plain(&self, template: &str) -> Result<String, String> {
        let text = self.env.render_str(template, self.plain.clone()).map_err(|e| e.to_string())?;
        // A space that holds a unit to its figure is no blank to squeeze.
        Ok(text.split_ascii_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// The sentence of another language as one text: its conditions see what those of the
    /// English one see, its figures print in the language's form.
    pub fn told(&self, template: &str) -> Result<String, String> {
        self.plain(&template.replace("{{ ", &format!("{{{{ {TOLD}.")))
    }

    /// Whether a line with this condition, or none, prints.
    pub fn applies(&self, condition: Option<&str>) -> Result<bool, String> {
        condition.map_or(Ok(true), |c| self.holds(c))
    }

    /// Whether a condition holds; conditions compare printed texts (`'yes'`).
    pub fn holds(&self, condition: &str) -> Result<bool, String> {
        let compiled = self.env.compile_expression(condition).map_err(|e| e.to_string())?;
        compiled.eval(self.plain.clone()).map(|v| v.is_true()).map_err(|e| e.to_string())
    }
}

/// Names a sentence or a condition reads.
pub(super) fn names(template: &str, condition: bool) -> Result<BTreeSet<String>, String> {
    let env = environment();
    let names = if condition {
        env.compile_expression(template).map_err(|e| e.to_string())?.undeclared_variables(true)
    } else {
        env.template_from_str(template).map_err(|e| e.to_string())?.undeclared_variables(true)
    };
    Ok(names.into_iter().collect())
}

fn segments(text: &str) -> Vec<Segment> {
    let mut out = Vec::new();
    let mut words = String::new();
    let mut rest = text;
    let flush = |words: &mut String, out: &mut Vec<Segment>| {
        if !words.is_empty() {
            out.push(Segment::Words(squeeze(words)));
            words.clear();
        }
    };
    while let Some(c) = rest.chars().next() {
        let after = &rest[c.len_utf8()..];
        match c {
            FIGURE | CUT => {
                flush(&mut words, &mut out);
                let end = after.find(END).unwrap_or(after.len());
                let figure = after[..end].to_string();
                out.push(if c == CUT { Segment::Cut(figure) } else { Segment::Figure(figure) });
                rest = after.get(end + END.len_utf8()..).unwrap_or("");
            }
            BLANK => {
                flush(&mut words, &mut out);
                out.push(Segment::Blank("not answered".into()));
                rest = after;
            }
            _ => {
                words.push(c);
                rest = after;
            }
        }
    }
    flush(&mut words, &mut out);
    out
}

/// One blank for any run of blanks; those at the ends stay, they part words
/// from figures.
fn squeeze(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_whitespace() {
            if !out.ends_with(' ') {
                out.push(' ');
            }
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_compare_figures_in_base_units() {
        assert_eq!(base("1.2 m"), 1200.0);
        assert_eq!(base("2029"), 2029.0);
        assert_eq!(base("18 kg"), 18.0);
        assert_eq!(base("not answered"), f64::INFINITY);
    }

    #[test]
    fn a_range_names_its_unit_once() {
        assert_eq!(range("88 mm", "92 mm"), "88 to 92 mm");
        assert_eq!(range("88 mm", "not answered"), "88 mm to not answered");
    }

    #[test]
    fn figures_stand_apart_from_words() {
        let text = format!("Cut at {CUT}75 mm{END} from  E0, {FIGURE}L1{END}, {BLANK}.");
        assert_eq!(
            segments(&text),
            vec![
                Segment::Words("Cut at ".into()),
                Segment::Cut("75 mm".into()),
                Segment::Words(" from E0, ".into()),
                Segment::Figure("L1".into()),
                Segment::Words(", ".into()),
                Segment::Blank("not answered".into()),
                Segment::Words(".".into()),
            ]
        );
    }
}
