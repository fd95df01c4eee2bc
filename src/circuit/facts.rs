//! The facts across the jobs of one circuit, by what a rule asks one by one.
//!
//! Every job is held against the first of the circuit, so that one that differs is
//! named once; order, persons and tests are asked of every two.

use super::differ::{self, BUILD, CLASS, LEVEL, SYSTEM};
use super::group::{Circuit, Member};
use super::item::Item;
use crate::facts::Gap;
use crate::job::Value;
use std::collections::BTreeMap;

pub(super) fn facts(circuit: &Circuit, members: &[Member]) -> BTreeMap<&'static str, Vec<Item>> {
    let count = members.len();
    let two = || (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)));
    let tested: Vec<usize> = (0..count).filter(|i| members[*i].sheet.is_yes("tests.planned")).collect();
    let test = tested.iter().flat_map(|t| (0..count).filter(move |o| o != t).map(move |o| (*t, o)));
    BTreeMap::from([
        ("", vec![whole(circuit, members, &tested)]),
        ("pair", (1..count).map(|other| pair(members, other)).collect()),
        ("two", two().map(|(a, b)| of_two(members, a, b)).collect()),
        ("test", test.map(|(t, o)| of_test(members, t, o)).collect()),
        ("meeting", two().flat_map(|(a, b)| meetings(members, a, b)).collect()),
        ("member", (0..count).map(|i| member(circuit, members, i)).collect()),
    ])
}

fn whole(circuit: &Circuit, members: &[Member], tested: &[usize]) -> Item {
    let mut item = Item::default();
    item.word("circuit.name", "circuit", &circuit.name, 0, "circuit.name");
    item.put(
        "circuit.jobs",
        "jobs of the circuit",
        Ok(Value::Count(members.len() as i64)),
        0,
        "circuit.name",
    );
    let silent = members.iter().position(|m| m.job.get("tests.planned").is_none());
    let count = match silent {
        Some(_) => Err(Gap::Missing(vec!["tests.planned".into()])),
        None => Ok(Value::Count(tested.len() as i64)),
    };
    let at = silent.or(tested.first().copied()).unwrap_or(0);
    item.word("tests.planned", "test planned", "", at, "tests.planned");
    item.put("circuit.tests", "jobs that test the circuit", count, at, "tests.planned");
    let files: Vec<&str> = tested.iter().map(|i| members[*i].file).collect();
    item.word("circuit.tested_by", "tested by", &files.join(", "), at, "tests.planned");
    if let Some(second) = tested.get(1) {
        item.word(
            "circuit.tested_by_too",
            "tested again by",
            members[*second].file,
            *second,
            "tests.planned",
        );
    }
    item
}

/// One job against the first.
fn pair(members: &[Member], other: usize) -> Item {
    let (one, far) = (&members[0], &members[other]);
    let mut item = Item::of_two(members, 0, other);
    let mut put = |name: &str, title: &str, found: Result<(Value, Option<&'static str>), Gap>, key: &str| {
        let key = found.as_ref().ok().and_then(|(_, at)| *at).unwrap_or(key).to_string();
        item.put(name, title, found.map(|(value, _)| value), 0, &key);
        item.put(&format!("{name}_there"), title, Ok(Value::YesNo(true)), other, &key);
    };
    put("pair.class_differs", "cable class", differ::figures(CLASS, one, far), "cable.u0");
    put("pair.cable_differs", "cable", differ::figures(BUILD, one, far), "cable.conductor.area");
    put("pair.system_differs", "network", differ::figures(SYSTEM, one, far), "system.nominal");
    put("pair.level_differs", "test", Ok(differ::given(LEVEL, one, far)), "tests.vlf");
    let plain = |found: Result<Value, Gap>| found.map(|value| (value, None));
    put("pair.points_differ", "isolation points", plain(differ::devices(one, far)), "isolation.points");
    put("pair.earths_differ", "earths", plain(differ::earths(one, far)), "isolation.points");
    put("pair.back_feed_differs", "back-feed", differ::back_feed(one, far), "isolation.back_feed");
    item.yes(
        "pair.mixed",
        "cables of more than one build",
        Ok(differ::mixed(one, far)),
        0,
        "circuit.mixed_cable",
    );
    item
}

fn of_two(members: &[Member], a: usize, b: usize) -> Item {
    let (one, other) = (&members[a], &members[b]);
    let mut item = Item::of_two(members, a, b);
    for (name, title, key) in [
        ("two.same_end", "the same end", "job.end"),
        ("two.same_number", "the same number", "job.number"),
        ("two.same_revision", "the same revision", "job.revision"),
    ] {
        item.yes(name, title, Ok(one.job.text(key) == other.job.text(key)), a, key);
    }
    item.yes("two.days_meet", "a day in common", differ::days_meet(one, other), a, "job.planned");
    item
}

/// The job that tests the circuit, and one other.
fn of_test(members: &[Member], test: usize, other: usize) -> Item {
    let (one, far) = (&members[test], &members[other]);
    let mut item = Item::of_two(members, test, other);
    let last = |side: &str, m: &Member| differ::days(side, m).map(|d| d.1);
    let early = last("one", one).and_then(|a| last("other", far).map(|b| a < b));
    item.yes("test.early", "before the other is finished", early, test, "job.planned");
    let above = match (one.sheet.number("tests.vlf"), far.sheet.number("tests.lowest_rating")) {
        (Some(kv), Some(rating)) => Ok(kv > rating + 1e-9),
        (None, _) => Err(Gap::Missing(vec!["one.tests.vlf".into()])),
        (_, None) => Err(Gap::Missing(vec!["other.tests.lowest_rating".into()])),
    };
    item.yes("test.above_rating", "above a rating there", above, test, "tests.vlf");
    item.put("test.left_on", "not taken off", differ::left_on(one, far), test, "tests.disconnect");
    item
}

/// Every person that both jobs name.
fn meetings(members: &[Member], a: usize, b: usize) -> Vec<Item> {
    let crew = |m: &Member| m.job.entries("crew");
    let text =
        |entry: &BTreeMap<String, Value>, key: &str| entry.get(key).map_or(String::new(), Value::to_string);
    let id = |entry: &BTreeMap<String, Value>| text(entry, "authorisation").trim().to_lowercase();
    let hands = |entry: &BTreeMap<String, Value>| {
        entry.contains_key("techniques")
            || ["height_work", "height_rescue"]
                .iter()
                .any(|k| matches!(entry.get(*k), Some(Value::YesNo(true))))
    };
    let mut items = Vec::new();
    for (i, here) in crew(&members[a]).iter().enumerate() {
        for (j, there) in crew(&members[b]).iter().enumerate() {
            if id(here).is_empty() || id(here) != id(there) {
                continue;
            }
            let mut item = Item::of_two(members, a, b);
            let at = |n: usize| format!("crew.{n}.authorisation");
            item.word("person.authorisation", "authorisation", &text(here, "authorisation"), a, &at(i));
            item.word("one.person", "role", &text(here, "role"), a, &at(i));
            item.word("other.person", "role", &text(there, "role"), b, &at(j));
            let place = |m: &Member| m.job.text("circuit.place");
            let apart = place(&members[a]) != place(&members[b]);
            let meet = differ::days_meet(&members[a], &members[b]).map(|meet| meet && apart);
            item.yes("meeting.at_once", "at two places on one day", meet, a, &at(i));
            item.yes(
                "meeting.hands",
                "works there with his hands",
                Ok(hands(here) || hands(there)),
                a,
                &at(i),
            );
            items.push(item);
        }
    }
    items
}

/// One job and the revisions of its end that came before it.
fn member(circuit: &Circuit, members: &[Member], at: usize) -> Item {
    let mut item = Item::default();
    for name in ["job.number", "job.end", "job.revision", "job.replaces"] {
        item.copy(name, &members[at], at, name);
    }
    let own = circuit.jobs.get(at).copied();
    let earlier = circuit.earlier.iter().filter(|(_, after)| Some(*after) == own);
    let last = earlier.map(|(i, _)| *i).next_back();
    let revision = last.and_then(|i| circuit.revisions.get(&i).cloned()).unwrap_or_else(|| "none".into());
    item.word("member.earlier", "revision before it here", &revision, at, "job.replaces");
    let named = members[at].job.text("job.replaces").unwrap_or_else(|| "none".into());
    let other = revision != "none" && named != "none" && named != revision;
    item.yes("member.other_named", "another revision named", Ok(other), at, "job.replaces");
    item
}
