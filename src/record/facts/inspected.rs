//! The record of an inspection: its decision against the figures written with it, and
//! those figures against the as-found file the decision was computed from.

use super::super::struck::{self, DECIDED_AT};
use super::super::table::answer_name;
use super::item::Item;
use super::points::name;
use super::view::{PHASES, View, leading, plain, same};
use crate::job::{Job, Value};
use crate::procedure::{FormPoint, Limit, Reading};

const DECISIONS: [&str; 4] = ["keep", "keep and watch", "remake", "redesign"];

/// Two writings of one figure may be rounded apart by this much, mm.
const ROUNDING_MM: f64 = 0.5;

/// A length and the two steps it lies between are felt, not cut, mm. Common practice, no
/// source.
const STEPS_MM: f64 = 5.0;

const PAIRS: [(&str, &str); 3] = [("L1-L2", "l1_l2"), ("L2-L3", "l2_l3"), ("L1-L3", "l1_l3")];

/// Points and readings with the key of the as-found file that says the same.
const SAME: [(&str, &str, &str); 8] = [
    ("tube_by_steps", "upper", "upper_step"),
    ("tube_by_steps", "lower", "lower_step"),
    ("tube_by_steps", "lower_height", "lower_step_height"),
    ("gaps_as_found", "gap", "gap"),
    ("gaps_as_found", "gap_height", "height"),
    ("gaps_as_found", "earth_gap", "earth_gap"),
    ("creepage_as_found", "creepage", "creepage"),
    ("creepage_as_found", "arcing", "arcing"),
];

const DECISION: &str = "points.remake_decision.decision";

pub(super) fn facts(view: &View, item: &mut Item) {
    let inspects = view.point(DECIDED_AT).is_some();
    let written = view.text(DECISION);
    let known = written.as_ref().map(|w| DECISIONS.iter().find(|d| same(w, d)));
    item.yes("record.inspects", Some(inspects), "points")
        .word("inspection.decision", written, DECISION)
        .yes("inspection.decided", known.map(|d| d.is_some()), DECISION)
        .yes("inspection.kept", known.map(|d| d.is_some_and(|d| *d == "keep")), DECISION)
        .yes("inspection.watched", known.map(|d| d.is_some_and(|d| *d == "keep and watch")), DECISION)
        .word("inspection.outside", Some(outside(view).unwrap_or_else(|| "none".into())), DECISION);
    let (went_on, at) = went_on(view).unwrap_or_else(|| ("none".into(), DECISION.into()));
    item.word("inspection.went_on", Some(went_on), &at);
    let named = "record.as_found";
    match view.dossier.as_found {
        Some(Ok(found)) => {
            let other = differs(view, found);
            item.word("inspection.found", Some(other.unwrap_or_else(|| "agrees".into())), named)
        }
        Some(Err(why)) => item.word("inspection.found", Some(why.clone()), named),
        None if inspects => item.word("inspection.found", Some("none is named".into()), named),
        None => item.absent("inspection.found", "no inspection", named),
    };
}

/// Points that are looked at whatever becomes of the end: nothing is put back by them.
const HARMLESS: [&str; 3] = ["box_closed", "pole_clear", "screens_earthed"];

/// The first point that the decision strikes through and somebody released all the same,
/// or palms that went back on.
fn went_on(view: &View) -> Option<(String, String)> {
    let struck = struck::points(view.record, view.dossier.pack);
    let released = struck.iter().filter(|p| !HARMLESS.contains(&p.id.as_str())).find_map(|point| {
        let time = view.releases(point).into_iter().find_map(|(_, t)| t)?;
        let words = format!("{} was released {}", name(point), view.show(time));
        Some((words, format!("points.{}.released", point.id)))
    });
    let given_up = struck::given_up(view.record);
    released.or_else(|| {
        let count = view.record.count("disconnected").filter(|_| given_up)?;
        (0..count).map(|i| format!("disconnected.{i}")).find_map(|at| {
            let item = view.text(&format!("{at}.item")).filter(|item| super::is_palms(item))?;
            let time = view.time(&format!("{at}.back"))?;
            Some((format!("{item} went back {}", view.show(time)), format!("{at}.back")))
        })
    })
}

/// Points at which an end is measured and described as it was found.
const AS_FOUND: [&str; 5] =
    ["live_survey", "tube_by_steps", "gaps_as_found", "condition", "creepage_as_found"];

pub(super) fn is_as_found(point: &str) -> bool {
    AS_FOUND.contains(&point)
}

/// The first answer as found that lies outside what its blank says is right.
fn outside(view: &View) -> Option<String> {
    let points = || AS_FOUND.into_iter().filter_map(|id| view.point(id));
    let readings = || points().flat_map(|p| p.readings.iter().map(move |r| (p, r)));
    let figure = readings().find_map(|(point, reading)| outside_of(view, point, reading));
    figure.or_else(|| contradicts(view)).or_else(|| readings().find_map(|(p, r)| speaks(view, p, r)))
}

/// A length that its two steps do not give.
fn contradicts(view: &View) -> Option<String> {
    PHASES.into_iter().find_map(|phase| {
        let read = |what: &str| view.number(&format!("points.tube_by_steps.{what}.{phase}"));
        let (steps, length) = (read("lower")? - read("upper")?, read("length")?);
        let apart = (steps - length).abs() > STEPS_MM;
        apart.then(|| {
            format!("{phase}: lower less upper step is {} mm, {} mm written", plain(steps), plain(length))
        })
    })
}

/// A description that speaks against the end.
fn speaks(view: &View, point: &FormPoint, reading: &Reading) -> Option<String> {
    let words = reading.words.as_ref()?;
    reading.cells.iter().find_map(|cell| {
        let text = view.text(&answer_name(&point.id, &reading.id, cell))?;
        let place = if cell.is_empty() { String::new() } else { format!(", {cell}") };
        words.is_wrong(&text).then(|| format!("{}{place}: `{text}`", reading.title))
    })
}

/// The client's most, `write it down; client's most 6 dB over background`.
fn over_the_clients(view: &View, point: &FormPoint, reading: &Reading) -> Option<String> {
    let most = reading.limits.strip_prefix("write it down; client's most ")?;
    let at = answer_name(&point.id, &reading.id, "");
    let value = view.number(&at).or_else(|| leading(&view.text(&at)?))?;
    let over = value > leading(most)?;
    over.then(|| format!("{}: {}; client's most {most}", reading.title, plain(value)))
}

fn outside_of(view: &View, point: &FormPoint, reading: &Reading) -> Option<String> {
    if let Some(over) = over_the_clients(view, point, reading) {
        return Some(over);
    }
    let said = reading.limits.strip_prefix("write it down; ")?;
    let limit = match said.strip_prefix("least ") {
        Some(least) => Limit::read(&format!("at least {least}"), &reading.unit, None),
        None => Limit::read(said.strip_suffix(" is right")?, &reading.unit, None),
    };
    let wrong = |v: f64| limit.least.is_some_and(|l| v < l) || limit.most.is_some_and(|m| v > m);
    reading.cells.iter().find_map(|cell| {
        let value = view.number(&format!("points.{}.{}.{cell}", point.id, reading.id))?;
        wrong(value).then(|| format!("{}, {cell}: {} {}; {said}", reading.title, plain(value), reading.unit))
    })
}

/// What the as-found file says otherwise, first.
fn differs(view: &View, found: &Job) -> Option<String> {
    let job = &view.pack.job;
    let own = [("job", &job.number), ("revision", &job.revision), ("end", &job.end)];
    let other = own.into_iter().find_map(|(key, own)| {
        let text = found.text(&format!("found.{key}")).unwrap_or_default();
        (!same(&text, own)).then(|| format!("it is of {key} {text}, the record of {own}"))
    });
    other.or_else(|| SAME.iter().find_map(|(point, reading, key)| figure(view, found, point, reading, key)))
}

fn figure(view: &View, found: &Job, point: &str, reading: &str, key: &str) -> Option<String> {
    let pairs = PAIRS.map(|(cell, pair)| (cell.to_string(), format!("gaps.{pair}.{key}")));
    let phases = PHASES.map(|p| (p.to_string(), format!("{}.{key}", p.to_lowercase())));
    let cells = if matches!(key, "gap" | "height") { pairs } else { phases };
    cells.into_iter().find_map(|(cell, name)| {
        let here = view.number(&format!("points.{point}.{reading}.{cell}"))?;
        let there = found.get(&name).and_then(Value::number)?;
        let apart = (here - there).abs() > ROUNDING_MM;
        apart.then(|| format!("{name} {} mm, the record has {} mm at {cell}", plain(there), plain(here)))
    })
}
