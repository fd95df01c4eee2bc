//! Every kind of work: a sound job of its own, judged, printed within what a
//! releaser and a camera can bear, and a form that issues once it is filled in.

mod by_hand;
mod order;
mod refused;
mod silence;

use crate::issuing::pack_of;
use crate::new::filled;
use crate::support::{PRESS, findings, job_text, judge, judge_edited};
use cutback::job::fresh;
use cutback::press::Copy;
use cutback::procedure::{Pack, Segment};
use std::collections::BTreeSet;

/// Kind, its sound job, what that job still carries as advice.
pub const KINDS: &[(&str, &str, &[&str])] = &[
    ("term-box-3c-hs", "K-0417-P1", &[]),
    ("term-box-1c-hs", "L-0853-P1", &["W06 flame advises"]),
    ("term-box-3c-cs", "N-0316-P1", &["K05 range advises"]),
    ("term-box-3c-cs", "O-0611-P1", &["K05 range advises", "W02 cable asks accepted"]),
    ("term-box-1c-cs", "D-3314-P1", &["B04 live advises", "T01 palms advises"]),
    ("joint-3c-hs", "D-0627-P1", &["T02 level asks accepted"]),
    ("joint-1c-hs", "G-0733-P1", &[]),
    ("joint-3c-cs", "J-0418-P1", &[]),
    ("joint-1c-cs", "D-3316-P1", &[]),
    ("term-outdoor", "D-1106-P2", &["D04 length advises", "K02 um advises"]),
    ("inspect-term", "I-0512-P1", &[]),
    ("inspect-term", "I-0518-P1", &[]),
    ("inspect-term", "I-0523-P1", &[]),
    ("inspect-outdoor", "I-0607-P1", &[]),
    ("term-outdoor", "D-1108-P1", &[]),
    ("sep-connector", "M-0508-P1", &[]),
    ("sep-connector", "M-0526-P1", &[]),
];

#[test]
fn every_kind_has_a_sound_job() {
    for (kind, job, carried) in KINDS {
        let judged = judge(job);
        let (_, sheet, judgement) = judged.judged.as_ref().expect("a job");
        assert_eq!(sheet.text("job.work_type"), *kind);
        assert_eq!(judged.report().open(), 0, "{job}: {:?}", findings(&judged));
        assert_eq!(findings(&judged), carried.iter().map(|s| (*s).to_string()).collect::<Vec<_>>(), "{job}");
        // Every rule is judged or says why it is not.
        assert_eq!(judgement.judged.len() + judgement.apart.len(), judgement.total, "{job}");
    }
}

fn blanks(pack: &Pack) -> Vec<String> {
    let steps = pack.method.runs.iter().flat_map(|r| &r.steps);
    let open = |s: &Segment| matches!(s, Segment::Blank(_));
    let mut out: Vec<String> =
        steps.clone().filter(|s| s.text.iter().any(open)).map(|s| format!("step {}", s.id)).collect();
    for point in steps.filter_map(|s| s.control.as_ref()) {
        let missing = point.measures.iter().filter(|m| m.limits.contains("not answered"));
        out.extend(missing.map(|m| format!("{}: {}", point.id, m.name)));
    }
    let key = &pack.summary.key_figures;
    out.extend(key.iter().filter(|f| f.text.contains("not answered")).map(|f| f.name.clone()));
    out.extend(
        pack.pocket.figures.iter().filter(|f| f.text.contains("not answered")).map(|f| f.name.clone()),
    );
    out
}

#[test]
fn every_kind_prints_a_whole_pack() {
    for (kind, job, _) in KINDS {
        let (pack, json) = pack_of(job_text(job));
        assert_eq!(blanks(&pack), Vec::<String>::new(), "{job}");
        assert!(pack.release.stops.len() <= 8, "{kind}: {} stops", pack.release.stops.len());
        assert!(pack.photos.total <= 36, "{kind}: {} frames", pack.photos.total);
        assert!(pack.pocket.figures.len() >= 5, "{kind}: pocket card");
        assert!(pack.drawings.len() >= 2, "{kind}: drawings");
        for drawing in pack.drawings.iter().chain(&pack.gauge.pieces) {
            crate::pack::on_its_own_ground(drawing);
        }
        // No reading is asked for twice, and each point is released once.
        let points: Vec<_> =
            pack.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref()).collect();
        let mut asked = BTreeSet::new();
        for measure in points.iter().flat_map(|p| &p.measures) {
            assert!(asked.insert(measure.name.to_lowercase()), "{kind}: `{}` twice", measure.name);
        }
        for point in &points {
            assert!(!point.stop.is_empty(), "{kind}: nobody releases {}", point.id);
        }
        let copy = Copy::new(&pack, &"0".repeat(64), true, 0);
        PRESS.print(&pack, &json, &copy).unwrap_or_else(|e| panic!("{kind}: {e}"));
    }
}

#[test]
fn every_form_issues_once_it_is_filled_in() {
    for (kind, job, _) in KINDS {
        let form = fresh(kind).unwrap_or_else(|e| panic!("{kind}: {e:?}"));
        let mut text = filled(&form, &job_text(job));
        // Acceptances are copied from the findings, as the form's last lines say.
        if let Some((_, given)) = job_text(job).split_once("\nacceptances:\n") {
            assert!(text.contains("\n# acceptances:\n"), "{kind}");
            text = format!("{text}acceptances:\n{given}");
        }
        let judged = judge_edited(text);
        assert_eq!(findings(&judged), findings(&judge(job)), "{kind}");
        assert_eq!(judged.report().open(), 0, "{kind}");
    }
}

#[test]
fn a_rule_without_a_subject_does_not_pass() {
    let apart = |job: &str| {
        let judged = judge(job);
        let (_, _, judgement) = judged.judged.as_ref().expect("a job");
        judgement.apart.iter().map(|l| l.code.clone()).collect::<Vec<_>>()
    };
    assert_eq!(apart("K-0417-P1"), ["K09", "K11", "B06", "B07", "E04", "E05", "E06", "W05"]);
    assert_eq!(apart("D-3314-P1"), ["K09", "K11", "B06", "W05", "W06"]);
}
