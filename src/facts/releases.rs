//! Who releases which point: what the crew's `releases` say, held against the points of
//! the kind of work.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::job::schema::Mark;
use crate::job::{Value, nearest};
use std::collections::BTreeMap;

/// Every point of every kind of work: id, what a job calls it, by whom, letter, whether
/// some jobs leave it out, kinds. Drawn from `templates/procedures`; a test holds both
/// together and writes it anew.
const TABLE: &str = include_str!("../../templates/points.csv");

const HOLDER: &str = "points on a safety document, as its holder";
const OTHERS: [&str; 2] = ["all other points", "all"];

type Entry = BTreeMap<String, Value>;

struct Point {
    id: &'static str,
    called: &'static str,
    by: &'static str,
    letter: &'static str,
    sometimes: bool,
}

impl Point {
    fn is(&self, word: &str) -> bool {
        self.id == word || self.called == word
    }

    fn word(&self) -> &'static str {
        if self.called.is_empty() { self.id } else { self.called }
    }

    /// On a safety document, whose holder alone releases it.
    fn on_document(&self) -> bool {
        self.by.ends_with("holder")
    }

    /// Whether a person of this role may release it; who holds a document shows on the day.
    fn fits(&self, role: &str) -> bool {
        self.on_document() || self.by.split(" or ").any(|by| role.contains(by) || by.contains(role))
    }

    /// Released by the crew itself, and not by a test engineer, a client or who did it.
    fn of_the_crew(&self) -> bool {
        self.letter != "C" && (self.by.contains("supervisor") || self.by.contains("second jointer"))
    }
}

fn points(kind: &str) -> Vec<Point> {
    let rows = TABLE.lines().skip(1).map(|line| {
        let mut fields = line.split(',');
        let mut next = || fields.next().unwrap_or("");
        let point = Point {
            id: next(),
            called: next(),
            by: next(),
            letter: next(),
            sometimes: next() == "sometimes",
        };
        (point, next())
    });
    rows.filter(|(_, kinds)| kinds.split(' ').any(|k| k == kind)).map(|(point, _)| point).collect()
}

fn words(person: &Entry) -> Vec<String> {
    match person.get("releases") {
        Some(Value::Texts(words)) => words.iter().map(|word| word.trim().to_lowercase()).collect(),
        _ => Vec::new(),
    }
}

fn role(person: &Entry) -> String {
    person.get("role").map(|role| role.to_string().to_lowercase()).unwrap_or_default()
}

/// What one word of one person leaves open.
fn of_word(word: &str, role: &str, kind: &str, points: &[Point]) -> Option<String> {
    if word == HOLDER {
        return None;
    }
    if OTHERS.contains(&word) {
        let wrong = !role.contains("supervisor");
        return wrong.then(|| format!("`{word}` are for a supervisor, and {role} is none"));
    }
    let mut named = points.iter().filter(|point| point.is(word)).peekable();
    if named.peek().is_none() {
        let known = points.iter().map(Point::word).chain(OTHERS).chain([HOLDER]);
        let near = nearest(word, known).map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        return Some(format!("`{word}`, named for {role}, is no point of {kind}{near}"));
    }
    named
        .find(|point| !point.fits(role))
        .map(|point| format!("`{word}` is released by the {}, and {role} is none", point.by))
}

fn open(x: &Inputs) -> Result<Option<String>, Gap> {
    let crew = x.entries("crew")?;
    let kind = x.word("job.work_type")?;
    let points = points(&kind);
    if !crew.iter().any(|p| !role(p).contains("in charge") && !words(p).is_empty()) {
        return Ok(Some("no releaser besides the jointer in charge is named".into()));
    }
    let each = crew.iter().flat_map(|p| words(p).into_iter().map(|word| (word, role(p))));
    let said: Vec<(String, String)> = each.collect();
    let wrong = said.iter().find_map(|(word, role)| of_word(word, role, &kind, &points));
    if wrong.is_some() {
        return Ok(wrong);
    }
    let named = |word: &str| said.iter().any(|(said, _)| said == word);
    if named("all") {
        return Ok(None);
    }
    let holder = points.iter().find(|p| p.on_document() && !named(HOLDER) && !named(p.id));
    if let Some(point) = holder {
        return Ok(Some(format!("nobody is named for `{}`, a point of a document's holder", point.id)));
    }
    let left: Vec<&str> = points
        .iter()
        .filter(|p| p.of_the_crew() && !p.on_document() && !p.sometimes)
        .filter(|p| !named(OTHERS[0]) && !named(p.id) && !named(p.called))
        .map(Point::word)
        .collect();
    Ok(match left.as_slice() {
        [] => None,
        [one] => Some(format!("nobody is named for `{one}`")),
        [one, others @ ..] => Some(format!("nobody is named for `{one}` and {} more", others.len())),
    })
}

pub(super) const FACTS: &[Def] = &[Def {
    name: "releasers_open",
    title: "releasers left open",
    formula: "first of: nobody but the jointer in charge, a word of `releases` that is no point of this work, a person whose role does not release it, a point that nobody is named for",
    inputs: &["crew", "job.work_type"],
    mark: Mark::Planner,
    show: Show::Word,
    meaning: "A point goes by its id in the pack or by a short word: edge, surface, filler, body, connector, parked parts.",
    compute: |x| Ok(open(x)?.map_or(Out::None("none"), Out::Word)),
}];
