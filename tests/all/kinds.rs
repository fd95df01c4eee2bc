//! Every kind of work: a sound job of its own, judged, printed within what a
//! releaser and a camera can bear, and a form that issues once it is filled in.

use crate::issuing::{pack_from, pack_of};
use crate::new::filled;
use crate::support::{PRESS, findings, job_text, job_with, judge, judge_edited, judge_with};
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
    ("term-outdoor", "D-1108-P1", &[]),
    ("sep-connector", "M-0508-P1", &[]),
];

fn figures(job: &str, expected: &[(&str, &str)]) {
    let judged = judge(job);
    let (_, sheet, _) = judged.judged.as_ref().unwrap_or_else(|| panic!("{job}: {:?}", findings(&judged)));
    let wrong: Vec<String> = expected
        .iter()
        .filter(|(name, text)| sheet.text(name) != *text)
        .map(|(name, text)| format!("{job}: {name} is {}, by hand {text}", sheet.text(name)))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Findings of a job with one answer written in another way.
fn refused(job: &str, pointer: &str, to: &str) -> Vec<String> {
    findings(&judge_edited(job_with(job, pointer, to)))
}

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
    assert_eq!(apart("K-0417-P1"), ["K09", "B04", "E04", "E05", "E06", "W05"]);
    assert_eq!(apart("D-3314-P1"), ["K09", "E03", "W05", "W06"]);
}

/// Scenario C, by hand: lug 95 + 2 and 150 + 2, exposed 350, screen left 45, the
/// body's stress control 245 with 35 on the screen.
#[test]
fn single_core_at_33_kv() {
    figures(
        "D-3314-P1",
        &[
            ("conductor_bare", "97 mm"),
            ("lug_insulation_end_to_stud", "152 mm"),
            ("semicon_edge_from_end", "447 mm"),
            ("metal_screen_cut_from_end", "492 mm"),
            ("semicon_edge_from_stud", "502 mm"),
            ("sct_upper_from_stud", "292 mm"),
            ("sct_lower_from_stud", "537 mm"),
            ("sct_over_insulation", "210 mm"),
            ("clear_surface", "140 mm"),
            ("stop_above_ring", "60 mm"),
            ("edge_above_plate", "528.0 mm"),
            ("tube_above_plate", "493.0 mm"),
            ("lower_step_above_plate", "613 mm"),
            ("phase_gap", "234.0 mm"),
            ("wall_gap", "227.0 mm"),
            ("sheath_cut_from_stud", "1030 mm"),
            ("ring_above_crutch", "433 mm"),
            ("test_clearance", "323 mm"),
            ("live_phase_to_phase", "250 mm"),
            ("live_phase_to_earth", "235 mm"),
            ("bare_clearance", "320 mm"),
            ("screen_rating", "8.39 kA"),
            ("standing_voltage", "14.7 V"),
        ],
    );
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

/// Scenario B, by hand: 1850 m gives a factor of exp(850/8150) = 1.110; 53.7 mm/kV
/// times 12/sqrt(3) kV is 372.04 mm.
#[test]
fn pole_top_at_altitude() {
    figures(
        "D-1106-P2",
        &[
            ("altitude_factor", "1.110"),
            ("impulse_needed", "105.4 kV"),
            ("creepage_needed", "373 mm"),
            ("bare_clearance", "220 mm"),
            ("conductor_bare", "65 mm"),
            ("lug_insulation_end_to_stud", "95 mm"),
            ("semicon_edge_from_end", "445 mm"),
            ("metal_screen_cut_from_end", "475 mm"),
            ("semicon_edge_from_stud", "475 mm"),
            ("sct_upper_from_stud", "335 mm"),
            ("sct_lower_from_stud", "495 mm"),
            ("sct_over_insulation", "140 mm"),
            ("clear_surface", "240 mm"),
            ("cover_worst_kit", "132.0 mm"),
            ("cover_worst", "127.0 mm"),
            ("screen_rating", "4.15 kA"),
            ("test_clearance", "108 mm"),
            ("approach_distance", "1152 mm"),
            ("outdoor_phase_gap", "569.0 mm"),
        ],
    );
    let judged = judge_edited(job_with("D-1106-P2", "/site/pollution_class", "d"));
    let (_, sheet, _) = judged.judged.as_ref().expect("a job");
    assert_eq!(sheet.text("creepage_needed"), "300 mm");
}

/// Scenario D, by hand: connector 60 + 5, tube 400, body 460, sleeve 1450 over cuts
/// of 760 and 440.
#[test]
fn joint_from_its_centre() {
    figures(
        "D-0627-P1",
        &[
            ("insulation_cut_from_c0", "65 mm"),
            ("exposed_each_side", "115 mm"),
            ("joint_screen_left", "30 mm"),
            ("tube_end_from_c0", "200 mm"),
            ("tube_overlap_each_side", "20 mm"),
            ("tube_end_low", "195 mm"),
            ("body_end_from_c0", "230 mm"),
            ("body_overlap_each_side", "20 mm"),
            ("crutch_from_c0_x", "700 mm"),
            ("park_clear", "470 mm"),
            ("longest_parked", "460 mm"),
            ("sleeve_overlap_each_side", "125 mm"),
            ("sleeve_centre_from_c0", "160 mm"),
            ("sleeve_end_x", "885 mm"),
            ("sleeve_end_y", "565 mm"),
            ("screen_rating", "1.36 kA"),
            ("parked_on_cable", "3"),
            ("parked_on_core", "2"),
        ],
    );
}

/// Existing cable: identified under its own document before anything cuts, and the
/// parts counted before any connector.
#[test]
fn identified_before_cut_parked_before_connector() {
    let (pack, _) = pack_of(job_text("D-0627-P1"));
    let steps: Vec<_> = pack.method.runs.iter().flat_map(|r| r.steps.iter().map(move |s| (r, s))).collect();
    let at = |id: &str| steps.iter().position(|(_, s)| s.id == id).unwrap_or_else(|| panic!("no step {id}"));
    assert_eq!(steps[at("X03")].0.document, "identification");
    assert!(at("X03") < at("X04") && at("X04") < at("X05") && at("X05") < at("J02"));
    assert_eq!(steps[at("X04")].1.control.as_ref().map(|c| c.id.as_str()), Some("cable-identified"));
    assert!(at("J06") < at("J08"));
    assert!(pack.hazards.iter().any(|h| h.id == "identify-cut"));
    // A new cable has none of it, an end of an old one has.
    let (new, _) = pack_of(job_text("G-0733-P1"));
    assert!(new.method.runs.iter().all(|r| r.document != "identification"));
    let old = job_with("K-0417-P1", "/work/cuts_existing_cable", "yes");
    assert_eq!(findings(&judge_edited(old.clone())), ["W05 identification blocks"]);
    let (old, _) = pack_of(old);
    assert!(old.method.runs.iter().any(|r| r.document == "identification"));
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
    assert!(refused(job, "/crew/1/pole_rescue", "no").contains(&"R01 crew blocks".into()));
    assert!(refused(job, "/layout/screen_left", "40 mm").contains(&"D01 ring blocks".into()));
    let (pack, _) = pack_of(job_text(job));
    let hazards: BTreeSet<&str> = pack.hazards.iter().map(|h| h.id.as_str()).collect();
    for wanted in ["height", "overhead-earths", "weather", "induced", "adjacent-live"] {
        assert!(hazards.contains(wanted), "no hazard {wanted}");
    }
}

/// A body is set by its stop tape: no tube steps, no flame, six readings.
#[test]
fn bodies_are_seated_not_shrunk() {
    for job in ["D-3314-P1", "N-0316-P1"] {
        let (pack, _) = pack_of(job_text(job));
        let ids: BTreeSet<&str> =
            pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
        assert!(ids.contains("CT02") && ids.contains("CT07") && ids.contains("I06-six"), "{job}");
        assert!(!ids.iter().any(|id| id.starts_with("HT04") || id.starts_with("HT05")), "{job}");
        assert!(!pack.hazards.iter().any(|h| h.id == "gas-torch"), "{job}");
    }
    let (slip, _) = pack_of(job_text("N-0316-P1"));
    let filler = slip.pocket.figures.iter().find(|f| f.name == "filler").expect("a line about filler");
    assert_eq!(filler.text, "none, built in");
}

/// A single-core cable has no crutch: its cores are told from the entry, and its
/// outer tube reaches over the sheath. By hand, phase L2: 560 - 60 = 500 to the
/// top of the entry, sheath cut 20 above it, 40 over the sheath, A at 113, and
/// above A the growth and 35 on the barrel.
#[test]
fn single_core_lengths_have_a_datum_that_is_there() {
    let judged = judge("L-0853-P1");
    let (_, sheet, _) = judged.judged.as_ref().expect("a job");
    assert_eq!(sheet.text("tail_l2"), "500 mm");
    let growth = sheet.number("lug.growth").expect("growth");
    let tube = sheet.number("outer_tube_l2").expect("a length");
    assert!((tube - (500.0 - 20.0 + 40.0 - 113.0 + growth + 35.0)).abs() < 1.0, "{tube}");
    let (pack, _) = pack_of(job_text("L-0853-P1"));
    let notes = pack.drawings.iter().flat_map(|d| &d.notes).cloned().collect::<Vec<_>>().join(" ");
    assert!(notes.contains("top of the entry fitting to T0") && !notes.contains("crutch K"), "{notes}");
}

/// A three-core cable up a pole, by hand: lug 90 + 5, exposed 300, screen left 30,
/// ring 50 below; tail 1000 from the crutch. Outer core aside by 450 - 21 over
/// 1000 - 425 of height: (575^2 + 429^2) / (4 x 429) = 299.9; each of its two arcs
/// turns through 2 atan(429 / 575), so the tail is 425 + 4 x 299.9 x 0.6407 = 1193.7.
#[test]
fn three_core_cable_outdoors() {
    figures(
        "D-1108-P1",
        &[
            ("stands_free", "yes"),
            ("lug_insulation_end_to_stud", "95 mm"),
            ("semicon_edge_from_stud", "395 mm"),
            ("metal_screen_cut_from_stud", "425 mm"),
            ("ring_from_stud", "475 mm"),
            ("edge_above_free_crutch", "605 mm"),
            ("ring_above_crutch", "525 mm"),
            ("sheath_cut_from_stud", "1060 mm"),
            ("free_bend", "300 mm"),
            ("free_bend_least", "168 mm"),
            ("free_tail_longest", "1194 mm"),
            ("creepage_needed", "241 mm"),
            ("sct_over_insulation", "100 mm"),
        ],
    );
    let (pack, _) = pack_of(job_text("D-1108-P1"));
    let ids: BTreeSet<&str> = pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
    for own in ["T301-free", "T302-free", "T303-crutch", "T305", "T307", "T309-free", "T310-free", "OD07"] {
        assert!(ids.contains(own), "no step {own}");
    }
    for other in ["T101", "T102-outdoor", "T105", "T106", "T309-free-cold"] {
        assert!(!ids.contains(other), "{other} is of a single-core cable");
    }
    let (single, _) = pack_of(job_text("D-1106-P2"));
    let ids: BTreeSet<&str> =
        single.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
    assert!(ids.contains("T101") && ids.contains("T102-outdoor") && !ids.contains("T305"), "{ids:?}");
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

/// Screened connectors, by hand: contact 98 + 5, exposed 150, screen left 30, ring
/// 50 below; reducer 110 long with 25 on the screen.
#[test]
fn screened_connectors() {
    figures(
        "M-0508-P1",
        &[
            ("conductor_bare", "70 mm"),
            ("lug_insulation_end_to_stud", "103 mm"),
            ("semicon_edge_from_stud", "253 mm"),
            ("sct_over_insulation", "85 mm"),
            ("clear_surface", "65 mm"),
            ("sct_lower_from_stud", "278 mm"),
            ("metal_screen_cut_from_stud", "283 mm"),
            ("ring_from_stud", "333 mm"),
            ("stop_above_ring", "55 mm"),
            ("sheath_cut_from_stud", "403 mm"),
        ],
    );
    let (pack, _) = pack_of(job_text("M-0508-P1"));
    let holds = pack.release.stops.iter().flat_map(|s| &s.points).filter(|p| p.letter == "H").count();
    assert_eq!((pack.release.stops.len(), holds), (7, 16), "stops, points that hold the work");
    assert!(pack.photos.total <= 27, "{} frames", pack.photos.total);
    let steps: Vec<&str> = pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
    let at = |id: &str| steps.iter().position(|s| *s == id).unwrap_or_else(|| panic!("no step {id}"));
    // Dead and proved, interface right, then home, torqued, earthed, then tested.
    assert!(at("B00") < at("Q01") && at("Q02") < at("T102-outdoor"));
    assert!(at("Q06") < at("Q07") && at("Q07") < at("Q08") && at("Q08") < at("Q09"));
    assert!(at("Q09") < at("Z06") && at("Z02") < at("Q11") && at("Z09") < at("Q11-off"));
    assert!(steps.contains(&"Q10"), "open bushings get their caps");
    let (none, _) = pack_of(job_with("M-0508-P1", "/enclosure/bushing/open", "0"));
    assert!(none.method.runs.iter().flat_map(|r| &r.steps).all(|s| s.id != "Q10"));
    // Three cores at the same bushings: breakout and tails in place of sheath ends.
    let three = job_text("M-0508-P1")
        .replace("cores: 1", "cores: 3")
        .replace("screen_left: 120 mm,", "tail: 900 mm,")
        .replace("kind: copper-wire", "kind: copper-tape");
    let judged = judge_edited(three.clone());
    let found = findings(&judged);
    assert!(found.contains(&"K07 cores blocks".to_string()), "the kit is for single-core: {found:?}");
    let (_, sheet, _) = judged.judged.as_ref().expect("a job");
    // (900 - 320)^2 + (120 - 30.6)^2 over 4 x 89.4.
    assert_eq!(sheet.text("free_bend"), "963 mm");
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
    for code in ["B01", "B02", "B03", "B04", "D04", "K09"] {
        assert!(apart(job).contains(&code.to_string()), "{code} has nothing to judge here");
    }
}

fn order(pack: &Pack) -> Vec<(String, String)> {
    let runs = pack.method.runs.iter();
    runs.flat_map(|r| r.steps.iter().map(|s| (s.id.clone(), r.document.clone()))).collect()
}

fn said(pack: &Pack, id: &str) -> String {
    let step = pack.method.runs.iter().flat_map(|r| &r.steps).find(|s| s.id == id).expect("the step");
    let text = |s: &Segment| match s {
        Segment::Words(t) | Segment::Figure(t) | Segment::Cut(t) | Segment::Blank(t) => t.clone(),
    };
    step.text.iter().map(text).collect()
}

/// A test lead goes on a cable that has been in service only once the permit has
/// shown it dead; the test then has its own document, and the permit is taken again.
#[test]
fn a_test_before_the_work_has_its_own_document() {
    let ordered = "\"test document, issued by the control engineer\"";
    let with = |job: &str| pack_of(job_with(job, "/documents/before_work_test", ordered)).0;
    for (job, first) in [("D-0627-P1", "S05-joint"), ("D-1106-P2", "OD03")] {
        let pack = with(job);
        let steps = order(&pack);
        let at = |id: &str| steps.iter().position(|s| s.0 == id).unwrap_or_else(|| panic!("{job}: no {id}"));
        assert_eq!(steps[at("S13-readings")].1, "test", "{job}");
        assert!(at("S03") < at(first) && at(first) < at("S13-back"), "{job}");
        assert!(at("S14") < at("S03-before"), "{job}");
        assert_eq!(steps[at("S03-before")].1, "permit", "{job}");
        assert!(!steps.iter().any(|s| s.0 == "S13"), "{job}");
        let documents = &pack.isolation.order;
        let permits = documents.iter().filter(|l| l.document == "permit").count();
        assert_eq!(permits, 3, "{job}: before the test, after it, after the last test");
        assert!(pack.release.stops.len() <= 8 && pack.photos.total <= 36, "{job}");
    }
    // A new cable is tested before the permit is taken, as before.
    let new = with("K-0417-P1");
    let steps = order(&new);
    let at = |id: &str| steps.iter().position(|s| s.0 == id).expect("a step");
    assert!(at("S14") < at("S03") && !steps.iter().any(|s| s.0 == "S13-back" || s.0 == "S03-before"));
    // The expected figures stand beside the blank, at their temperature.
    let mut points = new.method.runs.iter().flat_map(|r| &r.steps).filter_map(|s| s.control.as_ref());
    let screen = &points.find(|p| p.id == "pre-test").expect("the point").measures[2];
    assert_eq!(screen.limits, "1.018 to 1.527 ohm");
    assert!(screen.name.contains("at 12 C"), "{}", screen.name);
    let row = new.tests.rows.iter().find(|r| r.name.starts_with("conductor loops")).expect("a row");
    assert_eq!(row.limits, "write it down; 0.154 ohm or less at 12 C");
}

/// Where the kit's sheet puts the lug on after the body, its steps and its point move.
#[test]
fn a_lug_may_go_on_after_the_body() {
    for job in ["N-0316-P1", "D-3314-P1"] {
        let (usual, _) = pack_of(job_text(job));
        let judged = judge_with(job, "kit.lug_after_body", "yes");
        assert_eq!(judged.report().open(), 0, "{job}");
        let (last, _) = pack_from(&judged);
        let place = |pack: &Pack, id: &str| order(pack).iter().position(|s| s.0 == id).expect("a step");
        assert!(place(&usual, "L04") < place(&usual, "CT02"), "{job}");
        assert!(place(&last, "CT07") < place(&last, "L01"), "{job}");
        assert!(place(&last, "L05") < place(&last, "CT08"), "{job}");
        let stop = |pack: &Pack| {
            let mut stops = pack.release.stops.iter();
            let lug = stops.find(|s| s.points.iter().any(|p| p.title.starts_with("Right lug")));
            lug.expect("the lug's stop").number.clone()
        };
        assert_eq!((stop(&usual), stop(&last)), ("4".into(), "6".into()), "{job}");
        assert_eq!(last.release.stops.len(), usual.release.stops.len());
        assert_eq!(last.photos.total, usual.photos.total);
    }
}

/// The sheath test of a circuit bonded at one point says which leads are lifted; a
/// joint has a torque a palm at each end of the circuit.
#[test]
fn sheath_test_and_torque_name_their_end() {
    let (single, _) = pack_of(job_text("D-3314-P1"));
    let text = said(&single, "Z04");
    assert!(text.contains("leads lifted: screens off"), "{text}");
    let (three, _) = pack_of(job_text("K-0417-P1"));
    assert!(said(&three, "Z04").contains("armour and screens off earth"));
    for (kind, job, _) in KINDS.iter().filter(|k| k.0.starts_with("joint")) {
        let judged = judge(job);
        let (_, sheet, _) = judged.judged.as_ref().expect("a job");
        let (pack, _) = pack_of(job_text(job));
        // A sentence with a condition in it follows the job.
        let pressed = sheet.text("connection") == "pressed";
        assert_eq!(said(&pack, "J08").contains("Press by the connector's sheet"), pressed, "{kind}");
        let one = sheet.text("cable.cores") == "1";
        assert_eq!(said(&pack, "JF01").contains("Bonding here"), one, "{kind}");
        let measures = pack
            .method
            .runs
            .iter()
            .flat_map(|r| &r.steps)
            .filter_map(|s| s.control.as_ref())
            .filter(|p| p.id == "ends-back")
            .flat_map(|p| &p.measures);
        let torque: Vec<_> =
            measures.filter(|m| m.unit == "N.m").map(|m| (m.name.as_str(), m.cells)).collect();
        if !torque.is_empty() {
            let sides =
                [("torque, palms of the end on side X", 3), ("torque, palms of the end on side Y", 3)];
            assert_eq!(torque, sides, "{kind}");
        }
    }
}
