//! What is measured from end to end and on the day: resistances at temperature,
//! dew point, and the cable's way to the box.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{
    ApproachInput, BendMinimumInput, BendRow, DewPoint, DewPointInput, HermiteRoute, Resistance,
    ResistanceInput, ScreenContinuity, ScreenContinuityInput, approach_route, bend_minimum, dew_point,
    resistance, screen_continuity,
};
use crate::job::schema::Mark;
use crate::tables;
use crate::units::Rounding;

const fn def(
    name: &'static str,
    [title, formula, meaning]: [&'static str; 3],
    show: Show,
    inputs: &'static [&'static str],
    mark: Mark,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark, show, meaning, compute }
}

const CONDUCTOR: &[&str] = &[
    "cable.conductor.area",
    "cable.conductor.metal",
    "cable.conductor.make",
    "cable.length",
    "weather.cable_temperature",
];

const LOOP: &str =
    "Direct current; no skin or proximity effect. A whole loop says nothing of one contact in it.";

fn conductor(x: &Inputs) -> Result<Resistance, Gap> {
    let metal = x.word("cable.conductor.metal")?;
    let [area, length, theta_c] =
        x.numbers(["cable.conductor.area", "cable.length", "weather.cable_temperature"])?;
    if x.word("cable.conductor.make")? != "stranded" {
        return Err(refused("no-row", "the table kept is for stranded conductors, class 2"));
    }
    let r20 = tables::conductor_ohm_per_km(area, &metal)
        .ok_or_else(|| refused("no-row", format!("the table has no {metal} conductor of {area} mm2")))?;
    let input = ResistanceInput { metal, r20_ohm_per_km: r20, theta_c, length_m: length / 1000.0 };
    resistance(&input).map_err(|r| refused(r.code(), r))
}

const SCREEN: &[&str] =
    &["cable.screen.kind", "cable.screen.area_per_core", "cable.length", "weather.cable_temperature"];

fn screen(x: &Inputs) -> Result<ScreenContinuity, Gap> {
    let kind = x.word("cable.screen.kind")?;
    let metal = kind.split('-').next().unwrap_or_default().to_string();
    let [area_mm2, length, theta_c] =
        x.numbers(["cable.screen.area_per_core", "cable.length", "weather.cable_temperature"])?;
    let input = ScreenContinuityInput {
        metal,
        area_mm2,
        length_m: length / 1000.0,
        theta_c,
        return_ohm: 0.0,
        reading_ohm: None,
    };
    screen_continuity(&input).map_err(|r| refused(r.code(), r))
}

const DEW: &[&str] = &["weather.air_temperature", "weather.humidity", "weather.cable_temperature"];

fn dew(x: &Inputs) -> Result<DewPoint, Gap> {
    let [air_c, rh_pct, surface_c] =
        x.numbers(["weather.air_temperature", "weather.humidity", "weather.cable_temperature"])?;
    dew_point(&DewPointInput { air_c, rh_pct, surface_c }).map_err(|r| refused(r.code(), r))
}

const DEW_MEANING: &str = "As planned; the hold point measures on the day. Over water: below 0 C it reads lower than the frost point. 3 % of humidity is about 0.6 K.";

const WAY: &[&str] = &[
    "layout.approach.aside",
    "layout.approach.below",
    "layout.approach.slant",
    "layout.crutch",
    "layout.crutch_below_plate",
    "layout.lean",
];

const APPROACH: &[&str] = &[WAY[0], WAY[1], WAY[2], WAY[3], WAY[4], WAY[5], "layout.approach_radius"];

/// From the last point where the cable is held to where it stands as it enters:
/// at the plate, or at the crutch where that lies below it. A cable that leans
/// there is taken to come from the side it leans away from.
fn way(x: &Inputs) -> Result<HermiteRoute, Gap> {
    let [aside, below, slant] =
        x.numbers(["layout.approach.aside", "layout.approach.below", "layout.approach.slant"])?;
    let upright = match x.word("layout.crutch")?.as_str() {
        "outside" => x.number("layout.crutch_below_plate")?,
        _ => 0.0,
    };
    let input = ApproachInput {
        aside_mm: aside,
        below_mm: below,
        slant_deg: slant,
        upright_below_mm: upright,
        lean_deg: x.maybe("layout.lean").unwrap_or(0.0),
    };
    approach_route(&input).map_err(|r| refused(r.code(), r))
}

/// Least bending radius by multiples of the diameter: laying, by cores and
/// armour, of the one basis named in the source.
fn by_table(x: &Inputs) -> Result<f64, Gap> {
    let [cores, outer_dia_mm] = x.numbers(["cable.cores", "cable.overall_diameter"])?;
    let armoured = x.word("cable.armour.kind")? != "none";
    let cable = format!(
        "{} {}",
        if cores > 1.5 { "three-core" } else { "single-core" },
        if armoured { "armoured" } else { "unarmoured" }
    );
    let rows: Vec<BendRow> = tables::BENDING
        .iter()
        .map(|r| BendRow { basis: &r.basis, cable: &r.cable, stage: &r.stage, factor: r.factor })
        .collect();
    let input = BendMinimumInput {
        basis_name: tables::BEND_BASIS.into(),
        cable,
        stage: "laying".into(),
        outer_dia_mm,
        stated_to: "inside".into(),
    };
    bend_minimum(&rows, &input).map(|b| b.least_inside_mm).map_err(|r| refused(r.code(), r))
}

pub(super) const FACTS: &[Def] = &[
    def(
        "clamp_planned",
        ["where the cable is held is planned", "layout.cable_clamp is given", ""],
        Show::Word,
        &["layout.cable_clamp"],
        Mark::Planner,
        |x| Ok(Out::YesNo(x.answered("layout.cable_clamp"))),
    ),
    def(
        "conductor_resistance",
        [
            "greatest resistance of one core, end to end, at the cable's temperature",
            "R20 (b + T)/(b + 20) x length",
            LOOP,
        ],
        Show::Figure(3, "ohm", Rounding::Nearest),
        CONDUCTOR,
        Mark::Standard(tables::CONDUCTOR_SOURCE),
        |x| conductor(x).map(|r| Out::Number(r.r_core_ohm)),
    ),
    def(
        "loop_resistance",
        ["greatest resistance out on one core and back on another", "2 x conductor_resistance", LOOP],
        Show::Figure(3, "ohm", Rounding::Nearest),
        CONDUCTOR,
        Mark::Standard(tables::CONDUCTOR_SOURCE),
        |x| conductor(x).map(|r| Out::Number(r.r_two_core_loop_ohm)),
    ),
    def(
        "screen_resistance",
        [
            "resistance of one core's screen, end to end, at the cable's temperature",
            "rho length/S x (b + T)/(b + 20), without return conductor or leads",
            "Of a lapped tape it is only the least: contact between turns is lost with age, so compare the phases.",
        ],
        Show::Figure(3, "ohm", Rounding::Nearest),
        SCREEN,
        Mark::Standard("IEC 60287-1-1 resistivity (public reproductions)"),
        |x| screen(x).map(|r| Out::Number(r.expected_ohm)),
    ),
    def(
        "screen_resistance_least",
        [
            "least screen reading that asks no question",
            "0.8 x screen_resistance",
            "A reading outside the band is a question, never a rejection.",
        ],
        Show::Figure(3, "ohm", Rounding::Nearest),
        SCREEN,
        Mark::CommonPractice,
        |x| screen(x).map(|r| Out::Number(r.low_ohm)),
    ),
    def(
        "screen_resistance_most",
        [
            "greatest screen reading that asks no question",
            "1.2 x screen_resistance",
            "A reading outside the band is a question, never a rejection.",
        ],
        Show::Figure(3, "ohm", Rounding::Nearest),
        SCREEN,
        Mark::CommonPractice,
        |x| screen(x).map(|r| Out::Number(r.high_ohm)),
    ),
    def(
        "dew_point",
        [
            "dew point of the air as planned",
            "243.12 g/(17.62 - g), g = ln(RH/100) + 17.62 T/(243.12 + T)",
            DEW_MEANING,
        ],
        Show::Figure(1, "C", Rounding::Nearest),
        DEW,
        Mark::Standard("Magnus over water, constants of Sonntag 1990 (WMO-No. 8)"),
        |x| dew(x).map(|d| Out::Number(d.dew_point_c)),
    ),
    def(
        "dew_margin",
        [
            "cable surface above the dew point, as planned",
            "weather.cable_temperature - dew_point",
            DEW_MEANING,
        ],
        Show::Figure(1, "C", Rounding::Down),
        DEW,
        Mark::Standard("3 K: ISO 8502-4 (from memory), for jointing common practice"),
        |x| dew(x).map(|d| Out::Number(d.margin_k)),
    ),
    def(
        "approach_bend",
        [
            "tightest bend of the cable's approach, to the axis",
            "curve of least bending from where the cable is last held to where it stands as it enters, upright or by layout.lean; else layout.approach_radius",
            "A smooth stand-in for a stiff cable, not its elastic shape.",
        ],
        Show::Mm(0),
        APPROACH,
        Mark::Computed,
        |x| {
            if !x.answered("layout.approach.aside") {
                return x.number("layout.approach_radius").map(Out::Number);
            }
            Ok(way(x)?.least_radius_mm.map_or(Out::None("straight"), Out::Number))
        },
    ),
    def(
        "approach_length",
        [
            "length of cable from where it is last held to where it stands upright",
            "length of the curve of approach_bend",
            "",
        ],
        Show::Mm(0),
        WAY,
        Mark::Computed,
        |x| way(x).map(|w| Out::Number(w.length_mm)),
    ),
    def(
        "cable_bend_inside",
        [
            "least bending radius of the cable, to the inside of the bend",
            "cable.min_bend_cable, unstated counting as the inside; else a multiple of cable.overall_diameter: single-core 20, armoured 15; three-core 15, armoured 12",
            "No table is the right one for every cable: the maker's figure outranks it.",
        ],
        Show::Mm(0),
        &["cable.min_bend_cable", "cable.cores", "cable.overall_diameter", "cable.armour.kind"],
        Mark::Standard(tables::BEND_SOURCE),
        |x| x.number("cable.min_bend_cable").or_else(|_| by_table(x)).map(Out::Number),
    ),
    def(
        "cable_bend_axis",
        [
            "least bending radius of the cable, to the axis",
            "cable_bend_inside + half of cable.overall_diameter",
            "What approach_bend is held against.",
        ],
        Show::Mm(0),
        &["cable_bend_inside", "cable.overall_diameter"],
        Mark::Computed,
        |x| {
            let [inside, diameter] = x.numbers(["cable_bend_inside", "cable.overall_diameter"])?;
            Ok(Out::Number(inside + diameter / 2.0))
        },
    ),
];
