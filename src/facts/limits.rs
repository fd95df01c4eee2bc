//! The limits printed at the hold points: the stations from ring R with the
//! tolerances that keep the kit's limits.

use super::context::{CHAIN, Station};
use super::def::{Def, Gap, Inputs, Out, Show};
use super::stack::{half_down, stack_by};
use crate::calc::StackRow;
use crate::job::schema::Mark;
use crate::units::{Rounding, fixed};

/// A mark rests on every row it stands in.
const MARKS: &[&str] = stack_by!(
    "cover_limit",
    "kit.clear_surface_least",
    "kit.sct.over_semicon_least",
    "kit.edge_to_plate_least",
    "kit.earth_gap_least",
    "enclosure.gland_to_stud",
    "tol_box",
    "layout.crutch",
    "layout.entry_height"
);

/// Tolerance of a mark, tightened where the stack asks for it.
fn tightened<'a>(
    x: &Inputs,
    planned: &'static str,
    rows: impl IntoIterator<Item = &'a StackRow>,
) -> Result<f64, Gap> {
    let planned = x.number(planned)?;
    Ok(rows.into_iter().filter_map(|r| r.mark_tol_mm).map(half_down).fold(planned, f64::min))
}

fn edge_tolerance(x: &Inputs) -> Result<f64, Gap> {
    let stack = x.stack()?;
    let rows =
        [Some(&stack.sct_over_insulation), Some(&stack.sct_over_semicon), stack.edge_to_plate.as_ref()];
    tightened(x, "tol_semicon_edge", rows.into_iter().flatten())
}

fn tube_tolerance(x: &Inputs) -> Result<f64, Gap> {
    let stack = x.stack()?;
    let rows = [&stack.sct_over_insulation, &stack.sct_over_semicon, &stack.clear_surface];
    tightened(x, "tol_tube_mark", rows.into_iter().chain(&stack.tube_to_plate))
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
        inputs: MARKS,
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

/// Share of the maker's torque that a reading may be off: ISO 6789, from memory.
const TORQUE_SHARE: f64 = 0.04;

const fn torque(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: &["torque.value"],
        mark: Mark::Equipment,
        show: Show::Word,
        meaning: "4 % either side of the equipment maker's figure: ISO 6789, from memory.",
        compute,
    }
}

/// A torque in N.m, one decimal where it is not whole: the printed band lies within
/// the true one.
fn torque_limit(share: f64, inwards: Rounding, x: &Inputs) -> Result<Out, Gap> {
    let value = x.number("torque.value")? * share;
    let decimals = if (value - value.round()).abs() < 1e-6 { 0 } else { 1 };
    Ok(Out::Word(format!("{} N.m", fixed(value, decimals, inwards))))
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "wipe_most",
        title: "longest time from the last wipe to the part that covers it",
        formula: "kit.wipe_to_cover_most in whole minutes; not answered: the figure on the kit's sheet",
        inputs: &["kit.wipe_to_cover_most"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "A wiped surface takes up dust and water again while it waits.",
        compute: |x| {
            Ok(Out::Word(if x.answered("kit.wipe_to_cover_most") {
                let minutes = x.number("kit.wipe_to_cover_most")? / 60.0;
                format!("at most {} min", fixed(minutes, 0, Rounding::Down))
            } else {
                "kit sheet's figure".into()
            }))
        },
    },
    torque("torque_low", "torque of each palm, least", "96 % of torque.value", |x| {
        torque_limit(1.0 - TORQUE_SHARE, Rounding::Up, x)
    }),
    torque("torque_high", "torque of each palm, most", "104 % of torque.value", |x| {
        torque_limit(1.0 + TORQUE_SHARE, Rounding::Down, x)
    }),
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
