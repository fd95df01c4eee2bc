//! At what setting each rule of the enclosure would pass, one measure at a time
//! and the rest as planned. Printed with the finding.

use super::context::shaped_by;
use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{EnclosureRule, HeightNote, Measure, bend_depth_mm, passes_at};
use crate::job::schema::Mark;

const MEANING: &str = "Searched with the whole layout, this one measure moved and the rest as planned; whole mm. A planning figure: the hold point measures.";
const NO_HEIGHT: &str = "no height passes";

const HEIGHT: &[&str] =
    shaped_by!("kit.edge_to_plate_least", "kit.earth_gap_least", "kit.edge_to_crutch_least");
const GAP: &[&str] = shaped_by!("kit.phase_gap_least", "cable.min_bend_core", "cable.min_bend_core_to");
const BEND: &[&str] = shaped_by!("cable.min_bend_core", "cable.min_bend_core_to");
const SIDE: &[&str] = shaped_by!(
    "kit.earth_gap_least",
    "enclosure.stud_to_wall",
    "enclosure.stud_to_cover",
    "enclosure.stud_to_back"
);

const fn least(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show: Show::MmUp, meaning: MEANING, compute }
}

const fn most(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show: Show::Mm(0), meaning: MEANING, compute }
}

/// Limits that the heights rest on: all must be answered.
fn height_limits(x: &Inputs) -> Result<(), Gap> {
    x.numbers(["kit.edge_to_plate_least", "kit.earth_gap_least"])?;
    if x.word("layout.crutch")? == "inside" {
        x.number("kit.edge_to_crutch_least")?;
    }
    Ok(())
}

fn gap_limits(x: &Inputs) -> Result<(), Gap> {
    x.numbers(["kit.phase_gap_least", "cable.min_bend_core"]).map(|_| ())
}

fn cured(value: Option<f64>, note: Option<HeightNote>) -> Result<Out, Gap> {
    // Least heights round up to 1 mm, after taking off 0.001.
    let up = |mm: f64| Out::Number((mm - 0.001).ceil());
    Ok(match (value, note) {
        (Some(mm), _) => up(mm),
        (None, Some(HeightNote::NotLimiting)) => Out::None("any the chain fits in"),
        (None, _) => Out::None(NO_HEIGHT),
    })
}

/// The figure at which a rule that fails would pass.
fn moved(x: &Inputs, rule: EnclosureRule, measure: Measure) -> Result<Out, Gap> {
    let layout = x.layout()?;
    let not_here = |why: &str| Err(refused("not-here", why));
    match (measure, x.word("layout.crutch")?.as_str()) {
        (Measure::CrutchHeight, "outside" | "none") => return not_here("no crutch is in the box"),
        (Measure::EntryPitch, "inside") => return not_here("the crutch is inside the box"),
        _ => {}
    }
    if rule.passes(&layout) {
        return not_here("it passes as planned");
    }
    let at = passes_at(&layout, rule, measure).map_err(|r| refused(r.code(), r))?;
    Ok(at.map_or(Out::None("none"), Out::Number))
}

/// Distance to a side at which the live length keeps the kit's gap: the cores
/// stay where they are.
fn side(x: &Inputs, distance: &'static str, gap: Option<f64>) -> Result<Out, Gap> {
    let [distance, limit] = x.numbers([distance, "kit.earth_gap_least"])?;
    let gap = gap.ok_or_else(|| refused("no-figure", "the model gives no figure here"))?;
    Ok(Out::Number((distance - gap + limit - 0.001).ceil()))
}

pub(super) const FACTS: &[Def] = &[
    least(
        "height_passes_in_box",
        "least plate to stud at which the chain fits",
        "chain_height, and room for the tube above the start",
        HEIGHT,
        |x| {
            height_limits(x)?;
            let layout = x.layout()?;
            let room = layout.start_height_mm()
                + layout.lug_insulation_end_to_stud_mm
                + layout.insulation_exposed_mm
                + layout.sct_over_semicon_mm;
            // On a bare touch the tube would still end at the start.
            cured(Some(x.least_heights()?.j14_mm.max(room.floor() + 1.0)), None)
        },
    ),
    most(
        "height_passes_at_exposed",
        "greatest insulation exposed at which the chain fits",
        "search downward in whole mm to the tube's cover on the insulation",
        HEIGHT,
        |x| {
            height_limits(x)?;
            moved(x, EnclosureRule::Height, Measure::InsulationExposed)
        },
    ),
    most(
        "height_passes_at_crutch",
        "greatest crutch height at which the chain fits",
        "search downward in whole mm to the plate",
        HEIGHT,
        |x| {
            height_limits(x)?;
            moved(x, EnclosureRule::Height, Measure::CrutchHeight)
        },
    ),
    least(
        "gap_passes_in_box",
        "least plate to stud at which the gap passes",
        "least height at which phase_gap reaches kit.phase_gap_least, the spread growing with the height",
        GAP,
        |x| {
            gap_limits(x)?;
            let heights = x.least_heights()?;
            let layout = x.layout()?;
            if layout.crosses() {
                return Ok(Out::None("none, cores cross"));
            }
            let enough = heights.j15_solid_mm.is_some_and(|mm| {
                let mut higher = layout;
                higher.box_.gland_to_stud_mm = (mm - 0.001).ceil();
                EnclosureRule::Gap.passes(&higher)
            });
            // Where the bend at that height still wants a former on which the
            // gap is short, the gap passes once the bend does.
            let with_bend =
                |mm: f64| if enough { mm } else { heights.j19_sbend_mm.map_or(mm, |b| b.max(mm)) };
            cured(heights.j15_solid_mm.map(with_bend), heights.j15_solid_note)
        },
    ),
    most(
        "gap_passes_at_exposed",
        "greatest insulation exposed at which the gap passes",
        "search downward in whole mm to the tube's cover on the insulation",
        GAP,
        |x| {
            gap_limits(x)?;
            moved(x, EnclosureRule::Gap, Measure::InsulationExposed)
        },
    ),
    most(
        "gap_passes_at_crutch",
        "greatest crutch height at which the gap passes",
        "search downward in whole mm to the plate",
        GAP,
        |x| {
            gap_limits(x)?;
            moved(x, EnclosureRule::Gap, Measure::CrutchHeight)
        },
    ),
    most(
        "gap_passes_at_pitch",
        "least entry pitch at which the gap passes",
        "search upward in whole mm to the stud pitch",
        GAP,
        |x| {
            gap_limits(x)?;
            moved(x, EnclosureRule::Gap, Measure::EntryPitch)
        },
    ),
    least(
        "earth_passes_in_box",
        "least plate to stud at which edge and tube end stand clear",
        "least height at which edge, tube end and screened length reach their least figures",
        HEIGHT,
        |x| {
            height_limits(x)?;
            let heights = x.least_heights()?;
            cured(heights.j16_mm, heights.j16_note)
        },
    ),
    most(
        "earth_passes_at_exposed",
        "greatest insulation exposed at which edge and tube end stand clear",
        "search downward in whole mm to the tube's cover on the insulation",
        HEIGHT,
        |x| {
            height_limits(x)?;
            moved(x, EnclosureRule::Earthed, Measure::InsulationExposed)
        },
    ),
    most(
        "earth_passes_at_crutch",
        "greatest crutch height at which edge and tube end stand clear",
        "search downward in whole mm to the plate",
        HEIGHT,
        |x| {
            height_limits(x)?;
            moved(x, EnclosureRule::Earthed, Measure::CrutchHeight)
        },
    ),
    least(
        "wall_passes_at",
        "least stud to wall at which the live length stands clear",
        "enclosure.stud_to_wall - wall_gap + kit.earth_gap_least",
        SIDE,
        |x| side(x, "enclosure.stud_to_wall", x.geometry()?.judged.j16.wall_gap_mm),
    ),
    least(
        "cover_passes_at",
        "least stud to cover at which the live length stands clear",
        "enclosure.stud_to_cover - cover_gap + kit.earth_gap_least",
        SIDE,
        |x| side(x, "enclosure.stud_to_cover", x.geometry()?.judged.j16.cover_gap_mm),
    ),
    least(
        "back_passes_at",
        "least stud to back wall at which the live length stands clear",
        "enclosure.stud_to_back - back_gap + kit.earth_gap_least",
        SIDE,
        |x| side(x, "enclosure.stud_to_back", x.geometry()?.judged.j16.back_gap_mm),
    ),
    least(
        "bend_passes_in_box",
        "least plate to stud at which the bend in the box passes without a former",
        "start + lug + pi sqrt(R s/2); by search where the cores lean",
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            cured(x.least_heights()?.j19_sbend_mm, None)
        },
    ),
    most(
        "bend_passes_at_crutch",
        "greatest crutch height at which the bend passes without a former",
        "search downward in whole mm to the plate",
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            moved(x, EnclosureRule::Bend, Measure::CrutchHeight)
        },
    ),
    most(
        "bend_passes_at_pitch",
        "least entry pitch at which both bends pass without a former",
        "search in whole mm from the core's diameter to the stud pitch",
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            moved(x, EnclosureRule::Bend, Measure::EntryPitch)
        },
    ),
    least(
        "bend_passes_at_depth",
        "least crutch below the plate at which the bend there passes without a former",
        "pi sqrt(R s/2), s the largest step between bunch and entries; by search where the cores lean",
        BEND,
        |x| {
            x.number("cable.min_bend_core")?;
            let layout = x.layout()?;
            match bend_depth_mm(&layout) {
                Some(mm) => cured(Some(mm), None),
                None => Err(refused("not-here", "no crutch lies below the plate")),
            }
        },
    ),
];
