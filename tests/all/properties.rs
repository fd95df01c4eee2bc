//! Properties of the calculating room that hold for any layout and any figure.

mod figures;

use cutback::calc;

/// A small generator of pseudo-random numbers, so that every run is the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, n: u64) -> u64 {
        self.roll() % n
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.below(1_000_000) as f64 / 1e6)
    }
}

/// A layout a site could have, in a box of any height.
fn plausible(dice: &mut Dice) -> calc::Layout {
    let d = dice.between(20.0, 60.0);
    let tube = d + dice.between(2.0, 15.0);
    let over_insulation = dice.between(0.0, 220.0);
    let entries = dice.below(2) == 0;
    let mut map = [1, 2, 3];
    if dice.below(4) == 0 {
        map.swap(dice.below(3) as usize, dice.below(3) as usize);
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
fn gap_is_the_same_in_the_mirror() {
    let mut dice = Dice(0x5eed);
    for layout in accepted_of_both(&mut dice, 150) {
        let mirror = mirrored(&layout);
        let gap = calc::solid_gap(&layout).expect("accepted");
        let seen = calc::solid_gap(&mirror).expect("accepted");
        for (what, a, b) in [
            ("s-bend", Some(gap.solid_sbend_mm), Some(seen.solid_sbend_mm)),
            ("live", Some(gap.solid_live_live_mm), Some(seen.solid_live_live_mm)),
            ("straight", Some(gap.solid_straight_mm), Some(seen.solid_straight_mm)),
            ("two arcs", gap.solid_two_arcs_mm, seen.solid_two_arcs_mm),
        ] {
            assert!(near(a, b), "{what}: {a:?} and {b:?} in {layout:?}");
        }
    }
}

/// From this core to that one and from that to this: two discs, and whole boxes
/// turned half round, by which each pair is named the other way about.
#[test]
fn gap_is_the_same_both_ways() {
    let mut dice = Dice(0x2a);
    for _ in 0..400 {
        let mut disc = || {
            let point = |dice: &mut Dice, span: f64| [0; 3].map(|_| dice.between(-span, span));
            (point(&mut dice, 90.0), point(&mut dice, 1.0), dice.between(5.0, 30.0))
        };
        let (a, b) = (disc(), disc());
        let (one, other) = (two_discs(a, b), two_discs(b, a));
        assert!((one - other).abs() < 1e-5, "{one} and {other} of {a:?} and {b:?}");
    }
    // A trefoil turned half round is no trefoil of the same places.
    let in_a_row = |l: &calc::Layout| l.start.arrangement == Some(calc::Arrangement::Row);
    for layout in accepted_of_both(&mut dice, 80).into_iter().filter(in_a_row) {
        let mut turned = layout;
        let [left, middle, right] = layout.core_to_stud;
        turned.core_to_stud = [4 - right, 4 - middle, 4 - left];
        turned.start.lean_towards_deg = layout.start.lean_towards_deg.map(|way| way + 180.0);
        let (gap, seen) = (
            calc::sbend_gap(&layout).expect("accepted").gap_mm,
            calc::sbend_gap(&turned).expect("accepted").gap_mm,
        );
        assert!((gap - seen).abs() < 1e-3, "{gap} and {seen} in {layout:?}");
    }
}

/// Tolerances take from the gap, never give; none at all takes nothing.
#[test]
fn tolerances_only_take_from_the_gap() {
    let mut dice = Dice(0x70);
    for layout in accepted_of_both(&mut dice, 40) {
        let input = calc::GapStackInput {
            layout,
            tube_longer_mm: dice.between(0.0, 10.0),
            tol_tube_set_mm: dice.between(0.0, 4.0),
            tol_box_mm: dice.between(0.0, 6.0),
        };
        let out = calc::gap_stack(&input).expect("accepted");
        assert!(out.worst_mm <= out.rss_mm + 0.3 && out.rss_mm <= out.nominal_mm, "{out:?} of {input:?}");
        let exact =
            calc::GapStackInput { tube_longer_mm: 0.0, tol_tube_set_mm: 0.0, tol_box_mm: 0.0, ..input };
        let same = calc::gap_stack(&exact).expect("accepted");
        assert_eq!((same.worst_mm, same.rss_mm, same.largest), (out.nominal_mm, out.nominal_mm, None));
        assert!(calc::gap_stack(&calc::GapStackInput { tol_box_mm: -1.0, ..input }).is_err());
    }
}

#[test]
fn gap_never_grows_with_a_diameter() {
    let mut dice = Dice(0xd1ce);
    for layout in accepted_of_both(&mut dice, 150) {
        let before = calc::sbend_gap(&layout).expect("accepted").gap_mm;
        for which in 0..3 {
            let mut thicker = layout;
            let by = dice.between(0.0, 4.0);
            match which {
                0 => thicker.dia.below_tube_mm += by,
                1 => thicker.dia.tube_mm += by,
                _ => thicker.dia.clear_mm += by,
            }
            let after = calc::sbend_gap(&thicker).expect("accepted").gap_mm;
            assert!(after <= before + 1e-3, "{before} to {after} in {layout:?}");
        }
    }
}

/// The gap again, slowly: discs every few millimetres, then ever finer round
/// the nearest pair.
fn gap_by_sampling(layout: &calc::Layout) -> f64 {
    let s = layout.stations();
    let route = calc::route(layout).expect("accepted");
    let start = |phase: usize| route.phases[phase - 1].start_arc_mm;
    let at = |phase: usize, arc: f64| {
        calc::point_at(layout, phase, arc.min(start(phase))).expect("accepted").expect("above the start")
    };
    let disc = |phase: usize, arc: f64, dia: f64| {
        let (up, down) = ((arc - 1e-3).max(s.A), (arc + 1e-3).min(start(phase)));
        let (p, q) = (at(phase, up), at(phase, down));
        (at(phase, arc), [0, 1, 2].map(|i| q[i] - p[i]), dia / 2.0)
    };
    let sampled = |phase: usize, zones: &[(f64, f64, f64)], step: f64| {
        let mut out = Vec::new();
        for &(from, to, dia) in zones {
            let n = ((to - from) / step).ceil().max(1.0) as usize;
            out.extend((0..=n).map(|i| {
                let arc = from + (to - from) * i as f64 / n as f64;
                (disc(phase, arc, dia), arc, (from, to, dia))
            }));
        }
        out
    };
    let live = [(s.A, s.U, layout.dia.clear_mm), (s.U, s.L, layout.dia.tube_mm)];
    let mut best = f64::INFINITY;
    for (on, to) in [(1, 2), (2, 1), (2, 3), (3, 2), (1, 3), (3, 1)] {
        let all = [live[0], live[1], (s.L, start(to), layout.dia.below_tube_mm)];
        let mut nearest = (f64::INFINITY, (0.0, live[0]), (0.0, live[0]));
        let theirs = sampled(to, &all, 10.0);
        for (a, arc_a, zone_a) in sampled(on, &live, 10.0) {
            for &(b, arc_b, zone_b) in &theirs {
                let d = two_discs(a, b);
                if d < nearest.0 {
                    nearest = (d, (arc_a, zone_a), (arc_b, zone_b));
                }
            }
        }
        let mut reach = 10.0;
        while reach > 0.01 && nearest.0 > 0.0 {
            let (_, (arc_a, zone_a), (arc_b, zone_b)) = nearest;
            for i in -3..=3 {
                for j in -3..=3 {
                    let step = |arc: f64, n: i32, zone: (f64, f64, f64)| {
                        (arc + reach * f64::from(n) / 3.0).max(zone.0).min(zone.1)
                    };
                    let (u, v) = (step(arc_a, i, zone_a), step(arc_b, j, zone_b));
                    let d = two_discs(disc(on, u, zone_a.2), disc(to, v, zone_b.2));
                    if d < nearest.0 {
                        nearest = (d, (u, zone_a), (v, zone_b));
                    }
                }
            }
            reach /= 1.6;
        }
        best = best.min(nearest.0);
    }
    best
}

type LooseDisc = ([f64; 3], [f64; 3], f64);

fn two_discs(a: LooseDisc, b: LooseDisc) -> f64 {
    calc::disc_disc(&calc::TwoDiscs { c1_mm: a.0, n1: a.1, r1_mm: a.2, c2_mm: b.0, n2: b.1, r2_mm: b.2 })
        .expect("a disc")
        .distance_mm
}

/// How far a returned end point of the gap is from the disc it should lie in.
fn off_its_disc(layout: &calc::Layout, phase: usize, arc: f64, point: [f64; 3]) -> f64 {
    let s = layout.stations();
    let at = |arc: f64| calc::point_at(layout, phase, arc).expect("accepted");
    let (Some(centre), Some(above)) = (at(arc - 1e-6), at(arc - 2e-3)) else {
        return f64::INFINITY;
    };
    // A disc at a step of diameter may belong to either side.
    let dia = match arc {
        arc if arc < s.U - 1e-6 => layout.dia.clear_mm,
        arc if arc < s.U + 1e-6 => layout.dia.clear_mm.max(layout.dia.tube_mm),
        arc if arc < s.L - 1e-6 => layout.dia.tube_mm,
        arc if arc < s.L + 1e-6 => layout.dia.tube_mm.max(layout.dia.below_tube_mm),
        _ => layout.dia.below_tube_mm,
    };
    let along = [0, 1, 2].map(|i| centre[i] - above[i]);
    two_discs((centre, along, dia / 2.0), (point, along, 0.0))
}

#[test]
fn gap_is_found_and_no_sample_is_nearer() {
    let mut dice = Dice(0xb0a7);
    for layout in accepted_of_both(&mut dice, 12) {
        let found = calc::sbend_gap(&layout).expect("accepted");
        let (p, q) = (found.from_mm, found.to_mm);
        let apart = (0..3).map(|i| (p[i] - q[i]) * (p[i] - q[i])).sum::<f64>().sqrt();
        assert!((apart - found.gap_mm).abs() < 0.02 + 1e-6, "{found:?} in {layout:?}");
        for (phase, arc, point) in
            [(found.on_phase, found.arc_mm[0], p), (found.to_phase, found.arc_mm[1], q)]
        {
            let off = off_its_disc(&layout, phase, arc, point);
            assert!(off < 0.02, "off by {off}: {found:?} in {layout:?}");
        }
        let slow = gap_by_sampling(&layout);
        assert!(found.gap_mm <= slow + 1e-4, "{found:?} against {slow} in {layout:?}");
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

/// At each end of a window nothing is worse than in the plan, and one step
/// further something is.
#[test]
fn windows_end_where_something_gets_worse() {
    let mut dice = Dice(0x317e);
    let accepted = vec![calc::Verdict::AcceptTrialFit, calc::Verdict::AcceptFormer];
    let mut seen = 0;
    while seen < 40 {
        let layout = if seen % 4 == 3 { leaning(&mut dice) } else { plausible(&mut dice) };
        let input = calc::SiteWindowInput { layout, accepted: accepted.clone() };
        let Ok(window) = calc::site_window(&input) else { continue };
        seen += 1;
        let worse = |z: f64, p: f64| {
            let mut other = layout;
            (other.box_.gland_to_stud_mm, other.box_.stud_pitch_mm) = (z, p);
            calc::verdicts(&other).map_or(true, |now| {
                now.by_rule().iter().zip(window.verdicts.by_rule()).any(|(a, b)| a.1.rank() > b.1.rank())
            })
        };
        let (z, p) = (layout.box_.gland_to_stud_mm, layout.box_.stud_pitch_mm);
        let further = |mm: f64, way: f64| if way < 0.0 { (mm - 1.0).ceil() } else { (mm + 1.0).floor() };
        let high = |v: Option<f64>, planned: f64| v.unwrap_or(planned + calc::SEARCH_ABOVE_MM - 1.0);
        for (end, way) in [(window.z_min_mm, -1.0), (high(window.z_max_mm, z), 1.0)] {
            assert!(!worse(end, p), "z {end} of {window:?} in {layout:?}");
            let open = way > 0.0 && window.z_max_mm.is_none();
            assert!(open || worse(further(end, way), p), "beyond z {end} of {window:?} in {layout:?}");
        }
        for (end, way) in [(window.p_min_mm, -1.0), (high(window.p_max_mm, p), 1.0)] {
            assert!(!worse(z, end), "p {end} of {window:?} in {layout:?}");
            let open = way > 0.0 && window.p_max_mm.is_none();
            assert!(open || worse(z, further(end, way)), "beyond p {end} of {window:?} in {layout:?}");
        }
        let ends = [&window.z_min_by, &window.z_max_by, &window.p_min_by, &window.p_max_by];
        let closed = [true, window.z_max_mm.is_some(), true, window.p_max_mm.is_some()];
        assert!(ends.iter().zip(closed).all(|(by, closed)| by.is_empty() != closed), "{window:?}");
    }
}

/// The setting named passes, and one whole mm back towards the plan fails.
#[test]
fn a_rule_passes_where_it_says_and_not_one_mm_before() {
    use calc::{EnclosureRule as Rule, Measure};
    let mut dice = Dice(29);
    let (mut moved, mut none) = (0, 0);
    for layout in accepted_layouts(&mut dice, 120) {
        for rule in [Rule::Height, Rule::Gap, Rule::Earthed, Rule::Bend] {
            for measure in [Measure::InsulationExposed, Measure::CrutchHeight, Measure::EntryPitch] {
                let at = |mm: f64| {
                    let mut other = layout;
                    match measure {
                        Measure::InsulationExposed => other.insulation_exposed_mm = mm,
                        Measure::CrutchHeight => other.start.crutch_height_mm = Some(mm),
                        Measure::EntryPitch => other.start.entry_pitch_mm = Some(mm),
                    }
                    rule.passes(&other)
                };
                let found = calc::passes_at(&layout, rule, measure).expect("an accepted layout");
                if rule.passes(&layout) || found.is_none() {
                    none += usize::from(found.is_none() && !rule.passes(&layout));
                    continue;
                }
                let mm = found.expect("just seen");
                assert!(at(mm), "{rule:?} fails at {measure:?} {mm}: {layout:?}");
                let back = if measure == Measure::EntryPitch { mm - 1.0 } else { mm + 1.0 };
                // No entries stand closer together than the cores are thick.
                let no_such_entry = measure == Measure::EntryPitch && back < layout.start.core_dia_mm;
                assert!(
                    no_such_entry || !at(back),
                    "{rule:?} passes already at {measure:?} {back}: {layout:?}"
                );
                moved += 1;
            }
        }
    }
    assert!(moved > 12 && none > 50, "too few that move ({moved}) or that nothing helps ({none})");
}

/// Of the figures that more height is said to cure, none fails again above.
#[test]
fn more_box_height_never_makes_a_height_rule_fail() {
    use calc::EnclosureRule as Rule;
    let mut dice = Dice(31);
    let mut passed = 0;
    for mut layout in accepted_layouts(&mut dice, 60) {
        for rule in [Rule::Height, Rule::Earthed, Rule::Bend] {
            let mut before = false;
            let start = layout.box_.gland_to_stud_mm;
            for up in 0..12 {
                layout.box_.gland_to_stud_mm = start + 25.0 * f64::from(up);
                let now = rule.passes(&layout);
                assert!(now || !before, "{rule:?} fails again {} above the plan: {layout:?}", 25 * up);
                before = now;
                passed += usize::from(now);
            }
            layout.box_.gland_to_stud_mm = start;
        }
    }
    assert!(passed > 100, "only {passed} passes");
}

/// Seen in a mirror, the same way out at the same settings.
#[test]
fn the_way_out_is_the_same_in_the_mirror() {
    use calc::{CrutchLowerOption, CrutchOutsideOption, EdgeUpOption, ExtensionOption, Remedy};
    let mut dice = Dice(37);
    let mut ways = 0;
    for mut layout in accepted_layouts(&mut dice, 24) {
        // Walls are no part of it: nothing here moves them.
        layout.box_.stud_to_wall_mm = None;
        layout.box_.stud_to_cover_mm = None;
        layout.box_.stud_to_back_mm = None;
        let input = |layout: calc::Layout| calc::RemedyInput {
            layout,
            options: calc::RemedyOptions {
                edge_up: Some(EdgeUpOption {
                    insulation_min_mm: layout.insulation_exposed_mm - 20.0,
                    clear_surface_min_mm: 5.0,
                }),
                crutch_lower: Some(CrutchLowerOption { crutch_height_min_mm: 20.0 }),
                crutch_outside: Some(CrutchOutsideOption {
                    entry_height_mm: 40.0,
                    entry_pitch_max_mm: 150.0,
                    room_below_plate_mm: 600.0,
                }),
                extension: Some(ExtensionOption { extension_max_mm: 60.0 }),
                ..calc::RemedyOptions::default()
            },
            weights: Remedy::ALL.into_iter().enumerate().map(|(i, r)| (r, f64::from(1 << i))).collect(),
            most_remedies: 3,
        };
        let mirror = mirrored(&layout);
        let (one, other) = (
            calc::remedy_search(&input(layout)).expect("a radius is given"),
            calc::remedy_search(&input(mirror)).expect("a radius is given"),
        );
        assert_eq!((&one.remedies, &one.settings), (&other.remedies, &other.settings), "{layout:?}");
        if let Some(found) = one.layout {
            assert!(calc::verdicts(&found).is_ok_and(|v| v.clean()), "{found:?}");
            ways += 1;
        }
    }
    assert!(ways > 5, "only {ways} ways found");
}

#[test]
fn chains_close_after_rounding() {
    let mut dice = Dice(0xc4a1);
    for _ in 0..5_000 {
        let count = dice.below(9) as usize;
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
