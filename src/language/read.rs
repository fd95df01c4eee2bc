//! The folder of a language, read and held to the English it translates.

use super::{ENGLISH, HazardTexts, Head, Language, Pages};
use crate::source::Source;
use include_dir::{Dir, include_dir};
use serde::de::DeserializeOwned;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

static FOLDER: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/templates/language");
const ROOT: &str = "templates/language";
const FILES: [&str; 4] = ["language.yaml", "pages.yaml", "hazards.yaml", "answers.yaml"];

/// Why a language can't be used: there is none, or what is wrong in its folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LanguageFault {
    Unknown { asked: String, known: Vec<String> },
    Wrong { file: String, line: usize, why: String },
}

impl fmt::Display for LanguageFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LanguageFault::Unknown { asked, known } => {
                write!(f, "there is no language `{asked}`; there is {}", known.join(", "))
            }
            LanguageFault::Wrong { file, line, why } => write!(f, "{file} line {line}: {why}"),
        }
    }
}

impl std::error::Error for LanguageFault {}

pub(super) fn tags() -> Vec<String> {
    let name = |dir: &Dir<'_>| dir.path().to_str().map(String::from);
    let mut tags: Vec<String> = FOLDER.dirs().filter_map(name).collect();
    tags.sort();
    tags
}

pub(super) fn built_in(tag: &str) -> Result<Language, LanguageFault> {
    let unknown = || LanguageFault::Unknown { asked: tag.chars().take(20).collect(), known: tags() };
    // The names of folders are compared, so that no path is made of what was typed.
    let dir = FOLDER.dirs().find(|d| d.path().to_str() == Some(tag)).ok_or_else(unknown)?;
    let text = |file: &include_dir::File<'_>| {
        let name = file.path().to_str()?;
        Some((format!("{ROOT}/{name}"), file.contents_utf8()?.to_string()))
    };
    let files: Vec<(String, String)> = dir.files().filter_map(text).collect();
    read(tag, &files)
}

pub(super) fn read(tag: &str, files: &[(String, String)]) -> Result<Language, LanguageFault> {
    let named = |file: &str| files.iter().find(|(name, _)| name.rsplit('/').next() == Some(file));
    if let Some((stray, _)) = files.iter().find(|(name, _)| !FILES.iter().any(|f| name.ends_with(f))) {
        let why = format!("this has no place in a language; it may hold {}", FILES.join(", "));
        return Err(LanguageFault::Wrong { file: stray.clone(), line: 1, why });
    }
    let Some((file, text)) = named("language.yaml") else {
        let why = "a language names itself here: `name`, `lang`, `region`, `trial`, `figures`".into();
        return Err(LanguageFault::Wrong { file: format!("{ROOT}/{tag}/language.yaml"), line: 1, why });
    };
    let head: Head = parse(file, text)?;
    let mut pages = if tag == ENGLISH { Pages::new() } else { Language::english()?.pages.clone() };
    let mut own = Pages::new();
    if let Some((file, text)) = named("pages.yaml") {
        own = parse(file, text)?;
        if tag == ENGLISH {
            pages.clone_from(&own);
        } else {
            lay(file, text, &own, &mut pages)?;
        }
    }
    let mut hazards = HazardTexts::default();
    if let Some((file, text)) = named("hazards.yaml") {
        hazards = HazardTexts { file: file.clone(), source: text.clone(), ..parse(file, text)? };
    }
    let mut answers = BTreeMap::new();
    let mut answers_file = Default::default();
    if let Some((file, text)) = named("answers.yaml") {
        answers = parse(file, text)?;
        answers_file = (file.clone(), text.clone());
    }
    Ok(Language { tag: tag.into(), head, own, pages, hazards, answers, answers_file })
}

/// Lays the page words of a language over the English ones: no word that the templates do
/// not ask for, and none that lost a place to fill.
fn lay(file: &str, text: &str, own: &Pages, pages: &mut Pages) -> Result<(), LanguageFault> {
    let (source, _) = Source::read(file.to_string(), text.to_string());
    let wrong = |part: &str, role: &str, why: String| {
        let pointer = if role.is_empty() { format!("/{part}") } else { format!("/{part}/{role}") };
        let line = source.line_column(source.locate(&pointer).at.start).0;
        Err(LanguageFault::Wrong { file: file.to_string(), line, why })
    };
    for (part, roles) in own {
        let Some(english) = pages.get_mut(part) else {
            return wrong(part, "", format!("no page has a part `{part}`"));
        };
        for (role, words) in roles {
            let Some(before) = english.get_mut(role) else {
                return wrong(part, role, format!("the part `{part}` has no word `{role}`"));
            };
            if words.trim().is_empty() {
                return wrong(part, role, format!("`{part}.{role}` is empty"));
            }
            let (now, then) = (places(words), places(before));
            if let Some(lost) = then.difference(&now).next() {
                return wrong(part, role, format!("`{part}.{role}` leaves out {{{lost}}} of `{before}`"));
            }
            if let Some(extra) = now.difference(&then).next() {
                return wrong(part, role, format!("`{part}.{role}` has {{{extra}}}, and `{before}` has not"));
            }
            before.clone_from(words);
        }
    }
    Ok(())
}

/// Names of the places `{name}`.
fn places(words: &str) -> BTreeSet<&str> {
    words.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(name, _)| name)).collect()
}

/// Reads YAML as strictly as a job: no anchors, no second document, no key twice.
fn parse<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, LanguageFault> {
    let wrong = |line: usize, why: String| LanguageFault::Wrong { file: file.to_string(), line, why };
    let (source, error) = Source::read(file.to_string(), text.to_string());
    if let Some(error) = error {
        return Err(wrong(source.line_column(error.at.start).0, error.message));
    }
    serde_yaml::from_str(source.text())
        .map_err(|e| wrong(e.location().map_or(1, |l| l.line()), e.to_string()))
}
