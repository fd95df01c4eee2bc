//! What differs between two jobs of a circuit, in words: `none`, or each figure
//! as the one and as the other has it.

use super::group::Member;
use crate::facts::Gap;
use crate::job::Value;
use std::collections::BTreeMap;

/// A figure as each of two jobs has it, by key and words.
type Figure = (&'static str, &'static str);

/// Class of the cable: by U0, U and Um.
pub(super) const CLASS: &[Figure] = &[("cable.u0", "U0"), ("cable.u", "U"), ("cable.um", "Um")];

/// Build of the cable.
pub(super) const BUILD: &[Figure] = &[
    ("cable.cores", "cores"),
    ("cable.conductor.area", "conductor"),
    ("cable.conductor.metal", "metal"),
    ("cable.insulation", "insulation"),
    ("cable.screen.kind", "screen"),
    ("cable.dia_over_insulation", "over insulation"),
];

/// The network the circuit is part of.
pub(super) const SYSTEM: &[Figure] = &[
    ("system.nominal", "nominal voltage"),
    ("system.highest", "highest voltage"),
    ("system.frequency", "frequency"),
    ("system.neutral", "neutral"),
    ("system.earthing_category", "earth-fault category"),
];

/// How the circuit is tested.
pub(super) const LEVEL: &[Figure] = &[
    ("tests.vlf", "voltage"),
    ("tests.minutes", "time"),
    ("tests.base", "base"),
    ("tests.waveform", "waveform"),
    ("tests.standard", "standard"),
    ("tests.level", "level"),
    ("tests.aged_cable", "aged cable"),
];

const BACK_FEED: &[Figure] = &[
    ("isolation.back_feed.low_voltage", "low voltage"),
    ("isolation.back_feed.voltage_transformer", "voltage transformer"),
    ("isolation.back_feed.generator", "generator"),
    ("isolation.back_feed.solar", "solar"),
    ("isolation.back_feed.ring_end", "ring end"),
    ("isolation.back_feed.capacitor", "capacitor"),
];

fn missing(side: &str, key: &str) -> Gap {
    Gap::Missing(vec![format!("{side}.{key}")])
}

fn both<'a>(one: &'a Member, other: &'a Member, key: &str) -> Result<(&'a Value, &'a Value), Gap> {
    let left = one.job.get(key).ok_or_else(|| missing("one", key))?;
    let right = other.job.get(key).ok_or_else(|| missing("other", key))?;
    Ok((left, right))
}

/// Two values are the same where their texts are, or their numbers: 1.2 km and
/// 1200 m.
fn same(a: &Value, b: &Value) -> bool {
    match (a.number(), b.number()) {
        (Some(x), Some(y)) => (x - y).abs() < 1e-6,
        _ => plain(&a.to_string()) == plain(&b.to_string()),
    }
}

fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

fn told(found: Vec<String>) -> Value {
    Value::Text(if found.is_empty() { "none".into() } else { found.join("; ") })
}

/// What differs of these figures, all of which both jobs must have, and the key of
/// the first that does.
pub(super) fn figures(
    figures: &[Figure],
    one: &Member,
    other: &Member,
) -> Result<(Value, Option<&'static str>), Gap> {
    let (mut found, mut at) = (Vec::new(), None);
    for (key, words) in figures {
        let (a, b) = both(one, other, key)?;
        if !same(a, b) {
            found.push(format!("{words} {a} and {b}"));
            at = at.or(Some(*key));
        }
    }
    Ok((told(found), at))
}

/// The same of figures that are held against each other only where both jobs give
/// them.
pub(super) fn given(figures: &[Figure], one: &Member, other: &Member) -> (Value, Option<&'static str>) {
    let there: Vec<Figure> =
        figures.iter().copied().filter(|(key, _)| both(one, other, key).is_ok()).collect();
    self::figures(&there, one, other).unwrap_or((told(Vec::new()), None))
}

/// Isolation points by device, with their earth as it is written.
fn points(side: &str, member: &Member) -> Result<BTreeMap<String, (String, String)>, Gap> {
    if !member.job.has_list("isolation.points") {
        return Err(missing(side, "isolation.points"));
    }
    let text =
        |entry: &BTreeMap<String, Value>, key: &str| entry.get(key).map_or(String::new(), Value::to_string);
    let entries = member.job.entries("isolation.points");
    Ok(entries.iter().map(|e| (plain(&text(e, "device")), (text(e, "device"), text(e, "earth")))).collect())
}

/// Devices that only one of the two jobs has.
pub(super) fn devices(one: &Member, other: &Member) -> Result<Value, Gap> {
    let (left, right) = (points("one", one)?, points("other", other)?);
    let only =
        |from: &BTreeMap<String, (String, String)>, not: &BTreeMap<String, (String, String)>, file: &str| {
            let names: Vec<String> =
                from.iter().filter(|(key, _)| !not.contains_key(*key)).map(|(_, v)| v.0.clone()).collect();
            names.into_iter().map(|name| format!("{name} (only in {file})")).collect::<Vec<_>>()
        };
    let mut found = only(&left, &right, one.file);
    found.extend(only(&right, &left, other.file));
    Ok(told(found))
}

/// Devices that both have, with another earth.
pub(super) fn earths(one: &Member, other: &Member) -> Result<Value, Gap> {
    let (left, right) = (points("one", one)?, points("other", other)?);
    let found = left.iter().filter_map(|(key, (device, earth))| {
        let (_, far) = right.get(key)?;
        (plain(earth) != plain(far)).then(|| format!("{device}: {earth} and {far}"))
    });
    Ok(told(found.collect()))
}

/// Sources of back-feed that one job names and the other says there is none of.
pub(super) fn back_feed(one: &Member, other: &Member) -> Result<(Value, Option<&'static str>), Gap> {
    let none = |v: &Value| matches!(v, Value::None(_)) || plain(&v.to_string()) == "none";
    let (mut found, mut at) = (Vec::new(), None);
    for (key, words) in BACK_FEED {
        let (a, b) = both(one, other, key)?;
        if none(a) != none(b) {
            found.push(format!("{words}: {a} and {b}"));
            at = at.or(Some(*key));
        }
    }
    Ok((told(found), at))
}

/// What the other job has taken off for the test and the one does not.
pub(super) fn left_on(one: &Member, other: &Member) -> Result<Value, Gap> {
    let list = |side: &str, member: &Member| match member.job.get("tests.disconnect") {
        Some(Value::Texts(texts)) => Ok(texts.clone()),
        Some(other) => Ok(vec![other.to_string()]),
        None => Err(missing(side, "tests.disconnect")),
    };
    let (here, there) = (list("one", one)?, list("other", other)?);
    let known: Vec<String> = here.iter().map(|t| plain(t)).collect();
    Ok(told(there.into_iter().filter(|t| plain(t) != "none" && !known.contains(&plain(t))).collect()))
}

/// Whether both jobs say that the circuit has more than one build of cable.
pub(super) fn mixed(one: &Member, other: &Member) -> bool {
    [one, other].iter().all(|m| matches!(m.job.get("circuit.mixed_cable"), Some(Value::YesNo(true))))
}

/// First and last day of a job, as its dates are written; one day where no start
/// is given.
pub(super) fn days(side: &str, member: &Member) -> Result<(String, String), Gap> {
    let last = member.job.text("job.planned").ok_or_else(|| missing(side, "job.planned"))?;
    let first = member.job.text("job.starts").unwrap_or_else(|| last.clone());
    Ok((first, last))
}

/// Whether two jobs have a day in common.
pub(super) fn days_meet(one: &Member, other: &Member) -> Result<bool, Gap> {
    let (a, b) = (days("one", one)?, days("other", other)?);
    Ok(a.0 <= b.1 && b.0 <= a.1)
}
