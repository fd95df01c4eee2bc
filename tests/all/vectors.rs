//! Runs the test vectors of `tests/vectors/` against the calculating room.

use cutback::calc::{self, Refusal};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const FILES: [&str; 5] = ["geometry.json", "solver.json", "chain.json", "field.json", "leaning.json"];

/// Models that are in the files and that no code answers yet.
const NOT_YET: &[&str] = &[];

/// Standard rated impulse levels, kV peak (IEC 60071-1; 200, 250 and 325 from
/// memory).
const LEVELS: [f64; 11] = [20.0, 40.0, 60.0, 75.0, 95.0, 125.0, 145.0, 170.0, 200.0, 250.0, 325.0];

pub(crate) type Answer = Result<Value, Refusal>;
pub(crate) type Runner = fn(&Value) -> Answer;

const RUNNERS: &[(&str, Runner)] = &[
    ("route", |v| answer(v, calc::route)),
    ("f13_slices", |v| answer(v, calc::f13_slices)),
    ("bend", |v| answer(v, calc::bend)),
    ("spread_bound", |v| answer(v, calc::spread_bound)),
    ("solid_gap", |v| answer(v, calc::solid_gap)),
    ("earthed_gaps", |v| answer(v, calc::earthed_gaps)),
    ("judgement", |v| answer(v, calc::judgement)),
    ("refused", |v| answer(v, calc::judgement)),
    ("leaning", |v| answer(v, calc::judgement)),
    ("least_heights", |v| answer(v, calc::least_heights)),
    ("remedy_search", |v| answer(v, calc::remedy_search)),
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
    ("site_window", |v| answer(v, calc::site_window)),
    ("hermite_route", |v| answer(v, calc::hermite_route)),
    ("joint_chain", |v| answer(v, calc::joint_chain)),
    ("capacitance", |v| answer(v, calc::capacitance)),
    ("charging", |v| answer(v, calc::charging)),
    ("field", |v| answer(v, calc::field)),
    ("void_inception", |v| answer(v, calc::void_inception)),
    ("tube_field_length", |v| answer(v, calc::tube_field_length)),
    ("adiabatic", |v| answer(v, calc::adiabatic)),
    ("screen_area", |v| answer(v, calc::screen_area)),
    ("creepage", |v| {
        let table = table("creepage_iec60815.csv");
        let classes: Vec<_> = table
            .iter()
            .map(|r| calc::PollutionClass { letter: &r[0], uscd_mm_per_kv: figure(&r[2]) })
            .collect();
        answer(v, |i| calc::creepage(&classes, i))
    }),
    ("dew_point", |v| answer(v, calc::dew_point)),
    ("sheath_voltage", |v| answer(v, calc::sheath_voltage)),
    ("resistance", |v| answer(v, calc::resistance)),
    ("screen_continuity", |v| answer(v, calc::screen_continuity)),
    ("vlf_level", |v| answer(v, calc::vlf_level)),
    ("vlf_table", |v| {
        let pair =
            |r: &[String], at: usize| calc::VlfPair { kv_rms: figure(&r[at]), kv_peak: figure(&r[at + 1]) };
        let rows: Vec<_> = table("vlf_ieee400_2_2013_table3_sinusoidal.csv")
            .iter()
            .map(|r| calc::VlfRow {
                cable_class_kv: figure(&r[0]),
                install: pair(r, 1),
                accept: pair(r, 3),
                maint: pair(r, 5),
            })
            .collect();
        answer(v, |i| calc::vlf_table(&rows, i))
    }),
    ("ir_length", |v| answer(v, calc::ir_length)),
    ("bend_minimum", |v| {
        let table = table("bending_radii.csv");
        let rows: Vec<_> = table
            .iter()
            .map(|r| calc::BendRow { basis: &r[0], cable: &r[1], stage: &r[2], factor: r[3].parse().ok() })
            .collect();
        answer(v, |i| calc::bend_minimum(&rows, i))
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

/// The lines of a table beside the vectors, without its heading.
fn table(name: &str) -> Vec<Vec<String>> {
    let path = folder().join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    text.lines().skip(1).filter(|line| !line.trim().is_empty()).map(cells).collect()
}

/// Cells of one line; a comma between quotation marks is text.
fn cells(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(String::new()),
            c => out.last_mut().expect("never empty").push(c),
        }
    }
    out
}

fn figure(cell: &str) -> f64 {
    cell.parse().unwrap_or_else(|e| panic!("`{cell}`: {e}"))
}

fn clearance_rows() -> Vec<calc::ClearanceRow> {
    table("insulation_levels_clearances.csv")
        .iter()
        .map(|r| calc::ClearanceRow {
            um_kv: figure(&r[0]),
            liwv_kv: figure(&r[2]),
            indoor_mm: figure(&r[3]),
            outdoor_mm: figure(&r[4]),
        })
        .collect()
}

fn models(path: &Path) -> Map<String, Value> {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let file: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert_eq!(file["schema"], "cutback-vectors-1", "{}", path.display());
    file["models"].as_object().unwrap_or_else(|| panic!("{}: no models", path.display())).clone()
}

pub(crate) fn all_models() -> Map<String, Value> {
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
        // A case of a stranger's file that does not read differs, and the rest go on.
        let Ok(answer) = std::panic::catch_unwind(|| run(&case["in"])) else {
            say("in", "an input that does not read".to_owned(), want);
            continue;
        };
        match (answer, refusal) {
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

pub(crate) fn runner(name: &str) -> Option<Runner> {
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
    route f13_slices bend spread_bound solid_gap earthed_gaps judgement refused leaning least_heights remedy_search
    disc_disc drawing termination_chain chain_rounding tolerance_stack test_clearance
    tube_length_rule altitude clearance_lookup site_window hermite_route joint_chain capacitance charging field
    void_inception tube_field_length adiabatic screen_area creepage dew_point sheath_voltage
    resistance screen_continuity vlf_level vlf_table ir_length bend_minimum
}

#[test]
fn every_model_is_run_or_listed() {
    let named: BTreeSet<String> = all_models().keys().cloned().collect();
    let run: BTreeSet<&str> = RUNNERS.iter().map(|(n, _)| *n).collect();
    let not_yet = BTreeSet::from_iter(NOT_YET.iter().copied());
    let forgotten: Vec<_> =
        named.iter().filter(|n| !run.contains(n.as_str()) && !not_yet.contains(n.as_str())).collect();
    let unknown: Vec<_> = not_yet.iter().filter(|n| !named.contains(**n)).collect();
    let both: Vec<_> = run.intersection(&not_yet).collect();
    assert!(forgotten.is_empty(), "in the files, not run: {forgotten:?}");
    assert!(unknown.is_empty(), "in NOT_YET, not in the files: {unknown:?}");
    assert!(both.is_empty(), "run and in NOT_YET: {both:?}");
}

/// The answer to one case, or why there is none.
fn answered(run: Runner, case: &Value) -> Value {
    match std::panic::catch_unwind(|| run(case)) {
        Ok(Ok(answer)) => answer,
        Ok(Err(refusal)) => serde_json::json!({"refused": refusal.code()}),
        Err(_) => serde_json::json!({"unread": true}),
    }
}

/// Runs a folder of files of the same schema, when one is named. With
/// `CUTBACK_ANSWERS` naming a file, our answers are written there by case.
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
    let (mut cases, mut differing, mut answers) = (0, Vec::new(), Map::new());
    for path in paths {
        for (name, model) in models(&path) {
            match runner(&name) {
                Some(run) => {
                    let (n, found) = run_model(&name, &model, run);
                    cases += n;
                    differing.extend(found);
                    for case in model["cases"].as_array().into_iter().flatten() {
                        let id = format!("{name}/{}", case["id"].as_str().unwrap_or("unnamed"));
                        answers.insert(id, answered(run, &case["in"]));
                    }
                }
                None if NOT_YET.contains(&name.as_str()) => {}
                None => differing.push(format!("{name}: a model that is not known")),
            }
        }
    }
    if let Some(file) = std::env::var_os("CUTBACK_ANSWERS") {
        std::fs::write(&file, Value::Object(answers).to_string()).expect("the answers are written");
    }
    assert!(
        differing.is_empty(),
        "{} differences in {cases} cases:\n{}",
        differing.len(),
        differing.join("\n")
    );
}
