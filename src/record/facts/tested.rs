//! When voltage was on: against the releases and the document of the test, one phase
//! against the other, and whoever guarded the far end meanwhile.

use super::item::Item;
use super::points::name;
use super::view::{PHASES, View, same};
use crate::procedure::FormPoint;
use jiff::Timestamp;

pub(super) fn facts(view: &View, item: &mut Item) {
    let at = "tests.full_voltage_reached";
    item.word("test.authority", authority(view), at).word("test.phases", phases(view), at);
    let asks = |p: &&FormPoint| p.readings.iter().any(|r| r.id == "far_end_guard");
    let point = view.pack.form.points.iter().find(asks);
    let at = point.map_or("points".to_string(), |p| format!("points.{}.far_end_guard", p.id));
    item.yes("record.guarded", Some(point.is_some()), &at);
    // Words that say nothing, and no answer at all, are rules of their own.
    let written = view.answer(&at).map(|_| view.text(&at).unwrap_or_default());
    item.word("guard.state", written.map(|text| unguarded(view, &text)), &at);
}

fn spans(view: &View) -> Vec<(&'static str, Option<Timestamp>, Option<Timestamp>)> {
    let time = |reading: &str, phase: &str| view.time(&format!("tests.{reading}.{phase}"));
    PHASES.map(|p| (p, time("full_voltage_reached", p), time("full_voltage_off", p))).to_vec()
}

/// Full voltage only between the release that all is off and guarded and the release of the
/// tests, and while the test document was held.
fn authority(view: &View) -> Option<String> {
    let release = |point: Option<&FormPoint>, phase: &str| {
        let point = point?;
        let own = view.releases(point).into_iter().find(|(p, _)| p.is_empty() || *p == phase);
        own.and_then(|(_, t)| t).map(|t| (t, name(point)))
    };
    let test = view.point("hv_test");
    let held = test.and_then(|p| view.document_at(&p.step));
    let document = |key: &str| view.time(&format!("documents.{}.{key}", held?));
    let mut any = false;
    for (phase, on, off) in spans(view) {
        any |= on.is_some();
        let begun = release(view.point("test_authority"), phase)
            .into_iter()
            .map(|(t, point)| (t, format!("{point} was released")))
            .chain(document("received").map(|t| (t, "the test document was received".to_string())));
        let ended = release(test, phase)
            .into_iter()
            .map(|(t, point)| (t, format!("{point} was released")))
            .chain(document("returned").map(|t| (t, "the test document was returned".to_string())));
        for (time, what) in begun {
            if let Some(on) = on.filter(|on| *on < time) {
                let (on, time) = (view.show(on), view.show(time));
                return Some(format!("{phase}: full voltage from {on}, and {what} {time}"));
            }
        }
        for (time, what) in ended {
            if let Some(off) = off.filter(|off| *off > time) {
                let (off, time) = (view.show(off), view.show(time));
                return Some(format!("{phase}: full voltage until {off}, and {what} {time}"));
            }
        }
    }
    any.then(|| "in order".into())
}

/// Two phases that stood at full voltage in the same minutes.
fn phases(view: &View) -> Option<String> {
    let whole: Vec<_> = spans(view).into_iter().filter_map(|(p, on, off)| Some((p, on?, off?))).collect();
    for (i, (first, on, off)) in whole.iter().enumerate() {
        if let Some((other, from, to)) = whole[i + 1..].iter().find(|(_, from, to)| from < off && on < to) {
            return Some(format!(
                "{first} stood at full voltage {} to {}, and {other} {} to {}",
                view.show(*on),
                view.show(*off),
                view.show(*from),
                view.show(*to)
            ));
        }
    }
    (!whole.is_empty()).then(|| "apart".into())
}

/// Answers that name nobody: whole, and as a part.
const NOBODY: [&str; 5] = ["none", "no", "nil", "nobody", "not"];
const NOT_THERE: [&str; 9] = [
    "nobody",
    "no one",
    "no-one",
    "no guard",
    "unmanned",
    "not manned",
    "unguarded",
    "not guarded",
    "unattended",
];

/// Nobody at the far end, or only who runs the test at this one.
fn unguarded(view: &View, text: &str) -> String {
    let lower = text.to_lowercase();
    let first = lower.split(|c: char| !c.is_alphanumeric()).find(|w| !w.is_empty()).unwrap_or("");
    let alone = first == lower.trim() || first != "no";
    if NOBODY.contains(&first) && alone || NOT_THERE.iter().any(|w| lower.contains(w)) {
        return format!("`{text}`");
    }
    let squeezed = |t: &str| t.split_whitespace().collect::<String>().to_lowercase();
    let named = |number: &str| !number.is_empty() && squeezed(text).contains(&squeezed(number));
    let test = view.point("hv_test");
    let holder = test
        .and_then(|p| view.document_at(&p.step))
        .and_then(|i| view.text(&format!("documents.{i}.holder")));
    let runs = [holder, view.text("points.hv_test.released_by")];
    let runner = runs.into_iter().flatten().find(|number| named(number));
    let other =
        |runner: &str| view.people.iter().any(|p| !same(&p.authorisation, runner) && named(&p.authorisation));
    match runner {
        Some(runner) if !other(&runner) => format!("{runner}, who runs the test"),
        _ => "guarded".into(),
    }
}
