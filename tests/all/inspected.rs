//! An inspection on paper: looked at before it is cleaned, and out of the permit
//! whatever was decided.

use crate::issuing;
use crate::kinds::KINDS;
use crate::support::{job_text, judge_with};
use cutback::procedure::Pack;
use serde_json::json;

fn pack_of(job: &str) -> Pack {
    issuing::pack_of(job_text(job)).0
}

fn untested(job: &str) -> Pack {
    let judged = judge_with(job, "tests.planned", "no");
    assert_eq!(judged.report().open(), 0);
    issuing::pack_from(&judged).0
}

fn steps(pack: &Pack) -> Vec<(&str, &str)> {
    let runs = pack.method.runs.iter();
    runs.flat_map(|r| r.steps.iter().map(|s| (s.id.as_str(), r.document.as_str()))).collect()
}

#[test]
fn the_permit_is_cleared_whatever_was_decided() {
    for pack in [pack_of("I-0518-P1"), untested("I-0518-P1")] {
        let steps = steps(&pack);
        let at = |id: &str| steps.iter().position(|s| s.0 == id).unwrap_or_else(|| panic!("no {id}"));
        let kept = ["E12", "F02-kept", "Z10"].map(at);
        assert!(at("E13") < kept[0] && kept[2] < at("E13-open") && at("E13-open") < at("Z11-inspect"));
        let last = steps.iter().rposition(|s| s.1 != "none");
        assert_eq!(last, Some(at("Z11-inspect")), "the permit ends there");
        let text = json!(pack.method.runs).to_string();
        assert!(text.contains("NOT to be energised, stays isolated and earthed. Then he clears the permit."));
        assert!(!text.contains("surface of a tube above dew point"), "asked before the cover is off");
    }
}

#[test]
fn nobody_touches_an_end_on_a_pole_before_line_earths_and_frames() {
    for pack in [pack_of("I-0607-P1"), untested("I-0607-P1")] {
        let steps = steps(&pack);
        let at = |id: &str| steps.iter().position(|s| s.0 == id).unwrap_or_else(|| panic!("no {id}"));
        let order = [
            "OD02",
            "OD03",
            "OE03",
            "OE03-dead",
            "OE04",
            "OE-creep",
            "E13",
            "E12",
            "OD10",
            "E13-open",
            "Z11-inspect",
        ];
        assert!(order.map(at).is_sorted(), "{steps:?}");
        let text = json!(pack.method.runs).to_string();
        assert!(text.contains("tools counted, people down"), "up there no longer, whatever was decided");
        for word in ["plate G", "crutch or entry", "cover on", "not answered"] {
            assert!(!text.contains(word), "{word}");
        }
    }
    let text = json!(untested("I-0607-P1").method.runs).to_string();
    for word in ["palms come off", "All back and signed", "signed back", "jumper on"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn without_a_test_palms_stay_on_under_the_first_permit() {
    let pack = untested("I-0512-P1");
    let taken: Vec<&str> = pack.isolation.order.iter().map(|l| l.document.as_str()).collect();
    assert_eq!(taken, ["none", "permit", "none"]);
    for gone in ["E11-off", "F01-final", "F02", "F03-final", "Z06", "S03-again"] {
        assert!(!steps(&pack).iter().any(|s| s.0 == gone), "{gone}");
    }
    assert!(pack.tests.rows.is_empty() && pack.form.tests.is_empty());
    let text = json!([pack.method, pack.completion]).to_string();
    for word in ["test set", "another pack", "leads lifted", "palms stay off", "disconnection list"] {
        assert!(!text.contains(word), "{word}");
    }
}

/// Paper has no command line: no mark of code stands in a sentence of any pack.
#[test]
fn sentences_are_in_words() {
    for (kind, job, _) in KINDS {
        let pack = pack_of(job);
        let text =
            json!([pack.method, pack.hazards, pack.completion, pack.briefing, pack.isolation]).to_string();
        assert!(!text.contains('`') && !text.contains("{%"), "{kind}, {job}");
    }
}

/// What somebody signs is looked at by somebody else: no point stands outside the stops,
/// with a test and without one.
#[test]
fn every_point_stands_in_a_stop() {
    for (kind, job, _) in KINDS {
        let without = judge_with(job, "tests.planned", "no");
        for (tested, pack) in [("tested", pack_of(job)), ("untested", issuing::pack_from(&without).0)] {
            let stops: Vec<&str> = pack.release.stops.iter().map(|s| s.number.as_str()).collect();
            let outside = pack.form.points.iter().filter(|p| !stops.contains(&p.stop.as_str()));
            let outside: Vec<&str> = outside.map(|p| p.id.as_str()).collect();
            assert_eq!(outside, Vec::<&str>::new(), "{kind}, {job}, {tested}");
        }
    }
}
