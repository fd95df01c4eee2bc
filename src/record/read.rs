//! From a record's text to a [`Record`]: every trouble at once, each at its
//! place. An empty field is a state of the work and no trouble.

use super::answer::{self, Answer, Kind};
use super::schema::{Keys, MAX_TEXT, Node, schema};
use crate::finding::{Finding, Place, ReadingCode};
use crate::procedure::Form;
use crate::source::{Source, escape};
use jiff::tz::Offset;
use serde_yaml::Value as Tree;
use std::collections::BTreeMap;

/// An answer with the place it was read from.
#[derive(Clone, Debug)]
pub struct Given {
    pub answer: Answer,
    /// As written.
    pub text: String,
    pub source: usize,
    pub pointer: String,
    /// In a table there are no pointers.
    pub bytes: Option<std::ops::Range<usize>>,
}

/// One record, read whole.
#[derive(Clone, Debug, Default)]
pub struct Record {
    pub(super) given: BTreeMap<String, Given>,
    lists: BTreeMap<String, usize>,
    pub(super) zone: Option<Offset>,
}

impl Record {
    /// The answer under a dotted name, `points.tube.length.L1`.
    pub fn get(&self, name: &str) -> Option<&Given> {
        self.given.get(name)
    }

    /// Entries of a list; nothing where it was not written.
    pub fn count(&self, list: &str) -> Option<usize> {
        self.lists.get(list).copied()
    }

    /// The day of a time, in the record's zone.
    pub fn day(&self, time: jiff::Timestamp) -> jiff::civil::Date {
        self.zone.unwrap_or(Offset::UTC).to_datetime(time).date()
    }

    /// Where `name` is written, or where it ought to be.
    pub fn place(&self, name: &str, label: impl Into<String>) -> Place {
        let Some(given) = self.given.get(name) else {
            return Place::value(0, format!("/{}", name.replace('.', "/")), label);
        };
        let mut place = Place::value(given.source, given.pointer.clone(), label);
        place.bytes.clone_from(&given.bytes);
        place
    }
}

/// What names a record's pack, read before anything else.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Head {
    pub job: String,
    pub revision: String,
    pub end: String,
    /// SHA-256 of the `pack.json` it was made for.
    pub pack: String,
    /// A table of readings beside the record.
    pub table: String,
}

/// The head of a record's text; empty where there is none.
pub fn head(text: &str) -> Head {
    let tree = serde_yaml::from_str::<Tree>(text).unwrap_or(Tree::Null);
    let part = |key: &str| match tree.get("record").and_then(|r| r.get(key)) {
        Some(Tree::String(text)) => text.trim().to_string(),
        Some(Tree::Number(n)) => n.to_string(),
        _ => String::new(),
    };
    Head {
        job: part("job"),
        revision: part("revision"),
        end: part("end"),
        pack: part("pack"),
        table: part("table"),
    }
}

/// What came of reading a record.
#[derive(Debug)]
pub struct Loaded {
    /// The record's own text first, then its table.
    pub sources: Vec<Source>,
    pub record: Option<Record>,
    pub findings: Vec<Finding>,
}

/// Reads the text of a record called `name` by the form of its pack.
pub fn load(name: &str, text: String, form: &Form) -> Loaded {
    let (source, error) = Source::read(name, text);
    let trouble = |at: std::ops::Range<usize>, message: String, help: &str| {
        let mut place = Place::value(0, "", "here");
        place.bytes = Some(at);
        Finding::reading(ReadingCode::NotReadable, message, help, place)
    };
    let finding = if let Some(error) = error {
        trouble(error.at, error.message, &error.help)
    } else {
        match serde_yaml::from_str::<Tree>(source.text()) {
            Ok(Tree::Mapping(map)) => {
                let tree = Tree::Mapping(map);
                let mut reader = Reader { source: &source, out: Record::default(), findings: Vec::new() };
                reader.out.zone = zone(&tree);
                reader.group(&schema(form), &tree, "", "");
                let Reader { out, findings, .. } = reader;
                return Loaded { sources: vec![source], record: Some(out), findings };
            }
            Ok(_) => trouble(
                0..source.text().lines().next().map_or(0, str::len),
                "the file holds no groups of keys".into(),
                "A record starts with `record:`; the blank one lies with the pack.",
            ),
            Err(error) => {
                let at = error.location().map_or(0, |l| l.index().min(source.text().len()));
                let end =
                    source.text().get(at..).and_then(|t| t.chars().next()).map_or(at, |c| at + c.len_utf8());
                trouble(
                    at..end,
                    format!("not readable as YAML: {error}"),
                    "Check indentation, quotes, colons and commas on this line and the one above.",
                )
            }
        }
    };
    Loaded { sources: vec![source], record: None, findings: vec![finding] }
}

fn zone(tree: &Tree) -> Option<Offset> {
    match tree.get("record")?.get("zone")? {
        Tree::String(text) => answer::offset(text),
        _ => None,
    }
}

struct Reader<'a> {
    source: &'a Source,
    out: Record,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    fn wrong(&mut self, pointer: &str, message: String, help: String) {
        let place = Place::value(0, pointer, "this value");
        self.findings.push(Finding::reading(ReadingCode::WrongKind, message, help, place));
    }

    fn group(&mut self, keys: &Keys, tree: &Tree, name: &str, pointer: &str) {
        let Tree::Mapping(map) = tree else {
            let list: Vec<&str> = keys.iter().take(6).map(|(k, _)| k.as_str()).collect();
            self.wrong(
                pointer,
                "a group of keys belongs here".into(),
                format!("Write keys below it, indented: {} …", list.join(", ")),
            );
            return;
        };
        for (key, value) in map {
            let word = match key {
                Tree::String(text) => text.clone(),
                Tree::Bool(b) => b.to_string(),
                Tree::Number(n) => n.to_string(),
                _ => {
                    self.wrong(
                        pointer,
                        "a key that is no plain word".into(),
                        "Write a word before the colon.".into(),
                    );
                    continue;
                }
            };
            let at = format!("{pointer}/{}", escape(&word));
            let Some((_, node)) = keys.iter().find(|(k, _)| *k == word) else {
                self.unknown(keys, &word, &at, name);
                continue;
            };
            if !value.is_null() {
                self.node(node, value, &join(name, &word), &at);
            }
        }
    }

    fn unknown(&mut self, keys: &Keys, word: &str, pointer: &str, name: &str) {
        let help = match crate::job::nearest(word, keys.iter().map(|(k, _)| k.as_str())) {
            Some(near) => format!("Did you mean `{near}`?"),
            None if word.starts_with(|c: char| c.is_ascii_digit()) => {
                "A comma parts two answers here: write 2.0 with a point, or the answer in quotes.".into()
            }
            None => {
                let list: Vec<&str> = keys.iter().take(12).map(|(k, _)| k.as_str()).collect();
                format!("Known here: {}.", list.join(", "))
            }
        };
        let under = if name.is_empty() { "in this file".to_string() } else { format!("under `{name}`") };
        let shown: String = word.chars().take(60).collect();
        self.findings.push(Finding::reading(
            ReadingCode::UnknownKey,
            format!("there is no key `{shown}` {under}"),
            help,
            Place::key(0, pointer, "unknown key"),
        ));
    }

    fn node(&mut self, node: &Node, tree: &Tree, name: &str, pointer: &str) {
        match node {
            Node::Group(keys) => self.group(keys, tree, name, pointer),
            Node::List(keys) => self.list(keys, tree, name, pointer),
            Node::Leaf(kind) => self.leaf(kind, tree, name, pointer),
            Node::Cells { names, kind, spread } => self.cells(names, kind, *spread, tree, name, pointer),
        }
    }

    fn list(&mut self, keys: &Keys, tree: &Tree, name: &str, pointer: &str) {
        if matches!(tree, Tree::String(text) if text.trim() == "none") {
            self.out.lists.insert(name.to_string(), 0);
            return;
        }
        let Tree::Sequence(items) = tree else {
            self.wrong(
                pointer,
                "a list belongs here".into(),
                "Start each entry with `- ` on its own line, or write `none`.".into(),
            );
            return;
        };
        self.out.lists.insert(name.to_string(), items.len());
        for (i, item) in items.iter().enumerate() {
            self.group(keys, item, &format!("{name}.{i}"), &format!("{pointer}/{i}"));
        }
    }

    fn cells(&mut self, names: &[String], kind: &Kind, spread: bool, tree: &Tree, name: &str, pointer: &str) {
        match tree {
            Tree::Mapping(map) => {
                let cells: Keys = names.iter().map(|n| (n.clone(), Node::Leaf(kind.clone()))).collect();
                // `1,5` within braces ends as two values; the second is no cell.
                let torn = map.keys().any(|k| matches!(k, Tree::Number(_)));
                if torn {
                    self.wrong(
                        pointer,
                        "a decimal comma within braces parts two entries".into(),
                        "Write a decimal point, or put the value in quotes.".into(),
                    );
                    return;
                }
                self.group(&cells, tree, name, pointer);
            }
            Tree::Sequence(items) if items.len() == names.len() => {
                for (i, (cell, item)) in names.iter().zip(items).enumerate() {
                    if !item.is_null() {
                        self.leaf(kind, item, &format!("{name}.{cell}"), &format!("{pointer}/{i}"));
                    }
                }
            }
            Tree::Sequence(_) => self.wrong(
                pointer,
                format!("{} values belong here", names.len()),
                format!("One each for {}.", names.join(", ")),
            ),
            // One release for the whole stage; and no answer is none for all.
            one if spread || matches!(one, Tree::String(t) if t.trim().to_lowercase().starts_with("n/a")) => {
                for cell in names {
                    self.leaf(kind, one, &format!("{name}.{cell}"), pointer);
                }
            }
            _ => {
                let blanks: Vec<String> = names.iter().map(|n| format!("{n}: ")).collect();
                self.wrong(
                    pointer,
                    format!("one value a phase belongs here, {} in all", names.len()),
                    format!("Write `{{{}}}` with a value behind each.", blanks.join(", ")),
                );
            }
        }
    }

    fn leaf(&mut self, kind: &Kind, tree: &Tree, name: &str, pointer: &str) {
        let text = match tree {
            Tree::String(text) => text.trim().to_string(),
            // As written: 90.0 keeps its place behind the point.
            Tree::Number(_) | Tree::Bool(_) => {
                let at = self.source.locate(pointer).at;
                self.source.text().get(at).map_or(String::new(), |t| t.trim().to_string())
            }
            Tree::Mapping(map)
                if map.keys().any(|k| matches!(k, Tree::String(t) if t.to_lowercase() == "n/a")) =>
            {
                self.wrong(
                    pointer,
                    "a colon makes a group of `n/a: why`".into(),
                    "Put it in quotes: `\"n/a: why\"`.".into(),
                );
                return;
            }
            _ => {
                self.wrong(
                    pointer,
                    "one plain value belongs here, not a group or a list".into(),
                    format!("Write it {}.", kind.example()),
                );
                return;
            }
        };
        if text.is_empty() {
            return;
        }
        if text.chars().count() > MAX_TEXT {
            self.wrong(
                pointer,
                format!("the text is longer than {MAX_TEXT} characters"),
                "Shorten it.".into(),
            );
            return;
        }
        match answer::read(&text, kind, self.out.zone) {
            Ok(answer) => {
                let given = Given { answer, text, source: 0, pointer: pointer.to_string(), bytes: None };
                self.out.given.insert(name.to_string(), given);
            }
            Err((message, help)) => self.wrong(pointer, message, help),
        }
    }
}

fn join(name: &str, word: &str) -> String {
    if name.is_empty() { word.to_string() } else { format!("{name}.{word}") }
}
