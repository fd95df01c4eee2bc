//! Judges a sheet of facts by the book.

use super::book::RuleBook;
use super::entry::{Check, Entry, Rung};
use super::scope::Scope;
use super::subject::{Case, Subject};
use super::{accept, place, told};
use crate::facts::{Gap, Sheet};
use crate::finding::{
    Figure, Finding, Grade, Judgement, LeftOut, Missing, NotJudged, Part, State, WouldPass,
};
use crate::job::{Job, Sources, Value, takes};
use minijinja::Value as Words;
use std::collections::{BTreeMap, BTreeSet};

impl RuleBook {
    /// Judges the facts of `job`; `sources` are its files.
    pub fn judge(&self, sheet: &Sheet, job: &Job, sources: &Sources) -> Judgement {
        self.judge_by(sheet, job, sources, |_| true)
    }

    /// The same by the rules whose codes `of` takes: for searches.
    pub fn judge_by(
        &self,
        sheet: &Sheet,
        job: &Job,
        sources: &Sources,
        of: impl Fn(&str) -> bool,
    ) -> Judgement {
        let mut judgement =
            Judgement { total: self.entries.len() + self.coming.len(), ..Judgement::default() };
        let words = Worded::new(sheet);
        for entry in self.entries.iter().filter(|e| of(&e.code)) {
            if entry.code.starts_with(BOX) && wrong_class(&judgement) {
                // Gaps and heights of a kit of the wrong class say nothing about
                // the kit that will be used.
                judgement.left_out.push(LeftOut {
                    code: entry.code.clone(),
                    title: entry.title.clone(),
                    why: format!("held back: the kit is of the wrong class ({KIT_CLASS})"),
                    not_built: false,
                });
                continue;
            }
            let asked = Asked { book: self, entry, sheet, subject: job, sources, words: &words };
            let came = asked.judge(&mut judgement);
            judgement.reckon(entry, came.asked, came.reasons.into_iter().next());
        }
        for coming in &self.coming {
            judgement.left_out.push(LeftOut {
                code: coming.code.clone(),
                title: coming.title.clone(),
                why: "not built yet".into(),
                not_built: true,
            });
        }
        told::one_cause(&mut judgement);
        accept::apply(job, &mut judgement);
        judgement
    }
}

impl RuleBook {
    /// Judges a completed record: every rule over the whole, or over each of the
    /// things it asks one by one. `cases` gives those; nothing where the record
    /// does not say whether there are any. `complete` lets rules speak that miss
    /// something.
    pub fn judge_cases<'c>(
        &self,
        sources: &Sources,
        complete: bool,
        cases: &'c dyn Fn(Option<&str>) -> Option<&'c [Case<'c>]>,
    ) -> Judgement {
        let mut judgement = Judgement { total: self.entries.len(), ..Judgement::default() };
        let mut worded: BTreeMap<Option<&str>, Vec<Worded>> = BTreeMap::new();
        for entry in &self.entries {
            let each = entry.each.as_deref();
            if entry.complete && !complete {
                judgement.reckon(entry, false, Some("the record is not completed".into()));
                continue;
            }
            let Some(list) = cases(each) else {
                let what = each.unwrap_or("record");
                judgement.reckon(entry, false, Some(format!("the record has no list of this: {what}")));
                continue;
            };
            let words =
                worded.entry(each).or_insert_with(|| list.iter().map(|c| Worded::new(&c.sheet)).collect());
            let (mut reasons, mut spoke) = (Vec::new(), false);
            for (case, words) in list.iter().zip(words) {
                let asked =
                    Asked { book: self, entry, sheet: &case.sheet, subject: &*case.subject, sources, words };
                let came = asked.judge(&mut judgement);
                reasons.extend(came.reasons.into_iter().next());
                spoke |= came.asked;
            }
            judgement.reckon(entry, spoke, in_one(&reasons, list.len()));
        }
        told::one_cause(&mut judgement);
        judgement
    }

    /// Whether a check of a rule has anything to judge on this sheet.
    pub fn applies(&self, code: &str, check: &str, sheet: &Sheet) -> bool {
        let values = Scope::values(sheet);
        let Some(entry) = self.entry(code) else { return false };
        let own = entry.checks.iter().find(|c| c.id == check).and_then(|c| c.applies.as_ref());
        entry
            .applies
            .iter()
            .chain(own)
            .all(|expression| self.condition(expression).is_some_and(|c| c.holds(&values).unwrap_or(false)))
    }
}

/// Why a rule was not run, in one line, from the reasons of the things it asks one by
/// one, `all` of them.
fn in_one(reasons: &[String], all: usize) -> Option<String> {
    let first = reasons.first()?;
    let alike = reasons.iter().all(|r| r == first);
    Some(match (alike, reasons.len()) {
        (true, n) if n >= all => first.clone(),
        (true, n) => format!("{n} of {all}: {first}"),
        (false, n) => format!("{n} of {all}, the first: {first}"),
    })
}

/// The rule on the kit's class, and the letter of the rules it holds back.
const KIT_CLASS: &str = "K01";
const BOX: char = 'B';

fn wrong_class(judgement: &Judgement) -> bool {
    judgement.findings.iter().any(|f| f.code == KIT_CLASS && f.grade == Grade::Blocks)
}

impl Judgement {
    /// Enters a rule as judged, as without a subject here, or as left out with
    /// the reason.
    fn reckon(&mut self, entry: &Entry, asked: bool, why: Option<String>) {
        let line = |why: String| LeftOut {
            code: entry.code.clone(),
            title: entry.title.clone(),
            why,
            not_built: false,
        };
        match why {
            None if asked => self.judged.push(entry.code.clone()),
            None => self.apart.push(line("does not apply".into())),
            Some(why) => self.left_out.push(line(why)),
        }
    }
}

/// A sheet as expressions and sentences see it.
struct Worded {
    values: Words,
    words: Words,
}

impl Worded {
    fn new(sheet: &Sheet) -> Worded {
        Worded { values: Scope::values(sheet), words: Scope::texts(sheet, BTreeMap::new()) }
    }
}

struct Asked<'a> {
    book: &'a RuleBook,
    entry: &'a Entry,
    sheet: &'a Sheet,
    subject: &'a dyn Subject,
    sources: &'a Sources,
    words: &'a Worded,
}

fn fault(why: String) -> Gap {
    Gap::Refused { code: "rule-fault".into(), why }
}

/// What came of one rule.
struct Came {
    /// One of its checks had something to judge.
    asked: bool,
    /// Why a check was not judged, each.
    reasons: Vec<String>,
}

/// What came of one question.
enum Answer {
    /// It has nothing to judge here.
    Apart,
    Judged(Option<Box<Finding>>),
}

impl Asked<'_> {
    /// Adds what it finds.
    fn judge(&self, judgement: &mut Judgement) -> Came {
        let mut reasons = Vec::new();
        let mut asked = false;
        let applies = match self.holds(self.entry.applies.as_deref()) {
            Ok(applies) => applies,
            Err(gap) => {
                for check in &self.entry.checks {
                    reasons.push(self.not_judged(check, &gap, judgement));
                }
                false
            }
        };
        if applies {
            for check in &self.entry.checks {
                match self.check(check) {
                    Ok(Answer::Apart) => {}
                    Ok(Answer::Judged(finding)) => {
                        asked = true;
                        judgement.findings.extend(finding.map(|f| *f));
                    }
                    Err(gap) => reasons.push(self.not_judged(check, &gap, judgement)),
                }
            }
        }
        Came { asked, reasons }
    }

    fn check(&self, check: &Check) -> Result<Answer, Gap> {
        if !self.holds(check.applies.as_deref())? {
            return Ok(Answer::Apart);
        }
        // All rungs are asked before any speaks: a missing fact of a lower rung
        // is a question too.
        let mut fired = None;
        for rung in &check.ladder {
            let holds = self.holds(Some(&rung.when))?;
            if holds && fired.is_none() {
                fired = Some(rung);
            }
        }
        Ok(Answer::Judged(fired.map(|rung| Box::new(self.finding(check, rung)))))
    }

    /// Evaluates an expression, or names what it lacks.
    fn holds(&self, expression: Option<&str>) -> Result<bool, Gap> {
        let Some(expression) = expression else { return Ok(true) };
        let Some(condition) = self.book.condition(expression) else {
            return Err(fault(format!("`{expression}` is no condition of the book")));
        };
        let mut missing = Vec::new();
        let mut refusal = None;
        for name in &condition.names {
            match self.sheet.get(name).map(|f| &f.value) {
                Some(Ok(_)) => {}
                Some(Err(Gap::Missing(names))) => missing.extend(names.iter().cloned()),
                Some(Err(refused)) => refusal = refusal.or(Some(refused.clone())),
                None => missing.push(name.clone()),
            }
        }
        if !missing.is_empty() {
            missing.sort();
            missing.dedup();
            return Err(Gap::Missing(missing));
        }
        if let Some(refusal) = refusal {
            return Err(refusal);
        }
        // The expression was compiled at load and every name has a value; what
        // still fails is a comparison of unlike kinds.
        condition.holds(&self.words.values).map_err(|error| fault(format!("`{expression}`: {error}")))
    }

    fn say(&self, template: &str) -> String {
        self.book
            .env
            .render_str(template, self.words.words.clone())
            .unwrap_or_else(|error| format!("{template} ({error})"))
    }

    fn finding(&self, check: &Check, rung: &Rung) -> Finding {
        let (figures, margin) = self.figures(check);
        // Message texts follow the figures, so that both show the same digits.
        let message = self.say_with(&rung.message, &figures);
        Finding {
            code: self.entry.code.clone(),
            name: self.entry.name.clone(),
            title: check.title.clone(),
            check: check.id.clone(),
            grade: rung.grade,
            state: if rung.grade == Grade::Advises { State::Advice } else { State::Open },
            message,
            figures,
            margin,
            remedy: self.say(&rung.remedy),
            would_pass: self.would_pass(check),
            basis: check.basis.clone(),
            places: place::of_check(check, self.sheet, self.subject, self.sources),
            notes: Vec::new(),
        }
    }

    fn say_with(&self, template: &str, figures: &[Figure]) -> String {
        let instead = figures.iter().map(|figure| (figure.name.clone(), figure.text.clone())).collect();
        self.book
            .env
            .render_str(template, Scope::texts(self.sheet, instead))
            .unwrap_or_else(|error| format!("{template} ({error})"))
    }

    fn would_pass(&self, check: &Check) -> Vec<WouldPass> {
        let answered = check.would_pass.iter().filter_map(|(name, words)| {
            let fact = self.sheet.get(name)?;
            let words = match fact.value.as_ref().ok()? {
                Value::None(none) => format!("{}: {none}", fact.title),
                _ => self.say(words),
            };
            Some(WouldPass { name: name.clone(), text: fact.text.clone(), words })
        });
        answered.collect()
    }

    fn figures(&self, check: &Check) -> (Vec<Figure>, Option<String>) {
        let mut texts: BTreeMap<&str, String> = BTreeMap::new();
        let mut margin = None;
        if let (Some(actual), Some(limit)) = (&check.actual, &check.limit)
            && let Some((a, l, between)) = self.sheet.margin(actual, limit, check.limit_is_most)
        {
            margin = Some(between);
            texts.insert(actual, a);
            texts.insert(limit, l);
        }
        let figures = check
            .figures
            .iter()
            .filter_map(|name| {
                let fact = self.sheet.get(name)?;
                Some(Figure {
                    name: name.clone(),
                    title: fact.title.to_string(),
                    text: texts.get(name.as_str()).cloned().unwrap_or_else(|| fact.text.clone()),
                })
            })
            .collect();
        (figures, margin)
    }

    /// Notes an unjudged check and returns the reason in short.
    fn not_judged(&self, check: &Check, gap: &Gap, judgement: &mut Judgement) -> String {
        let grade = check.ladder.iter().map(|r| r.grade).max().unwrap_or(Grade::Blocks);
        let (missing, refusal, why, help) = match gap {
            Gap::Missing(names) => {
                let missing = self.missing(names);
                let listed: Vec<String> = missing.iter().map(|m| format!("`{}`", m.name)).collect();
                let verb = if listed.len() == 1 { "is" } else { "are" };
                (missing, None, format!("{} {verb} missing", listed.join(", ")), String::new())
            }
            Gap::Refused { code, why } => {
                let help = told::look_at(self.sheet, &self.names(check), why);
                (Vec::new(), Some(code.clone()), why.clone(), help)
            }
        };
        let place = match missing.first() {
            Some(first) => first.place.clone(),
            None => self.subject.place(&check.at, "no judgement with this"),
        };
        judgement.not_judged.push(NotJudged {
            code: self.entry.code.clone(),
            name: self.entry.name.clone(),
            title: self.entry.title.clone(),
            check: check.id.clone(),
            grade,
            missing,
            refusal,
            why: why.clone(),
            help,
            place,
        });
        why
    }

    /// The questions behind the facts that are missing, each with its place.
    fn missing(&self, names: &[String]) -> Vec<Missing> {
        let mut missing: Vec<Missing> = Vec::new();
        for name in names {
            let unnamed = self.subject.unnamed(name);
            let (name, label) =
                unnamed.as_ref().map_or((name.as_str(), "not answered"), |u| (u.key, u.label));
            if missing.iter().any(|m| m.name == name) {
                continue;
            }
            let mut place = self.subject.place(name, label);
            if self.sources.get(place.source).is_some_and(|s| s.has(&place.pointer)) {
                place.part = Part::Key;
            }
            let title = self.sheet.get(name).map_or(String::new(), |f| f.title.to_string());
            let mut takes = takes(name);
            let mut help = String::new();
            if let Some(unnamed) = &unnamed {
                help.clone_from(&unnamed.help);
            }
            if unnamed.is_some_and(|u| !u.none) {
                takes = takes.trim_end_matches(" | none").to_string();
            }
            missing.push(Missing { name: name.to_string(), title, takes, help, place });
        }
        missing
    }

    /// Every fact that decides whether and how a check speaks.
    fn names(&self, check: &Check) -> BTreeSet<String> {
        let rungs = check.ladder.iter().map(|r| &r.when);
        let all = self.entry.applies.iter().chain(&check.applies).chain(rungs);
        all.filter_map(|e| self.book.condition(e)).flat_map(|c| c.names.iter().cloned()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::in_one;

    #[test]
    fn reasons_are_told_once_with_how_many() {
        let of = |list: &[&str], all| in_one(&list.iter().map(ToString::to_string).collect::<Vec<_>>(), all);
        assert_eq!(of(&[], 3), None);
        assert_eq!(of(&["no file"; 3], 3).as_deref(), Some("no file"));
        assert_eq!(of(&["no file"; 2], 3).as_deref(), Some("2 of 3: no file"));
        assert_eq!(of(&["no file", "no time"], 3).as_deref(), Some("2 of 3, the first: no file"));
    }
}
