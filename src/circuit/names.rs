//! Every fact across jobs by name: what a rule of a circuit may read.

use std::collections::BTreeSet;

/// Facts of a job that stand under `one` and `other` wherever two jobs are held
/// against each other.
pub(super) const COMPARED: &[&str] = &[
    "job.number",
    "job.end",
    "job.revision",
    "job.planned",
    "circuit.name",
    "circuit.place",
    "circuit.phases",
    "cable.u0",
    "cable.u",
    "cable.um",
    "cable.length",
    "bonding.scheme",
    "bonding.earthed_at",
    "documents.permit",
    "documents.test",
    "tests.vlf",
    "tests.lowest_rating",
    "tests.disconnect",
];

/// Facts of a job that are read here: those compared, and whether it tests.
pub fn reads() -> impl Iterator<Item = &'static str> {
    COMPARED.iter().copied().chain(["tests.planned"])
}

/// Scopes and the facts each has of its own; those with two jobs have `one`
/// and `other` besides.
const SCOPES: &[(&str, bool, &[&str])] = &[
    (
        "",
        false,
        &["circuit.name", "circuit.jobs", "circuit.tests", "circuit.tested_by", "circuit.tested_by_too"],
    ),
    (
        "pair",
        true,
        &[
            "pair.class_differs",
            "pair.cable_differs",
            "pair.mixed",
            "pair.system_differs",
            "pair.level_differs",
            "pair.points_differ",
            "pair.earths_differ",
            "pair.back_feed_differs",
            "pair.class_differs_there",
            "pair.cable_differs_there",
            "pair.system_differs_there",
            "pair.level_differs_there",
            "pair.points_differ_there",
            "pair.earths_differ_there",
            "pair.back_feed_differs_there",
        ],
    ),
    ("two", true, &["two.same_end", "two.same_number", "two.same_revision", "two.days_meet"]),
    ("test", true, &["test.early", "test.above_rating", "test.left_on"]),
    (
        "meeting",
        true,
        &["person.authorisation", "one.person", "other.person", "meeting.at_once", "meeting.hands"],
    ),
    (
        "member",
        false,
        &["job.number", "job.end", "job.revision", "job.replaces", "member.earlier", "member.other_named"],
    ),
];

/// Names a rule of this scope may read; nothing where there is no such scope.
pub(super) fn declared(scope: &str) -> Option<BTreeSet<String>> {
    let (_, two, own) = SCOPES.iter().find(|(name, ..)| *name == scope)?;
    let mut names: BTreeSet<String> = own.iter().map(ToString::to_string).collect();
    if *two {
        for side in ["one", "other"] {
            names.extend(COMPARED.iter().map(|name| format!("{side}.{name}")));
            names.insert(format!("{side}.file"));
        }
    }
    Some(names)
}
