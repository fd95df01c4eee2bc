//! The record of an inspection whose end is remade: struck through is not asked for, a
//! trip stands as found, and nothing of it went back.

use crate::record_verify::{PACKS, clean, edit, findings, judge};
use cutback::record::{self, Verdict};
use cutback::rules::Edit;
use serde_json::Value as Json;

const JOB: &str = "I-0512-P1";

/// Struck through from the decision to the last hold.
const STRUCK: [&str; 4] = ["terminal_torque", "kept_gaps", "screens_earthed", "box_closed"];

fn set(text: &str, name: &str, to: &str) -> String {
    let to = (!to.is_empty()).then(|| to.to_string());
    edit(text, &PACKS[JOB].0, &Edit { set: name.into(), to })
}

/// Every answer under one point taken out.
fn emptied(text: &str, point: &str) -> String {
    let head = format!("\n  {point}:\n");
    let from = text.find(&head).unwrap_or_else(|| panic!("no {point}")) + head.len();
    let to = from + text[from..].find("\n\n").expect("its end");
    let blank = |line: &str| match line.split_once(": ") {
        Some((key, _)) if !line.trim_start().starts_with('#') => format!("{key}:"),
        _ => line.to_string(),
    };
    let body: Vec<String> = text[from..to].lines().map(blank).collect();
    format!("{}{}{}", &text[..from], body.join("\n"), &text[to..])
}

fn without_photos(text: &str, points: &[&str]) -> String {
    let frames = PACKS[JOB].0.form.frames.iter().filter(|f| points.contains(&f.point.as_str()));
    frames.fold(text.to_string(), |text, frame| {
        let at = text.find(&format!("frame: \"{}\"", frame.id)).expect("its photograph");
        let from = text[..at].rfind("  - file:").expect("an entry");
        let to = text[at..]
            .find("  - file:")
            .map_or_else(|| at + text[at..].find("\n\n").expect("the end of the list") + 1, |next| at + next);
        format!("{}{}", &text[..from], &text[to..])
    })
}

/// One phase tripped, the client decided to remake, and nothing was put back.
fn remade(back: &str) -> String {
    let text = STRUCK.iter().fold(clean(JOB), |text, point| emptied(&text, point));
    let text = without_photos(&text, &STRUCK);
    let as_found = "n/a: tripped at 12 kV";
    [
        ("record.as_found", "../../../found/mastic.yaml"),
        ("points.remake_decision.decision", "remake"),
        ("points.hv_test.breakdowns.L2", "1"),
        ("points.hv_test.sheet_complete", "no"),
        ("tests.voltage.L2", as_found),
        ("tests.minutes.L2", as_found),
        ("tests.full_voltage_reached.L2", as_found),
        ("tests.tan_delta.L2", as_found),
        ("tests.resistance_after.L2", "0.2"),
        ("disconnected.0.back", back),
    ]
    .into_iter()
    .fold(text, |text, (name, to)| {
        set(&text, name, &if to == as_found { format!("\"{to}\"") } else { to.into() })
    })
}

#[test]
fn a_remade_end_is_taken_as_it_was_found() {
    let (judgement, verdict) = judge(JOB, &remade(""), &Json::Null);
    let notes = [
        "F03 limit note",
        "F05 same note",
        "F06 reason note",
        "F06 reason note",
        "F06 reason note",
        "F06 reason note",
    ];
    assert_eq!(findings(&judgement), notes);
    assert!(judgement.left_out.is_empty(), "{:?}", judgement.left_out);
    assert_eq!(verdict, Verdict::Acceptable);
}

/// The same figures with the end kept are no record of a sound end.
#[test]
fn a_trip_is_no_reason_to_keep() {
    let kept = set(&clean(JOB), "points.hv_test.breakdowns.L2", "1");
    assert_eq!(findings(&judge(JOB, &kept, &Json::Null).0), ["F03 limit reject"]);
}

/// Tools counted and the cover on, as the pack has it for an end that is left off, puts
/// nothing back; nor are months asked for where nothing is watched.
#[test]
fn a_box_closed_over_an_end_left_off_is_no_fault() {
    let closed = STRUCK[..3].iter().fold(clean(JOB), |text, point| emptied(&text, point));
    let released = set(&closed, "points.remake_decision.decision", "remake");
    let told = findings(&judge(JOB, &set(&released, "disconnected.0.back", ""), &Json::Null).0);
    assert!(!told.iter().any(|f| f.starts_with("F18 given-up")), "{told:?}");
    let blank = set(&remade(""), "points.remake_decision.months", "");
    assert_eq!(
        findings(&judge(JOB, &blank, &Json::Null).0),
        findings(&judge(JOB, &remade(""), &Json::Null).0)
    );
}

/// Palms that went back are told, with nothing else released.
#[test]
fn palms_back_on_an_end_given_up_are_told() {
    let (judgement, verdict) = judge(JOB, &remade("2031-06-03 15:05"), &Json::Null);
    let told = judgement.findings.iter().find(|f| f.code == "F18").expect("told");
    assert_eq!(told.message, "Decided: remake, and switch palms went back 2031-06-03 15:05.");
    assert_eq!(verdict, Verdict::NotAcceptable);
}

/// What is still to be written of a remade end leaves out what is struck through.
#[test]
fn progress_leaves_out_what_is_struck_through() {
    let of = |text: String| {
        let loaded = record::load("record.yaml", text, &PACKS[JOB].0.form);
        record::progress(loaded.record.as_ref().expect("a record"), &PACKS[JOB].0)
    };
    let (kept, remade) = (of(clean(JOB)), of(remade("")));
    assert_eq!((kept.filled, remade.filled), (kept.total, remade.total));
    assert!(remade.total < kept.total);
    assert!(remade.next.starts_with("every blank is filled"), "{}", remade.next);
}
