//! Who signed the record and when, and when the circuit was handed back.

use super::item::Item;
use super::points::name;
use super::view::{View, same};
use crate::procedure::FormPoint;
use jiff::Timestamp;

/// The two who sign, by the record's key, with the role that each signs in.
const SIGN: [(&str, &str); 2] = [("jointer", "jointer in charge"), ("supervisor", "supervisor")];

pub(super) fn facts(view: &View, item: &mut Item) {
    let by = |key: &str| view.text(&format!("signatures.{key}.by"));
    let at = |key: &str| view.time(&format!("signatures.{key}.at"));
    let mut missing = Vec::new();
    for (key, who) in SIGN {
        if by(key).is_none() || at(key).is_none() {
            missing.push(who);
        }
    }
    if view.cleared().is_none() {
        missing.push("clearance of the last document");
    }
    let words = if missing.is_empty() { "none".to_string() } else { missing.join(", ") };
    item.word("record.unsigned", Some(words), "signatures");
    let (mut wrong, mut odd) = (None, None);
    for (key, role) in SIGN {
        let (Some(by), Some(at)) = (by(key), at(key)) else { continue };
        let (bad, question) = signature(view, role, &by, at);
        let place = |words: String| (words, format!("signatures.{key}.by"));
        wrong = wrong.or(bad.map(place));
        odd = odd.or(question.map(place));
    }
    if let (Some(one), Some(two)) = (by("jointer"), by("supervisor"))
        && same(&one, &two)
    {
        wrong = wrong.or(Some((format!("{one} signed as both"), "signatures.supervisor.by".into())));
    }
    let at = wrong.as_ref().or(odd.as_ref()).map_or("signatures".to_string(), |(_, at)| at.clone());
    for (fact, found) in [("signature.wrong", wrong), ("signature.odd", odd)] {
        item.word(fact, Some(found.map_or("none".into(), |(words, _)| words)), &at);
    }
    let returned = view.time("hand_back.returned");
    let back = view.text("hand_back.returned_to").is_some() && returned.is_some();
    item.yes("record.handed_back", Some(back), "hand_back.returned");
    let (early, odd) = returned.map_or((None, None), |t| hand_back(view, t));
    for (fact, found) in [("hand_back.early", early), ("hand_back.odd", odd)] {
        item.word(fact, Some(found.unwrap_or_else(|| "none".into())), "hand_back.returned");
    }
}

/// When something happened, in words that the time is put behind.
type End = (Timestamp, String);

/// The last release of the work, and that of the point which closes the job.
fn last(view: &View) -> (Option<End>, Option<End>) {
    let Some((close, work)) = view.pack.form.points.split_last() else { return (None, None) };
    let released = |p: &FormPoint| {
        let times = view.releases(p).into_iter().filter_map(|(_, t)| t);
        times.max().map(|t| (t, format!("{} was released", name(p))))
    };
    (work.iter().filter_map(released).max_by_key(|(t, _)| *t), released(close))
}

/// What is wrong with one signature, and what is only asked.
fn signature(view: &View, role: &str, by: &str, at: Timestamp) -> (Option<String>, Option<String>) {
    let (work, close) = last(view);
    let before = |end: Option<End>| {
        let (time, what) = end.filter(|(time, _)| at < *time)?;
        Some(format!("the {role} signed {}, and {what} {}", view.show(at), view.show(time)))
    };
    let completed = view.time("record.completed").map(|t| (t, "the record was completed".to_string()));
    let after = |end: Option<End>| {
        let (time, what) = end.filter(|(time, _)| at > *time)?;
        Some(format!("the {role} signed {}, and {what} {}", view.show(at), view.show(time)))
    };
    let person = view.person_by(by);
    let own = person.map(|p| p.role.to_lowercase()).unwrap_or_default();
    let builds = ["jointer", "mate"].iter().any(|r| own.contains(r));
    let (mut wrong, mut odd) = (None, None);
    if person.is_none() {
        wrong = Some(format!("{by} signed as {role}, and is not on the sign-on sheet"));
    } else if !own.contains(role) {
        // A pack may call its supervisor otherwise; whoever builds the end is none.
        let words = Some(format!("{by}, {own}, signed as {role}"));
        if role == "supervisor" && builds { wrong = words } else { odd = words }
    }
    (wrong.or_else(|| before(work)), odd.or_else(|| before(close)).or_else(|| after(completed)))
}

/// The circuit handed back before the work was over, or before the job was closed.
fn hand_back(view: &View, returned: Timestamp) -> (Option<String>, Option<String>) {
    let (work, close) = last(view);
    let cleared = view.cleared().map(|t| (t, "the last document was cleared".to_string()));
    let before = |end: Option<End>| {
        let (time, what) = end.filter(|(time, _)| returned < *time)?;
        Some(format!("handed back {}, and {what} {}", view.show(returned), view.show(time)))
    };
    (before(cleared).or_else(|| before(work)), before(close))
}
