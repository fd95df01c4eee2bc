//! Fault ratings of screen, armour and earth lead; standing voltage; creepage.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{
    AdiabaticInput, AdiabaticSought, CreepageInput, FORM_IEC62271_1, PollutionClass, Refusal, SheathVoltage,
    SheathVoltageInput, adiabatic, altitude_factor, creepage, sheath_voltage,
};
use crate::job::schema::Mark;
use crate::tables;
use crate::units::{Rounding, fixed};

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

/// A conductor heated by a fault: metal, cross-section and the temperatures.
struct Heated {
    metal: &'static str,
    /// The answer that says how hot it may get, and what bears that heat beside it.
    end_key: &'static str,
    beside: &'static str,
    /// Not read where it is sought.
    area: f64,
    start: f64,
    /// Chosen final temperature; not read where it is sought.
    end: f64,
    /// What metal, joints, covering and neighbours stand.
    limit: f64,
}

impl Heated {
    /// The one figure sought, from the current in kA and the time in s where
    /// they are given.
    fn solve(&self, sought: AdiabaticSought, current: Option<f64>, time: Option<f64>) -> Result<f64, Gap> {
        if sought != AdiabaticSought::ThetaF && self.end > self.limit {
            let [end, limit] = [self.end, self.limit].map(|c| fixed(c, 0, Rounding::Nearest));
            let why = format!(
                "`{}` is {end} C, and {} stands {limit} C: write at most {limit} C",
                self.end_key, self.beside
            );
            return Err(refused(Refusal::FinalAboveLimit.code(), why));
        }
        let unless = |s: AdiabaticSought, v: f64| (sought != s).then_some(v);
        let input = AdiabaticInput {
            solve: sought,
            material: self.metal.into(),
            theta_i_c: self.start,
            theta_f_c: unless(AdiabaticSought::ThetaF, self.end),
            theta_limit_c: self.limit,
            area_mm2: unless(AdiabaticSought::Area, self.area),
            time_s: time,
            i_ka: current,
        };
        let found = adiabatic(&input).map_err(|r| refused(r.code(), r))?;
        let figure = match sought {
            AdiabaticSought::K => found.k,
            AdiabaticSought::I => found.i_ka,
            AdiabaticSought::Area => found.area_mm2,
            AdiabaticSought::Time => found.time_s,
            AdiabaticSought::ThetaF => found.theta_f_c,
        };
        figure.ok_or_else(|| refused("no-rating", "the model gives no figure"))
    }

    fn rating(&self, time: f64) -> Result<f64, Gap> {
        self.solve(AdiabaticSought::I, None, Some(time))
    }
}

fn screen(x: &Inputs) -> Result<Heated, Gap> {
    let kind = x.word("cable.screen.kind")?;
    let [area, end] = x.numbers(["cable.screen.area_per_core", "cable.screen.final_temperature"])?;
    let (limit, end_key) = (limit_beside(x, end)?, "cable.screen.final_temperature");
    Ok(Heated { metal: metal_of(&kind), end_key, beside: BESIDE, area, start: START_C, end, limit })
}

fn armour(x: &Inputs) -> Result<Heated, Gap> {
    let kind = x.word("cable.armour.kind")?;
    let [area, end] = x.numbers(["cable.armour.area", "cable.armour.final_temperature"])?;
    let (limit, end_key) = (limit_beside(x, end)?, "cable.armour.final_temperature");
    Ok(Heated { metal: metal_of(&kind), end_key, beside: BESIDE, area, start: START_C, end, limit })
}

/// A lead or braid of copper, crimped or bolted.
fn of_copper(area: f64, start: f64, end: f64) -> Heated {
    let end_key = "earthing.lead_final_temperature";
    let beside = "a crimped or bolted connection";
    Heated { metal: "copper", end_key, beside, area, start, end, limit: CLAMP_STANDS_C }
}

fn lead(x: &Inputs) -> Result<Heated, Gap> {
    let [area, start, end] = x.numbers([
        "earthing.lead_area",
        "earthing.lead_start_temperature",
        "earthing.lead_final_temperature",
    ])?;
    Ok(of_copper(area, start, end))
}

/// What lies beside screen and armour, by the answer that tells it.
const BESIDE: &str = "what lies beside it (`cable.sheath`)";
/// What a crimped or bolted connection in the path stands, C: from memory.
const CLAMP_STANDS_C: f64 = 250.0;
/// What every oversheath stands, C: that of the softest, and of one not known.
const LEAST_STANDS_C: f64 = 150.0;

/// What the oversheath stands in a fault, C: IEC 60986, from memory; the figure
/// of PVC also in a table after IEC 60364-5-54 (public).
fn sheath_stands(material: &str) -> f64 {
    match material {
        "PVC" => 200.0,
        "PE ST7" => 180.0,
        "thermoset" => 220.0,
        _ => LEAST_STANDS_C,
    }
}

/// What the layers beside a screen or armour heated to `end` stand. Up to what every
/// oversheath stands, its material is no question.
fn limit_beside(x: &Inputs, end: f64) -> Result<f64, Gap> {
    match x.number("sheath_stands") {
        Err(_) if end <= LEAST_STANDS_C => Ok(LEAST_STANDS_C),
        stands => stands,
    }
}

const SCREEN: &[&str] = &[
    "cable.screen.kind",
    "cable.screen.area_per_core",
    "cable.screen.final_temperature",
    "sheath_stands",
    "system.earth_fault_time",
];
const SCREEN_IN_FAULT: &[&str] =
    &[SCREEN[0], SCREEN[1], SCREEN[2], SCREEN[3], SCREEN[4], "system.earth_fault"];
const LEAD: &[&str] = &[
    "earthing.lead_area",
    "earthing.lead_start_temperature",
    "earthing.lead_final_temperature",
    "system.earth_fault_time",
];
const LEAD_IN_FAULT: &[&str] = &[LEAD[0], LEAD[1], LEAD[2], LEAD[3], "system.earth_fault"];
const LEAD_NEEDED: &[&str] = &[LEAD[0], LEAD[1], LEAD[2], LEAD[3], "lead_needed"];
const STANDING: &[&str] = &[
    "bonding.formation",
    "bonding.spacing",
    "cable.screen.mean_diameter",
    "bonding.design_current",
    "system.frequency",
    "cable.length",
];
const LONGEST: &[&str] =
    &[STANDING[0], STANDING[1], STANDING[2], STANDING[3], STANDING[4], STANDING[5], "bonding.standing_most"];

/// Standing voltage of the screens for a limit in V, of the worst cable.
fn standing(x: &Inputs, limit_v: f64) -> Result<SheathVoltage, Gap> {
    let arrangement = x.word("bonding.formation")?;
    let [spacing_mm, screen_mean_dia_mm, current, f_hz, length] = x.numbers([
        "bonding.spacing",
        "cable.screen.mean_diameter",
        "bonding.design_current",
        "system.frequency",
        "cable.length",
    ])?;
    let input = SheathVoltageInput {
        arrangement,
        spacing_mm,
        screen_mean_dia_mm,
        current_a: current * 1000.0,
        f_hz,
        length_m: length / 1000.0,
        limit_v,
    };
    sheath_voltage(&input).map_err(|r| refused(r.code(), r))
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
    "sheath_stands",
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
    of_copper(area, start, end).rating(time).map(Out::Number)
}

pub(super) const FACTS: &[Def] = &[
    def(
        "sheath_stands",
        "temperature the layers beside the screen stand in a fault",
        "by cable.sheath: PVC 200 C, PE 150 C, PE ST7 180 C, thermoset 220 C; not asked where the final temperature is 150 C or less",
        Show::Figure(0, "C", Rounding::Down),
        &["cable.sheath"],
        Mark::Standard("IEC 60986 (from memory)"),
        |x| Ok(Out::Number(sheath_stands(&x.word("cable.sheath")?))),
    ),
    def(
        "screen_rating",
        "fault rating of one core's screen",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), Ti 80 C; refused where Tf is above sheath_stands",
        Show::KaDown,
        SCREEN,
        IEC_60949,
        |x| {
            let time = x.number("system.earth_fault_time")?;
            screen(x)?.rating(time).map(Out::Number)
        },
    ),
    def(
        "screen_fault_temperature",
        "temperature of one core's screen that carries the whole earth fault",
        "(Ti + b) exp((I/(K S))^2 t) - b, Ti 80 C",
        Show::Figure(0, "C", Rounding::Up),
        SCREEN_IN_FAULT,
        IEC_60949,
        |x| {
            let [fault, time] = x.numbers(["system.earth_fault", "system.earth_fault_time"])?;
            screen(x)?.solve(AdiabaticSought::ThetaF, Some(fault), Some(time)).map(Out::Number)
        },
    ),
    def(
        "screen_fault_time",
        "time one core's screen stands the whole earth fault",
        "(K S/I)^2 ln((Tf + b)/(Ti + b)), Ti 80 C; no figure above 5 s",
        Show::Figure(2, "s", Rounding::Down),
        SCREEN_IN_FAULT,
        IEC_60949,
        |x| {
            let fault = x.number("system.earth_fault")?;
            screen(x)?.solve(AdiabaticSought::Time, Some(fault), None).map(Out::Number)
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
        "joint_screens",
        "screens of a cross-bonded circuit at the joint",
        "bonding.at_joint, or not stated",
        Show::Word,
        &["bonding.at_joint"],
        Mark::Client,
        |x| Ok(Out::Word(x.word("bonding.at_joint").unwrap_or_else(|_| "not stated".into()))),
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
            let armour = armour(x)?.rating(x.number("system.earth_fault_time")?)?;
            Ok(Out::Number(armour.max(screen)))
        },
    ),
    def(
        "lead_rating",
        "fault rating of the earth lead",
        "K S sqrt(ln((Tf + b)/(Ti + b))/t), copper; refused where Tf is above 250 C, what a crimp or bolt stands",
        Show::KaDown,
        LEAD,
        IEC_60949,
        |x| {
            let time = x.number("system.earth_fault_time")?;
            lead(x)?.rating(time).map(Out::Number)
        },
    ),
    def(
        "lead_fault_temperature",
        "temperature of the earth lead at the end of the earth fault",
        "(Ti + b) exp((I/(K S))^2 t) - b, copper",
        Show::Figure(0, "C", Rounding::Up),
        LEAD_IN_FAULT,
        IEC_60949,
        |x| {
            let [fault, time] = x.numbers(["system.earth_fault", "system.earth_fault_time"])?;
            lead(x)?.solve(AdiabaticSought::ThetaF, Some(fault), Some(time)).map(Out::Number)
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
        "lead_area_needed",
        "least cross-section of the earth lead",
        "I sqrt t/(K sqrt(ln((Tf + b)/(Ti + b)))), I lead_needed, copper",
        Show::Figure(1, "mm2", Rounding::Up),
        LEAD_NEEDED,
        IEC_60949,
        |x| {
            let [need, time] = x.numbers(["lead_needed", "system.earth_fault_time"])?;
            lead(x)?.solve(AdiabaticSought::Area, Some(need), Some(time)).map(Out::Number)
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
        "2 pi f I 2e-7 ln(2S/d) per metre, trefoil; flat: that of the outer cables, sqrt(L^2 + L ln 2 + ln^2 2) for L = ln(2S/d)",
        Show::Volts,
        STANDING,
        Mark::Standard("IEEE 575-2014 type formula (public reproduction); outer cables derived"),
        // The limit does not enter the voltage.
        |x| standing(x, 65.0).map(|v| Out::Number(v.standing_v / 1000.0)),
    ),
    def(
        "standing_length_most",
        "longest length bonded at one point",
        "bonding.standing_most over the standing voltage per metre",
        Show::Figure(0, "m", Rounding::Down),
        LONGEST,
        Mark::Standard("IEEE 575-2014 type formula (public reproduction); outer cables derived"),
        |x| standing(x, x.number("bonding.standing_most")? * 1000.0).map(|v| Out::Number(v.max_length_m)),
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
