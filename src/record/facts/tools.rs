//! Instruments, people and safety documents of a record.

use super::item::Item;
use super::view::{View, same};
use crate::calc::wrench_serves;

pub(super) fn instruments(view: &View) -> Option<Vec<Item>> {
    let count = view.record.count("instruments")?;
    let used = view.last_day();
    let one = |i: usize| {
        let at = format!("instruments.{i}");
        let part = |key: &str| format!("{at}.{key}");
        let what = view.text(&part("what")).unwrap_or_else(|| format!("instrument {}", i + 1));
        let mut item = Item::new(at.clone());
        let until = view.date(&part("until"));
        let state = match (view.text(&part("serial")), until, used) {
            // Nothing has been measured with it yet.
            (_, _, None) => None,
            (None, ..) => Some("no serial".to_string()),
            (_, None, _) => Some("no date of calibration".into()),
            (_, Some(until), Some(day)) if until < day => {
                Some(format!("calibrated until {until}, used {day}"))
            }
            (_, Some(_), Some(_)) => Some("in date".into()),
        };
        item.word("instrument.what", Some(what.clone()), &part("what"))
            .word("instrument.state", state, &part("until"))
            .word("instrument.suits", used.map(|_| suits(view, &what, &part("range"))), &part("range"));
        item
    };
    Some((0..count).map(one).collect())
}

fn suits(view: &View, what: &str, range_at: &str) -> String {
    if !what.contains("torque") {
        return "suits".into();
    }
    let Some(torque) = view.fact_number("torque.value") else { return "suits".into() };
    let Some(text) = view.text(range_at) else { return "its range is not written".into() };
    match super::phases::range(&text) {
        Some((low, high)) if !wrench_serves(torque, low, high) => {
            format!("range {text}, used for {} N.m", super::view::plain(torque))
        }
        Some(_) => "suits".into(),
        None => format!("`{text}` is no range like 20 to 100 N.m"),
    }
}

pub(super) fn people(view: &View) -> Option<Vec<Item>> {
    view.record.count("people")?;
    let highest = view.fact_number("system.nominal");
    let day = view.last_day();
    let one = |p: &super::view::Person| {
        let title = format!("{} ({})", p.authorisation, p.role);
        let mut item = Item::new(p.at.clone());
        let part = |key: &str| format!("{}.{key}", p.at);
        let builds = p.role.contains("jointer");
        let power = match (p.valid_to, day, p.up_to, highest) {
            _ if p.on.is_none() && !view.complete() => "valid".into(),
            (Some(until), Some(day), ..) if until < day => format!("ran out on {until}, work on {day}"),
            (None, ..) => "no date of validity".into(),
            (.., Some(up_to), Some(kv)) if builds && up_to < kv => {
                format!(
                    "up to {} kV, the system has {} kV",
                    super::view::plain(up_to),
                    super::view::plain(kv)
                )
            }
            (.., None, _) if builds => "no voltage named".into(),
            _ => "valid".into(),
        };
        let hours = match (p.on, p.off) {
            _ if !view.complete() => "in order".to_string(),
            (None, _) => "no sign-on".to_string(),
            (_, None) => "no sign-off".into(),
            (Some(on), Some(off)) if off < on => {
                format!("signed off {}, before the sign-on {}", view.show(off), view.show(on))
            }
            _ => "in order".into(),
        };
        let elsewhere = view.dossier.elsewhere.iter().find(|e| {
            let overlap = p.on.zip(p.off).is_some_and(|(on, off)| e.on < off && on < e.off);
            same(&e.authorisation, &p.authorisation) && e.site != view.pack.job.site && overlap
        });
        let elsewhere = elsewhere.map_or("none".to_string(), |e| {
            format!("{}, {}, {} to {}", e.place, e.site, view.show(e.on), view.show(e.off))
        });
        item.word("person.title", Some(title), &part("authorisation"))
            .word("person.known", Some(if p.known { "yes" } else { "no" }.into()), &part("checked_by"))
            .word("person.power", Some(power), &part("valid_to"))
            .word("person.hours", Some(hours), &part("on"))
            .word("person.elsewhere", Some(elsewhere), &part("on"));
        item
    };
    Some(view.people.iter().map(one).collect())
}

/// The documents the pack's steps need, in order.
pub(super) fn documents(view: &View) -> Vec<Item> {
    let forms = &view.pack.form.documents;
    let mut out = Vec::new();
    for (i, form) in forms.iter().enumerate() {
        let at = format!("documents.{i}");
        let part = |key: &str| format!("{at}.{key}");
        let title = format!("{} of steps {} to {}", form.document, form.from_step, form.to_step);
        let mut item = Item::new(at.clone());
        let (received, returned) = (view.time(&part("received")), view.time(&part("returned")));
        let gaps: Vec<&str> = [
            ("number", view.text(&part("number")).is_none()),
            ("holder", view.text(&part("holder")).is_none()),
            ("time received", received.is_none()),
            ("time returned", returned.is_none()),
        ]
        .into_iter()
        .filter_map(|(what, missing)| missing.then_some(what))
        .collect();
        let gaps = if gaps.is_empty() { "none".to_string() } else { gaps.join(", ") };
        let order = match (received, returned) {
            (Some(a), Some(b)) if b < a => format!("returned {}, received {}", view.show(b), view.show(a)),
            _ => "in order".into(),
        };
        let overlap = i.checked_sub(1).and_then(|before| {
            let back = view.time(&format!("documents.{before}.returned"))?;
            let received = received?;
            (received < back).then(|| {
                format!(
                    "received {}, the {} came back {}",
                    view.show(received),
                    forms[before].document,
                    view.show(back)
                )
            })
        });
        item.word("document.title", Some(title), &part("document"))
            .word("document.gaps", Some(gaps), &at)
            .word("document.order", Some(order), &part("returned"))
            .word("document.overlap", Some(overlap.unwrap_or_else(|| "none".into())), &part("received"));
        out.push(item);
    }
    out
}
