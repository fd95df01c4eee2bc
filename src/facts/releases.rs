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

const ENGINEER: &str = "test engineer";
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

/// Words of `releases`; `none` is said of who releases nothing.
fn words(person: &Entry) -> Vec<String> {
    match person.get("releases") {
        Some(Value::Texts(words)) => {
            words.iter().map(|word| word.trim().to_lowercase()).filter(|word| word != "none").collect()
        }
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
        return wrong.then(|| format!("`{word}` are for a supervisor, the {role} can't release them"));
    }
    let mut named = points.iter().filter(|point| point.is(word)).peekable();
    if named.peek().is_none() {
        let known = points.iter().map(Point::word).chain(OTHERS).chain([HOLDER]);
        let near = nearest(word, known).map_or(String::new(), |near| format!(", did you mean `{near}`?"));
        return Some(format!("`{word}`, named for the {role}, is no point of {kind}{near}"));
    }
    named
        .find(|point| !point.fits(role))
        .map(|point| format!("`{word}` is released by the {}, the {role} can't release it", point.by))
}

/// What is left open, each in words and by the key it belongs to.
type Open = Vec<(String, String)>;

fn open(x: &Inputs) -> Result<Open, Gap> {
    let crew = x.entries("crew")?;
    let kind = x.word("job.work_type")?;
    let points = points(&kind);
    let of_all = |words: &str| vec![(words.to_string(), "crew".to_string())];
    if !crew.iter().any(|p| !role(p).contains("in charge") && !words(p).is_empty()) {
        return Ok(of_all("no releaser besides the jointer in charge is named"));
    }
    let mut said: Vec<String> = Vec::new();
    let mut wrong = Open::new();
    for (i, person) in crew.iter().enumerate() {
        for word in words(person) {
            let open = of_word(&word, &role(person), &kind, &points);
            wrong.extend(open.map(|open| (open, format!("crew.{i}.releases"))));
            said.push(word);
        }
    }
    // Who is named for what in the end is asked once these are right.
    if !wrong.is_empty() {
        return Ok(wrong);
    }
    let named = |word: &str| said.iter().any(|said| said == word);
    if named("all") {
        return Ok(Open::new());
    }
    let holder = points.iter().find(|p| p.on_document() && !named(HOLDER) && !named(p.id));
    if let Some(point) = holder {
        return Ok(of_all(&format!("nobody is named for `{}`, a point of a document's holder", point.id)));
    }
    let left: Vec<String> = points
        .iter()
        .filter(|p| p.of_the_crew() && !p.on_document() && !p.sometimes)
        .filter(|p| !named(OTHERS[0]) && !named(p.id) && !named(p.called))
        .map(|p| format!("`{}`", p.word()))
        .collect();
    Ok(if left.is_empty() {
        Open::new()
    } else {
        of_all(&format!("nobody is named for {}", left.join(", ")))
    })
}

/// Points of this job that a test engineer releases, while the crew names none.
fn without_engineer(x: &Inputs) -> Result<Open, Gap> {
    if x.entries("crew")?.iter().any(|person| role(person).contains(ENGINEER)) {
        return Ok(Open::new());
    }
    let (tested, before) = (x.yes("tests.planned")?, x.word("documents.before_work_test")?);
    let here = |point: &Point| match point.id {
        "hv-test" => tested,
        "pre-test" => !before.starts_with("none"),
        _ => true,
    };
    let points = points(&x.word("job.work_type")?);
    let of_engineer = points.iter().filter(|point| point.by == ENGINEER && here(point));
    Ok(of_engineer.map(|point| (format!("`{}`", point.id), "crew".to_string())).collect())
}

fn out(open: Open) -> Out {
    if open.is_empty() { Out::None("none") } else { Out::Open(open) }
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "releasers_open",
        title: "releasers left open",
        formula: "first of: nobody but the jointer in charge; words of `releases` that are no point of this work, and people whose role does not release theirs; points that nobody is named for",
        inputs: &["crew", "job.work_type"],
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "A point goes by its id in the pack or by a short word: edge, surface, filler, body, connector, parked parts.",
        compute: |x| open(x).map(out),
    },
    Def {
        name: "engineer_open",
        title: "points of a test engineer whom the crew does not name",
        formula: "the test where one is planned, tests before the work, the survey of an inspection; none where the crew has a test engineer",
        inputs: &["crew", "job.work_type", "tests.planned", "documents.before_work_test"],
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "People the pack does not name are checked at sign-on.",
        compute: |x| without_engineer(x).map(out),
    },
];
