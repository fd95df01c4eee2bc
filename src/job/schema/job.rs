//! The job itself, its people, circuit, system and acceptances.

use super::kinds::WORK_TYPES;
use super::{Key, Kind, Mark, group, key, kv, list, text, yes_no};
use crate::units::Dimension;

pub(super) const JOB_GROUP: &[Key] = &[
    key("number", Kind::Name, Mark::Planner, "job number").required(),
    key("revision", Kind::Name, Mark::Planner, "revision").required(),
    key("replaces", Kind::Name, Mark::Planner, "revision it replaces").or_none(),
    key("work_type", Kind::Choice(WORK_TYPES), Mark::Planner, "work type").required(),
    key("end", Kind::Name, Mark::Planner, "end").required(),
    text("end_name", Mark::Planner, "name of the end"),
    key("date", Kind::Date, Mark::Planner, "date of the pack"),
    key("starts", Kind::Date, Mark::Planner, "planned start of the work"),
    key("planned", Kind::Date, Mark::Planner, "planned end of the work"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
];

const PERSON: &[Key] = &[
    text("name", Mark::Planner, "name"),
    text("authorisation", Mark::Client, "authorisation"),
    key("date", Kind::Date, Mark::Planner, "date"),
];

pub(super) const PEOPLE: &[Key] = &[
    group("prepared", PERSON, "prepared by"),
    group("checked", PERSON, "checked by"),
    group("approved", PERSON, "approved by"),
];

pub(super) const CIRCUIT: &[Key] = &[
    text("name", Mark::Client, "circuit"),
    text("asset", Mark::Client, "asset"),
    text("place", Mark::Client, "place of work"),
    text("far_end", Mark::Client, "far end"),
    text("phase_map", Mark::Client, "phase map, this end to the other"),
    key(
        "phases",
        Kind::Choice(&["L1 L2 L3", "L1 L3 L2", "L2 L1 L3", "L2 L3 L1", "L3 L1 L2", "L3 L2 L1"]),
        Mark::Client,
        "phases of cores 1, 2, 3 as marked",
    ),
    yes_no("mixed_cable", Mark::Planner, "cables of more than one build in the circuit"),
    text("emergency_point", Mark::Client, "emergency meeting point"),
];

pub(super) const SYSTEM: &[Key] = &[
    kv("nominal", Mark::Client, "nominal voltage between phases"),
    kv("highest", Mark::Client, "highest system voltage Um"),
    key("frequency", Kind::Quantity(Dimension::Frequency), Mark::Client, "frequency"),
    key(
        "neutral",
        Kind::Choice(&["solid", "resistor", "reactor", "resonant", "isolated"]),
        Mark::Client,
        "neutral earthing",
    ),
    key("earthing_category", Kind::Choice(&["A", "B", "C"]), Mark::Client, "earth-fault category"),
    key("earth_fault", Kind::Quantity(Dimension::Current), Mark::Client, "earth-fault current"),
    key("earth_fault_time", Kind::Quantity(Dimension::Time), Mark::Client, "earth-fault clearing time"),
    key("phase_fault", Kind::Quantity(Dimension::Current), Mark::Client, "phase-fault current"),
    key("phase_fault_time", Kind::Quantity(Dimension::Time), Mark::Client, "phase-fault clearing time"),
    kv("impulse_level", Mark::Client, "rated lightning impulse level"),
];

const ALTERNATIVES: &[Key] =
    &[text("way", Mark::Planner, "way looked at"), text("why_not", Mark::Planner, "why it does not serve")];

/// Record of a way out of a tight box, written by `check --remedies --write`.
pub(super) const REMEDY: &[Key] = &[
    text("planned_before", Mark::Planner, "revision of the plan that did not fit"),
    key("taken", Kind::Texts, Mark::Planner, "way out taken"),
    key("forced_by", Kind::Texts, Mark::Planner, "what forced it"),
    key("before", Kind::Figures, Mark::Planner, "figures before"),
    list("alternatives", ALTERNATIVES, "what else was looked at"),
    key("needs", Kind::Texts, Mark::Planner, "what has to be seen to"),
    key("method_new", Kind::Texts, Mark::Planner, "steps and points that are new"),
    key("method_gone", Kind::Texts, Mark::Planner, "steps and points that are gone"),
    text("chosen_by", Mark::Client, "who chose the way out"),
];

pub(super) const ACCEPTANCES: &[Key] = &[
    text("rule", Mark::Planner, "rule accepted"),
    text("check", Mark::Planner, "check of the rule"),
    key("figures", Kind::Figures, Mark::Planner, "figures accepted"),
    text("name", Mark::Client, "name"),
    text("role", Mark::Client, "role"),
    text("reason", Mark::Client, "reason"),
    key("date", Kind::Date, Mark::Client, "date"),
];
