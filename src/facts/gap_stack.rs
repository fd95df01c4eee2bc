//! The gap between phases with the tolerances of box, mark and tube.

use super::context::shaped_by;
use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{self, GapStack, GapStackInput};
use crate::job::schema::Mark;
use crate::units::{Rounding, fixed};

const STACK: &[&str] = shaped_by!("tol_box", "tol_tube_mark", "kit.sct.recovered_most");

fn stack(x: &Inputs) -> Result<GapStack, Gap> {
    x.context.gap_stack.get_or_init(|| worked_out(x)).clone()
}

fn worked_out(x: &Inputs) -> Result<GapStack, Gap> {
    let [tol_box_mm, tol_tube_set_mm, most, recovered] =
        x.numbers(["tol_box", "tol_tube_mark", "kit.sct.recovered_most", "kit.sct.recovered"])?;
    let layout = x.geometry()?.layout;
    let input = GapStackInput { layout, tube_longer_mm: most - recovered, tol_tube_set_mm, tol_box_mm };
    calc::gap_stack(&input).map_err(|r| refused(r.code(), r))
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
        meaning: "The semicon edge moves nothing here, for the tube lies over it. The gauge at the trial fit measures the gap itself and decides.",
        compute,
    }
}

pub(super) const FACTS: &[Def] = &[
    row(
        "phase_gap_worst",
        "least gap, cores as they lie, worst",
        "phase_gap with the box lower by tol_box, the tube's end by tol_tube_mark, the tube as long as its sheet allows",
        |x| stack(x).map(|s| Out::Number(s.worst_mm)),
    ),
    row(
        "phase_gap_likely_worst",
        "least gap, cores as they lie, likely worst",
        "phase_gap - root of the sum of squares of what each takes alone",
        |x| stack(x).map(|s| Out::Number(s.rss_mm)),
    ),
    row(
        "phase_gap_largest",
        "largest share of the tolerance of the least gap",
        "what takes most of it alone, and how much",
        |x| {
            Ok(stack(x)?.largest.map_or(Out::None("no tolerance"), |(part, mm)| {
                Out::Word(format!("{}, {} mm of the gap", part.as_str(), fixed(mm, 1, Rounding::Nearest)))
            }))
        },
    ),
];
