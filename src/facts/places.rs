//! Where the least gaps are: height above the plate, distance from the stud.

use super::def::{Def, Out, Show, refused};
use super::geometry::{BACK, COVER, WALL, def, held};
use crate::calc::{EarthedAt, GapAt};
use crate::units::{Rounding, fixed};

fn whole(mm: f64) -> String {
    fixed(mm, 0, Rounding::Nearest)
}

/// Phases, mean height and distances from the stud along both cores.
fn place(at: &GapAt) -> String {
    let height = (at.from_mm[2] + at.to_mm[2]) / 2.0;
    let mut ends = [(at.on_phase, at.arc_mm[0]), (at.to_phase, at.arc_mm[1])];
    ends.sort_by_key(|e| e.0);
    let [(low, near), (high, far)] = ends;
    format!(
        "L{low}-L{high}, {} mm above the plate; {} mm from the stud along L{low}, {} mm along L{high}",
        whole(height),
        whole(near),
        whole(far)
    )
}

/// Phase, height and distance from the stud of a gap to earthed metal.
fn earthed_place(at: &EarthedAt) -> String {
    format!(
        "L{}, {} mm above the plate, {} mm from the stud along the core",
        at.phase,
        whole(at.point_mm[2]),
        whole(at.arc_mm)
    )
}

pub(super) const FACTS: &[Def] = &[
    def(
        "phase_gap_where",
        "place of the least gap",
        "its height above the plate, and its distance from the stud along each of the two cores",
        Show::Word,
        |x| {
            let at = &x.geometry()?.judged.j15.gap.sbend_at;
            Ok(Out::Word(place(at)))
        },
    ),
    def(
        "phase_gap_live_where",
        "place of the least gap, live length to live length",
        "as phase_gap_where",
        Show::Word,
        |x| Ok(Out::Word(place(&x.geometry()?.judged.j15.gap.live_live_at))),
    ),
    held(
        "wall_gap_where",
        "place of the least gap to the side wall",
        "phase, height above the plate, distance from the stud along the core",
        Show::Word,
        WALL,
        |x| {
            x.number("enclosure.stud_to_wall")?;
            let at = x.geometry()?.judged.j16.at.wall_gap.as_ref();
            at.map(|at| Out::Word(earthed_place(at)))
                .ok_or_else(|| refused("no-figure", "the model gives no figure here"))
        },
    ),
    held(
        "cover_gap_where",
        "place of the least gap to the cover",
        "phase, height above the plate, distance from the stud along the core",
        Show::Word,
        COVER,
        |x| {
            x.number("enclosure.stud_to_cover")?;
            let at = x.geometry()?.judged.j16.at.cover_gap.as_ref();
            at.map(|at| Out::Word(earthed_place(at)))
                .ok_or_else(|| refused("no-figure", "the model gives no figure here"))
        },
    ),
    held(
        "back_gap_where",
        "place of the least gap to the back wall",
        "phase, height above the plate, distance from the stud along the core",
        Show::Word,
        BACK,
        |x| {
            x.number("enclosure.stud_to_back")?;
            let at = x.geometry()?.judged.j16.at.back_gap.as_ref();
            at.map(|at| Out::Word(earthed_place(at)))
                .ok_or_else(|| refused("no-figure", "the model gives no figure here"))
        },
    ),
    def(
        "tube_above_plate_where",
        "place of the lowest tube end",
        "phase, height above the plate, distance from the stud along the core",
        Show::Word,
        |x| Ok(Out::Word(earthed_place(&x.geometry()?.judged.j16.at.tube_to_plate_or_entry))),
    ),
];
