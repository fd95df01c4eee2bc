//! The cores in the box: where they lie, the least gaps, the bends.

use super::context::{Geometry, Station, shaped_by};
use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{Bend, SliceInput, Verdict, f13_slices};
use crate::job::schema::Mark;

const SHAPE: &[&str] = shaped_by!();

pub(super) const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs: SHAPE, mark: Mark::Computed, show, meaning: PLANNING, compute }
}

/// A fact of the layout that rests on limits too.
pub(super) const fn held(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show, meaning: PLANNING, compute }
}

const HEIGHT: &[&str] =
    shaped_by!("kit.edge_to_plate_least", "kit.earth_gap_least", "kit.edge_to_crutch_least");
const GAP: &[&str] = shaped_by!("kit.phase_gap_least", "cable.min_bend_core", "cable.min_bend_core_to");
const BEND: &[&str] = shaped_by!("cable.min_bend_core", "cable.min_bend_core_to");
const LEVEL: &[&str] = shaped_by!("kit.phase_gap_least");
pub(super) const WALL: &[&str] = shaped_by!("enclosure.stud_to_wall");
pub(super) const COVER: &[&str] = shaped_by!("enclosure.stud_to_cover");
pub(super) const BACK: &[&str] = shaped_by!("enclosure.stud_to_back");

const PLANNING: &str = "A planning figure on cores that lie in smooth curves from crutch or entry to stud; the hold point measures.";

pub(super) fn number(value: f64) -> Result<Out, Gap> {
    Ok(Out::Number(value))
}

fn or_none(value: Option<f64>, why: &'static str) -> Result<Out, Gap> {
    Ok(value.map_or(Out::None(why), Out::Number))
}

/// A gap to something that the job gives no distance to is not answered.
fn given(x: &Inputs, name: &'static str, value: Option<f64>) -> Result<Out, Gap> {
    x.number(name)?;
    value.map(Out::Number).ok_or_else(|| refused("no-figure", "the model gives no figure here"))
}

fn word(verdict: Verdict) -> Result<Out, Gap> {
    Ok(Out::Word(verdict.as_str().into()))
}

/// The bend that weighs worst, and where it lies.
fn worst_bend(g: &Geometry) -> (&Bend, &'static str) {
    let inside = (&g.judged.j19.inside_box, "in the box");
    let Some(outside) = &g.judged.j19.outside else { return inside };
    let rank = |b: &Bend| b.verdict.map_or(2, Verdict::rank);
    let radius = |b: &Bend| b.r_sbend_axis_mm.unwrap_or(f64::INFINITY);
    let worse = rank(outside) > rank(inside.0)
        || (rank(outside) == rank(inside.0) && radius(outside) < radius(inside.0));
    if worse { (outside, "below the plate") } else { inside }
}

/// Limits that the height rests on: all must be answered.
fn height_limits(x: &Inputs, g: &Geometry) -> Result<(), Gap> {
    x.numbers(["kit.edge_to_plate_least", "kit.earth_gap_least"])?;
    if is_inside(g) {
        x.number("kit.edge_to_crutch_least")?;
    }
    Ok(())
}

pub(super) fn is_inside(g: &Geometry) -> bool {
    g.layout.start.crutch_height_mm.is_some()
}

const NO_FORMER: &str = "not computed for cores that lean";

pub(super) fn leans(g: &Geometry) -> bool {
    g.layout.start.lean_deg.is_some_and(|lean| lean > 0.0)
}

fn slices(x: &Inputs) -> Result<crate::calc::Slices, Gap> {
    let g = x.geometry()?;
    if g.judged.j15.gap.slice_sbend_mm.is_none() && leans(g) {
        return Err(refused("cores-lean", "a level gap says nothing of cores that lean where they start"));
    }
    let start = &g.layout.start;
    f13_slices(&SliceInput {
        d_mm: start.entry_pitch_mm.unwrap_or(start.core_dia_mm),
        pitch_mm: g.layout.box_.stud_pitch_mm,
        h_mm: g.judged.h_mm,
        dia_outer_mm: g.layout.dia.tube_mm,
        phase_gap_min_mm: g.layout.limits.phase_gap_min_mm,
        edge_above_start_mm: g.judged.j15.gap.edge_above_start_mm,
    })
    .map_err(|r| refused(r.code(), r))
}

pub(super) const FACTS: &[Def] = &[
    def(
        "layout_state",
        "state of the layout",
        "possible, or the first thing that makes it impossible",
        Show::Word,
        |x| {
            x.chain()?;
            match x.geometry() {
                Ok(_) => Ok(Out::Word("possible".into())),
                Err(Gap::Refused { code, .. }) => Ok(Out::Word(code)),
                Err(missing) => Err(missing),
            }
        },
    ),
    def("layout_why", "what makes the layout impossible", "in words", Show::Word, |x| match x.geometry() {
        Ok(_) => Ok(Out::None("none")),
        Err(Gap::Refused { why, .. }) => Ok(Out::Word(why)),
        Err(missing) => Err(missing),
    }),
    held(
        "chain_height",
        "height the chain needs, plate to stud",
        "max(crutch + edge_to_crutch_least, edge_to_plate_least, earth_gap_least + over_semicon) + exposed + lug; entries from their top",
        Show::MmUp,
        HEIGHT,
        |x| {
            let g = x.geometry()?;
            height_limits(x, g)?;
            number(g.judged.j14.needed_mm)
        },
    ),
    held(
        "chain_spare",
        "height to spare",
        "enclosure.gland_to_stud - chain_height",
        Show::Mm(0),
        HEIGHT,
        |x| {
            let g = x.geometry()?;
            height_limits(x, g)?;
            number(g.judged.j14.spare_mm)
        },
    ),
    held(
        "height_verdict",
        "verdict on the height",
        "chain_height against enclosure.gland_to_stud",
        Show::Word,
        HEIGHT,
        |x| {
            let g = x.geometry()?;
            height_limits(x, g)?;
            word(g.judged.j14.verdict)
        },
    ),
    def("cores_cross", "cores cross", "a core lies at another's stud", Show::Word, |x| {
        x.geometry()?;
        Ok(Out::YesNo(x.word("layout.core_to_stud")? != "1 2 3"))
    }),
    def("cores_lean", "cores lean where they start", "layout.lean above 0", Show::Word, |x| {
        Ok(Out::YesNo(leans(x.geometry()?)))
    }),
    def(
        "phase_gap",
        "least gap, cores as they lie",
        "least distance of the live length A to L of one phase from all of another, in three dimensions",
        Show::Mm(1),
        |x| number(x.geometry()?.judged.j15.gap.solid_sbend_mm),
    ),
    def("phase_gap_pair", "phases at the least gap", "the pair that gives the least gap", Show::Word, |x| {
        let at = &x.geometry()?.judged.j15.gap.sbend_at;
        let (low, high) = (at.on_phase.min(at.to_phase), at.on_phase.max(at.to_phase));
        Ok(Out::Word(format!("L{low}-L{high}")))
    }),
    def(
        "phase_gap_height",
        "height of the least gap above the plate",
        "mean height of its two end points",
        Show::Mm(0),
        |x| {
            let at = &x.geometry()?.judged.j15.gap.sbend_at;
            number((at.from_mm[2] + at.to_mm[2]) / 2.0)
        },
    ),
    def(
        "phase_gap_live",
        "least gap, live length to live length",
        "as phase_gap, A to L of both phases",
        Show::Mm(1),
        |x| number(x.geometry()?.judged.j15.gap.solid_live_live_mm),
    ),
    held(
        "phase_gap_former",
        "least gap, bent on a former",
        "as phase_gap, cores bent on a former of the least radius",
        Show::Mm(1),
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            let g = x.geometry()?;
            or_none(
                g.judged.j15.gap.solid_two_arcs_mm,
                if leans(g) { NO_FORMER } else { "the arcs do not fit" },
            )
        },
    ),
    held(
        "phase_gap_bound",
        "most any dressing gives",
        "spacing at the start + 2 (R - sqrt(R^2 - h^2)) - mean diameter, h the height of the tube's lower end; cores that lean: spacing square to the lean, h along the longest core",
        Show::Mm(1),
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            or_none(x.geometry()?.judged.j15.gap.bound_mm, "no bound")
        },
    ),
    def(
        "gap_at_studs",
        "gap at the studs",
        "enclosure.stud_pitch - diameter above the tube",
        Show::Mm(1),
        |x| number(x.geometry()?.judged.j15.gap.gap_at_studs_mm),
    ),
    held(
        "gap_verdict",
        "verdict on the gap",
        "phase_gap, phase_gap_former, phase_gap_bound, gap_at_studs and crossing against kit.phase_gap_least",
        Show::Word,
        GAP,
        |x| {
            let g = x.geometry()?;
            x.numbers(["kit.phase_gap_least", "cable.min_bend_core"])?;
            word(g.judged.j15.verdict)
        },
    ),
    def(
        "level_gap",
        "level gap at the edge, cores as they lie",
        "spacing at the edge's height in a smooth curve - dia_outer_at_edge",
        Show::Mm(1),
        |x| number(slices(x)?.gap_sbend_mm),
    ),
    def(
        "level_gap_straight",
        "level gap at the edge, cores straight",
        "spacing at the edge's height on straight cores - dia_outer_at_edge",
        Show::Mm(1),
        |x| number(slices(x)?.gap_straight_mm),
    ),
    held(
        "level_height",
        "height above the start where the level gap reaches the least",
        "(H/pi) acos(1 - 2f), f = (dia + gap least - start spacing)/(pitch - start spacing)",
        Show::Mm(1),
        LEVEL,
        |x| {
            x.number("kit.phase_gap_least")?;
            or_none(slices(x)?.h_gap_sbend_mm, "none")
        },
    ),
    held("level_height_straight", "the same, cores straight", "f x H", Show::Mm(1), LEVEL, |x| {
        x.number("kit.phase_gap_least")?;
        or_none(slices(x)?.h_gap_straight_mm, "none")
    }),
    def(
        "plate_or_entry",
        "what the heights are measured above",
        "the plate, or the top of the entry fitting",
        Show::Word,
        |x| {
            let inside = is_inside(x.geometry()?);
            Ok(Out::Word(if inside { "the gland plate" } else { "the entry fitting" }.into()))
        },
    ),
    def(
        "edge_above_plate",
        "semicon edge above plate or entry",
        "height of B above the plate, or above the top of the entry; least of three",
        Show::Mm(1),
        |x| number(x.geometry()?.judged.j16.edge_to_plate_or_entry_mm),
    ),
    def(
        "tube_above_plate",
        "lower end of tube above plate or entry",
        "lowest point of the tube's lower end ring; least of three",
        Show::Mm(1),
        |x| number(x.geometry()?.judged.j16.tube_to_plate_or_entry_mm),
    ),
    held(
        "tube_above_plate_least",
        "least height of the tube's lower end above plate or entry",
        "greater of kit.earth_gap_least, and kit.edge_to_plate_least - kit.sct.over_semicon",
        Show::MmUp,
        &["kit.earth_gap_least", "kit.edge_to_plate_least", "kit.sct.over_semicon"],
        |x| {
            let [earth, edge, over] =
                x.numbers(["kit.earth_gap_least", "kit.edge_to_plate_least", "kit.sct.over_semicon"])?;
            Ok(Out::Number(earth.max(edge - over)))
        },
    ),
    def(
        "lower_step_above_plate",
        "lower end of tube above the plate",
        "height of L on the straightest core above the plate",
        Show::Mm(0),
        |x| number(x.number("enclosure.gland_to_stud")? - x.stations()?.at(Station::L).0),
    ),
    def(
        "edge_to_crutch",
        "screened length, crutch to edge",
        "arc length from crutch to B; least of three",
        Show::Mm(1),
        |x| or_none(x.geometry()?.judged.j16.edge_to_crutch_mm, "crutch outside the box"),
    ),
    held(
        "wall_gap",
        "live length to side wall",
        "least distance of A to L from the wall",
        Show::Mm(1),
        WALL,
        |x| given(x, "enclosure.stud_to_wall", x.geometry()?.judged.j16.wall_gap_mm),
    ),
    held(
        "cover_gap",
        "live length to cover",
        "least distance of A to L from the cover",
        Show::Mm(1),
        COVER,
        |x| given(x, "enclosure.stud_to_cover", x.geometry()?.judged.j16.cover_gap_mm),
    ),
    held(
        "back_gap",
        "live length to back wall",
        "least distance of A to L from the back wall",
        Show::Mm(1),
        BACK,
        |x| given(x, "enclosure.stud_to_back", x.geometry()?.judged.j16.back_gap_mm),
    ),
    held(
        "bend_as_it_lies",
        "bend radius, core as it lies, to the axis",
        "2 H^2/(pi^2 s), s the largest step in plan; cores that lean: least radius of the curve of least bending from the lean to upright",
        Show::Mm(0),
        BEND,
        |x| or_none(worst_bend(x.geometry()?).0.r_sbend_axis_mm, "straight"),
    ),
    held(
        "bend_former",
        "bend radius, bent on a former, to the axis",
        "(H^2 + s^2)/(4 s); none is computed for cores that lean",
        Show::Mm(0),
        BEND,
        |x| {
            let g = x.geometry()?;
            or_none(worst_bend(g).0.r_two_arcs_axis_mm, if leans(g) { NO_FORMER } else { "straight" })
        },
    ),
    held(
        "bend_place",
        "where the core bends tightest",
        "in the box, or below the plate",
        Show::Word,
        BEND,
        |x| Ok(Out::Word(worst_bend(x.geometry()?).1.into())),
    ),
    held(
        "bend_limit",
        "least radius of a core, to the axis",
        "cable.min_bend_core; to the inside or unstated, + half the core's diameter",
        Show::Mm(0),
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            or_none(worst_bend(x.geometry()?).0.limit_axis_mm, "straight")
        },
    ),
    held(
        "bend_verdict",
        "verdict on the bend",
        "bend_as_it_lies and bend_former against bend_limit",
        Show::Word,
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            word(x.geometry()?.judged.j19.verdict)
        },
    ),
];
