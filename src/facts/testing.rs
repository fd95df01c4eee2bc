//! The test plan: level, time, palms, stored energy.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{ChargingInput, VlfLevelInput, WAVEFORM_SINE, charging, vlf_level};
use crate::job::schema::Mark;

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

/// Withstand at 0.1 Hz: 3 U0 of the cable as rated.
const FACTOR: f64 = 3.0;

/// Resistor of a discharge stick, ohm: at least 200 kilohm (public guide).
const DISCHARGE_OHM: f64 = 200_000.0;

fn minutes_needed(standard: &str) -> f64 {
    match standard {
        "IEC 60502-2" => 15.0,
        _ => 30.0,
    }
}

pub(super) const FACTS: &[Def] = &[
    def(
        "test_level_needed",
        "test voltage needed, r.m.s.",
        "3 x cable.u0",
        Show::Kv(2),
        &["cable.u0"],
        Mark::Standard("HD 620 S3 family: 3 U0 at 0.1 Hz (public guide)"),
        |x| {
            let u0_cable_kv = x.number("cable.u0")?;
            let input = VlfLevelInput {
                u0_cable_kv,
                k: FACTOR,
                held_kv: None,
                held_kind: None,
                display_digit_kv: None,
            };
            vlf_level(&input).map(|v| Out::Number(v.need_kv_rms)).map_err(|r| refused(r.code(), r))
        },
    ),
    def(
        "test_nature",
        "nature of the test voltage",
        "r.m.s., peak, or unstated",
        Show::Word,
        &["tests.vlf"],
        Mark::Computed,
        |x| {
            let text = x.word("tests.vlf")?;
            let nature = ["rms", "peak"].into_iter().find(|n| text.ends_with(n)).unwrap_or("unstated");
            Ok(Out::Word(nature.into()))
        },
    ),
    def(
        "test_voltage_short",
        "test voltage below 3 U0",
        "tests.vlf (a peak over sqrt 2) below test_level_needed",
        Show::Word,
        &["tests.vlf", "test_nature", "test_level_needed"],
        Mark::Computed,
        |x| {
            let [kv, need] = x.numbers(["tests.vlf", "test_level_needed"])?;
            let rms = if x.word("test_nature")? == "peak" { kv / std::f64::consts::SQRT_2 } else { kv };
            Ok(Out::YesNo(rms < need - 1e-9))
        },
    ),
    def(
        "test_minutes_needed",
        "least test time",
        "of the standard chosen",
        Show::Minutes,
        &["tests.standard"],
        Mark::Standard("HD 620: 30 min; IEC 60502-2:2014: 15 min (from memory); IEEE 400.2-2013: 30 min"),
        |x| Ok(Out::Number(minutes_needed(&x.word("tests.standard")?) * 60.0)),
    ),
    def(
        "test_minutes_short",
        "test time too short",
        "tests.minutes below test_minutes_needed",
        Show::Word,
        &["tests.minutes", "test_minutes_needed"],
        Mark::Computed,
        |x| {
            let [given, need] = x.numbers(["tests.minutes", "test_minutes_needed"])?;
            Ok(Out::YesNo(given < need - 1e-9))
        },
    ),
    def(
        "palms_close",
        "palms closer than the test wants",
        "live_phase_to_phase below test_clearance",
        Show::Word,
        &["live_phase_to_phase", "test_clearance"],
        Mark::CommonPractice,
        |x| {
            let [gap, need] = x.numbers(["live_phase_to_phase", "test_clearance"])?;
            Ok(Out::YesNo(gap < need - 1e-9))
        },
    ),
    def(
        "stored_energy",
        "energy stored in one core at the test voltage",
        "C V peak^2 / 2",
        Show::Joules,
        &["cable.capacitance", "cable.length", "tests.vlf"],
        Mark::Computed,
        |x| charge(x).map(|c| Out::Number(c.energy_j)),
    ),
    def(
        "charge_caution",
        "caution about the stored charge",
        "above 10 J; else above 45 uC or 0.35 J; else below",
        Show::Word,
        &["cable.capacitance", "cable.length", "tests.vlf"],
        Mark::Standard("IEC 60335-1 8.1.4, EN 50191:2010 (350 mJ); 10 J from memory"),
        |x| charge(x).map(|c| Out::Word(c.caution_level.as_str().into())),
    ),
];

fn charge(x: &Inputs) -> Result<crate::calc::Charging, Gap> {
    let [uf_per_km, length, kv] = x.numbers(["cable.capacitance", "cable.length", "tests.vlf"])?;
    let input = ChargingInput {
        c_nf_per_km: uf_per_km * 1000.0,
        length_m: length / 1000.0,
        u_kv: kv,
        waveform: WAVEFORM_SINE.into(),
        f_hz: 0.1,
        r_discharge_ohm: Some(DISCHARGE_OHM),
    };
    charging(&input).map_err(|r| refused(r.code(), r))
}
