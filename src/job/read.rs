//! Walks a YAML tree along the schema and collects every trouble at once.

use super::schema::{Key, Kind};
use super::{Given, Value, credible};
use crate::finding::{Finding, Place, ReadingCode};
use crate::source::{Source, escape};
use crate::units::{Dimension, Quantity, Range, UnitError};
use serde_yaml::Value as Tree;
use std::collections::BTreeMap;

/// Text longer than this is no answer to any key.
pub(super) const MAX_TEXT: usize = 4000;

/// What one file gave.
#[derive(Default)]
pub(super) struct Reading {
    pub given: BTreeMap<String, Given>,
    pub lists: BTreeMap<String, usize>,
    pub figures: BTreeMap<String, BTreeMap<String, String>>,
    pub findings: Vec<Finding>,
}

pub(super) struct Reader<'a> {
    source: &'a Source,
    id: usize,
    out: Reading,
}

/// Reads `tree` by `keys`; names get the prefix, pointers stay those of the file.
pub(super) fn read(source: &Source, id: usize, tree: &Tree, keys: &'static [Key], prefix: &str) -> Reading {
    let mut reader = Reader { source, id, out: Reading::default() };
    reader.group(keys, tree, prefix, "");
    reader.out
}

/// The candidate nearest to `name`, if any is near enough to be meant.
pub fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let plain = |s: &str| s.to_lowercase().replace(['-', ' '], "_");
    let name = plain(name);
    known
        .map(|k| (strsim::jaro_winkler(&name, &plain(k)), k))
        .filter(|(score, _)| *score > 0.82)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}

impl Reader<'_> {
    fn wrong(&mut self, pointer: &str, message: String, help: String) {
        let place = Place::value(self.id, pointer, "this value");
        self.out.findings.push(Finding::reading(ReadingCode::WrongKind, message, help, place));
    }

    fn group(&mut self, keys: &'static [Key], tree: &Tree, name: &str, pointer: &str) {
        let Tree::Mapping(map) = tree else {
            let list = keys.iter().take(6).map(|k| k.name).collect::<Vec<_>>().join(", ");
            self.wrong(
                pointer,
                "a group of keys belongs here".into(),
                format!("Write keys below it, indented: {list} …"),
            );
            return;
        };
        for (key, value) in map {
            let Some(word) = self.key_text(key) else {
                self.wrong(
                    pointer,
                    "a key that is no plain word".into(),
                    "Write a word before the colon.".into(),
                );
                continue;
            };
            let at = format!("{pointer}/{}", escape(&word));
            let Some(known) = keys.iter().find(|k| k.name == word) else {
                self.unknown(keys, &word, &at, name);
                continue;
            };
            if value.is_null() {
                // An empty key is a question not answered, which the rules report.
                continue;
            }
            self.value(known, value, &join(name, &word), &at);
        }
        for key in keys.iter().filter(|k| k.required) {
            let answered =
                |(k, v): (&Tree, &Tree)| self.key_text(k).as_deref() == Some(key.name) && !v.is_null();
            if !map.iter().any(answered) {
                self.missing(key, &join(name, key.name), &format!("{pointer}/{}", key.name));
            }
        }
    }

    pub(super) fn missing(&mut self, key: &Key, name: &str, pointer: &str) {
        let place = if self.source.has(pointer) {
            Place::key(self.id, pointer, "not answered")
        } else {
            Place::value(self.id, pointer, format!("`{}` belongs under here", key.name))
        };
        self.out.findings.push(Finding::reading(
            ReadingCode::MissingKey,
            format!("`{name}` ({}) is missing", key.title),
            format!("Write `{}: {}`.", key.name, key.sample()),
            place,
        ));
    }

    fn key_text(&self, key: &Tree) -> Option<String> {
        match key {
            Tree::String(text) => Some(text.clone()),
            Tree::Bool(b) => Some(b.to_string()),
            Tree::Number(n) => Some(n.to_string()),
            _ => None,
        }
    }

    fn unknown(&mut self, keys: &'static [Key], word: &str, pointer: &str, name: &str) {
        let help = match nearest(word, keys.iter().map(|k| k.name)) {
            Some(near) => format!("Did you mean `{near}`?"),
            None => match elsewhere(word) {
                Some(path) => format!("`{word}` belongs elsewhere: `{path}`."),
                None => {
                    format!("Known here: {}.", keys.iter().map(|k| k.name).collect::<Vec<_>>().join(", "))
                }
            },
        };
        let under = if name.is_empty() { "in this file".to_string() } else { format!("under `{name}`") };
        let shown: String = word.chars().take(60).collect();
        let place = Place::key(self.id, pointer, "unknown key");
        self.out.findings.push(Finding::reading(
            ReadingCode::UnknownKey,
            format!("there is no key `{shown}` {under}"),
            help,
            place,
        ));
    }

    fn value(&mut self, key: &'static Key, tree: &Tree, name: &str, pointer: &str) {
        match key.kind {
            Kind::Group(keys) => return self.group(keys, tree, name, pointer),
            Kind::List(keys) => return self.list(keys, tree, name, pointer),
            Kind::Figures => return self.figure_map(tree, name, pointer),
            Kind::Texts => return self.texts(tree, name, pointer),
            _ => {}
        }
        let Some(text) = self.scalar(tree, pointer) else {
            self.wrong(
                pointer,
                "one plain value belongs here, not a group or a list".into(),
                format!("Write `{}: {}`.", key.name, key.sample()),
            );
            return;
        };
        let read = if key.none && is_none(&text) { Ok(Value::None(text)) } else { leaf(key, &text, name) };
        match read {
            Ok(value) => {
                self.out
                    .given
                    .insert(name.to_string(), Given { value, source: self.id, pointer: pointer.to_string() });
            }
            Err((message, help)) => self.wrong(pointer, message, help),
        }
    }

    /// The scalar as written, quotes and folds resolved.
    fn scalar(&self, tree: &Tree, pointer: &str) -> Option<String> {
        match tree {
            Tree::String(text) => Some(text.trim().to_string()),
            // As written: 5 stays 5, 5.60 keeps its zero.
            Tree::Number(_) | Tree::Bool(_) => {
                let at = self.source.locate(pointer).at;
                self.source.text().get(at).map(|t| t.trim().to_string())
            }
            _ => None,
        }
    }

    fn list(&mut self, keys: &'static [Key], tree: &Tree, name: &str, pointer: &str) {
        let Tree::Sequence(items) = tree else {
            self.wrong(
                pointer,
                "a list belongs here".into(),
                "Start each entry with `- ` on its own line.".into(),
            );
            return;
        };
        self.out.lists.insert(name.to_string(), items.len());
        for (i, item) in items.iter().enumerate() {
            self.group(keys, item, &format!("{name}.{i}"), &format!("{pointer}/{i}"));
        }
    }

    fn texts(&mut self, tree: &Tree, name: &str, pointer: &str) {
        let items = match tree {
            Tree::Sequence(items) => items.as_slice(),
            other => std::slice::from_ref(other),
        };
        let mut texts = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let at = if matches!(tree, Tree::Sequence(_)) {
                format!("{pointer}/{i}")
            } else {
                pointer.to_string()
            };
            match self.scalar(item, &at) {
                Some(text) if text.chars().count() <= MAX_TEXT => texts.push(text),
                _ => self.wrong(&at, "a plain text belongs here".into(), "Write one text an entry.".into()),
            }
        }
        self.out.given.insert(
            name.to_string(),
            Given { value: Value::Texts(texts), source: self.id, pointer: pointer.to_string() },
        );
    }

    fn figure_map(&mut self, tree: &Tree, name: &str, pointer: &str) {
        let Tree::Mapping(map) = tree else {
            self.wrong(
                pointer,
                "the accepted figures belong here".into(),
                "Copy them from the finding: `fact: 120 mm`.".into(),
            );
            return;
        };
        let mut figures = BTreeMap::new();
        for (key, value) in map {
            let (Some(key), true) = (self.key_text(key), !value.is_null()) else { continue };
            let at = format!("{pointer}/{}", escape(&key));
            match self.scalar(value, &at) {
                Some(text) => {
                    figures.insert(key, text);
                }
                None => self.wrong(
                    &at,
                    "a figure as printed belongs here".into(),
                    "Copy it from the finding.".into(),
                ),
            }
        }
        self.out.figures.insert(name.to_string(), figures);
    }
}

fn join(name: &str, word: &str) -> String {
    if name.is_empty() { word.to_string() } else { format!("{name}.{word}") }
}

fn is_none(text: &str) -> bool {
    text == "none" || text.starts_with("none,")
}

/// Where in the job file a key of this name stands, if it is one place.
fn elsewhere(word: &str) -> Option<String> {
    let ending = format!(".{word}");
    let mut found = super::leaf_keys().keys().filter(|name| name.ends_with(&ending));
    let first = found.next()?;
    found.next().is_none().then(|| (*first).to_string())
}

type Wrong = (String, String);

fn leaf(key: &Key, text: &str, name: &str) -> Result<Value, Wrong> {
    let short: String = text.chars().take(60).collect();
    match key.kind {
        Kind::Quantity(dimension) => {
            let wrong = |e: UnitError| {
                let (message, help) = unit_error(&e.to_string());
                match text.split_whitespace().next().filter(|word| *word == "none") {
                    Some(_) => (
                        format!("`{short}` is no answer here: {} belongs here", dimension.article()),
                        none_here(key, name),
                    ),
                    None => (message, guess(text, name, dimension).unwrap_or(help)),
                }
            };
            let quantity = Quantity::parse(text, dimension).map_err(wrong)?;
            // `-0 mm` too: whoever writes a minus means a figure he did not write.
            if text.starts_with('-') && !dimension.may_be_negative() {
                return Err(below_nought(&short, key.name));
            }
            Ok(Value::Quantity(quantity))
        }
        Kind::Range(dimension) => {
            let range = Range::parse(text, dimension).map_err(|e| unit_error(&e.to_string()))?;
            let minus = text.starts_with('-') || text.contains(" -");
            if minus && !dimension.may_be_negative() {
                return Err(below_nought(&short, key.name));
            }
            Ok(Value::Range(range))
        }
        Kind::Count => {
            text.parse::<i64>().ok().filter(|n| (0..=1_000_000).contains(n)).map(Value::Count).ok_or_else(
                || (format!("`{short}` is no count"), "Write a whole number, without a unit: `3`.".into()),
            )
        }
        Kind::YesNo => match text {
            "yes" | "true" => Ok(Value::YesNo(true)),
            "no" | "false" => Ok(Value::YesNo(false)),
            _ => Err((format!("`{short}` is neither yes nor no"), "Write `yes` or `no`.".into())),
        },
        Kind::Choice(words) => {
            if words.contains(&text) {
                return Ok(Value::Text(text.to_string()));
            }
            let help = match nearest(text, words.iter().copied()) {
                Some(near) => format!("Did you mean `{near}`?"),
                None => format!("One of: {}.", words.join(", ")),
            };
            Err((format!("`{short}` is none of the choices for `{}`", key.name), help))
        }
        Kind::Date => {
            text.parse().ok().filter(|_| looks_like_a_date(text)).map(Value::Date).ok_or_else(|| {
                (format!("`{short}` is no date"), "Write it like `2031-05-12` (year-month-day).".into())
            })
        }
        Kind::Name | Kind::Item(_) => {
            if fit_for_a_folder(text) {
                Ok(Value::Text(text.to_string()))
            } else {
                Err((
                    format!("`{short}` can't name a folder or a file"),
                    "At most 40 of `A-Z a-z 0-9 . _ -`, no leading dot.".into(),
                ))
            }
        }
        _ if text.is_empty() => {
            Err(("the text is empty".into(), "Leave the key out if there is no answer.".into()))
        }
        _ if text.chars().count() > MAX_TEXT => {
            Err((format!("the text is longer than {MAX_TEXT} characters"), "Shorten it.".into()))
        }
        _ => Ok(Value::Text(text.to_string())),
    }
}

/// What to write for a bare number: itself with each unit that is believed of this key.
fn guess(text: &str, name: &str, dimension: Dimension) -> Option<String> {
    let forms: Vec<String> = credible::believed_forms(text, name, dimension);
    match forms.split_last()? {
        (only, []) => Some(format!("Did you mean `{only}`?")),
        (last, others) => Some(format!("Write its unit: `{}` or `{last}`.", others.join("`, `"))),
    }
}

/// What to write where somebody means that there is none.
fn none_here(key: &Key, name: &str) -> String {
    let nought = credible::takes_nought(name);
    let sample = key.sample();
    match (key.note.is_empty(), nought) {
        (false, _) => key.note.to_string(),
        (true, Some(nought)) => format!("Write `{nought}` for none, else the figure, like `{sample}`."),
        (true, None) => {
            format!(
                "Write the figure, like `{sample}`; where there is none, leave the key empty and see whether a rule asks for it."
            )
        }
    }
}

fn below_nought(text: &str, key: &str) -> Wrong {
    (
        format!("`{text}` has a minus, and `{key}` can't lie below nought"),
        "Write it without the minus.".into(),
    )
}

fn unit_error(message: &str) -> Wrong {
    match message.split_once("; ") {
        Some((wrong, help)) => {
            let mut help = help.to_string();
            if let Some(first) = help.get(..1) {
                help = first.to_uppercase() + &help[1..];
            }
            (wrong.to_string(), format!("{help}."))
        }
        None => (message.to_string(), String::new()),
    }
}

/// Year-month-day and no more: other forms of the standard are left to no one's
/// guess.
fn looks_like_a_date(text: &str) -> bool {
    text.len() == 10
        && text
            .bytes()
            .enumerate()
            .all(|(i, b)| if matches!(i, 4 | 7) { b == b'-' } else { b.is_ascii_digit() })
}

fn fit_for_a_folder(text: &str) -> bool {
    (1..=40).contains(&text.len())
        && !text.starts_with('.')
        && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-'))
}
