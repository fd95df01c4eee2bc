//! The words of the pages by language: a folder of texts under `templates/language`.
//!
//! English is where everything begins: it has every page word, and its hazards, steps and
//! points stand in their own folders with conditions and triggers. Another language is only
//! texts by the names of those; conditions and figures are never said twice.

mod read;

pub use read::LanguageFault;

use crate::units::Style;
use serde::Deserialize;
use serde_json::{Value as Json, json};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Part of the pack, role in it, words.
pub type Pages = BTreeMap<String, BTreeMap<String, String>>;

/// The tag of the language that everything is written in first.
pub const ENGLISH: &str = "en";

static IN_ENGLISH: LazyLock<Result<Language, LanguageFault>> = LazyLock::new(|| read::built_in(ENGLISH));

/// One folder of texts.
#[derive(Clone, Debug)]
pub struct Language {
    /// Its folder's name, like `de`.
    pub tag: String,
    pub head: Head,
    /// Page words this folder has itself.
    pub own: Pages,
    /// Those, and in English what it does not have.
    pages: Pages,
    pub hazards: HazardTexts,
    /// Answers of a job in words: by the fact's name, or `any`.
    answers: BTreeMap<String, BTreeMap<String, String>>,
    /// The file of the answers and what it holds, for the place of a fault.
    pub answers_file: (String, String),
}

/// `language.yaml`.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Name of the language in English.
    pub name: String,
    /// What a reader of the PDF is told: language, and region for hyphens and quotes.
    pub lang: String,
    pub region: String,
    /// Not checked by a translator of the trade: it prints drafts only.
    pub trial: bool,
    pub figures: Style,
}

/// `hazards.yaml`.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HazardTexts {
    /// What a hazard leans on, phrase by phrase.
    pub sources: BTreeMap<String, String>,
    /// By the hazard's name.
    pub hazards: BTreeMap<String, HazardText>,
    /// Its file and what that holds, for the place of a fault.
    #[serde(skip)]
    pub file: String,
    #[serde(skip)]
    pub source: String,
}

/// Every text of one hazard: it is told whole or stays English.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HazardText {
    pub title: String,
    pub fact: String,
    pub caution: String,
    #[serde(rename = "do")]
    pub actions: Vec<String>,
}

impl Language {
    /// The words everything begins with.
    ///
    /// # Errors
    /// A fault in our own files.
    pub fn english() -> Result<&'static Language, LanguageFault> {
        IN_ENGLISH.as_ref().map_err(Clone::clone)
    }

    /// The language of the folder `tag`.
    ///
    /// # Errors
    /// There is none, with the names of those there are; or a fault in its files.
    pub fn named(tag: &str) -> Result<Language, LanguageFault> {
        read::built_in(tag)
    }

    /// A language from its files by name and text.
    ///
    /// # Errors
    /// The first fault, with file and line.
    pub fn read(tag: &str, files: &[(String, String)]) -> Result<Language, LanguageFault> {
        read::read(tag, files)
    }

    /// What the page templates read: every word by part and role, and the language's name.
    pub fn page_words(&self) -> Vec<u8> {
        let mut words = json!(self.pages);
        words["language"] = json!({"lang": self.head.lang, "region": self.head.region});
        words.to_string().into_bytes()
    }

    /// A word the tool puts together itself.
    pub fn made(&self, role: &str) -> &str {
        self.word("made", role)
    }

    fn word(&self, part: &str, role: &str) -> &str {
        debug_assert!(self.pages.get(part).is_some_and(|p| p.contains_key(role)), "no word {part}.{role}");
        self.pages.get(part).and_then(|p| p.get(role)).map_or("", String::as_str)
    }

    /// One answer of a job in words, `yes` of `site.pole`; nothing where the folder has none.
    pub fn answer(&self, fact: &str, word: &str) -> Option<&str> {
        let of = |name: &str| self.answers.get(name)?.get(word).map(String::as_str);
        of(fact).or_else(|| of("any"))
    }

    /// Every fact and answer it has a word for.
    pub fn answered(&self) -> impl Iterator<Item = (&str, &str)> {
        self.answers.iter().flat_map(|(fact, words)| words.keys().map(move |w| (fact.as_str(), w.as_str())))
    }

    /// Parts of the page words, with how many are missing and how many there are.
    pub fn missing_pages(&self) -> Vec<(String, usize, usize)> {
        let own = |part: &str, role: &String| self.own.get(part).is_some_and(|p| p.contains_key(role));
        let count = |(part, roles): (&String, &BTreeMap<String, String>)| {
            (part.clone(), roles.keys().filter(|role| !own(part, role)).count(), roles.len())
        };
        self.pages.iter().map(count).collect()
    }
}

/// The places `{name}` of a page word are filled in the tool as in the templates.
pub fn fill(sentence: &str, parts: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = sentence;
    while let Some(at) = rest.find('{') {
        out.push_str(&rest[..at]);
        let Some(end) = rest[at..].find('}') else { break };
        let name = &rest[at + 1..at + end];
        out.push_str(parts.iter().find(|(n, _)| *n == name).map_or("", |(_, text)| text));
        rest = &rest[at + end + 1..];
    }
    out.push_str(rest);
    out
}

/// Language tags that have a folder.
pub fn tags() -> Vec<String> {
    read::tags()
}

/// Everything every page's words follow from, for who asks whether a print would be the same.
pub fn all_words() -> Json {
    IN_ENGLISH.as_ref().map_or(Json::Null, |english| json!(english.pages))
}
