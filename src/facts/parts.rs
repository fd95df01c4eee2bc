//! Kit against cable, lug against stud, doubtful figures.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::job::schema::Mark;

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show, meaning: "", compute }
}

/// Nominal insulation thickness by cable U0, mm: IEC 60502-2:2014 (6/10 and
/// 18/30 in two public reproductions, the others in one).
fn insulation_mm(u0_kv: f64) -> Option<f64> {
    [(6.0, 3.4), (6.35, 3.4), (8.7, 4.5), (12.0, 5.5), (12.7, 5.5), (18.0, 8.0), (19.0, 8.0)]
        .into_iter()
        .find(|(u0, _)| (u0 - u0_kv).abs() < 1e-9)
        .map(|(_, mm)| mm)
}

pub(super) const FACTS: &[Def] = &[
    def(
        "bore_margin",
        "diameter over insulation to the nearer end of the kit's range",
        "lesser of cable.dia_over_insulation - least and most - cable.dia_over_insulation",
        Show::Mm(1),
        &["cable.dia_over_insulation", "kit.dia_over_insulation"],
        |x| {
            let d = x.number("cable.dia_over_insulation")?;
            let (low, high) = x.range("kit.dia_over_insulation")?;
            Ok(Out::Number((d - low).min(high - d)))
        },
    ),
    def(
        "body_dated",
        "bodies have a shelf life",
        "kit.body_expiry_required; heat-shrink parts have none of their own, an inspection fits none",
        Show::Word,
        &["kit.technique", "kit.body_expiry_required", "family"],
        |x| {
            if x.word("family")? == "inspection" || x.word("kit.technique")? == "heat-shrink" {
                return Ok(Out::YesNo(false));
            }
            x.yes("kit.body_expiry_required").map(Out::YesNo)
        },
    ),
    def(
        "boot_palm_spare",
        "boot's widest palm less the palm's width",
        "boots.lug_width_most - lug.palm_width",
        Show::Mm(0),
        &["boots.lug_width_most", "lug.palm_width"],
        |x| {
            let [most, palm] = x.numbers(["boots.lug_width_most", "lug.palm_width"])?;
            Ok(Out::Number(most - palm))
        },
    ),
    def(
        "dia_by_build",
        "diameter over insulation by its build",
        "dia_over_conductor_screen + 2 x nominal insulation of the class",
        Show::Mm(1),
        &["dia_over_conductor_screen", "cable.u0"],
        |x| {
            let [inner, u0] = x.numbers(["dia_over_conductor_screen", "cable.u0"])?;
            let insulation = insulation_mm(u0).ok_or_else(|| {
                refused("no-thickness", format!("no thickness is tabulated for U0 {u0} kV"))
            })?;
            Ok(Out::Number(inner + 2.0 * insulation))
        },
    ),
    def(
        "dia_doubt",
        "diameter over insulation away from its build",
        "distance of cable.dia_over_insulation from dia_by_build, nought where no thickness is tabulated",
        Show::Mm(1),
        &["cable.dia_over_insulation", "dia_by_build"],
        |x| {
            let d = x.number("cable.dia_over_insulation")?;
            Ok(Out::Number(match x.number("dia_by_build") {
                Ok(by_build) => (d - by_build).abs(),
                Err(Gap::Refused { .. }) => 0.0,
                Err(missing) => return Err(missing),
            }))
        },
    ),
    def(
        "keyed_twice",
        "kit figures keyed twice",
        "two different people named under kit.keyed",
        Show::Word,
        &["kit.code", "kit.keyed.first", "kit.keyed.second"],
        |x| {
            x.word("kit.code")?;
            let pair = x.word("kit.keyed.first").ok().zip(x.word("kit.keyed.second").ok());
            Ok(Out::YesNo(pair.is_some_and(|(a, b)| a != b)))
        },
    ),
    def(
        "press_listed",
        "press listed with lug and die",
        "tools.press is one of lug.presses, and tools.die is lug.die",
        Show::Word,
        &["lug.presses", "tools.press", "lug.die", "tools.die"],
        |x| {
            let presses = x.word("lug.presses")?;
            let press = x.word("tools.press")?;
            let listed = presses.split(", ").any(|p| p == press);
            Ok(Out::YesNo(listed && x.word("lug.die")? == x.word("tools.die")?))
        },
    ),
];
