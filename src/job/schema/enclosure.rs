//! The enclosure as measured, the layout chosen in it, the work's tolerances.

use super::{Key, Kind, Mark, group, key, mm, text, yes_no};
use crate::units::Dimension;

const PLATE: &[Key] = &[
    key(
        "metal",
        Kind::Choice(&["steel", "aluminium", "brass", "stainless steel, non-magnetic", "insulating"]),
        Mark::Equipment,
        "gland plate metal",
    ),
    mm("thickness", Mark::Equipment, "gland plate thickness"),
];

/// Letters of EN 50180 and EN 50181 and classes of IEEE 386, all from memory.
pub(super) const INTERFACES: &[&str] = &["A", "B", "C", "D", "E", "F", "IEEE 386, 200 A", "IEEE 386, 600 A"];

const BUSHING: &[Key] = &[
    key("interface", Kind::Choice(INTERFACES), Mark::Equipment, "interface of the bushings"),
    key("current", Kind::Quantity(Dimension::Current), Mark::Equipment, "current class of the bushings"),
    key("open", Kind::Count, Mark::Equipment, "bushings that stay open"),
    key("caps", Kind::Count, Mark::Planner, "insulated earthed protective caps on hand"),
];

pub(super) const ENCLOSURE: &[Key] = &[
    key("measured", Kind::Choice(&["on site", "from drawing"]), Mark::Planner, "how the box was measured"),
    mm("gland_to_stud", Mark::Equipment, "gland plate to stud centre"),
    mm("stud_pitch", Mark::Equipment, "stud pitch"),
    mm("stud_to_wall", Mark::Equipment, "outer stud to side wall"),
    mm("stud_to_cover", Mark::Equipment, "studs to cover"),
    mm("stud_to_back", Mark::Equipment, "studs to back wall"),
    text("stud", Mark::Equipment, "stud").like("M12"),
    mm("pad_width", Mark::Equipment, "palm pad width"),
    key(
        "pad_metal",
        Kind::Choice(&["copper", "tinned copper", "brass", "aluminium"]),
        Mark::Equipment,
        "palm pad metal",
    ),
    mm("bolt_length", Mark::Equipment, "palm bolt length"),
    group("bushing", BUSHING, "bushings for screened connectors"),
    group("plate", PLATE, "gland plate"),
    mm("entry_pitch_most", Mark::Equipment, "widest entry pitch the plate takes"),
    mm("extension_most", Mark::Equipment, "tallest box extension on offer"),
    mm("room_below_plate", Mark::Equipment, "room below the plate"),
    mm("arcing_distance", Mark::Equipment, "dry arcing distance at the place of mounting"),
    mm(
        "core_to_earthed",
        Mark::Equipment,
        "core's axis to the nearest earthed metal beside it, terminal down to the tube's lower end",
    ),
    text("type_test_with_boots", Mark::Equipment, "equipment type test naming the boots").or_none(),
];

pub(super) const TORQUE: &[Key] = &[
    key("value", Kind::Quantity(Dimension::Torque), Mark::Equipment, "palm bolt torque"),
    text("source", Mark::Equipment, "source of the torque"),
    text("tool", Mark::Planner, "torque tool"),
];

/// A cable that comes slanting or from the side, as far as its last cleat.
const APPROACH: &[Key] = &[
    mm("aside", Mark::Planner, "last cleat aside of the box's middle"),
    mm("below", Mark::Planner, "last cleat below the plate"),
    key(
        "slant",
        Kind::Quantity(Dimension::Angle),
        Mark::Planner,
        "slant of the cable at its last cleat, 0 upright, 90 lying",
    ),
];

pub(super) const LAYOUT: &[Key] = &[
    key("crutch", Kind::Choice(&["inside", "outside"]), Mark::Planner, "crutch inside or outside the box")
        .or_none(),
    mm("crutch_height", Mark::Planner, "crutch above the plate"),
    mm("crutch_height_least", Mark::Equipment, "least the crutch can be lowered to"),
    mm("crutch_below_plate", Mark::Planner, "crutch below the plate"),
    key("leaving", Kind::Choice(&["row", "trefoil"]), Mark::Planner, "how the cores leave the crutch"),
    key(
        "trefoil_turn",
        Kind::Quantity(Dimension::Angle),
        Mark::Planner,
        "turn of the trefoil, anticlockwise seen from above",
    )
    .noted(
        "0: the middle core lies towards the cover, left and right core behind it, the studs counted from the left as seen from the cover. Anticlockwise seen from above the middle core moves towards stud 3 and the right core comes up behind it, which draws L2 and L3 together; a turn the other way draws L1 and L2 together.",
    ),
    key(
        "lean",
        Kind::Quantity(Dimension::Angle),
        Mark::Planner,
        "lean of cable and cores where they pass the plate, 0 upright",
    )
    .noted(
        "All that lies below, up to the crutch or the top of the entries, leans by this much from upright; above, each core runs in the curve of least bending to its stud. Heights stay heights above the plate. From 60 degrees on nothing is computed; a curve that would have to run backwards neither; and no former is computed for cores that lean.",
    ),
    key(
        "lean_towards",
        Kind::Choice(&["left", "right", "cover", "back"]),
        Mark::Planner,
        "way they lean while they rise, seen from the cover",
    ),
    mm("entry_pitch", Mark::Planner, "pitch of the entries"),
    mm("entry_height", Mark::Equipment, "top of the entry fitting above the plate"),
    key(
        "core_to_stud",
        Kind::Choice(&["1 2 3", "1 3 2", "2 1 3", "2 3 1", "3 1 2", "3 2 1"]),
        Mark::Planner,
        "stud of the left, middle and right core",
    ),
    yes_no("former", Mark::Planner, "former on site"),
    mm("insulation_exposed", Mark::Planner, "insulation exposed, chosen"),
    mm("ring_below_screen_cut", Mark::Planner, "ring R below the metallic screen cut"),
    key(
        "armour",
        Kind::Choice(&["at the crutch", "in a gland"]),
        Mark::Planner,
        "where the armour is bonded",
    )
    .or_none(),
    mm("screen_left", Mark::Planner, "metallic screen left above the sheath cut, outdoors and at connectors"),
    mm("tail", Mark::Planner, "tail of the straightest core, crutch K to T0, outside a box"),
    mm("straight_below", Mark::Planner, "straight core below the connector, T0 downward"),
    text("drain_earth", Mark::Planner, "where the drain eyelet of each connector is earthed").or_none(),
    key("attitude", Kind::Choice(&["upright", "inverted"]), Mark::Planner, "attitude of outdoor ends"),
    mm("first_cleat", Mark::Planner, "first cleat below the end"),
    mm("sheath_cut_above_plate", Mark::Planner, "sheath cut of a single-core cable above the plate"),
    key("cleats", Kind::Choice(&["non-magnetic", "steel"]), Mark::Planner, "cleats of single-core cables"),
    text("plate_as_drilled", Mark::Planner, "gland plate as drilled"),
    group("approach", APPROACH, "the cable's way to the box"),
    mm("approach_radius", Mark::Planner, "tightest bend of the cable's approach"),
    text("oversleeve", Mark::Planner, "oversleeves").or_none(),
    text("cable_clamp", Mark::Planner, "cable clamp"),
];

pub(super) const BAY: &[Key] = &[
    mm("length", Mark::Planner, "length of the joint bay"),
    mm("width", Mark::Planner, "width of the joint bay"),
    mm("under", Mark::Planner, "clear height under the cable"),
    mm("straight_each_side", Mark::Planner, "straight cable on each side of the joint"),
    mm("lap", Mark::Planner, "lap of the two ends before they are cut"),
];

pub(super) const TOLERANCES: &[Key] = &[
    mm("insulation_cut", Mark::CommonPractice, "tolerance of the insulation cut"),
    mm("semicon_edge", Mark::CommonPractice, "tolerance of the semicon edge"),
    mm("tube_lower_mark", Mark::CommonPractice, "tolerance of the tube's lower mark"),
    mm("box", Mark::Planner, "tolerance of the box height"),
];
