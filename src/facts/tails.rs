//! Lengths along the cores between stud and crutch, entry or sheath cut.

use super::context::{Geometry, Station, shaped_by};
use super::def::{Def, Gap, Inputs, Out, Show};
use super::free::stands_free;
use super::geometry::{def, held, leans, number};
use crate::calc::along_lean_mm;
use crate::job::schema::Mark;

const SCREENED: &[&str] =
    shaped_by!("layout.sheath_cut_above_plate", "layout.screen_left", "layout.tail", "cable.cores", "family");

/// Along the cable from the top of its entry to a height above the plate.
pub(super) fn along_the_cable(x: &Inputs, from: f64, to: f64) -> f64 {
    along_lean_mm(x.maybe("layout.lean").unwrap_or(0.0), to - from)
}

/// The straightest core, the shortest tail: all that hangs below it hangs lower
/// on the others.
fn shortest_tail(g: &Geometry) -> f64 {
    g.judged.tail_mm.iter().copied().fold(f64::INFINITY, f64::min)
}

/// No box gives this end its datum.
fn is_free(x: &Inputs) -> Result<bool, Gap> {
    Ok(matches!(x.word("family")?.as_str(), "outdoor" | "connector"))
}

/// Arc from the stud to where the screened core comes out of sight: the crutch,
/// or the sheath cut of a single-core cable.
fn screened_from(x: &Inputs) -> Result<f64, Gap> {
    if stands_free(x)? {
        return x.number("layout.tail");
    }
    if is_free(x)? {
        return Ok(x.stations()?.at(Station::M).0 + x.number("layout.screen_left")?);
    }
    let tail = shortest_tail(x.geometry()?);
    if x.word("layout.crutch")? != "none" {
        return Ok(tail);
    }
    let [cut, entry] = x.numbers(["layout.sheath_cut_above_plate", "layout.entry_height"])?;
    Ok(tail - along_the_cable(x, entry, cut))
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "sheath_above_fitting",
        title: "sheath, or bedding, left above the top of the entry fitting",
        formula: "layout.sheath_cut_above_plate - layout.entry_height",
        inputs: &["layout.sheath_cut_above_plate", "layout.entry_height"],
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "Single-core cables in a box: the seal of the sheath's end sits on it.",
        compute: |x| {
            let [cut, entry] = x.numbers(["layout.sheath_cut_above_plate", "layout.entry_height"])?;
            Ok(Out::Number(cut - entry))
        },
    },
    Def {
        name: "entry_lean",
        title: "how cable and cores stand where they pass the plate",
        formula: "layout.lean towards layout.lean_towards; upright where there is none",
        inputs: &["layout.lean", "layout.lean_towards"],
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "",
        compute: |x| match x.maybe("layout.lean") {
            Some(lean) if lean > 0.0 => Ok(Out::Word(format!(
                "leaning {} towards the {} as seen from the cover",
                x.word("layout.lean")?,
                x.word("layout.lean_towards")?
            ))),
            _ => Ok(Out::Word("upright".into())),
        },
    },
    def(
        "tail_l1",
        "tail of L1, crutch or top of a single-core entry to stud",
        "exact arc length",
        Show::Mm(0),
        |x| number(x.geometry()?.judged.tail_mm[0]),
    ),
    def(
        "tail_l2",
        "tail of L2, crutch or top of a single-core entry to stud",
        "exact arc length",
        Show::Mm(0),
        |x| number(x.geometry()?.judged.tail_mm[1]),
    ),
    def(
        "tail_l3",
        "tail of L3, crutch or top of a single-core entry to stud",
        "exact arc length",
        Show::Mm(0),
        |x| number(x.geometry()?.judged.tail_mm[2]),
    ),
    held(
        "screen_cut_above_crutch",
        "metallic screen cut above crutch or sheath cut",
        "shortest tail - metal_screen_cut_from_stud; single core: less sheath cut above entry; outdoors layout.screen_left",
        Show::Mm(0),
        SCREENED,
        |x| number(screened_from(x)? - x.stations()?.at(Station::M).0),
    ),
    held(
        "ring_above_crutch",
        "ring R above crutch or sheath cut",
        "shortest tail - ring_from_stud; single core: less sheath cut above entry; outdoors and at connectors layout.screen_left - ring_below_screen_cut, a three-core end layout.tail - ring_from_stud",
        Show::Mm(0),
        SCREENED,
        |x| number(screened_from(x)? - x.stations()?.at(Station::R).0),
    ),
    Def {
        name: "sheath_cut_from_stud",
        title: "sheath cut from T0, along the cable",
        formula: "shortest tail + kit.bedding_left + kit.armour_left, where the armour is bonded at the crutch; single core: enclosure.gland_to_stud - layout.sheath_cut_above_plate; outdoors and at connectors metal_screen_cut_from_stud + layout.screen_left, a three-core end from layout.tail",
        inputs: shaped_by!(
            "layout.armour",
            "kit.bedding_left",
            "kit.armour_left",
            "layout.sheath_cut_above_plate",
            "layout.screen_left",
            "layout.tail",
            "cable.cores",
            "family"
        ),
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: "",
        compute: |x| {
            if is_free(x)? && !stands_free(x)? {
                return number(screened_from(x)?);
            }
            if !is_free(x)? && x.word("layout.crutch")? == "none" {
                if leans(x.geometry()?) {
                    return number(screened_from(x)?);
                }
                let [height, cut] =
                    x.numbers(["enclosure.gland_to_stud", "layout.sheath_cut_above_plate"])?;
                return number(height - cut);
            }
            if x.word("layout.armour")? != "at the crutch" {
                return Ok(Out::None("by the gland sheet, from the plate"));
            }
            let [bedding, armour] = x.numbers(["kit.bedding_left", "kit.armour_left"])?;
            let tail = if is_free(x)? { screened_from(x)? } else { shortest_tail(x.geometry()?) };
            number(tail + bedding + armour)
        },
    },
    Def {
        name: "gauge_bare",
        title: "gauge between bare screened cores at the trial fit",
        formula: "kit.phase_gap_least + dia_outer_at_edge - cable.dia_over_metal_screen",
        inputs: &["kit.phase_gap_least", "dia_outer_at_edge", "cable.dia_over_metal_screen"],
        mark: Mark::Computed,
        show: Show::MmUp,
        meaning: "The least gap plus what the tubes will still add on both sides.",
        compute: |x| {
            let [gap, tube, core] =
                x.numbers(["kit.phase_gap_least", "dia_outer_at_edge", "cable.dia_over_metal_screen"])?;
            number(gap + (tube - core).max(0.0))
        },
    },
];
