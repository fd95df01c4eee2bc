//! What is cut to length before the work: oversleeves and outer tubes, by phase.

use super::context::{Geometry, Station, shaped_by};
use super::def::{Def, Gap, Inputs, Out, Show};
use super::tails::along_the_cable;
use crate::job::schema::Mark;

const TUBE: &[&str] = shaped_by!(
    "kit.outer_tube.over_lug",
    "kit.outer_tube.over_breakout",
    "layout.oversleeve",
    "layout.sheath_cut_above_plate"
);
const SLEEVE: &[&str] = shaped_by!("kit.outer_tube.over_breakout", "layout.oversleeve");

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs,
        mark: Mark::Computed,
        show: Show::MmUp,
        meaning: "Finished length, as recovered. What it shrinks by is on its own sheet and is added before cutting; the kit's sheet governs.",
        compute,
    }
}

fn tail(g: &Geometry, phase: usize) -> f64 {
    g.judged.tail_mm[phase - 1]
}

fn has_sleeves(x: &Inputs) -> bool {
    x.word("layout.oversleeve").is_ok_and(|w| w != "none")
}

/// From just below ring R over the breakout's leg: the tail below R and the lap.
fn sleeve(x: &Inputs, phase: usize) -> Result<Out, Gap> {
    if !has_sleeves(x) {
        return Ok(Out::None("none"));
    }
    let lap = x.number("kit.outer_tube.over_breakout")?;
    Ok(Out::Number(tail(x.geometry()?, phase) - x.stations()?.at(Station::R).0 + lap))
}

/// From its cover of the barrel down to the crutch, over the oversleeve, or over
/// the sheath of a single-core cable.
fn tube(x: &Inputs, phase: usize) -> Result<Out, Gap> {
    let [growth, over_lug, lap] =
        x.numbers(["lug.growth", "kit.outer_tube.over_lug", "kit.outer_tube.over_breakout"])?;
    let stations = x.stations()?;
    let top = stations.at(Station::A).0 - growth - over_lug;
    let foot = if has_sleeves(x) {
        stations.at(Station::R).0 + lap
    } else if x.word("layout.crutch")? == "none" {
        // The tail ends at the top of the entry, the sheath stands above it.
        let [cut, entry] = x.numbers(["layout.sheath_cut_above_plate", "layout.entry_height"])?;
        tail(x.geometry()?, phase) - along_the_cable(x, entry, cut) + lap
    } else {
        tail(x.geometry()?, phase)
    };
    Ok(Out::Number(foot - top))
}

const SLEEVE_FORMULA: &str =
    "tail - ring_from_stud + kit.outer_tube.over_breakout, where oversleeves are planned";
const TUBE_FORMULA: &str = "kit.outer_tube.over_lug + lug.growth + from A to the crutch; with oversleeves to kit.outer_tube.over_breakout below ring R; single core to kit.outer_tube.over_breakout below the sheath cut";

pub(super) const FACTS: &[Def] = &[
    def("oversleeve_l1", "oversleeve on L1", SLEEVE_FORMULA, SLEEVE, |x| sleeve(x, 1)),
    def("oversleeve_l2", "oversleeve on L2", SLEEVE_FORMULA, SLEEVE, |x| sleeve(x, 2)),
    def("oversleeve_l3", "oversleeve on L3", SLEEVE_FORMULA, SLEEVE, |x| sleeve(x, 3)),
    def("outer_tube_l1", "outer tube on L1", TUBE_FORMULA, TUBE, |x| tube(x, 1)),
    def("outer_tube_l2", "outer tube on L2", TUBE_FORMULA, TUBE, |x| tube(x, 2)),
    def("outer_tube_l3", "outer tube on L3", TUBE_FORMULA, TUBE, |x| tube(x, 3)),
];
