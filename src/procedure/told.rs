//! The wording in another language: its texts are laid over the English ones by their
//! names, and hold the same figures under the same conditions or are refused.
//!
//! A house (see `overlay`) puts a sentence in the place of ours and takes its meaning on. A
//! language must not change any: so it does not go through that door, but is held to what
//! the English text says piece by piece. The English text stays where it is, for the pack
//! and for what is not told yet.

use super::fault::ProcedureFault;
use super::hazards::HazardWords;
use super::sequence::Procedures;
use crate::facts::{self, Fact};
use crate::job::schema::Kind;
use crate::job::{Value, leaf_keys};
use crate::language::{HazardText, Language};
use crate::source::{Source, escape};
use crate::units::Style;
use std::collections::BTreeSet;

/// How many texts of a part are missing in a language, of how many.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Untold {
    pub part: String,
    pub missing: usize,
    pub of: usize,
}

impl Untold {
    fn new(part: &str, missing: usize, of: usize) -> Untold {
        Untold { part: part.into(), missing, of }
    }
}

impl Procedures {
    /// The same procedures with the texts of `language` beside the English ones.
    ///
    /// # Errors
    /// A text of a hazard there is not, or one that lost a figure or a condition.
    pub fn told(mut self, language: &Language) -> Result<Procedures, ProcedureFault> {
        let texts = &language.hazards;
        self.sources.insert(texts.file.clone(), Source::read(texts.file.clone(), texts.source.clone()).0);
        for (id, text) in &texts.hazards {
            let wrong = |this: &Procedures, key: &str, message: String| {
                this.fault(&texts.file, &format!("/hazards/{id}{key}"), format!("{id}: {message}"))
            };
            let Some(at) = self.hazards.iter().position(|h| h.id == *id) else {
                return Err(wrong(&self, "", "there is no such hazard".into()));
            };
            let hazard = &self.hazards[at];
            let english = Language::english().map_err(|f| wrong(&self, "", f.to_string()))?;
            for (key, before, now) in pairs(hazard, text).map_err(|m| wrong(&self, "/do", m))? {
                same(before, now, &english.head.figures, &language.head.figures)
                    .map_err(|m| wrong(&self, &key, m))?;
            }
            self.hazards[at].told = Some(text.clone());
        }
        let known: BTreeSet<&str> = self.sources_of_hazards();
        if let Some(stray) = texts.sources.keys().find(|s| !known.contains(s.as_str())) {
            let message = format!("no hazard leans on `{stray}`");
            return Err(self.fault(&texts.file, "/sources", message));
        }
        let (file, text) = &language.answers_file;
        self.sources.insert(file.clone(), Source::read(file.clone(), text.clone()).0);
        for (fact, word) in language.answered() {
            if let Err(why) = is_an_answer(fact, word) {
                return Err(self.fault(file, &format!("/{}/{}", escape(fact), escape(word)), why));
            }
        }
        Ok(self)
    }

    /// What hazards lean on, phrase by phrase.
    fn sources_of_hazards(&self) -> BTreeSet<&str> {
        self.hazards.iter().flat_map(|h| h.leans_on.values()).flat_map(|t| t.split("; ")).collect()
    }

    /// Parts of the wording, with what `language` has no text for.
    pub fn untold(&self, language: &Language) -> Vec<Untold> {
        let untold = self.hazards.iter().filter(|h| !language.hazards.hazards.contains_key(&h.id)).count();
        let sources = self.sources_of_hazards();
        let bare = sources.iter().filter(|s| !language.hazards.sources.contains_key(**s)).count();
        let none = |part: &str, of: usize| Untold::new(part, of, of);
        let papers = self.papers.templates().len();
        vec![
            Untold::new("hazards", untold, self.hazards.len()),
            Untold::new("what hazards lean on", bare, sources.len()),
            none("steps", self.steps.len()),
            none("points", self.controls.len()),
            none("stops", self.stops.len()),
            none("runs", self.sequences.values().map(|s| s.runs.len()).sum()),
            none("safety documents", self.documents.len()),
            none("sheets", papers),
        ]
    }
}

/// A pointer, an English text, and the one that stands for it.
type Pair<'a> = (String, &'a str, &'a str);

fn pairs<'a>(hazard: &'a HazardWords, text: &'a HazardText) -> Result<Vec<Pair<'a>>, String> {
    if hazard.actions.len() != text.actions.len() {
        return Err(format!(
            "{} things to do, and the English text has {}",
            text.actions.len(),
            hazard.actions.len()
        ));
    }
    let mut pairs: Vec<Pair> = vec![
        ("/title".into(), &hazard.title, &text.title),
        ("/fact".into(), &hazard.fact, &text.fact),
        ("/caution".into(), &hazard.caution, &text.caution),
    ];
    for (i, (before, now)) in hazard.actions.iter().zip(&text.actions).enumerate() {
        pairs.push((format!("/do/{i}"), before, now));
    }
    Ok(pairs)
}

/// Holds a text to its English original: each figure under its condition, each condition,
/// each number among the words, each stretch of words.
fn same(english: &str, text: &str, before: &Style, now: &Style) -> Result<(), String> {
    let mut had = pieces(english, before)?;
    for piece in pieces(text, now)? {
        match had.iter().position(|p| *p == piece) {
            Some(at) => {
                had.remove(at);
            }
            None => return Err(format!("{piece}, which the English text does not have")),
        }
    }
    had.first().map_or(Ok(()), |lost| Err(format!("without {lost}, which the English text has")))
}

/// What a sentence is made of beside the choice of words, each with the conditions over it.
fn pieces(text: &str, style: &Style) -> Result<Vec<String>, String> {
    let mut out = Vec::new();
    let mut over: Vec<String> = Vec::new();
    let mut rest = text;
    loop {
        let open = rest.find("{{").into_iter().chain(rest.find("{%")).min();
        let words = &rest[..open.unwrap_or(rest.len())];
        let under = if over.is_empty() { String::new() } else { format!(" under `{}`", over.join(" and ")) };
        if words.chars().any(char::is_alphabetic) && !over.is_empty() {
            out.push(format!("the words{under}"));
        }
        out.extend(style.numbers(words).into_iter().map(|n| format!("the number {n}{under}")));
        let Some(open) = open else { break };
        let figure = rest[open..].starts_with("{{");
        let end = if figure { "}}" } else { "%}" };
        let Some(close) = rest[open..].find(end) else {
            return Err(format!("a `{}` that is not closed", &rest[open..open + 2]));
        };
        let inside = rest[open + 2..open + close].trim();
        rest = &rest[open + close + 2..];
        if figure {
            let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_');
            if inside.is_empty() || !inside.chars().all(plain) {
                return Err(format!("`{{{{ {inside} }}}}` is more than the name of one figure"));
            }
            out.push(format!("the figure {{{{ {inside} }}}}{under}"));
            continue;
        }
        match (inside.split_once(' ').unwrap_or((inside, "")), over.last_mut()) {
            (("if", condition), _) => over.push(condition.trim().to_string()),
            (("elif", condition), Some(top)) => *top = format!("not ({top}) and {}", condition.trim()),
            (("else", ""), Some(top)) => *top = format!("not ({top})"),
            (("endif", ""), Some(_)) => drop(over.pop()),
            _ => return Err(format!("`{{% {inside} %}}` has no place here")),
        }
    }
    if over.is_empty() { Ok(out) } else { Err("an `if` that is not closed".into()) }
}

/// A fact as it prints in `language`: figures and dates in its form, answers in its words.
/// What somebody wrote freely into the job stays as it was written.
pub(super) fn shown(fact: &Fact, language: &Language) -> String {
    let style = &language.head.figures;
    let word = || language.answer(&fact.name, &fact.text).unwrap_or(&fact.text).to_string();
    match &fact.value {
        Err(_) => language.made("not_answered").to_string(),
        Ok(Value::Quantity(_) | Value::Range(_) | Value::Number(_)) => style.figure(&fact.text),
        // A count may be a year: it is not parted in thousands.
        Ok(Value::Count(_)) => fact.text.clone(),
        Ok(Value::Date(_)) => style.date(&fact.text),
        Ok(Value::YesNo(_) | Value::None(_)) => word(),
        Ok(Value::Text(_)) if of_a_set(fact) => word(),
        Ok(Value::Text(_) | Value::Texts(_)) => fact.text.clone(),
    }
}

/// Whether its words come from a list of ours.
fn of_a_set(fact: &Fact) -> bool {
    fact.def.is_some() || leaf_keys().get(&*fact.name).is_some_and(|key| matches!(key.kind, Kind::Choice(_)))
}

/// Whether `word` is what `fact` may be answered with, or what is said of it on a page.
fn is_an_answer(fact: &str, word: &str) -> Result<(), String> {
    let known = match fact {
        "any" | "point" | "isolation.back_feed" => true,
        _ => match leaf_keys().get(fact).map(|key| key.kind) {
            Some(Kind::Choice(words)) => words.contains(&word),
            Some(_) => false,
            None => facts::declared().contains_key(fact),
        },
    };
    if known { Ok(()) } else { Err(format!("`{fact}` is never answered with `{word}`")) }
}

/// Words that a job's answers are chosen from, and how many of them `language` has not.
pub fn untold_answers(language: &Language) -> Untold {
    let mut all = BTreeSet::from([("any", "yes"), ("any", "no"), ("any", "none")]);
    for (name, key) in leaf_keys() {
        if let Kind::Choice(words) = key.kind {
            all.extend(words.iter().map(|word| (*name, *word)));
        }
    }
    let missing = all.iter().filter(|(name, word)| language.answer(name, word).is_none()).count();
    Untold::new("answers of a job", missing, all.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn held(english: &str, text: &str) -> Result<(), String> {
        let style = |decimal: &str| Style {
            decimal: decimal.into(),
            group: String::new(),
            group_from: 5,
            minus: "-".into(),
            unit_space: " ".into(),
            date: "YYYY-MM-DD".into(),
            about: "about".into(),
            to: "to".into(),
            units: Default::default(),
        };
        same(english, text, &style("."), &style(","))
    }

    #[test]
    fn a_text_keeps_every_figure_number_and_condition() {
        let english = "{% if a == 'x' %}Wait {{ t }}.{% elif b %}Go.{% else %}Wait 0.5 h.{% endif %}";
        let sound = "{% if a == 'x' %}{{ t }} warten.{% elif b %}Los.{% else %}0,5 h warten.{% endif %}";
        assert_eq!(held(english, sound), Ok(()));
        for (from, to, says) in [
            ("{{ t }} warten", "Warten", "without the figure {{ t }}"),
            ("{{ t }}", "{{ u }}", "the figure {{ u }}"),
            ("0,5 h warten", "Warten", "without the number 0.5"),
            ("0,5", "5", "the number 5 under"),
            ("a == 'x'", "a != 'x'", "a != 'x'"),
            ("Los.{% else %}0,5 h warten.", "0,5 h warten.{% else %}Los.", "the number 0.5 under"),
            ("Los.", "", "without the words under"),
            ("{% endif %}", "", "not closed"),
            ("{{ t }}", "{{ t | upper }}", "more than the name"),
            ("{{ t }}", "{% set t = 1 %}{{ t }}", "has no place here"),
        ] {
            let wrong = held(english, &sound.replacen(from, to, 1)).expect_err(to);
            assert!(wrong.contains(says), "{to}: {wrong}");
        }
    }
}
