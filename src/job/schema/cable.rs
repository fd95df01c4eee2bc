//! The cable, in a job or as a library item.

use super::{Key, Kind, Mark, Shelf, group, key, kv, mm, text, yes_no};
use crate::units::Dimension;

const METALS: &[&str] = &["copper", "aluminium"];

const SHEATHS: &[&str] = &["PVC", "PE", "PE ST7", "thermoset"];

const CONDUCTOR: &[Key] = &[
    key("area", Kind::Quantity(Dimension::Area), Mark::Cable, "conductor cross-section"),
    key("metal", Kind::Choice(METALS), Mark::Cable, "conductor metal"),
    key("make", Kind::Choice(&["stranded", "solid"]), Mark::Cable, "conductor make"),
    mm("diameter", Mark::Cable, "conductor diameter"),
    mm("screen", Mark::Cable, "conductor screen, radial thickness"),
];

const SCREEN: &[Key] = &[
    key(
        "kind",
        Kind::Choice(&["copper-tape", "copper-wire", "aluminium-foil", "lead"]),
        Mark::Cable,
        "metallic screen",
    ),
    key("area_per_core", Kind::Quantity(Dimension::Area), Mark::Cable, "screen cross-section per core"),
    mm("mean_diameter", Mark::Cable, "mean diameter of the screen"),
    key(
        "final_temperature",
        Kind::Quantity(Dimension::Temperature),
        Mark::Cable,
        "final screen temperature in a fault",
    ),
];

const ARMOUR: &[Key] = &[
    key("kind", Kind::Choice(&["steel-wire", "steel-tape", "aluminium-wire"]), Mark::Cable, "armour")
        .or_none(),
    key("area", Kind::Quantity(Dimension::Area), Mark::Cable, "armour cross-section"),
    mm("wire", Mark::Cable, "armour wire diameter"),
    key(
        "final_temperature",
        Kind::Quantity(Dimension::Temperature),
        Mark::Cable,
        "final armour temperature in a fault",
    ),
];

pub const CABLE: &[Key] = &[
    key("library", Kind::Item(Shelf::Cables), Mark::Planner, "library item"),
    yes_no("invented", Mark::Planner, "invented demonstration data"),
    text("drum", Mark::Cable, "drum"),
    text("type", Mark::Cable, "cable type"),
    kv("u0", Mark::Cable, "cable U0"),
    kv("u", Mark::Cable, "cable U"),
    kv("um", Mark::Cable, "cable Um"),
    key("cores", Kind::Count, Mark::Cable, "number of cores"),
    key("insulation", Kind::Choice(&["XLPE", "EPR", "paper"]), Mark::Cable, "insulation"),
    group("conductor", CONDUCTOR, "conductor"),
    mm("dia_over_insulation", Mark::Cable, "diameter over insulation"),
    mm("dia_over_core_screen", Mark::Cable, "diameter over core screen"),
    mm("dia_over_metal_screen", Mark::Cable, "diameter over metallic screen"),
    group("screen", SCREEN, "metallic screen"),
    group("armour", ARMOUR, "armour"),
    mm("overall_diameter", Mark::Cable, "overall diameter"),
    key("sheath", Kind::Choice(SHEATHS), Mark::Cable, "material of the oversheath"),
    mm("sheath_thickness", Mark::Cable, "oversheath thickness"),
    yes_no("lead_sheath", Mark::Cable, "lead sheath"),
    yes_no("ends_capped", Mark::Planner, "ends capped since delivery"),
    yes_no("moisture_found", Mark::Planner, "moisture found in the cable"),
    mm("length", Mark::Cable, "circuit length"),
    key("capacitance", Kind::Quantity(Dimension::Capacitance), Mark::Cable, "capacitance per core"),
    mm("min_bend_cable", Mark::Cable, "least bending radius of the cable"),
    mm("min_bend_core", Mark::Cable, "least bending radius of a core"),
    key(
        "min_bend_core_to",
        Kind::Choice(&["axis", "inside"]),
        Mark::Cable,
        "what the core's least radius is measured to",
    ),
    key("min_handling", Kind::Quantity(Dimension::Temperature), Mark::Cable, "least handling temperature"),
];
