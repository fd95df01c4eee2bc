//! Library items: accessory kits, lugs and connectors, boots. Every figure of a
//! kit comes from its own instruction sheet, whose number and issue stand with it.

use super::enclosure::INTERFACES;
use super::{Key, Kind, Mark, group, key, kv, mm, text, yes_no};
use crate::units::Dimension;

const SHEET: &[Key] = &[
    text("number", Mark::Kit, "instruction sheet number"),
    text("issue", Mark::Kit, "instruction sheet issue"),
];

/// Who typed the figures that matter, twice and apart.
const KEYED: &[Key] = &[
    text("first", Mark::Planner, "keyed first by"),
    text("second", Mark::Planner, "keyed again by"),
    key("date", Kind::Date, Mark::Planner, "date keyed again"),
];

const EXPOSED: &[Key] = &[
    mm("nominal", Mark::Kit, "insulation exposed, nominal"),
    mm("least", Mark::Kit, "insulation exposed, least"),
    mm("most", Mark::Kit, "insulation exposed, most"),
];

const SCT: &[Key] = &[
    mm("supplied", Mark::Kit, "stress control tube as supplied"),
    mm("recovered", Mark::Kit, "stress control tube, recovered length"),
    mm("recovered_least", Mark::Kit, "recovered length, least"),
    mm("recovered_most", Mark::Kit, "recovered length, most"),
    kv("stated_for_um", Mark::Kit, "Um the sheet states the recovered length for"),
    mm("over_semicon", Mark::Kit, "tube over the core screen"),
    mm("over_semicon_least", Mark::Kit, "tube over the core screen, least"),
    mm("over_insulation_least", Mark::Kit, "tube over the insulation, least"),
    yes_no("moulded", Mark::Kit, "moulded stress control"),
];

const FILLER: &[Key] = &[
    yes_no("required", Mark::Kit, "void-filling mastic required"),
    text("material", Mark::Kit, "void-filling mastic").or_none(),
    mm("on_semicon", Mark::Kit, "mastic on the core screen"),
    mm("on_insulation", Mark::Kit, "mastic on the insulation"),
    mm("tolerance", Mark::Kit, "tolerance of the mastic's place"),
];

const OUTER_TUBE: &[Key] = &[
    mm("over_lug", Mark::Kit, "outer tube over the lug"),
    mm("over_breakout", Mark::Kit, "outer tube over the breakout leg"),
    mm("wall", Mark::Kit, "recovered wall of the outer tube"),
];

const SHEDS: &[Key] = &[
    key("count", Kind::Count, Mark::Kit, "sheds"),
    mm("first", Mark::Kit, "first shed"),
    mm("pitch", Mark::Kit, "shed pitch"),
];

const BODY: &[Key] = &[
    mm("recovered", Mark::Kit, "joint body, recovered length"),
    mm("over_screen_least", Mark::Kit, "body over the metallic screen, least"),
];

const SLEEVE: &[Key] = &[
    mm("recovered", Mark::Kit, "outer sleeve, recovered length"),
    mm("overlap_least", Mark::Kit, "outer sleeve over the sheath, least"),
];

/// What is slid on before the connectors, in the order it goes on.
const PARKED: &[Key] = &[
    key("on_cable", Kind::Texts, Mark::Kit, "parts parked on the cable, in their order"),
    key("on_core", Kind::Texts, Mark::Kit, "parts parked on each core, in their order"),
];

const BRIDGE: &[Key] = &[
    key("screen_per_core", Kind::Quantity(Dimension::Area), Mark::Kit, "screen bridge per core"),
    key("armour", Kind::Quantity(Dimension::Area), Mark::Kit, "armour bridge"),
];

/// What a kit makes of a cable; where an end stands is said under `environment`.
const KIT_WORK: &[&str] = &["termination", "joint", "transition joint", "separable connector"];

pub const KIT: &[Key] = &[
    text("code", Mark::Kit, "kit code"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
    group("sheet", SHEET, "instruction sheet"),
    group("keyed", KEYED, "keyed twice"),
    key("technique", Kind::Choice(&["heat-shrink", "cold-shrink", "slip-on"]), Mark::Kit, "technique"),
    key("made_for", Kind::Choice(KIT_WORK), Mark::Kit, "work the kit is made for"),
    key("cores", Kind::Count, Mark::Kit, "cores the kit is for"),
    key("environment", Kind::Choice(&["indoor", "outdoor"]), Mark::Kit, "environment"),
    key("fillings", Kind::Texts, Mark::Kit, "fillings of the box the kit may stand in"),
    kv("um", Mark::Kit, "kit Um"),
    kv("u0_max", Mark::Kit, "greatest cable U0 the kit is for"),
    kv("impulse_level", Mark::Kit, "kit impulse level"),
    key("conductor_area", Kind::Range(Dimension::Area), Mark::Kit, "conductor range"),
    key("conductor_metals", Kind::Texts, Mark::Kit, "conductor metals"),
    key("insulation", Kind::Texts, Mark::Kit, "insulation families"),
    key("screen_kinds", Kind::Texts, Mark::Kit, "screen kinds"),
    key("dia_over_insulation", Kind::Range(Dimension::Length), Mark::Kit, "range over insulation"),
    key("overall_diameter", Kind::Range(Dimension::Length), Mark::Kit, "range of overall diameter"),
    group("insulation_exposed", EXPOSED, "insulation exposed"),
    mm("semicon_left", Mark::Kit, "core screen left beyond the metallic screen"),
    group("sct", SCT, "stress control tube"),
    group("filler", FILLER, "void-filling mastic"),
    mm("clear_surface_least", Mark::Kit, "clear surface above the tube, least"),
    mm("wall_over_semicon", Mark::Kit, "recovered walls at the edge, one side"),
    mm("dia_outer_at_edge", Mark::Kit, "diameter over all layers at the edge"),
    key("below_body", Kind::Choice(&["bare core", "outer tube"]), Mark::Kit, "surface below the body"),
    mm("phase_gap_least", Mark::Kit, "least gap between phases"),
    mm("earth_gap_least", Mark::Kit, "least gap to earthed metal"),
    mm("edge_to_plate_least", Mark::Kit, "least height of the edge above plate or entry"),
    mm("edge_to_crutch_least", Mark::Kit, "least screened length from crutch to edge"),
    group("outer_tube", OUTER_TUBE, "outer tube"),
    mm("armour_left", Mark::Kit, "armour left"),
    mm("bedding_left", Mark::Kit, "bedding left"),
    key("body_temperature", Kind::Range(Dimension::Temperature), Mark::Kit, "fitting temperature"),
    key("humidity_most", Kind::Quantity(Dimension::Percent), Mark::Kit, "greatest humidity"),
    key(
        "wipe_to_cover_most",
        Kind::Quantity(Dimension::Time),
        Mark::Kit,
        "longest time from the last wipe to the part that covers it",
    ),
    yes_no("body_expiry_required", Mark::Kit, "body has a shelf life"),
    mm("stop_below_edge", Mark::Kit, "stop tape of the body below the semicon edge"),
    mm("stop_tolerance", Mark::Kit, "tolerance of the body's lower end at its stop"),
    yes_no("lug_after_body", Mark::Kit, "lug goes on after the body"),
    text("witness_mark", Mark::Kit, "what on the body shows where its stress control lies"),
    key(
        "store_least",
        Kind::Quantity(Dimension::Temperature),
        Mark::Kit,
        "least store temperature of the body",
    ),
    key("interface", Kind::Choice(INTERFACES), Mark::Kit, "interface of the connector"),
    key("current", Kind::Quantity(Dimension::Current), Mark::Kit, "current class of the connector"),
    mm("straight_below", Mark::Kit, "straight core below the connector, T0 downward, least"),
    text("test_adaptor", Mark::Kit, "test adaptor of the connector").or_none(),
    mm("creepage", Mark::Kit, "creepage distance"),
    mm("strike", Mark::Kit, "dry arcing distance"),
    group("sheds", SHEDS, "sheds"),
    yes_no("inverted_allowed", Mark::Kit, "may be mounted upside down"),
    mm("connector_half", Mark::Kit, "half length of the connector"),
    mm("connector_gap", Mark::Kit, "gap connector to insulation"),
    mm("semicon_edge", Mark::Kit, "semicon edge from the joint centre"),
    mm("screen_cut", Mark::Kit, "metallic screen cut from the joint centre"),
    mm("sheath_cut_x", Mark::Kit, "sheath cut, park side"),
    mm("sheath_cut_y", Mark::Kit, "sheath cut, short side"),
    group("body", BODY, "joint body"),
    group("outer_sleeve", SLEEVE, "outer sleeve"),
    group("parked", PARKED, "parking list"),
    group("bridge", BRIDGE, "screen and armour bridge"),
];

const PALMS: &[&str] = &["copper", "tinned copper", "aluminium", "copper bimetal", "tinned copper bimetal"];
const PALM_NOTE: &str =
    "Of a bimetal lug the barrel is aluminium and the palm copper: say whether that copper is tinned.";

pub const LUG: &[Key] = &[
    text("code", Mark::Kit, "lug code"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
    key("kind", Kind::Choice(&["lug", "connector"]), Mark::Kit, "kind"),
    key("conductor_area", Kind::Quantity(Dimension::Area), Mark::Kit, "conductor it is for"),
    key("metal", Kind::Choice(&["copper", "aluminium"]), Mark::Kit, "barrel metal"),
    key("palm", Kind::Choice(PALMS), Mark::Kit, "palm").noted(PALM_NOTE),
    text("stud", Mark::Kit, "stud hole"),
    mm("barrel_depth", Mark::Kit, "lug barrel depth"),
    mm("mouth_to_hole", Mark::Kit, "barrel mouth to palm hole centre"),
    mm("growth", Mark::Kit, "growth gap, barrel mouth to insulation"),
    mm("palm_width", Mark::Kit, "palm width"),
    yes_no("sealed_barrel", Mark::Kit, "sealed barrel"),
    text("die", Mark::Kit, "die"),
    key("presses", Kind::Texts, Mark::Kit, "presses listed with lug and die"),
    key("crimps", Kind::Count, Mark::Kit, "number of crimps"),
    key("across_flats", Kind::Range(Dimension::Length), Mark::Kit, "across flats after pressing"),
    mm("length", Mark::Kit, "connector length"),
    key("shear_heads", Kind::Count, Mark::Kit, "shear heads"),
];

pub const BOOTS: &[Key] = &[
    text("code", Mark::Kit, "boot set code"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
    group("sheet", SHEET, "instruction sheet"),
    mm("phase_to_phase", Mark::Kit, "live clearance with boots, phase to phase"),
    mm("phase_to_earth", Mark::Kit, "live clearance with boots, phase to earth"),
    mm("lug_width_most", Mark::Kit, "greatest palm width"),
    mm("overlap", Mark::Kit, "boot over bushing and termination, least"),
];
