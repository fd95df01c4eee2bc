//! A three-core end that stands free of a box, on a pole or at connectors: its
//! cores part at the crutch and bend once out and back, in the screened length.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{BendInput, bend};
use crate::job::schema::Mark;

const PLANNING: &str = "A planning figure: two equal arcs between crutch K and metallic screen cut M, straight above M. The trial fit measures.";

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "stands_free",
        title: "a three-core end outside a box",
        formula: "outdoors or at connectors, where cable.cores is not 1",
        inputs: &["family", "cable.cores"],
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "",
        compute: |x| Ok(Out::YesNo(stands_free(x)?)),
    },
    Def {
        name: "edge_above_free_crutch",
        title: "semicon edge above the crutch, along the core",
        formula: "layout.tail - semicon_edge_from_stud",
        inputs: &["layout.tail", "semicon_edge_from_stud"],
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: "Along the straightest core; on the others it is more.",
        compute: |x| {
            let [tail, edge] = x.numbers(["layout.tail", "semicon_edge_from_stud"])?;
            Ok(Out::Number(tail - edge))
        },
    },
    Def {
        name: "free_bend",
        title: "bend of an outer core, to its axis",
        formula: "(h^2 + w^2) / 4w, h = layout.tail - metal_screen_cut_from_stud, at connectors less kit.straight_below where that is more; w = enclosure.stud_pitch - cable.dia_over_metal_screen",
        inputs: SPREAD,
        mark: Mark::Computed,
        show: Show::Mm(0),
        meaning: PLANNING,
        compute: |x| match radius(x)? {
            Some(r) => Ok(Out::Number(r)),
            None => Ok(Out::None("straight")),
        },
    },
    Def {
        name: "free_bend_least",
        title: "least bend of a core, to its axis",
        formula: "cable.min_bend_core, and half the core where that is to the inside",
        inputs: &["cable.min_bend_core", "cable.min_bend_core_to", "cable.dia_over_metal_screen"],
        mark: Mark::Cable,
        show: Show::Mm(0),
        meaning: "",
        compute: |x| {
            let [least, core] = x.numbers(["cable.min_bend_core", "cable.dia_over_metal_screen"])?;
            let inside = x.word("cable.min_bend_core_to")? == "inside";
            Ok(Out::Number(if inside { least + core / 2.0 } else { least }))
        },
    },
    Def {
        name: "free_tail_longest",
        title: "longest tail, crutch K to T0",
        formula: "layout.tail, with the two arcs in place of the straight height they stand on",
        inputs: SPREAD,
        mark: Mark::Computed,
        show: Show::MmUp,
        meaning: PLANNING,
        compute: |x| {
            let (h, w) = spread(x)?;
            let tail = x.number("layout.tail")?;
            let Some(r) = radius(x)? else { return Ok(Out::Number(tail)) };
            // Each of the two arcs turns through 2 atan(w / h).
            let arcs = 4.0 * r * (w / h).atan();
            Ok(Out::Number(tail - h + arcs))
        },
    },
];

const SPREAD: &[&str] = &[
    "layout.tail",
    "metal_screen_cut_from_stud",
    "family",
    "kit.straight_below",
    "enclosure.stud_pitch",
    "cable.dia_over_metal_screen",
];

pub(super) fn stands_free(x: &Inputs) -> Result<bool, Gap> {
    let (family, cores) = (x.word("family")?, x.word("cable.cores")?);
    Ok(matches!(family.as_str(), "outdoor" | "connector") && cores != "1")
}

/// Height and sideways step of the bends.
fn spread(x: &Inputs) -> Result<(f64, f64), Gap> {
    let [tail, cut, pitch, core] = x.numbers([
        "layout.tail",
        "metal_screen_cut_from_stud",
        "enclosure.stud_pitch",
        "cable.dia_over_metal_screen",
    ])?;
    let straight = if x.word("family")? == "connector" { x.number("kit.straight_below")? } else { 0.0 };
    Ok((tail - cut.max(straight), (pitch - core).max(0.0)))
}

fn radius(x: &Inputs) -> Result<Option<f64>, Gap> {
    let (h_mm, step_mm) = spread(x)?;
    let core_dia_mm = x.number("cable.dia_over_metal_screen")?;
    let input = BendInput { h_mm, step_mm, limit_mm: None, limit_ref: None, core_dia_mm };
    let bent = bend(&input).map_err(|r| refused(r.code(), r))?;
    Ok(bent.r_two_arcs_axis_mm)
}
