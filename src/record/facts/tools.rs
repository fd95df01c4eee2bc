//! Instruments, people and safety documents of a record.

use super::super::instruments;
use super::item::Item;
use super::people;
use super::view::{PHASES, View, same};
use crate::calc::wrench_serves;
use crate::procedure::Reading;
use jiff::Timestamp;
use jiff::civil::Date;

pub(super) fn instruments(view: &View) -> Option<Vec<Item>> {
    let asked = instruments::asked(view.pack);
    let written: Option<Vec<Item>> = view
        .record
        .count("instruments")
        .map(|count| (0..count).map(|i| instrument(view, i, &asked)).collect());
    if !view.complete() {
        return written;
    }
    let names: Vec<String> = (0..view.record.count("instruments").unwrap_or(0))
        .filter_map(|i| view.text(&format!("instruments.{i}.what")))
        .map(|what| what.to_lowercase())
        .collect();
    let missing = asked.iter().filter(|(what, _)| !names.iter().any(|n| n.contains(what)));
    Some(written.unwrap_or_default().into_iter().chain(missing.map(|(what, _)| not_written(what))).collect())
}

/// An instrument that the record asks for and that doesn't stand in its list.
fn not_written(what: &str) -> Item {
    let at = "instruments";
    let mut item = Item::new(at);
    item.word("instrument.what", Some(what.to_string()), at)
        .word("instrument.state", Some("not in the record's list".into()), at)
        .word("instrument.suits", Some("suits".into()), at)
        .word("instrument.serial", Some("as planned".into()), at);
    item
}

fn instrument(view: &View, i: usize, asked: &[(&str, Option<String>)]) -> Item {
    let at = format!("instruments.{i}");
    let part = |key: &str| format!("{at}.{key}");
    let what = view.text(&part("what")).unwrap_or_else(|| format!("instrument {}", i + 1));
    let mut item = Item::new(at.clone());
    let (serial, until) = (view.text(&part("serial")), view.date(&part("until")));
    let used = last_used(view, &what);
    let state = match (&serial, until, used) {
        // Nothing has been measured with it yet.
        (_, _, None) => None,
        (None, ..) => Some("no serial".to_string()),
        (_, None, _) => Some("no date of calibration".into()),
        (_, Some(until), Some(day)) if until < day => Some(format!("calibrated until {until}, used {day}")),
        (_, Some(_), Some(_)) => Some("in date".into()),
    };
    let of_pack = asked.iter().find(|(name, _)| what.to_lowercase().contains(name));
    let planned = match (of_pack.and_then(|(_, planned)| planned.as_ref()), &serial) {
        // A job may name a wrench with its range behind the serial.
        (Some(planned), Some(serial))
            if !same(planned, serial) && !planned.split([' ', ',', ';', '(']).any(|t| same(t, serial)) =>
        {
            format!("serial {serial}, the pack has {planned}")
        }
        _ => "as planned".into(),
    };
    item.word("instrument.what", Some(what.clone()), &part("what"))
        .word("instrument.state", state, &part("until"))
        .word("instrument.suits", used.map(|_| suits(view, &what, &part("range"))), &part("range"))
        .word("instrument.serial", Some(planned), &part("serial"));
    item
}

/// The day of the last release or test that its readings belong to; of an instrument whose
/// readings aren't known, the last day of all.
fn last_used(view: &View, what: &str) -> Option<Date> {
    let decides = |readings: &[Reading]| readings.iter().any(|r| instruments::decides(what, r));
    let points = view.pack.form.points.iter().filter(|p| decides(&p.readings));
    let released = points.flat_map(|p| view.releases(p)).filter_map(|(_, t)| t);
    let off = |phase: &str| view.time(&format!("tests.full_voltage_off.{phase}"));
    let tested = PHASES.iter().filter(|_| decides(&view.pack.form.tests)).filter_map(|p| off(p));
    released.chain(tested).max().map_or_else(|| view.last_day(), |t| Some(view.day(t)))
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
        let holder = view.text(&part("holder"));
        let there: Vec<Timestamp> = [received, returned].into_iter().flatten().collect();
        let away = holder.as_ref().and_then(|h| people::missing(view, h, &there, 0.0));
        let number = view.text(&part("number"));
        let twice = (0..i).find(|n| {
            let other = view.text(&format!("documents.{n}.number"));
            other.zip(number.as_ref()).is_some_and(|(a, b)| same(&a, b))
        });
        let twice = twice.map_or("none".into(), |n| {
            format!("{} too is that of the {}", number.unwrap_or_default(), forms[n].document)
        });
        item.word("document.away", Some(away.unwrap_or_else(|| "none".into())), &part("holder")).word(
            "document.twice",
            Some(twice),
            &part("number"),
        );
        item.word("document.title", Some(title), &part("document"))
            .word("document.gaps", Some(gaps), &at)
            .word("document.order", Some(order), &part("returned"))
            .word("document.overlap", Some(overlap.unwrap_or_else(|| "none".into())), &part("received"));
        out.push(item);
    }
    out
}
