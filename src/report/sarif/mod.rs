//! Findings as SARIF 2.1.0, one log for a whole run: what editors, code review
//! and dashboards read.

mod fix;
mod place;

pub use fix::ProposedFix;

use super::JobReport;
use crate::finding::{Finding, Grade, Missing, NotJudged, READING_CODES, State};
use place::{Artifacts, BASE};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// A rule as plain data: the rooms above know what it is made of.
#[derive(Clone, Debug)]
pub struct RuleLine {
    pub code: String,
    pub name: String,
    pub title: String,
    pub meaning: String,
    pub help: String,
    /// The worst it can come to.
    pub grade: Grade,
}

/// A log that grows job by job, in the order the jobs are given.
pub struct SarifLog {
    rules: Vec<Value>,
    index: BTreeMap<String, usize>,
    artifacts: Artifacts,
    results: Vec<Value>,
    notifications: Vec<Value>,
    jobs: Vec<Value>,
    circuits: Vec<Value>,
}

impl SarifLog {
    /// An empty log that knows `rules` and the trouble that comes before them.
    pub fn new(rules: &[RuleLine]) -> SarifLog {
        let mut log = SarifLog {
            rules: Vec::new(),
            index: BTreeMap::new(),
            artifacts: Artifacts::default(),
            results: Vec::new(),
            notifications: Vec::new(),
            jobs: Vec::new(),
            circuits: Vec::new(),
        };
        rules.iter().for_each(|rule| log.rule(rule));
        for code in READING_CODES {
            let entry = code.entry();
            log.rule(&RuleLine {
                code: entry.code.into(),
                name: entry.name.into(),
                title: entry.name.replace('-', " "),
                meaning: entry.meaning.into(),
                help: format!("See `cutback explain {}`.", entry.code),
                grade: Grade::Blocks,
            });
        }
        log
    }

    fn rule(&mut self, rule: &RuleLine) {
        self.index.insert(rule.code.clone(), self.rules.len());
        self.rules.push(json!({
            "id": rule.code,
            "name": rule.name,
            "shortDescription": text(&rule.title),
            "fullDescription": text(rule.meaning.trim()),
            "help": text(&rule.help),
            "defaultConfiguration": {"level": level(rule.grade)},
        }));
    }

    /// Adds the report of one job; `uris` are the addresses of its sources,
    /// relative and with forward slashes.
    /// With a `fix` each finding that it answers carries it as a proposal.
    pub fn job(&mut self, report: &JobReport, uris: &[String], fix: Option<&ProposedFix>) {
        let from = self.results.len();
        let mut entry = self.results_of(report, uris);
        if let Some(fix) = fix {
            self.propose(report, uris, fix, from);
            entry["remedies"] = fix.report.clone();
        }
        self.jobs.push(entry);
    }

    /// Puts a proposed fix to the results from `from` on that it answers.
    fn propose(&mut self, report: &JobReport, uris: &[String], fix: &ProposedFix, from: usize) {
        let Some((source, uri)) = report.sources.first().zip(uris.first()) else { return };
        let Some(proposed) = fix::fix(&mut self.artifacts, uri, source.text(), fix) else { return };
        for result in &mut self.results[from..] {
            let answers = fix.codes.iter().any(|code| result["ruleId"] == code.as_str());
            if answers && result["level"] != "note" && result["level"] != "none" {
                result["fixes"] = json!([proposed]);
            }
        }
    }

    /// Adds what is found across the jobs of a circuit; `uris` are those of all
    /// their sources.
    pub fn circuit(&mut self, name: &str, report: &JobReport, uris: &[String]) {
        let mut entry = self.results_of(report, uris);
        entry["circuit"] = json!(name);
        self.circuits.push(entry);
    }

    fn results_of(&mut self, report: &JobReport, uris: &[String]) -> Value {
        let home = uris.first().cloned().unwrap_or_default();
        for finding in report.findings() {
            let result = self.finding(report, uris, finding);
            self.results.push(result);
        }
        for one in report.judgement.iter().flat_map(|j| &j.not_judged) {
            let result = self.not_judged(report, uris, one);
            self.results.push(result);
        }
        let (judged, of) = report.judgement.map_or((0, 0), |j| (j.judged.len(), j.total));
        self.artifacts.index(&home);
        json!({
            "uri": home,
            "open": report.open(),
            "rulesJudged": judged,
            "rulesPlanned": of,
        })
    }

    /// Notes a file or folder that could not be looked into.
    pub fn trouble(&mut self, uri: &str, what: &str) {
        let location = json!({"physicalLocation": {"artifactLocation": self.artifacts.location(uri)}});
        self.notifications.push(json!({
            "level": "error",
            "message": text(what),
            "locations": [location],
        }));
    }

    /// The log. `successful` is whether the run itself came through, whatever it
    /// found.
    pub fn finish(self, successful: bool, exit_code: u8) -> Value {
        json!({
            "$schema": SCHEMA,
            "version": "2.1.0",
            "runs": [{
                "tool": {"driver": {
                    "name": "cutback",
                    "semanticVersion": env!("CARGO_PKG_VERSION"),
                    "shortDescription": text("Checks job packs for medium-voltage cable work."),
                    "rules": self.rules,
                }},
                "invocations": [{
                    "executionSuccessful": successful,
                    "exitCode": exit_code,
                    "toolExecutionNotifications": self.notifications,
                }],
                "originalUriBaseIds": {BASE: {"description": text("The folder in which cutback was called.")}},
                "columnKind": "unicodeCodePoints",
                "artifacts": self.artifacts.list(),
                "results": self.results,
                "properties": {"jobs": self.jobs, "circuits": self.circuits},
            }],
        })
    }

    fn finding(&mut self, report: &JobReport, uris: &[String], f: &Finding) -> Value {
        let mut out = self.head(&f.code, level(f.grade), &sentences(&f.message, "What helps", &f.remedy));
        let places: Vec<Value> =
            f.places.iter().filter_map(|p| self.artifacts.place(report.sources, uris, p)).collect();
        place::put(&mut out, places);
        let pointer = f.places.first().map_or("", |p| p.pointer.as_str());
        out.insert("partialFingerprints".into(), fingerprint(uris, &f.code, &f.check, pointer));
        let accepted = f.state == State::Accepted;
        let justification = f.notes.iter().find(|note| note.starts_with("accepted by"));
        let suppressions: Vec<Value> = accepted
            .then(|| json!({"kind": "external", "status": "accepted", "justification": justification}))
            .into_iter()
            .collect();
        out.insert("suppressions".into(), json!(suppressions));
        let figures: Map<String, Value> =
            f.figures.iter().map(|figure| (figure.name.clone(), json!(figure.text))).collect();
        out.insert(
            "properties".into(),
            json!({
                "check": f.check,
                "title": f.title,
                "state": f.state,
                "figures": figures,
                "margin": f.margin,
                "basis": f.basis,
                "notes": f.notes,
            }),
        );
        Value::Object(out)
    }

    /// A check that could not be judged. One that holds the job up is an error
    /// of the job, which leaves a question unanswered; one that would only have
    /// advised is left open.
    fn not_judged(&mut self, report: &JobReport, uris: &[String], n: &NotJudged) -> Value {
        let help = if n.missing.is_empty() {
            n.help.clone()
        } else {
            let takes =
                |m: &Missing| if m.takes.is_empty() { String::new() } else { format!(": {}", m.takes) };
            let listed: Vec<String> =
                n.missing.iter().map(|m| format!("`{}` ({}{})", m.name, m.title, takes(m))).collect();
            let choices = n.missing.iter().map(|m| m.help.as_str()).filter(|help| !help.is_empty());
            std::iter::once(format!("Answer {}.", listed.join(", ")).as_str())
                .chain(choices)
                .collect::<Vec<_>>()
                .join(" ")
        };
        let message = sentences(&format!("Not judged, {}: {}.", n.title, n.why), "What helps", &help);
        let level = if n.is_open() { "error" } else { "none" };
        let mut out = self.head(&n.code, level, &message);
        if !n.is_open() {
            out.insert("kind".into(), json!("open"));
        }
        let place = self.artifacts.place(report.sources, uris, &n.place);
        place::put(&mut out, place.into_iter().collect());
        let pointer = format!("not judged {}", n.place.pointer);
        out.insert("partialFingerprints".into(), fingerprint(uris, &n.code, &n.check, &pointer));
        out.insert("suppressions".into(), json!([]));
        let missing: Vec<&str> = n.missing.iter().map(|m| m.name.as_str()).collect();
        out.insert(
            "properties".into(),
            json!({"check": n.check, "state": "not judged", "missing": missing, "refusal": n.refusal}),
        );
        Value::Object(out)
    }

    fn head(&self, code: &str, level: &str, message: &str) -> Map<String, Value> {
        let mut out = Map::new();
        out.insert("ruleId".into(), json!(code));
        if let Some(index) = self.index.get(code) {
            out.insert("ruleIndex".into(), json!(index));
        }
        out.insert("level".into(), json!(level));
        out.insert("message".into(), text(message));
        out
    }
}

fn level(grade: Grade) -> &'static str {
    match grade {
        Grade::Blocks => "error",
        Grade::Asks => "warning",
        Grade::Advises => "note",
    }
}

fn sentences(message: &str, word: &str, help: &str) -> String {
    let stop = if message.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    if help.is_empty() { message.to_string() } else { format!("{message}{stop} {word}: {help}") }
}

/// What stays the same while lines move: file, rule, check, place by name.
fn fingerprint(uris: &[String], code: &str, check: &str, pointer: &str) -> Value {
    let home = uris.first().map_or("", String::as_str);
    json!({"rulePlace/v1": format!("{home}|{code}|{check}|{pointer}")})
}

/// A message object. Braces and square brackets mean placeholders and links
/// there, so those of a job are written as the standard asks.
fn text(words: &str) -> Value {
    let mut out = words.replace('{', "{{").replace('}', "}}");
    if out.contains("](") {
        out = out.replace('[', "\\[").replace(']', "\\]");
    }
    json!({"text": out})
}
