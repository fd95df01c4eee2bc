//! Site, plant, work, isolation, crew, tests: groups whose rules and pages read
//! them one by one. They stand in the schema whole, so that a job file written
//! now need not be rewritten.

use super::{Key, Kind, Mark, group, key, kv, list, mm, text, yes_no};
use crate::units::Dimension;

pub(super) const SITE: &[Key] = &[
    text("name", Mark::Client, "site"),
    key("jurisdiction", Kind::Choice(&["uk", "eu", "us", "other"]), Mark::Client, "jurisdiction"),
    yes_no("outdoor", Mark::Planner, "outdoor"),
    mm("altitude", Mark::Planner, "altitude"),
    key("pollution_class", Kind::Choice(&["a", "b", "c", "d", "e"]), Mark::Client, "pollution class"),
    yes_no("adjacent_live", Mark::Planner, "live parts beside the work"),
    kv("adjacent_voltage", Mark::Planner, "voltage of live parts beside the work"),
    yes_no("parallel_live_cables", Mark::Planner, "live cables alongside"),
    key("cables_in_trench", Kind::Count, Mark::Planner, "cables in the trench"),
    mm("depth", Mark::Planner, "depth of the work place"),
    mm("height", Mark::Planner, "height of the work place"),
    yes_no("pole", Mark::Planner, "pole work"),
    yes_no("confined", Mark::Planner, "confined space"),
    text("hazardous_zone", Mark::Client, "hazardous zone").or_none(),
    yes_no("traffic", Mark::Planner, "traffic"),
    yes_no("public", Mark::Planner, "public access"),
    yes_no("lone", Mark::Planner, "lone work"),
    yes_no("substation_earth_grid", Mark::Planner, "inside a substation earth grid"),
    key("wind_most", Kind::Quantity(Dimension::Speed), Mark::Client, "greatest wind"),
    text("gas_plan", Mark::Planner, "gas plan for pit, tank or chamber").or_none(),
    yes_no("hot_work_banned", Mark::Client, "hot work banned"),
    text("access", Mark::Planner, "access"),
    text("note", Mark::Planner, "note"),
];

pub(super) const PLANT: &[Key] = &[
    key(
        "kind",
        Kind::Choice(&["transformer", "switchgear", "pole", "motor", "kiosk"]),
        Mark::Planner,
        "plant",
    )
    .or_none(),
    text("fill", Mark::Equipment, "filling of the box").like("oil").or_none(),
    text("filled_before", Mark::Equipment, "filling the box was built for").like("oil").or_none(),
    yes_no("clearance_rechecked", Mark::Equipment, "clearance checked anew for the present filling"),
    key(
        "medium",
        Kind::Choice(&["oil", "ester", "gas", "dry"]),
        Mark::Equipment,
        "insulating medium of the plant",
    )
    .or_none(),
    key("year", Kind::Count, Mark::Equipment, "year built"),
    yes_no("asbestos_possible", Mark::Planner, "asbestos possible"),
    text("asbestos_survey", Mark::Planner, "asbestos survey"),
];

pub(super) const WORK: &[Key] = &[
    yes_no("cuts_existing_cable", Mark::Planner, "existing cable is cut"),
    yes_no("opens_existing_cable", Mark::Planner, "existing cable is opened"),
    yes_no("removes_old_accessory", Mark::Planner, "an old accessory comes off"),
    yes_no("excavation", Mark::Planner, "excavation"),
    text("identification", Mark::Client, "way of identifying the cable").or_none(),
    mm("piece_removed", Mark::Planner, "length cut away"),
    mm("load_height", Mark::Planner, "lifting height"),
    key("load", Kind::Quantity(Dimension::Mass), Mark::Planner, "heaviest load"),
];

pub(super) const TOOLS: &[Key] = &[
    yes_no("hydraulic", Mark::Planner, "hydraulic press"),
    yes_no("cartridge", Mark::Planner, "cartridge tool"),
    yes_no("powered", Mark::Planner, "powered tools"),
    text("press", Mark::Planner, "press"),
    key("press_calibrated_to", Kind::Date, Mark::Client, "press calibrated until"),
    text("die", Mark::Planner, "die in the press"),
    text("torque_wrench", Mark::Planner, "torque wrench"),
    key("torque_range", Kind::Range(Dimension::Torque), Mark::Planner, "range of the torque wrench"),
    key("torque_calibrated_to", Kind::Date, Mark::Client, "torque wrench calibrated until"),
    text("test_set", Mark::Planner, "test set"),
    key("test_set_calibrated_to", Kind::Date, Mark::Client, "test set calibrated until"),
];

pub(super) const CONSUMABLES: &[Key] = &[
    text("solvent", Mark::Planner, "solvent"),
    text("resin", Mark::Planner, "resin").or_none(),
    key("kit_expires", Kind::Date, Mark::Kit, "kit expires"),
    key("body_expires", Kind::Date, Mark::Kit, "stretched bodies expire"),
];

pub(super) const WEATHER: &[Key] = &[
    key("cable_temperature", Kind::Quantity(Dimension::Temperature), Mark::Planner, "cable temperature"),
    key("air_temperature", Kind::Quantity(Dimension::Temperature), Mark::Planner, "air temperature"),
    key("humidity", Kind::Quantity(Dimension::Percent), Mark::Planner, "relative humidity"),
    text("shelter", Mark::Planner, "shelter").or_none(),
];

const POINT: &[Key] = &[
    text("device", Mark::Client, "isolating device"),
    text("locked_by", Mark::Client, "way of locking"),
    text("earth", Mark::Client, "earth"),
    text("by", Mark::Client, "by whom"),
];

const BACK_FEED: &[Key] = &[
    text("low_voltage", Mark::Client, "back-feed from low voltage").or_none(),
    text("voltage_transformer", Mark::Client, "back-feed from a voltage transformer").or_none(),
    text("generator", Mark::Client, "back-feed from a generator").or_none(),
    text("solar", Mark::Client, "back-feed from solar").or_none(),
    text("ring_end", Mark::Client, "back-feed from the ring").or_none(),
    text("capacitor", Mark::Client, "back-feed from a capacitor").or_none(),
];

pub(super) const ISOLATION: &[Key] = &[
    list("points", POINT, "isolation points"),
    group("back_feed", BACK_FEED, "back-feed"),
    yes_no("parallel_circuit", Mark::Client, "parallel circuit"),
];

pub(super) const DOCUMENTS: &[Key] = &[
    text("permit", Mark::Client, "permit issued by"),
    text("test", Mark::Client, "document for the test issued by").or_none(),
    text("before_work_test", Mark::Client, "document for tests before the work issued by").or_none(),
    text("identification", Mark::Client, "document for identification issued by").or_none(),
    text("far_end_guard", Mark::Planner, "guard at the far end"),
    text("contact", Mark::Planner, "contact with the far end"),
];

pub(super) const CREW: &[Key] = &[
    text("role", Mark::Planner, "role"),
    text("name", Mark::Planner, "name"),
    text("authorisation", Mark::Client, "authorisation"),
    kv("up_to", Mark::Client, "authorised up to"),
    key("techniques", Kind::Texts, Mark::Client, "techniques"),
    key("valid_to", Kind::Date, Mark::Client, "authorisation valid until"),
    yes_no("height_work", Mark::Client, "may work on a pole or at height"),
    yes_no("height_rescue", Mark::Client, "may bring a person down from pole or height"),
    key("releases", Kind::Texts, Mark::Planner, "points released"),
];

pub(super) const TESTS: &[Key] = &[
    yes_no("planned", Mark::Planner, "test planned"),
    text("kind", Mark::Planner, "kind of test").like("withstand"),
    kv("vlf", Mark::Client, "test voltage, very low frequency"),
    text("base", Mark::Client, "base of the test voltage").like("3 x U0 6.35 kV"),
    text("waveform", Mark::Client, "waveform").like("sinusoidal 0.1 Hz"),
    key(
        "standard",
        Kind::Choice(&["HD 620", "IEC 60502-2", "IEEE 400.2"]),
        Mark::Client,
        "standard of the test",
    ),
    kv("cable_class", Mark::Client, "cable class of the test table, phase to phase"),
    kv("lowest_rating", Mark::Equipment, "lowest test rating of anything left connected").noted(
        "Never none: with all else taken off the cable stays, with its ends and joints; the lowest test voltage that their makers state, with rms or peak behind it.",
    ),
    yes_no("aged_cable", Mark::Client, "aged cable in the tested circuit"),
    key("level", Kind::Choice(&["acceptance", "maintenance"]), Mark::Client, "test level"),
    text("dc_accepted", Mark::Client, "client's written word on direct voltage").or_none(),
    key("minutes", Kind::Quantity(Dimension::Time), Mark::Client, "test time"),
    kv("sheath", Mark::Client, "sheath test voltage"),
    key("sheath_minutes", Kind::Quantity(Dimension::Time), Mark::Client, "sheath test time"),
    text("partial_discharge", Mark::Client, "partial discharge").or_none(),
    text("palms_in_test", Mark::Planner, "palms during the test"),
    key("disconnect", Kind::Texts, Mark::Planner, "disconnected for the test"),
    text("note", Mark::Planner, "note"),
];

pub(super) const BONDING: &[Key] = &[
    key("scheme", Kind::Choice(&["both-ends", "single-point", "cross"]), Mark::Client, "bonding scheme"),
    key(
        "at_joint",
        Kind::Choice(&["carried across", "interrupted"]),
        Mark::Client,
        "screens of a cross-bonded circuit at this joint",
    ),
    text("earthed_at", Mark::Client, "earthed at"),
    text("far_end", Mark::Client, "open end"),
    kv("standing_most", Mark::Client, "greatest standing voltage"),
    key("design_current", Kind::Quantity(Dimension::Current), Mark::Client, "design current"),
    key(
        "formation",
        Kind::Choice(&["trefoil", "flat"]),
        Mark::Planner,
        "formation of the single-core cables",
    ),
    mm("spacing", Mark::Planner, "cable spacing, axis to axis"),
];

pub(super) const ARRESTERS: &[Key] = &[
    yes_no("fitted", Mark::Equipment, "surge arresters fitted"),
    mm("lead_total", Mark::Planner, "arrester's line lead and earth lead together, as planned"),
    mm("lead_total_most", Mark::Client, "arrester's line lead and earth lead together, most"),
    text("earth_point", Mark::Planner, "the one point where arrester earth, screens and bracket meet"),
    key(
        "earth_resistance_most",
        Kind::Quantity(Dimension::Resistance),
        Mark::Client,
        "greatest resistance of the earth electrode",
    ),
];

pub(super) const EARTHING: &[Key] = &[
    key("lead_area", Kind::Quantity(Dimension::Area), Mark::Client, "earth lead cross-section"),
    key(
        "lead_start_temperature",
        Kind::Quantity(Dimension::Temperature),
        Mark::Client,
        "temperature of the earth lead before a fault",
    ),
    key(
        "lead_final_temperature",
        Kind::Quantity(Dimension::Temperature),
        Mark::Client,
        "final temperature of the earth lead in a fault",
    ),
    text("point", Mark::Equipment, "earth point"),
    key(
        "max_resistance",
        Kind::Quantity(Dimension::Resistance),
        Mark::Client,
        "greatest resistance screen to earth point",
    ),
    key(
        "armour_path",
        Kind::Choice(&["counts", "does not count"]),
        Mark::Client,
        "whether armour counts as fault path",
    ),
];

pub(super) const GLAND: &[Key] = &[
    text("type", Mark::Equipment, "gland").or_none(),
    text("sheet", Mark::Equipment, "gland sheet"),
    key("range", Kind::Range(Dimension::Length), Mark::Equipment, "gland's range of overall diameter"),
    key(
        "clamp_rating",
        Kind::Quantity(Dimension::Current),
        Mark::Equipment,
        "fault rating of the armour clamp for one second",
    ),
    yes_no("insulated", Mark::Equipment, "insulated gland"),
    key(
        "metal",
        Kind::Choice(&["brass", "aluminium", "plastic", "stainless steel, non-magnetic", "steel"]),
        Mark::Equipment,
        "gland metal",
    ),
    mm("sheath_cut_from_plate", Mark::Equipment, "sheath cut from the plate, by the gland sheet"),
    mm("armour_cut_from_plate", Mark::Equipment, "armour cut from the plate, by the gland sheet"),
];

pub(super) const CORE_BALANCE: &[Key] = &[
    yes_no("fitted", Mark::Equipment, "core-balance transformer fitted"),
    text("around", Mark::Equipment, "core-balance transformer around"),
    text("lead_route", Mark::Planner, "route of the earth lead"),
    text("note", Mark::Planner, "note"),
];
