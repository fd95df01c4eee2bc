//! Models that take single figures: whatever is typed, they answer with finite
//! figures or refuse.

use super::wild;
use crate::support::Dice;
use crate::vectors::{all_models, runner};
use cutback::calc;
use serde::Serialize;
use serde_json::Value;

/// Models whose inputs hold nothing but plain figures, words and lists of them.
const PLAIN: &[&str] = &[
    "termination_chain",
    "chain_rounding",
    "tolerance_stack",
    "test_clearance",
    "joint_chain",
    "bend",
    "spread_bound",
    "f13_slices",
    "disc_disc",
    "hermite_route",
    "capacitance",
    "charging",
    "field",
    "void_inception",
    "tube_length_rule",
    "tube_field_length",
    "adiabatic",
    "screen_area",
    "altitude",
    "creepage",
    "clearance_lookup",
    "dew_point",
    "sheath_voltage",
    "resistance",
    "screen_continuity",
    "vlf_level",
    "vlf_table",
    "ir_length",
    "bend_minimum",
];

/// Spoils some of the figures, here and below.
fn spoil(dice: &mut Dice, v: &mut Value) {
    match v {
        Value::Number(n) => {
            let usual = n.as_f64().unwrap_or(1.0).abs().max(1e-3);
            let other = wild(dice, usual);
            if dice.below(3) == 0 && other.is_finite() {
                *v = other.into();
            }
        }
        Value::Array(items) => items.iter_mut().for_each(|item| spoil(dice, item)),
        Value::Object(fields) => fields.values_mut().for_each(|field| spoil(dice, field)),
        _ => {}
    }
}

#[test]
fn no_spoilt_figure_panics() {
    let mut dice = Dice(0xf1e1d);
    let all = all_models();
    for name in PLAIN {
        let run = runner(name).unwrap_or_else(|| panic!("no runner for {name}"));
        for case in all[*name]["cases"].as_array().expect("cases") {
            let sound = run(&case["in"]);
            for _ in 0..12 {
                let mut input = case["in"].clone();
                spoil(&mut dice, &mut input);
                let (Ok(sound), Ok(got)) = (&sound, run(&input)) else { continue };
                // A figure that is not finite has no JSON form and comes out null.
                let lost = sound.as_object().into_iter().flatten().find(|(key, value)| {
                    value.is_number() && got[key.as_str()].is_null() && key.as_str() != "f"
                });
                assert!(lost.is_none() || may_be_none(name), "{name}: {lost:?} of {input}");
            }
        }
    }
}

/// Models in which a figure may not exist for some sound input.
fn may_be_none(name: &str) -> bool {
    ["hermite_route", "bend", "spread_bound", "f13_slices", "tube_length_rule", "tolerance_stack"]
        .contains(&name)
}

/// Takes each named figure of an input through all that is no number.
macro_rules! refuses_no_number {
    ($model:path, $sound:expr, $($field:ident)*) => {
        $(for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut input = $sound;
            input.$field = bad.into();
            let got = $model(&input);
            let what = stringify!($field);
            assert!(got.is_err(), "{what} {bad} gives {}", json(got.ok()));
        })*
    };
}

fn json(v: impl Serialize) -> String {
    serde_json::to_string(&v).expect("an answer always has a JSON form")
}

fn first<T: serde::de::DeserializeOwned>(model: &str, id: &str) -> T {
    let all = all_models();
    let cases = all[model]["cases"].as_array().expect("cases");
    let case = cases.iter().find(|c| c["id"] == id).unwrap_or_else(|| panic!("no case {id}"));
    serde_json::from_value(case["in"].clone()).expect("a sound input")
}

#[test]
fn what_is_no_number_is_refused() {
    let sound: calc::AdiabaticInput = first("adiabatic", "adiabatic-p02");
    refuses_no_number!(calc::adiabatic, sound.clone(), theta_i_c theta_f_c theta_limit_c area_mm2 time_s);
    let sound: calc::ChargingInput = first("charging", "charging-p01");
    refuses_no_number!(calc::charging, sound.clone(), c_nf_per_km length_m u_kv f_hz r_discharge_ohm);
    let sound: calc::VlfLevelInput = first("vlf_level", "vlf-level-p02");
    refuses_no_number!(calc::vlf_level, sound.clone(), u0_cable_kv k held_kv display_digit_kv);
    let sound: calc::ScreenContinuityInput = first("screen_continuity", "screen-continuity-p02");
    refuses_no_number!(
        calc::screen_continuity, sound.clone(), area_mm2 length_m theta_c return_ohm reading_ohm
    );
    let sound: calc::SheathVoltageInput = first("sheath_voltage", "sheath-voltage-p01");
    refuses_no_number!(
        calc::sheath_voltage, sound.clone(), spacing_mm screen_mean_dia_mm current_a f_hz length_m limit_v
    );
    let sound: calc::DewPointInput = first("dew_point", "dew-point-p01");
    refuses_no_number!(calc::dew_point, sound, air_c rh_pct surface_c);
    let sound: calc::ResistanceInput = first("resistance", "resistance-p01");
    refuses_no_number!(calc::resistance, sound.clone(), r20_ohm_per_km theta_c length_m);
    let sound: calc::CapacitanceInput = first("capacitance", "capacitance-p01");
    refuses_no_number!(
        calc::capacitance, sound, eps_r dia_over_conductor_screen_mm dia_over_insulation_mm
    );
    let sound: calc::VoidInput = first("void_inception", "void-inception-p01");
    refuses_no_number!(calc::void_inception, sound, u0_kv step_mm eps_r altitude_m air_c);
    let sound: calc::TubeFieldInput = first("tube_field_length", "tube-field-length-p06");
    refuses_no_number!(calc::tube_field_length, sound, tube_wall_mm eps_tube rho_tube_ohm_m eps_r f_hz);
    let sound: calc::JointInput = first("joint_chain", "d");
    refuses_no_number!(calc::joint_chain, sound, connector_half_mm semicon_edge_mm sheath_cut_x_mm body_mm);
}

/// Whatever a sound kit and lug say, the stations stand in their order and every
/// length of the chain is the difference of two of them.
#[test]
fn the_chain_closes_for_every_sound_kit() {
    let mut dice = Dice(0x0c4a);
    let mut closed = 0;
    for _ in 0..4_000 {
        let over_semicon = dice.between(5.0, 45.0);
        let tube = over_semicon + dice.between(30.0, 300.0);
        let input = calc::TerminationInput {
            lug_barrel_depth_mm: dice.between(30.0, 110.0),
            lug_growth_mm: dice.between(0.0, 10.0),
            lug_mouth_to_hole_mm: dice.between(60.0, 160.0),
            insulation_exposed_mm: tube - over_semicon + dice.between(-20.0, 150.0),
            semicon_left_mm: dice.between(20.0, 80.0),
            sct_length_mm: tube,
            sct_over_semicon_mm: over_semicon,
            dia_over_semicon_mm: None,
            walls_mm: None,
            ref_ring_from_screen_cut_mm: Some(dice.between(20.0, 80.0)),
            armour_at: None,
            tail_straight_mm: None,
            bedding_left_mm: None,
            armour_left_mm: None,
            crutch_height_mm: None,
            armour_cut_from_plate_mm: None,
            sheath_cut_from_plate_mm: None,
        };
        let clear = input.insulation_exposed_mm - (tube - over_semicon);
        let Ok(c) = calc::termination_chain(&input) else {
            let sound = clear >= 0.0 && input.lug_barrel_depth_mm <= input.lug_mouth_to_hole_mm;
            assert!(!sound, "{input:?}");
            continue;
        };
        closed += 1;
        let stations = [
            c.lug_end_offset_mm,
            c.lug_insulation_end_to_stud_mm,
            c.sct_upper_from_stud_mm,
            c.semicon_edge_from_stud_mm,
            c.metal_screen_cut_from_stud_mm,
            c.ref_ring_from_stud_mm,
        ];
        assert!(stations.windows(2).all(|w| w[0] <= w[1] + 1e-9), "{stations:?}");
        assert!(c.sct_lower_from_stud_mm < c.ref_ring_from_stud_mm, "the ring stays in sight");
        let over_insulation = c.semicon_edge_from_stud_mm - c.sct_upper_from_stud_mm;
        let clear = c.sct_upper_from_stud_mm - c.lug_insulation_end_to_stud_mm;
        assert!((over_insulation + clear - input.insulation_exposed_mm).abs() < 1e-9);
        assert!((c.sct_lower_from_stud_mm - c.sct_upper_from_stud_mm - tube).abs() < 1e-9);
    }
    assert!(closed > 2_000, "{closed}");
}
