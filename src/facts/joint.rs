//! A straight joint: every figure from its centre C0, sides X (long, parts parked)
//! and Y.

use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{JointChain, JointInput, joint_chain};
use crate::job::schema::Mark;

const CHAIN: &[&str] = &[
    "family",
    "kit.connector_half",
    "kit.connector_gap",
    "kit.semicon_edge",
    "kit.screen_cut",
    "kit.sct.recovered",
    "kit.body.recovered",
    "kit.sheath_cut_x",
    "kit.sheath_cut_y",
    "cable.armour.kind",
    "kit.armour_left",
    "kit.bedding_left",
    "kit.outer_sleeve.recovered",
    "kit.outer_sleeve.overlap_least",
    "kit.sct.over_semicon_least",
    "kit.body.over_screen_least",
];

/// A mark in a joint holds to this much, mm. Common practice, no source.
const MARK_MM: f64 = 5.0;

fn input(x: &Inputs) -> Result<JointInput, Gap> {
    let [half, gap, edge, screen] =
        x.numbers(["kit.connector_half", "kit.connector_gap", "kit.semicon_edge", "kit.screen_cut"])?;
    let [tube, body, cut_x, cut_y] =
        x.numbers(["kit.sct.recovered", "kit.body.recovered", "kit.sheath_cut_x", "kit.sheath_cut_y"])?;
    let sleeve = x.number("kit.outer_sleeve.recovered")?;
    // Cable without armour is bare from the sheath cut on.
    let [armour, bedding] = match x.word("cable.armour.kind")?.as_str() {
        "none" => [0.0, 0.0],
        _ => x.numbers(["kit.armour_left", "kit.bedding_left"])?,
    };
    let [sleeve_least, tube_least, body_least] = x.numbers([
        "kit.outer_sleeve.overlap_least",
        "kit.sct.over_semicon_least",
        "kit.body.over_screen_least",
    ])?;
    Ok(JointInput {
        connector_half_mm: half,
        connector_gap_mm: gap,
        semicon_edge_mm: edge,
        screen_cut_mm: screen,
        sct_mm: tube,
        body_mm: body,
        sheath_cut_x_mm: cut_x,
        sheath_cut_y_mm: cut_y,
        armour_left_mm: armour,
        bedding_left_mm: bedding,
        outer_sleeve_mm: sleeve,
        sleeve_overlap_min_mm: sleeve_least,
        sct_over_semicon_min_mm: tube_least,
        body_over_screen_min_mm: body_least,
    })
}

fn chain(x: &Inputs) -> Result<JointChain, Gap> {
    joint_chain(&input(x)?).map_err(|r| refused(r.code(), r))
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs: CHAIN, mark: Mark::Computed, show, meaning: "", compute }
}

fn mm(value: f64) -> Result<Out, Gap> {
    Ok(Out::Number(value))
}

/// A tube's end may lie off its mark by the house figure, and never so far that
/// the other end loses its least overlap.
fn end_tolerance(overlap: f64, least: f64) -> f64 {
    MARK_MM.min((overlap - least).max(0.0))
}

pub(super) const FACTS: &[Def] = &[
    def("joint_state", "state of the joint's chain", "closes, or the first contradiction", Show::Word, |x| {
        if x.word("family")? != "joint" {
            return Ok(Out::None("no joint"));
        }
        match chain(x) {
            Ok(_) => Ok(Out::Word("closes".into())),
            Err(Gap::Refused { code, .. }) => Ok(Out::Word(code)),
            Err(missing) => Err(missing),
        }
    }),
    def("joint_why", "contradiction of the joint's chain", "in words", Show::Word, |x| match chain(x) {
        Ok(_) => Ok(Out::None("none")),
        Err(Gap::Refused { why, .. }) => Ok(Out::Word(why)),
        Err(missing) => Err(missing),
    }),
    def(
        "insulation_cut_from_c0",
        "insulation cut from C0, each side",
        "kit.connector_half + kit.connector_gap",
        Show::Chosen,
        |x| mm(chain(x)?.insulation_cut_from_c0_mm),
    ),
    def(
        "exposed_each_side",
        "insulation exposed, each side",
        "kit.semicon_edge - insulation_cut_from_c0",
        Show::Chosen,
        |x| mm(chain(x)?.exposed_insulation_each_side_mm),
    ),
    def(
        "joint_screen_left",
        "core screen left beyond the metallic screen",
        "kit.screen_cut - kit.semicon_edge",
        Show::Chosen,
        |x| mm(chain(x)?.semicon_left_mm),
    ),
    def("tube_end_from_c0", "end of stress control from C0", "kit.sct.recovered / 2", Show::Chosen, |x| {
        mm(chain(x)?.sct_half_mm)
    }),
    def(
        "tube_overlap_each_side",
        "stress control over the core screen, each side",
        "tube_end_from_c0 - kit.semicon_edge",
        Show::Chosen,
        |x| mm(chain(x)?.sct_over_semicon_each_side_mm),
    ),
    def("body_end_from_c0", "end of body from C0", "kit.body.recovered / 2", Show::Chosen, |x| {
        mm(chain(x)?.body_half_mm)
    }),
    def(
        "body_overlap_each_side",
        "body over the metallic screen, each side",
        "body_end_from_c0 - kit.screen_cut",
        Show::Chosen,
        |x| mm(chain(x)?.body_over_metal_screen_mm),
    ),
    def(
        "tube_end_low",
        "end of stress control from C0, least",
        "tube_end_from_c0 - tolerance, never less than the overlap asks",
        Show::Chosen,
        |x| {
            let c = chain(x)?;
            let least = x.number("kit.sct.over_semicon_least")?;
            mm(c.sct_half_mm - end_tolerance(c.sct_over_semicon_each_side_mm, least))
        },
    ),
    def(
        "tube_end_high",
        "end of stress control from C0, most",
        "tube_end_from_c0 + the same",
        Show::Chosen,
        |x| {
            let c = chain(x)?;
            let least = x.number("kit.sct.over_semicon_least")?;
            mm(c.sct_half_mm + end_tolerance(c.sct_over_semicon_each_side_mm, least))
        },
    ),
    def(
        "body_end_low",
        "end of body from C0, least",
        "body_end_from_c0 - tolerance, never less than the overlap asks",
        Show::Chosen,
        |x| {
            let c = chain(x)?;
            let least = x.number("kit.body.over_screen_least")?;
            mm(c.body_half_mm - end_tolerance(c.body_over_metal_screen_mm, least))
        },
    ),
    def("body_end_high", "end of body from C0, most", "body_end_from_c0 + the same", Show::Chosen, |x| {
        let c = chain(x)?;
        let least = x.number("kit.body.over_screen_least")?;
        mm(c.body_half_mm + end_tolerance(c.body_over_metal_screen_mm, least))
    }),
    def(
        "crutch_from_c0_x",
        "crutch of three cores, else end of bedding or sheath, from C0, side X",
        "kit.sheath_cut_x - kit.armour_left - kit.bedding_left; no armour: kit.sheath_cut_x",
        Show::Chosen,
        |x| mm(chain(x)?.crutch_from_c0_x_mm),
    ),
    def(
        "crutch_from_c0_y",
        "crutch of three cores, else end of bedding or sheath, from C0, side Y",
        "as side X",
        Show::Chosen,
        |x| mm(chain(x)?.crutch_from_c0_y_mm),
    ),
    def(
        "park_clear",
        "room to park on side X",
        "crutch_from_c0_x - kit.screen_cut - 20 mm (common practice, no source)",
        Show::Chosen,
        |x| mm(chain(x)?.park_clear_mm),
    ),
    def(
        "longest_parked",
        "longest part parked on a core",
        "greater of kit.sct.recovered and kit.body.recovered",
        Show::Chosen,
        |x| mm(chain(x)?.longest_parked_mm),
    ),
    def(
        "sleeve_overlap_each_side",
        "outer sleeve over the sheath, each side",
        "(kit.outer_sleeve.recovered - both sheath cuts) / 2",
        Show::Chosen,
        |x| mm(chain(x)?.sleeve_overlap_each_side_mm),
    ),
    def(
        "sleeve_centre_from_c0",
        "middle of the outer sleeve from C0, towards X",
        "(kit.sheath_cut_x - kit.sheath_cut_y) / 2",
        Show::Chosen,
        |x| mm(chain(x)?.sleeve_centre_from_c0_mm),
    ),
    def(
        "sleeve_end_x",
        "end of the outer sleeve from C0, side X",
        "half the sleeve + its offset",
        Show::Chosen,
        |x| {
            let half = x.number("kit.outer_sleeve.recovered")? / 2.0;
            mm(half + chain(x)?.sleeve_centre_from_c0_mm)
        },
    ),
    def(
        "sleeve_end_y",
        "end of the outer sleeve from C0, side Y",
        "half the sleeve - its offset",
        Show::Chosen,
        |x| {
            let half = x.number("kit.outer_sleeve.recovered")? / 2.0;
            mm(half - chain(x)?.sleeve_centre_from_c0_mm)
        },
    ),
    Def {
        name: "bay_needed",
        title: "length of bay the joint needs",
        formula: "kit.outer_sleeve.recovered + 1 m",
        inputs: &["kit.outer_sleeve.recovered"],
        mark: Mark::CommonPractice,
        show: Show::MmUp,
        meaning: "",
        compute: |x| mm(x.number("kit.outer_sleeve.recovered")? + 1000.0),
    },
    Def {
        name: "lap",
        title: "lap of the two cable ends before they are cut",
        formula: "twice kit.sheath_cut_y: both ends lie past C0",
        inputs: &["bay.lap", "kit.sheath_cut_y"],
        mark: Mark::CommonPractice,
        show: Show::Chosen,
        meaning: "",
        compute: |x| {
            x.number("bay.lap").or_else(|_| Ok(2.0 * x.number("kit.sheath_cut_y")?)).map(Out::Number)
        },
    },
    Def {
        name: "parked_on_cable",
        title: "parts parked on the cable",
        formula: "number of kit.parked.on_cable",
        inputs: &["kit.parked.on_cable"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| Ok(Out::Count(x.word("kit.parked.on_cable")?.split(", ").count())),
    },
    Def {
        name: "parked_on_core",
        title: "parts parked on each core",
        formula: "number of kit.parked.on_core",
        inputs: &["kit.parked.on_core"],
        mark: Mark::Kit,
        show: Show::Word,
        meaning: "",
        compute: |x| Ok(Out::Count(x.word("kit.parked.on_core")?.split(", ").count())),
    },
];
