//! Tolerances of the work and the kit, and what they leave of the kit's limits.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::StackRow;
use crate::job::schema::Mark;
use crate::tables;
use crate::units::{Rounding, fixed};

/// Inputs of every row of the stack, and what one reads besides.
macro_rules! stack_by {
    ($($more:literal),*) => {
        &[
            "lug.barrel_depth", "lug.growth", "lug.mouth_to_hole", "insulation_exposed", "kit.semicon_left",
            "kit.sct.recovered", "kit.sct.over_semicon", "ring_below_screen_cut", "kit.sct.recovered_least",
            "kit.sct.recovered_most", "tol_insulation_cut", "tol_semicon_edge", "tol_tube_mark" $(, $more)*
        ]
    };
}
pub(super) use stack_by;

const STACK: &[&str] = stack_by!();
const COVER: &[&str] = stack_by!("cover_limit");
const CLEAR: &[&str] = stack_by!("kit.clear_surface_least");
const OVERLAP: &[&str] = stack_by!("kit.sct.over_semicon_least");
const EDGE_PLATE: &[&str] = stack_by!(
    "kit.edge_to_plate_least",
    "enclosure.gland_to_stud",
    "tol_box",
    "layout.crutch",
    "layout.entry_height"
);
const TUBE_PLATE: &[&str] = stack_by!(
    "kit.earth_gap_least",
    "enclosure.gland_to_stud",
    "tol_box",
    "layout.crutch",
    "layout.entry_height"
);
/// Marks closer than half a millimetre are not printed.
pub(super) fn half_down(mm: f64) -> f64 {
    (mm * 2.0 + 1e-9).floor() / 2.0
}

const fn tolerance(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::CommonPractice, show: Show::Chosen, meaning: "", compute }
}

const fn row(
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
        show: Show::Mm(1),
        meaning: "Worst by the kit: nominal less the kit's own tolerance of the recovered length. Worst: that less the tolerances of the work. Likely worst: nominal less the root of the sum of squares; it decides nothing.",
        compute,
    }
}

fn cover<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    x.number("cover_limit")?;
    Ok(&x.stack()?.sct_over_insulation)
}

fn clear<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    // Without the kit's least there is no grade; name what is missing.
    x.number("kit.clear_surface_least")?;
    Ok(&x.stack()?.clear_surface)
}

fn overlap<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    x.number("kit.sct.over_semicon_least")?;
    Ok(&x.stack()?.sct_over_semicon)
}

/// What a row above plate or entry is measured from must be answered.
fn above_plate(x: &Inputs, least: &'static str) -> Result<(), Gap> {
    x.numbers(["enclosure.gland_to_stud", least])?;
    if x.word("layout.crutch")? != "inside" {
        x.number("layout.entry_height")?;
    }
    Ok(())
}

fn no_row() -> Gap {
    refused("no-row", "the stack has no row for it")
}

fn edge_plate<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    above_plate(x, "kit.edge_to_plate_least")?;
    x.stack()?.edge_to_plate.as_ref().ok_or_else(no_row)
}

fn tube_plate<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    above_plate(x, "kit.earth_gap_least")?;
    x.stack()?.tube_to_plate.as_ref().ok_or_else(no_row)
}

/// The dimension whose tolerance takes most, and how much.
fn largest(row: &StackRow) -> Result<Out, Gap> {
    Ok(row.largest.map_or(Out::None("no tolerance"), |(part, mm)| {
        let decimals = if (mm - mm.round()).abs() < 1e-6 { 0 } else { 1 };
        Out::Word(format!("{}, {} mm", part.as_str(), fixed(mm, decimals, Rounding::Nearest)))
    }))
}

fn grade(row: &StackRow) -> Result<Out, Gap> {
    row.grade
        .map(|g| Out::Word(g.as_str().into()))
        .ok_or_else(|| refused("no-limit", "there is no limit to grade the figure by"))
}

fn mark_tolerance(row: &StackRow) -> Result<Out, Gap> {
    Ok(row.mark_tol_mm.map_or(Out::None("as planned"), |t| Out::Number(half_down(t))))
}

pub(super) const FACTS: &[Def] = &[
    tolerance(
        "tol_insulation_cut",
        "tolerance of the insulation cut",
        "planner's figure, else 2 mm",
        &["tolerances.insulation_cut"],
        |x| Ok(Out::Number(x.maybe("tolerances.insulation_cut").unwrap_or(2.0))),
    ),
    tolerance(
        "tol_semicon_edge",
        "tolerance of the semicon edge",
        "planner's figure, else 2 mm",
        &["tolerances.semicon_edge"],
        |x| Ok(Out::Number(x.maybe("tolerances.semicon_edge").unwrap_or(2.0))),
    ),
    tolerance(
        "tol_tube_mark",
        "tolerance of the tube's lower mark",
        "planner's figure, else 3 mm",
        &["tolerances.tube_lower_mark"],
        |x| Ok(Out::Number(x.maybe("tolerances.tube_lower_mark").unwrap_or(3.0))),
    ),
    tolerance(
        "tol_box",
        "tolerance of the box height",
        "planner's figure, else 3 mm",
        &["tolerances.box"],
        |x| Ok(Out::Number(x.maybe("tolerances.box").unwrap_or(3.0))),
    ),
    Def {
        name: "cover_stated",
        title: "kit states the least cover on the insulation",
        formula: "kit.sct.over_insulation_least is given",
        inputs: &["kit.sct.over_insulation_least"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| Ok(Out::YesNo(x.answered("kit.sct.over_insulation_least"))),
    },
    Def {
        name: "cover_screening",
        title: "planner's screening figure for the cover",
        formula: "least cover of the table for Um",
        inputs: &["system.highest"],
        mark: Mark::CommonPractice,
        show: Show::Mm(0),
        meaning: "Keeps the mean surface stress under the dry alternating type test below about 0.45 kV/mm. It never overrides the kit.",
        compute: |x| {
            let um = x.number("system.highest")?;
            tables::screening_cover_mm(um)
                .map(Out::Number)
                .ok_or_else(|| refused("um-not-in-table", format!("no screening figure for Um {um} kV")))
        },
    },
    Def {
        name: "cover_limit",
        title: "least cover on the insulation",
        formula: "kit.sct.over_insulation_least, else cover_screening",
        inputs: &["kit.sct.over_insulation_least", "cover_screening"],
        mark: Mark::Kit,
        show: Show::Mm(0),
        meaning: "",
        compute: |x| {
            x.number("kit.sct.over_insulation_least")
                .or_else(|_| x.number("cover_screening"))
                .map(Out::Number)
        },
    },
    row(
        "cover_worst_kit",
        "cover, worst by the kit",
        "sct_over_insulation - (recovered - recovered_least)",
        COVER,
        |x| Ok(Out::Number(cover(x)?.worst_kit_mm)),
    ),
    row("cover_worst", "cover, worst", "cover_worst_kit - tolerances of tube mark and edge", COVER, |x| {
        Ok(Out::Number(cover(x)?.worst_mm))
    }),
    row("cover_likely_worst", "cover, likely worst", "nominal - root of the sum of squares", COVER, |x| {
        Ok(Out::Number(cover(x)?.rss_mm))
    }),
    row(
        "cover_grade",
        "grade of the cover",
        "nominal, worst by the kit and worst against cover_limit",
        COVER,
        |x| grade(cover(x)?),
    ),
    row(
        "cover_mark_tolerance",
        "tolerance of the marks that keeps the cover",
        "(cover_worst_kit - cover_limit) / 2",
        COVER,
        |x| mark_tolerance(cover(x)?),
    ),
    row(
        "cover_largest",
        "largest share of the tolerance of the cover",
        "greatest single tolerance in it",
        COVER,
        |x| largest(cover(x)?),
    ),
    row(
        "clear_worst_kit",
        "clear surface, worst by the kit",
        "clear_surface - (recovered_most - recovered)",
        CLEAR,
        |x| Ok(Out::Number(clear(x)?.worst_kit_mm)),
    ),
    row(
        "clear_worst",
        "clear surface, worst",
        "clear_worst_kit - tolerances of tube mark and insulation cut",
        CLEAR,
        |x| Ok(Out::Number(clear(x)?.worst_mm)),
    ),
    row(
        "clear_likely_worst",
        "clear surface, likely worst",
        "nominal - root of the sum of squares",
        CLEAR,
        |x| Ok(Out::Number(clear(x)?.rss_mm)),
    ),
    row(
        "clear_grade",
        "grade of the clear surface",
        "nominal, worst by the kit and worst against kit.clear_surface_least",
        CLEAR,
        |x| grade(clear(x)?),
    ),
    row(
        "clear_mark_tolerance",
        "tolerance of the marks that keeps the clear surface",
        "(clear_worst_kit - kit.clear_surface_least) / 2",
        CLEAR,
        |x| mark_tolerance(clear(x)?),
    ),
    row(
        "clear_largest",
        "largest share of the tolerance of the clear surface",
        "greatest single tolerance in it",
        CLEAR,
        |x| largest(clear(x)?),
    ),
    row(
        "overlap_worst",
        "tube over the core screen, worst",
        "kit.sct.over_semicon - tolerances of tube mark and edge",
        OVERLAP,
        |x| Ok(Out::Number(overlap(x)?.worst_mm)),
    ),
    row(
        "overlap_likely_worst",
        "tube over the core screen, likely worst",
        "nominal - root of the sum of squares",
        OVERLAP,
        |x| Ok(Out::Number(overlap(x)?.rss_mm)),
    ),
    row(
        "overlap_grade",
        "grade of the tube over the core screen",
        "nominal, worst by the kit and worst against kit.sct.over_semicon_least",
        OVERLAP,
        |x| grade(overlap(x)?),
    ),
    row(
        "overlap_mark_tolerance",
        "tolerance of the marks that keeps the tube over the core screen",
        "(kit.sct.over_semicon - kit.sct.over_semicon_least) / 2",
        OVERLAP,
        |x| mark_tolerance(overlap(x)?),
    ),
    row(
        "overlap_largest",
        "largest share of the tolerance of the tube over the core screen",
        "greatest single tolerance in it",
        OVERLAP,
        |x| largest(overlap(x)?),
    ),
    row(
        "edge_plate_worst",
        "semicon edge above plate or entry, worst",
        "gland_to_stud - semicon_edge_from_stud - entry height - tolerances of box and edge",
        EDGE_PLATE,
        |x| Ok(Out::Number(edge_plate(x)?.worst_mm)),
    ),
    row(
        "edge_plate_likely_worst",
        "semicon edge above plate or entry, likely worst",
        "nominal - root of the sum of squares",
        EDGE_PLATE,
        |x| Ok(Out::Number(edge_plate(x)?.rss_mm)),
    ),
    row(
        "edge_plate_grade",
        "grade of the semicon edge above plate or entry",
        "nominal, worst by the kit and worst against kit.edge_to_plate_least",
        EDGE_PLATE,
        |x| grade(edge_plate(x)?),
    ),
    row(
        "edge_plate_mark_tolerance",
        "tolerance of the marks that keeps the semicon edge above plate or entry",
        "height - tol_box - kit.edge_to_plate_least",
        EDGE_PLATE,
        |x| mark_tolerance(edge_plate(x)?),
    ),
    row(
        "edge_plate_largest",
        "largest share of the tolerance of the semicon edge above plate or entry",
        "greatest single tolerance in it",
        EDGE_PLATE,
        |x| largest(edge_plate(x)?),
    ),
    row(
        "tube_plate_worst",
        "tube end above plate or entry, worst",
        "gland_to_stud - sct_lower_from_stud - entry height - tolerances of box and tube mark",
        TUBE_PLATE,
        |x| Ok(Out::Number(tube_plate(x)?.worst_mm)),
    ),
    row(
        "tube_plate_likely_worst",
        "tube end above plate or entry, likely worst",
        "nominal - root of the sum of squares",
        TUBE_PLATE,
        |x| Ok(Out::Number(tube_plate(x)?.rss_mm)),
    ),
    row(
        "tube_plate_grade",
        "grade of the tube end above plate or entry",
        "nominal, worst by the kit and worst against kit.earth_gap_least",
        TUBE_PLATE,
        |x| grade(tube_plate(x)?),
    ),
    row(
        "tube_plate_mark_tolerance",
        "tolerance of the marks that keeps the tube end above plate or entry",
        "height - tol_box - kit.earth_gap_least",
        TUBE_PLATE,
        |x| mark_tolerance(tube_plate(x)?),
    ),
    row(
        "tube_plate_largest",
        "largest share of the tolerance of the tube end above plate or entry",
        "greatest single tolerance in it",
        TUBE_PLATE,
        |x| largest(tube_plate(x)?),
    ),
    row(
        "exposed_worst",
        "insulation exposed, worst",
        "insulation_exposed - tolerances of insulation cut and edge",
        STACK,
        |x| Ok(Out::Number(x.stack()?.insulation_exposed.worst_mm)),
    ),
    row(
        "exposed_likely_worst",
        "insulation exposed, likely worst",
        "nominal - root of the sum of squares",
        STACK,
        |x| Ok(Out::Number(x.stack()?.insulation_exposed.rss_mm)),
    ),
    row(
        "exposed_largest",
        "largest share of the tolerance of the insulation exposed",
        "greatest single tolerance in it",
        STACK,
        |x| largest(&x.stack()?.insulation_exposed),
    ),
];
