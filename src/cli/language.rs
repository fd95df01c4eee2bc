//! `--language`: the texts of another language, and what is still missing in them.

use super::args::Issue;
use super::{Outcome, complain, say};
use crate::facts;
use crate::language::{ENGLISH, Language, LanguageFault};
use crate::procedure::{Pack, Procedures, Untold, untold_answers};
use crate::report;
use crate::rules::RuleBook;
use serde_json::{Map, Value};

/// The language asked for with its texts laid over `procedures`; nothing for English. One
/// that is not complete, or that no translator of the trade has checked, prints drafts only.
pub fn told(
    args: &Issue,
    procedures: &Procedures,
    book: &RuleBook,
) -> Result<Option<(Language, Procedures)>, Outcome> {
    if args.language == ENGLISH {
        return Ok(None);
    }
    let language = Language::named(&args.language).map_err(|fault| {
        match &fault {
            LanguageFault::Unknown { .. } => complain(&fault.to_string()),
            LanguageFault::Wrong { .. } => complain(&format!("fault of the tool, not of the job: {fault}")),
        }
        Outcome::Trouble
    })?;
    let told = procedures.clone().told(&language).map_err(|fault| {
        complain(&format!("fault of the tool, not of the job: {fault}"));
        Outcome::Trouble
    })?;
    let missing = missing(&language, &told, book);
    let open = language.head.trial || missing.iter().any(|part| part.missing > 0);
    if open && !args.draft {
        complain(&format!(
            "{} (`{}`) is on trial and not complete: no pack is issued in it; --draft prints one marked NOT ISSUED",
            language.head.name, language.tag
        ));
        return Err(Outcome::Trouble);
    }
    if open {
        say(&text(&language, &missing));
    }
    Ok(Some((language, told)))
}

/// Every part of what prints, with its texts that are missing.
fn missing(language: &Language, procedures: &Procedures, book: &RuleBook) -> Vec<Untold> {
    let pages = language.missing_pages();
    let mut parts = vec![Untold {
        part: "words of the pages".into(),
        missing: pages.iter().map(|(_, missing, _)| missing).sum(),
        of: pages.iter().map(|(.., of)| of).sum(),
    }];
    parts.push(untold_answers(language));
    parts.extend(procedures.untold(language));
    let rungs = book.entries.iter().flat_map(|e| &e.checks).map(|c| c.ladder.len()).sum();
    let none = |part: &str, of: usize| Untold { part: part.into(), missing: of, of };
    parts.push(none("findings of rules", rungs));
    parts.push(none("names of figures", facts::declared().len()));
    parts
}

fn text(language: &Language, missing: &[Untold]) -> String {
    let mut out = format!(
        "Language: {} (`{}`), on trial, not checked by a translator of the trade. Missing texts, \
         printed in English:\n",
        language.head.name, language.tag
    );
    out = report::folded(out.trim_end());
    for part in missing.iter().filter(|part| part.missing > 0) {
        out.push_str(&format!("  {:>5} of {:<5} {}\n", part.missing, part.of, part.part));
    }
    out.push_str("  and those of drawings, front sheet and forms, which are no data yet\n\n");
    out
}

/// The parts of the pack that read otherwise in the language, as the templates take them.
pub fn parts(pack: &Pack, told: &Pack) -> Map<String, Value> {
    let object = |pack: &Pack| match serde_json::to_value(pack) {
        Ok(Value::Object(map)) => map,
        _ => Map::new(),
    };
    let english = object(pack);
    object(told).into_iter().filter(|(key, value)| english.get(key) != Some(value)).collect()
}
