//! What an inspection holds the end against: the kit's limits where the kit is
//! known, else the client's, and the tube's length by the voltage alone.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{TubeLength, TubeLengthInput, tube_length_rule, tube_length_series};
use crate::job::schema::Mark;
use crate::units::{Rounding, fixed};

/// The band of a linear tube at the operating voltage, whatever is installed.
fn band(x: &Inputs) -> Result<TubeLength, Gap> {
    let operating_kv = x.number("system.nominal")?;
    tube_length_rule(&TubeLengthInput { operating_kv, tube_mm: 1.0, moulded: false })
        .map_err(|r| refused(r.code(), r))
}

/// The kit's figure where the kit is known, else the client's.
fn either(x: &Inputs, kit: &'static str, client: &'static str) -> Result<Out, Gap> {
    x.number(if x.yes("kit_known")? { kit } else { client }).map(Out::Number)
}

const fn limit(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Client, show: Show::Chosen, meaning: "", compute }
}

/// Voltages of the series with the least length of a linear tube for each: kV, mm.
pub fn tube_series() -> impl Iterator<Item = (f64, f64)> {
    tube_length_series()
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "kit_known",
        title: "the kit that is built in is known",
        formula: "kit names one",
        inputs: &["kit.code"],
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "An old end without a record is held against the client's own limits.",
        compute: |x| Ok(Out::YesNo(!x.word("kit.code")?.starts_with("none"))),
    },
    limit(
        "found_gap_least",
        "least gap between phases, as found",
        "kit.phase_gap_least; kit not known: inspection.phase_gap_least",
        &["kit_known", "kit.phase_gap_least", "inspection.phase_gap_least"],
        |x| either(x, "kit.phase_gap_least", "inspection.phase_gap_least"),
    ),
    limit(
        "found_earth_gap_least",
        "least gap to earthed metal, as found",
        "kit.earth_gap_least; kit not known: inspection.earth_gap_least",
        &["kit_known", "kit.earth_gap_least", "inspection.earth_gap_least"],
        |x| either(x, "kit.earth_gap_least", "inspection.earth_gap_least"),
    ),
    limit(
        "found_step_least",
        "least height of the tube's lower end, as found",
        "greater of kit.earth_gap_least, and kit.edge_to_plate_least - kit.sct.over_semicon; kit not known: inspection.earth_gap_least",
        &[
            "kit_known",
            "kit.earth_gap_least",
            "kit.edge_to_plate_least",
            "kit.sct.over_semicon",
            "inspection.earth_gap_least",
        ],
        |x| {
            if !x.yes("kit_known")? {
                return x.number("inspection.earth_gap_least").map(Out::Number);
            }
            let [earth, edge, over] =
                x.numbers(["kit.earth_gap_least", "kit.edge_to_plate_least", "kit.sct.over_semicon"])?;
            Ok(Out::Number(earth.max(edge - over)))
        },
    ),
    limit(
        "found_edge_least",
        "least height of the edge, as found",
        "kit.edge_to_plate_least; kit not known: inspection.edge_to_plate_least",
        &["kit_known", "kit.edge_to_plate_least", "inspection.edge_to_plate_least"],
        |x| either(x, "kit.edge_to_plate_least", "inspection.edge_to_plate_least"),
    ),
    Def {
        name: "voltage_tube_low",
        title: "least usual length of a tube at this voltage",
        formula: "190/22 x operating voltage",
        inputs: &["system.nominal"],
        mark: Mark::CommonPractice,
        show: Show::Chosen,
        meaning: "Linear stress control tubes; a moulded body is judged by its kit.",
        compute: |x| band(x).map(|b| Out::Number(b.least_mm)),
    },
    Def {
        name: "voltage_tube_high",
        title: "greatest usual length of a tube at this voltage",
        formula: "250/22 x operating voltage",
        inputs: &["system.nominal"],
        mark: Mark::CommonPractice,
        show: Show::Chosen,
        meaning: "",
        compute: |x| band(x).map(|b| Out::Number(b.most_mm)),
    },
    Def {
        name: "found_length_limit",
        title: "length between the two steps",
        formula: "kit.sct.recovered_least to recovered_most; kit not known: the band of the voltage",
        inputs: &[
            "kit_known",
            "kit.sct.recovered_least",
            "kit.sct.recovered_most",
            "voltage_tube_low",
            "voltage_tube_high",
        ],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| {
            let [low, high] = if x.yes("kit_known")? {
                x.numbers(["kit.sct.recovered_least", "kit.sct.recovered_most"])?
            } else {
                x.numbers(["voltage_tube_low", "voltage_tube_high"])?
            };
            let mm = |v: f64| fixed(v, if v.fract().abs() < 1e-6 { 0 } else { 1 }, Rounding::Nearest);
            Ok(Out::Word(format!("{} to {} mm", mm(low), mm(high))))
        },
    },
    Def {
        name: "found_by",
        title: "whose limits the end is held against",
        formula: "the kit's code, or: client's limits, kit not known",
        inputs: &["kit_known", "kit.code"],
        mark: Mark::Planner,
        show: Show::Word,
        meaning: "",
        compute: |x| {
            Ok(Out::Word(if x.yes("kit_known")? {
                format!("kit {}", x.word("kit.code")?)
            } else {
                "client's limits, kit not known".into()
            }))
        },
    },
    Def {
        name: "found_limits_open",
        title: "limits of the end as found left open",
        formula: "those of found_gap_least, found_earth_gap_least, found_length_limit, in a box found_edge_least, on a pole arcing distance and sheds of a known kit, without a figure",
        inputs: &[
            "found_gap_least",
            "found_earth_gap_least",
            "found_edge_least",
            "found_length_limit",
            "kit.strike",
            "kit.sheds.count",
            "kit_known",
            "found_outdoors",
        ],
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "What nobody gives a figure for can't be judged by a point, nor decided on.",
        compute: |x| {
            let (outdoors, known) = (x.yes("found_outdoors")?, x.yes("kit_known")?);
            // The kit's own figure where it is known, else the client's.
            let whose = |key: &str| format!("{}.{key}", if known { "kit" } else { "inspection" });
            let length = if known { "kit.sct.recovered_least" } else { "system.nominal" };
            let open: Vec<(String, String)> = [
                ("found_gap_least", whose("phase_gap_least"), "the least gap between phases", true),
                ("found_earth_gap_least", whose("earth_gap_least"), "the least gap to earthed metal", true),
                (
                    "found_edge_least",
                    whose("edge_to_plate_least"),
                    "the least height of the edge above the plate",
                    !outdoors,
                ),
                ("found_length_limit", length.into(), "the length of the stress control tube", true),
                ("kit.strike", "kit.strike".into(), "the dry arcing distance", outdoors && known),
                ("kit.sheds.count", "kit.sheds.count".into(), "the number of sheds", outdoors && known),
            ]
            .into_iter()
            .filter(|(name, .., asked)| *asked && !x.answered(name))
            .map(|(_, key, words, _)| (words.to_string(), key))
            .collect();
            Ok(if open.is_empty() { Out::None("none") } else { Out::Open(open) })
        },
    },
];
