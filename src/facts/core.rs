//! The core as a condenser: permittivity, capacitance, field at its screens, and
//! the air that would be left at the semicon edge.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use super::sheet::Sheet;
use crate::calc::{
    CapacitanceInput, Field, FieldInput, StepState, TubeField, TubeFieldInput, VoidInception, VoidInput,
    capacitance, field, tube_field_length, void_inception,
};
use crate::job::schema::Mark;
use crate::units::Rounding;

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

/// Radial thickness of the conductor screen where the cable's own is not given,
/// mm: 0.6 to 0.8 is common practice, no source.
pub(super) const CONDUCTOR_SCREEN_MM: f64 = 0.7;

const FIELD: &[&str] = &["u0_service", "dia_over_conductor_screen", "cable.dia_over_insulation"];

fn field_of(x: &Inputs) -> Result<Field, Gap> {
    let [u_kv, inner, outer] =
        x.numbers(["u0_service", "dia_over_conductor_screen", "cable.dia_over_insulation"])?;
    field(&FieldInput { u_kv, dia_over_conductor_screen_mm: inner, dia_over_insulation_mm: outer })
        .map_err(|r| refused(r.code(), r))
}

const AIR: &[&str] = &[
    "u0_service",
    "edge_step",
    "insulation_permittivity",
    "site.altitude",
    "weather.air_temperature",
    "kit.sct.recovered",
    "kit.sct.moulded",
    "kit.filler.required",
    "dia_over_conductor_screen",
    "cable.dia_over_insulation",
];

const AIR_MEANING: &str = "Air at the step of the core screen in series with the insulation, under a tube that stands at screen potential. Against field calculations of 150 cases it reads 0.80 to 1.29 for tubes of permittivity 20 to 30 that do not conduct; at 10 up to 1.49. It is a reason printed at the hold point and neither passes nor refuses a job; it never argues that filler may be left out.";

/// Supposing that the filler is left out; a part that fills the step by its
/// construction gives no figure.
fn air(x: &Inputs) -> Result<VoidInception, Gap> {
    let built_in = x.yes("kit.sct.moulded")? || !x.yes("kit.filler.required")?;
    let [u0_kv, step_mm, eps_r, altitude_mm, inner, outer] = x.numbers([
        "u0_service",
        "edge_step",
        "insulation_permittivity",
        "site.altitude",
        "dia_over_conductor_screen",
        "cable.dia_over_insulation",
    ])?;
    let input = VoidInput {
        u0_kv,
        step_mm,
        eps_r,
        altitude_m: altitude_mm / 1000.0,
        air_c: x.maybe("weather.air_temperature"),
        tube_over_step: x.number("kit.sct.recovered")? > 0.0,
        step_state: if built_in { StepState::BuiltIn } else { StepState::Unfilled },
        dia_over_conductor_screen_mm: inner,
        dia_over_insulation_mm: outer,
    };
    void_inception(&input).map_err(|r| refused(r.code(), r))
}

/// Stress control tube as the explanation takes it where no kit states either,
/// mm and 1: common practice, no source.
const TUBE_WALL_MM: f64 = 2.5;
const TUBE_PERMITTIVITY: f64 = 20.0;

const ALONG: &[&str] = &[
    "kit.sct.moulded",
    "insulation_permittivity",
    "system.frequency",
    "dia_over_conductor_screen",
    "cable.dia_over_insulation",
];

const ALONG_MEANING: &str = "Explains why a tube works at all, own derivation; against field calculations of tubes of permittivity 20 it reads about 3 mm short. It grades a tube of 90 mm and one of 190 mm alike, so it can't tell them apart: impulse, ageing, pollution and tolerance are not in it. It passes and refuses nothing, stands beside no verdict and is on no paper. A tube that also conducts reaches farther, at 0.1 Hz much farther.";

const ALONG_SOURCE: Mark = Mark::Standard(
    "own derivation, a tube over a core as a line; wall and permittivity common practice, no source",
);

/// The potential along a tube: an explanation, for a tube and no moulded part.
fn along_tube(x: &Inputs) -> Result<TubeField, Gap> {
    if x.yes("kit.sct.moulded")? {
        return Err(refused("no-tube", "the stress control is moulded: there is no tube to run along"));
    }
    let [eps_r, f_hz, inner, outer] = x.numbers([
        "insulation_permittivity",
        "system.frequency",
        "dia_over_conductor_screen",
        "cable.dia_over_insulation",
    ])?;
    tube_field_length(&TubeFieldInput {
        tube_wall_mm: TUBE_WALL_MM,
        eps_tube: TUBE_PERMITTIVITY,
        rho_tube_ohm_m: None,
        eps_r,
        f_hz,
        dia_over_conductor_screen_mm: inner,
        dia_over_insulation_mm: outer,
    })
    .map_err(|r| refused(r.code(), r))
}

/// Whether a figure may stand on paper. What explains only never does, and of air
/// at the semicon edge nothing is printed where its own rule says so: a figure
/// there would read as reassurance.
pub(super) fn may_be_printed(sheet: &Sheet, name: &str) -> bool {
    match name {
        "tube_decay_length" | "tube_reach" => false,
        "air_inception" | "air_print" => sheet.text("air_print") != "none",
        _ => true,
    }
}

const AIR_SOURCE: Mark = Mark::Standard(
    "uniform-field strength of air: Kuffel, Zaengl and Kuffel, High Voltage Engineering (from memory)",
);

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "u0_service",
        title: "voltage of a phase to earth in service",
        formula: "cable.u0 where cable.u is the system's nominal voltage, else system.nominal/sqrt 3",
        inputs: &["cable.u0", "cable.u", "system.nominal"],
        mark: Mark::Computed,
        show: Show::Kv(1),
        meaning: "A cable rated above its system is not stressed to its own U0.",
        compute: |x| {
            let [u0, u, nominal] = x.numbers(["cable.u0", "cable.u", "system.nominal"])?;
            Ok(Out::Number(if (u - nominal).abs() < 1e-9 { u0 } else { nominal / 3f64.sqrt() }))
        },
    },
    Def {
        name: "u_earth_fault",
        title: "voltage of a phase to earth while another is earthed",
        formula: "sqrt 3 x u0_service",
        inputs: &["u0_service"],
        mark: Mark::Computed,
        show: Show::Kv(1),
        meaning: "",
        compute: |x| Ok(Out::Number(x.number("u0_service")? * 3f64.sqrt())),
    },
    def(
        "conductor_screen",
        "conductor screen, radial thickness",
        "cable.conductor.screen, else 0.7 mm",
        Show::Mm(1),
        &["cable.conductor.screen"],
        Mark::CommonPractice,
        |x| Ok(Out::Number(x.maybe("cable.conductor.screen").unwrap_or(CONDUCTOR_SCREEN_MM))),
    ),
    def(
        "dia_over_conductor_screen",
        "diameter over the conductor screen",
        "cable.conductor.diameter + 2 x conductor_screen",
        Show::Mm(1),
        &["cable.conductor.diameter", "conductor_screen"],
        Mark::Computed,
        |x| {
            let [conductor, screen] = x.numbers(["cable.conductor.diameter", "conductor_screen"])?;
            Ok(Out::Number(conductor + 2.0 * screen))
        },
    ),
    def(
        "insulation_permittivity",
        "permittivity of the insulation",
        "XLPE 2.5, EPR 3.0",
        Show::Word,
        &["cable.insulation"],
        Mark::Standard("IEC 60287-1-1 table 3, cables up to 18/30 kV (two public reproductions)"),
        |x| match x.word("cable.insulation")?.as_str() {
            "XLPE" => Ok(Out::Number(2.5)),
            "EPR" => Ok(Out::Number(3.0)),
            other => Err(refused(
                "permittivity-range",
                format!("no figure is kept for {other}: screened XLPE and EPR cores only"),
            )),
        },
    ),
    def(
        "capacitance_by_build",
        "capacitance of one core by its build",
        "2 pi e0 er/ln(D/d)",
        Show::About("uF/km"),
        &["insulation_permittivity", "dia_over_conductor_screen", "cable.dia_over_insulation"],
        Mark::Standard(
            "coaxial core; makers' figures of twelve cables (open load-flow data) lie 2.4 to 6.5 % below",
        ),
        |x| {
            let [eps_r, inner, outer] = x.numbers([
                "insulation_permittivity",
                "dia_over_conductor_screen",
                "cable.dia_over_insulation",
            ])?;
            let input = CapacitanceInput {
                eps_r,
                dia_over_conductor_screen_mm: inner,
                dia_over_insulation_mm: outer,
            };
            capacitance(&input).map(|c| Out::Number(c.c_nf_per_km / 1000.0)).map_err(|r| refused(r.code(), r))
        },
    ),
    def(
        "capacitance",
        "capacitance of one core",
        "cable.capacitance, else capacitance_by_build",
        Show::About("uF/km"),
        &["cable.capacitance", "capacitance_by_build"],
        Mark::Cable,
        |x| x.number("cable.capacitance").or_else(|_| x.number("capacitance_by_build")).map(Out::Number),
    ),
    Def {
        name: "field_inner",
        title: "field at the conductor screen in service, r.m.s.",
        formula: "U0/((d/2) ln(D/d))",
        inputs: FIELD,
        mark: Mark::Computed,
        show: Show::Figure(2, "kV/mm", Rounding::Nearest),
        meaning: "In the intact core between metal-screened lengths. Not at the semicon edge, where it is higher and a sharp edge has no single value, and not under a stress control tube.",
        compute: |x| field_of(x).map(|f| Out::Number(f.e_max_kv_per_mm)),
    },
    Def {
        name: "field_outer",
        title: "field under the core screen in service, r.m.s.",
        formula: "U0/((D/2) ln(D/d))",
        inputs: FIELD,
        mark: Mark::Computed,
        show: Show::Figure(2, "kV/mm", Rounding::Nearest),
        meaning: "As field_inner. It never argues that a nick is harmless.",
        compute: |x| field_of(x).map(|f| Out::Number(f.e_min_kv_per_mm)),
    },
    def(
        "edge_step",
        "step at the semicon edge, thickness of the core screen",
        "(cable.dia_over_core_screen - cable.dia_over_insulation)/2",
        Show::Mm(1),
        &["cable.dia_over_core_screen", "cable.dia_over_insulation"],
        Mark::Computed,
        |x| {
            let [over, under] = x.numbers(["cable.dia_over_core_screen", "cable.dia_over_insulation"])?;
            Ok(Out::Number((over - under) / 2.0))
        },
    ),
    Def {
        name: "air_inception",
        title: "voltage at which air left at the semicon edge can discharge, r.m.s.",
        formula: "Ub/(sqrt 2 x share), Ub = 24.22 ds + 6.08 sqrt(ds) kV peak, share = ln((R+s)/R)/(ln((R+s)/R) + ln(R/r)/er), s the step in cm, d the density of the air",
        inputs: AIR,
        mark: AIR_SOURCE,
        show: Show::About("kV"),
        meaning: AIR_MEANING,
        compute: |x| air(x).map(|v| Out::Number(v.ui_kv_rms)),
    },
    Def {
        name: "tube_decay_length",
        title: "length along a stress control tube over which the potential falls to 37 %",
        formula: "sqrt(et/er x Rm x w x ln(R/r)), Rm = R + w/2, w 2.5 mm and et 20 taken for the tube",
        inputs: ALONG,
        mark: ALONG_SOURCE,
        show: Show::About("mm"),
        meaning: ALONG_MEANING,
        compute: |x| along_tube(x).map(|t| Out::Number(t.decay_length_mm)),
    },
    Def {
        name: "tube_reach",
        title: "length along a stress control tube over which the potential falls to 1 %",
        formula: "tube_decay_length x ln 100",
        inputs: ALONG,
        mark: ALONG_SOURCE,
        show: Show::About("mm"),
        meaning: ALONG_MEANING,
        compute: |x| along_tube(x).map(|t| Out::Number(t.length_to_1pct_mm)),
    },
    Def {
        name: "air_print",
        title: "what may be printed of air left at the semicon edge",
        formula: "air_inception below 1.25 x u0_service: normal-service; below sqrt 3 x u0_service: earth-fault; else none",
        inputs: AIR,
        mark: AIR_SOURCE,
        show: Show::Word,
        meaning: AIR_MEANING,
        compute: |x| air(x).map(|v| Out::Word(v.print.as_str().into())),
    },
];
