//! Which way round: cores that lean where they start, and a trefoil that is
//! turned, from the job's words to the judged figures.

use crate::support::{findings, job_text, judge_edited};
use cutback::calc;
use cutback::cli::Judged;
use cutback::facts::{self, Sheet};

fn sheet(judged: &Judged) -> &Sheet {
    &judged.judged.as_ref().expect("a job that reads").1
}

fn figure(judged: &Judged, name: &str) -> f64 {
    sheet(judged).number(name).unwrap_or_else(|| panic!("no figure {name}"))
}

fn fires(judged: &Judged, start: &str) -> bool {
    findings(judged).iter().any(|f| f.starts_with(start))
}

/// Three single entries as wide apart as the studs: upright nothing bends.
fn entries(lean: &str, towards: &str) -> Judged {
    let layout = format!("layout:\n  lean: {lean}\n  lean_towards: {towards}\n");
    let text = job_text("D-2201-P4")
        .replace("layout:\n", &layout)
        .replace("stud_pitch: 150 mm", "stud_pitch: 64 mm")
        .replace("entry_pitch: 90 mm", "entry_pitch: 64 mm");
    judge_edited(text)
}

#[test]
fn a_lean_draws_entries_together_until_the_gap_is_short() {
    let upright = entries("0 deg", "left");
    let leaning = entries("15 deg", "left");
    // Tubes of 39 mm, 64 mm apart: 25 mm, which is what the kit asks.
    assert_eq!(sheet(&upright).text("phase_gap"), "25.0 mm");
    assert!(!fires(&upright, "B02 gap"), "{:?}", findings(&upright));
    // At the lower end of the tube the cores still lean: 64 mm along the plate are
    // less than that square to them.
    assert!(figure(&leaning, "phase_gap") < 24.7, "{}", sheet(&leaning).text("phase_gap"));
    assert!(fires(&leaning, "B02 gap asks"), "{:?}", findings(&leaning));
    assert!(!fires(&leaning, "B05 bend"), "it bends no tighter than allowed");
    // Leaning towards the cover leaves the row as wide as it is.
    assert_eq!(sheet(&entries("15 deg", "cover")).text("phase_gap"), "25.0 mm");
}

#[test]
fn a_lean_brings_the_side_it_leans_to_nearer() {
    let at = |towards: &str| entries("15 deg", towards);
    let upright = entries("0 deg", "left");
    let wall = |judged: &Judged| figure(judged, "wall_gap");
    let cover = |judged: &Judged| figure(judged, "cover_gap");
    let back = |judged: &Judged| figure(judged, "back_gap");
    assert!(wall(&at("left")) < wall(&upright) - 10.0);
    assert!((wall(&at("left")) - wall(&at("right"))).abs() < 1e-6);
    // To the other side it loses nothing.
    for (towards, nearer, other) in
        [("cover", cover(&at("cover")), back(&at("cover"))), ("back", back(&at("back")), cover(&at("back")))]
    {
        let (was, kept) = if towards == "cover" {
            (cover(&upright), back(&upright))
        } else {
            (back(&upright), cover(&upright))
        };
        assert!(nearer < was - 10.0, "{towards}: {nearer} of {was}");
        assert!(other > kept - 1e-6, "{towards}: {other} of {kept}");
    }
    // Which wall, and where, follows into the drawing.
    let leaning = at("left");
    let picture = facts::picture(sheet(&leaning)).expect("a picture");
    let wall = picture.gaps.iter().find(|g| g.figure == "wall_gap").expect("the wall's gap");
    assert!(wall.from_mm[0] < 0.0 && wall.ends[0].0 == 1, "{:?}", wall.from_mm);
    // The whole core is drawn as it runs: out by the lean at the entry.
    let foot = picture.phases[1].zones.iter().flat_map(|z| z.outline(facts::Across::Studs));
    let lowest = foot.filter(|p| (p[1] - 60.0).abs() < 8.0).map(|p| p[0]).fold(f64::INFINITY, f64::min);
    assert!(lowest < -25.0, "{lowest}");
    let judged = at("left");
    let short = judge_edited(
        judged.report().sources[0].text().replace("stud_to_wall: 110 mm", "stud_to_wall: 65 mm"),
    );
    assert!(fires(&short, "B03 wall blocks"), "{:?}", findings(&short));
    let upright = judge_edited(
        upright.report().sources[0].text().replace("stud_to_wall: 110 mm", "stud_to_wall: 65 mm"),
    );
    assert!(!fires(&upright, "B03 wall"), "{:?}", findings(&upright));
}

#[test]
fn a_lean_that_no_curve_follows_is_refused_in_words() {
    let said = |judged: &Judged| sheet(judged).text("layout_why").to_string();
    let far = judge_edited(
        job_text("D-2201-P1")
            .replace("layout:\n", "layout:\n  lean: 45 deg\n  lean_towards: left\n")
            .replace("stud_pitch: 150 mm", "stud_pitch: 590 mm"),
    );
    assert!(fires(&far, "B01 layout blocks"), "{:?}", findings(&far));
    assert!(said(&far).contains("begin or end backwards"), "{}", said(&far));
    let no_way = judge_edited(job_text("D-2201-P1").replace("layout:\n", "layout:\n  lean: 5 deg\n"));
    assert!(fires(&no_way, "B02 gap not-judged"), "{:?}", findings(&no_way));
}

/// A single-core cable that leans is longer from its sheath cut to the stud than
/// the heights say.
#[test]
fn lengths_run_along_the_lean() {
    let text = job_text("L-0853-P1");
    let (upright, leaning) = (
        judge_edited(text.clone()),
        judge_edited(text.replace("layout: {", "layout: {lean: 10 deg, lean_towards: back, ")),
    );
    // Entry 60 mm, sheath cut 100 mm above the plate: 40 / cos 10 = 40.62 along it.
    let below = |judged: &Judged| {
        let tail = ["tail_l1", "tail_l2", "tail_l3"]
            .map(|n| figure(judged, n))
            .into_iter()
            .fold(f64::INFINITY, f64::min);
        tail - figure(judged, "sheath_cut_from_stud")
    };
    assert!((below(&leaning) - 40.617_064).abs() < 1e-5, "{}", below(&leaning));
    assert!((below(&upright) - 40.0).abs() < 0.5, "{}", below(&upright));
}

/// By hand. Seen from above with the cover at the bottom of the paper, studs 1 2 3
/// stand from left to right. Untwisted the middle core is the lowest of the three.
/// Anticlockwise by 30 degrees it swings to the right, to 0.29 of a core's diameter
/// beside the middle; the right core swings up behind it and stands as far to the
/// right as it does; the left core swings to the far left. From there L2 and L3 set
/// out from one line and L1 and L2 from 0.87 diameters apart: L2 and L3 come nearer.
#[test]
fn a_trefoil_turns_anticlockwise_seen_from_above() {
    let turned = |deg: &str| {
        judge_edited(job_text("K-0417-P1").replace("trefoil_turn: 0 deg", &format!("trefoil_turn: {deg}")))
    };
    let left_out = turned("30 deg");
    let layout = sheet(&left_out).layout().expect("a layout");
    let d = layout.start.core_dia_mm;
    let foot = |phase: usize| {
        let route = calc::route(layout).expect("possible");
        let arc = route.phases[phase - 1].start_arc_mm;
        calc::point_at(layout, phase, arc).expect("possible").expect("the start")
    };
    // x along the studs from the left, y towards the cover.
    let by_hand = [[-d / 3f64.sqrt(), 0.0], [d / 12f64.sqrt(), d / 2.0], [d / 12f64.sqrt(), -d / 2.0]];
    for (phase, [x, y]) in (1..=3).zip(by_hand) {
        let at = foot(phase);
        assert!((at[0] - x).abs() < 1e-6 && (at[1] - y).abs() < 1e-6, "L{phase}: {at:?}, not {x} {y}");
    }
    assert_eq!(sheet(&left_out).text("phase_gap_pair"), "L2-L3");
    let right_out = turned("-30 deg");
    assert_eq!(sheet(&right_out).text("phase_gap_pair"), "L1-L2");
    // The mirror image: as near, between the other pair.
    let gap = |judged: &Judged| figure(judged, "phase_gap");
    assert!((gap(&left_out) - gap(&right_out)).abs() < 1e-3);
    assert!(gap(&left_out) < gap(&turned("0 deg")) - 1.0);
}
