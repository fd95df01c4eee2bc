//! Points of control: who released what, when, and under which document.

use super::item::Item;
use super::people;
use super::view::{View, minutes, same};
use crate::procedure::FormPoint;
use jiff::Timestamp;

/// Two stops released by one person nearer than this look like one sitting,
/// minutes. Common practice, no source.
const SITTING_MIN: f64 = 2.0;

pub(super) fn items(view: &View) -> Vec<Item> {
    view.pack.form.points.iter().enumerate().map(|(i, point)| item(view, i, point)).collect()
}

pub(super) fn name(point: &FormPoint) -> String {
    format!("point {} ({})", point.short, point.title)
}

fn item(view: &View, index: usize, point: &FormPoint) -> Item {
    let at = format!("points.{}", point.id);
    let part = |key: &str| format!("{at}.{key}");
    let mut item = Item::new(at.clone());
    let releases = view.releases(point);
    let missing: Vec<&str> = releases.iter().filter(|(_, t)| t.is_none()).map(|(p, _)| *p).collect();
    let missing = if missing.is_empty() {
        "none".to_string()
    } else if missing.len() == releases.len() {
        "not at all".into()
    } else {
        format!("not for {}", missing.join(", "))
    };
    let done_by = view.text(&part("done_by"));
    let by = view.text(&part("released_by"));
    let times: Vec<Timestamp> = releases.iter().filter_map(|(_, t)| *t).collect();
    let last = times.iter().max().copied();
    let remote = view.yes(&part("remote")).unwrap_or(false);
    let framed = view.pack.form.frames.iter().any(|f| f.point == point.id);
    let (by_at, released_at) = (part("released_by"), part("released"));
    item.word("point.title", Some(name(point)), &at)
        .word("point.letter", Some(point.letter.clone()), &at)
        .word("point.by", Some(point.by.clone()), &at)
        .yes("point.holder", Some(point.holder), &at)
        .word("point.missing", Some(missing), &released_at)
        .word("point.who_missing", Some(who_missing(done_by.is_some(), by.is_some())), &by_at)
        .word("point.early", Some(early(view, index, point)), &released_at)
        .word("point.released_by", by.clone(), &by_at)
        .yes("point.self_release", done_by.as_ref().zip(by.as_ref()).map(|(d, b)| shares(view, d, b)), &by_at)
        .word("point.releaser", by.as_ref().map(|b| releaser(view, point, b, &times)), &by_at)
        .word("point.power", by.as_ref().zip(last).map(|(b, t)| power(view, b, t)), &by_at)
        .word("point.absence", by.as_ref().map(|b| absence(view, b, &times, remote)), &by_at)
        .word("point.document", document(view, point, &times), &released_at)
        .yes("point.after_clearance", after_clearance(view, index, last), &released_at)
        .word("point.doer", Some(doer(view, &part("asked"), done_by.as_deref(), &times)), &part("done_by"))
        .yes("point.unseen", Some(remote && !framed), &part("remote"))
        .yes("point.asked_late", Some(asked_late(view, &part("asked"), &times)), &part("asked"));
    let (hours, words) = open(view, point);
    item.number("point.open_h", Some(hours), "h", &released_at).word("point.open", Some(words), &released_at);
    item
}

/// The last point of all is the hand-back: it is released once the document is
/// cleared.
fn after_clearance(view: &View, index: usize, last: Option<Timestamp>) -> Option<bool> {
    if index + 1 == view.pack.form.points.len() {
        return Some(false);
    }
    view.cleared().zip(last).map(|(cleared, time)| time > cleared)
}

fn who_missing(done: bool, released: bool) -> String {
    match (done, released) {
        (true, true) => "none",
        (false, true) => "who did it",
        (true, false) => "who released it",
        (false, false) => "who did it and who released it",
    }
    .into()
}

/// Whether the releaser is among those who did it.
fn shares(view: &View, done: &str, by: &str) -> bool {
    people::listed(view, done).iter().any(|d| same(d, by))
}

/// Who did it was signed on, and there when the release was asked for.
fn doer(view: &View, asked: &str, done_by: Option<&str>, times: &[Timestamp]) -> String {
    let first = view.time(asked).or_else(|| times.iter().min().copied());
    let all = people::listed(view, done_by.unwrap_or_default());
    let missing = all.iter().find_map(|who| people::missing(view, who, first.as_slice(), 0.0));
    missing.unwrap_or_else(|| "there".into())
}

/// Bare insulation, a bare edge, mastic: what draws damp and dust until it is covered.
const OPEN: [&str; 7] = [
    "semicon_edge",
    "insulation_surface",
    "filler",
    "joint_edge",
    "joint_surface",
    "connector",
    "joint_fill",
];

/// How long it lay open between its own release and that of the point that hides it, hours
/// and words; the phase that lay longest.
fn open(view: &View, point: &FormPoint) -> (f64, String) {
    let none = (0.0, "none".to_string());
    let cover = view.point(&point.covered_by).filter(|_| OPEN.contains(&point.id.as_str()));
    let Some(cover) = cover else { return none };
    let ends = view.releases(cover);
    let of_phase = |phase: &str| ends.iter().find(|(p, _)| p.is_empty() || *p == phase).and_then(|(_, t)| *t);
    let spans = view.releases(point).into_iter().filter_map(|(phase, from)| {
        let (from, to) = (from?, of_phase(phase).or_else(|| view.released(cover))?);
        Some((minutes(from, to) / 60.0, from, to))
    });
    spans.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(none, |(hours, from, to)| {
        let words = format!("released {}, {} {}", view.show(from), name(cover), view.show(to));
        (hours, words)
    })
}

/// The first hold before this one on the same phase that was released later.
fn early(view: &View, index: usize, point: &FormPoint) -> String {
    let before = view.pack.form.points[..index].iter().filter(|p| p.letter == "H");
    if point.letter != "H" {
        return "none".into();
    }
    for earlier in before {
        for (phase, time) in view.releases(point) {
            let Some(time) = time else { continue };
            for (other, theirs) in view.releases(earlier) {
                let together = phase.is_empty() || other.is_empty() || phase == other;
                if let Some(theirs) = theirs.filter(|t| together && time < *t) {
                    let phase = if phase.is_empty() { String::new() } else { format!(" {phase}") };
                    return format!(
                        "{}{phase} released {}, and {} before it {}",
                        name(point),
                        view.show(time),
                        name(earlier),
                        view.show(theirs)
                    );
                }
            }
        }
    }
    "none".into()
}

/// Whether the releaser is known, and one the point may be released by.
fn releaser(view: &View, point: &FormPoint, by: &str, times: &[Timestamp]) -> String {
    let Some(person) = view.person_by(by) else { return "not on the sign-on sheet".into() };
    if !person.known() {
        return "neither named by the pack nor checked at sign-on".into();
    }
    if point.holder {
        let at = times.first().and(view.document_at(&point.step));
        let holder = at.and_then(|i| view.text(&format!("documents.{i}.holder")));
        return match holder {
            Some(holder) if same(&holder, by) => "fits".into(),
            Some(holder) => format!("not the document's holder, {holder}"),
            None => "fits".into(),
        };
    }
    let role = person.role.to_lowercase();
    let fits = point.by.to_lowercase().split(" or ").any(|wanted| {
        let wanted = wanted.trim();
        role.contains(wanted) || (!role.is_empty() && wanted.contains(&role))
    });
    if fits { "fits".into() } else { format!("{}, and the point is for: {}", person.role, point.by) }
}

fn power(view: &View, by: &str, at: Timestamp) -> String {
    let Some(person) = view.person_by(by) else { return "unknown".into() };
    match person.valid_to {
        Some(until) if until < view.day(at) => format!("ran out on {until}"),
        Some(_) => "valid".into(),
        None => "no date of validity".into(),
    }
}

fn absence(view: &View, by: &str, times: &[Timestamp], remote: bool) -> String {
    let Some(person) = view.person_by(by) else { return "none".into() };
    match times.iter().find(|t| person.away(**t, 0.0)) {
        Some(time) if !remote => {
            format!("released {}, signed on {}", view.show(*time), person.times(view))
        }
        _ => "none".into(),
    }
}

/// Whether the document that the step needs was in force at every release.
fn document(view: &View, point: &FormPoint, times: &[Timestamp]) -> Option<String> {
    let Some(i) = view.document_at(&point.step) else { return Some("none needed".into()) };
    if times.is_empty() {
        return Some("not released".into());
    }
    let received = view.time(&format!("documents.{i}.received"))?;
    let returned = view.time(&format!("documents.{i}.returned"));
    let what = &view.pack.form.documents[i].document;
    if let Some(time) = times.iter().find(|t| **t < received) {
        return Some(format!(
            "released {}, the {what} was received {}",
            view.show(*time),
            view.show(received)
        ));
    }
    match returned.and_then(|r| times.iter().find(|t| **t > r).map(|t| (r, *t))) {
        // The clearance of the last document is a rule of its own.
        Some((r, t)) if i + 1 < view.pack.form.documents.len() => {
            Some(format!("released {}, the {what} was returned {}", view.show(t), view.show(r)))
        }
        _ => Some("in force".into()),
    }
}

fn asked_late(view: &View, asked: &str, times: &[Timestamp]) -> bool {
    view.time(asked).is_some_and(|a| times.iter().any(|t| a > *t))
}

/// Each stop against the one before it.
pub(super) fn stops(view: &View) -> Vec<Item> {
    let mut out = Vec::new();
    let numbers: Vec<&str> = view.pack.release.stops.iter().map(|s| s.number.as_str()).collect();
    let signed = |number: &str| -> Vec<(Timestamp, String, &FormPoint)> {
        let points = view.pack.form.points.iter().filter(|p| p.stop == number && p.letter == "H");
        points
            .filter_map(|p| Some((view.released(p)?, view.text(&format!("points.{}.released_by", p.id))?, p)))
            .collect()
    };
    for pair in numbers.windows(2) {
        let title = format!("STOP {}", pair[1]);
        let (before, after) = (signed(pair[0]), signed(pair[1]));
        let at = after.first().map_or("points".to_string(), |(_, _, p)| format!("points.{}.released", p.id));
        let mut item = Item::new(at.clone());
        let close = before.iter().find_map(|(a, who, _)| {
            let near = |b: &Timestamp| minutes(*a, *b).abs() < SITTING_MIN;
            after.iter().find(|(b, other, _)| same(who, other) && near(b)).map(|(b, ..)| (who, *a, *b))
        });
        let words = close.map_or("none".to_string(), |(who, a, b)| {
            format!(
                "{who} released STOP {} at {} and STOP {} at {}",
                pair[0],
                view.show(a),
                pair[1],
                view.show(b)
            )
        });
        item.word("stop.title", Some(title), &at).word("stop.one_sitting", Some(words), &at);
        out.push(item);
    }
    out
}
