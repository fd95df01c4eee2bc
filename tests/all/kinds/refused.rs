//! One answer of a sound job changed, and the rule that refuses it.

use crate::issuing::pack_of;
use crate::support::{findings, job_text, job_with, judge, judge_edited};
use std::collections::BTreeSet;

/// Findings of a job with one answer written in another way.
fn refused(job: &str, pointer: &str, to: &str) -> Vec<String> {
    findings(&judge_edited(job_with(job, pointer, to)))
}

#[test]
fn single_core_refusals() {
    let job = "D-3314-P1";
    assert!(refused(job, "/enclosure/plate/metal", "steel").contains(&"E04 plate blocks".into()));
    assert!(refused(job, "/gland/insulated", "no").contains(&"E05 gland blocks".into()));
    assert!(refused(job, "/bonding/far_end", "none").contains(&"E05 limiter blocks".into()));
    assert!(refused(job, "/cable/length", "2400 m").contains(&"E05 standing blocks".into()));
    assert!(refused(job, "/boots", "none").contains(&"B04 live blocks".into()));
    // A sheath cut so high that ring R would lie below it.
    assert!(refused(job, "/layout/sheath_cut_above_plate", "560 mm").contains(&"D01 ring blocks".into()));
}

#[test]
fn joint_refusals() {
    let job = "D-0627-P1";
    assert!(refused(job, "/bay/length", "2400 mm").contains(&"D01 bay blocks".into()));
    assert!(refused(job, "/work/identification", "none").contains(&"W05 identification blocks".into()));
    assert!(refused(job, "/site/gas_plan", "none").contains(&"W06 flame blocks".into()));
    assert!(refused(job, "/lug", "ZK-240SB").contains(&"P01 conductor blocks".into()));
    assert!(refused("D-3316-P1", "/bonding/far_end", "none").contains(&"E05 limiter blocks".into()));
}

/// The kit first thought of: three sheds and 95 kV, refused for both.
#[test]
fn outdoor_refusals() {
    let job = "D-1106-P2";
    let short = refused(job, "/kit", "ZQ12-1O-S3");
    for wanted in ["K09 creepage blocks", "K03 impulse blocks"] {
        assert!(short.contains(&wanted.to_string()), "{wanted}: {short:?}");
    }
    assert!(refused(job, "/enclosure/arcing_distance", "370 mm").contains(&"K09 arcing blocks".into()));
    assert!(refused(job, "/crew/1/height_rescue", "no").contains(&"R01 crew blocks".into()));
    assert!(refused(job, "/layout/screen_left", "40 mm").contains(&"D01 ring blocks".into()));
    let (pack, _) = pack_of(job_text(job));
    let hazards: BTreeSet<&str> = pack.hazards.iter().map(|h| h.id.as_str()).collect();
    for wanted in ["height", "overhead-earths", "weather", "induced", "adjacent-live"] {
        assert!(hazards.contains(wanted), "no hazard {wanted}");
    }
}

#[test]
fn three_core_outdoor_refusals() {
    let job = "D-1108-P1";
    assert!(refused(job, "/layout/tail", "560 mm").contains(&"B05 free blocks".into()));
    assert!(refused(job, "/layout/tail", "460 mm").contains(&"D01 ring blocks".into()));
    assert!(refused(job, "/enclosure/arcing_distance", "250 mm").contains(&"K09 arcing blocks".into()));
    assert!(refused(job, "/kit", "ZQ24-1O-S6").contains(&"K07 cores blocks".into()));
    let open = job_with(job, "/layout/tail", "");
    let open = findings(&judge_edited(open));
    assert!(open.contains(&"D01 free-crutch not-judged".into()), "{open:?}");
}

#[test]
fn connector_refusals() {
    let job = "M-0508-P1";
    assert!(refused(job, "/enclosure/bushing/interface", "B").contains(&"P02 interface blocks".into()));
    assert!(
        refused(job, "/enclosure/bushing/current", "1250 A").contains(&"P02 current-class blocks".into())
    );
    assert!(refused(job, "/enclosure/bushing/caps", "2").contains(&"P02 caps blocks".into()));
    assert!(refused(job, "/layout/straight_below", "300 mm").contains(&"B05 straight blocks".into()));
    assert!(refused(job, "/layout/drain_earth", "none").contains(&"E02 drain blocks".into()));
    assert!(refused(job, "/layout/approach_radius", "400 mm").contains(&"B05 approach blocks".into()));
    assert!(refused(job, "/cable/dia_over_insulation", "23.0 mm").iter().any(|f| f.starts_with("K05 ")));
    assert!(refused(job, "/kit", "ZH12-1I-240").contains(&"K07 work-technique blocks".into()));
    let apart = |job: &str| {
        let judged = judge(job);
        let (_, _, judgement) = judged.judged.as_ref().expect("a job");
        judgement.apart.iter().map(|l| l.code.clone()).collect::<Vec<_>>()
    };
    for code in ["B01", "B03", "B04", "D04", "K09"] {
        assert!(apart(job).contains(&code.to_string()), "{code} has nothing to judge here");
    }
}

/// The wrench's range may stand in its name, as it does in many a tool list.
#[test]
fn a_wrench_is_held_against_the_torque_by_key_or_by_name() {
    let job = job_text("K-0417-P1");
    let (key, name) = ("torque_range: 10 to 60 N.m,", "torque_wrench: TW-07,");
    assert!(job.contains(key) && job.contains(name));
    let with = |range: &str, wrench: &str| {
        let text = job.replace(key, range).replace(name, &format!("torque_wrench: \"{wrench}\","));
        findings(&judge_edited(text))
    };
    for (range, wrench, found) in [
        ("", "TW-07, 10 to 60 N.m", None),
        ("", "TW-07 (10 N.m to 60 N.m)", None),
        ("", "TW-07, 40 to 200 N.m", Some("P04 range blocks")),
        ("torque_range: 40 to 200 N.m,", "TW-07, 10 to 60 N.m", Some("P04 range blocks")),
        ("", "TW-07", Some("P04 range advises")),
        ("", "TW-07 to be named", Some("P04 range advises")),
    ] {
        assert_eq!(with(range, wrench), found.into_iter().collect::<Vec<_>>(), "{range} {wrench}");
    }
}
