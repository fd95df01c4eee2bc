//! Three invented scenarios held whole: the hazards their facts bring up, and the
//! figures that no other test holds, all by hand first.

use crate::issuing::pack_of;
use crate::support::{findings, job_text, job_with, judge, judge_edited};
use std::collections::BTreeSet;

/// Exactly these, and with a fact each.
fn hazards(job: &str, expected: &[&str]) {
    let (pack, _) = pack_of(job_text(job));
    let printed: BTreeSet<&str> = pack.hazards.iter().map(|h| h.id.as_str()).collect();
    assert_eq!(printed, expected.iter().copied().collect(), "{job}: printed, and listed in this file");
    for hazard in &pack.hazards {
        assert!(!hazard.fact.contains("not answered") && !hazard.actions.is_empty(), "{job}: {}", hazard.id);
    }
}

fn text(job: &str, pointer: &str, to: &str, fact: &str) -> String {
    let judged = judge_edited(job_with(job, pointer, to));
    let (_, sheet, _) = judged.judged.as_ref().unwrap_or_else(|| panic!("{job}: {:?}", findings(&judged)));
    sheet.text(fact).to_string()
}

const EVERY_TESTED_END: [&str; 9] = [
    "isolation",
    "prove-dead",
    "earthing",
    "permit",
    "sanction-test",
    "backfeed",
    "stored-charge",
    "solvent",
    "knives",
];

#[test]
fn hazards_of_a_pole_top_in_salt_and_dust() {
    let own = [
        "induced",
        "adjacent-live",
        "gas-torch",
        "hydraulic",
        "height",
        "overhead-earths",
        "weather",
        "arc-flash",
        "earth-potential",
        "magnet-heat",
    ];
    hazards("D-1106-P2", &[&EVERY_TESTED_END[..], &own].concat());
}

#[test]
fn hazards_of_single_core_ends_in_a_panel() {
    let own = ["induced", "adjacent-live", "hydraulic", "arc-flash", "earth-potential", "magnet-heat"];
    hazards("D-3314-P1", &[&EVERY_TESTED_END[..], &own].concat());
}

#[test]
fn hazards_of_a_joint_in_a_trench() {
    let own = [
        "identify-cut",
        "induced",
        "gas-torch",
        "confined",
        "hydraulic",
        "cartridge",
        "manual",
        "weather",
        "earth-potential",
        "other-services",
        "vibration-noise",
    ];
    hazards("D-0627-P1", &[&EVERY_TESTED_END[..], &own].concat());
}

/// Fault ratings of steel armour from 80 to 200 C: 309 mm2 for 0.5 s, 538 mm2 for
/// 1 s; of one core's tape alone 1.36 and 1.32 kA. The rating of the path is the
/// armour's where the client says that it counts.
#[test]
fn armour_as_fault_path() {
    let path = |job: &str, counts: &str| text(job, "/earthing/armour_path", counts, "path_rating");
    assert_eq!(path("D-0627-P1", "counts"), "20.29 kA");
    assert_eq!(path("D-0627-P1", "does not count"), "1.36 kA");
    assert_eq!(path("D-2201-P4", "counts"), "24.98 kA");
    assert_eq!(path("D-2201-P4", "does not count"), "1.32 kA");
}

/// Limit of the vicinity zone, by the table and between its rows: 33 kV 1350 mm,
/// 11 kV 1152 mm.
#[test]
fn distance_of_approach() {
    for (job, distance) in [("D-3314-P1", "1350 mm"), ("D-1106-P2", "1152 mm")] {
        let judged = judge(job);
        let (_, sheet, _) = judged.judged.as_ref().expect("a job");
        assert_eq!(sheet.text("approach_distance"), distance, "{job}");
    }
    let (pack, _) = pack_of(job_text("D-3314-P1"));
    let live = pack.hazards.iter().find(|h| h.id == "adjacent-live").expect("live parts beside the work");
    let words = format!("{} {} {}", live.fact, live.caution, live.actions.join(" "));
    assert!(words.contains("1350 mm") && words.contains("33 kV"), "{words}");
}
