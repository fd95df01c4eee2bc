//! Properties of the calculating room that hold for any layout and any figure.

mod figures;
mod gap;
mod search;

use crate::support::Dice;
use cutback::calc;

/// A layout a site could have, in a box of any height.
fn plausible(dice: &mut Dice) -> calc::Layout {
    let d = dice.between(20.0, 60.0);
    let tube = d + dice.between(2.0, 15.0);
    let over_insulation = dice.between(0.0, 220.0);
    let entries = dice.below(2) == 0;
    let mut map = [1, 2, 3];
    if dice.below(4) == 0 {
        map.swap(dice.below(3), dice.below(3));
    }
    let some = |on: bool, v: f64| on.then_some(v);
    calc::Layout {
        box_: calc::BoxSize {
            gland_to_stud_mm: dice.between(400.0, 1200.0),
            stud_pitch_mm: dice.between(70.0, 320.0),
            stud_to_wall_mm: Some(dice.between(20.0, 300.0)),
            stud_to_cover_mm: Some(dice.between(20.0, 300.0)),
            stud_to_back_mm: Some(dice.between(20.0, 300.0)),
        },
        start: calc::Start {
            kind: if entries { calc::StartKind::Entries } else { calc::StartKind::Crutch },
            arrangement: Some(match dice.below(2) {
                0 => calc::Arrangement::Row,
                _ => calc::Arrangement::Trefoil,
            }),
            rotation_deg: some(dice.below(2) == 0, dice.between(-180.0, 180.0)),
            core_dia_mm: d,
            crutch_height_mm: some(!entries, dice.between(0.0, 120.0)),
            entry_pitch_mm: some(entries, dice.between(60.0, 200.0)),
            entry_height_mm: some(entries, dice.between(0.0, 120.0)),
            crutch_below_plate_mm: some(entries && dice.below(2) == 0, dice.between(50.0, 600.0)),
            lean_deg: None,
            lean_towards_deg: None,
        },
        core_to_stud: map,
        lug_insulation_end_to_stud_mm: dice.between(0.0, 160.0),
        insulation_exposed_mm: over_insulation + dice.between(10.0, 120.0),
        sct_over_insulation_mm: over_insulation,
        sct_over_semicon_mm: dice.between(0.0, 45.0),
        semicon_left_mm: dice.between(0.0, 80.0),
        dia: calc::Diameters {
            below_tube_mm: d + dice.between(0.0, 6.0),
            tube_mm: tube,
            clear_mm: tube - dice.between(0.5, 6.0),
        },
        limits: calc::Limits {
            phase_gap_min_mm: 25.0,
            earth_gap_min_mm: 30.0,
            edge_to_plate_min_mm: 60.0,
            edge_to_crutch_min_mm: 70.0,
            min_bend_core_mm: Some(dice.between(100.0, 400.0)),
            min_bend_ref: Some(calc::BendRef::Axis),
        },
    }
}

/// The same with cable and cores that lean where they pass the plate.
fn leaning(dice: &mut Dice) -> calc::Layout {
    let mut layout = plausible(dice);
    layout.start.lean_deg = Some(dice.between(0.5, 40.0));
    layout.start.lean_towards_deg = Some(dice.between(0.0, 360.0));
    layout
}

/// As many upright ones and half as many that lean.
fn accepted_of_both(dice: &mut Dice, count: usize) -> Vec<calc::Layout> {
    let mut out = accepted_layouts(dice, count);
    while out.len() < count + count / 2 {
        let layout = leaning(dice);
        if layout.check().is_ok() {
            out.push(layout);
        }
    }
    out
}

/// Seen in a mirror that stands along the row of studs.
fn mirrored(layout: &calc::Layout) -> calc::Layout {
    let mut mirror = *layout;
    let [left, middle, right] = layout.core_to_stud;
    mirror.core_to_stud = [4 - right, 4 - middle, 4 - left];
    mirror.start.rotation_deg = layout.start.rotation_deg.map(|turn| -turn);
    mirror.start.lean_towards_deg = layout.start.lean_towards_deg.map(|way| 180.0 - way);
    mirror
}

fn accepted_layouts(dice: &mut Dice, count: usize) -> Vec<calc::Layout> {
    let mut out = Vec::new();
    while out.len() < count {
        let layout = plausible(dice);
        if layout.check().is_ok() {
            out.push(layout);
        }
    }
    out
}

fn near(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-3,
        (a, b) => a == b,
    }
}

#[test]
fn judging_quickly_gives_the_same_words() {
    let mut dice = Dice(0x1dea);
    for layout in accepted_of_both(&mut dice, 100) {
        let full = calc::judgement(&layout).expect("accepted");
        let quick = calc::verdicts(&layout).expect("accepted");
        let words = [quick.j14, quick.j15, quick.j16, quick.j19];
        let full_words = [full.j14.verdict, full.j15.verdict, full.j16.verdict, full.j19.verdict];
        assert_eq!(words, full_words, "{layout:?}");
        assert_eq!(quick.clean(), full.clean);
    }
}

/// A limit just under or just over the gap itself is where quick and full
/// judging could part.
#[test]
fn judging_quickly_holds_at_the_edge() {
    let mut dice = Dice(0xed6e);
    for mut layout in accepted_of_both(&mut dice, 60) {
        let gap = calc::sbend_gap(&layout).expect("accepted").gap_mm;
        for off in [-0.5, -2e-3, 2e-3, 0.5] {
            layout.limits.phase_gap_min_mm = gap + off;
            let full = calc::judgement(&layout).expect("accepted").j15.verdict;
            assert_eq!(calc::verdicts(&layout).expect("accepted").j15, full, "{off}: {layout:?}");
        }
    }
}

#[test]
fn chains_close_after_rounding() {
    let mut dice = Dice(0xc4a1);
    for _ in 0..5_000 {
        let count = dice.below(9);
        let lengths: Vec<f64> = (0..count)
            .map(|_| match dice.below(3) {
                0 => dice.below(4_000) as f64 / 10.0,
                1 => dice.below(800) as f64 / 2.0,
                _ => dice.between(0.0, 400.0),
            })
            .collect();
        let out = calc::chain_rounding(&lengths).expect("plain lengths");
        let total: f64 = lengths.iter().sum();
        assert_eq!(out.segments_mm.iter().sum::<i64>(), out.total_mm, "{lengths:?}");
        assert_eq!(out.stations_mm.last().copied().unwrap_or(0), out.total_mm);
        assert!((out.total_mm as f64 - total).abs() <= 0.5 + 1e-6, "{lengths:?}");
        for (whole, exact) in out.segments_mm.iter().zip(&lengths) {
            assert!((*whole as f64 - exact).abs() < 1.0, "{lengths:?}");
        }
    }
}

/// Any figure somebody could mistype.
fn wild(dice: &mut Dice, usual: f64) -> f64 {
    match dice.below(24) {
        0 => f64::NAN,
        1 => f64::INFINITY,
        2 => f64::NEG_INFINITY,
        3 => 1e300,
        4 => -1e300,
        5 => 0.0,
        6 => -0.0,
        7 => -usual,
        8 => 1e-300,
        9 => usual * 100.0,
        10 => usual / 100.0,
        11 => 99_999.0,
        12 => f64::MIN_POSITIVE,
        _ => dice.between(0.0, 2.0 * usual),
    }
}

#[test]
fn no_layout_panics() {
    let mut dice = Dice(0xbad);
    for round in 0..4_000 {
        let mut layout = if round % 3 == 2 { leaning(&mut dice) } else { plausible(&mut dice) };
        // One to all figures are spoilt.
        let share = 1 + dice.below(20);
        let mut spoil = |v: &mut f64| {
            if dice.below(20) < share {
                *v = wild(&mut dice, v.abs().max(1.0));
            }
        };
        spoil(&mut layout.box_.gland_to_stud_mm);
        spoil(&mut layout.box_.stud_pitch_mm);
        layout.box_.stud_to_wall_mm.as_mut().map(&mut spoil);
        layout.box_.stud_to_cover_mm.as_mut().map(&mut spoil);
        layout.box_.stud_to_back_mm.as_mut().map(&mut spoil);
        layout.start.rotation_deg.as_mut().map(&mut spoil);
        layout.start.lean_deg.as_mut().map(&mut spoil);
        layout.start.lean_towards_deg.as_mut().map(&mut spoil);
        spoil(&mut layout.start.core_dia_mm);
        layout.start.crutch_height_mm.as_mut().map(&mut spoil);
        layout.start.entry_pitch_mm.as_mut().map(&mut spoil);
        layout.start.entry_height_mm.as_mut().map(&mut spoil);
        layout.start.crutch_below_plate_mm.as_mut().map(&mut spoil);
        spoil(&mut layout.lug_insulation_end_to_stud_mm);
        spoil(&mut layout.insulation_exposed_mm);
        spoil(&mut layout.sct_over_insulation_mm);
        spoil(&mut layout.sct_over_semicon_mm);
        spoil(&mut layout.semicon_left_mm);
        spoil(&mut layout.dia.below_tube_mm);
        spoil(&mut layout.dia.tube_mm);
        spoil(&mut layout.dia.clear_mm);
        spoil(&mut layout.limits.phase_gap_min_mm);
        spoil(&mut layout.limits.earth_gap_min_mm);
        spoil(&mut layout.limits.edge_to_plate_min_mm);
        spoil(&mut layout.limits.edge_to_crutch_min_mm);
        layout.limits.min_bend_core_mm.as_mut().map(&mut spoil);
        if round % 50 == 0 {
            layout.core_to_stud = [i32::MIN, 0, i32::MAX];
        }
        if let Ok(judged) = calc::judgement(&layout) {
            assert!(judged.j15.gap.solid_sbend_mm.is_finite(), "{layout:?}");
            assert!(judged.tail_mm.iter().all(|t| t.is_finite()), "{layout:?}");
        }
        if round % 8 == 0 {
            let _ = calc::least_heights(&layout);
            let _ = calc::drawing(&layout);
            let accepted = vec![calc::Verdict::AcceptTrialFit, calc::Verdict::AcceptFormer];
            let _ = calc::site_window(&calc::SiteWindowInput { layout, accepted });
        }
        let _ = calc::route(&layout);
    }
}
