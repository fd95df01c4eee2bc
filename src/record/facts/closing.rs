//! What was taken off and put back, and what went other than planned.

use super::item::Item;
use super::view::{View, same};

pub(super) fn disconnections(view: &View) -> Vec<Item> {
    let count = view.record.count("disconnected").unwrap_or(0);
    let one = |(i, wanted): (usize, &String)| {
        let found = (0..count)
            .find(|n| view.text(&format!("disconnected.{n}.item")).is_some_and(|t| same(&t, wanted)));
        let at = format!("disconnected.{}", found.unwrap_or(i));
        let mut item = Item::new(at.clone());
        let (off, back) = (view.time(&format!("{at}.off")), view.time(&format!("{at}.back")));
        let state = match (found, off, back) {
            (None, ..) => "not in the record's list".to_string(),
            (_, None, _) => "not written as taken off".into(),
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
        item
    };
    view.pack.form.disconnect.iter().enumerate().map(one).collect()
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
        let cut = text("action").contains("cut back");
        let chain =
            if cut && view.yes(&part("chain_checked")) != Some(true) { "not checked" } else { "fine" };
        let unknown = view.point(&text("point")).is_none() && text("point") != "tests";
        item.word("deviation.title", Some(title), &at)
            .word("deviation.power", Some(power), &part("accepted_by"))
            .word("deviation.chain", Some(chain.into()), &part("chain_checked"))
            .yes("deviation.unknown", Some(unknown), &part("point"));
        item
    };
    Some((0..count).map(one).collect())
}
