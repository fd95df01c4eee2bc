//! Scenario A, four plans of one end. Every figure here was worked by hand
//! from the kit, lug, cable and box of the demo library, and the geometry
//! compared with the published layout vectors in `tests/vectors`.

use crate::support::{findings, judge};

fn texts(job: &str, expected: &[(&str, &str)]) {
    let judged = judge(job);
    let (_, sheet, _) = judged.judged.as_ref().unwrap_or_else(|| panic!("{job}: {:?}", findings(&judged)));
    let wrong: Vec<String> = expected
        .iter()
        .filter(|(name, text)| sheet.text(name) != *text)
        .map(|(name, text)| format!("{job}: {name} is {}, by hand {text}", sheet.text(name)))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn p1_figures() {
    texts(
        "D-2201-P1",
        &[
            ("dia_outer_at_edge", "39.0 mm"),
            ("conductor_bare", "75 mm"),
            ("lug_insulation_end_to_stud", "110 mm"),
            ("lug_end_offset", "35 mm"),
            ("semicon_edge_from_end", "345 mm"),
            ("metal_screen_cut_from_end", "385 mm"),
            ("semicon_edge_from_stud", "380 mm"),
            ("sct_upper_from_stud", "200 mm"),
            ("sct_lower_from_stud", "400 mm"),
            ("sct_over_insulation", "180 mm"),
            ("clear_surface", "90 mm"),
            // Ring R 35 mm under the screen cut: 50 mm would lie below the crutch.
            ("ring_from_stud", "455 mm"),
            ("sct_lower_above_ring", "55 mm"),
            ("edge_above_ring", "75 mm"),
            ("sct_upper_above_ring", "255 mm"),
            ("insulation_cut_above_ring", "345 mm"),
            ("ring_above_crutch", "5 mm"),
            ("level_height_straight", "98.3 mm"),
            ("level_height", "124.5 mm"),
            ("level_gap_straight", "18.7 mm"),
            ("level_gap", "6.2 mm"),
            ("phase_gap", "0.9 mm"),
            ("phase_gap_live", "8.1 mm"),
            ("phase_gap_former", "0.1 mm"),
            ("phase_gap_bound", "9.1 mm"),
            ("bend_as_it_lies", "208 mm"),
            ("bend_former", "286 mm"),
            ("tail_l1", "484 mm"),
            ("tail_l2", "460 mm"),
            ("tail_l3", "484 mm"),
            ("chain_height", "510 mm"),
            ("chain_spare", "10 mm"),
            ("edge_above_plate", "140.0 mm"),
            ("tube_above_plate", "120.0 mm"),
            ("edge_to_crutch", "80.0 mm"),
            ("wall_gap", "93.2 mm"),
            ("cover_worst_kit", "170.0 mm"),
            ("cover_worst", "165.0 mm"),
            ("cover_likely_worst", "169.4 mm"),
            ("bare_clearance", "220 mm"),
            ("live_phase_to_phase", "120 mm"),
            ("live_phase_to_earth", "95 mm"),
            ("altitude_factor", "1.000"),
            ("tube_band_low", "172.7 mm"),
            ("tube_band_high", "227.3 mm"),
            ("tube_suits", "22 kV"),
            ("tube_class", "ok"),
        ],
    );
}

#[test]
fn p2_figures() {
    texts(
        "D-2201-P2",
        &[
            ("semicon_edge_from_stud", "355 mm"),
            ("sct_upper_from_stud", "175 mm"),
            ("sct_lower_from_stud", "375 mm"),
            ("clear_surface", "65 mm"),
            ("edge_to_crutch", "105.0 mm"),
            ("level_gap_straight", "27.3 mm"),
            ("level_gap", "16.1 mm"),
            ("phase_gap", "8.1 mm"),
            ("phase_gap_former", "7.0 mm"),
            ("phase_gap_bound", "24.8 mm"),
            ("bend_as_it_lies", "208 mm"),
            ("chain_height", "485 mm"),
            ("chain_spare", "35 mm"),
            ("tube_above_plate", "145.0 mm"),
            ("clear_worst_kit", "55.0 mm"),
        ],
    );
}

#[test]
fn p3_figures() {
    texts(
        "D-2201-P3",
        &[
            ("semicon_edge_from_stud", "315 mm"),
            ("sct_upper_from_stud", "195 mm"),
            ("sct_lower_from_stud", "345 mm"),
            ("sct_over_insulation", "120 mm"),
            ("clear_surface", "85 mm"),
            ("edge_to_crutch", "145.0 mm"),
            ("level_height_straight", "115.9 mm"),
            ("level_height", "136.6 mm"),
            ("level_gap_straight", "29.9 mm"),
            ("level_gap", "24.3 mm"),
            ("chain_height", "435 mm"),
            ("phase_gap", "16.4 mm"),
            ("phase_gap_former", "15.5 mm"),
            ("phase_gap_bound", "49.1 mm"),
            ("tube_above_plate", "175.0 mm"),
        ],
    );
}

#[test]
fn p4_figures() {
    texts(
        "D-2201-P4",
        &[
            ("edge_above_plate", "100.0 mm"),
            ("tube_above_plate", "80.0 mm"),
            ("lower_step_above_plate", "120 mm"),
            ("level_gap", "61.2 mm"),
            ("phase_gap", "58.5 mm"),
            ("phase_gap_bound", "80.8 mm"),
            ("wall_gap", "93.2 mm"),
            // The tighter of the two bends: 462 in the box, 417 below the plate.
            ("bend_as_it_lies", "417 mm"),
            ("bend_place", "below the plate"),
            ("tail_l1", "882 mm"),
            ("tail_l2", "870 mm"),
            ("tail_l3", "882 mm"),
            ("sheath_cut_from_stud", "930 mm"),
            ("ring_from_stud", "470 mm"),
            ("sct_lower_above_ring", "70 mm"),
            ("edge_above_ring", "90 mm"),
            ("sct_upper_above_ring", "270 mm"),
            ("insulation_cut_above_ring", "360 mm"),
            ("chain_height", "480 mm"),
            ("test_clearance", "204 mm"),
            ("edge_above_ring_low", "88 mm"),
            ("edge_above_ring_high", "92 mm"),
            ("sct_lower_above_ring_low", "67 mm"),
            ("sct_upper_above_ring_low", "260 mm"),
            ("sct_upper_above_ring_high", "283 mm"),
            ("filler_low_above_ring_low", "77 mm"),
            ("filler_high_above_ring_high", "103 mm"),
            // Geometry alone 60 to 204, 47, 50; narrowed by bare metal with boots.
            ("window_height_least", "480 mm"),
            ("window_height_most", "none within 200 mm"),
            ("window_pitch_least", "110 mm"),
            ("window_pitch_most", "204 mm"),
            ("window_wall_least", "75 mm"),
            ("window_cover_least", "75 mm"),
            ("gauge_bare", "34 mm"),
            ("live_gap_phase_needed", "80 mm"),
            ("live_gap_earth_needed", "60 mm"),
        ],
    );
}

#[test]
fn verdicts_of_the_four_plans() {
    let advice = ["T01 palms advises", "W06 flame advises"];
    let expected: [(&str, &[&str], usize); 4] = [
        (
            "D-2201-P1",
            &["B02 gap blocks", "B04 live asks", "B05 bend asks", "D02 cover asks", advice[0], advice[1]],
            4,
        ),
        (
            "D-2201-P2",
            &[
                "B02 gap blocks",
                "B04 live asks",
                "B05 bend asks",
                "D02 clear asks",
                "D02 cover asks",
                advice[0],
                advice[1],
            ],
            5,
        ),
        // Slip-on: no flame; the bore is within 1 mm of the kit's range.
        ("D-2201-P3", &["B02 gap asks", "B04 live asks", "B05 bend asks", "K05 range advises", advice[0]], 3),
        ("D-2201-P4", &["B04 live asks accepted", "D02 cover asks accepted", advice[0], advice[1]], 0),
    ];
    for (job, list, open) in expected {
        let judged = judge(job);
        assert_eq!(findings(&judged), list.iter().map(|s| (*s).to_string()).collect::<Vec<_>>(), "{job}");
        assert_eq!(judged.report().open(), open, "{job}");
        let (_, _, judgement) = judged.judged.as_ref().expect("judged");
        let asked = judgement.judged.len() + judgement.apart.len();
        assert_eq!((asked, judgement.not_built(), judgement.total), (45, 0, 45), "{job}");
    }
}

/// Blocked by 0.2 mm: the figures print so that the shortfall shows.
#[test]
fn p2_is_short_by_a_hair_and_says_so() {
    let judged = judge("D-2201-P2");
    let (_, _, judgement) = judged.judged.as_ref().expect("judged");
    let finding = judgement.findings.iter().find(|f| f.code == "B02").expect("B02");
    assert!(finding.message.contains("most any dressing gives 24.8 mm"), "{}", finding.message);
    assert!(finding.message.contains("least allowed 25 mm"), "{}", finding.message);
    assert_eq!(finding.margin.as_deref(), Some("-16.9 mm"));
}

/// Page 10, C1 and C2: common practice, no source.
#[test]
fn tube_lengths_of_common_practice() {
    let at_22 = |tube: &str, low: &str, high: &str| {
        let text = crate::support::job_text("D-2201-P4").replace("nominal: 20 kV", "nominal: 22 kV");
        let kit = std::fs::read_to_string(crate::support::root().join("jobs/library/kits/ZQ24-3I-240.yaml"))
            .expect("the kit")
            .replace("recovered: 200 mm", &format!("recovered: {tube}"))
            .replace("recovered_least: 190 mm", &format!("recovered_least: {low}"))
            .replace("recovered_most: 210 mm", &format!("recovered_most: {high}"));
        let library = crate::support::library().with(cutback::job::schema::Shelf::Kits, "ZQ24-3I-240", kit);
        cutback::cli::judge_text("job.yaml", text, &library, &crate::support::BOOK, &crate::support::PRESS)
    };
    let short = at_22("90 mm", "85 mm", "95 mm");
    let (_, _, judgement) = short.judged.as_ref().expect("judged");
    let finding = judgement.findings.iter().find(|f| f.code == "D04").expect("D04");
    assert!(finding.grade == cutback::finding::Grade::Blocks, "90 mm at 22 kV is refused");
    assert!(finding.message.contains("suits 6.6 kV"), "{}", finding.message);
    let right = at_22("190 mm", "185 mm", "195 mm");
    let (_, _, judgement) = right.judged.as_ref().expect("judged");
    assert!(!judgement.findings.iter().any(|f| f.code == "D04"), "190 mm at 22 kV is right");
    let between = at_22("150 mm", "145 mm", "155 mm");
    let (_, _, judgement) = between.judged.as_ref().expect("judged");
    let finding = judgement.findings.iter().find(|f| f.code == "D04").expect("D04");
    assert!(finding.grade == cutback::finding::Grade::Asks, "150 mm is accepted only by the sheet");
    assert!(finding.message.contains("suits 11 kV"), "{}", finding.message);
}

/// With figures that are not whole, what is printed still adds up: one rounding
/// of the whole chain, not one a figure.
#[test]
fn the_printed_chain_closes_with_broken_figures() {
    let root = crate::support::root();
    let lug = std::fs::read_to_string(root.join("jobs/library/lugs/ZL-AL185-12B.yaml"))
        .expect("the lug")
        .replace("barrel_depth: 70 mm", "barrel_depth: 70.4 mm")
        .replace("mouth_to_hole: 105 mm", "mouth_to_hole: 105.3 mm")
        .replace("growth: 5 mm", "growth: 5.4 mm");
    let kit = std::fs::read_to_string(root.join("jobs/library/kits/ZQ24-3I-240.yaml"))
        .expect("the kit")
        .replace("  recovered: 200 mm", "  recovered: 200.7 mm")
        .replace("over_semicon: 20 mm", "over_semicon: 20.4 mm")
        .replace("semicon_left: 40 mm", "semicon_left: 40.4 mm");
    let library = crate::support::library()
        .with(cutback::job::schema::Shelf::Lugs, "ZL-AL185-12B", lug)
        .with(cutback::job::schema::Shelf::Kits, "ZQ24-3I-240", kit);
    let text = crate::support::job_text("D-2201-P4")
        .replace("insulation_exposed: 270 mm", "insulation_exposed: 269.6 mm");
    let judged =
        cutback::cli::judge_text("job.yaml", text, &library, &crate::support::BOOK, &crate::support::PRESS);
    let (_, sheet, _) = judged.judged.as_ref().expect("judged");
    let mm = |name: &str| -> i64 {
        let text = sheet.text(name);
        text.trim_end_matches(" mm").parse().unwrap_or_else(|_| panic!("{name} prints {text}"))
    };
    assert_eq!(mm("sct_upper_from_stud"), mm("lug_insulation_end_to_stud") + mm("clear_surface"));
    assert_eq!(mm("semicon_edge_from_stud"), mm("sct_upper_from_stud") + mm("sct_over_insulation"));
    assert_eq!(mm("lug_insulation_end_to_stud"), mm("lug_end_offset") + mm("conductor_bare"));
    assert_eq!(mm("ring_from_stud"), mm("semicon_edge_from_stud") + mm("edge_above_ring"));
    assert_eq!(mm("ring_from_stud"), mm("lug_end_offset") + mm("ring_from_end"));
    assert_eq!(mm("ring_from_stud"), mm("sct_lower_from_stud") + mm("sct_lower_above_ring"));
    assert_eq!(mm("ring_from_stud"), mm("sct_upper_from_stud") + mm("sct_upper_above_ring"));
    assert_eq!(mm("ring_from_end"), mm("semicon_edge_from_end") + mm("edge_above_ring"));
    assert_eq!(sheet.text("insulation_exposed"), "269.6 mm", "a chosen figure prints as chosen");
}
