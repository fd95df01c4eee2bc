//! Grades that a house changes, and sentences it words its own way.

use super::folder::{HouseError, parse_text};
use crate::finding::Grade;
use crate::rules::RuleBook;
use crate::source::Source;
use serde::Deserialize;
use std::collections::BTreeMap;

/// One check of one rule, made stricter or milder.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Change {
    rule: String,
    /// The check; left out, every check of the rule.
    #[serde(default)]
    check: Option<String>,
    /// Every grade below is raised to this one: stricter.
    #[serde(default)]
    at_least: Option<Rank>,
    /// Every grade above is lowered to this one: milder.
    #[serde(default)]
    at_most: Option<Rank>,
    /// Who takes the milder grade on.
    #[serde(default)]
    taken_on: Option<TakenOn>,
    #[serde(skip)]
    at: (String, usize),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Rank {
    Blocks,
    Asks,
    Advises,
}

impl Rank {
    fn grade(self) -> Grade {
        match self {
            Rank::Blocks => Grade::Blocks,
            Rank::Asks => Grade::Asks,
            Rank::Advises => Grade::Advises,
        }
    }
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct TakenOn {
    name: String,
    authorisation: String,
    why: String,
    date: String,
}

impl Change {
    pub fn read(file: &str, text: &str) -> Result<Vec<Change>, HouseError> {
        let mut all: Vec<Change> = parse_text(file, text)?;
        let (source, _) = Source::read(file.to_string(), text.to_string());
        for (i, change) in all.iter_mut().enumerate() {
            change.at =
                (file.to_string(), source.line_column(source.locate(&format!("/{i}/rule")).at.start).0);
            change.hold()?;
        }
        Ok(all)
    }

    fn wrong(&self, why: impl Into<String>) -> HouseError {
        HouseError::Wrong { file: self.at.0.clone(), line: self.at.1, why: why.into() }
    }

    /// One direction, and a milder grade never without a name.
    fn hold(&self) -> Result<(), HouseError> {
        match (&self.at_least, &self.at_most, &self.taken_on) {
            (Some(_), None, None) => Ok(()),
            (Some(_), None, Some(_)) => Err(self.wrong("`taken_on` goes with `at_most` only")),
            (None, Some(_), Some(who)) => {
                let empty = [&who.name, &who.authorisation, &who.why, &who.date].iter().any(|t| t.trim().is_empty());
                if who.date.parse::<jiff::civil::Date>().is_err() {
                    return Err(self.wrong("`taken_on.date` is no date like 2031-04-28"));
                }
                if empty { Err(self.wrong("an answer under `taken_on` is empty")) } else { Ok(()) }
            }
            (None, Some(_), None) => Err(self.wrong(format!(
                "{} is made milder and nobody takes that on: add `taken_on` with `name`, `authorisation`, `why`, `date`; it prints on every front sheet",
                self.rule
            ))),
            _ => Err(self.wrong("write `at_least` (stricter) or `at_most` (milder)")),
        }
    }

    /// Changes the grades in `book`.
    pub fn apply(&self, book: &mut RuleBook, house: &str) -> Result<(), HouseError> {
        let Some(entry) = book.entries.iter_mut().find(|e| e.code == self.rule) else {
            return Err(self.wrong(format!("there is no rule `{}`", self.rule)));
        };
        let own = |id: &str| self.check.as_ref().is_none_or(|check| check == id);
        let known: Vec<String> = entry.checks.iter().map(|c| c.id.clone()).collect();
        if !known.iter().any(|id| own(id)) {
            return Err(self.wrong(format!(
                "{} has no check `{}`; it has {}",
                self.rule,
                self.check.as_deref().unwrap_or(""),
                known.join(", ")
            )));
        }
        let mut changed = 0;
        for rung in entry.checks.iter_mut().filter(|c| own(&c.id)).flat_map(|c| &mut c.ladder) {
            let grade = match (self.at_least, self.at_most) {
                (Some(least), _) => rung.grade.max(least.grade()),
                (_, Some(most)) => rung.grade.min(most.grade()),
                _ => rung.grade,
            };
            changed += usize::from(grade != rung.grade);
            rung.grade = grade;
        }
        if changed == 0 {
            return Err(self.wrong(format!("nothing changes: {} is graded so already", self.rule)));
        }
        let way = if self.at_least.is_some() { "stricter" } else { "milder" };
        let check = self.check.as_ref().map_or_else(|| "every check".into(), |c| format!("check {c}"));
        entry.layers.push(format!("{check} made {way} by {house} ({} line {})", self.at.0, self.at.1));
        Ok(())
    }

    /// The sentence for the front sheet, where this is milder.
    pub fn milder(&self, house: &str) -> Option<String> {
        let (most, who) = (self.at_most?, self.taken_on.as_ref()?);
        let most = match most {
            Rank::Blocks => "blocks",
            Rank::Asks => "asks for acceptance",
            Rank::Advises => "only advises",
        };
        let check = self.check.as_ref().map_or(String::new(), |c| format!(" ({c})"));
        Some(format!(
            "MILDER BY THE HOUSE. {house}: rule {}{check} {most} here. Taken on by {}, {}, {}: {}",
            self.rule, who.name, who.authorisation, who.date, who.why
        ))
    }
}

/// Sentences of the method in the house's own words.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Words {
    /// Steps by name. Every figure of the sentence replaced stands in the new one.
    pub steps: BTreeMap<String, String>,
    #[serde(skip)]
    pub file: String,
}
