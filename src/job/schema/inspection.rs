//! What the inspection of an end needs beyond its job, and the figures as found
//! that are keyed in after it.

use super::{Key, Kind, Mark, group, key, mm, text, yes_no};
use crate::units::Dimension;

/// The group of the job file: what stands in where the kit is not known, and the
/// client's own limits of the survey.
pub(super) const INSPECTION: &[Key] = &[
    text("reason", Mark::Planner, "why the end is looked at"),
    text("record", Mark::Client, "record of how the end was built").or_none(),
    mm("phase_gap_least", Mark::Client, "least gap between phases, where the kit is not known"),
    mm("earth_gap_least", Mark::Client, "least gap to earthed metal, where the kit is not known"),
    mm("edge_to_plate_least", Mark::Client, "least height of the edge, where the kit is not known"),
    text("discharge_most", Mark::Client, "most discharge of the survey"),
    text("hotter_most", Mark::Client, "most a place may be warmer than the like phase"),
    key("recheck_months", Kind::Count, Mark::Client, "months to the next look, where an end is watched"),
];

const FOUND: &[Key] = &[
    key("job", Kind::Name, Mark::Planner, "job number of the inspection").required(),
    key("revision", Kind::Name, Mark::Planner, "revision of its pack").required(),
    key("end", Kind::Name, Mark::Planner, "end looked at").required(),
    key("date", Kind::Date, Mark::Planner, "day of the inspection"),
    text("by", Mark::Planner, "who keyed the figures"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
];

const SURVEY: &[Key] = &[
    key("load", Kind::Quantity(Dimension::Current), Mark::Client, "load current during the survey"),
    key(
        "discharge",
        Kind::Choice(&["within the client's limit", "above it", "not surveyed"]),
        Mark::Client,
        "discharge heard or sensed",
    ),
    key(
        "warmth",
        Kind::Choice(&["within the client's limit", "above it", "not surveyed"]),
        Mark::Client,
        "warmest place against the like phase",
    ),
    key("smell", Kind::Choice(&["none", "burnt", "sharp"]), Mark::Client, "smell"),
];

const STRESS_CONTROL: &[Key] = &[key(
    "kind",
    Kind::Choice(&["tube", "moulded body"]),
    Mark::Planner,
    "stress control: a tube under the outer tube, or a body in one piece",
)];

const TESTED: &[Key] = &[key(
    "result",
    Kind::Choice(&["steady", "worse than before", "failed", "none ordered"]),
    Mark::Client,
    "tests against the figures before",
)];

const PHASE: &[Key] = &[
    mm("upper_step", Mark::Planner, "upper step from T0"),
    mm("lower_step", Mark::Planner, "lower step from T0"),
    mm("edge", Mark::Planner, "semicon edge from T0, where it is felt").or_none(),
    mm("lower_step_height", Mark::Planner, "lower step above plate or entry"),
    mm("earth_gap", Mark::Planner, "least gap of the live length to earthed metal"),
    key("mastic_at_edge", Kind::Choice(&["felt", "not felt"]), Mark::Planner, "mastic at the semicon edge"),
    yes_no("mastic_at_upper_end", Mark::Planner, "mastic at the upper end of the tube"),
    key(
        "edge_finish",
        Kind::Choice(&["smooth", "jagged", "not felt"]),
        Mark::Planner,
        "semicon edge, as it is felt or seen",
    ),
    key(
        "upper_end",
        Kind::Choice(&["clean", "hollow", "sharp bubble", "soft ridge"]),
        Mark::Planner,
        "upper step, as it is felt",
    ),
    key(
        "discoloration",
        Kind::Choice(&["none", "ring at the edge", "elsewhere"]),
        Mark::Planner,
        "discoloration",
    ),
    key("powder", Kind::Choice(&["none", "wipes off", "stays"]), Mark::Planner, "white or grey powder"),
    key(
        "surface",
        Kind::Choice(&["sound", "tracking", "erosion", "split", "trees", "burnt"]),
        Mark::Planner,
        "surface of the outer tube or body",
    ),
    mm("creepage", Mark::Planner, "creepage along the surface over whole sheds, outdoors"),
    mm("arcing", Mark::Planner, "lug to the nearest earthed metal, straight, outdoors"),
    key("sheds", Kind::Choice(&["sound", "torn", "missing", "touching"]), Mark::Planner, "sheds, outdoors"),
    key("seals", Kind::Choice(&["shut", "open"]), Mark::Planner, "seals at lug and lower end, outdoors"),
    text("where", Mark::Planner, "where, and how long").or_none(),
    key("palm", Kind::Choice(&["sound", "overheated"]), Mark::Planner, "palm and lug"),
    key("insulation", Kind::Choice(&["in place", "drawn back"]), Mark::Planner, "insulation at the lug"),
    key(
        "screen_lead",
        Kind::Choice(&["sound", "loose", "broken", "missing"]),
        Mark::Planner,
        "earth lead of the screen",
    ),
];

const PAIR: &[Key] = &[
    mm("gap", Mark::Planner, "least gap, lower step to lug").or_none(),
    mm("height", Mark::Planner, "height of that gap above the plate").or_none(),
    key(
        "cores",
        Kind::Choice(&["apart", "crossed below the lower step", "crossed above the lower step", "touching"]),
        Mark::Planner,
        "how the two cores lie",
    ),
];

const GAPS: &[Key] = &[
    yes_no(
        "can_be_dressed",
        Mark::Planner,
        "cores can be dressed apart below the lower step, none bent cold",
    ),
    group("l1_l2", PAIR, "L1 to L2"),
    group("l2_l3", PAIR, "L2 to L3"),
    group("l1_l3", PAIR, "L1 to L3, where they can face"),
];

const REMAKE: &[Key] = &[
    mm("cut_from_stud", Mark::Planner, "where the old end would be cut off, from T0 down the core"),
    mm("slack", Mark::Planner, "cable that can be drawn up"),
];

/// The as-found file.
pub const AS_FOUND: &[Key] = &[
    group("found", FOUND, "whose figures these are"),
    group("survey", SURVEY, "survey in service"),
    group("stress_control", STRESS_CONTROL, "stress control"),
    group("tested", TESTED, "tests of the inspection"),
    group("l1", PHASE, "phase L1 as found"),
    group("l2", PHASE, "phase L2 as found"),
    group("l3", PHASE, "phase L3 as found"),
    group("gaps", GAPS, "gaps between phases as found"),
    group("remake", REMAKE, "cable for a new end"),
];
