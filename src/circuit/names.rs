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

/// What the facts across jobs are called where a condition is put into words.
const TITLES: &[(&str, &str)] = &[
    ("circuit.jobs", "jobs of the circuit"),
    ("circuit.tests", "jobs that test the circuit"),
    ("pair.class_differs", "what differs in the class of the cable"),
    ("pair.cable_differs", "what differs in the build of the cable"),
    ("pair.mixed", "both jobs say that the circuit has more than one build of cable"),
    ("pair.system_differs", "what differs in the network"),
    ("pair.level_differs", "what differs in the test"),
    ("pair.points_differ", "isolation points that only one job has"),
    ("pair.earths_differ", "earths that differ"),
    ("pair.back_feed_differs", "back-feed that only one job names"),
    ("two.same_end", "the same end"),
    ("two.same_number", "the same job number"),
    ("two.same_revision", "the same revision"),
    ("two.days_meet", "a day in common"),
    ("test.early", "tested before the other is finished"),
    ("test.above_rating", "test voltage above a rating of the other"),
    ("test.left_on", "what the other takes off and this job does not"),
    ("meeting.at_once", "one person at two places on one day"),
    ("meeting.hands", "works there with his hands"),
    ("member.earlier", "revision before it in this folder"),
    ("member.other_named", "another revision named under `replaces`"),
];

/// Title of a fact across jobs that is no key of a job.
pub fn title(name: &str) -> Option<&'static str> {
    TITLES.iter().find(|(known, _)| *known == name).map(|(_, title)| *title)
}

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
