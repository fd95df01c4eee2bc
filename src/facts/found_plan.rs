//! What a planner wrote of an end that is to be looked at, beside the limits the pack holds
//! it against: it is measured anyway, but nobody should drive out to be surprised.

use super::def::{Def, Inputs, Out, Show};
use crate::job::schema::Mark;

/// A planned figure beside its limit: key, words, fact, limit, whether the limit is a most,
/// and whether only an end on a pole has it.
type Beside = (&'static str, &'static str, &'static str, &'static str, bool, bool);

const FIGURES: [Beside; 5] = [
    ("kit.um", "Um of the kit", "kit.um", "system.highest", false, false),
    ("cable.um", "Um of the cable", "cable.um", "system.highest", false, false),
    (
        "enclosure.arcing_distance",
        "arcing distance",
        "enclosure.arcing_distance",
        "arcing_needed",
        false,
        true,
    ),
    (
        "enclosure.core_to_earthed",
        "gap from the tube to earthed metal",
        "outdoor_earth_gap",
        "found_earth_gap_least",
        false,
        true,
    ),
    (
        "arresters.lead_total",
        "leads of the arresters",
        "arresters.lead_total",
        "arresters.lead_total_most",
        true,
        true,
    ),
];

fn outside(x: &Inputs) -> Vec<(String, String)> {
    let outdoors = x.yes("found_outdoors").unwrap_or(false);
    let mut open = Vec::new();
    for (key, words, fact, limit, most, pole) in FIGURES {
        let (Some(figure), Some(bound)) = (x.maybe(fact), x.maybe(limit)) else { continue };
        let wrong = if most { figure > bound + 1e-9 } else { figure < bound - 1e-9 };
        if wrong && (outdoors || !pole) {
            let side = if most { "most" } else { "least" };
            let [figure, bound] = [fact, limit].map(|name| x.printed(name));
            open.push((format!("{words} {figure}, {side} {bound}"), key.to_string()));
        }
    }
    let inverted = x.word("layout.attitude").is_ok_and(|word| word == "inverted");
    if outdoors && inverted && !x.yes("kit.inverted_allowed").unwrap_or(true) {
        open.push(("inverted, which the kit does not allow".into(), "layout.attitude".into()));
    }
    open
}

pub(super) const FACTS: &[Def] = &[Def {
    name: "found_plan_outside",
    title: "planned figures outside the limits of the inspection",
    formula: "of the figures given: Um of kit and cable below the system's; on a pole arcing distance, gap to earthed metal, leads of arresters and attitude outside their limits",
    inputs: &[
        "found_outdoors",
        "kit.um",
        "cable.um",
        "system.highest",
        "enclosure.arcing_distance",
        "arcing_needed",
        "outdoor_earth_gap",
        "found_earth_gap_least",
        "arresters.lead_total",
        "arresters.lead_total_most",
        "layout.attitude",
        "kit.inverted_allowed",
    ],
    mark: Mark::Computed,
    show: Show::Word,
    meaning: "",
    compute: |x| {
        let open = outside(x);
        Ok(if open.is_empty() { Out::None("none") } else { Out::Open(open) })
    },
}];
