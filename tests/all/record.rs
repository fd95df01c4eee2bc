//! The blank record that goes out with a pack, and the log of its photographs.

use crate::issuing::pack_of;
use crate::support::job_text;
use cutback::issuing::sha256;
use cutback::record::{PhotoRow, blank, with_photos};
use serde_yaml::Value;
use std::collections::BTreeSet;

fn blank_of(job: &str) -> (cutback::procedure::Pack, String) {
    let (pack, json) = pack_of(job_text(job));
    let text = blank(&pack, &sha256(&json));
    (pack, text)
}

/// Every reading, point, photograph and document of the pack has its place in
/// the blank, empty, and under a name of its own.
#[test]
fn the_blank_asks_for_everything_once() {
    for job in ["D-2201-P4", "K-0417-P1", "D-3314-P1", "D-1106-P2", "D-0627-P1"] {
        let (pack, text) = blank_of(job);
        let tree: Value = serde_yaml::from_str(&text).expect("the blank is YAML");
        let points = tree["points"].as_mapping().expect("points");
        assert_eq!(points.len(), pack.form.points.len());
        for point in &pack.form.points {
            let own = &tree["points"][point.id.as_str()];
            let ids: BTreeSet<&str> = point.readings.iter().map(|r| r.id.as_str()).collect();
            assert_eq!(ids.len(), point.readings.len(), "{}: a name stands twice", point.id);
            for reading in &point.readings {
                let value = own.get(reading.id.as_str()).expect("a blank");
                match value {
                    Value::Null => assert_eq!(reading.cells.len(), 1),
                    Value::Mapping(cells) => {
                        assert!(cells.values().all(Value::is_null));
                        let names: Vec<&str> = cells.keys().filter_map(Value::as_str).collect();
                        assert_eq!(names, reading.cells);
                    }
                    other => panic!("{} {}: {other:?}", point.id, reading.id),
                }
            }
            assert!(own.get("released").is_some() && own.get("released_by").is_some());
        }
        let tests = tree["tests"].as_mapping().expect("tests");
        assert_eq!(tests.len(), pack.form.tests.len());
        assert_eq!(pack.form.frames.len(), pack.photos.total);
        let frames: BTreeSet<&str> = pack.form.frames.iter().map(|f| f.id.as_str()).collect();
        assert_eq!(frames.len(), pack.form.frames.len());
        let documents: Vec<&str> = pack.form.documents.iter().map(|d| d.document.as_str()).collect();
        assert_eq!(documents.last(), Some(&"permit"));
        assert_eq!(documents.len(), tree["documents"].as_sequence().expect("documents").len());
        // What the pack knows is not typed again.
        assert_eq!(tree["record"]["revision"].as_str(), Some(pack.job.revision.as_str()));
        assert!(text.contains(&pack.briefing.crew[0].authorisation));
    }
}

/// The blanks of the key figures carry limits and never the plan.
#[test]
fn key_figures_show_no_target() {
    let (pack, text) = blank_of("D-2201-P4");
    let readings = || pack.form.points.iter().flat_map(|p| &p.readings);
    let key: Vec<&str> = readings().filter(|r| r.key).map(|r| r.id.as_str()).collect();
    assert_eq!(key, ["edge", "lower", "upper", "cover", "torque", "phase_gap"]);
    assert!(readings().any(|r| !r.key && r.plan.is_some()));
    let unbroken: String = text.split_whitespace().filter(|w| *w != "#").collect::<Vec<_>>().join(" ");
    let said = unbroken.matches("; planned ").count();
    let tested = pack.form.tests.iter().filter(|r| r.plan.is_some()).count();
    assert_eq!(tested, 2, "the test voltage and the conductor loops");
    assert_eq!(said, readings().filter(|r| !r.key && r.plan.is_some()).count() + tested);
    assert!(!text.contains("planned 60"), "the torque");
}

/// A number that prints a figure as its limit is judged by that figure.
#[test]
fn no_printed_limit_is_lost() {
    let open = [
        "write",
        "from the",
        "as the",
        "its own",
        "equal",
        "all",
        "planned",
        "kit sheet",
        "the client",
        "the permit's figure",
        "maker's figure",
        "as over the insulation",
        "both",
    ];
    for job in ["D-2201-P4", "K-0417-P1", "D-3314-P1", "D-1106-P2", "D-0627-P1"] {
        let (pack, _) = blank_of(job);
        for reading in pack.form.points.iter().flat_map(|p| &p.readings).chain(&pack.form.tests) {
            let words = matches!(reading.unit.as_str(), "text" | "time");
            assert!(
                words
                    || reading.id == "tube_length"
                    || !reading.limit.is_open()
                    || open.iter().any(|w| reading.limits.starts_with(w)),
                "{}: `{}` has a limit that nothing reads",
                reading.id,
                reading.limits
            );
        }
    }
}

#[test]
fn photographs_are_logged_and_nothing_else_changes() {
    let (_, text) = blank_of("D-2201-P4");
    let row = PhotoRow {
        file: "photos/a \"b\"\n.jpg".into(),
        sha256: "0".repeat(64),
        taken: Some("2031-05-12T11:05:00+01:00".into()),
        frame: Some("9-L1-2".into()),
        card_seen: Some(true),
        ..PhotoRow::default()
    };
    let once = with_photos(&text, std::slice::from_ref(&row)).expect("a record");
    let twice = with_photos(&once, &[row.clone(), row]).expect("a record");
    let back = with_photos(&twice, &[]).expect("a record");
    assert_eq!(back, text);
    let tree: Value = serde_yaml::from_str(&once).expect("YAML");
    assert_eq!(tree["photos"][0]["file"].as_str(), Some("photos/a \"b\"\n.jpg"));
    assert_eq!(tree["photos"][0]["frame"].as_str(), Some("9-L1-2"));
    assert!(with_photos("record: {}\n", &[]).is_err());
    assert!(with_photos("a: [", &[]).is_err());
}
