//! The torque wrench beside the torque it has to set.

use super::def::{Def, Gap, Inputs, Out, Show};
use crate::calc::wrench_serves;
use crate::job::schema::Mark;
use crate::units::{Dimension, Range};

/// The wrench's range: the key's own, else one that stands in its name, as in
/// `TW-07, 10 to 60 N.m`.
fn range(x: &Inputs) -> Option<(f64, f64)> {
    x.range("tools.torque_range").ok().or_else(|| {
        let name = x.word("tools.torque_wrench").ok()?;
        let words: Vec<&str> = name.split([' ', ',', ';', '(', ')']).filter(|w| !w.is_empty()).collect();
        // `10 to 60 N.m` or `10 N.m to 60 N.m`.
        let parts = [4, 5].into_iter().flat_map(|length| words.windows(length));
        let mut ranges = parts.filter_map(|part| Range::parse(&part.join(" "), Dimension::Torque).ok());
        ranges.next().map(|range| (range.low.base(), range.high.base()))
    })
}

fn suits(x: &Inputs) -> Result<Out, Gap> {
    // Only a joint may have nothing to tighten.
    if x.word("family")? == "joint" && !x.answered("torque.value") {
        return Ok(Out::None("nothing is tightened"));
    }
    let torque = x.number("torque.value")?;
    Ok(Out::Word(
        match range(x) {
            None => "no range written",
            Some((low, high)) if wrench_serves(torque, low, high) => "inside",
            Some(_) => "outside",
        }
        .into(),
    ))
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "wrench_range",
        title: "range of the torque wrench",
        formula: "tools.torque_range, else the range that stands in tools.torque_wrench",
        inputs: &["tools.torque_range", "tools.torque_wrench"],
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "",
        compute: |x| {
            let words = range(x).map(|(low, high)| format!("{low} to {high} N.m"));
            Ok(Out::Word(words.unwrap_or_else(|| "not written".into())))
        },
    },
    Def {
        name: "wrench_suits",
        title: "the torque in the wrench's range",
        formula: "torque.value between the ends of wrench_range, and not below a fifth of its upper end",
        inputs: &["family", "torque.value", "tools.torque_range", "tools.torque_wrench"],
        mark: Mark::CommonPractice,
        show: Show::Word,
        meaning: "A torque wrench is true from about a fifth of its range up: common practice, no source.",
        compute: suits,
    },
];
