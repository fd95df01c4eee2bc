//! What must agree on one phase: the chain measured from ring R, the tube against
//! the voltage, the filler against the edge, identity, test.

use super::super::answer::Answer;
use super::super::struck;
use super::item::Item;
use super::view::{PHASES, View, leading, minutes, plain};
use crate::calc::{DewPointInput, TubeLengthInput, VlfLevelInput, dew_point, tube_length_rule, vlf_level};

/// Insulation resistance after the test below this share of the first asks a
/// question, and one phase below this share of the middle one. Common practice,
/// no source.
const AFTER_SHARE: f64 = 0.5;
const PHASE_SHARE: f64 = 1.0 / 3.0;

/// A gap below this share of the planned one: the cores lie otherwise than
/// planned. Common practice, no source.
const PLAN_SHARE: f64 = 0.7;

/// Withstand at 0.1 Hz: 3 U0 of the cable.
const FACTOR: f64 = 3.0;

pub(super) fn items(view: &View) -> Vec<Item> {
    PHASES.iter().map(|phase| item(view, phase)).collect()
}

fn item(view: &View, phase: &str) -> Item {
    let mut item = Item::new("points");
    item.word("phase.name", Some(phase.to_string()), "points");
    let has = |point: &str, reading: &str| {
        view.point(point).is_some_and(|p| p.readings.iter().any(|r| r.id == reading))
    };
    let name = |point: &str, reading: &str| format!("points.{point}.{reading}.{phase}");
    let value = |point: &str, reading: &str| view.number(&name(point, reading));
    let tube = has("tube", "upper") && has("semicon_edge", "edge");
    item.yes("phase.has_tube", Some(tube), "points");
    if tube {
        let (lower, upper) = (value("tube", "lower"), value("tube", "upper"));
        let (length, cover) = (value("tube", "length"), value("tube", "cover"));
        let (clear, edge) = (value("tube", "clear"), value("semicon_edge", "edge"));
        let steps = value("outer_sealed", "steps");
        let exposed = view.fact_number("insulation_exposed");
        let differ = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| (a - b).abs());
        let minus = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a - b);
        item.number("chain.length_gap", differ(minus(upper, lower), length), "mm", &name("tube", "length"))
            .number("chain.steps_gap", differ(steps, length), "mm", &name("outer_sealed", "steps"))
            .number("chain.cover_gap", differ(minus(upper, edge), cover), "mm", &name("tube", "cover"))
            .number(
                "chain.exposed_gap",
                differ(cover.zip(clear).map(|(a, b)| a + b), exposed),
                "mm",
                &name("tube", "clear"),
            )
            .number("tube.overlap", minus(edge, lower), "mm", &name("tube", "lower"))
            .number(
                "tube.overlap_least",
                view.fact_number("kit.sct.over_semicon_least"),
                "mm",
                "record.pack",
            );
        let judged = length.zip(view.fact_number("system.nominal")).and_then(|(tube_mm, operating_kv)| {
            let moulded = view.fact("kit.sct.moulded") == Some("yes");
            tube_length_rule(&TubeLengthInput { operating_kv, tube_mm, moulded }).ok()
        });
        let suits = judged
            .map(|t| t.suits_kv.map_or("no voltage of the series".into(), |kv| format!("{} kV", plain(kv))));
        item.number("tube.length", length, "mm", &name("tube", "length"))
            .word("tube.class", judged.map(|t| t.class.as_str().into()), &name("tube", "length"))
            .number("tube.band_least", judged.map(|t| t.least_mm), "mm", &name("tube", "length"))
            .word("tube.suits", suits, &name("tube", "length"));
    }
    let joint = has("tube_centred", "x") && has("joint_edge", "edge_x");
    item.yes("phase.has_overlap", Some(tube || joint), "points").yes("phase.is_joint", Some(joint), "points");
    if joint {
        overlaps(view, phase, &mut item);
    }
    let filler = has("filler", "lower") && tube;
    item.yes("phase.has_filler", Some(filler), "points");
    if filler {
        let edge = value("semicon_edge", "edge");
        let (low, high) = (value("filler", "lower"), value("filler", "upper"));
        let over = low.zip(high).zip(edge).map(|((l, h), e)| l < e && e < h);
        item.yes("filler.over_edge", over, &name("filler", "lower"));
        let words = low.zip(high).zip(edge).map(|((l, h), e)| {
            format!("filler from {} to {} mm, edge at {} mm", plain(l), plain(h), plain(e))
        });
        item.word("filler.words", words, &name("filler", "lower"));
    }
    identity(view, phase, &mut item);
    test(view, phase, &mut item);
    torque(view, phase, &mut item);
    item
}

/// A joint's tube over both core screens, from its ends and the edges, all measured
/// from the centre; the lesser side counts.
fn overlaps(view: &View, phase: &str, item: &mut Item) {
    let name = |point: &str, reading: &str| format!("points.{point}.{reading}.{phase}");
    let side = |end: &str, edge: &str| {
        view.number(&name("tube_centred", end))
            .zip(view.number(&name("joint_edge", edge)))
            .map(|(t, e)| t - e)
    };
    let (x, y) = (side("x", "edge_x"), side("y", "edge_y"));
    let lesser = x.zip(y).map(|(x, y)| x.min(y));
    let at = name("tube_centred", if x.zip(y).is_some_and(|(x, y)| y < x) { "y" } else { "x" });
    let written = view.number(&name("tube_centred", "overlap"));
    let least = view.fact_number("kit.sct.over_semicon_least");
    item.number("tube.overlap", lesser, "mm", &at)
        .number("tube.overlap_least", least, "mm", "record.pack")
        .number(
            "chain.overlap_gap",
            lesser.zip(written).map(|(a, b)| (a - b).abs()),
            "mm",
            &name("tube_centred", "overlap"),
        );
}

/// Each place that names the core of this phase names this phase.
fn identity(view: &View, phase: &str, item: &mut Item) {
    let places = [
        format!("points.phase_identity.phase.{phase}"),
        format!("points.phase_identity.bushing.{phase}"),
        format!("points.joint_phases.phase.{phase}"),
        format!("points.joint_phases_again.phase.{phase}"),
        format!("tests.phase.{phase}"),
    ];
    let asked = |at: &str| {
        let (group, reading) = at.trim_end_matches(&format!(".{phase}")).rsplit_once('.').unwrap_or(("", ""));
        match group.strip_prefix("points.") {
            Some(point) => view.point(point).is_some_and(|p| p.readings.iter().any(|r| r.id == reading)),
            None => view.pack.form.tests.iter().any(|r| r.id == reading),
        }
    };
    let mut words = Some("agrees".to_string());
    let mut from = places[0].clone();
    for at in places.iter().filter(|at| asked(at)) {
        match view.text(at) {
            None => {
                (words, from) = (None, at.clone());
                break;
            }
            Some(text) => {
                let names: Vec<&str> = PHASES.into_iter().filter(|p| text.contains(p)).collect();
                if names != [phase] {
                    (words, from) = (Some(format!("`{text}` stands for {phase}")), at.clone());
                    break;
                }
            }
        }
    }
    item.word("phase.identity", words, &from);
}

fn test(view: &View, phase: &str, item: &mut Item) {
    let at = |reading: &str| format!("tests.{reading}.{phase}");
    // What a given-up end did not stand is read with its readings, not held against it here.
    let planned = view.fact("tests.planned") == Some("yes") && !struck::given_up(view.record);
    item.yes("phase.tested", Some(planned), "tests");
    if !planned {
        // A rule that asks for it after asking whether there was a test still runs.
        item.word("test.nature", Some("no test".into()), "tests");
        return;
    }
    let voltage = at("voltage");
    let (held, nature) = match view.answer(&voltage) {
        Some(Answer::Number { value, nature, .. }) => (Some(*value), *nature),
        _ => (None, None),
    };
    let kind = held.map(|_| nature.unwrap_or("not stated").to_string());
    let plan = view.fact_number("tests.vlf");
    let digit = (0..view.record.count("instruments").unwrap_or(0))
        .find(|i| view.text(&format!("instruments.{i}.what")).is_some_and(|w| w.contains("test set")))
        .and_then(|i| view.number(&format!("instruments.{i}.digit")));
    // The plan was judged against the cable when the pack was made; what was
    // held is judged against both.
    let level = held.zip(view.fact_number("cable.u0")).zip(nature).and_then(|((held, u0), nature)| {
        // What the pack's test plan asked of this cable: 3 U0, or the table at the
        // level agreed for aged cable.
        let need = view.fact_number("test_level_needed").unwrap_or(FACTOR * u0);
        let input = |need_factor: f64, u0: f64| VlfLevelInput {
            u0_cable_kv: u0,
            k: need_factor,
            held_kv: Some(held),
            held_kind: Some(nature.into()),
            display_digit_kv: digit.or(Some(0.1)),
        };
        let planned = plan.unwrap_or(need).max(need);
        vlf_level(&input(planned / u0, u0)).ok()
    });
    let row = view.pack.form.tests.iter().find(|r| r.id == "voltage");
    let most = row.and_then(|r| r.limit.most).zip(view.fact("tests.vlf")).map(|(most, plan)| rms(most, plan));
    let over = held
        .zip(nature)
        .zip(most)
        .map(|((held, nature), most)| rms(held, nature) > most + digit.unwrap_or(0.1));
    item.yes("test.over", over, &voltage).number("test.most", most, "kV rms", &voltage);
    item.word("test.nature", kind, &voltage)
        .number("test.held", held, &format!("kV {}", nature.unwrap_or("")), &voltage)
        .number("test.need", level.map(|l| l.need_kv_rms), "kV rms", &voltage)
        .word("test.verdict", level.and_then(|l| l.verdict).map(|v| v.as_str().into()), &voltage);
    let time = at("minutes");
    let needed = view.fact_number("tests.minutes");
    let stood = view.number(&time);
    let span = view
        .time(&at("full_voltage_reached"))
        .zip(view.time(&at("full_voltage_off")))
        .map(|(a, b)| minutes(a, b));
    item.number("test.minutes", stood, "min", &time)
        .number("test.minutes_needed", needed, "min", &time)
        .number("test.span", span, "min", &at("full_voltage_reached"))
        .yes("test.span_short", span.zip(needed).map(|(s, n)| s < n - 0.5), &at("full_voltage_off"))
        .yes("test.span_differs", span.zip(stood).map(|(s, m)| (s - m).abs() > 2.0), &at("full_voltage_off"));
    let resistance = resistance(view, phase);
    item.word("test.resistance", resistance, &at("resistance_after"));
}

/// A voltage as r.m.s., where its words call it a peak of a sine.
fn rms(kv: f64, words: &str) -> f64 {
    if words.contains("peak") { kv / std::f64::consts::SQRT_2 } else { kv }
}

/// Insulation resistance after against before, and this phase against the others.
fn resistance(view: &View, phase: &str) -> Option<String> {
    // Over range is more than any figure, and equal to itself.
    let read = |reading: &str, phase: &str| match view.answer(&format!("tests.{reading}.{phase}"))? {
        Answer::Number { value, .. } => Some(*value),
        Answer::OverRange => Some(f64::INFINITY),
        _ => None,
    };
    let (before, after) = (read("resistance_before", phase)?, read("resistance_after", phase)?);
    let show = |v: f64| if v.is_infinite() { "over range".to_string() } else { format!("{} Mohm", plain(v)) };
    if after < AFTER_SHARE * before && after.is_finite() {
        return Some(format!("{} before the test, {} after it", show(before), show(after)));
    }
    let mut all: Vec<f64> = PHASES.iter().map(|p| read("resistance_after", p)).collect::<Option<_>>()?;
    all.sort_by(f64::total_cmp);
    if after < PHASE_SHARE * all[1] && after.is_finite() {
        return Some(format!("{} after the test, the middle phase {}", show(after), show(all[1])));
    }
    Some("even".into())
}

/// Palms tightened after the last test, not before it.
fn torque(view: &View, phase: &str, item: &mut Item) {
    // At the ends of a joint's circuit one release stands for all palms.
    let Some(point) = view.point("terminal_torque").or_else(|| view.point("ends_back")) else {
        item.word("torque.before_test", Some("none".into()), "points");
        return;
    };
    let own = if point.phases { format!(".{phase}") } else { String::new() };
    let at = format!("points.{}.released{own}", point.id);
    let releases = view.releases(point).into_iter();
    let torque = releases.filter(|(p, _)| p.is_empty() || *p == phase).find_map(|(_, t)| t);
    let off = PHASES.iter().filter_map(|p| view.time(&format!("tests.full_voltage_off.{p}"))).max();
    let words = match (torque, off) {
        (Some(t), Some(off)) if t < off => {
            Some(format!("released {}, the test ended {}", view.show(t), view.show(off)))
        }
        (Some(_), Some(_)) => Some("none".to_string()),
        _ => None,
    };
    item.word("torque.before_test", words, &at);
}

/// Gaps between phases against the plan: in a box by its own point, outdoors by
/// another.
pub(super) fn pairs(view: &View) -> Vec<Item> {
    let points = [("final_gaps", "phase_gap"), ("gaps_outdoor", "outdoor_phase_gap")];
    let Some((point, plan)) = points.into_iter().find(|(id, _)| view.point(id).is_some()) else {
        return Vec::new();
    };
    let pair = |pair: &str| {
        let at = format!("points.{point}.phase_gap.{pair}");
        let mut item = Item::new(at.clone());
        let (measured, planned) = (view.number(&at), view.fact_number(plan));
        let far = measured.zip(planned).map(|(m, p)| m < PLAN_SHARE * p);
        item.word("gap.pair", Some(pair.to_string()), &at)
            .number("gap.measured", measured, "mm", &at)
            .number("gap.planned", planned, "mm", &at)
            .yes("gap.far_below_plan", far, &at);
        item
    };
    ["L1-L2", "L2-L3", "L1-L3"].into_iter().map(pair).collect()
}

/// The point at which air and surface are read, by `start` or `covering`.
pub(super) fn air_point<'a>(view: &View<'a>, when: &str) -> Option<&'a str> {
    let points = view.pack.form.points.iter();
    let surface = format!("surface_{when}");
    let reads = |p: &&crate::procedure::FormPoint| p.readings.iter().any(|r| r.id == surface);
    points.filter(reads).map(|p| p.id.as_str()).next()
}

/// The least margin of the cable's surface above the dew point, worked out from
/// the readings; by `start` or `covering`.
pub(super) fn dew_margin(view: &View, when: &str) -> Option<f64> {
    let point = air_point(view, when)?;
    let read = |what: &str| view.number(&format!("points.{point}.{what}_{when}"));
    let input = DewPointInput { air_c: read("air")?, rh_pct: read("humidity")?, surface_c: read("surface")? };
    dew_point(&input).ok().map(|d| d.margin_k)
}

/// The range of a torque wrench, `20 to 100 N.m`.
pub(super) fn range(text: &str) -> Option<(f64, f64)> {
    let (low, high) = text.split_once(" to ")?;
    Some((leading(low.trim())?, leading(high.trim())?))
}
