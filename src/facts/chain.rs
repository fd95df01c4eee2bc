//! The cut-back: one chain from the stud down the core, and the same stations
//! from ring R upward, the datum that outlives the cutting.

use super::context::{CHAIN, Station};
use super::def::{Def, Gap, Inputs, Out, Show};
use crate::calc;
use crate::job::schema::Mark;

const fn station(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def {
        name,
        title,
        formula,
        inputs: &CHAIN,
        mark: Mark::Computed,
        show: Show::Station,
        meaning: ROUNDING,
        compute,
    }
}

const ROUNDING: &str = "Consecutive lengths of the chain are rounded to whole mm once, the total kept, so that every printed sum closes.";

fn between(x: &Inputs, upper: Station, lower: Station) -> Result<Out, Gap> {
    let (exact, whole) = x.stations()?.between(upper, lower);
    Ok(Out::Rounded(exact, whole))
}

pub(super) const FACTS: &[Def] = &[
    Def {
        name: "insulation_exposed",
        title: "insulation exposed, edge to insulation cut",
        formula: "length chosen in the layout, else the kit's nominal",
        inputs: &["layout.insulation_exposed", "kit.insulation_exposed.nominal"],
        mark: Mark::Kit,
        show: Show::Chosen,
        meaning: "",
        compute: |x| {
            x.number("layout.insulation_exposed")
                .or_else(|_| x.number("kit.insulation_exposed.nominal"))
                .map(Out::Number)
        },
    },
    Def {
        name: "ring_below_screen_cut",
        title: "ring R below the metallic screen cut",
        formula: "length chosen in the layout, else 50 mm",
        inputs: &["layout.ring_below_screen_cut"],
        mark: Mark::CommonPractice,
        show: Show::Chosen,
        meaning: "A ring marked on the core's own metallic screen, in sight until the outer tube covers it.",
        compute: |x| Ok(Out::Number(x.maybe("layout.ring_below_screen_cut").unwrap_or(calc::REF_RING_MM))),
    },
    Def {
        name: "chain_state",
        title: "state of the chain",
        formula: "closes, or the first contradiction; where nothing is measured from a stud there is none",
        inputs: &[CHAIN[0], CHAIN[1], CHAIN[2], CHAIN[3], CHAIN[4], CHAIN[5], CHAIN[6], CHAIN[7], "datum"],
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "",
        compute: |x| match x.chain() {
            _ if x.word("datum")? != "stud" => Ok(Out::None("no chain from a stud")),
            Ok(_) => Ok(Out::Word("closes".into())),
            Err(Gap::Refused { code, .. }) => Ok(Out::Word(code)),
            Err(missing) => Err(missing),
        },
    },
    Def {
        name: "chain_why",
        title: "contradiction of the chain",
        formula: "the contradiction in words",
        inputs: &CHAIN,
        mark: Mark::Computed,
        show: Show::Word,
        meaning: "",
        compute: |x| match x.chain() {
            Ok(_) => Ok(Out::None("none")),
            Err(Gap::Refused { why, .. }) => Ok(Out::Word(why)),
            Err(missing) => Err(missing),
        },
    },
    station(
        "conductor_bare",
        "conductor bared, E0 to insulation cut A",
        "lug.barrel_depth + lug.growth",
        |x| between(x, Station::E0, Station::A),
    ),
    station(
        "lug_insulation_end_to_stud",
        "insulation cut A from stud T0",
        "lug.mouth_to_hole + lug.growth",
        |x| between(x, Station::T0, Station::A),
    ),
    station("lug_end_offset", "core end E0 below stud T0", "lug.mouth_to_hole - lug.barrel_depth", |x| {
        between(x, Station::T0, Station::E0)
    }),
    station(
        "sct_over_insulation",
        "stress control over the insulation, B to U",
        "kit.sct.recovered - kit.sct.over_semicon",
        |x| between(x, Station::U, Station::B),
    ),
    station(
        "clear_surface",
        "clear surface above the tube, U to A",
        "insulation_exposed - sct_over_insulation",
        |x| between(x, Station::A, Station::U),
    ),
    station("semicon_edge_from_end", "semicon edge B from E0", "conductor_bare + insulation_exposed", |x| {
        between(x, Station::E0, Station::B)
    }),
    station(
        "metal_screen_cut_from_end",
        "metallic screen cut M from E0",
        "semicon_edge_from_end + kit.semicon_left",
        |x| between(x, Station::E0, Station::M),
    ),
    station("ring_from_end", "ring R from E0", "metal_screen_cut_from_end + ring_below_screen_cut", |x| {
        between(x, Station::E0, Station::R)
    }),
    station(
        "semicon_edge_from_stud",
        "semicon edge B from T0",
        "lug_insulation_end_to_stud + insulation_exposed",
        |x| between(x, Station::T0, Station::B),
    ),
    station(
        "sct_upper_from_stud",
        "upper end of tube U from T0",
        "semicon_edge_from_stud - sct_over_insulation",
        |x| between(x, Station::T0, Station::U),
    ),
    station(
        "sct_lower_from_stud",
        "lower end of tube L from T0",
        "semicon_edge_from_stud + kit.sct.over_semicon",
        |x| between(x, Station::T0, Station::L),
    ),
    station(
        "metal_screen_cut_from_stud",
        "metallic screen cut M from T0",
        "semicon_edge_from_stud + kit.semicon_left",
        |x| between(x, Station::T0, Station::M),
    ),
    station("ring_from_stud", "ring R from T0", "metal_screen_cut_from_stud + ring_below_screen_cut", |x| {
        between(x, Station::T0, Station::R)
    }),
    station(
        "edge_above_ring",
        "semicon edge B above ring R",
        "ring_below_screen_cut + kit.semicon_left",
        |x| between(x, Station::B, Station::R),
    ),
    station(
        "sct_lower_above_ring",
        "lower end of tube L above ring R",
        "edge_above_ring - kit.sct.over_semicon",
        |x| between(x, Station::L, Station::R),
    ),
    station(
        "sct_upper_above_ring",
        "upper end of tube U above ring R",
        "edge_above_ring + sct_over_insulation",
        |x| between(x, Station::U, Station::R),
    ),
    station(
        "insulation_cut_above_ring",
        "insulation cut A above ring R",
        "edge_above_ring + insulation_exposed",
        |x| between(x, Station::A, Station::R),
    ),
    Def {
        name: "dia_outer_at_edge",
        title: "diameter over all layers at the edge",
        formula: "kit.dia_outer_at_edge, else cable.dia_over_core_screen + 2 x kit.wall_over_semicon",
        inputs: &["kit.dia_outer_at_edge", "cable.dia_over_core_screen", "kit.wall_over_semicon"],
        mark: Mark::Computed,
        show: Show::Mm(1),
        meaning: "",
        compute: |x| {
            if let Some(stated) = x.maybe("kit.dia_outer_at_edge") {
                return Ok(Out::Number(stated));
            }
            let [screen, wall] = x.numbers(["cable.dia_over_core_screen", "kit.wall_over_semicon"])?;
            Ok(Out::Number(screen + 2.0 * wall))
        },
    },
];
