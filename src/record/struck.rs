//! What a decision strikes through: every point between the decision and the last, with
//! its frames, as the pack's stop says. Nobody is asked for them any more.

use super::answer::Answer;
use super::read::Record;
use crate::procedure::{FormPoint, Pack};
use std::borrow::Cow;

/// The point at which it is decided what becomes of an end as it was found.
pub(super) const DECIDED_AT: &str = "remake_decision";

/// Asked only of an end that is watched.
const WATCHED_FOR: &str = "months";

fn decision(record: &Record) -> Option<String> {
    match record.get(&format!("points.{DECIDED_AT}.decision")).map(|g| &g.answer) {
        Some(Answer::Text(word)) => Some(word.trim().to_lowercase()),
        _ => None,
    }
}

/// Whether the record's decision is one after which the end is not put back.
pub(super) fn given_up(record: &Record) -> bool {
    decision(record).is_some_and(|word| word == "remake" || word == "redesign")
}

/// The points struck through; none where the end is kept or nothing was decided.
pub(super) fn points<'p>(record: &Record, pack: &'p Pack) -> &'p [FormPoint] {
    let all = pack.form.points.as_slice();
    match all.iter().position(|p| p.id == DECIDED_AT) {
        Some(at) if given_up(record) => all.get(at + 1..all.len() - 1).unwrap_or_default(),
        _ => &[],
    }
}

/// The pack with what this record is asked for.
pub(super) fn asked<'p>(record: &Record, pack: &'p Pack) -> Cow<'p, Pack> {
    let Some(decision) = decision(record) else { return Cow::Borrowed(pack) };
    let struck = points(record, pack);
    let is_struck = |id: &str| struck.iter().any(|p| p.id == id);
    let mut pack = pack.clone();
    pack.form.points.retain(|p| !is_struck(&p.id));
    pack.form.frames.retain(|f| !is_struck(&f.point));
    if decision != "keep and watch" {
        for point in pack.form.points.iter_mut().filter(|p| p.id == DECIDED_AT) {
            point.readings.retain(|r| r.id != WATCHED_FOR);
        }
    }
    Cow::Owned(pack)
}
