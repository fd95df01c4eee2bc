//! Every hazard and every point of control: printed by a job of the demonstration,
//! and each thing that brings a hazard up told both ways.

use crate::issuing::pack_of;
use crate::kinds::KINDS;
use crate::support::job_text;
use cutback::procedure::{Pack, Procedures};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

static ALL: LazyLock<Procedures> = LazyLock::new(|| Procedures::built_in().expect("sound procedures"));

/// Packs of the sound jobs of every kind, and the demonstration's own.
static PACKS: LazyLock<Vec<(&str, Pack)>> = LazyLock::new(|| {
    let jobs = KINDS.iter().map(|(_, job, _)| *job).chain(["D-2201-P4"]);
    jobs.map(|job| (job, pack_of(job_text(job)).0)).collect()
});

fn hazards(pack: &Pack) -> BTreeSet<String> {
    pack.hazards.iter().map(|h| h.id.clone()).collect()
}

#[test]
fn every_hazard_is_printed_by_a_demonstration() {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for (job, pack) in PACKS.iter() {
        for hazard in &pack.hazards {
            assert!(!hazard.fact.contains("not answered"), "{job}: {}: {}", hazard.id, hazard.fact);
            seen.entry(hazard.id.clone()).or_insert(job);
        }
    }
    let missing: Vec<&str> =
        ALL.hazards.iter().map(|h| h.id.as_str()).filter(|id| !seen.contains_key(*id)).collect();
    assert!(missing.is_empty(), "no job of KINDS prints {missing:?}");
}

/// A job in which nothing but what always holds brings a hazard up.
fn quiet() -> String {
    let mut text = job_text("N-0316-P1");
    for (from, to) in [
        ("substation_earth_grid: yes", "substation_earth_grid: no"),
        ("hydraulic: yes", "hydraulic: no"),
        ("solvent: isopropanol wipes", "solvent: none"),
        ("ring_end: \"switch 5, open and locked\"", "ring_end: none"),
        ("planned: yes, kind: withstand", "planned: no, kind: withstand"),
        ("kind: switchgear", "kind: kiosk"),
        ("length: 760 m", "length: 500 m, overall_diameter: 60 mm, lead_sheath: no, cores: 3"),
        ("load: 19 kg", "load: 25 kg"),
        ("year: 2030", "year: 2000"),
    ] {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    text
}

/// What always holds, whatever the job.
const ALWAYS: [&str; 5] = ["isolation", "prove-dead", "earthing", "permit", "knives"];

/// One change of the quiet job, and the hazards it brings up; none where it stays
/// on the harmless side of a limit.
const TRIGGERS: &[(&str, &str, &[&str])] = &[
    ("planned: no, kind: withstand", "planned: yes, kind: withstand", &["sanction-test", "stored-charge"]),
    ("before_work_test: none", "before_work_test: control engineer", &["sanction-test", "stored-charge"]),
    ("cuts_existing_cable: no", "cuts_existing_cable: yes", &["identify-cut"]),
    ("opens_existing_cable: no", "opens_existing_cable: yes", &["identify-cut"]),
    ("removes_old_accessory: no", "removes_old_accessory: yes", &["identify-cut"]),
    ("low_voltage: none", "low_voltage: breaker locked", &["backfeed"]),
    ("voltage_transformer: none", "voltage_transformer: fuses out", &["backfeed"]),
    ("generator: none", "generator: locked", &["backfeed"]),
    ("solar: none", "solar: locked", &["backfeed"]),
    ("ring_end: none", "ring_end: open and locked", &["backfeed"]),
    ("capacitor: none", "capacitor: isolated", &["backfeed"]),
    ("parallel_circuit: no", "parallel_circuit: yes", &["induced"]),
    ("parallel_live_cables: no", "parallel_live_cables: yes", &["induced"]),
    ("scheme: both-ends", "scheme: single-point", &["induced"]),
    ("adjacent_live: no", "adjacent_live: yes", &["adjacent-live", "arc-flash"]),
    ("kind: kiosk", "kind: switchgear", &["arc-flash"]),
    ("pole: no", "pole: yes", &["earth-potential", "height", "overhead-earths"]),
    ("length: 500 m", "length: 501 m", &["earth-potential"]),
    ("substation_earth_grid: no", "substation_earth_grid: yes", &["earth-potential"]),
    ("cores: 3", "cores: 1", &["magnet-heat"]),
    ("crutch: inside", "crutch: outside", &["magnet-heat"]),
    ("kit: ZQ24-1S-SLIP", "kit: ZQ24-3I-240", &[]),
    ("hazardous_zone: none", "hazardous_zone: zone 2", &["hazardous-area"]),
    ("confined: no", "confined: yes", &["confined"]),
    ("depth: 0 m", "depth: 1.2 m", &["confined", "other-services"]),
    ("depth: 0 m", "depth: 1.19 m", &["other-services"]),
    ("solvent: none", "solvent: isopropanol wipes", &["solvent"]),
    ("resin: none", "resin: polyurethane", &["resin"]),
    ("asbestos_possible: no", "asbestos_possible: yes", &["asbestos"]),
    ("year: 2000", "year: 1999", &["asbestos"]),
    ("lead_sheath: no", "lead_sheath: yes", &["lead-bitumen"]),
    ("fill: air", "fill: compound", &["lead-bitumen"]),
    ("filled_before: none", "filled_before: compound", &["lead-bitumen"]),
    ("fill: air", "fill: gas", &["gas-plant"]),
    ("medium: none", "medium: gas", &["gas-plant"]),
    ("fill: air", "fill: oil", &["oil"]),
    ("hydraulic: no", "hydraulic: yes", &["hydraulic"]),
    ("cartridge: no", "cartridge: yes", &["cartridge"]),
    ("powered: no", "powered: yes", &["vibration-noise"]),
    ("excavation: no", "excavation: yes", &["other-services", "vibration-noise"]),
    ("load: 25 kg", "load: 26 kg", &["manual"]),
    ("overall_diameter: 60 mm", "overall_diameter: 61 mm", &["manual"]),
    ("cable_temperature: 15 C", "cable_temperature: -1 C", &["cold-cable"]),
    ("cable_temperature: 15 C", "cable_temperature: 0 C", &[]),
    ("height: 0 m", "height: 2 m", &["height"]),
    ("height: 0 m", "height: 1.9 m", &[]),
    ("outdoor: no", "outdoor: yes", &["weather"]),
    ("traffic: no", "traffic: yes", &["traffic-public"]),
    ("public: no", "public: yes", &["traffic-public"]),
    ("lone: no", "lone: yes", &["lone"]),
];

#[test]
fn every_trigger_works_both_ways() {
    let quiet = quiet();
    let always: BTreeSet<String> = ALWAYS.map(String::from).into();
    assert_eq!(hazards(&pack_of(quiet.clone()).0), always, "the quiet job");
    let mut told: BTreeSet<&str> = ALWAYS.into();
    let mut wrong = Vec::new();
    for (from, to, brings) in TRIGGERS {
        assert!(quiet.contains(from), "{from}");
        let now = hazards(&pack_of(quiet.replacen(from, to, 1)).0);
        let new: Vec<&str> = now.difference(&always).map(String::as_str).collect();
        // The method of a kind does not change with its kit: a flame comes with the kind.
        if new != *brings || !always.is_subset(&now) {
            wrong.push(format!("{to}: brings up {new:?}, said {brings:?}"));
        }
        told.extend(brings.iter());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A flame is a step of the method.
    for (job, pack) in PACKS.iter() {
        let flame = pack.method.runs.iter().flat_map(|r| &r.steps).any(|s| ALL.steps[&s.id].flame);
        assert_eq!(hazards(pack).contains("gas-torch"), flame, "{job}");
    }
    told.insert("gas-torch");
    let all: BTreeSet<&str> = ALL.hazards.iter().map(|h| h.id.as_str()).collect();
    assert_eq!(told, all, "a hazard without a line of its own in TRIGGERS");
}

/// The points of control of medium-voltage cable work, in plain words, and ours
/// that stand for each.
const CONTROLS: &[(&str, &[&str])] = &[
    ("the pack is the revision in force", &["pack-current"]),
    ("permit held, isolation seen, dead proved", &["permit-received", "permit-line-earthed", "permit-joint"]),
    ("air of pit, tank or chamber", &["place-safe", "air-inspect"]),
    ("weather and dryness", &["environment", "weather", "weather-inspect"]),
    ("kit, lug and cable in hand are the pack's", &["kit-cable-match"]),
    ("tools and instruments in date", &["tools-calibrated", "tools-joint", "tools-inspect"]),
    ("cable sound before it is opened", &["pre-test"]),
    ("the right cable, proved", &["cable-identified"]),
    ("box inside the figures of the pack", &["box-as-measured"]),
    ("trial fit before any cut", &["trial-fit", "trial-fit-outdoor", "trial-fit-connector"]),
    ("phase identity", &["phase-identity", "joint-phases", "joint-phases-again"]),
    ("screens joined before they are sealed over", &["screens-joined"]),
    ("screens, armour and leads on earth", &["screens-earthed"]),
    ("crutch or sheath end sealed", &["crutch-sealed", "sheath-end-sealed"]),
    ("semicon edge", &["semicon-edge", "joint-edge"]),
    ("insulation surface", &["insulation-surface", "joint-surface"]),
    ("lug", &["lug"]),
    ("clean before covering", &["clean-before-cover"]),
    ("filler at the edge", &["filler"]),
    ("tube placed before the flame", &["tube-placed"]),
    ("tube as shrunk", &["tube"]),
    ("outer tube and seals", &["outer-sealed", "body-sealed"]),
    ("body seated", &["body-seated"]),
    ("pole and access", &["pole-safe"]),
    ("sheds", &["sheds"]),
    ("spacings after the last connection", &["final-gaps", "gaps-outdoor", "kept-gaps"]),
    ("no pull on the lug", &["jumper-strain"]),
    ("arresters and the one earth point", &["arrester-earth"]),
    ("palm connection", &["terminal-torque"]),
    ("boots", &["boots-fitted"]),
    ("joint set out", &["set-out"]),
    ("every part parked", &["parked"]),
    ("connector of a joint", &["connector"]),
    ("connector and edges filled", &["joint-fill"]),
    ("tubes and body centred", &["tube-centred", "body-centred"]),
    ("screens and armour across the joint", &["joint-screens", "joint-armour"]),
    ("outer sleeve", &["outer-sleeve"]),
    ("position recorded", &["located"]),
    ("survey in service", &["live-survey"]),
    ("photographs as found", &["as-found", "as-found-outdoor"]),
    ("tube measured by its two steps", &["tube-by-steps"]),
    ("gaps as found", &["gaps-as-found", "creepage-as-found", "condition"]),
    ("decision on an existing end", &["remake-decision"]),
    ("interface, class and bore of a connector", &["interface"]),
    ("connector home, torqued, drained", &["connector-seated", "connector-home"]),
    ("right document for the test, all off, far end guarded", &["test-authority"]),
    ("withstand and diagnostic tests", &["hv-test"]),
    ("discharged and earthed again", &["discharged"]),
    (
        "reconnected, counted, closed",
        &["box-closed", "pole-clear", "joint-closed", "ends-back", "far-end-back"],
    ),
    ("record complete, documents cleared", &["handback"]),
];

#[test]
fn every_control_is_printed_by_a_demonstration() {
    assert_eq!(CONTROLS.len(), 50);
    let mut printed: BTreeSet<String> = BTreeSet::new();
    for (_, pack) in PACKS.iter() {
        let points = pack.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref());
        printed.extend(points.map(|p| p.id.clone()));
    }
    let named: BTreeSet<&str> = CONTROLS.iter().flat_map(|(_, own)| own.iter().copied()).collect();
    let ours: BTreeSet<&str> = ALL.controls.iter().map(|c| c.id.as_str()).collect();
    assert_eq!(named, ours, "every control of ours stands for one of the fifty, and the other way");
    let missing: Vec<&&str> = ours.iter().filter(|id| !printed.contains(**id)).collect();
    assert!(missing.is_empty(), "no pack prints {missing:?}");
}
