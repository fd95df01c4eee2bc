//! Loads rule files and refuses any that name what does not exist.

use super::entry::{Check, Coming, Entry};
use crate::facts;
use crate::source::Source;
use include_dir::{Dir, include_dir};
use minijinja::{Environment, Expression, UndefinedBehavior, Value as Words};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::LazyLock;

static RULES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/rules");

/// A fault in a rule file: ours or a house's, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleFault {
    pub file: String,
    pub line: usize,
    pub message: String,
}

impl fmt::Display for RuleFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the rule file {} line {}: {}", self.file, self.line, self.message)
    }
}

impl std::error::Error for RuleFault {}

/// All rules, in the order of judging.
pub struct RuleBook {
    pub entries: Vec<Entry>,
    pub coming: Vec<Coming>,
    conditions: BTreeMap<String, Condition>,
    pub(super) env: &'static Environment<'static>,
}

/// A condition, compiled once.
pub(super) struct Condition {
    /// Facts that it reads.
    pub names: BTreeSet<String>,
    compiled: Expression<'static, 'static>,
}

impl Condition {
    fn new(expression: &str) -> Result<Condition, minijinja::Error> {
        let compiled = ENGINE.compile_expression_owned(expression.to_string())?;
        Ok(Condition { names: compiled.undeclared_variables(true).into_iter().collect(), compiled })
    }

    pub fn holds(&self, values: &Words) -> Result<bool, minijinja::Error> {
        Ok(self.compiled.eval(values.clone())?.is_true())
    }
}

/// Order of judging by letter: system, cable and kit before the figures that
/// rest on them, people and dates last.
///
/// Of a record: papers, releases, figures, photographs, material, people, tests,
/// leaving. C: across the jobs of a circuit. Q: an end as it was found.
const LETTERS: &str = "SKDBEPTWRHCAGFIMNULQ";

/// The letter of a house's own rules.
const HOUSE: char = 'H';

impl RuleBook {
    /// The rules built into the binary.
    ///
    /// # Errors
    /// A fault in one of our own files.
    pub fn built_in() -> Result<RuleBook, RuleFault> {
        RuleBook::with(Vec::new())
    }

    /// The rules built in and those of a house, its files by name and text.
    ///
    /// # Errors
    /// A fault in a file, the house's as ours; a house's rule whose code does not
    /// begin with H.
    pub fn with(own: Vec<(String, String)>) -> Result<RuleBook, RuleFault> {
        let house: BTreeSet<String> = own.iter().map(|(file, _)| file.clone()).collect();
        let mut files: Vec<(String, String)> = RULES
            .files()
            .filter_map(|file| {
                let name = file.path().to_str()?;
                Some((format!("templates/rules/{name}"), file.contents_utf8()?.to_string()))
            })
            .collect();
        files.extend(own);
        let known: BTreeSet<String> = facts::declared().into_keys().collect();
        RuleBook::read_layers(files, &|each| each.is_none().then(|| known.clone()), &house)
    }

    /// Reads rule files given by name and text.
    ///
    /// # Errors
    /// The first fault, with file and line.
    pub fn read(files: Vec<(String, String)>) -> Result<RuleBook, RuleFault> {
        let known: BTreeSet<String> = facts::declared().into_keys().collect();
        RuleBook::read_with(files, &|each| each.is_none().then(|| known.clone()))
    }

    /// Reads rule files whose facts are those that `known` names for what a rule
    /// asks one by one, or for the whole; nothing where there is no such thing.
    ///
    /// # Errors
    /// The first fault, with file and line.
    pub fn read_with(
        files: Vec<(String, String)>,
        known: &dyn Fn(Option<&str>) -> Option<BTreeSet<String>>,
    ) -> Result<RuleBook, RuleFault> {
        RuleBook::read_layers(files, known, &BTreeSet::new())
    }

    fn read_layers(
        mut files: Vec<(String, String)>,
        known: &dyn Fn(Option<&str>) -> Option<BTreeSet<String>>,
        house: &BTreeSet<String>,
    ) -> Result<RuleBook, RuleFault> {
        files.sort();
        let mut book =
            RuleBook { entries: Vec::new(), coming: Vec::new(), conditions: BTreeMap::new(), env: &ENGINE };
        let mut codes = BTreeMap::new();
        for (file, text) in files {
            let (source, error) = Source::read(file.clone(), text);
            let fault = |line: usize, message: String| RuleFault { file: file.clone(), line, message };
            if let Some(error) = error {
                return Err(fault(source.line_column(error.at.start).0, error.message));
            }
            let own = house.contains(&file);
            if file.ends_with("coming.yaml") && !own {
                book.coming = parse(&source, &file)?;
                continue;
            }
            let mut entries: Vec<Entry> = parse(&source, &file)?;
            for (i, entry) in entries.iter_mut().enumerate() {
                let line = |part: &str| source.line_column(source.locate(&format!("/{i}/{part}")).at.start).0;
                if let Some(other) = codes.insert(entry.code.clone(), file.clone()) {
                    return Err(fault(
                        line("code"),
                        format!("the code {} stands in {other} too", entry.code),
                    ));
                }
                let Some(known) = known(entry.each.as_deref()) else {
                    return Err(fault(
                        line("each"),
                        format!("{}: there is nothing of this name to ask", entry.code),
                    ));
                };
                check_entry(entry, &known).map_err(|(part, message)| fault(line(&part), message))?;
                if own {
                    let (code, at) = (entry.code.clone(), line("code"));
                    if !code.starts_with(HOUSE) {
                        return Err(fault(
                            at,
                            format!("{code}: a house's rule has the letter {HOUSE}: {HOUSE}01"),
                        ));
                    }
                    entry.layers.push(format!("the house's own rule ({file} line {at})"));
                } else if entry.proofs.is_empty() {
                    return Err(fault(line("code"), format!("{} has no proof", entry.code)));
                }
            }
            book.entries.extend(entries);
        }
        book.entries.sort_by_key(|e| rank(&e.code));
        book.coming.sort_by_key(|c| rank(&c.code));
        for expression in book.entries.iter().flat_map(expressions) {
            if let Ok(condition) = Condition::new(expression) {
                book.conditions.insert(expression.to_string(), condition);
            }
        }
        Ok(book)
    }

    pub(super) fn condition(&self, expression: &str) -> Option<&Condition> {
        self.conditions.get(expression)
    }

    /// Facts that an expression of the book reads.
    fn names(&self, expression: &str) -> impl Iterator<Item = &String> {
        self.condition(expression).into_iter().flat_map(|c| &c.names)
    }

    /// Facts that a rule's conditions read, with the check that reads them; a
    /// condition of the whole rule counts for each check.
    pub fn facts_by_check(&self, code: &str) -> BTreeSet<(String, String)> {
        let Some(entry) = self.entry(code) else { return BTreeSet::new() };
        let mut out = BTreeSet::new();
        for check in &entry.checks {
            let own = check.ladder.iter().map(|r| &r.when);
            for expression in entry.applies.iter().chain(&check.applies).chain(own) {
                out.extend(self.names(expression).map(|name| (check.id.clone(), name.clone())));
            }
        }
        out
    }

    /// Every fact that judging and wording a finding reads, settings at which it
    /// would pass left out.
    pub fn facts_judged(&self) -> BTreeSet<String> {
        self.facts_judged_by(|_| true)
    }

    /// The same for the rules whose codes `of` takes.
    pub fn facts_judged_by(&self, of: impl Fn(&str) -> bool) -> BTreeSet<String> {
        let mut out = BTreeSet::new();
        for entry in self.entries.iter().filter(|e| of(&e.code)) {
            out.extend(expressions(entry).flat_map(|expression| self.names(expression)).cloned());
        }
        for check in self.entries.iter().filter(|e| of(&e.code)).flat_map(|e| &e.checks) {
            out.extend(check.figures.iter().chain(&check.actual).chain(&check.limit).cloned());
            for rung in &check.ladder {
                out.extend(names_in_words(&rung.message).unwrap_or_default());
                out.extend(names_in_words(&rung.remedy).unwrap_or_default());
            }
        }
        out
    }

    /// Every fact that the rules asked of each `scope` compare or print.
    pub fn named(&self, scope: &str) -> BTreeSet<String> {
        let mut out = BTreeSet::new();
        for entry in self.entries.iter().filter(|e| e.each.as_deref() == Some(scope)) {
            for expression in expressions(entry) {
                out.extend(self.names(expression).cloned());
            }
            for check in &entry.checks {
                out.extend(named_facts(check));
                for rung in &check.ladder {
                    out.extend(names_in_words(&rung.message).unwrap_or_default());
                }
            }
        }
        out
    }

    /// Codes of the rules that print or compare each fact.
    pub fn uses(&self) -> BTreeMap<String, BTreeSet<String>> {
        let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for entry in &self.entries {
            for check in &entry.checks {
                for name in check.figures.iter().chain(&check.actual).chain(&check.limit) {
                    uses.entry(name.clone()).or_default().insert(entry.code.clone());
                }
            }
        }
        uses
    }

    /// What is no way out of a tight box, from the rule that says so.
    pub fn never(&self) -> &[String] {
        self.entries.iter().map(|e| e.never.as_slice()).find(|never| !never.is_empty()).unwrap_or_default()
    }

    pub fn entry(&self, code: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.code.eq_ignore_ascii_case(code) || e.name == code)
    }
}

fn expressions(entry: &Entry) -> impl Iterator<Item = &str> {
    let checks = entry.checks.iter().flat_map(|c| c.applies.iter().chain(c.ladder.iter().map(|r| &r.when)));
    entry.applies.iter().chain(checks).map(String::as_str)
}

fn rank(code: &str) -> (usize, String) {
    let letter = code.chars().next().and_then(|c| LETTERS.find(c)).unwrap_or(LETTERS.len());
    (letter, code.to_string())
}

fn parse<T: serde::de::DeserializeOwned>(source: &Source, file: &str) -> Result<T, RuleFault> {
    let deserializer = serde_yaml::Deserializer::from_str(source.text());
    serde_path_to_error::deserialize(deserializer).map_err(|error| {
        let pointer: String = error
            .path()
            .iter()
            .map(|part| match part {
                serde_path_to_error::Segment::Seq { index } => format!("/{index}"),
                serde_path_to_error::Segment::Map { key } => format!("/{key}"),
                _ => String::new(),
            })
            .collect();
        RuleFault {
            file: file.to_string(),
            line: source.line_column(source.locate(&pointer).at.start).0,
            message: error.inner().to_string(),
        }
    })
}

/// The expression engine: strict, and no way to reach anything but facts.
static ENGINE: LazyLock<Environment<'static>> = LazyLock::new(|| {
    let mut env = Environment::new();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env
});

/// Names an expression reads, dotted.
fn names_in(expression: &str) -> Result<BTreeSet<String>, String> {
    Condition::new(expression).map(|c| c.names).map_err(|e| format!("`{expression}`: {e}"))
}

fn names_in_words(template: &str) -> Result<BTreeSet<String>, String> {
    let compiled = ENGINE.template_from_str(template).map_err(|e| format!("`{template}`: {e}"))?;
    Ok(compiled.undeclared_variables(true).into_iter().collect())
}

type Fault = (String, String);

fn check_entry(entry: &Entry, known: &BTreeSet<String>) -> Result<(), Fault> {
    let need = |part: &str, names: Result<BTreeSet<String>, String>| -> Result<(), Fault> {
        let names = names.map_err(|message| (part.to_string(), message))?;
        match names.into_iter().find(|name| !known.contains(name)) {
            None => Ok(()),
            Some(name) => Err((part.to_string(), format!("{}: there is no fact `{name}`", entry.code))),
        }
    };
    if let Some(applies) = &entry.applies {
        need("applies", names_in(applies))?;
    }
    if entry.checks.is_empty() {
        return Err(("code".into(), format!("{} has no check", entry.code)));
    }
    for (i, check) in entry.checks.iter().enumerate() {
        let part = |inner: &str| format!("checks/{i}/{inner}");
        if let Some(applies) = &check.applies {
            need(&part("applies"), names_in(applies))?;
        }
        for rung in &check.ladder {
            need(&part("ladder"), names_in(&rung.when))?;
            need(&part("ladder"), names_in_words(&rung.message))?;
            need(&part("ladder"), names_in_words(&rung.remedy))?;
        }
        for (_, words) in &check.would_pass {
            need(&part("would_pass"), names_in_words(words))?;
        }
        need(&part("figures"), Ok(named_facts(check)))?;
    }
    Ok(())
}

fn named_facts(check: &Check) -> BTreeSet<String> {
    let also = check.also.iter().chain(&check.would_pass).map(|(name, _)| name);
    check
        .figures
        .iter()
        .chain(&check.actual)
        .chain(&check.limit)
        .chain(also)
        .chain(std::iter::once(&check.at))
        .cloned()
        .collect()
}
