//! Who answers the queries of a record, and how; and a record that is no file says where.

use crate::record_verify::{PACKS, clean, edit, judge};
use crate::support::root;
use cutback::finding::{Judgement, State};
use cutback::record::Verdict;
use cutback::rules::Edit;
use serde_json::Value as Json;
use std::process::Command;

const JOB: &str = "D-2201-P4";

fn set(text: &str, name: &str, to: &str) -> String {
    edit(text, &PACKS[JOB].0, &Edit { set: name.into(), to: Some(to.into()) })
}

/// A record with one query, answered.
fn answered(entry: &str) -> (Judgement, Verdict) {
    let text = set(&clean(JOB), "points.test_authority.far_end_guard", "as usual");
    judge(
        JOB,
        &text
            .replace("answers:", &format!("answers:\n  - {{query: F02, answer: HV-J-12 by radio, {entry}}}")),
        &Json::Null,
    )
}

/// An answered query is no longer open; the answer must name it rightly.
#[test]
fn a_query_can_be_answered() {
    let pack = &PACKS["D-2201-P4"].0;
    let text = edit(
        &clean("D-2201-P4"),
        pack,
        &Edit { set: "points.test_authority.far_end_guard".into(), to: Some("as usual".into()) },
    );
    assert_eq!(judge("D-2201-P4", &text, &Json::Null).1, Verdict::Queries);
    let answered = text.replace(
        "answers:",
        "answers:\n  - {query: F02, at: points.test_authority.far_end_guard, answer: HV-J-12 by radio, by: CL-V-02, when: 2031-05-14 09:00}",
    );
    let (judgement, verdict) = judge("D-2201-P4", &answered, &Json::Null);
    assert_eq!(verdict, Verdict::Acceptable);
    let finding = judgement.findings.iter().find(|f| f.code == "F02").expect("still listed");
    assert_eq!(finding.state, State::Accepted);
    assert!(finding.notes[0].contains("CL-V-02"), "{:?}", finding.notes);
    let stale = answered.replace("query: F02", "query: F13");
    let (judgement, verdict) = judge("D-2201-P4", &stale, &Json::Null);
    assert_eq!(verdict, Verdict::Queries);
    assert!(judgement.findings.iter().any(|f| f.code == "Y07"));
    // A reject is not lifted by an answer.
    let rejected = answered
        .replace("as usual", "\"HV-J-12, radio\"")
        .replace("query: F02", "query: F14")
        .replace("bushing: {L1: L1", "bushing: {L1: L3");
    assert_eq!(judge("D-2201-P4", &rejected, &Json::Null).1, Verdict::NotAcceptable);
}

#[test]
fn who_did_the_work_does_not_answer_for_it() {
    let when = "when: 2031-05-14 09:00";
    for by in ["HV-J-24", "hv-j-24", "HV-S-07", "HV-T-03"] {
        let (judgement, verdict) = answered(&format!("by: {by}, {when}"));
        assert_eq!(verdict, Verdict::Queries, "{by}");
        let told = judgement.findings.iter().find(|f| f.code == "Y07").unwrap_or_else(|| panic!("{by}"));
        assert!(told.message.contains("does not answer for it"), "{}", told.message);
    }
    // The client of the record's own people, and a verifier who was never on site.
    for by in ["CL-V-02", "CL-V-90"] {
        assert_eq!(answered(&format!("by: {by}, {when}")).1, Verdict::Acceptable, "{by}");
    }
}

/// A row left out asks once a blank; one answer at the row stands for all of them.
#[test]
fn an_answer_at_a_row_stands_for_its_blanks() {
    let row = |text: String, phase: &str| {
        set(&text, &format!("points.screens_joined.wire_ends.{phase}"), "\"n/a: tape screen\"")
    };
    let text = ["L1", "L2", "L3"].into_iter().fold(clean(JOB), row);
    let (before, _) = judge(JOB, &text, &Json::Null);
    assert_eq!(before.findings.iter().filter(|f| f.code == "F06" && f.state == State::Open).count(), 3);
    let entry = "answers:\n  - {query: F06, at: points.screens_joined.wire_ends, answer: seen, by: CL-V-02, when: 2031-05-14 09:00}";
    let (judgement, verdict) = judge(JOB, &text.replace("answers:", entry), &Json::Null);
    assert!(judgement.findings.iter().all(|f| f.code != "Y07"));
    assert_eq!(judgement.findings.iter().filter(|f| f.state == State::Accepted).count(), 3);
    assert_eq!(verdict, Verdict::Acceptable);
}

/// Neither voltage nor minutes of a test are left out, whoever agrees.
#[test]
fn a_test_without_its_voltage_is_no_test() {
    let text = set(&clean(JOB), "tests.voltage.L1", "\"n/a: not needed\"");
    let entry =
        "answers:\n  - {query: F06, at: tests.voltage.L1, answer: ok, by: CL-V-02, when: 2031-05-14 09:00}";
    let (_, verdict) = judge(JOB, &text.replace("answers:", entry), &Json::Null);
    assert_eq!(verdict, Verdict::NotAcceptable);
}

#[test]
fn a_record_that_is_no_yaml_says_where() {
    let dir = tempfile::tempdir().expect("a folder");
    for (from, to, said) in [
        ("  job: D-2201", "  job: D-2201\n\trevision: P4", "a tab in the indentation"),
        ("  end: TX2-HV", "  end: n/a: not needed", "not readable as YAML"),
        ("  end: TX2-HV", "  end: TX2-HV\n  end: TX2-HV", "stands here a second time"),
    ] {
        let file = dir.path().join("record.yaml");
        let text = clean(JOB);
        assert!(text.contains(from));
        std::fs::write(&file, text.replacen(from, to, 1)).expect("written");
        let run = Command::new(env!("CARGO_BIN_EXE_cutback"))
            .current_dir(root())
            .args(["verify", &file.display().to_string()])
            .output()
            .expect("a run");
        let told = String::from_utf8_lossy(&run.stderr).to_string();
        assert!(told.contains(said) && told.contains("record.yaml:"), "{told}");
        assert_eq!(run.status.code(), Some(1));
    }
}
