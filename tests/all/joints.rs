//! Joints on paper: what prints follows the cable, its armour, its bonding, the way it
//! is connected and whether it has been in service.

use crate::issuing;
use crate::support::{job_text, job_with};
use cutback::procedure::{Banner, Pack};
use serde_json::json;

const JOINTS: [&str; 4] = ["D-0627-P1", "G-0733-P1", "J-0418-P1", "D-3316-P1"];

fn pack_of(job: &str) -> Pack {
    issuing::pack_of(job_text(job)).0
}

/// What is carried to the bay and followed there, in small letters.
fn carried(pack: &Pack) -> String {
    let parts = json!([pack.method, pack.hazards, pack.drawings, pack.release, pack.completion, pack.tests]);
    // A label card bears that name.
    parts.to_string().to_lowercase().replace("\"card\":\"crutch\"", "")
}

fn points(pack: &Pack) -> Vec<&Banner> {
    pack.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref()).collect()
}

/// Blanks of the first measure of a point whose name begins so.
fn cells(pack: &Pack, point: &str, measure: &str) -> usize {
    let banner = points(pack).into_iter().find(|b| b.id == point).expect(point);
    banner.measures.iter().find(|m| m.name.starts_with(measure)).expect(measure).cells
}

#[test]
fn three_single_cables_are_three_rows() {
    let rows = [
        ("set-out", "C0 on one sheath"),
        ("set-out", "sheath cut from C0"),
        ("kit-cable-match", "overall diameter"),
        ("outer-sleeve", "sleeve over the sheath"),
        ("outer-sleeve", "bead of mastic"),
    ];
    let [three, single] = ["D-0627-P1", "G-0733-P1"].map(pack_of);
    for (point, measure) in rows {
        assert_eq!(cells(&three, point, measure), 1, "{point}: {measure}");
        assert_eq!(cells(&single, point, measure), 3, "{point}: {measure}");
    }
    assert_eq!(cells(&three, "parked", "on the cable"), 1);
    assert_eq!(cells(&single, "parked", "on each cable"), 3);
    let once = |pack: &Pack| {
        let steps = pack.method.runs.iter().flat_map(|r| &r.steps);
        let touch = ["J02", "J03", "J04", "JF04"];
        steps.filter(|s| touch.contains(&s.id.as_str()) && !s.phases).count()
    };
    assert_eq!((once(&three), once(&single)), (4, 0));
}

#[test]
fn no_word_of_what_the_cable_does_not_have() {
    for job in ["G-0733-P1", "D-3316-P1"] {
        let text = carried(&pack_of(job));
        for word in ["crutch", "lay up", "core number", "both sheaths with the set-out strip"] {
            assert!(!text.contains(word), "{job}: {word}");
        }
    }
    let text = carried(&pack_of("D-3316-P1")).replace("unarmoured", "");
    assert!(!text.contains("armour"), "{}", &text[text.find("armour").unwrap_or(0)..][..80]);
    // Shear bolts are turned: nothing is pressed, no die, no injection injury.
    for job in ["G-0733-P1", "J-0418-P1", "D-3316-P1"] {
        let text = carried(&pack_of(job));
        for word in ["die stamp", "pr-21", "pr-11", "injection", "die set", "ratchet or press"] {
            assert!(!text.contains(word), "{job}: {word}");
        }
    }
    // An existing cable is cut with a cutter that may be hydraulic.
    assert!(carried(&pack_of("D-0627-P1")).contains("hydraulic tools: yes, cutter"));
}

#[test]
fn new_cable_is_not_said_to_be_identified() {
    for job in JOINTS {
        let pack = pack_of(job);
        let text = json!(pack.method).to_string();
        let existing = job == "D-0627-P1";
        assert_eq!(text.contains("identified"), existing, "{job}");
        assert_eq!(text.contains("see identification"), existing, "{job}");
        assert_eq!(text.contains("NO SAFETY DOCUMENT: EVERY CABLE COUNTS AS LIVE"), existing, "{job}");
        // Points are numbered as the stops come.
        let stops: Vec<&str> = points(&pack).iter().map(|b| b.stop.as_str()).collect();
        assert!(stops.is_sorted(), "{job}: {stops:?}");
    }
}

#[test]
fn two_lengths_are_tested_before_they_are_one() {
    let pack = pack_of("J-0418-P1");
    let point = pack.form.points.iter().find(|p| p.id == "pre_test").expect("tested before the work");
    assert_eq!(point.stop, "1");
    let ids: Vec<&str> = point.readings.iter().map(|r| r.id.as_str()).collect();
    for id in ["resistance_x", "resistance_y", "screen_resistance_x", "screen_resistance_y"] {
        assert!(ids.contains(&id), "{ids:?}");
    }
    // The loop of the whole circuit is no limit of one length.
    let loops = point.readings.iter().filter(|r| r.id.starts_with("screen_resistance"));
    assert!(loops.map(|r| &r.limit).all(|l| l.least.is_none() && l.most.is_none()));
}

#[test]
fn leads_go_back_as_the_screens_are_bonded() {
    let leads = |pack: &Pack| {
        let back =
            points(pack).into_iter().find(|b| b.id == "ends-back").expect("ends back").measures.clone();
        let names: Vec<String> =
            back.iter().filter(|m| m.name.contains("leads")).map(|m| m.name.clone()).collect();
        names.join("; ")
    };
    let single = pack_of("D-3316-P1");
    assert_eq!(
        leads(&single),
        "screen leads back: on earth at panel 09, on sheath voltage limiter box at the other end"
    );
    let text = carried(&single);
    assert!(!text.contains("back on earth, both ends") && !text.contains("both ends stay earthed"), "{text}");
    assert!(text.contains("screens are earthed at panel 09 only: their other end counts as live"));
    let both = issuing::pack_of(job_with("D-3316-P1", "/bonding/scheme", "both-ends")).0;
    assert_eq!(leads(&both), "screen leads all back on earth, both ends");
    assert_eq!(leads(&pack_of("D-0627-P1")), "screen and armour leads all back on earth, both ends");
}

/// A lead sheath is cut and carried across, and only where there is one.
#[test]
fn a_lead_sheath_is_cut_and_carried_across() {
    let asked = |pack: &Pack| {
        let steps = pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str());
        let order: Vec<&str> = steps.filter(|id| ["J04", "J04-lead", "JF01"].contains(id)).collect();
        let point = pack.form.points.iter().find(|p| p.id == "joint_screens").expect("screens");
        let lead = point.readings.iter().any(|r| r.id == "lead_across");
        (order.join(" "), lead, carried(pack).contains("lead poisons slowly"))
    };
    for job in ["D-0627-P1", "G-0733-P1", "D-3316-P1"] {
        let none = issuing::pack_of(job_with(job, "/cable/lead_sheath", "no")).0;
        assert_eq!(asked(&none), ("J04 JF01".into(), false, false), "{job}");
        let lead = issuing::pack_of(job_with(job, "/cable/lead_sheath", "yes")).0;
        assert_eq!(asked(&lead), ("J04 J04-lead JF01".into(), true, true), "{job}");
    }
}
