//! Windows, settings and ways out: each ends where something gets worse.

use super::{accepted_layouts, leaning, mirrored, plausible};
use crate::support::Dice;
use cutback::calc;

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
