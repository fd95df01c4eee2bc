//! Tolerances, what they leave of the kit's limits, and the limits printed at
//! the hold points.

use super::context::{CHAIN, Station};
use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::StackRow;
use crate::job::schema::Mark;
use crate::tables;
use crate::units::{Rounding, fixed};

const STACK: &[&str] = &[
    "lug.barrel_depth",
    "lug.growth",
    "lug.mouth_to_hole",
    "insulation_exposed",
    "kit.semicon_left",
    "kit.sct.recovered",
    "kit.sct.over_semicon",
    "ring_below_screen_cut",
    "kit.sct.recovered_least",
    "kit.sct.recovered_most",
    "tol_insulation_cut",
    "tol_semicon_edge",
    "tol_tube_mark",
    "cover_limit",
    "kit.clear_surface_least",
];

/// Marks closer than half a millimetre are not printed.
fn half_down(mm: f64) -> f64 {
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
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: STACK,
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "Worst by the kit: nominal less the kit's own tolerance of the recovered length. Worst: that less the tolerances of the work. Likely worst: nominal less the root of the sum of squares; it decides nothing.",
        compute,
    }
}

fn cover<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    Ok(&x.stack()?.sct_over_insulation)
}

fn clear<'a>(x: &'a Inputs) -> Result<&'a StackRow, Gap> {
    // Without the kit's least there is no grade; name what is missing.
    x.number("kit.clear_surface_least")?;
    Ok(&x.stack()?.clear_surface)
}

fn grade(row: &StackRow) -> Result<Out, Gap> {
    row.grade
        .map(|g| Out::Word(g.as_str().into()))
        .ok_or_else(|| refused("no-limit", "there is no limit to grade the figure by"))
}

fn mark_tolerance(row: &StackRow) -> Result<Out, Gap> {
    Ok(row.mark_tol_mm.map_or(Out::None("as planned"), |t| Out::Number(half_down(t))))
}

/// Tolerance of a mark, tightened where the stack asks for it.
fn tightened(x: &Inputs, planned: &'static str, rows: &[&StackRow]) -> Result<f64, Gap> {
    let planned = x.number(planned)?;
    Ok(rows.iter().filter_map(|r| r.mark_tol_mm).map(half_down).fold(planned, f64::min))
}

fn edge_tolerance(x: &Inputs) -> Result<f64, Gap> {
    tightened(x, "tol_semicon_edge", &[&x.stack()?.sct_over_insulation])
}

fn tube_tolerance(x: &Inputs) -> Result<f64, Gap> {
    let stack = x.stack()?;
    tightened(x, "tol_tube_mark", &[&stack.sct_over_insulation, &stack.clear_surface])
}

/// A limit in mm: whole where it is whole, else one decimal.
fn limit(mm: f64) -> Out {
    let text = if (mm - mm.round()).abs() < 1e-6 {
        fixed(mm, 0, Rounding::Nearest)
    } else {
        fixed(mm, 1, Rounding::Nearest)
    };
    Out::Word(format!("{text} mm"))
}

/// Height above ring R of a station, whole mm.
fn above_ring(x: &Inputs, station: Station) -> Result<f64, Gap> {
    Ok(x.stations()?.between(station, Station::R).1 as f64)
}

const fn at_mark(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: STACK,
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "Printed at the hold point.",
        compute,
    }
}

const FILLER: &[&str] = &[
    CHAIN[0],
    CHAIN[1],
    CHAIN[2],
    CHAIN[3],
    CHAIN[4],
    CHAIN[5],
    CHAIN[6],
    CHAIN[7],
    "kit.filler.on_semicon",
    "kit.filler.on_insulation",
    "kit.filler.tolerance",
];

const STOP: &[&str] = &[
    CHAIN[0],
    CHAIN[1],
    CHAIN[2],
    CHAIN[3],
    CHAIN[4],
    CHAIN[5],
    CHAIN[6],
    CHAIN[7],
    "kit.stop_below_edge",
    "kit.stop_tolerance",
];

const fn stop(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: STOP,
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "Slip-on and cold-shrink bodies. Where the kit is silent on the tolerance: 3 mm (common practice, no source).",
        compute,
    }
}

/// Where the body's lower end stands above ring R; below nought it lies under R.
fn stop_mark(x: &Inputs) -> Result<f64, Gap> {
    Ok(above_ring(x, Station::B)? - x.number("kit.stop_below_edge")?)
}

fn stop_tolerance(x: &Inputs) -> f64 {
    x.maybe("kit.stop_tolerance").unwrap_or(3.0)
}

const fn filler(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: FILLER,
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "Where the kit is silent on the tolerance: at least the figure, up to 10 mm over is a note (common practice, no source).",
        compute,
    }
}

/// Less and more than nominal that the filler may reach.
fn reach(x: &Inputs) -> (f64, f64) {
    x.maybe("kit.filler.tolerance").map_or((0.0, 10.0), |t| (t, t))
}

fn filler_low(x: &Inputs) -> Result<f64, Gap> {
    Ok(above_ring(x, Station::B)? - x.number("kit.filler.on_semicon")?)
}

fn filler_high(x: &Inputs) -> Result<f64, Gap> {
    Ok(above_ring(x, Station::B)? + x.number("kit.filler.on_insulation")?)
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
        |x| Ok(Out::Number(cover(x)?.worst_kit_mm)),
    ),
    row("cover_worst", "cover, worst", "cover_worst_kit - tolerances of edge and tube mark", |x| {
        Ok(Out::Number(cover(x)?.worst_mm))
    }),
    row("cover_likely_worst", "cover, likely worst", "nominal - root of the sum of squares", |x| {
        Ok(Out::Number(cover(x)?.rss_mm))
    }),
    row(
        "cover_grade",
        "grade of the cover",
        "nominal, worst by the kit and worst against cover_limit",
        |x| grade(cover(x)?),
    ),
    row(
        "cover_mark_tolerance",
        "tolerance of the marks that keeps the cover",
        "(cover_worst_kit - cover_limit) / 2",
        |x| mark_tolerance(cover(x)?),
    ),
    row(
        "clear_worst_kit",
        "clear surface, worst by the kit",
        "clear_surface - (recovered_most - recovered)",
        |x| Ok(Out::Number(clear(x)?.worst_kit_mm)),
    ),
    row(
        "clear_worst",
        "clear surface, worst",
        "clear_worst_kit - tolerances of tube mark and insulation cut",
        |x| Ok(Out::Number(clear(x)?.worst_mm)),
    ),
    row("clear_likely_worst", "clear surface, likely worst", "nominal - root of the sum of squares", |x| {
        Ok(Out::Number(clear(x)?.rss_mm))
    }),
    row(
        "clear_grade",
        "grade of the clear surface",
        "nominal, worst by the kit and worst against kit.clear_surface_least",
        |x| grade(clear(x)?),
    ),
    row(
        "clear_mark_tolerance",
        "tolerance of the marks that keeps the clear surface",
        "(clear_worst_kit - kit.clear_surface_least) / 2",
        |x| mark_tolerance(clear(x)?),
    ),
    at_mark(
        "edge_above_ring_low",
        "semicon edge above ring R, least",
        "edge_above_ring - tolerance of the edge",
        |x| Ok(limit(above_ring(x, Station::B)? - edge_tolerance(x)?)),
    ),
    at_mark(
        "edge_above_ring_high",
        "semicon edge above ring R, most",
        "edge_above_ring + tolerance of the edge",
        |x| Ok(limit(above_ring(x, Station::B)? + edge_tolerance(x)?)),
    ),
    at_mark(
        "sct_lower_above_ring_low",
        "lower end of tube above ring R, least",
        "sct_lower_above_ring - tolerance of the mark",
        |x| Ok(limit(above_ring(x, Station::L)? - tube_tolerance(x)?)),
    ),
    at_mark(
        "sct_lower_above_ring_high",
        "lower end of tube above ring R, most",
        "sct_lower_above_ring + tolerance of the mark",
        |x| Ok(limit(above_ring(x, Station::L)? + tube_tolerance(x)?)),
    ),
    at_mark(
        "sct_upper_above_ring_low",
        "upper end of tube above ring R, least",
        "greater of lower end least + recovered_least, and edge_above_ring + cover_limit",
        |x| {
            let by_tube =
                above_ring(x, Station::L)? - tube_tolerance(x)? + x.number("kit.sct.recovered_least")?;
            Ok(limit(by_tube.max(above_ring(x, Station::B)? + x.number("cover_limit")?)))
        },
    ),
    at_mark(
        "sct_upper_above_ring_high",
        "upper end of tube above ring R, most",
        "lesser of lower end most + recovered_most, and insulation cut above ring - clear surface least",
        |x| {
            let by_tube =
                above_ring(x, Station::L)? + tube_tolerance(x)? + x.number("kit.sct.recovered_most")?;
            Ok(limit(by_tube.min(above_ring(x, Station::A)? - x.number("kit.clear_surface_least")?)))
        },
    ),
    at_mark("sct_recovered_low", "tube as recovered, least", "kit.sct.recovered_least", |x| {
        Ok(limit(x.number("kit.sct.recovered_least")?))
    }),
    at_mark("sct_recovered_high", "tube as recovered, most", "kit.sct.recovered_most", |x| {
        Ok(limit(x.number("kit.sct.recovered_most")?))
    }),
    at_mark("cover_least", "least cover on the insulation at the hold point", "cover_limit", |x| {
        Ok(limit(x.number("cover_limit")?))
    }),
    at_mark("clear_least", "least clear surface at the hold point", "kit.clear_surface_least", |x| {
        Ok(limit(x.number("kit.clear_surface_least")?))
    }),
    stop(
        "stop_above_ring",
        "stop tape of the body above ring R",
        "edge_above_ring - kit.stop_below_edge",
        |x| Ok(limit(stop_mark(x)?)),
    ),
    stop("stop_above_ring_low", "body's lower end above ring R, least", "stop_above_ring - tolerance", |x| {
        Ok(limit(stop_mark(x)? - stop_tolerance(x)))
    }),
    stop("stop_above_ring_high", "body's lower end above ring R, most", "stop_above_ring + tolerance", |x| {
        Ok(limit(stop_mark(x)? + stop_tolerance(x)))
    }),
    filler(
        "filler_low_above_ring",
        "lower end of filler above ring R",
        "edge_above_ring - kit.filler.on_semicon",
        |x| Ok(limit(filler_low(x)?)),
    ),
    filler(
        "filler_high_above_ring",
        "upper end of filler above ring R",
        "edge_above_ring + kit.filler.on_insulation",
        |x| Ok(limit(filler_high(x)?)),
    ),
    filler(
        "filler_low_above_ring_low",
        "lower end of filler above ring R, least",
        "filler_low_above_ring - what the kit allows more",
        |x| Ok(limit(filler_low(x)? - reach(x).1)),
    ),
    filler(
        "filler_low_above_ring_high",
        "lower end of filler above ring R, most",
        "filler_low_above_ring + what the kit allows less",
        |x| Ok(limit(filler_low(x)? + reach(x).0)),
    ),
    filler(
        "filler_high_above_ring_low",
        "upper end of filler above ring R, least",
        "filler_high_above_ring - what the kit allows less",
        |x| Ok(limit(filler_high(x)? - reach(x).0)),
    ),
    filler(
        "filler_high_above_ring_high",
        "upper end of filler above ring R, most",
        "filler_high_above_ring + what the kit allows more",
        |x| Ok(limit(filler_high(x)? + reach(x).1)),
    ),
];
