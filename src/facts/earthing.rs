//! Fault ratings of screen, armour and earth lead; standing voltage; creepage.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{
    AdiabaticInput, AdiabaticSought, CreepageInput, FORM_IEC62271_1, PollutionClass, SheathVoltageInput,
    adiabatic, altitude_factor, creepage, sheath_voltage,
};
use crate::job::schema::Mark;
use crate::tables;

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    inputs: &'static [&'static str],
    mark: Mark,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark, show, meaning: "", compute }
}

/// Screens and armour run hot before a fault: 80 C unless the job says
/// otherwise. Common practice, no source.
const START_C: f64 = 80.0;

const IEC_60949: Mark =
    Mark::Standard("IEC 60949:1988, no heat loss (constants public, lead and steel from memory)");

fn rating(material: &str, area: f64, start: f64, end: f64, time: f64) -> Result<f64, Gap> {
    let input = AdiabaticInput {
        solve: AdiabaticSought::I,
        material: material.into(),
        theta_i_c: start,
        theta_f_c: Some(end),
        theta_limit_c: end,
        area_mm2: Some(area),
        time_s: Some(time),
        i_ka: None,
    };
    let found = adiabatic(&input).map_err(|r| refused(r.code(), r))?;
    found.i_ka.ok_or_else(|| refused("no-rating", "the model gives no rating"))
}

fn metal_of(kind: &str) -> &'static str {
    match kind {
        k if k.starts_with("copper") => "copper",
        k if k.starts_with("aluminium") => "aluminium",
        k if k.starts_with("steel") => "steel",
        _ => "lead",
    }
}

const PATH: &[&str] = &[
    "screen_rating",
    "armour_counts",
    "cable.armour.kind",
    "cable.armour.area",
    "cable.armour.final_temperature",
    "system.earth_fault_time",
];

const BRIDGE_SCREEN: &[&str] = &[
    "kit.bridge.screen_per_core",
    "earthing.lead_start_temperature",
    "earthing.lead_final_temperature",
    "system.earth_fault_time",
];
const BRIDGE_ARMOUR: &[&str] = &[
    "kit.bridge.armour",
    "earthing.lead_start_temperature",
    "earthing.lead_final_temperature",
    "system.earth_fault_time",
];

/// A copper braid in a joint, at the temperatures of the earth leads.
fn bridge(x: &Inputs, area: &'static str) -> Result<Out, Gap> {
    let [area, start, end, time] = x.numbers([
        area,
        "earthing.lead_start_temperature",
        "earthing.lead_final_temperature",
        "system.earth_fault_time",
    ])?;
    rating("copper", area, start, end, time).map(Out::Number)
}

pub(super) const FACTS: &[Def] = &[
    def(
        "screen_rating",
        "fault rating of one core's screen",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), Ti 80 C",
        Show::KaDown,
        &[
            "cable.screen.kind",
            "cable.screen.area_per_core",
            "cable.screen.final_temperature",
            "system.earth_fault_time",
        ],
        IEC_60949,
        |x| {
            let kind = x.word("cable.screen.kind")?;
            let [area, end, time] = x.numbers([
                "cable.screen.area_per_core",
                "cable.screen.final_temperature",
                "system.earth_fault_time",
            ])?;
            rating(metal_of(&kind), area, START_C, end, time).map(Out::Number)
        },
    ),
    def(
        "armour_counts",
        "armour as fault path",
        "counts, does not count, or not stated; no armour does not count",
        Show::Word,
        &["earthing.armour_path", "cable.armour.kind"],
        Mark::Client,
        |x| {
            if x.word("cable.armour.kind")? == "none" {
                return Ok(Out::Word("does not count".into()));
            }
            Ok(Out::Word(x.word("earthing.armour_path").unwrap_or_else(|_| "not stated".into())))
        },
    ),
    def(
        "path_rating",
        "fault rating of the metallic path",
        "greater of one screen and, where it counts, the armour; unlike metals are not added",
        Show::KaDown,
        PATH,
        IEC_60949,
        |x| {
            let screen = x.number("screen_rating")?;
            if x.word("armour_counts")? != "counts" {
                return Ok(Out::Number(screen));
            }
            let kind = x.word("cable.armour.kind")?;
            let [area, end, time] = x.numbers([
                "cable.armour.area",
                "cable.armour.final_temperature",
                "system.earth_fault_time",
            ])?;
            let armour = rating(metal_of(&kind), area, START_C, end, time)?;
            Ok(Out::Number(armour.max(screen)))
        },
    ),
    def(
        "lead_rating",
        "fault rating of the earth lead",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), copper",
        Show::KaDown,
        &[
            "earthing.lead_area",
            "earthing.lead_start_temperature",
            "earthing.lead_final_temperature",
            "system.earth_fault_time",
        ],
        IEC_60949,
        |x| {
            let [area, start, end, time] = x.numbers([
                "earthing.lead_area",
                "earthing.lead_start_temperature",
                "earthing.lead_final_temperature",
                "system.earth_fault_time",
            ])?;
            rating("copper", area, start, end, time).map(Out::Number)
        },
    ),
    def(
        "screen_bridge_rating",
        "fault rating of the screen bridge of a joint",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), copper",
        Show::KaDown,
        BRIDGE_SCREEN,
        IEC_60949,
        |x| bridge(x, "kit.bridge.screen_per_core"),
    ),
    def(
        "armour_bridge_rating",
        "fault rating of the armour bridge of a joint",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), copper",
        Show::KaDown,
        BRIDGE_ARMOUR,
        IEC_60949,
        |x| bridge(x, "kit.bridge.armour"),
    ),
    def(
        "lead_needed",
        "rating the earth lead needs",
        "greater of one screen's rating and the system's earth fault",
        Show::KaDown,
        &["screen_rating", "system.earth_fault"],
        Mark::Computed,
        |x| {
            let [screen, fault] = x.numbers(["screen_rating", "system.earth_fault"])?;
            Ok(Out::Number(screen.max(fault)))
        },
    ),
    def(
        "core_balance_stated",
        "earth lead's way at the core-balance transformer stated",
        "core_balance.around and core_balance.lead_route both given",
        Show::Word,
        &["core_balance.around", "core_balance.lead_route"],
        Mark::Computed,
        |x| Ok(Out::YesNo(x.answered("core_balance.around") && x.answered("core_balance.lead_route"))),
    ),
    def(
        "standing_voltage",
        "standing voltage at the open end",
        "2 pi f I 2e-7 ln(2S/d) per metre, trefoil",
        Show::Volts,
        &[
            "bonding.spacing",
            "cable.screen.mean_diameter",
            "bonding.design_current",
            "system.frequency",
            "cable.length",
        ],
        Mark::Standard("IEEE 575-2014 type formula (public reproduction)"),
        |x| {
            let [spacing_mm, screen_mean_dia_mm, current, f_hz, length] = x.numbers([
                "bonding.spacing",
                "cable.screen.mean_diameter",
                "bonding.design_current",
                "system.frequency",
                "cable.length",
            ])?;
            let input = SheathVoltageInput {
                arrangement: "trefoil".into(),
                spacing_mm,
                screen_mean_dia_mm,
                current_a: current * 1000.0,
                f_hz,
                length_m: length / 1000.0,
                limit_v: 65.0,
            };
            let found = sheath_voltage(&input).map_err(|r| refused(r.code(), r))?;
            Ok(Out::Number(found.standing_v / 1000.0))
        },
    ),
    def(
        "creepage_needed",
        "least creepage distance",
        "unified specific creepage of the class x Um/sqrt(3)",
        Show::MmUp,
        &["system.highest", "site.pollution_class"],
        Mark::Standard(tables::CREEPAGE_SOURCE),
        |x| {
            let um_kv = x.number("system.highest")?;
            let site_class = x.word("site.pollution_class")?;
            let classes: Vec<PollutionClass> = tables::CREEPAGE
                .iter()
                .map(|(letter, uscd)| PollutionClass { letter, uscd_mm_per_kv: *uscd })
                .collect();
            let input = CreepageInput { um_kv, site_class, creepage_mm: None };
            let found = creepage(&classes, &input).map_err(|r| refused(r.code(), r))?;
            Ok(Out::Number(found.needed_mm))
        },
    ),
    def(
        "arcing_needed",
        "least dry arcing distance at the place",
        "kit.strike x altitude factor",
        Show::MmUp,
        &["kit.strike", "site.altitude"],
        Mark::Standard(tables::ALTITUDE_SOURCE),
        |x| {
            let [strike, altitude] = x.numbers(["kit.strike", "site.altitude"])?;
            let factor =
                altitude_factor(FORM_IEC62271_1, altitude / 1000.0, 1.0).map_err(|r| refused(r.code(), r))?;
            Ok(Out::Number(strike * factor))
        },
    ),
];
