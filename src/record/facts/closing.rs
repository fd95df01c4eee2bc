//! What was taken off and put back, and what went other than planned.

use super::super::struck;
use super::item::Item;
use super::points::name;
use super::view::{PHASES, View, same};
use crate::procedure::FormPoint;
use jiff::Timestamp;

pub(super) fn disconnections(view: &View) -> Vec<Item> {
    let count = view.record.count("disconnected").unwrap_or(0);
    let given_up = struck::given_up(view.record);
    let one = |(i, wanted): (usize, &String)| {
        let found = (0..count)
            .find(|n| view.text(&format!("disconnected.{n}.item")).is_some_and(|t| same(&t, wanted)));
        let at = format!("disconnected.{}", found.unwrap_or(i));
        let mut item = Item::new(at.clone());
        let (off, back) = (view.time(&format!("{at}.off")), view.time(&format!("{at}.back")));
        let state = match (found, off, back) {
            (None, ..) => "not in the record's list".to_string(),
            (_, None, _) => "not written as taken off".into(),
            // What the end is given up with stays off for the new one.
            (_, Some(_), None) if given_up => "off and back".into(),
            (_, _, None) => "not written as put back".into(),
            (_, Some(off), Some(back)) if back < off => {
                format!("put back {}, before it was taken off {}", view.show(back), view.show(off))
            }
            _ => "off and back".into(),
        };
        item.word("disconnection.item", Some(wanted.clone()), &format!("{at}.item")).word(
            "disconnection.state",
            Some(state),
            &at,
        );
        let listed = found.is_some();
        item.word("disconnection.closed", listed.then(|| closed(view, back)), &format!("{at}.back"))
            .word("disconnection.in_test", listed.then(|| in_test(view, off, back)), &at)
            .word(
                "disconnection.signed",
                listed.then(|| if given_up && back.is_none() { "signed".into() } else { signed(view, &at) }),
                &format!("{at}.by"),
            );
        item
    };
    view.pack.form.disconnect.iter().enumerate().map(one).collect()
}

/// The point at which a reading of these is answered.
fn answered_at<'a>(view: &View<'a>, readings: &[&str]) -> Option<&'a FormPoint> {
    let asks = |p: &&FormPoint| p.readings.iter().any(|r| readings.contains(&r.id.as_str()));
    view.pack.form.points.iter().find(asks)
}

/// Put back after the point that found everything back was released.
fn closed(view: &View, back: Option<Timestamp>) -> String {
    let point = answered_at(view, &["all_back", "list_back"]);
    let released = point.and_then(|p| Some((p, view.released(p)?)));
    match released.zip(back) {
        Some(((point, released), back)) if back > released => {
            format!("put back {}, and {} was released {}", view.show(back), name(point), view.show(released))
        }
        _ => "none".into(),
    }
}

/// Not off while the voltage of the test was on, or not when the test's document found
/// everything off.
fn in_test(view: &View, off: Option<Timestamp>, back: Option<Timestamp>) -> String {
    let times =
        |reading: &str| PHASES.map(|p| view.time(&format!("tests.{reading}.{p}"))).into_iter().flatten();
    let found_off = answered_at(view, &["all_off"])
        .and_then(|p| Some((p, view.releases(p).into_iter().filter_map(|(_, t)| t).min()?)));
    let (on, ended) = (times("full_voltage_reached").min(), times("full_voltage_off").max());
    match (off, back) {
        (Some(off), _) if on.is_some_and(|on| off > on) => format!(
            "taken off {}, and full voltage was on from {}",
            view.show(off),
            on.map_or(String::new(), |t| view.show(t))
        ),
        (Some(off), _) if found_off.is_some_and(|(_, t)| off > t) => format!(
            "taken off {}, after {}",
            view.show(off),
            found_off.map_or(String::new(), |(p, t)| format!("{} was released {}", name(p), view.show(t)))
        ),
        (_, Some(back)) if ended.is_some_and(|end| back < end) => format!(
            "put back {}, and the test ended {}",
            view.show(back),
            ended.map_or(String::new(), |t| view.show(t))
        ),
        _ => "none".into(),
    }
}

/// Who put it back.
fn signed(view: &View, at: &str) -> String {
    match view.text(&format!("{at}.by")) {
        None => "by nobody".into(),
        Some(by) if view.person_by(&by).is_none() => format!("by {by}, who is not on the sign-on sheet"),
        Some(_) => "signed".into(),
    }
}

/// Somebody's acceptance of a reading outside its limit, in words.
pub(super) fn concession(view: &View, point: &str, reading: &str, cell: &str) -> Option<String> {
    (0..view.record.count("deviations").unwrap_or(0)).find_map(|i| {
        let part = |key: &str| view.text(&format!("deviations.{i}.{key}")).unwrap_or_default();
        let here = same(&part("point"), point)
            && same(&part("reading"), reading)
            && (cell.is_empty()
                || part("cell").split([',', ' ']).any(|c| same(c, cell))
                || same(&part("cell"), "all"));
        (here && part("action").starts_with("conce") && !part("accepted_by").is_empty())
            .then(|| format!("{}, {}: {}", part("accepted_by"), part("accepted_role"), part("reason")))
    })
}

/// Roles that build the end: they accept nothing.
const BUILDERS: [&str; 2] = ["jointer", "mate"];

/// An acceptance that came when its point had been released already, and so when what it
/// is about was covered.
fn late(view: &View, point: &str, cell: &str, accepted: Option<Timestamp>) -> Option<String> {
    let (point, accepted) = (view.point(point)?, accepted?);
    let own =
        |phase: &str| !PHASES.iter().any(|p| cell.contains(p)) || cell.contains(phase) || phase.is_empty();
    let releases = view.releases(point).into_iter().filter(|(phase, _)| own(phase));
    let released = releases.filter_map(|(_, time)| time).find(|time| *time < accepted)?;
    let (accepted, released) = (view.show(accepted), view.show(released));
    Some(format!("accepted {accepted}, after {} was released {released}", name(point)))
}

pub(super) fn deviations(view: &View) -> Option<Vec<Item>> {
    let count = view.record.count("deviations")?;
    let one = |i: usize| {
        let at = format!("deviations.{i}");
        let part = |key: &str| format!("{at}.{key}");
        let text = |key: &str| view.text(&part(key)).unwrap_or_default();
        let title = format!("deviation {} ({} {} {})", i + 1, text("point"), text("reading"), text("cell"));
        let title = title.replace(" )", ")");
        let mut item = Item::new(at.clone());
        let (by, role) = (text("accepted_by"), text("accepted_role").to_lowercase());
        let known = view.person_by(&by).map(|p| p.role.to_lowercase());
        let signed = view.pack.front.people.iter().any(|p| same(&p.authorisation, &by) || same(&p.name, &by));
        let builds = |role: &str| BUILDERS.iter().any(|b| role.contains(b));
        let power = if by.is_empty() {
            "not accepted by anybody".to_string()
        } else if view.time(&part("at")).is_none() {
            "accepted without a time".into()
        } else if builds(&role) || known.as_deref().is_some_and(builds) {
            format!("accepted by {by}, who builds the end")
        } else if role.is_empty() && known.is_none() && !signed {
            format!("accepted by {by}, of whom no role is known")
        } else {
            "accepted".into()
        };
        let late = late(view, &text("point"), &text("cell"), view.time(&part("at")));
        let cut = text("action").contains("cut back");
        let chain = match (view.number(&part("lost")), view.yes(&part("chain_checked"))) {
            _ if !cut => "fine",
            (None, _) => "how much was cut off is not written",
            (_, Some(true)) => "fine",
            _ => "the chain was not checked anew",
        };
        let unknown = view.point(&text("point")).is_none() && text("point") != "tests";
        item.word("deviation.title", Some(title), &at)
            .word("deviation.power", Some(power), &part("accepted_by"))
            .word("deviation.late", Some(late.unwrap_or_else(|| "none".into())), &part("at"))
            .word("deviation.chain", Some(chain.into()), &part("chain_checked"))
            .yes("deviation.unknown", Some(unknown), &part("point"));
        item
    };
    Some((0..count).map(one).collect())
}
