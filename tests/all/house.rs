//! An owner's own layer: what it adds, tightens, words anew and makes milder, and
//! that it can't do the last in silence.

use crate::issuing::{pack_by, pack_of};
use crate::support::{PRESS, findings, job_text, job_with, library, root};
use cutback::cli::judge_text;
use cutback::house::House;
use cutback::procedure::HouseNote;
use std::path::Path;
use std::process::Command;

fn demo() -> House {
    House::read(&root().join("jobs/house")).expect("the demonstration house is sound")
}

/// Findings of a job text by the rules of the demonstration house.
fn found(text: String) -> Vec<String> {
    let book = demo().rule_book().expect("rules that hold");
    findings(&judge_text("job.yaml", text, &library(), &book, &PRESS))
}

#[test]
fn a_house_adds_a_rule_and_changes_grades() {
    let built_in = |text| findings(&crate::support::judge_edited(text));
    let sound = job_text("D-2201-P4");
    let damp = job_with("D-2201-P4", "/weather/cable_temperature", "8 C");
    let new = |text: String| -> Vec<String> {
        let before = built_in(text.clone());
        found(text).into_iter().filter(|f| !before.contains(f)).collect()
    };
    assert_eq!(new(sound.clone()), ["H01 gap asks"]);
    assert!(built_in(damp.clone()).contains(&"W02 dew asks".to_string()), "{:?}", built_in(damp.clone()));
    assert!(found(damp.clone()).contains(&"W02 dew blocks".to_string()), "{:?}", found(damp));
    // Raised, not added: nothing else of the sound job moves.
    let gone: Vec<String> =
        built_in(sound.clone()).into_iter().filter(|f| !found(sound.clone()).contains(f)).collect();
    assert_eq!(gone, Vec::<String>::new());
}

#[test]
fn a_house_prints_its_cautions_points_and_words() {
    let house = demo();
    let note =
        HouseNote { title: house.title(), issued_by: house.head.issued_by.clone(), milder: house.milder() };
    let (book, procedures) = (house.rule_book().expect("rules"), house.procedures().expect("wording"));
    let text = job_text("D-2201-P4");
    let (plain, _) = pack_of(text.clone());
    let (pack, json) = pack_by(text, &book, &procedures, Some(note));
    let json = String::from_utf8(json).expect("text");
    for words in
        ["Count the wipes out", "number printed on the outer tube", "Extinguishing gas in the switch room"]
    {
        assert!(json.contains(words), "{words}");
        assert!(!serde_json::to_string(&plain).expect("JSON").contains(words), "{words}");
    }
    let milder = &pack.front.cautions[0];
    assert!(milder.starts_with("MILDER BY THE HOUSE.") && milder.contains("D02 (screening)"), "{milder}");
    assert!(milder.contains("A. Fenwold (invented), EN-31, 2031-02-03"), "{milder}");
    assert!(pack.front.authority[0].detail.contains("Merrowdown (demonstration), revision R2"));
    // It fits on paper, and the point stands in a stop.
    let copy = cutback::press::Copy::new(&pack, &"0".repeat(64), false, 1);
    PRESS.print(&pack, json.as_bytes(), &copy).expect("a pack that prints");
    let points = |p: &cutback::procedure::Pack| p.steps_and_points().len();
    assert_eq!(points(&pack), points(&plain) + 1);
}

#[test]
fn explain_says_which_layer_a_rule_is_of() {
    let explain = |code: &str| {
        let out = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .args(["explain", code, "--house", "jobs/house"])
            .current_dir(root())
            .output()
            .expect("a run");
        assert!(out.status.success());
        String::from_utf8(out.stdout).expect("text").split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(explain("H01").contains("Layer: the house's own rule (jobs/house/rules/gaps.yaml line 2)"));
    let raised = explain("W02");
    assert!(raised.contains("Layer: check dew made stricter by Invented house Merrowdown"), "{raised}");
    assert!(raised.contains("Cable above the dew point (dew) blocks when"), "{raised}");
    assert!(explain("D02").contains("made milder"));
    assert!(!explain("K01").contains("Layer"));
}

/// A copy of the demonstration house with one file written anew.
fn changed(dir: &Path, file: &str, text: &str) -> String {
    for entry in walkdir::WalkDir::new(root().join("jobs/house")) {
        let entry = entry.expect("the demonstration house");
        let to = dir.join(entry.path().strip_prefix(root().join("jobs/house")).expect("inside"));
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(to).expect("a folder");
        } else {
            std::fs::copy(entry.path(), to).expect("a file");
        }
    }
    std::fs::write(dir.join(file), text).expect("a file");
    let read = House::read(dir).and_then(|house| house.rule_book().map(|_| house));
    match read.and_then(|house| house.procedures()) {
        Ok(_) => "taken".into(),
        Err(error) => error.to_string().replace(&format!("{}/", dir.display()), ""),
    }
}

#[test]
fn a_house_that_does_not_hold_is_refused_with_its_place() {
    let rule = std::fs::read_to_string(root().join("jobs/house/rules/gaps.yaml")).expect("a file");
    let point = std::fs::read_to_string(root().join("jobs/house/points.yaml")).expect("a file");
    let milder = "- rule: B02\n  at_most: advises\n";
    let cases: Vec<(&str, String, &str)> = vec![
        ("grades.yaml", milder.into(), "grades.yaml line 1: B02 is made milder and nobody takes that on"),
        (
            "grades.yaml",
            format!("{milder}  taken_on: {{name: x, authorisation: '', why: y, date: 2031-01-01}}\n"),
            "grades.yaml line 1: an answer under `taken_on` is empty",
        ),
        ("grades.yaml", "- rule: W99\n  at_least: blocks\n".into(), "line 1: there is no rule `W99`"),
        (
            "grades.yaml",
            "- rule: W02\n  check: dw\n  at_least: blocks\n".into(),
            "W02 has no check `dw`; it has",
        ),
        (
            "grades.yaml",
            "- rule: K01\n  at_least: asks\n".into(),
            "nothing changes: K01 is graded so already",
        ),
        ("grades.yaml", "- rule: K01\n  at_leest: asks\n".into(), "unknown field `at_leest`"),
        ("rules/gaps.yaml", rule.replace("H01", "B77"), "line 2: B77: a house's rule has the letter H"),
        ("rules/gaps.yaml", rule.replace("phase_gap <", "phase_gp <"), "there is no fact `phase_gp`"),
        ("rules/own.yaml", rule.clone(), "the code H01 stands in"),
        ("points.yaml", point.replace("letter: C", "letter: H"), "is a hold, and no stop releases it"),
        ("points.yaml", point.replace("after: HT07", "after: HT77"), "there is no step `HT77`"),
        ("points.yaml", point.replace("after: HT07", "after: HT08"), "has the point `outer-sealed` already"),
        ("words.yaml", "steps:\n  HT04: Slide it on.\n".into(), "of this step is left out"),
        ("words.yaml", "steps:\n  HT01: '{{ nothing }}'\n".into(), "there is no fact `nothing`"),
        ("hazards/room.yaml", "- id: knives\n".into(), "hazards/room.yaml line 1"),
        ("house.yaml", "name: x\n".into(), "missing field"),
        ("other.yaml", String::new(), "this has no place in a house"),
    ];
    for (file, text, expected) in cases {
        let dir = tempfile::tempdir().expect("a folder");
        let said = changed(dir.path(), file, &text);
        assert!(said.contains(expected), "{file}: {said}\nwanted: {expected}");
    }
    let nothing = tempfile::tempdir().expect("a folder");
    let said = House::read(nothing.path()).expect_err("no house").to_string();
    assert!(said.contains("a house names itself here"), "{said}");
}
