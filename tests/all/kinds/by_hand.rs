//! Lengths, gaps and limits of each kind's job, worked out by hand.

use crate::issuing::pack_of;
use crate::support::{findings, job_text, job_with, judge, judge_edited};
use std::collections::BTreeSet;

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
            ("sheath_cut_from_stud", "990 mm"),
            ("ring_above_crutch", "393 mm"),
            ("test_clearance", "323 mm"),
            ("live_phase_to_phase", "250 mm"),
            ("live_phase_to_earth", "235 mm"),
            ("bare_clearance", "320 mm"),
            ("screen_rating", "8.39 kA"),
            ("standing_voltage", "14.7 V"),
        ],
    );
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

/// A single-core cable has no crutch: its cores are told from the entry, and its
/// outer tube reaches over the sheath. By hand, phase L2: 560 - 60 = 500 to the
/// top of the entry, sheath cut 40 above it, 40 over the sheath, A at 113, and
/// above A the growth and 35 on the barrel.
#[test]
fn single_core_lengths_have_a_datum_that_is_there() {
    let judged = judge("L-0853-P1");
    let (_, sheet, _) = judged.judged.as_ref().expect("a job");
    assert_eq!(sheet.text("tail_l2"), "500 mm");
    let growth = sheet.number("lug.growth").expect("growth");
    let tube = sheet.number("outer_tube_l2").expect("a length");
    assert!((tube - (500.0 - 40.0 + 40.0 - 113.0 + growth + 35.0)).abs() < 1.0, "{tube}");
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
    assert_eq!((pack.release.stops.len(), holds), (7, 17), "stops, points that hold the work");
    assert!(pack.photos.total <= 27, "{} frames", pack.photos.total);
    let steps: Vec<&str> = pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
    let at = |id: &str| steps.iter().position(|s| *s == id).unwrap_or_else(|| panic!("no step {id}"));
    // Dead and proved, interface right, then home, torqued, earthed, then tested.
    assert!(at("B00") < at("Q01") && at("Q02") < at("T102-outdoor"));
    assert!(at("Q06") < at("Q07") && at("Q07") < at("Q08") && at("Q08") < at("Q09"));
    assert!(at("Q09") < at("Z06") && at("Z09") < at("Q11-off"));
    // The adaptor goes on while the earths are still on.
    assert!(at("Z01") < at("Q11") && at("Q11") < at("Z02"));
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

/// One three-core cable below three connectors, by hand from T0: 102 + 5, + 155 to the
/// edge, + 35 to M, + 50 to R; crutch at the tail, 30 and 60 mm to the sheath cut.
#[test]
fn three_core_cable_at_connectors() {
    figures(
        "M-0526-P1",
        &[
            ("stands_free", "yes"),
            ("conductor_bare", "73 mm"),
            ("lug_insulation_end_to_stud", "107 mm"),
            ("semicon_edge_from_stud", "262 mm"),
            ("sct_over_insulation", "90 mm"),
            ("clear_surface", "65 mm"),
            ("sct_lower_from_stud", "287 mm"),
            ("metal_screen_cut_from_stud", "297 mm"),
            ("ring_from_stud", "347 mm"),
            ("stop_above_ring", "58 mm"),
            ("edge_above_free_crutch", "688 mm"),
            ("sheath_cut_from_stud", "1040 mm"),
            // h = 950 - 300, w = 110 - 30.4: (h^2 + w^2) / 4w; 4 r atan(w / h) for h.
            ("free_bend", "1347 mm"),
            ("free_tail_longest", "957 mm"),
        ],
    );
    let (pack, _) = pack_of(job_text("M-0526-P1"));
    let steps: Vec<&str> = pack.method.runs.iter().flat_map(|r| &r.steps).map(|s| s.id.as_str()).collect();
    let at = |id: &str| steps.iter().position(|s| *s == id).unwrap_or_else(|| panic!("no step {id}"));
    // Crutch and breakout are closed before a core is bared; then the connectors.
    let order = ["T301-free", "T302-free", "T303-crutch", "T304-crutch", "T305", "B06-connector", "T307"];
    let order = order.into_iter().chain(["T309-free-cold", "T310-free-cold", "I01", "L04", "Q06", "Q07"]);
    assert!(order.map(at).is_sorted(), "{steps:?}");
    for other in ["T101", "T102-outdoor", "T103", "T105", "T106-cold", "T309-free", "Q10"] {
        assert!(!steps.contains(&other), "{other} is of other work");
    }
    let crutch = job_with("M-0526-P1", "/layout/tail", "450 mm");
    assert!(findings(&judge_edited(crutch)).iter().any(|f| f.starts_with("D01 ") || f.starts_with("B05 ")));
}
