//! How far the box found on site may differ from the plan, one figure at a
//! time, before the plan has to be judged anew. By geometry, and narrowed by
//! the clearance of bare metal.

use super::context::shaped_by;
use super::def::{Def, Gap, Inputs, Out, Show, refused};
use crate::calc::{SiteWindow, SiteWindowInput, Verdict, site_window};
use crate::job::schema::Mark;

const MEANING: &str = "Each figure alone, the others as planned, with no verdict worse than in the plan; two off at once are not covered. What was accepted stays an acceptance though its figure moves.";

const SHAPE: &[&str] = shaped_by!("gap_verdict", "height_verdict", "bend_verdict");
const PITCH: &[&str] =
    shaped_by!("gap_verdict", "height_verdict", "bend_verdict", "lug.palm_width", "live_gap_phase_needed");
const SIDE: &[&str] =
    shaped_by!("gap_verdict", "height_verdict", "bend_verdict", "lug.palm_width", "live_gap_earth_needed");

fn window<'a>(x: &'a Inputs) -> Result<&'a SiteWindow, Gap> {
    // A plan that a rule can't judge has no window.
    for name in ["gap_verdict", "height_verdict", "bend_verdict"] {
        x.word(name)?;
    }
    let window = x.context.window.get_or_init(|| {
        let layout = x.geometry()?.layout;
        let accepted = vec![Verdict::AcceptTrialFit, Verdict::AcceptFormer];
        site_window(&SiteWindowInput { layout, accepted }).map_err(|r| refused(r.code(), r))
    });
    window.as_ref().map_err(Clone::clone)
}

fn or_none(value: Option<f64>, why: &'static str) -> Result<Out, Gap> {
    Ok(value.map_or(Out::None(why), Out::Number))
}

/// A side: the greater of what geometry and bare metal ask for.
fn side(x: &Inputs, by_geometry: Option<f64>) -> Result<Out, Gap> {
    let Some(by_geometry) = by_geometry else { return Ok(Out::None("not given")) };
    let [palm, clearance] = x.numbers(["lug.palm_width", "live_gap_earth_needed"])?;
    Ok(Out::Number(by_geometry.max(palm / 2.0 + clearance)))
}

const fn def(
    name: &'static str,
    title: &'static str,
    formula: &'static str,
    show: Show,
    inputs: &'static [&'static str],
    compute: fn(&Inputs) -> Result<Out, Gap>,
) -> Def {
    Def { name, title, formula, inputs, mark: Mark::Computed, show, meaning: MEANING, compute }
}

pub(super) const FACTS: &[Def] = &[
    def(
        "window_height_least",
        "least plate to stud at which the pack holds",
        "search downward in whole mm",
        Show::MmUp,
        SHAPE,
        |x| Ok(Out::Number(window(x)?.z_min_mm)),
    ),
    def(
        "window_height_most",
        "greatest plate to stud at which the pack holds",
        "search upward, up to 200 mm",
        Show::Mm(0),
        SHAPE,
        |x| or_none(window(x)?.z_max_mm, "none within 200 mm"),
    ),
    def(
        "window_pitch_least",
        "least stud pitch at which the pack holds",
        "greater of the search downward and palm width + bare clearance phase to phase",
        Show::MmUp,
        PITCH,
        |x| {
            let [palm, clearance] = x.numbers(["lug.palm_width", "live_gap_phase_needed"])?;
            Ok(Out::Number(window(x)?.p_min_mm.max(palm + clearance)))
        },
    ),
    def(
        "window_pitch_most",
        "greatest stud pitch at which the pack holds",
        "search upward, up to 200 mm",
        Show::Mm(0),
        SHAPE,
        |x| or_none(window(x)?.p_max_mm, "none within 200 mm"),
    ),
    def(
        "window_wall_least",
        "least stud to wall at which the pack holds",
        "greater of plan - (wall_gap - earth gap least) and half the palm + bare clearance to earth",
        Show::MmUp,
        SIDE,
        |x| side(x, window(x)?.wall_min_mm),
    ),
    def(
        "window_cover_least",
        "least stud to cover at which the pack holds",
        "as for the wall",
        Show::MmUp,
        SIDE,
        |x| side(x, window(x)?.cover_min_mm),
    ),
    def(
        "window_back_least",
        "least stud to back wall at which the pack holds",
        "as for the wall",
        Show::MmUp,
        SIDE,
        |x| side(x, window(x)?.back_min_mm),
    ),
];
