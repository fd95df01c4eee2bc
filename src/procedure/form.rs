//! What a completed record must hold: every reading with its unit and limit,
//! every point, photograph and safety document, under names that stay the same.
//!
//! A limit is judged as it is printed: [`Limit::read`] reads the printed words, in English
//! and with figures as a job file has them. In another language the form stays the English
//! one: a page that prints otherwise is laid over a pack that was built in English, and its
//! texts are held to the same figures under the same conditions, so that the limit on paper
//! and the one judged can't part. Nothing reads a figure of another language; one with a
//! decimal comma gives no number, and never the part before the comma.

use super::method::Built;
use super::pages::{PhotoRow, Photos, TestSheet};
use super::right_words::RightWords;
use super::sequence::Procedures;
use serde::{Deserialize, Serialize};

/// The form of one pack's record; it stands in `pack.json`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Form {
    pub points: Vec<FormPoint>,
    /// Rows of the test sheet.
    pub tests: Vec<Reading>,
    pub frames: Vec<FormFrame>,
    /// Safety documents in the order they are taken.
    pub documents: Vec<FormDocument>,
    /// What is taken off for the test, and put back.
    pub disconnect: Vec<String>,
}

/// A point of control with the readings taken at it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FormPoint {
    pub id: String,
    pub short: String,
    pub letter: String,
    pub title: String,
    pub step: String,
    pub stop: String,
    pub by: String,
    /// Released by the holder of the document, who may have done the step.
    pub holder: bool,
    /// The document in force at its step.
    pub document: String,
    /// Released phase by phase.
    pub phases: bool,
    /// The first point at or behind the step that hides its subject.
    pub covered_by: String,
    pub readings: Vec<Reading>,
}

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub id: String,
    pub title: String,
    /// Unit of a number; else `count`, `yes/no`, `text`, `date` or `time`.
    pub unit: String,
    /// As printed.
    pub limits: String,
    pub basis: String,
    pub limit: Limit,
    /// Names of the blanks: phases, pairs of phases, or one without a name.
    pub cells: Vec<String>,
    /// One of the six key figures: its blank shows limits and no target.
    pub key: bool,
    /// Outside its limit there is no concession, whatever the mark.
    pub never: bool,
    /// The planned figure, in the unit.
    pub plan: Option<f64>,
    /// Which answers in words are right ones, where not all are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub words: Option<RightWords>,
}

/// A limit in the unit of its reading; both ends are inside.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    pub least: Option<f64>,
    pub most: Option<f64>,
    /// The one answer that is right.
    pub equal: Option<String>,
    /// A word that stands in for a number: `capped`.
    pub or: Option<String>,
    /// A date not before this one.
    pub from: Option<String>,
}

/// One photograph to take.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FormFrame {
    /// Row of the photo list, phase, number within it: `9-L1-2`.
    pub id: String,
    pub row: String,
    /// The point it proves; nothing for the clock.
    pub point: String,
    /// `L1`, `L2`, `L3` or `all`.
    pub phase: String,
    /// The label card in it: `edge-L1`.
    pub card: String,
    pub text: String,
    /// The point after whose release it can show nothing any more.
    pub covered_by: String,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FormDocument {
    pub document: String,
    pub from_step: String,
    pub to_step: String,
}

/// What a wording file says of a reading beyond what prints.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordWords {
    /// Name in the record; without one it is made from the printed name.
    #[serde(default)]
    pub id: Option<String>,
    /// Several answers in one blank, apart by a stroke.
    #[serde(default)]
    pub parts: Vec<PartWords>,
    /// The three blanks are pairs of phases.
    #[serde(default)]
    pub pairs: bool,
    /// A text that must be the printed one.
    #[serde(default)]
    pub equal: bool,
    #[serde(default)]
    pub never: bool,
    /// The planned figure.
    #[serde(default)]
    pub plan: Option<String>,
    #[serde(default)]
    pub key: bool,
    /// Which answers in words are right ones.
    #[serde(default)]
    pub words: Option<RightWords>,
    /// The record asks for it in another group: documents, isolation,
    /// instruments, deviations.
    #[serde(default)]
    pub elsewhere: bool,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartWords {
    pub id: String,
    pub title: String,
    #[serde(default)]
    pub unit: Option<String>,
}

/// What prints of a reading.
pub(super) struct Printed<'a> {
    pub name: &'a str,
    pub unit: &'a str,
    pub limits: &'a str,
    pub basis: &'a str,
    pub phases: bool,
}

pub(super) const PHASES: [&str; 3] = ["L1", "L2", "L3"];
const PAIRS: [&str; 3] = ["L1-L2", "L2-L3", "L1-L3"];

/// The readings behind one printed blank.
pub(super) fn readings(printed: &Printed, words: &RecordWords, plan: Option<&str>) -> Vec<Reading> {
    if words.elsewhere {
        return Vec::new();
    }
    let id = words.id.clone().unwrap_or_else(|| slug(printed.name));
    let cells = if words.pairs && printed.phases {
        PAIRS.map(String::from).to_vec()
    } else if printed.phases {
        PHASES.map(String::from).to_vec()
    } else {
        vec![String::new()]
    };
    let one = |id: String, title: String, unit: &str, limits: &str| {
        let plan = plan.and_then(|p| figure(p, unit));
        let mut limit = Limit::read(limits, unit, plan);
        if words.equal {
            limit.equal = Some(limits.to_string());
        }
        Reading {
            id,
            title,
            unit: unit.to_string(),
            limits: limits.to_string(),
            basis: printed.basis.to_string(),
            limit,
            cells: cells.clone(),
            key: words.key,
            never: words.never || limits.contains("no concession"),
            plan,
            words: words.words.clone(),
        }
    };
    if words.parts.is_empty() {
        return vec![one(id, printed.name.to_string(), printed.unit, printed.limits)];
    }
    // `60 mm / 40 mm, ± 5`: the allowance stands once and holds for each.
    let (body, allowance) = match printed.limits.rsplit_once(", ± ") {
        Some((body, allowance)) => (body, format!(" ± {allowance}")),
        None => (printed.limits, String::new()),
    };
    let pieces: Vec<&str> = body.split(" / ").collect();
    let part = |(i, part): (usize, &PartWords)| {
        let own = format!("{}{allowance}", pieces.get(i).unwrap_or(&body));
        let limits = if pieces.len() == words.parts.len() { own.as_str() } else { printed.limits };
        let unit = part.unit.as_deref().unwrap_or(printed.unit);
        // `at least 75 mm / 75 mm`: the words stand before the first figure only.
        let bare = limits.starts_with(|c: char| c.is_ascii_digit());
        let words = ["at least ", "at most "].into_iter().find(|w| printed.limits.starts_with(w) && bare);
        let limits = format!("{}{limits}", words.unwrap_or(""));
        one(format!("{id}_{}", part.id), part.title.clone(), unit, &limits)
    };
    words.parts.iter().enumerate().map(part).collect()
}

/// A name for a key: the first words of a printed name.
pub(super) fn slug(name: &str) -> String {
    let head = name.split([',', '(', ':', ';']).next().unwrap_or(name);
    let plain: String =
        head.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().filter(|w| !SMALL.contains(w)).take(5).collect();
    if words.is_empty() { "reading".into() } else { words.join("_") }
}

const SMALL: [&str; 8] = ["the", "of", "a", "and", "to", "in", "at", "on"];

impl Limit {
    /// Reads a printed limit. What it has no words for is no limit: the blank
    /// then only has to be filled.
    pub fn read(text: &str, unit: &str, plan: Option<f64>) -> Limit {
        let mut limit = Limit::default();
        let text = text.trim().trim_end_matches(", no concession");
        if text.contains("write none") {
            limit.or = Some("none".into());
        }
        match unit {
            "yes/no" => {
                limit.equal =
                    text.split([',', ';', ' ']).next().filter(|t| *t == "yes" || *t == "no").map(Into::into);
                return limit;
            }
            "go/no go" => {
                limit.equal = Some("go".into());
                return limit;
            }
            "date" | "text" | "time" => {
                let date = |t: &str| t.split(' ').find(|w| is_date(w)).map(String::from);
                if text.ends_with("or later") || text.contains("after ") {
                    limit.from = date(text);
                }
                return limit;
            }
            _ => {}
        }
        if has_decimal_comma(text) {
            return limit;
        }
        let number = |t: &str| figure(t, unit);
        if let Some(rest) = text.strip_prefix("at least ") {
            let mut rest = rest;
            if let Some((before, word)) = rest.split_once(", or ") {
                (rest, limit.or) = (before, Some(word.to_string()));
            }
            let ends = rest.split(", and at least ").map(|piece| match piece.split_once(" less ") {
                Some((a, b)) => Some(number(a)? - number(b)?),
                None => number(piece),
            });
            limit.least = ends.flatten().reduce(f64::max);
        } else if let Some(rest) = text.strip_prefix("at most ").or_else(|| text.strip_prefix("below ")) {
            limit.most = number(rest);
        } else if let Some(rest) = text.strip_prefix("within ") {
            if let (Some(share), Some(plan)) = (share(rest), plan) {
                (limit.least, limit.most) =
                    (Some(tidy(plan * (1.0 - share))), Some(tidy(plan * (1.0 + share))));
            }
        } else if let Some((low, high)) = text.split_once(" to ") {
            (limit.least, limit.most) = (number(low), number(high));
        } else if let Some((mid, half)) = text.split_once(" ± ") {
            if let (Some(mid), Some(half)) = (number(mid), number(half)) {
                (limit.least, limit.most) = (Some(mid - half), Some(mid + half));
            }
        } else if let Some((value, rest)) = text.split_once(", not below") {
            limit.least = number(value);
            let above = rest.split_once("at most ").and_then(|(_, t)| share(t));
            limit.most = limit.least.zip(above).map(|(v, s)| tidy(v * (1.0 + s)));
        } else if unit == "count" {
            let text = text.strip_prefix("exactly ").unwrap_or(text);
            let whole = text.split([',', ';', ' ']).next().and_then(|t| t.parse().ok());
            (limit.least, limit.most) = (whole, whole);
        }
        limit
    }

    pub fn is_open(&self) -> bool {
        *self == Limit::default()
    }
}

/// Takes the binary noise of a product off.
fn tidy(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

/// `4 % of maker's` as 0.04.
fn share(text: &str) -> Option<f64> {
    let (number, rest) = text.split_once(' ')?;
    rest.starts_with('%').then_some(())?;
    number.parse::<f64>().ok().map(|p| p / 100.0)
}

/// The number a text starts with, in `unit`; another unit after it gives none.
pub(super) fn figure(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim();
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(text.len());
    let number: f64 = text[..end].parse().ok()?;
    let rest = text[end..].trim_start();
    if has_decimal_comma(text) {
        return None;
    }
    let rest = rest.split([',', ';']).next().unwrap_or("").trim_end();
    let rest = rest.trim_end_matches(" rms").trim_end_matches(" peak");
    (rest.is_empty() || rest == unit || unit == "count").then_some(number)
}

/// `0,5 mm` is not nought: a digit on both sides of a comma makes a number we don't read.
fn has_decimal_comma(text: &str) -> bool {
    text.as_bytes().windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit())
}

fn is_date(word: &str) -> bool {
    word.len() == 10
        && word
            .bytes()
            .enumerate()
            .all(|(i, b)| if matches!(i, 4 | 7) { b == b'-' } else { b.is_ascii_digit() })
}

/// The form of one job's record.
pub(super) fn form(
    all: &Procedures,
    built: &Built,
    photos: &Photos,
    tests: Vec<Reading>,
    sheet: &TestSheet,
) -> Form {
    let steps: Vec<_> = built.method.runs.iter().flat_map(|r| r.steps.iter().map(move |s| (r, s))).collect();
    let mut points = Vec::new();
    for (i, (run, step)) in steps.iter().enumerate() {
        let Some(banner) = &step.control else { continue };
        let hides = |id: &str| all.steps.get(id).is_some_and(|s| s.covers.contains(&banner.id));
        let later = banner.hidden.then(|| steps[i + 1..].iter().position(|(_, s)| hides(&s.id)));
        let hidden = later.flatten().map(|at| i + 1 + at);
        let covering = hidden.and_then(|at| steps[at..].iter().find_map(|(_, s)| s.control.as_ref()));
        points.push(FormPoint {
            id: key(&banner.id),
            short: banner.short.clone(),
            letter: banner.letter.clone(),
            title: banner.title.clone(),
            step: step.number.clone(),
            stop: banner.stop.clone(),
            by: banner.by.clone(),
            holder: banner.by.ends_with("holder"),
            document: run.document.clone(),
            phases: banner.measures.iter().any(|m| m.cells == 3),
            covered_by: covering.map_or(String::new(), |b| key(&b.id)),
            readings: apart(banner.readings.clone()),
        });
    }
    let frames = photos.rows.iter().flat_map(|row| frames(row, &points)).collect();
    Form { frames, points, tests, documents: documents(built), disconnect: sheet.disconnect.clone() }
}

/// Two readings of one name get numbers.
fn apart(mut readings: Vec<Reading>) -> Vec<Reading> {
    let mut seen: Vec<String> = Vec::new();
    for reading in &mut readings {
        let same = seen.iter().filter(|id| **id == reading.id).count();
        seen.push(reading.id.clone());
        if same > 0 {
            reading.id = format!("{}_{}", reading.id, same + 1);
        }
    }
    readings
}

/// `semicon-edge` as a key: `semicon_edge`.
pub(super) fn key(id: &str) -> String {
    id.replace('-', "_")
}

fn documents(built: &Built) -> Vec<FormDocument> {
    let mut out: Vec<FormDocument> = Vec::new();
    for run in &built.method.runs {
        let (Some(first), Some(last)) = (run.steps.first(), run.steps.last()) else { continue };
        match out.last_mut() {
            Some(open) if open.document == run.document => open.to_step = last.number.clone(),
            _ => out.push(FormDocument {
                document: run.document.clone(),
                from_step: first.number.clone(),
                to_step: last.number.clone(),
            }),
        }
    }
    out.retain(|d| d.document != "none");
    out
}

/// The photographs of one row of the photo list.
fn frames(row: &PhotoRow, points: &[FormPoint]) -> Vec<FormFrame> {
    let short = row.point.rsplit(' ').next().unwrap_or("");
    let point = points.iter().find(|p| p.short == short);
    let each = row.phases && row.count.is_multiple_of(PHASES.len());
    let phases: &[&str] = if each { &PHASES } else { &["all"] };
    let count = row.count / phases.len();
    let mut out = Vec::new();
    for phase in phases {
        for n in 1..=count {
            let phase_part = if each { format!("-{phase}") } else { String::new() };
            let number = if count > 1 { format!("-{n}") } else { String::new() };
            out.push(FormFrame {
                id: format!("{}{phase_part}{number}", row.number),
                row: row.number.clone(),
                point: point.map_or(String::new(), |p| p.id.clone()),
                phase: (*phase).to_string(),
                card: format!("{}{phase_part}", row.card),
                text: row.text.clone(),
                covered_by: point.map_or(String::new(), |p| p.covered_by.clone()),
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(text: &str, unit: &str) -> (Option<f64>, Option<f64>) {
        let limit = Limit::read(text, unit, Some(60.0));
        (limit.least, limit.most)
    }

    #[test]
    fn printed_limits_are_judged_as_printed() {
        assert_eq!(ends("88 to 92 mm", "mm"), (Some(88.0), Some(92.0)));
        assert_eq!(ends("0.5 mm to 5 mm", "mm"), (Some(0.5), Some(5.0)));
        assert_eq!(ends("470 mm ± 3", "mm"), (Some(467.0), Some(473.0)));
        assert_eq!(ends("at least 30 mm, and at least 60 mm less 20 mm", "mm"), (Some(40.0), None));
        assert_eq!(ends("at least 204 mm, or capped", "mm"), (Some(204.0), None));
        assert_eq!(ends("at most 1 mm", "mm"), (None, Some(1.0)));
        assert_eq!(ends("0, no concession", "count"), (Some(0.0), Some(0.0)));
        assert_eq!(ends("at least 2", "count"), (Some(2.0), None));
        assert_eq!(ends("within 4 % of maker's", "N.m"), (Some(57.6), Some(62.4)));
        assert_eq!(ends("36.0 kV rms, not below; at most 3 % above", "kV"), (Some(36.0), Some(37.08)));
        assert_eq!(ends("at least 60 min", "min"), (Some(60.0), None));
        assert_eq!(ends("write it down", "mm"), (None, None));
        // A decimal comma is never read as what stands before it.
        for text in
            ["at least 0,5 mm", "at most 12,5 mm", "0,5 to 5,5 mm", "470,5 mm ± 3", "1,200, no concession"]
        {
            assert_eq!(ends(text, "mm"), (None, None), "{text}");
        }
        assert_eq!(ends("0,5 mm", "count"), (None, None));
        assert_eq!(Limit::read("2031-05-12 or later", "date", None).from.as_deref(), Some("2031-05-12"));
        assert_eq!(Limit::read("at least 204 mm, or capped", "mm", None).or.as_deref(), Some("capped"));
        assert_eq!(Limit::read("yes", "yes/no", None).equal.as_deref(), Some("yes"));
        assert_eq!(slug("dead proved on each bushing, detector proved"), "dead_proved_each_bushing");
    }
}
