//! Runs the test vectors of `tests/vectors/` against the calculating room, and
//! checks properties that hold for any layout.

use cutback::calc::{self, Refusal};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const FILES: [&str; 3] = ["geometry.json", "chain.json", "field.json"];

/// Models that are in the files and that no code answers yet.
const NOT_YET: [&str; 19] = [
    "hermite_route",
    "site_window",
    "joint_chain",
    "capacitance",
    "charging",
    "field",
    "void_inception",
    "tube_field_length",
    "adiabatic",
    "screen_area",
    "creepage",
    "dew_point",
    "sheath_voltage",
    "resistance",
    "screen_continuity",
    "vlf_level",
    "vlf_table",
    "ir_length",
    "bend_minimum",
];

/// Models of the same schema that other rooms answer.
const ELSEWHERE: [&str; 1] = ["remedy_search"];

/// Standard rated impulse levels, kV peak (IEC 60071-1; 200, 250 and 325 from
/// memory).
const LEVELS: [f64; 11] = [20.0, 40.0, 60.0, 75.0, 95.0, 125.0, 145.0, 170.0, 200.0, 250.0, 325.0];

type Answer = Result<Value, Refusal>;
type Runner = fn(&Value) -> Answer;

const RUNNERS: [(&str, Runner); 18] = [
    ("route", |v| answer(v, calc::route)),
    ("f13_slices", |v| answer(v, calc::f13_slices)),
    ("bend", |v| answer(v, calc::bend)),
    ("spread_bound", |v| answer(v, calc::spread_bound)),
    ("solid_gap", |v| answer(v, calc::solid_gap)),
    ("earthed_gaps", |v| answer(v, calc::earthed_gaps)),
    ("judgement", |v| answer(v, calc::judgement)),
    ("refused", |v| answer(v, calc::judgement)),
    ("least_heights", |v| answer(v, calc::least_heights)),
    ("disc_disc", |v| answer(v, calc::disc_disc)),
    ("drawing", |v| answer(v, calc::drawing)),
    ("termination_chain", |v| answer(v, calc::termination_chain)),
    ("chain_rounding", |v| {
        let segments: Vec<f64> = input(&v["segments"]);
        calc::chain_rounding(&segments).map(to_value)
    }),
    ("tolerance_stack", |v| answer(v, calc::tolerance_stack)),
    ("test_clearance", |v| answer(v, calc::test_clearance)),
    ("tube_length_rule", |v| answer(v, calc::tube_length_rule)),
    ("altitude", |v| answer(v, |i| calc::altitude(&LEVELS, i))),
    ("clearance_lookup", |v| {
        let rows = clearance_rows();
        answer(v, |i| calc::clearance_lookup(&rows, i))
    }),
];

fn input<T: DeserializeOwned>(v: &Value) -> T {
    serde_json::from_value(v.clone()).unwrap_or_else(|e| panic!("input does not read: {e}: {v}"))
}

fn to_value(out: impl Serialize) -> Value {
    serde_json::to_value(out).expect("an answer always has a JSON form")
}

fn answer<T: DeserializeOwned, O: Serialize>(v: &Value, model: impl Fn(&T) -> Result<O, Refusal>) -> Answer {
    model(&input(v)).map(to_value)
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors")
}

fn clearance_rows() -> Vec<calc::ClearanceRow> {
    let path = folder().join("insulation_levels_clearances.csv");
    let text = std::fs::read_to_string(&path).expect("the clearance table is beside the vectors");
    text.lines()
        .skip(1)
        .filter(|line| !line.trim().is_empty())
        .map(|line| {
            let cell = |i: usize| {
                line.split(',')
                    .nth(i)
                    .and_then(|c| c.parse().ok())
                    .unwrap_or_else(|| panic!("cell {i} of `{line}`"))
            };
            calc::ClearanceRow { um_kv: cell(0), liwv_kv: cell(2), indoor_mm: cell(3), outdoor_mm: cell(4) }
        })
        .collect()
}

fn models(path: &Path) -> Map<String, Value> {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let file: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert_eq!(file["schema"], "cutback-vectors-1", "{}", path.display());
    file["models"].as_object().unwrap_or_else(|| panic!("{}: no models", path.display())).clone()
}

fn all_models() -> Map<String, Value> {
    FILES.iter().flat_map(|f| models(&folder().join(f))).collect()
}

/// Runs every case of a model; returns how many there were and what differs.
fn run_model(name: &str, model: &Value, run: Runner) -> (usize, Vec<String>) {
    let cases = model["cases"].as_array().expect("a model has cases");
    let mut differing = Vec::new();
    for case in cases {
        let id = case["id"].as_str().unwrap_or("unnamed");
        let mut say = |field: &str, got: String, want: &Value| {
            differing.push(format!("{name}/{id} {field}: got {got}, want {want}"));
        };
        let want = &case["out"];
        let refusal = want.get("error").or_else(|| want.get("refused"));
        match (run(&case["in"]), refusal) {
            (Err(got), Some(word)) if word == got.code() => {}
            (Err(got), _) => say("refusal", got.code().to_owned(), want),
            (Ok(_), Some(word)) => say("refusal", "an answer".to_owned(), word),
            (Ok(got), None) => {
                let got = as_expected(name, &case["in"], got, want);
                compare(&got, want, &Tolerance::of(case), "", &mut say);
                for (key, value) in got.as_object().into_iter().flatten() {
                    if value.is_string() && want.get(key).is_none() {
                        say(key, value.to_string(), &Value::Null);
                    }
                }
            }
        }
    }
    (cases.len(), differing)
}

/// Turns an answer into the one expected where several are right. In a layout
/// that is its own mirror image the least gap is there twice. Where cores run
/// into each other they share a whole region, and any point of it will do.
fn as_expected(name: &str, layout: &Value, mut got: Value, want: &Value) -> Value {
    if name != "drawing" {
        return got;
    }
    if got["least_gap"]["gap_mm"] == 0.0 && want["least_gap"]["gap_mm"] == 0.0 {
        assert_eq!(got["least_gap"]["from_mm"], got["least_gap"]["to_mm"]);
        for key in ["from_mm", "to_mm", "arc_mm"] {
            got["least_gap"][key] = want["least_gap"][key].clone();
        }
        return got;
    }
    let start = &layout["start"];
    let turned = start["rotation_deg"].as_f64().unwrap_or(0.0) != 0.0;
    let mirrors =
        layout["core_to_stud"] == serde_json::json!([1, 2, 3]) && (start["arrangement"] == "row" || !turned);
    if !mirrors {
        return got;
    }
    let gap = &mut got["least_gap"];
    let other = |v: &Value| v.as_u64().map(|phase| 4 - phase);
    if gap["on_phase"] != want["least_gap"]["on_phase"] || gap["to_phase"] != want["least_gap"]["to_phase"] {
        for key in ["on_phase", "to_phase"] {
            gap[key] = other(&gap[key]).into();
        }
        for key in ["from_mm", "to_mm"] {
            gap[key][0] = gap[key][0].as_f64().map(|x| -x).into();
        }
    }
    got
}

struct Tolerance {
    abs: f64,
    rel: f64,
    points: Option<f64>,
}

impl Tolerance {
    fn of(case: &Value) -> Self {
        let get = |key: &str| case["tol"][key].as_f64();
        Self { abs: get("abs").unwrap_or(0.0), rel: get("rel").unwrap_or(0.0), points: get("points") }
    }

    fn holds(&self, got: f64, want: f64, path: &str) -> bool {
        let of_a_point = ["from_mm", "to_mm", "least_gap/arc_mm"];
        let abs = match self.points {
            Some(points) if of_a_point.iter().any(|p| path.contains(p)) => points,
            _ => self.abs,
        };
        (got - want).abs() <= abs.max(self.rel * want.abs()).max(1e-12)
    }
}

fn compare(
    got: &Value,
    want: &Value,
    tol: &Tolerance,
    path: &str,
    say: &mut impl FnMut(&str, String, &Value),
) {
    match want {
        Value::Object(fields) => {
            for (key, want) in fields {
                let below = format!("{path}/{key}");
                compare(got.get(key).unwrap_or(&Value::Null), want, tol, &below, say);
            }
        }
        Value::Array(items) => {
            let length = got.as_array().map(Vec::len);
            if length != Some(items.len()) {
                return say(path, format!("{length:?} items"), &items.len().into());
            }
            for (i, want) in items.iter().enumerate() {
                compare(&got[i], want, tol, &format!("{path}/{i}"), say);
            }
        }
        Value::Number(number) => {
            let (Some(got), Some(want_f)) = (got.as_f64(), number.as_f64()) else {
                return say(path, got.to_string(), want);
            };
            if !tol.holds(got, want_f, path) {
                say(path, got.to_string(), want);
            }
        }
        Value::Null | Value::Bool(_) | Value::String(_) => {
            if got != want {
                say(path, got.to_string(), want);
            }
        }
    }
}

fn check(name: &str) {
    let all = all_models();
    let model = all.get(name).unwrap_or_else(|| panic!("no model {name}"));
    let run = runner(name).unwrap_or_else(|| panic!("no runner for {name}"));
    let (cases, differing) = run_model(name, model, run);
    assert!(cases > 0, "{name} has no cases");
    assert!(
        differing.is_empty(),
        "{} differences in {cases} cases of {name}:\n{}",
        differing.len(),
        differing.join("\n")
    );
}

fn runner(name: &str) -> Option<Runner> {
    RUNNERS.iter().find(|(n, _)| *n == name).map(|(_, run)| *run)
}

macro_rules! one_test_per_model {
    ($($name:ident)*) => {
        $(#[test]
        fn $name() {
            check(stringify!($name));
        })*

        #[test]
        fn every_runner_has_its_test() {
            let tested = BTreeSet::from([$(stringify!($name)),*]);
            let runners: BTreeSet<&str> = RUNNERS.iter().map(|(n, _)| *n).collect();
            assert_eq!(tested, runners);
        }
    };
}

one_test_per_model! {
    route f13_slices bend spread_bound solid_gap earthed_gaps judgement refused least_heights
    disc_disc drawing termination_chain chain_rounding tolerance_stack test_clearance
    tube_length_rule altitude clearance_lookup
}

#[test]
fn every_model_is_run_or_listed() {
    let named: BTreeSet<String> = all_models().keys().cloned().collect();
    let run: BTreeSet<&str> = RUNNERS.iter().map(|(n, _)| *n).collect();
    let not_yet = BTreeSet::from(NOT_YET);
    let forgotten: Vec<_> =
        named.iter().filter(|n| !run.contains(n.as_str()) && !not_yet.contains(n.as_str())).collect();
    let unknown: Vec<_> = not_yet.iter().filter(|n| !named.contains(**n)).collect();
    let both: Vec<_> = run.intersection(&not_yet).collect();
    assert!(forgotten.is_empty(), "in the files, not run: {forgotten:?}");
    assert!(unknown.is_empty(), "in NOT_YET, not in the files: {unknown:?}");
    assert!(both.is_empty(), "run and in NOT_YET: {both:?}");
}

/// Runs a folder of files of the same schema, when one is named.
#[test]
fn vectors_from_folder() {
    let Some(folder) = std::env::var_os("CUTBACK_VECTORS") else {
        return;
    };
    let folder = PathBuf::from(folder);
    let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut paths: Vec<PathBuf> = entries
        .map(|e| e.expect("a readable folder").path())
        .filter(|p| p.extension().is_some_and(|x| x == "json"))
        .collect();
    paths.sort();
    assert!(!paths.is_empty(), "no files in {}", folder.display());
    let (mut cases, mut differing) = (0, Vec::new());
    for path in paths {
        for (name, model) in models(&path) {
            match runner(&name) {
                Some(run) => {
                    let (n, found) = run_model(&name, &model, run);
                    cases += n;
                    differing.extend(found);
                }
                None if NOT_YET.contains(&name.as_str()) || ELSEWHERE.contains(&name.as_str()) => {}
                None => differing.push(format!("{name}: a model that is not known")),
            }
        }
    }
    assert!(
        differing.is_empty(),
        "{} differences in {cases} cases:\n{}",
        differing.len(),
        differing.join("\n")
    );
}

// ---------------------------------------------------------------- properties

/// A small generator of pseudo-random numbers, so that every run is the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, n: u64) -> u64 {
        self.roll() % n
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.below(1_000_000) as f64 / 1e6)
    }
}

/// A layout a site could have, in a box of any height.
fn plausible(dice: &mut Dice) -> calc::Layout {
    let d = dice.between(20.0, 60.0);
    let tube = d + dice.between(2.0, 15.0);
    let over_insulation = dice.between(0.0, 220.0);
    let entries = dice.below(2) == 0;
    let mut map = [1, 2, 3];
    if dice.below(4) == 0 {
        map.swap(dice.below(3) as usize, dice.below(3) as usize);
    }
    let some = |on: bool, v: f64| on.then_some(v);
    calc::Layout {
        box_: calc::BoxSize {
            gland_to_stud_mm: dice.between(400.0, 1200.0),
            stud_pitch_mm: dice.between(70.0, 320.0),
            stud_to_wall_mm: Some(dice.between(20.0, 300.0)),
            stud_to_cover_mm: Some(dice.between(20.0, 300.0)),
            stud_to_back_mm: Some(dice.between(20.0, 300.0)),
        },
        start: calc::Start {
            kind: if entries { calc::StartKind::Entries } else { calc::StartKind::Crutch },
            arrangement: Some(match dice.below(2) {
                0 => calc::Arrangement::Row,
                _ => calc::Arrangement::Trefoil,
            }),
            rotation_deg: some(dice.below(2) == 0, dice.between(-180.0, 180.0)),
            core_dia_mm: d,
            crutch_height_mm: some(!entries, dice.between(0.0, 120.0)),
            entry_pitch_mm: some(entries, dice.between(60.0, 200.0)),
            entry_height_mm: some(entries, dice.between(0.0, 120.0)),
            crutch_below_plate_mm: some(entries && dice.below(2) == 0, dice.between(50.0, 600.0)),
        },
        core_to_stud: map,
        lug_insulation_end_to_stud_mm: dice.between(0.0, 160.0),
        insulation_exposed_mm: over_insulation + dice.between(10.0, 120.0),
        sct_over_insulation_mm: over_insulation,
        sct_over_semicon_mm: dice.between(0.0, 45.0),
        semicon_left_mm: dice.between(0.0, 80.0),
        dia: calc::Diameters {
            below_tube_mm: d + dice.between(0.0, 6.0),
            tube_mm: tube,
            clear_mm: tube - dice.between(0.5, 6.0),
        },
        limits: calc::Limits {
            phase_gap_min_mm: 25.0,
            earth_gap_min_mm: 30.0,
            edge_to_plate_min_mm: 60.0,
            edge_to_crutch_min_mm: 70.0,
            min_bend_core_mm: Some(dice.between(100.0, 400.0)),
            min_bend_ref: Some(calc::BendRef::Axis),
        },
    }
}

fn accepted_layouts(dice: &mut Dice, count: usize) -> Vec<calc::Layout> {
    let mut out = Vec::new();
    while out.len() < count {
        let layout = plausible(dice);
        if layout.check().is_ok() {
            out.push(layout);
        }
    }
    out
}

fn near(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-3,
        (a, b) => a == b,
    }
}

#[test]
fn gap_is_the_same_in_the_mirror() {
    let mut dice = Dice(0x5eed);
    for layout in accepted_layouts(&mut dice, 150) {
        let mut mirror = layout;
        let [left, middle, right] = layout.core_to_stud;
        mirror.core_to_stud = [4 - right, 4 - middle, 4 - left];
        mirror.start.rotation_deg = layout.start.rotation_deg.map(|turn| -turn);
        let gap = calc::solid_gap(&layout).expect("accepted");
        let seen = calc::solid_gap(&mirror).expect("accepted");
        for (what, a, b) in [
            ("s-bend", Some(gap.solid_sbend_mm), Some(seen.solid_sbend_mm)),
            ("live", Some(gap.solid_live_live_mm), Some(seen.solid_live_live_mm)),
            ("straight", Some(gap.solid_straight_mm), Some(seen.solid_straight_mm)),
            ("two arcs", gap.solid_two_arcs_mm, seen.solid_two_arcs_mm),
        ] {
            assert!(near(a, b), "{what}: {a:?} and {b:?} in {layout:?}");
        }
    }
}

#[test]
fn gap_never_grows_with_a_diameter() {
    let mut dice = Dice(0xd1ce);
    for layout in accepted_layouts(&mut dice, 150) {
        let before = calc::sbend_gap(&layout).expect("accepted").gap_mm;
        for which in 0..3 {
            let mut thicker = layout;
            let by = dice.between(0.0, 4.0);
            match which {
                0 => thicker.dia.below_tube_mm += by,
                1 => thicker.dia.tube_mm += by,
                _ => thicker.dia.clear_mm += by,
            }
            let after = calc::sbend_gap(&thicker).expect("accepted").gap_mm;
            assert!(after <= before + 1e-3, "{before} to {after} in {layout:?}");
        }
    }
}

/// The gap again, slowly: discs every few millimetres, then ever finer round
/// the nearest pair.
fn gap_by_sampling(layout: &calc::Layout) -> f64 {
    let s = layout.stations();
    let route = calc::route(layout).expect("accepted");
    let start = |phase: usize| route.phases[phase - 1].start_arc_mm;
    let at = |phase: usize, arc: f64| {
        calc::point_at(layout, phase, arc.min(start(phase))).expect("accepted").expect("above the start")
    };
    let disc = |phase: usize, arc: f64, dia: f64| {
        let (up, down) = ((arc - 1e-3).max(s.A), (arc + 1e-3).min(start(phase)));
        let (p, q) = (at(phase, up), at(phase, down));
        (at(phase, arc), [0, 1, 2].map(|i| q[i] - p[i]), dia / 2.0)
    };
    let sampled = |phase: usize, zones: &[(f64, f64, f64)], step: f64| {
        let mut out = Vec::new();
        for &(from, to, dia) in zones {
            let n = ((to - from) / step).ceil().max(1.0) as usize;
            out.extend((0..=n).map(|i| {
                let arc = from + (to - from) * i as f64 / n as f64;
                (disc(phase, arc, dia), arc, (from, to, dia))
            }));
        }
        out
    };
    let live = [(s.A, s.U, layout.dia.clear_mm), (s.U, s.L, layout.dia.tube_mm)];
    let mut best = f64::INFINITY;
    for (on, to) in [(1, 2), (2, 1), (2, 3), (3, 2), (1, 3), (3, 1)] {
        let all = [live[0], live[1], (s.L, start(to), layout.dia.below_tube_mm)];
        let mut nearest = (f64::INFINITY, (0.0, live[0]), (0.0, live[0]));
        let theirs = sampled(to, &all, 10.0);
        for (a, arc_a, zone_a) in sampled(on, &live, 10.0) {
            for &(b, arc_b, zone_b) in &theirs {
                let d = two_discs(a, b);
                if d < nearest.0 {
                    nearest = (d, (arc_a, zone_a), (arc_b, zone_b));
                }
            }
        }
        let mut reach = 10.0;
        while reach > 0.01 && nearest.0 > 0.0 {
            let (_, (arc_a, zone_a), (arc_b, zone_b)) = nearest;
            for i in -3..=3 {
                for j in -3..=3 {
                    let step = |arc: f64, n: i32, zone: (f64, f64, f64)| {
                        (arc + reach * f64::from(n) / 3.0).max(zone.0).min(zone.1)
                    };
                    let (u, v) = (step(arc_a, i, zone_a), step(arc_b, j, zone_b));
                    let d = two_discs(disc(on, u, zone_a.2), disc(to, v, zone_b.2));
                    if d < nearest.0 {
                        nearest = (d, (u, zone_a), (v, zone_b));
                    }
                }
            }
            reach /= 1.6;
        }
        best = best.min(nearest.0);
    }
    best
}

type LooseDisc = ([f64; 3], [f64; 3], f64);

fn two_discs(a: LooseDisc, b: LooseDisc) -> f64 {
    calc::disc_disc(&calc::TwoDiscs { c1_mm: a.0, n1: a.1, r1_mm: a.2, c2_mm: b.0, n2: b.1, r2_mm: b.2 })
        .expect("a disc")
        .distance_mm
}

/// How far a returned end point of the gap is from the disc it should lie in.
fn off_its_disc(layout: &calc::Layout, phase: usize, arc: f64, point: [f64; 3]) -> f64 {
    let s = layout.stations();
    let at = |arc: f64| calc::point_at(layout, phase, arc).expect("accepted");
    let (Some(centre), Some(above)) = (at(arc - 1e-6), at(arc - 2e-3)) else {
        return f64::INFINITY;
    };
    // A disc at a step of diameter may belong to either side.
    let dia = match arc {
        arc if arc < s.U - 1e-6 => layout.dia.clear_mm,
        arc if arc < s.U + 1e-6 => layout.dia.clear_mm.max(layout.dia.tube_mm),
        arc if arc < s.L - 1e-6 => layout.dia.tube_mm,
        arc if arc < s.L + 1e-6 => layout.dia.tube_mm.max(layout.dia.below_tube_mm),
        _ => layout.dia.below_tube_mm,
    };
    let along = [0, 1, 2].map(|i| centre[i] - above[i]);
    two_discs((centre, along, dia / 2.0), (point, along, 0.0))
}

#[test]
fn gap_is_found_and_no_sample_is_nearer() {
    let mut dice = Dice(0xb0a7);
    for layout in accepted_layouts(&mut dice, 12) {
        let found = calc::sbend_gap(&layout).expect("accepted");
        let (p, q) = (found.from_mm, found.to_mm);
        let apart = (0..3).map(|i| (p[i] - q[i]) * (p[i] - q[i])).sum::<f64>().sqrt();
        assert!((apart - found.gap_mm).abs() < 0.02 + 1e-6, "{found:?} in {layout:?}");
        for (phase, arc, point) in
            [(found.on_phase, found.arc_mm[0], p), (found.to_phase, found.arc_mm[1], q)]
        {
            let off = off_its_disc(&layout, phase, arc, point);
            assert!(off < 0.02, "off by {off}: {found:?} in {layout:?}");
        }
        let slow = gap_by_sampling(&layout);
        assert!(found.gap_mm <= slow + 1e-4, "{found:?} against {slow} in {layout:?}");
    }
}

#[test]
fn judging_quickly_gives_the_same_words() {
    let mut dice = Dice(0x1dea);
    for layout in accepted_layouts(&mut dice, 100) {
        let full = calc::judgement(&layout).expect("accepted");
        let quick = calc::verdicts(&layout).expect("accepted");
        let words = [quick.j14, quick.j15, quick.j16, quick.j19];
        let full_words = [full.j14.verdict, full.j15.verdict, full.j16.verdict, full.j19.verdict];
        assert_eq!(words, full_words, "{layout:?}");
        assert_eq!(quick.clean(), full.clean);
    }
}

#[test]
fn chains_close_after_rounding() {
    let mut dice = Dice(0xc4a1);
    for _ in 0..5_000 {
        let count = dice.below(9) as usize;
        let lengths: Vec<f64> = (0..count)
            .map(|_| match dice.below(3) {
                0 => dice.below(4_000) as f64 / 10.0,
                1 => dice.below(800) as f64 / 2.0,
                _ => dice.between(0.0, 400.0),
            })
            .collect();
        let out = calc::chain_rounding(&lengths).expect("plain lengths");
        let total: f64 = lengths.iter().sum();
        assert_eq!(out.segments_mm.iter().sum::<i64>(), out.total_mm, "{lengths:?}");
        assert_eq!(out.stations_mm.last().copied().unwrap_or(0), out.total_mm);
        assert!((out.total_mm as f64 - total).abs() <= 0.5 + 1e-6, "{lengths:?}");
        for (whole, exact) in out.segments_mm.iter().zip(&lengths) {
            assert!((*whole as f64 - exact).abs() < 1.0, "{lengths:?}");
        }
    }
}

/// Any figure somebody could mistype.
fn wild(dice: &mut Dice, usual: f64) -> f64 {
    match dice.below(24) {
        0 => f64::NAN,
        1 => f64::INFINITY,
        2 => f64::NEG_INFINITY,
        3 => 1e300,
        4 => -1e300,
        5 => 0.0,
        6 => -0.0,
        7 => -usual,
        8 => 1e-300,
        9 => usual * 100.0,
        10 => usual / 100.0,
        11 => 99_999.0,
        12 => f64::MIN_POSITIVE,
        _ => dice.between(0.0, 2.0 * usual),
    }
}

#[test]
fn no_layout_panics() {
    let mut dice = Dice(0xbad);
    for round in 0..4_000 {
        let mut layout = plausible(&mut dice);
        // One to all figures are spoilt.
        let share = 1 + dice.below(20);
        let mut spoil = |v: &mut f64| {
            if dice.below(20) < share {
                *v = wild(&mut dice, v.abs().max(1.0));
            }
        };
        spoil(&mut layout.box_.gland_to_stud_mm);
        spoil(&mut layout.box_.stud_pitch_mm);
        layout.box_.stud_to_wall_mm.as_mut().map(&mut spoil);
        layout.box_.stud_to_cover_mm.as_mut().map(&mut spoil);
        layout.box_.stud_to_back_mm.as_mut().map(&mut spoil);
        layout.start.rotation_deg.as_mut().map(&mut spoil);
        spoil(&mut layout.start.core_dia_mm);
        layout.start.crutch_height_mm.as_mut().map(&mut spoil);
        layout.start.entry_pitch_mm.as_mut().map(&mut spoil);
        layout.start.entry_height_mm.as_mut().map(&mut spoil);
        layout.start.crutch_below_plate_mm.as_mut().map(&mut spoil);
        spoil(&mut layout.lug_insulation_end_to_stud_mm);
        spoil(&mut layout.insulation_exposed_mm);
        spoil(&mut layout.sct_over_insulation_mm);
        spoil(&mut layout.sct_over_semicon_mm);
        spoil(&mut layout.semicon_left_mm);
        spoil(&mut layout.dia.below_tube_mm);
        spoil(&mut layout.dia.tube_mm);
        spoil(&mut layout.dia.clear_mm);
        spoil(&mut layout.limits.phase_gap_min_mm);
        spoil(&mut layout.limits.earth_gap_min_mm);
        spoil(&mut layout.limits.edge_to_plate_min_mm);
        spoil(&mut layout.limits.edge_to_crutch_min_mm);
        layout.limits.min_bend_core_mm.as_mut().map(&mut spoil);
        if round % 50 == 0 {
            layout.core_to_stud = [i32::MIN, 0, i32::MAX];
        }
        if let Ok(judged) = calc::judgement(&layout) {
            assert!(judged.j15.gap.solid_sbend_mm.is_finite(), "{layout:?}");
            assert!(judged.tail_mm.iter().all(|t| t.is_finite()), "{layout:?}");
        }
        if round % 8 == 0 {
            let _ = calc::least_heights(&layout);
            let _ = calc::drawing(&layout);
        }
        let _ = calc::route(&layout);
    }
}
