//! The test plan: level, time, palms, stored energy.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{
    Charging, ChargingInput, VlfLevel, VlfLevelInput, VlfPair, VlfRow, VlfTableInput, WAVEFORM_DC,
    WAVEFORM_SINE, charging, vlf_level, vlf_table,
};
use crate::job::schema::Mark;
use crate::tables::{VLF_SOURCE, VLF_TABLE};
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

/// Withstand at 0.1 Hz: 3 U0 of the cable as rated.
const FACTOR: f64 = 3.0;

/// Frequency of the withstand, Hz.
const VLF_HZ: f64 = 0.1;

/// Resistor of a discharge stick, ohm: at least 200 kilohm (public guide).
const DISCHARGE_OHM: f64 = 200_000.0;

fn minutes_needed(standard: &str) -> f64 {
    match standard {
        "IEC 60502-2" => 15.0,
        _ => 30.0,
    }
}

/// What the level rests on: 3 U0, or the table by cable class and stage.
const LEVEL: &[&str] = &["cable.u0", "tests.standard", "tests.level", "tests.cable_class"];

fn three_u0(x: &Inputs) -> Result<VlfLevel, Gap> {
    let input = VlfLevelInput { u0_cable_kv: x.number("cable.u0")?, k: FACTOR, ..VlfLevelInput::default() };
    vlf_level(&input).map_err(|r| refused(r.code(), r))
}

/// The level needed as r.m.s. and peak. The table's peaks are its own; the
/// others follow from the r.m.s. value.
fn level(x: &Inputs) -> Result<VlfPair, Gap> {
    if x.word("tests.standard").is_ok_and(|s| s == "IEEE 400.2") {
        let stage = if x.word("tests.level")? == "maintenance" { "maint" } else { "accept" };
        let cable_class_kv = x.number("tests.cable_class")?;
        let rows: Vec<VlfRow> = VLF_TABLE.iter().map(row).collect();
        let input = VlfTableInput { cable_class_kv, stage: stage.into() };
        return vlf_table(&rows, &input).map_err(|r| refused(r.code(), r));
    }
    let level = three_u0(x)?;
    Ok(VlfPair { kv_rms: level.need_kv_rms, kv_peak: level.need_kv_peak })
}

fn row(r: &[f64; 7]) -> VlfRow {
    let [class, ir, ip, ar, ap, mr, mp] = *r;
    let pair = |kv_rms, kv_peak| VlfPair { kv_rms, kv_peak };
    VlfRow { cable_class_kv: class, install: pair(ir, ip), accept: pair(ar, ap), maint: pair(mr, mp) }
}

/// The test voltage as r.m.s.: a peak over the root of two.
pub(super) fn test_rms(x: &Inputs) -> Result<f64, Gap> {
    let kv = x.number("tests.vlf")?;
    Ok(if x.word("tests.vlf")?.ends_with("peak") { kv / std::f64::consts::SQRT_2 } else { kv })
}

pub(super) const FACTS: &[Def] = &[
    def(
        "test_level_needed",
        "test voltage needed, r.m.s.",
        "3 x cable.u0; by IEEE 400.2 the table's figure for tests.cable_class and tests.level",
        Show::Kv(2),
        LEVEL,
        Mark::Standard(VLF_SOURCE),
        |x| level(x).map(|pair| Out::Number(pair.kv_rms)),
    ),
    def(
        "test_level_peak",
        "test voltage needed, peak",
        "sqrt 2 x test_level_needed; by IEEE 400.2 the peak as tabulated",
        Show::Kv(1),
        LEVEL,
        Mark::Standard(VLF_SOURCE),
        |x| level(x).map(|pair| Out::Number(pair.kv_peak)),
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
        "test voltage too low",
        "tests.vlf below test_level_needed, a peak below test_level_peak",
        Show::Word,
        &["tests.vlf", "test_nature", "test_level_needed", "test_level_peak"],
        Mark::Computed,
        |x| {
            let peak = x.word("test_nature")? == "peak";
            let need = if peak { "test_level_peak" } else { "test_level_needed" };
            let [kv, need] = x.numbers(["tests.vlf", need])?;
            // Printed peaks are rounded to 0.1 kV.
            let slack = if peak { 0.05 } else { 1e-9 };
            Ok(Out::YesNo(kv < need - slack))
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
        Show::About("J"),
        CHARGE,
        Mark::Computed,
        |x| charge(x).map(|c| Out::Number(c.energy_j)),
    ),
    def(
        "stored_charge",
        "charge stored in one core at the test voltage",
        "C V peak",
        Show::About("mC"),
        CHARGE,
        Mark::Computed,
        |x| charge(x).map(|c| Out::Number(c.charge_uc / 1000.0)),
    ),
    def(
        "charging_current",
        "current one core takes from the test set, r.m.s.",
        "2 pi f C V, f 0.1 Hz; three cores together take three times that",
        Show::About("mA"),
        CHARGE,
        Mark::Computed,
        |x| charge(x).map(|c| Out::Number(c.i_rms_ma)),
    ),
    Def {
        name: "discharge_time",
        title: "time for one core to fall to 50 V through 200 kilohm",
        formula: "R C ln(V peak/50 V), R 200 kilohm; rounded up",
        inputs: CHARGE,
        mark: Mark::Standard("resistor of at least 200 kilohm: SANS 10198-13 (public guide); physics"),
        show: Show::Figure(1, "s", Rounding::Up),
        meaning: "For the resistor alone. The insulation gives charge back: solid earth after it, proved dead. It never stands for proving and earthing.",
        compute: |x| charge(x).map(|c| Out::Number(c.t_to_50v_s)),
    },
    def(
        "charge_caution",
        "caution about the stored charge",
        "above 10 J; else above 45 uC or 0.35 J; else below, which is not safe to touch either",
        Show::Word,
        CHARGE,
        Mark::Standard("IEC 60335-1 8.1.4, EN 50191:2010 (350 mJ); 10 J from memory"),
        |x| charge(x).map(|c| Out::Word(c.caution_level.as_str().into())),
    ),
];

const CHARGE: &[&str] = &["capacitance", "cable.length", "tests.vlf", "tests.waveform"];

/// A set whose wave is no sine has its own peak, and the model gives no figure.
fn waveform(text: &str) -> &str {
    let text = text.trim_start();
    match text.get(..3).map(str::to_ascii_lowercase).as_deref() {
        Some("sin") => WAVEFORM_SINE,
        Some("dir") | Some("dc") | Some("dc ") => WAVEFORM_DC,
        _ => text,
    }
}

fn charge(x: &Inputs) -> Result<Charging, Gap> {
    let [uf_per_km, length] = x.numbers(["capacitance", "cable.length"])?;
    let input = ChargingInput {
        c_nf_per_km: uf_per_km * 1000.0,
        length_m: length / 1000.0,
        u_kv: test_rms(x)?,
        waveform: waveform(&x.word("tests.waveform")?).into(),
        f_hz: VLF_HZ,
        r_discharge_ohm: Some(DISCHARGE_OHM),
    };
    charging(&input).map_err(|r| refused(r.code(), r))
}
