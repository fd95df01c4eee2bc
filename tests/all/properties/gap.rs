//! The least gap: the same in the mirror and both ways, never more with a thicker tube,
//! and no sample is nearer.

use super::{accepted_of_both, mirrored, near};
use crate::support::Dice;
use cutback::calc;

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
