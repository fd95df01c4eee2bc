//! Items of the library that may do for a job which names none: what a planner can
//! choose from. Only the coarse answers are held against them; the rules judge the rest.

use super::schema::{Shelf, WorkKind, work_kind};
use super::{Given, Library, Value, read};
use crate::source::Source;
use serde_yaml::Value as Tree;
use std::collections::BTreeMap;

type Figures = BTreeMap<String, Given>;

/// More names than this are no choice any more.
const MOST: usize = 8;

/// For each shelf of which the job names nothing, what there is on it, as one sentence.
pub(super) fn of_each_shelf(
    library: &Library,
    job: &Figures,
    named: &BTreeMap<Shelf, usize>,
) -> BTreeMap<Shelf, String> {
    let kind = word(job, "job.work_type").and_then(|name| work_kind(&name));
    [Shelf::Cables, Shelf::Kits, Shelf::Lugs, Shelf::Boots]
        .into_iter()
        .filter(|shelf| !named.contains_key(shelf) && asked(job, *shelf))
        .map(|shelf| (shelf, sentence(library, job, kind, shelf)))
        .collect()
}

/// Whether an item is still to be named: a cable may be written out in the job, and to
/// want no lug or boots is an answer.
fn asked(job: &Figures, shelf: Shelf) -> bool {
    let name = if shelf == Shelf::Cables { "cable.library" } else { shelf.one() };
    match job.get(name).map(|given| &given.value) {
        None => shelf != Shelf::Cables || !job.contains_key("cable.cores"),
        Some(Value::None(_)) => shelf == Shelf::Kits,
        Some(_) => false,
    }
}

fn sentence(library: &Library, job: &Figures, kind: Option<WorkKind>, shelf: Shelf) -> String {
    let all = library.codes(shelf);
    let fit = |code: &&String| item(library, shelf, code).is_some_and(|own| fits(shelf, &own, job, kind));
    let fitting: Vec<&str> = all.iter().filter(fit).map(String::as_str).collect();
    let (one, folder) = (shelf.one(), shelf.folder());
    let begin = format!("`cutback new {one} --out library/{folder}/CODE.yaml` begins another");
    let key = if shelf == Shelf::Cables { "library" } else { one };
    match fitting.as_slice() {
        _ if all.is_empty() => format!("There is none in the library: {}.", begin.replace("another", "one")),
        [] => format!("None of the library suits the answers so far: {begin}."),
        codes => {
            let more = if codes.len() > MOST { " and more" } else { "" };
            let codes = codes[..codes.len().min(MOST)].join(", ");
            format!("Behind `{key}:` may stand, as far as answered: {codes}{more}; {begin}.")
        }
    }
}

/// The figures of an item; nothing where it does not read, which is told when it is named.
fn item(library: &Library, shelf: Shelf, code: &str) -> Option<Figures> {
    let text = library.fetch(shelf, code).ok()?.text;
    let (source, error) = Source::read(code, text);
    if error.is_some() {
        return None;
    }
    let tree: Tree = serde_yaml::from_str(source.text()).ok()?;
    let reading = read::read(&source, 0, &tree, shelf.keys(), shelf.one());
    reading.findings.is_empty().then_some(reading.given)
}

fn word(of: &Figures, name: &str) -> Option<String> {
    of.get(name).map(|given| given.value.to_string())
}

fn number(of: &Figures, name: &str) -> Option<f64> {
    of.get(name).and_then(|given| given.value.number())
}

/// Whether two answers agree, as far as both are there.
fn alike<T: PartialEq>(a: Option<T>, b: Option<T>) -> bool {
    a.is_none() || b.is_none() || a == b
}

fn within(of: &Figures, name: &str, figure: Option<f64>) -> bool {
    match (of.get(name).map(|given| &given.value), figure) {
        (Some(Value::Range(range)), Some(figure)) => {
            (range.low.base() - 1e-9..=range.high.base() + 1e-9).contains(&figure)
        }
        _ => true,
    }
}

fn fits(shelf: Shelf, own: &Figures, job: &Figures, kind: Option<WorkKind>) -> bool {
    let cores = kind.and_then(|k| k.cores).map(|n| n as f64).or_else(|| number(job, "cable.cores"));
    let area = number(job, "cable.conductor.area");
    let family = kind.map_or("", |k| k.family);
    match shelf {
        Shelf::Cables => alike(number(own, "cable.cores"), cores),
        Shelf::Kits => {
            let hot = word(own, "kit.technique").map(|t| t == "heat-shrink");
            let technique = match kind.map(|k| k.technique) {
                Some("hot") => hot != Some(false),
                Some("cold") => hot != Some(true),
                _ => true,
            };
            let high_enough = match (number(own, "kit.um"), number(job, "system.highest")) {
                (Some(um), Some(needed)) => um >= needed - 1e-9,
                _ => true,
            };
            technique
                && high_enough
                && made_for(own, family)
                && alike(number(own, "kit.cores"), cores)
                && within(own, "kit.conductor_area", area)
                && within(own, "kit.dia_over_insulation", number(job, "cable.dia_over_insulation"))
        }
        Shelf::Lugs => {
            let kind = if family == "joint" { "connector" } else { "lug" };
            alike(word(own, "lug.kind").as_deref(), Some(kind))
                && alike(number(own, "lug.conductor_area"), area)
                && alike(word(own, "lug.metal"), word(job, "cable.conductor.metal"))
                && alike(word(own, "lug.stud"), word(job, "enclosure.stud"))
        }
        Shelf::Boots => true,
    }
}

/// By the work it is made for, and indoors or outdoors at an end.
fn made_for(kit: &Figures, family: &str) -> bool {
    let work = match family {
        "joint" => "joint",
        "connector" => "separable connector",
        _ => "termination",
    };
    let outdoor = match family {
        "outdoor" => Some("outdoor"),
        "box" => Some("indoor"),
        // An inspection looks at whatever is there.
        _ => None,
    };
    alike(word(kit, "kit.made_for").as_deref(), Some(work))
        && alike(word(kit, "kit.environment").as_deref(), outdoor)
}
